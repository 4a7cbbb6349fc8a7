package shop

import (
	"context"
	"crypto/ed25519"

	"endfloat/internal/report"
)

// Press is what paper needs beside the job: when it is made, by which version of
// the program, on what size, and the key that signs, nil for none.
type Press struct {
	report.Options
	Key ed25519.PrivateKey
}

// Paper makes the book of a job as a PDF, or the version of it for one reader.
// The whole book carries its data with it.
func (sh *Shop) Paper(ctx context.Context, d *Desk, reader string, p Press) ([]byte, error) {
	r, err := report.ReaderOf(reader)
	if err == nil {
		err = report.KnownPaper(p.Paper)
	}
	if err != nil {
		return nil, &marked{ErrInvalid, err.Error()}
	}
	o := p.Options
	o.Pin = d.Pin
	o.Name = func(key string) string { return sh.Name(ctx, key) }
	o.Photo = func(key string) ([]byte, bool) {
		b, err := sh.Blob(ctx, key)
		return b, err == nil
	}
	a, err := sh.Pack(ctx, d.Book, false, p.Key)
	if err != nil {
		return nil, err
	}
	o.Checkpoint = a.Books[0].Head
	if r.Key == "" {
		if o.Data, err = a.Bytes(); err != nil {
			return nil, err
		}
	} else {
		account, err := sh.Account(ctx, d)
		if err != nil {
			return nil, err
		}
		o.Account = &account
	}
	return report.For(d.View, r.Key, o)
}
