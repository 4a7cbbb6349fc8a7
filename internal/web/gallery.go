package web

import (
	"cmp"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// photoShot is a photo as a page shows it: with what it shows, and what was drawn over
// it above it.
type photoShot struct {
	Key, Href, Says, Alt string
	Over                 template.HTML // what was drawn, "" for nothing
	N                    int           // marks
	Wide                 bool
	act
}

type shotGroup struct {
	Title string
	Href  string
	Shots []photoShot
}

// besideGroup is another unit's photos of the same position, under its own band.
type besideGroup struct {
	unitBand
	Href  string
	Shots []photoShot
}

type galleryPage struct {
	frame
	Pos      *gearbox.Position // nil for the whole unit
	Step     string
	Steps    []Way
	Places   []Way // positions with photos
	Found    []photoShot
	Built    []photoShot
	Groups   []shotGroup
	Beside   []besideGroup
	N        int
	NoPhotos []Way // came off without one
}

// photoHref is the page of one photo.
func photoHref(book, key string) string { return "/job/" + book + "/photos/" + key }

func galleryHref(book, key, value string) string {
	return "/job/" + book + "/photos?" + key + "=" + url.QueryEscape(value)
}

// shotOf makes a photo ready for a page.
func (s *server) shotOf(v *visit, d *shop.Desk, p plan.Photo) photoShot {
	o := photoShot{Key: p.Key, Href: photoHref(d.Book, p.Key), Says: capital(p.Says), N: len(p.Marks), act: s.actOf(v, d, p.Entry)}
	o.Alt = cmp.Or(label(d, p.Position), "the unit") + ", " + p.Step
	if len(p.Marks) > 0 {
		if w, h, err := s.sh.PhotoSize(v.r.Context(), p.Key); err == nil { // a photo deleted on request has no size
			o.Over = template.HTML(draw.Markup(shop.DrawnOn(p), w, h).SVG()) // package draw escapes every text itself
		}
	}
	return o
}

func (s *server) shotsOf(v *visit, d *shop.Desk, ps []plan.Photo) []photoShot {
	var out []photoShot
	for _, p := range ps {
		out = append(out, s.shotOf(v, d, p))
	}
	return out
}

// gallery shows the photos of a unit: by step, by position, or of one of either.
func (s *server) gallery(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := galleryPage{frame: v.jobFrame(d, "Photos")}
	id, step := v.r.FormValue("pos"), v.r.FormValue("step")
	all := d.Photos()
	p.N = len(all)
	for _, st := range shop.Steps(all) {
		p.Steps = append(p.Steps, Way{fmt.Sprintf("%s, %d", capital(st.Name), len(st.Photos)), galleryHref(d.Book, "step", st.Name)})
	}
	p.Places = photoPlaces(d, all)
	for at := range d.Owed() {
		p.NoPhotos = append(p.NoPhotos, Way{label(d, at), "/job/" + d.Book + "/note?position=" + url.QueryEscape(at)})
	}
	slices.SortFunc(p.NoPhotos, func(a, b Way) int { return strings.Compare(a.Title, b.Title) })
	switch {
	case id != "":
		if p.Pos, err = placeOf(d, id); err != nil {
			return err
		}
		p.Title = "Photos of " + p.Pos.Label()
		if err := s.atPosition(v, d, &p); err != nil {
			return err
		}
	case step != "":
		if !shop.IsPhotoStep(step) {
			return missing("no photos are taken at a step %q; there are %s", step, strings.Join(plan.PhotoSteps, ", "))
		}
		p.Step = step
		p.Groups = s.byPlace(v, d, slices.DeleteFunc(all, func(q plan.Photo) bool { return q.Step != step }))
	default:
		p.Groups = s.byPlace(v, d, all)
	}
	return v.show("gallery", p)
}

// photoPlaces are the positions that have photos, in the order of the file.
func photoPlaces(d *shop.Desk, all []plan.Photo) []Way {
	n := map[string]int{}
	for _, q := range all {
		n[q.Position]++
	}
	var out []Way
	for _, id := range placesInOrder(d, n) {
		out = append(out, Way{fmt.Sprintf("%s, %d", label(d, id), n[id]), galleryHref(d.Book, "pos", id)})
	}
	return out
}

func placesInOrder(d *shop.Desk, n map[string]int) []string {
	var out []string
	if d.Box != nil {
		for _, p := range d.Box.All() {
			if n[p.ID] > 0 {
				out = append(out, p.ID)
			}
		}
	}
	var rest []string
	for id := range n {
		if id != "" && !slices.Contains(out, id) {
			rest = append(rest, id)
		}
	}
	slices.Sort(rest)
	return append(out, rest...)
}

// byPlace puts photos under the positions they show, those of the whole unit first.
func (s *server) byPlace(v *visit, d *shop.Desk, ps []plan.Photo) []shotGroup {
	n, at := map[string]int{}, map[string][]plan.Photo{}
	for _, q := range ps {
		n[q.Position]++
		at[q.Position] = append(at[q.Position], q)
	}
	var out []shotGroup
	if n[""] > 0 {
		out = append(out, shotGroup{"The whole unit", "", s.shotsOf(v, d, at[""])})
	}
	for _, id := range placesInOrder(d, n) {
		out = append(out, shotGroup{label(d, id), galleryHref(d.Book, "pos", id), s.shotsOf(v, d, at[id])})
	}
	return out
}

// atPosition sets as found beside as built, then the rest, then the other units.
func (s *server) atPosition(v *visit, d *shop.Desk, p *galleryPage) error {
	for _, st := range shop.Steps(d.PhotosAt(p.Pos.ID)) {
		shots := s.shotsOf(v, d, st.Photos)
		switch st.Name {
		case "as found":
			p.Found = shots
		case "as built":
			p.Built = shots
		default:
			p.Groups = append(p.Groups, shotGroup{capital(st.Name), "", shots})
		}
	}
	others, err := s.sh.Beside(v.r.Context(), d, p.Pos.ID)
	if err != nil {
		return err
	}
	for _, o := range others {
		od, err := s.sh.Open(v.r.Context(), o.Book)
		if err != nil {
			return err
		}
		g := besideGroup{unitBand: unitBand{Base: "/job/" + o.Book, Unit: o.Unit, Letter: o.Letter, Colour: o.Colour, Tape: tape(o.Colour)}, Href: galleryHref(o.Book, "pos", p.Pos.ID)}
		g.Shots = s.shotsOf(v, od, o.Photos)
		p.Beside = append(p.Beside, g)
	}
	return nil
}

type photoPage struct {
	frame
	Shot       photoShot
	Pos        *gearbox.Position
	W, H       int
	Marks      []act
	Shapes     []choiceWord
	Prev, Next string
	Gone       bool
}

var shapeWords = []choiceWord{
	{"arrow", "points at something"}, {"circle", "goes around something"}, {"toe", "the toe end of a tooth"}, {"heel", "the heel end of a tooth"}, {"text", "words on the photo"},
}

// onePhoto shows one photo large, with what is drawn over it, and takes more.
func (s *server) onePhoto(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showPhoto(v, d)
}

func (s *server) showPhoto(v *visit, d *shop.Desk) error {
	ph, err := d.Photo(v.r.PathValue("key"))
	if err != nil {
		return err
	}
	p := photoPage{frame: v.jobFrame(d, "Photo"), Shot: s.shotOf(v, d, ph), Shapes: shapeWords}
	if p.W, p.H, err = s.sh.PhotoSize(v.r.Context(), ph.Key); err != nil {
		p.Gone = true
	}
	if ph.Position != "" {
		if p.Pos, err = placeOf(d, ph.Position); err != nil {
			return err
		}
	}
	for _, m := range ph.Marks {
		p.Marks = append(p.Marks, s.actOf(v, d, m.Entry))
	}
	same := d.PhotosAt(ph.Position)
	for i, q := range same {
		if q.Key != ph.Key {
			continue
		}
		if i > 0 {
			p.Prev = photoHref(d.Book, same[i-1].Key)
		}
		if i+1 < len(same) {
			p.Next = photoHref(d.Book, same[i+1].Key)
		}
	}
	return v.show("photo", p)
}

// drawOn records a mark over a photo. The photo itself stays as it is.
func (s *server) drawOn(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		var b job.Drawn
		if b, err = v.drawn(d); err == nil {
			_, err = s.sh.Record(v.r.Context(), v.by(), d.Book, b)
		}
	}
	if err == nil {
		return v.go303(photoHref(d.Book, v.r.PathValue("key")))
	}
	if err := v.refused("draw", err); err != nil {
		return err
	}
	return s.showPhoto(v, d)
}

// drawn reads a mark: places are typed or drawn as percent of the photo.
func (v *visit) drawn(d *shop.Desk) (job.Drawn, error) {
	ph, err := d.Photo(v.r.PathValue("key"))
	if err != nil {
		return job.Drawn{}, err
	}
	b := job.Drawn{Photo: ph.Key, Position: ph.Position, Shape: v.r.FormValue("shape"), Says: strings.TrimSpace(v.r.FormValue("says"))}
	if b.X, err = v.percent("x", "how far from the left"); err != nil {
		return b, err
	}
	if b.Y, err = v.percent("y", "how far from the top"); err != nil {
		return b, err
	}
	if b.Shape == "arrow" && v.r.FormValue("fx") != "" && v.r.FormValue("fy") != "" {
		b.From = &job.Point{}
		if b.From.X, err = v.percent("fx", "where the arrow comes from, from the left"); err != nil {
			return b, err
		}
		if b.From.Y, err = v.percent("fy", "where the arrow comes from, from the top"); err != nil {
			return b, err
		}
	}
	if b.Shape == "circle" && v.r.FormValue("r") != "" {
		if b.R, err = v.percent("r", "radius"); err != nil {
			return b, err
		}
	}
	return b, nil
}

// percent reads a share of a photo.
func (v *visit) percent(key, what string) (float64, error) {
	text := strings.TrimSpace(v.r.FormValue(key))
	if text == "" {
		return 0, invalid("touch the photo where the mark goes, or type it as percent: %s", what)
	}
	f, err := shop.Share(text)
	if err != nil {
		return 0, invalid("%s: %v", what, err)
	}
	return f, nil
}

// drawnJSON is a mark over a photo.
type drawnJSON struct {
	Entry int        `json:"entry"`
	Shape string     `json:"shape"`
	X     float64    `json:"x"`
	Y     float64    `json:"y"`
	From  *job.Point `json:"from,omitempty"`
	R     float64    `json:"r,omitempty"`
	Says  string     `json:"says,omitempty"`
}

type shotJSON struct {
	Key      string      `json:"key"`
	Position string      `json:"position,omitempty"`
	Step     string      `json:"step"`
	Says     string      `json:"says"`
	Entry    int         `json:"entry"`
	At       string      `json:"at"`
	Marks    []drawnJSON `json:"marks"`
}

type besideJSON struct {
	Book   string     `json:"book"`
	Unit   string     `json:"unit"`
	Photos []shotJSON `json:"photos"`
}

type galleryJSON struct {
	Photos []shotJSON   `json:"photos"`
	Beside []besideJSON `json:"beside"`
}

func shotsJSON(ps []plan.Photo) []shotJSON {
	out := []shotJSON{}
	for _, p := range ps {
		j := shotJSON{p.Key, p.Position, p.Step, p.Says, p.Entry.Seq, p.Entry.At.UTC().Format("2006-01-02T15:04:05Z"), []drawnJSON{}}
		for _, m := range p.Marks {
			j.Marks = append(j.Marks, drawnJSON{m.Seq, m.Is.Shape, m.Is.X, m.Is.Y, m.Is.From, m.Is.R, m.Is.Says})
		}
		out = append(out, j)
	}
	return out
}

// apiPhotos lists the photos of a job, of one position beside the other units'.
func (s *server) apiPhotos(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	out := galleryJSON{Beside: []besideJSON{}}
	id := v.r.FormValue("position")
	if id == "" {
		out.Photos = shotsJSON(d.Photos())
		v.json(http.StatusOK, "application/json", out)
		return nil
	}
	if _, err := placeOf(d, id); err != nil {
		return err
	}
	out.Photos = shotsJSON(d.PhotosAt(id))
	others, err := s.sh.Beside(v.r.Context(), d, id)
	if err != nil {
		return err
	}
	for _, o := range others {
		out.Beside = append(out.Beside, besideJSON{o.Book, o.Unit, shotsJSON(o.Photos)})
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}
