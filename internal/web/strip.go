package web

import (
	"cmp"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// facePick is one answer to which way a part faces.
type facePick struct {
	Value, Words string
	Picture      picture
}

type stripPage struct {
	frame
	Pos    *gearbox.Position // nil when nothing is left to take off
	Faces  []facePick
	Ask    string // the face that is asked for
	Torque string
	First  []string // what should come off before
	Care   []string
	Near   picture
	Place  string
	Off    int
	All    int
	Others []stepLink
	Later  []stepLink
	Before []readRow // readings to take before anything is undone
	New    newPart
	Owed   int // photos put off
}

// strip asks one question: the next part, which way it faced, where it goes.
func (s *server) strip(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showStrip(v, d)
}

func (s *server) showStrip(v *visit, d *shop.Desk) error {
	p := stripPage{frame: v.jobFrame(d, "Strip-down"), Place: lastPlace(d)}
	p.Bench = true
	st := chosen(d, v.r.FormValue("pos"))
	for _, o := range d.Strip {
		l := link(d, o)
		switch {
		case st != nil && o.Position == st.Position:
		case o.Now():
			p.Others = append(p.Others, l)
		default:
			p.Later = append(p.Later, l)
		}
	}
	if d.Box != nil {
		p.All = len(d.Box.All())
		p.Off = p.All - len(d.Strip)
		for _, m := range d.Box.Measures {
			if m.Before && len(d.ReadingsOf(m.Name)) == 0 && (len(m.Of) == 0 || intact(d, m.Of)) {
				p.Before = append(p.Before, readRowOf(d, m))
			}
		}
	}
	if st != nil {
		p.Pos, p.First, p.Care = st.Position, few(st.Waits, 3), st.Care
		p.Torque = st.Position.Torque.Text(d.Built)
		p.Faces, p.Ask = facePicks(d, st.Position)
		p.Near = around(d, st.Position)
	}
	p.New, p.Owed = unknownPart(v, d), len(d.Owed())
	p.New.Main = !p.New.Listed
	return v.show("strip", p)
}

// few cuts a long list off with the number of those left out.
func few(list []string, n int) []string {
	if len(list) <= n+1 {
		return list
	}
	return append(slices.Clone(list[:n]), fmt.Sprintf("and %d more", len(list)-n))
}

// intact reports whether nothing of these positions is off yet.
func intact(d *shop.Desk, ids []string) bool {
	return !slices.ContainsFunc(ids, func(id string) bool { return d.Spots[id] != nil && d.Spots[id].Off != nil })
}

// chosen is the step of the position asked for, else the first that is free.
func chosen(d *shop.Desk, id string) *plan.Step {
	for i, st := range d.Strip {
		if st.Position.ID == id {
			return &d.Strip[i]
		}
	}
	if id == "" {
		for i, st := range d.Strip {
			if st.Now() {
				return &d.Strip[i]
			}
		}
	}
	return nil
}

// facePicks are the answers to which way round, as pictures.
func facePicks(d *shop.Desk, p *gearbox.Position) ([]facePick, string) {
	if len(p.Faces) == 0 {
		return nil, ""
	}
	f := p.Faces[0]
	with, away := faceBoth(p, f)
	return []facePick{
		{f.Face + " toward " + f.Toward, facing(d, f), with},
		{f.Face + " away from " + f.Toward, otherWay(d, f), away},
	}, f.Face
}

// lastPlace is where the last part went: the next one often goes there too.
func lastPlace(d *shop.Desk) string {
	for i := len(d.Entries) - 1; i >= 0; i-- {
		if e := d.Entries[i]; e.Kind == "taken off" {
			if p := field(e, "place"); p != "" {
				return p
			}
		}
	}
	return "tray " + d.Opened.Letter
}

func (s *server) takeOff(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		err = s.recordOff(v, d)
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/strip")
	}
	if err := v.refused(cmp.Or(v.r.FormValue("form"), "strip"), err); err != nil {
		return err
	}
	return s.showStrip(v, d)
}

func (s *server) recordOff(v *visit, d *shop.Desk) error {
	keys, err := v.photos()
	if err != nil {
		return err
	}
	r := v.r
	b := job.TakenOff{Position: strings.TrimSpace(r.FormValue("pos")), Faced: r.FormValue("faced"), Marks: r.FormValue("marks"), Moved: r.FormValue("moved"),
		Damage: r.FormValue("damage"), Place: strings.TrimSpace(r.FormValue("place")), Thick: split(r.FormValue("thick")), Photos: keys,
		Name: strings.TrimSpace(r.FormValue("name")), Carrier: r.FormValue("carrier"), PartKind: r.FormValue("part")}
	b.NoPhoto, b.From = strings.TrimSpace(r.FormValue("nophoto")), r.FormValue("from")
	for _, e := range r.Form["end"] {
		b.Ends = append(b.Ends, strings.TrimSpace(e))
	}
	if side := strings.TrimSpace(r.FormValue("side")); side != "" && strings.HasPrefix(b.Faced, "side toward ") {
		b.Faced = side + strings.TrimPrefix(b.Faced, "side")
	}
	if len(b.Photos) == 0 && b.NoPhoto == "" && r.FormValue("asks") == "photo" {
		return invalid("photo: take one of the part before it goes in the tray, or say why there is none; it cannot be made later")
	}
	if b.Faced == "" {
		b.Faced = strings.TrimSpace(r.FormValue("faced-words"))
	}
	if c := strings.TrimSpace(r.FormValue("count")); c != "" {
		if b.Count, err = strconv.Atoi(c); err != nil || b.Count < 1 {
			return invalid("count: %q is not a number of parts", c)
		}
	}
	_, err = s.sh.Record(r.Context(), v.by(), d.Book, b)
	return err
}

// split takes apart a list written with semicolons or plus signs.
func split(s string) []string {
	var out []string
	for _, p := range strings.FieldsFunc(s, func(r rune) bool { return r == ';' || r == '+' }) {
		if p = strings.TrimSpace(p); p != "" {
			out = append(out, p)
		}
	}
	return out
}

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
	Pieces   []pieceOption
	Near     picture
	Photos   []string
	Choices  []choiceWord
	Variant  string
	Has      []string
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
	if id == "" {
		p.group()
		return v.show("decide", p)
	}
	pos, err := placeOf(d, id)
	if err != nil {
		return err
	}
	p.Pos, p.Bench, p.Title = pos, true, "Decide "+pos.Label()
	p.Variant, p.Near = d.Built.Variants[id], around(d, pos)
	if sp := d.Spots[id]; sp != nil {
		p.Photos = sp.Photos
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
	return v.show("decide", p)
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
