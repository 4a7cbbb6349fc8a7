package choose

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
	"strings"
)

// Answer is a choice for a problem, or why there is none.
type Answer struct {
	Choice []int // option by slot; nil when none was found
	Verdict
	Proven  bool  // nothing costs less, or nothing is possible at all
	AtLeast Money // what any choice costs at least, where all units are of one rank
	Nodes   int   // of the search
	Clash   *Clash
	Instead []string // of an alternative: what it takes instead of the best
}

// Solve finds the choice of least cost and proves it. A search that passes the
// problem's limit gives what it found, not proven. The error tells a problem
// that cannot be read, or a choice that Evaluate does not confirm.
func Solve(p Problem) (Answer, error) {
	a, err := solve(p)
	if err == nil && a.Choice == nil && a.Proven {
		a.Clash = clash(p)
	}
	return a, err
}

// solve is Solve without a word on why nothing is possible.
func solve(p Problem) (Answer, error) {
	if err := p.Check(); err != nil {
		return Answer{}, err
	}
	sc, err := scaleOf(p)
	if err != nil {
		return Answer{}, err
	}
	a := search(p, sc, sc.weigh(p, nil))
	if a.Choice != nil && !within(p, a.Choice) {
		a = withBudgets(p, sc, a)
	}
	if a.Choice == nil {
		return a, nil
	}
	a.Verdict = Evaluate(p, a.Choice)
	if len(a.Broken) > 0 || a.Proven && !sc.ranked && a.Cost.Sum() != a.AtLeast {
		return Answer{}, fmt.Errorf("the choice found is not confirmed: it costs %d, expected %d; %s", a.Cost.Sum(), a.AtLeast, strings.Join(a.Broken, "; "))
	}
	return a, nil
}

// scale turns costs into whole numbers that can be shared out without loss:
// rank says what a unit's money counts, step how finely it is divided.
type scale struct {
	rank   []int64 // by unit
	step   int64
	ranked bool
}

func scaleOf(p Problem) (scale, error) {
	most := map[int]int64{}
	for _, s := range p.Slots {
		var m int64
		for _, o := range s.Options {
			m = max(m, int64(o.Cost.Sum()))
		}
		most[p.Units[s.Unit].Rank] += m
	}
	for _, r := range p.Rules {
		if r.Soft {
			most[p.Units[r.Unit].Rank] += int64(r.Break.Sum())
		}
	}
	ranks := make([]int, 0, len(most))
	for r := range most {
		ranks = append(ranks, r)
	}
	slices.SortFunc(ranks, func(a, b int) int { return cmp.Compare(b, a) })
	weight := map[int]int64{}
	total := int64(0)
	for _, r := range ranks {
		weight[r] = total + 1
		hi, lo := bits.Mul64(uint64(weight[r]), uint64(most[r]))
		if hi != 0 || lo > 1<<56 || total+int64(lo) > 1<<56 {
			return scale{}, fmt.Errorf("the costs are too large to be compared, with %d ranks of units", len(ranks))
		}
		total += int64(lo)
	}
	sc := scale{step: 4096, ranked: len(ranks) > 1}
	for sc.step > 1 && total > (1<<57)/sc.step {
		sc.step /= 2
	}
	for _, u := range p.Units {
		sc.rank = append(sc.rank, max(weight[u.Rank], 1))
	}
	return sc, nil
}

// weigh gives costs as numbers, with lambda for every unit of money on a budget.
func (sc scale) weigh(p Problem, lambda []int64) weigh {
	return func(u int, c Cost) int64 {
		w := int64(c.Sum()) * sc.rank[u] * sc.step
		for b, l := range lambda {
			if p.Budgets[b].Unit < 0 || p.Budgets[b].Unit == u {
				w += l * int64(c.Price)
			}
		}
		return w
	}
}

// sweepsFirst is the most sweeps before the search begins.
const sweepsFirst = 200

// search solves a problem without its budgets.
func search(p Problem, sc scale, w weigh) Answer {
	c := newCore(p, w)
	c.step = sc.step
	if !c.start() {
		return Answer{Proven: true}
	}
	all := make([]int32, len(p.Slots))
	for s := range all {
		all[s] = int32(s)
	}
	choice, low, ok := c.best(all)
	a := Answer{Proven: !c.spent, Nodes: c.nodes}
	if !ok {
		return a
	}
	a.Choice = choice
	a.AtLeast = Money((low + sc.step - 1) / sc.step)
	return a
}

// start takes out what no rule leaves room for.
func (c *core) start() bool {
	for s := range c.left {
		if c.left[s] == 0 {
			return false
		}
	}
	for i := range c.rules {
		c.queued[i] = true
		c.queue = append(c.queue, int32(i))
	}
	return c.propagate()
}

// best solves component by component; low is proven of the whole.
func (c *core) best(slots []int32) (choice []int, low int64, ok bool) {
	choice = make([]int, len(c.left))
	var free, active []int32
	take := func(o int32) { choice[c.slot[o]] = int(o - c.first[c.slot[o]]) }
	for _, s := range slots {
		if c.left[s] > 1 {
			free = append(free, s)
			continue
		}
		take(c.only(s))
		low += c.cost[c.only(s)]
	}
	for i := range c.rules {
		switch c.state(&c.rules[i]) {
		case open:
			active = append(active, int32(i))
		case broken:
			low += c.rules[i].pen
		}
	}
	parts, _ := c.parts(free, active)
	firsts := make([]first, len(parts)) // all of them before any is bettered, should the limit be reached
	for k, p := range parts {
		if firsts[k], ok = c.anyOf(p); !ok {
			return nil, 0, false
		}
	}
	for k, p := range parts {
		f := firsts[k]
		if v, sol := c.split(p.slots, p.rules, f.cost-c.step+1); sol != nil {
			f.cost, f.options = v, sol
		}
		if !c.spent {
			f.low = f.cost
		}
		low += f.low
		for _, o := range f.options {
			take(o)
		}
	}
	return choice, low, true
}

// first is the first way found to fill a component, and what any costs at least.
type first struct {
	cost, low int64
	options   []int32
}

func (c *core) anyOf(p part) (f first, ok bool) {
	if f.low, ok = c.ascend(p.slots, p.rules, inf, sweepsFirst); !ok {
		return f, false
	}
	c.hunt = true
	f.cost, f.options = c.split(p.slots, p.rules, inf)
	c.hunt = false
	return f, f.options != nil
}

// within reports whether a choice keeps every budget.
func within(p Problem, choice []int) bool {
	v := Evaluate(p, choice)
	for b := range p.Budgets {
		if spent(p, b, v) > p.Budgets[b].Most {
			return false
		}
	}
	return true
}

func spent(p Problem, b int, v Verdict) Money {
	if u := p.Budgets[b].Unit; u >= 0 {
		return v.Units[u].Price
	}
	return v.Cost.Price
}
