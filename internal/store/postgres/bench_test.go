package postgres

import (
	"bytes"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// typical is an Append as a bench makes it: one entry of 300 bytes, a summary,
// and 40 pieces in the book.
func typical(book string, after int) shop.Add {
	a := shop.Add{Book: book, After: after, Summary: bytes.Repeat([]byte("s"), 200)}
	a.Lines = []job.Line{{ID: fmt.Sprint(after), Bytes: bytes.Repeat([]byte("e"), 300)}}
	for n := range 40 {
		a.Tags = append(a.Tags, fmt.Sprint("A", n))
	}
	return a
}

func BenchmarkAppend(b *testing.B)   { appends(b, 1) }
func BenchmarkAppend64(b *testing.B) { appends(b, 64) }

// appends is so many clients at once, each with a book of its own.
func appends(b *testing.B, clients int) {
	s := fresh(b)
	var left atomic.Int64
	left.Store(int64(b.N))
	b.ResetTimer()
	var wg sync.WaitGroup
	for c := range clients {
		wg.Go(func() {
			for n := 0; left.Add(-1) >= 0; n++ {
				if err := s.Append(ctx, typical(fmt.Sprint("book", c), n)); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	wg.Wait()
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "appends/s")
}
