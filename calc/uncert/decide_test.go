package uncert_test

import (
	"math"
	"testing"

	"endfloat/calc/uncert"
)

var inf = math.Inf(1)

// The guard band is that of ISO 14253-1:2017, 1.65 u for 95 % with one limit
// active (from memory of the standard). Limits ± 10 µm at u = 2 µm: in to 6.7,
// out beyond 13.3, computed by hand.
func TestDecide(t *testing.T) {
	for _, c := range []struct {
		y, u, lo, hi float64
		want         uncert.Verdict
	}{
		{0, 2, -10, 10, uncert.In},
		{6.69, 2, -10, 10, uncert.In},
		{-6.69, 2, -10, 10, uncert.In},
		{6.71, 2, -10, 10, uncert.Close},
		{-6.71, 2, -10, 10, uncert.Close},
		{10, 2, -10, 10, uncert.Close},
		{13.29, 2, -10, 10, uncert.Close},
		{13.31, 2, -10, 10, uncert.Out},
		{-13.31, 2, -10, 10, uncert.Out},
		{6.71, 2, -inf, 10, uncert.Close},
		{-1e9, 2, -inf, 10, uncert.In},
		{1e9, 2, -10, inf, uncert.In},
		{-14, 2, -10, inf, uncert.Out},
		{5, 2, -inf, inf, uncert.In},
		{0, 2, uncert.GuardFactor * 2, inf, uncert.Close}, // on the widened limit itself
		{10, 0, -10, 10, uncert.In},
		{math.Nextafter(10, 11), 0, -10, 10, uncert.Out},
		{0, 20, -10, 10, uncert.Close}, // an instrument too coarse for the zone proves nothing
		{0, math.NaN(), -10, 10, uncert.Close},
		{0, -1, -10, 10, uncert.Close},
		{0, inf, -inf, 10, uncert.Close},
		{math.NaN(), 2, -10, 10, uncert.Close},
		{0, 2, math.NaN(), 10, uncert.Close},
	} {
		if got := uncert.Decide(c.y, c.u, c.lo, c.hi); got != c.want {
			t.Errorf("Decide(%v, %v, %v, %v) = %q, want %q", c.y, c.u, c.lo, c.hi, got, c.want)
		}
	}
}

// JCGM 106:2012, clause 7.3.3 example 1 and the two-sided example of an oil's
// viscosity, numbers from memory; and the false accepts at the acceptance limit
// for guard bands 0, U/2, 0.823 U, U and 1.5 U (k = 2), of which [ILACG8]
// prints "< 50 %" for none and "< 2.5 %" for U.
func TestConformity(t *testing.T) {
	near(t, "voltage below its limit", uncert.Conformity(-5.47, 0.05, -inf, -5.40), 0.92, 0.005)
	near(t, "oil within its limits", uncert.Conformity(13.6, 1.8, 12.5, 16.3), 0.66, 0.005)
	for _, c := range []struct{ guard, want float64 }{{0, 0.5}, {1, 0.1587}, {1.646, 0.0499}, {2, 0.0228}, {3, 0.00135}} {
		near(t, "false accept", 1-uncert.Conformity(-c.guard, 1, -inf, 0), c.want, 6e-5)
	}
	near(t, "far tail", uncert.Conformity(0, 1, 10, inf)/7.619853024160526e-24, 1, 1e-12) // erfc(10/√2)/2, from memory
	for _, c := range []struct{ y, u, lo, hi, want float64 }{
		{1, 0, 0, 2, 1}, {2, 0, 0, 2, 1}, {3, 0, 0, 2, 0}, {1, 1, 2, 0, 0}, {1, 1, -inf, inf, 1}, {1, inf, -inf, 2, 0.5}, {1, inf, 0, 2, 0},
	} {
		if got := uncert.Conformity(c.y, c.u, c.lo, c.hi); got != c.want {
			t.Errorf("Conformity(%v, %v, %v, %v) = %v, want %v", c.y, c.u, c.lo, c.hi, got, c.want)
		}
	}
}

// JCGM 106:2012, clause 9.5, numbers from memory: resistors of 1500 Ω, spread
// 0.12, measured to 0.04, wanted within ± 0.2. The risks are the chance that a
// bad one is accepted and a good one refused; to accept what measures within
// the guarded limits is Conformity seen from the true value.
func TestGlobalRisk(t *testing.T) {
	risk := func(guard float64) (consumer, producer float64) {
		const n, reach = 20000, 1.2
		for i := range n {
			e := -reach + 2*reach*(float64(i)+0.5)/n
			density := math.Exp(-e*e/(2*0.12*0.12)) / (0.12 * math.Sqrt(2*math.Pi)) * 2 * reach / n
			accept := uncert.Conformity(e, 0.04, -0.2+guard, 0.2-guard)
			if math.Abs(e) > 0.2 {
				consumer += density * accept
			} else {
				producer += density * (1 - accept)
			}
		}
		return consumer, producer
	}
	near(t, "bad before the test", 1-uncert.Conformity(1500, 0.12, 1499.8, 1500.2), 0.10, 0.005)
	for _, c := range []struct{ guard, consumer, producer float64 }{{0, 0.02, 0.04}, {0.02, 0.01, 0.07}} {
		rc, rp := risk(c.guard)
		near(t, "consumer's risk", rc, c.consumer, 0.005)
		near(t, "producer's risk", rp, c.producer, 0.005)
	}
}

// FuzzDecide asks that a verdict against one limit is as sure as it claims.
func FuzzDecide(f *testing.F) {
	f.Add(1.0, 0.1, 2.0)
	f.Add(1.0, 0.0, 1.0)
	f.Add(1e10, 1e-9, 1e10)
	f.Add(-5.0, 3.0, math.MaxFloat64)
	f.Fuzz(func(t *testing.T, y, u, hi float64) {
		p := uncert.Conformity(y, u, -inf, hi)
		switch v := uncert.Decide(y, u, -inf, hi); v {
		case uncert.In:
			if !(p >= 0.95) {
				t.Errorf("%v ± %v below %v is in with p = %v", y, u, hi, p)
			}
		case uncert.Out:
			if !(p <= 0.05) {
				t.Errorf("%v ± %v above %v is out with p = %v", y, u, hi, p)
			}
		case uncert.Close:
		default:
			t.Errorf("verdict %q", v)
		}
	})
}
