package bearing

import (
	"fmt"
	"math"
)

// RibFriction is the coefficient of friction between roller ends and rib in a taper
// bearing that turns slowly, oiled. [NSK] section 15.4.
const RibFriction = 0.20

// Rib is where the rollers of a taper bearing rub on the rib of the cone.
type Rib struct {
	Arm   float64 // from the roller's axis geometry to the contact, e in the sheet
	Angle float64 // half the angle of the roller's cone, β
}

// Drag returns the friction torque of one taper bearing under a thrust at low
// speed:
//
//	M = e·µ·Fa·cos β
//
// A pair set against each other drags twice as much. [NSK] section 15.4. It is the
// running torque after several turns, oiled; to start it can take up to four times
// as much in steep series, [SKF] "Starting torque".
func (r Rib) Drag(thrust, friction float64) (float64, error) {
	if err := r.check(friction); err != nil {
		return 0, err
	}
	if !(thrust >= 0 && thrust < 1e12) {
		return 0, fmt.Errorf("bearing: a preload is 0 or more, got %g N", thrust)
	}
	return r.Arm * friction * thrust * math.Cos(r.Angle), nil
}

// Preload returns the thrust that makes a friction torque in one taper bearing: the
// inverse of Drag. Of a pair give half the torque measured.
func (r Rib) Preload(drag, friction float64) (float64, error) {
	if err := r.check(friction); err != nil {
		return 0, err
	}
	if !(drag >= 0 && drag < 1e9) {
		return 0, fmt.Errorf("bearing: a friction torque is 0 or more, got %g N·m", drag)
	}
	return drag / (r.Arm * friction * math.Cos(r.Angle)), nil
}

func (r Rib) check(friction float64) error {
	if !(r.Arm > 0 && r.Arm < 1 && math.Abs(r.Angle) < 1 && friction > 0 && friction < 2) {
		return fmt.Errorf("bearing: friction at a rib needs an arm in metres, half an angle below 57° and a coefficient, got %g m, %g° and %g", r.Arm, r.Angle*180/math.Pi, friction)
	}
	return nil
}

// Friction is a rough coefficient for the torque of a bearing that runs well
// lubricated under a middling load.
type Friction struct {
	Form  Form
	Value float64
}

// Frictions returns rough coefficients, a fresh copy each time. From memory of
// [SKF], "frictional moment, estimation".
func Frictions() []Friction {
	return []Friction{{DeepGroove, 0.0015}, {Angular, 0.0020}, {Taper, 0.0018}, {Cylindrical, 0.0011}, {Needle, 0.0020}, {Spherical, 0.0018}}
}

// RunningDrag returns a rough friction torque of a running bearing, M = µ·P·d/2,
// with P near a tenth of C. From memory of [SKF].
func RunningDrag(friction, load, bore float64) (float64, error) {
	if !(friction >= 0 && friction < 1 && load >= 0 && load < 1e12 && bore > 0 && bore < 100) {
		return 0, fmt.Errorf("bearing: friction of a running bearing needs a coefficient, a load and a bore, got %g, %g N and %g m", friction, load, bore)
	}
	return friction * load * bore / 2, nil
}
