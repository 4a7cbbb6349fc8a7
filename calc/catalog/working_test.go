package catalog

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"endfloat/calc/unit"
)

// variants are inputs that reach the branches which the examples leave out: sum,
// then pairs of key and text laid over its example.
var variants = [][]string{
	{"end-float", "gasket", "0", "stand-up", "-1.2, -1.21", "recess", "0.845 in, 0.846 in"},
	{"taper-shim", "thicker", "loosens"},
	{"taper-shim", "set", "play", "amount", "0.04", "least", "0.02"},
	{"taper-shim", "set", "play", "thicker", "loosens", "play", "0"},
	{"taper-spacer", "set", "play"},
	{"cover-gap", "set", "play", "gap", "0.62, 0.72, 0.63"},
	{"pinion-depth", "plus", "nearer", "thicker", "away", "etched-unit", "thousandths of an inch", "etched", "-3"},
	{"pinion-swap", "plus", "nearer", "thicker", "toward"},
	{"side-shims", "temperature", "", "case", "", "warm", ""},
	{"side-shims", "case", "magnesium", "temperature", "-4 °C", "warm", "140 °F"},
	{"backlash-move", "factor", ""},
	{"backlash-move", "step", "0.10 mm"},
	{"backlash-move", "step", "", "backlash", "0.10, 0.11"},
	{"backlash-move", "factor", "", "before", "0.31", "after", "0.18", "moved", "0.20"},
	{"backlash-move", "factor", "", "pinion-teeth", "8", "wheel-teeth", "37", "pressure-angle", "20", "spiral-angle", "35", "sense", "in the plane of rotation"},
	{"backlash-move", "factor", "", "pinion-teeth", "8", "wheel-teeth", "37", "pressure-angle", "20", "spiral-angle", "-35", "sense", "normal"},
	{"dial-place", "at", "the crown", "reading", "0.075", "dial-radius", "45"},
	{"dial-place", "pressure-angle", "", "spiral-angle", ""},
	{"lever", "bar-mass", "", "off-square", "-15"},
	{"lever", "bar-weight", "against", "bar-slope", "30", "arm", "29 in", "want", "162 lbf ft"},
	{"lever-reading", "bar-mass", "5 lb", "bar-centre", "14 in", "bar-weight", "with"},
	{"lever-reading", "bar-mass", "5 lb", "bar-centre", "14 in", "bar-weight", "against", "pull", "20.4 kg"},
	{"extension", "angle", "180"},
	{"cord", "pull", "14, 15, 22 N"},
	{"turns", "outputs", "one is held"},
	{"speeds", "gears", "21/31x17/40; 20/39", "final", "1/1", "wheel", "21.5 in"},
	{"centre-distance", "driver", "30", "driven", "40"},
	{"centre-distance", "helix", "0", "centres", ""},
	{"circlip", "groove", "19.15", "play-min", "0.06 mm"},
	{"fork-shim", "travel-a", "8.0"},
	{"length-20", "reading", "100.00", "temperature", "86 F", "part", "steel", "instrument", "0"},
	{"pack", "target", "5.55", "tolerance", "0.001"},
	{"pack", "most", "3", "thinnest", "0.2", "largest", "0.5"},
	{"pack", "drawer", "a = 0.5", "target", "0.45", "tolerance", "0.01", "largest", "0.4"},
	{"stack-length", "shoulder", "115"},
	{"lever-band", "bar-mass", "2.4", "bar-centre", "0.36", "bar-weight", "with", "off-square", "-12"},
	{"lever-band", "bar-mass", "2.4", "bar-centre", "0.36", "bar-weight", "against", "scale-most", "20 kg", "arm", "0.9"},
	{"lever-band", "least", "218", "most", "222"},
	{"lever-band", "arm", "0.25"},
	{"nut-preload", "torque", "", "preload", "60 kN"},
	{"held-shaft-bend", "bore", "12", "yield", "300"},
	{"held-shaft-bend", "overhang", "0", "yield", ""},
	{"chain", "spread", "evenly", "draws", "2000", "least", "1.9"},
	{"chain", "tolerances", "0.05", "least", "", "most", ""},
	{"mesh-alignment", "face-1", "40", "stack-2", "bearing = 19.25, back = -0.5"},
	{"plate-stack", "depth", "49.20", "plates", "a = 20, b = 29.3"},
	{"ring-gap", "new", "", "cone", ""},
	{"ring-gap", "gap", "0.60, 0.80", "cone", ""},
	{"depth-hot", "case", "magnesium", "factor", ""},
	{"side-preload-hot", "arrangement", "O", "e", "0.35, 0.40", "cup-growth", "10, 14"},
	{"side-preload-hot", "case", "cast iron", "cup-growth", "", "e", "", "preload", ""},
	{"backlash-allowance", "quality", "AGMA quality 3", "backlash", ""},
	{"backlash-variation", "variation", "", "spiral-angle", "0"},
	{"side-gear-washers", "most", "0.30"},
	{"oil-grade", "edition", "before", "cold", ""},
	{"oil-grade", "edition", "2005", "viscosity", "500", "cold", "-5"},
	{"splash", "speed", "20 rpm", "level", "-3"},
	{"splash", "speed", "3000 rpm", "level", "80"},
	{"oil-fill", "bottle", "1 US qt", "stays", "0"},
	{"convert", "to", ""},
	{"convert", "value", "68 ± 1 F", "to", "C"},
	{"convert", "value", "20 C", "to", "F"},
	{"convert", "value", "5 lb", "to", "", "of", "force"},
	{"verdict", "least", ""},
	{"verdict", "most", "", "reading", "0.05"},
	{"push-ring", "push", "the outer", "tubes", "", "force", ""},
	{"push-ring", "push", "the outer", "through", "55", "corner", "0.3", "contact", "1", "tubes", "a = 56/60"},
	{"push-ring", "push", "both", "through", "0", "tubes", "a = 20/60; b = 0/58"},
	{"push-ring", "tubes", "25/35, 90/99"},
	{"fit", "zone", "25 js6"},
	{"fit", "zone", "40 H7/g6"},
	{"bearing-seat", "seat", "its outside", "zone", "80 M7"},
	{"fit-reverse", "shaft", ""},
	{"fit-reverse", "bore", "", "shaft", "25.028"},
	{"press", "bore", "20", "roughness-hub", "6.3", "roughness-shaft", "4", "hub", "die-cast aluminium A380"},
	{"press", "hub", "malleable cast iron", "shaft", "magnesium AZ91D", "bore", "10"},
	{"press", "interference", "0"},
	{"heat-to-fit", "shaft-at", "-18 °C"},
	{"heat-to-fit", "seat", "40", "interference", "30", "slip", "40"},
	{"heat-to-fit", "seat", "20", "interference", "60", "slip", "60", "carry", "60"},
	{"heat-to-fit", "hub", "magnesium AZ91D", "rim", "90", "part", "aluminium", "ceiling", "110"},
	{"grip-hot", "hub", "magnesium AZ91D"},
	{"grip-hot", "hub", "grey cast iron", "bore", "", "length", ""},
	{"bearing-clearance", "in-case", "30", "rim", "110", "case", "die-cast aluminium A380", "inner-warm", "70 K", "outer-warm", "60 K", "kind", "roller"},
	{"bearing-clearance", "shaft-bore", "20", "on-shaft", "45", "rim", "110", "case", "steel"},
	{"run-out", "readings", "0.02, 0.01, -0.02, 0.00", "limit", ""},
	{"run-out", "readings", "0, 0, 0, 0, 0"},
	{"index-run-out", "steps", ""},
	{"gear-run-out", "backlash", "0.01"},
	{"oil-level", "rise", "-0.3 in", "free", "50 %"},
}

// runs calls f for each example and each variant.
func runs(t *testing.T, f func(t *testing.T, a *Answer)) {
	for _, s := range All() {
		t.Run(s.Name, func(t *testing.T) { f(t, run(t, s.Name, s.Example)) })
	}
	for _, v := range variants {
		t.Run(strings.Join(v, " "), func(t *testing.T) { f(t, run(t, v[0], with(t, v[0], v[1:]...))) })
	}
}

// Every line of working that has a formula is evaluated from its printed numbers
// and must give its printed value, within the rounding of what is printed.
func TestWorkingAddsUp(t *testing.T) {
	checked := 0
	runs(t, func(t *testing.T, a *Answer) {
		for _, l := range a.Lines {
			if l.Formula == "" {
				continue
			}
			if err := addsUp(l); err != nil {
				t.Errorf("%s = %s = %s = %s: %v", l.Symbol, l.Formula, l.Numbers, l.Value, err)
			}
			checked++
		}
	})
	if checked < 500 {
		t.Errorf("only %d lines were checked", checked)
	}
}

// The check itself must be able to fail.
func TestAddsUpFindsMistakes(t *testing.T) {
	good := Line{Numbers: "(130 lbf·ft − 8.5 N·m) / (0.75 m · cos 10°)", Value: "227.126 N"}
	if err := addsUp(good); err != nil {
		t.Error(err)
	}
	for _, bad := range []Line{
		{Numbers: "21.42 + 0.26 − 20.64", Value: "1.05 mm"},
		{Numbers: "21.42 + 0.26 − 20.64", Value: "−1.04 mm"},
		{Numbers: "90 N·m · 420 mm / (420 mm + 50 mm · sin 45°)", Value: "80.42 N·m"},
		{Numbers: "gap − e", Value: "1.05 mm"},
		{Numbers: "1.8 N·m / 62 m", Value: "29.03 N"},
	} {
		if addsUp(bad) == nil {
			t.Errorf("%s = %s was found right", bad.Numbers, bad.Value)
		}
	}
}

// Every result is a number that prints, or says something in words.
func TestResultsPrint(t *testing.T) {
	runs(t, func(t *testing.T, a *Answer) {
		if len(a.Results) == 0 {
			t.Fatal("no results")
		}
		for _, r := range a.Results {
			if r.Text == "" || r.Title == "" {
				t.Errorf("%s: nothing is printed", r.Key)
			}
			if math.IsNaN(r.SI) || math.IsInf(r.SI, 0) {
				t.Errorf("%s: %g", r.Key, r.SI)
			}
		}
	})
}

// Results print as unit.Format prints them.
func TestFixedAgreesWithUnitFormat(t *testing.T) {
	seed := uint64(9)
	for i := range 2000 {
		seed = seed*6364136223846793005 + 1442695040888963407
		x := (float64(seed>>11)/(1<<53) - 0.5) * math.Pow(10, float64(i%9-4))
		places := i % 5
		u := anyUnit([]string{"N", "°", "", "m", "°C"}[i%5])
		si := toSI(x, u)
		if got, want := fixed(fromSI(si, u), places)+suffix(u), unit.Format(si, u, places); got != want {
			t.Errorf("%v with %d places: got %q, want %q", x, places, got, want)
		}
	}
	// Halves go away from zero, whatever noise adding has left.
	if got := fixed(62.40e-3+121.85e-3-182.60e-3-0.15e-3-0.925e-3, 6); got != "0.000575" {
		t.Errorf("got %s, want 0.000575", got)
	}
	for x, want := range map[float64]string{-0.004: "0.00", 0.575: "0.58", -0.575: "−0.58", 1e6: "1000000.00"} {
		if got := fixed(x, 2); got != want {
			t.Errorf("%g: got %s, want %s", x, got, want)
		}
	}
}

// addsUp compares the numbers of a line with its value.
func addsUp(l Line) error {
	want, wantUnit, err := valueOf(l.Value)
	if err != nil {
		return err
	}
	e := evaluator{mm: wantUnit.Symbol == "mm", bump: -1}
	got, err := e.evaluate(l.Numbers)
	if err != nil {
		return err
	}
	n, withUnits := e.literals, e.units
	slack := 0.0
	for k := range n {
		e := evaluator{mm: wantUnit.Symbol == "mm", bump: k}
		moved, err := e.evaluate(l.Numbers)
		if err != nil {
			return err
		}
		slack += math.Abs(moved - got)
	}
	half := 5e-6 * math.Abs(want)
	if wantUnit.Symbol == "mm" {
		half = 0.5001e-3
	}
	// Bare numbers are in the unit of the value; others come out in SI.
	if withUnits || wantUnit.Symbol == "°" || wantUnit.Symbol == "%" {
		want, half = want*scale(wantUnit), half*scale(wantUnit)
	}
	if d := math.Abs(got - want); !(d <= slack+half+1e-12*math.Abs(want)) {
		return fmt.Errorf("the numbers give %.7g, the value is %.7g", got, want)
	}
	return nil
}

// valueOf reads a printed value and its unit.
func valueOf(s string) (float64, unit.Unit, error) {
	num := s
	for i, r := range s {
		if !strings.ContainsRune("0123456789.e+−-", r) {
			num = s[:i]
			break
		}
	}
	x, err := strconv.ParseFloat(strings.ReplaceAll(num, "−", "-"), 64)
	return x, anyUnit(strings.TrimSpace(s[len(num):])), err
}

// scale is the SI factor of a unit; turns are counted, not radians.
func scale(u unit.Unit) float64 {
	switch {
	case u.Symbol == "rpm":
		return 1.0 / 60
	case u.Factor == 0:
		return 1
	}
	return u.Factor
}

// evaluator is a small calculator for lines of working.
type evaluator struct {
	s        string
	mm       bool // bare numbers are millimetres, printed to the micrometre
	bump     int  // the literal to move by its rounding, -1 for none
	literals int
	units    bool // some number carried a unit
	err      error
}

func (e *evaluator) evaluate(s string) (float64, error) {
	e.s = strings.TrimSpace(s)
	x := e.sum()
	if e.err == nil && e.s != "" {
		e.err = fmt.Errorf("cannot go on at %q", e.s)
	}
	return x, e.err
}

func (e *evaluator) take(token string) bool {
	rest, ok := strings.CutPrefix(e.s, token)
	if ok {
		e.s = strings.TrimLeft(rest, " ")
	}
	return ok
}

func (e *evaluator) sum() float64 {
	x := e.product()
	for e.err == nil {
		switch {
		case e.take("+"):
			x += e.product()
		case e.take("−"):
			x -= e.product()
		default:
			return x
		}
	}
	return x
}

func (e *evaluator) product() float64 {
	x := e.factor()
	for e.err == nil {
		switch {
		case e.take("·"):
			x *= e.factor()
		case e.take("/"):
			x /= e.factor()
		default:
			return x
		}
	}
	return x
}

var functions = map[string]func(float64) float64{
	"sin": math.Sin, "cos": math.Cos, "tan": math.Tan, "atan": math.Atan, "acos": math.Acos, "abs": math.Abs,
}

func (e *evaluator) factor() float64 {
	x := e.plain()
	for e.err == nil && e.take("²") {
		x *= x
	}
	return x
}

func (e *evaluator) plain() float64 {
	if e.err != nil {
		return 0
	}
	if e.take("√") {
		return math.Sqrt(e.factor())
	}
	for name, f := range functions {
		if strings.HasPrefix(e.s, name+" ") || strings.HasPrefix(e.s, name+"(") {
			e.take(name)
			return f(e.factor())
		}
	}
	switch {
	case e.take("("):
		x := e.sum()
		if !e.take(")") {
			e.err = fmt.Errorf("no closing bracket at %q", e.s)
		}
		return x
	case e.take("π"):
		return math.Pi
	case e.take("−"):
		return -e.factor()
	}
	return e.literal()
}

func (e *evaluator) literal() float64 {
	n := 0
	for n < len(e.s) && (isDigit(e.s[n]) || e.s[n] == '.' || n > 0 && e.s[n] == 'e' || n > 0 && e.s[n] == '-' && e.s[n-1] == 'e') {
		n++
	}
	x, err := strconv.ParseFloat(e.s[:n], 64)
	if err != nil {
		e.err = fmt.Errorf("no number at %q", e.s)
		return 0
	}
	decimals := strings.Contains(e.s[:n], ".")
	e.s = e.s[n:]
	u, ok := e.unit()
	step := 5e-6 * x
	if decimals && (u.Symbol == "mm" || !ok && e.mm) {
		step = 0.5001e-3
	}
	if e.bump == e.literals {
		x += step
	}
	e.literals++
	e.units = e.units || ok && u.Symbol != "°"
	e.s = strings.TrimLeft(e.s, " ")
	return x * scale(u)
}

// unit takes the longest unit symbol that stands next.
func (e *evaluator) unit() (unit.Unit, bool) {
	best := ""
	for symbol := range bySymbol() {
		for _, lead := range []string{"", " "} {
			text := lead + symbol
			if symbol == "" || lead == "" && symbol != "°" || len(text) <= len(best) || !strings.HasPrefix(e.s, text) {
				continue
			}
			if after := e.s[len(text):]; after == "" || strings.ContainsAny(after[:1], " )²") {
				best = text
			}
		}
	}
	if best == "" {
		return unit.Unit{}, false
	}
	e.s = e.s[len(best):]
	return anyUnit(strings.TrimSpace(best)), true
}
