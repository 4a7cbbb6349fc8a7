package web

import (
	"context"
	"net/http"
	"net/http/httptest"
	"os"
	"testing"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

func TestServe(t *testing.T) {
	addr := os.Getenv("SERVE")
	if addr == "" {
		t.Skip()
	}
	sh := shop.New(memory.New(), time.Now)
	if err := demo.Load(context.Background(), sh, false); err != nil {
		t.Fatal(err)
	}
	http.ListenAndServe(addr, New(sh, Options{Version: "dev"}))
}

var _ = httptest.NewRecorder
