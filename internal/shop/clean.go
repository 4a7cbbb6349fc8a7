package shop

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// Basket is what the wash basket of a unit is called: each unit has its own, for
// this is where small parts of two units are mixed up.
func (d *Desk) Basket() string { return "basket " + d.Opened.Letter }

// InBasket are the pieces in the unit's wash basket now.
func (d *Desk) InBasket() []string {
	var out []string
	for tag, place := range d.Where {
		if strings.EqualFold(strings.TrimSpace(place), d.Basket()) {
			out = append(out, tag)
		}
	}
	slices.SortFunc(out, natural)
	return out
}

// Unwashed are the pieces that are off the unit and have not been cleaned since.
func (d *Desk) Unwashed() []string {
	var out []string
	for _, sp := range d.Spots {
		for _, tag := range sp.AsFound {
			if _, in := d.In(tag); !in && d.Pieces[tag] != nil && d.Washed(tag) == nil {
				out = append(out, tag)
			}
		}
	}
	slices.SortFunc(out, natural)
	return out
}

// IntoBasket puts what a tag or label names into the wash basket of the unit at
// this bench. What is another unit's is not: Stop then says so, and nothing is
// recorded.
func (sh *Shop) IntoBasket(ctx context.Context, by By, book, text string) (*Found, error) {
	d, err := sh.Open(ctx, book)
	if err != nil {
		return nil, err
	}
	if by.ID != "" && slices.ContainsFunc(d.Entries, func(e job.Entry) bool { return e.ID == by.ID }) {
		return &Found{Tag: text, Desk: d, Place: d.Basket()}, nil // sent before: a bag that was emptied is no bag any more
	}
	f, err := sh.Scan(ctx, book, text)
	if err != nil {
		return nil, err
	}
	switch {
	case f.Desk.Book == StoresBook:
		return nil, wrap(ErrInvalid, "%s is of the stores: what is new is not washed with what came off", f.Tag)
	case f.Desk.Book != book:
		f.Stop = true
		return f, nil
	}
	for i, tag := range f.Tags {
		if _, err := sh.Record(ctx, by.Nth(i), book, job.Put{Tag: tag, Place: f.Desk.Basket()}); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// put moves a piece within its book. A piece that is another unit's stops the hand
// that holds it.
func (o *order) put(b job.Put) error {
	if err := o.ours(b.Tag); err != nil {
		return err
	}
	if letter, ok := basketOf(b.Place); ok {
		d := o.desk
		if d.Book != StoresBook && !strings.EqualFold(letter, d.Opened.Letter) {
			return o.otherBasket(b.Place)
		}
		if pos, in := d.In(b.Tag); in {
			return wrap(ErrInvalid, "%s is still in the unit at %s: record that it came off first", b.Tag, pos)
		}
	}
	return nil
}

// basketOf is the letter on a wash basket.
func basketOf(place string) (letter string, ok bool) {
	f := strings.Fields(place)
	return strings.Join(f[min(1, len(f)):], " "), len(f) > 1 && strings.EqualFold(f[0], "basket")
}

func (o *order) otherBasket(basket string) error {
	d := o.desk
	return wrap(ErrInvalid, "STOP: this is %s: its parts are washed in %s, and %q is another unit's", d.Opened.Unit, d.Basket(), basket)
}

// ours checks that a piece is in this book; one of another unit says whose it is.
func (o *order) ours(tag string) error {
	if o.desk.Pieces[tag] != nil {
		return nil
	}
	f, err := o.sh.Scan(o.ctx, o.desk.Book, tag)
	if err == nil && f.Desk.Book != o.desk.Book && f.Piece != nil {
		return wrap(ErrInvalid, "STOP: %s belongs to %s. Put it back: %s", f.Tag, f.Whose(), f.Lies())
	}
	return o.has(tag)
}

func (o *order) cleaned(b job.Cleaned) error {
	d := o.desk
	if b.Position != "" {
		if err := o.position(b.Position); err != nil {
			return err
		}
		if p, ok := d.Box.Position(b.Position); ok && strings.TrimSpace(b.What) == "" {
			b.What = p.Label()
		}
	}
	if strings.TrimSpace(b.What) == "" && len(b.Tags) == 0 {
		b.Tags = d.InBasket()
		if len(b.Tags) == 0 {
			return wrap(ErrInvalid, "cleaning: nothing is in %s; put pieces in, or say what was cleaned", d.Basket())
		}
	}
	for _, tag := range b.Tags {
		if err := o.ours(tag); err != nil {
			return err
		}
		if pos, in := d.In(tag); in {
			return wrap(ErrInvalid, "%s is still in the unit at %s: record that it came off first", tag, pos)
		}
	}
	if b.What = strings.TrimSpace(b.What); b.What == "" {
		b.What = strings.Join(b.Tags, ", ")
	}
	if b.Place == "" && slices.ContainsFunc(b.Tags, func(tag string) bool { return slices.Contains(d.InBasket(), tag) }) {
		b.Place = "tray " + d.Opened.Letter + ", clean"
	}
	if err := need(b.With, "cleaning", "say what was used on it"); err != nil {
		return err
	}
	if b.Basket = strings.TrimSpace(b.Basket); b.Basket == "" {
		b.Basket = d.Basket()
	}
	if letter, ok := basketOf(b.Basket); ok && !strings.EqualFold(letter, d.Opened.Letter) {
		return o.otherBasket(b.Basket)
	}
	o.body = b
	return o.shown(b.Photos)
}

func (o *order) repaired(b job.Repaired) error {
	if err := need(b.How, "repair", "say how it was made good"); err != nil {
		return err
	}
	if b.What == "" {
		b.What = "other"
	}
	var kinds []string
	for _, m := range gearbox.Makings() {
		kinds = append(kinds, m.What)
	}
	if !slices.Contains(kinds, b.What) {
		return wrap(ErrInvalid, "repair of a %q; there are %s", b.What, strings.Join(kinds, ", "))
	}
	o.body = b
	return o.shown(b.Photos)
}

// WashCare says what to mind when something is cleaned with something: sentences,
// and the keys of cautions.
func (d *Desk) WashCare(with string) (says []string, keys []string) {
	keys = []string{"solvent"}
	metal := d.Box.CaseMetal(d.Built)
	if metal == "magnesium" || metal == "" {
		keys = append(keys, "magnesium")
	}
	w := gearbox.WashingOf(with)
	if w == nil {
		return nil, keys
	}
	for _, k := range w.Care {
		if !slices.Contains(keys, k) {
			keys = append(keys, k)
		}
	}
	if slices.Contains(w.On, metal) {
		says = append(says, fmt.Sprintf("The case is %s: %s is not for it until a hidden spot has been tried and timed.", metal, w.With))
	}
	return append(says, w.Says), keys
}
