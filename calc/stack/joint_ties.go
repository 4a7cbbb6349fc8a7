package stack

import (
	"cmp"
	"slices"
)

// tie is the search among ways whose chance is at least floor.
type tie struct {
	s      *search
	floor  float64
	k      int
	groups []map[int][]*option // per aim, by number of pieces
	sizes  [][]int             // the keys of groups, in order
	rest   [][]bound           // rest[i][n] bounds aims i and on with n pieces in all
	chosen []*option
	ways   []way
}

// bound is the best that some aims can reach, each in its own way.
type bound struct {
	chance float64 // 0: they cannot have that number of pieces
	found  int
	off    float64
}

// ties lists the k best ways among those with a chance of at least floor: fewest
// pieces, most as found, least off, highest chance.
func (s *search) ties(all [][]option, floor float64, k int) []way {
	t := &tie{s: s, floor: floor, k: k, chosen: make([]*option, len(all))}
	t.group(all)
	t.bounds()
	for n := range t.rest[0] {
		if len(t.ways) == k || s.cut {
			break
		}
		t.down(0, n, bound{chance: 1})
	}
	return t.ways
}

// group sorts the options of each aim into numbers of pieces, best first.
func (t *tie) group(all [][]option) {
	for _, options := range all {
		g := map[int][]*option{}
		var sizes []int
		for n := range options {
			o := &options[n]
			if g[o.pieces] == nil {
				sizes = append(sizes, o.pieces)
			}
			g[o.pieces] = append(g[o.pieces], o)
		}
		for _, list := range g {
			slices.SortStableFunc(list, func(a, b *option) int {
				return cmp.Or(b.found-a.found, compareOff(a.off, b.off), cmp.Compare(b.chance, a.chance), slices.Compare(a.totals, b.totals))
			})
		}
		slices.Sort(sizes)
		t.groups, t.sizes = append(t.groups, g), append(t.sizes, sizes)
	}
}

// bounds fills rest, from the last aim on.
func (t *tie) bounds() {
	t.rest = make([][]bound, len(t.groups)+1)
	t.rest[len(t.groups)] = []bound{{chance: 1}}
	for i := len(t.groups) - 1; i >= 0; i-- {
		after := t.rest[i+1]
		most := 0
		if len(t.sizes[i]) > 0 {
			most = slices.Max(t.sizes[i])
		}
		row := make([]bound, len(after)+most)
		for size, list := range t.groups[i] {
			b := bound{off: list[0].off}
			for _, o := range list {
				b.chance, b.found, b.off = max(b.chance, o.chance), max(b.found, o.found), min(b.off, o.off)
			}
			for n, a := range after {
				if a.chance == 0 {
					continue
				}
				r := &row[size+n]
				if off := b.off + a.off; r.chance == 0 || off < r.off {
					r.off = off
				}
				r.chance, r.found = max(r.chance, b.chance*a.chance), max(r.found, b.found+a.found)
			}
		}
		t.rest[i] = row
	}
}

// worse reports whether nothing within the bound can enter the list.
func (t *tie) worse(b bound) bool {
	if b.chance < t.floor*(1-1e-12) {
		return true
	}
	if len(t.ways) < t.k {
		return false
	}
	last := t.ways[t.k-1]
	return cmp.Or(last.found-b.found, compareOff(b.off, last.off), cmp.Compare(last.chance, b.chance)) >= 0
}

// down chooses for aims i and on, with n pieces in all; so is what the aims
// before have.
func (t *tie) down(i, n int, so bound) {
	if i == len(t.groups) {
		return
	}
	for _, size := range t.sizes[i] {
		if size > n || n-size >= len(t.rest[i+1]) || t.rest[i+1][n-size].chance == 0 {
			continue
		}
		rest := t.rest[i+1][n-size]
		for _, o := range t.groups[i][size] {
			next := bound{so.chance * o.chance, so.found + o.found, so.off + o.off}
			all := bound{next.chance * rest.chance, next.found + rest.found, next.off + rest.off}
			if t.s.spent(1) {
				return
			}
			if t.worse(all) {
				if all.chance = 1; t.worse(all) { // and so are all that follow
					break
				}
				continue
			}
			t.chosen[i] = o
			if i+1 == len(t.groups) {
				t.take(next.off)
			} else if _, _, ok := t.s.fit(t.chosen[:i+1], true, -1); ok {
				t.down(i+1, n-size, next)
			}
		}
	}
}

// take puts the chosen options into the list, if there are packs for them.
func (t *tie) take(off float64) {
	more := -1
	if full := len(t.ways) == t.k; full {
		last := t.ways[t.k-1]
		if more = last.found; compareOff(off, last.off) <= 0 {
			more-- // as many will do
		}
	}
	packs, found, ok := t.s.fit(t.chosen, false, more)
	if !ok {
		return
	}
	w := newWay(t.chosen, packs, found)
	if w.chance < t.floor {
		return
	}
	t.ways = keep(t.ways, w, t.k, func(a, b way) int {
		return cmp.Or(a.pieces-b.pieces, b.found-a.found, compareOff(a.off, b.off), cmp.Compare(b.chance, a.chance))
	})
}
