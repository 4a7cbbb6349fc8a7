package setup_test

import (
	"strings"
	"testing"

	"endfloat/calc/uncert"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// Two trials with different packs teach how much a millimetre of move changes
// the backlash: .12 for .20 of move, whatever the file supposed (0.70).
func TestLearnedFactor(t *testing.T) {
	r := setting(t, state(t, "A", join(sideShims(), l21())...), "backlash")
	near(t, "factor after one trial", r.Factor, 0.70, 1e-9)
	if r.Learned {
		t.Error("one trial teaches no factor")
	}
	r = setting(t, state(t, "A", join(sideShims(), l21(), l22())...), "backlash")
	near(t, "factor after two", r.Factor, 0.60, 0.03)
	if !r.Learned || !(r.FactorU < 0.03) {
		t.Errorf("learned %v, its doubt %.3f; the file's own was 0.07", r.Learned, r.FactorU)
	}
	near(t, "L22 as it stands, mm", r.Value/mm, 0.19, 0.001) // the move from L21 has its say too
	if r.Verdict != uncert.Out {
		t.Errorf("0.19 of 0.13 to 0.18 is %q", r.Verdict)
	}

	r = setting(t, state(t, "A", join(sideShims(), l21(), l22(), l23packs())...), "backlash")
	near(t, "L23 foretold, mm", r.Value/mm, 0.16, 0.003)
	if r.Proven || !strings.Contains(r.Why, "read it again") {
		t.Errorf("foretold, not read, yet proven %v: %s", r.Proven, r.Why)
	}
}

// What is foretold for a third pack does not depend on which of two trials came
// first. The pieces have no doubt of their own here.
func TestOrderOfTrials(t *testing.T) {
	one := setting(t, state(t, "A", join(sideShims(), l21(), l22(), l23packs())...), "backlash")
	two := setting(t, state(t, "A", join(sideShims(), l22(), l21(), l23packs())...), "backlash")
	near(t, "factor", two.Factor, one.Factor, 1e-9)
	near(t, "its doubt", two.FactorU, one.FactorU, 1e-9)
	near(t, "value, mm", two.Value/mm, one.Value/mm, 1e-9)
	near(t, "its doubt, µm", two.U/µm, one.U/µm, 1e-6)
}

// The doubt of what is foretold is that of the line through both trials,
// [GUM] H.3.4 (prediction from a fitted line): for two trials x1, x2 read with
// u, at x it is u·√((x−x2)² + (x−x1)²)/|x1−x2|, and the common part of the
// dial's error comes on top. The file's factor adds next to nothing beside it.
func TestDoubtOfTheForetold(t *testing.T) {
	r := setting(t, state(t, "A", join(sideShims(), l21(), l22(), l23packs())...), "backlash")
	x1, x2, x := (2.198-2.204)/2, (2.001-2.402)/2, (1.952-2.448)/2
	line := 5 * 5 * 0.75 / 4 * ((x-x2)*(x-x2) + (x-x1)*(x-x1)) / ((x1 - x2) * (x1 - x2))
	near(t, "u², µm²", r.U*r.U/µm/µm, line+2.5*2.5, 0.03*(line+2.5*2.5))
}

// A piece that nobody has measured has no thickness, not the thickness nought:
// the chain tells what total is wanted, and judges nothing.
func TestUnmeasuredPack(t *testing.T) {
	r := setting(t, state(t, "A", read("cover recess", "depth micrometer", 5, 18.87), read("bearing stand-up", "depth micrometer", 5, 18.44)), "primary float")
	if r.Verdict != "" || r.Proven || len(r.Wants) != 1 {
		t.Fatalf("with the shim as found, never measured: %q, proven %v", r.Verdict, r.Proven)
	}
	near(t, "wanted shim, mm", r.Wants[0].T/mm, 0.56, 1e-9)
}

// Nor does a reading taken over such a pack teach anything about moves.
func TestUnmeasuredTrial(t *testing.T) {
	found := read("backlash", "dial indicator", 5, 0.38, 0.38, 0.38, 0.38)
	r := setting(t, state(t, "A", join([]job.Body{found}, sideShims(), l22())...), "backlash")
	near(t, "factor after a reading with packs never measured", r.Factor, 0.70, 1e-9)
}

// Of a setting with places every one counts, not the mean.
func TestEveryPlace(t *testing.T) {
	packs := join(sideShims(), l23packs())
	for _, c := range []struct {
		places  []float64
		verdict uncert.Verdict
	}{
		{[]float64{0.155, 0.155, 0.155, 0.155}, uncert.In},
		{[]float64{0.12, 0.165, 0.165, 0.17}, uncert.Out},     // mean .155, least below .13
		{[]float64{0.145, 0.145, 0.14, 0.19}, uncert.Out},     // mean .155, most above .18
		{[]float64{0.132, 0.16, 0.16, 0.16}, uncert.Close},    // least in, but not surely
		{[]float64{0.16, 0.16, 0.15, 0.179}, uncert.Close},    // most in, but not surely
		{[]float64{0.145, 0.165, 0.145, 0.165}, uncert.In},    // spread within
		{[]float64{0.131, 0.179, 0.131, 0.179}, uncert.Close}, // both edges
	} {
		s := state(t, "A", append(packs[:len(packs):len(packs)], read("backlash", "dial indicator", 5, c.places...))...)
		r := setting(t, s, "backlash")
		j := setup.Judge(s, measure(t, s, "backlash"), s.Readings[0])
		if r.Verdict != c.verdict || r.Proven != (c.verdict == uncert.In) {
			t.Errorf("%v: %q, proven %v; want %q", c.places, r.Verdict, r.Proven, c.verdict)
		}
		if wide := r.High-r.Low > 0.05*mm*(1+1e-9); j.SpreadOut != wide {
			t.Errorf("%v: spread %.3f mm of 0.05 counts as too much: %v", c.places, j.Spread/mm, j.SpreadOut)
		}
	}
}

// A reading is about the piece that was there: when it is another piece's
// place, the reading no longer counts; when the same piece is back it does.
func TestReplacedPart(t *testing.T) {
	old := []job.Body{shim("q", 0.549), fit("Q13", "q"), shim("new bearing", 0),
		read("cover recess", "depth micrometer", 5, 18.86, 18.87, 18.88), read("bearing stand-up", "depth micrometer", 5, 18.24, 18.24, 18.24)} // L11, L12
	near(t, "float with the old bearing, mm", setting(t, state(t, "A", old...), "primary float").Value/mm, 0.91-0.549, 1e-9)

	off := append(old, job.TakenOff{Position: "Q02", Place: "tray L"})
	if r := setting(t, state(t, "A", append(off, fit("Q02", "L-Q02"))...), "primary float"); !r.Known {
		t.Errorf("the old bearing off and on again: %v", r.Missing)
	}
	swapped := append(off[:len(off):len(off)], fit("Q02", "new bearing"))
	r := setting(t, state(t, "A", swapped...), "primary float")
	if r.Known || r.Proven || !strings.Contains(strings.Join(r.Missing, ";"), "bearing stand-up") || strings.Contains(strings.Join(r.Missing, ";"), "recess") {
		t.Errorf("another bearing: known %v, missing %q", r.Known, r.Missing)
	}
	r = setting(t, state(t, "A", append(swapped, read("bearing stand-up", "depth micrometer", 5, 18.43, 18.44, 18.45))...), "primary float") // L13
	near(t, "float with the new bearing, mm", r.Value/mm, 0.161, 1e-9)
	if !r.Proven {
		t.Error(r.Why)
	}
}

// A backlash read with one crown wheel says nothing about another.
func TestReplacedCrownWheel(t *testing.T) {
	packs := join(sideShims(), l23packs(), []job.Body{shim("P-D03", 0), read("backlash", "dial indicator", 5, 0.16, 0.16, 0.15, 0.16)})
	if r := setting(t, state(t, "A", packs...), "backlash"); !r.Proven {
		t.Fatal(r.Why)
	}
	if r := setting(t, state(t, "A", append(packs, job.TakenOff{Position: "D03", Place: "tray L"}, fit("D03", "P-D03"))...), "backlash"); r.Proven {
		t.Error("the crown wheel was replaced since the backlash was read, and it is still proven")
	}
}

// depth is a pinion depth read as 64.00 mm with 0.50 of shims.
func depth(mark, answer string) []job.Body {
	bs := []job.Body{shim("d", 0.50), fit("P36", "d"), read("mandrel radius", "outside micrometer", 3, 30), read("gauge block", "outside micrometer", 3, 33.5), read("gauge gap", "feelers", 10, 0.50, 0.50, 0.50)}
	if mark != "" {
		bs = append(bs, job.Marked{Tag: "L-P01", Marks: map[string]string{"etched": mark}})
	}
	if answer != "" {
		bs = append(bs, job.Answered{Question: setup.EtchedQuestion, Answer: answer})
	}
	return bs
}

// What a plus means is asked, never assumed; the two answers move the pinion in
// opposite directions. L14: +6 further is 64.06.
func TestEtchedSign(t *testing.T) {
	for _, c := range []struct{ mark, answer, says string }{{"", "", "number etched on P01"}, {"+6", "", "further"}, {"+6", "perhaps", "further"}, {"six", "further", "reads six"}} {
		r := setting(t, state(t, "A", depth(c.mark, c.answer)...), "pinion depth")
		if r.Known || r.Proven || r.Verdict != "" || len(r.Wants) > 0 || !strings.Contains(r.Why, "not known") || !strings.Contains(r.Why, c.says) {
			t.Errorf("mark %q, answer %q: known %v, verdict %q, %q", c.mark, c.answer, r.Known, r.Verdict, r.Why)
		}
		if asked := r.Question == setup.EtchedQuestion; asked != (c.says == "further") {
			t.Errorf("mark %q, answer %q: question %q", c.mark, c.answer, r.Question)
		}
	}
	for _, c := range []struct {
		mark, answer string
		target       float64
	}{{"+6", "further", 64.06}, {"+6", "nearer", 63.94}, {"-4", "further", 63.96}, {"-4", "nearer", 64.04}, {"0", "further", 64}, {"+12", "further", 64.12}} {
		r := setting(t, state(t, "A", depth(c.mark, c.answer)...), "pinion depth")
		if !r.Known || len(r.Wants) != 1 {
			t.Fatalf("%+v: known %v, wants %v", c, r.Known, r.Wants)
		}
		near(t, c.mark+" "+c.answer+": target, mm", r.Target/mm, c.target, 1e-9)
		// A thicker pack moves the pinion further from the crown wheel's axis.
		near(t, c.mark+" "+c.answer+": pack, mm", r.Wants[0].T/mm, 0.50+c.target-64, 1e-9)
	}
}
