package choose

import (
	"cmp"
	"slices"
)

// split fixes what has no choice left, takes the rest apart into components
// that no open rule joins, and solves each. It returns the least cost below ub
// and the options that make it; the options are nil when there is none.
func (c *core) split(slots, rules []int32, ub int64) (int64, []int32) {
	var cost int64
	var sol, free, active []int32
	for _, s := range slots {
		if c.left[s] == 1 {
			o := c.only(s)
			cost += c.cost[o]
			sol = append(sol, o)
		} else {
			free = append(free, s)
		}
	}
	for _, i := range rules {
		switch c.state(&c.rules[i]) {
		case open:
			active = append(active, i)
		case broken:
			if c.rules[i].hard {
				return 0, nil
			}
			cost += c.rules[i].pen
		}
	}
	if cost >= ub {
		return 0, nil
	}
	if len(free) == 0 {
		return cost, sol
	}
	parts, rest := c.parts(free, active)
	for _, p := range parts {
		rest -= p.low
		v, s := c.solve(p.slots, p.rules, ub-cost-rest)
		if s == nil {
			return 0, nil
		}
		cost += v
		sol = append(sol, s...)
	}
	return cost, sol
}

// part is a component: slots, the open rules over them, and the least cost of
// each slot summed.
type part struct {
	slots, rules []int32
	low          int64
}

// parts takes slots apart where no rule joins them, the smallest part first,
// and returns the sum of what they cost at least.
func (c *core) parts(free, active []int32) ([]part, int64) {
	root := map[int32]int32{}
	for _, s := range free {
		root[s] = s
	}
	var find func(s int32) int32
	find = func(s int32) int32 {
		if root[s] != s {
			root[s] = find(root[s])
		}
		return root[s]
	}
	joins := make([]int32, len(active)) // rule → a free slot of it
	for k, i := range active {
		joins[k] = -1
		for _, s := range c.rules[i].slots {
			if c.left[s] == 1 {
				continue
			}
			if joins[k] >= 0 {
				root[find(s)] = find(joins[k])
			}
			joins[k] = s
		}
	}
	at := map[int32]int{}
	var parts []part
	var sum int64
	for _, s := range free {
		f := find(s)
		k, ok := at[f]
		if !ok {
			k = len(parts)
			at[f] = k
			parts = append(parts, part{})
		}
		low := inf
		for o := c.first[s]; o < c.first[s+1]; o++ {
			if c.alive[o] {
				low = min(low, c.cost[o])
			}
		}
		parts[k].slots = append(parts[k].slots, s)
		parts[k].low += low
		sum += low
	}
	for k, i := range active {
		p := &parts[at[find(joins[k])]]
		p.rules = append(p.rules, i)
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(len(a.slots), len(b.slots)) })
	return parts, sum
}

// sweepsDeep is the number of sweeps at a node; the bound begins where the node
// above left it.
const sweepsDeep = 8

// solve finds the least cost below ub of one component, by branching on one
// option after another: with it, then without it.
func (c *core) solve(slots, rules []int32, ub int64) (int64, []int32) {
	if c.visitNode(); c.spent {
		return 0, nil
	}
	mark, saved := len(c.trail), c.save(slots)
	defer func() {
		c.undo(mark)
		c.restore(slots, saved)
	}()
	c.fold(slots, rules)
	var best []int32
	least := ub
	for {
		if _, ok := c.ascend(slots, rules, ub, sweepsDeep); !ok {
			break
		}
		if slices.ContainsFunc(slots, func(s int32) bool { return c.left[s] == 1 }) {
			if v, sol := c.split(slots, rules, ub); sol != nil {
				least, best = v, sol
			}
			break
		}
		o := c.branch(slots, rules)
		here := len(c.trail)
		if c.with(o) {
			if v, sol := c.split(slots, rules, ub); sol != nil {
				least, best = v, sol
				ub = v - c.step + 1
			}
		}
		c.undo(here)
		if c.spent || c.hunt && best != nil {
			break
		}
		if !c.without(o) {
			break
		}
	}
	return least, best
}

// branch picks the option to try: the cheapest of the slot that most rules
// hang on, for each choice it has.
func (c *core) branch(slots, rules []int32) int32 {
	weight := map[int32]int{}
	for _, i := range rules {
		for _, s := range c.rules[i].slots {
			weight[s]++
		}
	}
	at := slots[0]
	for _, s := range slots[1:] {
		if weight[s]*int(c.left[at]) > weight[at]*int(c.left[s]) {
			at = s
		}
	}
	best := int32(-1)
	for o := c.first[at]; o < c.first[at+1]; o++ {
		if c.alive[o] && (best < 0 || c.theta[o] < c.theta[best]) {
			best = o
		}
	}
	return best
}

// perNode is the work that counts as a node of its own.
const perNode = 4000

// visitNode counts a node of the search and tells when the limit is reached, by
// nodes or by the work that large ones make.
func (c *core) visitNode() {
	c.nodes++
	c.spent = c.spent || max(c.nodes, c.work/perNode) > c.limit
}

// fold takes back what rules that are no longer open hold of the slots' costs.
func (c *core) fold(slots, rules []int32) {
	active := make(map[int32]bool, len(rules))
	for _, i := range rules {
		active[i] = true
	}
	for _, s := range slots {
		for _, i := range c.of[s] {
			if active[i] {
				continue
			}
			r := &c.rules[i]
			k := slices.Index(r.slots, s)
			for o := c.first[s]; o < c.first[s+1]; o++ {
				at := r.off[k] + o - c.first[s]
				c.theta[o] += r.msg[at]
				r.msg[at] = 0
			}
		}
	}
}

// save keeps theta and messages of the slots; restore puts them back.
func (c *core) save(slots []int32) []int64 {
	var kept []int64
	c.states(slots, func(v *int64) { kept = append(kept, *v) })
	return kept
}

func (c *core) restore(slots []int32, kept []int64) {
	i := 0
	c.states(slots, func(v *int64) {
		*v = kept[i]
		i++
	})
}

func (c *core) states(slots []int32, fn func(*int64)) {
	for _, s := range slots {
		for o := c.first[s]; o < c.first[s+1]; o++ {
			fn(&c.theta[o])
		}
		for _, i := range c.of[s] {
			r := &c.rules[i]
			k := slices.Index(r.slots, s)
			for o := c.first[s]; o < c.first[s+1]; o++ {
				fn(&r.msg[r.off[k]+o-c.first[s]])
			}
		}
	}
}
