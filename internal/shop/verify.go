package shop

import (
	"bytes"
	"cmp"
	"encoding/json"
	"strconv"
	"strings"

	"endfloat/internal/archive"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/report"
)

// Verified is what a book, an archive or a proof was found to be.
type Verified struct {
	Kind  string   `json:"kind"`  // book, archive or proof
	Heads []string `json:"heads"` // checkpoints of the books that it is of, with their signatures
	Pages int      `json:"pages"` // of a book: those that were made again from its data and are alike
	Says  []string `json:"says"`  // what was found, in sentences
}

// Verify says whether a file is whole and agrees with the head that it carries:
// an archive, a proof of one entry, or a book as PDF. The pages of a book are
// made again from the data attached to it and compared byte for byte; version is
// that of this program, for another may set a page otherwise.
func Verify(raw []byte, version string) (Verified, error) {
	v, err := verified(raw, version)
	if err != nil {
		return v, &marked{ErrInvalid, err.Error()}
	}
	for _, h := range v.Heads {
		l := strings.Split(h, "\n")
		v.Says = append(v.Says, "whole: "+l[0]+", "+l[1]+" entries, head "+l[2])
	}
	return v, nil
}

func verified(raw []byte, version string) (Verified, error) {
	switch {
	case bytes.HasPrefix(raw, []byte("%PDF-")):
		return verifiedBook(raw, version)
	case bytes.HasPrefix(raw, []byte("PK")):
		a, err := archive.Read(raw)
		if err != nil {
			return Verified{}, err
		}
		return Verified{Kind: "archive", Heads: headsOf(a)}, nil
	}
	p, err := archive.CheckProof(raw)
	return Verified{Kind: "proof", Heads: []string{p.Head}, Says: []string{
		"proved: entry " + strings.TrimSpace(strconv.Itoa(p.Entry.Seq)+" "+p.Entry.Kind) + " stands in the book with this head; compare the head with the one printed"}}, err
}

func headsOf(a *archive.Archive) []string {
	var out []string
	for _, b := range a.Books {
		out = append(out, b.Head)
	}
	return out
}

func verifiedBook(raw []byte, version string) (Verified, error) {
	b, err := report.ReadBook(raw)
	if err != nil {
		return Verified{}, err
	}
	a, err := archive.Read(b.Data)
	if err != nil {
		return Verified{}, wrap(ErrInvalid, "the attached data: %v", err)
	}
	v := Verified{Kind: "book", Heads: headsOf(a)}
	for _, h := range v.Heads {
		if root := strings.Split(h, "\n")[2]; !b.Prints(root) {
			return v, wrap(ErrInvalid, "the data are whole and not those of this book: their head, %s, is not printed in it", root)
		}
	}
	if b.Made.IsZero() || b.Version != version {
		v.Says = append(v.Says, "the pages were not compared: they were set by endfloat "+cmp.Or(b.Version, "of an older kind")+", and this is "+version)
		return v, nil
	}
	again, err := remade(a, b)
	if err != nil {
		return v, err
	}
	if bytes.Equal(again, raw) {
		v.Pages = b.Pages()
		v.Says = append(v.Says, "the pages are those of the data: "+strconv.Itoa(v.Pages)+" of them made again, alike byte for byte. Photos are printed small; the export proves them")
		return v, nil
	}
	other, err := report.ReadBook(again)
	if err != nil {
		return v, err
	}
	if n := b.Parts(other); n > 0 {
		return v, wrap(ErrInvalid, "the data are whole and page %d does not say what they say: made again from them it is another", n)
	}
	return v, wrap(ErrInvalid, "the pages are those of the data, and something beside them was changed: byte %d is the first that differs", parting(raw, again)+1)
}

func parting(a, b []byte) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i
		}
	}
	return min(len(a), len(b))
}

// remade makes a book again from the data attached to it.
func remade(a *archive.Archive, b *report.Bound) ([]byte, error) {
	book := a.Books[0]
	blobs := map[string]archive.Blob{}
	for _, x := range a.Blobs {
		blobs[x.Key] = x
	}
	entries := job.DecodeAll(book.LinesOf())
	var box *gearbox.Box
	if key := job.BoxKey(entries); key == "" {
		box = draft(entries)
	} else if x, ok := blobs[key]; ok {
		var err error
		if box, err = gearbox.ReadWith("the attached gearbox file", x.Bytes, job.Found(entries)); err != nil {
			return nil, err
		}
	}
	again := renamed(a.Needs)
	head := strings.Split(book.Head, "\n")
	return report.Book(plan.Of(job.Replay(book.Name, box, entries)), report.Options{
		Pin: head[1] + " " + head[2], Made: b.Made, Paper: b.Paper, Version: b.Version, Checkpoint: book.Head, Data: b.Data, Photo: b.Photo,
		Name: func(key string) string {
			for next := again[key]; next != ""; next = again[key] {
				key = next
			}
			var n struct{ Name string }
			switch x, ok := blobs[key]; {
			case key == "":
				return ""
			case !ok:
				return deletedName
			case json.Unmarshal(x.Bytes, &n) != nil:
				return unreadableName
			}
			return n.Name
		},
	})
}

// renamed are the names that were mended: key → key of the later one.
func renamed(needs [][]byte) map[string]string {
	var lines []job.Line
	for i, l := range needs {
		lines = append(lines, job.Line{Seq: i + 1, Bytes: l})
	}
	return job.Replay(StoresBook, nil, job.DecodeAll(lines)).Renamed
}
