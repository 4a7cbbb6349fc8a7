package press

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Friction is the range that a coefficient of friction is expected in.
type Friction struct {
	Name      string
	Low, High float64
	Source    string
}

// Frictions returns the ranges in use, a fresh copy each time.
func Frictions() []Friction {
	return []Friction{
		{"bearing ring pressed on, oiled", 0.08, 0.12, "[NTN] table 17.6.1; low end from memory"},
		{"bearing ring pulled off", 0.12, 0.18, "[NTN] table 17.6.1, pressing on and pulling off"},
		{"ring on a tapered seat, on or off", 0.14, 0.17, "[NTN] table 17.6.1"},
		{"sleeve pressed on or pulled off", 0.30, 0.33, "[NTN] table 17.6.1"},
		{"shrink fit, dry steel on steel", 0.14, 0.20, "from memory"},
	}
}

// What bearing rings will stand.
const (
	// RingInterference is the most interference of a bearing ring over its bore.
	// [NTN] section 7.3.3.
	RingInterference = 1e-3
	// RingHoop is the hoop stress that a bearing ring should not exceed. From memory.
	RingHoop = 127 * unit.Megapascal
)

// Hold returns the axial force at which the joint slips, which is also the force
// to press it together over its whole length.
//
//	F = µ π d L p
//
// [BN9] section 7-8.
func (j Joint) Hold(p unit.Pressure, friction float64) (unit.Force, error) {
	if err := j.checkWith(p); err != nil {
		return 0, err
	}
	switch {
	case !(0 <= friction && friction <= 2):
		return 0, fmt.Errorf("press: a coefficient of friction is 0 to 2, got %g", friction)
	case !(j.Length > 0 && j.Length <= 100):
		return 0, fmt.Errorf("press: the contact needs a length, got %s", show(j.Length))
	}
	return finite(unit.Force(friction*math.Pi*float64(j.Seat)*float64(j.Length)*float64(p)), "hold of", j, p)
}

// PressForce returns the range of force to press the joint together. A gauge that
// shows far more says that something is cocked: stop.
func (j Joint) PressForce(p unit.Pressure, f Friction) (low, high unit.Force, err error) {
	if !(f.Low <= f.High) {
		return 0, 0, fmt.Errorf("press: friction %q must go from low to high, got %g to %g", f.Name, f.Low, f.High)
	}
	if low, err = j.Hold(p, f.Low); err != nil {
		return 0, 0, err
	}
	high, err = j.Hold(p, f.High)
	return low, high, err
}

// HoldTorque returns the torque at which the joint slips, T = F d/2. [BN9]
// section 7-8.
func (j Joint) HoldTorque(p unit.Pressure, friction float64) (unit.Torque, error) {
	f, err := j.Hold(p, friction)
	return unit.Torque(float64(f) * float64(j.Seat) / 2), err
}

// SlipSafety returns how many times a torque and an axial force together would
// have to grow before the joint slips:
//
//	S = µ π d L p / √((2T/d)² + Fa²)
func (j Joint) SlipSafety(p unit.Pressure, friction float64, torque unit.Torque, axial unit.Force) (float64, error) {
	f, err := j.Hold(p, friction)
	if err != nil {
		return 0, err
	}
	load := math.Hypot(2*float64(torque)/float64(j.Seat), float64(axial))
	if !(load > 0) || math.IsInf(load, 0) {
		return 0, fmt.Errorf("press: the joint needs a load to hold, got %g N·m and %g N", float64(torque), float64(axial))
	}
	return finite(float64(f)/load, "safety under", j, load)
}

// Flattening is the share of the roughness Rz of both faces that pressing takes
// away. From memory of the scheme behind [WHZ13]; another rule in use is 1.2 times
// the sum of both Ra.
const Flattening = 0.8

// Smoothing returns the interference lost as rough faces are pressed flat,
// G = k (Rz of the hub + Rz of the shaft). k is Flattening unless a shop knows
// better.
func Smoothing(k float64, hub, shaft unit.Length) (unit.Length, error) {
	if !(0 <= k && k <= 10 && 0 <= hub && hub <= 1 && 0 <= shaft && shaft <= 1) {
		return 0, fmt.Errorf("press: smoothing needs a share and two roughnesses of 0 or more, got %g, %s and %s", k, show(hub), show(shaft))
	}
	return unit.Length(k) * (hub + shaft), nil
}

// Interference that smoothing takes from the seat of a bearing ring, the upper
// ends of 1.0 to 2.5 and 5.0 to 7.0 µm. [NTN] sections 7 and 17.4.
const (
	GroundSeat = 2.5 * unit.Micrometre
	TurnedSeat = 7 * unit.Micrometre
)

// RingLoadLoss returns the interference that an inner ring loses under a radial
// load Fr, for its bore d, width B and static load rating C0, in N and mm:
//
//	Δ = 0.08 √(d Fr/B) µm for Fr ≤ 0.3 C0, else 0.02 Fr/B µm
//
// [NTN] section 7.
func RingLoadLoss(bore, width unit.Length, load, rating unit.Force) (unit.Length, error) {
	if !(0 < bore && bore <= 100 && 1e-6 < width && width <= 100 && 0 <= load && load < 1e12 && rating > 0) {
		return 0, fmt.Errorf("press: a ring needs bore, width, load and static rating, got %s, %s, %g N and %g N",
			show(bore), show(width), float64(load), float64(rating))
	}
	perMM := float64(load) / float64(width/unit.Millimetre)
	if load <= 0.3*rating {
		return unit.Length(0.08*math.Sqrt(float64(bore/unit.Millimetre)*perMM)) * unit.Micrometre, nil
	}
	return unit.Length(0.02*perMM) * unit.Micrometre, nil
}

// RingWarmLoss returns the interference that an inner ring loses when it runs
// warmer than its surroundings: 0.0015 d ΔT, with d in mm and the result in µm.
// [NTN] section 7.
func RingWarmLoss(bore unit.Length, rise unit.TempRise) (unit.Length, error) {
	if !(0 < bore && bore <= 100 && 0 <= rise && rise < 1e4) {
		return 0, fmt.Errorf("press: a warm ring needs a bore and a rise of 0 or more, got %s and %g K", show(bore), float64(rise))
	}
	return 1.5e-6 * unit.Length(rise) * bore, nil
}
