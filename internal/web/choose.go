package web

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/shop"
)

// wishForm is what stands in the form for one unit.
type wishForm struct {
	shop.Row
	In, Series, Original, Decided, Soonest bool
	Torque, By, Budget                     string
	Rank                                   int
	Wants                                  []wishRow
	Tape                                   string
}

// Open reports whether more is wished for the unit than to be built.
func (f wishForm) Open() bool {
	return f.Series || f.Original || f.Soonest || f.Torque != "" || f.By != "" || f.Budget != "" || f.Rank > 0
}

// wishRow is a piece or a variant that is wanted somewhere.
type wishRow struct{ Position, What string }

// buildView is an answer, unit by unit.
type buildView struct {
	*shop.Build
	Which int
	Units []unitBuild
}

// unitBuild is what an answer does to one unit.
type unitBuild struct {
	Unit, Book, Letter, Colour string
	Price                      string
	Ready, Off                 int
	Changes, Stays, Once       []shop.Part
}

type choosePage struct {
	frame
	Wishes    []wishForm
	Asked     bool
	Choice    *shop.Choice
	Best      *buildView
	Others    []*buildView
	Query     string // the asking, to be accepted
	Positions []*gearbox.Position
	Budget    string
	Cheapest  bool
	Ways      []wayRow
}

// chosenWith is how many answers are shown beside the best.
const chosenWith = 3

// asking reads the wishes of a query or a form. An empty one asks for all units
// in hand, as their books decide.
func (s *server) asking(v *visit, q url.Values) (shop.Asking, []wishForm, error) {
	rows, err := s.sh.Jobs(v.r.Context())
	if err != nil {
		return shop.Asking{}, nil, err
	}
	asked := q.Has("asked")
	alike, err := s.sh.InHand(v.r.Context(), q.Get("with"))
	if err != nil {
		return shop.Asking{}, nil, err
	}
	ask := shop.Asking{Budget: strings.TrimSpace(q.Get("budget")), Cheapest: q.Get("cheapest") != "", Others: chosenWith}
	var forms []wishForm
	for _, r := range rows {
		if r.Donor || r.Arc == "handed over" {
			continue
		}
		get := func(k string) string { return strings.TrimSpace(q.Get(k + " " + r.Book)) }
		f := wishForm{Row: r, In: !asked && slices.Contains(alike, r.Book) || asked && slices.Contains(q["unit"], r.Book), Series: get("series") != "", Original: get("original") != "",
			Decided: !asked || get("decided") != "", Soonest: get("soonest") != "", Torque: get("torque"), By: get("by"), Budget: get("budget"), Tape: tape(r.Colour)}
		f.Rank, _ = strconv.Atoi(get("rank")) // what is not said is equal
		w := shop.Wish{Book: r.Book, Rank: f.Rank, Series: f.Series, Original: f.Original, Decided: f.Decided, Soonest: f.Soonest, Torque: f.Torque, By: f.By, Budget: f.Budget, Want: map[string]string{}}
		at, what := q["at "+r.Book], q["what "+r.Book]
		for i := range min(len(at), len(what)) {
			id, _, _ := strings.Cut(strings.TrimSpace(at[i]), " ") // typed, or chosen with its name
			if x := strings.TrimSpace(what[i]); id != "" || x != "" {
				f.Wants = append(f.Wants, wishRow{id, x})
				w.Want[id] = x
			}
		}
		if forms = append(forms, f); f.In {
			ask.Units = append(ask.Units, w)
		}
	}
	return ask, forms, nil
}

// choose shows which piece goes where, proven, for the wishes asked.
func (s *server) choose(v *visit) error {
	if err := v.form(); err != nil {
		return err
	}
	return s.showChoose(v, v.r.URL.Query())
}

func (s *server) showChoose(v *visit, q url.Values) error {
	ask, forms, err := s.asking(v, q)
	if err != nil {
		return err
	}
	p := choosePage{frame: v.frame("Which piece goes where"), Wishes: forms, Asked: q.Has("asked"), Query: q.Encode(), Budget: ask.Budget, Cheapest: ask.Cheapest}
	p.Positions = s.positionsOf(v, forms)
	if !p.Asked {
		return v.show("choose", p)
	}
	if len(ask.Units) == 0 {
		err = invalid("tick the units that are to be built")
	} else {
		p.Choice, err = s.sh.Choose(v.r.Context(), ask)
	}
	if err != nil {
		p.Asked = false
		if err := v.refused("choose", err); err != nil {
			return err
		}
		p.Fault = v.refuse
		return v.show("choose", p)
	}
	p.Ways = wayRows(p.Choice.Ways)
	if p.Choice.Best != nil {
		p.Best = viewOf(p.Choice.Best, 0, forms)
		for i := range p.Choice.Others {
			p.Others = append(p.Others, viewOf(&p.Choice.Others[i], i+1, forms))
		}
	}
	return v.show("choose", p)
}

func (s *server) positionsOf(v *visit, forms []wishForm) []*gearbox.Position {
	for _, f := range forms {
		if !f.In {
			continue
		}
		if box, err := s.sh.Box(v.r.Context(), f.Type); err == nil {
			return box.All()
		}
	}
	return nil
}

// viewOf parts an answer by unit: what changes, one-way parts, and the rest.
func viewOf(b *shop.Build, which int, forms []wishForm) *buildView {
	out := &buildView{Build: b, Which: which}
	for _, f := range forms {
		if !f.In {
			continue
		}
		u := unitBuild{Unit: f.Unit, Book: f.Book, Letter: f.Letter, Colour: f.Colour, Price: b.Costs[f.Unit], Ready: b.Ready[f.Unit], Off: b.Off[f.Unit]}
		for _, x := range b.Parts {
			switch {
			case x.Unit != f.Unit:
			case !x.Changes:
				u.Stays = append(u.Stays, x)
			case x.Why == "a one-way part":
				u.Once = append(u.Once, x)
			default:
				u.Changes = append(u.Changes, x)
			}
		}
		out.Units = append(out.Units, u)
	}
	return out
}

// accept writes an answer into the books of its units, all at once.
func (s *server) accept(v *visit) error {
	if err := v.form(); err != nil {
		return err
	}
	q, err := url.ParseQuery(v.r.FormValue("asking"))
	if err != nil {
		return invalid("the form did not arrive whole; send it again")
	}
	ask, _, err := s.asking(v, q)
	if err != nil {
		return err
	}
	which, _ := strconv.Atoi(v.r.FormValue("which")) // nothing is the best
	if _, err = s.sh.Accept(v.r.Context(), v.by(), ask, v.seenOn(), which); err == nil {
		return v.go303("/board?decided=yes")
	}
	if err := v.refused("accept", err); err != nil {
		return err
	}
	return s.showChoose(v, q)
}

// seenOn reads on which entry of each book a page was seen.
func (v *visit) seenOn() map[string]int {
	on := map[string]int{}
	for k := range v.r.Form {
		if book, ok := strings.CutPrefix(k, "on "); ok {
			if n, err := strconv.Atoi(v.r.FormValue(k)); err == nil {
				on[book] = n
			}
		}
	}
	return on
}
