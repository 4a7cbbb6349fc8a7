package shaft

import (
	"fmt"
	"math"
)

// Section is a round section of a shaft.
type Section struct{ Outside, Bore float64 }

func (s Section) check() error {
	if !(s.Bore >= 0 && s.Outside > s.Bore && s.Outside < 100) {
		return fmt.Errorf("shaft: a section of %g mm with a bore of %g mm has no wall", s.Outside*1e3, s.Bore*1e3)
	}
	return nil
}

// Modulus returns the section modulus against bending, π (D⁴ − d⁴)/(32 D); against
// torsion it is twice that.
func (s Section) Modulus() float64 { return 2 * SecondMoment(s.Outside, s.Bore) / s.Outside }

// Area returns the area of the section.
func (s Section) Area() float64 {
	return math.Pi / 4 * (s.Outside - s.Bore) * (s.Outside + s.Bore)
}

// Stress are nominal stresses at the surface of a section, without any notch.
type Stress struct{ Bending, Axial, Torsion float64 }

// Stress returns the nominal stresses for a bending moment, a torque and an axial
// force:
//
//	σb = 32 M D/(π (D⁴ − d⁴))    τ = 16 T D/(π (D⁴ − d⁴))    σa = N/A
//
// Shear from the lateral forces is left out: it is nothing where bending is most.
func (s Section) Stress(moment, torque, normal float64) (Stress, error) {
	if err := s.check(); err != nil {
		return Stress{}, err
	}
	if !(math.Abs(moment) < 1e9 && math.Abs(torque) < 1e9 && math.Abs(normal) < 1e12) {
		return Stress{}, fmt.Errorf("shaft: no such loads: %g and %g N·m, %g N", moment, torque, normal)
	}
	w := s.Modulus()
	return Stress{math.Abs(moment) / w, math.Abs(normal) / s.Area(), math.Abs(torque) / (2 * w)}, nil
}

// Mises returns √((σb + σa)² + 3τ²).
func (s Stress) Mises() float64 {
	σ := s.Bending + s.Axial
	return math.Sqrt(σ*σ + 3*s.Torsion*s.Torsion)
}

// MaxShear returns the largest shear stress, √((σb + σa)²/4 + τ²), after Tresca.
func (s Stress) MaxShear() float64 { return math.Hypot((s.Bending+s.Axial)/2, s.Torsion) }

// YieldTorque returns the torque alone at which the surface yields, Re/√3 times the
// section modulus.
func (s Section) YieldTorque(yield float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if !(yield > 0 && yield < 1e11) {
		return 0, fmt.Errorf("shaft: a yield stress lies above 0, got %g MPa", yield/1e6)
	}
	return yield / math.Sqrt(3) * 2 * s.Modulus(), nil
}

// Diameter returns that of a solid shaft by the old code of ASME,
//
//	d³ = 16/(π τ) √((Kb M)² + (Kt T)²)
//
// with shock factors Kb and Kt and an allowable shear stress. Checked on [JINDAL].
func Diameter(moment, torque, kb, kt, allowable float64) (float64, error) {
	if !(allowable > 0 && kb >= 0 && kt >= 0 && math.Abs(moment) < 1e9 && math.Abs(torque) < 1e9) {
		return 0, fmt.Errorf("shaft: a diameter needs factors and an allowable stress above 0, got %g, %g and %g MPa", kb, kt, allowable/1e6)
	}
	return math.Cbrt(16 / (math.Pi * allowable) * math.Hypot(kb*moment, kt*torque)), nil
}

// Notch are factors by which a notch raises a stress: in theory (αk, Kt) or on the
// life of the shaft (βk, Kf).
type Notch struct{ Bending, Torsion float64 }

// Smooth is no notch at all.
var Smooth = Notch{1, 1}

// Shoulder returns the theoretical factors of a step from diameter D down to d with
// a fillet of radius r, t = (D − d)/2:
//
//	bending αk = 1 + 1/√(0.62 r/t + 11.6 r/d (1 + 2r/d)² + 0.2 (r/t)³ d/D)
//	torsion αk = 1 + 1/√(3.4 r/t + 38 r/d (1 + 2r/d)² + (r/t)² d/D)
//
// [DIN743] part 2, from memory, for r/t ≥ 0.03 and d/D ≤ 0.98; within a tenth of the
// charts of [BN8].
func Shoulder(large, small, radius float64) (Notch, error) {
	t := (large - small) / 2
	if !(small > 0 && t > 0 && radius > 0 && radius <= 10*large) {
		return Notch{}, fmt.Errorf("shaft: a shoulder goes from a larger to a smaller diameter by a radius, got %g, %g and %g mm", large*1e3, small*1e3, radius*1e3)
	}
	rt, rd, dd := radius/t, radius/small, small/large
	w := (1 + 2*rd) * (1 + 2*rd)
	return Notch{
		1 + 1/math.Sqrt(0.62*rt+11.6*rd*w+0.2*rt*rt*rt*dd),
		1 + 1/math.Sqrt(3.4*rt+38*rd*w+rt*rt*dd),
	}, nil
}

// Groove returns the theoretical factors of a round groove of depth (D − d)/2 and
// radius r:
//
//	bending αk = 1 + 1/√(0.2 r/t + 5.5 r/d (1 + 2r/d)²)
//	torsion αk = 1 + 1/√(0.7 r/t + 20.6 r/d (1 + 2r/d)²)
//
// [DIN743] part 2, from memory.
func Groove(large, small, radius float64) (Notch, error) {
	t := (large - small) / 2
	if !(small > 0 && t > 0 && radius > 0 && radius <= 10*large) {
		return Notch{}, fmt.Errorf("shaft: a groove goes from a larger to a smaller diameter by a radius, got %g, %g and %g mm", large*1e3, small*1e3, radius*1e3)
	}
	rt, rd := radius/t, radius/small
	w := rd * (1 + 2*rd) * (1 + 2*rd)
	return Notch{1 + 1/math.Sqrt(0.2*rt+5.5*w), 1 + 1/math.Sqrt(0.7*rt+20.6*w)}, nil
}

// Estimate is a first guess of theoretical factors where the shape is not known.
type Estimate struct {
	Name  string
	Notch Notch
}

// Estimates returns first guesses, a fresh copy each time. [BN9] table 7-1, from
// memory; the key seat is 2.2 in [BN8].
func Estimates() []Estimate {
	return []Estimate{
		{"smooth", Smooth},
		{"shoulder with a sharp fillet, r/d 0.02", Notch{2.7, 2.2}},
		{"shoulder with a full fillet, r/d 0.1", Notch{1.7, 1.5}},
		{"key seat, end-milled", Notch{2.14, 3.0}},
		{"circlip groove", Notch{5.0, 3.0}},
	}
}

// Feel returns what a notch of a radius does to the life of steel of a tensile
// strength, Kf = 1 + q (Kt − 1) with q = 1/(1 + √(a/r)) after Neuber:
//
//	√a = 0.246 − 3.08e-3 S + 1.51e-5 S² − 2.67e-8 S³    bending
//	√a = 0.190 − 2.51e-3 S + 1.35e-5 S² − 2.67e-8 S³    torsion
//
// with √a in √in and S in ksi. [BN9] equation 6-35, for 50 to 200 ksi; a stronger
// or weaker steel counts as one at the end. A case-hardened surface is felt in
// full: leave q at 1.
func (n Notch) Feel(radius, tensile float64) (Notch, error) {
	if !(radius > 0 && tensile > 0 && n.Bending >= 1 && n.Torsion >= 1) {
		return Notch{}, fmt.Errorf("shaft: a notch needs a radius, a tensile strength and factors of 1 or more, got %g mm, %g MPa, %g and %g", radius*1e3, tensile/1e6, n.Bending, n.Torsion)
	}
	s := min(max(tensile/ksi, 50), 200)
	rootR := math.Sqrt(radius / inch)
	feel := func(kt, a float64) float64 { return 1 + (kt-1)/(1+max(a, 0)/rootR) }
	return Notch{
		feel(n.Bending, 0.246-s*(3.08e-3-s*(1.51e-5-s*2.67e-8))),
		feel(n.Torsion, 0.190-s*(2.51e-3-s*(1.35e-5-s*2.67e-8))),
	}, nil
}

// [SP811].
const (
	inch = 0.0254
	ksi  = 6.894757293168e6
)
