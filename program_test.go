package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/store/postgres/pgtest"
	"endfloat/internal/store/sqlite"

	"github.com/google/uuid"
)

// built is the program, built once for all tests of this package.
var built = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "endfloat-test")
	if err != nil {
		return "", err
	}
	bin := filepath.Join(dir, "endfloat")
	if runtime.GOOS == "windows" {
		bin += ".exe"
	}
	out, err := exec.Command("go", "build", "-o", bin, ".").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("go build: %v\n%s", err, out)
	}
	return bin, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	pgtest.Stop()
	if bin, err := built(); err == nil {
		os.RemoveAll(filepath.Dir(bin))
	}
	os.Exit(code)
}

func program(t testing.TB, args ...string) *exec.Cmd {
	t.Helper()
	bin, err := built()
	if err != nil {
		t.Fatal(err)
	}
	return exec.CommandContext(t.Context(), bin, args...)
}

func run(t testing.TB, args ...string) string {
	t.Helper()
	out, err := program(t, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("endfloat %s: %v\n%s", strings.Join(args, " "), err, out)
	}
	return string(out)
}

// listen starts the program with args and returns the address it prints.
func listen(t testing.TB, args ...string) (cmd *exec.Cmd, url string) {
	t.Helper()
	cmd = program(t, args...)
	var trouble bytes.Buffer
	cmd.Stderr = &trouble
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() })
	line, err := bufio.NewReader(out).ReadString('\n')
	_, url, ok := strings.Cut(strings.TrimSpace(line), ": ")
	if err != nil || !ok {
		t.Fatalf("no address: %q %v %s", line, err, trouble.String())
	}
	go io.Copy(io.Discard, out)
	return cmd, url
}

// Killing the program at any moment and starting it again shows every entry
// that was acknowledged, once, and nothing half done.
func TestKill(t *testing.T) {
	data := filepath.Join(t.TempDir(), "bench.db")
	run(t, "box", "keep", "internal/demo/three-speed.gearbox.yaml", "--data", data)
	var kept struct{ Name string }
	kept.Name = gearboxName(t, "internal/demo/three-speed.gearbox.yaml")
	run(t, "new", "--unit", "Heron", "--letter", "H", "--colour", "green", "--type", kept.Name, "--data", data)
	acked := map[string]bool{}
	for round := range 8 {
		cmd, url := listen(t, "serve", "--addr", "127.0.0.1:0", "--data", data)
		ctx, stop := context.WithTimeout(t.Context(), 10*time.Second)
		var mu sync.Mutex
		var wg sync.WaitGroup
		for w := range 3 {
			wg.Go(func() {
				for n := 0; ctx.Err() == nil; n++ {
					id, err := uuid.NewV7()
					if err != nil || !note(ctx, url, id.String(), fmt.Sprintf("round %d, writer %d, note %d", round, w, n)) {
						return
					}
					mu.Lock()
					acked[id.String()] = true
					mu.Unlock()
				}
			})
		}
		time.Sleep(time.Duration(40+round*37) * time.Millisecond)
		cmd.Process.Kill()
		cmd.Wait()
		stop()
		wg.Wait()
	}
	if len(acked) == 0 {
		t.Fatal("nothing was acknowledged: the test proves nothing")
	}
	st, err := sqlite.Open(t.Context(), data)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	lines, err := st.Lines(t.Context(), "heron", 0)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	for i, l := range lines {
		if l.Seq != i+1 || job.Decode(l).Kind == "" {
			t.Errorf("line %d has sequence number %d: %s", i+1, l.Seq, l.Bytes)
		}
		seen[l.ID]++
	}
	for id := range acked {
		if seen[id] != 1 {
			t.Errorf("entry %s was acknowledged and is there %d times", id, seen[id])
		}
	}
	t.Logf("%d acknowledged, %d in the book after 8 kills", len(acked), len(lines)-1)
}

func gearboxName(t *testing.T, file string) string {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(b)) {
		if name, ok := strings.CutPrefix(line, "gearbox:"); ok {
			return strings.TrimSpace(name)
		}
	}
	t.Fatalf("%s has no name", file)
	return ""
}

// note sends one entry and reports whether it was acknowledged.
func note(ctx context.Context, url, id, text string) bool {
	body, err := json.Marshal(map[string]any{"id": id, "kind": "noted", "by": "test", "body": job.Noted{Text: text}})
	if err != nil {
		return false
	}
	req, err := http.NewRequestWithContext(ctx, "POST", url+"/api/job/heron/entry", bytes.NewReader(body))
	if err != nil {
		return false
	}
	req.Header.Set("Origin", url)
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return false
	}
	defer resp.Body.Close()
	_, err = io.Copy(io.Discard, resp.Body)
	return err == nil && resp.StatusCode == http.StatusOK
}

// From starting the program on a kept workshop to the whole first page.
func BenchmarkStartToFirstPage(b *testing.B) {
	data := filepath.Join(b.TempDir(), "bench.db")
	run(b, "box", "keep", "internal/demo/bw-4t.gearbox.yaml", "--data", data)
	run(b, "new", "--unit", "Heron", "--letter", "H", "--colour", "green", "--type", "BW-4T", "--series", "A", "--data", data)
	for b.Loop() {
		cmd, url := listen(b, "serve", "--addr", "127.0.0.1:0", "--data", data)
		resp, err := http.Get(url + "/")
		if err != nil {
			b.Fatal(err)
		}
		io.Copy(io.Discard, resp.Body)
		resp.Body.Close()
		cmd.Process.Kill()
		cmd.Wait()
	}
}
