package rating

import (
	"fmt"
	"math"

	"endfloat/calc/gear"
	"endfloat/calc/unit"
)

// Textbook is a pair of gears rated by the AGMA method as textbooks print it. The
// geometry factors J come from the book's figures and the form factors Y from its
// table; both ask for full-depth teeth of 20°.
//
// The book counts in inches, pounds and feet per minute, and so do the formulas:
// inputs are turned once, at the top. Assumed: no overload but Overload, a commercial
// enclosed unit with bearings close by, uncrowned teeth, solid blanks, oil below
// 120 °C.
type Textbook struct {
	Teeth    [2]int
	Module   unit.Length // normal
	Helix    unit.Angle
	Face     unit.Length
	Torque   unit.Torque // of the first gear
	Speed    float64     // of the first gear, rad/s
	Overload float64     // K_o
	Quality  float64     // Q_v, 5 to 11

	J    [2]float64 // bending geometry factor
	Y    [2]float64 // Lewis form factor, for the size factor
	Size [2]float64 // K_s; 0: from Y

	Bending     [2]unit.Pressure // allowable stress numbers S_t and S_c
	Contact     [2]unit.Pressure
	Hardness    [2]float64 // Brinell; 0 if the hardness ratio does not count
	Cycles      float64    // of the first gear
	Reliability float64    // 0.5 to 0.9999
}

// TextbookResult is what Textbook comes to. Velocity is in m/s.
type TextbookResult struct {
	Velocity         float64
	Tangential       unit.Force
	Kv, Km, Kr, I    float64
	Ks               [2]float64
	Yn, Zn           [2]float64
	Bending, Contact [2]unit.Pressure
	SafetyBending    [2]float64
	SafetyContact    [2]float64 // of stress: load may grow by its square
}

const (
	psi = 6894.757293168361 // Pa
	fpm = 0.3048 / 60       // m/s
	lbf = 4.4482216152605   // N
)

// ThroughHardened1 returns the allowable stress numbers of through-hardened steel of
// grade 1 at a Brinell hardness, S_t = 77.3 HB + 12 800 and S_c = 322 HB + 29 100 psi.
// [BN14] figures 14-2 and 14-5. It returns an error outside 150 to 400 HB.
func ThroughHardened1(brinell float64) (bending, contact unit.Pressure, err error) {
	if !(brinell >= 150 && brinell <= 400) {
		return 0, 0, fmt.Errorf("rating: through-hardened steel of grade 1 is known from 150 to 400 HB, got %g", brinell)
	}
	return unit.Pressure((77.3*brinell + 12800) * psi), unit.Pressure((322*brinell + 29100) * psi), nil
}

// CaseHardened1 are the allowable stress numbers of case-hardened steel of grade 1,
// 55 000 and 180 000 psi: [BN14] tables 14-3 and 14-6, from memory.
const (
	CaseHardened1Bending = unit.Pressure(55000 * psi)
	CaseHardened1Contact = unit.Pressure(180000 * psi)
)

// Rating returns stresses and safeties.
//
//	σ   = W K_o K_v K_s (P_d / F) K_m / J
//	σ_c = 2300 √(W K_o K_v K_s K_m / (d F I))
//	K_v = ((A + √V) / A)^B     B = 0.25 (12 − Q_v)^(2/3)    A = 50 + 56 (1 − B)
//	K_s = 1.192 (F √Y / P_d)^0.0535
//	K_m = 1 + C_pf + C_ma      C_ma = 0.127 + 0.0158 F − 0.93e-4 F²
//	I   = cos φ_t sin φ_t / (2 m_N) · m_G / (m_G + 1)
//	Y_N = 1.3558 N^−0.0178     Z_N = 1.4488 N^−0.023
//
// [BN14], steel on steel; examples 14-4, 14-5 and 14-8. Fewer cycles than 3e6 for
// bending and 1e7 for contact are taken as so many: short lives gain nothing here.
func (t Textbook) Rating() (TextbookResult, error) {
	if err := t.check(); err != nil {
		return TextbookResult{}, err
	}
	inch := func(l unit.Length) float64 { return float64(l / unit.Inch) }
	face, cosψ := inch(t.Face), math.Cos(float64(t.Helix))
	pd := cosψ / inch(t.Module)
	d := float64(t.Teeth[0]) / pd
	mg := float64(t.Teeth[1]) / float64(t.Teeth[0])
	v := t.Speed * d * 0.0254 / 2 / fpm
	w := float64(t.Torque) / (d * 0.0254 / 2) / lbf
	r := TextbookResult{Velocity: v * fpm, Tangential: unit.Force(w * lbf)}
	r.Kv = textbookKv(t.Quality, v)
	r.Km = 1 + alignment(face, d) + 0.127 + 0.0158*face - 0.93e-4*face*face
	r.Kr, _ = ReliabilityFactor(t.Reliability)
	r.I = t.geometryI(inch(t.Module), mg)
	if !(r.I > 0 && r.I < 1) {
		return TextbookResult{}, fmt.Errorf("rating: the geometry factor I comes to %.3g; these teeth do not mesh as the book takes it", r.I)
	}
	ch := 1.0
	if hp, hg := t.Hardness[0], t.Hardness[1]; hp > 0 && hg > 0 {
		ch = 1 + (8.98e-3*min(1.7, max(1.2, hp/hg))-8.29e-3)*(mg-1)
		if hp/hg < 1.2 {
			ch = 1
		}
	}
	for i := range 2 {
		r.Ks[i] = t.Size[i]
		if r.Ks[i] == 0 {
			r.Ks[i] = 1.192 * math.Pow(face*math.Sqrt(t.Y[i])/pd, 0.0535)
		}
		n := t.Cycles
		if i == 1 {
			n /= mg
		}
		r.Yn[i] = 1.3558 * math.Pow(max(n, 3e6), -0.0178)
		r.Zn[i] = 1.4488 * math.Pow(max(n, 1e7), -0.023)
		load := w * t.Overload * r.Kv * r.Ks[i] * r.Km
		r.Bending[i] = unit.Pressure(load * pd / face / t.J[i] * psi)
		r.Contact[i] = unit.Pressure(2300 * math.Sqrt(load/(d*face*r.I)) * psi)
		r.SafetyBending[i] = float64(t.Bending[i]/r.Bending[i]) * r.Yn[i] / r.Kr
		r.SafetyContact[i] = float64(t.Contact[i]/r.Contact[i]) * r.Zn[i] / r.Kr
	}
	r.SafetyContact[1] *= ch // for the gear only
	return r, nil
}

func (t Textbook) check() error {
	switch {
	case t.Teeth[0] < 8 || t.Teeth[1] < t.Teeth[0] || t.Teeth[1] > 2000:
		return fmt.Errorf("rating: teeth are 8 to 2000, the smaller gear first, got %d and %d", t.Teeth[0], t.Teeth[1])
	case !(t.Module >= 0.1*unit.Millimetre && t.Module <= 50*unit.Millimetre && math.Abs(float64(t.Helix)) <= 0.8):
		return fmt.Errorf("rating: a normal module is 0.1 to 50 mm and a helix angle up to 45°, got %.4g mm and %.4g°", float64(t.Module/unit.Millimetre), float64(t.Helix/unit.Degree))
	case !(t.Face > 0 && t.Face <= 40*unit.Inch):
		return fmt.Errorf("rating: the book's face widths go up to 40 in, got %.4g mm", float64(t.Face/unit.Millimetre))
	case !(t.Torque > 0 && t.Torque <= 1e7 && t.Speed >= 0 && t.Speed <= 1e5 && t.Overload >= 0.5 && t.Overload <= 5):
		return fmt.Errorf("rating: torque is above 0, speed 0 or more and the overload factor 0.5 to 5, got %g N·m, %g rad/s and %g", float64(t.Torque), t.Speed, t.Overload)
	case !(t.Quality >= 5 && t.Quality <= 11):
		return fmt.Errorf("rating: Q_v is 5 to 11, got %g", t.Quality)
	case !(t.Cycles >= 1 && t.Cycles <= 1e12):
		return fmt.Errorf("rating: load cycles are 1 to 1e12, got %g", t.Cycles)
	}
	for i := range 2 {
		if !(t.J[i] > 0.05 && t.J[i] < 1.5) || t.Size[i] == 0 && !(t.Y[i] > 0.1 && t.Y[i] < 0.6) || !(t.Size[i] == 0 || t.Size[i] >= 1 && t.Size[i] < 3) {
			return fmt.Errorf("rating: gear %d: J is 0.05 to 1.5 and Y 0.1 to 0.6, got %g and %g", i+1, t.J[i], t.Y[i])
		}
		if !(t.Bending[i] > 0 && t.Contact[i] > 0 && t.Hardness[i] >= 0) {
			return fmt.Errorf("rating: gear %d needs both allowable stresses above 0", i+1)
		}
	}
	_, err := ReliabilityFactor(t.Reliability)
	return err
}

// textbookKv is K_v at a speed in ft/min.
func textbookKv(quality, v float64) float64 {
	b := 0.25 * math.Pow(12-quality, 2.0/3)
	a := 50 + 56*(1-b)
	return math.Pow((a+math.Sqrt(v))/a, b)
}

// alignment is C_pf for a face and a pinion diameter in inches, F/(10 d) at least 0.05.
func alignment(face, d float64) float64 {
	x := max(0.05, face/(10*d))
	switch {
	case face <= 1:
		return x - 0.025
	case face <= 17:
		return x - 0.0375 + 0.0125*face
	}
	return x - 0.1109 + 0.0207*face - 0.000228*face*face
}

// geometryI is the contact geometry factor. The load-sharing ratio m_N is 1 for spur
// teeth and p_N / (0.95 Z) for helical ones, Z the path of contact.
func (t Textbook) geometryI(module, mg float64) float64 {
	const φn = 20 * unit.Degree
	φ, _ := gear.Transverse(φn, t.Helix)
	sin, cos := math.Sincos(float64(φ))
	mn := 1.0
	if t.Helix != 0 {
		path := 0.0
		for _, z := range t.Teeth {
			r := float64(z) * module / math.Cos(float64(t.Helix)) / 2
			path += math.Sqrt(sq(r+module)-sq(r*cos)) - r*sin
		}
		mn = math.Pi * module * math.Cos(float64(φn)) / (0.95 * path)
	}
	return cos * sin / (2 * mn) * mg / (mg + 1)
}

// ReliabilityFactor returns K_R: 1.50 for 0.9999, 1.25 for 0.999, 1.00 for 0.99, 0.85
// for 0.90, 0.70 for 0.50, in between by the logarithm of what fails. [BN14] table
// 14-10. It returns an error outside.
func ReliabilityFactor(reliability float64) (float64, error) {
	if !(reliability >= 0.5 && reliability <= 0.9999+1e-12) {
		return 0, fmt.Errorf("rating: a reliability is 0.5 to 0.9999, got %g", reliability)
	}
	at := [...]float64{0.5, 0.1, 0.01, 0.001, 0.0001}
	k := [...]float64{0.70, 0.85, 1.00, 1.25, 1.50}
	fails := max(1-reliability, at[4])
	i := 1
	for i < 4 && fails < at[i] {
		i++
	}
	share := math.Log(fails/at[i-1]) / math.Log(at[i]/at[i-1])
	return k[i-1] + share*(k[i]-k[i-1]), nil
}
