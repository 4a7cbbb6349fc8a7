package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/seal"
)

// queries are the prepared statements of the readers. Each answers from one
// state of the file, between two commits.
type queries struct {
	lines, seal, summaries, tag, tags, blob, keys, salt *sql.Stmt
}

func (q *queries) prepare(ctx context.Context, db *sql.DB) (err error) {
	for _, p := range []struct {
		to   **sql.Stmt
		text string
	}{
		{&q.lines, "SELECT seq, id, bytes FROM entry WHERE book = $1 AND seq > $2 ORDER BY seq"},
		{&q.seal, "SELECT seal FROM summary WHERE book = $1"},
		{&q.tags, "SELECT tag FROM tag WHERE book = $1 ORDER BY tag"},
		{&q.keys, "SELECT key FROM blob WHERE key > $1 ORDER BY key LIMIT $2"},
		{&q.salt, "SELECT salt FROM blob WHERE key = $1"},
		{&q.summaries, "SELECT book, seq, body FROM summary ORDER BY book"},
		{&q.tag, "SELECT book FROM tag WHERE tag = $1 ORDER BY book"},
		{&q.blob, `SELECT b.salt, c.bytes FROM blob b LEFT JOIN chunk c ON c.key = b.key
			WHERE b.key = $1 ORDER BY c.n`},
	} {
		if *p.to, err = db.PrepareContext(ctx, p.text); err != nil {
			return err
		}
	}
	return nil
}

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

// list returns the first column of a query.
func list(rows *sql.Rows, err error) (out []string, _ error) {
	err = scan(rows, err, func() error {
		out = append(out, "")
		return rows.Scan(&out[len(out)-1])
	})
	return out, err
}

// Lines implements shop.Store. A book read from its beginning is held against
// its seal.
func (s *Store) Lines(ctx context.Context, book string, after int) (out []job.Line, _ error) {
	fail := func(err error) error { return fmt.Errorf("book %q: %w", book, words(s.path, err)) }
	tx, err := s.readers.BeginTx(ctx, &sql.TxOptions{ReadOnly: true}) // one state of the file
	if err != nil {
		return nil, fail(err)
	}
	defer tx.Rollback()
	rows, err := tx.StmtContext(ctx, s.queries.lines).QueryContext(ctx, book, after)
	err = scan(rows, err, func() error {
		var l job.Line
		err := rows.Scan(&l.Seq, &l.ID, &l.Bytes)
		out = append(out, l)
		return err
	})
	if err != nil {
		return nil, fail(err)
	}
	if after > 0 {
		return out, nil
	}
	var sealed []byte
	err = tx.StmtContext(ctx, s.queries.seal).QueryRowContext(ctx, book).Scan(&sealed)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return nil, fail(err)
	}
	if err := seal.Check(sealed, out); err != nil {
		return nil, fmt.Errorf("book %q: %w", book, damaged(s.path, err))
	}
	return out, nil
}

// Summaries implements shop.Store.
func (s *Store) Summaries(ctx context.Context) (out []shop.Summary, _ error) {
	rows, err := s.queries.summaries.QueryContext(ctx)
	err = scan(rows, err, func() error {
		var m shop.Summary
		err := rows.Scan(&m.Book, &m.Seq, &m.Body)
		out = append(out, m)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list of books: %w", words(s.path, err))
	}
	return out, nil
}

// FindTag implements shop.Store.
func (s *Store) FindTag(ctx context.Context, tag string) ([]string, error) {
	books, err := list(s.queries.tag.QueryContext(ctx, tag))
	if err != nil {
		return nil, fmt.Errorf("tag %q: %w", tag, words(s.path, err))
	}
	return books, nil
}

// TagsOf implements shop.Whole.
func (s *Store) TagsOf(ctx context.Context, book string) ([]string, error) {
	tags, err := list(s.queries.tags.QueryContext(ctx, book))
	if err != nil {
		return nil, fmt.Errorf("tags of %q: %w", book, words(s.path, err))
	}
	return tags, nil
}

// BlobKeys implements shop.Whole.
func (s *Store) BlobKeys(ctx context.Context, after string, n int) ([]string, error) {
	keys, err := list(s.queries.keys.QueryContext(ctx, after, n))
	if err != nil {
		return nil, fmt.Errorf("list of blobs: %w", words(s.path, err))
	}
	return keys, nil
}

// Salt implements shop.Whole.
func (s *Store) Salt(ctx context.Context, key string) (salt []byte, _ error) {
	err := s.queries.salt.QueryRowContext(ctx, key).Scan(&salt)
	if errors.Is(err, sql.ErrNoRows) {
		err = shop.ErrNotFound
	}
	if err != nil {
		return nil, fmt.Errorf("blob %.12s: %w", key, words(s.path, err))
	}
	return salt, nil
}

// Sound looks for damage that reading the books does not meet, in the indexes and
// what holds them together. It reads the whole file.
func (s *Store) Sound(ctx context.Context) error {
	var found string
	err := s.readers.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&found)
	if err == nil && found != "ok" {
		err = damage(strings.Join(strings.Fields(found), " "))
	}
	return words(s.path, err)
}
