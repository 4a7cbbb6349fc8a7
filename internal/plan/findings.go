package plan

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// Kind of finding.
type Kind string

// The kinds: a hold keeps a step from being done, a loose end is begun and not
// finished or no longer proven, a broken rule is about what fits with what, a
// verdict is about a reading, a stray is an entry that could not be placed.
const (
	Hold    Kind = "hold"
	Loose   Kind = "loose end"
	Broken  Kind = "rule"
	Verdict Kind = "verdict"
	Stray   Kind = "stray entry"
)

// Finding is something true of the job now that a person should know.
type Finding struct {
	Kind    Kind
	Key     string   // what an owner's written reason refers to
	About   string   // position or setting
	Says    string   // one sentence
	Rests   string   // what it rests on
	Mend    string   // the way out
	Before  []string // positions that wait for it, or HandOver
	Test    string   // the test that mends it
	Allowed string   // the reason with which it was passed
}

// LooseEnds are what was begun and not finished, each once and without those that the
// owner has passed. A setting that is not proven is told of as such, not here.
func (v *View) LooseEnds() []Finding {
	var out []Finding
	for _, f := range v.Findings {
		same := func(o Finding) bool { return o.Says == f.Says }
		if f.Kind == Loose && f.Allowed == "" && !strings.HasPrefix(f.Key, "setting/") && !slices.ContainsFunc(out, same) {
			out = append(out, f)
		}
	}
	return out
}

// Key names a finding so that a reason can refer to it.
func Key(parts ...string) string { return strings.Join(parts, "/") }

func (v *View) findings() []Finding {
	var out []Finding
	if v.Box != nil {
		out = append(out, v.looseEnds()...)
		out = append(out, v.settingHolds()...)
		out = append(out, v.brokenRules()...)
		out = append(out, v.wrongParts()...)
		out = append(out, v.verdicts()...)
		out = append(out, v.starts()...)
		out = append(out, v.notes()...)
		if v.Closed == nil {
			out = append(out, v.coldHolds()...)
			out = append(out, v.testHolds()...)
		}
	}
	out = append(out, v.mysteries()...)
	for _, s := range v.Stray {
		out = append(out, Finding{Kind: Stray, Says: s, Mend: "strike it, or open the book with the program that wrote it"})
	}
	for i, f := range out {
		if a, ok := v.Allowed[f.Key]; ok && f.Key != "" && v.Passed[f.Key] > v.since(f) {
			out[i].Allowed = a.Why
		}
	}
	// A hold that was passed no longer holds.
	return slices.DeleteFunc(out, func(f Finding) bool { return f.Kind == Hold && f.Allowed != "" })
}

// since is the entry that made a finding what it is: a reason written before it
// was about something else.
func (v *View) since(f Finding) int {
	if f.Kind != Hold && f.Kind != Loose {
		return 0
	}
	seq := 0
	if sp := v.Spots[f.About]; sp != nil {
		seq = sp.Changed
		if sp.Torqued != nil {
			seq = max(seq, sp.Torqued.Seq)
		}
		if sp.Locked != nil {
			seq = max(seq, sp.Locked.Seq)
		}
		if sp.Heated != nil {
			seq = max(seq, sp.Heated.Seq)
		}
	}
	if r, ok := v.Setting(f.About); ok {
		for _, id := range r.Seats() {
			seq = max(seq, v.Changed(id))
		}
	}
	if f.Test != "" {
		seq = max(seq, v.testSince(f.Test))
	}
	return seq
}

func (v *View) looseEnds() []Finding {
	var out []Finding
	for _, p := range v.Box.All() {
		sp := v.Spots[p.ID]
		if sp == nil || sp.Fitted == nil {
			continue
		}
		out = append(out, v.looseAt(p, sp)...)
	}
	return out
}

// looseAt finds what is begun and not finished at one position. A fastening
// that is not finished holds every lid that would close over it.
func (v *View) looseAt(p *gearbox.Position, sp *job.Spot) []Finding {
	var out []Finding
	loose := func(key, says, rests, mend string) {
		out = append(out, Finding{Kind: Loose, Key: Key(key, p.ID), About: p.ID, Says: says, Rests: rests, Mend: mend})
		if lids := v.lidsOver(p); len(lids) > 0 {
			out = append(out, Finding{Kind: Hold, Key: Key("hold", key, p.ID), About: p.ID, Says: says, Rests: rests, Mend: mend, Before: lids})
		}
	}
	fitted := fmt.Sprintf("fitted in entry %d", sp.Fitted.Seq)
	if sp.Fitted.Is.Trial {
		loose("trial", "a trial piece is still fitted at "+p.Label(), fitted, "fit the final one")
	}
	if p.Fastening() {
		lock := p.Lock.Text(v.Built)
		switch {
		case sp.Torqued == nil:
			loose("torque", p.Label()+" is on but not torqued", fitted, "torque it to "+p.Torque.Text(v.Built))
		case sp.Torqued.Is.Trial:
			loose("torque", p.Label()+" is torqued for trial only", fmt.Sprintf("entry %d", sp.Torqued.Seq), "torque it finally when the settings are proven")
		case lock != "" && sp.Locked == nil:
			loose("lock", p.Label()+" is torqued and not locked", fmt.Sprintf("torqued in entry %d", sp.Torqued.Seq), "lock it: "+lock)
		case sp.Locked != nil && sp.Locked.Seq < sp.Torqued.Seq:
			loose("lock", p.Label()+" was locked before its final torque", fmt.Sprintf("locked in entry %d, torqued in entry %d", sp.Locked.Seq, sp.Torqued.Seq), "renew the lock")
		case sp.Locked != nil && len(sp.Locked.Is.Photos) == 0:
			if lids := v.lidsOver(p); len(lids) > 0 {
				out = append(out, Finding{Kind: Hold, Key: Key("hold", "photo", p.ID), About: p.ID, Says: "the lock of " + p.Label() + " is not photographed, and will be covered",
					Rests: fmt.Sprintf("locked in entry %d", sp.Locked.Seq), Mend: "photograph it", Before: lids})
			}
		}
		if sp.Torqued != nil && !sp.Torqued.Is.Trial {
			out = append(out, v.torqueVerdict(p, sp)...)
		}
	}
	if n := v.counted(p); n > 0 && n != max(1, p.Count) {
		loose("count", fmt.Sprintf("%s takes %d and %d are on", p.Label(), max(1, p.Count), n), fitted, "count again, and fit as many as belong there")
	}
	for _, t := range v.At[p.ID] {
		if p.Once && slices.Contains(sp.AsFound, t) {
			loose("once", fmt.Sprintf("the old %s is back at %s: it is a one-way part", p.Name, p.ID), fitted, "fit a new one")
		}
		if pc := v.Pieces[t]; pc != nil && pc.Marks["borrowed"] != "" {
			loose("borrowed", fmt.Sprintf("%s at %s is borrowed from %s", t, p.Label(), pc.Marks["borrowed"]), fitted, "fit one of its own, and give it back")
		}
	}
	return out
}

// counted is how many are on at a position, 0 where that is not known or a pack
// is chosen to measure.
func (v *View) counted(p *gearbox.Position) int {
	n := 0
	for _, t := range v.At[p.ID] {
		pc := v.Pieces[t]
		if p.Seat != nil || pc == nil || pc.Count == 0 {
			return 0
		}
		n += pc.Count
	}
	return n
}

// torqueVerdict tells a fastening that was not brought to its torque.
func (v *View) torqueVerdict(p *gearbox.Position, sp *job.Spot) []Finding {
	want, ok := p.Torque.SI(v.Built)
	got := sp.Torqued.Is
	var out []Finding
	if ok && math.Abs(got.Torque-want) > math.Max(0.05*want, 2*got.U) {
		out = append(out, Finding{Kind: Loose, Key: Key("torque off", p.ID), About: p.ID,
			Says:  fmt.Sprintf("%s was brought to %.0f N·m, wanted %s", p.Label(), got.Torque, p.Torque.Text(v.Built)),
			Rests: fmt.Sprintf("entry %d: %s, %s", sp.Torqued.Seq, got.Method, got.Reading), Mend: "torque it again"})
	}
	for _, w := range got.Warnings {
		out = append(out, Finding{Kind: Loose, Key: Key("torque doubt", p.ID), About: p.ID, Says: p.Label() + ": " + w,
			Rests: fmt.Sprintf("entry %d", sp.Torqued.Seq), Mend: "do the sum with it and torque again"})
	}
	return out
}

// lidsOver are the parts not yet on that would close over p.
func (v *View) lidsOver(p *gearbox.Position) []string {
	var out []string
	for _, q := range v.Box.All() {
		if q.Lid() && !v.aboard(q.ID) && slices.Contains(v.Box.Under(q.ID), p) {
			out = append(out, q.ID)
		}
	}
	return out
}

// settingHolds tells which settings are not proven, and what they hold up.
func (v *View) settingHolds() []Finding {
	var out []Finding
	for _, r := range v.Settings {
		if r.Proven || !v.touches(r) && !v.misfit(r) {
			continue
		}
		rests := "no reading that still holds"
		if r.Known {
			rests = fmt.Sprintf("%s, wanted %s", setup.Text(r.Value, r.U, r.Unit), setup.Range(r.Lo, r.Hi, r.HasLo, r.HasHi, r.Unit))
		}
		f := Finding{Kind: Loose, Key: Key("setting", r.Name), About: r.Name, Says: r.Name + " is not proven: " + r.Why, Rests: rests, Mend: "open the setting"}
		out = append(out, f)
		if len(r.Before) > 0 {
			f.Kind, f.Before, f.Key = Hold, r.Before, Key("hold", "setting", r.Name)
			out = append(out, f)
		}
	}
	return out
}

// verdicts tells every reading that is out or worn, on pieces still in question.
func (v *View) verdicts() []Finding {
	var out []Finding
	for _, m := range v.Box.Measures {
		rs := v.ReadingsOf(m.Name)
		if len(rs) == 0 || m.Before {
			continue
		}
		r := rs[len(rs)-1]
		if !v.Valid(r) {
			continue
		}
		j := setup.Judge(v.State, m, r)
		says := ""
		switch {
		case j.Verdict == uncert.Out:
			says = fmt.Sprintf("%s is %s, wanted %s: out", m.Name, j.Text, j.Wanted)
		case j.SpreadOut:
			says = fmt.Sprintf("%s varies by %s around the turn, more than %s: look for run-out", m.Name, setup.Text(j.Spread, 0, m.Unit), setup.Text(j.Allows, 0, m.Unit))
		case j.Verdict == uncert.Close:
			says = fmt.Sprintf("%s is %s, wanted %s: too close to call, measure again", m.Name, j.Text, j.Wanted)
		case j.Plan:
			says = fmt.Sprintf("%s is %s: in, but plan to renew it", m.Name, j.Text)
		default:
			continue
		}
		out = append(out, Finding{Kind: Verdict, Key: Key("reading", m.Name), About: m.Name, Says: says,
			Rests: fmt.Sprintf("entry %d; limit from %s", r.Seq, j.From), Mend: "decide on the part, or measure again"})
	}
	return out
}

// Temporary is the topic of a note that something is in only for now: a tie, a
// dummy bearing, a cover for transport.
const Temporary = "temporary"

// notes brings a note up before the part it must be answered before. One about
// something temporary is loose until it is answered, and holds every lid over it.
func (v *View) notes() []Finding {
	var out []Finding
	for _, e := range v.Notes {
		var n job.Noted
		if json.Unmarshal(e.Body, &n) != nil || v.Answers[e.ID] != "" {
			continue
		}
		rests := fmt.Sprintf("entry %d", e.Seq)
		if n.Topic == Temporary {
			out = append(out, Finding{Kind: Loose, Key: Key("temporary", e.ID), About: n.Position, Says: "in only for now: " + n.Text, Rests: rests, Mend: "take it out, then answer the note"})
			if p, ok := v.Box.Position(n.Position); ok {
				if lids := v.lidsOver(p); len(lids) > 0 {
					out = append(out, Finding{Kind: Hold, Key: Key("hold", "temporary", e.ID), About: n.Position, Says: "in only for now: " + n.Text, Rests: rests, Mend: "take it out, then answer the note", Before: lids})
				}
			}
		}
		if n.Until != "" && !v.aboard(n.Until) {
			out = append(out, Finding{Kind: Hold, Key: Key("note", e.ID), About: n.Until, Before: []string{n.Until},
				Says: "your note: " + n.Text, Rests: rests, Mend: "do it, then answer the note"})
		}
	}
	return out
}

// starts tells torques read as the part began to turn.
func (v *View) starts() []Finding {
	var out []Finding
	for _, m := range v.Box.Measures {
		rs := v.ReadingsOf(m.Name)
		if len(rs) > 0 && rs[len(rs)-1].Is.State == job.Starting {
			r := rs[len(rs)-1]
			out = append(out, Finding{Kind: Loose, Key: Key("starting", m.Name), About: m.Name, Says: m.Name + " was read as it started to turn, which does not count",
				Rests: fmt.Sprintf("entry %d: %s", r.Seq, strings.Join(r.Is.Values, ", ")), Mend: "read it again in steady turning"})
		}
	}
	return out
}
