package gear

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Point is a place in the plane of rotation, in metres from the axis.
type Point struct{ X, Y float64 }

// Outline returns the outline of one tooth in the plane of rotation, as the rack
// cuts it: from the middle of one gap over the tip to the middle of the next, Y
// along the middle of the tooth. Each flank has about steps points for the root
// fillet and as many for the involute. The tip is that of the mesh.
//
// A rack rolls on the reference circle. Where the normal at a point of the rack
// passes through the point of rolling, that point is cutting: so a rack point
// (ξ, η), η from the reference circle outward, with the normal meeting it at ξ_0, cuts
//
//	X = (ξ − ξ_0) cos φ + (r + η) sin φ    Y = (r + η) cos φ − (ξ − ξ_0) sin φ    φ = ξ_0 / r
//
// The straight flank gives the involute, the round of the rack's tip the fillet;
// where the fillet cuts into the involute the tooth is undercut and the involute
// begins where the two cross. Textbook, derived here; the thickness and the radius
// at the 30° tangent agree with the formulas of [ISO6336], part 3.
func (p Pair) Outline(gear, steps int) ([]Point, error) {
	m, err := p.Mesh()
	if err != nil {
		return nil, err
	}
	if gear < 0 || gear > 1 || steps < 2 || steps > 10_000 {
		return nil, fmt.Errorf("gear: an outline is of gear 0 or 1 in 2 to 10000 steps, got gear %d and %d steps", gear, steps)
	}
	c := p.cutter(gear, m)
	half, err := c.flank(steps)
	if err != nil {
		return nil, err
	}
	// half runs from the middle of the gap on the right up to the tip.
	out := make([]Point, 0, 2*len(half))
	for _, q := range half {
		out = append(out, Point{-q.X, q.Y})
	}
	for i := len(half) - 1; i >= 0; i-- {
		out = append(out, half[i])
	}
	return out, nil
}

// cutter is a rack against one gear, in metres and radians.
type cutter struct {
	r, base, tip, root float64 // radii
	pitch              float64 // half the angle from gap to gap
	reference          float64 // thickness at the reference circle
	deep               float64 // of the rack's tip below the reference circle
	round              float64 // radius of the rack's tip
	cos, sin           float64 // of the normal pressure angle
	stretch            float64 // 1/cos β, by which the section is wider
	flat               float64 // half width of the flat at the rack's tip
	undercut           bool
	d                  Diameters
}

func (p Pair) cutter(gear int, m Mesh) cutter {
	mod, g, d := float64(p.Module), p.Gears[gear], m.Gears[gear]
	sin, cos := math.Sincos(float64(p.Rack.Pressure))
	c := cutter{
		r: float64(d.Reference) / 2, base: float64(d.Base) / 2, tip: float64(d.Tip) / 2, root: float64(d.Root) / 2,
		pitch: math.Pi / float64(g.Teeth), reference: float64(p.Thickness(gear, 0)),
		deep: mod * (p.Rack.Dedendum - g.Shift), round: mod * p.Rack.Fillet,
		cos: cos, sin: sin, stretch: 1 / math.Cos(float64(p.Helix)),
		undercut: g.Shift < p.UndercutShift(gear), d: d,
	}
	c.flat = max(0, mod*(math.Pi/4-p.Rack.Dedendum*sin/cos)-c.round*(1-sin)/cos)
	return c
}

// fillet returns the point cut by the round of the rack's tip where its tangent has
// turned by t from the flat, 0 to the pressure angle's complement, and the gap's
// middle is the Y axis.
func (c cutter) fillet(t float64) Point {
	sin, cos := math.Sincos(t)
	ξ := (c.flat + c.round*sin) * c.stretch
	η := -c.deep + c.round*(1-cos)
	// The normal of the stretched section leans by tan t / stretch.
	ξ0 := ξ + η*sin/(cos*c.stretch)
	φ := ξ0 / c.r
	s, k := math.Sincos(φ)
	return Point{(ξ-ξ0)*k + (c.r+η)*s, (c.r+η)*k - (ξ-ξ0)*s}
}

// gapAt is half the angle of the gap between involutes at a radius.
func (c cutter) gapAt(radius float64) (float64, error) {
	s, err := ThicknessAt(unit.Length(2*radius), c.d, unit.Length(c.reference))
	return c.pitch - float64(s)/(2*radius), err
}

// flank returns one side of the tooth, from the middle of the gap to the tip, Y
// along the middle of the tooth and X to the right.
func (c cutter) flank(steps int) ([]Point, error) {
	side := make([]Point, 0, 2*steps+4)
	add := func(radius, gap float64) {
		s, k := math.Sincos(c.pitch - gap)
		side = append(side, Point{radius * s, radius * k})
	}
	add(c.root, 0)
	end := math.Pi/2 - math.Asin(c.sin)
	from := c.base
	for i := range steps + 1 {
		q := c.fillet(end * float64(i) / float64(steps))
		radius, gap := math.Hypot(q.X, q.Y), math.Atan2(q.X, q.Y)
		if c.undercut && radius >= c.base {
			if involute, err := c.gapAt(radius); err != nil || gap <= involute {
				break
			}
		}
		if radius >= c.tip {
			return nil, fmt.Errorf("gear: the root fillet reaches the tip of %s", mm(c.d.Tip))
		}
		add(radius, gap)
		from = max(radius, c.base)
	}
	for i := range steps {
		radius := from + (c.tip-from)*float64(i+1)/float64(steps)
		gap, err := c.gapAt(radius)
		if err != nil {
			return nil, err
		}
		if gap >= c.pitch {
			return nil, fmt.Errorf("gear: the tooth comes to a point below its tip of %s", mm(c.d.Tip))
		}
		add(radius, gap)
	}
	return side, nil
}
