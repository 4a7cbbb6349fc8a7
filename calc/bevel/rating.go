package bevel

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Textbook is a straight bevel pair at 90° rated by the AGMA method as textbooks
// print it. The geometry factors I and J come from the book's figures, which ask for
// 20° and straight teeth; figures for spiral teeth may be used in their place. A
// hypoid pair is outside: compare its duty with that it was made for, [Compare].
//
// The book counts in inches, pounds and feet per minute, and so do the formulas.
// Torque and speed are the pinion's.
type Textbook struct {
	Teeth     [2]int
	Module    unit.Length // at the outer end
	Face      unit.Length
	Torque    unit.Torque
	Speed     float64 // rad/s
	Overload  float64 // K_o
	Quality   float64 // Q_v, 5 to 11
	Mounting  Mounting
	Crowned   bool
	I         float64
	J         [2]float64
	Bending   [2]unit.Pressure // allowable stress numbers s_at and s_ac
	Contact   [2]unit.Pressure
	Cycles    float64          // of the pinion
	Hot       unit.Temperature // of the oil; up to 121 °C nothing changes
	Unfailing float64          // reliability, 0.9 to 0.999
}

// Mounting says how pinion and wheel are held.
type Mounting string

// The mountings: straddle-mounted is between two bearings, else overhung.
const (
	BothStraddled   Mounting = "both between bearings"
	OneStraddled    Mounting = "one between bearings, one overhung"
	NeitherStraddle Mounting = "both overhung"
)

// TextbookResult is what Textbook comes to. Velocity is in m/s at the outer pitch
// circle. Safeties are of stress: load may grow by the square of that of contact.
type TextbookResult struct {
	Velocity                       float64
	Tangential                     unit.Force // at the outer end
	Kv, Ks, Km, Cs, Cxc, Kt, Kr    float64
	Kl, Cl                         [2]float64
	Bending                        [2]unit.Pressure
	Contact                        unit.Pressure // the same on both
	AllowedBending, AllowedContact [2]unit.Pressure
	SafetyBending, SafetyContact   [2]float64
}

const (
	psi = 6894.757293168361 // Pa
	fpm = 0.3048 / 60       // m/s
	lbf = 4.4482216152605   // N
)

// Allowable stress numbers of case-hardened steel of grade 1, 30 000 and 200 000 psi:
// [BN15] example 15-2.
const (
	CaseHardened1Bending = unit.Pressure(30000 * psi)
	CaseHardened1Contact = unit.Pressure(200000 * psi)
)

// ThroughHardened1 returns those of through-hardened steel of grade 1 at a Brinell
// hardness, 44 HB + 2100 and 341 HB + 23 620 psi: [BN15].
func ThroughHardened1(brinell float64) (bending, contact unit.Pressure, err error) {
	if !(brinell >= 150 && brinell <= 400) {
		return 0, 0, fmt.Errorf("bevel: through-hardened steel of grade 1 is known from 150 to 400 HB, got %g", brinell)
	}
	return unit.Pressure((44*brinell + 2100) * psi), unit.Pressure((341*brinell + 23620) * psi), nil
}

// Rating returns stresses and safeties.
//
//	s_t = W/F · P_d K_o K_v K_s K_m / J      s_c = 2290 √(W / (F d I) · K_o K_v K_m C_s C_xc)
//	K_s = 0.4867 + 0.2132 / P_d              K_m = K_mb + 0.0036 F², K_mb 1, 1.10, 1.25 by mounting
//	C_s = 0.125 F + 0.4375, 0.5 to 1         C_xc = 1.5 crowned, 2 else
//	K_L = 1.683 N^−0.0323 from 3e6 on, below 6.1514 N^−0.1192, at most 2.7
//	C_L = 3.4822 N^−0.0602 from 1e4 on, at most 2
//	K_R = 0.50 − 0.25 log(1 − R) from 0.99 on, below 0.70 − 0.15 log(1 − R)
//
// [BN15], steel on steel; examples 15-1 and 15-2. The allowable stress is that of the
// steel times K_L/(K_T K_R) or C_L/(K_T √K_R).
func (t Textbook) Rating() (TextbookResult, error) {
	if err := t.check(); err != nil {
		return TextbookResult{}, err
	}
	pd := float64(unit.Inch / t.Module)
	d, face := float64(t.Teeth[0])/pd, float64(t.Face/unit.Inch)
	v := t.Speed * d * 0.0254 / 2 / fpm
	w := float64(t.Torque) / (d * 0.0254 / 2) / lbf
	r := TextbookResult{Velocity: v * fpm, Tangential: unit.Force(w * lbf), Cxc: 2, Kt: 1}
	b := 0.25 * math.Pow(12-t.Quality, 2.0/3)
	a := 50 + 56*(1-b)
	r.Kv = math.Pow((a+math.Sqrt(v))/a, b)
	r.Ks = 0.4867 + 0.2132/min(16, pd)
	r.Km = map[Mounting]float64{BothStraddled: 1, OneStraddled: 1.10, NeitherStraddle: 1.25}[t.Mounting] + 0.0036*face*face
	r.Cs = min(1, max(0.5, 0.125*face+0.4375))
	if t.Crowned {
		r.Cxc = 1.5
	}
	if f := float64(t.Hot)*1.8 + 32; f > 250 {
		r.Kt = (460 + f) / 710
	}
	fails := math.Log10(1 - t.Unfailing)
	if r.Kr = 0.50 - 0.25*fails; t.Unfailing < 0.99 {
		r.Kr = 0.70 - 0.15*fails
	}
	load := w * t.Overload * r.Kv * r.Km / face
	r.Contact = unit.Pressure(2290 * math.Sqrt(load/(d*t.I)*r.Cs*r.Cxc) * psi)
	for i := range 2 {
		n := t.Cycles
		if i == 1 {
			n *= float64(t.Teeth[0]) / float64(t.Teeth[1])
		}
		r.Kl[i], r.Cl[i] = bendingLife(n), contactLife(n)
		r.Bending[i] = unit.Pressure(load * pd * r.Ks / t.J[i] * psi)
		r.AllowedBending[i] = t.Bending[i] * unit.Pressure(r.Kl[i]/(r.Kt*r.Kr))
		r.AllowedContact[i] = t.Contact[i] * unit.Pressure(r.Cl[i]/(r.Kt*math.Sqrt(r.Kr)))
		r.SafetyBending[i] = float64(r.AllowedBending[i] / r.Bending[i])
		r.SafetyContact[i] = float64(r.AllowedContact[i] / r.Contact)
	}
	return r, nil
}

func bendingLife(n float64) float64 {
	if n >= 3e6 {
		return 1.683 * math.Pow(n, -0.0323)
	}
	return min(2.7, 6.1514*math.Pow(n, -0.1192))
}

func contactLife(n float64) float64 { return min(2, 3.4822*math.Pow(n, -0.0602)) }

func (t Textbook) check() error {
	switch {
	case t.Teeth[0] < 6 || t.Teeth[1] < t.Teeth[0] || t.Teeth[1] > 400:
		return fmt.Errorf("bevel: teeth are 6 to 400, the pinion's first, got %d and %d", t.Teeth[0], t.Teeth[1])
	case !(t.Module >= 0.4*unit.Millimetre && t.Module <= 51*unit.Millimetre && t.Face > 0 && t.Face <= 12*unit.Inch):
		return fmt.Errorf("bevel: an outer module is 0.4 to 51 mm and a face above 0 to 305 mm, got %.4g and %.4g mm", float64(t.Module/unit.Millimetre), float64(t.Face/unit.Millimetre))
	case !(t.Torque > 0 && t.Torque <= 1e7 && t.Speed >= 0 && t.Speed <= 1e5 && t.Overload >= 0.5 && t.Overload <= 5):
		return fmt.Errorf("bevel: torque is above 0, speed 0 or more and the overload factor 0.5 to 5, got %g N·m, %g rad/s and %g", float64(t.Torque), t.Speed, t.Overload)
	case !(t.Quality >= 5 && t.Quality <= 11):
		return fmt.Errorf("bevel: Q_v is 5 to 11, got %g", t.Quality)
	case t.Mounting != BothStraddled && t.Mounting != OneStraddled && t.Mounting != NeitherStraddle:
		return fmt.Errorf("bevel: the mounting is %q, %q or %q, not %q", BothStraddled, OneStraddled, NeitherStraddle, t.Mounting)
	case !(t.I > 0.01 && t.I < 0.5 && t.J[0] > 0.05 && t.J[0] < 1 && t.J[1] > 0.05 && t.J[1] < 1):
		return fmt.Errorf("bevel: I is 0.01 to 0.5 and J 0.05 to 1, got %g and %g, %g", t.I, t.J[0], t.J[1])
	case !(t.Bending[0] > 0 && t.Bending[1] > 0 && t.Contact[0] > 0 && t.Contact[1] > 0):
		return fmt.Errorf("bevel: both gears need allowable stresses above 0")
	case !(t.Cycles >= 1e3 && t.Cycles <= 1e10 && t.Unfailing >= 0.9 && t.Unfailing <= 0.999+1e-12 && t.Hot > -50 && t.Hot < 300):
		return fmt.Errorf("bevel: cycles are 1e3 to 1e10, reliability 0.9 to 0.999 and oil -50 to 300 °C, got %g, %g and %g", t.Cycles, t.Unfailing, float64(t.Hot))
	}
	return nil
}

// Step is a part of a duty: a torque and how many turns it acts, both of the same gear.
type Step struct {
	Torque unit.Torque
	Turns  float64
}

// How fast a pair wears with torque: damage of a turn goes by torque to the slope, as
// far as the life factors of [BN15] fall in a straight line: 1/0.1192 at the root up
// to 3e6 cycles, and 1/(2 · 0.0602) at the flank, where stress goes by √torque.
const (
	RootSlope  = 1 / 0.1192
	FlankSlope = 1 / (2 * 0.0602)
)

// Comparison sets a new duty beside the one that a pair was made for.
type Comparison struct {
	Peak  float64 // largest torque over the largest before
	Root  float64 // damage of the new duty over that of the old
	Flank float64
}

// Compare returns how much more a new duty takes out of a pair than the old one did,
// for any bevel or hypoid pair: same teeth, same setting, same oil.
//
//	Σ n_i T_i^p (new) / Σ n_i T_i^p (old)
//
// with p by [RootSlope] and [FlankSlope]. It tells nothing of what the pair could bear
// in the first place; a peak above the old one has not been borne before.
func Compare(old, new []Step) (Comparison, error) {
	top, err := peak(old, "old")
	if err != nil {
		return Comparison{}, err
	}
	high, err := peak(new, "new")
	if err != nil {
		return Comparison{}, err
	}
	used := func(duty []Step, p float64) (u float64) {
		for _, s := range duty {
			u += s.Turns * math.Pow(float64(s.Torque)/top, p)
		}
		return u
	}
	return Comparison{high / top, used(new, RootSlope) / used(old, RootSlope), used(new, FlankSlope) / used(old, FlankSlope)}, nil
}

func peak(duty []Step, which string) (float64, error) {
	top, turns := 0.0, 0.0
	for i, s := range duty {
		if !(s.Torque >= 0 && s.Torque <= 1e7 && s.Turns >= 0 && s.Turns <= 1e15) {
			return 0, fmt.Errorf("bevel: step %d of the %s duty: torque is 0 to 1e7 N·m and turns 0 to 1e15, got %g and %g", i+1, which, float64(s.Torque), s.Turns)
		}
		if s.Turns > 0 {
			top = max(top, float64(s.Torque))
			turns += s.Turns
		}
	}
	if !(top >= 1e-3 && turns >= 1e-3) {
		return 0, fmt.Errorf("bevel: the %s duty needs at least one step with torque and turns", which)
	}
	return top, nil
}

// Size is what two sets are compared by when their teeth are of one make.
type Size struct {
	PinionTeeth, WheelTeeth int
	Module, Face            unit.Length // outer transverse module
}

// Relative returns the stress of a set over that of another under the same torque on
// the wheel, with teeth of one form:
//
//	root:  T1/(d1 F m)         flank: √(T1/(d1² F) · √(u² + 1)/u)     T1 = T2/u, d1 = m z1
//
// The flank goes by the curvature of the virtual spur pair, u_v = u². Textbook, no
// source; a comparison only, since shape and spiral are taken as alike.
func Relative(a, b Size) (root, flank float64, err error) {
	index := func(s Size) (float64, float64, error) {
		if s.PinionTeeth < 5 || s.WheelTeeth < s.PinionTeeth || s.WheelTeeth > 400 || !(s.Module > 0 && s.Module < 1 && s.Face > 0 && s.Face < 1) {
			return 0, 0, fmt.Errorf("bevel: no such set: %d and %d teeth, module %.4g mm, face %.4g mm", s.PinionTeeth, s.WheelTeeth, float64(s.Module/unit.Millimetre), float64(s.Face/unit.Millimetre))
		}
		u, m, f := float64(s.WheelTeeth)/float64(s.PinionTeeth), float64(s.Module), float64(s.Face)
		d := m * float64(s.PinionTeeth)
		return 1 / (u * d * f * m), math.Sqrt(math.Sqrt(u*u+1) / (u * u * d * d * f)), nil
	}
	ra, fa, err := index(a)
	if err != nil {
		return 0, 0, err
	}
	rb, fb, err := index(b)
	return ra / rb, fa / fb, err
}
