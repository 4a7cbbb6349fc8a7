// Package demo is the demonstration workshop: two railcar gearboxes of an
// invented narrow-gauge line and a donor, made by the same entries a person
// would make. All of it is invented; none of the data is from a real unit.
package demo

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"strings"
	"time"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// teller makes entries one after another, each a little later than the last.
// After the first error it makes no more.
type teller struct {
	ctx context.Context
	sh  *shop.Shop
	who string
	at  time.Time
	n   int
	err error
}

// Load fills an empty workshop. With finished, Linnet is handed over with its
// book complete; without, it is left near the end of setting up.
func Load(ctx context.Context, sh *shop.Shop, finished bool) error {
	t := &teller{ctx: ctx, sh: sh, who: "Tove Marrin"}
	t.workshop()
	t.receive()
	t.stripAll()
	t.inspect()
	t.decideAll()
	t.goodsIn()
	t.stacks()
	t.settings()
	if finished {
		t.finish()
	}
	return t.err
}

func (t *teller) day(month time.Month, day, hour int) {
	t.at = time.Date(2026, month, day, hour, 10, 0, 0, time.UTC)
}

func (t *teller) do(book string, b job.Body) *shop.Desk {
	if t.err != nil {
		return nil
	}
	t.at = t.at.Add(3 * time.Minute)
	t.n++
	d, err := t.sh.Record(t.ctx, shop.By{Name: t.who, Device: "bench tablet", N: t.n, At: t.at}, book, b)
	if err != nil {
		t.err = fmt.Errorf("demonstration, entry %d (%s in %s): %w", t.n, b.Kind(), book, err)
	}
	return d
}

func (t *teller) tighten(book, position, method string, trial bool, values map[string]string) {
	if t.err != nil {
		return
	}
	t.at = t.at.Add(3 * time.Minute)
	t.n++
	_, err := t.sh.Tighten(t.ctx, shop.By{Name: t.who, Device: "bench tablet", N: t.n, At: t.at}, book,
		shop.Tightening{Position: position, Method: method, Values: values, Trial: trial})
	if err != nil {
		t.err = fmt.Errorf("demonstration, torque of %s in %s: %w", position, book, err)
	}
}

func (t *teller) open(book string) *shop.Desk {
	if t.err != nil {
		return nil
	}
	d, err := t.sh.Open(t.ctx, book)
	if err != nil {
		t.err = fmt.Errorf("demonstration: %w", err)
	}
	return d
}

func (t *teller) read(book, what, with, values string, more ...func(*job.Read)) {
	r := job.Read{What: what, With: with, Values: strings.Fields(values)}
	for _, m := range more {
		m(&r)
	}
	t.do(book, r)
}

func whole(text string) func(*job.Read)  { return func(r *job.Read) { r.Values = []string{text} } }
func state(text string) func(*job.Read)  { return func(r *job.Read) { r.State = text } }
func remark(text string) func(*job.Read) { return func(r *job.Read) { r.Note = text } }
func about(tag string) func(*job.Read)   { return func(r *job.Read) { r.Piece = tag } }
func at(celsius float64) func(*job.Read) { return func(r *job.Read) { r.Temp = &celsius } }

func (t *teller) note(book, text, topic string) { t.do(book, job.Noted{Text: text, Topic: topic}) }

// plate is a drawn stand-in for a photo: bench, unit card in the unit's colour
// and the part as plain shapes. It needs no camera and says so.
func (t *teller) plate(tape color.RGBA, seed int) string {
	if t.err != nil {
		return ""
	}
	const w, h = 640, 420
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{226, 222, 210, 255}
			switch {
			case x > 24 && x < 104 && y > 24 && y < 84:
				c = tape
			case x > 120 && x < 620 && ring(x-330, y-220, 60+10*(seed%4), 150):
				c = color.RGBA{92, 96, 100, 255}
			case x > 120 && ring(x-330, y-220, 150, 158+4*(seed%3)) && (x+y+seed*7)%18 < 10:
				c = color.RGBA{92, 96, 100, 255}
			case x > 540 && x < 612 && y > 214 && y < 222:
				c = color.RGBA{30, 30, 30, 255} // arrow toward the front
			case x >= 600 && x < 624 && abs(y-218) < (624-x)/2:
				c = color.RGBA{30, 30, 30, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.err = fmt.Errorf("demonstration: %w", err)
		return ""
	}
	key, err := t.sh.PhotoIn(t.ctx, b.Bytes())
	if err != nil {
		t.err = fmt.Errorf("demonstration: %w", err)
	}
	return key
}

func ring(x, y, in, out int) bool { r := x*x + y*y; return r >= in*in && r <= out*out }

func abs(x int) int {
	if x < 0 {
		return -x
	}
	return x
}

// facing is how a part faces when it is right, in the words of the question.
func facing(p *gearbox.Position) string {
	switch {
	case p.Either:
		return "either way"
	case len(p.Faces) > 0:
		return p.Faces[0].Face + " toward " + p.Faces[0].Toward
	}
	return ""
}

// fitAll fits whatever can go on now, in order, until only what stop names is
// left to fit. pick says which pieces go on.
func (t *teller) fitAll(book string, pick func(p *gearbox.Position, d *shop.Desk) []string, stop func(id string) bool) {
	for d := t.open(book); t.err == nil; {
		st := nextFit(d.View, stop)
		if st == nil {
			return
		}
		t.warm(book, st.Position.ID)
		d = t.do(book, job.Fitted{Position: st.Position.ID, Tags: pick(st.Position, d), Faces: fitFacing(st.Position), With: helper(st.Position)})
	}
}

func fitFacing(p *gearbox.Position) string {
	if p.Either {
		return ""
	}
	return facing(p)
}

// warm takes a part out of the oven just before it goes on.
func (t *teller) warm(book, position string) {
	d := t.open(book)
	if t.err != nil {
		return
	}
	for _, s := range d.Build {
		if s.Do == "heat" && s.Position.ID == position {
			h, _ := d.HeatFor(s.Position, 20)
			t.do(book, job.Heated{Position: position, Oven: fmt.Sprintf("%.0f °C", h.Oven)})
		}
	}
}

// helper is who comes to hold what one person cannot.
func helper(p *gearbox.Position) string {
	if p.People > 1 {
		return "Ivo"
	}
	return ""
}

// nextFit is the first part that can go on now, or could once it is warm.
func nextFit(v *plan.View, stop func(id string) bool) *plan.Step {
	for i, s := range v.Build {
		if (s.Do == "fit" || s.Do == "heat") && s.Now() && !stop(s.Position.ID) {
			return &v.Build[i]
		}
	}
	return nil
}
