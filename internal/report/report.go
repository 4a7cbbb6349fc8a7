// Package report turns a job into paper: the book of the rebuild as a PDF, and
// the card that says where one was.
//
// The book is what an owner, a next owner, a scrutineer or the builder himself
// reads years later, so it says of every figure who read it, with what, when
// and against which limit, and of every verdict what it rests on. What was not
// done is said as plainly as what was. Nothing here reads a disk or a clock:
// the same job and options give the same bytes.
package report

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// Options are what a book needs beside the job.
type Options struct {
	Pin     string                          // head of the job's tree of hashes
	Made    time.Time                       // when the book is made; its zone is that of all times in it
	Paper   string                          // "A4", the default, or "Letter"
	Photo   func(key string) ([]byte, bool) // JPEG of a photo, false where it is gone
	Name    func(personKey string) string   // name of a person
	Version string                          // of the program

	Checkpoint string // of the job's book, signed or not; made from Pin where it is ""
	Data       []byte // archive of the job, attached to the book; nil for none

	Account *Account // what the job has cost; nil where that is not to be told
}

// book is one run down the pages.
type book struct {
	*sheet
	v      *plan.View
	o      Options
	photos []plan.Photo
	figs   map[string]int // number of each photo, from 1
	shots  map[string]shot
	toc    []heading // as an earlier run found it
	by     []string  // who wrote entries, in the order of their first
	tight  bool      // tables are set as small as can be read: all goes on one page
}

// Book makes the book of a job as a PDF. It is set twice, at most three times:
// the first run finds the pages that the contents name.
func Book(v *plan.View, o Options) ([]byte, error) {
	paper, err := paperOf(o.Paper)
	if err != nil {
		return nil, err
	}
	o.Made = steady(o.Made)
	var toc []heading
	total, shots := 0, map[string]shot{}
	for run := 0; ; run++ {
		b := &book{v: v, o: o, toc: toc, shots: shots, sheet: newSheet(paper, o, clean(nameOf(v)))}
		b.total = total
		b.photos, b.figs = figures(v)
		for range toc {
			b.links = append(b.links, b.f.AddLink())
		}
		b.f.SetSubject(madeOf(o, paper), false)
		b.all()
		pages := b.f.PageNo()
		if run > 0 && (run == 3 || slices.Equal(toc, b.heads) && total == pages) {
			b.keep()
			return b.output()
		}
		if b.err != nil || b.f.Error() != nil {
			return b.output()
		}
		toc, total = b.heads, pages
	}
}

// KnownPaper reports a paper that is not known.
func KnownPaper(name string) error {
	_, err := paperOf(name)
	return err
}

func paperOf(name string) (string, error) {
	switch strings.ToLower(name) {
	case "", "a4":
		return "A4", nil
	case "letter":
		return "Letter", nil
	}
	return "", fmt.Errorf("paper %q is not known; use A4 or Letter", name)
}

// nameOf is the title of the book.
func nameOf(v *plan.View) string { return "Book of the rebuild: " + unitOf(v) }

// unitOf is what the unit is called, or its book where nobody has said.
func unitOf(v *plan.View) string {
	if v.Opened.Unit != "" {
		return v.Opened.Unit
	}
	if v.Book != "" {
		return v.Book
	}
	return "a unit without a name"
}

func (b *book) all() {
	b.cover()
	b.foot = clean(b.footer())
	b.contents()
	b.page(false)
	b.identity()
	b.received()
	b.strip()
	b.positions()
	b.readings()
	b.settings()
	b.ratios()
	b.strength()
	b.fastenings()
	b.tests()
	b.otherNotes()
	b.deviations()
	b.open()
	b.costs()
	b.handover()
	b.nextTime()
	b.pictures()
	b.struck()
	b.entries()
	b.signatures()
}

func (b *book) footer() string {
	parts := []string{unitOf(b.v)}
	if b.v.Opened.Letter != "" {
		parts = append(parts, "letter "+b.v.Opened.Letter)
	}
	return strings.Join(append(parts, "book of the rebuild, "+plural(b.v.Seq, "entry", "entries")), " · ")
}

// cover is the first page: what the unit is, and a drawing of its first shaft.
func (b *book) cover() {
	b.page(false)
	o := b.v.Opened
	b.y = 44
	b.lines(b.left, []line{{face{false, 11, 6, 85}, "Book of the rebuild"}})
	b.y += 3
	b.lines(b.left, b.wrap(title, b.wide(), unitOf(b.v)))
	b.y += 2
	sub := o.Type
	if o.Series != "" {
		sub += ", series " + o.Series
	}
	b.lines(b.left, b.wrap(face{false, 13, 7, 0}, b.wide(), sub))
	b.y += 6
	b.rule(b.left, b.y, b.wide(), 0.3, 0)
	b.y += 6
	b.facts(b.whoAndWhat()...)
	b.y += 10
	b.coverDrawing()
	ls := b.wrap(note, b.wide(), "This book records what was found, measured, decided and done on one unit. It does not replace the maker's manual. "+gearbox.Defers)
	b.y = b.floor() - height(ls) - 0.1
	b.lines(b.left, ls)
}

// whoAndWhat are the facts that identify the unit and the job.
func (b *book) whoAndWhat() []string {
	o := b.v.Opened
	from, to := b.span()
	dates := b.day(from)
	if d := b.day(to); d != dates && d != "" {
		dates += " to " + d
	}
	if b.v.Closed == nil && dates != "" {
		dates += ", not handed over yet"
	}
	tag := o.Letter
	if o.Colour != "" {
		tag += ", " + o.Colour + " tape"
	}
	return []string{
		"Number", o.Number, "Year", o.Year, "Tag", strings.TrimPrefix(tag, ", "),
		"Owner", b.name(o.Owner), "Rebuilt by", strings.Join(b.people(), ", "), "Dates", dates,
	}
}

// contents lists the parts with their pages.
func (b *book) contents() {
	b.page(false)
	b.lines(b.left, []line{{h1, "Contents"}})
	b.y += 1.2
	b.rule(b.left, b.y, b.wide(), 0.3, 0)
	b.y += 4
	k := b.closeUp()
	for i, h := range b.toc {
		a, x := body, b.left+6
		if h.level == 1 {
			a, x = strong, b.left
			b.gap(1.6 * k)
		}
		a.lead *= k
		b.need(a.lead)
		b.y += a.lead
		base := b.y - 0.26*a.lead
		page := fmt.Sprint(h.page)
		right := b.w - b.right - b.width(a, page)
		name := b.wrap(a, right-x-12, h.text)[0].text
		b.text(a, x, base, name)
		b.text(a, right, base, page)
		from := x + b.width(a, name) + 2
		b.f.SetDashPattern([]float64{0.2, 1.6}, 0)
		b.rule(from, base, right-2-from, 0.2, 150)
		b.f.SetDashPattern([]float64{}, 0)
		b.f.Link(b.left, b.y-a.lead, b.wide(), a.lead, b.links[i])
	}
}

// closeUp is by how much the contents are set closer so that a few lines do not
// go over to a page of their own.
func (b *book) closeUp() float64 {
	tall := 0.0
	for _, h := range b.toc {
		tall += body.lead
		if h.level == 1 {
			tall += 1.6
		}
	}
	if room := b.floor() - b.y; tall > room && 0.8*tall < room {
		return 0.995 * room / tall
	}
	return 1
}

// span is the time of the first entry and of the last.
func (b *book) span() (from, to time.Time) {
	if es := b.v.Entries; len(es) > 0 {
		from, to = es[0].At, es[len(es)-1].At
	}
	return from, to
}

// people are those who wrote entries, in the order of their first.
func (b *book) people() []string {
	if b.by == nil {
		b.by = []string{}
		for _, e := range b.v.Entries {
			if n := b.name(e.By); n != "" && !slices.Contains(b.by, n) {
				b.by = append(b.by, n)
			}
		}
	}
	return b.by
}

func (b *book) name(key string) string {
	if key == "" || b.o.Name == nil {
		return ""
	}
	return b.o.Name(key)
}

func (b *book) day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(b.o.Made.Location()).Format("2 Jan 2006")
}

// stamp says who wrote an entry and when: "Ann Other, 2 Jan 2026, entry 12". In
// a book that one person wrote the name stands on its cover.
func (b *book) stamp(e job.Entry) string {
	parts := []string{}
	if n := b.name(e.By); n != "" && len(b.people()) > 1 {
		parts = append(parts, n)
	}
	if !e.At.IsZero() {
		parts = append(parts, b.day(e.At))
	}
	return strings.Join(append(parts, fmt.Sprintf("entry %d", e.Seq)), ", ")
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// sentence begins with a capital.
func sentence(t string) string {
	r := []rune(t)
	if len(r) == 0 {
		return ""
	}
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

// joined leaves out what is empty.
func joined(sep string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return strings.TrimSpace(p) == "" }), sep)
}

// steady puts a time into a zone that is only an offset. All times of a book are
// told in it, so that the book can be made again anywhere.
func steady(t time.Time) time.Time {
	_, off := t.Zone()
	if off == 0 {
		return t.UTC()
	}
	return t.In(time.FixedZone("", off))
}
