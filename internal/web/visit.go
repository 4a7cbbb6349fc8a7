package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/shop"

	"github.com/google/uuid"
)

//go:embed page/*.html
var pageFiles embed.FS

// A page is parsed when it is first shown, each with the frame around it: parsing
// all of them would be a third of the time that the program takes to begin.
var (
	pages    sync.Map // name → *template.Template
	surround = sync.OnceValue(func() *template.Template {
		return template.Must(template.New("").Option("missingkey=error").Funcs(funcs).ParseFS(pageFiles, "page/_*.html"))
	})
)

func page(name string) *template.Template {
	if t, ok := pages.Load(name); ok {
		return t.(*template.Template)
	}
	t := template.Must(template.Must(surround().Clone()).ParseFS(pageFiles, "page/"+name+".html"))
	kept, _ := pages.LoadOrStore(name, t)
	return kept.(*template.Template)
}

// visit is one request being answered.
type visit struct {
	s      *server
	w      http.ResponseWriter
	r      *http.Request
	api    bool
	me     me
	kept   []string // photos that came with the form
	refuse *fault
	ready  *block // the part of the page that stands at its {{ready}}, nil where it has none
}

func (s *server) visit(w http.ResponseWriter, r *http.Request) *visit {
	who, _ := r.Context().Value(meKey{}).(me) // nobody: a page seen before pairing
	return &visit{s: s, w: w, r: r, me: who, api: strings.HasPrefix(r.URL.Path, "/api/")}
}

// fault is a refusal shown on a form.
type fault struct {
	At   string // the form it belongs to
	Says string
	Hold *shop.HoldError
	code int
}

// frame is what every page has around its own matter.
type frame struct {
	Title  string
	Unit   *unitBand // nil on pages about no job
	Who    string
	Device string
	Dress  string // "hall", "under" or "" for the device's own
	Path   string
	Live   string // book whose changes refresh this page
	Bench  bool   // a page with one question: fewer ways out
	ID     string // for the entry that a form on this page makes
	Fault  *fault
	In     url.Values // what was typed
	Photos []string   // kept from a refused form
	Asset  string
	Ver    string
	Role   shop.Role // of who looks on, "" at the computer itself
	Out    bool      // seen by a device that is not paired: no ways in
	people func() []string
}

// unitBand says whose gearbox a page is about.
type unitBand struct {
	Base, Unit, Letter, Colour, Tape, Arc, Type string
	Last                                        *lastEntry
}

// lastEntry is the newest entry, to be struck from where it was made.
type lastEntry struct{ ID, Says string }

func (v *visit) frame(title string) frame {
	if v.r.Form == nil {
		_ = v.r.ParseForm() // what cannot be read of a query counts as not typed
	}
	f := frame{Title: title, Who: v.whoName(), Device: v.deviceName(), Dress: v.cookie("dress"), Path: v.r.URL.RequestURI(), ID: newID(), Asset: assetVersion, Ver: v.s.opt.Version}
	f.people = v.people
	if f.Dress != "hall" && f.Dress != "under" {
		f.Dress = ""
	}
	if v.me.ID != "" {
		f.Role = v.me.Role
	}
	f.In, f.Fault, f.Photos = v.r.Form, v.refuse, v.kept
	if v.refuse != nil {
		f.ID = v.r.FormValue("id")
		if back := v.r.FormValue("back"); back != "" {
			f.Path = back
		}
	}
	return f
}

// jobFrame is the frame of a page about a job.
func (v *visit) jobFrame(d *shop.Desk, title string) frame {
	f := v.frame(title)
	f.Live = d.Book
	f.Unit = &unitBand{Base: "/job/" + d.Book, Unit: d.Opened.Unit, Letter: d.Opened.Letter, Colour: d.Opened.Colour,
		Tape: tape(d.Opened.Colour), Arc: d.Arc(), Type: d.Opened.Type}
	if n := len(d.Entries); n > 0 {
		if e := d.Entries[n-1]; strikable(e.Kind) {
			if _, gone := d.Struck[e.ID]; !gone {
				f.Unit.Last = &lastEntry{e.ID, firstLine(says(d, e))}
			}
		}
	}
	return f
}

// FaultAt is the refusal that belongs to a form, nil when there is none.
func (f frame) FaultAt(form string) *fault {
	if f.Fault != nil && f.Fault.At == form {
		return f.Fault
	}
	return nil
}

// Way is a page that another leads to.
type Way struct{ Title, Href string }

// jobWays are the pages that every page of a job leads to, under the address of the job.
var jobWays = []Way{{"Return card", ""}, {"Receive", "/receive"}, {"Strip", "/strip"}, {"Clean", "/clean"}, {"Inspect", "/look"},
	{"Readings", "/read"}, {"Decide", "/decide"}, {"Settings", "/settings"}, {"Build", "/build"}, {"Photos", "/photos"}, {"Notes", "/note"}, {"Book", "/book"}}

// Pages are the links that stand on every page, written here because the template takes
// ten times as long and they would be half of its work.
func (f frame) Pages() template.HTML {
	path, _, _ := strings.Cut(f.Path, "?")
	var b strings.Builder
	to := func(href, title string, only bool) {
		b.WriteString(`<a href="`)
		b.WriteString(template.HTMLEscapeString(href))
		if path == href || path+"s" == href || !only && strings.HasPrefix(path, href+"/") { // one setting is under Settings
			b.WriteString(`" aria-current="page`)
		}
		b.WriteString(`">`)
		b.WriteString(template.HTMLEscapeString(title))
		b.WriteString("</a>\n")
	}
	to("/", "Bench", true)
	if f.Unit != nil {
		for _, w := range jobWays {
			to(f.Unit.Base+w.Href, w.Title, w.Href == "")
		}
	}
	to("/sums", "Sums", false)
	to("/stores", "Stores", false)
	return template.HTML(b.String())
}

// Typed is what was typed into a field.
func (f frame) Typed(key string) string { return f.In.Get(key) }

// Nth is what was typed into the nth field of that name.
func (f frame) Nth(key string, n int) string {
	if vs := f.In[key]; n < len(vs) {
		return vs[n]
	}
	return ""
}

// Kept is what was typed into a field, else a first proposal.
func (f frame) Kept(key, first string) string {
	if f.In.Has(key) {
		return f.In.Get(key)
	}
	return first
}

// Picked reports whether a choice was made, or is the first proposal.
func (f frame) Picked(key, value, first string) bool {
	if f.In.Has(key) {
		return slices.Contains(f.In[key], value)
	}
	return value == first
}

func firstLine(s string) string {
	s, _, _ = strings.Cut(s, "\n")
	return s
}

func newID() string {
	id, err := uuid.NewV7()
	if err != nil {
		return "" // the shop makes one then
	}
	return id.String()
}

var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// readyHere marks where a page has the part that is kept ready. No text that a
// person types comes to a page with its angle brackets.
const readyHere = "<!--ready-->"

// page renders a page into a buffer and then writes it, so that a fault in
// rendering never leaves half a page.
func (v *visit) page(code int, name string, data any) error {
	b := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(b)
	b.Reset()
	if err := page(name).ExecuteTemplate(b, "sheet", data); err != nil {
		return fmt.Errorf("page %s: %w", name, err)
	}
	v.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	v.w.WriteHeader(code)
	before, after, here := bytes.Cut(b.Bytes(), []byte(readyHere))
	v.w.Write(before) // whoever asked may have gone
	if here && v.ready != nil {
		v.ready.send(v.w)
	}
	v.w.Write(after)
	return nil
}

// show renders a page, with the status of its refusal when it has one.
func (v *visit) show(name string, data any) error {
	if v.refuse != nil {
		return v.page(v.refuse.code, name, data)
	}
	return v.page(http.StatusOK, name, data)
}

// refused takes an error that a person can mend and keeps it for the form;
// anything else is returned.
func (v *visit) refused(form string, err error) error {
	code, says := status(err)
	if code == http.StatusInternalServerError || code == http.StatusNotFound {
		return err
	}
	v.refuse = &fault{At: form, Says: sentence(says), code: code}
	v.w.Header().Set("Refused", url.PathEscape(v.refuse.Says)) // for whoever keeps the form until it is taken
	errors.As(err, &v.refuse.Hold)
	return nil
}

func sentence(s string) string {
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "?") {
		return s
	}
	return s + "."
}

// go303 sends the browser on after a change.
func (v *visit) go303(to string) error {
	if v.r.Header.Get("Outbox") != "" { // our own module: it needs to know where, and no page
		v.w.Header().Set("Goes-To", to)
		v.w.WriteHeader(http.StatusNoContent)
		return nil
	}
	http.Redirect(v.w, v.r, to, http.StatusSeeOther)
	return nil
}

// form reads a form, small or with photos.
func (v *visit) form() error {
	err := v.r.ParseMultipartForm(8 << 20)
	if errors.Is(err, http.ErrNotMultipart) {
		err = v.r.ParseForm()
	}
	var big *http.MaxBytesError
	switch {
	case errors.As(err, &big):
		return &plain{shop.ErrInvalid, "what was sent is too large; send fewer photos at a time, and take a large archive in with endfloat import FILE"}
	case err != nil:
		return &plain{shop.ErrInvalid, "the form did not arrive whole; send it again"}
	}
	return nil
}

// photos keeps the photos of a form and returns their keys, with those kept
// from a form refused before.
func (v *visit) photos() ([]string, error) {
	v.kept = slices.Clone(v.r.Form["kept"])
	if v.r.MultipartForm == nil {
		return v.kept, nil
	}
	for _, h := range v.r.MultipartForm.File["photo"] {
		if h.Size == 0 {
			continue
		}
		key, err := v.keepPhoto(h)
		if err != nil {
			return v.kept, err
		}
		v.kept = append(v.kept, key)
	}
	return v.kept, nil
}

func (v *visit) keepPhoto(h *multipart.FileHeader) (string, error) {
	f, err := h.Open()
	if err != nil {
		return "", fmt.Errorf("photo: %w", err)
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, shop.MaxPhotoBytes+1))
	if err != nil {
		return "", fmt.Errorf("photo: %w", err)
	}
	return v.s.sh.PhotoIn(v.r.Context(), raw)
}

// plain is an error of a kind with a sentence of its own.
type plain struct {
	kind error
	says string
}

func (p *plain) Error() string { return p.says }
func (p *plain) Unwrap() error { return p.kind }

func invalid(format string, args ...any) error {
	return &plain{shop.ErrInvalid, fmt.Sprintf(format, args...)}
}

func missing(format string, args ...any) error {
	return &plain{shop.ErrNotFound, fmt.Sprintf(format, args...)}
}

// by is who acts, on which device, and the id of the entry that the form makes.
func (v *visit) by() shop.By {
	b := shop.By{Name: v.whoName(), Device: v.deviceName(), ID: v.entryID(), Role: v.role()}
	if b.N, _ = strconv.Atoi(v.r.FormValue("n")); b.N > 0 {
		b.At = v.made(v.r.FormValue("at"))
	}
	return b
}

// role is that of who asks; whoever is not known looks on.
func (v *visit) role() shop.Role {
	if v.me.Role == "" {
		return shop.Reader
	}
	return v.me.Role
}

// made is when a device says that it made an entry. A device whose clock is ahead
// cannot write into the future.
func (v *visit) made(text string) time.Time {
	at, err := time.Parse(time.RFC3339, text)
	if err != nil || at.After(time.Now().Add(5*time.Minute)) {
		return time.Time{}
	}
	return at
}

// entryID is made of the id that the form was given and of what was typed. The
// same form sent twice makes one entry; a form gone back to and filled in anew
// makes a new one.
func (v *visit) entryID() string {
	id, err := uuid.Parse(v.r.FormValue("id"))
	if err != nil {
		return ""
	}
	if v.r.FormValue("n") != "" {
		return id.String() // made with the entry, on the device that keeps it
	}
	h := sha256.New()
	fmt.Fprintf(h, "%s %s\n%s\n", v.r.Method, v.r.URL.Path, v.r.Form.Encode())
	if v.r.MultipartForm != nil {
		for _, f := range v.r.MultipartForm.File["photo"] {
			fmt.Fprintf(h, "%q %d\n", f.Filename, f.Size)
		}
	}
	copy(id[6:], h.Sum(nil)) // the first six bytes keep the time, as RFC 9562 has them
	id[6], id[8] = id[6]&0x0f|0x70, id[8]&0x3f|0x80
	return id.String()
}

// sentBefore reports whether this very form has been recorded already.
func (v *visit) sentBefore(d *shop.Desk) bool {
	id := v.entryID()
	return id != "" && slices.ContainsFunc(d.Entries, func(e job.Entry) bool { return e.ID == id })
}

// byAgain is the same person for a further entry of the same form.
func (v *visit) byAgain() shop.By {
	b := v.by()
	b.ID = ""
	return b
}

func (v *visit) open() (*shop.Desk, error) {
	return v.s.sh.Open(v.r.Context(), v.r.PathValue("book"))
}

func (v *visit) cookie(name string) string {
	c, err := v.r.Cookie(name)
	if err != nil {
		return ""
	}
	s, err := url.QueryUnescape(c.Value)
	if err != nil {
		return ""
	}
	return s
}

func (v *visit) keepCookie(name, value string) {
	http.SetCookie(v.w, &http.Cookie{Name: name, Value: url.QueryEscape(value), Path: "/", MaxAge: 400 * 24 * 3600, HttpOnly: true, SameSite: http.SameSiteLaxMode})
}

func (v *visit) whoName() string {
	if v.me.ID != "" {
		return v.me.Name
	}
	if w := strings.TrimSpace(v.cookie("who")); w != "" {
		return clip(w, 60)
	}
	return "bench"
}

func (v *visit) deviceName() string {
	if v.me.ID != "" {
		return v.me.Device
	}
	if d := strings.TrimSpace(v.cookie("device")); d != "" {
		return clip(d, 60)
	}
	return "bench"
}

func clip(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n])
	}
	return s
}

func (v *visit) json(code int, kind string, data any) {
	b, err := json.Marshal(data)
	if err != nil {
		code, kind, b = http.StatusInternalServerError, "application/problem+json", []byte(`{"title":"this answer could not be written","status":500}`)
	}
	v.w.Header().Set("Content-Type", kind)
	v.w.WriteHeader(code)
	v.w.Write(append(b, '\n')) // whoever asked may have gone
}

func readAll(h *multipart.FileHeader) ([]byte, error) {
	f, err := h.Open()
	if err != nil {
		return nil, fmt.Errorf("file: %w", err)
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, 2<<20))
}

// part renders one piece of a page, for the module that refreshes it.
func (v *visit) part(name, part string, data any) error {
	var b bytes.Buffer
	if err := page(name).ExecuteTemplate(&b, part, data); err != nil {
		return fmt.Errorf("page %s, %s: %w", name, part, err)
	}
	v.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	v.w.WriteHeader(http.StatusOK)
	v.w.Write(b.Bytes()) // whoever asked may have gone
	return nil
}
