package shop_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"testing"
	"time"

	"endfloat/internal/archive"
	"endfloat/internal/demo"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

// The demonstration goes out and comes in again byte for byte; a hostile or
// parting archive changes nothing.
func TestArchive(t *testing.T) {
	ctx := context.Background()
	now := func() time.Time { return time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC) }
	sh := shop.New(memory.New(), now)
	if err := demo.Load(ctx, sh, true); err != nil {
		t.Fatal(err)
	}
	for _, book := range []string{demo.Linnet, ""} {
		p, err := sh.Pack(ctx, book, true, nil)
		if err != nil {
			t.Fatal(err)
		}
		raw, err := p.Bytes()
		if err != nil {
			t.Fatal(err)
		}
		other := shop.New(memory.New(), now)
		by := shop.By{Name: "Ann Other"}
		raw[len(raw)/2] ^= 1
		if _, err := other.Import(ctx, by, raw); err == nil {
			t.Fatal("a broken archive is taken")
		}
		if rows, _ := other.Jobs(ctx); len(rows) != 0 {
			t.Fatal("a refused archive has left something")
		}
		raw[len(raw)/2] ^= 1
		n, err := other.Import(ctx, by, raw)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%q: %d kB, %+v, needs %d", book, len(raw)/1000, n, len(p.Needs))
		again, err := other.Pack(ctx, book, true, nil)
		if err != nil {
			t.Fatal(err)
		}
		if book != "" {
			if len(p.Needs) == 0 {
				t.Error("the job rests on nothing of the stores")
			}
			again.Needs = p.Needs // they are not taken in
		}
		if b, err := again.Bytes(); err != nil || !bytes.Equal(b, raw) {
			t.Errorf("%q comes out of the other workshop as another (%v)", book, err)
		}
	}
	d, err := sh.Open(ctx, demo.Linnet)
	if err != nil {
		t.Fatal(err)
	}
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, 32))
	most, readings := 0, 0
	for i, e := range d.Entries {
		if e.Kind != "read" && i%20 != 0 {
			continue
		}
		for _, k := range []ed25519.PrivateKey{nil, key} {
			b, err := sh.Prove(ctx, demo.Linnet, e.Seq, k)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := archive.CheckProof(b); err != nil {
				t.Fatal(err)
			}
			if e.Kind != "read" {
				continue
			}
			readings++
			if most = max(most, len(b)); len(b) >= 1000 {
				t.Errorf("entry %d: the proof of a reading has %d bytes; it must stay below 1 kB", e.Seq, len(b))
			}
		}
	}
	if readings < 80 {
		t.Errorf("%d readings were proved", readings)
	}
	t.Logf("largest proof of a reading, signed or not: %d bytes", most)
}
