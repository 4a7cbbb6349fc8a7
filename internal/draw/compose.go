package draw

import (
	"cmp"
	"fmt"
	"slices"

	"endfloat/internal/gearbox"
)

// strip is one row of a section: a run of slots on its piece of shaft. Its
// groups are drawn about the axis y = 0.
type strip struct {
	*plan
	first, last bool
	x0, x1      float64 // of the slots
	a, b        float64 // of the shaft
	labels      []label
	rows        int
	reach       float64 // radius of the tallest part
	shaft       Group
	groups      []Group
}

const (
	stub    = 9.0  // shaft beyond the parts
	broken  = 10.0 // white beside a row that is broken off
	headW   = 14.0 // a bevel pinion
	edge    = 2.0  // white at the edge of the sheet
	rise    = 8.0  // from the tallest part to the lowest row of labels
	nameH   = 5.0  // lettering of the ends
	gapName = 7.0  // from the shaft to the name of its end
)

func sortByFile(spots []*spot) {
	slices.SortStableFunc(spots, func(a, b *spot) int { return cmp.Compare(a.pos.Index, b.pos.Index) })
}

func section(c *gearbox.Carrier, o *Options) *Drawing {
	var strips []*strip
	var sc scaleOf
	var width float64
	for stretch := 1.0; ; stretch *= 1.12 {
		var ok bool
		strips, width, sc, ok = layStrips(c, o, stretch)
		if ok || stretch > 3 {
			break
		}
	}
	d := &Drawing{W: width, Title: fmt.Sprintf("%s, section from %s to %s", c.Name, c.Ends[0], c.Ends[1])}
	foot := Group{Class: "legend"}
	height := footer(&foot, o, strips, width, sc.String())
	d.Groups = append(d.Groups, foot)
	shaft := -1
	for i := len(strips) - 1; i >= 0; i-- {
		st := strips[i]
		st.draw(o)
		y := height + st.bottom()
		height = y + st.top()
		move(&st.shaft, y)
		for j := range st.groups {
			move(&st.groups[j], y)
		}
	}
	for _, st := range strips {
		if shaft < 0 {
			shaft = len(d.Groups)
			d.Groups = append(d.Groups, st.shaft)
		} else {
			d.Groups[shaft].Items = append(d.Groups[shaft].Items, st.shaft.Items...)
		}
	}
	for _, st := range strips {
		d.Groups = append(d.Groups, st.groups...)
	}
	d.H = height + edge
	return d
}

// move shifts a group upward. Items may share a path, so each gets its own.
func move(g *Group, dy float64) {
	up := func(p Pt) Pt { return Pt{p.X, p.Y + dy} }
	for i := range g.Items {
		it := &g.Items[i]
		it.At = up(it.At)
		it.Path = it.Path.mapped(up)
	}
}

// layStrips lays the carrier out in rows. It is not ok when the labels of some
// row find no room at this stretch.
func layStrips(c *gearbox.Carrier, o *Options, stretch float64) (strips []*strip, width float64, sc scaleOf, ok bool) {
	pl := newPlan(c, o.Built)
	left := edge + textWidth(c.Ends[0], nameH, true) + gapName + stub
	right := edge + textWidth(c.Ends[1], nameH, true) + gapName + stub
	if pl.head() {
		left += headW
	}
	total, sc := pl.lengths(stretch)
	rows := []*plan{pl}
	if o.Width > 0 {
		if total <= o.Width-left-right {
			_, sc = pl.lengths(stretch * min((o.Width-left-right)/total, 1.8))
		} else {
			rows = pl.split(total, max(o.Width-max(left, right)-broken, 40))
		}
	}
	width = o.Width
	for i, r := range rows {
		st := &strip{plan: r, first: i == 0, last: i == len(rows)-1, x0: broken}
		st.a, st.b = -broken/2, broken/2 // beyond the parts, for now
		w := broken + r.long() + broken
		if st.first {
			w += left - broken
			st.x0, st.a = left, -stub
		}
		if st.last {
			w += right - broken
			st.b = stub
		}
		width = max(width, w)
		strips = append(strips, st)
	}
	ok = true
	for _, st := range strips {
		if len(strips) == 1 {
			st.x0 += (width - left - st.long() - right) / 2
		}
		st.x1 = st.put(st.x0)
		st.a, st.b = st.x0+st.a, st.x1+st.b
		if !st.label(o, width) {
			ok = false
		}
	}
	pl.setHatches()
	return strips, width, sc, ok
}

// long is the length of all slots.
func (pl *plan) long() (w float64) {
	for _, l := range pl.slots {
		w += l.w
	}
	return w
}

// head reports whether the shaft carries a bevel pinion at its first end.
func (pl *plan) head() bool {
	if pl.core == nil {
		return false
	}
	p := pl.core.pos
	have := wordsOf(p.Kind + " " + p.Name)
	return have["pinion"] && have["shaft"] && (facing(p, "head") != "" || p.Kind == "pinion shaft")
}

// label makes and places the labels of a strip; the shaft's stands in the
// first, or in the last where the file lists the shaft late.
func (st *strip) label(o *Options, width float64) bool {
	spots := slices.Clone(st.spots)
	if c := st.core; c != nil {
		early := c.pos.Index*2 <= len(st.c.Order)
		if early && st.first {
			c.dot = Pt{st.x0 - stub*0.5, shaftR * 0.5}
			spots = append(spots, c)
		} else if !early && st.last {
			c.dot = Pt{st.x1 + stub*0.5, shaftR * 0.5}
			spots = append(spots, c)
		}
	}
	slices.SortStableFunc(spots, func(a, b *spot) int {
		return cmp.Or(cmp.Compare(a.dot.X, b.dot.X), cmp.Compare(a.pos.Index, b.pos.Index))
	})
	st.labels = nil
	for _, s := range spots {
		s0 := o.state(s.pos.ID)
		st.labels = append(st.labels, newLabel(s, s0, o.word(s.pos.ID, s0)))
	}
	st.reach = shaftR + 4
	for _, s := range st.spots {
		sh := s.shape(s)
		st.reach = max(st.reach, sh.bounds().Y1)
	}
	var ok bool
	st.rows, ok = place(st.labels, edge, width-edge)
	return ok
}

func (st *strip) base() float64   { return st.reach + rise + 5 }
func (st *strip) top() float64    { return st.base() + float64(st.rows-1)*finger + 8 }
func (st *strip) bottom() float64 { return st.reach + 3 }

// draw fills the groups of a strip: the shaft and axis first, then the parts
// of each slot from the outside in, so that a finger finds the inner ones.
func (st *strip) draw(o *Options) {
	if st.core != nil {
		st.shaft = o.group(st.core.pos)
	}
	st.drawShaft(o)
	flag := map[*spot]*label{}
	for i := range st.labels {
		flag[st.labels[i].spot] = &st.labels[i]
	}
	if st.core != nil && flag[st.core] != nil {
		flag[st.core].draw(&st.shaft, st.reach, st.base())
	}
	taps := st.taps()
	for _, l := range st.slots {
		order := slices.Clone(l.spots)
		slices.Reverse(order)
		slices.SortStableFunc(order, func(a, b *spot) int { return cmp.Compare(b2i(a.role != along), b2i(b.role != along)) })
		for _, s := range order {
			g := o.group(s.pos)
			state := o.state(s.pos.ID)
			ink(&g, s.shape(s), state, s.hatch)
			for _, b := range taps[s] {
				g.tap(b)
			}
			if f := flag[s]; f != nil {
				f.draw(&g, st.reach, st.base())
			}
			st.groups = append(st.groups, g)
		}
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// taps are where a finger finds each part: the whole height of its length of
// axis, shared by radius where parts lie around each other. Thin slots borrow
// some room from wide neighbours.
func (st *strip) taps() map[*spot][]Box {
	const want = 6.0
	out := map[*spot][]Box{}
	full := st.reach + 2
	cuts := make([]float64, 0, len(st.slots)+1)
	for i, l := range st.slots {
		x := l.x0
		if i > 0 {
			p := st.slots[i-1]
			switch {
			case l.w < want && p.w > 9:
				x -= min((want-l.w)/2, p.w*0.2)
			case p.w < want && l.w > 9:
				x += min((want-p.w)/2, l.w*0.2)
			}
		}
		cuts = append(cuts, x)
	}
	cuts = append(cuts, st.x1)
	for i, l := range st.slots {
		var stack []*spot
		for _, s := range l.spots {
			switch {
			case s.onFlange():
				out[s] = bands(s.x0-1, s.x1+1, s.r0, s.r1+1)
			case s.role == along:
				stack = append(stack, s)
			case s.role == over:
				out[s] = bands(s.x0, s.x1, s.r0, full)
			case s.role == onCone:
				out[s] = bands(s.x0, s.x1, s.r0, s.r1)
			case s.role == within:
				b := shapeBounds(s)
				out[s] = []Box{{b.X0 - 0.5, b.Y0 - 0.5, b.X1 + 0.5, b.Y1 + 0.5}}
			}
		}
		for j, s := range stack {
			r0, r1 := 0.0, full
			if j > 0 {
				r0 = s.r0
			}
			if j+1 < len(stack) {
				r1 = stack[j+1].r0
			}
			out[s] = bands(cuts[i], cuts[i+1], r0, r1)
		}
	}
	return out
}

func shapeBounds(s *spot) Box {
	b := empty
	for _, p := range s.shape(s).body {
		q := p.Bounds()
		b = b.add(Pt{q.X0, q.Y0}).add(Pt{q.X1, q.Y1})
	}
	return b
}

// bands are the two strips between two radii, or one where they begin at the axis.
func bands(x0, x1, r0, r1 float64) []Box {
	if r0 <= 0 {
		return []Box{{x0, -r1, x1, r1}}
	}
	return []Box{{x0, r0, x1, r1}, {x0, -r1, x1, -r0}}
}
