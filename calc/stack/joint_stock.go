package stack

import (
	"slices"
)

// stock is a drawer as the joint choice sees it: lots of interchangeable pieces,
// and for each seat the totals that it could make if it were alone.
type stock struct {
	drawer []Piece
	slots  []Slot
	lots   []lot
	left   []int // pieces of each lot that no pack holds at the moment
	seats  []*seat
}

// lot is the pieces of one thickness that may go to the same seats.
type lot struct {
	µm     int
	pieces []int // indices into the drawer
	seats  uint64
}

// seat is what one slot can hold. The pieces of the pack as found are counted
// apart: of n pieces of a lot the first few are the slot's own.
type seat struct {
	lo, hi int // window of totals, in micrometres
	grind  bool
	lots   []int // indices of lots, thickest first
	size   []int // µm of each of them
	own    []int // pieces of each of them that were found in this slot
	max    int   // most pieces
	found  int   // most pieces as found
	// reach[i][c*(found+1)+f] holds the totals that c pieces of lots[i:] can make,
	// f of them as found.
	reach [][]bits
	any   []uint32    // by total: bit c is set if c pieces can make it
	packs [][]float64 // packs[c][t] is the number of packs, lots counted once
}

// newStock sorts the drawer into lots and fills the tables up to the windows.
func newStock(drawer []Piece, slots []Slot, windows [][2]int) *stock {
	st := &stock{drawer: drawer, slots: slots}
	fits := make([]uint64, len(drawer))
	for s, slot := range slots {
		for _, i := range slot.Pieces {
			if i >= 0 && i < len(drawer) && micrometres(drawer[i].T) > 0 && !slot.Grind {
				fits[i] |= 1 << s
			}
		}
	}
	type key struct {
		µm   int
		fits uint64
	}
	by, of := map[key]int{}, make([]int, len(drawer))
	for i, p := range drawer {
		of[i] = -1
		if fits[i] == 0 {
			continue
		}
		k := key{micrometres(p.T), fits[i]}
		n, known := by[k]
		if !known {
			n = len(st.lots)
			by[k] = n
			st.lots = append(st.lots, lot{µm: k.µm, seats: k.fits})
		}
		st.lots[n].pieces = append(st.lots[n].pieces, i)
		of[i] = n
	}
	for _, l := range st.lots {
		st.left = append(st.left, len(l.pieces))
	}
	owner := st.owners()
	for s, slot := range slots {
		st.seats = append(st.seats, st.newSeat(s, slot, windows[s], owner, of))
	}
	return st
}

// owners returns the slot in which each piece was found, -1 for none. A piece
// named twice belongs to the first slot that names it and may take it.
func (st *stock) owners() []int {
	owner := make([]int, len(st.drawer))
	for i := range owner {
		owner[i] = -1
	}
	for s, slot := range st.slots {
		for _, i := range slot.Found {
			if i >= 0 && i < len(owner) && owner[i] < 0 && slices.Contains(slot.Pieces, i) {
				owner[i] = s
			}
		}
	}
	return owner
}

func (st *stock) newSeat(s int, slot Slot, window [2]int, owner, of []int) *seat {
	e := &seat{lo: window[0], hi: window[1], grind: slot.Grind}
	if e.grind || e.lo > e.hi {
		return e
	}
	for n, l := range st.lots {
		if l.seats>>s&1 == 1 && l.µm <= e.hi {
			e.lots = append(e.lots, n)
		}
	}
	slices.SortStableFunc(e.lots, func(a, b int) int { return st.lots[b].µm - st.lots[a].µm })
	pieces := 0
	for _, n := range e.lots {
		own := 0
		for _, i := range st.lots[n].pieces {
			if owner[i] == s && of[i] == n {
				own++
			}
		}
		e.size, e.own = append(e.size, st.lots[n].µm), append(e.own, own)
		e.found += own
		pieces += len(st.lots[n].pieces)
	}
	e.max = min(slot.Max, pieces, 31)
	e.found = min(e.found, max(e.max, 0))
	if e.max < 0 {
		return e
	}
	e.fill(st)
	e.count(st, max(slot.Min, 0))
	return e
}

// fill works from the thinnest lot up, as the drawer of one pack does.
func (e *seat) fill(st *stock) {
	words, wide := e.hi/64+1, e.found+1
	row := func() []bits {
		r, all := make([]bits, (e.max+1)*wide), make(bits, (e.max+1)*wide*words)
		for n := range r {
			r[n] = all[n*words : (n+1)*words]
		}
		return r
	}
	e.reach = make([][]bits, len(e.lots)+1)
	last := row()
	last[0].add(0)
	e.reach[len(e.lots)] = last
	for i := len(e.lots) - 1; i >= 0; i-- {
		r, next := row(), e.reach[i+1]
		have := len(st.lots[e.lots[i]].pieces)
		for c := 0; c <= e.max; c++ {
			for f := 0; f <= min(c, e.found); f++ {
				for j := 0; j <= min(c, have); j++ {
					if own := min(j, e.own[i]); own <= f && f-own <= c-j {
						r[c*wide+f].addShifted(next[(c-j)*wide+f-own], j*e.size[i])
					}
				}
			}
		}
		e.reach[i] = r
	}
}

// count fills in how many packs make each total, and of how many pieces.
func (e *seat) count(st *stock, fewest int) {
	e.packs = make([][]float64, e.max+1)
	for c := range e.packs {
		e.packs[c] = make([]float64, e.hi+1)
	}
	e.packs[0][0] = 1
	for i, n := range e.lots {
		for c := e.max; c > 0; c-- {
			for j := 1; j <= min(c, len(st.lots[n].pieces)); j++ {
				to, from, by := e.packs[c], e.packs[c-j], j*e.size[i]
				if by > e.hi {
					break
				}
				for t, more := range from[:e.hi+1-by] {
					to[t+by] += more
				}
			}
		}
	}
	e.any = make([]uint32, e.hi+1)
	for c := fewest; c <= e.max; c++ {
		for t, n := range e.packs[c] {
			if n > 0 {
				e.any[t] |= 1 << c
			}
		}
	}
}

// counts returns the numbers of pieces that can make a total, as bits.
func (e *seat) counts(t int) uint32 {
	switch {
	case t < e.lo || t > e.hi:
		return 0
	case e.grind:
		return 1 << 1
	case t >= len(e.any):
		return 0
	}
	return e.any[t]
}

// most returns the most pieces as found in a pack of c pieces with total t.
func (e *seat) most(t, c int) int {
	for f := min(e.found, c); f > 0; f-- {
		if e.reach[0][c*(e.found+1)+f].has(t) {
			return f
		}
	}
	return 0
}

// span returns the thinnest and thickest pack of each slot, in micrometres. What
// a ground piece may be is bounded by twice the wanted total and 5 mm beside it.
func span(drawer []Piece, slots []Slot) (low, high []int) {
	const beside = 5000
	for _, slot := range slots {
		if slot.Grind {
			want := micrometres(slot.Want)
			low = append(low, max(1, want-beside))
			high = append(high, min(max(2*want, want+beside), longest))
			continue
		}
		seen := map[int]bool{}
		var µm []int
		for _, i := range slot.Pieces {
			if i < 0 || i >= len(drawer) || seen[i] {
				continue
			}
			seen[i] = true
			if t := micrometres(drawer[i].T); t > 0 && t <= longest {
				µm = append(µm, t)
			}
		}
		slices.Sort(µm)
		lo, hi := 0, 0
		if slot.Min > len(µm) || slot.Min > slot.Max {
			lo = longest + 1 // the slot cannot be filled
		}
		for n := range µm {
			if n < slot.Min {
				lo += µm[n]
			}
			if n < min(slot.Max, 31) {
				hi += µm[len(µm)-1-n]
			}
		}
		low, high = append(low, lo), append(high, min(hi, longest))
	}
	return low, high
}

// hand turns packs of lots into packs of pieces, thickest first. Every slot takes
// its own as found first, then what no slot calls its own, then the rest.
func (st *stock) hand(packs [][]grab) [][]Piece {
	owner := st.owners()
	taken := make([]bool, len(st.drawer))
	hands := make([][]int, len(packs))
	for _, suits := range []func(slot, owner int) bool{
		func(slot, owner int) bool { return owner == slot },
		func(_, owner int) bool { return owner < 0 },
		func(_, _ int) bool { return true },
	} {
		for s := range packs {
			for n := range packs[s] {
				g := &packs[s][n]
				for _, i := range st.lots[g.lot].pieces {
					if g.n > 0 && !taken[i] && suits(s, owner[i]) {
						taken[i] = true
						hands[s] = append(hands[s], i)
						g.n--
					}
				}
			}
		}
	}
	pieces := make([][]Piece, len(packs))
	for s, hand := range hands {
		slices.SortFunc(hand, func(a, b int) int {
			if c := micrometres(st.drawer[b].T) - micrometres(st.drawer[a].T); c != 0 {
				return c
			}
			return a - b
		})
		for _, i := range hand {
			pieces[s] = append(pieces[s], st.drawer[i])
		}
	}
	return pieces
}
