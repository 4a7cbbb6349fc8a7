package rating

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Load is a torque and a speed in rad/s, both of the first gear.
type Load struct {
	Torque unit.Torque
	Speed  float64
}

// Stress is what a load does to the teeth.
type Stress struct {
	Tangential                     unit.Force // F_t
	Velocity                       float64    // at the pitch circle, m/s
	Kv, KHbeta, KFbeta, KHal, KFal float64
	SpeedRatio                     float64 // N, of the resonance
	NearResonance                  bool    // above 0.85: the dynamic factor is no more than a guess
	Flank                          [2]unit.Pressure
	Root                           [2]unit.Pressure
	FlankNominal                   unit.Pressure // σ_H0
	Zv                             [2]float64
}

// At returns the stresses under a load.
//
//	F_t  = 2 T / d_1
//	σ_H0 = Z_H Z_E Z_ε Z_β √(F_t (u + 1) / (d_1 b u))
//	σ_H  = Z_B σ_H0 √(K_A K_v K_Hβ K_Hα)
//	σ_F  = F_t / (b m_n) · Y_F Y_S Y_β Y_ε · K_A K_v K_Fβ K_Fα
//
// [ISO6336] parts 2 and 3. It returns an error unless torque and speed are 0 or more.
func (r *Ready) At(l Load) (Stress, error) {
	if !(l.Torque >= 0 && l.Torque <= 1e7 && l.Speed >= 0 && l.Speed <= 1e5) {
		return Stress{}, fmt.Errorf("rating: torque is 0 to 1e7 N·m and speed 0 to 1e5 rad/s, got %g and %g", float64(l.Torque), l.Speed)
	}
	g := r.mm
	ft := 2000 * float64(l.Torque) / g.d1
	s := Stress{Tangential: unit.Force(ft), Velocity: l.Speed * g.d1 / 2000}
	ka := r.Set.Application
	r.setLoadFactors(&s, ft*ka/g.b)
	f := r.Flank
	for i, m := range r.Set.Materials {
		s.Zv[i] = zv(m.SigmaHLim, s.Velocity)
	}
	h0 := f.ZH * f.ZE * f.Zeps * f.Zbeta * math.Sqrt(ft/(g.d1*g.b)*(g.u+1)/g.u)
	s.FlankNominal = unit.Pressure(h0) * unit.Megapascal
	h := h0 * math.Sqrt(ka*s.Kv*s.KHbeta*s.KHal) * f.fZ
	bend := ft / (g.b * g.mn) * r.Root.Ybeta * r.Root.Yeps * ka * s.Kv * s.KFbeta * s.KFal
	for i := range 2 {
		s.Flank[i] = unit.Pressure(f.ZB[i]*h) * unit.Megapascal
		s.Root[i] = unit.Pressure(bend*r.Root.Form[i].YF*r.Root.Form[i].YS) * unit.Megapascal
	}
	return s, nil
}

// setLoadFactors works out the K factors at a specific load w = K_A F_t / b in N/mm.
// Below 100 N/mm the mesh is softer, by the fourth root of w/100.
func (r *Ready) setLoadFactors(s *Stress, w float64) {
	w = max(w, 1e-6)
	soft := math.Sqrt(math.Sqrt(min(1, max(w, 1)/100)))
	cγ := r.MeshRate * soft
	s.SpeedRatio = s.Velocity / (r.Resonance * math.Sqrt(soft) * r.mm.d1 / 2000)
	s.NearResonance = s.SpeedRatio > 0.85
	if r.Set.Method == MethodB && !s.NearResonance {
		s.Kv = r.kvB(s.SpeedRatio, r.Stiffness*soft, w)
	} else {
		s.Kv = r.kvC(s.Velocity, w)
	}
	s.KHbeta = r.Set.FaceLoad
	if s.KHbeta == 0 {
		s.KHbeta = r.faceLoad(w*s.Kv, 0.85*cγ)
	}
	s.KFbeta = math.Pow(s.KHbeta, r.Root.faceLoadExponent)
	// [ISO6336] part 1, method B, the same before its limits for flank and root.
	εγ, εα := r.Mesh.Total(), r.Mesh.Contact
	term := cγ * r.Root.pitchErr / (w * s.Kv * s.KHbeta)
	k := εγ / 2 * (0.9 + 0.4*term)
	if εγ > 2 {
		k = 0.9 + 0.4*math.Sqrt(2*(εγ-1)/εγ)*term
	}
	s.KHal = max(1, min(k, εγ/(εα*sq(r.Flank.Zeps))))
	s.KFal = max(1, min(k, εγ/(0.25*εα+0.75)))
}

// kvB is the dynamic factor below resonance:
//
//	K_v = 1 + N (C_1 B_p + C_2 B_f + C_3 B_k)
//	B_p = c' (f_pb − y_p)/w     B_f = c' (f_fα − y_f)/w     B_k = |1 − c' C_a/w|, 1 without relief
//	C_1..3 = 0.32, 0.34, 0.23 for ε_γ up to 2, above 0.32, 0.57/(ε_γ − 0.3), 0.096/(ε_γ − 1.56)
//
// [ISO6336] part 1, method B; [TR6336-30] prints 1.003 for its example.
func (r *Ready) kvB(ratio, stiffness, w float64) float64 {
	bk := 1.0
	if a := float64(r.Set.Relief / unit.Micrometre); a > 0 {
		bk = min(1, math.Abs(1-stiffness*a/w))
	}
	c2, c3 := 0.34, 0.23
	if ε := r.Mesh.Total(); ε > 2 {
		c2, c3 = 0.57/(ε-0.3), 0.096/(ε-1.56)
	}
	return 1 + ratio*(0.32*stiffness*r.Root.pitchErr/w+c2*stiffness*r.Root.formErr/w+c3*bk)
}

// The constants K_1 of method C for grades 3 to 8, and K_2. [ISO6336] part 1, from
// memory.
var (
	k1Spur    = [...]float64{2.1, 3.9, 7.5, 14.9, 26.8, 39.1}
	k1Helical = [...]float64{1.9, 3.5, 6.7, 13.3, 23.9, 34.8}
)

const k2Spur, k2Helical = 0.0193, 0.0087

// kvC is the dynamic factor from the accuracy grade:
//
//	K_v = 1 + (K_1 / w + K_2) (v z_1 / 100) K_3 √(u²/(1 + u²))       w at least 100 N/mm
//	K_3 = 2 up to 0.2 of (v z_1 / 100) √(u²/(1 + u²)), above 2.071 − 0.357 of it, held from 3 on
//
// Between spur and ε_β = 1 in proportion to ε_β. [ISO6336] part 1, method C.
func (r *Ready) kvC(v, w float64) float64 {
	x := v * r.mm.z1 / 100 * math.Sqrt(sq(r.mm.u)/(1+sq(r.mm.u)))
	k3 := 2.0
	if x > 0.2 {
		k3 = 2.071 - 0.357*min(x, 3)
	}
	w = max(w, 100)
	i := r.Set.Grade - 3
	spur := 1 + (k1Spur[i]/w+k2Spur)*x*k3
	helical := 1 + (k1Helical[i]/w+k2Helical)*x*k3
	εβ := min(1, r.Mesh.Overlap)
	return spur - εβ*(spur-helical)
}

// faceLoad is K_Hβ from the misalignment, with w the mean load on the face in N/mm:
//
//	F_βy = F_βx − 0.15 F_βx, at most 6 µm run in
//	K_Hβ = 1 + F_βy c_γβ / (2 w), from 2 on √(2 F_βy c_γβ / w)
//
// [ISO6336] part 1, method C.
func (r *Ready) faceLoad(w, cβ float64) float64 {
	f := float64(r.Set.Misalignment / unit.Micrometre)
	f -= min(6, 0.15*f)
	if share := f * cβ / (2 * w); share >= 1 {
		return 2 * math.Sqrt(share)
	} else {
		return 1 + share
	}
}

// Strength returns the permissible stresses of flank and root of each gear at a
// number of load cycles of that gear, without a safety factor:
//
//	σ_HG = σ_Hlim Z_NT Z_L Z_v Z_R Z_X     σ_FG = σ_Flim · 2 · Y_NT Y_δrelT Y_RrelT Y_X Y_M
//
// The factors after the life factor count in full for long life and not for static
// load, in between by the logarithm of the cycles.
func (r *Ready) Strength(s Stress, cycles [2]float64) (flank, root [2]unit.Pressure) {
	for i := range 2 {
		flank[i] = unit.Pressure(r.flankLimit[i]*r.flankLine(s, i).Factor(cycles[i])) * unit.Megapascal
		root[i] = unit.Pressure(r.rootLimit[i]*r.root[i].Factor(cycles[i])) * unit.Megapascal
	}
	return flank, root
}

func (r *Ready) flankLine(s Stress, i int) Life {
	f := &r.Flank
	return r.flank[i].scaled(f.ZL[i] * s.Zv[i] * f.ZR[i] * f.ZX[i])
}

// Safety is strength over stress of each gear.
type Safety struct{ Flank, Root [2]float64 }

// Least returns the smallest safeties of flank and root.
func (s Safety) Least() (flank, root float64) {
	return min(s.Flank[0], s.Flank[1]), min(s.Root[0], s.Root[1])
}

// Safety returns the safeties under a load that the first gear bears for a number
// of turns. A flank's is one of stress: torque may grow by its square.
func (r *Ready) Safety(l Load, turns float64) (Safety, Stress, error) {
	s, err := r.At(l)
	if err != nil {
		return Safety{}, s, err
	}
	if !(turns >= 1 && turns <= 1e15) {
		return Safety{}, s, fmt.Errorf("rating: turns are 1 to 1e15, got %g", turns)
	}
	if l.Torque == 0 {
		return Safety{}, s, fmt.Errorf("rating: without torque there is no safety to tell")
	}
	flank, root := r.Strength(s, [2]float64{turns, turns / r.mm.u})
	var out Safety
	for i := range 2 {
		out.Flank[i], out.Root[i] = float64(flank[i]/s.Flank[i]), float64(root[i]/s.Root[i])
	}
	return out, s, nil
}

// Permissible returns the torque on the first gear at which the least safety comes
// down to what is wanted, and whether it is a root that sets it.
func (r *Ready) Permissible(speed, turns, flankSafety, rootSafety float64) (t unit.Torque, byRoot bool, err error) {
	if !(flankSafety >= 0.5 && flankSafety <= 10 && rootSafety >= 0.5 && rootSafety <= 10) {
		return 0, false, fmt.Errorf("rating: safeties wanted are 0.5 to 10, got %g and %g", flankSafety, rootSafety)
	}
	// Stress goes nearly by torque or its root, so the logarithm of the safety falls
	// by about 1 for 1 of torque: from there on by the slope that the last step showed.
	x, slope := math.Log(100), -1.0
	var lastX, lastG float64
	for k := range 100 {
		s, _, err := r.Safety(Load{unit.Torque(math.Exp(x)), speed}, turns)
		if err != nil {
			return 0, false, err
		}
		f, b := s.Least()
		byFlank, byBend := sq(f/flankSafety), b/rootSafety
		byRoot = byBend < byFlank
		g := math.Log(min(byFlank, byBend))
		if math.Abs(g) < 1e-11 {
			break
		}
		if k > 0 && x != lastX {
			slope = min(-0.3, max(-3, (g-lastG)/(x-lastX)))
		}
		lastX, lastG = x, g
		x = min(math.Log(1e7), max(math.Log(1e-6), x-g/slope))
	}
	t = unit.Torque(math.Exp(x))
	return t, byRoot, nil
}
