package shop_test

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/label"
	"endfloat/internal/shop"
)

// A piece or bag leads to its place; one of another unit stops the hand, unless
// that unit is here for its parts or the piece lies in the stores.
func TestScan(t *testing.T) {
	w := demonstration(t, partWay)
	for _, c := range []struct {
		at, text, tag, book, where string
		stop                       bool
	}{
		{"linnet", "L-P08", "L-P08", "linnet", "", false},
		{"linnet", "EF:L-P08", "L-P08", "linnet", "", false},
		{"linnet", "HTTP://192.168.1.20:8080/T/L-P08", "L-P08", "linnet", "", false},
		{"linnet", " l-p08 ", "L-P08", "linnet", "", false},
		{"linnet", "EF:bag L D20", "bag L D20", "linnet", "bag L D20", false},
		{"linnet", "BAG L D20", "bag L D20", "linnet", "bag L D20", false},
		{"linnet", "D-P39", "D-P39", "dunnock", "tray D, pinion shaft", true},
		{"dunnock", "D-P39", "D-P39", "dunnock", "tray D, pinion shaft", false},
		{"linnet", "EF:bag D D20", "bag D D20", "dunnock", "bag D D20", true}, // the yellow bag at the blue bench
		{"linnet", "EF:bag D D21", "bag D D21", "dunnock", "bag D D21", true},
		{"dunnock", "L-D21", "L-D21", "linnet", "", true},
		{"", "D-P39", "D-P39", "dunnock", "tray D, pinion shaft", false},
		{"linnet", "P-D20", "P-D20", "plover", "", false}, // a donor's
		{"linnet", "s3", "s3", shop.StoresBook, "drawer", false},
		{"dunnock", "S3", "s3", shop.StoresBook, "drawer", false},
	} {
		f, err := w.Scan(t.Context(), c.at, c.text)
		if err != nil {
			t.Errorf("%s at %s: %v", c.text, c.at, err)
			continue
		}
		if f.Tag != c.tag || f.Desk.Book != c.book || f.Stop != c.stop || c.where != "" && f.Lies() != c.where {
			t.Errorf("%s at %s: %s of %s, %s, stop %t", c.text, c.at, f.Tag, f.Desk.Book, f.Lies(), f.Stop)
		}
	}
	f, err := w.Scan(t.Context(), "linnet", "bag D D20")
	if err != nil || !slices.Equal(f.Tags, []string{"D-D20"}) || !strings.Contains(f.Whose(), "Dunnock (yellow tape)") {
		t.Errorf("the bag holds %v, %v", f, err)
	}
	for text, says := range map[string]string{"": "nothing was read", "EF:": "no label of this workshop", "X-P99": "No piece", "https://example.com/parts/77": "no label of this workshop", "EF:X-P99": "No piece"} {
		if _, err := w.Scan(t.Context(), "linnet", text); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %q", text, err, says)
		}
	}
}

// A letter is free again once its unit is handed over: the piece of the unit
// that is still here is meant, and before it that of the bench.
func TestScanReusedLetter(t *testing.T) {
	w := small(t)
	w.record(t, "dunnock", job.Added{Piece: job.Piece{Tag: "X-1", Name: "spacer"}, Place: "shelf"})
	if _, err := w.Record(t.Context(), tove, "linnet", job.Added{Piece: job.Piece{Tag: "X-1", Name: "spacer"}, Place: "shelf"}); !errors.Is(err, shop.ErrInvalid) {
		t.Fatalf("the same tag twice: %v", err)
	}
	f, err := w.Scan(t.Context(), "linnet", "x-1")
	if err != nil || f.Desk.Book != "dunnock" || !f.Stop {
		t.Errorf("%v, %v", f, err)
	}
}

// snap is a photo of a label on a bench: small in a large, uneven picture.
func snap(t *testing.T, text string, px int) []byte {
	t.Helper()
	c, err := label.Label{Tag: text, Code: text}.Encode(label.Finest)
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewRGBA(image.Rect(0, 0, 1800, 1200))
	for y := range 1200 {
		for x := range 1800 {
			g := uint8(90 + x/20 + y/40 + (x*7+y*13)%9)
			img.SetRGBA(x, y, color.RGBA{g, g - 10, g - 30, 255})
		}
	}
	n := c.Size + 8
	draw.Draw(img, image.Rect(500, 300, 500+n*px, 300+n*px), image.White, image.Point{}, draw.Src)
	for y := range c.Size {
		for x := range c.Size {
			if c.Black(x, y) {
				draw.Draw(img, image.Rect(500+(x+4)*px, 300+(y+4)*px, 500+(x+5)*px, 300+(y+5)*px), image.NewUniform(color.Gray{30}), image.Point{}, draw.Src)
			}
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 70}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestReadLabel(t *testing.T) {
	w := small(t)
	for _, px := range []int{6, 9, 20} {
		if got, err := w.ReadLabel(t.Context(), snap(t, "EF:L-P08", px)); err != nil || got != "EF:L-P08" {
			t.Errorf("modules of %d dots: %q, %v", px, got, err)
		}
	}
	var blank bytes.Buffer
	if err := png.Encode(&blank, image.NewGray(image.Rect(0, 0, 300, 300))); err != nil {
		t.Fatal(err)
	}
	for says, raw := range map[string][]byte{"no label was found": blank.Bytes(), "not a photo": []byte("text")} {
		if _, err := w.ReadLabel(t.Context(), raw); !errors.Is(err, shop.ErrInvalid) || !strings.Contains(err.Error(), says) {
			t.Errorf("%v, want %q", err, says)
		}
	}
}
