package draw

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"endfloat/internal/gearbox"
)

// paper maps the plane of an arrangement to the sheet: lying as it is, or upright with the first ends at the top.
type paper struct {
	k, dx, dy float64
	upright   bool
}

func (p paper) at(q Pt) Pt {
	if p.upright {
		return Pt{q.Y*p.k + p.dx, p.dy - q.X*p.k}
	}
	return Pt{q.X*p.k + p.dx, q.Y*p.k + p.dy}
}

// spanning is the box between two opposite corners.
func spanning(p, q Pt) Box { return Box{min(p.X, q.X), min(p.Y, q.Y), max(p.X, q.X), max(p.Y, q.Y)} }

// natural is the scale at which an arrangement is drawn when no width is asked
// for: half of natural size for the usual gearbox.
const natural = 0.78

// small is the least scale at which the parts can be told and tapped; where a
// sheet is narrower the arrangement stands upright.
const small = 0.46

// most a drawing of an arrangement is wide when no width is asked for, mm.
const widest0 = 300.0

func (a *arrangement) draw() *Drawing {
	d := &Drawing{Title: a.box.Name + ": general arrangement"}
	plane := a.bounds()
	names := 0.0
	for _, x := range a.axles {
		names = max(names, textWidth(clip(carrierLabel(x), wordSize, true, 30), wordSize, true))
	}
	left, right := edge+2, edge+names+4+a.dimsRoom()
	width := a.o.Width
	if width <= 0 {
		width = min((plane.X1-plane.X0)*natural+left+right, widest0)
	}
	if (width-left-right)/(plane.X1-plane.X0) < small {
		return a.stand(d, plane)
	}
	k := (width - left - right) / (plane.X1 - plane.X0)
	width = left + (plane.X1-plane.X0)*k + right
	foot := Group{Class: "legend"}
	y := a.footer(&foot, width)
	flat := paper{k: k, dx: left - plane.X0*k}
	under := a.seats(flat)
	hang, _ := place(under, edge, width-edge)
	if len(under) > 0 {
		y += float64(hang)*finger + 2
	} else if a.final != nil {
		y += 9
	}
	to := paper{k: k, dx: flat.dx, dy: y + 3 - plane.Y0*k}
	top := to.at(Pt{0, plane.Y1}).Y
	labels := a.labels(to)
	rows, _ := place(labels, edge, width-edge)
	base := top + rise + 5
	d.W, d.H = width, base+float64(rows-1)*finger+8+edge
	d.Groups = append(d.Groups, foot)
	d.Groups = append(d.Groups, a.parts(to)...)
	note := Group{Class: "notes"}
	a.centreDims(&note, to, width-right+3)
	for _, x := range a.axles {
		at := to.at(Pt{0, x.y})
		note.text(width-edge-names, at.Y-wordSize*0.36, wordSize, Start, Ink, true, clip(carrierLabel(x), wordSize, true, 30))
	}
	d.Groups = append(d.Groups, note)
	for i := range labels {
		l := &labels[i]
		g := Group{Class: "mesh", Title: l.id + " " + l.word}
		if p := l.spot.pos; p != nil {
			g = a.o.group(p)
		}
		l.draw(&g, top, base)
		d.Groups = append(d.Groups, g)
	}
	for i := range under {
		l := &under[i]
		l.spot.dot.Y += to.dy
		g := a.o.group(l.spot.pos)
		l.drawBelow(&g, y+2, y-7)
		d.Groups = append(d.Groups, g)
	}
	d.Groups = append(d.Groups, a.sideSeats(to)...)
	return d
}

func carrierLabel(x *axle) string {
	if x.c.Name != "" {
		return x.c.Name
	}
	return x.c.ID
}

// bounds is the room of all axles in their plane.
func (a *arrangement) bounds() Box {
	b := empty
	for _, x := range a.axles {
		h := x.high()
		b = b.add(Pt{x.a - 2, x.y - h}).add(Pt{x.b + 2, x.y + h})
		for _, q := range x.boxes() {
			b = b.add(Pt{q.X0, x.y - q.Y1}).add(Pt{q.X1, x.y + q.Y1})
		}
	}
	if f := a.final; f != nil {
		for _, p := range f.parts {
			q := p.sh.bounds()
			b = b.add(f.place(Pt{q.X1, q.Y1})).add(f.place(Pt{q.X0, -q.Y1}))
		}
	}
	return b
}

// place turns a point on the wheel's axis into the plane of the shafts.
func (d *finalDrive) place(p Pt) Pt { return Pt{d.apex + p.Y, -p.X} }

// footer is the note and, where states are shown, the key to them.
func (a *arrangement) footer(g *Group, width float64) float64 {
	y := edge
	lines := wrap(a.note(), noteSize, width-2*edge, 4)
	for i := range lines {
		g.text(edge, y, noteSize, Start, Faint, false, lines[len(lines)-1-i])
		y += 5
	}
	y++
	if a.o.State == nil {
		return y
	}
	var seen [states]bool
	for _, x := range a.axles {
		for _, p := range x.c.Order {
			seen[min(a.o.state(p.ID), Other)] = true
		}
	}
	if a.final != nil {
		for _, p := range a.final.parts {
			if p.pos != nil {
				seen[min(a.o.state(p.pos.ID), Other)] = true
			}
		}
	}
	return y + legend(g, seen, y, width)
}

// parts are the groups of all parts: axes and shafts first, then what is on
// them, so that a finger finds the inner ones.
func (a *arrangement) parts(to paper) []Group {
	var out []Group
	for _, x := range a.axles {
		out = append(out, a.shaft(x, to))
	}
	if a.final != nil {
		out = append(out, a.finalParts(to)...)
	}
	for _, x := range a.axles {
		up := func(q Pt) Pt { return to.at(Pt{q.X, q.Y + x.y}) }
		for _, l := range x.slots {
			order := slices.Clone(l.spots)
			slices.Reverse(order)
			slices.SortStableFunc(order, func(p, q *spot) int { return cmp.Compare(b2i(p.role != along), b2i(q.role != along)) })
			for _, s := range order {
				if s.form == &onShaft {
					continue
				}
				g := a.o.group(s.pos)
				sh := s.shape(s)
				sh.onto(up)
				ink(&g, sh, a.o.state(s.pos.ID), hatching{s.hatch.angle, max(s.hatch.gap*min(to.k, 1), 0.9)})
				b := Box{s.x0, s.r0, s.x1, s.r1}
				for _, sign := range []float64{1, -1} {
					p, q := up(Pt{b.X0, sign * b.Y0}), up(Pt{b.X1, sign * b.Y1})
					g.tap(spanning(p, q))
				}
				out = append(out, g)
			}
		}
	}
	return out
}

// onto maps a shape with its mirror image, which it then holds as its own.
func (sh *shape) onto(to func(Pt) Pt) {
	for _, ps := range []*[]Path{&sh.cut, &sh.body, &sh.black, &sh.thin, &sh.axis} {
		own := (*ps)[:len(*ps):len(*ps)]
		for _, p := range own {
			if !sh.once {
				*ps = append(*ps, mirror(p))
			}
		}
		for i := range *ps {
			(*ps)[i] = (*ps)[i].mapped(to)
		}
	}
	sh.once = true
}

// shaft draws an axle's own shaft, stepped under its bearings, with the gears
// that are cut on it and the pinion's head.
func (a *arrangement) shaft(x *axle, to paper) Group {
	g := Group{Class: "axis"}
	state := Fitted
	if x.core != nil {
		g = a.o.group(x.core.pos)
		state = a.o.state(x.core.pos.ID)
	}
	sh := shape{}
	start := x.a
	head := a.final != nil && a.axleOf(a.box.Final.Pinion) == x
	if head {
		start = a.final.big
		outline, root, pitch := a.final.head()
		sh.body = append(sh.body, outline)
		sh.thin = append(sh.thin, root)
		sh.axis = append(sh.axis, pitch)
	}
	sh.body = append(sh.body, x.outline(start, head))
	for _, c := range x.cut {
		t := c.spot.shape(c.spot)
		sh.body = append(sh.body, t.body...)
		sh.axis = append(sh.axis, t.axis...)
	}
	up := func(q Pt) Pt { return to.at(Pt{q.X, q.Y + x.y}) }
	from := x.a - 4
	if head {
		from = a.final.apex - 6
	}
	p, q := up(Pt{from, 0}), up(Pt{x.b + 4, 0})
	g.draw(Line(p.X, p.Y, q.X, q.Y), None, Pen{Faint, Thin, Chained})
	sh.onto(up)
	ink(&g, sh, state, hatching{45, 2})
	if x.core != nil {
		for _, e := range [][2]float64{{start - b2f(head)*a.finalFace(), x.slots0()}, {x.slots1(), x.b}} {
			r := x.shaft()
			g.tap(spanning(up(Pt{e[0], -r}), up(Pt{e[1], r})))
		}
		for _, c := range x.cut {
			g.tap(spanning(up(Pt{c.spot.x0, -c.spot.r1}), up(Pt{c.spot.x1, c.spot.r1})))
		}
	}
	return g
}

func (a *arrangement) finalFace() float64 {
	if a.final == nil {
		return 0
	}
	return a.final.face
}

func b2f(b bool) float64 { return float64(b2i(b)) }

// outline is the upper line of a shaft from its first end to its last: as thick
// under each part as that part's bore, broken off where a part is seen from
// outside.
func (x *axle) outline(start float64, head bool) Path {
	r := x.shaft()
	var p Path
	at := start
	cur := r
	if head {
		cur = x.slots0Radius()
		p.M(at, cur)
	} else {
		p.M(at, 0).L(at, r-1).L(at+1, r)
		at++
	}
	step := func(to, radius float64) {
		if math.Abs(radius-cur) > 0.05 {
			p.L(to, cur).L(to, radius)
			cur = radius
		}
	}
	was := math.Inf(1)
	for _, l := range x.slots {
		root := l.root()
		if l.x0 > was+0.05 {
			step(was, r)
		}
		was = l.x0 + l.w
		switch {
		case root.view:
			p.L(l.x0, cur).M(l.x0+l.w, cur)
		case root.role == along && root.lies == nil && root.bearing() && root.ring != outerRing:
			step(l.x0, max(root.r0, r))
		default:
			step(l.x0, r)
		}
	}
	step(x.slots1(), r)
	p.L(x.b-1, cur).L(x.b, cur-1).L(x.b, 0)
	return p
}

// finalParts draws the crown wheel and what it runs on, about its own axis.
func (a *arrangement) finalParts(to paper) []Group {
	f := a.final
	var out []Group
	up := func(q Pt) Pt { return to.at(f.place(q)) }
	b := empty
	for _, p := range f.parts {
		q := p.sh.bounds()
		b = b.add(Pt{q.X0, 0}).add(Pt{q.X1, 0})
	}
	axis := Group{Class: "axis"}
	p, q := up(Pt{b.X0 - 4, 0}), up(Pt{b.X1 + 4, 0})
	axis.draw(Line(p.X, p.Y, q.X, q.Y), None, Pen{Faint, Thin, Chained})
	out = append(out, axis)
	for i := len(f.parts) - 1; i >= 0; i-- {
		p := f.parts[i]
		g := Group{Class: "axis"}
		state := Fitted
		if p.pos != nil {
			g = a.o.group(p.pos)
			state = a.o.state(p.pos.ID)
		}
		room := p.sh.bounds()
		p.sh.onto(up)
		ink(&g, p.sh, state, hatching{p.h.angle, max(p.h.gap*min(to.k, 1), 0.9)})
		if p.pos != nil {
			for _, sign := range []float64{1, -1} {
				g.tap(spanning(up(Pt{room.X0, sign * room.Y0}), up(Pt{room.X1, sign * room.Y1})))
			}
		}
		out = append(out, g)
	}
	return out
}

// flag is a label of an arrangement: of a mesh, or of the position p.
func (a *arrangement) flag(dot Pt, id, word string, p *gearbox.Position) label {
	l := label{spot: &spot{dot: dot, pos: p}, id: id, word: word, want: dot.X}
	w := textWidth(id, idSize, true) + 2.2
	if p != nil {
		l.st = a.o.state(p.ID)
		l.word = a.o.word(p.ID, l.st)
		if l.st == Doubt {
			w += 6.8
		}
	}
	l.w = max(finger, w, textWidth(l.word, wordSize, true)+2)
	return l
}

func byPlace(ls []label) []label {
	slices.SortStableFunc(ls, func(p, q label) int { return cmp.Compare(p.want, q.want) })
	return ls
}

// labels are the flags over an arrangement: each speed with its numbers of
// teeth, the final drive, and the seats of shims on the upper shafts.
func (a *arrangement) labels(to paper) []label {
	var out []label
	for _, g := range a.gears {
		x, o := a.axleOf(g.ids[0]), a.axleOf(g.ids[1])
		mid, ok := x.teethAt(g.ids[0], g.speed)
		if o == nil || !ok {
			continue
		}
		y := x.y + math.Copysign(g.wheels[0].r*a.scale, o.y-x.y)
		out = append(out, a.flag(to.at(Pt{mid, y}), g.speed, g.words(), nil))
	}
	if f := a.final; f != nil {
		_, cos := f.slope()
		half := f.face / 2
		at := Pt{f.big - half*cos, -f.rp * (1 - half/math.Hypot(f.rp, f.rc))}
		words := strconv.Itoa(int(f.teeth[0])) + " : " + strconv.Itoa(int(f.teeth[1]))
		out = append(out, a.flag(to.at(at), "final", words, nil))
	}
	for _, x := range a.axles {
		if x.y == 0 {
			continue
		}
		for _, s := range x.spots {
			if s.pos.Seat != nil {
				out = append(out, a.flag(to.at(Pt{s.dot.X, x.y + s.dot.Y}), s.pos.ID, "", s.pos))
			}
		}
	}
	return byPlace(out)
}

// seats are the flags under an arrangement: the seats of shims on the lowest
// shaft.
func (a *arrangement) seats(to paper) []label {
	var out []label
	for _, x := range a.axles {
		if x.y != 0 {
			continue
		}
		for _, s := range x.spots {
			if s.pos.Seat != nil {
				out = append(out, a.flag(to.at(Pt{s.dot.X, -s.dot.Y}), s.pos.ID, "", s.pos))
			}
		}
	}
	return byPlace(out)
}

// sideSeats name the shims beside the crown wheel, to the left of them.
func (a *arrangement) sideSeats(to paper) []Group {
	var out []Group
	if a.final == nil {
		return nil
	}
	for _, p := range a.final.parts {
		if p.pos == nil || p.pos.Seat == nil {
			continue
		}
		b := p.sh.bounds()
		dot := to.at(a.final.place(Pt{(b.X0 + b.X1) / 2, -(b.Y0 + b.Y1) / 2}))
		l := a.flag(dot, p.pos.ID, "", p.pos)
		g := a.o.group(p.pos)
		tone, pen := Ink, Pen{Faint, Thin, Solid}
		if l.st == Next {
			tone, pen = Accent, Pen{Accent, Thick, Solid}
		}
		y := dot.Y + 2.6
		if b.X0 > 0 {
			y = dot.Y - 8
		}
		x1 := to.at(a.final.place(Pt{0, -b.Y1})).X - 2
		x0 := x1 - l.w + 0.8
		g.draw(Line(x0, y, x1, y, dot.X, dot.Y), None, pen)
		g.draw(Circle(dot.X, dot.Y, 0.62), Ink, Pen{})
		g.text(x0+1.1, y+1.5, idSize, Start, tone, l.st != Off, l.id)
		if l.st == Doubt {
			question(&g, x0+textWidth(l.id, idSize, true)+4.7, y+3.4, 2.5)
		}
		g.text(x0+1.1, y-wordSize*0.76-1.1, wordSize, Start, tone, l.st == Next, l.word)
		g.tap(Box{x0, y - 5, x1, y + 7})
		out = append(out, g)
	}
	return out
}

// centred is a pair of axles whose centre distance is given.
type centred struct {
	lo, hi float64
	text   string
}

func (a *arrangement) centres() []centred {
	var out []centred
	for _, g := range a.gears {
		if g.centre <= 0 || len(g.ids) != 2 {
			continue
		}
		x, o := a.axleOf(g.ids[0]), a.axleOf(g.ids[1])
		c := centred{min(x.y, o.y), max(x.y, o.y), fmt.Sprintf("%.4g", g.centre*1000)}
		if !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	return out
}

func (a *arrangement) dimsRoom() float64 {
	w := 0.0
	for _, c := range a.centres() {
		w = max(w, textWidth(c.text, wordSize, false)+5)
	}
	return w
}

// centreDims are the distances of the axes, as ISO 129-1 has dimensions.
func (a *arrangement) centreDims(g *Group, to paper, x float64) {
	for _, c := range a.centres() {
		lo, hi := to.at(Pt{0, c.lo}).Y, to.at(Pt{0, c.hi}).Y
		end := 0.0
		for _, s := range a.axles {
			if s.y == c.lo || s.y == c.hi {
				end = to.at(Pt{s.b + 4, 0}).X
				g.draw(Line(end+1, to.at(Pt{0, s.y}).Y, x+1.5, to.at(Pt{0, s.y}).Y), None, Pen{Faint, Fine, Solid})
			}
		}
		arrowLine(g, Pt{x, lo}, Pt{x, hi}, Pen{Ink, Thin, Solid})
		g.text(x+1.4, (lo+hi)/2-wordSize*0.36, wordSize, Start, Ink, false, c.text)
	}
}
