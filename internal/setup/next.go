package setup

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"endfloat/internal/job"
)

// Advice is one thing that could be done next for a setting.
type Advice struct {
	Do      string // in words
	Read    string // the measure to read, "" for a pack to fit
	With    string // the instrument
	Chance  float64
	Gain    float64 // against doing nothing more
	Packs   map[string]job.Pack
	Settled bool // nothing is worth doing
	trouble int  // to do it: fit what lies there, read again, borrow an instrument
}

// sureEnough is the chance from which another reading is not worth its time;
// worth is the least gain in chance that is.
const (
	sureEnough = 0.98
	worth      = 0.01
	goodPack   = 0.9   // a pack that is worth fitting before anything is read again
	near       = 0.005 // gains that count as equal
)

// Advise ranks what to do next for a setting by what it would do to the chance
// that every setting its seats move is truly within limits: repeat a reading,
// borrow a better instrument, measure a pack whole, or fit the best packs and
// read. drawer is what the workshop has.
//
// A reading is weighed as if it came out as foretold: what it would teach is
// then worth its narrower doubt, and packs are chosen anew for it.
func Advise(s *job.State, name string, drawer map[string][]job.Piece) []Advice {
	all := All(s)
	groups := groupsOf(all, name)
	ways := Propose(s, name, drawer)
	if len(groups) == 0 || len(ways) == 0 {
		return nil
	}
	g := groups[0]
	a := &adviser{s: s, g: g, ways: ways, held: !slices.ContainsFunc(g, func(r Result) bool { return !r.held || len(r.Empty) > 0 })}
	a.now = a.best(g[0].est.m)
	if !slices.ContainsFunc(g, func(r Result) bool { return !r.Proven }) {
		return []Advice{{Do: "nothing: it is proven, and another reading would add less than it costs", Chance: ways[0].Chance, Settled: true}}
	}
	a.fit()
	for _, r := range g {
		a.again(r)
		a.readings(r)
	}
	first := func(x Advice) int { // good packs are fitted before anything is read again
		if x.Read == "" && ways[0].Chance >= goodPack {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(a.out, func(x, y Advice) int {
		return cmp.Or(first(x)-first(y), int(y.Gain/near)-int(x.Gain/near), x.trouble-y.trouble)
	})
	if a.now >= sureEnough {
		a.out = slices.DeleteFunc(a.out, func(x Advice) bool { return x.Read != "" && x.Gain < worth })
	}
	return a.out
}

type adviser struct {
	s    *job.State
	g    []Result
	ways []Proposal
	held bool // all is in as it was last read
	now  float64
	out  []Advice
}

// best is the best chance under a model of the packs at hand, or of those that
// are in.
func (a *adviser) best(m *model) float64 {
	var best float64
	if a.held {
		best = together(m, a.s, a.g, nil)
	}
	for _, w := range a.ways {
		best = math.Max(best, together(m, a.s, a.g, w.Packs))
	}
	return best
}

func (a *adviser) add(d Advice) {
	d.Gain = d.Chance - a.now
	if d.Read != "" && d.Gain < worth/4 || slices.ContainsFunc(a.out, func(o Advice) bool { return o.Do == d.Do }) {
		return
	}
	a.out = append(a.out, d)
}

// fit is to put the best packs in, and to read what is read as it stands.
func (a *adviser) fit() {
	w := a.ways[0]
	after := a.g[0].est.m.fork()
	read := ""
	for _, r := range a.g {
		f := r.form
		if f.base < 0 || len(f.sights) == 0 {
			continue
		}
		h, _, extra := r.with(a.s, w.Packs)
		last := f.sights[len(f.sights)-1]
		after.observe(glance{h: append(h, last.shared...), y: after.value(append(slices.Clone(h), last.shared...)), r: last.r + extra})
		read = r.Name
	}
	d := Advice{Do: "fit the packs proposed", Packs: w.Packs, Chance: together(after, a.s, a.g, w.Packs)}
	if read != "" {
		d.Do += " and read the " + read
	}
	if same(a.s, w.Packs) {
		return
	}
	a.add(d)
}

func same(s *job.State, packs map[string]job.Pack) bool {
	for seat, p := range packs {
		if !slices.Equal(sorted(p.Tags), sorted(s.At[seat])) {
			return false
		}
	}
	return true
}

// again is to read once more what is read as it stands, with the packs still in.
func (a *adviser) again(r Result) {
	f := r.form
	n := len(f.sights)
	if !r.held || f.base < 0 || n == 0 || unmeasured(f.links, f.sights[n-1].move.packs) {
		return
	}
	last := f.sights[n-1]
	h, _ := f.reads(&last, r.est.m.x)
	name := last.rd.Is.What
	if m, ok := r.est.s.Box.Measure(name); ok {
		name = m.Name
	}
	a.try(glance{h: append(h, last.shared...), r: last.r}, Advice{Do: fmt.Sprintf("read %s again with the %s, nothing changed", name, last.rd.Is.With), Read: name, With: last.rd.Is.With, trouble: 1})
}

// readings are the lengths that a setting rests on, read again or better.
func (a *adviser) readings(r Result) {
	e := r.est
	for _, t := range r.Chain {
		name := t.Measure
		if t.Dim != "" {
			name = t.Position + " " + t.Dim
		}
		m, ok := e.s.Box.Measure(name)
		if !ok || name == "" {
			continue
		}
		rd := e.latest(m)
		at, known := e.index["length "+m.Name]
		if rd == nil || !known {
			continue
		}
		mean := MeanOf(e.s, m, *rd)
		own := rd.Is.U * rd.Is.U * (1 - rd.Is.Common*rd.Is.Common) / 3
		again := glance{h: append(e.shared(*rd, mean), part{at, 1}), r: own}
		a.try(again, Advice{Do: fmt.Sprintf("read %s three times more with the %s", m.Name, rd.Is.With), Read: m.Name, With: rd.Is.With, trouble: 1})
		// Which other instrument would reach there is the person's to know.
		u := rd.Is.U / 2
		a.try(glance{h: []part{{at, 1}}, r: u * u}, Advice{Do: fmt.Sprintf("borrow an instrument twice as good as the %s for %s", rd.Is.With, m.Name), Read: m.Name, trouble: 2})
	}
	for _, l := range r.links {
		a.whole(r, l)
	}
}

// try asks what a reading would do.
func (a *adviser) try(g glance, d Advice) {
	m := a.g[0].est.m.fork()
	g.y = m.value(g.h)
	m.observe(g)
	d.Chance = a.best(m)
	a.add(d)
}

// whole is to measure a pack of several pieces all together.
func (a *adviser) whole(r Result, l link) {
	name := l.seat.ID + " thickness"
	m, ok := a.s.Box.Measure(name)
	pack := a.s.Pack(l.seat.ID)
	if !ok || len(pack.Tags) < 2 || !pack.Ok || r.est.whole(l.seat.ID, pack.Tags) != "" {
		return
	}
	u := a.s.Pieces[pack.Tags[0]].U
	g := glance{h: r.est.pack(pack.Tags, 1), r: u * u}
	mo := a.g[0].est.m.fork()
	g.y = mo.value(g.h)
	mo.observe(g)
	d := Advice{Do: "measure the pack at " + l.seat.Label() + " all together", Read: m.Name, With: m.With, Chance: together(mo, a.s, a.g, nil)}
	d.Gain = d.Chance - together(a.g[0].est.m, a.s, a.g, nil)
	if d.Gain >= worth/4 {
		a.out = append(a.out, d)
	}
}
