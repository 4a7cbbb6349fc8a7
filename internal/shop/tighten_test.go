package shop_test

import (
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

var bar = map[string]string{"arm": "0.600 m ± 0.001 m", "bar-mass": "2.4 kg", "bar-centre": "0.300 m", "bar-weight": "with the pull"}

// bench has the pinion nut and the crown wheel bolts on, not torqued.
func bench(t *testing.T) told {
	t.Helper()
	w := small(t)
	w.record(t, shop.StoresBook, job.Tool{Name: "600 mm bar", Class: "bar", Values: bar})
	for _, book := range []string{demo.Linnet, demo.Dunnock} {
		letter := strings.ToUpper(book[:1])
		w.record(t, book, job.TakenOff{Position: "P39", Faced: "chamfer toward P38"}, job.Fitted{Position: "P39", Tags: []string{letter + "-P39"}, Faces: "chamfer toward P38", With: "Ivo"},
			job.TakenOff{Position: "D04"}, job.Fitted{Position: "D04", Tags: []string{letter + "-D04"}})
	}
	return w
}

// The torque log of the scenario: the pull read on the scale, with the weight of
// the bar itself, 2.4 kg · 9.81 m/s² · 0.300 m = 7.1 N·m by hand.
func TestBarAndScale(t *testing.T) {
	for _, c := range []struct {
		book, pull string
		lo, hi     float64
		aim        string
	}{{demo.Linnet, "238 N", 148, 152, "238"}, {demo.Linnet, "24.3 kgf", 148, 152, "238"}, {demo.Dunnock, "338 N", 208, 212, "338"}} {
		w := bench(t)
		target, err := shop.Aim(w.open(t, c.book), "P39", shop.ByBar, map[string]string{"tool": "600 mm bar"})
		if err != nil || !strings.Contains(target.Text, c.aim) || len(target.Lines) == 0 || target.Caution == "" {
			t.Errorf("%s: aim at %q, %v", c.book, target.Text, err)
		}
		d, err := w.Tighten(t.Context(), tove, c.book, shop.Tightening{Position: "P39", Method: shop.ByBar, Values: map[string]string{"tool": "600 mm bar", "pull": c.pull}})
		if err != nil {
			t.Fatal(err)
		}
		is := d.Spots["P39"].Torqued.Is
		if is.Torque < c.lo || is.Torque > c.hi || is.U <= 0 || len(is.Warnings) > 0 || is.Reading != c.pull || is.Working == "" {
			t.Errorf("%s: %+v", c.pull, is)
		}
		if f := finding(d, plan.Loose, "P39", "weight"); f != nil {
			t.Errorf("%s: %s", c.pull, f.Says)
		}
	}
}

// 250 N would be right for a bar without weight. That it was not counted is told.
func TestBarWithoutItsWeight(t *testing.T) {
	w := bench(t)
	d, err := w.Tighten(t.Context(), tove, demo.Linnet, shop.Tightening{Position: "P39", Method: shop.ByBar, Values: map[string]string{"arm": "0.600 m", "pull": "250 N"}})
	if err != nil {
		t.Fatal(err)
	}
	if is := d.Spots["P39"].Torqued.Is; is.Torque < 149.9 || is.Torque > 150.1 {
		t.Errorf("%+v", is)
	}
	if f := finding(d, plan.Loose, "P39", "weight"); f == nil || f.Mend == "" {
		t.Errorf("no loose end tells that the bar's weight was left out: %+v", d.Findings)
	}
}

// An extension in line: 63.0 on the wrench is 70 at the bolt, (405 + 45)/405.
func TestExtension(t *testing.T) {
	w := bench(t)
	d, err := w.Tighten(t.Context(), tove, demo.Linnet, shop.Tightening{Position: "D04", Method: shop.ByExtension,
		Values: map[string]string{"wrench": "405 mm", "extension": "45 mm", "angle": "0°", "set": "63.0 N·m"}})
	if err != nil {
		t.Fatal(err)
	}
	if is := d.Spots["D04"].Torqued.Is; is.Torque < 69.95 || is.Torque > 70.05 {
		t.Errorf("%.3f N·m, want 70", is.Torque)
	}
}

// What cannot be a torque is refused, and nothing is written.
func TestRefusedTorque(t *testing.T) {
	w := bench(t)
	for _, c := range []struct {
		t    shop.Tightening
		says string
	}{
		{shop.Tightening{Position: "P39", Method: "by feel"}, "by feel"},
		{shop.Tightening{Position: "P08", Method: shop.ByWrench, Values: map[string]string{"reads": "9 N·m"}}, "no torque"},
		{shop.Tightening{Position: "P39", Method: shop.ByWrench, Values: map[string]string{"reads": "150 mm"}}, "150 mm"},
		{shop.Tightening{Position: "P39", Method: shop.ByWrench}, "nothing was typed"},
		{shop.Tightening{Position: "P39", Method: shop.ByBar, Values: map[string]string{"pull": "238 N"}}, "arm"},
		{shop.Tightening{Position: "D04", Method: shop.ByExtension, Values: map[string]string{"wrench": "405 mm", "extension": "405 mm", "angle": "180°", "set": "63 N·m"}}, ""},
	} {
		before := w.sizes(t)
		d, err := w.Tighten(t.Context(), tove, demo.Linnet, c.t)
		w.refused(t, c.t.Position+" "+c.t.Method, d, err, before, c.says)
	}
}
