package draw

import "endfloat/internal/gearbox"

// ChainIn draws the chain of a setting of a gearbox: on the section of the shaft
// that most of its links lie on, on the crown wheel's axis, or, where none lies
// on either, as links one under the other.
func ChainIn(b *gearbox.Box, o Options, name string, links []Link, result Link) *Drawing {
	most := 0
	var out *Drawing
	for _, c := range b.Carriers {
		n := 0
		for _, l := range links {
			if p, ok := b.Position(l.At); ok && p.Carrier == c && l.Along {
				n++
			}
		}
		if n > most {
			if on := ChainOn(c, o, name, links, result); on != nil {
				most, out = n, on
			}
		}
	}
	if out == nil {
		out = ChainOnWheel(b, o, name, links, result)
	}
	if out == nil {
		return Chain(name, links, result)
	}
	return out
}

// ChainOnWheel draws the chain of a setting on the crown wheel's axis, as
// ChainOn does on a shaft: the shims at both sides, and between them what
// stands there. It is nil where no link of the chain lies there.
func ChainOnWheel(b *gearbox.Box, o Options, name string, links []Link, result Link) *Drawing {
	a := &arrangement{box: b, o: &o}
	a.gather()
	if b.Final == nil || len(a.axles) == 0 {
		return nil
	}
	a.size()
	m := a.axleOf(b.Final.Pinion)
	if m == nil {
		return nil
	}
	f := a.finalDrive(m)
	if f == nil {
		return nil
	}
	lp := &loop{links: links, result: result, spans: make([][2]float64, len(links)), tied: make([]bool, len(links))}
	any := false
	for i, l := range links {
		for _, p := range f.parts {
			if p.pos != nil && l.At == p.pos.ID && l.Along {
				q := p.sh.bounds()
				lp.spans[i], lp.tied[i], any = [2]float64{-q.X1, -q.X0}, true, true
			}
		}
	}
	if !any {
		return nil
	}
	lp.lay()
	return lp.drawWheel(f, &o, name)
}

// drawWheel puts the wheel's axis level, its own side to the left, and the loop
// under it.
func (lp *loop) drawWheel(f *finalDrive, o *Options, name string) *Drawing {
	room := empty
	for _, p := range f.parts {
		q := p.sh.bounds()
		room = room.add(Pt{-q.X1, -q.Y1}).add(Pt{-q.X0, q.Y1})
	}
	lo, hi := min(room.X0-4, lp.lo-3), max(room.X1+4, lp.hi+overhang+7)
	width := o.Width
	if width <= 0 {
		width = max(96, (hi-lo)+2*edge)
	}
	k := min(max((width-2*edge)/(hi-lo), 0.5), 1.2)
	width = max(width, (hi-lo)*k+2*edge)
	if lp.wide = width; o.Width > 0 {
		lp.wide = o.Width // what is wider is scrolled, the list is not
	}
	list := lp.list(lp.wide)
	reach := room.Y1 * k
	foot, axis := lp.heights(k, reach, len(list))
	d := &Drawing{W: width, H: axis + reach + 3 + edge, Title: name + " on the crown wheel's axis: " + lp.result.Text}
	at := paper{k: k, dx: (width-(hi-lo)*k)/2 - lo*k, dy: axis}
	line := Group{Class: "axis"}
	p, q := at.at(Pt{room.X0 - 3, 0}), at.at(Pt{room.X1 + 3, 0})
	line.draw(Line(p.X, p.Y, q.X, q.Y), None, Pen{Faint, Thin, Chained})
	d.Groups = append(d.Groups, line)
	level := func(p Pt) Pt { return at.at(Pt{-p.X, p.Y}) }
	for i := len(f.parts) - 1; i >= 0; i-- {
		p := f.parts[i]
		g := Group{Class: "axis"}
		state := AsFound
		if p.pos != nil {
			g = Group{Key: p.pos.ID, Class: "part", Link: o.link(p.pos.ID), Title: p.pos.Label()}
			for _, l := range lp.links {
				if l.At == p.pos.ID && l.Along {
					state = Next
				}
			}
		}
		q := p.sh.bounds()
		p.sh.onto(level)
		h := p.h
		if h.angle == 45 || h.angle == 135 {
			h.angle = 180 - h.angle // turned with the axis
		}
		ink(&g, p.sh, state, h)
		if p.pos != nil {
			for _, sign := range []float64{1, -1} {
				g.tap(spanning(level(Pt{q.X0, sign * q.Y0}), level(Pt{q.X1, sign * q.Y1})))
			}
		}
		d.Groups = append(d.Groups, g)
	}
	lp.finish(d, at, axis-reach, list, foot)
	return d
}
