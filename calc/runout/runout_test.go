package runout_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"endfloat/calc/runout"
	"endfloat/calc/unit"
)

const (
	µm  = unit.Micrometre
	deg = unit.Degree
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.7g, want %.7g ± %g", what, got, want, tol)
	}
}

func dial(values ...float64) []unit.Length {
	rs := make([]unit.Length, len(values))
	for i, v := range values {
		rs[i] = unit.Length(v) * µm
	}
	return rs
}

// angleBetween returns the difference of two angles, from −180° to 180°.
func angleBetween(a, b unit.Angle) float64 {
	return math.Remainder(float64(a-b), 2*math.Pi) / float64(deg)
}

// A shaft read at eight places to the micrometre: an offset of 12 toward 30°
// and two lobes of 3. Made with the formulas of [ROUND].
func ExampleFit() {
	var readings []unit.Length
	for _, r := range []unit.Length{23, 24, 14, 5, 2, 0, 2, 11} {
		readings = append(readings, r*unit.Micrometre)
	}
	w, err := runout.Fit(readings, 0.5*unit.Micrometre)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("offset %.1f ± %.1f µm toward %.0f°\n", w.E/unit.Micrometre, w.UE/unit.Micrometre, w.At/unit.Degree)
	fmt.Printf("run-out %.0f µm, of which form %.1f\n", w.RunOut/unit.Micrometre, w.Form/unit.Micrometre)
	// Output:
	// offset 12.2 ± 1.4 µm toward 30°
	// run-out 24 µm, of which form 4.7
}

// Sets computed from a closed form, 0.001 mm: c 10, e 12 toward 30°, pure, with a
// second wave 3 cos(2θ − 40°), and that rounded to whole numbers.
func TestFit(t *testing.T) {
	for _, c := range []struct {
		name                                    string
		readings                                []unit.Length
		mean, e, at, scatter, form, runout, tol float64
	}{
		{"pure", dial(20.392, 21.591, 16.000, 6.894, -0.392, -1.591, 4.000, 13.106), 10, 12, 30, 0, 0, 23.182, 1e-3},
		{"two lobes", dial(22.690, 23.519, 13.702, 4.966, 1.906, 0.337, 1.702, 11.177), 10, 12, 30, 2.683, 4.596, 23.182, 1e-3},
		{"rounded", dial(23, 24, 14, 5, 2, 0, 2, 11), 10.125, 12.2307, 30.361, 2.7025, 4.735, 24, 6e-4},
	} {
		w, err := runout.Fit(c.readings, 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+" mean", float64(w.Mean/µm), c.mean, c.tol)
		near(t, c.name+" e", float64(w.E/µm), c.e, c.tol)
		near(t, c.name+" at", float64(w.At/deg), c.at, 0.005)
		near(t, c.name+" scatter", float64(w.Scatter/µm), c.scatter, c.tol)
		near(t, c.name+" form", float64(w.Form/µm), c.form, 1.2e-3)
		near(t, c.name+" run-out", float64(w.RunOut/µm), c.runout, c.tol)
		near(t, c.name+" u(e)", float64(w.UE/µm), c.scatter/2, c.tol)
		near(t, c.name+" u(at)", float64(w.UAt), c.scatter/2/c.e, c.tol)
	}
}

// Waves of 2 to N − 2 a turn leave the offset alone; one of N − 1 looks like one.
// A change of zero or of the first place changes nothing but the mean or the angle.
func TestHarmonics(t *testing.T) {
	for _, n := range []int{4, 5, 8, 12} {
		for h := 0; h < n; h++ {
			readings := make([]unit.Length, n)
			for k := range readings {
				θ := 2 * math.Pi * float64(k) / float64(n)
				readings[k] = unit.Length(500+12*math.Cos(θ-1)+5*math.Cos(float64(h)*θ+0.3)) * µm
			}
			w, err := runout.Fit(readings, 0)
			if err != nil {
				t.Fatal(err)
			}
			off := math.Abs(float64(w.E/µm)-12) + math.Abs(float64(w.At)-1)
			if leaks := off > 1e-9; leaks != (h == 1 || h == n-1) {
				t.Errorf("%d readings, wave of %d: e %.4f at %.4f", n, h, float64(w.E/µm), float64(w.At))
			}
			var sum unit.Length
			for _, r := range w.Residuals {
				sum += r
			}
			near(t, "sum of the residuals", float64(sum/µm), 0, 1e-9)
			moved := append(append([]unit.Length{}, readings[1:]...), readings[0])
			v, err := runout.Fit(moved, 0)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "moved e", float64(v.E/µm), float64(w.E/µm), 1e-9)
			near(t, "moved at", angleBetween(v.At, w.At), -360/float64(n), 1e-6)
		}
	}
}

// A pure offset shares all of the variance and a part that is round and true none;
// the dial's own uncertainty is the least that is claimed.
func TestUncertainty(t *testing.T) {
	w, err := runout.Fit(dial(20, 10, 0, 10), 3*µm)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "share", w.Share, 1, 1e-12)
	near(t, "u(e)", float64(w.UE/µm), 3/math.Sqrt2, 1e-9)
	near(t, "u(at)", float64(w.UAt), 0.3/math.Sqrt2, 1e-9)
	if w, err = runout.Fit(dial(7, 7, 7, 7, 7), 0); err != nil || w.E != 0 || w.Share != 0 {
		t.Errorf("%+v, %v", w, err)
	}
	near(t, "direction of nothing", float64(w.UAt), math.Pi/math.Sqrt(3), 1e-12)
}

// Values from the closed form cos(π/N), and the bound itself by trying first places.
func TestSeen(t *testing.T) {
	for n, want := range map[int]float64{4: 0.707, 6: 0.866, 8: 0.924, 12: 0.966, 16: 0.981, 24: 0.991} {
		got, err := runout.Seen(n)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprint(n), got, want, 6e-4)
	}
	for _, n := range []int{2, 3, 4, 5, 8, 9} {
		least := 1.0
		for start := 0.0; start < 2*math.Pi; start += 1e-4 {
			lo, hi := 1.0, -1.0
			for k := range n {
				x := math.Cos(start + 2*math.Pi*float64(k)/float64(n))
				lo, hi = min(lo, x), max(hi, x)
			}
			least = min(least, (hi-lo)/2)
		}
		got, err := runout.Seen(n)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprint(n, " tried"), got, least, 1e-4)
	}
	if s, err := runout.Seen(1); err == nil {
		t.Errorf("one reading sees %v", s)
	}
}

var one, two = runout.Offset{E: 20 * µm, At: 40 * deg}, runout.Offset{E: 15 * µm, At: 250 * deg}

// Two offsets, 20 at 40° and 15 at 250°: as they were found 10.27 is left, turned by
// 330° only 5.
func ExampleCancel() {
	found, _ := runout.Together(one, two, 0)
	best, _ := runout.Cancel(one, two)
	fmt.Printf("as found %.2f µm, turned by %.0f° %.2f µm\n", found.E/µm, best.Turn/deg, best.Left.E/µm)
	// Output: as found 10.27 µm, turned by 330° 5.00 µm
}

// Computed from the law of cosines.
func TestIndexes(t *testing.T) {
	found, err := runout.Together(one, two, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "as found", float64(found.E/µm), 10.266, 5e-4)
	near(t, "direction", angleBetween(found.At, 0), -6.94, 5e-3)
	for _, c := range []struct {
		steps             int
		turn, left, worst float64
	}{{24, 330, 5.000, 35.000}, {8, 315, 6.741, 34.707}, {6, 0, 10.266, 33.832}, {4, 0, 10.266, 33.832}, {1, 0, 10.266, 10.266}} {
		all, err := runout.Indexes(one, two, c.steps)
		if err != nil || len(all) != c.steps {
			t.Fatal(len(all), err)
		}
		name := fmt.Sprint(c.steps, " steps")
		near(t, name, float64(all[0].Turn/deg), c.turn, 1e-9)
		near(t, name+" left", float64(all[0].Left.E/µm), c.left, 5e-4)
		near(t, name+" worst", float64(all[c.steps-1].Left.E/µm), c.worst, 5e-4)
		if c.steps == 6 {
			near(t, "the tie", float64(all[1].Turn/deg), 300, 1e-9)
			near(t, "the tie left", float64(all[1].Left.E/µm), 10.266, 5e-4)
		}
	}
	free, err := runout.Cancel(one, two)
	if err != nil {
		t.Fatal(err)
	}
	many, _ := runout.Indexes(one, two, 3600)
	near(t, "free", float64(free.Turn/deg), 330, 1e-9)
	near(t, "free and many steps", float64(many[0].Left.E/µm), float64(free.Left.E/µm), 1e-3)
}

// By hand: 0.05 on a cylindrical gear of 20° makes 0.0364, on the back of a wheel of
// 35 teeth with a pinion of 9 makes 0.0331 of normal backlash.
func TestBacklash(t *testing.T) {
	j, err := runout.BacklashOfGear(50*µm, 20*deg)
	near(t, "gear", float64(j/µm), 36.4, 0.05)
	if err != nil {
		t.Error(err)
	}
	j, err = runout.BacklashOfWheel(50*µm, 20*deg, unit.Angle(math.Atan2(35, 9)))
	near(t, "wheel", float64(j/µm), 33.1, 0.05)
	if err != nil {
		t.Error(err)
	}
	tight, err := runout.Tightest(155*µm, j)
	near(t, "tightest", float64(tight/µm), 155-float64(j/µm)/2, 1e-9)
	if err != nil {
		t.Error(err)
	}
}

// Backlash of a wheel that runs out is itself a wave: its swing and its tight place
// come out of the same fit.
func TestBacklashIsAWave(t *testing.T) {
	swing, err := runout.BacklashOfWheel(50*µm, 20*deg, 78*deg)
	if err != nil {
		t.Fatal(err)
	}
	var readings []unit.Length
	for k := range 8 {
		readings = append(readings, 160*µm+swing/2*unit.Length(math.Cos(2*math.Pi*float64(k)/8-2)))
	}
	w, err := runout.Fit(readings, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "swing", float64(w.Offset.RunOut()/µm), float64(swing/µm), 1e-9)
	near(t, "share", w.Share, 1, 1e-9)
}

// What cannot be is refused, in words that name it.
func TestRefusals(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		err  error
		want string
	}{
		{second(runout.Fit(dial(1, 2, 3), 0)), "got 3 readings"},
		{second(runout.Fit(dial(1, 2, nan, 4), 0)), "reading 3, NaN mm"},
		{second(runout.Fit(dial(1, 2, 3, 2e6), 0)), "reading 4, 2000 mm"},
		{second(runout.Fit(dial(1, 2, 3, 4), -1)), "uncertainty"},
		{second(runout.Together(one, runout.Offset{E: -1}, 0)), "part 2"},
		{second(runout.Together(one, two, unit.Angle(nan))), "NaN rad"},
		{second(runout.Cancel(runout.Offset{At: unit.Angle(nan)}, two)), "part 1"},
		{second(runout.Indexes(one, two, 0)), "got 0"},
		{second(runout.Indexes(runout.Offset{E: unit.Length(nan)}, two, 3)), "part 1"},
		{second(runout.BacklashOfGear(-1, 20*deg)), "run-out"},
		{second(runout.BacklashOfGear(1*µm, 60*deg)), "60°"},
		{second(runout.BacklashOfWheel(unit.Length(nan), 20*deg, 70*deg)), "NaN mm"},
		{second(runout.BacklashOfWheel(1*µm, 20*deg, 0)), "pitch angle 0°"},
		{second(runout.Tightest(unit.Length(nan), 0)), "mean backlash"},
		{second(runout.Tightest(0, -1)), "swing"},
	} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("got error %v, want one with %q", c.err, c.want)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// Whatever is read, the answer is numbers or an error.
func FuzzFit(f *testing.F) {
	f.Add(1e-6, 2e-6, 3e-6, 4e-6, 5e-6, 0.0, 8)
	f.Add(math.NaN(), 1e-300, -1e-300, 0.9, -0.9, math.Inf(1), 3)
	f.Fuzz(func(t *testing.T, a, b, c, d, e, u float64, steps int) {
		w, err := runout.Fit([]unit.Length{unit.Length(a), unit.Length(b), unit.Length(c), unit.Length(d), unit.Length(e)}, unit.Length(u))
		if err == nil {
			for _, x := range []float64{float64(w.E), float64(w.At), float64(w.Mean), float64(w.RunOut), float64(w.Form), float64(w.Scatter), float64(w.UE), float64(w.UAt), w.Share} {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Fatalf("%+v", w)
				}
			}
			if !(0 <= w.At && w.At < 2*math.Pi && 0 <= w.Share && w.Share <= 1) {
				t.Errorf("%+v", w)
			}
		}
		one, two := runout.Offset{E: unit.Length(a), At: unit.Angle(b)}, runout.Offset{E: unit.Length(c), At: unit.Angle(d)}
		best, err := runout.Cancel(one, two)
		all, err2 := runout.Indexes(one, two, steps)
		if err == nil && err2 == nil {
			if !(best.Left.E <= all[0].Left.E+1e-9 && all[0].Left.E <= all[len(all)-1].Left.E+1e-9) {
				t.Errorf("%v, %v to %v", best, all[0], all[len(all)-1])
			}
		}
		if j, err := runout.BacklashOfGear(unit.Length(a), unit.Angle(b)); err == nil && !(j >= 0 && j < 2) {
			t.Errorf("backlash %v", j)
		}
	})
}
