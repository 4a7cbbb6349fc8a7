package choose

import (
	"fmt"
	"math"
)

// lcg is a small repeatable source of numbers.
type lcg uint64

func (r *lcg) below(n int) int {
	*r = *r*6364136223846793005 + 1442695040888963407
	return int(uint64(*r) >> 33 % uint64(n))
}

func (r *lcg) one(of int) bool { return r.below(of) == 0 }

// size is what the generator makes.
type size struct {
	units, positions, options, lots, rules int
	budgets, ranks, sums                   bool
}

// instance makes a problem: positions of units with options of a few features,
// pieces that several units could have, and rules over a few positions each.
func instance(r *lcg, n size) Problem {
	var p Problem
	for u := range n.units {
		rank := 0
		if n.ranks {
			rank = r.below(2)
		}
		p.Units = append(p.Units, Unit{Name: fmt.Sprintf("unit %d", u), Rank: rank})
	}
	for l := range n.lots {
		p.Lots = append(p.Lots, Lot{fmt.Sprintf("piece %d", l), 1 + r.below(8)/7})
	}
	for u := range n.units {
		for pos := range n.positions {
			s := Slot{Unit: u, Name: fmt.Sprintf("unit %d P%d", u, pos)}
			for o := range 1 + r.below(n.options) {
				opt := Option{Name: fmt.Sprint("option ", o), Kind: fmt.Sprint(r.below(3)), Cost: Cost{Money(r.below(40)), Money(r.below(10))}}
				if n.lots > 0 && r.one(2) {
					opt.Lot = 1 + r.below(n.lots)
				}
				s.Options = append(s.Options, opt)
			}
			p.Slots = append(p.Slots, s)
		}
	}
	for i := range n.rules {
		p.Rules = append(p.Rules, randomRule(r, p, n, i))
	}
	if n.budgets {
		for b := range 1 + r.below(2) {
			p.Budgets = append(p.Budgets, Budget{Unit: b - 1, Most: Money((6 + r.below(16)) * n.positions * n.units), Says: fmt.Sprint("budget ", b)})
		}
	}
	return p
}

func randomRule(r *lcg, p Problem, n size, i int) Rule {
	out := Rule{Group: fmt.Sprint("g", i), Says: fmt.Sprint("rule ", i), Alike: r.one(3), Lo: NoLo, Hi: NoHi, Soft: r.one(2), Unit: r.below(n.units)}
	if out.Soft {
		out.Break = Cost{Money(r.below(20)), Money(r.below(20))}
	}
	wide, unknown := 2, r.one(3)
	if n.sums && r.one(3) {
		wide = 7
	}
	seen := map[int]bool{}
	for range 2 + r.below(3) {
		s := r.below(len(p.Slots))
		if seen[s] {
			continue
		}
		seen[s] = true
		col := Column{Slot: s}
		for range p.Slots[s].Options {
			v := int64(r.below(wide))
			if unknown && r.one(4) && (out.Alike || wide > 2) {
				v = Any
			}
			col.Values = append(col.Values, v)
		}
		out.Of = append(out.Of, col)
	}
	if r.one(2) {
		out.Lo = int64(1 + r.below(wide-1))
	}
	if out.Lo == NoLo || r.one(2) {
		out.Hi = max(out.Lo, 0) + int64(r.below(wide))
	}
	return out
}

// brute tries every choice and returns the least cost, counted rank by rank.
func brute(p Problem) (best []int, cost []Money) {
	choice := make([]int, len(p.Slots))
	for {
		if v := Evaluate(p, choice); len(v.Broken) == 0 {
			if c := byRank(p, v); cost == nil || less(c, cost) {
				best, cost = append([]int(nil), choice...), c
			}
		}
		s := 0
		for ; s < len(choice); s++ {
			if choice[s]++; choice[s] < len(p.Slots[s].Options) {
				break
			}
			choice[s] = 0
		}
		if s == len(choice) {
			return best, cost
		}
	}
}

func byRank(p Problem, v Verdict) []Money {
	c := make([]Money, 3)
	for u, cost := range v.Units {
		c[p.Units[u].Rank] += cost.Sum()
	}
	return c
}

func less(a, b []Money) bool {
	for i := range a {
		if a[i] != b[i] {
			return a[i] < b[i]
		}
	}
	return false
}

func choices(p Problem) float64 {
	n := 1.0
	for _, s := range p.Slots {
		n *= float64(len(s.Options))
	}
	return math.Max(n, 1)
}

// workshop makes a problem of the size of a large bench: units of two series
// with all their own pieces, some of them worn out, donor pieces that go into
// any of the units, new parts for every position, rules over near positions.
func workshop(seed lcg, units, positions, pieces, rules int) Problem {
	r := &seed
	var p Problem
	for u := range units {
		p.Units = append(p.Units, Unit{Name: fmt.Sprintf("unit %d", u)})
		for pos := range positions {
			p.Slots = append(p.Slots, Slot{Unit: u, Name: fmt.Sprintf("unit %d P%d", u, pos)})
		}
	}
	variant := make([][]int64, len(p.Slots)) // slot → variant of each option
	put := func(s int, o Option, v int64) {
		p.Slots[s].Options = append(p.Slots[s].Options, o)
		variant[s] = append(variant[s], v)
	}
	var kept []Column // 1 where the unit's own piece stays
	for s := range p.Slots {
		series := int64(p.Slots[s].Unit % 2)
		p.Lots = append(p.Lots, Lot{fmt.Sprint("own piece of ", p.Slots[s].Name), 1})
		own := Option{Name: "own", Lot: len(p.Lots), Kind: "own", Cost: Cost{0, Money(r.below(6000))}}
		if r.one(6) {
			own.Cost.Doubt = 60000 + Money(r.below(20000))
		}
		put(s, own, series)
		for v := range int64(2) {
			if v == series || r.one(2) {
				put(s, Option{Name: "new", Kind: fmt.Sprint("new ", v), Cost: Cost{Money(1000 + r.below(40000)), 0}}, v)
			}
		}
	}
	for l := units * positions; l < pieces; l++ {
		pos, v := r.below(positions), int64(r.below(2))
		p.Lots = append(p.Lots, Lot{fmt.Sprint("donor piece ", l), 1})
		for u := range units {
			put(u*positions+pos, Option{Name: fmt.Sprint("donor ", l), Lot: l + 1, Kind: "donor", Cost: Cost{Money(r.below(2000)), Money(r.below(9000))}}, v)
		}
	}
	for s, slot := range p.Slots {
		col := Column{s, make([]int64, len(slot.Options))}
		for i, o := range slot.Options {
			if o.Name == "own" {
				col.Values[i] = 1
			}
		}
		kept = append(kept, col)
	}
	for i := range rules {
		near := r.below(positions - 8)
		span := []int{near, near + 1 + r.below(3), near + 4 + r.below(4)}[:2+r.below(2)]
		form := r.below(4)
		for u := range units {
			rule := Rule{Group: fmt.Sprint("rule ", i, " unit ", u), Says: fmt.Sprint("rule ", i), Unit: u, Lo: NoLo, Hi: NoHi}
			for k, pos := range span {
				s := u*positions + pos
				col := Column{s, nil}
				for o, v := range variant[s] {
					switch {
					case form == 0 || form == 1: // alike in variant
						col.Values = append(col.Values, v)
					case form == 2: // if the first is of variant 1, another is
						if k == 0 {
							v = 1 - v
						}
						col.Values = append(col.Values, v)
					default: // renewed together
						col.Values = append(col.Values, kept[s].Values[o])
					}
				}
				rule.Of = append(rule.Of, col)
			}
			switch form {
			case 0, 1:
				rule.Alike = true
			case 2:
				rule.Lo = 1
			default:
				rule.Alike, rule.Soft, rule.Break = true, true, Cost{0, 3000}
			}
			p.Rules = append(p.Rules, rule)
		}
	}
	// Work that any change within a group of positions drags along, once.
	for u := range units {
		for at := 0; at+10 <= positions; at += 10 {
			w := Rule{Says: "work", Soft: true, Unit: u, Break: Cost{4800, 0}, Lo: 10, Hi: NoHi}
			w.Of = kept[u*positions+at : u*positions+at+10]
			p.Rules = append(p.Rules, w)
		}
	}
	return p
}
