package catalog

import (
	"math"

	"endfloat/calc/bevel"
	"endfloat/calc/unit"
)

func init() { register(pinionDepth, pinionSwap, patternMove) }

// The unit of the number etched on a pinion. Books use all of these, and a wrong
// guess is a factor of ten or twenty-five.
var etchedUnits = map[string]float64{
	"hundredths of a millimetre":  0.01e-3,
	"thousandths of a millimetre": 0.001e-3,
	"thousandths of an inch":      25.4e-6,
	"millimetres":                 1e-3,
}

func asksEtchedUnit() Input {
	return choice("etched-unit", "what the etched number counts, from the unit's own book",
		"hundredths of a millimetre", "thousandths of a millimetre", "thousandths of an inch", "millimetres")
}

func asksPlus() Input {
	return choice("plus", "what a plus means: the pinion face belongs further from the crown wheel's axis than nominal, or nearer",
		string(bevel.PlusFurther), string(bevel.PlusNearer))
}

func asksThicker() Input {
	return choice("thicker", "which way a thicker shim moves the pinion: under an outside cartridge away, behind the head bearing's cup toward",
		string(bevel.ThickerAway), string(bevel.ThickerToward))
}

func etched(key, symbol, help string) Input {
	return ask(key, symbol, unit.Number, "", -200, 200, help)
}

// deviation turns an etched number into a length and makes it known as symbol.
func deviation(c *Call, key, symbol string) unit.Length {
	d := c.F(key) * etchedUnits[c.Choice("etched-unit")]
	c.Let(symbol, d, "mm")
	if math.Abs(d) > 0.30e-3+1e-9 {
		c.Warn("%s: an etched deviation of %s is large; is the unit of the number right?", key, c.Print(d, "mm"))
	}
	return unit.Length(d)
}

// showShim gives the shim that makes a move and warns of what cannot be.
func showShim(c *Call, now, move unit.Length) error {
	thicker := bevel.Thicker(c.Choice("thicker"))
	t, err := bevel.DepthShim(now, move, thicker)
	if err != nil {
		return c.Bad("thicker", err)
	}
	formula := "t_now + move"
	if thicker == bevel.ThickerToward {
		formula = "t_now − move"
	}
	c.Show("shim", formula, float64(t))
	if t < 0 {
		c.Warn("the shim comes out below nothing: the sign or the unit of a number is wrong, or a part is")
	}
	if math.Abs(float64(move)) > 0.50e-3+1e-9 {
		c.Warn("a move of %s is more than a pinion should need: check the gauge, the nominal depth and the etched number", c.Print(float64(move), "mm"))
	}
	return nil
}

var pinionDepth = &Sum{
	Name: "pinion-depth", Title: "Pinion depth from a gauge", Group: Bevel, Picture: "pinion-depth",
	Purpose: "From a mandrel in the side bearings, a gauge block on the pinion and the gap between them: how far the pinion has to move, and the shim that does it.",
	Inputs: []Input{
		mm("mandrel", "R_m", 0, 200, "radius of the mandrel in the side bearings"),
		mm("block", "B", 0, 500, "length of the gauge block on the pinion face"),
		mm("gap", "g", -20, 20, "gap between block and mandrel, at three positions of the pinion").many(),
		mm("nominal", "A_nom", 1, 500, "nominal depth, from the crown wheel's axis to the pinion face"),
		etched("etched", "etched", "the number etched on the pinion, with its sign; 0 if there is none"),
		asksEtchedUnit(), asksPlus(),
		mm("shim", "t_now", 0, 20, "the shims fitted now, measured"),
		asksThicker(),
	},
	Outputs: []Output{
		givesMM("depth", "A", "depth now"),
		givesMM("target", "A_want", "depth wanted"),
		givesMM("move", "move", "move of the pinion, away from the axis"),
		givesMM("shim", "t", "shim"),
		says("way", "the pinion moves"),
	},
	Assumptions: []string{"Bearings are preloaded and seated; the side bearings' caps are at their torque.",
		"The depth holds at 20 °C; a case of light alloy grows away from its shafts when hot."},
	Sources: []string{Practice, "TM280", "TM365", "TM266", "TM306"},
	Example: map[string]string{"mandrel": "25.00 mm", "block": "32.00 mm", "gap": "0.26, 0.27, 0.28 mm", "nominal": "57.00 mm",
		"etched": "+12", "etched-unit": "hundredths of a millimetre", "plus": "further from the axis",
		"shim": "0.40 mm", "thicker": "toward the axis"},
	Do: func(c *Call) error {
		r, b := c.Length("mandrel"), c.Length("block")
		g, spread := c.Mean("gap")
		if spread > wideSpread+1e-9 {
			c.Warn("the gap differs by %s between positions: the gauge is not square, the mandrel is bent or a bearing is not seated", c.Print(spread, "mm"))
		}
		depth := bevel.Depth(r, b, unit.Length(g))
		c.Show("depth", "R_m + B + g", float64(depth))
		nominal := c.Length("nominal")
		d := deviation(c, "etched", "d")
		plus := bevel.Way(c.Choice("plus"))
		target, err := bevel.DepthTarget(nominal, d, plus)
		if err != nil {
			return c.Bad("plus", err)
		}
		c.Show("target", "A_nom "+signOf(plus)+" d", float64(target))
		move := target - depth
		c.Show("move", "A_want − A", float64(move))
		if err := showShim(c, c.Length("shim"), move); err != nil {
			return err
		}
		c.Say("way", wayOf(move))
		return nil
	},
}

func signOf(plus bevel.Way) string {
	if plus == bevel.PlusNearer {
		return "−"
	}
	return "+"
}

func wayOf(move unit.Length) string {
	switch {
	case move > 0.5e-6:
		return string(bevel.ThickerAway)
	case move < -0.5e-6:
		return string(bevel.ThickerToward)
	}
	return "not at all"
}

var pinionSwap = &Sum{
	Name: "pinion-swap", Title: "Pinion shim for another set, without a gauge", Group: Bevel,
	Purpose: "When a crown wheel and pinion are exchanged for another set in the same case with the same bearing: the new shim from the old one and the two etched numbers. A pattern must prove it.",
	Inputs: []Input{
		etched("old", "old", "the number etched on the old pinion, with its sign"),
		etched("new", "new", "the number etched on the new pinion, with its sign"),
		asksEtchedUnit(), asksPlus(),
		mm("shim", "t_now", 0, 20, "the shims that were fitted with the old pinion, measured"),
		asksThicker(),
	},
	Outputs: []Output{
		givesMM("move", "move", "move of the pinion, away from the axis"),
		givesMM("shim", "t", "shim"),
		says("way", "the pinion moves"),
	},
	Assumptions: []string{"The old set stood right, and nothing else between shim and pinion face has changed: not the bearing, a washer or the gasket."},
	Sources:     []string{Practice, "TM280", "TM365", "TM369"},
	Example: map[string]string{"old": "+5", "new": "-10", "etched-unit": "hundredths of a millimetre",
		"plus": "further from the axis", "shim": "0.55 mm", "thicker": "away from the axis"},
	Do: func(c *Call) error {
		c.F("old")
		c.F("new")
		dOld, dNew := deviation(c, "old", "d_old"), deviation(c, "new", "d_new")
		plus := bevel.Way(c.Choice("plus"))
		move, err := bevel.SwapMove(dOld, dNew, plus)
		if err != nil {
			return c.Bad("plus", err)
		}
		formula := "d_new − d_old"
		if plus == bevel.PlusNearer {
			formula = "d_old − d_new"
		}
		c.Show("move", formula, float64(move))
		if err := showShim(c, c.Length("shim"), move); err != nil {
			return err
		}
		c.Say("way", wayOf(move))
		return nil
	},
}

func asksHeight(key, flank string) Input {
	return choice(key, "where the pattern lies on the "+flank+" flank of the crown wheel, between tip and root",
		string(bevel.High), string(bevel.Mid), string(bevel.Low))
}

func asksEnd(key, flank string) Input {
	return choice(key, "toward which end of the tooth it lies on the "+flank+" flank",
		string(bevel.Toe), string(bevel.Centre), string(bevel.Heel))
}

var patternMove = &Sum{
	Name: "pattern", Title: "Contact pattern: which move it asks for", Group: Bevel,
	Purpose: "From where the marking paste is rubbed off the crown wheel's teeth, the one move to make next. Preload and backlash must be right before a pattern means anything.",
	Inputs: []Input{
		asksHeight("drive-height", "drive"), asksEnd("drive-end", "drive"),
		asksHeight("coast-height", "coast"), asksEnd("coast-end", "coast"),
	},
	Outputs: []Output{
		says("move", "next move"),
		says("restore", "backlash"),
		says("why", "because"),
	},
	Assumptions: []string{"Which flank drives forward is marked on the wheel itself; it depends on the hand of the spiral and on the side the wheel sits.",
		"Change one thing at a time: 0.10 mm first, then 0.05, then 0.025, and keep a photo of each try."},
	Sources: []string{"TM660", "TM266", "TM306", "TM638", "TM653", Practice},
	Example: map[string]string{"drive-height": "low", "drive-end": "toe", "coast-height": "low", "coast-end": "heel"},
	Do: func(c *Call) error {
		drive := bevel.Mark{Height: bevel.Height(c.Choice("drive-height")), End: bevel.End(c.Choice("drive-end"))}
		coast := bevel.Mark{Height: bevel.Height(c.Choice("coast-height")), End: bevel.End(c.Choice("coast-end"))}
		a, err := bevel.Move(drive, coast)
		if err != nil {
			return c.Bad("drive-height", err)
		}
		move, restore := a.Move, a.Restore
		if move == "" {
			move, restore = "none", "as it is"
		}
		c.Say("move", move)
		c.Say("restore", restore)
		c.Say("why", a.Why)
		if !c.quiet {
			c.answer.Lines = append(c.answer.Lines, Line{Meaning: a.Why, Value: move, Source: a.Source})
		}
		return nil
	},
}
