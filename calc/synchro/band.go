package synchro

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Band is a band on a drum, or a ring that expands in one: a belt by whose
// friction the force in it grows along the arc.
type Band struct {
	Drum     unit.Length // diameter at which it rubs
	Width    unit.Length // only pressure asks for it
	Arc      unit.Angle  // over which it rubs
	Friction float64
}

func (b Band) check(push unit.Force) error {
	switch {
	case !(b.Drum > 0 && b.Drum < 100):
		return fmt.Errorf("synchro: a drum of %s is none; its diameter lies above 0", show(b.Drum))
	case !(b.Arc > 0 && b.Arc <= 20*math.Pi):
		return fmt.Errorf("synchro: a band rubs over more than 0° and at most ten turns, got %.4g°", float64(b.Arc/unit.Degree))
	case !(b.Friction >= 0 && b.Friction <= 2):
		return fmt.Errorf("synchro: a coefficient of friction is 0 to 2, got %g", b.Friction)
	case !(push >= 0 && push <= 1e9):
		return fmt.Errorf("synchro: the force at the end of the band is 0 or more, got %g N", float64(push))
	}
	return nil
}

// Gain returns the force at one end over that at the other, e^(μθ), θ in radians.
// The belt equation; [BHANDARI] example 12.10.
func (b Band) Gain() float64 { return math.Exp(b.Friction * float64(b.Arc)) }

// With returns the torque if the drum drags the band onward from the end that is
// pushed, so that it pulls itself on: C R (e^(μθ) − 1).
func (b Band) With(push unit.Force) (unit.Torque, error) {
	if err := b.check(push); err != nil {
		return 0, err
	}
	return unit.Torque(float64(push) * float64(b.Drum) / 2 * math.Expm1(b.Friction*float64(b.Arc))), nil
}

// Against returns the torque if the drum drags against the push, so that the band
// is eased: C R (1 − e^(−μθ)). It is less than With by the Gain.
func (b Band) Against(push unit.Force) (unit.Torque, error) {
	if err := b.check(push); err != nil {
		return 0, err
	}
	return unit.Torque(-float64(push) * float64(b.Drum) / 2 * math.Expm1(-b.Friction*float64(b.Arc))), nil
}

// PeakPressure returns the pressure at the end where the force in the band is
// greatest: F / (w R). It is not the mean: over the arc the pressure falls as the
// force does.
func (b Band) PeakPressure(greatest unit.Force) (unit.Pressure, error) {
	if err := b.check(greatest); err != nil {
		return 0, err
	}
	if !(b.Width > 0) {
		return 0, fmt.Errorf("synchro: a band %s wide bears nothing", show(b.Width))
	}
	return unit.Pressure(float64(greatest) / (float64(b.Width) * float64(b.Drum) / 2)), nil
}

// Greatest is the inverse of PeakPressure: the force at which a pressure is
// reached.
func (b Band) Greatest(p unit.Pressure) unit.Force {
	return unit.Force(float64(p) * float64(b.Width) * float64(b.Drum) / 2)
}

// Servo is a synchroniser of expanding bands: a ring pushed apart at its ends and
// braced so that in each sense one of two arcs pulls itself on. The arcs may
// differ where the gears to either side ask for different torques. An arc of 0
// means that this sense has no band of its own and works against the other's.
type Servo struct {
	Band           // Arc left out
	UpArc, DownArc unit.Angle
}

// Torque returns the torque in a shift up or down under a push.
func (s Servo) Torque(push unit.Force, up bool) (unit.Torque, error) {
	own, other := s.UpArc, s.DownArc
	if !up {
		own, other = other, own
	}
	b := s.Band
	if b.Arc = own; own > 0 {
		return b.With(push)
	}
	b.Arc = other
	return b.Against(push)
}
