package plan

import (
	"slices"

	"endfloat/internal/gearbox"
)

// Reach is what must come apart to get at a position.
type Reach struct {
	Off     []*gearbox.Position // on now, in the order in which they come off, the position itself last
	Minutes float64             // to take them off and put them back
	Guessed int                 // positions whose time the file does not give
	New     []*gearbox.Position // one-way parts among them: new ones go back
	Void    []string            // settings that are to be proven again
	Proving float64             // minutes for that
}

// setMinutes is how long it takes to prove a setting. Common practice, no source.
const setMinutes = 40.0

// Reach works out what must come apart to get at a position as the unit stands.
func (v *View) Reach(id string) Reach { return v.reach(id, v.aboard) }

// ReachBuilt works it out for the unit once it is together, as it will be when a
// part that was put back turns out to be bad.
func (v *View) ReachBuilt(id string) Reach {
	return v.reach(id, func(string) bool { return true })
}

func (v *View) reach(id string, on func(id string) bool) Reach {
	var r Reach
	p, ok := v.Box.Position(id)
	if !ok {
		return r
	}
	off := map[string]bool{}
	for _, q := range append(slices.Clone(v.Box.Over(id)), p) {
		if !on(q.ID) {
			continue
		}
		off[q.ID] = true
		r.Off = append(r.Off, q)
		if _, ok := q.Minutes(); !ok {
			r.Guessed++
		}
		r.Minutes += 2 * fitMinutes(q)
		if q.Once {
			r.New = append(r.New, q)
		}
	}
	for _, s := range v.Settings {
		if slices.ContainsFunc(s.Seats(), func(id string) bool { return off[id] }) {
			r.Void = append(r.Void, s.Name)
			r.Proving += setMinutes
		}
	}
	return r
}
