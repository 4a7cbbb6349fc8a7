package report

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

func (b *book) identity() {
	b.part("Identity")
	o := b.v.Opened
	b.facts(append([]string{"Unit", o.Unit, "Type", o.Type, "Series", b.series()}, b.whoAndWhat()...)...)
	donor := ""
	if o.Donor {
		donor = "here for its parts"
	}
	b.facts("Use", donor, "Book", b.v.Book, "Asked for", o.Asked, "Promised for", o.Due, "Gearbox file", b.file())
	b.marks()
}

func (b *book) series() string {
	o := b.v.Opened
	if b.v.Box == nil {
		return o.Series
	}
	for _, s := range b.v.Box.Series {
		if s.Name == o.Series {
			return joined("; ", joined(", ", s.Name, s.Years), s.Note)
		}
	}
	return o.Series
}

// file names the gearbox file and the books that its limits are quoted from.
func (b *book) file() string {
	if b.v.Box == nil {
		return "none is known for this job; what follows rests on the entries alone"
	}
	var from []string
	for _, s := range b.v.Box.Sources {
		t := s.Title
		if s.Year != 0 {
			t = fmt.Sprintf("%s, %d", s.Title, s.Year)
		}
		from = append(from, fmt.Sprintf("%q is %s", s.Key, t))
	}
	return joined("\n", fmt.Sprintf("%s, SHA-256 %.16s…", b.v.Box.Name, b.v.Box.Hash), joined("; ", from...))
}

// marks lists the numbers found on the pieces that are in the unit.
func (b *book) marks() {
	var rows []row
	for _, p := range b.places() {
		for _, t := range b.v.At[p.ID] {
			pc := b.v.Pieces[t]
			if pc == nil || len(pc.Marks) == 0 {
				continue
			}
			rows = append(rows, row{in(cell, p.Label()), in(cell, t), in(cell, markWords(pc.Marks))})
		}
	}
	if len(rows) > 0 {
		b.under("Numbers and marks on the parts in the unit")
		b.table([]col{{"Position", 5}, {"Piece", 2}, {"Marks", 5}}, rows)
	}
}

func markWords(m map[string]string) string {
	var out []string
	for k, v := range m {
		out = append(out, k+" "+v)
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}

// places are the positions of the gearbox file, then those that only the book has.
func (b *book) places() []*gearbox.Position {
	var out []*gearbox.Position
	if b.v.Box != nil {
		out = b.v.Box.All()
	}
	var ids []string
	for id := range b.v.Spots {
		if b.v.Box != nil {
			if _, ok := b.v.Box.Position(id); ok {
				continue
			}
		}
		ids = append(ids, id)
	}
	slices.Sort(ids)
	for _, id := range ids {
		p := &gearbox.Position{ID: id, Carrier: &gearbox.Carrier{}}
		if off := b.v.Spots[id].Off; off != nil {
			p.Name, p.Kind, p.Carrier.Name = off.Is.Name, off.Is.PartKind, off.Is.Carrier
		}
		out = append(out, p)
	}
	return out
}

// topics are words in the topic of a note that send it to a part of the book;
// the first that is found decides.
var topics = []struct{ word, part string }{
	{"deviation", "deviations"}, {"found", "received"}, {"received", "received"}, {"debris", "received"}, {"complaint", "received"},
	{"test", "tests"}, {"leak", "tests"}, {"spin", "tests"}, {"shift", "tests"}, {"pattern", "tests"}, {"interlock", "tests"},
	{"fork", "tests"}, {"seal", "tests"}, {"lubricant", "tests"},
	{"parts", "costs"}, {"order", "costs"}, {"goods", "costs"},
	{"hand", "hand-over"}, {"next time", "hand-over"}, {"break-in", "hand-over"}, {"oil", "hand-over"},
}

func partOf(topic string) string {
	for _, t := range topics {
		if strings.Contains(strings.ToLower(topic), t.word) {
			return t.part
		}
	}
	return ""
}

// notes are the notes whose topic belongs to a part of the book; "" those of
// no part.
func (b *book) notes(part string) []job.Done[job.Noted] {
	var out []job.Done[job.Noted]
	for _, e := range b.v.Notes {
		n, ok := is[job.Noted](e)
		if ok && partOf(n.Topic) == part {
			out = append(out, job.Done[job.Noted]{Entry: e, Is: n})
		}
	}
	return out
}

// otherNotes are those that belong nowhere else.
func (b *book) otherNotes() {
	if ns := b.notes(""); len(ns) > 0 {
		b.part("Notes along the way")
		b.noteList(ns)
	}
}

func (b *book) noteList(ns []job.Done[job.Noted]) {
	for _, n := range ns {
		what := n.Is.Text
		if n.Is.Position != "" {
			what = n.Is.Position + ": " + what
		}
		b.bullet(what, joined(", ", n.Is.Topic, b.stamp(n.Entry), b.fig(n.Is.Photos)))
	}
}

// is reads the body of an entry.
func is[B any](e job.Entry) (B, bool) {
	var v B
	return v, json.Unmarshal(e.Body, &v) == nil
}

func (b *book) received() {
	b.part("As received")
	b.facts("Complaint", b.v.Opened.Symptoms)
	b.came()
	ns := b.notes("received")
	b.noteList(ns)
	var rows []row
	if b.v.Box != nil {
		for _, m := range b.v.Box.Measures {
			if rs := b.v.ReadingsOf(m.Name); m.Before && len(rs) > 0 {
				rows = append(rows, row{b.measureCell(m), b.readingCell(m, rs[0]), b.limitCell(m), b.verdictCell(m, rs[0])})
			}
		}
	}
	if len(rows) > 0 {
		b.under("Measured before it was taken apart")
		b.table([]col{{"Reading", 4}, {"As found", 5}, {"Limit", 3.4}, {"Verdict", 1.9}}, rows)
	}
	if len(rows) == 0 && len(ns)+len(b.v.Received) == 0 && b.v.Opened.Symptoms == "" {
		b.para(body, "Nothing was recorded of the unit as it came in.")
	}
}

// strip is the record of how each part came off.
func (b *book) strip() {
	var rows []row
	for _, p := range b.places() {
		sp := b.v.Spots[p.ID]
		if sp == nil || sp.Off == nil {
			continue
		}
		o := sp.Off.Is
		count := ""
		if o.Count > 0 && o.Count != p.Count {
			count = fmt.Sprintf("%d found, the file has %d", o.Count, p.Count)
		}
		thick := ""
		if len(o.Thick) > 0 {
			thick = "pack " + strings.Join(o.Thick, " + ")
		}
		rows = append(rows, row{
			in(cell, p.ID, b.fig(o.Photos)), in(cell, named(p), count, thick), in(cell, o.Faced, o.Marks),
			in(cell, o.Moved), in(cell, o.Damage), in(cell, o.Place, b.stamp(sp.Off.Entry)),
		})
	}
	b.part("Taking apart")
	if len(rows) == 0 {
		b.para(body, "No part was recorded as taken off.")
		return
	}
	b.para(note, "How each part came off: the way it faced and its marks, what it took to move it, and what was seen on it.")
	b.table([]col{{"Pos", 1.6}, {"Part", 4.6}, {"Faced, marks", 4.4}, {"Moved by", 1.8}, {"Seen", 3.4}, {"Put into", 4.4}}, rows)
}

// named is the name of a position with its count.
func named(p *gearbox.Position) string {
	n := p.Name
	if n == "" {
		n = "(no name)"
	}
	if p.Count > 1 {
		n += fmt.Sprintf(" × %d", p.Count)
	}
	return n
}
