package choose

import (
	"cmp"
	"slices"
)

// ledger is what options and broken rules put on each budget.
type ledger struct {
	lambda []int64
	most   []int64
	option [][]int64 // option → by budget
	rule   [][]int64 // rule → by budget, when it is broken
}

// point is one way to fill some slots: its cost with lambda, what it puts on
// each budget, and its true cost.
type point struct {
	cost, truth int64
	price       []int64
	of          *choiceOf
}

// choiceOf is the options of a point, as what was joined to make it.
type choiceOf struct {
	option int32 // -1 = none
	a, b   *choiceOf
}

func (t *choiceOf) each(fn func(o int32)) {
	if t == nil {
		return
	}
	if t.option >= 0 {
		fn(t.option)
	}
	t.a.each(fn)
	t.b.each(fn)
}

// mostPoints is the size of a front past which it is given up; with several
// budgets every point is held against every other, so it is smaller.
func (l *ledger) mostPoints() int { return 20_000 / (len(l.most)*len(l.most)*2 - 1) }

// front finds all ways to fill the slots at a cost with lambda below ub of
// which no other is as good in true cost and on every budget. It takes the
// problem apart as split does.
func (c *core) front(slots, rules []int32, ub int64, l *ledger) []point {
	base := point{price: make([]int64, len(l.most))}
	var free, active []int32
	for _, s := range slots {
		if c.left[s] > 1 {
			free = append(free, s)
			continue
		}
		o := c.only(s)
		base.add(c.cost[o], l.option[o])
		base.of = &choiceOf{o, base.of, nil}
	}
	for _, i := range rules {
		switch c.state(&c.rules[i]) {
		case open:
			active = append(active, i)
		case broken:
			if c.rules[i].hard {
				return nil
			}
			base.add(c.rules[i].pen, l.rule[i])
		}
	}
	parts, _ := c.parts(free, active)
	least, sum := make([]int64, len(parts)), base.cost
	for k, p := range parts {
		v, sol := c.solve(p.slots, p.rules, ub-sum)
		if sol == nil {
			return nil
		}
		least[k] = v
		sum += v
	}
	if sum >= ub {
		return nil
	}
	points, after := l.best([]point{base}), sum-base.cost
	for k, p := range parts {
		after -= least[k] // what the parts to come cost at least
		points = c.join(points, c.branches(p, ub-sum+least[k], l), ub-after, l)
	}
	return points
}

func (p *point) add(cost int64, price []int64) {
	p.cost += cost
	for b, v := range price {
		p.price[b] += v
	}
}

// branches is the front of one component, option by option as in solve.
func (c *core) branches(p part, ub int64, l *ledger) []point {
	if c.visitNode(); c.spent {
		return nil
	}
	mark, saved := len(c.trail), c.save(p.slots)
	defer func() {
		c.undo(mark)
		c.restore(p.slots, saved)
	}()
	c.fold(p.slots, p.rules)
	var points []point
	for !c.spent {
		if _, ok := c.ascend(p.slots, p.rules, ub, sweepsDeep); !ok {
			break
		}
		if slices.ContainsFunc(p.slots, func(s int32) bool { return c.left[s] == 1 }) {
			points = append(points, c.front(p.slots, p.rules, ub, l)...)
			break
		}
		o, here := c.branch(p.slots, p.rules), len(c.trail)
		if c.with(o) {
			points = append(points, c.front(p.slots, p.rules, ub, l)...)
		}
		c.undo(here)
		if !c.without(o) {
			break
		}
	}
	return c.keep(l.best(points), l)
}

func (c *core) keep(points []point, l *ledger) []point {
	if len(points) > l.mostPoints() {
		c.spent = true
		return nil
	}
	return points
}

// join puts every point of one front beside every point of another, as far as
// the cost stays below ub.
func (c *core) join(as, bs []point, ub int64, l *ledger) []point {
	var out []point
	for _, a := range as {
		for _, b := range bs {
			if a.cost+b.cost >= ub {
				continue
			}
			p := point{price: slices.Clone(a.price), cost: a.cost, of: &choiceOf{-1, a.of, b.of}}
			p.add(b.cost, b.price)
			out = append(out, p)
		}
		if len(out) > 4*l.mostPoints() {
			out = l.best(out)
			if out = c.keep(out, l); out == nil {
				return nil
			}
		}
	}
	return c.keep(l.best(out), l)
}

// best drops points that pass a budget or that another is as good as.
func (l *ledger) best(points []point) []point {
	points = slices.DeleteFunc(points, func(p point) bool {
		for b, m := range l.most {
			if p.price[b] > m {
				return true
			}
		}
		return false
	})
	for i, p := range points {
		points[i].truth = p.cost
		for b, lambda := range l.lambda {
			points[i].truth -= lambda * p.price[b]
		}
	}
	slices.SortStableFunc(points, func(a, b point) int {
		return cmp.Or(cmp.Compare(a.truth, b.truth), slices.Compare(a.price, b.price))
	})
	kept := points[:0]
	for _, p := range points {
		if len(l.most) == 1 && len(kept) > 0 && kept[len(kept)-1].price[0] <= p.price[0] {
			continue
		}
		if len(l.most) > 1 && slices.ContainsFunc(kept, func(q point) bool { return noMore(q.price, p.price) }) {
			continue
		}
		kept = append(kept, p)
	}
	return kept
}

func noMore(a, b []int64) bool {
	for i := range a {
		if a[i] > b[i] {
			return false
		}
	}
	return true
}
