package plan_test

import (
	"slices"
	"strings"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// Seeded event 12: the interlock pin is still in the tray when the rear cover
// is asked for.
func TestLidWaitsForPin(t *testing.T) {
	b := begin(t, "A", append(off("C09", "C03", "F13"), job.Decided{Position: "F13", Choice: "reuse"})...)
	v := b.view()
	s := step(v, "fit", "C03")
	if s == nil || s.Now() || !strings.Contains(waits(s), "F13 interlock pin") {
		t.Fatalf("the rear cover waits for %q, want F13 interlock pin", waits(s))
	}
	cover, _ := v.Box.Position("C03")
	if m := v.Missing(cover); len(m) != 1 || m[0].ID != "F13" {
		t.Errorf("missing behind the rear cover: %v", m)
	}
	v = b.add(fit("F13", "L-F13")).view()
	if s := step(v, "fit", "C03"); s == nil || waits(s) != "Interlock is not tested" {
		t.Errorf("with the pin in, the rear cover waits for %q", waits(s))
	}
	b.test(v, plan.Interlock)
	if s := step(b.view(), "fit", "C03"); s == nil || !s.Now() {
		t.Errorf("with the interlock tested, the rear cover waits for %q", waits(s))
	}
}

// A fastening that is torqued and not locked holds every lid that would close
// over it; so does one that is not torqued, or torqued for trial only.
func TestLidWaitsForLock(t *testing.T) {
	b := begin(t, "A", off("C11", "C09", "C03", "F16")...)
	b.add(fit("F16", "L-F16"))
	for _, c := range []struct {
		then job.Body
		says string // "" = no lid waits
	}{
		{job.Noted{Text: "on"}, "not torqued"},
		{job.Torqued{Position: "F16", Method: "wrench", Torque: 24, Trial: true}, "trial only"},
		{job.Torqued{Position: "F16", Method: "wrench", Torque: 24}, "not locked"},
		{job.Locked{Position: "F16", How: "wire", Photos: []string{"photo"}}, ""},
		{job.Locked{Position: "F16", How: "wire"}, "not photographed"},
		{job.Torqued{Position: "F16", Method: "wrench", Torque: 24}, "locked before"},
		{job.Locked{Position: "F16", How: "wire", Photos: []string{"photo"}}, ""},
	} {
		v := b.add(c.then).view()
		holds := find(v, plan.Hold, "F16")
		for _, lid := range []string{"C11", "C03"} {
			s := step(v, "fit", lid)
			switch {
			case s == nil:
				t.Fatalf("no step fits %s", lid)
			case c.says == "" && strings.Contains(waits(s), "F16"):
				t.Errorf("after %s, %s still waits: %s", c.then.Kind(), lid, waits(s))
			case c.says != "" && (!strings.Contains(waits(s), "F16") || !strings.Contains(waits(s), c.says)):
				t.Errorf("after %s, %s waits for %q; want F16 and %q", c.then.Kind(), lid, waits(s), c.says)
			}
		}
		if c.says == "" {
			if len(holds) > 0 {
				t.Errorf("after %s: %s", c.then.Kind(), holds[0].Says)
			}
			continue
		}
		if len(holds) != 1 || holds[0].Mend == "" || !slices.Contains(holds[0].Before, "C11") {
			t.Errorf("after %s the holds are %+v", c.then.Kind(), holds)
		}
	}
}

// A hold passed with a reason no longer holds; the loose end stays to be seen.
func TestPassedHold(t *testing.T) {
	b := begin(t, "A", off("C11", "F16")...)
	v := b.add(fit("F16", "L-F16"), job.Torqued{Position: "F16", Torque: 24}).view()
	hold := find(v, plan.Hold, "F16", "not locked")
	if len(hold) != 1 {
		t.Fatalf("holds %+v", hold)
	}
	v = b.add(job.Allowed{Hold: hold[0].Key, Why: "lid on for transport, comes off again", Witness: "Ivo"}).view()
	if s := step(v, "fit", "C11"); s == nil || !s.Now() {
		t.Errorf("passed, C11 still waits for %q", waits(s))
	}
	if loose := find(v, plan.Loose, "F16", "not locked"); len(loose) != 1 || loose[0].Allowed != "" {
		t.Errorf("loose ends %+v", loose)
	}
}

// A torque far from what is wanted is a loose end; one within its doubt is not.
func TestTorqueOff(t *testing.T) {
	for _, c := range []struct {
		nm, u float64
		off   bool
	}{{24, 0, false}, {25, 0, false}, {22.9, 0, false}, {26, 0, true}, {20, 0, true}, {26, 1.5, false}, {2.4, 0, true}} {
		v := begin(t, "A", append(off("F16"), fit("F16", "L-F16"), job.Torqued{Position: "F16", Torque: c.nm, U: c.u}, job.Locked{Position: "F16", How: "wire"})...).view()
		if got := len(find(v, plan.Loose, "F16", "wanted 24")) == 1; got != c.off {
			t.Errorf("%.1f ± %.1f N·m of 24 is off: %v, want %v", c.nm, c.u, got, c.off)
		}
	}
}

// A note that must be answered before a part goes on holds that part only.
func TestNoteHolds(t *testing.T) {
	v := begin(t, "A", append(off("C11", "C03"), job.Noted{Text: "probe the oil way of the cover", Until: "C03"})...).view()
	if !strings.Contains(waits(step(v, "fit", "C03")), "probe the oil way") || strings.Contains(waits(step(v, "fit", "C11")), "probe") {
		t.Errorf("C03 waits for %q, C11 for %q", waits(step(v, "fit", "C03")), waits(step(v, "fit", "C11")))
	}
}

// A trial piece left in is a loose end until the final one is fitted.
func TestTrialPiece(t *testing.T) {
	b := begin(t, "A", append(off("D20"), job.Fitted{Position: "D20", Tags: []string{"L-D20"}, Trial: true})...)
	if f := find(b.view(), plan.Loose, "trial", "D20"); len(f) != 1 || f[0].Mend == "" {
		t.Errorf("loose ends %+v", f)
	}
	if f := find(b.add(fit("D20", "L-D20")).view(), plan.Loose, "trial", "D20"); len(f) != 0 {
		t.Errorf("loose ends %+v", f)
	}
}

// A job nobody has touched has nothing to do but to be taken apart, and no
// loose ends; one that is handed over has no steps.
func TestUntouched(t *testing.T) {
	for _, series := range []string{"A", "B", ""} {
		b := begin(t, series)
		v := b.view()
		if len(v.Build) > 0 || len(v.Strip) != len(b.box.All()) || v.Arc() != "received" || len(find(v, plan.Hold))+len(find(v, plan.Loose))+len(find(v, plan.Stray)) > 0 {
			t.Errorf("%s: %d to build, %d to strip, %s, %+v", b.box.Name, len(v.Build), len(v.Strip), v.Arc(), v.Findings)
		}
		if v = b.add(job.Closed{Oil: "dry"}).view(); len(v.Build)+len(v.Strip) > 0 || v.Arc() != "handed over" {
			t.Errorf("%s, handed over: %d and %d steps, %s", b.box.Name, len(v.Build), len(v.Strip), v.Arc())
		}
	}
}

// A fastening on trial gets its final torque once the settings under it are
// proven, and not before.
func TestFinalTorqueWaitsForSettings(t *testing.T) {
	b := begin(t, "A", off("P36", "P39", "P38", "P37", "P34", "P33")...)
	b.add(fit("P33", "L-P33"), fit("P34", "L-P34"), fit("P37", "L-P37"), fit("P38", "L-P38"), fit("P39", "L-P39"))
	b.add(job.Torqued{Position: "P39", Method: "wrench", Torque: 150, Trial: true})
	s := step(b.view(), "torque", "P39")
	if s == nil || s.Now() || !strings.Contains(waits(s), "pinion preload") {
		t.Fatalf("with the preload never read, the final torque waits for %q", waits(s))
	}
	b.add(job.Read{What: "taper play", Values: []string{"-0.055"}, SI: []float64{-0.055e-3}, Unit: "mm", U: 1e-6})
	v := b.view()
	if r, _ := v.Setting("pinion preload"); !r.Proven {
		t.Fatalf("pinion preload: %s", r.Why)
	}
	s = step(v, "torque", "P39")
	if s == nil || strings.Contains(waits(s), "pinion preload") {
		t.Errorf("with the preload proven, the final torque waits for %q", waits(s))
	}
}
