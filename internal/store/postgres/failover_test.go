//go:build linux

package postgres

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/store/postgres/pgtest"
	"endfloat/internal/store/storetest"
)

// The primary of a cluster of three is lost under load, again and again: its server,
// or all of its machine, or the machine hangs and wakes when another has taken its
// place. What was acknowledged is there, once, unaltered and whole.
func TestFailover(t *testing.T) {
	failovers := storetest.Long(0, 20)
	if failovers == 0 {
		t.Skip("a part of the longer run; see docs/operations.md")
	}
	c := pgtest.NewCluster(t)
	t.Log(c.Versions())
	l := newLoad(t, c.URL())
	primary, done := c.Whole(t), map[string]int{}
	for n := 0; n < failovers; {
		way := ways[n%len(ways)]
		stop := l.begin(fmt.Sprint("round", n))
		time.Sleep(time.Second)
		way.lose(t, c, primary)
		l.goesOn(t)
		if way.wake != nil {
			l.now().waking.Store(true)
			way.wake(t, c, primary)
		}
		time.Sleep(time.Second)
		c.Start(t, primary) // does nothing where it runs
		next := c.Whole(t)
		l.now().waking.Store(false)
		l.goesOn(t)
		stop(t)
		l.check(t)
		if next != primary {
			n++
			done[way.name]++
		}
		t.Logf("%s: %v after %d failovers; %s", way.name, next != primary, n, l)
		primary = next
	}
	l.all(t)
	t.Logf("%d failovers: %v; %s", failovers, done, l)
}

// way is how a primary is lost.
type way struct {
	name       string
	lose, wake func(testing.TB, *pgtest.Cluster, int)
}

func signal(sig syscall.Signal, serverAlone bool) func(testing.TB, *pgtest.Cluster, int) {
	return func(t testing.TB, c *pgtest.Cluster, i int) { c.Signal(t, i, sig, serverAlone) }
}

var ways = []way{
	{"its server killed", signal(syscall.SIGKILL, true), nil},
	{"its machine killed", signal(syscall.SIGKILL, false), nil},
	{"its machine hangs and wakes", signal(syscall.SIGSTOP, false), signal(syscall.SIGCONT, false)},
	{"its machine hangs and is killed", signal(syscall.SIGSTOP, false), signal(syscall.SIGKILL, false)},
}

// load is several programs on the cluster with several writers each, and what they
// were told was kept.
type load struct {
	url      string
	programs []*Store
	rounds   []*round
	acked    atomic.Int64 // appends
	photos   atomic.Int64
	last     atomic.Int64 // when anything was acknowledged last
	gap      atomic.Int64 // the longest time without
	longest  atomic.Int64 // time that one waited for its answer
	failed   atomic.Pointer[error]
}

// round is the books of a failover.
type round struct {
	books []string
	*ledger
	photos sync.Map // key to bytes
}

func newLoad(t *testing.T, url string) *load {
	l := &load{url: url}
	for range 2 {
		s, err := Open(ctx, url)
		must(t, err)
		t.Cleanup(func() { s.Close() })
		l.programs = append(l.programs, s)
	}
	return l
}

func (l *load) now() *round { return l.rounds[len(l.rounds)-1] }

func (l *load) String() string {
	var unclear, stale int64
	for _, r := range l.rounds {
		unclear += r.unclear.Load()
		stale += r.stale.Load()
	}
	return fmt.Sprintf("%d appends and %d photos acknowledged, %d times no clear answer, %d answers of a primary that woke; %s at most for one, %s at most for all",
		l.acked.Load(), l.photos.Load(), unclear, stale, time.Duration(l.longest.Load()).Round(time.Millisecond), time.Duration(l.gap.Load()).Round(time.Millisecond))
}

func atLeast(x *atomic.Int64, n int64) {
	for was := x.Load(); n > was && !x.CompareAndSwap(was, n); was = x.Load() {
	}
}

// timed does what is to be acknowledged.
func (l *load) timed(count *atomic.Int64, do func() error) error {
	begun := time.Now()
	err := do()
	if err == nil {
		now := time.Now()
		atLeast(&l.longest, int64(now.Sub(begun)))
		atLeast(&l.gap, now.UnixNano()-l.last.Swap(now.UnixNano()))
		count.Add(1)
	}
	return err
}

// begin lets all write to new books until stop is called.
func (l *load) begin(name string) (stop func(*testing.T)) {
	r := &round{ledger: &ledger{known: map[string]int{}, refused: map[string]bool{}}}
	for i := range 4 {
		r.books = append(r.books, fmt.Sprint(name, "-", i))
	}
	l.rounds = append(l.rounds, r)
	l.last.Store(time.Now().UnixNano())
	var wg sync.WaitGroup
	var over atomic.Bool
	each := func(seed int, do func(r *rand.Rand, n int) error) {
		wg.Go(func() {
			x := rand.New(rand.NewPCG(uint64(len(l.rounds)), uint64(seed)))
			for n := 0; !over.Load(); n++ {
				if err := do(x, n); err != nil {
					l.failed.CompareAndSwap(nil, &err)
					return
				}
				time.Sleep(time.Duration(x.IntN(40)) * time.Millisecond)
			}
		})
	}
	for p, s := range l.programs {
		for w := range 4 {
			k := &clerk{name: fmt.Sprint(name, "-", p, "-", w), s: s, books: r.books, all: r.ledger, insists: true}
			each(8*p+w, func(x *rand.Rand, n int) error {
				k.r = x
				return l.timed(&l.acked, func() error { return k.move(n) })
			})
		}
		each(8*p+7, func(x *rand.Rand, n int) error {
			salt, photo := []byte(name), make([]byte, 1+x.IntN(200_000))
			for i := range photo {
				photo[i] = byte(x.Uint32())
			}
			return l.timed(&l.photos, func() error {
				key, err := s.PutBlob(ctx, salt, photo)
				for n := 0; err != nil && n < 5; n++ {
					r.unclear.Add(1)
					key, err = s.PutBlob(ctx, salt, photo)
				}
				r.photos.Store(key, photo)
				return err
			})
		})
	}
	return func(t *testing.T) {
		t.Helper()
		over.Store(true)
		wg.Wait()
		l.sound(t)
	}
}

// sound fails where a writer met what must not be.
func (l *load) sound(t *testing.T) {
	t.Helper()
	if err := l.failed.Load(); err != nil {
		t.Fatal(*err)
	}
}

// goesOn waits until more is acknowledged.
func (l *load) goesOn(t *testing.T) {
	t.Helper()
	want := l.acked.Load() + 40 // eight may be under way
	for end := time.Now().Add(2 * time.Minute); l.acked.Load() < want; time.Sleep(10 * time.Millisecond) {
		l.sound(t)
		if time.Now().After(end) {
			t.Fatal("nothing is acknowledged any more")
		}
	}
}

// check holds the books and photos of the last round against what was acknowledged.
func (l *load) check(t *testing.T) {
	t.Helper()
	must(t, l.now().there(l.programs[0]))
}

// all checks every round once more, by a program that begins anew.
func (l *load) all(t *testing.T) {
	t.Helper()
	s, err := Open(ctx, l.url)
	must(t, err)
	defer s.Close()
	for i, r := range l.rounds {
		if err := r.there(s); err != nil {
			t.Errorf("round %d: %v", i, err)
		}
	}
}

func (r *round) there(s *Store) error {
	found := map[string][]job.Line{}
	for _, book := range r.books {
		var err error
		if found[book], err = s.Lines(ctx, book, 0); err != nil {
			return err
		}
	}
	err := inSomeOrder(found, r.acked)
	r.photos.Range(func(key, photo any) bool {
		if b, e := s.Blob(ctx, key.(string)); e != nil || string(b) != string(photo.([]byte)) {
			err = errors.Join(err, e, fmt.Errorf("photo %v was acknowledged, and is not there as it was", key))
		}
		return true
	})
	return err
}
