package catalog

import (
	"fmt"
	"math"
	"strings"

	"endfloat/calc/oil"
	"endfloat/calc/unit"
)

func init() { register(oilGrade, splash, oilFill) }

func editions() []string {
	var list []string
	for _, e := range oil.Editions {
		list = append(list, string(e))
	}
	return list
}

var oilGrade = &Sum{
	Name: "oil-grade", Title: "Grade of a gear oil from its viscosity", Group: Other,
	Purpose: "What a gear oil is called by its viscosity. The grades were cut anew in 2005: an old book's 90 may be a 110 on the shelf today, so the edition is asked.",
	Inputs: []Input{
		ask("viscosity", "ν", unit.KindViscosity, "cSt", 0.5, 2000, "kinematic viscosity at 100 °C, from the oil's data sheet"),
		choice("edition", "edition of SAE J306 by which the grade is meant", editions()...),
		ask("cold", "T", unit.KindTemperature, "°C", -80, 40, "temperature at which the oil reaches 150 000 cP, for its W grade").optional(),
	},
	Outputs: []Output{
		says("grade", "SAE grade"),
		gives("least", "ν_1", unit.KindViscosity, "cSt", 1, "the grade begins at"),
		gives("below", "ν_2", unit.KindViscosity, "cSt", 1, "and ends below"),
	},
	Assumptions: []string{"The grade says how thick an oil is, nothing of what it does to bronze or to synchronisers: see the unit's book."},
	Sources:     []string{"J306"},
	Example:     map[string]string{"viscosity": "19.5 cSt", "edition": "2019", "cold": "-27 °C"},
	Do: func(c *Call) error {
		ν := c.F("viscosity")
		e := oil.Edition(c.Choice("edition"))
		// The grade is that of the viscosity as given, however well it is known.
		type named struct {
			oil.Grade
			err error
		}
		g := Decide(c, func() (n named) { n.Grade, n.err = oil.Plain(ν, e); return n })
		if g.err != nil {
			return c.Bad("viscosity", g.err)
		}
		name := g.Name
		if c.Has("cold") {
			t := unit.Temperature(c.F("cold"))
			if w, ok := oil.Winter(t, ν, e); ok {
				name = w.Name + "-" + g.Name
				c.Note("W", fmt.Sprintf("150 000 cP at %.3g °C or colder, and at least %.3g cSt at 100 °C", float64(w.Cold), w.Least*1e6), "", w.Name)
			} else {
				c.Warn("the oil meets no W grade of that edition")
			}
		}
		c.Say("grade", name)
		c.Out("least", g.Least)
		c.Note(g.Name, "from, edition "+string(e), "", c.Print(g.Least, "cSt"))
		if !math.IsInf(g.Below, 1) {
			c.Out("below", g.Below)
			c.Note(g.Name, "to less than", "", c.Print(g.Below, "cSt"))
		}
		otherEditions(c, ν, e, g.Name)
		return nil
	},
}

// otherEditions warns where the same oil has another name.
func otherEditions(c *Call, ν float64, e oil.Edition, name string) {
	var other []string
	for _, o := range oil.Editions {
		if o == e {
			continue
		}
		if g, err := oil.Plain(ν, o); err == nil && g.Name != name {
			other = append(other, fmt.Sprintf("%s (%s)", g.Name, o))
		}
	}
	if len(other) > 0 {
		c.Warn("by another edition the same oil is a %s", strings.Join(other, " or a "))
	}
}

var splash = &Sum{
	Name: "splash", Title: "Does splash carry the oil?", Group: Other, Picture: "splash",
	Purpose: "The rim speed of the wheel that dips into the oil, whether splash serves at that speed, and how deep it should dip. For bench runs as for a gearbox turned another way up.",
	Inputs: []Input{
		mm("wheel", "D", 5, 3000, "pitch diameter of the wheel that dips"),
		ask("speed", "n", unit.KindRotation, "rpm", 1, 30000, "its speed"),
		mm("tooth", "h", 0.2, 60, "depth of its teeth"),
		mm("level", "s", -3000, 3000, "how far the oil stands above the lowest point of the wheel, at rest").optional(),
	},
	Outputs: []Output{
		gives("rim", "v", unit.KindSpeed, "m/s", 1, "rim speed"),
		says("splash", "splash"),
		givesMM("dip", "dip", "the wheel should dip by about"),
		givesMM("over", "over", "it dips deeper than that by"),
	},
	Assumptions: []string{"The lower limit of 3 m/s is common practice without a source; the oil's viscosity is left out."},
	Sources:     []string{"TRIBHB", Practice},
	Example:     map[string]string{"wheel": "176 mm", "speed": "900 rpm", "tooth": "9 mm", "level": "25 mm"},
	Do: func(c *Call) error {
		d, n := c.F("wheel"), c.F("speed")
		v := d / 2 * n
		c.Show("rim", "π · D · n", v)
		s := Decide(c, func() oil.Churn { return oil.Splash(v) })
		c.Say("splash", string(s))
		if s != oil.Dip {
			c.Warn("%s", string(s))
		}
		dip := float64(oil.Immersion(c.Length("tooth")))
		c.Show("dip", "2 · h", dip)
		if !c.Has("level") {
			return nil
		}
		over := c.F("level") - dip
		c.Show("over", "s − dip", over)
		if c.F("level") <= 0 {
			c.Warn("the wheel does not reach the oil")
		} else if over > dip {
			c.Warn("the wheel dips more than twice as deep as it need: it will heat the oil")
		}
		return nil
	},
}

var oilFill = &Sum{
	Name: "oil-fill", Title: "Oil for a dry gearbox", Group: Other,
	Purpose: "How much oil a rebuilt, dry gearbox takes when so much was drained from it, and how many bottles that is.",
	Inputs: []Input{
		ask("drained", "V_d", unit.KindVolume, "L", 0, 200, "what was drained, measured warm and left to drip"),
		ask("stays", "f", unit.Number, "%", 0, 100, "part that stayed on walls and in pockets").or("12 %"),
		ask("bottle", "b", unit.KindVolume, "L", 0.05, 250, "size of a bottle").or("1 L"),
	},
	Outputs: []Output{
		gives("volume", "V", unit.KindVolume, "L", 2, "oil to fill"),
		counts("bottles", "n", "bottles"),
		gives("left", "rest", unit.KindVolume, "L", 2, "left to top up"),
	},
	Assumptions: []string{"The level plug or dipstick decides; this is what to have at hand. A gearbox of two chambers is filled in both."},
	Sources:     []string{Practice},
	Example:     map[string]string{"drained": "1.90 L"},
	Do: func(c *Call) error {
		v := oil.Fill(c.F("drained"), c.F("stays"))
		c.Show("volume", "V_d · (1 + f)", v)
		b := c.F("bottle")
		n := Decide(c, func() float64 { return math.Ceil(v/b - 1e-9) })
		c.Let("n", n, "")
		c.Out("bottles", n)
		c.Show("left", "n · b − V", n*b-v)
		return nil
	},
}
