package cli_test

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"image"
	"image/png"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"endfloat/internal/cli"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"endfloat": func() {
			os.Exit(cli.Run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
		},
	})
}

// TestScripts runs the stories under testdata as people type them.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata",
		Setup: func(e *testscript.Env) error {
			e.Setenv("HOME", e.WorkDir+"/home")
			e.Setenv("XDG_CONFIG_HOME", e.WorkDir+"/home/.config")
			e.Setenv("AppData", e.WorkDir+"/home/AppData")
			e.Setenv("ENDFLOAT_DATA", e.WorkDir+"/bench.db")
			e.Setenv("ENDFLOAT_BY", "Tove Marrin")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"photo": photo, "sqlite": sqlite},
	})
}

// photo FILE: take a photo, of nothing in particular.
func photo(ts *testscript.TestScript, _ bool, args []string) {
	var b bytes.Buffer
	ts.Check(png.Encode(&b, image.NewGray(image.Rect(0, 0, 40, 30))))
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), b.Bytes(), 0o600))
}

// sqlite FILE SQL: do to a database what another program might.
func sqlite(ts *testscript.TestScript, _ bool, args []string) {
	db, err := sql.Open("sqlite", ts.MkAbs(args[0]))
	ts.Check(err)
	_, err = db.Exec(args[1])
	ts.Check(err)
	ts.Check(db.Close())
}

// TestDemo starts the demonstration on a free port, looks at its first page and
// stops it with a screen still open that listens for changes.
func TestDemo(t *testing.T) {
	served(t, "endfloat demonstration", "Linnet", "demo", "--addr", "127.0.0.1:0")
}

// TestServe opens a data file in the same way; once stopped, the file is free.
func TestServe(t *testing.T) {
	data := filepath.Join(t.TempDir(), "bench.db")
	served(t, "endfloat", "<html", "serve", "--addr", "127.0.0.1:0", "--data", data)
	var stdout, stderr bytes.Buffer
	if c := cli.Run(t.Context(), []string{"jobs", "--data", data}, strings.NewReader(""), &stdout, &stderr); c != 0 || stderr.Len() > 0 {
		t.Errorf("after serving: exit %d, stderr %q", c, stderr.String())
	}
}

// TestAddressInUse asks for a port that another listener has.
func TestAddressInUse(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	var stdout, stderr bytes.Buffer
	c := cli.Run(t.Context(), []string{"demo", "--addr", l.Addr().String()}, strings.NewReader(""), &stdout, &stderr)
	if c != 1 || !strings.Contains(stderr.String(), "is it in use?") || stdout.Len() > 0 {
		t.Errorf("exit %d, stdout %q, stderr %q", c, stdout.String(), stderr.String())
	}
}

// served runs a command that serves, checks its first line and its first page,
// and that it stops when it is told to.
func served(t *testing.T, says, shows string, args ...string) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	r, w := io.Pipe()
	var stderr bytes.Buffer
	code := make(chan int, 1)
	go func() {
		code <- cli.Run(ctx, args, strings.NewReader(""), w, &stderr)
		w.Close()
	}()
	line, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		t.Fatalf("no first line: %v; exit %d, stderr %q", err, <-code, stderr.String())
	}
	m := regexp.MustCompile(`^` + says + `: (http://127\.0\.0\.1:[1-9][0-9]*)\n$`).FindStringSubmatch(line)
	if m == nil {
		t.Fatalf("the first line is %q", line)
	}
	if page := get(t, m[1]+"/"); !strings.Contains(page, shows) {
		t.Errorf("the first page does not show %q:\n%.600s", shows, page)
	}
	screen, err := http.Get(m[1] + "/events")
	if err != nil {
		t.Fatal(err)
	}
	defer screen.Body.Close()
	stop()
	select {
	case c := <-code:
		if c != 0 {
			t.Errorf("stopped with exit %d, stderr %q", c, stderr.String())
		}
	case <-time.After(20 * time.Second):
		t.Fatal("it did not stop")
	}
	if _, err := http.Get(m[1] + "/"); err == nil {
		t.Error("it still answers after it was stopped")
	}
}

func get(t *testing.T, url string) string {
	t.Helper()
	res, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		t.Fatalf("GET %s: %s, %v", url, res.Status, err)
	}
	return string(b)
}
