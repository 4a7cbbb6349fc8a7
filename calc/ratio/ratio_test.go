package ratio_test

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/ratio"
	"endfloat/calc/unit"
)

const (
	mm  = unit.Millimetre
	deg = unit.Degree
	rpm = math.Pi / 30
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.6g, want %.6g ± %g", what, got, want, tol)
	}
}

func train(t *testing.T, s string) ratio.Train {
	t.Helper()
	tr, err := ratio.ParseTrain(s)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

// Our own gearbox: final drive 37/8, wheel 0.510 m, 1800 rpm.
func TestOwnTable(t *testing.T) {
	final := train(t, "8/37").Ratio()
	before := 0.0
	for _, g := range []struct {
		teeth                     string
		i, all, per1000, at, next float64
	}{
		{"13/46", 3.538, 16.37, 5.87, 10.6, 0},
		{"20/39", 1.950, 9.02, 10.66, 19.2, 992},
		{"13/46", 3.538, 16.37, 5.87, 10.6, 0},
		{"21/38", 1.810, 8.37, 11.49, 20.7, 0},
		{"26/33", 1.269, 5.87, 16.38, 29.5, 1263},
		{"32/27", 0.844, 3.90, 24.63, 44.3, 1197},
		{"13/(20)/44", 3.385, 15.65, 6.14, 11.1, 0},
	} {
		i := train(t, g.teeth).Ratio()
		near(t, g.teeth, i, g.i, 5e-4)
		near(t, g.teeth+" in all", i*final, g.all, 5e-3)
		near(t, g.teeth+" per 1000", ratio.Speed(1000*rpm, i*final, 0.510)*3.6, g.per1000, 5e-3)
		near(t, g.teeth+" at 1800", ratio.Speed(1800*rpm, i*final, 0.510)*3.6, g.at, 0.05)
		if g.next > 0 {
			near(t, g.teeth+" after the shift", ratio.UpShift(1800, before, i), g.next, 0.5)
		}
		before = i
	}
	near(t, "20/39 up to 26/33", ratio.UpShift(1800, 1.950, 33.0/26), 1172, 0.5)
}

func TestReversed(t *testing.T) {
	for s, want := range map[string]bool{"13/46": true, "13/(20)/44": false, "21/31 x 17/40": false, "21/31x13/(20)/44": true} {
		if got := train(t, s).Reversed(); got != want {
			t.Errorf("%s: reversed %v, want %v", s, got, want)
		}
	}
	if got := train(t, "21/31 × 17/40").Ratio(); math.Abs(got-31.0/21*40/17) > 1e-12 {
		t.Errorf("two pairs give %g", got)
	}
}

// Speed in miles an hour is rpm · D / (i · 336) with D in inches, the constant
// being 63 360 · 60 / (60 · π · 60) = 336.135. Common practice, no source.
func TestSpeedInMiles(t *testing.T) {
	v := ratio.Speed(3000*rpm, 3.5, 24*unit.Inch)
	near(t, "3000 rpm, 24 in, 3.5", v/0.44704, 3000*24/(3.5*336.135), 1e-4)
	near(t, "the constant", 63360/(60*math.Pi), 336.135, 5e-4)
}

// Our own count, with both outputs turning and with one held.
func ExampleFromTurns() {
	both, _ := ratio.FromTurns(163.7, 10, false)
	held, _ := ratio.FromTurns(81.85, 10, true)
	fmt.Printf("%.2f %.2f\n", both, held)
	// Output: 16.37 16.37
}

// [GEARSHEET]: 31 and 30 teeth, m_n 3.5, β 21°: a0 = 114.3447280708 as printed.
// The profile-shifted spur pair of gear makers' textbooks, m 3, 12 and 24 teeth,
// has a0 = 54.
func TestPublishedCentreDistances(t *testing.T) {
	near(t, "helical", float64(ratio.CentreDistance(31, 30, 3.5*mm, 21*deg)/mm), 114.3447280708, 5e-10)
	near(t, "spur", float64(ratio.CentreDistance(12, 24, 3*mm, 0)/mm), 54, 1e-9)
}

// Our own check of a stray gear: at 72 mm and module 2.25, sums of 59 and 60 teeth
// need different helix angles.
func ExampleHelix() {
	for _, z := range []int{39, 40} {
		β, _ := ratio.Helix(20, z, 2.25*mm, 72*mm)
		fmt.Printf("20/%d: %.2f°\n", z, β/deg)
	}
	_, err := ratio.Helix(30, 40, 2.25*mm, 72*mm)
	fmt.Println(err)
	// Output:
	// 20/39: 22.80°
	// 20/40: 20.36°
	// ratio: 70 teeth of module 2.25 mm need at least 78.75 mm between centres and have 72 mm
}

func TestHelixInvertsCentreDistance(t *testing.T) {
	for β := 0 * deg; β < 45*deg; β += 5 * deg {
		got, err := ratio.Helix(17, 33, 2*mm, ratio.CentreDistance(17, 33, 2*mm, β))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "helix", float64(got), float64(β), 1e-7)
	}
}

func TestHunts(t *testing.T) {
	for _, tt := range []struct {
		a, b int
		want bool
	}{{8, 37, true}, {13, 46, true}, {20, 40, false}, {26, 33, true}, {21, 39, false}} {
		if got := (ratio.Pair{Driver: tt.a, Driven: tt.b}).Hunts(); got != tt.want {
			t.Errorf("%d/%d hunts: got %v, want %v", tt.a, tt.b, got, tt.want)
		}
	}
}

func TestParseTrainRefuses(t *testing.T) {
	for _, s := range []string{"", "13", "13/", "/46", "0/46", "13/0", "13/46/12", "13.5/46", "-13/46", "1000/46", "13/46 x", "13/()/46", "1/1x1/1x1/1x1/1x1/1x1/1x1/1x1/1x1/1"} {
		if tr, err := ratio.ParseTrain(s); err == nil {
			t.Errorf("%q was read as %+v", s, tr)
		}
	}
	if _, err := ratio.FromTurns(0, 10, false); err == nil {
		t.Error("no turns of the input were accepted")
	}
}
