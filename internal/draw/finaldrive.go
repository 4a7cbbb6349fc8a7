package draw

import (
	"math"

	"endfloat/internal/gearbox"
)

// finalDrive is a bevel pinion at the first end of its shaft and the crown
// wheel with what it runs on. The wheel's axis stands square to that of the
// shaft, and they meet in the apex of both pitch cones.
type finalDrive struct {
	apex   float64 // place of the wheel's axis along the shaft
	big    float64 // place of the pinion's big end
	rp, rc float64 // outer pitch radii
	face   float64 // length of a tooth along the cone
	m      float64 // outer module
	teeth  [2]float64
	parts  []wheelPart
}

// wheelPart is a part on the axis of the crown wheel. Its shape lies along that
// axis: x from the apex away from the pinion, y the radius.
type wheelPart struct {
	pos *gearbox.Position
	sh  shape
	h   hatching
}

const headGap = 2.5 // from the pinion's big end to the first part on its shaft

// finalDrive sizes the pair by module and face where the file gives them, else
// by the bearing behind the pinion's head.
func (a *arrangement) finalDrive(m *axle) *finalDrive {
	f := a.box.Final
	crown, ok := a.box.Position(f.Crown)
	if m.core == nil || m.core.pos.ID != f.Pinion || !ok {
		return nil
	}
	zp, zc := teeth(m.core.pos, a.o.Built), teeth(crown, a.o.Built)
	if zp <= 0 || zc <= 0 {
		return nil
	}
	d := &finalDrive{teeth: [2]float64{zp, zc}, big: -headGap}
	mod, face := 0.0, 0.0
	if s := a.box.Strength; s != nil && s.Bevel != nil {
		mod, _ = s.Bevel.Module.SI(a.o.Built)
		face, _ = s.Bevel.Face.SI(a.o.Built)
	}
	d.m = mod * a.scale
	if d.m <= 0 {
		d.m = 2.4 * m.slots0Radius() / zp
	}
	d.rp, d.rc = d.m*zp/2, d.m*zc/2
	cone := math.Hypot(d.rp, d.rc)
	if d.face = face * a.scale; d.face <= 0 || d.face > 0.4*cone {
		d.face = cone / 3.2
	}
	d.apex = d.big - d.rc
	d.lay(a, crown)
	return d
}

// slots0Radius is the radius of the shaft behind the pinion's head.
func (x *axle) slots0Radius() float64 {
	if len(x.slots) > 0 {
		return max(x.slots[0].root().r0, x.shaft())
	}
	return x.shaft()
}

// head is the outline of the pinion's head above the axis, with the lines of
// its root and its pitch cone.
func (d *finalDrive) head() (outline, root, pitch Path) {
	sin, cos := d.slope()
	at := func(along, off float64) Pt { // along the pitch cone from the big end, off it outward
		return Pt{d.big - along*cos - off*sin, d.rp - along*sin + off*cos}
	}
	k := 1 - d.face/math.Hypot(d.rp, d.rc) // the small end is a smaller picture of the big one
	a, b := at(0, d.m), at(d.face, d.m*k)
	e, f := at(0, -1.2*d.m), at(d.face, -1.2*d.m*k)
	outline = Line(b.X, 0, b.X, b.Y, a.X, a.Y, e.X, e.Y, d.big, 0)
	p, q := at(-1.5, 0), at(d.face+1.5, 0)
	return outline, Line(f.X, f.Y, e.X, e.Y), Line(q.X, q.Y, p.X, p.Y)
}

// slope are sine and cosine of the pinion's pitch angle.
func (d *finalDrive) slope() (sin, cos float64) {
	c := math.Hypot(d.rp, d.rc)
	return d.rp / c, d.rc / c
}

// lay builds the wheel, its case and its bearings along the wheel's axis.
func (d *finalDrive) lay(a *arrangement, crown *gearbox.Position) {
	sin, cos := d.slope()
	k := 1 - d.face/math.Hypot(d.rp, d.rc)
	at := func(along, off float64) Pt { // along the pitch cone, off it toward the pinion
		return Pt{d.rp - along*sin - off*cos, d.rc - along*cos + off*sin}
	}
	tipO, tipI := at(0, d.m), at(d.face, d.m*k)
	rootO, rootI := at(0, -1.2*d.m), at(d.face, -1.2*d.m*k)
	back := d.rp + 0.17*d.rc
	bore := 0.93 * rootI.Y
	ring := Poly(rootO.X, rootO.Y, rootI.X, rootI.Y, rootI.X, bore, back, bore, back, 0.93*d.rc, rootO.X+0.04*d.rc, rootO.Y)
	p, q := at(-1.5, 0), at(d.face+1.5, 0)
	wheel := shape{
		cut:  []Path{ring},
		body: []Path{Poly(rootO.X, rootO.Y, tipO.X, tipO.Y, tipI.X, tipI.Y, rootI.X, rootI.Y)},
		axis: []Path{Line(p.X, p.Y, q.X, q.Y)},
	}
	d.parts = append(d.parts, wheelPart{crown, wheel, hatching{45, 1.8}})
	if crown.Carrier != nil && len(crown.Carrier.Ends) == 0 {
		d.layCase(crown.Carrier, back, bore)
	}
}

// sideOf is +1 for a part of the wheel's own side, −1 for one of the other
// side: the wheel lies at the left hand of the drawing's reader who looks from
// the shaft's second end, and so does what is called left.
func sideOf(p *gearbox.Position) float64 {
	switch have := wordsOf(p.Name + " " + p.ID); {
	case have["left"]:
		return 1
	case have["right"]:
		return -1
	}
	return 0
}

// layCase puts the case, its side bearings and their shims on the axis.
func (d *finalDrive) layCase(c *gearbox.Carrier, back, bore float64) {
	journal, fl := 0.2*d.rc, 0.07*d.rc
	near, far := back+fl, -0.36*d.rc
	halves := [2]shape{
		{body: []Path{Line(near, journal, near, 0.78*d.rc, back, 0.78*d.rc), Line(back, bore*0.98, 0.02*d.rc, bore*0.98)}},
		{body: []Path{Line(0.02*d.rc, bore*0.98, 0.02*d.rc, bore*0.98, far+0.1*d.rc, bore*0.92, far, bore*0.66, far, journal), Line(0.02*d.rc, 0, 0.02*d.rc, bore*0.98)}},
	}
	n := 0
	for _, p := range c.Order {
		if n < 2 && formOf(p).words == "case" {
			d.parts = append(d.parts, wheelPart{pos: p, sh: halves[n]})
			n++
		}
	}
	out := [2]float64{near, far} // how far each side has been built
	wide := [2]float64{near, far}
	r0, r1 := journal, 0.36*d.rc
	for _, p := range c.Order {
		side := sideOf(p)
		if side == 0 {
			continue
		}
		i := 0
		if side < 0 {
			i = 1
		}
		s := newSketch(p)
		w := 0.0
		switch {
		case s.words == "taper bearing" && s.ring == outerRing:
			s.x0, s.x1, s.r0, s.r1 = d.span(wide[i], side*0.17*d.rc, r0+0.45*(r1-r0), r1)
			out[i] = wide[i] + side*0.17*d.rc
		case s.words == "taper bearing":
			w = 0.17 * d.rc
			wide[i] = out[i]
			top := r1
			if !hasOuter(c, side) {
				s.ring = both
			} else {
				top = r0 + 0.84*(r1-r0)
			}
			s.x0, s.x1, s.r0, s.r1 = d.span(out[i], side*w, r0, top)
		case s.pos.Seat != nil:
			w = 0.04 * d.rc
			s.pieces = 3
			s.x0, s.x1, s.r0, s.r1 = d.span(out[i], side*w, r0+0.3*(r1-r0), r1)
		default:
			continue
		}
		out[i] += side * w
		// In an X arrangement the big ends look to the case.
		if s.side = 1; side > 0 {
			s.side = -1
		}
		d.parts = append(d.parts, wheelPart{p, s.shape(s), hatching{135, 1.3}})
	}
	d.parts = append(d.parts, wheelPart{sh: shape{thin: []Path{
		Line(near, journal, out[0]+0.06*d.rc, journal, out[0]+0.06*d.rc, 0),
		Line(far, journal, out[1]-0.06*d.rc, journal, out[1]-0.06*d.rc, 0)}}})
}

func (d *finalDrive) span(from, w, r0, r1 float64) (x0, x1, a, b float64) {
	return min(from, from+w), max(from, from+w), r0, r1
}

// hasOuter reports a side bearing whose outer ring is a position of its own.
func hasOuter(c *gearbox.Carrier, side float64) bool {
	for _, p := range c.Order {
		if sideOf(p) == side && formOf(p).words == "taper bearing" && ringOf(p) == outerRing {
			return true
		}
	}
	return false
}
