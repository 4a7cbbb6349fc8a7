package cutfs

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestMain is also the program that works on the disk: see work.
func TestMain(m *testing.M) {
	if folder := os.Getenv("CUTFS_WORK"); folder != "" {
		if err := work(folder); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// work writes files, with care and without.
func work(folder string) error {
	for n := range 4 {
		name := filepath.Join(folder, fmt.Sprint("careful", n))
		f, err := os.Create(name + ".part")
		if err != nil {
			return err
		}
		for range 3 {
			if _, err := f.Write(bytes.Repeat([]byte{'a' + byte(n)}, 1000)); err != nil {
				return err
			}
		}
		if err := f.Sync(); err != nil {
			return err
		}
		if err := f.Close(); err != nil {
			return err
		}
		if err := os.Rename(name+".part", name); err != nil {
			return err
		}
		dir, err := os.Open(folder)
		if err != nil {
			return err
		}
		if err := dir.Sync(); err != nil {
			return err
		}
		dir.Close()
		fmt.Println(n)
		if err := os.WriteFile(filepath.Join(folder, fmt.Sprint("careless", n)), bytes.Repeat([]byte{'a'}, 3000), 0o600); err != nil {
			return err
		}
	}
	return nil
}

// worked has work done on a disk, and returns what it said.
func worked(t *testing.T, d *Disk) (string, error) {
	t.Helper()
	folder := t.TempDir()
	unmount, err := d.Mount(folder)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), "CUTFS_WORK="+folder)
	out, failed := cmd.CombinedOutput()
	if err := unmount(); err != nil {
		t.Fatal(err)
	}
	return string(out), failed
}

func chance(seed int) *rand.Rand { return rand.New(rand.NewPCG(1, uint64(seed))) }

func needsMount(t *testing.T) {
	if why := Missing(); why != "" {
		t.Skip(why)
	}
}

// Whoever waits for the disk loses nothing at a power cut; whoever does not may lose
// all, some or the rest of it, and the names too.
func TestPowerCut(t *testing.T) {
	needsMount(t)
	d := New(chance(0))
	if out, err := worked(t, d); err != nil || out != "0\n1\n2\n3\n" {
		t.Fatalf("on a sound disk: %q, %v", out, err)
	}
	if n := len(d.Files()); n != 8 {
		t.Fatalf("%d files", n)
	}
	careless := map[string]int{}
	total, _ := d.Calls()
	for cut := 1; cut <= total; cut++ {
		d := New(chance(cut))
		d.CutAt(cut)
		out, err := worked(t, d)
		if err == nil || d.Struck() == "" {
			t.Fatalf("cut %d was not felt", cut)
		}
		for range 5 {
			kept := d.After().Files()
			for n := range strings.Count(out, "\n") - 1 { // the last line is the error
				if b := kept[fmt.Sprint("careful", n)]; !bytes.Equal(b, bytes.Repeat([]byte{'a' + byte(n)}, 3000)) {
					t.Fatalf("cut %d, at %s: careful%d has %d bytes: %.80q", cut, d.Struck(), n, len(b), b)
				}
				b, ok := kept[fmt.Sprint("careless", n)]
				switch {
				case !ok:
					careless["gone"]++
				case len(b) < 3000:
					careless["short"]++
				case bytes.Count(b, []byte{'a'}) < 3000:
					careless["spoiled"]++
				default:
					careless["whole"]++
				}
			}
		}
	}
	t.Logf("%d cuts; of the careless files: %v", total, careless)
	for _, how := range []string{"gone", "short", "spoiled", "whole"} {
		if careless[how] == 0 {
			t.Errorf("no careless file was ever %s", how)
		}
	}
}

// A call that fails does so once, and what a failed sync has lost stays lost.
func TestFailingCall(t *testing.T) {
	needsMount(t)
	d := New(chance(0))
	if _, err := worked(t, d); err != nil {
		t.Fatal(err)
	}
	_, total := d.Calls()
	felt := 0
	for n := 1; n <= total; n++ {
		d := New(chance(n))
		d.Fault(func(call, _ int, _ Kind) syscall.Errno {
			if call == n {
				return syscall.ENOSPC
			}
			return 0
		})
		if out, err := worked(t, d); err != nil {
			felt++
			if !strings.Contains(out, "no space") && !strings.Contains(out, "input/output error") {
				t.Errorf("call %d, %s: %s", n, d.Struck(), out)
			}
		}
	}
	if felt < total/2 {
		t.Errorf("%d of %d were felt", felt, total)
	}
	t.Logf("%d of %d were felt", felt, total)

	lost := 0
	for seed := range 40 {
		r := chance(seed)
		n := &node{data: []byte("text"), pending: []change{{0, []byte("text")}}}
		n.sync(syscall.EIO, r)
		n.sync(0, r)
		if string(n.safe) != "text" {
			lost++
		}
	}
	if lost == 0 {
		t.Error("a sync after one that failed brought all of it")
	}
}

// Of changes to names a disk keeps a beginning, or any of them; never a name of what
// was not there.
func TestNames(t *testing.T) {
	found := map[string]int{}
	for seed := range 400 {
		d := New(chance(seed))
		d.Put("old", []byte("1"))
		d.Put("new", []byte("2"))
		one, two := d.nodes[root].names["old"], d.nodes[root].names["new"]
		d.rename(naming{folder: root, name: "aside", now: one})
		d.rename(naming{folder: root, name: "new", was: two}, naming{folder: root, name: "old", now: two})
		d.rename(naming{folder: root, name: "aside", was: one})
		found[fmt.Sprintf("%s", d.After().Files())]++
	}
	want := []string{"map[new:2 old:1]", "map[aside:1 new:2 old:1]", "map[aside:1 old:2]", "map[old:2]"}
	for _, w := range want {
		if found[w] == 0 {
			t.Errorf("never %s", w)
		}
		delete(found, w)
	}
	if len(found) > 0 {
		t.Errorf("also %v", found)
	}
}
