package draw

import (
	"cmp"
	"math"
	"slices"
)

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
	var was anchor
	for _, b := range at {
		i := slices.IndexFunc(x.slots, func(l *slot) bool { return slices.Contains(l.spots, b.s) })
		if i <= last {
			continue // out of order, or a second gear in one place
		}
		l := x.slots[i]
		l.x0 = b.x - b.s.meshMid(l.w)
		if last >= 0 {
			x.fill(last+1, i, end, was, b)
		} else {
			for j := i - 1; j >= 0; j-- {
				x.slots[j].x0 = x.slots[j+1].x0 - x.slots[j].w
			}
		}
		last, end, was = i, l.x0+l.w, b
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
func (x *axle) fill(j, i int, end float64, was, at anchor) {
	l := x.slots[i]
	room := l.x0 - end
	least := 0.8 * float64(i-j)
	if room < least {
		give := (least - room) / 2
		end -= give
		if before, t := x.slots[j-1], was.s.meshMid(1); t < 1 && was.x < end {
			before.w = (end - was.x) / (1 - t) // the teeth stay where they are
			before.x0 = was.x - t*before.w
		}
		l.x0 += give
		l.w -= give
		if t := at.s.meshMid(1); t > 0 && at.x > l.x0 {
			l.w = (at.x - l.x0) / t
		}
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
