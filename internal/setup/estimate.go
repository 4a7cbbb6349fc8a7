package setup

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/stack"
	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// steelScale is the expansion of the instruments, 1/K: they are of steel.
// Common practice, no source.
const steelScale = 11.5e-6

// tempU is the standard uncertainty of a temperature reading, K.
const tempU = 1.0

// Mean is what a set of readings comes to, at 20 °C.
type Mean struct {
	Value, U float64
	Shared   float64 // the part of U that other readings of the instrument share
	Min, Max float64
	Correct  float64 // correction made for temperature
}

// MeanOf reduces a set of readings: the mean of the repeats, its uncertainty
// with the part of the instrument's error that all repeats share, and a length
// carried to 20 °C by the expansion of part and instrument.
func MeanOf(s *job.State, m *gearbox.Measure, r job.Reading) Mean {
	var out Mean
	if len(r.Is.SI) == 0 {
		return out
	}
	out.Value, out.U = uncert.Repeats(r.Is.SI, r.Is.U, r.Is.Common)
	out.Shared = r.Is.U * r.Is.Common
	out.Min, out.Max = slices.Min(r.Is.SI), slices.Max(r.Is.SI)
	if m == nil || r.Is.Temp == nil || m.Kind != unit.KindLength {
		return out
	}
	alpha, ok := gearbox.Expansion(m.Metal.Text(s.Built()))
	if !ok {
		return out
	}
	v := float64(stack.At20(unit.Length(out.Value), alpha, steelScale, unit.Temperature(*r.Is.Temp)))
	out.Correct = v - out.Value
	out.Value, out.Min, out.Max = v, out.Min+out.Correct, out.Max+out.Correct
	out.U = math.Hypot(out.U, v*(alpha-steelScale)*tempU)
	return out
}

// latest is the newest reading of a measure that still holds.
func (e *estimator) latest(m *gearbox.Measure) *job.Reading {
	rs := e.s.ReadingsOf(m.Name)
	for i := len(rs) - 1; i >= 0; i-- {
		if e.s.Valid(rs[i]) {
			return &rs[i]
		}
	}
	return nil
}

// from says where a reading stands.
func from(r job.Reading) string {
	with := ""
	if r.Is.With != "" {
		with = ", " + r.Is.With
	}
	return fmt.Sprintf("%s%s, entry %d", strings.Join(r.Is.Values, " · "), with, r.Seq)
}

// chain adds up a setting whose seats are links of its chain.
func (e *estimator) chain(r *Result) {
	var u2 float64
	shared := map[string]float64{} // by instrument: errors with sign that cancel or add
	for _, t := range r.Chain {
		v, u, ok := 0.0, 0.0, false
		switch {
		case t.Measure != "":
			m, _ := e.s.Box.Measure(t.Measure)
			var mean Mean
			var rd *job.Reading
			if rd = e.latest(m); rd != nil {
				mean, ok = MeanOf(e.s, m, *rd), true
				v = mean.Value
				u = math.Sqrt(math.Max(0, mean.U*mean.U-mean.Shared*mean.Shared))
				shared[rd.Is.With] += t.Sign * mean.Shared
				e.meanLine(r, t, m, mean, *rd)
			} else {
				r.Missing = append(r.Missing, "a reading of "+m.Name)
			}
		case t.Dim == "":
			p, _ := e.s.Box.Position(t.Position)
			pack := e.s.Pack(t.Position)
			r.links = append(r.links, link{p, t.Sign})
			v, u, ok = pack.SI, pack.U, true
			switch {
			case len(pack.Tags) == 0:
				r.Empty = append(r.Empty, "no pack is in at "+p.Label()+" yet")
			case !pack.Ok:
				v, u = 0, 0
				r.Empty = append(r.Empty, "the pack at "+p.Label()+" has no measured thickness")
			}
			e.packLine(r, t, p, pack)
		default:
			v, u, ok = e.dimension(r, t)
		}
		if !ok {
			continue
		}
		r.Value += t.Sign * v
		u2 += u * u
	}
	for _, s := range shared {
		u2 += s * s
	}
	r.U = math.Sqrt(u2)
	r.Low, r.High = r.Value, r.Value
	r.Known = len(r.Missing) == 0
	r.trialPacksHold = true
	if r.Known {
		r.line(r.Name, e.text(r, r.Value, r.U), "the sum of the links")
	}
}

// dimension is a named length of a position: measured if there is a reading of
// it, else the figure in the file, else the measured thickness of the piece there.
func (e *estimator) dimension(r *Result, t gearbox.Term) (v, u float64, ok bool) {
	p, _ := e.s.Box.Position(t.Position)
	name := p.Label() + " " + t.Dim
	if m, found := e.s.Box.Measure(t.Position + " " + t.Dim); found {
		if rd := e.latest(m); rd != nil {
			mean := MeanOf(e.s, m, *rd)
			r.line(sign(t.Sign)+name, Text(mean.Value, mean.U, r.Unit), from(*rd))
			return mean.Value, mean.U, true
		}
	}
	if t.Dim == "width" {
		if pack := e.s.Pack(t.Position); pack.Ok {
			r.line(sign(t.Sign)+name, Text(pack.SI, pack.U, r.Unit), "measured piece "+strings.Join(pack.Tags, " + "))
			return pack.SI, pack.U, true
		}
	}
	if v, ok = p.Dimension(t.Dim, e.as); ok {
		r.line(sign(t.Sign)+name, Text(v, 0, r.Unit), "gearbox file")
		return v, 0, true
	}
	r.Missing = append(r.Missing, "the "+t.Dim+" of "+p.Label())
	return 0, 0, false
}

func sign(s float64) string {
	if s < 0 {
		return "− "
	}
	return "+ "
}

func (e *estimator) meanLine(r *Result, t gearbox.Term, m *gearbox.Measure, mean Mean, rd job.Reading) {
	at := from(rd)
	if mean.Correct != 0 {
		at += fmt.Sprintf("; read at %s, %s mm to 20 °C", unit.Format(*rd.Is.Temp, celsius, 0), signed(unit.Format(mean.Correct, thousandth, 3), mean.Correct))
	}
	r.line(sign(t.Sign)+m.Name, Text(mean.Value, mean.U, m.Unit), at)
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

func (e *estimator) packLine(r *Result, t gearbox.Term, p *gearbox.Position, pack job.Pack) {
	if len(pack.Tags) == 0 {
		r.line(sign(t.Sign)+"pack at "+p.Label(), "none yet", "")
		return
	}
	r.line(sign(t.Sign)+"pack at "+p.Label(), Text(pack.SI, pack.U, r.Unit), strings.Join(pack.Tags, " + "))
}

// sight is one reading of a setting as it stood, with its packs.
type sight struct {
	y, u, move float64
	low, high  float64 // distance of the extremes from the mean
	r          *job.Reading
	packs      map[string]job.Pack
	unmeasured bool // a piece of a pack has no thickness: it teaches nothing of moves
}

// trial estimates a setting that is read as it stands.
func (e *estimator) trial(r *Result) {
	e.trialLinks(r)
	if k, ok := r.Setting.Factor.SI(e.as); ok {
		r.Factor, r.FactorU = k, r.Setting.FactorU
	}
	sights, shared := e.sights(r)
	if len(sights) == 0 {
		return
	}
	last := sights[len(sights)-1]
	r.trialPacksHold = e.held(r, last)
	sights = slices.DeleteFunc(sights, func(g sight) bool { return g.unmeasured })
	if len(sights) == 0 || last.unmeasured {
		e.unmeasuredTrial(r, last, shared)
		return
	}
	e.fit(r, sights)
	move := e.moveNow(r)
	r.Value = r.base + r.Factor*move
	r.Known = len(r.Missing) == 0
	far := move - last.move
	r.U = math.Sqrt(math.Max(0, r.baseU*r.baseU+2*far*r.cov+far*far*r.FactorU*r.FactorU) + shared*shared + e.packU2(r, last))
	if r.trialPacksHold {
		// Read as it stands: the reading itself, and no more than its own doubt.
		r.Value, r.U = last.y, math.Hypot(last.u, shared)
	}
	r.Low, r.High = r.Value+last.low, r.Value+last.high
	e.trialLines(r, sights, move)
}

// unmeasuredTrial takes a reading over a pack whose pieces have no thickness:
// it says what the setting is while that pack stays in, and nothing of moves.
func (e *estimator) unmeasuredTrial(r *Result, last sight, shared float64) {
	r.links = nil
	if !r.trialPacksHold {
		r.miss("the thickness of every piece at " + strings.Join(r.Seats(), " and "))
		return
	}
	r.Value, r.U = last.y, math.Hypot(last.u, shared)
	r.Low, r.High = r.Value+last.low, r.Value+last.high
	r.Known = len(r.Missing) == 0
	r.line("read", Text(last.y, last.u, r.Unit)+" with a pack that is not measured", from(*last.r))
}

// trialLinks weighs the seats. Two opposing seats move the part between them by
// half of what one gains on the other.
func (e *estimator) trialLinks(r *Result) {
	half := 1.0
	if len(r.Raises) > 0 && len(r.Lowers) > 0 {
		half = 0.5
	}
	for _, side := range []struct {
		ids []string
		per float64
	}{{r.Raises, half}, {r.Lowers, -half}} {
		for _, id := range side.ids {
			p, _ := e.s.Box.Position(id)
			r.links = append(r.links, link{p, side.per})
		}
	}
}

func (e *estimator) moveNow(r *Result) float64 {
	var x float64
	for _, l := range r.links {
		x += l.per * e.s.Pack(l.seat.ID).SI
	}
	return x
}

func moveAt(r *Result, packs map[string]job.Pack) float64 {
	var x float64
	for _, l := range r.links {
		x += l.per * packs[l.seat.ID].SI
	}
	return x
}

// packU2 is the variance that pieces swapped since the last trial bring in.
func (e *estimator) packU2(r *Result, last sight) float64 {
	var u2 float64
	for _, l := range r.links {
		now, then := e.s.Pack(l.seat.ID), last.packs[l.seat.ID]
		for _, list := range [][]string{now.Tags, then.Tags} {
			for _, t := range list {
				if slices.Contains(now.Tags, t) && slices.Contains(then.Tags, t) {
					continue
				}
				if p := e.s.Pieces[t]; p != nil {
					u2 += math.Pow(l.per*r.Factor*p.U, 2)
				}
			}
		}
	}
	return u2
}

// sights gathers every reading of the setting that still holds. Of a chain of
// measures the one read most often carries the trials; the others are those
// last read before it.
func (e *estimator) sights(r *Result) (out []sight, shared float64) {
	driver, signOf := e.driver(r)
	if driver == nil {
		return nil, 0
	}
	for _, rd := range e.s.ReadingsOf(driver.Name) {
		if !e.s.Valid(rd) || !e.rests(r, rd) {
			continue
		}
		mean := MeanOf(e.s, driver, rd)
		g := sight{r: &rd, packs: rd.Packs, move: moveAt(r, rd.Packs), y: signOf * mean.Value}
		ind2 := math.Max(0, mean.U*mean.U-mean.Shared*mean.Shared)
		common := map[string]float64{rd.Is.With: signOf * mean.Shared} // by instrument, with sign
		g.low, g.high = 0, 0
		if r.Places > 0 {
			g.low, g.high = signOf*(mean.Min-mean.Value), signOf*(mean.Max-mean.Value)
		}
		whole := true
		for _, t := range r.Chain {
			m, _ := e.s.Box.Measure(t.Measure)
			if m == driver {
				continue
			}
			other := e.before(m, rd.Seq)
			if other == nil {
				r.miss("a reading of " + m.Name)
				whole = false
				continue
			}
			om := MeanOf(e.s, m, *other)
			g.y += t.Sign * om.Value
			ind2 += math.Max(0, om.U*om.U-om.Shared*om.Shared)
			common[other.Is.With] += t.Sign * om.Shared
		}
		g.u = math.Sqrt(ind2)
		g.unmeasured = slices.ContainsFunc(r.links, func(l link) bool {
			p := rd.Packs[l.seat.ID]
			return len(p.Tags) > 0 && !p.Ok
		})
		var c2 float64
		for _, c := range common {
			c2 += c * c
		}
		shared = math.Sqrt(c2)
		if whole {
			out = append(out, g)
		}
	}
	if len(out) == 0 {
		r.miss("a reading of " + driver.Name)
	}
	return out, shared
}

func (r *Result) miss(what string) {
	if !slices.Contains(r.Missing, what) {
		r.Missing = append(r.Missing, what)
	}
}

// driver is the measure of the chain that carries the trials.
func (e *estimator) driver(r *Result) (*gearbox.Measure, float64) {
	var best *gearbox.Measure
	most, sgn := -1, 1.0
	for _, t := range r.Chain {
		m, ok := e.s.Box.Measure(t.Measure)
		if !ok {
			continue
		}
		if n := len(e.s.ReadingsOf(m.Name)); n >= most {
			best, most, sgn = m, n, t.Sign
		}
	}
	return best, sgn
}

func (e *estimator) before(m *gearbox.Measure, seq int) *job.Reading {
	var out *job.Reading
	for _, r := range e.s.ReadingsOf(m.Name) {
		if e.s.Valid(r) && (r.Seq < seq || out == nil) {
			out = &r
		}
	}
	return out
}

// rests reports whether the settings that come first still have the packs they
// had when the reading was taken.
func (e *estimator) rests(r *Result, rd job.Reading) bool {
	for _, name := range r.After {
		first, _ := e.s.Box.Setting(name)
		for _, seat := range first.Seats() {
			if slices.Contains(r.Seats(), seat) {
				continue
			}
			if !slices.Equal(sorted(rd.Packs[seat].Tags), sorted(e.s.Pack(seat).Tags)) {
				return false
			}
		}
	}
	return true
}

func sorted(tags []string) []string { return slices.Sorted(slices.Values(tags)) }

// held reports whether the packs are those of the last trial.
func (e *estimator) held(r *Result, last sight) bool {
	for _, l := range r.links {
		if !slices.Equal(sorted(last.packs[l.seat.ID].Tags), sorted(e.s.Pack(l.seat.ID).Tags)) {
			return false
		}
	}
	return true
}

// fit estimates base and factor by weighted least squares, the file's factor
// being one more observation. Measured about the last trial's move.
func (e *estimator) fit(r *Result, g []sight) {
	last := g[len(g)-1]
	var w, wx, wxx, wy, wxy float64
	spread := false
	for _, s := range g {
		u := math.Max(s.u, 1e-9)
		k := 1 / (u * u)
		x := s.move - last.move
		spread = spread || math.Abs(x) > 1e-5
		w, wx, wxx, wy, wxy = w+k, wx+k*x, wxx+k*x*x, wy+k*s.y, wxy+k*x*s.y
	}
	if r.FactorU > 0 {
		p := 1 / (r.FactorU * r.FactorU)
		wxx, wxy = wxx+p, wxy+p*r.Factor
		det := w*wxx - wx*wx
		b := (wxx*wy - wx*wxy) / det
		r.Factor = (w*wxy - wx*wy) / det
		r.FactorU, r.baseU = math.Sqrt(w/det), math.Sqrt(wxx/det)
		r.cov = -wx / det
		r.base, r.Learned = b-r.Factor*last.move, spread
		return
	}
	b := (wy - r.Factor*wx) / w
	r.base, r.baseU = b-r.Factor*last.move, math.Sqrt(1/w)
}

func (e *estimator) trialLines(r *Result, g []sight, move float64) {
	for _, s := range g {
		packs := make([]string, 0, len(r.links))
		for _, l := range r.links {
			packs = append(packs, l.seat.ID+" "+Text(s.packs[l.seat.ID].SI, 0, r.Unit))
		}
		r.line("read", Text(s.y, s.u, r.Unit)+" with "+strings.Join(packs, ", "), from(*s.r))
	}
	if r.Setting.Factor.Known() {
		how := "as the gearbox file has it"
		if r.Learned {
			how = "learnt from the moves"
		}
		r.line("change per mm of move", fmt.Sprintf("%.2f ± %.2f", r.Factor, r.FactorU), how)
	}
	if !r.trialPacksHold {
		r.line("foretold with the packs now in", Text(r.Value, r.U, r.Unit), fmt.Sprintf("%s from the last reading", signed(Text(move-g[len(g)-1].move, 0, r.Unit), move-g[len(g)-1].move)))
	}
}
