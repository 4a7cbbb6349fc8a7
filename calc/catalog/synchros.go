package catalog

import (
	"math"

	"endfloat/calc/synchro"
	"endfloat/calc/unit"
)

func init() { register(synchroCone, synchroShift, synchroBand, reflectedInertia) }

// The limits stand as values that a person can replace; they are those of brass.
const limitsFromMemory = "The limits are starting values for brass on steel, from memory; molybdenum is taken to bear 0.53 J, 0.84 W, 7 m/s and 6 MPa. The maker's figures replace them."

var synchroCone = &Sum{
	Name: "synchro-cone", Title: "Torque and blocking of a synchroniser ring", Group: Other,
	Purpose: "What torque a ring of given angle and friction brings up, how hard its face is pressed, whether it lets go again, and whether its teeth block the sleeve while the speeds differ.",
	Inputs: []Input{
		ask("force", "F", unit.KindForce, "N", 1, 1e5, "force of the sleeve along the shaft"),
		mm("mean", "d", 5, 1000, "mean diameter of the cone"),
		angle("cone-angle", "α", 0.5, 45, "between the cone's face and the axis, half of what the whole cone encloses"),
		ask("friction", "μ", unit.Number, "", 0.005, 1, "friction of the cone while it slips; 0.08 to 0.12 for brass in oil"),
		whole("faces", "n", 1, 6, "friction faces under one sleeve").or("1"),
		mm("width", "b", 0.5, 200, "width of the face along its slope, for the pressure").optional(),
		ask("pressure-limit", "p_lim", unit.KindPressure, "MPa", 0.1, 1000, "pressure that the pair bears").or("3 MPa"),
		angle("points", "θ", 20, 170, "between the two flanks of a tooth's point, for the blocking").optional(),
		mm("points-diameter", "d_p", 5, 1000, "diameter at which the points meet the sleeve").optional(),
		ask("points-friction", "μ_p", unit.Number, "", 0, 1, "friction on the flanks of the points").or("0.09"),
	},
	Outputs: []Output{
		gives("torque", "T", unit.KindTorque, "N·m", 2, "torque of the cone while it slips"),
		gives("first", "T_f", unit.KindTorque, "N·m", 2, "torque at the first squeeze, at least"),
		says("releases", "let go by itself"),
		gives("pressure", "p", unit.KindPressure, "MPa", 2, "mean pressure on the face"),
		gives("index", "T_i", unit.KindTorque, "N·m", 2, "torque with which the points turn the ring aside"),
		gives("margin", "k", unit.Number, "", 2, "torque of the cone for each of the points; above 1 it blocks"),
		gives("least-points", "θ_min", unit.KindAngle, "°", 1, "least angle of the points that still blocks"),
	},
	Assumptions: []string{"The friction is the same at all speeds; oil that is still being squeezed out lowers it at first.", limitsFromMemory},
	Sources:     []string{"BHANDARI", "NL11", Practice},
	Example: map[string]string{"force": "1000 N", "mean": "60 mm", "cone-angle": "6.5°", "friction": "0.10", "width": "8 mm",
		"points": "110°", "points-diameter": "72 mm"},
	Do: doSynchroCone,
}

func doSynchroCone(c *Call) error {
	f := unit.Force(c.F("force"))
	cone := synchro.Cone{Mean: c.Length("mean"), Angle: unit.Angle(c.F("cone-angle")), Friction: c.F("friction"), Faces: c.Int("faces")}
	t, err := cone.Torque(f)
	if err != nil {
		return c.Bad("cone-angle", err)
	}
	first, err := cone.FirstTorque(f)
	if err != nil {
		return c.Bad("cone-angle", err)
	}
	c.Show("torque", "n · F · μ · d / (2 · sin α)", float64(t))
	c.Show("first", "n · F · μ · d / (2 · (sin α + μ · cos α))", float64(first), Practice)
	if cone.Releases() {
		c.Say("releases", "it does: the tangent of the angle is more than the friction")
	} else {
		c.Say("releases", "it does not: it stays stuck on its cone")
		c.Warn("friction of %.3g is more than the cone's tangent of %.3g: the ring sticks after the shift", cone.Friction, math.Tan(float64(cone.Angle)))
	}
	if c.Has("width") {
		cone.Width = c.Length("width")
		p, err := cone.Pressure(f)
		if err != nil {
			return c.Bad("width", err)
		}
		c.Show("pressure", "F / (π · d · b · sin α)", float64(p), Practice)
		if limit := c.F("pressure-limit"); float64(p) > limit {
			c.Warn("the face is pressed with %s, more than the %s allowed", c.Print(float64(p), "MPa"), c.Print(limit, "MPa"))
		}
	}
	if c.Has("points") || c.Has("points-diameter") {
		return blocking(c, cone, f)
	}
	return nil
}

func blocking(c *Call, cone synchro.Cone, f unit.Force) error {
	if err := needs(c, "to see whether the ring blocks", "points", "points-diameter"); err != nil {
		return err
	}
	ch := synchro.Chamfer{Mean: c.Length("points-diameter"), Point: unit.Angle(c.F("points")), Friction: c.F("points-friction")}
	k, err := synchro.Blocks(cone, ch)
	if err != nil {
		return c.Bad("points", err)
	}
	ti, err := ch.IndexTorque(f)
	if err != nil {
		return c.Bad("points", err)
	}
	least, err := synchro.LeastPoint(cone, ch)
	if err != nil {
		return c.Bad("points", err)
	}
	c.Line("β", "from a flank to the axis", "θ / 2", float64(ch.Point)/2, "°", Practice)
	c.Show("index", "F · d_p / 2 · (cos β − μ_p · sin β) / (sin β + μ_p · cos β)", float64(ti), Practice)
	c.Show("margin", "T / T_i", k, Practice)
	c.Show("least-points", "2 · (90° − atan μ_p − atan(2 · T / (F · d_p)))", float64(least), Practice)
	switch {
	case k < 1:
		c.Warn("the points turn the ring aside before the speeds agree: it does not block, and the teeth grate")
	case k < 1.1:
		c.Warn("the ring only just blocks; with a little less friction on the cone it would not")
	}
	return nil
}

var synchroShift = &Sum{
	Name: "synchro-shift", Title: "Time and heat of a shift", Group: Other,
	Purpose: "How long a synchroniser slips until the speeds agree, the heat it makes, and how that stands on each square millimetre against what the friction pair bears.",
	Inputs: []Input{
		ask("torque", "T", unit.KindTorque, "N·m", 0.01, 1e5, "torque of the synchroniser while it slips; see synchro-cone and synchro-band"),
		ask("inertia", "J", unit.KindInertia, "kg·m²", 1e-6, 1e4, "of the gear and all that turns with it, reflected to it"),
		ask("gear-speed", "n_1", unit.KindRotation, "rpm", 0, 30000, "speed of the gear before the shift"),
		ask("shaft-speed", "n_2", unit.KindRotation, "rpm", 0, 30000, "speed of the shaft that it has to reach"),
		ask("drag", "T_d", unit.KindTorque, "N·m", 0, 1e4, "torque with which oil and bearings slow the gear").or("0 N·m"),
		ask("area", "A", unit.KindArea, "mm²", 1, 1e6, "area of all faces together").optional(),
		mm("mean", "d", 5, 1000, "mean diameter of the face, for the speed of sliding").optional(),
		ask("heat-limit", "q_lim", unit.KindEnergy, "J", 1e-4, 100, "heat that each mm² bears in a shift").or("0.09 J"),
		ask("power-limit", "w_lim", unit.KindPower, "W", 1e-3, 100, "mean power that each mm² bears").or("0.45 W"),
		ask("slide-limit", "v_lim", unit.KindSpeed, "m/s", 0.1, 100, "speed of sliding that the pair bears").or("5 m/s"),
	},
	Outputs: []Output{
		says("sense", "kind of shift"),
		gives("time", "t", unit.KindTime, "s", 3, "time until the speeds agree"),
		gives("heat", "Q", unit.KindEnergy, "J", 1, "heat made in the synchroniser"),
		gives("power", "P_m", unit.KindPower, "W", 0, "mean power while it slips"),
		gives("heat-each", "q", unit.KindEnergy, "J", 4, "heat on each mm²"),
		gives("power-each", "w", unit.KindPower, "W", 3, "mean power on each mm²"),
		gives("peak-each", "w_0", unit.KindPower, "W", 3, "power on each mm² at the first touch"),
		gives("slide", "v_s", unit.KindSpeed, "m/s", 2, "speed of sliding at the first touch"),
	},
	Assumptions: []string{"The shaft keeps its speed, since the vehicle hangs on it; the torque is there from the first moment; the clutch is out.", limitsFromMemory},
	Sources:     []string{"BHANDARI", "NL11", Practice},
	Example: map[string]string{"torque": "26.5 N·m", "inertia": "0.02 kg·m²", "gear-speed": "3000 rpm", "shaft-speed": "2045 rpm", "drag": "2 N·m",
		"area": "1508 mm²", "mean": "60 mm"},
	Do: doSynchroShift,
}

func doSynchroShift(c *Call) error {
	s := synchro.Shift{Inertia: c.F("inertia"), From: c.F("gear-speed"), To: c.F("shaft-speed"), Torque: unit.Torque(c.F("torque")), Drag: unit.Torque(c.F("drag"))}
	slip, err := s.Slip()
	if err != nil {
		return c.Bad("torque", err)
	}
	if s.Up() {
		c.Say("sense", "a shift up: the gear is slowed, and drag helps")
	} else {
		c.Say("sense", "a shift down: the gear is brought up to speed, and drag hinders")
	}
	showSlip(c, s, slip, "")
	c.Out("time", slip.Time)
	c.Out("heat", slip.Heat)
	if slip.Time > 0 {
		c.Line("P_m", "mean power while it slips", "Q / t", slip.Mean, "W")
	}
	c.Out("power", slip.Mean)
	if c.Has("area") {
		a := c.F("area")
		q, w := slip.Heat/a*1e-6, slip.Mean/a*1e-6
		c.Show("heat-each", "Q · 1 mm² / A", q)
		c.Show("power-each", "T · Δω / 2 · 1 mm² / A", w)
		c.Show("peak-each", "T · Δω · 1 mm² / A", 2*w)
		if limit := c.F("heat-limit"); q > limit {
			c.Warn("each mm² takes %s, more than the %s allowed", c.Print(q, "J"), c.Print(limit, "J"))
		}
		if limit := c.F("power-limit"); w > limit {
			c.Warn("each mm² takes %s on the mean, more than the %s allowed", c.Print(w, "W"), c.Print(limit, "W"))
		}
	}
	if c.Has("mean") {
		c.F("mean")
		v := math.Abs(s.From-s.To) * c.F("mean") / 2
		c.Show("slide", "Δω · d / 2", v)
		if limit := c.F("slide-limit"); v > limit {
			c.Warn("it slides at %s, more than the %s allowed", c.Print(v, "m/s"), c.Print(limit, "m/s"))
		}
	}
	return nil
}

// showSlip writes the lines of a slip; tag sets the symbols of one shift apart from
// those of another.
func showSlip(c *Call, s synchro.Shift, slip synchro.Slip, tag string) {
	sign := " − "
	if s.Up() {
		sign = " + "
	}
	if tag == "" {
		c.Line("Δω", "difference of speed", "2 · π · abs(n_1 − n_2)", math.Abs(s.From-s.To), "rad/s")
	}
	c.Line("t"+tag, "time until the speeds agree", "J · Δω / (T"+tag+sign+"T_d)", slip.Time, "s")
	c.Line("Q"+tag, "heat made in the synchroniser", "T"+tag+" · Δω · t"+tag+" / 2", slip.Heat, "J")
}

var synchroBand = &Sum{
	Name: "synchro-band", Title: "Torque of a band synchroniser, up and down", Group: Other,
	Purpose: "A ring that expands in a drum, or a band round one, whose friction pulls it on: the torque in a shift up and in one down, the pressure at its tight end, and the time of either shift.",
	Inputs: []Input{
		ask("push", "C", unit.KindForce, "N", 1, 1e5, "force at the end of the band where it is pushed"),
		mm("drum", "d", 5, 2000, "diameter at which the band rubs"),
		ask("friction", "μ", unit.Number, "", 0.005, 1, "friction of band on drum while it slips"),
		angle("arc-up", "θ_u", 0, 1080, "arc that pulls itself on in a shift up, 0° if none does"),
		angle("arc-down", "θ_d", 0, 1080, "arc that pulls itself on in a shift down, 0° if none does"),
		mm("width", "w", 0.5, 500, "width of the band, for the pressure").optional(),
		ask("inertia", "J", unit.KindInertia, "kg·m²", 1e-6, 1e4, "of the gear and all that turns with it, for the time").optional(),
		ask("difference", "n", unit.KindRotation, "rpm", 1, 30000, "difference of speed to be taken up").optional(),
		ask("drag", "T_d", unit.KindTorque, "N·m", 0, 1e4, "torque with which oil and bearings slow the gear").or("0 N·m"),
	},
	Outputs: []Output{
		gives("torque-up", "T_up", unit.KindTorque, "N·m", 2, "torque in a shift up"),
		gives("torque-down", "T_down", unit.KindTorque, "N·m", 2, "torque in a shift down"),
		gives("pressure", "p", unit.KindPressure, "MPa", 2, "pressure at the tight end, the greater of both"),
		gives("time-up", "t_up", unit.KindTime, "s", 3, "time of a shift up"),
		gives("time-down", "t_down", unit.KindTime, "s", 3, "time of a shift down"),
	},
	Assumptions: []string{"The band bends freely and rubs over its whole arc; no brace takes force out of it on the way.",
		"Where a sense has no arc of its own, the other's works against its push and is eased."},
	Sources: []string{"BHANDARI", Practice},
	Example: map[string]string{"push": "400 N", "drum": "70 mm", "friction": "0.12", "arc-up": "270°", "arc-down": "0°", "width": "10 mm",
		"inertia": "0.005 kg·m²", "difference": "1000 rpm", "drag": "1 N·m"},
	Do: doSynchroBand,
}

func doSynchroBand(c *Call) error {
	push := unit.Force(c.F("push"))
	s := synchro.Servo{Band: synchro.Band{Drum: c.Length("drum"), Friction: c.F("friction")},
		UpArc: unit.Angle(c.F("arc-up")), DownArc: unit.Angle(c.F("arc-down"))}
	if s.UpArc == 0 && s.DownArc == 0 {
		return c.Badf("arc-up", "the band must rub over some arc in one sense or the other")
	}
	greatest := push
	var torque [2]unit.Torque
	for i, up := range []bool{true, false} {
		t, tight, err := bandTorque(c, s, push, up)
		if err != nil {
			return c.Bad("push", err)
		}
		torque[i], greatest = t, max(greatest, tight)
	}
	if c.Has("width") {
		s.Band.Width, s.Band.Arc = c.Length("width"), 1
		p, err := s.PeakPressure(greatest)
		if err != nil {
			return c.Bad("width", err)
		}
		c.Line("C_2", "greatest force in the band", "C · "+c.Print(float64(greatest/push), ""), float64(greatest), "N")
		c.Show("pressure", "C_2 / (w · d / 2)", float64(p))
	}
	if c.Has("inertia") || c.Has("difference") {
		return bandTimes(c, torque)
	}
	return nil
}

// bandTorque shows the torque in a shift up or down, and returns it with the force at
// the tight end.
func bandTorque(c *Call, s synchro.Servo, push unit.Force, up bool) (unit.Torque, unit.Force, error) {
	tag, sense, key, arc, other := "_u", "up", "torque-up", "θ_u", "θ_d"
	b := s.Band
	b.Arc = s.UpArc
	if !up {
		tag, sense, key, arc, other = "_d", "down", "torque-down", "θ_d", "θ_u"
		b.Arc = s.DownArc
	}
	formula := "C · d / 2 · (g" + tag + " − 1)"
	eased := b.Arc == 0
	if eased {
		b.Arc, arc = s.UpArc+s.DownArc, other // one of them is 0
		formula = "C · d / 2 · (1 − 1 / g" + tag + ")"
	}
	t, err := s.Torque(push, up)
	if err != nil {
		return 0, 0, err
	}
	g := b.Gain()
	c.Note("g"+tag, "force at the tight end for each at the other, shift "+sense, "e^(μ · "+arc+")", c.Print(g, ""))
	c.Let("g"+tag, g, "")
	c.Show(key, formula, float64(t))
	if eased {
		return t, push, nil
	}
	return t, push * unit.Force(g), nil
}

func bandTimes(c *Call, torque [2]unit.Torque) error {
	if err := needs(c, "for the time of a shift", "inertia", "difference"); err != nil {
		return err
	}
	J, n, drag := c.F("inertia"), c.F("difference"), unit.Torque(c.F("drag"))
	c.Line("Δω", "difference of speed", "2 · π · n", n, "rad/s")
	for i, key := range []string{"time-up", "time-down"} {
		s := synchro.Shift{Inertia: J, Torque: torque[i], Drag: drag, From: n}
		tag := "_up"
		if i == 1 {
			s.From, s.To, tag = 0, n, "_down"
		}
		slip, err := s.Slip()
		if err != nil {
			return c.Bad("drag", err)
		}
		showSlip(c, s, slip, tag)
		c.Out(key, slip.Time)
	}
	return nil
}

var reflectedInertia = &Sum{
	Name: "reflected-inertia", Title: "Inertia that a gear feels", Group: Other,
	Purpose: "The clutch plate, the input shaft and the layshaft turn with a gear when it is brought up to speed. Each counts with the square of its turns for one turn of that gear.",
	Inputs: []Input{
		ask("inertias", "J", unit.KindInertia, "kg·m²", 0, 1e4, "each part with its own inertia: clutch and shaft = 0.005, layshaft = 0.0012").named(),
		ask("turns", "r", unit.Number, "", -1e3, 1e3, "turns of each for one of the gear, in the same order; teeth may stand as a quotient").many(),
	},
	Outputs: []Output{
		gives("inertia", "J_red", unit.KindInertia, "kg·m²", 6, "inertia that the gear feels"),
		gives("share", "share", unit.Number, "%", 0, "of which this part"),
	},
	Sources: []string{Practice},
	Example: map[string]string{"inertias": "clutch and shaft = 0.0050, layshaft = 0.0012, gear = 0.0008 kg·m²", "turns": "1.574213, 30/29, 1"},
	Do: func(c *Call) error {
		js, rs, names := c.List("inertias"), c.List("turns"), c.Names("inertias")
		if len(js) != len(rs) {
			return c.Badf("turns", "expected one for each part, got %d for %d", len(rs), len(js))
		}
		if len(js) > 26 {
			return c.Badf("inertias", "%d parts are more than turn with any gear; expected at most 26", len(js))
		}
		var parts []synchro.Turning
		formula := ""
		for i, j := range js {
			parts = append(parts, synchro.Turning{Inertia: j, Turns: rs[i]})
			if i > 0 {
				formula += " + "
			}
			id := string(rune('a' + i))
			c.Let("J_"+id, j, "kg·m²")
			c.Let("r_"+id, rs[i], "")
			formula += "J_" + id + " · r_" + id + "²"
		}
		sum, err := synchro.Reflected(parts...)
		if err != nil {
			return c.Bad("inertias", err)
		}
		c.Show("inertia", formula, sum)
		for i, p := range parts {
			if sum > 0 {
				c.OutFor("share", names[i], p.Inertia*p.Turns*p.Turns/sum)
			}
		}
		return nil
	},
}
