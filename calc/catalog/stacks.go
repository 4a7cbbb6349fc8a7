package catalog

import (
	"fmt"
	"sync"

	"endfloat/calc/press"
	"endfloat/calc/stack"
	"endfloat/calc/unit"
)

func init() {
	register(stackLength, gearFloat, circlip, forkShim, inputNose, length20, oilLevel)
}

func lengths(si []float64) []unit.Length {
	out := make([]unit.Length, len(si))
	for i, x := range si {
		out[i] = unit.Length(x)
	}
	return out
}

var stackLength = &Sum{
	Name: "stack-length", Title: "Length of the stack under a nut", Group: Shims, Picture: "stack",
	Purpose: "Add up the parts on a shaft and see whether the nut clamps them or runs onto the end of its thread.",
	Inputs: []Input{
		mm("widths", "w", 0, 1000, "width of each part between shoulder and nut, with its name").named(),
		mm("shoulder", "S", 0, 3000, "distance from the shoulder to the run-out of the thread"),
		mm("least", "least", 0, 10, "how far the stack must at least stand proud").optional(),
	},
	Outputs: []Output{
		givesMM("sum", "sum", "length of the stack"),
		givesMM("proud", "proud", "stands proud by"),
	},
	Assumptions: []string{"Widths are measured, not taken from a list: a bearing from another maker may differ."},
	Sources:     []string{Practice},
	Example: map[string]string{"widths": "bearing = 22.00, sleeve = 34.20, hub = 25.00, spacer = 12.28, cone = 20.75 mm",
		"shoulder": "113.30 mm", "least": "0.50 mm"},
	Do: func(c *Call) error {
		w := lengths(c.List("widths"))
		s := c.Length("shoulder")
		sum := stack.Proud(w, 0)
		c.Line("sum", "length of the stack", sumOf(c, "widths"), float64(sum), "mm")
		c.Out("sum", float64(sum))
		proud := stack.Proud(w, s)
		c.Show("proud", "sum − S", float64(proud))
		switch {
		case proud <= 0:
			c.Warn("the nut reaches the end of its thread before it clamps anything: a part is missing, too narrow or from another version")
		case c.Has("least") && float64(proud) < c.F("least")-1e-9:
			c.Warn("it stands proud by less than %s", c.Print(c.F("least"), "mm"))
		}
		return nil
	},
}

// sumOf writes the values of a list as a formula of plain numbers.
func sumOf(c *Call, key string) string {
	if c.quiet {
		return ""
	}
	d, g := c.input(key)
	s := ""
	for i, q := range g.values {
		if i > 0 {
			s += " + "
		}
		s += bracket(number(q.SI, d.unit()))
	}
	return s
}

var gearFloat = &Sum{
	Name: "gear-float", Title: "End float of a loose gear on its sleeve", Group: Shims, Picture: "gear-float",
	Purpose: "A loose gear runs on a clamped sleeve that is a little longer than the gear is wide; the difference is its float.",
	Inputs: []Input{
		mm("sleeve", "L", 0, 500, "length of the sleeve").many(),
		mm("gear", "b", 0, 500, "width of the gear over its thrust faces").many(),
		mm("least", "least", 0, 5, "least float allowed").optional(),
		mm("most", "most", 0, 5, "most float allowed").optional(),
	},
	Outputs:     []Output{givesMM("float", "e", "end float of the gear")},
	Assumptions: []string{"The sleeve is not under the nut's torque while it is measured; clamped it is 0.01 to 0.03 mm shorter, and so is the float."},
	Sources:     []string{Practice},
	Example:     map[string]string{"sleeve": "34.20 mm", "gear": "33.98 mm", "least": "0.15 mm", "most": "0.35 mm"},
	Do: func(c *Call) error {
		l, _ := c.Mean("sleeve")
		b, _ := c.Mean("gear")
		e := float64(stack.GearFloat(unit.Length(l), unit.Length(b)))
		c.Show("float", "L − b", e)
		switch {
		case e <= 0:
			c.Warn("the gear is wider than its sleeve and would be clamped fast")
		case c.Has("least") && e < c.F("least")-1e-9:
			c.Warn("it is less than the least float, %s", c.Print(c.F("least"), "mm"))
		case c.Has("most") && e > c.F("most")+1e-9:
			c.Warn("it is more than the most float, %s", c.Print(c.F("most"), "mm"))
		}
		return nil
	},
}

var circlip = &Sum{
	Name: "circlip", Title: "Choice of a selective circlip", Group: Shims, Picture: "circlip",
	Purpose: "Of the circlips at hand, the thickest that goes into its groove.",
	Inputs: []Input{
		mm("groove", "D", 0, 1000, "from a reference face to the far wall of the groove").many(),
		mm("ring", "R", 0, 1000, "from the same face to the face that the circlip holds").many(),
		mm("sizes", "t", 0, 20, "thickness of each circlip at hand").many(),
		mm("play-max", "play_max", 0, 2, "most play allowed"),
		mm("play-min", "play_min", 0, 2, "least play wanted").or("0 mm"),
	},
	Outputs: []Output{
		givesMM("free", "free", "free length in the groove"),
		givesMM("circlip", "t", "circlip"),
		givesMM("play", "play", "play it leaves"),
	},
	Sources: []string{Practice},
	Example: map[string]string{"groove": "19.08 mm", "ring": "17.00 mm", "sizes": "2.00, 2.05, 2.10 mm", "play-max": "0.10 mm"},
	Caution: "A circlip under tension can fly: wear eye protection and turn its opening away from people.",
	Do: func(c *Call) error {
		d, _ := c.Mean("groove")
		r, _ := c.Mean("ring")
		free := d - r
		c.Show("free", "D − R", free)
		sizes := lengths(c.List("sizes"))
		least := c.Length("play-min")
		best := Decide(c, func() int { return stack.Circlip(unit.Length(free), least, sizes) })
		if best < 0 {
			return c.Badf("sizes", "none of them goes in: the free length is %s", c.Print(free, "mm"))
		}
		t := float64(sizes[best])
		c.Let("t", t, "mm")
		c.Out("circlip", t)
		c.Show("play", "free − t", free-t)
		if most := c.F("play-max"); free-t > most+1e-9 {
			c.Warn("the thickest that goes in leaves more play than %s: a thicker one is needed", c.Print(most, "mm"))
		}
		return nil
	},
}

var forkShim = &Sum{
	Name: "fork-shim", Title: "Shims to centre a selector fork", Group: Shims,
	Purpose: "From the travel of the sleeve to each side of neutral, how many shims bring it to the middle.",
	Inputs: []Input{
		mm("travel-a", "a", 0, 50, "travel from neutral to the stop on side A"),
		mm("travel-b", "b", 0, 50, "travel from neutral to the stop on side B"),
		mm("shim", "q", 0.01, 5, "thickness of one fork shim"),
	},
	Outputs: []Output{
		givesMM("shift", "shift", "shift wanted, toward side A"),
		counts("shims", "n", "shims to move, toward side A"),
		givesMM("residue", "rest", "difference of travels left"),
		says("side", "move the fork"),
	},
	Assumptions: []string{"Both travels are read to the stop of the sleeve, not to the click of the detent."},
	Sources:     []string{Practice},
	Example:     map[string]string{"travel-a": "8.9 mm", "travel-b": "8.3 mm", "shim": "0.127 mm"},
	Do: func(c *Call) error {
		a, b, q := c.Length("travel-a"), c.Length("travel-b"), c.Length("shim")
		shift := stack.ForkShift(a, b)
		c.Show("shift", "(a − b) / 2", float64(shift))
		var err error
		n := Decide(c, func() (n int) {
			n, err = stack.ForkShims(shift, q)
			return n
		})
		if err != nil {
			return c.Bad("shim", err)
		}
		c.Let("n", float64(n), "")
		c.Out("shims", float64(n))
		c.Show("residue", "2 · (shift − n · q)", float64(stack.ForkResidue(shift, n, q)))
		switch {
		case n > 0:
			c.Say("side", "toward side A")
		case n < 0:
			c.Say("side", "toward side B")
		default:
			c.Say("side", "leave it: less than half a shim is wanted")
		}
		return nil
	},
}

var inputNose = &Sum{
	Name: "nose", Title: "Nose of the input shaft in its spigot bearing", Group: Shims, Picture: "nose",
	Purpose: "Before the gearbox goes onto the engine: does the nose clear the bottom of its bore, and does it reach far enough into the spigot bearing?",
	Inputs: []Input{
		mm("nose", "N", -100, 500, "how far the nose stands beyond the gearbox's joint face"),
		mm("bore", "C", -100, 500, "from the engine's joint face to the bottom of the bore"),
		mm("bearing", "F", -100, 500, "from the engine's joint face to the front of the spigot bearing"),
		mm("gasket", "G", 0, 200, "gasket or adapter plate between the faces; 0 mm if none"),
		mm("least-clearance", "c_min", 0, 100, "least clearance wanted").optional(),
		mm("least-engagement", "m_min", 0, 100, "least engagement wanted, such as the length of the bush").optional(),
	},
	Outputs: []Output{
		givesMM("clearance", "c", "clearance at the end of the nose"),
		givesMM("engagement", "m", "engagement in the bearing"),
	},
	Assumptions: []string{"The clutch hub is free on its spline over the same travel; look at that as well."},
	Sources:     []string{Practice},
	Example: map[string]string{"nose": "23.80 mm", "bore": "27.60 mm", "bearing": "8.50 mm", "gasket": "0.30 mm",
		"least-clearance": "1.5 mm", "least-engagement": "12 mm"},
	Do: func(c *Call) error {
		n, bore, f, g := c.Length("nose"), c.Length("bore"), c.Length("bearing"), c.Length("gasket")
		if bore < f {
			return c.Badf("bore", "its bottom lies in front of the spigot bearing; expected more than %s", c.Print(float64(f), "mm"))
		}
		clearance, engagement := stack.Nose(bore, f, g, n)
		c.Show("clearance", "C + G − N", float64(clearance))
		c.Show("engagement", "N − G − F", float64(engagement))
		if clearance <= 0 {
			c.Warn("the nose meets the bottom of its bore before the faces meet: do not draw the gearbox up with its bolts")
		} else if c.Has("least-clearance") && float64(clearance) < c.F("least-clearance")-1e-9 {
			c.Warn("the clearance is less than wanted")
		}
		if engagement <= 0 {
			c.Warn("the nose does not reach its bearing")
		} else if c.Has("least-engagement") && float64(engagement) < c.F("least-engagement")-1e-9 {
			c.Warn("the nose reaches less far into its bearing than wanted")
		}
		return nil
	},
}

// metals are the words for what a part is made of, to one who knows no alloy.
var metals = []string{"steel", "cast iron", "aluminium", "magnesium", "bronze"}

// expansions are those of metals, per kelvin, as the table of materials has them.
var expansions = sync.OnceValue(func() map[string]float64 {
	out := map[string]float64{}
	for _, name := range metals {
		m, _ := press.Find(materials(), name)
		out[name] = m.Heating
	}
	return out
})

// gaugeSteel is the expansion of measuring instruments, per kelvin.
func gaugeSteel() float64 {
	m, _ := press.Find(materials(), "gauge steel")
	return m.Heating
}

// steelInstrument is the expansion of a micrometer or depth gauge.
func steelInstrument() Input {
	return ask("instrument", "α_i", unit.KindExpansion, "1/K", 0, 100e-6, "expansion of the instrument; that of gauge steel if left out").or(fmt.Sprintf("%.4ge-6 1/K", 1e6*gaugeSteel()))
}

var length20 = &Sum{
	Name: "length-20", Title: "Length at 20 °C", Group: Check,
	Purpose: "Bring a reading taken in a cold or hot workshop to 20 °C, where sizes are meant. Part and instrument must have lain together long enough to be equally warm.",
	Inputs: []Input{
		mm("reading", "L", 0, 3000, "what the instrument read").many(),
		ask("temperature", "T", unit.KindTemperature, "°C", -30, 150, "temperature of part and instrument"),
		choice("part", "what the part is made of", metals...),
		steelInstrument(),
	},
	Outputs: []Output{
		gives("length", "L20", unit.KindLength, "mm", 3, "length at 20 °C"),
		gives("correction", "ΔL", unit.KindLength, "µm", 1, "correction"),
	},
	Assumptions: []string{"Part and instrument have the same temperature."},
	Sources:     []string{"ISO1", Practice},
	Example:     map[string]string{"reading": "170.60 mm", "temperature": "9 °C", "part": "aluminium"},
	Do: func(c *Call) error {
		l, _ := c.Mean("reading")
		t := unit.Temperature(c.F("temperature"))
		at20 := at20(c, l, t, c.Choice("part"))
		c.Out("length", at20)
		c.Show("correction", "L20 − L", at20-l)
		return nil
	},
}

// at20 corrects a reading with symbol L and shows the working. Temperatures and
// expansions enter as plain numbers, their units cancel.
func at20(c *Call, reading float64, t unit.Temperature, metal string) float64 {
	α, αi := expansions()[metal], c.F("instrument")
	v := float64(stack.At20(unit.Length(reading), α, αi, t))
	c.Let("T", float64(t), "")
	c.Let("α_p", α, "")
	c.Let("α_i", αi, "")
	c.Line("L20", "length at 20 °C, α_p for "+metal, "L · (1 − (α_p − α_i) · (T − 20))", v, "mm", "ISO1")
	return v
}

var oilLevel = &Sum{
	Name: "oil-level", Title: "Volume of a change of oil level", Group: Other, Picture: "oil-level",
	Purpose: "How much oil a filler plug at another height, or a case standing out of level, makes.",
	Inputs: []Input{
		mm("length", "a", 1, 3000, "length of the case inside, at the oil level"),
		mm("width", "b", 1, 3000, "width of the case inside, at the oil level"),
		mm("rise", "h", -500, 500, "rise of the level; negative for a fall"),
		ask("free", "f", unit.Number, "", 0.05, 1, "part of the area that gears and walls leave free").or("0.6"),
	},
	Outputs:     []Output{gives("volume", "V", unit.KindVolume, "L", 2, "change of volume")},
	Assumptions: []string{"The walls are upright over the change of level."},
	Sources:     []string{Practice},
	Example:     map[string]string{"length": "240 mm", "width": "130 mm", "rise": "7 mm"},
	Do: func(c *Call) error {
		a, b, h, f := c.F("length"), c.F("width"), c.F("rise"), c.F("free")
		c.Show("volume", "a · b · f · h", stack.LevelVolume(a*b, f, unit.Length(h)))
		return nil
	},
}
