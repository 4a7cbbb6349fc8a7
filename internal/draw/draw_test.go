package draw

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"endfloat/internal/gearbox"

	"codeberg.org/go-pdf/fpdf"
	"github.com/go-fonts/dejavu/dejavusans"
)

func demo(t *testing.T) *gearbox.Box {
	t.Helper()
	text, err := os.ReadFile("../demo/bw-4t.gearbox.yaml")
	if err != nil {
		t.Fatal(err)
	}
	b, err := gearbox.Read("demo", text)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func carrier(t *testing.T, text string) *gearbox.Carrier {
	t.Helper()
	b, err := gearbox.Read("test", []byte("endfloat: 1\ngearbox: T\ncarriers:\n  s:\n    ends: [left, right]\n    order:\n"+text))
	if err != nil {
		t.Fatal(err)
	}
	return b.Carriers[0]
}

// Hatch lines a gap apart cover the area: their length times the gap tends to
// it, whatever the angle and the outline.
func TestHatchCovers(t *testing.T) {
	for _, tt := range []struct {
		name string
		p    Path
		area float64
	}{
		{"rectangle", Rect(3, -4, 40, 26), 37 * 30},
		{"circle", Circle(5, 5, 20), math.Pi * 400},
		{"ring", append(Circle(0, 0, 20), Circle(0, 0, 12)...), math.Pi * (400 - 144)},
		{"triangle", Poly(0, 0, 50, 0, 0, 30), 750},
	} {
		for _, angle := range []float64{0, 30, 45, 90, 135} {
			var long float64
			var at Pt
			for _, o := range hatch(tt.p, hatching{angle, 0.1}) {
				if o.K == 'L' {
					long += math.Hypot(o.P[0].X-at.X, o.P[0].Y-at.Y)
				}
				at = o.P[0]
			}
			if got := long * 0.1; math.Abs(got/tt.area-1) > 0.01 {
				t.Errorf("%s at %g°: hatched area %.1f, want %.1f", tt.name, angle, got, tt.area)
			}
		}
	}
}

// Neighbours along the axis are hatched in opposite directions, and whatever
// touches differs at least in spacing, on every shaft of the demonstration.
func TestNeighboursHatchedApart(t *testing.T) {
	b := demo(t)
	for _, c := range b.Carriers {
		if len(c.Ends) != 2 {
			continue
		}
		for _, series := range []string{"A", "B"} {
			pl := newPlan(c, b.As(series))
			pl.lengths(1)
			pl.put(0)
			pl.setHatches()
			for i, l := range pl.slots {
				if h := l.root().hatch; h.angle != 45 && h.angle != 135 || h.gap <= 0 {
					t.Errorf("%s: hatched %v", l.root().pos.ID, h)
				}
				if i > 0 && l.root().hatch.angle == pl.slots[i-1].root().hatch.angle {
					t.Errorf("%s and its neighbour %s are hatched in one direction", l.root().pos.ID, pl.slots[i-1].root().pos.ID)
				}
			}
			for i, s := range pl.spots {
				for _, q := range pl.spots[i+1:] {
					if touching(s, q) && s.hatch == q.hatch && s.role != within {
						t.Errorf("%s and %s touch and are hatched alike", s.pos.ID, q.pos.ID)
					}
				}
			}
		}
	}
}

// Both halves of a part are hatched in one direction: it is one piece of metal.
func TestHalvesHatchedAlike(t *testing.T) {
	var g Group
	ink(&g, shape{cut: []Path{Rect(0, 5, 20, 15)}}, Fitted, hatching{45, 2})
	above, below := 0, 0
	for _, it := range g.Items {
		if it.Pen.W != Fine {
			continue
		}
		for i := 1; i < len(it.Path); i += 2 {
			a, b := it.Path[i-1].P[0], it.Path[i].P[0]
			if (b.Y-a.Y)*(b.X-a.X) <= 0 {
				t.Fatalf("a line from %v to %v falls", a, b)
			}
			if a.Y > 0 {
				above++
			} else {
				below++
			}
		}
	}
	if above == 0 || below == 0 {
		t.Errorf("%d lines above the axis, %d below", above, below)
	}
}

// Lengths are to scale where the file gives them, for the variant that is built.
func TestToScale(t *testing.T) {
	b := demo(t)
	c, _ := b.Carrier("pinion")
	long := func(series, id string) (float64, scaleOf) {
		pl := newPlan(c, b.As(series))
		_, sc := pl.lengths(1)
		pl.put(0)
		for _, s := range pl.spots {
			if s.pos.ID == id {
				return s.long(), sc
			}
		}
		t.Fatalf("no %s", id)
		return 0, sc
	}
	sleeve, sc := long("B", "P07")
	hub, _ := long("B", "P10")
	if got, want := hub/sleeve, 25.0/34.20; math.Abs(got-want) > 1e-9 {
		t.Errorf("wide hub to sleeve %.4f, want %.4f", got, want)
	}
	sleeveA, _ := long("A", "P07")
	hubA, _ := long("A", "P10")
	if got, want := hubA/sleeveA, 22.0/34.20; math.Abs(got-want) > 1e-9 {
		t.Errorf("narrow hub to sleeve %.4f, want %.4f", got, want)
	}
	if cage, _ := long("B", "P06"); math.Abs(cage/sleeve-30.0/34.20) > 1e-9 {
		t.Errorf("cage to sleeve %.4f", cage/sleeve)
	}
	if !strings.HasPrefix(sc.String(), "Not to scale:") {
		t.Errorf("some widths are missing, but the drawing says %q", sc)
	}
	c = carrier(t, "      A: {kind: gear, width: 30}\n      B: {kind: spacer, width: 12}\n")
	pl := newPlan(c, gearbox.Built{})
	if _, sc := pl.lengths(1); sc.String() != "Lengths to scale. Diameters are not." {
		t.Errorf("all widths are given, but the drawing says %q", sc)
	}
}

// Parts lie one around the other in the order that the file states, none
// through another, and at the same place along the axis.
func TestAroundIsOutside(t *testing.T) {
	b := demo(t)
	c, _ := b.Carrier("pinion")
	pl := newPlan(c, b.As("A"))
	pl.lengths(1)
	pl.put(0)
	at := map[string]*spot{}
	for _, s := range pl.spots {
		at[s.pos.ID] = s
	}
	for _, tt := range [][2]string{{"P07", "P06"}, {"P06", "P08"}, {"P10", "P11"}, {"P17", "P16"}, {"P16", "P15"}, {"P02", "P03"}, {"P32", "P35"}} {
		in, out := at[tt[0]], at[tt[1]]
		if out.r0 < in.r1-1e-9 {
			t.Errorf("%s from radius %.1f lies in %s to %.1f", tt[1], out.r0, tt[0], in.r1)
		}
		if m := (in.x0 + in.x1) / 2; m < out.x0 || m > out.x1 {
			t.Errorf("%s at %.1f is not over %s", tt[1], m, tt[0])
		}
	}
	if g, ring := at["P08"], at["P09"]; g.side != 1 || ring.x0 < g.at(0.5) || ring.x1 > g.x1+0.2 {
		t.Errorf("ring 1st from %.1f to %.1f is not on the cone of its gear, %.1f to %.1f", ring.x0, ring.x1, g.x0, g.x1)
	}
	if g, ring := at["P15"], at["P14"]; g.side != -1 || ring.x1 > g.at(0.5) {
		t.Errorf("ring 2nd to %.1f is not on the cone of its gear, side %d", ring.x1, g.side)
	}
	if at["P32"].side != -1 || at["P34"].side != 1 {
		t.Errorf("big ends toward %d and %d, want head and nut", at["P32"].side, at["P34"].side)
	}
	if p := at["P35"]; p.x0 > at["P32"].x0+0.1 || p.x1 < at["P34"].x1-0.1 {
		t.Errorf("cartridge %.1f to %.1f does not reach over both bearings", p.x0, p.x1)
	}
	if at["P08"].r1 <= at["P28"].r1 {
		t.Error("46 teeth are not larger than 27")
	}
}

func TestFormOf(t *testing.T) {
	for _, tt := range []struct{ kind, name, want string }{
		{"", "front ball bearing", "bearing"}, {"", "gear 2nd", "gear"}, {"", "hub and sleeve", "hub sleeve"},
		{"", "Nuts", "nut"}, {"tab washer", "", "tab washer"}, {"thrust washer", "", "washer"}, {"inner sleeve", "", "inner sleeve"},
		{"wibble", "gear that is not", ""}, {"shaft", "primary shaft with pinions", "shaft"}, {"O-ring", "", "o-ring"}, {"baulk ring", "", "baulk ring"},
	} {
		if got := formOf(&gearbox.Position{Kind: tt.kind, Name: tt.name}).words; got != tt.want {
			t.Errorf("kind %q name %q is drawn as %q, want %q", tt.kind, tt.name, got, tt.want)
		}
	}
}

func pages(t *testing.T) []*Drawing {
	b := demo(t)
	var ds []*Drawing
	for _, c := range b.Carriers {
		ds = append(ds, Section(c, Options{Built: b.As("A"), State: func(id string) State { return State(len(id+c.ID) % int(states)) }}))
	}
	return append(ds,
		ShimStack([]Piece{{"d1", 0.000499, "0.499 mm"}, {"d5", 0.000150, "0.150 mm"}}, "0.649 mm"),
		Bar(0.10, 0.20, 0.16, 0.02, Marks{Lo: "0.10", Hi: "0.20", Value: "0.16 ± 0.02", Words: "in", Verdict: In}),
		FaceChoice("gear", "cone", "nut", [2]string{"head", "nut"}))
}

// The book takes every drawing; a checker that is not ours finds no fault in it.
func TestPDF(t *testing.T) {
	f := fpdf.New("L", "mm", "A4", "")
	f.AddUTF8FontFromBytes("sheet", "", dejavusans.TTF)
	ds := pages(t)
	for _, d := range ds {
		f.AddPage()
		d.PDF(f, "sheet", 10, 10, min(277/d.W, 190/d.H, 1))
	}
	var out bytes.Buffer
	if err := f.Output(&out); err != nil {
		t.Fatal(err)
	}
	if f.PageCount() != len(ds) {
		t.Errorf("%d pages for %d drawings", f.PageCount(), len(ds))
	}
	qpdf, err := exec.LookPath("qpdf")
	if err != nil {
		t.Skip("qpdf is not installed: the file is made but not checked from outside")
	}
	file := filepath.Join(t.TempDir(), "drawings.pdf")
	if err := os.WriteFile(file, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	if said, err := exec.Command(qpdf, "--check", file).CombinedOutput(); err != nil {
		t.Errorf("qpdf: %v\n%s", err, said)
	}
}

func decode(t *testing.T, d *Drawing, dpi float64) image.Image {
	t.Helper()
	data, err := d.PNG(dpi)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// darkness is the area of ink in mm².
func darkness(img image.Image, dpi float64) float64 {
	b := img.Bounds()
	sum, full := 0.0, 255-float64(toneColour(Ink).R)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, _, _, _ := img.At(x, y).RGBA()
			sum += (255 - float64(r>>8)) / full
		}
	}
	return sum * 25.4 * 25.4 / dpi / dpi
}

// Ink in the picture covers what geometry says, and stands the right way up.
func TestPNG(t *testing.T) {
	const dpi = 200
	d := &Drawing{W: 60, H: 40}
	var g Group
	g.draw(Circle(15, 30, 8), Ink, Pen{})
	d.Groups = []Group{g}
	img := decode(t, d, dpi)
	if got, want := darkness(img, dpi), math.Pi*64; math.Abs(got/want-1) > 0.005 {
		t.Errorf("disc of %.2f mm², want %.2f", got, want)
	}
	k := dpi / 25.4
	if r, _, _, _ := img.At(int(15*k), int(10*k)).RGBA(); r>>8 > 40 {
		t.Error("the disc is not in the upper half, where y is up")
	}
	d.Groups = []Group{{}}
	d.Groups[0].line(Line(5, 5, 55, 5), Thick)
	if got, want := darkness(decode(t, d, dpi), dpi), 50*Thick; math.Abs(got/want-1) > 0.02 {
		t.Errorf("line of %.2f mm², want %.2f", got, want)
	}
	d.Groups[0].Items[0].Pen.Dash = Dotted
	if got, want := darkness(decode(t, d, dpi), dpi), 50*Thick/3; math.Abs(got/want-1) > 0.06 {
		t.Errorf("dotted line of %.2f mm², want %.2f", got, want)
	}
	if _, err := d.PNG(math.NaN()); err == nil {
		t.Error("no error for a resolution that is no number")
	}
	for _, p := range pages(t) {
		if got := darkness(decode(t, p, 60), 60); got < 5 {
			t.Errorf("%s: only %.1f mm² of ink", p.Title, got)
		}
	}
}

func BenchmarkPNG(b *testing.B) {
	d := ShimStack([]Piece{{"d1", 0.000499, "0.499 mm"}, {"d5", 0.000150, "0.150 mm"}}, "0.649 mm")
	for b.Loop() {
		if _, err := d.PNG(110); err != nil {
			b.Fatal(err)
		}
	}
}
