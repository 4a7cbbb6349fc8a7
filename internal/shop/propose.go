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
