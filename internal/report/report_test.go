package report_test

import (
	"context"
	"os"
	"testing"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/report"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

var made = time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC)

func workshop(t testing.TB, finished bool) *shop.Shop {
	t.Helper()
	sh := shop.New(memory.New(), func() time.Time { return made })
	if err := demo.Load(context.Background(), sh, finished); err != nil {
		t.Fatal(err)
	}
	return sh
}

func options(sh *shop.Shop, d *shop.Desk) report.Options {
	return report.Options{Pin: d.Pin, Made: made, Version: "test",
		Name:  func(k string) string { return sh.Name(context.Background(), k) },
		Photo: func(k string) ([]byte, bool) { b, err := sh.Blob(context.Background(), k); return b, err == nil }}
}

func TestLook(t *testing.T) {
	for _, fin := range []bool{false, true} {
		sh := workshop(t, fin)
		d, err := sh.Open(context.Background(), "linnet")
		if err != nil {
			t.Fatal(err)
		}
		b, err := report.Book(d.View, options(sh, d))
		if err != nil {
			t.Fatal(err)
		}
		n := "/tmp/book-open.pdf"
		if fin {
			n = "/tmp/book.pdf"
		}
		os.WriteFile(n, b, 0o644)
	}
}
