package storetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

func summaries(t *testing.T, s shop.Store) {
	ctx := context.Background()
	b := add("b", 0, "1", "2")
	b.Summary = []byte{0, 255, '{'}
	must(t, s.Append(ctx, b))
	must(t, s.Append(ctx, shop.Add{Book: "a", Lines: entries("1")}))
	wantSummaries(t, s, shop.Summary{Book: "a", Seq: 1}, shop.Summary{Book: "b", Seq: 2, Body: b.Summary})
	must(t, s.Append(ctx, shop.Add{Book: "b", After: 2, Lines: entries("3"), Summary: []byte("new")}))
	wantSummaries(t, s, shop.Summary{Book: "a", Seq: 1}, shop.Summary{Book: "b", Seq: 3, Body: []byte("new")})
}

func tags(t *testing.T, s shop.Store) {
	ctx := context.Background()
	at := map[string]int{}
	put := func(book string, tags ...string) shop.Add {
		at[book]++
		a := add(book, at[book]-1, fmt.Sprint(at[book]))
		a.Tags = tags
		return a
	}
	must(t, s.Append(ctx, put("b", "A1", "A2", "A2"), put("a", "C9")))
	wantTag(t, s, "A1", "b")
	wantTag(t, s, "A2", "b")
	wantTag(t, s, "a1")
	wantTag(t, s, "A")

	must(t, s.Append(ctx, put("b", "A2"), put("a", "A1", "C9"))) // A1 moves
	wantTag(t, s, "A1", "a")
	wantTag(t, s, "A2", "b")

	must(t, s.Append(ctx, put("a", "A1", "C9", "A2"))) // a mistake a person may make
	wantTag(t, s, "A2", "a", "b")
	must(t, s.Append(ctx, put("a")))
	wantTag(t, s, "A1")
	wantTag(t, s, "A2", "b")
	wantTag(t, s, "C9")
}

// summaryAlone: an index made anew adds no line.
func summaryAlone(t *testing.T, s shop.Store) {
	ctx := context.Background()
	must(t, s.Append(ctx, add("a", 0, "1")))
	must(t, s.Append(ctx, shop.Add{Book: "a", After: 1, Summary: []byte("anew"), Tags: []string{"A1"}}))
	wantBook(t, s, "a", "1")
	wantSummaries(t, s, shop.Summary{Book: "a", Seq: 1, Body: []byte("anew")})
	wantTag(t, s, "A1", "a")
	wantKind(t, s.Append(ctx, shop.Add{Book: "a", Summary: []byte("late")}), shop.ErrConflict)
	wantSummaries(t, s, shop.Summary{Book: "a", Seq: 1, Body: []byte("anew")})
}

func wantBlob(t *testing.T, s shop.Store, key string, want []byte) {
	t.Helper()
	got, err := s.Blob(context.Background(), key)
	must(t, err)
	if !bytes.Equal(got, want) {
		t.Fatalf("blob %.8s has %d bytes, want %d", key, len(got), len(want))
	}
}

func blobs(t *testing.T, s shop.Store) {
	ctx := context.Background()
	b := []byte("Rada Holm\x00\xff")
	plain, err := s.PutBlob(ctx, nil, b)
	must(t, err)
	// "abc", example of FIPS 180-4 as published by NIST (SHA256.pdf, one-block message).
	key, err := s.PutBlob(ctx, []byte("a"), []byte("bc"))
	must(t, err)
	if want := "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"; key != want {
		t.Fatalf("key %s, want %s", key, want)
	}
	salted, err := s.PutBlob(ctx, []byte("salt"), b)
	must(t, err)
	if salted == plain || salted != job.Salted([]byte("salt"), b) {
		t.Fatalf("salted key %s, plain key %s", salted, plain)
	}
	again, err := s.PutBlob(ctx, []byte("salt"), b)
	must(t, err)
	if again != salted {
		t.Fatalf("put twice: keys %s and %s", salted, again)
	}
	none, err := s.PutBlob(ctx, []byte("salt"), nil)
	must(t, err)
	wantBlob(t, s, plain, b)
	wantBlob(t, s, salted, b)
	wantBlob(t, s, none, nil)

	must(t, s.DropBlob(ctx, salted)) // once is enough, though put twice
	_, err = s.Blob(ctx, salted)
	wantKind(t, err, shop.ErrNotFound)
	wantBlob(t, s, plain, b)
	must(t, s.DropBlob(ctx, salted))
	must(t, s.DropBlob(ctx, "no key"))
	_, err = s.PutBlob(ctx, []byte("salt"), b)
	must(t, err)
	wantBlob(t, s, salted, b)
}

func largeBlob(t *testing.T, s shop.Store) {
	for _, size := range []int{1 << 20, 1<<20 + 1, 3 << 20} {
		b := make([]byte, size)
		for i := range b {
			b[i] = byte(i * i >> 7)
		}
		key, err := s.PutBlob(context.Background(), []byte("photo"), b)
		must(t, err)
		wantBlob(t, s, key, b)
	}
}

// whole: a piece moves back and forth between two books, three entries a time,
// while readers look.
func whole(t *testing.T, s shop.Store) {
	const moves, readers = 60, 3
	ctx := context.Background()
	done := make(chan struct{})
	errs := race(readers+1, func(r int) error {
		if r == readers {
			defer close(done)
			return move(ctx, s, moves)
		}
		for {
			select {
			case <-done:
				return nil
			default:
				if err := seen(ctx, s, r); err != nil {
					return err
				}
			}
		}
	})
	must(t, errors.Join(errs...))
	must(t, seen(ctx, s, 0))
}

func move(ctx context.Context, s shop.Store, moves int) error {
	for n := range moves {
		ids := []string{fmt.Sprint(n, "x"), fmt.Sprint(n, "y"), fmt.Sprint(n, "z")}
		a, b := add("a", 3*n, ids...), add("b", 3*n, ids...)
		a.Tags = []string{"A1"}
		if n%2 > 0 {
			a.Tags, b.Tags = b.Tags, a.Tags
		}
		if err := s.Append(ctx, a, b); err != nil {
			return err
		}
	}
	return nil
}

// seen checks what one look at a time shows.
func seen(ctx context.Context, s shop.Store, r int) error {
	ls, err := s.Lines(ctx, "b", 0)
	if err != nil {
		return err
	}
	if len(ls)%3 != 0 {
		return fmt.Errorf("a reader saw %d lines, want whole threes", len(ls))
	}
	ms, err := s.Summaries(ctx)
	if err != nil {
		return err
	}
	if len(ms) == 1 || len(ms) == 2 && ms[0].Seq != ms[1].Seq {
		return fmt.Errorf("a reader saw %v, want two books that move together", ms)
	}
	at, err := s.FindTag(ctx, "A1")
	if err != nil {
		return err
	}
	if len(at) > 1 || len(at) == 0 && len(ms) > 0 {
		return fmt.Errorf("a reader saw the piece in %q, want one book", at)
	}
	return nil
}

func cancelled(t *testing.T, s shop.Store) {
	live := context.Background()
	must(t, s.Append(live, add("a", 0, "1")))
	key, err := s.PutBlob(live, nil, []byte("x"))
	must(t, err)

	ctx, cancel := context.WithCancel(live)
	cancel()
	_, lines := s.Lines(ctx, "a", 0)
	_, list := s.Summaries(ctx)
	_, tag := s.FindTag(ctx, "A1")
	_, put := s.PutBlob(ctx, nil, []byte("y"))
	_, get := s.Blob(ctx, key)
	for name, err := range map[string]error{
		"Lines": lines, "Append": s.Append(ctx, add("a", 1, "2")), "Summaries": list,
		"FindTag": tag, "PutBlob": put, "Blob": get, "DropBlob": s.DropBlob(ctx, key),
	} {
		if !errors.Is(err, context.Canceled) {
			t.Errorf("%s: got error %v, want context.Canceled", name, err)
		}
	}
	wantBook(t, s, "a", "1")
	wantBlob(t, s, key, []byte("x"))
	_, err = s.Blob(live, job.Salted(nil, []byte("y")))
	wantKind(t, err, shop.ErrNotFound)
	must(t, s.Append(live, add("a", 1, "2")))
}

// kept: what callers do with their slices afterwards is their own affair.
func kept(t *testing.T, s shop.Store) {
	ctx := context.Background()
	a := add("a", 0, "1")
	a.Tags = []string{"A1"}
	must(t, s.Append(ctx, a))
	b := []byte("photo")
	key, err := s.PutBlob(ctx, nil, b)
	must(t, err)
	a.Lines[0].Bytes[0], a.Summary[0], a.Tags[0], b[0] = '!', '!', "Z9", '!'

	ls, err := s.Lines(ctx, "a", 0)
	must(t, err)
	ls[0].Bytes[0] = '!'
	got, err := s.Blob(ctx, key)
	must(t, err)
	got[0] = '!'

	wantBook(t, s, "a", "1")
	wantSummaries(t, s, shop.Summary{Book: "a", Seq: 1, Body: []byte(`{"after":0}`)})
	wantTag(t, s, "A1", "a")
	wantBlob(t, s, key, []byte("photo"))
}
