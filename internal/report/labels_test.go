package report_test

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
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

// zbar reads a picture with a decoder that shares nothing with ours: zbarimg.
func zbar(t *testing.T, img image.Image) string {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("zbarimg", "--quiet", "--raw", "--nodbus", "-Sdisable", "-Sqrcode.enable", "-")
	cmd.Stdin = &b
	out, _ := cmd.Output() // 4 when nothing was found
	return strings.TrimSuffix(string(out), "\n")
}

// Every label of the demonstration's unit is read back by two decoders that know
// nothing of each other, as a printer of 203 dots to the inch prints it: clean,
// and with 15 % of the code under blots. Level H mends about 30 % of the code
// words (ISO/IEC 18004), and a drop touches more code words than its area says,
// so that of the blotted ones a few may be lost: how many is counted, and none
// may be read as something else.
func TestLabelsReadBack(t *testing.T) {
	needs(t, "pdftoppm", "zbarimg")
	d, o := desk(t, false, "linnet")
	r := rand.New(rand.NewPCG(203, 15))
	for _, want := range []report.LabelOrder{{Stock: "50x30"}, {Stock: "62", Site: "http://192.168.100.200:8080"}, {Stock: "38.1x21.2"}} {
		ls, err := report.LabelsOf(d.View, want)
		if err != nil || len(ls) < 100 {
			t.Fatalf("%d labels, %v", len(ls), err)
		}
		pdf, err := report.Labels(d.View, want, o)
		if err != nil {
			t.Fatal(err)
		}
		imgs := pages(t, pdf)
		if len(imgs) != len(ls) {
			t.Fatalf("%s: %d pages for %d labels", want.Stock, len(imgs), len(ls))
		}
		ours, theirs := 0, 0
		for i, img := range imgs {
			code := ls[i].Code
			if tag, ok := label.Tag(code); !ok || tag != ls[i].Tag {
				t.Errorf("%q names %q, want %q", code, tag, ls[i].Tag)
			}
			if got, err := label.Read(img); err != nil || got != code {
				t.Errorf("%s, %s, clean: read %q, %v", want.Stock, code, got, err)
			}
			if got := zbar(t, img); got != code {
				t.Errorf("%s, %s, clean: zbarimg read %q", want.Stock, code, got)
			}
			spoilt := blot(r, img, find(t, img), 0.15)
			ours += count(t, code, "ours", func() string { s, _ := label.Read(spoilt); return s }())
			theirs += count(t, code, "zbarimg", zbar(t, spoilt))
		}
		n := len(ls)
		t.Logf("%s: %d labels read clean by both; with 15 %% blotted %d by ours, %d by zbarimg", want.Stock, n, ours, theirs)
		if min(ours, theirs)*100 < 88*n {
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
