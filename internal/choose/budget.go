package choose

import (
	"cmp"
	"slices"
)

// Budgets tie all units together. They are first priced: every unit of money on
// a budget costs lambda more, which leaves a problem without budgets whose best
// cost, less lambda times the budget, is a bound; the best lambda is found by
// halving (Lagrangian relaxation, textbook, no source). What lies between that
// bound and the best choice found is then searched through, part by part.

// pricing is the search for lambda.
type pricing struct {
	p      Problem
	sc     scale
	lambda []int64 // the best yet
	low    int64   // the bound it gives
	best   []int   // the best choice within the budgets
	over   []int   // the last choice found that passes one
	cost   int64   // its true cost, scaled
	nodes  int
	proven bool
}

func withBudgets(p Problem, sc scale, free Answer) Answer {
	pr := &pricing{p: p, sc: sc, low: -inf, cost: inf, nodes: free.Nodes}
	pr.lambda = make([]int64, len(p.Budgets))
	if !pr.possible() {
		return Answer{Proven: true, Nodes: pr.nodes}
	}
	pr.climb()
	pr.polish()
	if pr.proven = pr.low > pr.cost-sc.step; !pr.proven {
		pr.close()
	}
	a := Answer{Choice: pr.best, Proven: pr.proven, Nodes: pr.nodes, AtLeast: Money((max(pr.low, 0) + sc.step - 1) / sc.step)}
	if a.Proven && a.Choice != nil {
		a.AtLeast = Money(pr.cost / sc.step)
	}
	return a
}

// truth is the scaled cost of a choice, read off the problem.
func (pr *pricing) truth(v Verdict) int64 {
	w := pr.sc.weigh(pr.p, nil)
	var t int64
	for u, c := range v.Units {
		t += w(u, c)
	}
	return t
}

// keep takes a choice that keeps the budgets, if it is the best.
func (pr *pricing) keep(choice []int) {
	v := Evaluate(pr.p, choice)
	if len(v.Broken) > 0 {
		return
	}
	if t := pr.truth(v); t < pr.cost {
		pr.best, pr.cost = choice, t
	}
}

// move is one option put in place of another, with what it changes.
type move struct {
	slot, option int
	cost         int64
	price        []Money
}

// polish betters the best choice by one exchange at a time, or by two of which
// one pays for the other, as long as that helps; then it tries the same from
// the last choice that spent too much, with the cheapest savings made first.
func (pr *pricing) polish() {
	of := make([][]int, len(pr.p.Slots))
	for i, r := range pr.p.Rules {
		for _, c := range r.Of {
			of[c.Slot] = append(of[c.Slot], i)
		}
	}
	first, cost := pr.best, pr.cost
	for _, from := range [][]int{first, pr.save(pr.over, of)} {
		if from == nil {
			continue
		}
		pr.best, pr.cost = nil, inf
		pr.keep(from)
		pr.exchange(of)
		if pr.cost < cost {
			first, cost = pr.best, pr.cost
		}
	}
	pr.best, pr.cost = first, cost
}

func (pr *pricing) exchange(of [][]int) {
	for range 100 {
		if pr.best == nil {
			return
		}
		room, before := pr.room(pr.best), pr.cost
		for _, try := range pr.exchanges(pr.moves(pr.best, of), room) {
			next := slices.Clone(pr.best)
			for _, m := range try {
				next[m.slot] = m.option
			}
			if pr.keep(next); pr.cost < before {
				break
			}
		}
		if pr.cost == before {
			return
		}
	}
}

// room is what is left of each budget.
func (pr *pricing) room(choice []int) []Money {
	v := Evaluate(pr.p, choice)
	room := make([]Money, len(pr.p.Budgets))
	for b := range room {
		room[b] = pr.p.Budgets[b].Most - spent(pr.p, b, v)
	}
	return room
}

// save makes the exchanges that save most for what they make worse, until the
// budgets are kept; nil when they cannot be.
func (pr *pricing) save(choice []int, of [][]int) []int {
	if choice = slices.Clone(choice); choice == nil {
		return nil
	}
	for range len(choice) {
		room := pr.room(choice)
		b := slices.IndexFunc(room, func(m Money) bool { return m < 0 })
		if b < 0 {
			return choice
		}
		best, rate := -1, 0.0
		ms := pr.moves(choice, of)
		for i, m := range ms {
			saves := -max(m.price[b], room[b])
			if m.price[b] >= 0 {
				continue
			}
			if r := float64(m.cost) / float64(saves); best < 0 || r < rate {
				best, rate = i, r
			}
		}
		if best < 0 {
			return nil
		}
		choice[ms[best].slot] = ms[best].option
	}
	return nil
}

// moves are the single exchanges that keep every rule, and lots as far as the
// choice uses them.
func (pr *pricing) moves(choice []int, of [][]int) []move {
	at, w := slices.Clone(choice), pr.sc.weigh(pr.p, nil)
	used := make([]int, len(pr.p.Lots)+1)
	for s, slot := range pr.p.Slots {
		used[slot.Options[at[s]].Lot]++
	}
	price := func(u int, by Money) []Money {
		out := make([]Money, len(pr.p.Budgets))
		for b, budget := range pr.p.Budgets {
			if budget.Unit < 0 || budget.Unit == u {
				out[b] = by
			}
		}
		return out
	}
	var out []move
	for s, slot := range pr.p.Slots {
		was := at[s]
		for o, opt := range slot.Options {
			if o == was || opt.Lot > 0 && opt.Lot != slot.Options[was].Lot && used[opt.Lot] >= pr.p.Lots[opt.Lot-1].Count {
				continue
			}
			m := move{slot: s, option: o, cost: w(slot.Unit, opt.Cost) - w(slot.Unit, slot.Options[was].Cost),
				price: price(slot.Unit, opt.Cost.Price-slot.Options[was].Cost.Price)}
			ok := true
			for _, i := range of[s] {
				r := pr.p.Rules[i]
				at[s] = was
				before := keeps(r, at)
				at[s] = o
				after := keeps(r, at)
				if before == after {
					continue
				}
				ok = ok && (after || r.Soft)
				sign := int64(1)
				if after {
					sign = -1
				}
				m.cost += sign * w(r.Unit, r.Break)
				for b, by := range price(r.Unit, r.Break.Price) {
					m.price[b] += Money(sign) * by
				}
			}
			at[s] = was
			if ok {
				out = append(out, m)
			}
		}
	}
	return out
}

// exchanges are single moves, or pairs of moves of which one pays for the
// other, that better the choice within the room, the best first.
func (pr *pricing) exchanges(moves []move, room []Money) [][]move {
	fits := func(a, b []Money) bool {
		for i, r := range room {
			if a[i]+b[i] > r {
				return false
			}
		}
		return true
	}
	type scored struct {
		by   int64
		what []move
	}
	var out []scored
	none := make([]Money, len(room))
	for i, a := range moves {
		if a.cost < 0 && fits(a.price, none) {
			out = append(out, scored{a.cost, []move{a}})
		}
		for _, b := range moves[i+1:] {
			if by := a.cost + b.cost; by < 0 && a.slot != b.slot && (len(out) == 0 || by < out[0].by) && fits(a.price, b.price) {
				out = slices.Insert(out, 0, scored{by, []move{a, b}})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b scored) int { return cmp.Compare(a.by, b.by) })
	tries := make([][]move, 0, 8)
	for _, s := range out[:min(len(out), 8)] {
		tries = append(tries, s.what)
	}
	return tries
}

// possible tells whether each budget alone could be kept.
func (pr *pricing) possible() bool {
	for b, budget := range pr.p.Budgets {
		least := func(u int, c Cost) int64 {
			if budget.Unit >= 0 && budget.Unit != u {
				return 0
			}
			return int64(c.Price) * pr.sc.step
		}
		a := search(pr.p, pr.sc, least)
		pr.nodes += a.Nodes
		if a.Choice == nil {
			continue
		}
		if a.Proven && spent(pr.p, b, Evaluate(pr.p, a.Choice)) > budget.Most {
			return false
		}
		pr.keep(a.Choice)
	}
	return true
}

// try solves the priced problem and says, of each budget, whether it is passed.
func (pr *pricing) try(lambda []int64) (over []bool, ok bool) {
	a := search(pr.p, pr.sc, pr.sc.weigh(pr.p, lambda))
	pr.nodes += a.Nodes
	if a.Choice == nil {
		return nil, false
	}
	v := Evaluate(pr.p, a.Choice)
	low := pr.truth(v)
	for b, l := range lambda {
		s := spent(pr.p, b, v)
		low += l * int64(s-pr.p.Budgets[b].Most)
		over = append(over, s > pr.p.Budgets[b].Most)
	}
	if a.Proven && low > pr.low {
		pr.low = low
		copy(pr.lambda, lambda)
	}
	pr.keep(a.Choice)
	if slices.Contains(over, true) {
		pr.over = a.Choice
	}
	return over, true
}

// climb looks for the lambda of each budget in turn.
func (pr *pricing) climb() {
	most := pr.sc.step * 64
	for _, r := range pr.sc.rank {
		most = max(most, min(r, 1<<20)*pr.sc.step*64)
	}
	for round := range 3 {
		before := pr.low
		for b := range pr.lambda {
			l := append([]int64(nil), pr.lambda...)
			lo, hi := int64(0), most
			for range 14 {
				if l[b] = (lo + hi) / 2; round == 0 && hi == most && lo == 0 {
					l[b] = pr.sc.step // where money and doubt weigh alike
				}
				over, ok := pr.try(l)
				if !ok || pr.low > pr.cost-pr.sc.step {
					break
				}
				if over[b] {
					lo = l[b]
				} else {
					hi = l[b]
				}
			}
		}
		if pr.low == before || len(pr.lambda) == 1 || pr.low > pr.cost-pr.sc.step {
			return
		}
	}
}

// close searches what lies between the bound and the best choice: every choice
// whose priced cost is below that of the best with its budgets spent to the full.
func (pr *pricing) close() {
	c := newCore(pr.p, pr.sc.weigh(pr.p, pr.lambda))
	c.step = 1
	if !c.start() {
		pr.proven = true
		return
	}
	l := pr.ledger(c)
	ub := pr.cost
	if ub < inf {
		ub -= pr.sc.step - 1
		for b, lambda := range pr.lambda {
			ub += lambda * l.most[b]
		}
	}
	slots, rules := make([]int32, len(c.left)), make([]int32, len(c.rules))
	for s := range slots {
		slots[s] = int32(s)
	}
	for i := range rules {
		rules[i] = int32(i)
	}
	if _, ok := c.ascend(slots, rules, ub, sweepsFirst); ok {
		for _, p := range c.front(slots, rules, ub, l) {
			choice := make([]int, len(slots))
			p.of.each(func(o int32) { choice[c.slot[o]] = int(o - c.first[c.slot[o]]) })
			pr.keep(choice)
			break // the first is the best
		}
	}
	pr.nodes += c.nodes
	pr.proven = !c.spent
}

// ledger lists what every option and every broken rule puts on each budget.
func (pr *pricing) ledger(c *core) *ledger {
	l := &ledger{lambda: pr.lambda, rule: make([][]int64, len(c.rules))}
	on := func(unit int, m Money) []int64 {
		out := make([]int64, len(pr.p.Budgets))
		for b, budget := range pr.p.Budgets {
			if budget.Unit < 0 || budget.Unit == unit {
				out[b] = int64(m)
			}
		}
		return out
	}
	for _, b := range pr.p.Budgets {
		l.most = append(l.most, int64(b.Most))
	}
	for _, s := range pr.p.Slots {
		for _, o := range s.Options {
			l.option = append(l.option, on(s.Unit, o.Cost.Price))
		}
	}
	for i, r := range pr.p.Rules {
		if r.Soft {
			l.rule[i] = on(r.Unit, r.Break.Price)
		}
	}
	return l
}
