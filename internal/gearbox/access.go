package gearbox

import (
	"slices"
	"strings"
)

// Access is worked out from the geometry, not from a list of steps: a part
// comes on after all that lies deeper on its carrier in the direction it comes
// from, after what it surrounds, after what a lid closes over, and after
// whatever the file states. Taking apart is the reverse.

// under maps each position to those that must be on before it.
func (b *Box) under() map[string][]*Position {
	if b.below != nil {
		return b.below
	}
	m := map[string][]*Position{}
	for _, c := range b.Carriers {
		for _, p := range c.Order {
			for _, q := range c.Order {
				if q != p && b.deeper(q, p) {
					m[p.ID] = append(m[p.ID], q)
				}
			}
			for _, id := range slices.Concat(p.After, p.Covers) {
				m[p.ID] = append(m[p.ID], b.named(id, p)...)
			}
		}
	}
	for id := range m {
		m[id] = unique(m[id])
	}
	b.below = m
	return m
}

// deeper reports whether q must be on before p, both on one carrier.
func (b *Box) deeper(q, p *Position) bool {
	switch {
	case b.surrounds(p, q):
		return true
	case b.surrounds(q, p), len(p.Carrier.Ends) == 0:
		return false
	}
	end := p.OffEnd()
	if q.OffEnd() != end {
		return false
	}
	if end == p.Carrier.Ends[0] {
		return q.Index > p.Index
	}
	return q.Index < p.Index
}

// surrounds reports whether p lies around q, directly or through others.
func (b *Box) surrounds(p, q *Position) bool {
	for n := 0; p.Around != "" && n < 50; n++ {
		next, ok := b.byID[p.Around]
		if !ok {
			return false
		}
		if next == q {
			return true
		}
		p = next
	}
	return false
}

// named is the position of that id, or all of the carrier of that id, but not p itself.
func (b *Box) named(id string, p *Position) []*Position {
	if q, ok := b.byID[id]; ok {
		return []*Position{q}
	}
	var out []*Position
	if c, ok := b.Carrier(id); ok {
		for _, q := range c.Order {
			if q != p {
				out = append(out, q)
			}
		}
	}
	return out
}

func unique(ps []*Position) []*Position {
	seen := map[*Position]bool{}
	return slices.DeleteFunc(ps, func(p *Position) bool {
		dup := seen[p]
		seen[p] = true
		return dup
	})
}

// Under returns the positions that must be on before id goes on.
func (b *Box) Under(id string) []*Position { return b.under()[id] }

// Over returns the positions that must come off before id does, in the order
// in which they come off: directly or because something else does.
func (b *Box) Over(id string) []*Position {
	hit := map[string]bool{id: true}
	var out []*Position
	for _, p := range b.Order() {
		for _, q := range b.Under(p.ID) {
			if hit[q.ID] {
				hit[p.ID] = true
				out = append(out, p)
				break
			}
		}
	}
	slices.Reverse(out)
	return out
}

// Order is an order of assembly in which nothing waits for what comes later;
// where the geometry leaves a choice it keeps the order of the file.
func (b *Box) Order() []*Position {
	if b.order != nil {
		return b.order
	}
	under := b.under()
	var out []*Position
	state := map[string]int{} // 1 being visited, 2 done
	var visit func(p *Position)
	visit = func(p *Position) {
		if state[p.ID] != 0 {
			return
		}
		state[p.ID] = 1
		for _, q := range under[p.ID] {
			visit(q)
		}
		state[p.ID] = 2
		out = append(out, p)
	}
	for _, p := range b.All() {
		visit(p)
	}
	b.order = out
	return out
}

// acyclic faults on positions that wait for each other in a ring.
func (d *draft) acyclic() {
	under := d.box.under()
	state := map[string]int{}
	var trail []string
	var visit func(p *Position) bool
	visit = func(p *Position) bool {
		switch state[p.ID] {
		case 1:
			from := slices.Index(trail, p.ID)
			d.fault(d.seen[p.ID], "these wait for each other and none could ever go on: %s; mend an \"after\", \"covers\", \"around\" or \"from\"", strings.Join(append(trail[from:], p.ID), " → "))
			return false
		case 2:
			return true
		}
		state[p.ID] = 1
		trail = append(trail, p.ID)
		for _, q := range under[p.ID] {
			if !visit(q) {
				return false
			}
		}
		trail = trail[:len(trail)-1]
		state[p.ID] = 2
		return true
	}
	for _, p := range d.box.All() {
		if !visit(p) {
			return
		}
	}
	d.box.Order()
}
