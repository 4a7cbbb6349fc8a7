package press

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Lumped is the assumption behind Freezer and Card, for people to read.
const Lumped = "Each part has one temperature throughout and gives or takes heat in proportion to the difference: " +
	"to the air of the room on the way, to the other part once it has slipped over. Only the length of the seat counts. " +
	"Good where the Biot number is below 0.1; above it the seconds are a guess."

// Card is what to know before the oven is opened. Times are in seconds.
type Card struct {
	Meet, Inner   unit.Temperature // of hub and shaft as they meet
	Oven          unit.Temperature // what the oven must show
	TooHot        bool             // the oven would stand above the ceiling
	SlipAtCeiling unit.Length      // clearance at the seat with the oven at the ceiling; below 0 it will not go
	InAir         float64          // from the oven until the slip is gone, if carried on through air
	OnSeat        float64          // from touching until the slip is gone; 0 if StaysLoose
	StaysLoose    bool             // heat passing between the parts does not close the slip: it lasts until both cool
	BiotAir       float64          // of the hub on the way
	BiotSeat      float64          // of the hub on the seat
}

// Card returns the whole of it for the assembly. The oven stands higher than Meet
// by what the hub loses on the way, and a chilled shaft warms on the way too.
func (a Assembly) Card() (Card, error) {
	hub, shaft, err := a.lumps()
	if err != nil {
		return Card{}, err
	}
	c := Card{Inner: a.onTheWay(a.Inner, shaft, a.Carry)}
	if c.Meet, err = a.Heat(c.Inner); err != nil {
		return Card{}, err
	}
	if c.Oven, err = a.before(c.Meet, hub); err != nil {
		return Card{}, err
	}
	if err := a.check(a.Ceiling, c.Inner); err != nil {
		return Card{}, fmt.Errorf("press: the ceiling of %g °C: %w", float64(a.Ceiling), err)
	}
	c.TooHot = c.Oven > a.Ceiling
	c.SlipAtCeiling = a.clearance(a.onTheWay(a.Ceiling, hub, a.Carry), c.Inner)
	c.InAir = lasts(max(hub.τ, shaft.τ), func(t float64) unit.Length {
		return a.clearance(a.onTheWay(c.Oven, hub, t), a.onTheWay(a.Inner, shaft, t))
	})
	c.OnSeat, c.StaysLoose = a.onSeat(c.Meet, c.Inner, hub, shaft)
	c.BiotAir = a.Air * hub.reach / a.Hub.Conductivity
	c.BiotSeat = a.Contact * float64(a.Rim-a.Seat) / 2 / a.Hub.Conductivity
	if math.IsInf(c.BiotAir+c.BiotSeat, 0) {
		return Card{}, fmt.Errorf("press: a conductivity of %g W/(m·K) is out of range", a.Hub.Conductivity)
	}
	return c, nil
}

// Freezer returns what the freezer must show for the shaft if the oven shows the
// given temperature for the hub, both carried for Carry seconds: the way out when
// the ceiling is too low.
func (a Assembly) Freezer(oven unit.Temperature) (unit.Temperature, error) {
	hub, shaft, err := a.lumps()
	if err != nil {
		return 0, err
	}
	t, err := a.Chill(a.onTheWay(oven, hub, a.Carry))
	if err != nil {
		return 0, err
	}
	t = a.Room - unit.Temperature(float64(a.Room-t)*math.Exp(a.Carry/shaft.τ))
	if !(t >= coldest) {
		return 0, fmt.Errorf("press: the freezer would have to be at %.0f °C, colder than liquid nitrogen; carry it faster than %g s or accept less than %s of slip",
			float64(t), a.Carry, show(a.Slip))
	}
	return t, nil
}

// before returns the temperature that the hub must leave the oven with.
func (a Assembly) before(meet unit.Temperature, hub lump) (unit.Temperature, error) {
	t := a.Room + unit.Temperature(float64(meet-a.Room)*math.Exp(a.Carry/hub.τ))
	if !(t < 1000) {
		return 0, fmt.Errorf("press: the oven would have to be at %.0f °C; carry the part faster than %g s, accept less than %s of slip, or press",
			float64(t), a.Carry, show(a.Slip))
	}
	return t, nil
}

// onTheWay returns what a temperature becomes in t seconds through the air. A
// shaft that is warmer than the room stays so, which is on the safe side; a hub
// never is colder.
func (a Assembly) onTheWay(from unit.Temperature, l lump, t float64) unit.Temperature {
	if l.inner && from > a.Room {
		return from
	}
	return a.Room + unit.Temperature(float64(from-a.Room)*math.Exp(-t/l.τ))
}

// onSeat returns how long the slip lasts while heat passes from hub to shaft.
//
//	Th − Ts falls as exp(−t/τ), τ = 1/(h π d L (1/Ch + 1/Cs)), C = ρ c V
//
// Two lumps that exchange heat, [BK03] eq. 3.287 and 3.288.
func (a Assembly) onSeat(meet, inner unit.Temperature, hub, shaft lump) (float64, bool) {
	mean := (hub.c*float64(meet) + shaft.c*float64(inner)) / (hub.c + shaft.c)
	even := unit.Temperature(mean)
	if a.clearance(even, even) >= 0 {
		return 0, true
	}
	τ := 1 / (a.Contact * math.Pi * float64(a.Seat) * float64(a.Length) * (1/hub.c + 1/shaft.c))
	return lasts(τ, func(t float64) unit.Length {
		left := unit.Temperature(math.Exp(-t / τ))
		return a.clearance(even+(meet-even)*left, even+(inner-even)*left)
	}), false
}

// lasts returns when a clearance that only falls reaches 0, looking as far as
// fifty time constants.
func lasts(τ float64, clearance func(t float64) unit.Length) float64 {
	lo, hi := 0.0, 50*τ
	for range 60 {
		if mid := (lo + hi) / 2; clearance(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// lump is a part as one body: its heat capacity in J/K, its volume over its
// surface in m, and its time constant in air, τ = ρ c V/(h A), in s.
type lump struct {
	c, reach, τ float64
	inner       bool
}

func (a Assembly) lumps() (hub, shaft lump, err error) {
	if err = a.check(a.Room, a.Inner); err != nil {
		return lump{}, lump{}, err
	}
	switch {
	case !(1e-6 <= a.Length && a.Length <= 100):
		err = fmt.Errorf("press: the seat needs a length, got %s", show(a.Length))
	case !(0 <= a.Carry && a.Carry <= 1e5):
		err = fmt.Errorf("press: the way from the oven takes 0 to 100000 s, got %g s", a.Carry)
	case !(0.01 <= a.Air && a.Air <= 1e5) || !(0.01 <= a.Contact && a.Contact <= 1e7):
		err = fmt.Errorf("press: film coefficients in air and on the seat must be given, such as %g and %g W/(m²·K), got %g and %g", StillAir, Touching, a.Air, a.Contact)
	}
	for _, m := range []Material{a.Hub, a.Shaft} {
		if err == nil && !(m.Density > 0 && m.SpecificHeat > 0 && m.Conductivity > 0) {
			err = fmt.Errorf("press: density, specific heat and conductivity of %s are not all known", m)
		}
	}
	if err != nil {
		return lump{}, lump{}, err
	}
	hub = a.lump(a.Hub, a.Seat, a.Rim)
	shaft = a.lump(a.Shaft, a.Bore, a.Seat)
	shaft.inner = true
	if !(hub.τ > 0 && shaft.τ > 0 && hub.c > 0 && shaft.c > 0) || math.IsInf(hub.τ+shaft.τ+hub.c+shaft.c, 0) {
		return lump{}, lump{}, fmt.Errorf("press: parts of %s/%s/%s by %s are out of range", show(a.Bore), show(a.Seat), show(a.Rim), show(a.Length))
	}
	return hub, shaft, nil
}

// lump takes a ring with air at all its faces.
func (a Assembly) lump(m Material, inside, outside unit.Length) lump {
	di, do, l := float64(inside), float64(outside), float64(a.Length)
	face := math.Pi / 4 * (do - di) * (do + di)
	surface := math.Pi*(do+di)*l + 2*face
	c := m.Density * m.SpecificHeat * face * l
	return lump{c: c, reach: face * l / surface, τ: c / (a.Air * surface)}
}
