// Package draw makes the drawings: the section of a shaft or the parts of a
// case from a gearbox file, the arrangement of all shafts in mesh, the order of
// parts pulled apart, the chain of a setting on its section, and small pictures
// of packs, limits and doubt.
//
// A Drawing is a retained scene in millimetres, y up. It is turned into SVG
// for pages, into PDF for the book and into PNG for pictures; all three show
// the same lines, because hatching is cut to lines before it reaches them.
// Axial lengths follow the file where it gives them; diameters are those of a
// sketch, chosen so that each kind of part is told at a glance. Nothing here
// reads a disk or a clock, and the same input gives the same bytes.
//
// Drawing habits follow ISO 128 (lines, sections), ISO 129-1 (dimensions), ISO
// 2203 (gears) and ISO 6433 (numbers of parts), all from memory: parts in section are hatched, neighbours in opposite
// directions; shafts, rolling elements, keys, nuts and teeth are not
// sectioned; thin parts are black; axes and pitch lines are chain lines.
package draw

import "math"

// Pt is a point in mm, y up.
type Pt struct{ X, Y float64 }

// Op is one stroke of a path: move, line, curve or close.
type Op struct {
	K rune // M L C Z
	P [3]Pt
}

// Path is an outline or a set of lines.
type Path []Op

// M moves to a point.
func (p *Path) M(x, y float64) *Path { *p = append(*p, Op{'M', [3]Pt{{x, y}}}); return p }

// L draws a line to a point.
func (p *Path) L(x, y float64) *Path { *p = append(*p, Op{'L', [3]Pt{{x, y}}}); return p }

// C draws a cubic curve to c with the handles a and b.
func (p *Path) C(a, b, c Pt) *Path { *p = append(*p, Op{'C', [3]Pt{a, b, c}}); return p }

// Z closes the outline.
func (p *Path) Z() *Path { *p = append(*p, Op{'Z', [3]Pt{}}); return p }

// Poly is a closed outline through the points given as x, y, x, y.
func Poly(xy ...float64) Path {
	p := Line(xy...)
	return *p.Z()
}

// Line is an open line through the points given as x, y, x, y.
func Line(xy ...float64) Path {
	p := make(Path, 0, len(xy)/2+1)
	p.M(xy[0], xy[1])
	for i := 2; i+1 < len(xy); i += 2 {
		p.L(xy[i], xy[i+1])
	}
	return p
}

// Rect is a rectangle between two corners.
func Rect(x0, y0, x1, y1 float64) Path { return Poly(x0, y0, x1, y0, x1, y1, x0, y1) }

// Circle is a circle of four curves.
func Circle(x, y, r float64) Path {
	const k = 0.5522847498 // handle of a quarter turn
	h := k * r
	p := make(Path, 0, 6)
	p.M(x+r, y).
		C(Pt{x + r, y + h}, Pt{x + h, y + r}, Pt{x, y + r}).
		C(Pt{x - h, y + r}, Pt{x - r, y + h}, Pt{x - r, y}).
		C(Pt{x - r, y - h}, Pt{x - h, y - r}, Pt{x, y - r}).
		C(Pt{x + h, y - r}, Pt{x + r, y - h}, Pt{x + r, y})
	return *p.Z()
}

// mapped is the path with each point sent through f.
func (p Path) mapped(f func(Pt) Pt) Path {
	out := make(Path, len(p))
	for i, o := range p {
		out[i].K = o.K
		for j := range o.P {
			out[i].P[j] = f(o.P[j])
		}
	}
	return out
}

// points calls f with each point that an op uses.
func (p Path) points(f func(Pt)) {
	for _, o := range p {
		for j := 0; j < o.args(); j++ {
			f(o.P[j])
		}
	}
}

func (o Op) args() int {
	switch o.K {
	case 'M', 'L':
		return 1
	case 'C':
		return 3
	}
	return 0
}

// Box is an upright rectangle.
type Box struct{ X0, Y0, X1, Y1 float64 }

// empty grows to whatever is added to it.
var empty = Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}

func (b Box) add(p Pt) Box {
	return Box{min(b.X0, p.X), min(b.Y0, p.Y), max(b.X1, p.X), max(b.Y1, p.Y)}
}

// Overlaps reports whether two boxes share more than an edge.
func (b Box) Overlaps(c Box) bool {
	const eps = 1e-6
	return b.X0 < c.X1-eps && c.X0 < b.X1-eps && b.Y0 < c.Y1-eps && c.Y0 < b.Y1-eps
}

// Bounds is the box around the points of a path; of a curve, around its handles.
func (p Path) Bounds() Box {
	b := empty
	p.points(func(q Pt) { b = b.add(q) })
	return b
}

// Tone is what a line or a surface means. A page gives the colours, in its
// light and its dark dress; PDF and PNG use those of ink on paper.
type Tone uint8

// The tones. None draws nothing.
const (
	None   Tone = iota
	Ink         // what is there
	Faint       // axes, leaders, notes
	Accent      // next
	Tint        // surface behind what is next
	Paper       // what stands out from a photo beneath
)

// Weights of lines in mm: the usual pair of a drawing of this size, one for
// what is next and one for hatching.
const (
	Strong = 0.9
	Thick  = 0.5
	Thin   = 0.25
	Fine   = 0.18
)

// Dash is the pattern of a line.
type Dash uint8

// The patterns.
const (
	Solid Dash = iota
	Dashed
	Dotted
	Chained
)

// lengths are the dashes and gaps of a pattern in mm.
func (d Dash) lengths() []float64 {
	switch d {
	case Dashed:
		return []float64{2.4, 1.4}
	case Dotted:
		return []float64{0.5, 1}
	case Chained:
		return []float64{6, 1, 0.8, 1}
	}
	return nil
}

// Pen is how a line is drawn. The zero Pen draws none.
type Pen struct {
	Tone Tone
	W    float64
	Dash Dash
}

// Anchor is the point of a text that stands at its place.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Item is one path or one line of text. A Tap item is not seen: it is where a
// finger may land.
type Item struct {
	Path   Path
	Fill   Tone
	Pen    Pen
	Text   string
	At     Pt      // base line of the text
	Size   float64 // of the text, mm
	Anchor Anchor
	Bold   bool
	Tap    bool
}

// Group is what belongs to one thing that a person may tap, or to none when
// Key is empty.
type Group struct {
	Key   string // position id
	Class string
	Link  string
	Title string // what a screen reader says
	Items []Item
}

// Drawing is a finished scene; W and H are its natural size in mm.
type Drawing struct {
	W, H   float64
	Title  string
	Groups []Group
}

// draw adds a path.
func (g *Group) draw(p Path, fill Tone, pen Pen) {
	if len(p) > 0 {
		g.Items = append(g.Items, Item{Path: p, Fill: fill, Pen: pen})
	}
}

// line adds a path drawn in ink.
func (g *Group) line(p Path, w float64) { g.draw(p, None, Pen{Tone: Ink, W: w}) }

// text adds a line of text.
func (g *Group) text(x, y, size float64, a Anchor, tone Tone, bold bool, s string) {
	if s != "" {
		g.Items = append(g.Items, Item{Text: s, At: Pt{x, y}, Size: size, Anchor: a, Fill: tone, Bold: bold})
	}
}

// tap adds a place for a finger.
func (g *Group) tap(b Box) {
	if b.X1 > b.X0 && b.Y1 > b.Y0 {
		g.Items = append(g.Items, Item{Path: Rect(b.X0, b.Y0, b.X1, b.Y1), Tap: true})
	}
}

// Bounds is the box around an item, text measured in the drawing's own face.
func (it *Item) Bounds() Box {
	if it.Text == "" {
		return it.Path.Bounds()
	}
	w := textWidth(it.Text, it.Size, it.Bold)
	x := it.At.X - w*float64(it.Anchor)/2
	return Box{x, it.At.Y - 0.22*it.Size, x + w, it.At.Y + 0.76*it.Size}
}
