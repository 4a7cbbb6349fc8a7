package web

import (
	"bytes"
	"context"
	"encoding/json"
	"mime/multipart"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"endfloat/internal/archive"
	"endfloat/internal/demo"
	"endfloat/internal/report"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

// paperBench is the demonstration with its papers.
func paperBench(t *testing.T) *bench {
	t.Helper()
	b := demoBench(t)
	b.h = New(b.sh, Options{Version: "test", Book: func(ctx context.Context, d *shop.Desk, reader, paper string) ([]byte, error) {
		return b.sh.Paper(ctx, d, reader, shop.Press{Options: report.Options{Made: time.Date(2026, 3, 10, 8, 0, 0, 0, time.UTC), Version: "test", Paper: paper}})
	}})
	return b
}

// file sends one file in a form.
func (b *bench) file(path string, raw []byte) *httptest.ResponseRecorder {
	b.t.Helper()
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	f, err := m.CreateFormFile("file", "it")
	if err == nil {
		_, err = f.Write(raw)
	}
	if err == nil {
		err = m.Close()
	}
	if err != nil {
		b.t.Fatal(err)
	}
	r := httptest.NewRequest("POST", home+path, &body)
	r.Header.Set("Content-Type", m.FormDataContentType())
	r.Header.Set("Origin", home)
	return b.do(r)
}

// The page of the book leads to every reader's version, and each is a PDF.
func TestPapers(t *testing.T) {
	b := paperBench(t)
	page := b.get("/job/linnet/book").Body.String()
	var api papersJSON
	if err := json.Unmarshal(b.get("/api/job/linnet/papers").Body.Bytes(), &api); err != nil {
		t.Fatal(err)
	}
	if len(api.Papers) != len(report.Readers())+1 || api.Pin == "" {
		t.Errorf("%+v", api)
	}
	for _, r := range report.Readers() {
		link := "/job/linnet/book.pdf?for=" + r.Key
		if !strings.Contains(page, `href="`+link+`"`) {
			t.Errorf("no link to %s", link)
		}
	}
	for _, p := range api.Papers {
		w := b.get(p.PDF)
		if w.Code != 200 || !strings.HasPrefix(w.Body.String(), "%PDF-") || !strings.Contains(w.Header().Get("Content-Disposition"), p.For) {
			t.Errorf("%s: %d, %s", p.PDF, w.Code, w.Header().Get("Content-Disposition"))
		}
	}
	holds(t, b.get("/job/linnet/book.pdf?for=nobody"), 404, "there are those for owner")
	holds(t, b.get("/job/linnet/book.pdf?paper=A3"), 422, "A4 or Letter")
}

// What leaves the workshop by the screen or the API is what the command line
// writes, and is checked and taken in by the screen and the API alike.
func TestOutAndIn(t *testing.T) {
	b := paperBench(t)
	book, zip := b.get("/job/linnet/book.pdf").Body.Bytes(), b.get("/job/linnet/export.zip").Body.Bytes()
	proof := b.get("/job/linnet/proof?entry=12").Body.Bytes()
	if _, err := archive.CheckProof(proof); err != nil {
		t.Error(err)
	}
	var p proofJSON
	if err := json.Unmarshal(b.get("/api/job/linnet/proof?entry=12").Body.Bytes(), &p); err != nil || !bytes.Equal(p.Proof, proof) {
		t.Errorf("another proof by the API (%v)", err)
	}
	holds(t, b.get("/job/linnet/proof?entry=99999"), 404, "it has")
	holds(t, b.get("/job/linnet/proof?entry=x"), 422, "number of an entry")
	for raw, says := range map[string]string{string(book): "made again, alike byte for byte", string(zip): "whole: endfloat/linnet", string(proof): "proved: entry 12"} {
		holds(t, b.file("/archive/check", []byte(raw)), 200, says)
		w := b.raw("/api/verify", raw)
		holds(t, w, 200, says)
	}
	bad := bytes.Clone(zip)
	bad[len(bad)/2] ^= 1
	other := &bench{t, shop.New(memory.New(), time.Now), nil}
	other.h = New(other.sh, Options{Version: "test"})
	for _, w := range []*httptest.ResponseRecorder{other.file("/archive/check", bad), other.file("/archive/import", bad), other.raw("/api/verify", string(bad)), other.raw("/api/import", string(bad))} {
		if w.Code != 422 {
			t.Errorf("a broken archive: %d %.200s", w.Code, w.Body)
		}
	}
	if rows, _ := other.sh.Jobs(t.Context()); len(rows) != 0 {
		t.Fatal("a refused archive has left something")
	}
	holds(t, other.file("/archive/import", zip), 200, "Taken in:", "1 book with")
	holds(t, other.raw("/api/import", string(zip)), 200, `"books":0`, `"held":`)
	holds(t, other.get("/job/linnet"), 200, "Linnet")
	if all := b.get("/export.zip"); all.Code != 200 {
		t.Errorf("the whole workshop: %d", all.Code)
	} else if _, err := archive.Read(all.Body.Bytes()); err != nil {
		t.Error(err)
	}
	holds(t, b.get("/job/linnet/readings.csv"), 200, "gauge gap,1,0.55,0.00055,m,")
	holds(t, b.get("/job/linnet/parts.csv"), 200, "P36,depth shims under the cartridge flange")
	holds(t, b.get("/job/"+demo.Dunnock+"/export.zip"), 200)
}

// raw sends a file as the body of a request.
func (b *bench) raw(path, body string) *httptest.ResponseRecorder {
	r := httptest.NewRequest("POST", home+path, strings.NewReader(body))
	r.Header.Set("Origin", home)
	return b.do(r)
}

// Who only reads may not take in, nor carry the whole workshop away.
func TestOutAndInByRole(t *testing.T) {
	b := paperBench(t)
	me := me{ID: "phone", Name: "Ann", Device: "phone", Role: shop.Reader}
	for _, r := range []struct{ method, path string }{{"GET", "/export.zip"}, {"POST", "/api/import"}} {
		req := httptest.NewRequest(r.method, home+r.path, strings.NewReader(""))
		req = req.WithContext(context.WithValue(req.Context(), meKey{}, me))
		w := httptest.NewRecorder()
		(&server{sh: b.sh}).mux().ServeHTTP(w, req)
		if w.Code != 403 {
			t.Errorf("%s %s by a reader: %d %.200s", r.method, r.path, w.Code, w.Body)
		}
	}
}
