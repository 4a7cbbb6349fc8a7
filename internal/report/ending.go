package report

import (
	"fmt"
	"strings"

	"endfloat/internal/archive"
	"endfloat/internal/job"

	"rsc.io/qr"
)

// entries is the whole book, one line an entry, so that "entry 12" anywhere in
// it can be looked up.
func (b *book) entries() {
	b.part("All entries")
	if len(b.v.Entries) == 0 {
		b.para(body, "The book is empty.")
		return
	}
	var rows []row
	for _, e := range b.v.Entries {
		a, kind := tiny, e.Kind
		says := b.says(e)
		if _, gone := b.v.Struck[e.ID]; gone {
			a.grey, kind = 130, e.Kind+" (struck)"
		}
		if kind == "" {
			kind = "?"
		}
		when := ""
		if !e.At.IsZero() {
			when = e.At.In(b.o.Made.Location()).Format("2 Jan 2006 15:04")
		}
		rows = append(rows, row{in(a, fmt.Sprint(e.Seq)), in(a, when), in(a, b.name(e.By)), in(a, kind), in(a, says)})
	}
	b.table([]col{{"No", 0.9}, {"When", 2.5}, {"Who", 2.3}, {"Kind", 1.8}, {"What", 9}}, rows)
}

var tiny = face{false, 7, 3.2, 0}

// signatures are those given, room for those still to give, and the pin.
func (b *book) signatures() {
	b.part("Signatures and seal")
	var rows []row
	for _, e := range b.v.Signed {
		if s, ok := is[job.Signed](e); ok {
			rows = append(rows, row{in(cell, s.What), in(cell, b.name(s.Name)), in(cell, s.As), in(small, b.stamp(e))})
		}
	}
	if len(rows) > 0 {
		b.under("Signed in the book")
		b.table([]col{{"What", 4}, {"By", 4}, {"As", 3}, {"Recorded", 4}}, rows)
	}
	b.need(46)
	b.gap(16)
	half := (b.wide() - 12) / 2
	for i, who := range []string{"Built by, date", "Received by, date"} {
		x := b.left + float64(i)*(half+12)
		b.rule(x, b.y, half, 0.2, 0)
		b.text(note, x, b.y+4, who)
	}
	b.y += 12
	b.seal()
}

// seal prints the head of the book's tree of hashes, as text and as a code.
func (b *book) seal() {
	pin := clean(b.o.Pin)
	if pin == "" {
		b.para(body, "No seal was given for this book.")
		return
	}
	checkpoint := b.o.Checkpoint
	if checkpoint == "" {
		checkpoint = archive.FromPin(b.v.Book, pin)
	}
	code, err := qr.Encode(checkpoint, qr.H)
	if err != nil {
		b.err = fmt.Errorf("book: the seal cannot be put into a code: %w", err)
		return
	}
	const side = 40.0
	b.need(side + 4)
	top := b.y
	b.modules(code, b.left, top, side)
	x := b.left + side + 6
	w := b.w - b.right - x
	size, hash, _ := strings.Cut(pin, " ")
	ls := b.wrap(strong, w, "Seal of the book")
	ls = append(ls, b.wrap(body, w, "Entries: "+size)...)
	ls = append(ls, b.wrap(body, w, hash)...)
	ls = append(ls, b.wrap(note, w, "Head of a Merkle tree over every entry (RFC 6962, SHA-256). A copy of the book that gives the same head has not lost, gained or altered an entry up to this one. The code holds the same as a checkpoint, an open form (C2SP tlog-checkpoint).")...)
	if len(b.o.Data) > 0 {
		ls = append(ls, b.wrap(note, w, "The data of this book are attached to its PDF: endfloat verify holds the one against the other.")...)
	}
	if _, signed, ok := strings.Cut(checkpoint, "\n\n"); ok {
		ls = append(ls, b.wrap(note, w, "Signed by the workshop: "+strings.TrimSpace(signed))...)
	}
	b.y = top + 1
	b.lines(x, ls)
	b.y = max(b.y, top+side) + 4
	made := "Printed " + b.day(b.o.Made)
	if b.o.Version != "" {
		made += " by endfloat " + clean(b.o.Version)
	}
	b.para(note, made+".")
}

// modules draws a QR code with its quiet zone into a square.
func (s *sheet) modules(c *qr.Code, x, y, side float64) {
	const quiet = 4
	u := side / float64(c.Size+2*quiet)
	s.f.SetFillColor(0, 0, 0)
	for r := range c.Size {
		for from := 0; from < c.Size; from++ {
			to := from
			for to < c.Size && c.Black(to, r) {
				to++
			}
			if to > from {
				s.f.Rect(x+u*float64(from+quiet), y+u*float64(r+quiet), u*float64(to-from), u, "F")
				from = to
			}
		}
	}
}
