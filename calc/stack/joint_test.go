package stack_test

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"endfloat/calc/stack"
	"endfloat/calc/uncert"
	"endfloat/calc/unit"
)

// setting is a linear setting over the totals of an aim, in micrometres.
type setting struct {
	by      []float64 // per slot
	mid     float64   // of the range
	half    float64   // of the range
	u, each float64   // doubt, and doubt per piece
}

func (s setting) value(totals []int) float64 {
	v := 0.0
	for i, t := range totals {
		v += s.by[i] * float64(t)
	}
	return v
}

// aim takes settings together that lie over the same slots.
func aim(slots []int, settings ...setting) stack.Aim {
	return stack.Aim{
		Slots: slots,
		Chance: func(totals, counts []int) float64 {
			p := 1.0
			for _, s := range settings {
				n := 0.0
				for i, c := range counts {
					n += float64(c) * s.by[i] * s.by[i]
				}
				p *= uncert.Conformity(s.value(totals), math.Sqrt(s.u*s.u+n*s.each*s.each), s.mid-s.half, s.mid+s.half)
			}
			return p
		},
		Off: func(totals []int) float64 {
			off := 0.0
			for _, s := range settings {
				off += math.Abs(s.value(totals) - s.mid)
			}
			return off
		},
	}
}

func um(t int) unit.Length { return unit.Length(float64(t) / 1e6) }

func pieces(µm ...int) []stack.Piece {
	var list []stack.Piece
	for i, t := range µm {
		list = append(list, stack.Piece{ID: fmt.Sprintf("p%d", i+1), T: um(t)})
	}
	return list
}

func upTo(n int) []int {
	var list []int
	for i := range n {
		list = append(list, i)
	}
	return list
}

// job is one joint choice to make.
type job struct {
	drawer []stack.Piece
	slots  []stack.Slot
	aims   []stack.Aim
}

func (j job) choose(k int) ([]stack.Joint, bool) {
	return stack.ChooseJoint(j.drawer, j.slots, j.aims, k)
}

// small draws a job of 2 or 3 slots over a few pieces, with some pieces alike.
func small(r *lcg) job {
	var j job
	n := 2 + r.below(2)
	most := 9
	if n == 3 {
		most = 7
	}
	var µm []int
	for range 3 + r.below(most-2) {
		if len(µm) > 0 && r.below(3) == 0 {
			µm = append(µm, µm[r.below(len(µm))])
		} else {
			µm = append(µm, 100+10*r.below(60)+r.below(4))
		}
	}
	j.drawer = pieces(µm...)
	for s := range n {
		slot := stack.Slot{Max: 1 + r.below(4), Min: r.below(2)}
		for i := range µm {
			if r.below(5) > 0 {
				slot.Pieces = append(slot.Pieces, i)
			}
			if i%n == s && r.below(3) > 0 {
				slot.Found = append(slot.Found, i)
			}
		}
		mid := µm[r.below(len(µm))] + r.below(60) - 30
		if r.below(2) > 0 {
			mid += µm[r.below(len(µm))]
		}
		slot.Want = um(mid)
		j.slots = append(j.slots, slot)
	}
	alone := func(s int) stack.Aim {
		return aim([]int{s}, setting{[]float64{1}, float64(j.slots[s].Want) * 1e6, 10 + float64(r.below(90)), 2 + float64(r.below(12)), float64(r.below(3))})
	}
	together := func(slots []int) stack.Aim {
		sum, lean := make([]float64, len(slots)), make([]float64, len(slots))
		mid := 0.0
		for i, s := range slots {
			sum[i], lean[i] = 1, .35-.7*float64(i%2)
			mid += float64(j.slots[s].Want) * 1e6
		}
		a := setting{sum, mid, 20 + float64(r.below(90)), 3 + float64(r.below(9)), float64(r.below(3))}
		b := setting{lean, 0, 20 + float64(r.below(90)), 3 + float64(r.below(9)), float64(r.below(2))}
		for i, s := range slots {
			b.mid += lean[i] * float64(j.slots[s].Want) * 1e6
		}
		return aim(slots, a, b)
	}
	switch {
	case n == 3 && r.below(3) == 0:
		j.aims = []stack.Aim{together([]int{0, 1, 2})}
	case n == 3 && r.below(2) == 0:
		j.aims = []stack.Aim{alone(1), together([]int{2, 0})}
	case n == 2 && r.below(2) == 0:
		j.aims = []stack.Aim{together([]int{0, 1})}
	default:
		for s := range n {
			j.aims = append(j.aims, alone(s))
		}
	}
	return j
}

// allWays lists all ways to fill the slots, one for each set of totals and numbers
// of pieces, in the order that ChooseJoint promises.
func allWays(j job) []stack.Joint {
	type state struct{ totals, counts [3]int }
	ways := map[state]int{} // most pieces as found
	var now state
	found := 0
	var down func(i int)
	down = func(i int) {
		if i == len(j.drawer) {
			for s, slot := range j.slots {
				if now.counts[s] < slot.Min || now.counts[s] > slot.Max {
					return
				}
			}
			if f, known := ways[now]; !known || found > f {
				ways[now] = found
			}
			return
		}
		down(i + 1)
		t := int(math.Round(float64(j.drawer[i].T) * 1e6))
		for s, slot := range j.slots {
			if !slices.Contains(slot.Pieces, i) || now.counts[s] == slot.Max {
				continue
			}
			own := 0
			if slices.Contains(slot.Found, i) {
				own = 1
			}
			now.totals[s] += t
			now.counts[s]++
			found += own
			down(i + 1)
			now.totals[s] -= t
			now.counts[s]--
			found -= own
		}
	}
	down(0)
	var list []stack.Joint
	best := 0.0
	for w, f := range ways {
		joint := stack.Joint{Chance: 1, Found: f}
		for s := range j.slots {
			joint.Totals = append(joint.Totals, w.totals[s])
			joint.Pieces += w.counts[s]
		}
		for _, a := range j.aims {
			var totals, counts []int
			for _, s := range a.Slots {
				totals, counts = append(totals, w.totals[s]), append(counts, w.counts[s])
			}
			joint.Chance *= a.Chance(totals, counts)
			joint.Off += a.Off(totals)
		}
		best = max(best, joint.Chance)
		list = append(list, joint)
	}
	level := func(j stack.Joint) float64 {
		if j.Chance >= best-stack.NearTie {
			return 1
		}
		return j.Chance
	}
	list = slices.DeleteFunc(list, func(j stack.Joint) bool { return best > 1e-6 && j.Chance <= 1e-6 })
	slices.SortFunc(list, func(a, b stack.Joint) int {
		if best <= 1e-6 {
			return cmp.Or(cmpOff(a.Off, b.Off), a.Pieces-b.Pieces, b.Found-a.Found)
		}
		return cmp.Or(cmp.Compare(level(b), level(a)), a.Pieces-b.Pieces, b.Found-a.Found, cmpOff(a.Off, b.Off), cmp.Compare(b.Chance, a.Chance))
	})
	return list
}

func cmpOff(a, b float64) int {
	if math.Abs(a-b) < 1e-7 {
		return 0
	}
	return cmp.Compare(a, b)
}

// check holds that a joint choice is what it says of itself.
func (j job) check(t *testing.T, joint stack.Joint) {
	t.Helper()
	used := map[string]bool{}
	at := map[string]int{}
	for i, p := range j.drawer {
		at[p.ID] = i
	}
	count, found, chance, off := 0, 0, 1.0, 0.0
	counts := make([]int, len(j.slots))
	for s, pack := range joint.Packs {
		sum := unit.Length(0)
		for _, p := range pack.Pieces {
			i := at[p.ID]
			if used[p.ID] || !slices.Contains(j.slots[s].Pieces, i) {
				t.Errorf("%s is used twice or in slot %d, where it may not go", p.ID, s)
			}
			used[p.ID] = true
			sum += p.T
			if slices.Contains(j.slots[s].Found, i) {
				found++
			}
		}
		counts[s] = len(pack.Pieces)
		if j.slots[s].Grind {
			counts[s], sum = 1, pack.T
		}
		count += counts[s]
		if math.Abs(float64(sum-pack.T)) > 1e-9 || math.Abs(float64(pack.T-um(joint.Totals[s]))) > 1e-9 || counts[s] > j.slots[s].Max || counts[s] < j.slots[s].Min {
			t.Errorf("slot %d: pack %+v, total %d", s, pack, joint.Totals[s])
		}
	}
	for _, a := range j.aims {
		var totals, c []int
		for _, s := range a.Slots {
			totals, c = append(totals, joint.Totals[s]), append(c, counts[s])
		}
		chance *= a.Chance(totals, c)
		off += a.Off(totals)
	}
	if count != joint.Pieces || found != joint.Found || math.Abs(chance-joint.Chance) > 1e-12 || math.Abs(off-joint.Off) > 1e-6 {
		t.Errorf("%+v: counted %d pieces, %d found, chance %v, off %v", joint, count, found, chance, off)
	}
}

// A thousand small drawers against all ways there are.
func TestChooseJointAgainstAllWays(t *testing.T) {
	const rounds, k = 1000, 4
	var r lcg = 11
	hopeful, ties := 0, 0
	for round := range rounds {
		j := small(&r)
		want := allWays(j)
		got, proven := j.choose(k)
		hope := len(want) > 0 && want[0].Chance > 1e-6
		if !proven && hope || len(got) > len(want) || len(got) == 0 && len(want) > 0 {
			t.Fatalf("round %d: %d answers of %d, proven: %v", round, len(got), len(want), proven)
		}
		if len(want) == 0 {
			continue
		}
		if hope {
			hopeful++
		}
		for i, g := range got {
			j.check(t, g)
			w := want[i]
			if !hope {
				if proven && cmpOff(g.Off, w.Off) != 0 {
					t.Errorf("round %d, answer %d without a chance: off by %v, not %v", round, i, g.Off, w.Off)
				}
				continue
			}
			if w.Chance < want[0].Chance-2*stack.NearTie { // no near-tie of the best: only the chance counts
				if math.Abs(g.Chance-w.Chance) > 1e-12 {
					t.Errorf("round %d, answer %d has a chance of %v, not %v", round, i, g.Chance, w.Chance)
				}
				continue
			}
			if g.Pieces != w.Pieces || g.Found != w.Found || cmpOff(g.Off, w.Off) != 0 || math.Abs(g.Chance-w.Chance) > 1e-12 {
				t.Errorf("round %d, answer %d:\n got %+v\nwant %+v\n%+v", round, i, g, w, j.slots)
			}
			if i > 0 && w.Chance > want[0].Chance-stack.NearTie {
				ties++
			}
		}
		if t.Failed() {
			return
		}
	}
	if hopeful < rounds/2 || ties < 50 {
		t.Errorf("%d rounds had a chance and %d answers were near-ties; the check says little", hopeful, ties)
	}
}

// A bigger drawer never lowers the best chance. The first answer may be half a
// point under it.
func TestBiggerDrawerIsNoWorse(t *testing.T) {
	var r lcg = 5
	for range 150 {
		j := small(&r)
		before := 0.0
		for _, g := range allWays(j) {
			before = max(before, g.Chance)
		}
		j.drawer = append(j.drawer, pieces(100+r.below(600))...)
		j.drawer[len(j.drawer)-1].ID = "new"
		for s := range j.slots {
			j.slots[s].Pieces = append(j.slots[s].Pieces, len(j.drawer)-1)
		}
		after := 0.0
		list, _ := j.choose(1)
		for _, g := range list {
			after = max(after, g.Chance)
		}
		if after < before-stack.NearTie-1e-6 {
			t.Errorf("one piece more lowers the chance from %v to %v", before, after)
		}
	}
}

// gears is a job of two seats that set a sum and a difference together.
func gears(slots [2]int, mid1, mid2 float64) stack.Aim {
	return aim(slots[:],
		setting{[]float64{1, 1}, mid1 + mid2, 20, 8, 1.5},
		setting{[]float64{.35, -.35}, .35 * (mid1 - mid2), 25, 7, 1.5})
}

func seats(n, most int, wants ...int) []stack.Slot {
	var slots []stack.Slot
	for s, w := range wants {
		slots = append(slots, stack.Slot{Name: fmt.Sprint("seat ", s+1), Pieces: upTo(n), Min: 1, Max: most, Want: um(w), Found: []int{2 * s, 2*s + 1}})
	}
	return slots
}

func drawerOf(n int) []stack.Piece {
	var r lcg = 21
	var µm []int
	for range n {
		µm = append(µm, 100+5*r.below(200)+r.below(5))
	}
	return pieces(µm...)
}

// three settings over four seats, 40 pieces.
func oneJob() job {
	single := func(s int, mid float64) stack.Aim {
		return aim([]int{s}, setting{[]float64{1}, mid, 25, 7, 1.5})
	}
	return job{drawerOf(40), seats(40, 5, 1204, 1351, 890, 2110),
		[]stack.Aim{gears([2]int{0, 1}, 1204, 1351), single(2, 890), single(3, 2110)}}
}

// two jobs of two seats each share a drawer of 300 pieces.
func twoJobs() job {
	return job{drawerOf(300), seats(300, 5, 1204, 1351, 1007, 1893),
		[]stack.Aim{gears([2]int{0, 1}, 1204, 1351), gears([2]int{2, 3}, 1007, 1893)}}
}

func TestChooseJointIsQuick(t *testing.T) {
	for _, tt := range []struct {
		name string
		job
		most time.Duration // twice and more of what is promised, for a busy machine
	}{{"40 pieces", oneJob(), 150 * time.Millisecond}, {"300 pieces", twoJobs(), 4 * time.Second}} {
		best := time.Hour
		for range 3 {
			start := time.Now()
			list, proven := tt.choose(5)
			best = min(best, time.Since(start))
			if len(list) != 5 || !proven {
				t.Errorf("%s: %d answers, proven: %v", tt.name, len(list), proven)
			}
			for _, g := range list {
				tt.check(t, g)
			}
		}
		if best > tt.most {
			t.Errorf("%s took %v", tt.name, best)
		}
	}
}

func BenchmarkChooseJoint40(b *testing.B) {
	j := oneJob()
	for b.Loop() {
		j.choose(5)
	}
}

func BenchmarkChooseJoint300(b *testing.B) {
	j := twoJobs()
	for b.Loop() {
		j.choose(5)
	}
}

// A summit beside the wanted middle is found as well: the chance is not taken to
// have one summit only.
func TestChooseJointFindsTheOtherSummit(t *testing.T) {
	two := stack.Aim{
		Slots: []int{0},
		Chance: func(totals, _ []int) float64 {
			x := float64(totals[0])
			return .3*uncert.Conformity(x, 5, 480, 520) + .9*uncert.Conformity(x, 5, 580, 620)
		},
		Off: func(totals []int) float64 { return math.Abs(float64(totals[0] - 500)) },
	}
	j := job{pieces(200, 300, 290, 310), []stack.Slot{{Pieces: upTo(4), Max: 2, Want: um(500)}}, []stack.Aim{two}}
	list, proven := j.choose(9)
	if !proven || len(list) == 0 || list[0].Totals[0] != 600 || list[len(list)-1].Totals[0] == 600 {
		t.Errorf("got %+v, proven: %v; want 600 first, and 500 further on", list, proven)
	}
}

// A ground piece comes out at the middle and takes nothing from the drawer.
func TestChooseJointGrinds(t *testing.T) {
	j := job{pieces(300, 310, 320), []stack.Slot{{Max: 1, Want: um(1234), Grind: true}, {Pieces: upTo(3), Min: 1, Max: 2, Want: um(617)}},
		[]stack.Aim{gears([2]int{0, 1}, 1234, 617)}}
	list, proven := j.choose(1)
	if len(list) != 1 || !proven {
		t.Fatalf("got %+v, proven: %v", list, proven)
	}
	j.check(t, list[0])
	if g := list[0]; len(g.Packs[0].Pieces) != 0 || g.Pieces != 3 || g.Totals[0]+g.Totals[1] < 1851-9 || g.Totals[0]+g.Totals[1] > 1851+9 {
		t.Errorf("got %+v", g)
	}
}

// The pack as found stays where another would be as good, even if its twin lies
// nearer in the drawer.
func TestChooseJointKeepsThePackAsFound(t *testing.T) {
	j := job{pieces(500, 500, 500), []stack.Slot{{Pieces: upTo(3), Max: 1, Want: um(500), Found: []int{2}}, {Pieces: upTo(3), Max: 1, Want: um(500), Found: []int{0}}},
		[]stack.Aim{gears([2]int{0, 1}, 500, 500)}}
	list, _ := j.choose(3)
	if len(list) == 0 || list[0].Found != 2 || list[0].Packs[0].Pieces[0].ID != "p3" || list[0].Packs[1].Pieces[0].ID != "p1" {
		t.Errorf("got %+v", list)
	}
}

// Slots that cannot be filled, or do not each belong to one aim, have no answer.
func TestChooseJointSaysNothingOfNonsense(t *testing.T) {
	a := gears([2]int{0, 1}, 500, 500)
	slots := seats(2, 2, 500, 500)
	for _, j := range []job{
		{pieces(500, 500), slots, nil},
		{pieces(500, 500), slots, []stack.Aim{a, a}},
		{pieces(500, 500), slots[:1], []stack.Aim{a}},
		{pieces(500, 500), nil, nil},
		{nil, slots, []stack.Aim{a}},
		{pieces(500), slots, []stack.Aim{a}}, // one piece for two seats
	} {
		if list, _ := j.choose(3); len(list) != 0 {
			t.Errorf("%+v gives %+v", j, list)
		}
	}
}
