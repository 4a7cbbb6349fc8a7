package web

import (
	"net/url"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// wayRow is a way out as it is shown: what it is, and what changes with it.
type wayRow struct {
	Title string
	Takes []string
	Price string
	Href  string // to the whole build, where it can be decided; "" where the page has it
}

func wayRows(ways []shop.WayOut) []wayRow {
	var out []wayRow
	for _, w := range ways {
		title := capital(w.GivesUp)
		if !strings.HasPrefix(w.GivesUp, "keep ") {
			title = "Without this: " + w.GivesUp
		}
		row := wayRow{Title: title, Takes: w.Takes, Price: w.Price}
		if m, err := shop.MoveOf(w.Keeps); err == nil {
			q := url.Values{"asked": {"yes"}, "unit": {m.Book}, "at " + m.Book: {m.Position}, "what " + m.Book: {m.What}}
			row.Href = "/choose?" + q.Encode()
		}
		out = append(out, row)
	}
	return out
}

type waysPage struct {
	frame
	Finding   plan.Finding
	Soft      bool
	Positions []*gearbox.Position // that the rule speaks of
	Ways      []wayRow
	Back      string
	Book      string
}

// ways shows a broken rule, the ways out from all that there is, and the form to
// pass it with a reason.
func (s *server) ways(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	key := v.r.FormValue("key")
	i := slices.IndexFunc(d.Findings, func(f plan.Finding) bool { return f.Key == key })
	if i < 0 {
		return missing("This is no longer so: nothing of that name is broken in %s now. See the return card.", d.Opened.Unit)
	}
	f := d.Findings[i]
	r, ok := d.RuleOf(f)
	if !ok {
		return missing("%s is no rule of the gearbox file.", capital(f.Says))
	}
	p := waysPage{frame: v.jobFrame(d, "A rule is broken"), Finding: f, Soft: r.Soft, Back: "/job/" + d.Book, Book: d.Book}
	for _, id := range r.Positions() {
		if q, ok := d.Box.Position(id); ok {
			p.Positions = append(p.Positions, q)
		}
	}
	ways, err := s.sh.RuleWays(v.r.Context(), d, f)
	if err != nil {
		return err
	}
	p.Ways = wayRows(ways)
	return v.show("ways", p)
}

// waysAt are the ways out of the first rule that is broken at a position.
func (s *server) waysAt(v *visit, d *shop.Desk, id string) ([]wayRow, error) {
	for _, f := range d.Findings {
		r, ok := d.RuleOf(f)
		if !ok || f.Allowed != "" || asksOnly(f) || !slices.Contains(r.Positions(), id) {
			continue
		}
		ways, err := s.sh.RuleWays(v.r.Context(), d, f)
		return wayRows(ways), err
	}
	return nil, nil
}

// asksOnly tells a finding that only asks what is not known.
func asksOnly(f plan.Finding) bool { return strings.HasPrefix(f.Key, "ask/") }
