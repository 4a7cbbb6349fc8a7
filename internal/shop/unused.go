package shop

import (
	"context"
	"fmt"
	"net/http"
	"regexp"
)

// Unused is a photo that no book refers to: it came in, and the entry that it was
// meant for was refused or never sent.
type Unused struct {
	Key   string `json:"key"`
	Bytes int    `json:"bytes"`
}

var anyKey = regexp.MustCompile(`[0-9a-f]{64}`)

// UnusedPhotos lists the photos that no book refers to. Names, gearbox files and
// whatever else is kept by content are never among them.
func (sh *Shop) UnusedPhotos(ctx context.Context) ([]Unused, error) {
	whole, ok := sh.store.(Whole)
	if !ok {
		return nil, wrap(ErrInvalid, "this store cannot be read out whole, so it is not known what lies in it unused")
	}
	cited, err := sh.cited(ctx)
	if err != nil {
		return nil, err
	}
	var out []Unused
	for after := ""; ; {
		keys, err := whole.BlobKeys(ctx, after, 200)
		if err != nil {
			return nil, fmt.Errorf("photos: %w", err)
		}
		if len(keys) == 0 {
			return out, nil
		}
		for _, k := range keys {
			after = k
			if cited[k] {
				continue
			}
			b, err := sh.store.Blob(ctx, k)
			if err != nil {
				return nil, fmt.Errorf("photo %.8s: %w", k, err)
			}
			if http.DetectContentType(b) == "image/jpeg" {
				out = append(out, Unused{k, len(b)})
			}
		}
	}
}

// DropUnusedPhotos deletes the photos that no book refers to and returns them. What
// a book has come to refer to meanwhile stays; an entry that is sent later with
// the key of one that is gone is refused, and asks for the photo again.
func (sh *Shop) DropUnusedPhotos(ctx context.Context) ([]Unused, error) {
	list, err := sh.UnusedPhotos(ctx)
	if err != nil || len(list) == 0 {
		return nil, err
	}
	cited, err := sh.cited(ctx)
	if err != nil {
		return nil, err
	}
	var gone []Unused
	for _, u := range list {
		if cited[u.Key] {
			continue
		}
		if err := sh.store.DropBlob(ctx, u.Key); err != nil {
			return gone, fmt.Errorf("photo %.8s: %w", u.Key, err)
		}
		gone = append(gone, u)
	}
	return gone, nil
}

// cited are the keys that stand anywhere in any book, struck entries too: what
// looks like a key counts as one.
func (sh *Shop) cited(ctx context.Context) (map[string]bool, error) {
	sums, err := sh.store.Summaries(ctx)
	if err != nil {
		return nil, fmt.Errorf("list of books: %w", err)
	}
	out := map[string]bool{}
	for _, s := range sums {
		lines, err := sh.store.Lines(ctx, s.Book, 0)
		if err != nil {
			return nil, fmt.Errorf("book %s: %w", s.Book, err)
		}
		for _, l := range lines {
			for _, k := range anyKey.FindAll(l.Bytes, -1) {
				out[string(k)] = true
			}
		}
	}
	return out, nil
}
