package postgres

import (
	"context"
	"database/sql/driver"
	"errors"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"endfloat/internal/store/postgres/pgtest"
)

// standby says whether commits wait for a standby, which is not there, and waits until
// they do or do not.
func standby(t *testing.T, p *pgtest.Server, wanted bool) {
	t.Helper()
	p.Set(t, "synchronous_standby_names", map[bool]string{true: "'absent'", false: "''"}[wanted])
	eventually(t, func() bool {
		try, cancel := context.WithTimeout(ctx, 200*time.Millisecond)
		defer cancel()
		return p.Try(try, "SELECT pg_logical_emit_message(true, '', '')") != nil == wanted
	})
}

func eventually(t *testing.T, true func() bool) {
	t.Helper()
	for end := time.Now().Add(10 * time.Second); !true(); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("it did not come about in ten seconds")
		}
	}
}

// Nothing is acknowledged before the standby has it: neither what is done for the
// first time, nor what a connection that was cut may have done, which is there but
// has perhaps not reached the standby.
func TestRepeatWaitsForStandby(t *testing.T) {
	p := pgtest.New(t)
	short(t, &patience, 300*time.Millisecond)
	short(t, &enough, 500*time.Millisecond)
	s, err := Open(ctx, p.URL(t))
	must(t, err)
	defer s.Close()
	salt, photo := []byte("salt"), []byte("photo")
	key, err := s.PutBlob(ctx, salt, photo)
	must(t, err)
	a := one("a", 0, "1")
	must(t, s.Append(ctx, a))
	for what, do := range map[string]func() error{
		"an entry":             func() error { return s.Append(ctx, one("b", 0, "1")) },
		"the same entry again": func() error { return s.Append(ctx, a) },
		"a photo":              func() error { _, err := s.PutBlob(ctx, salt, []byte("another")); return err },
		"the same photo again": func() error { _, err := s.PutBlob(ctx, salt, photo); return err },
		"a photo to drop":      func() error { return s.DropBlob(ctx, key) },
		"one that is gone":     func() error { return s.DropBlob(ctx, strings.Repeat("0", 64)) },
	} {
		standby(t, p, true)
		if err := do(); err == nil || !strings.Contains(err.Error(), "not known whether this was kept") {
			t.Errorf("%s: answered with %v, and no standby has it", what, err)
		}
		standby(t, p, false)
		if err := do(); err != nil {
			t.Errorf("%s: sent again: %v", what, err)
		}
	}
}

// PostgreSQL answers a commit as done, with a warning, whose wait for the standby was
// broken off. That is not taken for an acknowledgement, also where warnings are not
// wanted.
func TestWaitBrokenOff(t *testing.T) {
	p := pgtest.New(t)
	s, err := Open(ctx, p.URL(t)+"&client_min_messages=error")
	must(t, err)
	defer s.Close()
	must(t, s.Append(ctx, one("a", 0, "1")))
	standby(t, p, true)
	answer := make(chan error, 1)
	go func() { answer <- s.Append(ctx, one("a", 1, "2")) }()
	waits := func() (n int) {
		must(t, s.db.QueryRow("SELECT count(*) FROM pg_stat_activity WHERE wait_event = 'SyncRep' AND application_name = 'endfloat'").Scan(&n))
		return n
	}
	for n := range int64(3) { // each time the repeat waits anew
		eventually(t, func() bool { return waits() == 1 })
		p.Do(t, "SELECT pg_cancel_backend(pid) FROM pg_stat_activity WHERE wait_event = 'SyncRep'")
		eventually(t, func() bool { return s.alone.Load() > n })
	}
	eventually(t, func() bool { return waits() == 1 })
	select {
	case err := <-answer:
		t.Fatalf("answered with %v before a standby had it", err)
	default:
	}
	standby(t, p, false)
	must(t, <-answer)
	if got := lines(t, s, "a"); len(got) != 2 {
		t.Errorf("entries %q", got)
	}
}

// After a failover it is another server, and may be set otherwise.
func TestEachServerIsLookedAt(t *testing.T) {
	p := pgtest.New(t)
	s, err := Open(ctx, p.URL(t))
	must(t, err)
	defer s.Close()
	for n, x := range [][2]string{{"synchronous_commit", "local"}, {"synchronous_commit", "remote_write"}, {"synchronous_commit", "off"}, {"fsync", "off"}, {"full_page_writes", "off"}} {
		p.Set(t, x[0], x[1])
		p.Do(t, "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE application_name = 'endfloat'")
		if err := s.Append(ctx, one("a", n, "1")); err == nil || !strings.Contains(err.Error(), x[0]+" = "+x[1]) {
			t.Errorf("%s = %s: %v", x[0], x[1], err)
		}
		p.Set(t, x[0], "on")
		p.Do(t, "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE application_name = 'endfloat'")
	}
	must(t, s.Append(ctx, one("a", 0, "1")))
}

// What is connected to a server that has become read-only leaves the pool.
func TestLeavesReadOnlyServer(t *testing.T) {
	var readOnly atomic.Bool
	s, err := open(ctx, pgtest.URL(t), func(c driver.Connector) driver.Connector { return &demoted{c, &readOnly} })
	must(t, err)
	defer s.Close()
	var open [6]interface{ Close() error }
	for i := range open { // so many at once
		if open[i], err = s.db.Conn(ctx); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range open {
		must(t, c.Close())
	}
	readOnly.Store(true) // those that are there; the next go to the new primary
	before := Retries.Load()
	must(t, s.Append(ctx, one("a", 0, "1")))
	if n := Retries.Load() - before; n != 1 {
		t.Errorf("%d tries more, and one was enough to find the new primary", n)
	}
}

// demoted connects to a server that becomes read-only for who is connected by then.
type demoted struct {
	driver.Connector
	now *atomic.Bool
}

func (d *demoted) Connect(ctx context.Context) (driver.Conn, error) {
	c, err := d.Connector.Connect(ctx)
	if err != nil {
		return nil, err
	}
	if d.now.Load() {
		return c, nil
	}
	return &demotedConn{c.(realConn), d.now}, nil
}

type demotedConn struct {
	realConn
	now *atomic.Bool
}

func (c *demotedConn) ExecContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Result, error) {
	if c.now.Load() && strings.HasPrefix(query, "INSERT") {
		return nil, &pgconn.PgError{Severity: "ERROR", Code: "25006", Message: "cannot execute INSERT in a read-only transaction"}
	}
	return c.realConn.ExecContext(ctx, query, args)
}

// Only a plain refusal of a commit is one: a server that goes down in the midst of
// it, as one whose log finds no room, may have done it.
func TestAmbiguous(t *testing.T) {
	for _, err := range []error{
		&pgconn.PgError{SeverityUnlocalized: "PANIC", Code: "53100"},
		&pgconn.PgError{SeverityUnlocalized: "FATAL", Code: "57P01"},
		&pgconn.PgError{SeverityUnlocalized: "ERROR", Code: "40003"},
		driver.ErrBadConn, errAlone, context.DeadlineExceeded, errors.New("x"),
	} {
		if !ambiguous(err) {
			t.Errorf("%v is taken for a refusal", err)
		}
	}
	for _, err := range []error{nil, pgx.ErrTxCommitRollback, &pgconn.PgError{SeverityUnlocalized: "ERROR", Code: "40001"}} {
		if ambiguous(err) {
			t.Errorf("%v is not taken for a refusal", err)
		}
	}
}
