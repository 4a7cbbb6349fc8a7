package sqlite

import (
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"endfloat/internal/shop"
)

func init() { helpers["outgrows"] = outgrows }

// outgrows writes until the system refuses to make the file larger, which
// SQLite reports as an I/O error, and then tries the store again.
func outgrows(path string) error {
	s, err := Open(ctx, path)
	if err != nil {
		return err
	}
	signal.Ignore(syscall.SIGXFSZ)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 200_000, Max: 200_000}); err != nil {
		return err
	}
	for n := range 10_000 {
		if err = s.Append(ctx, one("a", n, fmt.Sprint(n)), one("b", n, fmt.Sprint(n))); err != nil {
			break
		}
		fmt.Println("entry", n)
	}
	fmt.Println("first:", err)
	ls, err := s.Lines(ctx, "a", 0)
	if err != nil {
		return err
	}
	fmt.Println("then:", s.Append(ctx, one("a", len(ls), "then")))
	return nil
}

// A disk that really fails: the error is told, writing stops, and opening
// afresh finds all that was acknowledged.
func TestDiskFails(t *testing.T) {
	path := filepath.Join(t.TempDir(), "endfloat.db")
	must(t, open(t, path).Close())
	cmd, out, complaint := helper(t, "outgrows", path)
	acks := 0
	said := map[string]string{}
	for out.Scan() {
		if what, text, ok := strings.Cut(out.Text(), ": "); ok {
			said[what] = text
		} else {
			acks++
		}
	}
	if err := cmd.Wait(); err != nil {
		t.Fatalf("%v: %s", err, complaint)
	}
	for _, what := range []string{"first", "then"} {
		if !strings.Contains(said[what], "failed; close and start again (disk I/O error") {
			t.Errorf("%s: the store says %q", what, said[what])
		}
	}
	if acks == 0 {
		t.Fatal("nothing was acknowledged: this test proves nothing")
	}
	s := open(t, path)
	a, err := s.Lines(ctx, "a", 0)
	must(t, err)
	b, err := s.Lines(ctx, "b", 0)
	must(t, err)
	if len(a) < acks || len(a) > acks+1 || len(a) != len(b) {
		t.Fatalf("%d and %d lines of %d acknowledged", len(a), len(b), acks)
	}
	must(t, s.Append(ctx, one("a", len(a), "next")))
}

// A disk that is really full, if this test may mount one.
func TestDiskFull(t *testing.T) {
	folder := t.TempDir()
	if err := syscall.Mount("none", folder, "tmpfs", 0, "size=1m"); err != nil {
		t.Skip("needs to mount a small disk:", err)
	}
	defer syscall.Unmount(folder, syscall.MNT_DETACH)
	ballast := filepath.Join(folder, "ballast")
	must(t, os.WriteFile(ballast, make([]byte, 400_000), 0o600))
	s := open(t, filepath.Join(folder, "endfloat.db"))
	n := 0
	var err error
	for ; err == nil; n++ {
		err = s.Append(ctx, one("a", n, fmt.Sprint(n)))
	}
	n--
	wantError(t, err, shop.ErrFull, s.path, "free some space")
	wantError(t, s.Append(ctx, one("a", n, "x")), shop.ErrFull)
	must(t, os.Remove(ballast))
	must(t, s.Append(ctx, one("a", n, "y")))
	must(t, s.Close())
	s = open(t, s.path)
	ls, err := s.Lines(ctx, "a", 0)
	must(t, err)
	if len(ls) != n+1 || ls[n].ID != "y" {
		t.Fatalf("%d lines, want %d", len(ls), n+1)
	}
	must(t, s.Close())
}

// asNobody runs do without root's licence to write everywhere.
func asNobody(t *testing.T, do func()) {
	t.Helper()
	if os.Geteuid() != 0 {
		do()
		return
	}
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	setfsuid := func(uid uintptr) { // of this thread only
		syscall.RawSyscall(syscall.SYS_SETFSUID, uid, 0, 0)
		if now, _, _ := syscall.RawSyscall(syscall.SYS_SETFSUID, ^uintptr(0), 0, 0); now != uid {
			t.Fatalf("setfsuid %d: is %d", uid, now)
		}
	}
	setfsuid(65534)
	defer setfsuid(0)
	do()
}

func TestReadOnlyFolder(t *testing.T) {
	folder := t.TempDir()
	must(t, os.Chmod(filepath.Dir(folder), 0o755))
	must(t, os.Chmod(folder, 0o555))
	defer os.Chmod(folder, 0o755)
	asNobody(t, func() {
		_, err := Open(ctx, filepath.Join(folder, "endfloat.db"))
		wantError(t, err, os.ErrPermission, "cannot make the data file", "may be written to")
	})

	must(t, os.Chmod(folder, 0o755))
	path := filepath.Join(folder, "endfloat.db")
	must(t, open(t, path).Close())
	for _, mode := range []os.FileMode{0o666, 0o444, 0o000} {
		must(t, os.Chmod(path, mode))
		must(t, os.Chmod(folder, 0o555))
		before := state(t, folder)
		asNobody(t, func() {
			s, err := Open(ctx, path)
			if err == nil {
				s.Close()
			}
			wantError(t, err, nil, path, "cannot be opened for writing", "its folder")
		})
		if after := state(t, folder); after != before {
			t.Errorf("mode %v: the folder has changed", mode)
		}
		must(t, os.Chmod(folder, 0o755))
	}
}
