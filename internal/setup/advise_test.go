package setup_test

import (
	"slices"
	"strings"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// What Advise promises of a reading is what comes of it when it reads as
// foretold: the same three readings of the case again.
func TestAdviceKeepsItsPromise(t *testing.T) {
	body := "measure: {width: {}, length: {}}\nsettings:\n  side preload: {chain: [+L, +R, -width, +length], limit: [0.10, 0.14], from: book 1}\n"
	thin := func(tag string, thick float64) job.Came {
		return job.Came{Piece: job.Piece{Tag: tag, SI: thick * mm, U: 2 * µm}, From: "stores", Place: "bench"}
	}
	x := read("width", "inside micrometer", 12, 170.62, 170.62, 170.62)
	bs := []job.Body{thin("l", 2.19), thin("r", 2.198), fit("L", "l"), fit("R", "r"), x, read("length", "outside micrometer", 4, 166.34, 166.34, 166.34)}
	s := small(t, body, bs...)
	tried := 0
	for _, a := range setup.Advise(s, "side preload", nil) {
		if a.Read != "width" || a.With != x.With || !strings.Contains(a.Do, "more") {
			continue
		}
		tried++
		after := setting(t, small(t, body, append(slices.Clone(bs), job.Body(x))...), "side preload")
		before := setting(t, s, "side preload")
		near(t, "chance after the reading", after.Chance, a.Chance, 1e-6)
		if !(a.Gain > 0) || !(after.U < before.U) {
			t.Errorf("gain %.4f, doubt %.2f µm before and %.2f after", a.Gain, before.U/µm, after.U/µm)
		}
	}
	if tried != 1 {
		t.Errorf("the case width is advised %d times", tried)
	}
}

// The same of a setting that is read as it stands, with nothing changed.
func TestAdviceToReadAgain(t *testing.T) {
	body := "settings:\n  backlash: {by: dial, places: 2, raised by: R, lowered by: L, factor: 0.70 ± 0.07, refit: 0.004, limit: [0.13, 0.18], from: book 1}\n"
	lash := read("backlash", "dial", 25, 0.155, 0.155)
	bs := []job.Body{shim("l", 2), shim("r", 2.2), fit("L", "l"), fit("R", "r"), lash}
	s := small(t, body, bs...)
	as := setup.Advise(s, "backlash", nil)
	i := slices.IndexFunc(as, func(a setup.Advice) bool { return a.Read == "backlash" })
	if i < 0 {
		t.Fatalf("to read again is not advised: %+v", as)
	}
	after := setting(t, small(t, body, append(slices.Clone(bs), job.Body(lash))...), "backlash")
	near(t, "chance after the reading", after.Chance, as[i].Chance, 1e-6)
}
