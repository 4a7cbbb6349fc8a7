package uncert

import (
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
)

// Outcome is the distribution of a result as MonteCarlo found it.
type Outcome struct {
	Mean, SD float64
	sample   []float64 // in the order drawn
}

// One block of trials has one stream of random numbers, so that the outcome
// does not depend on who computed it; batch keeps a block's draws in the cache.
const (
	block = 4096
	batch = 128
)

// MonteCarlo draws n sets of independent inputs and returns what f makes of
// them. The same seed gives the same outcome to the last bit on any number of
// processors. f runs on several at once: it must only read x and not keep it.
//
// The mean is known to about SD/√n; a million draws give two digits of a 95 %
// interval, [JCGM101] 7.2. With n < 2 there is no spread and SD is NaN; without
// draws the mean is too.
func MonteCarlo(f func(x []float64) float64, draw []Dist, n int, seed uint64) Outcome {
	n = max(n, 0)
	out := Outcome{sample: make([]float64, n)}
	blocks := (n + block - 1) / block
	means, squares := make([]float64, blocks), make([]float64, blocks)
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), blocks) {
		wait.Go(func() {
			x := make([]float64, batch*len(draw))
			for b := int(next.Add(1)) - 1; b < blocks; b = int(next.Add(1)) - 1 {
				y := out.sample[b*block : min(n, (b+1)*block)]
				trials(f, draw, newSource(seed, uint64(b)), x, y)
				means[b], squares[b] = moments(y)
			}
		})
	}
	wait.Wait()
	out.Mean, out.SD = pool(means, squares, n)
	return out
}

// trials fills y with results of f, using x for the draws.
func trials(f func(x []float64) float64, draw []Dist, r *source, x, y []float64) {
	d := len(draw)
	for len(y) > 0 {
		k := min(batch, len(y))
		for i := range draw {
			draw[i].fill(r, x[i:k*d], d)
		}
		for j := range k {
			y[j] = f(x[j*d : (j+1)*d : (j+1)*d])
		}
		y = y[k:]
	}
}

// moments returns the mean of y and the sum of squared deviations from it.
func moments(y []float64) (mean, squares float64) {
	for _, v := range y {
		mean += v - y[0]
	}
	mean = y[0] + mean/float64(len(y))
	for _, v := range y {
		squares += (v - mean) * (v - mean)
	}
	return mean, squares
}

// pool joins the moments of all blocks of n draws, in their order.
func pool(means, squares []float64, n int) (mean, sd float64) {
	if n == 0 {
		return math.NaN(), math.NaN()
	}
	done, sum := 0.0, 0.0
	for b := range means {
		k := float64(min(block, n-b*block))
		d := means[b] - mean
		mean += d * k / (done + k)
		sum += squares[b] + d*d*done*k/(done+k)
		done += k
	}
	return mean, math.Sqrt(sum / float64(n-1)) // [JCGM101] 7.6, eq. (16) and (17)
}

// Shortest returns the shortest interval that holds the fraction p of the
// draws. It is NaN where the outcome has no spread to speak of: f was not a
// finite number somewhere, or n < 2.
func (o Outcome) Shortest(p float64) (lo, hi float64) {
	n := len(o.sample)
	if math.IsNaN(o.SD) {
		return math.NaN(), math.NaN()
	}
	y := slices.Clone(o.sample)
	slices.Sort(y)
	q := min(max(int(p*float64(n)+0.5), 0), n-1) // [JCGM101] 7.7.2
	best := 0
	for r := range n - q {
		if y[r+q]-y[r] < y[best+q]-y[best] { // [JCGM101] 7.7.4
			best = r
		}
	}
	return y[best], y[best+q]
}

// Within returns the fraction of the draws from lo to hi, which may be infinite.
func (o Outcome) Within(lo, hi float64) float64 {
	in := 0
	for _, y := range o.sample {
		if y >= lo && y <= hi {
			in++
		}
	}
	return float64(in) / float64(len(o.sample))
}
