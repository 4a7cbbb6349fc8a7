package plan_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// oracle tells, slowly and by itself, whether a part may go on: it walks the
// entries that stand and knows nothing of spots, views or findings. It is told
// only what lies directly under what, and what the file says of each position.
type oracle struct {
	box   *gearbox.Box
	as    gearbox.Built
	stand []job.Entry
}

func newOracle(b *book) *oracle {
	struck := map[string]bool{}
	for i := len(b.es) - 1; i >= 0; i-- {
		var s job.Struck
		if e := b.es[i]; e.Kind == "struck" && !struck[e.ID] && json.Unmarshal(e.Body, &s) == nil {
			struck[s.Entry] = true
		}
	}
	o := &oracle{box: b.box}
	for _, e := range b.es {
		if !struck[e.ID] {
			o.stand = append(o.stand, e)
		}
	}
	o.as = job.Replay("linnet", b.box, b.es).Built()
	return o
}

// at is what is known of a position: on as found, off, on trial or on for good,
// its torque, its lock and its heat, each by the entry that last said so.
type at struct {
	on, fitted          bool
	tag                 string
	changed, off, since int // since: any entry that a written reason must be later than
	torque, lock        int
	trialTorque, photo  bool
	heat                int
	oven                float64
}

func (o *oracle) at(p *gearbox.Position) at {
	a := at{on: true, tag: "L-" + p.ID}
	home := map[string]string{} // where each piece of the walk sits
	for _, q := range o.box.All() {
		home["L-"+q.ID] = q.ID
	}
	for _, e := range o.stand {
		switch e.Kind {
		case "taken off":
			var x job.TakenOff
			json.Unmarshal(e.Body, &x)
			if x.Position == p.ID {
				a.off = e.Seq
				if a.on {
					a = at{off: e.Seq, changed: e.Seq, heat: a.heat, oven: a.oven}
				}
			}
		case "fitted":
			var x job.Fitted
			json.Unmarshal(e.Body, &x)
			if x.Position == p.ID {
				a = at{on: true, fitted: true, tag: x.Tags[0], changed: e.Seq, off: a.off, heat: a.heat, oven: a.oven}
			}
		case "torqued":
			var x job.Torqued
			json.Unmarshal(e.Body, &x)
			if x.Position == p.ID {
				a.torque, a.trialTorque = e.Seq, x.Trial
			}
		case "locked":
			var x job.Locked
			json.Unmarshal(e.Body, &x)
			if x.Position == p.ID {
				a.lock, a.photo = e.Seq, len(x.Photos) > 0
			}
		case "heated":
			var x job.Heated
			json.Unmarshal(e.Body, &x)
			if x.Position == p.ID {
				a.heat, a.oven = e.Seq, x.SI
			}
		}
	}
	a.since = max(a.changed, a.torque, a.lock, a.heat)
	return a
}

// passed is the entry at which a hold was last passed with a reason.
func (o *oracle) passed(key string) int {
	seq := 0
	for _, e := range o.stand {
		var x job.Allowed
		if e.Kind == "allowed" && json.Unmarshal(e.Body, &x) == nil && x.Hold == key {
			seq = e.Seq
		}
	}
	return seq
}

// fitted reports whether anything was ever fitted.
func (o *oracle) begun() bool {
	return slices.ContainsFunc(o.stand, func(e job.Entry) bool { return e.Kind == "fitted" })
}

// finished reports whether a fastening that was fitted is torqued for good,
// locked after it and photographed, or each was passed with a reason since.
func (o *oracle) finished(p *gearbox.Position) bool {
	a := o.at(p)
	ok := func(kind string) bool { return o.passed("hold/"+kind+"/"+p.ID) > a.since }
	wants := p.Lock.Text(o.as) != ""
	switch {
	case !a.fitted || !p.Fastening():
		return true
	case a.torque == 0 || a.trialTorque:
		return ok("torque")
	case a.lock == 0:
		return !wants || ok("lock")
	case a.lock < a.torque:
		return ok("lock")
	case !a.photo:
		return ok("photo")
	}
	return true
}

// interlocked reports whether the interlock was tested well since any of its
// parts changed. It is asked for once one of them was off or fitted.
func (o *oracle) interlocked() bool {
	last, touched := 0, false
	for _, p := range o.box.All() {
		if p.Kind == "rail" || !p.Lid() && slices.Contains(p.Care, "interlock") {
			a := o.at(p)
			last, touched = max(last, a.changed), touched || a.off > 0 || a.fitted
		}
	}
	good := false
	for _, e := range o.stand {
		var x job.Tested
		if e.Kind == "tested" && json.Unmarshal(e.Body, &x) == nil && x.Test == plan.Interlock {
			good = x.Good && e.Seq > last
		}
	}
	return !touched || !o.begun() || good || o.passed("hold/test/interlock") > last
}

// free reports whether a part that is off may go on.
func (o *oracle) free(p *gearbox.Position) (bool, string) {
	for _, q := range o.box.Under(p.ID) {
		if !o.at(q).on {
			return false, q.ID + " is not on"
		}
	}
	for _, q := range o.box.Under(p.ID) {
		if p.Lid() && !o.finished(q) {
			return false, q.ID + " is not finished"
		}
		// An old one-way part under a lid.
		if a := o.at(q); p.Lid() && q.Once && a.fitted && a.tag == "L-"+q.ID && a.off > 0 && o.passed("hold/once/"+q.ID) <= a.since {
			return false, q.ID + " is an old one-way part"
		}
	}
	if t, hot := p.HeatTo.SI(o.as); hot {
		a := o.at(p)
		if a.heat <= a.changed || a.oven < t-3 {
			if o.passed("hold/heat/"+p.ID) <= a.since {
				return false, "cold"
			}
		}
	}
	rails := slices.ContainsFunc(o.box.Under(p.ID), func(q *gearbox.Position) bool { return q.Kind == "rail" })
	if p.Lid() && rails && !o.interlocked() {
		return false, "the interlock is not tested"
	}
	return true, ""
}

// Random entries, strikes and refits never leave a hold open that should be shut,
// nor shut one that should be open: for every part that is off, what the view
// says is what the slow oracle says. Holds of settings and of the other tests are
// left out of account on both sides: other tests look after those.
func TestHoldsAgainstOracle(t *testing.T) {
	others := []string{"is not proven", "Fork engagement", "Direction of rotation"}
	checked, shut, open := 0, 0, 0
	for seed := range 16 {
		r := rand.New(rand.NewPCG(uint64(seed), 71))
		b := begin(t, "A")
		b.add(off(pool...)...)
		for n := range 120 {
			b.randomly(r)
			if n%3 > 0 {
				continue
			}
			v, o := b.view(), newOracle(b)
			for _, id := range pool {
				p, _ := b.box.Position(id)
				if len(v.At[id]) > 0 {
					continue
				}
				s := step(v, "fit", id)
				if s == nil {
					t.Fatalf("seed %d, entry %d: %s is off and no step fits it", seed, len(b.es), id)
				}
				waits := slices.DeleteFunc(slices.Clone(s.Waits), func(w string) bool {
					return slices.ContainsFunc(others, func(o string) bool { return strings.Contains(w, o) })
				})
				want, why := o.free(p)
				if got := len(waits) == 0; got != want {
					t.Fatalf("seed %d, entry %d: %s may go on: %v, want %v (%s); it waits for %q\n%s", seed, len(b.es), p.Label(), got, want, why, s.Waits, tail(b, id))
				}
				checked++
				if want {
					open++
				} else {
					shut++
				}
			}
		}
	}
	if open < 200 || shut < 200 {
		t.Errorf("of %d answers %d were open and %d shut: too few to tell anything", checked, open, shut)
	}
}

// pool are the positions of the walk: two lids, what they cover (the interlock
// pin, a clamp bolt, a one-way nut), and a hot ring. All else stays as found, so
// that a lid is often one entry away from going on.
var pool = []string{"C11", "C09", "C03", "F13", "F16", "P39", "Q14", "Q17", "Q16"}

// randomly adds one entry, sensible or not.
func (b *book) randomly(r *rand.Rand) {
	id := pool[2+r.IntN(len(pool)-2)]
	p, _ := b.box.Position(id)
	switch r.IntN(14) {
	case 0:
		b.add(off(id)...)
	case 1, 2, 3, 4:
		if id == "C03" {
			b.add(off(id)...) // the lids are more often off than on
			return
		}
		b.add(fit(id, "L-"+id))
	case 5:
		b.add(job.Added{Piece: job.Piece{Tag: fmt.Sprintf("N-%s-%d", id, len(b.es)), Position: id}, Place: "shelf"}, fit(id, fmt.Sprintf("N-%s-%d", id, len(b.es))))
	case 6, 7:
		want, _ := p.Torque.SI(b.box.As("A"))
		b.add(job.Torqued{Position: id, Method: "wrench", Torque: want, Trial: r.IntN(5) == 0})
	case 8, 9:
		l := job.Locked{Position: id, How: "wire"}
		if r.IntN(3) > 0 {
			l.Photos = []string{"photo"}
		}
		b.add(l)
	case 10:
		b.add(job.Heated{Position: "Q14", Oven: "typed", SI: 100 + 18*r.Float64()})
	case 11:
		b.add(job.Tested{Test: plan.Interlock, Good: r.IntN(4) > 0, Says: "as it came out"})
	case 12:
		var keys []string
		for _, f := range b.view().Findings {
			if f.Kind == plan.Hold {
				keys = append(keys, f.Key)
			}
		}
		if len(keys) > 0 {
			b.add(job.Allowed{Hold: keys[r.IntN(len(keys))], Why: "the owner wants it so", Witness: "Ivo"})
		}
	default:
		b.add(job.Struck{Entry: b.es[1+r.IntN(len(b.es)-1)].ID, Why: "at random"})
	}
}

func tail(b *book, id string) string {
	var out []string
	for _, e := range b.es {
		if strings.Contains(string(e.Body), id) || e.Kind == "struck" {
			out = append(out, fmt.Sprintf("%d %s %s", e.Seq, e.Kind, e.Body))
		}
	}
	return strings.Join(out[max(0, len(out)-14):], "\n")
}

// What must come apart to reach a position: all that lies over it, over that,
// and so on, of what is on, in an order in which nothing comes off from under
// another part. The slow way: follow every pair until nothing is added.
func TestReachAgainstOracle(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	b := begin(t, "A")
	for range 12 {
		b.add(off(b.box.All()[r.IntN(130)].ID)...)
	}
	v := b.view()
	for _, p := range b.box.All() {
		over := map[string]bool{p.ID: true}
		for grew := true; grew; {
			grew = false
			for _, q := range b.box.All() {
				if !over[q.ID] && slices.ContainsFunc(b.box.Under(q.ID), func(u *gearbox.Position) bool { return over[u.ID] }) {
					over[q.ID], grew = true, true
				}
			}
		}
		minutes, on := 0.0, 0
		for id := range over {
			if q, _ := b.box.Position(id); len(v.At[id]) > 0 {
				m, known := q.Minutes()
				if !known {
					m = gearbox.UsualMinutes
				}
				minutes, on = minutes+2*m, on+1
			}
		}
		got := v.Reach(p.ID)
		gone := map[string]bool{}
		for _, q := range got.Off {
			for _, w := range b.box.All() {
				if len(v.At[w.ID]) > 0 && !gone[w.ID] && slices.Contains(b.box.Under(w.ID), q) {
					t.Fatalf("to reach %s, %s comes off from under %s", p.Label(), q.Label(), w.Label())
				}
			}
			gone[q.ID] = true
		}
		if len(got.Off) != on || got.Minutes != minutes {
			t.Errorf("to reach %s: %d positions and %g min, want %d and %g", p.Label(), len(got.Off), got.Minutes, on, minutes)
		}
	}
}
