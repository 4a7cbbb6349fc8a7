package web

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/textproto"
	"net/url"
	"path"
	"slices"
	"strings"

	"endfloat/internal/shop"
)

// keptForm is one entry that waited on a device, as the device saved it: a line
// of a file. The first line of the file is a fileHead.
type keptForm struct {
	N      int         `json:"n"`
	ID     string      `json:"id"`
	At     string      `json:"at"`
	To     string      `json:"to"`
	Fields [][2]string `json:"fields"`
	Photos []keptPhoto `json:"photos"`
}

type keptPhoto struct {
	Name string `json:"name"`
	Data []byte `json:"data"`
}

type fileHead struct {
	Waiting int    `json:"endfloat waiting"` // version of the form of the file
	Who     string `json:"who"`
	Device  string `json:"device"`
}

// Taken is what became of one entry of a file of waiting entries.
type Taken struct {
	N    int
	To   string
	Says string // why it was refused, "" when it is in its book
}

// mostLine is the longest line that is read of a file: one entry with its photos.
const mostLine = 96 << 20

// TakeFile takes in a file of entries that waited on a device, in the order in
// which they were made. Those that arrived meanwhile are not added again. as is
// who they are recorded for; when it is nil the file says who made them.
func TakeFile(ctx context.Context, sh *shop.Shop, r io.Reader, as *shop.By) ([]Taken, error) {
	lines := bufio.NewScanner(r)
	lines.Buffer(make([]byte, 64<<10), mostLine)
	var head fileHead
	if !lines.Scan() || json.Unmarshal(lines.Bytes(), &head) != nil || head.Waiting != 1 {
		if err := lines.Err(); err != nil {
			return nil, fmt.Errorf("file: %w", err)
		}
		return nil, invalid("this is no file of waiting entries: its first line does not say so. Save them again from the page on the phone")
	}
	who := me{ID: "file", Name: clip(strings.TrimSpace(head.Who), 60), Device: clip(strings.TrimSpace(head.Device), 60), Role: shop.Owner}
	if as != nil {
		who.Name, who.Role = as.Name, as.Role
	}
	s := &server{sh: sh}
	var out []Taken
	for n := 2; lines.Scan(); n++ {
		if len(bytes.TrimSpace(lines.Bytes())) == 0 {
			continue
		}
		var k keptForm
		if err := json.Unmarshal(lines.Bytes(), &k); err != nil || k.N < 1 {
			return out, invalid("line %d of the file does not hold an entry; those before it were taken", n)
		}
		says, err := s.takeOne(ctx, who, k)
		if err != nil {
			return out, err
		}
		out = append(out, Taken{k.N, k.To, says})
	}
	if err := lines.Err(); errors.Is(err, bufio.ErrTooLong) {
		return out, invalid("an entry of the file is larger than %d MB; those before it were taken", mostLine>>20)
	} else if err != nil {
		return out, fmt.Errorf("file: %w", err)
	}
	return out, nil
}

// takeOne sends a kept form through the very pages it was made for.
func (s *server) takeOne(ctx context.Context, who me, k keptForm) (says string, err error) {
	to, err := url.Parse(k.To)
	if err != nil || !factPage.MatchString(to.Path) {
		return fmt.Sprintf("%q is no page on which facts are recorded", k.To), nil
	}
	body, kind, err := k.body()
	if err != nil {
		return "", err
	}
	r, err := http.NewRequestWithContext(context.WithValue(ctx, meKey{}, who), http.MethodPost, to.Path, body)
	if err != nil {
		return "", fmt.Errorf("entry %d: %w", k.N, err)
	}
	r.Header.Set("Content-Type", kind)
	w := &answer{head: http.Header{}}
	s.mux().ServeHTTP(w, r)
	switch {
	case w.code == http.StatusSeeOther:
		return "", nil
	case w.code >= http.StatusInternalServerError:
		return "", fmt.Errorf("entry %d: the program could not record it; nothing after it was taken", k.N)
	}
	return w.refusal(), nil
}

// body is the form as a browser would have sent it.
func (k keptForm) body() (io.Reader, string, error) {
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	put := func(name, value string) error { return form.WriteField(name, value) }
	var errs []error
	for _, f := range k.Fields {
		if !slices.Contains([]string{"id", "n", "at"}, f[0]) {
			errs = append(errs, put(f[0], f[1]))
		}
	}
	errs = append(errs, put("id", k.ID), put("n", fmt.Sprint(k.N)), put("at", k.At))
	for _, p := range k.Photos {
		h := textproto.MIMEHeader{"Content-Disposition": {fmt.Sprintf(`form-data; name="photo"; filename=%q`, path.Base(p.Name))}, "Content-Type": {"application/octet-stream"}}
		w, err := form.CreatePart(h)
		if err == nil {
			_, err = w.Write(p.Data)
		}
		errs = append(errs, err)
	}
	errs = append(errs, form.Close())
	if err := errors.Join(errs...); err != nil {
		return nil, "", fmt.Errorf("entry %d: %w", k.N, err)
	}
	return &b, form.FormDataContentType(), nil
}

// answer is what a page answered to a form from a file.
type answer struct {
	head http.Header
	code int
	body bytes.Buffer
}

func (a *answer) Header() http.Header         { return a.head }
func (a *answer) WriteHeader(code int)        { a.code = code }
func (a *answer) Write(b []byte) (int, error) { return a.body.Write(b) }

// refusal is the sentence that the page gives for it.
func (a *answer) refusal() string {
	if s := a.head.Get("Refused"); s != "" {
		if text, err := url.PathUnescape(s); err == nil {
			return text
		}
	}
	return "it was refused"
}

type waitingPage struct {
	frame
	Taken    []Taken
	Put, Not int
}

// waiting shows what waits on this device; the list itself is on the device.
func (s *server) waiting(v *visit) error {
	return v.show("waiting", waitingPage{frame: v.frame("Waiting entries")})
}

// takeWaiting takes in a file of entries that waited on a device.
func (s *server) takeWaiting(v *visit) error {
	p := waitingPage{}
	err := v.form()
	if err == nil {
		err = invalid("choose the file that was saved on the phone")
		if v.r.MultipartForm != nil && len(v.r.MultipartForm.File["file"]) > 0 {
			f, e := v.r.MultipartForm.File["file"][0].Open()
			if e != nil {
				return fmt.Errorf("file: %w", e)
			}
			defer f.Close()
			var as *shop.By
			if v.role() != shop.Owner {
				by := v.by()
				as = &by
			}
			p.Taken, err = TakeFile(v.r.Context(), s.sh, f, as)
		}
	}
	for _, t := range p.Taken {
		if t.Says == "" {
			p.Put++
		} else {
			p.Not++
		}
	}
	if err := v.refused("take", err); err != nil {
		return err
	}
	p.frame = v.frame("Waiting entries")
	return v.show("waiting", p)
}
