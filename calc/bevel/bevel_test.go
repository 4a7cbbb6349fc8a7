package bevel_test

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/bevel"
	"endfloat/calc/unit"
)

const (
	mm  = unit.Millimetre
	deg = unit.Degree
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.6g, want %.6g ± %g", what, got, want, tol)
	}
}

// [JINDAL] example 27-3: 30 and 45 teeth, δ1 33.7°, δ2 56.3°.
func ExamplePitchAngles() {
	d1, d2, _ := bevel.PitchAngles(30, 45)
	fmt.Printf("%.1f° %.1f°\n", d1/deg, d2/deg)
	// Output: 33.7° 56.3°
}

// Our own pair: 8 and 37 teeth, 20°, spiral 35°.
func ExampleFactor() {
	_, d2, _ := bevel.PitchAngles(8, 37)
	n, _ := bevel.Factor(bevel.Normal, 20*deg, 35*deg, d2)
	straight, _ := bevel.Factor(bevel.Transverse, 20*deg, 0, d2)
	spiral, _ := bevel.Factor(bevel.Transverse, 20*deg, 35*deg, d2)
	fmt.Printf("%.3f %.3f %.3f\n", n, straight, spiral)
	// Output: 0.669 0.711 0.869
}

func factor(t *testing.T, s bevel.Sense, z1, z2 int, pinion bool, α, β unit.Angle) float64 {
	t.Helper()
	d1, d2, err := bevel.PitchAngles(z1, z2)
	if err != nil {
		t.Fatal(err)
	}
	if pinion {
		d2 = d1
	}
	k, err := bevel.Factor(s, α, β, d2)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// Pinion moves of our own pairs, worked by hand.
func TestFactorOfPinion(t *testing.T) {
	near(t, "8/37 normal", factor(t, bevel.Normal, 8, 37, true, 20*deg, 0), 0.145, 5e-4)
	near(t, "8/37 straight", factor(t, bevel.Transverse, 8, 37, true, 20*deg, 0), 0.154, 5e-4)
	near(t, "8/37 spiral", factor(t, bevel.Transverse, 8, 37, true, 20*deg, 35*deg), 0.188, 5e-4)
	near(t, "9/35 normal", factor(t, bevel.Normal, 9, 35, true, 20*deg, 35*deg), 0.17035, 5e-6)
	near(t, "9/35 spiral", factor(t, bevel.Transverse, 9, 35, true, 20*deg, 35*deg), 0.22131, 5e-6)
	near(t, "9/35 wheel", factor(t, bevel.Normal, 9, 35, false, 20*deg, 35*deg), 0.66249, 5e-6)
	near(t, "9/35 wheel spiral", factor(t, bevel.Transverse, 9, 35, false, 20*deg, 35*deg), 0.86065, 5e-6)
	near(t, "9/35 wheel straight", factor(t, bevel.Transverse, 9, 35, false, 20*deg, 0), 0.70501, 5e-6)
}

// [AXLE], inch edition: 0.003 in of shim moved across changes the backlash by
// 0.002 in. Over the ratios such axles have, the normal factor agrees.
func TestFactorAgainstShopRule(t *testing.T) {
	for _, z := range [][2]int{{13, 42}, {11, 41}, {9, 35}, {8, 37}} {
		near(t, fmt.Sprint(z), factor(t, bevel.Normal, z[0], z[1], false, 20*deg, 35*deg), 0.002/0.003, 0.03)
	}
	// The metric edition rounds down to 0.05 mm for 0.03 mm.
	k := factor(t, bevel.Normal, 9, 35, false, 20*deg, 35*deg)
	if moved := math.Floor(0.05*k*100) / 100; moved != 0.03 {
		t.Errorf("0.05 mm of shim gives %g mm of backlash, cut to hundredths; want 0.03", moved)
	}
}

// [ARROW], part 4: a reading in the plane of rotation can be up to 40 % above the
// normal one. Spiral angles of such gears end at 40°.
func TestSensesAgainstPublishedStatement(t *testing.T) {
	near(t, "at 40°", 1/bevel.NormalShare(20*deg, 40*deg), 1.40, 0.015)
	for β := 0 * deg; β <= 40*deg; β += deg {
		if r := 1 / bevel.NormalShare(20*deg, β); r > 1.40 {
			t.Errorf("at %.0f° the senses differ by a factor %.3f, more than published", β/deg, r)
		}
	}
}

// Identity: the two senses of Factor differ by NormalShare, whatever the gear.
func TestSensesAgree(t *testing.T) {
	for β := -50 * deg; β <= 50*deg; β += 7 * deg {
		for δ := 3 * deg; δ <= 90*deg; δ += 11 * deg {
			n, err1 := bevel.Factor(bevel.Normal, 22.5*deg, β, δ)
			s, err2 := bevel.Factor(bevel.Transverse, 22.5*deg, β, δ)
			if err1 != nil || err2 != nil {
				t.Fatal(err1, err2)
			}
			near(t, "normal from transverse", s*bevel.NormalShare(22.5*deg, β), n, 1e-12)
		}
	}
}

// Limit: with a flat crown wheel (δ = 90°) the flanks stand square to the move,
// so a move opens both by sin α_n, as two wedges do.
func TestFactorOfFlatWheel(t *testing.T) {
	k, err := bevel.Factor(bevel.Normal, 30*deg, 0, 90*deg)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "flat wheel at 30°", k, 1, 1e-12)
}

// Our own transfer: 0.31 to 0.15 at k 0.70, a step of 0.20, then k learned.
func ExampleTransfer() {
	Δx, _ := bevel.Transfer(0.31*mm, 0.15*mm, 0.70)
	fmt.Printf("move %.3f mm\n", Δx/mm)
	k, _ := bevel.LearnedFactor(0.31*mm, 0.18*mm, 0.20*mm)
	Δx, _ = bevel.Transfer(0.18*mm, 0.155*mm, k)
	fmt.Printf("learned %.2f, next %.2f mm\n", k, Δx/mm)
	// Output:
	// move 0.229 mm
	// learned 0.65, next 0.04 mm
}

func TestTransferUndoesItself(t *testing.T) {
	for _, k := range []float64{0.5, 0.669, 0.9} {
		Δx, err := bevel.Transfer(0.4*mm, 0.16*mm, k)
		if err != nil {
			t.Fatal(err)
		}
		back, err := bevel.LearnedFactor(0.4*mm, 0.4*mm-unit.Length(k)*Δx, Δx)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "learned from its own prediction", back, k, 1e-12)
	}
}

// Our own: dial at a flange of 45 mm and at the pinion, wheel 88 mm, 37/8.
func TestDialPlaces(t *testing.T) {
	near(t, "flange", float64(bevel.AtWheel(0.075*mm, 88*mm, 45*mm)/mm), 0.147, 5e-4)
	near(t, "pinion", float64(bevel.FromPinion(0.30*mm, 88*mm, 40*mm, 4.625)/mm), 0.143, 5e-4)
	near(t, "normal", 0.147*bevel.NormalShare(20*deg, 35*deg), 0.113, 5e-4)
}

// A run-out of 0.05 on our 9/35 wheel shows as 0.0331 of backlash.
func TestVariation(t *testing.T) {
	v, err := bevel.Variation(0.05*mm, 20*deg, 75.5792*deg)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "variation", float64(v/mm), 0.0331, 5e-5)
}

func TestImpossibleGears(t *testing.T) {
	nan := unit.Angle(math.NaN())
	if _, _, err := bevel.PitchAngles(0, 37); err == nil {
		t.Error("a pinion without teeth was accepted")
	}
	for _, in := range [][3]unit.Angle{{nan, 0, deg}, {0, 0, deg}, {20 * deg, nan, deg}, {20 * deg, 80 * deg, deg}, {20 * deg, 0, nan}, {20 * deg, 0, -deg}} {
		if _, err := bevel.Factor(bevel.Normal, in[0], in[1], in[2]); err == nil {
			t.Errorf("%v was accepted", in)
		}
	}
	if _, err := bevel.Factor("", 20*deg, 0, 70*deg); err == nil {
		t.Error("a backlash without a sense was accepted")
	}
	for _, k := range []float64{0, -1, math.NaN()} {
		if _, err := bevel.Transfer(mm, 0, k); err == nil {
			t.Errorf("factor %g was accepted", k)
		}
	}
	for _, moved := range []unit.Length{0, -0.1 * mm, unit.Length(math.NaN())} {
		if _, err := bevel.LearnedFactor(0.3*mm, 0.2*mm, moved); err == nil {
			t.Errorf("a factor was learned from a move of %g", moved)
		}
	}
}
