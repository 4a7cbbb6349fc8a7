package web

import (
	"net/http"
	"net/url"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// scanPage asks for the label of a piece: by photo, by camera or by hand.
type scanPage struct {
	frame
	From string // the job at this bench, "" for none
}

// scanForm is the page on which a label is held before the camera.
func (s *server) scanForm(v *visit) error {
	return s.scanShow(v, v.r.PathValue("book"))
}

func (s *server) scanShow(v *visit, from string) error {
	p := scanPage{frame: v.frame("Scan a label"), From: from}
	if from != "" {
		d, err := s.sh.Open(v.r.Context(), from)
		if err != nil {
			return err
		}
		p.frame = v.jobFrame(d, "Scan a label")
		p.Live = "" // a page that reloads would switch the camera off
	}
	p.Bench = true
	return v.show("scan", p)
}

// scan reads the label in a photo and leads to its piece.
func (s *server) scan(v *visit) error {
	err := v.form()
	from := v.r.FormValue("from")
	text := ""
	if err == nil {
		text, err = v.label()
	}
	if err == nil {
		return v.go303(tagAt(text, from))
	}
	if err = v.refused("scan", err); err != nil {
		return err
	}
	return s.scanShow(v, from)
}

// label is the text of the label in the photo that came with a form.
func (v *visit) label() (string, error) {
	if v.r.MultipartForm == nil || len(v.r.MultipartForm.File["photo"]) == 0 {
		return "", invalid("no photo came: take one of the label, or type what stands on it")
	}
	h := v.r.MultipartForm.File["photo"][0]
	f, err := h.Open()
	if err != nil {
		return "", invalid("the photo did not arrive whole; send it again")
	}
	defer f.Close()
	raw, err := readPhoto(f)
	if err != nil {
		return "", err
	}
	return v.s.sh.ReadLabel(v.r.Context(), raw)
}

func tagAt(text, from string) string {
	q := url.Values{"tag": {text}}
	if from != "" {
		q.Set("from", from)
	}
	return "/tag?" + q.Encode()
}

// label is where a code with an address leads, read by a phone's own camera.
func (s *server) label(v *visit) error {
	return v.go303(tagAt("://"+v.r.URL.EscapedPath(), ""))
}

type tagPage struct {
	frame
	*shop.Found
	Link   string
	Owner  *unitBand
	Where  string
	Inside []*job.Piece // of a bag
}

// tag answers whose piece a tag names: it leads to where the piece is, and
// stops a hand that holds another unit's piece.
func (s *server) tag(v *visit) error {
	text, from := v.r.FormValue("tag"), v.r.FormValue("from")
	if text == "" {
		return v.go303("/")
	}
	if from != "" {
		if _, err := s.sh.Open(v.r.Context(), from); err != nil {
			return err
		}
	}
	f, err := s.sh.Scan(v.r.Context(), from, text)
	if err != nil {
		return err
	}
	if f.Desk.Book == shop.StoresBook {
		return v.go303("/stores#" + url.QueryEscape(f.Tag))
	}
	p := tagPage{frame: v.jobFrame(f.Desk, "Tag "+f.Tag), Found: f, Where: f.Lies()}
	p.Bench = true
	p.Owner, p.Link = p.Unit, p.Unit.Base
	if f.Piece != nil && f.Piece.Position != "" {
		p.Link += "/at/" + url.PathEscape(f.Piece.Position)
	}
	if f.Piece == nil {
		for _, t := range f.Tags {
			p.Inside = append(p.Inside, f.Desk.Pieces[t])
		}
	}
	if f.Stop {
		here, err := s.sh.Open(v.r.Context(), from)
		if err != nil {
			return err
		}
		p.frame, p.Bench = v.jobFrame(here, "Stop"), true
	}
	return v.page(http.StatusOK, "tag", p)
}

// foundJSON is what a label leads to.
type foundJSON struct {
	Tag    string   `json:"tag"`
	Book   string   `json:"book"`
	Unit   string   `json:"unit"`
	Letter string   `json:"letter"`
	Colour string   `json:"colour"`
	Name   string   `json:"name"`
	Pieces []string `json:"pieces"`
	Where  string   `json:"where"`
	Stop   bool     `json:"stop"`
}

// apiScan reads the label in a photo, or finds the tag of the query, and says
// whose it is.
func (s *server) apiScan(v *visit) error {
	q := v.r.URL.Query()
	text := q.Get("tag")
	if text == "" {
		raw, err := v.picture()
		if err != nil {
			return err
		}
		if text, err = s.sh.ReadLabel(v.r.Context(), raw); err != nil {
			return err
		}
	}
	if at := q.Get("at"); at != "" {
		if _, err := s.sh.Open(v.r.Context(), at); err != nil {
			return err
		}
	}
	f, err := s.sh.Scan(v.r.Context(), q.Get("at"), text)
	if err != nil {
		return err
	}
	o := f.Desk.Opened
	v.json(http.StatusOK, "application/json", foundJSON{f.Tag, f.Desk.Book, o.Unit, o.Letter, o.Colour, f.What(), f.Tags, f.Lies(), f.Stop})
	return nil
}
