package shop

import (
	"endfloat/calc/bevel"
	"endfloat/internal/job"
)

// pattern completes a try of the contact pattern: the depth and the backlash it
// was rolled at, and the move it asks for.
func (o *order) pattern(b job.Pattern) error {
	if !o.desk.HasCrown() {
		return wrap(ErrInvalid, "the gearbox file of this job names no crown wheel and pinion; add \"crown wheel and pinion\" to it")
	}
	a, err := bevel.Move(markOf(b.Drive), markOf(b.Coast))
	if err != nil {
		return wrap(ErrInvalid, "pattern: %v", err)
	}
	opposed := b.Drive.Height != b.Coast.Height && b.Drive.Height != string(bevel.Mid) && b.Coast.Height != string(bevel.Mid) ||
		b.Drive.End != b.Coast.End && b.Drive.End != string(bevel.Centre) && b.Coast.End != string(bevel.Centre)
	b.Next, b.Good = a.Move, a.Move == "" && !opposed
	if a.Move == "" {
		b.Next = a.Why
	} else if a.Restore != "" {
		b.Next += "; " + a.Restore
	}
	b.Depth, b.Backlash = nil, nil
	for _, r := range o.desk.Settings {
		if !r.Known {
			continue
		}
		v := r.Value
		switch {
		case r.Etched != "":
			b.Depth = &v
		case r.Setting.Factor.Known():
			b.Backlash = &v
		}
	}
	o.body = b
	return nil
}

func markOf(c job.Contact) bevel.Mark {
	return bevel.Mark{Height: bevel.Height(c.Height), End: bevel.End(c.End)}
}

// BestPattern is the index of the best try so far, −1 without any: a good one,
// the latest of several; else the one whose patches lie nearest to mid height
// and to the stretch from toe to centre.
func (d *Desk) BestPattern() int {
	best := -1
	for i := range d.Patterns {
		if best < 0 || offPattern(d.Patterns[i].Is) <= offPattern(d.Patterns[best].Is) {
			best = i
		}
	}
	return best
}

func offPattern(p job.Pattern) int {
	if p.Good {
		return 0
	}
	n := 1
	for _, c := range []job.Contact{p.Drive, p.Coast} {
		if c.Height != string(bevel.Mid) {
			n += 2
		}
		if c.End == string(bevel.Heel) {
			n += 2
		}
	}
	if p.Drive != p.Coast {
		n++
	}
	return n
}

// Patterns are the words for heights and ends, in the order they are drawn.
var (
	PatternHeights = []string{string(bevel.High), string(bevel.Mid), string(bevel.Low)}
	PatternEnds    = []string{string(bevel.Toe), string(bevel.Centre), string(bevel.Heel)}
)

// HasCrown reports whether the job's gearbox has a crown wheel to mark.
func (d *Desk) HasCrown() bool { return d.Box != nil && d.Box.Final != nil }
