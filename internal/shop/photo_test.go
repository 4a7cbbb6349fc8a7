package shop_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"strings"
	"testing"

	"endfloat/internal/shop"
)

const wide, high = 48, 32

var quarters = map[[2]int]color.RGBA{{0, 0}: {200, 30, 30, 255}, {1, 0}: {30, 180, 30, 255}, {0, 1}: {30, 30, 200, 255}, {1, 1}: {230, 230, 230, 255}}

// scene is what was in front of the camera: four quarters of one colour each.
func scene(x, y int) color.RGBA { return quarters[[2]int{x * 2 / wide, y * 2 / high}] }

// sides is what the first row and the first column of the stored picture are of
// the scene. Exif 2.3 (JEITA CP-3451C), tag 0x0112 Orientation; TIFF 6.0, p. 36.
var sides = map[int][2]string{1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
	5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"}}

// stored is the scene as a camera held that way stores it.
func stored(o int) image.Image {
	along := map[string]func(x, y int) int{
		"top": func(x, y int) int { return y }, "bottom": func(x, y int) int { return high - 1 - y },
		"left": func(x, y int) int { return x }, "right": func(x, y int) int { return wide - 1 - x },
	}
	w, h := wide, high
	if o >= 5 {
		w, h = high, wide
	}
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range high {
		for x := range wide {
			img.SetRGBA(along[sides[o][1]](x, y), along[sides[o][0]](x, y), scene(x, y))
		}
	}
	return img
}

const secret = "GPS 52.9812 N 4.0661 W, camera of Tove Marrin"

// exif is an APP1 segment with an orientation and a place.
func exif(o int, order binary.AppendByteOrder) []byte {
	mark := map[bool]string{true: "II", false: "MM"}[order.AppendUint16(nil, 1)[0] == 1]
	t := append([]byte(mark), order.AppendUint16(nil, 42)...)
	t = order.AppendUint32(t, 8)
	t = order.AppendUint16(t, 2)
	field := func(tag, kind uint16, count, value uint32) {
		t = order.AppendUint16(order.AppendUint16(t, tag), kind)
		t = order.AppendUint32(t, count)
		if kind == 3 {
			t = append(order.AppendUint16(t, uint16(value)), 0, 0)
			return
		}
		t = order.AppendUint32(t, value)
	}
	field(0x0112, 3, 1, uint32(o))
	field(0x8825, 4, 1, 38) // where the GPS block would be
	t = append(order.AppendUint32(t, 0), secret...)
	body := append([]byte("Exif\x00\x00"), t...)
	return append(binary.BigEndian.AppendUint16([]byte{0xFF, 0xE1}, uint16(len(body)+2)), body...)
}

// photo is a JPEG as a camera writes it, with the segments after its start.
func photo(t testing.TB, img image.Image, segments ...[]byte) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return append(append(b.Bytes()[:2:2], bytes.Join(segments, nil)...), b.Bytes()[2:]...)
}

func keep(t *testing.T, w told, raw []byte) ([]byte, image.Image) {
	t.Helper()
	key, err := w.PhotoIn(t.Context(), raw)
	if err != nil {
		t.Fatal(err)
	}
	kept, err := w.Blob(t.Context(), key)
	if err != nil {
		t.Fatal(err)
	}
	img, format, err := image.Decode(bytes.NewReader(kept))
	if err != nil || format != "jpeg" {
		t.Fatalf("kept as %s, %v", format, err)
	}
	return kept, img
}

func like(c color.Color, want color.RGBA) bool {
	r, g, b, _ := c.RGBA()
	off := func(a uint32, b uint8) bool { return max(int(a>>8)-int(b), int(b)-int(a>>8)) > 40 }
	return !off(r, want.R) && !off(g, want.G) && !off(b, want.B)
}

// However the camera was held, the photo stands upright, and nothing that the
// camera wrote beside it is kept.
func TestPhotoUprightAndBare(t *testing.T) {
	w := small(t)
	comment := append([]byte{0xFF, 0xFE, 0, byte(len(secret) + 2)}, secret...)
	for o := 1; o <= 8; o++ {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			raw := photo(t, stored(o), exif(o, order), comment)
			if !bytes.Contains(raw, []byte(secret)) {
				t.Fatal("the test's own photo has no secret")
			}
			kept, img := keep(t, w, raw)
			if img.Bounds().Dx() != wide || img.Bounds().Dy() != high {
				t.Fatalf("orientation %d: %v, want %d × %d", o, img.Bounds(), wide, high)
			}
			for at, want := range quarters {
				if c := img.At(wide/4+at[0]*wide/2, high/4+at[1]*high/2); !like(c, want) {
					t.Errorf("orientation %d: quarter %v is %v, want %v", o, at, c, want)
				}
			}
			for _, s := range []string{secret, "GPS", "Exif", "Tove"} {
				if bytes.Contains(kept, []byte(s)) {
					t.Errorf("orientation %d: the kept photo still says %q", o, s)
				}
			}
			for i := 2; i+4 <= len(kept) && kept[i] == 0xFF && kept[i+1] != 0xDA; i += 2 + int(binary.BigEndian.Uint16(kept[i+2:])) {
				if m := kept[i+1]; m >= 0xE1 && m <= 0xEF || m == 0xFE {
					t.Errorf("orientation %d: the kept photo has a segment %X", o, m)
				}
			}
		}
	}
}

// A spoilt Exif block costs at most the orientation.
func TestSpoiltExif(t *testing.T) {
	w, r := small(t), rand.New(rand.NewPCG(8, 8))
	for range 300 {
		seg := exif(1+r.IntN(8), binary.LittleEndian)
		for range 1 + r.IntN(4) {
			seg[4+r.IntN(30)] = byte(r.Uint32())
		}
		keep(t, w, photo(t, stored(1), seg))
	}
}

// What is no photo is refused in words, before it can take up memory.
func TestRefusedPhotos(t *testing.T) {
	w := small(t)
	whole := photo(t, stored(1))
	for what, c := range map[string]struct {
		raw  []byte
		says string
	}{
		"text": {[]byte("this is no photo"), "not a photo"}, "nothing": {nil, "empty"}, "a page": {[]byte("<svg xmlns='http://www.w3.org/2000/svg'/>"), "not a photo"},
		"half of one": {whole[:len(whole)-20], "damaged"}, "huge": {header(30000, 30000), "pixels"}, "heavy": {make([]byte, shop.MaxPhotoBytes+1), "larger than"},
	} {
		key, err := w.PhotoIn(t.Context(), c.raw)
		if !errors.Is(err, shop.ErrInvalid) || !strings.Contains(err.Error(), c.says) || key != "" {
			t.Errorf("%s: key %q, %v; want %q", what, key, err, c.says)
		}
	}
}

// header is the start of a PNG that claims a size.
func header(w, h uint32) []byte {
	chunk := append([]byte("IHDR"), binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)...)
	chunk = append(chunk, 8, 2, 0, 0, 0)
	b := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), chunk...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(chunk))
}

// A large photo is made smaller in proportion; a clear one is laid on white.
func TestPhotoScaled(t *testing.T) {
	w := small(t)
	if _, img := keep(t, w, photo(t, image.NewGray(image.Rect(0, 0, 3200, 100)))); img.Bounds() != image.Rect(0, 0, 2560, 80) {
		t.Errorf("3200 × 100 became %v", img.Bounds())
	}
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewNRGBA(image.Rect(0, 0, 40, 20))); err != nil {
		t.Fatal(err)
	}
	if _, img := keep(t, w, b.Bytes()); img.Bounds() != image.Rect(0, 0, 40, 20) || !like(img.At(20, 10), color.RGBA{255, 255, 255, 255}) {
		t.Errorf("a clear picture became %v of %v", img.At(20, 10), img.Bounds())
	}
}

// The same photo sent twice is kept once, and its small copy goes with it.
func TestPhotoOnce(t *testing.T) {
	w := small(t)
	raw := photo(t, image.NewGray(image.Rect(0, 0, 1600, 1200)))
	one, err := w.PhotoIn(t.Context(), raw)
	if err != nil {
		t.Fatal(err)
	}
	two, err := w.PhotoIn(t.Context(), append(bytes.Clone(raw), "behind"...))
	if err != nil || two != one {
		t.Errorf("kept as %s and %s, %v", one, two, err)
	}
	b, err := w.SmallPhoto(t.Context(), one)
	if err != nil {
		t.Fatal(err)
	}
	if cfg, err := jpeg.DecodeConfig(bytes.NewReader(b)); err != nil || cfg.Width != 640 || cfg.Height != 480 {
		t.Errorf("the small copy is %d × %d, %v", cfg.Width, cfg.Height, err)
	}
	if _, err := w.SmallPhoto(t.Context(), strings.Repeat("0", 64)); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("a photo that is not here: %v", err)
	}
}
