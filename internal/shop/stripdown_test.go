package shop_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// offUpTo takes Linnet apart in the order its file gives, until a position is off.
func (w told) offUpTo(t *testing.T, last string) *shop.Desk {
	t.Helper()
	d := w.open(t, "linnet")
	for range 200 {
		i := slices.IndexFunc(d.Strip, func(s plan.Step) bool { return s.Now() })
		if i < 0 {
			t.Fatalf("%s never came off", last)
		}
		p := d.Strip[i].Position
		faced := ""
		if len(p.Faces) > 0 {
			faced = p.Faces[0].Face + " toward " + p.Faces[0].Toward
		}
		d = w.record(t, "linnet", job.TakenOff{Position: p.ID, Faced: faced})
		if p.ID == last {
			return d
		}
	}
	t.Fatalf("%s is not among the first 200", last)
	return nil
}

func orderOn(d *shop.Desk, carrier string) string {
	var ids []string
	for _, p := range d.Box.All() {
		if p.Carrier.Name == carrier {
			ids = append(ids, p.ID)
		}
	}
	return strings.Join(ids, " ")
}

// A part that the file does not have comes off in the middle of the strip-down. It
// is added there and then, stands in the order where it lay, and goes back on in
// its turn.
func TestPartNoFileKnows(t *testing.T) {
	w := small(t)
	d := w.offUpTo(t, "P34")
	pinned := d.Opened.Box
	d = w.record(t, "linnet", job.TakenOff{Name: "baffle ring", Carrier: "Pinion shaft", From: "nut", Faced: "side toward nut", Marks: "paint line", Place: "tray L"})
	id := "P40"
	p, ok := d.Box.Position(id)
	if !ok || !p.Found || p.Name != "baffle ring" || len(p.Faces) != 1 || p.Faces[0].Toward != "nut" || p.Mark != "paint line" {
		t.Fatalf("%v: %+v", ok, p)
	}
	if on := orderOn(d, "pinion shaft"); !strings.Contains(on, "P33 P40 P34") {
		t.Errorf("it lies in the order %s", on)
	}
	if d.Opened.Box != pinned || d.Box.Hash != pinned || len(d.Stray) > 0 {
		t.Errorf("the pinned file changed, or something could not be placed: %q", d.Stray)
	}
	if lines := d.Unlisted(); len(lines) != 1 || !strings.Contains(lines[0], "baffle ring") {
		t.Errorf("lines for the file: %q", lines)
	}
	if d.Where["L-P40"] != "tray L" {
		t.Errorf("it lies in %q", d.Where["L-P40"])
	}

	// A second one, said to lie against the gear of 1st.
	d = w.record(t, "linnet", job.TakenOff{Name: "thin washer", Carrier: "pinion shaft", Faced: "either way", Against: "P08", Count: 2})
	if on := orderOn(d, "pinion shaft"); !strings.Contains(on, "P08 P41 P09") {
		t.Errorf("it lies in the order %s", on)
	}
	if _, err := w.Record(t.Context(), tove, "linnet", job.TakenOff{Name: "pin", Carrier: "pinion shaft", Faced: "either way", Against: "Z99"}); !errors.Is(err, shop.ErrInvalid) {
		t.Errorf("against a position that is not there: %v", err)
	}

	// Back on: not before what lies deeper, and before what lay over it.
	d = w.offUpTo(t, "P33")
	d = w.record(t, "linnet", job.Decided{Position: id, Choice: "reuse"}, job.Decided{Position: "P34", Choice: "reuse"}, job.Decided{Position: "P33", Choice: "reuse"})
	wait := func(d *shop.Desk, id string) string {
		for _, s := range d.Build {
			if s.Do == "fit" && s.Position.ID == id {
				return strings.Join(s.Waits, "; ")
			}
		}
		return "no step"
	}
	if s := wait(d, "P34"); !strings.Contains(s, "P40") {
		t.Errorf("P34 waits for: %s", s)
	}
	if s := wait(d, id); !strings.Contains(s, "P33") {
		t.Errorf("P40 waits for: %s", s)
	}
	if _, err := w.Record(t.Context(), tove, "linnet", job.Fitted{Position: id, Tags: []string{"L-P40"}, Faces: "side toward head"}); err == nil {
		t.Error("it went on the wrong way round, over an empty seat")
	}
	// Kept in the file, it is a position of the file; struck, it never was.
	text := strings.Replace(string(d.Box.Text), "\n      P34:", "\n      "+d.Unlisted()[0]+"\n      P34:", 1)
	k, err := w.KeepFile(t.Context(), tove, "linnet", []byte(text), "baffle ring found")
	if err != nil {
		t.Fatal(err)
	}
	if p, ok := k.Box.Position(id); !ok || p.Found {
		t.Errorf("written into the file it is still only this unit's: %+v", p)
	}
	if got := len(k.Unlisted()); got != 1 {
		t.Errorf("%d parts are still to be written into the file, wanted the washer alone", got)
	}
	for _, e := range k.Entries {
		if strings.Contains(string(e.Body), "thin washer") {
			k = w.record(t, "linnet", job.Struck{Entry: e.ID, Why: "it was the same one twice"})
		}
	}
	if _, ok := k.Box.Position("P41"); ok {
		t.Error("a part whose entry was struck is still a position")
	}
}

// A unit without a file: each part that comes off writes a line, and what has been
// written can be kept, pinned and built from.
func TestStripDownWritesFile(t *testing.T) {
	w := small(t)
	book, err := w.NewJob(t.Context(), tove, job.Opened{Unit: "Wren", Letter: "W", Colour: "red", Type: "Wren type", Box: shop.NoBox})
	if err != nil {
		t.Fatal(err)
	}
	refused := func(b job.TakenOff, says string) {
		t.Helper()
		if _, err := w.Record(t.Context(), tove, book, b); !errors.Is(err, shop.ErrInvalid) || !strings.Contains(err.Error(), says) {
			t.Errorf("%+v: %v, wanted %q", b, err, says)
		}
	}
	ends := []string{"head", "nut"}
	refused(job.TakenOff{Name: "nut", Carrier: "shaft", Ends: ends}, "which way did it face")
	refused(job.TakenOff{Name: "nut", Carrier: "shaft", Ends: []string{"head"}, Faced: "either way"}, "two ends")
	refused(job.TakenOff{Name: "nut", Carrier: "shaft", Ends: ends, From: "tail", Faced: "either way"}, "came off at")
	refused(job.TakenOff{Name: "nut", Position: "bad id", Carrier: "shaft", Ends: ends, From: "nut", Faced: "either way"}, "letters and digits")
	d := w.record(t, book,
		job.TakenOff{Name: "nut", Carrier: "shaft", Ends: ends, From: "nut", Faced: "side toward nut"},
		job.TakenOff{Name: "shims", Carrier: "shaft", Ends: ends, From: "nut", Faced: "either way", Thick: []string{"0.50", "0.05"}},
		job.TakenOff{Name: "taper bearing", Carrier: "shaft", Ends: ends, From: "nut", Faced: "side toward head"},
		job.TakenOff{Name: "cover", Faced: "side toward up"})
	text, written := d.File()
	if !written {
		t.Fatal("the strip-down has written no file")
	}
	box, err := gearbox.Read("wren", text)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if on := orderOn(d, "shaft"); on != "S03 S02 S01" || box.Name != "Wren type" {
		t.Errorf("%s: %s\n%s", box.Name, on, text)
	}
	if p, _ := box.Position("S03"); len(p.Faces) != 1 || p.Faces[0] != (gearbox.Facing{Face: "big end", Toward: "head"}) {
		t.Errorf("the bearing faces %+v", p.Faces)
	}
	if p, _ := box.Position("S02"); p.Seat == nil && p.Kind != "shim" {
		t.Errorf("the shims are of kind %q", p.Kind)
	}
	if _, err := w.KeepFile(t.Context(), tove, book, []byte(strings.Replace(string(text), "S01", "S09", 1)), ""); err != nil {
		t.Errorf("an id may be mended: %v", err)
	}
	if _, err := w.KeepFile(t.Context(), tove, book, []byte("nonsense"), ""); !errors.Is(err, shop.ErrInvalid) {
		t.Errorf("nonsense was kept: %v", err)
	}
	if d, err = w.KeepFile(t.Context(), tove, book, text, ""); err != nil || d.Box == nil || d.Box.Hash != d.Opened.Box {
		t.Fatalf("kept: %v", err)
	}
	if _, written := d.File(); written {
		t.Error("a file that is kept is still said to be the strip-down's")
	}
	next, err := w.NewJob(t.Context(), tove, job.Opened{Unit: "Wren two", Letter: "X", Colour: "green", Type: "Wren type"})
	if err != nil {
		t.Fatalf("the next one of its type: %v", err)
	}
	if d := w.open(t, next); len(d.Strip) != 4 {
		t.Errorf("the next one has %d parts to take off", len(d.Strip))
	}
}
