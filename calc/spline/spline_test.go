package spline_test

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/spline"
)

const (
	mm  = 1e-3
	in  = 0.0254
	lbf = 4.4482216152605 // [SP811]
	psi = lbf / (in * in)
	mpa = 1e6
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.7g, want %.7g ± %g", what, got, want, tol)
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

// Eight splines 60/52 under 20 kW at 320 rpm, 6 MPa allowed. [SINGH] example 7.3, p.
// 204: 111 mm long; to shift under load at µ 0.06: 1278.9 N.
func ExampleSpline_Pressure() {
	s := spline.Spline{Teeth: 8, Inner: 52e-3, Outer: 60e-3, Length: 111.018e-3, Share: spline.Ideal}
	torque := 20e3 / (320 * math.Pi / 30)
	p, err := s.Pressure(torque)
	if err != nil {
		fmt.Println(err)
		return
	}
	f, _ := s.Slide(torque, 0.06)
	fmt.Printf("%.2f MPa, %.1f N to shift\n", p/1e6, f)
	// Output: 6.00 MPa, 1278.9 N to shift
}

func TestSpline(t *testing.T) {
	s := spline.Spline{Teeth: 24, Inner: 29 * mm, Outer: 31.4 * mm, Chamfer: .2 * mm, Length: 25 * mm, Share: spline.Usual}
	p := must[float64](t)(s.Pressure(300))
	near(t, "by hand", p/mpa, 300/(.75*24*15.1e-3*1e-3*25e-3)/mpa, 1e-9)
	near(t, "there and back", must[float64](t)(s.Torque(p)), 300, 1e-9)
	near(t, "turned round", must[float64](t)(s.Pressure(-300)), p, 0)
	s.Share = spline.Ideal
	near(t, "all carry", must[float64](t)(s.Pressure(300)), .75*p, 1e-3)
	for _, bad := range []spline.Spline{{}, {Teeth: 8, Inner: .06, Outer: .052, Length: .1, Share: 1}, {Teeth: 8, Inner: .052, Outer: .06, Length: .1, Share: 1.2}, {Teeth: 8, Inner: .052, Outer: .06, Chamfer: .005, Length: .1, Share: 1}} {
		if _, err := bad.Pressure(1); err == nil {
			t.Errorf("%+v was accepted", bad)
		}
	}
}

// Dudley's formulas by hand: 300 N·m, D 30, 24 teeth, 25 long, 1.9 thick, 1.0 high,
// root 27.5.
func TestDudley(t *testing.T) {
	g := spline.Toothing{Teeth: 24, Pitch: 30 * mm, Root: 27.5 * mm, Length: 25 * mm, Thickness: 1.9 * mm, Height: 1 * mm, Spread: 1}
	s := must[spline.Sides](t)(g.Stresses(300))
	near(t, "shaft", s.Shaft/mpa, 73.467, 5e-4)
	near(t, "teeth", s.Tooth/mpa, 35.088, 5e-4)
	near(t, "sides", s.Side/mpa, 33.333, 5e-4)
	g.Bore = 15 * mm
	near(t, "bored", must[spline.Sides](t)(g.Stresses(300)).Shaft/s.Shaft, 1/(1-math.Pow(15/27.5, 4)), 1e-9)
	// The sides are those of Spline where all teeth carry.
	near(t, "same as Spline", must[float64](t)(spline.Spline{Teeth: 24, Inner: 29 * mm, Outer: 31 * mm, Length: 25 * mm, Share: 1}.Pressure(300)), s.Side, 1e-3)
	// Rows of [DUDLEY] through notes.
	near(t, "Ka", must[float64](t)(spline.DriveFactor(2, 1)), 2.2, 0)
	near(t, "Lf", must[float64](t)(spline.LifeFactor(1e5, false)), 0.5, 1e-12)
	near(t, "Lf, turning round", must[float64](t)(spline.LifeFactor(1e6, true)), 0.3, 1e-12)
	near(t, "Lf, few", must[float64](t)(spline.LifeFactor(10, true)), 1.8, 0)
	near(t, "Lf, many", must[float64](t)(spline.LifeFactor(1e9, false)), 0.3, 0)
	near(t, "Lw", must[float64](t)(spline.WearFactor(1e8)), 1, 1e-12)
	steels := spline.Steels()
	near(t, "case-hardened", steels[4].Shear/psi, 50000, 1e-6*50000)
	a := must[spline.Allowed](t)(steels[4].Allow(2, 0.5, 1.4, false))
	near(t, "shear", a.Shear/psi, 12500, .1)
	near(t, "fixed", a.Fixed/psi, 9*5000*.5/2, .1)
	near(t, "flexible", a.Flexible/psi, 5000*1.4/2, .1)
	last := 9.0
	for c := 100.0; c < 1e9; c *= 1.1 {
		f := must[float64](t)(spline.LifeFactor(c, true))
		if f > last || f < .9*last && last < 9 {
			t.Fatalf("at %g cycles %g after %g", c, f, last)
		}
		last = f
	}
}

// Worked by hand: 300 N·m, six dogs at 35 mm, 4 × 6 mm each, three in four carry:
// 8571.4 N in all, 79.37 MPa. No published example is known.
func TestDogs(t *testing.T) {
	d := spline.Dogs{Count: 6, Radius: 35 * mm, Contact: 24e-6, Root: 60e-6, Share: .75}
	near(t, "pressure", must[float64](t)(d.Pressure(300))/mpa, 79.37, .005)
	near(t, "shear", must[float64](t)(d.Shear(300))/must[float64](t)(d.Pressure(300)), 24.0/60, 1e-12)
	draw := func(back, µ float64) (float64, float64) {
		d.Back = back
		in, out, err := d.Draw(300, µ)
		if err != nil {
			t.Fatal(err)
		}
		return in, out
	}
	in, out := draw(0, .1)
	near(t, "straight dogs hold by friction", in, -out, 1e-9)
	near(t, "friction", out, .1*300/.035, 1e-9)
	in, out = draw(.1, 0)
	near(t, "smooth: in is out", in, out, 1e-9)
	near(t, "smooth wedge", in, 300/.035*math.Tan(.1), 1e-9)
	if in, _ := draw(math.Atan(.1), .1); math.Abs(in) > 1e-9 {
		t.Errorf("at the angle of friction the dogs neither draw nor slip: %g N", in)
	}
	if _, out := draw(-.2, .1); out >= 0 {
		t.Error("dogs worn the wrong way stay in gear")
	}
}

// [FAIRES] problem 521, posted solutions: a shaft of 2 in, 87.65 kip·in; square key
// 1/2: shear of 39.6 ksi takes 4.43 in, pressure of 66 ksi 5.32 (exactly 5.31); flat
// key 3/8 7.09 (7.08); stronger steel, 42.6 and 71 ksi: 4.12, 4.94, 6.59 (6.58).
func TestKeyPublished(t *testing.T) {
	torque := 87650 * lbf * in
	key := func(height, length float64) spline.Key {
		return spline.Key{Diameter: 2 * in, Width: .5 * in, Depth: height / 2 * in, Length: length * in, Count: 1}
	}
	near(t, "shear", must[float64](t)(key(.5, 4.43).Shear(torque))/psi, 39600, 60)
	near(t, "square", must[float64](t)(key(.5, 5.32).Pressure(torque))/psi, 66000, 150)
	near(t, "flat", must[float64](t)(key(.375, 7.09).Pressure(torque))/psi, 66000, 150)
	near(t, "shear, stronger", must[float64](t)(key(.5, 4.12).Shear(torque))/psi, 42600, 100)
	near(t, "square, stronger", must[float64](t)(key(.5, 4.94).Pressure(torque))/psi, 71000, 100)
	near(t, "flat, stronger", must[float64](t)(key(.375, 6.59).Pressure(torque))/psi, 71000, 100)
	// [HOLOOLY] 8.6: a shaft of 50 mm, key 12.5 square, 37.5 long, 200 MPa: 2.344 kN·m.
	k := spline.Key{Diameter: 50 * mm, Width: 12.5 * mm, Depth: 6.25 * mm, Length: 37.5 * mm, Count: 1}
	near(t, "[HOLOOLY] 8.6", must[float64](t)(k.Shear(2344))/mpa, 200, .05)
	near(t, "a square key presses twice as it shears", must[float64](t)(k.Pressure(1))/must[float64](t)(k.Shear(1)), 2, 1e-12)
	k.Count = 2
	near(t, "two keys", must[float64](t)(k.Shear(2344))/mpa, 200/1.5, .05)
}

func TestCirclip(t *testing.T) {
	// [RINGS] data sheet RS-196: 4729 lbf, with π as 3.14; and a ring of 0.062 in: 28 147 lbf.
	c := spline.Circlip{Seat: 1.969 * in, Groove: (1.969 - .068) * in, Thickness: .05 * in}
	near(t, "groove", must[float64](t)(c.GrooveYield(45000*psi, 2))/lbf*3.14/math.Pi, 4729, 1.5)
	c = spline.Circlip{Seat: 2.835 * in, Groove: 2.7 * in, Thickness: .062 * in}
	near(t, "ring", must[float64](t)(c.RingShear(153000*psi, 3))/lbf*3.14/math.Pi, 28147, 2)
	// [RINGS] data sheet DIN471-010: 267 and 2171 lbf; that maker multiplies by a factor
	// of 1.2 which the others leave out.
	c = spline.Circlip{Seat: .394 * in, Groove: .378 * in, Thickness: .039 * in}
	near(t, "groove, other maker", 1.2*must[float64](t)(c.GrooveYield(45000*psi, 2))/lbf*3.14/math.Pi, 267, .5)
	near(t, "ring, other maker", 1.2*must[float64](t)(c.RingShear(150000*psi, 4))/lbf*3.14/math.Pi, 2171, 1)
	// Table of [DIN471], from memory, for 200 MPa: 20, 25, 30, 40 mm: 5.06, 7.05, 10.73,
	// 25.3 kN. The margins there are three depths.
	for _, r := range [][3]float64{{20, 19, 5.06}, {25, 23.9, 7.05}, {30, 28.6, 10.73}, {40, 37.5, 25.3}} {
		c = spline.Circlip{Seat: r[0] * mm, Groove: r[1] * mm, Thickness: 1.5 * mm, Margin: 1.5 * (r[0] - r[1]) * mm}
		near(t, fmt.Sprint("DIN 471, ", r[0]), must[float64](t)(c.GrooveThrust(200*mpa))/1e3/r[2], 1, .01)
	}
	inside := spline.Circlip{Seat: 28.6 * mm, Groove: 30 * mm, Thickness: 1.2 * mm, Margin: 2.1 * mm}
	outside := spline.Circlip{Seat: 30 * mm, Groove: 28.6 * mm, Thickness: 1.2 * mm, Margin: 2.1 * mm}
	near(t, "a bore is a shaft turned round", must[float64](t)(inside.GrooveThrust(mpa)), must[float64](t)(outside.GrooveThrust(mpa)), 1e-9)
	outside.Margin = 1.4 * mm
	near(t, "less margin", must[float64](t)(outside.GrooveThrust(mpa))/must[float64](t)(inside.GrooveThrust(mpa)), 1.2/1.5, 1e-9)
	outside.Margin = 1 * mm
	if _, err := outside.GrooveThrust(mpa); err == nil {
		t.Error("a groove near the edge was accepted")
	}
}

func TestClamp(t *testing.T) {
	c := spline.Clamp{Preload: 50e3, Settling: 4e3, Apart: 10e3, Portion: .25, Friction: .12, Inner: 30 * mm, Outer: 45 * mm, Faces: 1}
	h := must[spline.Held](t)(c.Hold())
	near(t, "left", h.Left, 50e3-4e3-7.5e3, 1e-6)
	near(t, "nut", h.Nut, 50e3-4e3+2.5e3, 1e-6)
	near(t, "nut less left is the axial force", h.Nut-h.Left, c.Apart, 1e-6)
	near(t, "torque", h.Torque, .12*38500*2.0/3*(math.Pow(22.5, 3)-math.Pow(15, 3))/(math.Pow(22.5, 2)-225)*mm, 1e-6)
	near(t, "on the spline", h.OnSpline(-300), 300-h.Torque, 1e-9)
	near(t, "friction holds all", h.OnSpline(50), 0, 0)
	c.Apart = 80e3
	h = must[spline.Held](t)(c.Hold())
	if h.Left > 0 || h.Torque != 0 {
		t.Errorf("a parted stack holds: %+v", h)
	}
	near(t, "parted: the nut carries all", h.Nut, 80e3, 0)
	near(t, "a thin ring acts at its radius", spline.FaceRadius(39.999*mm, 40.001*mm), 20*mm, 1e-9)
	near(t, "a disc at two thirds", spline.FaceRadius(0, 40*mm), 40.0/3*mm, 1e-12)
	// As stiff a stack as shaft: each takes half; settling of 5 µm in all.
	g := must[float64](t)(spline.Give(.1, 500e-6, 207e9))
	near(t, "Φ", must[float64](t)(spline.Portion(g, g)), .5, 1e-12)
	near(t, "settling", must[float64](t)(spline.SettlingLoss(5e-6, g, g)), 5e-6*207e9*500e-6/.2, 1e-6)
}

// Whatever is entered gives numbers or an error.
func FuzzSpline(f *testing.F) {
	f.Add(8, .052, .06, .1, 300.0, .12)
	f.Add(0, math.Inf(1), math.NaN(), -1.0, 1e300, 1e-300)
	f.Fuzz(func(t *testing.T, n int, a, b, l, torque, µ float64) {
		if p, err := (spline.Spline{Teeth: n, Inner: a, Outer: b, Length: l, Share: .75}).Pressure(torque); err == nil && math.IsNaN(p) {
			t.Fatal("pressure")
		}
		if in, out, err := (spline.Dogs{Count: n, Radius: a, Contact: b, Share: 1, Back: l}).Draw(torque, µ); err == nil && math.IsNaN(in+out) {
			t.Fatal("draw")
		}
		if h, err := (spline.Clamp{Preload: torque, Apart: l, Friction: µ, Inner: a, Outer: b, Faces: n}).Hold(); err == nil && math.IsNaN(h.Torque) {
			t.Fatal("clamp")
		}
		if x, err := (spline.Circlip{Seat: a, Groove: b, Thickness: l, Margin: l}).GrooveThrust(torque); err == nil && math.IsNaN(x) {
			t.Fatal("groove")
		}
	})
}
