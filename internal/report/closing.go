package report

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/setup"
)

// tests are the proofs before closing and the tests after it, the last of each
// with its limit and result, and the notes of what was sealed with.
func (b *book) tests() {
	ns, es := b.notes("tests"), b.live("tested")
	if len(ns)+len(es) == 0 {
		return
	}
	b.part("Proofs and tests, sealants and lubricants")
	var rows []row
	for i, e := range es {
		t, ok := is[job.Tested](e)
		if !ok {
			continue
		}
		again := slices.ContainsFunc(es[i+1:], func(later job.Entry) bool {
			l, ok := is[job.Tested](later)
			return ok && l.Test == t.Test
		})
		verdict := "good"
		switch {
		case !t.Good:
			verdict = "not good"
		case again:
			verdict = "good, done again later"
		}
		if !t.Good && again {
			verdict = "not good, done again later"
		}
		witness := ""
		if t.Witness != "" {
			witness = "witness " + t.Witness
		}
		rows = append(rows, row{in(bold, t.Test), in(cell, sentence(t.Says), t.Working, t.Note, b.fig(t.Photos)), in(cell, t.Wanted), in(cell, verdict, witness, b.stamp(e))})
	}
	if len(rows) > 0 {
		b.table([]col{{"Test", 1.6}, {"Result", 5}, {"Wanted", 4}, {"So", 3}}, rows)
	}
	b.interlock()
	b.sealed()
	b.noteList(ns)
}

// deviations are what was passed with a reason, and what a person answered.
func (b *book) deviations() {
	b.part("Deviations, overrides and answers")
	n := 0
	for _, e := range b.live("allowed") {
		if a, ok := is[job.Allowed](e); ok {
			witness := ""
			if a.Witness != "" {
				witness = "witness " + a.Witness
			}
			b.bullet(sentence(b.holdWords(a.Hold))+". Passed because: "+a.Why, joined(", ", witness, b.stamp(e)))
			n++
		}
	}
	for _, e := range b.live("answered") {
		if a, ok := is[job.Answered](e); ok {
			b.bullet(fmt.Sprintf("Asked, never assumed: %s %s. %s", a.Question, a.Answer, a.Why), b.stamp(e))
			n++
		}
	}
	ns := b.notes("deviations")
	b.noteList(ns)
	if n+len(ns) == 0 {
		b.para(body, "None: nothing was passed by an override.")
	}
}

// live are the entries of a kind that are not struck.
func (b *book) live(kind string) []job.Entry {
	var out []job.Entry
	for _, e := range b.v.Entries {
		if _, gone := b.v.Struck[e.ID]; e.Kind == kind && !gone {
			out = append(out, e)
		}
	}
	return out
}

// holdWords says what a passed hold was about: the finding itself while it is
// still true, else the words of its key.
func (b *book) holdWords(key string) string {
	for _, f := range b.v.Findings {
		if f.Key == key || "hold/"+f.Key == key {
			return f.Says
		}
	}
	return strings.ReplaceAll(strings.TrimPrefix(key, "hold/"), "/", " ")
}

// open lists what a person should still know: no book hides it.
func (b *book) open() {
	b.part("Open points")
	n := 0
	for _, f := range openPoints(b.v) {
		mend := ""
		if f.Mend != "" {
			mend = "Way out: " + f.Mend + "."
		}
		b.bullet(sentence(f.Says), joined(". ", f.Rests, mend))
		n++
	}
	if out := b.notIn(); len(out) > 0 {
		b.bullet(plural(len(out), "position has", "positions have")+" no piece in the unit: "+strings.Join(out, ", "), "")
		n++
	}
	if b.v.Closed == nil && len(b.v.Build) > 0 {
		b.bullet(fmt.Sprintf("The unit is not finished: %s still to be done.", plural(len(b.v.Build), "step is", "steps are")), "")
		n++
	}
	if n == 0 {
		b.para(body, "None.")
	}
}

// openPoints are the findings that stand open, each said once; what is in but
// worn is for next time, not open.
func openPoints(v *plan.View) []plan.Finding {
	var out []plan.Finding
	said := map[string]bool{}
	for _, f := range v.Findings {
		if f.Allowed != "" || said[f.Says] || worn(v, f) {
			continue
		}
		said[f.Says] = true
		out = append(out, f)
	}
	return out
}

// worn reports a finding about a part that is in its limits but should be
// renewed next time.
func worn(v *plan.View, f plan.Finding) bool {
	if f.Kind != plan.Verdict || v.Box == nil {
		return false
	}
	m, ok := v.Box.Measure(f.About)
	rs := v.ReadingsOf(f.About)
	if !ok || len(rs) == 0 {
		return false
	}
	j := setup.Judge(v.State, m, rs[len(rs)-1])
	return j.Plan && j.Verdict != uncert.Out && j.Verdict != uncert.Close && !j.SpreadOut
}

// notIn are the positions whose part came off and where nothing is now.
func (b *book) notIn() []string {
	var out []string
	for _, p := range b.places() {
		if sp := b.v.Spots[p.ID]; sp != nil && sp.Off != nil && len(b.v.At[p.ID]) == 0 {
			out = append(out, p.Label())
		}
	}
	return out
}

// struck lists the entries taken out of account. They stay in the book.
func (b *book) struck() {
	b.part("Struck entries")
	var rows []row
	for _, e := range b.v.Entries {
		s, gone := b.v.Struck[e.ID]
		if !gone {
			continue
		}
		why := s.Why
		if why == "" {
			why = "no reason was written"
		}
		rows = append(rows, row{in(cell, fmt.Sprint(e.Seq)), in(cell, b.says(e), joined(", ", b.name(e.By), b.day(e.At))), in(cell, why, b.striker(e.ID))})
	}
	if len(rows) == 0 {
		b.para(body, "None.")
		return
	}
	b.para(note, "An entry that was wrong is struck and a better one written. Struck ones count for nothing, and stay readable.")
	b.table([]col{{"Entry", 1.3}, {"It said", 7}, {"Struck because", 5}}, rows)
}

func (b *book) striker(id string) string {
	for _, e := range b.live("struck") {
		if s, ok := is[job.Struck](e); ok && s.Entry == id {
			return b.stamp(e)
		}
	}
	return ""
}

// costs are money and hours, and notes of orders.
func (b *book) costs() {
	ns := b.notes("costs")
	if len(b.v.Costs) == 0 && len(b.v.Orders) == 0 && len(ns) == 0 {
		return
	}
	b.part("Parts, hours and cost")
	b.ordered()
	var rows []row
	for _, e := range b.v.Costs {
		if c, ok := is[job.Cost](e); ok && c.Money != "" {
			rows = append(rows, row{in(tiny, c.What), in(tiny, c.Stage), in(tiny, c.Money), in(tiny, b.stamp(e))})
		}
	}
	if len(rows) > 0 {
		b.under("Other costs")
		b.table([]col{{"What", 5.4}, {"Stage", 2.5}, {"Money", 2}, {"Recorded", 4}}, rows)
	}
	b.stageHours()
	b.para(body, b.sums())
	b.noteList(ns)
	for _, e := range b.live("sent back") {
		b.bullet(sentence(b.says(e)), b.stamp(e))
	}
	b.oldParts()
}

// sums adds up hours, and money where all of it is plain figures of one currency.
func (b *book) sums() string {
	var hours, money tally
	for _, o := range b.v.Orders {
		money.add(o.Price)
	}
	for _, e := range b.v.Costs {
		if c, ok := is[job.Cost](e); ok {
			hours.add(c.Hours)
			money.add(c.Money)
		}
	}
	return joined("; ", hours.say("Hours in all", 1), money.say("Money in all", 2))
}

// handover is what goes out of the door with the unit.
func (b *book) handover() {
	b.part("Hand-over")
	if c := b.v.Closed; c != nil {
		b.facts("Handed to", c.To, "Oil", oilState(c.Oil), "Note", c.Note)
	} else {
		b.para(body, "The unit has not been handed over. Whether there is oil in it is not recorded.")
	}
	b.noteList(b.notes("hand-over"))
	b.goesWithIt()
	b.cautions()
}

// goesWithIt is what whoever fits and runs the unit is told.
func (b *book) goesWithIt() {
	if b.v.Box == nil || b.v.Box.Closing == nil {
		return
	}
	c := b.v.Box.Closing
	for _, part := range []struct {
		name string
		says []string
	}{{"For whoever puts it in", c.Fitting}, {"Running in", c.BreakIn}} {
		if len(part.says) == 0 {
			continue
		}
		b.under(part.name)
		for _, s := range part.says {
			b.bullet(sentence(s), "")
		}
	}
	if c.Warranty != "" {
		b.under("Warranty")
		b.para(body, sentence(c.Warranty))
	}
}

// cautions are those that the gearbox file names at its positions.
func (b *book) cautions() {
	keys := []string{"lift", "first run"}
	for _, p := range b.places() {
		for _, k := range p.Care {
			if !slices.Contains(keys, k) {
				keys = append(keys, k)
			}
		}
	}
	slices.Sort(keys)
	b.under("Cautions")
	for _, k := range keys {
		if t, ok := gearbox.Caution(k); ok {
			b.bullet(t, "")
		}
	}
	b.para(strong, gearbox.Defers)
}
