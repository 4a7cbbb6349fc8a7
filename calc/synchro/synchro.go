// Package synchro computes synchronisers: the torque of a friction cone, whether
// its ring blocks while the speeds differ, how long the shift takes, the heat it
// makes and how that stands against what a friction pair bears; the expanding
// band that pulls itself on, and the inertia that a gear feels of all that turns
// with it.
//
// The friction is taken as one number while the cone slips, and all that turns
// as stiff. Both are means: oil on the cone at the first touch, and a cold
// gearbox, slow a shift more than anything here. Limits of friction pairs are
// starting values that a maker's figures replace.
//
// Inertias are in kg·m², speeds of rotation in rad/s, times in s, heats in J and
// powers in W; lengths across are diameters.
//
// Sources: cone and belt are textbook, checked on [BHANDARI] and others in the
// tests; [NL11] for limits, from memory.
package synchro

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Cone is a conical friction face. A synchroniser with two or three cones under
// one sleeve has so many Faces, each pressed by the same force.
type Cone struct {
	Mean     unit.Length // mean diameter of the face
	Width    unit.Length // of the face along its slope; only pressure and heat ask for it
	Angle    unit.Angle  // between the face and the axis
	Friction float64     // coefficient while it slips
	Faces    int
}

func (c Cone) check(f unit.Force) error {
	switch {
	case !(c.Mean > 0 && c.Mean < 10):
		return fmt.Errorf("synchro: a cone of %s is none; its mean diameter lies above 0", show(c.Mean))
	case !(c.Angle > 0 && c.Angle < math.Pi/2):
		return fmt.Errorf("synchro: a cone's face stands at more than 0° and less than 90° to its axis, got %.4g°", float64(c.Angle/unit.Degree))
	case !(c.Friction > 0 && c.Friction <= 2):
		return fmt.Errorf("synchro: a coefficient of friction lies above 0 and is at most 2, got %g", c.Friction)
	case c.Faces < 1 || c.Faces > 9:
		return fmt.Errorf("synchro: a synchroniser has 1 to 9 friction faces, got %d", c.Faces)
	case !(f >= 0 && f <= 1e9):
		return fmt.Errorf("synchro: the force on the cone is 0 or more, got %g N", float64(f))
	}
	return nil
}

// Torque returns the torque of the cone while it slips under an axial force.
//
//	T = n F μ d / (2 sin α)
//
// Textbook; [BHANDARI] example 11.10, uniform wear.
func (c Cone) Torque(f unit.Force) (unit.Torque, error) {
	if err := c.check(f); err != nil {
		return 0, err
	}
	return unit.Torque(float64(c.Faces) * float64(f) * c.Friction * float64(c.Mean) / (2 * math.Sin(float64(c.Angle)))), nil
}

// FirstTorque returns the torque at the first squeeze, when the face still moves
// along the cone and friction holds against the force too. It is a lower bound.
//
//	T = n F μ d / (2 (sin α + μ cos α))
func (c Cone) FirstTorque(f unit.Force) (unit.Torque, error) {
	if err := c.check(f); err != nil {
		return 0, err
	}
	s, co := math.Sincos(float64(c.Angle))
	return unit.Torque(float64(c.Faces) * float64(f) * c.Friction * float64(c.Mean) / (2 * (s + c.Friction*co))), nil
}

// Releases reports whether the cone lets go by itself when the force is taken
// away: tan α > μ. A cone that does not stays stuck.
func (c Cone) Releases() bool { return math.Tan(float64(c.Angle)) > c.Friction }

// Area returns the area of one face in m², π d b.
func (c Cone) Area() float64 { return math.Pi * float64(c.Mean) * float64(c.Width) }

// Pressure returns the mean pressure on a face, F / (A sin α).
func (c Cone) Pressure(f unit.Force) (unit.Pressure, error) {
	if err := c.check(f); err != nil {
		return 0, err
	}
	if !(c.Width > 0) {
		return 0, fmt.Errorf("synchro: a face %s wide bears nothing", show(c.Width))
	}
	return unit.Pressure(float64(f) / (c.Area() * math.Sin(float64(c.Angle)))), nil
}

// Chamfer is the pointed end of the teeth by which a sleeve pushes a blocking
// ring, and turns it aside once the speeds agree.
type Chamfer struct {
	Mean     unit.Length // diameter at which the points meet
	Point    unit.Angle  // between the two flanks of a point
	Friction float64     // coefficient on the flanks
}

// IndexTorque returns the torque with which a force on the sleeve would turn the
// ring aside.
//
//	T = F d/2 · (cos β − μ sin β) / (sin β + μ cos β),  β = Point/2
//
// It is below 0 where the flanks jam by friction alone. Textbook, the inclined
// plane.
func (ch Chamfer) IndexTorque(f unit.Force) (unit.Torque, error) {
	if err := ch.check(); err != nil {
		return 0, err
	}
	if !(f >= 0 && f <= 1e9) {
		return 0, fmt.Errorf("synchro: the force on the sleeve is 0 or more, got %g N", float64(f))
	}
	s, c := math.Sincos(float64(ch.Point) / 2)
	return unit.Torque(float64(f) * float64(ch.Mean) / 2 * (c - ch.Friction*s) / (s + ch.Friction*c)), nil
}

func (ch Chamfer) check() error {
	switch {
	case !(ch.Mean > 0 && ch.Mean < 10):
		return fmt.Errorf("synchro: the points of the teeth meet at a diameter above 0, got %s", show(ch.Mean))
	case !(ch.Point > 0 && ch.Point < math.Pi):
		return fmt.Errorf("synchro: the flanks of a point enclose more than 0° and less than 180°, got %.4g°", float64(ch.Point/unit.Degree))
	case !(ch.Friction >= 0 && ch.Friction <= 2):
		return fmt.Errorf("synchro: a coefficient of friction is 0 to 2, got %g", ch.Friction)
	}
	return nil
}

// Blocks returns the torque of the cone over the index torque of the teeth. Above
// 1 the ring blocks while the cone slips; the force drops out of it. It returns an
// error where the teeth cannot turn the ring aside at all.
func Blocks(c Cone, ch Chamfer) (margin float64, err error) {
	t, err := c.Torque(1)
	if err != nil {
		return 0, err
	}
	i, err := ch.IndexTorque(1)
	if err != nil {
		return 0, err
	}
	if !(i > 0) {
		return 0, fmt.Errorf("synchro: points of %.4g° jam on their own friction of %g and never let the sleeve through", float64(ch.Point/unit.Degree), ch.Friction)
	}
	return float64(t / i), nil
}

// LeastPoint returns the least angle between the flanks at which the ring still
// blocks: 2 (90° − atan μ_i − atan(T/(F d_i/2))).
func LeastPoint(c Cone, ch Chamfer) (unit.Angle, error) {
	t, err := c.Torque(1)
	if err != nil {
		return 0, err
	}
	if err := ch.check(); err != nil {
		return 0, err
	}
	half := math.Pi/2 - math.Atan(ch.Friction) - math.Atan(float64(t)*2/float64(ch.Mean))
	return unit.Angle(2 * max(half, 0)), nil
}

func show(l unit.Length) string { return fmt.Sprintf("%.6g mm", float64(l/unit.Millimetre)) }
