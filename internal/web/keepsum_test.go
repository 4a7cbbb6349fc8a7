package web

import (
	"context"
	"encoding/json"
	"html"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"endfloat/calc/catalog"
	"endfloat/internal/job"
)

var hidden = regexp.MustCompile(`<input type="hidden" form="keep" name="([^"]+)" value="([^"]*)">`)

// A sum goes into a job's book as it stands on its page, and the page stays.
func TestKeepSum(t *testing.T) {
	b := newBench(t)
	page := b.get("/sums/lever?" + url.Values{"want": {"130 lbf·ft"}, "arm": {"34.0 in ± 0.1"}}.Encode())
	holds(t, page, 200, "Put it into a job's book", `<option value="wren">W Wren</option>`, `action="/sums/lever"`)
	form := url.Values{"id": {newID()}, "into": {"wren"}}
	for _, m := range hidden.FindAllStringSubmatch(page.Body.String(), -1) {
		form.Set(html.UnescapeString(m[1]), html.UnescapeString(m[2]))
	}
	if form.Get("want") != "130 lbf·ft" || form.Get("arm") != "34.0 in ± 0.1" {
		t.Fatalf("the page does not keep what was typed: %v", form)
	}
	before := b.entries("wren")
	w := b.post("/sums/lever", form)
	holds(t, w, 303)
	to := w.Header().Get("Location")
	if again := b.post("/sums/lever", form); again.Header().Get("Location") != to {
		t.Errorf("sent again it leads to %q, not %q", again.Header().Get("Location"), to)
	}
	if n := b.entries("wren") - before; n != 1 {
		t.Errorf("%d entries, want 1", n)
	}
	path, _, _ := strings.Cut(to, "#")
	holds(t, b.get(path), 200, "45.88 ± 0.13 lbf", "the book of W Wren", `href="/job/wren/book#e2"`)
	if w := b.get("/sums/lever?want=150&arm=0.6&show=result"); strings.Contains(w.Body.String(), "It stands in") {
		t.Error("an answer typed anew is said to be in the book")
	}
	holds(t, b.get("/job/wren/book"), 200, "Did the sum Lever and scale", "given: arm = 34.0 in ± 0.1")

	d, err := b.sh.Open(context.Background(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	var n job.Noted
	if err := json.Unmarshal(d.Entries[len(d.Entries)-1].Body, &n); err != nil || n.Topic != "sum" {
		t.Fatalf("recorded %+v, %v", n, err)
	}
	// 130 · 12 / 34 = 45.88 lbf; the working shows the formula and its numbers.
	for _, s := range []string{"given: want = 130 lbf·ft\n", "given: arm = 34.0 in ± 0.1\n", "45.88 ± 0.13 lbf", "T / (L · cos θ) = 176.256 N·m / (0.8636 m · cos 0°)"} {
		if !strings.Contains(n.Text, s) {
			t.Errorf("the note does not hold %q:\n%s", s, n.Text)
		}
	}
}

// What cannot be put in is said on the page, with what was typed.
func TestKeepSumRefused(t *testing.T) {
	b := newBench(t)
	before := b.entries("wren")
	for says, form := range map[string]url.Values{
		"Choose the job":         {"want": {"150"}, "arm": {"0.6"}},
		"There is no answer":     {"want": {"150"}, "into": {"wren"}},
		"There is no answer to ": {"want": {"150"}, "arm": {"long"}, "into": {"wren"}},
	} {
		holds(t, b.post("/sums/lever", form), 422, says, `role="alert"`, `value="150"`)
	}
	holds(t, b.post("/sums/lever", url.Values{"want": {"150"}, "arm": {"0.6"}, "into": {"nobody"}}), 404)
	holds(t, b.post("/sums/nosuch", url.Values{}), 404)
	if n := b.entries("wren") - before; n != 0 {
		t.Errorf("%d entries were recorded", n)
	}
	for _, entry := range []string{"0", "1", "99", "x"} { // an address that speaks of no sum in the book
		if w := b.get("/sums/lever?want=150&arm=0.6&into=wren&entry=" + entry); strings.Contains(w.Body.String(), "It stands in") {
			t.Errorf("entry %s is said to be a sum in the book", entry)
		}
	}
}

// No input of a sum is called as a field of its page.
func TestInputNames(t *testing.T) {
	for _, s := range catalog.All() {
		for _, in := range s.Inputs {
			if slices.Contains([]string{"id", "into", "entry", "example", "show", "kept", "photo", "back", "tool", "mc", "seed"}, in.Key) {
				t.Errorf("%s: the input %q is taken for a field of the page", s.Name, in.Key)
			}
		}
	}
}
