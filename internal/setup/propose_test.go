package setup_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"endfloat/calc/uncert"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// drawer makes n pieces of a kind, measured to u micrometres.
func drawer(r *rand.Rand, stock string, n int, thin, thick, u float64) []job.Piece {
	var ps []job.Piece
	for i := range n {
		t := math.Round((thin+(thick-thin)*r.Float64())*1000) / 1000
		ps = append(ps, job.Piece{Tag: fmt.Sprintf("x%d", i), Stock: stock, SI: t * mm, U: u * µm})
	}
	return ps
}

// every yields all packs of 1 to most of the pieces that may go to the seat.
func every(ps []job.Piece, most int, thinnest float64, yield func(job.Pack)) {
	var down func(i int, p job.Pack)
	down = func(i int, p job.Pack) {
		if len(p.Tags) > 0 {
			yield(p)
		}
		if len(p.Tags) == most {
			return
		}
		for ; i < len(ps); i++ {
			if ps[i].SI < thinnest {
				continue
			}
			down(i+1, job.Pack{Tags: append(slices.Clone(p.Tags), ps[i].Tag), SI: p.SI + ps[i].SI, U: math.Hypot(p.U, ps[i].U), Ok: true})
		}
	}
	down(0, job.Pack{})
}

// chance is that of the setting being within its limits with a pack at its one seat.
func chance(s *job.State, r setup.Result, seat string, p job.Pack) float64 {
	v, u, _ := setup.Foretell(s, r, map[string]job.Pack{seat: p})
	off := v - r.Value
	return math.Min(uncert.Conformity(r.Low+off, u, r.Lo, r.Hi), uncert.Conformity(r.High+off, u, r.Lo, r.Hi))
}

// On small random drawers the first proposal is as good as the best of all
// packs that can be made, within the half point that counts as equal; and its
// chance is the one that this pack has.
func TestProposeBest(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for run := range 150 {
		u := 5 + 25*r.Float64() // µm, so that few packs are sure
		var bs []job.Body
		name, seat, stock, most, thin, thick := "pinion depth", "P36", "depth shim", 4, 0.04, 0.5
		if run%2 == 0 {
			bs = append(depth("+6", "further"), read("gauge gap", "feelers", u, 0.30+0.3*r.Float64()))
		} else {
			name, seat, stock, most, thin, thick = "primary float", "Q13", "primary shim", 1, 0.3, 0.8
			bs = []job.Body{shim("q", 0.3+0.4*r.Float64()), fit("Q13", "q"), read("cover recess", "depth micrometer", u, 18.87), read("bearing stand-up", "old micrometer", u, 18.20+0.4*r.Float64())}
		}
		s := state(t, "A", bs...)
		res := setting(t, s, name)
		ps := drawer(r, stock, 1+r.IntN(9), thin, thick, 3)
		got := setup.Propose(s, name, map[string][]job.Piece{stock: ps, "other": drawer(r, "other", 3, 0.1, 1, 3)})
		if len(got) == 0 {
			t.Fatalf("run %d: nothing is proposed from %d pieces", run, len(ps))
		}
		for _, tag := range s.At[seat] {
			ps = append(ps, *s.Pieces[tag])
		}
		best, first := 0.0, got[0].Packs[seat]
		legal := false
		every(ps, most, 0.05*mm*float64((run+1)%2), func(p job.Pack) {
			best = math.Max(best, chance(s, res, seat, p))
			legal = legal || slices.Equal(sorted(p.Tags), sorted(first.Tags))
		})
		if !legal {
			t.Fatalf("run %d: %v is no pack of at most %d from %v", run, first, most, ps)
		}
		if got[0].Chance < best-0.005 {
			t.Errorf("run %d, %s: the first of %d proposals has a chance of %.4f, a pack with %.4f can be made of %d pieces", run, name, len(got), got[0].Chance, best, len(ps))
		}
		for _, p := range got {
			if math.Abs(p.Chance-chance(s, res, seat, p.Packs[seat])) > 1e-9 {
				t.Errorf("run %d: the chance of %v is given as %.6f, it is %.6f", run, p.Packs, p.Chance, chance(s, res, seat, p.Packs[seat]))
			}
		}
	}
}

func sorted(tags []string) []string { return slices.Sorted(slices.Values(tags)) }

// Of equal chances the pack of fewer pieces comes first.
func TestProposeFewer(t *testing.T) {
	s := state(t, "A", append(depth("+6", "further"), read("gauge gap", "feelers", 3, 0.50))...) // wants 0.56
	ps := []job.Piece{{Tag: "a", SI: 0.28 * mm}, {Tag: "b", SI: 0.28 * mm}, {Tag: "c", SI: 0.561 * mm}}
	got := setup.Propose(s, "pinion depth", map[string][]job.Piece{"depth shim": ps})
	if len(got) < 2 || !slices.Equal(got[0].Packs["P36"].Tags, []string{"c"}) {
		t.Errorf("proposed %+v, want c first and a + b after it", got)
	}
}

// The same question has the same answer, over two seats too.
func TestProposeAlways(t *testing.T) {
	s := state(t, "A", join(sideShims(), l21(), l22(), []job.Body{at(read("case width X", "inside micrometer", 5, 170.60), 9), read("differential length Y", "outside micrometer", 3, 166.34)})...)
	ps := drawer(rand.New(rand.NewPCG(3, 3)), "side shim", 12, 0.1, 2, 3)
	want := setup.Propose(s, "backlash", map[string][]job.Piece{"side shim": ps})
	if len(want) == 0 {
		t.Fatal("nothing is proposed")
	}
	for range 5 {
		if got := setup.Propose(s, "backlash", map[string][]job.Piece{"side shim": ps}); !reflect.DeepEqual(got, want) {
			t.Fatalf("%+v\nand then\n%+v", want, got)
		}
	}
	for _, p := range want {
		both := append(slices.Clone(p.Packs["D20"].Tags), p.Packs["D21"].Tags...)
		if slices.Sort(both); len(slices.Compact(both)) != len(p.Packs["D20"].Tags)+len(p.Packs["D21"].Tags) {
			t.Errorf("a shim lies on both sides: %v", p.Packs)
		}
	}
}

// What is not known has no proposal, and neither has a setting without seats.
func TestProposeNothing(t *testing.T) {
	s := state(t, "A", depth("+6", "")...)
	for _, name := range []string{"pinion depth", "primary float", "gear 1 float", "no such setting"} {
		if got := setup.Propose(s, name, map[string][]job.Piece{"depth shim": {{Tag: "a", SI: 0.5 * mm}}}); len(got) > 0 {
			t.Errorf("%s: %+v", name, got)
		}
	}
}
