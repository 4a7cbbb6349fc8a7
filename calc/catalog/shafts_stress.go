package catalog

import (
	"math"
	"slices"

	"endfloat/calc/shaft"
	"endfloat/calc/unit"
)

// Answers of shaft-stress that are no row of the table of notches.
const (
	shoulderSized = "shoulder, from its sizes"
	grooveSized   = "groove, from its sizes"
	notchTyped    = "typed"
)

var (
	notchRows  = shaft.Estimates()
	finishRows = shaft.Finishes()
)

func notchNames() []string {
	var list []string
	for _, e := range notchRows {
		list = append(list, e.Name)
	}
	return append(list, shoulderSized, grooveSized, notchTyped)
}

func finishNames() []string {
	var list []string
	for _, f := range finishRows {
		list = append(list, f.Name)
	}
	return list
}

var shaftStress = &Sum{
	Name: "shaft-stress", Title: "Stress in a shaft, and its safety against yield and fatigue", Group: Strength,
	Purpose: "Bending, torsion and thrust at one section of a turning shaft, drawn together; with the strength of the steel, how far it is from yielding and from cracking at a notch.",
	Inputs: []Input{
		mm("diameter", "D", 1, 1000, "diameter at the section, at the bottom of any groove or spline"),
		mm("bore", "b", 0, 999, "bore of the shaft").or("0 mm"),
		ask("moment", "M", unit.KindTorque, "N·m", 0, 1e6, "bending moment at the section; shaft-reactions gives the greatest"),
		ask("torque", "T", unit.KindTorque, "N·m", 0, 1e6, "torque at the section"),
		newtons("thrust", "N", "force along the shaft").or("0 N"),
		choice("torque-runs", "how the torque goes", "steady", "comes and goes", "turns round"),
		choice("notch", "what notches the section", notchNames()...),
		mm("large", "D_g", 1, 1500, "the larger diameter beside it").optional(),
		mm("radius", "r", 0.01, 500, "radius of fillet or groove").optional(),
		ask("k-bending", "k_b", unit.Number, "", 1, 20, "notch factor for bending, if typed").optional(),
		ask("k-torsion", "k_t", unit.Number, "", 1, 20, "notch factor for torsion, if typed").optional(),
		ask("yield", "R_e", unit.KindPressure, "MPa", 50, 4000, "yield stress").optional(),
		ask("tensile", "R_m", unit.KindPressure, "MPa", 110, 4900, "tensile strength, to see fatigue").optional(),
		choice("finish", "how the surface was made", finishNames()...).optional(),
	},
	Outputs: []Output{
		gives("bending", "σ_b", unit.KindPressure, "MPa", 1, "stress from bending"),
		gives("axial", "σ_n", unit.KindPressure, "MPa", 1, "stress from thrust"),
		gives("torsion", "τ", unit.KindPressure, "MPa", 1, "shear from torque"),
		gives("combined", "σ_v", unit.KindPressure, "MPa", 1, "all together, after von Mises"),
		gives("yield-safety", "S_y", unit.Number, "", 2, "yield over stress"),
		gives("yield-torque", "T_y", unit.KindTorque, "N·m", 0, "torque alone that makes it yield"),
		gives("notch-bending", "K_f", unit.Number, "", 2, "notch factor, bending"),
		gives("notch-torsion", "K_s", unit.Number, "", 2, "notch factor, torsion"),
		gives("endurance", "S_e", unit.KindPressure, "MPa", 0, "endurance of such a shaft"),
		gives("fatigue-safety", "S_f", unit.Number, "", 2, "safety against fatigue, after Goodman"),
	},
	Assumptions: []string{"The shaft turns under a load that stays, so bending swings fully; thrust is steady.",
		"A sound case raises the endurance, grinding cracks, rust and old dents take it away: crack-test what has been run hard."},
	Sources: []string{"BN8", "BN10", "DIN743", "WENTZELL"},
	Example: map[string]string{"diameter": "30 mm", "moment": "105.9 N·m", "torque": "100 N·m", "thrust": "1409 N", "torque-runs": "comes and goes", "notch": shoulderSized,
		"large": "38 mm", "radius": "1 mm", "yield": "700 MPa", "tensile": "1000 MPa", "finish": "machined"},
	Do: doShaftStress,
}

func doShaftStress(c *Call) error {
	reserve(c, 32)
	sec := shaft.Section{Outside: c.F("diameter"), Bore: c.F("bore")}
	m, t, n := c.F("moment"), c.F("torque"), c.F("thrust")
	s, err := sec.Stress(m, t, n)
	if err != nil {
		return c.Bad("bore", err)
	}
	c.Show("bending", "32 · M · D / (π · (D² · D² − b² · b²))", s.Bending, "WENTZELL")
	c.Show("axial", "4 · N / (π · (D² − b²))", s.Axial, "WENTZELL")
	c.Show("torsion", "16 · T · D / (π · (D² · D² − b² · b²))", s.Torsion, "WENTZELL")
	c.Show("combined", "√((σ_b + σ_n)² + 3 · τ²)", s.Mises(), "WENTZELL")
	if !(s.Mises() > 0) {
		return c.Badf("moment", "there is no load at all")
	}
	if c.Has("yield") {
		re := c.F("yield")
		c.Show("yield-safety", "R_e / σ_v", re/s.Mises(), "WENTZELL")
		ty, err := sec.YieldTorque(re)
		if err != nil {
			return c.Bad("yield", err)
		}
		c.Show("yield-torque", "R_e / √3 · π · (D² · D² − b² · b²) / (16 · D)", ty, "WENTZELL")
		if re < 1.5*s.Mises() {
			c.Warn("the shaft is near its yield, without any shock counted")
		}
	}
	if !c.Has("tensile") {
		return nil
	}
	if err := needs(c, "to see fatigue", "yield", "finish"); err != nil {
		return err
	}
	return showFatigue(c, sec, s)
}

// notchOf reads the notch and shows its factors.
func notchOf(c *Call, sec shaft.Section, tensile float64) (k shaft.Notch, err error) {
	switch name := c.Choice("notch"); name {
	case notchTyped:
		if err := needs(c, "for factors that are typed", "k-bending", "k-torsion"); err != nil {
			return k, err
		}
		k = shaft.Notch{Bending: c.F("k-bending"), Torsion: c.F("k-torsion")}
		c.Show("notch-bending", "k_b", k.Bending)
		c.Show("notch-torsion", "k_t", k.Torsion)
		return k, nil
	case shoulderSized, grooveSized:
		if err := needs(c, "for a notch from its sizes", "large", "radius"); err != nil {
			return k, err
		}
		of := shaft.Shoulder
		if name == grooveSized {
			of = shaft.Groove
		}
		large, r := c.F("large"), c.F("radius")
		theory, err := of(large, sec.Outside, r)
		if err != nil {
			return k, c.Bad("large", err)
		}
		noted(c, "α_b", "theoretical factor, bending", "DIN 743, from the sizes", theory.Bending, "", unit.Number)
		noted(c, "α_t", "theoretical factor, torsion", "DIN 743, from the sizes", theory.Torsion, "", unit.Number)
		if k, err = theory.Feel(r, tensile); err != nil {
			return k, c.Bad("radius", err)
		}
		told(c, "notch-bending", "1 + (α − 1) / (1 + √(a / r)), Neuber", k.Bending)
		told(c, "notch-torsion", "1 + (α − 1) / (1 + √(a / r)), Neuber", k.Torsion)
		return k, nil
	default:
		k = notchRows[slices.IndexFunc(notchRows, func(e shaft.Estimate) bool { return e.Name == name })].Notch
		told(c, "notch-bending", "first guess, felt in full", k.Bending)
		told(c, "notch-torsion", "first guess, felt in full", k.Torsion)
		return k, nil
	}
}

func showFatigue(c *Call, sec shaft.Section, s shaft.Stress) error {
	rm := c.F("tensile")
	k, err := notchOf(c, sec, rm)
	if err != nil {
		return err
	}
	name := c.Choice("finish")
	f := finishRows[slices.IndexFunc(finishRows, func(f shaft.Finish) bool { return f.Name == name })]
	se, err := f.Endurance(rm, sec.Outside)
	if err != nil {
		return c.Bad("diameter", err)
	}
	told(c, "endurance", "half the tensile strength, for surface and size", se)
	cycle := shaft.Cycle{BendingAmp: s.Bending, BendingMean: s.Axial}
	amp, mean := "", ""
	switch c.Choice("torque-runs") {
	case "steady":
		cycle.TorsionMean, amp, mean = s.Torsion, "0 · τ", "τ"
	case "comes and goes":
		cycle.TorsionAmp, cycle.TorsionMean, amp, mean = s.Torsion/2, s.Torsion/2, "τ / 2", "τ / 2"
	default:
		cycle.TorsionAmp, amp, mean = s.Torsion, "τ", "0 · τ"
	}
	st := shaft.Strength{Endurance: se, Yield: c.F("yield"), Tensile: rm}
	n, err := st.Safety(cycle, k, shaft.Goodman)
	if err != nil {
		return c.Bad("tensile", err)
	}
	a, m := cycle.Swing(k)
	c.Line("S_a", "stress that swings", "√((K_f · σ_b)² + 3 · (K_s · "+amp+")²)", a, "MPa", "BN10")
	c.Line("S_m", "stress that stays", "√((K_f · σ_n)² + 3 · (K_s · "+mean+")²)", m, "MPa", "BN10")
	c.Show("fatigue-safety", "1 / (S_a / S_e + S_m / R_m)", n, "BN10")
	if n < 1.5 {
		c.Warn("the shaft may crack in time at this notch: a safety of %.2f against fatigue", math.Max(0, n))
	}
	return nil
}
