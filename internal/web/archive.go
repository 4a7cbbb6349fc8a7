package web

import (
	"crypto/ed25519"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"reflect"
	"strconv"
	"strings"

	"endfloat/internal/report"
	"endfloat/internal/shop"
)

// key is the workshop's own, nil where it has none.
func (s *server) key() (ed25519.PrivateKey, error) {
	if s.opt.Key == nil {
		return nil, nil
	}
	return s.opt.Key()
}

// exportJob is a job as an archive; of the book "" the whole workshop.
func (s *server) exportJob(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	return s.export(v, d.Book, d.Book+".zip")
}

func (s *server) exportAll(v *visit) error {
	if err := v.owner("take the whole workshop out"); err != nil {
		return err
	}
	return s.export(v, "", "workshop.zip")
}

func (s *server) export(v *visit, book, name string) error {
	key, err := s.key()
	if err != nil {
		return err
	}
	a, err := s.sh.Pack(v.r.Context(), book, true, key)
	if err != nil {
		return err
	}
	b, err := a.Bytes()
	if err != nil {
		return err
	}
	v.file("application/zip", name, b)
	return nil
}

// proof is a file that proves one entry.
func (s *server) proof(v *visit) error {
	seq, err := v.entryNumber()
	if err != nil {
		return err
	}
	b, err := s.prove(v, seq)
	if err != nil {
		return err
	}
	v.file("application/octet-stream", fmt.Sprintf("%s-%d.proof", v.r.PathValue("book"), seq), b)
	return nil
}

func (v *visit) entryNumber() (int, error) {
	n, err := strconv.Atoi(strings.TrimSpace(v.r.FormValue("entry")))
	if err != nil {
		return 0, invalid("entry: %q was read; give the number of an entry in the book", v.r.FormValue("entry"))
	}
	return n, nil
}

func (s *server) prove(v *visit, seq int) ([]byte, error) {
	key, err := s.key()
	if err != nil {
		return nil, err
	}
	return s.sh.Prove(v.r.Context(), v.r.PathValue("book"), seq, key)
}

func (s *server) readingsCSV(v *visit) error { return s.csv(v, "readings", (*shop.Desk).ReadingsCSV) }

func (s *server) partsCSV(v *visit) error { return s.csv(v, "parts", (*shop.Desk).PartsCSV) }

func (s *server) csv(v *visit, what string, of func(*shop.Desk) ([]byte, error)) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	b, err := of(d)
	if err != nil {
		return err
	}
	v.file("text/csv; charset=utf-8", d.Book+"-"+what+".csv", b)
	return nil
}

type archivePage struct {
	frame
	Found *shop.Verified
	Came  *shop.Imported
	Owner bool
}

// archive is the page on which a file is checked or taken in.
func (s *server) archive(v *visit) error { return s.showArchive(v, archivePage{}) }

func (s *server) showArchive(v *visit, p archivePage) error {
	p.frame, p.Owner = v.frame("Take out, take in, check"), v.role() == shop.Owner
	return v.show("archive", p)
}

func (s *server) checkFile(v *visit) error {
	p := archivePage{}
	raw, err := v.upload()
	if err == nil {
		var found shop.Verified
		if found, err = shop.Verify(raw, s.opt.Version); err == nil {
			p.Found = &found
		}
	}
	if err := v.refused("check", err); err != nil {
		return err
	}
	return s.showArchive(v, p)
}

func (s *server) takeArchive(v *visit) error {
	p := archivePage{}
	raw, err := v.upload()
	if err == nil {
		var in shop.Imported
		if in, err = s.sh.Import(v.r.Context(), v.by(), raw); err == nil {
			p.Came = &in
		}
	}
	if err := v.refused("import", err); err != nil {
		return err
	}
	return s.showArchive(v, p)
}

// upload is the one file of a form.
func (v *visit) upload() ([]byte, error) {
	if err := v.form(); err != nil {
		return nil, err
	}
	if v.r.MultipartForm == nil || len(v.r.MultipartForm.File["file"]) == 0 {
		return nil, invalid("choose a file")
	}
	f, err := v.r.MultipartForm.File["file"][0].Open()
	if err != nil {
		return nil, fmt.Errorf("file: %w", err)
	}
	defer f.Close()
	return io.ReadAll(f)
}

type paperJSON struct {
	For   string `json:"for"`
	Title string `json:"title"`
	Says  string `json:"says"`
	PDF   string `json:"pdf"`
}

// papersJSON is where all that leaves a job is fetched.
type papersJSON struct {
	Pin      string      `json:"pin"`
	Papers   []paperJSON `json:"papers"`
	Archive  string      `json:"archive"`
	Readings string      `json:"readings_csv"`
	Parts    string      `json:"parts_csv"`
}

func (s *server) apiPapers(v *visit) error {
	d, err := v.open()
	if err != nil {
		return err
	}
	base := "/job/" + d.Book + "/"
	out := papersJSON{Pin: d.Pin, Archive: base + "export.zip", Readings: base + "readings.csv", Parts: base + "parts.csv",
		Papers: []paperJSON{{"", "The book of the rebuild", "everything, with its data attached", base + "book.pdf"}}}
	for _, r := range report.Readers() {
		out.Papers = append(out.Papers, paperJSON{r.Key, r.Title, r.Says, base + "book.pdf?" + url.Values{"for": {r.Key}}.Encode()})
	}
	v.json(http.StatusOK, "application/json", out)
	return nil
}

type proofJSON struct {
	Entry int    `json:"entry"`
	Proof []byte `json:"proof"`
}

func (s *server) apiProof(v *visit) error {
	seq, err := v.entryNumber()
	if err != nil {
		return err
	}
	b, err := s.prove(v, seq)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", proofJSON{seq, b})
	return nil
}

func (s *server) apiVerify(v *visit) error {
	raw, err := v.wholeBody()
	if err != nil {
		return err
	}
	found, err := shop.Verify(raw, s.opt.Version)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", found)
	return nil
}

type importedJSON struct {
	Books   int `json:"books"`
	Entries int `json:"entries"`
	Files   int `json:"files"`
	Held    int `json:"held"`
}

func (s *server) apiImport(v *visit) error {
	raw, err := v.wholeBody()
	if err != nil {
		return err
	}
	n, err := s.sh.Import(v.r.Context(), v.by(), raw)
	if err != nil {
		return err
	}
	v.json(http.StatusOK, "application/json", importedJSON{n.Books, n.Entries, n.Blobs, n.Held})
	return nil
}

// wholeBody is a file sent as the body of a request.
func (v *visit) wholeBody() ([]byte, error) {
	raw, err := io.ReadAll(v.r.Body)
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		return nil, invalid("more than %d MB were sent; take it in on the workshop's computer: endfloat import FILE", most>>20)
	}
	return raw, err
}

// archiveOperation describes the routes of this file.
func archiveOperation(pattern string) object {
	file := object{"required": true, "content": object{"application/octet-stream": object{"schema": object{"type": "string", "format": "binary"}}}}
	switch pattern {
	case "GET /api/job/{book}/papers":
		return operation("papers", "Where all that leaves a job is fetched: the book as PDF and the versions of it for each reader (add paper=Letter for that size), its archive, its readings and its parts as CSV.", schemaOf(reflect.TypeFor[papersJSON]()))
	case "GET /api/job/{book}/proof":
		op := operation("proof", "A file, in base64, that proves one entry of a book against the head printed in it; docs/prove.py checks it.", schemaOf(reflect.TypeFor[proofJSON]()))
		op["parameters"] = []object{{"name": "entry", "in": "query", "required": true, "description": "number of the entry", "schema": object{"type": "integer"}}}
		return op
	case "POST /api/verify":
		op := operation("verify", "Say whether a book (PDF), an archive or a proof is whole and agrees with the head it carries.", schemaOf(reflect.TypeFor[shop.Verified]()))
		op["requestBody"] = file
		return op
	case "POST /api/import":
		op := operation("import", "Take in an archive, or nothing of it.", schemaOf(reflect.TypeFor[importedJSON]()))
		op["requestBody"] = file
		return op
	}
	return nil
}
