package study

import (
	"math"
	"slices"
)

// mostTrials is how often either stage is tried before it is given up.
const mostTrials = 8

// outcome is what one set-up came to.
type outcome struct {
	trials, readings int
	accepted, good   bool
}

// hand is a fitter with a rule of thumb.
type hand struct {
	guard float64 // drawn in from every limit, m
	cold  bool    // carries no length to 20 °C
	times int     // how often backlash is read at each place, 0 for once
}

// firsts are the readings that both ways begin with.
type firsts struct {
	mandrel, block, x, y []float64
}

func (w *world) firsts() firsts {
	return firsts{w.several(3, outside, w.mandrel), w.several(3, outside, w.block), w.several(3, inside, w.caseNow()), w.several(3, outside, w.y)}
}

func mean(v []float64) (m float64) {
	for _, x := range v {
		m += x
	}
	return m / float64(len(v))
}

// width is the case width by hand, carried to 20 °C with the thermometer.
func (f firsts) width(w *world) float64 {
	return mean(f.x) * (1 - (alCase-steelScale)*(w.said-20))
}

func (h hand) do(w *world) outcome {
	f := w.firsts()
	o := outcome{readings: 12}
	pack := nearest(w.drawer[1], 0.50*mm)
	if !h.pinion(w, f, &o, &pack) {
		return o
	}
	h.side(w, f, pack, &o)
	return o
}

func (h hand) pinion(w *world, f firsts, o *outcome, pack *[]shim) bool {
	for range mostTrials {
		o.trials++
		w.depthFit = refit * w.d.NormFloat64()
		gap := w.several(3, feelers, w.depth(*pack)-w.mandrel-w.block)
		o.readings += 3
		miss := depthWanted - mean(f.mandrel) - mean(f.block) - mean(gap)
		if math.Abs(miss) <= depthWithin-h.guard+hair {
			return true
		}
		*pack = nearest(w.drawer[1], measured(*pack)+miss)
	}
	return false
}

// hair keeps what lies on a limit to within rounding inside it.
const hair = 1e-12

func (h hand) side(w *world, f firsts, depth []shim, o *outcome) {
	x := f.width(w)
	if h.cold {
		x = mean(f.x)
	}
	z := x - mean(f.y) + (preloadLow+preloadHigh)/2
	left, right := sides(w.drawer[0], z, z/2)
	k := factorGuess
	var before, moved float64
	for trial := range mostTrials {
		o.trials++
		w.lashFit = refit * w.d.NormFloat64()
		js := w.readBacklash(left, right)
		for n := 2; n <= h.times; n++ {
			for i, j := range w.readBacklash(left, right) {
				js[i] += (j - js[i]) / float64(n)
			}
		}
		o.readings += places * max(1, h.times)
		now := mean(js)
		if inWith(js, h.guard) && math.Abs(measured(left)+measured(right)-z) <= (preloadHigh-preloadLow)/2-h.guard+hair {
			o.accepted, o.good = true, w.depthGood(depth) && w.sideGood(left, right)
			return
		}
		if trial > 0 && math.Abs(moved) >= 0.03*mm {
			k = min(max((now-before)/moved, 0.4), 1.0)
		}
		was := (measured(right) - measured(left)) / 2
		left, right = sides(w.drawer[0], z, measured(right)+((backlashLow+backlashHigh)/2-now)/k)
		before, moved = now, (measured(right)-measured(left))/2-was
	}
}

func (w *world) readBacklash(left, right []shim) []float64 {
	var out []float64
	for _, j := range w.backlash(left, right) {
		out = append(out, w.read(dial, j))
	}
	return out
}

func inWith(js []float64, guard float64) bool {
	return slices.Min(js) >= backlashLow+guard-hair && slices.Max(js) <= backlashHigh-guard+hair
}

// sides are the packs of both sides that make up z, the right one about so thick.
func sides(drawer []shim, z, right float64) (l, r []shim) {
	r = nearest(drawer, right)
	left := slices.DeleteFunc(slices.Clone(drawer), func(s shim) bool {
		return slices.ContainsFunc(r, func(o shim) bool { return o.tag == s.tag })
	})
	return nearest(left, z-measured(r)), r
}

// near is how near to the nearest pack one of fewer pieces may come.
const near = 5 * µm

const mostPieces = 3

// nearest is the pack of at most three pieces that a rule of thumb takes: the
// fewest pieces among those that come within near of the nearest there is.
func nearest(drawer []shim, want float64) []shim {
	order := slices.Clone(drawer)
	slices.SortStableFunc(order, func(a, b shim) int { return int(math.Round((b.read - a.read) / µm)) })
	var best [mostPieces + 1][]shim // by number of pieces
	off := [mostPieces + 1]float64{}
	for i := range off {
		off[i] = math.Inf(1)
	}
	var pack []shim
	var down func(i int, left float64)
	down = func(i int, left float64) {
		if n := len(pack); n > 0 {
			if o := math.Abs(left); o < off[n]-hair {
				off[n], best[n] = o, slices.Clone(pack)
			}
			if n == mostPieces {
				return
			}
		}
		for ; i < len(order); i++ {
			t := order[i].read
			if t > left+100*µm || float64(mostPieces-len(pack))*t < left-100*µm {
				if float64(mostPieces-len(pack))*t < left-100*µm {
					return
				}
				continue
			}
			pack = append(pack, order[i])
			down(i+1, left-t)
			pack = pack[:len(pack)-1]
		}
	}
	down(0, want)
	least := slices.Min(off[:])
	for n := range off {
		if off[n] <= least+near && best[n] != nil {
			return best[n]
		}
	}
	return nil
}
