package postgres

import (
	"bytes"
	"context"
	"fmt"
	"slices"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/seal"
)

// head is the locked row of a book.
type head struct {
	seq  int
	seal []byte
}

// Append implements shop.Store.
func (s *Store) Append(ctx context.Context, adds ...shop.Add) error {
	if err := shop.CheckAdds(adds); err != nil {
		return err
	}
	if len(adds) == 0 {
		return ctx.Err()
	}
	var books []string
	for _, a := range adds {
		books = append(books, a.Book)
	}
	slices.Sort(books) // all lock in the same order
	repeat := false
	err := s.write(ctx, func(t *tx) (err error) {
		heads, err := t.lock(books)
		if err != nil {
			return err
		}
		if repeat, err = t.repeat(adds, heads); err != nil || repeat {
			return err
		}
		for _, a := range adds {
			if at := heads[a.Book].seq; at != a.After {
				return fmt.Errorf("%w: %q is at %d, this was decided at %d; look again and decide anew", shop.ErrConflict, a.Book, at, a.After)
			}
		}
		return t.add(adds, heads)
	})
	if err != nil {
		return fmt.Errorf("books %q: %w", books, err)
	}
	if !repeat {
		s.bell.ring(books)
	}
	return nil
}

// lock makes the head rows of books that have none, and locks all.
func (t *tx) lock(books []string) (map[string]head, error) {
	for {
		heads := map[string]head{}
		rows, err := t.QueryContext(t.ctx, "SELECT book, seq, seal FROM head WHERE book = ANY($1) ORDER BY book FOR UPDATE", books)
		err = scan(rows, err, func() error {
			var book string
			var h head
			err := rows.Scan(&book, &h.seq, &h.seal)
			heads[book] = h
			return err
		})
		if err != nil || len(heads) == len(books) {
			return heads, err
		}
		if _, err := t.exec("INSERT INTO head (book, seq) SELECT b, 0 FROM unnest($1::text[]) b ORDER BY b ON CONFLICT DO NOTHING", books); err != nil {
			return nil, err
		}
	}
}

// repeat reports whether all lines are already held. If none is, the heads stay
// as they were.
func (t *tx) repeat(adds []shop.Add, heads map[string]head) (bool, error) {
	sent := map[[2]string][]byte{}
	var books, ids []string
	for _, a := range adds {
		for _, l := range a.Lines {
			sent[[2]string{a.Book, l.ID}] = l.Bytes
			if heads[a.Book].seq > 0 {
				books, ids = append(books, a.Book), append(ids, l.ID)
			}
		}
	}
	if len(ids) == 0 {
		return false, nil
	}
	held := 0
	rows, err := t.QueryContext(t.ctx, `SELECT e.book, e.id, e.bytes FROM entry e
		JOIN unnest($1::text[], $2::text[]) AS n (book, id) ON e.book = n.book AND e.id = n.id`, books, ids)
	err = scan(rows, err, func() error {
		var book, id string
		var b []byte
		if err := rows.Scan(&book, &id, &b); err != nil {
			return err
		}
		if !bytes.Equal(b, sent[[2]string{book, id}]) {
			return fmt.Errorf("%w: %q holds an entry %q that says something else; give this one an id of its own", shop.ErrConflict, book, id)
		}
		held++
		return nil
	})
	if err == nil && held > 0 && held < len(sent) {
		err = fmt.Errorf("%w: %d of these %d entries are already held; send the others by themselves", shop.ErrConflict, held, len(sent))
	}
	return held > 0, err
}

// add writes the lines, heads and tags of all books, a statement for each.
func (t *tx) add(adds []shop.Add, heads map[string]head) error {
	var e struct {
		books, ids []string
		seqs       []int64
		bytes      [][]byte
	}
	var h struct {
		books        []string
		seqs         []int64
		bodies, seal [][]byte
	}
	var tagBooks, tags []string
	for _, a := range adds {
		for i, l := range a.Lines {
			e.books, e.ids, e.bytes = append(e.books, a.Book), append(e.ids, l.ID), append(e.bytes, l.Bytes)
			e.seqs = append(e.seqs, int64(a.After+i+1))
		}
		sealed, err := seal.After(heads[a.Book].seal, a.Lines)
		if err != nil {
			return fmt.Errorf("book %q: %w", a.Book, err)
		}
		h.books, h.seqs = append(h.books, a.Book), append(h.seqs, int64(a.After+len(a.Lines)))
		h.bodies, h.seal = append(h.bodies, a.Summary), append(h.seal, sealed)
		for _, tag := range a.Tags {
			tagBooks, tags = append(tagBooks, a.Book), append(tags, tag)
		}
	}
	if len(e.ids) > 0 {
		if _, err := t.exec(`INSERT INTO entry (book, seq, id, bytes)
			SELECT * FROM unnest($1::text[], $2::bigint[], $3::text[], $4::bytea[])`, e.books, e.seqs, e.ids, e.bytes); err != nil {
			return err
		}
	}
	if _, err := t.exec(`UPDATE head SET seq = n.seq, body = n.body, seal = n.seal
		FROM unnest($1::text[], $2::bigint[], $3::bytea[], $4::bytea[]) AS n (book, seq, body, seal)
		WHERE head.book = n.book`, h.books, h.seqs, h.bodies, h.seal); err != nil {
		return err
	}
	return t.retag(h.books, tagBooks, tags)
}

// retag changes only what differs: most entries move no piece between books.
func (t *tx) retag(books, tagBooks, tags []string) error {
	if _, err := t.exec(`DELETE FROM tag WHERE book = ANY($1::text[]) AND NOT EXISTS
		(SELECT FROM unnest($2::text[], $3::text[]) AS n (book, tag) WHERE n.book = tag.book AND n.tag = tag.tag)`, books, tagBooks, tags); err != nil {
		return err
	}
	if len(tags) == 0 {
		return nil
	}
	_, err := t.exec(`INSERT INTO tag (book, tag) SELECT * FROM unnest($1::text[], $2::text[])
		ON CONFLICT DO NOTHING`, tagBooks, tags)
	return err
}

// PutBlob implements shop.Store.
func (s *Store) PutBlob(ctx context.Context, salt, b []byte) (string, error) {
	key := job.Salted(salt, b)
	err := s.write(ctx, func(t *tx) error {
		for {
			// A nil slice would be NULL.
			added, err := t.exec("INSERT INTO blob (key, salt) VALUES ($1, $2) ON CONFLICT DO NOTHING", key, append([]byte{}, salt...))
			if err != nil {
				return err
			}
			if added > 0 {
				break
			}
			// Whoever put it may have been cut off before the standby had it. A commit
			// waits for the standby only if its transaction wrote something, as a lock is.
			held, err := t.exec("SELECT FROM blob WHERE key = $1 FOR KEY SHARE", key)
			if err != nil || held > 0 { // or it was dropped a moment ago
				return err
			}
		}
		for n, rest := 0, b; len(rest) > 0; n++ {
			size := min(len(rest), chunkSize)
			if _, err := t.exec("INSERT INTO chunk (key, n, bytes) VALUES ($1, $2, $3)", key, n, rest[:size]); err != nil {
				return err
			}
			rest = rest[size:]
		}
		return nil
	})
	if err != nil {
		return "", fmt.Errorf("keeping %d bytes: %w", len(b), err)
	}
	return key, nil
}

// chunkSize bounds a row, so that a large photo needs no large row.
const chunkSize = 1 << 20

// DropBlob implements shop.Store. The bytes are gone from the tables at once;
// the database overwrites them on its disk, in its log and in its own backups
// in its own time.
func (s *Store) DropBlob(ctx context.Context, key string) error {
	if !shop.Storable(key) {
		return ctx.Err()
	}
	return s.write(ctx, func(t *tx) error {
		// As in PutBlob, for where it is gone already. A lock that others may share,
		// and taken first, as migrate does, so that the two do not wait for each other.
		if _, err := t.exec("SELECT FROM endfloat_format FOR KEY SHARE"); err != nil {
			return err
		}
		_, err := t.exec("DELETE FROM blob WHERE key = $1", key)
		return err
	})
}
