package catalog

import (
	"fmt"
	"math"
	"slices"

	"endfloat/calc/bearing"
	"endfloat/calc/unit"
)

func init() { register(bearingLife, bearingStatic, bearingDuty, taperPair, preloadDrag, bearingFit) }

// wearing is what no rating knows of.
const wearing = "The ratings are those of the maker's sheet. Fatigue alone is counted: dirt, rust, wear, creep and a bad seat end most used bearings earlier."

// reserve makes room at once for the lines and symbols of a long working.
func reserve(c *Call, lines int) {
	if !c.quiet {
		c.out = slices.Grow(c.out, len(c.sum.Outputs))
		c.answer.Lines = slices.Grow(c.answer.Lines, lines)
		c.symbols = make(map[string]value, lines)
	}
}

// told gives a result whose formula holds powers that a line of working cannot
// follow; it says in words how it is made.
func told(c *Call, key, how string, si float64) {
	o := c.output(key)
	c.Out(key, si)
	noted(c, o.Symbol, o.Title, how, si, o.Unit, o.Kind)
}

// noted makes a symbol known and writes a line without numbers to follow.
func noted(c *Call, symbol, meaning, how string, si float64, symbolOfUnit string, k unit.Kind) {
	if c.quiet {
		return
	}
	u := unitOf(symbolOfUnit, k)
	c.let(symbol, si, u)
	c.answer.Lines = append(c.answer.Lines, Line{Symbol: symbol, Meaning: meaning, Numbers: how, Value: quantity(si, u)})
}

var bearingForms = []bearing.Form{bearing.DeepGroove, bearing.Angular, bearing.Taper, bearing.Cylindrical, bearing.Needle, bearing.Spherical}

func formNames() []string {
	var list []string
	for _, f := range bearingForms {
		list = append(list, f.String())
	}
	return list
}

func formOf(c *Call) bearing.Form {
	name := c.Choice("form")
	return bearingForms[slices.IndexFunc(bearingForms, func(f bearing.Form) bool { return f.String() == name })]
}

func rating(help string) Input { return ask("rating", "C", unit.KindForce, "kN", 0.1, 1e4, help) }

func newtons(key, symbol, help string) Input {
	return ask(key, symbol, unit.KindForce, "N", 0, 1e7, help)
}

// factor declares a factor of a bearing's sheet, which may be left out.
func factor(key, symbol string, most float64, help string) Input {
	return ask(key, symbol, unit.Number, "", 0, most, help).optional()
}

var bearingLife = &Sum{
	Name: "bearing-life", Title: "Life of a rolling bearing", Group: Strength,
	Purpose: "How long nine of ten bearings last under a load, from the maker's ratings; and with oil, dirt and a higher reliability counted, if the sheet gives the fatigue load limit.",
	Inputs: []Input{
		choice("form", "kind of bearing", formNames()...),
		rating("dynamic rating C of the maker's sheet"),
		newtons("radial", "F_r", "radial load, at the bearing"),
		newtons("axial", "F_a", "axial load on this bearing; of a pair, what taper-pair gives").or("0 N"),
		ask("static-rating", "C_0", unit.KindForce, "kN", 0.1, 1e4, "static rating C0: a deep groove bearing with thrust needs it").optional(),
		factor("f0", "f_0", 30, "factor f0 of a deep groove bearing with thrust"),
		factor("e", "e", 3, "limit e of the sheet; a taper bearing without one is given 0.6/Y"),
		factor("x", "X", 2, "factor X of the sheet beyond e; a taper bearing without one is given 0.4"),
		factor("y", "Y", 10, "factor Y of the sheet beyond e"),
		factor("y1", "Y_1", 10, "factor of the axial load below e, of spherical rollers and pairs"),
		ask("speed", "n", unit.KindRotation, "rpm", 0.01, 1e6, "turns of one ring against the other").optional(),
		ask("reliability", "R", unit.Number, "%", 90, 99.9, "share of bearings that shall last").or("90 %"),
		ask("limit-load", "C_u", unit.KindForce, "kN", 0.001, 1e4, "fatigue load limit Cu of the sheet, to count oil and dirt").optional(),
		ask("viscosity", "ν", unit.KindViscosity, "cSt", 0.5, 1e4, "viscosity of the oil as warm as it runs").optional(),
		ask("clean", "e_C", unit.Number, "", 0, 1, "cleanness: 0.6 to 0.8 finely filtered, 0.3 to 0.5 slightly dirty, 0.1 to 0.3 a gearbox without a filter").optional(),
		mm("bore", "d", 1, 2000, "bore of the bearing").optional(),
		mm("outside", "D", 2, 3000, "its outside diameter").optional(),
		ask("hours", "L_w", unit.KindTime, "h", 0.1, 1e7, "hours it shall last").optional(),
	},
	Outputs: []Output{
		gives("load", "P", unit.KindForce, "N", 0, "equivalent load"),
		gives("ratio", "q", unit.Number, "", 2, "rating over load"),
		gives("life", "L_10", unit.Number, "", 1, "basic life in millions of turns"),
		gives("life-hours", "L_h", unit.KindTime, "h", 0, "basic life"),
		gives("reliable", "a_1", unit.Number, "", 3, "factor of reliability"),
		gives("kappa", "κ", unit.Number, "", 2, "viscosity over what is wanted"),
		gives("factor", "a_I", unit.Number, "", 2, "factor of oil and dirt, aISO"),
		gives("modified", "L_m", unit.Number, "", 1, "modified life in millions of turns"),
		gives("modified-hours", "L_mh", unit.KindTime, "h", 0, "modified life"),
		gives("needed", "C_w", unit.KindForce, "kN", 2, "rating needed for the hours wanted"),
	},
	Assumptions: []string{wearing, "Steady load and speed; what changes is for bearing-duty. Makers' own factors of oil and dirt differ from aISO."},
	Sources:     []string{"ISO281", "LYC", "NSK"},
	Example: map[string]string{"form": "deep groove ball", "rating": "29.1 kN", "static-rating": "17.9 kN", "f0": "14", "radial": "2500 N", "axial": "1000 N", "speed": "900 rpm",
		"limit-load": "0.76 kN", "viscosity": "20 cSt", "clean": "0.3", "bore": "40 mm", "outside": "80 mm", "hours": "10000 h"},
	Do: doBearingLife,
}

// sheetOf reads a bearing and fills in what a taper bearing's own geometry gives.
func sheetOf(c *Call) bearing.Bearing {
	b := bearing.Bearing{Form: formOf(c), C: c.F("rating"), C0: c.F("static-rating"), F0: c.F("f0"),
		E: c.F("e"), X: c.F("x"), Y: c.F("y"), Y1: c.F("y1")}
	if b.Form == bearing.Taper && b.Y > 0 {
		if b.X == 0 {
			b.X = 0.4
		}
		if b.E == 0 {
			b.E = 0.6 / b.Y
		}
	}
	return b
}

// equivalent works P out, with the factors that were taken.
func equivalent(c *Call, b *bearing.Bearing, fr, fa float64) (float64, error) {
	f, err := b.Factors(fr, fa)
	if err != nil {
		return 0, c.Bad("axial", err)
	}
	p, err := b.Equivalent(fr, fa)
	if err != nil {
		return 0, c.Bad("axial", err)
	}
	if !(p > 0) {
		return 0, c.Badf("radial", "without a load a bearing lasts for ever")
	}
	c.Let("X", f.X, "")
	c.Let("Y", f.Y, "")
	if fa > 0 && !c.quiet {
		if b.Form == bearing.DeepGroove && b.Y == 0 {
			c.Line("f", "thrust that chooses the factors", "f_0 · F_a / C_0", b.F0*fa/b.C0, "", "LYC")
		}
		c.Note("e", "limit of Fa over Fr, and the factors", "", fmt.Sprintf("e %.3g, X %.3g, Y %.3g", f.E, f.X, f.Y))
	}
	if p == fr && f.X*fr+f.Y*fa < fr {
		c.Show("load", "F_r", p)
	} else {
		c.Show("load", "X · F_r + Y · F_a", p)
	}
	return p, nil
}

// showLife gives the basic life of a load P and, with a speed, its hours.
func showLife(c *Call, form bearing.Form, rating, p float64) (float64, error) {
	l, err := bearing.Life(rating, p, form.Exponent())
	if err != nil {
		return 0, c.Bad("rating", err)
	}
	c.Show("ratio", "C / P", rating/p)
	formula := "q² · q"
	if form.Rolls() && !c.quiet {
		noted(c, "q_3", "cube root of q: rollers go by the power 10/3", "", math.Cbrt(rating/p), "", unit.Number)
		formula = "q² · q · q_3"
	}
	c.Show("life", formula, l/bearing.Million)
	if rating < 2*p {
		c.Warn("the load is more than half the rating: the formula does not hold there, and the bearing may be crushed")
	}
	return l, nil
}

func showHours(c *Call, key, life string, turns float64) (float64, error) {
	s, err := bearing.Seconds(turns, c.F("speed"))
	if err != nil {
		return 0, c.Bad("speed", err)
	}
	c.Show(key, life+" · 1000000 / n", s)
	return s, nil
}

func doBearingLife(c *Call) error {
	reserve(c, 32)
	b := sheetOf(c)
	fr, fa := c.F("radial"), c.F("axial")
	p, err := equivalent(c, &b, fr, fa)
	if err != nil {
		return err
	}
	turns, err := showLife(c, b.Form, b.C, p)
	if err != nil {
		return err
	}
	if c.Has("speed") {
		s, err := showHours(c, "life-hours", "L_10", turns)
		if err != nil {
			return err
		}
		if c.Has("hours") && s < c.F("hours") {
			c.Warn("the basic life is shorter than the hours wanted")
		}
	}
	a1, err := bearing.ReliabilityFactor(c.F("reliability"), bearing.Edition2007)
	if err != nil {
		return c.Bad("reliability", err)
	}
	told(c, "reliable", "table of the standard", a1)
	if c.Has("limit-load") {
		if err := modifiedLife(c, &b, p, a1, turns); err != nil {
			return err
		}
	}
	return neededRating(c, b.Form, p, a1)
}

func modifiedLife(c *Call, b *bearing.Bearing, p, a1, turns float64) error {
	if err := needs(c, "to count oil and dirt", "speed", "viscosity", "clean", "bore", "outside"); err != nil {
		return err
	}
	b.Cu, b.Bore, b.Outside = c.F("limit-load"), c.F("bore"), c.F("outside")
	if !(b.Outside > b.Bore) {
		return c.Badf("outside", "it is not larger than the bore of %s", c.Print(b.Bore, "mm"))
	}
	m, err := b.Modify(p, c.F("speed"), a1, bearing.Film{Viscosity: c.F("viscosity"), Clean: c.F("clean")})
	if err != nil {
		return c.Bad("viscosity", err)
	}
	noted(c, "ν_1", "viscosity wanted at this speed and mean diameter", "4500 / √(n D) from 1000 rpm, 45000 / (n^0.83 √D) below", m.Reference, "cSt", unit.KindViscosity)
	c.Show("kappa", "ν / ν_1", m.Kappa)
	c.Line("x", "how far the load is from the limit", "e_C · C_u / P", m.X, "")
	told(c, "factor", "curve of the standard at κ and x", m.Factor)
	c.Show("modified", "a_1 · a_I · L_10", m.Revolutions/bearing.Million)
	if _, err := showHours(c, "modified-hours", "L_m", m.Revolutions); err != nil {
		return err
	}
	if m.Kappa < 1 {
		c.Warn("the oil film is thin, κ %.2f: a thicker oil or one with additives for extreme pressure", m.Kappa)
	}
	return nil
}

// neededRating gives the rating that the hours wanted ask for, if any are.
func neededRating(c *Call, form bearing.Form, p, a1 float64) error {
	if !c.Has("hours") {
		return nil
	}
	if err := needs(c, "to turn hours into turns", "speed"); err != nil {
		return err
	}
	need, err := bearing.Rating(p, c.F("hours")*c.F("speed")/(2*math.Pi)/a1, form.Exponent())
	if err != nil {
		return c.Bad("hours", err)
	}
	told(c, "needed", "P · (L_w · n / a_1 / 1000000)^(1/p)", need)
	return nil
}

var bearingStatic = &Sum{
	Name: "bearing-static", Title: "What a bearing stands at rest and in shocks", Group: Strength,
	Purpose: "The static safety of a bearing: how many times the load that leaves a lasting dent of a ten-thousandth of a ball is above the greatest load it sees.",
	Inputs: []Input{
		choice("form", "kind of bearing", formNames()...),
		ask("static-rating", "C_0", unit.KindForce, "kN", 0.1, 1e4, "static rating C0 of the maker's sheet"),
		newtons("radial", "F_r", "greatest radial load"),
		newtons("axial", "F_a", "greatest axial load at the same time").or("0 N"),
		factor("x0", "X_0", 2, "static factor X0; left out 0.6 for deep groove, 0.5 for others"),
		factor("y0", "Y_0", 10, "static factor Y0; left out 0.5 for deep groove"),
		choice("running", "how it runs", runningNames()...),
		choice("demand", "how quietly it has to run", "little", "normal", "high"),
	},
	Outputs: []Output{
		gives("load", "P_0", unit.KindForce, "N", 0, "equivalent static load"),
		gives("safety", "s_0", unit.Number, "", 2, "static safety"),
		gives("guide", "s_w", unit.Number, "", 1, "guide value"),
	},
	Assumptions: []string{"The dent is a matter of noise and life, not of breaking."},
	Sources:     []string{"ISO76", "SKF"},
	Example:     map[string]string{"form": "deep groove ball", "static-rating": "17.9 kN", "radial": "6000 N", "axial": "2000 N", "running": "shocks", "demand": "normal"},
	Do:          doBearingStatic,
}

var runnings = bearing.Runnings()

func runningNames() []string {
	var list []string
	for _, r := range runnings {
		list = append(list, r.Name)
	}
	return list
}

func doBearingStatic(c *Call) error {
	b := bearing.Bearing{Form: formOf(c), C0: c.F("static-rating"), X0: c.F("x0"), Y0: c.F("y0")}
	fr, fa := c.F("radial"), c.F("axial")
	switch {
	case b.Form == bearing.DeepGroove && !c.Has("x0") && !c.Has("y0"):
		b.X0, b.Y0 = 0.6, 0.5
	case !c.Has("x0"):
		b.X0 = 0.5
	}
	c.Let("X_0", b.X0, "")
	c.Let("Y_0", b.Y0, "")
	p0, err := b.Static(fr, fa)
	if err != nil {
		return c.Bad("y0", err)
	}
	formula := "X_0 · F_r + Y_0 · F_a"
	if b.X0*fr+b.Y0*fa < fr {
		formula = "F_r"
	}
	s, err := b.StaticSafety(fr, fa)
	if err != nil {
		return c.Bad("radial", err)
	}
	c.Show("load", formula, p0)
	c.Show("safety", "C_0 / P_0", s)
	name := c.Choice("running")
	r := runnings[slices.IndexFunc(runnings, func(r bearing.Running) bool { return r.Name == name })]
	guide := r.Ball
	if b.Form.Rolls() {
		guide = r.Roller
	}
	want := guide[slices.Index([]string{"little", "normal", "high"}, c.Choice("demand"))]
	told(c, "guide", "table", want)
	if s < want {
		c.Warn("the static safety is below the guide value: expect dents and noise")
	}
	return nil
}
