package ratio

import (
	"fmt"
	"math"
)

// maxSpeeds is more than any gearbox has.
const maxSpeeds = 24

// Steps returns the step from each gear to the next, i_k/i_(k+1). Engine speed
// falls by it in a shift up.
func Steps(ratios []float64) []float64 {
	var steps []float64
	for k := 1; k < len(ratios); k++ {
		steps = append(steps, ratios[k-1]/ratios[k])
	}
	return steps
}

// Geometric returns n ratios from first to last with equal steps,
// φ = (i_1/i_n)^(1/(n−1)). Textbook, no source.
func Geometric(first, last float64, n int) ([]float64, error) {
	return Progressive(first, last, n, 1)
}

// Progressive returns n ratios from first to last whose steps shrink by the same
// factor φ2 from one to the next, so that the high gears lie closer.
//
//	i_z = i_n φ1^(n−z) φ2^((n−z)(n−z−1)/2),  φ1 = ((i_1/i_n) / φ2^((n−1)(n−2)/2))^(1/(n−1))
//
// With φ2 = 1 it is Geometric. [NL11], from memory. It returns an error unless the
// ratios fall and every step is more than 1.
func Progressive(first, last float64, n int, φ2 float64) ([]float64, error) {
	switch {
	case n < 2 || n > maxSpeeds:
		return nil, fmt.Errorf("ratio: steps are laid between 2 to %d gears, got %d", maxSpeeds, n)
	case !(last > 0 && first > last && first < 1e6):
		return nil, fmt.Errorf("ratio: the first gear has the larger ratio, got %g and %g", first, last)
	case !(φ2 >= 1 && φ2 < 10):
		return nil, fmt.Errorf("ratio: steps shrink by a factor of 1 or more, got %g", φ2)
	}
	m := float64(n - 1)
	φ1 := math.Pow(first/last/math.Pow(φ2, m*(m-1)/2), 1/m)
	if !(φ1 > 1) {
		return nil, fmt.Errorf("ratio: with steps that shrink by %g the last would be %.4g; choose a smaller factor", φ2, φ1)
	}
	ratios := make([]float64, n)
	for z := range ratios {
		k := float64(n - 1 - z)
		ratios[z] = last * math.Pow(φ1, k) * math.Pow(φ2, k*(k-1)/2)
	}
	return ratios, nil
}
