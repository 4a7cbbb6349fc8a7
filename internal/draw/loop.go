package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
)

// loop is the chain of a setting drawn under the section it belongs to: what
// adds in one row of dimensions, what takes away in the other.
type loop struct {
	links  []Link
	result Link
	spans  [][2]float64 // where each link is drawn
	tied   []bool       // it lies under the part it is measured on
	lo, hi float64
	wide   float64 // of the list
}

// Sizes of a loop in mm.
const (
	dimRow   = 10.5 // from row to row
	dimFirst = 9.0  // from the parts to the first row
	letterH  = 3.9
	listH    = 4.0
	listRow  = 6.2
	freeLink = 24.0 // length of a link that lies on no part of the drawing
	overhang = 7.0  // what is left over, as drawn
	shortest = 40.0 // least length of section to show
)

// ChainOn draws the chain of a setting on the section of a carrier: the parts
// of the chain in ink and its seats marked, and under them the loop of
// dimensions, each with its letter, an arrow to the right for what adds and to
// the left for what takes away. A list gives names and values. It is nil where
// no link lies on the carrier.
//
// A link lies under the part it is the width of; a reading lies where the loop
// has room for it. Lengths along the loop are those of the drawing, not to
// scale with each other.
func ChainOn(c *gearbox.Carrier, o Options, name string, links []Link, result Link) *Drawing {
	if len(c.Ends) != 2 || len(links) == 0 {
		return nil
	}
	pl := newPlan(c, o.Built)
	pl.lengths(1)
	pl.put(0)
	pl.setHatches()
	lp := &loop{links: links, result: result}
	if !lp.tie(pl) {
		return nil
	}
	lp.lay()
	in := map[string]bool{}
	seat := map[string]bool{}
	for _, l := range links {
		in[l.At] = true
		seat[l.At] = seat[l.At] || l.Seat
	}
	o.State = func(id string) State {
		switch {
		case seat[id]:
			return Next
		case in[id]:
			return Fitted
		}
		return AsFound
	}
	o.Word = nil
	return lp.draw(pl, &o, name)
}

// tie finds the parts under which links lie.
func (lp *loop) tie(pl *plan) (any bool) {
	lp.spans = make([][2]float64, len(lp.links))
	lp.tied = make([]bool, len(lp.links))
	for i, l := range lp.links {
		for _, s := range pl.spots {
			if l.At != "" && s.pos.ID == l.At && l.Along && s.x1 > s.x0 {
				lp.spans[i], lp.tied[i], any = [2]float64{s.x0, s.x1}, true, true
			}
		}
	}
	return any
}

// row are the links of a sign, in the order of the chain; those on parts from
// left to right.
func (lp *loop) row(minus bool) []int {
	var out []int
	for i, l := range lp.links {
		if (l.Value < 0) == minus {
			out = append(out, i)
		}
	}
	var tied []int
	for _, i := range out {
		if lp.tied[i] {
			tied = append(tied, i)
		}
	}
	slices.SortStableFunc(tied, func(a, b int) int { return int(math.Copysign(1, lp.spans[a][0]-lp.spans[b][0])) })
	n := 0
	for k, i := range out {
		if lp.tied[i] {
			out[k] = tied[n]
			n++
		}
	}
	// What is free belongs between two parts that lie apart.
	for k := 1; k < len(tied); k++ {
		if lp.spans[tied[k]][0]-lp.spans[tied[k-1]][1] > freeLink && len(tied) < len(out) {
			free := slices.DeleteFunc(slices.Clone(out), func(i int) bool { return lp.tied[i] })
			return slices.Concat(tied[:k], free, tied[k:])
		}
	}
	return out
}

// lay gives every free link its place: beside its neighbours in the row, both
// rows beginning together and the shorter ending before the longer.
func (lp *loop) lay() {
	lp.lo, lp.hi = math.Inf(1), math.Inf(-1)
	for _, minus := range []bool{false, true} {
		row := lp.row(minus)
		first, last := -1, -1
		for k, i := range row {
			if lp.tied[i] {
				if first < 0 {
					first = k
				}
				last = k
			}
		}
		if first < 0 {
			continue
		}
		lp.lo = min(lp.lo, lp.spans[row[first]][0]-freeLink*float64(first))
		lp.hi = max(lp.hi, lp.spans[row[last]][1]+freeLink*float64(len(row)-1-last))
	}
	sum := 0.0
	for _, l := range lp.links {
		sum += l.Value
	}
	for _, minus := range []bool{false, true} {
		row := lp.row(minus)
		end := lp.hi
		if len(row) > 0 && !lp.tied[row[len(row)-1]] {
			end += max(lp.shift(minus, sum), -0.6*(lp.hi-lp.lo))
		}
		at := lp.lo
		for k := 0; k < len(row); {
			if lp.tied[row[k]] {
				at = lp.spans[row[k]][1]
				k++
				continue
			}
			n := k
			for n < len(row) && !lp.tied[row[n]] {
				n++
			}
			to := end
			if n < len(row) {
				to = lp.spans[row[n]][0]
			}
			w := (to - at) / float64(n-k)
			for ; k < n; k++ {
				lp.spans[row[k]] = [2]float64{at, at + w}
				at += w
			}
		}
	}
}

// shift is how far a free end reaches beyond the common end, so that what is
// left over is seen on its own side.
func (lp *loop) shift(minus bool, sum float64) float64 {
	other := lp.row(!minus)
	free := len(other) > 0 && !lp.tied[other[len(other)-1]]
	longer := sum >= 0 != minus
	switch {
	case len(other) == 0 || sum == 0:
		return 0
	case longer && !free:
		return overhang
	case !longer:
		return -overhang
	}
	return 0
}

// draw puts the part of the section that the loop spans, the loop and the list.
func (lp *loop) draw(pl *plan, o *Options, name string) *Drawing {
	from, to := lp.crop(pl)
	x0, x1 := pl.slots[from].x0, pl.slots[to].x0+pl.slots[to].w
	lo, hi := min(x0-6, lp.lo-3), max(x1+6, lp.hi+overhang+7)
	width := o.Width
	if width <= 0 {
		width = max(96, hi-lo+2*edge)
	}
	k := min(max((width-2*edge)/(hi-lo), 0.5), 2.4)
	width = max(width, (hi-lo)*k+2*edge)
	if lp.wide = width; o.Width > 0 {
		lp.wide = o.Width // what is wider is scrolled, the list is not
	}
	list := lp.list(lp.wide)
	reach := 0.0
	for _, l := range pl.slots[from : to+1] {
		for _, s := range l.spots {
			sh := s.shape(s)
			reach = max(reach, sh.bounds().Y1)
		}
	}
	foot, axis := lp.heights(k, reach*k, len(list))
	d := &Drawing{W: width, H: axis + reach*k + 3 + edge, Title: name + " on the section: " + lp.result.Text}
	at := paper{k: k, dx: (width-(hi-lo)*k)/2 - lo*k, dy: axis}
	d.Groups = append(d.Groups, lp.parts(pl, o, from, to, at)...)
	lp.finish(d, at, axis-reach*k, list, foot)
	return d
}

// heights are those of the list's upper edge and of the axis over the loop.
func (lp *loop) heights(k, reach float64, lines int) (foot, axis float64) {
	rows := 1.5
	if len(lp.row(true)) > 0 && len(lp.row(false)) > 0 {
		rows = 2.1
		if lp.leaves(k) {
			rows = 3
		}
	}
	foot = float64(lines)*listRow + 6
	return foot, foot + rows*dimRow + dimFirst + reach
}

// finish adds the loop under the parts, and the list under that.
func (lp *loop) finish(d *Drawing, at paper, y float64, list []line, foot float64) {
	g := Group{Class: "picture"}
	lp.dims(&g, at, y)
	lp.write(&g, list, foot, lp.wide)
	d.Groups = append(d.Groups, g)
}

// crop is the run of slots that the loop spans, with a neighbour on each side.
func (lp *loop) crop(pl *plan) (from, to int) {
	from, to = len(pl.slots)-1, 0
	for i, l := range pl.slots {
		for k := range lp.links {
			s := lp.spans[k]
			if lp.tied[k] && s[0] < l.x0+l.w-0.1 && s[1] > l.x0+0.1 {
				from, to = min(from, i), max(to, i)
			}
		}
	}
	from, to = max(from-1, 0), min(to+1, len(pl.slots)-1)
	long := func() float64 { return pl.slots[to].x0 + pl.slots[to].w - pl.slots[from].x0 }
	for n := 0; long() < shortest && n < len(pl.slots); n++ { // enough to be recognised
		if n%2 == 0 {
			from = max(from-1, 0)
		} else {
			to = min(to+1, len(pl.slots)-1)
		}
	}
	return from, to
}

// parts draws the slots of the section with their shaft.
func (lp *loop) parts(pl *plan, o *Options, from, to int, at paper) []Group {
	var out []Group
	a, b := pl.slots[from].x0-5, pl.slots[to].x0+pl.slots[to].w+5
	axis := Group{Class: "axis"}
	p, q := at.at(Pt{a - 2, 0}), at.at(Pt{b + 2, 0})
	axis.draw(Line(p.X, p.Y, q.X, q.Y), None, Pen{Faint, Thin, Chained})
	var sh Path
	cur := a
	for _, l := range pl.slots[from : to+1] {
		if l.root().view {
			sh.M(cur, shaftR).L(l.x0, shaftR).M(cur, -shaftR).L(l.x0, -shaftR)
			cur = l.x0 + l.w
		}
	}
	sh.M(cur, shaftR).L(b, shaftR).M(cur, -shaftR).L(b, -shaftR)
	breakLine(&sh, a)
	breakLine(&sh, b)
	axis.draw(sh.mapped(at.at), None, Pen{Ink, Thin, Solid})
	out = append(out, axis)
	for pass := range 2 { // what is in the chain is inked over its neighbours
		for _, l := range pl.slots[from : to+1] {
			for _, s := range slices.Backward(l.spots) {
				st := o.State(s.pos.ID)
				if (st == AsFound) != (pass == 0) {
					continue
				}
				g := Group{Key: s.pos.ID, Class: "part", Link: o.link(s.pos.ID), Title: s.pos.Label()}
				shp := s.shape(s)
				room := Box{s.x0, s.r0, s.x1, s.r1}
				shp.onto(at.at)
				h := s.hatch
				if st == AsFound {
					shp.body = slices.Concat(shp.body, shp.cut, shp.black) // only the chain is hatched
					shp.cut, shp.black = nil, nil
				}
				ink(&g, shp, st, h)
				for _, sign := range []float64{1, -1} {
					p, q := at.at(Pt{room.X0, sign * room.Y0}), at.at(Pt{room.X1, sign * room.Y1})
					g.tap(Box{p.X, min(p.Y, q.Y), q.X, max(p.Y, q.Y)})
				}
				out = append(out, g)
			}
		}
	}
	return out
}

// dims draws both rows of the loop and what is left over, the parts' lower edge
// being at y.
func (lp *loop) dims(g *Group, at paper, y float64) {
	for r, minus := range []bool{false, true} {
		row := lp.row(minus)
		line := y - dimFirst - dimRow*float64(r)
		wants := make([]float64, len(row))
		for n, i := range row {
			s := lp.spans[i]
			a, b := at.at(Pt{s[0], 0}).X, at.at(Pt{s[1], 0}).X
			wants[n] = (a + b) / 2
			if n == 0 || !lp.tied[i] || math.Abs(a-at.at(Pt{lp.spans[row[n-1]][1], 0}).X) > 0.2 {
				lp.extend(g, a, y, line, lp.tied[i])
			}
			lp.extend(g, b, y, line, lp.tied[i])
			pen := Pen{Ink, Thick, Solid}
			if lp.links[i].Seat {
				pen = Pen{Accent, Strong, Solid}
			}
			if minus {
				a, b = b, a
			}
			dimArrow(g, Pt{a, line}, Pt{b, line}, pen)
		}
		for n, x := range spaced(wants, 5.4) {
			i := row[n]
			tone := Ink
			if lp.links[i].Seat {
				tone = Accent
			}
			ty := line + 1.7
			if minus {
				ty = line - 1.5 - letterH*0.74
			}
			g.text(x, ty, letterH, Middle, tone, true, lp.letter(i))
		}
	}
	if lp.leaves(at.k) {
		e := lp.ends()
		ends := [2]float64{at.at(Pt{e[0], 0}).X, at.at(Pt{e[1], 0}).X}
		line := y - dimFirst - dimRow*2.1
		for _, x := range ends {
			g.draw(Line(x, line-1.2, x, y-dimFirst), None, Pen{Faint, Fine, Solid})
		}
		dimArrow(g, Pt{ends[0], line}, Pt{ends[1], line}, Pen{Accent, Thick, Solid})
		dimArrow(g, Pt{ends[1], line}, Pt{ends[0], line}, Pen{Accent, Thick, Solid})
		g.text(max(ends[0], ends[1])+1.8, line-1.4, letterH, Start, Accent, true, "=")
	}
}

// ends are where the two rows end.
func (lp *loop) ends() (out [2]float64) {
	for r, minus := range []bool{false, true} {
		if row := lp.row(minus); len(row) > 0 {
			out[r] = lp.spans[row[len(row)-1]][1]
		}
	}
	return out
}

// leaves reports whether what is left over is long enough to be drawn.
func (lp *loop) leaves(k float64) bool {
	e := lp.ends()
	return len(lp.row(true)) > 0 && len(lp.row(false)) > 0 && math.Abs(e[0]-e[1])*k > 1
}

// extend is a line from a part down to its dimension, or a short one at the end
// of a link that lies on no part.
func (lp *loop) extend(g *Group, x, top, line float64, tied bool) {
	if !tied {
		top = line + 2.4
	} else {
		top--
	}
	g.draw(Line(x, top, x, line-1.2), None, Pen{Faint, Fine, Solid})
}

// dimArrow is a dimension with one head, small where there is little room.
func dimArrow(g *Group, a, b Pt, pen Pen) {
	l := math.Abs(b.X - a.X)
	n := min(3, l*0.7)
	dir := math.Copysign(1, b.X-a.X)
	g.draw(Line(a.X, a.Y, b.X-dir*n*0.6, b.Y), None, pen)
	h := max(n*0.36, 0.6)
	g.draw(Poly(b.X, b.Y, b.X-dir*n, b.Y+h, b.X-dir*n, b.Y-h), pen.Tone, Pen{})
}

// spaced moves points that come from left to right apart to a least distance,
// as little as may be: the mean of pushing right and pushing left.
func spaced(want []float64, least float64) []float64 {
	n := len(want)
	r, l := slices.Clone(want), slices.Clone(want)
	for i := 1; i < n; i++ {
		r[i] = max(r[i], r[i-1]+least)
	}
	for i := n - 2; i >= 0; i-- {
		l[i] = min(l[i], l[i+1]-least)
	}
	for i := range r {
		r[i] = (r[i] + l[i]) / 2
	}
	return r
}

// letter names a link in the drawing and in the list.
func (lp *loop) letter(i int) string {
	if i < 26 {
		return string(rune('a' + i))
	}
	return fmt.Sprint(i + 1)
}

// line is one line of the list under a loop.
type line struct {
	letter, sign, name, value string
	seat, sum                 bool
}

// list are the links in words, names broken where they are long.
func (lp *loop) list(width float64) []line {
	var out []line
	add := func(letter, sign, name, value string, seat, sum bool) {
		room := listRight(width) - edge - 15 - textWidth(value, listH, true)
		for n, part := range wrap(name, listH*1.12, room, 3) { // measured as bold
			l := line{name: part, seat: seat, sum: sum}
			if n == 0 {
				l.letter, l.sign, l.value = letter, sign, value
			}
			out = append(out, l)
		}
	}
	for i, l := range lp.links {
		sign := "+"
		if l.Value < 0 {
			sign = "−"
		}
		name := l.Name
		if l.Seat && !strings.Contains(name, "shim") {
			name += " (seat)"
		}
		add(lp.letter(i), sign, name, l.Text, l.Seat, false)
	}
	add("=", "", lp.result.Name, lp.result.Text, false, true)
	return out
}

// listRight is where the values of the list end: not too far from the names.
func listRight(width float64) float64 { return min(width-edge, edge+120) }

func (lp *loop) write(g *Group, list []line, top, width float64) {
	right := listRight(width)
	y := top - 4
	for _, l := range list {
		tone := Ink
		if l.seat {
			tone = Accent
		}
		bold := l.seat || l.sum
		if l.sum && l.letter != "" {
			g.draw(Line(edge, y+listH+0.9, right, y+listH+0.9), None, Pen{Ink, Thin, Solid})
		}
		g.text(edge, y, listH, Start, tone, true, l.letter)
		g.text(edge+6.5, y, listH, Start, tone, bold, l.sign)
		g.text(edge+11.5, y, listH, Start, tone, bold, l.name)
		g.text(right, y, listH, End, tone, bold, l.value)
		y -= listRow
	}
}
