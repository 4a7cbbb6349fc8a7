// Package postgres keeps books, photos and all in a PostgreSQL database that
// several programs may share.
//
// One head row per book is locked to number its entries. Every transaction is a
// closure that may be run again as a whole: after a serialization failure, a
// deadlock, or a connection lost at the commit, when nobody knows what became of
// it. The ids of entries, made by who sends them, make the repeat harmless. There
// are no sequences and no advisory locks, and nothing but how fresh a screen is
// depends on LISTEN and NOTIFY.
package postgres

import (
	"context"
	"database/sql"
	"database/sql/driver"
	_ "embed"
	"errors"
	"fmt"
	"net"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"

	"endfloat/internal/shop"
)

//go:embed 1.sql
var format1 string

// formats holds the SQL that leads from each format of the database to the next.
var formats = []string{format1}

// conns is how many may work at once; others wait their turn.
const conns = 16

// Store implements shop.Store.
type Store struct {
	db     *sql.DB
	at     string        // hosts and database, for people
	enough time.Duration // after which no further try is begun
	alone  atomic.Int64  // commits that a server answered without its standby
	bell   *bell
	once   sync.Once
}

var (
	_ shop.Whole     = (*Store)(nil)
	_ shop.Cared     = (*Store)(nil)
	_ shop.Elsewhere = (*Store)(nil)
)

// Open opens the workshop in the database that url names, or begins one where
// there is none. A database with tables of the same names that are not ours is
// left as it was, with shop.ErrForeign; one of a newer program with shop.ErrNewer.
func Open(ctx context.Context, url string) (*Store, error) {
	return open(ctx, url, func(c driver.Connector) driver.Connector { return c })
}

// open lets a test come between the store and its driver.
func open(ctx context.Context, url string, between func(driver.Connector) driver.Connector) (*Store, error) {
	cfg, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("the address of the database cannot be read; write it as postgres://NAME@HOST/DATABASE (%w)", err)
	}
	if cfg.ValidateConnect == nil { // of several hosts, the primary
		cfg.ValidateConnect = pgconn.ValidateConnectTargetSessionAttrsReadWrite
	}
	if cfg.RuntimeParams["application_name"] == "" {
		cfg.RuntimeParams["application_name"] = "endfloat"
	}
	if cfg.ConnectTimeout == 0 { // a host that says nothing must not keep us from the next
		cfg.ConnectTimeout = hostPatience
	}
	s := &Store{at: at(cfg), enough: enoughToOpen}
	cfg.OnNotice = s.notice
	s.db = sql.OpenDB(between(stdlib.GetConnector(*cfg, stdlib.OptionAfterConnect(s.sound))))
	s.db.SetMaxOpenConns(conns)
	s.db.SetMaxIdleConns(conns)
	if err := s.migrate(ctx); err != nil {
		return nil, errors.Join(err, s.db.Close())
	}
	s.enough = enough
	s.bell = newBell(s.db, cfg)
	return s, nil
}

// at names the hosts and the database.
func at(cfg *pgx.ConnConfig) string {
	hosts := []string{net.JoinHostPort(cfg.Host, fmt.Sprint(cfg.Port))}
	for _, f := range cfg.Fallbacks { // also the same host without encryption
		if h := net.JoinHostPort(f.Host, fmt.Sprint(f.Port)); !slices.Contains(hosts, h) {
			hosts = append(hosts, h)
		}
	}
	return strings.Join(hosts, ",") + "/" + cfg.Database
}

// Close ends the connections. Transactions under way are seen through.
func (s *Store) Close() (err error) {
	s.once.Do(func() {
		s.bell.close()
		err = s.db.Close()
	})
	return err
}

// sound closes a new connection to a server that would acknowledge what it may
// lose, or that does not keep text as it is. Each is looked at, for after a
// failover it is another server.
func (s *Store) sound(ctx context.Context, conn *pgx.Conn) error {
	ctx, cancel := context.WithTimeout(ctx, hostPatience)
	defer cancel()
	err := s.durable(ctx, conn)
	if err != nil {
		conn.Close(ctx)
	}
	return err
}

// durable looks at what the server promises. It also has the server tell us of
// warnings, and end by itself what a program began that has gone without a word:
// it would keep a book locked for hours.
func (s *Store) durable(ctx context.Context, conn *pgx.Conn) error {
	var fsync, pages, commit, encoding, x string
	if err := conn.QueryRow(ctx, `SELECT current_setting('fsync'), current_setting('full_page_writes'),
		current_setting('synchronous_commit'), current_setting('server_encoding'),
		set_config('client_min_messages', 'warning', false) || set_config('idle_in_transaction_session_timeout', $1, false)`,
		fmt.Sprint((patience+hostPatience).Milliseconds())).Scan(&fsync, &pages, &commit, &encoding, &x); err != nil {
		return err
	}
	for _, x := range []struct {
		name, got string
		sound     bool
	}{
		{"fsync", fsync, fsync == "on"},
		{"full_page_writes", pages, pages == "on"},
		{"synchronous_commit", commit, commit == "on" || commit == "remote_apply"},
	} {
		if !x.sound {
			return fmt.Errorf("the database %s has %s = %s and could lose what it has acknowledged; set %s = on", s.at, x.name, x.got, x.name)
		}
	}
	if encoding != "UTF8" {
		return fmt.Errorf("the database %s keeps text in %s; make one with ENCODING 'UTF8'", s.at, encoding)
	}
	return nil
}

// notice hears of a commit whose wait for the standby was broken off: PostgreSQL
// answers it as done, with a warning. The routine's name is in no language.
func (s *Store) notice(_ *pgconn.PgConn, n *pgconn.Notice) {
	if n.Routine == "SyncRepWaitForLSN" {
		s.alone.Add(1)
	}
}

// Caution says what a person should know of how the database is set up, or nothing.
func (s *Store) Caution(ctx context.Context) string {
	var sums string
	err := s.read(ctx, patience, func(ctx context.Context, q querier) error {
		return q.QueryRowContext(ctx, "SHOW data_checksums").Scan(&sums)
	})
	if err == nil && sums == "off" {
		return fmt.Sprintf("the database %s keeps no checksums of its pages, so that it cannot tell a failing disk by itself; stop it and run pg_checksums --enable", s.at)
	}
	return ""
}

// migrate makes the tables, or brings older ones to today's format.
func (s *Store) migrate(ctx context.Context) error {
	return s.write(ctx, func(t *tx) error {
		var ours, theirs bool
		if err := t.get([]any{&ours, &theirs}, `SELECT
			to_regclass(current_schema() || '.endfloat_format') IS NOT NULL,
			to_regclass(current_schema() || '.entry') IS NOT NULL OR to_regclass(current_schema() || '.head') IS NOT NULL`); err != nil {
			return err
		}
		format := 0
		if ours {
			if err := t.get([]any{&format}, "SELECT format FROM endfloat_format FOR UPDATE"); err != nil {
				return err
			}
		}
		switch {
		case theirs && !ours:
			return fmt.Errorf("%w: the database %s has tables of another program; make one of its own for endfloat", shop.ErrForeign, s.at)
		case format > len(formats):
			return fmt.Errorf("%w: the database %s has format %d and this program knows up to %d; use the newer program", shop.ErrNewer, s.at, format, len(formats))
		case format == len(formats):
			return nil
		}
		for _, f := range formats[format:] {
			if _, err := t.exec(f); err != nil {
				return fmt.Errorf("bringing the database %s from format %d to %d: %w", s.at, format, len(formats), err)
			}
		}
		_, err := t.exec(`INSERT INTO endfloat_format (format) VALUES ($1)
			ON CONFLICT (one) DO UPDATE SET format = excluded.format`, len(formats))
		return err
	})
}

// words says what an error of the database means, and the mend.
func (s *Store) words(err error) error {
	var refused *pgconn.ConnectError
	switch c := code(err); {
	case err == nil:
		return nil
	case c == "53100":
		return fmt.Errorf("%w: the database %s cannot grow; free some space and do it again (%w)", shop.ErrFull, s.at, err)
	case c == "28P01", c == "28000", c == "3D000", c == "42501":
		return fmt.Errorf("the database %s does not let this program in; check the name, the password and the database (%w)", s.at, err)
	case c == "25006", errors.Is(err, pgconn.ErrReadOnlyConnection):
		return fmt.Errorf("the database %s takes no changes: it is a standby, or default_transaction_read_only is on; do it again once there is a primary (%w: %w)", s.at, shop.ErrAway, err)
	case errors.Is(err, context.DeadlineExceeded) && !errors.As(err, &refused):
		return fmt.Errorf("the database %s does not answer; check that it runs and do it again (%w: %w)", s.at, shop.ErrAway, err)
	case errors.As(err, &refused), lost(err) && !errors.Is(err, errAlone), c == "57P03":
		return fmt.Errorf("the database %s cannot be reached; check that it runs and that it is the primary (%w: %w)", s.at, shop.ErrAway, err)
	case strings.HasPrefix(c, "XX"), strings.HasPrefix(c, "58"):
		return fmt.Errorf("the database %s failed; look at its log before anything else (%w)", s.at, err)
	}
	return err
}

func (s *Store) damaged(err error) error {
	return fmt.Errorf("the database %s is damaged; keep a copy of it and put back the last backup (%w)", s.at, err)
}
