package catalog

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/ratio"
	"endfloat/calc/unit"
)

func init() { register(speeds, turns, upShift, centreDistance) }

// maxGears is more than any gearbox has.
const maxGears = 24

var speeds = &Sum{
	Name: "speeds", Title: "Ratios and speeds", Group: Ratio,
	Purpose: "From the teeth: the ratio of each gear, the speed at an engine speed, and the engine speed after a shift up.",
	Inputs: []Input{
		text("gears", "each gear with its teeth, driver/driven, an idler in brackets: 1 = 13/46, R = 13/(20)/44"),
		text("final", "teeth of the final drive, 8/37; 1/1 if there is none"),
		mm("wheel", "D", 50, 5000, "rolling diameter of the wheel"),
		ask("engine", "n", unit.KindRotation, "rpm", 1, 30000, "engine speed"),
	},
	Outputs: []Output{
		gives("ratio", "i", unit.Number, "", 3, "ratio"),
		gives("overall", "i_all", unit.Number, "", 2, "with the final drive"),
		gives("speed", "v", unit.KindSpeed, "km/h", 1, "speed at that engine speed"),
		gives("per-1000", "v_1000", unit.KindSpeed, "km/h", 2, "speed for each 1000 rpm"),
		gives("after", "n_after", unit.KindRotation, "rpm", 0, "engine speed after a shift up into it"),
	},
	Assumptions: []string{"The wheel rolls without slip.", "Gears stand in the order in which they are shifted; a reverse gear is left out of the shifts."},
	Sources:     []string{Practice},
	Example: map[string]string{"gears": "1 = 13/46, 2 = 21/38, 3 = 26/33, 4 = 32/27, R = 13/(20)/44",
		"final": "8/37", "wheel": "510 mm", "engine": "1800 rpm"},
	Do: doSpeeds,
}

type namedTrain struct {
	name  string
	train ratio.Train
}

// readGears takes "1 = 13/46, 2 = 21/38" apart.
func readGears(c *Call, key string) ([]namedTrain, error) {
	var gears []namedTrain
	parts := fields(strings.FieldsFunc(c.Words(key), func(r rune) bool { return r == ',' || r == ';' || r == '\n' }))
	if len(parts) == 0 || len(parts) > maxGears {
		return nil, c.Badf(key, "expected 1 to %d gears, such as 1 = 13/46, 2 = 21/38", maxGears)
	}
	for i, p := range parts {
		name, teeth, ok := strings.Cut(p, "=")
		if !ok {
			name, teeth = fmt.Sprint(i+1), p
		}
		t, err := ratio.ParseTrain(strings.TrimSpace(teeth))
		if err != nil {
			return nil, c.Bad(key, err)
		}
		name = strings.TrimSpace(name)
		if name == "" || len(name) > 60 || slices.ContainsFunc(gears, func(g namedTrain) bool { return g.name == name }) {
			return nil, c.Badf(key, "%.40q: every gear needs a name of its own", p)
		}
		gears = append(gears, namedTrain{name, t})
	}
	return gears, nil
}

func doSpeeds(c *Call) error {
	gears, err := readGears(c, "gears")
	if err != nil {
		return err
	}
	final, err := ratio.ParseTrain(c.Words("final"))
	if err != nil {
		return c.Bad("final", err)
	}
	d, n := c.Length("wheel"), c.F("engine")
	fd := final.Ratio()
	c.Line("i_f", "final drive", teethFormula(final), fd, "")
	last := 0.0 // ratio of the forward gear before, 0 if there is none
	for g, gear := range gears {
		i := gear.train.Ratio()
		if !(i*fd > 1e-3 && i*fd < 1e6) {
			return c.Badf("gears", "gear %.40q comes to a ratio of %.3g, which no gearbox has", gear.name, i*fd)
		}
		id := fmt.Sprint(g + 1)
		c.Line("i"+id, "ratio, gear "+gear.name, teethFormula(gear.train), i, "")
		c.OutFor("ratio", gear.name, i)
		c.Line("i_all"+id, "with the final drive, gear "+gear.name, "i"+id+" · i_f", i*fd, "")
		c.OutFor("overall", gear.name, i*fd)
		v := ratio.Speed(n, i*fd, d)
		c.Line("v"+id, "speed, gear "+gear.name, "π · D · n / i_all"+id, v, "km/h")
		c.OutFor("speed", gear.name, v)
		c.OutFor("per-1000", gear.name, ratio.Speed(1000*math.Pi/30, i*fd, d))
		if gear.train.Reversed() != gears[0].train.Reversed() {
			continue
		}
		if last > 0 {
			c.OutFor("after", gear.name, ratio.UpShift(n, last, i))
			c.Line("n"+id, "engine speed after a shift up into gear "+gear.name, "n · i"+id+" / i_before", ratio.UpShift(n, last, i), "rpm")
		}
		last = i
		c.Let("i_before", i, "")
	}
	return nil
}

// teethFormula writes a train as a product of driven over driver.
func teethFormula(t ratio.Train) string {
	var s []string
	for _, p := range t.Pairs {
		s = append(s, fmt.Sprintf("%d / %d", p.Driven, p.Driver))
	}
	return strings.Join(s, " · ")
}

const (
	bothTurn = "both turn alike"
	oneHeld  = "one is held"
	oneOnly  = "there is only one"
)

var turns = &Sum{
	Name: "turns", Title: "Ratio from turns counted on the bench", Group: Ratio,
	Purpose: "Turn the input and count the output, to tell which gears are in an unknown box. With a differential it matters whether both outputs turn.",
	Inputs: []Input{
		ask("in", "N_in", unit.Number, "", 0.001, 1e6, "turns of the input"),
		ask("out", "N_out", unit.Number, "", 0.001, 1e6, "turns of the output; ten make a good count"),
		choice("outputs", "how the outputs turned", bothTurn, oneHeld, oneOnly),
	},
	Outputs:     []Output{gives("ratio", "i", unit.Number, "", 3, "ratio, input turns for one of the output")},
	Assumptions: []string{"The differential is open: neither locked nor of the limited-slip kind."},
	Sources:     []string{Practice},
	Example:     map[string]string{"in": "163.7", "out": "10", "outputs": "both turn alike"},
	Do: func(c *Call) error {
		in, out := c.F("in"), c.F("out")
		held := c.Choice("outputs") == oneHeld
		i, err := ratio.FromTurns(in, out, held)
		if err != nil {
			return c.Bad("out", err)
		}
		formula := "N_in / N_out"
		if held {
			formula = "2 · N_in / N_out"
		}
		c.Show("ratio", formula, i)
		return nil
	},
}

var upShift = &Sum{
	Name: "up-shift", Title: "Engine speed after a shift", Group: Ratio,
	Purpose: "What the engine turns after a shift at unchanged road speed.",
	Inputs: []Input{
		ask("engine", "n1", unit.KindRotation, "rpm", 1, 30000, "engine speed before the shift"),
		ask("from", "i1", unit.Number, "", 0.05, 100, "ratio before"),
		ask("to", "i2", unit.Number, "", 0.05, 100, "ratio after"),
	},
	Outputs: []Output{
		gives("after", "n2", unit.KindRotation, "rpm", 0, "engine speed after the shift"),
		gives("step", "step", unit.Number, "", 3, "step between the ratios"),
	},
	Sources: []string{Practice},
	Example: map[string]string{"engine": "1800 rpm", "from": "46/13", "to": "38/21"},
	Do: func(c *Call) error {
		n, from, to := c.F("engine"), c.F("from"), c.F("to")
		c.Show("after", "n1 · i2 / i1", ratio.UpShift(n, from, to))
		c.Show("step", "i1 / i2", from/to)
		return nil
	},
}

var centreDistance = &Sum{
	Name: "centre-distance", Title: "Centre distance from the teeth", Group: Ratio, Picture: "centres",
	Purpose: "The distance between the shafts that two gears need, to see whether a pair from another gearbox can mesh at all.",
	Inputs: []Input{
		whole("driver", "z1", 3, 999, "teeth of one gear"),
		whole("driven", "z2", 3, 999, "teeth of the other"),
		ask("module", "m", unit.KindLength, "mm", 0.1, 50, "normal module, 25.4 mm over the diametral pitch"),
		angle("helix", "β", -60, 60, "helix angle, 0° for straight teeth"),
		mm("centres", "a_has", 1, 3000, "distance between the shafts, to compare").optional(),
	},
	Outputs: []Output{
		gives("centres", "a", unit.KindLength, "mm", 3, "centre distance without profile shift"),
		gives("off", "off", unit.KindLength, "mm", 3, "more than there is by"),
		gives("helix", "β_fit", unit.KindAngle, "°", 2, "helix angle that would fit"),
		says("hunts", "meeting of teeth"),
	},
	Assumptions: []string{"No profile shift. A shifted pair may stand off by up to about a module, usually much less."},
	Sources:     []string{"GEARSHEET", Practice},
	Example:     map[string]string{"driver": "20", "driven": "39", "module": "2.25 mm", "helix": "22.80°", "centres": "72 mm"},
	Do: func(c *Call) error {
		z1, z2 := c.Int("driver"), c.Int("driven")
		m, β := c.Length("module"), unit.Angle(c.F("helix"))
		a := float64(ratio.CentreDistance(z1, z2, m, β))
		c.Show("centres", "m · (z1 + z2) / (2 · cos β)", a)
		if c.Has("centres") {
			if err := compareCentres(c, z1, z2, m, a); err != nil {
				return err
			}
		}
		if (ratio.Pair{Driver: z1, Driven: z2}).Hunts() {
			c.Say("hunts", "every tooth meets every other before any two meet again")
		} else {
			c.Say("hunts", "the counts share a factor: the same teeth keep meeting, so mark and keep a used pair as it was")
		}
		return nil
	},
}

func compareCentres(c *Call, z1, z2 int, m unit.Length, a float64) error {
	has := c.Length("centres")
	off := a - float64(has)
	c.Show("off", "a − a_has", off)
	// Judged once: a stepped run must give the same list of results.
	fits := Decide(c, func() bool {
		_, err := ratio.Helix(z1, z2, m, has)
		return err == nil
	})
	if fits {
		β, err := ratio.Helix(z1, z2, m, has)
		if err != nil {
			return c.Bad("centres", err)
		}
		c.Show("helix", "acos(m · (z1 + z2) / (2 · a_has))", float64(β))
	}
	switch off := math.Abs(off); {
	case off > float64(m):
		c.Warn("the pair is more than a module off these centres: it cannot mesh there")
	case off > 0.05*float64(m):
		c.Warn("the pair fits these centres only with profile shift: count again, and look at the helix angle and the module")
	}
	return nil
}
