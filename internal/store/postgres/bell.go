package postgres

import (
	"context"
	"database/sql"
	"strings"
	"sync"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// bell tells other programs on the same database which books have changed, so
// that their screens refresh. It stands outside the transactions: a notice that
// is lost costs nothing but a later look.
type bell struct {
	db     *sql.DB
	cfg    *pgx.ConnConfig
	self   string // so that we do not hear ourselves
	rung   chan []string
	ctx    context.Context
	cancel context.CancelFunc
	wg     sync.WaitGroup
}

const (
	channel  = "endfloat"
	together = 20 * time.Millisecond // changes within it share a notice
	longest  = 7000                  // bytes; PostgreSQL takes 8000
)

// quiet is after how long the server is asked whether it is there.
var quiet = 10 * time.Second

func newBell(db *sql.DB, cfg *pgx.ConnConfig) *bell {
	b := &bell{db: db, cfg: cfg.Copy(), self: uuid.NewString(), rung: make(chan []string, 256)}
	b.ctx, b.cancel = context.WithCancel(context.Background())
	b.wg.Go(b.tell)
	return b
}

func (b *bell) close() {
	b.cancel()
	b.wg.Wait()
}

func (b *bell) ring(books []string) {
	select {
	case b.rung <- books:
	default:
	}
}

// tell sends what was rung.
func (b *bell) tell() {
	for {
		changed := map[string]bool{}
		select {
		case <-b.ctx.Done():
			return
		case books := <-b.rung:
			for gathered := time.After(together); ; {
				for _, book := range books {
					changed[book] = true
				}
				select {
				case books = <-b.rung:
					continue
				case <-gathered:
				case <-b.ctx.Done():
					return
				}
				break
			}
		}
		for book := range changed {
			if notice := b.self + " " + book; len(notice) <= longest {
				try, cancel := context.WithTimeout(b.ctx, patience)
				b.db.ExecContext(try, "SELECT pg_notify($1 || '.' || current_schema(), $2)", channel, notice)
				cancel()
			}
		}
	}
}

// Elsewhere implements shop.Elsewhere. After a lost connection it listens anew.
func (s *Store) Elsewhere(changed func(book string)) {
	b := s.bell
	b.wg.Go(func() {
		for b.ctx.Err() == nil {
			b.hear(changed)
			select {
			case <-time.After(time.Second):
			case <-b.ctx.Done():
			}
		}
	})
}

// hear listens until the connection is lost.
func (b *bell) hear(changed func(book string)) {
	conn, err := pgx.ConnectConfig(b.ctx, b.cfg)
	if err != nil {
		return
	}
	defer conn.Close(context.WithoutCancel(b.ctx))
	var schema string
	if err := conn.QueryRow(b.ctx, "SELECT current_schema()").Scan(&schema); err != nil {
		return
	}
	if _, err := conn.Exec(b.ctx, "LISTEN "+pgx.Identifier{channel + "." + schema}.Sanitize()); err != nil {
		return
	}
	for {
		n, err := b.wait(conn)
		if err != nil {
			return
		}
		if from, book, ok := strings.Cut(n.Payload, " "); ok && from != b.self {
			changed(book)
		}
	}
}

// wait waits for a notice, and asks now and then whether the server is still there:
// a machine that hangs or has lost its power says nothing.
func (b *bell) wait(conn *pgx.Conn) (*pgconn.Notification, error) {
	for {
		try, cancel := context.WithTimeout(b.ctx, quiet)
		n, err := conn.WaitForNotification(try)
		cancel()
		if err == nil || !pgconn.Timeout(err) || b.ctx.Err() != nil {
			return n, err
		}
		try, cancel = context.WithTimeout(b.ctx, hostPatience)
		err = conn.Ping(try)
		cancel()
		if err != nil {
			return nil, err
		}
	}
}
