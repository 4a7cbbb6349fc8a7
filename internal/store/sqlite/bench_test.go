package sqlite

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// typical is an Append as a bench makes it: one entry of 300 bytes, a summary,
// and 40 pieces in the book.
func typical(book string, after int) shop.Add {
	a := shop.Add{Book: book, After: after, Summary: bytes.Repeat([]byte("s"), 200)}
	a.Lines = []job.Line{{ID: fmt.Sprintf("01900000-0000-7000-8000-%012d", after), Bytes: bytes.Repeat([]byte("e"), 300)}}
	for n := range 40 {
		a.Tags = append(a.Tags, fmt.Sprint("A", n))
	}
	return a
}

func rate(b *testing.B) {
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "appends/s")
}

// BenchmarkDisk is what the disk allows: 4 KiB appended to a file and synced.
// Read the others beside it.
func BenchmarkDisk(b *testing.B) {
	f, err := os.Create(filepath.Join(b.TempDir(), "raw"))
	must(b, err)
	defer f.Close()
	page := make([]byte, 4096)
	for b.Loop() {
		_, err := f.Write(page)
		must(b, err)
		must(b, f.Sync())
	}
	rate(b)
}

func BenchmarkAppend(b *testing.B) {
	s := open(b, filepath.Join(b.TempDir(), "endfloat.db"))
	n := 0
	for b.Loop() {
		must(b, s.Append(ctx, typical("a", n)))
		n++
	}
	rate(b)
}

// BenchmarkAppend64 is 64 clients at once, each with a book of its own.
func BenchmarkAppend64(b *testing.B) {
	s := open(b, filepath.Join(b.TempDir(), "endfloat.db"))
	const clients = 64
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
	rate(b)
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
