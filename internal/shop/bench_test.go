package shop_test

import (
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// BenchmarkOpenJob opens the finished demonstration: from the store's lines, and
// again when nothing was added since.
func BenchmarkOpenJob(b *testing.B) {
	w := demonstration(b, finished)
	b.Run("cold", func(b *testing.B) {
		for b.Loop() {
			if _, err := shop.New(w.store, clock).Open(b.Context(), demo.Linnet); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("warm", func(b *testing.B) {
		for b.Loop() {
			w.open(b, demo.Linnet)
		}
	})
}

// BenchmarkRecord adds notes to a long book: decide, replay, index, append.
func BenchmarkRecord(b *testing.B) {
	w := demonstration(b, tell(false))
	b.Logf("a book of %d entries", w.open(b, demo.Linnet).Seq)
	for b.Loop() {
		w.record(b, demo.Linnet, job.Noted{Text: "still here"})
	}
}
