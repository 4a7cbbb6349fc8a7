package catalog

import (
	"fmt"
	"math"

	"endfloat/calc/runout"
	"endfloat/calc/unit"
)

func init() { register(runOut, indexRunOut, gearRunOut) }

var runOut = &Sum{
	Name: "run-out", Title: "Run-out from dial readings", Group: Check, Picture: "run-out",
	Purpose: "From readings at equal steps once round: how far the part is off centre, where its high point is, and how much of the reading is form and not offset.",
	Inputs: []Input{
		mm("readings", "r", -50, 50, "dial readings at four or more equal steps round the part, in order; eight or twelve tell more").many(),
		mm("limit", "f_max", 0, 20, "most run-out allowed").optional(),
	},
	Outputs: []Output{
		gives("run-out", "f", unit.KindLength, "mm", 3, "run-out, largest less smallest reading"),
		gives("offset", "e", unit.KindLength, "mm", 4, "off centre by"),
		gives("offset-u", "u_e", unit.KindLength, "mm", 4, "standard uncertainty of that, from the scatter"),
		gives("swing", "2e", unit.KindLength, "mm", 3, "run-out of the offset alone"),
		gives("high", "φ", unit.KindAngle, "°", 1, "high point, from the first reading on"),
		gives("high-u", "u_φ", unit.KindAngle, "°", 1, "standard uncertainty of that"),
		gives("form", "form", unit.KindLength, "mm", 3, "left over: form, dents or a shaky dial"),
		gives("share", "share", unit.Number, "%", 0, "of the readings' variance the offset explains"),
	},
	Assumptions: []string{"One wave a turn; four readings cannot tell an offset from a part with three lobes.",
		"The dial stands square to the surface and the part turns on a true axis."},
	Sources: []string{"ROUND"},
	Example: map[string]string{"readings": "0.023, 0.024, 0.014, 0.005, 0.002, 0.000, 0.002, 0.011 mm", "limit": "0.03 mm"},
	Do: func(c *Call) error {
		r := c.List("readings")
		w, err := runout.Fit(lengths(r), unit.Length(c.U("readings")))
		if err != nil {
			return c.Bad("readings", err)
		}
		n := len(r)
		wave := func(f func(float64) float64) (x float64) {
			for k, v := range r {
				x += 2 / float64(n) * v * f(2*math.Pi*float64(k)/float64(n))
			}
			return x
		}
		c.Show("run-out", readingsRange(c, r), float64(w.RunOut))
		c.Line("a", "wave along the first reading", waveOf(c, r, "cos"), wave(math.Cos), "mm")
		c.Line("b", "wave across it", waveOf(c, r, "sin"), wave(math.Sin), "mm")
		c.Show("offset", "√(a² + b²)", float64(w.E))
		c.Out("offset-u", float64(w.UE))
		c.Let("e", float64(w.E), "mm")
		c.Show("swing", "2 · e", float64(w.Offset.RunOut()))
		base := Decide(c, func() unit.Angle { return w.At })
		c.Out("high", float64(base)+math.Remainder(float64(w.At-base), 2*math.Pi))
		c.Note("φ", "high point", "angle of (a, b)", c.Print(float64(w.At), "°"))
		c.Out("high-u", float64(w.UAt))
		c.Out("form", float64(w.Form))
		c.Out("share", w.Share)
		c.Note("form", "largest less smallest of what the wave leaves over", "", c.Print(float64(w.Form), "mm"))
		warnRunOut(c, w, n)
		return nil
	},
}

func warnRunOut(c *Call, w runout.Wave, n int) {
	if n < 6 {
		c.Warn("with %d readings the run-out may be up to %.0f %% more than the largest shows; take eight", n, 100*(1/seen(n)-1))
	}
	if w.E > 0 && w.UE > w.E/2 {
		c.Warn("the high point is hardly known: what is seen is form or scatter")
	}
	if c.Has("limit") {
		if limit := c.F("limit"); float64(w.RunOut) > limit+1e-9 {
			c.Warn("it is more than the %s allowed", c.Print(limit, "mm"))
		}
	}
}

func seen(n int) float64 {
	s, err := runout.Seen(n)
	if err != nil {
		return 1
	}
	return s
}

func readingsRange(c *Call, r []float64) string {
	if c.quiet {
		return ""
	}
	lo, hi := r[0], r[0]
	for _, x := range r {
		lo, hi = min(lo, x), max(hi, x)
	}
	u := anyUnit("mm")
	return bracket(number(hi, u)) + " − " + bracket(number(lo, u))
}

// waveOf writes the sum of the readings over one turn, for a dozen or fewer; with
// more it is told in words.
func waveOf(c *Call, r []float64, f string) string {
	if c.quiet {
		return ""
	}
	text := ""
	for k, x := range r {
		if k > 0 {
			text += " + "
		}
		text += bracket(number(x, anyUnit("mm"))) + " · " + f + " " + number(2*math.Pi*float64(k)/float64(len(r)), anyUnit("°")) + "°"
	}
	return fmt.Sprintf("2 / %d · (%s)", len(r), text)
}

var indexRunOut = &Sum{
	Name: "index-run-out", Title: "Turn two parts so that their run-out cancels", Group: Check, Picture: "index",
	Purpose: "Two parts that are each off centre, such as a crown wheel on its carrier, can be put together so that most of it cancels: which way round, and what is left.",
	Inputs: []Input{
		mm("offset-1", "e1", 0, 10, "how far the first part is off centre: half its run-out"),
		angle("high-1", "φ1", -360, 720, "angle of its high point"),
		mm("offset-2", "e2", 0, 10, "how far the second part is off centre"),
		angle("high-2", "φ2", -360, 720, "angle of its high point, in the same sense, both parts as they now stand"),
		whole("steps", "n", 1, 400, "ways in which the second part goes on, such as bolt holes; left out, any angle will do").optional(),
	},
	Outputs: []Output{
		gives("now", "f_0", unit.KindLength, "mm", 3, "run-out as they stand"),
		gives("turn", "θ", unit.KindAngle, "°", 1, "turn the second part by"),
		counts("step", "k", "that is so many steps"),
		gives("left", "f", unit.KindLength, "mm", 3, "run-out left"),
		gives("worst", "f_w", unit.KindLength, "mm", 3, "run-out at the worst way round"),
	},
	Assumptions: []string{"Offsets add as arrows; form stays. The second part is turned in the sense in which angles are counted."},
	Sources:     []string{Practice},
	Example:     map[string]string{"offset-1": "0.020 mm", "high-1": "40°", "offset-2": "0.015 mm", "high-2": "250°", "steps": "8"},
	Do: func(c *Call) error {
		one := runout.Offset{E: c.Length("offset-1"), At: unit.Angle(c.F("high-1"))}
		two := runout.Offset{E: c.Length("offset-2"), At: unit.Angle(c.F("high-2"))}
		type chosen struct {
			best, worst unit.Angle
			step        float64
			err         error
		}
		w := Decide(c, func() (w chosen) {
			if !c.Has("steps") {
				i, err := runout.Cancel(one, two)
				return chosen{i.Turn, i.Turn + math.Pi, 0, err}
			}
			n := c.Int("steps")
			all, err := runout.Indexes(one, two, n)
			if err != nil {
				return chosen{err: err}
			}
			w.best, w.worst = all[0].Turn, all[n-1].Turn
			w.step = math.Round(float64(w.best) / (2 * math.Pi) * float64(n))
			return w
		})
		if w.err != nil {
			return c.Bad("offset-1", w.err)
		}
		c.Let("θ", float64(w.best), "°")
		c.Let("θ_w", float64(w.worst), "°")
		for _, o := range []struct {
			key, turn string
			by        unit.Angle
		}{{"now", "", 0}, {"left", " − θ", w.best}, {"worst", " − θ_w", w.worst}} {
			left, err := runout.Together(one, two, o.by)
			if err != nil {
				return c.Bad("offset-1", err)
			}
			c.Show(o.key, "2 · √(abs (e1² + e2² + 2 · e1 · e2 · cos (φ1 − φ2"+o.turn+")))", float64(left.RunOut()))
		}
		c.Out("turn", float64(w.best))
		if c.Has("steps") {
			c.Out("step", w.step)
		}
		return nil
	},
}

var gearRunOut = &Sum{
	Name: "gear-run-out", Title: "Backlash of a gear that runs out", Group: Check,
	Purpose: "By how much the backlash of a pair of cylindrical gears goes up and down for the radial run-out of one of them, and what is left at the tightest place.",
	Inputs: []Input{
		mm("run-out", "F", 0, 5, "radial run-out of the teeth, highest less lowest"),
		angle("pressure-angle", "α", 5, 40, "working pressure angle in the plane of rotation"),
		mm("backlash", "j", 0, 5, "mean backlash, in the plane of rotation").optional(),
	},
	Outputs: []Output{
		gives("swing", "Δj", unit.KindLength, "mm", 3, "backlash goes up and down by"),
		gives("tightest", "j_1", unit.KindLength, "mm", 3, "backlash at the tightest place"),
	},
	Assumptions: []string{"The run-out moves the centre distance from one extreme to the other; both gears' run-outs meet somewhere if their teeth have no common factor."},
	Sources:     []string{Practice},
	Example:     map[string]string{"run-out": "0.05 mm", "pressure-angle": "20°", "backlash": "0.10 mm"},
	Do: func(c *Call) error {
		s, err := runout.BacklashOfGear(c.Length("run-out"), unit.Angle(c.F("pressure-angle")))
		if err != nil {
			return c.Bad("pressure-angle", err)
		}
		c.Show("swing", "2 · F · tan α", float64(s))
		if !c.Has("backlash") {
			return nil
		}
		tight, err := runout.Tightest(c.Length("backlash"), s)
		if err != nil {
			return c.Bad("backlash", err)
		}
		c.Show("tightest", "j − Δj / 2", float64(tight))
		if tight < 0 {
			c.Warn("the gears bind once a turn")
		}
		return nil
	},
}
