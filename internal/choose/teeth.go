package choose

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Teeth tells whether a pair of wheels can be what it is counted to be, from
// the counts alone: wheels of one module and helix fill a centre distance with
// one sum of teeth, S = 2·a·cos β / m (the centre distance of wheels cut
// without profile shift, turned round). A sum further than half a tooth from S
// would need a profile shift that no pair of the kind has: the wheel is another
// than was ordered, or was counted wrongly. That half tooth, about a quarter of
// a module, is common practice, no source. It returns S, and a sentence, ""
// when the pair is sound.
func Teeth(driver, driven int, module unit.Length, helix unit.Angle, centres unit.Length) (float64, string) {
	s := 2 * float64(centres) * math.Cos(float64(helix)) / float64(module)
	sum := driver + driven
	if math.Abs(float64(sum)-s) <= half {
		return s, ""
	}
	mm := func(l unit.Length) float64 { return float64(l) * 1e3 }
	a := unit.Length(float64(module) * float64(sum) / 2 / math.Cos(float64(helix)))
	return s, fmt.Sprintf("%d and %d teeth are %d together and would stand %.2f mm apart; at %.2f mm between centres, module %.3g and helix %.1f° it must be %.0f",
		driver, driven, sum, mm(a), mm(centres), mm(module), float64(helix)*180/math.Pi, s)
}

// half is the most that a sum of teeth may lie from what the centres ask for:
// half a tooth, and a hair for rounding.
const half = 0.5 + 1e-9
