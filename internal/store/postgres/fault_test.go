package postgres

import (
	"bytes"
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"endfloat/internal/shop"
	"endfloat/internal/store/carry"
	"endfloat/internal/store/memory"
	"endfloat/internal/store/postgres/pgtest"
	"endfloat/internal/store/sqlite"
	"endfloat/internal/store/storetest"
)

// faults come between the store and its driver and make statements and commits
// fail as a server, a network or a distributed engine may.
type faults struct {
	driver.Connector
	mu    sync.Mutex
	next  func() fault // asked before every statement and commit
	count map[fault]int

	// Making connections anew is most of the time of TestHistories, 200 s of it against
	// 75. Where thrifty, seven in eight that are cut are rolled back, as the server does
	// when it notices, and the next that connects is given them.
	thrifty     bool
	cuts        int
	spare       []realConn
	txs, failed int // transactions begun, and those with a fault
}

type fault int

const (
	none         fault = iota
	serialize          // 40001: rolled back by the server
	deadlock           // 40P01
	cut                // the connection is lost before the statement
	cutAfter           // the connection is lost after it: at a commit, nobody knows
	unknown            // 40003 in answer to a commit that was done
	unknownFirst       // 40003 in answer to a commit that was not
	kinds
)

func (f *faults) ask() fault {
	f.mu.Lock()
	defer f.mu.Unlock()
	x := f.next()
	f.count[x]++
	return x
}

func (f *faults) Connect(ctx context.Context) (driver.Conn, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if n := len(f.spare); n > 0 {
		c := f.spare[n-1]
		f.spare = f.spare[:n-1]
		return &faultyConn{realConn: c, f: f}, nil
	}
	c, err := f.Connector.Connect(ctx)
	if err != nil {
		return nil, err
	}
	return &faultyConn{realConn: c.(realConn), f: f}, nil
}

// still makes no more faults, and closes what is to spare.
func (f *faults) still() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.next, f.thrifty = func() fault { return none }, false
	for _, c := range f.spare {
		c.Close()
	}
	f.spare = nil
}

type realConn interface {
	driver.Conn
	driver.ConnBeginTx
	driver.ExecerContext
	driver.QueryerContext
	driver.NamedValueChecker
	driver.SessionResetter
	driver.Pinger
}

type faultyConn struct {
	realConn
	f    *faults
	open *faultyTx
	gone bool
}

// lose cuts the connection: nothing goes through it any more.
func (c *faultyConn) lose() {
	if c.gone {
		return
	}
	c.gone = true
	c.f.mu.Lock()
	defer c.f.mu.Unlock()
	c.f.cuts++
	if !c.f.thrifty || c.f.cuts%8 == 0 || c.open != nil && c.open.Tx.Rollback() != nil {
		c.realConn.Close()
		return
	}
	c.open = nil
	c.f.spare = append(c.f.spare, c.realConn)
}

func (c *faultyConn) Close() error {
	if c.gone {
		return nil
	}
	return c.realConn.Close()
}

func (c *faultyConn) ResetSession(ctx context.Context) error {
	if c.gone {
		return driver.ErrBadConn
	}
	return c.realConn.ResetSession(ctx)
}

func (c *faultyConn) Ping(ctx context.Context) error {
	if c.gone {
		return driver.ErrBadConn
	}
	return c.realConn.Ping(ctx)
}

// ask is the fault of the next statement.
func (c *faultyConn) ask() fault {
	x := c.f.ask()
	if x != none && c.open != nil && !c.open.hit {
		c.open.hit = true
		c.f.mu.Lock()
		c.f.failed++
		c.f.mu.Unlock()
	}
	return x
}

// do does one statement, or fails before or after it.
func (c *faultyConn) do(x fault, statement func() error) error {
	if c.gone {
		return driver.ErrBadConn
	}
	switch x {
	case none:
		return statement()
	case serialize, deadlock:
		return &pgconn.PgError{Severity: "ERROR", Code: map[fault]string{serialize: "40001", deadlock: "40P01"}[x], Message: "injected"}
	case cut:
		c.lose()
		return driver.ErrBadConn
	}
	err := statement()
	c.lose()
	if err == nil {
		err = &pgconn.PgError{Severity: "FATAL", Code: "08006", Message: "injected: lost after it was sent"}
	}
	return err
}

func (c *faultyConn) ExecContext(ctx context.Context, query string, args []driver.NamedValue) (r driver.Result, err error) {
	err = c.do(c.ask(), func() (e error) { r, e = c.realConn.ExecContext(ctx, query, args); return e })
	return r, err
}

func (c *faultyConn) QueryContext(ctx context.Context, query string, args []driver.NamedValue) (r driver.Rows, err error) {
	x := c.ask()
	if x >= cutAfter { // a query that was answered may as well not have been asked
		x = cut
	}
	err = c.do(x, func() (e error) { r, e = c.realConn.QueryContext(ctx, query, args); return e })
	return r, err
}

func (c *faultyConn) BeginTx(ctx context.Context, o driver.TxOptions) (driver.Tx, error) {
	if c.gone {
		return nil, driver.ErrBadConn
	}
	t, err := c.realConn.BeginTx(ctx, o)
	if err != nil {
		return nil, err
	}
	c.open = &faultyTx{Tx: t, c: c}
	c.f.mu.Lock()
	c.f.txs++
	c.f.mu.Unlock()
	return c.open, nil
}

type faultyTx struct {
	driver.Tx
	c   *faultyConn
	hit bool // by a fault
}

func (t *faultyTx) Rollback() error {
	if t.c.gone {
		return driver.ErrBadConn
	}
	t.c.open = nil
	return t.Tx.Rollback()
}

// commit is what the server does, if it is asked.
func (t *faultyTx) commit() error {
	t.c.open = nil
	return t.Tx.Commit()
}

func (t *faultyTx) Commit() error {
	if t.c.gone {
		return driver.ErrBadConn
	}
	x := t.c.ask()
	switch x {
	case serialize, deadlock, unknownFirst:
		t.Rollback()
		if x == unknownFirst {
			return &pgconn.PgError{Severity: "ERROR", Code: "40003", Message: "injected: not done"}
		}
	case unknown:
		if err := t.commit(); err != nil {
			return err
		}
		return &pgconn.PgError{Severity: "ERROR", Code: "40003", Message: "injected: done"}
	}
	return t.c.do(x, t.commit)
}

// faulty opens a store whose statements fail as next says.
func faulty(t testing.TB, url string, next func() fault) (*Store, *faults) {
	t.Helper()
	f := &faults{next: func() fault { return none }, count: map[fault]int{}}
	s, err := open(ctx, url, func(c driver.Connector) driver.Connector { f.Connector = c; return f })
	must(t, err)
	t.Cleanup(func() { s.Close() })
	f.mu.Lock()
	f.next = next
	f.mu.Unlock()
	return s, f
}

// chance makes more than 30 % of transactions fail: some four statements and
// commits each, at 10 % a piece.
func chance(seed uint64) func() fault {
	r := rand.New(rand.NewPCG(seed, 1))
	return func() fault {
		if r.Float64() > 0.10 {
			return none
		}
		return 1 + fault(r.IntN(int(kinds)-1))
	}
}

// The suite that every store must pass, with three in ten transactions failing.
func TestStoreUnderFaults(t *testing.T) {
	seed := uint64(0)
	storetest.Run(t, func(t *testing.T) shop.Store {
		seed++
		s, _ := faulty(t, pgtest.URL(t), chance(seed))
		return s
	})
}

// The Nth statement or commit fails, in every way, for every N until it is not
// reached any more: the piece has moved once, whole, all the same.
func TestEveryStatementFails(t *testing.T) {
	s, f := faulty(t, pgtest.URL(t), func() fault { return none })
	moves := 0
	for x := none + 1; x < kinds; x++ {
		for n := 1; ; n++ {
			calls := 0
			f.mu.Lock()
			f.count = map[fault]int{}
			f.next = func() fault {
				if calls++; calls == n {
					return x
				}
				return none
			}
			f.mu.Unlock()
			a, b := one("a", moves, fmt.Sprint(moves)), one("b", moves, fmt.Sprint(moves))
			a.Tags = []string{"A1"}
			must(t, s.Append(ctx, a, b))
			moves++
			f.mu.Lock()
			reached := f.count[x] > 0
			f.next = func() fault { return none }
			f.mu.Unlock()
			if !reached {
				if n < 6 {
					t.Fatalf("fault %d was tried at %d statements only", x, n-1)
				}
				break
			}
		}
	}
	for _, book := range []string{"a", "b"} {
		ls, err := s.Lines(ctx, book, 0)
		must(t, err)
		if len(ls) != moves {
			t.Fatalf("book %s: %d lines after %d moves", book, len(ls), moves)
		}
	}
	t.Logf("%d moves, each with a fault at another place", moves)
}

// A server that never commits is given up on in words, and nothing is there.
func TestGivenUp(t *testing.T) {
	if enough < 40*time.Second {
		t.Error("given up on before a standby takes the place of a primary that hangs: 30 s and some")
	}
	short(t, &enough, 200*time.Millisecond)
	s, f := faulty(t, pgtest.URL(t), func() fault { return none })
	f.mu.Lock()
	f.next = func() fault { return serialize }
	f.mu.Unlock()
	err := s.Append(ctx, one("a", 0, "1"))
	if code(err) != "40001" {
		t.Fatal("got", err)
	}
	f.mu.Lock()
	f.next = func() fault { return none }
	f.mu.Unlock()
	ls, err := s.Lines(ctx, "a", 0)
	must(t, err)
	if len(ls) != 0 {
		t.Fatalf("%d lines", len(ls))
	}
}

// Random histories are read out byte for byte alike from memory, SQLite and
// PostgreSQL, and from a PostgreSQL three in ten of whose transactions fail. All
// answer every command alike on the way.
func TestHistories(t *testing.T) {
	const each, atOnce = 1000, 8 // one waits after a fault while others go on
	histories := storetest.Long(100, 1000)
	var left, calls, txs, failed atomic.Int64
	left.Store(int64(histories))
	var mu sync.Mutex
	count := map[fault]int{}
	var wg sync.WaitGroup
	for range atOnce {
		wg.Go(func() {
			for seed := left.Add(-1); seed >= 0 && !t.Failed(); seed = left.Add(-1) {
				f := oneHistory(t, uint64(seed), each)
				txs.Add(int64(f.txs))
				failed.Add(int64(f.failed))
				mu.Lock()
				for x, n := range f.count {
					count[x] += n
					calls.Add(int64(n))
				}
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	if t.Failed() {
		return
	}
	for x := none; x < kinds; x++ {
		if count[x] == 0 {
			t.Errorf("fault %d never came", x)
		}
	}
	if failed.Load()*10 < txs.Load()*3 {
		t.Errorf("%d of %d transactions failed, want three in ten", failed.Load(), txs.Load())
	}
	t.Logf("%d commands on each of four stores; at one of them %d of %d transactions failed; of %d statements and commits, by kind: %v",
		histories*each, failed.Load(), txs.Load(), calls.Load(), count)
}

// oneHistory runs one on all stores and compares what is read out.
func oneHistory(t *testing.T, seed uint64, n int) *faults {
	failing, f := faulty(t, pgtest.URL(t), func() fault { return none })
	defer failing.Close()
	defer f.still()
	sound, err := Open(ctx, pgtest.URL(t))
	if err != nil {
		t.Error(err)
		return f
	}
	defer sound.Close()
	lite := openLite(t)
	defer lite.Close()
	plain := memory.New()
	f.mu.Lock()
	f.next, f.thrifty, f.txs, f.failed = chance(seed), true, 0, 0
	f.mu.Unlock()
	storetest.Compare(t, seed, n, plain, lite, sound, failing)
	f.still()
	want := read(t, plain)
	for name, s := range map[string]shop.Whole{"PostgreSQL": sound, "PostgreSQL that fails": failing, "SQLite": lite} {
		if !bytes.Equal(read(t, s), want) {
			t.Errorf("history %d: %s reads out otherwise than memory", seed, name)
		}
	}
	return f
}

// A workshop moves from one engine to the next and back without a change.
func TestThereAndBack(t *testing.T) {
	plain, lite, back := memory.New(), openLite(t), openLite(t)
	storetest.Compare(t, 5, 400, plain, lite)
	there := fresh(t)
	for _, c := range [][2]shop.Whole{{lite, there}, {there, back}, {lite, back}} {
		_, err := carry.Copy(ctx, c[0], c[1])
		must(t, err)
	}
	if !bytes.Equal(read(t, back), read(t, plain)) {
		t.Error("after the move there and back it reads otherwise")
	}
	must(t, back.Append(ctx, one("a", len(lines(t, back, "a")), "not in the other")))
	if _, err := carry.Copy(ctx, there, back); err == nil {
		t.Error("a copy into a workshop that went on was taken for verified")
	}
}

func openLite(t *testing.T) *sqlite.Store {
	t.Helper()
	s, err := sqlite.Open(ctx, filepath.Join(pgtest.Folder(t), "endfloat.db"))
	must(t, err)
	t.Cleanup(func() { s.Close() })
	return s
}

func read(t *testing.T, s shop.Whole) []byte {
	t.Helper()
	var b bytes.Buffer
	must(t, carry.Write(ctx, &b, s))
	return b.Bytes()
}

func lines(t *testing.T, s shop.Whole, book string) []string {
	t.Helper()
	ls, err := s.Lines(ctx, book, 0)
	must(t, err)
	var ids []string
	for _, l := range ls {
		ids = append(ids, l.ID)
	}
	return ids
}

// short makes a time short for as long as the test runs.
func short(t testing.TB, d *time.Duration, to time.Duration) {
	was := *d
	*d = to
	t.Cleanup(func() { *d = was })
}

// Lost connections are told from refusals.
func TestPassing(t *testing.T) {
	for _, c := range []string{"40001", "40P01", "40003", "08006", "57P01", "25006", "25P03"} {
		if !passing(fmt.Errorf("x: %w", &pgconn.PgError{Code: c})) {
			t.Errorf("%s is not tried again", c)
		}
	}
	for _, err := range []error{&pgconn.PgError{Code: "53100"}, &pgconn.PgError{Code: "P0001"}, shop.ErrConflict, context.Canceled, errors.New("x")} {
		if passing(err) {
			t.Errorf("%v is tried again", err)
		}
	}
}
