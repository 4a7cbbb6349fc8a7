package draw

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// Curve is a line of a diagram: its name and its points from left to right, in the
// units of the axes.
type Curve struct {
	Name string
	X, Y []float64
}

// Axes name what stands along a diagram and up it, with the unit: "speed, km/h".
type Axes struct{ X, Y string }

// Effort is a diagram of tractive effort over speed.
type Effort struct {
	Axes  Axes
	Gears []Curve // effort in each gear, first gear first
	Loads []Curve // what the road resists with: on the level, up a grade
	Top   *Spot   // where the vehicle holds its speed; nil leaves it out
}

// Spot is a point of a diagram with its words.
type Spot struct {
	X, Y float64
	Text string
}

// EffortDiagram draws effort and resistance over speed. A gear drives where its
// line lies over that of the road; where they cross it holds its speed.
func EffortDiagram(e Effort) *Drawing {
	f := newFrame(96, 84, e.Axes)
	for _, c := range e.Gears {
		f.reach(c.X, c.Y)
	}
	most := f.my
	for _, c := range e.Loads {
		f.reach(c.X, nil)
	}
	if most == 0 {
		for _, c := range e.Loads {
			f.reach(nil, c.Y)
		}
	}
	f.grid()
	for i, c := range e.Loads {
		pen := Pen{Ink, Thin, Dashed}
		if i > 0 {
			pen.Tone = Faint
		}
		f.curve(c, pen)
	}
	for _, c := range e.Gears {
		f.curve(c, Pen{Ink, 0.7, Solid})
	}
	for _, c := range e.Gears {
		f.place(f.along(c, peak(c)), round[:], 4.6, Ink, true, clip(c.Name, 4.6, true, 40))
	}
	if e.Top != nil {
		f.spot(*e.Top)
	}
	for i, c := range e.Loads {
		tone := Ink
		if i > 0 {
			tone = Faint
		}
		f.place(f.along(c, 0.95), upon[:], 3.9, tone, false, clip(c.Name, 3.9, false, 40))
	}
	return f.done(fmt.Sprintf("Tractive effort in %d gears and what the road resists with", len(e.Gears)))
}

// peak is where along a curve its greatest value stands, 0 to 1.
func peak(c Curve) float64 {
	best := 0
	for i := range min(len(c.X), len(c.Y)) {
		if c.Y[i] > c.Y[best] {
			best = i
		}
	}
	if n := len(c.X); n > 1 && c.X[n-1] > c.X[0] {
		return min(max((c.X[best]-c.X[0])/(c.X[n-1]-c.X[0]), 0), 1)
	}
	return 0
}

// Tooth is a gear in a diagram of engine speed over road speed: where it is taken
// and where it is left. Taken and Left are the engine speeds there.
type Tooth struct {
	Name        string
	From, To    float64
	Taken, Left float64
}

// Sawtooth draws engine speed over road speed through all gears: up along each gear
// and down at each shift. limit is an engine speed to be marked, with its words; 0
// leaves it out.
func Sawtooth(teeth []Tooth, limit float64, words string, axes Axes) *Drawing {
	f := newFrame(96, 78, axes)
	f.reach(nil, []float64{limit * 1.08})
	for _, t := range teeth {
		f.reach([]float64{t.From, t.To}, []float64{t.Taken, t.Left * 1.08})
	}
	f.grid()
	if limit > 0 {
		f.curve(Curve{X: []float64{0, f.mx}, Y: []float64{limit, limit}}, Pen{Accent, Thin, Dashed})
		f.place([]Pt{{f.box.X0, f.y(limit)}}, []Pt{{1, 1}}, 3.9, Accent, false, clip(words, 3.9, false, f.box.X1-f.box.X0-4))
	}
	for i, t := range teeth {
		if i > 0 {
			f.curve(Curve{X: []float64{t.From, t.From}, Y: []float64{teeth[i-1].Left, t.Taken}}, Pen{Ink, Thin, Dashed})
		}
		f.curve(Curve{X: []float64{t.From, t.To}, Y: []float64{t.Taken, t.Left}}, Pen{Ink, 0.7, Solid})
	}
	for i, t := range teeth {
		if i > 0 {
			x, y := f.x(sane(t.From)), f.y(sane(t.Taken))
			f.g.draw(Circle(x, y, 0.9), Ink, Pen{})
			f.place([]Pt{{x, y}}, after[:], 3.9, Faint, false, number(t.Taken))
		}
	}
	for _, t := range teeth {
		// Half way up, to the left of the gear first.
		at := f.along(Curve{X: []float64{t.From, t.To}, Y: []float64{t.Taken, t.Left}}, 0.5)
		f.place(at, before[:], 4.6, Ink, true, clip(t.Name, 4.6, true, 40))
	}
	return f.done(fmt.Sprintf("Engine speed over road speed in %d gears", len(teeth)))
}

// frame is a diagram being drawn: both axes begin at 0.
type frame struct {
	g      Group
	d      Drawing
	axes   Axes
	box    Box     // the field, in mm
	mx, my float64 // greatest values
	lines  [][2]Pt // what words should keep clear of
	words  []Box
}

const tickSize = 3.9

func newFrame(w, h float64, axes Axes) *frame {
	return &frame{d: Drawing{W: w, H: h}, axes: axes, g: Group{Class: "picture"}, box: Box{X0: edge, Y0: 12.5, X1: w - edge - 2, Y1: h - 8.5}}
}

// reach makes the axes long enough for some values.
func (f *frame) reach(xs, ys []float64) {
	for _, x := range xs {
		f.mx = max(f.mx, sane(x))
	}
	for _, y := range ys {
		f.my = max(f.my, sane(y))
	}
}

// sane keeps what is no number, or too great to be drawn, off the sheet.
func sane(v float64) float64 {
	if !(v >= -1e12 && v <= 1e12) {
		return 0
	}
	return v
}

func (f *frame) x(v float64) float64 { return f.box.X0 + v/f.mx*(f.box.X1-f.box.X0) }
func (f *frame) y(v float64) float64 { return f.box.Y0 + v/f.my*(f.box.Y1-f.box.Y0) }

// grid draws the axes, their numbers and thin lines across, once all values are known. The
// room at the left is that of the longest number.
func (f *frame) grid() {
	if f.mx <= 0 {
		f.mx = 1
	}
	if f.my <= 0 {
		f.my = 1
	}
	xs, ys := ticks(f.mx, 6), ticks(f.my, 6)
	f.my = max(f.my*1.04, ys[len(ys)-1])
	wide := 0.0
	for _, v := range ys {
		wide = max(wide, textWidth(number(v), tickSize, false))
	}
	f.box.X0 = edge + wide + 1.6
	net := Pen{Faint, Fine, Dotted}
	for _, v := range ys {
		y := f.y(v)
		if v > 0 {
			f.g.draw(Line(f.box.X0, y, f.box.X1, y), None, net)
		}
		f.g.text(f.box.X0-1.6, y-tickSize*0.36, tickSize, End, Faint, false, number(v))
	}
	for _, v := range xs {
		x := f.x(v)
		f.g.draw(Line(x, f.box.Y0, x, f.box.Y0-1), None, Pen{Ink, Thin, Solid})
		half := textWidth(number(v), tickSize, false) / 2
		f.g.text(min(max(x, edge+half), f.d.W-1-half), f.box.Y0-5, tickSize, Middle, Faint, false, number(v))
	}
	f.g.draw(Line(f.box.X0, f.box.Y1+1, f.box.X0, f.box.Y0, f.box.X1+1, f.box.Y0), None, Pen{Ink, Thin, Solid})
	f.lines = append(f.lines, [2]Pt{{f.box.X0, f.box.Y0}, {f.box.X1, f.box.Y0}})
	f.g.text(edge, f.d.H-5.2, 4.2, Start, Ink, false, clip(f.axes.Y, 4.2, false, f.d.W-2*edge))
	f.g.text(f.box.X1, 2.2, 4.2, End, Ink, false, clip(f.axes.X, 4.2, false, f.box.X1-edge))
}

// ticks are round values from 0 to most, at most n steps of 1, 2 or 5.
func ticks(most float64, n int) []float64 {
	step := math.Pow(10, math.Floor(math.Log10(most/float64(n))))
	for _, k := range []float64{1, 2, 5, 10} {
		if most/(step*k) <= float64(n) {
			step *= k
			break
		}
	}
	var out []float64
	for i := 0; i <= n && float64(i)*step <= most*(1+1e-9); i++ {
		out = append(out, float64(i)*step)
	}
	return out
}

// number is a value as an axis has it: no digits that say nothing.
func number(v float64) string {
	if math.Abs(v) >= 100 {
		return strconv.FormatFloat(math.Round(v), 'f', -1, 64)
	}
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}

// curve draws the part of a line that lies in the field.
func (f *frame) curve(c Curve, pen Pen) {
	var p Path
	var last Pt
	f.each(c, func(a, b Pt) {
		if len(p) == 0 || math.Hypot(a.X-last.X, a.Y-last.Y) > 1e-9 {
			p.M(a.X, a.Y)
		}
		p.L(b.X, b.Y)
		last = b
		f.lines = append(f.lines, [2]Pt{a, b})
	})
	f.g.draw(p, None, pen)
}

// each calls do with the pieces of a curve, in mm, cut at the edges of the field.
func (f *frame) each(c Curve, do func(a, b Pt)) {
	n := min(len(c.X), len(c.Y))
	for i := 1; i < n; i++ {
		a, b := Pt{f.x(sane(c.X[i-1])), f.y(sane(c.Y[i-1]))}, Pt{f.x(sane(c.X[i])), f.y(sane(c.Y[i]))}
		if a, b, ok := cutTo(f.box, a, b); ok {
			do(a, b)
		}
	}
}

// cutTo cuts a line at a box, by Liang and Barsky's way.
func cutTo(box Box, a, b Pt) (Pt, Pt, bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := b.X-a.X, b.Y-a.Y
	for _, e := range [4][2]float64{{-dx, a.X - box.X0}, {dx, box.X1 - a.X}, {-dy, a.Y - box.Y0}, {dy, box.Y1 - a.Y}} {
		p, q := e[0], e[1]+1e-9
		switch {
		case p == 0 && q < 0:
			return a, b, false
		case p < 0:
			t0 = max(t0, q/p)
		case p > 0:
			t1 = min(t1, q/p)
		}
	}
	if t0 > t1 {
		return a, b, false
	}
	return Pt{a.X + t0*dx, a.Y + t0*dy}, Pt{a.X + t1*dx, a.Y + t1*dy}, true
}

// along are points of a curve, those next to a share of its length in speed first.
func (f *frame) along(c Curve, share float64) []Pt {
	var at []Pt
	f.each(c, func(a, b Pt) {
		n := max(int(math.Hypot(b.X-a.X, b.Y-a.Y)/1.5), 1)
		for k := range n + 1 {
			t := float64(k) / float64(n)
			at = append(at, Pt{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y)})
		}
	})
	if len(at) == 0 {
		return nil
	}
	want := at[0].X + share*(at[len(at)-1].X-at[0].X)
	slices.SortStableFunc(at, func(p, q Pt) int { return cmp.Compare(math.Abs(p.X-want), math.Abs(q.X-want)) })
	return at
}

// Where a word may stand beside its point, the best first.
var (
	upon   = [...]Pt{{-1, 1}, {0, 1}, {1, 1}}
	round  = [...]Pt{{0, 1}, {0, -1}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1}, {1, 0}, {-1, 0}}
	before = [...]Pt{{-1, 1}, {-1, 0}, {0, 1}, {1, -1}, {1, 0}, {0, -1}}
	after  = [...]Pt{{1, -1}, {1, 0}, {0, -1}, {-1, -1}, {-1, 0}}
)

// spare is how far words keep from lines and from each other, in mm.
const spare = 0.7

// place writes a text beside the first of some points where there is room for it,
// or where it is crossed least.
func (f *frame) place(at, offs []Pt, size float64, tone Tone, bold bool, text string) {
	if text == "" {
		return
	}
	w, h := textWidth(text, size, bold), 0.98*size
	best, bestClear := Box{}, math.Inf(-1)
	for _, p := range at {
		for _, off := range offs {
			x, y := p.X+off.X*(w/2+1.2), p.Y+off.Y*(h/2+1.2)
			b := Box{x - w/2, y - h/2, x + w/2, y + h/2}
			if b.X0 < f.box.X0+0.8 || b.X1 > f.d.W-1 || b.Y0 < f.box.Y0+0.6 || b.Y1 > f.box.Y1+2 {
				continue
			}
			if clear := f.clear(b); clear > bestClear+1e-6 {
				best, bestClear = b, clear
			}
			if bestClear >= spare {
				break
			}
		}
		if bestClear >= spare {
			break
		}
	}
	if bestClear < -size {
		return // it would only be crossed out: the line speaks for itself
	}
	f.words = append(f.words, best)
	f.g.text(best.X0, best.Y0+0.22*size, size, Start, tone, bold, text)
}

// clear is how far a box keeps from all lines and words; below 0 it is crossed.
func (f *frame) clear(b Box) float64 {
	least := math.Inf(1)
	for _, l := range f.lines {
		least = min(least, apartFrom(b, l[0], l[1]))
	}
	for _, o := range f.words {
		dx := max(o.X0-b.X1, b.X0-o.X1)
		dy := max(o.Y0-b.Y1, b.Y0-o.Y1)
		least = min(least, max(dx/3, dy)) // side by side two names read as one
	}
	return least
}

// apartFrom is how far a line keeps from a box, and below 0 how much of it lies
// inside.
func apartFrom(b Box, p, q Pt) float64 {
	if i, j, ok := cutTo(b, p, q); ok {
		return -math.Hypot(j.X-i.X, j.Y-i.Y) - 0.1
	}
	least := math.Inf(1)
	for _, c := range [4]Pt{{b.X0, b.Y0}, {b.X1, b.Y0}, {b.X0, b.Y1}, {b.X1, b.Y1}} {
		least = min(least, toLine(c, p, q))
	}
	for _, e := range [2]Pt{p, q} {
		dx := max(b.X0-e.X, e.X-b.X1, 0)
		dy := max(b.Y0-e.Y, e.Y-b.Y1, 0)
		least = min(least, math.Hypot(dx, dy))
	}
	return least
}

// toLine is the distance of a point from a piece of a line.
func toLine(c, p, q Pt) float64 {
	dx, dy := q.X-p.X, q.Y-p.Y
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = min(max(((c.X-p.X)*dx+(c.Y-p.Y)*dy)/l, 0), 1)
	}
	return math.Hypot(p.X+t*dx-c.X, p.Y+t*dy-c.Y)
}

// spot marks a point, drops a line from it to the axis and writes its words.
func (f *frame) spot(s Spot) {
	x, y := f.x(sane(s.X)), f.y(sane(s.Y))
	if !(x >= f.box.X0 && x <= f.box.X1 && y >= f.box.Y0 && y <= f.box.Y1) {
		return
	}
	f.g.draw(Line(x, y, x, f.box.Y0), None, Pen{Accent, Thin, Dashed})
	f.lines = append(f.lines, [2]Pt{{x, y}, {x, f.box.Y0}})
	f.g.draw(Circle(x, y, 1.4), Accent, Pen{})
	var at []Pt
	for k := range 20 { // up and down the line, near to the point first
		at = append(at, Pt{x, y + float64(k)}, Pt{x, y - float64(k)})
	}
	f.place(at, []Pt{{1, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {1, -1}}, 4.2, Accent, true, clip(s.Text, 4.2, true, f.box.X1-f.box.X0-2))
}

func (f *frame) done(title string) *Drawing {
	f.d.Title = title
	f.d.Groups = []Group{f.g}
	return &f.d
}
