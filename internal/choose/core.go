package choose

import (
	"fmt"
	"slices"
)

// inf is more than any cost can be.
const inf = int64(1) << 60

type form int8

const (
	counted form = iota // values 0 and 1
	alike
	summed
)

// rule is a Rule made ready for the search. Values and messages of its options
// lie one slot after another; off says where each slot begins.
type rule struct {
	form   form
	slots  []int32
	off    []int32
	val    []int64 // of alike: classes numbered from 0, -1 = any
	msg    []int64 // cost moved from the slots' options into the rule
	class  int     // number of classes
	lo, hi int64
	hard   bool
	pen    int64
}

// core is a problem made ready for the search, with its state: which options
// are alive, and the trail of those that died, to bring them back.
type core struct {
	first []int32 // slot → its first option; one more at the end
	slot  []int32 // option → its slot
	cost  []int64
	rules []rule
	of    [][]int32 // slot → its rules

	alive []bool
	left  []int32 // slot → options alive
	trail []int32
	theta []int64 // option → cost less what its rules hold of it

	queue  []int32
	queued []bool
	node   []int32 // slot → the last visit that it was part of
	visit  int32
	s      scratch
	step   int64 // every cost is a multiple of it

	nodes, limit int
	work         int  // options looked at by updates of the bound
	spent        bool // the limit was reached: what follows is no proof
	hunt         bool // the first choice found will do
}

// weigh turns a cost of a unit into the one number that is minimised.
type weigh func(unit int, c Cost) int64

// newCore makes a problem ready. The lots become rules of their own.
func newCore(p Problem, w weigh) *core {
	c := &core{first: make([]int32, 1, len(p.Slots)+1), limit: p.Limit}
	if c.limit == 0 {
		c.limit = DefaultLimit
	}
	for s, slot := range p.Slots {
		for _, o := range slot.Options {
			c.slot = append(c.slot, int32(s))
			c.cost = append(c.cost, w(slot.Unit, o.Cost))
		}
		c.first = append(c.first, int32(len(c.slot)))
		c.left = append(c.left, int32(len(slot.Options)))
	}
	c.alive = make([]bool, len(c.slot))
	for o := range c.alive {
		c.alive[o] = true
	}
	c.theta = slices.Clone(c.cost)
	for _, r := range p.Rules {
		pen := int64(0)
		if r.Soft {
			pen = w(r.Unit, r.Break)
		}
		c.add(r, pen)
	}
	for _, r := range lotRules(p) {
		c.add(r, 0)
	}
	c.of = make([][]int32, len(p.Slots))
	for i, r := range c.rules {
		for _, s := range r.slots {
			c.of[s] = append(c.of[s], int32(i))
		}
	}
	c.queued = make([]bool, len(c.rules))
	c.node = make([]int32, len(p.Slots))
	return c
}

// lotRules says of each lot that could be overdrawn how often it can be taken.
func lotRules(p Problem) []Rule {
	cols := make([][]Column, len(p.Lots))
	for s, slot := range p.Slots {
		for i, o := range slot.Options {
			if o.Lot == 0 {
				continue
			}
			at := cols[o.Lot-1]
			if len(at) == 0 || at[len(at)-1].Slot != s {
				at = append(at, Column{s, make([]int64, len(slot.Options))})
			}
			at[len(at)-1].Values[i] = 1
			cols[o.Lot-1] = at
		}
	}
	var out []Rule
	for l, at := range cols {
		if len(at) > p.Lots[l].Count {
			out = append(out, Rule{Group: fmt.Sprint("lot ", l), Says: lotSays(p.Lots[l]), Of: at, Lo: NoLo, Hi: int64(p.Lots[l].Count)})
		}
	}
	return out
}

func (c *core) add(r Rule, pen int64) {
	in := rule{form: counted, lo: r.Lo, hi: r.Hi, hard: !r.Soft, pen: pen}
	classes := map[int64]int64{}
	for _, col := range r.Of {
		in.slots = append(in.slots, int32(col.Slot))
		in.off = append(in.off, int32(len(in.val)))
		for _, v := range col.Values {
			if r.Alike {
				if v == Any {
					v = -1
				} else {
					n, ok := classes[v]
					if !ok {
						n = int64(len(classes))
						classes[v] = n
					}
					v = n
				}
			} else if v != 0 && v != 1 {
				in.form = summed
			}
			in.val = append(in.val, v)
		}
	}
	if r.Alike {
		in.form, in.class = alike, len(classes)
	}
	in.msg = make([]int64, len(in.val))
	c.rules = append(c.rules, in)
	c.s.grow(len(in.slots), len(in.val), in.class)
}

// kill takes an option out; false when it was the slot's last.
func (c *core) kill(o int32) bool {
	if !c.alive[o] {
		return true
	}
	c.alive[o] = false
	c.trail = append(c.trail, o)
	s := c.slot[o]
	c.left[s]--
	for _, r := range c.of[s] {
		if !c.queued[r] {
			c.queued[r] = true
			c.queue = append(c.queue, r)
		}
	}
	return c.left[s] > 0
}

// without takes an option out with all that follows; false when a slot would
// stay empty.
func (c *core) without(o int32) bool {
	if !c.kill(o) {
		c.drain()
		return false
	}
	return c.propagate()
}

// with takes out every other option of the slot, and all that follows.
func (c *core) with(o int32) bool {
	s := c.slot[o]
	for q := c.first[s]; q < c.first[s+1]; q++ {
		if q != o {
			c.kill(q)
		}
	}
	return c.propagate()
}

func (c *core) drain() {
	for _, r := range c.queue {
		c.queued[r] = false
	}
	c.queue = c.queue[:0]
}

// undo brings back what died since the trail was that long.
func (c *core) undo(mark int) {
	for _, o := range c.trail[mark:] {
		c.alive[o] = true
		c.left[c.slot[o]]++
	}
	c.trail = c.trail[:mark]
}

// propagate takes out what hard rules leave no room for; false when a slot
// would stay empty.
func (c *core) propagate() bool {
	for len(c.queue) > 0 {
		i := c.queue[len(c.queue)-1]
		c.queue = c.queue[:len(c.queue)-1]
		c.queued[i] = false
		r := &c.rules[i]
		if !r.hard {
			continue
		}
		ok := true
		switch r.form {
		case counted:
			ok = c.propagateCount(r)
		case alike:
			ok = c.propagateAlike(r)
		default:
			ok = c.propagateSum(r)
		}
		if !ok {
			c.drain()
			return false
		}
	}
	return true
}

// each runs fn for the living options of the k-th slot of a rule.
func (c *core) each(r *rule, k int, fn func(o int32, v int64)) {
	f := c.first[r.slots[k]]
	for o := f; o < c.first[r.slots[k]+1]; o++ {
		if c.alive[o] {
			fn(o, r.val[r.off[k]+o-f])
		}
	}
}

// killWhere takes out the living options of a slot whose value is as asked.
func (c *core) killWhere(r *rule, k int, bad func(v int64) bool) bool {
	f := c.first[r.slots[k]]
	for o := f; o < c.first[r.slots[k]+1]; o++ {
		if c.alive[o] && bad(r.val[r.off[k]+o-f]) && !c.kill(o) {
			return false
		}
	}
	return true
}

// span is the least and most value a slot can have, and whether one is unknown.
func (c *core) span(r *rule, k int) (lo, hi int64, unknown bool) {
	lo, hi = inf, -inf
	f, e := c.first[r.slots[k]], c.first[r.slots[k]+1]
	for o := f; o < e; o++ {
		if !c.alive[o] {
			continue
		}
		v := r.val[r.off[k]+o-f]
		if v == Any {
			unknown = true
			continue
		}
		lo, hi = min(lo, v), max(hi, v)
	}
	return
}

func (c *core) propagateCount(r *rule) bool {
	var must, may int64
	for k := range r.slots {
		lo, hi, _ := c.span(r, k)
		must, may = must+lo, may+hi
	}
	if must > r.hi || may < r.lo {
		return false
	}
	if may > r.lo && must < r.hi {
		return true
	}
	for k := range r.slots {
		lo, hi, _ := c.span(r, k)
		if lo == hi {
			continue
		}
		if may == r.lo && !c.killWhere(r, k, func(v int64) bool { return v == 0 }) {
			return false
		}
		if must == r.hi && !c.killWhere(r, k, func(v int64) bool { return v == 1 }) {
			return false
		}
	}
	return true
}

func (c *core) propagateSum(r *rule) bool {
	var must, may int64
	for k := range r.slots {
		lo, hi, unknown := c.span(r, k)
		if unknown {
			return true
		}
		must, may = must+lo, may+hi
	}
	if must > r.hi || may < r.lo {
		return false
	}
	for k := range r.slots {
		lo, hi, _ := c.span(r, k)
		if !c.killWhere(r, k, func(v int64) bool { return v+must-lo > r.hi || v+may-hi < r.lo }) {
			return false
		}
	}
	return true
}

// propagateAlike keeps of each slot what every other slot can agree with.
func (c *core) propagateAlike(r *rule) bool {
	cover := c.s.count[:r.class] // slots that could be of the class, apart from those that take any
	clear(cover)
	anys, n := 0, len(r.slots)
	for k := range r.slots {
		if c.takesAny(r, k) {
			anys++
			continue
		}
		seen := c.s.seen[:r.class]
		clear(seen)
		c.each(r, k, func(_ int32, v int64) {
			if !seen[v] {
				seen[v] = true
				cover[v]++
			}
		})
	}
	possible := anys == n
	for _, others := range cover {
		possible = possible || int(others)+anys == n
	}
	if !possible {
		return false
	}
	for k := range r.slots {
		if !c.killWhere(r, k, func(v int64) bool { return v >= 0 && int(cover[v])+anys < n }) {
			return false
		}
	}
	return true
}

func (c *core) takesAny(r *rule, k int) bool {
	any := false
	c.each(r, k, func(_ int32, v int64) { any = any || v < 0 })
	return any
}

type state int8

const (
	open state = iota
	kept
	broken
)

// state says whether a rule is kept or broken whatever is chosen from what is
// alive, or still open.
func (c *core) state(r *rule) state {
	if r.form == alike {
		return c.stateAlike(r)
	}
	var must, may int64
	unknown, sure := false, false
	for k, s := range r.slots {
		lo, hi, u := c.span(r, k)
		unknown = unknown || u
		if u && (c.left[s] == 1 || lo > hi) {
			sure = true // nothing but unknown here: not judged
			continue
		}
		must, may = must+lo, may+hi
	}
	switch {
	case sure || must >= r.lo && may <= r.hi:
		return kept
	case !unknown && (must > r.hi || may < r.lo):
		return broken
	}
	return open
}

func (c *core) stateAlike(r *rule) state {
	var one, sure int64 = -1, -1
	several := false
	for k, s := range r.slots {
		c.each(r, k, func(_ int32, v int64) {
			if v < 0 {
				return
			}
			several = several || one >= 0 && v != one
			one = v
		})
		if c.left[s] > 1 {
			continue
		}
		c.each(r, k, func(_ int32, v int64) {
			if v >= 0 && sure >= 0 && v != sure {
				sure = -2
			} else if v >= 0 && sure != -2 {
				sure = v
			}
		})
	}
	switch {
	case !several:
		return kept
	case sure == -2:
		return broken
	}
	return open
}
