package web

import (
	"maps"
	"net/url"
	"slices"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
	"endfloat/internal/shop"
)

// readRow is one thing to read with what the newest reading says.
type readRow struct {
	*gearbox.Measure
	Href   string
	Has    bool
	Holds  bool // still about the pieces that are there
	Typed  string
	Text   string
	Wanted string
	From   string
	Word   string // verdict
	Plan   bool
	Spread string
	Seq    int
	Why    string // the entry it stands in, struck from here
	ID     string
}

func readRowOf(d *shop.Desk, m *gearbox.Measure) readRow {
	row := readRow{Measure: m, Href: "/job/" + d.Book + "/read/one?what=" + url.QueryEscape(m.Name)}
	if l := m.Limit; l != nil {
		lo, hi, hasLo, hasHi := l.Band.At(d.Built)
		row.Wanted, row.From = setup.Range(lo, hi, hasLo, hasHi, m.Unit), l.From
	}
	if set, ok := d.Box.Setting(m.Name); ok && row.Wanted == "" {
		lo, hi, hasLo, hasHi := set.Band.At(d.Built)
		row.Wanted, row.From = setup.Range(lo, hi, hasLo, hasHi, m.Unit), set.From
	}
	rs := d.ReadingsOf(m.Name)
	if len(rs) == 0 {
		return row
	}
	r := rs[len(rs)-1]
	j := setup.Judge(d.State, m, r)
	row.Has, row.Holds, row.Seq, row.ID = true, d.Valid(r), r.Seq, r.ID
	row.Typed = strings.Join(r.Is.Values, ", ")
	row.Text, row.Word, row.Plan = j.Text, string(j.Verdict), j.Plan
	if m.Places > 0 {
		row.Spread = setup.Text(j.Spread, 0, m.Unit)
	}
	return row
}

type readGroup struct {
	Title string
	Rows  []readRow
}

type readingsPage struct {
	frame
	Groups []readGroup
	Free   []readRow
}

// readings lists what there is to read, grouped by when it is wanted.
func (s *server) readings(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := readingsPage{frame: v.jobFrame(d, "Readings")}
	if d.Box != nil {
		used := inSettings(d)
		titles := []string{"Before it is stripped", "For the settings", "At the positions", "Others"}
		groups := make([]readGroup, len(titles))
		for i, t := range titles {
			groups[i].Title = t
		}
		for _, m := range d.Box.Measures {
			i := 3
			switch {
			case m.Before:
				i = 0
			case used[strings.ToLower(m.Name)]:
				i = 1
			case m.Check:
				i = 2
			}
			groups[i].Rows = append(groups[i].Rows, readRowOf(d, m))
		}
		p.Groups = slices.DeleteFunc(groups, func(g readGroup) bool { return len(g.Rows) == 0 })
	}
	for _, r := range d.Readings {
		if d.Box != nil {
			if _, ok := d.Box.Measure(r.Is.What); ok {
				continue
			}
		}
		p.Free = append(p.Free, readRow{Measure: &gearbox.Measure{Name: r.Is.What}, Has: true, Holds: true, Seq: r.Seq, ID: r.ID,
			Typed: strings.Join(r.Is.Values, ", "), Text: freeText(r), Href: "/job/" + d.Book + "/read/one?what=" + url.QueryEscape(r.Is.What)})
	}
	return v.show("readings", p)
}

func freeText(r job.Reading) string {
	m, kind := setup.MeanOf(nil, nil, r), unit.KindLength
	if usual, ok := gearbox.Usual(r.Is.What); ok {
		kind = usual.Kind
	}
	if u, ok := unit.Find(r.Is.Unit, kind); ok {
		return setup.Text(m.Value, m.U, u)
	}
	return strings.Join(r.Is.Values, ", ")
}

// inSettings are the measures that settings rest on or are proved by.
func inSettings(d *shop.Desk) map[string]bool {
	used := map[string]bool{}
	for _, set := range d.Box.Settings {
		for _, t := range set.Chain {
			if t.Measure != "" {
				used[strings.ToLower(t.Measure)] = true
			}
		}
		for _, n := range set.Proved {
			used[strings.ToLower(n)] = true
		}
	}
	return used
}

type readingPage struct {
	frame
	What     string
	Row      *readRow // nil for a reading in free words
	Symbol   string
	InUnit   string // unit of plain numbers, where no gearbox file says it
	With     string
	Fields   []int
	Places   bool
	Tools    []string
	Question bool // the last answer was questioned
	State    string
	Help     string
	Torque   bool // a torque: asked whether it was read in steady turning
	Of       []string
	Earlier  []readRow
	Care     []string
}

// reading is the form for one set of readings.
func (s *server) reading(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showReading(v, d)
}

func (s *server) showReading(v *visit, d *shop.Desk) error {
	what := strings.TrimSpace(v.r.FormValue("what"))
	p := readingPage{frame: v.jobFrame(d, "Read "+what), What: what, Symbol: "mm", Tools: slices.Sorted(maps.Keys(d.Stores.Instruments))}
	p.Bench = true
	n := 3
	if d.Box != nil {
		if m, ok := d.Box.Measure(what); ok {
			row := readRowOf(d, m)
			p.Row, p.What, p.Symbol, p.With, p.State, p.Help = &row, m.Name, m.Unit.Symbol, m.With, m.State, m.Help
			n, p.Torque = max(1, m.Repeats), m.Kind == unit.KindTorque
			if m.Places > 0 {
				n, p.Places = m.Places, true
			}
			for _, id := range m.Of {
				p.Of = append(p.Of, label(d, id))
			}
			if m.Kind == unit.Number {
				p.Symbol = "no unit"
			}
		}
	}
	if m, ok := gearbox.Usual(what); ok && p.Row == nil {
		p.What, p.Symbol, p.InUnit, p.With, p.Help, p.Torque = m.Name, m.Unit.Symbol, m.Unit.Symbol, m.With, m.Help, m.Kind == unit.KindTorque
		n = max(m.Repeats, m.Places)
		p.Places = m.Places > 0
		if m.Kind == unit.Number {
			p.Symbol = "no unit"
		}
	}
	if p.With != "" && !slices.Contains(p.Tools, p.With) {
		p.Tools = append([]string{p.With}, p.Tools...)
	}
	for i := range max(n, len(v.r.Form["value"])) {
		p.Fields = append(p.Fields, i)
	}
	p.Question = v.refuse != nil && strings.Contains(v.refuse.Says, "say you are sure")
	for _, r := range d.ReadingsOf(p.What) {
		p.Earlier = append(p.Earlier, readRow{Seq: r.Seq, ID: r.ID, Typed: strings.Join(r.Is.Values, ", "), Holds: d.Valid(r)})
	}
	slices.Reverse(p.Earlier)
	return v.show("reading", p)
}

func (s *server) record(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		err = s.recordReading(v, d)
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/read/one?what=" + url.QueryEscape(v.r.FormValue("what")))
	}
	if err := v.refused("read", err); err != nil {
		return err
	}
	return s.showReading(v, d)
}

func (s *server) recordReading(v *visit, d *shop.Desk) error {
	keys, err := v.photos()
	if err != nil {
		return err
	}
	r := v.r
	b := job.Read{What: strings.TrimSpace(r.FormValue("what")), Values: r.Form["value"], With: r.FormValue("with"), Sure: r.FormValue("sure") != "",
		State: r.FormValue("state"), Unit: r.FormValue("unit"), Note: strings.TrimSpace(r.FormValue("note")), Piece: strings.TrimSpace(r.FormValue("piece")), Photos: keys}
	if r.FormValue("starting") != "" {
		b.State = job.Starting
	}
	if t := strings.TrimSpace(r.FormValue("temp")); t != "" {
		c, _ := unit.Find("°C", unit.KindTemperature)
		q, err := unit.Parse(t, unit.KindTemperature, c)
		if err != nil {
			return invalid("temperature: %v", err)
		}
		b.Temp = &q.SI
	}
	_, err = s.sh.Record(r.Context(), v.by(), d.Book, b)
	return err
}

// parsed answers what a typed value is taken for, before it counts.
func (s *server) parsed(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	kind, def := unit.KindLength, unit.Unit{}
	if d.Box != nil {
		if m, ok := d.Box.Measure(v.r.FormValue("what")); ok {
			kind, def = m.Kind, m.Unit
		}
	}
	if m, ok := gearbox.Usual(v.r.FormValue("what")); ok && def.Factor == 0 {
		kind, def = m.Kind, m.Unit
	}
	if ins, ok := d.Stores.Instruments[v.r.FormValue("with")]; ok {
		if k, _ := unit.KindOf(ins.Quantity); k == kind {
			if u, ok := unit.Find(ins.Unit, k); ok {
				def = u
			}
		}
	}
	text := strings.TrimSpace(v.r.FormValue("text"))
	q, err := unit.Parse(unit.Undress(text), kind, def)
	if err != nil {
		v.json(200, "application/json", map[string]any{"says": err.Error(), "ok": false})
		return nil
	}
	says := unit.Format(q.SI, q.Unit, q.Places)
	if mm, ok := unit.Find("mm", unit.KindLength); ok && kind == unit.KindLength && q.Unit.Symbol != "mm" {
		says += " = " + unit.Format(q.SI, mm, 3)
	}
	v.json(200, "application/json", map[string]any{"says": says, "ok": true, "si": q.SI})
	return nil
}
