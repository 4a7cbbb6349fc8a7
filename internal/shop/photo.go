package shop

import (
	"context"
	"errors"
	"image"

	"endfloat/internal/photo"
)

// MaxPhotoBytes is the largest photo that is taken.
const MaxPhotoBytes = photo.MaxBytes

// oneAtATime keeps pictures from being unpacked side by side: one may take a
// hundred megabytes.
var oneAtATime = make(chan struct{}, 1)

// alone runs fn when no other picture is being worked on, or not at all when
// whoever asked has gone.
func alone(ctx context.Context, fn func() error) error {
	select {
	case oneAtATime <- struct{}{}:
		defer func() { <-oneAtATime }()
		return fn()
	case <-ctx.Done():
		return ctx.Err()
	}
}

// PhotoIn takes a photo: checks it, turns it upright, scales it, leaves out all
// that the camera wrote beside the picture, keeps it and returns its key. The
// same photo sent twice is kept once.
func (sh *Shop) PhotoIn(ctx context.Context, raw []byte) (string, error) {
	var kept []byte
	err := alone(ctx, func() (err error) {
		kept, err = photo.Make(raw)
		return err
	})
	if err != nil {
		return "", refusedPhoto(err)
	}
	return sh.store.PutBlob(ctx, nil, kept)
}

// picture unpacks a photo that is only looked at.
func picture(ctx context.Context, raw []byte, edge int) (img *image.RGBA, err error) {
	err = alone(ctx, func() (err error) {
		img, err = photo.Open(raw, edge)
		return err
	})
	return img, refusedPhoto(err)
}

func refusedPhoto(err error) error {
	if errors.Is(err, photo.ErrRefused) {
		return &marked{ErrInvalid, err.Error()}
	}
	return err
}

// SmallPhoto returns the small copy of a photo by key, for lists and paper.
func (sh *Shop) SmallPhoto(ctx context.Context, key string) ([]byte, error) {
	b, err := sh.Blob(ctx, key)
	if err != nil {
		return nil, err
	}
	return photo.Small(b), nil
}
