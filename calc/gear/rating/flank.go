package rating

import (
	"math"

	"endfloat/calc/unit"
)

// setFlank works out the factors of the flank. [ISO6336] part 2; all but Z_B above 1
// agree with [TR6336-30] example 1.
//
//	Z_H = √(2 cos β_b cos α_wt / (cos² α_t sin α_wt))
//	Z_E = 1 / √(π ((1 − ν1²)/E1 + (1 − ν2²)/E2))
//	Z_ε = √((4 − ε_α)/3 · (1 − ε_β) + ε_β/ε_α), ε_β at most 1
//	Z_β = 1 / √cos β
//	M1 = tan α_wt / √((√(d_a1²/d_b1² − 1) − 2π/z1) (√(d_a2²/d_b2² − 1) − (ε_α − 1) 2π/z2))
//	Z_B = M1 or 1, the larger, for spur teeth, 1 from ε_β = 1 on, in between in proportion
//
// Before the corrigendum of 2008 Z_β stood as √cos β.
func (r *Ready) setFlank() {
	m, s := r.Mesh, r.Set
	αt, αw := float64(m.Pressure), float64(m.Working)
	f := &r.Flank
	cosα := math.Cos(αt)
	f.ZH = math.Sqrt(2 * math.Cos(float64(m.BaseHelix)) * math.Cos(αw) / (cosα * cosα * math.Sin(αw)))
	give := 0.0
	for _, mat := range s.Materials {
		give += (1 - mat.Nu*mat.Nu) / float64(mat.E/unit.Megapascal)
	}
	f.ZE = 1 / math.Sqrt(math.Pi*give)
	εα, εβ := m.Contact, min(1, m.Overlap)
	f.Zeps = math.Sqrt((4-εα)/3*(1-εβ) + εβ/εα)
	f.Zbeta = 1 / math.Sqrt(math.Cos(float64(s.Pair.Helix)))
	for i := range 2 {
		a, b := m.Gears[i], m.Gears[1-i]
		za, zb := float64(s.Pair.Gears[i].Teeth), float64(s.Pair.Gears[1-i].Teeth)
		near := math.Sqrt(sq(float64(a.Tip/a.Base))-1) - 2*math.Pi/za
		far := math.Sqrt(sq(float64(b.Tip/b.Base))-1) - (εα-1)*2*math.Pi/zb
		f.ZB[i] = 1
		if near > 0 && far > 0 {
			m1 := math.Tan(αw) / math.Sqrt(near*far)
			f.ZB[i] = max(1, m1-εβ*(m1-1))
		}
	}
	f.fZ = 1
	if s.Edition == Edition2019 && s.Pair.Helix != 0 {
		switch s.Modified {
		case PartlyModified:
			f.fZ = 1.07
		case WellModified:
		default:
			f.fZ = 1.2
		}
	}
	r.setSurface()
}

// setSurface works out what oil and finish do to the limit of the flank.
//
//	Z_L = C_ZL + 4 (1 − C_ZL) / (1.2 + 134/ν_40)²
//	Z_R = (3 / Rz10)^C_ZR     Rz10 = Rz · ∛(10/ρ_red), ρ_red = ρ1 ρ2/(ρ1 + ρ2) in mm
//	Z_X = 1.05 − 0.005 m_n, 0.9 to 1, for hardened teeth
//
// C_ZL is 0.83 below 850 MPa and 0.91 above 1200, C_ZR 0.15 and 0.08, straight in
// between. [ISO6336] part 2, agreeing with [TR6336-30]; Z_X from memory.
func (r *Ready) setSurface() {
	tan := math.Tan(float64(r.Mesh.Working))
	ρ1 := float64(r.Mesh.Gears[0].Base/unit.Millimetre) / 2 * tan
	ρ2 := float64(r.Mesh.Gears[1].Base/unit.Millimetre) / 2 * tan
	rz10 := float64(r.Set.RzFlank/unit.Micrometre) * math.Cbrt(10/(ρ1*ρ2/(ρ1+ρ2)))
	ν := r.Set.Viscosity * 1e6
	for i, m := range r.Set.Materials {
		c := cZL(m.SigmaHLim)
		r.Flank.ZL[i] = c + 4*(1-c)/sq(1.2+134/ν)
		r.Flank.ZR[i] = math.Pow(3/rz10, cZR(m.SigmaHLim))
		r.Flank.ZX[i] = 1
		if m.Heat != ThroughHardened {
			r.Flank.ZX[i] = min(1, max(0.9, 1.05-0.005*r.mm.mn))
		}
	}
}

// cZL is C_ZL for an allowable stress number.
func cZL(limit unit.Pressure) float64 {
	switch σ := float64(limit / unit.Megapascal); {
	case σ < 850:
		return 0.83
	case σ > 1200:
		return 0.91
	default:
		return σ/4375 + 0.6357
	}
}

// cZR is C_ZR for an allowable stress number.
func cZR(limit unit.Pressure) float64 {
	return 0.32 - 0.0002*min(1200, max(850, float64(limit/unit.Megapascal)))
}

// zv is the speed factor at a pitch-line speed in m/s:
//
//	Z_v = C_Zv + 2 (1 − C_Zv) / √(0.8 + 32/v)     C_Zv = C_ZL + 0.02
func zv(limit unit.Pressure, v float64) float64 {
	c := cZL(limit) + 0.02
	return c + 2*(1-c)/math.Sqrt(0.8+32/max(v, 1e-3))
}

func sq(x float64) float64 { return x * x }
