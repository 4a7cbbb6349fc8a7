package catalog

import (
	"fmt"
	"math"
	"strings"

	"endfloat/calc/ratio"
	"endfloat/calc/unit"
)

func init() { register(gearSteps, bestSet, tyreSize, creep, roadLoad, topSpeed, trailingLoad) }

// driving is the caution of every sum that ends in a speed or a load.
const driving = "A sum is no leave to drive at it: tyres, brakes, track, load and local law set the limit, and the maker's manual stands above a number from here."

// resisting declares what a road and a vehicle resist with.
func resisting(more ...Input) []Input {
	return append(more,
		ask("mass", "m", unit.KindMass, "kg", 1, 1e7, "mass of the vehicle as it runs, with all it draws"),
		ask("rolling", "f", unit.Number, "", 0, 0.5, "coefficient of rolling resistance: about 0.013 tyres on asphalt, 0.0035 steel on rail, 0.1 soft field"),
		ask("drag-area", "A_d", unit.KindArea, "m²", 0, 100, "drag coefficient times frontal area").or("0 m²"),
		ask("air", "ρ", unit.KindDensity, "kg/m³", 0, 2, "density of the air").or("1.2 kg/m³"),
		ask("grade", "G", unit.Number, "%", -60, 60, "rise over run, below 0 downhill").or("0 %"),
		ask("curve", "R_c", unit.KindLength, "m", 20, 1e5, "radius of a railway curve, if it runs on one").optional(),
	)
}

// roadOf reads what resisting declares.
func roadOf(c *Call) (ratio.Road, error) {
	r := ratio.Road{Mass: unit.Mass(c.F("mass")), Rolling: c.F("rolling"), DragArea: c.F("drag-area"), Air: c.F("air"), Grade: c.F("grade")}
	if c.Has("curve") {
		f, err := ratio.CurveOf(c.Length("curve"))
		if err != nil {
			return r, c.Bad("curve", err)
		}
		r.Curve = f
		c.Assume("On the curve 0.8 lb a short ton are added for each degree, a figure of standard gauge [TR0603]; none is known for narrower ones.")
	}
	return r, nil
}

// showLoad writes the parts of a resistance at a speed whose symbol is v.
func showLoad(c *Call, r ratio.Road, v float64) (ratio.Load, error) {
	l, err := r.At(v)
	if err != nil {
		return l, c.Bad("mass", err)
	}
	c.Let("g_n", 9.80665, "m/s²")
	c.Line("θ", "angle of the grade", "atan G", math.Atan(r.Grade), "°")
	f := "f"
	if r.Curve > 0 {
		c.Note("f_c", "what the curve adds to f", "0.8 / 2000 · degrees of a chord of 100 ft", c.Print(r.Curve, ""))
		c.Let("f_c", r.Curve, "")
		f = "(f + f_c)"
	}
	c.Show("rolling", "m · g_n · cos θ · "+f, float64(l.Rolling))
	c.Show("grade", "m · g_n · sin θ", float64(l.Grade))
	c.Show("air", "ρ · A_d / 2 · v²", float64(l.Air))
	return l, nil
}

// loadOutputs are what showLoad gives.
func loadOutputs(more ...Output) []Output {
	return append([]Output{
		gives("rolling", "F_r", unit.KindForce, "N", 0, "rolling resistance"),
		gives("grade", "F_g", unit.KindForce, "N", 0, "resistance of the grade"),
		gives("air", "F_a", unit.KindForce, "N", 0, "resistance of the air"),
	}, more...)
}

var roadLoad = &Sum{
	Name: "road-load", Title: "What the road resists with", Group: Ratio,
	Purpose: "Rolling, grade and air at a speed, and the power at the wheels that it takes to hold it; on road, field or rail.",
	Inputs:  resisting(ask("speed", "v", unit.KindSpeed, "km/h", 0, 500, "speed at which it is held")),
	Outputs: loadOutputs(
		gives("total", "F", unit.KindForce, "N", 0, "in all"),
		gives("power", "P_w", unit.KindPower, "kW", 1, "power at the wheels to hold the speed"),
	),
	Assumptions: []string{"No wind. The coefficient of rolling is the same at all speeds."},
	Sources:     []string{"MW", "TR0603"},
	Example:     map[string]string{"speed": "100 km/h", "mass": "1200 kg", "rolling": "0.013", "drag-area": "0.665 m²", "grade": "3 %"},
	Do: func(c *Call) error {
		v := c.F("speed")
		r, err := roadOf(c)
		if err != nil {
			return err
		}
		l, err := showLoad(c, r, v)
		if err != nil {
			return err
		}
		c.Show("total", "F_r + F_g + F_a", float64(l.Total()))
		c.Show("power", "F · v", float64(l.Total())*v)
		if l.Total() < 0 {
			c.Warn("the vehicle runs away downhill: brakes must take %s", c.Print(-float64(l.Total())*v, "kW"))
		}
		return nil
	},
}

var topSpeed = &Sum{
	Name: "top-speed", Title: "Top speed from power, and the ratio for it", Group: Ratio,
	Purpose: "The speed at which power and resistance are equal, and the overall ratio that lets the engine give that power there.",
	Inputs: resisting(
		ask("power", "P", unit.KindPower, "kW", 0.01, 1e5, "power of the engine"),
		ask("efficiency", "η", unit.Number, "", 0.2, 1, "from engine to wheel; about 0.92 through a car's gearbox and axle"),
		ask("engine", "n", unit.KindRotation, "rpm", 1, 30000, "engine speed at which it gives that power").optional(),
		mm("wheel", "D", 50, 5000, "rolling diameter of the wheel").optional(),
	),
	Outputs: loadOutputs(
		gives("speed", "v", unit.KindSpeed, "km/h", 1, "top speed"),
		gives("power", "P_w", unit.KindPower, "kW", 2, "power that this takes at the wheels"),
		gives("overall", "i_all", unit.Number, "", 3, "overall ratio for it"),
	),
	Assumptions: []string{"No wind, no slip of the wheels. The gear lets the engine give its full power just there."},
	Sources:     []string{"MW", Practice},
	Example: map[string]string{"power": "60 kW", "efficiency": "0.92", "mass": "1200 kg", "rolling": "0.013", "drag-area": "0.665 m²",
		"engine": "5200 rpm", "wheel": "613.6 mm"},
	Caution: driving,
	Do: func(c *Call) error {
		p, η := c.F("power"), c.F("efficiency")
		r, err := roadOf(c)
		if err != nil {
			return err
		}
		v, err := r.SpeedOf(p * η)
		if err != nil {
			return c.Bad("drag-area", err)
		}
		c.Note("v", "top speed, the one root of the cubic", "P · η = v · (F_r + F_g + ρ · A_d / 2 · v²)", c.Print(v, "km/h"))
		c.Let("v", v, "km/h")
		c.Out("speed", v)
		l, err := showLoad(c, r, v)
		if err != nil {
			return err
		}
		c.Show("power", "v · (F_r + F_g + F_a)", float64(l.Total())*v)
		if c.Has("engine") || c.Has("wheel") {
			if err := needs(c, "for the ratio", "engine", "wheel"); err != nil {
				return err
			}
			ω, d := c.F("engine"), c.F("wheel")
			c.Show("overall", "π · n · D / v", ratio.RatioForSpeed(ω, v, d))
		}
		return nil
	},
}

var trailingLoad = &Sum{
	Name: "trailing-load", Title: "What a railcar or tractor can draw", Group: Ratio,
	Purpose: "The mass that may hang on the hook so that the vehicle still moves it at a crawl up the steepest grade and round the tightest curve.",
	Inputs: []Input{
		ask("effort", "F_t", unit.KindForce, "N", 1, 1e7, "tractive effort at the rim in the gear to be used"),
		ask("own-mass", "m_0", unit.KindMass, "kg", 1, 1e7, "mass of the drawing vehicle"),
		ask("grip", "μ_g", unit.Number, "", 0.02, 1.2, "grip on rail or ground: 0.1 on wet rail, 0.25 dry; the effort cannot be more than this share of what stands on the driven wheels"),
		ask("driven", "s", unit.Number, "%", 1, 100, "share of its weight that stands on driven wheels").or("100 %"),
		ask("rolling", "f", unit.Number, "", 0, 0.5, "coefficient of rolling resistance, of both: 0.0025 good track, 0.0035 poor, 0.005 very poor"),
		ask("grade", "G", unit.Number, "%", 0, 60, "steepest grade"),
		ask("curve", "R_c", unit.KindLength, "m", 20, 1e5, "radius of the tightest curve, of a railway").optional(),
	},
	Outputs: []Output{
		gives("pull", "F_p", unit.KindForce, "N", 0, "effort that grip allows"),
		gives("resistance", "w", unit.KindAcceleration, "m/s²", 4, "resistance of each kilogram on the grade, in newtons"),
		gives("total", "m_t", unit.KindMass, "kg", 0, "mass that moves in all"),
		gives("load", "m_h", unit.KindMass, "kg", 0, "of which hangs on the hook"),
	},
	Assumptions: []string{"At a crawl, without a reserve to start or to stop: start on the grade asks for more.", "Brakes must hold the whole of it: that is a limit of its own."},
	Sources:     []string{"TR0603", Practice},
	Example:     map[string]string{"effort": "9 kN", "own-mass": "3200 kg", "grip": "0.2", "rolling": "0.0035", "grade": "2.5 %", "curve": "80 m"},
	Caution:     driving,
	Do:          doTrailingLoad,
}

func doTrailingLoad(c *Call) error {
	effort, own := c.F("effort"), c.F("own-mass")
	c.Let("g_n", 9.80665, "m/s²")
	r := ratio.Road{Mass: 1, Rolling: c.F("rolling"), Grade: c.F("grade")}
	if c.Has("curve") {
		f, err := ratio.CurveOf(c.Length("curve"))
		if err != nil {
			return c.Bad("curve", err)
		}
		r.Curve = f
	}
	c.Line("θ", "angle of the grade", "atan G", math.Atan(r.Grade), "°")
	c.Note("f_c", "what the curve adds to f", "0.8 / 2000 · degrees of a chord of 100 ft", c.Print(r.Curve, ""))
	c.Let("f_c", r.Curve, "")
	limit := c.F("grip") * c.F("driven") * own * 9.80665 * math.Cos(math.Atan(r.Grade))
	pull, formula := limit, "μ_g · s · m_0 · g_n · cos θ"
	if effort < limit {
		pull, formula = effort, "F_t"
	} else {
		c.Warn("the wheels slip before the engine is at its end: %s is all they pass on", c.Print(limit, "kN"))
	}
	c.Show("pull", formula, pull)
	m, err := r.Hauled(unit.Force(pull))
	if err != nil {
		return c.Bad("rolling", err)
	}
	c.Show("resistance", "g_n · (sin θ + (f + f_c) · cos θ)", pull/float64(m))
	c.Show("total", "F_p / w", float64(m))
	c.Show("load", "m_t − m_0", float64(m)-own)
	if float64(m) < own {
		c.Warn("the vehicle does not even climb by itself")
	}
	return nil
}

var gearSteps = &Sum{
	Name: "gear-steps", Title: "Lay the steps between the gears", Group: Ratio,
	Purpose: "Ratios from first to last gear with equal steps, or with steps that shrink toward the high gears, to hold what is on the shelf against.",
	Inputs: []Input{
		ask("first", "i_1", unit.Number, "", 0.1, 1000, "ratio of the first gear; teeth may stand as a quotient"),
		ask("last", "i_n", unit.Number, "", 0.05, 1000, "ratio of the last"),
		whole("count", "z", 2, maxGears, "number of gears"),
		ask("shrink", "φ_2", unit.Number, "", 1, 3, "factor by which each step is less than the one before; 1 for equal steps").or("1"),
	},
	Outputs: []Output{
		gives("ratio", "i", unit.Number, "", 3, "ratio"),
		gives("step", "φ", unit.Number, "", 3, "step to the next gear"),
	},
	Sources: []string{"NL11", Practice},
	Example: map[string]string{"first": "3.6", "last": "0.8", "count": "5", "shrink": "1.1"},
	Do: func(c *Call) error {
		i1, in, n, φ2 := c.F("first"), c.F("last"), c.Int("count"), c.F("shrink")
		list, err := ratio.Progressive(i1, in, n, φ2)
		if err != nil {
			return c.Bad("shrink", err)
		}
		steps := ratio.Steps(list)
		c.Note("φ_1", "last step", "(i_1 / i_n)^(1/(z−1)) / φ_2^((z−2)/2)", c.Print(steps[n-2], ""))
		c.Let("φ_1", steps[n-2], "")
		c.Let("i"+fmt.Sprint(n), in, "")
		step := "φ_1"
		for k := n - 2; k >= 0; k-- {
			c.Line("i"+fmt.Sprint(k+1), fmt.Sprintf("ratio, gear %d", k+1), fmt.Sprintf("i%d · %s", k+2, step), list[k], "")
			step += " · φ_2"
		}
		for k, i := range list {
			c.OutFor("ratio", fmt.Sprint(k+1), i)
		}
		for k, s := range steps {
			c.OutFor("step", fmt.Sprint(k+1), s)
		}
		return nil
	},
}

const (
	asRadial   = "radial"
	asCrossPly = "cross-ply"
)

var tyreSize = &Sum{
	Name: "tyre-size", Title: "Rolling diameter of a tyre", Group: Ratio,
	Purpose: "From the size on the wall, or from a turn measured on the ground, how far a wheel goes in a turn, and by how much another size changes every speed.",
	Inputs: []Input{
		text("size", "size as it is marked: 205/55R16, 165R13, 5.20-13"),
		Input{Key: "build", Help: "how it is built, where the size does not say: R is radial, a dash or D is not marked so", Choices: []string{asRadial, asCrossPly}}.optional(),
		ask("aspect", "a", unit.Number, "%", 20, 120, "height of the section over its width, where the size does not say").optional(),
		mm("measured", "U_m", 100, 20000, "one turn measured on the ground, loaded; it counts before the size").optional(),
		mm("other", "D_o", 50, 5000, "rolling diameter of another wheel, to compare").optional(),
	},
	Outputs: []Output{
		gives("outside", "D_a", unit.KindLength, "mm", 1, "outside diameter, unloaded"),
		gives("turn", "U", unit.KindLength, "mm", 0, "rolled in one turn"),
		gives("rolling", "D", unit.KindLength, "mm", 1, "rolling diameter"),
		gives("turns", "N", unit.Number, "", 0, "turns in a kilometre"),
		gives("faster", "Δ", unit.Number, "%", 1, "faster than on the other wheel at one engine speed"),
	},
	Assumptions: []string{"A radial tyre rolls 3.05 outside diameters in a turn, a cross-ply one 2.99, at 60 km/h, from memory: a turn measured under load is better."},
	Sources:     []string{"R30", "ETRTO"},
	Example:     map[string]string{"size": "165/80R15", "other": "645 mm"},
	Do:          doTyreSize,
}

// tyreOf reads a size and what it does not say.
func tyreOf(c *Call) (ratio.Tyre, error) {
	t, err := ratio.ParseTyre(c.Words("size"))
	if err != nil {
		return t, c.Bad("size", err)
	}
	build := c.Choice("build")
	switch {
	case t.Build != ratio.Unmarked:
	case build == asRadial:
		t.Build = ratio.Radial
	case build == asCrossPly:
		t.Build = ratio.CrossPly
	case !c.Has("measured"):
		return t, c.Badf("build", "the size does not say how the tyre is built: %s", quoted([]string{asRadial, asCrossPly}))
	}
	c.Let("b", float64(t.Width), "mm")
	c.Let("d_r", float64(t.Rim), "mm")
	switch {
	case c.Has("aspect"):
		t.Aspect = c.F("aspect")
	case t.Aspect > 0:
		c.Let("a", t.Aspect, "")
	case !c.Has("measured"):
		return t, c.Badf("aspect", "the size does not say how high the section is: old radials had about 80 %% to 82 %% (from memory), old inch sizes more; or measure a turn")
	}
	return t, nil
}

func doTyreSize(c *Call) error {
	t, err := tyreOf(c)
	if err != nil {
		return err
	}
	turn, formula := c.Length("measured"), "U_m"
	if t.Aspect > 0 {
		d, err := t.Diameter()
		if err != nil {
			return c.Bad("size", err)
		}
		c.Show("outside", "d_r + 2 · b · a", float64(d))
		if !c.Has("measured") {
			if turn, err = t.Circumference(); err != nil {
				return c.Bad("build", err)
			}
			formula = "3.05 · D_a"
			if t.Build == ratio.CrossPly {
				formula = "2.99 · D_a"
			}
		}
	}
	c.Show("turn", formula, float64(turn))
	d := float64(ratio.RollingDiameter(turn))
	c.Show("rolling", "U / π", d)
	c.Show("turns", "1 km / U", 1000/float64(turn))
	if c.Has("other") {
		c.Show("faster", "D / D_o − 1", d/c.F("other")-1)
	}
	return nil
}

var creep = &Sum{
	Name: "creep", Title: "Creep and governed speeds", Group: Ratio,
	Purpose: "For a railcar or a tractor: how slow each gear goes at idle and how fast where the governor holds the engine, on new wheels and worn, against a limit of the line or the work.",
	Inputs: []Input{
		text("gears", "each gear with its teeth, driver/driven, or its ratio: 1 = 13/46, 2 = 1.81"),
		text("final", "teeth of the final drive, 8/37, or its ratio; 1 if there is none"),
		mm("wheel", "D", 50, 5000, "rolling diameter of the wheel, new"),
		mm("worn", "D_w", 50, 5000, "rolling diameter of the wheel, worn").optional(),
		ask("idle", "n_i", unit.KindRotation, "rpm", 1, 30000, "engine speed at idle"),
		ask("governed", "n_g", unit.KindRotation, "rpm", 1, 30000, "engine speed at which the governor holds it"),
		ask("limit", "v_lim", unit.KindSpeed, "km/h", 0.1, 500, "speed that is allowed").optional(),
	},
	Outputs: []Output{
		gives("creep", "v_i", unit.KindSpeed, "km/h", 2, "speed at idle"),
		gives("governed", "v_g", unit.KindSpeed, "km/h", 1, "governed speed"),
		gives("worn", "v_w", unit.KindSpeed, "km/h", 1, "governed speed on worn wheels"),
		gives("engine", "n", unit.KindRotation, "rpm", 0, "engine speed at the limit, where the gear can pass it"),
		says("within", "gears that cannot pass the limit"),
	},
	Assumptions: []string{"The wheel rolls without slip. A governor droops: under load it holds a little less, downhill it holds nothing."},
	Sources:     []string{Practice},
	Example: map[string]string{"gears": "1 = 13/46, 2 = 21/38, 3 = 26/33, 4 = 32/27", "final": "8/37", "wheel": "510 mm", "worn": "496 mm",
		"idle": "600 rpm", "governed": "1800 rpm", "limit": "25 km/h"},
	Caution: driving,
	Do:      doCreep,
}

func doCreep(c *Call) error {
	gears, err := readRatios(c, "gears")
	if err != nil {
		return err
	}
	final, err := readFinal(c)
	if err != nil {
		return err
	}
	d, low, high := c.Length("wheel"), c.F("idle"), c.F("governed")
	if low > high {
		return c.Badf("idle", "the idle is faster than the governed speed")
	}
	var within []string
	for k, g := range gears {
		id := fmt.Sprint(k + 1)
		all := g.ratio * final.ratio
		c.Line("i"+id, "overall ratio, gear "+g.name, g.formula+" · i_f", all, "")
		vi, vg := ratio.Speed(low, all, d), ratio.Speed(high, all, d)
		c.Line("v_i"+id, "speed at idle, gear "+g.name, "π · D · n_i / i"+id, vi, "km/h")
		c.Line("v_g"+id, "governed speed, gear "+g.name, "π · D · n_g / i"+id, vg, "km/h")
		c.OutFor("creep", g.name, vi)
		c.OutFor("governed", g.name, vg)
		if c.Has("worn") {
			c.OutFor("worn", g.name, ratio.Speed(high, all, c.Length("worn")))
		}
		if c.Has("limit") && atLimit(c, g.name, id, all, vg) {
			within = append(within, g.name)
		}
	}
	if c.Has("limit") {
		if len(within) < len(gears) {
			c.Warn("the governor does not keep every gear under the limit: the driver must, by the speedometer")
		}
		if len(within) == 0 {
			within = []string{"none"}
		}
		c.Say("within", strings.Join(within, ", "))
	}
	return nil
}

// atLimit reports whether a gear keeps under the limit, and gives the engine speed at
// it if it does not.
func atLimit(c *Call, name, id string, all, governed float64) bool {
	v := c.F("limit")
	if Decide(c, func() bool { return governed <= v }) {
		return true
	}
	n := 2 * v * all / c.F("wheel")
	c.Line("n"+id, "engine speed at the limit, gear "+name, "v_lim · i"+id+" / (π · D)", n, "rpm")
	c.OutFor("engine", name, n)
	return false
}

var bestSet = &Sum{
	Name: "best-set", Title: "Best set from the gears on the shelf", Group: Ratio,
	Purpose: "Which pair to build into each gear: first gear low enough to start, top gear near the speed that is wanted at the engine's rated speed, and the steps between them as close and even as the shelf allows.",
	Inputs: []Input{
		text("shelf", "for each gear the pairs at hand, apart by |: 1 = 13/36; 2 = 16/33 | 17/32; 3 = 20/30 | 21/29"),
		text("final", "teeth of the final drive, or its ratio; 1 if there is none"),
		mm("wheel", "D", 50, 5000, "rolling diameter of the wheel"),
		ask("rated", "n", unit.KindRotation, "rpm", 1, 30000, "engine speed that counts: rated, governed or the limit"),
		ask("speed", "v", unit.KindSpeed, "km/h", 0.1, 600, "speed wanted in top gear at that engine speed").optional(),
		ask("torque", "T", unit.KindTorque, "N·m", 0.1, 1e5, "engine torque to start with").optional(),
		ask("force", "F", unit.KindForce, "N", 1, 1e7, "force at the wheels wanted to start; see road-load").optional(),
		ask("efficiency", "η", unit.Number, "", 0.2, 1, "from engine to wheel").or("0.92"),
	},
	Outputs: []Output{
		says("set", "set to build"),
		gives("ratio", "i", unit.Number, "", 3, "ratio"),
		gives("speed", "v", unit.KindSpeed, "km/h", 1, "speed at that engine speed"),
		gives("after", "n_after", unit.KindRotation, "rpm", 0, "engine speed after a shift up into it"),
		gives("largest", "φ", unit.Number, "", 3, "largest step"),
		gives("off", "off", unit.Number, "%", 1, "top gear faster than wanted"),
		gives("force", "F_1", unit.KindForce, "N", 0, "force at the wheels in first gear"),
	},
	Assumptions: []string{"Any pair named for a gear fits there: centre distance, width and synchroniser are looked at elsewhere.",
		"What is wanted counts in this order: force to start, speed in top gear, the largest step as small as can be, even steps."},
	Sources: []string{Practice},
	Example: map[string]string{"shelf": "1 = 13/36; 2 = 16/33 | 17/32; 3 = 20/30 | 21/29; 4 = 23/27 | 24/26", "final": "9/31", "wheel": "545 mm",
		"rated": "7800 rpm", "speed": "195 km/h"},
	Do: doBestSet,
}

func doBestSet(c *Call) error {
	shelf, err := readShelf(c)
	if err != nil {
		return err
	}
	final, err := readFinal(c)
	if err != nil {
		return err
	}
	d, n := c.F("wheel"), c.F("rated")
	var w ratio.Wish
	if c.Has("speed") {
		w.Top = ratio.RatioForSpeed(n, c.F("speed"), d) / final.ratio
		c.Line("i_w", "ratio wanted in top gear", "π · D · n / (v · i_f)", w.Top, "")
	}
	if c.Has("torque") || c.Has("force") {
		if err := needs(c, "for the force to start", "torque", "force"); err != nil {
			return err
		}
		w.First = c.F("force") * d / (2 * c.F("torque") * c.F("efficiency") * final.ratio)
		c.Line("i_1", "least ratio wanted in first gear", "F · D / (2 · T · η · i_f)", w.First, "")
	}
	options := make([][]float64, len(shelf))
	for k, g := range shelf {
		for _, o := range g.options {
			options[k] = append(options[k], o.ratio)
		}
	}
	type choice struct {
		pick []int
		err  error
	}
	best := Decide(c, func() choice {
		s, err := ratio.Best(options, w)
		return choice{s.Pick, err}
	})
	if best.err != nil {
		return c.Bad("shelf", best.err)
	}
	return sayBest(c, shelf, best.pick, final, w)
}

func sayBest(c *Call, shelf []shelfGear, pick []int, final gearRatio, w ratio.Wish) error {
	d, n := c.Length("wheel"), c.F("rated")
	var words []string
	largest, last := 1.0, 0.0
	for k, j := range pick {
		g := shelf[k]
		o := g.options[j]
		id := fmt.Sprint(k + 1)
		words = append(words, g.name+" = "+o.name)
		c.Line("i"+id, "ratio, gear "+g.name, o.formula, o.ratio, "")
		v := ratio.Speed(n, o.ratio*final.ratio, d)
		c.Line("v"+id, "speed, gear "+g.name, "π · D · n / (i"+id+" · i_f)", v, "km/h")
		c.OutFor("ratio", g.name, o.ratio)
		c.OutFor("speed", g.name, v)
		if k > 0 {
			largest = max(largest, last/o.ratio)
			c.OutFor("after", g.name, ratio.UpShift(n, last, o.ratio))
		}
		last = o.ratio
	}
	c.Say("set", strings.Join(words, ", "))
	c.Note("φ", "largest step", "", c.Print(largest, ""))
	c.Out("largest", largest)
	if w.Top > 0 {
		c.Let("i_top", last, "")
		c.Show("off", "i_w / i_top − 1", w.Top/last-1)
		if off := w.Top/last - 1; math.Abs(off) > 0.05 {
			c.Warn("the nearest top gear is %s off the speed wanted", c.Print(off, "%"))
		}
	}
	if w.First > 0 {
		first := shelf[0].options[pick[0]].ratio
		f := 2 * c.F("torque") * first * final.ratio * c.F("efficiency") / float64(d)
		c.Show("force", "2 · T · i1 · i_f · η / D", f)
		if first < w.First {
			c.Warn("no first gear on the shelf gives the force wanted to start")
		}
	}
	return nil
}
