package draw

import (
	"math"
	"slices"
	"strconv"

	"endfloat/internal/strength"
)

// barRow is a line of the weakest-link chart.
const barRow = 9.4

// barText is the lettering of the chart, mm: a phone shows it at three quarters.
const barText = 4.5

// most links that the chart shows.
const mostBars = 14

// WeakestChart draws the reserve of each link as a bar from the left, the weakest on
// top, the unit after as a full bar and before as an open one. The line at 1 is just
// enough; a whisker is what the doubts leave open. A link
// that falls short is set in bold, so that it is told without colour.
func WeakestChart(c *strength.Comparison) *Drawing {
	var rows []strength.Pair
	for _, p := range c.Pairs {
		if p.After.Torqued && p.After.Reserve == p.After.Reserve && len(rows) < mostBars {
			rows = append(rows, p)
		}
	}
	const w, top = 120.0, 2.5
	d := &Drawing{W: w, H: barRow*float64(len(rows)) + 17, Title: "Reserve of each link, the weakest on top"}
	g := Group{Class: "picture"}
	x0, x1, most := edge, w-9, top
	at := func(r float64) float64 { return x0 + min(max(sane(r), 0), most)/most*(x1-x0) }
	y := d.H - 6
	g.text(at(1), y+1.6, 4, Middle, Ink, true, "1 just enough")
	for _, p := range rows {
		y -= barRow
		weak := p.After.Reserve < 1
		g.text(x0, y+4.4, barText, Start, Ink, weak, clip(linkName(p.After), barText, weak, x1-x0-2))
		fill := Tone(Faint)
		if weak {
			fill = Accent
		}
		x := at(p.After.Reserve)
		g.draw(Rect(x0, y+0.6, x, y+3.2), fill, Pen{Ink, Fine, Solid})
		if p.Before != nil && p.Before.Reserve == p.Before.Reserve {
			xb := at(p.Before.Reserve)
			g.draw(Line(x, y+0.6, xb, y+0.6), None, Pen{Ink, Fine, Dotted})
			g.draw(Poly(xb, y+0.1, xb+1, y+1.9, xb, y+3.7, xb-1, y+1.9), None, Pen{Ink, Thin, Solid})
		}
		if c.Draws > 0 {
			lo, hi := at(p.Low), at(p.High)
			g.draw(Line(lo, y+1.9, hi, y+1.9), None, Pen{Ink, Thick, Solid})
			g.draw(Line(lo, y+1, lo, y+2.8), None, Pen{Ink, Thick, Solid})
			g.draw(Line(hi, y+1, hi, y+2.8), None, Pen{Ink, Thick, Solid})
		}
		g.draw(Line(at(1), y, at(1), y+3.7), None, Pen{Ink, Thick, Solid})
		g.text(w-1, y+0.8, barText, End, Ink, weak, two(p.After.Reserve))
	}
	legend := "bar: now · diamond: as it was"
	if c.Draws > 0 {
		legend += " · whisker: 9 of 10 draws"
	}
	g.text(x0, 2, 4.2, Start, Ink, false, clip(legend, 4.2, false, w-2*edge))
	d.Groups = []Group{g}
	return d
}

func two(v float64) string {
	if v >= 9 {
		return "over 9"
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}

func linkName(l *strength.Link) string {
	switch l.Kind {
	case strength.Section:
		return l.Part + " shaft " + l.Name + " (speed " + l.Gear + ")"
	case strength.BevelFlank, strength.BevelRoot:
		return l.Name + ", " + string(l.Kind)[len("bevel "):]
	}
	return l.Name + ", " + string(l.Kind)
}

// RoadDiagram draws the tractive effort of a rated unit over what resists it.
func RoadDiagram(r *strength.Road) *Drawing {
	e := Effort{Axes: Axes{"speed, km/h", "force, N"}}
	for _, g := range r.Gears {
		c := Curve{Name: g.Name}
		for _, p := range g.Effort {
			c.X, c.Y = append(c.X, p.Speed*3.6), append(c.Y, p.Force)
		}
		e.Gears = append(e.Gears, c)
	}
	level, hill := Curve{Name: "level"}, Curve{Name: strconv.FormatFloat(r.Grade*100, 'g', 3, 64) + " % up"}
	for _, p := range r.Level {
		level.X, level.Y = append(level.X, p.Speed*3.6), append(level.Y, p.Force)
	}
	for _, p := range r.Uphill {
		hill.X, hill.Y = append(hill.X, p.Speed*3.6), append(hill.Y, p.Force)
	}
	e.Loads = []Curve{level}
	if len(hill.X) > 0 {
		e.Loads = append(e.Loads, hill)
	}
	if r.TopOK && len(r.Gears) > r.Top.Gear {
		g := r.Gears[r.Top.Gear]
		at := Spot{X: r.Top.Speed * 3.6, Text: strconv.FormatFloat(math.Round(r.Top.Speed*3.6), 'f', -1, 64) + " km/h"}
		for i := 1; i < len(g.Effort); i++ {
			if a, b := g.Effort[i-1], g.Effort[i]; r.Top.Speed <= b.Speed+1e-9 && b.Speed > a.Speed {
				at.Y = a.Force + (r.Top.Speed-a.Speed)/(b.Speed-a.Speed)*(b.Force-a.Force)
				break
			}
		}
		e.Top = &at
	}
	return EffortDiagram(e)
}

// RoadSawtooth draws engine speed over road speed through the gears.
func RoadSawtooth(r *strength.Road) *Drawing {
	const rpm = 30 / math.Pi
	var teeth []Tooth
	for _, g := range r.Gears {
		teeth = append(teeth, Tooth{Name: g.Name, From: g.From * 3.6, To: g.Hi * 3.6, Taken: g.Taken * rpm, Left: r.Full * rpm})
	}
	return Sawtooth(teeth, r.Full*rpm, "held by the governor or its limit", Axes{"speed, km/h", "engine, rpm"})
}

// ShaftLoads draws a shaft as a line on its bearings with the forces of its gears from
// above and the reactions from below, each as long as it is great.
func ShaftLoads(s strength.ShaftLoad) *Drawing {
	d := &Drawing{W: 120, Title: s.Name + ": forces in speed " + s.Gear}
	lo, hi, most := math.Inf(1), math.Inf(-1), 0.0
	for _, f := range s.Forces {
		lo, hi, most = min(lo, f.At), max(hi, f.At), max(most, f.Radial)
	}
	if !(hi > lo) || most == 0 {
		d.H = 10
		return d
	}
	var over, under []label
	for ok := false; !ok && d.W < 400; d.W *= 1.15 {
		over, under = nil, nil
		at := func(x float64) float64 { return 12 + (x-lo)/(hi-lo)*(d.W-24) }
		for _, f := range s.Forces {
			if l := forceLabel(f, at(f.At), 6+12*f.Radial/most); f.Bearing {
				under = append(under, l)
			} else {
				over = append(over, l)
			}
		}
		_, up := place(byPlace(over), edge, d.W-edge)
		_, down := place(byPlace(under), edge, d.W-edge)
		if ok = up && down; ok {
			break
		}
	}
	d.Groups = []Group{drawLoads(d, s, over, under, lo, hi)}
	return d
}

// forceLabel is the flag of a force whose arrow is so long: how great it is,
// and of what.
func forceLabel(f strength.ForceAt, x, long float64) label {
	words := strconv.FormatFloat(f.Radial/1e3, 'f', 1, 64) + " kN"
	if !f.Bearing && math.Abs(f.Axial) > 1 {
		words += ", along " + strconv.FormatFloat(math.Abs(f.Axial)/1e3, 'f', 1, 64)
	}
	name := clip(f.Name, wordSize, false, 40)
	w := max(finger, textWidth(words, idSize, true), textWidth(name, wordSize, false)) + 2.2
	return label{spot: &spot{dot: Pt{x, long}}, id: words, word: name, want: x, w: w}
}

// rowsUsed is how many rows flags hang in.
func rowsUsed(ls []label) (n int) {
	for _, l := range ls {
		n = max(n, l.row+1)
	}
	return n
}

func drawLoads(d *Drawing, s strength.ShaftLoad, over, under []label, lo, hi float64) Group {
	const arrow, bar = 18.0, 1.6 // longest arrow, half a shaft
	g := Group{Class: "picture"}
	y := edge + float64(rowsUsed(under))*finger + 12 + arrow + bar + 3.4
	base := y + bar + arrow + 10
	d.H = base + float64(rowsUsed(over)-1)*finger + 8 + edge
	g.draw(Line(4, y, d.W-4, y), None, Pen{Faint, Thin, Chained})
	g.draw(Rect(8, y-bar, d.W-8, y+bar), Tint, Pen{Ink, Thin, Solid})
	for i := range over {
		l := &over[i]
		x := l.spot.dot.X
		tail := y + bar + l.spot.dot.Y
		l.spot.dot.Y = tail
		g.draw(Line(x, tail, x, y+bar), None, Pen{Accent, Thick, Solid})
		arrowHead(&g, Pt{x, tail}, Pt{x, y + bar}, Accent)
		l.draw(&g, y+bar+arrow+1, base)
	}
	for i := range under {
		l := &under[i]
		x := l.spot.dot.X
		foot := y - bar - 3.4
		tail := foot - l.spot.dot.Y
		l.spot.dot.Y = tail
		g.draw(Poly(x, y-bar, x+2.2, foot, x-2.2, foot), None, Pen{Ink, Thick, Solid})
		g.draw(Line(x, tail, x, foot), None, Pen{Ink, Thick, Solid})
		arrowHead(&g, Pt{x, tail}, Pt{x, foot}, Ink)
		l.drawBelow(&g, y-bar-3.4-arrow-1, y-bar-3.4-arrow-10)
	}
	for _, f := range s.Forces {
		if !f.Bearing && math.Abs(f.Axial) > 1 {
			x := 12 + (f.At-lo)/(hi-lo)*(d.W-24)
			to := x + math.Copysign(7, f.Axial)
			g.draw(Line(x, y, to, y), None, Pen{Accent, Thick, Solid})
			arrowHead(&g, Pt{x, y}, Pt{to, y}, Accent)
		}
	}
	g.Items = slices.DeleteFunc(g.Items, func(it Item) bool { return it.Tap }) // nothing here leads anywhere
	return g
}
