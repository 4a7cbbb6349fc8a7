package postgres

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/postgres/pgtest"
	"endfloat/internal/store/storetest"
)

// clerk is one who writes and reads at a store of several on one database, and
// remembers what was acknowledged.
type clerk struct {
	name  string
	s     *Store
	r     *rand.Rand
	books []string
	all   *ledger

	insists bool // sends what was not answered clearly again, as a phone does
}

// ledger is what is known to have been acknowledged to anybody.
type ledger struct {
	mu      sync.Mutex
	acked   [][]shop.Add
	known   map[string]int // entries of each book that a later reader must see
	refused map[string]bool
	unclear atomic.Int64 // answers that did not say whether it was kept

	// A primary that hung, and wakes when another has taken its place, answers until it
	// is told: without what was acknowledged meanwhile, and perhaps with what nobody was
	// told was kept. Such reads are counted while that may be, and asked anew.
	waking atomic.Bool
	stale  atomic.Int64
}

// move adds to one to three books at once: as many lines as it likes, each of
// which names its append, how many of it follow and the number it was decided at.
func (c *clerk) move(n int) error {
	id := fmt.Sprint(c.name, "-", n)
	var adds []shop.Add
	for _, i := range c.r.Perm(len(c.books))[:1+c.r.IntN(3)] {
		ls, err := c.look(c.books[i])
		if err != nil {
			return err
		}
		a := shop.Add{Book: c.books[i], After: len(ls)}
		lines := 1 + c.r.IntN(3)
		for k := range lines {
			a.Lines = append(a.Lines, job.Line{ID: fmt.Sprint(id, "-", k), Bytes: fmt.Appendf(nil, "%d more of %s after %d", lines-1-k, id, a.After)})
		}
		adds = append(adds, a)
	}
	err := c.s.Append(ctx, adds...)
	for n := 0; c.insists && err != nil && !errors.Is(err, shop.ErrConflict) && n < 5; n++ {
		c.all.unclear.Add(1)
		err = c.s.Append(ctx, adds...)
	}
	if err == nil && c.r.IntN(4) == 0 { // the answer was lost on its way to the phone
		if err := c.s.Append(ctx, adds...); err != nil {
			return fmt.Errorf("sent again: %w", err)
		}
	}
	c.all.mu.Lock()
	defer c.all.mu.Unlock()
	switch {
	case errors.Is(err, shop.ErrConflict):
		c.all.refused[id] = true
		return nil
	case err != nil:
		return err
	}
	c.all.acked = append(c.all.acked, adds)
	for _, a := range adds {
		c.all.known[a.Book] = max(c.all.known[a.Book], a.After+len(a.Lines))
	}
	return nil
}

// look reads a book: it holds all that was acknowledged before it began, and does not
// end in the midst of what one append brought.
func (c *clerk) look(book string) ([]job.Line, error) {
	c.all.mu.Lock()
	least := c.all.known[book]
	c.all.mu.Unlock()
	ls, err := c.s.Lines(ctx, book, 0)
	for err == nil && len(ls) < least && c.all.waking.Load() {
		c.all.stale.Add(1)
		time.Sleep(50 * time.Millisecond)
		ls, err = c.s.Lines(ctx, book, 0)
	}
	if err != nil {
		return nil, err
	}
	if len(ls) < least {
		return nil, fmt.Errorf("book %s has %d entries, and %d were acknowledged or seen before", book, len(ls), least)
	}
	if n := len(ls); n > 0 && !strings.HasPrefix(string(ls[n-1].Bytes), "0 more ") {
		return nil, fmt.Errorf("book %s ends in the midst of an append: %s", book, ls[n-1].Bytes)
	}
	c.all.mu.Lock()
	defer c.all.mu.Unlock()
	if !c.all.waking.Load() {
		c.all.known[book] = max(c.all.known[book], len(ls))
	}
	return ls, nil
}

// Several programs with several writers each, on one database, with every tenth
// statement failing: the outcome is that of the acknowledged appends in some order.
func TestWritersAtOnce(t *testing.T) {
	const programs, writers = 3, 3
	url := pgtest.URL(t)
	fresh := &ledger{known: map[string]int{}, refused: map[string]bool{}}
	books := []string{"a", "b", "c", "d", "e"}
	end := time.Now().Add(storetest.Long(4*time.Second, time.Minute))
	var wg sync.WaitGroup
	errs := make([]error, programs*writers)
	for p := range programs {
		s, _ := faulty(t, url, chance(uint64(p)))
		for w := range writers {
			c := &clerk{name: fmt.Sprint(p, "-", w), s: s, r: rand.New(rand.NewPCG(uint64(p), uint64(w))), books: books, all: fresh}
			wg.Go(func() {
				for n := 0; time.Now().Before(end) && errs[p*writers+w] == nil; n++ {
					errs[p*writers+w] = c.move(n)
				}
			})
		}
	}
	wg.Wait()
	must(t, errors.Join(errs...))
	s, err := Open(ctx, url)
	must(t, err)
	defer s.Close()
	there := map[string][]job.Line{}
	for _, book := range books {
		if there[book], err = s.Lines(ctx, book, 0); err != nil {
			t.Fatal(err)
		}
	}
	must(t, inSomeOrder(there, fresh.acked))
	if len(fresh.acked) < 20 || len(fresh.refused) < 5 {
		t.Errorf("%d acknowledged, %d refused: this proves too little", len(fresh.acked), len(fresh.refused))
	}
	t.Logf("%d appends acknowledged by %d programs of %d writers, %d came too late, all in an order", len(fresh.acked), programs, writers, len(fresh.refused))
}

// inSomeOrder does the appends anew in an order in which each finds its books where
// it was decided, and holds the outcome against what is there.
func inSomeOrder(there map[string][]job.Line, acked [][]shop.Add) error {
	left, seqs := slices.Clone(acked), map[string]int{}
	for len(left) > 0 {
		// Two that are both ready share no book, so that either may come first.
		next := slices.IndexFunc(left, func(adds []shop.Add) bool {
			return !slices.ContainsFunc(adds, func(a shop.Add) bool { return seqs[a.Book] != a.After })
		})
		if next < 0 {
			return fmt.Errorf("%d of %d appends stand in no order: %v, books at %v", len(left), len(acked), left[0], seqs)
		}
		for _, a := range left[next] {
			for i, l := range a.Lines {
				at := a.After + i
				if at >= len(there[a.Book]) {
					return fmt.Errorf("book %s: entry %d was acknowledged and is not there", a.Book, at+1)
				}
				if got := there[a.Book][at]; got.ID != l.ID || string(got.Bytes) != string(l.Bytes) || got.Seq != at+1 {
					return fmt.Errorf("book %s: entry %d is %s, and %s was acknowledged", a.Book, at+1, got.ID, l.ID)
				}
			}
			seqs[a.Book] += len(a.Lines)
		}
		left = slices.Delete(left, next, next+1)
	}
	for book, ls := range there {
		if len(ls) != seqs[book] {
			return fmt.Errorf("book %s has %d entries, %d were acknowledged", book, len(ls), seqs[book])
		}
	}
	return nil
}

// The checker finds what a store may do wrong.
func TestInSomeOrder(t *testing.T) {
	add := func(book string, after int, id string) shop.Add {
		return shop.Add{Book: book, After: after, Lines: []job.Line{{ID: id, Bytes: []byte(id)}}}
	}
	line := func(seq int, id string) job.Line { return job.Line{Seq: seq, ID: id, Bytes: []byte(id)} }
	sound := [][]shop.Add{{add("a", 1, "y"), add("b", 0, "y")}, {add("a", 0, "x")}}
	whole := map[string][]job.Line{"a": {line(1, "x"), line(2, "y")}, "b": {line(1, "y")}}
	must(t, inSomeOrder(whole, sound))
	for what, c := range map[string]struct {
		there map[string][]job.Line
		acked [][]shop.Add
	}{
		"lost":            {map[string][]job.Line{"a": {line(1, "x"), line(2, "y")}, "b": nil}, sound},
		"twice":           {map[string][]job.Line{"a": {line(1, "x"), line(2, "y"), line(3, "y")}, "b": {line(1, "y")}}, sound},
		"another's place": {map[string][]job.Line{"a": {line(1, "y"), line(2, "x")}, "b": {line(1, "y")}}, sound},
		"After unheeded":  {map[string][]job.Line{"a": {line(1, "x"), line(2, "y")}}, [][]shop.Add{{add("a", 0, "x")}, {add("a", 0, "y")}}},
		"in a ring":       {whole, [][]shop.Add{{add("a", 1, "x"), add("b", 0, "x")}, {add("a", 0, "y"), add("b", 1, "y")}}},
	} {
		if inSomeOrder(c.there, c.acked) == nil {
			t.Errorf("%s: nothing was found", what)
		}
	}
}
