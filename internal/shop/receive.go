package shop

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// Sides are the six sides that a unit is photographed from at the door.
var Sides = []string{"front", "rear", "left", "right", "top", "below"}

// Symptoms are what is asked of every gear.
var Symptoms = []string{"grates going in", "hard to engage", "jumps out on drive", "jumps out on overrun", "noisy on drive", "noisy on overrun"}

// Magnet is what may be found on the drain magnet or in the sieve, with what it
// usually means. Common practice, no source.
var Magnet = []struct{ Find, Means string }{
	{"fine paste", "ordinary wear"},
	{"chunks", "a gear or bearing is breaking up"},
	{"bright steel", "teeth or a bearing"},
	{"brass colour", "baulk rings or bushes"},
	{"nothing", "clean, or the magnet was wiped before"},
}

// AsReceived is all that was recorded of how a unit came in: what was written
// later stands in the place of what was written before.
func (d *Desk) AsReceived() job.Received {
	var all job.Received
	for _, r := range d.Received {
		for _, f := range []struct{ to, from *string }{{&all.Marks, &r.Is.Marks}, {&all.Complete, &r.Is.Complete}, {&all.Missing, &r.Is.Missing}, {&all.Oil, &r.Is.Oil},
			{&all.Debris, &r.Is.Debris}, {&all.Loose, &r.Is.Loose}, {&all.Outside, &r.Is.Outside}} {
			if *f.from != "" {
				*f.to = *f.from
			}
		}
		if all.Gears == nil && len(r.Is.Gears) > 0 {
			all.Gears = map[string]string{}
		}
		maps.Copy(all.Gears, r.Is.Gears)
		if all.Sides == nil && len(r.Is.Sides) > 0 {
			all.Sides = map[string]string{}
		}
		maps.Copy(all.Sides, r.Is.Sides)
		all.Photos = append(all.Photos, r.Is.Photos...)
	}
	return all
}

// Speeds are the gears of a unit as they are called: those of its file, else the
// usual ones.
func (d *Desk) Speeds() []string {
	var out []string
	if d.Box != nil {
		for _, m := range d.Box.Meshes {
			if m.Speed != "" && !slices.Contains(out, m.Speed) {
				out = append(out, m.Speed)
			}
		}
	}
	if len(out) == 0 {
		out = []string{"1", "2", "3", "4", "5", "R"}
	}
	return out
}

// EarlyRead is a reading to make before anything is undone, and how it stands.
type EarlyRead struct {
	gearbox.Early
	Done bool
	Late bool // what it is about has come apart
}

// Before are the readings to make before anything is undone.
func (d *Desk) Before() []EarlyRead {
	var out []EarlyRead
	apart := func(ids []string) bool {
		for id, sp := range d.Spots {
			if sp.Off != nil && (len(ids) == 0 || slices.Contains(ids, id)) {
				return true
			}
		}
		return false
	}
	for _, e := range d.Box.Before() {
		r := EarlyRead{Early: e}
		if e.Measure != nil {
			r.Done, r.Late = len(d.ReadingsOf(e.What)) > 0, apart(e.Measure.Of)
		} else {
			r.Done, r.Late = d.noted(e.What) || strings.Contains(e.What, "pattern") && (len(d.Patterns) > 0 || d.noted("pattern as found")), apart(nil)
		}
		out = append(out, r)
	}
	return out
}

// noted reports whether there is a note on a topic.
func (d *Desk) noted(topic string) bool {
	return slices.ContainsFunc(d.Notes, func(e job.Entry) bool {
		var n job.Noted
		return json.Unmarshal(e.Body, &n) == nil && strings.EqualFold(n.Topic, topic)
	})
}

// ReceiveTask is one thing to record when a unit comes in.
type ReceiveTask struct {
	Key   string `json:"key"`
	Title string `json:"title"`
	Says  string `json:"says,omitempty"` // what is recorded, in short
	Done  bool   `json:"done"`
}

// Receiving is what there is to record of a unit that comes in, in the order of
// doing it.
func (d *Desk) Receiving() []ReceiveTask {
	r := d.AsReceived()
	done := func(key, title, says string) ReceiveTask { return ReceiveTask{key, title, says, says != ""} }
	sides := done("sides", "Six sides", "")
	if n := len(r.Sides); n > 0 {
		sides.Says, sides.Done = fmt.Sprintf("%d of %d photographed", n, len(Sides)), n == len(Sides)
	}
	gears := ""
	for _, g := range append(d.Speeds(), "all") {
		if s := r.Gears[g]; s != "" {
			gears = joinWords("; ", gears, g+": "+s)
		}
	}
	before := ReceiveTask{Key: "before", Title: "Before it is stripped"}
	all, made, late := d.Before(), 0, 0
	for _, e := range all {
		switch {
		case e.Done:
			made++
		case e.Late:
			late++
		}
	}
	before.Says, before.Done = fmt.Sprintf("%d of %d readings made", made, len(all)), made+late == len(all)
	if late > 0 {
		before.Says += fmt.Sprintf(", too late for %d", late)
	}
	estimate, agreed := ReceiveTask{Key: "estimate", Title: "Estimate"}, ReceiveTask{Key: "agreed", Title: "The customer's yes"}
	if e := d.State.Estimate; e != nil {
		estimate.Says, estimate.Done = e.Is.Low+" to "+e.Is.High+", stop "+e.Is.Stop, true
	}
	if a := d.State.Approved; a != nil {
		agreed.Says, agreed.Done = a.Is.What, d.State.Estimate == nil || a.Seq > d.State.Estimate.Seq
	}
	return []ReceiveTask{
		sides, done("marks", "Marks and numbers", r.Marks), done("complete", "Complete?", joinWords("; missing: ", r.Complete, r.Missing)),
		done("gears", "Symptoms by gear", joinWords("; outside: ", gears, r.Outside)), done("oil", "Oil and debris", joinWords("; ", r.Oil, r.Debris)),
		done("loose", "Found loose", r.Loose), before, estimate, agreed,
	}
}

func joinWords(with string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), with)
}

// received checks how a unit came in: a fact, refused only where it says nothing.
func (o *order) received(b job.Received) error {
	if strings.TrimSpace(b.Marks+b.Complete+b.Missing+b.Oil+b.Debris+b.Loose+b.Outside) == "" && len(b.Gears) == 0 && len(b.Sides) == 0 {
		return wrap(ErrInvalid, "nothing was written; say what was seen as the unit came in")
	}
	for side, key := range b.Sides {
		if !slices.Contains(Sides, side) {
			return wrap(ErrInvalid, "side %q; there are %s", side, strings.Join(Sides, ", "))
		}
		if err := o.shown([]string{key}); err != nil {
			return err
		}
	}
	for g, s := range b.Gears {
		if strings.TrimSpace(s) == "" {
			delete(b.Gears, g)
		}
	}
	o.bagLoose(strings.TrimSpace(b.Loose))
	return o.shown(b.Photos)
}

// bagLoose gives what lay loose in a unit a tag and a bag of its own.
func (o *order) bagLoose(what string) {
	d := o.desk
	if what == "" || strings.EqualFold(what, "nothing") || strings.EqualFold(what, d.AsReceived().Loose) {
		return
	}
	for n := 1; ; n++ {
		tag := job.Tag(d.Opened.Letter, fmt.Sprintf("LOOSE%d", n))
		if d.Pieces[tag] == nil {
			o.also = append(o.also, also{d.Book, job.Added{Piece: job.Piece{Tag: tag, Name: what, Count: 1, Origin: d.Opened.Unit}, Place: plan.LooseBag(d.Opened.Letter)}})
			return
		}
	}
}

// owned keeps the owner of a new unit among the people.
func (o *order) owned(b job.Opened) error {
	if b.Owner == "" {
		return nil
	}
	stores, err := o.open(StoresBook)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(stores.People, func(p job.Person) bool { return p.Person == b.Owner }) {
		o.also = append(o.also, also{StoresBook, job.Person{Person: b.Owner, Role: "customer"}})
	}
	return nil
}

// mayAgree holds who says yes against who may: the estimate names them.
func (o *order) mayAgree(by string) error {
	e := o.desk.State.Estimate
	if e == nil || e.Is.May == "" || by == e.Is.May || by == o.desk.Opened.Owner {
		return nil
	}
	name := func(key string) string { return o.sh.Name(o.ctx, key) }
	if name(by) == name(e.Is.May) {
		return nil // kept under two keys before there was a list of people
	}
	return wrap(ErrInvalid, "the estimate (entry %d) says that %s may say yes; %s was named. Ask %s, or write an estimate that names %s", e.Seq, name(e.Is.May), name(by), name(e.Is.May), name(by))
}
