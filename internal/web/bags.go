package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

type bagRow struct {
	plan.Bag
	Seen  act
	Label string // address of its label as PDF
}

type unseenRow struct {
	plan.Unseen
	Says string
	Href string
}

type bagsPage struct {
	frame
	Bags    []bagRow
	Mystery *bagRow
	Unseen  []unseenRow
	Days    int
}

// unseenDays is after how many days a piece that nobody had in hand is asked for.
const unseenDays = 14

// bags shows what lies where: the bags of a unit with their count, the mystery
// bag, and what nobody has seen for a while.
func (s *server) bags(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showBags(v, d)
}

func (s *server) showBags(v *visit, d *shop.Desk) error {
	p := bagsPage{frame: v.jobFrame(d, "Bags"), Days: unseenDays}
	if n, err := strconv.Atoi(v.r.FormValue("days")); err == nil && n >= 0 && n < 10000 {
		p.Days = n
	}
	for _, b := range d.Bags() {
		row := bagRow{b, s.actOf(v, d, b.Seen), "/job/" + d.Book + "/labels.pdf?tag=" + url.QueryEscape(b.Place)}
		if b.Mystery() {
			p.Mystery = &row
			continue
		}
		p.Bags = append(p.Bags, row)
	}
	for _, u := range s.sh.Unseen(d, p.Days) {
		row := unseenRow{Unseen: u, Says: fmt.Sprintf("not seen since %s, %d days", u.Seen.At.Local().Format("2 Jan 2006"), u.Days), Href: "/job/" + d.Book}
		if u.Piece.Position != "" {
			row.Href += "/at/" + url.PathEscape(u.Piece.Position)
		}
		p.Unseen = append(p.Unseen, row)
	}
	return v.show("bags", p)
}

// sawBag records that a bag was opened and all of it was there.
func (s *server) sawBag(v *visit) error {
	return s.bagDone(v, "saw", func(d *shop.Desk) error {
		if v.sentBefore(d) {
			return nil
		}
		_, err := s.sh.SawBag(v.r.Context(), v.by(), d.Book, v.r.FormValue("place"))
		return err
	})
}

// mystery keeps a part that nobody can place.
func (s *server) mystery(v *visit) error {
	return s.bagDone(v, "mystery", func(d *shop.Desk) error {
		keys, err := v.photos()
		if err != nil || v.sentBefore(d) {
			return err
		}
		_, err = s.sh.KeepMystery(v.r.Context(), v.by(), d.Book, v.r.FormValue("what"), strings.TrimSpace(v.r.FormValue("where")), keys)
		return err
	})
}

func (s *server) bagDone(v *visit, form string, do func(*shop.Desk) error) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		err = do(d)
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/bags")
	}
	if err := v.refused(form, err); err != nil {
		return err
	}
	return s.showBags(v, d)
}

type bagJSON struct {
	Place   string   `json:"place"`
	N       int      `json:"n"`
	Of      int      `json:"of"`
	Mystery bool     `json:"mystery,omitempty"`
	Tags    []string `json:"tags"`
	Seen    string   `json:"seen"`
}

type unseenJSON struct {
	Tag   string `json:"tag"`
	Place string `json:"place"`
	Seen  string `json:"seen"`
	Days  int    `json:"days"`
}

type bagsJSON struct {
	Bags   []bagJSON    `json:"bags"`
	Unseen []unseenJSON `json:"unseen"`
}

// apiBags lists the bags of a unit, and the pieces off it with when each was seen last.
func (s *server) apiBags(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	const stamp = "2006-01-02T15:04:05Z"
	out := bagsJSON{[]bagJSON{}, []unseenJSON{}}
	for _, b := range d.Bags() {
		j := bagJSON{b.Place, b.N, b.Of, b.Mystery(), []string{}, b.Seen.At.UTC().Format(stamp)}
		for _, p := range b.Pieces {
			j.Tags = append(j.Tags, p.Tag)
		}
		out.Bags = append(out.Bags, j)
	}
	for _, u := range s.sh.Unseen(d, 0) {
		out.Unseen = append(out.Unseen, unseenJSON{u.Piece.Tag, u.Place, u.Seen.At.UTC().Format(stamp), u.Days})
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}
