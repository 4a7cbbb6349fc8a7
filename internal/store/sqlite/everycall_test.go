package sqlite

import (
	"fmt"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"endfloat/internal/store/sqlite/testdisk"
)

// The Nth call of a kind that SQLite makes to the system fails, once or from then
// on, for every N until it is not reached any more: while the file is opened, its
// log is brought in, used, folded, wiped and closed. The store says so, and opened
// afresh on a sound disk it has all that it acknowledged, whole and once.
func TestEveryCallFails(t *testing.T) {
	shortLog(t)
	type how struct {
		kind testdisk.Kind
		code int
		name string
		felt bool // also if it fails but once; else it is tried again and goes well, or is of no account
	}
	for _, h := range []how{
		{testdisk.Write, testdisk.Full, "disk full", false},
		{testdisk.Write, testdisk.Broken, "write fails", true},
		{testdisk.Sync, testdisk.Broken, "sync fails", true},
		{testdisk.Read, testdisk.Broken, "read fails", true},
		{testdisk.Truncate, testdisk.Broken, "truncate fails", true},
		{testdisk.Open, testdisk.NotThere, "open fails", true},
		{testdisk.Write, testdisk.ReadOnly, "read-only", false},
		{testdisk.Delete, testdisk.Broken, "delete fails", false},
	} {
		for _, forGood := range []bool{false, true} {
			name := h.name
			if forGood {
				name += " from then on"
			}
			t.Run(name, func(t *testing.T) {
				places, complaints := 0, 0
				for n := 1; ; n++ {
					reached, complaint := failsAt(t, h.kind, h.code, n, forGood)
					if !reached {
						break
					}
					places++
					if complaint != nil {
						complaints++
					}
				}
				felt := h.felt || forGood && h.kind != testdisk.Delete
				if places == 0 || felt && complaints == 0 {
					t.Errorf("%d places, %d complaints: this proves nothing", places, complaints)
				}
				t.Logf("%d places, %d of them felt", places, complaints)
			})
		}
	}
}

// failsAt uses a store whose Nth call of a kind fails, and then looks at it on a
// sound disk. It reports whether the call was reached, and what the store said.
func failsAt(t *testing.T, kind testdisk.Kind, code, n int, forGood bool) (reached bool, complaint error) {
	t.Helper()
	folder := quickFolder(t)
	path := filepath.Join(folder, "endfloat.db")
	p := nothing()
	leftOpen(t, path, p)
	w, err := testdisk.On(folder, false)
	must(t, err)
	var calls, after atomic.Int64
	var ready atomic.Bool
	w.Fail(func(op testdisk.Op) int {
		if reached && ready.Load() && (op.Kind == testdisk.Sync || op.Kind == testdisk.Write) {
			after.Add(1)
		}
		if op.Kind != kind || (calls.Add(1) != int64(n) && !(forGood && reached)) {
			return 0
		}
		reached = true
		return code
	})
	complaint = used(path, p, func() { ready.Store(true) }, t)
	w.Off()
	if kind == testdisk.Sync && complaint != nil && ready.Load() && after.Load() > 0 && !strings.Contains(complaint.Error(), "opening") {
		t.Fatalf("sync %d failed, and then the store wrote or synced %d times more", n, after.Load())
	}
	s, err := Open(ctx, path)
	if err != nil {
		t.Fatalf("call %d failed (%v) and now the file does not open: %v", n, complaint, err)
	}
	if err := p.kept(s); err != nil {
		t.Fatalf("call %d failed (%v): %v", n, complaint, err)
	}
	must(t, s.Close())
	return reached, complaint
}

// leftOpen leaves a file as a program does that was killed: with a log.
func leftOpen(t *testing.T, path string, p *promised) {
	t.Helper()
	from := filepath.Join(quickFolder(t), "endfloat.db")
	s := open(t, from)
	must(t, busy(s, [movers]int{}, 4, noted(t, p)))
	copyFiles(t, filepath.Dir(from), filepath.Dir(path))
	must(t, s.Close())
}

// used opens, uses and closes a store, and returns the first complaint.
func used(path string, p *promised, opened func(), t testing.TB) error {
	s, err := Open(ctx, path)
	if err != nil {
		return fmt.Errorf("opening: %w", err)
	}
	opened()
	from := p.moves
	err = busy(s, from, 6, noted(t, p))
	if closed := s.Close(); err == nil {
		err = closed
	}
	return err
}
