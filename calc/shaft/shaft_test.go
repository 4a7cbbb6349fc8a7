package shaft_test

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"endfloat/calc/shaft"
)

const (
	mm  = 1e-3
	in  = 0.0254
	lbf = 4.4482216152605 // [SP811]
	deg = math.Pi / 180
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

func loads(t testing.TB, meshes ...shaft.Mesh) []shaft.Load {
	t.Helper()
	var list []shaft.Load
	for _, m := range meshes {
		list = append(list, must[shaft.Load](t)(m.Load()))
	}
	return list
}

// A helical pinion 13 in from A, bearing B at 10 in, 1 hp at 1800 rpm. [BN9] example
// 13-9: A −3.1 and 12.1, B 20.1 and −52.5 lbf, thrust 23.3 lbf on A.
func ExampleReact() {
	m := shaft.Mesh{At: 13 * in, Radius: 18 / (12 * math.Cos(30*deg)) / 2 * in, Torque: 35 * lbf * in,
		Normal: 20 * deg, Helix: 30 * deg, Hand: shaft.Right}
	l, err := m.Load()
	if err != nil {
		fmt.Println(err)
		return
	}
	r, _ := shaft.React(0, 10*in, []shaft.Load{l})
	fmt.Printf("A %.1f %.1f, B %.1f %.1f, thrust %.1f lbf\n", r.A[1]/lbf, r.A[2]/lbf, r.B[1]/lbf, r.B[2]/lbf, r.Axial/lbf)
	// Output: A -3.1 12.1, B 20.1 -52.5, thrust -23.3 lbf
}

func TestHelical(t *testing.T) {
	// [WENTZELL] 13.1: 24 teeth, pitch 12, 5 hp at 1750 rpm, 15°: 180.07, 48.25, 67.85 lbf.
	f := must[shaft.Teeth](t)(shaft.Helical(180.07*lbf*in, 1*in, 20*deg, 15*deg))
	near(t, "Ft", f.Tangential/lbf, 180.07, .01)
	near(t, "Fa", f.Axial/lbf, 48.25, .01)
	near(t, "Fr", f.Radial/lbf, 67.85, .01)
	// [BN9] 13-9: 40.4, 17.0 and 23.3 lbf.
	f = must[shaft.Teeth](t)(shaft.Helical(35.014*lbf*in, .8660*in, 20*deg, 30*deg))
	near(t, "Wt", f.Tangential/lbf, 40.4, .05)
	near(t, "Wr", f.Radial/lbf, 17.0, .05)
	near(t, "Wa", f.Axial/lbf, 23.3, .05)
	for _, bad := range [][4]float64{{1, 0, .3, 0}, {1, .1, 2, 0}, {1, .1, .3, -1}, {math.NaN(), .1, .3, 0}} {
		if _, err := shaft.Helical(bad[0], bad[1], bad[2], bad[3]); err == nil {
			t.Errorf("%v was accepted", bad)
		}
	}
}

// A right-hand driver is pushed as the fingers of a right hand curl with its
// turning and the thumb points: the trade's rule. Its mate, left-hand and driven,
// is pushed the other way.
func TestThrustRule(t *testing.T) {
	driver := shaft.Mesh{Radius: .03, Torque: -100, Normal: 20 * deg, Helix: 25 * deg, Hand: shaft.Right}
	driven := shaft.Mesh{Radius: .05, Angle: math.Pi, Torque: -100 * 5 / 3.0, Normal: 20 * deg, Helix: 25 * deg, Hand: shaft.Left}
	a, b := loads(t, driver)[0], loads(t, driven)[0]
	if a.Force[0] <= 0 {
		t.Errorf("the driver turns about +x and is pushed by %g N", a.Force[0])
	}
	for i := range a.Force {
		near(t, "action and reaction", a.Force[i]+b.Force[i], 0, 1e-9)
	}
	// Coasting turns all but the separating force.
	c := loads(t, driver.Reversed())[0]
	near(t, "thrust turns", c.Force[0], -a.Force[0], 1e-9)
	near(t, "tangential turns", c.Force[2], -a.Force[2], 1e-9)
	near(t, "separating stays", c.Force[1], a.Force[1], 1e-9)
	near(t, "torque", a.Moment[0], -100, 1e-9)
	spur := loads(t, shaft.Mesh{Radius: .03, Torque: 100, Normal: 20 * deg, Helix: 25 * deg})[0]
	near(t, "a spur gear has no thrust", spur.Force[0], 0, 0)
}

// Two spur gears on one shaft. [JINDAL] 15-2, p. 421: 400 N at 120 of 440 mm and
// 240 N the other way at 320, 20°; C 225.45 and 82.06, D −65.45 and −23.82 N, moment
// 28 790.8 N·mm, diameter 17.73 mm.
func TestTwoGears(t *testing.T) {
	tan := math.Tan(20 * deg)
	l := []shaft.Load{{At: 120 * mm, Force: shaft.Vec{0, -400, -400 * tan}}, {At: 320 * mm, Force: shaft.Vec{0, 240, 240 * tan}}}
	r := must[shaft.Reactions](t)(shaft.React(0, 440*mm, l))
	near(t, "C", r.A[1], 225.45, .01)
	near(t, "C", r.A[2], 82.06, .01)
	near(t, "D", r.B[1], -65.45, .01)
	near(t, "D", r.B[2], -23.82, .01)
	_, beyond := shaft.Inside(0, 440*mm, false, l, r, 120*mm)
	near(t, "moment", beyond.Bending()*1e3, 28790.8, 1)
	near(t, "diameter", must[float64](t)(shaft.Diameter(beyond.Bending(), 30, 1.5, 2, .135*500*mpa))/mm, 17.73, .005)
}

// One helical gear, thrust toward B, worked by hand: 100 N·m, module 3, 20 teeth,
// 25°, 45 of 120 mm. The moment jumps by Fa·d/2.
func TestThrustMoment(t *testing.T) {
	radius := 3 * 20 / math.Cos(25*deg) / 2 * mm
	m := shaft.Mesh{At: 45 * mm, Radius: radius, Torque: 100, Normal: 20 * deg, Helix: 25 * deg, Hand: shaft.Left}
	l := loads(t, m)
	r := must[shaft.Reactions](t)(shaft.React(0, 120*mm, l))
	near(t, "thrust", r.Axial, 1408.73, .01)
	near(t, "A", r.A[1], 369.68, .01)
	near(t, "A", math.Abs(r.A[2]), 1888.14, .01)
	near(t, "B", r.B[1], 843.55, .01)
	near(t, "B", math.Abs(r.B[2]), 1132.88, .01)
	near(t, "A in all", r.A.Radial(), 1923.99, .01)
	near(t, "B in all", r.B.Radial(), 1412.45, .01)
	before, beyond := shaft.Inside(0, 120*mm, true, l, r, 45*mm)
	near(t, "before", before.Bending()*1e3, 86580, 1)
	near(t, "beyond", beyond.Bending()*1e3, 105934, 1)
	near(t, "jump", (beyond.Mz-before.Mz)*1e3, 46631, 1)
	near(t, "pushed between gear and B", beyond.Normal, -1408.73, .01)
	near(t, "nothing between A and gear", before.Normal, 0, 1e-9)
	near(t, "torque beyond", beyond.Torque, -100, 1e-9)
	s := must[shaft.Stress](t)(shaft.Section{Outside: 30 * mm}.Stress(beyond.Bending(), 100, 0))
	near(t, "σb", s.Bending/mpa, 39.964, 5e-4)
	near(t, "τ", s.Torsion/mpa, 18.863, 5e-4)
	near(t, "σv", s.Mises()/mpa, 51.619, 5e-4)
	// Coasting: the thrust turns, and with it the share of the bearings.
	r2 := must[shaft.Reactions](t)(shaft.React(0, 120*mm, loads(t, m.Reversed())))
	near(t, "coasting", r2.Axial, -1408.73, .01)
	if math.Abs(r2.A[1]-r.A[1]) < 1 {
		t.Error("turning the thrust round left A as it was")
	}
}

func randomLoads(r *rand.Rand, n int, length float64) []shaft.Load {
	list := make([]shaft.Load, n)
	for i := range list {
		list[i].At = r.Float64() * length
		for k := range 3 {
			list[i].Force[k] = r.NormFloat64() * 3000
			list[i].Moment[k] = r.NormFloat64() * 80
		}
	}
	return list
}

// Forces and moments are in balance about any point, reactions add up, and turning
// all loads about the shaft turns the reactions with them.
func TestReactIdentities(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	for range 200 {
		l := randomLoads(rnd, 5, .3)
		a, b := .02+.05*rnd.Float64(), .2+.1*rnd.Float64()
		r := must[shaft.Reactions](t)(shaft.React(a, b, l))
		about := rnd.Float64()
		var sum, moment [3]float64
		put := func(at float64, f, m shaft.Vec) {
			for k := range 3 {
				sum[k] += f[k]
				moment[k] += m[k]
			}
			moment[1] -= (at - about) * f[2]
			moment[2] += (at - about) * f[1]
		}
		for _, x := range l {
			put(x.At, x.Force, x.Moment)
		}
		put(a, r.A, shaft.Vec{})
		put(b, r.B, shaft.Vec{})
		near(t, "y", sum[1], 0, 1e-8)
		near(t, "z", sum[2], 0, 1e-8)
		near(t, "about y", moment[1], 0, 1e-8)
		near(t, "about z", moment[2], 0, 1e-8)
		near(t, "thrust", r.Axial, sum[0], 1e-9)

		x := must[shaft.Reactions](t)(shaft.React(a, b, l[:2]))
		y := must[shaft.Reactions](t)(shaft.React(a, b, l[2:]))
		near(t, "superposed", x.A[1]+y.A[1], r.A[1], 1e-8)

		turned := make([]shaft.Load, len(l))
		s, c := math.Sincos(0.7)
		spin := func(v shaft.Vec) shaft.Vec { return shaft.Vec{v[0], c*v[1] - s*v[2], s*v[1] + c*v[2]} }
		for i, x := range l {
			turned[i] = shaft.Load{At: x.At, Force: spin(x.Force), Moment: spin(x.Moment)}
		}
		q := must[shaft.Reactions](t)(shaft.React(a, b, turned))
		near(t, "turned", q.B[2], spin(r.B)[2], 1e-8)

		// Nothing is left inside beyond the end.
		_, end := shaft.Inside(a, b, true, l, r, 1)
		near(t, "moment at the end", end.Bending(), 0, 1e-8)
		near(t, "force at the end", end.Normal, 0, 1e-8)
		near(t, "torque at the end", end.Torque, -r.Torque, 1e-9)
	}
	if _, err := shaft.React(.1, .1, nil); err == nil {
		t.Error("two bearings at one place were accepted")
	}
	if _, err := shaft.React(0, .1, []shaft.Load{{Force: shaft.Vec{math.NaN()}}}); err == nil {
		t.Error("a load that is no number was accepted")
	}
}
