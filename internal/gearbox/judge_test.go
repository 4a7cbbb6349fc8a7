package gearbox_test

import (
	"strings"
	"testing"

	"endfloat/internal/gearbox"
)

const ruled = `endfloat: 1
gearbox: Sample
series: {A: {}, B: {}}
features: {dogs: [square, tapered], hand: [left, right]}
carriers:
  main:
    ends: [front, rear]
    order:
      M1: {name: gear, variants: {square: {dogs: square}, tapered: {dogs: tapered}}}
      M2: {name: sleeve, variants: {square: {dogs: square}, tapered: {dogs: tapered}}}
      M3: {name: hub, variants: {narrow: {width: 22.00}, wide: {width: 25.00}}}
      M4: {name: washer, variants: {thick: {width: 5.00}, thin: {width: 2.00}}}
      M5: {name: seal, width: 7.00, variants: {left: {hand: left}, right: {hand: right}}}
      M6: {name: ring, width: 7.00}
measure:
  play: {of: [M3]}
settings:
  end float: {chain: [+M3.width, -M4.width], limit: [1, 30], from: sheet 1}
rules:
  - `

func part(v string) gearbox.Part { return gearbox.Part{Variant: v} }

func marked(key, value string) gearbox.Part {
	return gearbox.Part{Marks: map[string]string{key: value}}
}

// Every kind of rule: what it says of parts that break it, with the positions,
// and its silence about parts that keep it or of which nothing is known.
func TestJudge(t *testing.T) {
	type parts = map[string]gearbox.Part
	for _, tt := range []struct {
		rule        string
		bad, good   parts
		says, about string
		wants       int
	}{
		{"{if: {M3: wide}, needs: {M4: thin}}", parts{"M3": part("wide"), "M4": part("thick")}, parts{"M3": part("wide"), "M4": part("thin")},
			"M3 hub (wide) needs M4 washer (thin), but M4 is thick", "M4", 1},
		{"{if: {M3: wide}, needs: {M4: thin, M1: tapered, M2: tapered}, at least: 2}", parts{"M3": part("wide"), "M4": part("thick"), "M1": part("square"), "M2": part("tapered")},
			parts{"M3": part("wide"), "M4": part("thick"), "M1": part("tapered"), "M2": part("tapered")}, "needs at least 2 of M4 washer (thin), M1 gear (tapered), M2 sleeve (tapered)", "M4", 2},
		{"{if: {series: A}, never: {M1: tapered}}", parts{"M1": part("tapered")}, parts{"M1": part("square")}, "M1 gear (tapered) does not go with series A", "M1", 0},
		{"{same: dogs, of: [M1, M2]}", parts{"M1": part("tapered"), "M2": part("square")}, parts{"M1": part("tapered"), "M2": part("tapered")},
			"dogs must be one for all of M1, M2: M1 gear is tapered, M2 sleeve is square", "M2", 0},
		{"{if: {M3: wide}, same: dogs, of: [M1, M2]}", parts{"M3": part("wide"), "M1": part("tapered"), "M2": part("square")}, parts{"M3": part("narrow"), "M1": part("tapered"), "M2": part("square")},
			"with M3 hub (wide), dogs must be one", "M2", 0},
		{"{equal: width, of: [M5, M6]}", parts{"M6": {Dims: map[string]float64{"width": 7.05e-3}}}, parts{"M6": {Dims: map[string]float64{"width": 7.0001e-3}}},
			"the width of M5 seal and M6 ring must be equal: 7.000 mm and 7.050 mm", "M6", 0},
		{"{pair: [M1, M2], by: set number}", parts{"M1": marked("set number", "417"), "M2": marked("set number", "402")}, parts{"M1": marked("set number", "417"), "M2": marked("set number", "417")},
			"set number must be one for all of M1, M2: M1 gear is 417, M2 sleeve is 402", "M2", 0},
		{"{renew together: [M1, M2]}", parts{"M1": {Renewed: true}, "M2": {Kept: true}}, parts{"M1": {Renewed: true}, "M2": {Renewed: true}},
			"M1 gear is renewed but M2 sleeve is kept: they are renewed together", "M2", 0},
		{"{renew together: [M1, M2]}", parts{"M1": {Kept: true}, "M2": {Renewed: true}}, parts{"M1": {Kept: true}, "M2": {Kept: true}},
			"M2 sleeve is renewed but M1 gear is kept: they are renewed together", "M1", 0},
		{"{handed: left, of: [M5]}", parts{"M5": part("right")}, parts{"M5": part("left")}, "M5 seal takes a part of hand left, this one is right", "M5", 0},
		{"{handed: left, of: [M5, M6]}", parts{"M6": marked("hand", "right")}, parts{"M6": marked("hand", "left")}, "M6 ring takes a part of hand left", "M6", 0},
		{"{range: width, of: [M3], limit: {A: [21.9, 22.1], B: [24, 26]}, from: sheet 2}", parts{"M3": part("wide")}, parts{"M3": part("narrow")},
			"the width of M3 hub must lie from 21.900 to 22.100 mm and is 25.000", "M3", 0},
	} {
		b := read(t, ruled+tt.rule+"\n")
		r := b.Rules[0]
		got, broken := b.Judge(r, gearbox.Parts{Series: "A", At: tt.bad})
		if !broken || !strings.Contains(got.Says, tt.says) || got.About != tt.about || len(got.Wants) != tt.wants {
			t.Errorf("%s: %v %+v, want %q about %s with %d ways out", tt.rule, broken, got, tt.says, tt.about, tt.wants)
		}
		for what, good := range map[string]parts{"kept": tt.good, "nothing known": {}} {
			if got, broken := b.Judge(r, gearbox.Parts{Series: "A", At: good}); broken {
				t.Errorf("%s, %s: %s", tt.rule, what, got.Says)
			}
		}
		if text := b.SayRule(r); text == "" || strings.Contains(text, "%!") {
			t.Errorf("%s reads %q", tt.rule, text)
		}
	}
	b := read(t, ruled+"{if: {M3: wide}, prove: end float, trust: hearsay}\n")
	if text := b.SayRule(b.Rules[0]); !strings.Contains(text, "end float must be proven afresh (hearsay)") {
		t.Errorf("%q", text)
	}
}
