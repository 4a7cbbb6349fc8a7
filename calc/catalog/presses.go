package catalog

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"endfloat/calc/press"
	"endfloat/calc/unit"
)

func init() { register(pressFit, heatToFit, gripHot, bearingClearance) }

// materials are read once; a sum is asked many times.
var (
	materials = sync.OnceValue(press.Materials)
	frictions = sync.OnceValue(press.Frictions)
	ceilings  = sync.OnceValue(press.Ceilings)
)

func materialNames() []string {
	var list []string
	for _, m := range materials() {
		list = append(list, m.Name)
	}
	return list
}

// material returns the metal that was chosen and notes what is taken of it.
func material(c *Call, key string) press.Material {
	name := c.Choice(key)
	list := materials()
	return list[slices.IndexFunc(list, func(m press.Material) bool { return m.Name == name })]
}

// elastic makes the constants of a metal known to the working.
func elastic(c *Call, id string, m press.Material) {
	c.Let("E_"+id, float64(m.E), "MPa")
	c.Let("ν_"+id, m.Nu, "")
	if !c.quiet {
		c.Note(m.Name, "E_"+id+" and ν_"+id+", typical", "", fmt.Sprintf("%.4g GPa, %.3g", float64(m.E/unit.Gigapascal), m.Nu))
	}
}

// jointInputs are a shaft in a hub.
func jointInputs() []Input {
	return []Input{
		mm("seat", "d", 1, 1000, "diameter at the joint"),
		mm("bore", "d_i", 0, 990, "bore of the shaft").or("0 mm"),
		mm("rim", "D_o", 1, 3000, "outside diameter of the hub; of a case, that of the wall round the seat"),
		choice("shaft", "metal of the inner part", materialNames()...),
		choice("hub", "metal of the outer part", materialNames()...),
	}
}

func jointOf(c *Call) press.Joint {
	j := press.Joint{Seat: c.Length("seat"), Bore: c.Length("bore"), Rim: c.Length("rim")}
	j.Shaft, j.Hub = material(c, "shaft"), material(c, "hub")
	return j
}

// names are the symbols of a joint in a sum.
type names struct{ interference, seat, bore, rim string }

// pressureOf works a contact pressure out and returns the formula of its last step.
func pressureOf(c *Call, j press.Joint, δ unit.Length, n names) (p unit.Pressure, formula string, err error) {
	if p, err = j.Pressure(δ); err != nil || c.quiet {
		return p, "", err
	}
	elastic(c, "h", j.Hub)
	elastic(c, "s", j.Shaft)
	give := func(m press.Material, in, out unit.Length, sign float64) float64 {
		q := float64(in/out) * float64(in/out)
		return ((1+q)/(1-q) + sign*m.Nu) / float64(m.E) * 1e9
	}
	// For 1 GPa, so that the numbers can be read.
	c.Let("GPa", 1e9, "MPa")
	square := strings.NewReplacer("d_i", n.bore, "D_o", n.rim, "d", n.seat)
	c.Line("C_h", "give of the outer part, for 1 GPa", square.Replace("((D_o² + d²) / (D_o² − d²) + ν_h) / E_h · GPa"), give(j.Hub, j.Seat, j.Rim, 1), "", "BN9")
	c.Line("C_s", "give of the inner part, for 1 GPa", square.Replace("((d² + d_i²) / (d² − d_i²) − ν_s) / E_s · GPa"), give(j.Shaft, j.Bore, j.Seat, -1), "", "BN9")
	return p, n.interference + " / (" + n.seat + " · (C_h + C_s)) · GPa", nil
}

// showPressure gives the contact pressure of a joint with its working.
func showPressure(c *Call, key string, j press.Joint, δ unit.Length, symbol string) (unit.Pressure, error) {
	p, formula, err := pressureOf(c, j, δ, names{symbol, "d", "d_i", "D_o"})
	if err != nil {
		return 0, c.Bad("rim", err)
	}
	c.Show(key, formula, float64(p), "BN9")
	return p, nil
}

func frictionNames() []string {
	var list []string
	for _, f := range frictions() {
		list = append(list, f.Name)
	}
	return list
}

var pressFit = &Sum{
	Name: "press", Title: "Press fit: pressure, stresses, force and hold", Group: Fits, Picture: "press",
	Purpose: "What an interference does: the pressure at the joint, the stresses in both parts, the force to press them together and what the joint then holds.",
	Inputs: append(jointInputs(),
		ask("interference", "δ", unit.KindLength, "µm", 0, 3000, "interference on diameter, shaft less bore"),
		mm("length", "l", 0.5, 1000, "length of the contact"),
		choice("friction", "how the parts meet", frictionNames()...),
		ask("roughness-hub", "Rz_h", unit.KindLength, "µm", 0, 100, "roughness Rz of the bore, to count what is pressed flat").or("0 µm"),
		ask("roughness-shaft", "Rz_s", unit.KindLength, "µm", 0, 100, "roughness Rz of the shaft").or("0 µm")),
	Outputs: []Output{
		gives("effective", "U", unit.KindLength, "µm", 1, "interference that counts"),
		gives("pressure", "p", unit.KindPressure, "MPa", 1, "pressure at the joint"),
		gives("hub-seat", "σ_1", unit.KindPressure, "MPa", 1, "hoop stress of the hub at the joint"),
		gives("hub-rim", "σ_2", unit.KindPressure, "MPa", 1, "hoop stress of the hub outside"),
		gives("shaft-seat", "σ_3", unit.KindPressure, "MPa", 1, "hoop stress of the shaft at the joint"),
		gives("shaft-bore", "σ_4", unit.KindPressure, "MPa", 1, "hoop stress of the shaft at its bore"),
		gives("force-least", "F_1", unit.KindForce, "kN", 2, "force to press, least"),
		gives("force-most", "F_2", unit.KindForce, "kN", 2, "force to press, most"),
		gives("holds", "T", unit.KindTorque, "N·m", 1, "torque held, with the least friction"),
		gives("safety-hub", "S_h", unit.Number, "", 2, "yield of the hub over its stress"),
		gives("safety-shaft", "S_s", unit.Number, "", 2, "yield of the shaft over its stress"),
	},
	Assumptions: []string{"Both parts are round, equally long and stay elastic; the peak at the edge of the hub is left out.",
		"Constants of the metals are typical."},
	Sources: []string{"BN9", "NTN", "WHZ13"},
	Example: map[string]string{"seat": "40 mm", "rim": "80 mm", "shaft": "steel", "hub": "steel", "interference": "18 µm", "length": "30 mm",
		"friction": "bearing ring pressed on, oiled"},
	Caution: pressing,
	Do:      doPressFit,
}

func doPressFit(c *Call) error {
	j := jointOf(c)
	δ := c.Length("interference")
	j.Length = c.Length("length")
	g, err := press.Smoothing(press.Flattening, c.Length("roughness-hub"), c.Length("roughness-shaft"))
	if err != nil {
		return c.Bad("roughness-hub", err)
	}
	effective := δ - g
	c.Show("effective", "δ − 0.8 · (Rz_h + Rz_s)", float64(effective), "WHZ13")
	if effective < 0 {
		return c.Badf("interference", "the roughness of both faces takes more than there is")
	}
	p, err := showPressure(c, "pressure", j, effective, "U")
	if err != nil {
		return err
	}
	s, err := j.Stresses(p)
	if err != nil {
		return c.Bad("rim", err)
	}
	c.Show("hub-seat", "p · (D_o² + d²) / (D_o² − d²)", float64(s.HubSeat.Hoop))
	c.Show("hub-rim", "2 · p · d² / (D_o² − d²)", float64(s.HubRim.Hoop))
	c.Show("shaft-seat", "−p · (d² + d_i²) / (d² − d_i²)", float64(s.ShaftSeat.Hoop))
	if j.Bore > 0 {
		c.Show("shaft-bore", "−2 · p · d² / (d² − d_i²)", float64(s.ShaftBore.Hoop))
	}
	if err := showHold(c, j, p); err != nil {
		return err
	}
	return showYield(c, j, p)
}

func showHold(c *Call, j press.Joint, p unit.Pressure) error {
	name := c.Choice("friction")
	f := frictions()[slices.IndexFunc(frictions(), func(f press.Friction) bool { return f.Name == name })]
	lo, hi, err := j.PressForce(p, f)
	if err != nil {
		return c.Bad("length", err)
	}
	hold, err := j.HoldTorque(p, f.Low)
	if err != nil {
		return c.Bad("length", err)
	}
	c.Let("μ_1", f.Low, "")
	c.Let("μ_2", f.High, "")
	c.Show("force-least", "μ_1 · π · d · l · p", float64(lo))
	c.Show("force-most", "μ_2 · π · d · l · p", float64(hi))
	c.Show("holds", "F_1 · d / 2", float64(hold))
	c.Assume("Friction %g to %g. If the gauge shows far more than %s something is askew: stop.", f.Low, f.High, c.Print(float64(hi), "kN"))
	return nil
}

// showYield compares with yield where it is known.
func showYield(c *Call, j press.Joint, p unit.Pressure) error {
	for _, m := range []struct {
		key   string
		metal press.Material
		limit func(float64) (unit.Pressure, error)
	}{{"safety-hub", j.Hub, j.HubLimit}, {"safety-shaft", j.Shaft, j.ShaftLimit}} {
		if !(m.metal.Yield > 0) || p == 0 {
			continue
		}
		most, err := m.limit(1)
		if err != nil {
			return c.Bad("rim", err)
		}
		symbol := "p_" + m.key[7:8]
		c.Let("p_h", float64(most), "MPa")
		if symbol == "p_s" {
			c.Let("p_s", float64(most), "MPa")
		}
		s := float64(most / p)
		c.Show(m.key, symbol+" / p", s, "WHZ13")
		if s < 1.2 {
			c.Warn("%s is near the yield of %s", m.key[7:], m.metal.Name)
		}
	}
	return nil
}

func ceilingNames() []string {
	var list []string
	for _, l := range ceilings() {
		list = append(list, l.Part)
	}
	return list
}

const heating = "Hot and cold parts burn: wear dry gloves made for it. Never heat magnesium or bearings with a flame; keep chips and solvents of magnesium away from heat. " +
	"Liquid gases and dry ice drive out air. The maker's manual rules the temperature."

var heatToFit = &Sum{
	Name: "heat-to-fit", Title: "Heat or cold to slip parts together", Group: Fits, Picture: "heat",
	Purpose: "How hot the outer part, or how cold the inner one, must be so that they slip together, what the oven must show so that it still fits at the seat, and how many seconds there are.",
	Inputs: append(jointInputs(),
		ask("interference", "δ", unit.KindLength, "µm", 1, 3000, "interference on diameter in the workshop"),
		ask("slip", "s", unit.KindLength, "µm", 0, 1000, "clearance wanted as they meet; a thousandth of the diameter, for bearings 10 to 25 µm"),
		mm("length", "l", 0.5, 1000, "length of the seat"),
		ask("room", "T_r", unit.KindTemperature, "°C", -30, 50, "temperature of the workshop").or("20 °C"),
		ask("shaft-at", "T_s", unit.KindTemperature, "°C", -196, 150, "temperature of the inner part as it leaves the freezer; left out, that of the workshop").optional(),
		choice("part", "what is heated, for its ceiling", ceilingNames()...),
		ask("ceiling", "T_max", unit.KindTemperature, "°C", 30, 400, "ceiling of that part from its maker; left out, a usual one is taken").optional(),
		ask("carry", "t_c", unit.KindTime, "s", 0, 600, "seconds from the oven to the seat").or("10 s")),
	Outputs: []Output{
		gives("meet", "T_m", unit.KindTemperature, "°C", 0, "the outer part must be, as they meet"),
		gives("oven", "T_o", unit.KindTemperature, "°C", 0, "the oven must show"),
		gives("room-left", "left", unit.KindTempRise, "K", 0, "below the ceiling by"),
		gives("slip-at-ceiling", "s_max", unit.KindLength, "µm", 0, "slip with the oven at the ceiling"),
		gives("in-air", "t_1", unit.KindTime, "s", 0, "seconds in air until it no longer goes on"),
		gives("on-seat", "t_2", unit.KindTime, "s", 1, "seconds on the seat until it grips"),
		gives("freezer", "T_f", unit.KindTemperature, "°C", 0, "or, with the oven at the ceiling, the inner part at"),
		says("way", "so"),
	},
	Assumptions: []string{press.Lumped},
	Sources:     []string{"WHZ13", "BK03", Practice},
	Example: map[string]string{"seat": "50 mm", "rim": "62 mm", "shaft": "steel", "hub": "bearing steel", "interference": "33 µm", "slip": "20 µm",
		"length": "18 mm", "part": "open bearing"},
	Caution: heating,
	Do:      doHeatToFit,
}

func assemblyOf(c *Call) press.Assembly {
	j := jointOf(c)
	j.Length = c.Length("length")
	a := press.Assembly{Joint: j, Interference: c.Length("interference"), Slip: c.Length("slip"), Room: unit.Temperature(c.F("room")),
		Carry: c.F("carry"), Air: press.StillAir, Contact: press.Touching}
	a.Inner = a.Room
	if c.Has("shaft-at") {
		a.Inner = unit.Temperature(c.F("shaft-at"))
	}
	part := c.Choice("part")
	l := ceilings()[slices.IndexFunc(ceilings(), func(l press.Ceiling) bool { return l.Part == part })]
	a.Ceiling = l.Limit
	if c.Has("ceiling") {
		a.Ceiling = unit.Temperature(c.F("ceiling"))
	} else {
		c.Assume("Ceiling %g °C: %s.", float64(l.Limit), l.Source)
	}
	return a
}

func doHeatToFit(c *Call) error {
	a := assemblyOf(c)
	if a.Room >= a.Ceiling {
		return c.Badf("ceiling", "it is not above the workshop's %s", c.Print(float64(a.Room), "°C"))
	}
	card, err := a.Card()
	if err != nil {
		return c.Bad("interference", err)
	}
	c.Let("T_r", float64(a.Room), "")
	c.Let("T_in", float64(card.Inner), "")
	c.Let("α_h", a.Hub.Heating, "")
	α := a.Shaft.Heating
	if card.Inner < a.Room {
		α = a.Shaft.Cooling
	}
	c.Let("α_s", α, "")
	formula := "T_r + ((δ + s) / d + α_s · (T_in − T_r)) / α_h"
	if card.Meet == a.Room {
		formula = "T_r"
	}
	c.Show("meet", formula, float64(card.Meet))
	c.Out("oven", float64(card.Oven))
	c.Note("T_o", "the oven, for what is lost on the way", "", c.Print(float64(card.Oven), "°C"))
	c.Let("T_o", float64(card.Oven), "")
	c.Let("T_max", float64(a.Ceiling), "")
	c.Show("room-left", "T_max − T_o", float64(a.Ceiling-card.Oven), Practice)
	c.Out("slip-at-ceiling", float64(card.SlipAtCeiling))
	c.Out("in-air", card.InAir)
	c.Out("on-seat", card.OnSeat)
	sayWay(c, a, card)
	return nil
}

// sayWay tells what to do, and the way out where heat alone will not do.
func sayWay(c *Call, a press.Assembly, card press.Card) {
	if card.BiotSeat > 0.1 || card.BiotAir > 0.1 {
		c.Assume("The seconds are a guess: heat does not spread through the part as fast as it leaves.")
	}
	if card.StaysLoose {
		c.Assume("The slip lasts until both parts cool.")
	}
	type freezer struct {
		tooHot, ok bool
		at         unit.Temperature
	}
	f := Decide(c, func() freezer {
		if !card.TooHot {
			return freezer{}
		}
		at, err := a.Freezer(a.Ceiling)
		return freezer{true, err == nil, at}
	})
	switch {
	case !f.tooHot:
		c.Say("way", "heat the outer part to the oven's temperature and soak it through")
		if float64(a.Ceiling-card.Oven) < 10 {
			c.Warn("the ceiling is near: measure the part, not the air of the oven")
		}
	case f.ok:
		// Stepped runs take the temperature anew, so that its doubt is known.
		if at, err := a.Freezer(a.Ceiling); err == nil {
			f.at = at
		}
		c.Out("freezer", float64(f.at))
		c.Say("way", "the oven would stand above the ceiling: heat to the ceiling and chill the inner part as well")
		c.Warn("above the ceiling of %s: chill the inner part, accept less slip, or press", c.Print(float64(a.Ceiling), "°C"))
	default:
		c.Say("way", "the oven would stand above the ceiling, and cold will not make it up: accept less slip, or press")
		c.Warn("above the ceiling of %s", c.Print(float64(a.Ceiling), "°C"))
	}
}

var gripHot = &Sum{
	Name: "grip-hot", Title: "Grip left when the gearbox is warm", Group: Fits, Picture: "press",
	Purpose: "A steel race in a light case loses its grip as the case warms. How much is left at working temperature, and at what temperature it is gone.",
	Inputs: append(jointInputs(),
		ask("interference", "δ", unit.KindLength, "µm", 0, 3000, "interference on diameter at 20 °C"),
		rise("hub-warm", "ΔT_h", "how much warmer than 20 °C the case runs"),
		rise("shaft-warm", "ΔT_s", "how much warmer the race runs"),
		mm("length", "l", 0.5, 1000, "length of the seat, to see the force it holds").optional()),
	Outputs: []Output{
		gives("left", "δ_T", unit.KindLength, "µm", 1, "interference left; negative is clearance"),
		gives("pressure-cold", "p", unit.KindPressure, "MPa", 2, "pressure at 20 °C"),
		gives("pressure", "p_T", unit.KindPressure, "MPa", 2, "pressure when warm"),
		gives("slack-at", "T_0", unit.KindTemperature, "°C", 0, "both equally warm, the grip is gone at"),
		gives("race-cold", "Δd", unit.KindLength, "µm", 1, "bore of the race shrinks at 20 °C by"),
		gives("race-grows", "Δd_T", unit.KindLength, "µm", 1, "and gives back when warm"),
		gives("force", "F", unit.KindForce, "N", 0, "holds along the shaft when warm, friction 0.12"),
	},
	Assumptions: []string{"The case is a ring of the wall's diameter; a thinner wall somewhere grips less.",
		"Cast light alloy creeps from about 120 °C on: the grip is at most this."},
	Sources: []string{"BN9", Practice},
	Example: map[string]string{"seat": "72 mm", "bore": "60 mm", "rim": "100 mm", "shaft": "bearing steel", "hub": "die-cast aluminium A380", "interference": "50 µm",
		"hub-warm": "60 K", "shaft-warm": "60 K", "length": "20 mm"},
	Do: doGripHot,
}

func doGripHot(c *Call) error {
	j := jointOf(c)
	δ := c.Length("interference")
	th, ts := unit.TempRise(c.F("hub-warm")), unit.TempRise(c.F("shaft-warm"))
	cold, err := showPressure(c, "pressure-cold", j, δ, "δ")
	if err != nil {
		return err
	}
	left, p, err := j.Grip(δ, th, ts)
	if err != nil {
		return c.Bad("interference", err)
	}
	c.Let("α_h", j.Hub.Heating, "1/K")
	c.Let("α_s", j.Shaft.Heating, "1/K")
	c.Show("left", "δ − d · (α_h · ΔT_h − α_s · ΔT_s)", float64(left), Practice)
	if left > 0 {
		c.Show("pressure", "p · δ_T / δ", float64(p))
	} else {
		c.Out("pressure", 0)
		c.Warn("warm, the race is loose in its case by %s: it will turn and wear its seat", c.Print(-float64(left), "µm"))
	}
	slack, ever, err := j.SlackRise(δ)
	if err != nil {
		return c.Bad("interference", err)
	}
	if Decide(c, func() bool { return ever }) {
		c.Let("T_20", 20, "")
		c.Let("α_hs", j.Hub.Heating-j.Shaft.Heating, "")
		c.Show("slack-at", "T_20 + δ / (d · α_hs)", 20+float64(slack), Practice)
	} else {
		c.Assume("Warmth never takes this grip: the outer part grows no more than the inner one.")
	}
	if err := showRace(c, j, cold, p); err != nil {
		return err
	}
	if c.Has("length") {
		j.Length = c.Length("length")
		f, err := j.Hold(p, 0.12)
		if err != nil {
			return c.Bad("length", err)
		}
		c.Let("p_T", float64(p), "MPa")
		c.Show("force", "0.12 · π · d · l · p_T", float64(f))
	}
	return nil
}

// showRace gives what the case squeezes out of a hollow race.
func showRace(c *Call, j press.Joint, cold, warm unit.Pressure) error {
	if j.Bore == 0 {
		return nil
	}
	shrunk, err := j.BoreShrink(cold)
	if err != nil {
		return c.Bad("bore", err)
	}
	still, err := j.BoreShrink(warm)
	if err != nil {
		return c.Bad("bore", err)
	}
	c.Let("p_T", float64(warm), "MPa")
	c.Show("race-cold", "2 · p · d² · d_i / (E_s · (d² − d_i²))", float64(shrunk), "BN9")
	c.Show("race-grows", "2 · (p − p_T) · d² · d_i / (E_s · (d² − d_i²))", float64(shrunk-still), "BN9")
	return nil
}

var bearingClearance = &Sum{
	Name: "bearing-clearance", Title: "Clearance a bearing has left when fitted", Group: Fits, Picture: "bearing-clearance",
	Purpose: "A press fit swells the inner ring, squeezes the outer one, and warmth does the rest. What is left of the clearance a bearing had in its box.",
	Inputs: []Input{
		mm("bore", "d", 3, 400, "bore of the bearing"),
		mm("outside", "D", 5, 800, "outside diameter of the bearing"),
		choice("kind", "kind of bearing, for where its raceways lie", "deep groove ball", "roller or other"),
		ask("clearance", "c_0", unit.KindLength, "µm", 0, 1000, "radial internal clearance out of the box, on diameter"),
		ask("on-shaft", "δ_i", unit.KindLength, "µm", 0, 500, "interference on the shaft at 20 °C, what is smoothed away taken off").or("0 µm"),
		ask("in-case", "δ_o", unit.KindLength, "µm", 0, 500, "interference in the case at 20 °C").or("0 µm"),
		mm("shaft-bore", "d_s", 0, 390, "bore of the shaft").or("0 mm"),
		mm("rim", "D_r", 5, 2000, "outside diameter of the case's wall round the seat, if it squeezes the ring").optional(),
		optionalChoice("case", "metal of the case, if it squeezes the ring", materialNames()...),
		rise("inner-warm", "ΔT_i", "how much warmer than 20 °C the inner ring runs").or("0 K"),
		rise("outer-warm", "ΔT_o", "how much warmer the outer ring runs").or("0 K"),
	},
	Outputs: []Output{
		gives("inner-raceway", "D_i", unit.KindLength, "mm", 2, "mean diameter of the inner raceway"),
		gives("outer-raceway", "D_e", unit.KindLength, "mm", 2, "mean diameter of the outer raceway"),
		gives("grows", "g", unit.KindLength, "µm", 1, "the inner raceway grows by"),
		gives("shrinks", "s", unit.KindLength, "µm", 1, "the outer raceway shrinks by"),
		gives("warmth", "w", unit.KindLength, "µm", 1, "warmth takes"),
		gives("left", "c", unit.KindLength, "µm", 1, "clearance left; negative is preload"),
		gives("hoop", "σ", unit.KindPressure, "MPa", 0, "hoop stress in the bore of the inner ring"),
	},
	Assumptions: []string{"Rings are taken as plain cylinders to their mean raceway. Shaft of steel.",
		"The case is as warm as the outer ring, the shaft as the inner one."},
	Sources: []string{"NTN", "BN9", Practice},
	Example: map[string]string{"bore": "40 mm", "outside": "80 mm", "kind": "deep groove ball", "clearance": "13 µm", "on-shaft": "15 µm"},
	Do:      doBearingClearance,
}

func steelNamed(name string) press.Material {
	return materials()[slices.IndexFunc(materials(), func(m press.Material) bool { return m.Name == name })]
}

func doBearingClearance(c *Call) error {
	d, D := c.Length("bore"), c.Length("outside")
	if d >= D {
		return c.Badf("bore", "it is not less than the outside diameter")
	}
	way, formulas := press.BallRaceways, [2]string{"(4 · d + D) / 5", "(d + 4 · D) / 5"}
	if c.Choice("kind") != "deep groove ball" {
		way, formulas = press.RollerRaceways, [2]string{"(3 · d + D) / 4", "(d + 3 · D) / 4"}
	}
	r := way(d, D)
	c.Show("inner-raceway", formulas[0], float64(r.Inner))
	c.Show("outer-raceway", formulas[1], float64(r.Outer))
	ring := steelNamed("bearing steel")
	ti, to := unit.TempRise(c.F("inner-warm")), unit.TempRise(c.F("outer-warm"))
	grown, err := innerGrowth(c, r, ring)
	if err != nil {
		return err
	}
	shrunk, err := outerShrink(c, r, ring, to)
	if err != nil {
		return err
	}
	c0 := c.Length("clearance")
	left, err := r.ClearanceLeft(c0, grown, shrunk, ring, ti, to)
	if err != nil {
		return c.Bad("clearance", err)
	}
	c.Let("α", ring.Heating, "1/K")
	c.Show("warmth", "α · (D_i · ΔT_i − D_e · ΔT_o)", float64(c0-grown-shrunk-left), Practice)
	c.Show("left", "c_0 − g − s − w", float64(left), Practice)
	if left < 0 {
		c.Warn("nothing is left: the bearing runs with a radial preload and may seize as it warms")
	}
	return nil
}

// innerGrowth gives what the shaft does to the inner ring.
func innerGrowth(c *Call, r press.Raceways, ring press.Material) (unit.Length, error) {
	d := c.Length("bore")
	δ := c.Length("on-shaft")
	if δ > 0 && float64(δ) > press.RingInterference*float64(d) {
		c.Warn("on-shaft: more than a thousandth of the bore is too much for a ring")
	}
	j := press.Joint{Bore: c.Length("shaft-bore"), Seat: d, Rim: r.Inner, Shaft: steelNamed("steel"), Hub: ring}
	p, formula, err := pressureOf(c, j, δ, names{"δ_i", "d", "d_s", "D_i"})
	if err != nil {
		return 0, c.Bad("shaft-bore", err)
	}
	c.Line("p_i", "pressure on the shaft", formula, float64(p), "MPa", "BN9")
	grown, err := j.RimGrowth(p)
	if err != nil {
		return 0, c.Bad("on-shaft", err)
	}
	c.Let("E", float64(ring.E), "MPa")
	c.Show("grows", "2 · p_i · d² · D_i / (E · (D_i² − d²))", float64(grown), "BN9")
	s, err := j.Stresses(p)
	if err != nil {
		return 0, c.Bad("on-shaft", err)
	}
	c.Show("hoop", "p_i · (D_i² + d²) / (D_i² − d²)", float64(s.HubSeat.Hoop), "BN9")
	if s.HubSeat.Hoop > press.RingHoop {
		c.Warn("the stress in the inner ring is above %s, more than a ring should bear", c.Print(float64(press.RingHoop), "MPa"))
	}
	return grown, nil
}

// outerShrink gives what the case does to the outer ring, at its temperature.
func outerShrink(c *Call, r press.Raceways, ring press.Material, warm unit.TempRise) (unit.Length, error) {
	δ := c.Length("in-case")
	if !c.Has("rim") && !c.Has("case") {
		if δ > 0 {
			return 0, needs(c, "because the case squeezes the ring", "rim", "case")
		}
		c.Let("s", 0, "µm")
		return 0, nil
	}
	if err := needs(c, "to see what the case does", "rim", "case"); err != nil {
		return 0, err
	}
	D := c.Length("outside")
	j := press.Joint{Bore: r.Outer, Seat: D, Rim: c.Length("rim"), Shaft: ring, Hub: material(c, "case")}
	left, p, err := j.Grip(δ, warm, warm)
	if err != nil {
		return 0, c.Bad("rim", err)
	}
	c.Note("δ_T", "interference in the case when warm", "", c.Print(float64(left), "µm"))
	c.Note("p_o", "pressure in the case when warm", "", c.Print(float64(p), "MPa"))
	shrunk, err := j.BoreShrink(p)
	if err != nil {
		return 0, c.Bad("rim", err)
	}
	c.Let("p_o", float64(p), "MPa")
	c.Let("E", float64(ring.E), "MPa")
	c.Show("shrinks", "2 · p_o · D² · D_e / (E · (D² − D_e²))", float64(shrunk), "BN9")
	return shrunk, nil
}
