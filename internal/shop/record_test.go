package shop_test

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"sync"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/shop"

	"github.com/google/uuid"
)

func id(t *testing.T) string {
	t.Helper()
	u, err := uuid.NewV7()
	if err != nil {
		t.Fatal(err)
	}
	return u.String()
}

// An entry sent twice, as over a bad network, is in the book once; from another
// window too.
func TestSentTwice(t *testing.T) {
	w := small(t)
	by := tove
	by.ID = id(t)
	note := job.Noted{Text: "oil ways probed"}
	first, err := w.Record(t.Context(), by, demo.Linnet, note)
	if err != nil {
		t.Fatal(err)
	}
	for _, sh := range []*shop.Shop{w.Shop, shop.New(w.store, clock)} {
		again, err := sh.Record(t.Context(), by, demo.Linnet, note)
		if err != nil || again.Seq != first.Seq || again.Pin != first.Pin || len(again.Notes) != 1 {
			t.Errorf("sent again: %v; %d entries, want %d", err, again.Seq, first.Seq)
		}
	}
	w.record(t, demo.Linnet, job.Noted{Text: "later"})
	before := w.sizes(t)
	_, err = w.Record(t.Context(), by, demo.Linnet, job.Cost{What: "seals"})
	w.refused(t, "another entry under the same id", nil, err, before, "already sent")
	_, err = w.Record(t.Context(), by, demo.Linnet, job.Noted{Text: "oil ways blocked"})
	w.refused(t, "other words under the same id", nil, err, before, "already sent", "id of its own")
	by.ID = "7"
	_, err = w.Record(t.Context(), by, demo.Linnet, note)
	w.refused(t, "an id that is none", nil, err, before, "UUID")
}

// A note for every gearbox of the type is sent as a tick and kept with the type's name,
// in two books: sent again it is the same note all the same.
func TestPinnedNoteSentTwice(t *testing.T) {
	w := small(t)
	by := tove
	by.ID = id(t)
	note := job.Noted{Text: "the pin drops out", Position: "P08", Type: "yes"}
	_, err := w.Record(t.Context(), by, demo.Linnet, note)
	if err != nil {
		t.Fatal(err)
	}
	before := w.sizes(t)
	if _, err := w.Record(t.Context(), by, demo.Linnet, note); err != nil || !reflect.DeepEqual(w.sizes(t), before) {
		t.Errorf("sent again: %v; the books hold %v, want %v", err, w.sizes(t), before)
	}
}

// What was sent with an entry stands in it: who, on which device, when.
func TestWhoAndWhen(t *testing.T) {
	w := small(t)
	at := clock().Add(-72 * 3600e9)
	d, err := w.Record(t.Context(), shop.By{Name: "Ivo", Device: "phone", N: 7, At: at}, demo.Linnet, job.Noted{Text: "seen"})
	if err != nil {
		t.Fatal(err)
	}
	e := d.Entries[d.Seq-1]
	if w.Name(t.Context(), e.By) != "Ivo" || e.On != "phone" || e.N != 7 || !e.At.Equal(at) || strings.Contains(string(e.Body)+e.By, "Ivo") {
		t.Errorf("%+v by %q", e, w.Name(t.Context(), e.By))
	}
	// A name deleted on request is gone; the book stays whole and can be read.
	if err := w.store.DropBlob(t.Context(), e.By); err != nil {
		t.Fatal(err)
	}
	cold := shop.New(w.store, clock)
	c, err := cold.Open(t.Context(), demo.Linnet)
	if err != nil || c.Pin != d.Pin || cold.Name(t.Context(), e.By) != "(name deleted)" {
		t.Errorf("%v; by %q", err, cold.Name(t.Context(), e.By))
	}
}

// Two people write in one book at once, each in a window of the program's own:
// all entries are there, in one order, each person's in theirs.
func TestTwoWriters(t *testing.T) {
	w := small(t)
	shops := []*shop.Shop{w.Shop, shop.New(w.store, clock)}
	const each = 25
	var wg sync.WaitGroup
	for n, sh := range shops {
		wg.Go(func() {
			for i := range each {
				if _, err := sh.Record(t.Context(), shop.By{Device: fmt.Sprint("device ", n), N: i + 1}, demo.Linnet, job.Noted{Text: fmt.Sprint(i)}); err != nil {
					t.Errorf("writer %d, note %d: %v", n, i, err)
				}
			}
		})
	}
	wg.Wait()
	d := w.open(t, demo.Linnet)
	if d.Seq != 1+2*each || len(d.Entries) != d.Seq {
		t.Fatalf("%d entries, the last is %d; want %d", len(d.Entries), d.Seq, 1+2*each)
	}
	last := map[string]int{}
	for i, e := range d.Entries {
		if e.Seq != i+1 {
			t.Fatalf("entry %d has the number %d", i+1, e.Seq)
		}
		if e.Kind == "noted" {
			if e.N != last[e.On]+1 {
				t.Fatalf("%s wrote %d after %d", e.On, e.N, last[e.On])
			}
			last[e.On] = e.N
		}
	}
	other, err := shops[1].Open(t.Context(), demo.Linnet)
	if err != nil || other.Pin != d.Pin {
		t.Errorf("%v; the two see %s and %s", err, d.Pin, other.Pin)
	}
}

// A shim moves from the drawer to a unit and back, each time in both books at
// once, and is found in one book only.
func TestPieceMoves(t *testing.T) {
	w := small(t)
	for i, thick := range []string{"0.55 mm", "0.60 mm"} {
		w.record(t, shop.StoresBook, job.Added{Piece: job.Piece{Tag: fmt.Sprint("q", i+1), Name: "primary shim", Stock: "primary shim", Thick: thick}})
	}
	w.refuses(t, "a tag that is taken", demo.Linnet, job.Added{Piece: job.Piece{Tag: "q1"}}, "q1", "stores", "another")
	places := func() string { return where(t, w, "q1") + ", " + where(t, w, "q2") }
	for _, c := range []struct{ fit, want string }{{"q1", "linnet, stores"}, {"q2", "stores, linnet"}, {"L-Q13", "stores, stores"}, {"q1", "linnet, stores"}} {
		d := w.record(t, demo.Linnet, job.Fitted{Position: "Q13", Tags: []string{c.fit}})
		if places() != c.want {
			t.Fatalf("with %s at Q13 the shims are in %s; want %s", c.fit, places(), c.want)
		}
		for _, book := range []string{demo.Linnet, shop.StoresBook} {
			if s := w.open(t, book).Stray; len(s) > 0 {
				t.Errorf("%s: %q", book, s)
			}
		}
		if got := strings.Join(d.At["Q13"], " "); got != c.fit {
			t.Errorf("at Q13: %s", got)
		}
	}
	if p := w.open(t, demo.Linnet).Pieces["q1"]; p.SI != 0.55e-3 || p.Stock != "primary shim" {
		t.Errorf("q1 arrived as %+v", p)
	}
	w.refuses(t, "a shim that lies in Linnet", demo.Dunnock, job.Fitted{Position: "Q13", Tags: []string{"q1"}}, "STOP", "q1", "Linnet")
}

// A part of the donor goes into Linnet and is the donor's no more.
func TestFromTheDonor(t *testing.T) {
	w := small(t)
	d := w.record(t, demo.Linnet, job.TakenOff{Position: "P18", Faced: "ground face toward P19"}, job.Fitted{Position: "P18", Tags: []string{"P-P18"}, Faces: "ground face toward P19"})
	if d.Built.Variants["P18"] != "thin" || where(t, w, "P-P18") != demo.Linnet || len(w.open(t, demo.Plover).At["P18"]) > 0 {
		t.Errorf("P18 is %s; P-P18 is in %s", d.Built.Variants["P18"], where(t, w, "P-P18"))
	}
}

// What went from the donor to Linnet cannot come off the donor as well.
func TestNotInTwoBooks(t *testing.T) {
	w := small(t)
	face := "ground face toward P19"
	w.record(t, demo.Linnet, job.TakenOff{Position: "P18", Faced: face}, job.Fitted{Position: "P18", Tags: []string{"P-P18"}, Faces: face})
	_, err := w.Record(t.Context(), tove, demo.Plover, job.TakenOff{Position: "P18", Faced: face})
	if got := where(t, w, "P-P18"); got != demo.Linnet {
		t.Errorf("after taking P18 off the donor (%v) P-P18 is in the books %s", err, got)
	}
}

// If the disk says no, no half of a move is written, and doing it again works.
func TestMoveIsWhole(t *testing.T) {
	w := small(t)
	w.record(t, shop.StoresBook, job.Added{Piece: job.Piece{Tag: "q1", Stock: "primary shim", Thick: "0.55 mm"}})
	before := w.sizes(t)
	fit := job.Fitted{Position: "Q13", Tags: []string{"q1"}}
	w.store.fail = shop.ErrFull
	_, err := w.Record(t.Context(), tove, demo.Linnet, fit)
	w.store.fail = nil
	if !errors.Is(err, shop.ErrFull) || !reflect.DeepEqual(w.sizes(t), before) || where(t, w, "q1") != shop.StoresBook {
		t.Fatalf("%v; q1 is in %s", err, where(t, w, "q1"))
	}
	if d := w.open(t, demo.Linnet); d.Pieces["q1"] != nil || d.Stores.Pieces["q1"] == nil {
		t.Error("what failed is shown as done")
	}
	w.record(t, demo.Linnet, fit)
	if where(t, w, "q1") != demo.Linnet {
		t.Errorf("q1 is in %s", where(t, w, "q1"))
	}
}

// Two people reach for the same shim at once, for two units: one has it, the
// other is told where it is.
func TestOneShimTwoHands(t *testing.T) {
	w := small(t)
	shops := map[string]*shop.Shop{demo.Linnet: w.Shop, demo.Dunnock: shop.New(w.store, clock)}
	for n := range 15 {
		tag := fmt.Sprint("q", n)
		w.record(t, shop.StoresBook, job.Added{Piece: job.Piece{Tag: tag, Stock: "primary shim", Thick: "0.55 mm"}})
		var wg sync.WaitGroup
		var mu sync.Mutex
		got := map[string]error{}
		for book, sh := range shops {
			wg.Go(func() {
				err := fitTo(t, sh, book, tag)
				mu.Lock()
				defer mu.Unlock()
				got[book] = err
			})
		}
		wg.Wait()
		has := where(t, w, tag)
		if has != demo.Linnet && has != demo.Dunnock {
			t.Fatalf("%s is in %q", tag, has)
		}
		for book, err := range got {
			if (err == nil) != (book == has) || err != nil && !strings.Contains(err.Error(), tag) {
				t.Fatalf("%s is in %s, and %s was told %v", tag, has, book, err)
			}
		}
	}
}

// fitTo fits a piece at Q13 of a unit; a panic is an error here.
func fitTo(t *testing.T, sh *shop.Shop, book, tag string) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v", p)
			t.Errorf("fitting %s to %s: %v", tag, book, err)
		}
	}()
	_, err = sh.Record(t.Context(), tove, book, job.Fitted{Position: "Q13", Tags: []string{tag}})
	return err
}

// The shim goes to Dunnock while its fitting to Linnet is being decided: at
// whichever reading of the stores that happens, Linnet is told, and nothing more.
func TestTakenMeanwhile(t *testing.T) {
	for when := 1; when <= 2; when++ {
		w := small(t)
		w.record(t, shop.StoresBook, job.Added{Piece: job.Piece{Tag: "q1", Stock: "primary shim", Thick: "0.55 mm"}})
		other := shop.New(w.store.Store, clock)
		n := 0
		w.store.before = func(book string) {
			if book != shop.StoresBook {
				return
			}
			if n++; n == when {
				if err := fitTo(t, other, demo.Dunnock, "q1"); err != nil {
					t.Error(err)
				}
			}
		}
		err := fitTo(t, w.Shop, demo.Linnet, "q1")
		if err == nil || !strings.Contains(err.Error(), "Dunnock") || where(t, w, "q1") != demo.Dunnock {
			t.Errorf("at reading %d of the stores: %v; q1 is in %s", when, err, where(t, w, "q1"))
		}
	}
}

// Whoever listens is told which books have changed.
func TestListen(t *testing.T) {
	w := small(t)
	w.record(t, shop.StoresBook, job.Added{Piece: job.Piece{Tag: "q1", Stock: "primary shim", Thick: "0.55 mm"}})
	bell, stop := w.Listen()
	w.record(t, demo.Linnet, job.Fitted{Position: "Q13", Tags: []string{"q1"}})
	heard := map[string]bool{<-bell: true, <-bell: true}
	if !heard[demo.Linnet] || !heard[shop.StoresBook] {
		t.Errorf("heard %v", heard)
	}
	stop()
	w.record(t, demo.Linnet, job.Noted{Text: "unheard"})
	if len(bell) > 0 {
		t.Error("still listening")
	}
}
