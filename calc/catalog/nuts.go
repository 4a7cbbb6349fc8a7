package catalog

import (
	"math"

	"endfloat/calc/torque"
	"endfloat/calc/uncert"
	"endfloat/calc/unit"
)

func init() { register(leverBand, nutPreload, heldShaft) }

var leverBand = &Sum{
	Name: "lever-band", Title: "Lever and scale: can it keep the nut in its band?", Group: Torque, Picture: "lever",
	Purpose: "A torque is a band, and a bar with a scale is not exact. What to aim at, between which readings the nut is proven to be in its band, and whether these tools can do it at all.",
	Inputs: append([]Input{
		asksTorque("least", "T_min", "least torque allowed"),
		asksTorque("most", "T_max", "most torque allowed"),
	}, append(barInputs(),
		ask("scale-error", "s", unit.Number, "%", 0, 50, "the scale may be wrong by this part of its reading, to either side").or("2 %"),
		ask("arm-error", "a", unit.Number, "%", 0, 20, "the arm may be wrong by this part of its length").or("1 %"),
		angle("angle-error", "δ", 0, 30, "the pull may be off its angle by this").or("5°"),
		ask("scale-most", "F_s", unit.KindForce, "N", 1, 20000, "the most the scale can show").optional(),
		ask("hand-most", "F_h", unit.KindForce, "N", 1, 20000, "the most you can pull steadily").or("600 N"))...),
	Outputs: []Output{
		gives("aim", "F", unit.KindForce, "N", 1, "aim at"),
		gives("aim-kgf", "F", unit.KindForce, "kgf", 2, "aim at, on a scale in kilograms"),
		gives("plain-least", "F_1", unit.KindForce, "N", 1, "pull for the least torque"),
		gives("plain-most", "F_2", unit.KindForce, "N", 1, "pull for the most torque"),
		gives("doubt", "u", unit.Number, "%", 2, "standard uncertainty of a pull"),
		gives("least", "F_lo", unit.KindForce, "N", 1, "read at least"),
		gives("most", "F_hi", unit.KindForce, "N", 1, "read at most"),
		gives("either-side", "±F", unit.KindForce, "N", 1, "to either side of the aim"),
		gives("either-side-kgf", "±F", unit.KindForce, "kgf", 2, "to either side, on a scale in kilograms"),
		says("can", "with these tools"),
	},
	Assumptions: []string{"Each error may lie anywhere within its limit, so its standard uncertainty is the limit over √3.",
		"The pull is steady and the scale hangs in the line of the pull."},
	Sources: []string{Practice, "ISO14253-1", "GUM"},
	Example: map[string]string{"least": "200 N·m", "most": "240 N·m", "arm": "0.75 m", "scale-most": "50 kg"},
	Caution: longBar,
	Do:      doLeverBand,
}

func doLeverBand(c *Call) error {
	lo, hi := unit.Torque(c.F("least")), unit.Torque(c.F("most"))
	if lo >= hi {
		return c.Badf("least", "it is not less than the most")
	}
	b, sign, err := barOf(c)
	if err != nil {
		return err
	}
	f1, err := b.Pull(lo)
	if err != nil && sign == "" {
		return c.Bad("off-square", err)
	} else if err != nil {
		return c.Bad("bar-mass", err)
	}
	f2, err := b.Pull(hi)
	if err != nil {
		return c.Bad("most", err)
	}
	open, own := "", " / (L · cos θ)"
	switch sign {
	case "+":
		open, own = "(", " − T_bar) / (L · cos θ)"
	case "−":
		open, own = "(", " + T_bar) / (L · cos θ)"
	}
	c.Show("plain-least", open+"T_min"+own, float64(f1))
	c.Show("plain-most", open+"T_max"+own, float64(f2))
	c.Show("aim", "(F_1 + F_2) / 2", float64(f1+f2)/2)
	c.Out("aim-kgf", float64(f1+f2)/2)
	return readingBand(c, b, f1, f2)
}

// readingBand narrows the band of pulls by what is in doubt.
func readingBand(c *Call, b torque.Bar, f1, f2 unit.Force) error {
	δ := unit.Angle(c.F("angle-error"))
	uθ := torque.AngleU(b.OffSquare, δ)
	if uθ > 0.5 {
		return c.Badf("angle-error", "a pull %s off square and %s in doubt may have no lever at all", c.Print(float64(b.OffSquare), "°"), c.Print(float64(δ), "°"))
	}
	u := torque.Reach{Scale: uncert.Rect(c.F("scale-error")), Arm: uncert.Rect(c.F("arm-error")), Angle: uθ}.Relative()
	c.Line("u_θ", "what the angle adds", "(1 − cos(abs θ + δ) / cos θ) / √3", uθ, "%", "GUM")
	c.Show("doubt", "√(s² / 3 + a² / 3 + u_θ²)", u, "GUM")
	lo, hi := torque.Window(f1, f2, uncert.GuardFactor, u)
	c.Show("least", "F_1 · (1 + 1.65 · u)", float64(lo), "ISO14253-1")
	c.Show("most", "F_2 · (1 − 1.65 · u)", float64(hi), "ISO14253-1")
	half := float64(hi-lo) / 2
	c.Show("either-side", "(F_hi − F_lo) / 2", half)
	c.Out("either-side-kgf", half)
	can := "yes: stay between the two readings"
	switch {
	case half <= 0:
		can = "no: what is in doubt is wider than the band; a better scale, a truer arm or a square pull is needed"
		c.Warn("no reading proves the nut in its band")
	case c.Has("scale-most") && float64(hi) > c.F("scale-most"):
		can = "no: the scale does not reach so far; use a longer bar"
		if float64(lo) < c.F("scale-most") {
			can = "only in part: the scale ends before the upper reading"
		}
		c.Warn("the scale ends at %s", c.Print(c.F("scale-most"), "N"))
	}
	if h := c.F("hand-most"); float64(f1+f2)/2 > h {
		if half > 0 {
			can = "not by this hand: use a longer bar"
		}
		c.Warn("the pull is more than %s; use a longer bar", c.Print(h, "N"))
	}
	c.Say("can", can)
	return nil
}

var nutPreload = &Sum{
	Name: "nut-preload", Title: "Nut: torque and preload", Group: Torque, Picture: "nut",
	Purpose: "What preload a torque gives, or what torque a preload wants. Friction is never known, so the answer is a band: from the most to the least slippery.",
	Inputs: []Input{
		asksTorque("torque", "T", "torque of the nut; give this or the preload").optional(),
		ask("preload", "F", unit.KindForce, "kN", 0.01, 2000, "preload wanted; give this or the torque").optional(),
		mm("thread", "d", 3, 200, "nominal diameter of the thread, 24 for M24"),
		mm("pitch", "P", 0.2, 8, "its pitch"),
		mm("face-inner", "D_i", 1, 300, "inner diameter of the face under the nut"),
		mm("face-outer", "D_a", 3, 400, "outer diameter of that face"),
		ask("friction-low", "μ_1", unit.Number, "", 0.02, 0.6, "least friction to expect, in thread and under the face").or("0.10"),
		ask("friction-high", "μ_2", unit.Number, "", 0.02, 0.6, "most friction to expect").or("0.16"),
	},
	Outputs: []Output{
		gives("preload-most", "F_1", unit.KindForce, "kN", 1, "preload, slippery"),
		gives("preload-least", "F_2", unit.KindForce, "kN", 1, "preload, rough"),
		gives("torque-least", "T_1", unit.KindTorque, "N·m", 1, "torque, slippery"),
		gives("torque-most", "T_2", unit.KindTorque, "N·m", 1, "torque, rough"),
		gives("stretches", "part", unit.Number, "%", 0, "part of the torque that stretches, at most"),
		gives("stress", "σ", unit.KindPressure, "MPa", 0, "tension in the thread, slippery"),
	},
	Assumptions: []string{"The same friction in the thread and under the face, and none used up by a locking collar or stake.",
		"A metric thread of 60°; the friction band is common practice for oiled steel and has no source."},
	Sources: []string{"VDI2230", "ISO724", "ISO898-1"},
	Example: map[string]string{"torque": "200 N·m", "thread": "24 mm", "pitch": "1.5 mm", "face-inner": "25 mm", "face-outer": "35 mm",
		"friction-low": "0.10", "friction-high": "0.15"},
	Caution: "A nut drawn past the yield of its thread gives way without warning. The maker's torque rules.",
	Do:      doNutPreload,
}

func doNutPreload(c *Call) error {
	if c.Has("torque") == c.Has("preload") {
		return c.Badf("torque", "give either the torque or the preload")
	}
	th := torque.Thread{Major: c.Length("thread"), Pitch: c.Length("pitch"), FaceInner: c.Length("face-inner"), FaceOuter: c.Length("face-outer")}
	μ1, μ2 := c.F("friction-low"), c.F("friction-high")
	if μ1 > μ2 {
		return c.Badf("friction-low", "it is more than the most friction")
	}
	x1, err := th.Lever(μ1)
	if err != nil && th.FaceOuter <= th.FaceInner {
		return c.Bad("face-outer", err)
	} else if err != nil {
		return c.Bad("pitch", err)
	}
	x2, err := th.Lever(μ2)
	if err != nil {
		return c.Bad("friction-high", err)
	}
	c.Line("d2", "pitch diameter", "d − 0.649519 · P", float64(th.PitchDiameter()), "mm", "ISO724")
	c.Line("D_m", "diameter of friction under the nut", "(D_i + D_a) / 2", float64(th.FaceMean()), "mm")
	c.Line("X_1", "torque over preload, slippery", "P / (2 · π) + d2 · μ_1 / (2 · cos 30°) + D_m · μ_1 / 2", float64(x1), "mm")
	c.Line("X_2", "torque over preload, rough", "P / (2 · π) + d2 · μ_2 / (2 · cos 30°) + D_m · μ_2 / 2", float64(x2), "mm")
	var most float64
	if c.Has("torque") {
		t := c.F("torque")
		most = t / float64(x1)
		c.Show("preload-most", "T / X_1", most)
		c.Show("preload-least", "T / X_2", t/float64(x2))
	} else {
		f := c.F("preload")
		most = f
		c.Let("F_1", f, "kN")
		c.Show("torque-least", "F · X_1", f*float64(x1))
		c.Show("torque-most", "F · X_2", f*float64(x2))
	}
	c.Show("stretches", "P / (2 · π) / X_1", float64(th.Pitch)/(2*math.Pi)/float64(x1))
	c.Line("A_s", "stress area of the thread", "π / 4 · (d − 0.938194 · P)²", th.StressArea(), "mm²", "ISO898-1")
	c.Show("stress", "F_1 / A_s", most/th.StressArea())
	c.Assume("The thread is solid; in a hollow shaft the tension is higher.")
	return nil
}

// steelModulus is Young's modulus of steel in pascals, textbook.
const steelModulus = 207e9

var heldShaft = &Sum{
	Name: "held-shaft-bend", Title: "Held shaft bent by a one-sided pull", Group: Torque, Picture: "bend",
	Purpose: "A bar pulled at one end also pushes the nut sideways. Where the shaft is held some way behind the nut, that bends it: by how much, and how near to yield. Two equal pulls, one at each end of a bar, bend nothing.",
	Inputs: []Input{
		asksTorque("torque", "T", "torque at the nut"),
		ask("arm", "L", unit.KindLength, "m", 0.05, 5, "length from the nut to the point of pull"),
		mm("overhang", "a", 0, 1000, "along the shaft, from the bar to where the shaft is held or borne"),
		mm("diameter", "d", 3, 300, "diameter of the shaft there, at the bottom of a groove or thread"),
		mm("bore", "b", 0, 290, "bore of the shaft").or("0 mm"),
		ask("yield", "R_e", unit.KindPressure, "MPa", 50, 3000, "yield stress of the shaft, if known").optional(),
	},
	Outputs: []Output{
		gives("pull", "F", unit.KindForce, "N", 0, "pull, and push on the shaft sideways"),
		gives("moment", "M", unit.KindTorque, "N·m", 1, "bending moment"),
		gives("bending", "σ", unit.KindPressure, "MPa", 0, "stress from bending"),
		gives("shear", "τ", unit.KindPressure, "MPa", 0, "stress from the torque"),
		gives("combined", "σ_v", unit.KindPressure, "MPa", 0, "both together"),
		gives("deflection", "y", unit.KindLength, "mm", 3, "the shaft gives at the bar by"),
		gives("safety", "S", unit.Number, "", 1, "yield over stress"),
	},
	Assumptions: []string{"The shaft is round, of steel with a modulus of 207 GPa, and held rigidly; notches raise the stress.",
		"A splined or hardened shaft cracks before it bends."},
	Sources: []string{"WENTZELL", Practice},
	Example: map[string]string{"torque": "220 N·m", "arm": "0.75 m", "overhang": "90 mm", "diameter": "24 mm", "yield": "600 MPa"},
	Caution: longBar,
	Do: func(c *Call) error {
		h := torque.Held{Torque: unit.Torque(c.F("torque")), Arm: c.Length("arm"), Overhang: c.Length("overhang"),
			Diameter: c.Length("diameter"), Bore: c.Length("bore")}
		b, err := h.Bend(steelModulus)
		if err != nil {
			return c.Bad("bore", err)
		}
		c.Let("E", steelModulus, "MPa")
		c.Show("pull", "T / L", float64(b.Pull))
		c.Show("moment", "F · a", float64(b.Moment))
		c.Show("bending", "32 · M · d / (π · (d² · d² − b² · b²))", float64(b.Stress))
		c.Show("shear", "16 · T · d / (π · (d² · d² − b² · b²))", float64(b.Shear))
		c.Show("combined", "√(σ² + 3 · τ²)", float64(b.Combined))
		c.Show("deflection", "64 · F · a · a² / (3 · E · π · (d² · d² − b² · b²))", float64(b.Deflection))
		if !c.Has("yield") {
			return nil
		}
		s := c.F("yield") / float64(b.Combined)
		c.Show("safety", "R_e / σ_v", s)
		if s < 1.5 {
			c.Warn("the shaft is near its yield: hold it closer to the nut, or pull at both ends of the bar")
		}
		return nil
	},
}
