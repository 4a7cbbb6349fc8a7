package report

import (
	"bytes"
	"fmt"
	"image/jpeg"
	"maps"
	"slices"
	"strings"

	"endfloat/internal/draw"
	"endfloat/internal/job"
	"endfloat/internal/photo"
	"endfloat/internal/plan"
)

// figures are the photos of a job in the order of the positions, then those
// that belong to none, each once, with their numbers.
func figures(v *plan.View) ([]plan.Photo, map[string]int) {
	by := map[string][]plan.Photo{}
	for _, p := range v.Photos() {
		by[p.Position] = append(by[p.Position], p)
	}
	var out []plan.Photo
	if v.Box != nil {
		for _, p := range v.Box.All() {
			out = append(out, by[p.ID]...)
			delete(by, p.ID)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(by)) {
		out = append(out, by[id]...)
	}
	n := map[string]int{}
	for i, p := range out {
		n[p.Key] = i + 1
	}
	return out, n
}

// fig refers to photos by their numbers.
func (b *book) fig(keys []string) string {
	var ns []int
	for _, k := range keys {
		if n := b.figs[k]; n > 0 && !slices.Contains(ns, n) {
			ns = append(ns, n)
		}
	}
	slices.Sort(ns)
	var out []string
	for _, n := range ns {
		out = append(out, fmt.Sprint(n))
	}
	if len(out) == 0 {
		return ""
	}
	return "photo " + strings.Join(out, ", ")
}

// pictures are the photos in the order of the positions, two to a row.
func (b *book) pictures() {
	if len(b.photos) == 0 {
		return
	}
	b.part("Photos")
	const per = 2
	w := (b.wide() - 6) / per
	for i := 0; i < len(b.photos); i += per {
		b.strips(b.photos[i:min(i+per, len(b.photos))], w)
	}
}

// shows is the position of a photo in words.
func (b *book) shows(f plan.Photo) string {
	if f.Position == "" {
		return "The unit"
	}
	if b.v.Box != nil {
		if p, ok := b.v.Box.Position(f.Position); ok {
			return p.Label()
		}
	}
	return f.Position
}

// strips sets one row of photos over their captions.
func (b *book) strips(fs []plan.Photo, w float64) {
	var caps [][]line
	capH := 0.0
	for _, f := range fs {
		ls := append(b.wrap(bold, w, fmt.Sprintf("%d  %s", b.figs[f.Key], b.shows(f))), b.wrap(cell, w, sentence(f.Says))...)
		ls = append(ls, b.wrap(small, w, b.stamp(f.Entry))...)
		if says := b.drawnWords(f); says != "" {
			ls = append(ls, b.wrap(small, w, says)...)
		}
		caps = append(caps, ls)
		capH = max(capH, height(ls))
	}
	tall := 0.0
	for _, f := range fs {
		_, h := b.photoSize(f.Key, w)
		tall = max(tall, h)
	}
	b.need(tall + capH + 5)
	top := b.y
	for i, f := range fs {
		x := b.left + float64(i)*(w+6)
		pw, ph := b.photoSize(f.Key, w)
		b.photo(f, x, top, pw, ph)
		b.y = top + tall + 1
		for _, l := range caps[i] {
			b.y += l.lead
			b.text(l.face, x, b.y-0.26*l.lead, l.text)
		}
	}
	b.y = top + tall + capH + 5
}

// photo prints one photo, of its small copy: at the width of a column that is as
// fine as a printer of 200 dots to the inch, and a tenth of the bytes. The first run only leaves room for it: its pages
// are thrown away, and photos are most of the bytes of a book.
func (b *book) photo(f plan.Photo, x, y, w, h float64) {
	s := b.shots[f.Key]
	if s == (shot{}) {
		b.text(note, x, y+5, "The photo is not here any more.")
		return
	}
	if b.total == 0 {
		return
	}
	if raw, ok := b.o.Photo(f.Key); ok {
		b.image(f.Key, photo.Small(raw), x, y, w, h)
	}
	if len(f.Marks) > 0 {
		d := draw.Markup(drawnOn(f), int(s.w), int(s.h))
		b.put(d, x, y, w/d.W)
	}
}

func drawnOn(f plan.Photo) []job.Drawn {
	var out []job.Drawn
	for _, m := range f.Marks {
		out = append(out, m.Is)
	}
	return out
}

// drawnWords says what was drawn over a photo, and by whom: the photo itself is
// as it was taken.
func (b *book) drawnWords(f plan.Photo) string {
	var says []string
	for _, m := range f.Marks {
		says = append(says, joined(": ", m.Is.Shape, m.Is.Says)+" ("+b.stamp(m.Entry)+")")
	}
	if len(says) == 0 {
		return ""
	}
	return "Drawn over it: " + strings.Join(says, "; ")
}

// shot is the size of a photo in dots, zero where it cannot be printed.
type shot struct{ w, h float64 }

// photoSize is the size at which a photo is printed: the width of its column,
// or less where it would be taller than that.
func (b *book) photoSize(key string, w float64) (pw, ph float64) {
	s, known := b.shots[key]
	if !known && b.o.Photo != nil {
		if raw, ok := b.o.Photo(key); ok {
			if c, err := jpeg.DecodeConfig(bytes.NewReader(photo.Small(raw))); err == nil && c.Width > 0 && c.Height > 0 {
				s = shot{float64(c.Width), float64(c.Height)}
			}
		}
		b.shots[key] = s
	}
	if s == (shot{}) {
		return w, 8
	}
	k := w / max(s.w, s.h)
	return s.w * k, s.h * k
}
