package sqlite

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"os"
	"runtime"
	"slices"
	"sync"
	"time"

	"endfloat/internal/shop"
)

// write is something a caller wants done: adds, or else do. It may be done again
// after a rollback, and refuses with shop.ErrConflict before it changes anything.
type write struct {
	ctx  context.Context
	adds []add
	do   func(*tx) error
	size int        // bytes it brings
	wipe bool       // leave nothing of what was deleted in the log either
	done chan error // told once
}

// group is how many writes share a commit at most.
const group = 512

var errClosed = errors.New("the data file is closed")

// queue holds what waits for the writing goroutine.
type queue struct {
	mu      sync.Mutex
	waiting []*write
	closed  bool
	filled  chan struct{} // holds one if something waits
}

// put reports whether the queue was still open.
func (q *queue) put(w *write) bool {
	q.mu.Lock()
	if q.closed {
		q.mu.Unlock()
		return false
	}
	q.waiting = append(q.waiting, w)
	q.mu.Unlock()
	select {
	case q.filled <- struct{}{}:
	default:
	}
	return true
}

// leave takes a write out again, if its turn has not come.
func (q *queue) leave(w *write) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	i := slices.Index(q.waiting, w)
	if i >= 0 {
		q.waiting = slices.Delete(q.waiting, i, i+1)
	}
	return i >= 0
}

// take returns up to a group of what waits, once as many wait as are likely to
// come, or the time for that is over.
func (q *queue) take(likely int, longest time.Duration) (ws []*write) {
	began := time.Now()
	for spins := 0; ; spins++ {
		if spins > 0 {
			runtime.Gosched() // those just told may have more
		}
		q.mu.Lock()
		n := len(q.waiting)
		if n >= likely || spins%16 == 1 && time.Since(began) > longest {
			n = min(n, group)
			ws = append(ws, q.waiting[:n]...)
			q.waiting = slices.Delete(q.waiting, 0, n)
			if len(q.waiting) > 0 {
				select {
				case q.filled <- struct{}{}:
				default:
				}
			}
			q.mu.Unlock()
			return ws
		}
		q.mu.Unlock()
	}
}

// len is how many wait.
func (q *queue) len() int {
	q.mu.Lock()
	defer q.mu.Unlock()
	return len(q.waiting)
}

// end closes the queue and returns what was still waiting.
func (q *queue) end() []*write {
	q.mu.Lock()
	defer q.mu.Unlock()
	ws := q.waiting
	q.closed, q.waiting = true, nil
	return ws
}

// write has do done in a transaction and returns once it is durable. A context
// that ends before its turn comes stops it; after that it is seen through, so
// that an error always means that nothing was changed.
func (s *Store) write(w *write) error {
	w.done = make(chan error, 1)
	if err := w.ctx.Err(); err != nil {
		return err
	}
	if !s.queue.put(w) {
		return errClosed
	}
	select {
	case err := <-w.done:
		return err
	case <-w.ctx.Done():
	}
	if s.queue.leave(w) {
		return w.ctx.Err()
	}
	return <-w.done
}

// serve does what is waiting, until the store closes. Who commits together once
// is likely to do so again: a lone writer never waits for others, and many wait
// for each other no longer than a part of the last commit.
func (s *Store) serve(t *tx) {
	defer close(s.closed)
	defer t.close()
	likely, longest := 1, time.Duration(0)
	for {
		select {
		case <-s.queue.filled:
			ws := s.queue.take(likely, longest)
			if len(ws) == 0 {
				continue
			}
			began := time.Now()
			if s.failed == nil {
				s.failed = s.commit(t, ws)
			} else {
				answer(ws, s.failed)
			}
			if s.failed == nil {
				s.failed = s.fold(t)
			}
			likely, longest = len(ws)+s.queue.len(), min(time.Since(began)/2, time.Millisecond)
		case <-s.closing:
			answer(s.queue.end(), errClosed)
			return
		}
	}
}

func answer(ws []*write, err error) {
	for _, w := range ws {
		w.done <- err
	}
}

// commit does the writes in one transaction and tells each its result. If it
// returns an error the file cannot be trusted with another: after a write that
// failed, what is on the disk is not known before it is opened afresh.
func (s *Store) commit(t *tx, ws []*write) error { return s.commitAs(t, ws, false) }

func (s *Store) commitAs(t *tx, ws []*write, careful bool) (failed error) {
	if err := s.inPlace(); err != nil {
		answer(ws, err)
		return err
	}
	if _, err := t.exec("BEGIN IMMEDIATE"); err != nil {
		answer(ws, words(s.path, err))
		return s.fatal(err)
	}
	refused, err := t.all(ws, careful)
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
	t.forget()
	if _, back := t.exec("ROLLBACK"); code(back) != codeError { // 1: SQLite has done so itself
		err = errors.Join(err, back)
	}
	switch failed := s.fatal(err); {
	case failed == nil && !careful: // an id may be held already, or one of them is at fault
		return s.commitAs(t, ws, true)
	case failed != nil || len(ws) == 1:
		answer(ws, words(s.path, err))
		return failed
	}
	for i, w := range ws { // each alone
		if failed := s.commitAs(t, []*write{w}, true); failed != nil {
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

// all does each write, and returns for each whether it was refused.
func (t *tx) all(ws []*write, careful bool) (refused []error, err error) {
	if err := t.fresh(); err != nil {
		return nil, err
	}
	refused = make([]error, len(ws))
	for i, w := range ws {
		if refused[i] = w.ctx.Err(); refused[i] != nil {
			continue
		}
		refused[i] = t.one(w, careful)
		if err := refused[i]; err != nil && !errors.Is(err, shop.ErrConflict) {
			return nil, err
		}
		t.pages += w.size >> 10
	}
	t.pages += 4
	return refused, t.flush()
}

func (t *tx) one(w *write, careful bool) error {
	if w.do == nil {
		return t.append(w.adds, careful)
	}
	if err := t.flush(); err != nil {
		return err
	}
	return w.do(t)
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

// logPages is how long the log may grow before it is folded into the file.
var logPages = 1000 // tests make it shorter

// fold brings a long log into the file. SQLite would do so by itself and try
// again after a sync that failed; here that is the end, as at a commit.
func (s *Store) fold(t *tx) error {
	if t.pages < logPages {
		return nil
	}
	t.pages = 0
	_, err := t.exec("PRAGMA wal_checkpoint(PASSIVE)")
	return s.fatal(err)
}
