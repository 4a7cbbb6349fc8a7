package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
	"endfloat/internal/store/storetest"
)

var ctx = context.Background()

func TestStore(t *testing.T) {
	for _, books := range []int{manyBooks, 1} {
		t.Run(fmt.Sprint("late from ", books), func(t *testing.T) {
			late(t, books, 3)
			storetest.Run(t, func(t *testing.T) shop.Store {
				return open(t, filepath.Join(t.TempDir(), "endfloat.db"))
			})
		})
	}
}

// late has lines placed later that so many books bring at once, until so many are
// late, instead of the hundreds that only a busy shop has.
func late(t testing.TB, books, lines int) {
	b, l := manyBooks, mostLate
	manyBooks, mostLate = books, lines
	t.Cleanup(func() { manyBooks, mostLate = b, l })
}

func TestLikeMemory(t *testing.T) {
	for seed := range uint64(6) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			late(t, 1+int(seed)%3, 7)
			storetest.Compare(t, seed, 400, memory.New(), open(t, filepath.Join(t.TempDir(), "endfloat.db")))
		})
	}
}

// open opens a store that the test closes at the latest.
func open(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(ctx, path)
	must(t, err)
	t.Cleanup(func() { s.Close() })
	return s
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// wantError checks the kind of an error, if one is given, and its words.
func wantError(t *testing.T, err, kind error, words ...string) {
	t.Helper()
	if err == nil || kind != nil && !errors.Is(err, kind) {
		t.Fatalf("got error %v, want one of kind %v", err, kind)
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Fatalf("error %q does not say %q", err, w)
		}
	}
}

func one(book string, after int, id string) shop.Add {
	return shop.Add{Book: book, After: after, Lines: []job.Line{line(id)}}
}

// line makes a line whose bytes follow from its id.
func line(id string) job.Line {
	return job.Line{ID: id, Bytes: fmt.Appendf(nil, `{"id":%q,"kind":"noted","body":{"text":"of %s"}}`, id, id)}
}

// raw opens the file as any other program would, without our settings.
func raw(t *testing.T, path string, statements ...string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	must(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	for _, s := range statements {
		_, err := db.Exec(s)
		must(t, err)
	}
}

func TestReopen(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "the bench's data? 100% #1.db")
	s := open(t, path)
	must(t, s.Append(ctx, one("a", 0, "1")))
	key, err := s.PutBlob(ctx, nil, []byte("photo"))
	must(t, err)
	must(t, s.Close())
	must(t, s.Close())
	if left := names(t, folder); len(left) != 1 || left[0] != filepath.Base(path) {
		t.Fatalf("closing leaves %q, want the one file", left)
	}
	wantError(t, s.Append(ctx, one("a", 1, "2")), errClosed)
	if _, err := s.Lines(ctx, "a", 0); err == nil {
		t.Fatal("a closed store answers")
	}

	s = open(t, path)
	must(t, s.Append(ctx, one("a", 1, "2")))
	ls, err := s.Lines(ctx, "a", 0)
	must(t, err)
	if len(ls) != 2 || !bytes.Equal(ls[0].Bytes, line("1").Bytes) {
		t.Fatalf("opened again, the book holds %v", ls)
	}
	_, err = s.Blob(ctx, key)
	must(t, err)
}

func names(t testing.TB, folder string) (out []string) {
	t.Helper()
	files, err := os.ReadDir(folder)
	must(t, err)
	for _, f := range files {
		out = append(out, f.Name())
	}
	return out
}

// A line of a book can be neither changed nor deleted, by whatever SQL.
func TestEntriesAreFixed(t *testing.T) {
	path := filepath.Join(t.TempDir(), "endfloat.db")
	s := open(t, path)
	must(t, s.Append(ctx, one("a", 0, "1"), one("b", 0, "1")))
	must(t, s.Append(ctx, one("a", 1, "2")))
	for _, attempt := range []string{
		"UPDATE line SET bytes = x'00'",
		"UPDATE line SET seq = seq + 10 WHERE id = '2'",
		"UPDATE OR REPLACE line SET id = '1' WHERE book = 'a' AND seq = 2",
		"DELETE FROM line",
		"DELETE FROM line WHERE book = 'a' AND seq = 2",
		"INSERT OR REPLACE INTO line VALUES (1, 'a', 1, '1', x'00')",
		"INSERT OR REPLACE INTO line VALUES (1, 'a', 3, '1', x'00')",
		"REPLACE INTO line VALUES (2, 'a', 2, '9', x'00')",
		"INSERT INTO line VALUES (NULL, 'a', 2, '1', x'00') ON CONFLICT DO UPDATE SET bytes = x'00'",
		"INSERT INTO line VALUES (NULL, 'a', 4, '9', x'00')",
		"INSERT INTO line VALUES (NULL, 'a', 0, '9', x'00')",
		"INSERT INTO line VALUES (NULL, 'a', 3, '9', 'no bytes')",
	} {
		err := s.write(&write{ctx: ctx, do: func(tx *tx) error {
			_, err := tx.exec(attempt)
			return err
		}})
		if err == nil {
			t.Errorf("%s: done", attempt)
		}
	}
	ls, err := s.Lines(ctx, "a", 0)
	must(t, err)
	for i, l := range ls {
		if want := line(fmt.Sprint(i + 1)); l.Seq != i+1 || l.ID != want.ID || !bytes.Equal(l.Bytes, want.Bytes) {
			t.Errorf("line %d is now %d %s %q", i+1, l.Seq, l.ID, l.Bytes)
		}
	}
	if len(ls) != 2 {
		t.Errorf("the book has %d lines, want 2", len(ls))
	}
	must(t, s.Append(ctx, one("a", 2, "3"))) // and the store goes on
}

// A reader's connection cannot write.
func TestReadersOnlyRead(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "endfloat.db"))
	_, err := s.readers.Exec("INSERT INTO summary (book, seq) VALUES ('a', 1)")
	wantError(t, words(s.path, err), nil, "cannot be opened for writing")
}

// What was dropped is gone from the disk, not only from the tables.
func TestDroppedForGood(t *testing.T) {
	folder := t.TempDir()
	s := open(t, filepath.Join(folder, "endfloat.db"))
	secret := bytes.Repeat([]byte("Rada Holm, ferry lane 3 "), 5000)
	held := func() (in []string) {
		for _, name := range names(t, folder) {
			b, err := os.ReadFile(filepath.Join(folder, name))
			must(t, err)
			if bytes.Contains(b, secret[:23]) {
				in = append(in, name)
			}
		}
		return in
	}
	key, err := s.PutBlob(ctx, []byte("salt"), secret)
	must(t, err)
	if held() == nil {
		t.Fatal("the secret is nowhere: this test sees nothing")
	}
	must(t, s.DropBlob(ctx, key))
	if in := held(); in != nil {
		t.Fatalf("the dropped bytes are still in %q", in)
	}
}

func TestSettings(t *testing.T) {
	s := open(t, filepath.Join(t.TempDir(), "endfloat.db"))
	must(t, readBack(ctx, s.readers, readSettings))
	// A connection that lost a setting is found out.
	db, err := sql.Open("sqlite", dsn(s.path, settings))
	must(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	must(t, readBack(ctx, db, settings))
	for _, change := range []string{"synchronous = 1", "foreign_keys = 0", "mmap_size = 4096", "busy_timeout = 1"} {
		_, err := db.Exec("PRAGMA " + change)
		must(t, err)
		name, _, _ := strings.Cut(change, " ")
		wantError(t, readBack(ctx, db, settings), nil, "SQLite has "+name, "must have it")
		db.SetMaxIdleConns(0) // a new connection, whole again
		db.SetMaxIdleConns(1)
	}
}

func TestSafe(t *testing.T) {
	for _, v := range []string{"3.51.3", "3.51.10", "3.54.1", "4.0.0"} {
		must(t, safe(v))
	}
	for _, v := range []string{"3.51.2", "3.7.0", "3.6.23", "", "unknown"} {
		wantError(t, safe(v), nil, "3.51.3")
	}
}
