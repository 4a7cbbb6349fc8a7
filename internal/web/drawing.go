package web

import (
	"html/template"
	"net/url"
	"slices"

	"endfloat/calc/unit"
	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/setup"
	"endfloat/internal/shop"
)

// picture is a drawing on a page.
type picture struct {
	Title string
	SVG   template.HTML
	Parts int
}

var (
	mmUnit = mustUnit("mm", unit.KindLength)
	noUnit = unit.Unit{Factor: 1}
)

func mustUnit(symbol string, k unit.Kind) unit.Unit {
	u, ok := unit.Find(symbol, k)
	if !ok {
		panic("no unit " + symbol)
	}
	return u
}

func millimetres(si float64) string { return unit.Format(si, mmUnit, 3) }

// svg trusts what package draw has written: it escapes every text itself.
func svg(d *draw.Drawing) picture { return picture{Title: d.Title, SVG: template.HTML(d.SVG())} }

// standing tells how each position of a job stands.
func standing(d *shop.Desk) func(id string) draw.State {
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
		case there:
			return draw.Fitted
		case fitting:
			return draw.Missing
		}
		return draw.Off
	}
}

func options(d *shop.Desk) draw.Options {
	return draw.Options{Built: d.Built, State: standing(d), Link: func(id string) string { return "/job/" + d.Book + "/at/" + url.PathEscape(id) }}
}

// pictures draws every carrier: the shafts as sections, the rest as sheets.
func pictures(d *shop.Desk) (sections, sheets []picture) {
	if d.Box == nil {
		return nil, nil
	}
	for _, c := range d.Box.Carriers {
		p := svg(draw.Section(c, options(d)))
		p.Title, p.Parts = carrierName(c), len(c.Order)
		if len(c.Ends) == 2 {
			sections = append(sections, p)
		} else {
			sheets = append(sheets, p)
		}
	}
	return sections, sheets
}

func carrierName(c *gearbox.Carrier) string {
	if c.Name != "" {
		return c.Name
	}
	return c.ID
}

// beside is how many neighbours on each side are drawn with a part.
const beside = 4

// around draws a part with its neighbours, itself marked.
func around(d *shop.Desk, pos *gearbox.Position) picture {
	c := pos.Carrier
	if c == nil || len(c.Ends) != 2 {
		return picture{}
	}
	part := *c
	i := slices.Index(c.Order, pos)
	part.Order = c.Order[max(0, i-beside):min(len(c.Order), i+beside+1)]
	o := options(d)
	stands := o.State
	o.State = func(id string) draw.State {
		switch s := stands(id); {
		case id == pos.ID:
			return draw.Next
		case s == draw.Next:
			return draw.AsFound
		default:
			return s
		}
	}
	o.Word = func(id string) string {
		if id == pos.ID {
			return "this one"
		}
		return ""
	}
	return svg(draw.Section(&part, o))
}

// faceBoth are the pictures of a part the one way round and the other.
func faceBoth(p *gearbox.Position, f gearbox.Facing) (with, away picture) { return }

// bar shows a setting between its limits.
func bar(r setup.Result) picture { return picture{} }

// chain shows what a setting is made of.
func chain(d *shop.Desk, r setup.Result) picture { return picture{} }

// stackOf shows a pack of shims.
func stackOf(ps []job.Piece) picture { return picture{} }

// etchedPicks are the two meanings of a plus on the pinion.
func etchedPicks() []facePick {
	return []facePick{
		{"further", "further: a plus puts the pinion further from the crown wheel's axis", picture{}},
		{"nearer", "nearer: a plus puts the pinion nearer to the crown wheel's axis", picture{}},
	}
}
