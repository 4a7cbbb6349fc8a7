package draw

import (
	"cmp"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
)

// spot is a position with its room in the section: along the axis from x0 to
// x1, from the radius r0 to r1, in mm of the drawing.
type spot struct {
	*form
	pos     *gearbox.Position
	ring    ring
	x0, x1  float64
	r0, r1  float64
	side    int     // +1 if its telling face looks toward the second end, else -1
	cone    bool    // gear with a cone and dogs
	bossed  bool    // gear with a boss on the side of side
	dogged  bool    // gear with dogs on the face of side
	toothed bool    // sleeve that carries the teeth of a gear
	deep    float64 // height of its teeth; 0: that of a sketch
	pieces  int     // of a pack, for its lines
	dot     Pt      // where its leader ends
	width   float64 // known width in m, 0 if not
	root    *spot   // first of its slot
	lies    *spot   // what it lies around, nil on the shaft
	hatch   hatching
}

// at is the place at the fraction t of the length, counted from the face that
// does not tell to the one that does.
func (s *spot) at(t float64) float64 {
	if s.side < 0 {
		t = 1 - t
	}
	return s.x0 + t*(s.x1-s.x0)
}

// bearing reports a bearing that has rings.
func (s *spot) bearing() bool {
	return strings.HasSuffix(s.words, "bearing") && !strings.HasPrefix(s.words, "needle")
}

func (s *spot) long() float64 { return s.x1 - s.x0 }

// slot is a length of the axis with all that lies there, one around the other.
type slot struct {
	spots []*spot
	known bool
	w     float64
	x0    float64
}

func (l *slot) root() *spot { return l.spots[0] }

func (l *slot) find(f func(*spot) bool) *spot {
	if i := slices.IndexFunc(l.spots, f); i >= 0 {
		return l.spots[i]
	}
	return nil
}

// plan is a carrier laid out: the shaft, and the slots from end to end.
type plan struct {
	c     *gearbox.Carrier
	core  *spot // nil where no position is the shaft itself
	slots []*slot
	spots []*spot // all but the core, in the order of the file
	true  *truth  // radii by the file; nil: those of a sketch
}

func newPlan(c *gearbox.Carrier, as gearbox.Built) *plan {
	pl := &plan{c: c}
	byID := map[string]*spot{}
	for _, p := range c.Order {
		s := &spot{form: formOf(p), pos: p, ring: ringOf(p), side: 1, pieces: 3}
		if s.form.role == core && pl.core != nil {
			s.form = &stick
		}
		if w, ok := p.Dimension("width", as); ok && w > 0 {
			s.width = w
		}
		if p.Seat != nil {
			s.pieces = min(max(p.Seat.Max, 2), 4)
		}
		byID[p.ID] = s
		if s.form.role == core {
			pl.core = s
			continue
		}
		pl.spots = append(pl.spots, s)
	}
	pl.gather(byID)
	pl.face()
	pl.radii(as)
	return pl
}

// gather puts each spot into a slot: on what it lies around, or on what its
// kind belongs to, or on a length of shaft of its own.
func (pl *plan) gather(byID map[string]*spot) {
	for _, s := range pl.spots {
		if q := byID[s.pos.Around]; q != nil && q != pl.core && q != s {
			s.lies = q
		}
	}
	for _, s := range pl.spots {
		// What lies within another is what that one lies around, unless the
		// file says more of it; a ring is taken by its gear, not the gear by it.
		if q := byID[s.pos.Inside]; q != nil && q != pl.core && q.lies == nil && !under(s, q) {
			q.lies = s
		}
	}
	for i, s := range pl.spots {
		if s.lies == nil {
			if q := pl.belongs(i); q != nil && !under(q, s) {
				s.lies = q
			}
		}
	}
	slots := map[*spot]*slot{}
	for _, s := range pl.spots {
		s.root = s
		for n := 0; s.root.lies != nil && n < len(pl.spots); n++ {
			s.root = s.root.lies
		}
		l := slots[s.root]
		if l == nil {
			l = &slot{}
			slots[s.root] = l
		}
		l.spots = append(l.spots, s)
		if s == s.root {
			pl.slots = append(pl.slots, l)
		}
	}
	for _, l := range pl.slots {
		sortFromAxis(l.spots)
		for _, s := range l.spots {
			if s.words == "sleeve" && l.find(func(q *spot) bool { return q.words == "hub" }) == nil {
				s.form = formNamed("inner sleeve") // nothing carries it: it is a plain sleeve
			}
			s.cone = s.words == "gear" && (facing(s.pos, "cone") != "" || l.find(func(q *spot) bool { return q.role == onCone }) != nil)
			s.bossed = s.words == "gear" && !s.cone && facing(s.pos, "boss") != ""
			s.dogged = s.words == "gear" && !s.cone && facing(s.pos, "dogs") != ""
			s.toothed = s.words == "sleeve" && s.pos.Teeth.Known()
		}
	}
}

// under reports whether s lies around q, directly or through others.
func under(s, q *spot) bool {
	for n := 0; s != nil && n < 100; n++ {
		if s == q {
			return true
		}
		s = s.lies
	}
	return false
}

// sortFromAxis orders what lies one around the other from the axis outward.
func sortFromAxis(spots []*spot) {
	depth := func(s *spot) (n int) {
		for s.lies != nil && n < 100 {
			s = s.lies
			n++
		}
		return n
	}
	slices.SortStableFunc(spots, func(a, b *spot) int {
		return cmp.Or(cmp.Compare(depth(a), depth(b)), cmp.Compare(a.rank, b.rank))
	})
}

// belongs is the spot on which a part without an "around" is drawn, by its
// kind and its neighbours; nil where it has its own length of shaft.
func (pl *plan) belongs(i int) *spot {
	s := pl.spots[i]
	near := func(words ...string) *spot {
		for _, j := range []int{i + 1, i - 1, i + 2, i - 2} {
			if j >= 0 && j < len(pl.spots) && slices.Contains(words, pl.spots[j].words) {
				return pl.spots[j]
			}
		}
		return nil
	}
	switch {
	case s.role == onCone:
		free := func(j int) bool {
			return j >= 0 && j < len(pl.spots) && pl.spots[j].words == "gear" &&
				!slices.ContainsFunc(pl.spots, func(q *spot) bool { return q.role == onCone && q.lies == pl.spots[j] })
		}
		for _, j := range []int{i - 1, i + 1} {
			if free(j) {
				return pl.spots[j]
			}
		}
	case s.words == "strut" || s.words == "spring":
		return near("hub")
	case s.words == "sleeve":
		return near("hub")
	case s.words == "key":
		for j := i + 1; j < len(pl.spots); j++ {
			if pl.spots[j].role == along {
				return pl.spots[j]
			}
		}
		for j := i - 1; j >= 0; j-- {
			if pl.spots[j].role == along {
				return pl.spots[j]
			}
		}
	case s.words == "needle cage":
		// Its gear runs on it.
		if g := near("gear"); g != nil && g.lies == nil && (i+1 >= len(pl.spots) || pl.spots[i+1].words != "inner sleeve") {
			g.lies = s
		}
	case s.role == over:
		for j := i - 1; j >= 0; j-- {
			if pl.spots[j].bearing() {
				return pl.spots[j]
			}
		}
	case s.ring == outerRing && s.bearing():
		return pl.innerOf(s)
	}
	return nil
}

// innerOf is the nearest inner ring of the same kind that has no outer yet.
func (pl *plan) innerOf(s *spot) *spot {
	var best *spot
	for _, q := range pl.spots {
		if q.words != s.words || q.ring != innerRing || slices.ContainsFunc(pl.spots, func(o *spot) bool { return o.lies == q && o.ring == outerRing }) {
			continue
		}
		if best == nil || apart(q, s) < apart(best, s) {
			best = q
		}
	}
	return best
}

func apart(a, b *spot) int {
	d := a.pos.Index - b.pos.Index
	return max(d, -d)
}

// facing is what the named face of a position looks toward, "" if not said.
func facing(p *gearbox.Position, face string) string {
	for _, f := range p.Faces {
		if strings.Contains(strings.ToLower(f.Face), face) {
			return f.Toward
		}
	}
	return ""
}

// face sets the side of each spot from the file, or from where its neighbours lie.
func (pl *plan) face() {
	slotOf := map[string]int{}
	for i, l := range pl.slots {
		for _, s := range l.spots {
			slotOf[s.pos.ID] = i
		}
	}
	for i, l := range pl.slots {
		for _, s := range l.spots {
			side := 0
			for _, f := range s.pos.Faces {
				if side == 0 {
					side = pl.toward(f.Toward, i, slotOf)
				}
			}
			if side == 0 && s.words == "gear" {
				side = pl.hubSide(i)
			}
			if side != 0 {
				s.side = side
			}
		}
		// A ring sits on the cone, whatever its lugs are said to face.
		if g := l.find(func(s *spot) bool { return s.cone }); g != nil {
			for _, s := range l.spots {
				if s.role == onCone {
					s.side = g.side
				}
			}
		}
	}
}

// toward is the side on which a named end or position lies, 0 if neither.
func (pl *plan) toward(name string, slot int, slotOf map[string]int) int {
	for i, e := range pl.c.Ends {
		if strings.EqualFold(e, name) {
			return 2*i - 1
		}
	}
	if j, ok := slotOf[name]; ok {
		return cmp.Compare(j, slot)
	}
	return 0
}

// hubSide is the side on which the next slot holds a hub, 0 if neither does.
func (pl *plan) hubSide(i int) int {
	isHub := func(s *spot) bool { return strings.HasPrefix(s.words, "hub") }
	for _, side := range []int{1, -1} {
		if j := i + side; j >= 0 && j < len(pl.slots) && pl.slots[j].find(isHub) != nil {
			return side
		}
	}
	return 0
}

// radii stacks the parts of each slot outward from the shaft.
func (pl *plan) radii(as gearbox.Built) {
	least, most := teethSpan(pl.spots, as)
	for _, l := range pl.slots {
		top := map[*spot]float64{nil: pl.shaft()} // how far out what lies around it begins
		for _, s := range l.spots {
			s.r0 = top[s.lies]
			s.r1 = max(s.r0+s.thick, s.reach)
			switch {
			case s.role == within && s.lies != nil:
				s.r0, s.r1 = s.lies.r0, s.lies.r1
			case s.role == onCone:
				s.r0 = coneR
				if s.lies != nil && s.lies.cone {
					s.r0 = max(coneR, s.lies.r0+1)
				}
				s.r1 = max(dogR, s.r0+3.8)
			case s.bearing():
				s.bearingRadii()
			case s.words == "gear":
				s.r1 = max(gearRadius(s.pos, as, least, most), s.r0+s.thick)
			case s.toothed:
				s.r1 += tooth + 1
			case s.words == "plate" && s.lies == nil:
				s.r0 = 11 // held by the case, clear of the shaft
			}
			pl.true.give(s, as)
			top[s] = s.r1
			if s.role == along && s.rank < 0 {
				top[s.lies] = s.r1 // a cage lies between its sleeve and what else is around that
			}
		}
	}
	for i, l := range pl.slots {
		for _, s := range l.spots {
			if s.role == over {
				pl.stretchRadius(s, i)
			}
		}
	}
}

// bearingRadii leaves the outer half to a part of its own where there is one.
func (s *spot) bearingRadii() {
	switch {
	case s.ring == innerRing && s.words == "taper bearing":
		s.r1 = s.r0 + 9.4 // with its rollers
	case s.ring == innerRing:
		s.r1 = s.r0 + 4
	case s.ring == outerRing:
		s.r1 = max(s.r0+8, s.reach)
	}
}

func teeth(p *gearbox.Position, as gearbox.Built) float64 {
	n, _ := p.Dimension("teeth", as)
	return n
}

func teethSpan(spots []*spot, as gearbox.Built) (least, most float64) {
	for _, s := range spots {
		if n := teeth(s.pos, as); s.words == "gear" && n > 0 {
			if least == 0 || n < least {
				least = n
			}
			most = max(most, n)
		}
	}
	return least, most
}

// gearRadius shares the span of radii by numbers of teeth.
func gearRadius(p *gearbox.Position, as gearbox.Built, least, most float64) float64 {
	n := teeth(p, as)
	if n == 0 || most == least {
		return 26
	}
	return gearLow + (gearHigh-gearLow)*(n-least)/(most-least)
}

// reachOf is the run of slots that a cartridge reaches over: from bearing to
// bearing around the one it is written around.
func (pl *plan) reachOf(i int) (from, to int) {
	isBearing := func(j int) bool {
		return pl.slots[j].find((*spot).bearing) != nil
	}
	from, to = i, i
	for j := i + 1; j < len(pl.slots) && j <= i+2; j++ {
		if isBearing(j) {
			to = j
			break
		}
	}
	if to == i {
		for j := i - 1; j >= 0 && j >= i-2; j-- {
			if isBearing(j) {
				from = j
				break
			}
		}
	}
	return from, to
}

func (pl *plan) stretchRadius(s *spot, i int) {
	from, to := pl.reachOf(i)
	for _, l := range pl.slots[from : to+1] {
		for _, q := range l.spots {
			if q != s && q.lies != s {
				s.r0 = max(s.r0, q.r1)
			}
		}
	}
	s.r1 = s.r0 + s.thick
	for _, q := range pl.slots[i].spots {
		if q.lies == s && q.onFlange() {
			q.r0, q.r1 = s.r1+0.4, s.r1+4.4
		}
	}
}
