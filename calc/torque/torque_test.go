package torque_test

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/torque"
	"endfloat/calc/unit"
)

// Exact by definition: inch 25.4 mm, pound 0.45359237 kg, g 9.80665 m/s².
const (
	lbf   = unit.Force(0.45359237 * 9.80665)
	lbfft = unit.Torque(0.45359237 * 9.80665 * 0.3048)
	inch  = unit.Inch
	mm    = unit.Millimetre
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.6g, want %.6g ± %g", what, got, want, tol)
	}
}

// 130 lbf·ft on a bar of 34 in needs 45.9 lbf, so a scale that shows 45 lbf is 2 %
// short. Common practice, no source.
func ExampleBar_Pull() {
	b := torque.Bar{Arm: 34 * inch}
	f, _ := b.Pull(130 * lbfft)
	got, _ := b.Torque(45 * lbf)
	fmt.Printf("%.1f lbf; 45 lbf gives %.1f lbf·ft, %.0f %% short\n", f/lbf, got/lbfft, 100*(1-got/(130*lbfft)))
	// Output: 45.9 lbf; 45 lbf gives 127.5 lbf·ft, 2 % short
}

// Our own bars.
func TestBars(t *testing.T) {
	bare := torque.Bar{Arm: 0.75}
	skew := torque.Bar{Arm: 0.75, OffSquare: 15 * unit.Degree}
	heavy := torque.Bar{Arm: 0.75, Mass: 2.4, Centre: 0.36}
	demo := torque.Bar{Arm: 0.600, Mass: 2.4, Centre: 0.300}
	for _, tt := range []struct {
		name string
		bar  torque.Bar
		want unit.Torque
		f    float64
		tol  float64
	}{
		{"square", bare, 220, 293, 0.5},
		{"15° off", skew, 220, 304, 0.5},
		{"own weight", heavy, 220, 282, 0.5},
		{"150 on 0.6", demo, 150, 238, 0.5},
		{"150 on 0.6, weight forgotten", torque.Bar{Arm: 0.6}, 150, 250, 1e-9},
		{"210 on 0.6", demo, 210, 338, 0.5},
	} {
		f, err := tt.bar.Pull(tt.want)
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		near(t, tt.name, float64(f), tt.f, tt.tol)
		back, err := tt.bar.Torque(f)
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		near(t, tt.name+", and back", float64(back), float64(tt.want), 1e-9)
	}
	near(t, "in kilograms", 220/0.75/torque.Gravity, 29.9, 0.05)
	near(t, "own torque", float64(heavy.Own()), 8.5, 0.05)
	// A scale reading and a bar, counted by hand: 12.40 kg at 0.600 m and 1.20 kg
	// at 0.28 m.
	b := torque.Bar{Arm: 0.600, Mass: 1.20, Centre: 0.28}
	got, err := b.Torque(unit.Force(12.40 * torque.Gravity))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "scale and bar", float64(got), 76.257, 5e-4)
}

// A bar that hinders asks for as much more as one that helps saves.
func TestWeightBothWays(t *testing.T) {
	helps := torque.Bar{Arm: 0.6, Mass: 3, Centre: 0.25, Slope: 20 * unit.Degree}
	hinders := helps
	hinders.Hinders = true
	a, err1 := helps.Pull(100)
	b, err2 := hinders.Pull(100)
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	near(t, "mean of both", float64(a+b)/2, 100/0.6, 1e-9)
	if a >= b {
		t.Errorf("a bar that helps needs %g N, one that hinders %g N", a, b)
	}
	upright := torque.Bar{Arm: 0.6, Mass: 3, Centre: 0.25, Slope: 90 * unit.Degree}
	near(t, "upright bar", float64(upright.Own()), 0, 1e-12)
}

func TestImpossibleBars(t *testing.T) {
	nan := math.NaN()
	for _, b := range []torque.Bar{{}, {Arm: -1}, {Arm: unit.Length(nan)}, {Arm: 1, OffSquare: 80 * unit.Degree},
		{Arm: 1, OffSquare: unit.Angle(nan)}, {Arm: 1, Mass: 100, Centre: 1}, {Arm: 1, Mass: unit.Mass(nan), Centre: 1}} {
		if f, err := b.Pull(50); err == nil {
			t.Errorf("%+v was accepted and gives %g", b, f)
		}
	}
}

// Our own wrench of 0.42 m with 0.05 m, 90 N·m.
func ExampleExtension() {
	for _, φ := range []unit.Angle{0, 45, 90, 180} {
		t, _ := torque.Extension(90, 0.42, 0.05, φ*unit.Degree)
		fmt.Printf("%.1f ", t)
	}
	// Output: 80.4 83.0 90.0 102.2
}

// Worked examples printed in manuals and data sheets.
func TestPublishedExtensions(t *testing.T) {
	const lbfin = lbfft / 12
	for _, tt := range []struct {
		source            string
		want              unit.Torque
		wrench, extension unit.Length
		angle             unit.Angle
		set, tol          unit.Torque
	}{
		{"TM 9-2350-277-40&P WP 0004: 40 lb-ft, 12 in, 4 in", 40 * lbfft, 12 * inch, 4 * inch, 0, 30 * lbfft, 1e-9},
		{"TM 1-1500-204-23-9 fig. 8-16: 300 lb-in, 10 in, 4 in", 300 * lbfin, 10 * inch, 4 * inch, 0, 214 * lbfin, 0.5 * lbfin},
		{"TM 5-3805-274-13&P WP 0051: 19 lb-ft, 22 in, 3 in", 19 * lbfft, 22 * inch, 3 * inch, 0, 17 * lbfft, 0.5 * lbfft},
		// The book [TM254] fig. 46 gives the form with the cosine; the numbers are ours.
		{"100 N·m, 400 and 50 mm, 45°", 100, 400 * mm, 50 * mm, 45, 91.879, 5e-4},
		{"100 N·m, 400 and 50 mm, folded back", 100, 400 * mm, 50 * mm, 180, 114.286, 5e-4},
	} {
		got, err := torque.Extension(tt.want, tt.wrench, tt.extension, tt.angle*unit.Degree)
		if err != nil {
			t.Fatalf("%s: %v", tt.source, err)
		}
		near(t, tt.source, float64(got), float64(tt.set), float64(tt.tol))
	}
}

func TestExtensionSideways(t *testing.T) {
	for _, e := range []unit.Length{0, 30 * mm, 200 * mm} {
		got, err := torque.Extension(75, 0.4, e, 90*unit.Degree)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "sideways needs no correction", float64(got), 75, 1e-9)
	}
	if _, err := torque.Extension(75, 0.1, 0.2, 180*unit.Degree); err == nil {
		t.Error("a nut behind the hand was accepted")
	}
	if _, err := torque.Extension(75, unit.Length(math.NaN()), 0.2, 0); err == nil {
		t.Error("a wrench without length was accepted")
	}
}

// Our own cords and pulls.
func TestRotatingTorque(t *testing.T) {
	near(t, "cord", float64(torque.Cord(14, 41*mm)), 0.574, 5e-4)
	near(t, "luggage scale", float64(torque.Cord(unit.Force(1.43*torque.Gravity), 41*mm)), 0.575, 5e-4)
	near(t, "demo cord", float64(torque.Cord(18, 45*mm)), 0.81, 1e-9)
	f, err := torque.BoltPull(1.80, 62*mm)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "crown bolt", float64(f), 29.0, 0.05)
	total, err := torque.AtPinion(0.81, 1.80, 4.625)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "at the pinion", float64(total), 1.20, 5e-3)
	if _, err := torque.AtPinion(1, 1, 0); err == nil {
		t.Error("a final drive of 0 was accepted")
	}
	if _, err := torque.BoltPull(1, 0); err == nil {
		t.Error("a radius of 0 was accepted")
	}
}
