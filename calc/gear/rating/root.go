package rating

import (
	"math"

	"endfloat/calc/unit"
)

// setRoot works out the factors of the roots. [ISO6336] part 3, from memory but for
// the form of the tooth.
//
//	Y_β = 1 − ε_β β / 120°, ε_β at most 1 and β at most 30°; 2019: that over cos³ β
//	Y_ε = 0.25 + 0.75 / ε_αn, only with the load at the tip (method C)
//	f_ε, 2019: √(1 − ε_β + ε_β/ε_αn) for ε_β below 1, 1/√ε_αn above
//	Y_δrelT = (1 + √(ρ' χ)) / (1 + √(1.2 ρ'))      χ = 0.2 (1 + 2 q_s)
//	Y_RrelT = 1.674 − 0.529 (Rz + 1)^0.1, for Rz of 1 and more; 1.12 below
//	Y_X = 1.05 − 0.01 m_n, 0.8 to 1, hardened; 1.03 − 0.006 m_n, 0.85 to 1, soft
//	Y_M = 0.7 where a tooth is bent both ways
func (r *Ready) setRoot() error {
	p, m := r.Set.Pair, r.Mesh
	cosβ := math.Cos(float64(p.Helix))
	cosβb := math.Cos(float64(m.BaseHelix))
	εβ := min(1, m.Overlap)
	εn := m.Contact / (cosβb * cosβb)
	β := min(30, math.Abs(float64(p.Helix/unit.Degree)))
	root := &r.Root
	root.Ybeta, root.Yeps = 1-εβ*β/120, 1
	fε := 1.0
	contact := m.Contact
	switch {
	case r.Set.Method == MethodC:
		root.Yeps, contact = 0.25+0.75/εn, 0
	case r.Set.Edition == Edition2019 && m.Overlap == 0 && εn >= 2:
		fε = 0.7
	case r.Set.Edition == Edition2019:
		fε = math.Sqrt(1 - εβ + εβ/εn)
	}
	if r.Set.Edition == Edition2019 {
		root.Ybeta /= cosβ * cosβ * cosβ
	}
	height := 0.0
	for i, g := range p.Gears {
		f, err := Tooth{Teeth: g.Teeth, Module: p.Module, Helix: p.Helix, Shift: g.Shift, Rack: p.Rack, Tip: m.Gears[i].Tip, Contact: contact}.Form()
		if err != nil {
			return err
		}
		f.YF *= fε
		root.Form[i] = f
		mat := r.Set.Materials[i]
		ρ := float64(mat.SlipLayer / unit.Millimetre)
		root.YdeltaRel[i] = (1 + math.Sqrt(ρ*0.2*(1+2*f.Notch))) / (1 + math.Sqrt(ρ*1.2))
		root.YRRel[i] = yR(mat.Heat, r.Set.RzRoot)
		root.YX[i] = yX(mat.Heat, r.mm.mn)
		root.YM[i] = 1
		if r.Set.Alternates[i] {
			root.YM[i] = 0.7
		}
		height = max(height, float64((m.Gears[i].Tip-m.Gears[i].Root)/2/unit.Millimetre))
		r.root[i] = RootLife(mat.Heat).scaled(root.YdeltaRel[i] * root.YRRel[i] * root.YX[i])
		r.rootLimit[i] = float64(mat.SigmaFLim/unit.Megapascal) * 2 * root.YM[i]
	}
	// K_Fβ = K_Hβ^N_F with N_F = (b/h)² / (1 + b/h + (b/h)²), b/h at least 3.
	bh := max(3, r.mm.b/height)
	root.faceLoadExponent = bh * bh / (1 + bh + bh*bh)
	for i, mat := range r.Set.Materials {
		r.flank[i] = FlankLife(mat.Heat, r.Set.Pitting)
		r.flankLimit[i] = float64(mat.SigmaHLim / unit.Megapascal)
	}
	return nil
}

func yR(h Heat, rz unit.Length) float64 {
	x := float64(rz / unit.Micrometre)
	if h == Nitrided {
		if x < 1 {
			return 1.025
		}
		return 4.299 - 3.259*math.Pow(min(x, 40)+1, 0.005)
	}
	if x < 1 {
		return 1.12
	}
	return 1.674 - 0.529*math.Pow(min(x, 40)+1, 0.1)
}

func yX(h Heat, module float64) float64 {
	if h == ThroughHardened {
		return min(1, max(0.85, 1.03-0.006*module))
	}
	return min(1, max(0.8, 1.05-0.01*module))
}
