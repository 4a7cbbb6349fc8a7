package shop

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/label"
)

// Found is what a label leads to.
type Found struct {
	Tag   string     // of the piece as its book has it, or the place that a bag is called by
	Desk  *Desk      // the book that it is in
	Piece *job.Piece // nil for a bag
	Tags  []string   // of the pieces: one, or those in the bag
	Place string     // where it lies
	At    string     // position in the unit that it sits in, "" while it is off

	// Stop says that it belongs to another unit that is being rebuilt: at this
	// bench the hand that holds it is stopped.
	Stop bool
}

// Scan says what a tag leads to: typed, read from a label, or the whole text of
// its code. book is the job at this bench, "" where there is none. A letter is
// free again once its unit has been handed over, so the piece at this bench goes
// first, then one of a unit still here.
func (sh *Shop) Scan(ctx context.Context, book, text string) (*Found, error) {
	tag, ours := label.Tag(text)
	if !ours {
		tag = strings.TrimSpace(text)
	}
	if tag == "" {
		return nil, wrap(ErrInvalid, "tag: nothing was read; type it as it stands on the label, such as L-P08")
	}
	for _, t := range spellings(tag) {
		books, err := sh.store.FindTag(ctx, t)
		if err != nil {
			return nil, fmt.Errorf("tag %s: %w", t, err)
		}
		if len(books) > 0 {
			return sh.piece(ctx, book, t, books)
		}
	}
	f, err := sh.bag(ctx, book, tag)
	if f != nil || err != nil {
		return f, err
	}
	if !ours && strings.ContainsAny(text, ":/?") {
		return nil, wrap(ErrNotFound, "this code is no label of this workshop; it reads %q", clipped(text))
	}
	return nil, wrap(ErrNotFound, "No piece is tagged %q anywhere. Look at the tag again", clipped(tag))
}

func clipped(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

// spellings are the ways in which a hand may have typed a tag.
func spellings(tag string) []string {
	return slices.Compact([]string{tag, strings.ToUpper(tag), strings.ToLower(tag)})
}

func (sh *Shop) piece(ctx context.Context, book, tag string, books []string) (*Found, error) {
	var best *Desk
	rank := func(d *Desk) int {
		switch {
		case d.Book == book:
			return 0
		case d.Closed == nil:
			return 1
		}
		return 2
	}
	for _, b := range books {
		d, err := sh.load(ctx, b)
		if err != nil {
			return nil, err
		}
		if d.Pieces[tag] != nil && (best == nil || rank(d) < rank(best)) {
			best = d
		}
	}
	if best == nil {
		return nil, wrap(ErrNotFound, "the piece tagged %q has just moved. Ask again", tag)
	}
	f := &Found{Tag: tag, Desk: best, Piece: best.Pieces[tag], Tags: []string{tag}, Place: best.Where[tag], Stop: stops(best, book)}
	f.At, _ = best.In(tag)
	return f, nil
}

// bag finds a place by what it is called. Of two units with bags of one name the
// one at this bench is meant.
func (sh *Shop) bag(ctx context.Context, book, place string) (*Found, error) {
	rows, err := sh.Jobs(ctx)
	if err != nil {
		return nil, err
	}
	names := []string{book, StoresBook}
	for _, r := range rows {
		names = append(names, r.Book)
	}
	for _, b := range names {
		if b == "" {
			continue
		}
		d, err := sh.load(ctx, b)
		if errors.Is(err, ErrNotFound) {
			continue
		}
		if err != nil {
			return nil, err
		}
		f := &Found{Desk: d, Stop: stops(d, book)}
		for tag, where := range d.Where {
			if strings.EqualFold(strings.TrimSpace(where), place) {
				f.Tag, f.Place = where, where
				f.Tags = append(f.Tags, tag)
			}
		}
		if len(f.Tags) > 0 {
			slices.SortFunc(f.Tags, natural)
			return f, nil
		}
	}
	return nil, nil
}

// stops reports whether what is in d's book must not be used at this bench. What
// lies in the stores is for every unit, and a donor is here for its parts.
func stops(d *Desk, book string) bool {
	return book != "" && d.Book != book && d.Book != StoresBook && !d.Opened.Donor
}

// ReadLabel reads the label in a photo and returns what its code says.
func (sh *Shop) ReadLabel(ctx context.Context, raw []byte) (string, error) {
	img, err := picture(ctx, raw, scanEdge)
	if err != nil {
		return "", err
	}
	text, err := label.Read(img)
	if errors.Is(err, label.ErrNoCode) {
		return "", &marked{ErrInvalid, err.Error()}
	}
	return text, err
}

// scanEdge is the longest edge at which a label is looked for.
const scanEdge = 1600

// Whose says which unit it belongs to, with the tape that unit has.
func (f *Found) Whose() string {
	o := f.Desk.Opened
	if f.Desk.Book == StoresBook {
		return "the stores, for any unit"
	}
	says := fmt.Sprintf("%s %s (%s tape)", o.Letter, o.Unit, o.Colour)
	if o.Donor {
		says += ", a donor"
	}
	return says
}

// What says what it is.
func (f *Found) What() string {
	if f.Piece == nil {
		return fmt.Sprintf("holds %s", strings.Join(f.Tags, ", "))
	}
	if f.Piece.Variant != "" {
		return f.Piece.Name + ", " + f.Piece.Variant
	}
	return f.Piece.Name
}

// Lies says where it is, or should be.
func (f *Found) Lies() string {
	switch {
	case f.At != "":
		return "in the unit at " + f.label(f.At)
	case f.Place != "":
		return f.Place
	}
	return "its place is not in the book"
}

func (f *Found) label(position string) string {
	if f.Desk.Box != nil {
		if p, ok := f.Desk.Box.Position(position); ok {
			return p.Label()
		}
	}
	return position
}
