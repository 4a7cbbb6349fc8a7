// Package memory is a store that lasts as long as the program: for tests and
// for trying things out. It keeps every promise of shop.Store but to be there
// tomorrow.
package memory

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"slices"
	"sync"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// Store implements shop.Store.
type Store struct {
	mu    sync.RWMutex
	books map[string]*book
	blobs map[string][]byte
	salts map[string][]byte // by key of the blob
}

type book struct {
	lines   []job.Line
	byID    map[string][]byte
	summary []byte
	tags    []string
}

var _ shop.Whole = (*Store)(nil)

// New returns an empty store.
func New() *Store {
	return &Store{books: map[string]*book{}, blobs: map[string][]byte{}, salts: map[string][]byte{}}
}

// Lines implements shop.Store.
func (s *Store) Lines(ctx context.Context, id string, after int) ([]job.Line, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	b := s.books[id]
	if err := ctx.Err(); err != nil || b == nil {
		return nil, err
	}
	ls := slices.Clone(b.lines[min(max(after, 0), len(b.lines)):])
	for i := range ls {
		ls[i].Bytes = bytes.Clone(ls[i].Bytes)
	}
	return ls, nil
}

// Append implements shop.Store.
func (s *Store) Append(ctx context.Context, adds ...shop.Add) error {
	if err := shop.CheckAdds(adds); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return err
	}
	if repeat, err := s.repeat(adds); err != nil || repeat {
		return err
	}
	for _, a := range adds {
		if at := s.head(a.Book); at != a.After {
			return fmt.Errorf("%w: %q is at %d, this was decided at %d; look again and decide anew", shop.ErrConflict, a.Book, at, a.After)
		}
	}
	for _, a := range adds {
		s.add(a)
	}
	return nil
}

// repeat reports whether all lines are already held.
func (s *Store) repeat(adds []shop.Add) (bool, error) {
	held, all := 0, 0
	for _, a := range adds {
		for _, l := range a.Lines {
			all++
			b := s.books[a.Book]
			if b == nil || b.byID[l.ID] == nil {
				continue
			}
			if !bytes.Equal(b.byID[l.ID], l.Bytes) {
				return false, fmt.Errorf("%w: %q holds an entry %q that says something else; give this one an id of its own", shop.ErrConflict, a.Book, l.ID)
			}
			held++
		}
	}
	if held > 0 && held < all {
		return false, fmt.Errorf("%w: %d of these %d entries are already held; send the others by themselves", shop.ErrConflict, held, all)
	}
	return held > 0, nil
}

func (s *Store) head(id string) int {
	if b := s.books[id]; b != nil {
		return len(b.lines)
	}
	return 0
}

func (s *Store) add(a shop.Add) {
	b := s.books[a.Book]
	if b == nil {
		b = &book{byID: map[string][]byte{}}
		s.books[a.Book] = b
	}
	for _, l := range a.Lines {
		l.Seq, l.Bytes = len(b.lines)+1, bytes.Clone(l.Bytes)
		b.lines = append(b.lines, l)
		b.byID[l.ID] = l.Bytes
	}
	b.summary, b.tags = bytes.Clone(a.Summary), slices.Clone(a.Tags)
}

// Summaries implements shop.Store.
func (s *Store) Summaries(ctx context.Context) ([]shop.Summary, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	var out []shop.Summary
	for _, id := range slices.Sorted(maps.Keys(s.books)) {
		b := s.books[id]
		out = append(out, shop.Summary{Book: id, Seq: len(b.lines), Body: bytes.Clone(b.summary)})
	}
	return out, ctx.Err()
}

// FindTag implements shop.Store.
func (s *Store) FindTag(ctx context.Context, tag string) ([]string, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	var out []string
	for _, id := range slices.Sorted(maps.Keys(s.books)) {
		if slices.Contains(s.books[id].tags, tag) {
			out = append(out, id)
		}
	}
	return out, ctx.Err()
}

// PutBlob implements shop.Store.
func (s *Store) PutBlob(ctx context.Context, salt, b []byte) (string, error) {
	key := job.Salted(salt, b)
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return "", err
	}
	if _, ok := s.blobs[key]; !ok {
		s.blobs[key], s.salts[key] = bytes.Clone(b), bytes.Clone(salt)
	}
	return key, nil
}

// Blob implements shop.Store.
func (s *Store) Blob(ctx context.Context, key string) ([]byte, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	b, ok := s.blobs[key]
	if !ok {
		return nil, fmt.Errorf("blob %.12s: %w", key, shop.ErrNotFound)
	}
	return bytes.Clone(b), nil
}

// DropBlob implements shop.Store.
func (s *Store) DropBlob(ctx context.Context, key string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return err
	}
	delete(s.blobs, key)
	delete(s.salts, key)
	return nil
}

// TagsOf implements shop.Whole.
func (s *Store) TagsOf(ctx context.Context, id string) ([]string, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if b := s.books[id]; b != nil {
		return slices.Compact(slices.Sorted(slices.Values(b.tags))), ctx.Err()
	}
	return nil, ctx.Err()
}

// BlobKeys implements shop.Whole.
func (s *Store) BlobKeys(ctx context.Context, after string, n int) ([]string, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	keys := slices.Sorted(maps.Keys(s.blobs))
	i, found := slices.BinarySearch(keys, after)
	if found {
		i++
	}
	return keys[i:min(i+n, len(keys))], ctx.Err()
}

// Salt implements shop.Whole.
func (s *Store) Salt(ctx context.Context, key string) ([]byte, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if _, ok := s.blobs[key]; !ok {
		return nil, fmt.Errorf("blob %.12s: %w", key, shop.ErrNotFound)
	}
	return bytes.Clone(s.salts[key]), ctx.Err()
}

// Close implements shop.Store. There is nothing to close.
func (s *Store) Close() error { return nil }
