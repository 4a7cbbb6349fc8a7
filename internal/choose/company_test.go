package choose_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"endfloat/calc/unit"
	"endfloat/internal/choose"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// kinds is a gearbox with every kind of rule, hard and soft, and a feature that
// hangs on another position's variant.
const kinds = `endfloat: 1
gearbox: Kinds
series: {A: {}, B: {}}
features: {dogs: [square, tapered], hand: [left, right]}
carriers:
  main:
    ends: [front, rear]
    order:
      M1: {name: gear, variants: {square: {dogs: square, teeth: 20}, tapered: {dogs: tapered, teeth: 21}}}
      M2: {name: sleeve, variants: {square: {dogs: square}, tapered: {dogs: tapered}}}
      M3: {name: hub, variants: {narrow: {width: 22.00}, wide: {width: 25.00}}}
      M4: {name: washer, variants: {thick: {width: 5.00}, thin: {width: 2.00}}}
      M5: {name: seal, width: 7.00, variants: {left: {hand: left}, right: {hand: right, width: 7.05}}}
      M6: {name: ring, width: 7.00, dogs: {by: M3, narrow: square, wide: tapered}, variants: {plain: {width: 7.00}, grooved: {width: 7.05}}}
      M7: {name: wheel, teeth: 39, variants: {a: {teeth: 39}, b: {teeth: 38}}}
rules:
  - {if: {M3: wide}, needs: {M4: thin, M1: tapered}}
  - {if: {M3: narrow}, needs: {M4: thick, M1: square, M2: square}, at least: 2}
  - {if: {series: B}, needs: {M2: tapered}}
  - {if: {M3: wide, M4: thin}, never: {M2: square, M6: grooved}}
  - {if: {series: A, M4: thick}, never: {M1: tapered}}
  - {same: dogs, of: [M1, M2]}
  - {if: {M3: wide}, same: dogs, of: [M1, M2, M6]}
  - {same: dogs, of: [M2, M6]}
  - {equal: width, of: [M5, M6]}
  - {if: {M4: thick}, equal: width, of: [M5, M6]}
  - {pair: [M1, M7], by: set number}
  - {renew together: [M1, M7]}
  - {handed: left, of: [M5]}
  - {if: {M4: thin}, handed: right, of: [M5]}
  - {range: width, of: [M3], limit: {A: [21, 23], B: [24, 26]}, from: sheet 1}
  - {if: {M1: square}, range: width, of: [M5, M6], limit: [6.98, 7.02], from: sheet 1}
`

type lcg uint64

func (r *lcg) below(n int) int {
	*r = *r*6364136223846793005 + 1442695040888963407
	return int(uint64(*r) >> 33 % uint64(n))
}

// heap is a unit with pieces of every variant, mark and width on the shelf.
func heap(t *testing.T, r *lcg, rules string) choose.Input {
	t.Helper()
	b, err := gearbox.Read("kinds.yaml", []byte(rules))
	if err != nil {
		t.Fatal(err)
	}
	s := book(t, "Linnet", "L", []string{"A", "B"}[r.below(2)])
	s = job.Replay("linnet", b, s.Entries)
	in := choose.Input{Units: []choose.Job{{State: s}}}
	for _, p := range b.All() {
		for i := range 3 {
			pc := job.Piece{Tag: fmt.Sprintf("S%d-%s", i, p.ID), Position: p.ID, Marks: map[string]string{}}
			if v := r.below(len(p.Variants) + 1); v < len(p.Variants) {
				pc.Variant = p.Variants[v].Name
			}
			if r.below(2) == 0 {
				pc.Marks["set number"] = fmt.Sprint(r.below(2))
			}
			in.Stock = append(in.Stock, choose.Held{Piece: pc, Price: choose.Money(r.below(500))})
		}
	}
	return in
}

// What a rule forbids in the problem is what it forbids when the gearbox file
// is judged, for every kind of rule and any parts. A value that hangs on
// another position is the one thing a table cannot say: there only the answer
// of Solve is held against Judge.
func TestRulesAsJudged(t *testing.T) {
	var r lcg = 3
	broken, kept := map[int]int{}, map[int]int{}
	for range 60 {
		in := heap(t, &r, kinds)
		m, err := choose.From(in)
		if err != nil {
			t.Fatal(err)
		}
		b := in.Units[0].State.Box
		for range 40 {
			choice := make([]int, len(m.Slots))
			for s := range choice {
				choice[s] = r.below(len(m.Slots[s].Options))
			}
			parts := m.Parts(choice, 0)
			for i, rule := range b.Rules {
				breach, want := b.Judge(rule, parts)
				got := groupBroken(m, fmt.Sprintf("rule %d of Linnet", i+1), choice)
				if want {
					broken[i]++
				} else {
					kept[i]++
				}
				if got != want && !strings.Contains(b.SayRule(rule), "M6") || got != want && rule.Same == "" {
					t.Fatalf("rule %d (%s): the problem says broken %v, judged %v %q of %+v", i+1, b.SayRule(rule), got, want, breach.Says, parts.At)
				}
			}
		}
		a, err := m.Solve()
		if err != nil {
			t.Fatal(err)
		}
		for _, rule := range b.Rules {
			if a.Choice == nil {
				break
			}
			if breach, is := b.Judge(rule, m.Parts(a.Choice, 0)); is {
				t.Fatalf("the answer breaks a rule: %s", breach.Says)
			}
		}
	}
	for i := range 16 {
		if broken[i] < 20 || kept[i] < 20 {
			t.Errorf("rule %d was broken %d times and kept %d: the check says little", i+1, broken[i], kept[i])
		}
	}
}

func groupBroken(m *choose.Model, group string, choice []int) bool {
	q := choose.Problem{Units: m.Units, Slots: m.Slots, Lots: m.Lots}
	for _, r := range m.Rules {
		if r.Group == group {
			q.Rules = append(q.Rules, r)
		}
	}
	for l := range q.Lots {
		q.Lots[l].Count = 1 << 20
	}
	return len(choose.Evaluate(q, choice).Broken) > 0
}

// The best answer is the best of all, every rule judged by the gearbox file.
func TestBestAsJudged(t *testing.T) {
	var r lcg = 21
	found := 0
	for range 25 {
		in := heap(t, &r, kinds)
		m, err := choose.From(in)
		if err != nil {
			t.Fatal(err)
		}
		b := in.Units[0].State.Box
		best := choose.Money(math.MaxInt64)
		choice := make([]int, len(m.Slots))
		plain := choose.Problem{Units: m.Units, Slots: m.Slots, Lots: m.Lots}
		for n := 0; n < 1; {
			parts, sound := m.Parts(choice, 0), true
			for _, rule := range b.Rules {
				if _, is := b.Judge(rule, parts); is {
					sound = false
					break
				}
			}
			if sound {
				best = min(best, choose.Evaluate(plain, choice).Cost.Sum())
			}
			for s := range len(b.All()) { // what comes off costs nothing here
				if choice[s]++; choice[s] < len(m.Slots[s].Options) {
					break
				}
				if choice[s] = 0; s == len(b.All())-1 {
					n++
				}
			}
		}
		a, err := m.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if (a.Choice != nil) != (best < math.MaxInt64) || a.Choice != nil && a.Cost.Sum() != best {
			t.Errorf("cost %v (found: %v), best of all %v", a.Cost, a.Choice != nil, best)
		}
		if a.Choice != nil {
			found++
		}
	}
	if found < 5 {
		t.Errorf("only %d of 25 heaps have an answer", found)
	}
}

// Counts that fit a centre distance, and a wheel with a tooth too many. The
// textbook distance of 21 and 38 teeth of module 2.25 at 22.80° is
// 2.25·59/(2·cos 22.80°) = 72.00 mm.
func TestTeeth(t *testing.T) {
	const mm = unit.Millimetre
	helix := unit.Angle(22.80 * math.Pi / 180)
	for _, tt := range []struct {
		driver, driven int
		sound          bool
	}{{21, 38, true}, {20, 39, true}, {13, 46, true}, {26, 33, true}, {32, 27, true}, {21, 39, false}, {20, 38, false}, {22, 33, false}} {
		s, says := choose.Teeth(tt.driver, tt.driven, 2.25*mm, helix, 72*mm)
		if (says == "") != tt.sound || math.Abs(s-59) > 0.01 {
			t.Errorf("%d/%d: sum %.2f, %q", tt.driver, tt.driven, s, says)
		}
		if !tt.sound && (!strings.Contains(says, "it must be 59") || !strings.Contains(says, "72.00 mm")) {
			t.Errorf("%d/%d: %q", tt.driver, tt.driven, says)
		}
	}
	if _, says := choose.Teeth(21, 39, 2.25*mm, helix, 72*mm); !strings.Contains(says, "73.22 mm apart") {
		t.Error(says)
	}
}
