package main

import (
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
	"endfloat/internal/web"
)

// One job's return card, with everything on the bench as in the demonstration.
func BenchmarkJobPage(b *testing.B) {
	sh := shop.New(memory.New(), time.Now)
	if err := demo.Load(b.Context(), sh, false); err != nil {
		b.Fatal(err)
	}
	h := web.New(sh, web.Options{Version: "benchmark"})
	for b.Loop() {
		r := httptest.NewRequest("GET", "http://127.0.0.1/job/linnet", nil)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != http.StatusOK {
			b.Fatalf("status %d", w.Code)
		}
	}
}
