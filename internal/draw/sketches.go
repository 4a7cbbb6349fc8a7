package draw

import (
	"maps"
	"math"
	"slices"
	"strings"
)

// sketches draw what the sums of the catalogue ask for, by key. A picture says
// where a length is measured and which way a sign counts; sizes are not to scale.
var sketches = map[string]func(*board){
	"lever": leverSketch, "extension": extensionSketch, "cord": cordSketch, "bolt-pull": boltSketch,
	"end-float": endFloatSketch, "two-ends": twoEndsSketch, "taper-shim": taperShimSketch, "taper-spacer": taperSpacerSketch, "cover-gap": coverGapSketch,
	"pinion-depth": depthSketch, "backlash": backlashSketch, "side-shims": sideSketch, "pinion-hot": depthHotSketch,
	"push-ring": pushRingSketch, "press": pressSketch, "heat": heatSketch, "fit": fitSketch, "bearing-clearance": clearanceSketch,
	"run-out": runOutSketch, "index": indexSketch, "nose": noseSketch, "circlip": circlipSketch, "ring-gap": ringGapSketch, "gear-float": gearFloatSketch,
	"stack": stackSketch, "chain": chainSketch, "pack": packSketch, "centres": centresSketch, "splash": splashSketch,
	"oil-level": oilLevelSketch, "bend": bendSketch, "nut": nutSketch,
}

// sketchWidth is the width of a sketch in mm; on a phone of 390 px a millimetre
// is then three and a half pixels.
const sketchWidth = 96.0

// Sketch is the drawing of that key, with the symbols of a sum's inputs written
// where they are measured, or nil if there is none. Its title ends in those
// symbols.
func Sketch(key string) *Drawing {
	f, ok := sketches[key]
	if !ok {
		return nil
	}
	b := &board{Group: Group{Class: "picture"}}
	f(b)
	return &Drawing{W: sketchWidth, H: b.trim(), Title: b.title + ": " + strings.Join(b.symbols, ", "), Groups: []Group{b.Group}}
}

// Sketches are the keys that have a drawing, in order.
func Sketches() []string { return slices.Sorted(maps.Keys(sketches)) }

// board is a sketch being drawn.
type board struct {
	Group
	title   string
	symbols []string
}

const (
	symbolSize = 5.4
	saySize    = 4.0
)

// trim sets the lowest thing drawn near the bottom edge and returns the height.
func (b *board) trim() float64 {
	const rim = 2
	all := empty
	for i := range b.Items {
		r := b.Items[i].Bounds()
		all = all.add(Pt{r.X0, r.Y0}).add(Pt{r.X1, r.Y1})
	}
	down := func(p Pt) Pt { return Pt{p.X, p.Y - all.Y0 + rim} }
	for i := range b.Items {
		b.Items[i].Path, b.Items[i].At = b.Items[i].Path.mapped(down), down(b.Items[i].At)
	}
	return all.Y1 - all.Y0 + 2*rim
}

// symbol writes a symbol, what follows its _ as an index, as a form does.
func (b *board) symbol(x, y float64, a Anchor, s string) {
	if !slices.Contains(b.symbols, s) {
		b.symbols = append(b.symbols, s)
	}
	main, sub, _ := strings.Cut(s, "_")
	w := textWidth(main, symbolSize, true)
	if sub == "" {
		b.text(x, y, symbolSize, a, Accent, true, main)
		return
	}
	all := w + textWidth(sub, symbolSize*0.68, true)
	x -= all * float64(a) / 2
	// Both stand at the joint between them: a page may have a narrower face.
	b.text(x+w, y, symbolSize, End, Accent, true, main)
	b.text(x+w+0.3, y-1.3, symbolSize*0.68, Start, Accent, true, sub)
}

// say writes a word of the trade.
func (b *board) say(x, y float64, a Anchor, s string) { b.text(x, y, saySize, a, Faint, false, s) }

// cut draws a part in section, hatched at an angle.
func (b *board) cut(p Path, angle float64) {
	b.draw(hatch(p, hatching{angle, 2}), None, Pen{Faint, Fine, Solid})
	b.draw(p, None, Pen{Ink, Thick, Solid})
}

// body draws a part that is not sectioned.
func (b *board) body(p Path) { b.draw(p, None, Pen{Ink, Thick, Solid}) }

// sought draws the part that the sum finds: the shim, the spacer, the tube.
func (b *board) sought(p Path) { b.draw(p, Tint, Pen{Accent, Thick, Solid}) }

func (b *board) axis(x0, y0, x1, y1 float64) {
	b.draw(Line(x0, y0, x1, y1), None, Pen{Faint, Fine, Chained})
}

// ext is an extension line, from the part to its dimension.
func (b *board) ext(xy ...float64) { b.draw(Line(xy...), None, Pen{Faint, Fine, Solid}) }

// across dimensions a length along x at height y, its symbol above the middle.
func (b *board) across(x0, x1, y float64, s string) {
	b.between(x0, y, x1, y)
	b.symbol((x0+x1)/2, y+1.5, Middle, s)
}

// up dimensions a length along y at x, its symbol to the right of the middle, or
// to the left.
func (b *board) up(y0, y1, x float64, side Anchor, s string) {
	b.between(x, y0, x, y1)
	if side == End {
		b.symbol(x-1.5, (y0+y1)/2-2, End, s)
		return
	}
	b.symbol(x+1.5, (y0+y1)/2-2, Start, s)
}

// between is a dimension line; the arrows of a short one stand outside of it.
func (b *board) between(x0, y0, x1, y1 float64) {
	pen := Pen{Ink, Thin, Solid}
	l := math.Hypot(x1-x0, y1-y0)
	if l >= 8 {
		arrowLine(&b.Group, Pt{x0, y0}, Pt{x1, y1}, pen)
		return
	}
	u, v := (x1-x0)/l*5.5, (y1-y0)/l*5.5
	b.draw(Line(x0-u, y0-v, x1+u, y1+v), None, pen)
	arrowHead(&b.Group, Pt{x0 - u, y0 - v}, Pt{x0, y0}, Ink)
	arrowHead(&b.Group, Pt{x1 + u, y1 + v}, Pt{x1, y1}, Ink)
}

// force is a strong arrow from a to b.
func (b *board) force(x0, y0, x1, y1 float64) {
	l := math.Hypot(x1-x0, y1-y0)
	u, v := (x1-x0)/l, (y1-y0)/l
	b.draw(Line(x0, y0, x1-2*u, y1-2*v), None, Pen{Ink, Strong, Solid})
	b.draw(Poly(x1, y1, x1-4.6*u-1.7*v, y1-4.6*v+1.7*u, x1-4.6*u+1.7*v, y1-4.6*v-1.7*u), Ink, Pen{})
}

// turn is an arc with a head at its end, angles in degrees.
func (b *board) turn(x, y, r, from, to float64, pen Pen) {
	a, z := from*math.Pi/180, to*math.Pi/180
	// The line ends short of the point of its head.
	back := math.Copysign(min(2.6/r, math.Abs(z-a)/2), z-a)
	p := Line(x+r*math.Cos(a), y+r*math.Sin(a))
	p.arc(x, y, r, a, z-back)
	b.draw(p, None, pen)
	arrowHead(&b.Group, Pt{x + r*math.Cos(z-back*1.2), y + r*math.Sin(z-back*1.2)}, Pt{x + r*math.Cos(z), y + r*math.Sin(z)}, pen.Tone)
}

// angle is the mark of an angle between two directions in degrees.
func (b *board) angle(x, y, r, from, to float64) {
	a, z := from*math.Pi/180, to*math.Pi/180
	p := Line(x+r*math.Cos(a), y+r*math.Sin(a))
	p.arc(x, y, r, a, z)
	b.draw(p, None, Pen{Ink, Thin, Solid})
}

// hexagon is a nut seen from its end.
func hexagon(x, y, r float64) Path {
	var xy []float64
	for i := range 6 {
		s, c := math.Sincos(float64(i) * math.Pi / 3)
		xy = append(xy, x+r*c, y+r*s)
	}
	return Poly(xy...)
}

// sloped is a frame laid on a sloping part: points by their distance along it and
// square to it.
type sloped struct{ x, y, sin, cos float64 }

func slope(x, y, degrees float64) sloped {
	s, c := math.Sincos(degrees * math.Pi / 180)
	return sloped{x, y, s, c}
}

func (f sloped) at(t, n float64) (x, y float64) {
	return f.x + t*f.cos - n*f.sin, f.y + t*f.sin + n*f.cos
}

func (f sloped) path(closed bool, tn ...float64) Path {
	xy := make([]float64, len(tn))
	for i := 0; i+1 < len(tn); i += 2 {
		xy[i], xy[i+1] = f.at(tn[i], tn[i+1])
	}
	if closed {
		return Poly(xy...)
	}
	return Line(xy...)
}

// dim dimensions a length along the frame, square to it by n.
func (b *board) dim(f sloped, t0, t1, n float64, s string) {
	x0, y0 := f.at(t0, n)
	x1, y1 := f.at(t1, n)
	b.between(x0, y0, x1, y1)
	x, y := f.at((t0+t1)/2, n+math.Copysign(3.2, n))
	b.symbol(x, y-2, Middle, s)
}

// scale is a hanging scale in the line of a pull, its hook at x, y.
func (b *board) scale(x, y, degrees float64) {
	f := slope(x, y, degrees)
	b.draw(f.path(false, 0, 0, 4, 0), None, Pen{Ink, Thick, Solid})
	b.body(f.path(true, 4, -2.6, 14, -2.6, 14, 2.6, 4, 2.6))
	b.draw(f.path(false, 6, -1.2, 6, 1.2, 8, 1.2, 8, -1.2, 10, -1.2, 10, 1.2, 12, 1.2, 12, -1.2), None, Pen{Faint, Fine, Solid})
}
