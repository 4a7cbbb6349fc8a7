package catalog

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/ratio"
	"endfloat/calc/unit"
)

// gearRatio is a gear of a list, from teeth or as a plain ratio, with the formula
// that its ratio comes from.
type gearRatio struct {
	name, formula string
	ratio         float64
	reversed      bool
}

// readRatio reads teeth, "13/46", or a plain ratio, "3.54".
func readRatio(text string) (gearRatio, error) {
	text = strings.TrimSpace(text)
	if strings.Contains(text, "/") {
		t, err := ratio.ParseTrain(text)
		return gearRatio{name: text, formula: teethFormula(t), ratio: t.Ratio(), reversed: t.Reversed()}, err
	}
	q, err := unit.Parse(text, unit.Number, unit.Unit{Factor: 1})
	switch {
	case err != nil || q.U != 0:
		return gearRatio{}, fmt.Errorf("cannot read %.40q; expected teeth as driver/driven, such as 13/46, or a ratio such as 3.54", text)
	case !(q.SI > 1e-3 && q.SI < 1e4):
		return gearRatio{}, fmt.Errorf("%.40q is a ratio that no gear has", text)
	}
	return gearRatio{name: text, formula: number(q.SI, unit.Unit{Factor: 1}), ratio: q.SI}, nil
}

// readRatios reads the forward gears of a list. A gear that turns the other way
// than the first, or is named R, is left out.
func readRatios(c *Call, key string) ([]gearRatio, error) {
	parts := fields(strings.FieldsFunc(c.Words(key), func(r rune) bool { return r == ',' || r == ';' || r == '\n' }))
	if len(parts) == 0 || len(parts) > maxGears {
		return nil, c.Badf(key, "expected 1 to %d gears, such as 1 = 13/46, 2 = 1.81", maxGears)
	}
	var gears []gearRatio
	for i, p := range parts {
		name, text, ok := strings.Cut(p, "=")
		if !ok {
			name, text = fmt.Sprint(i+1), p
		}
		g, err := readRatio(text)
		if err != nil {
			return nil, c.Bad(key, err)
		}
		g.name = strings.TrimSpace(name)
		if g.name == "" || len(g.name) > 60 || slices.ContainsFunc(gears, func(h gearRatio) bool { return h.name == g.name }) {
			return nil, c.Badf(key, "%.40q: every gear needs a name of its own", p)
		}
		if !(len(gears) > 0 && g.reversed != gears[0].reversed && strings.Contains(text, "/")) && !strings.EqualFold(g.name, "R") {
			gears = append(gears, g)
		}
	}
	if len(gears) == 0 {
		return nil, c.Badf(key, "there is no forward gear among them")
	}
	return gears, nil
}

// readFinal reads the final drive and writes its line.
func readFinal(c *Call) (gearRatio, error) {
	g, err := readRatio(c.Words("final"))
	if err != nil {
		return g, c.Bad("final", err)
	}
	c.Line("i_f", "final drive", g.formula, g.ratio, "", Practice)
	return g, nil
}

// shelfGear is what a shelf holds for one gear.
type shelfGear struct {
	name    string
	options []gearRatio
}

// mostPairs is more than a shelf holds for one gear.
const mostPairs = 40

// readShelf takes "1 = 13/36; 2 = 16/33 | 17/32" apart.
func readShelf(c *Call) ([]shelfGear, error) {
	const key = "shelf"
	parts := fields(strings.FieldsFunc(c.Words(key), func(r rune) bool { return r == ',' || r == ';' || r == '\n' }))
	if len(parts) == 0 || len(parts) > maxGears {
		return nil, c.Badf(key, "expected 1 to %d gears, such as 1 = 13/36; 2 = 16/33 | 17/32", maxGears)
	}
	var shelf []shelfGear
	for i, p := range parts {
		name, pairs, ok := strings.Cut(p, "=")
		if !ok {
			name, pairs = fmt.Sprint(i+1), p
		}
		g := shelfGear{name: strings.TrimSpace(name)}
		if g.name == "" || len(g.name) > 60 || slices.ContainsFunc(shelf, func(h shelfGear) bool { return h.name == g.name }) {
			return nil, c.Badf(key, "%.40q: every gear needs a name of its own", p)
		}
		for text := range strings.SplitSeq(pairs, "|") {
			o, err := readRatio(text)
			if err != nil {
				return nil, c.Bad(key, err)
			}
			g.options = append(g.options, o)
		}
		if len(g.options) > mostPairs {
			return nil, c.Badf(key, "%d pairs for one gear are too many; expected at most %d", len(g.options), mostPairs)
		}
		shelf = append(shelf, g)
	}
	return shelf, nil
}

// drivingInputs declares an engine, its gears and wheels, with the road.
func drivingInputs(more ...Input) []Input {
	return resisting(append([]Input{
		ask("engine-torque", "T", unit.KindTorque, "N·m", 0, 1e5, "full torque at engine speeds in rpm, in order: 1000 = 90, 3000 = 114, 5500 = 80; the last is the engine's limit").named(),
		text("gears", "each gear with its teeth, driver/driven, or its ratio, first gear first: 1 = 13/46, 2 = 1.81"),
		text("final", "teeth of the final drive, 8/37, or its ratio; 1 if there is none"),
		mm("wheel", "D", 50, 5000, "rolling diameter of the wheel"),
		ask("efficiency", "η", unit.Number, "", 0.2, 1, "from engine to wheel").or("0.92"),
		ask("grip", "F_max", unit.KindForce, "N", 1, 1e7, "most that the driven wheels pass on before they slip").optional(),
	}, more...)...)
}

// spinning declares what turns, for the sums that ask how quickly.
func spinning() []Input {
	return []Input{
		ask("engine-inertia", "J_e", unit.KindInertia, "kg·m²", 0, 1000, "of engine, flywheel and clutch").or("0 kg·m²"),
		ask("wheel-inertia", "J_w", unit.KindInertia, "kg·m²", 0, 1e4, "of all wheels together").or("0 kg·m²"),
	}
}

// vehicleOf reads what drivingInputs declares.
func vehicleOf(c *Call) (ratio.Vehicle, []gearRatio, error) {
	var v ratio.Vehicle
	torques := c.List("engine-torque")
	for i, name := range c.Names("engine-torque") {
		q, err := unit.Parse(name, unit.KindRotation, unitOf("rpm", unit.KindRotation))
		if err != nil {
			return v, nil, c.Badf("engine-torque", "%.40q is no engine speed; expected speed = torque, such as 3000 = 114", name)
		}
		if !(q.SI > 0 && q.SI < 1e4) || i > 0 && !(q.SI > v.Engine.Curve[i-1].Speed) {
			return v, nil, c.Badf("engine-torque", "the speeds must rise from point to point, above 0; %.40q does not", name)
		}
		v.Engine.Curve = append(v.Engine.Curve, ratio.Point{Speed: q.SI, Torque: unit.Torque(torques[i])})
	}
	if len(v.Engine.Curve) < 2 {
		return v, nil, c.Badf("engine-torque", "a curve needs two points at least")
	}
	gears, err := readRatios(c, "gears")
	if err != nil {
		return v, nil, err
	}
	final, err := readFinal(c)
	if err != nil {
		return v, nil, err
	}
	for k, g := range gears {
		all := g.ratio * final.ratio
		v.Ratios = append(v.Ratios, all)
		c.Line(fmt.Sprint("i", k+1), "overall ratio, gear "+g.name, g.formula+" · i_f", all, "", Practice)
	}
	v.Wheel, v.Efficiency, v.Grip = c.Length("wheel"), c.F("efficiency"), unit.Force(c.F("grip"))
	if v.Road, err = roadOf(c); err != nil {
		return v, nil, err
	}
	if c.sum.index("engine-inertia") >= 0 {
		v.Engine.Inertia, v.WheelInertia = c.F("engine-inertia"), c.F("wheel-inertia")
	}
	if err := v.Check(); err != nil {
		return v, nil, c.Bad("gears", err)
	}
	return v, gears, nil
}

// showTop writes the top speed.
func showTop(c *Call, v ratio.Vehicle, gears []gearRatio) error {
	top, err := v.TopSpeed()
	if err != nil {
		return c.Bad("grade", err)
	}
	how := " where the effort meets the resistance"
	if top.Limit {
		how = " at the engine's limit"
	}
	c.Note("v_top", "top speed, in gear "+gears[top.Gear].name+how, "", c.Print(top.Speed, "km/h"))
	c.Out("top", top.Speed)
	c.Out("top-engine", top.Engine)
	c.Say("top-gear", gears[top.Gear].name+","+how)
	return nil
}

// greatest returns the greatest effort of a gear and the speed at which it begins.
func greatest(v ratio.Vehicle, gear int) ratio.At {
	var best ratio.At
	for _, p := range v.Effort(gear) {
		if p.Force > best.Force {
			best = p
		}
	}
	return best
}

func kmh(v float64) float64 { return math.Round(v*36) / 10 }
