package catalog

import (
	"math"

	"endfloat/calc/spline"
	"endfloat/calc/unit"
)

func torqueInput(help string) Input {
	return ask("torque", "T", unit.KindTorque, "N·m", 0, 1e6, help)
}

func shareInput() Input {
	return ask("share", "k", unit.Number, "", 0.05, 1, "share of the teeth that carry: 1 ideal, 0.75 as made, 0.5 worn or loose").or("0.75")
}

var splineSum = &Sum{
	Name: "spline", Title: "Pressure on a spline", Group: Strength,
	Purpose: "How hard a torque presses on the flanks of a spline, what torque it takes at a pressure allowed, and the force to slide the hub along it under load.",
	Inputs: []Input{
		torqueInput("torque through the spline"),
		whole("teeth", "z", 2, 200, "number of teeth"),
		mm("inner", "d_i", 2, 500, "where the contact begins: the hub's smallest diameter"),
		mm("outer", "d_o", 2, 500, "where it ends: the shaft's largest diameter"),
		mm("chamfer", "c", 0, 20, "height lost to chamfers, on radius").or("0 mm"),
		mm("length", "l", 0.5, 1000, "length in contact"),
		shareInput(),
		ask("allowed", "p_a", unit.KindPressure, "MPa", 0.1, 2000, "pressure allowed, if known").optional(),
		ask("friction", "μ", unit.Number, "", 0, 1, "friction on the flanks").or("0.1"),
	},
	Outputs: []Output{
		gives("height", "h", unit.KindLength, "mm", 2, "working height of a tooth"),
		gives("pressure", "p", unit.KindPressure, "MPa", 1, "pressure on the flanks"),
		gives("slide", "F", unit.KindForce, "N", 0, "force to slide it under this torque"),
		gives("takes", "T_a", unit.KindTorque, "N·m", 0, "torque at the pressure allowed"),
	},
	Assumptions: []string{"A mean over the flanks. A hub that tips, or slides under load, wears at far lower pressure than one that is clamped."},
	Sources:     []string{"SINGH", "DUDLEY"},
	Example:     map[string]string{"torque": "300 N·m", "teeth": "24", "inner": "29 mm", "outer": "31.4 mm", "chamfer": "0.2 mm", "length": "25 mm", "allowed": "60 MPa"},
	Do: func(c *Call) error {
		s := spline.Spline{Teeth: c.Int("teeth"), Inner: c.F("inner"), Outer: c.F("outer"), Chamfer: c.F("chamfer"), Length: c.F("length"), Share: c.F("share")}
		t := c.F("torque")
		p, err := s.Pressure(t)
		if err != nil {
			return c.Bad("outer", err)
		}
		f, err := s.Slide(t, c.F("friction"))
		if err != nil {
			return c.Bad("friction", err)
		}
		c.Show("height", "(d_o − d_i) / 2 − c", s.Height())
		c.Line("r", "mean radius", "(d_o + d_i) / 4", s.Radius(), "mm")
		c.Show("pressure", "T / (k · z · r · h · l)", p)
		c.Show("slide", "μ · T / r", f)
		if !c.Has("allowed") {
			return nil
		}
		takes, err := s.Torque(c.F("allowed"))
		if err != nil {
			return c.Bad("allowed", err)
		}
		c.Show("takes", "p_a · k · z · r · h · l", takes)
		if p > c.F("allowed") {
			c.Warn("the pressure is above what is allowed")
		}
		return nil
	},
}

var dogTeeth = &Sum{
	Name: "dog-teeth", Title: "Dog teeth and the lugs of a hub", Group: Strength,
	Purpose: "How hard a torque presses on dog teeth or hub lugs and shears them, and whether their back taper draws them into gear or throws them out.",
	Inputs: []Input{
		torqueInput("torque through the dogs"),
		whole("count", "n", 1, 200, "number of dogs"),
		mm("diameter", "d", 2, 500, "mean diameter of the contact"),
		mm("height", "h", 0.1, 100, "height that touches, across the shaft"),
		mm("engaged", "l", 0.1, 200, "length that is engaged, along the shaft"),
		mm("width", "b", 0.1, 200, "thickness of a dog at its foot, round the shaft"),
		mm("foot", "l_f", 0.1, 200, "length of the foot that is sheared; left out, the length engaged").optional(),
		shareInput(),
		ask("back-taper", "γ", unit.KindAngle, "°", -20, 30, "back taper of the flanks, positive if it draws them together").or("0°"),
		ask("friction", "μ", unit.Number, "", 0, 0.5, "friction on the flanks, oiled").or("0.1"),
	},
	Outputs: []Output{
		gives("force", "F", unit.KindForce, "N", 0, "force on all dogs, round the shaft"),
		gives("pressure", "p", unit.KindPressure, "MPa", 1, "pressure on a flank"),
		gives("shear", "τ", unit.KindPressure, "MPa", 1, "shear at the foot"),
		gives("draws", "F_in", unit.KindForce, "N", 0, "draws itself in by; below 0 it does not slide in"),
		gives("out", "F_out", unit.KindForce, "N", 0, "force to draw it out; below 0 it throws itself out"),
	},
	Assumptions: []string{"All flanks touch alike, as far as the share says. Rounded corners take height and length away: measure what is bright."},
	Sources:     []string{Practice},
	Example: map[string]string{"torque": "300 N·m", "count": "6", "diameter": "70 mm", "height": "4 mm", "engaged": "6 mm", "width": "10 mm",
		"back-taper": "4°"},
	Do: doDogTeeth,
}

func doDogTeeth(c *Call) error {
	t, n, d, h, l, b, k := c.F("torque"), c.Int("count"), c.F("diameter"), c.F("height"), c.F("engaged"), c.F("width"), c.F("share")
	foot, across := l, "l"
	if c.Has("foot") {
		foot, across = c.F("foot"), "l_f"
	}
	dogs := spline.Dogs{Count: n, Radius: d / 2, Contact: h * l, Root: b * foot, Share: k, Back: c.F("back-taper")}
	p, err := dogs.Pressure(t)
	if err != nil {
		return c.Bad("diameter", err)
	}
	τ, err := dogs.Shear(t)
	if err != nil {
		return c.Bad("width", err)
	}
	in, out, err := dogs.Draw(t, c.F("friction"))
	if err != nil {
		return c.Bad("friction", err)
	}
	c.Show("force", "2 · T / d", 2*t/d)
	c.Show("pressure", "F / (k · n · h · l)", p)
	c.Show("shear", "F / (k · n · b · "+across+")", τ)
	c.Show("draws", "F · tan(γ − atan μ)", in)
	c.Show("out", "F · tan(γ + atan μ)", out)
	switch {
	case out < 0:
		c.Warn("these dogs throw themselves out of gear under load")
	case in < 0 && dogs.Back > 0:
		c.Warn("the back taper is less than the angle of friction: it holds but does not draw in")
	}
	return nil
}

var keySum = &Sum{
	Name: "key", Title: "Shear and pressure of a parallel key", Group: Strength,
	Purpose: "How hard a torque shears a parallel key and presses on its flanks, and what torque it takes.",
	Inputs: []Input{
		torqueInput("torque through the key"),
		mm("shaft", "d", 2, 500, "diameter of the shaft"),
		mm("width", "b", 0.5, 150, "width of the key"),
		mm("depth", "t", 0.2, 100, "height of the flank in the hub or in the shaft, the smaller; about half the height of the key"),
		mm("length", "l", 0.5, 500, "length that carries: round ends left out"),
		whole("count", "i", 1, 2, "number of keys").or("1"),
		ask("pressure-allowed", "p_a", unit.KindPressure, "MPa", 1, 2000, "pressure allowed on the weakest of key, shaft and hub").optional(),
		ask("shear-allowed", "τ_a", unit.KindPressure, "MPa", 1, 2000, "shear allowed in the key").optional(),
	},
	Outputs: []Output{
		gives("shear", "τ", unit.KindPressure, "MPa", 1, "shear in the key"),
		gives("pressure", "p", unit.KindPressure, "MPa", 1, "pressure on its flank"),
		gives("takes-pressure", "T_p", unit.KindTorque, "N·m", 0, "torque at the pressure allowed"),
		gives("takes-shear", "T_s", unit.KindTorque, "N·m", 0, "torque at the shear allowed"),
	},
	Assumptions: []string{"Torque one way, no shock, no help from a press fit. A second key counts half. A key longer than one and a half times the shaft carries no more."},
	Sources:     []string{"FAIRES", "HOLOOLY", Practice},
	Example: map[string]string{"torque": "220 N·m", "shaft": "30 mm", "width": "8 mm", "depth": "3.3 mm", "length": "32 mm",
		"pressure-allowed": "150 MPa", "shear-allowed": "100 MPa"},
	Do: doKey,
}

func doKey(c *Call) error {
	k := spline.Key{Diameter: c.F("shaft"), Width: c.F("width"), Depth: c.F("depth"), Length: c.F("length"), Count: c.Int("count")}
	t := c.F("torque")
	τ, err := k.Shear(t)
	if err != nil {
		return c.Bad("width", err)
	}
	p, err := k.Pressure(t)
	if err != nil {
		return c.Bad("depth", err)
	}
	c.Show("shear", "2 · T / (d · b · l · (1 + i) / 2)", τ)
	c.Show("pressure", "2 · T / (d · t · l · (1 + i) / 2)", p)
	// The torque that a stress allows goes as the stress.
	one, err := k.Pressure(1)
	if err != nil {
		return c.Bad("depth", err)
	}
	if c.Has("pressure-allowed") {
		c.Show("takes-pressure", "p_a · d · t · l · (1 + i) / 4", c.F("pressure-allowed")/one)
		if p > c.F("pressure-allowed") {
			c.Warn("the pressure is above what is allowed")
		}
	}
	if one, err = k.Shear(1); err != nil {
		return c.Bad("width", err)
	}
	if c.Has("shear-allowed") {
		c.Show("takes-shear", "τ_a · d · b · l · (1 + i) / 4", c.F("shear-allowed")/one)
		if τ > c.F("shear-allowed") {
			c.Warn("the shear is above what is allowed")
		}
	}
	if k.Length > 1.5*k.Diameter {
		c.Warn("the key is longer than one and a half times the shaft: its far end carries little")
	}
	return nil
}

const springs = "Circlips fly: wear goggles, use pliers that fit, and cover the ring with the other hand or a rag as it opens."

var circlipGroove = &Sum{
	Name: "circlip-groove", Title: "Thrust that a circlip and its groove stand", Group: Strength,
	Purpose: "A circlip rarely breaks: its groove sets or the edge beyond it tears out. What thrust groove and ring stand, on a shaft or in a bore.",
	Inputs: []Input{
		mm("seat", "D", 3, 500, "diameter of the shaft or bore"),
		mm("groove", "d_n", 2, 520, "diameter at the bottom of the groove"),
		mm("thickness", "s", 0.2, 20, "thickness of the ring"),
		mm("margin", "m", 0.1, 200, "from the groove to the end of the shaft or bore").optional(),
		ask("yield", "R_e", unit.KindPressure, "MPa", 20, 4000, "yield stress of the metal with the groove"),
		ask("shear", "τ_r", unit.KindPressure, "MPa", 50, 2000, "shear strength of the ring").or("1000 MPa"),
		newtons("thrust", "F", "thrust on the ring").optional(),
	},
	Outputs: []Output{
		gives("depth", "t", unit.KindLength, "mm", 2, "depth of the groove"),
		gives("groove-load", "F_N", unit.KindForce, "kN", 2, "load of the groove by the standard, without safety"),
		gives("groove-sets", "F_g", unit.KindForce, "kN", 2, "groove sets, over a safety of 2"),
		gives("ring-shears", "F_r", unit.KindForce, "kN", 2, "ring shears, over a safety of 3"),
		gives("safety", "S", unit.Number, "", 2, "the least of them over the thrust"),
	},
	Assumptions: []string{"The part that leans on the ring has a square edge: a chamfer or a radius tips the ring and may leave a third.",
		"Thrust that comes and goes or hammers wants twice the margin and more; the groove is a notch for the shaft too."},
	Sources: []string{"DIN471", "RINGS"},
	Example: map[string]string{"seat": "30 mm", "groove": "28.6 mm", "thickness": "1.5 mm", "margin": "2.1 mm", "yield": "200 MPa", "thrust": "3000 N"},
	Caution: springs,
	Do:      doCirclipGroove,
}

func doCirclipGroove(c *Call) error {
	r := spline.Circlip{Seat: c.F("seat"), Groove: c.F("groove"), Thickness: c.F("thickness"), Margin: c.F("margin")}
	re, τ := c.F("yield"), c.F("shear")
	sets, err := r.GrooveYield(re, spline.GrooveSafety)
	if err != nil {
		return c.Bad("groove", err)
	}
	shears, err := r.RingShear(τ, spline.ShearSafety)
	if err != nil {
		return c.Bad("shear", err)
	}
	c.Show("depth", "abs(D − d_n) / 2", r.Depth())
	least := min(sets, shears)
	if c.Has("margin") {
		fn, err := r.GrooveThrust(re)
		if err != nil {
			return c.Bad("margin", err)
		}
		q := max(1.2, 1.5-0.3*(r.Margin/r.Depth()-2))
		noted(c, "q", "for the margin beyond the groove", "1.2 from three times its depth, 1.5 at twice", q, "", unit.Number)
		c.Show("groove-load", "π / 4 · abs(D² − d_n²) · R_e / q", fn)
		least = min(least, fn)
	}
	c.Show("groove-sets", "π · D · t · R_e / 2", sets, "RINGS")
	c.Show("ring-shears", "π · D · s · τ_r / 3", shears, "RINGS")
	if !c.Has("thrust") {
		return nil
	}
	f := c.F("thrust")
	if !(f > 0) {
		return c.Badf("thrust", "a safety needs a thrust above 0")
	}
	told(c, "safety", "the least of the loads / F", least/f)
	if least < 1.5*f {
		c.Warn("groove or ring are near their load")
	}
	return nil
}

var nutClamp = &Sum{
	Name: "nut-clamp", Title: "Does the shaft nut hold its stack?", Group: Strength,
	Purpose: "A shaft nut presses hubs, spacers and bearing rings against a shoulder. What is left of that clamp as it settles and thrust eases it, and whether it spares the spline from working.",
	Inputs: []Input{
		ask("preload", "F_M", unit.KindForce, "kN", 0, 1e4, "preload of the nut; nut-preload gives it, take the least"),
		ask("thrust", "F_a", unit.KindForce, "N", 0, 1e7, "axial force that eases the clamp, such as of a helical gear").or("0 N"),
		torqueInput("torque from the hub to the shaft").or("0 N·m"),
		mm("stack", "l", 1, 2000, "length that is clamped"),
		mm("shaft", "d", 1, 500, "diameter of the shaft within it, at the bottom of spline or thread"),
		mm("bore", "b", 0, 490, "bore of the shaft").or("0 mm"),
		mm("inner", "D_i", 1, 500, "inner diameter of the faces that press"),
		mm("outer", "D_a", 1, 600, "outer diameter of the faces that press"),
		ask("settling", "f_z", unit.KindLength, "µm", 0, 200, "settling of all faces, 2 to 4 µm each").or("10 µm"),
		ask("friction", "μ", unit.Number, "", 0, 1, "friction between the faces, oiled").or("0.1"),
		whole("faces", "n", 1, 2, "faces that drive the hub: 2 if both sides turn with the shaft").or("1"),
	},
	Outputs: []Output{
		gives("portion", "Φ", unit.Number, "", 3, "share of the thrust that the nut feels"),
		gives("settles", "F_z", unit.KindForce, "kN", 2, "force lost by settling"),
		gives("left", "F_K", unit.KindForce, "kN", 2, "clamp left under thrust; 0 or less: parted"),
		gives("nut", "F_S", unit.KindForce, "kN", 2, "force on the thread"),
		gives("friction-torque", "T_R", unit.KindTorque, "N·m", 1, "torque that the faces pass on"),
		gives("spline", "T_S", unit.KindTorque, "N·m", 1, "torque left to the spline"),
	},
	Assumptions: []string{"Shaft and stack are steel, the stack a plain tube of the faces' size; thrust acts at the nut's end of it. Warm light parts in the stack change the clamp.",
		"A stake nut or a locking plate keeps a nut from turning, not a clamp from fading."},
	Sources: []string{"VDI2230", Practice},
	Example: map[string]string{"preload": "44.6 kN", "thrust": "6000 N", "torque": "300 N·m", "stack": "90 mm", "shaft": "27 mm", "inner": "31 mm", "outer": "42 mm"},
	Caution: longBar,
	Do:      doNutClamp,
}

func doNutClamp(c *Call) error {
	reserve(c, 24)
	l, d, b, di, da := c.F("stack"), c.F("shaft"), c.F("bore"), c.F("inner"), c.F("outer")
	shaft, err := spline.Give(l, math.Pi/4*(d*d-b*b), steelModulus)
	if err != nil {
		return c.Bad("bore", err)
	}
	stack, err := spline.Give(l, math.Pi/4*(da*da-di*di), steelModulus)
	if err != nil {
		return c.Bad("outer", err)
	}
	portion, err := spline.Portion(shaft, stack)
	if err != nil {
		return c.Bad("outer", err)
	}
	lost, err := spline.SettlingLoss(c.F("settling"), shaft, stack)
	if err != nil {
		return c.Bad("settling", err)
	}
	clamp := spline.Clamp{Preload: c.F("preload"), Settling: lost, Apart: c.F("thrust"), Portion: portion, Friction: c.F("friction"), Inner: di, Outer: da, Faces: c.Int("faces")}
	h, err := clamp.Hold()
	if err != nil {
		return c.Bad("preload", err)
	}
	t := c.F("torque")
	c.Let("E", steelModulus, "MPa")
	c.Show("portion", "(d² − b²) / (d² − b² + D_a² − D_i²)", portion)
	c.Show("settles", "f_z · E · π / 4 / (l / (d² − b²) + l / (D_a² − D_i²))", lost)
	c.Show("left", "F_M − F_z − (1 − Φ) · F_a", h.Left)
	if h.Left > 0 {
		c.Show("nut", "F_M − F_z + Φ · F_a", h.Nut)
	} else {
		c.Out("nut", h.Nut)
		c.Warn("the stack parts: thrust is more than the clamp, and everything on the shaft works loose")
	}
	c.Line("r", "radius at which the faces rub", "(D_i² + D_i · D_a + D_a²) / (3 · (D_i + D_a))", spline.FaceRadius(di, da), "mm", Practice)
	if h.Left > 0 {
		c.Show("friction-torque", "n · μ · F_K · r", h.Torque, Practice)
	} else {
		c.Out("friction-torque", 0)
	}
	told(c, "spline", "T less what the faces pass on, 0 if they pass it all", h.OnSpline(t))
	if h.Left > 0 && h.OnSpline(t) > 0 {
		c.Warn("friction does not pass all of the torque: the hub works on its spline, which has to take %s", c.Print(h.OnSpline(t), "N·m"))
	}
	return nil
}
