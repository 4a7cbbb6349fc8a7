package uncert_test

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"endfloat/calc/uncert"
)

const million = 1_000_000

// mass is the model of [JCGM101] 9.3, JCGM 101:2008, in mg above 100 g, with
// densities of air, weight and reference in kg/m³.
func mass(x []float64) float64 {
	ref, dref, air, w, r := x[0], x[1], x[2], x[3], x[4]
	return (ref+dref)*(1+(air-1.2)*(1/w-1/r)) - 100_000
}

var (
	massX    = []float64{100_000, 1.234, 1.20, 8000, 8000}
	massDraw = []uncert.Dist{
		uncert.Normal(100_000, 0.050), uncert.Normal(1.234, 0.020), uncert.Rectangular(1.20, 0.10),
		uncert.Rectangular(8000, 1000), uncert.Rectangular(8000, 50),
	}
)

// loss is the model of [JCGM101] 9.4, in millionths.
func loss(x []float64) float64 { return 1e6 * (x[0]*x[0] + x[1]*x[1]) }

func sum(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}

// The examples of [JCGM101] clause 9, JCGM 101:2008, published values from
// memory, those of 9.5 also seen in print elsewhere; tolerances allow for their
// last digit and for the scatter of a million draws.
func TestMonteCarloExamples(t *testing.T) {
	n, rect := uncert.Normal(0, 1), uncert.Rectangular(0, math.Sqrt(3))
	gauge := func(x []float64) float64 {
		return x[0] + x[1] + x[2] + x[3] - x[0]*(x[6]*(x[4]+x[5])+x[7]*x[8]) - 5e7
	}
	for _, c := range []struct {
		name                   string
		f                      func([]float64) float64
		draw                   []uncert.Dist
		mean, sd, p, lo, hi    float64
		meanTol, sdTol, endTol float64
	}{
		{"9.2.2 normal", sum, []uncert.Dist{n, n, n, n}, 0, 2.00, 0.95, -3.92, 3.92, 0.01, 0.005, 0.04},
		{"9.2.3 rectangular", sum, []uncert.Dist{rect, rect, rect, rect}, 0, 2.00, 0.95, -3.88, 3.88, 0.01, 0.005, 0.04},
		{"9.3 mass", mass, massDraw, 1.2340, 0.0754, 0.95, 1.0834, 1.3825, 0.0003, 0.0002, 0.003},
		{"9.4 loss at 0", loss, []uncert.Dist{uncert.Normal(0, 0.005), uncert.Normal(0, 0.005)}, 50, 50, 0.95, 0, 150, 0.3, 0.5, 1},
		{"9.4 loss at 0.010", loss, []uncert.Dist{uncert.Normal(0.010, 0.005), uncert.Normal(0, 0.005)}, 150, 112, 0.95, 0, 367, 0.5, 0.6, 2},
		{"9.4 loss at 0.050", loss, []uncert.Dist{uncert.Normal(0.050, 0.005), uncert.Normal(0, 0.005)}, 2550, 502, 0.95, 1590, 3543, 2, 1.5, 15},
		{"9.5 gauge block", gauge, []uncert.Dist{
			uncert.Student(50_000_623, 25, 18), uncert.Student(215, 6, 24), uncert.Student(0, 4, 5), uncert.Student(0, 7, 8),
			uncert.Normal(-0.1, 0.2), uncert.Arcsine(0, 0.5), uncert.CurvedTrapezoid(0, 1e-6, 0.1e-6),
			uncert.Rectangular(11.5e-6, 2e-6), uncert.CurvedTrapezoid(0, 0.050, 0.025),
		}, 838, 36, 0.99, 745, 932, 0.3, 0.5, 2.5},
	} {
		o := uncert.MonteCarlo(c.f, c.draw, million, 1)
		near(t, c.name+": mean", o.Mean, c.mean, c.meanTol)
		near(t, c.name+": sd", o.SD, c.sd, c.sdTol)
		lo, hi := o.Shortest(c.p)
		near(t, c.name+": low end", lo, c.lo, c.endTol)
		near(t, c.name+": high end", hi, c.hi, c.endTol)
		near(t, c.name+": length", hi-lo, c.hi-c.lo, c.endTol)
		near(t, c.name+": within", o.Within(lo, hi), c.p, 2e-6)
	}
}

// dists with their distribution functions in closed form, that of the curved
// trapezoid as a mean over its half widths. [JCGM101] 6.4.
var dists = []struct {
	name string
	d    uncert.Dist
	cdf  func(x float64) float64
}{
	{"normal", uncert.Normal(3, 2), func(x float64) float64 { return distuv.Normal{Mu: 3, Sigma: 2}.CDF(x) }},
	{"rectangular", uncert.Rectangular(3, 2), func(x float64) float64 { return (x - 1) / 4 }},
	{"triangular", uncert.Triangular(3, 2), func(x float64) float64 {
		if x < 3 {
			return (x - 1) * (x - 1) / 8
		}
		return 1 - (5-x)*(5-x)/8
	}},
	{"arcsine", uncert.Arcsine(3, 2), func(x float64) float64 { return 0.5 + math.Asin((x-3)/2)/math.Pi }},
	{"student 4", uncert.Student(3, 2, 4), func(x float64) float64 { return distuv.StudentsT{Mu: 3, Sigma: 2, Nu: 4}.CDF(x) }},
	{"student 18.5", uncert.Student(3, 2, 18.5), func(x float64) float64 { return distuv.StudentsT{Mu: 3, Sigma: 2, Nu: 18.5}.CDF(x) }},
	{"student ∞", uncert.Student(3, 2, math.Inf(1)), func(x float64) float64 { return distuv.Normal{Mu: 3, Sigma: 2}.CDF(x) }},
	{"curved trapezoid", uncert.CurvedTrapezoid(3, 2, 0.5), func(x float64) float64 {
		const n = 400
		sum := 0.0
		for i := range n {
			half := 1.5 + (float64(i)+0.5)/n
			sum += max(0, min((x-3+half)/(2*half), 1)) / n
		}
		return sum
	}},
	{"exactly", uncert.Normal(3, 0), nil},
}

// Draws must follow their distribution (Kolmogorov–Smirnov, at a level passed
// 999 times in 1000) and have its mean and standard deviation.
func TestDistributions(t *testing.T) {
	const n = 200_000
	for _, c := range dists {
		var y []float64
		keep := sync.Mutex{}
		o := uncert.MonteCarlo(func(x []float64) float64 {
			keep.Lock()
			defer keep.Unlock()
			y = append(y, x[0])
			return x[0]
		}, []uncert.Dist{c.d}, n, 7)
		near(t, c.name+": mean", o.Mean, c.d.Mean(), 4*c.d.SD()/math.Sqrt(n)+1e-15)
		near(t, c.name+": sd", o.SD, c.d.SD(), 0.015*c.d.SD()+1e-15)
		if c.cdf == nil {
			continue
		}
		slices.Sort(y)
		worst := 0.0
		for i, v := range y {
			f := c.cdf(v)
			worst = max(worst, f-float64(i)/n, float64(i+1)/n-f)
		}
		if d := worst * math.Sqrt(n); !(d < 1.95) {
			t.Errorf("%s: draws stray from the distribution by D√n = %.2f, want less than 1.95", c.name, d)
		}
	}
	if s := uncert.Student(0, 1, 2).SD(); !math.IsInf(s, 1) {
		t.Errorf("Student of 2 degrees has SD %v", s)
	}
}

// The tail beyond the ziggurat is drawn by another rule; count what lies there.
func TestNormalTail(t *testing.T) {
	o := uncert.MonteCarlo(func(x []float64) float64 { return x[0] }, []uncert.Dist{uncert.Normal(0, 1)}, 8*million, 3)
	for _, z := range []float64{3.6541528853610088, 4, 4.5} {
		want := 8 * million * math.Erfc(z/math.Sqrt2)
		got := 8 * million * (1 - o.Within(-z, z))
		near(t, fmt.Sprintf("draws beyond %.2f", z), got, want, 4*math.Sqrt(want))
	}
}

// A seed means one outcome, whoever computes it, and a longer run begins as the
// shorter one did; another seed means another.
func TestMonteCarloRepeats(t *testing.T) {
	const n = 100_001
	run := func(procs int, seed uint64) uncert.Outcome {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(procs))
		return uncert.MonteCarlo(mass, massDraw, n, seed)
	}
	one := run(1, 42)
	lo, hi := one.Shortest(0.95)
	for _, procs := range []int{2, 3, 8} {
		o := run(procs, 42)
		l, h := o.Shortest(0.95)
		if o.Mean != one.Mean || o.SD != one.SD || l != lo || h != hi {
			t.Errorf("on %d processors: %v ± %v, on one %v ± %v", procs, o.Mean, o.SD, one.Mean, one.SD)
		}
	}
	if o := run(1, 43); o.Mean == one.Mean {
		t.Error("seeds 42 and 43 give the same outcome")
	}
}

// Few draws and functions that fail give no false digits.
func TestMonteCarloFew(t *testing.T) {
	same := func(x []float64) float64 { return x[0] }
	draw := []uncert.Dist{uncert.Normal(5, 1)}
	for _, n := range []int{-1, 0, 1} {
		o := uncert.MonteCarlo(same, draw, n, 1)
		if lo, hi := o.Shortest(0.95); !math.IsNaN(o.SD) || !math.IsNaN(lo) || !math.IsNaN(hi) || n == 1 && math.IsNaN(o.Mean) {
			t.Errorf("%d draws: %v ± %v in %v to %v", n, o.Mean, o.SD, lo, hi)
		}
	}
	o := uncert.MonteCarlo(func(x []float64) float64 { return math.Sqrt(x[0] - 5) }, draw, 1000, 1)
	if lo, _ := o.Shortest(0.95); !math.IsNaN(o.Mean) || !math.IsNaN(lo) {
		t.Errorf("a function that fails: %v from %v", o.Mean, lo)
	}
	if o := uncert.MonteCarlo(func([]float64) float64 { return 4 }, nil, 5000, 1); o.Mean != 4 || o.SD != 0 {
		t.Errorf("a constant: %v ± %v", o.Mean, o.SD)
	}
	o = uncert.MonteCarlo(same, draw, 1000, 1)
	if lo, hi := o.Shortest(1); o.Within(lo, hi) != 1 {
		t.Errorf("Shortest(1) is %v to %v and holds %v", lo, hi, o.Within(lo, hi))
	}
}

func chain() []uncert.Dist {
	return []uncert.Dist{
		uncert.Normal(120, 0.01), uncert.Rectangular(20, 0.01), uncert.Normal(20, 0.01), uncert.Triangular(1.2, 0.01), uncert.Normal(40, 0.02),
		uncert.Student(10, 0.01, 6), uncert.Normal(5, 0.01), uncert.Arcsine(3, 0.01), uncert.Rectangular(2, 0.02), uncert.Normal(1, 0.01),
	}
}

// A chain of ten lengths; its variance is the sum of theirs.
func TestMonteCarloChain(t *testing.T) {
	v := 0.0
	for _, d := range chain() {
		v += d.SD() * d.SD()
	}
	o := uncert.MonteCarlo(sum, chain(), million, 9)
	near(t, "sd of a chain", o.SD, math.Sqrt(v), 0.004*math.Sqrt(v))
	near(t, "mean of a chain", o.Mean, 222.2, 5*math.Sqrt(v)/1000)
}

func BenchmarkMonteCarlo(b *testing.B) {
	b.Run("mean and sd", func(b *testing.B) {
		for b.Loop() {
			uncert.MonteCarlo(sum, chain(), million, 9)
		}
	})
	b.Run("shortest interval", func(b *testing.B) {
		for b.Loop() {
			uncert.MonteCarlo(sum, chain(), million, 9).Shortest(0.95)
		}
	})
}

func BenchmarkCombine(b *testing.B) {
	x, u := make([]float64, 10), make([]float64, 10)
	for i, d := range chain() {
		x[i], u[i] = d.Mean(), d.SD()
	}
	for b.Loop() {
		uncert.Combine(sum, x, u)
	}
}
