package draw

import (
	"cmp"
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

// main is the shaft that the others are laid out from: the pinion's, else the
// one with the most gears that are not cut on it.
func (a *arrangement) main() *axle {
	if f := a.box.Final; f != nil {
		if x := a.axleOf(f.Pinion); x != nil {
			return x
		}
	}
	loose := func(x *axle) (n int) {
		for _, s := range x.spots {
			if _, ok := x.true.wheel[s.pos.ID]; ok {
				n++
			}
		}
		return n
	}
	return slices.MaxFunc(a.axles, func(x, y *axle) int { return cmp.Compare(loose(x), loose(y)) })
}

// layOut places the axles one after the other, each by the gears it shares
// with one that has its place.
func (a *arrangement) layOut() {
	m := a.main()
	x0 := 0.0
	if f := a.box.Final; f != nil && a.axleOf(f.Pinion) == m {
		a.final = a.finalDrive(m)
	}
	m.seatCut(nil)
	m.b = m.put(x0)
	m.placed = true
	for range a.axles {
		for _, x := range a.axles {
			if !x.placed {
				a.hang(x)
			}
		}
	}
	high := 0.0
	for _, x := range a.axles {
		if x.placed {
			high = max(high, x.y+x.high())
		}
	}
	for _, x := range a.axles { // with no gear in mesh: above the others
		if !x.placed {
			x.seatCut(nil)
			x.b = x.put(x0)
			x.y, x.placed = high+x.high()+4, true
			high = x.y + x.high()
		}
	}
	for _, x := range a.axles {
		x.a, x.b = x.slots0()-stub, x.slots1()+stub
		x.setHatches()
	}
}

// high is the radius of the tallest part.
func (x *axle) high() float64 {
	r := x.shaft()
	for _, s := range x.spots {
		r = max(r, s.r1)
	}
	for _, c := range x.cut {
		r = max(r, c.spot.r1)
	}
	return r
}

func (x *axle) slots0() float64 {
	if len(x.slots) == 0 {
		return 0
	}
	return x.slots[0].x0
}

func (x *axle) slots1() float64 {
	if n := len(x.slots); n > 0 {
		return x.slots[n-1].x0 + x.slots[n-1].w
	}
	return 0
}

// anchor is a slot whose teeth must come to lie at x.
type anchor struct {
	s *spot
	x float64
}

// hang places an axle beside one that has its place, by all gears that mesh.
func (a *arrangement) hang(x *axle) {
	var at []anchor
	var y float64
	var found bool
	for _, g := range a.gears {
		for i, id := range g.ids {
			if a.axleOf(id) != x {
				continue
			}
			for j := range g.ids { // gears that turn together lie in one plane
				o := a.axleOf(g.ids[j])
				if o == nil || !o.placed || o == x {
					continue
				}
				mid, ok := o.teethAt(g.ids[j], g.speed)
				if !ok {
					continue
				}
				if s := x.own(id, g.speed); s != nil && !slices.ContainsFunc(at, func(b anchor) bool { return b.s == s }) {
					at = append(at, anchor{s, mid})
				}
				if !found && (j == i-1 || j == i+1) {
					y, found = o.y+a.apart(g, i, j), true
				}
			}
		}
	}
	if !found {
		return
	}
	x.y, x.placed = y, true
	x.turn(at)
	x.seatCut(at)
	x.spread(at)
	a.clear(x, at)
	x.settle()
}

// clear moves what lies outside the gears of an axle outward until it is clear
// of the parts of the others: the shafts do not lie in one plane.
func (a *arrangement) clear(x *axle, at []anchor) {
	first, last := len(x.slots), -1
	for i, l := range x.slots {
		for _, b := range at {
			if slices.Contains(l.spots, b.s) {
				first, last = min(first, i), max(last, i)
			}
		}
	}
	for i, end := first-1, 0.0; i >= 0; i-- {
		l := x.slots[i]
		end = x.slots[i+1].x0
		l.x0 = end - l.w
		for b, hit := a.inTheWay(x, l); hit; b, hit = a.inTheWay(x, l) {
			l.x0 = b.X0 - l.w - 0.6
		}
	}
	for i := last + 1; i < len(x.slots) && i > 0; i++ {
		l := x.slots[i]
		l.x0 = x.slots[i-1].x0 + x.slots[i-1].w
		for b, hit := a.inTheWay(x, l); hit; b, hit = a.inTheWay(x, l) {
			l.x0 = b.X1 + 0.6
		}
	}
}

// boxes are the rooms of the parts of an axle that has its place.
func (x *axle) boxes() []Box {
	if x.room == nil {
		for _, l := range x.slots {
			for _, s := range l.spots {
				sh := s.shape(s)
				x.room = append(x.room, sh.bounds())
			}
		}
	}
	return x.room
}

// inTheWay is a part of another axle that a slot of x would run into.
func (a *arrangement) inTheWay(x *axle, l *slot) (Box, bool) {
	high := 0.0
	for _, s := range l.spots {
		high = max(high, s.r1)
	}
	for _, o := range a.axles {
		if o == x || !o.placed {
			continue
		}
		for _, b := range o.boxes() {
			if b.X0 < l.x0+l.w-0.01 && l.x0 < b.X1-0.01 && high+b.Y1 > math.Abs(x.y-o.y)-0.5 {
				return b, true
			}
		}
	}
	return Box{}, false
}

// apart is the distance of the axes of two gears of a mesh: upward for a pair
// and beyond it for an idler.
func (a *arrangement) apart(g gearing, i, j int) float64 {
	d := g.wheels[i].r + g.wheels[j].r
	if g.centre > 0 && len(g.ids) == 2 {
		d = g.centre
	}
	return d * a.scale
}

// own is the part of an axle that is the gear of a position in a speed.
func (x *axle) own(id, speed string) *spot {
	for i := range x.cut {
		if x.cut[i].spot.pos.ID == id && x.cut[i].speed == speed {
			return x.cut[i].spot
		}
	}
	for _, s := range x.spots {
		if s.pos.ID == id {
			return s
		}
	}
	return nil
}

// teethAt is the middle of the teeth of a gear that has its place.
func (x *axle) teethAt(id, speed string) (float64, bool) {
	s := x.own(id, speed)
	if s == nil || s.x1 <= s.x0 {
		return 0, false
	}
	p, q := s.mesh()
	return s.at((p + q) / 2), true
}

// turn lays an axle the other way round where its gears come in the opposite
// order to those they mesh with.
func (x *axle) turn(at []anchor) {
	index := func(s *spot) int {
		return slices.IndexFunc(x.slots, func(l *slot) bool { return slices.Contains(l.spots, s) })
	}
	sum := 0.0
	for i := range at {
		for j := range i {
			a, b := index(at[i].s), index(at[j].s)
			if a >= 0 && b >= 0 && a != b {
				sum += float64(cmp.Compare(a, b)) * (at[i].x - at[j].x)
			}
		}
	}
	if sum >= 0 {
		return
	}
	x.turned = true
	slices.Reverse(x.slots)
	for _, s := range x.spots {
		s.side = -s.side
	}
}

// seatCut gives the gears that are cut on the shaft a length of it: beside the
// gears they come next to, after the bearing of that end.
func (x *axle) seatCut(at []anchor) {
	where := func(s *spot) (float64, bool) {
		for _, a := range at {
			if a.s == s {
				return a.x, true
			}
		}
		return 0, false
	}
	slices.SortStableFunc(x.cut, func(a, b cutGear) int {
		p, _ := where(a.spot)
		q, _ := where(b.spot)
		return cmp.Compare(p, q)
	})
	for i := range x.cut {
		s := x.cut[i].spot
		w := 0.8 * onShaft.width * x.true.scale * 1e-3
		mine, ok := where(s)
		k := len(x.slots)
		for j, l := range x.slots {
			for _, q := range l.spots {
				if t, has := where(q); ok && has && t > mine {
					k = min(k, j)
				}
			}
		}
		if !ok {
			k = 0
		}
		for k > 0 && x.slots[k-1].find(func(q *spot) bool { return q.bearing() || q.form == &onShaft }) == nil {
			k--
		}
		x.slots = slices.Insert(x.slots, k, &slot{spots: []*spot{s}, w: w, known: true})
	}
}

// spread puts the slots so that anchored teeth lie at their places: what lies
// between two of them shares the room there is.
func (x *axle) spread(at []anchor) {
	slices.SortFunc(at, func(a, b anchor) int { return cmp.Compare(a.x, b.x) })
	last := -1
	end := math.Inf(-1)
	for _, b := range at {
		i := slices.IndexFunc(x.slots, func(l *slot) bool { return slices.Contains(l.spots, b.s) })
		if i <= last {
			continue // out of order, or a second gear in one place
		}
		l := x.slots[i]
		l.x0 = b.x - b.s.meshMid(l.w)
		if last >= 0 {
			x.fill(last+1, i, end)
		} else {
			for j := i - 1; j >= 0; j-- {
				x.slots[j].x0 = x.slots[j+1].x0 - x.slots[j].w
			}
		}
		last, end = i, l.x0+l.w
	}
	for j := last + 1; j < len(x.slots); j++ {
		x.slots[j].x0 = 0
		if j > 0 {
			x.slots[j].x0 = x.slots[j-1].x0 + x.slots[j-1].w
		}
	}
	x.settle()
}

// fill shares the room from end to slot i between the slots from j on; gears
// that would run into each other give way by half each.
func (x *axle) fill(j, i int, end float64) {
	l := x.slots[i]
	room := l.x0 - end
	least := 0.8 * float64(i-j)
	if room < least {
		give := (least - room) / 2
		x.slots[j-1].w -= give
		l.x0 += give
		l.w -= give
		end -= give
		room = least
	}
	sum := 0.0
	for _, m := range x.slots[j:i] {
		sum += m.w
	}
	for _, m := range x.slots[j:i] {
		m.w *= room / sum
		m.x0 = end
		end += m.w
	}
}

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
