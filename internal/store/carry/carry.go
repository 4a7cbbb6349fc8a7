// Package carry reads a store out whole: as text that is the same for the same
// workshop whichever engine keeps it, into another store, or only to see that
// all is as it was written.
package carry

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"time"
	"unicode/utf8"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// The lines of an export, in this order: one Begin; for each book, by id, one
// Book and its Entries; the Blobs by key. Each is a JSON object on a line of its
// own. Bytes that are UTF-8 stand as text, others in base64.
type (
	Begin struct {
		Export int `json:"endfloat export"` // 1
	}
	Book struct {
		Book    string   `json:"book"`
		Entries int      `json:"entries"`
		Summary Bytes    `json:"summary"`
		Tags    []string `json:"tags"`
	}
	Entry struct {
		Seq  int    `json:"seq"`
		ID   string `json:"id"`
		Says Bytes  `json:"says"`
	}
	Blob struct {
		Blob  string `json:"blob"`
		Salt  []byte `json:"salt"`
		Bytes []byte `json:"bytes"`
	}
)

// Bytes are kept as they are: {"text": …} if they are UTF-8, else {"base64": …}.
type Bytes []byte

// MarshalJSON implements json.Marshaler.
func (b Bytes) MarshalJSON() ([]byte, error) {
	if utf8.Valid(b) {
		return json.Marshal(map[string]string{"text": string(b)})
	}
	return json.Marshal(map[string][]byte{"base64": b})
}

// Write writes the export of a store.
func Write(ctx context.Context, w io.Writer, s shop.Whole) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(Begin{1}); err != nil {
		return err
	}
	err := eachBook(ctx, s, func(m shop.Summary, tags []string, ls []job.Line) error {
		if err := enc.Encode(Book{m.Book, len(ls), m.Body, append([]string{}, tags...)}); err != nil {
			return err
		}
		for _, l := range ls {
			if err := enc.Encode(Entry{l.Seq, l.ID, l.Bytes}); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return eachBlob(ctx, s, func(key string) error {
		salt, b, err := blob(ctx, s, key)
		if err != nil {
			return err
		}
		return enc.Encode(Blob{key, append([]byte{}, salt...), b})
	})
}

func blob(ctx context.Context, s shop.Whole, key string) (salt, b []byte, err error) {
	if salt, err = s.Salt(ctx, key); err == nil {
		b, err = s.Blob(ctx, key)
	}
	return salt, b, err
}

// Sum is the SHA-256 of the export of a store.
func Sum(ctx context.Context, s shop.Whole) (string, error) {
	h := sha256.New()
	if err := Write(ctx, h, s); err != nil {
		return "", err
	}
	return fmt.Sprintf("%x", h.Sum(nil)), nil
}

// Count is how much a store holds.
type Count struct{ Books, Entries, Blobs int }

func (c Count) String() string {
	return fmt.Sprintf("%d books, %d entries, %d photos and names", c.Books, c.Entries, c.Blobs)
}

// Check reads everything in a store, which holds it against its seals and keys,
// and has the store look for other damage where it can.
func Check(ctx context.Context, s shop.Whole) (Count, error) {
	return check(ctx, s, func() {})
}

// CheckSlowly does so beside other work, resting twenty times as long as it works.
func CheckSlowly(ctx context.Context, s shop.Whole) (Count, error) {
	began := time.Now()
	return check(ctx, s, func() {
		if worked := time.Since(began); worked > 2*time.Millisecond {
			select {
			case <-time.After(20 * worked):
			case <-ctx.Done():
			}
			began = time.Now()
		}
	})
}

func check(ctx context.Context, s shop.Whole, rest func()) (n Count, err error) {
	err = eachBook(ctx, s, func(m shop.Summary, _ []string, ls []job.Line) error {
		n.Books++
		n.Entries += len(ls)
		rest()
		return nil
	})
	if err != nil {
		return n, err
	}
	err = eachBlob(ctx, s, func(key string) error {
		n.Blobs++
		_, err := s.Blob(ctx, key)
		rest()
		return err
	})
	if sound, ok := s.(interface{ Sound(context.Context) error }); ok && err == nil {
		err = sound.Sound(ctx)
	}
	return n, err
}

// batch is how many lines Copy appends at a time.
const batch = 500

// Copy brings what one store holds into another. The other must be empty, or
// hold the beginning of the same: a copy that was cut short is gone on with.
// Both are then read out and compared byte for byte.
func Copy(ctx context.Context, from, to shop.Whole) (n Count, err error) {
	err = eachBlob(ctx, from, func(key string) error { // first, so that no book cites what is not there
		salt, b, err := blob(ctx, from, key)
		if err != nil {
			return err
		}
		n.Blobs++
		_, err = to.PutBlob(ctx, salt, b)
		return err
	})
	if err != nil {
		return n, err
	}
	err = eachBook(ctx, from, func(m shop.Summary, tags []string, ls []job.Line) error {
		n.Books++
		n.Entries += len(ls)
		return copyBook(ctx, to, m, tags, ls)
	})
	if err != nil {
		return n, err
	}
	a, err := Sum(ctx, from)
	if err != nil {
		return n, err
	}
	b, err := Sum(ctx, to)
	if err == nil && a != b {
		err = fmt.Errorf("what was read back is not what was there (%.12s, %.12s); was somebody writing meanwhile, or was the other not empty? stop every program that uses them and do it again", a, b)
	}
	return n, err
}

func copyBook(ctx context.Context, to shop.Store, m shop.Summary, tags []string, ls []job.Line) error {
	held, err := to.Lines(ctx, m.Book, 0)
	if err != nil {
		return err
	}
	for i, l := range held {
		if i >= len(ls) || l.ID != ls[i].ID || !bytes.Equal(l.Bytes, ls[i].Bytes) {
			return fmt.Errorf("book %q is there already and says something else at entry %d; copy into an empty one", m.Book, l.Seq)
		}
	}
	for at := len(held); ; {
		next := min(at+batch, len(ls))
		a := shop.Add{Book: m.Book, After: at, Lines: ls[at:next], Summary: m.Body, Tags: tags}
		if err := to.Append(ctx, a); err != nil || next == len(ls) {
			return err
		}
		at = next
	}
}

func eachBook(ctx context.Context, s shop.Whole, do func(shop.Summary, []string, []job.Line) error) error {
	books, err := s.Summaries(ctx)
	if err != nil {
		return err
	}
	for _, m := range books {
		ls, err := s.Lines(ctx, m.Book, 0)
		if err != nil {
			return err
		}
		tags, err := s.TagsOf(ctx, m.Book)
		if err != nil {
			return err
		}
		if err := do(m, tags, ls); err != nil {
			return fmt.Errorf("book %q: %w", m.Book, err)
		}
	}
	return nil
}

func eachBlob(ctx context.Context, s shop.Whole, do func(key string) error) error {
	for after := ""; ; {
		keys, err := s.BlobKeys(ctx, after, 200)
		if err != nil || len(keys) == 0 {
			return err
		}
		for _, key := range keys {
			if err := do(key); err != nil {
				return err
			}
			after = key
		}
	}
}
