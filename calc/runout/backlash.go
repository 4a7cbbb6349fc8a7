package runout

import (
	"fmt"
	"math"

	"endfloat/calc/bevel"
	"endfloat/calc/unit"
)

// BacklashOfGear returns the swing of the backlash, in the plane of rotation at the
// pitch circle, that the radial run-out of a cylindrical gear makes.
//
//	Δj = 2 F tan α
//
// α is the working transverse pressure angle. The run-out moves the centre distance
// by F from one extreme to the other. Derived. The run-outs of two mating gears
// add up at some tooth if their counts have no common factor.
func BacklashOfGear(runout unit.Length, pressure unit.Angle) (unit.Length, error) {
	if err := checkRunOut(runout); err != nil {
		return 0, err
	}
	if !(0 < pressure && pressure < math.Pi/4) {
		return 0, fmt.Errorf("runout: a pressure angle is above 0° and below 45°, got %.4g°", float64(pressure/unit.Degree))
	}
	return 2 * runout * unit.Length(math.Tan(float64(pressure))), nil
}

// BacklashOfWheel returns the swing of the normal backlash that the run-out of a
// crown wheel's back face makes: see [bevel.Variation].
func BacklashOfWheel(runout unit.Length, pressure, pitch unit.Angle) (unit.Length, error) {
	if err := checkRunOut(runout); err != nil {
		return 0, err
	}
	return bevel.Variation(runout, pressure, pitch)
}

// Tightest returns the backlash to expect at the tightest place, where limits
// apply: the mean less half the swing. Below 0 the gears would bind.
func Tightest(mean, swing unit.Length) (unit.Length, error) {
	if !(math.Abs(float64(mean)) < 1) {
		return 0, fmt.Errorf("runout: a mean backlash of %s is out of range", show(mean))
	}
	if err := checkRunOut(swing); err != nil {
		return 0, err
	}
	return mean - swing/2, nil
}

func checkRunOut(f unit.Length) error {
	if !(0 <= f && f < 1) {
		return fmt.Errorf("runout: a run-out or swing is 0 or more, got %s", show(f))
	}
	return nil
}
