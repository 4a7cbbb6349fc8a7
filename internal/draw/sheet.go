package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
)

// sheet draws a carrier without ends: its parts in rows, each with its id, its
// name and a small sketch, in the order of the file.
func sheet(c *gearbox.Carrier, o *Options) *Drawing {
	width := o.Width
	if width <= 0 {
		width = 96
	}
	const cellH, gap = 23.0, 2.0
	cols := max(int((width-2*edge+gap)/(44+gap)), 1)
	cellW := (width - 2*edge - gap*float64(cols-1)) / float64(cols)
	rows := (len(c.Order) + cols - 1) / cols
	d := &Drawing{W: width, Title: fmt.Sprintf("%s, %d positions", c.Name, len(c.Order))}
	foot := Group{Class: "legend"}
	y := edge
	var seen [states]bool
	for _, p := range c.Order {
		seen[min(o.state(p.ID), Other)] = true
	}
	if o.State != nil {
		y += legend(&foot, seen, y, width)
	}
	d.Groups = append(d.Groups, foot)
	d.H = y + float64(rows)*(cellH+gap) + edge
	for i, p := range c.Order {
		x := edge + float64(i%cols)*(cellW+gap)
		top := d.H - edge - float64(i/cols)*(cellH+gap)
		g := o.group(p)
		drawCell(&g, p, o, Box{x, top - cellH, x + cellW, top})
		d.Groups = append(d.Groups, g)
	}
	return d
}

// drawCell draws one part of a sheet: id, name and state to the left, the
// sketch to the right.
func drawCell(g *Group, p *gearbox.Position, o *Options, b Box) {
	st := o.state(p.ID)
	tone, pen := Ink, Pen{Faint, Thin, Solid}
	switch st {
	case Next:
		tone = Accent
		g.draw(Rect(b.X0+0.5, b.Y0+0.5, b.X1-0.5, b.Y1-0.5), Tint, Pen{Accent, Strong, Solid})
	case Missing:
		pen = Pen{Ink, Thick, Dashed}
	case Off:
		pen.Dash = Dotted
	}
	if st != Next {
		g.draw(Line(b.X0, b.Y1, b.X1, b.Y1), None, pen)
	}
	const text = 25.0 // width of the column of text
	x, y := b.X0+1.8, b.Y1-6
	g.text(x, y, idSize, Start, tone, st != Off, p.ID)
	at := x + textWidth(p.ID, idSize, true) + 1.5
	if st == Doubt {
		question(g, at+2.4, y+1.8, 2.4)
		at += 6
	}
	if p.Count > 1 {
		g.text(at, y, wordSize, Start, Ink, false, fmt.Sprintf("× %d", p.Count))
	}
	word := o.word(p.ID, st)
	names := 3
	if word != "" {
		names = 2
		y -= 4.7
		g.text(x, y, wordSize, Start, tone, true, word)
	}
	for _, l := range wrap(p.Name, wordSize, text-1.8, names) {
		y -= 4.7
		g.text(x, y, wordSize, Start, Ink, false, l)
	}
	sketch(g, p, st, Box{b.X0 + text + 0.5, b.Y0 + 2, b.X1 - 1.5, b.Y1 - 2})
	g.tap(b)
}

// newSketch is a spot for a part drawn alone.
func newSketch(p *gearbox.Position) *spot {
	s := &spot{form: formOf(p), pos: p, ring: ringOf(p), side: 1, pieces: 3, r0: shaftR}
	if s.role == core {
		s.form = &stick
	}
	if s.words == "sleeve" {
		s.r0 = dogR
	}
	s.cone = facing(p, "cone") != ""
	s.bossed = facing(p, "boss") != ""
	s.dogged = s.words == "gear" && !s.cone && facing(p, "dogs") != ""
	s.x0, s.x1 = 0, s.form.width
	s.r1 = max(s.r0+s.thick, s.reach, s.r0+5)
	switch {
	case s.role == onCone:
		s.r0, s.r1 = coneR, dogR
	case s.role == within:
		s.r1 = s.r0 + 8
	case s.bearing():
		s.bearingRadii()
	}
	return s
}

// seenEdges adds the edges of the bore that are seen behind a section.
func (s *spot) seenEdges(sh *shape) {
	if sh.once || s.view {
		return
	}
	for _, end := range [][2]float64{{s.x0, s.x0 + 0.01}, {s.x1, s.x1 - 0.01}} {
		low := math.Inf(1)
		for _, p := range slices.Concat(sh.cut, sh.black) {
			if ys := cuts(p, end[1]); len(ys) > 0 {
				low = min(low, ys[0])
			}
		}
		if !math.IsInf(low, 0) {
			sh.thin = append(sh.thin, Line(end[0], 0, end[0], low))
		}
	}
}

// sketch draws a part alone, fitted into a box.
func sketch(g *Group, p *gearbox.Position, st State, b Box) {
	s := newSketch(p)
	var sh shape
	if s.face != nil {
		sh = s.face(s)
	} else {
		sh = s.shape(s)
		s.seenEdges(&sh)
	}
	fit(&sh, b)
	ink(g, sh, st, hatching{45, 1.5})
}

// bounds is the box around all lines of a shape.
func (sh *shape) bounds() Box {
	all := empty
	for _, ps := range [][]Path{sh.cut, sh.body, sh.black, sh.thin, sh.axis} {
		for _, p := range ps {
			q := p.Bounds()
			all = all.add(Pt{q.X0, q.Y0}).add(Pt{q.X1, q.Y1})
		}
	}
	return all
}

// fit scales a shape, with its mirror image where it has one, into a box.
func fit(sh *shape, b Box) {
	if !sh.once {
		for _, ps := range []*[]Path{&sh.cut, &sh.body, &sh.black, &sh.thin, &sh.axis} {
			for _, p := range (*ps)[:len(*ps):len(*ps)] {
				*ps = append(*ps, mirror(p))
			}
		}
		sh.once = true
	}
	all := sh.bounds()
	k := min((b.X1-b.X0)/(all.X1-all.X0), (b.Y1-b.Y0)/(all.Y1-all.Y0), 1.1)
	cx, cy := (all.X0+all.X1)/2, (all.Y0+all.Y1)/2
	to := func(p Pt) Pt {
		return Pt{(b.X0+b.X1)/2 + (p.X-cx)*k, (b.Y0+b.Y1)/2 + (p.Y-cy)*k}
	}
	for _, ps := range [][]Path{sh.cut, sh.body, sh.black, sh.thin, sh.axis} {
		for i := range ps {
			ps[i] = ps[i].mapped(to)
		}
	}
}

// wrap breaks a text into at most n lines of a width, the last one shortened.
func wrap(s string, size, width float64, n int) []string {
	var lines []string
	cur := ""
	for _, w := range strings.Fields(s) {
		next := w
		if cur != "" {
			next = cur + " " + w
		}
		if cur != "" && len(lines) < n-1 && textWidth(next, size, false) > width {
			lines = append(lines, cur)
			next = w
		}
		cur = next
	}
	if cur != "" {
		lines = append(lines, clip(cur, size, false, width))
	}
	return lines
}
