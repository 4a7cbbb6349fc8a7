package shop

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/setup"
)

// Drawn is a drawing that can be asked for by its name.
type Drawn struct {
	Name  string `json:"name"`  // "arrangement", "section pinion", "order pinion", "chain nut stack proud"
	Title string `json:"title"` // in words
}

// DrawingsOf lists what can be drawn of a type of gearbox: the arrangement of
// all shafts, each carrier in section and in its order, and the chain of each
// setting that has one.
func DrawingsOf(box *gearbox.Box) []Drawn {
	if box == nil {
		return nil
	}
	out := []Drawn{}
	if draw.Arrangement(box, draw.Options{}) != nil {
		out = append(out, Drawn{"arrangement", "General arrangement"})
	}
	for _, c := range box.Carriers {
		name := c.Name
		if name == "" {
			name = c.ID
		}
		if len(c.Order) == 0 {
			continue
		}
		if len(c.Ends) != 2 {
			out = append(out, Drawn{"parts " + c.ID, "Parts of the " + name})
			continue
		}
		out = append(out, Drawn{"section " + c.ID, "Section of the " + name}, Drawn{"order " + c.ID, "Order of the " + name})
	}
	for _, s := range box.Settings {
		if len(s.Chain) > 1 {
			out = append(out, Drawn{"chain " + s.Name, "Chain of " + s.Name})
		}
	}
	return out
}

// Drawings lists what can be drawn of a job: what its type allows, and what its
// readings and packs add.
func (d *Desk) Drawings() []Drawn {
	out := DrawingsOf(d.Box)
	for _, r := range d.Settings {
		if len(d.doubtOf(r)) > 1 {
			out = append(out, Drawn{"doubt " + r.Name, "Where the doubt of " + r.Name + " comes from"})
		}
	}
	if d.Box == nil {
		return out
	}
	for _, m := range d.Box.Measures {
		if _, ok := d.round(m.Name); ok {
			out = append(out, Drawn{"round " + m.Name, capital(m.Name) + " around the turn"})
		}
	}
	for _, s := range d.Box.Settings {
		if _, ok := d.round(s.Name); ok {
			out = append(out, Drawn{"round " + s.Name, capital(s.Name) + " around the turn"})
		}
	}
	for _, p := range d.Box.All() {
		if p.Seat != nil && len(d.At[p.ID]) > 0 {
			out = append(out, Drawn{"pack " + p.ID, "Shims at " + p.Label()})
		}
	}
	return out
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// DrawBox makes a drawing of a type of gearbox by its name.
func DrawBox(box *gearbox.Box, name string, o draw.Options) (*draw.Drawing, error) {
	what, of, _ := strings.Cut(strings.TrimSpace(name), " ")
	if what == "arrangement" {
		if d := draw.Arrangement(box, o); d != nil {
			return d, nil
		}
	}
	if c, ok := box.Carrier(of); ok && len(c.Order) > 0 {
		switch what {
		case "section", "parts":
			return draw.Section(c, o), nil
		case "order":
			return draw.Exploded(c, o), nil
		}
	}
	if s, ok := box.Setting(of); ok && what == "chain" && len(s.Chain) > 1 {
		links := make([]draw.Link, len(s.Chain))
		for i, t := range s.Chain {
			p, _ := box.Position(t.Position)
			v, known := 0.0, false
			if p != nil && t.Dim != "" {
				v, known = p.Dimension(t.Dim, o.Built)
			}
			links[i] = linkOf(t, p, v, known, s)
		}
		return draw.ChainIn(box, o, s.Name, links, draw.Link{Name: s.Name, Text: "not known"}), nil
	}
	return nil, wrap(ErrNotFound, "there is no drawing %q; it is one of %s", name, namesOf(DrawingsOf(box)))
}

func namesOf(ds []Drawn) string {
	var out []string
	for _, d := range ds {
		out = append(out, d.Name)
	}
	return strings.Join(out, ", ")
}

// Draw makes a drawing of a job by its name. Where o has no states, the parts
// stand as they do in the job.
func (d *Desk) Draw(name string, o draw.Options) (*draw.Drawing, error) {
	if d.Box == nil {
		return nil, wrap(ErrNotFound, "%s has no gearbox file, so there is nothing to draw from", d.Opened.Unit)
	}
	o.Built = d.Built
	what, of, _ := strings.Cut(strings.TrimSpace(name), " ")
	switch what {
	case "chain":
		if i := slices.IndexFunc(d.Settings, func(r setup.Result) bool { return r.Name == of }); i >= 0 && len(d.Settings[i].Chain) > 1 {
			return d.ChainOf(d.Settings[i], o), nil
		}
	case "doubt":
		for _, r := range d.Settings {
			if shares := d.doubtOf(r); r.Name == of && len(shares) > 1 {
				return draw.Budget(shares, "± "+setup.Text(r.U, 0, r.Unit)), nil
			}
		}
	case "round":
		if r, ok := d.round(of); ok {
			return draw.RunOut(r), nil
		}
	case "pack":
		if tags := d.At[of]; len(tags) > 0 {
			return d.packOf(tags), nil
		}
	default:
		return DrawBox(d.Box, name, d.stated(o))
	}
	return nil, wrap(ErrNotFound, "there is no drawing %q of %s; it is one of %s", name, d.Opened.Unit, namesOf(d.Drawings()))
}

// stated gives options the states of the job's positions.
func (d *Desk) stated(o draw.Options) draw.Options {
	if o.State == nil {
		o.State = d.Standing()
		o.Word = d.Whose
	}
	return o
}

// Standing tells how each position of a job stands, as drawings show it.
func (d *Desk) Standing() func(id string) draw.State {
	next := map[string]bool{}
	for _, st := range d.Next(1) {
		if st.Position != nil {
			next[st.Position.ID] = true
		}
	}
	doubt := map[string]bool{}
	for _, f := range d.Findings {
		if f.Allowed == "" && (f.Kind == plan.Loose || f.Kind == plan.Broken || f.Kind == plan.Verdict) {
			doubt[f.About] = true
		}
	}
	fitting := slices.ContainsFunc(d.Box.All(), func(p *gearbox.Position) bool { return d.Spots[p.ID] != nil && d.Spots[p.ID].Fitted != nil })
	return func(id string) draw.State {
		sp := d.Spots[id]
		there := len(d.At[id]) > 0
		switch {
		case next[id]:
			return draw.Next
		case there && (sp == nil || sp.Off == nil && sp.Fitted == nil):
			return draw.AsFound
		case there && doubt[id]:
			return draw.Doubt
		case there && d.Whose(id) != "":
			return draw.Other
		case there:
			return draw.Fitted
		case fitting:
			return draw.Missing
		}
		return draw.Off
	}
}

// Whose says from which unit the piece at a position came, "" where it is the
// unit's own, or new.
func (d *Desk) Whose(id string) string {
	sp := d.Spots[id]
	if sp == nil || sp.Decided == nil || sp.Decided.Is.Choice != "donor" {
		return ""
	}
	for _, t := range d.At[id] {
		if pc := d.Pieces[t]; pc != nil && pc.Origin != "" && pc.Origin != d.Opened.Unit {
			return "from " + pc.Origin
		}
	}
	return ""
}

// ChainOf draws the chain of a setting: on the section of the shaft that most of
// its links lie on, else as links one under the other.
func (d *Desk) ChainOf(r setup.Result, o draw.Options) *draw.Drawing {
	links := make([]draw.Link, len(r.Chain))
	for i, t := range r.Chain {
		v, known := d.lengthOf(t)
		p, _ := d.Box.Position(t.Position)
		links[i] = linkOf(t, p, v, known, r.Setting)
	}
	result := draw.Link{Name: r.Name, Text: "not known"}
	if r.Known {
		result.Value, result.Text = r.Value, setup.Text(r.Value, r.U, r.Unit)
	}
	o.Built = d.Built
	return draw.ChainIn(d.Box, o, r.Name, links, result)
}

// linkOf is a term of a chain as it is drawn. One that is not known keeps its
// sign.
func linkOf(t gearbox.Term, p *gearbox.Position, v float64, known bool, s *gearbox.Setting) draw.Link {
	l := draw.Link{Name: t.Measure, Value: t.Sign * max(v, 1e-9), Text: "not known"}
	if known {
		l.Text = setup.Text(v, 0, s.Unit)
	}
	if p != nil {
		l.Name = strings.TrimSpace(p.Label() + " " + t.Dim)
		l.At, l.Along = p.ID, t.Dim == "" || t.Dim == "width"
		l.Seat = t.Dim == ""
	}
	return l
}

// lengthOf is what a term of a chain is now: the newest reading that holds, the
// pack at its seat, else the figure of the file.
func (d *Desk) lengthOf(t gearbox.Term) (si float64, ok bool) {
	if t.Measure != "" {
		m, rs := d.newest(t.Measure)
		if m == nil || rs == nil {
			return 0, false
		}
		return setup.MeanOf(d.State, m, *rs).Value, true
	}
	if t.Dim == "" {
		p := d.Pack(t.Position)
		return p.SI, p.Ok
	}
	if m, rs := d.newest(t.Position + " " + t.Dim); m != nil && rs != nil {
		return setup.MeanOf(d.State, m, *rs).Value, true
	}
	p, known := d.Box.Position(t.Position)
	if !known {
		return 0, false
	}
	return p.Dimension(t.Dim, d.Built)
}

// newest is a reading's declaration and the last one that holds, nil if none.
func (d *Desk) newest(name string) (*gearbox.Measure, *job.Reading) {
	m, ok := d.Box.Measure(name)
	if !ok {
		return nil, nil
	}
	rs := d.ReadingsOf(name)
	for i := range slices.Backward(rs) {
		if d.Valid(rs[i]) && len(rs[i].Is.SI) > 0 {
			return m, &rs[i]
		}
	}
	return m, nil
}

// doubtOf is what each link of a chain puts into its doubt; none where the
// setting is no chain or not all is known.
func (d *Desk) doubtOf(r setup.Result) []draw.Share {
	if !r.Known || len(r.Chain) < 2 {
		return nil
	}
	var out []draw.Share
	for _, t := range r.Chain {
		p, _ := d.Box.Position(t.Position)
		l := linkOf(t, p, 0, false, r.Setting)
		u := 0.0
		switch m, rs := d.newest(strings.TrimSpace(t.Measure + t.Position + " " + t.Dim)); {
		case t.Measure != "":
			if m, rs = d.newest(t.Measure); m == nil || rs == nil {
				return nil
			}
			u = setup.MeanOf(d.State, m, *rs).U
		case t.Dim == "":
			u = d.Pack(t.Position).U
		case m != nil && rs != nil:
			u = setup.MeanOf(d.State, m, *rs).U
		case p != nil:
			_, u, _ = p.Figure(t.Dim, d.Built)
		}
		if u > 0 {
			out = append(out, draw.Share{Name: l.Name, U: u, Text: "± " + unit.Format(u, r.Unit, 3)})
		}
	}
	return out
}

// round are the readings around a turn of what is read at several places, or
// with a dial.
func (d *Desk) round(name string) (draw.Round, bool) {
	m, rs := d.newest(name)
	if m == nil || rs == nil {
		return draw.Round{}, false
	}
	if len(rs.Is.Dial) > 2 {
		return d.Dialled(name, *rs)
	}
	if m.Places < 3 || len(rs.Is.SI) != m.Places {
		return draw.Round{}, false
	}
	return draw.Round{Name: name, Values: rs.Is.SI, Text: func(v float64) string { return unit.Format(v, m.Unit, 3) }}, true
}

// Dialled are the places of a dial once round, false where a reading has none.
func (d *Desk) Dialled(name string, r job.Reading) (draw.Round, bool) {
	def := mmOf()
	if in, ok := d.Stores.Instruments[r.Is.With]; ok {
		if u, ok := unit.Find(in.Unit, unit.KindLength); ok {
			def = u
		}
	}
	out := draw.Round{Name: name, Text: func(v float64) string { return unit.Format(v, mmOf(), 3) }}
	for _, text := range r.Is.Dial {
		q, err := unit.Parse(unit.Undress(text), unit.KindLength, def)
		if err != nil {
			return draw.Round{}, false
		}
		out.Values = append(out.Values, q.SI)
	}
	return out, len(out.Values) > 2
}

func (d *Desk) packOf(tags []string) *draw.Drawing {
	var ps []draw.Piece
	total := 0.0
	for _, t := range tags {
		if pc := d.Pieces[t]; pc != nil {
			ps = append(ps, draw.Piece{ID: t, Thickness: pc.SI, Text: millimetres(pc.SI)})
			total += pc.SI
		}
	}
	return draw.ShimStack(ps, millimetres(total))
}

func millimetres(si float64) string { return fmt.Sprintf("%.3f mm", si*1000) }
