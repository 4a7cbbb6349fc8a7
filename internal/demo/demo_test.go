package demo_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/setup"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

func load(t testing.TB, finished bool) *shop.Shop {
	t.Helper()
	sh := shop.New(memory.New(), func() time.Time { return time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC) })
	if err := demo.Load(t.Context(), sh, finished); err != nil {
		t.Fatal(err)
	}
	return sh
}

func desk(t testing.TB, sh *shop.Shop, book string) *shop.Desk {
	t.Helper()
	d, err := sh.Open(t.Context(), book)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func closeTo(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s = %.6g, want %.6g within %.2g", what, got, want, tol)
	}
}

const mm = 1e-3

// The scenario's own figures, through the book and the gearbox file.
func TestPartWay(t *testing.T) {
	sh := load(t, false)
	d := desk(t, sh, demo.Linnet)
	for _, s := range d.Stray {
		t.Error(s)
	}

	m, _ := d.Box.Measure("primary float as found")
	j := setup.Judge(d.State, m, d.ReadingsOf(m.Name)[0]) // L3
	closeTo(t, "L3 float as found", j.Mean.Value, 0.263*mm, 0.0005*mm)
	if j.Verdict != "out" {
		t.Errorf("L3 verdict %q, want out", j.Verdict)
	}

	r, _ := d.Setting("pinion preload") // L16
	closeTo(t, "L16 preload with 12.28", r.Value, 0.05*mm, 0.0005*mm)
	if !r.Proven {
		t.Errorf("pinion preload is not proven: %s", r.Why)
	}

	r, _ = d.Setting("pinion depth") // L14, L15
	closeTo(t, "L15 depth", r.Value, 64.06*mm, 0.0005*mm)
	closeTo(t, "target", r.Target, 64.06*mm, 1e-9)
	if !r.Proven {
		t.Errorf("pinion depth is not proven: %s %v", r.Why, r.Working)
	}

	r, _ = d.Setting("side preload") // L20
	closeTo(t, "L20 total wanted", r.Wants[0].T+r.Wants[1].T, 4.40*mm, 0.0025*mm)
	closeTo(t, "side preload now", r.Value, (2.402+2.001-4.282)*mm, 0.0025*mm)

	r, _ = d.Setting("backlash") // L21, L22
	closeTo(t, "L22 mean", r.Value, 0.19*mm, 0.0005*mm)
	closeTo(t, "learned factor", r.Factor, 0.60, 0.03)
	if r.Verdict != "out" || !r.Learned {
		t.Errorf("L22: verdict %q, learned %v; want out, true", r.Verdict, r.Learned)
	}
	if len(d.Propose("backlash")) == 0 {
		t.Error("no packs are proposed for the backlash")
	}
	for _, p := range d.Propose("backlash") {
		t.Log(p.Totals, p.Packs, p.Says, p.Chance)
	}
	for _, f := range d.Findings {
		t.Log(f.Kind, f.Says)
	}
	t.Log(d.Arc(), d.Next(3))
}

func TestFinished(t *testing.T) {
	sh := load(t, true)
	d := desk(t, sh, demo.Linnet)
	if d.Closed == nil {
		t.Fatal("not handed over")
	}
	r, _ := d.Setting("primary float") // L11, L13
	closeTo(t, "L13 float", r.Value, 0.161*mm, 0.0006*mm)
	if !r.Proven {
		t.Errorf("primary float is not proven: %s", r.Why)
	}
	r, _ = d.Setting("backlash") // L23
	closeTo(t, "L23, with what the two trials before foretell", r.Value, 0.1575*mm, 0.0015*mm)
	rs := d.ReadingsOf("backlash")
	m, _ := d.Box.Measure("backlash")
	j := setup.Judge(d.State, m, rs[len(rs)-1])
	closeTo(t, "L23 mean", j.Mean.Value, 0.1575*mm, 1e-9)
	closeTo(t, "L23 least", j.Mean.Min, 0.15*mm, 1e-6*mm)
	closeTo(t, "L23 most", j.Mean.Max, 0.16*mm, 1e-6*mm)
	if r.Low < 0.13*mm || r.High > 0.18*mm || r.High-r.Low > 0.012*mm {
		t.Errorf("L23 around the turn: %.4g to %.4g mm", r.Low/mm, r.High/mm)
	}
	if !r.Proven {
		t.Errorf("backlash is not proven: %s", r.Why)
	}
	closeTo(t, "P39 torque", d.Spots["P39"].Torqued.Is.Torque, 150, 0.5)
	for _, f := range d.Findings {
		if f.Kind == "hold" || f.Kind == "loose end" {
			t.Errorf("open at hand-over: %s", f.Says)
		}
	}
}

// back is the job as it was right after the nth reading of something.
func back(t *testing.T, d *shop.Desk, what string, n int) *job.State {
	t.Helper()
	rs := d.ReadingsOf(what)
	if len(rs) < n {
		t.Fatalf("%d readings of %s, want %d", len(rs), what, n)
	}
	return job.Replay(d.Book, d.Box, d.Entries[:rs[n-1].Seq])
}

// What the scenario says at each reading, asked of the book as it then was.
func TestAsItWent(t *testing.T) {
	d := desk(t, load(t, true), demo.Linnet)
	wants := func(s *job.State, setting string) setup.Result {
		t.Helper()
		r, ok := setup.One(s, setting)
		if !ok || !r.Known || len(r.Wants) == 0 {
			t.Fatalf("%s is not known: %v", setting, r.Missing)
		}
		return r
	}

	r := wants(back(t, d, "bearing stand-up", 1), "primary float") // L11, L12: old bearing
	closeTo(t, "L12 gap", r.Value, 0.91*mm, 0.0005*mm)
	closeTo(t, "L12 shim", r.Wants[0].T, 0.76*mm, 0.0005*mm)
	r = wants(back(t, d, "bearing stand-up", 2), "primary float") // L13: new bearing
	closeTo(t, "L13 gap", r.Value, 0.71*mm, 0.0005*mm)
	closeTo(t, "L13 thinnest", r.Wants[0].Lo, 0.51*mm, 0.0005*mm)
	closeTo(t, "L13 thickest", r.Wants[0].Hi, 0.61*mm, 0.0005*mm)

	s := back(t, d, "gauge gap", 1) // L14, before the sign is answered
	if r, _ = setup.One(s, "pinion depth"); r.Known || r.Question != setup.EtchedQuestion {
		t.Errorf("depth without the sign of the etched number: known %v, question %q", r.Known, r.Question)
	}
	s.Answers[setup.EtchedQuestion] = "further"
	r = wants(s, "pinion depth")
	closeTo(t, "L14 depth", r.Value, 63.91*mm, 0.0005*mm)
	closeTo(t, "L14 pack", r.Wants[0].T, (0.499+0.15)*mm, 0.0005*mm)
	s.Answers[setup.EtchedQuestion] = "nearer"
	closeTo(t, "target with the other answer", wants(s, "pinion depth").Target, 63.94*mm, 1e-9)

	r = wants(back(t, d, "taper play", 1), "pinion preload") // L16
	closeTo(t, "L16 spacer", r.Wants[0].T, 12.28*mm, 0.0005*mm)

	r = wants(back(t, d, "backlash", 1), "backlash") // L21
	closeTo(t, "L21 mean", r.Value, 0.31*mm, 0.0005*mm)
	closeTo(t, "L21 factor", r.Factor, 0.70, 1e-9)
	closeTo(t, "L21 move", r.Wants[0].T-r.Wants[0].Now.SI, 0.229*mm, 0.001*mm)
	closeTo(t, "L21 gives", r.Wants[1].Now.SI-r.Wants[1].T, 0.229*mm, 0.001*mm)
	r = wants(back(t, d, "backlash", 2), "backlash") // L22
	closeTo(t, "L22 factor", r.Factor, 0.60, 0.03)
	at := map[string]job.Pack{"D20": {SI: 2.448 * mm}, "D21": {SI: 1.952 * mm}}
	v, _, _ := setup.Foretell(back(t, d, "backlash", 2), r, at)
	closeTo(t, "L23 foretold", v, 0.16*mm, 0.0015*mm)

	for i, want := range []float64{0.22, 0.22, 0.20, 0.20} { // L8
		r, _ = d.Setting(fmt.Sprintf("gear %d float", i+1))
		closeTo(t, r.Name, r.Value, want*mm, 1e-9)
		if !r.Proven {
			t.Errorf("%s: %s", r.Name, r.Why)
		}
	}
}

// Ring gaps of both units as the scenario judges them: L5 and Dunnock's.
func TestRingGaps(t *testing.T) {
	sh := load(t, false)
	for _, tt := range []struct{ book, what, verdict string }{
		{demo.Linnet, "P09", "in"}, {demo.Linnet, "P14", "plan"}, {demo.Linnet, "P22", "in"}, {demo.Linnet, "P27", "in"},
		{demo.Dunnock, "P09", "out"}, {demo.Dunnock, "P14", "in"}, {demo.Dunnock, "P22", "out"}, {demo.Dunnock, "P27", "in"},
	} {
		d := desk(t, sh, tt.book)
		m, _ := d.Box.Measure(tt.what + " ring gap")
		j := setup.Judge(d.State, m, d.ReadingsOf(m.Name)[0])
		got := string(j.Verdict)
		if j.Plan {
			got = "plan"
		}
		if got != tt.verdict {
			t.Errorf("%s %s: %s, want %s", tt.book, m.Name, got, tt.verdict)
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		load(b, false)
	}
}
