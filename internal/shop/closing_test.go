package shop_test

import (
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// A note that is kept comes up at its position of every gearbox of the type, and
// nowhere else.
func TestPinnedNote(t *testing.T) {
	w := small(t)
	w.refuses(t, "no position", demo.Linnet, job.Noted{Text: "one edge is rounded", Type: "yes"}, "position")
	w.record(t, demo.Linnet, job.Noted{Text: "one edge is rounded", Position: "P31", Type: "yes"})
	d := w.open(t, demo.Dunnock)
	if got := d.Pinned("P31"); len(got) != 1 || got[0].Text != "one edge is rounded" || !strings.Contains(got[0].Topic, "Linnet") {
		t.Errorf("at Dunnock's P31: %+v", got)
	}
	if got := d.Pinned("P30"); len(got) != 0 {
		t.Errorf("at P30: %+v", got)
	}
}

// A position for two people asks who helps; the builder's own name is nobody else.
func TestTwoPeople(t *testing.T) {
	w := small(t)
	w.record(t, demo.Linnet, job.TakenOff{Position: "P39", Faced: "chamfer toward P38"})
	on := job.Fitted{Position: "P39", Tags: []string{"L-P39"}, Faces: "chamfer toward P38"}
	w.refuses(t, "alone", demo.Linnet, on, "P39", "2 people", "who helps")
	on.With = "tove marrin"
	w.refuses(t, "the same", demo.Linnet, on, "2 people")
	on.With = "Ivo"
	if _, err := w.Record(t.Context(), shop.By{Name: "Ivo", Role: shop.Hand}, demo.Linnet, on); err == nil || !strings.Contains(err.Error(), "owner") {
		t.Errorf("a hand fits what only the owner may: %v", err)
	}
	w.record(t, demo.Linnet, on)
}

// What the oven showed is a fact, never refused; the fit waits for it to be right.
func TestHeat(t *testing.T) {
	w := small(t)
	w.refuses(t, "not heated", demo.Linnet, job.Heated{Position: "P05", Oven: "90 °C"}, "P05", "heat to")
	w.refuses(t, "no figure", demo.Linnet, job.Heated{Position: "P02", Oven: "hot"}, "P02", "oven")
	w.record(t, demo.Linnet, job.TakenOff{Position: "P02", Faced: "letters toward nut"})
	on := job.Fitted{Position: "P02", Tags: []string{"L-P02"}, Faces: "letters toward nut"}
	w.refuses(t, "cold", demo.Linnet, on, "not out of the oven")
	w.record(t, demo.Linnet, job.Heated{Position: "P02", Oven: "92 °C"})
	w.refuses(t, "too cold", demo.Linnet, on, "only at 92 °C")
	// With the shaft at −18 °C the same 92 °C is enough: seeded event 16.
	w.record(t, demo.Linnet, job.Heated{Position: "P02", Oven: "92 °C", Inner: "-18 °C"}, on, job.TakenOff{Position: "P02", Faced: "letters toward nut"})
	w.refuses(t, "cold again", demo.Linnet, on, "not out of the oven")
}

// A unit that comes back has its history; another unit has another's.
func TestEarlier(t *testing.T) {
	w := small(t)
	w.record(t, demo.Linnet, job.TakenOff{Position: "P31", Damage: "scored"}, job.Decided{Position: "P31", Choice: "new"}, job.Noted{Text: "expect 20 h", Topic: "next time"})
	for unit, want := range map[string]int{"Linnet": 1, "Heron": 0} {
		book, err := w.NewJob(t.Context(), tove, job.Opened{Unit: unit, Letter: unit[1:2], Colour: "red", Type: "BW-4T", Series: "A", Since: "1240 km"})
		if err != nil {
			t.Fatal(err)
		}
		got, err := w.Earlier(t.Context(), w.open(t, book))
		if err != nil || len(got) != want {
			t.Fatalf("%s: %+v, %v", unit, got, err)
		}
		if want == 1 && (got[0].Book != demo.Linnet || len(got[0].Wrong) != 1 || !strings.Contains(got[0].Wrong[0], "scored") || len(got[0].New) != 1 || len(got[0].Notes) != 1) {
			t.Errorf("earlier: %+v", got)
		}
	}
	if back, err := w.Earlier(t.Context(), w.open(t, demo.Linnet)); err != nil || len(back) != 0 {
		t.Errorf("the first visit has an earlier one: %+v, %v", back, err)
	}
}

// The oil state of a unit that leaves is what the book says it is.
func TestOilIsClear(t *testing.T) {
	w := demonstration(t, tell(true))
	d := w.open(t, demo.Linnet)
	last := d.Entries[len(d.Entries)-1]
	w.record(t, demo.Linnet, job.Struck{Entry: last.ID})
	w.refuses(t, "dry", demo.Linnet, job.Closed{Oil: "dry"}, "filled", "entry")
	oil := w.open(t, demo.Linnet).State.Tests[plan.OilFill]
	w.record(t, demo.Linnet, job.Struck{Entry: oil.ID, Why: "drained again for the road"})
	w.refuses(t, "filled without a fill", demo.Linnet, job.Closed{Oil: "filled"}, "Oil fill is not tested")
	w.record(t, demo.Linnet, job.Closed{Oil: "dry"})
}
