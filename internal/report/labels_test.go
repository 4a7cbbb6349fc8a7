package report_test

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"endfloat/internal/label"
	"endfloat/internal/report"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/makiuchi-d/gozxing/qrcode/detector"
)

// needs skips where a program is missing, and fails where everything must be.
func needs(t *testing.T, names ...string) {
	t.Helper()
	for _, n := range names {
		if _, err := exec.LookPath(n); err != nil {
			if os.Getenv("CI") == "true" {
				t.Fatalf("%s is missing, and CI must have it", n)
			}
			t.Skipf("%s is missing", n)
		}
	}
}

// pages prints a PDF at 203 dots to the inch, as a label printer does.
func pages(t *testing.T, pdf []byte) []*image.Gray {
	t.Helper()
	dir := t.TempDir()
	file := filepath.Join(dir, "labels.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("pdftoppm", "-r", "203.2", "-png", file, filepath.Join(dir, "p")).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v\n%s", err, out)
	}
	names, err := filepath.Glob(filepath.Join(dir, "p*.png"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no pages, %v", err)
	}
	var out []*image.Gray
	for _, n := range names {
		b, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		g := image.NewGray(img.Bounds())
		draw.Draw(g, g.Bounds(), img, image.Point{}, draw.Src)
		out = append(out, g)
	}
	return out
}

// field is where a code lies in a picture.
type field struct {
	x, y, module float64
	size         int
}

// find locates the code of a clean label by the middles of its finder patterns.
func find(t *testing.T, img image.Image) field {
	t.Helper()
	bmp, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		t.Fatal(err)
	}
	r, err := qrcode.NewQRCodeReader().Decode(bmp, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
	if err != nil {
		t.Fatalf("the clean label is not read: %v", err)
	}
	p := r.GetResultPoints() // bottom left, top left, top right
	seen, ok := p[1].(*detector.FinderPattern)
	if !ok {
		t.Fatalf("%T", p[1])
	}
	wide := p[2].GetX() - p[1].GetX()
	size := 17 + 4*int(math.Round((wide/seen.GetEstimatedModuleSize()+7-17)/4))
	m := wide / float64(size-7)
	return field{p[1].GetX() - 3.5*m, p[1].GetY() - 3.5*m, m, size}
}

// blot covers a share of a code, outside its finder patterns and the rim around
// them, with drops of oil, dark, and scuffs, bare, of the size of a fingertip on
// a thumb-sized label: an eighth to a fifth of the side in radius.
func blot(r *rand.Rand, src *image.Gray, f field, share float64) *image.Gray {
	out := image.NewGray(src.Bounds())
	copy(out.Pix, src.Pix)
	side, far := f.module*float64(f.size), float64(f.size)-8
	covered, hit := 0.0, map[image.Point]bool{}
	area := side*side - 3*64*f.module*f.module
	for covered < share*area {
		cx, cy := f.x+r.Float64()*side, f.y+r.Float64()*side
		rad, ink := side*(0.12+0.08*r.Float64()), color.Gray{uint8(r.IntN(2) * 255)}
		for y := int(cy - rad); y <= int(cy+rad); y++ {
			for x := int(cx - rad); x <= int(cx+rad) && covered < share*area; x++ {
				fx, fy := float64(x)+0.5, float64(y)+0.5
				u, v := (fx-f.x)/f.module, (fy-f.y)/f.module
				n := float64(f.size)
				if math.Hypot(fx-cx, fy-cy) > rad || u < 0 || v < 0 || u >= n || v >= n || u < 8 && v < 8 || u >= far && v < 8 || u < 8 && v >= far {
					continue
				}
				if p := (image.Point{X: x, Y: y}); !hit[p] {
					hit[p] = true
					covered++
				}
				out.SetGray(x, y, ink)
			}
		}
	}
	return out
}

var (
	zbarSource = regexp.MustCompile(`(?s)<source href='([^']*)'>(.*?)</source>`)
	zbarData   = regexp.MustCompile(`(?s)<data([^>]*)><!\[CDATA\[(.*?)\]\]></data>`)
)

// zbar reads pictures with a decoder that shares nothing with ours: zbarimg.
func zbar(t *testing.T, imgs []*image.Gray) []string {
	t.Helper()
	dir, args, at := t.TempDir(), []string{"--quiet", "--xml", "--nodbus", "-Sdisable", "-Sqrcode.enable"}, map[string]int{}
	for i, img := range imgs {
		var b bytes.Buffer
		if err := png.Encode(&b, img); err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(dir, fmt.Sprintf("%03d.png", i))
		if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		args, at[name] = append(args, name), i
	}
	raw, _ := exec.Command("zbarimg", args...).Output() // it ends with 4 where one was not read
	out := make([]string, len(imgs))
	for _, m := range zbarSource.FindAllStringSubmatch(string(raw), -1) {
		if d := zbarData.FindStringSubmatch(m[2]); d != nil {
			out[at[m[1]]] = d[2]
			if strings.Contains(d[1], "base64") { // so it writes what is more than ASCII
				b, err := base64.StdEncoding.DecodeString(strings.TrimSpace(d[2]))
				if err != nil {
					t.Fatal(err)
				}
				out[at[m[1]]] = string(b)
			}
		}
	}
	return out
}

// Every label of the demonstration's unit is read back by two decoders that know
// nothing of each other, as a printer of 203 dots to the inch prints it: clean,
// and with 15 % of the code under blots. Level H mends about 30 % of the code
// words (ISO/IEC 18004), and some drops lie over the format information or the
// alignment pattern besides: ours must read at least 97 of a hundred blotted ones
// and zbarimg 90. None is read as another.
func TestLabelsReadBack(t *testing.T) {
	needs(t, "pdftoppm", "zbarimg")
	d, o := desk(t, false, "linnet")
	r := rand.New(rand.NewPCG(203, 15))
	for k, want := range []report.LabelOrder{{Stock: "50x30"}, {Stock: "62", Site: "http://192.168.100.200:8080"}, {Stock: "38.1x21.2"}} {
		ls, err := report.LabelsOf(d.View, want)
		if err != nil || len(ls) < 100 {
			t.Fatalf("%d labels, %v", len(ls), err)
		}
		if k > 0 { // every one once; every third of them on other labels too
			for i := 0; i < len(ls); i += 3 {
				want.Tags = append(want.Tags, ls[i].Tag)
			}
			if ls, err = report.LabelsOf(d.View, want); err != nil {
				t.Fatal(err)
			}
		}
		pdf, err := report.Labels(d.View, want, o)
		if err != nil {
			t.Fatal(err)
		}
		imgs := pages(t, pdf)
		if len(imgs) != len(ls) {
			t.Fatalf("%s: %d pages for %d labels", want.Stock, len(imgs), len(ls))
		}
		var spoilt []*image.Gray
		for i, img := range imgs {
			if tag, ok := label.Tag(ls[i].Code); !ok || tag != ls[i].Tag {
				t.Errorf("%q names %q, want %q", ls[i].Code, tag, ls[i].Tag)
			}
			spoilt = append(spoilt, blot(r, img, find(t, img), 0.15))
		}
		clean, dirty := zbar(t, imgs), zbar(t, spoilt)
		ours, theirs := 0, 0
		for i, l := range ls {
			if got, err := label.Read(imgs[i]); err != nil || got != l.Code || clean[i] != l.Code {
				t.Errorf("%s, %s, clean: ours read %q, %v, zbarimg %q", want.Stock, l.Code, got, err, clean[i])
			}
			got, _ := label.Read(spoilt[i])
			ours += count(t, l.Code, "ours", got)
			theirs += count(t, l.Code, "zbarimg", dirty[i])
		}
		n := len(ls)
		t.Logf("%s: %d labels read clean by both; with 15 %% blotted %d by ours, %d by zbarimg", want.Stock, n, ours, theirs)
		if ours*100 < 97*n || theirs*100 < 90*n {
			t.Errorf("%s: with 15 %% blotted %d and %d of %d were read", want.Stock, ours, theirs, n)
		}
	}
}

// count is 1 for a code read rightly and 0 for one not read; one read wrongly is
// the fault that must never happen.
func count(t *testing.T, want, by, got string) int {
	t.Helper()
	switch got {
	case want:
		return 1
	case "":
		return 0
	}
	t.Errorf("%q was read as %q by %s", want, got, by)
	return 0
}

// A grid is read as it is written, what is left out lies in the middle, and what
// does not fit is refused. A4 is 210 × 297 mm (ISO 216), Letter 8.5 × 11 in.
func TestStockOf(t *testing.T) {
	for text, want := range map[string]report.Stock{
		"50 x 30":      {Page: [2]float64{50, 30}, Cols: 1, Rows: 1, W: 50, H: 30, StepX: 50, StepY: 30},
		"3x8 of 70x37": {Page: [2]float64{210, 297}, Cols: 3, Rows: 8, W: 70, H: 37, Left: 0, Top: 0.5, StepX: 70, StepY: 37},
		"2x5 of 90x50 from 10,12 step 95,52 on letter": {Page: [2]float64{215.9, 279.4}, Cols: 2, Rows: 5, W: 90, H: 50, Left: 10, Top: 12, StepX: 95, StepY: 52},
	} {
		got, err := report.StockOf(text)
		got.Name, got.Says = "", ""
		if err != nil || got != want {
			t.Errorf("%s: %+v, %v", text, got, err)
		}
	}
	for _, s := range report.Stocks() {
		again, err := report.StockOf(fmt.Sprintf("%dx%d of %gx%g from %g,%g step %g,%g", s.Cols, s.Rows, s.W, s.H, s.Left, s.Top, s.StepX, s.StepY))
		if s.Page == [2]float64{210, 297} && (err != nil || again.Left != s.Left || again.StepY != s.StepY) {
			t.Errorf("%s cannot be printed: %v", s.Name, err)
		}
		if got, err := report.StockOf(s.Name); err != nil || got != s {
			t.Errorf("%s: %+v, %v", s.Name, got, err)
		}
	}
	for text, says := range map[string]string{"nothing": "choose a4-24", "5x5": "20 × 15", "4x8 of 70x37": "larger than the sheet", "0x4 of 50x30": "from 1 to 400",
		"3x8 of 70x37 from 0,0 step 60,37": "overlap", "1000x30": "300 mm", "2x2 of 50x30 from 200,0": "larger than the sheet"} {
		if _, err := report.StockOf(text); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, want %q", text, err, says)
		}
	}
}

// Each label says what people need: tag, what it is, whose, and the word of the
// colour; a book of a unit that has not been touched has one for each piece.
func TestLabelsSay(t *testing.T) {
	d, o := desk(t, false, "linnet")
	for _, stock := range []string{"50x30", "102x152", "a4-65"} {
		pdf, err := report.Labels(d.View, report.LabelOrder{Stock: stock, Tags: []string{"L-P08", "bag L D20"}}, o)
		if err != nil {
			t.Fatal(err)
		}
		has(t, text(t, pdf), "L-P08", "gear 1st", "D20", "Linnet", "blue tape")
		tool(t, pdf, "qpdf", "--check", "FILE")
	}
	again, err := report.Labels(d.View, report.LabelOrder{Stock: "62"}, o)
	if err != nil {
		t.Fatal(err)
	}
	if twice, err := report.Labels(d.View, report.LabelOrder{Stock: "62"}, o); err != nil || !bytes.Equal(again, twice) {
		t.Error("the same labels twice are not the same bytes")
	}
	if _, err := report.Labels(d.View, report.LabelOrder{Stock: "25x15", Tags: []string{"tray L, pinion shaft"}, Site: "http://a-long-name-of-a-workshop.local:8080"}, o); err == nil || !strings.Contains(err.Error(), "larger label") {
		t.Errorf("a code that does not fit: %v", err)
	}
	for name, ls := range map[string]int{"plover": 50, "dunnock": 50} {
		d, _ := desk(t, false, name)
		if got, err := report.LabelsOf(d.View, report.LabelOrder{}); err != nil || len(got) < ls {
			t.Errorf("%s: %d labels, %v", name, len(got), err)
		}
	}
}
