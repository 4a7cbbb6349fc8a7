// Package sqlite keeps books, photos and all in one SQLite file.
//
// One connection writes, in a goroutine that commits together whatever is
// waiting; every caller hears only once its own write is durable. A pool of
// others reads. Several programs may have the file open: SQLite's locks order
// them, and the sequence numbers of the books do the rest.
//
// While a file is open no other code of this program may open it, not even to
// read: on Unix closing any handle of a file drops the locks that SQLite holds
// on it. Nor does it belong on a network drive, where such locks are not kept.
package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"modernc.org/sqlite" // the driver, too

	"endfloat/internal/shop"
)

// Store implements shop.Store.
type Store struct {
	path    string
	file    os.FileInfo
	writer  *sql.DB // of one connection, held by the writing goroutine
	readers *sql.DB
	queries queries

	queue   queue
	closing chan struct{}
	closed  chan struct{} // the writing goroutine has ended
	failed  error         // what every later write is told; of the writing goroutine
	once    sync.Once
}

// A commit waits for the data and the length of the log, not for the time it was
// changed, which nobody reads. Where there is no fdatasync it waits for both.
func init() { sqlite.Fdatasync(true) }

var (
	_ shop.Whole = (*Store)(nil)
	_ shop.Cared = (*Store)(nil)
)

// readConns is how many may read at once; others wait their turn.
const readConns = 8

// Open opens the data file at path, or makes it if there is none. A file that
// is not ours is left as it was, with shop.ErrForeign, and so is one written by
// a newer program, with shop.ErrNewer.
func Open(ctx context.Context, path string) (*Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if err := localDisk(path); err != nil {
		return nil, err
	}
	if err := createIfMissing(ctx, path); err != nil {
		return nil, err
	}
	if err := look(ctx, path); err != nil {
		return nil, err
	}
	file, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	s := &Store{
		path:    path,
		file:    file,
		queue:   queue{filled: make(chan struct{}, 1)},
		closing: make(chan struct{}),
		closed:  make(chan struct{}),
	}
	if err := s.open(ctx); err != nil {
		return nil, errors.Join(words(path, err), s.closePools())
	}
	return s, nil
}

// open opens both pools and starts the writing goroutine.
func (s *Store) open(ctx context.Context) (err error) {
	if err := renewLog(ctx, s.path); err != nil {
		return err
	}
	if s.writer, err = openWriter(ctx, s.path); err != nil {
		return err
	}
	if err := quickCheck(ctx, s.writer); err != nil {
		return err
	}
	if err := migrate(ctx, s.writer, s.path); err != nil {
		return err
	}
	if s.readers, err = sql.Open("sqlite", dsn(s.path, readSettings, "mode", "ro")); err != nil {
		return err
	}
	s.readers.SetMaxOpenConns(readConns)
	s.readers.SetMaxIdleConns(readConns)
	if err := readBack(ctx, s.readers, readSettings); err != nil {
		return err
	}
	if err := s.queries.prepare(ctx, s.readers); err != nil {
		return err
	}
	conn, err := s.writer.Conn(ctx)
	if err != nil {
		return err
	}
	t := &tx{conn: conn, stmts: map[string]*sql.Stmt{}}
	t.forget()
	go s.serve(t)
	return nil
}

// Close waits for the writes under way and closes the file. Writes that come
// later are refused.
func (s *Store) Close() error {
	err := error(nil)
	s.once.Do(func() {
		close(s.closing)
		<-s.closed
		err = s.closePools()
	})
	return err
}

// CloseAlone closes a file that no other program has open, and that is to be had by
// itself. It fails if the log is still there: SQLite does not say when it could not fold
// it into the file and keep that.
func (s *Store) CloseAlone() error {
	if err := s.Close(); err != nil {
		return err
	}
	if _, err := os.Stat(s.path + "-wal"); !errors.Is(err, fs.ErrNotExist) {
		return errors.Join(fmt.Errorf("the log of %s is still there; the disk could not keep all of it, or another program has it open", s.path), err)
	}
	return nil
}

// closePools closes the writer last: only it may fold the log into the file. After
// a failure it is closed first, and then nothing is folded: the disk is not asked
// again for what it has failed to do once.
func (s *Store) closePools() error {
	var errs []error
	order := []*sql.DB{s.readers, s.writer}
	if s.failed != nil {
		slices.Reverse(order)
	}
	for _, db := range order {
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	return errors.Join(errs...)
}

// The result codes of SQLite that call for words of their own
// (sqlite.org/rescode.html). An extended code has its kind in the low byte.
const (
	codeError    = 1
	codeBusy     = 5
	codeReadOnly = 8
	codeIO       = 10
	codeCorrupt  = 11
	codeFull     = 13
	codeCantOpen = 14
	codeNotADB   = 26
)

// code is the kind of an SQLite error, or 0.
func code(err error) int {
	var c interface{ Code() int }
	if errors.As(err, &c) {
		return c.Code() & 0xff
	}
	return 0
}

// words says what an error of SQLite means for the data file, and the mend.
func words(path string, err error) error {
	switch code(err) {
	case codeFull:
		return fmt.Errorf("%w: %s cannot grow; free some space and do it again (%w)", shop.ErrFull, path, err)
	case codeBusy:
		return fmt.Errorf("another program holds the data file %s; do it again (%w)", path, err)
	case codeReadOnly, codeCantOpen:
		return fmt.Errorf("the data file %s cannot be opened for writing; allow reading and writing of it and its folder, and see that the disk is not full (%w)", path, err)
	case codeIO:
		return fmt.Errorf("the data file %s failed; close and start again (%w)", path, err)
	case codeCorrupt, codeNotADB:
		return damaged(path, err)
	}
	return err
}

func damaged(path string, err error) error {
	return fmt.Errorf("the data file %s is damaged; keep a copy of it and put back the last backup (%w)", path, err)
}
