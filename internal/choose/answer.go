package choose

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
)

// mostRounds bounds how often an answer that Judge refuses is sought anew.
const mostRounds = 50

// Solve finds and proves the best choice. Every hard rule of the gearbox file
// is then judged again on the parts chosen; a combination that a rule refuses
// though its table let it pass (a value that hangs on another position) is
// ruled out, and the search begins anew.
func (m *Model) Solve() (Answer, error) {
	for range mostRounds {
		a, err := Solve(m.Problem)
		if err != nil || a.Choice == nil {
			return a, err
		}
		if !m.refused(a.Choice) {
			return a, nil
		}
	}
	return Answer{}, fmt.Errorf("the rules of the gearbox file hang together in a way that cannot be told apart; %d answers were refused", mostRounds)
}

// Parts is what a choice makes of a unit, as rules see it.
func (m *Model) Parts(choice []int, u int) gearbox.Parts {
	p := m.present(u, "", gearbox.Part{})
	for at, o := range choice[:len(m.at)] {
		if id, unit := m.where(at); unit == u {
			p.At[id] = m.parts[at][o].part
		}
	}
	return p
}

func (m *Model) where(slot int) (id string, u int) {
	u = m.Slots[slot].Unit
	id, _, _ = strings.Cut(strings.TrimPrefix(m.Slots[slot].Name, m.Units[u].Name+" "), " ")
	return id, u
}

// refused judges a choice by the gearbox file and rules out what it refuses.
func (m *Model) refused(choice []int) bool {
	any := false
	for u := range m.Units {
		parts := m.Parts(choice, u)
		for _, r := range m.box.Rules {
			if b, broken := m.box.Judge(r, parts); broken && !r.Soft {
				m.rule(u, r, b.Says, choice)
				any = true
			}
		}
	}
	return any
}

// rule forbids the variants chosen at all positions that a rule could see.
func (m *Model) rule(u int, r gearbox.Rule, says string, choice []int) {
	ids := m.sees(r)
	out := Rule{Says: m.Units[u].Name + ": " + says, Lo: 1, Hi: NoHi}
	for _, id := range ids {
		at, ok := m.at[place{u, id}]
		if !ok {
			continue
		}
		col := Column{at, make([]int64, len(m.parts[at]))}
		for o, c := range m.parts[at] {
			if c.part.Variant != m.parts[at][choice[at]].part.Variant || c.part.Kept != m.parts[at][choice[at]].part.Kept || o != choice[at] && c.tag != "" {
				col.Values[o] = 1
			}
		}
		out.Of = append(out.Of, col)
	}
	m.Rules = append(m.Rules, out)
}

// sees lists the positions that can decide a rule: those it names, and those
// that values of them hang on.
func (m *Model) sees(r gearbox.Rule) []string {
	ids := slices.Clone(r.Of)
	for _, c := range slices.Concat(r.If, r.Needs, r.Never) {
		ids = append(ids, c.Position)
	}
	for _, id := range slices.Clone(ids) {
		q, ok := m.box.Position(id)
		if !ok {
			continue
		}
		values := slices.Concat(q.Values, q.Features)
		for _, v := range q.Variants {
			values = append(values, v.Values...)
		}
		for _, v := range append(values, gearbox.Named{Value: q.Width}, gearbox.Named{Value: q.Bore}, gearbox.Named{Value: q.OD}) {
			ids = append(ids, v.By())
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

// Chosen is one position of an answer.
type Chosen struct {
	Unit     string
	Position *gearbox.Position
	Tag      string // "" for a part to be bought
	Variant  string
	Part     string // in words
	Own      bool   // the one it came with
	Cost     Cost
}

// Build lists an answer position by position.
func (m *Model) Build(a Answer) []Chosen {
	var out []Chosen
	for at, o := range a.Choice[:min(len(m.at), len(a.Choice))] {
		id, u := m.where(at)
		p, _ := m.box.Position(id)
		c := m.parts[at][o]
		out = append(out, Chosen{Unit: m.Units[u].Name, Position: p, Tag: c.tag, Variant: c.part.Variant, Part: c.name(), Own: c.part.Kept, Cost: m.Slots[at].Options[o].Cost})
	}
	return out
}

// Drags lists, in words, the soft rules an answer passes and the work it drags
// along: settings to prove again, parts to take off.
func (m *Model) Drags(a Answer) []string {
	var out []string
	for _, i := range a.Passed {
		out = append(out, m.Rules[i].Says)
	}
	for at := len(m.at); at < len(a.Choice); at++ {
		if o := m.Slots[at].Options[a.Choice[at]]; o.Cost.Price > 0 {
			out = append(out, m.Slots[at].Name)
		}
	}
	return out
}

// Want asks for a piece, by its tag, or for a variant at a position of a unit;
// from then on the model's answers have it there, or clash.
func (m *Model) Want(unit, position, tagOrVariant string) error {
	u := slices.IndexFunc(m.Units, func(x Unit) bool { return x.Name == unit })
	at, ok := m.at[place{u, position}]
	if !ok {
		return fmt.Errorf("%s has no position %s to choose for", unit, position)
	}
	fits := func(o int) bool {
		return m.parts[at][o].tag == tagOrVariant || m.parts[at][o].part.Variant == tagOrVariant
	}
	if !slices.ContainsFunc(indices(len(m.parts[at])), fits) {
		var have []string
		for _, o := range m.Slots[at].Options {
			have = append(have, o.Name)
		}
		return fmt.Errorf("%s has nothing called %q; there is %s", m.Slots[at].Name, tagOrVariant, strings.Join(have, ", "))
	}
	name := tagOrVariant
	if o := slices.IndexFunc(m.parts[at], func(c candidate) bool { return c.tag == tagOrVariant }); o >= 0 {
		name = m.Slots[at].Options[o].Name
	}
	says := fmt.Sprintf("%s is wanted at %s", name, m.Slots[at].Name)
	m.forbid(wanted+m.Slots[at].Name, says, at, func(o int) bool { return !fits(o) })
	return nil
}

// wishGroups begin the groups of what somebody asked for and can give up.
var wishGroups = []string{wanted, "ready ", "original ", "series ", "torque ", "budget ", "decided "}

// wanted begins the group of what was asked for with Want.
const wanted = "wanted "

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// Way is one way out of a clash: a wish given up, and what is then best.
type Way struct {
	GivesUp string
	Best    Answer
	Takes   []string // what is fitted in place of what was there, one-way parts apart, at positions that rules join
}

// WaysOut gives up, one at a time, what was wanted and clashes, and shows the
// best that is then possible, the cheapest first.
func (m *Model) WaysOut(c *Clash) ([]Way, error) {
	var out []Way
	for i, g := range c.Groups {
		if !slices.ContainsFunc(wishGroups, func(w string) bool { return strings.HasPrefix(g, w) }) {
			continue
		}
		n := *m
		n.Rules = slices.DeleteFunc(slices.Clone(m.Rules), func(r Rule) bool { return r.Group == g })
		n.Budgets = slices.Clone(m.Budgets)
		for b := range n.Budgets {
			if g == fmt.Sprint("budget ", b) {
				n.Budgets[b].Most = Money(NoHi)
			}
		}
		a, err := n.Solve()
		if err != nil {
			return nil, err
		}
		if a.Choice == nil {
			continue // something else clashes too
		}
		w := Way{GivesUp: c.Says[i], Best: a}
		now := m.Current()
		for at, o := range a.Choice[:len(m.at)] {
			id, _ := m.where(at)
			p, _ := m.box.Position(id)
			if opt := m.Slots[at].Options[o]; o != now[at] && opt.Kind != "" && !m.parts[at][o].part.Kept && !p.Once {
				w.Takes = append(w.Takes, m.Slots[at].Name+": "+opt.Name)
			}
		}
		out = append(out, w)
	}
	slices.SortStableFunc(out, func(a, b Way) int { return int(a.Best.Cost.Sum() - b.Best.Cost.Sum()) })
	return out, nil
}

// Alternatives are the next best answers, each judged by the gearbox file.
func (m *Model) Alternatives(best Answer, n int) ([]Answer, error) {
	for range mostRounds {
		as, err := Alternatives(m.Problem, best, n)
		if err != nil {
			return nil, err
		}
		if !slices.ContainsFunc(as, func(a Answer) bool { return m.refused(a.Choice) }) {
			return as, nil
		}
	}
	return nil, fmt.Errorf("%d alternatives were refused", mostRounds)
}
