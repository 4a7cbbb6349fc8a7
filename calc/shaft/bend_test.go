package shaft_test

import (
	"math"
	"math/rand"
	"testing"

	"endfloat/calc/shaft"
)

func plain(length, diameter, modulus float64) shaft.Shaft {
	return shaft.Shaft{Steps: []shaft.Step{{To: length, Outside: diameter}}, Modulus: modulus, B: shaft.Support{At: length}}
}

func bend(t testing.TB, s shaft.Shaft, l []shaft.Load, at ...float64) []shaft.Bent {
	t.Helper()
	return must[[]shaft.Bent](t)(s.Bend(l, at, nil))
}

// [BN8] problem 7-8, posted solutions: 1449 lbf at 9 of 11 in, 1.875 in: slopes of
// 0.000 282 3 and 0.000 434 2 rad at the bearings, 0.000 304 at the gear.
func TestSlopesPublished(t *testing.T) {
	s := plain(11*in, 1.875*in, 30e6*6894.757293168)
	l := []shaft.Load{{At: 9 * in, Force: shaft.Vec{0, -1449 * lbf, 0}}}
	b := bend(t, s, l, 0, 11*in, 9*in)
	near(t, "left", -b[0].SlopeY, .0002823, 5e-8)
	near(t, "right", b[1].SlopeY, .0004342, 5e-8)
	near(t, "gear", b[2].SlopeY, .000304, 5e-7)
}

// Textbook beams. The one with a middle half twice as stiff is example 9-13 of
// Gere, Mechanics of Materials, from memory: θ = 5PL²/(128EI), δ = 3PL³/(256EI).
func TestTextbookBeams(t *testing.T) {
	const L, P, d, e = .4, 2000.0, .03, 207e9
	ei := e * shaft.SecondMoment(d, 0)
	down := func(at float64) []shaft.Load { return []shaft.Load{{At: at, Force: shaft.Vec{0, -P, 0}}} }
	b := bend(t, plain(L, d, e), down(L/2), L/2, 0)
	near(t, "PL³/48EI", -b[0].Y/(P*L*L*L/(48*ei)), 1, 1e-12)
	near(t, "PL²/16EI", -b[1].SlopeY/(P*L*L/(16*ei)), 1, 1e-12)

	stiff := plain(L, d, e)
	wide := d * math.Pow(2, .25)
	stiff.Steps = []shaft.Step{{To: L / 4, Outside: d}, {To: 3 * L / 4, Outside: wide}, {To: L, Outside: d}}
	b = bend(t, stiff, down(L/2), L/2, 0)
	near(t, "3PL³/256EI", -b[0].Y/(3*P*L*L*L/(256*ei)), 1, 1e-12)
	near(t, "5PL²/128EI", -b[1].SlopeY/(5*P*L*L/(128*ei)), 1, 1e-12)

	// A gear outside the bearings: P a² (L + a)/(3EI), here with a = L/2.
	over := plain(1.5*L, d, e)
	over.B.At = L
	b = bend(t, over, down(1.5*L), 1.5*L, L/2)
	near(t, "P a²(L+a)/3EI", -b[0].Y/(P*L*L/4*1.5*L/(3*ei)), 1, 1e-12)
	near(t, "P a L²/16EI up", b[1].Y/(P*L/2*L*L/(16*ei)), 1, 1e-12)

	// A moment at the end: ML/3EI and ML/6EI.
	b = bend(t, plain(L, d, e), []shaft.Load{{At: 0, Moment: shaft.Vec{0, 0, 50}}}, 0, L)
	near(t, "ML/3EI", math.Abs(b[0].SlopeY)/(50*L/(3*ei)), 1, 1e-12)
	near(t, "ML/6EI", math.Abs(b[1].SlopeY)/(50*L/(6*ei)), 1, 1e-12)
}

// stepped is a shaft of a gearbox, invented, that reaches beyond both bearings.
func stepped(r *rand.Rand) shaft.Shaft {
	s := shaft.Shaft{Start: -.02, Modulus: 207e9, A: shaft.Support{At: 0}, B: shaft.Support{At: .18}}
	for x := .0; x < .24; {
		x += .02 + .04*r.Float64()
		s.Steps = append(s.Steps, shaft.Step{To: x, Outside: .02 + .03*r.Float64(), Bore: .01 * r.Float64()})
	}
	return s
}

// Maxwell and Betti: what a load here does there, the same load there does here;
// for moments and slopes alike, across planes, with bearings that give.
func TestReciprocity(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for range 100 {
		s := stepped(r)
		s.A.Give, s.B.Give = 1e-9*r.Float64(), 1e-9*r.Float64()
		x, y := .22*r.Float64(), .22*r.Float64()
		f := func(at float64) []shaft.Load { return []shaft.Load{{At: at, Force: shaft.Vec{0, 1000, 0}}} }
		m := func(at float64) []shaft.Load { return []shaft.Load{{At: at, Moment: shaft.Vec{0, 0, 1000}}} }
		fx, fy := bend(t, s, f(x), y)[0], bend(t, s, f(y), x)[0]
		near(t, "force and displacement", fx.Y/fy.Y, 1, 1e-7)
		my := bend(t, s, m(y), x)[0]
		near(t, "force and slope", fx.SlopeY, my.Y, 1e-9*math.Abs(my.Y)+1e-15)
		near(t, "moment and slope", bend(t, s, m(x), y)[0].SlopeY, my.SlopeY, 1e-9*math.Abs(my.SlopeY)+1e-15)
	}
}

// Loads add up; the two planes are alike and leave each other alone; the bearings
// stay where they are unless they give; the loads do work, never the reverse.
func TestBendIdentities(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for range 100 {
		s := stepped(r)
		l := randomLoads(r, 4, .2)
		at := []float64{0, .05, .11, .18, .2}
		all, one, two := bend(t, s, l, at...), bend(t, s, l[:1], at...), bend(t, s, l[1:], at...)
		for i := range at {
			near(t, "sum", one[i].Z+two[i].Z, all[i].Z, 1e-12)
			near(t, "sum", one[i].SlopeY+two[i].SlopeY, all[i].SlopeY, 1e-11)
		}
		near(t, "A stays", all[0].Y, 0, 1e-12)
		near(t, "B stays", all[3].Z, 0, 1e-12)
		turned := make([]shaft.Load, len(l))
		for i, x := range l { // a quarter turn: y to z, z to −y
			turned[i] = shaft.Load{At: x.At, Force: shaft.Vec{x.Force[0], -x.Force[2], x.Force[1]}, Moment: shaft.Vec{x.Moment[0], -x.Moment[2], x.Moment[1]}}
		}
		q := bend(t, s, turned, at...)
		for i := range at {
			near(t, "turned", q[i].Z, all[i].Y, 1e-12)
			near(t, "turned", q[i].SlopeZ, all[i].SlopeY, 1e-11)
			d, slope := q[i].Toward(math.Pi / 2)
			near(t, "toward", d, q[i].Z, 1e-15)
			near(t, "toward", slope, q[i].SlopeZ, 1e-15)
		}
		work := 0.0
		for _, x := range l {
			b := bend(t, s, l, x.At)[0]
			work += x.Force[1]*b.Y + x.Force[2]*b.Z + x.Moment[2]*b.SlopeY - x.Moment[1]*b.SlopeZ
		}
		if !(work > 0) {
			t.Fatalf("the loads do %g J of work", work)
		}
	}
}

// Splitting a step where nothing changes changes nothing, and a rigid shaft on
// bearings that give tilts as a lever does.
func TestBendLimits(t *testing.T) {
	s := plain(.3, .03, 207e9)
	l := []shaft.Load{{At: .1, Force: shaft.Vec{0, 0, 3000}}}
	split := s
	split.Steps = []shaft.Step{{To: .07, Outside: .03}, {To: .1, Outside: .03}, {To: .3, Outside: .03}}
	near(t, "split", bend(t, split, l, .1)[0].Z, bend(t, s, l, .1)[0].Z, 1e-15)

	rigid := plain(.3, .03, 9e14)
	rigid.A.Give, rigid.B.Give = 1e-8, 4e-8
	b := bend(t, rigid, l, 0, .3, .1)
	near(t, "A gives", b[0].Z, 2000e-8, 1e-12)
	near(t, "B gives", b[1].Z, 1000*4e-8, 1e-12)
	near(t, "between", b[2].Z, (2*2000e-8+1000*4e-8)/3, 1e-7)
	near(t, "tilts", b[2].SlopeZ, (4e-5-2e-5)/.3, 1e-6)

	hollow := s
	hollow.Steps = []shaft.Step{{To: .3, Outside: .03, Bore: .015}}
	near(t, "a bore of half gives 16/15", bend(t, hollow, l, .1)[0].Z/bend(t, s, l, .1)[0].Z, 16.0/15, 1e-9)

	twist := must[float64](t)(s.Twist(100, 80e9, .05, .25))
	near(t, "twist", twist, 100*.2/(80e9*math.Pi*math.Pow(.03, 4)/32), 1e-12)
	near(t, "twist there and back", must[float64](t)(s.Twist(100, 80e9, .25, .05)), twist, 1e-15)
	for _, bad := range []shaft.Shaft{{}, {Steps: []shaft.Step{{To: 0, Outside: .03}}, Modulus: 1e11}, plain(.3, .03, 0)} {
		if _, err := bad.Bend(l, nil, nil); err == nil {
			t.Errorf("%+v was accepted", bad)
		}
	}
	if _, err := s.Bend(l, []float64{.4}, nil); err == nil {
		t.Error("a place beyond the shaft was accepted")
	}
}

// Against integrating in small steps, with loads in space and steps anywhere.
func TestBendAgainstSmallSteps(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	s := stepped(r)
	l := randomLoads(r, 3, .18)
	re := must[shaft.Reactions](t)(shaft.React(s.A.At, s.B.At, l))
	at := .13
	// Virtual work: a unit force at the place, M·m/(E·I) summed in the middle of each piece.
	unit := []shaft.Load{{At: at, Force: shaft.Vec{0, 1, 0}}}
	ru := must[shaft.Reactions](t)(shaft.React(s.A.At, s.B.At, unit))
	sum, n := 0.0, 40000
	end := s.Steps[len(s.Steps)-1].To
	h := (end - s.Start) / float64(n)
	for i := range n {
		x := s.Start + (float64(i)+.5)*h
		k := 0
		for s.Steps[k].To < x {
			k++
		}
		_, m := shaft.Inside(s.A.At, s.B.At, false, l, re, x)
		_, u := shaft.Inside(s.A.At, s.B.At, false, unit, ru, x)
		sum += m.Mz * u.Mz * h / (s.Modulus * shaft.SecondMoment(s.Steps[k].Outside, s.Steps[k].Bore))
	}
	got := bend(t, s, l, at)[0].Y
	near(t, "virtual work", got/sum, 1, 2e-4)
}

// A layshaft with three meshes and eight steps, reactions and bending at five
// places, as a comparison of gearboxes asks it.
func BenchmarkBend(b *testing.B) {
	r := rand.New(rand.NewSource(5))
	s := stepped(r)
	l := randomLoads(r, 3, .18)
	at := []float64{.02, .05, .09, .12, .16}
	out := make([]shaft.Bent, 0, 8)
	b.ReportAllocs()
	for b.Loop() {
		var err error
		if out, err = s.Bend(l, at, out[:0]); err != nil {
			b.Fatal(err)
		}
	}
}

// Whatever is entered gives numbers or an error.
func FuzzBend(f *testing.F) {
	f.Add(.1, .05, .3, .03, 1000.0, 10.0, .15)
	f.Add(0.0, math.Inf(1), math.NaN(), -1.0, 1e300, 1e-300, 0.0)
	f.Fuzz(func(t *testing.T, split, b, end, d, force, moment, at float64) {
		s := shaft.Shaft{Steps: []shaft.Step{{To: split, Outside: d}, {To: end, Outside: d * 1.5, Bore: d / 3}}, Modulus: 207e9, B: shaft.Support{At: b}}
		out, err := s.Bend([]shaft.Load{{At: at, Force: shaft.Vec{0, force, 1}, Moment: shaft.Vec{0, 0, moment}}}, []float64{at, 0}, nil)
		if err == nil && d > 1e-4 && math.IsNaN(out[0].Y+out[1].SlopeZ) {
			t.Fatalf("%+v", out)
		}
	})
}
