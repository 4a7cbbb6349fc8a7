package choose

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// What fits with what: the rules of the gearbox file, tooth counts, and chains
// of lengths, each put into the two forms of a Rule. What a rule means is read
// in one place, gearbox.Judge and gearbox.Trait; here it is only tabled, and
// Solve asks Judge again about every answer.

// present is what a unit is built of now, with one part put in place.
func (m *Model) present(u int, id string, part gearbox.Part) gearbox.Parts {
	s := m.in.Units[u].State
	p := gearbox.Parts{Series: s.Opened.Series, At: map[string]gearbox.Part{}}
	for pos, v := range s.Built().Variants {
		p.At[pos] = gearbox.Part{Variant: v}
	}
	if id != "" {
		p.At[id] = part
	}
	return p
}

func (m *Model) rules(u int) {
	for i, r := range m.box.Rules {
		if len(r.Prove) > 0 {
			continue // drags work along, forbids nothing
		}
		base := Rule{Group: fmt.Sprintf("rule %d of %s", i+1, m.Units[u].Name), Says: m.Units[u].Name + ": " + m.box.SayRule(r), Lo: NoLo, Hi: NoHi,
			Soft: r.Soft, Break: Cost{Doubt: m.in.Labour.Pass}, Unit: u}
		if r.Why != "" {
			base.Says += ", since " + r.Why
		}
		unless, can := m.unless(u, r.If)
		switch {
		case !can: // its condition cannot come true
		case len(r.Needs) > 0 || len(r.Never) > 0:
			m.hanging(u, r, base, unless)
		case r.Handed != "" || r.Range != "":
			m.each(u, r, base, unless)
		default:
			m.alike(u, r, base, unless)
		}
	}
}

// literal is a column of 0 and 1: which options of a slot make a thing true.
type literal struct {
	slot int
	is   []bool
}

// unless gives, for each condition, which options make it untrue; false when a
// condition can never hold.
func (m *Model) unless(u int, conds []gearbox.Cond) ([]literal, bool) {
	var out []literal
	for _, c := range conds {
		l, fixed, holds := m.holds(u, c)
		switch {
		case fixed && !holds:
			return nil, false
		case !fixed:
			for o := range l.is {
				l.is[o] = !l.is[o]
			}
			out = append(out, l)
		}
	}
	return out, true
}

// holds gives which options make a condition true; fixed when no slot decides it.
func (m *Model) holds(u int, c gearbox.Cond) (l literal, fixed, holds bool) {
	at, ok := m.at[place{u, c.Position}]
	if !ok {
		s := m.in.Units[u].State
		return l, true, c.Position == "series" && s.Opened.Series == c.Variant || s.Built().Variants[c.Position] == c.Variant
	}
	l = literal{at, make([]bool, len(m.parts[at]))}
	for o, p := range m.parts[at] {
		l.is[o] = p.part.Variant == c.Variant
	}
	return l, false, false
}

// unknown makes a literal true as well where the variant is not known.
func (m *Model) unknown(l literal) literal {
	for o, p := range m.parts[l.slot] {
		l.is[o] = l.is[o] || p.part.Variant == ""
	}
	return l
}

// clause adds: at least n of the literals are true, or one of unless is.
func (m *Model) clause(base Rule, n int64, literals, unless []literal) {
	cols := map[int][]int64{}
	var order []int
	put := func(l literal, v int64) {
		c, ok := cols[l.slot]
		if !ok {
			c = make([]int64, len(l.is))
			cols[l.slot] = c
			order = append(order, l.slot)
		}
		for o, is := range l.is {
			if is {
				c[o] = min(n, c[o]+v)
			}
		}
	}
	for _, l := range literals {
		put(l, 1)
	}
	for _, l := range unless {
		put(l, n)
	}
	for _, s := range order {
		base.Of = append(base.Of, Column{s, cols[s]})
	}
	base.Lo = n
	m.Rules = append(m.Rules, base)
}

// hanging tables needs and never. A soft rule that needs several things is
// charged for each that is missing.
func (m *Model) hanging(u int, r gearbox.Rule, base Rule, unless []literal) {
	var needs []literal
	met := int64(0)
	for _, c := range r.Needs {
		l, fixed, holds := m.holds(u, c)
		if fixed {
			if holds || c.Position != "series" && m.in.Units[u].State.Built().Variants[c.Position] == "" {
				met++
			} else if r.Least == 0 {
				m.clause(base, 1, nil, unless) // needed, and not to be had
			}
			continue
		}
		needs = append(needs, m.unknown(l))
	}
	if r.Least > 0 {
		if n := int64(r.Least) - met; n > 0 {
			m.clause(base, n, needs, unless)
		}
	} else {
		for _, l := range needs {
			m.clause(base, 1, []literal{l}, unless)
		}
	}
	for _, c := range r.Never {
		l, fixed, holds := m.holds(u, c)
		switch {
		case fixed && holds:
			m.clause(base, 1, nil, unless)
		case !fixed:
			for o := range l.is {
				l.is[o] = !l.is[o]
			}
			m.clause(base, 1, []literal{l}, unless)
		}
	}
}

// each is for rules that hold every position for itself against something.
func (m *Model) each(u int, r gearbox.Rule, base Rule, unless []literal) {
	for _, id := range r.Of {
		at, ok := m.at[place{u, id}]
		if !ok {
			continue
		}
		one := r
		one.Of, one.If = []string{id}, nil
		l := literal{at, make([]bool, len(m.parts[at]))}
		for o, c := range m.parts[at] {
			_, broken := m.box.Judge(one, m.present(u, id, c.part))
			l.is[o] = !broken
		}
		if slices.Contains(l.is, false) {
			m.clause(base, 1, []literal{l}, unless)
		}
	}
}

// alike tables the trait that a set must share.
func (m *Model) alike(u int, r gearbox.Rule, base Rule, unless []literal) {
	number := map[string]int64{}
	var cols []Column
	for _, id := range r.Of {
		at, ok := m.at[place{u, id}]
		if !ok {
			continue
		}
		col := Column{at, make([]int64, len(m.parts[at]))}
		for o, c := range m.parts[at] {
			col.Values[o] = Any
			if t := m.box.Trait(r, id, m.present(u, id, c.part)); t != "" {
				if _, had := number[t]; !had {
					number[t] = int64(len(number))
				}
				col.Values[o] = number[t]
			}
		}
		cols = append(cols, col)
	}
	if len(unless) == 0 {
		base.Alike, base.Of = true, cols
		m.Rules = append(m.Rules, base)
		return
	}
	for i, a := range cols {
		for _, b := range cols[i+1:] {
			m.pairwise(base, a, b, int64(len(number)), unless)
		}
	}
}

// pairwise says of each value: if the first has it, so has the second, or one
// of them is not known, or the condition does not hold.
func (m *Model) pairwise(base Rule, a, b Column, values int64, unless []literal) {
	for v := range values {
		not, same := literal{a.Slot, make([]bool, len(a.Values))}, literal{b.Slot, make([]bool, len(b.Values))}
		for o, x := range a.Values {
			not.is[o] = x != v
		}
		for o, x := range b.Values {
			same.is[o] = x == v || x == Any
		}
		m.clause(base, 1, []literal{not, same}, unless)
	}
}

// meshes asks the teeth of each speed for the sum that its centres want.
func (m *Model) meshes(u int) {
	as := m.in.Units[u].State.Built()
	for _, g := range m.box.Meshes {
		helix, _ := g.Helix.SI(as)
		centres, ok := g.Centre.SI(as)
		if !ok || g.Module <= 0 || g.Idler != "" {
			continue
		}
		r := Rule{Group: "teeth " + g.Speed + " of " + m.Units[u].Name, Lo: NoLo, Hi: NoHi}
		for _, id := range []string{g.Driver, g.Driven} {
			if at, ok := m.at[place{u, id}]; ok {
				r.Of = append(r.Of, m.column(u, id, at, "teeth", 1))
			}
		}
		s, _ := Teeth(0, 0, g.Module, unit.Angle(helix), unit.Length(centres))
		r.Lo, r.Hi = int64(math.Ceil(s-half)), int64(math.Floor(s+half))
		r.Says = fmt.Sprintf("%s: speed %s has %.4g mm between centres, where %s and %s must have %.0f teeth together", m.Units[u].Name, g.Speed, centres*1e3, g.Driver, g.Driven, s)
		if len(r.Of) == 2 {
			m.Rules = append(m.Rules, r)
		}
	}
}

// column tables a dimension of the options of a slot, in units of 1/per.
func (m *Model) column(u int, id string, at int, dim string, per float64) Column {
	q, _ := m.box.Position(id)
	col := Column{at, make([]int64, len(m.parts[at]))}
	for o, c := range m.parts[at] {
		v, ok := c.part.Dims[dim]
		if !ok {
			v, ok = q.Dimension(dim, m.present(u, id, c.part).Built())
		}
		col.Values[o] = Any
		if ok {
			col.Values[o] = int64(math.Round(v * per))
		}
	}
	return col
}

// fine is the number of steps to the metre in which chains are added up.
const fine = 1e8

// chains holds settings that are made of lengths of parts against their limits:
// with what the drawer can put at its seats, a pack must be possible.
func (m *Model) chains(u int) {
	as := m.in.Units[u].State.Built()
	for _, set := range m.box.Settings {
		lo, hi, hasLo, hasHi := set.Band.At(as)
		if len(set.Chain) < 2 || !hasLo && !hasHi || len(set.Raises)+len(set.Lowers) > 0 {
			continue
		}
		sum := map[int]Column{}
		var order []int
		var seats []string
		least, most, ok := 0.0, 0.0, true // of the seats
		for _, t := range set.Chain {
			at, slot := m.at[place{u, t.Position}]
			switch {
			case t.Position == "" || t.Dim != "" && !slot:
				ok = false
			case t.Dim == "":
				thin, thick, any := m.packs(u, t.Position)
				ok, seats = ok && any, append(seats, t.Position)
				least, most = least+math.Min(t.Sign*thin, t.Sign*thick), most+math.Max(t.Sign*thin, t.Sign*thick)
			default:
				col := m.column(u, t.Position, at, t.Dim, t.Sign*fine)
				if had, twice := sum[at]; twice {
					col = plus(had, col)
				} else {
					order = append(order, at)
				}
				sum[at] = col
			}
		}
		if !ok || len(order) == 0 {
			continue
		}
		r := Rule{Group: set.Name + " of " + m.Units[u].Name, Says: fmt.Sprintf("%s: %s must come within its limits", m.Units[u].Name, set.Name), Lo: NoLo, Hi: NoHi}
		if len(seats) > 0 {
			r.Says += ", with the packs there are for " + strings.Join(seats, " and ")
		}
		const hair = 50 + 0.5 // half a micrometre, in steps
		if hasLo {
			r.Lo = int64(math.Floor((lo-most)*fine - hair))
		}
		if hasHi {
			r.Hi = int64(math.Ceil((hi-least)*fine + hair))
		}
		for _, at := range order {
			r.Of = append(r.Of, sum[at])
		}
		m.Rules = append(m.Rules, r)
	}
}

func plus(a, b Column) Column {
	for o, v := range b.Values {
		if v == Any || a.Values[o] == Any {
			a.Values[o] = Any
		} else {
			a.Values[o] += v
		}
	}
	return a
}

// packs is the thinnest and the thickest that could go to a seat: pieces of the
// drawer that fit it, up to as many as it takes, and the pack found there.
func (m *Model) packs(u int, seat string) (thin, thick float64, any bool) {
	p, ok := m.box.Position(seat)
	if !ok || p.Seat == nil {
		return 0, 0, false
	}
	var all []float64
	add := func(pc job.Piece) {
		if pc.SI > 0 && (pc.Stock != "" && pc.Stock == p.Seat.Stock || pc.Position == seat) {
			all = append(all, pc.SI)
		}
	}
	for _, pc := range m.in.Units[u].State.Pieces {
		add(*pc)
	}
	for _, h := range m.in.Stock {
		add(h.Piece)
	}
	if len(all) == 0 {
		return 0, 0, false
	}
	slices.Sort(all)
	for _, t := range all[max(0, len(all)-p.Seat.Max):] {
		thick += t
	}
	return all[0], thick, true
}
