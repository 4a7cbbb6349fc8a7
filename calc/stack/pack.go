package stack

import (
	"math"
	"slices"

	"endfloat/calc/unit"
)

// Most is the largest number of packs that Choose or Nearest lists.
const Most = 64

// longest is the longest pack the search takes on, in micrometres. Packs of
// shims are a few millimetres; the bound keeps the tables small.
const longest = 500_000

// Piece is one shim, spacer or circlip, with its measured thickness.
type Piece struct {
	ID string
	T  unit.Length
}

// Pack is a set of pieces that lie together.
type Pack struct {
	Pieces []Piece     // thickest first
	T      unit.Length // total, in whole micrometres
	Err    unit.Length // T less the target
}

// Choose lists packs of 1 to most pieces whose total lies within tol of the
// target, best first: fewest pieces, then least error, then the thinner total,
// then thicker pieces. The search is exact on thicknesses in whole micrometres.
//
// Of pieces alike to the micrometre the ones that come first in pieces are
// taken, and packs that differ only in which of them are used are listed once.
// At most [Most] packs are listed. Pieces that are not above 0 are passed over,
// and so is everything if the target is not above 0 or beyond 0.5 m, tol is
// negative or most is below 1.
func Choose(pieces []Piece, target, tol unit.Length, most int) []Pack {
	d := newDrawer(pieces, target, tol, most)
	totals := d.totals(target, tol)
	var packs []Pack
	for n := 1; n <= d.most; n++ {
		for _, sum := range totals {
			packs = d.collect(packs, n, sum, target)
		}
	}
	return packs
}

// Nearest lists the few packs of 1 to most pieces that come nearest to the
// target, least error first and of equal errors the fewest pieces. It is for
// showing how far off a drawer is when Choose finds nothing.
func Nearest(pieces []Piece, target unit.Length, most int) []Pack {
	const few = 6
	if !(target > 0) {
		return nil
	}
	d := newDrawer(pieces, target, target, most)
	var packs []Pack
	for _, sum := range d.totals(target, target) {
		for n := 1; n <= d.most; n++ {
			packs = d.collect(packs, n, sum, target)
		}
		if len(packs) >= few {
			return packs[:few]
		}
	}
	return packs
}

// Order is a piece worth buying: with the pieces of With, which are in the
// drawer, one of thickness Size makes a pack within tolerance.
type Order struct {
	Size unit.Length
	With Pack // Err is that of the finished pack
}

// Orders lists which single size, of those on sale, would make a pack of at most
// most pieces within tol of the target: fewest pieces, then least error. Each
// size is named once, with the best pack it makes.
func Orders(pieces []Piece, target, tol unit.Length, most int, sizes []unit.Length) []Order {
	d := newDrawer(pieces, target, tol, most)
	var orders []Order
	for _, size := range sizes {
		µm := micrometres(size)
		if µm <= 0 || µm > longest {
			continue
		}
		if o, ok := d.withOne(µm, target, tol); ok {
			orders = append(orders, o)
		}
	}
	slices.SortStableFunc(orders, func(a, b Order) int {
		if c := len(a.With.Pieces) - len(b.With.Pieces); c != 0 {
			return c
		}
		return compareError(a.With.Err, b.With.Err)
	})
	return orders
}

// withOne finds the best pack that one bought piece of size µm completes.
func (d *drawer) withOne(µm int, target, tol unit.Length) (Order, bool) {
	for n := 0; n < d.most; n++ {
		for _, sum := range d.totals(target, tol) {
			rest := sum - µm
			if rest < 0 || !d.reach[0][n].has(rest) {
				continue
			}
			with := Pack{T: length(rest), Err: length(sum) - target}
			d.enumerate(n, rest, func(p []Piece) bool {
				with.Pieces = p
				return false
			})
			return Order{Size: length(µm), With: with}, true
		}
	}
	return Order{}, false
}

// drawer answers which totals can be made of which pieces.
type drawer struct {
	kinds []kind
	most  int
	// reach[i][n] holds the totals that n pieces of kinds[i:] can make.
	reach [][]bits
	max   int // largest total kept, in micrometres
}

// kind is the pieces of one thickness in whole micrometres.
type kind struct {
	µm     int
	pieces []Piece
}

// newDrawer sorts the pieces and fills the table of reachable totals. A search
// guided by it never enters a branch that holds no pack.
func newDrawer(pieces []Piece, target, tol unit.Length, most int) *drawer {
	d := &drawer{}
	if !(target > 0 && tol >= 0) || target*1e6 > longest || most < 1 {
		return d
	}
	d.max = int(math.Min(math.Floor(float64(target+tol)*1e6+grace), longest))
	by := map[int]int{}
	for _, p := range pieces {
		µm := micrometres(p.T)
		if µm <= 0 || µm > d.max {
			continue
		}
		i, known := by[µm]
		if !known {
			i = len(d.kinds)
			by[µm] = i
			d.kinds = append(d.kinds, kind{µm: µm})
		}
		d.kinds[i].pieces = append(d.kinds[i].pieces, p)
		d.most++
	}
	d.most = min(d.most+1, most) // one more than there are, for a piece to buy
	slices.SortFunc(d.kinds, func(a, b kind) int { return b.µm - a.µm })
	d.fill()
	return d
}

// fill works from the thinnest kind up: what kinds[i:] can make is what
// kinds[i+1:] can make with 0, 1, 2 … pieces of kind i added.
func (d *drawer) fill() {
	words := d.max/64 + 1
	row := func() []bits {
		r, all := make([]bits, d.most+1), make(bits, (d.most+1)*words)
		for n := range r {
			r[n] = all[n*words : (n+1)*words]
		}
		return r
	}
	d.reach = make([][]bits, len(d.kinds)+1)
	last := row()
	last[0].add(0)
	d.reach[len(d.kinds)] = last
	for i := len(d.kinds) - 1; i >= 0; i-- {
		k := d.kinds[i]
		r := row()
		for n := range r {
			for c := 0; c <= min(n, len(k.pieces)); c++ {
				r[n].addShifted(d.reach[i+1][n-c], c*k.µm)
			}
		}
		d.reach[i] = r
	}
}

// grace forgives the last bits of a float in a bound counted in micrometres.
const grace = 1e-6

// totals lists the whole micrometres within tol of the target, nearest first and
// of two equally near the thinner first.
func (d *drawer) totals(target, tol unit.Length) []int {
	if d.reach == nil {
		return nil
	}
	at := float64(target) * 1e6
	lo := max(1, int(math.Ceil(at-float64(tol)*1e6-grace)))
	below := min(int(math.Floor(at+grace)), d.max)
	above := below + 1
	var list []int
	for below >= lo || above <= d.max {
		// Below wins a tie, so its distance is taken a little short.
		if above > d.max || below >= lo && at-float64(below) <= float64(above)-at+grace {
			list = append(list, below)
			below--
		} else {
			list = append(list, above)
			above++
		}
	}
	return list
}

// collect appends the packs of n pieces with exactly this total, up to Most.
func (d *drawer) collect(packs []Pack, n, sum int, target unit.Length) []Pack {
	if len(packs) >= Most || !d.reach[0][n].has(sum) {
		return packs
	}
	d.enumerate(n, sum, func(p []Piece) bool {
		packs = append(packs, Pack{Pieces: p, T: length(sum), Err: length(sum) - target})
		return len(packs) < Most
	})
	return packs
}

// enumerate calls yield with each pack of n pieces and this total, thicker pieces
// first, until it returns false.
func (d *drawer) enumerate(n, sum int, yield func([]Piece) bool) {
	var taken []Piece
	var down func(i, n, sum int) bool
	down = func(i, n, sum int) bool {
		if n == 0 {
			return sum != 0 || yield(slices.Clone(taken))
		}
		if i == len(d.kinds) {
			return true
		}
		k := d.kinds[i]
		for c := min(n, len(k.pieces)); c >= 0; c-- {
			rest := sum - c*k.µm
			if rest < 0 || !d.reach[i+1][n-c].has(rest) {
				continue
			}
			taken = append(taken, k.pieces[:c]...)
			more := down(i+1, n-c, rest)
			taken = taken[:len(taken)-c]
			if !more {
				return false
			}
		}
		return true
	}
	down(0, n, sum)
}

// compareError orders by size of error, then the thinner total first.
func compareError(a, b unit.Length) int {
	const nm = 1e-9 // errors that differ by less are equal
	switch x, y := math.Abs(float64(a)), math.Abs(float64(b)); {
	case x < y-nm:
		return -1
	case x > y+nm:
		return 1
	case a < b-nm:
		return -1
	case a > b+nm:
		return 1
	}
	return 0
}

// micrometres rounds to whole micrometres; NaN and what no drawer holds give 0.
func micrometres(l unit.Length) int {
	µm := math.Round(float64(l) * 1e6)
	if !(µm >= 0 && µm < 1e9) {
		return 0
	}
	return int(µm)
}

// length divides, because 2446/1e6 is the float nearest to 2.446 mm and
// 2446*1e-6 need not be.
func length(µm int) unit.Length { return unit.Length(float64(µm) / 1e6) }

// bits is a set of small integers.
type bits []uint64

func (b bits) add(i int)      { b[i/64] |= 1 << (i % 64) }
func (b bits) has(i int) bool { return i/64 < len(b) && b[i/64]&(1<<(i%64)) != 0 }

// addShifted adds every element of a, raised by n; what leaves the range is lost.
func (b bits) addShifted(a bits, n int) {
	word, bit := n/64, n%64
	for i := len(b) - 1; i >= word; i-- {
		w := a[i-word] << bit
		if bit > 0 && i > word {
			w |= a[i-word-1] >> (64 - bit)
		}
		b[i] |= w
	}
}
