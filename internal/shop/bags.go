package shop

import (
	"context"
	"fmt"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// Unseen are the pieces off a unit that nobody has had in hand for so many days.
func (sh *Shop) Unseen(d *Desk, days int) []plan.Unseen { return d.NotSeen(sh.now(), days) }

// SawBag records that a bag was opened and that all it should hold is there: each
// piece in it has been seen. It returns how many there are.
func (sh *Shop) SawBag(ctx context.Context, by By, book, place string) (int, error) {
	d, err := sh.Open(ctx, book)
	if err != nil {
		return 0, err
	}
	for _, b := range d.Bags() {
		if !strings.EqualFold(b.Place, strings.TrimSpace(place)) {
			continue
		}
		if len(b.Pieces) == 0 {
			return 0, wrap(ErrInvalid, "%s is empty by the book: nothing in it could be seen", b.Place)
		}
		for i, p := range b.Pieces {
			one := by
			if i > 0 {
				one.ID = ""
			}
			if _, err := sh.Record(ctx, one, book, job.Put{Tag: p.Tag, Place: b.Place}); err != nil {
				return i, err
			}
		}
		return len(b.Pieces), nil
	}
	return 0, wrap(ErrNotFound, "%s has no bag or tray called %q", d.Opened.Unit, clipped(place))
}

// KeepMystery puts a part of which nobody knows where it belongs into the mystery
// bag of a unit, under a tag of its own. It is a loose end until it is explained.
func (sh *Shop) KeepMystery(ctx context.Context, by By, book, what, where string, photos []string) (string, error) {
	if err := need(what, "part", "say what it looks like, such as: small steel plate, 20 × 8, one hole"); err != nil {
		return "", err
	}
	d, err := sh.Open(ctx, book)
	if err != nil {
		return "", err
	}
	tag := ""
	for n := 1; tag == ""; n++ {
		t := fmt.Sprintf("%s-M%d", d.Opened.Letter, n)
		books, err := sh.store.FindTag(ctx, t)
		if err != nil {
			return "", fmt.Errorf("tag %s: %w", t, err)
		}
		if len(books) == 0 && d.Pieces[t] == nil {
			tag = t
		}
	}
	p := job.Piece{Tag: tag, Name: strings.TrimSpace(what), Origin: "found " + strings.TrimSpace(where)}
	if strings.TrimSpace(where) == "" {
		p.Origin = d.Opened.Unit
	}
	if _, err := sh.Record(ctx, by, book, job.Added{Piece: p, Place: plan.MysteryBag(d.Opened.Letter)}); err != nil {
		return "", err
	}
	if len(photos) > 0 {
		by.ID = ""
		text := "In the mystery bag: " + tag + " " + p.Name
		if _, err := sh.Record(ctx, by, book, job.Noted{Text: text, Topic: "mystery", Photos: photos}); err != nil {
			return tag, err
		}
	}
	return tag, nil
}
