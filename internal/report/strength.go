package report

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/draw"
	"endfloat/internal/strength"
)

// strength is what every part carries with the strongest other engine, beside the
// unit as its series left the works. Types whose file says nothing of strength have
// no such part.
func (b *book) strength() {
	if b.v.Box == nil || b.v.Box.Strength == nil {
		return
	}
	c, err := strength.Of(b.v.State, "", nil, strength.Options{Draws: strength.UsualDraws, Seed: 1})
	b.part("Can it take the power?")
	if err != nil {
		b.para(body, "Not worked out: "+err.Error()+".")
		return
	}
	s := c.Sheet()
	b.para(strong, s.Verdict)
	b.para(note, s.Caution)
	b.facts(
		sentence(s.Before.Name), fmt.Sprintf("%s; weakest: %s, reserve %.2f", s.Before.Engine, s.Before.Weakest, s.Before.Reserve),
		s.After.Name, fmt.Sprintf("%s; weakest: %s, reserve %.2f", s.After.Engine, s.After.Weakest, s.After.Reserve),
		"Torque", fmt.Sprintf("%.2f times, at most %.0f N·m at the input", s.Ratio, s.After.Torque),
		"Life wanted", fmt.Sprintf("%.0f h of the duty in the gearbox file", s.Wanted),
	)
	b.figure(draw.WeakestChart(c), 0.72)
	b.linkTable(s)
	b.bearingOn(s)
	b.strengthPictures(c)
	b.restsOn(s)
}

// figure puts a drawing in the middle of the page at k times its size.
func (b *book) figure(d *draw.Drawing, k float64) {
	k = min(k, b.wide()/d.W)
	b.need(d.H*k + 4)
	b.put(d, b.left+(b.wide()-d.W*k)/2, b.y+1, k)
	b.y += d.H*k + 4
}

func (b *book) linkTable(s strength.Sheet) {
	say := func(v *float64) string {
		if v == nil {
			return "–"
		}
		return fmt.Sprintf("%.2f", *v)
	}
	b.under("Every part, the weakest first")
	var rows []row
	for i, l := range s.Lines {
		spread, life := "", ""
		if l.Low != nil && l.High != nil {
			spread = say(l.Low) + " to " + say(l.High)
		}
		if l.LifeSpread != "" {
			life = "draws: " + l.LifeSpread
		}
		was := ""
		if l.LifeBefore != "" {
			was = "was " + l.LifeBefore
		}
		rows = append(rows, row{in(small, fmt.Sprint(i+1)), in(cell, sentence(l.Name), l.Verdict), in(cell, l.Load, "speed "+l.Gear), in(cell, say(l.ReserveBefore)), in(cell, say(l.Reserve), spread), in(cell, l.Life, was, life), in(small, l.Says)})
	}
	b.table([]col{{"No", 0.7}, {"Part", 4.6}, {"Load", 3.4}, {"Reserve before", 1.6}, {"Now", 2}, {"Life", 3}, {"Compared", 4}}, rows)
}

func (b *book) bearingOn(s strength.Sheet) {
	b.under("What would change the answer")
	for _, t := range s.Changes {
		b.bullet(sentence(t), "")
	}
	if len(s.Missing) > 0 {
		b.under("Not rated")
		for _, t := range s.Missing {
			b.bullet(sentence(t), "")
		}
	}
}

func (b *book) strengthPictures(c *strength.Comparison) {
	const k = 0.72
	ds := []*draw.Drawing{}
	if r := c.After.Road; r != nil {
		ds = append(ds, draw.RoadDiagram(r), draw.RoadSawtooth(r))
	}
	for _, sl := range c.After.Shafts {
		ds = append(ds, draw.ShaftLoads(sl))
	}
	for len(ds) > 0 {
		n, w, h := 0, 0.0, 0.0
		for n < len(ds) && (n == 0 || w+ds[n].W*k <= b.wide()) {
			w += ds[n].W*k + 5
			h = max(h, ds[n].H*k)
			n++
		}
		b.need(h + 10)
		x := b.left
		for _, d := range ds[:n] {
			b.text(small, x, b.y+3, clean(d.Title))
			b.put(d, x, b.y+4.5, k)
			x += d.W*k + 5
		}
		b.y += h + 9
		ds = ds[n:]
	}
}

// restsOn says what is fact and what is assumed, each once, and on which lines of
// the table it bears.
func (b *book) restsOn(s strength.Sheet) {
	b.under("What the lines rest on")
	b.para(body, fmt.Sprintf("%d facts and %d assumptions. %s", s.Facts, s.Assumed, s.Assuming))
	var order []strength.Ground
	of := map[strength.Ground][]string{}
	add := func(line string, gs []strength.Ground) {
		for _, g := range gs {
			if of[g] == nil {
				order = append(order, g)
			}
			if !slices.Contains(of[g], line) {
				of[g] = append(of[g], line)
			}
		}
	}
	add("all", s.Doubts)
	for i, l := range s.Lines {
		add(fmt.Sprint(i+1), l.Grounds)
	}
	for _, fact := range []bool{true, false} {
		what := "Assumed"
		if fact {
			what = "Fact"
		}
		var rows []row
		for _, g := range order {
			if g.Fact == fact {
				rows = append(rows, row{in(tiny, sentence(g.Says)+" ("+g.From+")"), in(tiny, strings.Join(of[g], ", "))})
			}
		}
		b.table([]col{{what, 11}, {"For line", 5}}, rows)
	}
}
