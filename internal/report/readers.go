package report

import (
	"fmt"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/plan"
)

// Reader is somebody for whom a part of the book is printed by itself, from the
// same entries, with what he needs and no more.
type Reader struct {
	Key   string `json:"for"`   // as it is asked for
	Title string `json:"title"` // of what he gets
	Says  string `json:"says"`  // what is in it
	set   func(b *book)
}

// readers are a function, for their pages name one another.
func readers() []Reader {
	return []Reader{
		{"owner", "What was wrong and what was done", "what was found, what was done and why, photos of bad parts, the price, what to do and what not", (*book).forOwner},
		{"next-owner", "What is in this gearbox", "numbers, ratios, what is original and what was replaced, settings, oil, by whom and when", (*book).forNextOwner},
		{"scrutineer", "Tooth-count certificate", "ratios by tooth count, engagement, differential, numbers, origin of each gear", (*book).forScrutineer},
		{"fitter", "Hand-over to the fitter", "oil, what to watch as it goes in, torques outside, running in", (*book).forFitter},
		{"operator", "Release note", "tests and witnesses, holds passed, torques and locks, open points; for the operator's engineer to sign", (*book).forOperator},
		{"builder", "Build sheet", "one page: shims by place, settings, torques, tests", (*book).forBuilder},
		{"bench", "Return card", "A5: what was done last, what is loose, what waits, what is next", nil},
		{"payer", "Price trail", "estimate, what was agreed, orders, hours by stage, the sum", (*book).forPayer},
	}
}

// Readers lists those for whom there is a version of the book.
func Readers() []Reader { return readers() }

// ReaderOf finds a reader by its key; "" is the whole book.
func ReaderOf(key string) (Reader, error) {
	key = strings.ToLower(strings.TrimSpace(key))
	if key == "" {
		return Reader{Title: "The book of the rebuild"}, nil
	}
	var keys []string
	for _, r := range readers() {
		if r.Key == key {
			return r, nil
		}
		keys = append(keys, r.Key)
	}
	return Reader{}, fmt.Errorf("there is no version for %q; there are those for %s, and the whole book", key, strings.Join(keys, ", "))
}

// For makes the version of one reader as a PDF; with no reader named it is the
// whole book.
func For(v *plan.View, reader string, o Options) ([]byte, error) {
	r, err := ReaderOf(reader)
	if err != nil {
		return nil, err
	}
	if r.Key == "" {
		return Book(v, o)
	}
	o.Data = nil // a version is no book: what proves it is the head it prints
	if r.Key == "bench" {
		return ReturnCard(v, o)
	}
	paper, err := paperOf(o.Paper)
	if err != nil {
		return nil, err
	}
	o.Made = steady(o.Made)
	shots := map[string]shot{}
	pages := 0
	for {
		b := &book{v: v, o: o, shots: shots, sheet: newSheet(paper, o, clean(r.Title+": "+unitOf(v)))}
		b.total, b.turn = pages, 0.82
		b.photos, b.figs = figures(v)
		b.foot = clean(unitOf(v) + " · " + strings.ToLower(r.Title[:1]) + r.Title[1:] + " · from a book of " + plural(v.Seq, "entry", "entries"))
		r.set(b)
		if b.err != nil || b.f.Error() != nil || pages == b.f.PageNo() {
			return b.output()
		}
		pages = b.f.PageNo()
	}
}

// headline is the top of a version: whose unit it is, and what this paper is.
func (b *book) headline(what string) {
	b.page(false)
	o := b.v.Opened
	b.lines(b.left, []line{{face{false, 11, 6, 85}, what}})
	b.y += 1
	b.lines(b.left, b.wrap(face{true, 21, 9.5, 0}, b.wide(), unitOf(b.v)))
	series := ""
	if o.Series != "" {
		series = "series " + o.Series
	}
	b.para(body, joined(" · ", joined(", ", o.Type, series), o.Number))
	b.rule(b.left, b.y, b.wide(), 0.3, 0)
	b.y += 4
}

// unready says on top of every version that the unit is not finished.
func (b *book) unready() {
	if b.v.Closed == nil {
		b.para(strong, "The unit has not been handed over. What follows is how it stands on "+b.day(b.o.Made)+".")
	}
}

// forOwner says what was wrong, what was done, what it cost and what to do.
func (b *book) forOwner() {
	b.headline("For the owner: what was wrong and what was done")
	b.unready()
	o := b.v.Opened
	b.facts(append(b.whoAndWhat(), "Asked for", o.Asked, "Complaint", o.Symptoms)...)
	b.wasWrong()
	b.wasDone()
	b.settingsTable(false)
	b.testsTable()
	b.deviations()
	b.open()
	b.accountPart()
	b.handover()
	b.seal()
}

// wasWrong is what was found, with photos of the parts it was found on.
func (b *book) wasWrong() {
	b.part("What was found")
	b.noteList(b.notes("received"))
	var rows []row
	var bad []plan.Photo
	for _, p := range b.places() {
		why := b.faultOf(p)
		if len(why) == 0 {
			continue
		}
		became := "as it is"
		if sp := b.v.Spots[p.ID]; sp != nil && sp.Decided != nil {
			became = decisions[sp.Decided.Is.Choice]
		}
		var of []plan.Photo
		for _, f := range b.photos {
			if f.Position == p.ID {
				of = append(of, f)
			}
		}
		bad = append(bad, of[:min(1, len(of))]...)
		rows = append(rows, row{in(cell, p.Label()), in(cell, why[0], why[1:]...), in(cell, became)})
	}
	if len(rows) == 0 {
		b.para(body, "No part was found damaged or out of its limits.")
		return
	}
	b.table([]col{{"Part", 4}, {"Found", 7}, {"What became of it", 3.5}}, rows)
	b.grid(bad)
}

// grid sets photos three to a row.
func (b *book) grid(fs []plan.Photo) {
	const per = 3
	for i := 0; i < len(fs); i += per {
		b.strips(fs[i:min(i+per, len(fs))], (b.wide()-6*(per-1))/per)
	}
}

// faultOf is what was wrong at a position as it came in, in sentences.
func (b *book) faultOf(p *gearbox.Position) []string {
	var why []string
	if sp := b.v.Spots[p.ID]; sp != nil && sp.Off != nil && sp.Off.Is.Damage != "" {
		why = append(why, sentence(sp.Off.Is.Damage))
	}
	for _, l := range b.v.Looked[p.ID] {
		if l.Is.Saw == "replace" || l.Is.Saw == "plan" {
			why = append(why, sentence(joined(": ", l.Is.At, l.Is.Says)))
		}
	}
	for _, m := range p.Checks {
		for _, r := range b.v.ReadingsOf(m.Name) {
			if !b.ofFound(r) {
				continue
			}
			if ls := b.verdictCell(m, r); len(ls) > 0 && ls[0].text == "out" {
				why = append(why, fmt.Sprintf("%s %s, wanted %s", sentence(strings.TrimPrefix(m.Name, p.ID+" ")), strings.Join(r.Is.Values, " · "), b.limitCell(m)[0].text))
			}
			break
		}
	}
	return why
}

// decisions are the choices as an owner reads them.
var decisions = map[string]string{"reuse": "goes back", "new": "renewed", "donor": "replaced from a donor", "repair": "repaired", "scrap": "scrapped"}

// wasDone lists what was renewed, replaced and repaired. One-way parts are told
// in one sentence: they are always new.
func (b *book) wasDone() {
	done := "What was done"
	if b.v.Closed == nil {
		done = "What was decided so far"
	}
	b.part(done)
	var rows []row
	var once []string
	kept := 0
	for _, p := range b.places() {
		sp := b.v.Spots[p.ID]
		if sp == nil || sp.Decided == nil {
			continue
		}
		d := sp.Decided.Is
		switch {
		case d.Choice == "reuse":
			kept++
		case p.Once && d.Choice == "new":
			once = append(once, p.Label())
		default:
			rows = append(rows, row{in(cell, p.Label()), in(cell, decisions[d.Choice], d.Variant), in(cell, sentence(d.Why)), in(small, b.originOf(p.ID))})
		}
	}
	if len(rows) > 0 {
		b.table([]col{{"Part", 4.5}, {"Done", 3}, {"Why", 5}, {"From", 3}}, rows)
	}
	if len(once) > 0 {
		b.para(body, "Always new, and new here too: "+strings.Join(once, ", ")+".")
	}
	for _, r := range b.v.Repaired {
		b.bullet(fmt.Sprintf("%s: %s", r.Is.Position, joined("; ", r.Is.How, r.Is.Proved)), b.stamp(r.Entry))
	}
	switch {
	case kept > 0:
		b.para(body, sentence(plural(kept, "part of its own goes", "parts of its own go"))+" back.")
	case len(rows)+len(once) == 0:
		b.para(body, "Nothing was decided yet.")
	}
}

// originOf is where the piece at a position came from.
func (b *book) originOf(id string) string {
	for _, t := range b.v.At[id] {
		pc := b.v.Pieces[t]
		if pc == nil || pc.Origin == b.v.Opened.Unit {
			continue
		}
		return pc.Origin
	}
	return ""
}
