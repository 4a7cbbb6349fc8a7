package shop

import (
	"maps"
	"slices"

	"endfloat/internal/choose"
	"endfloat/internal/gearbox"
)

// why says in a sentence what speaks for a part at a position against the unit's
// own: a fact against its own, what its own would break beside the rest of the
// choice, else doubt and money.
func (c *Choice) why(u int, p *gearbox.Position, choice []int) string {
	own, ok := c.model.Own(u, p.ID)
	is, _ := c.model.At(choice, u, p.ID)
	switch {
	case is.Own:
		return ""
	case !ok:
		return "nothing of its own is here"
	case p.Once:
		return "a one-way part"
	case len(own.Against) > 0:
		return own.Against[0]
	}
	then := slices.Clone(choice)
	if c.model.Move(then, c.desks[u].Opened.Unit, p.ID, own.Tag) == nil {
		was := c.model.Breaks(choice)
		for _, s := range c.model.Breaks(then) {
			if !slices.Contains(was, s) {
				return "with its own: " + s
			}
		}
	}
	sp := c.desks[u].Spots[p.ID]
	switch {
	case sp != nil && sp.Off != nil && sp.Off.Is.Damage != "":
		return "its own: " + sp.Off.Is.Damage
	case sp != nil && sp.Decided != nil && sp.Decided.Is.Why != "":
		return "decided: " + sp.Decided.Is.Why
	case own.Close:
		return "its own is too close to call"
	case own.Worn:
		return "its own is worn"
	case own.Doubt > is.Doubt:
		return "less doubt than its own"
	}
	return "as wished or decided"
}

// Currency is the word that stands beside the price of an hour.
func (c *Choice) Currency() string {
	_, unit, _ := figureOf(c.Hour) // was read when it was written
	return unit
}

// changes lists what a choice has otherwise than things stand: at the positions
// named and those that hard rules join to them, everywhere where none is named;
// one-way parts and moves apart.
func (c *Choice) changes(choice []int, about []string, moves []Move) []string {
	box := c.model.Box()
	with := joined(box, about)
	before := c.model.Current()
	var out []string
	for u, d := range c.desks {
		for _, p := range box.All() {
			is, ok := c.model.At(choice, u, p.ID)
			moved := slices.ContainsFunc(moves, func(m Move) bool { return m.Book == d.Book && m.Position == p.ID })
			if !ok || p.Once || moved || len(about) > 0 && !with[p.ID] {
				continue
			}
			was, _ := c.model.At(before, u, p.ID)
			if tag := d.meant(p.ID); tag != "" && tag != is.Tag || tag == "" && was.Name != is.Name {
				out = append(out, d.Opened.Unit+" "+p.Label()+": "+is.Name)
			}
		}
	}
	return out
}

// meant is the piece that is at a position, or is decided for it.
func (d *Desk) meant(id string) string {
	if at := d.At[id]; len(at) == 1 {
		return at[0]
	}
	if sp := d.Spots[id]; sp != nil && sp.Decided != nil {
		return sp.Decided.Is.Piece
	}
	return ""
}

// wanted are the positions at which something is wished for.
func (c *Choice) wanted() []string {
	var out []string
	for _, w := range c.Asking.Units {
		out = append(out, slices.Sorted(maps.Keys(w.Want))...)
	}
	return out
}

// joined are positions with all that hard rules join to them, however far.
func joined(box *gearbox.Box, about []string) map[string]bool {
	with := map[string]bool{}
	for _, id := range about {
		with[id] = true
	}
	for grew := true; grew; {
		grew = false
		for _, r := range box.Rules {
			ids := r.Positions()
			if r.Soft || !slices.ContainsFunc(ids, func(id string) bool { return with[id] }) {
				continue
			}
			for _, id := range ids {
				grew = grew || !with[id]
				with[id] = true
			}
		}
	}
	return with
}

// workload adds what an answer costs in work, and by when its parts are here.
func (c *Choice) workload(b *Build, a choose.Answer) {
	parts := choose.Money(0)
	b.Ready = map[string]int{}
	for u, d := range c.desks {
		for _, p := range c.model.Box().All() {
			if is, ok := c.model.At(a.Choice, u, p.ID); ok {
				parts += is.Price
				b.Ready[d.Opened.Unit] = max(b.Ready[d.Opened.Unit], is.Days)
			}
		}
	}
	work := a.Cost.Price - parts
	b.Work = work.String()
	if hour, err := moneyOf("hour", c.Hour); err == nil && hour > 0 {
		b.Hours = float64(work) / float64(hour)
	}
}
