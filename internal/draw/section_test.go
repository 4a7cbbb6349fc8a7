package draw_test

import (
	"encoding/xml"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"regexp"
	"strings"
	"testing"

	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
)

var update = flag.Bool("update", false, "write the golden files anew")

func box(t testing.TB, file string) *gearbox.Box {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	b, err := gearbox.Read(file, text)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

const (
	bw4t  = "../demo/bw-4t.gearbox.yaml"
	three = "../demo/three-speed.gearbox.yaml"
	small = "testdata/small.gearbox.yaml"
)

// mixed gives the positions of a carrier every state in turn.
func mixed(c *gearbox.Carrier) func(string) draw.State {
	at := map[string]int{}
	for i, p := range c.Order {
		at[p.ID] = i
	}
	return func(id string) draw.State { return draw.State(at[id] * 3 % 7) }
}

// each draws every carrier of the demonstration in all the ways that pages and
// books ask for.
func each(t *testing.T, f func(t *testing.T, c *gearbox.Carrier, o draw.Options, d *draw.Drawing)) {
	for _, file := range []string{bw4t, three, small} {
		b := box(t, file)
		for _, c := range b.Carriers {
			for _, series := range []string{"A", "B"} {
				for _, width := range []float64{0, 60, 100, 180, 400} {
					for _, state := range []func(string) draw.State{nil, mixed(c)} {
						o := draw.Options{Built: b.As(series), Width: width, State: state, Link: func(id string) string { return "/p/" + id }}
						t.Run(fmt.Sprintf("%s/%s/%g/%v", c.ID, series, width, state != nil), func(t *testing.T) {
							f(t, c, o, draw.Section(c, o))
						})
					}
				}
			}
		}
	}
}

func TestGolden(t *testing.T) {
	c := box(t, small).Carriers[0]
	got := draw.Section(c, draw.Options{State: mixed(c), Link: func(id string) string { return "?part=" + id }}).SVG()
	const file = "testdata/small.svg"
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the drawing differs from %s; look at both, and if the new one is right run go test ./internal/draw -update", file)
	}
}

func TestSameBytes(t *testing.T) {
	each(t, func(t *testing.T, c *gearbox.Carrier, o draw.Options, d *draw.Drawing) {
		if d.SVG() != draw.Section(c, o).SVG() {
			t.Error("two drawings of the same carrier differ")
		}
	})
}

// Every position is drawn once, under its key, with its link and its name, and
// can be tapped; the SVG is well-formed.
func TestEveryPositionOnce(t *testing.T) {
	each(t, func(t *testing.T, c *gearbox.Carrier, o draw.Options, d *draw.Drawing) {
		svg := d.SVG()
		wellFormed(t, svg)
		seen := map[string]int{}
		for _, g := range d.Groups {
			if g.Key == "" {
				continue
			}
			seen[g.Key]++
			taps, lines, id := 0, 0, 0
			for _, it := range g.Items {
				switch {
				case it.Tap:
					taps++
				case it.Text == g.Key:
					id++
				case it.Text == "":
					lines++
				}
			}
			if taps == 0 || lines == 0 || id != 1 {
				t.Errorf("%s: %d places to tap, %d paths, its id %d times; want some, some and once", g.Key, taps, lines, id)
			}
			if g.Link != "/p/"+g.Key {
				t.Errorf("%s leads to %q", g.Key, g.Link)
			}
		}
		for _, p := range c.Order {
			if seen[p.ID] != 1 {
				t.Errorf("%s is drawn %d times", p.ID, seen[p.ID])
			}
			if n := strings.Count(svg, `data-key="`+p.ID+`"`); n != 1 {
				t.Errorf("%s stands %d times in the SVG", p.ID, n)
			}
		}
		if len(seen) != len(c.Order) {
			t.Errorf("%d keys for %d positions", len(seen), len(c.Order))
		}
	})
}

func wellFormed(t *testing.T, svg string) {
	t.Helper()
	if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
		t.Error("a coordinate is no number")
	}
	dec := xml.NewDecoder(strings.NewReader(svg))
	for {
		switch _, err := dec.Token(); err {
		case nil:
		case io.EOF:
			return
		default:
			t.Errorf("not well-formed: %v", err)
			return
		}
	}
}

// No text lies on another, under a line of another part, or off the sheet.
func TestLabelsClear(t *testing.T) {
	each(t, func(t *testing.T, c *gearbox.Carrier, o draw.Options, d *draw.Drawing) { labelsClear(t, d) })
}

func labelsClear(t *testing.T, d *draw.Drawing) {
	t.Helper()
	type text struct {
		box   draw.Box
		s     string
		group int
	}
	var texts []text
	for i, g := range d.Groups {
		for _, it := range g.Items {
			b := it.Bounds()
			if it.Text != "" {
				texts = append(texts, text{b, it.Text, i})
			}
			if b.X0 < -0.01 || b.Y0 < -0.01 || b.X1 > d.W+0.01 || b.Y1 > d.H+0.01 {
				t.Errorf("%s: item %q at %.1f is off the sheet of %.1f × %.1f", g.Key, it.Text, b, d.W, d.H)
			}
		}
	}
	for i, a := range texts {
		for _, b := range texts[i+1:] {
			if a.box.Overlaps(b.box) && a.s != "?" && b.s != "?" {
				t.Errorf("%q at %.1f lies on %q at %.1f", a.s, a.box, b.s, b.box)
			}
		}
		for j, g := range d.Groups {
			for _, it := range g.Items {
				if j != a.group && g.Key != "" && it.Text == "" && !it.Tap && crosses(it.Path, a.box) {
					t.Errorf("a line of %s crosses %q", g.Key, a.s)
				}
			}
		}
	}
}

// crosses reports whether a stroke of the path, taken straight, enters the box.
func crosses(p draw.Path, b draw.Box) bool {
	var at draw.Pt
	for _, o := range p {
		to := o.P[0]
		if o.K == 'C' {
			to = o.P[2]
		}
		if o.K == 'L' || o.K == 'C' {
			if enters(at, to, b) {
				return true
			}
		}
		if o.K != 'Z' {
			at = to
		}
	}
	return false
}

// enters clips a segment to the box, side by side.
func enters(a, b draw.Pt, box draw.Box) bool {
	lo, hi := 0.0, 1.0
	for _, s := range [][2]float64{{a.X - b.X, a.X - box.X0}, {b.X - a.X, box.X1 - a.X}, {a.Y - b.Y, a.Y - box.Y0}, {b.Y - a.Y, box.Y1 - a.Y}} {
		switch d, room := s[0], s[1]; {
		case d == 0 && room <= 0:
			return false
		case d < 0:
			lo = max(lo, room/d)
		case d > 0:
			hi = min(hi, room/d)
		}
	}
	return lo < hi-1e-9
}

// A finger finds every label: 48 px each way at the natural 96 px to the inch.
func TestFingers(t *testing.T) {
	b := box(t, bw4t)
	const px = 25.4 / 96
	for _, c := range b.Carriers {
		for _, g := range draw.Section(c, draw.Options{Built: b.As("B")}).Groups {
			wide := 0.0
			for _, it := range g.Items {
				if q := it.Bounds(); it.Tap && q.Y1-q.Y0 >= 47.99*px {
					wide = max(wide, q.X1-q.X0)
				}
			}
			if g.Key != "" && wide < 48*px {
				t.Errorf("%s: no place of 48 px to tap, the widest is %.0f px", g.Key, wide/px)
			}
		}
	}
}

// Each state can be told from every other with all colour taken away, on the
// part itself and not only on its label.
func TestStatesWithoutColour(t *testing.T) {
	c := box(t, small).Carriers[0]
	colour := regexp.MustCompile(`#[0-9a-f]{6}|\b(fill-)?(ink|accent|faint)\b`)
	seen := map[string]draw.State{}
	for st := draw.Fitted; st <= draw.Other; st++ {
		d := draw.Section(c, draw.Options{State: func(id string) draw.State {
			if id == "T5" {
				return st
			}
			return draw.Fitted
		}})
		for _, g := range d.Groups {
			if g.Key != "T5" {
				continue
			}
			d.Groups, g.Class, g.Title = []draw.Group{g}, "", ""
			got := colour.ReplaceAllString(d.SVG(), "")
			if was, ok := seen[got]; ok {
				t.Errorf("%s and %s look the same without colour", was.Word(), st.Word())
			}
			seen[got] = st
			if st == draw.Next || st == draw.Missing || st == draw.Doubt {
				if !strings.Contains(got, ">"+st.Word()+"<") {
					t.Errorf("%s carries no word", st.Word())
				}
			}
			break
		}
	}
	if len(seen) != 7 {
		t.Errorf("%d looks for 7 states", len(seen))
	}
}

// Any order of any kinds is drawn: no panic, no lost part, no label on another.
func TestAnyCarrier(t *testing.T) {
	kinds := []string{"gear", "hub", "sleeve", "baulk ring", "needle cage", "ball bearing", "taper bearing", "washer", "spacer", "seat",
		"nut", "circlip", "seal", "key", "cartridge", "strut", "spring", "worm", "plate", "shaft", "inner sleeve", "thingummy", "bolt", "cover", "roller bearing", "tab washer", "fork", "gasket", "crown wheel"}
	r := rand.New(rand.NewPCG(4, 1936))
	for n := range 150 {
		var text strings.Builder
		text.WriteString("endfloat: 1\ngearbox: Any\ncarriers:\n  any:\n    ends: [left, right]\n    order:\n")
		var last string
		size := 1 + r.IntN(45)
		for i := range size {
			id := fmt.Sprintf("X%02d", i)
			fmt.Fprintf(&text, "      %s: {name: part %d, kind: %s", id, i, kinds[r.IntN(len(kinds))])
			if last != "" && r.IntN(3) == 0 {
				fmt.Fprintf(&text, ", around: %s", last)
			}
			if r.IntN(2) == 0 {
				fmt.Fprintf(&text, ", width: %.2f", 0.3+60*r.Float64()*r.Float64())
			}
			if r.IntN(4) == 0 {
				text.WriteString(", faces: {cone: right}")
			}
			text.WriteString("}\n")
			last = id
		}
		b, err := gearbox.Read("any", []byte(text.String()))
		if err != nil {
			t.Fatal(err)
		}
		c := b.Carriers[0]
		for _, width := range []float64{0, 90} {
			d := draw.Section(c, draw.Options{Width: width, State: mixed(c)})
			wellFormed(t, d.SVG())
			keys := map[string]bool{}
			for _, g := range d.Groups {
				keys[g.Key] = true
			}
			delete(keys, "")
			if len(keys) != size {
				t.Errorf("run %d: %d of %d parts are drawn", n, len(keys), size)
			}
			labelsClear(t, d)
		}
		if t.Failed() {
			t.Fatalf("run %d at fault:\n%s", n, text.String())
		}
	}
}

func BenchmarkSection(b *testing.B) {
	bx := box(b, bw4t)
	as := bx.As("B")
	c := bx.Carriers[0]
	for b.Loop() {
		draw.Section(c, draw.Options{Built: as, State: mixed(c)})
	}
}

func BenchmarkSectionSVG(b *testing.B) {
	bx := box(b, bw4t)
	as := bx.As("B")
	c := bx.Carriers[0]
	for b.Loop() {
		_ = draw.Section(c, draw.Options{Built: as, State: mixed(c)}).SVG()
	}
}
