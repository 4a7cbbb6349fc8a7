package setup

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// chain says what a setting comes to whose seats are links of its chain.
func (e *estimator) chain(r *Result) {
	r.held = true
	for _, t := range r.Chain {
		e.chainLine(r, t)
	}
	r.Value = e.m.value(r.form.chain)
	r.U = math.Sqrt(e.m.cov(r.form.chain, r.form.chain))
	r.Low, r.High = r.Value, r.Value
	if r.Known = len(r.Missing) == 0; r.Known {
		r.line(r.Name, e.text(r, r.Value, r.U), "the sum of the links")
	}
}

// chainLine is the working of one link, and what is wanting at its seat.
func (e *estimator) chainLine(r *Result, t gearbox.Term) {
	switch {
	case t.Measure != "":
		m, _ := e.s.Box.Measure(t.Measure)
		e.lengthLine(r, t.Sign, m.Name, m)
	case t.Dim == "":
		p, _ := e.s.Box.Position(t.Position)
		pack := e.s.Pack(t.Position)
		switch {
		case len(pack.Tags) == 0:
			r.Empty = append(r.Empty, "no pack is in at "+p.Label()+" yet")
			r.line(sign(t.Sign)+"pack at "+p.Label(), "none yet", "")
			return
		case !pack.Ok:
			r.Empty = append(r.Empty, "the pack at "+p.Label()+" has no measured thickness")
		}
		h := e.pack(pack.Tags, 1)
		r.line(sign(t.Sign)+"pack at "+p.Label(), Text(e.m.value(h), math.Sqrt(e.m.cov(h, h)), r.Unit), strings.Join(pack.Tags, " + ")+e.whole(p.ID, pack.Tags))
	default:
		e.dimensionLine(r, t)
	}
}

// whole says where a pack was measured all together.
func (e *estimator) whole(seat string, tags []string) string {
	var at string
	for _, rd := range e.s.ReadingsOf(seat + " thickness") {
		if slices.Equal(sorted(rd.Packs[seat].Tags), sorted(tags)) {
			at += "; together " + from(rd)
		}
	}
	return at
}

func (e *estimator) dimensionLine(r *Result, t gearbox.Term) {
	p, _ := e.s.Box.Position(t.Position)
	name := p.Label() + " " + t.Dim
	if m, found := e.s.Box.Measure(t.Position + " " + t.Dim); found {
		if e.lengthLine(r, t.Sign, name, m) {
			return
		}
	}
	if pack := e.s.Pack(t.Position); t.Dim == "width" && pack.Ok {
		r.line(sign(t.Sign)+name, Text(pack.SI, pack.U, r.Unit), "measured piece "+strings.Join(pack.Tags, " + "))
		return
	}
	if v, u, ok := p.Figure(t.Dim, e.as); ok {
		r.line(sign(t.Sign)+name, Text(v, u, r.Unit), "gearbox file")
	}
}

// lengthLine gives what a length is estimated at and the readings it came from.
func (e *estimator) lengthLine(r *Result, s float64, name string, m *gearbox.Measure) bool {
	i, ok := e.index["length "+m.Name]
	if !ok {
		return false
	}
	var at []string
	for _, rd := range e.s.ReadingsOf(m.Name) {
		if e.s.Valid(rd) && len(rd.Is.SI) > 0 {
			at = append(at, from(rd)+carried(e.s, m, rd))
		}
	}
	h := []part{{i, 1}}
	r.line(sign(s)+name, Text(e.m.value(h), math.Sqrt(e.m.cov(h, h)), m.Unit), strings.Join(at, "; "))
	return true
}

// carried says what the temperature took off or put on.
func carried(s *job.State, m *gearbox.Measure, rd job.Reading) string {
	mean := MeanOf(s, m, rd)
	if mean.Correct == 0 {
		return ""
	}
	return fmt.Sprintf("; read at %s, %s mm to 20 °C", unit.Format(*rd.Is.Temp, celsius, 0), signed(unit.Format(mean.Correct, thousandth, 3), mean.Correct))
}

func sign(s float64) string {
	if s < 0 {
		return "− "
	}
	return "+ "
}

var (
	celsius    = mustFind("°C", unit.KindTemperature)
	thousandth = unit.Unit{Kind: unit.KindLength, Factor: 1e-3}
)

func mustFind(symbol string, k unit.Kind) unit.Unit {
	u, ok := unit.Find(symbol, k)
	if !ok {
		panic("unit: no " + symbol)
	}
	return u
}

// trial says what a setting is that is read as it stands, at the packs now in.
func (e *estimator) trial(r *Result) {
	f := r.form
	if k, ok := r.Setting.Factor.SI(e.as); ok {
		r.Factor, r.FactorU = k, r.Setting.FactorU
	}
	if f.base < 0 {
		return
	}
	r.move = e.now(f)
	last := f.lastSight()
	r.held = samePacks(r.links, last.move.packs, r.move.packs)
	if !f.informed() {
		e.uninformed(r, last)
		return
	}
	if f.factor >= 0 {
		h := []part{{f.factor, 1}}
		r.Factor, r.FactorU = e.m.value(h), math.Sqrt(e.m.cov(h, h))
		r.Learned = e.taught(f)
	}
	h, off := e.functional(f, r.move)
	r.Value, r.U = e.m.value(h)+off, e.spread(f, h, r.held)
	r.Low, r.High = f.strays(r.Value)
	r.Known = len(r.Missing) == 0
	e.trialLines(r, *last)
	if r.held && unmeasured(r.links, last.move.packs) {
		e.uninformed(r, last)
	}
}

// strays is a setting at its tightest and its widest place around a turn.
func (f *form) strays(v float64) (low, high float64) {
	if f.sign < 0 {
		return v - f.around.high, v + f.around.low
	}
	return v - f.around.low, v + f.around.high
}

// functional is the setting at a move, with how it went together this time
// where that was read.
func (e *estimator) functional(f *form, v moveOf) (h []part, off float64) {
	h, off = f.of(v, e.m.x)
	if n := len(f.sights); n > 0 {
		if last := f.sights[n-1]; last.refit >= 0 && samePacks(f.links, last.move.packs, v.packs) {
			h = append(h, part{last.refit, 1})
		}
	}
	return h, off
}

// spread is the doubt of a setting at a move: put together again it comes back
// only to within its refit.
func (e *estimator) spread(f *form, h []part, held bool) float64 {
	u2 := e.m.cov(h, h)
	if !held {
		u2 += f.set.Refit * f.set.Refit
	}
	return math.Sqrt(math.Max(0, u2))
}

// taught reports whether moves of more than a hundredth have been read.
func (e *estimator) taught(f *form) bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, g := range f.sights {
		if !unmeasured(f.links, g.move.packs) {
			x := e.at(g.move)
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
	}
	return hi-lo > 1e-5
}

// uninformed takes a setting that was read only over packs without a thickness,
// or whose play was never more than nothing.
func (e *estimator) uninformed(r *Result, last *sight) {
	f := r.form
	if len(f.sights) == 0 {
		r.line("read", "no play", from(*last.rd))
		r.miss(fmt.Sprintf("a reading of %s with some play: none says only that it is tight, not by how much; fit a pack that leaves play and read it", last.rd.Is.What))
		return
	}
	r.links = nil
	if !r.held {
		r.miss("the thickness of every piece at " + strings.Join(r.Seats(), " and "))
		return
	}
	var others float64
	u2 := last.mean.U * last.mean.U
	for _, o := range f.others {
		others += o.c * e.m.x[o.i]
		u2 += e.m.cov([]part{o}, []part{o})
	}
	r.Value, r.U = f.sign*last.y+others, math.Sqrt(u2)
	r.Low, r.High = f.strays(r.Value)
	r.Known = len(r.Missing) == 0
	r.Working = nil
	r.line("read", Text(r.Value, r.U, r.Unit)+" with a pack that is not measured", from(*last.rd))
}

func (r *Result) miss(what string) {
	if !slices.Contains(r.Missing, what) {
		r.Missing = append(r.Missing, what)
	}
}

func (e *estimator) trialLines(r *Result, last sight) {
	f := r.form
	for _, t := range r.Chain {
		if m, ok := e.s.Box.Measure(t.Measure); ok && len(f.others) > 0 {
			e.lengthLine(r, t.Sign, m.Name, m)
		}
	}
	for _, g := range append(slices.Clone(f.sights), f.bounds...) {
		packs := make([]string, 0, len(r.links))
		for _, l := range r.links {
			packs = append(packs, l.seat.ID+" "+Text(g.move.packs[l.seat.ID].SI, 0, r.Unit))
		}
		what := "read"
		if len(r.Chain) > 1 {
			what = g.rd.Is.What
		}
		r.line(what, Text(g.mean.Value, g.mean.U, r.Unit)+" with "+strings.Join(packs, ", "), from(*g.rd))
	}
	e.restLines(r, last)
}

func (e *estimator) restLines(r *Result, last sight) {
	f := r.form
	if r.Setting.Factor.Known() {
		how := "as the gearbox file has it"
		if r.Learned {
			how = "learnt from the moves"
		}
		r.line("change per mm of move", fmt.Sprintf("%.2f ± %.2f", r.Factor, r.FactorU), how)
	}
	move := e.at(r.move) - e.at(last.move)
	switch {
	case !r.held:
		r.line("foretold with the packs now in", Text(r.Value, r.U, r.Unit), signed(Text(move, 0, r.Unit), move)+" from the last reading")
	case len(r.Chain) > 1 || len(f.sights) > 1:
		r.line(r.Name, Text(r.Value, r.U, r.Unit), "everything read, together")
	}
	if a := f.around; a.sine && a.low > 0 {
		r.line("around the turn", "± "+Text(a.low, a.u, r.Unit), "run-out fitted to the places, all trials together")
	}
}
