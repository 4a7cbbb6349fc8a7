package draw

import (
	"math"
	"os"
	"testing"

	"endfloat/internal/gearbox"
)

func arranged(t *testing.T, file, series string) *arrangement {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	b, err := gearbox.Read(file, text)
	if err != nil {
		t.Fatal(err)
	}
	a := &arrangement{box: b, o: &Options{Built: b.As(series)}}
	a.gather()
	a.size()
	a.layOut()
	return a
}

// Gears in mesh lie in one plane and touch at their pitch circles, and no part
// of a shaft runs into the one before it.
func TestGearsMesh(t *testing.T) {
	for _, f := range [][2]string{{"../demo/bw-4t.gearbox.yaml", "A"}, {"../demo/bw-4t.gearbox.yaml", "B"}, {"../demo/box-two.gearbox.yaml", "short"}, {"../demo/box-two.gearbox.yaml", "long"}} {
		a := arranged(t, f[0], f[1])
		if len(a.gears) < 4 {
			t.Fatalf("%s: %d gears in mesh", f[0], len(a.gears))
		}
		for _, g := range a.gears {
			for i := 1; i < len(g.ids); i++ {
				x, o := a.axleOf(g.ids[i-1]), a.axleOf(g.ids[i])
				p, ok1 := x.teethAt(g.ids[i-1], g.speed)
				q, ok2 := o.teethAt(g.ids[i], g.speed)
				if !ok1 || !ok2 || math.Abs(p-q) > 0.6 {
					t.Errorf("%s, speed %s: the teeth of %s stand at %.1f, of %s at %.1f", f[0], g.speed, g.ids[i-1], p, g.ids[i], q)
				}
				if len(g.ids) > 2 && i == 2 {
					continue // an idler is turned out of its place: it touches its driver only
				}
				r := (g.wheels[i-1].r + g.wheels[i].r) * a.scale
				if d := math.Abs(x.y - o.y); math.Abs(d-r) > 0.02 {
					t.Errorf("%s, speed %s: axes %.2f apart, pitch circles %.2f", f[0], g.speed, d, r)
				}
			}
		}
		for _, x := range a.axles {
			for i := 1; i < len(x.slots); i++ {
				if p, q := x.slots[i-1], x.slots[i]; q.x0 < p.x0+p.w-0.01 {
					t.Errorf("%s: %s runs into %s", f[0], q.root().pos.ID, p.root().pos.ID)
				}
			}
		}
	}
}

// The pitch circles of a pair of gears without shift are those of ISO 21771:
// d = m·z / cos β (from memory). The demonstration's pairs have 59 teeth of
// module 2.25 at 22.80°, which is its centre distance of 72 mm.
func TestPitchCircles(t *testing.T) {
	want := 2.25e-3 * 59 / 2 / math.Cos(22.80*math.Pi/180)
	for _, g := range arranged(t, "../demo/bw-4t.gearbox.yaml", "B").gears {
		if len(g.ids) != 2 {
			continue
		}
		if got := g.wheels[0].r + g.wheels[1].r; math.Abs(got-want) > 0.02e-3 {
			t.Errorf("speed %s: pitch radii come to %.3f mm, want %.3f", g.speed, got*1000, want*1000)
		}
		if k := g.wheels[1].r / g.wheels[0].r; math.Abs(k-g.teeth[1]/g.teeth[0]) > 1e-9 {
			t.Errorf("speed %s: radii as %.4f, teeth as %.4f", g.speed, k, g.teeth[1]/g.teeth[0])
		}
	}
}

// The cones of the bevel pair meet in the point where its axes do, and both
// pitch angles make up the angle of the axes (ISO 23509, from memory).
func TestBevelConesMeet(t *testing.T) {
	for _, f := range [][2]string{{"../demo/bw-4t.gearbox.yaml", "B"}, {"../demo/box-two.gearbox.yaml", "short"}} {
		d := arranged(t, f[0], f[1]).final
		if d == nil {
			t.Fatalf("%s: no final drive", f[0])
		}
		if got := d.big - d.rp/math.Tan(math.Atan2(d.teeth[0], d.teeth[1])); math.Abs(got-d.apex) > 1e-6 {
			t.Errorf("%s: the pinion's cone ends at %.3f, the wheel's axis stands at %.3f", f[0], got, d.apex)
		}
	}
}

// Readings with a wave and a spike: the wave is found, and nothing of it is
// made of a constant.
func TestWave(t *testing.T) {
	vs := make([]float64, 12)
	for i := range vs {
		vs[i] = 5 + 3*math.Cos(2*math.Pi*float64(i)/12-0.7)
	}
	mean, c, s := wave(vs)
	if math.Abs(mean-5) > 1e-12 || math.Abs(math.Hypot(c, s)-3) > 1e-12 || math.Abs(math.Atan2(s, c)-0.7) > 1e-12 {
		t.Errorf("mean %g, wave %g at %g", mean, math.Hypot(c, s), math.Atan2(s, c))
	}
}

// A loop of dimensions closes: both rows begin together, and no link of a row
// lies over another.
func TestLoopCloses(t *testing.T) {
	b, err := gearbox.Read("bw-4t", mustRead(t, "../demo/bw-4t.gearbox.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	pinion, _ := b.Carrier("pinion")
	pl := newPlan(pinion, b.As("B"))
	pl.lengths(1)
	pl.put(0)
	s, _ := b.Setting("nut stack proud")
	lp := &loop{}
	for _, m := range s.Chain {
		lp.links = append(lp.links, Link{At: m.Position, Along: m.Dim == "" || m.Dim == "width", Value: m.Sign})
	}
	if !lp.tie(pl) {
		t.Fatal("nothing lies on the shaft")
	}
	lp.lay()
	for _, minus := range []bool{false, true} {
		row := lp.row(minus)
		if first := lp.spans[row[0]][0]; math.Abs(first-lp.lo) > 1e-9 {
			t.Errorf("a row begins at %.2f, the loop at %.2f", first, lp.lo)
		}
		for k := 1; k < len(row); k++ {
			if lp.spans[row[k]][0] < lp.spans[row[k-1]][1]-1e-9 {
				t.Errorf("link %d lies over the one before it", row[k])
			}
		}
	}
}

func mustRead(t *testing.T, file string) []byte {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return text
}
