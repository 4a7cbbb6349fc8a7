package press

import (
	"fmt"

	"endfloat/calc/unit"
)

// Ceiling is how hot a part may become.
type Ceiling struct {
	Part   string
	Limit  unit.Temperature
	Source string
}

// Ceilings returns the usual limits where the maker gives none, a fresh copy each
// time.
func Ceilings() []Ceiling {
	return []Ceiling{
		{"open bearing", 120, "[SKF] mounting chapter; older books of the same maker 125"},
		{"sealed or greased bearing", 80, "[SKF] mounting chapter"},
		{"synchroniser hub, thrust ring", 130, "common practice, no source"},
		{"gear on its shaft", 120, "common practice, no source"},
		{"aluminium or magnesium case", 120, "common practice, no source"},
	}
}

// JoiningSlip is the clearance over the diameter that lets parts slip together.
// [WHZ13] eq. 14. For bearings 10 to 20 µm are workable, from memory.
const JoiningSlip = 1e-3

const (
	// StillAir is a film coefficient, W/(m²·K), of a warm part carried through a
	// workshop, radiation included. From memory: 5 to 25.
	StillAir = 12.0
	// Touching is the same for a part that has slipped over another, W/(m²·K): air
	// of 0.026 W/(m·K), from memory, across half a slip of 25 µm.
	Touching = 2000.0
)

// Assembly is a joint to be slipped together by heating the hub, chilling the
// shaft, or both.
type Assembly struct {
	Joint
	Interference unit.Length      // the largest, with both parts at Room
	Slip         unit.Length      // clearance wanted when they meet
	Room         unit.Temperature // of the workshop
	Inner        unit.Temperature // of the shaft where it is taken from: Room, or the freezer
	Ceiling      unit.Temperature // of the hub
	Carry        float64          // seconds from oven and freezer to the seat
	Air, Contact float64          // film coefficients, W/(m²·K), as StillAir and Touching
}

// Clearance returns the clearance on diameter with the hub at one temperature
// and the shaft at another; below 0 it is still an interference.
//
//	s = d (αh (Th − Troom) − αs (Ts − Troom)) − δ
//
// A part below Room goes by its Cooling coefficient, which is smaller. [WHZ13].
func (a Assembly) Clearance(hub, shaft unit.Temperature) (unit.Length, error) {
	if err := a.check(hub, shaft); err != nil {
		return 0, err
	}
	return a.clearance(hub, shaft), nil
}

func (a Assembly) clearance(hub, shaft unit.Temperature) unit.Length {
	return a.Seat*unit.Length(a.strain(a.Hub, hub)-a.strain(a.Shaft, shaft)) - a.Interference
}

func (a Assembly) strain(m Material, t unit.Temperature) float64 {
	rise := float64(t - a.Room)
	if rise < 0 {
		return m.Cooling * rise
	}
	return m.Heating * rise
}

// Heat returns the temperature that the hub must have when it meets a shaft at the
// given one; Room if it need not be heated.
//
//	Th = Troom + ((δ + s)/d + αs (Ts − Troom)) / αh
//
// [WHZ13] eq. 14, with the shaft's share added.
func (a Assembly) Heat(shaft unit.Temperature) (unit.Temperature, error) {
	if err := a.check(a.Room, shaft); err != nil {
		return 0, err
	}
	rise := (float64((a.Interference+a.Slip)/a.Seat) + a.strain(a.Shaft, shaft)) / a.Hub.Heating
	return finite(a.Room+unit.Temperature(max(rise, 0)), "heat for", a.Joint, a.Interference)
}

// Chill returns the temperature that the shaft must have when it meets a hub at
// the given one; Room if it need not be chilled. It returns an error if that is
// colder than liquid nitrogen, −196 °C.
func (a Assembly) Chill(hub unit.Temperature) (unit.Temperature, error) {
	if err := a.check(hub, a.Room); err != nil {
		return 0, err
	}
	if !(a.Shaft.Cooling > 0) {
		return 0, fmt.Errorf("press: the contraction of %s in the cold is not known", a.Shaft)
	}
	need := float64((a.Interference+a.Slip)/a.Seat) - a.strain(a.Hub, hub)
	t := a.Room - unit.Temperature(max(need, 0)/a.Shaft.Cooling)
	if !(t >= coldest) {
		return 0, fmt.Errorf("press: the shaft would have to be at %.0f °C, colder than liquid nitrogen; accept less than %s of slip, heat the hub above %.0f °C, or press",
			float64(t), show(a.Slip), float64(hub))
	}
	return t, nil
}

const coldest unit.Temperature = -196

func (a Assembly) check(hub, shaft unit.Temperature) error {
	if err := a.checkWarm(a.Interference); err != nil {
		return err
	}
	switch {
	case !(a.Interference > 0):
		return fmt.Errorf("press: an interference of %s needs neither heat nor cold", show(a.Interference))
	case !(0 <= a.Slip && a.Slip < 1):
		return fmt.Errorf("press: a slip is a clearance of 0 or more, got %s", show(a.Slip))
	case hub < a.Room && !(a.Hub.Cooling > 0):
		return fmt.Errorf("press: the contraction of %s in the cold is not known", a.Hub)
	case shaft < a.Room && !(a.Shaft.Cooling > 0):
		return fmt.Errorf("press: the contraction of %s in the cold is not known", a.Shaft)
	}
	for _, t := range []unit.Temperature{hub, shaft, a.Room} {
		if !(coldest <= t && t <= 1000) {
			return fmt.Errorf("press: expected a temperature from −196 to 1000 °C, got %g °C", float64(t))
		}
	}
	return nil
}
