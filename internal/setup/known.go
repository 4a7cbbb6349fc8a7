package setup

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// pieceCommon is the share of a measured piece's doubt that all pieces have in
// common. The drawer is measured with one micrometer, closed on itself and set
// to nought first; what is left of its error is in every shim, and adds up over
// a pack where the rest does not. Common practice, no source.
const pieceCommon = 0.25

// loose is how much a length may be off that was read before the nut it needs
// was at its torque: sleeves shorten by a few hundredths. Common practice, no
// source.
const loose = 0.02e-3

// wide is the prior of a length that nothing is known of, m; of other
// quantities it is a thousand times the first reading.
const wide = 0.01

// estimator holds the knowledge of a job while it is gathered.
type estimator struct {
	s      *job.State
	as     gearbox.Built
	priors []prior
	index  map[string]int
	forms  []*form
	consts []glance // observations that do not bend
	m      *model
}

// form is how one setting is made of unknowns.
type form struct {
	set    *gearbox.Setting
	chain  []part // of the fixed lengths
	base   int    // value at the reference move, -1 for a chain
	factor int    // change per move, -1 where it is exactly one
	ref    float64
	sights []sight
	bounds []sight // plays of nothing
	sign   float64 // of the measure that carries the trials
	others []part  // measures beside it, with the sign that they have in what it reads
	links  []link
	missed []string
	asks   string // a question that must be answered before its readings mean anything
	around excursion
}

// sight is one reading of a setting as it stood, with its packs.
type sight struct {
	y, r   float64 // mean and the variance of its own noise
	shared []part  // what it shares with other readings: instrument, temperature
	move   moveOf
	refit  int // unknown of how it went together, -1 for none
	mean   Mean
	rd     *job.Reading
}

// moveOf is a move as a sum over the pieces that make it.
type moveOf struct {
	fixed float64 // of pieces no longer in the book
	tags  []part  // unknowns of the pieces
	packs map[string]job.Pack
}

// unknown returns the place of an unknown, made with its prior when it is new.
func (e *estimator) unknown(name string, x, u float64) int {
	if i, ok := e.index[name]; ok {
		return i
	}
	e.index[name] = len(e.priors)
	e.priors = append(e.priors, prior{name, x, u})
	return len(e.priors) - 1
}

// shared is what a reading has in common with others: the error of its
// instrument, and that of the thermometer where it was carried to 20 °C.
func (e *estimator) shared(rd job.Reading, mean Mean) []part {
	out := []part{{e.common(rd.Is.With), mean.Shared}}
	if mean.Temp != 0 {
		out = append(out, part{e.unknown("error of the thermometer", 0, 1), mean.Temp})
	}
	return out
}

// common is the error that every reading of an instrument shares, in standard
// deviations.
func (e *estimator) common(with string) int { return e.unknown("error of "+with, 0, 1) }

// noise is the variance of the mean of a set beside what its instrument shares.
// Repeats that scatter more than three times as far as the instrument does speak
// for themselves: of three good readings one set in ten thousand does so.
func noise(r job.Reading, places int) float64 {
	n := float64(len(r.Is.SI))
	own := r.Is.U * r.Is.U * (1 - r.Is.Common*r.Is.Common)
	if places == 0 && n >= 3 {
		if _, u, _ := uncert.TypeA(r.Is.SI); u*u*n > 9*own {
			own = u * u * n
		}
	}
	return math.Max(own/n, 1e-18)
}

// length is the unknown of a measure that does not change with packs, with
// every reading of it that still holds; false when there is none.
func (e *estimator) length(m *gearbox.Measure) (int, bool) {
	if i, ok := e.index["length "+m.Name]; ok {
		return i, true
	}
	at, found := 0, false
	for _, rd := range e.s.ReadingsOf(m.Name) {
		if !e.s.Valid(rd) || len(rd.Is.SI) == 0 {
			continue
		}
		mean := MeanOf(e.s, m, rd)
		if !found {
			at, found = e.unknown("length "+m.Name, mean.Value, spreadOf(m, mean.Value)), true
		}
		e.consts = append(e.consts, glance{h: append(e.shared(rd, mean), part{at, 1}), y: mean.Value, r: noise(rd, m.Places) + slack(rd), seq: rd.Seq, what: m.Name})
	}
	return at, found
}

func spreadOf(m *gearbox.Measure, v float64) float64 {
	if m.Kind == unit.KindLength {
		return wide
	}
	return 1000 * math.Max(math.Abs(v), 1e-3)
}

// slack is the variance of a length read before its nuts were at torque.
func slack(rd job.Reading) float64 {
	if len(rd.Loose) == 0 {
		return 0
	}
	return loose * loose
}

// has reports whether an unknown of that name is in the model.
func (e *estimator) has(name string) bool {
	_, ok := e.index[name]
	return ok
}

// gather makes the form of every setting.
func (e *estimator) gather() {
	e.common("the drawer's micrometer")
	e.gatherStacks()
	for _, set := range e.s.Box.Settings {
		f := &form{set: set, base: -1, factor: -1, sign: 1}
		if set.Trial() {
			e.gatherTrial(f)
		} else {
			e.gatherChain(f)
		}
		e.forms = append(e.forms, f)
	}
}

// gatherStacks takes packs that were measured whole, squeezed together: what a
// seat is read as under "thickness" is the sum of the pieces that lay there.
func (e *estimator) gatherStacks() {
	for _, p := range e.s.Box.All() {
		if p.Seat == nil {
			continue
		}
		m, ok := e.s.Box.Measure(p.ID + " thickness")
		if !ok {
			continue
		}
		for _, rd := range e.s.ReadingsOf(m.Name) {
			pack := rd.Packs[p.ID]
			if !pack.Ok || len(rd.Is.SI) == 0 || slices.ContainsFunc(pack.Tags, func(t string) bool { return e.s.Pieces[t] == nil }) {
				continue
			}
			mean := MeanOf(e.s, m, rd)
			e.consts = append(e.consts, glance{h: append(e.shared(rd, mean), e.pack(pack.Tags, 1)...), y: mean.Value, r: noise(rd, 0), seq: rd.Seq, what: m.Name})
		}
	}
}

// gatherChain adds up a setting whose seats are links of its chain.
func (e *estimator) gatherChain(f *form) {
	for _, t := range f.set.Chain {
		switch {
		case t.Measure != "":
			m, _ := e.s.Box.Measure(t.Measure)
			if i, ok := e.length(m); ok {
				f.chain = append(f.chain, part{i, t.Sign})
			} else {
				f.miss("a reading of " + m.Name)
			}
		case t.Dim == "":
			p, _ := e.s.Box.Position(t.Position)
			f.links = append(f.links, link{p, t.Sign})
			if pack := e.s.Pack(t.Position); pack.Ok {
				f.chain = append(f.chain, e.pack(pack.Tags, t.Sign)...)
			}
		default:
			e.gatherDimension(f, t)
		}
	}
}

// gatherDimension is a named length of a position: measured if there is a
// reading of it, else the measured thickness of the piece there, else the
// figure in the file with the tolerance that is written beside it.
func (e *estimator) gatherDimension(f *form, t gearbox.Term) {
	p, _ := e.s.Box.Position(t.Position)
	if m, found := e.s.Box.Measure(t.Position + " " + t.Dim); found {
		if i, ok := e.length(m); ok {
			f.chain = append(f.chain, part{i, t.Sign})
			return
		}
	}
	if t.Dim == "width" {
		if pack := e.s.Pack(t.Position); pack.Ok {
			f.chain = append(f.chain, e.pack(pack.Tags, t.Sign)...)
			return
		}
	}
	v, u, ok := p.Figure(t.Dim, e.as)
	if !ok {
		f.miss("the " + t.Dim + " of " + p.Label())
		return
	}
	f.chain = append(f.chain, part{e.unknown("figure "+t.Position+"."+t.Dim, v, u), t.Sign})
}

// pack is the thickness of pieces, with what their micrometer shares.
func (e *estimator) pack(tags []string, sign float64) []part {
	var out []part
	for _, t := range tags {
		p := e.s.Pieces[t]
		if p == nil {
			continue
		}
		out = append(out, part{e.unknown("piece "+t, p.SI, p.U*math.Sqrt(1-pieceCommon*pieceCommon)), sign}, part{e.common("the drawer's micrometer"), sign * p.U * pieceCommon})
	}
	return out
}

func (f *form) miss(what string) {
	if !slices.Contains(f.missed, what) {
		f.missed = append(f.missed, what)
	}
}

// gatherTrial takes a setting that is read as it stands, with packs in. Of a
// chain of measures the one read most often carries the trials.
func (e *estimator) gatherTrial(f *form) {
	f.links = e.trialLinks(f.set)
	driver, sign := e.driver(f.set)
	f.sign = sign
	if driver == nil {
		return
	}
	for _, t := range f.set.Chain {
		m, ok := e.s.Box.Measure(t.Measure)
		if !ok || m == driver {
			continue
		}
		if i, ok := e.length(m); ok {
			f.others = append(f.others, part{i, t.Sign})
		} else {
			f.miss("a reading of " + m.Name)
		}
	}
	e.gatherSights(f, driver)
	if len(f.sights)+len(f.bounds) == 0 {
		f.miss("a reading of " + driver.Name)
		return
	}
	f.around = around(f.set.Places, f.sights)
	last := f.lastSight()
	f.ref = e.at(last.move)
	var others float64
	for _, o := range f.others {
		others += o.c * e.priors[o.i].x
	}
	start := sign*last.y + others
	f.base = e.unknown("setting "+f.set.Name, start, spreadOf(driver, start))
	if k, ok := f.set.Factor.SI(e.as); ok && f.set.FactorU > 0 {
		f.factor = e.unknown("factor of "+f.set.Name, k, f.set.FactorU)
	}
}

func (f *form) lastSight() *sight {
	if len(f.sights) == 0 {
		return &f.bounds[len(f.bounds)-1]
	}
	last := &f.sights[len(f.sights)-1]
	if n := len(f.bounds); n > 0 && f.bounds[n-1].rd.Seq > last.rd.Seq {
		return &f.bounds[n-1]
	}
	return last
}

// at is a move with the pieces as they are foretold before anything is solved.
func (e *estimator) at(v moveOf) float64 {
	x := v.fixed
	for _, t := range v.tags {
		x += t.c * e.priors[t.i].x
	}
	return x
}

func (e *estimator) gatherSights(f *form, driver *gearbox.Measure) {
	var before *sight
	k := e.sense(f)
	for _, rd := range e.s.ReadingsOf(driver.Name) {
		if !e.s.Valid(rd) || !e.rests(f.set, rd) || len(rd.Is.SI) == 0 {
			continue
		}
		mean := MeanOf(e.s, driver, rd).times(k)
		g := sight{rd: &rd, mean: mean, y: mean.Value, r: k*k*noise(rd, max(driver.Places, f.set.Places)) + slack(rd), shared: e.shared(rd, mean), refit: -1}
		g.move = e.moveOf(f.links, rd.Packs)
		if f.set.Refit > 0 {
			name := "fit of " + f.set.Name + " at entry " + strconv.Itoa(rd.Seq)
			if before != nil && before.refit >= 0 && samePacks(f.links, before.move.packs, rd.Packs) {
				g.refit = before.refit
			} else {
				g.refit = e.unknown(name, 0, f.set.Refit)
			}
		}
		before = &g
		if driver.Play && mean.Max == 0 && mean.Min == 0 {
			f.bounds = append(f.bounds, g)
			continue
		}
		f.sights = append(f.sights, g)
	}
}

// moveOf adds up the packs of a trial. Pieces that have left the book since
// count with the total that was written down then.
func (e *estimator) moveOf(links []link, packs map[string]job.Pack) moveOf {
	v := moveOf{packs: packs}
	for _, l := range links {
		p := packs[l.seat.ID]
		left := p.SI
		for _, t := range p.Tags {
			if pc := e.s.Pieces[t]; pc != nil {
				left -= pc.SI
				v.tags = append(v.tags, e.pack([]string{t}, l.per)...)
			}
		}
		if math.Abs(left) > 1e-12 {
			v.fixed += l.per * left
		}
	}
	return v
}

// now is the move of the packs that are in.
func (e *estimator) now(f *form) moveOf {
	packs := map[string]job.Pack{}
	for _, l := range f.links {
		packs[l.seat.ID] = e.s.Pack(l.seat.ID)
	}
	return e.moveOf(f.links, packs)
}

// unmeasured reports whether a pack of the sight has a piece without a
// thickness: it teaches nothing of moves.
func unmeasured(links []link, packs map[string]job.Pack) bool {
	return slices.ContainsFunc(links, func(l link) bool {
		p := packs[l.seat.ID]
		return len(p.Tags) > 0 && !p.Ok
	})
}

func samePacks(links []link, a, b map[string]job.Pack) bool {
	for _, l := range links {
		if !slices.Equal(sorted(a[l.seat.ID].Tags), sorted(b[l.seat.ID].Tags)) {
			return false
		}
	}
	return true
}

func sorted(tags []string) []string { return slices.Sorted(slices.Values(tags)) }

// trialLinks weighs the seats. Two opposing seats move the part between them by
// half of what one gains on the other.
func (e *estimator) trialLinks(set *gearbox.Setting) []link {
	half := 1.0
	if len(set.Raises) > 0 && len(set.Lowers) > 0 {
		half = 0.5
	}
	var out []link
	for _, side := range []struct {
		ids []string
		per float64
	}{{set.Raises, half}, {set.Lowers, -half}} {
		for _, id := range side.ids {
			p, _ := e.s.Box.Position(id)
			out = append(out, link{p, side.per})
		}
	}
	slices.SortFunc(out, func(a, b link) int { return strings.Compare(a.seat.ID, b.seat.ID) })
	return out
}

// driver is the measure of the chain that carries the trials: the one read most.
func (e *estimator) driver(set *gearbox.Setting) (*gearbox.Measure, float64) {
	var best *gearbox.Measure
	most, sgn := -1, 1.0
	for _, t := range set.Chain {
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

// rests reports whether the settings that come first still have the packs they
// had when the reading was taken.
func (e *estimator) rests(set *gearbox.Setting, rd job.Reading) bool {
	for _, name := range set.After {
		first, _ := e.s.Box.Setting(name)
		for _, seat := range first.Seats() {
			if slices.Contains(set.Seats(), seat) {
				continue
			}
			if !slices.Equal(sorted(rd.Packs[seat].Tags), sorted(e.s.Pack(seat).Tags)) {
				return false
			}
		}
	}
	return true
}

// solve takes every observation. A factor that is itself unknown makes the
// moves bend, so they are taken afresh about each answer until it stands.
func (e *estimator) solve() {
	x := make([]float64, len(e.priors))
	for i, p := range e.priors {
		x[i] = p.x
	}
	bends := slices.ContainsFunc(e.forms, func(f *form) bool { return f.factor >= 0 && len(f.sights) > 1 })
	for range 8 {
		m := newModel(e.priors)
		for _, g := range e.consts {
			m.observe(g)
		}
		for _, f := range e.forms {
			for i := range f.sights {
				if !unmeasured(f.links, f.sights[i].move.packs) {
					m.observe(f.glance(&f.sights[i], x))
				}
			}
		}
		m.question()
		for _, f := range e.forms {
			for i := range f.bounds {
				if f.informed() {
					h, off := f.reads(&f.bounds[i], x)
					for j := range h {
						h[j].c = -h[j].c
					}
					m.notLess(h, off)
				}
			}
		}
		var far float64
		for i := range x {
			if u := e.priors[i].u; u > 0 {
				far = math.Max(far, math.Abs(m.x[i]-x[i])/u)
			}
		}
		copy(x, m.x)
		e.m = m
		if !bends || far < 1e-9 {
			return
		}
	}
}

// informed reports whether a reading other than a bound says what the setting is.
func (f *form) informed() bool {
	return slices.ContainsFunc(f.sights, func(s sight) bool { return !unmeasured(f.links, s.move.packs) })
}

// of is a setting that is read as it stands, for a move, as a sum over the
// unknowns about x, and the constant left over.
func (f *form) of(v moveOf, x []float64) (h []part, off float64) {
	k := 1.0
	if f.factor >= 0 {
		k = x[f.factor]
	} else if given, ok := f.set.Factor.SI(gearbox.Built{}); ok {
		k = given
	}
	move := v.fixed - f.ref
	for _, t := range v.tags {
		move += t.c * x[t.i]
		h = append(h, part{t.i, k * t.c})
	}
	h = append(h, part{f.base, 1})
	var sum float64
	for _, a := range h {
		sum += a.c * x[a.i]
	}
	value := x[f.base] + k*move
	if f.factor >= 0 {
		h = append(h, part{f.factor, move})
		sum += move * k
	}
	return h, value - sum
}

// reads is what the measure that carries the trials reads of the setting.
func (f *form) reads(s *sight, x []float64) (h []part, off float64) {
	h, off = f.of(s.move, x)
	for i := range h {
		h[i].c *= f.sign
	}
	off *= f.sign
	if s.refit >= 0 {
		h = append(h, part{s.refit, f.sign})
	}
	for _, o := range f.others {
		h = append(h, part{o.i, -f.sign * o.c})
	}
	return h, off
}

func (f *form) glance(s *sight, x []float64) glance {
	h, off := f.reads(s, x)
	return glance{h: append(h, s.shared...), y: s.y - off, r: s.r, seq: s.rd.Seq, what: s.rd.Is.What}
}

// from says where a reading stands.
func from(r job.Reading) string {
	with := ""
	if r.Is.With != "" {
		with = ", " + r.Is.With
	}
	return strings.Join(r.Is.Values, " · ") + with + ", entry " + strconv.Itoa(r.Seq)
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
