package draw

// look is how the lines of a part are drawn in a state.
type look struct {
	edge  Pen
	hatch Pen
	thin  Pen
	fill  Tone // of thin parts
	under Tone // behind the part
}

var looks = [states]look{
	Fitted:  {edge: Pen{Ink, Thick, Solid}, hatch: Pen{Ink, Fine, Solid}, thin: Pen{Ink, Thin, Solid}, fill: Ink},
	Next:    {edge: Pen{Accent, Strong, Solid}, hatch: Pen{Accent, Thin, Solid}, thin: Pen{Accent, Thin, Solid}, fill: Accent, under: Tint},
	Missing: {edge: Pen{Ink, Thick, Dashed}, thin: Pen{Ink, Thin, Dashed}},
	Doubt:   {edge: Pen{Ink, Thick, Solid}, hatch: Pen{Ink, Fine, Solid}, thin: Pen{Ink, Thin, Solid}, fill: Ink},
	AsFound: {edge: Pen{Ink, Thin, Solid}, hatch: Pen{Faint, Fine, Solid}, thin: Pen{Ink, Fine, Solid}, fill: Faint},
	Off:     {edge: Pen{Ink, Thin, Dotted}, thin: Pen{Ink, Fine, Dotted}},
	Other:   {edge: Pen{Ink, Thick, Solid}, hatch: Pen{Ink, Thin, Solid}, thin: Pen{Ink, Thin, Solid}, fill: Ink},
}

func mirror(p Path) Path { return p.mapped(func(q Pt) Pt { return Pt{q.X, -q.Y} }) }

// ink draws a shape in a state, and its mirror image below the axis. Both
// halves of a part are hatched in one direction, as one piece of metal is.
func ink(g *Group, sh shape, st State, h hatching) {
	lk := looks[min(st, Other)]
	if st >= Other {
		h.angle = 0 // as no part is hatched otherwise
	}
	twice := func(ps []Path) (all Path) {
		for _, p := range ps {
			all = append(all, p...)
			if !sh.once {
				all = append(all, mirror(p)...)
			}
		}
		return all
	}
	cut, body, black := twice(sh.cut), twice(sh.body), twice(sh.black)
	if lk.under != None {
		g.draw(append(append(Path(nil), cut...), body...), lk.under, Pen{})
	}
	if lk.hatch.Tone != None {
		var lines Path
		for _, p := range sh.cut {
			lines = append(lines, hatch(p, h)...)
			if !sh.once {
				lines = append(lines, hatch(mirror(p), h)...)
			}
		}
		g.draw(lines, None, lk.hatch)
	}
	if lk.fill != None {
		g.draw(black, lk.fill, Pen{})
		if st == Next {
			g.draw(black, None, lk.edge)
		}
	} else {
		cut = append(cut, black...)
	}
	g.draw(twice(sh.thin), None, lk.thin)
	g.draw(append(cut, body...), None, lk.edge)
	g.draw(twice(sh.axis), None, Pen{Faint, Fine, Chained})
}

// touching reports whether two spots lie against each other.
func touching(a, b *spot) bool {
	const near = 0.4
	ra, na := a.rooms()
	rb, nb := b.rooms()
	for _, p := range ra[:na] {
		for _, q := range rb[:nb] {
			if p.X0 < q.X1+near && q.X0 < p.X1+near && p.Y0 < q.Y1+near && q.Y0 < p.Y1+near {
				return true
			}
		}
	}
	return false
}

// rooms are the boxes that a part fills: of a gear with a cone, one for its
// teeth and a lower one for the rest.
func (s *spot) rooms() (out [2]Box, n int) {
	if !s.cone {
		return [2]Box{{s.x0, s.r0, s.x1, s.r1}}, 1
	}
	a, m, b := s.at(0), s.at(0.6), s.at(1)
	return [2]Box{{min(a, m), s.r0, max(a, m), s.r1}, {min(m, b), s.r0, max(m, b), dogR}}, 2
}

// setHatches gives neighbours along the axis opposite directions, and all that
// touch at least another spacing.
func (pl *plan) setHatches() {
	done := make([]*spot, 0, len(pl.spots))
	class := map[*spot]int{}
	give := func(s, before *spot) {
		best, least := 0, 1<<30
		for k := range 4 { // 0, 1: wide, rising and falling; 2, 3: narrow
			cost := k / 2
			for _, q := range done {
				if q != before && !touching(s, q) {
					continue
				}
				switch c := class[q]; {
				case c == k:
					cost += 1000
				case c%2 == k%2:
					cost += 10
				}
				if q == before && class[q]%2 == k%2 {
					cost += 10000
				}
			}
			if cost < least {
				best, least = k, cost
			}
		}
		class[s] = best
		done = append(done, s)
		s.hatch = hatchOf(s, best)
	}
	var before *spot
	for _, l := range pl.slots {
		give(l.root(), before)
		before = l.root()
	}
	for _, l := range pl.slots {
		for _, s := range l.spots[1:] {
			if s.role != within { // struts, springs and keys are not sectioned
				give(s, nil)
			}
		}
	}
}

// hatchOf is the hatching of a class for a part of that size.
func hatchOf(s *spot, class int) hatching {
	h := hatching{angle: 45, gap: 2.1}
	if class%2 == 1 {
		h.angle = 135
	}
	if min(s.long(), s.r1-s.r0) < 4.5 {
		h.gap = 1.5
	}
	if class >= 2 {
		h.gap *= 0.62
	}
	return h
}
