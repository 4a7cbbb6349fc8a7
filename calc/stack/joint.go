package stack

import (
	"cmp"
	"math"
	"slices"

	"endfloat/calc/unit"
)

// Slot is one seat to be filled from the drawer.
type Slot struct {
	Name   string
	Pieces []int       // indices of the pieces that may go here
	Min    int         // fewest pieces; 0 lets the seat stay empty
	Max    int         // most pieces, at most 31
	Found  []int       // pieces of the pack as found, nil if it is not known
	Want   unit.Length // middle of the range: where the search begins, and what Pack.Err counts from
	Grind  bool        // one piece ground to any whole micrometre; takes nothing from the drawer
}

// Aim is a set of slots whose totals together decide some settings. Every slot
// belongs to exactly one aim, and aims are independent of each other.
type Aim struct {
	Slots []int
	// Chance returns the probability, 0 to 1, that the settings lie within their
	// limits at these totals in micrometres and these numbers of pieces, one per
	// slot of Slots. It must not keep or change the slices. More pieces add doubt
	// and nothing else: at the same totals they never raise a chance of ½ or more.
	// It may have several summits.
	Chance func(totals, counts []int) float64
	// Off returns how far these totals lie from the middle of the range, not
	// below 0, in micrometres or anything that adds up over the aims.
	Off func(totals []int) float64
}

// Joint is one way to fill all slots.
type Joint struct {
	Packs  []Pack  // one per slot; of a ground slot only the total
	Totals []int   // micrometres, one per slot
	Chance float64 // that all settings lie within their limits
	Pieces int     // pieces in all, a ground one included
	Found  int     // pieces that go back where they were found
	Off    float64 // Σ of the aims
}

// NearTie is how far a chance may fall short of the best and still count as
// equal to it.
const NearTie = 0.005

// least is the chance below which a total is out of the question.
const least = 1e-6

// ChooseJoint fills all slots at once from one drawer and lists the k best ways,
// at most [Most], one for each set of totals and numbers of pieces. First come
// those whose chance is within [NearTie] of the best: fewest pieces first, then
// most pieces as found, then nearest to the middle, then highest chance. The
// others follow by chance. What has no chance above one in a million is left out,
// unless nothing has more: then the nearest by Off are listed, with their chance.
//
// The search is exact on thicknesses in whole micrometres; for an aim of three
// slots or more it takes a summit of Chance narrower than about 20 µm to be none.
// proven is false where the search was cut short, and then a better way may
// exist.
//
// Pieces of one thickness that may go to the same slots are interchangeable, and
// a slot takes its own as found before others. The list is empty if the slots
// cannot be filled or do not each belong to one aim.
func ChooseJoint(drawer []Piece, slots []Slot, aims []Aim, k int) (best []Joint, proven bool) {
	k = min(k, Most)
	if k < 1 || !wellFormed(slots, aims) {
		return nil, k < 1
	}
	low, high := span(drawer, slots)
	s := &search{drawer: drawer, slots: slots, aims: aims, fields: fieldsOf(aims, slots, low, high)}
	return s.run(low, high, k)
}

func fieldsOf(aims []Aim, slots []Slot, low, high []int) []*field {
	var fields []*field
	for _, a := range aims {
		fields = append(fields, newField(a, slots, low, high))
	}
	return fields
}

// wellFormed reports whether every slot belongs to exactly one aim.
func wellFormed(slots []Slot, aims []Aim) bool {
	seen := make([]int, len(slots))
	for _, a := range aims {
		for _, i := range a.Slots {
			if i < 0 || i >= len(slots) {
				return false
			}
			seen[i]++
		}
	}
	return len(slots) > 0 && len(slots) <= 64 && !slices.ContainsFunc(seen, func(n int) bool { return n != 1 })
}

// search is one joint choice. Its work is counted, so that it ends.
type search struct {
	drawer []Piece
	slots  []Slot
	aims   []Aim
	fields []*field
	stock  *stock
	work   int
	cut    bool // the work ran out, or something was left aside
}

// enough is the work after which a search gives up: some seconds.
const enough = 50_000_000

// spent counts work and reports whether it has run out.
func (s *search) spent(work int) bool {
	if s.work += work; s.work > enough {
		s.cut = true
	}
	return s.cut
}

// way is a choice of totals and numbers of pieces that the drawer can make.
type way struct {
	options []*option // one per aim
	chance  float64
	off     float64
	pieces  int
	found   int
	packs   [][]grab // one per slot
}

// run looks for the best chance first, then for the best among the near-ties,
// and fills up with what comes next by chance.
func (s *search) run(low, high []int, k int) ([]Joint, bool) {
	if slices.ContainsFunc(s.fields, func(f *field) bool { return f.none }) {
		return s.nearest(low, high, k)
	}
	s.stock = newStock(s.drawer, s.slots, s.windows())
	summits, product := s.summits()
	top, at := s.highest(summits, product, least, 0, 1)
	if len(top) == 0 {
		return s.nearest(low, high, k)
	}
	floor := max(top[0].chance-NearTie, least)
	ways := s.ties(s.options(summits, floor), floor, k)
	if len(ways) == 0 { // only where the work ran out
		ways = top
	}
	if len(ways) < k && !s.cut {
		more, _ := s.highest(summits, product, least, at, k)
		for _, w := range more {
			if w.chance < floor && len(ways) < k {
				ways = append(ways, w)
			}
		}
	}
	return s.joints(ways), !s.cut
}

// windows returns the range of totals that each slot's field covers.
func (s *search) windows() [][2]int {
	w := make([][2]int, len(s.slots))
	for _, f := range s.fields {
		for j, i := range f.aim.Slots {
			w[i] = [2]int{f.lo[j], f.hi[j]}
		}
	}
	return w
}

// summits returns the highest chance of each aim with the drawer to itself, and
// the product.
func (s *search) summits() (each []float64, product float64) {
	product = 1
	for _, f := range s.fields {
		each = append(each, f.summit(s.stock))
		product *= each[len(each)-1]
	}
	return each, product
}

// levels are the parts of the product of summits at which highest looks, one
// after the other; what is out of reach at one may be found at the next.
var levels = []float64{0.99, 0.9, 0.6, 0.2, 0.01, 0}

// highest lists the k ways of highest chance, at least low. It starts at level at
// and returns the one it ended with: the first that k ways reach.
func (s *search) highest(summits []float64, product, low float64, at, k int) ([]way, int) {
	var ways []way
	for ; at < len(levels); at++ {
		floor := max(product*levels[at], low)
		ways = s.climb(s.options(summits, floor), floor, k)
		if len(ways) >= k || s.cut || floor == low {
			break
		}
	}
	return ways, at
}

// options lists what each aim may choose so that all together can reach a chance
// of floor.
func (s *search) options(summits []float64, floor float64) [][]option {
	all := make([][]option, len(s.fields))
	for i, f := range s.fields {
		own := floor
		for j, p := range summits {
			if j != i {
				own /= p
			}
		}
		all[i] = f.options(s.stock, own*(1-1e-9))
	}
	return all
}

// joints writes the ways out in pieces.
func (s *search) joints(ways []way) []Joint {
	var list []Joint
	for _, w := range ways {
		j := Joint{Totals: make([]int, len(s.slots)), Chance: w.chance, Pieces: w.pieces, Found: w.found, Off: w.off}
		for i, o := range w.options {
			for n, slot := range s.aims[i].Slots {
				j.Totals[slot] = o.totals[n]
			}
		}
		for i, pieces := range s.stock.hand(w.packs) {
			t := length(j.Totals[i])
			j.Packs = append(j.Packs, Pack{Pieces: pieces, T: t, Err: t - s.slots[i].Want})
		}
		list = append(list, j)
	}
	return list
}

// nearest lists the ways of least Off, for where nothing has a chance. With
// exp(−Off/1 mm) for the chance, the product is largest where the sum of Off is
// least.
func (s *search) nearest(low, high []int, k int) ([]Joint, bool) {
	windows := make([][2]int, len(s.slots))
	for i := range windows {
		windows[i] = [2]int{low[i], high[i]}
	}
	s.stock = newStock(s.drawer, s.slots, windows)
	all := make([][]option, len(s.fields))
	for i, f := range s.fields {
		var whole bool
		all[i], whole = f.around(s.stock)
		s.cut = s.cut || !whole
		for n := range all[i] {
			o := &all[i][n]
			o.real, o.chance = o.chance, math.Exp(-o.off/1000)
		}
	}
	left := s.cut // what was left aside must not stop the search
	s.cut = false
	ways := s.climb(all, 0, k)
	for i := range ways {
		w := &ways[i]
		w.chance = 1
		for _, o := range w.options {
			w.chance *= o.real
		}
	}
	slices.SortStableFunc(ways, func(a, b way) int {
		return cmp.Or(compareOff(a.off, b.off), a.pieces-b.pieces, b.found-a.found)
	})
	return s.joints(ways), !s.cut && !left
}

// compareOff takes what differs only by rounding as equal.
func compareOff(a, b float64) int {
	const grain = 1e-9
	switch {
	case a < b-grain:
		return -1
	case a > b+grain:
		return 1
	}
	return 0
}
