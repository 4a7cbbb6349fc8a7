package shop

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/runout"
	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// Saw are the words for what was seen of a part.
var Saw = []string{"good", "plan", "replace", "not sure"}

// The words of a part that was inspected, beside those of Saw.
const (
	Good    = "good"
	Plan    = "plan"
	Replace = "replace"
	Close   = string(uncert.Close)
)

var gravity = map[string]int{"": 0, Good: 1, Plan: 2, Close: 3, Replace: 4}

// LookState is one thing to look at on a part, and what was seen.
type LookState struct {
	gearbox.Look
	Done *job.Done[job.Looked] // the last, nil when it was not looked at
}

// ReadState is one thing to measure on a part, and what was read.
type ReadState struct {
	*gearbox.Measure
	Sets  []job.Reading // all, oldest first, with every repeat
	Last  *job.Reading  // the newest that is still about the piece that is there
	Judge setup.Judged
	Guard float64 // guard band, SI
}

// Inspection is what is known of a part at a position.
type Inspection struct {
	Position *gearbox.Position
	Looks    []LookState
	Reads    []ReadState
	Word     string // good, plan, replace, too close to call; "" when nothing was looked at
	Hangs    string // the number or the look it hangs on
	Open     int    // looks and readings still to be made
	Unwashed bool   // the piece is off and no cleaning of it is in the book
}

// Inspect says how a part stands: every look, every reading, the verdict with its
// guard band after ISO 14253-1, and what that verdict hangs on.
func (d *Desk) Inspect(p *gearbox.Position) Inspection {
	in := Inspection{Position: p}
	margin := math.Inf(1)
	settle := func(word, hangs string, m float64) {
		if g := gravity[word] - gravity[in.Word]; g > 0 || g == 0 && m < margin {
			in.Word, in.Hangs, margin = word, hangs, m
		}
	}
	for _, l := range p.Looks() {
		st := LookState{Look: l, Done: d.LastLook(p.ID, l.At)}
		if st.Done != nil && st.Done.Seq < d.Changed(p.ID) && d.refitted(p.ID) {
			st.Done = nil // of another piece
		}
		in.Looks = append(in.Looks, st)
		if st.Done == nil {
			in.Open++
			continue
		}
		word, hangs := st.Done.Is.Saw, l.At+": "+st.Done.Is.Saw
		if word == "not sure" {
			word = Close
		}
		settle(word, hangs+and(", ", st.Done.Is.Says), math.MaxFloat64)
	}
	for _, m := range d.checks(p) {
		st := d.readState(m)
		in.Reads = append(in.Reads, st)
		if st.Last == nil {
			in.Open++
			continue
		}
		settle(st.Word(), st.Says(), st.margin(d))
	}
	if sp := d.Spots[p.ID]; sp != nil {
		for _, tag := range sp.AsFound {
			if _, inside := d.In(tag); !inside && d.Pieces[tag] != nil && d.Washed(tag) == nil {
				in.Unwashed = true
			}
		}
	}
	return in
}

// refitted reports whether another piece than came in sits at a position.
func (d *Desk) refitted(id string) bool { sp := d.Spots[id]; return sp != nil && sp.Fitted != nil }

func and(before, s string) string {
	if s == "" {
		return ""
	}
	return before + s
}

// checks are the measures that count for a position: its own, and those of the
// file that are about it first.
func (d *Desk) checks(p *gearbox.Position) []*gearbox.Measure {
	out := slices.Clone(p.Checks)
	if d.Box != nil {
		for _, m := range d.Box.Measures {
			if len(m.Of) > 0 && m.Of[0] == p.ID && m.Limit != nil && !m.Before && !slices.Contains(out, m) {
				out = append(out, m)
			}
		}
	}
	return out
}

func (d *Desk) readState(m *gearbox.Measure) ReadState {
	st := ReadState{Measure: m, Sets: d.ReadingsOf(m.Name)}
	for i := len(st.Sets) - 1; i >= 0 && st.Last == nil; i-- {
		if d.Valid(st.Sets[i]) {
			st.Last = &st.Sets[i]
		}
	}
	if st.Last != nil {
		st.Judge = setup.Judge(d.State, m, *st.Last)
		st.Guard = uncert.GuardFactor * st.Judge.Mean.U
	}
	return st
}

// Word is the verdict on a reading in the words of an inspection.
func (st ReadState) Word() string {
	switch {
	case st.Last == nil:
		return ""
	case st.Judge.Verdict == uncert.Out || st.Judge.SpreadOut:
		return Replace
	case st.Judge.Verdict == uncert.Close:
		return Close
	case st.Judge.Plan:
		return Plan
	case st.Judge.Verdict == uncert.In:
		return Good
	}
	return "" // no limit to hold it against
}

// Says is the reading with its doubt, its limit, where that stands, and the guard
// band.
func (st ReadState) Says() string {
	if st.Last == nil {
		return st.Name + ": not read"
	}
	s := st.Name + " " + st.Judge.Text
	if st.Judge.Wanted != "" {
		s += ", wanted " + st.Judge.Wanted
	}
	if st.Judge.From != "" {
		s += " (" + st.Judge.From + ")"
	}
	if st.Guard > 0 && st.Judge.Wanted != "" {
		s += ", guard band " + setup.Text(st.Guard, 0, st.Unit)
	}
	return s
}

// margin is how far a reading lies from the nearer limit, in guard bands.
func (st ReadState) margin(d *Desk) float64 {
	if st.Limit == nil {
		return math.Inf(1)
	}
	lo, hi, hasLo, hasHi := st.Limit.Band.At(d.Built)
	m := math.Inf(1)
	if hasLo {
		m = min(m, st.Judge.Mean.Value-lo)
	}
	if hasHi {
		m = min(m, hi-st.Judge.Mean.Value)
	}
	return m / max(st.Guard, 1e-9)
}

// Inspections are all positions with something to look at or measure, in the order
// of the gearbox file.
func (d *Desk) Inspections() []Inspection {
	var out []Inspection
	if d.Box == nil {
		return nil
	}
	for _, p := range d.Box.All() {
		if in := d.Inspect(p); len(in.Looks)+len(in.Reads) > 0 {
			out = append(out, in)
		}
	}
	return out
}

// LookAt records what was seen of a part for several things at once.
func (sh *Shop) LookAt(ctx context.Context, by By, book string, seen []job.Looked) (*Desk, error) {
	if len(seen) == 0 {
		return nil, wrap(ErrInvalid, "nothing was said; answer what you looked at")
	}
	var d *Desk
	for i, b := range seen {
		var err error
		if d, err = sh.Record(ctx, by.Nth(i), book, b); err != nil {
			return nil, err
		}
	}
	return d, nil
}

func (o *order) looked(b job.Looked) error {
	if o.desk.Spots[b.Position] == nil || !o.desk.Spots[b.Position].Unlisted {
		if err := o.position(b.Position); err != nil {
			return err
		}
	}
	if err := need(b.At, "look", "say what was looked at"); err != nil {
		return err
	}
	if !slices.Contains(Saw, b.Saw) {
		return wrap(ErrInvalid, "what was seen is %q; say %s", b.Saw, strings.Join(Saw, ", "))
	}
	return o.shown(b.Photos)
}

// swing works out the run-out that a dial shows in one turn: the largest reading
// less the smallest. An error that all readings of the dial share falls out of it.
func swing(b *job.Read, kind unit.Kind, def unit.Unit) error {
	if kind != unit.KindLength {
		return wrap(ErrInvalid, "%s is no length: a dial round a turn reads lengths", b.What)
	}
	wave, err := dial(b.Dial, def, b.U)
	if err != nil {
		return wrap(ErrInvalid, "%s: %v", b.What, err)
	}
	b.Values = []string{fmt.Sprintf("%.4g mm", float64(wave.RunOut/unit.Millimetre))}
	b.U, b.Common = b.U*math.Sqrt(2*(1-b.Common*b.Common)), 0
	return nil
}

// dial reads a dial once round a part, as typed.
func dial(typed []string, def unit.Unit, u float64) (runout.Wave, error) {
	if def.Factor == 0 {
		def = mmOf()
	}
	var rs []unit.Length
	for i, text := range typed {
		q, err := unit.Parse(unit.Undress(text), unit.KindLength, def)
		if err != nil {
			return runout.Wave{}, fmt.Errorf("place %d: %w", i+1, err)
		}
		if math.Abs(q.SI) > 0.05 {
			return runout.Wave{}, fmt.Errorf("place %d: %s is more than a dial shows; is the unit right?", i+1, text)
		}
		rs = append(rs, unit.Length(q.SI))
	}
	wave, err := runout.Fit(rs, unit.Length(u))
	if err != nil {
		return wave, fmt.Errorf("%s", strings.TrimPrefix(err.Error(), "runout: "))
	}
	return wave, nil
}

// DialOf is what a dial round a turn said, false where a reading has none.
func (d *Desk) DialOf(r job.Reading) (runout.Wave, bool) {
	if len(r.Is.Dial) == 0 {
		return runout.Wave{}, false
	}
	def := mmOf()
	if in, ok := d.Stores.Instruments[r.Is.With]; ok {
		if u, ok := unit.Find(in.Unit, unit.KindLength); ok {
			def = u
		}
	}
	w, err := dial(r.Is.Dial, def, r.Is.U)
	return w, err == nil
}

// RunOutOf is the name under which the run-out of a part is read.
func (d *Desk) RunOutOf(p *gearbox.Position) string {
	for _, m := range d.checks(p) {
		if strings.Contains(m.Name, "run-out") {
			return m.Name
		}
	}
	return cmp.Or(p.ID, p.Name) + " run-out"
}
