// Package torque holds the arithmetic of reaching a torque with the tools at
// hand: a bar and a hanging scale, a wrench with an extension, a cord round a
// drum. The joint itself, what preload a torque gives, is not its business.
package torque

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Gravity is the standard acceleration of free fall, in m/s². [SP811], app. B.8.
const Gravity = 9.80665

// Bar is a bar on a nut, with the place where it is pulled. The zero value of
// Mass leaves the bar's own weight out.
type Bar struct {
	Arm       unit.Length // nut to the point of pull, along the bar
	OffSquare unit.Angle  // how far the pull is from square to the bar
	Mass      unit.Mass   // of the bar
	Centre    unit.Length // nut to the bar's centre of mass
	Slope     unit.Angle  // of the bar above or below level
	Hinders   bool        // the bar's weight turns against the pull
}

// Pull returns the force that gives the torque on the nut.
//
//	T_bar = m·g·x·cos φ
//	F     = (T − T_bar) / (L·cos θ), or T + T_bar where the weight works against the pull
//
// T_bar is what the bar does by its own weight, m its mass, x the distance of its
// centre of mass, φ its slope, L the arm and θ how far the pull is off square.
// Statics; common practice, no source. It returns an error if there is no arm, if
// the pull is 75° or more off square, or if the bar's weight alone does more than
// is wanted.
func (b Bar) Pull(want unit.Torque) (unit.Force, error) {
	if err := b.check(); err != nil {
		return 0, err
	}
	f := (want - b.Own()) / unit.Torque(b.lever())
	if !(f >= 0) {
		return 0, fmt.Errorf("torque: the bar's own weight gives %.4g N·m, more than the %.4g N·m wanted", float64(b.Own()), float64(want))
	}
	return unit.Force(f), nil
}

// Torque returns the torque on the nut from the force read on the scale,
// T = F·L·cos θ + T_bar, the inverse of Pull.
func (b Bar) Torque(pull unit.Force) (unit.Torque, error) {
	if err := b.check(); err != nil {
		return 0, err
	}
	return unit.Torque(float64(pull)*b.lever()) + b.Own(), nil
}

// Own returns the torque that the bar's weight gives, negative when it hinders.
func (b Bar) Own() unit.Torque {
	t := float64(b.Mass) * Gravity * float64(b.Centre) * math.Cos(float64(b.Slope))
	if b.Hinders {
		t = -t
	}
	return unit.Torque(t)
}

func (b Bar) lever() float64 { return float64(b.Arm) * math.Cos(float64(b.OffSquare)) }

func (b Bar) check() error {
	const steepest = 75 * unit.Degree // beyond it a degree of error is worth 7 %
	switch {
	case !(b.Arm > 0):
		return fmt.Errorf("torque: a bar needs an arm above 0, got %g m", float64(b.Arm))
	case !(math.Abs(float64(b.OffSquare)) < float64(steepest)):
		return fmt.Errorf("torque: a pull %.3g° off square is too far off; keep it below 75°", float64(b.OffSquare/unit.Degree))
	}
	return nil
}

// Extension returns what to set on a wrench that carries an extension, so that
// the nut gets the torque wanted.
//
//	T_set = T·L / (L + E·cos φ)
//
// L is the wrench from the mark on its handle to its square, E the extension from
// square to nut, and φ the angle between them: 0° in line, 90° sideways (no
// correction), 180° folded back. It holds for tools that answer to the moment at
// their square, beam and click types alike, pulled at the mark. [TM277] and
// [TM1500] give it in line, [TM254] fig. 46 at an angle. It returns an error
// unless L > 0, E ≥ 0 and the nut stays in front of the hand.
func Extension(want unit.Torque, wrench, extension unit.Length, angle unit.Angle) (unit.Torque, error) {
	l, e := float64(wrench), float64(extension)
	reach := l + e*math.Cos(float64(angle))
	if !(l > 0 && e >= 0 && reach > l/10) {
		return 0, fmt.Errorf("torque: an extension of %.4g mm at %.4g° on a wrench of %.4g mm leaves no lever", e*1000, float64(angle/unit.Degree), l*1000)
	}
	return unit.Torque(float64(want) * l / reach), nil
}

// Cord returns the torque of a cord wound on a drum and pulled steadily off it,
// T = F·r. Only the pull that keeps the drum turning counts, not the one that
// starts it ([TM660]). Textbook, no source.
func Cord(pull unit.Force, radius unit.Length) unit.Torque {
	return unit.Torque(float64(pull) * float64(radius))
}

// BoltPull returns the force that shows a torque when pulled square at a radius,
// F = T/r. It returns an error unless the radius is above 0.
func BoltPull(t unit.Torque, radius unit.Length) (unit.Force, error) {
	if !(radius > 0) {
		return 0, fmt.Errorf("torque: a pull needs a radius above 0, got %g m", float64(radius))
	}
	return unit.Force(float64(t) / float64(radius)), nil
}

// AtPinion returns the torque that turns pinion and differential together, seen
// at the pinion: T = T_pinion + T_side/i, with i the final drive. The loss in the
// mesh is left out. Statics; common practice, no source. It returns an error
// unless i is above 0.
func AtPinion(pinion, side unit.Torque, finalDrive float64) (unit.Torque, error) {
	if !(finalDrive > 0) {
		return 0, fmt.Errorf("torque: a final drive is above 0, got %g", finalDrive)
	}
	return pinion + side/unit.Torque(finalDrive), nil
}
