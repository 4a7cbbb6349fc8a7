package demo_test

import (
	"math"
	"testing"
	"time"

	"endfloat/internal/demo"
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
	closeTo(t, "L23 mean", r.Value, 0.1575*mm, 0.0005*mm)
	closeTo(t, "L23 least", r.Low, 0.15*mm, 1e-6*mm)
	closeTo(t, "L23 most", r.High, 0.16*mm, 1e-6*mm)
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

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		load(b, false)
	}
}
