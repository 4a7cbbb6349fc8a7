package draw

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"endfloat/internal/gearbox"
)

// axle is a shaft of an arrangement: a plan laid out true to its gears, and
// where its axis lies. Lengths are those of the sketch until it is drawn.
type axle struct {
	*plan
	y      float64 // of the axis
	placed bool
	turned bool // drawn with its second end at the left
	cut    []cutGear
	a, b   float64 // the ends of the shaft
	room   []Box   // of its parts, once it has its place
}

// cutGear is a gear that is cut on the shaft itself.
type cutGear struct {
	wheel
	spot  *spot
	speed string
}

// gearing is a pair of gears in mesh, or a pair with an idler between.
type gearing struct {
	speed  string
	ids    []string // driver, driven; with an idler between them if there is one
	teeth  []float64
	wheels []wheel
	centre float64 // given distance of the axes, m; 0 not given
}

// arrangement is a gearbox laid out in one plane.
type arrangement struct {
	box     *gearbox.Box
	o       *Options
	gears   []gearing
	axles   []*axle
	scale   float64 // sketch mm to the metre
	assumed bool    // sizes of teeth are not in the file
	final   *finalDrive
}

// Arrangement draws all shafts of a gearbox in one plane, at their centre
// distances and with their gears in mesh, and the final drive where there is
// one. It is nil where the file has no shaft.
func Arrangement(b *gearbox.Box, o Options) *Drawing {
	a := &arrangement{box: b, o: &o}
	a.gather()
	if len(a.axles) == 0 {
		return nil
	}
	a.size()
	a.layOut()
	return a.draw()
}

// gather finds the shafts and what is in mesh.
func (a *arrangement) gather() {
	least := map[string]bool{}
	for i := range a.box.Meshes {
		if g, ok := a.gearing(&a.box.Meshes[i]); ok {
			a.gears = append(a.gears, g)
			for _, id := range g.ids {
				least[a.carrier(id)] = true
			}
		}
	}
	if f := a.box.Final; f != nil {
		least[a.carrier(f.Pinion)] = true
	}
	for _, c := range a.box.Carriers {
		if len(c.Ends) == 2 && len(c.Order) > 0 && (least[c.ID] || len(least) == 0) {
			a.axles = append(a.axles, &axle{plan: &plan{c: c}})
		}
	}
}

func (a *arrangement) carrier(id string) string {
	if p, ok := a.box.Position(id); ok && p.Carrier != nil {
		return p.Carrier.ID
	}
	return ""
}

// gearing works out the pitch radii of a pair: by their centre distance and
// numbers of teeth, else by module and helix.
func (a *arrangement) gearing(m *gearbox.Mesh) (g gearing, ok bool) {
	g.speed = m.Speed
	g.ids = []string{m.Driver, m.Driven}
	if m.Idler != "" {
		g.ids = []string{m.Driver, m.Idler, m.Driven}
	}
	sum := 0.0
	for _, id := range g.ids {
		p, known := a.box.Position(id)
		if !known || len(p.Carrier.Ends) != 2 {
			return g, false
		}
		n := teeth(p, a.o.Built)
		if n <= 0 {
			return g, false
		}
		g.teeth = append(g.teeth, n)
		sum += n
	}
	mod := float64(m.Module)
	helix, _ := m.Helix.SI(a.o.Built)
	centre, _ := m.Centre.SI(a.o.Built)
	if mod <= 0 && centre > 0 {
		mod = 2 * centre * math.Cos(helix) / sum
	}
	if mod <= 0 {
		mod, a.assumed = 0.0025, true
	}
	for _, n := range g.teeth {
		r := n * mod / 2 / math.Cos(helix)
		if centre > 0 && m.Idler == "" {
			r = centre * n / sum
		}
		g.wheels = append(g.wheels, wheel{r, mod})
	}
	g.centre = centre
	return g, true
}

func (a *arrangement) axleOf(id string) *axle {
	c := a.carrier(id)
	for _, x := range a.axles {
		if x.c.ID == c {
			return x
		}
	}
	return nil
}

// size chooses the scale, by which the dogs of the smallest loose gear stay
// inside its teeth, and gives every part its radii.
func (a *arrangement) size() {
	wheels := map[string]wheel{}
	for _, g := range a.gears {
		for i, id := range g.ids {
			if _, ok := wheels[id]; !ok {
				wheels[id] = g.wheels[i]
			}
		}
	}
	inside := math.Inf(1)
	for id, w := range wheels {
		p, _ := a.box.Position(id)
		if f := formOf(p); f.words == "gear" && (facing(p, "cone") != "" || facing(p, "dogs") != "") {
			inside = min(inside, w.r-1.25*w.m)
		}
	}
	a.scale = 0.62e3
	if !math.IsInf(inside, 1) {
		a.scale = dogR / (0.96 * inside)
	}
	for _, x := range a.axles {
		t := &truth{scale: a.scale, shaft: a.shaftOf(x.c, wheels), wheel: wheels}
		x.plan = newTruePlan(onAxis(x.c), a.o.Built, t)
		for _, l := range x.slots {
			l.w = 0
			for _, s := range l.spots {
				if s.role == along && s.width > 0 {
					l.w, l.known = max(l.w, s.width*a.scale), true
				}
			}
			for _, s := range l.spots {
				if !l.known && (s.role == along || s == l.root()) {
					l.w = max(l.w, s.form.width*a.scale*1e-3)
				}
			}
			l.w = max(l.w, 1.6)
		}
	}
	for _, g := range a.gears {
		for i, id := range g.ids {
			if x := a.axleOf(id); x != nil && x.core != nil && x.core.pos.ID == id {
				x.cut = append(x.cut, cutGear{wheel: g.wheels[i], speed: g.speed, spot: a.cutSpot(x, g.wheels[i])})
			}
		}
	}
}

// onAxis is a carrier without what does not lie around its axis: levers, pins
// and plates beside a shaft that has no bearing.
func onAxis(c *gearbox.Carrier) *gearbox.Carrier {
	bearing := slices.ContainsFunc(c.Order, func(p *gearbox.Position) bool { return strings.Contains(formOf(p).words, "bearing") })
	out := *c
	out.Order = slices.DeleteFunc(slices.Clone(c.Order), func(p *gearbox.Position) bool {
		f := formOf(p)
		s := newSketch(p)
		return f.role == along && s.shape(s).once || !bearing && f.words == "plate"
	})
	return &out
}

// shaftOf is the radius of a shaft: under its smallest bearing, but well inside
// the teeth of what runs on it or is cut on it.
func (a *arrangement) shaftOf(c *gearbox.Carrier, wheels map[string]wheel) float64 {
	r := math.Inf(1)
	for _, p := range c.Order {
		if d, ok := p.Dimension("bore", a.o.Built); ok && d > 0 && strings.Contains(formOf(p).words, "bearing") {
			r = min(r, d/2)
		}
		w, ok := wheels[p.ID]
		switch {
		case !ok:
		case formOf(p).role == core:
			r = min(r, 0.92*(w.r-1.25*w.m))
		case formOf(p).words == "gear":
			r = min(r, 0.42*(w.r-1.25*w.m))
		}
	}
	if math.IsInf(r, 1) {
		return shaftR
	}
	return r * a.scale
}

func (a *arrangement) cutSpot(x *axle, w wheel) *spot {
	s := &spot{form: &onShaft, pos: x.core.pos, side: 1, r0: x.shaft(), r1: w.tip() * a.scale, deep: w.high() * a.scale}
	s.root = s
	return s
}

// onShaft is a gear cut on the shaft: not sectioned, as the shaft is not.
var onShaft = form{words: "gear", width: 22, shape: func(s *spot) shape {
	root := s.r1 - s.tooth()
	return shape{body: []Path{s.area(0, s.r0, 0, root, 1, root, 1, s.r0), s.teeth(root, 1)}, axis: []Path{s.pitchLine(1)}}
}}

// words of the mesh of a speed: its numbers of teeth.
func (g *gearing) words() string {
	var t []string
	for _, n := range g.teeth {
		t = append(t, strconv.Itoa(int(n)))
	}
	return strings.Join(t, " : ")
}

// note says what of an arrangement is to scale.
func (a *arrangement) note() string {
	slots, known := 0, 0
	for _, x := range a.axles {
		for _, l := range x.slots {
			slots++
			if l.known || l.root().pos.Seat != nil {
				known++
			}
		}
	}
	says := "The shafts are turned into one plane. "
	switch {
	case len(a.gears) == 0:
		says += "Not to scale: the file does not say what is in mesh."
	case a.assumed:
		says += "Not to scale: the file gives no sizes of teeth."
	default:
		says += "Pitch circles and centre distances to scale"
		if known < slots {
			says += fmt.Sprintf("; %d of %d lengths are not in the file", slots-known, slots)
		}
		says += "."
	}
	return says
}
