package catalog

import (
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"endfloat/calc/unit"
)

func run(t *testing.T, name string, in map[string]string) *Answer {
	t.Helper()
	s, err := Find(name)
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.Run(in)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return a
}

// with returns the example of a sum with some inputs changed; a blank one is left
// out.
func with(t *testing.T, name string, changes ...string) map[string]string {
	t.Helper()
	s, err := Find(name)
	if err != nil {
		t.Fatal(err)
	}
	in := map[string]string{}
	for k, v := range s.Example {
		in[k] = v
	}
	for i := 0; i < len(changes); i += 2 {
		in[changes[i]] = changes[i+1]
	}
	return in
}

var (
	nameForm   = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	sourceForm = regexp.MustCompile(`^[A-Z][A-Z0-9-]{1,9}$`)
)

func TestSumsAreComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range All() {
		if !nameForm.MatchString(s.Name) || seen[s.Name] {
			t.Errorf("%q is not a name, or there twice", s.Name)
		}
		seen[s.Name] = true
		if s.Title == "" || len(s.Purpose) < 30 || !slices.Contains(groups, s.Group) || len(s.Outputs) == 0 {
			t.Errorf("%s: title, purpose, group or outputs are missing", s.Name)
		}
		if len(s.Sources) == 0 {
			t.Errorf("%s: no source", s.Name)
		}
		if len(s.Checked()) < 20 {
			t.Errorf("%s: it does not say what it was checked on", s.Name)
		}
		for _, src := range s.Sources {
			if src != Practice && !sourceForm.MatchString(src) {
				t.Errorf("%s: %q is no key of a source", s.Name, src)
			}
		}
		checkDeclared(t, s)
		a, err := s.Run(s.Example)
		if err != nil || len(a.Results) == 0 || len(a.Lines) == 0 {
			t.Errorf("%s: its example gives %v, %v", s.Name, a, err)
		}
	}
	if len(seen) < 55 {
		t.Errorf("only %d sums", len(seen))
	}
	for name := range checked {
		if !seen[name] {
			t.Errorf("%q was checked and is no sum", name)
		}
	}
}

func checkDeclared(t *testing.T, s *Sum) {
	keys := map[string]bool{}
	for _, in := range s.Inputs {
		quantity := len(in.Choices) == 0 && !in.Words
		switch {
		case !nameForm.MatchString(in.Key) || keys[in.Key]:
			t.Errorf("%s: input %q is not a name, or there twice", s.Name, in.Key)
		case len(in.Help) < 8:
			t.Errorf("%s: input %s needs help", s.Name, in.Key)
		case len(in.Choices) > 0 && in.Default != "":
			t.Errorf("%s: input %s is a question about a sign or a sense and must not have a default", s.Name, in.Key)
		case len(in.Choices) == 1:
			t.Errorf("%s: input %s leaves no choice", s.Name, in.Key)
		case quantity && (in.Symbol == "" || in.Min >= in.Max):
			t.Errorf("%s: input %s needs a symbol and a range", s.Name, in.Key)
		}
		keys[in.Key] = true
	}
	for _, o := range s.Outputs {
		if !nameForm.MatchString(o.Key) || o.Title == "" {
			t.Errorf("%s: output %q needs a name and a title", s.Name, o.Key)
		}
		if !o.Words {
			unitOf(o.Unit, o.Kind) // panics if there is none
		}
	}
	for k := range s.Example {
		if !keys[k] {
			t.Errorf("%s: the example gives %s, which is not asked", s.Name, k)
		}
	}
}

// Where the work can hurt someone the sum says so.
func TestCautions(t *testing.T) {
	for _, name := range []string{"lever", "lever-reading", "lever-band", "extension", "circlip", "nut-preload", "held-shaft-bend", "press", "push-ring", "heat-to-fit"} {
		if s, err := Find(name); err != nil || s.Caution == "" {
			t.Errorf("%s: no word of caution (%v)", name, err)
		}
	}
}

func TestFindSuggests(t *testing.T) {
	for typed, want := range map[string]string{"levr": "lever", "float": "end-float", "pinion": "pinion-depth", "backlsh-move": "backlash-move"} {
		if _, err := Find(typed); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: got %v, want a hint at %s", typed, err, want)
		}
	}
	if _, err := Find("quince"); err == nil || !strings.Contains(err.Error(), "the sums are") {
		t.Errorf("got %v, want the list", err)
	}
	if s, err := Find(" Lever "); err != nil || s.Name != "lever" {
		t.Errorf("got %v, %v", s, err)
	}
}

// Errors begin with the input and say what was read and what was expected.
func TestErrorsNameTheInput(t *testing.T) {
	tests := []struct {
		sum        string
		key, value string
		want       []string // in the message, which begins with key
	}{
		{"lever", "arm", "soft", []string{`cannot read "soft"`, "length"}},
		{"lever", "arm", "600", []string{"600 m is out of range", "0.05 m to 5 m"}},
		{"lever", "arm", "", []string{"nothing was typed", "length"}},
		{"lever", "want", "220 J", []string{"torque", "energy"}},
		{"lever", "bar-weight", "", []string{"with the pull", "against the pull"}},
		{"lever", "bar-weight", "sideways", []string{`"sideways"`, "with the pull"}},
		{"lever", "bar-mass", "45 kg; 3", []string{"cannot read"}},
		{"lever", "off-square", "89°", []string{"out of range", "74°"}},
		{"pinion-depth", "plus", "", []string{"has to be answered", "further from the axis", "nearer to the axis"}},
		{"pinion-depth", "thicker", "", []string{"has to be answered", "away from the axis"}},
		{"pinion-depth", "etched-unit", "", []string{"has to be answered", "thousandths of an inch"}},
		{"backlash-factor", "wheel-teeth", "37.5", []string{"whole number"}},
		{"backlash-factor", "wheel-teeth", "37 ± 1", []string{"whole number"}},
		{"backlash-move", "factor", "0", []string{"out of range"}},
		{"side-shims", "case", "", []string{"aluminium"}},
		{"end-float", "recess", "21,41,21,42", []string{"decimal commas", ";"}},
		{"end-float", "float-min", "0.3 mm", []string{"more than the most"}},
		{"pack", "drawer", "s1 = 0.5, s1 = 0.6", []string{"twice"}},
		{"pack", "drawer", "s1 = half", []string{"half"}},
		{"circlip", "sizes", "2.2", []string{"none of them goes in", "2.08 mm"}},
		{"speeds", "gears", "1 = 13-46", []string{"driver/driven"}},
		{"speeds", "gears", "1 = 13/46, 1 = 21/38", []string{"name of its own"}},
		{"lever-band", "least", "300", []string{"not less than the most"}},
		{"nut-preload", "face-outer", "20", []string{"no ring"}},
		{"chain", "tolerances", "0.1, 0.2", []string{"2 for 4"}},
		{"depth-hot", "seat", "40", []string{"57.12 mm"}},
		{"side-preload-hot", "arrangement", "", []string{"X", "O"}},
		{"backlash-allowance", "module", "1", []string{"out of range"}},
		{"oil-grade", "edition", "", []string{"2019", "before 2005"}},
		{"oil-grade", "viscosity", "3", []string{"thinner"}},
		{"convert", "value", "130", []string{"no unit"}},
		{"convert", "value", "130 gal", []string{"two ways"}},
		{"convert", "to", "kg", []string{"no unit of torque"}},
		{"push-ring", "through", "39", []string{"no tube fits"}},
		{"push-ring", "tubes", "a = 30", []string{"bore/outside"}},
		{"push-ring", "inner-shoulder", "60", []string{"grow"}},
		{"fit", "zone", "25 H7/p66", []string{"p66"}},
		{"fit", "zone", "600 H7", []string{"500 mm"}},
		{"bearing-seat", "zone", "40 H7", []string{"small letter"}},
		{"press", "rim", "40", []string{"grow"}},
		{"run-out", "readings", "1, 2, 3", []string{"4 to"}},
		{"ring-gap", "new", "0.5", []string{"more gap"}},
		{"verdict", "least", "0.3", []string{"more than the most"}},
		{"lever", "amr", "1 m", []string{"no such input", "arm"}},
	}
	for _, tt := range tests {
		s, err := Find(tt.sum)
		if err != nil {
			t.Fatal(err)
		}
		_, err = s.Run(with(t, tt.sum, tt.key, tt.value))
		if err == nil {
			t.Errorf("%s: %s=%q was accepted", tt.sum, tt.key, tt.value)
			continue
		}
		for _, w := range append(tt.want, tt.key) {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %s=%q gives %q, want %q in it", tt.sum, tt.key, tt.value, err, w)
			}
		}
		if !strings.HasPrefix(strings.TrimPrefix(err.Error(), `"`), tt.key) {
			t.Errorf("%s: %q does not begin with %s", tt.sum, err, tt.key)
		}
	}
}

// An input may be at fault though another was changed.
func TestBarTooHeavy(t *testing.T) {
	s, _ := Find("lever")
	_, err := s.Run(with(t, "lever", "want", "5 N·m"))
	if err == nil || !strings.HasPrefix(err.Error(), "bar-mass: the bar's own weight gives 8.473 N·m") {
		t.Errorf("got %v, want an error about the bar's mass", err)
	}
}

// The factor may come in one way only, and half a way is asked for the rest.
func TestBacklashFactorWays(t *testing.T) {
	s, _ := Find("backlash-move")
	base := map[string]string{"backlash": "0.31, 0.31, 0.31, 0.31", "target": "0.15"}
	for name, tt := range map[string]struct{ add, want string }{
		"two ways":  {"factor=0.7;before=0.31", "factor: "},
		"half move": {"before=0.31;after=0.18", "moved: "},
		"no sense":  {"pinion-teeth=8;wheel-teeth=37;pressure-angle=20;spiral-angle=0", "sense: "},
		"wrong way": {"before=0.18;after=0.31;moved=0.2", "moved: "},
	} {
		in := map[string]string{}
		for k, v := range base {
			in[k] = v
		}
		for part := range strings.SplitSeq(tt.add, ";") {
			k, v, _ := strings.Cut(part, "=")
			in[k] = v
		}
		if _, err := s.Run(in); err == nil || !strings.HasPrefix(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want an error of %s", name, err, tt.want)
		}
	}
	a := run(t, "backlash-move", base)
	if r, _ := a.Result("factor"); r.SI != 0.7 || !slices.ContainsFunc(a.Assumptions, func(s string) bool { return strings.Contains(s, "0.7") }) {
		t.Errorf("without a factor: got %v and assumptions %q, want 0.7 and a word of it", r.SI, a.Assumptions)
	}
}

func TestLists(t *testing.T) {
	for _, tt := range []struct {
		text string
		want []float64 // mm
	}{
		{"21.41, 21.42, 21.43", []float64{21.41, 21.42, 21.43}},
		{"21.41,21.42,21.43", []float64{21.41, 21.42, 21.43}},
		{"21,41; 21,42; 21,43", []float64{21.41, 21.42, 21.43}},
		{"21,41, 21,42, 21,43", []float64{21.41, 21.42, 21.43}},
		{"18,87 mm", []float64{18.87}},
		{"21, 22, 23", []float64{21, 22, 23}},
		{"0.84, 0.85 in", []float64{21.336, 21.59}},
		{"21.4 mm, 0.85 in", []float64{21.4, 21.59}},
		{"21.4\n21.5\n", []float64{21.4, 21.5}},
		{"1-3/8 in; 1-1/2 in", []float64{34.925, 38.1}},
	} {
		d := mm("x", "x", 0, 100, "a length to read")
		d.Many = true
		g := given{text: tt.text}
		if err := d.parse(&g); err != nil {
			t.Errorf("%q: %v", tt.text, err)
			continue
		}
		var got []float64
		for _, q := range g.values {
			got = append(got, q.SI*1000)
		}
		if !slices.EqualFunc(got, tt.want, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }) {
			t.Errorf("%q: got %v, want %v", tt.text, got, tt.want)
		}
	}
	for _, bad := range []string{",", ";", "1,2,3", "21.4, 21,5", strings.Repeat("1;", 300)} {
		d := mm("x", "x", 0, 100, "a length to read").many()
		if err := d.parse(&given{text: bad}); err == nil {
			t.Errorf("%.20q was accepted", bad)
		}
	}
}

func TestChoicesTakeTheBeginning(t *testing.T) {
	a := run(t, "pinion-depth", with(t, "pinion-depth", "thicker", "AWAY", "etched-unit", "hundred"))
	if r, _ := a.Result("shim"); math.Abs(r.SI-0.25e-3) > 1e-9 {
		t.Errorf("got %s, want 0.25 mm", r.Text)
	}
	s, _ := Find("pinion-depth")
	if _, err := s.Run(with(t, "pinion-depth", "etched-unit", "thousandths")); err == nil {
		t.Error("an answer that two choices begin with was accepted")
	}
}

func TestAnswerAsJSON(t *testing.T) {
	a := run(t, "lever", map[string]string{"want": "130 lbf·ft", "arm": "34.0 in ± 0.1"})
	data, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Sum     string
		Results []struct {
			Key, Unit, Text string
			SI, Value       float64
			U               float64 `json:"u"`
			USI             float64 `json:"u_si"`
			Shares          []struct {
				Input string
				Part  float64
			}
		}
		Working []struct{ Symbol, Formula, Numbers, Value, Source string }
		Caution string
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	if got.Sum != "lever" || len(got.Results) != 3 || len(got.Working) < 3 || got.Caution == "" {
		t.Fatalf("got %s", data)
	}
	r := got.Results[2]
	if r.Key != "pull-lbf" || r.Unit != "lbf" || math.Abs(r.Value-45.882) > 1e-3 || math.Abs(r.SI-r.Value*4.4482216152605) > 1e-9 ||
		math.Abs(r.U-45.882*0.1/34) > 1e-3 || math.Abs(r.USI-r.U*4.4482216152605) > 1e-9 ||
		len(r.Shares) != 1 || r.Shares[0].Input != "arm" || r.Shares[0].Part != 1 || r.Text != "45.88 ± 0.13 lbf" {
		t.Errorf("got %+v", r)
	}
	// Every declaration must have a JSON form that tells questions from quantities.
	for _, s := range All() {
		data, err := json.Marshal(s)
		if err != nil || !strings.Contains(string(data), `"name":"`+s.Name+`"`) {
			t.Errorf("%s: %s, %v", s.Name, data, err)
		}
	}
}

// The promise is 50 µs for a sum with its working; the test allows for a busy
// machine.
func TestSumsAreQuick(t *testing.T) {
	for _, s := range All() {
		best := time.Hour
		for range 20 {
			start := time.Now()
			if _, err := s.Run(s.Example); err != nil {
				t.Fatal(err)
			}
			best = min(best, time.Since(start))
		}
		if best > 500*time.Microsecond {
			t.Errorf("%s takes %v", s.Name, best)
		}
	}
}

func BenchmarkSums(b *testing.B) {
	for _, s := range All() {
		b.Run(s.Name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := s.Run(s.Example); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Asking for what is not declared is a slip of our own and must not pass.
func TestUndeclaredKeysPanic(t *testing.T) {
	s := &Sum{Name: "probe", Inputs: []Input{mm("a", "a", 0, 1, "some length")}}
	for name, f := range map[string]func(*Call){
		"input":  func(c *Call) { c.F("b") },
		"output": func(c *Call) { c.Out("b", 1) },
		"unit":   func(c *Call) { c.Line("x", "x", "a", 1, "furlong") },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("an undeclared %s went unnoticed", name)
				}
			}()
			f(&Call{sum: s, given: make([]given, 1), answer: &Answer{}})
		}()
	}
	// A result that is no number is an error, not a result.
	s.Outputs = []Output{gives("x", "x", unit.Number, "", 1, "ratio of nothing")}
	s.Do = func(c *Call) error { c.Out("x", c.F("a")/0*0); return nil }
	if _, err := s.Run(map[string]string{"a": "0.5"}); err == nil || !strings.HasPrefix(err.Error(), "a: ") {
		t.Errorf("got %v, want an error about a", err)
	}
}
