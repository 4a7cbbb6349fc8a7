package uncert_test

import (
	"math"
	"testing"

	"endfloat/calc/uncert"
)

// [GUM] table G.2, JCGM 100:2008 (also [TN1297] table B.1): t for the fractions in
// the heading. Its corner, 235.80 in print, is 235.78 when computed; 1.984 and 2.025
// for 100 are printed to one digit more.
func TestCoverageFactor(t *testing.T) {
	inf := math.Inf(1)
	for _, row := range []struct {
		dof float64
		k   [6]float64
	}{
		{1, [6]float64{1.84, 6.31, 12.71, 13.97, 63.66, 235.78}},
		{2, [6]float64{1.32, 2.92, 4.30, 4.53, 9.92, 19.21}},
		{3, [6]float64{1.20, 2.35, 3.18, 3.31, 5.84, 9.22}},
		{4, [6]float64{1.14, 2.13, 2.78, 2.87, 4.60, 6.62}},
		{5, [6]float64{1.11, 2.02, 2.57, 2.65, 4.03, 5.51}},
		{6, [6]float64{1.09, 1.94, 2.45, 2.52, 3.71, 4.90}},
		{7, [6]float64{1.08, 1.89, 2.36, 2.43, 3.50, 4.53}},
		{8, [6]float64{1.07, 1.86, 2.31, 2.37, 3.36, 4.28}},
		{9, [6]float64{1.06, 1.83, 2.26, 2.32, 3.25, 4.09}},
		{10, [6]float64{1.05, 1.81, 2.23, 2.28, 3.17, 3.96}},
		{15, [6]float64{1.03, 1.75, 2.13, 2.18, 2.95, 3.59}},
		{16, [6]float64{1.03, 1.75, 2.12, 2.17, 2.92, 3.54}},
		{20, [6]float64{1.03, 1.72, 2.09, 2.13, 2.85, 3.42}},
		{25, [6]float64{1.02, 1.71, 2.06, 2.11, 2.79, 3.33}},
		{30, [6]float64{1.02, 1.70, 2.04, 2.09, 2.75, 3.27}},
		{40, [6]float64{1.01, 1.68, 2.02, 2.06, 2.70, 3.20}},
		{50, [6]float64{1.01, 1.68, 2.01, 2.05, 2.68, 3.16}},
		{100, [6]float64{1.005, 1.660, 1.984, 2.025, 2.626, 3.077}},
		{inf, [6]float64{1.000, 1.645, 1.960, 2.000, 2.576, 3.000}},
	} {
		for i, p := range []float64{0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973} {
			near(t, "t", uncert.CoverageFactor(p, row.dof), row.k[i], 0.0051)
		}
	}
	// Closed forms: the Cauchy distribution, and two degrees of freedom.
	near(t, "t for one degree", uncert.CoverageFactor(0.99, 1), math.Tan(math.Pi/2*0.99), 1e-9)
	near(t, "t for two degrees", uncert.CoverageFactor(0.95, 2), 0.95*math.Sqrt(2/(1-0.95*0.95)), 1e-9)
	for _, c := range []struct{ p, dof, want float64 }{{0, 5, 0}, {-1, 5, 0}, {1, 5, inf}, {0.95, 0, inf}} {
		if got := uncert.CoverageFactor(c.p, c.dof); got != c.want {
			t.Errorf("CoverageFactor(%v, %v) = %v, want %v", c.p, c.dof, got, c.want)
		}
	}
}

// [GUM] G.4.2, JCGM 100:2008: a doubt of a quarter is worth
// eight degrees of freedom; a tenth fifty.
func TestGuessDOF(t *testing.T) {
	near(t, "dof", uncert.GuessDOF(0.25), 8, 1e-12)
	near(t, "dof", uncert.GuessDOF(0.10), 50, 1e-12)
}

// n equal parts of equal dof have n times as many; parts known exactly leave
// the rest as it is diluted, and only exact parts give infinitely many.
func TestEffectiveDOF(t *testing.T) {
	inf := math.Inf(1)
	near(t, "dof", uncert.EffectiveDOF([]float64{2, 2, 2}, []float64{5, 5, 5}), 15, 1e-12)
	near(t, "dof", uncert.EffectiveDOF([]float64{1, 1, 0}, []float64{3, inf, 1}), 12, 1e-12)
	if got := uncert.EffectiveDOF([]float64{1, 2}, []float64{inf, inf}); !math.IsInf(got, 1) {
		t.Errorf("exact parts have %v degrees of freedom", got)
	}
}
