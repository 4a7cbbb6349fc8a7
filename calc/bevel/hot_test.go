package bevel_test

import (
	"math"
	"testing"

	"endfloat/calc/bevel"
	"endfloat/calc/unit"
)

const µm = unit.Micrometre

// [BNORMS]: a cup raceway that grows 10 µm on the radius gives 27.4 µm of end play
// (from tan 20.05°; with the catalogue's e of 0.55 it is 27.3).
func TestCupGrowth(t *testing.T) {
	near(t, "published", float64(bevel.Cup{E: .55, Growth: 20 * µm}.Axial()/µm), 27.4, .15)
	near(t, "from the angle", float64(bevel.Cup{E: 1.5 * math.Tan(20.05*math.Pi/180), Growth: 20 * µm}.Axial()/µm), 27.4, .01)
}

// Our own: die-cast cases on steel, as length growth alone, worked by hand.
func TestPlayHot(t *testing.T) {
	const steel, aluminium, magnesium = 12e-6, 21.8e-6, 26e-6
	for _, c := range []struct{ between, α, rise, want float64 }{
		{100, aluminium, 80, 78.4}, {150, aluminium, 80, 117.6}, {150, aluminium, 60, 88.2}, {150, magnesium, 80, 168.0},
	} {
		rise := unit.TempRise(c.rise)
		x, err := bevel.PlayHot(bevel.X, unit.Length(c.between)*mm, c.α, steel, rise, rise)
		o, err2 := bevel.PlayHot(bevel.O, unit.Length(c.between)*mm, c.α, steel, rise, rise)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		near(t, "X", float64(x/µm), c.want, 1e-9)
		near(t, "O is X turned round", float64(o), -float64(x), 1e-15)
	}
	// Cups that grow loosen both ways; by the sum of both.
	cups := []bevel.Cup{{E: .35, Growth: 17.71 * µm}, {E: .35, Growth: 17.71 * µm}}
	for _, a := range []bevel.Arrangement{bevel.X, bevel.O} {
		play, _ := bevel.PlayHot(a, 0, aluminium, steel, 60, 60, cups...)
		near(t, "cups in "+string(a), float64(play/µm), 2*37.95, .01)
	}
	// The same metal equally warm changes nothing.
	if p, _ := bevel.PlayHot(bevel.X, 150*mm, steel, steel, 80, 80); p != 0 {
		t.Errorf("one metal: %v", p)
	}
	if _, err := bevel.PlayHot("T", 1, 1, 1, 1, 1); err == nil {
		t.Error("an unknown arrangement was accepted")
	}
	if _, err := bevel.PlayHot(bevel.X, 1, 1, 1, 1, 1, bevel.Cup{}); err == nil {
		t.Error("a cup without e was accepted")
	}
}

func TestDepthHot(t *testing.T) {
	// One metal grows like a photograph: the depth by its own share.
	near(t, "similar", float64(bevel.DepthHot(150*mm, 57*mm, 12e-6, 12e-6, 60, 60)), float64(57*mm)*12e-6*60, 1e-15)
	// Our own: 150 of aluminium against 93 of steel, 60 K: 0.2070 − 0.0670.
	near(t, "aluminium", float64(bevel.DepthHot(150*mm, 57*mm, 23e-6, 12e-6, 60, 60)/mm), .2070-.06696, 1e-12)
	if d := bevel.DepthHot(150*mm, 57*mm, 23e-6, 12e-6, 0, 0); d != 0 {
		t.Errorf("cold: %v", d)
	}
}

// [AGMABL]: rows of the table by diametral pitch, in inches.
func TestAllowance(t *testing.T) {
	for _, c := range []struct {
		dp     float64
		q      bevel.Quality
		lo, hi float64
	}{
		{1, bevel.Fine, .020, .030}, {1.9, bevel.Fine, .014, .018}, {2.2, bevel.Coarse, .020, .030}, {4.5, bevel.Fine, .006, .008},
		{5, bevel.Fine, .005, .007}, {7, bevel.Fine, .004, .006}, {9, bevel.Coarse, .004, .008}, {12, bevel.Fine, .002, .004},
		{18, bevel.Coarse, .002, .004}, {20, bevel.Fine, .001, .003},
	} {
		lo, hi, err := bevel.Allowance(unit.Inch/unit.Length(c.dp), c.q)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "least", float64(lo/unit.Inch), c.lo, 1e-12)
		near(t, "most", float64(hi/unit.Inch), c.hi, 1e-12)
	}
	// Coarser teeth never ask for less.
	last := unit.Length(math.Inf(1))
	for dp := 1.0; dp <= 20; dp += .25 {
		_, hi, _ := bevel.Allowance(unit.Inch/unit.Length(dp), bevel.Fine)
		if hi > last {
			t.Errorf("pitch %v asks for more than coarser teeth", dp)
		}
		last = hi
	}
	for _, bad := range []unit.Length{0, 1 * mm, 26 * mm, -3 * mm} {
		if _, _, err := bevel.Allowance(bad, bevel.Fine); err == nil {
			t.Errorf("module %v was accepted", bad)
		}
	}
	if _, _, err := bevel.Allowance(3*mm, "middling"); err == nil {
		t.Error("an unknown quality was accepted")
	}
}

// Our own: 16 teeth on the side gear, 10 on the planets, 20°, steps of 0.10.
func TestWasherSteps(t *testing.T) {
	_, δ, _ := bevel.PitchAngles(10, 16)
	k, _ := bevel.Factor(bevel.Transverse, 20*unit.Degree, 0, δ)
	near(t, "k", k, .617, 5e-4)
	for _, c := range []struct {
		j, most float64
		want    int
	}{{.25, .15, 2}, {.25, .19, 1}, {.15, .15, 0}, {.10, .15, 0}} {
		if n, err := bevel.WasherSteps(unit.Length(c.j)*mm, unit.Length(c.most)*mm, k, .1*mm); err != nil || n != c.want {
			t.Errorf("%v to %v: got %d, %v, want %d", c.j, c.most, n, err, c.want)
		}
	}
	if _, err := bevel.WasherSteps(mm, 0, k, 0); err == nil {
		t.Error("steps of nothing were accepted")
	}
}
