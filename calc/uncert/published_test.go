package uncert_test

import (
	"math"
	"testing"

	"endfloat/calc/uncert"
)

// The intervals that [JCGM101] clause 9 prints for the law of propagation, beside
// those of its own method: from memory. k = 1.96 for 95 %.
func TestFirstOrderIntervals(t *testing.T) {
	u := make([]float64, len(massDraw))
	for i, d := range massDraw {
		u[i] = d.SD()
	}
	k := uncert.CoverageFactor(0.95, inf)
	y, u1 := uncert.Combine(mass, massX, u)
	_, u2, err := uncert.SecondOrder(mass, massX, u)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "9.3 low", y-uncert.Expanded(u1, k), 1.1285, 1e-4)
	near(t, "9.3 high", y+uncert.Expanded(u1, k), 1.3395, 1e-4)
	near(t, "9.3 second order, low", y-uncert.Expanded(u2, k), 1.0870, 2e-4)
	near(t, "9.3 second order, high", y+uncert.Expanded(u2, k), 1.3810, 2e-4)
	for _, c := range []struct{ x1, lo, hi float64 }{{0, 0, 0}, {0.010, -96, 296}, {0.050, 1520, 3480}} {
		y, uy := uncert.Combine(loss, []float64{c.x1, 0}, []float64{0.005, 0.005})
		near(t, "9.4 low", y-uncert.Expanded(uy, k), c.lo, 0.5)
		near(t, "9.4 high", y+uncert.Expanded(uy, k), c.hi, 0.5)
	}
	// 9.5, which is [GUM] H.1: 838 with 32 and t of 16 degrees, 745 to 931.
	y, uy := uncert.Combine(endGauge, endGaugeX, endGaugeU)
	half := uncert.Expanded(math.Round(uy), uncert.CoverageFactor(0.99, 16))
	near(t, "9.5 low", y-5e7-half, 745, 1)
	near(t, "9.5 high", y-5e7+half, 931, 1)
}

// Ends that have a closed form: four rectangular inputs of u = 1 and the loss of
// [JCGM101] 9.4 at nothing, which is 5·10⁻⁵ times an exponential variate.
func TestMonteCarloClosedEnds(t *testing.T) {
	rect := uncert.Rectangular(0, math.Sqrt(3))
	_, hi := uncert.MonteCarlo(sum, []uncert.Dist{rect, rect, rect, rect}, million, 2).Shortest(0.95)
	near(t, "9.2.3", hi, 2*math.Sqrt(3)*(2-math.Pow(3.0/5, 0.25)), 0.03)
	n := uncert.Normal(0, 0.005)
	lo, hi := uncert.MonteCarlo(loss, []uncert.Dist{n, n}, million, 2).Shortest(0.95)
	near(t, "9.4 low", lo, 0, 0.1)
	near(t, "9.4 high", hi, -50*math.Log(0.05), 1)
}

// [TN1900] example E13, the expansion of a copper bar from lengths (m) and
// temperatures (K) with Student's t of three degrees: 1.7266e-5 and 1.76e-6 per
// kelvin to first order, 1.7268e-5 and 1.74e-6 drawn, as the test file of a public
// uncertainty library has it. There the t are drawn to the standard deviation given.
func TestExpansionOfCopper(t *testing.T) {
	f := func(x []float64) float64 { return (x[2] - x[0]) / (x[0] * (x[3] - x[1])) }
	x, u := []float64{1.4999, 288.15, 1.5021, 373.10}, []float64{.0001, .02, .0002, .05}
	y, uy := uncert.Combine(f, x, u)
	near(t, "α", y*1e5, 1.7266, 5e-5)
	near(t, "u(α)", uy*1e6, 1.76, 5e-3)
	draw := make([]uncert.Dist, len(x))
	for i := range x {
		draw[i] = uncert.Student(x[i], u[i]/math.Sqrt(3), 3) // SD = u
	}
	o := uncert.MonteCarlo(f, draw, million, 4)
	near(t, "α drawn", o.Mean*1e5, 1.7268, 2e-3)
	near(t, "u(α) drawn", o.SD*1e6, 1.74, 0.1)
}

// [NUM] example 10, the Stefan–Boltzmann constant from five others: 5.67037e-8 and
// 2.05e-13. The uncertainties are parts in ten million and less, so a difference
// taken over one loses most of its digits; those left must do.
func TestTinyUncertainties(t *testing.T) {
	σ := func(x []float64) float64 {
		h, r, rinf, e, α := x[0], x[1], x[2], x[3], x[4]
		const c = 299792458
		return 32 * math.Pow(math.Pi, 5) * h * math.Pow(r, 4) * math.Pow(rinf, 4) /
			(15 * math.Pow(e, 4) * math.Pow(.001, 4) * math.Pow(c, 6) * math.Pow(α, 8))
	}
	x := []float64{6.62606957e-34, 8.3144621, 10973731.568539, 5.4857990946e-4, 7.2973525698e-3}
	u := []float64{2.9e-41, 7.5e-6, 5.5e-5, 2.2e-13, 2.4e-12}
	y, uy, share := uncert.Budget(σ, x, u)
	near(t, "σ", y*1e8, 5.67037, 5e-6)
	near(t, "u(σ)", uy*1e13, 2.05, 5e-3)
	if !(share[1] > 0.99) {
		t.Errorf("the gas constant has %.3g of the variance, want nearly all", share[1])
	}
}

// [NPL11] section 9.2, table 9.2: ln x for an x anywhere from 0.1 to 1.1. To first
// order −0.511 and 0.481, drawn −0.665, 0.606 and 95 % from −1.895 to 0.095: where
// a function bends, the first-order rule is far off.
func TestLogarithm(t *testing.T) {
	f := func(x []float64) float64 { return math.Log(x[0]) }
	d := uncert.Rectangular(0.6, 0.5)
	y, _ := uncert.Combine(f, []float64{0.6}, []float64{d.SD()})
	near(t, "first order", y, -0.511, 5e-4)
	near(t, "first-order slope", d.SD()/0.6, 0.481, 5e-4)
	o := uncert.MonteCarlo(f, []uncert.Dist{d}, million, 6)
	lo, hi := o.Shortest(0.95)
	near(t, "mean", o.Mean, -0.665, 2e-3)
	near(t, "sd", o.SD, 0.606, 2e-3)
	near(t, "low", lo, -1.895, 3e-3)
	near(t, "high", hi, 0.095, 1e-3)
}

// The limits of distributions: one whose doubt is nothing is the rectangular one,
// Student's of many degrees the normal one, and a trapezoid of [GUM] 4.3.9 has the
// variance of the two rectangular inputs that make it.
func TestDistributionLimits(t *testing.T) {
	near(t, "no doubt", uncert.CurvedTrapezoid(0, 2, 0).SD(), uncert.Rect(2), 1e-15)
	near(t, "many degrees", uncert.Student(0, 1, 1e9).SD(), 1, 1e-8)
	near(t, "U-shaped, a/√2", uncert.Arcsine(0, 3).SD(), 3/math.Sqrt2, 1e-15)
	near(t, "triangular, a/√6", uncert.Triangular(0, 3).SD(), 3/math.Sqrt(6), 1e-15)
	for _, β := range []float64{0.2, 0.5, 0.9} {
		a := 1.5
		trapezoid := a * math.Sqrt((1+β*β)/6)
		near(t, "trapezoid", math.Hypot(uncert.Rect(a*(1+β)/2), uncert.Rect(a*(1-β)/2)), trapezoid, 1e-15)
	}
}

// Less doubt is never less sure: a verdict of in or out stays when u falls, and the
// probability of conformity of a value within its limits grows.
func TestSurerWithLessDoubt(t *testing.T) {
	for y := -15.0; y <= 15; y += 0.25 {
		last, lastP := uncert.Close, 0.0
		for u := 8.0; u > 0.01; u /= 1.3 {
			v, p := uncert.Decide(y, u, -10, 10), uncert.Conformity(y, u, -10, 10)
			if last != uncert.Close && v != last {
				t.Errorf("%g at u %g is %q, with more doubt %q", y, u, v, last)
			}
			if math.Abs(y) < 10 && p < lastP-1e-12 {
				t.Errorf("%g at u %g conforms with %g, with more doubt %g", y, u, p, lastP)
			}
			last, lastP = v, p
		}
	}
}
