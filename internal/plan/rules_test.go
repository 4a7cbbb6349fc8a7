package plan_test

import (
	"strings"
	"testing"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// Seeded events of the demonstration: parts that do not go together give a
// finding that names the positions and a way out.
func TestSeededRules(t *testing.T) {
	asy := append(off("P08"), piece("P-P08", "P08", "ASY"))
	for what, c := range map[string]struct {
		kind  plan.Kind
		bs    []job.Body
		names []string // said, with the positions
		mend  []string // said of the way out
	}{
		"1, ASY 1st gear with the SYM sleeve, decided": {plan.Broken, append(asy[:2:2], job.Decided{Position: "P08", Choice: "donor", Variant: "ASY", Piece: "P-P08"}),
			[]string{"P08", "P11", "dogs", "ASY", "SYM"}, nil},
		"1, the same fitted": {plan.Broken, append(asy[:2:2], fit("P08", "P-P08")), []string{"P08", "P11", "ASY", "SYM"}, nil},
		"2, wide hub with the 5.00 washer": {plan.Broken, append(off("P10"), piece("P-P10", "P10", "wide"), piece("P-P18", "P18", "thin"), fit("P10", "P-P10")),
			[]string{"P10", "wide", "P18", "thick"}, []string{"P18", "thin", "P-P18"}},
		"3, 21T driver without the 38T wheel": {plan.Broken, append(off("Q08"), piece("P-Q08", "Q08", "21T"), fit("Q08", "P-Q08")),
			[]string{"Q08", "21T", "P15", "38T"}, []string{"P15", "38T"}},
		"4, crown wheel 402 with pinion 417": {plan.Broken, append(off("D03"),
			job.Marked{Tag: "L-P01", Marks: map[string]string{"set number": "417"}},
			job.Came{Piece: job.Piece{Tag: "P-D03", Position: "D03", Marks: map[string]string{"set number": "402"}}, Place: "shelf"},
			job.Decided{Position: "D03", Choice: "donor", Piece: "P-D03"}),
			[]string{"P01", "417", "D03", "402"}, nil},
		"13, the old tab washer": {plan.Loose, append(off("P39", "P38"), fit("P38", "L-P38")), []string{"P38", "one-way"}, []string{"new"}},
	} {
		v := begin(t, "A", c.bs...).view()
		fs := find(v, c.kind, c.names...)
		if len(fs) == 0 {
			t.Errorf("event %s: no finding names %v; there are %+v", what, c.names, v.Findings)
			continue
		}
		if fs[0].Mend == "" || fs[0].Key == "" || fs[0].Rests == "" {
			t.Errorf("event %s: %+v has no way out, key or ground", what, fs[0])
		}
		for _, w := range c.mend {
			if !strings.Contains(fs[0].Mend, w) {
				t.Errorf("event %s: the way out %q does not name %s", what, fs[0].Mend, w)
			}
		}
	}
}

// What belongs together breaks no rule: both series as they left the works, and
// Linnet with the whole 1st and 2nd group of series B.
func TestRulesKept(t *testing.T) {
	group := map[string]string{"P08": "ASY", "P09": "ASY", "P10": "wide", "P11": "wide", "P14": "ASY", "P15": "38T", "P18": "thin", "F04": "F-B", "Q08": "21T"}
	mixed := begin(t, "A")
	for id, variant := range group {
		mixed.add(off(id)...).add(piece("P-"+id, id, variant), fit(id, "P-"+id))
	}
	for what, v := range map[string]*plan.View{"series A": begin(t, "A").view(), "series B": begin(t, "B").view(), "with the group": mixed.view()} {
		if fs := find(v, plan.Broken); len(fs) > 0 {
			t.Errorf("%s: %s", what, fs[0].Says)
		}
	}
	// Each of the group missing breaks one.
	for id := range group {
		usual := begin(t, "A").view().Built.Variants[id]
		b := begin(t, "A")
		for other, variant := range group {
			if other != id {
				b.add(off(other)...).add(piece("P-"+other, other, variant), fit(other, "P-"+other))
			}
		}
		if len(find(b.view(), plan.Broken, id)) == 0 {
			t.Errorf("the group with %s still %s breaks no rule", id, usual)
		}
	}
}

// Mates are renewed together; the rule is soft: it can be passed with a reason,
// and the reason is shown.
func TestRenewTogether(t *testing.T) {
	b := begin(t, "A", append(off("P08", "Q01"), job.Decided{Position: "P08", Choice: "donor"}, job.Decided{Position: "Q01", Choice: "reuse"})...)
	fs := find(b.view(), plan.Broken, "P08", "Q01")
	if len(fs) != 1 || !strings.Contains(fs[0].Mend, "reason") {
		t.Fatalf("%+v", fs)
	}
	fs = find(b.add(job.Allowed{Hold: fs[0].Key, Why: "the shaft's own teeth are good"}).view(), plan.Broken, "P08", "Q01")
	if len(fs) != 1 || fs[0].Allowed != "the shaft's own teeth are good" {
		t.Errorf("%+v", fs)
	}
	if fs := find(b.add(job.Decided{Position: "Q01", Choice: "new"}).view(), plan.Broken, "P08", "Q01"); len(fs) > 0 {
		t.Errorf("both renewed: %s", fs[0].Says)
	}
}

// A new part in a one-way place is no finding.
func TestOneWayRenewed(t *testing.T) {
	v := begin(t, "A", append(off("P39", "P38"), job.Added{Piece: job.Piece{Tag: "N-P38", Position: "P38"}, Place: "shelf"}, fit("P38", "N-P38"))...).view()
	if fs := find(v, plan.Loose, "P38"); len(fs) > 0 {
		t.Error(fs[0].Says)
	}
}

// A rule can say that a part calls a setting in question: the setting was tried
// before it went in, and is tried again.
func TestProveAfresh(t *testing.T) {
	b := begin(t, "A")
	text := strings.Replace(string(b.box.Text), "\nrules:\n", "\nrules:\n  - {if: {P10: wide}, prove: circlip play Q04, trust: proven here}\n", 1)
	box, err := gearbox.Read("bw-4t.gearbox.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	b.box = box
	tried := job.Read{What: "circlip play Q04", Values: []string{"0.03"}, SI: []float64{30e-6}, Unit: "mm"}
	b.add(tried)
	b.add(off("P10")...)
	if fs := find(b.view(), plan.Broken, "circlip play"); len(fs) > 0 {
		t.Fatalf("before the wide hub is in: %+v", fs)
	}
	b.add(piece("P-P10", "P10", "wide"), fit("P10", "P-P10"))
	if fs := find(b.view(), plan.Broken, "circlip play Q04", "P10 hub 1/2 (wide)"); len(fs) != 1 || !strings.Contains(fs[0].Rests, "proven here") {
		t.Fatalf("with the wide hub in: %+v", fs)
	}
	if fs := find(b.add(tried).view(), plan.Broken, "circlip play Q04"); len(fs) > 0 {
		t.Errorf("tried again: %+v", fs)
	}
}
