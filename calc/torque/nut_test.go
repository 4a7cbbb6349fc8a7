package torque_test

import (
	"math"
	"testing"

	"endfloat/calc/torque"
	"endfloat/calc/unit"
)

// ring returns a face of mean diameter D_Km.
func ring(d, p, mean float64) torque.Thread {
	return torque.Thread{Major: unit.Length(d) * mm, Pitch: unit.Length(p) * mm,
		FaceInner: unit.Length(mean-2) * mm, FaceOuter: unit.Length(mean+2) * mm}
}

// [VDI2230], 2001 edition, fine threads at 90 % of yield, as printed in a public
// catalogue (p. 685); D_Km is that of a hexagon head on a medium hole, which the
// page does not state. Rows of strength class 8.8, 10.9, 12.9; tolerance 1 %.
func TestPreloadTable(t *testing.T) {
	for _, r := range []struct {
		d, p, mean, friction float64
		kN, torque           [3]float64
	}{
		{8, 1, 10.315, .12, [3]float64{20.2, 29.7, 34.7}, [3]float64{26.1, 38.3, 44.9}},
		{12, 1.25, 15.065, .10, [3]float64{49.1, 72.1, 84.4}, [3]float64{79, 116, 135}},
		{14, 1.5, 17.57, .12, [3]float64{64.8, 95.2, 111.4}, [3]float64{142, 209, 244}},
		{16, 1.5, 19.995, .12, [3]float64{87.6, 128.7, 150.6}, [3]float64{218, 320, 374}},
		{20, 1.5, 25.095, .12, [3]float64{148, 211, 246}, [3]float64{454, 646, 756}},
		{24, 2, 29.805, .12, [3]float64{209, 297, 348}, [3]float64{769, 1095, 1282}},
	} {
		x, err := ring(r.d, r.p, r.mean).Lever(r.friction)
		if err != nil {
			t.Fatal(err)
		}
		for i := range r.kN {
			near(t, "torque", float64(x)*r.kN[i]*1000/r.torque[i], 1, .01)
		}
	}
}

// [ISO724] and [ISO898-1], through notes: pitch diameters and stress areas.
func TestThreads(t *testing.T) {
	for _, r := range []struct{ d, p, d2, area float64 }{
		{8, 1, 7.350, 39.2}, {10, 1.25, 9.188, 61.2}, {12, 1.25, 11.188, 92.1}, {14, 1.5, 13.026, 124.5},
		{16, 1.5, 15.026, 167.2}, {18, 1.5, 17.026, 216.2}, {20, 1.5, 19.026, 271.5}, {24, 2, 22.701, 384.4},
	} {
		th := ring(r.d, r.p, r.d)
		near(t, "d2", float64(th.PitchDiameter()/mm), r.d2, .0006)
		near(t, "area", th.StressArea()*1e6, r.area, .06)
	}
}

// Without friction all the work stretches: T·2π = F·P. Friction only adds.
func TestLeverLimits(t *testing.T) {
	th := ring(24, 1.5, 30)
	x, _ := th.Lever(0)
	near(t, "no friction", float64(x)*2*math.Pi, 1.5e-3, 1e-15)
	y, _ := th.Lever(.1)
	z, _ := th.Lever(.2)
	near(t, "straight in friction", float64(z-y), float64(y-x), 1e-12)
	for _, bad := range []torque.Thread{{}, ring(10, 6, 12), {Major: 10 * mm, Pitch: mm, FaceInner: 12 * mm, FaceOuter: 12 * mm}} {
		if _, err := bad.Lever(.1); err == nil {
			t.Errorf("%+v was accepted", bad)
		}
	}
	if _, err := th.Lever(math.NaN()); err == nil {
		t.Error("friction NaN was accepted")
	}
}

// [WENTZELL] example 17.1: 180 lbf·in on a shaft of 0.75 in gives τ = 2173 psi; a
// moment of 359.16 lbf·in gives 8671.7 psi (printed 8760, from a rounded section).
func TestBend(t *testing.T) {
	const psi = unit.Pressure(6894.757293168361)
	h := torque.Held{Torque: 180 * lbfft / 12, Arm: 10 * inch, Overhang: 19.953333 * inch, Diameter: .75 * inch}
	b, err := h.Bend(207 * unit.Gigapascal)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "shear", float64(b.Shear/psi), 2173, .5)
	near(t, "bending", float64(b.Stress/psi), 8671.7, .5)
	near(t, "pull", float64(b.Pull/lbf), 18, 1e-9)
	near(t, "von Mises", float64(b.Combined/psi), math.Sqrt(8671.7*8671.7+3*2173*2173), 2)
	// A hollow shaft of no bore is a solid one; a bore always costs.
	h.Bore = .5 * inch
	hollow, _ := h.Bend(207 * unit.Gigapascal)
	near(t, "hollow", float64(b.Stress/hollow.Stress), 1-math.Pow(.5/.75, 4), 1e-12)
	near(t, "deflection", float64(b.Deflection/hollow.Deflection), 1-math.Pow(.5/.75, 4), 1e-12)
	// No overhang, no bending.
	h.Overhang = 0
	if none, _ := h.Bend(207 * unit.Gigapascal); none.Moment != 0 || none.Deflection != 0 || none.Combined < none.Shear {
		t.Errorf("without overhang: %+v", none)
	}
	h.Bore = h.Diameter
	if _, err := h.Bend(207 * unit.Gigapascal); err == nil {
		t.Error("a shaft that is all bore was accepted")
	}
}

func TestWindow(t *testing.T) {
	// With nothing in doubt the window is the band.
	if lo, hi := torque.Window(200, 220, 1.65, 0); lo != 200 || hi != 220 {
		t.Errorf("got %v to %v", lo, hi)
	}
	lo, hi := torque.Window(200, 220, 1.65, .02)
	near(t, "lo", float64(lo), 206.6, 1e-9)
	near(t, "hi", float64(hi), 212.74, 1e-9)
	if lo, hi = torque.Window(200, 220, 1.65, .05); hi > lo {
		t.Errorf("a doubt of 5 %% proves a band of 10 %%: %v to %v", lo, hi)
	}
	near(t, "3-4-12", torque.Reach{Scale: .03, Arm: .04, Angle: .12}.Relative(), .13, 1e-15)
	near(t, "square pull", torque.AngleU(0, 5*unit.Degree), (1-math.Cos(5*math.Pi/180))/math.Sqrt(3), 1e-15)
	// Off square the doubt enters nearly straight: tan 30° for each radian.
	near(t, "off square", torque.AngleU(30*unit.Degree, .001), .001*math.Tan(math.Pi/6)/math.Sqrt(3), 1e-6)
}
