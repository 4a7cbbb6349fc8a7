package web

import (
	"fmt"
	"html/template"
	"maps"
	"math"
	"net/url"
	"slices"
	"strings"

	"endfloat/calc/runout"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
	"endfloat/internal/shop"
)

type lookRow struct {
	shop.Inspection
	Href string
	Off  bool
}

type lookGroup struct {
	Title string
	Rows  []lookRow
	Open  int
}

type inspectionPage struct {
	frame
	Groups []lookGroup
	Counts []wordCount
	Open   int
	First  string // the first that is off and has not been looked at
	Rings  bool
	NoFile bool
}

type wordCount struct {
	Word string
	N    int
}

// inspection lists every part with what is known of it.
func (s *server) inspection(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := inspectionPage{frame: v.jobFrame(d, "Look and measure"), NoFile: d.Box == nil}
	counts := map[string]int{}
	for _, in := range d.Inspections() {
		row := lookRow{Inspection: in, Href: lookHref(d, in.Position.ID)}
		row.Off = inHand(d, in.Position.ID)
		counts[in.Word]++
		name := in.Position.Carrier.Name
		if len(p.Groups) == 0 || p.Groups[len(p.Groups)-1].Title != name {
			p.Groups = append(p.Groups, lookGroup{Title: name})
		}
		g := &p.Groups[len(p.Groups)-1]
		g.Rows = append(g.Rows, row)
		if row.Off && in.Open > 0 {
			g.Open++
			p.Open++
			if p.First == "" {
				p.First = row.Href
			}
		}
	}
	for _, w := range []string{shop.Replace, shop.Close, shop.Plan, shop.Good} {
		if counts[w] > 0 {
			p.Counts = append(p.Counts, wordCount{w, counts[w]})
		}
	}
	t, err := s.sh.Rings(v.r.Context(), d)
	p.Rings = err == nil && len(t.Rings) > 0 && len(t.Cones) > 0
	return v.show("looks", p)
}

// inHand reports whether the part of a position is off, and nothing is in its place.
func inHand(d *shop.Desk, id string) bool {
	sp := d.Spots[id]
	return sp != nil && sp.Off != nil && len(d.At[id]) == 0
}

func lookHref(d *shop.Desk, id string) string {
	return "/job/" + d.Book + "/look/" + url.PathEscape(id)
}

// lookAsk is one thing to look at as the page asks it.
type lookAsk struct {
	shop.LookState
	Field string
	Saw   string // ticked
}

// readAsk is one thing to measure, with every set of readings kept.
type readAsk struct {
	shop.ReadState
	Href  string
	Word  string
	Text  string
	Guard string
	Limit string
	From  string
	Kept  []keptSet
}

type keptSet struct {
	Typed string
	With  string
	Seq   int
	Old   bool // of a piece no longer there
	Dial  string
}

type lookPage struct {
	frame
	Part     shop.Inspection
	Looks    []lookAsk
	Reads    []readAsk
	Saws     []string
	Next     string
	RunOut   string // address, for what turns
	Ring     bool
	Near     picture
	Seen     []string // photos of it
	Repaired []act
	Damage   string
}

// lookAt is one part: what to look at, what to measure, and what it comes to.
func (s *server) lookAt(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showLook(v, d)
}

func (s *server) showLook(v *visit, d *shop.Desk) error {
	pos, err := placeOf(d, v.r.PathValue("pos"))
	if err != nil {
		return err
	}
	p := lookPage{frame: v.jobFrame(d, "Look at "+pos.Label()), Part: d.Inspect(pos), Saws: shop.Saw}
	p.Bench = true
	for _, l := range p.Part.Looks {
		a := lookAsk{LookState: l, Field: "saw " + l.At, Saw: p.ticked(l)}
		p.Looks = append(p.Looks, a)
	}
	for _, r := range p.Part.Reads {
		p.Reads = append(p.Reads, readAskOf(d, r))
	}
	if d.Box != nil {
		p.Near = around(d, pos)
		p.Next = nextLook(d, pos.ID)
	}
	if turns(pos) {
		p.RunOut = query("/job/"+d.Book+"/runout", "pos", pos.ID)
	}
	for _, r := range p.Part.Reads {
		p.Ring = p.Ring || strings.Contains(r.Name, "ring gap")
	}
	if sp := d.Spots[pos.ID]; sp != nil {
		p.Seen = sp.Photos
		if sp.Off != nil {
			p.Damage = sp.Off.Is.Damage
		}
	}
	for _, r := range d.Repaired {
		if r.Is.Position == pos.ID {
			p.Repaired = append(p.Repaired, s.actOf(v, d, r.Entry))
		}
	}
	return v.show("look", p)
}

// ticked is what is ticked for a look: what was typed before a refusal, else what was
// seen last.
func (p lookPage) ticked(l shop.LookState) string {
	if t := p.In.Get("saw " + l.At); t != "" || l.Done == nil {
		return t
	}
	return l.Done.Is.Saw
}

func readAskOf(d *shop.Desk, r shop.ReadState) readAsk {
	a := readAsk{ReadState: r, Word: r.Word(), Text: r.Judge.Text, Href: query("/job/"+d.Book+"/read/one", "what", r.Name)}
	if l := r.Measure.Limit; l != nil {
		lo, hi, hasLo, hasHi := l.Band.At(d.Built)
		a.Limit, a.From = setup.Range(lo, hi, hasLo, hasHi, r.Unit), l.From
	}
	if r.Guard > 0 {
		a.Guard = setup.Text(r.Guard, 0, r.Unit)
	}
	for i := len(r.Sets) - 1; i >= 0; i-- {
		set := r.Sets[i]
		a.Kept = append(a.Kept, keptSet{strings.Join(set.Is.Values, " · ") + unitIfBare(set.Is.Values, set.Is.Unit), set.Is.With, set.Seq, !d.Valid(set), strings.Join(set.Is.Dial, " · ")})
	}
	return a
}

// turns tells the parts whose run-out can be read.
func turns(p *gearbox.Position) bool {
	for _, w := range []string{"shaft", "gear", "wheel", "crown", "flange", "hub", "drum"} {
		if strings.Contains(p.Kind, w) {
			return true
		}
	}
	return false
}

// nextLook is the next part that is off and still to be looked at.
func nextLook(d *shop.Desk, after string) string {
	all := d.Inspections()
	at := slices.IndexFunc(all, func(in shop.Inspection) bool { return in.Position.ID == after })
	for i := range all {
		in := all[(at+1+i)%len(all)]
		if inHand(d, in.Position.ID) && in.Open > 0 && in.Position.ID != after {
			return lookHref(d, in.Position.ID)
		}
	}
	return ""
}

// looked records what was seen of a part for everything that was answered.
func (s *server) looked(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	pos, err := placeOf(d, v.r.PathValue("pos"))
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		err = s.recordLooks(v, d, pos)
	}
	if err == nil {
		after, err := v.open()
		if err != nil {
			return err
		}
		if in := after.Inspect(pos); in.Open == 0 {
			if next := nextLook(after, pos.ID); next != "" {
				return v.go303(next)
			}
		}
		return v.go303(lookHref(d, pos.ID) + "#so")
	}
	if err := v.refused("look", err); err != nil {
		return err
	}
	return s.showLook(v, d)
}

func (s *server) recordLooks(v *visit, d *shop.Desk, pos *gearbox.Position) error {
	keys, err := v.photos()
	if err != nil {
		return err
	}
	var seen []job.Looked
	for _, l := range d.Inspect(pos).Looks {
		saw := v.trimmed("saw " + l.At)
		if saw == "" && v.r.FormValue("rest") != "" {
			saw = shop.Good
		}
		if saw == "" || l.Done != nil && l.Done.Is.Saw == saw && v.trimmed("says") == "" && len(keys) == 0 {
			continue // as it stands in the book
		}
		seen = append(seen, job.Looked{Position: pos.ID, At: l.At, Saw: saw})
	}
	if own := v.trimmed("own"); own != "" {
		seen = append(seen, job.Looked{Position: pos.ID, At: own, Saw: v.trimmed("own saw")})
	}
	if len(seen) > 0 { // words and photos go with what speaks against it
		i := max(0, slices.IndexFunc(seen, func(b job.Looked) bool { return b.Saw != shop.Good }))
		seen[i].Says, seen[i].Photos = v.trimmed("says"), keys
	}
	_, err = s.sh.LookAt(v.r.Context(), v.by(), d.Book, seen)
	return err
}

type runOutPage struct {
	frame
	Pos                             *gearbox.Position
	Positions                       []*gearbox.Position
	What, Symbol                    string
	Wanted, From                    string
	N                               int
	Ns                              []int
	Fields                          []int
	Tools                           []string
	With                            string
	Wave                            *runout.Wave
	Round                           template.HTML
	Swing, Offset, High, Form, Seen string
	Word                            string
	Question                        bool
	Dial                            string
	Seq                             int
}

// runOut asks for a dial at equal places once round a part.
func (s *server) runOut(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showRunOut(v, d)
}

func (s *server) showRunOut(v *visit, d *shop.Desk) error {
	p := runOutPage{frame: v.jobFrame(d, "Run-out"), Symbol: "mm", N: 8, Ns: []int{4, 6, 8, 12}, With: "dial indicator", Tools: slices.Sorted(maps.Keys(d.Stores.Instruments))}
	p.Bench = true
	if d.Box != nil {
		for _, q := range d.Box.All() {
			if turns(q) {
				p.Positions = append(p.Positions, q)
			}
		}
	}
	if id := v.r.FormValue("pos"); id != "" {
		pos, err := placeOf(d, id)
		if err != nil {
			return err
		}
		p.Pos, p.What, p.Title = pos, d.RunOutOf(pos), "Run-out of "+pos.Label()
	}
	for _, n := range p.Ns {
		if fmt.Sprint(n) == v.r.FormValue("places") {
			p.N = n
		}
	}
	if typed := len(v.r.Form["value"]); typed > 0 && v.refuse != nil {
		p.N = typed
	}
	for i := range p.N {
		p.Fields = append(p.Fields, i)
	}
	p.Question = v.refuse != nil && strings.Contains(v.refuse.Says, "say you are sure")
	p.result(d)
	return v.show("runout", p)
}

// result shows what the last turn said.
func (p *runOutPage) result(d *shop.Desk) {
	if p.What == "" {
		return
	}
	mm, _ := unit.Find("mm", unit.KindLength)
	if d.Box != nil {
		if m, ok := d.Box.Measure(p.What); ok && m.Limit != nil {
			lo, hi, hasLo, hasHi := m.Limit.Band.At(d.Built)
			p.Wanted, p.From = setup.Range(lo, hi, hasLo, hasHi, m.Unit), m.Limit.From
		}
	}
	rs := d.ReadingsOf(p.What)
	for i := len(rs) - 1; i >= 0; i-- {
		w, ok := d.DialOf(rs[i])
		if !ok || !d.Valid(rs[i]) {
			continue
		}
		p.Wave, p.Seq = &w, rs[i].Seq
		mean := setup.MeanOf(d.State, nil, rs[i])
		p.Swing = setup.Text(mean.Value, mean.U, mm)
		p.Offset = setup.Text(float64(w.E), float64(w.UE), mm)
		p.High = fmt.Sprintf("%.0f° ± %.0f°", float64(w.At)*180/math.Pi, float64(w.UAt)*180/math.Pi)
		p.Form = setup.Text(float64(w.Form), 0, mm)
		p.Dial = strings.Join(rs[i].Is.Dial, " · ")
		p.Round = roundOf(d.Dialled(p.What, rs[i]))
		if seen, err := runout.Seen(len(rs[i].Is.Dial)); err == nil && seen < 0.995 {
			p.Seen = fmt.Sprintf("%d places may miss up to %.0f %% of it.", len(rs[i].Is.Dial), (1-seen)*100)
		}
		if d.Box != nil {
			if m, ok := d.Box.Measure(p.What); ok {
				p.Word = string(setup.Judge(d.State, m, rs[i]).Verdict)
			}
		}
		return
	}
}

// dialled records a dial once round a part.
func (s *server) dialled(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		var keys []string
		if keys, err = v.photos(); err == nil {
			typed := slices.DeleteFunc(slices.Clone(v.r.Form["value"]), func(s string) bool { return strings.TrimSpace(s) == "" })
			b := job.Read{What: v.trimmed("what"), Dial: typed, With: v.trimmed("with"), Note: v.trimmed("note"), Sure: v.r.FormValue("sure") != "", Photos: keys}
			if len(typed) < 4 {
				err = invalid("a turn is read at four equal places or more; %d were typed", len(typed))
			} else {
				_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, b)
			}
		}
	}
	if err == nil {
		return v.go303(query("/job/"+d.Book+"/runout", "pos", v.trimmed("pos"), "places", fmt.Sprint(len(v.r.Form["value"]))))
	}
	if err := v.refused("runout", err); err != nil {
		return err
	}
	return s.showRunOut(v, d)
}
