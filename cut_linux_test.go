package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"endfloat/internal/store/cutfs"
	"endfloat/internal/store/storetest"

	"github.com/google/uuid"
)

// trial is something the program does on a disk that fails on the way.
type trial struct {
	name  string
	files map[string][]byte // on the disk at the beginning
	// do has the program work, and notes in the bench what it has acknowledged.
	do func(*bench)
	// look has the program open what is there after a power cut.
	look []string
	// holds is nil if a folder, which is sound, has all that was acknowledged and
	// nothing by halves.
	holds func(t *testing.T, folder string, b *bench) error
	// again has the program do the same once more, and holds is asked again.
	again func(*bench)
	bin   string // the program, where it is not the usual one
}

// bench is a computer with a disk that may fail.
type bench struct {
	t    *testing.T
	disk *cutfs.Disk
	at   string // where the program sees it; "@/" in what it is told
	out  string // a folder on a sound disk; "+/" in what it is told
	bin  string // the program, where it is not the usual one

	mu   sync.Mutex
	said map[string]bool // what was acknowledged
	left []string        // the last words of programs that failed
}

func (b *bench) ack(what string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.said[what] = true
}

// told has the words of a command lead to the disk.
func (b *bench) told(args []string) *exec.Cmd {
	out := []string{}
	for _, arg := range args {
		arg = strings.Replace(arg, "@/", b.at+"/", 1)
		out = append(out, strings.Replace(arg, "+/", b.out+"/", 1))
	}
	cmd := program(b.t, out...)
	if b.bin != "" {
		cmd.Path = b.bin
	}
	cmd.Dir = b.out
	cmd.Env = append(os.Environ(), "XDG_CONFIG_HOME="+b.at, "ENDFLOAT_DATA=", "ENDFLOAT_DB=", "ENDFLOAT_BY=Tove Marrin")
	return cmd
}

// watched kills a program when the power fails, and one that hangs.
func (b *bench) watched(cmd *exec.Cmd) (ended func()) {
	stop := make(chan bool)
	go func() {
		select {
		case <-b.disk.Dead():
		case <-time.After(30 * time.Second):
			b.t.Errorf("%s hangs", strings.Join(cmd.Args, " "))
		case <-stop:
			return
		}
		cmd.Process.Kill()
	}()
	return func() { close(stop) }
}

// run runs a command to its end.
func (b *bench) run(args ...string) (string, error) {
	cmd := b.told(args)
	var out, words bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &words
	if err := cmd.Start(); err != nil {
		return "", err
	}
	ended := b.watched(cmd)
	err := cmd.Wait()
	ended()
	if err != nil {
		b.left = append(b.left, words.String())
	}
	return out.String() + words.String(), err
}

// ran acknowledges a command that went through.
func (b *bench) ran(args ...string) bool {
	_, err := b.run(args...)
	if err == nil {
		b.ack(strings.Join(args, " "))
	}
	return err == nil
}

// serve serves a workshop while fn lasts; each line it logs is given to says.
func (b *bench) serve(says func(string), fn func(url string), args ...string) {
	cmd := b.told(append([]string{"serve", "--addr", "127.0.0.1:0"}, args...))
	out, err := cmd.StdoutPipe()
	if err != nil {
		b.t.Error(err)
		return
	}
	words, err := cmd.StderrPipe()
	if err != nil {
		b.t.Error(err)
		return
	}
	if err := cmd.Start(); err != nil {
		b.t.Error(err)
		return
	}
	ended := b.watched(cmd)
	defer ended()
	var last bytes.Buffer
	var read sync.WaitGroup
	read.Go(func() {
		for lines := bufio.NewScanner(words); lines.Scan(); {
			fmt.Fprintln(&last, lines.Text())
			if says != nil {
				says(lines.Text())
			}
		}
	})
	line, err := bufio.NewReader(out).ReadString('\n')
	if _, url, ok := strings.Cut(strings.TrimSpace(line), ": "); ok && err == nil {
		go io.Copy(io.Discard, out)
		fn(url)
		cmd.Process.Signal(syscall.SIGTERM)
	}
	read.Wait()
	if cmd.Wait() != nil {
		b.left = append(b.left, last.String())
	}
}

// on mounts a disk while fn lasts.
func (b *bench) on(disk *cutfs.Disk, fn func()) {
	b.t.Helper()
	folder, err := os.MkdirTemp("", "endfloat-cut")
	check(b.t, err)
	defer os.Remove(folder)
	unmount, err := disk.Mount(folder)
	check(b.t, err)
	b.disk, b.at = disk, folder
	fn()
	check(b.t, unmount())
}

// quick is a folder in memory where there is such a place.
func quick(t *testing.T) (folder string, gone func()) {
	folder, err := os.MkdirTemp("/dev/shm", "endfloat-test")
	if err != nil {
		folder, err = os.MkdirTemp("", "endfloat-test")
	}
	check(t, err)
	return folder, func() { os.RemoveAll(folder) }
}

func (tr trial) disk(chance *rand.Rand) *cutfs.Disk {
	d := cutfs.New(rand.New(rand.NewPCG(chance.Uint64(), chance.Uint64())))
	for name, data := range tr.files {
		d.Put(name, data)
	}
	return d
}

// begin makes a bench for one run.
func (tr trial) begin(t *testing.T) (b *bench, gone func()) {
	out, gone := quick(t)
	return &bench{t: t, out: out, bin: tr.bin, said: map[string]bool{}}, gone
}

// calls is how many calls a run makes on a sound disk, and that it goes well there.
func (tr trial) calls(t *testing.T) (changes, all int) {
	b, gone := tr.begin(t)
	defer gone()
	d := tr.disk(rand.New(rand.NewPCG(1, 1)))
	b.on(d, func() { tr.do(b) })
	if err := tr.settled(b, d); err != nil || len(b.left) > 0 {
		t.Fatalf("on a sound disk: %v, %q", err, b.left)
	}
	return d.Calls()
}

// cut has the power fail at the nth change, often once more while the program looks
// at what is left, and then sees that all is there.
func (tr trial) cut(t *testing.T, n int, chance *rand.Rand) (struck string, again int, err error) {
	b, gone := tr.begin(t)
	defer gone()
	d := tr.disk(chance)
	d.CutAt(n)
	b.on(d, func() { tr.do(b) })
	struck = d.Struck()
	for {
		d = d.After()
		if chance.IntN(3) > 0 {
			break
		}
		d.CutAt(1 + chance.IntN(40))
		b.on(d, func() { b.run(tr.look...) })
		if d.Struck() == "" { // it was done sooner
			d.CutAt(0)
			break
		}
		again++
	}
	b.left = nil
	return struck, again, tr.settled(b, d)
}

// fault is what befalls the calls that a program makes to the disk.
type fault struct {
	says string
	of   func(n, change int, k cutfs.Kind) syscall.Errno
}

// faults are made so many: the nth call or the nth change fails once, or the disk is
// full from some change on.
func faults(changes, all, most int, chance *rand.Rand) (out []fault) {
	once := func(hit bool, with syscall.Errno) syscall.Errno {
		if hit {
			return with
		}
		return 0
	}
	for _, n := range spread(all, most/3, chance) {
		out = append(out, fault{fmt.Sprintf("call %d of about %d failed", n, all), func(call, _ int, _ cutfs.Kind) syscall.Errno {
			return once(call == n, syscall.EIO)
		}})
	}
	for _, n := range spread(changes, most/3, chance) {
		with := []syscall.Errno{syscall.EIO, syscall.ENOSPC}[chance.IntN(2)]
		out = append(out, fault{fmt.Sprintf("change %d of about %d failed (%v)", n, changes, with), func(_, change int, k cutfs.Kind) syscall.Errno {
			return once(change == n && k <= cutfs.SyncFolder, with)
		}})
	}
	for _, n := range spread(changes, most/3, chance) {
		out = append(out, fault{fmt.Sprintf("the disk was full from change %d of about %d on", n, changes), func(_, change int, k cutfs.Kind) syscall.Errno {
			return once(change >= n && k <= cutfs.Rename, syscall.ENOSPC)
		}})
	}
	return out
}

// fails has calls fail, and then sees that all is there, half of the time after a
// power cut.
func (tr trial) fails(t *testing.T, f fault, chance *rand.Rand) (struck string, felt bool, err error) {
	b, gone := tr.begin(t)
	defer gone()
	d := tr.disk(chance)
	d.Fault(f.of)
	b.on(d, func() { tr.do(b) })
	felt = len(b.left) > 0
	for _, words := range b.left {
		if !strings.Contains(words, "endfloat: ") || strings.Contains(words, "goroutine ") {
			return d.Struck(), felt, fmt.Errorf("it says %q", words)
		}
	}
	words := b.left
	b.left = nil
	struck = d.Struck()
	d.Fault(nil)
	if chance.IntN(2) == 0 {
		d = d.After()
	}
	if err = tr.settled(b, d); err != nil {
		err = fmt.Errorf("%w; it said %q", err, words)
	}
	return struck, felt, err
}

// settled looks at a disk that is sound again: the program can open what is there,
// and all that was acknowledged is in it; and all can be done once more.
func (tr trial) settled(b *bench, d *cutfs.Disk) error {
	b.on(d, func() { b.run(tr.look...) })
	if len(b.left) > 0 {
		return fmt.Errorf("it cannot be opened: %q", b.left)
	}
	if err := tr.seen(b, d); err != nil || tr.again == nil {
		return err
	}
	b.on(d, func() { tr.again(b) })
	if len(b.left) > 0 {
		return fmt.Errorf("it cannot be done once more: %q", b.left)
	}
	if err := tr.seen(b, d); err != nil {
		return fmt.Errorf("done once more: %w", err)
	}
	return nil
}

func (tr trial) seen(b *bench, d *cutfs.Disk) error {
	folder, gone := quick(b.t)
	defer gone()
	check(b.t, d.CopyTo(folder))
	return tr.holds(b.t, folder, b)
}

// At any moment the power fails while the program works, and leaves on the disk what
// was synced and by chance some of the rest; and often again while it is started anew.
// Nothing is lost that was acknowledged, and nothing is there by halves.
func TestCutPower(t *testing.T) {
	each(t, storetest.Long(9, 250), func(t *testing.T, tr trial, most int, chance *rand.Rand) string {
		total, _ := tr.calls(t)
		again := 0
		places := spread(total, most, chance)
		for _, n := range places {
			struck, more, err := tr.cut(t, n, chance)
			if err != nil {
				t.Errorf("the power failed at change %d of about %d, %s: %v", n, total, struck, err)
			}
			again += more
		}
		return fmt.Sprintf("%d power cuts at %d of about %d changes, %d more while it was opened again", len(places), len(slices.Compact(places)), total, again)
	})
}

// A program that put files in their places without waiting for the disk, for their
// names to be there for good, or over the older ones, would be found out.
func TestCutIsFelt(t *testing.T) {
	if !storetest.Long(false, true) {
		t.Skip("part of the longer run: ENDFLOAT_LONG=1")
	}
	raw, err := os.ReadFile("internal/file/file.go")
	check(t, err)
	for name, change := range map[string][2]string{
		"bytes not synced": {"\treturn errors.Join(f.Sync(), f.Close())\n}\n\n// SyncFolder", "\treturn f.Close()\n}\n\n// SyncFolder"},
		"names not synced": {"\treturn errors.Join(f.Sync(), f.Close())\n}\n\n// Folder", "\treturn f.Close()\n}\n\n// Folder"},
		"in place":         {"return write(name, b, mode, Place)", "return os.WriteFile(name, b, mode)"},
	} {
		t.Run(name, func(t *testing.T) {
			if why := cutfs.Missing(); why != "" {
				t.Skip(why)
			}
			bin := careless(t, strings.Replace(string(raw), change[0], change[1], 1), string(raw))
			chance, found := rand.New(rand.NewPCG(1, 1)), 0
			for _, tr := range trials(t) {
				if tr.name != "write papers" && tr.name != "backup" {
					continue
				}
				total, _ := tr.calls(t)
				tr.bin = bin
				for _, n := range spread(total, 40, chance) {
					if _, _, err := tr.cut(t, n, chance); err != nil {
						found++
					}
				}
			}
			if found == 0 {
				t.Error("nothing was lost in 80 power cuts: they prove nothing")
			}
			t.Logf("found by %d of 80 power cuts", found)
		})
	}
}

// careless builds the program with another text of internal/file.
func careless(t *testing.T, text, was string) (bin string) {
	if text == was {
		t.Fatal("internal/file reads differently now; change this test with it")
	}
	folder := t.TempDir()
	bin, other := filepath.Join(folder, "endfloat"), filepath.Join(folder, "file.go")
	here, err := filepath.Abs("internal/file/file.go")
	check(t, err)
	overlay, err := json.Marshal(map[string]any{"Replace": map[string]string{here: other}})
	check(t, err)
	check(t, os.WriteFile(other, []byte(text), 0o600))
	check(t, os.WriteFile(filepath.Join(folder, "overlay.json"), overlay, 0o600))
	out, err := exec.Command("go", "build", "-overlay", filepath.Join(folder, "overlay.json"), "-o", bin, ".").CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return bin
}

// Any call that the program makes to the disk fails once, or the disk is full from some
// moment on. The program says so, or goes on; and nothing is lost that was
// acknowledged, and nothing is there by halves.
func TestCutCall(t *testing.T) {
	each(t, storetest.Long(9, 250), func(t *testing.T, tr trial, most int, chance *rand.Rand) string {
		changes, all := tr.calls(t)
		told, fs := 0, faults(changes, all, most, chance)
		for _, f := range fs {
			struck, felt, err := tr.fails(t, f, chance)
			if err != nil {
				t.Errorf("%s, at %s: %v", f.says, struck, err)
			}
			if felt {
				told++
			}
		}
		return fmt.Sprintf("%d times calls failed, of some %d and %d changes; the program told of %d", len(fs), all, changes, told)
	})
}

// A sync fails and the disk has lost what it was to keep, while the system still shows
// it: the program is started again upon that, and then the power fails.
func TestCutSync(t *testing.T) {
	each(t, storetest.Long(9, 400), func(t *testing.T, tr trial, most int, chance *rand.Rand) string {
		syncs := 0
		nth := func(n int) func(int, int, cutfs.Kind) syscall.Errno {
			syncs = 0
			return func(_, _ int, k cutfs.Kind) syscall.Errno {
				if k != cutfs.Sync {
					return 0
				}
				if syncs++; syncs == n {
					return syscall.EIO
				}
				return 0
			}
		}
		b, gone := tr.begin(t)
		defer gone()
		d := tr.disk(chance)
		d.Fault(nth(0))
		b.on(d, func() { tr.do(b) })
		total := syncs
		for _, n := range spread(total, most, chance) {
			b, gone := tr.begin(t)
			d := tr.disk(chance)
			d.Fault(nth(n))
			b.on(d, func() { tr.do(b) })
			struck := d.Struck()
			d.Fault(nil)
			changes, _ := d.Calls()
			d.CutAt(changes + 1 + chance.IntN(40))
			b.on(d, func() { b.run(tr.look...) })
			b.left = nil
			d = d.After()
			if err := tr.settled(b, d); err != nil {
				t.Errorf("sync %d of %d failed, %s, and the power after it: %v", n, total, struck, err)
			}
			gone()
		}
		return fmt.Sprintf("%d times one of some %d syncs failed, and then the power", most, total)
	})
}

// each runs every trial, two at a time.
func each(t *testing.T, most int, fn func(*testing.T, trial, int, *rand.Rand) string) {
	if why := cutfs.Missing(); why != "" {
		t.Skip(why)
	}
	if _, err := built(); err != nil {
		t.Fatal(err)
	}
	seed := uint64(storetest.Long(1, time.Now().UnixNano()))
	turn := make(chan bool, 2)
	for i, tr := range trials(t) {
		t.Run(tr.name, func(t *testing.T) {
			t.Parallel()
			turn <- true
			defer func() { <-turn }()
			t.Log(fn(t, tr, most, rand.New(rand.NewPCG(seed, uint64(i)))))
		})
	}
}

// spread picks so many of the numbers from 1 to total, evenly and by chance; all of
// them if they are few, and then all of them again until there are enough.
func spread(total, most int, chance *rand.Rand) (out []int) {
	for len(out)+total <= most {
		for n := 1; n <= total; n++ {
			out = append(out, n)
		}
	}
	left := most - len(out)
	for i := range left {
		from, to := i*total/left, (i+1)*total/left
		out = append(out, 1+from+chance.IntN(max(1, to-from)))
	}
	slices.Sort(out)
	return out
}

// notes sends notes to a served workshop and acknowledges each that it does.
func notes(b *bench, url string, writers, each int) {
	ctx, stop := context.WithTimeout(context.Background(), 20*time.Second)
	defer stop()
	go func() {
		select {
		case <-b.disk.Dead():
			stop()
		case <-ctx.Done():
		}
	}()
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for n := range each {
				id, err := uuid.NewV7()
				if err == nil && note(ctx, url, id.String(), fmt.Sprintf("writer %d, note %d", w, n)) {
					b.ack(id.String())
				}
			}
		})
	}
	wg.Wait()
}
