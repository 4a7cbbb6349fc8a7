package memory

import (
	"bytes"
	"context"
	"maps"
	"slices"

	"endfloat/internal/shop"
)

// Find implements shop.Store.
func (s *Store) Find(ctx context.Context, words []string, n int) ([]shop.Hit, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	var out []shop.Hit
	for _, book := range slices.Sorted(maps.Keys(s.books)) {
		for _, l := range slices.Backward(s.books[book].lines) {
			if len(out) >= n {
				return out, ctx.Err()
			}
			text := lower([]byte(l.Bytes))
			if !slices.ContainsFunc(words, func(w string) bool { return !bytes.Contains(text, lower([]byte(w))) }) {
				l.Bytes = bytes.Clone(l.Bytes)
				out = append(out, shop.Hit{Book: book, Line: l})
			}
		}
	}
	return out, ctx.Err()
}

// lower makes A to Z small and leaves every other byte, as the other stores do.
func lower(b []byte) []byte {
	out := bytes.Clone(b)
	for i, c := range out {
		if 'A' <= c && c <= 'Z' {
			out[i] = c + 'a' - 'A'
		}
	}
	return out
}
