package shop

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/internal/job"
)

// fitted: a decision. The piece must be here, the step must not wait, and it
// must go on the right way round.
func (o *order) fitted(b job.Fitted) error {
	d := o.desk
	if err := o.position(b.Position); err != nil {
		return err
	}
	p, _ := d.Box.Position(b.Position)
	if len(b.Tags) == 0 {
		return wrap(ErrInvalid, "%s: say which piece goes on, by its tag", p.Label())
	}
	if h := o.holdAt("fit", b.Position); h != nil && len(d.At[b.Position]) == 0 {
		return h
	}
	if err := o.manned(p, "Fit", b.With); err != nil {
		return err
	}
	if len(p.Faces) > 0 {
		want := fmt.Sprintf("%s toward %s", p.Faces[0].Face, p.Faces[0].Toward)
		if strings.TrimSpace(b.Faces) == "" {
			return wrap(ErrInvalid, "%s: which way round does it go on? The gearbox file has the %s", p.Label(), want)
		}
		if !strings.EqualFold(b.Faces, want) && !strings.EqualFold(b.Faces, "as "+want) {
			return wrap(ErrInvalid, "%s would go on %q, but the gearbox file has the %s. Turn it, or mend the file", p.Label(), b.Faces, want)
		}
	}
	if err := o.packFits(p.Label(), b); err != nil {
		return err
	}
	for i, t := range b.Tags {
		if slices.Contains(b.Tags[:i], t) {
			return wrap(ErrInvalid, "%s: piece %s is named twice", p.Label(), t)
		}
		if err := o.fetch(t, "bench"); err != nil {
			return err
		}
	}
	o.putBack(b)
	return nil
}

func (o *order) packFits(label string, b job.Fitted) error {
	p, _ := o.desk.Box.Position(b.Position)
	if p.Seat == nil || p.Seat.Max == 0 || len(b.Tags) <= p.Seat.Max {
		return nil
	}
	return wrap(ErrInvalid, "%s takes at most %d pieces, %d were named", label, p.Seat.Max, len(b.Tags))
}

// fetch brings a piece into this book from wherever it is: the stores or a
// donor. A piece that sits in another unit being rebuilt stays there.
func (o *order) fetch(tag, place string) error {
	if o.desk.Pieces[tag] != nil {
		return nil
	}
	stores, err := o.open(StoresBook)
	if err != nil {
		return err
	}
	if stores.Pieces[tag] != nil {
		return o.move(stores, tag, place)
	}
	books, err := o.sh.store.FindTag(o.ctx, tag)
	if err != nil {
		return fmt.Errorf("tag %s: %w", tag, err)
	}
	if len(books) == 0 {
		return wrap(ErrInvalid, "no piece is tagged %q anywhere; add it first, or look at the tag again", tag)
	}
	from, err := o.open(books[0])
	if err != nil {
		return err
	}
	if from.Pieces[tag] == nil {
		return ErrConflict // it moved on a moment ago: decide again
	}
	if !from.Opened.Donor {
		return wrap(ErrInvalid, "STOP: %s belongs to %s (%s, tape %s), not to %s. Put it back in its own tray", tag, from.Opened.Unit, from.Opened.Letter, from.Opened.Colour, o.desk.Opened.Unit)
	}
	return o.move(from, tag, place)
}

func (o *order) open(book string) (*Desk, error) {
	if d := o.books[book]; d != nil {
		return d, nil
	}
	d, err := o.sh.load(o.ctx, book)
	if err != nil {
		return nil, err
	}
	o.books[book] = d
	return d, nil
}

// move writes both halves of a move from another book into this one.
func (o *order) move(from *Desk, tag, place string) error {
	pc := *from.Pieces[tag]
	if pos, in := from.In(tag); in && !from.Opened.Donor {
		return wrap(ErrInvalid, "piece %s is fitted at %s of %s; a piece is never in two places", tag, pos, from.Opened.Unit)
	}
	o.also = append(o.also,
		also{from.Book, job.Left{Tag: tag, To: o.desk.Book}},
		also{o.desk.Book, job.Came{Piece: pc, From: from.Book, Place: place}})
	return nil
}

// putBack returns drawer pieces that leave a seat to the drawer, so that the
// other unit can have them.
func (o *order) putBack(b job.Fitted) {
	for _, t := range o.desk.At[b.Position] {
		pc := o.desk.Pieces[t]
		if slices.Contains(b.Tags, t) || pc == nil || pc.Stock == "" || pc.Origin != "drawer" {
			continue
		}
		if _, err := o.open(StoresBook); err != nil {
			return
		}
		o.also = append(o.also,
			also{o.desk.Book, job.Left{Tag: t, To: StoresBook}},
			also{StoresBook, job.Came{Piece: *pc, From: o.desk.Book, Place: "drawer"}})
	}
}

// holdAt is the refusal of a step that waits, nil when it can be done.
func (o *order) holdAt(do, position string) *HoldError {
	for _, s := range o.desk.Build {
		if s.Do == do && s.Position != nil && s.Position.ID == position && len(s.Waits) > 0 {
			return &HoldError{Step: s.Title, Waits: s.Waits}
		}
	}
	return nil
}

func (o *order) torqued(b job.Torqued) error {
	d := o.desk
	if err := o.position(b.Position); err != nil {
		return err
	}
	p, _ := d.Box.Position(b.Position)
	switch {
	case !p.Fastening():
		return wrap(ErrInvalid, "%s has no torque in the gearbox file; add \"torque:\" with where it stands", p.Label())
	case len(d.At[b.Position]) == 0:
		return &HoldError{Step: "Torquing " + p.Label(), Waits: []string{"it is not on yet"}}
	case !(b.Torque > 0) || math.IsInf(b.Torque, 0):
		return wrap(ErrInvalid, "%s: the torque reached must be above 0 N·m", p.Label())
	case b.Method == "":
		return wrap(ErrInvalid, "%s: say how it was torqued: wrench, wrench with extension, or bar and scale", p.Label())
	}
	return nil
}

func (o *order) locked(b job.Locked) error {
	d := o.desk
	if err := o.position(b.Position); err != nil {
		return err
	}
	p, _ := d.Box.Position(b.Position)
	sp := d.Spots[b.Position]
	if sp == nil || sp.Torqued == nil || sp.Torqued.Is.Trial {
		return &HoldError{Step: "Locking " + p.Label(), Waits: []string{"it has not had its final torque"}, Mend: "A lock before the final torque is broken by it."}
	}
	return need(b.How, "lock", "say how: tab bent on a flat, collar staked into the slot, wire")
}

// LeftOver names what is missing behind a lid, for the question before it closes.
func (d *Desk) LeftOver(position string) []string {
	if d.Box == nil {
		return nil
	}
	p, ok := d.Box.Position(position)
	if !ok {
		return nil
	}
	var out []string
	for _, q := range d.Missing(p) {
		out = append(out, q.Label())
	}
	return out
}
