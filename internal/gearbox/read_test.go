package gearbox_test

import (
	"strings"
	"testing"

	"endfloat/internal/gearbox"
)

const grown = `endfloat: 1
gearbox: Sample
series:
  A: {years: 1936 to 1949}
  B: {years: 1950 to 1958}
features:
  dogs: [symmetric, back-tapered]
carriers:
  pinion:
    ends: [head, nut]
    order:
      P06: {name: needle cage 1st, kind: needle cage, around: P07}
      P07: {name: inner sleeve 1st, kind: sleeve, width: 34.20, faces: {chamfer: head}}
      P08:
        name: gear 1st
        around: P06
        width: 33.98
        variants:
          early: {dogs: symmetric, series: A}
          late: {dogs: back-tapered, series: B}
        check:
          radial play: {limit: [0.02, 0.08], from: booklet 14}
      P18: {name: washer, variants: {thick: {width: 5.00}, thin: {width: 2.00}}}
      P36: {name: depth shims, kind: seat, stock: depth shim, pieces: 4}
      P39: {name: nut, torque: {A: 150 N·m, B: 210 N·m}, lock: {A: tab washer, B: stake}, once: true}
measure:
  gauge gap: {of: P07, repeats: 3}
settings:
  gear 1 float: {chain: [+P07.width, -P08.width], limit: [0.15, 0.35], from: booklet 14}
  depth: {chain: [+gauge gap], raised by: P36, wanted: 64.00, within: 0.03, from: booklet 24}
rules:
  - {if: {P08: late}, needs: {P18: thin}}
`

func read(t *testing.T, text string) *gearbox.Box {
	t.Helper()
	b, err := gearbox.Read("sample.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestReadGrown(t *testing.T) {
	b := read(t, grown)
	p, _ := b.Position("P39")
	if nm, ok := p.Torque.SI(gearbox.Built{Series: "B"}); !ok || nm != 210 {
		t.Errorf("torque in series B = %v %v, want 210", nm, ok)
	}
	as := b.As("B")
	if g, _ := b.Position("P08"); g.Feature("dogs", as) != "back-tapered" {
		t.Errorf("dogs of series B = %q", g.Feature("dogs", as))
	}
	s, _ := b.Setting("depth")
	if !s.Trial() || len(s.Seats()) != 1 {
		t.Errorf("depth: Trial %v, seats %v; want true and P36", s.Trial(), s.Seats())
	}
}

// The sleeve goes on before the cage around it, whatever the order they are listed in.
func TestOrderFollowsAround(t *testing.T) {
	b := read(t, grown)
	var got []string
	for _, p := range b.Order() {
		got = append(got, p.ID)
	}
	if want := "P07 P06 P08 P18 P36 P39"; strings.Join(got, " ") != want {
		t.Errorf("order of assembly %v, want %s", got, want)
	}
	var over []string
	for _, p := range b.Over("P18") {
		over = append(over, p.ID)
	}
	if want := "P39 P36"; strings.Join(over, " ") != want {
		t.Errorf("to reach P18 come off %v, want %s", over, want)
	}
}

// Each fault stands at its line and names the mend.
func TestFaults(t *testing.T) {
	for _, tt := range []struct{ name, old, new, line, says string }{
		{"variant misspelt", "needs: {P18: thin}", "needs: {P18: thn}", ":32:", `did you mean "thin"?`},
		{"unknown key", "kind: sleeve", "knd: sleeve", ":13:", `did you mean "kind"?`},
		{"18 metres", "width: 34.20", "width: 34.20 m", ":13:", "longer than any gearbox"},
		{"wrong quantity", "width: 33.98", "width: 33.98 kg", ":17:", "length"},
		{"position twice", "P18: {name: washer", "P08: {name: washer", ":23:", "already defined"},
		{"no provenance", ", from: booklet 14}\nmeasure", "}\nmeasure", "", ""},
		{"upside down", "[0.15, 0.35]", "[0.35, 0.15]", ":29:", "above the upper bound"},
		{"anchor", "about", "about", "", ""},
		{"merge", "gearbox: Sample", "gearbox: &x Sample", ":2:", "anchors"},
		{"newer format", "endfloat: 1", "endfloat: 9", ":1:", "A newer program may read it"},
		{"no sign", "+P07.width", "P07.width", ":29:", "has no sign"},
		{"ring", "P18: {name: washer,", "P18: {name: washer, after: P39,", "", "wait for each other"},
		{"no such position", "raised by: P36", "raised by: P37", ":30:", "is no position"},
	} {
		if tt.says == "" {
			continue
		}
		_, err := gearbox.Read("sample.yaml", []byte(strings.Replace(grown, tt.old, tt.new, 1)))
		if err == nil {
			t.Errorf("%s: no fault", tt.name)
		} else if !strings.Contains(err.Error(), tt.says) || !strings.Contains(err.Error(), tt.line) {
			t.Errorf("%s: got\n%v\nwant line %q and %q", tt.name, err, tt.line, tt.says)
		}
	}
}

// Whatever is thrown at it, Read returns a box or faults, and a box reads again.
func FuzzRead(f *testing.F) {
	f.Add(grown)
	f.Add("endfloat: 1\ngearbox: x\ncarriers: {a: {order: {b: c}}}")
	f.Add("- 1")
	f.Fuzz(func(t *testing.T, text string) {
		b, err := gearbox.Read("f", []byte(text))
		if (b == nil) == (err == nil) {
			t.Fatalf("box %v, error %v", b, err)
		}
		if b != nil && len(b.Order()) != len(b.All()) {
			t.Fatalf("order has %d of %d positions", len(b.Order()), len(b.All()))
		}
	})
}
