package web

import (
	"net/http"
	"slices"
	"strings"

	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// newPart asks for a part that no gearbox file knows.
type newPart struct {
	On     string   // what it sits on or in, "" while that is asked
	Ends   []string // of that, two or none
	From   string
	Faces  []facePick
	Known  []sitsOn
	Last   string // what came off before
	Main   bool   // it is the question of the page
	Listed bool   // the unit has a gearbox file

	Against []*gearbox.Position // what is still on there: it may have lain against one of them
}

// sitsOn is something that parts came off already.
type sitsOn struct {
	Name string
	Ends []string
	From string
	N    int
}

// HasEnds reports whether it has two named ends.
func (p newPart) HasEnds() bool { return len(p.Ends) == 2 }

// unknownPart fills in the question for a part that no file knows. What it sits on is
// the one of the part before, until another is asked for.
func unknownPart(v *visit, d *shop.Desk) newPart {
	p := newPart{Listed: d.Opened.Box != "", On: strings.TrimSpace(v.r.FormValue("carrier")), From: v.r.FormValue("from")}
	found := job.Found(d.Entries)
	for _, f := range found {
		i := slices.IndexFunc(p.Known, func(k sitsOn) bool { return strings.EqualFold(k.Name, f.Carrier) })
		if i < 0 {
			p.Known, i = append(p.Known, sitsOn{Name: f.Carrier}), len(p.Known)
		}
		p.Known[i].N++
		p.Known[i].From = f.From
		if len(f.Ends) == 2 {
			p.Known[i].Ends = f.Ends
		}
	}
	if p.Listed && d.Box != nil {
		for _, c := range d.Box.Carriers {
			i := slices.IndexFunc(p.Known, func(k sitsOn) bool { return strings.EqualFold(k.Name, c.Name) })
			if i < 0 {
				p.Known = append(p.Known, sitsOn{Name: c.Name, Ends: c.Ends, From: c.Off})
			} else if len(p.Known[i].Ends) == 0 {
				p.Known[i].Ends = c.Ends
			}
		}
	}
	if n := len(found); n > 0 {
		p.Last = found[n-1].Name
		if p.On == "" && v.r.FormValue("ask") == "" {
			p.On = found[n-1].Carrier
			if p.From == "" {
				p.From = found[n-1].From
			}
		}
	}
	for _, e := range v.r.Form["end"] {
		if e = strings.TrimSpace(e); e != "" && !slices.Contains(p.Ends, e) {
			p.Ends = append(p.Ends, e)
		}
	}
	for _, k := range p.Known {
		if strings.EqualFold(k.Name, p.On) && p.On != "" {
			p.On, p.Ends = k.Name, k.Ends
			if p.From == "" {
				p.From = k.From
			}
		}
	}
	if len(p.Ends) != 2 {
		p.Ends = nil
	}
	if p.From == "" && p.HasEnds() {
		p.From = p.Ends[1]
	}
	p.Faces = sidePicks(p.Ends)
	p.Against = stillOn(d, p)
	return p
}

// stillOn are the positions that a part may have lain against.
func stillOn(d *shop.Desk, p newPart) []*gearbox.Position {
	if !p.Listed || d.Box == nil {
		return nil
	}
	for _, c := range d.Box.Carriers {
		if strings.EqualFold(c.Name, p.On) {
			return slices.DeleteFunc(slices.Clone(c.Order), func(q *gearbox.Position) bool { return len(d.At[q.ID]) == 0 })
		}
	}
	return nil
}

// sidePicks are the answers to which way the telling side of a part faced.
func sidePicks(ends []string) []facePick {
	ways := [2]string{"up", "down"}
	if len(ends) == 2 {
		ways = [2]string{ends[0], ends[1]}
	}
	var out []facePick
	for _, to := range ways {
		pic := draw.FaceChoice("gear", "telling side", to, ways)
		if len(ends) != 2 {
			pic = upended(pic)
		}
		out = append(out, facePick{"side toward " + to, "its telling side toward " + to, svg(pic)})
	}
	return out
}

// fileOf is the page of a job's gearbox file: to see, to mend, to keep.
type filePage struct {
	frame
	Text    string
	Written bool // by the strip-down, not yet kept
	Checked bool
	Faults  string
	Names   int
	Lines   []string // of parts that the file does not have
	Type    string
}

func (s *server) file(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.showFile(v, d)
}

func (s *server) showFile(v *visit, d *shop.Desk) error {
	text, written := d.File()
	p := filePage{frame: v.jobFrame(d, "Gearbox file"), Written: written, Type: d.Opened.Type, Lines: d.Unlisted()}
	p.Text = v.frame("").Kept("text", string(text))
	if d.Box != nil {
		for _, q := range d.Box.All() {
			if !q.Found {
				p.Names++
			}
		}
	}
	return v.show("file", p)
}

func (s *server) keepFile(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	if err = v.form(); err == nil {
		// A text area sends its lines as in mail; a file has them as on disk.
		text := strings.ReplaceAll(v.r.FormValue("text"), "\r\n", "\n")
		_, err = s.sh.KeepFile(v.r.Context(), v.by(), d.Book, []byte(text), v.r.FormValue("why"))
	}
	if err == nil {
		return v.go303("/job/" + d.Book + "/file")
	}
	if err := v.refused("file", err); err != nil {
		return err
	}
	return s.showFile(v, d)
}

// fileOut sends the gearbox file itself.
func (s *server) fileOut(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	text, _ := d.File()
	if text == nil {
		return missing("no part has come off yet that a gearbox file could be written from")
	}
	v.w.Header().Set("Content-Type", "application/yaml; charset=utf-8")
	v.w.Header().Set("Content-Disposition", `attachment; filename="`+d.Book+`.gearbox.yaml"`)
	v.w.WriteHeader(http.StatusOK)
	v.w.Write(text) // whoever asked may have gone
	return nil
}
