package web

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

type decidePage struct {
	frame
	Pos      *gearbox.Position
	Rows     []decideRow // every part taken off
	Groups   []decideGroup
	First    string // the first that is open
	Open     int
	Off      *job.TakenOff
	Was      *job.Decided
	Readings []readRow
	Findings []findingLink
	Ways     []wayRow // out of a rule that is broken here
	Pieces   []pieceOption
	Near     picture
	Seen     []string // photos of it
	Choices  []choiceWord
	Variant  string
	Doubts   []doubtRow // the dearest to have been wrong about first
	Wrong    shop.Wrong
	Why      []string // why this one is doubtful
	Rule     string   // what the gearbox file says becomes of it, and why
	ByRule   string   // the choice that follows
	Rules    int      // open parts that the rules decide
	Agree    []string // what the customer must say yes to
}

// doubtRow is a doubtful part with what it costs to have been wrong about it.
type doubtRow struct {
	shop.Doubt
	Href string
	Cost shop.Wrong
}

type choiceWord struct{ Key, Says string }

var choiceWords = []choiceWord{
	{"reuse", "it goes back in"},
	{"new", "a new one is bought or made"},
	{"donor", "one from a donor unit"},
	{"repair", "it goes back once repaired"},
	{"scrap", "it is not to be used again"},
}

type decideGroup struct {
	Title string
	Rows  []decideRow
}

type decideRow struct {
	Pos                   *gearbox.Position
	Choice, Variant, Href string
	Verdict               string
}

func (s *server) decisions(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showDecide(v, d)
}

func (s *server) showDecide(v *visit, d *shop.Desk) error {
	p := decidePage{frame: v.jobFrame(d, "Decide"), Choices: choiceWords}
	id := v.r.FormValue("pos")
	if d.Box != nil {
		for _, q := range d.Box.All() {
			sp := d.Spots[q.ID]
			if sp == nil || sp.Off == nil {
				continue
			}
			row := decideRow{Pos: q, Href: "/job/" + d.Book + "/decide?pos=" + url.QueryEscape(q.ID), Verdict: worst(d, q)}
			if sp.Decided != nil {
				row.Choice, row.Variant = sp.Decided.Is.Choice, sp.Decided.Is.Variant
			} else {
				p.Open++
			}
			p.Rows = append(p.Rows, row)
		}
	}
	p.Rules = d.OpenByRule()
	if id == "" {
		if err := s.wholeDecision(v, d, &p); err != nil {
			return err
		}
		return v.show("decide", p)
	}
	pos, err := placeOf(d, id)
	if err != nil {
		return err
	}
	p.Pos, p.Bench, p.Title = pos, true, "Decide "+pos.Label()
	p.Variant, p.Near = d.Built.Variants[id], around(d, pos)
	if sp := d.Spots[id]; sp != nil {
		p.Seen = sp.Photos
		if sp.Off != nil {
			p.Off = &sp.Off.Is
		}
		if sp.Decided != nil {
			p.Was = &sp.Decided.Is
			p.Variant = cmp.Or(sp.Decided.Is.Variant, p.Variant)
		}
	}
	if d.Box != nil {
		for _, m := range d.Box.Measures {
			if slices.Contains(m.Of, id) && !m.Before && (m.Check || len(d.ReadingsOf(m.Name)) > 0) {
				p.Readings = append(p.Readings, readRowOf(d, m))
			}
		}
	}
	p.Findings = append(p.Findings, findings(d, plan.Broken)...)
	p.Pieces = s.piecesFor(v, d, pos)
	if p.Ways, err = s.waysAt(v, d, id); err != nil {
		return err
	}
	p.ByRule, p.Rule = d.ByRule(id)
	w, err := s.sh.IfWrong(v.r.Context(), d, id)
	if err != nil {
		return err
	}
	p.Wrong, p.Why = w, d.Doubtful(id)
	return v.show("decide", p)
}

// wholeDecision is all that is decided of a unit: what is doubtful, what is open,
// and what the customer must say yes to.
func (s *server) wholeDecision(v *visit, d *shop.Desk, p *decidePage) error {
	p.group()
	doubts, err := s.sh.Doubts(v.r.Context(), d)
	if err != nil {
		return err
	}
	for _, q := range doubts {
		p.Doubts = append(p.Doubts, doubtRow{q, "/job/" + d.Book + "/decide?pos=" + url.QueryEscape(q.Position.ID), q.Wrong})
	}
	if len(p.Rows) > 0 {
		p.Agree, err = s.sh.ToAgree(v.r.Context(), d)
	}
	return err
}

// decideByRule decides every open part of which the gearbox file says what becomes of it.
func (s *server) decideByRule(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		_, err = s.sh.DecideByRule(v.r.Context(), v.by(), d.Book)
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/decide")
	}
	if err := v.refused("rules", err); err != nil {
		return err
	}
	return s.showDecide(v, d)
}

// group puts what is open before what is decided.
func (p *decidePage) group() {
	p.Groups = []decideGroup{{Title: "Open"}, {Title: "Decided"}}
	for _, r := range p.Rows {
		i := 0
		if r.Choice != "" {
			i = 1
		} else if p.First == "" {
			p.First = r.Href
		}
		p.Groups[i].Rows = append(p.Groups[i].Rows, r)
	}
}

// worst is the gravest word on the readings of a position.
func worst(d *shop.Desk, q *gearbox.Position) string {
	w := ""
	for _, m := range q.Checks {
		r := readRowOf(d, m)
		switch {
		case r.Word == "out":
			return "out"
		case r.Word == "too close to call", w == "" && r.Plan:
			w = r.Word
			if r.Plan {
				w = "plan to renew"
			}
		case w == "" && r.Word == "in":
			w = "in"
		}
	}
	return w
}

// pieceOption is a piece that may go somewhere.
type pieceOption struct{ Tag, Says string }

// piecesFor are the pieces that may go to a position: those of this book, of
// the stores and of donors.
func (s *server) piecesFor(v *visit, d *shop.Desk, pos *gearbox.Position) []pieceOption {
	var out []pieceOption
	add := func(tag, says string) {
		if tag != "" && !slices.ContainsFunc(out, func(o pieceOption) bool { return o.Tag == tag }) {
			out = append(out, pieceOption{tag, says})
		}
	}
	if sp := d.Spots[pos.ID]; sp != nil {
		if sp.Decided != nil && sp.Decided.Is.Piece != "" {
			add(sp.Decided.Is.Piece, "as decided")
		}
		for _, t := range sp.AsFound {
			if _, in := d.In(t); !in {
				add(t, "as it came off")
			}
		}
	}
	for _, st := range []*job.State{d.State, d.Stores} {
		var tags []string
		for t, p := range st.Pieces {
			_, in := st.In(t)
			stock := pos.Seat != nil && p.Stock != "" && p.Stock == pos.Seat.Stock
			if !in && (p.Position == pos.ID || stock) {
				tags = append(tags, t)
			}
		}
		slices.SortFunc(tags, tagOrder)
		for _, t := range tags {
			p := st.Pieces[t]
			add(t, cmp.Or(thickness(p), p.Variant, p.Origin))
		}
	}
	rows, err := s.sh.Jobs(v.r.Context())
	if err != nil {
		return out // the list is a help; a tag can be typed
	}
	for _, r := range rows {
		if tag := job.Tag(r.Letter, pos.ID); r.Donor && r.Book != d.Book && r.Type == d.Opened.Type {
			add(tag, "from "+r.Unit)
		}
	}
	return out
}

func (s *server) decide(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	var after *shop.Desk
	if err = v.form(); err == nil {
		r := v.r
		after, err = s.sh.Record(r.Context(), v.by(), d.Book, job.Decided{Position: r.FormValue("pos"), Choice: r.FormValue("choice"), Why: strings.TrimSpace(r.FormValue("why")),
			Piece: strings.TrimSpace(r.FormValue("piece")), Variant: r.FormValue("variant")})
	}
	if err != nil {
		if err := v.refused("decide", err); err != nil {
			return err
		}
		return s.showDecide(v, d)
	}
	// Where the decision breaks a rule it is shown before going on.
	to := "/job/" + d.Book + "/decide"
	if len(findings(after, plan.Broken)) > len(findings(d, plan.Broken)) {
		return v.go303(to + "?pos=" + url.QueryEscape(v.r.FormValue("pos")))
	}
	if next := undecided(after); next != "" && v.r.FormValue("next") != "" {
		to += "?pos=" + url.QueryEscape(next)
	}
	return v.go303(to)
}

func undecided(d *shop.Desk) string {
	for _, st := range d.Build {
		if st.Do == "decide" && st.Now() {
			return st.Position.ID
		}
	}
	return ""
}

type doubtJSON struct {
	Position string   `json:"position"`
	Why      []string `json:"why"`
	Decided  string   `json:"decided,omitempty"`
	Hours    float64  `json:"hours_if_wrong"`
	Money    string   `json:"money_if_wrong,omitempty"`
	Guessed  int      `json:"guessed"`
}

type decideJSON struct {
	Doubts []doubtJSON `json:"doubts"`
	Agree  []string    `json:"agree"`
	ByRule int         `json:"by_rule"`
}

// apiDecide lists what is doubtful and what the customer must agree to.
func (s *server) apiDecide(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	doubts, err := s.sh.Doubts(v.r.Context(), d)
	if err != nil {
		return err
	}
	agree, err := s.sh.ToAgree(v.r.Context(), d)
	if err != nil {
		return err
	}
	out := decideJSON{[]doubtJSON{}, append([]string{}, agree...), d.OpenByRule()}
	for _, q := range doubts {
		out.Doubts = append(out.Doubts, doubtJSON{q.Position.ID, q.Why, q.Decided, q.Wrong.Hours, q.Wrong.Money, q.Wrong.Guessed})
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}
