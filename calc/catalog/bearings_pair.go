package catalog

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"endfloat/calc/bearing"
	"endfloat/calc/fit"
	"endfloat/calc/unit"
)

var bearingDuty = &Sum{
	Name: "bearing-duty", Title: "Life of a bearing under a varying duty", Group: Strength,
	Purpose: "One steady load and speed that wear a bearing as a whole duty does, such as hours in each gear, and how long it lasts.",
	Inputs: []Input{
		choice("form", "kind of bearing", formNames()...),
		rating("dynamic rating C of the maker's sheet"),
		newtons("loads", "F", "equivalent load of each part of the duty, in order").many(),
		ask("speeds", "n", unit.KindRotation, "rpm", 0, 1e6, "speed in each part, in order; one value serves all").many(),
		ask("times", "t", unit.Number, "%", 0, 100, "share of the time of each part, in order").many(),
	},
	Outputs: []Output{
		gives("mean-speed", "n_m", unit.KindRotation, "rpm", 0, "mean speed"),
		gives("mean-load", "P", unit.KindForce, "N", 0, "steady load that wears alike"),
		gives("ratio", "q", unit.Number, "", 2, "rating over load"),
		gives("life", "L_10", unit.Number, "", 1, "basic life in millions of turns"),
		gives("life-hours", "L_h", unit.KindTime, "h", 0, "basic life"),
		says("worst", "wears it most"),
	},
	Assumptions: []string{wearing, "Shares of life add up whatever their order (Palmgren and Miner)."},
	Sources:     []string{"JINDAL", "ISO281"},
	Example: map[string]string{"form": "deep groove ball", "rating": "34.219 kN", "loads": "3000, 4000, 5000 N", "speeds": "1440, 1080, 720 rpm",
		"times": "25, 50, 25 %"},
	Do: doBearingDuty,
}

func doBearingDuty(c *Call) error {
	form, rate := formOf(c), c.F("rating")
	loads, speeds, times := c.List("loads"), c.List("speeds"), c.List("times")
	if len(speeds) != 1 && len(speeds) != len(loads) {
		return c.Badf("speeds", "there are %d for %d loads; expected one for each, or one for all", len(speeds), len(loads))
	}
	if len(times) != len(loads) {
		return c.Badf("times", "there are %d for %d loads; expected one for each", len(times), len(loads))
	}
	duty := make([]bearing.Phase, len(loads))
	for i := range duty {
		duty[i] = bearing.Phase{Load: loads[i], Speed: speeds[min(i, len(speeds)-1)], Time: times[i]}
	}
	m, err := bearing.MeanLoad(duty, form.Exponent())
	if err != nil {
		return c.Bad("times", err)
	}
	if m.Load == 0 {
		return c.Badf("loads", "without a load a bearing lasts for ever")
	}
	told(c, "mean-speed", "Σ n t / Σ t", m.Speed)
	told(c, "mean-load", "(Σ F^p n t / Σ n t)^(1/p)", m.Load)
	turns, err := showLife(c, form, rate, m.Load)
	if err != nil {
		return err
	}
	s, err := bearing.Seconds(turns, m.Speed)
	if err != nil {
		return c.Bad("speeds", err)
	}
	c.Show("life-hours", "L_10 · 1000000 / n_m", s)
	c.Say("worst", Decide(c, func() string { return worstPhase(duty, form.Exponent()) }))
	sum := 0.0
	for _, t := range times {
		sum += t
	}
	if math.Abs(sum-1) > 0.005 {
		c.Warn("the shares of time make %s, not 100 %%; they were taken as proportions", c.Print(sum, "%"))
	}
	return nil
}

// worstPhase names the part of a duty that uses up most life, and its share.
func worstPhase(duty []bearing.Phase, exponent float64) string {
	worst, most, sum := 0, 0.0, 0.0
	top := 0.0
	for _, d := range duty {
		top = max(top, d.Load)
	}
	for i, d := range duty {
		w := d.Speed * d.Time * math.Pow(d.Load/top, exponent)
		sum += w
		if w > most {
			worst, most = i, w
		}
	}
	return "part " + strconv.Itoa(worst+1) + ", with " + strconv.FormatFloat(100*most/sum, 'f', 0, 64) + " % of it"
}

var taperPair = &Sum{
	Name: "taper-pair", Title: "Thrust on a pair of taper bearings", Group: Strength,
	Purpose: "Taper bearings under radial load push each other apart along the shaft. What thrust each of a pair carries under an axial force on the shaft, and its equivalent load.",
	Inputs: []Input{
		choice("arrangement", "how the pair stands: X if covers hold the cups from outside, O if shoulders hold them from inside", "X", "O"),
		newtons("radial-a", "F_A", "radial load on bearing A"),
		newtons("radial-b", "F_B", "radial load on bearing B"),
		ask("thrust", "K_a", unit.KindForce, "N", -1e7, 1e7, "axial force on the shaft, positive from A toward B").or("0 N"),
		ask("y-a", "Y_A", unit.Number, "", 0.2, 10, "factor Y of bearing A"),
		ask("y-b", "Y_B", unit.Number, "", 0.2, 10, "factor Y of bearing B"),
		factor("e-a", "e_A", 3, "limit e of bearing A; left out 0.6/Y"),
		factor("e-b", "e_B", 3, "limit e of bearing B; left out 0.6/Y"),
		choice("method", "whose rule of induced thrust", methodNames()...),
		ask("rating-a", "C_A", unit.KindForce, "kN", 0.1, 1e4, "dynamic rating of A, to see lives").optional(),
		ask("rating-b", "C_B", unit.KindForce, "kN", 0.1, 1e4, "dynamic rating of B").optional(),
		ask("speed", "n", unit.KindRotation, "rpm", 0.01, 1e6, "turns of the shaft").optional(),
	},
	Outputs: []Output{
		gives("induced-a", "S_A", unit.KindForce, "N", 0, "thrust that A induces"),
		gives("induced-b", "S_B", unit.KindForce, "N", 0, "thrust that B induces"),
		gives("axial-a", "T_A", unit.KindForce, "N", 0, "thrust that A carries"),
		gives("axial-b", "T_B", unit.KindForce, "N", 0, "thrust that B carries"),
		gives("load-a", "P_A", unit.KindForce, "N", 0, "equivalent load of A"),
		gives("load-b", "P_B", unit.KindForce, "N", 0, "equivalent load of B"),
		gives("hours-a", "L_A", unit.KindTime, "h", 0, "basic life of A"),
		gives("hours-b", "L_B", unit.KindTime, "h", 0, "basic life of B"),
		gives("hours-both", "L_AB", unit.KindTime, "h", 0, "life that both reach"),
	},
	Assumptions: []string{"The pair is set to about no play and no preload; preload adds to the thrust.",
		"Radial loads act at the load centres of the bearings, not at the middle of their width."},
	Sources: []string{"SKF", "NSK", "BN10", "JIANG"},
	Example: map[string]string{"arrangement": "X", "radial-a": "3118 N", "radial-b": "1853 N", "thrust": "1000 N", "y-a": "1.4", "y-b": "1.4", "e-a": "0.42", "e-b": "0.42",
		"method": "Fr/(2Y)", "rating-a": "60 kN", "rating-b": "60 kN", "speed": "1500 rpm"},
	Do: doTaperPair,
}

func methodNames() []string {
	var list []string
	for _, m := range bearing.Methods {
		list = append(list, m.Name)
	}
	return list
}

func doTaperPair(c *Call) error {
	arrangement := bearing.X
	if c.Choice("arrangement") == "O" {
		arrangement = bearing.O
	}
	name := c.Choice("method")
	m := bearing.Methods[slices.IndexFunc(bearing.Methods, func(m bearing.Method) bool { return m.Name == name })]
	a, b := bearing.Side{Radial: c.F("radial-a"), Y: c.F("y-a")}, bearing.Side{Radial: c.F("radial-b"), Y: c.F("y-b")}
	k := arrangement.Pressed(c.F("thrust"))
	p, err := m.Thrusts(a, b, k)
	if err != nil {
		return c.Bad("radial-a", err)
	}
	c.Let("s", m.Share, "")
	sign := "−"
	if arrangement == bearing.O {
		sign = ""
	}
	c.Line("K", "axial force that presses on A", sign+"K_a", k, "N")
	c.Show("induced-a", "s · F_A / Y_A", p.InducedA, sourceOf(m))
	c.Show("induced-b", "s · F_B / Y_B", p.InducedB, sourceOf(m))
	if p.InducedB+k >= p.InducedA {
		c.Show("axial-a", "S_B + K", p.AxialA)
		c.Show("axial-b", "S_B", p.AxialB)
	} else {
		c.Show("axial-a", "S_A", p.AxialA)
		c.Show("axial-b", "S_A − K", p.AxialB)
	}
	var loads [2]float64
	if loads[0], err = pairLoad(c, "A", "e-a", "load-a", a, p.AxialA); err != nil {
		return c.Bad("radial-a", err)
	}
	if loads[1], err = pairLoad(c, "B", "e-b", "load-b", b, p.AxialB); err != nil {
		return c.Bad("radial-b", err)
	}
	c.Assume("Induced thrust by the rule %s; books differ.", m.Name)
	return pairLives(c, loads)
}

// pairLoad shows the equivalent load of one bearing of a pair.
func pairLoad(c *Call, id, e, load string, s bearing.Side, axial float64) (float64, error) {
	one := bearing.Bearing{Form: bearing.Taper, E: 0.6 / s.Y, X: 0.4, Y: s.Y}
	if c.Has(e) {
		one.E = c.F(e)
	}
	p, err := one.Equivalent(s.Radial, axial)
	if err != nil {
		return 0, err
	}
	formula := "0.4 · F_" + id + " + Y_" + id + " · T_" + id
	if p == s.Radial {
		formula = "F_" + id
	}
	c.Show(load, formula, p, "LYC")
	return p, nil
}

func sourceOf(m bearing.Method) string {
	switch m.Name {
	case bearing.SixthY.Name:
		return "NSK"
	case bearing.FortyK.Name:
		return "BN10"
	}
	return "SKF"
}

func pairLives(c *Call, loads [2]float64) error {
	if !c.Has("rating-a") && !c.Has("rating-b") {
		return nil
	}
	if err := needs(c, "to see lives", "rating-a", "rating-b", "speed"); err != nil {
		return err
	}
	var hours [2]float64
	for i, id := range [2]string{"a", "b"} {
		turns, err := bearing.Life(c.F("rating-"+id), loads[i], bearing.Roller)
		if err != nil {
			return c.Bad("radial-"+id, err)
		}
		if hours[i], err = bearing.Seconds(turns, c.F("speed")); err != nil {
			return c.Bad("speed", err)
		}
		told(c, "hours-"+id, "(C/P)^(10/3) · 1000000 / n", hours[i])
	}
	both, err := bearing.Together(1.5, hours[0], hours[1])
	if err != nil {
		return c.Bad("rating-a", err)
	}
	told(c, "hours-both", "(Σ L^−1.5)^(−1/1.5)", both)
	return nil
}

var preloadDrag = &Sum{
	Name: "preload-drag", Title: "Preload of taper bearings from their friction torque", Group: Strength,
	Purpose: "The axial preload that a torque felt while turning a pair of taper bearings stands for, from the geometry of the bearing.",
	Inputs: []Input{
		ask("torque", "M", unit.KindTorque, "N·m", 0, 200, "torque to keep it turning slowly, oiled, after several turns"),
		choice("turns", "what was turned", "a pair", "one bearing"),
		mm("arm", "a", 0.5, 100, "from the roller's axis to where its end rubs on the rib, from the maker"),
		ask("cone-angle", "β", unit.KindAngle, "°", 0, 20, "half the angle of a roller's cone"),
		ask("friction", "μ", unit.Number, "", 0.02, 1, "friction at the rib").or("0.20"),
	},
	Outputs: []Output{
		gives("one", "M_1", unit.KindTorque, "N·m", 3, "torque of one bearing"),
		gives("preload", "F", unit.KindForce, "N", 0, "axial preload"),
	},
	Assumptions: []string{"Both bearings of the pair are alike. Seals, oil and a wheel that is turned along add to the torque: take them off first.",
		"The torque to start is up to four times that to keep turning, in steep series."},
	Sources: []string{"NSK", "SKF"},
	Example: map[string]string{"torque": "2.0 N·m", "turns": "a pair", "arm": "6 mm", "cone-angle": "2.5°"},
	Do: func(c *Call) error {
		m := c.F("torque")
		formula := "M"
		if c.Choice("turns") == "a pair" {
			m, formula = m/2, "M / 2"
		}
		f, err := bearing.Rib{Arm: c.F("arm"), Angle: c.F("cone-angle")}.Preload(m, c.F("friction"))
		if err != nil {
			return c.Bad("arm", err)
		}
		c.Show("one", formula, m)
		c.Show("preload", "M_1 / (a · μ · cos β)", f)
		return nil
	},
}

var bearingFit = &Sum{
	Name: "bearing-fit", Title: "Which fit a bearing wants for its load", Group: Strength,
	Purpose: "The ring that turns against the load must be tight, the tighter the heavier the load. The usual tolerance classes of shaft and case, and how tight they make the bearing sit.",
	Inputs: []Input{
		choice("form", "kind of bearing", formNames()...),
		mm("bore", "d", 3, 200, "bore of the bearing"),
		mm("outside", "D", 6, 315, "its outside diameter"),
		newtons("load", "P", "equivalent load"),
		rating("dynamic rating C of the maker's sheet"),
		choice("turning", "which ring turns against the load", "the inner ring: the shaft turns", "the outer ring: the case or the wheel turns"),
		choice("case", "what holds the outer ring", "iron or steel", "aluminium or magnesium"),
		choice("outer", "the outer ring along its seat", "stays", "must slide as the shaft grows"),
	},
	Outputs: []Output{
		gives("ratio", "r", unit.Number, "", 3, "load over rating"),
		says("weight", "the load counts as"),
		says("shaft", "class of the shaft"),
		says("hole", "class of the case"),
		gives("shaft-least", "c_1", unit.KindLength, "µm", 0, "clearance on the shaft, least; negative is interference"),
		gives("shaft-most", "c_2", unit.KindLength, "µm", 0, "clearance on the shaft, most"),
		gives("case-least", "c_3", unit.KindLength, "µm", 0, "clearance in the case, least"),
		gives("case-most", "c_4", unit.KindLength, "µm", 0, "clearance in the case, most"),
	},
	Assumptions: []string{"A solid steel shaft and a metric bearing of the normal class. The gearbox maker's own fit comes first: a worn seat is brought back to that.",
		"A tight fit takes clearance out of the bearing: see bearing-clearance; a light case loosens as it warms: see grip-hot."},
	Sources: []string{"HCH", "SKF", "MD15"},
	Example: map[string]string{"form": "deep groove ball", "bore": "40 mm", "outside": "80 mm", "load": "3 kN", "rating": "29.1 kN",
		"turning": "the inner ring: the shaft turns", "case": "aluminium or magnesium", "outer": "stays"},
	Do: doBearingFit,
}

func doBearingFit(c *Call) error {
	form, d, o := formOf(c), c.Length("bore"), c.Length("outside")
	if !(o > d) {
		return c.Badf("outside", "it is not larger than the bore of %s", c.Print(float64(d), "mm"))
	}
	p, rate := c.F("load"), c.F("rating")
	inner := c.Choice("turning") == "the inner ring: the shaft turns"
	light := c.Choice("case") == "aluminium or magnesium"
	slides := c.Choice("outer") == "must slide as the shaft grows"
	c.Show("ratio", "P / C", p/rate)
	type seats struct {
		shaft, hole bearing.Seat
		err         error
		key         string
	}
	s := Decide(c, func() (s seats) {
		if s.shaft, s.err = bearing.ShaftSeat(form, float64(d), p/rate, inner); s.err != nil {
			s.key = "bore"
			return s
		}
		s.hole, s.err = bearing.HousingSeat(p/rate, !inner, light, slides)
		s.key = "outer"
		return s
	})
	if s.err != nil {
		return c.Bad(s.key, s.err)
	}
	c.Say("weight", s.shaft.Load)
	say := func(key string, seat bearing.Seat) {
		words := seat.Class
		if seat.Or != "" {
			words += ", or " + seat.Or
		}
		c.Say(key, words)
	}
	say("shaft", s.shaft)
	say("hole", s.hole)
	return seatFits(c, s.shaft.Class, s.hole.Class, d, o)
}

// seatFits gives how a bearing sits on both seats.
func seatFits(c *Call, shaft, hole string, d, o unit.Length) error {
	on := func(class string, key string, size unit.Length) (fit.Limits, error) {
		_, pair, err := fit.Parse(strconv.FormatFloat(math.Round(float64(size)*1e9)/1e6, 'g', -1, 64) + " " + class)
		if err != nil {
			return fit.Limits{}, c.Bad(key, err)
		}
		one := pair.Shaft
		if one == (fit.Class{}) {
			one = pair.Hole
		}
		l, err := one.Limits(size)
		if err != nil {
			return fit.Limits{}, c.Bad(key, err)
		}
		return l, nil
	}
	var on1, in2 fit.Fit
	var err error
	if on1.Shaft, err = on(shaft, "bore", d); err != nil {
		return err
	}
	if in2.Hole, err = on(hole, "outside", o); err != nil {
		return err
	}
	if on1.Hole, err = fit.BearingBore(d); err != nil {
		return c.Bad("bore", err)
	}
	if in2.Shaft, err = fit.BearingOutside(o); err != nil {
		return c.Bad("outside", err)
	}
	show := func(least, most, what string, f fit.Fit) {
		lo, hi := f.Extremes()
		if !c.quiet {
			c.Note("", what, "", fmt.Sprintf("hole %s to %s, shaft %s to %s", c.Print(float64(f.Hole.Lower), "µm"), c.Print(float64(f.Hole.Upper), "µm"),
				c.Print(float64(f.Shaft.Lower), "µm"), c.Print(float64(f.Shaft.Upper), "µm")))
		}
		c.Out(least, float64(lo))
		c.Out(most, float64(hi))
	}
	show("shaft-least", "shaft-most", shaft+" on the shaft", on1)
	show("case-least", "case-most", hole+" in the case", in2)
	return nil
}
