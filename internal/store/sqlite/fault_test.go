package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// pragma runs one on the connection that writes.
func pragma(t *testing.T, s *Store, text string) {
	t.Helper()
	must(t, s.write(&write{ctx: ctx, do: func(tx *tx) error {
		_, err := tx.exec("PRAGMA " + text)
		return err
	}}))
}

// A full disk refuses what does not fit, keeps what is there, and is not the
// end: what fits goes in, and with more room all goes on.
func TestFull(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "endfloat.db"))
	must(t, s.Append(ctx, one("a", 0, "1")))
	pragma(t, s, "max_page_count = 60")
	large := shop.Add{Book: "a", After: 1, Lines: []job.Line{line("2"), {ID: "3", Bytes: bytes.Repeat([]byte("x"), 1<<20)}}}
	wantError(t, s.Append(ctx, large), shop.ErrFull, s.path, "free some space")
	_, err := s.PutBlob(ctx, nil, large.Lines[1].Bytes)
	wantError(t, err, shop.ErrFull)
	wantIDs(t, s, "a", "1")

	must(t, s.Append(ctx, one("a", 1, "2")))
	pragma(t, s, "max_page_count = 1000000")
	large.After, large.Lines = 2, large.Lines[1:]
	must(t, s.Append(ctx, large))
	wantIDs(t, s, "a", "1", "2", "3")
}

func wantIDs(t *testing.T, s *Store, book string, ids ...string) {
	t.Helper()
	ls, err := s.Lines(ctx, book, 0)
	must(t, err)
	var got []string
	for _, l := range ls {
		got = append(got, l.ID)
	}
	if fmt.Sprint(got) != fmt.Sprint(ids) {
		t.Fatalf("book %s holds %v, want %v", book, got, ids)
	}
}

// idle returns the transaction of the writing goroutine while it has nothing
// to do, so that a test can commit a group of its own making.
func idle(t *testing.T, s *Store) (free *tx) {
	t.Helper()
	must(t, s.write(&write{ctx: ctx, do: func(tx *tx) error { free = tx; return nil }}))
	return free
}

// A group commits what it can: whoever is refused or at fault is told so, and
// the others are done once.
func TestGroup(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "endfloat.db"))
	gone, leave := context.WithCancel(ctx)
	leave()
	conflict := func(*tx) error { return shop.ErrConflict }
	fault := func(tx *tx) error {
		err := tx.append([]add{ready(one("b", 0, "half"))}, false)
		_, gap := tx.exec("INSERT INTO line VALUES (NULL, 'b', 7, 'gap', x'00')")
		return errors.Join(err, gap)
	}
	do := func(book string) func(*tx) error {
		return func(tx *tx) error { return tx.append([]add{ready(one(book, 0, "1"))}, false) }
	}
	for n, ws := range [][]*write{
		{{do: do("a0")}, {do: conflict}, {do: do("c0")}, {ctx: gone, do: do("d0")}, {do: do("e0")}},
		{{do: do("a1")}, {do: conflict}, {do: fault}, {ctx: gone, do: do("d1")}, {do: do("e1")}},
	} {
		for _, w := range ws {
			w.done = make(chan error, 1)
			if w.ctx == nil {
				w.ctx = ctx
			}
		}
		must(t, s.commit(idle(t, s), ws))
		must(t, <-ws[0].done)
		wantError(t, <-ws[1].done, shop.ErrConflict)
		if err := <-ws[2].done; n == 0 {
			must(t, err)
		} else {
			wantError(t, err, nil, "only added at the end")
		}
		wantError(t, <-ws[3].done, context.Canceled)
		must(t, <-ws[4].done)
		wantIDs(t, s, fmt.Sprint("a", n), "1")
		wantIDs(t, s, fmt.Sprint("d", n))
		wantIDs(t, s, fmt.Sprint("e", n), "1")
	}
	wantIDs(t, s, "b")
	must(t, s.Append(ctx, one("b", 0, "1")))
}

// syncFailed is what SQLite returns when the disk does not take a commit.
type syncFailed struct{}

func (syncFailed) Error() string { return "disk I/O error (1034)" }
func (syncFailed) Code() int     { return 1034 } // SQLITE_IOERR_FSYNC

// After the disk has failed nothing more is written, nor tried again. What is
// there can still be read.
func TestFailedFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "endfloat.db")
	s := open(t, path)
	must(t, s.Append(ctx, one("a", 0, "1")))
	tries := 0
	fail := &write{ctx: ctx, do: func(tx *tx) error {
		tries++
		return errors.Join(tx.append([]add{ready(one("a", 1, "2"))}, false), syncFailed{})
	}}
	wantError(t, s.write(fail), nil, path, "failed; close and start again", "1034")
	wantError(t, s.write(fail), nil, path, "failed; close and start again", "1034")
	wantError(t, s.Append(ctx, one("a", 1, "3")), nil, "failed; close and start again")
	wantError(t, s.DropBlob(ctx, "x"), nil, "failed; close and start again")
	if tries != 1 {
		t.Errorf("the write was tried %d times, want once", tries)
	}
	wantIDs(t, s, "a", "1")
	must(t, s.Close())
	s = open(t, path)
	must(t, s.Append(ctx, one("a", 1, "3")))
	wantIDs(t, s, "a", "1", "3")
}

// Who shares a group with a failure is told of it too.
func TestFailedGroup(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "endfloat.db"))
	fault := func(*tx) error { return errors.New("at fault") }
	fail := func(*tx) error { return syncFailed{} }
	fine := func(tx *tx) error { return nil }
	var ws []*write
	for _, do := range []func(*tx) error{fault, fine, fail, fine} {
		ws = append(ws, &write{ctx: ctx, do: do, done: make(chan error, 1)})
	}
	wantError(t, s.commit(idle(t, s), ws), nil, "close and start again")
	wantError(t, <-ws[0].done, nil, "at fault")
	must(t, <-ws[1].done)
	wantError(t, <-ws[2].done, nil, "close and start again")
	wantError(t, <-ws[3].done, nil, "close and start again")
}

// A program that holds the file longer than the timeout is named as the reason.
func TestHeld(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "endfloat.db"))
	must(t, s.Append(ctx, one("a", 0, "1")))
	_, err := idle(t, s).exec("PRAGMA busy_timeout = 20")
	must(t, err)
	other, err := sql.Open("sqlite", dsn(s.path, settings))
	must(t, err)
	defer other.Close()
	hold, err := other.Begin()
	must(t, err)
	wantError(t, s.Append(ctx, one("a", 1, "2")), nil, "another program holds", "do it again")
	wantIDs(t, s, "a", "1") // readers do not wait
	must(t, hold.Rollback())
	must(t, s.Append(ctx, one("a", 1, "2")))
	wantIDs(t, s, "a", "1", "2")
}

// Nothing is acknowledged into a file that has been moved away or replaced.
func TestTakenAway(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows does not let go of an open file")
	}
	folder := t.TempDir()
	path, aside := filepath.Join(folder, "endfloat.db"), filepath.Join(folder, "aside.db")
	for _, replace := range []bool{false, true} {
		s := open(t, path)
		must(t, s.Append(ctx, one(fmt.Sprint(replace), 0, "1")))
		must(t, os.Rename(path, aside))
		if replace {
			must(t, os.WriteFile(path, []byte("another"), 0o600))
		}
		wantError(t, s.Append(ctx, one("late", 0, "2")), nil, path, "moved or replaced", "start again")
		must(t, os.Rename(aside, path))
		wantError(t, s.Append(ctx, one("late", 0, "2")), nil, "start again") // what came between is not known
		must(t, s.Close())
		s = open(t, path)
		wantIDs(t, s, fmt.Sprint(replace), "1")
		wantIDs(t, s, "late")
		must(t, s.Close())
	}
}
