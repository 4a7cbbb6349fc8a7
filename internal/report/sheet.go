package report

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"codeberg.org/go-pdf/fpdf"
	"github.com/go-fonts/dejavu/dejavusans"
	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"
)

// drawing is the family that draw measures its labels in.
const drawing = "drawing"

// face is a way of setting text. Sizes are in points, leading in mm; grey runs
// from 0, black, to 255. Everything is told by words, weight and place, so
// that the book loses nothing in black and white.
type face struct {
	bold bool
	size float64
	lead float64
	grey int
}

var (
	title  = face{true, 25, 11, 0}
	h1     = face{true, 14, 6.5, 0}
	h2     = face{true, 10, 5, 0}
	body   = face{false, 9.2, 4.5, 0}
	strong = face{true, 9.2, 4.5, 0}
	note   = face{false, 7.6, 3.6, 85}
	cell   = face{false, 8, 3.7, 0}
	bold   = face{true, 8, 3.7, 0}
	small  = face{false, 6.9, 3.2, 85}
	head   = face{true, 6.9, 3.4, 85}
)

// line is one line of text, or of a cell, in its face.
type line struct {
	face
	text string
}

// heading is a part of the book with the page on which it begins.
type heading struct {
	level int
	text  string
	page  int
}

// sheet sets text, tables and pictures down the pages of a PDF.
type sheet struct {
	f                        *fpdf.Fpdf
	size                     fpdf.SizeType // of an upright page
	w, h                     float64       // of the current page
	left, right, top, bottom float64       // margins
	y                        float64
	air                      float64 // above and below the rule of a row
	turn                     float64 // how far down a page a part may still begin, as a share of it
	now                      face
	set                      bool
	foot                     string
	total                    int // pages, as an earlier run counted them
	heads                    []heading
	links                    []int           // one for each heading, if the earlier run knew them
	images                   map[string]bool // that the PDF has
	widths                   [2]map[rune]float64
	err                      error
}

func newSheet(paper string, o Options, name string) *sheet {
	f := fpdf.New("P", "mm", paper, "")
	f.SetCatalogSort(true)
	f.SetCreationDate(o.Made)
	f.SetModificationDate(o.Made)
	f.SetTitle(name, true)
	f.SetCreator(strings.TrimSpace("endfloat "+o.Version), true)
	f.SetLang("en")
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.AddUTF8FontFromBytes("book", "", dejavusanscondensed.TTF)
	f.AddUTF8FontFromBytes("book", "B", dejavusanscondensedbold.TTF)
	f.AddUTF8FontFromBytes(drawing, "", dejavusans.TTF)
	s := &sheet{f: f, left: 25, right: 20, top: 22, bottom: 22, turn: 0.62, images: map[string]bool{}}
	s.size.Wd, s.size.Ht = f.GetPageSize()
	s.widths = [2]map[rune]float64{{}, {}}
	return s
}

// wide is the width between the margins.
func (s *sheet) wide() float64 { return s.w - s.left - s.right }

// floor is where the text must end.
func (s *sheet) floor() float64 { return s.h - s.bottom }

// page begins a page, upright or lying.
func (s *sheet) page(lying bool) {
	way := "P"
	if lying {
		way = "L"
	}
	s.f.AddPageFormat(way, s.size)
	s.w, s.h = s.f.GetPageSize()
	s.set = false
	s.y = s.top
	if s.foot == "" {
		return
	}
	s.rule(s.left, s.h-15.5, s.wide(), 0.15, 150)
	s.text(note, s.left, s.h-11.5, s.foot)
	n := fmt.Sprintf("Page %d of %d", s.f.PageNo(), max(s.total, s.f.PageNo()))
	s.text(note, s.w-s.right-s.width(note, n), s.h-11.5, n)
}

// need begins a page when fewer than h mm are left on this one.
func (s *sheet) need(h float64) {
	if s.y+h > s.floor() && s.y > s.top {
		s.page(s.w > s.h)
	}
}

func (s *sheet) use(a face) {
	if s.set && s.now == a {
		return
	}
	style := ""
	if a.bold {
		style = "B"
	}
	s.f.SetFont("book", style, a.size)
	s.f.SetTextColor(a.grey, a.grey, a.grey)
	s.now, s.set = a, true
}

// text writes one line with its base line at y.
func (s *sheet) text(a face, x, y float64, t string) {
	if t = strings.ReplaceAll(clean(t), "\u00a0", " "); t != "" {
		s.use(a)
		s.f.Text(x, y, t)
	}
}

func (s *sheet) rule(x, y, w, weight float64, grey int) {
	s.f.SetDrawColor(grey, grey, grey)
	s.f.SetLineWidth(weight)
	s.f.Line(x, y, x+w, y)
}

// width of a text in mm. Widths of runes are kept: the measuring of words is
// most of the work of a book.
func (s *sheet) width(a face, t string) float64 {
	k := 0
	if a.bold {
		k = 1
	}
	var sum float64
	for _, r := range t {
		w, ok := s.widths[k][r]
		if !ok {
			s.use(a)
			w = float64(s.f.GetStringSymbolWidth(string(r)))
			s.widths[k][r] = w
		}
		sum += w
	}
	return sum * a.size / 1000 * 25.4 / 72
}

// clean leaves what the faces can print: what cannot be shown becomes �.
func clean(t string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\u00a0':
			return r
		case r == utf8.RuneError || r > 0xFFFF:
			return 0xFFFD
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(t, "\uFFFD"))
}

// wrap breaks a text into lines no wider than w. A word too long for a line is
// broken where it must be.
func (s *sheet) wrap(a face, w float64, t string) []line {
	var out []line
	for _, para := range strings.Split(clean(t), "\n") {
		row := ""
		for _, word := range strings.Split(para, " ") {
			try := word
			if row != "" {
				try = row + " " + word
			}
			if s.width(a, try) <= w {
				row = try
				continue
			}
			if row != "" {
				out = append(out, line{a, row})
			}
			for s.width(a, word) > w {
				n := s.fits(a, w, word)
				out = append(out, line{a, word[:n]})
				word = word[n:]
			}
			row = word
		}
		out = append(out, line{a, row})
	}
	return out
}

// fits is how many bytes of a word fit into w, at least one rune.
func (s *sheet) fits(a face, w float64, word string) int {
	sum, n := 0.0, 0
	for i, r := range word {
		sum += s.width(a, string(r))
		if sum > w && i > 0 {
			return i
		}
		n = i + utf8.RuneLen(r)
	}
	return n
}

// lines writes lines down from y at x.
func (s *sheet) lines(x float64, ls []line) {
	for _, l := range ls {
		s.need(l.lead)
		s.y += l.lead
		s.text(l.face, x, s.y-0.26*l.lead, l.text)
	}
}

// para writes a paragraph over the full width.
func (s *sheet) para(a face, t string) {
	if strings.TrimSpace(t) == "" {
		return
	}
	s.lines(s.left, s.wrap(a, s.wide(), t))
	s.y += 0.3 * a.lead
}

// bullet writes a point of a list, with what it rests on beneath it.
func (s *sheet) bullet(t, under string) {
	const in = 4.5
	ls := s.wrap(body, s.wide()-in, t)
	if under != "" {
		ls = append(ls, s.wrap(note, s.wide()-in, under)...)
	}
	s.need(float64(min(len(ls), 4)) * body.lead)
	s.text(body, s.left+0.8, s.y+0.74*body.lead, "–")
	s.lines(s.left+in, ls)
	s.y += 1.2
}

func (s *sheet) gap(h float64) {
	if s.y > s.top {
		s.y += h
	}
}

// part begins a part of the book with its heading, bookmark and place in the
// contents.
func (s *sheet) part(t string) {
	if s.y > s.top+s.turn*(s.floor()-s.top) {
		s.page(false)
	}
	s.gap(9)
	s.heading(1, h1, t)
	s.y += 1.2
	s.rule(s.left, s.y, s.wide(), 0.3, 0)
	s.y += 3
}

// under begins a division of a part.
func (s *sheet) under(t string) {
	s.need(26)
	s.gap(4)
	s.heading(2, h2, t)
	s.y += 1
}

func (s *sheet) heading(level int, a face, t string) {
	t = clean(t)
	s.use(a)
	s.f.Bookmark(t, level-1, s.y)
	if n := len(s.heads); n < len(s.links) {
		s.f.SetLink(s.links[n], s.y, -1)
	}
	s.heads = append(s.heads, heading{level, t, s.f.PageNo()})
	s.lines(s.left, s.wrap(a, s.wide(), t))
}

// facts writes labels with what they say beside them; empty ones are left out.
func (s *sheet) facts(pairs ...string) {
	const in = 36
	for i := 0; i+1 < len(pairs); i += 2 {
		if strings.TrimSpace(pairs[i+1]) == "" {
			continue
		}
		ls := s.wrap(body, s.wide()-in, pairs[i+1])
		s.need(min(float64(len(ls)), 3) * body.lead)
		s.text(face{false, body.size, body.lead, 85}, s.left, s.y+0.74*body.lead, pairs[i])
		s.lines(s.left+in, ls)
		s.y += 0.5
	}
}

// image puts a JPEG, which must be one that can be read, into a frame.
func (s *sheet) image(key string, b []byte, x, y, w, h float64) {
	if !s.images[key] {
		info := s.f.RegisterImageOptionsReader(key, fpdf.ImageOptions{ImageType: "JPG"}, bytes.NewReader(b))
		if s.f.Error() == nil && s.err == nil {
			s.err = pinOrder(info, len(s.images))
		}
		s.images[key] = true
	}
	s.f.Image(key, x, y, w, h, false, "JPG", 0, "")
}

func (s *sheet) output() ([]byte, error) {
	if s.err != nil {
		return nil, s.err
	}
	var b bytes.Buffer
	if err := s.f.Output(&b); err != nil {
		return nil, fmt.Errorf("book: %w", err)
	}
	return b.Bytes(), nil
}
