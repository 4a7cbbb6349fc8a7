package catalog

import (
	"math"

	"endfloat/calc/bevel"
	"endfloat/calc/unit"
)

func init() { register(backlashMove, backlashFactor, dialPlace) }

func angle(key, symbol string, lo, hi float64, help string) Input {
	return ask(key, symbol, unit.KindAngle, "°", lo, hi, help)
}

func asksSense(help string) Input {
	return optionalChoice("sense", help, string(bevel.Normal), string(bevel.Transverse))
}

// flankInputs describe a pair of bevel gears.
func flankInputs() []Input {
	return []Input{
		whole("pinion-teeth", "z1", 3, 200, "teeth of the pinion"),
		whole("wheel-teeth", "z2", 3, 400, "teeth of the crown wheel"),
		angle("pressure-angle", "α", 5, 40, "normal pressure angle"),
		angle("spiral-angle", "β", -50, 50, "spiral angle where the dial stands, 0° for straight teeth"),
	}
}

func allOptional(in []Input) []Input {
	for i := range in {
		in[i].Optional = true
	}
	return in
}

var backlashMove = &Sum{
	Name: "backlash-move", Title: "Backlash: how much shim to take across", Group: Bevel, Picture: "backlash",
	Purpose: "From the backlash read round the crown wheel, how far the wheel has to move and what the shims at both sides become. The total stays, and with it the preload. The factor between move and backlash is given, worked out from the teeth, or learned from a move already made.",
	Inputs: append(append([]Input{
		mm("backlash", "j", 0, 5, "backlash read at four or more places round the wheel").many(),
		mm("target", "j_want", 0, 5, "backlash wanted"),
		ask("factor", "k", unit.Number, "", 0.05, 3, "change of backlash for a move of 1, if known").optional(),
		mm("before", "j_0", 0, 5, "to learn the factor: backlash before the last move").optional(),
		mm("after", "j_1", 0, 5, "to learn the factor: backlash after it").optional(),
		mm("moved", "Δx_0", -5, 5, "to learn the factor: how far the wheel was moved toward the pinion; negative for away").optional(),
	}, allOptional(flankInputs())...),
		asksSense("how the backlash is read and meant; needed with the teeth"),
		mm("crown-side", "t_c", 0, 50, "shims on the crown wheel's side now").optional(),
		mm("other-side", "t_o", 0, 50, "shims on the other side now").optional(),
		mm("step", "step", 0.001, 1, "move in whole steps of this, the shims at hand").optional(),
	),
	Outputs: []Output{
		gives("mean", "j", unit.KindLength, "mm", 3, "mean backlash"),
		givesMM("least", "j_min", "backlash at the tightest place"),
		givesMM("most", "j_max", "backlash at the loosest place"),
		gives("factor", "k", unit.Number, "", 2, "backlash for a move of 1"),
		gives("exact", "Δx", unit.KindLength, "mm", 3, "exact move toward the pinion"),
		givesMM("move", "move", "move toward the pinion"),
		gives("predicted", "j_new", unit.KindLength, "mm", 3, "backlash to expect"),
		givesMM("crown-side", "t_c_new", "shims on the crown wheel's side"),
		givesMM("other-side", "t_o_new", "shims on the other side"),
		says("way", "the crown wheel moves"),
	},
	Assumptions: []string{"The dial stands square to the tooth at its outer end and the pinion is held.",
		"Limits hold at the tightest place unless the book says otherwise."},
	Sources: []string{Practice, "AXLE", "ARROW"},
	Example: map[string]string{"backlash": "0.30, 0.32, 0.31, 0.31 mm", "target": "0.15 mm", "factor": "0.70",
		"crown-side": "2.20 mm", "other-side": "2.20 mm", "step": "0.05 mm"},
	Do: doBacklashMove,
}

func doBacklashMove(c *Call) error {
	j, spread := c.Mean("backlash")
	target := c.F("target")
	list := c.List("backlash")
	lo, hi := math.Inf(1), 0.0
	for _, x := range list {
		lo, hi = min(lo, x), max(hi, x)
	}
	c.Out("mean", j)
	c.Out("least", lo)
	c.Out("most", hi)
	switch {
	case len(list) < 4:
		c.Warn("backlash read at %d of the four places that a run-out needs to show", len(list))
	case spread > wideSpread+1e-9:
		c.Warn("the backlash differs by %s round the wheel: mend the run-out before moving anything", c.Print(spread, "mm"))
	}
	k, err := factorFor(c)
	if err != nil {
		return err
	}
	c.Out("factor", k)
	Δx, err := bevel.Transfer(unit.Length(j), unit.Length(target), k)
	if err != nil {
		return c.Bad("factor", err)
	}
	c.Show("exact", "(j − j_want) / k", float64(Δx))
	move, formula := float64(Δx), "Δx"
	if c.Has("step") {
		step := c.F("step")
		n := Decide(c, func() float64 { return math.Round(float64(Δx) / step) })
		c.Let("n", n, "")
		move, formula = n*step, "n · step"
	}
	c.Show("move", formula, move)
	c.Show("predicted", "j − k · move", j-k*move)
	showSides(c, move)
	switch {
	case move > 0.5e-6:
		c.Say("way", "toward the pinion")
	case move < -0.5e-6:
		c.Say("way", "away from the pinion")
	default:
		c.Say("way", "not at all")
	}
	return nil
}

// showSides takes the move from the other side's shims to the crown wheel's.
func showSides(c *Call, move float64) {
	for _, s := range []struct {
		key, symbol, sign string
		move              float64
	}{{"crown-side", "t_c", "+", move}, {"other-side", "t_o", "−", -move}} {
		if !c.Has(s.key) {
			continue
		}
		t := c.F(s.key) + s.move
		c.Show(s.key, s.symbol+" "+s.sign+" move", t)
		if t < 0 {
			c.Warn("%s: the shims there come out below nothing; the wheel cannot move so far", s.key)
		}
	}
}

// factorFor finds the backlash factor in the one way that the inputs allow, and
// falls back on the usual guess.
func factorFor(c *Call) (float64, error) {
	ways := 0
	learned := c.Has("before") || c.Has("after") || c.Has("moved")
	toothed := c.Has("pinion-teeth") || c.Has("wheel-teeth") || c.Has("pressure-angle") || c.Has("spiral-angle")
	for _, given := range []bool{c.Has("factor"), learned, toothed} {
		if given {
			ways++
		}
	}
	switch {
	case ways > 1:
		return 0, c.Badf("factor", "the factor is asked for in one way only: factor itself, or before, after and moved, or the teeth")
	case c.Has("factor"):
		return c.F("factor"), nil
	case learned:
		return learnedFactor(c)
	case toothed:
		return toothFactor(c)
	}
	const guess = 0.7
	c.Let("k", guess, "")
	c.Assume("k = %g is a usual first guess; learn the true one from this move.", guess)
	return guess, nil
}

func learnedFactor(c *Call) (float64, error) {
	if err := needs(c, "to learn the factor from a move", "before", "after", "moved"); err != nil {
		return 0, err
	}
	before, after, moved := c.Length("before"), c.Length("after"), c.Length("moved")
	k, err := bevel.LearnedFactor(before, after, moved)
	if err != nil {
		return 0, c.Bad("moved", err)
	}
	c.Line("k", "factor learned from the last move", "(j_0 − j_1) / Δx_0", k, "")
	if k < 0.3 || k > 1.3 {
		c.Warn("moved: a factor of %s is far from the usual 0.5 to 0.9; was something else changed, or a reading taken at another place?", c.Print(k, ""))
	}
	return k, nil
}

func toothFactor(c *Call) (float64, error) {
	err := needs(c, "to work the factor out from the teeth", "pinion-teeth", "wheel-teeth", "pressure-angle", "spiral-angle", "sense")
	if err != nil {
		return 0, err
	}
	_, d2, err := pitchAngles(c)
	if err != nil {
		return 0, err
	}
	α, β := unit.Angle(c.F("pressure-angle")), unit.Angle(c.F("spiral-angle"))
	sense := bevel.Sense(c.Choice("sense"))
	k, err := bevel.Factor(sense, α, β, d2)
	if err != nil {
		return 0, c.Bad("pressure-angle", err)
	}
	c.Line("k", "backlash for a move of 1, "+string(sense), factorFormula[sense]("δ2"), k, "")
	return k, nil
}

var factorFormula = map[bevel.Sense]func(δ string) string{
	bevel.Normal:     func(δ string) string { return "2 · sin α · sin " + δ },
	bevel.Transverse: func(δ string) string { return "2 · tan α · sin " + δ + " / cos β" },
}

func pitchAngles(c *Call) (d1, d2 unit.Angle, err error) {
	d1, d2, err = bevel.PitchAngles(c.Int("pinion-teeth"), c.Int("wheel-teeth"))
	if err != nil {
		return 0, 0, c.Bad("pinion-teeth", err)
	}
	c.Line("δ1", "pitch angle of the pinion, shaft angle 90°", "atan(z1 / z2)", float64(d1), "°", "JINDAL")
	c.Line("δ2", "pitch angle of the crown wheel", "90° − δ1", float64(d2), "°", "JINDAL")
	return d1, d2, nil
}

var backlashFactor = &Sum{
	Name: "backlash-factor", Title: "Backlash factors from the teeth", Group: Bevel,
	Purpose: "By how much the backlash changes for an axial move of the crown wheel or of the pinion, square to the flank and in the plane of rotation.",
	Inputs:  flankInputs(),
	Outputs: []Output{
		gives("pinion-angle", "δ1", unit.KindAngle, "°", 2, "pitch angle of the pinion"),
		gives("wheel-angle", "δ2", unit.KindAngle, "°", 2, "pitch angle of the crown wheel"),
		gives("wheel-normal", "k_wn", unit.Number, "", 3, "crown wheel moved, normal to the flank"),
		gives("wheel-transverse", "k_wt", unit.Number, "", 3, "crown wheel moved, in the plane of rotation"),
		gives("pinion-normal", "k_pn", unit.Number, "", 3, "pinion moved, normal to the flank"),
		gives("pinion-transverse", "k_pt", unit.Number, "", 3, "pinion moved, in the plane of rotation"),
	},
	Assumptions: []string{"A bevel pair at 90° without offset. A hypoid pair has no such angles: learn its factor from a move."},
	Sources:     []string{"ARROW", "AXLE", "JINDAL"},
	Example:     map[string]string{"pinion-teeth": "8", "wheel-teeth": "37", "pressure-angle": "20°", "spiral-angle": "35°"},
	Do: func(c *Call) error {
		d1, d2, err := pitchAngles(c)
		if err != nil {
			return err
		}
		α, β := unit.Angle(c.F("pressure-angle")), unit.Angle(c.F("spiral-angle"))
		c.Out("pinion-angle", float64(d1))
		c.Out("wheel-angle", float64(d2))
		for _, f := range []struct {
			key   string
			sense bevel.Sense
			δ     unit.Angle
			name  string
		}{
			{"wheel-normal", bevel.Normal, d2, "δ2"}, {"wheel-transverse", bevel.Transverse, d2, "δ2"},
			{"pinion-normal", bevel.Normal, d1, "δ1"}, {"pinion-transverse", bevel.Transverse, d1, "δ1"},
		} {
			k, err := bevel.Factor(f.sense, α, β, f.δ)
			if err != nil {
				return c.Bad("pressure-angle", err)
			}
			c.Show(f.key, factorFormula[f.sense](f.name), k)
		}
		return nil
	},
}

const (
	dialOnWheel  = "the crown wheel's shaft, pinion held"
	dialOnPinion = "the pinion's shaft, crown wheel held"
)

var dialPlace = &Sum{
	Name: "dial-place", Title: "Backlash read with the dial somewhere else", Group: Bevel,
	Purpose: "When the dial cannot reach a tooth: from a reading at a flange, the backlash at the crown wheel, in the plane of rotation and, if the angles are known, normal to the flank.",
	Inputs: []Input{
		choice("at", "the dial stands on", dialOnWheel, dialOnPinion),
		mm("reading", "s", 0, 20, "what the dial shows").many(),
		mm("dial-radius", "r", 1, 2000, "radius at which the dial stands"),
		mm("wheel-radius", "R", 1, 2000, "radius of the crown wheel at the outer end of its teeth"),
		ask("ratio", "i", unit.Number, "", 0.2, 50, "ratio of the pair, crown wheel over pinion; needed on the pinion's shaft").optional(),
		angle("pressure-angle", "α", 5, 40, "normal pressure angle").optional(),
		angle("spiral-angle", "β", -50, 50, "spiral angle at the outer end").optional(),
	},
	Outputs: []Output{
		gives("transverse", "j_t", unit.KindLength, "mm", 3, "backlash in the plane of rotation"),
		gives("normal", "j_n", unit.KindLength, "mm", 3, "backlash normal to the flank"),
	},
	Assumptions: []string{"Nothing between dial and tooth has play or twist of its own: no spline, no differential."},
	Sources:     []string{Practice, "ARROW"},
	Example: map[string]string{"at": "the pinion's shaft, crown wheel held", "reading": "0.30 mm", "dial-radius": "40 mm", "wheel-radius": "88 mm", "ratio": "4.625",
		"pressure-angle": "20°", "spiral-angle": "35°"},
	Do: func(c *Call) error {
		at := c.Choice("at")
		s, spread := c.Mean("reading")
		warnSpread(c, "reading", spread)
		r, big := c.Length("dial-radius"), c.Length("wheel-radius")
		if at == dialOnWheel {
			c.Show("transverse", "s · R / r", float64(bevel.AtWheel(unit.Length(s), big, r)))
		} else {
			if err := needs(c, "because the dial stands on the pinion's shaft", "ratio"); err != nil {
				return err
			}
			i := c.F("ratio")
			c.Show("transverse", "s / r · R / i", float64(bevel.FromPinion(unit.Length(s), big, r, i)))
		}
		if !c.Has("pressure-angle") && !c.Has("spiral-angle") {
			return nil
		}
		if err := needs(c, "for the backlash normal to the flank", "pressure-angle", "spiral-angle"); err != nil {
			return err
		}
		share := bevel.NormalShare(unit.Angle(c.F("pressure-angle")), unit.Angle(c.F("spiral-angle")))
		c.Show("normal", "j_t · cos α · cos β", c.last()*share, "ARROW")
		return nil
	},
}
