package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"endfloat/internal/store/seal"
)

// keepOlder backs up a file of an older format before it is brought to today's.
func keepOlder(ctx context.Context, db *sql.DB, path string) error {
	var format int
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&format); err != nil {
		return err
	}
	if format == 0 || format >= len(formats) {
		return nil
	}
	to := fmt.Sprintf("%s.format-%d", path, format)
	if _, err := os.Stat(to); !errors.Is(err, fs.ErrNotExist) {
		return err // kept when this was tried before
	}
	if err := vacuumInto(ctx, db, to); err != nil {
		return fmt.Errorf("before the data file is brought to format %d it is backed up to %s, and that failed: %w", len(formats), to, err)
	}
	return nil
}

// sealAll seals the books of a file of format 1.
func sealAll(ctx context.Context, tx *sql.Tx) error {
	books, err := list(tx.QueryContext(ctx, "SELECT book FROM summary UNION SELECT book FROM entry"))
	if err != nil {
		return err
	}
	for _, book := range books {
		s, n := seal.Seal{}, 0
		rows, err := tx.QueryContext(ctx, "SELECT bytes FROM entry WHERE book = $1 ORDER BY seq", book)
		err = scan(rows, err, func() error {
			var b []byte
			err := rows.Scan(&b)
			s.Add(b)
			n++
			return err
		})
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO summary (book, seq, seal) VALUES ($1, $2, $3)
			ON CONFLICT (book) DO UPDATE SET seal = excluded.seal`, book, n, s.Bytes()); err != nil {
			return err
		}
	}
	return nil
}
