package web

import (
	"cmp"
	"maps"
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/setup"
	"endfloat/internal/shop"
)

// settingRow is one setting as the board shows it.
type settingRow struct {
	setup.Result
	Href   string
	Is     string // value with its doubt
	Limits string // limits in words
	Word   string // verdict
	Bar    picture
	Asleep bool // nothing it rests on was touched
}

func settingRowOf(d *shop.Desk, r setup.Result) settingRow {
	row := settingRow{Result: r, Href: "/job/" + d.Book + "/setting?name=" + url.QueryEscape(r.Name), Limits: setup.Range(r.Lo, r.Hi, r.HasLo, r.HasHi, r.Unit)}
	if r.Known {
		row.Is, row.Word = setup.Text(r.Value, r.U, r.Unit), string(r.Verdict)
		row.Bar = bar(r)
	}
	return row
}

type settingsPage struct {
	frame
	Order   []orderRow // to be proven again, the cheapest order
	Open    []settingRow
	Proven  []settingRow
	Asleep  []settingRow
	Pattern bool
}

// settings is the board of all settings.
func (s *server) settings(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := settingsPage{frame: v.jobFrame(d, "Settings")}
	for _, r := range d.Settings {
		row := settingRowOf(d, r)
		switch {
		case r.Proven:
			p.Proven = append(p.Proven, row)
		case !slices.ContainsFunc(d.Findings, func(f plan.Finding) bool { return f.Key == plan.Key("setting", r.Name) }):
			row.Asleep = true
			p.Asleep = append(p.Asleep, row)
		default:
			p.Open = append(p.Open, row)
		}
	}
	for _, o := range d.Reprove() {
		r, _ := d.Setting(o.Setting)
		p.Order = append(p.Order, orderRow{settingRowOf(d, r), o})
	}
	p.Pattern = d.HasCrown()
	return v.show("settings", p)
}

// orderRow is a setting to be proven, in its turn, with what comes off for it.
type orderRow struct {
	settingRow
	plan.Reproof
}

// packChoice is one proposal from the drawer.
type packChoice struct {
	shop.Proposal
	Seats []seatPack
	N     int
}

// seatPack is the pack of one seat.
type seatPack struct {
	ID, Label, Total string
	Tags             string
	Pieces           []job.Piece
	Picture          picture
}

type wantRow struct {
	Label, Now, T, Band string
}

type settingPage struct {
	frame
	Set      settingRow
	Low      string
	High     string
	Wants    []wantRow
	Choices  []packChoice
	Chain    picture
	DoubtOf  string // where the budget of its doubt is drawn
	Readings []readRow
	Etched   []facePick // the answers of the question that is asked first
	Asks     string
	Legend   string
	Plus     string
	Factor   string
	Learned  bool
	Given    string
	Mark     string // position where the etched number is written down
	Holds    []string
	After    []settingRow
	Finding  *plan.Finding
	Proposes bool
	Advice   []adviceRow
	Buys     []shop.Buy
	Slides   []slide
	What     settingRow // what it would be, by the slides
	Asked    bool       // a slide was moved
	Before   string     // how the question was answered for this type before
	Pattern  bool
}

// adviceRow is one thing worth doing next, with where to do it.
type adviceRow struct {
	shop.Advice
	Href string
}

// slide is a seat whose total is tried by sliding it, in mm.
type slide struct {
	ID, Label        string
	Min, Max, At     string
	Now              string
	min, max, at, si float64
}

// setting is one setting with its working, what to read and what to fit.
func (s *server) setting(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showSetting(v, d)
}

func (s *server) showSetting(v *visit, d *shop.Desk) error {
	name := v.r.FormValue("name")
	r, ok := d.Setting(name)
	if !ok {
		return missing("%s has no setting %q. See the board of settings.", d.Opened.Unit, name)
	}
	p := settingPage{frame: v.jobFrame(d, capital(r.Name)), Set: settingRowOf(d, r), Learned: r.Learned, Chain: chain(d, r)}
	p.DoubtOf = drawnHref(d, "doubt "+r.Name)
	if r.Known && r.Low != r.High {
		p.Low, p.High = setup.Text(r.Low, r.U, r.Unit), setup.Text(r.High, r.U, r.Unit)
	}
	for _, w := range r.Wants {
		p.Wants = append(p.Wants, wantRow{w.Seat.Label(), millimetres(w.Now.SI), millimetres(w.T), setup.Range(w.Lo, w.Hi, finite(w.Lo), finite(w.Hi), mmUnit)})
	}
	for i, c := range d.Propose(r.Name) {
		if i < 4 {
			p.Choices = append(p.Choices, choiceOf(d, r, c, i))
		}
	}
	for _, m := range measuresOf(d, r) {
		p.Readings = append(p.Readings, readRowOf(d, m))
	}
	switch p.Asks = r.Question; p.Asks {
	case setup.EtchedQuestion:
		p.Etched, p.Legend = etchedPicks(), "The number etched on the pinion: what does a plus mean?"
	case setup.DialQuestion:
		p.Etched, p.Legend = dialPicks(), "Where does the dial stand on the crown wheel?"
	}
	if slices.ContainsFunc(r.Missing, func(m string) bool { return strings.HasPrefix(m, "the number etched") }) {
		p.Mark = r.Etched
	}
	if r.Setting.Factor.Known() {
		p.Given = r.Setting.Factor.Text(d.Built)
		p.Factor = setup.Text(r.Factor, r.FactorU, noUnit)
	}
	for _, id := range r.Before {
		p.Holds = append(p.Holds, label(d, id))
	}
	for _, n := range r.After {
		if a, ok := d.Setting(n); ok {
			p.After = append(p.After, settingRowOf(d, a))
		}
	}
	for i, f := range d.Findings {
		if f.Key == plan.Key("setting", r.Name) && f.Allowed == "" {
			p.Finding = &d.Findings[i]
		}
	}
	p.Proposes, p.Pattern = len(r.Wants) > 0, d.HasCrown() && (r.Etched != "" || r.Setting.Factor.Known())
	p.Before = d.Remembered(r.Question)
	p.whatIf(v, d, r)
	if v.r.FormValue("show") == "result" {
		return v.part("setting", "whatif", p)
	}
	if !r.Proven {
		for _, a := range d.Advise(r.Name) {
			row := adviceRow{Advice: a}
			if a.Read != "" {
				row.Href = "/job/" + d.Book + "/read/one?what=" + url.QueryEscape(a.Read)
			}
			if len(p.Advice) < 4 {
				p.Advice = append(p.Advice, row)
			}
		}
		if len(p.Choices) == 0 || p.Choices[0].Chance < 0.9 {
			p.Buys = d.Buys(r.Name)
		}
	}
	return v.show("setting", p)
}

// reach is how far a slide goes to either side of the pack that is wanted, m.
const reach = 0.30e-3

// whatIf foretells the setting at the totals that the slides stand at.
func (p *settingPage) whatIf(v *visit, d *shop.Desk, r setup.Result) {
	if len(r.Wants) == 0 {
		return
	}
	totals := map[string]float64{}
	for _, w := range r.Wants {
		s := slide{ID: w.Seat.ID, Label: w.Seat.Label(), Now: millimetres(w.Now.SI)}
		mid := w.T
		if w.Now.SI > 0 {
			mid = w.Now.SI
		}
		s.min, s.max, s.at = math.Max(0, math.Min(mid, w.T)-reach), math.Max(mid, w.T)+reach, mid
		if x, err := strconv.ParseFloat(v.r.FormValue(s.ID), 64); err == nil && x >= 0 && x < 1000 {
			s.at = x / 1000
			p.Asked = true
		}
		f := func(x float64) string { return strconv.FormatFloat(math.Round(x*1e5)/100, 'f', 2, 64) }
		s.Min, s.Max, s.At = f(s.min), f(s.max), f(s.at)
		totals[s.ID] = s.at
		p.Slides = append(p.Slides, s)
	}
	if would, _, ok := d.WhatIf(r.Name, totals); ok {
		p.What = settingRowOf(d, would)
	}
}

func choiceOf(d *shop.Desk, r setup.Result, c shop.Proposal, n int) packChoice {
	out := packChoice{Proposal: c, N: n}
	for _, id := range slices.Sorted(maps.Keys(c.Packs)) {
		tags, ok := c.Packs[id]
		if !ok {
			continue
		}
		sp := seatPack{ID: id, Label: label(d, id), Total: c.Totals[id], Tags: strings.Join(tags, " ")}
		for _, t := range tags {
			for _, st := range []*job.State{d.State, d.Stores} {
				if pc := st.Pieces[t]; pc != nil {
					sp.Pieces = append(sp.Pieces, *pc)
					break
				}
			}
		}
		sp.Picture = stackOf(sp.Pieces)
		out.Seats = append(out.Seats, sp)
	}
	return out
}

// measuresOf are what a setting rests on and is proved by.
func measuresOf(d *shop.Desk, r setup.Result) []*gearbox.Measure {
	var out []*gearbox.Measure
	for _, t := range r.Chain {
		if m, ok := d.Box.Measure(t.Measure); ok && t.Measure != "" {
			out = append(out, m)
		}
	}
	for _, n := range r.Proved {
		if m, ok := d.Box.Measure(n); ok {
			out = append(out, m)
		}
	}
	return out
}

// fitPacks fits the packs that were picked, seat by seat.
func (s *server) fitPacks(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	err = v.form()
	r, ok := d.Setting(v.r.FormValue("name"))
	if !ok {
		return missing("%s has no setting %q.", d.Opened.Unit, v.r.FormValue("name"))
	}
	if err == nil {
		err = s.fitEach(v, d, r)
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/setting?name=" + url.QueryEscape(r.Name))
	}
	if err := v.refused("fit", err); err != nil {
		return err
	}
	if d, err = v.open(); err != nil { // one seat may have been fitted before the other was refused
		return err
	}
	return s.showSetting(v, d)
}

func (s *server) fitEach(v *visit, d *shop.Desk, r setup.Result) error {
	if v.sentBefore(d) {
		return nil
	}
	pick := v.r.FormValue("pick")
	fitted := 0
	for _, id := range r.Seats() {
		text := v.r.FormValue("pack " + id)
		if pick != "" && pick != "own" {
			text = v.r.FormValue("pack " + pick + " " + id)
		}
		tags := strings.FieldsFunc(text, func(c rune) bool { return c == ' ' || c == '+' || c == ',' })
		if len(tags) == 0 {
			continue
		}
		by := v.by()
		if fitted > 0 {
			by = v.byAgain()
		}
		b := job.Fitted{Position: id, Tags: tags, Trial: v.r.FormValue("trial") != ""}
		if p, ok := d.Box.Position(id); ok && len(p.Faces) > 0 {
			b.Faces = p.Faces[0].Face + " toward " + p.Faces[0].Toward
		}
		if _, err := s.sh.Record(v.r.Context(), by, d.Book, b); err != nil {
			return err
		}
		fitted++
	}
	if fitted == 0 {
		return invalid("pick one of the packs, or write the tags of your own")
	}
	return nil
}

func (s *server) answer(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, job.Answered{Question: cmp.Or(v.r.FormValue("question"), setup.EtchedQuestion), Answer: v.r.FormValue("answer"), Why: v.r.FormValue("why")})
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/setting?name=" + url.QueryEscape(v.r.FormValue("name")))
	}
	if err := v.refused("answer", err); err != nil {
		return err
	}
	return s.showSetting(v, d)
}

func finite(x float64) bool { return x > -1e300 && x < 1e300 }
