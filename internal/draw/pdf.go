package draw

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"github.com/go-fonts/dejavu/dejavusans"
)

// rgb are the parts of a colour such as #14171c.
func rgb(t Tone) (r, g, b int) {
	v, _ := strconv.ParseUint(toneHex[t][1:], 16, 32)
	return int(v >> 16), int(v >> 8 & 255), int(v & 255)
}

// PDF draws with its upper left corner at x, y of the current page of f, which
// counts in mm, k times its natural size. The font must be one that f knows.
func (d *Drawing) PDF(f *fpdf.Fpdf, font string, x, y, k float64) {
	p := &pdf{f: f, font: font, k: k, at: func(q Pt) (float64, float64) { return x + q.X*k, y + (d.H-q.Y)*k }}
	f.SetLineJoinStyle("round")
	for i := range d.Groups {
		for j := range d.Groups[i].Items {
			p.item(&d.Groups[i].Items[j])
		}
	}
	f.SetDashPattern([]float64{}, 0)
	f.SetDrawColor(0, 0, 0)
	f.SetTextColor(0, 0, 0)
}

// Page is the drawing as a PDF of one page of its own size.
func (d *Drawing) Page(made time.Time) ([]byte, error) {
	const font = "drawing"
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: d.W, Ht: d.H}})
	f.SetCatalogSort(true)
	f.SetCreationDate(made)
	f.SetModificationDate(made)
	f.SetTitle(d.Title, true)
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.AddUTF8FontFromBytes(font, "", dejavusans.TTF)
	way := "P"
	if d.W > d.H {
		way = "L"
	}
	f.AddPageFormat(way, fpdf.SizeType{Wd: min(d.W, d.H), Ht: max(d.W, d.H)})
	d.PDF(f, font, 0, 0, 1)
	var b bytes.Buffer
	if err := f.Output(&b); err != nil {
		return nil, fmt.Errorf("the drawing could not be set as PDF (%w)", err)
	}
	return b.Bytes(), nil
}

type pdf struct {
	f    *fpdf.Fpdf
	font string
	k    float64
	at   func(Pt) (float64, float64)
}

func (p *pdf) item(it *Item) {
	if it.Tap {
		return
	}
	if it.Text != "" {
		p.text(it)
		return
	}
	style := ""
	if it.Fill != None {
		p.f.SetFillColor(rgb(it.Fill))
		style = "F"
	}
	if it.Pen.Tone != None {
		p.f.SetDrawColor(rgb(it.Pen.Tone))
		p.f.SetLineWidth(it.Pen.W * p.k)
		dash := it.Pen.Dash.lengths()
		for i := range dash {
			dash[i] *= p.k
		}
		p.f.SetDashPattern(dash, 0)
		style += "D"
	}
	if style == "" || len(it.Path) == 0 {
		return
	}
	for _, o := range it.Path {
		switch o.K {
		case 'M':
			p.f.MoveTo(p.at(o.P[0]))
		case 'L':
			p.f.LineTo(p.at(o.P[0]))
		case 'C':
			ax, ay := p.at(o.P[0])
			bx, by := p.at(o.P[1])
			cx, cy := p.at(o.P[2])
			p.f.CurveBezierCubicTo(ax, ay, bx, by, cx, cy)
		case 'Z':
			p.f.ClosePath()
		}
	}
	p.f.DrawPath(style)
}

// text prints bold by drawing the outline of the letters as well, so that one
// face is enough.
func (p *pdf) text(it *Item) {
	x, y := p.at(it.At)
	p.f.SetFont(p.font, "", it.Size*p.k*72/25.4)
	p.f.SetTextColor(rgb(it.Fill))
	if it.Bold {
		p.f.SetDashPattern([]float64{}, 0)
		p.f.SetDrawColor(rgb(it.Fill))
		p.f.SetLineWidth(0.045 * it.Size * p.k)
		p.f.SetTextRenderingMode(2)
	}
	t := strings.Map(func(r rune) rune {
		if r > 0xFFFF { // what the PDF's fonts cannot number
			return 0xFFFD
		}
		return r
	}, it.Text)
	p.f.Text(x-p.f.GetStringWidth(t)*float64(it.Anchor)/2, y, t)
	if it.Bold {
		p.f.SetTextRenderingMode(0)
	}
}
