package tooling_test

import (
	"math"
	"strings"
	"testing"

	"endfloat/calc/tooling"
	"endfloat/calc/unit"
)

const mm = unit.Millimetre

// bearing is our own: 30 × 62, shoulders at 40 and 53, corners of 1.
func bearing() tooling.Bearing {
	return tooling.Bearing{Bore: 30 * mm, Inside: 40 * mm, Outside: 53 * mm, OD: 62 * mm, Corner: 1 * mm}
}

func job(r tooling.Ring) tooling.Job {
	return tooling.Job{Bearing: bearing(), Push: r, Through: 30 * mm, Clear: .5 * mm, Contact: 1.5 * mm}
}

func TestWindows(t *testing.T) {
	for _, c := range []struct {
		push                   tooling.Ring
		boreL, boreM, odL, odM float64
	}{
		{tooling.Inner, 30.5, 37, 35, 40},
		{tooling.Outer, 53, 57, 56, 61.5},
		{tooling.Both, 30.5, 37, 56, 61.5},
	} {
		w, err := job(c.push).Window()
		if err != nil {
			t.Fatal(err)
		}
		for i, got := range []unit.Length{w.BoreLeast, w.BoreMost, w.ODLeast, w.ODMost} {
			if want := []float64{c.boreL, c.boreM, c.odL, c.odM}[i]; math.Abs(float64(got/mm)-want) > 1e-9 {
				t.Errorf("%s: limit %d is %v, want %v", c.push, i, got/mm, want)
			}
		}
	}
}

// What Fits accepts must touch the ring wanted with enough face and nothing else,
// whatever the tube: checked against the geometry itself.
func TestFitsAgainstGeometry(t *testing.T) {
	b := bearing()
	for _, push := range []tooling.Ring{tooling.Inner, tooling.Outer} {
		w, err := job(push).Window()
		if err != nil {
			t.Fatal(err)
		}
		served := 0
		for bore := 25.0; bore < 62; bore += .5 {
			for od := bore + 1; od < 66; od += .5 {
				tube := tooling.Tube{Bore: unit.Length(bore) * mm, OD: unit.Length(od) * mm}
				overlap := func(lo, hi unit.Length) float64 {
					return float64((min(tube.OD, hi) - max(tube.Bore, lo)) / 2 / mm)
				}
				inner, outer := overlap(b.Bore+2*b.Corner, b.Inside), overlap(b.Outside, b.OD-2*b.Corner)
				wanted, other := inner, outer
				if push == tooling.Outer {
					wanted, other = outer, inner
				}
				good := wanted >= 1.5-1e-9 && other <= 1e-9 && bore >= 30.5 && overlap(b.Inside, b.Outside) <= 1e-9 && od <= 61.5
				if got := w.Fits(tube) == ""; got != good {
					t.Errorf("%s, %v/%v: got %q, want %v", push, bore, od, w.Fits(tube), good)
				} else if good {
					served++
				}
			}
		}
		if served == 0 {
			t.Errorf("%s: no tube serves", push)
		}
	}
}

func TestFaces(t *testing.T) {
	w, _ := job(tooling.Inner).Window()
	tube := tooling.Tube{Bore: 33 * mm, OD: 39 * mm}
	if got := float64(w.Width(tube) / mm); math.Abs(got-3) > 1e-9 {
		t.Errorf("width %v, want 3", got)
	}
	want := 10e3 / (math.Pi / 4 * (39*39 - 33*33)) // N/mm²
	if got := float64(w.Pressure(tube, 10*unit.Kilonewton) / unit.Megapascal); math.Abs(got-want) > 1e-9 {
		t.Errorf("pressure %v, want %v", got, want)
	}
	miss := tooling.Tube{Bore: 50 * mm, OD: 60 * mm}
	if w.Width(miss) != 0 || !math.IsInf(float64(w.Pressure(miss, 1)), 1) {
		t.Error("a tube that misses the ring bears on it")
	}
}

func TestNoWindow(t *testing.T) {
	j := job(tooling.Inner)
	j.Through = 37 * mm
	if _, err := j.Window(); err == nil || !strings.Contains(err.Error(), "no tube fits") {
		t.Errorf("a thread as thick as the ring: %v", err)
	}
	j = job("the cage")
	if _, err := j.Window(); err == nil {
		t.Error("the cage was pushed")
	}
	j = job(tooling.Outer)
	j.Bearing.Outside = 39 * mm
	if _, err := j.Window(); err == nil || !strings.Contains(err.Error(), "grow") {
		t.Errorf("crossed diameters: %v", err)
	}
}
