package web

import (
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
	"endfloat/internal/shop"
)

// drawnLink is a drawing in the list of a job.
type drawnLink struct {
	shop.Drawn
	Href string
}

func drawingHref(book, name string) string {
	return "/job/" + book + "/drawing?" + url.Values{"name": {name}}.Encode()
}

func drawnLinks(d *shop.Desk) []drawnLink {
	var out []drawnLink
	for _, w := range d.Drawings() {
		out = append(out, drawnLink{w, drawingHref(d.Book, w.Name)})
	}
	return out
}

// phoneWidth is the width of a drawing that a phone shows whole, mm.
const phoneWidth = 92

// drawnHref is where a drawing of a unit is, "" where it cannot be made.
func drawnHref(d *shop.Desk, name string) string {
	for _, w := range d.Drawings() {
		if w.Name == name {
			return drawingHref(d.Book, name)
		}
	}
	return ""
}

// carrierHrefs are the drawings of the carrier that a position is on.
func carrierHrefs(d *shop.Desk, p *gearbox.Position) []drawnLink {
	var out []drawnLink
	for _, w := range drawnLinks(d) {
		if p.Carrier != nil && strings.HasSuffix(w.Name, " "+p.Carrier.ID) && !strings.HasPrefix(w.Name, "chain ") {
			out = append(out, w)
		}
	}
	return out
}

// drawings lists what can be drawn of a unit.
func (s *server) drawings(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return v.show("drawings", struct {
		frame
		List []drawnLink
	}{v.jobFrame(d, "Drawings"), drawnLinks(d)})
}

// drawing shows one drawing, its parts leading to their positions.
func (s *server) drawing(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	name := v.trimmed("name")
	made, err := d.Draw(name, options(d))
	if err != nil {
		return err
	}
	p := struct {
		frame
		Heading  string
		Picture  picture
		Download string
		List     []drawnLink
	}{frame: v.jobFrame(d, "Drawing"), Picture: svg(made), Download: "/api/job/" + d.Book + "/drawing?" + url.Values{"name": {name}}.Encode(), List: drawnLinks(d)}
	if what, _, _ := strings.Cut(name, " "); slices.Contains([]string{"arrangement", "order", "chain"}, what) {
		o := options(d)
		o.Width = phoneWidth
		if made, err = d.Draw(name, o); err != nil {
			return err
		}
		p.Picture.Narrow = svg(made).SVG
	}
	for _, w := range p.List {
		if w.Name == name {
			p.Heading = w.Title
		}
	}
	p.Title = p.Heading
	return v.show("drawing", p)
}

// apiDrawings lists what can be drawn of a unit.
func (s *server) apiDrawings(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", map[string]any{"drawings": d.Drawings()})
	return nil
}

// apiDrawing gives one drawing as SVG, or as PNG.
func (s *server) apiDrawing(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	o := draw.Options{}
	if t := v.trimmed("width"); t != "" {
		if o.Width, err = strconv.ParseFloat(t, 64); err != nil || !(o.Width >= 60 && o.Width <= 1200) {
			return invalid("the width of a drawing is 60 to 1200 mm, got %q", t)
		}
	}
	if v.r.FormValue("plain") == "yes" {
		o.State = func(string) draw.State { return draw.Fitted }
	}
	made, err := d.Draw(v.trimmed("name"), o)
	if err != nil {
		return err
	}
	kind, bytes := "image/svg+xml", []byte(made.SVG())
	if v.r.FormValue("as") == "png" {
		dpi := 150.0
		if t := v.trimmed("dpi"); t != "" {
			if dpi, err = strconv.ParseFloat(t, 64); err != nil || !(dpi >= 24 && dpi <= 600) {
				return invalid("a picture has 24 to 600 dots to the inch, got %q", t)
			}
		}
		kind = "image/png"
		if bytes, err = made.PNG(dpi); err != nil {
			return invalid("%v", err)
		}
	}
	h := v.w.Header()
	h.Set("Content-Type", kind)
	h.Set("Content-Disposition", `inline; filename="`+strings.NewReplacer(" ", "-", "/", "-", `"`, "").Replace(d.Book+"-"+v.trimmed("name"))+`.`+strings.TrimSuffix(strings.TrimPrefix(kind, "image/"), "+xml")+`"`)
	_, err = v.w.Write(bytes)
	return err
}

// roundOf is a turn of readings as a picture.
func roundOf(r draw.Round, ok bool) template.HTML {
	if !ok {
		return ""
	}
	return svg(draw.RunOut(r)).SVG
}

// drawingOperation describes the routes of drawings.
func drawingOperation(pattern string) object {
	query := func(name, says string, need bool) object {
		return object{"name": name, "in": "query", "description": says, "required": need, "schema": text()}
	}
	if strings.HasSuffix(pattern, "/drawings") {
		return operation("drawings", "What can be drawn of a unit, each with the name to ask for it by.",
			shape([]string{"drawings"}, object{"drawings": list(shape([]string{"name", "title"}, object{"name": text(), "title": text()}))}))
	}
	op := operation("drawing", "One drawing of a unit, as SVG or PNG.", text())
	picture := object{"schema": object{"type": "string", "format": "binary"}}
	op["responses"].(object)["200"] = object{"description": "The drawing.", "content": object{"image/svg+xml": picture, "image/png": picture}}
	op["parameters"] = []object{
		query("name", "The name of a drawing, from the list.", true),
		query("as", "svg, or png.", false),
		query("width", "Width in millimetres, 60 to 1200; without it the natural size.", false),
		query("dpi", "Dots to the inch of a PNG, 24 to 600; without it 150.", false),
		query("plain", "yes leaves out how the parts stand in the job.", false),
	}
	return op
}
