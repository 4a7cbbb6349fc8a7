package synchro

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Turning is a part that turns with a gear: its own inertia in kg·m² and its turns
// for one turn of that gear.
type Turning struct{ Inertia, Turns float64 }

// Reflected returns the inertia that a gear feels of all that turns with it, in
// kg·m²: Σ J (ω/ω_gear)². Energy is the same at either end, whence the square.
// Textbook, no source.
func Reflected(parts ...Turning) (float64, error) {
	sum := 0.0
	for _, p := range parts {
		if !(p.Inertia >= 0 && p.Inertia <= 1e9) || !(math.Abs(p.Turns) <= 1e6) {
			return 0, fmt.Errorf("synchro: an inertia is 0 or more and turns are a number, got %g kg·m² and %g", p.Inertia, p.Turns)
		}
		sum += p.Inertia * p.Turns * p.Turns
	}
	return sum, nil
}

// Shift is what a synchroniser has to do: bring a gear, with all that turns with
// it, to the speed of a shaft that keeps its own because a vehicle hangs on it.
// Speeds are in the sense in which the shaft turns.
type Shift struct {
	Inertia  float64     // of the gear and all that turns with it, kg·m²
	From, To float64     // speed of the gear before and of the shaft, rad/s
	Torque   unit.Torque // of the synchroniser while it slips
	Drag     unit.Torque // of oil and bearings, which slows the gear
}

// Slip is what a shift takes while the speeds differ.
type Slip struct {
	Time float64 // s
	Heat float64 // made in the synchroniser, J
	Peak float64 // power at the first touch, W
	Mean float64 // power over the time, W
}

// Up reports whether the shift is one up: the gear has to be slowed, and drag
// helps.
func (s Shift) Up() bool { return s.From > s.To }

// Slip returns the time and the heat.
//
//	t = J Δω / (T ± T_d)     Q = T Δω t / 2
//
// Drag helps a shift up and hinders one down. It returns an error if drag is
// stronger than the synchroniser: a shift down then never ends. Textbook;
// [BHANDARI] example 11.11.
func (s Shift) Slip() (Slip, error) {
	switch {
	case !(s.Inertia >= 0 && s.Inertia <= 1e9):
		return Slip{}, fmt.Errorf("synchro: an inertia is 0 or more, got %g kg·m²", s.Inertia)
	case !(s.Torque > 0 && s.Torque <= 1e9):
		return Slip{}, fmt.Errorf("synchro: the torque of the synchroniser lies above 0, got %g N·m", float64(s.Torque))
	case !(s.Drag >= 0 && s.Drag <= 1e9):
		return Slip{}, fmt.Errorf("synchro: drag is 0 or more, got %g N·m", float64(s.Drag))
	case !(math.Abs(s.From) <= 1e6 && math.Abs(s.To) <= 1e6):
		return Slip{}, fmt.Errorf("synchro: speeds of %g and %g rad/s are none of a gearbox", s.From, s.To)
	}
	net := float64(s.Torque + s.Drag)
	if !s.Up() {
		net = float64(s.Torque - s.Drag)
	}
	if !(net > 0) {
		return Slip{}, fmt.Errorf("synchro: a drag of %.4g N·m is as strong as the synchroniser's %.4g N·m, so the gear is never brought up to speed", float64(s.Drag), float64(s.Torque))
	}
	Δω := math.Abs(s.From - s.To)
	t := s.Inertia * Δω / net
	peak := float64(s.Torque) * Δω
	return Slip{Time: t, Heat: peak * t / 2, Peak: peak, Mean: peak / 2}, nil
}

// TwoFree returns the common speed in rad/s and the heat in J when two free bodies
// are joined by friction, whatever its torque.
//
//	ω = (J1 ω1 + J2 ω2) / (J1 + J2)     Q = J1 J2 / (J1 + J2) · (ω1 − ω2)² / 2
//
// With one body very much the heavier it is what Slip gives without drag.
func TwoFree(j1, ω1, j2, ω2 float64) (common, heat float64, err error) {
	if !(j1 > 0 && j2 > 0) {
		return 0, 0, fmt.Errorf("synchro: two free bodies have inertias above 0, got %g and %g kg·m²", j1, j2)
	}
	return (j1*ω1 + j2*ω2) / (j1 + j2), j1 * j2 / (j1 + j2) * (ω1 - ω2) * (ω1 - ω2) / 2, nil
}

// Load is what a friction face bears in one shift, in SI: J, W and N for a square
// metre. A million of the first two is one for a square millimetre.
type Load struct {
	Slide    float64 // speed of sliding at the first touch, m/s
	Heat     float64 // J/m²
	Power    float64 // mean over the shift, W/m²
	Pressure unit.Pressure
}

// Limits are what a friction pair bears, shift after shift; 0 is no limit known.
type Limits struct {
	Name string
	Load
	FrictionLow, FrictionHigh float64
}

// Starting limits, to be replaced by those of the maker of the ring. [NL11], a
// table in the chapter on synchronisers, from memory and not confirmed.
var (
	Brass      = Limits{"special brass on steel", Load{5, .09e6, .45e6, 3e6}, .08, .12}
	Molybdenum = Limits{"molybdenum on steel", Load{7, .53e6, .84e6, 6e6}, .08, .12}
)

// Load returns what each face of the cone bears in a shift under a force.
func (c Cone) Load(f unit.Force, s Shift) (Load, error) {
	p, err := c.Pressure(f)
	if err != nil {
		return Load{}, err
	}
	slip, err := s.Slip()
	if err != nil {
		return Load{}, err
	}
	all := c.Area() * float64(c.Faces)
	return Load{Slide: math.Abs(s.From-s.To) * float64(c.Mean) / 2, Heat: slip.Heat / all, Power: slip.Mean / all, Pressure: p}, nil
}

// Shares returns each figure of a load over its limit, 0 where none is known;
// above 1 it is too much.
func (l Limits) Shares(of Load) Load {
	share := func(x, limit float64) float64 {
		if !(limit > 0) {
			return 0
		}
		return x / limit
	}
	return Load{share(of.Slide, l.Slide), share(of.Heat, l.Heat), share(of.Power, l.Power),
		unit.Pressure(share(float64(of.Pressure), float64(l.Pressure)))}
}
