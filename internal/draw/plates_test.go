package draw_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
	"endfloat/internal/strength"
)

const boxTwo = "../demo/box-two.gearbox.yaml"

// Widths at which plates are asked for, mm: the screen of a phone, the natural
// size for a laptop, and the type area of an upright A4.
var sizes = map[string]float64{"phone": 96, "laptop": 0, "print": 180}

type plate struct {
	name string
	draw func(width float64) *draw.Drawing
}

// plates are all drawings of both gearboxes of the demonstration.
func plates(t testing.TB) []plate {
	t.Helper()
	var out []plate
	for _, f := range []struct{ file, series string }{{bw4t, "B"}, {boxTwo, "short"}} {
		b := box(t, f.file)
		as := b.As(f.series)
		name := strings.ToLower(b.Name)
		add := func(what string, do func(o draw.Options) *draw.Drawing) {
			out = append(out, plate{name + "-" + what, func(w float64) *draw.Drawing { return do(draw.Options{Built: as, Width: w}) }})
		}
		add("arrangement", func(o draw.Options) *draw.Drawing { return draw.Arrangement(b, o) })
		for _, c := range b.Carriers {
			add("section-"+c.ID, func(o draw.Options) *draw.Drawing { return draw.Section(c, o) })
			if len(c.Ends) == 2 {
				add("order-"+c.ID, func(o draw.Options) *draw.Drawing { return draw.Exploded(c, o) })
				add("states-"+c.ID, func(o draw.Options) *draw.Drawing { o.State = mixed(c); return draw.Exploded(c, o) })
			}
			for i := range b.Settings {
				s := b.Settings[i]
				if links, result, ok := linksOf(b, s, as); ok && draw.ChainOn(c, draw.Options{Built: as}, s.Name, links, result) != nil {
					add("chain-"+strings.NewReplacer(" ", "-", "/", "-").Replace(s.Name), func(o draw.Options) *draw.Drawing { return draw.ChainOn(c, o, s.Name, links, result) })
				}
			}
		}
		for _, s := range b.Settings {
			if links, result, ok := linksOf(b, s, as); ok && draw.ChainOnWheel(b, draw.Options{Built: as}, s.Name, links, result) != nil {
				add("chain-"+strings.ReplaceAll(s.Name, " ", "-"), func(o draw.Options) *draw.Drawing { return draw.ChainOnWheel(b, o, s.Name, links, result) })
			}
		}
		out = append(out, charts(t, name, b)...)
	}
	return out
}

// linksOf are the links of a chain with the figures of the file, and a made-up
// reading where it has none.
func linksOf(b *gearbox.Box, s *gearbox.Setting, as gearbox.Built) (links []draw.Link, result draw.Link, ok bool) {
	sum := 0.0
	for i, m := range s.Chain {
		v := 0.002 + 0.0003*float64(i)
		name := m.Measure
		if p, known := b.Position(m.Position); known {
			if w, has := p.Dimension(m.Dim, as); has {
				v = w
			}
			name = strings.TrimSpace(p.Label() + " " + m.Dim)
		}
		sum += m.Sign * v
		links = append(links, draw.Link{Name: name, Value: m.Sign * v, Text: millimetres(v), At: m.Position,
			Along: m.Dim == "" || m.Dim == "width", Seat: m.Position != "" && m.Dim == ""})
	}
	return links, draw.Link{Name: s.Name, Value: sum, Text: millimetres(sum) + " ± 0.02 mm"}, len(links) > 0
}

func millimetres(v float64) string { return fmt.Sprintf("%.3f mm", v*1000) }

// charts are the diagrams that are drawn of a job of the gearbox.
func charts(t testing.TB, name string, b *gearbox.Box) []plate {
	t.Helper()
	var out []plate
	add := func(what string, d *draw.Drawing) {
		out = append(out, plate{name + "-" + what, func(float64) *draw.Drawing { return d }})
	}
	for i := range b.Settings {
		if links, result, ok := linksOf(b, b.Settings[i], b.As("B")); ok && len(links) <= 8 && b.Settings[i].Name == "side preload" {
			add("links-side-preload", draw.Chain("side preload", links, result))
		}
	}
	add("pack", draw.ShimStack([]draw.Piece{{ID: "S1007", Thickness: 0.0005, Text: "0.500 mm"}, {ID: "S1021", Thickness: 0.0003, Text: "0.301 mm"}, {ID: "S1034", Thickness: 0.0001, Text: "0.099 mm"}}, "0.900 mm"))
	add("doubt", draw.Budget([]draw.Share{{Name: "case width X", U: 6e-6, Text: "± 0.012 mm"}, {Name: "differential length Y", U: 4e-6, Text: "± 0.008 mm"}, {Name: "D20 side shims left", U: 1e-6, Text: "± 0.002 mm"}}, "± 0.015 mm"))
	add("round", draw.RunOut(draw.Round{Name: "backlash", Text: millimetres, Values: []float64{140e-6, 151e-6, 166e-6, 181e-6, 172e-6, 158e-6, 141e-6, 133e-6}}))
	add("bar", draw.Bar(0.0001, 0.0002, 0.00016, 0.00002, draw.Marks{Lo: "0.10", Hi: "0.20", Value: "0.16 ± 0.02 mm", Words: "in", Verdict: draw.In}))
	add("contact", draw.Contact("drive", "mid", "toe"))
	if b.Strength == nil {
		return out
	}
	c, err := strength.Compare(b, strength.Design{Name: "as made", Built: b.As("A"), Engine: "A"}, strength.Design{Name: "as built", Built: b.As("B"), Engine: "B"}, strength.Options{})
	if err != nil {
		t.Fatal(err)
	}
	add("weakest", draw.WeakestChart(c))
	if r := c.After.Road; r != nil {
		add("effort", draw.RoadDiagram(r))
		add("engine-speed", draw.RoadSawtooth(r))
	}
	for _, s := range c.After.Shafts {
		add("loads-"+s.Carrier, draw.ShaftLoads(s))
	}
	return out
}

// Every drawing of both gearboxes is that of its golden file, byte for byte.
func TestGoldenPlates(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range plates(t) {
		if strings.Contains(p.name, "-states-") {
			continue
		}
		file := filepath.Join("testdata", p.name+".svg")
		if seen[file] {
			t.Fatalf("two plates are called %s", p.name)
		}
		seen[file] = true
		got := p.draw(0).SVG()
		wellFormed(t, got)
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
			t.Errorf("%s differs from %s; look at both, and if the new one is right run go test ./internal/draw -update", p.name, file)
		}
	}
	for _, want := range []string{"bw-4t-arrangement", "qh-4-arrangement", "bw-4t-section-pinion", "qh-4-section-lower", "bw-4t-order-pinion", "bw-4t-chain-nut-stack-proud", "bw-4t-weakest"} {
		if !seen[filepath.Join("testdata", want+".svg")] {
			t.Errorf("there is no plate %s", want)
		}
	}
}

// No two words of a drawing overlap, and none leaves the sheet: by the widths of
// the drawing's own face, at the sizes of a phone, a laptop and print.
func TestWordsApart(t *testing.T) {
	for _, p := range plates(t) {
		for size, width := range sizes {
			t.Run(p.name+"/"+size, func(t *testing.T) {
				wordsApart(t, p.draw(width))
			})
		}
	}
}

func wordsApart(t *testing.T, d *draw.Drawing) {
	t.Helper()
	type word struct {
		text string
		box  draw.Box
	}
	var all []word
	sheet := draw.Box{X0: -0.01, Y0: -0.01, X1: d.W + 0.01, Y1: d.H + 0.01}
	for _, g := range d.Groups {
		for i := range g.Items {
			it := &g.Items[i]
			if it.Text == "" {
				continue
			}
			b := it.Bounds()
			if b.X0 < sheet.X0 || b.Y0 < sheet.Y0 || b.X1 > sheet.X1 || b.Y1 > sheet.Y1 {
				t.Errorf("%q leaves the sheet of %.0f × %.0f: %.1f", it.Text, d.W, d.H, b)
			}
			for _, w := range all {
				if b.Overlaps(w.box) {
					t.Errorf("%q and %q overlap at %.1f and %.1f", w.text, it.Text, w.box, b)
				}
			}
			all = append(all, word{it.Text, b})
		}
	}
}

// The smallest note of a drawing shown at its natural size has capitals of
// 2.4 mm, which a person reads at arm's length: 20 minutes of arc at 0.41 m,
// the middle of the heights that ISO 9241-303 advises (from memory).
func TestNotesCanBeRead(t *testing.T) {
	const capital = 0.73 // of the lettering's size
	for _, p := range plates(t) {
		least := math.Inf(1)
		for _, g := range p.draw(sizes["phone"]).Groups {
			for _, it := range g.Items {
				if it.Text != "" {
					least = min(least, it.Size)
				}
			}
		}
		if least*capital < 2.4 {
			t.Errorf("%s: the smallest words are %.1f mm", p.name, least)
		}
	}
}

// Every part of a shaft is on the arrangement or lies beside its axis, and can
// be tapped there.
func TestArrangementHasTheParts(t *testing.T) {
	for _, file := range []string{bw4t, boxTwo} {
		b := box(t, file)
		d := draw.Arrangement(b, draw.Options{Built: b.As(b.Series[0].Name), Link: func(id string) string { return "/p/" + id }})
		seen := map[string]int{}
		for _, g := range d.Groups {
			if g.Key == "" {
				continue
			}
			for _, it := range g.Items {
				if it.Tap {
					seen[g.Key]++
				}
			}
		}
		for _, m := range b.Meshes {
			for _, id := range []string{m.Driver, m.Driven, m.Idler} {
				if id != "" && seen[id] == 0 {
					t.Errorf("%s: %s of speed %s cannot be tapped", b.Name, id, m.Speed)
				}
			}
		}
		for _, p := range b.All() {
			if p.Seat != nil && len(p.Carrier.Ends) == 2 && seen[p.ID] == 0 {
				t.Errorf("%s: the shims %s are not on the arrangement", b.Name, p.ID)
			}
		}
		if !slices.ContainsFunc(d.Groups, func(g draw.Group) bool { return g.Key == b.Final.Crown }) {
			t.Errorf("%s: no crown wheel", b.Name)
		}
	}
}

// A file with nothing but positions in order is still arranged, and says that
// it is not to scale.
func TestArrangementOfLittle(t *testing.T) {
	b := box(t, three)
	d := draw.Arrangement(b, draw.Options{})
	if d == nil || !strings.Contains(d.SVG(), "Not to scale") {
		t.Fatal("the small file is not arranged, or does not say how true it is")
	}
	wordsApart(t, d)
}

func BenchmarkSectionArrangement(b *testing.B) {
	bx := box(b, bw4t)
	for b.Loop() {
		draw.Arrangement(bx, draw.Options{Built: bx.As("B")}).SVG()
	}
}

func BenchmarkExploded(b *testing.B) {
	bx := box(b, bw4t)
	for b.Loop() {
		draw.Exploded(bx.Carriers[0], draw.Options{Built: bx.As("B"), Width: 330})
	}
}
