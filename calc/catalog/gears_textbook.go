package catalog

import (
	"fmt"
	"math"
	"strconv"

	"endfloat/calc/bevel"
	tooth "endfloat/calc/gear/rating"
	"endfloat/calc/unit"
)

func init() {
	register(gearTextbook, bevelStrength, bevelCompare, bevelSets)
	checked[gearTextbook.Name] = "Published: examples 14-4, 14-5 and the first half of 14-8 of [BN14], factor by factor."
	checked[bevelStrength.Name] = "Published: examples 15-1 and 15-2 of [BN15], factor by factor."
	checked[bevelCompare.Name] = byHand + "Identities: the same duty compares as 1, twice the turns as 2. Slopes are those of the life factors that [BN15] prints."
	checked[bevelSets.Name] = byHand + "Identities: a set against itself is 1; twice the face halves the root's stress."
}

// allowables are the two ways to name a steel of the textbooks.
const (
	throughHard = "through-hardened, grade 1"
	caseHard    = "case-hardened, grade 1"
)

func asksTextbookSteel() []Input {
	return []Input{
		choice("steel", "steel of both gears", caseHard, throughHard),
		ask("hardness-1", "HB_1", unit.Number, "", 150, 400, "Brinell hardness of the smaller gear; needed where it is through-hardened").optional(),
		ask("hardness-2", "HB_2", unit.Number, "", 150, 400, "Brinell hardness of the larger gear").optional(),
	}
}

// allowed reads the allowable stress numbers of both gears.
func allowed(c *Call, hard func(float64) (unit.Pressure, unit.Pressure, error), bend, contact unit.Pressure) (b, h [2]unit.Pressure, hardness [2]float64, err error) {
	if c.Choice("steel") == caseHard {
		return [2]unit.Pressure{bend, bend}, [2]unit.Pressure{contact, contact}, hardness, nil
	}
	if err = needs(c, "because the steel is through-hardened", "hardness-1", "hardness-2"); err != nil {
		return
	}
	for i, key := range []string{"hardness-1", "hardness-2"} {
		hardness[i] = c.F(key)
		if b[i], h[i], err = hard(hardness[i]); err != nil {
			return b, h, hardness, c.Bad(key, err)
		}
	}
	return
}

var gearTextbook = &Sum{
	Name: "gear-strength-textbook", Title: "Strength of a pair of gears, textbook form (AGMA)", Group: Strength,
	Purpose: "A second opinion on the strength of two cylindrical gears of 20°, by the AGMA method as a textbook prints it, with the geometry factors read from its figures.",
	Inputs: append([]Input{
		whole("teeth-1", "z1", 8, 300, "teeth of the smaller gear"),
		whole("teeth-2", "z2", 8, 999, "teeth of the larger gear"),
		ask("module", "m", unit.KindLength, "mm", 0.3, 30, "normal module, 25.4 mm over the normal pitch"),
		angle("helix", "β", 0, 45, "helix angle").or("0°"),
		mm("face", "b", 1, 500, "width of face in mesh"),
		ask("torque", "T", unit.KindTorque, "N·m", 0.1, 1e5, "torque on the smaller gear"),
		ask("speed", "n", unit.KindRotation, "rpm", 0, 30000, "speed of the smaller gear"),
		ask("j-1", "J_1", unit.Number, "", 0.1, 0.8, "bending geometry factor of the smaller gear, from the book's figure"),
		ask("j-2", "J_2", unit.Number, "", 0.1, 0.8, "bending geometry factor of the larger gear"),
		ask("y-1", "Y_1", unit.Number, "", 0.2, 0.5, "Lewis form factor of the smaller gear, from the book's table"),
		ask("y-2", "Y_2", unit.Number, "", 0.2, 0.5, "Lewis form factor of the larger gear"),
		ask("quality", "Q_v", unit.Number, "", 5, 11, "AGMA quality number; 6 to 7 is commercial, 8 and more is ground").or("7"),
		ask("overload", "K_o", unit.Number, "", 1, 3, "overload factor, 1 for a smooth engine and load").or("1.25"),
		ask("cycles", "N", unit.Number, "", 1e3, 1e12, "load cycles of the smaller gear").or("1e8"),
		ask("reliability", "R", unit.Number, "", 0.5, 0.9999, "share that is to survive").or("0.99"),
	}, asksTextbookSteel()...),
	Outputs: []Output{
		gives("tangential", "W", unit.KindForce, "N", 0, "force along the pitch circle"),
		gives("velocity", "V", unit.KindSpeed, "m/s", 2, "speed of the pitch circle"),
		gives("bending-1", "σ_1", unit.KindPressure, "MPa", 1, "bending stress, smaller gear"),
		gives("bending-2", "σ_2", unit.KindPressure, "MPa", 1, "bending stress, larger gear"),
		gives("contact-1", "σ_c1", unit.KindPressure, "MPa", 0, "contact stress, smaller gear"),
		gives("contact-2", "σ_c2", unit.KindPressure, "MPa", 0, "contact stress, larger gear"),
		gives("safe-bending-1", "S_F1", unit.Number, "", 2, "safety against bending, smaller gear"),
		gives("safe-bending-2", "S_F2", unit.Number, "", 2, "safety against bending, larger gear"),
		gives("safe-contact-1", "S_H1", unit.Number, "", 2, "safety of stress against pitting, smaller gear"),
		gives("safe-contact-2", "S_H2", unit.Number, "", 2, "safety of stress against pitting, larger gear"),
	},
	Assumptions: append([]string{"Full-depth teeth of 20°, steel on steel, uncrowned, in a commercial enclosed unit with bearings close by; oil below 120 °C.",
		"Load cycles below 3e6 and 1e7 gain nothing in bending and contact."}, bearsNothingOf...),
	Sources: []string{"BN14"},
	Example: map[string]string{"teeth-1": "17", "teeth-2": "52", "module": "2.54 mm", "face": "1.5 in", "torque": "15.824 N·m", "speed": "1800 rpm",
		"j-1": "0.30", "j-2": "0.40", "y-1": "0.303", "y-2": "0.412", "quality": "6", "overload": "1", "cycles": "1e8", "reliability": "0.90",
		"steel": "through-hardened, grade 1", "hardness-1": "250", "hardness-2": "200"},
	Caution: ratingCaution,
	Do:      doGearTextbook,
}

func doGearTextbook(c *Call) error {
	b := tooth.Textbook{Teeth: [2]int{c.Int("teeth-1"), c.Int("teeth-2")}, Module: c.Length("module"), Helix: unit.Angle(c.F("helix")), Face: c.Length("face"),
		Torque: unit.Torque(c.F("torque")), Speed: c.F("speed"), Overload: c.F("overload"), Quality: c.F("quality"),
		J: [2]float64{c.F("j-1"), c.F("j-2")}, Y: [2]float64{c.F("y-1"), c.F("y-2")}, Cycles: c.F("cycles"), Reliability: c.F("reliability")}
	var err error
	if b.Bending, b.Contact, b.Hardness, err = allowed(c, tooth.ThroughHardened1, tooth.CaseHardened1Bending, tooth.CaseHardened1Contact); err != nil {
		return err
	}
	if c.Choice("steel") == caseHard {
		c.Assume("Allowable stresses of case-hardened steel from memory of the book's tables.")
	}
	r, err := b.Rating()
	if err != nil {
		return c.Bad("teeth-1", err)
	}
	d := float64(b.Module) * float64(b.Teeth[0]) / math.Cos(float64(b.Helix))
	c.Line("d", "pitch diameter of the smaller gear", "m · z1 / cos β", d, "mm")
	c.Show("tangential", "2 · T / d", float64(r.Tangential))
	c.Show("velocity", "π · n · d", r.Velocity)
	for _, k := range []struct {
		symbol, meaning string
		x               float64
	}{{"K_v", "dynamic factor", r.Kv}, {"K_m", "load distribution", r.Km}, {"K_R", "reliability", r.Kr}, {"I", "contact geometry factor", r.I}} {
		c.Let(k.symbol, k.x, "")
		c.Note(k.symbol, k.meaning, "", c.Print(k.x, ""))
	}
	c.Let("C_p", 2300*2300*6894.757293168361, "MPa")
	for i, g := range []string{"1", "2"} {
		c.Let("K_s", r.Ks[i], "")
		c.Let("S_t", float64(b.Bending[i]), "MPa")
		c.Let("S_c", float64(b.Contact[i]), "MPa")
		c.Let("Y_N", r.Yn[i], "")
		c.Let("Z_N", r.Zn[i], "")
		c.Show("bending-"+g, "W · K_o · K_v · K_s / (b · m) · cos β · K_m / J_"+g, float64(r.Bending[i]))
		c.Show("contact-"+g, "√(C_p · W · K_o · K_v · K_s · K_m / (d · b · I))", float64(r.Contact[i]))
		c.Show("safe-bending-"+g, "S_t · Y_N / (K_R · σ_"+g+")", r.SafetyBending[i])
		ch := r.SafetyContact[i] * float64(r.Contact[i]/b.Contact[i]) / r.Zn[i] * r.Kr
		c.Let("C_H", ch, "")
		c.Show("safe-contact-"+g, "S_c · Z_N · C_H / (K_R · σ_c"+g+")", r.SafetyContact[i])
	}
	if m := min(r.SafetyBending[0], r.SafetyBending[1], r.SafetyContact[0], r.SafetyContact[1]); m < 1 {
		c.Warn("torque: the least safety is %s; the teeth are beyond what the book allows", c.Print(m, ""))
	}
	return nil
}

var bevelStrength = &Sum{
	Name: "bevel-strength", Title: "Strength of a straight bevel pair, textbook form (AGMA)", Group: Strength,
	Purpose: "Stress and safety of a straight bevel pair at 90° by the AGMA method as a textbook prints it, with the geometry factors read from its figures. A hypoid set is outside: compare its duty with that it was made for.",
	Inputs: append([]Input{
		whole("pinion-teeth", "z1", 6, 200, "teeth of the pinion"),
		whole("wheel-teeth", "z2", 6, 400, "teeth of the wheel"),
		ask("module", "m", unit.KindLength, "mm", 0.5, 30, "module at the outer end, in the plane of rotation"),
		mm("face", "b", 1, 300, "width of face"),
		ask("torque", "T", unit.KindTorque, "N·m", 0.1, 1e5, "torque on the pinion"),
		ask("speed", "n", unit.KindRotation, "rpm", 0, 30000, "speed of the pinion"),
		ask("i", "I", unit.Number, "", 0.02, 0.3, "contact geometry factor, from the book's figure"),
		ask("j-1", "J_1", unit.Number, "", 0.1, 0.6, "bending geometry factor of the pinion, from the book's figure"),
		ask("j-2", "J_2", unit.Number, "", 0.1, 0.6, "bending geometry factor of the wheel"),
		choice("mounting", "how pinion and wheel are held", string(bevel.BothStraddled), string(bevel.OneStraddled), string(bevel.NeitherStraddle)),
		choice("crowned", "whether the teeth are crowned, so that the pattern stays off their ends", "crowned", "not crowned"),
		ask("quality", "Q_v", unit.Number, "", 5, 11, "AGMA quality number").or("7"),
		ask("overload", "K_o", unit.Number, "", 1, 3, "overload factor").or("1.25"),
		ask("cycles", "N", unit.Number, "", 1e3, 1e10, "load cycles of the pinion").or("1e8"),
		ask("reliability", "R", unit.Number, "", 0.9, 0.999, "share that is to survive").or("0.99"),
		ask("oil", "θ", unit.KindTemperature, "°C", -40, 200, "temperature of the oil").or("90 °C"),
	}, asksTextbookSteel()...),
	Outputs: []Output{
		gives("tangential", "W", unit.KindForce, "N", 0, "force along the outer pitch circle"),
		gives("velocity", "V", unit.KindSpeed, "m/s", 2, "speed of the outer pitch circle"),
		gives("bending-1", "s_1", unit.KindPressure, "MPa", 1, "bending stress of the pinion"),
		gives("bending-2", "s_2", unit.KindPressure, "MPa", 1, "bending stress of the wheel"),
		gives("contact", "s_c", unit.KindPressure, "MPa", 0, "contact stress"),
		gives("safe-bending-1", "S_F1", unit.Number, "", 2, "safety against bending, pinion"),
		gives("safe-bending-2", "S_F2", unit.Number, "", 2, "safety against bending, wheel"),
		gives("safe-contact-1", "S_H1", unit.Number, "", 2, "safety of stress against pitting, pinion"),
		gives("safe-contact-2", "S_H2", unit.Number, "", 2, "safety of stress against pitting, wheel"),
	},
	Assumptions: append([]string{"Straight teeth of 20° at a shaft angle of 90°, steel on steel, set to its pattern. Spiral teeth only with figures of their own for I and J."}, bearsNothingOf...),
	Sources:     []string{"BN15"},
	Example: map[string]string{"pinion-teeth": "20", "wheel-teeth": "60", "module": "3.175 mm", "face": "1.25 in", "torque": "54.2 N·m", "speed": "900 rpm",
		"i": "0.0825", "j-1": "0.248", "j-2": "0.202", "mounting": "both overhung", "crowned": "crowned", "quality": "6", "overload": "1", "cycles": "1e9",
		"reliability": "0.995", "oil": "300 °F", "steel": "case-hardened, grade 1"},
	Caution: ratingCaution,
	Do:      doBevelStrength,
}

func doBevelStrength(c *Call) error {
	b := bevel.Textbook{Teeth: [2]int{c.Int("pinion-teeth"), c.Int("wheel-teeth")}, Module: c.Length("module"), Face: c.Length("face"),
		Torque: unit.Torque(c.F("torque")), Speed: c.F("speed"), Overload: c.F("overload"), Quality: c.F("quality"),
		Mounting: bevel.Mounting(c.Choice("mounting")), Crowned: c.Choice("crowned") == "crowned", I: c.F("i"), J: [2]float64{c.F("j-1"), c.F("j-2")},
		Cycles: c.F("cycles"), Hot: unit.Temperature(c.F("oil")), Unfailing: c.F("reliability")}
	var err error
	if b.Bending, b.Contact, _, err = allowed(c, bevel.ThroughHardened1, bevel.CaseHardened1Bending, bevel.CaseHardened1Contact); err != nil {
		return err
	}
	r, err := b.Rating()
	if err != nil {
		return c.Bad("pinion-teeth", err)
	}
	c.Line("d", "outer pitch diameter of the pinion", "m · z1", float64(b.Module)*float64(b.Teeth[0]), "mm")
	c.Show("tangential", "2 · T / d", float64(r.Tangential))
	c.Show("velocity", "π · n · d", r.Velocity)
	for _, k := range []struct {
		symbol, meaning string
		x               float64
	}{{"K_v", "dynamic factor", r.Kv}, {"K_s", "size", r.Ks}, {"K_m", "load distribution", r.Km}, {"C_s", "size, contact", r.Cs}, {"C_xc", "crowning", r.Cxc},
		{"K_T", "temperature", r.Kt}, {"K_R", "reliability", r.Kr}} {
		c.Let(k.symbol, k.x, "")
		c.Note(k.symbol, k.meaning, "", c.Print(k.x, ""))
	}
	c.Let("C_p", 2290*2290*6894.757293168361, "MPa")
	for i, g := range []string{"1", "2"} {
		c.Show("bending-"+g, "W / (b · m) · K_o · K_v · K_s · K_m / J_"+g, float64(r.Bending[i]))
	}
	c.Show("contact", "√(C_p · W / (b · d · I) · K_o · K_v · K_m · C_s · C_xc)", float64(r.Contact))
	for i, g := range []string{"1", "2"} {
		c.Let("s_at", float64(b.Bending[i]), "MPa")
		c.Let("s_ac", float64(b.Contact[i]), "MPa")
		c.Let("K_L", r.Kl[i], "")
		c.Let("C_L", r.Cl[i], "")
		c.Show("safe-bending-"+g, "s_at · K_L / (K_T · K_R · s_"+g+")", r.SafetyBending[i])
		c.Show("safe-contact-"+g, "s_ac · C_L / (K_T · √K_R · s_c)", r.SafetyContact[i])
	}
	if m := min(r.SafetyBending[0], r.SafetyBending[1], r.SafetyContact[0], r.SafetyContact[1]); m < 1 {
		c.Warn("torque: the least safety is %s; the teeth are beyond what the book allows", c.Print(m, ""))
	}
	return nil
}

var bevelCompare = &Sum{
	Name: "bevel-compare", Title: "Crown wheel and pinion: a new duty against the old", Group: Strength,
	Purpose: "More power, a heavier train, other gears in front: how much more the new duty takes out of the same crown wheel and pinion than the duty they lived with. Good for spiral and hypoid sets, which no free method rates.",
	Inputs: []Input{
		ask("old-torques", "T_o", unit.KindTorque, "N·m", 0, 1e6, "torques of the old duty, all on the same shaft").many(),
		ask("old-turns", "n_o", unit.Number, "", 0, 1e12, "turns under each of them").many(),
		ask("new-torques", "T_n", unit.KindTorque, "N·m", 0, 1e6, "torques of the new duty, on that shaft too").many(),
		ask("new-turns", "n_n", unit.Number, "", 0, 1e12, "turns under each of them, for the same length of service").many(),
	},
	Outputs: []Output{
		gives("peak", "q", unit.Number, "", 2, "largest torque over the largest of the old duty"),
		gives("root", "U_F", unit.Number, "", 2, "wear of the roots over that of the old duty"),
		gives("flank", "U_H", unit.Number, "", 2, "wear of the flanks over that of the old duty"),
		says("verdict", "the new duty"),
	},
	Assumptions: []string{"The same set in the same setting with the same oil; what the old duty has used up already is gone.",
		"Wear of a turn goes by torque to the power of 8.4 at the root and 8.3 at the flank, the slopes of the life factors of [BN15]. It says nothing of what the set could bear in the first place."},
	Sources: []string{"BN15", Practice},
	Example: map[string]string{"old-torques": "400, 250 N·m", "old-turns": "1e6, 9e6", "new-torques": "460, 280 N·m", "new-turns": "1e6, 9e6"},
	Caution: ratingCaution,
	Do:      doBevelCompare,
}

// turnsOf reads one duty of bevelCompare.
func turnsOf(c *Call, which string) ([]bevel.Step, error) {
	torques, turns := c.List(which+"-torques"), c.List(which+"-turns")
	if len(torques) != len(turns) || len(torques) > maxSteps {
		return nil, c.Badf(which+"-turns", "expected one count for each torque, at most %d, got %d for %d", maxSteps, len(turns), len(torques))
	}
	steps := make([]bevel.Step, len(torques))
	for i := range steps {
		steps[i] = bevel.Step{Torque: unit.Torque(torques[i]), Turns: turns[i]}
	}
	return steps, nil
}

func doBevelCompare(c *Call) error {
	old, err := turnsOf(c, "old")
	if err != nil {
		return err
	}
	new, err := turnsOf(c, "new")
	if err != nil {
		return err
	}
	r, err := bevel.Compare(old, new)
	if err != nil {
		return c.Bad("new-torques", err)
	}
	top := 0.0
	for _, s := range old {
		top = max(top, float64(s.Torque))
	}
	for _, d := range []struct {
		name  string
		steps []bevel.Step
	}{{"old", old}, {"new", new}} {
		for i, s := range d.steps {
			if !c.quiet {
				c.Note("", d.name+" step "+strconv.Itoa(i+1), "turns · (torque / largest old torque)^8.4",
					fmt.Sprintf("%.4g", s.Turns*math.Pow(float64(s.Torque)/top, bevel.RootSlope)))
			}
		}
	}
	c.Out("peak", r.Peak)
	c.Out("root", r.Root)
	c.Out("flank", r.Flank)
	switch worst := max(r.Root, r.Flank); {
	case r.Peak > 1+1e-9:
		c.Say("verdict", "asks for a torque that the set has not borne before")
		c.Warn("new-torques: the peak is above all that the old duty asked for; nothing here shows that the set bears it")
	case worst > 1.05:
		c.Say("verdict", "wears faster")
	case worst < 0.95:
		c.Say("verdict", "wears slower")
	default:
		c.Say("verdict", "wears about as fast")
	}
	return nil
}

var bevelSets = &Sum{
	Name: "bevel-sets", Title: "Crown wheel and pinion: another set against the old", Group: Strength,
	Purpose: "Another ratio in the same case: how the stress of its teeth compares under the same torque on the crown wheel, with teeth of one make.",
	Inputs: []Input{
		whole("old-pinion", "z1_o", 5, 100, "teeth of the old pinion"),
		whole("old-wheel", "z2_o", 5, 400, "teeth of the old crown wheel"),
		ask("old-module", "m_o", unit.KindLength, "mm", 0.5, 30, "its outer module: outer diameter of the wheel's pitch circle over its teeth"),
		mm("old-face", "b_o", 1, 300, "its width of face"),
		whole("new-pinion", "z1_n", 5, 100, "teeth of the new pinion"),
		whole("new-wheel", "z2_n", 5, 400, "teeth of the new crown wheel"),
		ask("new-module", "m_n", unit.KindLength, "mm", 0.5, 30, "its outer module"),
		mm("new-face", "b_n", 1, 300, "its width of face"),
	},
	Outputs: []Output{
		gives("root", "q_F", unit.Number, "", 3, "stress of the roots over that of the old set"),
		gives("flank", "q_H", unit.Number, "", 3, "stress of the flanks over that of the old set"),
		gives("torque-root", "q_T", unit.Number, "", 3, "torque on the wheel that the new roots bear over the old"),
		gives("torque-flank", "q_P", unit.Number, "", 3, "torque on the wheel that the new flanks bear over the old"),
	},
	Assumptions: []string{"Both sets of one make, steel, spiral angle, offset and finish, and the same torque on the crown wheel.", "A comparison only: the shape of the teeth is taken as alike."},
	Sources:     []string{Practice},
	Example: map[string]string{"old-pinion": "8", "old-wheel": "37", "old-module": "4.75 mm", "old-face": "28 mm",
		"new-pinion": "9", "new-wheel": "35", "new-module": "5.02 mm", "new-face": "28 mm"},
	Caution: ratingCaution,
	Do:      doBevelSets,
}

func doBevelSets(c *Call) error {
	size := func(which string) bevel.Size {
		return bevel.Size{PinionTeeth: c.Int(which + "-pinion"), WheelTeeth: c.Int(which + "-wheel"), Module: c.Length(which + "-module"), Face: c.Length(which + "-face")}
	}
	old, new := size("old"), size("new")
	root, flank, err := bevel.Relative(new, old)
	if err != nil {
		return c.Bad("new-pinion", err)
	}
	for _, s := range []struct {
		tag  string
		size bevel.Size
	}{{"_o", old}, {"_n", new}} {
		c.Line("u"+s.tag, "ratio", "z2"+s.tag+" / z1"+s.tag, float64(s.size.WheelTeeth)/float64(s.size.PinionTeeth), "")
		c.Line("d"+s.tag, "outer pitch diameter of the pinion", "m"+s.tag+" · z1"+s.tag, float64(s.size.Module)*float64(s.size.PinionTeeth), "mm")
	}
	c.Show("root", "u_o · d_o · b_o · m_o / (u_n · d_n · b_n · m_n)", root)
	c.Show("flank", "√(√(u_n² + 1) · (u_o · d_o)² · b_o / (√(u_o² + 1) · (u_n · d_n)² · b_n))", flank)
	c.Show("torque-root", "1 / q_F", 1/root)
	c.Show("torque-flank", "1 / (q_H · q_H)", 1/(flank*flank))
	return nil
}
