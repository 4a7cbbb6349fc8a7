package press

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Warm returns the interference left when hub and shaft are warmer than at the
// measurement; below 0 it is a clearance.
//
//	δ = δ20 − d (αh ΔTh − αs ΔTs)
//
// Linear expansion, textbook.
func (j Joint) Warm(interference unit.Length, hub, shaft unit.TempRise) (unit.Length, error) {
	if err := j.checkWarm(interference); err != nil {
		return 0, err
	}
	if !(math.Abs(float64(hub)) < 1e4 && math.Abs(float64(shaft)) < 1e4) {
		return 0, fmt.Errorf("press: no gearbox warms by %g K and %g K", float64(hub), float64(shaft))
	}
	return interference - j.Seat*unit.Length(j.Hub.Heating*float64(hub)-j.Shaft.Heating*float64(shaft)), nil
}

// Grip returns the interference left when warm, and its pressure, which is 0 once
// the joint is slack. Cast light alloy creeps: take the pressure as an upper bound.
func (j Joint) Grip(interference unit.Length, hub, shaft unit.TempRise) (unit.Length, unit.Pressure, error) {
	left, err := j.Warm(interference, hub, shaft)
	if err != nil || left <= 0 {
		return left, 0, err
	}
	p, err := j.Pressure(left)
	return left, p, err
}

// SlackRise returns by how much both parts together may warm before the grip is
// gone, 0 if there is none to lose. It is false if warmth never takes the grip,
// because the hub grows no more than the shaft.
//
//	ΔT = δ20 / (d (αh − αs))
func (j Joint) SlackRise(interference unit.Length) (unit.TempRise, bool, error) {
	if err := j.checkWarm(interference); err != nil {
		return 0, false, err
	}
	if interference <= 0 {
		return 0, true, nil
	}
	rise := float64(interference/j.Seat) / (j.Hub.Heating - j.Shaft.Heating)
	if !(rise > 0 && rise < 1e4) {
		return 0, false, nil
	}
	return unit.TempRise(rise), true, nil
}

func (j Joint) checkWarm(interference unit.Length) error {
	if err := j.check(); err != nil {
		return err
	}
	if !(math.Abs(float64(interference)) < 1) {
		return fmt.Errorf("press: an interference of %s is out of range", show(interference))
	}
	for _, m := range []Material{j.Hub, j.Shaft} {
		if !(0 < m.Heating && m.Heating < 1e-3) {
			return fmt.Errorf("press: the expansion of %s is not known", m)
		}
	}
	return nil
}

// Raceways are the mean diameters of a bearing's raceways.
type Raceways struct{ Inner, Outer unit.Length }

// BallRaceways returns the raceways of a deep groove ball bearing from its bore
// and outside diameter: (4d + D)/5 and (d + 4D)/5. [NTN] section 17.4.
func BallRaceways(bore, outside unit.Length) Raceways {
	return Raceways{(4*bore + outside) / 5, (bore + 4*outside) / 5}
}

// RollerRaceways returns those of other bearings: (3d + D)/4 and (d + 3D)/4. From
// memory.
func RollerRaceways(bore, outside unit.Length) Raceways {
	return Raceways{(3*bore + outside) / 4, (bore + 3*outside) / 4}
}

// ClearanceLeft returns the radial internal clearance, on diameter, of a bearing
// once it is fitted and warm; below 0 it is preload.
//
//	c = c0 − growth − shrink + α (Do ΔTo − Di ΔTi)
//
// growth is RimGrowth of the inner ring on its shaft, shrink BoreShrink of the
// outer ring in its case, both at the temperature meant; ΔTi and ΔTo are the rises
// of the rings above the temperature of c0. Textbook.
func (r Raceways) ClearanceLeft(clearance, growth, shrink unit.Length, ring Material, inner, outer unit.TempRise) (unit.Length, error) {
	left := clearance - growth - shrink + unit.Length(ring.Heating)*(r.Outer*unit.Length(outer)-r.Inner*unit.Length(inner))
	if !(0 < r.Inner && r.Inner < r.Outer) || !(math.Abs(float64(left)) < 1) {
		return 0, fmt.Errorf("press: raceways of %s and %s with clearance %s, growth %s, shrink %s and rises %g K and %g K make no bearing",
			show(r.Inner), show(r.Outer), show(clearance), show(growth), show(shrink), float64(inner), float64(outer))
	}
	return left, nil
}
