package draw

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"endfloat/internal/gearbox"
)

// Sizes of an exploded view in mm.
const (
	balloon   = 3.7  // radius of a part's number
	apartGap  = 4.2  // least white between two parts
	numSize   = 3.6  // lettering of the number
	arrowRoom = 6.0  // for the arrow of a facing and its word
	rowGap    = 7.0  // white between two rows
	cell      = 15.0 // least length of axis to a part: its id must stand clear
)

// apiece is a part of an exploded view: where it stands on its row and what it
// looks like there, about the axis.
type apiece struct {
	s    *spot
	n    int
	sh   shape
	box  Box // of the shape with its mirror image
	x, w float64
	word string  // of its facing
	turn float64 // −1: it looks to the first end, +1: to the second, 0: not said
}

// Exploded draws the parts of a carrier in their order, pulled apart along the
// axis: each with its number, its id, and an arrow to the end that its telling
// face looks to. Parts come in the order of the file.
func Exploded(c *gearbox.Carrier, o Options) *Drawing {
	if len(c.Ends) != 2 {
		return sheet(c, &o)
	}
	pl := newPlan(c, o.Built)
	pl.lengths(1)
	pl.put(0)
	pl.setHatches()
	width := o.Width
	if width <= 0 {
		width = 270
	}
	rows := rowsOf(pl.apart(&o), width)
	d := &Drawing{W: width, Title: fmt.Sprintf("%s, order from %s to %s", c.Name, c.Ends[0], c.Ends[1])}
	foot := Group{Class: "legend"}
	y := edge
	for _, l := range slices.Backward(wrap("In order from "+c.Ends[0]+" to "+c.Ends[1]+". An arrow shows where the named face looks. Not to scale.", noteSize, width-2*edge, 3)) {
		foot.text(edge, y, noteSize, Start, Faint, false, l)
		y += 5
	}
	y++
	if o.State != nil {
		var seen [states]bool
		for _, p := range c.Order {
			seen[min(o.state(p.ID), Other)] = true
		}
		y += legend(&foot, seen, y, width)
	}
	d.Groups = append(d.Groups, foot)
	for i, row := range slices.Backward(rows) {
		y = drawRow(d, row, &o, y, i == 0, i == len(rows)-1, c, width) + rowGap
	}
	d.H = y - rowGap + edge
	return d
}

// apart are the parts of a plan, each alone, in the order of the file.
func (pl *plan) apart(o *Options) []apiece {
	var out []apiece
	for i, p := range pl.c.Order {
		s := pl.spotOf(p)
		if s == nil {
			continue
		}
		a := apiece{s: s, n: i + 1}
		if s == pl.core {
			a.sh = shaftAlone(pl, s)
		} else {
			a.sh = s.shape(s)
			s.seenEdges(&a.sh)
		}
		to := -(s.x0 + s.x1) / 2
		a.sh.onto(func(q Pt) Pt { return Pt{q.X + to, q.Y} })
		a.box = a.sh.bounds()
		if mid := (a.box.Y0 + a.box.Y1) / 2; s.role == within || mid > 2 && a.box.Y0 > 1 {
			a.sh.onto(func(q Pt) Pt { return Pt{q.X, q.Y - mid} }) // beside the axis in its place, on it alone
			a.box = a.sh.bounds()
		}
		a.word, a.turn = pl.facingOf(s)
		a.w = max(a.box.X1-a.box.X0, cell-apartGap, textWidth(p.ID, idSize, true))
		st := o.state(p.ID)
		a.w = max(a.w, textWidth(a.word, noteSize, false), textWidth(clip(o.word(p.ID, st), wordSize, st == Next, 40), wordSize, st == Next))
		if st == Doubt {
			a.w = max(a.w, textWidth(p.ID, idSize, true)+7)
		}
		out = append(out, a)
	}
	return out
}

func (pl *plan) spotOf(p *gearbox.Position) *spot {
	if pl.core != nil && pl.core.pos == p {
		return pl.core
	}
	for _, s := range pl.spots {
		if s.pos == p {
			return s
		}
	}
	return nil
}

// facingOf is what the first face of a part is called, and to which end it looks.
func (pl *plan) facingOf(s *spot) (string, float64) {
	if len(s.pos.Faces) == 0 {
		return "", 0
	}
	f := s.pos.Faces[0]
	side := 0
	for i, e := range pl.c.Ends {
		if e == f.Toward {
			side = 2*i - 1
		}
	}
	if side == 0 {
		for i, p := range pl.c.Order {
			if p.ID == f.Toward {
				side = 1
				if i < s.pos.Index {
					side = -1
				}
			}
		}
	}
	if side == 0 {
		if _, up := map[string]bool{"up": true, "down": true, "in": true, "out": true}[f.Toward]; up {
			return f.Face + " " + f.Toward, 0
		}
		return f.Face + " to " + f.Toward, 0 // a part of another carrier
	}
	return f.Face, float64(side)
}

// shaftAlone is the shaft itself, shortened by a break.
func shaftAlone(pl *plan, s *spot) shape {
	const half = 17.0
	s.x0, s.x1 = -half, half
	var sh shape
	r := shaftR
	a := -half
	if pl.head() {
		var p Path
		pinionHead(&p, a+headW)
		a += headW
		sh.body = append(sh.body, p)
	} else {
		sh.body = append(sh.body, Line(a, -r, a, r))
	}
	var brk Path
	breakLine(&brk, 4)
	breakLine(&brk, 7.5)
	sh.thin = append(sh.thin, brk)
	sh.body = append(sh.body, Line(a, r, 4, r), Line(a, -r, 4, -r), Line(7.5, r, half, r, half, -r, 7.5, -r))
	sh.once = true
	return sh
}

// rowsOf shares the parts out to as few rows of a width as hold them, as even
// as may be: the longest row is as short as that number of rows allows.
func rowsOf(ps []apiece, width float64) [][]apiece {
	fill := func(room float64) (rows [][]apiece) {
		used := math.Inf(1)
		for i, p := range ps {
			if used += p.w + apartGap; used > room {
				rows, used = append(rows, nil), p.w+apartGap
			}
			rows[len(rows)-1] = append(rows[len(rows)-1], ps[i])
		}
		return rows
	}
	hi := width - 2*edge - 4
	n := len(fill(hi))
	for lo := 0.0; hi-lo > 0.5; {
		if m := (lo + hi) / 2; len(fill(m)) > n {
			lo = m
		} else {
			hi = m
		}
	}
	return fill(hi)
}

// drawRow draws one row with its lower edge at y; it returns the upper.
func drawRow(d *Drawing, row []apiece, o *Options, y float64, first, last bool, c *gearbox.Carrier, width float64) float64 {
	sum, high := 0.0, 0.0
	word := 0.0
	for _, p := range row {
		sum += p.w
		high = max(high, p.box.Y1, -p.box.Y0)
		s := o.state(p.s.pos.ID)
		if o.word(p.s.pos.ID, s) != "" {
			word = wordSize + 1.4
		}
	}
	gap := (width - 2*edge - sum) / float64(len(row))
	gap = min(gap, 16)
	x := (width - sum - gap*float64(len(row))) / 2
	base := Group{Class: "axis"}
	if last {
		base.text(width-edge, y, wordSize, End, Ink, true, c.Ends[1])
		y += wordSize + 1
	}
	axis := y + 5 + word + high + arrowRoom + 6
	end := x + sum + gap*float64(len(row))
	base.draw(Line(x-1, axis, end+1, axis), None, Pen{Faint, Thin, Chained})
	top := axis + high + 4 + 2*balloon
	if first {
		base.text(edge, top+1.4, wordSize, Start, Ink, true, c.Ends[0])
		top += wordSize + 2
	}
	d.Groups = append(d.Groups, base)
	for _, p := range row {
		x += gap / 2
		g := o.group(p.s.pos)
		mid := x + p.w/2
		p.draw(&g, o, Pt{mid, axis}, high)
		g.tap(Box{x - gap/2, axis - high - arrowRoom - 6, x + p.w + gap/2, axis + high + 4 + 2*balloon})
		d.Groups = append(d.Groups, g)
		x += p.w + gap/2
	}
	return top
}

// draw puts a part at its place on the axis: its number above, its id, the
// arrow of its facing and its state below.
func (p *apiece) draw(g *Group, o *Options, at Pt, high float64) {
	st := o.state(p.s.pos.ID)
	tone := Ink
	if st == Next {
		tone = Accent
	}
	dx := at.X - (p.box.X0+p.box.X1)/2
	sh := p.sh
	sh.onto(func(q Pt) Pt { return Pt{q.X + dx, q.Y + at.Y} })
	ink(g, sh, st, p.s.hatch)
	y := at.Y + high + 2 + balloon
	pen := Pen{tone, Thin, Solid}
	if st == Next {
		pen.W = Strong
	}
	g.draw(Line(at.X, at.Y+max(p.box.Y1, 0)+0.8, at.X, y-balloon), None, Pen{Faint, Fine, Solid})
	g.draw(Circle(at.X, y, balloon), None, pen)
	g.text(at.X, y-numSize*0.36, numSize, Middle, tone, true, strconv.Itoa(p.n))
	y = at.Y - high - 3.4
	if p.turn != 0 {
		l := 5.0
		arrowHead(g, Pt{at.X - p.turn*l, y}, Pt{at.X + p.turn*l, y}, tone)
		g.draw(Line(at.X-p.turn*l, y, at.X+p.turn*(l-2), y), None, Pen{tone, Thick, Solid})
	}
	y -= noteSize + 1
	g.text(at.X, y, noteSize, Middle, Ink, false, p.word)
	y -= idSize + 0.9
	id := p.s.pos.ID
	x := at.X
	if st == Doubt {
		x -= 2.6
		question(g, at.X+textWidth(id, idSize, true)/2+0.8, y+1.8, 2.2)
	}
	g.text(x, y, idSize, Middle, tone, st != Off, id)
	if w := o.word(id, st); w != "" {
		g.text(at.X, y-wordSize-1.2, wordSize, Middle, tone, st == Next, clip(w, wordSize, st == Next, 40))
	}
}
