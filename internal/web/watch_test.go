package web

import (
	"bytes"
	"encoding/json"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"endfloat/internal/shop"
)

func TestHealthAndFigures(t *testing.T) {
	b := newBench(t)
	var log bytes.Buffer
	b.h = New(b.sh, Options{LAN: true, Host: []string{"bench.local"}, Metrics: true, Version: "test", Log: slog.New(slog.NewJSONHandler(&log, nil))})

	w := b.call(true, "GET", "/healthz", nil) // a stranger may know that it is well
	if w.Code != http.StatusOK || w.Body.String() != "ok\n" {
		t.Errorf("healthz: %d %q", w.Code, w.Body)
	}
	if w := b.call(true, "GET", "/metrics", nil); w.Code != http.StatusUnauthorized {
		t.Errorf("a device that is not paired sees the figures: %d", w.Code)
	}
	if w := b.call(false, "GET", "/search?q=bearing-of-a-secret", nil); w.Code != http.StatusOK {
		t.Fatalf("search: %d", w.Code)
	}
	w = b.call(false, "GET", "/metrics", nil)
	for _, want := range []string{
		`endfloat_info{version="test"} 1`,
		`endfloat_requests_total{route="GET /search",status="200"} 1`,
		`endfloat_request_seconds_count{route="GET /search"} 1`,
		"endfloat_seconds_since_proven_copy -1",
		"process_resident_memory_bytes",
	} {
		if !strings.Contains(w.Body.String(), want) {
			t.Errorf("the figures lack %q:\n%.900s", want, w.Body)
		}
	}
	if s := log.String(); strings.Contains(s, "secret") || !strings.Contains(s, "GET /search") {
		t.Errorf("the log must have the route and not what was typed: %.600s", s)
	}
	for line := range strings.Lines(log.String()) {
		if !json.Valid([]byte(line)) {
			t.Errorf("no JSON: %s", line)
		}
	}

	b.h = New(b.sh, Options{})
	if w := b.call(false, "GET", "/metrics", nil); w.Code != http.StatusNotFound {
		t.Errorf("figures that nobody asked for: %d", w.Code)
	}
}

// Who is not paired is soon asked to wait; the computer itself never is.
func TestPace(t *testing.T) {
	b := lanBench(t)
	refused := 0
	for range 3 * strangerBurst {
		if w := b.call(true, "GET", "/pair", nil); w.Code == http.StatusTooManyRequests {
			refused++
			if w.Header().Get("Retry-After") == "" {
				t.Fatal("it does not say how long to wait")
			}
		}
	}
	if refused < strangerBurst {
		t.Errorf("%d of %d requests of a stranger were refused", refused, 3*strangerBurst)
	}
	for range 3 * strangerBurst {
		if w := b.call(false, "GET", "/healthz", nil); w.Code != http.StatusOK {
			t.Fatalf("the computer itself is refused: %d", w.Code)
		}
	}
	var l limits
	for i := range 3 * mostPaces {
		r := httptest.NewRequest("GET", "/", nil)
		r.RemoteAddr = "10." + string(rune('0'+i%10)) + "." + url.QueryEscape(string(rune(i+300))) + ":1"
		l.allow(r, false)
		if len(l.by) > mostPaces {
			t.Fatalf("%d addresses are remembered", len(l.by))
		}
	}
}

// A search shows units, pieces and entries, and says so where there is nothing.
func TestSearchPage(t *testing.T) {
	b := newBench(t)
	for q, want := range map[string]string{
		"Wren":            `href="/job/`,
		"no-such-word":    "Nothing holds",
		"<script>alert()": "Nothing holds",
	} {
		w := b.call(false, "GET", "/search?q="+url.QueryEscape(q), nil)
		if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), want) {
			t.Errorf("%s: %d, without %q", q, w.Code, want)
		}
		if strings.Contains(w.Body.String(), "<script>alert") {
			t.Errorf("%s comes back as it was typed", q)
		}
	}
	if w := b.call(false, "GET", "/search?q="+strings.Repeat("x", 300), nil); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("a search too long: %d", w.Code)
	}
	var out searchJSON
	w := b.call(false, "GET", "/api/search?q=wren", nil)
	if err := json.Unmarshal(w.Body.Bytes(), &out); err != nil || len(out.Jobs) == 0 {
		t.Errorf("api: %v, %.300s", err, w.Body)
	}
}

// Who is turned away is logged, with what is needed to look into it and nothing of
// what was sent.
func TestTurnedAwayIsLogged(t *testing.T) {
	b := newBench(t)
	var log bytes.Buffer
	b.h = New(b.sh, Options{LAN: true, Host: []string{"bench.local"}, Log: slog.New(slog.NewJSONHandler(&log, nil))})
	b.call(true, "GET", "/job/wren%0Aforged", nil)
	b.call(true, "POST", "/pair", url.Values{"code": {"secret-guess"}})
	r := httptest.NewRequest("POST", home+"/who", strings.NewReader("who=Eve-of-the-secret"))
	r.Header.Set("Origin", "https://evil.example")
	r.RemoteAddr = "127.0.0.1:5000"
	b.do(r)
	got := log.String()
	for _, why := range []string{"not paired", "another site", "a wrong pairing code"} {
		if !strings.Contains(got, why) {
			t.Errorf("the log lacks %q: %s", why, got)
		}
	}
	if strings.Contains(got, "secret") {
		t.Errorf("what was sent is in the log: %s", got)
	}
	for line := range strings.Lines(got) {
		if !json.Valid([]byte(line)) {
			t.Errorf("a line is broken: %q", line)
		}
	}
}

// A name is deleted from the page of people only when that is meant, and through the
// interface; a hand may not.
func TestForgetPages(t *testing.T) {
	b := newBench(t)
	keep := func(name string) string {
		t.Helper()
		c, err := b.sh.KeepPerson(t.Context(), shop.By{Name: "T"}, shop.Contact{Name: name, Reach: "by post"})
		if err != nil {
			t.Fatal(err)
		}
		return c.Key
	}
	anna := keep("Anna Birk")
	holds(t, b.post("/people/forget", url.Values{"name": {"Anna Birk"}, "key": {anna}}), http.StatusUnprocessableEntity, "Nothing was deleted")
	holds(t, b.get("/people"), http.StatusOK, "Anna Birk")
	if w := b.post("/people/forget", url.Values{"name": {"Anna Birk"}, "sure": {"yes"}}); w.Code != http.StatusSeeOther {
		t.Errorf("status %d: %.300s", w.Code, w.Body)
	}
	if w := b.get("/people"); strings.Contains(w.Body.String(), "Anna Birk") {
		t.Error("the name is still listed")
	}
	keep("Bo Lind")
	r := httptest.NewRequest("POST", home+"/api/forget", strings.NewReader(`{"person":"Bo Lind"}`))
	r.Header.Set("Origin", home)
	if w := b.do(r); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), `"deleted":2`) {
		t.Errorf("status %d: %.300s", w.Code, w.Body)
	}
	if w := b.get("/people"); strings.Contains(w.Body.String(), "Bo Lind") {
		t.Error("the name is still listed")
	}
	r = httptest.NewRequest("POST", home+"/api/forget", strings.NewReader(`{}`))
	r.Header.Set("Origin", home)
	if w := b.do(r); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("nothing named: status %d", w.Code)
	}
}
