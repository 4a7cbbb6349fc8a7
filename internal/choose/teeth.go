package choose

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
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

// Pair is what the teeth of one speed say of themselves.
type Pair struct {
	Speed  string  `json:"speed"`
	Driver Wheel   `json:"driver"`
	Driven Wheel   `json:"driven"`
	Wants  float64 `json:"wants,omitempty"` // teeth of both together, 0 where the file does not say enough
	Says   string  `json:"says,omitempty"`  // what is wrong, "" when the pair is sound
}

// Wheel is one wheel of a pair with its teeth.
type Wheel struct {
	Position string `json:"position"`
	Label    string `json:"label"`
	Teeth    int    `json:"teeth"`
}

// Pairs holds the teeth of every speed against its centre distance, in a unit of
// these variants; what was counted goes before what the file has. A speed that
// goes over an idler has two centre distances, and is not held against one.
func Pairs(b *gearbox.Box, as gearbox.Built, counted map[string]int) []Pair {
	var out []Pair
	for _, g := range b.Meshes {
		driver, ok1 := wheel(b, as, g.Driver, counted)
		driven, ok2 := wheel(b, as, g.Driven, counted)
		if !ok1 || !ok2 {
			continue
		}
		p := Pair{Speed: g.Speed, Driver: driver, Driven: driven}
		helix, _ := g.Helix.SI(as)
		if centres, ok := g.Centre.SI(as); ok && g.Module > 0 && g.Idler == "" {
			p.Wants, p.Says = Teeth(driver.Teeth, driven.Teeth, g.Module, unit.Angle(helix), unit.Length(centres))
		}
		out = append(out, p)
	}
	return out
}

func wheel(b *gearbox.Box, as gearbox.Built, id string, counted map[string]int) (Wheel, bool) {
	p, ok := b.Position(id)
	if !ok {
		return Wheel{}, false
	}
	w := Wheel{Position: id, Label: p.Label(), Teeth: counted[id]}
	if z, ok := p.Dimension("teeth", as); ok && w.Teeth == 0 {
		w.Teeth = int(math.Round(z))
	}
	return w, w.Teeth > 0
}
