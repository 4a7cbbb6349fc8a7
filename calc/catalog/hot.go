package catalog

import (
	"fmt"
	"math"

	"endfloat/calc/bevel"
	"endfloat/calc/unit"
)

func init() {
	register(depthHot, sidePreloadHot, backlashAllowance, backlashVariation, sideGearWashers)
}

// rise asks how much warmer something is than 20 °C.
func rise(key, symbol, help string) Input {
	return ask(key, symbol, unit.KindTempRise, "K", -100, 250, help)
}

var depthHot = &Sum{
	Name: "depth-hot", Title: "What heat does to the pinion's depth", Group: Bevel, Picture: "pinion-hot",
	Purpose: "A light case grows more than the pinion inside it. How far the pinion leaves the axis of the crown wheel when the gearbox is warm, and what that does to the backlash.",
	Inputs: []Input{
		mm("seat", "S", 1, 2000, "from the axis of the crown wheel to the seat in the case that locates the pinion lengthwise"),
		mm("depth", "A", 1, 1000, "depth of the pinion when cold, from the axis to its face"),
		choice("case", "what the case is made of", metals...),
		rise("case-warm", "ΔT_c", "how much warmer the case is than when the depth was set"),
		rise("pinion-warm", "ΔT_p", "how much warmer the pinion is"),
		ask("factor", "k_p", unit.Number, "", 0, 3, "change of backlash for a move of the pinion of 1, as backlash-factor gives it").optional(),
	},
	Outputs: []Output{
		gives("case-grows", "g_c", unit.KindLength, "µm", 0, "the case grows from axis to seat by"),
		gives("pinion-grows", "g_p", unit.KindLength, "µm", 0, "the pinion grows from seat to face by"),
		gives("change", "ΔA", unit.KindLength, "µm", 0, "the pinion stands further from the axis by"),
		gives("depth-hot", "A_hot", unit.KindLength, "mm", 3, "depth when warm"),
		gives("backlash", "Δj", unit.KindLength, "µm", 0, "backlash grows by, from the pinion alone"),
	},
	Assumptions: []string{"Each part is equally warm along its length; the crown wheel's own growth is left out.",
		"Expansion of metals is typical, within a few per cent."},
	Sources: []string{Practice},
	Example: map[string]string{"seat": "150 mm", "depth": "57.12 mm", "case": "aluminium", "case-warm": "60 K", "pinion-warm": "70 K", "factor": "0.145"},
	Do: func(c *Call) error {
		s, a := c.Length("seat"), c.Length("depth")
		if s <= a {
			return c.Badf("seat", "the seat lies nearer to the axis than the pinion's face; expected more than %s", c.Print(float64(a), "mm"))
		}
		α := expansions()[c.Choice("case")]
		tc, tp := unit.TempRise(c.F("case-warm")), unit.TempRise(c.F("pinion-warm"))
		c.Let("α_c", α, "1/K")
		c.Let("α_p", expansions()["steel"], "1/K")
		c.Show("case-grows", "S · α_c · ΔT_c", float64(bevel.DepthHot(s, s, α, 0, tc, 0)))
		c.Show("pinion-grows", "(S − A) · α_p · ΔT_p", -float64(bevel.DepthHot(s, a, 0, expansions()["steel"], 0, tp)))
		Δ := bevel.DepthHot(s, a, α, expansions()["steel"], tc, tp)
		c.Show("change", "g_c − g_p", float64(Δ))
		c.Show("depth-hot", "A + ΔA", float64(a+Δ))
		if c.Has("factor") {
			c.Show("backlash", "k_p · ΔA", c.F("factor")*float64(Δ))
		}
		return nil
	},
}

var sidePreloadHot = &Sum{
	Name: "side-preload-hot", Title: "What heat does to the preload of taper bearings", Group: Bevel,
	Purpose: "A light case grows away from the bearings and lets go of their cups. How much preload a pair loses when warm, or gains, and whether any is left.",
	Inputs: []Input{
		choice("arrangement", "how the pair stands: X if covers hold the cups from outside, O if shoulders hold them from inside", string(bevel.X), string(bevel.O)),
		mm("between", "L", 1, 2000, "distance between the cups' seats"),
		choice("case", "what the case is made of", metals...),
		rise("case-warm", "ΔT_c", "how much warmer the case is than when the preload was set"),
		rise("shaft-warm", "ΔT_s", "how much warmer differential and bearings are"),
		ask("cup-growth", "Δd", unit.KindLength, "µm", 0, 500, "by how much a cup's raceway grows on diameter as its fit slackens, each bearing; grip-hot gives it").many().or("0 µm"),
		ask("e", "e", unit.Number, "", 0.1, 2, "factor e of the bearings from their maker's table; one value serves both").many().or("0.35"),
		mm("preload", "p", -2, 2, "preload set cold, as interference; negative for a play").optional(),
	},
	Outputs: []Output{
		gives("length", "g", unit.KindLength, "µm", 0, "play from growth in length"),
		gives("cups", "r", unit.KindLength, "µm", 0, "play from the cups"),
		gives("play", "Δ", unit.KindLength, "µm", 0, "play gained, negative for preload gained"),
		gives("left", "p_hot", unit.KindLength, "mm", 3, "preload left, negative for a play"),
	},
	Assumptions: []string{"Rings and rollers of one bearing are equally warm, and nothing yields: a force changes by less than this length times the stiffness of a bearing alone.",
		"The factor e stands for the cup's angle: tan α = e / 1.5."},
	Sources: []string{"BNORMS", Practice},
	Example: map[string]string{"arrangement": string(bevel.X), "between": "170 mm", "case": "aluminium", "case-warm": "60 K", "shaft-warm": "60 K",
		"cup-growth": "12, 12 µm", "e": "0.40", "preload": "0.12 mm"},
	Do: doSidePreloadHot,
}

func doSidePreloadHot(c *Call) error {
	arrangement := bevel.Arrangement(c.Choice("arrangement"))
	l := c.Length("between")
	α := expansions()[c.Choice("case")]
	tc, ts := unit.TempRise(c.F("case-warm")), unit.TempRise(c.F("shaft-warm"))
	growth, e := c.List("cup-growth"), c.List("e")
	if len(growth) > 2 {
		return c.Badf("cup-growth", "a pair has two bearings, %d values were typed", len(growth))
	}
	if len(e) > 2 {
		return c.Badf("e", "a pair has two bearings, %d values were typed", len(e))
	}
	length, err := bevel.PlayHot(arrangement, l, α, expansions()["steel"], tc, ts)
	if err != nil {
		return c.Bad("arrangement", err)
	}
	c.Let("α_c", α, "1/K")
	c.Let("α_s", expansions()["steel"], "1/K")
	sign := ""
	if arrangement == bevel.O {
		sign = "−"
	}
	c.Show("length", sign+"L · (α_c · ΔT_c − α_s · ΔT_s)", float64(length), Practice)
	var cups unit.Length
	for i := range 2 {
		cup := bevel.Cup{E: e[min(i, len(e)-1)], Growth: unit.Length(growth[min(i, len(growth)-1)])}
		cups += cup.Axial()
		id := fmt.Sprint(i + 1)
		c.Let("Δd_"+id, float64(cup.Growth), "µm")
		c.Let("e_"+id, cup.E, "")
	}
	c.Show("cups", "Δd_1 / 2 · 1.5 / e_1 + Δd_2 / 2 · 1.5 / e_2", float64(cups))
	play := float64(length + cups)
	c.Show("play", "g + r", play)
	if !c.Has("preload") {
		return nil
	}
	left := c.F("preload") - play
	c.Show("left", "p − Δ", left)
	switch {
	case left < 0 && c.F("preload") > 0:
		c.Warn("warm, the preload is gone; the book's figure may count on it")
	case play < 0:
		c.Warn("the pair tightens as it warms: see that it can bear the preload")
	}
	return nil
}

var backlashAllowance = &Sum{
	Name: "backlash-allowance", Title: "Backlash recommended for a module", Group: Bevel,
	Purpose: "Where no book says what backlash a new bevel pair should have: the range recommended for teeth of its size. A used pair goes back to the backlash it had.",
	Inputs: []Input{
		mm("module", "m", 1.27, 25.4, "outer module of the crown wheel: its outer pitch diameter over its teeth"),
		choice("quality", "how finely the pair is made; ground or lapped gears of vehicles are the finer", string(bevel.Fine), string(bevel.Coarse)),
		mm("backlash", "j", 0, 5, "backlash read, square to the flank, at the tightest place").optional(),
	},
	Outputs: []Output{
		gives("pitch", "DP", unit.Number, "", 2, "teeth for each inch of pitch diameter"),
		givesMM("least", "j_min", "least backlash"),
		givesMM("most", "j_max", "most backlash"),
		givesMM("over", "over", "the backlash read is over the least by"),
	},
	Assumptions: []string{"Square to the flank, at the outer end, at the tightest place. The unit's own book rules."},
	Sources:     []string{"AGMABL"},
	Example:     map[string]string{"module": "4.75 mm", "quality": "AGMA quality 7 to 13", "backlash": "0.16 mm"},
	Do: func(c *Call) error {
		m := c.Length("module")
		q := bevel.Quality(c.Choice("quality"))
		c.Let("inch", 25.4e-3, "mm")
		c.Show("pitch", "inch / m", 25.4e-3/float64(m))
		type band struct {
			lo, hi unit.Length
			err    error
		}
		b := Decide(c, func() (b band) { b.lo, b.hi, b.err = bevel.Allowance(m, q); return b })
		if b.err != nil {
			return c.Bad("module", b.err)
		}
		c.Let("j_min", float64(b.lo), "mm")
		c.Out("least", float64(b.lo))
		c.Out("most", float64(b.hi))
		c.Note("j", "row of the table", "", c.Print(float64(b.lo), "mm")+" to "+c.Print(float64(b.hi), "mm"))
		if !c.Has("backlash") {
			return nil
		}
		j := c.F("backlash")
		c.Show("over", "j − j_min", j-float64(b.lo))
		if j < float64(b.lo)-1e-9 || j > float64(b.hi)+1e-9 {
			c.Warn("%s is not within the range recommended for a new pair", c.Print(j, "mm"))
		}
		return nil
	},
}

var backlashVariation = &Sum{
	Name: "backlash-variation", Title: "Backlash variation that a run-out explains", Group: Check,
	Purpose: "By how much the backlash must go up and down in one turn for the run-out of the crown wheel's back, so that the rest is known to come from elsewhere.",
	Inputs: append([]Input{mm("run-out", "f", 0, 5, "run-out of the back face, highest less lowest")},
		append(flankInputs(), mm("variation", "v", 0, 5, "variation of backlash that was read, square to the flank").optional())...),
	Outputs: []Output{
		gives("wheel-angle", "δ2", unit.KindAngle, "°", 2, "pitch angle of the crown wheel"),
		gives("normal", "v_n", unit.KindLength, "mm", 3, "variation to expect, normal to the flank"),
		gives("transverse", "v_t", unit.KindLength, "mm", 3, "variation to expect, in the plane of rotation"),
		gives("rest", "rest", unit.KindLength, "mm", 3, "read over what the run-out explains"),
	},
	Assumptions: []string{"The back face runs true to the teeth: the run-out is that of the seat or its bolts.", "A bevel pair at 90° without offset."},
	Sources:     []string{"ARROW", "JINDAL", Practice},
	Example:     map[string]string{"run-out": "0.05 mm", "pinion-teeth": "9", "wheel-teeth": "35", "pressure-angle": "20°", "spiral-angle": "35°", "variation": "0.06 mm"},
	Do: func(c *Call) error {
		f := c.F("run-out")
		_, δ2, err := pitchAngles(c)
		if err != nil {
			return err
		}
		α, β := unit.Angle(c.F("pressure-angle")), unit.Angle(c.F("spiral-angle"))
		vn, err := bevel.Variation(unit.Length(f), α, δ2)
		if err != nil {
			return c.Bad("pressure-angle", err)
		}
		kt, err := bevel.Factor(bevel.Transverse, α, β, δ2)
		if err != nil {
			return c.Bad("spiral-angle", err)
		}
		c.Out("wheel-angle", float64(δ2))
		c.Show("normal", "2 · f · sin α · sin δ2", float64(vn))
		c.Show("transverse", "2 · f · tan α · sin δ2 / cos β", f*kt)
		if !c.Has("variation") {
			return nil
		}
		rest := c.F("variation") - float64(vn)
		c.Show("rest", "v − v_n", rest)
		if rest > 0.02e-3+1e-9 {
			c.Warn("the run-out does not explain the variation: look at the teeth, the carrier and its bearings")
		}
		return nil
	},
}

var sideGearWashers = &Sum{
	Name: "side-gear-washers", Title: "Washers behind the side gears of a differential", Group: Bevel,
	Purpose: "How many steps thicker the washers behind both side gears must be to bring their backlash to the planets into its limit.",
	Inputs: []Input{
		mm("backlash", "j", 0, 5, "backlash of a side gear, planets held").many(),
		mm("most", "j_max", 0, 5, "most backlash allowed"),
		whole("planet-teeth", "z_p", 5, 60, "teeth of a planet"),
		whole("side-teeth", "z_s", 5, 80, "teeth of a side gear"),
		angle("pressure-angle", "α", 10, 35, "pressure angle of the differential's gears; 20° to 25° are usual"),
		mm("step", "q", 0.005, 2, "steps in which washers are made"),
	},
	Outputs: []Output{
		gives("side-angle", "δ", unit.KindAngle, "°", 2, "pitch angle of the side gear"),
		gives("factor", "k", unit.Number, "", 3, "backlash for a washer thicker by 1"),
		counts("steps", "n", "steps thicker, at both sides"),
		gives("predicted", "j_new", unit.KindLength, "mm", 3, "backlash to expect"),
	},
	Assumptions: []string{"Straight teeth at 90°; read in the plane of rotation at the side gear's outer end.", "Both washers change alike, so the planets stay in the middle."},
	Sources:     []string{"JINDAL", "ARROW", Practice},
	Example:     map[string]string{"backlash": "0.25 mm", "most": "0.15 mm", "planet-teeth": "10", "side-teeth": "16", "pressure-angle": "20°", "step": "0.10 mm"},
	Do: func(c *Call) error {
		j, spread := c.Mean("backlash")
		warnSpread(c, "backlash", spread)
		most := c.Length("most")
		_, δ, err := bevel.PitchAngles(c.Int("planet-teeth"), c.Int("side-teeth"))
		if err != nil {
			return c.Bad("side-teeth", err)
		}
		c.Show("side-angle", "90° − atan(z_p / z_s)", float64(δ), "JINDAL")
		k, err := bevel.Factor(bevel.Transverse, unit.Angle(c.F("pressure-angle")), 0, δ)
		if err != nil {
			return c.Bad("pressure-angle", err)
		}
		c.Show("factor", "2 · tan α · sin δ", k, "ARROW")
		step := c.Length("step")
		type chosen struct {
			n   int
			err error
		}
		w := Decide(c, func() (w chosen) { w.n, w.err = bevel.WasherSteps(unit.Length(j), most, k, step); return w })
		if w.err != nil {
			return c.Bad("step", w.err)
		}
		n := float64(w.n)
		c.Let("n", n, "")
		c.Out("steps", n)
		c.Show("predicted", "j − n · k · q", j-n*k*float64(step), Practice)
		if after := j - n*k*float64(step); after < 0 {
			c.Warn("one step is too coarse: the gears would bind")
		} else if math.Abs(after) < 0.02e-3 {
			c.Warn("hardly any backlash is left: turn the gears all the way round before closing")
		}
		return nil
	},
}
