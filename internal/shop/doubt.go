package shop

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/setup"
)

// Wrong is what it costs to have been wrong about a part: to get back to it once
// the unit is together, and to put it together again.
type Wrong struct {
	plan.Reach
	Hours float64
	Money string // at the workshop's rate, "" where none is written down
	Rate  string
}

// IfWrong works out the cost of being wrong about a position.
func (sh *Shop) IfWrong(ctx context.Context, d *Desk, position string) (Wrong, error) {
	terms, err := sh.TermsOf(ctx, d)
	if err != nil || d.Box == nil {
		return Wrong{}, err
	}
	return ifWrong(d, position, terms.Hour), nil
}

// Says is the time and the money: "11.0 h, 528 EUR".
func (w Wrong) Says() string { return list(plan.Hours(w.Minutes+w.Proving), w.Money) }

func ifWrong(d *Desk, position, hour string) Wrong {
	w := Wrong{Reach: d.ReachBuilt(position), Rate: hour}
	w.Hours = (w.Minutes + w.Proving) / 60
	if rate, unit, err := figureOf(hour); err == nil && rate > 0 {
		w.Money = strings.TrimSpace(fmt.Sprintf("%.0f %s", rate*w.Hours, strings.TrimSpace(strings.Split(unit+"/", "/")[0])))
	}
	return w
}

// Doubt is a part that may go back and of which it is not sure that it should.
type Doubt struct {
	Position *gearbox.Position
	Why      []string
	Decided  string // reuse or repair, "" while it is open
	Wrong    Wrong
}

// Doubts are the parts that came off, are not to be replaced, and are doubtful:
// the dearest to have been wrong about first.
func (sh *Shop) Doubts(ctx context.Context, d *Desk) ([]Doubt, error) {
	if d.Box == nil {
		return nil, nil
	}
	terms, err := sh.TermsOf(ctx, d)
	if err != nil {
		return nil, err
	}
	var out []Doubt
	for _, p := range d.Box.All() {
		sp := d.Spots[p.ID]
		if sp == nil || sp.Off == nil {
			continue
		}
		choice := ""
		if sp.Decided != nil {
			choice = sp.Decided.Is.Choice
		}
		if why := d.doubtful(p); len(why) > 0 && slices.Contains([]string{"", "reuse", "repair"}, choice) {
			out = append(out, Doubt{p, why, choice, ifWrong(d, p.ID, terms.Hour)})
		}
	}
	slices.SortStableFunc(out, func(a, b Doubt) int { return cmp.Compare(b.Wrong.Minutes, a.Wrong.Minutes) })
	return out, nil
}

// Doubtful says why it is not sure that the part that came off a position is good.
func (d *Desk) Doubtful(position string) []string {
	if d.Box == nil || d.Spots[position] == nil {
		return nil
	}
	p, ok := d.Box.Position(position)
	if !ok {
		return nil
	}
	return d.doubtful(p)
}

// doubtful says why it is not sure that the part that came off is good.
func (d *Desk) doubtful(p *gearbox.Position) []string {
	var why []string
	sp := d.Spots[p.ID]
	if sp.Off != nil && sp.Off.Is.Damage != "" {
		why = append(why, sp.Off.Is.Damage)
	}
	for _, m := range p.Checks {
		rs := d.ReadingsOf(m.Name)
		if len(rs) == 0 {
			continue
		}
		j := setup.Judge(d.State, m, rs[len(rs)-1])
		name := strings.TrimPrefix(m.Name, p.ID+" ")
		switch {
		case j.Verdict == uncert.Out:
			why = append(why, name+" "+j.Text+": out")
		case j.Verdict == uncert.Close:
			why = append(why, name+" "+j.Text+": too close to call")
		case j.Plan:
			why = append(why, name+" "+j.Text+": plan to renew it")
		}
	}
	seen := map[string]bool{}
	for _, l := range slices.Backward(d.Looked[p.ID]) {
		if !seen[l.Is.At] && l.Is.Saw != "good" {
			why = append(why, list(l.Is.At+": "+l.Is.Saw, l.Is.Says))
		}
		seen[l.Is.At] = true
	}
	return why
}

func list(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), ", ")
}

// ByRule is what the gearbox file says becomes of a part, "" where it says nothing:
// a one-way part is always new, and parts that are renewed together are.
func (d *Desk) ByRule(position string) (choice, why string) {
	if d.Box == nil {
		return "", ""
	}
	if p, ok := d.Box.Position(position); ok && p.Once {
		return "new", "one-way part, by the gearbox file"
	}
	parts := d.Parts()
	for _, r := range d.Box.Rules {
		if !r.Renew || !slices.Contains(r.Of, position) || !parts.Met(r.If) {
			continue
		}
		for _, mate := range r.Of {
			if q, ok := d.Box.Position(mate); ok && mate != position && parts.At[mate].Renewed && !q.Once {
				return d.Spots[mate].Decided.Is.Choice, "renewed with " + q.Label() + ", by the gearbox file"
			}
		}
	}
	return "", ""
}

// DecideByRule decides every open part of which the gearbox file says what becomes
// of it, and returns those positions. What a person has decided stays.
func (sh *Shop) DecideByRule(ctx context.Context, by By, book string) ([]string, error) {
	var done []string
	by.ID = "" // each is an entry of its own
	for {
		d, err := sh.Open(ctx, book)
		if err != nil {
			return done, err
		}
		id, choice, why := d.openByRule()
		if id == "" {
			return done, nil
		}
		if _, err := sh.Record(ctx, by, book, job.Decided{Position: id, Choice: choice, Why: why}); err != nil {
			return done, err
		}
		done = append(done, id)
	}
}

// OpenByRule counts the open parts that the rules of the file would decide now.
func (d *Desk) OpenByRule() int {
	n := 0
	d.eachOpenByRule(func(string, string, string) bool { n++; return true })
	return n
}

func (d *Desk) openByRule() (id, choice, why string) {
	d.eachOpenByRule(func(p, c, w string) bool { id, choice, why = p, c, w; return false })
	return id, choice, why
}

func (d *Desk) eachOpenByRule(fn func(id, choice, why string) bool) {
	if d.Box == nil {
		return
	}
	for _, p := range d.Box.All() {
		sp := d.Spots[p.ID]
		if sp == nil || sp.Off == nil || sp.Decided != nil || len(d.At[p.ID]) > 0 || p.Seat != nil {
			continue
		}
		if c, w := d.ByRule(p.ID); c != "" && !fn(p.ID, c, w) {
			return
		}
	}
}

// ToAgree are the things that the customer must say yes to before work goes on, in
// sentences; none when all that is decided was agreed.
func (sh *Shop) ToAgree(ctx context.Context, d *Desk) ([]string, error) {
	var out []string
	e, yes := d.State.Estimate, d.State.Approved
	since := 0
	switch {
	case e == nil:
		out = append(out, "no estimate was given: a range, and where work stops until they have heard")
	case yes == nil || yes.Seq < e.Seq:
		out = append(out, fmt.Sprintf("the estimate of %s to %s (entry %d), with the stop-point %s", e.Is.Low, e.Is.High, e.Seq, e.Is.Stop))
	}
	if yes != nil {
		since = yes.Seq
	}
	a, err := sh.Account(ctx, d)
	if err != nil {
		return nil, err
	}
	if e != nil && e.Is.HiIs > 0 && a.Sum > e.Is.HiIs {
		out = append(out, fmt.Sprintf("it comes to %s as it stands, more than the %s that was said", a.Money(a.Sum), e.Is.High))
	}
	out = append(out, d.decidedSince(since)...)
	for _, f := range d.Findings {
		if f.Allowed != "" && f.Kind == plan.Broken && d.Passed[f.Key] > since {
			out = append(out, f.Says+", kept because: "+f.Allowed)
		}
	}
	return out, nil
}

// decidedSince are the decisions after an entry that cost money, take a part from
// another unit, or put a doubtful one back.
func (d *Desk) decidedSince(seq int) []string {
	var out []string
	if d.Box == nil {
		return nil
	}
	for _, p := range d.Box.All() {
		sp := d.Spots[p.ID]
		if sp == nil || sp.Decided == nil || sp.Decided.Seq <= seq {
			continue
		}
		b := sp.Decided.Is
		because := ""
		if b.Why != "" {
			because = ", because " + b.Why
		}
		switch {
		case b.Choice == "reuse":
			if why := d.doubtful(p); len(why) > 0 {
				out = append(out, p.Label()+" goes back though doubtful ("+strings.Join(why, "; ")+")"+because)
			}
		case p.Once && b.Choice == "new":
		default:
			out = append(out, p.Label()+": "+b.Choice+because)
		}
	}
	return out
}
