package uncert_test

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"testing"

	"endfloat/calc/uncert"
)

//go:embed testdata/scipy.py
var scipyScript []byte

// askSciPy runs the script beside this test. Where Python, NumPy or SciPy is
// missing the test is left out; the check-in runs have them and must not pass
// without.
func askSciPy(t *testing.T, answer any) {
	t.Helper()
	const python = "/usr/bin/python3"
	missing := t.Skipf
	if os.Getenv("CI") == "true" {
		missing = t.Fatalf
	}
	if err := exec.Command(python, "-c", "import numpy, scipy").Run(); err != nil {
		missing("no reference to check against: %s with numpy and scipy is needed (%v)", python, err)
	}
	cmd := exec.Command(python, "-")
	var errs bytes.Buffer
	cmd.Stdin, cmd.Stderr = bytes.NewReader(scipyScript), &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("the reference script failed: %v\n%s", err, errs.Bytes())
	}
	if err := json.Unmarshal(out, answer); err != nil {
		t.Fatalf("cannot read what the reference script wrote: %v\n%s", err, out)
	}
}

// SciPy (scipy.stats) and NumPy (numpy.random, PCG64) as Debian packs them, asked
// in the same run.
//
// Closed forms must agree to rounding, Student's factor to 1e-8, as it is found by
// iteration. Two samples of n draws agree within their
// scatter, so the tolerances of the models are five standard deviations of a
// difference: 5·sd·√(2/n) for the mean, 1 % for the standard deviation, 5·√(2p(1−p)/n)
// for the part of our draws below a quantile of theirs. The ends of a shortest
// interval wander more, by n^(−1/3): 0.03 sd.
func TestAgainstSciPy(t *testing.T) {
	type sample struct {
		Mean, SD, Low, High float64
		Quantiles           []float64
	}
	var ref struct {
		N         int
		Parts     []float64
		T         []struct{ P, DOF, K float64 }
		Normal    []struct{ P, K float64 }
		Band      []struct{ Y, U, Low, High, P float64 }
		Deviation map[string]float64
		Dists     map[string][]float64
		Models    map[string]sample
	}
	askSciPy(t, &ref)
	if len(ref.T) < 30 || len(ref.Normal) < 5 || len(ref.Band) < 10 || len(ref.Parts) < 5 {
		t.Fatalf("the reference script left something out: %+v", ref)
	}
	for _, r := range ref.T {
		near(t, fmt.Sprintf("t of %v, %v degrees, against SciPy", r.P, r.DOF), uncert.CoverageFactor(r.P, r.DOF)/r.K, 1, 1e-8)
	}
	for _, r := range ref.Normal {
		near(t, fmt.Sprintf("normal factor of %v against SciPy", r.P), uncert.CoverageFactor(r.P, inf)/r.K, 1, 1e-12)
	}
	for _, r := range ref.Band {
		near(t, fmt.Sprintf("conformity %+v", r), uncert.Conformity(r.Y, r.U, r.Low, r.High), r.P, 1e-13)
	}

	n := float64(ref.N)
	dists := map[string]uncert.Dist{
		"normal": uncert.Normal(3, .5), "rectangular": uncert.Rectangular(3, .5), "triangular": uncert.Triangular(3, .5),
		"arcsine": uncert.Arcsine(3, .5), "student": uncert.Student(3, .5, 4),
	}
	self := func(x []float64) float64 { return x[0] }
	for name, d := range dists {
		near(t, name+": deviation against SciPy", d.SD()/ref.Deviation[name], 1, 1e-12)
		o := uncert.MonteCarlo(self, []uncert.Dist{d}, ref.N, 11)
		if len(ref.Dists[name]) != len(ref.Parts) {
			t.Fatalf("%s: no quantiles from SciPy", name)
		}
		for i, p := range ref.Parts { // exact on their side: one scatter, not two
			near(t, fmt.Sprintf("%s: part below SciPy's %v quantile", name, p), o.Within(-inf, ref.Dists[name][i]), p, 5*math.Sqrt(p*(1-p)/n))
		}
	}

	for _, m := range []struct {
		name string
		f    func([]float64) float64
		draw []uncert.Dist
	}{
		{"chain", func(x []float64) float64 { return x[0] - x[1] - x[2] + x[3] },
			[]uncert.Dist{uncert.Normal(21.42, .010), uncert.Triangular(20.64, .012), uncert.Rectangular(.50, .006), uncert.Student(.1, .004, 9)}},
		{"bend", func(x []float64) float64 { return x[0] * math.Sqrt(1+x[1]*x[1]) / x[2] },
			[]uncert.Dist{uncert.Normal(2, .1), uncert.Arcsine(.5, .4), uncert.CurvedTrapezoid(4, .8, .2)}},
	} {
		o, want := uncert.MonteCarlo(m.f, m.draw, ref.N, 12), ref.Models[m.name]
		if len(want.Quantiles) != len(ref.Parts) {
			t.Fatalf("%s: no sample from NumPy", m.name)
		}
		near(t, m.name+": mean against NumPy", o.Mean, want.Mean, 5*want.SD*math.Sqrt(2/n))
		near(t, m.name+": deviation against NumPy", o.SD/want.SD, 1, .01)
		lo, hi := o.Shortest(.95)
		near(t, m.name+": low end against NumPy", lo, want.Low, .03*want.SD)
		near(t, m.name+": high end against NumPy", hi, want.High, .03*want.SD)
		for i, p := range ref.Parts {
			near(t, fmt.Sprintf("%s: part below NumPy's %v quantile", m.name, p), o.Within(-inf, want.Quantiles[i]), p, 5*math.Sqrt(2*p*(1-p)/n))
		}
	}
}
