package report_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"runtime"
	"runtime/metrics"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/photo"
	"endfloat/internal/plan"
	"endfloat/internal/report"
)

// thick is the finished unit of the demonstration with 200 photos more, each in
// a note: a book of 100 pages and over.
func thick(t testing.TB) (*plan.View, report.Options) {
	t.Helper()
	d, o := desk(t, true, demo.Linnet)
	es := slices.Clone(d.Entries)
	shots := map[string][]byte{}
	old := o.Photo
	for i := range 200 {
		key := fmt.Sprintf("%064x", i)
		shots[key] = snapshot(t, i)
		raw, err := job.Encode(job.Entry{ID: key, At: made.Add(time.Duration(i) * time.Minute), By: d.Entries[0].By},
			job.Noted{Position: "P01", Photos: []string{key}, Text: "Seen from the front, lit from the left. " + strings.Repeat("The flank is even and bright over its whole width. ", 3)})
		if err != nil {
			t.Fatal(err)
		}
		es = append(es, job.Decode(job.Line{Seq: len(es) + 1, Bytes: raw}))
	}
	o.Photo = func(k string) ([]byte, bool) {
		if b, ok := shots[k]; ok {
			return b, true
		}
		return old(k)
	}
	return plan.Of(job.Replay(d.Book, d.Box, es)), o
}

// snapshot is a photo as the workshop keeps it, with its small copy within.
func snapshot(t testing.TB, seed int) []byte {
	t.Helper()
	const w, h = 640, 480
	img := image.NewGray(image.Rect(0, 0, w, h))
	n := uint32(seed + 1)
	for y := range h {
		for x := range w {
			n = n*1664525 + 1013904223 // noise, as a sensor has it
			img.SetGray(x, y, color.Gray{uint8((x*x+y*y)/(seed+700)) + uint8(n>>28)})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	kept, err := photo.Make(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	return kept
}

// A book of 100 pages with 200 photos holds less than 128 MB at any time, is the
// same when it is made again, and takes less than a second on a free machine: the
// benchmark below measures that, for a test shares its machine with others.
func TestThickBook(t *testing.T) {
	v, o := thick(t)
	first := book(t, v, o)
	if n, err := strconv.Atoi(strings.TrimSpace(tool(t, first, "qpdf", "--show-npages", "FILE"))); err != nil || n < 100 {
		t.Fatalf("%d pages, %v; the test wants a hundred", n, err)
	}
	runtime.GC()
	base := heap()
	peak, done := make(chan uint64), make(chan bool)
	go func() {
		most := base
		for {
			select {
			case <-done:
				peak <- most
				return
			case <-time.After(2 * time.Millisecond):
				most = max(most, heap())
			}
		}
	}()
	again := book(t, v, o)
	done <- true
	if !bytes.Equal(first, again) {
		t.Error("made again it is another")
	}
	most := float64(<-peak-base) / 1e6
	t.Logf("%d kB, %.0f MB at most beside what was there", len(first)/1000, most)
	if most > 128 {
		t.Errorf("the book took %.0f MB; it must stay below 128", most)
	}
}

// heap is what objects take, those not yet collected too.
func heap() uint64 {
	s := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}

// Under a second and 128 MB: go test ./internal/report -run '^$' -bench Thick
// -benchmem; for the peak of the whole process put /usr/bin/time -v before it.
func BenchmarkThickBook(b *testing.B) {
	v, o := thick(b)
	var pdf []byte
	for b.Loop() {
		pdf = book(b, v, o)
	}
	b.ReportMetric(float64(len(pdf))/1e6, "MB/book")
}
