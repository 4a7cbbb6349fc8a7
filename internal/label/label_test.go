package label_test

import (
	"errors"
	"image"
	"image/color"

	"math/rand/v2"
	"strings"
	"testing"

	"endfloat/internal/label"
)

// Whatever a tag is, the code that holds it names it again.
func TestTag(t *testing.T) {
	for _, tag := range []string{"L-P08", "s14", "N-Q20", "bag L D20", "tray L, pinion shaft", "50% + 2/3", "Ü-P1", "L-P08?x=1&y#z"} {
		for _, site := range []string{"", "http://192.168.1.20:8080", "https://bench.local/"} {
			text := label.Text(site, tag)
			if got, ok := label.Tag(text); !ok || got != tag {
				t.Errorf("%q at %q: %q names %q, %t", tag, site, text, got, ok)
			}
		}
	}
	if got := label.Text("http://192.168.1.20:8080", "L-P08"); got != "HTTP://192.168.1.20:8080/T/L-P08" {
		t.Errorf("address %q", got)
	}
	for _, text := range []string{"", "EF:", "L-P08", "https://example.com/77", "4006381333931", "://", "WIFI:S:x;;", "HTTP://10.0.0.1/T/"} {
		if got, ok := label.Tag(text); ok {
			t.Errorf("%q is taken for the label of %q", text, got)
		}
	}
}

// The smallest code holds a piece's tag (ISO/IEC 18004: version 1-H has room for
// 10 characters of the narrower alphabet, 21 modules a side), and one too long is
// refused.
func TestEncode(t *testing.T) {
	for _, c := range []struct {
		text          string
		version, size int
	}{{"EF:L-P08", 1, 21}, {"EF:L-P08", label.Finest, 29}, {"EF:bag L D20", 1, 25}, {"HTTP://192.168.1.20:8080/T/L-P08", 1, 29}} {
		code, err := label.Label{Code: c.text}.Encode(c.version)
		if err != nil || code.Size != c.size {
			t.Errorf("%s: %v, %v; want %d modules", c.text, code, err, c.size)
		}
	}
	if _, err := (label.Label{Tag: "x", Code: strings.Repeat("x", 200)}).Encode(1); err == nil || !strings.Contains(err.Error(), "too long") {
		t.Errorf("a long tag: %v", err)
	}
}

func picture(t testing.TB, text string, px int) *image.Gray {
	t.Helper()
	c, err := label.Label{Code: text}.Encode(1)
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewGray(image.Rect(0, 0, (c.Size+8)*px, (c.Size+8)*px))
	for i := range img.Pix {
		img.Pix[i] = 255
		x, y := i%img.Stride/px-4, i/img.Stride/px-4
		if x >= 0 && y >= 0 && x < c.Size && y < c.Size && c.Black(x, y) {
			img.Pix[i] = 0
		}
	}
	return img
}

// Codes are read at any size that a camera gives, and turned any way.
func TestRead(t *testing.T) {
	for _, text := range []string{"EF:L-P08", "EF:tray L, pinion shaft", "HTTP://192.168.1.20:8080/T/L-P08"} {
		for _, px := range []int{3, 4, 7, 12, 30} {
			img := picture(t, text, px)
			for turn := range 4 {
				if got, err := label.Read(img); err != nil || got != text {
					t.Errorf("%s, %d dots, turned %d times: %q, %v", text, px, turn, got, err)
				}
				next := image.NewGray(img.Bounds())
				n := img.Bounds().Dx()
				for y := range n {
					for x := range n {
						next.SetGray(n-1-y, x, img.GrayAt(x, y))
					}
				}
				img = next
			}
		}
	}
}

// A picture without a code is said to have none, however noisy, small or empty.
func TestReadNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{0, 1, 39, 40, 100, 400} {
		img := image.NewGray(image.Rect(0, 0, n, n))
		for i := range img.Pix {
			img.Pix[i] = uint8(r.Uint32())
		}
		if got, err := label.Read(img); !errors.Is(err, label.ErrNoCode) {
			t.Errorf("noise of %d: %q, %v", n, got, err)
		}
	}
}

// A spoilt code is not read, or read as what it says, and never trips the reader.
func FuzzRead(f *testing.F) {
	f.Add(uint64(1), 40)
	f.Add(uint64(2), 3000)
	f.Fuzz(func(t *testing.T, seed uint64, dots int) {
		img, r := picture(t, "EF:L-P08", 3), rand.New(rand.NewPCG(seed, 0))
		for range min(max(dots, 0), 20000) {
			img.SetGray(r.IntN(img.Bounds().Dx()), r.IntN(img.Bounds().Dy()), color.Gray{uint8(r.Uint32())})
		}
		if got, err := label.Read(img); err == nil && got != "EF:L-P08" {
			t.Errorf("read as %q", got)
		}
	})
}
