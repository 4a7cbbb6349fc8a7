package report

import (
	"bytes"
	"fmt"
	"image/jpeg"
	"slices"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/photo"
	"endfloat/internal/plan"
)

// figure is a photo with what it shows.
type figure struct {
	key, position, says string
	e                   job.Entry
}

// figures are the photos of a job in the order of the positions, then those
// that belong to none, each once, with their numbers.
func figures(v *plan.View) ([]figure, map[string]int) {
	by := map[string][]figure{}
	seen := map[string]bool{}
	add := func(e job.Entry, position, says string, keys []string) {
		for _, k := range keys {
			if !seen[k] {
				seen[k] = true
				by[position] = append(by[position], figure{k, position, says, e})
			}
		}
	}
	for _, e := range v.Entries {
		if _, gone := v.Struck[e.ID]; gone {
			continue
		}
		shown(e, add)
	}
	var out []figure
	if v.Box != nil {
		for _, p := range v.Box.All() {
			out = append(out, by[p.ID]...)
			delete(by, p.ID)
		}
	}
	var rest []string
	for id := range by {
		rest = append(rest, id)
	}
	slices.Sort(rest)
	for _, id := range rest {
		out = append(out, by[id]...)
	}
	n := map[string]int{}
	for i, f := range out {
		n[f.key] = i + 1
	}
	return out, n
}

// shown hands on the photos of an entry.
func shown(e job.Entry, add func(e job.Entry, position, says string, keys []string)) {
	switch e.Kind {
	case "noted":
		if x, ok := is[job.Noted](e); ok {
			add(e, x.Position, x.Text, x.Photos)
		}
	case "taken off":
		if x, ok := is[job.TakenOff](e); ok {
			add(e, x.Position, joined(", ", "as it came off", x.Faced, x.Damage), x.Photos)
		}
	case "read":
		if x, ok := is[job.Read](e); ok {
			position, _, _ := strings.Cut(x.What, " ")
			add(e, position, x.What+" "+strings.Join(x.Values, " · "), x.Photos)
		}
	case "fitted":
		if x, ok := is[job.Fitted](e); ok {
			add(e, x.Position, joined(", ", "fitted", x.Faces), x.Photos)
		}
	case "torqued":
		if x, ok := is[job.Torqued](e); ok {
			add(e, x.Position, "torqued to "+torqueText(x.Torque, x.U), x.Photos)
		}
	case "locked":
		if x, ok := is[job.Locked](e); ok {
			add(e, x.Position, "locked: "+x.How, x.Photos)
		}
	}
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
		b.strips(b.photos[i:min(i+per, len(b.photos))], i+1, w)
	}
}

// shows is the position of a photo in words.
func (b *book) shows(f figure) string {
	if f.position == "" {
		return "The unit"
	}
	if b.v.Box != nil {
		if p, ok := b.v.Box.Position(f.position); ok {
			return p.Label()
		}
	}
	return f.position
}

// strips sets one row of photos over their captions.
func (b *book) strips(fs []figure, first int, w float64) {
	var caps [][]line
	capH := 0.0
	for i, f := range fs {
		ls := append(b.wrap(bold, w, fmt.Sprintf("%d  %s", first+i, b.shows(f))), b.wrap(cell, w, sentence(f.says))...)
		ls = append(ls, b.wrap(small, w, b.stamp(f.e))...)
		caps = append(caps, ls)
		capH = max(capH, height(ls))
	}
	tall := 0.0
	for _, f := range fs {
		_, h := b.photoSize(f.key, w)
		tall = max(tall, h)
	}
	b.need(tall + capH + 5)
	top := b.y
	for i, f := range fs {
		x := b.left + float64(i)*(w+6)
		pw, ph := b.photoSize(f.key, w)
		b.photo(f.key, x, top, pw, ph)
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
func (b *book) photo(key string, x, y, w, h float64) {
	if b.shots[key] == (shot{}) {
		b.text(note, x, y+5, "The photo is not here any more.")
		return
	}
	if b.total == 0 {
		return
	}
	if raw, ok := b.o.Photo(key); ok {
		b.image(key, photo.Small(raw), x, y, w, h)
	}
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
