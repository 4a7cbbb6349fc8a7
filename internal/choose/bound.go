package choose

import (
	"cmp"
	"slices"
)

// The bound. Every rule may hold part of its slots' costs as messages: what it
// takes from an option it must give back, so that cost = theta + Σ messages,
// and theta plus what a rule holds is the cost of any choice whatever the
// messages are. An update of a rule works out, for each of its options, the
// least that the slots of the rule can cost together with that option, and
// hands each slot an equal share of it. What the rule keeps is then at least 0,
// so that the sum over slots of the least theta is a lower bound; sweeping over
// the rules raises it. This is block coordinate ascent on the dual of the
// linear relaxation, as in Globerson and Jaakkola, Fixing max-product (2007),
// cited from memory; here in whole numbers, rounded down, so that the bound is
// exact.

// scratch is room for one update, kept to spare the collector.
type scratch struct {
	count      []int64
	seen       []bool
	one, zero  []int64 // slot of the rule → least with value 1, 0
	least      []int64
	rank       []int
	flex       []int
	prefix     []int64
	best, any  []int64 // slot × class, slot
	total, out []int64
}

func (s *scratch) grow(slots, options, classes int) {
	if slots > len(s.one) {
		s.one, s.zero, s.least, s.any = make([]int64, slots), make([]int64, slots), make([]int64, slots), make([]int64, slots)
		s.rank, s.prefix = make([]int, slots), make([]int64, slots+1)
	}
	if classes > len(s.count) {
		s.count, s.seen, s.total = make([]int64, classes), make([]bool, classes), make([]int64, classes)
	}
	if slots*classes > len(s.best) {
		s.best = make([]int64, slots*classes)
	}
	if options > len(s.out) {
		s.out = make([]int64, options)
	}
}

// held is the cost of an option with what the rule holds of it; nothing for a
// slot that was fixed before this visit.
func (c *core) held(r *rule, k int, o int32) int64 {
	s := r.slots[k]
	if c.node[s] != c.visit {
		return 0
	}
	return c.theta[o] + r.msg[r.off[k]+o-c.first[s]]
}

// marginals fills s.out with the least cost of the rule's slots together for
// each living option of a free slot, and s.least with the least of each slot.
func (c *core) marginals(r *rule) {
	for k := range r.slots {
		c.s.least[k] = inf
		c.each(r, k, func(o int32, _ int64) { c.s.least[k] = min(c.s.least[k], c.held(r, k, o)) })
	}
	if r.form == alike {
		c.marginalsAlike(r)
	} else {
		c.marginalsCount(r)
	}
	if r.hard {
		return
	}
	var sum int64
	for k := range r.slots {
		sum += c.s.least[k]
	}
	for k := range r.slots {
		f := c.first[r.slots[k]]
		c.each(r, k, func(o int32, _ int64) {
			at := r.off[k] + o - f
			c.s.out[at] = min(c.s.out[at], sum-c.s.least[k]+c.held(r, k, o)+r.pen)
		})
	}
}

func (c *core) marginalsCount(r *rule) {
	s := &c.s
	s.flex = s.flex[:0]
	var base, ones int64
	for k := range r.slots {
		s.one[k], s.zero[k] = inf, inf
		c.each(r, k, func(o int32, v int64) {
			if v == 1 {
				s.one[k] = min(s.one[k], c.held(r, k, o))
			} else {
				s.zero[k] = min(s.zero[k], c.held(r, k, o))
			}
		})
		switch {
		case s.zero[k] == inf:
			ones++
			base += s.one[k]
		case s.one[k] == inf:
			base += s.zero[k]
		default:
			base += s.zero[k]
			s.flex = append(s.flex, k)
		}
		s.rank[k] = -1
	}
	slices.SortFunc(s.flex, func(a, b int) int { return cmp.Compare(s.one[a]-s.zero[a], s.one[b]-s.zero[b]) })
	neg := int64(0)
	for i, k := range s.flex {
		d := s.one[k] - s.zero[k]
		s.prefix[i+1] = s.prefix[i] + d
		s.rank[k] = i
		if d < 0 {
			neg++
		}
	}
	lo, hi := r.lo-ones, r.hi-ones
	// least of the flexible slots, without the one of that rank, with lo to hi ones
	rest := func(rank int, lo, hi int64) int64 {
		n, best := int64(len(s.flex)), neg
		if rank >= 0 {
			n--
			if int64(rank) < neg {
				best--
			}
		}
		lo, hi = max(lo, 0), min(hi, n)
		if lo > hi {
			return inf
		}
		j := min(max(best, lo), hi)
		if rank >= 0 && j > int64(rank) {
			k := s.flex[rank]
			return s.prefix[j+1] - (s.one[k] - s.zero[k])
		}
		return s.prefix[j]
	}
	all := rest(-1, lo, hi)
	for k := range r.slots {
		f, rank := c.first[r.slots[k]], s.rank[k]
		with, without, off := all, all, s.least[k]
		if rank >= 0 {
			with, without, off = rest(rank, lo-1, hi-1), rest(rank, lo, hi), s.zero[k]
		}
		c.each(r, k, func(o int32, v int64) {
			m := without
			if v == 1 {
				m = with
			}
			if m < inf {
				m += base - off + c.held(r, k, o)
			}
			s.out[r.off[k]+o-f] = m
		})
	}
}

func (c *core) marginalsAlike(r *rule) {
	s, n := &c.s, r.class
	none := int64(0)
	clear(s.total[:n])
	for k := range r.slots {
		best := s.best[k*n : (k+1)*n]
		for i := range best {
			best[i] = inf
		}
		s.any[k] = inf
		c.each(r, k, func(o int32, v int64) {
			if v < 0 {
				s.any[k] = min(s.any[k], c.held(r, k, o))
			} else {
				best[v] = min(best[v], c.held(r, k, o))
			}
		})
		for i := range best {
			best[i] = min(best[i], s.any[k])
			s.total[i] = sum(s.total[i], best[i])
		}
		none = sum(none, s.any[k])
	}
	for k := range r.slots {
		f, best := c.first[r.slots[k]], s.best[k*n:(k+1)*n]
		others := inf
		if none < inf {
			others = none - s.any[k]
		}
		for i, t := range s.total[:n] {
			if t < inf {
				others = min(others, t-best[i])
			}
		}
		c.each(r, k, func(o int32, v int64) {
			m := others
			if v >= 0 {
				m = inf
				if s.total[v] < inf {
					m = s.total[v] - best[v]
				}
			}
			if m < inf {
				m += c.held(r, k, o)
			}
			s.out[r.off[k]+o-f] = m
		})
	}
}

// sum adds costs of which either may be without end.
func sum(a, b int64) int64 {
	if a >= inf || b >= inf {
		return inf
	}
	return a + b
}

// update shares the cost of a rule out to its free slots. With ub, a bound on
// what the slots of the node may cost, and lb, the bound now, it takes out what
// cannot be part of anything better; lb is below 0 while it is no bound yet.
func (c *core) update(r *rule, lb, ub int64) (better int64, ok bool) {
	free, own := int64(0), int64(0)
	for _, s := range r.slots {
		if c.node[s] == c.visit {
			free++
			own += c.least(s)
		}
	}
	if free == 0 {
		return lb, true
	}
	c.work += len(r.val)
	c.marginals(r)
	var after int64
	for k, s := range r.slots {
		if c.node[s] != c.visit {
			continue
		}
		f, low := c.first[s], inf
		for o := f; o < c.first[s+1]; o++ {
			if !c.alive[o] {
				continue
			}
			at := r.off[k] + o - f
			m := c.s.out[at]
			if m >= inf || lb >= 0 && lb-own+m >= ub {
				if !c.kill(o) {
					return lb, false
				}
				continue
			}
			share := floor(m, free)
			r.msg[at] += c.theta[o] - share
			c.theta[o] = share
			low = min(low, share)
		}
		after += low
	}
	if lb < 0 {
		return lb, true
	}
	return lb - own + after, true
}

func floor(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// least is the least theta of a slot.
func (c *core) least(s int32) int64 {
	low := inf
	for o := c.first[s]; o < c.first[s+1]; o++ {
		if c.alive[o] {
			low = min(low, c.theta[o])
		}
	}
	return low
}

// lower is the bound on what the slots cost, once every rule was updated.
func (c *core) lower(slots []int32) (lb int64) {
	for _, s := range slots {
		lb += c.least(s)
	}
	return lb
}

// only is the option left at a slot.
func (c *core) only(s int32) int32 {
	for o := c.first[s]; o < c.first[s+1]; o++ {
		if c.alive[o] {
			return o
		}
	}
	return -1
}

// ascend raises the bound by sweeps over the rules until it hardly grows;
// false when nothing below ub is left.
func (c *core) ascend(slots, rules []int32, ub int64, sweeps int) (int64, bool) {
	free := func() bool { // a slot became fixed: the rules are to be looked at afresh
		for _, s := range slots {
			if c.left[s] == 1 {
				return false
			}
		}
		return true
	}
	c.visit++
	for _, s := range slots {
		c.node[s] = c.visit
	}
	lb := int64(-1)
	for sweep := range sweeps + 1 {
		before := lb
		ok := true
		for i := range rules {
			at := rules[i]
			if sweep%2 == 1 {
				at = rules[len(rules)-1-i]
			}
			if r := &c.rules[at]; r.form != summed {
				if lb, ok = c.update(r, lb, ub); !ok {
					c.drain()
					return 0, false
				}
			}
		}
		if !c.propagate() {
			return 0, false
		}
		if !free() {
			return 0, true
		}
		lb = c.lower(slots)
		if lb >= ub {
			return lb, false
		}
		lb = max(lb, 0) // costs are not below 0
		if sweep > 0 && lb-before <= max(lb, 1)/20000 {
			break
		}
	}
	return lb, true
}
