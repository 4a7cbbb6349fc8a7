package photo_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"endfloat/internal/photo"
)

var quarters = map[[2]int]color.RGBA{{0, 0}: {200, 30, 30, 255}, {1, 0}: {30, 180, 30, 255}, {0, 1}: {30, 30, 200, 255}, {1, 1}: {230, 230, 230, 255}}

func sample(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func decode(t testing.TB, b []byte) image.Image {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func like(c color.Color, want color.RGBA) bool {
	r, g, b, _ := c.RGBA()
	near := func(a uint32, b uint8) bool { return max(int(a>>8)-int(b), int(b)-int(a>>8)) <= 45 }
	return near(r, want.R) && near(g, want.G) && near(b, want.B)
}

// Photos in every form that is taken, written by a library that is not ours
// (testdata/make.py), come out upright and alike, the small copy too.
func TestMake(t *testing.T) {
	for _, name := range []string{"side.jpg", "side-progressive.jpg", "side-444.jpg", "side.png", "side.webp", "clear.webp", "palette.png"} {
		raw := sample(t, name)
		kept, err := photo.Make(raw)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for what, b := range map[string][]byte{"large": kept, "small": photo.Small(kept)} {
			img := decode(t, b)
			if img.Bounds() != image.Rect(0, 0, 48, 32) {
				t.Errorf("%s, %s: %v", name, what, img.Bounds())
				continue
			}
			for at, want := range quarters {
				if c := img.At(12+24*at[0], 8+16*at[1]); !like(c, want) {
					t.Errorf("%s, %s: quarter %v is %v, want %v", name, what, at, c, want)
				}
			}
		}
		if len(photo.Small(kept)) >= len(kept) {
			t.Errorf("%s: no small copy within", name)
		}
		bare(t, name, kept)
	}
}

// bare holds a kept photo to JFIF 1.02: SOI, APP0 "JFIF", APP0 "JFXX" with the
// small copy, then the picture, and no other segment that could say anything.
func bare(t *testing.T, name string, kept []byte) {
	t.Helper()
	for _, s := range []string{"GPS", "Exif", "Tove", "camera", "http", "ICC"} {
		if bytes.Contains(kept, []byte(s)) {
			t.Errorf("%s: the kept photo still says %q", name, s)
		}
	}
	var heads []string
	for i := 2; kept[i+1] != 0xDA; i += 2 + int(binary.BigEndian.Uint16(kept[i+2:])) {
		if m := kept[i+1]; m >= 0xE1 && m <= 0xEF || m == 0xFE {
			t.Errorf("%s: segment %X", name, m)
		} else if m == 0xE0 {
			heads = append(heads, string(kept[i+4:i+8]))
		}
	}
	if strings.Join(heads, " ") != "JFIF JFXX" {
		t.Errorf("%s: APP0 segments %q", name, heads)
	}
	if !bytes.HasSuffix(kept, []byte{0xFF, 0xD9}) || bytes.Count(kept, []byte{0xFF, 0xD9}) != 2 {
		t.Errorf("%s: something stands behind the picture", name)
	}
}

// Of the samples, the location is really in what was sent.
func TestSamplesSaySomething(t *testing.T) {
	for _, name := range []string{"side.jpg", "side.png", "side.webp"} {
		if !bytes.Contains(sample(t, name), []byte("Tove")) {
			t.Errorf("%s says nothing that could be left out", name)
		}
	}
}

func TestGreyAndClear(t *testing.T) {
	for name, want := range map[string]color.RGBA{"grey.jpg": {81, 81, 81, 255}, "cmyk.jpg": {200, 30, 30, 255}, "nothing-seen.png": {255, 255, 255, 255}} {
		kept, err := photo.Make(sample(t, name))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if c := decode(t, kept).At(12, 8); !like(c, want) {
			t.Errorf("%s: %v, want %v", name, c, want)
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

// resized is a JPEG whose frame header claims another size.
func resized(raw []byte, w, h uint16) []byte {
	b := bytes.Clone(raw)
	for i := 2; i+9 < len(b); i += 2 + int(binary.BigEndian.Uint16(b[i+2:])) {
		if b[i+1] >= 0xC0 && b[i+1] <= 0xC2 {
			binary.BigEndian.PutUint16(b[i+5:], h)
			binary.BigEndian.PutUint16(b[i+7:], w)
			return b
		}
	}
	return b
}

// passes is a progressive JPEG with its last pass written n times more.
func passes(raw []byte, n int) []byte {
	at := bytes.LastIndex(raw, []byte{0xFF, 0xDA})
	return append(bytes.Clone(raw[:at]), bytes.Repeat(raw[at:len(raw)-2], n)...)
}

// What is no still photo that can be unpacked is refused in words that say what
// it was taken for and what to do.
func TestRefused(t *testing.T) {
	whole := sample(t, "side.jpg")
	for what, c := range map[string]struct {
		raw  []byte
		says string
	}{
		"nothing": {nil, "empty"}, "text": {[]byte("this is no photo"), "not a photo"},
		"svg":  {[]byte("<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"), "SVG"},
		"page": {[]byte("<!doctype html><script>alert(1)</script>"), "not a photo"},
		"gif":  {sample(t, "moves.gif"), "GIF"}, "tiff": {sample(t, "raw.tif"), "TIFF"}, "bmp": {sample(t, "scene.bmp"), "BMP"}, "pdf": {sample(t, "scene.pdf"), "PDF"},
		"heic": {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "HEIC"}, "avif": {[]byte("\x00\x00\x00\x18ftypavif\x00\x00\x00\x00"), "AVIF"},
		"film": {[]byte("\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00"), "film"}, "archive": {[]byte("PK\x03\x04rest"), "archive"},
		"moving webp": {sample(t, "moves.webp"), "moves"}, "moving png": {sample(t, "moves.png"), "moves"}, "lossless webp": {sample(t, "lossless.webp"), "without loss"},
		"half a jpeg": {whole[:len(whole)-40], "damaged"}, "half a png": {sample(t, "side.png")[:120], "damaged"}, "half a webp": {sample(t, "side.webp")[:80], "damaged"},
		"huge png": {header(30000, 30000), "30000 × 30000 pixels"}, "png past all": {header(1<<31-1, 1<<31-1), "damaged"}, "no width": {header(0, 40), "damaged"},
		"huge jpeg": {resized(whole, 65000, 65000), "65000 × 65000 pixels"}, "heavy": {make([]byte, photo.MaxBytes+1), "larger than 30 MB"},
		"endless passes": {passes(sample(t, "side-progressive.jpg"), 500), "passes"},
	} {
		kept, err := photo.Make(c.raw)
		if !errors.Is(err, photo.ErrRefused) || !strings.Contains(err.Error(), c.says) || kept != nil {
			t.Errorf("%s: %v; want %q", what, err, c.says)
		}
	}
}

// What hides behind, before or within a picture does not survive it.
func TestPolyglots(t *testing.T) {
	const evil = "<script>alert(document.domain)</script>"
	jpg := sample(t, "side.jpg")
	comment := append([]byte{0xFF, 0xFE, 0, byte(len(evil) + 2)}, evil...)
	for what, raw := range map[string][]byte{
		"page behind a jpeg":  append(bytes.Clone(jpg), evil...),
		"zip behind a jpeg":   append(bytes.Clone(jpg), "PK\x05\x06"+evil...),
		"page within a jpeg":  append(append(bytes.Clone(jpg[:2]), comment...), jpg[2:]...),
		"page behind a png":   append(sample(t, "side.png"), evil...),
		"page behind a webp":  append(sample(t, "side.webp"), evil...),
		"second jpeg behind":  append(bytes.Clone(jpg), jpg...),
		"film behind a photo": append(bytes.Clone(jpg), "\x00\x00\x00\x18ftypmp42"+evil...),
	} {
		kept, err := photo.Make(raw)
		if errors.Is(err, photo.ErrRefused) {
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", what, err)
			continue
		}
		if bytes.Contains(kept, []byte("script")) || bytes.Contains(kept, []byte("PK\x05")) || bytes.Contains(kept, []byte("ftyp")) {
			t.Errorf("%s survives", what)
		}
		bare(t, what, kept)
	}
}

// Large photos are made smaller in proportion, and a fine grating comes out grey
// instead of as a pattern that is not there.
func TestScaled(t *testing.T) {
	src := image.NewGray(image.Rect(0, 0, 5120, 640))
	for i := range src.Pix {
		src.Pix[i] = uint8(i % 2 * 255)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, src, &jpeg.Options{Quality: 100}); err != nil {
		t.Fatal(err)
	}
	kept, err := photo.Make(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	img := decode(t, kept)
	if img.Bounds() != image.Rect(0, 0, 2560, 320) {
		t.Errorf("became %v", img.Bounds())
	}
	for x := range 2560 {
		if r, _, _, _ := img.At(x, 100).RGBA(); r>>8 < 120 || r>>8 > 135 {
			t.Fatalf("the grating shows as %d at %d", r>>8, x)
		}
	}
	if got := decode(t, photo.Small(kept)).Bounds(); got != image.Rect(0, 0, 640, 80) {
		t.Errorf("the small copy is %v", got)
	}
}

// Every small copy fits, even of a picture that cannot be compressed.
func TestSmallOfNoise(t *testing.T) {
	src, x := image.NewRGBA(image.Rect(0, 0, 1500, 1500)), uint32(1)
	for i := range src.Pix {
		x ^= x << 13
		x ^= x >> 17
		x ^= x << 5
		src.Pix[i] = uint8(x) | uint8(i&3/3*255)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, src, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	kept, err := photo.Make(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	if small := photo.Small(kept); len(small) > 65527 || decode(t, small).Bounds().Dx() < 160 {
		t.Errorf("the small copy has %d bytes, %v", len(small), decode(t, small).Bounds())
	}
	if got, want := photo.Small([]byte("\xFF\xD8\xFF\xD9")), []byte("\xFF\xD8\xFF\xD9"); !bytes.Equal(got, want) {
		t.Errorf("a photo without a small copy gives %q", got)
	}
}
