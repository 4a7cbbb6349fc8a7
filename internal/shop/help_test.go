package shop_test

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

var tove = shop.By{Name: "Tove Marrin", Device: "bench tablet"}

func clock() time.Time { return time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC) }

// spy is a store that remembers what was last said of each book, can be told to
// refuse appends, and can let something happen just before a book is read.
type spy struct {
	shop.Store
	mu     sync.Mutex
	last   map[string]shop.Add
	fail   error
	before func(book string)
}

func newSpy() *spy { return &spy{Store: memory.New(), last: map[string]shop.Add{}} }

func (s *spy) Lines(ctx context.Context, book string, after int) ([]job.Line, error) {
	if s.before != nil {
		s.before(book)
	}
	return s.Store.Lines(ctx, book, after)
}

func (s *spy) Append(ctx context.Context, adds ...shop.Add) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.fail != nil {
		return s.fail
	}
	err := s.Store.Append(ctx, adds...)
	for _, a := range adds {
		if err == nil {
			s.last[a.Book] = a
		}
	}
	return err
}

type told struct {
	*shop.Shop
	store *spy
}

func tell(finished bool) func() (told, error) {
	return sync.OnceValues(func() (told, error) {
		store := newSpy()
		sh := shop.New(store, clock)
		return told{sh, store}, demo.Load(context.Background(), sh, finished)
	})
}

// The demonstration, loaded once each. Tests that add to a book make their own.
var partWay, finished = tell(false), tell(true)

func demonstration(t testing.TB, of func() (told, error)) told {
	t.Helper()
	w, err := of()
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// small is a workshop with two instruments, Linnet (series A), Dunnock (series
// B) and the donor Plover, nothing taken off yet.
func small(t testing.TB) told {
	t.Helper()
	store := newSpy()
	w := told{shop.New(store, clock), store}
	if _, err := w.KeepBox(t.Context(), tove, "bw-4t.gearbox.yaml", demo.BW4T()); err != nil {
		t.Fatal(err)
	}
	w.record(t, shop.StoresBook, job.Instrument{Name: "depth micrometer", Quantity: "length", Unit: "mm", U: 5e-6, Common: 0.5},
		job.Instrument{Name: "hanging scale", Quantity: "force", Unit: "N", U: 0.5, Common: 0.5})
	for _, o := range []job.Opened{
		{Unit: "Linnet", Letter: "L", Colour: "blue", Type: "BW-4T", Series: "A"},
		{Unit: "Dunnock", Letter: "D", Colour: "yellow", Type: "BW-4T", Series: "B"},
		{Unit: "Plover", Letter: "P", Colour: "grey", Type: "BW-4T", Series: "B", Donor: true},
	} {
		if _, err := w.NewJob(t.Context(), tove, o); err != nil {
			t.Fatal(err)
		}
	}
	return w
}

// record adds bodies that must be accepted.
func (w told) record(t testing.TB, book string, bs ...job.Body) *shop.Desk {
	t.Helper()
	var d *shop.Desk
	for _, b := range bs {
		var err error
		if d, err = w.Record(t.Context(), tove, book, b); err != nil {
			t.Fatalf("%s in %s: %v", b.Kind(), book, err)
		}
	}
	return d
}

func (w told) open(t testing.TB, book string) *shop.Desk {
	t.Helper()
	d, err := w.Open(t.Context(), book)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// sizes are the sequence numbers of all books.
func (w told) sizes(t testing.TB) map[string]int {
	t.Helper()
	sums, err := w.store.Summaries(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]int{}
	for _, s := range sums {
		out[s.Book] = s.Seq
	}
	return out
}

// refuses checks that a change is refused in words that hold all of says, and
// that no book has grown.
func (w told) refuses(t *testing.T, what, book string, b job.Body, says ...string) {
	t.Helper()
	before := w.sizes(t)
	d, err := w.Record(t.Context(), tove, book, b)
	w.refused(t, what, d, err, before, says...)
}

func (w told) refused(t *testing.T, what string, d *shop.Desk, err error, before map[string]int, says ...string) {
	t.Helper()
	var hold *shop.HoldError
	switch {
	case err == nil:
		t.Errorf("%s: was accepted", what)
	case !errors.Is(err, shop.ErrInvalid) && !errors.As(err, &hold):
		t.Errorf("%s: refused with an error of no kind a person can mend: %v", what, err)
	case d != nil:
		t.Errorf("%s: refused, yet a desk came back", what)
	default:
		for _, s := range says {
			if !strings.Contains(err.Error(), s) {
				t.Errorf("%s: refused with %q, which does not say %q", what, err, s)
			}
		}
	}
	for book, n := range w.sizes(t) {
		if before[book] != n {
			t.Errorf("%s: book %s grew from %d to %d", what, book, before[book], n)
		}
	}
}

func where(t *testing.T, w told, tag string) string {
	t.Helper()
	books, err := w.FindTag(t.Context(), tag)
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(books, " ")
}

func finding(d *shop.Desk, k plan.Kind, words ...string) *plan.Finding {
	for i, f := range d.Findings {
		if f.Kind == k && !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(f.Says, w) }) {
			return &d.Findings[i]
		}
	}
	return nil
}
