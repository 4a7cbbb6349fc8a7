package draw

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"endfloat/internal/job"
)

// Sizes of what is drawn over a photo, whose longest edge is markEdge.
const (
	markEdge = 160.0
	markLine = 1.3
	markHead = 9.0
	markText = 7.5

	// MarkRadius is the radius of a circle that says none, a share of the width.
	MarkRadius = 0.1
)

// Markup draws what was marked on a photo of w × h dots. The photo lies beneath
// and is not touched: lines are accented on a band of paper, so that they stand
// out from the dark and from the bright, and words lie over all lines.
func Markup(marks []job.Drawn, w, h int) *Drawing {
	k := markEdge / float64(max(w, h, 1))
	d := &Drawing{W: float64(w) * k, H: float64(h) * k, Title: "Drawn over the photo"}
	words := &captions{d: d, Group: Group{Class: "markup"}}
	for _, m := range marks {
		g := Group{Class: "markup", Title: m.Shape + andSays(m.Says)}
		g.mark(words, m)
		d.Groups = append(d.Groups, g)
	}
	d.Groups = append(d.Groups, words.Group)
	return d
}

func andSays(s string) string {
	if s == "" {
		return ""
	}
	return ": " + s
}

func (g *Group) mark(words *captions, m job.Drawn) {
	d := words.d
	at := Pt{m.X * d.W, (1 - m.Y) * d.H}
	switch m.Shape {
	case "arrow":
		from := Tail(m)
		tail := Pt{from.X * d.W, (1 - from.Y) * d.H}
		g.stroke(arrow(tail, at))
		words.put(tail, 0, m.Says)
	case "circle":
		r := cmp.Or(m.R, MarkRadius) * d.W
		g.stroke(Circle(at.X, at.Y, r))
		words.put(Pt{at.X, at.Y - r}, -1, m.Says)
	case "toe", "heel":
		g.stroke(Circle(at.X, at.Y, 1.2))
		words.put(at, -1, m.Shape+andSays(m.Says))
	default:
		words.put(at, 0, m.Says)
	}
}

// Tail is where an arrow comes from: as it was drawn, else a quarter of the
// photo away, from the side where there is more room.
func Tail(m job.Drawn) job.Point {
	if m.From != nil {
		return *m.From
	}
	away := func(v float64) float64 {
		if v < 0.5 {
			return v + 0.2
		}
		return v - 0.2
	}
	return job.Point{X: away(m.X), Y: away(m.Y)}
}

func arrow(tail, tip Pt) Path {
	a := math.Atan2(tail.Y-tip.Y, tail.X-tip.X)
	wing := func(by float64) Pt {
		return Pt{tip.X + markHead*math.Cos(a+by), tip.Y + markHead*math.Sin(a+by)}
	}
	l, r := wing(0.42), wing(-0.42)
	p := Line(tail.X, tail.Y, tip.X, tip.Y)
	return append(p, Line(l.X, l.Y, tip.X, tip.Y, r.X, r.Y)...)
}

func (g *Group) stroke(p Path) {
	g.draw(p, None, Pen{Paper, markLine * 2.6, Solid})
	g.draw(p, None, Pen{Accent, markLine, Solid})
}

// captions are the words over a photo, each where it hides no other.
type captions struct {
	Group
	d      *Drawing
	placed []Box
}

// put sets words at a place, above it (down -1) or on it, where they stay within
// the photo and clear of the words before.
func (c *captions) put(at Pt, down float64, says string) {
	says = strings.Join(strings.Fields(says), " ")
	for textWidth(says, markText, true) > c.d.W-6 && len(says) > 2 {
		r := []rune(strings.TrimSuffix(says, "…"))
		says = strings.TrimSpace(string(r[:len(r)-1])) + "…"
	}
	if says == "" {
		return
	}
	w, tall := textWidth(says, markText, true)+4, markText*1.5
	x, y := at.X-w/2, at.Y-tall/2
	if down < 0 {
		if y = at.Y - tall - 2; y < 1 {
			y = at.Y + 4
		}
	}
	box := func(y float64) Box {
		x, y := min(max(x, 1), c.d.W-w-1), min(max(y, 1), c.d.H-tall-1)
		return Box{x, y, x + w, y + tall}
	}
	b := box(y)
	for n := 1; n < 12 && slices.ContainsFunc(c.placed, b.Overlaps); n++ {
		step := float64((n+1)/2) * (tall + 1) // below, above, further below …
		if n%2 == 0 {
			step = -step
		}
		b = box(y - step)
	}
	c.placed = append(c.placed, b)
	c.draw(Rect(b.X0, b.Y0, b.X1, b.Y1), Paper, Pen{Accent, Thick, Solid})
	c.text(b.X0+2, b.Y0+tall*0.3, markText, Start, Ink, true, says)
}
