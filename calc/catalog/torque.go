package catalog

import (
	"endfloat/calc/torque"
	"endfloat/calc/unit"
)

func init() { register(lever, leverReading, extension, cord, boltPull, pinionDrag) }

const longBar = "A long bar stores a hard pull: hold the job so that it cannot turn or tip, keep fingers out of the line of the bar, " +
	"pull steadily with your weight over your feet, and never stand on the bar. The maker's manual rules the torque and how the shaft is held."

func asksTorque(key, symbol, help string) Input {
	return ask(key, symbol, unit.KindTorque, "N·m", 0.001, 5000, help)
}

// barInputs describe a bar, and what its weight does.
func barInputs() []Input {
	return []Input{
		ask("arm", "L", unit.KindLength, "m", 0.05, 5, "length from the nut to the point of pull, along the bar"),
		angle("off-square", "θ", -74, 74, "how far the pull is from square to the bar").or("0°"),
		ask("bar-mass", "m", unit.KindMass, "kg", 0, 50, "mass of the bar, if its weight shall count").optional(),
		ask("bar-centre", "x", unit.KindLength, "m", 0, 5, "length from the nut to the bar's balance point").optional(),
		angle("bar-slope", "φ", -89, 89, "slope of the bar, 0° when level").or("0°"),
		optionalChoice("bar-weight", "whether the bar's weight turns with the pull, as when pushing a level bar down, or against it", "with the pull", "against the pull"),
	}
}

// barOf reads a bar and shows what its weight does. The sign is the one with
// which the weight's torque enters the torque on the nut.
func barOf(c *Call) (b torque.Bar, sign string, err error) {
	b = torque.Bar{Arm: c.Length("arm"), OffSquare: unit.Angle(c.F("off-square"))}
	if off := float64(b.OffSquare / unit.Degree); off > 25 || off < -25 {
		c.Warn("the pull is %s off square: a degree of error there counts more than any scale; pull square if you can", c.Print(float64(b.OffSquare), "°"))
	}
	if !c.Has("bar-mass") {
		c.Assume("The bar's own weight is left out; a level bar pushed down adds to the torque.")
		return b, "", nil
	}
	if err = needs(c, "to count the bar's weight", "bar-centre", "bar-weight"); err != nil {
		return b, "", err
	}
	b.Mass, b.Centre, b.Slope = unit.Mass(c.F("bar-mass")), c.Length("bar-centre"), unit.Angle(c.F("bar-slope"))
	c.Let("g", torque.Gravity, "m/s²")
	c.Line("T_bar", "torque of the bar's own weight", "m · g · x · cos φ", float64(b.Own()), "N·m")
	sign = "+"
	if b.Hinders = c.Choice("bar-weight") == "against the pull"; b.Hinders {
		sign = "−"
	}
	return b, sign, nil
}

var lever = &Sum{
	Name: "lever", Title: "Lever and scale: the pull for a torque", Group: Torque, Picture: "lever",
	Purpose: "Without a torque wrench large enough: how hard to pull a bar of known length with a hanging scale.",
	Inputs:  append([]Input{asksTorque("want", "T", "torque wanted at the nut")}, barInputs()...),
	Outputs: []Output{
		gives("pull", "F", unit.KindForce, "N", 1, "pull"),
		gives("pull-kgf", "F", unit.KindForce, "kgf", 2, "pull, on a scale in kilograms"),
		gives("pull-lbf", "F", unit.KindForce, "lbf", 1, "pull, on a scale in pounds"),
	},
	Assumptions: []string{"The pull is steady and the scale hangs in the line of the pull."},
	Sources:     []string{Practice, "SP811"},
	Example:     map[string]string{"want": "220 N·m", "arm": "0.75 m", "bar-mass": "2.4 kg", "bar-centre": "0.36 m", "bar-weight": "with the pull"},
	Caution:     longBar,
	Do: func(c *Call) error {
		want := unit.Torque(c.F("want"))
		b, sign, err := barOf(c)
		if err != nil {
			return err
		}
		f, err := b.Pull(want)
		if err != nil && sign == "" {
			return c.Bad("off-square", err)
		} else if err != nil {
			return c.Bad("bar-mass", err)
		}
		formula := "T / (L · cos θ)"
		switch sign {
		case "+":
			formula = "(T − T_bar) / (L · cos θ)"
		case "−":
			formula = "(T + T_bar) / (L · cos θ)"
		}
		c.Show("pull", formula, float64(f))
		c.Out("pull-kgf", float64(f))
		c.Out("pull-lbf", float64(f))
		if f > 600 {
			c.Warn("%s is more than most people can pull steadily: use a longer bar", c.Print(float64(f), "N"))
		}
		return nil
	},
}

// underOver is the tolerance beyond which a torque reached is called short or
// over: that of a good hand torque tool.
const underOver = 0.04

var leverReading = &Sum{
	Name: "lever-reading", Title: "Lever and scale: the torque of a pull", Group: Torque, Picture: "lever",
	Purpose: "What a pull read on the scale did at the nut, and how near that is to what was wanted.",
	Inputs: append(append([]Input{ask("pull", "F", unit.KindForce, "N", 0, 20000, "the pull read on the scale")}, barInputs()...),
		asksTorque("want", "T_want", "torque wanted, to compare").optional()),
	Outputs: []Output{
		gives("torque", "T", unit.KindTorque, "N·m", 1, "torque at the nut"),
		gives("torque-lbf-ft", "T", unit.KindTorque, "lbf·ft", 1, "torque at the nut"),
		gives("off", "off", unit.Number, "%", 1, "over what was wanted by; negative when short"),
	},
	Assumptions: []string{"The pull was steady and the scale hung in the line of the pull."},
	Sources:     []string{Practice, "SP811"},
	Example:     map[string]string{"pull": "45 lbf", "arm": "34 in", "want": "130 lbf·ft"},
	Caution:     longBar,
	Do: func(c *Call) error {
		f := c.F("pull")
		b, sign, err := barOf(c)
		if err != nil {
			return err
		}
		t, err := b.Torque(unit.Force(f))
		if err != nil {
			return c.Bad("off-square", err)
		}
		formula := "F · L · cos θ"
		if sign != "" {
			formula += " " + sign + " T_bar"
		}
		c.Show("torque", formula, float64(t))
		c.Out("torque-lbf-ft", float64(t))
		if c.Has("want") {
			off := float64(t)/c.F("want") - 1
			c.Show("off", "T / T_want − 1", off)
			if off < -underOver || off > underOver {
				c.Warn("that is off by more than the 4 %% of a good torque tool")
			}
		}
		return nil
	},
}

var extension = &Sum{
	Name: "extension", Title: "Torque wrench with an extension", Group: Torque, Picture: "extension",
	Purpose: "What to set on a torque wrench that carries an open end or other extension, at any angle, so that the nut gets the torque wanted.",
	Inputs: []Input{
		asksTorque("want", "T", "torque wanted at the nut"),
		mm("wrench", "L", 20, 3000, "wrench from the mark on its handle to its square"),
		mm("extension", "E", 0, 2000, "extension from the square to the middle of the nut"),
		angle("angle", "φ", -180, 180, "angle of the extension to the wrench: 0° in line, 90° sideways, 180° folded back"),
	},
	Outputs: []Output{
		gives("set", "T_set", unit.KindTorque, "N·m", 1, "set the wrench to"),
		gives("set-lbf-ft", "T_set", unit.KindTorque, "lbf·ft", 1, "set the wrench to"),
	},
	Assumptions: []string{"The hand pulls at the mark. A wrench that measures at its square and not by the hand's moment needs no correction."},
	Sources:     []string{"TM254", "TM277", "TM1500", Practice},
	Example:     map[string]string{"want": "90 N·m", "wrench": "420 mm", "extension": "50 mm", "angle": "45°"},
	Caution:     "An extension loads the nut sideways and can slip off: support the head with the other hand, fingers clear of the gap.",
	Do: func(c *Call) error {
		t, err := torque.Extension(unit.Torque(c.F("want")), c.Length("wrench"), c.Length("extension"), unit.Angle(c.F("angle")))
		if err != nil {
			return c.Bad("extension", err)
		}
		c.Show("set", "T · L / (L + E · cos φ)", float64(t))
		c.Out("set-lbf-ft", float64(t))
		return nil
	},
}

var cord = &Sum{
	Name: "cord", Title: "Rotating torque from a cord", Group: Torque, Picture: "cord",
	Purpose: "The drag of a bearing pair from the steady pull of a cord wound on a drum or flange. Only the pull that keeps it turning counts, not the one that starts it.",
	Inputs: []Input{
		ask("pull", "F", unit.KindForce, "N", 0, 5000, "steady pull of the cord while it turns").many(),
		mm("radius", "r", 1, 2000, "radius at which the cord runs, to its middle"),
	},
	Outputs: []Output{
		gives("torque", "T", unit.KindTorque, "N·m", 3, "rotating torque"),
		gives("torque-lbf-in", "T", unit.KindTorque, "lbf·in", 2, "rotating torque"),
		gives("torque-kgf-cm", "T", unit.KindTorque, "kgf·cm", 2, "rotating torque"),
	},
	Assumptions: []string{"Bearings are oiled and turned to seat them; no seal drags.", "The cord comes off square to the radius."},
	Sources:     []string{Practice, "TM660"},
	Example:     map[string]string{"pull": "14 N", "radius": "41 mm"},
	Do: func(c *Call) error {
		f, spread := c.Mean("pull")
		if f > 0 && spread > 0.3*f {
			c.Warn("the pulls differ by more than a third: was one of them the pull that starts it?")
		}
		t := float64(torque.Cord(unit.Force(f), c.Length("radius")))
		c.Show("torque", "F · r", t)
		c.Out("torque-lbf-in", t)
		c.Out("torque-kgf-cm", t)
		return nil
	},
}

var boltPull = &Sum{
	Name: "bolt-pull", Title: "Pull that shows a rotating torque", Group: Torque, Picture: "bolt-pull",
	Purpose: "Where a drag is given as a torque and there is only a scale: the pull to read at a known radius, such as a bolt of the crown wheel.",
	Inputs: []Input{
		asksTorque("want", "T", "rotating torque wanted"),
		mm("radius", "r", 1, 2000, "radius of the point where the scale pulls, square to it"),
	},
	Outputs: []Output{
		gives("pull", "F", unit.KindForce, "N", 1, "steady pull"),
		gives("pull-kgf", "F", unit.KindForce, "kgf", 2, "steady pull, on a scale in kilograms"),
		gives("pull-lbf", "F", unit.KindForce, "lbf", 1, "steady pull, on a scale in pounds"),
	},
	Sources: []string{Practice},
	Example: map[string]string{"want": "1.80 N·m", "radius": "62 mm"},
	Do: func(c *Call) error {
		f, err := torque.BoltPull(unit.Torque(c.F("want")), c.Length("radius"))
		if err != nil {
			return c.Bad("radius", err)
		}
		c.Show("pull", "T / r", float64(f))
		c.Out("pull-kgf", float64(f))
		c.Out("pull-lbf", float64(f))
		return nil
	},
}

var pinionDrag = &Sum{
	Name: "pinion-drag", Title: "Drag at the pinion, through the final drive", Group: Torque,
	Purpose: "The rotating torque to expect at the pinion once the differential turns with it: its own, and that of the side bearings divided by the final drive.",
	Inputs: []Input{
		ask("pinion", "T_p", unit.KindTorque, "N·m", 0, 100, "rotating torque of the pinion alone"),
		ask("side", "T_s", unit.KindTorque, "N·m", 0, 500, "rotating torque of the side bearings alone, at the differential"),
		ask("final-drive", "i", unit.Number, "", 0.2, 50, "ratio of the final drive"),
	},
	Outputs: []Output{
		gives("torque", "T", unit.KindTorque, "N·m", 2, "rotating torque at the pinion"),
		gives("torque-lbf-in", "T", unit.KindTorque, "lbf·in", 1, "rotating torque at the pinion"),
	},
	Assumptions: []string{"The loss in the mesh is left out; it adds a little."},
	Sources:     []string{Practice},
	Example:     map[string]string{"pinion": "0.81 N·m", "side": "1.80 N·m", "final-drive": "4.625"},
	Do: func(c *Call) error {
		t, err := torque.AtPinion(unit.Torque(c.F("pinion")), unit.Torque(c.F("side")), c.F("final-drive"))
		if err != nil {
			return c.Bad("final-drive", err)
		}
		c.Show("torque", "T_p + T_s / i", float64(t))
		c.Out("torque-lbf-in", float64(t))
		return nil
	},
}
