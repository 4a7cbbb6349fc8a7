package shaft_test

import (
	"math"
	"math/rand"
	"testing"

	"endfloat/calc/bearing"
	"endfloat/calc/shaft"
)

// Thrust and what it presses on: a shaft pushed toward B loads B in X, A in O; turned
// round the other; each bearing carries at least what it induces.
func TestOnPair(t *testing.T) {
	m := shaft.Mesh{At: .04, Radius: .033, Torque: 120, Normal: 20 * deg, Helix: 28 * deg, Hand: shaft.Left}
	r := must[shaft.Reactions](t)(shaft.React(0, .12, loads(t, m)))
	if !(r.Axial > 0) {
		t.Fatalf("thrust %g", r.Axial)
	}
	x := must[bearing.Pair](t)(r.OnPair(bearing.X, bearing.HalfY, 1.6, 1.6))
	o := must[bearing.Pair](t)(r.OnPair(bearing.O, bearing.HalfY, 1.6, 1.6))
	near(t, "X in balance", x.AxialB-x.AxialA, r.Axial, 1e-9)
	near(t, "O in balance", o.AxialA-o.AxialB, r.Axial, 1e-9)
	if !(x.AxialB > x.InducedB && o.AxialA > o.InducedA) {
		t.Errorf("X %+v, O %+v", x, o)
	}
	back := must[shaft.Reactions](t)(shaft.React(0, .12, loads(t, m.Reversed())))
	y := must[bearing.Pair](t)(back.OnPair(bearing.X, bearing.HalfY, 1.6, 1.6))
	near(t, "coasting in balance", y.AxialA-y.AxialB, r.Axial, 1e-9)
	a, b := back.OnLocating(false)
	near(t, "locating A", a, r.Axial, 1e-9)
	near(t, "free B", b, 0, 0)
}

// Three shafts on taper pairs, four gears, twenty parts of a duty: reactions,
// deflections, stress with fatigue at three sections, modified lives. It must leave
// room for the gears within 1 ms.
func BenchmarkBoxDuty20(b *testing.B) {
	r := rand.New(rand.NewSource(7))
	shafts := []shaft.Shaft{stepped(r), stepped(r), stepped(r)}
	br := bearing.Bearing{Form: bearing.Taper, C: 6e4, C0: 7e4, Cu: 8e3, E: .37, X: .4, Y: 1.6, Bore: .03, Outside: .07}
	st := shaft.Strength{Endurance: 300e6, Yield: 700e6, Tensile: 1000e6}
	notch := shaft.Notch{Bending: 1.8, Torsion: 1.4}
	var turns [20]float64
	var lives [6][20]float64
	var list [3]shaft.Load
	places, out := [3]float64{.03, .07, .12}, make([]shaft.Bent, 0, 4)
	worst := 0.0
	one := func(step int, torque float64) error {
		for k := range shafts {
			for i := range list {
				var err error
				if list[i], err = (shaft.Mesh{At: places[i], Radius: .02 + .01*float64(i), Angle: float64(i), Torque: torque * float64(i-1), Normal: .349, Helix: .4, Hand: shaft.Right}).Load(); err != nil {
					return err
				}
			}
			re, err := shaft.React(0, .18, list[:])
			if err != nil {
				return err
			}
			if out, err = shafts[k].Bend(list[:], places[:], out[:0]); err != nil {
				return err
			}
			for i, x := range places {
				_, in := shaft.Inside(0, .18, false, list[:], re, x)
				s, err := shaft.Section{Outside: .03, Bore: .01}.Stress(in.Bending(), in.Torque, in.Normal)
				if err != nil {
					return err
				}
				n, err := st.Safety(shaft.Cycle{BendingAmp: s.Bending, BendingMean: s.Axial, TorsionMean: s.Torsion}, notch, shaft.Goodman)
				if err != nil {
					return err
				}
				worst = math.Max(worst, 1/n+out[i].Y)
			}
			p, err := re.OnPair(bearing.X, bearing.HalfY, br.Y, br.Y)
			if err != nil {
				return err
			}
			for i, load := range [2][2]float64{{re.A.Radial(), p.AxialA}, {re.B.Radial(), p.AxialB}} {
				eq, err := br.Equivalent(load[0], load[1])
				if err != nil {
					return err
				}
				m, err := br.Modify(eq, 200, 1, bearing.Film{Viscosity: 12e-6, Clean: .3})
				if err != nil {
					return err
				}
				lives[2*k+i][step] = m.Revolutions
			}
		}
		return nil
	}
	b.ReportAllocs()
	for b.Loop() {
		for step := range turns {
			turns[step] = 1
			if err := one(step, 20+10*float64(step)); err != nil {
				b.Fatal(err)
			}
		}
		for i := range lives {
			if _, err := bearing.DutyLife(turns[:], lives[i][:]); err != nil {
				b.Fatal(err)
			}
		}
	}
}
