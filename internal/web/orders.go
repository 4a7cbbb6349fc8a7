package web

import (
	"cmp"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/report"
	"endfloat/internal/shop"
)

// lot is what one unit needs of one supplier: one order.
type lot struct {
	shop.ToOrder // the first of it
	Rows         []shop.ToOrder
	Expected     string
	Key          string // of its form
}

// comingRow is an ordered line with where it is checked in.
type comingRow struct {
	shop.Coming
	Href string
}

func comingRowOf(c shop.Coming) comingRow {
	return comingRow{c, "/job/" + c.Book + "/goods/" + url.PathEscape(c.Tag)}
}

// coming is what is on its way from one supplier.
type coming struct {
	Supplier string
	Rows     []comingRow
}

type ordersPage struct {
	frame
	Lots   []lot
	Wrong  []comingRow
	Coming []coming
	Came   []comingRow
	First  *comingRow // wrong, else the next to come
	Few    bool       // nothing to order, nothing to come
}

// orders lists what all units need and wait for, by supplier.
func (s *server) orders(v *visit) error {
	os, err := s.sh.Orders(v.r.Context())
	if err != nil {
		return err
	}
	p := ordersPage{frame: v.frame("Orders"), Lots: lots(os)}
	p.Live = "*"
	for _, c := range os.Coming {
		row := comingRowOf(c)
		switch {
		case c.Wrong():
			p.Wrong = append(p.Wrong, row)
		case c.Here():
			p.Came = append(p.Came, row)
		default:
			if n := len(p.Coming); n == 0 || p.Coming[n-1].Supplier != c.Supplier {
				p.Coming = append(p.Coming, coming{Supplier: c.Supplier})
			}
			last := &p.Coming[len(p.Coming)-1]
			last.Rows = append(last.Rows, row)
			if p.First == nil || c.Expected < p.First.Expected {
				p.First = &row
			}
		}
	}
	if len(p.Wrong) > 0 {
		p.First = &p.Wrong[0]
	}
	p.Few = len(p.Lots) == 0 && p.First == nil
	return v.show("orders", p)
}

// lots parts what is to be ordered into orders: by supplier and unit.
func lots(os shop.Orders) []lot {
	var out []lot
	for _, t := range os.To {
		key := t.Book + "/" + t.Supplier
		i := slices.IndexFunc(out, func(l lot) bool { return l.Key == key })
		if i < 0 {
			i = len(out)
			out = append(out, lot{ToOrder: t, Key: key})
		}
		out[i].Rows = append(out[i].Rows, t)
		if day := time.Now().AddDate(0, 0, t.Days).Format(time.DateOnly); t.Days > 0 && day > out[i].Expected {
			out[i].Expected = day
		}
	}
	return out
}

// place orders what was ticked of one lot.
func (s *server) place(v *visit) error {
	err := v.form()
	if err == nil {
		f := v.r.FormValue
		ask := shop.Ordering{Supplier: strings.TrimSpace(f("supplier")), Reference: strings.TrimSpace(f("reference")), Expected: strings.TrimSpace(f("expected")), Positions: v.r.Form["position"]}
		if len(ask.Positions) == 0 {
			err = invalid("tick what is ordered")
		} else {
			_, err = s.sh.Place(v.r.Context(), v.by(), v.r.PathValue("book"), ask)
		}
	}
	if err == nil {
		return v.go303("/orders")
	}
	if err := v.refused(v.r.FormValue("lot"), err); err != nil {
		return err
	}
	return s.orders(v)
}

func (s *server) ordersCSV(v *visit) error {
	os, err := s.sh.Orders(v.r.Context())
	if err != nil {
		return err
	}
	b, err := os.CSV(v.r.FormValue("supplier"))
	if err != nil {
		return err
	}
	v.file("text/csv; charset=utf-8", "orders.csv", b)
	return nil
}

func (s *server) ordersPDF(v *visit) error {
	os, err := s.sh.Orders(v.r.Context())
	if err != nil {
		return err
	}
	b, err := report.OrderLists(os.Sheets(v.r.FormValue("supplier")), report.Options{Made: time.Now(), Version: s.opt.Version})
	if err != nil {
		return err
	}
	v.file("application/pdf", "orders.pdf", b)
	return nil
}

// file answers with a document.
func (v *visit) file(kind, name string, b []byte) {
	v.w.Header().Set("Content-Type", kind)
	v.w.Header().Set("Content-Disposition", fmt.Sprintf("inline; filename=%q", name))
	v.w.WriteHeader(http.StatusOK)
	v.w.Write(b) // whoever asked may have gone
}

type goodsPage struct {
	frame
	shop.GoodsIn
	Stands string
	Till   string // last day on which it may go back
	Return int    // days that a wrong one has
	Now    []pieceRow
}

// goods is the check of a part as it comes in, against the mate it must fit.
func (s *server) goods(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showGoods(v, d)
}

func (s *server) showGoods(v *visit, d *shop.Desk) error {
	g, err := d.GoodsIn(v.r.PathValue("tag"))
	if err != nil {
		return err
	}
	p := goodsPage{frame: v.jobFrame(d, "Goods-in: "+g.Pos.Label()), GoodsIn: g, Return: g.Order.Return}
	p.Bench = true
	switch {
	case g.Order.Wrong():
		p.Stands = "wrong"
	case g.Order.Here():
		p.Stands = "here"
		p.Now = pieceRows(d, []string{g.Order.Tag})
	case g.Order.Sent():
		p.Stands = "sent"
	}
	if g.Order.Arrived != nil {
		p.Till = g.Order.Arrived.Is.Until
	}
	return v.show("goods", p)
}

// checkIn records what was seen on a part as it came.
func (s *server) checkIn(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		var keys []string
		if keys, err = v.photos(); err == nil {
			b := job.Arrived{Tag: v.r.PathValue("tag"), Values: map[string]string{}, Place: strings.TrimSpace(v.r.FormValue("place")), Photos: keys}
			for k := range v.r.Form {
				if name, ok := strings.CutPrefix(k, "look "); ok && strings.TrimSpace(v.r.FormValue(k)) != "" {
					b.Values[name] = strings.TrimSpace(v.r.FormValue(k))
				}
			}
			_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, b)
		}
	}
	return s.afterGoods(v, d, "goods", err)
}

// sendBack returns a part that came wrong.
func (s *server) sendBack(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, job.SentBack{Tag: v.r.PathValue("tag"), Why: strings.TrimSpace(v.r.FormValue("why")), Expected: strings.TrimSpace(v.r.FormValue("expected"))})
	}
	return s.afterGoods(v, d, "back", err)
}

func (s *server) afterGoods(v *visit, d *shop.Desk, form string, err error) error {
	if err == nil {
		return v.go303("/job/" + d.Book + "/goods/" + url.PathEscape(v.r.PathValue("tag")))
	}
	if err := v.refused(form, err); err != nil {
		return err
	}
	return s.showGoods(v, d)
}

type offersPage struct {
	frame
	Types     []string
	Positions []*gearbox.Position // of the first type, to choose from
	Variants  []string
	By        []offersOf
	Terms     job.Terms // of the workshop
}

// offersOf are the offers of one supplier.
type offersOf struct {
	Supplier string
	Rows     []offerRow
}

type offerRow struct {
	job.Offered
	Label string
}

// offers lists what can be bought.
func (s *server) offers(v *visit) error {
	stores, err := s.sh.Open(v.r.Context(), shop.StoresBook)
	if err != nil {
		return err
	}
	p := offersPage{frame: v.frame("What can be bought"), Types: slices.Sorted(maps.Keys(stores.Boxes))}
	boxes := map[string]*gearbox.Box{}
	for _, t := range p.Types {
		box, err := s.sh.Box(v.r.Context(), t)
		if err != nil {
			return err
		}
		boxes[t] = box
		for _, q := range box.All() {
			p.Positions = append(p.Positions, q)
			for _, x := range q.Variants {
				if !slices.Contains(p.Variants, x.Name) {
					p.Variants = append(p.Variants, x.Name)
				}
			}
		}
	}
	if stores.Terms != nil {
		p.Terms = *stores.Terms
	}
	for _, o := range stores.Offers {
		row := offerRow{o, o.Position}
		if box := boxes[o.Type]; box != nil {
			if q, ok := box.Position(o.Position); ok {
				row.Label = q.Label()
			}
		}
		i := slices.IndexFunc(p.By, func(x offersOf) bool { return x.Supplier == o.Supplier })
		if i < 0 {
			i = len(p.By)
			p.By = append(p.By, offersOf{Supplier: o.Supplier})
		}
		p.By[i].Rows = append(p.By[i].Rows, row)
	}
	slices.SortFunc(p.By, func(a, b offersOf) int { return strings.Compare(a.Supplier, b.Supplier) })
	return v.show("offers", p)
}

// addOffer keeps an offer, or takes one away.
func (s *server) addOffer(v *visit) error {
	err := v.form()
	if err == nil {
		f := func(k string) string { return strings.TrimSpace(v.r.FormValue(k)) }
		id, _, _ := strings.Cut(f("position"), " ") // typed or chosen with its name
		b := job.Offered{Type: f("type"), Position: id, Variant: f("variant"), Supplier: f("supplier"), Price: f("price"), Gone: f("gone") != ""}
		for _, n := range []struct {
			key string
			to  *int
		}{{"days", &b.Days}, {"return", &b.Return}, {"count", &b.Count}} {
			if t := f(n.key); t != "" && err == nil {
				if *n.to, err = strconv.Atoi(t); err != nil {
					err = invalid("%s: %q was read, a whole number is expected", n.key, t)
				}
			}
		}
		if err == nil {
			_, err = s.sh.Record(v.r.Context(), v.by(), shop.StoresBook, b)
		}
	}
	if err == nil {
		return v.go303(cmp.Or(local(cmp.Or(v.r.FormValue("back"), "/offers")), "/offers"))
	}
	if err := v.refused("offer", err); err != nil {
		return err
	}
	return s.offers(v)
}

// workshopTerms keeps what work and parts are reckoned at in all jobs.
func (s *server) workshopTerms(v *visit) error {
	err := v.form()
	if err == nil {
		_, err = s.sh.Record(v.r.Context(), v.by(), shop.StoresBook, v.terms())
	}
	if err == nil {
		return v.go303("/offers")
	}
	if err := v.refused("terms", err); err != nil {
		return err
	}
	return s.offers(v)
}

// terms are what was typed of them.
func (v *visit) terms() job.Terms {
	f := func(k string) string { return strings.TrimSpace(v.r.FormValue(k)) }
	return job.Terms{Hour: f("hour"), Margin: f("margin"), Consumables: f("consumables"), Contingency: f("contingency"), Hours: f("hours")}
}
