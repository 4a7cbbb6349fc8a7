package choose

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// wishes are what the owner of a unit asks for, and what its book has decided.
func (m *Model) wishes(u int) {
	j, name := m.in.Units[u], m.Units[u].Name
	if j.Budget > 0 {
		m.Budgets = append(m.Budgets, Budget{u, j.Budget, fmt.Sprintf("%s may cost no more than %s", name, j.Budget)})
	}
	for _, p := range m.box.All() {
		at, ok := m.at[place{u, p.ID}]
		if !ok {
			continue
		}
		parts := m.parts[at]
		if j.Days > 0 {
			m.forbid("ready "+name, fmt.Sprintf("%s is to have all its parts in %d days", name, j.Days), at, func(o int) bool { return parts[o].days > j.Days })
		}
		if usual := p.Usual(j.State.Opened.Series); j.Series && usual != "" {
			m.forbid("series "+name, fmt.Sprintf("%s is to keep to its series %s", name, j.State.Opened.Series), at, func(o int) bool {
				return parts[o].part.Variant != usual
			})
		}
		if j.Carries != nil {
			for o, c := range parts {
				if why := j.Carries(p.ID, c.part.Variant); why != "" {
					m.forbid("torque "+name, name+": "+why, at, func(x int) bool { return x == o })
				}
			}
		}
		own := slices.IndexFunc(parts, func(c candidate) bool { return c.part.Kept })
		if j.Original && own >= 0 && len(m.against(p, parts[own])) == 0 {
			m.forbid("original "+name, name+" is to keep its own parts wherever they are fit", at, func(o int) bool { return o != own })
		}
		if sp := j.State.Spots[p.ID]; j.Decided && sp != nil && sp.Decided != nil {
			m.decided(at, p, sp.Decided.Is)
		}
	}
}

// decided keeps to what a book says of a part.
func (m *Model) decided(at int, p *gearbox.Position, d job.Decided) {
	says := fmt.Sprintf("%s: decided %s", m.Slots[at].Name, d.Choice)
	if d.Piece != "" {
		says += " " + d.Piece
	}
	if d.Variant != "" {
		says += " (" + d.Variant + ")"
	}
	parts := m.parts[at]
	bad := func(o int) bool {
		c := parts[o]
		switch {
		case d.Piece != "" && c.tag != d.Piece, d.Variant != "" && c.part.Variant != "" && c.part.Variant != d.Variant:
			return true
		case d.Choice == "reuse" || d.Choice == "repair":
			return d.Piece == "" && !c.part.Kept
		case d.Choice == "new":
			return c.used
		}
		return c.part.Kept
	}
	if !slices.ContainsFunc(indices(len(parts)), func(o int) bool { return !bad(o) }) {
		says += ", and there is none to be had"
	}
	m.forbid("decided "+m.Slots[at].Name, says, at, bad)
}

// String is the amount with two decimals.
func (m Money) String() string {
	sign := ""
	if m < 0 {
		sign, m = "-", -m
	}
	return fmt.Sprintf("%s%d.%02d", sign, int64(m)/100, int64(m)%100)
}

// hours to take a part off and put it back.
func (m *Model) hours(p *gearbox.Position) float64 {
	l := m.in.Labour
	switch {
	case p.HeatTo.Known() || slices.Contains(p.Care, "press") || slices.Contains(p.Care, "hot"):
		return l.Press
	case p.Fastening():
		return l.Fasten
	}
	return l.Hand
}

// stays gives, of a slot, 1 for the option that leaves what is there.
func (m *Model) stays(u int, p *gearbox.Position) (Column, bool) {
	at, ok := m.at[place{u, p.ID}]
	if !ok {
		return Column{}, false
	}
	now := m.in.Units[u].State.At[p.ID]
	col := Column{at, make([]int64, len(m.parts[at]))}
	for o, c := range m.parts[at] {
		if len(now) == 1 && c.tag == now[0] || len(now) == 0 && c.part.Kept {
			col.Values[o] = 1
		}
	}
	return col, true
}

// drag adds work that is done once if any of the positions gets another part.
func (m *Model) drag(u int, says string, hours float64, cols []Column) {
	price := Money(hours*float64(m.in.Labour.Hour) + 0.5)
	if price <= 0 || len(cols) == 0 {
		return
	}
	m.Rules = append(m.Rules, Rule{Group: "work " + says, Says: says, Of: cols, Lo: int64(len(cols)), Hi: NoHi, Soft: true, Break: Cost{Price: price}, Unit: u})
}

// work is what a change drags along: what must come off to reach the part, and
// what was proven and must be proven again.
func (m *Model) work(u int) {
	s, name := m.in.Units[u].State, m.Units[u].Name
	off := m.access(s, u, name, 1)
	for _, p := range m.box.All() {
		col, ok := m.stays(u, p)
		if !ok || off == nil {
			continue
		}
		m.implies(col, off[p.ID], 1) // another part: this one comes off
		if p.Once && len(s.At[p.ID]) > 0 {
			renewed := Column{col.Slot, make([]int64, len(col.Values))}
			for o, v := range col.Values {
				renewed.Values[o] = 1 - v
			}
			m.Rules = append(m.Rules, Rule{Group: "one way " + m.Slots[col.Slot].Name, Of: []Column{{off[p.ID], []int64{1, 0}}, renewed}, Lo: 1, Hi: NoHi,
				Says: m.Slots[col.Slot].Name + " is a one-way part and comes off"})
		}
	}
	for _, r := range setup.All(s) {
		if !r.Proven {
			continue
		}
		var cols []Column
		for _, id := range m.restsOn(r.Setting) {
			p, _ := m.box.Position(id)
			if col, ok := m.stays(u, p); ok {
				cols = append(cols, col)
			}
		}
		m.drag(u, fmt.Sprintf("%s: %s is to be proven again", name, r.Name), m.in.Labour.Setting, cols)
	}
}

// access adds a slot for each part of a unit that is still together: it stays,
// or it comes off, which takes time, and whatever must come off before it. The
// share is of the time to take off and put back. Slots by position; nil when
// nothing is together any more.
func (m *Model) access(s *job.State, payer int, name string, share float64) map[string]int {
	if !slices.ContainsFunc(m.box.All(), func(p *gearbox.Position) bool { return len(s.At[p.ID]) > 0 }) {
		return nil
	}
	off := map[string]int{}
	for _, p := range m.box.All() {
		var price Money
		if len(s.At[p.ID]) > 0 {
			price = Money(share*m.hours(p)*float64(m.in.Labour.Hour) + 0.5)
		}
		off[p.ID] = len(m.Slots)
		says := fmt.Sprintf("%s: %s comes off", name, p.Label())
		m.Slots = append(m.Slots, Slot{Unit: payer, Name: says, Options: []Option{{Name: "stays"}, {Name: "off", Cost: Cost{Price: price}}}})
		m.parts = append(m.parts, nil)
	}
	for _, p := range m.box.All() {
		for _, q := range m.box.Under(p.ID) {
			m.implies(Column{off[q.ID], []int64{1, 0}}, off[p.ID], 1)
		}
	}
	return off
}

// implies says: where a column is 0, the other slot takes the given option.
func (m *Model) implies(unless Column, slot, option int) {
	then := Column{slot, make([]int64, len(m.Slots[slot].Options))}
	then.Values[option] = 1
	m.Rules = append(m.Rules, Rule{Group: "access", Says: "a part comes off only after what lies over it", Of: []Column{unless, then}, Lo: 1, Hi: NoHi})
}

// restsOn lists the positions whose pieces a setting rests on, and those whose
// variant a rule says calls it in question.
func (m *Model) restsOn(set *gearbox.Setting) []string {
	var ids []string
	for _, t := range set.Chain {
		ids = append(ids, t.Position)
		if q, ok := m.box.Measure(t.Measure); ok && t.Measure != "" {
			ids = append(ids, q.Of...)
		}
	}
	for _, name := range append(slices.Clone(set.Proved), set.Name) {
		if q, ok := m.box.Measure(name); ok {
			ids = append(ids, q.Of...)
		}
	}
	for _, r := range m.box.Rules {
		if slices.ContainsFunc(r.Prove, func(n string) bool { return strings.EqualFold(n, set.Name) }) {
			for _, c := range r.If {
				ids = append(ids, c.Position)
			}
		}
	}
	slices.Sort(ids)
	return slices.DeleteFunc(slices.Compact(ids), func(id string) bool {
		_, ok := m.box.Position(id)
		return !ok
	})
}

// stripDonors charges what must come off a donor to reach the parts taken,
// once, to the unit of lowest rank. Nothing goes back on: half the time.
func (m *Model) stripDonors() {
	payer := 0
	for u := range m.Units {
		if m.Units[u].Rank < m.Units[payer].Rank {
			payer = u
		}
	}
	for _, s := range m.in.Donors {
		off := m.access(s, payer, s.Opened.Unit, 0.5)
		if off == nil {
			continue
		}
		for _, p := range m.box.All() {
			for _, col := range m.untouched(s, p) {
				m.implies(col, off[p.ID], 1)
			}
		}
	}
}

// untouched gives, of every unit's slot, 1 for options that leave the donor's
// piece where it is.
func (m *Model) untouched(s *job.State, p *gearbox.Position) []Column {
	var cols []Column
	for u := range m.Units {
		at, ok := m.at[place{u, p.ID}]
		if !ok {
			continue
		}
		col, takes := Column{at, make([]int64, len(m.parts[at]))}, false
		for o, c := range m.parts[at] {
			if slices.Contains(s.At[p.ID], c.tag) {
				takes = true
			} else {
				col.Values[o] = 1
			}
		}
		if takes {
			cols = append(cols, col)
		}
	}
	return cols
}

// kinds says which options are alternatives to each other: at positions that
// some rule joins to another, those of other variants, and, where the unit's
// own part is not fit, new ones and used ones.
func (m *Model) kinds() {
	joined := map[int]bool{}
	for _, r := range m.Rules {
		if len(r.Of) < 2 || strings.HasPrefix(r.Group, "work ") || r.Group == "access" {
			continue
		}
		for _, c := range r.Of {
			joined[c.Slot] = true
		}
	}
	for s := range len(m.at) {
		id, _ := m.where(s)
		p, _ := m.box.Position(id)
		fit := slices.ContainsFunc(m.parts[s], func(c candidate) bool { return c.part.Kept && len(m.against(p, c)) == 0 })
		for o, c := range m.parts[s] {
			if !joined[s] || p.Once {
				continue
			}
			kind := "of variant " + c.part.Variant
			if !fit && c.used {
				kind += ", used"
			}
			m.Slots[s].Options[o].Kind = kind
		}
	}
}
