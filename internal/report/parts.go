package report

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/setup"
)

// came is the state in which the unit came in, as it was written down then.
func (b *book) came() {
	for _, r := range b.v.Received {
		x := r.Is
		b.facts("Numbers, plates", x.Marks, "With it", x.Complete, "Missing, broken", x.Missing, "Oil", x.Oil, "Debris", x.Debris, "Found loose", x.Loose)
		var rows []row
		for _, k := range sorted(x.Gears) {
			rows = append(rows, row{in(bold, k), in(cell, x.Gears[k])})
		}
		if len(rows) > 0 {
			b.under("Speed by speed, as the owner told it")
			b.table([]col{{"Speed", 1.4}, {"What is wrong in it", 10}}, rows)
		}
		var sides []string
		for _, k := range sorted(x.Sides) {
			if n := b.figs[x.Sides[k]]; n > 0 {
				sides = append(sides, fmt.Sprintf("%s photo %d", k, n))
			}
		}
		b.para(note, joined(", ", strings.Join(sides, ", "), b.stamp(r.Entry)))
	}
}

func sorted(m map[string]string) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// patterns are the tries of the contact pattern, each drawn with the depth and
// backlash that it was rolled at.
func (b *book) patterns() {
	if len(b.v.Patterns) == 0 {
		return
	}
	b.under("Contact patterns, as they were rolled")
	var rows []row
	for i, p := range b.v.Patterns {
		x := p.Is
		at := func(v *float64) string {
			if v == nil {
				return "not known"
			}
			return setup.Text(*v, 0, mm)
		}
		next := x.Next
		if x.Good {
			next = "good"
		}
		rows = append(rows, row{in(bold, fmt.Sprint(i+1)), in(cell, x.Drive.Height+", "+x.Drive.End), in(cell, x.Coast.Height+", "+x.Coast.End),
			in(cell, at(x.Depth)), in(cell, at(x.Backlash)), in(cell, next, x.Note, joined(", ", b.stamp(p.Entry), b.fig(x.Photos)))})
	}
	b.table([]col{{"Try", 0.9}, {"Drive flank", 2}, {"Coast flank", 2}, {"Depth", 2}, {"Backlash", 2}, {"What it asks for", 5}}, rows)
	last := b.v.Patterns[len(b.v.Patterns)-1].Is
	x, tall := b.left, 0.0
	ds := []*draw.Drawing{draw.Contact("drive", last.Drive.Height, last.Drive.End), draw.Contact("coast", last.Coast.Height, last.Coast.End)}
	const k = 0.5
	for _, d := range ds {
		tall = max(tall, d.H*k)
	}
	b.need(tall + 4)
	for _, d := range ds {
		b.put(d, x, b.y, k)
		x += d.W*k + 8
	}
	b.y += tall + 3
}

// interlock is the matrix of the last interlock test: which rail was in, and
// what each other one did.
func (b *book) interlock() {
	t := b.lastTest(plan.Interlock)
	if t == nil || len(t.Values) == 0 || b.v.Box == nil {
		return
	}
	name := func(id string) string {
		if p, ok := b.v.Box.Position(id); ok {
			return p.Label()
		}
		return id
	}
	by := map[string][]string{}
	var ins []string
	for _, k := range sorted(t.Values) {
		a, other, ok := strings.Cut(k, " in, ")
		if !ok {
			continue
		}
		if by[a] == nil {
			ins = append(ins, a)
		}
		by[a] = append(by[a], name(other)+": "+t.Values[k])
	}
	var rows []row
	for _, a := range ins {
		rows = append(rows, row{in(cell, name(a)), in(cell, strings.Join(by[a], "; "))})
	}
	if len(rows) > 0 {
		b.under("Interlock, rail by rail")
		b.table([]col{{"In gear", 4}, {"The others", 10}}, rows)
	}
}

// lastTest is the last test of a name that is not struck; nil for none.
func (b *book) lastTest(name string) *job.Tested {
	for _, e := range slices.Backward(b.live("tested")) {
		if t, ok := is[job.Tested](e); ok && t.Test == name {
			return &t
		}
	}
	return nil
}

// sealed lists what it was sealed and filled with, each with its marks or batch.
func (b *book) sealed() {
	var rows []row
	for _, p := range b.places() {
		if !seals(p) {
			continue
		}
		for _, t := range b.v.At[p.ID] {
			pc := b.v.Pieces[t]
			if pc == nil {
				continue
			}
			from := pc.Origin
			if from == b.v.Opened.Unit {
				from = "its own"
			}
			rows = append(rows, row{in(cell, p.Label()), in(cell, t, pc.Variant), in(cell, from), in(cell, markWords(pc.Marks))})
		}
	}
	if t := b.lastTest(plan.OilFill); t != nil {
		rows = append(rows, row{in(cell, "Oil"), in(cell, joined(", ", t.Values["oil"], t.Values["volume"])), nil, in(cell, t.Values["batch"])})
	}
	if len(rows) > 0 {
		b.under("Seals, gaskets and oil, with their batches")
		b.table([]col{{"Where", 4.6}, {"What", 4}, {"From", 3}, {"Batch, marks", 3}}, rows)
	}
}

func seals(p *gearbox.Position) bool {
	return slices.Contains([]string{"seal", "gasket", "o-ring", "sealant"}, strings.ToLower(p.Kind)) || strings.HasPrefix(strings.ToLower(p.Name), "o-ring")
}

// nextTime is for the builder's own later self: what was in but worn, how long
// it took, and what was noted for the next time.
func (b *book) nextTime() {
	b.part("For the next time")
	n := 0
	for _, f := range b.v.Findings {
		if worn(b.v, f) {
			b.bullet(sentence(f.Says), f.Rests)
			n++
		}
	}
	if n == 0 {
		b.para(body, "Nothing that was measured, and is in it now, is near its limit.")
	}
	var all tally
	for _, e := range b.v.Costs {
		if c, ok := is[job.Cost](e); ok {
			all.add(c.Hours)
		}
	}
	b.para(body, joined(" ", all.say("Time it took, to be reckoned with again", 1)))
	b.hardToMove()
	for _, x := range b.notes("hand-over") {
		if strings.Contains(strings.ToLower(x.Is.Topic), "next time") {
			b.bullet(x.Is.Text, b.stamp(x.Entry))
		}
	}
}

// hardToMove is what took more than a hand or a wrench to come off.
func (b *book) hardToMove() {
	by := map[string][]string{}
	for _, p := range b.places() {
		if sp := b.v.Spots[p.ID]; sp != nil && sp.Off != nil {
			if m := sp.Off.Is.Moved; m != "" && m != "hand" && m != "wrench" {
				by[m] = append(by[m], p.ID)
			}
		}
	}
	var says []string
	for m := range by {
		says = append(says, m+": "+strings.Join(by[m], ", "))
	}
	slices.Sort(says)
	if len(says) > 0 {
		b.para(body, "What came off only by "+strings.Join(says, "; by ")+".")
	}
}

// stageHours adds up the hours by stage, from the book alone.
func (b *book) stageHours() {
	var a Account
	for _, e := range b.v.Costs {
		if c, ok := is[job.Cost](e); ok && c.Hours != "" {
			a.Spend(c.Stage, c.Hours)
		}
	}
	if len(a.Stages) == 0 {
		return
	}
	var rows []row
	for _, s := range a.Stages {
		rows = append(rows, row{in(tiny, sentence(s.Name)), in(tiny, fmt.Sprintf("%.4g h", s.Hours))})
	}
	rows = append(rows, row{in(face{true, tiny.size, tiny.lead, 0}, "In all"), in(face{true, tiny.size, tiny.lead, 0}, fmt.Sprintf("%.4g h", a.Hours))})
	b.under("Hours by stage")
	b.table([]col{{"Stage", 5}, {"Hours", 2}, {"", 6}}, rows)
}

// ordered lists the parts that were bought, one line each.
func (b *book) ordered() {
	var rows []row
	for _, o := range b.v.Orders {
		part := o.Position
		if b.v.Box != nil {
			if p, ok := b.v.Box.Position(o.Position); ok {
				part = p.Label()
			}
		}
		rows = append(rows, row{in(tiny, joined(", ", part, o.Variant)), in(tiny, o.Tag), in(tiny, joined(" ", o.Supplier, o.Reference)), in(tiny, b.outcome(o)), in(tiny, o.Price)})
	}
	if len(rows) > 0 {
		b.under("Parts bought")
		b.table([]col{{"Part", 5.4}, {"Tag", 1.6}, {"From", 3.6}, {"Came", 4}, {"Price", 1.8}}, rows)
	}
}

// outcome says what became of what was ordered.
func (b *book) outcome(o *job.Order) string {
	back := ""
	if o.Back != nil {
		back = "one sent back"
	}
	switch {
	case o.Here():
		return joined(", ", b.day(o.Arrived.At), "right", back)
	case o.Wrong():
		return "came wrong"
	case o.Sent():
		return "sent back, another awaited"
	}
	return "awaited"
}
