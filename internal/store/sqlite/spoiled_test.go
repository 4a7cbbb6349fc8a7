package sqlite

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/store/carry"
	"endfloat/internal/store/memory"
	"endfloat/internal/store/sqlite/testdisk"
	"endfloat/internal/store/storetest"
)

// A byte of the file that changes by itself is found by the check of all books and
// of the file, or it changes nothing that was written: no history, no photo.
func TestFlippedBytes(t *testing.T) {
	folder := quickFolder(t)
	path := filepath.Join(folder, "endfloat.db")
	late(t, 1, 50) // some have their places and some have not
	s := open(t, path)
	must(t, busy(s, [movers]int{}, 9, noted(t, nothing())))
	want := history(t, s)
	must(t, s.Close())
	whole, err := os.ReadFile(path)
	must(t, err)
	rnd := rand.New(rand.NewPCG(7, 7))
	found, harmless := 0, 0
	for n := range storetest.Long(400, 20_000) {
		spoiled := bytes.Clone(whole)
		at := rnd.IntN(len(spoiled))
		spoiled[at] ^= 1 << rnd.IntN(8)
		must(t, os.WriteFile(path, spoiled, 0o600))
		os.Remove(path + "-wal")
		os.Remove(path + "-shm")
		s, err := Open(ctx, path)
		if err == nil {
			_, err = carry.Check(ctx, s)
			if err == nil && history(t, s) != want {
				t.Fatalf("flip %d, byte %d: the history reads otherwise and nobody noticed", n, at)
			}
			s.Close()
		}
		if err != nil {
			found++
		} else {
			harmless++
		}
	}
	if found == 0 || harmless == 0 {
		t.Errorf("%d found, %d harmless: this proves nothing", found, harmless)
	}
	t.Logf("%d bytes flipped one at a time: %d found, %d where nothing was kept that is not derived", found+harmless, found, harmless)
}

// history is all that cannot be made anew: entries and photos.
func history(t *testing.T, s *Store) string {
	t.Helper()
	h := job.Salted(nil, nil)
	for m := range movers {
		for _, book := range []string{fmt.Sprint("a", m), fmt.Sprint("b", m)} {
			ls, err := s.Lines(ctx, book, 0)
			must(t, err)
			for _, l := range ls {
				h = job.Salted([]byte(h), fmt.Appendf(nil, "%s %d %s %q", book, l.Seq, l.ID, l.Bytes))
			}
		}
	}
	keys, err := s.BlobKeys(ctx, "", 1000)
	must(t, err)
	for _, key := range keys {
		b, err := s.Blob(ctx, key)
		must(t, err)
		h = job.Salted([]byte(h), append([]byte(key), b...))
	}
	return h
}

// The power fails at every call while a file of an older format is brought to
// today's. Opened again it goes on, and holds what it held.
func TestPowerFailsDuringUpgrade(t *testing.T) {
	old, err := os.ReadFile("testdata/format-1.db")
	must(t, err)
	folder := t.TempDir()
	path := filepath.Join(folder, "endfloat.db")
	must(t, os.WriteFile(path, old, 0o600))
	w, err := testdisk.On(folder, true)
	must(t, err)
	must(t, open(t, path).Close())
	w.Off()
	rnd := rand.New(rand.NewPCG(3, 3))
	cuts := 0
	for range storetest.Long(3, 100) {
		for r := w.Replay(); ; cuts++ {
			if _, more := r.Next(); !more {
				break
			}
			folder := quickFolder(t)
			must(t, r.Cut(rnd, folder))
			path := filepath.Join(folder, "endfloat.db")
			s, err := Open(ctx, path)
			if err != nil {
				t.Fatalf("cut %d: %v", cuts, err)
			}
			wantIDs(t, s, "heron", "h0", "h1", "h2", "h3", "h4", "h5", "h6")
			wantIDs(t, s, "stores", "s1", "s2")
			_, err = s.Blob(ctx, job.Salted([]byte("salt"), []byte("a photo")))
			must(t, errors.Join(err, s.Close()))
			must(t, os.RemoveAll(folder))
		}
	}
	if cuts < 20 {
		t.Errorf("%d cuts: this proves too little", cuts)
	}
	t.Logf("%d power cuts during an upgrade, none that lost anything", cuts)
}

// The clock of the computer decides nothing: not the order of a book, and not what
// is there. Only when the store was looked after is told by it.
func TestClockDecidesNothing(t *testing.T) {
	s, plain := open(t, filepath.Join(t.TempDir(), "endfloat.db")), memory.New()
	rnd := rand.New(rand.NewPCG(9, 9))
	for n := range 60 {
		now := time.Unix(rnd.Int64N(1<<33), 0).UTC() // any year from 1970 to 2242
		a := one("a", n, now.Format(time.RFC3339)+fmt.Sprint("-", n))
		must(t, s.Append(ctx, a))
		must(t, plain.Append(ctx, a))
	}
	got, err := carry.Sum(ctx, s)
	must(t, err)
	want, err := carry.Sum(ctx, plain)
	must(t, err)
	if got != want {
		t.Error("entries of jumping clocks do not stand as they came")
	}
}
