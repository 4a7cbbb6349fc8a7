package draw

import "endfloat/internal/gearbox"

// truth gives a plan the radii of the gearbox itself instead of those of a
// sketch: the pitch radii of its gears, and bores and outside diameters where
// the file has them.
type truth struct {
	scale float64          // sketch mm to the metre
	shaft float64          // radius of the shaft, sketch mm
	wheel map[string]wheel // by position
}

// wheel is a gear in mesh: its pitch radius and its module, in metres.
type wheel struct{ r, m float64 }

// tip is the radius to the tips of the teeth.
func (w wheel) tip() float64 { return w.r + w.m }

// high is the height of a tooth: full depth, 2.25 modules (ISO 53).
func (w wheel) high() float64 { return 2.25 * w.m }

// shaft is the radius of the shaft under the parts.
func (pl *plan) shaft() float64 {
	if pl.true != nil && pl.true.shaft > 0 {
		return pl.true.shaft
	}
	return shaftR
}

// give sets the radii of a spot that the file tells of.
func (t *truth) give(s *spot, as gearbox.Built) {
	if t == nil {
		return
	}
	thick := s.r1 - s.r0
	if d, ok := s.pos.Dimension("bore", as); ok && d > 0 && s.lies == nil && s.bearing() {
		s.r0 = d / 2 * t.scale
		s.r1 = s.r0 + thick
	}
	if d, ok := s.pos.Dimension("od", as); ok && d/2*t.scale > s.r0+2 {
		s.r1 = d / 2 * t.scale
	}
	if s.words == "nut" {
		s.r1 = min(s.r1, 1.7*t.shaft)
	}
	if w, ok := t.wheel[s.pos.ID]; ok && (s.words == "gear" || s.words == "idler" || s.words == "sleeve") {
		s.r1 = max(w.tip()*t.scale, s.r0+3)
		s.deep = w.high() * t.scale
		s.toothed = s.words == "sleeve"
	}
}

// mesh is where along a part its teeth lie, as shares of its length.
func (s *spot) mesh() (from, to float64) {
	switch {
	case s.toothed:
		return 0, 0.5
	case s.cone:
		return 0, 0.6
	case s.dogged:
		return 0, 1 - min(dogDeep/max(s.long(), 1), 0.2)
	case s.bossed:
		return 0, 0.7
	}
	return 0, 1
}

// meshMid is the middle of its teeth along the axis, counted from the start of
// a slot as long as w.
func (s *spot) meshMid(w float64) float64 {
	a, b := s.mesh()
	t := (a + b) / 2
	if s.side < 0 {
		t = 1 - t
	}
	return t * w
}

// newTruePlan is a plan with the radii of t.
func newTruePlan(c *gearbox.Carrier, as gearbox.Built, t *truth) *plan {
	pl := newPlan(c, as)
	pl.true = t
	pl.radii(as)
	return pl
}
