package report_test

import (
	"bytes"
	"crypto/ed25519"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"endfloat/internal/archive"
	"endfloat/internal/label"
	"endfloat/internal/report"
)

// smudge covers a share of a code outside its finder patterns by one blot, a drop
// of oil or a scuff, anywhere on it: its radius grows until that much is gone.
func smudge(r *rand.Rand, src *image.Gray, f field, share float64) *image.Gray {
	out := image.NewGray(src.Bounds())
	copy(out.Pix, src.Pix)
	n := float64(f.size)
	side := f.module * n
	cx, cy := f.x+side*r.Float64(), f.y+side*r.Float64()
	ink := color.Gray{uint8(r.IntN(2) * 255)}
	want := share * f.module * f.module * (n*n - 3*64)
	for rad := f.module; ; rad += f.module / 4 {
		var hit []image.Point
		for y := int(cy - rad); y <= int(cy+rad); y++ {
			for x := int(cx - rad); x <= int(cx+rad); x++ {
				fx, fy := float64(x)+0.5, float64(y)+0.5
				u, v := (fx-f.x)/f.module, (fy-f.y)/f.module
				finder := u < 8 && v < 8 || u >= n-8 && v < 8 || u < 8 && v >= n-8
				if math.Hypot(fx-cx, fy-cy) <= rad && u >= 0 && v >= 0 && u < n && v < n && !finder {
					hit = append(hit, image.Point{X: x, Y: y})
				}
			}
		}
		if float64(len(hit)) >= want {
			for _, p := range hit {
				out.SetGray(p.X, p.Y, ink)
			}
			return out
		}
	}
}

// zxing reads pictures with a third decoder: ZXingReader of zxing-cpp.
func zxing(t *testing.T, imgs []*image.Gray) []string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "code.png")
	out := make([]string, len(imgs))
	for i, img := range imgs {
		var b bytes.Buffer
		if err := png.Encode(&b, img); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		raw, _ := exec.Command("ZXingReader", "-format", "QRCode", file).Output() // it fails where none is read
		if _, s, ok := strings.Cut(string(raw), "Text:"); ok {
			_, s, _ = strings.Cut(s, `"`)
			out[i], _, _ = strings.Cut(s, "\"\nBytes:")
		}
	}
	return out
}

// readTwice asks that every code is read by two decoders: our own, in Go, and one
// of two others, zbarimg in C, which shares no line with it, and ZXingReader in
// C++, whose forebear it has in common; and that none reads it as another.
func readTwice(t *testing.T, what string, imgs []*image.Gray, want []string) {
	t.Helper()
	a, b := zbar(t, imgs), zxing(t, imgs)
	zbars, zxings := 0, 0
	for i, w := range want {
		ours, _ := label.Read(imgs[i])
		count(t, w, "ours", ours)
		z, x := count(t, ascii(w), "zbarimg", ascii(a[i])), count(t, w, "ZXingReader", b[i])
		zbars, zxings = zbars+z, zxings+x
		if ours != w || z+x == 0 {
			t.Errorf("%s, %q: ours %v, zbarimg %v, ZXingReader %v", what, w, ours == w, z == 1, x == 1)
		}
	}
	t.Logf("%s: %d codes, all read by ours; %d by zbarimg, %d by ZXingReader", what, len(want), zbars, zxings)
}

// ascii leaves out the dash of a signature: zbarimg takes its bytes for another
// alphabet, for a code says of its letters nothing.
func ascii(s string) string {
	return strings.Map(func(r rune) rune {
		if r > 0x7f {
			return -1
		}
		return r
	}, s)
}

// Every code that is printed, on labels and in the book, is read back by two
// decoders (how far they are independent, readTwice says) at 203 dots to the inch,
// clean and with one blot over 15 % of it (level H of ISO/IEC 18004 mends about 30 % of
// the code words). Many small blots hit more code words than one of the same area: see
// TestLabelsReadBack.
func TestEveryCodeReadTwice(t *testing.T) {
	needs(t, "pdftoppm", "zbarimg", "ZXingReader")
	d, o := desk(t, false, "linnet")
	r := rand.New(rand.NewPCG(15, 203))
	for k, want := range []report.LabelOrder{{Stock: "50x30"}, {Stock: "62", Site: "http://192.168.100.200:8080"}, {Stock: "38.1x21.2"}} {
		ls, err := report.LabelsOf(d.View, want)
		if err != nil {
			t.Fatal(err)
		}
		if k > 0 {
			for i := k; i < len(ls); i += 4 {
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
		var spoilt []*image.Gray
		var texts []string
		for i, img := range pages(t, pdf) {
			spoilt, texts = append(spoilt, smudge(r, img, find(t, img), 0.15)), append(texts, ls[i].Code)
		}
		readTwice(t, want.Stock, spoilt, texts)
	}
}

// The seal of the book and of a reader's version, which all print the same one,
// unsigned and signed.
func TestSealReadTwice(t *testing.T) {
	needs(t, "pdftoppm", "zbarimg", "ZXingReader")
	d, o := desk(t, true, "linnet")
	o.Photo = nil
	r := rand.New(rand.NewPCG(16, 203))
	signed, err := archive.Sign(archive.FromPin(d.Book, d.Pin), ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, 32)))
	if err != nil {
		t.Fatal(err)
	}
	for _, head := range []string{archive.FromPin(d.Book, d.Pin), signed} {
		o.Checkpoint = head
		for _, reader := range []string{"", "scrutineer"} {
			pdf, err := report.For(d.View, reader, o)
			if err != nil {
				t.Fatal(err)
			}
			clean := cropped(t, lastPage(t, pdf))
			imgs, texts := []*image.Gray{clean}, []string{head}
			for range 20 {
				imgs, texts = append(imgs, smudge(r, clean, find(t, clean), 0.15)), append(texts, head)
			}
			readTwice(t, fmt.Sprintf("seal of %q, %d bytes", reader, len(head)), imgs, texts)
		}
	}
}

// lastPage prints the last page of a PDF at 203 dots to the inch.
func lastPage(t *testing.T, pdf []byte) *image.Gray {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.pdf"), filepath.Join(dir, "out.pdf")
	if err := os.WriteFile(in, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	needs(t, "qpdf")
	if msg, err := exec.Command("qpdf", in, "--pages", ".", "z", "--", out).CombinedOutput(); err != nil {
		t.Fatalf("qpdf: %v\n%s", err, msg)
	}
	raw, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return pages(t, raw)[0]
}

// cropped is the code of a page with its quiet zone: what a camera is held over.
// It stands at the left margin.
func cropped(t *testing.T, page *image.Gray) *image.Gray {
	t.Helper()
	img := page.SubImage(image.Rect(0, 0, page.Bounds().Dx()*36/100, page.Bounds().Dy())).(*image.Gray)
	f := find(t, img)
	rim := 4 * f.module
	side := f.module*float64(f.size) + 2*rim
	box := image.Rect(int(f.x-rim), int(f.y-rim), int(f.x-rim+side), int(f.y-rim+side)).Intersect(img.Bounds())
	out := image.NewGray(image.Rect(0, 0, box.Dx(), box.Dy()))
	for y := range box.Dy() {
		for x := range box.Dx() {
			out.SetGray(x, y, img.GrayAt(box.Min.X+x, box.Min.Y+y))
		}
	}
	return out
}
