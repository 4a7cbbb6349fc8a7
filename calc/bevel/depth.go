package bevel

import (
	"fmt"

	"endfloat/calc/unit"
)

// Depth returns the distance from the axis of the crown wheel to the face of the
// pinion as a gauge finds it: A = R_m + B + g, with the radius of the mandrel in
// the side bearings, the gauge block and the gap between them. Common practice,
// no source.
func Depth(mandrel, block, gap unit.Length) unit.Length { return mandrel + block + gap }

// Way is what a + in front of the number etched on a pinion means. Published
// tables disagree ([TM280] takes a plus off the pack, [TM365] adds it), so it is
// asked for each unit and never assumed.
type Way string

const (
	// PlusFurther means that a + pinion stands further from the axis than nominal.
	PlusFurther Way = "further from the axis"
	// PlusNearer means that a + pinion stands nearer to the axis than nominal.
	PlusNearer Way = "nearer to the axis"
)

// sign returns s in target = nominal + s·d.
func (w Way) sign() (unit.Length, error) {
	switch w {
	case PlusFurther:
		return 1, nil
	case PlusNearer:
		return -1, nil
	}
	return 0, fmt.Errorf("bevel: a plus means %s or %s, not %q", PlusFurther, PlusNearer, w)
}

// DepthTarget returns the wanted depth, A_target = A_nominal + s·d, with d the
// etched deviation as a length and s = +1 if a plus means further.
func DepthTarget(nominal, etched unit.Length, plus Way) (unit.Length, error) {
	s, err := plus.sign()
	return nominal + s*etched, err
}

// SwapMove returns how the pinion has to move when a set is exchanged for
// another in the same case with the same bearing, without a gauge:
// Δ = s·(d_new − d_old), positive away from the axis. A bearing of another width,
// or any other part between shim and pinion face, adds its own difference.
func SwapMove(old, new unit.Length, plus Way) (unit.Length, error) {
	s, err := plus.sign()
	return s * (new - old), err
}

// Thicker is which way a thicker shim moves the pinion. Behind the cup of the
// head bearing it moves the pinion toward the axis ([TM266]); under the flange of
// an outside cartridge it moves it away ([TM306], [TM660]).
type Thicker string

const (
	// ThickerAway is the way of a shim under an outside cartridge.
	ThickerAway Thicker = "away from the axis"
	// ThickerToward is the way of a shim behind the head bearing's cup.
	ThickerToward Thicker = "toward the axis"
)

// DepthShim returns the shim that makes the move: t = t_now + move where a
// thicker shim moves the pinion away, t_now − move where it moves it toward the
// axis.
func DepthShim(now, move unit.Length, thicker Thicker) (unit.Length, error) {
	switch thicker {
	case ThickerAway:
		return now + move, nil
	case ThickerToward:
		return now - move, nil
	}
	return 0, fmt.Errorf("bevel: a thicker shim moves the pinion %s or %s, not %q", ThickerAway, ThickerToward, thicker)
}
