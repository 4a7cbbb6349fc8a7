package shop_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

const doubtFile = `
endfloat: 1
gearbox: Doubt
carriers:
  shaft:
    ends: [head, nut]
    order:
      S1: {name: shaft, minutes: 30}
      S2: {name: ring, minutes: 20, check: {ring gap: {by: feelers, min: 0.50, plan: 0.70, worn: below, from: measured}}}
      S3: {name: shim, kind: seat, stock: shim, minutes: 10}
      S4: {name: bearing cone, minutes: 10}
      S5: {name: bearing cup, minutes: 5}
      S6: {name: nut, once: yes, minutes: 5, torque: 90 N·m, lock: stake}
measure:
  gap: {by: feelers}
settings:
  float:
    chain: [+gap, -S3]
    limit: [0.10, 0.20]
    from: measured
rules:
  - {renew together: [S4, S5], why: cup and cone wear as one}
`

// stripped is a unit of that type with everything off, at 40 EUR an hour.
func stripped(t *testing.T) (*shop.Shop, *shop.Desk) {
	t.Helper()
	sh := shop.New(memory.New(), clock)
	do := func(book string, b job.Body) {
		t.Helper()
		if _, err := sh.Record(t.Context(), tove, book, b); err != nil {
			t.Fatalf("%s: %v", b.Kind(), err)
		}
	}
	if _, err := sh.KeepBox(t.Context(), tove, "doubt", []byte(doubtFile)); err != nil {
		t.Fatal(err)
	}
	do(shop.StoresBook, job.Terms{Hour: "40 EUR"})
	book, err := sh.NewJob(t.Context(), tove, job.Opened{Unit: "Wren", Letter: "W", Colour: "red", Type: "Doubt"})
	if err != nil {
		t.Fatal(err)
	}
	for n := 6; n > 0; n-- {
		do(book, job.TakenOff{Position: fmt.Sprintf("S%d", n)})
	}
	d, err := sh.Open(t.Context(), book)
	if err != nil {
		t.Fatal(err)
	}
	return sh, d
}

// The cost of being wrong is the way there and back through all that lies over a
// part once the unit is together, with what is to be proven again, at the rate.
func TestIfWrong(t *testing.T) {
	sh, d := stripped(t)
	for id, want := range map[string]float64{
		"S6": 2 * 5,                 // minutes, worked by hand
		"S4": 2 * (5 + 5 + 10),      // nut, cup, cone
		"S2": 2*(5+5+10+10+20) + 40, // and the seat of the float, which is proven again
		"S1": 2*(5+5+10+10+20+30) + 40,
	} {
		w, err := sh.IfWrong(t.Context(), d, id)
		if err != nil || math.Abs(w.Hours-want/60) > 1e-9 || w.Guessed != 0 {
			t.Errorf("%s: %.3f h (%d guessed), wanted %.3f; %v", id, w.Hours, w.Guessed, want/60, err)
		}
		if want := fmt.Sprintf("%.0f EUR", 40*want/60); w.Money != want {
			t.Errorf("%s: %s, wanted %s", id, w.Money, want)
		}
	}
	w, _ := sh.IfWrong(t.Context(), d, "S2")
	if !slices.Contains(w.Void, "float") || len(w.New) != 1 || w.New[0].ID != "S6" || w.Says() != "2.3 h, 93 EUR" {
		t.Errorf("S2: %q, voids %v, new %v", w.Says(), w.Void, w.New)
	}
	if len(d.Reach("S2").Off) != 0 {
		t.Error("as it stands nothing lies over it: all is off")
	}
}

// What is doubtful is listed, the dearest to have been wrong about first, until it
// is replaced; the customer hears of it when it goes back all the same.
func TestDoubts(t *testing.T) {
	sh, d := stripped(t)
	book := d.Book
	do := func(b job.Body) {
		t.Helper()
		var err error
		if d, err = sh.Record(t.Context(), tove, book, b); err != nil {
			t.Fatalf("%s: %v", b.Kind(), err)
		}
	}
	names := func() string {
		ds, err := sh.Doubts(t.Context(), d)
		if err != nil {
			t.Fatal(err)
		}
		var ids []string
		for _, q := range ds {
			ids = append(ids, q.Position.ID)
		}
		return strings.Join(ids, " ")
	}
	agree := func() string {
		list, err := sh.ToAgree(t.Context(), d)
		if err != nil {
			t.Fatal(err)
		}
		return strings.Join(list, "\n")
	}
	if got := names(); got != "" {
		t.Errorf("doubtful before anything was looked at: %s", got)
	}
	do(job.Read{What: "S2 ring gap", Values: []string{"0.62 mm"}})
	do(job.Looked{Position: "S4", At: "races", Saw: "not sure", Says: "a dull band"})
	do(job.Looked{Position: "S1", At: "journals", Saw: "plan"})
	do(job.Looked{Position: "S1", At: "journals", Saw: "good"}) // looked at again
	if got := names(); got != "S2 S4" {
		t.Errorf("doubtful: %s", got)
	}
	if why := d.Doubtful("S2"); len(why) != 1 || !strings.Contains(why[0], "plan to renew") {
		t.Errorf("S2: %v", why)
	}
	if got := agree(); !strings.Contains(got, "no estimate") {
		t.Errorf("to agree: %s", got)
	}
	do(job.Estimate{Low: "300 EUR", High: "500 EUR", Stop: "after inspection"})
	if got := agree(); !strings.Contains(got, "300 EUR to 500 EUR") {
		t.Errorf("to agree: %s", got)
	}
	do(job.Approved{What: "the estimate", By: "Ann Owner", How: "letter"})
	if got := agree(); got != "" {
		t.Errorf("to agree after the yes: %s", got)
	}
	do(job.Decided{Position: "S2", Choice: "reuse", Why: "runs another season"})
	do(job.Decided{Position: "S4", Choice: "new", Why: "dull band"})
	if got := agree(); !strings.Contains(got, "S2 ring goes back though doubtful") || !strings.Contains(got, "S4 bearing cone: new, because dull band") {
		t.Errorf("to agree: %s", got)
	}
	if got := names(); got != "S2" {
		t.Errorf("doubtful once the cone is renewed: %s", got)
	}
}

// One-way parts are new and what is renewed together is, by the gearbox file; what
// a person decided stays.
func TestDecideByRule(t *testing.T) {
	sh, d := stripped(t)
	if n := d.OpenByRule(); n != 1 {
		t.Errorf("%d open by rule, wanted the nut alone", n)
	}
	if _, err := sh.Record(t.Context(), tove, d.Book, job.Decided{Position: "S4", Choice: "donor"}); err != nil {
		t.Fatal(err)
	}
	done, err := sh.DecideByRule(t.Context(), tove, d.Book)
	if err != nil || strings.Join(done, " ") != "S5 S6" {
		t.Fatalf("decided %v, %v", done, err)
	}
	d, _ = sh.Open(t.Context(), d.Book)
	if is := d.Spots["S5"].Decided.Is; is.Choice != "donor" || !strings.Contains(is.Why, "renewed with S4") {
		t.Errorf("the cup: %+v", is)
	}
	if is := d.Spots["S6"].Decided.Is; is.Choice != "new" || !strings.Contains(is.Why, "one-way") {
		t.Errorf("the nut: %+v", is)
	}
	if d, err = sh.Record(t.Context(), tove, d.Book, job.Decided{Position: "S5", Choice: "reuse", Why: "as good as new"}); err != nil {
		t.Fatal(err)
	}
	if done, err := sh.DecideByRule(t.Context(), tove, d.Book); err != nil || len(done) != 0 {
		t.Errorf("a second time: %v, %v", done, err)
	}
	hand := shop.By{Name: "Reader", Role: shop.Reader}
	if _, err := sh.Record(t.Context(), tove, d.Book, job.Struck{Entry: d.Entries[len(d.Entries)-1].ID}); err != nil {
		t.Fatal(err)
	}
	d, _ = sh.Open(t.Context(), d.Book)
	for _, e := range d.Entries {
		if strings.Contains(string(e.Body), `"S6","choice"`) {
			if _, err := sh.Record(t.Context(), tove, d.Book, job.Struck{Entry: e.ID, Why: "to try"}); err != nil {
				t.Fatal(err)
			}
		}
	}
	if _, err := sh.DecideByRule(t.Context(), hand, d.Book); !errors.Is(err, shop.ErrMayNot) {
		t.Errorf("a reader decided: %v", err)
	}
}

// Bags keep their number when they are emptied, and pieces tell when they were in a
// hand last.
func TestBags(t *testing.T) {
	now := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	sh := shop.New(memory.New(), func() time.Time { return now })
	if _, err := sh.KeepBox(t.Context(), tove, "doubt", []byte(doubtFile)); err != nil {
		t.Fatal(err)
	}
	book, err := sh.NewJob(t.Context(), tove, job.Opened{Unit: "Wren", Letter: "W", Colour: "red", Type: "Doubt"})
	if err != nil {
		t.Fatal(err)
	}
	var d *shop.Desk
	do := func(b job.Body) {
		t.Helper()
		if d, err = sh.Record(t.Context(), tove, book, b); err != nil {
			t.Fatalf("%s: %v", b.Kind(), err)
		}
	}
	do(job.TakenOff{Position: "S6", Place: "bag W 1"})
	do(job.TakenOff{Position: "S5", Place: "tray W"})
	do(job.TakenOff{Position: "S4", Place: "Bag w 1"})
	do(job.TakenOff{Position: "S3", Place: "the shelf"})
	says := func() string {
		var out []string
		for _, b := range d.Bags() {
			var tags []string
			for _, p := range b.Pieces {
				tags = append(tags, p.Tag)
			}
			out = append(out, b.Count()+" "+b.Place+": "+strings.Join(tags, " "))
		}
		return strings.Join(out, "; ")
	}
	if got := says(); got != "1 of 2 bag W 1: W-S4 W-S6; 2 of 2 tray W: W-S5" {
		t.Errorf("bags: %s", got)
	}
	do(job.Put{Tag: "W-S5", Place: "bag W 2"})
	if got := says(); got != "1 of 3 bag W 1: W-S4 W-S6; 2 of 3 tray W: ; 3 of 3 bag W 2: W-S5" {
		t.Errorf("bags: %s", got)
	}

	now = now.AddDate(0, 0, 20)
	if n, err := sh.SawBag(t.Context(), tove, book, "BAG W 1"); n != 2 || err != nil {
		t.Errorf("%d seen, %v", n, err)
	}
	if _, err := sh.SawBag(t.Context(), tove, book, "tray W"); !errors.Is(err, shop.ErrInvalid) {
		t.Errorf("an empty tray was seen full: %v", err)
	}
	d, _ = sh.Open(t.Context(), book)
	var ids []string
	for _, u := range sh.Unseen(d, 14) {
		ids = append(ids, fmt.Sprintf("%s %d", u.Piece.Tag, u.Days))
	}
	if got := strings.Join(ids, ", "); got != "W-S3 20, W-S5 20" {
		t.Errorf("not seen: %s", got)
	}

	tag, err := sh.KeepMystery(t.Context(), tove, book, "small plate", "under the bench", nil)
	if err != nil || tag != "W-M1" {
		t.Fatalf("%s, %v", tag, err)
	}
	if tag, _ = sh.KeepMystery(t.Context(), tove, book, "another", "", nil); tag != "W-M2" {
		t.Errorf("the second is %s", tag)
	}
	loose := func() int {
		d, _ = sh.Open(t.Context(), book)
		n := 0
		for _, f := range d.Findings {
			if strings.HasPrefix(f.Key, "mystery/") && f.Allowed == "" {
				n++
			}
		}
		return n
	}
	if n := loose(); n != 2 {
		t.Errorf("%d loose ends, wanted 2", n)
	}
	do(job.Put{Tag: "W-M1", Place: "tray W"})
	do(job.Allowed{Hold: "mystery/W-M2", Why: "it is from the vice, not from this unit"})
	if n := loose(); n != 0 {
		t.Errorf("%d loose ends once both are explained", n)
	}
}
