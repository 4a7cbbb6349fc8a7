package storetest

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

func empty(t *testing.T, s shop.Store) {
	ctx := context.Background()
	wantBook(t, s, "a")
	wantSummaries(t, s)
	wantTag(t, s, "A1")
	_, err := s.Blob(ctx, job.Salted(nil, nil))
	wantKind(t, err, shop.ErrNotFound)
	must(t, s.Append(ctx))
	wantSummaries(t, s)
}

// verbatim: a store never looks into the bytes.
func verbatim(t *testing.T, s shop.Store) {
	lines := []job.Line{
		{ID: "1", Bytes: []byte(`{"b":1,  "a":2}`)},
		{ID: "2", Bytes: []byte("\x00\xff\xfe not JSON, not UTF-8 \n")},
		{ID: "3", Bytes: []byte("null")},
		{ID: "4", Bytes: []byte("12")},
		{ID: "ž 'x' \" %", Bytes: []byte(`"čtyři"`)},
	}
	must(t, s.Append(context.Background(), shop.Add{Book: "čp. 5'", Lines: lines}))
	wantLines(t, s, "čp. 5'", 0, lines)
}

func after(t *testing.T, s shop.Store) {
	must(t, s.Append(context.Background(), add("a", 0, "1", "2", "3")))
	must(t, s.Append(context.Background(), add("a", 3, "4")))
	wantBook(t, s, "a", "1", "2", "3", "4")
	wantLines(t, s, "a", 2, entries("3", "4"))
	wantLines(t, s, "a", 4, nil)
	wantLines(t, s, "a", 9, nil)
	wantBook(t, s, "A") // names are not folded
}

func movedOn(t *testing.T, s shop.Store) {
	ctx := context.Background()
	must(t, s.Append(ctx, add("a", 0, "1", "2")))
	for _, after := range []int{-1, 0, 1, 3} {
		wantKind(t, s.Append(ctx, add("a", after, "x")), shop.ErrConflict)
	}
	wantKind(t, s.Append(ctx, add("new", 1, "x")), shop.ErrConflict)
	wantBook(t, s, "a", "1", "2")
	wantBook(t, s, "new")
	wantSummaries(t, s, shop.Summary{Book: "a", Seq: 2, Body: []byte(`{"after":0}`)})
}

// atOnce lets writers race for one sequence number, round after round.
func atOnce(t *testing.T, s shop.Store) {
	const rounds, writers = 40, 4
	var won []string
	for r := range rounds {
		errs := race(writers, func(w int) error {
			return s.Append(context.Background(), add("a", r, fmt.Sprint(r, "-", w)))
		})
		for w, err := range errs {
			if err == nil {
				won = append(won, fmt.Sprint(r, "-", w))
			} else {
				wantKind(t, err, shop.ErrConflict)
			}
		}
		if len(won) != r+1 {
			t.Fatalf("round %d: %d of %d writers won, want one: %v", r, len(won)-r, writers, errs)
		}
	}
	wantBook(t, s, "a", won...)
}

// race runs n callers at once and returns their errors.
func race(n int, do func(i int) error) []error {
	errs := make([]error, n)
	start := make(chan struct{})
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() {
			<-start
			errs[i] = do(i)
		})
	}
	close(start)
	wg.Wait()
	return errs
}

// spares: stores may commit callers together, but a conflict is one caller's.
func spares(t *testing.T, s shop.Store) {
	const callers, each = 16, 25
	errs := race(callers, func(i int) error {
		book := fmt.Sprint("book", i)
		for n := range each {
			if err := s.Append(context.Background(), add(book, n, fmt.Sprint(n))); err != nil {
				return err
			}
			if err := s.Append(context.Background(), add(book, n, fmt.Sprint("late", n))); !errors.Is(err, shop.ErrConflict) {
				return fmt.Errorf("late entry: got error %v, want a conflict", err)
			}
		}
		return nil
	})
	must(t, errors.Join(errs...))
	var ids []string
	for n := range each {
		ids = append(ids, fmt.Sprint(n))
	}
	for i := range callers {
		wantBook(t, s, fmt.Sprint("book", i), ids...)
	}
}

func twice(t *testing.T, s shop.Store) {
	ctx := context.Background()
	must(t, s.Append(ctx, add("a", 0, "1", "2"), add("b", 0, "3")))
	must(t, s.Append(ctx, add("a", 0, "1", "2"), add("b", 0, "3")))
	must(t, s.Append(ctx, add("a", 2, "4")))
	before, err := s.Summaries(ctx)
	must(t, err)
	again := add("a", 0, "1", "2") // checked before the sequence
	again.Summary, again.Tags = []byte("old"), []string{"A1"}
	must(t, s.Append(ctx, again))
	must(t, s.Append(ctx, add("a", 77, "2")))
	wantBook(t, s, "a", "1", "2", "4")
	wantBook(t, s, "b", "3")
	wantSummaries(t, s, before...)
	wantTag(t, s, "A1")

	must(t, s.Append(ctx, add("b", 1, "1"))) // an id is one of its book
	wantBook(t, s, "b", "3", "1")

	errs := race(4, func(int) error { return s.Append(ctx, add("a", 3, "5")) })
	must(t, errors.Join(errs...))
	wantBook(t, s, "a", "1", "2", "4", "5")
}

func otherBytes(t *testing.T, s shop.Store) {
	ctx := context.Background()
	must(t, s.Append(ctx, add("a", 0, "1")))
	forged := add("a", 1, "1")
	forged.Lines[0].Bytes = []byte("something else")
	wantKind(t, s.Append(ctx, forged), shop.ErrConflict)
	forged.After = 0
	wantKind(t, s.Append(ctx, forged), shop.ErrConflict)
	wantBook(t, s, "a", "1")
}

func someRepeats(t *testing.T, s shop.Store) {
	ctx := context.Background()
	must(t, s.Append(ctx, add("a", 0, "1")))
	wantKind(t, s.Append(ctx, add("a", 1, "1", "2")), shop.ErrConflict)
	wantKind(t, s.Append(ctx, add("a", 1, "2", "1")), shop.ErrConflict)
	wantKind(t, s.Append(ctx, add("a", 0, "1"), add("b", 0, "2")), shop.ErrConflict)
	wantBook(t, s, "a", "1")
	wantBook(t, s, "b")
}

func allOrNothing(t *testing.T, s shop.Store) {
	ctx := context.Background()
	from, to := add("a", 0, "1"), add("b", 0, "2")
	from.Tags, to.Tags = []string{"A1"}, []string{"B1"}
	must(t, s.Append(ctx, from, to))
	before, err := s.Summaries(ctx)
	must(t, err)

	for _, bad := range []shop.Add{add("b", 0, "4"), add("b", 2, "4"), {Book: "b", After: 1, Lines: []job.Line{{ID: "2", Bytes: []byte("else")}}}} {
		good := add("a", 1, "3")
		good.Tags, bad.Tags = []string{"A2"}, []string{"B2"}
		wantKind(t, s.Append(ctx, good, bad), shop.ErrConflict)
		wantKind(t, s.Append(ctx, bad, good), shop.ErrConflict)
	}
	wantBook(t, s, "a", "1")
	wantBook(t, s, "b", "2")
	wantSummaries(t, s, before...)
	wantTag(t, s, "A1", "a")
	wantTag(t, s, "B1", "b")
	wantTag(t, s, "A2")
	wantTag(t, s, "B2")
}

func invalid(t *testing.T, s shop.Store) {
	for _, adds := range [][]shop.Add{
		{add("", 0, "1")},
		{add("a", 0, "1"), add("a", 1, "2")},
		{add("a", 0, "1", "1")},
		{add("a", 0, "")},
		{{Book: "a", Lines: []job.Line{{ID: "1"}}}},
	} {
		wantKind(t, s.Append(context.Background(), adds...), shop.ErrInvalid)
	}
	wantBook(t, s, "a")
	wantSummaries(t, s)
}
