package draw

// drawShaft draws the shaft, its axis and the names of the ends.
func (st *strip) drawShaft(o *Options) {
	g := &st.shaft
	a, b := st.a, st.b
	g.draw(Line(st.end(-1)-3.5, 0, st.end(1)+3.5, 0), None, Pen{Faint, Thin, Chained})
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
	g.draw(st.shaftLines(), None, lk.edge)
	if st.core != nil {
		g.tap(Box{a - 3, -shaftR, st.x0, shaftR})
		g.tap(Box{st.x1, -shaftR, b + 3, shaftR})
	}
	st.nameEnds(g)
}

// shaftLines is the outline of the shaft: broken off where the section goes on
// in another row, hidden by what is seen from outside.
func (st *strip) shaftLines() Path {
	a, b := st.a, st.b
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
		if st.head() {
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
	return p
}

// breakLine is the double curve at which a round bar is broken off.
func breakLine(p *Path, x float64) {
	r := shaftR
	p.M(x, r).C(Pt{x + 2.6, r * 0.7}, Pt{x + 1.6, r * 0.2}, Pt{x, 0}).C(Pt{x - 1.6, -r * 0.2}, Pt{x - 2.6, -r * 0.7}, Pt{x, -r})
	p.C(Pt{x + 2.6, -r * 0.7}, Pt{x + 1.6, -r * 0.2}, Pt{x, 0})
}

// pinionHead is the bevel pinion that is one with its shaft, big end inward.
func pinionHead(p *Path, a float64) {
	const w, small, big = headW, 8.5, 14.0
	p.M(a, shaftR).L(a, big).L(a-w, small).L(a-w, -small).L(a, -big).L(a, -shaftR)
	p.M(a, big-2.8).L(a-w, small-1.8).M(a, 2.8-big).L(a-w, 1.8-small)
}

// end is where the shaft ends on a side, with its pinion.
func (st *strip) end(side int) float64 {
	switch {
	case side > 0:
		return st.b
	case st.first && st.head():
		return st.a - headW
	}
	return st.a
}

func (st *strip) nameEnds(g *Group) {
	y := -nameH * 0.36
	if st.first {
		g.text(st.end(-1)-gapName, y, nameH, End, Ink, true, st.c.Ends[0])
	}
	if st.last {
		g.text(st.end(1)+gapName, y, nameH, Start, Ink, true, st.c.Ends[1])
	}
}
