package sqlite

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"endfloat/internal/shop"
	"endfloat/internal/store/sqlite/testdisk"
	"endfloat/internal/store/storetest"
)

// promised is what a store has acknowledged.
type promised struct {
	moves   [movers]int
	photos  map[string]bool // there, or dropped
	unasked map[string]bool // being dropped: there or not
}

func nothing() *promised { return &promised{photos: map[string]bool{}, unasked: map[string]bool{}} }

// heard takes an acknowledgement in.
func (p *promised) heard(t testing.TB, note string) {
	var m, n int
	var key string
	switch {
	case scanned(note, "move %d %d", &m, &n):
		p.moves[m] = n
	case scanned(note, "photo %s", &key):
		p.photos[key] = true
		delete(p.unasked, key)
	case scanned(note, "dropping %s", &key):
		delete(p.photos, key)
		p.unasked[key] = true
	case scanned(note, "dropped %s", &key):
		p.photos[key] = false
	default:
		t.Fatalf("what is %q?", note)
	}
}

func scanned(text, format string, to ...any) bool {
	n, err := fmt.Sscanf(text, format, to...)
	return err == nil && n == len(to)
}

// kept fails unless all that was acknowledged is in a store, whole and once, and
// nothing by halves.
func (p *promised) kept(s *Store) error {
	for m := range movers {
		a, b := fmt.Sprint("a", m), fmt.Sprint("b", m)
		inA, err := s.Lines(ctx, a, 0)
		if err != nil {
			return err
		}
		inB, err := s.Lines(ctx, b, 0)
		if err != nil {
			return err
		}
		if len(inA) != len(inB) || len(inA)%3 != 0 {
			return fmt.Errorf("%d and %d lines: a half command", len(inA), len(inB))
		}
		for i := range inA {
			want := threeLines("", m, i/3).Lines[i%3]
			if inA[i].ID != want.ID || !bytes.Equal(inA[i].Bytes, want.Bytes) || inB[i].ID != want.ID || !bytes.Equal(inB[i].Bytes, want.Bytes) {
				return fmt.Errorf("line %d is %s and %s, want %s", i+1, inA[i].ID, inB[i].ID, want.ID)
			}
		}
		n := len(inA) / 3
		if n < p.moves[m] {
			return fmt.Errorf("%d moves were acknowledged and %d are there", p.moves[m], n)
		}
		at, err := s.FindTag(ctx, fmt.Sprint("T", m))
		if err != nil {
			return err
		}
		if n > 0 && (len(at) != 1 || at[0] != []string{a, b}[(n-1)%2]) {
			return fmt.Errorf("after %d moves the piece is in %q", n, at)
		}
	}
	for key, there := range p.photos {
		_, err := s.Blob(ctx, key)
		if there && err != nil {
			return fmt.Errorf("a photo that was acknowledged: %w", err)
		}
		if !there && err == nil {
			return fmt.Errorf("photo %.12s was dropped and is there again", key)
		}
	}
	return nil
}

// busy moves pieces, keeps photos and drops some of them, from several goroutines.
func busy(s *Store, from [movers]int, moves int, note func(string)) error {
	var wg sync.WaitGroup
	errs := make([]error, movers)
	for m := range movers {
		wg.Go(func() { errs[m] = oneBusy(s, m, from[m], moves, note) })
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func oneBusy(s *Store, m, from, moves int, note func(string)) error {
	last := ""
	for n := from; n < from+moves; n++ {
		to := [2]shop.Add{threeLines(fmt.Sprint("a", m), m, n), threeLines(fmt.Sprint("b", m), m, n)}
		to[n%2].Tags = []string{fmt.Sprint("T", m)}
		if err := s.Append(ctx, to[0], to[1]); err != nil {
			return err
		}
		note(fmt.Sprintf("move %d %d", m, n+1))
		if n%3 == 1 {
			key, err := s.PutBlob(ctx, fmt.Append(nil, m, n), bytes.Repeat([]byte{byte(n)}, 9000))
			if err != nil {
				return err
			}
			note("photo " + key)
			if last != "" {
				note("dropping " + last)
				if err := s.DropBlob(ctx, last); err != nil {
					return err
				}
				note("dropped " + last)
			}
			last = key
		}
	}
	return nil
}

// shortLog folds the log often and places lines late, so that power fails in the
// middle of that too.
func shortLog(t *testing.T) {
	late(t, 3, 8)
	was := logPages
	logPages = 60
	t.Cleanup(func() { logPages = was })
}

// quickFolder is in memory where there is such a place: what is looked at there
// has lost its power already.
func quickFolder(t *testing.T) string {
	folder, err := os.MkdirTemp("/dev/shm", "endfloat-test")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { os.RemoveAll(folder) })
	return folder
}

// The power fails at any call that SQLite makes to the system, and leaves of what
// was not synced whole calls, sectors of calls and rubbish, in any order; and then
// once more while the file is opened again. All that was acknowledged is there,
// nothing by halves, nothing twice.
func TestPowerCuts(t *testing.T) {
	shortLog(t)
	points := storetest.Long(400, 10_000)
	rnd := rand.New(rand.NewPCG(1, uint64(points)))
	done, again := 0, 0
	for run := 0; done < points; run++ {
		n, more, err := cuts(t, recorded(t, run), rnd, min(points-done, storetest.Long(200, 1250)))
		if err != nil {
			t.Fatalf("run %d: after a power cut: %v", run, err)
		}
		done, again = done+n, again+more
	}
	t.Logf("%d power cuts, %d of them while opening after another; nothing acknowledged was lost, nothing half done, nothing doubled", done+again, again)
}

// A store that did not wait for the disk would be found out.
func TestPowerCutsAreFelt(t *testing.T) {
	shortLog(t)
	for i, s := range writeSettings {
		if s.name == "synchronous" {
			writeSettings[i].value = "1" // NORMAL: commits are not synced
			defer func() { writeSettings[i].value = s.value }()
		}
	}
	if n, _, err := cuts(t, recorded(t, 0), rand.New(rand.NewPCG(1, 2)), 200); err == nil {
		t.Errorf("nothing was lost in %d power cuts: they prove nothing", n)
	}
}

// cuts cuts the power at about so many points of what was recorded.
func cuts(t *testing.T, w *testdisk.Watch, rnd *rand.Rand, points int) (done, again int, err error) {
	each := 1.6 * float64(points) / float64(len(w.Log()))
	r, p := w.Replay(), nothing()
	for done < points {
		op, more := r.Next()
		switch {
		case !more:
			return done, again, nil
		case op.Kind == testdisk.Note:
			p.heard(t, op.File)
		case rnd.Float64() < each:
			done++
			n, err := cutAndOpen(t, r, p, rnd, 4)
			if again += n; err != nil {
				return done, again, err
			}
		}
	}
	return done, again, nil
}

// recorded is a watch that saw a store at work: begun, used, closed, used again.
func recorded(t *testing.T, seed int) *testdisk.Watch {
	folder := t.TempDir()
	path := filepath.Join(folder, "endfloat.db")
	must(t, open(t, path).Close())
	w, err := testdisk.On(folder, true)
	must(t, err)
	defer w.Off()
	from := [movers]int{}
	for range 3 {
		s := open(t, path)
		moves := 12 + seed%5
		must(t, busy(s, from, moves, w.Note))
		must(t, s.Close())
		for m := range from {
			from[m] += moves
		}
	}
	return w
}

// cutAndOpen cuts the power and looks at what is left. One time in so many the
// power fails again on the way; it returns how often.
func cutAndOpen(t *testing.T, r *testdisk.Replay, p *promised, rnd *rand.Rand, in int) (again int, err error) {
	folder := quickFolder(t)
	defer os.RemoveAll(folder)
	must(t, r.Cut(rnd, folder))
	w, err := testdisk.On(folder, rnd.IntN(in) == 0)
	must(t, err)
	defer w.Off()
	s, err := Open(ctx, filepath.Join(folder, "endfloat.db"))
	if err != nil {
		return 0, err
	}
	if err := errors.Join(p.kept(s), s.Close()); err != nil {
		return 0, err
	}
	log := w.Log()
	if len(log) == 0 {
		return 0, nil
	}
	second := w.Replay()
	for range rnd.IntN(len(log)) {
		second.Next()
	}
	again, err = cutAndOpen(t, second, p, rnd, 8)
	return again + 1, err
}

// noted takes what several goroutines say into what was promised.
func noted(t testing.TB, p *promised) func(string) {
	var mu sync.Mutex
	return func(text string) {
		mu.Lock()
		defer mu.Unlock()
		p.heard(t, text)
	}
}

// copyFiles copies a folder as it is, in use or not.
func copyFiles(t testing.TB, from, to string) {
	t.Helper()
	for _, name := range names(t, from) {
		b, err := os.ReadFile(filepath.Join(from, name))
		must(t, err)
		must(t, os.WriteFile(filepath.Join(to, name), b, 0o600))
	}
}
