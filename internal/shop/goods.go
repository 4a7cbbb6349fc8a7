package shop

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// Look is one thing to measure, count or see on a part as it comes in.
type Look struct {
	Key     string   // under which goods-in takes it
	Wanted  string   // "" where the file does not say
	From    string   // the page that says so
	Choices []string // what may be seen, none = anything
}

// GoodsIn is what a part that was ordered is held against as it comes in.
type GoodsIn struct {
	Order *job.Order
	Pos   *gearbox.Position
	Looks []Look
	Mates []string // what it must fit, in words
}

// GoodsIn tells what to look at on a part that was ordered, and its mates.
func (d *Desk) GoodsIn(tag string) (GoodsIn, error) {
	o, ok := d.Order(tag)
	if !ok || d.Box == nil {
		return GoodsIn{}, wrap(ErrNotFound, "%s was not ordered for %s", tag, d.Opened.Unit)
	}
	p, ok := d.Box.Position(o.Position)
	if !ok {
		return GoodsIn{}, wrap(ErrNotFound, "%s has no %q", d.Box.Name, o.Position)
	}
	as := d.Built
	as.Variants = maps.Clone(as.Variants)
	if o.Variant != "" {
		as.Variants[p.ID] = o.Variant
	}
	g := GoodsIn{Order: o, Pos: p}
	g.sizes(as)
	g.gap(as)
	g.traits(d, as)
	g.mates(d, as)
	return g, nil
}

func (g *GoodsIn) sizes(as gearbox.Built) {
	for _, k := range []string{"width", "bore", "od"} {
		if v, ok := g.Pos.Dimension(k, as); ok {
			g.Looks = append(g.Looks, Look{Key: k, Wanted: mm(v) + " mm"})
		}
	}
	if n, ok := g.Pos.Dimension("teeth", as); ok {
		g.Looks = append(g.Looks, Look{Key: "teeth", Wanted: fmt.Sprintf("%.0f", n)})
	}
}

// gap is that of a ring on the very gear it is to run on.
func (g *GoodsIn) gap(as gearbox.Built) {
	millimetres, _ := unit.Find("mm", unit.KindLength)
	for _, m := range g.Pos.Checks {
		if !strings.HasSuffix(m.Name, "gap") || m.Limit == nil {
			continue
		}
		lo, hi, hasLo, hasHi := m.Limit.New.At(as)
		if !hasLo && !hasHi {
			lo, hi, hasLo, hasHi = m.Limit.Band.At(as)
		}
		g.Looks = append(g.Looks, Look{Key: "gap", Wanted: setup.Range(lo, hi, hasLo, hasHi, millimetres), From: m.Limit.From})
	}
}

// traits are the features that its variant has, its hand, and marks that must
// be those of its mate.
func (g *GoodsIn) traits(d *Desk, as gearbox.Built) {
	for _, f := range d.Box.Features {
		if is := g.Pos.Feature(f.Name, as); is != "" {
			g.Looks = append(g.Looks, Look{Key: f.Name, Wanted: is, Choices: f.Values})
		}
	}
	if h := g.Pos.Feature("hand", as); h != "" && !slices.ContainsFunc(g.Looks, func(l Look) bool { return l.Key == "hand" }) {
		g.Looks = append(g.Looks, Look{Key: "hand", Wanted: h, Choices: []string{"left", "right"}})
	}
	parts := d.Parts()
	for _, r := range d.Box.Rules {
		if r.Handed != "" && slices.Contains(r.Of, g.Pos.ID) && !slices.ContainsFunc(g.Looks, func(l Look) bool { return l.Key == "hand" }) {
			g.Looks = append(g.Looks, Look{Key: "hand", Wanted: r.Handed, From: r.From, Choices: []string{"left", "right"}})
		}
		if r.By == "" || !slices.Contains(r.Of, g.Pos.ID) {
			continue
		}
		l := Look{Key: r.By}
		for _, id := range r.Of {
			if id != g.Pos.ID {
				l.Wanted = cmp.Or(l.Wanted, parts.At[id].Marks[r.By])
			}
		}
		g.Looks = append(g.Looks, l)
	}
}

func (g *GoodsIn) mates(d *Desk, as gearbox.Built) {
	say := func(verb, id, dim string) {
		q, ok := d.Box.Position(id)
		if !ok {
			return
		}
		s := verb + " " + q.Label()
		if v, ok := q.Dimension(dim, as); ok && dim == "teeth" {
			s += fmt.Sprintf(", %.0f teeth", v)
		} else if ok {
			s += fmt.Sprintf(", %s mm wide", mm(v))
		}
		if !slices.Contains(g.Mates, s) {
			g.Mates = append(g.Mates, s)
		}
	}
	if g.Pos.Around != "" && g.Pos.Kind == "needle cage" {
		say("runs on", g.Pos.Around, "width")
	} else if g.Pos.Around != "" {
		say("goes over", g.Pos.Around, "")
	}
	if g.Pos.Inside != "" {
		say("goes into", g.Pos.Inside, "")
	}
	for _, m := range d.Box.Meshes {
		switch g.Pos.ID {
		case m.Driver:
			say("meshes with", cmp.Or(m.Idler, m.Driven), "teeth")
		case m.Driven:
			say("meshes with", cmp.Or(m.Idler, m.Driver), "teeth")
		}
	}
	for _, m := range g.Pos.Checks {
		for _, id := range m.Of {
			if id != g.Pos.ID && strings.HasSuffix(m.Name, "gap") {
				say("try it on", id, "")
			}
		}
	}
	for _, r := range d.Box.Rules {
		if what := r.Same + r.By + r.Equal; what != "" && slices.Contains(r.Of, g.Pos.ID) {
			others := slices.DeleteFunc(slices.Clone(r.Of), func(id string) bool { return id == g.Pos.ID })
			g.Mates = append(g.Mates, fmt.Sprintf("the same %s as %s", what, strings.Join(others, ", ")))
		}
	}
}
