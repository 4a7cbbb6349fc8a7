package web

import (
	"bytes"
	"compress/gzip"
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"endfloat/internal/shop"
)

// A page put together from what is kept ready and what is made now reads the same
// squeezed and not, also where requests are logged, and follows the book.
func TestSqueezed(t *testing.T) {
	b := newBench(t)
	logged := New(b.sh, Options{Version: "test", Book: func(context.Context, *shop.Desk, string, string) ([]byte, error) { return nil, nil }, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	page := func(h http.Handler, take string) string {
		t.Helper()
		r := httptest.NewRequest("GET", home+"/job/wren", nil)
		r.Header.Set("Accept-Encoding", take)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != 200 || (w.Header().Get("Content-Encoding") == "gzip") != (take == "gzip") {
			t.Fatalf("%d %v", w.Code, w.Header())
		}
		body := io.Reader(w.Body)
		if take == "gzip" {
			if strings.Contains(w.Body.String(), "<svg") {
				t.Error("a drawing goes out as it is")
			}
			z, err := gzip.NewReader(body)
			if err != nil {
				t.Fatal(err)
			}
			body = z
		}
		all, err := io.ReadAll(body) // and its sum is looked at
		if err != nil {
			t.Fatal(err)
		}
		return string(newest.ReplaceAll(all, []byte("ID")))
	}
	plain := page(b.h, "")
	if strings.Contains(plain, readyHere) || !strings.Contains(plain, "<svg") || !strings.Contains(plain, "As a list") || !strings.HasSuffix(strings.TrimSpace(plain), "</html>") {
		t.Error("the page is not whole")
	}
	for _, h := range []http.Handler{b.h, logged} {
		for _, take := range []string{"gzip", "", "gzip"} {
			if got := page(h, take); got != plain {
				t.Errorf("taken as %q the page reads otherwise: %d and %d bytes", take, len(got), len(plain))
			}
		}
	}
	holds(t, b.post("/job/wren/note", url.Values{"text": {readyHere + " is what I typed"}}), 303)
	if got := page(b.h, "gzip"); !strings.Contains(got, "&lt;!--ready--&gt; is what I typed") || strings.Count(got, "As a list") != strings.Count(plain, "As a list") {
		t.Error("the page did not follow the book, or what was typed took the place of the drawings")
	}
	if !strings.Contains(page(b.h, "gzip"), "bench</span>") {
		t.Fatal("the page does not say who wrote last")
	}
	holds(t, b.post("/people/forget", url.Values{"name": {"bench"}, "sure": {"yes"}}), 303)
	if got := page(b.h, "gzip"); strings.Contains(got, ", bench</span>") || !strings.Contains(got, "(name deleted)</span>") {
		t.Error("the page shows a name that was deleted")
	}
}

var newest = regexp.MustCompile(`[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f-]{22,23}`)

// Blocks of any bytes may stand anywhere in an answer.
func TestBlocks(t *testing.T) {
	big := bytes.Repeat([]byte("the same and the same again "), 9000)
	for _, parts := range [][]string{{""}, {"a"}, {"", "", ""}, {"first", string(big), "last"}, {string(big), string(big)}, {"x", "\x00\xff", string(big[:40000]), ""}} {
		var want bytes.Buffer
		w := httptest.NewRecorder()
		r := httptest.NewRequest("GET", home+"/", nil)
		r.Header.Set("Accept-Encoding", "gzip")
		squeeze(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", "text/html")
			for i, p := range parts {
				want.WriteString(p)
				if i%2 == 1 {
					newBlock([]byte(p)).send(w)
				} else {
					io.WriteString(w, p)
				}
			}
		})).ServeHTTP(w, r)
		z, err := gzip.NewReader(w.Body)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := io.ReadAll(z); err != nil || !bytes.Equal(got, want.Bytes()) {
			t.Errorf("%d parts came out as %d bytes of %d, %v", len(parts), len(got), want.Len(), err)
		}
	}
}
