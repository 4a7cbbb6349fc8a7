package shop

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"endfloat/internal/choose"
	"endfloat/internal/job"

	"github.com/google/uuid"
)

// Assign decides what moves on the board put where, in the books of their units,
// all in one transaction. on says which entry of each book the board was seen on.
// Moves that break something are refused until why gives a reason; what they
// break then stands in the book as a finding, to be passed or mended there.
func (sh *Shop) Assign(ctx context.Context, by By, moves []Move, on map[string]int, why string) ([]string, error) {
	if len(moves) == 0 {
		return nil, wrap(ErrInvalid, "no move was made; say what goes where, such as linnet.P08=P-P08")
	}
	b, err := sh.Board(ctx, moves)
	if err != nil {
		return nil, err
	}
	why = strings.TrimSpace(why)
	if len(b.Breaks) > 0 && len(why) < 8 {
		return nil, wrap(ErrInvalid, "this breaks what holds now: %s. Move what goes with it too, or write in a sentence why it may be; that stays in the book", strings.Join(b.Breaks, "; "))
	}
	o := &order{sh: sh, ctx: ctx, books: map[string]*Desk{}, by: by}
	var says []string
	for u, d := range b.Desks {
		for _, m := range moves {
			if m.Book != d.Book {
				continue
			}
			if err := seen(d, on); err != nil {
				return nil, err
			}
			p, _ := d.Box.Position(m.Position)
			dec, ok := b.choice.decision(u, p, b.now)
			if !ok {
				continue
			}
			if why != "" {
				dec.Why = why
			}
			o.books[d.Book] = d
			o.also = append(o.also, also{d.Book, dec})
			says = append(says, saysDecided(d, p.Label(), dec))
		}
	}
	if len(o.also) == 0 {
		return nil, wrap(ErrInvalid, "all of this is decided already")
	}
	return says, o.together()
}

// seen refuses what was decided on an earlier state of a book, or on none.
func seen(d *Desk, on map[string]int) error {
	switch was, ok := on[d.Book]; {
	case !ok:
		return wrap(ErrInvalid, "say on which entry of %s this was decided", d.Opened.Unit)
	case was != d.Seq:
		return wrap(ErrInvalid, "the book of %s has moved on since this was worked out (entry %d, then %d): look at it again", d.Opened.Unit, was, d.Seq)
	}
	return nil
}

// saysDecided puts a decision of several books into words.
func saysDecided(d *Desk, label string, dec job.Decided) string {
	what := dec.Choice
	if dec.Piece != "" {
		what += " " + dec.Piece
	} else if dec.Variant != "" {
		what += " " + dec.Variant
	}
	return d.Opened.Unit + " " + label + ": " + what
}

// together appends what was gathered in also, in one transaction.
func (o *order) together() error {
	last := o.also[len(o.also)-1]
	o.desk, o.body, o.also = o.books[last.book], last.body, o.also[:len(o.also)-1]
	if err := o.may(); err != nil {
		return err
	}
	by := o.by
	if by.ID == "" {
		id, err := uuid.NewV7()
		if err != nil {
			return fmt.Errorf("id: %w", err)
		}
		by.ID = id.String()
	}
	adds, after, err := o.adds(by)
	if err != nil {
		return err
	}
	if err := o.sh.store.Append(o.ctx, adds...); errors.Is(err, ErrConflict) {
		return wrap(ErrConflict, "somebody wrote to one of these books at the same moment: look at it again")
	} else if err != nil {
		return err
	}
	for _, d := range after {
		o.sh.keep(d)
		o.sh.bell.ring(d.Book)
	}
	return nil
}

// Teeth holds the teeth of a unit against its centre distances. counts, such as
// "P15=39", are what was counted now.
func Teeth(d *Desk, counts []string) ([]choose.Pair, error) {
	if d.Box == nil || len(d.Box.Meshes) == 0 {
		return nil, wrap(ErrInvalid, "the gearbox file of %s names no speeds; add them under \"speeds\"", d.Opened.Unit)
	}
	counted := map[string]int{}
	for _, c := range counts {
		id, n, _ := strings.Cut(c, "=")
		z, err := strconv.Atoi(n)
		if err != nil || z < 3 || z > 500 {
			return nil, wrap(ErrInvalid, "teeth: %q was read, a position and a count such as P15=39 are expected", c)
		}
		if _, ok := d.Box.Position(id); !ok {
			return nil, wrap(ErrInvalid, "position: %s has no %q", d.Box.Name, id)
		}
		counted[id] = z
	}
	return choose.Pairs(d.Box, d.Built, counted), nil
}
