package stack_test

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/stack"
	"endfloat/calc/unit"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.6g, want %.6g ± %g", what, got, want, tol)
	}
}

// Our own shaft: gap 1.04, a float of 0.10 to 0.20, 0.88 in the drawer.
func ExampleFloatShim() {
	gap := stack.Gap(21.42*mm, 0.26*mm, 20.64*mm)
	fmt.Printf("gap %.2f: %.2f to %.2f, centre %.2f; 0.88 leaves %.2f\n", gap/mm,
		stack.FloatShim(gap, 0.20*mm)/mm, stack.FloatShim(gap, 0.10*mm)/mm, stack.FloatShim(gap, 0.15*mm)/mm, stack.FloatShim(gap, 0.88*mm)/mm)
	// Output: gap 1.04: 0.84 to 0.94, centre 0.89; 0.88 leaves 0.16
}

// Our own taper bearings: behind the cup, a small play, and a spacer.
func ExampleCupShim() {
	fmt.Printf("%.2f %.2f %.2f\n", stack.CupShim(0.65*mm, 0.31*mm, 0.10*mm, true)/mm,
		stack.CupShim(0.65*mm, 0.31*mm, 0.05*mm, true)/mm, stack.CupShim(0.65*mm, 0.31*mm, 0.12*mm, true)/mm)
	fmt.Printf("%.2f\n", stack.Spacer(12.40*mm, 0.07*mm, 0.05*mm)/mm)
	// Output:
	// 1.06 1.01 1.08
	// 12.28
}

// A shim behind the cup and one under the flange are mirror images, and fitting
// the shim that was worked out leaves exactly the squeeze that was wanted.
func TestShimsClose(t *testing.T) {
	for _, p := range []unit.Length{-0.08 * mm, 0, 0.05 * mm, 0.2 * mm} {
		inside := stack.CupShim(0.6*mm, 0.3*mm, p, true)
		outside := stack.CupShim(0.6*mm, 0.3*mm, p, false)
		near(t, "mirror", float64(inside+outside), float64(2*0.6*mm), 1e-15)
		// Play left = play read − thickening of the shim inside = −squeeze.
		near(t, "squeeze left", float64(0.3*mm-(inside-0.6*mm)), float64(-p), 1e-15)
		near(t, "spacer", float64(stack.Spacer(0.6*mm, 0.3*mm, p)), float64(outside), 1e-15)
		near(t, "cover", float64(stack.CoverShim(0.3*mm, p)), float64(stack.Spacer(0.3*mm, 0, p)), 1e-15)
	}
}

// The direction of [TM660] (drive pinion): a thinner spacer gives more preload.
func TestThinnerSpacerTightens(t *testing.T) {
	if stack.Spacer(12.40*mm, 0.07*mm, 0.06*mm) >= stack.Spacer(12.40*mm, 0.07*mm, 0.02*mm) {
		t.Error("more preload asks for a longer spacer")
	}
}

func TestBothEnds(t *testing.T) {
	total, t1, t2 := stack.BothEnds(62.40*mm, 121.85*mm, 182.60*mm, 61.40*mm, 0.15*mm)
	near(t, "total", float64(total/mm), 1.50, 1e-9)
	near(t, "t1", float64(t1/mm), 0.925, 1e-9)
	near(t, "t2", float64(t2/mm), 0.575, 1e-9)
	// With these shims half the float is left at each end: the ring at end 2 stands
	// at L − A beyond the joint face.
	near(t, "float at 1", float64((62.40*mm-t1-61.40*mm)/mm), 0.075, 1e-9)
	near(t, "float at 2", float64((121.85*mm-t2-(182.60*mm-61.40*mm))/mm), 0.075, 1e-9)
}

// Our own pinion shaft, fourteen parts; and the same with a bearing 0.8 narrower.
func ExampleProud() {
	var parts []unit.Length
	for _, w := range []float64{22.00, 4.00, 34.20, 25.00, 30.22, 2.00, 30.15, 22.00, 28.18, 4.00, 20.75, 12.28, 20.75, 14.00} {
		parts = append(parts, unit.Length(w)*mm)
	}
	fmt.Printf("%.2f proud %.2f\n", stack.Proud(parts, 0)/mm, stack.Proud(parts, 268.60*mm)/mm)
	parts[0] -= 0.8 * mm
	fmt.Printf("narrower: %.2f\n", stack.Proud(parts, 268.60*mm)/mm)
	fmt.Printf("gear float %.2f\n", stack.GearFloat(34.20*mm, 33.98*mm)/mm)
	// Output:
	// 269.53 proud 0.93
	// narrower: 0.13
	// gear float 0.22
}

// Our own nose: bore 27.60, bearing 8.50, gasket 0.30, nose 23.80.
func ExampleNose() {
	clearance, engagement := stack.Nose(27.60*mm, 8.50*mm, 0.30*mm, 23.80*mm)
	fmt.Printf("%.2f %.1f\n", clearance/mm, engagement/mm)
	// Output: 4.10 15.0
}

// Our own fork: 8.9 and 8.3, shims of 0.127.
func ExampleForkShims() {
	shift := stack.ForkShift(8.9*mm, 8.3*mm)
	n, _ := stack.ForkShims(shift, 0.127*mm)
	fmt.Printf("%.2f: %d shims, %.2f left\n", shift/mm, n, stack.ForkResidue(shift, n, 0.127*mm)/mm)
	// Output: 0.30: 2 shims, 0.09 left
}

func TestForkIsSymmetric(t *testing.T) {
	for a := 7 * mm; a < 9*mm; a += 0.13 * mm {
		n, err1 := stack.ForkShims(stack.ForkShift(a, 8*mm), 0.127*mm)
		m, err2 := stack.ForkShims(stack.ForkShift(8*mm, a), 0.127*mm)
		if err1 != nil || err2 != nil || n != -m {
			t.Errorf("travels %g and 8 swapped give %d and %d shims", a/mm, n, m)
		}
		if left := stack.ForkResidue(stack.ForkShift(a, 8*mm), n, 0.127*mm); math.Abs(float64(left)) > float64(0.1271*mm) {
			t.Errorf("travel %g: %g is left, more than one shim", a/mm, left/mm)
		}
	}
	if _, err := stack.ForkShims(mm, 0); err == nil {
		t.Error("shims of no thickness were accepted")
	}
}

// Our own groove: 2.08 free, circlips of 2.00, 2.05 and 2.10.
func TestCirclip(t *testing.T) {
	sizes := []unit.Length{2.00 * mm, 2.05 * mm, 2.10 * mm}
	tests := []struct {
		free, least unit.Length
		want        int
	}{
		{2.08 * mm, 0, 1}, {2.10 * mm, 0, 2}, {2.10 * mm, 0.02 * mm, 1}, {1.99 * mm, 0, -1}, {2.05 * mm, 0, 1},
	}
	for _, tt := range tests {
		if got := stack.Circlip(tt.free, tt.least, sizes); got != tt.want {
			t.Errorf("free %g, least %g: got %d, want %d", tt.free/mm, tt.least/mm, got, tt.want)
		}
	}
}

// Lengths at 20 °C by the definition of [ISO1], worked by hand: 100
// mm of steel, +5 K, is 5.75 µm too long against a gauge that does not grow.
func TestAt20(t *testing.T) {
	near(t, "steel, invar gauge", float64(100*mm-stack.At20(100*mm, 11.5e-6, 0, 25)), 5.75e-6, 1e-12)
	near(t, "aluminium, steel gauge, warm", float64(200*mm-stack.At20(200*mm, 23e-6, 11.5e-6, 30)), 23.0e-6, 1e-12)
	near(t, "case in the cold", float64(stack.At20(170.60*mm, 23e-6, 11.5e-6, 9)/mm), 170.622, 5e-4)
	near(t, "same metal", float64(stack.At20(170.60*mm, 12e-6, 12e-6, -5)/mm), 170.60, 1e-12)
	near(t, "aluminium case, 60 K", float64(stack.Growth(170*mm, 23e-6, 12e-6, 60)/mm), 0.112, 5e-4)
	near(t, "magnesium case, 60 K", float64(stack.Growth(170*mm, 26e-6, 12e-6, 60)/mm), 0.143, 5e-4)
}

// Our own case: 240 × 130 mm, 0.6 free, 7 mm higher.
func ExampleLevelVolume() {
	fmt.Printf("%.2f L\n", stack.LevelVolume(0.240*0.130, 0.6, 7*mm)*1000)
	// Output: 0.13 L
}
