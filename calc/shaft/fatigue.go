package shaft

import (
	"fmt"
	"math"
)

// Cycle is how the nominal stresses of a section swing: amplitude and mean of
// tension and of torsion. On a shaft that turns under gear forces bending is all
// amplitude; torque is mean, or half amplitude where it comes and goes, and all
// amplitude where it turns round.
type Cycle struct{ BendingAmp, BendingMean, TorsionAmp, TorsionMean float64 }

// Strength are those of the shaft's steel.
type Strength struct {
	Endurance float64 // against rotating bending of this very shaft, notch apart
	Yield     float64
	Tensile   float64
}

// Rule is a way to weigh mean against amplitude.
type Rule uint8

// The rules. Goodman is straight and safe, Gerber follows the tests, Elliptic and
// Soderberg bring in yield.
const (
	Goodman Rule = iota
	Gerber
	Elliptic
	Soderberg
)

var rules = [...]string{"Goodman", "Gerber", "ASME elliptic", "Soderberg"}

// String returns the rule's name.
func (r Rule) String() string {
	if int(r) >= len(rules) {
		return "unknown rule"
	}
	return rules[r]
}

// Swing returns the equivalent amplitude and mean after von Mises, the notch counted
// in both:
//
//	σa′ = √((Kf σa)² + 3 (Kfs τa)²), σm′ alike
func (c Cycle) Swing(n Notch) (amplitude, mean float64) {
	q := math.Sqrt(3)
	return math.Hypot(n.Bending*c.BendingAmp, q*n.Torsion*c.TorsionAmp),
		math.Hypot(n.Bending*c.BendingMean, q*n.Torsion*c.TorsionMean)
}

// Safety returns the safety against fatigue for ever:
//
//	Goodman    1/n = σa′/Se + σm′/Rm
//	Soderberg  1/n = σa′/Se + σm′/Re
//	elliptic   1/n² = (σa′/Se)² + (σm′/Re)²
//	Gerber     1/n = σa′/(2 Se) (1 + √(1 + (2 σm′ Se/(σa′ Rm))²))
//
// [BN10] equations 7-7 to 7-14. Safety against the first yield is apart: see
// YieldSafety.
func (s Strength) Safety(c Cycle, n Notch, r Rule) (float64, error) {
	if !(s.Endurance > 0 && s.Yield > 0 && s.Tensile >= s.Yield && n.Bending >= 1 && n.Torsion >= 1) {
		return 0, fmt.Errorf("shaft: fatigue needs strengths above 0, tensile not below yield, and notch factors of 1 or more, got %g, %g and %g MPa, %g and %g",
			s.Endurance/1e6, s.Yield/1e6, s.Tensile/1e6, n.Bending, n.Torsion)
	}
	a, m := c.Swing(n)
	if !(a+m > 0 && a+m < 1e15) {
		return 0, fmt.Errorf("shaft: a safety needs some stress, got %g and %g MPa", a/1e6, m/1e6)
	}
	a /= s.Endurance
	switch r {
	case Goodman:
		return 1 / (a + m/s.Tensile), nil
	case Soderberg:
		return 1 / (a + m/s.Yield), nil
	case Elliptic:
		return 1 / math.Hypot(a, m/s.Yield), nil
	case Gerber:
		// Written so that no amplitude at all leaves n = Rm/σm′.
		return 2 / (a + math.Hypot(a, 2*m/s.Tensile)), nil
	}
	return 0, fmt.Errorf("shaft: there is no rule %d", r)
}

// YieldSafety returns Re over the largest stress of the cycle after von Mises,
// without notch: ductile steel evens a peak out once.
func (s Strength) YieldSafety(c Cycle) (float64, error) {
	most := math.Hypot(c.BendingAmp+c.BendingMean, math.Sqrt(3)*(c.TorsionAmp+c.TorsionMean))
	if !(s.Yield > 0 && most > 0) {
		return 0, fmt.Errorf("shaft: a safety needs a yield stress and some stress, got %g and %g MPa", s.Yield/1e6, most/1e6)
	}
	return s.Yield / most, nil
}

// Finish is how a surface was made, for the endurance of steel.
type Finish struct {
	Name   string
	Factor float64 // a of ka = a·Rm^b, Rm in MPa
	Power  float64 // b
}

// Finishes returns the surfaces, a fresh copy each time. [BN8] table 6-2; machined
// is checked on its problem 7-2, the others are from memory.
func Finishes() []Finish {
	return []Finish{{"ground", 1.58, -0.085}, {"machined", 4.51, -0.265}, {"hot-rolled", 57.7, -0.718}, {"forged", 272, -0.995}}
}

// Endurance returns that of steel of a tensile strength in a shaft of a diameter:
//
//	Se = ka kb · Rm/2,  Rm/2 at most 700 MPa
//	kb = (d/7.62)^−0.107 to 51 mm, 1.51 d^−0.157 above, d in mm
//
// [BN8] equations 6-8, 6-19 and 6-20. Half of all shafts reach it; for a high
// reliability take 0.8 of it. A sound hardened case stands more.
func (f Finish) Endurance(tensile, diameter float64) (float64, error) {
	s, d := tensile/1e6, diameter*1e3
	if !(s > 100 && s < 5000 && d > 0 && d < 1000 && f.Factor > 0) {
		return 0, fmt.Errorf("shaft: endurance needs a tensile strength, a diameter and a finish, got %g MPa, %g mm and %q", s, d, f.Name)
	}
	ka := min(1, f.Factor*math.Pow(s, f.Power))
	kb := 1.0
	switch {
	case d > 51:
		kb = 1.51 * math.Pow(d, -0.157)
	case d > 2.79:
		kb = min(1, math.Pow(d/7.62, -0.107))
	}
	return ka * kb * min(s/2, 700) * 1e6, nil
}
