package photo_test

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"endfloat/internal/photo"
)

// all are the samples, those that are taken and those that are not.
func all(t testing.TB) [][]byte {
	t.Helper()
	names, err := filepath.Glob("testdata/*.*")
	if err != nil || len(names) < 15 {
		t.Fatalf("%d samples, %v", len(names), err)
	}
	var out [][]byte
	for _, n := range names {
		b, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, b)
	}
	return out
}

// check holds one file to the promise: a clean photo comes out, or a refusal.
func check(t testing.TB, raw []byte) (taken bool) {
	t.Helper()
	kept, err := photo.Make(raw)
	switch {
	case errors.Is(err, photo.ErrRefused):
		if kept != nil || err.Error() == "" {
			t.Fatalf("refused with %d bytes and %q", len(kept), err)
		}
		return false
	case err != nil:
		t.Fatalf("%v, for %d bytes %.40q", err, len(raw), raw)
	}
	for _, b := range [][]byte{kept, photo.Small(kept)} {
		img, err := jpeg.Decode(bytes.NewReader(b))
		if err != nil || max(img.Bounds().Dx(), img.Bounds().Dy()) > photo.Large {
			t.Fatalf("what was kept cannot be read: %v", err)
		}
	}
	return true
}

// mutant is a broken, hostile or lying child of one sample and perhaps another.
func mutant(r *rand.Rand, seeds [][]byte) []byte {
	b := bytes.Clone(seeds[r.IntN(len(seeds))])
	for range 1 + r.IntN(4) {
		if len(b) < 4 {
			return b
		}
		at := r.IntN(len(b) - 3)
		switch r.IntN(9) {
		case 0: // bits
			b[at] ^= 1 << r.IntN(8)
		case 1: // a byte
			b[at] = byte(r.Uint32())
		case 2: // cut off
			b = b[:at]
		case 3: // a lying length or size
			binary.BigEndian.PutUint16(b[at:], []uint16{0, 1, 0xFF, 0x7FFF, 0x8000, 0xFFFF}[r.IntN(6)])
		case 4:
			binary.LittleEndian.PutUint32(b[at:], []uint32{0, 1, 1 << 16, 1 << 31, 1<<32 - 1}[r.IntN(5)])
		case 5: // a piece twice
			n := min(len(b)-at, 1+r.IntN(64))
			b = append(b[:at+n:at+n], b[at:]...)
		case 6: // a piece gone
			b = append(b[:at:at], b[min(len(b), at+1+r.IntN(64)):]...)
		case 7: // the tail of another kind of file
			o := seeds[r.IntN(len(seeds))]
			b = append(b[:at:at], o[r.IntN(len(o)):]...)
		case 8: // the head of one before another
			b = append(bytes.Clone(seeds[r.IntN(len(seeds))][:4]), b...)
		}
	}
	return b
}

// bomb is a PNG of w × h pixels of one colour, a thousandth of its size packed.
func bomb(t testing.TB, w, h int) []byte {
	t.Helper()
	var z bytes.Buffer
	zw := zlib.NewWriter(&z)
	row := make([]byte, 1+3*w)
	for range h {
		zw.Write(row)
	}
	zw.Close()
	b := header(uint32(w), uint32(h))
	for _, c := range []struct {
		kind string
		body []byte
	}{{"IDAT", z.Bytes()}, {"IEND", nil}} {
		chunk := append([]byte(c.kind), c.body...)
		b = append(binary.BigEndian.AppendUint32(b, uint32(len(c.body))), chunk...)
		b = binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(chunk))
	}
	return b
}

// Thousands of broken, hostile and huge files, made of real ones, are refused or
// come out clean, and the memory for all of them is bounded.
func TestHostile(t *testing.T) {
	seeds := all(t)
	r := rand.New(rand.NewPCG(20, 26))
	files := 6000
	if testing.Short() {
		files = 600
	}
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	taken, refused, slowest := 0, 0, time.Duration(0)
	try := func(raw []byte) {
		start := time.Now()
		if check(t, raw) {
			taken++
		} else {
			refused++
		}
		slowest = max(slowest, time.Since(start))
	}
	for range files {
		try(mutant(r, seeds))
	}
	progressive := sample(t, "side-progressive.jpg")
	for _, edge := range []uint16{2000, 3500, 3700, 3800, 5000, 8000, 20000, 65500} {
		try(resized(progressive, edge, edge)) // says large, holds next to nothing
		try(resized(sample(t, "side.jpg"), edge, edge))
		try(bomb(t, int(edge)/8, 200))
	}
	small := refused
	for _, edge := range []int{7000, 9000} {
		try(bomb(t, edge, edge)) // 200 and 320 MB of picture in 150 and 240 kB
	}
	if refused != small+2 {
		t.Error("a bomb was unpacked")
	}
	runtime.ReadMemStats(&after)
	grew := float64(after.Sys-before.Sys) / 1e6
	t.Logf("%d files: %d came out clean, %d refused; memory grew by %.0f MB; the slowest took %v", taken+refused, taken, refused, grew, slowest)
	if taken == 0 || refused < files/3 {
		t.Error("the mutants are too tame, or nothing is taken")
	}
	if grew > 160 {
		t.Errorf("memory grew by %.0f MB", grew)
	}
}

// The largest that is taken: 48 megapixels as a phone makes them, and a PNG just
// under the limit.
func TestLargest(t *testing.T) {
	if testing.Short() {
		t.Skip("large pictures")
	}
	var b bytes.Buffer
	src := image.NewYCbCr(image.Rect(0, 0, 8064, 6048), image.YCbCrSubsampleRatio420)
	for i := range src.Y {
		src.Y[i] = byte(i >> 6)
	}
	if err := jpeg.Encode(&b, src, nil); err != nil {
		t.Fatal(err)
	}
	src = nil
	for what, raw := range map[string][]byte{"48 MP JPEG": b.Bytes(), "22 MP PNG": bomb(t, 4700, 4700)} {
		runtime.GC()
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		start := time.Now()
		if !check(t, raw) {
			t.Errorf("%s was refused", what)
		}
		runtime.ReadMemStats(&after)
		t.Logf("%s: %v, %.0f MB allocated in all", what, time.Since(start), float64(after.TotalAlloc-before.TotalAlloc)/1e6)
	}
}

// BenchmarkMake takes a photo of 12 megapixels.
func BenchmarkMake(b *testing.B) {
	var buf bytes.Buffer
	src := image.NewYCbCr(image.Rect(0, 0, 4032, 3024), image.YCbCrSubsampleRatio420)
	for i := range src.Y {
		src.Y[i] = byte(i>>5) ^ byte(i/4032)
	}
	if err := jpeg.Encode(&buf, src, &jpeg.Options{Quality: 90}); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := photo.Make(buf.Bytes()); err != nil {
			b.Fatal(err)
		}
	}
}

func FuzzMake(f *testing.F) {
	for _, b := range all(f) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, raw []byte) { check(t, raw) })
}
