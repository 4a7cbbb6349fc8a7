package uncert

import (
	"errors"
	"math"
	"slices"
)

// SecondOrder is Combine with the next terms of the series, for independent,
// normal inputs and a function that bends a little within their uncertainty.
//
//	uc² = Σ fi² ui² + ΣΣ (½ fij² + fi fijj) ui² uj²
//
// An error says that the terms do not converge; MonteCarlo needs no series.
func SecondOrder(f func(x []float64) float64, x, u []float64) (y, uy float64, err error) {
	y = f(x)
	// All derivatives are taken in units of u, by differences over ±step and
	// ±2 step: small enough to be local, large enough to keep digits in the third.
	const step = 0.25
	at := slices.Clone(x)
	shift := func(i int, by float64) { at[i] += by * step * u[i] }
	value := func(i int, a float64, j int, b float64) float64 {
		copy(at, x)
		shift(i, a)
		shift(j, b)
		return f(at)
	}
	n := len(x)
	plus, less, first := make([]float64, n), make([]float64, n), make([]float64, n)
	sum := 0.0
	for i := range n {
		h, l := value(i, 1, i, 0), value(i, -1, i, 0)
		hh, ll := value(i, 2, i, 0), value(i, -2, i, 0)
		plus[i], less[i] = h, l
		first[i] = (8*(h-l) - (hh - ll)) / (12 * step)
		second := (16*(h+l) - (hh + ll) - 30*y) / (12 * step * step)
		third := (hh - ll - 2*(h-l)) / (2 * step * step * step)
		sum += first[i]*first[i] + second*second/2 + first[i]*third
	}
	for i := range n {
		for j := range n {
			if i == j {
				continue
			}
			pp, pm := value(i, 1, j, 1), value(i, 1, j, -1)
			mp, mm := value(i, -1, j, 1), value(i, -1, j, -1)
			fij := (pp - pm - mp + mm) / (4 * step * step)
			fijj := (pp - 2*plus[i] + pm - (mp - 2*less[i] + mm)) / (2 * step * step * step)
			sum += fij*fij/2 + first[i]*fijj // [GUM] 5.1.2, note
		}
	}
	if sum < 0 {
		return y, 0, errors.New("uncert: the function bends too much for second-order terms; use MonteCarlo")
	}
	return y, math.Sqrt(sum), nil
}
