// Package uncert combines measurement uncertainties and decides against limits.
//
// Inputs are values with standard uncertainties, the result that of a plain Go
// function of them. Combine and its kin expand the function to first order
// about the inputs; SecondOrder and MonteCarlo are for functions that bend
// within the uncertainty of an input. All uncertainties passed in and out are
// standard ones (k = 1) unless a name says Expanded.
//
// The functions have no errors of their own to report about finite numbers
// unless they say so; a NaN or an infinity that f returns comes through.
//
// Sources: [GUM], [JCGM101], [JCGM106], [ISO14253-1].
package uncert

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Combine returns f(x) and its standard uncertainty, for independent inputs x
// with standard uncertainties u. It needs one u for each x, calls f twice an
// input, and holds where f is nearly straight over x ± u.
//
//	uc² = Σ zi², zi = (f(…, xi + ui, …) − f(…, xi − ui, …)) / 2
func Combine(f func(x []float64) float64, x, u []float64) (y, uy float64) {
	y, uy, _ = Budget(f, x, u)
	return y, uy
}

// Budget is Combine with the share of each input in the variance of the result.
// The shares sum to 1; they are all 0 if the result has no uncertainty.
func Budget(f func(x []float64) float64, x, u []float64) (y, uy float64, share []float64) {
	share = parts(f, x, u)
	for _, z := range share {
		uy = math.Hypot(uy, z) // [GUM] 5.1.2, eq. (10)
	}
	for i, z := range share {
		if uy > 0 {
			share[i] = (z / uy) * (z / uy)
		}
	}
	return f(x), uy, share
}

// parts returns what each input's standard uncertainty does to the result, with
// its sign.
func parts(f func(x []float64) float64, x, u []float64) []float64 {
	at, z := slices.Clone(x), make([]float64, len(x))
	for i := range x {
		at[i] = x[i] + u[i]
		hi := f(at)
		at[i] = x[i] - u[i]
		lo := f(at)
		at[i] = x[i]
		z[i] = (hi - lo) / 2 // [GUM] 5.1.3, note 2
	}
	return z
}

// CombineCorrelated is Combine for inputs whose correlation coefficients are
// r[i][j]. The matrix must be one that quantities can have: square, symmetric,
// with ones on its diagonal.
//
//	uc² = ΣΣ zi zj rij
func CombineCorrelated(f func(x []float64) float64, x, u []float64, r [][]float64) (y, uy float64, err error) {
	if len(r) != len(x) {
		return 0, 0, fmt.Errorf("uncert: %d inputs need as many rows of correlation, not %d", len(x), len(r))
	}
	z := parts(f, x, u)
	sum, most := 0.0, 0.0
	for i := range z {
		if len(r[i]) != len(x) || r[i][i] != 1 {
			return 0, 0, fmt.Errorf("uncert: row %d of correlation must have %d numbers and 1 in place %d", i+1, len(x), i+1)
		}
		for j := range z {
			if !(math.Abs(r[i][j]) <= 1) || r[i][j] != r[j][i] {
				return 0, 0, fmt.Errorf("uncert: correlation %g between inputs %d and %d must lie between −1 and 1, the same both ways", r[i][j], i+1, j+1)
			}
			sum += z[i] * z[j] * r[i][j] // [GUM] 5.2.2, eq. (16)
		}
		most += math.Abs(z[i])
	}
	// Full correlation may cancel to nothing, so rounding may go below it.
	if sum < -1e-12*most*most {
		return 0, 0, errors.New("uncert: no set of inputs can have these correlations")
	}
	return f(x), math.Sqrt(max(sum, 0)), nil
}

// Correlation returns the correlation coefficient of two quantities that were
// read together n times; it holds for their means too. [GUM] 5.2.3 and 5.2.2,
// eq. (17) and (14).
func Correlation(a, b []float64) (float64, error) {
	if len(a) != len(b) || len(a) < 2 {
		return 0, fmt.Errorf("uncert: correlation needs two or more pairs, not %d and %d readings", len(a), len(b))
	}
	ma, sa := spread(a)
	mb, sb := spread(b)
	if !(sa > 0 && sb > 0) {
		return 0, errors.New("uncert: a quantity that does not vary has no correlation")
	}
	sum := 0.0
	for i := range a {
		sum += (a[i] - ma) / sa * ((b[i] - mb) / sb)
	}
	return max(-1, min(sum/float64(len(a)-1), 1)), nil
}

// spread returns the mean of the values and the standard deviation of one, 0
// for fewer than two.
func spread(values []float64) (mean, s float64) {
	if len(values) == 0 {
		return 0, 0
	}
	n := float64(len(values))
	for _, v := range values {
		mean += (v - values[0]) / n // differences keep the digits of long values
	}
	mean += values[0]
	if len(values) < 2 {
		return mean, 0
	}
	for _, v := range values {
		s += (v - mean) * (v - mean) / (n - 1)
	}
	return mean, math.Sqrt(s)
}

// TypeA returns the mean of repeated readings, its standard uncertainty from
// their scatter, and the degrees of freedom n − 1.
//
//	u = s / √n
//
// Fewer than two readings have no scatter: u is then +Inf and dof 0.
func TypeA(values []float64) (mean, u float64, dof int) {
	mean, s := spread(values)
	if len(values) < 2 {
		return mean, math.Inf(1), 0
	}
	return mean, s / math.Sqrt(float64(len(values))), len(values) - 1 // [GUM] 4.2.3, eq. (5)
}

// Rect returns the standard uncertainty of a quantity known to lie within
// ± halfWidth, equally likely anywhere there: a/√3. [GUM] 4.3.7.
func Rect(halfWidth float64) float64 { return math.Abs(halfWidth) / math.Sqrt(3) }

// Repeats returns the mean of n readings of one instrument and its standard
// uncertainty, where a single reading has s and the share common of s, between
// 0 and 1, is the same in every reading, as an error of the zero or the scale
// is. Averaging does not reduce that share.
//
//	u² = (c s)² + (1 − c²) s²/n
//
// This is the mean of n inputs correlated by r = c², [GUM] 5.2.2. Without
// readings u is +Inf.
func Repeats(values []float64, s, common float64) (mean, u float64) {
	mean, _ = spread(values)
	if len(values) == 0 || !(s >= 0) {
		return mean, math.Inf(1)
	}
	c := max(0, min(common, 1))
	return mean, s * math.Sqrt(c*c+(1-c*c)/float64(len(values)))
}
