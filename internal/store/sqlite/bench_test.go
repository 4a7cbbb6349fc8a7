package sqlite

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"sync/atomic"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// typical is an Append as a bench makes it: one entry of 300 bytes, a summary,
// and 40 pieces in the book.
func typical(book string, after int) shop.Add {
	a := shop.Add{Book: book, After: after, Summary: bytes.Repeat([]byte("s"), 200)}
	a.Lines = []job.Line{{ID: fmt.Sprintf("01900000-0000-7000-8000-%012d", after), Bytes: bytes.Repeat([]byte("e"), 300)}}
	a.Tags = pieces
	return a
}

var pieces = func() (tags []string) {
	for n := range 40 {
		tags = append(tags, fmt.Sprint("A", n))
	}
	return tags
}()

func rate(b *testing.B) {
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "appends/s")
}

// disk is what the disk allows: 4 KiB appended to a file and synced.
type disk struct {
	f     *os.File
	n     int
	spent time.Duration
}

func newDisk(b *testing.B) *disk {
	f, err := os.Create(filepath.Join(b.TempDir(), "raw"))
	must(b, err)
	b.Cleanup(func() { f.Close() })
	return &disk{f: f}
}

func (d *disk) sync(b *testing.B, times int) {
	began := time.Now()
	for range times {
		_, err := d.f.Write(make([]byte, 4096))
		must(b, err)
		must(b, d.f.Sync())
	}
	d.n, d.spent = d.n+times, d.spent+time.Since(began)
}

func (d *disk) rate() float64 { return float64(d.n) / d.spent.Seconds() }

// BenchmarkAppend is one client. What else goes on at the machine and its disk
// changes from moment to moment, so the bare disk takes turns with the store.
func BenchmarkAppend(b *testing.B) {
	s, d, n := open(b, filepath.Join(b.TempDir(), "endfloat.db")), newDisk(b), 0
	for b.Loop() {
		must(b, s.Append(ctx, typical("a", n)))
		if n++; n%50 == 0 {
			b.StopTimer()
			d.sync(b, 50)
			b.StartTimer()
		}
	}
	rate(b)
	if d.n > 0 {
		b.ReportMetric(d.rate(), "syncs/s")
		b.ReportMetric(100*float64(n)/b.Elapsed().Seconds()/d.rate(), "%disk")
	}
}

// BenchmarkAppend64 is 64 clients at once, each with a book of its own. The collector
// runs as seldom as a server has it while it is asked so much.
func BenchmarkAppend64(b *testing.B) {
	defer debug.SetGCPercent(debug.SetGCPercent(400))
	s, d := open(b, filepath.Join(b.TempDir(), "endfloat.db")), newDisk(b)
	const clients = 64
	d.sync(b, 100)
	var left atomic.Int64
	left.Store(int64(b.N))
	b.ResetTimer()
	for _, err := range race(clients, func(c int) error {
		for n := 0; left.Add(-1) >= 0; n++ {
			if err := s.Append(ctx, typical(fmt.Sprint("book", c), n)); err != nil {
				return err
			}
		}
		return nil
	}) {
		must(b, err)
	}
	b.StopTimer()
	d.sync(b, 100)
	rate(b)
	b.ReportMetric(d.rate(), "syncs/s")
}

// race runs n callers at once and returns their errors.
func race(n int, do func(i int) error) []error {
	errs := make(chan error, n)
	for i := range n {
		go func() { errs <- do(i) }()
	}
	out := make([]error, n)
	for i := range out {
		out[i] = <-errs
	}
	return out
}

func BenchmarkLines5000(b *testing.B) {
	s := open(b, filepath.Join(b.TempDir(), "endfloat.db"))
	for n := 0; n < 5000; n += 100 { // in pieces, between those of other books
		a, other := typical("a", n), typical("b", n)
		for i := 1; i < 100; i++ {
			a.Lines = append(a.Lines, typical("a", n+i).Lines...)
			other.Lines = append(other.Lines, typical("b", n+i).Lines...)
		}
		must(b, s.Append(ctx, a, other))
	}
	b.ReportAllocs()
	for b.Loop() {
		ls, err := s.Lines(ctx, "a", 0)
		must(b, err)
		if len(ls) != 5000 {
			b.Fatal(len(ls), "lines")
		}
	}
}
