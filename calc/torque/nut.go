package torque

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Thread is a metric thread with the face its nut turns on.
type Thread struct {
	Major     unit.Length // nominal diameter d
	Pitch     unit.Length
	FaceInner unit.Length // the ring of contact under the nut or head
	FaceOuter unit.Length
}

// PitchDiameter returns d2 = d − 0.649519·P, [ISO724].
func (t Thread) PitchDiameter() unit.Length { return t.Major - 0.649519*t.Pitch }

// StressArea returns A_s = π/4·(d − 0.938194·P)², [ISO898-1], in square metres.
func (t Thread) StressArea() float64 {
	d := float64(t.Major - 0.938194*t.Pitch)
	return math.Pi / 4 * d * d
}

// FaceMean returns D_Km, the diameter at which the friction under the nut acts.
func (t Thread) FaceMean() unit.Length { return (t.FaceInner + t.FaceOuter) / 2 }

// Lever returns the torque over the preload it makes, a length:
//
//	X = P/(2·π) + d2·μ/(2·cos 30°) + D_Km·μ/2
//
// The first part is what stretches, the others are lost to friction in the thread
// and under the nut, with the same μ for both. [VDI2230], where it is printed as
// 0.159·P + 0.577·d2·μ + D_Km·μ/2. It returns an error unless the thread is one:
// 0 < P < d/2, and the face a ring with 0 ≤ inner < outer.
func (t Thread) Lever(friction float64) (unit.Length, error) {
	d, p := float64(t.Major), float64(t.Pitch)
	switch {
	case !(p > 0 && p < d/2):
		return 0, fmt.Errorf("torque: a thread of %.4g mm with a pitch of %.4g mm is none; the pitch is less than half the diameter", d*1000, p*1000)
	case !(t.FaceInner >= 0 && t.FaceOuter > t.FaceInner):
		return 0, fmt.Errorf("torque: a face from %.4g to %.4g mm is no ring", float64(t.FaceInner/unit.Millimetre), float64(t.FaceOuter/unit.Millimetre))
	case !(friction >= 0):
		return 0, fmt.Errorf("torque: friction is not below 0, got %g", friction)
	}
	cos30 := math.Sqrt(3) / 2
	return unit.Length(p/(2*math.Pi) + friction*(float64(t.PitchDiameter())/(2*cos30)+float64(t.FaceMean())/2)), nil
}

// Held is a shaft held fast while a nut at its free end is turned by one bar.
type Held struct {
	Torque   unit.Torque
	Arm      unit.Length // of the pull
	Overhang unit.Length // along the shaft, from the bar to where the shaft is held
	Diameter unit.Length // where it is held, at the bottom of any groove or thread
	Bore     unit.Length // 0 if solid
}

// Bending is what a one-sided pull does to a held shaft besides turning the nut.
type Bending struct {
	Pull       unit.Force
	Moment     unit.Torque
	Stress     unit.Pressure // from bending, at the surface
	Shear      unit.Pressure // from the torque
	Combined   unit.Pressure // both, after von Mises
	Deflection unit.Length   // of the shaft where the bar stands
}

// Bend treats the shaft as a round bar built in at one end.
//
//	F = T/L         M = F·a
//	σ = 32·M·d/(π·(d⁴ − b⁴))    τ = 16·T·d/(π·(d⁴ − b⁴))
//	σ_v = √(σ² + 3·τ²)          y = F·a³/(3·E·I), I = π·(d⁴ − b⁴)/64
//
// Two equal pulls on a bar through the nut leave no force and so no bending.
// Textbook statics, checked on [WENTZELL]; notches and the fillet are left out. e
// is the modulus. It returns an error unless L > 0, d > b ≥ 0 and a ≥ 0.
func (h Held) Bend(e unit.Pressure) (Bending, error) {
	d, b, a := float64(h.Diameter), float64(h.Bore), float64(h.Overhang)
	if !(h.Arm > 0 && b >= 0 && d > b && a >= 0 && e > 0) {
		return Bending{}, fmt.Errorf("torque: no such shaft: diameter %.4g mm, bore %.4g mm, overhang %.4g mm, arm %.4g m", d*1000, b*1000, a*1000, float64(h.Arm))
	}
	f := float64(h.Torque) / float64(h.Arm)
	m := f * a
	d4 := d*d*d*d - b*b*b*b
	σ, τ := 32*m*d/(math.Pi*d4), 16*float64(h.Torque)*d/(math.Pi*d4)
	return Bending{
		Pull: unit.Force(f), Moment: unit.Torque(m), Stress: unit.Pressure(σ), Shear: unit.Pressure(τ),
		Combined:   unit.Pressure(math.Sqrt(σ*σ + 3*τ*τ)),
		Deflection: unit.Length(f * a * a * a / (3 * float64(e) * math.Pi * d4 / 64)),
	}, nil
}

// Reach is how well a pull is known: standard uncertainties, relative to the pull.
type Reach struct {
	Scale float64 // of the scale's reading
	Arm   float64 // of the arm
	Angle float64 // of the cosine of the angle
}

// Relative returns the combined standard uncertainty, relative to the torque:
// √(Scale² + Arm² + Angle²). [GUM] 5.1.6.
func (r Reach) Relative() float64 { return math.Hypot(math.Hypot(r.Scale, r.Arm), r.Angle) }

// AngleU returns the relative standard uncertainty that a doubt of ± limit in the
// direction of a pull gives at an angle off square: the larger change of its
// cosine over √3. A pull meant to be square is the worse for the doubt too, though
// only by its square.
func AngleU(off, limit unit.Angle) float64 {
	θ, δ := math.Abs(float64(off)), math.Abs(float64(limit))
	return (1 - math.Cos(θ+δ)/math.Cos(θ)) / math.Sqrt(3)
}

// Window narrows the band of pulls from least to most by the guard band that
// leaves at most 5 % risk at either end, lo = least·(1 + g), hi = most·(1 − g)
// with g = factor·u. If hi < lo nothing read on the scale proves the band.
// [ISO14253-1].
func Window(least, most unit.Force, factor, u float64) (lo, hi unit.Force) {
	g := unit.Force(factor * u)
	return least * (1 + g), most * (1 - g)
}
