package gearbox_test

import (
	"slices"
	"strings"
	"testing"

	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
)

const looksFile = `
endfloat: 1
gearbox: Looks
carriers:
  shaft:
    ends: [head, nut]
    order:
      S1: {name: gear 1st, kind: gear, faces: {cone: S2}}
      S2: {name: baulk ring 1st, kind: baulk ring}
      S3: {name: drive gear 3rd, kind: gear, faces: {boss: head}}
      S4: {name: front taper bearing}
      S5: {name: side gear left, kind: side gear}
      S6: {name: widget}
  case:
    kind: case
    order:
      C1: {name: main case, kind: case, variants: {aluminium: {}, magnesium: {}}}
measure:
  primary float as found: {by: dial indicator, before strip: yes}
  smell as found: {quantity: number, before strip: yes}
`

// What is looked at goes by the kind of part, or by its name where there is none;
// a gear whose sides are known to have no cone is asked of none.
func TestLooks(t *testing.T) {
	box, err := gearbox.Read("looks", []byte(looksFile))
	if err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string]string{
		"S1": "tooth flanks, dog teeth, cone, bore and faces",
		"S2": "grip, groove edges, lugs, lining",
		"S3": "tooth flanks, bore and faces",
		"S4": "races and rolling parts, colour, cage, bore and outside, roller ends",
		"S5": "tooth flanks, back and bore",
		"S6": "",
		"C1": "bosses and bores, faces, threads, dowels",
	} {
		p, _ := box.Position(id)
		var at []string
		for _, l := range p.Looks() {
			at = append(at, l.At)
			if l.Bad == "" {
				t.Errorf("%s: nothing is said to speak against the %s", id, l.At)
			}
		}
		if got := strings.Join(at, ", "); got != want {
			t.Errorf("%s: %q, wanted %q", id, got, want)
		}
	}
}

// The readings to make before are those of the file, with the usual reason, and of
// the usual ones those that it does not have; where there is no crown wheel none is
// asked of it.
func TestBefore(t *testing.T) {
	box, err := gearbox.Read("looks", []byte(looksFile))
	if err != nil {
		t.Fatal(err)
	}
	var whats []string
	for _, e := range box.Before() {
		whats = append(whats, e.What)
		if e.Why == "" {
			t.Errorf("%s: no reason", e.What)
		}
		if e.What == "primary float as found" && !strings.Contains(e.Why, "old shim") {
			t.Errorf("the float as found has the reason %q", e.Why)
		}
	}
	for _, w := range []string{"primary float as found", "drag of the whole", "smell as found"} {
		if !slices.Contains(whats, w) {
			t.Errorf("%q is missing from %v", w, whats)
		}
	}
	for _, w := range []string{"input shaft end float", "crown wheel backlash", "contact pattern, drive and coast"} {
		if slices.Contains(whats, w) {
			t.Errorf("%q is asked of a gearbox whose file has it, or has no crown wheel", w)
		}
	}
	if n := len((*gearbox.Box)(nil).Before()); n < 6 {
		t.Errorf("without a file %d readings are offered", n)
	}
	if m, ok := gearbox.Usual("Drag of the whole"); !ok || m.Kind != unit.KindTorque {
		t.Errorf("the drag of the whole is %+v, %v", m, ok)
	}
}

func TestCaseMetal(t *testing.T) {
	box, err := gearbox.Read("looks", []byte(looksFile))
	if err != nil {
		t.Fatal(err)
	}
	if m := box.CaseMetal(gearbox.Built{Variants: map[string]string{"C1": "magnesium"}}); m != "magnesium" {
		t.Errorf("the case is %q", m)
	}
	if m := (*gearbox.Box)(nil).CaseMetal(gearbox.Built{}); m != "" {
		t.Errorf("without a file the case is %q", m)
	}
	if w := gearbox.WashingOf("Strong alkaline cleaner"); w == nil || !slices.Contains(w.On, "magnesium") {
		t.Errorf("a strong cleaner is not warned of on magnesium: %+v", w)
	}
	for _, w := range gearbox.Washings() {
		for _, c := range w.Care {
			if _, ok := gearbox.Caution(c); !ok {
				t.Errorf("%s: no caution %q", w.With, c)
			}
		}
	}
}
