package uncert

import "math"

// Verdict is what a measurement says about a pair of limits.
type Verdict string

// The verdicts.
const (
	In    Verdict = "in"
	Out   Verdict = "out"
	Close Verdict = "too close to call"
)

// GuardFactor times the standard uncertainty is the guard band that leaves at
// most 5 % risk of a wrong "in" or "out" where one limit is near.
// [ISO14253-1], 2017 edition.
const GuardFactor = 1.65

// Decide compares a measured y, of standard uncertainty u, with the limits lo
// and hi, which belong to the zone and may be infinite. "In" is proven inside
// the zone narrowed by the guard band, "out" outside the zone widened by it.
// With u = 0 it is a plain comparison. Anything that is no number is too close
// to call.
func Decide(y, u, lo, hi float64) Verdict {
	if !(u >= 0) || math.IsInf(u, 0) {
		return Close
	}
	g := GuardFactor * u // held against differences, where a small g is not lost
	switch {
	case y-lo >= g && hi-y >= g:
		return In
	case lo-y > g || y-hi > g:
		return Out
	}
	return Close
}

// Conformity returns the probability that the true value lies between lo and
// hi, which may be infinite, given y with the normal standard uncertainty u.
//
//	p = Φ((hi − y)/u) − Φ((lo − y)/u)
//
// [JCGM106] 7.2 and 7.3.
func Conformity(y, u, lo, hi float64) float64 {
	if !(lo <= hi) {
		return 0
	}
	if u == 0 {
		if lo <= y && y <= hi {
			return 1
		}
		return 0
	}
	a, b := steps(lo, y, u), steps(hi, y, u)
	if a > 0 { // mirror, so that a far tail is not lost beside 1
		a, b = -b, -a
	}
	return phi(b) - phi(a)
}

// steps counts the standard uncertainties from y to a limit; an infinite limit
// stays out of reach of an infinite u.
func steps(limit, y, u float64) float64 {
	if math.IsInf(limit, 0) {
		return limit
	}
	return (limit - y) / u
}

// phi is the standard normal distribution function.
func phi(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
