package web

import (
	"cmp"
	"fmt"
	"maps"
	"net/url"
	"slices"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/job"
	"endfloat/internal/shop"
)

type benchPage struct {
	frame
	Jobs   []shop.Row
	Pieces int
	Boxes  int // gearbox files
	Upkeep string
	Alarm  bool // something must be done about it
}

// bench is the first page: all units side by side.
func (s *server) bench(v *visit) error {
	rows, err := s.sh.Jobs(v.r.Context())
	if err != nil {
		return err
	}
	stores, err := s.sh.Open(v.r.Context(), shop.StoresBook)
	if err != nil {
		return err
	}
	f := v.frame("The bench")
	f.Live = "*"
	p := benchPage{frame: f, Jobs: rows, Pieces: len(stores.Pieces), Boxes: len(stores.Boxes)}
	if p.Upkeep, p.Alarm, err = s.sh.Upkeep(v.r.Context()); err != nil {
		return err
	}
	return v.show("bench", p)
}

type newPage struct {
	frame
	Types   []string
	Series  map[string][]string
	Colours []string
	Taken   map[string]string // tape colour → letter and name of the unit here that has it
}

func (s *server) newForm(v *visit) error {
	stores, err := s.sh.Open(v.r.Context(), shop.StoresBook)
	if err != nil {
		return err
	}
	p := newPage{frame: v.frame("New unit"), Types: slices.Sorted(maps.Keys(stores.Boxes)), Series: map[string][]string{}, Colours: colours, Taken: map[string]string{}}
	rows, err := s.sh.Jobs(v.r.Context())
	if err != nil {
		return err
	}
	for _, r := range rows {
		if r.Arc != "handed over" {
			p.Taken[r.Colour] = r.Letter + " " + r.Unit
		}
	}
	for _, t := range p.Types {
		box, err := s.sh.Box(v.r.Context(), t)
		if err != nil {
			return err
		}
		for _, x := range box.Series {
			p.Series[t] = append(p.Series[t], x.Name)
		}
	}
	return v.show("new", p)
}

func (s *server) newUnit(v *visit) error {
	err := v.form()
	if err == nil && v.r.FormValue("how") == "file" {
		return s.keepBox(v)
	}
	if err == nil {
		r := v.r
		// The series is asked per type, so that only those of the chosen type count.
		o := job.Opened{Unit: r.FormValue("unit"), Letter: r.FormValue("letter"), Colour: r.FormValue("colour"), Type: r.FormValue("type"),
			Series: r.FormValue("series " + r.FormValue("type")), Donor: r.FormValue("donor") != "", Number: r.FormValue("number"), Year: r.FormValue("year"),
			Owner: r.FormValue("owner"), Asked: r.FormValue("asked"), Symptoms: r.FormValue("symptoms"), Due: r.FormValue("due"), Since: r.FormValue("since")}
		if bare := strings.TrimSpace(r.FormValue("bare")); o.Type == "" && bare != "" {
			o.Type, o.Box, o.Series = bare, shop.NoBox, ""
		}
		var book string
		if book, err = s.sh.NewJob(r.Context(), v.by(), o); err == nil {
			if o.Donor {
				return v.go303("/job/" + book)
			}
			return v.go303("/job/" + book + "/receive")
		}
	}
	if err := v.refused("new", err); err != nil {
		return err
	}
	return s.newForm(v)
}

// keepBox takes in a gearbox file.
func (s *server) keepBox(v *visit) error {
	err := invalid("choose a gearbox file, or write one in the field")
	text := []byte(v.r.FormValue("text"))
	name := "what was typed"
	if v.r.MultipartForm != nil {
		if hs := v.r.MultipartForm.File["file"]; len(hs) > 0 && hs[0].Size > 0 {
			name = hs[0].Filename
			if text, err = readAll(hs[0]); err != nil {
				return err
			}
		}
	}
	if len(text) > 0 {
		_, err = s.sh.KeepBox(v.r.Context(), v.by(), name, text)
	}
	if err == nil {
		return v.go303("/new")
	}
	if err := v.refused("file", err); err != nil {
		return err
	}
	return s.newForm(v)
}

// shelfRow is one piece of the stores, or a drawer piece that is in a unit.
type shelfRow struct {
	job.Piece
	Is, Where, Link string
}

type shelf struct {
	Kind string
	Rows []shelfRow
}

type storesPage struct {
	frame
	Shelves     []shelf
	Instruments []instrumentRow
	Tools       []toolRow
	Instrument  instrumentForm
	Tool        toolForm
	Boxes       []string
	Stocks      []string
	Quantities  []string
	Usual       []usualGroup // instruments to begin from
}

func (s *server) stores(v *visit) error {
	ctx := v.r.Context()
	d, err := s.sh.Open(ctx, shop.StoresBook)
	if err != nil {
		return err
	}
	by := map[string][]shelfRow{}
	for tag, p := range d.Pieces {
		by[shelfName(p)] = append(by[shelfName(p)], shelfRow{Piece: *p, Is: thickness(p), Where: d.Where[tag]})
	}
	if err := s.lent(v, by); err != nil {
		return err
	}
	f := v.frame("The stores")
	f.Live = shop.StoresBook
	p := storesPage{frame: f, Usual: usualGroups(), Quantities: []string{"length", "force", "torque", "temperature", "pressure", "mass", "angle"}, Boxes: slices.Sorted(maps.Keys(d.Boxes))}
	for _, k := range slices.Sorted(maps.Keys(by)) {
		slices.SortFunc(by[k], func(a, b shelfRow) int { return tagOrder(a.Tag, b.Tag) })
		p.Shelves = append(p.Shelves, shelf{capital(k), by[k]})
		if k != "other" {
			p.Stocks = append(p.Stocks, k)
		}
	}
	for _, k := range slices.Sorted(maps.Keys(d.Instruments)) {
		in := d.Instruments[k]
		p.Instruments = append(p.Instruments, instrumentRowOf(in))
	}
	for _, k := range slices.Sorted(maps.Keys(d.Tools)) {
		p.Tools = append(p.Tools, toolRow{d.Tools[k], "/stores?tool=" + url.QueryEscape(k) + "#tool"})
	}
	p.Instrument, p.Tool = v.instrumentForm(d), v.toolForm(d)
	return v.show("stores", p)
}

// lent adds the drawer's pieces that lie in units, with where they are.
func (s *server) lent(v *visit, by map[string][]shelfRow) error {
	rows, err := s.sh.Jobs(v.r.Context())
	if err != nil {
		return err
	}
	for _, r := range rows {
		d, err := s.sh.Open(v.r.Context(), r.Book)
		if err != nil {
			return err
		}
		for tag, p := range d.Pieces {
			if p.Stock == "" {
				continue
			}
			row := shelfRow{Piece: *p, Is: thickness(p), Where: r.Letter + " " + r.Unit + ", " + d.Where[tag], Link: "/job/" + r.Book}
			if pos, in := d.In(tag); in {
				row.Where, row.Link = r.Letter+" "+r.Unit+" at "+label(d, pos), "/job/"+r.Book+"/at/"+url.PathEscape(pos)
			}
			by[p.Stock] = append(by[p.Stock], row)
		}
	}
	return nil
}

func shelfName(p *job.Piece) string { return cmp.Or(p.Stock, "other") }

func thickness(p *job.Piece) string {
	if p.SI == 0 {
		return p.Thick
	}
	mm, _ := unit.Find("mm", unit.KindLength)
	return unit.Format(p.SI, mm, 3)
}

func doubt(in job.Instrument) string {
	k, _ := unit.KindOf(in.Quantity)
	u, ok := unit.Find(in.Unit, k)
	if !ok || u.Factor == 0 {
		return fmt.Sprint(in.U)
	}
	return fmt.Sprintf("± %.3g %s", in.U/u.Factor, u.Symbol)
}

// tagOrder sorts tags as people count: s2 before s10.
func tagOrder(a, b string) int {
	wa, na := splitTag(a)
	wb, nb := splitTag(b)
	return cmp.Or(strings.Compare(wa, wb), cmp.Compare(na, nb), strings.Compare(a, b))
}

func splitTag(t string) (string, int) {
	i := len(t)
	for i > 0 && t[i-1] >= '0' && t[i-1] <= '9' && len(t)-i < 9 {
		i--
	}
	n := 0
	for _, c := range t[i:] {
		n = n*10 + int(c-'0')
	}
	return t[:i], n
}

func (s *server) keepInStores(v *visit, form string, b job.Body, err error) error {
	if err == nil {
		_, err = s.sh.Record(v.r.Context(), v.by(), shop.StoresBook, b)
	}
	if err == nil {
		return v.go303("/stores")
	}
	if err := v.refused(form, err); err != nil {
		return err
	}
	return s.stores(v)
}

func (s *server) addPiece(v *visit) error {
	err := v.form()
	r := v.r
	return s.keepInStores(v, "piece", job.Added{Piece: job.Piece{Tag: strings.TrimSpace(r.FormValue("tag")), Name: cmp.Or(r.FormValue("name"), r.FormValue("stock")),
		Stock: strings.TrimSpace(r.FormValue("stock")), Thick: r.FormValue("thick"), Nominal: r.FormValue("nominal")}, Place: r.FormValue("place")}, err)
}

type whoPage struct {
	frame
	Back string
}

func (s *server) whoForm(v *visit) error {
	return v.show("who", whoPage{frame: v.frame("Who is at the bench"), Back: local(v.r.FormValue("back"))})
}

func (s *server) who(v *visit) error {
	if err := v.form(); err != nil {
		return err
	}
	if v.me.ID != "" {
		return v.go303(local(v.r.FormValue("back"))) // a paired device is who it was paired as
	}
	v.keepCookie("who", clip(strings.TrimSpace(v.r.FormValue("name")), 60))
	v.keepCookie("device", clip(strings.TrimSpace(v.r.FormValue("device")), 60))
	return v.go303(local(v.r.FormValue("back")))
}

// look changes the dress of the pages: bright hall, or under the bench.
func (s *server) look(v *visit) error {
	if err := v.form(); err != nil {
		return err
	}
	v.keepCookie("dress", v.r.FormValue("dress"))
	return v.go303(local(v.r.FormValue("back")))
}

// local is an address within this program; anything else leads to the bench.
func local(back string) string {
	if !strings.HasPrefix(back, "/") || strings.HasPrefix(back, "//") || strings.ContainsAny(back, "\\\r\n\t") {
		return "/"
	}
	return back
}
