package setup

import (
	"fmt"
	"math"

	"endfloat/internal/job"
)

// Stiff is how the drag that proves a preload grows with it, learnt from the
// moves of this job.
type Stiff struct {
	Measure string
	Slope   float64 // per metre of preload, in SI of the measure
	SlopeU  float64
	At      float64 // drag foretold at the target
	AtU     float64
	From    int // readings it was learnt from
}

// stiffness learns from readings of what proves a preload, taken with different
// packs, how it grows with the preload. Drag is not in proportion to preload
// and differs with oil and wear, so it is learnt on this unit, told, and judged
// by nothing but its own limit.
func (e *estimator) stiffness(r *Result) {
	for _, name := range r.Proved {
		m, ok := e.s.Box.Measure(name)
		if !ok {
			continue
		}
		var xs, ys, us []float64
		for _, rd := range e.s.ReadingsOf(m.Name) {
			if !e.s.Valid(rd) || len(rd.Is.SI) == 0 {
				continue
			}
			packs, whole := map[string]job.Pack{}, true
			for _, l := range r.links {
				packs[l.seat.ID] = rd.Packs[l.seat.ID]
				whole = whole && rd.Packs[l.seat.ID].Ok
			}
			if !whole {
				continue
			}
			h, off, _ := r.with(e.s, packs)
			mean := MeanOf(e.s, m, rd)
			xs, ys, us = append(xs, e.m.value(h)+off), append(ys, mean.Value), append(us, math.Max(mean.U, 1e-9))
		}
		if s, ok := lineThrough(xs, ys, us, r.Target); ok {
			s.Measure = m.Name
			r.Stiff = &s
			r.line(m.Name+" for each hundredth of a millimetre", Text(s.Slope*1e-5, s.SlopeU*1e-5, m.Unit), fmt.Sprintf("learnt from %d readings with different packs", s.From))
			r.line(m.Name+" to be expected at the target", Text(s.At, s.AtU, m.Unit), "drag is not in proportion to preload: a hint, not a proof")
			return
		}
	}
}

// apart is how far preloads must lie from each other to teach anything, m.
const apart = 5e-6

// lineThrough fits a line and foretells it at a point. [GUM] H.3.
func lineThrough(xs, ys, us []float64, at float64) (Stiff, bool) {
	var w, wx, wy float64
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range xs {
		k := 1 / (us[i] * us[i])
		w, wx, wy = w+k, wx+k*xs[i], wy+k*ys[i]
		lo, hi = math.Min(lo, xs[i]), math.Max(hi, xs[i])
	}
	if len(xs) < 2 || hi-lo < apart {
		return Stiff{}, false
	}
	mx, my := wx/w, wy/w
	var sxx, sxy float64
	for i := range xs {
		k := 1 / (us[i] * us[i])
		sxx += k * (xs[i] - mx) * (xs[i] - mx)
		sxy += k * (xs[i] - mx) * (ys[i] - my)
	}
	slope := sxy / sxx
	return Stiff{Slope: slope, SlopeU: math.Sqrt(1 / sxx), At: my + slope*(at-mx), AtU: math.Sqrt(1/w + (at-mx)*(at-mx)/sxx), From: len(xs)}, true
}
