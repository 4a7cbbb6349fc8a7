package setup

import (
	"fmt"
	"math"

	"endfloat/calc/uncert"
	"endfloat/internal/gearbox"
)

// Hot is a setting at its working temperature. Its doubt is that of the growth
// alone; the doubt of the setting itself comes on top.
type Hot struct {
	At         float64 // °C
	Value, U   float64
	Growth     float64 // signed
	GrowthU    float64
	Lo, Hi     float64
	HasLo      bool
	HasHi      bool
	Judged     bool // the file gives limits for it
	Verdict    uncert.Verdict
	Assumption string
}

// growthDoubt is how well the growth of a case against steel is known when its
// metal is known only by name: aluminium as such is 23 millionths per kelvin, the
// casting alloys 21.5 [A356] and 21.8 [NADCA], 13 and 10 % less of growth.
const growthDoubt = 0.07

// heat carries a setting to its working temperature: the case grows away from
// the steel inside it, and the cups lose grip.
//
//	growth = L (α of case − α of steel) (T − 20 °C)
func (e *estimator) heat(r *Result) {
	w := r.Setting.Hot
	if w == nil {
		return
	}
	long, ok := w.Over.SI(e.as)
	alpha, known := gearbox.Expansion(w.Metal.Text(e.as))
	if !ok || !known {
		return
	}
	steel, _ := gearbox.Expansion("steel")
	grow := long * (alpha - steel) * (w.At - 20)
	cups, _ := w.Cups.SI(e.as)
	cupsU := w.Cups.Uncertainty(e.as)
	h := &Hot{At: w.At, Assumption: fmt.Sprintf("%s case against steel over %s, %g °C all through", w.Metal.Text(e.as), Text(long, 0, r.Unit), w.At)}
	h.Growth = w.Sign*grow - cups
	h.GrowthU = math.Hypot(grow*growthDoubt, cupsU)
	h.Value, h.U = r.Value+h.Growth, math.Hypot(r.U, h.GrowthU)
	h.Lo, h.Hi, h.HasLo, h.HasHi = w.Band.At(e.as)
	h.Judged = h.HasLo || h.HasHi
	if h.Judged {
		lo, hi := h.bounds()
		h.Verdict = uncert.Decide(h.Value, h.U, lo, hi)
	}
	r.Hot = h
	r.line(fmt.Sprintf("at %g °C", w.At), Text(h.Value, h.U, r.Unit), h.Assumption)
}

func (h *Hot) bounds() (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	if h.HasLo {
		lo = h.Lo
	}
	if h.HasHi {
		hi = h.Hi
	}
	return
}

// within is the probability that a value lies within its limits, and within
// those for heat where they are judged.
func within(v, u, lo, hi float64, h *Hot) float64 {
	if h == nil || !h.Judged {
		return uncert.Conformity(v, u, lo, hi)
	}
	return box([]axis{{v, lo, hi, h}}, [][]float64{{u * u}})
}
