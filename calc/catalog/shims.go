package catalog

import (
	"endfloat/calc/stack"
	"endfloat/calc/unit"
)

func init() { register(endFloat, endFloatTwoEnds, taperShim, taperSpacer, coverGap) }

// Readings of one length that differ by more than this are worth taking again.
const wideSpread = 0.05e-3

func warnSpread(c *Call, key string, spread float64) {
	if spread > wideSpread+1e-9 {
		c.Warn("the readings of %s differ by %s: look for dirt, a raised edge or a cup that is not seated, and read again", key, c.Print(spread, "mm"))
	}
}

// What a pair of bearings can be set to.
const (
	preload = "preload"
	play    = "play"
)

func asksPreload() Input {
	return choice("set", "what the bearings shall have, from the unit's own book", preload, play)
}

// squeeze returns the wanted interference, negative for a play, and how it enters
// a formula that adds it.
func squeeze(c *Call) (w unit.Length, plus, minus string) {
	w = c.Length("amount")
	if c.Choice("set") == play {
		return -w, "−", "+"
	}
	return w, "+", "−"
}

// taperInputs are common to the sums that set a pair of taper bearings.
func taperInputs(first ...Input) []Input {
	return append(first, asksPreload(),
		mm("amount", "w", 0, 1, "how much preload (as interference) or play is wanted"))
}

var endFloat = &Sum{
	Name: "end-float", Title: "End-float shim from depth readings", Group: Shims, Picture: "end-float",
	Purpose: "Choose the shim between a bearing ring and its cover so that the shaft has the end float its book asks for.",
	Inputs: []Input{
		mm("recess", "H", 0, 1000, "depth of the recess in the cover, from its joint face").many(),
		mm("gasket", "G", 0, 5, "thickness of the gasket when crushed; 0 mm with liquid sealant"),
		mm("stand-up", "P", -1000, 1000, "how far the bearing ring stands above the joint face of the case").many(),
		mm("float-min", "e_min", 0, 5, "least end float wanted"),
		mm("float-max", "e_max", 0, 5, "most end float wanted"),
		mm("fitted", "t_fit", 0, 20, "a shim at hand, measured, to see the float it gives").optional(),
	},
	Outputs: []Output{
		givesMM("gap", "gap", "gap without a shim"),
		givesMM("shim", "t", "shim for the middle of the band"),
		givesMM("shim-min", "t_min", "thinnest shim"),
		givesMM("shim-max", "t_max", "thickest shim"),
		givesMM("float", "e_fit", "end float with the shim at hand"),
	},
	Assumptions: []string{
		"The ring is seated, the faces are clean and the nut is at its torque.",
		"The float read by a dial is this gap and the axial play inside a ball bearing besides.",
	},
	Sources: []string{Practice},
	Example: map[string]string{"recess": "21.41, 21.42, 21.43 mm", "gasket": "0.26 mm", "stand-up": "20.64 mm",
		"float-min": "0.10 mm", "float-max": "0.20 mm", "fitted": "0.88 mm"},
	Do: func(c *Call) error {
		h, hSpread := c.Mean("recess")
		g := c.Length("gasket")
		p, pSpread := c.Mean("stand-up")
		lo, hi := c.Length("float-min"), c.Length("float-max")
		if lo > hi {
			return c.Badf("float-min", "the least float is more than the most")
		}
		warnSpread(c, "recess", hSpread)
		warnSpread(c, "stand-up", pSpread)
		gap := stack.Gap(unit.Length(h), g, unit.Length(p))
		c.Show("gap", "H + G − P", float64(gap))
		if gap < lo {
			c.Warn("the gap is less than the least float even without a shim: the readings are invalid, a shim is still in, or a part is not seated")
		}
		c.Line("e", "middle of the float wanted", "(e_min + e_max) / 2", float64(lo+hi)/2, "mm")
		c.Show("shim", "gap − e", float64(stack.FloatShim(gap, (lo+hi)/2)))
		c.Show("shim-min", "gap − e_max", float64(stack.FloatShim(gap, hi)))
		c.Show("shim-max", "gap − e_min", float64(stack.FloatShim(gap, lo)))
		if !c.Has("fitted") {
			return nil
		}
		// The float a shim leaves and the shim a float asks for are the same difference.
		e := stack.FloatShim(gap, c.Length("fitted"))
		c.Show("float", "gap − t_fit", float64(e))
		if e < lo-1e-9 || e > hi+1e-9 {
			c.Warn("the shim at hand gives %s, which is not within %s to %s", c.Print(float64(e), "mm"), c.Print(float64(lo), "mm"), c.Print(float64(hi), "mm"))
		}
		return nil
	},
}

var endFloatTwoEnds = &Sum{
	Name: "end-float-two-ends", Title: "End-float shims at both ends of a shaft", Group: Shims, Picture: "two-ends",
	Purpose: "For a shaft between two case halves: the total of shims, and its split so that the shaft stands where its gears want it.",
	Inputs: []Input{
		mm("depth-1", "D1", 0, 1000, "depth of the seat at end 1 below the joint face").many(),
		mm("depth-2", "D2", 0, 1000, "depth of the seat at end 2 below the joint face, gasket included").many(),
		mm("length", "L", 0, 2000, "length of the shaft over its bearing rings").many(),
		mm("place", "A", 0, 1000, "distance from the joint face to the ring at end 1 when the gears are in line"),
		mm("float", "e", 0, 5, "end float wanted"),
	},
	Outputs: []Output{
		gives("total", "Z", unit.KindLength, "mm", 3, "shims in all"),
		gives("shim-1", "t1", unit.KindLength, "mm", 3, "shim at end 1"),
		gives("shim-2", "t2", unit.KindLength, "mm", 3, "shim at end 2"),
	},
	Assumptions: []string{"Half the float lies at each end when the shaft stands in its place."},
	Sources:     []string{Practice},
	Example: map[string]string{"depth-1": "62.40 mm", "depth-2": "121.85 mm", "length": "182.60 mm",
		"place": "61.40 mm", "float": "0.15 mm"},
	Do: func(c *Call) error {
		d1, s1 := c.Mean("depth-1")
		d2, s2 := c.Mean("depth-2")
		l, s3 := c.Mean("length")
		warnSpread(c, "depth-1", s1)
		warnSpread(c, "depth-2", s2)
		warnSpread(c, "length", s3)
		total, t1, t2 := stack.BothEnds(unit.Length(d1), unit.Length(d2), unit.Length(l), c.Length("place"), c.Length("float"))
		c.Show("total", "D1 + D2 − L − e", float64(total))
		c.Show("shim-1", "D1 − A − e / 2", float64(t1))
		c.Show("shim-2", "Z − t1", float64(t2))
		if t1 < 0 || t2 < 0 {
			c.Warn("a shim comes out below nothing: a reading is invalid, or a part at that end is wider than its place allows")
		}
		return nil
	},
}

var taperShim = &Sum{
	Name: "taper-shim", Title: "Shim for a pair of taper bearings", Group: Shims, Picture: "taper-shim",
	Purpose: "From the play read with a trial shim, the shim that gives the preload or the small play wanted.",
	Inputs: append(taperInputs(
		mm("trial", "t_trial", 0, 20, "the trial shim, measured"),
		mm("play", "play", 0, 5, "end play read with it, bearings turned to seat them").many(),
		choice("thicker", "what a thicker shim does at this place: behind a cup inside it tightens, under a cover flange it loosens", "tightens", "loosens")),
		mm("least", "w_min", 0, 1, "least preload or play allowed").optional(),
		mm("most", "w_max", 0, 1, "most preload or play allowed").optional()),
	Outputs: []Output{
		givesMM("shim", "t", "shim"),
		givesMM("shim-least", "t_1", "shim for the least allowed"),
		givesMM("shim-most", "t_2", "shim for the most allowed"),
	},
	Assumptions: []string{"A play is read, not a drag: a play of nothing says only that it is at or below zero."},
	Sources:     []string{Practice, "TM660"},
	Example: map[string]string{"trial": "0.65 mm", "play": "0.31, 0.32, 0.30 mm", "thicker": "tightens",
		"set": "preload", "amount": "0.10 mm", "least": "0.05 mm", "most": "0.12 mm"},
	Do: func(c *Call) error {
		trial := c.Length("trial")
		p, spread := c.Mean("play")
		warnSpread(c, "play", spread)
		if p == 0 {
			c.Warn("no play was read: the bearings may already be preloaded; fit a trial shim that leaves some")
		}
		tightens := c.Choice("thicker") == "tightens"
		w, sign, _ := squeeze(c)
		formula := "t_trial + (play " + sign + " w)"
		if !tightens {
			formula = "t_trial − (play " + sign + " w)"
		}
		shim := func(w unit.Length) float64 { return float64(stack.CupShim(trial, unit.Length(p), w, tightens)) }
		t := shim(w)
		c.Show("shim", formula, t)
		if t < 0 {
			c.Warn("the shim comes out below nothing: a reading is invalid or a part is missing")
		}
		for _, b := range []struct{ in, out, symbol string }{{"least", "shim-least", "w_min"}, {"most", "shim-most", "w_max"}} {
			if c.Has(b.in) {
				at := c.Length(b.in)
				if w < 0 {
					at = -at
				}
				c.Show(b.out, formula[:len(formula)-2]+b.symbol+")", shim(at))
			}
		}
		return nil
	},
}

var taperSpacer = &Sum{
	Name: "taper-spacer", Title: "Spacer between the inner rings of taper bearings", Group: Shims, Picture: "taper-spacer",
	Purpose: "From the play read with a trial spacer and the nut at its torque, the spacer that gives the preload wanted. A shorter spacer gives more preload.",
	Inputs: taperInputs(
		mm("trial", "L_trial", 0, 200, "the trial spacer, measured"),
		mm("play", "play", 0, 5, "end play read with it, nut at its torque").many()),
	Outputs: []Output{givesMM("spacer", "L", "spacer")},
	Assumptions: []string{"The nut is at the same torque as it will be for good: rings and spacer shorten under it.",
		"A crush sleeve is not a spacer: never back it off."},
	Sources: []string{Practice, "TM660"},
	Example: map[string]string{"trial": "12.40 mm", "play": "0.07, 0.07, 0.07 mm", "set": "preload", "amount": "0.05 mm"},
	Do: func(c *Call) error {
		trial := c.Length("trial")
		p, spread := c.Mean("play")
		warnSpread(c, "play", spread)
		w, _, sign := squeeze(c)
		l := stack.Spacer(trial, unit.Length(p), w)
		c.Show("spacer", "L_trial − play "+sign+" w", float64(l))
		if l <= 0 {
			return c.Badf("play", "%s is more than the spacer is long", c.Print(p, "mm"))
		}
		return nil
	},
}

var coverGap = &Sum{
	Name: "cover-gap", Title: "Shims under a cover, from its gap", Group: Shims, Picture: "cover-gap",
	Purpose: "Draw the cover down without shims until the bearings just drag, measure its gap at three places, and get the pack that goes under it. The shims hold the cover off: a thinner pack gives more preload.",
	Inputs: taperInputs(
		mm("gap", "c", 0, 20, "gap between cover and case, at three places round it").many()),
	Outputs: []Output{givesMM("shim", "t", "shims under the cover")},
	Sources: []string{Practice, "TM660"},
	Example: map[string]string{"gap": "0.62, 0.64, 0.63 mm", "set": "preload", "amount": "0.08 mm"},
	Do: func(c *Call) error {
		gap, spread := c.Mean("gap")
		if spread > wideSpread+1e-9 {
			c.Warn("the gap differs by %s round the cover: it is drawn down askew", c.Print(spread, "mm"))
		}
		w, _, sign := squeeze(c)
		t := stack.CoverShim(unit.Length(gap), w)
		c.Show("shim", "c "+sign+" w", float64(t))
		if t < 0 {
			c.Warn("the pack comes out below nothing: the bearings cannot be tightened so far by this cover")
		}
		return nil
	},
}
