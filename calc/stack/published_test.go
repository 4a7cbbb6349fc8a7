package stack_test

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/stack"
	"endfloat/calc/unit"
)

// [NPLFAQ]: a steel rod of nominal 500 mm reads 500.035 mm at 23.7 °C; with 11.7
// millionths per kelvin it is 500.013 mm long at 20 °C.
func ExampleAt20() {
	fmt.Printf("%.3f mm\n", stack.At20(500.035*mm, 11.7e-6, 0, 23.7)/mm)
	// Output: 500.013 mm
}

// The other answers of our check table on shim choice: what comes second, and how
// many packs of one to four pieces the drawer makes at all.
func TestRunnersUp(t *testing.T) {
	stock := drawer(.12, .12, .18, .18, .30, .30, .45, .45, .70, 1.00)
	for _, c := range []struct {
		target, want float64
		n            int
		second       float64
		secondN      int
	}{{1.234, 1.230, 4, 1.240, 3}, {0.870, 0.870, 3, 0.870, 4}, {1.500, 1.500, 4, 1.510, 0}} {
		packs := stack.Nearest(stock, unit.Length(c.target)*mm, 4)
		if len(packs) < 2 {
			t.Fatalf("%g: %v", c.target, packs)
		}
		near(t, "best", float64(packs[0].T/mm), c.want, 1e-9)
		near(t, "second", float64(packs[1].T/mm), c.second, 1e-9)
		if len(packs[0].Pieces) != c.n || c.secondN > 0 && len(packs[1].Pieces) != c.secondN {
			t.Errorf("%g: packs of %d and %d pieces, want %d and %d", c.target, len(packs[0].Pieces), len(packs[1].Pieces), c.n, c.secondN)
		}
	}
	all := brute(stock, 2*mm, 2*mm, 4)
	if len(all) != 126 {
		t.Errorf("the drawer makes %d packs, want 126", len(all))
	}
}

// Trap: which way a spacer between the inner rings works. [TM660], [TM233] p. 5-267,
// [TM306] p. 8-24 and [TM359] p. 5-16 have a thinner one for more preload; [TM255]
// WP 0111 and 0114 has a thinner one "to decrease preload", against them and against
// geometry. Not followed.
func TestSpacerAgainstManuals(t *testing.T) {
	for p := -0.05 * mm; p < 0.1*mm; p += 0.01 * mm {
		if !(stack.Spacer(12*mm, 0.07*mm, p+0.01*mm) < stack.Spacer(12*mm, 0.07*mm, p)) {
			t.Errorf("at a preload of %g mm more of it asks for a longer spacer", float64(p/mm))
		}
	}
}

// [SCHOLZ]: evenly spread parts need the root sum of squares inflated by √3, so the
// drawn spread of n alike is √n·a/√3, between the bell's and the worst case.
func TestInflation(t *testing.T) {
	for n := 1; n <= 6; n++ {
		var in []stack.Link
		for range n {
			in = append(in, stack.Link{L: mm, Tol: 0.1 * mm})
		}
		c := stack.Close(in)
		near(t, "inflated", float64(c.SD(stack.Even)/c.SD(stack.Bell)), math.Sqrt(3), 1e-12)
		near(t, "n alike", float64(c.Worst/c.Statistical), math.Sqrt(float64(n)), 1e-12)
	}
}

// A wider window never loses a pack, and more pieces never make the best one worse.
func TestMoreIsNeverLess(t *testing.T) {
	var r lcg = 23
	for range 100 {
		var pieces []stack.Piece
		for i := range 3 + r.below(6) {
			pieces = append(pieces, stack.Piece{ID: fmt.Sprint(i), T: unit.Length(50+r.below(900)) * unit.Micrometre})
		}
		target, last := unit.Length(300+r.below(2000))*unit.Micrometre, 0
		for tol := range 6 {
			n := len(stack.Choose(pieces, target, unit.Length(tol*tol*8)*unit.Micrometre, 4))
			if n < last && last < stack.Most {
				t.Fatalf("%v to %g: %d packs, a narrower window has %d", pieces, target/mm, n, last)
			}
			last = n
		}
		best := math.Inf(1)
		for most := 1; most <= 5; most++ {
			if near := stack.Nearest(pieces, target, most); len(near) > 0 {
				off := math.Abs(float64(near[0].Err))
				if off > best+1e-9 {
					t.Fatalf("%v to %g: %d pieces miss by %g, fewer by %g", pieces, target/mm, most, off, best)
				}
				best = off
			}
		}
	}
}
