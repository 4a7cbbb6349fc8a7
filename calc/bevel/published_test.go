package bevel_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"endfloat/calc/bevel"
	"endfloat/calc/unit"
)

const thou = unit.Inch / 1000

// [TM369] table 5-4, p. 5-409: by how many thousandths of an inch to change the
// shims for the number etched on the old pinion and on the new one, both from +4 to
// −4, and the same in millimetres. Its example: old +2, new −1, take off 0.003.
func TestPinionMarkings(t *testing.T) {
	printed := []float64{0, .025, .051, .076, .102, .127, .152, .178, .203} // mm, of 0 to 8 thousandths
	for was := -4; was <= 4; was++ {
		for now := -4; now <= 4; now++ {
			move, err := bevel.SwapMove(unit.Length(was)*thou, unit.Length(now)*thou, bevel.PlusFurther)
			if err != nil {
				t.Fatal(err)
			}
			shim, err := bevel.DepthShim(40*thou, move, bevel.ThickerAway)
			if err != nil {
				t.Fatal(err)
			}
			name := fmt.Sprintf("old %+d, new %+d", was, now)
			near(t, name, float64((shim-40*thou)/thou), float64(now-was), 1e-9)
			near(t, name+" in mm", math.Abs(float64((shim-40*thou)/mm)), printed[max(now-was, was-now)], 5.1e-4)
		}
	}
	move, _ := bevel.SwapMove(2*thou, -1*thou, bevel.PlusFurther)
	shim, _ := bevel.DepthShim(0.50*mm, move, bevel.ThickerAway)
	near(t, "the example in mm", float64(0.50*mm-shim)/float64(mm), .076, 5e-4)
}

// [TM306] p. 8-28 and [TM660] pp. 8-20, 9-18: take a plus number of the old pinion
// off the pack, or add a minus one, which is the standard pack; then add a plus one
// of the new pinion or take a minus one off. A whole number is thousandths of an
// inch, one with a point hundredths of a millimetre: +3 and +.03 are not the same.
func TestStandardPack(t *testing.T) {
	const pack = 30 * thou
	for _, c := range []struct{ was, now, want unit.Length }{
		{3 * thou, 2 * thou, 29 * thou},
		{-3 * thou, 2 * thou, 35 * thou},
		{0.03 * mm, -0.03 * mm, pack - 0.06*mm},
		{3 * thou, 0.03 * mm, pack - 3*thou + 0.03*mm},
	} {
		standard := pack - c.was
		move, err := bevel.SwapMove(c.was, c.now, bevel.PlusFurther)
		if err != nil {
			t.Fatal(err)
		}
		shim, err := bevel.DepthShim(pack, move, bevel.ThickerAway)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "by the steps of the manual", float64(shim), float64(standard+c.now), 1e-12)
		near(t, "new pack", float64(shim), float64(c.want), 1e-12)
	}
}

// [TM289] table 6-1, p. 6-19: side bearings without play take 0.250 in on the crown
// wheel's side and 0.265 on the other; 0.010 across for backlash, then 0.004 more at
// each side for preload make 0.244 and 0.279. The mm beside them are 6.198 and
// 7.087. The 0.010 are for 0.005 to 0.008 of backlash.
func ExampleSideTotal_published() {
	const seats, cups = 2.515 * unit.Inch, 2 * unit.Inch // any two that differ by 0.515
	total := bevel.SideTotal(seats, cups, 0.008*unit.Inch)
	crown := 0.250*unit.Inch - 0.010*unit.Inch + 0.004*unit.Inch
	fmt.Printf("%.3f and %.3f in, %.3f and %.3f mm\n", crown/unit.Inch, (total-crown)/unit.Inch, crown/mm, (total-crown)/mm)
	// Output: 0.244 and 0.279 in, 6.198 and 7.087 mm
}

// The same table read as a backlash factor: 0.005 to 0.008 over 0.010. The factors
// of axles lie between, normal and straight alike.
func TestFactorWithinTable(t *testing.T) {
	for _, z := range [][2]int{{13, 40}, {11, 41}, {9, 35}, {8, 37}} {
		if k := factor(t, bevel.Normal, z[0], z[1], false, 20*deg, 35*deg); k < .5 || k > .8 {
			t.Errorf("%v: factor %.3f, want one of [TM289], 0.5 to 0.8", z, k)
		}
	}
}

// [JINDAL] examples 27-2 and 27-5: 20 and 36 teeth, δ1 29.05°, virtual teeth 22.88.
func TestVirtualTeeth(t *testing.T) {
	d1, d2, err := bevel.PitchAngles(20, 36)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "δ1", float64(d1/deg), 29.0546, 5e-5)
	near(t, "z/cos δ1", 20/math.Cos(float64(d1)), 22.88, 5e-3)
	near(t, "sum", float64((d1+d2)/deg), 90, 1e-12)
}

// Our own pair of 9 and 35: 0.05 of normal backlash takes 0.0755 of shim. The
// readings of one turn may differ by 0.05 in axle repair manuals ([AXLE]), which a
// back face 0.075 out of true uses up.
func TestShimForBacklash(t *testing.T) {
	k := factor(t, bevel.Normal, 9, 35, false, 20*deg, 35*deg)
	move, err := bevel.Transfer(0.15*mm, 0.20*mm, k)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "away", float64(move/mm), -0.0755, 5e-5)
	v, err := bevel.Variation(0.075*mm, 20*deg, 75.5792*deg)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "swing", float64(v/mm), 0.05, 5e-4)
}

// [AGMABL], every row: diametral pitch from and to, quality 7 to 13 and 3 to 6 in
// inches, the former in millimetres too. Three of its headings have a point slipped
// ("8.00-1.00", "1.00-16.00", "16.00-2.00") and must read 8 to 10, 10 to 16 and 16 to
// 20: read as printed, a row would begin below where it ends.
func TestAllowanceTable(t *testing.T) {
	for _, r := range []struct{ from, to, f1, f2, c1, c2, mm1, mm2 float64 }{
		{1, 1.25, .020, .030, .045, .065, .51, .76}, {1.25, 1.5, .018, .026, .035, .055, .46, .66},
		{1.5, 1.75, .016, .022, .025, .045, .41, .56}, {1.75, 2, .014, .018, .020, .040, .36, .46},
		{2, 2.5, .012, .016, .020, .030, .30, .41}, {2.5, 3, .010, .013, .015, .025, .25, .33},
		{3, 3.5, .008, .011, .012, .022, .20, .28}, {3.5, 4, .007, .009, .010, .020, .18, .23},
		{4, 5, .006, .008, .008, .016, .15, .20}, {5, 6, .005, .007, .006, .013, .13, .18},
		{6, 8, .004, .006, .005, .010, .10, .15}, {8, 10, .003, .005, .004, .008, .08, .13},
		{10, 16, .002, .004, .003, .005, .05, .10}, {16, 20, .001, .003, .002, .004, .03, .08},
	} {
		for _, dp := range []float64{r.from, (r.from + r.to) / 2, r.to - 1e-6} {
			lo, hi, err := bevel.Allowance(unit.Inch/unit.Length(dp), bevel.Fine)
			lo2, hi2, err2 := bevel.Allowance(unit.Inch/unit.Length(dp), bevel.Coarse)
			if err != nil || err2 != nil {
				t.Fatal(err, err2)
			}
			name := fmt.Sprintf("pitch %.4g", dp)
			near(t, name+" fine least", float64(lo/unit.Inch), r.f1, 1e-12)
			near(t, name+" fine most", float64(hi/unit.Inch), r.f2, 1e-12)
			near(t, name+" coarse least", float64(lo2/unit.Inch), r.c1, 1e-12)
			near(t, name+" coarse most", float64(hi2/unit.Inch), r.c2, 1e-12)
			near(t, name+" least in mm", float64(lo/mm), r.mm1, 6e-3)
			near(t, name+" most in mm", float64(hi/mm), r.mm2, 6e-3)
		}
	}
}

// [TM653] p. 4-181: what follows each move to bring the backlash back. Toe: wheel
// away, then pinion in; heel: wheel in, then pinion out; high: pinion in, then wheel
// away; low: pinion out, then wheel in.
func TestPairedMoves(t *testing.T) {
	for _, c := range []struct {
		marks      [2]bevel.Mark
		move, then string
	}{
		{both(bevel.Mid, bevel.Toe), "crown wheel away", "pinion toward"},
		{both(bevel.Mid, bevel.Heel), "crown wheel toward", "pinion away"},
		{both(bevel.High, bevel.Centre), "pinion toward", "crown wheel away"},
		{both(bevel.Low, bevel.Centre), "pinion away", "crown wheel toward"},
	} {
		a, err := bevel.Move(c.marks[0], c.marks[1])
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(a.Move, c.move) || !strings.Contains(a.Restore, c.then) {
			t.Errorf("%v: %q, %q; want the %s, then the %s", c.marks[0], a.Move, a.Restore, c.move, c.then)
		}
	}
}

// Trap: [TM643] p. 16-30 ties toe and heel to the pinion and high and low to the
// backlash, against [TM660], [TM306], [TM638], [TM653] and [TM671]. Not followed.
func TestContradictingManual(t *testing.T) {
	for _, e := range []bevel.End{bevel.Toe, bevel.Heel} {
		if a, err := bevel.Move(bevel.Mark{Height: bevel.Mid, End: e}, bevel.Mark{Height: bevel.Mid, End: e}); err != nil || !strings.Contains(a.Move, "crown wheel") || strings.Contains(a.Move, "move the pinion") {
			t.Errorf("%s: %q, %v", e, a.Move, err)
		}
	}
	for _, h := range []bevel.Height{bevel.High, bevel.Low} {
		if a, err := bevel.Move(bevel.Mark{Height: h, End: bevel.Centre}, bevel.Mark{Height: h, End: bevel.Centre}); err != nil || !strings.HasPrefix(a.Move, "move the pinion") {
			t.Errorf("%s: %q, %v", h, a.Move, err)
		}
	}
}

// A steeper cone, a blunter flank and more spiral open the backlash more.
func TestFactorGrows(t *testing.T) {
	for _, s := range []bevel.Sense{bevel.Normal, bevel.Transverse} {
		last := [3]float64{}
		for i := 1; i < 8; i++ {
			x := unit.Angle(i) * 5 * deg
			pitch, err1 := bevel.Factor(s, 20*deg, 30*deg, 2*x)
			flank, err2 := bevel.Factor(s, x, 30*deg, 70*deg)
			spiral, err3 := bevel.Factor(s, 20*deg, x, 70*deg)
			if err1 != nil || err2 != nil || err3 != nil {
				t.Fatal(err1, err2, err3)
			}
			if !(pitch > last[0] && flank > last[1] && (spiral > last[2] || s == bevel.Normal && spiral >= last[2])) {
				t.Errorf("%s, step %d: %g, %g, %g after %g", s, i, pitch, flank, spiral, last)
			}
			last = [3]float64{pitch, flank, spiral}
		}
	}
}
