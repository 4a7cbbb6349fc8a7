package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/label"
	"endfloat/internal/plan"

	"rsc.io/qr"
)

// LabelOrder says which labels are wanted, and on what.
type LabelOrder struct {
	Stock string   // name or grid, as StockOf reads it; "" is the first of Stocks
	Tags  []string // of pieces, or places of bags; none: whatever is off the unit, and its bags
	First int      // place on the first sheet, from 1: a sheet that was begun is used up
	Site  string   // address of the workshop for a phone's own camera; "" leaves it out
}

// LabelsOf are the labels of a job in the order of its positions: the pieces that
// are off the unit and the bags and trays they lie in, or just those named. Where
// nothing is off yet, all pieces: labels may be made before the first bolt.
func LabelsOf(v *plan.View, o LabelOrder) ([]label.Label, error) {
	var all []label.Label
	order := map[string]int{}
	if v.Box != nil {
		for i, p := range v.Box.All() {
			order[p.ID] = i + 1
		}
	}
	pieces := make([]*job.Piece, 0, len(v.Pieces))
	for _, p := range v.Pieces {
		pieces = append(pieces, p)
	}
	slices.SortFunc(pieces, func(a, b *job.Piece) int {
		if x, y := order[a.Position], order[b.Position]; x != y {
			return x - y
		}
		return strings.Compare(a.Tag, b.Tag)
	})
	bags := bagsOf(v)
	if len(o.Tags) > 0 {
		return chosen(v, o, bags)
	}
	off := func(p *job.Piece) bool { _, in := v.In(p.Tag); return !in }
	if !slices.ContainsFunc(pieces, off) {
		off = func(*job.Piece) bool { return true }
	}
	for _, p := range pieces {
		if off(p) {
			all = append(all, pieceLabel(v, p, o.Site))
		}
	}
	for _, b := range bags {
		b.Code = label.Text(o.Site, b.Tag)
		all = append(all, b)
	}
	return all, nil
}

// chosen are the labels of the tags that were asked for, in that order.
func chosen(v *plan.View, o LabelOrder, bags []label.Label) ([]label.Label, error) {
	var out []label.Label
	for _, t := range o.Tags {
		if p := v.Pieces[t]; p != nil {
			out = append(out, pieceLabel(v, p, o.Site))
			continue
		}
		i := slices.IndexFunc(bags, func(b label.Label) bool { return strings.EqualFold(b.Tag, t) })
		if i < 0 {
			return nil, fmt.Errorf("no piece and no bag of %s is called %q", unitOf(v), t)
		}
		b := bags[i]
		b.Code = label.Text(o.Site, b.Tag)
		out = append(out, b)
	}
	return out, nil
}

func unitLabel(v *plan.View) label.Label {
	return label.Label{Letter: clean(v.Opened.Letter), Unit: clean(v.Opened.Unit), Colour: clean(v.Opened.Colour)}
}

func pieceLabel(v *plan.View, p *job.Piece, site string) label.Label {
	l := unitLabel(v)
	l.Tag, l.Name, l.Place, l.Code = p.Tag, clean(joined(", ", p.Name, p.Variant)), clean(v.Where[p.Tag]), label.Text(site, p.Tag)
	count, faced := "", ""
	if p.Count > 1 {
		count = fmt.Sprintf("%d pieces", p.Count)
	}
	if sp := v.Spots[p.Position]; sp != nil && sp.Off != nil && slices.Contains(sp.AsFound, p.Tag) {
		faced = sp.Off.Is.Faced
	}
	l.Says = clean(joined(", ", thickness(p), count, faced, markWords(p.Marks)))
	return l
}

// bagsOf are the labels of the bags and trays that pieces lie in, without codes:
// each says which of how many it is, so that a missing one is seen.
func bagsOf(v *plan.View) []label.Label {
	var bags []label.Label
	for _, b := range v.Bags() {
		if len(b.Pieces) == 0 {
			continue
		}
		l := unitLabel(v)
		l.Tag, l.Bag, l.Says = b.Place, true, b.Count()
		for _, p := range b.Pieces {
			l.Name = clean(joined(", ", l.Name, joined(" ", p.Position, p.Name)))
		}
		bags = append(bags, l)
	}
	return bags
}

// Labels prints labels as a PDF. The screens, the API and the command line all
// make theirs here.
func Labels(v *plan.View, want LabelOrder, o Options) ([]byte, error) {
	stock, err := StockOf(want.Stock)
	if err != nil {
		return nil, err
	}
	ls, err := LabelsOf(v, want)
	if err != nil {
		return nil, err
	}
	if len(ls) == 0 {
		return nil, fmt.Errorf("%s has no pieces to label yet", unitOf(v))
	}
	n := stock.Cols * stock.Rows
	if want.First < 0 || want.First > n {
		return nil, fmt.Errorf("first label: %d was read; the sheet has places 1 to %d", want.First, n)
	}
	s := &labels{sheet: newSheet("A4", o, "Labels: "+clean(unitOf(v))), stock: stock}
	s.left, s.right, s.top, s.bottom = 0, 0, 0, 0
	s.size.Wd, s.size.Ht = stock.Page[0], stock.Page[1]
	for i, l := range ls {
		k := (i + max(0, want.First-1)) % n
		if i == 0 || k == 0 {
			s.page(false)
		}
		s.label(l, stock.Left+float64(k%stock.Cols)*stock.StepX, stock.Top+float64(k/stock.Cols)*stock.StepY)
	}
	return s.output()
}

// labels is a sheet of labels being set.
type labels struct {
	*sheet
	stock Stock
}

// dot is a dot of a label printer of 203 to the inch, in mm. Codes lie on it, so
// that every module comes out alike.
const dot = 25.4 / 203.2

// A module of a code has so many dots, or, where there is no room, at the fewest.
const (
	good   = 4
	fewest = 3
)

// tapes are the colours of tape. The word stands beside them, for most label
// printers print black.
var tapes = map[string][3]int{"blue": {0x1f, 0x5f, 0xbf}, "yellow": {0xf2, 0xc2, 0}, "red": {0xc4, 0x16, 0x1c}, "green": {0x1d, 0x7a, 0x3c}, "white": {255, 255, 255},
	"grey": {0x8b, 0x8f, 0x94}, "orange": {0xe8, 0x73, 0x0c}, "black": {0x10, 0x10, 0x10}, "brown": {0x7a, 0x4a, 0x21}, "violet": {0x6b, 0x3f, 0xa0}}

// edge is how far from the edge of a sheet a printer may not print, in mm.
const edge = 4.3

// label sets one label with its corner at x, y: the tape along the edge, the tag
// as large as it goes, the code, and below what it is and whose.
func (s *labels) label(l label.Label, x, y float64) {
	w, h := s.stock.W, s.stock.H
	pad := max(1.5, 0.05*min(w, h))
	padX, padY := pad, pad
	if s.stock.Cols*s.stock.Rows > 1 { // no office printer reaches the edge of a sheet
		padX, padY = max(pad, edge-s.stock.Left), max(pad, edge-s.stock.Top)
	}
	x, y, w, h = x+padX, y+padY, w-2*padX, h-2*padY
	if l.Colour != "" {
		band := max(2.5, 0.045*w)
		s.tape(l.Colour, x, y, band, h)
		x, w = x+band+0.8*pad, w-band-0.8*pad
	}
	code, err := s.code(l, x, y, w, h)
	if err != nil {
		if s.err == nil {
			s.err = err
		}
		return
	}
	if upright(w, h) {
		s.words(l, x, y, w, h-code-1)
		return
	}
	s.words(l, x, y, w-code-1, h)
}

// tape is a bar in the colour of the unit's tape.
func (s *labels) tape(colour string, x, y, w, h float64) {
	c, known := tapes[strings.ToLower(colour)]
	s.f.SetDrawColor(0, 0, 0)
	s.f.SetLineWidth(0.25)
	if !known {
		s.f.Rect(x, y, w, h, "D")
		return
	}
	s.f.SetFillColor(c[0], c[1], c[2])
	s.f.Rect(x, y, w, h, "FD")
}

// code sets the code at the right of a lying label, at the foot of an upright
// one, and returns its side, quiet zone and all.
func (s *labels) code(l label.Label, x, y, w, h float64) (float64, error) {
	c, u, err := s.codeOf(l, w, h)
	if err != nil {
		return 0, err
	}
	side := u * float64(c.Size+2*quiet)
	left, top := x+w-side, y+(h-side)/2
	if upright(w, h) {
		left, top = x+(w-side)/2, y+h-side
	}
	s.modules(c, math.Round(left/dot)*dot, math.Round(top/dot)*dot, side)
	return side, nil
}

// quiet is the bare rim of a code in modules.
const quiet = 4

func upright(w, h float64) bool { return w < 1.15*h }

// codeOf chooses the code and the size of its modules: first one that stands
// much dirt in modules that any phone sees, then smaller ones; on a small label
// the code goes before the words.
func (s *labels) codeOf(l label.Label, w, h float64) (*qr.Code, float64, error) {
	room, most := min(h, 0.44*w), min(h, 0.6*w)
	if upright(w, h) {
		room, most = min(0.8*w, 0.5*h), min(w, 0.6*h)
	}
	var needs float64
	for _, try := range []struct {
		version, dots int
		room          float64
	}{{label.Finest, good, room}, {label.Finest, fewest, room}, {label.Finest, fewest, most}, {1, fewest, most}} {
		c, err := l.Encode(try.version)
		if err != nil {
			return nil, 0, err
		}
		n := float64(c.Size + 2*quiet)
		if u := math.Floor(try.room/n/dot+1e-9) * dot; u > (float64(try.dots)-0.5)*dot {
			return c, u, nil
		}
		needs = n * fewest * dot
	}
	return nil, 0, fmt.Errorf("label %s: its code needs %.0f mm and has %.0f; take a larger label, or leave the address out of the code", l.Tag, needs, most)
}

// words sets what people read.
func (s *labels) words(l label.Label, x, y, w, h float64) {
	foot := s.whose(l, x, y+h, w, h)
	bottom := y + h - foot
	tag := face{bold: true, size: s.largest(l.Tag, w, min(0.5*h, 26))}
	if l.Bag && tag.size < 0.2*h*pt {
		tag.size = s.largest(longest(l.Tag), w, 0.24*h) // in two lines, large
	}
	tag.lead = 0.98 * tag.size / pt
	for _, t := range s.wrap(tag, w, l.Tag) {
		y += 0.78 * tag.lead
		s.text(tag, x, y, t.text)
		y += 0.22 * tag.lead
	}
	name := face{bold: true, size: clamp(0.115*h*pt, 6, 24)}
	says := face{size: clamp(0.1*h*pt, 5.5, 18)}
	y += 0.2 * name.size / pt
	y = s.fill(name, l.Name, x, y, w, bottom)
	s.fill(says, l.Says, x, y, w, bottom)
}

// pt is how many points a millimetre has.
const pt = 72 / 25.4

// fill writes as many lines as there is room for and returns where it ended. A
// text that is cut short says so.
func (s *labels) fill(a face, t string, x, y, w, bottom float64) float64 {
	if strings.TrimSpace(t) == "" {
		return y
	}
	a.lead = 1.18 * a.size / pt
	ls := s.wrap(a, w, t)
	n := int((bottom - y + 0.1) / a.lead)
	if n < len(ls) && n > 0 {
		for ls[n-1].text += "…"; s.width(a, ls[n-1].text) > w; {
			r := []rune(ls[n-1].text)
			ls[n-1].text = string(r[:max(0, len(r)-2)]) + "…"
		}
	}
	for _, l := range ls[:min(max(n, 0), len(ls))] {
		y += a.lead
		s.text(a, x, y-0.26*a.lead, l.text)
	}
	return y
}

// whose sets the letter in its ring, the unit and the word of its colour along
// the foot, and returns the height that takes.
func (s *labels) whose(l label.Label, x, bottom, w, h float64) float64 {
	if l.Letter == "" {
		return 0
	}
	d := clamp(0.27*h, 5, 16)
	s.f.SetDrawColor(0, 0, 0)
	s.f.SetLineWidth(0.06 * d)
	s.f.Circle(x+d/2, bottom-d/2, 0.47*d, "D")
	a := face{bold: true, size: 0.66 * d * pt}
	s.text(a, x+(d-s.width(a, l.Letter))/2, bottom-0.26*d, l.Letter)
	x, w = x+1.15*d, w-1.15*d
	unit := face{bold: true, size: min(s.largest(l.Unit, w, 0.44*d), 0.44*d*pt)}
	s.text(unit, x, bottom-0.57*d, l.Unit)
	if l.Colour != "" {
		t := l.Colour + " tape"
		tape := face{size: min(s.largest(t, w, 0.42*d), 0.42*d*pt)}
		s.text(tape, x, bottom-0.12*d, t)
	}
	return d + 0.4
}

// largest is the size in points at which a text fills w, at most tall mm high.
func (s *labels) largest(t string, w, tall float64) float64 {
	one := s.width(face{bold: true, size: 1}, t)
	if one == 0 {
		return tall * pt
	}
	return min(tall*pt, 0.99*w/one)
}

// longest is the longest word of a text.
func longest(t string) string {
	return slices.MaxFunc(append(strings.Fields(t), ""), func(a, b string) int { return len(a) - len(b) })
}

func clamp(x, lo, hi float64) float64 { return min(max(x, lo), hi) }
