package bearing

import (
	"fmt"
	"math"
)

// Life returns the basic rating life, which nine of ten bearings reach, in
// revolutions:
//
//	L10 = (C/P)^p · 10⁶
//
// [ISO281]. An unloaded bearing lasts for ever and gives an error.
func Life(c, p, exponent float64) (float64, error) {
	if !(c > 0 && p > 0 && exponent > 0 && c < 1e12) {
		return 0, fmt.Errorf("bearing: a life needs a rating, a load and an exponent above 0, got %g N, %g N and %g", c, p, exponent)
	}
	return lifeOf(c, p, exponent) * Million, nil
}

// lifeOf is (C/P)^p. A power by multiplication is ten times faster than math.Pow
// where it will do.
func lifeOf(c, p, exponent float64) float64 {
	q := c / p
	switch exponent {
	case Ball:
		return q * q * q
	case Roller:
		return q * q * q * math.Cbrt(q)
	}
	return math.Pow(q, exponent)
}

// Rating returns the basic rating that a load needs to last so many revolutions:
// the inverse of Life.
func Rating(p, revolutions, exponent float64) (float64, error) {
	if !(p > 0 && revolutions > 0 && exponent > 0 && revolutions < 1e18) {
		return 0, fmt.Errorf("bearing: a rating needs a load, a life and an exponent above 0, got %g N, %g turns and %g", p, revolutions, exponent)
	}
	return p * math.Pow(revolutions/Million, 1/exponent), nil
}

// Seconds returns how long so many revolutions take at a speed in rad/s.
func Seconds(revolutions, speed float64) (float64, error) {
	if !(revolutions >= 0 && speed > 0) {
		return 0, fmt.Errorf("bearing: a life in hours needs a speed above 0, got %g rad/s", speed)
	}
	return revolutions * 2 * math.Pi / speed, nil
}

// Edition is the set of reliability factors.
type Edition uint8

// The editions. The older set is kept because many sheets and books still use it.
const (
	Edition2007 Edition = iota
	Edition1990
)

// a1 holds reliability in per cent and the factor of each edition. [ISO281], from
// memory; the older set is also in [SKF].
var a1 = [...]struct{ percent, now, old float64 }{
	{90, 1, 1}, {95, 0.64, 0.62}, {96, 0.55, 0.53}, {97, 0.47, 0.44}, {98, 0.37, 0.33}, {99, 0.25, 0.21}, {99.9, 0.093, 0},
}

// ReliabilityFactor returns a1, by which a life shrinks if more than nine of ten
// bearings are to reach it. The reliability is 0.90 to 0.999, in the older edition
// to 0.99; between the values tabled it is taken along a straight line of ln a1
// against ln(1 − reliability), as a Weibull distribution would have it.
func ReliabilityFactor(reliability float64, e Edition) (float64, error) {
	percent := reliability * 100
	pick := func(i int) float64 {
		if e == Edition1990 {
			return a1[i].old
		}
		return a1[i].now
	}
	last := len(a1) - 1
	if e == Edition1990 {
		last--
	}
	const grace = 1e-9
	if !(percent >= a1[0].percent-grace && percent <= a1[last].percent+grace) {
		return 0, fmt.Errorf("bearing: reliability factors are known from %g to %g %%, got %g %%", a1[0].percent, a1[last].percent, percent)
	}
	for i := 1; i <= last; i++ {
		if a, b := a1[i-1].percent, a1[i].percent; percent <= b+grace {
			t := math.Log((100-percent)/(100-a)) / math.Log((100-b)/(100-a))
			return pick(i-1) * math.Pow(pick(i)/pick(i-1), t), nil
		}
	}
	return pick(last), nil
}

// Weibull is the spread of lives in multiples of the rating life: none fails
// before X0, Theta is the characteristic life and B the slope.
type Weibull struct{ X0, Theta, B float64 }

// ThreeParameter is the spread of ball and roller bearings in [BN10] table 11-6,
// second row.
var ThreeParameter = Weibull{0.02, 4.459, 1.483}

// TwoParameter returns the spread of a slope in which nothing is sure to last: one
// bearing in ten fails within the rating life. Slope 1.5 is usual, from memory.
func TwoParameter(slope float64) Weibull {
	return Weibull{0, math.Pow(math.Log(1/0.9), -1/slope), slope}
}

// Survival returns the share of bearings that reach x rating lives:
//
//	R = exp(−((x − x0)/(θ − x0))^b)
func (w Weibull) Survival(x float64) float64 {
	if !(x > w.X0) {
		return 1
	}
	return math.Exp(-math.Pow((x-w.X0)/(w.Theta-w.X0), w.B))
}

// Lives returns the life that a share of bearings reaches, in rating lives: the
// inverse of Survival.
func (w Weibull) Lives(survival float64) (float64, error) {
	if !(survival > 0 && survival < 1 && w.B > 0 && w.Theta > w.X0) {
		return 0, fmt.Errorf("bearing: a share that survives lies between 0 and 1, got %g", survival)
	}
	return w.X0 + (w.Theta-w.X0)*math.Pow(math.Log(1/survival), 1/w.B), nil
}

// Together returns the life that all of several bearings reach with the
// reliability of each one's own life:
//
//	L = (Σ Li^−e)^(−1/e)
//
// e is the Weibull slope, 10/9 for balls, 9/8 for rollers, often 1.5. So two alike
// last less than one. [ISO281] from memory.
func Together(slope float64, lives ...float64) (float64, error) {
	if !(slope > 0) || len(lives) == 0 {
		return 0, fmt.Errorf("bearing: lives together need a slope above 0 and a life, got %g and %d", slope, len(lives))
	}
	least := math.Inf(1)
	for _, l := range lives {
		if !(l > 0) {
			return 0, fmt.Errorf("bearing: a life is above 0, got %g", l)
		}
		least = min(least, l)
	}
	// Scaled by the shortest, so that nothing overflows.
	sum := 0.0
	for _, l := range lives {
		sum += math.Pow(l/least, -slope)
	}
	return least * math.Pow(sum, -1/slope), nil
}
