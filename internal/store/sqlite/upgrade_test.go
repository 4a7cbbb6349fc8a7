package sqlite

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// Files of every released format open, are backed up first, and hold what they
// held. The file testdata/format-N.db was written by the program of that format.
func TestEveryFormatOpens(t *testing.T) {
	for format := 1; format <= len(formats); format++ {
		t.Run(fmt.Sprint(format), func(t *testing.T) {
			old, err := os.ReadFile(fmt.Sprintf("testdata/format-%d.db", format))
			must(t, err)
			path := filepath.Join(t.TempDir(), "endfloat.db")
			must(t, os.WriteFile(path, old, 0o600))
			s := open(t, path)
			wantIDs(t, s, "heron", "h0", "h1", "h2", "h3", "h4", "h5", "h6")
			wantIDs(t, s, "stores", "s1", "s2")
			b, err := s.Blob(ctx, job.Salted([]byte("salt"), []byte("a photo")))
			must(t, err)
			if string(b) != "a photo" {
				t.Errorf("the photo is %q", b)
			}
			must(t, s.Append(ctx, one("heron", 7, "h7")))
			must(t, s.Close())
			if format == len(formats) {
				return
			}
			kept := fmt.Sprintf("%s.format-%d", path, format)
			info, err := os.Stat(kept)
			must(t, err)
			if info.Mode().Perm() != 0o600 {
				t.Errorf("the backup may be read by others: %v", info.Mode())
			}
			s = open(t, kept) // the backup is a data file like any other
			wantIDs(t, s, "heron", "h0", "h1", "h2", "h3", "h4", "h5", "h6")
		})
	}
}

// A byte of history changed on the disk is found when its book is opened, and in
// no other book.
func TestChangedHistory(t *testing.T) {
	path := filepath.Join(t.TempDir(), "endfloat.db")
	s := open(t, path)
	for n := range 9 {
		must(t, s.Append(ctx, one("a", n, fmt.Sprint(n)), one("b", n, fmt.Sprint(n))))
	}
	must(t, s.Close())
	for _, change := range []string{
		"UPDATE line SET bytes = cast(replace(cast(bytes AS TEXT), 'of 5', 'of 6') AS BLOB) WHERE book = 'a' AND seq = 6",
		"DELETE FROM line WHERE book = 'a' AND seq = 9",
		"DELETE FROM place WHERE book = 'a' AND seq = 9",
		"UPDATE place SET n = 2 WHERE book = 'a' AND seq = 9",
		"UPDATE place SET n = (SELECT p.n FROM place p WHERE p.book = 'b' AND p.seq = 9) WHERE book = 'a' AND seq = 9",
		"UPDATE summary SET seal = NULL WHERE book = 'a'",
		"DELETE FROM summary WHERE book = 'a'",
	} {
		whole, err := os.ReadFile(path)
		must(t, err)
		raw(t, path, "DROP TRIGGER line_fixed", "DROP TRIGGER line_kept", change)
		s = open(t, path)
		_, err = s.Lines(ctx, "a", 0)
		wantError(t, err, nil, `book "a"`, "is damaged", "last backup")
		t.Log(err)
		wantIDs(t, s, "b", "0", "1", "2", "3", "4", "5", "6", "7", "8")
		must(t, s.Close())
		must(t, os.WriteFile(path, whole, 0o600))
	}
}

// A backup made in use is a data file with all that was acknowledged before it.
func TestBackupInUse(t *testing.T) {
	folder := t.TempDir()
	s := open(t, filepath.Join(folder, "endfloat.db"))
	for n := range 20 {
		must(t, s.Append(ctx, one("a", n, fmt.Sprint(n))))
	}
	stop, done := make(chan bool), make(chan error)
	go func() {
		for n := 20; ; n++ {
			select {
			case <-stop:
				done <- nil
				return
			default:
			}
			if err := s.Append(ctx, one("a", n, fmt.Sprint(n))); err != nil {
				done <- err
				return
			}
		}
	}()
	to := filepath.Join(folder, "backup.db")
	must(t, s.Backup(ctx, to))
	close(stop)
	must(t, <-done)
	wantError(t, s.Backup(ctx, to), fs.ErrExist, "there already")
	b := open(t, to)
	ls, err := b.Lines(ctx, "a", 0)
	must(t, err)
	if len(ls) < 20 {
		t.Errorf("the backup has %d lines, want 20 at least", len(ls))
	}
	must(t, s.Care(ctx, shop.Care{What: "backup", Note: "x"}))
	must(t, s.Care(ctx, shop.Care{What: "backup", Note: "y"}))
	cs, err := s.Cares(ctx)
	must(t, err)
	if len(cs) != 1 || cs[0].Note != "y" {
		t.Errorf("looked after: %v", cs)
	}
	for _, name := range names(t, folder) {
		if strings.Contains(name, ".part") {
			t.Errorf("%s is left behind", name)
		}
	}
}

// A file in use is not replaced; one that is not leaves nothing behind, though its
// last program was killed.
func TestReplace(t *testing.T) {
	folder := t.TempDir()
	path, aside, fresh := filepath.Join(folder, "endfloat.db"), filepath.Join(folder, "old.db"), filepath.Join(folder, "fresh.db")
	s := open(t, fresh)
	must(t, s.Append(ctx, one("b", 0, "1")))
	must(t, s.Close())
	again, err := os.ReadFile(fresh)
	must(t, err)
	s = open(t, path)
	must(t, s.Append(ctx, one("a", 0, "1")))
	wantError(t, Replace(ctx, path, aside, fresh), nil, "in use")
	must(t, s.Append(ctx, one("a", 1, "2")))
	must(t, s.Close())
	must(t, os.WriteFile(aside, nil, 0o600))
	wantError(t, Replace(ctx, path, aside, fresh), fs.ErrExist, "there already")
	must(t, os.Remove(aside))
	must(t, Replace(ctx, path, aside, fresh))
	if left := names(t, folder); fmt.Sprint(left) != "[endfloat.db old.db]" {
		t.Errorf("left behind: %q", left)
	}
	wantIDs(t, open(t, aside), "a", "1", "2")
	s = open(t, path)
	wantIDs(t, s, "b", "1")
	must(t, s.Close())

	must(t, os.WriteFile(path, []byte("no database at all, but the right size for one"), 0o600))
	must(t, os.WriteFile(path+"-wal", []byte("its log"), 0o600))
	must(t, os.WriteFile(fresh, again, 0o600))
	must(t, Replace(ctx, path, filepath.Join(folder, "damaged.db"), fresh))
	if _, err := os.Stat(path + "-wal"); !errors.Is(err, fs.ErrNotExist) {
		t.Error("the log is left behind")
	}
	s = open(t, path)
	wantIDs(t, s, "b", "1")
	must(t, s.Close())
	must(t, os.Remove(path))
	must(t, os.WriteFile(path+"-wal", []byte("a log"), 0o600))
	_, err = Open(ctx, path)
	wantError(t, err, shop.ErrForeign, "its log")

	// A log whose file is gone is put aside as well: it would be read into the new one.
	must(t, os.WriteFile(fresh, again, 0o600))
	must(t, Replace(ctx, path, filepath.Join(folder, "gone.db"), fresh))
	if log, err := os.ReadFile(filepath.Join(folder, "gone.db-wal")); err != nil || string(log) != "a log" {
		t.Errorf("the log of the file that is gone: %q, %v", log, err)
	}
	s = open(t, path)
	wantIDs(t, s, "b", "1")
	must(t, s.Close())
}

// Where a drive knows no second names, what was there before is copied, and a name
// that is taken stays what it is.
func TestKeptByCopy(t *testing.T) {
	folder := t.TempDir()
	path, aside := filepath.Join(folder, "a.db"), filepath.Join(folder, "aside.db")
	must(t, os.WriteFile(path, []byte("what was there"), 0o600))
	must(t, copyWhole(path, aside))
	if b, err := os.ReadFile(aside); err != nil || string(b) != "what was there" {
		t.Errorf("%q, %v", b, err)
	}
	wantError(t, copyWhole(path, aside), fs.ErrExist, "aside.db")
}
