package sqlite

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/storetest"
)

// helpers are other programs: this test started again, with one of these and a
// path in its environment. They print what a store has acknowledged.
var helpers = map[string]func(path string) error{
	"moves":  moves,
	"shares": shares,
}

const helperEnv, pathEnv = "STORE_TEST_HELPER", "STORE_TEST_PATH"

func TestMain(m *testing.M) {
	if do := helpers[os.Getenv(helperEnv)]; do != nil {
		if err := do(os.Getenv(pathEnv)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// helper starts another program and returns what it prints, line by line.
func helper(t *testing.T, name, path string) (*exec.Cmd, *bufio.Scanner, *bytes.Buffer) {
	t.Helper()
	self, err := os.Executable()
	must(t, err)
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), helperEnv+"="+name, pathEnv+"="+path)
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	out, err := cmd.StdoutPipe()
	must(t, err)
	must(t, cmd.Start())
	return cmd, bufio.NewScanner(out), &complaint
}

// movers write at once, so that commits are shared.
const movers = 4

// moves moves a piece between two books for ever, three lines into each, and a
// photo now and then.
func moves(path string) error {
	s, err := Open(ctx, path)
	if err != nil {
		return err
	}
	errs := make(chan error)
	for m := range movers {
		go func() { errs <- mover(s, m) }()
	}
	return <-errs
}

func mover(s *Store, m int) error {
	a, b := fmt.Sprint("a", m), fmt.Sprint("b", m)
	held, err := s.Lines(ctx, a, 0)
	if err != nil {
		return err
	}
	for n := len(held) / 3; ; n++ {
		to := [2]shop.Add{threeLines(a, m, n), threeLines(b, m, n)}
		to[n%2].Tags = []string{fmt.Sprint("T", m)}
		if err := s.Append(ctx, to[0], to[1]); err != nil {
			return err
		}
		fmt.Fprintf(os.Stdout, "entry %d-%d\n", m, n)
		if n%8 == 0 {
			key, err := s.PutBlob(ctx, nil, bytes.Repeat([]byte(a), 30000+n))
			if err != nil {
				return err
			}
			fmt.Fprintf(os.Stdout, "photo %s\n", key)
		}
	}
}

func threeLines(book string, m, n int) shop.Add {
	add := shop.Add{Book: book, After: 3 * n}
	for _, end := range []string{"x", "y", "z"} {
		add.Lines = append(add.Lines, line(fmt.Sprintf("%d-%d%s", m, n, end)))
	}
	return add
}

// Whatever moment a program is killed at, all it has acknowledged is there with
// its bytes, and nothing by halves. (This shows what the death of a program
// does; a power cut may take more.)
func TestKilled(t *testing.T) {
	rounds := storetest.Long(20, 2000)
	folder := t.TempDir()
	var path string
	var acks map[string]bool
	total := 0
	for round := range rounds {
		if round%5 == 0 { // a file that the program that is killed must first make
			os.RemoveAll(path)
			path, acks = filepath.Join(folder, fmt.Sprint(round, ".db")), map[string]bool{}
		}
		cmd, out, complaint := helper(t, "moves", path)
		kill := func() { cmd.Process.Kill() }
		after := rand.IntN(150)
		if round%2 == 0 { // by time: while opening, or soon after
			time.AfterFunc(time.Duration(rand.IntN(60_000))*time.Microsecond, kill)
			after = -1
		}
		for n := 0; out.Scan(); n++ {
			acks[out.Text()] = true
			total++
			if n == after {
				kill()
			}
		}
		cmd.Wait()
		if complaint.Len() > 0 {
			t.Fatalf("round %d: the program says: %s", round, complaint)
		}
		wholeMoves(t, path, acks)
	}
	t.Logf("%d acknowledged over %d kills; none lost, half done or doubled", total, rounds)
	if total == 0 {
		t.Error("nothing was acknowledged: this test proves nothing")
	}
}

func wholeMoves(t *testing.T, path string, acks map[string]bool) {
	t.Helper()
	s := open(t, path)
	defer s.Close()
	for m := range movers {
		a, b := fmt.Sprint("a", m), fmt.Sprint("b", m)
		inA, err := s.Lines(ctx, a, 0)
		must(t, err)
		inB, err := s.Lines(ctx, b, 0)
		must(t, err)
		if len(inA) != len(inB) || len(inA)%3 != 0 {
			t.Fatalf("%d and %d lines: a half transaction", len(inA), len(inB))
		}
		for i := range inA {
			want := threeLines(a, m, i/3).Lines[i%3]
			for _, l := range []job.Line{inA[i], inB[i]} {
				if l.Seq != i+1 || l.ID != want.ID || !bytes.Equal(l.Bytes, want.Bytes) {
					t.Fatalf("line %d is %d %s %q, want %s", i+1, l.Seq, l.ID, l.Bytes, want.ID)
				}
			}
		}
		n := len(inA) / 3
		if acks[fmt.Sprintf("entry %d-%d", m, n)] {
			t.Fatalf("entry %d-%d was acknowledged and is not there", m, n)
		}
		at, err := s.FindTag(ctx, fmt.Sprint("T", m))
		must(t, err)
		if want := []string{a, b}; n > 0 && !slices.Equal(at, want[(n-1)%2:][:1]) {
			t.Fatalf("after %d moves the piece is in %q", n, at)
		}
	}
	there := map[string]int{}
	for m := range movers {
		ls, err := s.Lines(ctx, fmt.Sprint("b", m), 0)
		must(t, err)
		there[fmt.Sprint(m)] = len(ls) / 3
	}
	for ack := range acks {
		if key, ok := strings.CutPrefix(ack, "photo "); ok {
			_, err := s.Blob(ctx, key)
			must(t, err)
		}
		var m, n int
		if k, _ := fmt.Sscanf(ack, "entry %d-%d", &m, &n); k == 2 && there[fmt.Sprint(m)] <= n {
			t.Fatalf("%s was acknowledged and is not there", ack)
		}
	}
}

// shares adds to a book that others add to as well.
func shares(path string) error {
	s, err := Open(ctx, path)
	if err != nil {
		return err
	}
	defer s.Close()
	at := 0
	for n := range sharedEach {
		id := fmt.Sprint(os.Getpid(), "-", n)
		for {
			err := s.Append(ctx, one("shared", at, id))
			if err == nil {
				break
			}
			if !errors.Is(err, shop.ErrConflict) {
				return err
			}
			ls, err := s.Lines(ctx, "shared", at)
			if err != nil {
				return err
			}
			at += len(ls)
		}
		at++
		fmt.Println(id)
	}
	return nil
}

const sharedEach = 100

// Programs that share a file, and even begin it at the same moment, lose and
// overwrite nothing.
func TestSeveralPrograms(t *testing.T) {
	const programs = 3
	path := filepath.Join(t.TempDir(), "endfloat.db")
	var cmds []*exec.Cmd
	var outs []*bufio.Scanner
	var complaints []*bytes.Buffer
	for range programs {
		cmd, out, complaint := helper(t, "shares", path)
		cmds, outs, complaints = append(cmds, cmd), append(outs, out), append(complaints, complaint)
	}
	acks := map[string]bool{}
	for i, out := range outs { // the pipes hold what the others print meanwhile
		for out.Scan() {
			acks[out.Text()] = true
		}
		if err := cmds[i].Wait(); err != nil {
			t.Fatalf("%v: %s", err, complaints[i])
		}
	}
	if left := names(t, filepath.Dir(path)); len(left) != 1 {
		t.Errorf("the programs leave %q, want the one file", left)
	}
	s := open(t, path)
	ls, err := s.Lines(ctx, "shared", 0)
	must(t, err)
	if len(ls) != programs*sharedEach || len(acks) != len(ls) {
		t.Fatalf("%d lines, %d acknowledged, want %d", len(ls), len(acks), programs*sharedEach)
	}
	for i, l := range ls {
		if l.Seq != i+1 || !acks[l.ID] || !bytes.Equal(l.Bytes, line(l.ID).Bytes) {
			t.Fatalf("line %d is %d %s %q", i+1, l.Seq, l.ID, l.Bytes)
		}
	}
}
