// Package choose says which piece goes where: over all positions of several
// units at once, from the pieces as found, donors, the shelf, what is on order
// and what can be bought, at the least money and doubt, and proves it.
//
// It has two layers. A Problem is plain: slots with options, rules over them,
// lots, budgets; Solve finds and proves the best choice, Evaluate judges any
// choice by a slow and separate reading of the same Problem, and Solve returns
// nothing that Evaluate does not confirm. From makes a Problem of a gearbox
// file, the books of several jobs, and what can be had.
package choose

import (
	"fmt"
	"math"
)

// Money is an amount in minor units of the workshop's currency, such as cents.
type Money int64

// Cost is what a choice costs: Price is spent, Doubt is what an option is
// worse by (a worn part, a rule passed with a reason), stated as money.
type Cost struct{ Price, Doubt Money }

// Sum is price and doubt together.
func (c Cost) Sum() Money { return c.Price + c.Doubt }

func (c Cost) plus(d Cost) Cost { return Cost{c.Price + d.Price, c.Doubt + d.Doubt} }

// Problem is all there is to choose. The best choice takes one option at every
// slot, keeps every hard rule, lot and budget, and has the least cost: first
// that of the units of lowest Rank, then the next, within a rank their sum.
type Problem struct {
	Units   []Unit
	Slots   []Slot
	Lots    []Lot
	Rules   []Rule
	Budgets []Budget
	Limit   int // most nodes of the search, 0 = DefaultLimit
}

// DefaultLimit is the number of nodes after which a search gives up proof.
const DefaultLimit = 100_000

// Unit is a gearbox to fill. Units of equal Rank are a pair to be made best
// together; a lower Rank is served first and leaves the rest to the others.
type Unit struct {
	Name string
	Rank int
}

// Slot is a position of a unit, to be filled by one of its options.
type Slot struct {
	Unit    int
	Name    string // "Linnet P08 gear 1st"
	Options []Option
}

// Option is one way to fill a slot.
type Option struct {
	Name string // "P-P08 (ASY) from Plover"
	Lot  int    // 1 + index of the lot it draws on, 0 = none
	Cost Cost
	Kind string // options of one kind are no alternative to each other
}

// Lot is a piece, or a number of equal ones: at most Count options drawing on
// it can be taken.
type Lot struct {
	Name  string
	Count int
}

// Any is the value of an option of which a rule knows nothing.
const Any = math.MinInt64

// Column gives the value that each option of a slot has for a rule.
type Column struct {
	Slot   int
	Values []int64
}

// Rule is one of two forms. Alike: the values of all columns that are known
// must be one. Otherwise the sum of the values lies from Lo to Hi, bounds
// included; a sum with an unknown value in it is not judged. With values of 0
// and 1 that says "at least", "at most" and "exactly".
type Rule struct {
	Group  string // rules of one group are one thing to a person; "" = its own
	Says   string // one sentence that explains it, with its positions
	Alike  bool
	Of     []Column
	Lo, Hi int64
	Soft   bool // may be broken at Break, borne by Unit
	Break  Cost
	Unit   int
}

// Budget is the most that may be spent on a unit, or on all when Unit is -1.
type Budget struct {
	Unit int
	Most Money
	Says string
}

// Bounds that bind nothing.
const (
	NoLo = math.MinInt64 / 4
	NoHi = math.MaxInt64 / 4
)

// Verdict is what Evaluate finds of a choice.
type Verdict struct {
	Cost   Cost
	Units  []Cost
	Broken []string // hard rules, lots and budgets that are not kept, in words
	Passed []int    // soft rules that are broken
}

// Evaluate judges a choice, one option per slot, by reading the problem plainly.
func Evaluate(p Problem, choice []int) Verdict {
	v := Verdict{Units: make([]Cost, len(p.Units))}
	if len(choice) != len(p.Slots) {
		v.Broken = append(v.Broken, fmt.Sprintf("%d slots are filled, not %d", len(choice), len(p.Slots)))
		return v
	}
	used := make([]int, len(p.Lots))
	for s, slot := range p.Slots {
		if choice[s] < 0 || choice[s] >= len(slot.Options) {
			v.Broken = append(v.Broken, slot.Name+" is empty")
			return v
		}
		o := slot.Options[choice[s]]
		v.Units[slot.Unit] = v.Units[slot.Unit].plus(o.Cost)
		if o.Lot > 0 {
			used[o.Lot-1]++
		}
	}
	for l, n := range used {
		if n > p.Lots[l].Count {
			v.Broken = append(v.Broken, lotSays(p.Lots[l]))
		}
	}
	for i, r := range p.Rules {
		switch kept := keeps(r, choice); {
		case !kept && r.Soft:
			v.Passed = append(v.Passed, i)
			v.Units[r.Unit] = v.Units[r.Unit].plus(r.Break)
		case !kept:
			v.Broken = append(v.Broken, r.Says)
		}
	}
	for _, c := range v.Units {
		v.Cost = v.Cost.plus(c)
	}
	for _, b := range p.Budgets {
		spent := v.Cost.Price
		if b.Unit >= 0 {
			spent = v.Units[b.Unit].Price
		}
		if spent > b.Most {
			v.Broken = append(v.Broken, b.Says)
		}
	}
	return v
}

func keeps(r Rule, choice []int) bool {
	var first, sum int64 = Any, 0
	for _, c := range r.Of {
		v := c.Values[choice[c.Slot]]
		switch {
		case v == Any && !r.Alike:
			return true
		case v == Any:
		case r.Alike && first != Any && v != first:
			return false
		default:
			first = v
			sum += v
		}
	}
	return r.Alike || sum >= r.Lo && sum <= r.Hi
}

func lotSays(l Lot) string {
	if l.Count == 1 {
		return l.Name + " can be in one place only"
	}
	return fmt.Sprintf("of %s there are %d", l.Name, l.Count)
}

// Check tells what makes a problem unfit to be solved, nil when nothing does.
func (p Problem) Check() error {
	for s, slot := range p.Slots {
		if slot.Unit < 0 || slot.Unit >= len(p.Units) {
			return fmt.Errorf("slot %s belongs to unit %d of %d", slot.Name, slot.Unit, len(p.Units))
		}
		for _, o := range slot.Options {
			if o.Cost.Price < 0 || o.Cost.Doubt < 0 || o.Lot < 0 || o.Lot > len(p.Lots) {
				return fmt.Errorf("slot %d (%s), %s: a cost below 0 or an unknown lot", s, slot.Name, o.Name)
			}
		}
	}
	for i, r := range p.Rules {
		seen := map[int]bool{}
		if r.Soft && (r.Break.Price < 0 || r.Break.Doubt < 0 || r.Unit < 0 || r.Unit >= len(p.Units)) {
			return fmt.Errorf("rule %d (%s): a cost below 0 or an unknown unit", i, r.Says)
		}
		for _, c := range r.Of {
			if c.Slot < 0 || c.Slot >= len(p.Slots) || len(c.Values) != len(p.Slots[c.Slot].Options) || seen[c.Slot] {
				return fmt.Errorf("rule %d (%s): every column names another slot and gives a value for each of its options", i, r.Says)
			}
			seen[c.Slot] = true
			for _, v := range c.Values {
				if v != Any && (v > 1<<40 || v < -1<<40) {
					return fmt.Errorf("rule %d (%s): the value %d is too large", i, r.Says, v)
				}
			}
		}
	}
	for _, b := range p.Budgets {
		if b.Unit < -1 || b.Unit >= len(p.Units) {
			return fmt.Errorf("a budget for unit %d of %d", b.Unit, len(p.Units))
		}
	}
	return nil
}
