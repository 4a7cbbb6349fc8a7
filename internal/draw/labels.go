package draw

import (
	"math"
	"slices"
)

// Sizes of the lettering in mm. At the natural size of a page, 3.78 px to the
// mm, an id is 18 px high and a label a finger wide.
const (
	idSize   = 4.8
	wordSize = 3.5
	noteSize = 3.3
	finger   = 12.7
	between  = 1.6 // least distance of a leader from a label or a leader
)

// label is a flag that stands on its leader: the leader rises at x, the text
// lies to the right of it.
type label struct {
	spot  *spot
	id    string
	word  string
	st    State
	want  float64 // where the part is
	w     float64
	x     float64
	row   int // counted upward
	below bool
}

func newLabel(s *spot, st State, word string) label {
	w := textWidth(s.pos.ID, idSize, true) + 2.2
	if st == Doubt {
		w += 6.8
	}
	return label{spot: s, id: s.pos.ID, word: word, st: st, want: s.dot.X, w: max(finger, w, textWidth(word, wordSize, true)+2)}
}

// apartFrom is how far right of its earlier neighbour a label's leader must
// stand: clear of the flag if that hangs in its way, else clear of the leader.
func (l *label) apartFrom(left *label) float64 {
	if left.row <= l.row {
		return left.w + between
	}
	return between
}

// place gives the labels, which come in the order of what they point to, their
// rows and places between lo and hi, so that neither flags nor leaders cross.
// It uses as few rows as keep every label near its part.
func place(ls []label, lo, hi float64) (rows int, ok bool) {
	best, least := 0, math.Inf(1)
	for r := 1; r <= 4; r++ {
		if off, fits := placeIn(ls, r, lo, hi); fits && off < least-2 {
			best, least = r, off
			if off < 4 {
				break
			}
		}
	}
	if best == 0 {
		placeIn(ls, 4, lo, hi)
		return 4, false
	}
	placeIn(ls, best, lo, hi)
	return best, true
}

// placeIn hangs the flags in descending stairs of so many rows. All conditions
// are least distances, which the mean of two solutions keeps: one pushed right
// from where the parts are, and one pushed left.
func placeIn(ls []label, rows int, lo, hi float64) (off float64, ok bool) {
	n := len(ls)
	right, left := make([]float64, n), make([]float64, n)
	for i := range ls {
		ls[i].row = rows - 1 - i%rows
		right[i] = max(ls[i].want, lo)
		for j := range i {
			right[i] = max(right[i], right[j]+ls[i].apartFrom(&ls[j]))
		}
	}
	for i := n - 1; i >= 0; i-- {
		left[i] = min(ls[i].want, hi-ls[i].w)
		for j := i + 1; j < n; j++ {
			left[i] = min(left[i], left[j]-ls[j].apartFrom(&ls[i]))
		}
	}
	for i := range ls {
		ls[i].x = (left[i] + right[i]) / 2
	}
	ok = keepBetween(ls, lo, hi)
	for i := range ls {
		off = max(off, math.Abs(ls[i].x-ls[i].want))
	}
	return off, ok
}

// keepBetween pushes the labels into the room there is, and reports whether
// they fit.
func keepBetween(ls []label, lo, hi float64) bool {
	for i := range ls {
		ls[i].x = max(ls[i].x, lo)
		for j := range i {
			ls[i].x = max(ls[i].x, ls[j].x+ls[i].apartFrom(&ls[j]))
		}
	}
	for i := len(ls) - 1; i >= 0; i-- {
		ls[i].x = min(ls[i].x, hi-ls[i].w)
		for j := i + 1; j < len(ls); j++ {
			ls[i].x = min(ls[i].x, ls[j].x-ls[j].apartFrom(&ls[i]))
		}
	}
	return !slices.ContainsFunc(ls, func(l label) bool { return l.x < lo-1e-9 })
}

// drawBelow adds a flag that hangs under the parts: base is the height of the
// highest row, bottom that of the lowest part.
func (l *label) drawBelow(g *Group, bottom, base float64) {
	up := *l
	up.row = -l.row
	up.below = true
	up.draw(g, bottom, base)
}

// draw adds the flag and its leader; base is the height of the lowest row,
// top that of the tallest part.
func (l *label) draw(g *Group, top, base float64) {
	y := base + float64(l.row)*finger
	pen := l.leader()
	d := l.spot.dot
	leader := Line(l.x, y)
	if math.Abs(l.x-d.X) > 0.4 {
		if l.below {
			leader.L(l.x, base+7).L(d.X, top-1)
		} else {
			leader.L(l.x, base-(finger-7.4)).L(d.X, top+1)
		}
	}
	leader.L(d.X, d.Y)
	g.draw(leader, None, pen)
	if l.st == Next {
		tip, tail := d.Y-0.4, d.Y+4
		if l.below {
			tip, tail = d.Y+0.4, d.Y-4
		}
		g.draw(Poly(d.X, tip, d.X-1.5, tail, d.X+1.5, tail), Accent, Pen{})
	} else {
		g.draw(Circle(d.X, d.Y, 0.62), Ink, Pen{})
	}
	l.hang(g, y)
}

// leader is the pen of the line to the part.
func (l *label) leader() Pen {
	switch l.st {
	case Next:
		return Pen{Tone: Accent, W: Thick}
	case Off:
		return Pen{Tone: Faint, W: Fine}
	}
	return Pen{Tone: Faint, W: Thin}
}

// hang draws the flag itself, its shelf at y.
func (l *label) hang(g *Group, y float64) {
	shelf, tone := l.leader(), Ink
	switch l.st {
	case Next:
		tone = Accent
	case Missing:
		shelf = Pen{Ink, Thick, Dashed}
	case Off:
		shelf, tone = Pen{Faint, Thin, Dotted}, Faint
	}
	if l.st == Next {
		g.draw(Rect(l.x, y, l.x+l.w-0.8, y+6.6), Tint, Pen{Tone: Accent, W: Strong})
	} else {
		g.draw(Line(l.x, y, l.x+l.w-0.8, y), None, shelf)
	}
	g.text(l.x+1.1, y+1.5, idSize, Start, tone, l.st != Off, l.id)
	if l.st == Doubt {
		question(g, l.x+textWidth(l.id, idSize, true)+4.7, y+3.4, 2.5)
	}
	g.text(l.x+1.1, y-wordSize*0.76-1.1, wordSize, Start, tone, l.st == Next, l.word)
	g.tap(Box{l.x - 0.4, y - (finger - 7.4), l.x + l.w, y + 7.4})
}

// question is the sign of doubt.
func question(g *Group, x, y, r float64) {
	g.draw(Circle(x, y, r), None, Pen{Tone: Ink, W: 0.4})
	g.text(x, y-r*0.55, r*1.55, Middle, Ink, true, "?")
}
