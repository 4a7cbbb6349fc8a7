package catalog

import (
	"fmt"
	"math"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/calc/unit"
)

func init() { register(convert, verdict) }

// kindNames lists what a quantity can be of, but for plain numbers.
func kindNames() []string {
	var list []string
	for k := unit.Number + 1; !strings.HasPrefix(k.String(), "unknown"); k++ {
		list = append(list, k.String())
	}
	return list
}

var convert = &Sum{
	Name: "convert", Title: "One quantity in other units", Group: Other,
	Purpose: "Turn a quantity from a book or a tool into the units of another: torque, length, pressure, temperature, volume and the rest.",
	Inputs: []Input{
		text("value", "a quantity with its unit, such as 130 lbf·ft or 1-3/8 in"),
		optionalText("to", "the unit wanted; left out, all units of its kind are shown"),
		optionalChoice("of", "what the quantity is, where its unit can mean two things, as pounds are a mass or a force", kindNames()...),
	},
	Outputs: []Output{gives("value", "", unit.Number, "", 6, "the same")},
	Assumptions: []string{"Factors are exact by the definitions of the units; six digits are shown.",
		"What is typed after ± is one standard uncertainty and is turned as well."},
	Sources: []string{"SP811"},
	Example: map[string]string{"value": "130 lbf·ft", "to": "N·m"},
	Do:      doConvert,
}

func doConvert(c *Call) error {
	kinds, err := kindsOf(c)
	if err != nil {
		return err
	}
	k := kinds[0]
	q, err := unit.Parse(c.Words("value"), k, unit.Unit{})
	if err != nil {
		return c.Bad("value", err)
	}
	if len(kinds) > 1 && !c.Has("of") {
		c.Assume("Taken as a %s; for a %s answer so.", k, kinds[1])
	}
	c.Note("", k.String()+" as typed", q.Text, unit.FormatU(q.SI, q.U, q.Unit))
	list := unit.Units(k)
	if c.Has("to") {
		u, ok := unit.Find(c.Words("to"), k)
		if !ok {
			return c.Badf("to", "%.40q is no unit of %s; expected one of %s", c.Words("to"), k, symbols(k))
		}
		list = []unit.Unit{u}
	}
	for _, u := range list {
		r := Result{SI: q.SI, U: q.U, Text: unit.FormatU(q.SI, q.U, u),
			Output: Output{Key: "value." + u.Symbol, Title: "in " + u.Symbol, Kind: k, Unit: u.Symbol, Places: 6}}
		if q.U > 0 {
			r.Shares = []Share{{"value", 1}}
		}
		c.out = append(c.out, r)
		c.Note("", "1 "+q.Unit.Symbol+" in "+u.Symbol, factorText(q.Unit, u), r.Text)
	}
	return nil
}

// factorText tells how one unit is turned into another.
func factorText(from, to unit.Unit) string {
	f := number(perUnit(from)/perUnit(to), unit.Unit{})
	switch {
	case from.Offset == to.Offset:
		return f
	case from.Offset != 0:
		return "(reading − " + number(from.Offset, unit.Unit{}) + ") · " + f
	}
	return "reading · " + f + " + " + number(to.Offset, unit.Unit{})
}

func symbols(k unit.Kind) string {
	var list []string
	for _, u := range unit.Units(k) {
		list = append(list, u.Symbol)
	}
	return strings.Join(list, ", ")
}

// kindsOf returns the kinds of quantity that the value can be, given the unit
// wanted and what was answered.
func kindsOf(c *Call) ([]unit.Kind, error) {
	if c.Has("of") {
		k, _ := unit.KindOf(c.Choice("of"))
		return []unit.Kind{k}, nil
	}
	// Kinds that have the unit wanted come first: they may be all there is to try.
	var list []unit.Kind
	for _, wanted := range []bool{true, false} {
		for k := unit.Number + 1; !strings.HasPrefix(k.String(), "unknown"); k++ {
			_, has := unit.Find(c.Words("to"), k)
			if has == wanted && readable(c.Words("value"), k) {
				list = append(list, k)
			}
		}
		if len(list) > 0 {
			return list, nil
		}
	}
	_, err := unit.Parse(c.Words("value"), unit.Number, unit.Unit{})
	if err == nil {
		err = fmt.Errorf("%.40q has no unit; write one after the number", c.Words("value"))
	}
	return nil, c.Bad("value", err)
}

func readable(text string, k unit.Kind) bool {
	_, err := unit.Parse(text, k, unit.Unit{})
	return err == nil
}

// optionalText is a text that may be left out.
func optionalText(key, help string) Input { return text(key, help).optional() }

var verdict = &Sum{
	Name: "verdict", Title: "Inside its limits, outside, or too close to call", Group: Check,
	Purpose: "Whether a measured length is proven to lie within its limits, given how well it was measured, and how likely it is. Write the reading with its standard uncertainty.",
	Inputs: []Input{
		mm("reading", "y", -10000, 10000, "the length measured, with ± one standard uncertainty"),
		mm("least", "lo", -10000, 10000, "least length allowed").optional(),
		mm("most", "hi", -10000, 10000, "most length allowed").optional(),
	},
	Outputs: []Output{
		gives("guard", "g", unit.KindLength, "mm", 3, "guard band"),
		givesMM("accept-least", "lo_1", "proven in from"),
		givesMM("accept-most", "hi_1", "proven in to"),
		gives("probability", "P", unit.Number, "%", 1, "probability that it lies within"),
		says("verdict", "the length is"),
	},
	Assumptions: []string{"At most one chance in twenty of a wrong answer where one limit is near; the reading's error is taken as normal."},
	Sources:     []string{"ISO14253-1", "JCGM106"},
	Example:     map[string]string{"reading": "0.164 ± 0.012 mm", "least": "0.10 mm", "most": "0.20 mm"},
	Do: func(c *Call) error {
		y := c.F("reading")
		u := c.U("reading")
		if !c.Has("least") && !c.Has("most") {
			return c.Badf("least", "one of the two limits is needed")
		}
		lo, hi := math.Inf(-1), math.Inf(1)
		c.Let("u", u, "mm")
		g := uncert.GuardFactor * u
		c.Show("guard", "1.65 · u", g)
		if c.Has("least") {
			lo = c.F("least")
			c.Show("accept-least", "lo + g", lo+g)
		}
		if c.Has("most") {
			hi = c.F("most")
			c.Show("accept-most", "hi − g", hi-g)
		}
		if lo > hi {
			return c.Badf("least", "it is more than the most")
		}
		if u == 0 {
			c.Warn("without ± it is a plain comparison: nothing is known of the reading's doubt")
		}
		// Verdict and probability belong to the reading as given, not to a stepped one.
		v := Decide(c, func() uncert.Verdict { return uncert.Decide(y, u, lo, hi) })
		p := Decide(c, func() float64 { return uncert.Conformity(y, u, lo, hi) })
		c.Out("probability", p)
		c.Note("P", "probability that it lies within the limits, as a normal distribution", "", quantity(p, anyUnit("%")))
		c.Say("verdict", string(v))
		return nil
	},
}
