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
	stub  = 9.0 // shaft beyond the parts
	edge  = 2.0 // white at the edge of the sheet
	rise  = 8.0 // from the tallest part to the lowest row of labels
	nameH = 5.0 // lettering of the ends
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
	var foot Group
	height := footer(&foot, o, strips, width, sc.String())
	d.Groups = append(d.Groups, foot)
	shaft := -1
	for i := len(strips) - 1; i >= 0; i-- {
		st := strips[i]
		st.draw(o, width)
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

func move(g *Group, dy float64) {
	for i := range g.Items {
		it := &g.Items[i]
		it.At.Y += dy
		for j := range it.Path {
			for k := range it.Path[j].P {
				it.Path[j].P[k].Y += dy
			}
		}
	}
}

// layStrips lays the carrier out in rows. It is not ok when the labels of some
// row find no room at this stretch.
func layStrips(c *gearbox.Carrier, o *Options, stretch float64) (strips []*strip, width float64, sc scaleOf, ok bool) {
	pl := newPlan(c, o.Built)
	left := edge + textWidth(c.Ends[0], nameH, true) + 3 + stub
	right := edge + textWidth(c.Ends[1], nameH, true) + 3 + stub
	if pl.core != nil && pl.head() != 0 {
		left += 12
	}
	total, sc := pl.lengths(stretch)
	rows := []*plan{pl}
	if room := o.Width - left - right; o.Width > 0 {
		switch {
		case room < 30:
			room = 30
			fallthrough
		case total > room:
			rows = pl.split(total, room)
		case len(pl.slots) > 0:
			total, sc = pl.lengths(stretch * min(room/total, 1.8))
		}
	}
	width = o.Width
	for _, r := range rows {
		w := 0.0
		for _, l := range r.slots {
			w += l.w
		}
		width = max(width, left+w+right)
	}
	ok = true
	for i, r := range rows {
		st := &strip{plan: r, first: i == 0, last: i == len(rows)-1}
		w := 0.0
		for _, l := range r.slots {
			w += l.w
		}
		st.x0 = left
		if len(rows) == 1 {
			st.x0 += (width - left - w - right) / 2
		}
		st.x1 = r.put(st.x0)
		st.a, st.b = st.x0-stub, st.x1+stub
		if !st.first {
			st.a = st.x0 - 4
		}
		if !st.last {
			st.b = st.x1 + 4
		}
		if !st.label(o, width) {
			ok = false
		}
		strips = append(strips, st)
	}
	pl.setHatches()
	return strips, width, sc, ok
}

// head is the end at which the shaft carries a pinion of its own: its index
// plus one, 0 where none is known.
func (pl *plan) head() int {
	have := wordsOf(pl.core.pos.Kind + " " + pl.core.pos.Name)
	if !have["pinion"] || facing(pl.core.pos, "head") == "" && pl.core.pos.Kind != "pinion shaft" {
		return 0
	}
	return 1
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
		r := s.r1
		if s.role == over {
			r += 5 // its flange
		}
		st.reach = max(st.reach, r)
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
func (st *strip) draw(o *Options, width float64) {
	if st.core != nil {
		st.shaft = o.group(st.core.pos)
	}
	st.drawShaft(o, width)
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
			switch s.role {
			case along:
				stack = append(stack, s)
			case over:
				out[s] = bands(s.x0, s.x1, s.r0, full)
			case onCone:
				out[s] = bands(s.x0, s.x1, s.r0, s.r1)
			case within:
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

// drawShaft draws the shaft, its axis and the names of the ends.
func (st *strip) drawShaft(o *Options, width float64) {
	g := &st.shaft
	a, b := st.a, st.b
	g.draw(Line(a-5, 0, b+5, 0), None, Pen{Faint, Thin, Chained})
	state := Fitted
	if st.core != nil {
		state = o.state(st.core.pos.ID)
	}
	lk := looks[min(state, Other)]
	if st.core == nil {
		lk.edge.W = Thin
	}
	if lk.under != None {
		g.draw(Rect(a, -shaftR, b, shaftR), lk.under, Pen{})
	}
	var p Path
	from := a
	skip := func(x0, x1 float64) {
		if x0 > from {
			p.M(from, shaftR).L(x0, shaftR).M(from, -shaftR).L(x0, -shaftR)
		}
		from = x1
	}
	for _, l := range st.slots {
		if l.root().view {
			skip(l.x0, l.x0+l.w)
		}
	}
	skip(b, b)
	const c = 1.2
	if st.first {
		if st.core != nil && st.head() == 1 {
			pinionHead(&p, a)
		} else {
			p.M(a, shaftR).L(a-c, shaftR-c).L(a-c, c-shaftR).L(a, -shaftR).M(a, shaftR).L(a, -shaftR)
		}
	} else {
		breakLine(&p, a)
	}
	if st.last {
		p.M(b, shaftR).L(b+c, shaftR-c).L(b+c, c-shaftR).L(b, -shaftR).M(b, shaftR).L(b, -shaftR)
	} else {
		breakLine(&p, b)
	}
	g.draw(p, None, lk.edge)
	if st.core != nil {
		g.tap(Box{a - 3, -shaftR, st.x0, shaftR})
		g.tap(Box{st.x1, -shaftR, b + 3, shaftR})
	}
	st.nameEnds(g, width)
}

// breakLine is the double curve at which a round bar is broken off.
func breakLine(p *Path, x float64) {
	r := shaftR
	p.M(x, r).C(Pt{x + 2.6, r * 0.7}, Pt{x + 1.6, r * 0.2}, Pt{x, 0}).C(Pt{x - 1.6, -r * 0.2}, Pt{x - 2.6, -r * 0.7}, Pt{x, -r})
	p.C(Pt{x + 2.6, -r * 0.7}, Pt{x + 1.6, -r * 0.2}, Pt{x, 0})
}

// pinionHead is the bevel pinion that is one with its shaft, big end inward.
func pinionHead(p *Path, a float64) {
	const w, small, big = 14.0, 8.5, 14.0
	p.M(a, shaftR).L(a, big).L(a-w, small).L(a-w, -small).L(a, -big).L(a, -shaftR)
	p.M(a, big-2.8).L(a-w, small-1.8).M(a, 2.8-big).L(a-w, 1.8-small)
}

func (st *strip) nameEnds(g *Group, width float64) {
	y := -nameH * 0.36
	if st.first {
		x := st.a - 7
		if st.core != nil && st.head() == 1 {
			x -= 13
		}
		g.text(x, y, nameH, End, Ink, true, st.c.Ends[0])
	}
	if st.last {
		g.text(st.b+7, y, nameH, Start, Ink, true, st.c.Ends[1])
	}
}

// footer is the key to the states that occur and the note on scale; it returns
// its height.
func footer(g *Group, o *Options, strips []*strip, width float64, note string) float64 {
	y := edge
	g.text(edge, y, noteSize, Start, Faint, false, note)
	y += 6
	if o.State == nil {
		return y
	}
	seen := [states]bool{}
	for _, st := range strips {
		for _, l := range st.labels {
			seen[min(l.st, Other)] = true
		}
	}
	return y + legend(g, seen, y, width)
}

// legend draws a sample and the word of each state that occurs.
func legend(g *Group, seen [states]bool, y, width float64) float64 {
	type entry struct {
		st   State
		x, w float64
		row  int
	}
	var es []entry
	x, row := edge, 0
	for st := range states {
		if !seen[st] {
			continue
		}
		w := 11 + 2 + textWidth(st.Word(), wordSize, false) + 5
		if x+w > width-edge && x > edge {
			x, row = edge, row+1
		}
		es = append(es, entry{st, x, w, row})
		x += w
	}
	const pitch = 7.5
	for _, e := range es {
		y := y + float64(row-e.row)*pitch
		sample := shape{cut: []Path{Rect(e.x+0.5, y, e.x+10.5, y+4.6)}, once: true}
		ink(g, sample, e.st, hatching{45, 1.7})
		if e.st == Doubt {
			g.draw(Circle(e.x+5.5, y+2.3, 2), None, Pen{Tone: Ink, W: 0.4})
			g.text(e.x+5.5, y+1.2, 3, Middle, Ink, true, "?")
		}
		g.text(e.x+13, y+1, wordSize, Start, Ink, false, e.st.Word())
	}
	return float64(row+1)*pitch + 2
}
