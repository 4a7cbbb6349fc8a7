package sqlite

import (
	"context"
	"database/sql"
	"fmt"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// queries are the prepared statements of the readers. Each answers from one
// state of the file, between two commits.
type queries struct {
	lines, summaries, tag, blob *sql.Stmt
}

func (q *queries) prepare(ctx context.Context, db *sql.DB) (err error) {
	for _, p := range []struct {
		to   **sql.Stmt
		text string
	}{
		{&q.lines, "SELECT seq, id, bytes FROM entry WHERE book = $1 AND seq > $2 ORDER BY seq"},
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

// Lines implements shop.Store.
func (s *Store) Lines(ctx context.Context, book string, after int) (out []job.Line, _ error) {
	rows, err := s.queries.lines.QueryContext(ctx, book, after)
	err = scan(rows, err, func() error {
		var l job.Line
		err := rows.Scan(&l.Seq, &l.ID, &l.Bytes)
		out = append(out, l)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("book %q: %w", book, words(s.path, err))
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
