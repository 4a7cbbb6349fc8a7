package catalog

import (
	"fmt"
	"math"
	"strconv"

	tooth "endfloat/calc/gear/rating"
	"endfloat/calc/unit"
)

func init() {
	register(gearStrength, gearLife)
	checked[gearStrength.Name] = "Published: flank factors, stiffness, stress and safeties of [TR6336-30] example 1; tooth form of [YFATABLE]; handbook factors of [JGMA]. Limits and continuity for the rest; root stresses of the report were not found."
	checked[gearLife.Name] = "Identities: a damage of 1 is a safety of 1; twice the time is twice the damage. Life factors of [TR6336-30]."
}

func steelNames() []string {
	var names []string
	for _, m := range tooth.Materials() {
		names = append(names, m.Name)
	}
	return names
}

// setInputs describe a pair with all its strength depends on but the load.
func setInputs() []Input {
	return append(pairInputs(),
		mm("face", "b", 1, 500, "width of face in mesh"),
		choice("steel", "steel of the gears, or of the smaller one; MQ is usual quality, the lowest MQ where the core is not known", steelNames()...),
		optionalChoice("steel-2", "steel of the larger gear, if another", steelNames()...),
		ask("face-load", "K_Hβ", unit.Number, "", 1, 5, "how much more the worst place of the face bears than the mean; 1.1 to 1.5 in a stiff case").or("1.3"),
		ask("misalignment", "F_βx", unit.KindLength, "µm", 0.1, 500, "or how far the flanks stand out of line over the face before they run in; then face-load is worked out").optional(),
		whole("grade", "Q", 3, 8, "accuracy grade by ISO 1328").or("7"),
		ask("relief", "C_a", unit.KindLength, "µm", 0, 200, "tip relief; left out, none").optional(),
		ask("oil", "ν", unit.KindViscosity, "cSt", 10, 1500, "viscosity of the oil at 40 °C").or("100 cSt"),
		ask("rough-flank", "Rz", unit.KindLength, "µm", 0.5, 40, "roughness Rz of the flanks").or("4 µm"),
		ask("rough-root", "Rz_F", unit.KindLength, "µm", 0.5, 100, "roughness Rz of the roots").or("16 µm"),
		optionalChoice("idler", "a gear whose teeth are bent both ways, as those of a reverse idler", "the smaller", "the larger"),
		optionalChoice("pitting", "whether some pitting may show; none if left out", "none", "some"),
		optionalChoice("edition", "edition of ISO 6336; 2006 if left out", string(tooth.Edition2006), string(tooth.Edition2019)),
		optionalChoice("method", "B by stiffness and deviations, C by grade and with the load at the tip; B if left out", string(tooth.MethodB), string(tooth.MethodC)),
		ask("flank-safety", "S_Hmin", unit.Number, "", 0.7, 4, "safety of stress wanted at the flank").or("1.0"),
		ask("root-safety", "S_Fmin", unit.Number, "", 0.7, 5, "safety of stress wanted at the root").or("1.3"))
}

// setOf reads a set and works it out.
func setOf(c *Call, application float64) (tooth.Ready, error) {
	p := pairOf(c)
	b := c.Length("face")
	p.Gears[0].Face, p.Gears[1].Face = b, b
	s := tooth.Set{Pair: p, Edition: tooth.Edition2006, Method: tooth.MethodB, Application: application,
		FaceLoad: c.F("face-load"), Grade: c.Int("grade"), Relief: c.Length("relief"), Viscosity: c.F("oil"),
		RzFlank: c.Length("rough-flank"), RzRoot: c.Length("rough-root"), Pitting: c.Choice("pitting") == "some"}
	if c.Has("misalignment") {
		s.FaceLoad, s.Misalignment = 0, c.Length("misalignment")
	}
	if e := c.Choice("edition"); e != "" {
		s.Edition = tooth.Edition(e)
	}
	if m := c.Choice("method"); m != "" {
		s.Method = tooth.Method(m)
	}
	idler := c.Choice("idler")
	s.Alternates = [2]bool{idler == "the smaller", idler == "the larger"}
	for i, key := range []string{"steel", "steel-2"} {
		name := c.Choice(key)
		if name == "" {
			s.Materials[1] = s.Materials[0]
			continue
		}
		m, err := tooth.MaterialNamed(name)
		if err != nil {
			return tooth.Ready{}, c.Bad(key, err)
		}
		s.Materials[i] = m
		c.Assume("%s: σ_Hlim %s, σ_Flim %s: %s.", m.Name, c.Print(float64(m.SigmaHLim), "MPa"), c.Print(float64(m.SigmaFLim), "MPa"), m.Provenance)
	}
	r, err := s.Ready()
	if err != nil {
		key := "teeth-1"
		if c.Has("centres") {
			key = "centres"
		}
		return r, c.Bad(key, err)
	}
	c.Assume("%s Edition %s, method %s.", tooth.Basis, s.Edition, s.Method)
	return r, nil
}

// bearsNothingOf is what neither sum of strength looks at.
var bearsNothingOf = []string{
	"Not looked at: scuffing, micropitting, cracks below the case, thin rims, dog teeth and shafts.",
	"Sound, clean, oiled gears. Worn or pitted flanks, grinding burn or a thin case bear less than any figure here.",
}

const ratingCaution = "A gear that breaks can lock the gearbox. This compares and estimates; the maker's ratings and inspection by licensed practice decide what is fit to run."

var gearStrength = &Sum{
	Name: "gear-strength", Title: "Strength of a pair of gears, ISO 6336 form", Group: Strength,
	Purpose: "Stress and safety of flanks and roots of two cylindrical gears under a torque, for a number of turns, and the torque they would permit. Best to compare one set with another.",
	Inputs: append(setInputs(),
		ask("torque", "T", unit.KindTorque, "N·m", 0.1, 1e5, "torque on the smaller gear"),
		ask("speed", "n", unit.KindRotation, "rpm", 0, 30000, "speed of the smaller gear"),
		ask("turns", "N", unit.Number, "", 1e3, 1e12, "turns of the smaller gear in its life under this torque").or("5e7"),
		ask("application", "K_A", unit.Number, "", 0.8, 3, "how much more than the torque comes now and then: 1 for a smooth engine and measured torque, 1.25 and more with shocks").or("1.25")),
	Outputs: []Output{
		gives("tangential", "F_t", unit.KindForce, "N", 0, "force along the reference circle"),
		gives("dynamic", "K_v", unit.Number, "", 3, "dynamic factor"),
		gives("flank-stress", "σ_H", unit.KindPressure, "MPa", 0, "stress of the flank, the larger of both gears"),
		gives("flank-safety-1", "S_H1", unit.Number, "", 2, "safety of stress against pitting, smaller gear"),
		gives("flank-safety-2", "S_H2", unit.Number, "", 2, "safety of stress against pitting, larger gear"),
		gives("root-stress-1", "σ_F1", unit.KindPressure, "MPa", 0, "stress of the root, smaller gear"),
		gives("root-stress-2", "σ_F2", unit.KindPressure, "MPa", 0, "stress of the root, larger gear"),
		gives("root-safety-1", "S_F1", unit.Number, "", 2, "safety of stress against breaking, smaller gear"),
		gives("root-safety-2", "S_F2", unit.Number, "", 2, "safety of stress against breaking, larger gear"),
		gives("permits", "T_p", unit.KindTorque, "N·m", 0, "torque on the smaller gear with the safeties wanted"),
		says("sets", "what sets it"),
	},
	Assumptions: bearsNothingOf,
	Sources:     []string{"ISO6336", "TR6336-30", "YFATABLE", "ISO1328"},
	Example: map[string]string{"teeth-1": "20", "teeth-2": "39", "module": "2.25 mm", "helix": "22.80°", "centres": "72.05 mm", "face": "18 mm",
		"steel": "case-hardened MQ", "torque": "95 N·m", "speed": "1800 rpm"},
	Caution: ratingCaution,
	Do:      doGearStrength,
}

func doGearStrength(c *Call) error {
	r, err := setOf(c, c.F("application"))
	if err != nil {
		return err
	}
	T, n, turns := c.F("torque"), c.F("speed"), c.F("turns")
	safety, s, err := r.Safety(tooth.Load{Torque: unit.Torque(T), Speed: n}, turns)
	if err != nil {
		return c.Bad("torque", err)
	}
	lineFactors(c, &r, s)
	c.Show("tangential", "2 · T / d_1", float64(s.Tangential))
	c.Out("dynamic", s.Kv)
	flank, root := r.Strength(s, [2]float64{turns, turns / r.Mesh.Ratio})
	lineFlank(c, &r, s)
	c.Out("flank-stress", float64(max(s.Flank[0], s.Flank[1])))
	for i, g := range []string{"1", "2"} {
		c.Let("σ_H"+g, float64(s.Flank[i]), "MPa")
		c.Note("σ_HG"+g, "a flank of gear "+g+" bears for so many cycles", "", c.Print(float64(flank[i]), "MPa"))
		c.Let("σ_HG"+g, float64(flank[i]), "MPa")
		c.Show("flank-safety-"+g, "σ_HG"+g+" / σ_H"+g, safety.Flank[i])
	}
	form := r.Root.Form
	c.Line("σ_n", "stress of the roots by helix, contact ratio and load factors, but for their form", "F_t / (b · m) · Y_β · Y_ε · K_A · K_v · K_Fβ · K_Fα", float64(s.Root[0])/(form[0].YF*form[0].YS), "MPa")
	for i, g := range []string{"1", "2"} {
		c.Let("Y_F"+g, form[i].YF, "")
		c.Let("Y_S"+g, form[i].YS, "")
		c.Show("root-stress-"+g, "σ_n · Y_F"+g+" · Y_S"+g, float64(s.Root[i]))
	}
	for i, g := range []string{"1", "2"} {
		c.Note("σ_FG"+g, "a root of gear "+g+" bears for so many cycles", "", c.Print(float64(root[i]), "MPa"))
		c.Let("σ_FG"+g, float64(root[i]), "MPa")
		c.Show("root-safety-"+g, "σ_FG"+g+" / σ_F"+g, safety.Root[i])
	}
	permits, byRoot, err := r.Permissible(n, turns, c.F("flank-safety"), c.F("root-safety"))
	if err != nil {
		return c.Bad("torque", err)
	}
	c.Out("permits", float64(permits))
	if byRoot {
		c.Say("sets", "the root of a tooth")
	} else {
		c.Say("sets", "the flank")
	}
	warnStrength(c, s, safety, float64(permits), T)
	return nil
}

// lineFactors writes the load factors and what they rest on.
func lineFactors(c *Call, r *tooth.Ready, s tooth.Stress) {
	if c.quiet {
		return
	}
	c.Let("d_1", float64(r.Mesh.Gears[0].Reference), "mm")
	c.Note("d_1", "reference diameter of the smaller gear", "", c.Print(float64(r.Mesh.Gears[0].Reference), "mm"))
	c.Note("ε_α, ε_β", "transverse contact ratio and overlap", "", c.Print(r.Mesh.Contact, "")+", "+c.Print(r.Mesh.Overlap, ""))
	c.Note("c'", "stiffness of a pair of teeth", "", c.Print(r.Stiffness, "")+" N/(mm·µm)")
	c.Note("N", "speed over that of resonance", "", c.Print(s.SpeedRatio, ""))
	for _, k := range []struct {
		symbol, meaning string
		x               float64
	}{{"K_v", "dynamic factor", s.Kv}, {"K_Hβ", "face load factor of the flank", s.KHbeta}, {"K_Fβ", "of the root", s.KFbeta},
		{"K_Hα", "load sharing of the teeth, flank", s.KHal}, {"K_Fα", "root", s.KFal}} {
		c.Let(k.symbol, k.x, "")
		c.Note(k.symbol, k.meaning, "", c.Print(k.x, ""))
	}
	c.Let("Y_β", r.Root.Ybeta, "")
	c.Let("Y_ε", r.Root.Yeps, "")
	c.Let("Z_H", r.Flank.ZH, "")
	c.Let("Z_ε", r.Flank.Zeps, "")
	c.Let("Z_β", r.Flank.Zbeta, "")
	for i, g := range []string{"1", "2"} {
		f := r.Root.Form[i]
		c.Note("Y_F"+g+", Y_S"+g, "tooth form and stress correction of gear "+g, "", c.Print(f.YF, "")+", "+c.Print(f.YS, ""))
	}
}

// lineFlank writes the stress of the flank. E stands for Z_E² in MPa.
func lineFlank(c *Call, r *tooth.Ready, s tooth.Stress) {
	c.Let("u", r.Mesh.Ratio, "")
	c.Let("E_r", r.Flank.ZE*r.Flank.ZE*1e6, "MPa")
	c.Note("E_r", "elasticity of both steels, Z_E²", "", c.Print(r.Flank.ZE*r.Flank.ZE*1e6, "MPa"))
	c.Line("σ_H0", "stress of the flank by zone, contact ratio and helix, without load factors", "Z_H · Z_ε · Z_β · √(E_r · F_t · (u + 1) / (d_1 · b · u))", float64(s.FlankNominal), "MPa")
	c.Let("Z_B", float64(max(s.Flank[0], s.Flank[1])/s.FlankNominal)/math.Sqrt(r.Set.Application*s.Kv*s.KHbeta*s.KHal), "")
	c.Line("σ_H", "with them, and Z_B of single contact", "Z_B · σ_H0 · √(K_A · K_v · K_Hβ · K_Hα)", float64(max(s.Flank[0], s.Flank[1])), "MPa")
}

func warnStrength(c *Call, s tooth.Stress, safety tooth.Safety, permits, torque float64) {
	if s.NearResonance {
		c.Warn("speed: at %s of the resonance of the mesh the dynamic factor is a guess", c.Print(s.SpeedRatio, ""))
	}
	h, f := safety.Least()
	switch {
	case f < 1:
		c.Warn("torque: a root is beyond its strength; teeth may break")
	case h < 1:
		c.Warn("torque: a flank is beyond its strength; it may pit before that life")
	case torque > permits:
		c.Warn("torque: it is above the %s that the safeties wanted permit", c.Print(permits, "N·m"))
	}
}

// maxSteps is more than any duty needs.
const maxSteps = 100

var gearLife = &Sum{
	Name: "gear-life", Title: "Life of a pair of gears under a duty", Group: Strength,
	Purpose: "A duty of several torques, each with its speed and time: how much of the lives of flanks and roots it uses up, after Miner, and how often it can be run.",
	Inputs: append(setInputs(),
		ask("torques", "T", unit.KindTorque, "N·m", 0, 1e5, "torque of each step, on the smaller gear").many(),
		ask("speeds", "n", unit.KindRotation, "rpm", 0, 30000, "speed of the smaller gear in each step; one value serves all").many(),
		ask("times", "t", unit.KindTime, "h", 0, 1e6, "time of each step; one value serves all").many()),
	Outputs: []Output{
		gives("time", "t_all", unit.KindTime, "h", 1, "time of the duty"),
		gives("flank-1", "U_H1", unit.Number, "%", 3, "life used at the flanks of the smaller gear"),
		gives("flank-2", "U_H2", unit.Number, "%", 3, "life used at the flanks of the larger gear"),
		gives("root-1", "U_F1", unit.Number, "%", 3, "life used at the roots of the smaller gear"),
		gives("root-2", "U_F2", unit.Number, "%", 3, "life used at the roots of the larger gear"),
		gives("repeats", "R", unit.Number, "", 1, "times the duty can be run"),
		gives("life", "L", unit.KindTime, "h", 0, "life"),
		gives("equal-flank", "T_H", unit.KindTorque, "N·m", 1, "torque that wears the flanks alike all the time"),
		gives("equal-root", "T_F", unit.KindTorque, "N·m", 1, "torque that tires the roots alike all the time"),
		says("first", "first to go"),
	},
	Assumptions: append([]string{"The steps are the load: no application factor on top. The order of the steps does not count.",
		"Equal torques hold as long as all steps wear by the slope of finite life."}, bearsNothingOf...),
	Sources: []string{"ISO6336", "TR6336-30"},
	Example: map[string]string{"teeth-1": "20", "teeth-2": "39", "module": "2.25 mm", "helix": "22.80°", "centres": "72.05 mm", "face": "18 mm",
		"steel": "case-hardened MQ", "torques": "170, 130, 95 N·m", "speeds": "1800, 1600, 1500 rpm", "times": "4, 40, 200 h"},
	Caution: ratingCaution,
	Do:      doGearLife,
}

// stepsOf reads a duty from three lists.
func stepsOf(c *Call) ([]tooth.Step, error) {
	torques, speeds, times := c.List("torques"), c.List("speeds"), c.List("times")
	if len(torques) > maxSteps {
		return nil, c.Badf("torques", "expected at most %d steps, got %d", maxSteps, len(torques))
	}
	at := func(key string, list []float64, i int) (float64, error) {
		switch len(list) {
		case 1:
			return list[0], nil
		case len(torques):
			return list[i], nil
		}
		return 0, c.Badf(key, "expected one value, or %d as there are torques, got %d", len(torques), len(list))
	}
	steps := make([]tooth.Step, len(torques))
	for i, t := range torques {
		n, err := at("speeds", speeds, i)
		if err != nil {
			return nil, err
		}
		time, err := at("times", times, i)
		if err != nil {
			return nil, err
		}
		steps[i] = tooth.Step{Load: tooth.Load{Torque: unit.Torque(t), Speed: n}, Time: time}
	}
	return steps, nil
}

func doGearLife(c *Call) error {
	r, err := setOf(c, 1)
	if err != nil {
		return err
	}
	duty, err := stepsOf(c)
	if err != nil {
		return err
	}
	d, err := r.Damage(duty, c.F("flank-safety"), c.F("root-safety"))
	if err != nil {
		return c.Bad("torques", err)
	}
	worst, repeats := d.Worst()
	if math.IsInf(worst, 1) {
		return c.Badf("torques", "the largest of them is above what the teeth bear at all, with the safeties wanted")
	}
	time := 0.0
	near := false
	for i, s := range duty {
		time += s.Time
		st, err := r.At(s.Load)
		if err != nil {
			return c.Bad("torques", err)
		}
		near = near || st.NearResonance
		c.Note("", "step "+strconv.Itoa(i+1), "stress of the flank, and of both roots", fmt.Sprintf("%s, %s, %s", c.Print(float64(st.Flank[0]), "MPa"), c.Print(float64(st.Root[0]), "MPa"), c.Print(float64(st.Root[1]), "MPa")))
	}
	c.Out("time", time)
	c.Out("flank-1", d.Flank[0])
	c.Out("flank-2", d.Flank[1])
	c.Out("root-1", d.Root[0])
	c.Out("root-2", d.Root[1])
	c.Let("t_all", time, "h")
	c.Let("U", worst, "")
	// Judged once: a stepped run must give the same list of results.
	if ends := Decide(c, func() bool { return worst > 1e-9 }); ends {
		worst = max(worst, 1e-12)
		c.Note("U", "the largest of the four", "", c.Print(worst, ""))
		c.Show("repeats", "1 / U", min(repeats, 1e12))
		c.Show("life", "t_all / U", time/worst)
	}
	if err := outEquivalent(c, &r, duty); err != nil {
		return err
	}
	sayFirst(c, d, worst)
	if near {
		c.Warn("speeds: a step runs near the resonance of the mesh; the dynamic factor is a guess there")
	}
	return nil
}

func outEquivalent(c *Call, r *tooth.Ready, duty []tooth.Step) error {
	m := r.Set.Materials[0]
	for _, e := range []struct {
		key string
		p   float64
	}{{"equal-flank", tooth.FlankLife(m.Heat, r.Set.Pitting).Slope() / 2}, {"equal-root", tooth.RootLife(m.Heat).Slope()}} {
		t, err := tooth.Equivalent(duty, e.p)
		if err != nil {
			return c.Bad("times", err)
		}
		c.Out(e.key, float64(t))
		c.Note("p", "slope of torque for "+e.key, "", c.Print(e.p, ""))
	}
	return nil
}

func sayFirst(c *Call, d tooth.Damage, worst float64) {
	switch {
	case worst <= 1e-9:
		c.Say("first", "nothing: every step is below the long life")
	case d.Root[0] == worst:
		c.Say("first", "the roots of the smaller gear")
	case d.Root[1] == worst:
		c.Say("first", "the roots of the larger gear")
	case d.Flank[0] >= d.Flank[1]:
		c.Say("first", "the flanks of the smaller gear")
	default:
		c.Say("first", "the flanks of the larger gear")
	}
	if worst >= 1 {
		c.Warn("times: the duty uses up more than the whole life")
	}
}
