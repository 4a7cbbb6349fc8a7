package choose

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
)

// What the board shows: every piece that could go to a position, what is there
// as things stand, and what a move breaks, voids and leaves over.

// Could is one thing that could go to a position of a unit.
type Could struct {
	Tag     string // "" for a part to be bought
	Variant string
	Name    string // in words
	Own     bool   // the one it came with
	Origin  string // "own", a unit, shelf or a supplier
	Price   Money  // still to be paid
	Days    int
	Doubt   Money    // what it is worse by than a new one, as money
	Against []string // facts that rule it out
	Worn    bool     // in, but to be renewed next time
	Unread  bool     // it has checks, and none was read
	Close   bool     // a reading is too close to call
	Marks   map[string]string
}

// Coulds lists what could go to a position of a unit, nil where it is a seat or
// unknown.
func (m *Model) Coulds(u int, position string) []Could {
	at, ok := m.at[place{u, position}]
	if !ok {
		return nil
	}
	p, _ := m.box.Position(position)
	var out []Could
	for _, c := range m.parts[at] {
		out = append(out, m.could(p, c))
	}
	return out
}

func (m *Model) could(p *gearbox.Position, c candidate) Could {
	seen := m.seen[c.tag]
	return Could{Tag: c.tag, Variant: c.part.Variant, Name: c.name(), Own: c.part.Kept, Origin: c.origin, Price: c.price, Days: c.days, Doubt: c.doubt,
		Against: m.against(p, c), Worn: seen.plan, Unread: c.used && c.tag != "" && len(p.Checks) > 0 && !seen.read, Close: seen.close, Marks: c.part.Marks}
}

// Current is the choice as things stand: the piece that is in the unit, else the
// one decided for it, else its own. What is to be bought and has no piece yet
// stands as the first offer, if there is one.
func (m *Model) Current() []int {
	out := make([]int, len(m.Slots))
	for at := range len(m.at) {
		id, u := m.where(at)
		s := m.in.Units[u].State
		pick := func(fits func(c candidate) bool) bool {
			o := slices.IndexFunc(m.parts[at], fits)
			if o >= 0 {
				out[at] = o
			}
			return o >= 0
		}
		if now := s.At[id]; len(now) == 1 && pick(func(c candidate) bool { return c.tag == now[0] }) {
			continue
		}
		if sp := s.Spots[id]; sp != nil && sp.Decided != nil {
			d := sp.Decided.Is
			if d.Piece != "" && pick(func(c candidate) bool { return c.tag == d.Piece }) {
				continue
			}
			if d.Choice == "new" && pick(func(c candidate) bool {
				return !c.used && !c.part.Kept && (d.Variant == "" || c.part.Variant == "" || c.part.Variant == d.Variant)
			}) {
				continue
			}
		}
		if p, _ := m.box.Position(id); p.Once {
			usual := s.Built().Variants[id]
			if pick(func(c candidate) bool {
				return !c.used && (c.tag == "" || s.Pieces[c.tag] != nil) && (usual == "" || c.part.Variant == "" || c.part.Variant == usual) && len(m.against(p, c)) == 0
			}) {
				continue
			}
		}
		pick(func(c candidate) bool { return c.part.Kept })
	}
	return out
}

// Move puts a piece, by its tag, or a variant to a position in a choice.
func (m *Model) Move(choice []int, unit, position, tagOrVariant string) error {
	u := slices.IndexFunc(m.Units, func(x Unit) bool { return x.Name == unit })
	at, ok := m.at[place{u, position}]
	if !ok {
		return fmt.Errorf("%s has no position %s to choose for", unit, position)
	}
	for o, c := range m.parts[at] {
		if c.tag == tagOrVariant || c.tag == "" && (c.part.Variant == tagOrVariant || tagOrVariant == "new") {
			choice[at] = o
			return nil
		}
	}
	for o, c := range m.parts[at] {
		if c.part.Variant == tagOrVariant {
			choice[at] = o
			return nil
		}
	}
	return fmt.Errorf("%s has nothing called %q", m.Slots[at].Name, tagOrVariant)
}

// At is what a choice has at a position of a unit.
func (m *Model) At(choice []int, u int, position string) (Could, bool) {
	at, ok := m.at[place{u, position}]
	if !ok || choice[at] >= len(m.parts[at]) {
		return Could{}, false
	}
	p, _ := m.box.Position(position)
	return m.could(p, m.parts[at][choice[at]]), true
}

// Breaks tells in words what a choice does not keep: rules of the gearbox file
// as Judge reads them, and facts, lots, chains and teeth as Evaluate does. What
// comes off to reach a part is not asked here.
func (m *Model) Breaks(choice []int) []string {
	var out []string
	add := func(s string) {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for u := range m.Units {
		parts := m.Parts(choice, u)
		for _, r := range m.box.Rules {
			if b, broken := m.box.Judge(r, parts); broken && !r.Soft {
				s := m.Units[u].Name + ": " + b.Says
				if r.Why != "" {
					s += ", since " + r.Why
				}
				add(s)
			}
		}
	}
	p := m.Problem
	p.Budgets = nil
	p.Rules = nil
	for _, r := range m.Rules {
		if r.Soft || r.Group == "access" || strings.HasPrefix(r.Group, "one way ") || strings.HasPrefix(r.Group, "rule ") {
			continue // work, or judged above in better words
		}
		if slices.ContainsFunc(wishGroups, func(w string) bool { return strings.HasPrefix(r.Group, w) }) {
			continue
		}
		p.Rules = append(p.Rules, r)
	}
	for _, s := range Evaluate(p, choice).Broken {
		add(s)
	}
	return out
}

// Voids lists the settings that a choice calls in question: they were proven
// with other parts.
func (m *Model) Voids(choice []int) []string {
	var out []string
	for _, r := range m.Rules {
		if strings.HasPrefix(r.Group, "work ") && !keeps(r, choice) {
			out = append(out, strings.TrimSuffix(r.Says, " is to be proven again"))
		}
	}
	return out
}

// Asks tells what is not known and decides whether parts agree: a set that must
// share a feature or a mark, built from more than one source, with the trait of
// a part in it not known. Parts that came in together are taken to agree.
func (m *Model) Asks(choice []int) []string {
	var out []string
	for u := range m.Units {
		parts := m.Parts(choice, u)
		for _, r := range m.box.Rules {
			if r.Same == "" && r.By == "" {
				continue
			}
			var unknown, from []string
			for _, id := range r.Of {
				c, ok := m.At(choice, u, id)
				if !ok {
					continue
				}
				if !slices.Contains(from, c.Origin) {
					from = append(from, c.Origin)
				}
				if m.box.Trait(r, id, parts) == "" {
					p, _ := m.box.Position(id)
					unknown = append(unknown, strings.TrimSpace(p.Label()+" "+c.Tag))
				}
			}
			if len(from) > 1 && len(unknown) > 0 {
				out = append(out, fmt.Sprintf("%s: %s must be one for all of %s, and is not known of %s: look and write it down", m.Units[u].Name, r.Same+r.By, strings.Join(r.Of, ", "), strings.Join(unknown, ", ")))
			}
		}
	}
	return out
}

// Left is a piece that a choice leaves over.
type Left struct {
	Tag, Position, Variant string
	From                   string // unit
	Out                    []string
}

// LeftOver lists the pieces of all books that a choice puts nowhere, one-way
// parts apart.
func (m *Model) LeftOver(choice []int) []Left {
	used := map[string]bool{}
	for at := range len(m.at) {
		used[m.parts[at][choice[at]].tag] = true
	}
	var out []Left
	for _, s := range m.states() {
		for _, p := range m.box.All() {
			if p.Once || p.Seat != nil {
				continue
			}
			for _, c := range m.pieces(s, p, false) {
				if !used[c.tag] {
					out = append(out, Left{c.tag, p.ID, c.part.Variant, s.Opened.Unit, m.against(p, c)})
				}
			}
		}
	}
	return out
}

// Box is the gearbox type that all units share.
func (m *Model) Box() *gearbox.Box { return m.box }

// Own is the part that a unit came with at a position.
func (m *Model) Own(u int, position string) (Could, bool) {
	for _, c := range m.Coulds(u, position) {
		if c.Own {
			return c, true
		}
	}
	return Could{}, false
}
