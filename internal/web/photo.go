package web

import (
	"context"
	"errors"
	"io"
	"net/http"
	"regexp"

	"endfloat/internal/shop"
)

var blobKey = regexp.MustCompile(`^[0-9a-f]{64}$`)

// photo serves a photo. Its key is the hash of its bytes, so it never changes;
// the sandbox keeps it a picture whatever it holds.
func (s *server) photo(v *visit) error { return v.servePhoto(s.sh.Blob) }

// smallPhoto serves the small copy of a photo.
func (s *server) smallPhoto(v *visit) error { return v.servePhoto(s.sh.SmallPhoto) }

func (v *visit) servePhoto(get func(context.Context, string) ([]byte, error)) error {
	key := v.r.PathValue("key")
	if !blobKey.MatchString(key) {
		return missing("There is no photo under this address.")
	}
	b, err := get(v.r.Context(), key)
	if err != nil || http.DetectContentType(b) != "image/jpeg" {
		return missing("This photo is not here: it may have been deleted on request.")
	}
	h := v.w.Header()
	h.Set("Content-Type", "image/jpeg")
	h.Set("Content-Security-Policy", "default-src 'none'; sandbox")
	h.Set("Cache-Control", "private, max-age=31536000, immutable")
	v.w.WriteHeader(http.StatusOK)
	v.w.Write(b) // whoever asked may have gone
	return nil
}

// photoJSON is what a photo is cited by.
type photoJSON struct {
	Key string `json:"key"`
}

// apiPhoto takes a photo as the body of a request; its key then goes into the
// photos of an entry.
func (s *server) apiPhoto(v *visit) error {
	raw, err := v.picture()
	if err != nil {
		return err
	}
	key, err := s.sh.PhotoIn(v.r.Context(), raw)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", photoJSON{key})
	return nil
}

// picture reads the body of a request as a photo.
func (v *visit) picture() ([]byte, error) {
	raw, err := io.ReadAll(http.MaxBytesReader(v.w, v.r.Body, shop.MaxPhotoBytes+1))
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		return nil, invalid("the photo is larger than %d MB: take it at a smaller size", shop.MaxPhotoBytes>>20)
	}
	return raw, err
}

// readPhoto reads no more of a file than a photo may have.
func readPhoto(r io.Reader) ([]byte, error) {
	return io.ReadAll(io.LimitReader(r, shop.MaxPhotoBytes+1))
}
