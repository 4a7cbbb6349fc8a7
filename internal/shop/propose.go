package shop

import (
	"fmt"
	"slices"

	"endfloat/calc/unit"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// Proposal is a choice of pieces from the drawer for the seats of a setting.
type Proposal struct {
	Packs  map[string][]string // seat → tags, thickest first
	Totals map[string]string   // seat → total in words
	Says   []string            // per setting: "backlash 0.158 ± 0.006 mm: in"
	Chance float64             // that all are truly within their limits
	Sure   bool                // every verdict is "in"
}

// Drawer is what may be used for seats: the measured pieces of each kind that
// lie in the stores, in order of their tags.
func (d *Desk) Drawer() map[string][]job.Piece {
	out := map[string][]job.Piece{}
	for t, p := range d.Stores.Pieces {
		if _, in := d.Stores.In(t); !in && p.Stock != "" {
			out[p.Stock] = append(out[p.Stock], *p)
		}
	}
	for _, p := range d.Pieces {
		if _, in := d.In(p.Tag); !in && d.State != d.Stores && p.Stock != "" {
			out[p.Stock] = append(out[p.Stock], *p)
		}
	}
	for k := range out {
		slices.SortFunc(out[k], func(a, b job.Piece) int { return natural(a.Tag, b.Tag) })
	}
	return out
}

// natural orders tags as people do: s2 before s10.
func natural(a, b string) int {
	if len(a) != len(b) {
		return len(a) - len(b)
	}
	if a < b {
		return -1
	}
	return 1
}

// Propose lists choices for a setting, best first; none when it is not known
// what pack it wants.
func (d *Desk) Propose(setting string) []Proposal {
	var out []Proposal
	for _, p := range setup.Propose(d.State, setting, d.Drawer()) {
		q := Proposal{Packs: map[string][]string{}, Totals: map[string]string{}, Chance: p.Chance, Sure: true}
		mm, _ := unit.Find("mm", unit.KindLength)
		for seat, pack := range p.Packs {
			q.Packs[seat], q.Totals[seat] = pack.Tags, unit.Format(pack.SI, mm, 3)
		}
		for _, g := range p.Gives {
			q.Says = append(q.Says, fmt.Sprintf("%s %s: %s", g.Setting, g.Text, g.Verdict))
			q.Sure = q.Sure && g.Verdict == "in"
		}
		out = append(out, q)
	}
	return out
}

// Advice is one thing to do next for a setting, in words.
type Advice struct {
	Do     string
	Read   string // measure, when it is a reading
	With   string
	Chance float64
	Gain   float64
}

// Advise ranks what to do next for a setting.
func (d *Desk) Advise(setting string) []Advice {
	var out []Advice
	for _, a := range setup.Advise(d.State, setting, d.Drawer()) {
		out = append(out, Advice{a.Do, a.Read, a.With, a.Chance, a.Gain})
	}
	return out
}

// wantedChance is what a pack must reach before buying is advised.
const wantedChance = 0.9

// sold are the thicknesses that shims are commonly sold in, steps of a
// twentieth from a tenth to two millimetres. Common practice, no source.
func sold() []float64 {
	var steps []float64
	for i := 2; i <= 40; i++ {
		steps = append(steps, float64(i)*0.05e-3)
	}
	return steps
}

// Buy is what to order when the drawer cannot make a pack.
type Buy struct {
	Pieces []string // "side shim 0.70 mm"
	Says   []string // what each setting would be
	Chance float64
}

// Buys lists the cheapest orders that bring every setting asked for to a chance
// of nine in ten, in this job and in the others named beside it. None are
// listed where the drawer does it.
func (d *Desk) Buys(setting string, beside ...*Desk) []Buy {
	needs := []setup.Need{{State: d.State, Setting: setting}}
	for _, o := range beside {
		needs = append(needs, setup.Need{State: o.State, Setting: setting})
	}
	var out []Buy
	mm, _ := unit.Find("mm", unit.KindLength)
	for _, y := range setup.Buys(needs, d.Drawer(), sold(), wantedChance) {
		b := Buy{Chance: 1}
		for i, t := range y.Thick {
			b.Pieces = append(b.Pieces, y.For[i]+" "+unit.Format(t, mm, 2))
		}
		for _, w := range y.Ways {
			b.Chance *= w.Chance
			for _, g := range w.Gives {
				b.Says = append(b.Says, fmt.Sprintf("%s %s: %s", g.Setting, g.Text, g.Verdict))
			}
		}
		out = append(out, b)
	}
	return out
}

// WhatIf foretells a setting with other totals at its seats, in words.
func (d *Desk) WhatIf(setting string, totals map[string]float64) (r setup.Result, verdict string, ok bool) {
	r, ok = d.Setting(setting)
	if !ok || !r.Known {
		return r, "", false
	}
	packs := map[string]job.Pack{}
	for seat, t := range totals {
		if slices.Contains(r.Seats(), seat) {
			packs[seat] = job.Pack{SI: t, U: d.Pack(seat).U, Ok: true} // as surely as the pack that is in
		}
	}
	v, u, word := setup.Foretell(d.State, r, packs)
	off := v - r.Value
	r.Value, r.U, r.Low, r.High, r.Verdict = v, u, r.Low+off, r.High+off, word
	return r, string(word), true
}
