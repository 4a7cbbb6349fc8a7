package stack_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"endfloat/calc/stack"
	"endfloat/calc/unit"
)

const mm = unit.Millimetre

// drawer numbers the thicknesses, given in millimetres, as p1, p2, …
func drawer(t ...float64) []stack.Piece {
	var pieces []stack.Piece
	for i, t := range t {
		pieces = append(pieces, stack.Piece{ID: fmt.Sprintf("p%d", i+1), T: unit.Length(t) * mm})
	}
	return pieces
}

func print(packs []stack.Pack) {
	for _, p := range packs {
		var ids []string
		for _, piece := range p.Pieces {
			ids = append(ids, piece.ID)
		}
		fmt.Printf("%.3f %+.3f %s\n", p.T/mm, p.Err/mm, strings.Join(ids, " "))
	}
}

// Our own drawer: nine measured pieces, 2.43 ± 0.025 wanted.
func ExampleChoose() {
	own := drawer(0.098, 0.101, 0.149, 0.203, 0.298, 0.502, 1.003, 0.998, 1.497)
	print(stack.Choose(own, 2.43*mm, 0.025*mm, 5))
	// Output:
	// 2.446 +0.016 p9 p6 p5 p3
	// 2.448 +0.018 p7 p8 p5 p3
	// 2.449 +0.019 p9 p6 p4 p3 p1
	// 2.451 +0.021 p7 p8 p4 p3 p1
	// 2.452 +0.022 p9 p6 p4 p3 p2
	// 2.454 +0.024 p7 p8 p4 p3 p2
}

func ExampleOrders() {
	own := drawer(0.098, 0.101, 0.149, 0.203, 0.298, 0.502, 1.003, 0.998, 1.497)
	var sizes []unit.Length // 0.10 to 1.00 in steps of 0.05
	for i := 2; i <= 20; i++ {
		sizes = append(sizes, unit.Length(i)*50*unit.Micrometre)
	}
	for _, o := range stack.Orders(own, 2.43*mm, 0.025*mm, 3, sizes)[:3] {
		fmt.Printf("%.2f and %d more, total %+.3f\n", o.Size/mm, len(o.With.Pieces), o.With.Err/mm)
	}
	// Output:
	// 0.95 and 1 more, total +0.017
	// 0.65 and 2 more, total +0.015
	// 0.85 and 2 more, total +0.015
}

func ExampleNearest() {
	print(stack.Nearest(drawer(0.30, 0.50), 0.62*mm, 2))
	// Output:
	// 0.500 -0.120 p2
	// 0.800 +0.180 p2 p1
	// 0.300 -0.320 p1
}

// The three targets of our check table on shim choice, at most four pieces.
func TestChooseTable(t *testing.T) {
	stock := drawer(.12, .12, .18, .18, .30, .30, .45, .45, .70, 1.00)
	tests := []struct{ target, tol, want, n float64 }{
		{1.234, .005, 1.230, 4},
		{1.234, .010, 1.240, 3}, // fewest pieces within the window win
		{0.870, .005, 0.870, 3},
		{1.500, .005, 1.500, 4},
	}
	for _, tt := range tests {
		packs := stack.Choose(stock, unit.Length(tt.target)*mm, unit.Length(tt.tol)*mm, 4)
		if len(packs) == 0 || math.Abs(float64(packs[0].T/mm)-tt.want) > 1e-9 || len(packs[0].Pieces) != int(tt.n) {
			t.Errorf("target %g ± %g: got %v, want %g of %g pieces first", tt.target, tt.tol, packs, tt.want, tt.n)
		}
	}
}

// lcg is a small repeatable source of numbers.
type lcg uint64

func (r *lcg) below(n int) int {
	*r = *r*6364136223846793005 + 1442695040888963407
	return int(uint64(*r) >> 33 % uint64(n))
}

// brute lists, by trying every subset, the distinct multisets of thickness.
func brute(pieces []stack.Piece, target, tol unit.Length, most int) map[string]int {
	found := map[string]int{}
	for set := 1; set < 1<<len(pieces); set++ {
		var t []int
		sum := 0
		for i, p := range pieces {
			if set>>i&1 == 1 {
				t = append(t, int(math.Round(float64(p.T)*1e6)))
				sum += t[len(t)-1]
			}
		}
		if len(t) <= most && math.Abs(float64(sum)-float64(target)*1e6) <= float64(tol)*1e6+1e-6 {
			slices.Sort(t)
			found[fmt.Sprint(t)] = sum
		}
	}
	return found
}

func TestChooseAgainstEverySubset(t *testing.T) {
	var r lcg = 41
	for round := range 400 {
		var pieces []stack.Piece
		for i := range 1 + r.below(9) {
			pieces = append(pieces, stack.Piece{ID: fmt.Sprint(i), T: unit.Length(20+r.below(400)) * 5 * unit.Micrometre})
		}
		target := unit.Length(100+r.below(40000)) * unit.Micrometre / 10
		tol := unit.Length(r.below(60)) * unit.Micrometre
		most := 1 + r.below(5)
		want := brute(pieces, target, tol, most)
		got := stack.Choose(pieces, target, tol, most)
		if len(want) > stack.Most {
			t.Fatalf("round %d: %d packs, the case is too large to compare", round, len(want))
		}
		if len(got) != len(want) {
			t.Fatalf("round %d: got %d packs, want %d (%v, target %g, tol %g, most %d)", round, len(got), len(want), pieces, target, tol, most)
		}
		for i, p := range got {
			var thick []int
			for _, piece := range p.Pieces {
				thick = append(thick, int(math.Round(float64(piece.T)*1e6)))
			}
			slices.Sort(thick)
			if _, ok := want[fmt.Sprint(thick)]; !ok {
				t.Fatalf("round %d: %v is not a pack within tolerance", round, thick)
			}
			if i > 0 && worse(got[i-1], p) {
				t.Fatalf("round %d: pack %d %v stands before the better %v", round, i-1, got[i-1], p)
			}
		}
	}
}

func worse(a, b stack.Pack) bool {
	if len(a.Pieces) != len(b.Pieces) {
		return len(a.Pieces) > len(b.Pieces)
	}
	return math.Abs(float64(a.Err)) > math.Abs(float64(b.Err))+1e-9
}

// Each order, bought and put in the drawer, must make the pack it promises.
func TestOrdersKeepTheirPromise(t *testing.T) {
	var r lcg = 7
	sizes := []unit.Length{0.05 * mm, 0.1 * mm, 0.25 * mm, 0.4 * mm, 1 * mm}
	kept := 0
	for range 200 {
		var pieces []stack.Piece
		for i := range r.below(7) {
			pieces = append(pieces, stack.Piece{ID: fmt.Sprint(i), T: unit.Length(50+r.below(800)) * unit.Micrometre})
		}
		target, tol := unit.Length(200+r.below(2000))*unit.Micrometre, unit.Length(r.below(40))*unit.Micrometre
		for _, o := range stack.Orders(pieces, target, tol, 3, sizes) {
			kept++
			with := append(slices.Clone(pieces), stack.Piece{ID: "new", T: o.Size})
			packs := stack.Choose(with, target, tol, 3)
			if len(packs) == 0 || len(packs[0].Pieces) > len(o.With.Pieces)+1 {
				t.Fatalf("%v with %v: order %g promises %d pieces, got %v", pieces, target, o.Size, len(o.With.Pieces)+1, packs)
			}
			var sum unit.Length
			for _, p := range o.With.Pieces {
				sum += p.T
			}
			if math.Abs(float64(sum+o.Size-target-o.With.Err)) > 1e-9 {
				t.Fatalf("order %+v does not add up to %g", o, target)
			}
		}
	}
	if kept < 100 {
		t.Errorf("only %d orders were checked", kept)
	}
}

func TestChooseSaysNothingOfNonsense(t *testing.T) {
	nan := unit.Length(math.NaN())
	good := drawer(0.1, 0.2)
	for _, packs := range [][]stack.Pack{
		stack.Choose(nil, 1*mm, 1*mm, 3),
		stack.Choose(good, nan, 1*mm, 3),
		stack.Choose(good, 1*mm, nan, 3),
		stack.Choose(good, -1*mm, 2*mm, 3),
		stack.Choose(good, 1*mm, -1*mm, 3),
		stack.Choose(good, 0.3*mm, 0, 0),
		stack.Choose(good, unit.Length(math.Inf(1)), 1*mm, 3),
		stack.Choose([]stack.Piece{{T: nan}, {T: -1}, {T: 0}}, 1*mm, 1*mm, 3),
	} {
		if len(packs) != 0 {
			t.Errorf("got %v, want no pack", packs)
		}
	}
}

func big(n int) []stack.Piece {
	var r lcg = 3
	var pieces []stack.Piece
	for i := range n {
		pieces = append(pieces, stack.Piece{ID: fmt.Sprint(i), T: unit.Length(50+r.below(1500)) * unit.Micrometre})
	}
	return pieces
}

// Sixty pieces, five at most: the promise is 10 ms; the test allows for a busy
// machine.
func TestChooseIsQuick(t *testing.T) {
	best := time.Hour
	for range 5 {
		start := time.Now()
		stack.Choose(big(60), 4.4*mm, 0.01*mm, 5)
		best = min(best, time.Since(start))
	}
	if best > 50*time.Millisecond {
		t.Errorf("60 pieces up to 5 took %v", best)
	}
}

func BenchmarkChoose60(b *testing.B) {
	pieces := big(60)
	for b.Loop() {
		stack.Choose(pieces, 4.4*mm, 0.01*mm, 5)
	}
}
