package uncert_test

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/uncert"
)

// near fails the test unless got lies within tol of want; a NaN fails.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.10g, want %.10g ± %g", what, got, want, tol)
	}
}

// endGauge is the model of [GUM] H.1, JCGM 100:2008: the length in nm of a
// 50 mm end gauge from a standard ls, a difference d, the standard's expansion
// alpha, the temperature offset theta and the differences of both.
func endGauge(x []float64) float64 {
	ls, d, dAlpha, theta, alpha, dTheta := x[0], x[1], x[2], x[3], x[4], x[5]
	return ls + d - ls*(dAlpha*theta+alpha*dTheta)
}

var (
	endGaugeX = []float64{50_000_623, 215, 0, -0.1, 11.5e-6, 0}
	endGaugeU = []float64{25, math.Sqrt(5.8*5.8 + 3.9*3.9 + 6.7*6.7), uncert.Rect(1e-6), math.Sqrt(0.2*0.2 + 0.5*0.5/2), uncert.Rect(2e-6), uncert.Rect(0.05)}
)

// [GUM] H.1, JCGM 100:2008, tables H.1 and clauses H.1.4 to H.1.7, figures as
// printed there; tolerances are half of their last digit.
func TestEndGauge(t *testing.T) {
	near(t, "u(d)", endGaugeU[1], 9.7, 0.05)
	near(t, "dof of d", uncert.EffectiveDOF([]float64{5.8, 3.9, 6.7}, []float64{24, 5, 8}), 25.6, 0.2) // 25.6 comes from the rounded 9.7
	y, uy, share := uncert.Budget(endGauge, endGaugeX, endGaugeU)
	near(t, "l", y, 50_000_838, 0.5)
	near(t, "uc(l)", uy, 32, 0.5)
	var sum float64
	for i, want := range []float64{25, 9.7, 2.9, 0, 0, 16.6} {
		near(t, fmt.Sprintf("part %d", i), math.Sqrt(share[i])*uy, want, 0.05)
		sum += share[i]
	}
	near(t, "sum of shares", sum, 1, 1e-14)
	dof := uncert.EffectiveDOF([]float64{25, 9.7, 2.9, 16.6}, []float64{18, 25.6, 50, 2})
	near(t, "effective dof", dof, 16.7, 0.1)
	k := uncert.CoverageFactor(0.99, math.Floor(dof))
	near(t, "t99(16)", k, 2.92, 0.005)
	near(t, "U99", uncert.Expanded(uy, k), 93, 1)
	_, u2, err := uncert.SecondOrder(endGauge, endGaugeX, endGaugeU)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "uc(l) with second order", u2, 34, 0.5)
	near(t, "second order alone", math.Sqrt(u2*u2-uy*uy), math.Hypot(11.7, 1.7), 0.2) // printed from the rounded u(theta) = 0.41 K
}

// [GUM] H.2, JCGM 100:2008, tables H.2 to H.4: resistance R and reactance X of
// a circuit element from five readings of voltage V, current I and phase φ
// taken together. The raw readings from memory; that they give the published
// summary says they are right.
func TestCorrelatedInputs(t *testing.T) {
	readings := [][]float64{
		{5.007, 4.994, 5.005, 4.990, 4.999},
		{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3},
		{1.0456, 1.0438, 1.0468, 1.0428, 1.0433},
	}
	x, u, r := make([]float64, 3), make([]float64, 3), [][]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for i := range readings {
		var dof int
		x[i], u[i], dof = uncert.TypeA(readings[i])
		if dof != 4 {
			t.Errorf("dof = %d, want 4", dof)
		}
		for j := range readings {
			if i != j {
				var err error
				if r[i][j], err = uncert.Correlation(readings[i], readings[j]); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	for i, want := range []struct{ x, u, tolX, tolU float64 }{
		{4.9990, 0.0032, 5e-5, 5e-5}, {19.6610e-3, 0.0095e-3, 5e-8, 5e-8}, {1.04446, 0.00075, 5e-6, 5e-6},
	} {
		near(t, "mean", x[i], want.x, want.tolX)
		near(t, "u of mean", u[i], want.u, want.tolU)
	}
	near(t, "r(V,I)", r[0][1], -0.36, 0.005)
	near(t, "r(V,φ)", r[0][2], 0.86, 0.005)
	near(t, "r(I,φ)", r[1][2], -0.65, 0.005)
	for _, c := range []struct {
		name           string
		f              func(x []float64) float64
		y, uy, ignored float64
	}{
		{"R", func(x []float64) float64 { return x[0] / x[1] * math.Cos(x[2]) }, 127.732, 0.071, 0.195},
		{"X", func(x []float64) float64 { return x[0] / x[1] * math.Sin(x[2]) }, 219.847, 0.295, 0.201},
		{"Z", func(x []float64) float64 { return x[0] / x[1] }, 254.260, 0.236, 0.204},
	} {
		y, uy, err := uncert.CombineCorrelated(c.f, x, u, r)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name, y, c.y, 0.0006)
		near(t, "u("+c.name+")", uy, c.uy, 0.0007) // 0.295 is printed for 0.2956
		_, wrong := uncert.Combine(c.f, x, u)      // the standard's own warning, correlation left out
		near(t, "u("+c.name+") uncorrelated", wrong, c.ignored, 0.0006)
	}
}

// For a difference of two readings of one instrument the rule is closed:
// u² = 2u²(1 − r). [GUM] 5.2.2.
func TestCombineCorrelatedDifference(t *testing.T) {
	gap := func(x []float64) float64 { return x[0] - x[1] }
	for _, c := range []struct{ r, want float64 }{{0, 3.26683}, {0.8, 1.46097}, {1, 0}, {-1, 4.62}} {
		_, uy, err := uncert.CombineCorrelated(gap, []float64{80, 60}, []float64{2.31, 2.31}, [][]float64{{1, c.r}, {c.r, 1}})
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("u of a gap at r = %v", c.r), uy, c.want, 1e-5)
	}
	sum := func(x []float64) float64 { return x[0] + x[1] + x[2] }
	ones := []float64{1, 1, 1}
	for _, r := range [][][]float64{
		{{1}}, {{1, 0, 0}, {0, 1, 0}, {0, 0}}, {{1, 2, 0}, {2, 1, 0}, {0, 0, 1}}, {{1, .5, 0}, {.4, 1, 0}, {0, 0, 1}},
		{{1, -1, -1}, {-1, 1, -1}, {-1, -1, 1}}, {{1, math.NaN(), 0}, {0, 1, 0}, {0, 0, 1}}, {{2, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	} {
		if _, uy, err := uncert.CombineCorrelated(sum, ones, ones, r); err == nil {
			t.Errorf("correlation %v is accepted and gives %v", r, uy)
		}
	}
	if _, err := uncert.Correlation([]float64{1, 2}, []float64{3, 3}); err == nil {
		t.Error("a constant correlates")
	}
	if _, err := uncert.Correlation([]float64{1, 2}, []float64{3}); err == nil {
		t.Error("unequal lists correlate")
	}
}

// For a sum the rule is exact: uncertainties add in quadrature, and the shares
// are those of the squares.
func TestCombineSum(t *testing.T) {
	sum := func(x []float64) float64 { return x[0] + x[1] }
	y, uy := uncert.Combine(sum, []float64{10, 20}, []float64{3, 4})
	near(t, "sum", y, 30, 0)
	near(t, "u of sum", uy, 5, 1e-12)
	_, _, share := uncert.Budget(sum, []float64{10, 20}, []float64{3, 4})
	near(t, "share", share[0], 0.36, 1e-14)
	near(t, "share", share[1], 0.64, 1e-14)
	if _, uy, share := uncert.Budget(sum, []float64{1, 2}, []float64{0, 0}); uy != 0 || share[0] != 0 || share[1] != 0 {
		t.Errorf("without uncertainty: u %v, shares %v", uy, share)
	}
}

// The mass of [JCGM101] 9.3, JCGM 101:2008, and the loss of 9.4 in millionths:
// first order and second, as printed.
func TestSecondOrder(t *testing.T) {
	x, u := massX, make([]float64, len(massDraw))
	for i, d := range massDraw {
		u[i] = d.SD()
	}
	_, u1 := uncert.Combine(mass, x, u)
	near(t, "9.3 first order", u1, 0.0539, 0.0001)
	_, u2, err := uncert.SecondOrder(mass, x, u)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "9.3 second order", u2, 0.0750, 0.0001)
	for _, c := range []struct{ x1, first, exact float64 }{{0, 0, 50}, {0.010, 100, 111.8034}, {0.050, 500, 502.4938}} {
		x, u := []float64{c.x1, 0}, []float64{0.005, 0.005}
		_, u1 := uncert.Combine(loss, x, u)
		near(t, "9.4 first order", u1, c.first, 1e-9)
		// For a parabola the series ends: var = 4u²x² + 4u⁴.
		_, u2, err := uncert.SecondOrder(loss, x, u)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "9.4 second order", u2, c.exact, 1e-4)
	}
	if _, _, err := uncert.SecondOrder(func(x []float64) float64 { return x[0] - 0.3*math.Pow(x[0], 3) }, []float64{0}, []float64{1}); err == nil {
		t.Error("a series that does not converge is accepted")
	}
}

// An input list has no scatter until it has two values.
func TestTypeAFew(t *testing.T) {
	for _, v := range [][]float64{nil, {7}} {
		if mean, u, dof := uncert.TypeA(v); !math.IsInf(u, 1) || dof != 0 || len(v) == 1 && mean != 7 {
			t.Errorf("TypeA(%v) = %v, %v, %v", v, mean, u, dof)
		}
	}
}

// Repeats must agree with the correlated rule it is a short form of, and lie
// between averaging nothing and averaging everything.
func TestRepeats(t *testing.T) {
	values, s := []float64{10, 11, 12, 15}, 2.0
	mean, u := uncert.Repeats(values, s, 0.5)
	near(t, "mean", mean, 12, 1e-14)
	near(t, "u", u, math.Sqrt(1+0.75*4/4), 1e-14)
	r := make([][]float64, 4)
	for i := range r {
		r[i] = []float64{0.25, 0.25, 0.25, 0.25}
		r[i][i] = 1
	}
	_, want, err := uncert.CombineCorrelated(func(x []float64) float64 { return (x[0] + x[1] + x[2] + x[3]) / 4 }, values, []float64{s, s, s, s}, r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u against the correlated rule", u, want, 1e-12)
	for _, c := range []struct{ common, want float64 }{{0, 1}, {1, 2}, {7, 2}} {
		_, u := uncert.Repeats(values, s, c.common)
		near(t, "u", u, c.want, 1e-14)
	}
	if _, u := uncert.Repeats(nil, s, 0.5); !math.IsInf(u, 1) {
		t.Errorf("no reading has u = %v", u)
	}
}

func ExampleBudget() {
	// End float from a depth, a bearing's height and a shim, in mm.
	float := func(x []float64) float64 { return x[0] - x[1] - x[2] }
	y, u, share := uncert.Budget(float, []float64{22.41, 21.05, 1.20}, []float64{0.010, 0.004, 0.002})
	fmt.Printf("%.3f ± %.3f mm, the depth has %.0f %% of it\n", y, u, 100*share[0])
	// Output: 0.160 ± 0.011 mm, the depth has 83 % of it
}
