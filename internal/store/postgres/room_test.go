//go:build linux

package postgres

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/postgres/pgtest"
)

// The disk of the database is full: it is said plainly, what was acknowledged is there
// and what was refused is not, and it goes on once there is room.
func TestDiskFull(t *testing.T) {
	p := pgtest.New(t)
	resize := p.Small(t, "small", 2<<20)
	s, err := Open(ctx, p.URL(t)+"&default_tablespace=small")
	must(t, err)
	defer s.Close()
	r := rand.New(rand.NewPCG(1, 1))
	bytes := func(n int) []byte { // that cannot be squeezed
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(r.Uint32())
		}
		return b
	}
	var kept []job.Line
	add := func() shop.Add {
		n := len(kept)
		return shop.Add{Book: "a", After: n, Lines: []job.Line{{ID: fmt.Sprint(n), Bytes: bytes(20_000)}, {ID: fmt.Sprint(n + 1), Bytes: bytes(20_000)}}}
	}
	put := func(a shop.Add) error {
		begun := time.Now()
		err := s.Append(ctx, a)
		if err == nil {
			kept = append(kept, a.Lines...)
		} else if time.Since(begun) > 5*time.Second {
			t.Errorf("said after %s only", time.Since(begun))
		}
		return err
	}
	same := func() {
		t.Helper()
		ls, err := s.Lines(ctx, "a", 0)
		must(t, err)
		if len(ls) != len(kept) || len(kept) == 0 {
			t.Fatalf("%d entries, %d acknowledged", len(ls), len(kept))
		}
		for i, l := range ls {
			if l.ID != kept[i].ID || string(l.Bytes) != string(kept[i].Bytes) {
				t.Fatalf("entry %d is not as it was acknowledged", i+1)
			}
		}
	}
	for n := range 2 { // full, more room, and full again
		var full shop.Add
		for err = nil; err == nil; {
			full = add()
			if err = put(full); len(kept) > 1000 {
				t.Fatal("the disk is never full")
			}
		}
		if !errors.Is(err, shop.ErrFull) || !strings.Contains(err.Error(), "free some space") {
			t.Fatal("a full disk: ", err)
		}
		if _, err := s.PutBlob(ctx, nil, bytes(4<<20)); !errors.Is(err, shop.ErrFull) {
			t.Error("a photo on a full disk: ", err)
		}
		same()
		keys, err := s.BlobKeys(ctx, "", 10)
		must(t, err)
		if len(keys) > 0 {
			t.Error("a photo that was refused is there")
		}
		resize(4 << 20 << n)
		must(t, put(full))
		same()
	}
}

// A server that takes no changes any more, as its keeper set it, says so; it goes on
// when it does again.
func TestReadOnlyInUse(t *testing.T) {
	p := pgtest.New(t)
	s, err := Open(ctx, p.URL(t))
	must(t, err)
	defer s.Close()
	must(t, s.Append(ctx, one("a", 0, "0")))
	short(t, &s.enough, 300*time.Millisecond)
	p.Set(t, "default_transaction_read_only", "on")
	eventually(t, func() bool {
		var on string
		err := s.db.QueryRow("SHOW default_transaction_read_only").Scan(&on)
		return on == "on" || errors.Is(err, pgconn.ErrReadOnlyConnection)
	})
	if err := s.Append(ctx, one("a", 1, "1")); err == nil || !strings.Contains(err.Error(), "takes no changes") {
		t.Errorf("a read-only server: %v", err)
	}
	s.enough = 10 * time.Second
	p.Set(t, "default_transaction_read_only", "off")
	must(t, s.Append(ctx, one("a", 1, "1")))
	if got := lines(t, s, "a"); len(got) != 2 {
		t.Errorf("entries %q", got)
	}
}
