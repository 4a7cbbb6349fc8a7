package shop_test

import (
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
)

// A try keeps the depth and the backlash it was rolled at and the move it asks
// for; the best of several is found again. What no flank shows is refused.
func TestPatternNotebook(t *testing.T) {
	w := demonstration(t, tell(false))
	c := func(h, e string) job.Contact { return job.Contact{Height: h, End: e} }
	for _, p := range []job.Pattern{
		{Drive: c("high", "centre"), Coast: c("high", "centre")},
		{Drive: c("mid", "toe"), Coast: c("mid", "centre"), Note: "the one to come back to"},
		{Drive: c("low", "heel"), Coast: c("low", "heel")},
	} {
		w.record(t, demo.Linnet, p)
	}
	d := w.open(t, demo.Linnet)
	if n := d.BestPattern(); n != 1 || !d.Patterns[n].Is.Good {
		t.Errorf("the best of %+v is number %d", d.Patterns, n)
	}
	for _, p := range d.Patterns {
		if p.Is.Depth == nil || p.Is.Backlash == nil || p.Is.Next == "" {
			t.Errorf("a try without depth, backlash or a next move: %+v", p.Is)
		}
	}
	w.refuses(t, "a flank unknown", demo.Linnet, job.Pattern{Drive: c("mid", "toe")}, "high, mid or low")
}
