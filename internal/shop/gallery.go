package shop

import (
	"bytes"
	"context"
	"image/jpeg"
	"slices"
	"strconv"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// Beside are the photos of the same position of another unit of the type.
type Beside struct {
	Book, Unit, Letter, Colour string
	Photos                     []plan.Photo
}

// Beside finds the photos that the other units here have of a position: one of
// the type that is still whole is the best book there is. Units in hand come
// first, then donors, then those handed over.
func (sh *Shop) Beside(ctx context.Context, d *Desk, position string) ([]Beside, error) {
	rows, err := sh.Jobs(ctx)
	if err != nil {
		return nil, err
	}
	var out []Beside
	for _, r := range rows {
		if r.Book == d.Book || r.Type != d.Opened.Type || position == "" {
			continue
		}
		o, err := sh.load(ctx, r.Book)
		if err != nil {
			return nil, err
		}
		if ps := o.PhotosAt(position); len(ps) > 0 {
			out = append(out, Beside{r.Book, r.Unit, r.Letter, r.Colour, ps})
		}
	}
	return out, nil
}

// Photo finds a photo of a book by its key, or by the beginning of its key where
// that tells it from the others.
func (d *Desk) Photo(key string) (plan.Photo, error) {
	key = strings.ToLower(strings.TrimSpace(key))
	var hits []plan.Photo
	for _, p := range d.Photos() {
		if len(key) >= 6 && strings.HasPrefix(p.Key, key) {
			hits = append(hits, p)
		}
	}
	switch len(hits) {
	case 1:
		return hits[0], nil
	case 0:
		return plan.Photo{}, wrap(ErrNotFound, "no photo of %s has the key %q; at least its first six signs are wanted", d.Opened.Unit, clipped(key))
	}
	return plan.Photo{}, wrap(ErrInvalid, "%d photos of %s have keys that begin with %q; write more of it", len(hits), d.Opened.Unit, clipped(key))
}

// PhotoSize is the size of a photo in dots. A key never changes what it stands
// for, so it is looked at once.
func (sh *Shop) PhotoSize(ctx context.Context, key string) (w, h int, err error) {
	sh.mu.Lock()
	s, ok := sh.sizes[key]
	sh.mu.Unlock()
	if ok {
		return s[0], s[1], nil
	}
	raw, err := sh.Blob(ctx, key)
	if err != nil {
		return 0, 0, err
	}
	c, err := jpeg.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return 0, 0, wrap(ErrNotFound, "%.8s is no photo", key)
	}
	sh.mu.Lock()
	defer sh.mu.Unlock()
	if sh.sizes == nil || len(sh.sizes) > 4096 {
		sh.sizes = map[string][2]int{}
	}
	sh.sizes[key] = [2]int{c.Width, c.Height}
	return c.Width, c.Height, nil
}

// DrawnOn are the marks over a photo, as they are drawn.
func DrawnOn(p plan.Photo) []job.Drawn {
	out := make([]job.Drawn, len(p.Marks))
	for i, m := range p.Marks {
		out[i] = m.Is
	}
	return out
}

// Steps parts photos by the step at which they were taken, those without any left
// out.
func Steps(ps []plan.Photo) []Step {
	var out []Step
	for _, name := range plan.PhotoSteps {
		s := Step{Name: name}
		for _, p := range ps {
			if p.Step == name {
				s.Photos = append(s.Photos, p)
			}
		}
		if len(s.Photos) > 0 {
			out = append(out, s)
		}
	}
	return out
}

// Step is one step of the work with its photos.
type Step struct {
	Name   string
	Photos []plan.Photo
}

// IsPhotoStep reports whether photos are taken at a step of that name.
func IsPhotoStep(name string) bool { return slices.Contains(plan.PhotoSteps, name) }

// Share reads a share of a photo, typed as percent: "35", "35 %", "0,5".
func Share(text string) (float64, error) {
	bare := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "%"))
	f, err := strconv.ParseFloat(strings.Replace(bare, ",", ".", 1), 64)
	if err != nil || !(f >= 0 && f <= 100) {
		return 0, wrap(ErrInvalid, "%q is no share of a photo; write a number from 0 to 100, in percent", clipped(text))
	}
	return f / 100, nil
}
