package setup_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// left is what lies in the drawer of side shims after the first unit has taken
// its seven: 3.598 mm in all.
func left() map[string][]job.Piece {
	var ps []job.Piece
	for tag, t := range map[string]float64{"s1": 0.998, "s2": 1.003, "s3": 0.502, "s4": 0.498, "s8": 0.197, "s10": 0.152, "s11": 0.098, "s12": 0.101, "s15": 0.049} {
		ps = append(ps, job.Piece{Tag: tag, Stock: "side shim", SI: t * mm, U: 3 * µm})
	}
	slices.SortFunc(ps, func(a, b job.Piece) int { return int(b.SI/µm) - int(a.SI/µm) })
	return map[string][]job.Piece{"side shim": ps}
}

// dunnock is the second unit of the scenario, magnesium and with wide cones:
// Z = 170.90 − 166.75 + 0.15 = 4.30. As found it had 2.15 on each side and a
// backlash of 0.10. own says whether those packs are still there.
func dunnock(t *testing.T, own bool) *job.State {
	t.Helper()
	found := func(pos string) job.TakenOff {
		return job.TakenOff{Position: pos, Place: "tray", Thick: []string{"2.15"}, SI: 2.15 * mm, U: 3 * µm}
	}
	bs := []job.Body{found("D20"), found("D21"), fit("D20", "L-D20"), fit("D21", "L-D21"),
		at(read("case width X", "inside micrometer", 5, 170.90, 170.90, 170.90), 20), read("differential length Y", "outside micrometer", 3, 166.75, 166.75, 166.75),
		read("backlash", "dial indicator", 5, 0.10, 0.10, 0.10, 0.10)}
	if !own {
		bs = append(bs, job.Fitted{Position: "D20", Aside: "lost"}, job.Fitted{Position: "D21", Aside: "lost"}, job.Left{Tag: "L-D20", To: "nowhere"}, job.Left{Tag: "L-D21", To: "nowhere"})
	}
	return state(t, "B", bs...)
}

// Of 3.598 mm no 4.30 can be made: that is said, and what to order that makes
// it probable enough. Its own pieces as found would serve.
func TestDunnockHasNoShims(t *testing.T) {
	s := dunnock(t, false)
	r := setting(t, s, "side preload")
	near(t, "Z, mm", (r.Wants[0].T+r.Wants[1].T)/mm, 4.30, 0.001)
	for _, p := range setup.Propose(s, "side preload", left()) {
		if p.Chance > 0.001 {
			t.Errorf("%v with a chance of %.3f from a drawer that cannot make it", p.Packs, p.Chance)
		}
	}
	var steps []float64
	for i := 2; i <= 40; i++ {
		steps = append(steps, float64(i)*0.05*mm)
	}
	buys := setup.Buys([]setup.Need{{State: s, Setting: "side preload"}}, left(), steps, 0.9)
	if len(buys) == 0 {
		t.Fatal("nothing to order is named")
	}
	for _, b := range buys {
		var sum float64
		for _, x := range b.Thick {
			sum += x
		}
		if len(b.Thick) > 2 || b.Ways[0].Chance < 0.9 || sum < (4.30-3.598-0.02)*mm {
			t.Errorf("to order: %v of %v, chance %.3f", b.Thick, b.For, b.Ways[0].Chance)
		}
		t.Log(b.Thick, b.Ways[0].Chance, fmt.Sprint(b.Ways[0].Packs))
	}

	// Its own packs, taken apart and measured piece by piece, are in the drawer too.
	drawer := left()
	for i, thick := range []float64{1.40, 0.75, 1.30, 0.85} {
		drawer["side shim"] = append(drawer["side shim"], job.Piece{Tag: fmt.Sprintf("own%d", i), Stock: "side shim", SI: thick * mm, U: 3 * µm})
	}
	own := setup.Propose(s, "side preload", drawer)
	if len(own) == 0 || own[0].Chance < 0.9 {
		t.Fatalf("with its own pieces and the drawer: %+v", own)
	}
	l, rr := own[0].Packs["D20"].SI, own[0].Packs["D21"].SI
	near(t, "left, mm", l/mm, 2.07, 0.03)
	near(t, "right, mm", rr/mm, 2.23, 0.03)
	near(t, "together, mm", (l+rr)/mm, 4.30, 0.02)
	for _, g := range own[0].Gives {
		if g.Setting == "backlash" && math.Abs(g.Value/mm-0.155) > 0.02 {
			t.Errorf("backlash foretold as %s, wanted about 0.155", g.Text)
		}
	}
}

// Two units that share a drawer are served together: no shim is in both, and
// what is best for both is no better for each than it would be alone.
func TestTwoUnitsOneDrawer(t *testing.T) {
	a := state(t, "A", join(sideShims(), l21(), l22(), []job.Body{at(read("case width X", "inside micrometer", 5, 170.60), 20), read("differential length Y", "outside micrometer", 3, 166.34)})...)
	b := dunnock(t, true)
	ways := setup.ProposeAll([]setup.Need{{State: a, Setting: "backlash"}, {State: b, Setting: "backlash"}}, left(), 3)
	if len(ways) == 0 {
		t.Fatal("nothing is proposed")
	}
	for _, w := range ways {
		seen := map[string]bool{}
		for i, p := range w {
			for _, pack := range p.Packs {
				for _, tag := range pack.Tags {
					key := tag
					if tag[0] == 'L' {
						key = fmt.Sprint(i, tag)
					}
					if seen[key] {
						t.Errorf("%s is in two places: %+v", tag, w)
					}
					seen[key] = true
				}
			}
		}
	}
	alone := setup.Propose(b, "backlash", left())
	if ways[0][1].Chance > alone[0].Chance+0.005 {
		t.Errorf("beside another unit %.4f, alone %.4f", ways[0][1].Chance, alone[0].Chance)
	}
}
