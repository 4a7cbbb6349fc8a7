package draw

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// Share is what one quantity puts into the doubt of a result: its name, its own
// part of the result's standard uncertainty, and that part in words.
type Share struct {
	Name string
	U    float64
	Text string
}

// Budget draws the uncertainty of a result as the squares that it is the sum
// of: the greatest on top, each bar as long as its share of the variance. So
// one sees at once which reading to take again. total is the result's doubt in
// words.
func Budget(shares []Share, total string) *Drawing {
	const w, row, size = 110.0, 11.0, 4.0
	ss := slices.DeleteFunc(slices.Clone(shares), func(s Share) bool { return !(s.U > 0) })
	slices.SortStableFunc(ss, func(a, b Share) int { return cmp.Compare(b.U, a.U) })
	sum := 0.0
	for _, s := range ss {
		sum += s.U * s.U
	}
	d := &Drawing{W: w, H: row*float64(len(ss)) + 11, Title: "Where the doubt of " + total + " comes from"}
	g := Group{Class: "picture"}
	y := d.H - edge
	x0, x1 := edge, w-16.0
	for i, s := range ss {
		part := s.U * s.U / sum
		g.text(x0, y-size, size, Start, Ink, i == 0, clip(s.Name, size, i == 0, x1-x0-textWidth(s.Text, size, false)-3))
		g.text(x1, y-size, size, End, Ink, false, s.Text)
		bar := Rect(x0, y-8.6, x0+max((x1-x0)*part, 0.3), y-5.4)
		g.draw(Rect(x0, y-8.6, x1, y-5.4), None, Pen{Faint, Fine, Solid})
		if i == 0 {
			g.draw(bar, Accent, Pen{Ink, Fine, Solid})
		} else {
			g.draw(hatch(bar, hatching{45, 1.1}), None, Pen{Ink, Fine, Solid})
			g.draw(bar, None, Pen{Ink, Thin, Solid})
		}
		g.text(w-edge, y-8.5, size, End, Ink, i == 0, percent(part))
		y -= row
	}
	g.text(x0, edge+0.6, size, Start, Ink, true, clip("together "+total, size, true, w-2*edge))
	d.Groups = []Group{g}
	return d
}

func percent(part float64) string {
	if part < 0.01 {
		return "< 1 %"
	}
	return strconv.Itoa(int(math.Round(part*100))) + " %"
}

// Round are readings taken at places around one turn, evenly spaced, the first
// at the top and on clockwise, with their words.
type Round struct {
	Name   string
	Values []float64
	Text   func(v float64) string
}

// RunOut draws readings around a turn about their mean, many times enlarged,
// with the one wave that fits them best: a wave alone is run-out, a place that
// stands out from it is a tooth or a spot.
func RunOut(r Round) *Drawing {
	const w, h, size = 96.0, 92.0, 3.9
	d := &Drawing{W: w, H: h, Title: fmt.Sprintf("%s at %d places around a turn", r.Name, len(r.Values))}
	g := Group{Class: "picture"}
	n := len(r.Values)
	if n < 3 {
		g.text(w/2, h/2, size, Middle, Ink, false, "too few places")
		d.Groups = []Group{g}
		return d
	}
	c := Pt{w / 2, h/2 + 4}
	const mid, swing = 17.5, 6.5
	mean, cos, sin := wave(r.Values)
	off := math.Hypot(cos, sin)
	most := off
	for _, v := range r.Values {
		most = max(most, math.Abs(v-mean))
	}
	if most == 0 {
		most = 1
	}
	at := func(turn, v float64) Pt {
		rad := mid + (v-mean)/most*swing
		s, co := math.Sincos(2 * math.Pi * turn)
		return Pt{c.X + rad*s, c.Y + rad*co}
	}
	g.draw(Circle(c.X, c.Y, mid), None, Pen{Faint, Thin, Chained})
	g.draw(Line(c.X-3, c.Y, c.X+3, c.Y), None, Pen{Faint, Thin, Solid})
	g.draw(Line(c.X, c.Y-3, c.X, c.Y+3), None, Pen{Faint, Thin, Solid})
	var fit, read Path
	const steps = 72
	for i := range steps {
		t := float64(i) / steps
		a := 2 * math.Pi * t
		p := at(t, mean+cos*math.Cos(a)+sin*math.Sin(a))
		if i == 0 {
			fit.M(p.X, p.Y)
		} else {
			fit.L(p.X, p.Y)
		}
	}
	hi := 0
	for i, v := range r.Values {
		p := at(float64(i)/float64(n), v)
		if i == 0 {
			read.M(p.X, p.Y)
		} else {
			read.L(p.X, p.Y)
		}
		if v > r.Values[hi] {
			hi = i
		}
	}
	g.draw(*fit.Z(), None, Pen{Accent, Thin, Dashed})
	g.draw(*read.Z(), None, Pen{Ink, Thick, Solid})
	for i, v := range r.Values {
		t := float64(i) / float64(n)
		p := at(t, v)
		g.draw(Line(c.X+(p.X-c.X)*0.2, c.Y+(p.Y-c.Y)*0.2, p.X, p.Y), None, Pen{Faint, Fine, Dotted})
		g.draw(Circle(p.X, p.Y, 1), Ink, Pen{})
		s, co := math.Sincos(2 * math.Pi * t)
		q := Pt{c.X + (mid+swing+6.5)*s, c.Y + (mid+swing+4.2)*co}
		anchor := Middle
		switch {
		case s > 0.3:
			anchor, q.X = Start, c.X+(mid+swing+2.5)*s
		case s < -0.3:
			anchor, q.X = End, c.X+(mid+swing+2.5)*s
		}
		g.text(q.X, q.Y-size*0.36, size, anchor, Ink, i == hi, r.Text(v))
	}
	lo := slices.Min(r.Values)
	g.text(w/2, 7.4, size, Middle, Ink, true, "high less low "+r.Text(r.Values[hi]-lo))
	g.text(w/2, 2.2, size, Middle, Accent, false, "dashed: run-out alone, "+r.Text(2*off))
	d.Groups = []Group{g}
	return d
}

// wave is the mean of readings around a turn and the once-a-turn wave that fits
// them best, by least squares.
func wave(vs []float64) (mean, cos, sin float64) {
	n := float64(len(vs))
	for i, v := range vs {
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		mean += v / n
		cos += 2 * v * c / n
		sin += 2 * v * s / n
	}
	return mean, cos, sin
}
