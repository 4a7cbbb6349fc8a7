package strength

import (
	"fmt"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// UsualDraws are those of screens and of the book.
const UsualDraws = 2000

// Of compares a job. Before is the unit as its series left the works, with the engine
// of that series. After is the unit with the pieces chosen for it and the engine of
// another series, against; where against is empty the series with the strongest other
// engine. With another job in its place, both are taken as they are built, each with
// the engine of its own series.
func Of(s *job.State, against string, other *job.State, o Options) (*Comparison, error) {
	if s.Box == nil {
		return nil, fmt.Errorf("no gearbox file is known for this unit; without it nothing can be followed through the gearbox")
	}
	if s.Box.Strength == nil {
		return nil, fmt.Errorf("the gearbox file of %s says nothing of strength; add a part \"strength\" with an engine, a duty and teeth or bearings", s.Box.Name)
	}
	unit := s.Opened.Unit
	if unit == "" {
		unit = "this unit"
	}
	series := s.Opened.Series
	if other != nil {
		if other.Box == nil || other.Box.Name != s.Box.Name {
			return nil, fmt.Errorf("%s is of another type; only units of one type are compared", other.Opened.Unit)
		}
		return Compare(s.Box, Design{other.Opened.Unit + " as built", other.Built(), other.Opened.Series}, Design{unit + " as built", s.Built(), series}, o)
	}
	if against == "" {
		against = strongest(s.Box, series)
	}
	known := false
	for _, e := range s.Box.Strength.Engines {
		known = known || e.Series == against
	}
	if !known {
		return nil, fmt.Errorf("there is no engine of series %q in the gearbox file of %s; there are %s", against, s.Box.Name, strings.Join(engines(s.Box), ", "))
	}
	return Compare(s.Box, Design{"series " + series + " as made", s.Box.As(series), series}, Design{unit + " as built", s.Built(), against}, o)
}

func engines(b *gearbox.Box) (names []string) {
	for _, e := range b.Strength.Engines {
		names = append(names, e.Series)
	}
	return names
}

// strongest is the series with the strongest engine other than that of a series; the
// series itself where there is no other.
func strongest(b *gearbox.Box, but string) string {
	best, power := but, 0.0
	for _, e := range b.Strength.Engines {
		p := 0.0
		for _, c := range e.Curve {
			p = max(p, c.Torque*c.Speed)
		}
		if e.Series != but && p > power {
			best, power = e.Series, p
		}
	}
	return best
}
