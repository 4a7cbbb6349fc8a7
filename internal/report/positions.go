package report

import (
	"fmt"
	"math"
	"strings"

	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// least is how small a text of a drawing may be printed, and most how large a
// drawing, as a part of its natural size.
const (
	least = 1.45
	most  = 0.6
)

// positions lists every position with the piece in it, shaft by shaft, under
// the section of the shaft.
func (b *book) positions() {
	b.part("Positions and pieces")
	ps := b.places()
	if len(ps) == 0 {
		b.para(body, "No position is known: the job has no gearbox file and nothing was taken off.")
		return
	}
	b.para(note, "Each position as it stands now: the piece in it, what was decided of it and why, where it came from, which way it faces. Reuse: the unit's own part goes back. New, donor, repair, scrap: as they say.")
	b.arrangement()
	for len(ps) > 0 {
		c := ps[0].Carrier
		n := 1
		for n < len(ps) && ps[n].Carrier == c {
			n++
		}
		b.section(c)
		b.order(c)
		rows := make([]row, n)
		for i, p := range ps[:n] {
			rows[i] = b.positionRow(p)
		}
		if b.w > b.h {
			b.page(false)
		}
		b.table([]col{{"Pos", 1.6}, {"Part", 4.4}, {"Piece, origin", 3.8}, {"Decision", 4.8}, {"Faces, marks", 4.4}, {"Photo", 1.5}}, rows)
		ps = ps[n:]
	}
}

func carrierName(c *gearbox.Carrier) string {
	n := joined(", ", c.Name, c.ID)
	if c.Name != "" {
		n = c.Name
	}
	if n == "" {
		n = "Without a carrier"
	}
	return sentence(n)
}

func (b *book) positionRow(p *gearbox.Position) row {
	v := b.v
	sp := v.Spots[p.ID]
	if sp == nil {
		sp = &job.Spot{}
	}
	part := in(cell, named(p))
	if variant := v.Built.Variants[p.ID]; variant != "" {
		part = append(part, line{small, "variant " + variant})
	}
	return row{in(cell, p.ID), part, b.pieceCell(p, sp), b.decisionCell(p, sp), b.faceCell(p, sp), in(small, b.fig(sp.Photos))}
}

// pieceCell names what is at the position: each piece of a pack, or why none is.
func (b *book) pieceCell(p *gearbox.Position, sp *job.Spot) []line {
	v := b.v
	tags := v.At[p.ID]
	if len(tags) == 0 {
		where := ""
		if sp.Off != nil {
			where = "off"
			if at := v.Where[job.Tag(v.Opened.Letter, p.ID)]; at != "" {
				where = "the old one: " + at
			}
		}
		return in(small, "nothing fitted", where)
	}
	var ls []line
	for _, t := range tags {
		pc := v.Pieces[t]
		if pc == nil {
			continue
		}
		from := pc.Origin
		if from == v.Opened.Unit {
			from = "its own"
		}
		ls = append(ls, in(cell, t, joined(", ", thickness(pc), from, markWords(pc.Marks)))...)
	}
	if sp.Fitted != nil && sp.Fitted.Is.Trial {
		ls = append(ls, line{bold, "on trial"})
	}
	return ls
}

func thickness(pc *job.Piece) string {
	t := pc.Thick
	if t == "" && pc.SI > 0 {
		t = fmt.Sprintf("%.3f", pc.SI*1e3)
	}
	if t != "" && !strings.ContainsAny(t, "m\"i") {
		t += " mm"
	}
	return t
}

func (b *book) decisionCell(p *gearbox.Position, sp *job.Spot) []line {
	switch {
	case sp.Decided != nil:
		d := sp.Decided.Is
		return in(cell, d.Choice, d.Why, b.stamp(sp.Decided.Entry))
	case sp.Off == nil && sp.Fitted == nil:
		return in(small, "not disturbed")
	}
	return in(small, "no decision recorded")
}

func (b *book) faceCell(p *gearbox.Position, sp *job.Spot) []line {
	said := ""
	if sp.Fitted != nil {
		said = sp.Fitted.Is.Faces
	}
	if said == "" && p.Either {
		said = "either way"
	}
	if said == "" {
		var fs []string
		for _, f := range p.Faces {
			fs = append(fs, f.Face+" toward "+f.Toward)
		}
		if len(fs) > 0 {
			return in(small, "by the file: "+strings.Join(fs, ", "), p.Mark)
		}
	}
	when := ""
	if sp.Fitted != nil {
		when = "fitted " + b.day(sp.Fitted.At)
	}
	return in(cell, said, p.Mark, when)
}

// section heads a carrier and draws it to the width of the page: upright where
// its words can be read so, else lying, else in as many rows as it takes.
func (b *book) section(c *gearbox.Carrier) {
	if b.v.Box == nil || len(c.Order) == 0 {
		b.under(carrierName(c))
		return
	}
	d, lying := b.drawn(c)
	wide := b.wide()
	if lying {
		b.page(true)
		wide = b.wide()
	}
	k := min(most, wide/d.W, 0.85*(b.floor()-b.top)/d.H)
	b.need(d.H*k + 40)
	b.under(carrierName(c))
	b.put(d, b.left+(wide-d.W*k)/2, b.y+1, k)
	b.y += d.H*k + 5
}

// drawn is the drawing of a carrier, and whether it wants a lying page.
func (b *book) drawn(c *gearbox.Carrier) (d *draw.Drawing, lying bool) {
	upright, long := b.size.Wd-b.left-b.right, b.size.Ht-b.left-b.right
	if len(c.Ends) != 2 {
		return draw.Section(c, draw.Options{Built: b.v.Built, Width: upright / most}), false
	}
	d = draw.Section(c, draw.Options{Built: b.v.Built})
	size := smallest(d)
	switch {
	case size*upright/d.W >= least:
		return d, false
	case size*long/d.W >= least:
		return d, true
	}
	return draw.Section(c, draw.Options{Built: b.v.Built, Width: upright * size / least}), false
}

// smallest is the size of the smallest words of a drawing, mm.
func smallest(d *draw.Drawing) float64 {
	size := math.Inf(1)
	for _, g := range d.Groups {
		for _, it := range g.Items {
			if it.Text != "" {
				size = min(size, it.Size)
			}
		}
	}
	return size
}

// put draws on the page at k times the natural size.
func (b *book) put(d *draw.Drawing, x, y, k float64) {
	d.PDF(b.f, drawing, x, y, k)
	b.set = false
}

// coverDrawing is the shaft with the most positions, plain.
func (b *book) coverDrawing() {
	if b.v.Box == nil {
		return
	}
	var c *gearbox.Carrier
	for _, x := range b.v.Box.Carriers {
		if len(x.Ends) == 2 && (c == nil || len(x.Order) > len(c.Order)) {
			c = x
		}
	}
	if c == nil {
		return
	}
	d := draw.Section(c, draw.Options{Built: b.v.Built})
	if d.W <= 0 || d.H <= 0 {
		return
	}
	k := min(b.wide()/d.W, (b.floor()-b.y-16)/d.H)
	if k <= 0 {
		return
	}
	b.put(d, b.left+(b.wide()-d.W*k)/2, b.y+max(0, (b.floor()-16-b.y-d.H*k)/2.5), k)
}
