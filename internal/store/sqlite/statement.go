package sqlite

import (
	"context"
	"database/sql"
	"strings"
)

// tx is the open transaction of the writing goroutine, and what it remembers of
// the file from one to the next.
type tx struct {
	conn    *sql.Conn
	stmts   map[string]*sql.Stmt // by text
	heads   map[string]*head     // by book
	version int64                // of the file, as they were read
	entries []any                // rows that are not in the file yet
	changed []string             // books whose heads are not
	late    int                  // lines that have no place yet; -1 if it is not known
	pages   int                  // of the log since it was folded into the file, at a guess
}

// stmt prepares a statement once. No context reaches SQLite here: one caller
// who leaves must not interrupt the others.
func (t *tx) stmt(query string) (*sql.Stmt, error) {
	if st := t.stmts[query]; st != nil {
		return st, nil
	}
	st, err := t.conn.PrepareContext(context.Background(), query)
	if err == nil {
		t.stmts[query] = st
	}
	return st, err
}

// exec returns how many rows changed.
func (t *tx) exec(query string, args ...any) (int64, error) {
	st, err := t.stmt(query)
	if err != nil {
		return 0, err
	}
	r, err := st.ExecContext(context.Background(), args...)
	if err != nil {
		return 0, err
	}
	return r.RowsAffected()
}

// get scans the one row of a query, or returns sql.ErrNoRows.
func (t *tx) get(to any, query string, args ...any) error {
	st, err := t.stmt(query)
	if err != nil {
		return err
	}
	return st.QueryRowContext(context.Background(), args...).Scan(to)
}

// list returns the first column of a query.
func (t *tx) list(query string, args ...any) ([]string, error) {
	st, err := t.stmt(query)
	if err != nil {
		return nil, err
	}
	return list(st.QueryContext(context.Background(), args...))
}

func (t *tx) close() {
	for _, st := range t.stmts {
		st.Close()
	}
	t.conn.Close()
}

// manyRows is a statement for several numbers of rows, the largest first.
type manyRows struct {
	columns int
	of      []struct {
		rows int
		text string
	}
}

func rows(before string, columns int, after string) (m manyRows) {
	row := "(?" + strings.Repeat(", ?", columns-1) + ")"
	m.columns = columns
	for _, n := range []int{64, 32, 16, 8, 4, 2, 1} {
		text := before + " " + row + strings.Repeat(", "+row, n-1) + " " + after
		m.of = append(m.of, struct {
			rows int
			text string
		}{n, text})
	}
	return m
}

// many writes any number of rows in as few statements as may be.
func (t *tx) many(m manyRows, args []any) error {
	for _, s := range m.of {
		for n := s.rows * m.columns; len(args) >= n; args = args[n:] {
			if _, err := t.exec(s.text, args[:n]...); err != nil {
				return err
			}
		}
	}
	return nil
}
