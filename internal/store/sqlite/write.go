package sqlite

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"os"
	"runtime"

	"endfloat/internal/shop"
)

// write is something a caller wants done. It may be done again after a
// rollback, and refuses with shop.ErrConflict before it changes anything.
type write struct {
	ctx  context.Context
	do   func(*tx) error
	wipe bool       // leave nothing of what was deleted in the log either
	done chan error // told once
}

// group is how many writes share a commit at most.
const group = 256

var errClosed = errors.New("the data file is closed")

// write has do done in a transaction and returns once it is durable. A context
// that ends before its turn comes stops it; after that it is seen through, so
// that an error always means that nothing was changed.
func (s *Store) write(w *write) error {
	w.done = make(chan error, 1)
	select {
	case s.queue <- w:
		return <-w.done
	case <-w.ctx.Done():
		return w.ctx.Err()
	case <-s.closing:
		return errClosed
	}
}

// serve does what is waiting, until the store closes.
func (s *Store) serve(t *tx) {
	defer close(s.closed)
	defer t.close()
	var failed error
	for {
		select {
		case w := <-s.queue:
			ws := s.gather(w)
			if failed == nil {
				failed = s.commit(t, ws)
			} else {
				answer(ws, failed)
			}
		case <-s.closing:
			return
		}
	}
}

// gather takes along whatever else is waiting.
func (s *Store) gather(first *write) []*write {
	runtime.Gosched() // those just told may have more
	ws := []*write{first}
	for len(ws) < group {
		select {
		case w := <-s.queue:
			ws = append(ws, w)
		default:
			return ws
		}
	}
	return ws
}

func answer(ws []*write, err error) {
	for _, w := range ws {
		w.done <- err
	}
}

// commit does the writes in one transaction and tells each its result. If it
// returns an error the file cannot be trusted with another: after a write that
// failed, what is on the disk is not known before it is opened afresh.
func (s *Store) commit(t *tx, ws []*write) (failed error) {
	if err := s.inPlace(); err != nil {
		answer(ws, err)
		return err
	}
	if _, err := t.exec("BEGIN IMMEDIATE"); err != nil {
		answer(ws, words(s.path, err))
		return s.fatal(err)
	}
	refused, err := t.all(ws)
	if err == nil {
		_, err = t.exec("COMMIT")
	}
	if err == nil {
		err = t.wipe(ws)
		for i, w := range ws {
			if w.wipe && refused[i] == nil {
				refused[i] = words(s.path, err)
			}
			w.done <- refused[i]
		}
		return s.fatal(err)
	}
	if _, back := t.exec("ROLLBACK"); code(back) != codeError { // 1: SQLite has done so itself
		err = errors.Join(err, back)
	}
	if failed := s.fatal(err); failed != nil || len(ws) == 1 {
		answer(ws, words(s.path, err))
		return failed
	}
	for i, w := range ws { // one of them is at fault: each alone
		if failed := s.commit(t, []*write{w}); failed != nil {
			answer(ws[i+1:], failed)
			return failed
		}
	}
	return nil
}

// inPlace fails if the file has been taken from under the store. SQLite would
// write on, into a file that no name leads to.
func (s *Store) inPlace() error {
	now, err := os.Stat(s.path)
	if err == nil && !os.SameFile(now, s.file) {
		err = errors.New("another file is there now")
	}
	if err != nil {
		return fmt.Errorf("the data file %s was moved or replaced while in use; close, put the right one there and start again (%w)", s.path, err)
	}
	return nil
}

// fatal returns the error that every later write gets, if err is of that kind.
func (s *Store) fatal(err error) error {
	switch c := code(err); {
	case c == codeIO, c == codeCorrupt, c == codeNotADB,
		errors.Is(err, driver.ErrBadConn), errors.Is(err, sql.ErrConnDone):
		return fmt.Errorf("the data file %s failed; close and start again (%w)", s.path, err)
	}
	return nil
}

// tx is the open transaction of the writing goroutine.
type tx struct {
	conn  *sql.Conn
	stmts map[string]*sql.Stmt // by text
}

// all does each write, and returns for each whether it was refused.
func (t *tx) all(ws []*write) (refused []error, err error) {
	refused = make([]error, len(ws))
	for i, w := range ws {
		err := w.ctx.Err()
		if err == nil {
			err = w.do(t)
			if err != nil && !errors.Is(err, shop.ErrConflict) {
				return nil, err
			}
		}
		refused[i] = err
	}
	return refused, nil
}

// wipe empties the log if one of the writes asks for it. Where a reader holds
// it longer than the timeout, the next wipe or the closing does.
func (t *tx) wipe(ws []*write) error {
	for _, w := range ws {
		if w.wipe {
			_, err := t.exec("PRAGMA wal_checkpoint(TRUNCATE)")
			return err
		}
	}
	return nil
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
