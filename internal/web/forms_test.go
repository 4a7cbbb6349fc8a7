package web

import (
	"bytes"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/store/storetest"
)

// What people, and worse, may type into any field.
var odd = []string{
	"", " ", "0", "-1", "1e999", "NaN", "18,87 mm", "0.35", "1/0 in", "34 in ± 0.1 in", "9999999999999999999999", "½",
	"P08", "P39", "p08", "P999", "L", "linnet", "dunnock", "stores", "devices", "backlash", "pinion depth", "yes", "no", "P08=L-P08",
	"L-P08", "L-P01", "reuse", "new", "scrap", "A", "2026-03-01", "09:00", "owner", "hand", "2 h", "1500", "<script>alert(1)</script>", "'; DROP TABLE entry; --",
	"{{.}}", "../../etc/passwd", "%00", "\x00", "\xff\xfe", "a\r\nSet-Cookie: x=1", "☃", strings.Repeat("x", 70), strings.Repeat("9", 5000), strings.Repeat("ä\n", 900),
	"[]", "{}", `{"kind":"noted","body":{"text":"x"}}`, "null", "5f0c", strings.Repeat("a", 64), "http://evil.example/", "//evil.example",
}

var formField = regexp.MustCompile(`(?:FormValue\(|Form\[|PostForm\[|\.Get\(|\bfield\()\s*"([a-z][a-z0-9_-]*)"`)

// fieldNames are the names of all fields that the pages of this package read.
func fieldNames(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range formField.FindAllSubmatch(text, -1) {
			names = append(names, string(m[1]))
		}
	}
	slices.Sort(names)
	names = slices.Compact(names)
	if len(names) < 60 {
		t.Fatalf("only %d fields were found", len(names))
	}
	return names
}

var inPath = regexp.MustCompile(`\{[a-z]+(\.\.\.)?\}`)

// Whatever is typed into a form, or sent to the API, is taken or refused with a
// word: no failure of the program, nothing of it run in the page, no address
// elsewhere, and what is refused leaves no entry.
func TestEveryFormTakesAnything(t *testing.T) {
	b := demoBench(t)
	var log bytes.Buffer
	old := slog.Default()
	slog.SetDefault(slog.New(slog.NewTextHandler(&log, nil)))
	t.Cleanup(func() { slog.SetDefault(old) })
	names := fieldNames(t)
	r := rand.New(rand.NewPCG(7, 11))
	pick := func() string { return odd[r.IntN(len(odd))] }
	total, refused := 0, 0
	for _, route := range (&server{}).routes() {
		if route.pattern == "GET /events" {
			continue // never ends
		}
		for range storetest.Long(6, 200) {
			method, path, ok := strings.Cut(route.pattern, " ")
			if !ok {
				t.Fatal(route.pattern)
			}
			path = inPath.ReplaceAllStringFunc(strings.TrimSuffix(path, "{$}"), func(p string) string {
				if p == "{book}" && r.IntN(8) > 0 {
					return "linnet"
				}
				return strings.ReplaceAll(url.PathEscape(pick()), "%2F", "-")
			})
			form := url.Values{}
			for range r.IntN(9) {
				for range 1 + r.IntN(2) {
					form.Add(names[r.IntN(len(names))], pick())
				}
			}
			total++
			if !b.sendsWell(t, method, path, form, &log) {
				refused++
			}
			if t.Failed() {
				return
			}
		}
	}
	t.Logf("%d requests, %d of them refused", total, refused)
	if refused < total/4 || refused > total*19/20 {
		t.Errorf("%d of %d refused: the forms are not reached as meant", refused, total)
	}
}

// sendsWell sends a form and reports whether it was taken.
func (b *bench) sendsWell(t *testing.T, method, path string, form url.Values, log *bytes.Buffer) bool {
	t.Helper()
	before := b.entries("linnet")
	target, body := home+path, io.Reader(nil)
	if method == http.MethodGet {
		target += "?" + form.Encode()
	} else {
		body = strings.NewReader(form.Encode())
		if strings.HasPrefix(path, "/api/") {
			body = strings.NewReader(form.Get("json") + `{"text":` + fmt.Sprintf("%q", form.Encode()) + `}`)
		}
	}
	q, err := http.NewRequest(method, target, body)
	if err != nil {
		return false // no address at all
	}
	q.RequestURI, q.RemoteAddr = "", "127.0.0.1:5000"
	q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	q.Header.Set("Origin", home)
	w := httptest.NewRecorder()
	b.h.ServeHTTP(w, q)
	page := w.Body.String()
	switch where := w.Header().Get("Location"); {
	case w.Code >= 500 || log.Len() > 0:
		t.Errorf("%s %s with %q failed: status %d\n%.3000s", method, path, form, w.Code, log)
	case strings.Contains(page, "<script>alert"):
		t.Errorf("%s %s with %q: what was typed runs in the page", method, path, form)
	case where != "" && !strings.HasPrefix(where, "/") || strings.HasPrefix(where, "//"):
		t.Errorf("%s %s with %q leads to %q", method, path, form, where)
	case w.Header().Get("Set-Cookie") == "x=1":
		t.Errorf("%s %s with %q: a header was forged", method, path, form)
	case w.Code >= 400 && b.entries("linnet") != before:
		t.Errorf("%s %s with %q was refused (%d) and left an entry", method, path, form, w.Code)
	}
	return w.Code < 400
}
