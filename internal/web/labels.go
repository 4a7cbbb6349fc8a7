package web

import (
	"net"
	"net/http"
	"net/url"
	"reflect"
	"strconv"
	"time"

	tags "endfloat/internal/label"
	"endfloat/internal/report"
	"endfloat/internal/shop"
)

type labelsPage struct {
	frame
	Stocks []report.Stock
	Labels []tags.Label
	Base   string
	Site   string // under which a phone reaches this workshop, "" where it does not
}

// site is the address at which a phone reaches this server, as far as the
// request tells: a name that only this machine knows is of no use on a label.
func (v *visit) site() string {
	host := hostOnly(v.r.Host)
	if ip := net.ParseIP(host); host == "localhost" || ip != nil && ip.IsLoopback() {
		return ""
	}
	scheme := "http://"
	if v.r.TLS != nil {
		scheme = "https://"
	}
	return scheme + v.r.Host
}

// labelOrder is what was asked for on the page of the labels.
func (v *visit) labelOrder() (report.LabelOrder, error) {
	q := v.r.URL.Query()
	o := report.LabelOrder{Stock: q.Get("on"), Tags: q["tag"]}
	if own := q.Get("own"); own != "" {
		o.Stock = own
	}
	if first := q.Get("first"); first != "" {
		n, err := strconv.Atoi(first)
		if err != nil || n < 1 {
			return o, invalid("first label: %q was read; which place on the sheet is the first free one, 1 or more?", first)
		}
		o.First = n
	}
	if q.Get("phone") != "" {
		o.Site = v.site()
	}
	return o, nil
}

// labels is the page on which labels are chosen.
func (s *server) labels(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	p := labelsPage{frame: v.frame("Labels"), Stocks: report.Stocks(), Base: "/job/" + d.Book, Site: v.site()}
	if d.Book != shop.StoresBook {
		p.frame = v.jobFrame(d, "Labels")
		p.Live = ""
	}
	if p.Labels, err = report.LabelsOf(d.View, report.LabelOrder{}); err != nil {
		return err
	}
	return v.show("labels", p)
}

// labelsPDF prints labels.
func (s *server) labelsPDF(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	o, err := v.labelOrder()
	if err != nil {
		return err
	}
	b, err := report.Labels(d.View, o, report.Options{Made: time.Now(), Version: s.opt.Version})
	if err != nil {
		return invalid("%v", err)
	}
	v.w.Header().Set("Content-Type", "application/pdf")
	v.w.Header().Set("Content-Disposition", `inline; filename="`+d.Book+`-labels.pdf"`)
	v.w.WriteHeader(http.StatusOK)
	v.w.Write(b) // whoever asked may have gone
	return nil
}

// labelsJSON is the labels of a book and where they are printed.
type labelsJSON struct {
	Labels []tags.Label `json:"labels"`
	PDF    string       `json:"pdf"`
}

// apiLabels lists labels; the PDF of the same ones is under the address it gives.
func (s *server) apiLabels(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	o, err := v.labelOrder()
	if err != nil {
		return err
	}
	ls, err := report.LabelsOf(d.View, o)
	if err != nil {
		return invalid("%v", err)
	}
	pdf := url.URL{Path: "/job/" + d.Book + "/labels.pdf", RawQuery: v.r.URL.RawQuery}
	v.json(http.StatusOK, "application/json", labelsJSON{ls, pdf.String()})
	return nil
}

// photoOperation describes the routes of photos and labels.
func photoOperation(pattern string) object {
	query := func(name, says string) object {
		return object{"name": name, "in": "query", "description": says, "schema": text()}
	}
	picture := object{"required": true, "content": object{"image/*": object{"schema": object{"type": "string", "format": "binary"}}}}
	switch pattern {
	case "POST /api/photo":
		op := operation("photo", "Keep a photo: JPEG, PNG or WebP. It is turned upright and scaled, and what the camera wrote beside it is left out. Its key goes into the photos of an entry.", schemaOf(reflect.TypeFor[photoJSON]()))
		op["requestBody"] = picture
		return op
	case "GET /api/job/{book}/decide":
		return operation("doubts", "The doubtful parts that may go back, the dearest to have been wrong about first: hours to get back to each once the unit is together, there and back with what is to be proven again, and what that costs; what the customer must agree to; how many open parts the rules of the gearbox file decide.", schemaOf(reflect.TypeFor[decideJSON]()))
	case "GET /api/job/{book}/bags":
		return operation("bags", "The bags and trays of a unit, each with its number of how many, and the pieces off it with when each was in a hand last, the longest ago first.", schemaOf(reflect.TypeFor[bagsJSON]()))
	case "GET /api/job/{book}/photos":
		op := operation("photos", "The photos of a unit with what was drawn over them; of one position, beside those that other units of the type have of it. A mark is drawn by an entry of kind \"drawn\"; the photo stays as it is.", schemaOf(reflect.TypeFor[galleryJSON]()))
		op["parameters"] = []object{query("position", "its id; none: all")}
		return op
	case "POST /api/scan":
		op := operation("scan", "Read the label in a photo, or find the tag of the query, and say whose it is; stop is true where it belongs to another unit than the one at this bench.", schemaOf(reflect.TypeFor[foundJSON]()))
		op["requestBody"] = object{"content": picture["content"]}
		op["parameters"] = []object{query("tag", "a tag, instead of a photo"), query("at", "book of the job at this bench")}
		return op
	case "GET /api/job/{book}/labels":
		op := operation("labels", "The labels of a book's pieces and bags, and the address of their PDF.", schemaOf(reflect.TypeFor[labelsJSON]()))
		op["parameters"] = []object{query("tag", "of a piece, or the place of a bag; may stand several times; none: what is off the unit"),
			query("on", "size of the labels: a4-24, 62, 50x30, or a grid such as 3x8 of 70x37"), query("first", "place of the first label on the sheet"),
			query("phone", "anything: codes hold this workshop's address, so that a phone's own camera opens them")}
		return op
	}
	return receiveOperation(pattern)
}
