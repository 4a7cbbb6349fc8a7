package gear_test

import (
	"math"
	"slices"
	"testing"

	"endfloat/calc/gear"
	"endfloat/calc/unit"
)

// On the flank the outline is as thick as the involute says, at the root it is the
// root circle, at the tip the tip circle, and it is its own mirror image.
func TestOutline(t *testing.T) {
	for _, p := range []gear.Pair{
		pair(24, 48, 3*mm, 0, 0.1, 0, 0), pair(24, 48, 3*mm, 25, 0.1, 0, 0), pair(60, 80, 2*mm, 0, 0, 0, 0), pair(10, 40, 3*mm, 0, 0, 0, 0),
	} {
		const steps = 200
		m := must[gear.Mesh](t)(p.Mesh())
		out := must[[]gear.Point](t)(p.Outline(0, steps))
		d := m.Gears[0]
		n := len(out)
		for i, q := range out {
			r := out[n-1-i]
			near(t, "mirror", q.X+r.X, 0, 1e-15)
			radius := math.Hypot(q.X, q.Y)
			if radius < float64(d.Root)/2-1e-9 || radius > float64(d.Tip)/2+1e-9 {
				t.Fatalf("%v is off the tooth", q)
			}
		}
		near(t, "root", math.Hypot(out[0].X, out[0].Y)/mm64, float64(d.Root/mm)/2, 1e-9)
		near(t, "gap to gap", 2*math.Atan2(out[n-1].X, out[n-1].Y), 2*math.Pi/float64(p.Gears[0].Teeth), 1e-12)
		flank := out[n/2 : n/2+steps-1]
		for _, q := range flank {
			radius := math.Hypot(q.X, q.Y)
			s := must[unit.Length](t)(gear.ThicknessAt(unit.Length(2*radius), d, p.Thickness(0, 0)))
			near(t, "thickness", 2*radius*math.Atan2(q.X, q.Y)/mm64, float64(s/mm), 1e-9)
		}
		// Fillet and flank join without a gap, and but for an undercut without a corner.
		for i := 1; i < n; i++ {
			if i != n/2 && i != 1 && i != n-1 && math.Hypot(out[i].X-out[i-1].X, out[i].Y-out[i-1].Y) > .05*float64(p.Module)*5 {
				t.Errorf("a gap of the outline at %d", i)
			}
		}
	}
}

const mm64 = 1e-3

// Below the shift of undercut the fillet eats into the flank above the base circle,
// above it not.
func TestUndercutIsWhereItIsSaid(t *testing.T) {
	for z := 8; z <= 16; z++ {
		p := pair(z, 60, 3*mm, 0, 0, 0, 0)
		limit := p.UndercutShift(0)
		for _, off := range []float64{-.15, .05} {
			p.Gears[0].Shift = limit + off
			m := must[gear.Mesh](t)(p.Mesh())
			base := float64(m.Gears[0].Base) / 2
			out, err := p.Outline(0, 4000)
			if err != nil {
				t.Fatal(err)
			}
			thinner := slices.ContainsFunc(out[len(out)/2:], func(q gear.Point) bool {
				r := math.Hypot(q.X, q.Y)
				if r < base*1.0000001 {
					return false
				}
				s, _ := gear.ThicknessAt(unit.Length(2*r), m.Gears[0], p.Thickness(0, 0))
				return 2*r*math.Atan2(q.X, q.Y) < float64(s)-1e-9
			})
			if thinner != (off < 0) {
				t.Errorf("z = %d, x = limit %+g: undercut %v", z, off, thinner)
			}
		}
	}
	// The textbook's limit for a sharp rack of height 1 is 2/sin² 20° = 17.1 teeth.
	for z, cut := range map[int]bool{17: true, 18: false} {
		p := pair(z, 60, 3*mm, 0, 0, 0, 0)
		p.Rack.Dedendum, p.Rack.Fillet = 1, 0
		if got := p.UndercutShift(0) > 0; got != cut {
			t.Errorf("%d teeth: undercut %v", z, got)
		}
	}
}

func TestPointedTooth(t *testing.T) {
	p := pair(9, 60, 3*mm, 0, 1.1, 0, 0)
	p.Gears[0].Tip = 45 * mm
	if _, err := p.Outline(0, 20); err == nil {
		t.Error("a tooth beyond its point was drawn")
	}
	if _, err := p.Outline(2, 20); err == nil {
		t.Error("a third gear was drawn")
	}
}
