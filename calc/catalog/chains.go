package catalog

import (
	"math"
	"strings"

	"endfloat/calc/stack"
	"endfloat/calc/uncert"
	"endfloat/calc/unit"
)

func init() { register(chain, meshAlignment, plateStack, ringGap) }

const (
	mostLinks      = 30
	mostChainDraws = 100_000
	chainSeed      = 1
)

var chain = &Sum{
	Name: "chain", Title: "Chain of toleranced lengths", Group: Shims, Picture: "chain",
	Purpose: "What a chain of lengths with tolerances closes to: in the worst case, as a root sum of squares, and from parts drawn at random. Lengths that take away carry a minus.",
	Inputs: []Input{
		mm("parts", "L", -3000, 3000, "each length with its name, negative where it takes away, such as case = 100, bush = -5").named(),
		mm("tolerances", "t", 0, 50, "how far each may be off, to either side, in the same order; one value serves all").many(),
		optionalChoice("spread", "how parts spread within their tolerance", string(stack.Bell), string(stack.Even)),
		mm("least", "lo", -3000, 3000, "least length of the chain allowed").optional(),
		mm("most", "hi", -3000, 3000, "most length of the chain allowed").optional(),
		whole("draws", "n", 1000, mostChainDraws, "draw so many assemblies at random").optional(),
	},
	Outputs: []Output{
		gives("nominal", "L_0", unit.KindLength, "mm", 3, "nominal length"),
		gives("worst", "w", unit.KindLength, "mm", 3, "worst case, to either side"),
		gives("worst-least", "L_1", unit.KindLength, "mm", 3, "least, worst case"),
		gives("worst-most", "L_2", unit.KindLength, "mm", 3, "most, worst case"),
		gives("rss", "q", unit.KindLength, "mm", 3, "root sum of squares, to either side"),
		gives("sd", "sd", unit.KindLength, "µm", 1, "standard deviation"),
		gives("outside", "out", unit.Number, "%", 2, "outside the limits"),
		gives("drawn-least", "L_3", unit.KindLength, "mm", 3, "least of the shortest 95 %, drawn"),
		gives("drawn-most", "L_4", unit.KindLength, "mm", 3, "most of it"),
		gives("drawn-outside", "out_d", unit.Number, "%", 2, "outside the limits, drawn"),
	},
	Assumptions: []string{"Parts are centred in their tolerances and have nothing to do with one another; a batch off centre adds as in the worst case.",
		"A tolerance is not an uncertainty: what is typed after ± on a length is how well it was measured."},
	Sources: []string{"CHASE", "SCHOLZ"},
	Example: map[string]string{"parts": "shaft = 100, bush-a = -5, bush-b = -5, housing = -88 mm", "tolerances": "0.10, 0.05, 0.05, 0.08 mm",
		"least": "1.80 mm", "most": "2.20 mm"},
	Do: doChain,
}

func doChain(c *Call) error {
	links, err := linksOf(c)
	if err != nil {
		return err
	}
	sum := stack.Close(links)
	c.Line("L_0", "nominal length", sumOf(c, "parts"), float64(sum.Nominal), "mm")
	c.Out("nominal", float64(sum.Nominal))
	c.Line("w", "worst case, to either side", tolerancesOf(c, links, ""), float64(sum.Worst), "mm")
	c.Out("worst", float64(sum.Worst))
	c.Show("worst-least", "L_0 − w", float64(sum.Nominal-sum.Worst))
	c.Show("worst-most", "L_0 + w", float64(sum.Nominal+sum.Worst))
	c.Line("q", "root sum of squares, to either side", tolerancesOf(c, links, "²"), float64(sum.Statistical), "mm")
	c.Out("rss", float64(sum.Statistical))
	shape := stack.Bell
	if c.Has("spread") {
		shape = stack.Shape(c.Choice("spread"))
	} else {
		c.Assume("Parts spread %s.", shape)
	}
	sd := sum.SD(shape)
	over := "q / 3"
	if shape == stack.Even {
		over = "q / √3"
	}
	c.Show("sd", over, float64(sd))
	lo, hi := unit.Length(math.Inf(-1)), unit.Length(math.Inf(1))
	limited := c.Has("least") || c.Has("most")
	if c.Has("least") {
		lo = c.Length("least")
	}
	if c.Has("most") {
		hi = c.Length("most")
	}
	if lo > hi {
		return c.Badf("least", "it is more than the most")
	}
	if limited {
		out := sum.Reject(sd, lo, hi)
		c.Out("outside", out)
		c.Note("out", "outside the limits, the sum taken as normal", "", quantity(out, anyUnit("%")))
	}
	drawChain(c, links, sum, shape, lo, hi, limited)
	return nil
}

func linksOf(c *Call) ([]stack.Link, error) {
	parts, tol := c.List("parts"), c.List("tolerances")
	switch {
	case len(parts) > mostLinks:
		return nil, c.Badf("parts", "%d links are more than a chain should have; expected at most %d", len(parts), mostLinks)
	case len(tol) != 1 && len(tol) != len(parts):
		return nil, c.Badf("tolerances", "there are %d for %d parts; expected one for each, or one for all", len(tol), len(parts))
	}
	links := make([]stack.Link, len(parts))
	for i, l := range parts {
		links[i] = stack.Link{L: unit.Length(l), Tol: unit.Length(tol[min(i, len(tol)-1)])}
	}
	return links, nil
}

// tolerancesOf writes the tolerances as a sum, or as a root of their squares.
func tolerancesOf(c *Call, links []stack.Link, power string) string {
	if c.quiet {
		return ""
	}
	list := make([]string, len(links))
	for i, l := range links {
		list[i] = number(float64(l.Tol), anyUnit("mm")) + power
	}
	text := strings.Join(list, " + ")
	if power != "" {
		text = "√(" + text + ")"
	}
	return text
}

// drawChain draws the assemblies once; stepped runs only move their middle.
func drawChain(c *Call, links []stack.Link, sum stack.Chain, shape stack.Shape, lo, hi unit.Length, limited bool) {
	if !c.Has("draws") {
		return
	}
	n := c.Int("draws")
	off := Decide(c, func() uncert.Outcome { return stack.Draw(links, shape, n, chainSeed) })
	type ends struct{ lo, hi float64 }
	e := Decide(c, func() (e ends) { e.lo, e.hi = off.Shortest(coverage); return e })
	at := float64(sum.Nominal)
	c.Out("drawn-least", at+e.lo)
	c.Out("drawn-most", at+e.hi)
	if !c.quiet {
		u := anyUnit("mm")
		c.Note("", "shortest interval that holds 95 % of the assemblies drawn", "", quantity(at+e.lo, u)+" to "+quantity(at+e.hi, u))
	}
	if limited {
		out := Decide(c, func() float64 { return 1 - off.Within(float64(lo)-at, float64(hi)-at) })
		c.Out("drawn-outside", out)
	}
}

var meshAlignment = &Sum{
	Name: "mesh-alignment", Title: "Do two gears in mesh stand in line?", Group: Shims,
	Purpose: "From the parts between one plane across both shafts and each gear: how far their middles are apart, how much of the face meshes, and how far a shim would have to move one of the shafts.",
	Inputs: []Input{
		mm("stack-1", "s1", -1000, 1000, "from the plane to the near face of gear 1: each part with its name, shims too; negative where it goes back").named(),
		mm("face-1", "b1", 0.5, 500, "face width of gear 1, without chamfers"),
		mm("stack-2", "s2", -1000, 1000, "the same for gear 2, from the same plane").named(),
		mm("face-2", "b2", 0.5, 500, "face width of gear 2"),
		mm("allowed", "allowed", 0, 20, "how far the middles may be apart").optional(),
	},
	Outputs: []Output{
		givesMM("near-1", "n1", "near face of gear 1"),
		givesMM("near-2", "n2", "near face of gear 2"),
		givesMM("offset", "offset", "gear 1 stands further from the plane by"),
		givesMM("shared", "shared", "width of face in mesh"),
		givesMM("over-near", "o1", "gear 1 stands over at the near side by"),
		givesMM("over-far", "o2", "gear 1 stands over at the far side by"),
	},
	Assumptions: []string{"Both stacks start at one plane, such as the joint face or the seats of bearings of the same width.",
		"Each shaft lies against the same side of its float."},
	Sources: []string{Practice},
	Example: map[string]string{"stack-1": "bearing = 18.00, shim = 0.50, spacer = 6.20, collar = 4.10 mm", "face-1": "17.00 mm",
		"stack-2": "bearing = 19.25, shim = 0.30, sleeve = 8.75 mm", "face-2": "18.00 mm", "allowed": "0.30 mm"},
	Do: func(c *Call) error {
		total := func(key string) unit.Length { return stack.Proud(lengths(c.List(key)), 0) }
		n1, b1, n2, b2 := total("stack-1"), c.Length("face-1"), total("stack-2"), c.Length("face-2")
		m := stack.Align(n1, b1, n2, b2)
		c.Line("n1", "near face of gear 1", sumOf(c, "stack-1"), float64(n1), "mm")
		c.Out("near-1", float64(n1))
		c.Line("n2", "near face of gear 2", sumOf(c, "stack-2"), float64(n2), "mm")
		c.Out("near-2", float64(n2))
		c.Show("offset", "n1 + b1 / 2 − (n2 + b2 / 2)", float64(m.Offset))
		c.Show("over-near", "n2 − n1", float64(m.Over1))
		c.Show("over-far", "n1 + b1 − (n2 + b2)", float64(m.Over2))
		c.Out("shared", float64(m.Shared))
		c.Note("shared", "width of face in mesh: the nearer far face less the further near face", "", quantity(float64(m.Shared), anyUnit("mm")))
		switch off := math.Abs(float64(m.Offset)); {
		case m.Shared <= 0:
			c.Warn("the gears miss each other: a part is missing or one of them stands the wrong way round")
		case c.Has("allowed") && off > c.F("allowed")+1e-9:
			c.Warn("the middles are more than %s apart: move one of the shafts by %s", c.Print(c.F("allowed"), "mm"), c.Print(off, "mm"))
		}
		return nil
	},
}

var plateStack = &Sum{
	Name: "plate-stack", Title: "Plates of a limited-slip differential", Group: Bevel,
	Purpose: "The end play of a pack of plates in its housing, and how much thicker or thinner the pack must be.",
	Inputs: []Input{
		mm("depth", "H", 1, 500, "depth of the housing for the pack, cover in place").many(),
		mm("plates", "t", 0.1, 200, "each plate, side gear and washer of the pack with its name and thickness").named(),
		mm("least", "e_min", 0, 5, "least end play wanted").or("0 mm"),
		mm("most", "e_max", 0, 5, "most end play allowed"),
	},
	Outputs: []Output{
		givesMM("sum", "sum", "thickness of the pack"),
		givesMM("play", "e", "end play"),
		givesMM("add-least", "a_1", "thicker by at least; negative for thinner"),
		givesMM("add-most", "a_2", "thicker by at most"),
	},
	Assumptions: []string{"Plates are flat, clean and oiled, and squeezed by hand while the pack is measured.", "Both sides get the same change."},
	Sources:     []string{Practice},
	Example: map[string]string{"depth": "49.52 mm", "plates": "left-plates = 8.05, left-gear = 16.50, right-gear = 16.50, right-plates = 8.10 mm",
		"least": "0.05 mm", "most": "0.15 mm"},
	Do: func(c *Call) error {
		h, spread := c.Mean("depth")
		warnSpread(c, "depth", spread)
		plates := lengths(c.List("plates"))
		lo, hi := c.F("least"), c.F("most")
		if lo > hi {
			return c.Badf("least", "it is more than the most")
		}
		sum := float64(stack.Proud(plates, 0))
		c.Line("sum", "thickness of the pack", sumOf(c, "plates"), sum, "mm")
		c.Out("sum", sum)
		e := float64(stack.Slack(unit.Length(h), plates))
		c.Show("play", "H − sum", e)
		c.Show("add-least", "e − e_max", e-hi)
		c.Show("add-most", "e − e_min", e-lo)
		switch {
		case e < lo-1e-9:
			c.Warn("the pack is too thick: it would be clamped before the cover closes, or have less play than wanted")
		case e > hi+1e-9:
			c.Warn("the pack is too thin for the play allowed")
		}
		return nil
	},
}

var ringGap = &Sum{
	Name: "ring-gap", Title: "Baulk ring: gap to its gear", Group: Check, Picture: "ring-gap",
	Purpose: "A baulk ring pressed on its cone by hand must stand clear of the gear's dog teeth, all round. With the gap of a new ring it shows what has worn away.",
	Inputs: []Input{
		mm("gap", "g", 0, 10, "gap read with a feeler at three or more places round the ring").many(),
		mm("least", "g_min", 0, 10, "gap below which the ring is replaced, from the unit's own book"),
		mm("new", "g_new", 0, 10, "gap of a new ring on this gear").optional(),
		angle("cone", "α", 2, 20, "half the angle of the cone, to see the wear on the radius").optional(),
	},
	Outputs: []Output{
		givesMM("mean", "g", "mean gap"),
		givesMM("smallest", "g_1", "gap at the tightest place"),
		givesMM("left", "left", "left before it is to be replaced"),
		gives("used", "used", unit.Number, "%", 0, "of its life used"),
		gives("wear", "w", unit.KindLength, "mm", 3, "worn away, on the radius"),
		says("verdict", "the ring"),
	},
	Assumptions: []string{"The limit is a least gap and holds at the tightest place; some books print it as a most by mistake."},
	Sources:     []string{Practice, "ISO14253-1"},
	Example:     map[string]string{"gap": "0.95, 1.00, 0.95 ± 0.03 mm", "least": "0.70 mm", "new": "1.30 mm", "cone": "6.5°"},
	Do: func(c *Call) error {
		g, spread := c.Mean("gap")
		list := c.List("gap")
		least := c.F("least")
		c.Out("mean", g)
		smallest := list[0]
		for _, x := range list[1:] {
			smallest = min(smallest, x)
		}
		c.Let("g_1", smallest, "mm")
		c.Out("smallest", smallest)
		c.Show("left", "g_1 − g_min", smallest-least)
		if len(list) < 3 {
			c.Warn("the gap was read at %d of three places", len(list))
		}
		if spread > 0.15e-3+1e-9 {
			c.Warn("the gap differs by %s round the ring: it is bent, or was held askew", c.Print(spread, "mm"))
		}
		verdict := Decide(c, func() uncert.Verdict { return uncert.Decide(smallest, c.U("gap"), least, math.Inf(1)) })
		c.Say("verdict", map[uncert.Verdict]string{uncert.In: "has gap left", uncert.Out: "is worn out", uncert.Close: "is too close to call: replace it, or read again with a finer tool"}[verdict])
		return ringWear(c, g, least)
	},
}

func ringWear(c *Call, g, least float64) error {
	if !c.Has("new") {
		if c.Has("cone") {
			return c.Badf("new", "it is needed too, to see the wear")
		}
		return nil
	}
	fresh := c.F("new")
	if fresh <= least {
		return c.Badf("new", "a new ring has more gap than one that is to be replaced")
	}
	c.Show("used", "(g_new − g) / (g_new − g_min)", (fresh-g)/(fresh-least))
	if c.Has("cone") {
		c.Show("wear", "(g_new − g) · tan α", float64(stack.ConeWear(unit.Length(fresh-g), unit.Angle(c.F("cone")))))
	}
	return nil
}
