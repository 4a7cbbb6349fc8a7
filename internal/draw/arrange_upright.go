package draw

import (
	"cmp"
	"slices"
)

// column is the room for the flags of an upright arrangement: as wide as the
// widest, which the sheet gives before the parts get theirs.
func column(ls []label) (w float64) {
	for _, l := range ls {
		w = max(w, l.w)
	}
	return w
}

// stand draws an arrangement upright, for a narrow sheet: first ends at the top,
// all flags in a column at the right.
func (a *arrangement) stand(d *Drawing, plane Box) *Drawing {
	width := a.o.Width
	flags := a.allFlags(paper{k: 1, upright: true})
	col := column(flags)
	k := max((width-2*edge-col-7)/(plane.Y1-plane.Y0), small*0.8)
	width = 2*edge + col + 7 + (plane.Y1-plane.Y0)*k
	foot := Group{Class: "legend"}
	y := a.footer(&foot, width) + a.nameRoom() + 1
	to := paper{k: k, dx: edge - plane.Y0*k, dy: y + plane.X1*k, upright: true}
	flags = a.allFlags(to)
	high := to.dy - plane.X0*k
	// The flags, from the top down, each as near to its part as may be.
	slices.SortStableFunc(flags, func(p, q label) int { return cmp.Compare(q.spot.dot.Y, p.spot.dot.Y) })
	down := make([]float64, len(flags))
	for i, l := range flags {
		down[i] = high - l.spot.dot.Y
	}
	down = spaced(down, finger)
	for i := range slices.Backward(down) { // above the names of the shafts
		low := high - y - 7
		if i+1 < len(down) {
			low = down[i+1] - finger
		}
		down[i] = min(down[i], low)
	}
	top := high
	if len(down) > 0 {
		high = max(high, high-down[0]+8)
	}
	d.W, d.H = width, high+edge+2
	d.Groups = append(d.Groups, foot)
	d.Groups = append(d.Groups, a.parts(to)...)
	note := Group{Class: "notes"}
	a.uprightDims(&note, to, y-4.6)
	a.uprightNames(&note, to, y-6)
	d.Groups = append(d.Groups, note)
	x := width - edge - col
	for i := range flags {
		l := &flags[i]
		g := Group{Class: "mesh", Title: l.id + " " + l.word}
		if p := l.spot.pos; p != nil {
			g = a.o.group(p)
		}
		l.aside(&g, x, top-down[i])
		d.Groups = append(d.Groups, g)
	}
	return d
}

// allFlags are the flags of an arrangement in one list.
func (a *arrangement) allFlags(to paper) []label {
	out := append(a.labels(to), a.seats(to)...)
	if a.final == nil {
		return out
	}
	for _, p := range a.final.parts {
		if p.pos != nil && p.pos.Seat != nil {
			b := p.sh.bounds()
			at := Pt{(b.X0 + b.X1) / 2, (b.Y0 + b.Y1) / 2}
			if at.X > 0 {
				at.Y = -at.Y // so that the leaders of both sides run apart
			}
			out = append(out, a.flag(to.at(a.final.place(at)), p.pos.ID, "", p.pos))
		}
	}
	return out
}

// aside draws a flag beside the parts, its shelf at y from x on, and the leader
// to its part: level, then up or down to the shelf.
func (l *label) aside(g *Group, x, y float64) {
	d := l.spot.dot
	g.draw(Line(d.X, d.Y, x-5, d.Y, x, y), None, l.leader())
	g.draw(Circle(d.X, d.Y, 0.62), Ink, Pen{})
	l.x = x
	l.hang(g, y)
}

// nameRoom is the room under an upright arrangement for the names of its shafts,
// each on a line of its own.
func (a *arrangement) nameRoom() float64 { return float64(len(a.axles))*(wordSize+1.8) + 6 }

// uprightDims are the centre distances, between the lines down to the names.
func (a *arrangement) uprightDims(g *Group, to paper, y float64) {
	for _, c := range a.centres() {
		p, q := to.at(Pt{0, c.lo}).X, to.at(Pt{0, c.hi}).X
		arrowLine(g, Pt{p, y}, Pt{q, y}, Pen{Ink, Thin, Solid})
		g.text((p+q)/2, y+1, wordSize, Middle, Ink, false, c.text)
	}
}

// uprightNames writes the names of the shafts under their axes, from right to
// left each on the next line, with a line down to it.
func (a *arrangement) uprightNames(g *Group, to paper, y float64) {
	axles := slices.Clone(a.axles)
	slices.SortStableFunc(axles, func(p, q *axle) int { return cmp.Compare(q.y, p.y) })
	for i, x := range axles {
		at := to.at(Pt{x.b + 4, x.y})
		line := y - float64(i+1)*(wordSize+1.8) + 1
		g.draw(Line(at.X, at.Y, at.X, line), None, Pen{Faint, Fine, Solid})
		g.text(at.X+1.2, line, wordSize, Start, Ink, true, clip(carrierLabel(x), wordSize, true, 34))
	}
}
