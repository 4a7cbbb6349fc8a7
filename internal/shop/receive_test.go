package shop_test

import (
	"bytes"
	"image"
	"image/png"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

func (w told) shot(t testing.TB) string {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 40, 30))); err != nil {
		t.Fatal(err)
	}
	key, err := w.PhotoIn(t.Context(), b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	return key
}

func tasks(d *shop.Desk) (open []string) {
	for _, t := range d.Receiving() {
		if !t.Done {
			open = append(open, t.Key)
		}
	}
	return open
}

// A unit is received from nothing to an agreed estimate; each thing recorded closes
// its task, and what was written later stands in the place of what was before.
func TestReceive(t *testing.T) {
	w := small(t)
	if got := tasks(w.open(t, "linnet")); !slices.Equal(got, []string{"sides", "marks", "complete", "gears", "oil", "loose", "before", "estimate", "agreed"}) {
		t.Fatalf("open at first: %v", got)
	}
	key := w.shot(t)
	for _, side := range shop.Sides {
		w.record(t, "linnet", job.Received{Sides: map[string]string{side: key}, Photos: []string{key}})
	}
	d := w.record(t, "linnet",
		job.Received{Marks: "case 1174"}, job.Received{Marks: "case 1174, plate BW-4T"}, job.Received{Complete: "unit and lever", Missing: "breather"},
		job.Received{Gears: map[string]string{"1": "jumps out on drive"}}, job.Received{Gears: map[string]string{"2": "grates going in"}, Outside: "linkage good"},
		job.Received{Oil: "1.9 L, dark", Debris: "fine paste"}, job.Received{Loose: "nothing"})
	if got := tasks(d); !slices.Equal(got, []string{"before", "estimate", "agreed"}) {
		t.Errorf("open once it is looked over: %v", got)
	}
	r := d.AsReceived()
	if r.Marks != "case 1174, plate BW-4T" || r.Gears["1"] == "" || r.Gears["2"] == "" || len(r.Sides) != 6 {
		t.Errorf("as received: %+v", r)
	}
	d = w.record(t, "linnet", job.Received{Loose: "half a circlip, in the sump"})
	if p := d.Pieces["L-LOOSE1"]; p == nil || d.Where["L-LOOSE1"] != "bag L found loose" || len(d.Arrived(6)) > 0 {
		t.Errorf("what lay loose is kept as %+v in %q; said to have arrived: %v", p, d.Where["L-LOOSE1"], d.Arrived(6))
	}
	if f, err := w.Scan(t.Context(), "dunnock", "l-loose1"); err != nil || !f.Stop {
		t.Errorf("its bag at the other bench: %+v, %v", f, err)
	}
	w.refuses(t, "nothing said", "linnet", job.Received{}, "nothing was written")
	w.refuses(t, "a seventh side", "linnet", job.Received{Sides: map[string]string{"inside": key}}, "front, rear, left")
	w.refuses(t, "a photo not sent", "linnet", job.Received{Sides: map[string]string{"front": strings.Repeat("0", 64)}}, "send it again")

	for _, e := range d.Before() {
		if e.Measure != nil {
			d = w.record(t, "linnet", job.Read{What: e.What, Values: []string{"0.2"}, Unit: e.Measure.Unit.Symbol, Sure: true})
		} else {
			d = w.record(t, "linnet", job.Noted{Text: "as it was", Topic: e.What})
		}
	}
	if got := tasks(d); !slices.Equal(got, []string{"estimate", "agreed"}) {
		t.Errorf("open once all is read: %v", got)
	}
	w.refuses(t, "no range", "linnet", job.Estimate{Low: "2800 EUR", High: "2200 EUR", Stop: "after inspection"}, "it is a range")
	w.refuses(t, "no stop-point", "linnet", job.Estimate{Low: "2200 EUR", High: "2800 EUR"}, "where work stops")
	w.record(t, "linnet", job.Estimate{Low: "2200 EUR", High: "2800 EUR", Stop: "after inspection", May: "the treasurer"})
	w.refuses(t, "somebody else's yes", "linnet", job.Approved{What: "the estimate", By: "Ivo"}, "the treasurer may say yes", "Ivo was named")
	d = w.record(t, "linnet", job.Approved{What: "the estimate", By: "The Treasurer", How: "by letter"})
	if got := tasks(d); len(got) > 0 {
		t.Errorf("open at the end: %v", got)
	}
	if d = w.record(t, "linnet", job.Estimate{Low: "3000 EUR", High: "3400 EUR", Stop: "after inspection"}); !slices.Equal(tasks(d), []string{"agreed"}) {
		t.Errorf("a dearer estimate is not agreed to by the old yes: %v", tasks(d))
	}
}

// The readings of every gearbox are of the quantity they are, whatever its file says.
func TestReadBefore(t *testing.T) {
	w := small(t)
	d := w.record(t, "linnet", job.Read{What: "Drag of the whole", Values: []string{"1.2 N·m"}})
	if r := d.Readings[len(d.Readings)-1]; r.Is.SI[0] != 1.2 || r.Is.Unit != "N·m" {
		t.Errorf("a drag of 1.2 is kept as %v %s", r.Is.SI, r.Is.Unit)
	}
	w.refuses(t, "a drag of no unit", "linnet", job.Read{What: "drag of the whole", Values: []string{"1.2"}}, "reading 1")
	w.refuses(t, "a drag in mm", "linnet", job.Read{What: "drag of the whole", Values: []string{"1.2 mm"}}, "reading 1")
	off := w.record(t, "linnet", job.TakenOff{Position: "D28", Faced: "", Place: "tray L"})
	late := 0
	for _, e := range off.Before() {
		if e.Late {
			late++
		}
	}
	if late == 0 {
		t.Error("something is off, and nothing is too late to read")
	}
}

// People are kept once: a name typed in a job is somebody known from then on, a
// contact is mended without touching the books, and a mended name is read in all.
func TestPeople(t *testing.T) {
	w := small(t)
	ctx := t.Context()
	keep := func(c shop.Contact) shop.Contact {
		t.Helper()
		c, err := w.KeepPerson(ctx, tove, c)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	line := keep(shop.Contact{Name: "Hask Valley Light Railway", Role: "customer", Reach: "treasurer@hask.example"})
	if _, err := w.KeepPerson(ctx, tove, shop.Contact{Name: "hask valley light railway"}); err == nil || !strings.Contains(err.Error(), "known already") {
		t.Errorf("kept twice: %v", err)
	}
	book, err := w.NewJob(ctx, tove, job.Opened{Unit: "Wren", Letter: "W", Colour: "red", Type: "BW-4T", Series: "A", Owner: "hask valley light railway"})
	if err != nil {
		t.Fatal(err)
	}
	if d := w.open(t, book); d.Opened.Owner != line.Key {
		t.Errorf("the owner is kept under %.8s, not under %.8s", d.Opened.Owner, line.Key)
	}
	w.record(t, book, job.Estimate{Low: "1 EUR", High: "2 EUR", Stop: "after inspection", May: "Ottoline Fenn"})
	w.record(t, book, job.Estimate{Low: "1 EUR", High: "3 EUR", Stop: "after inspection", May: "ottoline fenn"})
	people := func() []shop.Contact {
		t.Helper()
		all, err := w.People(ctx)
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	all := people()
	if len(all) != 2 || all[1].Name != "Ottoline Fenn" {
		t.Fatalf("known: %+v", all)
	}
	mended := keep(shop.Contact{Key: all[1].Key, Name: "Ottoline Fenn-Hart", Reach: "01 234", Role: "treasurer"})
	if got := w.Name(ctx, w.open(t, book).Estimate.Is.May); got != "Ottoline Fenn-Hart" || mended.Key == all[1].Key {
		t.Errorf("after the name was mended the estimate names %q", got)
	}
	again := keep(shop.Contact{Key: mended.Key, Name: "Ottoline Fenn-Hart", Reach: "05 678"})
	if all := people(); len(all) != 2 || all[1].Reach != "05 678" || again.Key != mended.Key {
		t.Errorf("after the contact was mended: %+v", all)
	}
	// A workshop opened afresh writes what she does under the key that is kept.
	fresh := shop.New(w.store, clock)
	if _, err := fresh.Open(ctx, book); err != nil {
		t.Fatal(err)
	}
	d, err := fresh.Record(ctx, shop.By{Name: "Ottoline Fenn-Hart"}, book, job.Noted{Text: "looked in"})
	if err != nil || d.Entries[len(d.Entries)-1].By != mended.Key {
		t.Errorf("her own note is not under her key: %v", err)
	}
	for _, e := range w.open(t, shop.StoresBook).Entries {
		if bytes.Contains(e.Body, []byte("Ottoline")) || bytes.Contains(e.Body, []byte("hask.example")) {
			t.Errorf("entry %d holds a name or a contact: %s", e.Seq, e.Body)
		}
	}
	w.refuses(t, "a person in a job", book, job.Person{Person: line.Key}, "kept in the stores")
}

// Each unit has a wash basket: what belongs to the other one is stopped, and what
// was washed is known piece by piece.
func TestBasket(t *testing.T) {
	w := small(t)
	ctx := t.Context()
	for _, p := range []string{"P39", "P38"} {
		w.record(t, "linnet", job.TakenOff{Position: p, Faced: "chamfer toward P38", Place: "tray L"})
		w.record(t, "dunnock", job.TakenOff{Position: p, Faced: "chamfer toward P38", Place: "tray D"})
	}
	if un := w.open(t, "linnet").Unwashed(); !slices.Equal(un, []string{"L-P38", "L-P39"}) {
		t.Errorf("not washed: %v", un)
	}
	before := w.sizes(t)
	f, err := w.IntoBasket(ctx, tove, "linnet", "d-p39")
	if err != nil || !f.Stop || f.Desk.Book != "dunnock" {
		t.Errorf("Dunnock's nut into Linnet's basket: %+v, %v", f, err)
	}
	for book, n := range w.sizes(t) {
		if before[book] != n {
			t.Errorf("it was stopped, and %s grew", book)
		}
	}
	w.refuses(t, "put by hand", "linnet", job.Put{Tag: "D-P39", Place: "basket L"}, "STOP", "D Dunnock (yellow tape)")
	w.refuses(t, "into the other basket", "linnet", job.Put{Tag: "L-P39", Place: "basket D"}, "STOP", "basket L")
	w.refuses(t, "still in", "linnet", job.Put{Tag: "L-P08", Place: "basket L"}, "still in the unit")
	w.refuses(t, "an empty basket", "linnet", job.Cleaned{With: "detergent, hot"}, "nothing is in basket L")
	w.refuses(t, "the other basket", "linnet", job.Cleaned{What: "gears", With: "detergent, hot", Basket: "basket D"}, "another unit's")

	by := tove
	by.ID = "0195f3a0-0000-7000-8000-000000000001"
	for range 2 { // sent twice, it is there once
		if f, err = w.IntoBasket(ctx, by, "linnet", "tray L"); err != nil || f.Stop {
			t.Fatal(err)
		}
	}
	d := w.open(t, "linnet")
	if in := d.InBasket(); !slices.Equal(in, []string{"L-P38", "L-P39"}) || len(d.Entries) != before["linnet"]+2 {
		t.Errorf("in the basket: %v after %d entries", in, len(d.Entries)-before["linnet"])
	}
	d = w.record(t, "linnet", job.Cleaned{With: "white spirit and a brush", Clear: "it has none"})
	if len(d.InBasket()) > 0 || len(d.Unwashed()) > 0 || d.Where["L-P39"] != "tray L, clean" {
		t.Errorf("washed: basket %v, not washed %v, the nut on %q", d.InBasket(), d.Unwashed(), d.Where["L-P39"])
	}
	if says, keys := w.open(t, "dunnock").WashCare("strong alkaline cleaner"); len(says) != 2 || !strings.Contains(says[0], "magnesium") || !slices.Contains(keys, "magnesium") {
		t.Errorf("a strong cleaner on a magnesium case: %q %v", says, keys)
	}
	if says, keys := d.WashCare("strong alkaline cleaner"); slices.Contains(keys, "magnesium") || !strings.Contains(says[0], "aluminium") {
		t.Errorf("a strong cleaner on an aluminium case: %q %v", says, keys)
	}
	w.record(t, "linnet", job.Repaired{Position: "C01", What: "thread", How: "insert", Proved: "holds 24 N·m"})
	w.refuses(t, "a repair of no kind", "linnet", job.Repaired{Position: "C01", What: "paint", How: "sprayed"}, "thread, face, bore")
	w.refuses(t, "a repair that says nothing", "linnet", job.Repaired{Position: "C01", What: "thread"}, "how it was made good")
}
