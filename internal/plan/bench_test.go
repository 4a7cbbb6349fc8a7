package plan_test

import (
	"math/rand/v2"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// halfBuilt is a job of 130 positions, all taken off and half of them on again.
func halfBuilt(b *testing.B) *job.State {
	told := begin(b, "A")
	r := rand.New(rand.NewPCG(1, 1))
	for _, p := range told.box.All() {
		told.add(off(p.ID)...)
	}
	for range 65 {
		v := told.view()
		var now []plan.Step
		for _, s := range v.Build {
			if s.Now() && (s.Do == "fit" || s.Do == "heat" || s.Do == "torque") {
				now = append(now, s)
			}
		}
		told.do(v, now[r.IntN(len(now))])
	}
	return job.Replay("linnet", told.box, told.es)
}

// The next steps of a job of 130 positions, with all findings: under 2 ms.
func BenchmarkNext(b *testing.B) {
	s := halfBuilt(b)
	for b.Loop() {
		if len(plan.Of(s).Next(3)) == 0 {
			b.Fatal("nothing is next")
		}
	}
}

// What must come apart to reach a position: under 1 ms.
func BenchmarkReach(b *testing.B) {
	v := plan.Of(halfBuilt(b))
	all := v.Box.All()
	for i := 0; b.Loop(); i++ {
		v.Reach(all[i%len(all)].ID)
	}
}

// A day of eight hours.
func BenchmarkToday(b *testing.B) {
	v := plan.Of(halfBuilt(b))
	for b.Loop() {
		v.Today(plan.Ask{Minutes: 480, People: 2, Oven: true})
	}
}
