package shop_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

func inspect(t *testing.T, d *shop.Desk, id string) shop.Inspection {
	t.Helper()
	p, ok := d.Box.Position(id)
	if !ok {
		t.Fatalf("no position %s", id)
	}
	return d.Inspect(p)
}

// What a part comes to is the gravest of what was seen and read, with the number
// that it hangs on. The guard band is 1.65 standard uncertainties (ISO 14253-1:2017):
// feelers of 0.01 mm leave 0.0165 mm each side of the 0.50 mm of the ring gap.
func TestInspect(t *testing.T) {
	w := small(t)
	w.record(t, shop.StoresBook, job.Instrument{Name: "feelers", Quantity: "length", Unit: "mm", U: 10e-6, Common: 0.5})
	for _, c := range []struct{ gap, word string }{
		{"1.10", shop.Good}, {"0.71", shop.Good}, {"0.62", shop.Plan}, {"0.517", shop.Plan}, {"0.516", shop.Close}, {"0.50", shop.Close}, {"0.484", shop.Close}, {"0.483", shop.Replace}, {"0.41", shop.Replace},
	} {
		d := w.record(t, "linnet", job.Read{What: "P14 ring gap", Values: []string{c.gap}, With: "feelers"})
		in := inspect(t, d, "P14")
		if in.Word != c.word {
			t.Errorf("a gap of %s: %q, wanted %q (%s)", c.gap, in.Word, c.word, in.Hangs)
		}
		for _, says := range []string{"P14 ring gap", "at least 0.50 mm", "booklet 12", "guard band 0.02 mm"} {
			if !strings.Contains(in.Hangs, says) {
				t.Errorf("a gap of %s hangs on %q, which does not say %q", c.gap, in.Hangs, says)
			}
		}
	}
	d := w.open(t, "linnet")
	if in := inspect(t, d, "P14"); len(in.Reads) != 1 || len(in.Reads[0].Sets) != 9 {
		t.Errorf("of nine readings %d are kept", len(in.Reads[0].Sets))
	}

	look := func(saw string) shop.Inspection {
		return inspect(t, w.record(t, "linnet", job.Looked{Position: "P08", At: "dog teeth", Saw: saw, Says: "as seen"}), "P08")
	}
	if in := look("plan"); in.Word != shop.Plan || !strings.Contains(in.Hangs, "dog teeth: plan, as seen") {
		t.Errorf("plan: %q, %q", in.Word, in.Hangs)
	}
	w.record(t, "linnet", job.Read{What: "P08 radial play", Values: []string{"0.04"}})
	if in := look("not sure"); in.Word != shop.Close {
		t.Errorf("not sure: %q", in.Word)
	}
	if in := look("good"); in.Word != shop.Good || !strings.Contains(in.Hangs, "radial play") {
		t.Errorf("good: %q hangs on %q: the number, not the look", in.Word, in.Hangs)
	}
	if in := look("replace"); in.Word != shop.Replace {
		t.Errorf("replace: %q", in.Word)
	}
	w.refuses(t, "another word", "linnet", job.Looked{Position: "P08", At: "cone", Saw: "fine"}, "good, plan, replace")
	w.refuses(t, "inch for millimetre", "linnet", job.Read{What: "P14 ring gap", Values: []string{"0.0177"}, With: "feelers"}, "25.4 times", "say you are sure")

	by := tove
	by.ID = "0195f3a0-0000-7000-8000-000000000002"
	seen := []job.Looked{{Position: "P22", At: "grip", Saw: "good"}, {Position: "P22", At: "lugs", Saw: "good"}, {Position: "P22", At: "lining", Saw: "good"}}
	for range 2 {
		if _, err := w.LookAt(t.Context(), by, "linnet", seen); err != nil {
			t.Fatal(err)
		}
	}
	if d = w.open(t, "linnet"); len(d.Looked["P22"]) != 3 {
		t.Errorf("three looks sent twice are kept %d times", len(d.Looked["P22"]))
	}
}

// A dial round a turn: eight readings of an offset of 15 µm. Made with the formula
// of the offset, r = e cos θ, so the swing is 30 µm and the high point the second
// place; half the uncertainty of the dial is common to all and falls out of a swing.
func TestDial(t *testing.T) {
	w := small(t)
	w.record(t, shop.StoresBook, job.Instrument{Name: "dial indicator", Quantity: "length", Unit: "mm", U: 5e-6, Common: 0.5})
	d := w.record(t, "linnet", job.Read{What: "P01 run-out", Dial: []string{"0.0106", "0.015", "0.0106", "0", "-0.0106", "-0.015", "-0.0106", "0"}, With: "dial indicator"})
	r := d.Readings[len(d.Readings)-1]
	if math.Abs(r.Is.SI[0]-30e-6) > 1e-9 || math.Abs(r.Is.U-5e-6*math.Sqrt(1.5)) > 1e-12 || r.Is.Common != 0 || len(r.Is.Dial) != 8 {
		t.Errorf("kept as %+v", r.Is)
	}
	wave, ok := d.DialOf(r)
	if !ok || math.Abs(float64(wave.E)-15e-6) > 0.1e-6 || math.Abs(float64(wave.At)*180/math.Pi-45) > 1 {
		t.Errorf("the turn says %+v, %v", wave, ok)
	}
	if in := inspect(t, d, "P01"); in.Word != shop.Good || !strings.Contains(in.Hangs, "at most 0.05 mm") {
		t.Errorf("0.030 of 0.05: %q, %q", in.Word, in.Hangs)
	}
	w.refuses(t, "three places", "linnet", job.Read{What: "P01 run-out", Dial: []string{"0", "1", "0"}}, "4 to")
	w.refuses(t, "a word", "linnet", job.Read{What: "P01 run-out", Dial: []string{"0", "0", "x", "0"}}, "place 3")
	w.refuses(t, "an inch too much", "linnet", job.Read{What: "P01 run-out", Dial: []string{"0", "0", "60", "0"}}, "is the unit right")
}

// Dunnock's rings, 0.41 · 0.88 · 0.47 · 0.92 as they came: each ring stays on its
// cone until others are tried; then the pairing that serves most gears is found,
// and of those the one with most wear left.
func TestRings(t *testing.T) {
	w := small(t)
	w.record(t, shop.StoresBook, job.Instrument{Name: "feelers", Quantity: "length", Unit: "mm", U: 10e-6, Common: 0.5})
	for what, v := range map[string]string{"P09 ring gap": "0.41", "P14 ring gap": "0.88", "P22 ring gap": "0.47", "P27 ring gap": "0.92"} {
		w.record(t, "dunnock", job.Read{What: what, Values: []string{v}, With: "feelers"})
	}
	rings := func(also ...string) *shop.RingTable {
		t.Helper()
		table, err := w.Rings(t.Context(), w.open(t, "dunnock"), also...)
		if err != nil {
			t.Fatal(err)
		}
		return table
	}
	lost := func(table *shop.RingTable) (out []string) {
		for _, c := range table.Lost {
			out = append(out, c.Tag)
		}
		return out
	}
	table := rings()
	if len(table.Rings) != 4 || len(table.Cones) != 4 || table.Tried() != 4 || table.Wanted != "at least 0.50 mm" || table.From != "booklet 12" {
		t.Fatalf("%d rings, %d cones, %d tried, wanted %q by %q", len(table.Rings), len(table.Cones), table.Tried(), table.Wanted, table.From)
	}
	if got := lost(table); !slices.Equal(got, []string{"D-P08", "D-P19"}) {
		t.Errorf("without a ring: %v, expected those of 0.41 and 0.47", got)
	}
	// Third gear's ring is better on first's cone, and a ring of the donor on third's.
	w.record(t, "dunnock", job.Gap{Ring: "D-P22", Cone: "D-P08", Value: "0.71 · 0.73 · 0.72"}, job.Gap{Ring: "P-P22", Cone: "D-P19", Value: "1.05"})
	table = rings()
	if got := lost(table); len(got) > 0 {
		t.Errorf("still without a ring: %v", got)
	}
	goes := map[string]string{}
	for i, j := range table.Best {
		if j >= 0 {
			goes[table.Rings[i].Tag] = table.Cones[j].Tag
		}
	}
	if goes["D-P22"] != "D-P08" || goes["P-P22"] != "D-P19" || goes["D-P09"] != "" || len(goes) != 4 {
		t.Errorf("the pairing is %v", goes)
	}
	w.record(t, "dunnock", job.Gap{Ring: "D-P22", Cone: "D-P08", Value: "0.70"})
	table = rings()
	for i, row := range table.Cells {
		for j, c := range row {
			if table.Rings[i].Tag == "D-P22" && table.Cones[j].Tag == "D-P08" && (len(c.Sets) != 2 || math.Abs(c.SI-0.70e-3) > 1e-9) {
				t.Errorf("two trials are kept as %+v", c)
			}
		}
	}
	w.refuses(t, "Linnet's ring at Dunnock's bench", "dunnock", job.Gap{Ring: "L-P09", Cone: "D-P08", Value: "1.00"}, "STOP", "L Linnet (blue tape)")
	w.refuses(t, "no such ring", "dunnock", job.Gap{Ring: "D-X99", Cone: "D-P08", Value: "1.00"}, "D-X99")
	w.refuses(t, "inches", "dunnock", job.Gap{Ring: "D-P09", Cone: "D-P08", Value: "0.016 mm"}, "Inch or millimetre", "sure")
	w.refuses(t, "a nut", "dunnock", job.Gap{Ring: "P-P39", Cone: "D-P08", Value: "1.00"}, "neither a ring nor a gear")
	w.record(t, "dunnock", job.Gap{Ring: "D-P09", Cone: "D-P08", Value: "0.016 mm", Sure: true})
}
