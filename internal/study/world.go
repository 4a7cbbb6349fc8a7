// Package study simulates set-ups of a crown wheel and pinion: what is true and
// hidden, what instruments read of it, and how many times it is put together
// until it is accepted, by a rule of thumb and with endfloat. docs/study.md says
// what is drawn and what is done, and has the figures.
//
// Lengths are in metres. Chance comes in as Dice, so that a run can be had again.
package study

import (
	"fmt"
	"math"
)

const (
	mm = 1e-3
	µm = 1e-6
)

// Dice is where chance comes from; a *rand.Rand of math/rand/v2 is one.
type Dice interface {
	Float64() float64     // 0 to 1, evenly
	NormFloat64() float64 // of mean 0 and standard deviation 1
}

// What is to be met.
const (
	depthWanted, depthWithin   = 64.00 * mm, 0.03 * mm
	preloadLow, preloadHigh    = 0.10 * mm, 0.14 * mm
	backlashLow, backlashHigh  = 0.13 * mm, 0.18 * mm
	mandrelNominal, blockExact = 30.00 * mm, 33.50 * mm
	factorGuess                = 0.70
	places                     = 4
)

// Instruments of the workshop: the standard uncertainty of one reading, half of
// it common to all.
const (
	inside, outside, dial, feelers = "inside micrometer", "outside micrometer", "dial indicator", "feelers"
	commonShare                    = 0.5
	pieceU                         = 3 * µm
	pieceShare                     = 0.25
)

var doubtOf = map[string]float64{inside: 5 * µm, outside: 3 * µm, dial: 5 * µm, feelers: 10 * µm}

// shim is a piece of the drawer: what it truly is and what it was measured at.
type shim struct {
	tag        string
	real, read float64
}

// world is one set-up with all that is hidden.
type world struct {
	d         Dice
	errors    float64 // how many times greater the instruments' errors are than stated
	x, y      float64 // case width and differential length at 20 °C
	bench     float64 // °C
	said      float64 // as the thermometer has it
	mandrel   float64
	block     float64
	depthBare float64 // pinion depth with nothing at its seat
	lash      float64 // backlash with equal packs
	factor    float64
	runout    float64
	phase     float64
	bias      map[string]float64 // common error of each instrument, m
	drawer    [2][]shim          // side shims, depth shims
	depthFit  float64            // how it went together this time
	lashFit   float64
}

// refit is how well depth and backlash come back.
const refit = 0.004 * mm

const (
	alCase, steelScale = 23e-6, 11.5e-6
	warmth             = 1.0 // K, of the thermometer
)

// newWorld draws a set-up. fine adds the pieces between the steps of 0.05 mm.
func newWorld(d Dice, fine bool, errors float64) *world {
	w := &world{d: d, errors: errors, mandrel: mandrelNominal, block: blockExact}
	w.x, w.y = 170.62*mm+0.10*mm*d.NormFloat64(), 166.34*mm+0.10*mm*d.NormFloat64()
	w.bench = 15 + 10*d.Float64()
	w.said = w.bench + warmth*d.NormFloat64()
	w.depthBare = depthWanted + 0.08*mm*d.NormFloat64() - 0.50*mm
	w.lash = 0.10*mm + 0.30*mm*d.Float64()
	w.factor = factorGuess + 0.07*d.NormFloat64()
	w.runout, w.phase = 0.010*mm*d.Float64(), 2*math.Pi*d.Float64()
	w.bias = map[string]float64{}
	for _, name := range []string{inside, outside, dial, feelers} {
		w.bias[name] = errors * commonShare * doubtOf[name] * d.NormFloat64()
	}
	mic := errors * pieceShare * pieceU * d.NormFloat64()
	side, depth := []float64{2, 1.5}, []float64{}
	for i := 10; i <= 50; i += 5 {
		side, depth = append(side, float64(i)/100), append(depth, float64(i)/100)
	}
	if fine {
		for _, t := range []float64{0.125, 0.175, 0.225, 0.275} {
			side, depth = append(side, t), append(depth, t)
		}
	}
	for i, sizes := range [][]float64{side, depth} {
		for n := range 2 * len(sizes) {
			t := sizes[n/2]*mm + 6*µm*d.NormFloat64()
			got := t + mic + errors*pieceU*math.Sqrt(1-pieceShare*pieceShare)*d.NormFloat64()
			w.drawer[i] = append(w.drawer[i], shim{fmt.Sprintf("%c%d", "sd"[i], n), t, rounded(got)})
		}
	}
	return w
}

// rounded is to the thousandth of a millimetre that instruments show.
func rounded(v float64) float64 { return math.Round(v/µm) * µm }

// read is one reading of a length with an instrument.
func (w *world) read(with string, v float64) float64 {
	own := w.errors * doubtOf[with] * math.Sqrt(1-commonShare*commonShare) * w.d.NormFloat64()
	return rounded(v + w.bias[with] + own)
}

// several reads a length n times.
func (w *world) several(n int, with string, v float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = w.read(with, v)
	}
	return out
}

// caseNow is the case width as it shows on a scale of steel at the bench.
func (w *world) caseNow() float64 { return w.x * (1 + (alCase-steelScale)*(w.bench-20)) }

// depth is the pinion depth with a pack.
func (w *world) depth(pack []shim) float64 { return w.depthBare + total(pack) + w.depthFit }

// preload is that of the side bearings with two packs.
func (w *world) preload(left, right []shim) float64 { return total(left) + total(right) - w.x + w.y }

// backlash is what there is at each place.
func (w *world) backlash(left, right []shim) [places]float64 {
	mean := w.lash + w.factor*(total(right)-total(left))/2 + w.lashFit
	var out [places]float64
	for i := range out {
		out[i] = mean + w.runout*math.Sin(w.phase+2*math.Pi*float64(i)/places)
	}
	return out
}

// total is what a pack truly measures.
func total(pack []shim) (t float64) {
	for _, s := range pack {
		t += s.real
	}
	return t
}

// measured is what it was measured at, piece by piece.
func measured(pack []shim) (t float64) {
	for _, s := range pack {
		t += s.read
	}
	return t
}

// depthGood and sideGood are the hidden truth.
func (w *world) depthGood(pack []shim) bool {
	return math.Abs(w.depth(pack)-depthWanted) <= depthWithin
}

func (w *world) sideGood(left, right []shim) bool {
	if p := w.preload(left, right); p < preloadLow || p > preloadHigh {
		return false
	}
	for _, j := range w.backlash(left, right) {
		if j < backlashLow || j > backlashHigh {
			return false
		}
	}
	return true
}
