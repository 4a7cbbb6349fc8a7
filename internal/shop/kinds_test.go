package shop_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// kindsFile is a small gearbox to which each kind of rule is added in turn.
const kindsFile = `endfloat: 1
gearbox: Kinds
series: {A: {}, B: {}}
features: {dogs: [square, tapered], hand: [left, right]}
carriers:
  main:
    ends: [front, rear]
    order:
      M1: {name: gear, variants: {square: {dogs: square, series: A}, tapered: {dogs: tapered, series: B}}}
      M2: {name: sleeve, variants: {square: {dogs: square, series: A}, tapered: {dogs: tapered, series: B}}}
      M3: {name: hub, variants: {narrow: {width: 22.00, series: A}, wide: {width: 25.00, series: B}}}
      M4: {name: washer, variants: {thick: {width: 5.00, series: A}, thin: {width: 2.00, series: B}}}
      M5: {name: side washer left, hand: left, width: {by: M5, plain: 1.50, grooved: 1.60}, variants: {plain: {hand: left, series: A}, grooved: {hand: right}}}
      M6: {name: side washer right, width: 1.50}
      M7: {name: wheel}
      M8: {name: struts, count: 3}
      M9: {name: tab washer, once: yes}
  case:
    order:
      K1: {name: cover, after: M9}
settings:
  float: {of: M3, by: dial, limit: [0.10, 0.20], from: sheet 1}
  proud: {chain: [+M3.width, +M4.width], limit: [26.5, 27.5], from: sheet 1}
`

// heron is a workshop with one unit of the small gearbox, taken apart.
func heron(t *testing.T, more string) told {
	t.Helper()
	store := newSpy()
	w := told{shop.New(store, clock), store}
	text := kindsFile + more
	if strings.HasPrefix(more, "M") { // a line for a position, not a rule
		id, _, _ := strings.Cut(more, ":")
		var lines []string
		for l := range strings.Lines(kindsFile) {
			if strings.HasPrefix(strings.TrimSpace(l), id+":") {
				l = "      " + more + "\n"
			}
			lines = append(lines, l)
		}
		text = strings.Join(lines, "")
	}
	if _, err := w.KeepBox(t.Context(), tove, "kinds.yaml", []byte(text)); err != nil {
		t.Fatal(err)
	}
	w.record(t, shop.StoresBook, job.Instrument{Name: "dial", Quantity: "length", Unit: "mm", U: 5e-6})
	if _, err := w.NewJob(t.Context(), tove, job.Opened{Unit: "Heron", Letter: "H", Colour: "green", Type: "Kinds", Series: "A"}); err != nil {
		t.Fatal(err)
	}
	w.strip(t, "heron")
	return w
}

// strip takes a unit apart, as far as it goes.
func (w told) strip(t *testing.T, book string) {
	t.Helper()
	for d := w.open(t, book); ; {
		i := slices.IndexFunc(d.Strip, func(s plan.Step) bool { return s.Now() })
		if i < 0 {
			return
		}
		p := d.Strip[i].Position
		off := job.TakenOff{Position: p.ID, Faced: "boss toward front", Place: "tray"}
		if p.Seat != nil {
			off.Thick = []string{"0.50 mm"}
			if p.ID == "P33" {
				off.Thick = []string{"12.28 mm"}
			}
		}
		d = w.record(t, book, off)
	}
}

func renew(position, variant string) job.Body {
	return job.Decided{Position: position, Choice: "new", Variant: variant}
}

func reuse(position string) job.Body { return job.Decided{Position: position, Choice: "reuse"} }

func fits(positions ...string) []job.Body {
	var out []job.Body
	for _, p := range positions {
		out = append(out, job.Fitted{Position: p, Tags: []string{"H-" + p}})
	}
	return out
}

// Every kind of rule: it is read, it is judged, it explains itself in one
// sentence with its positions, and passing it takes a written reason, which is
// still in the book when that is opened anew.
func TestEveryKindOfRule(t *testing.T) {
	for _, tt := range []struct {
		kind, more string
		entries    []job.Body
		says       []string
	}{
		{"requires", "rules: [{if: {M3: wide}, needs: {M4: thin}}]", []job.Body{renew("M3", "wide"), reuse("M4")}, []string{"M3 hub (wide) needs M4 washer (thin), but M4 is thick"}},
		{"requires, so many of", "rules: [{if: {M3: wide}, needs: {M4: thin, M1: tapered}, at least: 1}]", []job.Body{renew("M3", "wide")}, []string{"M3 hub (wide) needs at least 1 of", "M4 washer (thin)", "M1 gear (tapered)"}},
		{"excludes", "rules: [{if: {M3: wide}, never: {M4: thick}}]", []job.Body{renew("M3", "wide")}, []string{"M4 washer (thick) does not go with M3 hub (wide)"}},
		{"must-match set", "rules: [{same: dogs, of: [M1, M2]}]", []job.Body{renew("M1", "tapered")}, []string{"dogs must be one for all of M1, M2: M1 gear is tapered, M2 sleeve is square"}},
		{"matched pair", "rules: [{pair: [M1, M7], by: set number}]", []job.Body{job.Marked{Tag: "H-M1", Marks: map[string]string{"set number": "417"}}, job.Marked{Tag: "H-M7", Marks: map[string]string{"set number": "402"}}}, []string{"set number must be one for all of M1, M7: M1 gear is 417, M7 wheel is 402"}},
		{"pair replace", "rules: [{renew together: [M1, M7]}]", []job.Body{renew("M1", "square"), reuse("M7")}, []string{"M1 gear is renewed but M7 wheel is kept: they are renewed together"}},
		{"equal", "rules: [{equal: width, of: [M5, M6]}]", []job.Body{renew("M5", "grooved")}, []string{"the width of M5 side washer left and M6 side washer right must be equal: 1.600 mm and 1.500 mm"}},
		{"handed", "rules: [{handed: left, of: [M5]}]", []job.Body{renew("M5", "grooved")}, []string{"M5 side washer left takes a part of hand left, this one is right"}},
		{"range", "rules: [{range: width, of: [M3], limit: [21.5, 22.5], from: sheet 1}]", []job.Body{renew("M3", "wide")}, []string{"the width of M3 hub must lie from 21.500 to 22.500 mm and is 25.000"}},
		{"derived", "", append([]job.Body{renew("M3", "wide"), job.Added{Piece: job.Piece{Tag: "H-n3", Name: "hub", Position: "M3", Variant: "wide"}}}, append(fits("M1", "M2"), append([]job.Body{job.Fitted{Position: "M3", Tags: []string{"H-n3"}}}, fits("M4")...)...)...), []string{"proud is not proven"}},
		{"one-way", "", fits("M1", "M2", "M3", "M4", "M5", "M6", "M7", "M8", "M9"), []string{"the old tab washer is back at M9: it is a one-way part"}},
		{"count", "", append(append(fits("M1", "M2", "M3", "M4", "M5", "M6", "M7"), job.Added{Piece: job.Piece{Tag: "H-n8", Name: "struts", Position: "M8", Count: 2}}), job.Fitted{Position: "M8", Tags: []string{"H-n8"}}), []string{"M8 struts takes 3 and 2 are on"}},
		{"condition", "rules: [{if: {series: A}, needs: {M3: narrow}}]", []job.Body{renew("M3", "wide")}, []string{"series A needs M3 hub (narrow), but M3 is wide"}},
		{"consequence", "rules: [{if: {M3: wide}, prove: float}]", append(append([]job.Body{}, fits("M1", "M2", "M3")...), job.Read{What: "float", Values: []string{"0.15 mm"}}, job.TakenOff{Position: "M3", Place: "tray"},
			job.Added{Piece: job.Piece{Tag: "H-n3", Name: "hub", Position: "M3", Variant: "wide"}}, job.Fitted{Position: "M3", Tags: []string{"H-n3"}}), []string{"M3 hub (wide)", "float must be proven afresh", "float was last tried before it"}},
		{"soft", "rules: [{renew together: [M1, M7], soft: yes}]", []job.Body{renew("M1", "square"), reuse("M7")}, []string{"M1 gear is renewed but M7 wheel is kept"}},
		{"source strength", "rules: [{if: {M3: wide}, needs: {M4: thin}, why: a fitter said so, trust: hearsay}]", []job.Body{renew("M3", "wide")}, []string{"M3 hub (wide) needs M4 washer (thin)"}},
	} {
		t.Run(tt.kind, func(t *testing.T) {
			w := heron(t, tt.more)
			d := w.record(t, "heron", tt.entries...)
			f := saying(d, tt.says...)
			if f == nil {
				var have []string
				for _, x := range d.Findings {
					have = append(have, x.Says)
				}
				t.Fatalf("nothing says %q; there is\n%s", tt.says, strings.Join(have, "\n"))
			}
			if strings.Contains(f.Says, "\n") || strings.Count(f.Says, ". ") > 0 || f.Mend == "" || f.Rests == "" {
				t.Errorf("not one sentence, with what it rests on and a way out: %+v", f)
			}
			if tt.kind == "source strength" && !strings.Contains(f.Rests, "a fitter said so (hearsay)") {
				t.Errorf("it rests on %q", f.Rests)
			}
			if tt.kind == "soft" != strings.Contains(f.Mend, "keep it with a written reason") {
				t.Errorf("way out %q", f.Mend)
			}
			w.passed(t, *f)
		})
	}
}

// passed passes a finding: not without a reason, and with one it stays in the
// book, also for somebody who opens it anew.
func (w told) passed(t *testing.T, f plan.Finding) {
	t.Helper()
	const why = "looked at on the bench, it runs free"
	w.refuses(t, "no reason", "heron", job.Allowed{Hold: f.Key}, "write in a sentence why")
	w.refuses(t, "hardly a reason", "heron", job.Allowed{Hold: f.Key, Why: "ok"}, "write in a sentence why")
	w.record(t, "heron", job.Allowed{Hold: f.Key, Why: why})
	again := told{shop.New(w.store, clock), w.store}
	d := again.open(t, "heron")
	if g := saying(d, f.Says); g == nil || g.Allowed != why {
		t.Errorf("opened anew: %+v", g)
	}
	if last := d.Entries[len(d.Entries)-1]; last.Kind != "allowed" || !strings.Contains(string(last.Body), why) {
		t.Errorf("the last entry is %s %s", last.Kind, last.Body)
	}
}

func saying(d *shop.Desk, says ...string) *plan.Finding {
	for i, f := range d.Findings {
		if f.Kind != plan.Hold && !slices.ContainsFunc(says, func(s string) bool { return !strings.Contains(f.Says, s) }) {
			return &d.Findings[i]
		}
	}
	return nil
}

// Two kinds of rule are of the file alone, and hold at once: which way round a
// part goes, and what comes before what. They are mended there, with a reason.
func TestFacingAndSequence(t *testing.T) {
	w := heron(t, "M2: {name: sleeve, faces: {boss: front}}")
	w.record(t, "heron", fits("M1")...)
	w.refuses(t, "wrong way round", "heron", job.Fitted{Position: "M2", Tags: []string{"H-M2"}, Faces: "boss toward rear"},
		"M2 sleeve would go on \"boss toward rear\", but the gearbox file has the boss toward front")
	w.record(t, "heron", job.Fitted{Position: "M2", Tags: []string{"H-M2"}, Faces: "boss toward front"})

	w = heron(t, "")
	w.refuses(t, "before its turn", "heron", job.Fitted{Position: "K1", Tags: []string{"H-K1"}}, "Fit K1 cover waits: M9 tab washer is not on yet")
}

// Each kind is refused in the file where it is half written, with the line.
func TestKindsHalfWritten(t *testing.T) {
	for rule, says := range map[string]string{
		"{if: {M3: wide}}":                                    "no known form",
		"{if: {M3: broad}, needs: {M4: thin}}":                "broad",
		"{if: {M3: wide}, needs: {M44: thin}}":                "M44",
		"{same: dog, of: [M1, M2]}":                           "no feature \"dog\"",
		"{pair: [M1, M7]}":                                    "the mark that must agree",
		"{range: width, of: [M3]}":                            "\"range\" and \"limit\" go together",
		"{range: width, of: [M3], limit: [1, 2]}":             "the limit has no \"from\"",
		"{if: {M3: wide}, prove: end flaot}":                  "no setting",
		"{if: {M3: wide}, needs: {M4: thin}, trust: sure}":    "trust is \"sure\"",
		"{if: {M3: wide}, never: {M4: thin}, at least: 1}":    "at least",
		"{handed: left, equal: width, of: [M5, M6]}":          "no known form",
		"{renew together: [M1]}":                              "no known form",
		"{if: {M3: wide}, needs: {M4: thin}, becaus: x}":      "becaus",
		"{if: {series: C}, needs: {M4: thin}}":                "C",
		"{equal: width, of: [M5, M6], from: nowhere 3, x: 1}": "x",
	} {
		_, err := gearbox.Read("kinds.yaml", []byte(kindsFile+"rules:\n  - "+rule+"\n"))
		var fs gearbox.Faults
		if !errors.As(err, &fs) || !strings.Contains(err.Error(), says) || !strings.Contains(err.Error(), fmt.Sprintf("kinds.yaml:%d", strings.Count(kindsFile, "\n")+2)) {
			t.Errorf("%s: %v", rule, err)
		}
	}
}
