package postgres

import (
	"context"
	"fmt"
	"strings"

	"endfloat/internal/shop"
)

// Find implements shop.Store.
func (s *Store) Find(ctx context.Context, words []string, n int) (out []shop.Hit, _ error) {
	text, args := "SELECT book, seq, id, bytes FROM entry WHERE true", []any{}
	for _, w := range words {
		if !shop.Storable(w) {
			return nil, ctx.Err()
		}
		// By way of escapes, so that what is no UTF-8 does not fail; "C" makes only A
		// to Z small.
		args = append(args, w)
		text += fmt.Sprintf(` AND position(decode(lower(encode(convert_to($%d, 'UTF8'), 'escape') COLLATE "C"), 'escape')
			IN decode(lower(encode(bytes, 'escape') COLLATE "C"), 'escape')) > 0`, len(args))
	}
	args = append(args, n)
	text = fmt.Sprintf("%s ORDER BY book, seq DESC LIMIT $%d", text, len(args))
	err := s.read(ctx, enough, func(ctx context.Context, q querier) error { // it looks at every entry
		out = nil
		rows, err := q.QueryContext(ctx, text, args...)
		return scan(rows, err, func() error {
			var f shop.Hit
			err := rows.Scan(&f.Book, &f.Seq, &f.ID, &f.Bytes)
			out = append(out, f)
			return err
		})
	})
	if err != nil {
		return nil, fmt.Errorf("search for %q: %w", strings.Join(words, " "), err)
	}
	return out, nil
}
