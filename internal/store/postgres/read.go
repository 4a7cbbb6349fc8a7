package postgres

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/seal"
)

// scan calls row for each row of a query.
func scan(rows *sql.Rows, err error, row func() error) error {
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := row(); err != nil {
			return err
		}
	}
	return rows.Err()
}

// query calls row for each row of a query, and reset before each try.
func (s *Store) query(ctx context.Context, reset func(), row func(scan func(...any) error) error, text string, args ...any) error {
	return s.read(ctx, patience, func(ctx context.Context, q querier) error {
		reset()
		rows, err := q.QueryContext(ctx, text, args...)
		return scan(rows, err, func() error { return row(rows.Scan) })
	})
}

// list returns the first column of a query.
func (s *Store) list(ctx context.Context, text string, args ...any) (out []string, err error) {
	err = s.query(ctx, func() { out = nil }, func(scan func(...any) error) error {
		out = append(out, "")
		return scan(&out[len(out)-1])
	}, text, args...)
	return out, err
}

// Lines implements shop.Store. A book read from its beginning is held against
// its seal, which the same statement reads.
func (s *Store) Lines(ctx context.Context, book string, after int) (out []job.Line, _ error) {
	if !shop.Storable(book) {
		return nil, ctx.Err()
	}
	text, args := "SELECT seq, id, bytes, NULL::bytea FROM entry WHERE book = $1 AND seq > $2 ORDER BY seq", []any{book, after}
	if after <= 0 {
		text, args = `SELECT 0 AS seq, '' AS id, NULL::bytea AS bytes, seal FROM head WHERE book = $1
			UNION ALL SELECT seq, id, bytes, NULL FROM entry WHERE book = $1 ORDER BY seq`, args[:1]
	}
	var sealed []byte
	err := s.query(ctx, func() { out, sealed = nil, nil }, func(scan func(...any) error) error {
		var l job.Line
		var seal []byte
		if err := scan(&l.Seq, &l.ID, &l.Bytes, &seal); err != nil {
			return err
		}
		if l.Seq == 0 {
			sealed = seal
		} else {
			out = append(out, l)
		}
		return nil
	}, text, args...)
	if err == nil && after <= 0 {
		if err = seal.Check(sealed, out); err != nil {
			err = s.damaged(err)
		}
	}
	if err != nil {
		return nil, fmt.Errorf("book %q: %w", book, err)
	}
	return out, nil
}

// Summaries implements shop.Store.
func (s *Store) Summaries(ctx context.Context) (out []shop.Summary, _ error) {
	err := s.query(ctx, func() { out = nil }, func(scan func(...any) error) error {
		var m shop.Summary
		err := scan(&m.Book, &m.Seq, &m.Body)
		out = append(out, m)
		return err
	}, "SELECT book, seq, body FROM head ORDER BY book")
	if err != nil {
		return nil, fmt.Errorf("list of books: %w", err)
	}
	return out, nil
}

// FindTag implements shop.Store.
func (s *Store) FindTag(ctx context.Context, tag string) ([]string, error) {
	if !shop.Storable(tag) {
		return nil, ctx.Err()
	}
	books, err := s.list(ctx, "SELECT book FROM tag WHERE tag = $1 ORDER BY book", tag)
	if err != nil {
		return nil, fmt.Errorf("tag %q: %w", tag, err)
	}
	return books, nil
}

// TagsOf implements shop.Whole.
func (s *Store) TagsOf(ctx context.Context, book string) ([]string, error) {
	tags, err := s.list(ctx, "SELECT tag FROM tag WHERE book = $1 ORDER BY tag", book)
	if err != nil {
		return nil, fmt.Errorf("tags of %q: %w", book, err)
	}
	return tags, nil
}

// Blob implements shop.Store. What it returns has been checked against its key.
func (s *Store) Blob(ctx context.Context, key string) ([]byte, error) {
	if !shop.Storable(key) {
		return nil, fmt.Errorf("blob %.12q: %w", key, shop.ErrNotFound)
	}
	var found bool
	var out, salt []byte
	err := s.query(ctx, func() { found, out = false, []byte{} }, func(scan func(...any) error) error {
		var chunk []byte
		err := scan(&salt, &chunk)
		found, out = true, append(out, chunk...)
		return err
	}, "SELECT b.salt, c.bytes FROM blob b LEFT JOIN chunk c ON c.key = b.key WHERE b.key = $1 ORDER BY c.n", key)
	switch {
	case err != nil:
	case !found:
		err = shop.ErrNotFound
	case job.Salted(salt, out) != key:
		err = s.damaged(errors.New("its bytes do not have its key"))
	default:
		return out, nil
	}
	return nil, fmt.Errorf("blob %.12s: %w", key, err)
}

// BlobKeys implements shop.Whole.
func (s *Store) BlobKeys(ctx context.Context, after string, n int) ([]string, error) {
	keys, err := s.list(ctx, "SELECT key FROM blob WHERE key > $1 ORDER BY key LIMIT $2", after, n)
	if err != nil {
		return nil, fmt.Errorf("list of blobs: %w", err)
	}
	return keys, nil
}

// Salt implements shop.Whole.
func (s *Store) Salt(ctx context.Context, key string) (salt []byte, _ error) {
	err := s.read(ctx, patience, func(ctx context.Context, q querier) error {
		return q.QueryRowContext(ctx, "SELECT salt FROM blob WHERE key = $1", key).Scan(&salt)
	})
	if errors.Is(err, sql.ErrNoRows) {
		err = shop.ErrNotFound
	}
	if err != nil {
		return nil, fmt.Errorf("blob %.12s: %w", key, err)
	}
	return salt, nil
}

// Care implements shop.Cared.
func (s *Store) Care(ctx context.Context, c shop.Care) error {
	return s.write(ctx, func(t *tx) error {
		_, err := t.exec(`INSERT INTO care (what, at, note) VALUES ($1, $2, $3)
			ON CONFLICT (what) DO UPDATE SET at = excluded.at, note = excluded.note`, c.What, c.At.UTC().Format(time.RFC3339), c.Note)
		return err
	})
}

// Cares implements shop.Cared.
func (s *Store) Cares(ctx context.Context) (out []shop.Care, _ error) {
	err := s.query(ctx, func() { out = nil }, func(scan func(...any) error) error {
		var c shop.Care
		var at string
		if err := scan(&c.What, &at, &c.Note); err != nil {
			return err
		}
		var err error
		c.At, err = time.Parse(time.RFC3339, at)
		out = append(out, c)
		return err
	}, "SELECT what, at, note FROM care ORDER BY what")
	if err != nil {
		return nil, fmt.Errorf("when it was looked after: %w", err)
	}
	return out, nil
}
