package draw

import (
	"fmt"
	"math"
	"strings"

	"endfloat/internal/gearbox"
)

// Piece is one shim of a pack as it is drawn: its id, its thickness in metres
// as measured, and that thickness in words.
type Piece struct {
	ID        string
	Thickness float64
	Text      string
}

// ShimStack draws a pack as the slabs it is made of, the first at the bottom.
// total is the sum in words; "" leaves it out.
func ShimStack(pieces []Piece, total string) *Drawing {
	const size, slab, x0 = 4.6, 34.0, 26.0
	most := 0.0
	for _, p := range pieces {
		most = max(most, p.Thickness)
	}
	d := &Drawing{W: 96, Title: "Pack of " + total}
	g := Group{Class: "picture"}
	y := edge + 2
	if len(pieces) == 0 {
		g.text(d.W/2, y+2, size, Middle, Ink, false, "no shims")
		d.H, d.Groups = y+10, []Group{g}
		return d
	}
	bottom := y
	for i, p := range pieces {
		// A thick one is drawn thicker; none so thin that its words collide.
		h := 6.6
		if most > 0 {
			h += 7.4 * p.Thickness / most
		}
		ink(&g, shape{cut: []Path{Rect(x0, y, x0+slab, y+h)}, once: true}, Fitted, hatching{45 + 90*float64(i%2), 1.9})
		g.text(x0-3, y+h/2-size*0.36, size, End, Ink, true, p.ID)
		g.text(x0+slab+3, y+h/2-size*0.36, size, Start, Ink, false, p.Text)
		y += h
	}
	d.H = y + edge
	if total != "" {
		x := x0 + slab + 3 + widest(pieces, size) + 3
		arrowLine(&g, Pt{x, bottom}, Pt{x, y}, Pen{Ink, Thin, Solid})
		g.draw(Line(x0+slab, y, x+2, y, x+2, y), None, Pen{Faint, Fine, Solid})
		g.draw(Line(x0+slab, bottom, x+2, bottom), None, Pen{Faint, Fine, Solid})
		g.text(x0, y+3, size, Start, Ink, true, "together "+total)
		d.W = max(d.W, x+4)
		d.H += 8
	}
	d.Groups = []Group{g}
	return d
}

func widest(pieces []Piece, size float64) (w float64) {
	for _, p := range pieces {
		w = max(w, textWidth(p.Text, size, false))
	}
	return w
}

// arrowLine is a dimension line with a head at each end.
func arrowLine(g *Group, a, b Pt, pen Pen) {
	g.draw(Line(a.X, a.Y, b.X, b.Y), None, pen)
	arrowHead(g, a, b, pen.Tone)
	arrowHead(g, b, a, pen.Tone)
}

// arrowHead is a filled head with its point at b, coming from a.
func arrowHead(g *Group, a, b Pt, tone Tone) {
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l == 0 {
		return
	}
	u, v := (b.X-a.X)/l, (b.Y-a.Y)/l
	const n, h = 3.2, 1.05
	g.draw(Poly(b.X, b.Y, b.X-u*n-v*h, b.Y-v*n+u*h, b.X-u*n+v*h, b.Y-v*n-u*h), tone, Pen{})
}

// Verdict is what is said of a value against its limits.
type Verdict uint8

// The verdicts.
const (
	NoVerdict Verdict = iota
	In
	Out
	TooClose // to call
)

// Marks are the words of a Bar; each may be empty.
type Marks struct {
	Lo, Hi  string // at the bounds
	Value   string // at the value: "0.16 ± 0.02 mm"
	Words   string // the verdict in words
	Verdict Verdict
	Target  float64 // what to aim at; 0 none
}

// Bar draws a limit band from lo to hi, the value and its spread ±u as a
// whisker. A bound that is infinite is open; a value that is NaN is not drawn.
// The mark of the value tells the verdict by its shape: a disc is in, a cross
// out, an open square too close to call.
func Bar(lo, hi, value, u float64, m Marks) *Drawing {
	const w, h = 96.0, 27.0
	d := &Drawing{W: w, H: h, Title: strings.TrimSpace(m.Value + ", limits " + m.Lo + " to " + m.Hi + ": " + m.Words)}
	g := Group{Class: "picture"}
	at := scale(lo, hi, value, u, 6, w-6)
	y, half := 12.0, 3.2
	a, b := 2.0, w-2
	g.draw(Line(2, y, w-2, y), None, Pen{Faint, Thin, Solid})
	if !math.IsInf(lo, 0) {
		a = at(lo)
	}
	if !math.IsInf(hi, 0) {
		b = at(hi)
	}
	band := Rect(a, y-half, b, y+half)
	g.draw(hatch(band, hatching{45, 2.1}), None, Pen{Faint, Fine, Solid})
	edges := Line(a, y-half, b, y-half)
	edges.M(a, y+half).L(b, y+half)
	g.draw(edges, None, Pen{Ink, Thin, Solid})
	bound := func(open float64, x float64, text string) {
		if math.IsInf(open, 0) {
			return
		}
		g.draw(Line(x, y-half-1.6, x, y+half+1.6), None, Pen{Ink, Thick, Solid})
		half := textWidth(text, 4.2, false) / 2
		g.text(min(max(x, 2+half), w-2-half), 2.2, 4.2, Middle, Ink, false, text)
	}
	bound(lo, a, m.Lo)
	bound(hi, b, m.Hi)
	if m.Target != 0 && m.Target > lo && m.Target < hi {
		x := at(m.Target)
		g.draw(Line(x, y-half, x, y+half), None, Pen{Ink, Thin, Dashed})
	}
	if !math.IsNaN(value) {
		drawValue(&g, at(value), at(value-u), at(value+u), y, m.Verdict)
		d.H += say(&g, m, at(value), y+above, w)
	}
	d.Groups = []Group{g}
	return d
}

const above = 7.6 // from the middle of the band to the words, clear of the mark

// say writes the value and its verdict over the mark at x, on one line or two;
// it returns what the second adds to the height.
func say(g *Group, m Marks, x, y, w float64) (more float64) {
	const size, pitch = 4.8, 6.4
	lines := []string{m.Value}
	switch one := m.Value + ": " + m.Words; {
	case m.Words == "":
	case textWidth(one, size, true) <= w-4:
		lines[0] = one
	default:
		lines = append(lines, m.Words)
	}
	for i, l := range lines {
		half := textWidth(l, size, true) / 2
		g.text(min(max(x, 2+half), w-2-half), y+pitch*float64(len(lines)-1-i), size, Middle, Ink, true, l)
	}
	return pitch * float64(len(lines)-1)
}

// scale maps what is to be seen to the room from x0 to x1, with some white.
func scale(lo, hi, value, u float64, x0, x1 float64) func(float64) float64 {
	from, to := math.Inf(1), math.Inf(-1)
	for _, v := range []float64{lo, hi, value - u, value + u} {
		if !math.IsInf(v, 0) && !math.IsNaN(v) {
			from, to = min(from, v), max(to, v)
		}
	}
	if !(to > from) {
		if math.IsInf(from, 0) {
			from, to = 0, 0
		}
		r := max(math.Abs(from)*0.5, 1e-9)
		from, to = from-r, to+r
	}
	room := (to - from) * 0.16
	from, to = from-room, to+room
	return func(v float64) float64 {
		return min(max(x0+(v-from)/(to-from)*(x1-x0), x0-4), x1+4)
	}
}

func drawValue(g *Group, x, a, b, y float64, v Verdict) {
	pen := Pen{Ink, 0.7, Solid}
	const r = 2.0
	if b-a > 2*r {
		p := Line(a, y, x-r, y)
		p.M(x+r, y).L(b, y).M(a, y-1.8).L(a, y+1.8).M(b, y-1.8).L(b, y+1.8)
		g.draw(p, None, pen)
	}
	switch v {
	case Out:
		p := Line(x-r, y-r, x+r, y+r)
		p.M(x-r, y+r).L(x+r, y-r)
		g.draw(p, None, Pen{Ink, Strong, Solid})
	case TooClose:
		g.draw(Rect(x-r, y-r, x+r, y+r), None, pen)
	default:
		g.draw(Circle(x, y, r), Ink, Pen{})
	}
}

// Link is one link of a chain: its name, its signed value in metres and that
// value in words. A Seat is a pack, the link that can be changed.
type Link struct {
	Name  string
	Value float64
	Text  string
	Seat  bool
	At    string // position it is a dimension of, "" for a reading
	Along bool   // it is the length of that position along the axis
}

// Chain draws the links of a setting one under the other: what adds as arrows
// to the right, what takes away as arrows to the left, the seat emphasised, and
// what is left over between the first start and the last point. Arrows keep
// the order of their lengths but not the scale, since a gap is small beside
// the parts that make it.
func Chain(name string, links []Link, result Link) *Drawing {
	const w, gap, size = 96.0, 14.0, 4.4
	lens := arrows(links, result.Value, w-2*edge-8, gap)
	lo, x, high := 0.0, 0.0, 0.0
	says := make([]linkWords, len(links))
	for i := range links {
		x += lens[i]
		lo = min(lo, x)
	}
	x0 := edge + 4 - lo
	x = x0
	for i := range links {
		says[i] = wordsAt(&links[i], x, lens[i], x0, w, size)
		high += says[i].h
		x += lens[i]
	}
	d := &Drawing{W: w, H: high + 18, Title: name + ": " + result.Text}
	g := Group{Class: "picture"}
	x = x0
	y := d.H - 2
	g.draw(Line(x0, y-2, x0, 13), None, Pen{Ink, Thin, Chained})
	for i, l := range links {
		next := x + lens[i]
		y -= says[i].h
		pen := Pen{Ink, Thick, Solid}
		if l.Seat {
			pen = Pen{Accent, 1.4, Solid}
		}
		if i > 0 {
			g.draw(Line(x, y+says[i].h+1, x, y), None, Pen{Faint, Fine, Solid})
		}
		g.draw(Line(x, y, next-math.Copysign(1.5, lens[i]), y), None, pen)
		arrowHead(&g, Pt{x, y}, Pt{next, y}, pen.Tone)
		for j, t := range says[i].lines {
			g.text(says[i].x, y+1.9+5.4*float64(len(says[i].lines)-1-j), size, says[i].anchor, pen.Tone, l.Seat, t)
		}
		x = next
	}
	g.draw(Line(x, y+1, x, 9), None, Pen{Faint, Fine, Solid})
	if math.Abs(x-x0) > 1 {
		arrowLine(&g, Pt{x0, 11}, Pt{x, 11}, Pen{Ink, Thick, Solid})
	}
	text := clip(strings.TrimSpace(result.Name+"  "+result.Text), 4.8, true, w-2*edge)
	half := textWidth(text, 4.8, true) / 2
	g.text(min(max((x+x0)/2, edge+half), w-edge-half), 3.4, 4.8, Middle, Ink, true, text)
	d.Groups = []Group{g}
	return d
}

// linkWords are the words of a link and where they stand: beside the line that
// comes down to its arrow, so that none is crossed by it.
type linkWords struct {
	lines  []string
	x, h   float64
	anchor Anchor
}

// wordsAt finds room for the words of an arrow that begins at x and is so
// long: on its own side if it can be, on two lines if it must.
func wordsAt(l *Link, x, long, x0, w, size float64) linkWords {
	sign := "+ "
	if l.Value < 0 {
		sign = "− "
	}
	value := l.Text
	if l.Seat {
		value += " (seat)"
	}
	const off = 1.6
	left, right := x-off-max(edge, min(x, x0)+off), w-edge-x-off
	if x <= x0 {
		left = x - off - edge
	}
	out := linkWords{lines: []string{sign + l.Name + "  " + value}, x: x + off, anchor: Start, h: 11.5}
	tw := textWidth(out.lines[0], size, l.Seat)
	if tw > max(left, right) {
		room := max(left, right)
		out.lines = []string{clip(sign+l.Name, size, l.Seat, room), clip(value, size, l.Seat, room)}
		tw = max(textWidth(out.lines[0], size, l.Seat), textWidth(out.lines[1], size, l.Seat))
		out.h += 5.4
	}
	if long < 0 && tw <= left || tw > right {
		out.x, out.anchor = x-off, End
	}
	return out
}

// arrows are the drawn lengths of the links: as long as the longer of the two
// directions allows in the room, and what is left over as wide as gap.
func arrows(links []Link, result, room, gap float64) []float64 {
	const least = 12.0
	var plus, minus float64
	for _, l := range links {
		if l.Value < 0 {
			minus -= l.Value
		} else {
			plus += l.Value
		}
	}
	want := [2]float64{room, room - gap} // drawn sums of what adds and what takes away
	switch {
	case minus == 0:
	case plus == 0:
		want = [2]float64{0, room}
	case result < 0:
		want = [2]float64{room - gap, room}
	case result == 0:
		want[1] = room
	}
	out := make([]float64, len(links))
	for dir, sum := range []float64{plus, minus} {
		var count float64
		for _, l := range links {
			if (l.Value < 0) == (dir == 1) {
				count++
			}
		}
		low := min(least, want[dir]/max(count, 1)*0.5)
		for i, l := range links {
			if (l.Value < 0) != (dir == 1) {
				continue
			}
			v := 1 / count
			if sum > 0 {
				v = math.Abs(l.Value) / sum
			}
			out[i] = low + v*(want[dir]-low*count)
			if dir == 1 {
				out[i] = -out[i]
			}
		}
	}
	return out
}

// FaceChoice is a picture of a part of a kind between the names of two ends,
// with its named face looking toward one of them: for a person who is asked
// which way it faced.
func FaceChoice(kind, face, toward string, ends [2]string) *Drawing {
	const w, h, name = 96.0, 42.0, 5.0
	side := 1.0
	if toward == ends[0] {
		side = -1
	}
	d := &Drawing{W: w, H: h, Title: fmt.Sprintf("%s of the %s toward the %s end", face, kind, toward)}
	s := newSketch(&gearbox.Position{Kind: kind, Faces: []gearbox.Facing{{Face: face, Toward: toward}}})
	s.side = int(side)
	sh := s.shape(s)
	s.seenEdges(&sh)
	box := Box{w/2 - 13, 9, w/2 + 13, h - 2}
	fit(&sh, box)
	b := sh.bounds()
	y := (box.Y0 + box.Y1) / 2
	g := Group{Class: "picture"}
	g.draw(Line(w/2-17, y, w/2+17, y), None, Pen{Faint, Thin, Chained})
	ink(&g, sh, Fitted, hatching{45, 2})
	for i, e := range ends {
		x, anchor, tone := edge, Start, Faint
		if i == 1 {
			x, anchor = w-edge, End
		}
		if e == toward {
			tone = Ink
		}
		g.text(x, y-name*0.36, name, anchor, tone, e == toward, clip(e, name, true, 24))
	}
	x := b.X1 + 1.6
	if side < 0 {
		x = b.X0 - 1.6
	}
	tip := w/2 + side*(w/2-edge-2-textWidth(clip(toward, name, true, 24), name, true))
	g.draw(Line(x, b.Y0, x, b.Y1), None, Pen{Accent, 1.3, Solid})
	g.draw(Line(x+1.5*side, y, tip-2*side, y), None, Pen{Accent, Strong, Solid})
	arrowHead(&g, Pt{x, y}, Pt{tip, y}, Accent)
	half := textWidth(face, 4.6, true) / 2
	g.text(min(max(x, 2+half), w-2-half), 2.6, 4.6, Middle, Accent, true, face)
	d.Groups = []Group{g}
	return d
}
