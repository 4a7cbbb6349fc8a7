package web

import (
	"net/http"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/shop"
)

type cleanPage struct {
	frame
	Basket   string
	Inside   []*job.Piece // what is in the basket now
	Unwashed []*job.Piece
	Washings []gearbox.Washing
	Metal    string
	Keys     []string // cautions
	Done     []act
	Air      string
	What     string // asked for by its position
	Pos      *gearbox.Position
}

// clean is the wash basket of the unit: what is in it, what is used on it, and the
// oil ways proved clear.
func (s *server) clean(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showClean(v, d)
}

func (s *server) showClean(v *visit, d *shop.Desk) error {
	p := cleanPage{frame: v.jobFrame(d, "Clean"), Basket: d.Basket(), Washings: gearbox.Washings(), Metal: d.Box.CaseMetal(d.Built), Air: gearbox.AirCare}
	p.Bench = true
	for _, tag := range d.InBasket() {
		p.Inside = append(p.Inside, d.Pieces[tag])
	}
	for _, tag := range d.Unwashed() {
		if !slices.ContainsFunc(p.Inside, func(q *job.Piece) bool { return q.Tag == tag }) {
			p.Unwashed = append(p.Unwashed, d.Pieces[tag])
		}
	}
	if id := v.r.FormValue("pos"); id != "" {
		pos, err := placeOf(d, id)
		if err != nil {
			return err
		}
		p.Pos, p.What = pos, pos.Label()
	}
	_, p.Keys = d.WashCare("")
	for i := len(d.Entries) - 1; i >= 0; i-- {
		if k := d.Entries[i].Kind; k == "cleaned" || k == "repaired" {
			p.Done = append(p.Done, s.actOf(v, d, d.Entries[i]))
		}
	}
	return v.show("clean", p)
}

// Risky reports whether a way to clean is to be thought over on this case.
func (p cleanPage) Risky(w gearbox.Washing) bool { return slices.Contains(w.On, p.Metal) }

func (s *server) cleaned(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		var keys []string
		if keys, err = v.photos(); err == nil {
			f := v.trimmed
			b := job.Cleaned{With: joined(", ", v.r.Form["with"]...), Position: f("pos"), What: f("what"), Clear: f("clear"), Place: f("place"), Note: f("note"), Photos: keys}
			if other := f("other"); other != "" {
				b.With = joined(", ", b.With, other)
			}
			_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, b)
		}
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/clean")
	}
	if err := v.refused("clean", err); err != nil {
		return err
	}
	return s.showClean(v, d)
}

// basket puts a piece into the wash basket; one of another unit stops the hand
// that holds it.
func (s *server) basket(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	var f *shop.Found
	if err = v.form(); err == nil {
		text := v.trimmed("tag")
		if text == "" {
			text, err = v.label()
		}
		if err == nil {
			f, err = s.sh.IntoBasket(v.r.Context(), v.by(), d.Book, text)
		}
	}
	switch {
	case err == nil && f.Stop:
		p := tagPage{frame: v.jobFrame(f.Desk, "Stop"), Found: f, Where: f.Lies()}
		p.Owner, p.Link = p.Unit, p.Unit.Base
		p.frame, p.Bench = v.jobFrame(d, "Stop"), true
		return v.page(http.StatusConflict, "tag", p)
	case err == nil:
		return v.go303("/job/" + d.Book + "/clean#in")
	}
	if code, says := status(err); code == http.StatusNotFound {
		err = invalid("%s", says)
	}
	if err := v.refused("basket", err); err != nil {
		return err
	}
	return s.showClean(v, d)
}

type repairPage struct {
	frame
	Pos       *gearbox.Position
	Positions []*gearbox.Position
	Makings   []gearbox.Making
	Keys      []string
	Void      []string // settings to be proven again
	Done      []act
}

// repair asks what was made good on a part and how it was found good.
func (s *server) repair(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showRepair(v, d)
}

func (s *server) showRepair(v *visit, d *shop.Desk) error {
	p := repairPage{frame: v.jobFrame(d, "Repair"), Makings: gearbox.Makings(), Keys: []string{"solvent"}}
	p.Bench = true
	if d.Box != nil {
		p.Positions = d.Box.All()
	}
	if m := d.Box.CaseMetal(d.Built); m == "magnesium" || m == "" {
		p.Keys = []string{"magnesium", "solvent"}
	}
	if id := v.r.FormValue("pos"); id != "" {
		pos, err := placeOf(d, id)
		if err != nil {
			return err
		}
		p.Pos, p.Title = pos, "Repair "+pos.Label()
		if d.Box != nil {
			p.Void = d.Reach(id).Void
		}
		for i := len(d.Repaired) - 1; i >= 0; i-- {
			if d.Repaired[i].Is.Position == id {
				p.Done = append(p.Done, s.actOf(v, d, d.Repaired[i].Entry))
			}
		}
	}
	return v.show("repair", p)
}

func (s *server) repaired(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		var keys []string
		if keys, err = v.photos(); err == nil {
			f := v.trimmed
			_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, job.Repaired{Position: f("pos"), What: f("what"), How: f("how"), With: f("with"), Proved: f("proved"), Note: f("note"), Photos: keys})
		}
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/look/" + strings.ReplaceAll(v.trimmed("pos"), " ", "%20"))
	}
	if err := v.refused("repair", err); err != nil {
		return err
	}
	return s.showRepair(v, d)
}
