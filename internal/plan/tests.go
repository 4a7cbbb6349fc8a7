package plan

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// HandOver stands among the positions that a hold keeps back: the unit's leaving.
const HandOver = "hand-over"

// The proofs before closing and the tests after it, in the order they are done.
const (
	Interlock = "interlock"
	Forks     = "forks"
	Direction = "direction"
	Lifting   = "lifting"
	LeakTest  = "leak"
	OilFill   = "oil"
	SpinTest  = "spin"
	ShiftTest = "shift"
)

// Field is one thing that the form of a test asks for.
type Field struct {
	Key, Ask string
	Choices  []string // to choose one of; none = a figure or words
	Unit     string   // of a figure
	First    string   // what stands there to begin with
	Optional bool
}

// Test is a proof or a closing test as it stands at this job.
type Test struct {
	Name, Title, Why string
	Fields           []Field
	Wanted, From     string
	Waits            []string              // what must come first
	Lids             []string              // what may not go on before it, of what is not on yet
	Done             *job.Done[job.Tested] // the last one, nil when there was none
	Holds            bool                  // it still holds: nothing it rests on has changed
	Care             []string
	Second           bool // a second person signs, if it is passed without being done
}

// Proven reports whether the test was done, came out well and still holds.
func (t Test) Proven() bool { return t.Done != nil && t.Holds && t.Done.Is.Good }

// Tests are those that this job asks for, in their order; none before anything
// was put together. The list is the view's own: it is made once.
func (v *View) Tests() []Test {
	if v.tests == nil { // not of a job
		return nil
	}
	return v.tests()
}

func (v *View) allTests() []Test {
	if v.Box == nil || !v.begun() {
		return nil
	}
	var out []Test
	for _, t := range []func() (Test, bool){v.interlock, v.forks, v.direction, v.lifting, v.leak, v.oil, v.spin, v.shift} {
		if t, ok := t(); ok {
			t.Done = v.State.Tests[t.Name]
			t.Holds = t.Done != nil && t.Done.Seq > v.testSince(t.Name)
			out = append(out, t)
		}
	}
	return out
}

// TestOf is the test of that name.
func (v *View) TestOf(name string) (Test, bool) {
	ts := v.Tests()
	if i := slices.IndexFunc(ts, func(t Test) bool { return t.Name == name }); i >= 0 {
		return ts[i], true
	}
	return Test{}, false
}

// begun reports whether the unit is being put together again.
func (v *View) begun() bool {
	for _, sp := range v.Spots {
		if sp.Fitted != nil {
			return true
		}
	}
	return false
}

// rests are the positions that a test rests on: change one and it must be done
// again. Tests of the whole unit rest on all of them.
func (v *View) rests(name string) []*gearbox.Position {
	switch name {
	case Interlock:
		return v.interlocking()
	case Forks:
		return v.ofKind("fork", "sleeve", "rail")
	case Direction:
		var out []*gearbox.Position
		for _, m := range v.Box.Meshes {
			out = v.placed(out, m.Driver, m.Driven, m.Idler)
		}
		if f := v.Box.Final; f != nil {
			out = v.placed(out, f.Pinion, f.Crown)
		}
		return out
	case Lifting:
		return v.cracked()
	}
	return v.Box.All()
}

func (v *View) placed(out []*gearbox.Position, ids ...string) []*gearbox.Position {
	for _, id := range ids {
		if p, ok := v.Box.Position(id); ok && !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return out
}

func (v *View) ofKind(kinds ...string) []*gearbox.Position {
	var out []*gearbox.Position
	for _, p := range v.Box.All() {
		if slices.Contains(kinds, p.Kind) {
			out = append(out, p)
		}
	}
	return out
}

// interlocking are the rails and whatever locks them against each other.
func (v *View) interlocking() []*gearbox.Position {
	var out []*gearbox.Position
	for _, p := range v.Box.All() {
		if p.Kind == "rail" || !p.Lid() && slices.Contains(p.Care, "interlock") {
			out = append(out, p)
		}
	}
	return out
}

// cracked are lifting points where damage was found.
func (v *View) cracked() []*gearbox.Position {
	return slices.DeleteFunc(v.ofKind("eye"), func(p *gearbox.Position) bool {
		sp := v.Spots[p.ID]
		return sp == nil || sp.Off == nil || sp.Off.Is.Damage == "" || sp.Decided != nil && slices.Contains([]string{"new", "donor"}, sp.Decided.Is.Choice)
	})
}

// testSince is the last change in what a test rests on.
func (v *View) testSince(name string) int {
	seq := 0
	for _, p := range v.rests(name) {
		seq = max(seq, v.Changed(p.ID))
	}
	return seq
}

// touched reports whether any of the positions has been off or fitted.
func (v *View) touched(ps []*gearbox.Position) bool {
	return slices.ContainsFunc(ps, func(p *gearbox.Position) bool {
		sp := v.Spots[p.ID]
		return sp != nil && (sp.Off != nil || sp.Fitted != nil)
	})
}

func (v *View) notOn(ps []*gearbox.Position) []string {
	var out []string
	for _, p := range ps {
		if !v.aboard(p.ID) {
			out = append(out, p.Label()+" is not on yet")
		}
	}
	if len(out) > 3 {
		out = append(out[:2], fmt.Sprintf("and %d more are not on yet", len(out)-2))
	}
	return out
}

// lidsFor are the lids, of those not on yet, that would close over any of the
// positions covered. A lid that part of the test itself goes on after is none of
// them: it would wait for the test and the test for it.
func (v *View) lidsFor(name string, covered []*gearbox.Position) []string {
	var out []string
	for _, p := range covered {
		out = append(out, v.lidsOver(p)...)
	}
	slices.Sort(out)
	return slices.DeleteFunc(slices.Compact(out), func(lid string) bool {
		over := v.Box.Over(lid)
		return slices.ContainsFunc(v.rests(name), func(p *gearbox.Position) bool { return slices.Contains(over, p) })
	})
}

func (v *View) interlock() (Test, bool) {
	rails, all := v.ofKind("rail"), v.interlocking()
	if len(rails) < 2 || !v.touched(all) {
		return Test{}, false
	}
	t := Test{Name: Interlock, Title: "Interlock", Second: true, Care: []string{"interlock"}, Waits: v.notOn(all), Lids: v.lidsFor(Interlock, rails),
		Why: "With one rail in gear no other may move. Two gears at once lock the wheels.", Wanted: "blocked, every time", From: "common practice"}
	for _, a := range rails {
		for _, b := range rails {
			if a != b {
				t.Fields = append(t.Fields, Field{Key: a.ID + " in, " + b.ID, Ask: a.Label() + " in gear: " + b.Label(), Choices: []string{"blocked", "moves"}})
			}
		}
	}
	return t, true
}

// speeds asks the same of every speed.
func (v *View) speeds(choices ...string) []Field {
	var out []Field
	for _, m := range v.Box.Meshes {
		out = append(out, Field{Key: m.Speed, Ask: "speed " + m.Speed, Choices: choices})
	}
	return out
}

func (v *View) forks() (Test, bool) {
	all := v.rests(Forks)
	if v.Box.Closing == nil || len(v.ofKind("fork")) == 0 || len(v.Box.Meshes) == 0 || !v.touched(all) {
		return Test{}, false
	}
	return Test{Name: Forks, Title: "Fork engagement", Waits: v.notOn(all), Lids: v.lidsFor(Forks, v.ofKind("fork", "rail")), Fields: v.speeds("fully home", "short", "rubs"),
		Why: "Each sleeve goes fully home, and there the fork can be wiggled: it carries no load.", Wanted: "fully home in every speed", From: "common practice"}, true
}

func (v *View) direction() (Test, bool) {
	r := v.Box.Rotation
	if r == nil || v.Box.Final == nil || len(v.Box.Meshes) == 0 || !v.touched(v.rests(Direction)) {
		return Test{}, false
	}
	return Test{Name: Direction, Title: "Direction of rotation", Waits: v.notOn(v.rests(Direction)), Lids: v.lidsFor(Direction, v.placed(nil, v.Box.Final.Crown, v.Box.Final.Pinion)),
		Fields: []Field{{Key: "crown wheel", Ask: "Look from the rear toward the front: on which side of the pinion does the crown wheel lie?", Choices: []string{"left", "right"}}},
		Why:    "From the teeth through the whole build: every speed goes forward, and reverse really reverses.",
		Wanted: "forward toward the " + r.Goes + ", reverse the other way", From: "the gearbox file"}, true
}

func (v *View) lifting() (Test, bool) {
	eyes := v.cracked()
	if len(eyes) == 0 {
		return Test{}, false
	}
	return Test{Name: Lifting, Title: "Proof of the lifting point", Second: true, Care: []string{"lift"},
		Why:    eyes[0].Label() + " came with damage: " + v.Spots[eyes[0].ID].Off.Is.Damage + ". Do not lift by it before it is proven.",
		Wanted: "proof load held, no crack after it", From: "licensed practice",
		Fields: []Field{{Key: "by whom", Ask: "Who proved it"}, {Key: "load", Ask: "Proof load", Unit: "kN"}, {Key: "after", Ask: "After it", Choices: []string{"no crack", "crack", "bent"}}}}, true
}

// closed says what is missing before a test of the whole unit.
func (v *View) closed() []string {
	var left []*gearbox.Position
	for _, p := range v.Box.All() {
		if !v.aboard(p.ID) {
			left = append(left, p)
		}
	}
	return v.notOn(left)
}

func (v *View) leak() (Test, bool) {
	c := v.Box.Closing
	if c == nil || c.Leak == nil {
		return Test{}, false
	}
	l := c.Leak
	drop := "no drop"
	if d, _ := l.Drop.SI(v.Built); d > 0 {
		drop = "no more than " + l.Drop.Text(v.Built) + " lost"
	}
	return Test{Name: LeakTest, Title: "Leak test", Care: []string{"pressure"}, Waits: v.closed(), From: l.From,
		Why:    "Dry, all plugs in, the breather plugged. Soap water finds where. Take the plug out of the breather again.",
		Wanted: fmt.Sprintf("%s for %s, %s", l.Pressure.Text(v.Built), l.Time.Text(v.Built), drop),
		Fields: []Field{{Key: "start", Ask: "Pressure at the start", Unit: "bar"}, {Key: "end", Ask: "Pressure at the end", Unit: "bar"}, {Key: "minutes", Ask: "It stood for", Unit: "min"},
			{Key: "start temperature", Ask: "Air at the start", Unit: "°C", Optional: true}, {Key: "end temperature", Ask: "Air at the end", Unit: "°C", Optional: true}}}, true
}

func (v *View) oil() (Test, bool) {
	c := v.Box.Closing
	if c == nil || c.Oil == nil {
		return Test{}, false
	}
	o := c.Oil
	rule := o.Rule.Text(v.Built)
	return Test{Name: OilFill, Title: "Oil fill", Second: true, Waits: v.closed(), From: o.From, Why: strings.TrimSpace("Level stand. " + capital(rule)),
		Wanted: joinWords(o.Volume.Text(v.Built), rule, o.Grade.Text(v.Built)),
		Fields: []Field{{Key: "volume", Ask: "Filled", Unit: "L"}, {Key: "level", Ask: "The oil stands", Choices: []string{"at the rule", "below", "above"}},
			{Key: "oil", Ask: "Which oil", First: o.Grade.Text(v.Built)}, {Key: "batch", Ask: "Its batch", Optional: true}}}, true
}

func (v *View) spin() (Test, bool) {
	c := v.Box.Closing
	if c == nil || c.Spin == "" || len(v.Box.Meshes) == 0 {
		return Test{}, false
	}
	t := Test{Name: SpinTest, Title: "Spin test", Care: []string{"first run"}, Waits: v.closed(), Why: capital(c.Spin), From: "tooth counts",
		Wanted: "each speed turns its own way, by its own count, without a noise of its own"}
	for _, m := range v.Box.Meshes {
		t.Fields = append(t.Fields, Field{Key: m.Speed, Ask: "speed " + m.Speed + ": the outputs turn", Choices: []string{"forward", "backward"}})
		if n, ok := v.TurnsForTen(m.Speed); ok {
			t.Fields = append(t.Fields, Field{Key: m.Speed + " turns", Ask: fmt.Sprintf("speed %s: turns of the input for ten of the outputs, both turning (%.1f)", m.Speed, n), Optional: true})
		}
	}
	t.Fields = append(t.Fields, Field{Key: "noise", Ask: "Noise", Choices: []string{"none", "even", "knocks"}})
	return t, true
}

func (v *View) shift() (Test, bool) {
	c := v.Box.Closing
	if c == nil || !c.Shift || len(v.Box.Meshes) == 0 {
		return Test{}, false
	}
	return Test{Name: ShiftTest, Title: "Shift test", Waits: v.closed(), Fields: v.speeds("goes in and out", "hard", "will not"),
		Why: "Every gate both ways, neutral between, turning slowly by hand.", Wanted: "every speed goes in and out", From: "common practice"}, true
}

// testSteps are the tests still to do. Those of the whole unit come when nothing
// else is left.
func (v *View) testSteps(rest bool) []Step {
	var out []Step
	for _, t := range v.Tests() {
		if t.Proven() || v.passedTest(t) {
			continue
		}
		st := Step{Do: "test", Test: t.Name, Title: "Test: " + strings.ToLower(t.Title), Waits: slices.Clone(t.Waits), Care: t.Care, Minutes: 15, People: 1}
		if whole(t.Name) && !rest && len(st.Waits) == 0 {
			st.Waits = []string{"steps before it are open"}
		}
		out = append(out, st)
	}
	return out
}

func whole(name string) bool {
	return slices.Contains([]string{LeakTest, OilFill, SpinTest, ShiftTest}, name)
}

func (v *View) passedTest(t Test) bool {
	return v.Passed[Key("hold", "test", t.Name)] > v.testSince(t.Name)
}

// testHolds keep lids from going on, and the unit from leaving, before what they
// would cover is proven. Tests of the whole unit are told when it is whole.
func (v *View) testHolds() []Finding {
	var out []Finding
	for _, t := range v.Tests() {
		if t.Proven() || whole(t.Name) && len(t.Waits) > 0 {
			continue
		}
		f := Finding{Kind: Hold, Key: Key("hold", "test", t.Name), About: t.Title, Says: t.Title + " is not tested", Rests: "wanted: " + t.Wanted + " (" + t.From + ")",
			Mend: "do the test", Before: append(slices.Clone(t.Lids), HandOver), Test: t.Name}
		switch {
		case t.Done != nil && !t.Holds:
			f.Says, f.Rests = t.Title+" must be tested again: something was changed since", fmt.Sprintf("tested in entry %d", t.Done.Seq)
		case t.Done != nil:
			f.Says, f.Rests = t.Title+" failed: "+t.Done.Is.Says, fmt.Sprintf("entry %d", t.Done.Seq)
		}
		out = append(out, f)
	}
	return out
}

func capital(s string) string {
	if s == "" {
		return ""
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

func joinWords(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), ", ")
}
