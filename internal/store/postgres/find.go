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
	err := s.query(ctx, func() { out = nil }, func(scan func(...any) error) error {
		var f shop.Hit
		err := scan(&f.Book, &f.Seq, &f.ID, &f.Bytes)
		out = append(out, f)
		return err
	}, fmt.Sprintf("%s ORDER BY book, seq DESC LIMIT $%d", text, len(args)), args...)
	if err != nil {
		return nil, fmt.Errorf("search for %q: %w", strings.Join(words, " "), err)
	}
	return out, nil
}
