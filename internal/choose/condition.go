package choose

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// condition is what inspection says of a piece.
type condition struct {
	out         []string // readings that are out, in words
	plan, close bool
	read        bool
	dims        map[string]float64 // lengths measured on it
}

// conditions reads all books: the last reading of each thing on each piece
// counts. A check that is about several parts counts for the first of them.
func conditions(states []*job.State) map[string]condition {
	out := map[string]condition{}
	for _, s := range states {
		for _, what := range s.Box.Measures {
			if what.Before || len(what.Of) == 0 {
				continue
			}
			last := map[string]job.Reading{}
			var tags []string
			for _, r := range s.ReadingsOf(what.Name) {
				tag := r.Of[what.Of[0]]
				if tag == "" || strings.Contains(tag, " ") {
					continue
				}
				if _, had := last[tag]; !had {
					tags = append(tags, tag)
				}
				last[tag] = r
			}
			for _, tag := range tags {
				out[tag] = out[tag].with(s, what, tag, last[tag])
			}
		}
	}
	return out
}

func (c condition) with(s *job.State, what *gearbox.Measure, tag string, r job.Reading) condition {
	j := setup.Judge(s, what, r)
	c.read = c.read || what.Check
	switch {
	case j.Verdict == uncert.Out || j.SpreadOut:
		c.out = append(c.out, fmt.Sprintf("%s of %s is %s, wanted %s: out", what.Name, tag, j.Text, j.Wanted))
	case j.Verdict == uncert.Close:
		c.close = true
	}
	c.plan = c.plan || j.Plan
	if _, dim, ok := strings.Cut(what.Name, " "); ok && what.Check && slices.Contains([]string{"width", "bore", "od"}, dim) {
		if c.dims == nil {
			c.dims = map[string]float64{}
		}
		c.dims[dim] = j.Mean.Value
	}
	return c
}

// doubt is what a piece is worse by than a new one.
func (m *Model) doubt(tag string, p *gearbox.Position, used bool) Money {
	c, l := m.seen[tag], m.in.Labour
	var d Money
	if c.plan {
		d += l.Worn
	}
	if c.close {
		d += l.Close
	}
	if used && len(p.Checks) > 0 && !c.read {
		d += l.Unread
	}
	return d
}
