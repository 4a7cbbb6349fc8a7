package setup_test

import (
	"testing"

	"endfloat/internal/job"
)

// Two drags with different spacers teach how drag grows with preload: 0.40 N·m
// more for 0.02 of a shorter spacer is 0.2 for each hundredth.
func TestDragLearnt(t *testing.T) {
	drag := func(v float64) job.Read {
		return job.Read{What: "pinion drag", Values: []string{"x"}, SI: []float64{v}, Unit: "N·m", U: 0.02, With: "hanging scale"}
	}
	bs := []job.Body{shim("a", 12.40), shim("b", 12.30), shim("c", 12.28), fit("P33", "a"), read("taper play", "dial indicator", 5, 0.07, 0.07, 0.07),
		fit("P33", "b"), drag(0.5)}
	if r := setting(t, state(t, "A", bs...), "pinion preload"); r.Stiff != nil {
		t.Fatalf("one drag teaches no slope: %+v", r.Stiff)
	}
	bs = append(bs, fit("P33", "c"), drag(0.9))
	r := setting(t, state(t, "A", bs...), "pinion preload")
	if r.Stiff == nil {
		t.Fatal("two drags with different spacers teach nothing")
	}
	near(t, "N·m for a hundredth", r.Stiff.Slope*1e-5, 0.2, 1e-6)
	near(t, "its doubt", r.Stiff.SlopeU*1e-5, 0.02*1.41421356/2, 1e-6)
	near(t, "at the target of 0.05 mm", r.Stiff.At, 0.9, 1e-6)
}
