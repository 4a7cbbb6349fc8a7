// Package bevel holds the arithmetic of setting a crown wheel and its pinion:
// the depth of the pinion, the shims at the side bearings, what an axial move
// does to the backlash, and which move a contact pattern asks for.
//
// The gears are taken as a bevel pair with a shaft angle of 90° whose pitch cones
// meet in one point. A hypoid pair does not: use the factors here only as a first
// guess and learn the true one from a move, see [LearnedFactor].
//
// Distances along the pinion are counted from the axis of the crown wheel to the
// face of the pinion. A positive move of the pinion is away from that axis, out
// of mesh. A positive move of the crown wheel is toward the pinion, into mesh.
package bevel

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// PitchAngles returns the pitch angles of pinion and wheel at a shaft angle of
// 90°:
//
//	tan δ1 = z1/z2
//	δ2     = 90° − δ1
//
// [JINDAL] chapter 27. It returns an error unless both counts are above 0.
func PitchAngles(pinion, wheel int) (d1, d2 unit.Angle, err error) {
	if pinion < 1 || wheel < 1 {
		return 0, 0, fmt.Errorf("bevel: teeth are counted from 1, got %d and %d", pinion, wheel)
	}
	d1 = unit.Angle(math.Atan2(float64(pinion), float64(wheel)))
	return d1, unit.Angle(math.Pi/2) - d1, nil
}

// Sense says along which line a backlash is meant. It must be asked: at a spiral
// angle of 35° the two differ by 30 %.
type Sense string

const (
	// Normal backlash is read square to the flank of the tooth.
	Normal Sense = "normal to the flank"
	// Transverse backlash is read in the plane of rotation.
	Transverse Sense = "in the plane of rotation"
)

// Factor returns by how much the backlash changes when one gear moves 1 mm along
// its own axis.
//
//	normal:     k = 2·sin α_n·sin δ
//	transverse: k = 2·tan α_n·sin δ / cos β
//
// α_n is the normal pressure angle, β the spiral angle where the dial stands and
// δ the pitch angle of the gear that moves. A move ΔA parts the pitch planes by
// ΔA·sin δ and opens both flanks; the spiral does not enter the normal sense.
// Derived from that; [ARROW] states the ratio of the two senses and [AXLE] a rule
// that agrees. It returns an error unless 0 < α_n < 45°, 0 < δ ≤ 90° and
// |β| ≤ 60°.
func Factor(s Sense, pressure, spiral, pitch unit.Angle) (float64, error) {
	α, β, δ := float64(pressure), float64(spiral), float64(pitch)
	if !(0 < α && α < math.Pi/4 && 0 < δ && δ <= math.Pi/2+1e-9 && math.Abs(β) <= math.Pi/3+1e-9) {
		return 0, fmt.Errorf("bevel: no such flank: pressure angle %.4g°, spiral angle %.4g°, pitch angle %.4g°",
			α/float64(unit.Degree), β/float64(unit.Degree), δ/float64(unit.Degree))
	}
	switch s {
	case Normal:
		return 2 * math.Sin(α) * math.Sin(δ), nil
	case Transverse:
		return 2 * math.Tan(α) * math.Sin(δ) / math.Cos(β), nil
	}
	return 0, fmt.Errorf("bevel: backlash is meant %s or %s, not %q", Normal, Transverse, s)
}

// NormalShare returns what part of a transverse backlash its normal reading is:
// cos α_n·cos β. [ARROW].
func NormalShare(pressure, spiral unit.Angle) float64 {
	return math.Cos(float64(pressure)) * math.Cos(float64(spiral))
}

// Transfer returns how far the crown wheel must move toward the pinion to bring
// a backlash j to its target, Δx = (j − j_target)/k. A negative result is a move
// away. As much shim as the wheel moves goes from one side to the other, so the
// total and the preload stay. Common practice, no source.
func Transfer(measured, target unit.Length, factor float64) (unit.Length, error) {
	if !(factor > 0) {
		return 0, fmt.Errorf("bevel: a backlash factor is above 0, got %g", factor)
	}
	return (measured - target) / unit.Length(factor), nil
}

// LearnedFactor returns the factor that a move has shown: the fall of backlash
// over the move toward the pinion. It returns an error if the backlash did not
// answer the move, or answered it the wrong way round.
func LearnedFactor(before, after, moved unit.Length) (float64, error) {
	k := float64((before - after) / moved)
	if !(k > 0) || math.IsInf(k, 0) {
		return 0, fmt.Errorf("bevel: a move of %.4g mm toward the pinion took the backlash from %.4g to %.4g mm; it should have fallen",
			float64(moved/unit.Millimetre), float64(before/unit.Millimetre), float64(after/unit.Millimetre))
	}
	return k, nil
}

// AtWheel turns a dial reading taken at another radius of the crown wheel's own
// shaft, with the pinion held, into backlash at the wheel: j = reading·R/r.
// The result is in the plane of rotation. Textbook, no source.
func AtWheel(reading, wheelRadius, dialRadius unit.Length) unit.Length {
	return reading * wheelRadius / dialRadius
}

// FromPinion turns a dial reading taken at radius r of the pinion's shaft, with
// the crown wheel held, into backlash at the wheel: j = (reading/r)·R/i. The
// result is in the plane of rotation. Textbook, no source.
func FromPinion(reading, wheelRadius, dialRadius unit.Length, ratio float64) unit.Length {
	return reading * wheelRadius / dialRadius / unit.Length(ratio)
}

// Variation returns the spread of normal backlash over one turn that a run-out f
// of the crown wheel's back face explains: 2·f·sin α_n·sin δ2, as for a move.
func Variation(runout unit.Length, pressure, pitch unit.Angle) (unit.Length, error) {
	k, err := Factor(Normal, pressure, 0, pitch)
	return unit.Length(k) * runout, err
}

// SideTotal returns the total of shims at the two side bearings:
//
//	Z = X − Y + p
//
// X is the distance between the seats in the case, Y the length over the two cups
// with the bearings turned and squeezed, p the preload as interference. Common
// practice, no source.
func SideTotal(seats, cups, preload unit.Length) unit.Length { return seats - cups + preload }
