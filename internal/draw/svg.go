package draw

import (
	"html"
	"math"
	"strconv"
)

// CSS dresses the classes of the SVGs with a page's own colours: it expects
// --ink, --faint, --paper and --accent. The SVGs also carry the colours of ink
// on paper as attributes, which any style sheet overrules.
const CSS = `.drawing{max-width:none;font-family:inherit}
.drawing .ink{stroke:var(--ink)}.drawing .faint{stroke:var(--faint)}.drawing .accent{stroke:var(--accent)}
.drawing .fill-ink{fill:var(--ink)}.drawing .fill-faint{fill:var(--faint)}.drawing .fill-accent{fill:var(--accent)}.drawing .fill-tint{fill:var(--accent)}
.drawing .paper{stroke:var(--paper)}.drawing .fill-paper{fill:var(--paper)}
.drawing text{stroke:none;font-variant-numeric:tabular-nums}
.drawing a{cursor:pointer}.drawing a:focus-visible{outline:3px solid var(--accent)}
@media (forced-colors:active){.drawing .ink,.drawing .faint{stroke:CanvasText}.drawing .accent{stroke:Highlight}.drawing text,.drawing .fill-ink,.drawing .fill-faint{fill:CanvasText}.drawing .fill-accent{fill:Highlight}.drawing .fill-tint{fill:none}}
`

var toneName = [...]string{Ink: "ink", Faint: "faint", Accent: "accent", Tint: "tint", Paper: "paper"}

// toneHex are the colours of ink on paper.
var toneHex = [...]string{Ink: "#14171c", Faint: "#5b6169", Accent: "#b3330c", Tint: "#f9e3d9", Paper: "#ffffff"}

func weightName(w float64) string {
	switch {
	case w >= Strong:
		return "strong"
	case w >= Thick:
		return "thick"
	case w >= Thin:
		return "thin"
	}
	return "fine"
}

// svg is an SVG being written.
type svg struct {
	b []byte
	h float64 // height of the drawing, to turn y over
}

func (s *svg) put(text ...string) {
	for _, t := range text {
		s.b = append(s.b, t...)
	}
}

// num writes v with at most two decimals: a hundredth of a millimetre is
// finer than any screen shows.
func (s *svg) num(v float64) {
	n := int64(math.Round(v * 100))
	if n < 0 {
		s.b = append(s.b, '-')
		n = -n
	}
	s.b = strconv.AppendInt(s.b, n/100, 10)
	if c := byte(n % 100); c > 0 {
		s.b = append(s.b, '.', '0'+c/10)
		if c%10 > 0 {
			s.b = append(s.b, '0'+c%10)
		}
	}
}

func (s *svg) attr(name string, v float64) {
	s.put(` `, name, `="`)
	s.num(v)
	s.put(`"`)
}

// SVG is the drawing as one svg element, the same bytes every time. It has a
// natural size in mm and a viewBox, so a page may scroll or shrink it. Each
// group with a link is an anchor whose title says what it is.
func (d *Drawing) SVG() string {
	s := &svg{h: d.H, b: make([]byte, 0, 64<<10)}
	role := "img"
	for _, g := range d.Groups {
		if g.Link != "" {
			role = "group"
		}
	}
	s.put(`<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="`, role, `" viewBox="0 0 `)
	s.num(d.W)
	s.put(` `)
	s.num(d.H)
	s.put(`" width="`)
	s.num(d.W)
	s.put(`mm" height="`)
	s.num(d.H)
	s.put(`mm" fill="none" stroke="`, toneHex[Ink], `" font-family="DejaVu Sans, sans-serif"><title>`, html.EscapeString(d.Title), "</title>\n")
	for i := range d.Groups {
		s.group(&d.Groups[i])
	}
	s.put("</svg>\n")
	return string(s.b)
}

func (s *svg) group(g *Group) {
	tag := "g"
	switch {
	case g.Link != "":
		tag = "a"
		s.put(`<a href="`, html.EscapeString(g.Link), `"`)
	case g.Key == "" && g.Class == "":
		s.put(`<g aria-hidden="true"`)
	default:
		s.put(`<g`)
	}
	if g.Key != "" {
		s.put(` data-key="`, html.EscapeString(g.Key), `"`)
	}
	if g.Class != "" {
		s.put(` class="`, html.EscapeString(g.Class), `"`)
	}
	s.put(`>`)
	if g.Title != "" {
		s.put(`<title>`, html.EscapeString(g.Title), `</title>`)
	}
	for i := range g.Items {
		s.item(&g.Items[i])
	}
	s.put("</", tag, ">\n")
}

func (s *svg) item(it *Item) {
	switch {
	case it.Text != "":
		s.text(it)
		return
	case it.Tap:
		s.put(`<path class="tap" stroke="none" pointer-events="all"`)
	default:
		s.paint(it)
	}
	s.put(` d="`)
	s.path(it.Path)
	s.put(`"/>`)
}

func (s *svg) paint(it *Item) {
	s.put(`<path class="`)
	if it.Pen.Tone != None {
		s.put(toneName[it.Pen.Tone], ` `, weightName(it.Pen.W))
	}
	if it.Fill != None {
		if it.Pen.Tone != None {
			s.put(` `)
		}
		s.put(`fill-`, toneName[it.Fill])
	}
	s.put(`"`)
	switch {
	case it.Fill == Tint:
		s.put(` fill="`, toneHex[Accent], `" fill-opacity=".13"`)
	case it.Fill != None:
		s.put(` fill="`, toneHex[it.Fill], `"`)
	}
	switch it.Pen.Tone {
	case None:
		s.put(` stroke="none"`)
		return
	case Ink:
	default:
		s.put(` stroke="`, toneHex[it.Pen.Tone], `"`)
	}
	s.attr("stroke-width", it.Pen.W)
	if it.Pen.Dash != Solid {
		s.put(` stroke-dasharray="`)
		for i, v := range it.Pen.Dash.lengths() {
			if i > 0 {
				s.put(` `)
			}
			s.num(v)
		}
		s.put(`"`)
	}
}

func (s *svg) text(it *Item) {
	s.put(`<text class="fill-`, toneName[it.Fill], `" stroke="none" fill="`, toneHex[it.Fill], `"`)
	s.attr("x", it.At.X)
	s.attr("y", s.h-it.At.Y)
	s.attr("font-size", it.Size)
	if it.Anchor != Start {
		s.put(` text-anchor="`, [...]string{"start", "middle", "end"}[it.Anchor], `"`)
	}
	if it.Bold {
		s.put(` font-weight="700"`)
	}
	s.put(`>`, html.EscapeString(it.Text), `</text>`)
}

func (s *svg) path(p Path) {
	for _, o := range p {
		s.b = append(s.b, byte(o.K))
		for j := 0; j < o.args(); j++ {
			if j > 0 {
				s.put(` `)
			}
			s.num(o.P[j].X)
			s.put(` `)
			s.num(s.h - o.P[j].Y)
		}
	}
}
