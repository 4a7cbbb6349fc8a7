package catalog

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/calc/fit"
	"endfloat/calc/unit"
)

func init() { register(fitLimits, fitReverse, bearingSeat) }

// fitOutputs are what any two zones give.
func fitOutputs() []Output {
	return []Output{
		gives("hole-lower", "EI", unit.KindLength, "µm", 1, "hole, lower deviation"),
		gives("hole-upper", "ES", unit.KindLength, "µm", 1, "hole, upper deviation"),
		gives("shaft-lower", "ei", unit.KindLength, "µm", 1, "shaft, lower deviation"),
		gives("shaft-upper", "es", unit.KindLength, "µm", 1, "shaft, upper deviation"),
		gives("hole-least", "D_1", unit.KindLength, "mm", 4, "hole, least size"),
		gives("hole-most", "D_2", unit.KindLength, "mm", 4, "hole, most size"),
		gives("shaft-least", "d_1", unit.KindLength, "mm", 4, "shaft, least size"),
		gives("shaft-most", "d_2", unit.KindLength, "mm", 4, "shaft, most size"),
		says("kind", "kind of fit"),
		gives("least", "c_1", unit.KindLength, "µm", 1, "least clearance; negative is interference"),
		gives("most", "c_2", unit.KindLength, "µm", 1, "most clearance; negative is interference"),
		gives("probable-least", "p_1", unit.KindLength, "µm", 1, "least clearance to expect of parts made at random"),
		gives("probable-most", "p_2", unit.KindLength, "µm", 1, "most clearance to expect of parts made at random"),
	}
}

var fitLimits = &Sum{
	Name: "fit", Title: "Limits of a fit", Group: Fits, Picture: "fit",
	Purpose: "The limits of a hole, a shaft or both from their ISO class, what kind of fit they make and how much clearance or interference there can be.",
	Inputs:  []Input{text("zone", "size and class, such as 25 H7, 25 p6 or 25 H7/p6; sizes to 500 mm")},
	Outputs: fitOutputs(),
	Assumptions: []string{"Sizes hold at 20 °C.",
		"To expect: parts that fill their tolerances as bells stay within this but for about 3 in 1000."},
	Sources: []string{"MD15", "MH31"},
	Example: map[string]string{"zone": "25 H7/p6"},
	Do: func(c *Call) error {
		size, pair, err := fit.Parse(c.Words("zone"))
		if err != nil {
			return c.Bad("zone", err)
		}
		c.Let("D", float64(size), "mm")
		var f fit.Fit
		if pair.Hole != (fit.Class{}) {
			if f.Hole, err = pair.Hole.Limits(size); err != nil {
				return c.Bad("zone", err)
			}
			showLimits(c, "hole", "EI", "ES", pair.Hole.String(), f.Hole, size)
		}
		if pair.Shaft != (fit.Class{}) {
			if f.Shaft, err = pair.Shaft.Limits(size); err != nil {
				return c.Bad("zone", err)
			}
			showLimits(c, "shaft", "ei", "es", pair.Shaft.String(), f.Shaft, size)
		}
		if pair.Hole != (fit.Class{}) && pair.Shaft != (fit.Class{}) {
			showFit(c, f)
		}
		return nil
	},
}

// showLimits gives the deviations of hole or shaft and its sizes.
func showLimits(c *Call, what, lower, upper, class string, l fit.Limits, size unit.Length) {
	c.Note(class, what+", from the tables", "", fmt.Sprintf("%s to %s", c.Print(float64(l.Lower), "µm"), c.Print(float64(l.Upper), "µm")))
	c.Let(lower, float64(l.Lower), "µm")
	c.Let(upper, float64(l.Upper), "µm")
	c.Out(what+"-lower", float64(l.Lower))
	c.Out(what+"-upper", float64(l.Upper))
	c.Show(what+"-least", "D + "+lower, float64(size+l.Lower))
	c.Show(what+"-most", "D + "+upper, float64(size+l.Upper))
}

// showFit gives what two zones do together.
func showFit(c *Call, f fit.Fit) {
	least, most := f.Extremes()
	c.Say("kind", string(f.Kind()))
	c.Show("least", "EI − es", float64(least))
	c.Show("most", "ES − ei", float64(most))
	lo, hi := f.Probable()
	c.Show("probable-least", "(c_1 + c_2) / 2 − √((ES − EI)² + (es − ei)²) / 2", float64(lo), Practice)
	c.Show("probable-most", "(c_1 + c_2) / 2 + √((ES − EI)² + (es − ei)²) / 2", float64(hi), Practice)
}

var bearingSeat = &Sum{
	Name: "bearing-seat", Title: "Fit of a rolling bearing on its seat", Group: Fits, Picture: "fit",
	Purpose: "How tight a metric bearing of the normal class sits on a shaft or in a case made to a class. A ring that turns against its load must be tight.",
	Inputs: []Input{
		choice("seat", "which seat", "its bore on a shaft", "its outside in a case"),
		text("zone", "size and class of the seat, such as 40 k6 or 80 M7"),
	},
	Outputs: fitOutputs(),
	Assumptions: []string{"A metric bearing of the normal class. Taper and inch bearings have limits of their own; measure them.",
		"Sizes hold at 20 °C; a light case loosens as it warms: see grip-hot."},
	Sources: []string{"MD15", "NKE11", "SKF", "GBB"},
	Example: map[string]string{"seat": "its bore on a shaft", "zone": "40 k6"},
	Do: func(c *Call) error {
		onShaft := c.Choice("seat") == "its bore on a shaft"
		size, pair, err := fit.Parse(c.Words("zone"))
		if err != nil {
			return c.Bad("zone", err)
		}
		class := pair.Hole
		if onShaft {
			class = pair.Shaft
		}
		none := fit.Class{}
		if class == none || pair.Hole != none && pair.Shaft != none {
			return c.Badf("zone", "expected the class of the seat alone: a small letter on a shaft, a capital in a case")
		}
		seat, err := class.Limits(size)
		if err != nil {
			return c.Bad("zone", err)
		}
		c.Let("D", float64(size), "mm")
		var f fit.Fit
		if onShaft {
			f.Shaft = seat
			f.Hole, err = fit.BearingBore(size)
		} else {
			f.Hole = seat
			f.Shaft, err = fit.BearingOutside(size)
		}
		if err != nil {
			return c.Bad("zone", err)
		}
		names := [2]string{class.String(), "bearing"}
		if onShaft {
			names = [2]string{"bearing", class.String()}
		}
		showLimits(c, "hole", "EI", "ES", names[0], f.Hole, size)
		showLimits(c, "shaft", "ei", "es", names[1], f.Shaft, size)
		showFit(c, f)
		return nil
	},
}

// mostMatches is how many fits are named.
const mostMatches = 12

var fitReverse = &Sum{
	Name: "fit-reverse", Title: "Which fit was this?", Group: Fits,
	Purpose: "From a bore, a shaft or both as measured: which of the usual classes they meet. What the reading is too coarse to prove is marked.",
	Inputs: []Input{
		mm("size", "N", 0.5, 500, "nominal size"),
		mm("bore", "D", 0.5, 510, "bore measured, with ± its standard uncertainty").many().optional(),
		mm("shaft", "d", 0.5, 510, "shaft measured, with ± its standard uncertainty").many().optional(),
	},
	Outputs: []Output{
		gives("clearance", "c", unit.KindLength, "µm", 1, "clearance; negative is interference"),
		says("sure", "proven to meet"),
		says("close", "too close to call"),
	},
	Assumptions: []string{"A worn part tells of its wear, not of its class. Measure where nothing ran.",
		"The usual classes are those that handbooks prefer, on hole and on shaft basis."},
	Sources: []string{"MD15", "ISO14253-1"},
	Example: map[string]string{"size": "25 mm", "bore": "25.010 ± 0.001 mm", "shaft": "25.028 ± 0.001 mm"},
	Do:      doFitReverse,
}

func doFitReverse(c *Call) error {
	if !c.Has("bore") && !c.Has("shaft") {
		return c.Badf("bore", "a bore or a shaft is needed")
	}
	size := c.Length("size")
	bore, _ := c.Mean("bore")
	shaft, _ := c.Mean("shaft")
	if c.Has("bore") && c.Has("shaft") {
		c.Show("clearance", "D − d", bore-shaft)
	}
	u := unit.Length(max(c.U("bore"), c.U("shaft")))
	if u == 0 {
		c.Warn("without ± a reading on a limit counts as met")
	}
	type found struct {
		list []fit.Match
		err  error
	}
	f := Decide(c, func() (f found) {
		f.list, f.err = fit.Matches(size, unit.Length(bore), unit.Length(shaft), u, candidates(c.Has("bore"), c.Has("shaft")))
		return f
	})
	if f.err != nil {
		return c.Bad("size", f.err)
	}
	var sure, doubtful []string
	for _, m := range f.list {
		switch {
		case m.Sure() && len(sure) < mostMatches:
			sure = append(sure, m.Pair.String())
		case !m.Sure() && len(doubtful) < mostMatches:
			doubtful = append(doubtful, m.Pair.String())
		}
	}
	say := func(list []string) string {
		if len(list) == 0 {
			return "none of the usual"
		}
		return strings.Join(list, ", ")
	}
	c.Say("sure", say(sure))
	c.Say("close", say(doubtful))
	c.Note("", "proven to meet, the narrowest first", "", say(sure))
	return nil
}

// candidates are the preferred fits, or their holes or shafts alone.
func candidates(hole, shaft bool) []fit.Pair {
	all := fit.Preferred()
	if hole && shaft {
		return all
	}
	var list []fit.Pair
	for _, p := range all {
		if !hole {
			p.Hole = fit.Class{}
		}
		if !shaft {
			p.Shaft = fit.Class{}
		}
		if !slices.Contains(list, p) {
			list = append(list, p)
		}
	}
	return list
}
