package web

import (
	"cmp"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/report"
	"endfloat/internal/shop"
)

// testRow is a test with where it is filled in.
type testRow struct {
	plan.Test
	Href  string
	State string // done, failed, to do, again, waits
}

func testRows(d *shop.Desk) []testRow {
	var out []testRow
	for _, t := range d.Tests() {
		r := testRow{Test: t, Href: "/job/" + d.Book + "/tests/" + url.PathEscape(t.Name)}
		switch {
		case t.Proven():
			r.State = "done"
		case t.Done != nil && !t.Holds:
			r.State = "again: something was changed since"
		case t.Done != nil:
			r.State = "failed"
		case len(t.Waits) > 0:
			r.State = "waits"
		default:
			r.State = "to do"
		}
		out = append(out, r)
	}
	return out
}

type testsPage struct {
	frame
	Tests []testRow
	Turns []turnRow
	Side  string
	Lacks string // why the senses cannot be worked out
}

// turnRow is one speed as its teeth have it.
type turnRow struct {
	Speed, Ratio, Turns, Way string
	Wrong                    bool
}

// tests lists the proofs before closing and the tests after it.
func (s *server) tests(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := testsPage{frame: v.jobFrame(d, "Proofs and tests"), Tests: testRows(d)}
	if d.Box != nil {
		p.Side = d.Side()
		var senses []plan.Sense
		if d.Box.Rotation != nil && p.Side != "" {
			senses, p.Lacks = d.Senses(p.Side)
		}
		for i, m := range d.Box.Meshes {
			row := turnRow{Speed: m.Speed}
			if r, ok := d.Ratio(m.Speed); ok {
				row.Ratio = fmt.Sprintf("%.3f", r)
			}
			if n, ok := d.TurnsForTen(m.Speed); ok {
				row.Turns = fmt.Sprintf("%.1f", n)
			}
			if i < len(senses) {
				row.Way, row.Wrong = "toward the "+senses[i].Toward, senses[i].Wrong
			}
			p.Turns = append(p.Turns, row)
		}
	}
	return v.show("tests", p)
}

type testPage struct {
	frame
	Test   plan.Test
	Row    testRow
	Hold   *plan.Finding
	Matrix []matrixRow // of the interlock
}

// matrixRow is one rail in gear, and what each other one does.
type matrixRow struct {
	In   string
	Each []plan.Field
}

func (s *server) test(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showTest(v, d)
}

func (s *server) showTest(v *visit, d *shop.Desk) error {
	name := v.r.PathValue("name")
	i := slices.IndexFunc(testRows(d), func(r testRow) bool { return r.Name == name })
	if i < 0 {
		return missing("There is no test %q for %s now. Tests are listed once the building has begun.", name, d.Opened.Unit)
	}
	row := testRows(d)[i]
	p := testPage{frame: v.jobFrame(d, row.Title), Test: row.Test, Row: row}
	p.Bench = true
	for i, f := range d.Findings {
		if f.Test == name && f.Kind == plan.Hold {
			p.Hold = &d.Findings[i]
		}
	}
	if name == plan.Interlock {
		for _, f := range row.Fields {
			in, other, _ := strings.Cut(f.Ask, ": ")
			f.Ask = other
			if n := len(p.Matrix); n == 0 || p.Matrix[n-1].In != in {
				p.Matrix = append(p.Matrix, matrixRow{In: in})
			}
			last := &p.Matrix[len(p.Matrix)-1]
			last.Each = append(last.Each, f)
		}
	}
	return v.show("test", p)
}

func (s *server) recordTest(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		var keys []string
		if keys, err = v.photos(); err == nil {
			values := map[string]string{}
			if t, ok := d.TestOf(v.r.PathValue("name")); ok {
				for _, f := range t.Fields {
					if x := strings.TrimSpace(v.r.FormValue("f " + f.Key)); x != "" {
						values[f.Key] = x
					}
				}
			}
			_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, job.Tested{Test: v.r.PathValue("name"), Values: values,
				Witness: strings.TrimSpace(v.r.FormValue("witness")), Note: strings.TrimSpace(v.r.FormValue("note")), Photos: keys})
		}
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/tests")
	}
	if err := v.refused("test", err); err != nil {
		return err
	}
	return s.showTest(v, d)
}

// heatRow is a part out of the oven.
type heatRow struct {
	Oven  string
	Until int64 // in milliseconds since 1970, when it no longer goes on; 0 = not worked out
	Gone  string
}

func outOfOven(d *shop.Desk, p *gearbox.Position) *heatRow {
	sp := d.Spots[p.ID]
	if sp == nil || sp.Heated == nil || sp.Heated.Seq < sp.Changed {
		return nil
	}
	h := &heatRow{Oven: sp.Heated.Is.Oven}
	if sec := sp.Heated.Is.Seconds; sec > 0 {
		until := sp.Heated.At.Add(time.Duration(sec * float64(time.Second)))
		h.Until, h.Gone = until.UnixMilli(), until.Local().Format("15:04:05")
	}
	return h
}

type heatPage struct {
	frame
	Pos   *gearbox.Position
	Heat  heatWords
	Cold  *heatWords // with the shaft in a freezer
	Waits []string
	Want  string // which way round
	Was   []string
	Care  []string
	Aloud string
}

// heatWords is a heat card in words.
type heatWords struct {
	plan.Heat
	Shows, Meets, Top, Inside, Lasts, Seat, Stays string
}

// freezer is what a household freezer shows.
const freezer = -18

func heatIn(h plan.Heat) heatWords {
	deg := func(t float64) string { return strings.Replace(fmt.Sprintf("%.0f °C", t), "-", "−", 1) }
	w := heatWords{Heat: h, Shows: deg(h.Oven), Meets: deg(h.Target), Inside: deg(h.Inner), Stays: fmt.Sprintf("%.0f min", h.Soak/60)}
	if h.Ceiling > 0 {
		w.Top = deg(h.Ceiling)
	}
	if h.InAir > 0 {
		w.Lasts = seconds(h.InAir)
	}
	if h.OnSeat > 0 {
		w.Seat = seconds(h.OnSeat)
	}
	return w
}

func seconds(s float64) string {
	if s >= 120 {
		return fmt.Sprintf("%.0f min", math.Floor(s/60))
	}
	return fmt.Sprintf("%.0f s", math.Floor(s))
}

// heat is the card before the oven is opened.
func (s *server) heat(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showHeat(v, d)
}

func (s *server) showHeat(v *visit, d *shop.Desk) error {
	pos, err := placeOf(d, v.r.PathValue("pos"))
	if err != nil {
		return err
	}
	h, ok := d.HeatFor(pos, 20)
	if !ok {
		return missing("%s is not heated, by its gearbox file.", pos.Label())
	}
	p := heatPage{frame: v.jobFrame(d, "Heat "+pos.Label()), Pos: pos, Heat: heatIn(h), Care: pos.Care}
	p.Bench = true
	if !slices.Contains(p.Care, "hot") {
		p.Care = append([]string{"hot"}, p.Care...)
	}
	if pos.Hot != nil && h.InAir > 0 {
		if c, ok := d.HeatFor(pos, freezer); ok && c.Cannot == "" {
			w := heatIn(c)
			p.Cold = &w
		}
	}
	for _, st := range d.Build {
		if st.Do == "heat" && st.Position.ID == pos.ID {
			p.Waits = st.Waits
		}
	}
	if len(pos.Faces) > 0 {
		p.Want = facing(d, pos.Faces[0])
	}
	if sp := d.Spots[pos.ID]; sp != nil && sp.Off != nil {
		p.Was = sp.Off.Is.Photos
	}
	p.Aloud = fmt.Sprintf("%s. The oven shows %s. %s. %s", pos.Label(), p.Heat.Shows, p.Want, pos.Push)
	return v.show("heat", p)
}

// outOfOven records what the oven showed as the part came out.
func (s *server) outOfOven(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	pos := v.r.PathValue("pos")
	if err = v.form(); err == nil {
		_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, job.Heated{Position: pos, Oven: strings.TrimSpace(v.r.FormValue("oven")), Inner: strings.TrimSpace(v.r.FormValue("inner"))})
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/build?pos=" + url.QueryEscape(pos))
	}
	if err := v.refused("heat", err); err != nil {
		return err
	}
	return s.showHeat(v, d)
}

type todayPage struct {
	frame
	Minutes, Hands string
	Oven           bool
	Plan           plan.Today
	Rows           []todayRow
	Ends           string
	aside
}

type todayRow struct {
	stepLink
	At   string // minutes from now
	Heat string
}

// ask reads what a person has today; nothing typed is an hour alone.
func (v *visit) ask() (plan.Ask, error) {
	a := plan.Ask{Minutes: 60, People: 1, Oven: v.r.FormValue("oven") != ""}
	for key, to := range map[string]func(float64){"minutes": func(f float64) { a.Minutes = f }, "people": func(f float64) { a.People = int(f) }} {
		text := strings.TrimSpace(v.r.FormValue(key))
		if text == "" {
			continue
		}
		f, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
		if err != nil || !(f > 0 && f < 100000) {
			return a, invalid("%s: %q is no number above 0", key, text)
		}
		to(f)
	}
	return a, nil
}

// today answers what can be done in the time, with the hands and the oven there are.
func (s *server) today(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	a, err := v.ask()
	p := todayPage{frame: v.jobFrame(d, "Today"), Oven: a.Oven, aside: asideOf(d)}
	if err != nil {
		if err := v.refused("today", err); err != nil {
			return err
		}
		p.frame = v.jobFrame(d, "Today")
		return v.show("today", p)
	}
	p.Minutes, p.Hands = fmt.Sprintf("%.0f", a.Minutes), fmt.Sprint(a.People)
	if p.Plan, err = s.sh.Today(v.r.Context(), d, a); err != nil {
		return err
	}
	for _, st := range p.Plan.Steps {
		row := todayRow{stepLink: link(d, st.Step), At: clock(st.From)}
		if st.Heat != nil {
			w := heatIn(*st.Heat)
			row.Heat = "oven " + w.Shows + and(", goes on for ", w.Lasts)
			row.Href = "/job/" + d.Book + "/heat/" + url.PathEscape(st.Position.ID)
		}
		p.Rows = append(p.Rows, row)
	}
	p.Ends = plan.Hours(p.Plan.Ends)
	return v.show("today", p)
}

func clock(minutes float64) string { return fmt.Sprintf("%d:%02d", int(minutes)/60, int(minutes)%60) }

type statusPage struct {
	frame
	Says    []string
	Earlier []shop.Visit
}

// whereAreWe answers whoever rings up.
func (s *server) whereAreWe(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := statusPage{frame: v.jobFrame(d, "Where are we?"), Says: s.sh.Status(d)}
	if p.Earlier, err = s.sh.Earlier(v.r.Context(), d); err != nil {
		return err
	}
	return v.show("status", p)
}

// cardPDF is the return card to lay on the bench.
func (s *server) cardPDF(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	b, err := report.ReturnCard(d.View, report.Options{Pin: d.Pin, Made: time.Now(), Version: s.opt.Version,
		Name: func(key string) string { return s.sh.Name(v.r.Context(), key) }})
	if err != nil {
		return err
	}
	v.w.Header().Set("Content-Type", "application/pdf")
	v.w.Header().Set("Content-Disposition", `inline; filename="`+d.Book+`-card.pdf"`)
	v.w.WriteHeader(http.StatusOK)
	v.w.Write(b) // whoever asked may have gone
	return nil
}

type wrongPage struct {
	frame
	Pos   *gearbox.Position
	Cards []gearbox.Recovery
	Open  string
}

// wrong shows the recovery cards, those of the part first.
func (s *server) wrong(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := wrongPage{frame: v.jobFrame(d, "It went wrong"), Open: v.r.FormValue("card")}
	p.Bench = true
	kind := ""
	if d.Box != nil {
		if pos, ok := d.Box.Position(v.r.FormValue("pos")); ok {
			p.Pos, kind = pos, pos.Kind
		}
	}
	p.Cards = gearbox.Recoveries(kind)
	return v.show("wrong", p)
}

// answerNote answers a note that held something up.
func (s *server) answerNote(v *visit) error {
	err := v.form()
	book := v.r.PathValue("book")
	if err == nil {
		_, err = s.sh.Record(v.r.Context(), v.by(), book, job.Answered{Question: v.r.FormValue("note"), Answer: cmp.Or(strings.TrimSpace(v.r.FormValue("answer")), "done")})
	}
	if err == nil {
		return v.go303(local(cmp.Or(v.r.FormValue("back"), "/job/"+book+"/note")))
	}
	if err := v.refused("note", err); err != nil {
		return err
	}
	return s.noteForm(v)
}

// aloud is a step as the browser reads it out.
func aloud(d *shop.Desk, p *buildPage) string {
	says := []string{p.Step.Title}
	if p.Want != "" {
		says = append(says, p.Want)
	}
	if p.Pos != nil {
		if p.Pos.Mark != "" {
			says = append(says, "mark: "+p.Pos.Mark)
		}
		if p.Heat != "" {
			says = append(says, "heat to "+p.Heat)
		}
		if p.Pos.Push != "" {
			says = append(says, "push "+p.Pos.Push)
		}
		for _, n := range p.Pinned {
			says = append(says, "noted before: "+n.Text)
		}
	}
	for _, w := range p.Step.Waits {
		says = append(says, "it waits: "+w)
	}
	for _, o := range p.Over {
		says = append(says, "left over: "+o)
	}
	for _, c := range p.Step.Care {
		if text, ok := gearbox.Caution(c); ok {
			says = append(says, text)
		}
	}
	return strings.Join(says, ". ")
}
