package web

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// factPage are the pages on which facts are recorded: what is sent to them may have
// waited on a device.
var factPage = regexp.MustCompile(`^/job/[^/]+/(strip|read/one|note|receive/(sides|marks|complete|gears|oil|loose)|clean|repair|runout|rings|look/[^/]+)$`)

type receivePage struct {
	frame
	Tasks []shop.ReceiveTask
	Open  int
	Next  string // key of the first task that is open
	Late  bool   // something is off already
}

// receive lists what there is to record of a unit that comes in.
func (s *server) receive(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := receivePage{frame: v.jobFrame(d, "Receive"), Tasks: d.Receiving(), Late: d.Arc() != "received" && !d.Opened.Donor}
	for _, t := range p.Tasks {
		if !t.Done {
			p.Open++
			if p.Next == "" {
				p.Next = t.Key
			}
		}
	}
	return v.show("receive", p)
}

// toReceive is how many things of how a unit came in are still to be recorded: asked
// only while nothing has come off.
func toReceive(d *shop.Desk) int {
	n := 0
	if d.Arc() != "received" {
		return 0
	}
	for _, t := range d.Receiving() {
		if !t.Done {
			n++
		}
	}
	return n
}

// aside is the work that no step of building waits for in so many words: receiving,
// washing, looking.
type aside struct{ Receive, Unwashed, Looks int }

func asideOf(d *shop.Desk) aside {
	a := aside{Receive: toReceive(d), Unwashed: len(d.Unwashed())}
	for _, in := range d.Inspections() {
		if in.Open > 0 && inHand(d, in.Position.ID) {
			a.Looks++
		}
	}
	return a
}

// symptomRow is one gear with what can be wrong in it.
type symptomRow struct {
	Gear  string
	Field string
	Says  string // as recorded
	Marks []tickMark
}

type tickMark struct {
	Word string
	On   bool
}

type sidePick struct{ Side, Photo string }

type earlyRow struct {
	shop.EarlyRead
	Href string
	Text string // what was read
}

type receivePartPage struct {
	frame
	Part     string
	N, Of    int // which of how many
	Was      job.Received
	Sides    []sidePick
	Side     string // that is asked for
	Gears    []symptomRow
	Magnet   []struct{ Find, Means string }
	Before   []earlyRow
	Estimate *job.Estimate
	Approved *job.Approved
	May      string
	Asked    string
	What     string // proposed words of the customer's yes
	Levels   []string
}

// receivePart asks one thing of a unit that comes in.
func (s *server) receivePart(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showPart(v, d)
}

func (s *server) showPart(v *visit, d *shop.Desk) error {
	p := receivePartPage{frame: v.jobFrame(d, ""), Part: v.r.PathValue("part"), Was: d.AsReceived(), Magnet: shop.Magnet, Levels: shop.Levels}
	p.Bench = true
	tasks := d.Receiving()
	for i, t := range tasks {
		if t.Key == p.Part {
			p.Title, p.N, p.Of = t.Title, i+1, len(tasks)
		}
	}
	if p.N == 0 {
		return missing("nothing is called %q that is recorded as a unit comes in", p.Part)
	}
	switch p.Part {
	case "sides":
		p.sides()
	case "gears":
		p.gears(d)
	case "before":
		p.before(d)
	case "estimate", "agreed":
		s.agreement(v, d, &p)
	}
	return v.show("receivepart", p)
}

func (p *receivePartPage) sides() {
	p.Side = p.In.Get("side")
	for _, side := range shop.Sides {
		p.Sides = append(p.Sides, sidePick{side, p.Was.Sides[side]})
		if p.Side == "" && p.Was.Sides[side] == "" {
			p.Side = side
		}
	}
}

func (p *receivePartPage) gears(d *shop.Desk) {
	for _, g := range append(d.Speeds(), "all") {
		row := symptomRow{Gear: g, Field: "gear " + g, Says: p.Was.Gears[g]}
		if p.In.Has("id") {
			row.Says = strings.Join(p.In[row.Field], ", ")
		}
		for _, w := range shop.Symptoms {
			row.Marks = append(row.Marks, tickMark{w, strings.Contains(row.Says, w)})
		}
		if g != "all" {
			p.Gears = append(p.Gears, row)
		}
	}
}

func (p *receivePartPage) before(d *shop.Desk) {
	base := p.Unit.Base
	for _, e := range d.Before() {
		row := earlyRow{EarlyRead: e, Href: query(base+"/read/one", "what", e.What)}
		switch {
		case e.Measure == nil && strings.Contains(e.What, "pattern") && d.HasCrown():
			row.Href = base + "/pattern"
		case e.Measure == nil:
			row.Href = query(base+"/note", "topic", e.What)
		}
		if rs := d.ReadingsOf(e.What); len(rs) > 0 {
			row.Text = strings.Join(rs[len(rs)-1].Is.Values, ", ") + " " + rs[len(rs)-1].Is.Unit
		}
		p.Before = append(p.Before, row)
	}
}

// agreement fills in what was estimated and who may say yes to it.
func (s *server) agreement(v *visit, d *shop.Desk, p *receivePartPage) {
	ctx := v.r.Context()
	p.Asked, p.May = d.Opened.Asked, s.sh.Name(ctx, d.Opened.Owner)
	if e := d.State.Estimate; e != nil {
		p.Estimate = &e.Is
		if e.Is.Asked != "" {
			p.Asked = e.Is.Asked
		}
		if e.Is.May != "" {
			p.May = s.sh.Name(ctx, e.Is.May)
		}
		p.What = "the estimate of " + e.Is.Low + " to " + e.Is.High + ", stopping " + e.Is.Stop
	}
	if a := d.State.Approved; a != nil {
		p.Approved = &a.Is
	}
}

// received records one thing of a unit that comes in and goes on to the next.
func (s *server) received(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	var after *shop.Desk
	if err = v.form(); err == nil {
		after, err = s.recordReceived(v, d)
	}
	if err != nil {
		if err := v.refused("receive", err); err != nil {
			return err
		}
		return s.showPart(v, d)
	}
	base, part := "/job/"+d.Book+"/receive", v.r.PathValue("part")
	tasks := after.Receiving()
	at := slices.IndexFunc(tasks, func(t shop.ReceiveTask) bool { return t.Key == part })
	if part == "sides" && !tasks[at].Done {
		return v.go303(base + "/sides")
	}
	for _, t := range tasks[at+1:] {
		if !t.Done {
			return v.go303(base + "/" + t.Key)
		}
	}
	return v.go303(base)
}

func (s *server) recordReceived(v *visit, d *shop.Desk) (*shop.Desk, error) {
	keys, err := v.photos()
	if err != nil {
		return nil, err
	}
	b, err := v.receivedBody(d, keys)
	if err != nil {
		return nil, err
	}
	return s.sh.Record(v.r.Context(), v.by(), d.Book, b)
}

// receivedBody is the entry that a form of receiving makes.
func (v *visit) receivedBody(d *shop.Desk, keys []string) (job.Body, error) {
	f := v.trimmed
	switch part := v.r.PathValue("part"); part {
	case "sides":
		if len(keys) == 0 {
			return nil, invalid("photo: take one with the letter card in the picture")
		}
		return job.Received{Sides: map[string]string{f("side"): keys[0]}, Photos: keys}, nil
	case "marks":
		return job.Received{Marks: f("marks"), Photos: keys}, nil
	case "complete":
		return job.Received{Complete: f("complete"), Missing: f("missing"), Photos: keys}, nil
	case "gears":
		b := job.Received{Gears: map[string]string{}, Outside: f("outside"), Photos: keys}
		for _, g := range d.Speeds() {
			if says := strings.Join(v.r.Form["gear "+g], ", "); says != "" {
				b.Gears[g] = says
			} else if d.AsReceived().Gears[g] != "" {
				b.Gears[g] = "nothing"
			}
		}
		if all := f("all"); all != "" {
			b.Gears["all"] = all
		}
		if len(b.Gears) == 0 && b.Outside == "" {
			b.Gears["all"] = "nothing wrong in any gear, as far as is known"
		}
		return b, nil
	case "oil":
		oil := joined(", ", f("volume"), f("colour"), f("smell"), f("water"))
		return job.Received{Oil: oil, Debris: joined("; ", strings.Join(v.r.Form["find"], ", "), f("debris")), Photos: keys}, nil
	case "loose":
		return job.Received{Loose: cmp.Or(f("loose"), f("nothing")), Photos: keys}, nil
	case "estimate":
		return job.Estimate{Asked: f("asked"), Level: f("level"), Low: f("low"), High: f("high"), Stop: f("stop"), May: f("may"), Above: f("above")}, nil
	case "agreed":
		return job.Approved{Level: f("level"), What: f("what"), By: f("by"), How: f("how")}, nil
	default:
		return nil, missing("nothing is recorded under %q", part)
	}
}

func joined(with string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), with)
}
