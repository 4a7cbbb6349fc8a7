package draw

import (
	"fmt"
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
	const cellH, gap = 33.0, 2.0
	cols := max(int((width-2*edge+gap)/(44+gap)), 1)
	cellW := (width - 2*edge - gap*float64(cols-1)) / float64(cols)
	rows := (len(c.Order) + cols - 1) / cols
	d := &Drawing{W: width, Title: fmt.Sprintf("%s, %d positions", c.Name, len(c.Order))}
	var foot Group
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

// drawCell draws one part of a sheet: id and state at the top, the name below,
// the sketch to the right.
func drawCell(g *Group, p *gearbox.Position, o *Options, b Box) {
	st := o.state(p.ID)
	tone, pen := Ink, Pen{Faint, Thin, Solid}
	switch st {
	case Next:
		tone, pen = Accent, Pen{Accent, Strong, Solid}
		g.draw(Rect(b.X0, b.Y0, b.X1, b.Y1), Tint, pen)
	case Missing:
		pen = Pen{Ink, Thin, Dashed}
	case Off:
		pen = Pen{Ink, Thin, Dotted}
	}
	if st != Next {
		g.draw(Line(b.X0, b.Y1, b.X1, b.Y1), None, pen)
	}
	g.text(b.X0+1.4, b.Y1-5.6, idSize, Start, tone, st != Off, p.ID)
	x := b.X0 + 1.4 + textWidth(p.ID, idSize, true) + 1.6
	if st == Doubt {
		question(g, x+2.4, b.Y1-3.7, 2.4)
		x += 6
	}
	if w := o.word(p.ID, st); w != "" {
		g.text(x, b.Y1-5.6, wordSize, Start, tone, st == Next, w)
	}
	if p.Count > 1 {
		g.text(b.X1-1.4, b.Y1-5.6, wordSize, End, Ink, false, fmt.Sprintf("× %d", p.Count))
	}
	lines := wrap(p.Name, wordSize, b.X1-b.X0-2.8, 2)
	for i, l := range lines {
		g.text(b.X0+1.4, b.Y0+1.6+float64(len(lines)-1-i)*4.4, wordSize, Start, Ink, false, l)
	}
	low := b.Y0 + 2 + float64(len(lines))*4.4
	sketch(g, p, st, Box{b.X0 + 4, low, b.X1 - 4, b.Y1 - 8})
	g.tap(b)
}

// sketch draws a part alone, fitted into a box.
func sketch(g *Group, p *gearbox.Position, st State, b Box) {
	s := &spot{form: formOf(p), pos: p, ring: ringOf(p), side: 1, pieces: 3, r0: shaftR}
	if s.role == core {
		s.form = &stick
	}
	s.cone = facing(p, "cone") != ""
	s.x0, s.x1 = 0, s.form.width
	s.r1 = max(s.r0+s.thick, s.reach, s.r0+5)
	switch {
	case s.role == onCone:
		s.r0, s.r1 = coneR, dogR
		s.x1 = 6
	case s.role == within:
		s.r1 = s.r0 + 8
	case s.bearing():
		s.bearingRadii()
	}
	sh := s.shape(s)
	fit(&sh, b)
	ink(g, shape{cut: sh.cut, body: sh.body, black: sh.black, thin: sh.thin, axis: sh.axis, once: true}, st, hatching{45, 1.5})
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
	all := empty
	for _, ps := range [][]Path{sh.cut, sh.body, sh.black, sh.thin, sh.axis} {
		for _, p := range ps {
			q := p.Bounds()
			all = all.add(Pt{q.X0, q.Y0}).add(Pt{q.X1, q.Y1})
		}
	}
	k := min((b.X1-b.X0)/(all.X1-all.X0), (b.Y1-b.Y0)/(all.Y1-all.Y0), 0.62)
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
