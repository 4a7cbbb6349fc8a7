package setup

import (
	"math"
	"testing"
)

// The series of two loosely correlated settings against the integral by
// Simpson's rule of 4000 steps over the conditional normal.
func TestPairAgainstIntegral(t *testing.T) {
	phi := func(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
	for _, rho := range []float64{0, 1e-3, 0.05, -0.1, 0.2, -0.3, 0.3} {
		for _, x := range [][2]float64{{-1, 1}, {-0.3, 2.4}, {1.5, 4}, {-8, 0.1}, {math.Inf(-1), 0.7}, {-2, math.Inf(1)}} {
			for _, y := range [][2]float64{{-1, 1}, {0.2, 0.5}, {-3.9, -1.1}, {math.Inf(-1), math.Inf(1)}, {-0.4, math.Inf(1)}} {
				lo, hi := math.Max(x[0], -9), math.Min(x[1], 9)
				const n = 4000
				var want float64
				s := math.Sqrt(1 - rho*rho)
				for i := 0; i <= n; i++ {
					z := lo + (hi-lo)*float64(i)/n
					w := 2.0
					if i == 0 || i == n {
						w = 1
					} else if i%2 == 1 {
						w = 4
					}
					want += w * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * (phi((y[1]-rho*z)/s) - phi((y[0]-rho*z)/s))
				}
				want *= (hi - lo) / n / 3
				got, ok := pair(axis{v: 5, lo: 5 + 2*x[0], hi: 5 + 2*x[1]}, axis{v: -3, lo: -3 + 0.5*y[0], hi: -3 + 0.5*y[1]}, 4, 0.25, rho)
				if !ok || math.Abs(got-want) > 2e-9 {
					t.Errorf("ρ %g, %v and %v: %.12f, the integral %.12f", rho, x, y, got, want)
				}
			}
		}
	}
	for z := -9.5; z < 9.5; z += 0.00317 {
		if e := edgeOf(z); math.Abs(e.below-phi(z)) > 2e-14 {
			t.Fatalf("Φ(%g) = %g, want %g", z, e.below, phi(z))
		}
	}
}
