package postgres

import (
	"errors"
	"fmt"
	"net"
	"net/url"
	"sync"
	"testing"
	"time"

	"endfloat/internal/shop"
	"endfloat/internal/store/postgres/pgtest"
)

// gate is a way to the database on which what goes through can be stopped without a
// word, as when the machine behind it hangs or loses its power.
type gate struct {
	net.Listener
	to   string
	mu   sync.Mutex
	hung chan bool // closed, for the connections that are there
}

// gated opens a gate to the database of an address, and says how it is reached by it.
func gated(t *testing.T, address string) (*gate, string) {
	t.Helper()
	u, err := url.Parse(address)
	must(t, err)
	g := &gate{to: u.Host, hung: make(chan bool)}
	g.Listener, err = net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	t.Cleanup(func() { g.Close() })
	go func() {
		for {
			c, err := g.Accept()
			if err != nil {
				return
			}
			g.mu.Lock()
			hung := g.hung
			g.mu.Unlock()
			go g.through(c, hung)
		}
	}()
	u.Host = g.Addr().String()
	return g, u.String()
}

// hang stops what goes through the connections that are there. The next are good,
// as are those to a standby that takes the place of the primary.
func (g *gate) hang() {
	g.mu.Lock()
	defer g.mu.Unlock()
	close(g.hung)
	g.hung = make(chan bool)
}

func (g *gate) through(c net.Conn, hung chan bool) {
	far, err := net.Dial("tcp", g.to)
	if err != nil {
		c.Close()
		return
	}
	carry := func(to, from net.Conn) {
		b := make([]byte, 32<<10)
		for {
			n, err := from.Read(b)
			select {
			case <-hung: // it takes everything and answers nothing
				if err == nil {
					continue
				}
				return
			default:
			}
			to.Write(b[:n])
			if err != nil {
				to.Close()
				return
			}
		}
	}
	go carry(far, c)
	carry(c, far)
}

// hangs is a host that lets everybody in and never says a word.
func hangs(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	t.Cleanup(func() { l.Close() })
	return l.Addr().String()
}

// A host that says nothing does not keep the store from the next.
func TestHostHangs(t *testing.T) {
	short(t, &hostPatience, 300*time.Millisecond)
	u, err := url.Parse(pgtest.URL(t))
	must(t, err)
	u.Host = hangs(t) + "," + u.Host
	within(t, 10*time.Second, func() error {
		s, err := Open(ctx, u.String())
		if err != nil {
			return err
		}
		defer s.Close()
		return s.Append(ctx, one("a", 0, "1"))
	})
	u.Host = hangs(t)
	short(t, &enoughToOpen, time.Second)
	within(t, 10*time.Second, func() error {
		if _, err := Open(ctx, u.String()); !errors.Is(err, shop.ErrAway) {
			return fmt.Errorf("a host that says nothing: %v", err)
		}
		return nil
	})
}

// within fails where do takes too long, instead of waiting for it.
func within(t *testing.T, most time.Duration, do func() error) {
	t.Helper()
	done := make(chan error, 1)
	go func() { done <- do() }()
	select {
	case err := <-done:
		must(t, err)
	case <-time.After(most):
		t.Fatalf("no answer in %s", most)
	}
}

// The server hangs while many connections to it are open: what is asked is answered
// by the one that takes its place after one wait, not after one for each connection.
func TestServerHangs(t *testing.T) {
	short(t, &patience, time.Second)
	g, address := gated(t, pgtest.URL(t))
	s, err := Open(ctx, address)
	must(t, err)
	defer s.Close()
	must(t, s.Append(ctx, one("a", 0, "0")))
	for _, ask := range []func() error{
		func() error { return s.Append(ctx, one("a", 1, "1")) },
		func() error { _, err := s.Lines(ctx, "a", 0); return err },
		func() error { _, err := s.Summaries(ctx); return err },
		func() error { s.Caution(ctx); return nil },
		func() error { _, err := s.Salt(ctx, "x"); return expect(err, shop.ErrNotFound) },
	} {
		var open [8]interface{ Close() error }
		for i := range open {
			open[i], err = s.db.Conn(ctx)
			must(t, err)
		}
		for _, c := range open {
			must(t, c.Close())
		}
		g.hang()
		within(t, 6*patience, ask)
	}
	if got := lines(t, s, "a"); len(got) != 2 {
		t.Errorf("entries %q", got)
	}
}

// A bench loses its power in the midst of an append: the server lets go of the book
// it had locked.
func TestForgottenIsLetGo(t *testing.T) {
	short(t, &patience, 500*time.Millisecond)
	short(t, &hostPatience, 500*time.Millisecond)
	address := pgtest.URL(t)
	gone, err := Open(ctx, address)
	must(t, err)
	defer gone.Close()
	must(t, gone.Append(ctx, one("a", 0, "0")))
	held, err := gone.db.Begin()
	must(t, err)
	defer held.Rollback()
	_, err = (&tx{ctx, held}).lock([]string{"a"})
	must(t, err)
	s, err := Open(ctx, address)
	must(t, err)
	defer s.Close()
	within(t, 10*time.Second, func() error { return s.Append(ctx, one("a", 1, "1")) })
}

// The bell hears after a silence, and after a server that hung.
func TestBellAfterSilence(t *testing.T) {
	short(t, &quiet, 200*time.Millisecond)
	short(t, &hostPatience, 500*time.Millisecond)
	address := pgtest.URL(t)
	g, through := gated(t, address)
	far, err := Open(ctx, through)
	must(t, err)
	defer far.Close()
	near, err := Open(ctx, address)
	must(t, err)
	defer near.Close()
	heard := make(chan string, 100)
	far.Elsewhere(func(book string) { heard <- book })
	hears := func(book string) {
		t.Helper()
		eventually(t, func() bool {
			near.bell.ring([]string{book})
			select {
			case got := <-heard:
				return got == book
			case <-time.After(50 * time.Millisecond):
				return false
			}
		})
	}
	listeners := func() (pids string) {
		must(t, near.db.QueryRow("SELECT coalesce(string_agg(pid::text, ' '), '') FROM pg_stat_activity WHERE query LIKE 'LISTEN %' OR query LIKE '-- ping%'").Scan(&pids))
		return pids
	}
	hears("a")
	before := listeners()
	time.Sleep(3 * quiet)
	if after := listeners(); before == "" || after != before {
		t.Errorf("it listened on %q and after a silence on %q", before, after)
	}
	hears("b")
	g.hang()
	hears("c")
}

func expect(err, want error) error {
	if errors.Is(err, want) {
		return nil
	}
	return fmt.Errorf("got %v, want %v", err, want)
}
