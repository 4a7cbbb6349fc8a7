package shop_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"endfloat/internal/archive"
	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/report"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

var printed = time.Date(2026, 3, 10, 9, 30, 0, 123, time.FixedZone("CET", 3600))

// The finished demonstration in a store that can tell its salts.
var salted = sync.OnceValues(func() (*shop.Shop, error) {
	sh := shop.New(memory.New(), clock)
	return sh, demo.Load(context.Background(), sh, true)
})

func wholeDemo(t testing.TB) *shop.Shop {
	t.Helper()
	sh, err := salted()
	if err != nil {
		t.Fatal(err)
	}
	return sh
}

func paper(t testing.TB, sh *shop.Shop, book, reader, size string) []byte {
	t.Helper()
	d, err := sh.Open(context.Background(), book)
	if err != nil {
		t.Fatal(err)
	}
	b, err := sh.Paper(context.Background(), d, reader, shop.Press{Options: report.Options{Made: printed, Version: "1.2.3", Paper: size}})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A book is made again from what is attached to it, on either paper, and says so;
// a page, the data or anything beside them that was changed is found.
func TestVerifyBook(t *testing.T) {
	sh := wholeDemo(t)
	for _, size := range []string{"A4", "Letter"} {
		for _, book := range []string{demo.Linnet, demo.Dunnock} {
			raw := paper(t, sh, book, "", size)
			v, err := shop.Verify(raw, "1.2.3")
			if err != nil || v.Kind != "book" || v.Pages < 20 || len(v.Heads) != 1 {
				t.Fatalf("%s on %s: %+v, %v", book, size, v, err)
			}
			if v, err = shop.Verify(raw, "2.0"); err != nil || v.Pages != 0 || !strings.Contains(v.Says[0], "not compared") {
				t.Errorf("by another version: %+v, %v", v, err)
			}
		}
	}
}

func TestVerifyFindsChanges(t *testing.T) {
	raw := paper(t, wholeDemo(t), demo.Linnet, "", "")
	for at := 97; at < len(raw); at += len(raw) / 12 {
		bad := bytes.Clone(raw)
		bad[at] ^= 1
		if _, err := shop.Verify(bad, "1.2.3"); !errors.Is(err, shop.ErrInvalid) {
			t.Errorf("byte %d changed and not found: %v", at, err)
		}
	}
	b, err := report.ReadBook(raw)
	if err != nil {
		t.Fatal(err)
	}
	a, err := archive.Read(b.Data)
	if err != nil {
		t.Fatal(err)
	}
	// A forger who sets the book anew with a better torque and the true data.
	forged := forge(t, a, b)
	if _, err := shop.Verify(forged, "1.2.3"); err == nil || !strings.Contains(err.Error(), "page ") {
		t.Errorf("a forged page: %v", err)
	}
}

// forge sets a book anew with one reading bettered, and attaches the true data.
func forge(t *testing.T, a *archive.Archive, b *report.Bound) []byte {
	t.Helper()
	book := a.Books[0]
	lines := book.LinesOf()
	for i, l := range lines {
		lines[i].Bytes = bytes.Replace(l.Bytes, []byte(`"0.62"`), []byte(`"1.12"`), 1)
	}
	var box *gearbox.Box
	for _, x := range a.Blobs {
		if x.Kind == archive.Gearbox {
			var err error
			if box, err = gearbox.Read("box", x.Bytes); err != nil {
				t.Fatal(err)
			}
		}
	}
	head := strings.Split(book.Head, "\n")
	raw, err := report.Book(plan.Of(job.Replay(book.Name, box, job.DecodeAll(lines))), report.Options{
		Pin: head[1] + " " + head[2], Made: b.Made, Paper: b.Paper, Version: b.Version, Checkpoint: book.Head, Data: b.Data, Photo: b.Photo,
		Name: func(string) string { return "Tove Marrin" }})
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// Every reader gets a paper of his own.
func TestReaders(t *testing.T) {
	sh := wholeDemo(t)
	for _, r := range report.Readers() {
		for _, book := range []string{demo.Linnet, demo.Dunnock, demo.Plover} {
			raw := paper(t, sh, book, r.Key, "A4")
			if !bytes.HasPrefix(raw, []byte("%PDF-")) {
				t.Errorf("%s for %s: %d bytes", book, r.Key, len(raw))
			}
			if book != demo.Linnet {
				continue
			}
			if again := paper(t, sh, book, r.Key, "A4"); !bytes.Equal(raw, again) {
				t.Errorf("%s for %s is another when made again", book, r.Key)
			}
			if _, err := shop.Verify(raw, "1.2.3"); err == nil || !strings.Contains(err.Error(), "version for a reader") {
				t.Errorf("%s for %s verified: %v", book, r.Key, err)
			}
		}
	}
	d, err := sh.Open(t.Context(), demo.Linnet)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := sh.Paper(t.Context(), d, "nobody", shop.Press{}); !errors.Is(err, shop.ErrInvalid) || !strings.Contains(fmt.Sprint(err), "next-owner") {
		t.Errorf("for nobody: %v", err)
	}
}
