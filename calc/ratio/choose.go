package ratio

import (
	"fmt"
	"math"
)

// Wish is what a set of gears is chosen for. The parts count in this order: a
// first gear low enough, then a top gear near to what is wanted, then close steps.
type Wish struct {
	First float64 // least ratio of the first gear; 0 if any will do
	Top   float64 // ratio wanted in the top gear; 0 if any will do
}

// Set is one choice from the shelf.
type Set struct {
	Pick    []int // which of each gear's ratios
	Ratios  []float64
	Largest float64 // step between gears
	Short   float64 // by how much the first gear falls short of the wish, 0 if it meets it
	Off     float64 // top gear over what was wanted; 1 if it was met or not asked
}

// RatioForSpeed returns the overall ratio with which the engine turns at ω rad/s
// at a road speed of v m/s: ω D/(2 v).
func RatioForSpeed(ω, v float64, wheel float64) float64 { return ω * wheel / 2 / v }

// Best chooses one ratio for each gear, first gear first, from those on the shelf.
// Every step must be more than 1. Among the sets that meet the wish best the
// largest step is the least possible, and among those the sum of the squares of
// the steps' logarithms, so that they are even.
//
// The first two wishes concern one gear each; the steps join neighbours only, so
// two passes over the gears find the best of all sets without trying them. It
// returns an error if no set has falling ratios.
func Best(shelf [][]float64, w Wish) (Set, error) {
	if err := checkShelf(shelf); err != nil {
		return Set{}, err
	}
	n := len(shelf)
	allow := reachable(shelf)
	short := func(i float64) float64 { return max(0, w.First-i) }
	off := func(i float64) float64 {
		if w.Top == 0 {
			return 0
		}
		return math.Abs(math.Log(i / w.Top))
	}
	// The wish for the first gear comes first: what it leaves decides which top
	// gears can still be reached.
	if !keepLeast(shelf[0], allow[0], short) {
		return Set{}, fmt.Errorf("ratio: no set from this shelf has ratios that fall from gear to gear")
	}
	allow = forward(shelf, allow)
	keepLeast(shelf[n-1], allow[n-1], off)
	if n == 1 {
		return newSet(shelf, chain(shelf, allow, math.Inf(1)), w), nil
	}
	return newSet(shelf, chain(shelf, allow, bottleneck(shelf, allow)), w), nil
}

func checkShelf(shelf [][]float64) error {
	if len(shelf) < 1 || len(shelf) > maxSpeeds {
		return fmt.Errorf("ratio: a shelf holds gears for 1 to %d speeds, got %d", maxSpeeds, len(shelf))
	}
	for k, options := range shelf {
		if len(options) == 0 || len(options) > 100 {
			return fmt.Errorf("ratio: gear %d has %d ratios to choose from; expected 1 to 100", k+1, len(options))
		}
		for _, i := range options {
			if !(i > 1e-3 && i < 1e6) {
				return fmt.Errorf("ratio: a ratio of %g for gear %d is none", i, k+1)
			}
		}
	}
	return nil
}

// reachable marks the ratios from which a falling set can be completed upward.
func reachable(shelf [][]float64) [][]bool {
	allow := make([][]bool, len(shelf))
	for k := len(shelf) - 1; k >= 0; k-- {
		allow[k] = make([]bool, len(shelf[k]))
		for j, i := range shelf[k] {
			allow[k][j] = k == len(shelf)-1
			for n := 0; !allow[k][j] && n < len(shelf[k+1]); n++ {
				allow[k][j] = allow[k+1][n] && shelf[k+1][n] < i
			}
		}
	}
	return allow
}

// forward keeps what can be reached from the first gears that are left.
func forward(shelf [][]float64, allow [][]bool) [][]bool {
	for k := 1; k < len(shelf); k++ {
		for j, i := range shelf[k] {
			from := false
			for p, before := range shelf[k-1] {
				from = from || allow[k-1][p] && before > i
			}
			allow[k][j] = allow[k][j] && from
		}
	}
	return allow
}

// keepLeast keeps of the options allowed those with the least cost.
func keepLeast(options []float64, allow []bool, cost func(float64) float64) bool {
	least := math.Inf(1)
	for j, i := range options {
		if allow[j] {
			least = min(least, cost(i))
		}
	}
	for j, i := range options {
		allow[j] = allow[j] && cost(i) <= least+1e-12
	}
	return !math.IsInf(least, 1)
}

// bottleneck returns the least possible largest step.
func bottleneck(shelf [][]float64, allow [][]bool) float64 {
	best := make([]float64, len(shelf[0]))
	for j := range best {
		best[j] = math.Inf(1)
		if allow[0][j] {
			best[j] = 1
		}
	}
	for k := 1; k < len(shelf); k++ {
		next := make([]float64, len(shelf[k]))
		for j, i := range shelf[k] {
			next[j] = math.Inf(1)
			for p, before := range shelf[k-1] {
				if allow[k][j] && before > i {
					next[j] = min(next[j], max(best[p], before/i))
				}
			}
		}
		best = next
	}
	least := math.Inf(1)
	for _, b := range best {
		least = min(least, b)
	}
	return least
}

// chain returns the set with the least sum of squared logarithms of its steps, none
// larger than most.
func chain(shelf [][]float64, allow [][]bool, most float64) []int {
	n := len(shelf)
	cost := make([][]float64, n)
	back := make([][]int, n)
	for k := range shelf {
		cost[k], back[k] = make([]float64, len(shelf[k])), make([]int, len(shelf[k]))
		for j, i := range shelf[k] {
			cost[k][j] = math.Inf(1)
			if k == 0 && allow[0][j] {
				cost[k][j] = 0
			}
			for p := 0; k > 0 && allow[k][j] && p < len(shelf[k-1]); p++ {
				step := shelf[k-1][p] / i
				if l := math.Log(step); step > 1 && step <= most*(1+1e-12) && cost[k-1][p]+l*l < cost[k][j] {
					cost[k][j], back[k][j] = cost[k-1][p]+l*l, p
				}
			}
		}
	}
	pick := make([]int, n)
	for j, c := range cost[n-1] {
		if c < cost[n-1][pick[n-1]] {
			pick[n-1] = j
		}
	}
	for k := n - 1; k > 0; k-- {
		pick[k-1] = back[k][pick[k]]
	}
	return pick
}

// newSet describes a choice.
func newSet(shelf [][]float64, pick []int, w Wish) Set {
	s := Set{Pick: pick, Largest: 1, Off: 1}
	for k, j := range pick {
		s.Ratios = append(s.Ratios, shelf[k][j])
	}
	for _, step := range Steps(s.Ratios) {
		s.Largest = max(s.Largest, step)
	}
	s.Short = max(0, w.First-s.Ratios[0])
	if w.Top > 0 {
		s.Off = s.Ratios[len(s.Ratios)-1] / w.Top
	}
	return s
}
