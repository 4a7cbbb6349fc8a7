package catalog

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"endfloat/calc/unit"
)

// squares is the sum of two squares, of which the Supplement has published values.
var squares = &Sum{
	Name: "squares", Inputs: []Input{
		ask("a", "a", unit.Number, "", -1e6, 1e6, "the first number"), ask("b", "b", unit.Number, "", -1e6, 1e6, "the second number")},
	Outputs: []Output{gives("sum", "y", unit.Number, "", 6, "sum of the squares")},
	Do: func(c *Call) error {
		a, b := c.F("a"), c.F("b")
		c.Show("sum", "a² + b²", a*a+b*b)
		return nil
	},
}

// [JCGM101] 9.4, comparison loss, figures from memory, in units of 10⁻⁶: the mean,
// standard deviation and shortest 95 % interval for x2 = 0, u = 0.005 of both. To
// first order the first has no uncertainty at all, and none of them agrees.
func TestMonteCarloFindsBends(t *testing.T) {
	for _, c := range []struct {
		a                    string
		mean, sd, lo, hi, u1 float64
	}{
		{"0 ± 0.005", 50, 50, 0, 150, 0},
		{"0.010 ± 0.005", 150, 112, 0, 367, 100},
		{"0.050 ± 0.005", 2550, 502, 1590, 3543, 500},
	} {
		a, err := squares.RunMC(map[string]string{"a": c.a, "b": "0 ± 0.005"}, 200_000, 3)
		if err != nil {
			t.Fatal(err)
		}
		r := a.Results[0]
		for _, v := range []struct {
			what           string
			got, want, tol float64
		}{
			{"first order", r.U * 1e6, c.u1, 1e-6}, {"mean", r.MC.Mean * 1e6, c.mean, 3}, {"sd", r.MC.SD * 1e6, c.sd, 3},
			{"low", r.MC.Lo * 1e6, c.lo, 12}, {"high", r.MC.Hi * 1e6, c.hi, 12},
		} {
			if !(math.Abs(v.got-v.want) <= v.tol) {
				t.Errorf("%s, %s: got %.5g, want %g ± %g", c.a, v.what, v.got, v.want, v.tol)
			}
		}
		if r.MC.Agrees || len(a.Warnings) != 1 || !strings.Contains(a.Warnings[0], "Monte Carlo interval") {
			t.Errorf("%s: no warning that first order fails: %q", c.a, a.Warnings)
		}
	}
	// Far from the bend first order is good enough.
	a, err := squares.RunMC(map[string]string{"a": "10 ± 0.005", "b": "10 ± 0.005"}, 100_000, 3)
	if err != nil || !a.Results[0].MC.Agrees || len(a.Warnings) > 0 {
		t.Errorf("straight enough: %+v, %q, %v", a.Results[0].MC, a.Warnings, err)
	}
}

// A sum that is straight in its inputs must agree whatever the seed and the number
// of draws, or the warning would mean nothing.
func TestMonteCarloAgreesWhereStraight(t *testing.T) {
	s, _ := Find("end-float")
	for _, stand := range []string{"20.64 ± 0.010 mm", "20.64 ± 0.0095 mm", "20.64 ± 0.004 mm"} {
		for _, n := range []int{LeastDraws, 10_000} {
			for seed := range uint64(12) {
				a, err := s.RunMC(with(t, s.Name, "recess", "21.42", "stand-up", stand), n, seed)
				if err != nil {
					t.Fatal(err)
				}
				r, _ := a.Result("gap")
				if !r.MC.Agrees || math.Abs(r.MC.SD/r.U-1) > .12 {
					t.Errorf("%s, %d draws, seed %d: %s against u = %.3g mm", stand, n, seed, r.MC.Text, r.U*1000)
				}
			}
		}
	}
}

func TestMonteCarloRepeats(t *testing.T) {
	s, _ := Find("lever")
	in := map[string]string{"want": "130 lbf·ft ± 2", "arm": "34.0 in ± 0.1"}
	a, err := s.RunMC(in, 20_000, 1)
	b, err2 := s.RunMC(in, 20_000, 1)
	c, err3 := s.RunMC(in, 20_000, 2)
	if err != nil || err2 != nil || err3 != nil {
		t.Fatal(err, err2, err3)
	}
	for i := range a.Results {
		if *a.Results[i].MC != *b.Results[i].MC {
			t.Errorf("one seed, two outcomes: %s and %s", a.Results[i].MC.Text, b.Results[i].MC.Text)
		}
		if a.Results[i].MC.Mean == c.Results[i].MC.Mean {
			t.Error("two seeds, one outcome")
		}
	}
	// The pull in pounds is the pull in newtons.
	if n, lb := a.Results[0], a.Results[2]; n.MC.Lo != lb.MC.Lo || lb.MC.Text == n.MC.Text || !strings.HasSuffix(lb.MC.Text, " lbf") {
		t.Errorf("got %s and %s", n.MC.Text, lb.MC.Text)
	}
	data, err := json.Marshal(a)
	if err != nil || !strings.Contains(string(data), `"mc":{"mean":`) || !strings.Contains(string(data), `"agrees":true`) {
		t.Errorf("JSON: %s, %v", data, err)
	}
}

// A choice made from the values as given stands in every draw.
func TestMonteCarloKeepsChoices(t *testing.T) {
	s, _ := Find("pack")
	a, err := s.RunMC(with(t, "pack", "drawer", "a = 0.502, b = 0.298, c = 1.497 ± 0.003 mm", "target", "0.80", "tolerance", "0.01"), 20_000, 1)
	if err != nil {
		t.Fatal(err)
	}
	total, _ := a.Result("total")
	if math.Abs(total.MC.SD/(0.003e-3*math.Sqrt2)-1) > .03 {
		t.Errorf("a pack of two: %s", total.MC.Text)
	}
}

func TestMonteCarloRefuses(t *testing.T) {
	s, _ := Find("lever")
	in := map[string]string{"want": "130 N·m", "arm": "1 m ± 0.3"}
	for _, n := range []int{0, -1, LeastDraws - 1, MostDraws + 1} {
		if _, err := s.RunMC(in, n, 1); err == nil || !strings.Contains(err.Error(), "draws") {
			t.Errorf("%d draws: %v", n, err)
		}
	}
	if _, err := s.RunMC(in, 20_000, 1); err == nil || !strings.HasPrefix(err.Error(), "arm: ± is too much") {
		t.Errorf("an arm that may be nothing: %v", err)
	}
	a, err := s.RunMC(map[string]string{"want": "130 N·m", "arm": "1 m"}, LeastDraws, 1)
	if err != nil || len(a.Warnings) == 0 || a.Results[0].MC != nil {
		t.Errorf("nothing to draw: %+v, %v", a, err)
	}
}
