package stack

import (
	"cmp"
	"math"
	mathbits "math/bits"
	"slices"
)

// option is one set of totals and numbers of pieces for the slots of an aim.
type option struct {
	totals, counts []int
	chance, off    float64
	real           float64 // the chance, where chance holds a stand-in for it
	pieces         int
	found          int // most pieces as found that such packs can hold
}

// field is the chance of an aim over the totals of its slots.
type field struct {
	aim    Aim
	lo, hi []int // window: totals beyond have no chance worth naming
	want   []int
	few    []int // fewest pieces, at least 1
	many   []int // most pieces
	none   bool  // no chance anywhere
	seeds  []seed
	memo   []float64 // chance with the fewest pieces, NaN where not known yet; nil for large windows
	counts []int     // scratch
	kept   kept

	flooded []cell // what flood found down to shore
	shore   float64
}

// kept is what options listed last.
type kept struct {
	stock   *stock
	floor   float64
	options []option
}

// seed is a point of the lattice that found the window.
type seed struct {
	totals []int
	chance float64
}

// memoMost is the largest window, in points, whose chances are kept.
const memoMost = 1 << 20

// newField finds the window between low and high, which are per slot.
func newField(a Aim, slots []Slot, low, high []int) *field {
	f := &field{aim: a, counts: make([]int, len(a.Slots))}
	var lo, hi []int
	for _, i := range a.Slots {
		lo, hi = append(lo, low[i]), append(hi, high[i])
		f.few = append(f.few, max(1, slots[i].Min))
		f.many = append(f.many, max(1, slots[i].Max))
		if slots[i].Grind {
			f.few[len(f.few)-1], f.many[len(f.many)-1] = 1, 1
		}
		want := 0
		if w := math.Round(float64(slots[i].Want) * 1e6); w > 0 {
			want = int(math.Min(w, longest))
		}
		f.want = append(f.want, want)
		if low[i] > high[i] {
			f.none = true
		}
	}
	f.lo, f.hi = lo, hi
	if !f.none {
		f.window(lo, hi)
	}
	if size := f.size(); !f.none && size <= memoMost {
		f.memo = make([]float64, size)
		for i := range f.memo {
			f.memo[i] = math.NaN()
		}
	}
	return f
}

// size returns the number of points in the window.
func (f *field) size() int {
	size := 1
	for j := range f.lo {
		if size *= f.hi[j] - f.lo[j] + 1; size > 1<<30 {
			return 1 << 30
		}
	}
	return size
}

// steps are the distances of lattice points for one slot, two, and more.
var steps = []int{2, 6, 12}

// window looks around the wanted totals on a lattice that grows until it holds
// all points with a chance, or the whole of lo to hi.
func (f *field) window(lo, hi []int) {
	n := len(lo)
	step := steps[min(n, len(steps))-1]
	from, to, centre := make([]int, n), make([]int, n), make([]int, n)
	for j := range lo {
		centre[j] = max(lo[j], min(hi[j], f.want[j]))
		from[j], to[j] = max(lo[j], centre[j]-8*step), min(hi[j], centre[j]+8*step)
	}
	f.lo, f.hi = make([]int, n), make([]int, n)
	for grown := true; grown; {
		for points(from, to, step) > 30_000 {
			step *= 2
		}
		f.seeds = f.lattice(from, to, centre, step)
		grown = false
		for j := range lo {
			first, last := to[j], from[j]
			for _, s := range f.seeds {
				first, last = min(first, s.totals[j]), max(last, s.totals[j])
			}
			none := len(f.seeds) == 0
			wide := to[j] - from[j] + step
			if (none || first < from[j]+2*step) && from[j] > lo[j] {
				from[j], grown = max(lo[j], from[j]-wide), true
			}
			if (none || last > to[j]-2*step) && to[j] < hi[j] {
				to[j], grown = min(hi[j], to[j]+wide), true
			}
			f.lo[j], f.hi[j] = max(lo[j], first-step), min(hi[j], last+step)
		}
	}
	f.none = len(f.seeds) == 0
}

func points(from, to []int, step int) int {
	n := 1
	for j := range from {
		n *= (to[j]-from[j])/step + 1
	}
	return n
}

// lattice returns the points with a chance, with the most pieces: the greater the
// doubt, the further it spreads. The lattice runs through centre.
func (f *field) lattice(from, to, centre []int, step int) []seed {
	var seeds []seed
	at := make([]int, len(from))
	var scan func(j int)
	scan = func(j int) {
		if j == len(at) {
			if p := f.aim.Chance(at, f.most(at)); p > least/1000 { // so that what has more is well inside
				seeds = append(seeds, seed{slices.Clone(at), p})
			}
			return
		}
		for at[j] = centre[j] - (centre[j]-from[j])/step*step; at[j] <= to[j]; at[j] += step {
			scan(j + 1)
		}
	}
	scan(0)
	return seeds
}

// fewest returns the fewest pieces that may make these totals; no total, no piece.
func (f *field) fewest(totals []int) []int { return f.pieces(totals, f.few) }
func (f *field) most(totals []int) []int   { return f.pieces(totals, f.many) }

func (f *field) pieces(totals, of []int) []int {
	for j, t := range totals {
		f.counts[j] = of[j]
		if t == 0 {
			f.counts[j] = 0
		}
	}
	return f.counts
}

// at returns the chance at these totals with the fewest pieces. From ½ up it is
// the highest for any number of pieces.
func (f *field) at(totals []int) float64 {
	if f.memo == nil {
		return f.aim.Chance(totals, f.fewest(totals))
	}
	i := f.index(totals)
	if math.IsNaN(f.memo[i]) {
		f.memo[i] = f.aim.Chance(totals, f.fewest(totals))
	}
	return f.memo[i]
}

// index numbers the points of the window.
func (f *field) index(totals []int) int {
	i := 0
	for j, t := range totals {
		i = i*(f.hi[j]-f.lo[j]+1) + t - f.lo[j]
	}
	return i
}

// point is the inverse of index.
func (f *field) point(i int, totals []int) {
	for j := len(totals) - 1; j >= 0; j-- {
		wide := f.hi[j] - f.lo[j] + 1
		totals[j] = f.lo[j] + i%wide
		i /= wide
	}
}

// half is the chance above which more pieces can only lower it.
const half = 0.5

// direct is the most points that are looked at one by one for an aim of three
// slots or more.
const direct = 300_000

// summit returns the highest chance within the window, or a bound of it: over
// what each slot can hold for one and two slots, else over all totals.
func (f *field) summit(st *stock) float64 {
	highest := 0.0
	if !f.deep() {
		f.each(f.totals(st), func(totals []int) { highest = max(highest, f.at(totals)) })
		if highest >= half {
			return highest
		}
		f.each(f.totals(st), func(totals []int) {
			f.eachCounts(st, totals, func(counts []int) {
				highest = max(highest, f.aim.Chance(totals, counts))
			})
		})
		return highest
	}
	for _, s := range f.tops() {
		highest = max(highest, s.chance)
	}
	return highest
}

// deep reports whether the aim has three slots or more.
func (f *field) deep() bool { return len(f.lo) >= 3 }

// totals lists what each slot can hold within the window, thinnest first.
func (f *field) totals(st *stock) [][]int {
	lists := make([][]int, len(f.lo))
	for j, slot := range f.aim.Slots {
		for t := f.lo[j]; t <= f.hi[j]; t++ {
			if st.seats[slot].counts(t) != 0 {
				lists[j] = append(lists[j], t)
			}
		}
	}
	return lists
}

// each visits all combinations of the lists.
func (f *field) each(lists [][]int, visit func(totals []int)) {
	at := make([]int, len(lists))
	var down func(j int)
	down = func(j int) {
		if j == len(lists) {
			visit(at)
			return
		}
		for _, t := range lists[j] {
			at[j] = t
			down(j + 1)
		}
	}
	down(0)
}

// eachCounts visits all numbers of pieces that can make these totals.
func (f *field) eachCounts(st *stock, totals []int, visit func(counts []int)) {
	at := make([]int, len(totals))
	var down func(j int)
	down = func(j int) {
		if j == len(at) {
			visit(at)
			return
		}
		for m := st.seats[f.aim.Slots[j]].counts(totals[j]); m != 0; m &= m - 1 {
			at[j] = mathbits.TrailingZeros32(m)
			down(j + 1)
		}
	}
	down(0)
}

// options lists all options whose chance is at least floor, highest first.
func (f *field) options(st *stock, floor float64) []option {
	if floor >= half {
		return f.list(st, floor)
	}
	// Below ½ every number of pieces must be looked at, so what was found is kept
	// for the next time.
	if f.kept.stock != st || f.kept.floor > floor {
		f.kept = kept{st, floor / 2, f.list(st, floor/2)}
	}
	all := f.kept.options
	n, _ := slices.BinarySearchFunc(all, floor, func(o option, floor float64) int {
		if o.chance >= floor {
			return -1
		}
		return 1
	})
	return all[:n]
}

func (f *field) list(st *stock, floor float64) []option {
	var list []option
	add := func(totals []int) {
		if floor >= half && f.at(totals) < floor {
			return
		}
		off := math.NaN()
		f.eachCounts(st, totals, func(counts []int) {
			p := f.aim.Chance(totals, counts)
			if !(p >= floor) {
				return
			}
			if math.IsNaN(off) {
				off = f.aim.Off(totals)
			}
			list = append(list, f.option(st, totals, counts, p, off))
		})
	}
	lists := f.totals(st)
	size := 1.0
	for _, l := range lists {
		size *= float64(len(l))
	}
	if f.deep() && size > direct {
		totals := make([]int, len(f.lo))
		for _, c := range f.flood(floor, f.size()) {
			if f.point(c.index, totals); f.makes(st, totals) {
				add(totals)
			}
		}
	} else {
		f.each(lists, add)
	}
	byChance(list)
	return list
}

func (f *field) option(st *stock, totals, counts []int, p, off float64) option {
	n := len(totals)
	both := make([]int, 2*n)
	copy(both, totals)
	copy(both[n:], counts)
	o := option{totals: both[:n:n], counts: both[n:], chance: p, off: off}
	for j, slot := range f.aim.Slots {
		o.pieces += counts[j]
		o.found += st.seats[slot].most(totals[j], counts[j])
	}
	return o
}

func byChance(list []option) {
	slices.SortStableFunc(list, func(a, b option) int {
		return cmp.Or(cmp.Compare(b.chance, a.chance), a.pieces-b.pieces, b.found-a.found)
	})
}

// tops climbs from the highest seeds to the summits about them, with the fewest
// pieces.
func (f *field) tops() []seed {
	const climbs = 6
	seeds := slices.Clone(f.seeds)
	slices.SortStableFunc(seeds, func(a, b seed) int { return cmp.Compare(b.chance, a.chance) })
	seeds = seeds[:min(climbs, len(seeds))]
	for i := range seeds {
		s := seed{slices.Clone(seeds[i].totals), f.at(seeds[i].totals)}
		for up := true; up; {
			up = false
			here := slices.Clone(s.totals)
			f.neighbours(here, func(totals []int) {
				if p := f.at(totals); p > s.chance {
					s = seed{slices.Clone(totals), p}
					up = true
				}
			})
		}
		seeds[i] = s
	}
	return seeds
}

// neighbours visits the neighbours of a point, within the window.
func (f *field) neighbours(centre []int, visit func(totals []int)) {
	at := slices.Clone(centre)
	var down func(j int)
	down = func(j int) {
		if j == len(at) {
			visit(at)
			return
		}
		for t := max(f.lo[j], centre[j]-1); t <= min(f.hi[j], centre[j]+1); t++ {
			at[j] = t
			down(j + 1)
		}
		at[j] = centre[j]
	}
	down(0)
}

// makes reports whether each slot by itself can make its total.
func (f *field) makes(st *stock, totals []int) bool {
	for j, slot := range f.aim.Slots {
		if st.seats[slot].counts(totals[j]) == 0 {
			return false
		}
	}
	return true
}

// cell is a point of the window and a chance.
type cell struct {
	index  int
	chance float64
}

// flood lists the points whose chance with the fewest pieces is at least floor,
// spreading from the seeds and summits. Below ½ more pieces may raise a chance, so
// it then spreads further. What it found last is kept, and may be more than asked.
// Of more than most points it lists none.
func (f *field) flood(floor float64, most int) []cell {
	if floor < half {
		floor /= 8
	}
	if f.flooded != nil && f.shore <= floor {
		return f.flooded
	}
	seen := make(bits, f.size()/64+1)
	list := []cell{}
	try := func(totals []int) {
		i := f.index(totals)
		if seen.has(i) {
			return
		}
		seen.add(i)
		if p := f.at(totals); p >= floor {
			list = append(list, cell{i, p})
		}
	}
	for _, s := range f.seeds {
		try(s.totals)
	}
	for _, s := range f.tops() {
		try(s.totals)
	}
	at := make([]int, len(f.lo))
	for n := 0; n < len(list); n++ {
		if len(list) > most {
			return nil
		}
		f.point(list[n].index, at)
		f.neighbours(at, try)
	}
	f.flooded, f.shore = list, floor
	return list
}

// top returns the highest chance of any totals in the window.
func (f *field) top() float64 {
	if f.none {
		return 0
	}
	highest := 0.0
	if f.deep() {
		for _, s := range f.tops() {
			highest = max(highest, s.chance)
		}
		return highest
	}
	for _, floor := range []float64{half, 0} {
		for _, c := range f.above(floor) {
			highest = max(highest, c.chance)
		}
		if highest > 0 {
			break
		}
	}
	return highest
}

// aboveMost is the most points that above lists for three slots or more.
const aboveMost = 200_000

// above lists the points of the window, whatever the drawer, whose highest chance
// for any number of pieces is at least floor, and that chance or a bound of it.
// For three slots or more it lists nothing where there are too many.
func (f *field) above(floor float64) []cell {
	var list []cell
	add := func(totals []int) {
		p := f.at(totals)
		if p < half && floor < half {
			if p = half; !f.deep() { // else too many to look at each
				p = f.highest(totals)
			}
		}
		if p >= floor {
			list = append(list, cell{f.index(totals), p})
		}
	}
	if f.deep() {
		totals := make([]int, len(f.lo))
		for _, c := range f.flood(floor, aboveMost) {
			f.point(c.index, totals)
			add(totals)
		}
		return list
	}
	lists := make([][]int, len(f.lo))
	for j := range lists {
		for t := f.lo[j]; t <= f.hi[j]; t++ {
			lists[j] = append(lists[j], t)
		}
	}
	f.each(lists, add)
	return list
}

// highest returns the highest chance of these totals for any numbers of pieces.
func (f *field) highest(totals []int) float64 {
	p := 0.0
	counts := make([][]int, len(totals))
	for j, t := range totals {
		if t == 0 {
			counts[j] = []int{0}
		}
		for c := f.few[j]; t > 0 && c <= f.many[j]; c++ {
			counts[j] = append(counts[j], c)
		}
	}
	f.each(counts, func(c []int) { p = max(p, f.aim.Chance(totals, c)) })
	return p
}

// around lists options near the wanted totals whatever their chance, and whether
// these are all.
func (f *field) around(st *stock) (list []option, whole bool) {
	const most = 60_000
	each := int(math.Pow(most, 1/float64(len(f.lo))))
	lists := make([][]int, len(f.lo))
	whole = true
	for j, slot := range f.aim.Slots {
		seat := st.seats[slot]
		for t := seat.lo; t <= seat.hi; t++ {
			if seat.counts(t) != 0 {
				lists[j] = append(lists[j], t)
			}
		}
		slices.SortStableFunc(lists[j], func(a, b int) int {
			return max(a-f.want[j], f.want[j]-a) - max(b-f.want[j], f.want[j]-b)
		})
		if len(lists[j]) > each {
			lists[j], whole = lists[j][:each], false
		}
	}
	f.each(lists, func(totals []int) {
		off := f.aim.Off(totals)
		f.eachCounts(st, totals, func(counts []int) {
			list = append(list, f.option(st, totals, counts, f.aim.Chance(totals, counts), off))
		})
	})
	slices.SortStableFunc(list, func(a, b option) int {
		return cmp.Or(cmp.Compare(a.off, b.off), a.pieces-b.pieces, b.found-a.found)
	})
	return list, whole
}
