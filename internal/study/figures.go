package study

import (
	"fmt"
	"math"
	"strings"

	"endfloat/internal/draw"
)

// Table writes ways as a table of Markdown, those of one drawer.
func Table(ways []Way, fine bool) string {
	var b strings.Builder
	b.WriteString("| way | trials, mean | nine in ten | readings | wrongly accepted | never accepted |\n|---|---|---|---|---|---|\n")
	for _, w := range ways {
		if w.Fine != fine {
			continue
		}
		m, se := w.MeanTrials()
		p, pe := w.WrongShare()
		n, ne := w.NeverShare()
		fmt.Fprintf(&b, "| %s | %.2f ± %.2f | %d | %.1f | %.1f ± %.1f %% | %.1f ± %.1f %% |\n", w.Name, m, se, w.NineInTen(), w.MeanReadings(), 100*p, 100*pe, 100*n, 100*ne)
	}
	return b.String()
}

// the sheet of a chart, mm.
const (
	chartW, chartH         = 128.0, 92.0
	fieldX0, fieldX1       = 15.0, 124.0
	fieldY0, fieldY1       = 14.0, 82.0
	textSize, smallestMark = 4.0, 1.5
)

// chart is a diagram being drawn.
type chart struct {
	g          draw.Group
	x0, x1, y1 float64
	toX, toY   func(float64) float64
}

func (c *chart) path(p draw.Path, fill draw.Tone, pen draw.Pen) {
	c.g.Items = append(c.g.Items, draw.Item{Path: p, Fill: fill, Pen: pen})
}

func (c *chart) text(x, y float64, a draw.Anchor, tone draw.Tone, bold bool, s string) {
	c.g.Items = append(c.g.Items, draw.Item{Text: s, At: draw.Pt{X: x, Y: y}, Size: textSize, Anchor: a, Fill: tone, Bold: bold})
}

// Chart draws the share that is wrongly accepted over the mean number of trials,
// or of readings, with the drawer of one kind: one curve for each group of ways,
// with the standard errors. Squares are by hand, discs are with endfloat; the
// large ones are the ways that are compared.
func Chart(ways []Way, fine, readings bool) *draw.Drawing {
	at := func(w Way) float64 {
		if readings {
			return w.MeanReadings()
		}
		m, _ := w.MeanTrials()
		return m
	}
	c := &chart{x0: math.Inf(1), x1: math.Inf(-1)}
	groups := map[string][]Way{}
	for _, w := range ways {
		if w.Fine != fine || w.Group == "" {
			continue
		}
		p, se := w.WrongShare()
		c.x0, c.x1, c.y1 = min(c.x0, at(w)), max(c.x1, at(w)), max(c.y1, 100*(p+se))
		groups[w.Group] = append(groups[w.Group], w)
	}
	step := 0.5
	if readings {
		step = 5
	}
	c.frame(step, readings)
	c.curve(groups["by hand"], at, draw.Pen{Tone: draw.Ink, W: draw.Thick, Dash: draw.Dashed}, draw.Ink)
	c.curve(groups["endfloat"], at, draw.Pen{Tone: draw.Accent, W: draw.Thick}, draw.Accent)
	steps := "0.05 mm"
	if fine {
		steps = "0.025 mm"
	}
	c.legend(steps)
	return &draw.Drawing{W: chartW, H: chartH, Title: "Wrongly accepted over " + axis(readings) + ", drawer of " + steps + " steps", Groups: []draw.Group{c.g}}
}

func axis(readings bool) string {
	if readings {
		return "readings, mean"
	}
	return "trials, mean"
}

func (c *chart) frame(step float64, readings bool) {
	c.g.Class = "picture"
	c.x0 = math.Floor(c.x0/step) * step
	c.x1 = max(c.x0+step, math.Ceil(c.x1/step)*step)
	up := 2.0
	c.y1 = max(up, math.Ceil(c.y1/up)*up)
	c.toX = func(v float64) float64 { return fieldX0 + (v-c.x0)/(c.x1-c.x0)*(fieldX1-fieldX0) }
	c.toY = func(v float64) float64 { return fieldY0 + v/c.y1*(fieldY1-fieldY0) }
	net := draw.Pen{Tone: draw.Faint, W: draw.Fine, Dash: draw.Dotted}
	for v := 0.0; v <= c.y1+1e-9; v += up {
		c.path(draw.Line(fieldX0, c.toY(v), fieldX1, c.toY(v)), draw.None, net)
		c.text(fieldX0-1.6, c.toY(v)-textSize*0.36, draw.End, draw.Faint, false, fmt.Sprintf("%g", v))
	}
	for v := c.x0; v <= c.x1+1e-9; v += step {
		c.path(draw.Line(c.toX(v), fieldY0, c.toX(v), fieldY1), draw.None, net)
		c.text(c.toX(v), fieldY0-5.4, draw.Middle, draw.Faint, false, fmt.Sprintf("%g", v))
	}
	c.path(draw.Line(fieldX0, fieldY1, fieldX0, fieldY0, fieldX1, fieldY0), draw.None, draw.Pen{Tone: draw.Ink, W: draw.Thin})
	c.text(2, chartH-5.5, draw.Start, draw.Ink, false, "wrongly accepted, %")
	c.text(fieldX1, 2.4, draw.End, draw.Ink, false, axis(readings))
}

func (c *chart) curve(ways []Way, at func(Way) float64, pen draw.Pen, tone draw.Tone) {
	sorted := append([]Way(nil), ways...)
	for i := range sorted { // by what they take: few, so by insertion
		for j := i; j > 0 && at(sorted[j]) < at(sorted[j-1]); j-- {
			sorted[j], sorted[j-1] = sorted[j-1], sorted[j]
		}
	}
	var line draw.Path
	for i, w := range sorted {
		p, se := w.WrongShare()
		x, y := c.toX(at(w)), c.toY(100*p)
		if i == 0 {
			line.M(x, y)
		} else {
			line.L(x, y)
		}
		c.path(draw.Line(x, c.toY(max(0, 100*(p-se))), x, c.toY(100*(p+se))), draw.None, draw.Pen{Tone: tone, W: draw.Thin})
		r := smallestMark * 0.7
		if w.Guard == 0 {
			r = smallestMark * 1.4
		}
		if tone == draw.Accent {
			c.path(draw.Circle(x, y, r), tone, draw.Pen{})
		} else {
			c.path(draw.Rect(x-r, y-r, x+r, y+r), tone, draw.Pen{})
		}
	}
	c.path(line, draw.None, pen)
}

func (c *chart) legend(steps string) {
	const x = 56.0
	y := fieldY1 - 4
	c.path(draw.Rect(x-1, y-0.1, x+1.9, y+2.8), draw.Ink, draw.Pen{})
	c.text(x+5, y, draw.Start, draw.Ink, false, "by hand, guard band to 12.5 µm")
	y -= 6.5
	c.path(draw.Circle(x+0.45, y+1.3, 1.5), draw.Accent, draw.Pen{})
	c.text(x+5, y, draw.Start, draw.Accent, false, "with endfloat, chance .50 to .95")
	y -= 6.5
	c.text(x+5, y, draw.Start, draw.Ink, false, "large marks: the two compared")
	y -= 6.5
	c.text(x+5, y, draw.Start, draw.Faint, false, "drawer of "+steps+" steps")
}

// SVG is a drawing as a file of its own, which follows a reader's light or dark
// dress.
func SVG(d *draw.Drawing) string {
	head, rest, _ := strings.Cut(d.SVG(), "</title>\n")
	const dress = `<style>svg{--ink:#14171c;--faint:#5b6169;--accent:#b3330c;background:#fff}
@media (prefers-color-scheme:dark){svg{--ink:#e8eaed;--faint:#a9b0b8;--accent:#ff9a6b;background:#16191d}}
`
	return head + "</title>\n" + dress + draw.CSS + "</style>\n" + rest
}
