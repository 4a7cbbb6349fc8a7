package postgres

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"strings"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"endfloat/internal/shop"
)

// After enough no further try is begun: it is more than the 30 s after which a
// standby takes the place of a primary that says nothing. Tests shorten these.
var (
	enough       = 50 * time.Second
	enoughToLook = 8 * time.Second  // somebody waits at a screen, and nothing is lost if told so
	enoughToOpen = 15 * time.Second // somebody waits to hear that the address is wrong
	patience     = 20 * time.Second // for one try: a machine that hangs says nothing
	hostPatience = 3 * time.Second  // for one host to let us in
)

// The wait between two tries doubles from the first to the longest.
const (
	firstWait   = 2 * time.Millisecond
	longestWait = time.Second
)

// errAlone stands for a commit that the server has and its standby may not have.
var errAlone = errors.New("the server did not wait for its standby")

// Retries counts transactions that were run again.
var Retries atomic.Int64

// querier is what reads.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// tx is an open transaction.
type tx struct {
	ctx context.Context
	*sql.Tx
}

func (t *tx) exec(query string, args ...any) (int64, error) {
	r, err := t.ExecContext(t.ctx, query, args...)
	if err != nil {
		return 0, err
	}
	return r.RowsAffected()
}

// get scans the one row of a query, or returns sql.ErrNoRows.
func (t *tx) get(to []any, query string, args ...any) error {
	return t.QueryRowContext(t.ctx, query, args...).Scan(to...)
}

// write runs do in a transaction until it is durable or refused. It may be run
// several times, also after a commit that was done without anybody hearing of
// it. A context that ends before a try stops it; a try is seen through.
func (s *Store) write(ctx context.Context, do func(*tx) error) error {
	unsure := false // a commit went unanswered
	err := s.again(ctx, func() error {
		try, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
		defer cancel()
		// Read committed, whatever the database's default: the lock of the head
		// row decides, and what is read after it is the newest there is.
		t, err := s.db.BeginTx(try, &sql.TxOptions{Isolation: sql.LevelReadCommitted})
		if err != nil {
			return err
		}
		defer t.Rollback() // does nothing after a commit
		if err := do(&tx{try, t}); err != nil {
			return err
		}
		before := s.alone.Load()
		err = t.Commit()
		if err == nil && s.alone.Load() != before { // of this commit or another: a repeat harms neither
			err = errAlone
		}
		unsure = unsure || ambiguous(err)
		return err
	}, &unsure)
	if unsure && err != nil && !errors.Is(err, shop.ErrConflict) {
		return fmt.Errorf("the database %s did not answer clearly at the end and it is not known whether this was kept; send it again as it is, it is kept once (%w)", s.at, err)
	}
	return err
}

// read runs do, which changes nothing and takes no longer than most, until it is
// answered.
func (s *Store) read(ctx context.Context, most time.Duration, do func(context.Context, querier) error) error {
	return s.again(ctx, func() error {
		try, cancel := context.WithTimeout(ctx, most)
		defer cancel()
		return do(try, s.db)
	}, new(bool))
}

// again tries while what went wrong may pass.
func (s *Store) again(ctx context.Context, try func() error, unsure *bool) error {
	begun, enough := time.Now(), s.enough
	if shop.IsSoon(ctx) {
		enough = min(enough, enoughToLook)
	}
	for wait := firstWait; ; wait = min(2*wait, longestWait) {
		if err := ctx.Err(); err != nil && !*unsure {
			return err
		}
		err := try()
		if err == nil || time.Since(begun) > enough || !passing(err) {
			return s.words(err)
		}
		if code(err) == "25006" || errors.Is(err, context.DeadlineExceeded) {
			// The other connections go to the same standby, or to the same machine that hangs.
			s.db.SetMaxIdleConns(0)
			s.db.SetMaxIdleConns(conns)
		}
		Retries.Add(1)
		time.Sleep(wait/2 + rand.N(wait/2)) // not all at the same moment
	}
}

// code is the SQLSTATE of an error, or "".
func code(err error) string {
	var e *pgconn.PgError
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}

// passing reports whether the same may go well a moment later.
func passing(err error) bool {
	switch c := code(err); c {
	case "40001", "40P01", // serialization failure, deadlock
		"40003",                   // not known whether it was done
		"25006",                   // this server has become a standby
		"25P03",                   // the server ended a transaction that it took for forgotten
		"55P03", "53300", "57P03", // locked, too many connections, starting
		"42P07", "42710", "42723", "23505": // another program did the same at the same moment
		return true
	case "":
		return lost(err)
	default:
		return strings.HasPrefix(c, "08") || c == "57P01" || c == "57P02" // connection, shut down
	}
}

// ambiguous reports whether a commit that ended so may have been done all the same.
// A refusal leaves the server and its connection standing.
func ambiguous(err error) bool {
	var e *pgconn.PgError
	if errors.As(err, &e) {
		return e.Code == "40003" || lost(err) || e.SeverityUnlocalized == "FATAL" || e.SeverityUnlocalized == "PANIC"
	}
	return err != nil && !errors.Is(err, pgx.ErrTxCommitRollback)
}

// lost reports whether the connection went away, or the time for it ran out.
func lost(err error) bool {
	var refused *pgconn.ConnectError
	var network net.Error
	if c := code(err); c != "" {
		return strings.HasPrefix(c, "08") || c == "57P01" || c == "57P02"
	}
	return errors.Is(err, driver.ErrBadConn) || errors.Is(err, errAlone) || errors.Is(err, sql.ErrTxDone) || errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) ||
		errors.Is(err, net.ErrClosed) || errors.As(err, &refused) || errors.As(err, &network) ||
		err != nil && strings.Contains(err.Error(), "conn closed")
}
