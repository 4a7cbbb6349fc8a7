package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"

	"endfloat/internal/shop"
	"endfloat/internal/store/seal"
)

// Append implements shop.Store.
func (s *Store) Append(ctx context.Context, adds ...shop.Add) error {
	if err := shop.CheckAdds(adds); err != nil {
		return err
	}
	return s.write(&write{ctx: ctx, do: func(t *tx) error {
		if repeat, err := t.repeat(adds); err != nil || repeat {
			return err
		}
		for _, a := range adds {
			if err := t.unmoved(a); err != nil {
				return err
			}
		}
		for _, a := range adds {
			if err := t.add(a); err != nil {
				return fmt.Errorf("book %q: %w", a.Book, err)
			}
		}
		return nil
	}})
}

// repeat reports whether all lines are already held.
func (t *tx) repeat(adds []shop.Add) (bool, error) {
	held, all := 0, 0
	for _, a := range adds {
		for _, l := range a.Lines {
			all++
			var b []byte
			err := t.get(&b, "SELECT bytes FROM entry WHERE book = $1 AND id = $2", a.Book, l.ID)
			switch {
			case errors.Is(err, sql.ErrNoRows):
				continue
			case err != nil:
				return false, fmt.Errorf("book %q: %w", a.Book, err)
			case !bytes.Equal(b, l.Bytes):
				return false, fmt.Errorf("%w: %q holds an entry %q that says something else; give this one an id of its own", shop.ErrConflict, a.Book, l.ID)
			}
			held++
		}
	}
	if held > 0 && held < all {
		return false, fmt.Errorf("%w: %d of these %d entries are already held; send the others by themselves", shop.ErrConflict, held, all)
	}
	return held > 0, nil
}

// unmoved refuses an add decided on another state of its book.
func (t *tx) unmoved(a shop.Add) error {
	var at int
	err := t.get(&at, "SELECT coalesce(max(seq), 0) FROM entry WHERE book = $1", a.Book)
	if err != nil {
		return fmt.Errorf("book %q: %w", a.Book, err)
	}
	if at != a.After {
		return fmt.Errorf("%w: %q is at %d, this was decided at %d; look again and decide anew", shop.ErrConflict, a.Book, at, a.After)
	}
	return nil
}

func (t *tx) add(a shop.Add) error {
	seq := a.After
	for _, l := range a.Lines {
		seq++
		if _, err := t.exec("INSERT INTO entry (book, seq, id, bytes) VALUES ($1, $2, $3, $4)", a.Book, seq, l.ID, l.Bytes); err != nil {
			return err
		}
	}
	sealed, err := t.seal(a)
	if err != nil {
		return err
	}
	if _, err := t.exec(`INSERT INTO summary (book, seq, body, seal) VALUES ($1, $2, $3, $4)
		ON CONFLICT (book) DO UPDATE SET seq = excluded.seq, body = excluded.body, seal = excluded.seal`, a.Book, seq, a.Summary, sealed); err != nil {
		return err
	}
	return t.retag(a.Book, a.Tags)
}

// seal returns the seal of a book with the lines of an add.
func (t *tx) seal(a shop.Add) ([]byte, error) {
	var old []byte
	err := t.get(&old, "SELECT seal FROM summary WHERE book = $1", a.Book)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return nil, err
	}
	return seal.After(old, a.Lines)
}

// retag changes only what differs: most entries move no piece between books.
func (t *tx) retag(book string, tags []string) error {
	old, err := t.list("SELECT tag FROM tag WHERE book = $1 ORDER BY tag", book)
	if err != nil {
		return err
	}
	tags = slices.Compact(slices.Sorted(slices.Values(tags)))
	for _, tag := range old {
		if _, ok := slices.BinarySearch(tags, tag); !ok {
			if _, err := t.exec("DELETE FROM tag WHERE book = $1 AND tag = $2", book, tag); err != nil {
				return err
			}
		}
	}
	for _, tag := range tags {
		if _, ok := slices.BinarySearch(old, tag); !ok {
			if _, err := t.exec("INSERT INTO tag (book, tag) VALUES ($1, $2)", book, tag); err != nil {
				return err
			}
		}
	}
	return nil
}
