package web

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/report"
	"endfloat/internal/setup"
	"endfloat/internal/shop"
)

// act is an entry as the pages tell it.
type act struct {
	Seq    int
	ID     string
	At     time.Time
	By, On string
	Kind   string
	Says   string
	Photos []string
	Struck bool
	Why    string // of the strike
	Can    bool   // may be struck
	Last   bool
}

func (s *server) actOf(v *visit, d *shop.Desk, e job.Entry) act {
	st, gone := d.Struck[e.ID]
	return act{Seq: e.Seq, ID: e.ID, At: e.At, By: s.sh.Name(v.r.Context(), e.By), On: e.On, Kind: e.Kind, Says: says(d, e), Photos: photosOf(e),
		Struck: gone, Why: st.Why, Can: !gone && strikable(e.Kind), Last: e.Seq == d.Seq}
}

// stepLink is a step with where to do it.
type stepLink struct {
	plan.Step
	Href string
}

func link(d *shop.Desk, st plan.Step) stepLink {
	base := "/job/" + d.Book
	id := ""
	if st.Position != nil {
		id = st.Position.ID
	}
	switch st.Do {
	case "take off":
		return stepLink{st, base + "/strip?pos=" + url.QueryEscape(id)}
	case "decide":
		return stepLink{st, base + "/decide?pos=" + url.QueryEscape(id)}
	case "fit":
		return stepLink{st, base + "/build?pos=" + url.QueryEscape(id)}
	case "heat":
		return stepLink{st, base + "/heat/" + url.PathEscape(id)}
	case "test":
		return stepLink{st, base + "/tests/" + url.PathEscape(st.Test)}
	case "torque", "lock":
		return stepLink{st, base + "/torque/" + url.PathEscape(id)}
	default:
		return stepLink{st, base + "/setting?name=" + url.QueryEscape(st.Setting)}
	}
}

func links(d *shop.Desk, steps []plan.Step) []stepLink {
	out := make([]stepLink, len(steps))
	for i, st := range steps {
		out[i] = link(d, st)
	}
	return out
}

// findingLink is a finding with where it can be mended.
type findingLink struct {
	plan.Finding
	Href string
}

func findings(d *shop.Desk, kinds ...plan.Kind) []findingLink {
	var out []findingLink
	told := map[string]bool{} // a hold and a loose end may say the same
	for _, f := range d.Findings {
		if slices.Contains(kinds, f.Kind) && f.Allowed == "" && !told[f.Says] {
			told[f.Says] = true
			out = append(out, findingLink{f, whereTo(d, f)})
		}
	}
	return out
}

func whereTo(d *shop.Desk, f plan.Finding) string {
	base := "/job/" + d.Book
	if f.Test != "" {
		return base + "/tests/" + url.PathEscape(f.Test)
	}
	if strings.HasPrefix(f.Key, "temporary/") {
		return base + "/note"
	}
	if _, ok := d.RuleOf(f); ok && !asksOnly(f) {
		return base + "/ways?key=" + url.QueryEscape(f.Key)
	}
	if d.Box != nil {
		if _, ok := d.Box.Position(f.About); ok {
			return base + "/at/" + url.PathEscape(f.About)
		}
		if _, ok := d.Box.Setting(f.About); ok {
			return base + "/setting?name=" + url.QueryEscape(f.About)
		}
		if m, ok := d.Box.Measure(f.About); ok {
			return base + "/read/one?what=" + url.QueryEscape(m.Name)
		}
	}
	return base + "/book"
}

// cardPage is what the return card is shown from: all of it follows from the book, the
// stores and what cardKey names, and nothing from who looks on.
type cardPage struct {
	Book, Base string
	Opened     job.Opened
	Away       int // days since the last entry, when more than three
	Acts       []act
	Next       []stepLink
	First      *stepLink
	Waiting    []stepLink
	Loose      []findingLink
	Doubt      []findingLink
	Holds      []findingLink
	Closed     *job.Closed
	PDF        bool
	Known      bool // there is a gearbox file
	Unproven   []setup.Result
	Arrived    []*job.Piece
	Tests      int // proofs and tests that are still to do
	Receive    int // things of how it came in that are not recorded, while it is whole
	Sections   []picture
	Sheets     []picture
}

// card is the return card: where was I?
func (s *server) card(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	key := cardKey{pin: d.Pin, stores: d.Stores.Seq}
	if away := int(time.Since(d.Last).Hours() / 24); away > 3 && d.Closed == nil {
		key.away = away
	}
	var newest []job.Entry
	for i := len(d.Entries) - 1; i >= 0 && len(newest) < 5; i-- {
		if k := d.Entries[i].Kind; k == "came" || k == "left" {
			continue // the fitting that moved the piece says it
		}
		newest = append(newest, d.Entries[i])
		key.names += s.sh.Name(v.r.Context(), d.Entries[i].By) + "\n"
	}
	if v.ready, err = s.cards.of(d.Book, key, func() any { return s.cardOf(v, d, key.away, newest) }); err != nil {
		return err
	}
	return v.show("card", v.jobFrame(d, "Return card"))
}

func (s *server) cardOf(v *visit, d *shop.Desk, away int, newest []job.Entry) cardPage {
	p := cardPage{Book: d.Book, Base: "/job/" + d.Book, Opened: d.Opened, Away: away, Next: links(d, d.Next(3)), Waiting: links(d, d.Waiting(4)),
		Doubt: findings(d, plan.Verdict, plan.Broken, plan.Stray), Holds: findings(d, plan.Hold),
		Closed: d.Closed, PDF: s.opt.Book != nil, Known: d.Box != nil, Arrived: d.Arrived(6), Receive: toReceive(d)}
	for _, f := range d.LooseEnds() {
		p.Loose = append(p.Loose, findingLink{f, whereTo(d, f)})
	}
	if len(p.Next) > 0 {
		p.First = &p.Next[0]
	}
	for _, e := range newest {
		p.Acts = append(p.Acts, s.actOf(v, d, e))
	}
	for _, r := range d.Settings {
		if !r.Proven && slices.ContainsFunc(d.Findings, func(f plan.Finding) bool { return f.Key == plan.Key("setting", r.Name) && f.Allowed == "" }) {
			p.Unproven = append(p.Unproven, r)
		}
	}
	for _, t := range d.Tests() {
		if !t.Proven() {
			p.Tests++
		}
	}
	p.Sections, p.Sheets = pictures(d)
	return p
}

type positionPage struct {
	frame
	Pos      *gearbox.Position
	At       []pieceRow // what is there now
	Was      []pieceRow // what came off and where it is
	Waits    []string   // why it cannot be done yet
	Steps    []stepLink
	Findings []findingLink
	Readings []readRow
	Spot     *job.Spot
	Acts     []act
	Faces    []string
	Torque   string
	Lock     string
	Over     []*gearbox.Position
	Reach    plan.Reach // to get at it, as the unit stands
	Hours    string
	Pinned   []job.Noted // by earlier jobs of this type
	Variants []gearbox.Variant
	Near     picture
	Drawn    []drawnLink
	OnBoard  string // where the board shows what else could go here, "" where it does not
}

type pieceRow struct {
	job.Piece
	Is, Where string
	Marks     string
}

func pieceRows(d *shop.Desk, tags []string) []pieceRow {
	var out []pieceRow
	for _, t := range tags {
		if p := d.Pieces[t]; p != nil {
			out = append(out, pieceRow{*p, thickness(p), d.Where[t], pairs(p.Marks)})
		}
	}
	return out
}

// position tells everything about one place in the gearbox.
func (s *server) position(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showPosition(v, d)
}

func (s *server) showPosition(v *visit, d *shop.Desk) error {
	id := v.r.PathValue("pos")
	pos, err := placeOf(d, id)
	if err != nil {
		return err
	}
	sp := d.Spots[id]
	if sp == nil {
		sp = &job.Spot{}
	}
	p := positionPage{frame: v.jobFrame(d, pos.Label()), Pos: pos, Spot: sp, At: pieceRows(d, d.At[id]), Variants: pos.Variants,
		Torque: pos.Torque.Text(d.Built), Lock: pos.Lock.Text(d.Built)}
	for _, t := range sp.AsFound {
		if !slices.Contains(d.At[id], t) {
			p.Was = append(p.Was, pieceRows(d, []string{t})...)
		}
	}
	for _, f := range pos.Faces {
		p.Faces = append(p.Faces, facing(d, f))
	}
	for _, st := range slices.Concat(d.Strip, d.Build) {
		switch {
		case st.Position == nil || st.Position.ID != id:
		case st.Now():
			p.Steps = append(p.Steps, link(d, st))
		default:
			p.Waits = append(p.Waits, st.Title+" waits: "+strings.Join(st.Waits, "; "))
		}
	}
	for _, f := range d.Findings {
		if f.About == id || strings.HasPrefix(f.About, id+" ") {
			p.Findings = append(p.Findings, findingLink{f, whereTo(d, f)})
		}
	}
	if d.Box != nil {
		for _, m := range d.Box.Measures {
			if len(m.Of) > 0 && m.Of[0] == id {
				p.Readings = append(p.Readings, readRowOf(d, m))
			}
		}
		p.Over, p.Reach, p.Pinned = d.Box.Over(id), d.Reach(id), d.Pinned(id)
		p.Hours = plan.Hours(p.Reach.Minutes)
		p.Near, p.Drawn = around(d, pos), carrierHrefs(d, pos)
		p.OnBoard = boardOf(d, pos)
	}
	for i := len(d.Entries) - 1; i >= 0; i-- {
		if about(d.Entries[i], id, append(slices.Clone(sp.AsFound), d.At[id]...)) {
			p.Acts = append(p.Acts, s.actOf(v, d, d.Entries[i]))
		}
	}
	return v.show("position", p)
}

// placeOf finds a position, also one that only this job knows.
func placeOf(d *shop.Desk, id string) (*gearbox.Position, error) {
	if d.Box != nil {
		if p, ok := d.Box.Position(id); ok {
			return p, nil
		}
	}
	if sp := d.Spots[id]; sp != nil {
		p := &gearbox.Position{ID: id, Name: id}
		if sp.Off != nil && sp.Off.Is.Name != "" {
			p.Name = sp.Off.Is.Name
		}
		return p, nil
	}
	return nil, missing("%s has no position %q. See the drawing on the return card.", d.Opened.Unit, id)
}

func (s *server) mark(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		key := strings.TrimSpace(v.r.FormValue("key"))
		val := strings.TrimSpace(v.r.FormValue("value"))
		if key == "" || val == "" {
			err = invalid("say what the mark is and what it reads")
		} else {
			_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, job.Marked{Tag: v.r.FormValue("tag"), Marks: map[string]string{key: val}})
		}
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/at/" + url.PathEscape(v.r.PathValue("pos")))
	}
	if err := v.refused("mark", err); err != nil {
		return err
	}
	return s.showPosition(v, d)
}

type notePage struct {
	frame
	Notes     []noteRow
	Positions []*gearbox.Position
}

// noteRow is a note and whether it still waits for an answer.
type noteRow struct {
	act
	Waits  bool
	Answer string
}

func (s *server) noteForm(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := notePage{frame: v.jobFrame(d, "Notes")}
	for i := len(d.Notes) - 1; i >= 0; i-- {
		e := d.Notes[i]
		row := noteRow{act: s.actOf(v, d, e), Answer: d.Answers[e.ID]}
		row.Waits = row.Answer == "" && (field(e, "until") != "" || field(e, "topic") == plan.Temporary)
		p.Notes = append(p.Notes, row)
	}
	if d.Box != nil {
		p.Positions = d.Box.All()
	}
	return v.show("note", p)
}

func (s *server) note(v *visit) error {
	err := v.form()
	if err == nil {
		var keys []string
		if keys, err = v.photos(); err == nil {
			r := v.r
			_, err = s.sh.Record(r.Context(), v.by(), r.PathValue("book"), job.Noted{Text: r.FormValue("text"), Position: r.FormValue("position"),
				Topic: r.FormValue("topic"), Until: r.FormValue("until"), Type: r.FormValue("keep"), Photos: keys})
		}
	}
	if err == nil {
		return v.go303("/job/" + v.r.PathValue("book") + "/note")
	}
	if err := v.refused("note", err); err != nil {
		return err
	}
	return s.noteForm(v)
}

type handOverPage struct {
	frame
	Tests   []testRow
	Closing *gearbox.Closing
	Earlier []shop.Visit
	Open    []findingLink
	Left    []stepLink
	Closed  *job.Closed
	PDF     bool
}

func (s *server) handOverForm(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := handOverPage{frame: v.jobFrame(d, "Hand over"), Open: findings(d, plan.Hold, plan.Loose, plan.Broken), Closed: d.Closed, PDF: s.opt.Book != nil}
	p.Tests = testRows(d)
	if d.Box != nil {
		p.Closing = d.Box.Closing
	}
	if p.Earlier, err = s.sh.Earlier(v.r.Context(), d); err != nil {
		return err
	}
	for _, st := range d.Build {
		if st.Do == "fit" {
			p.Left = append(p.Left, link(d, st))
		}
	}
	return v.show("handover", p)
}

func (s *server) handOver(v *visit) error {
	err := v.form()
	if err == nil {
		_, err = s.sh.Record(v.r.Context(), v.by(), v.r.PathValue("book"), job.Closed{To: v.r.FormValue("to"), Oil: v.r.FormValue("oil"), Note: v.r.FormValue("note")})
	}
	if err == nil {
		return v.go303("/job/" + v.r.PathValue("book"))
	}
	if err := v.refused("handover", err); err != nil {
		return err
	}
	return s.handOverForm(v)
}

func (s *server) allow(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, job.Allowed{Hold: v.r.FormValue("hold"), Why: v.r.FormValue("why"), Witness: v.r.FormValue("witness")})
	}
	if err == nil {
		return v.go303(local(v.r.FormValue("back")))
	}
	if err := v.refused("allow", err); err != nil {
		return err
	}
	return s.showAllow(v, d)
}

type allowPage struct {
	frame
	Finding *plan.Finding
	Back    string
}

// showAllow is the form for passing a hold, on its own when it was refused.
func (s *server) showAllow(v *visit, d *shop.Desk) error {
	p := allowPage{frame: v.jobFrame(d, "Pass with a reason"), Back: local(v.r.FormValue("back"))}
	for i := range d.Findings {
		if d.Findings[i].Key == v.r.FormValue("hold") {
			p.Finding = &d.Findings[i]
		}
	}
	return v.show("allow", p)
}

type bookPage struct {
	frame
	Acts    []act
	Pin     string
	PDF     bool
	Readers []report.Reader
}

func (s *server) book(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := bookPage{frame: v.jobFrame(d, "The book"), Pin: d.Pin, PDF: s.opt.Book != nil, Readers: report.Readers()}
	for i := len(d.Entries) - 1; i >= 0; i-- {
		p.Acts = append(p.Acts, s.actOf(v, d, d.Entries[i]))
	}
	return v.show("book", p)
}

func (s *server) strike(v *visit) error {
	err := v.form()
	book := v.r.PathValue("book")
	if err == nil {
		_, err = s.sh.Record(v.r.Context(), v.by(), book, job.Struck{Entry: v.r.FormValue("entry"), Why: strings.TrimSpace(v.r.FormValue("why"))})
	}
	if err == nil {
		return v.go303(local(cmp.Or(v.r.FormValue("back"), "/job/"+book+"/book")))
	}
	if err := v.refused("strike "+v.r.FormValue("entry"), err); err != nil {
		return err
	}
	return s.book(v)
}

func (s *server) bookPDF(v *visit) error {
	if s.opt.Book == nil {
		return missing("This installation does not make the book as PDF.")
	}
	d, err := v.open()
	if err != nil {
		return err
	}
	reader, tail := v.r.FormValue("for"), ""
	if reader != "" {
		r, err := report.ReaderOf(reader)
		if err != nil {
			return missing("%v", err)
		}
		reader, tail = r.Key, "-"+r.Key
	}
	b, err := s.opt.Book(v.r.Context(), d, reader, v.r.FormValue("paper"))
	if err != nil {
		return err
	}
	v.w.Header().Set("Content-Type", "application/pdf")
	v.w.Header().Set("Content-Disposition", `inline; filename="`+d.Book+tail+`.pdf"`)
	v.w.WriteHeader(http.StatusOK)
	v.w.Write(b) // whoever asked may have gone
	return nil
}
