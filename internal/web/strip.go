package web

import (
	"cmp"
	"fmt"
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
	if v.r.FormValue("new") != "" { // one question at a time
		p.Pos, p.New.Main = nil, true
	}
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
	b.NoPhoto, b.From, b.Against = strings.TrimSpace(r.FormValue("nophoto")), r.FormValue("from"), r.FormValue("against")
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
