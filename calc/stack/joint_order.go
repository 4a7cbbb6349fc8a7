package stack

import (
	"cmp"
	"fmt"
	"slices"

	"endfloat/calc/unit"
)

// Offer is a piece that can be bought, any number of times.
type Offer struct {
	ID    string
	T     unit.Length
	Price int64 // minor units of the currency, not below 0
	Slots []int // where it may go; nil is every slot
}

// Buy is a set of pieces to buy and what they make possible.
type Buy struct {
	Offers []int // indices into the offers, one per piece
	Price  int64
	Joint  Joint // the bought pieces bear the offers' IDs
}

// orderMost is how many sets OrderJoint lists.
const orderMost = 5

// OrderJoint lists the cheapest sets of 1 to most offers that raise the joint
// chance to wanted, at most five: by price, then fewest pieces, then highest
// chance. A set that holds a listed cheaper one says nothing new and is left out.
// The list is empty if the drawer reaches wanted by itself, or if nothing on
// offer does it.
//
// Each answer has the joint choice it gives, as ChooseJoint orders them, among
// those that reach wanted. proven is false where the search was cut short. wanted
// is above 0.
func OrderJoint(drawer []Piece, slots []Slot, aims []Aim, offers []Offer, wanted float64, most int) (buys []Buy, proven bool) {
	if most < 1 || len(offers) == 0 || !(wanted > 0) || !wellFormed(slots, aims) {
		return nil, true
	}
	o := &order{drawer: drawer, slots: slots, aims: aims, offers: offers, wanted: wanted}
	o.prepare(most)
	if !o.hope() {
		return nil, true
	}
	if _, ok := o.solve(nil); ok {
		return nil, true
	}
	o.rank()
	sets, whole := o.sets(most)
	for _, set := range sets {
		price := o.price(set)
		if o.cut || len(buys) >= orderMost && price > buys[orderMost-1].Price {
			break
		}
		if slices.ContainsFunc(buys, func(b Buy) bool { return within(b.Offers, set) }) || !o.likely(set) {
			continue
		}
		if j, ok := o.solve(set); ok {
			buys = append(buys, Buy{Offers: set, Price: price, Joint: j})
		}
	}
	slices.SortStableFunc(buys, func(a, b Buy) int {
		return cmp.Or(cmp.Compare(a.Price, b.Price), len(a.Offers)-len(b.Offers), cmp.Compare(b.Joint.Chance, a.Joint.Chance))
	})
	return buys[:min(len(buys), orderMost)], whole && !o.cut
}

// order is one search for what to buy.
type order struct {
	drawer []Piece
	slots  []Slot
	aims   []Aim
	offers []Offer
	wanted float64
	fields []*field
	stock  *stock
	tops   []float64 // highest chance of each aim, whatever the drawer
	good   [][]ridge // totals of each aim that leave wanted within reach
	memo   map[string]float64
	work   int
	cut    bool
}

// prepare finds what would do at best, with any drawer.
func (o *order) prepare(most int) {
	all := make([]int, 0, most*len(o.offers))
	for i := range o.offers {
		for range most {
			all = append(all, i)
		}
	}
	drawer, slots := o.with(all)
	low, high := span(drawer, slots)
	o.fields = fieldsOf(o.aims, o.slots, low, high)
	o.memo = map[string]float64{}
	for _, f := range o.fields {
		o.tops = append(o.tops, f.top())
	}
}

// rank finds what totals leave wanted within reach.
func (o *order) rank() {
	s := &search{slots: o.slots, fields: o.fields}
	o.stock = newStock(o.drawer, o.slots, s.windows())
	for i, f := range o.fields {
		floor := o.wanted
		for j, p := range o.tops {
			if j != i {
				floor /= p
			}
		}
		o.good = append(o.good, f.ridges(floor*(1-1e-9)))
	}
}

// hope reports whether any drawer could reach what is wanted.
func (o *order) hope() bool {
	p := 1.0
	for _, top := range o.tops {
		p *= top
	}
	return p >= o.wanted && !slices.ContainsFunc(o.fields, func(f *field) bool { return f.none })
}

// with adds a set of offers to the drawer and to the slots where they may go.
func (o *order) with(set []int) ([]Piece, []Slot) {
	drawer, slots := slices.Clip(o.drawer), slices.Clone(o.slots)
	for _, i := range set {
		drawer = append(drawer, Piece{ID: o.offers[i].ID, T: o.offers[i].T})
		for s := range slots {
			if o.offers[i].fits(s) {
				slots[s].Pieces = append(slices.Clip(slots[s].Pieces), len(drawer)-1)
			}
		}
	}
	return drawer, slots
}

func (f Offer) fits(slot int) bool { return f.Slots == nil || slices.Contains(f.Slots, slot) }

func (o *order) price(set []int) (sum int64) {
	for _, i := range set {
		sum += o.offers[i].Price
	}
	return sum
}

// setsMost is how many sets are looked at.
const setsMost = 300_000

// sets lists the sets of 1 to most offers, cheapest first, and whether these are
// all: where there are too many it lists the smaller ones only.
func (o *order) sets(most int) (all [][]int, whole bool) {
	// Of offers alike in all but the price the cheapest is enough.
	var use []int
	for i, a := range o.offers {
		dearer := micrometres(a.T) <= 0
		for j, b := range o.offers {
			same := micrometres(a.T) == micrometres(b.T) && slices.Equal(a.Slots, b.Slots) && (a.Slots == nil) == (b.Slots == nil)
			dearer = dearer || same && (b.Price < a.Price || b.Price == a.Price && j < i)
		}
		if !dearer {
			use = append(use, i)
		}
	}
	last, whole := [][]int{nil}, true
	for range most {
		if whole = len(all)+len(last)*len(use) <= setsMost; !whole {
			break
		}
		var next [][]int
		for _, set := range last {
			for _, i := range use {
				if len(set) == 0 || i >= set[len(set)-1] {
					next = append(next, append(slices.Clone(set), i))
				}
			}
		}
		all, last = append(all, next...), next
	}
	slices.SortStableFunc(all, func(a, b []int) int {
		return cmp.Or(cmp.Compare(o.price(a), o.price(b)), len(a)-len(b))
	})
	return all, whole
}

// within reports whether a, in order, is part of b, in order.
func within(a, b []int) bool {
	n := 0
	for _, i := range b {
		if n < len(a) && a[n] == i {
			n++
		}
	}
	return n == len(a)
}

// likely reports whether a set could reach what is wanted if every aim had the
// whole drawer to itself. Each bought piece goes to one aim.
func (o *order) likely(set []int) bool {
	shares := make([][]int, len(o.aims))
	var down func(n int) bool
	down = func(n int) bool {
		if n == len(set) {
			p := 1.0
			for i, share := range shares {
				p *= o.alone(i, share)
				if p < o.wanted*(1-1e-9) {
					return false
				}
			}
			return true
		}
		for i := range shares {
			shares[i] = append(shares[i], set[n])
			yes := down(n + 1)
			shares[i] = shares[i][:len(shares[i])-1]
			if yes {
				return true
			}
		}
		return false
	}
	return down(0)
}

// alone returns a bound for the chance of an aim that has the drawer and some
// offers to itself.
func (o *order) alone(aim int, share []int) float64 {
	key := fmt.Sprint(aim, share)
	if p, known := o.memo[key]; known {
		return p
	}
	f := o.fields[aim]
	if f.deep() && len(o.good[aim]) == 0 { // too many to tell
		return o.tops[aim]
	}
	makes := make([][]bool, len(f.lo)) // by slot and total
	for j, slot := range f.aim.Slots {
		var sizes []int
		for _, i := range share {
			if o.offers[i].fits(slot) && !o.slots[slot].Grind {
				sizes = append(sizes, micrometres(o.offers[i].T))
			}
		}
		makes[j] = make([]bool, f.hi[j]-f.lo[j]+1)
		for t := range makes[j] {
			makes[j][t] = o.stock.seats[slot].completes(f.lo[j]+t, sizes, o.slots[slot])
		}
	}
	p, totals := 0.0, make([]int, len(f.lo))
	for _, r := range o.good[aim] {
		if r.cells[0].chance <= p {
			break
		}
		if !makes[0][r.first-f.lo[0]] {
			continue
		}
		for _, c := range r.cells {
			if c.chance <= p {
				break
			}
			f.point(c.index, totals)
			all := true
			for j := range totals {
				all = all && makes[j][totals[j]-f.lo[j]]
			}
			if all {
				p = c.chance
			}
		}
	}
	o.memo[key] = p
	return p
}

// ridge is the points with one total for the first slot, highest first.
type ridge struct {
	first int
	cells []cell
}

// ridges lists the points of above, highest first.
func (f *field) ridges(floor float64) []ridge {
	by := make([][]cell, f.hi[0]-f.lo[0]+1)
	totals := make([]int, len(f.lo))
	for _, c := range f.above(floor) {
		f.point(c.index, totals)
		by[totals[0]-f.lo[0]] = append(by[totals[0]-f.lo[0]], c)
	}
	var list []ridge
	for n, cells := range by {
		if len(cells) > 0 {
			slices.SortStableFunc(cells, func(a, b cell) int { return cmp.Compare(b.chance, a.chance) })
			list = append(list, ridge{f.lo[0] + n, cells})
		}
	}
	slices.SortStableFunc(list, func(a, b ridge) int { return cmp.Compare(b.cells[0].chance, a.cells[0].chance) })
	return list
}

// completes reports whether a seat can make a total with some of these sizes
// added, each at most once.
func (e *seat) completes(t int, sizes []int, slot Slot) bool {
	if e.grind {
		return e.counts(t) != 0
	}
	for set := range 1 << len(sizes) {
		rest, n := t, 0
		for i, µm := range sizes {
			if set>>i&1 == 1 {
				rest, n = rest-µm, n+1
			}
		}
		if rest < 0 || n > slot.Max {
			continue
		}
		for c := 0; c <= min(slot.Max-n, e.max); c++ {
			if n+c >= slot.Min && e.packs[c][rest] > 0 {
				return true
			}
		}
	}
	return false
}

// solveWork counts for what a joint choice does before its search.
const solveWork = 25_000

// solve makes the joint choice with a set bought, among ways that reach what is
// wanted.
func (o *order) solve(set []int) (Joint, bool) {
	drawer, slots := o.with(set)
	s := &search{drawer: drawer, slots: slots, aims: o.aims, fields: o.fields, work: o.work + solveWork}
	defer func() { o.work, o.cut = s.work, o.cut || s.cut }()
	s.stock = newStock(drawer, slots, s.windows())
	summits, product := s.summits()
	if product < o.wanted {
		return Joint{}, false
	}
	top, _ := s.highest(summits, product, o.wanted, 0, 1)
	if len(top) == 0 {
		return Joint{}, false
	}
	floor := max(top[0].chance-NearTie, o.wanted)
	ways := s.ties(s.options(summits, floor), floor, 1)
	if len(ways) == 0 { // only where the work ran out
		ways = top
	}
	return s.joints(ways)[0], true
}
