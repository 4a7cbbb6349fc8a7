package report

import (
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/plan"

	"codeberg.org/go-pdf/fpdf"
)

// a5 is the size of the return card, mm.
var a5 = fpdf.SizeType{Wd: 148, Ht: 210}

// ReturnCard makes one A5 page to lay on the bench before an interruption: what
// was done last, what is loose, what must not be trusted, what waits and for
// what, and the next three steps.
func ReturnCard(v *plan.View, o Options) ([]byte, error) {
	var c *book
	for most := 9; most > 0; most-- {
		c = &book{v: v, o: o, sheet: newSheet("A5", o, clean("Return card: "+unitOf(v)))}
		c.left, c.right, c.top, c.bottom = 14, 12, 12, 12
		c.size = a5
		c.page(false)
		c.card(most)
		if c.f.PageNo() == 1 {
			break
		}
	}
	return c.output()
}

// card writes the lists, none longer than most.
func (b *book) card(most int) {
	o := b.v.Opened
	b.lines(b.left, b.wrap(h1, b.wide(), unitOf(b.v)))
	tag := ""
	if o.Letter != "" {
		tag = "letter " + o.Letter
	}
	if o.Colour != "" {
		tag = joined(", ", tag, o.Colour+" tape")
	}
	b.lines(b.left, b.wrap(body, b.wide(), joined(" · ", tag, o.Type, b.v.Arc())))
	_, last := b.span()
	b.lines(b.left, b.wrap(note, b.wide(), joined(", ", "Printed "+b.day(b.o.Made), lastWords(b, last.IsZero()))))
	b.y += 1.5
	b.rule(b.left, b.y, b.wide(), 0.3, 0)

	loose, doubt := trust(b.v)
	if n := b.pause(); n != "" {
		b.list("The note you left", []string{n}, most)
	}
	b.list("Last done", b.lastDone(5), most)
	b.list("Loose", loose, most)
	b.list("Not to be trusted", doubt, most)
	if come := b.v.Arrived(4); len(come) > 0 {
		var says []string
		for _, pc := range come {
			says = append(says, joined(", ", joined(" ", pc.Tag, pc.Name), "for "+pc.Position))
		}
		b.list("Has arrived", says, most)
	}
	b.list("Waits", steps(b.v.Waiting(3), true), most)
	b.list("Next", steps(b.v.Next(3), false), most)
}

func lastWords(b *book, never bool) string {
	if never {
		return "nothing done yet"
	}
	_, last := b.span()
	return "last touched " + b.day(last)
}

// list writes a heading and its points, each cut to two lines.
func (b *book) list(name string, points []string, most int) {
	b.y += 3
	b.need(12)
	b.lines(b.left, b.wrap(h2, b.wide(), name))
	if len(points) == 0 {
		points = []string{"Nothing."}
	}
	over := len(points) - most
	if over > 0 {
		points = points[:most]
	}
	for _, p := range points {
		ls := b.wrap(cell, b.wide()-4, sentence(p))
		if len(ls) > 2 {
			ls = ls[:2]
			ls[1].text = strings.TrimRight(ls[1].text, " ,.") + " …"
		}
		b.need(height(ls))
		b.text(cell, b.left+0.8, b.y+0.74*cell.lead, "–")
		b.lines(b.left+4, ls)
		b.y += 0.5
	}
	if over > 0 {
		b.lines(b.left+4, []line{{note, "and " + plural(over, "more", "more")}})
	}
}

// lastDone are the newest entries that are not struck, newest first.
func (b *book) lastDone(n int) []string {
	var out []string
	for i := len(b.v.Entries) - 1; i >= 0 && len(out) < n; i-- {
		e := b.v.Entries[i]
		_, gone := b.v.Struck[e.ID]
		if gone || e.Kind == (job.Came{}).Kind() || e.Kind == (job.Left{}).Kind() {
			continue // a move between books comes of what was done
		}
		out = append(out, joined(": ", b.day(e.At), joined(" ", done(e.Kind), b.says(e))))
	}
	return out
}

// pause is the newest note that was left for the return.
func (b *book) pause() string {
	for i := len(b.v.Notes) - 1; i >= 0; i-- {
		if n, ok := is[job.Noted](b.v.Notes[i]); ok && n.Topic == "pause" {
			return n.Text + " (" + b.day(b.v.Notes[i].At) + ")"
		}
	}
	return ""
}

// done is what an entry of a kind is called where its words alone do not say it.
func done(kind string) string {
	switch kind {
	case job.Fitted{}.Kind(), job.Torqued{}.Kind(), job.Locked{}.Kind(), job.Read{}.Kind(), job.Noted{}.Kind(), job.Decided{}.Kind():
		return kind
	}
	return ""
}

// trust parts the open findings into what is loose and what is not proven.
func trust(v *plan.View) (loose, doubt []string) {
	for _, f := range openPoints(v) {
		if f.Kind == plan.Loose && !strings.HasPrefix(f.Key, "setting") {
			loose = append(loose, f.Says)
		} else {
			doubt = append(doubt, f.Says)
		}
	}
	return loose, doubt
}

func steps(ss []plan.Step, why bool) []string {
	var out []string
	for _, s := range ss {
		t := s.Title
		if why && len(s.Waits) > 0 {
			t += ": " + strings.Join(s.Waits, "; ")
		}
		out = append(out, t)
	}
	return out
}
