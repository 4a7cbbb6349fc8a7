// Package plan says what can be done next at a job and what each other step
// waits for, and what a person should know of it now: findings. Both are
// derived from the gearbox file and the book each time; nothing here is stored.
package plan

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// Step is one thing to do.
type Step struct {
	Do       string // "take off", "decide", "heat", "fit", "torque", "lock", "set", "answer", "test"
	Position *gearbox.Position
	Setting  string
	Test     string // name of a test
	Title    string
	Waits    []string // what must come first, in words; none = can be done now
	Care     []string // cautions at this step
	Minutes  float64  // that it takes, the file's or what is usual
	People   int      // that it needs
	Only     string   // role that may do it, "" = anybody
}

// Now reports whether nothing stands before the step.
func (s Step) Now() bool { return len(s.Waits) == 0 }

// View is a job with what is derived from it: worked out once for a page.
type View struct {
	*job.State
	Settings []setup.Result
	Built    gearbox.Built
	Findings []Finding
	Strip    []Step // what can still come off, in order
	Build    []Step // what is still to do to build it up, in order

	tests   func() []Test
	arrived func() []*job.Piece
}

// Of derives everything for a job.
func Of(s *job.State) *View {
	v := &View{State: s, Settings: setup.All(s), Built: s.Built()}
	v.tests, v.arrived = sync.OnceValue(v.allTests), sync.OnceValue(v.allArrived)
	v.Findings = v.findings()
	if s.Box != nil && s.Closed == nil {
		v.Strip = v.strip()
		v.Build = v.build()
	}
	return v
}

// Arc is where the job is: receive, strip, inspect, build, set, close or handed over.
func (v *View) Arc() string {
	off, fitted, open := 0, 0, 0
	for _, sp := range v.Spots {
		if sp.Off != nil {
			off++
		}
		if sp.Fitted != nil {
			fitted++
		}
	}
	for _, st := range v.Build {
		if st.Do == "set" {
			open++
		}
	}
	switch {
	case v.Closed != nil:
		return "handed over"
	case v.Opened.Donor:
		return "donor"
	case off == 0:
		return "received"
	case fitted == 0 && len(v.Strip) > 0:
		return "stripping"
	case fitted == 0:
		return "inspecting"
	case len(v.Build) == 0:
		return "ready to close"
	case open > 0 && fitted*3 > off:
		return "setting"
	}
	return "building"
}

// Next is the first few steps that can be done now.
func (v *View) Next(n int) []Step {
	steps := v.Build
	if a := v.Arc(); a == "received" || a == "stripping" {
		steps = v.Strip
	}
	var out []Step
	for _, s := range steps {
		if s.Now() && len(out) < n {
			out = append(out, s)
		}
	}
	return out
}

// Waiting is the first few steps that wait, with what they wait for.
func (v *View) Waiting(n int) []Step {
	var out []Step
	for _, s := range v.Build {
		if !s.Now() && len(out) < n {
			out = append(out, s)
		}
	}
	return out
}

// aboard reports whether a position has its piece.
func (v *View) aboard(id string) bool { return len(v.At[id]) > 0 }

// untouched reports whether a position still holds what came in with the unit.
func (v *View) untouched(id string) bool {
	sp := v.Spots[id]
	return v.aboard(id) && (sp == nil || sp.Off == nil && sp.Fitted == nil)
}

// strip lists what is still on as found, outermost first.
func (v *View) strip() []Step {
	order := v.Box.Order()
	onto := map[string][]*gearbox.Position{} // what lies directly over each
	for _, p := range order {
		for _, q := range v.Box.Under(p.ID) {
			onto[q.ID] = append(onto[q.ID], p)
		}
	}
	var out []Step
	for i := len(order) - 1; i >= 0; i-- {
		p := order[i]
		if !v.untouched(p.ID) {
			continue
		}
		st := Step{Do: "take off", Position: p, Title: "Take off " + p.Label(), Care: p.Care}
		for _, q := range onto[p.ID] {
			if v.untouched(q.ID) {
				st.Waits = append(st.Waits, q.Label()+" comes off first")
			}
		}
		out = append(out, st)
	}
	return out
}

// build lists what is still to be done to bring the unit together again.
func (v *View) build() []Step {
	var out []Step
	for _, p := range v.Box.Order() {
		sp := v.Spots[p.ID]
		switch {
		case sp == nil || v.untouched(p.ID):
		case !v.aboard(p.ID):
			if sp.Decided == nil && sp.Off != nil && p.Seat == nil {
				out = append(out, Step{Do: "decide", Position: p, Title: "Decide on " + p.Label(), Minutes: 3, People: 1})
			}
			if p.HeatTo.Known() {
				if st, cold := v.heatStep(p); cold {
					out = append(out, st)
				}
			}
			out = append(out, Step{Do: "fit", Position: p, Title: "Fit " + p.Label(), Waits: v.fitWaits(p, false), Care: p.Care,
				Minutes: fitMinutes(p), People: p.People, Only: p.Only})
			if p.Fastening() {
				out = append(out, v.torqueStep(p, []string{p.Label() + " is not on yet"}))
			}
		default:
			out = append(out, v.fastenSteps(p, sp)...)
		}
	}
	return append(append(out, v.setSteps()...), v.testSteps(len(out) == 0)...)
}

// fitMinutes is how long a part takes to fit.
func fitMinutes(p *gearbox.Position) float64 {
	if m, ok := p.Minutes(); ok {
		return m
	}
	return gearbox.UsualMinutes
}

func (v *View) torqueStep(p *gearbox.Position, waits []string) Step {
	title := fmt.Sprintf("Torque %s to %s", p.Label(), p.Torque.Text(v.Built))
	if p.LeftHand {
		title += ", left-hand thread"
	}
	care := slices.Clone(p.Care)
	if !slices.Contains(care, "torque") {
		care = append([]string{"torque"}, care...)
	}
	return Step{Do: "torque", Position: p, Title: title, Waits: waits, Care: care, Minutes: 5, People: 1, Only: p.Only}
}

func (v *View) fastenSteps(p *gearbox.Position, sp *job.Spot) []Step {
	if !p.Fastening() || sp.Fitted == nil {
		return nil
	}
	lock := p.Lock.Text(v.Built)
	switch {
	case sp.Torqued == nil:
		return []Step{v.torqueStep(p, nil)}
	case sp.Torqued.Is.Trial:
		return []Step{v.torqueStep(p, v.onTrial(p))}
	case lock != "" && sp.Locked == nil:
		return []Step{{Do: "lock", Position: p, Title: fmt.Sprintf("Lock %s: %s", p.Label(), lock), Minutes: 3, People: 1, Only: p.Only}}
	}
	return nil
}

// onTrial names the settings under a fastening that are not proven yet: until
// then a trial torque is all it gets.
func (v *View) onTrial(p *gearbox.Position) []string {
	var waits []string
	for _, r := range v.Settings {
		under := slices.ContainsFunc(v.Box.Under(p.ID), func(q *gearbox.Position) bool { return slices.Contains(r.Seats(), q.ID) })
		if under && !r.Proven && v.touches(r) {
			waits = append(waits, r.Name+" is not proven yet")
		}
	}
	return waits
}

// fitWaits says what must be done before a part goes on; warming leaves out the
// part's own heat.
func (v *View) fitWaits(p *gearbox.Position, warming bool) []string {
	var waits []string
	for _, q := range v.Box.Under(p.ID) {
		if !v.aboard(q.ID) {
			waits = append(waits, q.Label()+" is not on yet")
		}
	}
	for _, h := range v.holdsFor(p) {
		if !warming || h.Key != Key("hold", "heat", p.ID) {
			waits = append(waits, h.Says)
		}
	}
	if len(waits) > 4 {
		waits = append(waits[:3], fmt.Sprintf("and %d more", len(waits)-3))
	}
	return waits
}

// holdsFor are the holds that must be passed before p goes on.
func (v *View) holdsFor(p *gearbox.Position) []Finding {
	var out []Finding
	for _, f := range v.Findings {
		if f.Kind == Hold && slices.Contains(f.Before, p.ID) {
			out = append(out, f)
		}
	}
	return out
}

// Missing lists the positions behind a lid, or under any part, that have no
// piece: what would be left over.
func (v *View) Missing(p *gearbox.Position) []*gearbox.Position {
	var out []*gearbox.Position
	for _, q := range v.Box.Under(p.ID) {
		if !v.aboard(q.ID) {
			out = append(out, q)
		}
	}
	return out
}

// setSteps lists the settings that are not proven, each after those before it.
func (v *View) setSteps() []Step {
	var out []Step
	open := map[string]bool{}
	for _, r := range v.Settings {
		if r.Proven || len(r.Seats()) == 0 || !v.touches(r) {
			continue
		}
		st := Step{Do: "set", Setting: r.Name, Title: "Set " + r.Name, Minutes: setMinutes, People: 1}
		if r.Question != "" {
			out = append(out, Step{Do: "answer", Setting: r.Name, Title: "Answer for " + r.Name + ": what does + on the etched number mean?", Minutes: 2, People: 1})
			st.Waits = append(st.Waits, "the question about the etched number")
		}
		for _, a := range r.After {
			if open[strings.ToLower(a)] {
				st.Waits = append(st.Waits, a+" comes first")
			}
		}
		open[strings.ToLower(r.Name)] = true
		out = append(out, st)
	}
	return out
}

// touches reports whether the rebuild has disturbed the setting: one of its
// seats has been off or fitted.
func (v *View) touches(r setup.Result) bool {
	for _, id := range r.Seats() {
		if sp := v.Spots[id]; sp != nil && (sp.Off != nil || sp.Fitted != nil) {
			return true
		}
	}
	return false
}

// Setting returns the worked-out setting of that name.
func (v *View) Setting(name string) (setup.Result, bool) {
	for _, r := range v.Settings {
		if strings.EqualFold(r.Name, name) {
			return r, true
		}
	}
	return setup.Result{}, false
}
