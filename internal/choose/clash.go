package choose

import (
	"fmt"
	"slices"
	"strings"
)

// Clash is a smallest set of rules and facts that cannot all be kept: take any
// one of them away and the rest can.
type Clash struct {
	Groups   []string // the groups in it, as the problem names them
	Says     []string // one sentence each
	Smallest bool     // false when the limit of the search kept it from being proven
}

// Text is the clash as one paragraph.
func (c Clash) Text() string {
	switch len(c.Says) {
	case 1:
		return "This alone cannot be kept: " + c.Says[0] + "."
	}
	last := len(c.Says) - 1
	s := fmt.Sprintf("These %d cannot all be kept: %s; and %s. Without any one of them the others can.", len(c.Says), strings.Join(c.Says[:last], "; "), c.Says[last])
	if !c.Smallest {
		s = strings.TrimSuffix(s, " Without any one of them the others can.") + " Some of them may not be needed for the clash."
	}
	return s
}

// group is what stands or falls together: rules, a lot, or a budget.
type group struct {
	name   string
	says   []string
	rules  []int
	lot    int // 1 + index
	budget int // 1 + index
}

func groups(p Problem) []group {
	var out []group
	at := map[string]int{}
	for i, r := range p.Rules {
		if r.Soft {
			continue
		}
		name := r.Group
		if name == "" {
			name = fmt.Sprint("rule ", i)
		}
		k, ok := at[name]
		if !ok {
			k = len(out)
			at[name] = k
			out = append(out, group{name: name})
		}
		out[k].rules = append(out[k].rules, i)
		if !slices.Contains(out[k].says, r.Says) {
			out[k].says = append(out[k].says, r.Says)
		}
	}
	for l, lot := range p.Lots {
		out = append(out, group{name: fmt.Sprint("lot ", l), says: []string{lotSays(lot)}, lot: l + 1})
	}
	for b, budget := range p.Budgets {
		out = append(out, group{name: fmt.Sprint("budget ", b), says: []string{budget.Says}, budget: b + 1})
	}
	return out
}

// clash finds a smallest set of groups that clash, by dividing (QuickXplain:
// Junker 2004, from memory), then taking away one after another.
func clash(p Problem) *Clash {
	for s, slot := range p.Slots {
		if len(slot.Options) == 0 {
			return &Clash{Groups: []string{fmt.Sprint("slot ", s)}, Says: []string{"for " + slot.Name + " there is nothing to be had"}, Smallest: true}
		}
	}
	d := &divider{p: p, sure: true}
	if d.p.Limit == 0 {
		d.p.Limit = DefaultLimit / 10 // many small questions
	}
	all := d.relevant(groups(p))
	if d.can(nil) {
		all = d.divide(nil, all, false)
	} else {
		all = nil
	}
	for i := 0; i < len(all); i++ {
		if rest := slices.Delete(slices.Clone(all), i, i+1); !d.can(rest) {
			all = rest
			i--
		}
	}
	out := &Clash{Smallest: d.sure}
	for _, g := range all {
		out.Groups = append(out.Groups, g.name)
		out.Says = append(out.Says, strings.Join(g.says, "; "))
	}
	return out
}

type divider struct {
	p    Problem
	sure bool
}

// relevant drops what cannot matter: rules whose component can be filled. It
// keeps all when the clash is about money.
func (d *divider) relevant(gs []group) []group {
	no := d.p
	no.Budgets = nil
	if d.possible(no) {
		return gs
	}
	gs = slices.DeleteFunc(gs, func(g group) bool { return g.budget > 0 })
	// Grow from nothing: the groups up to the first that makes it impossible.
	lo, hi := 0, len(gs)
	for lo < hi {
		mid := (lo + hi) / 2
		if d.can(gs[:mid]) {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return gs[:hi]
}

func (d *divider) divide(with, of []group, added bool) []group {
	if added && !d.can(with) {
		return nil
	}
	if len(of) == 1 {
		return of
	}
	a, b := of[:len(of)/2], of[len(of)/2:]
	second := d.divide(slices.Concat(with, a), b, len(a) > 0)
	first := d.divide(slices.Concat(with, second), a, len(second) > 0)
	return slices.Concat(first, second)
}

// can reports whether these groups can all be kept.
func (d *divider) can(gs []group) bool {
	p := d.p
	p.Rules, p.Budgets = nil, nil
	p.Lots = slices.Clone(d.p.Lots)
	for l := range p.Lots {
		p.Lots[l].Count = 1 << 30
	}
	for _, g := range gs {
		for _, r := range g.rules {
			p.Rules = append(p.Rules, d.p.Rules[r])
		}
		if g.lot > 0 {
			p.Lots[g.lot-1] = d.p.Lots[g.lot-1]
		}
		if g.budget > 0 {
			p.Budgets = append(p.Budgets, d.p.Budgets[g.budget-1])
		}
	}
	if len(p.Budgets) > 0 { // what a soft rule costs counts too
		for _, r := range d.p.Rules {
			if r.Soft {
				p.Rules = append(p.Rules, r)
			}
		}
	}
	return d.possible(p)
}

// possible reports whether a problem has any choice at all.
func (d *divider) possible(p Problem) bool {
	sc := scale{rank: make([]int64, len(p.Units)), step: 1}
	if len(p.Budgets) > 0 {
		for u := range sc.rank {
			sc.rank[u] = 1
		}
		sc.step = 4096
	}
	a := search(p, sc, sc.weigh(p, nil))
	if a.Choice != nil && !within(p, a.Choice) {
		a = withBudgets(p, sc, a)
	}
	if a.Choice == nil && !a.Proven {
		d.sure = false
		return true
	}
	return a.Choice != nil
}
