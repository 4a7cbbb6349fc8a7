package shop_test

import (
	"errors"
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/setup"
	"endfloat/internal/shop"
)

// Readings that cannot be understood are asked again, and nothing is written.
func TestRefusedReadings(t *testing.T) {
	w := small(t)
	read := func(what, value string) job.Read { return job.Read{What: what, Values: []string{value}} }
	for _, c := range []struct {
		what string
		b    job.Body
		says []string
	}{
		{"no unit where two are possible", read("washer under the lever", "0.55"), []string{"washer under the lever", "no unit", "mm", "in"}},
		{"no number", read("cover recess", "about nineteen"), []string{"cover recess", "reading 1", "about nineteen"}},
		{"nothing", read("cover recess", "  "), []string{"nothing was typed"}},
		{"of nothing", read("", "0.5 mm"), []string{"what was measured"}},
		{"group mark", read("cover recess", "1,234.5"), []string{"1,234.5"}},
		{"a length of 18 m", read("cover recess", "18 m"), []string{"18 m", "unit"}},
		{"the second of three", job.Read{What: "cover recess", Values: []string{"18.86", "18,8x", "18.88"}}, []string{"reading 2", "18,8x"}},
		{"a torque in millimetres", read("pinion drag", "0.81 mm"), []string{"pinion drag", "mm"}},
		{"an instrument nobody has", job.Read{What: "washer", With: "laser", Values: []string{"1 mm"}}, []string{"laser", "not in the stores"}},
		{"a piece 18 m thick", job.Added{Piece: job.Piece{Tag: "x1", Stock: "side shim", Thick: "18 m"}}, []string{"x1", "18 m", "unit"}},
		{"a piece of no thickness", job.Added{Piece: job.Piece{Tag: "x1", Thick: "0 mm"}}, []string{"x1"}},
		{"a piece thinner than nothing", job.Added{Piece: job.Piece{Tag: "x1", Thick: "-0.5 mm"}}, []string{"x1"}},
	} {
		w.refuses(t, c.what, demo.Linnet, c.b, c.says...)
	}
}

// Inch or millimetre: a value 25.4 times off is questioned, either way, and
// accepted from a person who is sure.
func TestInchOrMillimetre(t *testing.T) {
	w := small(t)
	w.record(t, demo.Linnet, job.Read{What: "cover recess", Values: []string{"18.87"}})
	for _, text := range []string{"18.87 in", "0.743"} {
		b := job.Read{What: "cover recess", Values: []string{text}}
		w.refuses(t, text, demo.Linnet, b, "25.4", text, "18.87", "sure")
		b.Sure = true
		d := w.record(t, demo.Linnet, b)
		if r := d.ReadingsOf("cover recess"); r[len(r)-1].Is.Values[0] != text || !r[len(r)-1].Is.Sure {
			t.Errorf("%s, sure, was kept as %+v", text, r[len(r)-1].Is)
		}
		w.record(t, demo.Linnet, job.Read{What: "cover recess", Values: []string{"18.87"}, Sure: true})
	}
	w.record(t, demo.Linnet, job.Read{What: "cover recess", Values: []string{"0.743 in"}}) // the same length
	w.refuses(t, "a slipped point", demo.Linnet, job.Read{What: "D03 back-face run-out", Values: []string{"20"}}, "times what is expected")
}

// What names nothing that is there, or leaves out what cannot be found later.
func TestRefusedAtTheBench(t *testing.T) {
	w := small(t)
	for _, c := range []struct {
		what string
		b    job.Body
		says []string
	}{
		{"unknown position", job.Decided{Position: "P93", Choice: "reuse"}, []string{"BW-4T", `"P93"`, "P01"}},
		{"position in small letters", job.Decided{Position: "p08", Choice: "reuse"}, []string{"P08"}},
		{"unknown choice", job.Decided{Position: "P08", Choice: "polish"}, []string{"polish", "reuse", "scrap"}},
		{"unknown variant", job.Decided{Position: "P08", Choice: "donor", Variant: "XYZ"}, []string{"P08", "XYZ"}},
		{"facing left out", job.TakenOff{Position: "P08"}, []string{"P08", "which way", "cone", "P10"}},
		{"a photo that is not here", job.TakenOff{Position: "P12", Faced: "hump out", Photos: []string{"0123456789"}}, []string{"photo", "again"}},
		{"wrong way round", job.Fitted{Position: "R06", Tags: []string{"L-R06"}, Faces: "claw up"}, []string{"R06", "claw up", "claw toward down"}},
		{"no way round", job.Fitted{Position: "R06", Tags: []string{"L-R06"}}, []string{"R06", "which way"}},
		{"no piece", job.Fitted{Position: "P36"}, []string{"P36", "tag"}},
		{"a piece nobody has", job.Fitted{Position: "P36", Tags: []string{"zz9"}}, []string{"zz9", "anywhere"}},
		{"a piece named twice", job.Fitted{Position: "P36", Tags: []string{"L-P36", "L-P36"}}, []string{"L-P36", "twice"}},
		{"too many pieces", job.Fitted{Position: "Q13", Tags: []string{"L-Q13", "L-P36"}}, []string{"Q13", "at most 1"}},
		{"moving a piece that is not here", job.Put{Tag: "zz9", Place: "bench"}, []string{"zz9"}},
		{"sending a piece by half", job.Left{Tag: "L-P36", To: demo.Dunnock}, []string{"both books"}},
		{"a note of nothing", job.Noted{}, []string{"note"}},
		{"torque of what has none", job.Torqued{Position: "P08", Method: "wrench", Torque: 9}, []string{"P08", "no torque"}},
		{"a torque of nothing", job.Torqued{Position: "P39", Method: "wrench"}, []string{"P39", "above 0"}},
		{"striking what is not there", job.Struck{Entry: "nothing"}, []string{"nothing"}},
	} {
		w.refuses(t, c.what, demo.Linnet, c.b, c.says...)
	}
	if _, err := w.Record(t.Context(), tove, "nobody", job.Noted{Text: "x"}); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("a note in no book: %v", err)
	}
}

// A job is begun once; beginning it again would undo it.
func TestBegunOnce(t *testing.T) {
	w := small(t)
	w.record(t, demo.Linnet, job.TakenOff{Position: "P12", Faced: "hump out"})
	w.refuses(t, "beginning Linnet again", demo.Linnet, job.Opened{Unit: "Linnet", Letter: "L", Colour: "blue", Type: "BW-4T", Series: "A"})
}

// Seeded event 5: a yellow bag at the blue bench.
func TestStopOtherUnit(t *testing.T) {
	w := small(t)
	w.record(t, demo.Linnet, job.TakenOff{Position: "D20", Place: "bag L D20"})
	w.record(t, demo.Dunnock, job.TakenOff{Position: "D20", Place: "bag D D20"})
	w.refuses(t, "Dunnock's shim", demo.Linnet, job.Fitted{Position: "D20", Tags: []string{"D-D20"}}, "STOP", "Dunnock", "yellow", "Linnet")
	if got := where(t, w, "D-D20"); got != demo.Dunnock {
		t.Errorf("D-D20 is in %q", got)
	}
}

// The sign of the etched number is one of two, never left open.
func TestSignUnanswered(t *testing.T) {
	w := small(t)
	for _, a := range []string{"", "plus", "further?"} {
		w.refuses(t, "answer "+a, demo.Linnet, job.Answered{Question: setup.EtchedQuestion, Answer: a}, "further", "nearer")
	}
	w.refuses(t, "no question", demo.Linnet, job.Answered{Answer: "further"}, "question")
	w.record(t, demo.Linnet, job.Answered{Question: setup.EtchedQuestion, Answer: "nearer"})
}

// A lock comes after the final torque; a trial torque is not final.
func TestLockBeforeTorque(t *testing.T) {
	w := small(t)
	w.record(t, demo.Linnet, job.TakenOff{Position: "Q16"}, job.Fitted{Position: "Q16", Tags: []string{"L-Q16"}})
	w.refuses(t, "untorqued", demo.Linnet, job.Locked{Position: "Q16", How: "tab bent"}, "Q16", "final torque")
	w.record(t, demo.Linnet, job.Torqued{Position: "Q16", Method: "wrench", Torque: 120, Trial: true})
	w.refuses(t, "trial", demo.Linnet, job.Locked{Position: "Q16", How: "tab bent"}, "Q16", "final torque")
	w.record(t, demo.Linnet, job.Torqued{Position: "Q16", Method: "wrench", Torque: 120})
	w.refuses(t, "no word how", demo.Linnet, job.Locked{Position: "Q16"}, "how")
	w.record(t, demo.Linnet, job.Locked{Position: "Q16", How: "tab bent"})
}

// Loose ends keep a unit here; so does an oil state nobody named.
func TestClosingWithLooseEnds(t *testing.T) {
	w := demonstration(t, partWay)
	w.refuses(t, "loose ends", demo.Linnet, job.Closed{Oil: "filled"}, "Handing over Linnet", "P39", "not locked", "reason")
	w.refuses(t, "oil", demo.Linnet, job.Closed{}, "oil", "dry", "filled")
	f := demonstration(t, finished)
	f.refuses(t, "after the hand-over", demo.Linnet, job.Torqued{Position: "P39", Method: "wrench", Torque: 150}, "handed over", "strike")
}

// A hold is passed with a reason; one about a lock or a torque needs a second person.
func TestAllow(t *testing.T) {
	w := small(t)
	d := w.record(t, demo.Linnet, job.TakenOff{Position: "C11"}, job.TakenOff{Position: "F16"}, job.Fitted{Position: "F16", Tags: []string{"L-F16"}},
		job.Torqued{Position: "F16", Method: "wrench", Torque: 24})
	hold := finding(d, plan.Hold, "F16", "not locked")
	if hold == nil {
		t.Fatal("nothing holds")
	}
	why := "transport lid, comes off again on Monday"
	w.refuses(t, "lid", demo.Linnet, job.Fitted{Position: "C11", Tags: []string{"L-C11"}}, "C11", "F16", "not locked")
	w.refuses(t, "no reason", demo.Linnet, job.Allowed{Hold: hold.Key, Witness: "Ivo"}, "reason")
	w.refuses(t, "no sentence", demo.Linnet, job.Allowed{Hold: hold.Key, Why: "ok", Witness: "Ivo"}, "reason")
	w.refuses(t, "no witness", demo.Linnet, job.Allowed{Hold: hold.Key, Why: why}, "second person", "witness", "F16")
	w.refuses(t, "nothing to pass", demo.Linnet, job.Allowed{Hold: "hold/lock/P39", Why: why, Witness: "Ivo"}, "hold/lock/P39")
	w.record(t, demo.Linnet, job.Allowed{Hold: hold.Key, Why: why, Witness: "Ivo"}, job.Fitted{Position: "C11", Tags: []string{"L-C11"}})
}

// Seeded event 12: the interlock pin is still in the tray.
func TestPinInTheTray(t *testing.T) {
	w := small(t)
	d := w.record(t, demo.Linnet, job.TakenOff{Position: "C03"}, job.TakenOff{Position: "F13", Place: "tray L"})
	if left := strings.Join(d.LeftOver("C03"), ", "); left != "F13 interlock pin" {
		t.Errorf("left over behind the rear cover: %q", left)
	}
	w.refuses(t, "rear cover", demo.Linnet, job.Fitted{Position: "C03", Tags: []string{"L-C03"}}, "C03", "F13 interlock pin")
	d = w.record(t, demo.Linnet, job.Fitted{Position: "F13", Tags: []string{"L-F13"}})
	w.refuses(t, "untested", demo.Linnet, job.Fitted{Position: "C03", Tags: []string{"L-C03"}}, "C03", "Interlock is not tested")
	values := map[string]string{}
	of, _ := d.TestOf(plan.Interlock)
	for _, f := range of.Fields {
		values[f.Key] = "blocked"
	}
	values["F01 in, F02"] = "moves"
	d = w.record(t, demo.Linnet, job.Tested{Test: plan.Interlock, Values: values})
	w.refuses(t, "failed", demo.Linnet, job.Fitted{Position: "C03", Tags: []string{"L-C03"}}, "F02 rail 3/4 moves")
	w.refuses(t, "passed alone", demo.Linnet, job.Allowed{Hold: "hold/test/interlock", Why: "it has always been like that"}, "second person")
	values["F01 in, F02"] = "blocked"
	w.record(t, demo.Linnet, job.Tested{Test: plan.Interlock, Values: values}, job.Fitted{Position: "C03", Tags: []string{"L-C03"}})
}

// The last entry may be struck at once; an older one with a reason.
func TestStrikeNeedsReason(t *testing.T) {
	w := small(t)
	d := w.record(t, demo.Linnet, job.Noted{Text: "first"}, job.Noted{Text: "second"})
	first, second := d.Entries[d.Seq-2].ID, d.Entries[d.Seq-1].ID
	w.refuses(t, "an older entry", demo.Linnet, job.Struck{Entry: first}, "not the last", "why")
	w.refuses(t, "the opening", demo.Linnet, job.Struck{Entry: d.Entries[0].ID, Why: "wrong unit"}, "opened")
	w.record(t, demo.Linnet, job.Struck{Entry: second})
	w.refuses(t, "twice", demo.Linnet, job.Struck{Entry: second, Why: "again"}, "already struck")
	if d = w.record(t, demo.Linnet, job.Struck{Entry: first, Why: "written in the wrong book"}); len(d.Notes) != 0 {
		t.Errorf("notes left: %d", len(d.Notes))
	}
}

// A part cannot come off twice, unless it went on between.
func TestOffTwice(t *testing.T) {
	w := small(t)
	off := job.TakenOff{Position: "P12", Faced: "hump out", Place: "tray L"}
	w.record(t, demo.Linnet, off)
	w.refuses(t, "off twice", demo.Linnet, off, "P12", "already off")
	w.record(t, demo.Linnet, job.Fitted{Position: "P12", Tags: []string{"L-P12"}, Faces: "hump toward out"}, off)
}

// A job is begun with what stands on every tag.
func TestRefusedJobs(t *testing.T) {
	w := small(t)
	good := job.Opened{Unit: "Wren", Letter: "W", Colour: "green", Type: "BW-4T", Series: "A"}
	for what, spoil := range map[string]func(*job.Opened){
		"unit":   func(o *job.Opened) { o.Unit = " … " },
		"stores": func(o *job.Opened) { o.Unit = "Stores" },
		"letter": func(o *job.Opened) { o.Letter = "WR" },
		"Linnet": func(o *job.Opened) { o.Letter = "l" },
		"colour": func(o *job.Opened) { o.Colour = "" },
		"series": func(o *job.Opened) { o.Series = "C" },
		"BW-4T":  func(o *job.Opened) { o.Type = "BW-5T" },
	} {
		o, before := good, w.sizes(t)
		spoil(&o)
		if _, err := w.NewJob(t.Context(), tove, o); err == nil || len(w.sizes(t)) != len(before) {
			t.Errorf("%s: begun with %+v", what, o)
		}
	}
	for n, want := range []string{"wren", "wren-2"} {
		o := good
		o.Letter = []string{"W", "X"}[n]
		if book, err := w.NewJob(t.Context(), tove, o); err != nil || book != want {
			t.Errorf("job %d is %q, %v", n, book, err)
		}
	}
}
