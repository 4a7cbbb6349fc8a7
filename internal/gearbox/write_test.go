package gearbox_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/gearbox"
)

// apart is a gearbox taken to pieces as its geometry allows: what comes off of it,
// in that order, as somebody would tell it who has no file.
func apart(box *gearbox.Box) []gearbox.Found {
	var out []gearbox.Found
	for _, p := range slices.Backward(box.Order()) {
		f := gearbox.Found{ID: p.ID, Name: p.Name, Kind: p.Kind, Carrier: p.Carrier.Name, Ends: p.Carrier.Ends, From: p.OffEnd(), Count: p.Count, Mark: p.Mark}
		switch {
		case p.Either:
			f.Faced = "either way"
		case len(p.Faces) > 0:
			f.Faced = p.Faces[0].Face + " toward " + p.Faces[0].Toward
		}
		out = append(out, f)
	}
	return out
}

// tells is what a file says of a position that a strip-down can find out.
func tells(p *gearbox.Position) string {
	faces := ""
	if len(p.Faces) > 0 {
		if f := p.Faces[0]; slices.Contains(append([]string{"up", "down", "in", "out"}, p.Carrier.Ends...), f.Toward) {
			faces = f.Face + " toward " + f.Toward
		}
	}
	return fmt.Sprintf("%s, %q of kind %q, %d of them, on %q, off at %q, %s either %v, marked %q", p.ID, p.Name, p.Kind, p.Count, p.Carrier.Name, p.OffEnd(), faces, p.Either, strings.Join(strings.Fields(p.Mark), " "))
}

// sameAgain fails where what was written from a stripped gearbox does not read
// back as that gearbox: its positions, what is known of each, and on each carrier
// the order in which those that come off at one end go on. What surrounds what is
// not told by a strip-down: that a part was off before another is all it knows.
func sameAgain(t *testing.T, box *gearbox.Box) *gearbox.Box {
	t.Helper()
	text := gearbox.Write(box.Name, apart(box))
	again, err := gearbox.Read("written", text)
	if err != nil {
		t.Fatalf("%s: what was written is at fault: %v\n%s", box.Name, err, text)
	}
	if again.Name != box.Name || len(again.All()) != len(box.All()) {
		t.Fatalf("%s with %d positions became %s with %d", box.Name, len(box.All()), again.Name, len(again.All()))
	}
	line := func(b *gearbox.Box, carrier, end string) []string {
		var ids []string
		for _, p := range b.Order() {
			if strings.EqualFold(p.Carrier.Name, carrier) && p.OffEnd() == end {
				ids = append(ids, p.ID)
			}
		}
		return ids
	}
	for _, p := range box.All() {
		q, ok := again.Position(p.ID)
		if !ok {
			t.Fatalf("%s: %s was lost", box.Name, p.ID)
		}
		if tells(p) != tells(q) {
			t.Errorf("%s\n became %s", tells(p), tells(q))
		}
		if len(p.Carrier.Ends) == 2 {
			if a, b := line(box, p.Carrier.Name, p.OffEnd()), line(again, p.Carrier.Name, p.OffEnd()); !slices.Equal(a, b) {
				t.Fatalf("%s, off at %s: %v became %v", p.Carrier.Name, p.OffEnd(), a, b)
			}
		}
	}
	return again
}

// A file written from a gearbox that was taken apart says what the file of that
// gearbox says, and so does one written from that.
func TestWriteReadsBack(t *testing.T) {
	for _, name := range []string{"bw-4t", "three-speed", "box-two"} {
		text, err := os.ReadFile("../demo/" + name + ".gearbox.yaml")
		if err != nil {
			t.Fatal(err)
		}
		box, err := gearbox.Read(name, text)
		if err != nil {
			t.Fatal(err)
		}
		sameAgain(t, sameAgain(t, box))
	}
}

var (
	wordsOf = []string{"gear 1st", "no", "null", "~", "0x1F", "1.50", "- dash", "a: b", "#rem", "\"quoted\"", "back\\slash", "tab\there", "Zahnrad Ø 40", "шестерня", "歯車", "{brace}", "[list]", "*star", "&and",
		"!bang", "|", "> fold", "%", "@at", "`tick`", "true", "Ring, 2nd", "it's", "?", "yes", "12:30", "2026-01-01", "<<", "=", "e\u0301", "a  b", "😀 seal", "\u00a0hard", "end ", " start", "off", "+6"}
	facesOf = []string{"either way", "not seen", "", "cone toward %s", "boss away from %s", "lettering toward %s", "lip toward up", "chamfer toward out", "side: odd toward %s"}
)

// randomFound is a strip-down of parts with the names that people type.
func randomFound(r *rand.Rand) []gearbox.Found {
	pick := func(s []string) string { return s[r.IntN(len(s))] }
	type on struct {
		name string
		ends []string
	}
	var ons []on
	for i := range 1 + r.IntN(4) {
		o := on{name: fmt.Sprintf("%s %d", pick(wordsOf), i)}
		if r.IntN(3) > 0 {
			o.ends = []string{fmt.Sprintf("%s %d", pick(wordsOf), 1), pick([]string{"nut", "rear", "off", "+"})}
		}
		ons = append(ons, o)
	}
	var out []gearbox.Found
	for i := range 1 + r.IntN(30) {
		o := ons[r.IntN(len(ons))]
		f := gearbox.Found{ID: fmt.Sprintf("%c%02d", 'A'+rune(r.IntN(26)), i), Name: pick(wordsOf), Carrier: o.name, Ends: o.ends, Count: r.IntN(4), Mark: pick(append(wordsOf, "", "", ""))}
		f.Kind = gearbox.KindOf(f.Name)
		if len(o.ends) == 2 {
			f.From = o.ends[r.IntN(2)]
			f.Faced = strings.ReplaceAll(pick(facesOf), "%s", o.ends[r.IntN(2)])
		} else {
			f.Faced = strings.ReplaceAll(pick(facesOf), "%s", "up")
		}
		out = append(out, f)
	}
	return out
}

// Whatever people type, what is written can be read, holds every part, and reads
// back as itself.
func TestWriteAnything(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 2026))
	n := 3000
	if testing.Short() {
		n = 200
	}
	for range n {
		found := randomFound(r)
		text := gearbox.Write(wordsOf[r.IntN(len(wordsOf))], found)
		box, err := gearbox.Read("written", text)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		for _, f := range found {
			p, ok := box.Position(f.ID)
			if !ok {
				t.Fatalf("%s was lost:\n%s", f.ID, text)
			}
			if want := strings.Join(strings.Fields(f.Name), " "); p.Name != want {
				t.Fatalf("%s is called %q, wanted %q:\n%s", f.ID, p.Name, want, text)
			}
			if p.Count != max(1, f.Count) || p.Either != (f.Faced == "either way") {
				t.Fatalf("%s: %d pieces, either way %v, from %+v", f.ID, p.Count, p.Either, f)
			}
		}
		sameAgain(t, box)
	}
}

// A part that no file knows joins the order of what it sat on: just deeper than
// what came off before it, or against what it lay against.
func TestReadWith(t *testing.T) {
	text := []byte(`
endfloat: 1
gearbox: Spliced
carriers:
  shaft:
    name: pinion shaft
    ends: [head, nut]
    order: {S1: gear, S2: ring, S3: hub, S4: washer, S5: nut, H1: {name: cap, from: head}, H0: {name: plug, from: head}}
  case:
    order: {C1: case}
`)
	for what, tc := range map[string]struct {
		f    gearbox.Found
		want string
	}{
		"after the washer":     {gearbox.Found{Carrier: "Pinion Shaft", From: "nut", After: []string{"S5", "S4", "C1"}}, "S1 S2 S3 X1 S4 S5 H1 H0"},
		"first of all":         {gearbox.Found{Carrier: "pinion shaft"}, "S1 S2 S3 S4 S5 H1 H0 X1"},
		"against the gear":     {gearbox.Found{Carrier: "shaft", Against: "S1", After: []string{"S5"}}, "S1 X1 S2 S3 S4 S5 H1 H0"},
		"at the other end":     {gearbox.Found{Carrier: "shaft", From: "head", After: []string{"H1"}}, "S1 S2 S3 S4 S5 H1 X1 H0"},
		"against, other end":   {gearbox.Found{Carrier: "shaft", From: "head", Against: "H0"}, "S1 S2 S3 S4 S5 H1 X1 H0"},
		"the file has it":      {gearbox.Found{ID: "S3", Carrier: "shaft"}, "S1 S2 S3 S4 S5 H1 H0"},
		"in the case":          {gearbox.Found{Carrier: "case"}, "S1 S2 S3 S4 S5 H1 H0"},
		"on what no file knew": {gearbox.Found{Carrier: "oil pump", Ends: []string{"cover", "drive"}}, "S1 S2 S3 S4 S5 H1 H0"},
	} {
		if tc.f.ID == "" {
			tc.f.ID = "X1"
		}
		tc.f.Name, tc.f.Faced = "shim nobody drew", "chamfer away from head"
		box, err := gearbox.ReadWith("spliced", text, []gearbox.Found{tc.f})
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		c, _ := box.Carrier("shaft")
		var ids []string
		for i, p := range c.Order {
			ids = append(ids, p.ID)
			if p.Index != i {
				t.Errorf("%s: %s has the index %d at place %d", what, p.ID, p.Index, i)
			}
		}
		if got := strings.Join(ids, " "); got != tc.want {
			t.Errorf("%s: %s, wanted %s", what, got, tc.want)
		}
		p, ok := box.Position(tc.f.ID)
		if !ok || p.Found != (tc.f.ID == "X1") || len(box.Order()) != len(box.All()) {
			t.Errorf("%s: %v, %+v; %d in order of %d", what, ok, p, len(box.Order()), len(box.All()))
		}
		plain, err := gearbox.Read("spliced", text)
		if err != nil || plain.Hash != box.Hash {
			t.Errorf("%s: the hash is of the file alone: %v", what, err)
		}
	}
	box, _ := gearbox.ReadWith("spliced", text, []gearbox.Found{{ID: "X1", Carrier: "shaft", Against: "S2", Faced: "chamfer away from head"}})
	if p, _ := box.Position("X1"); len(p.Faces) != 1 || p.Faces[0] != (gearbox.Facing{Face: "chamfer", Toward: "nut"}) {
		t.Errorf("it faces %+v", p.Faces)
	}
	under := box.Under("S3")
	if !slices.ContainsFunc(under, func(p *gearbox.Position) bool { return p.ID == "X1" }) {
		t.Error("what lies deeper is not on before S3")
	}
}
