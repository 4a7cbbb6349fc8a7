package gear_test

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/gear"
	"endfloat/calc/unit"
)

const (
	mm  = unit.Millimetre
	µm  = unit.Micrometre
	deg = float64(unit.Degree)
)

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9g, want %.9g ± %g", what, got, want, tol)
	}
}

func must[T any](t testing.TB) func(T, error) T {
	return func(x T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
}

func pair(z1, z2 int, module unit.Length, helix, x1, x2 float64, centres unit.Length) gear.Pair {
	return gear.Pair{Gears: [2]gear.Gear{{Teeth: z1, Shift: x1}, {Teeth: z2, Shift: x2}}, Module: module,
		Helix: unit.Angle(helix) * unit.Degree, Rack: gear.RackA, Centres: centres}
}

// [GEARGUIDE], profile-shifted spur pair. It prints y and then a = 56.500 from Σx =
// 0.96; the exact sum for 56.5 is 0.960056.
func ExamplePair_Mesh() {
	p := gear.Pair{Gears: [2]gear.Gear{{Teeth: 12, Shift: 0.6}, {Teeth: 24, Shift: 0.36}}, Module: 3 * unit.Millimetre, Rack: gear.RackA}
	m, err := p.Mesh()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("a = %.3f mm, tips %.3f and %.3f mm, contact ratio %.3f\n",
		m.Centres/mm, m.Gears[0].Tip/mm, m.Gears[1].Tip/mm, m.Contact)
	// Output: a = 56.500 mm, tips 44.840 and 79.400 mm, contact ratio 1.202
}

func TestGuidePair(t *testing.T) {
	p := pair(12, 24, 3*mm, 0, .6, .36, 0)
	m := must[gear.Mesh](t)(p.Mesh())
	near(t, "inv α", gear.Inv(m.Pressure), 0.014904, 5e-7)
	near(t, "inv α_w", gear.Inv(m.Working), 0.034317, 1e-6)
	near(t, "α_w", float64(m.Working)/deg, 26.0888, 5e-4)
	near(t, "a", float64(m.Centres/mm), 56.4999, 1e-3)
	near(t, "y", float64((m.Centres-m.Reference)/(3*mm)), 0.83333, 5e-5)
	for i, want := range [2]struct{ base, pitch, tip, root float64 }{{33.8289, 37.667, 44.840, 32.100}, {67.6579, 75.333, 79.400, 66.660}} {
		d := m.Gears[i]
		near(t, "base", float64(d.Base/mm), want.base, 1e-4)
		near(t, "pitch", float64(d.Pitch/mm), want.pitch, 1e-3)
		near(t, "tip", float64(d.Tip/mm), want.tip, 1e-3)
		near(t, "root", float64(d.Root/mm), want.root, 1e-3)
		near(t, "height", float64((d.Tip-d.Root)/2/mm), 6.370, 1e-3)
	}
	near(t, "ε_α", m.Contact, 1.202, 1e-3)
	near(t, "Σx at 56.5", must[float64](t)(p.ShiftSum(56.5*mm)), 0.960056, 1e-6)
}

// [GEARSHEET]: a helical pair, both senses of the same 0.030 mm. The sheet prints
// α_t = 21.2990642859°, which is a helix angle of 21°.
func TestSheetPair(t *testing.T) {
	p := pair(31, 30, 3.5*mm, 21, 0, 0, 116.5*mm)
	m := must[gear.Mesh](t)(p.Mesh())
	near(t, "α_t", float64(m.Pressure)/deg, 21.2990642859, 1e-9)
	near(t, "a_0", float64(m.Reference/mm), 114.3447280708, 1e-9)
	near(t, "inv α_t", gear.Inv(m.Pressure), 0.0181260949, 1e-9)
	near(t, "α_wt", float64(m.Working)/deg, 23.8707609654, 1e-9)
	near(t, "inv α_wt", gear.Inv(m.Working), 0.0259052382, 1e-9)
	near(t, "Σx", m.ShiftSum, 0.6518771312, 1e-9)
	near(t, "Σx_E, square to the flank", must[float64](t)(p.CutSum(m.ShiftSum, 30*µm, gear.NormalToFlank)), 0.639346541, 1e-9)
	near(t, "Σx_E, along the circle", must[float64](t)(p.CutSum(m.ShiftSum, 30*µm, gear.AtReference)), 0.6401022280, 1e-9)
	if _, err := p.CutSum(0.6, 0, "loose"); err == nil {
		t.Error("a sense of backlash that does not exist was taken")
	}
}

// [TR6336-30] example 1, printed figures through public transcriptions: the shift
// that the centres ask for, the virtual form and the shift a span over the wheel shows.
func TestReportPair(t *testing.T) {
	p := pair(17, 103, 8*mm, 15.8, 0, 0, 500*mm)
	p.Gears[0].Face, p.Gears[1].Face = 100*mm, 100*mm
	p.Rack = gear.RackD
	near(t, "x1", must[float64](t)(p.ShiftSum(500*mm)), 0.14522, 5e-6)
	p.Gears[0].Shift = 0.14522
	m := must[gear.Mesh](t)(p.Mesh())
	near(t, "α_t", float64(m.Pressure)/deg, 20.7197, 5e-5)
	near(t, "β_b", float64(m.BaseHelix)/deg, 14.8245, 5e-5)
	near(t, "ε_β", m.Overlap, 1.0834, 5e-5)
	// The report prints Z_ε = 0.803 and c_γα/c' = 1.41182: ε_α = 1.549.
	near(t, "ε_α", m.Contact, 1.549, 2e-3)
	near(t, "x_E2 from the span", must[float64](t)(p.ShiftFromSpan(1, 13, 307.943*mm)), -0.02748, 1e-4)
}

// Textbook contact ratios: 24/77 is 1.711; the handbooks' example of 20/40 with
// x = ±0.15 and tips 44.6 and 83.4 has 1/ε = 0.619.
func TestContactRatios(t *testing.T) {
	near(t, "24/77", must[gear.Mesh](t)(pair(24, 77, 3*mm, 0, 0, 0, 0).Mesh()).Contact, 1.711, 5e-4)
	m := must[gear.Mesh](t)(pair(20, 40, 2*mm, 0, .15, -.15, 60*mm).Mesh())
	near(t, "20/40", 1/m.Contact, 0.619, 5e-4)
	near(t, "tip 1", float64(m.Gears[0].Tip/mm), 44.6, 1e-9)
	near(t, "tip 2", float64(m.Gears[1].Tip/mm), 83.4, 1e-9)
	// Two racks: the longest contact there can be, 2·h_aP/(π sin α cos α).
	two := must[gear.Mesh](t)(pair(1_000_000, 1_000_000, .1*mm, 0, 0, 0, 0).Mesh())
	near(t, "two racks", two.Contact, 2/(math.Pi*math.Sin(20*deg)*math.Cos(20*deg)), 1e-4)
}

// An involute that was taken comes back, and grows as α³/3 at its root.
func TestInvolute(t *testing.T) {
	for i := range 400 {
		a := float64(i) / 400 * 1.5
		v := gear.Inv(unit.Angle(a))
		near(t, "there and back", float64(must[unit.Angle](t)(gear.FromInv(v))), a, 1e-9)
	}
	near(t, "near 0", gear.Inv(0.001), 1e-9/3, 1e-14)
	near(t, "20°", gear.Inv(20*unit.Degree), 0.0149043838673, 1e-12)
	for _, bad := range []float64{-1e-9, math.NaN(), 1e9} {
		if _, err := gear.FromInv(bad); err == nil {
			t.Errorf("an involute of %g was taken", bad)
		}
	}
}

// Identities that hold for every pair: the sum of shifts and the centre distance are
// each other's inverse and leave no backlash; only the sum matters; a helical pair
// of 0° is a spur pair; the pitch circles touch.
func TestIdentities(t *testing.T) {
	for i := range 300 {
		f := func(k int) float64 { return math.Mod(float64(i*k)*0.6180339887, 1) }
		z1, z2 := 12+int(30*f(1)), 15+int(60*f(2))
		x1, x2 := 0.8*f(3)-.1, 0.8*f(5)-.3
		p := pair(z1, z2, unit.Length(1+4*f(7))*mm, 35*f(11), x1, x2, 0)
		m, err := p.Mesh()
		if err != nil {
			t.Fatalf("%+v: %v", p, err)
		}
		near(t, "Σx", must[float64](t)(p.ShiftSum(m.Centres)), x1+x2, 1e-9)
		j := must[gear.Backlash](t)(p.Backlash([2]unit.Length{}))
		near(t, "no backlash", float64(j.Circumferential/mm), 0, 1e-9)
		near(t, "pitch circles touch", float64((m.Gears[0].Pitch+m.Gears[1].Pitch)/2/m.Centres), 1, 1e-12)
		swapped := p
		swapped.Gears[0].Shift, swapped.Gears[1].Shift = x2, x1
		if s, err := swapped.Mesh(); err == nil {
			near(t, "only the sum matters", float64(s.Centres/m.Centres), 1, 1e-12)
		}
		// The clearance of the rack is left at both roots, or more.
		for k := range 2 {
			c := float64((m.Centres - m.Gears[k].Tip/2 - m.Gears[1-k].Root/2) / p.Module)
			if c < .25-1e-9 {
				t.Errorf("clearance %g", c)
			}
		}
		// Thinning both gears opens the base pitch by exactly that much.
		thin := [2]unit.Length{50 * µm, 70 * µm}
		got := must[gear.Backlash](t)(p.Backlash(thin))
		near(t, "thinning", float64(got.Normal/µm), 120*math.Cos(20*deg), 1e-6)
		near(t, "senses", float64(got.Normal/got.Circumferential), math.Cos(float64(m.Working))*math.Cos(float64(m.BaseHelix)), 1e-12)
		// A small change of the centres follows its slope.
		jt, jn := m.Growth()
		p.Centres = m.Centres + 1*µm
		wide := must[gear.Backlash](t)(p.Backlash([2]unit.Length{}))
		near(t, "slope, circumferential", float64(wide.Circumferential/µm), jt, 2e-3*jt)
		near(t, "slope, normal", float64(wide.Normal/µm), jn, 2e-3*jn)
		near(t, "the centres could close by it", float64(wide.Radial/µm), 1, 2e-3)
	}
}

// Our own figures for the pairs above, no published ones: a second working of the
// same formulas.
func TestBacklashFigures(t *testing.T) {
	p := pair(12, 24, 3*mm, 0, .6, .36, 56.5*mm)
	j := must[gear.Backlash](t)(p.Backlash([2]unit.Length{50 * µm, 70 * µm}))
	near(t, "j_wt", float64(j.Circumferential/mm), 0.12568, 1e-5)
	near(t, "j_bn", float64(j.Normal/mm), 0.11288, 1e-5)
	near(t, "j_r", float64(j.Radial/mm), 0.1283, 5e-5)
	near(t, "turn", float64(j.Angular)/deg*60, 22.94, 5e-3)
	p = pair(31, 30, 3.5*mm, 21, 0.6518771312, 0, 116.53*mm)
	j = must[gear.Backlash](t)(p.Backlash([2]unit.Length{}))
	near(t, "j_bn, exact", float64(j.Normal/mm), 0.022877, 1e-6)
	near(t, "j_wt, exact", float64(j.Circumferential/mm), 0.026576, 1e-6)
	jt, jn := must[gear.Mesh](t)(pair(31, 30, 3.5*mm, 21, 0, 0, 116.5*mm).Mesh()).Growth()
	near(t, "j_bn, linear", .03*jn, 0.022862, 1e-6)
	near(t, "j_wt, linear", .03*jt, 0.026552, 1e-6)
}

// Cut to the sum that leaves a backlash, the pair has that backlash.
func TestCutSumLeavesBacklash(t *testing.T) {
	p := pair(31, 30, 3.5*mm, 21, 0, 0, 116.5*mm)
	sum := must[float64](t)(p.ShiftSum(116.5 * mm))
	p.Gears[0].Shift = must[float64](t)(p.CutSum(sum, 30*µm, gear.NormalToFlank))
	near(t, "j_bn", float64(must[gear.Backlash](t)(p.Backlash([2]unit.Length{})).Normal/µm), 30, 1e-6)
}

func TestSpan(t *testing.T) {
	p := pair(24, 48, 2.5*mm, 18, 0.31, -.1, 0)
	for k := 2; k < 8; k++ {
		w := must[unit.Length](t)(p.Span(0, k, 0))
		near(t, "x back", must[float64](t)(p.ShiftFromSpan(0, k, w)), .31, 1e-12)
		next := must[unit.Length](t)(p.Span(0, k+1, 0))
		near(t, "a base pitch more", float64((next-w)/(2.5*mm)), math.Pi*math.Cos(20*deg), 1e-12)
	}
	thin := must[unit.Length](t)(p.Span(0, 3, 60*µm)) - must[unit.Length](t)(p.Span(0, 3, 0))
	near(t, "thinning", float64(thin/µm), -60*math.Cos(20*deg), 1e-9)
	// Maker's guides print W for 20°, m = 1, z = 24, k = 3: 7.7165, from memory.
	near(t, "24 teeth", float64(must[unit.Length](t)(pair(24, 24, 1*mm, 0, 0, 0, 0).Span(0, 3, 0))/mm), 7.7165, 1e-4)
}

// A gear by itself is as in a mesh that needs no shortened tips.
func TestAlone(t *testing.T) {
	p := pair(24, 48, 2.5*mm, 18, 0.31, -.31, 0)
	m := must[gear.Mesh](t)(p.Mesh())
	for i := range 2 {
		d := must[gear.Diameters](t)(p.Alone(i))
		d.Pitch = m.Gears[i].Pitch
		for _, x := range []float64{float64(d.Tip / m.Gears[i].Tip), float64(d.Root / m.Gears[i].Root), float64(d.Base / m.Gears[i].Base)} {
			near(t, "alone", x, 1, 1e-12)
		}
	}
}

func TestRefusals(t *testing.T) {
	ok := pair(20, 40, 2*mm, 0, 0, 0, 0)
	for name, change := range map[string]func(p *gear.Pair){
		"no teeth":        func(p *gear.Pair) { p.Gears[0].Teeth = 0 },
		"no module":       func(p *gear.Pair) { p.Module = 0 },
		"NaN module":      func(p *gear.Pair) { p.Module = unit.Length(math.NaN()) },
		"NaN shift":       func(p *gear.Pair) { p.Gears[1].Shift = math.NaN() },
		"NaN centres":     func(p *gear.Pair) { p.Centres = unit.Length(math.NaN()) },
		"steep":           func(p *gear.Pair) { p.Helix = 70 * unit.Degree },
		"no rack":         func(p *gear.Pair) { p.Rack = gear.Rack{} },
		"too near":        func(p *gear.Pair) { p.Centres = 56 * mm },
		"too far":         func(p *gear.Pair) { p.Centres = 70 * mm },
		"jammed by shift": func(p *gear.Pair) { p.Gears[0].Shift, p.Gears[1].Shift = -2.5, -2.5 },
		"tip below base":  func(p *gear.Pair) { p.Gears[0].Tip = 30 * mm },
	} {
		p := ok
		change(&p)
		if m, err := p.Mesh(); err == nil {
			t.Errorf("%s was accepted: %+v", name, m)
		}
	}
}

func BenchmarkMesh(b *testing.B) {
	p := pair(17, 38, 3*mm, 25, .3, .1, 0)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.Mesh(); err != nil {
			b.Fatal(err)
		}
	}
}
