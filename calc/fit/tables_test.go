package fit

import (
	"math"
	"slices"
	"testing"
)

// mean returns the geometric mean of a range in mm; the first counts from 1.
func mean(ends []int64, i int) float64 {
	if i == 0 {
		return math.Sqrt(1 * float64(ends[0]))
	}
	return math.Sqrt(float64(ends[i-1]) * float64(ends[i]))
}

// Δ = ITn − IT(n−1) above 3 mm, and 0 below: the identity behind the table.
func TestDelta(t *testing.T) {
	for step := range steps {
		for g := 3; g <= 8; g++ {
			want := tolerances[step][g+1] - tolerances[step][g]
			if step == 0 {
				want = 0
			}
			if got := deltas[step][g-3]; got != want {
				t.Errorf("Δ to %d mm at IT%d is %g, want %g", steps[step], g, got, want)
			}
		}
	}
}

// The table against i = 0.45 ∛D + 0.001 D and its multiples 7 to 2500 (formula
// from memory). The table is the standard; the bounds are what it keeps to.
func TestToleranceFormula(t *testing.T) {
	multiples := []float64{7, 10, 16, 25, 40, 64, 100, 160, 250, 400, 640, 1000, 1600, 2500}
	bound := []float64{0.135, 0.085, 0.055, 0.055}
	for step := range steps {
		d, most := mean(steps[:], step), 0.03
		if step < len(bound) {
			most = bound[step]
		}
		i := 0.45*math.Cbrt(d) + 0.001*d
		for n, m := range multiples {
			if got := tolerances[step][n+6]; !(math.Abs(m*i/got-1) <= most) {
				t.Errorf("IT%d to %d mm is %g, the formula gives %.2f", n+5, steps[step], got, m*i)
			}
		}
	}
}

// [MD15] table 15.4: the formulas behind the deviations. m is exact above 3 mm,
// p, s and the rest follow their formula within the rounding the table shows.
func TestDeviationFormulas(t *testing.T) {
	column := func(l string) int { return slices.Index(letters[:], l) }
	for sub := range substeps {
		if sub == 0 {
			continue
		}
		d := mean(substeps[:], sub)
		step := slices.IndexFunc(steps[:], func(s int64) bool { return s >= substeps[sub] })
		it := func(n int) float64 { return tolerances[step][n+1] }
		v := func(l string) float64 { return deviations[sub][column(l)] }
		if got, want := v("m"), it(7)-it(6); got != want {
			t.Errorf("m to %d mm is %g, want %g", substeps[sub], got, want)
		}
		if over := v("p") - it(7); !(0 <= over && over <= 5) {
			t.Errorf("p to %d mm is %g over IT7", substeps[sub], over)
		}
		dd := mean(steps[:], step) // letters that do not change within a step
		ks, c, cShare := it(7)+0.4*d, 95+0.8*d, 0.03
		if d <= 40 { // printed for these sizes, but the table keeps well away from it
			c, cShare = 52*math.Pow(d, 0.2), 0.16
		}
		if substeps[sub] <= 50 {
			if over := v("s") - it(8); !(1 <= over && over <= 4) {
				t.Errorf("s to %d mm is %g over IT8", substeps[sub], over)
			}
			ks = v("s")
		}
		for _, c := range []struct {
			letter      string
			want, share float64
		}{
			{"c", -c, cShare}, {"k", 0.6 * math.Cbrt(dd), 0}, {"s", ks, 0.03}, {"d", -16 * math.Pow(dd, 0.44), 0.03}, {"e", -11 * math.Pow(dd, 0.41), 0.035},
			{"f", -5.5 * math.Pow(dd, 0.41), 0.05}, {"g", -2.5 * math.Pow(dd, 0.34), 0.1}, {"n", 5 * math.Pow(dd, 0.34), 0.06},
			{"t", it(7) + 0.63*d, 0.03}, {"u", it(7) + d, 0.03}, {"v", it(7) + 1.25*d, 0.03}, {"x", it(7) + 1.6*d, 0.035}, {"y", it(7) + 2*d, 0.03},
			{"z", it(7) + 2.5*d, 0.04}, {"za", it(8) + 3.15*d, 0.045}, {"zb", it(9) + 4*d, 0.05}, {"zc", it(10) + 5*d, 0.09},
			{"r", math.Sqrt(v("p") * v("s")), 0.035},
		} {
			if c.letter > "s" && substeps[sub] <= 30 {
				continue // small sizes were rounded up by hand
			}
			got := v(c.letter)
			if got != none && !(math.Abs(got-c.want) <= max(1, c.share*math.Abs(c.want))) {
				t.Errorf("%s to %d mm is %g, the formula gives %.1f", c.letter, substeps[sub], got, c.want)
			}
		}
	}
}

// At one size the letters climb from a to zc, and in one letter sizes only grow
// away from the nominal.
func TestDeviationsClimb(t *testing.T) {
	for sub, row := range deviations {
		last := math.Inf(-1)
		for c, v := range row {
			if v == none {
				continue
			}
			if !(v >= last) {
				t.Errorf("%s to %d mm is %g, below the letter before", letters[c], substeps[sub], v)
			}
			last = v
			if sub > 0 && deviations[sub-1][c] != none && !(math.Abs(v) >= math.Abs(deviations[sub-1][c])) {
				t.Errorf("%s to %d mm is %g, nearer to 0 than at the size before", letters[c], substeps[sub], v)
			}
		}
	}
}
