package sqlite

import (
	"context"
	"fmt"
	"strings"

	"endfloat/internal/shop"
)

// Find implements shop.Store.
func (s *Store) Find(ctx context.Context, find []string, n int) (out []shop.Hit, _ error) {
	text, args := "SELECT book, seq, id, bytes FROM entry WHERE true", []any{}
	for _, w := range find {
		if !shop.Storable(w) {
			return nil, ctx.Err()
		}
		// SQLite's lower takes A to Z only, and no look at the text as a pattern.
		text += " AND instr(lower(CAST(bytes AS TEXT)), lower(?)) > 0"
		args = append(args, w)
	}
	rows, err := s.readers.QueryContext(ctx, text+" ORDER BY book, seq DESC LIMIT ?", append(args, n)...)
	err = scan(rows, err, func() error {
		var f shop.Hit
		err := rows.Scan(&f.Book, &f.Seq, &f.ID, &f.Bytes)
		out = append(out, f)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("search for %q: %w", strings.Join(find, " "), words(s.path, err))
	}
	return out, nil
}
