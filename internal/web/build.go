package web

import (
	"cmp"
	"net/url"
	"slices"
	"strings"
	"unicode"

	"endfloat/calc/catalog"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// waitRow is a step that waits, with what stands before it and how to pass it.
type waitRow struct {
	stepLink
	Holds []plan.Finding
}

type buildPage struct {
	frame
	Step     *stepLink // nil when nothing is left
	Pos      *gearbox.Position
	Faces    []facePick
	Want     string
	Pieces   []pieceOption
	Chosen   string
	Decided  *job.Decided
	Shots    []photoShot // of its strip-down, with what was drawn over them
	Faced    string
	Marks    string
	Over     []string // what would be left over under a lid
	Heat     string
	Near     picture
	Others   []stepLink
	Waiting  []waitRow
	Left     int
	Asked    string // a position asked for at which nothing is to be fitted
	Allowing []plan.Finding
	Seat     bool
	Settings []string // settings that this seat moves
	Pinned   []job.Noted
	Heated   *heatRow // out of the oven, on its way
	Aloud    string   // the step as it is read out
}

// build asks for one step: what goes on next, and which way round.
func (s *server) build(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showBuild(v, d)
}

func (s *server) showBuild(v *visit, d *shop.Desk) error {
	p := buildPage{frame: v.jobFrame(d, "Build-up"), Left: len(d.Build)}
	p.Bench = true
	at := stepFor(d, v.r.FormValue("pos"))
	for i, st := range d.Build {
		switch {
		case i == at:
		case st.Now():
			if len(p.Others) < 12 {
				p.Others = append(p.Others, link(d, st))
			}
		case len(p.Waiting) < 8:
			p.Waiting = append(p.Waiting, waitRow{link(d, st), holdsOf(d, st)})
		}
	}
	if at < 0 {
		p.Asked = v.r.FormValue("pos")
	} else {
		l := link(d, d.Build[at])
		p.Step = &l
		p.Allowing = holdsOf(d, d.Build[at])
		if d.Build[at].Do == "fit" {
			s.fitting(v, d, &p)
		}
		p.Aloud = aloud(d, &p)
	}
	return v.show("build", p)
}

// stepFor is the place in the plan of what is asked for, else of the first
// step that can be done now; −1 when there is none.
func stepFor(d *shop.Desk, pos string) int {
	if pos != "" {
		return slices.IndexFunc(d.Build, func(st plan.Step) bool { return st.Do == "fit" && st.Position.ID == pos })
	}
	return slices.IndexFunc(d.Build, func(st plan.Step) bool { return st.Now() })
}

func holdsOf(d *shop.Desk, st plan.Step) []plan.Finding {
	var out []plan.Finding
	if st.Position == nil || st.Do != "fit" {
		return nil
	}
	for _, f := range d.Findings {
		if f.Kind == plan.Hold && slices.Contains(f.Before, st.Position.ID) {
			out = append(out, f)
		}
	}
	return out
}

// fitting fills in what is to be known where a part goes on.
func (s *server) fitting(v *visit, d *shop.Desk, p *buildPage) {
	pos := p.Step.Position
	p.Pos, p.Near = pos, around(d, pos)
	p.Faces, _ = facePicks(d, pos)
	if len(pos.Faces) > 0 {
		p.Want = facing(d, pos.Faces[0])
	}
	p.Pieces = s.piecesFor(v, d, pos)
	p.Heat, p.Heated, p.Pinned = pos.HeatTo.Text(d.Built), outOfOven(d, pos), d.Pinned(pos.ID)
	p.Over = d.LeftOver(pos.ID)
	if !pos.Lid() {
		p.Over = nil
	}
	if len(p.Over) > 0 { // what is missing under a lid is told once, with the lid
		p.Step.Waits = nil
		for _, h := range p.Allowing {
			p.Step.Waits = append(p.Step.Waits, h.Says)
		}
	}
	if sp := d.Spots[pos.ID]; sp != nil {
		if sp.Off != nil {
			p.Faced, p.Marks = sp.Off.Is.Faced, sp.Off.Is.Marks
			p.Shots = s.shotsOf(v, d, slices.DeleteFunc(d.PhotosAt(pos.ID), func(q plan.Photo) bool { return q.Step != "as found" }))
		}
		if sp.Decided != nil {
			p.Decided = &sp.Decided.Is
			p.Chosen = sp.Decided.Is.Piece
		}
		if p.Chosen == "" && len(sp.AsFound) > 0 && (p.Decided == nil || slices.Contains([]string{"reuse", "repair"}, p.Decided.Choice)) {
			p.Chosen = sp.AsFound[0]
		}
	}
	if p.Seat = pos.Seat != nil; p.Seat && d.Box != nil {
		for _, set := range d.Box.Settings {
			if slices.Contains(set.Seats(), pos.ID) {
				p.Settings = append(p.Settings, set.Name)
			}
		}
	}
}

// fit records that a part has gone on.
func (s *server) fit(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		err = s.recordFit(v, d)
	}
	if err == nil {
		pos := v.r.FormValue("pos")
		if p, ok := d.Box.Position(pos); ok && p.Fastening() {
			return v.go303("/job/" + d.Book + "/torque/" + url.PathEscape(pos))
		}
		return v.go303("/job/" + d.Book + "/build")
	}
	if err := v.refused("build", err); err != nil {
		return err
	}
	return s.showBuild(v, d)
}

func (s *server) recordFit(v *visit, d *shop.Desk) error {
	keys, err := v.photos()
	if err != nil {
		return err
	}
	r := v.r
	if v.sentBefore(d) {
		return nil
	}
	pos, err := placeOf(d, r.FormValue("pos"))
	if err != nil {
		return err
	}
	tags := strings.Fields(strings.ReplaceAll(r.FormValue("tags"), "+", " "))
	if r.FormValue("tags") == "" {
		tags = strings.Fields(strings.ReplaceAll(r.FormValue("other"), "+", " "))
	}
	if r.FormValue("tags") == newPiece {
		tag := cmp.Or(strings.TrimSpace(r.FormValue("newtag")), freeTag(d, pos.ID))
		tags = []string{tag}
		if d.Pieces[tag] == nil {
			variant := cmp.Or(r.FormValue("variant"), d.Built.Variants[pos.ID])
			_, err := s.sh.Record(r.Context(), v.byAgain(), d.Book, job.Added{Piece: job.Piece{Tag: tag, Name: pos.Name, Position: pos.ID, Variant: variant,
				Thick: r.FormValue("thick"), Origin: "new"}, Place: "bench"})
			if err != nil {
				return err
			}
		}
	}
	_, err = s.sh.Record(r.Context(), v.by(), d.Book, job.Fitted{Position: pos.ID, Tags: tags, Faces: r.FormValue("faces"), Trial: r.FormValue("trial") != "",
		Aside: strings.TrimSpace(r.FormValue("aside")), With: strings.TrimSpace(r.FormValue("with")), Photos: keys})
	return err
}

// newPiece is the answer that a piece fresh from its box goes on.
const newPiece = "new"

// freeTag is a tag for a new piece: the letter, the position and an n.
func freeTag(d *shop.Desk, pos string) string {
	tag := job.Tag(d.Opened.Letter, pos) + "n"
	for n := 2; d.Pieces[tag] != nil; n++ {
		tag = job.Tag(d.Opened.Letter, pos) + "n" + string(rune('0'+n%10))
	}
	return tag
}

// methodRow is one way of reaching a torque.
type methodRow struct{ Key, Title, Says string }

var methodRows = []methodRow{
	{shop.ByWrench, "Wrench", "a torque wrench straight on the nut"},
	{shop.ByExtension, "Wrench with extension", "a crow-foot or an extension between"},
	{shop.ByBar, "Bar and scale", "a long bar pulled with a hanging scale"},
}

type torquePage struct {
	frame
	Pos      *gearbox.Position
	Want     string
	Method   string
	Methods  []methodRow
	Inputs   []inputRow // that must be given
	More     []inputRow // that may be left out
	MoreOpen bool
	Again    bool     // it has its torque already
	Record   inputRow // what the tool read
	Tools    []job.Tool
	Aim      *shop.Target
	AimErr   string
	Torqued  *job.Torqued
	Fitted   *job.Fitted
	Lock     string
	Locked   *job.Locked
	Waits    []string
	Tighten  string
	Thread   string
	On       bool
	Care     []string
}

// inputRow is one input of a sum as a form asks for it.
type inputRow struct {
	catalog.Input
	Typed, Err string
	Brings     string // what a tool of the stores, or the stores, fill in
}

func isLetter(r rune) bool { return unicode.IsLetter(r) || r == '°' || r == '"' || r == '%' }

// Stem and Index are the two parts of the symbol in formulas: of D_1, D and 1.
func (in inputRow) Stem() string {
	stem, _, _ := strings.Cut(in.Input.Symbol, "_")
	return stem
}

// Index is what stands small beside the stem.
func (in inputRow) Index() string {
	_, index, _ := strings.Cut(in.Input.Symbol, "_")
	return index
}

// Symbol is the unit taken where none is typed; a text with a unit of its own
// needs none.
func (in inputRow) Symbol() string {
	if strings.ContainsFunc(in.Typed, isLetter) {
		return ""
	}
	return in.Unit
}

// torque brings one fastening to its torque and locks it.
func (s *server) torque(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showTorque(v, d)
}

func (s *server) showTorque(v *visit, d *shop.Desk) error {
	pos, err := placeOf(d, v.r.PathValue("pos"))
	if err != nil {
		return err
	}
	p := torquePage{frame: v.jobFrame(d, "Torque "+pos.Label()), Pos: pos, Want: pos.Torque.Text(d.Built), Method: v.r.FormValue("method"), Methods: methodRows,
		Lock: pos.Lock.Text(d.Built), Tighten: pos.Method.Text(d.Built), Thread: pos.Thread.Text(d.Built), On: len(d.At[pos.ID]) > 0, Care: pos.Care}
	p.Bench = true
	if sp := d.Spots[pos.ID]; sp != nil {
		if sp.Torqued != nil {
			p.Torqued = &sp.Torqued.Is
		}
		if sp.Locked != nil {
			p.Locked = &sp.Locked.Is
		}
		if sp.Fitted != nil {
			p.Fitted = &sp.Fitted.Is
		}
	}
	p.Again = p.Torqued != nil && !p.Torqued.Trial
	for _, st := range d.Build {
		if st.Do == "torque" && st.Position.ID == pos.ID {
			p.Waits = st.Waits
		}
	}
	if p.Method != "" && p.Want != "" {
		s.method(v, d, &p)
	}
	if v.r.FormValue("show") == "result" {
		return v.part("torque", "aim", p)
	}
	return v.show("torque", p)
}

// method lays out the inputs of the way chosen and works out what to read.
func (s *server) method(v *visit, d *shop.Desk, p *torquePage) {
	name := map[string]string{shop.ByExtension: "extension", shop.ByBar: "lever"}[p.Method]
	values := map[string]string{}
	tool := v.r.FormValue("tool")
	if name != "" {
		sum, err := catalog.Find(name)
		if err != nil {
			return // the catalogue has no such sum: the tool's own reading is asked for
		}
		for _, in := range sum.Inputs {
			if in.Key == "want" {
				continue
			}
			typed := v.r.FormValue(in.Key)
			if t, ok := d.Stores.Tools[tool]; ok && strings.TrimSpace(typed) == "" {
				typed = t.Values[in.Key]
			}
			values[in.Key] = typed
			row := inputRow{Input: in, Typed: typed}
			if in.Required() {
				p.Inputs = append(p.Inputs, row)
				continue
			}
			p.More, p.MoreOpen = append(p.More, row), p.MoreOpen || typed != ""
		}
	}
	switch p.Method {
	case shop.ByWrench:
		p.Record = inputRow{Input: catalog.Input{Key: "reads", Help: "the wrench clicked or read", Unit: "N·m"}}
	case shop.ByExtension:
		p.Record = inputRow{Input: catalog.Input{Key: "set", Help: "the wrench was set to", Unit: "N·m"}}
	case shop.ByBar:
		p.Record = inputRow{Input: catalog.Input{Key: "pull", Help: "the scale read, with its unit: 238 N or 24.3 kg", Unit: "N"}}
	}
	for _, t := range toolsSorted(d) {
		if t.Class != "tube" && len(t.Values) > 0 || t.Class == "torque wrench" {
			p.Tools = append(p.Tools, t)
		}
	}
	values["tool"] = tool
	if p.Method != shop.ByWrench && strings.TrimSpace(values["arm"]+values["extension"]) == "" {
		return // nothing is typed yet
	}
	t, err := shop.Aim(d, p.Pos.ID, p.Method, values)
	if err != nil {
		p.AimErr = sentence(err.Error())
		return
	}
	p.Aim = &t
}

func toolsSorted(d *shop.Desk) []job.Tool {
	var out []job.Tool
	for _, t := range d.Stores.Tools {
		out = append(out, t)
	}
	slices.SortFunc(out, func(a, b job.Tool) int { return strings.Compare(a.Name, b.Name) })
	return out
}

func (s *server) tighten(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	pos := v.r.PathValue("pos")
	if err = v.form(); err == nil {
		err = s.recordTorque(v, d, pos)
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/torque/" + url.PathEscape(pos))
	}
	if err := v.refused("torque", err); err != nil {
		return err
	}
	return s.showTorque(v, d)
}

func (s *server) recordTorque(v *visit, d *shop.Desk, pos string) error {
	keys, err := v.photos()
	if err != nil {
		return err
	}
	values := map[string]string{}
	for k, vs := range v.r.Form {
		if len(vs) > 0 && strings.TrimSpace(vs[0]) != "" {
			values[k] = strings.TrimSpace(vs[0])
		}
	}
	_, err = s.sh.Tighten(v.r.Context(), v.by(), d.Book, shop.Tightening{Position: pos, Method: values["method"], Values: values, Trial: values["trial"] != "", Photos: keys})
	return err
}

func (s *server) lock(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	pos := v.r.PathValue("pos")
	if err = v.form(); err == nil {
		var keys []string
		if keys, err = v.photos(); err == nil {
			_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, job.Locked{Position: pos, How: strings.TrimSpace(v.r.FormValue("how")), Line: v.r.FormValue("line") != "", Photos: keys})
		}
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/build")
	}
	if err := v.refused("lock", err); err != nil {
		return err
	}
	return s.showTorque(v, d)
}
