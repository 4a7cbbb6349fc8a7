package report

import (
	"bytes"
	"compress/zlib"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"time"

	"endfloat/internal/photo"

	"codeberg.org/go-pdf/fpdf"
)

// A book can be made again from what is attached to it, and the two compared
// byte for byte. It says when, on what paper and by which version it was made;
// its data are attached, and the list of the photos that it prints.

// photoList is the file, in the form of sha256sum, that says which photo each
// printed picture is the small copy of.
const photoList = "photos.sha256"

// madeOf says how a book was made, for making it again.
func madeOf(o Options, paper string) string {
	return joined(" ", "made", o.Made.Format(time.RFC3339Nano), "on", paper, "by endfloat", clean(o.Version))
}

var made = regexp.MustCompile(`/Subject \(made (\S+) on (A4|Letter) by endfloat ?([^)]*)\)`)

// keep attaches what the book is made of. The pictures are those printed.
func (b *book) keep() {
	if len(b.o.Data) == 0 {
		return
	}
	var list bytes.Buffer
	for _, f := range b.photos {
		if b.shots[f.Key] == (shot{}) {
			continue
		}
		if raw, ok := b.o.Photo(f.Key); ok {
			fmt.Fprintf(&list, "%x  %s.jpg\n", sha256.Sum256(photo.Small(raw)), f.Key)
		}
	}
	b.f.SetAttachments([]fpdf.Attachment{
		{Content: b.o.Data, Filename: "book.endfloat.zip", Description: "the data of this book"},
		{Content: list.Bytes(), Filename: photoList, Description: "SHA-256 of each picture printed here, and the key of its photo"},
	})
}

// Bound is a book as it was found: what it says of itself, and what is in it.
type Bound struct {
	Made    time.Time
	Paper   string
	Version string
	Data    []byte   // the archive attached to it
	pages   [][]byte // what each page draws, in their order
	photos  map[string][]byte
}

// Pages is how many pages it has.
func (b *Bound) Pages() int { return len(b.pages) }

// Photo is the small copy that was printed of a photo.
func (b *Bound) Photo(key string) ([]byte, bool) {
	p, ok := b.photos[key]
	return p, ok
}

// Prints reports whether a text stands on one of its pages, within one line.
func (b *Bound) Prints(text string) bool {
	var want []byte
	for _, r := range text { // the faces of a book have two bytes a letter
		want = append(want, byte(r>>8), byte(r))
	}
	for _, p := range b.pages {
		if bytes.Contains(p, want) {
			return true
		}
	}
	return false
}

// Parts is the first page on which two books differ, from 1, and 0 where all
// their pages are alike.
func (b *Bound) Parts(other *Bound) int {
	for i := range max(len(b.pages), len(other.pages)) {
		if i >= len(b.pages) || i >= len(other.pages) || !bytes.Equal(b.pages[i], other.pages[i]) {
			return i + 1
		}
	}
	return 0
}

// ErrNoData is returned for a PDF without the data of a book in it.
var ErrNoData = errors.New("no data are attached to this PDF: it is a version for a reader, or was rewritten; verify the export of its job instead")

var stream = regexp.MustCompile(`/Length (\d+)[^\n]*>>\n+stream\n`)

// maxStream is the most that a stream of a book may unpack to.
const maxStream = 256 << 20

// ReadBook takes a book apart that Book has made.
func ReadBook(raw []byte) (*Bound, error) {
	b := &Bound{photos: map[string][]byte{}}
	jpegs := map[string][]byte{}
	var list []byte
	for at := 0; ; {
		m := stream.FindSubmatchIndex(raw[at:])
		if m == nil {
			break
		}
		n, err := strconv.Atoi(string(raw[at+m[2] : at+m[3]]))
		start := at + m[1]
		if err != nil || n > len(raw)-start {
			return nil, fmt.Errorf("the book breaks off within what begins at byte %d", start)
		}
		body, before := raw[start:start+n], raw[at+max(0, m[0]-400):start]
		if i := bytes.LastIndex(before, []byte(" obj\n")); i >= 0 {
			before = before[i:]
		}
		at = start + n
		if bytes.Contains(before, []byte("DCTDecode")) {
			sum := sha256.Sum256(body)
			jpegs[hex.EncodeToString(sum[:])] = body
			continue
		}
		if !bytes.Contains(before, []byte("FlateDecode")) {
			continue
		}
		text, err := inflate(body)
		if err != nil {
			return nil, fmt.Errorf("the book is broken at byte %d (%w)", start, err)
		}
		switch {
		case bytes.HasPrefix(text, []byte("PK\x03\x04")):
			b.Data = text
		case bytes.Contains(before, []byte("/EmbeddedFile")):
			list = text
		case !bytes.Contains(before, []byte("/Length1")): // that is a typeface
			b.pages = append(b.pages, text)
		}
	}
	if b.Data == nil {
		return nil, ErrNoData
	}
	for _, l := range strings.Split(string(list), "\n") {
		if sum, name, ok := strings.Cut(l, "  "); ok {
			b.photos[strings.TrimSuffix(name, ".jpg")] = jpegs[sum]
		}
	}
	m := made.FindSubmatch(raw)
	if m == nil {
		return b, nil // made before books said how
	}
	b.Paper, b.Version = string(m[2]), string(m[3])
	var err error
	if b.Made, err = time.Parse(time.RFC3339Nano, string(m[1])); err != nil {
		return nil, fmt.Errorf("the book says that it was made at %.40q, which is no time", m[1])
	}
	b.Made = steady(b.Made)
	return b, nil
}

func inflate(body []byte) ([]byte, error) {
	z, err := zlib.NewReader(bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	text, err := io.ReadAll(io.LimitReader(z, maxStream+1))
	if err == nil && len(text) > maxStream {
		err = errors.New("it unpacks to more than a book has")
	}
	return text, err
}
