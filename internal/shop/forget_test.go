package shop_test

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

// A name deleted on request is gone from everywhere it was kept, an older spelling
// and how to reach the person too; the books stay whole.
func TestForgetPerson(t *testing.T) {
	w := small(t)
	ctx := t.Context()
	anna, err := w.KeepPerson(ctx, tove, shop.Contact{Name: "Anna Berk", Reach: "anna@post.example", Role: "customer"})
	if err != nil {
		t.Fatal(err)
	}
	anna.Name, anna.Reach = "Anna Birk", "+45 00 00 00 00"
	if _, err := w.KeepPerson(ctx, tove, anna); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Record(ctx, shop.By{Name: "Anna Birk"}, "linnet", job.Noted{Text: "Anna Birk looked on; tag stays"}); err != nil {
		t.Fatal(err)
	}
	before := everything(t, w)
	for _, secret := range []string{"Anna Berk", "anna@post.example", "Anna Birk", "+45 00"} {
		if !strings.Contains(before, secret) {
			t.Fatalf("%q is not kept to begin with", secret)
		}
	}

	if _, err := w.ForgetPerson(ctx, shop.By{Name: "Jo", Role: shop.Hand}, "Anna Birk"); !errors.Is(err, shop.ErrMayNot) {
		t.Fatalf("a hand may not delete names; got %v", err)
	}
	if _, err := w.ForgetPerson(ctx, tove, "Nobody Known"); !errors.Is(err, shop.ErrNotFound) {
		t.Fatalf("got %v, want not found", err)
	}
	got, err := w.ForgetPerson(ctx, tove, "anna birk")
	if err != nil {
		t.Fatal(err)
	}
	if got.Names < 4 {
		t.Errorf("%d copies deleted; two spellings and two contacts were kept", got.Names)
	}
	if len(got.Mentions) != 1 || got.Mentions[0].Row.Book != "linnet" {
		t.Errorf("the note that has the name in its own words must be listed; got %+v", got.Mentions)
	}
	after := everything(t, w)
	for _, secret := range []string{"Anna Berk", "anna@post.example", "+45 00"} {
		if strings.Contains(after, secret) {
			t.Errorf("%q is still kept", secret)
		}
	}
	if n := strings.Count(after, "Anna Birk"); n != 1 {
		t.Errorf("the name stands %d times; want once, in the note", n)
	}
	fresh := shop.New(w.store, clock) // nothing remembered in the program
	d, err := fresh.Open(ctx, "linnet")
	if err != nil {
		t.Fatal(err)
	}
	last := d.Entries[len(d.Entries)-1]
	if name := fresh.Name(ctx, last.By); name != "(name deleted)" {
		t.Errorf("by %q, want it to say that the name was deleted", name)
	}
}

// everything is all that a store holds, as text.
func everything(t *testing.T, w told) string {
	t.Helper()
	whole := w.store.Store.(*memory.Store)
	var b bytes.Buffer
	sums, err := whole.Summaries(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range sums {
		lines, err := whole.Lines(t.Context(), s.Book, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range lines {
			b.Write(l.Bytes)
		}
	}
	keys, err := whole.BlobKeys(t.Context(), "", 10_000)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range keys {
		x, err := whole.Blob(t.Context(), k)
		if err != nil {
			t.Fatal(err)
		}
		b.Write(x)
	}
	return b.String()
}

func TestForgetPhoto(t *testing.T) {
	w := small(t)
	ctx := t.Context()
	key, err := w.store.PutBlob(ctx, []byte("salt"), []byte("\xff\xd8\xff\xe0 not much of a photo"))
	if err != nil {
		t.Fatal(err)
	}
	other, err := w.store.PutBlob(ctx, []byte("salt"), []byte(`{"name":"Tove"}`))
	if err != nil {
		t.Fatal(err)
	}
	if err := w.ForgetPhoto(ctx, tove, other); !errors.Is(err, shop.ErrInvalid) {
		t.Errorf("what is no photo stays; got %v", err)
	}
	if err := w.ForgetPhoto(ctx, tove, key); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Blob(ctx, key); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("the photo is still there: %v", err)
	}
	if err := w.ForgetPhoto(ctx, tove, key); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("a photo that is gone: got %v, want not found", err)
	}
}

// Words are looked for in what people wrote, not in the names of fields, and all of
// them must be there.
func TestSearch(t *testing.T) {
	w := demonstration(t, partWay)
	ctx := t.Context()
	for _, c := range []struct {
		text    string
		jobs    int
		tag     string
		atLeast int
	}{
		{"Linnet", 1, "", 1},
		{"linnet 4t", 0, "", 0},
		{"L-P08", 0, "L-P08", 0},
		{"position", 0, "", 0},
		{"no-such-word-anywhere", 0, "", 0},
	} {
		r, err := w.Search(ctx, c.text)
		if err != nil {
			t.Fatalf("%s: %v", c.text, err)
		}
		tag := ""
		if r.Tag != nil {
			tag = r.Tag.Tag
		}
		if len(r.Jobs) < c.jobs || tag != c.tag || len(r.Entries) < c.atLeast {
			t.Errorf("%s: %d units, tag %q, %d entries; want at least %d, %q, %d", c.text, len(r.Jobs), tag, len(r.Entries), c.jobs, c.tag, c.atLeast)
		}
		for _, e := range r.Entries {
			for _, word := range strings.Fields(c.text) {
				if !strings.Contains(strings.ToLower(string(e.Entry.Body)+e.Entry.Kind), strings.ToLower(word)) {
					t.Errorf("%s: entry %d of %s does not hold %q", c.text, e.Entry.Seq, e.Row.Unit, word)
				}
			}
		}
	}
	for _, bad := range []string{"", "  ", strings.Repeat("a ", 9), strings.Repeat("x", 300)} {
		if _, err := w.Search(ctx, bad); !errors.Is(err, shop.ErrInvalid) {
			t.Errorf("%.10q: got %v, want a refusal", bad, err)
		}
	}
}

// cared is a store that remembers what is told to it.
type cared struct {
	*memory.Store
	all []shop.Care
}

func (c *cared) Care(_ context.Context, x shop.Care) error  { c.all = append(c.all, x); return nil }
func (c *cared) Cares(context.Context) ([]shop.Care, error) { return c.all, nil }

func TestUpkeep(t *testing.T) {
	for _, c := range []struct {
		all   []shop.Care
		says  string
		alarm bool
	}{
		{nil, "No copy of this workshop", true},
		{[]shop.Care{{What: "backup", At: clock().Add(-time.Hour), Note: "x.db"}}, "Last copy, read back whole: 10 Mar", false},
		{[]shop.Care{{What: "backup", At: clock().Add(-9 * 24 * time.Hour)}}, "is 9 days old", true},
		{[]shop.Care{{What: "backup", At: clock().Add(-9 * 24 * time.Hour)}, {What: "restore", At: clock().Add(-24 * time.Hour)}}, "Last copy", false},
		{[]shop.Care{{What: "backup", At: clock()}, {What: "check", At: clock(), Note: shop.NoteOfCheck(nil, "2 books")}}, "Last copy", false},
		{[]shop.Care{{What: "backup", At: clock()}, {What: "check", At: clock(), Note: shop.NoteOfCheck(errors.New("book \"linnet\" is not as it was written"), "")}}, "found damage: book \"linnet\"", true},
	} {
		says, alarm, err := shop.New(&cared{memory.New(), c.all}, clock).Upkeep(t.Context())
		if err != nil || !strings.Contains(says, c.says) || alarm != c.alarm {
			t.Errorf("%v: %q, %v, %v; want %q, %v", c.all, says, alarm, err, c.says, c.alarm)
		}
	}
}
