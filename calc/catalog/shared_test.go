package catalog

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"endfloat/calc/uncert"
)

// No sum may take the key that all of them understand.
func TestSharedIsFree(t *testing.T) {
	for _, s := range All() {
		if s.index(Shared.Key) >= 0 {
			t.Errorf("%s has an input of its own called %s", s.Name, Shared.Key)
		}
		if _, ok := s.Input(Shared.Key); !ok {
			t.Errorf("%s does not understand %s", s.Name, Shared.Key)
		}
	}
}

// For a difference of two readings of one instrument the rule is closed: u² =
// 2u²(1 − share), [GUM] 5.2.2. Monte Carlo must find the same spread. The doubt
// shared in full vanishes, and nothing is left to name.
func TestSharedDifference(t *testing.T) {
	s, _ := Find("end-float")
	for _, c := range []struct {
		share string
		u     float64 // µm
	}{
		{"", 3.26683}, {"recess, stand-up: 0", 3.26683}, {"recess, stand-up: 0.8", 1.46097}, {" Stand-Up ,recess: 80 %", 1.46097},
		{"recess, stand-up: 0,8", 1.46097}, {"recess, stand-up: 1", 0},
	} {
		in := with(t, s.Name, "recess", "21.42 ± 0.00231 mm", "stand-up", "20.64 ± 0.00231 mm", Shared.Key, c.share)
		a, err := s.RunMC(in, 100_000, 4)
		if err != nil {
			t.Fatalf("%q: %v", c.share, err)
		}
		r, _ := a.Result("gap")
		if !(math.Abs(r.U*1e6-c.u) <= 1e-5) || !(math.Abs(r.MC.SD*1e6-c.u) <= .01*c.u+1e-9) || !r.MC.Agrees {
			t.Errorf("%q: u %.6g µm, drawn %.6g µm, want %g", c.share, r.U*1e6, r.MC.SD*1e6, c.u)
		}
		if err := sound(a); err != nil {
			t.Errorf("%q: %v", c.share, err)
		}
		says := strings.Contains(strings.Join(a.Assumptions, "\n"), "same instrument")
		if says != (c.share != "") {
			t.Errorf("%q: assumptions %q", c.share, a.Assumptions)
		}
		if c.u > 0 && strings.Contains(c.share, "8") { // what they have in common cancels; each keeps half
			if want := []Share{{"recess", .5}, {"stand-up", .5}, {Shared.Key, 0}}; !slices.EqualFunc(r.Shares, want, func(a, b Share) bool {
				return a.Input == b.Input && math.Abs(a.Part-b.Part) < 1e-9
			}) {
				t.Errorf("%q: shares %v", c.share, r.Shares)
			}
		}
	}
}

// In a sum of two the same doubt adds up instead: u = 2u at share 1; and two groups
// keep to themselves. Held against the correlation matrix, [GUM] 5.2.2, eq. (16).
func TestSharedAgainstCorrelation(t *testing.T) {
	linear := &Sum{Name: "probe", Do: func(c *Call) error {
		c.Show("y", "2 a + b − 3 c + d", 2*c.F("a")+c.F("b")-3*c.F("c")+c.F("d"))
		return nil
	}}
	for _, k := range []string{"a", "b", "c", "d"} {
		linear.Inputs = append(linear.Inputs, ask(k, k, 0, "", -1e3, 1e3, "a number"))
	}
	linear.Outputs = []Output{gives("y", "y", 0, "", 3, "the result")}
	in := map[string]string{"a": "1 ± 0.1", "b": "2 ± 0.2", "c": "3 ± 0.3", "d": "4 ± 0.4"}
	f := func(x []float64) float64 { return 2*x[0] + x[1] - 3*x[2] + x[3] }
	for _, c := range []struct {
		text           string
		ab, ac, bc, cd float64
	}{
		{"", 0, 0, 0, 0}, {"a, b: 1", 1, 0, 0, 0}, {"a, b: 0.3; c, d: 0.6", .3, 0, 0, .6}, {"a, b, c: 0.5", .5, .5, .5, 0}, {"c, a: 0.25", 0, .25, 0, 0},
	} {
		in[Shared.Key] = c.text
		a, err := linear.RunMC(in, 200_000, 9)
		if err != nil {
			t.Fatalf("%q: %v", c.text, err)
		}
		_, want, err := uncert.CombineCorrelated(f, []float64{1, 2, 3, 4}, []float64{.1, .2, .3, .4},
			[][]float64{{1, c.ab, c.ac, 0}, {c.ab, 1, c.bc, 0}, {c.ac, c.bc, 1, c.cd}, {0, 0, c.cd, 1}})
		if err != nil {
			t.Fatal(err)
		}
		r := a.Results[0]
		if math.Abs(r.U/want-1) > 1e-9 || math.Abs(r.MC.SD/want-1) > .01 {
			t.Errorf("%q: u %.9g, drawn %.4g, the matrix gives %.9g", c.text, r.U, r.MC.SD, want)
		}
		if err := sound(a); err != nil {
			t.Errorf("%q: %v", c.text, err)
		}
	}
}

// Several readings of one input share among themselves, and uncert.Repeats has the
// mean of such readings in closed form.
func TestSharedReadings(t *testing.T) {
	s := &Sum{Name: "probe", Inputs: []Input{mm("d", "d", 0, 100, "readings").many()}, Outputs: []Output{givesMM("mean", "m", "mean")},
		Do: func(c *Call) error { m, _ := c.Mean("d"); c.Out("mean", m); return nil }}
	a, err := s.Run(map[string]string{"d": "10, 11, 12, 15 ± 2", Shared.Key: "d: 0.25"})
	if err != nil {
		t.Fatal(err)
	}
	_, want := uncert.Repeats([]float64{10, 11, 12, 15}, 2, .5) // half of s in common is a quarter of s²
	if got := a.Results[0].U * 1e3; math.Abs(got-want) > 1e-9 {
		t.Errorf("u of the mean %.9g mm, want %.9g", got, want)
	}
}

// An error names what was read and what was expected.
func TestSharedRefuses(t *testing.T) {
	s, _ := Find("end-float")
	for text, want := range map[string]string{
		"recess, stand-up":                         "a colon and the share",
		"recess, stand-upp: 0.5":                   "did you mean stand-up?",
		"recess, : 0.5":                            "no such input",
		"recess, shim: 0.5":                        "no such input",
		"recess, gasket: 0.5":                      "has no ±",
		"recess: 0.5":                              "nothing to share its doubt with",
		"recess, recess: 0.5":                      "stands there twice",
		"recess, stand-up: .5; stand-up, recess:1": "stands there twice",
		"recess, stand-up: 1.2":                    "from 0 to 1",
		"recess, stand-up: -0.5":                   "from 0 to 1",
		"recess, stand-up: 0.5 ± 0.1":              "without ±",
		"recess, stand-up: half":                   "cannot read",
		"recess, stand-up:":                        "nothing was typed",
		";":                                        "a colon and the share",
		strings.Repeat("recess,", 1000):            "too many",
	} {
		in := with(t, s.Name, "recess", "21.42 ± 0.002 mm", "stand-up", "20.64 ± 0.002 mm", Shared.Key, text)
		_, err := s.Run(in)
		if err == nil || !strings.HasPrefix(err.Error(), "shared: ") || !strings.Contains(err.Error(), want) {
			t.Errorf("%.40q: error %v, want one of shared that says %q", text, err, want)
		}
	}
}

func ExampleShared() {
	s, _ := Find("end-float")
	in := map[string]string{"recess": "21.420 ± 0.003 mm", "stand-up": "20.640 ± 0.003 mm", "gasket": "0", "float-min": "0.05", "float-max": "0.15", Shared.Key: "recess, stand-up: 0.8"}
	a, err := s.Run(in)
	if err != nil {
		fmt.Println(err)
		return
	}
	r, _ := a.Result("gap")
	fmt.Println(r.Text)
	// Output: 0.7800 ± 0.0019 mm
}
