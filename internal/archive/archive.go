// Package archive is the one form in which books leave a workshop: a zip file
// without compression that holds the entries as they were written, the gearbox
// files, photos and names that they cite, and the checksums of all of it.
//
// The form is canonical: the same books give the same bytes, and what does not
// come out of Write again byte for byte is refused by Read. So one flipped byte
// anywhere is found, and as nothing is compressed nothing can burst. It is
// described for people and scripts in docs/archive.md. Nothing here touches a
// disk.
package archive

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"endfloat/internal/job"
)

// Limits on what is read.
const (
	MaxFiles = 60000   // files in an archive
	MaxLine  = 1 << 20 // bytes of an entry
	MaxName  = 4 << 10 // bytes of a person's name and its salt
	MaxBook  = 1 << 20 // entries in a book
)

// ErrRefused is what every refusal of an archive is; its text says where and why.
var ErrRefused = errors.New("archive refused")

type refusal struct{ says string }

func (r *refusal) Error() string { return r.says }
func (r *refusal) Unwrap() error { return ErrRefused }

func refuse(format string, args ...any) error { return &refusal{fmt.Sprintf(format, args...)} }

// Kind is what a blob is; it is also the folder it lies in.
type Kind string

// The kinds of blob.
const (
	Gearbox Kind = "gearbox" // a gearbox file, YAML
	Name    Kind = "name"    // of a person, JSON
	Photo   Kind = "photo"   // JPEG
)

var kinds = []Kind{Gearbox, Name, Photo}

var ends = map[Kind]string{Gearbox: ".yaml", Name: ".json", Photo: ".jpg"}

// Blob is bytes that books cite by their key, job.Salted(Salt, Bytes).
type Blob struct {
	Kind        Kind
	Key         string
	Salt, Bytes []byte
}

// Book is one book, whole.
type Book struct {
	Name  string
	Lines [][]byte // the bytes of each entry, as they were written
	Head  string   // its checkpoint, signed or not; "" gives an unsigned one
}

// Archive is what one file holds. A blob that a book cites and that was deleted
// on request is missing, and that is no fault.
type Archive struct {
	Books []Book
	Needs [][]byte // entries of the stores that the books rest on, to be read only
	Blobs []Blob
}

// readme is the first file of every archive.
const readme = `This archive holds the books of gearbox rebuilds, as endfloat keeps them.

book/NAME.jsonl     the entries of a book, one JSON object a line, oldest first
head/NAME           its checkpoint: book, number of entries, head of their Merkle
                    tree (RFC 6962, SHA-256), signatures if there are any
gearbox/KEY.yaml    gearbox files, photo/KEY.jpg photos, name/KEY.json names;
                    KEY is what the entries cite: SHA-256 of the file, with the
                    bytes of KEY.salt before it where there is such a file
needs.jsonl         entries of the workshop's stores that the books rest on
SHA256SUMS          of all files: sha256sum -c SHA256SUMS

Lengths are in metres, torques in newton metres, temperatures in degrees Celsius,
times in UTC; beside each stands the text as it was typed.
A photo or name that is cited and not here was deleted on request.
`

// file is one file of an archive.
type file struct {
	name string
	data []byte
}

// files are those of an archive in their fixed order.
func (a *Archive) files() ([]file, error) {
	var out []file
	for _, b := range a.Books {
		data, err := lines(b.Lines)
		if err != nil {
			return nil, fmt.Errorf("book %s: %w", b.Name, err)
		}
		head := b.Head
		if head == "" {
			if head, err = Checkpoint(b.Name, b.Lines); err != nil {
				return nil, err
			}
		}
		out = append(out, file{"book/" + b.Name + ".jsonl", data}, file{"head/" + b.Name, []byte(head)})
	}
	for _, b := range a.Blobs {
		path := string(b.Kind) + "/" + b.Key
		out = append(out, file{path + ends[b.Kind], b.Bytes})
		if len(b.Salt) > 0 {
			out = append(out, file{path + ".salt", b.Salt})
		}
	}
	if len(a.Needs) > 0 {
		data, err := lines(a.Needs)
		if err != nil {
			return nil, fmt.Errorf("needs: %w", err)
		}
		out = append(out, file{"needs.jsonl", data})
	}
	slices.SortFunc(out, func(a, b file) int { return cmp.Compare(a.name, b.name) })
	out = append([]file{{"README", []byte(readme)}}, out...)
	var sums bytes.Buffer
	for i, f := range out {
		if !known.MatchString(f.name) || i > 0 && f.name == out[i-1].name {
			return nil, refuse("%q: an archive holds no such file, or holds it once only", f.name)
		}
		fmt.Fprintf(&sums, "%x  %s\n", sha256.Sum256(f.data), f.name)
	}
	return append(out, file{"SHA256SUMS", sums.Bytes()}), nil
}

// known are the names that files of an archive have.
var known = regexp.MustCompile(`^(README|SHA256SUMS|needs\.jsonl|(book/[a-z0-9][a-z0-9-]{0,79}\.jsonl)|(head/[a-z0-9][a-z0-9-]{0,79})|(gearbox/[0-9a-f]{64}\.yaml)|(name/[0-9a-f]{64}\.json)|(photo/[0-9a-f]{64}\.jpg)|((gearbox|name|photo)/[0-9a-f]{64}\.salt))$`)

// lines are JSON lines.
func lines(ls [][]byte) ([]byte, error) {
	var b bytes.Buffer
	for i, l := range ls {
		if len(l) == 0 || bytes.IndexByte(l, '\n') >= 0 {
			return nil, refuse("entry %d is not one line of text", i+1)
		}
		b.Write(l)
		b.WriteByte('\n')
	}
	return b.Bytes(), nil
}

// Write writes an archive. Books and blobs may stand in any order.
func (a *Archive) Write(w io.Writer) error {
	fs, err := a.files()
	if err != nil {
		return err
	}
	return pack(w, fs)
}

// Bytes is the archive as one piece.
func (a *Archive) Bytes() ([]byte, error) {
	var b bytes.Buffer
	err := a.Write(&b)
	return b.Bytes(), err
}

// Read reads an archive. Whatever is not exactly what Write makes is refused
// with the place where the two part.
func Read(b []byte) (*Archive, error) {
	fs, err := unpack(b)
	if err != nil {
		return nil, err
	}
	if err := sums(fs); err != nil {
		return nil, err
	}
	a, err := sort(fs)
	if err != nil {
		return nil, err
	}
	m := &matcher{want: b}
	if err := a.Write(m); err != nil {
		return nil, err
	}
	if m.parts || m.at != len(b) {
		return nil, refuse("the archive is not in its own form from byte %d on: what it holds would be written otherwise", m.at+1)
	}
	return a, nil
}

// sums holds every file against the list of checksums.
func sums(fs []file) error {
	n := len(fs) - 1
	if n < 1 || fs[n].name != "SHA256SUMS" || fs[0].name != "README" {
		return refuse("the archive does not begin with README and end with SHA256SUMS")
	}
	want := strings.Split(string(fs[n].data), "\n")
	for i, f := range fs[:n] {
		if i >= len(want) || want[i] != fmt.Sprintf("%x  %s", sha256.Sum256(f.data), f.name) {
			return refuse("%s is not what SHA256SUMS says it is", f.name)
		}
	}
	return nil
}

// sort makes an archive of its files and checks each.
func sort(fs []file) (*Archive, error) {
	a := &Archive{}
	blobs, books := map[string]int{}, map[string]int{}
	for _, f := range fs {
		folder, base, _ := strings.Cut(f.name, "/")
		name, end, _ := strings.Cut(base, ".")
		var err error
		switch {
		case folder == "book":
			var b Book
			b.Name = name
			if b.Lines, err = entries(f); err == nil {
				books[name] = len(a.Books)
				a.Books = append(a.Books, b)
			}
		case folder == "head":
			i, ok := books[name]
			if !ok {
				return nil, refuse("%s: the book it is the head of is not here", f.name)
			}
			a.Books[i].Head = string(f.data)
			err = Fits(a.Books[i])
		case f.name == "needs.jsonl":
			a.Needs, err = entries(f)
		case end == "salt":
			i, ok := blobs[folder+"/"+name]
			if !ok || len(f.data) == 0 || len(f.data) > MaxName {
				return nil, refuse("%s: there is no file to go with it, or it is of no use", f.name)
			}
			a.Blobs[i].Salt = f.data
		case slices.Contains(kinds, Kind(folder)):
			blobs[folder+"/"+name] = len(a.Blobs)
			a.Blobs = append(a.Blobs, Blob{Kind: Kind(folder), Key: name, Bytes: f.data})
		}
		if err != nil {
			return nil, err
		}
	}
	return a, a.check()
}

func (a *Archive) check() error {
	if len(a.Books) == 0 {
		return refuse("the archive holds no book")
	}
	keys := map[string]bool{}
	for _, b := range a.Books {
		if b.Head == "" {
			return refuse("book/%s.jsonl: its head/%s is missing", b.Name, b.Name)
		}
	}
	for _, b := range a.Blobs {
		path := string(b.Kind) + "/" + b.Key + ends[b.Kind]
		if job.Salted(b.Salt, b.Bytes) != b.Key {
			return refuse("%s: its bytes do not have its key", path)
		}
		if b.Kind == Name && len(b.Bytes) > MaxName {
			return refuse("%s: a name of %d bytes is none", path, len(b.Bytes))
		}
		if keys[b.Key] {
			return refuse("%s: its key stands here twice", path)
		}
		keys[b.Key] = true
	}
	return nil
}

// entries reads JSON lines, each an entry with an id of its own.
func entries(f file) ([][]byte, error) {
	if len(f.data) == 0 || f.data[len(f.data)-1] != '\n' {
		return nil, refuse("%s is empty or breaks off", f.name)
	}
	ls := bytes.Split(f.data[:len(f.data)-1], []byte("\n"))
	if len(ls) > MaxBook {
		return nil, refuse("%s has %d entries; the most is %d", f.name, len(ls), MaxBook)
	}
	ids := map[string]bool{}
	for i, l := range ls {
		var e job.Entry
		if len(l) > MaxLine || json.Unmarshal(l, &e) != nil || e.ID == "" || e.Kind == "" {
			return nil, refuse("%s, line %d is no entry", f.name, i+1)
		}
		if ids[e.ID] {
			return nil, refuse("%s, line %d: its id stands there twice", f.name, i+1)
		}
		ids[e.ID] = true
	}
	return ls, nil
}

// LinesOf are the lines of a book as a store keeps them.
func (b Book) LinesOf() []job.Line {
	out := make([]job.Line, len(b.Lines))
	for i, l := range b.Lines {
		out[i] = job.Line{Seq: i + 1, Bytes: l}
		out[i].ID = job.Decode(out[i]).ID
	}
	return out
}
