package stack

import (
	"cmp"
	"slices"
)

// grab is n pieces of one lot.
type grab struct{ lot, n int }

// need is one slot's total and number of pieces, to be made of what is left.
type need struct {
	slot, total, count int
	found              int     // most pieces as found
	packs              float64 // ways to make it alone
}

// fitter makes packs for several needs at once out of one stock.
type fitter struct {
	s     *search
	needs []need
	rest  []int // rest[d] is the most pieces as found in needs[d:]
	held  [][]grab
	best  int // most pieces as found so far
	packs [][]grab
	good  bool
	first bool // any packs will do
}

// fit looks for packs that give the options, one per aim, their totals; an aim
// that is nil or beyond the list is left out. Among all such packs it takes those
// with the most pieces as found, more than so many; with first, any.
func (s *search) fit(options []*option, first bool, more int) (packs [][]grab, found int, ok bool) {
	f := fitter{s: s, first: first, best: more}
	for i, o := range options {
		if o == nil {
			continue
		}
		for j, slot := range s.aims[i].Slots {
			seat := s.stock.seats[slot]
			if seat.grind {
				continue
			}
			t, c := o.totals[j], o.counts[j]
			f.needs = append(f.needs, need{slot, t, c, seat.most(t, c), seat.packs[c][t]})
		}
	}
	// What can be made in few ways goes first; the rest finds its way round it.
	slices.SortStableFunc(f.needs, func(a, b need) int { return cmp.Compare(a.packs, b.packs) })
	f.rest = make([]int, len(f.needs)+1)
	for d := len(f.needs) - 1; d >= 0; d-- {
		f.rest[d] = f.rest[d+1] + f.needs[d].found
	}
	f.held = make([][]grab, len(s.slots))
	if first {
		f.best = -1
	}
	f.place(0, 0)
	return f.packs, f.best, f.good
}

// place makes the packs of needs[d:], and reports whether nothing better can come.
func (f *fitter) place(d, found int) bool {
	if d == len(f.needs) {
		if found > f.best {
			f.best, f.good = found, true
			f.packs = make([][]grab, len(f.held))
			for i := range f.held {
				f.packs[i] = slices.Clone(f.held[i])
			}
		}
		return f.first || found >= f.rest[0]
	}
	n := f.needs[d]
	for own := n.found; own >= 0; own-- {
		if !f.first && found+own+f.rest[d+1] <= f.best {
			break
		}
		if f.pack(d, 0, n.count, own, n.total, found+own) {
			return true
		}
	}
	return f.s.cut
}

// pack makes the pack of one need out of lots[i:] of its seat, thicker pieces
// first, and goes on to the next need.
func (f *fitter) pack(d, i, c, own, t, found int) bool {
	e := f.s.stock.seats[f.needs[d].slot]
	wide := e.found + 1
	if !e.reach[i][c*wide+own].has(t) {
		return false
	}
	if c == 0 {
		return f.place(d+1, found)
	}
	slot, from := f.needs[d].slot, i
	for ; i < len(e.lots); i++ {
		lot := e.lots[i]
		left := &f.s.stock.left[lot]
		for j := min(c, *left); j > 0; j-- {
			as := min(j, e.own[i])
			rest := t - j*e.size[i]
			if as > own || own-as > c-j || rest < 0 || !e.reach[i+1][(c-j)*wide+own-as].has(rest) {
				continue
			}
			*left -= j
			f.held[slot] = append(f.held[slot], grab{lot, j})
			done := f.pack(d, i+1, c-j, own-as, rest, found)
			f.held[slot] = f.held[slot][:len(f.held[slot])-1]
			*left += j
			if done {
				return true
			}
		}
		if !e.reach[i+1][c*wide+own].has(t) {
			break
		}
	}
	return f.s.spent(i - from + 1)
}

// climb lists the k ways of highest chance, at least floor, from options sorted
// by chance. Of equal chances the first found stays.
func (s *search) climb(all [][]option, floor float64, k int) []way {
	var ways []way
	chosen := make([]*option, len(all))
	// low reports whether a chance cannot enter the list.
	low := func(p float64) bool {
		return p < floor || len(ways) == k && p <= ways[k-1].chance
	}
	// from[j] is the first option of aim j that goes with those chosen so far.
	var down func(i int, p float64, from []int)
	down = func(i int, p float64, from []int) {
		after := 1.0
		for j := i + 1; j < len(all); j++ {
			after *= all[j][from[j]].chance
		}
		for n := from[i]; n < len(all[i]); n++ {
			o := &all[i][n]
			if low(p*o.chance*after) || s.spent(1) {
				return
			}
			chosen[i] = o
			packs, found, ok := s.fit(chosen[:i+1], i+1 < len(all), -1)
			if !ok {
				continue
			}
			if i+1 == len(all) {
				ways = keep(ways, newWay(chosen, packs, found), k, func(a, b way) int {
					return cmp.Or(cmp.Compare(b.chance, a.chance), a.pieces-b.pieces, b.found-a.found, compareOff(a.off, b.off))
				})
				continue
			}
			if next, bound := s.ahead(all, chosen, i+1, from, p*o.chance, low); !low(bound) {
				down(i+1, p*o.chance, next)
			}
		}
	}
	start, bound := s.ahead(all, chosen, 0, make([]int, len(all)), 1, low)
	if !low(bound) {
		down(0, 1, start)
	}
	return ways
}

// ahead finds for each aim from i on the first option that goes with those
// chosen, and returns the chance if all of them went together.
func (s *search) ahead(all [][]option, chosen []*option, i int, from []int, p float64, low func(float64) bool) ([]int, float64) {
	next := slices.Clone(from)
	with := slices.Clone(chosen)
	for j := i; j < len(all); j++ {
		n := next[j]
		for ; n < len(all[j]) && !low(p*all[j][n].chance); n++ {
			if s.spent(1) {
				return next, -1
			}
			if _, _, ok := s.fitWith(with[:i], j, &all[j][n]); ok {
				break
			}
		}
		if n == len(all[j]) || low(p*all[j][n].chance) {
			return next, -1
		}
		next[j] = n
		p *= all[j][n].chance
	}
	return next, p
}

// fitWith is fit for the options chosen and one of aim j.
func (s *search) fitWith(chosen []*option, j int, o *option) ([][]grab, int, bool) {
	list := make([]*option, len(s.aims))
	copy(list, chosen)
	list[j] = o
	return s.fit(list, true, -1)
}

func newWay(chosen []*option, packs [][]grab, found int) way {
	w := way{options: slices.Clone(chosen), chance: 1, found: found, packs: packs}
	for _, o := range chosen {
		w.chance *= o.chance
		w.off += o.off
		w.pieces += o.pieces
	}
	return w
}

// keep puts a way into the list of the k best, after those equal to it.
func keep(ways []way, w way, k int, compare func(a, b way) int) []way {
	at := len(ways)
	for at > 0 && compare(w, ways[at-1]) < 0 {
		at--
	}
	ways = slices.Insert(ways, at, w)
	return ways[:min(k, len(ways))]
}
