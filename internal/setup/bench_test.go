package setup_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// finished is a job with all three settings read, backlash at three trials.
func finished(b testing.TB) *job.State {
	third := read("backlash", "dial indicator", 5, 0.16, 0.16, 0.15, 0.16)
	bs := join(depth("+6", "further"), []job.Body{read("cover recess", "depth micrometer", 5, 18.87, 18.87, 18.88), read("bearing stand-up", "depth micrometer", 5, 18.24, 18.24, 18.25),
		at(read("case width X", "inside micrometer", 5, 170.62, 170.61, 170.62), 17), at(read("differential length Y", "outside micrometer", 3, 166.34, 166.34, 166.34), 17)},
		sideShims(), l21(), l22(), l23packs(), []job.Body{third})
	return state(b, "A", bs...)
}

func BenchmarkAll(b *testing.B) {
	s := finished(b)
	for b.Loop() {
		setup.All(s)
	}
}

// Side preload and backlash over two seats, from forty pieces.
func BenchmarkPropose(b *testing.B) {
	s := finished(b)
	ps := map[string][]job.Piece{"side shim": drawer(rand.New(rand.NewPCG(5, 1)), "side shim", 40, 0.1, 2, 3)}
	if len(setup.Propose(s, "backlash", ps)) == 0 {
		b.Fatal("nothing is proposed")
	}
	for b.Loop() {
		setup.Propose(s, "backlash", ps)
	}
}

// Two jobs, all their settings, from three hundred pieces.
func BenchmarkProposeAll(b *testing.B) {
	r := rand.New(rand.NewPCG(5, 2))
	ps := map[string][]job.Piece{}
	for stock, n := range map[string]int{"side shim": 150, "depth shim": 100, "primary shim": 50} {
		ps[stock] = drawer(r, stock, n, 0.1, 2, 3)
		for i := range ps[stock] {
			ps[stock][i].Tag = fmt.Sprint(stock, i)
		}
	}
	needs := []setup.Need{{State: finished(b)}, {State: finished(b)}}
	if len(setup.ProposeAll(needs, ps, 3)) == 0 {
		b.Fatal("nothing is proposed")
	}
	for b.Loop() {
		setup.ProposeAll(needs, ps, 3)
	}
}

// One job, all its settings over all its seats, from forty pieces.
func BenchmarkProposeJob(b *testing.B) {
	r := rand.New(rand.NewPCG(5, 3))
	ps := map[string][]job.Piece{}
	for stock, n := range map[string]int{"side shim": 24, "depth shim": 10, "primary shim": 6} {
		ps[stock] = drawer(r, stock, n, 0.1, 2, 3)
		for i := range ps[stock] {
			ps[stock][i].Tag = fmt.Sprint(stock, i)
		}
	}
	needs := []setup.Need{{State: finished(b)}}
	if len(setup.ProposeAll(needs, ps, 3)) == 0 {
		b.Fatal("nothing is proposed")
	}
	for b.Loop() {
		setup.ProposeAll(needs, ps, 3)
	}
}
