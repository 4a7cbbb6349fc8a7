package study_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"endfloat/internal/study"
)

func dice(i int) study.Dice { return rand.New(rand.NewPCG(11, uint64(i))) }

// The claim of docs/study.md in short, with a seed of its own: fewer wrong
// acceptances than by hand, both drawers taken together, for at most half a trial
// more. That it takes no more trials is not claimed, as it is not so.
func TestClaim(t *testing.T) {
	ways := study.Run(study.Plan{N: 50, Sets: study.MostSets, Ways: 2}, dice)
	both := map[string]*study.Count{}
	for _, w := range ways {
		c := both[w.Name]
		if c == nil {
			c = &study.Count{}
			both[w.Name] = c
		}
		c.N += w.N
		c.Accepted += w.Accepted
		c.Wrong += w.Wrong
		c.Readings += w.Readings
		c.Trials = append(c.Trials, w.Trials...)
	}
	hand, with, at70 := both["by hand"], both["with endfloat"], both["with endfloat, at chance 0.70"]
	if hand.N != 100 || with.N != 100 || at70.N != 100 || with.Accepted < 95 {
		t.Fatalf("%d, %d and %d set-ups, %d accepted with endfloat", hand.N, with.N, at70.N, with.Accepted)
	}
	ph, _ := hand.WrongShare()
	pw, _ := with.WrongShare()
	p70, _ := at70.WrongShare()
	mh, _ := hand.MeanTrials()
	mw, _ := with.MeanTrials()
	m70, _ := at70.MeanTrials()
	t.Logf("wrong %.3f by hand, %.3f with endfloat, %.3f at chance 0.70; trials %.2f, %.2f, %.2f", ph, pw, p70, mh, mw, m70)
	if !(pw < ph) || mw > mh+0.5 {
		t.Errorf("wrongly accepted %.3f by hand and %.3f with endfloat, trials %.2f and %.2f", ph, pw, mh, mw)
	}
}

// The same dice give the same figures, however many set-ups go at a time.
func TestSameAgain(t *testing.T) {
	p := study.Plan{N: 4, Sets: 2, Short: true, Ways: 1}
	one := study.Run(p, dice)
	p.Ways = 2
	if two := study.Run(p, dice); !reflect.DeepEqual(one, two) {
		t.Errorf("%v\nthen %v", one, two)
	}
	d := study.Chart(one, false, true)
	if s := study.SVG(d); strings.Contains(s, "NaN") || !strings.Contains(s, "prefers-color-scheme") {
		t.Error("the chart has no numbers or no dress")
	}
}

// What docs/study.md shows is there.
func TestPage(t *testing.T) {
	page, err := os.ReadFile("../../docs/study.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"study-trials-05.svg", "study-trials-025.svg", "study-readings-05.svg", "study-readings-025.svg"} {
		if _, err := os.Stat(filepath.Join("../../docs", name)); err != nil || !strings.Contains(string(page), name) {
			t.Errorf("%s: %v, on the page %v", name, err, strings.Contains(string(page), name))
		}
	}
}
