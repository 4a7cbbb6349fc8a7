package sqlite

import (
	"context"
	"errors"
	"fmt"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// chunkSize bounds a row, so that a large photo needs no large row.
const chunkSize = 1 << 20

// PutBlob implements shop.Store.
func (s *Store) PutBlob(ctx context.Context, salt, b []byte) (string, error) {
	key := job.Salted(salt, b)
	err := s.write(&write{ctx: ctx, size: len(b), do: func(t *tx) error {
		// A nil slice would be NULL.
		added, err := t.exec("INSERT INTO blob (key, salt) VALUES ($1, $2) ON CONFLICT DO NOTHING", key, append([]byte{}, salt...))
		if err != nil || added == 0 {
			return err
		}
		for n, rest := 0, b; len(rest) > 0; n++ {
			size := min(len(rest), chunkSize)
			if _, err := t.exec("INSERT INTO chunk (key, n, bytes) VALUES ($1, $2, $3)", key, n, rest[:size]); err != nil {
				return err
			}
			rest = rest[size:]
		}
		return nil
	}})
	if err != nil {
		return "", fmt.Errorf("keeping %d bytes: %w", len(b), err)
	}
	return key, nil
}

// Blob implements shop.Store. What it returns has been checked against its key.
func (s *Store) Blob(ctx context.Context, key string) ([]byte, error) {
	rows, err := s.queries.blob.QueryContext(ctx, key)
	found, out, salt := false, []byte{}, []byte(nil)
	err = scan(rows, err, func() error {
		var chunk []byte
		err := rows.Scan(&salt, &chunk)
		found, out = true, append(out, chunk...)
		return err
	})
	switch {
	case err != nil:
		err = words(s.path, err)
	case !found:
		err = shop.ErrNotFound
	case job.Salted(salt, out) != key:
		err = damaged(s.path, errors.New("its bytes do not have its key"))
	default:
		return out, nil
	}
	return nil, fmt.Errorf("blob %.12s: %w", key, err)
}

// DropBlob implements shop.Store.
func (s *Store) DropBlob(ctx context.Context, key string) error {
	return s.write(&write{ctx: ctx, wipe: true, do: func(t *tx) error {
		_, err := t.exec("DELETE FROM blob WHERE key = $1", key)
		return err
	}})
}
