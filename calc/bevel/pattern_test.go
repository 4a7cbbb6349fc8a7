package bevel_test

import (
	"strings"
	"testing"

	"endfloat/calc/bevel"
)

func both(h bevel.Height, e bevel.End) [2]bevel.Mark {
	return [2]bevel.Mark{{Height: h, End: e}, {Height: h, End: e}}
}

// The rows of the manuals' tables. The words of the move are ours.
func TestPublishedPatterns(t *testing.T) {
	crossed := func(h bevel.Height, drive, coast bevel.End) [2]bevel.Mark {
		return [2]bevel.Mark{{Height: h, End: drive}, {Height: h, End: coast}}
	}
	tests := []struct {
		name, source string
		marks        [2]bevel.Mark
		gear, way    string // what moves, and how; "" for no move
	}{
		{"toe on both flanks", "TM 10-3930-638-24&P p. 4-246 cond. 2; TM 10-3930-671-24 fig. 2", both(bevel.Mid, bevel.Toe), "crown wheel", "away"},
		{"heel on both flanks", "TM 10-3930-638-24&P p. 4-246 cond. 3; TM 10-3930-671-24 fig. 3", both(bevel.Mid, bevel.Heel), "crown wheel", "toward"},
		{"low on the wheel", "TM 10-3930-638-24&P p. 4-246 cond. 4; TM 10-3930-671-24 fig. 4", both(bevel.Low, bevel.Centre), "pinion", "away"},
		{"high on the wheel", "TM 10-3930-638-24&P p. 4-246 cond. 5; TM 10-3930-671-24 fig. 5", both(bevel.High, bevel.Centre), "pinion", "toward"},
		{"heel-high on drive, toe-high on coast", "TM 9-2320-266-34", crossed(bevel.High, bevel.Heel, bevel.Toe), "pinion", "toward"},
		{"toe-low on drive, heel-low on coast", "TM 9-2320-266-34", crossed(bevel.Low, bevel.Toe, bevel.Heel), "pinion", "away"},
		{"mid height, centre", "TM 10-3930-660-34", both(bevel.Mid, bevel.Centre), "", ""},
	}
	for _, tt := range tests {
		a, err := bevel.Move(tt.marks[0], tt.marks[1])
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		if tt.gear == "" {
			if a.Move != "" || a.Why == "" {
				t.Errorf("%s (%s): got move %q because %q, want none", tt.name, tt.source, a.Move, a.Why)
			}
			continue
		}
		if !strings.HasPrefix(a.Move, "move the "+tt.gear+" "+tt.way) || a.Restore == "" {
			t.Errorf("%s (%s): got %q, want the %s %s", tt.name, tt.source, a.Move, tt.gear, tt.way)
		}
	}
}

// TM 10-3930-643-34 p. 16-30: a cross bearing is a reason to reject the set.
func TestCrossBearing(t *testing.T) {
	a, err := bevel.Move(bevel.Mark{Height: bevel.High, End: bevel.Centre}, bevel.Mark{Height: bevel.Low, End: bevel.Centre})
	if err != nil || a.Move != "" || !strings.Contains(a.Why, "cross bearing") {
		t.Errorf("got %+v, %v, want no move and a cross bearing", a, err)
	}
}

// Mirror: exchanging high with low, and toe with heel, turns every move round.
// Only a toe bearing on one flank, which is right for a hand-rolled pattern, has
// no mirror.
func TestPatternsMirror(t *testing.T) {
	heights := []bevel.Height{bevel.High, bevel.Mid, bevel.Low}
	ends := []bevel.End{bevel.Toe, bevel.Centre, bevel.Heel}
	mirror := func(m bevel.Mark) bevel.Mark {
		h := map[bevel.Height]bevel.Height{bevel.High: bevel.Low, bevel.Low: bevel.High, bevel.Mid: bevel.Mid}
		e := map[bevel.End]bevel.End{bevel.Toe: bevel.Heel, bevel.Heel: bevel.Toe, bevel.Centre: bevel.Centre}
		return bevel.Mark{Height: h[m.Height], End: e[m.End]}
	}
	turn := strings.NewReplacer("toward the axis of the crown wheel", "away from the axis of the crown wheel",
		"away from the axis of the crown wheel", "toward the axis of the crown wheel",
		"toward the pinion", "away from the pinion", "away from the pinion", "toward the pinion")
	for _, h1 := range heights {
		for _, h2 := range heights {
			for _, e1 := range ends {
				for _, e2 := range ends {
					d, c := bevel.Mark{Height: h1, End: e1}, bevel.Mark{Height: h2, End: e2}
					a, err := bevel.Move(d, c)
					b, err2 := bevel.Move(mirror(d), mirror(c))
					if err != nil || err2 != nil {
						t.Fatal(err, err2)
					}
					if a.Why == "" || a.Source == "" {
						t.Errorf("%v %v: no reason or source", d, c)
					}
					lean := h1 == bevel.Mid && h2 == bevel.Mid && e1 != e2 && (e1 == bevel.Centre || e2 == bevel.Centre)
					if !lean && turn.Replace(a.Move) != b.Move {
						t.Errorf("%v %v: %q, its mirror %q", d, c, a.Move, b.Move)
					}
				}
			}
		}
	}
}

func TestPatternRefusesUnknownWords(t *testing.T) {
	if _, err := bevel.Move(bevel.Mark{}, bevel.Mark{Height: bevel.Mid, End: bevel.Toe}); err == nil {
		t.Error("a pattern without words was accepted")
	}
}
