package shop

import (
	"context"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"slices"

	"endfloat/internal/archive"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/photo"
	"endfloat/internal/plan"
)

// salter is a store that can tell with which salt a blob was kept.
type salter interface {
	Salt(ctx context.Context, key string) ([]byte, error)
}

// cited are the keys of blobs within an entry.
var cited = regexp.MustCompile(`"([0-9a-f]{64})"`)

// Pack makes the archive of a job: its book with all that it cites, and the
// entries of the stores that it rests on. With no book named it is that of the
// whole workshop but for its devices, whose keys are no record of work. A key
// signs the heads. Photos may be left out.
func (sh *Shop) Pack(ctx context.Context, book string, photos bool, key ed25519.PrivateKey) (*archive.Archive, error) {
	books := []string{book}
	if book == "" {
		sums, err := sh.store.Summaries(ctx)
		if err != nil {
			return nil, fmt.Errorf("list of books: %w", err)
		}
		books = nil
		for _, s := range sums {
			if s.Book != DevicesBook {
				books = append(books, s.Book)
			}
		}
	}
	p := &packer{sh: sh, ctx: ctx, photos: photos, key: key, seen: map[string]bool{}}
	for _, b := range books {
		if err := p.book(b); err != nil {
			return nil, err
		}
	}
	if book != "" && book != StoresBook {
		if err := p.needs(book); err != nil {
			return nil, err
		}
	}
	return &p.a, nil
}

type packer struct {
	sh     *Shop
	ctx    context.Context
	a      archive.Archive
	photos bool
	key    ed25519.PrivateKey
	seen   map[string]bool
}

func (p *packer) book(name string) error {
	d, err := p.sh.Open(p.ctx, name)
	if err != nil {
		return err
	}
	b := archive.Book{Name: name, Head: archive.FromPin(name, d.Pin)}
	if p.key != nil {
		if b.Head, err = archive.Sign(b.Head, p.key); err != nil {
			return err
		}
	}
	for _, l := range d.lines {
		b.Lines = append(b.Lines, l.Bytes)
		if err := p.blobs(l.Bytes); err != nil {
			return err
		}
	}
	p.a.Books = append(p.a.Books, b)
	return nil
}

// blobs adds what an entry cites, once; what was deleted is left out.
func (p *packer) blobs(line []byte) error {
	for _, m := range cited.FindAllSubmatch(line, -1) {
		key := string(m[1])
		if p.seen[key] {
			continue
		}
		p.seen[key] = true
		b, err := p.sh.store.Blob(p.ctx, key)
		if errors.Is(err, ErrNotFound) {
			continue
		}
		if err != nil {
			return err
		}
		blob := archive.Blob{Kind: kindOf(b), Key: key, Bytes: b}
		if blob.Kind == archive.Photo && !p.photos {
			continue
		}
		if s, ok := p.sh.store.(salter); ok {
			if blob.Salt, err = s.Salt(p.ctx, key); err != nil {
				return err
			}
		}
		if job.Salted(blob.Salt, b) != key {
			continue // its salt is not to be had from this store
		}
		p.a.Blobs = append(p.a.Blobs, blob)
	}
	return nil
}

// kindOf tells blobs apart by what they are.
func kindOf(b []byte) archive.Kind {
	switch {
	case len(b) > 3 && b[0] == 0xFF && b[1] == 0xD8:
		return archive.Photo
	case len(b) > 0 && b[0] == '{':
		return archive.Name
	}
	return archive.Gearbox
}

// needs adds the entries of the stores that a job rests on: its instruments and
// tools, and the pieces that it took from the drawer.
func (p *packer) needs(book string) error {
	d, err := p.sh.Open(p.ctx, book)
	if err != nil {
		return err
	}
	names := map[string]bool{}
	for _, e := range d.Entries {
		var w struct {
			With, Tool string
			Piece      json.RawMessage
		}
		var c job.Came
		if json.Unmarshal(e.Body, &w) == nil {
			names[w.With], names[w.Tool] = true, true
		}
		if e.Kind == c.Kind() && json.Unmarshal(e.Body, &c) == nil && c.From == StoresBook {
			names[c.Piece.Tag] = true
		}
	}
	delete(names, "")
	stores, err := p.sh.load(p.ctx, StoresBook)
	if err != nil {
		return err
	}
	if err := p.mended(d.Entries, stores); err != nil {
		return err
	}
	for i, e := range stores.Entries {
		var w struct {
			Name, Tag, To string
			Piece         json.RawMessage
		}
		var piece struct{ Tag string }
		if json.Unmarshal(e.Body, &w) != nil {
			continue
		}
		_ = json.Unmarshal(w.Piece, &piece) // in most entries it is a tag or missing
		needs := w.To == book && e.Kind == "left"
		switch e.Kind {
		case "instrument", "tool":
			needs = names[w.Name]
		case "added":
			needs = names[piece.Tag]
		}
		if needs {
			p.a.Needs = append(p.a.Needs, stores.lines[i].Bytes)
		}
	}
	return nil
}

// mended adds the names that were mended since a book cited them, with the
// entries of the stores that say so.
func (p *packer) mended(entries []job.Entry, stores *Desk) error {
	cites := map[string]bool{}
	for _, e := range entries {
		cites[e.By] = true
		for _, m := range cited.FindAllSubmatch(e.Body, -1) {
			cites[string(m[1])] = true
		}
	}
	for i, e := range stores.Entries {
		var w job.Person
		if e.Kind != w.Kind() || json.Unmarshal(e.Body, &w) != nil || w.Was == "" || !cites[w.Was] {
			continue
		}
		cites[w.Person] = true
		p.a.Needs = append(p.a.Needs, stores.lines[i].Bytes)
		if err := p.blobs([]byte(`"` + w.Person + `"`)); err != nil {
			return err
		}
	}
	return nil
}

// Imported says what an archive has brought.
type Imported struct {
	Books, Entries, Blobs int
	Held                  int // entries that were here already
}

// Import adds the books of an archive with all that they cite, or nothing at
// all. A book that is here already is carried on if the archive's begins with
// it; where the two part, the archive is refused.
func (sh *Shop) Import(ctx context.Context, by By, raw []byte) (Imported, error) {
	var done Imported
	if err := by.role().lets(by.role() == Owner, "import books", Owner); err != nil {
		return done, err
	}
	a, err := archive.Read(raw)
	if err != nil {
		return done, &marked{ErrInvalid, err.Error()}
	}
	if err := sh.checkBlobs(ctx, a); err != nil {
		return done, err
	}
	var adds []Add
	for _, b := range a.Books {
		add, held, err := sh.importBook(ctx, b)
		if err != nil {
			return done, err
		}
		done.Held += held
		if len(add.Lines) > 0 {
			adds = append(adds, add)
			done.Books, done.Entries = done.Books+1, done.Entries+len(add.Lines)
		}
	}
	fresh, err := sh.keepBlobs(ctx, a.Blobs)
	if err == nil && len(adds) > 0 {
		err = sh.store.Append(ctx, adds...)
	}
	if err != nil {
		for _, k := range fresh {
			err = errors.Join(err, sh.store.DropBlob(context.WithoutCancel(ctx), k))
		}
		return Imported{}, err
	}
	for _, a := range adds {
		sh.bell.ring(a.Book)
	}
	done.Blobs = len(fresh)
	return done, nil
}

// keepBlobs keeps what is not here yet and returns the keys of that.
func (sh *Shop) keepBlobs(ctx context.Context, bs []archive.Blob) (fresh []string, err error) {
	for _, b := range bs {
		_, err := sh.store.Blob(ctx, b.Key)
		if err == nil {
			continue
		}
		if !errors.Is(err, ErrNotFound) {
			return fresh, err
		}
		if _, err := sh.store.PutBlob(ctx, b.Salt, b.Bytes); err != nil {
			return fresh, err
		}
		fresh = append(fresh, b.Key)
	}
	return fresh, nil
}

// checkBlobs refuses what would not be kept if it came in any other way.
func (sh *Shop) checkBlobs(ctx context.Context, a *archive.Archive) error {
	for _, b := range a.Blobs {
		path := string(b.Kind) + "/" + b.Key
		switch b.Kind {
		case archive.Photo:
			if _, err := picture(ctx, b.Bytes, photo.SmallEdge); err != nil {
				return wrap(ErrInvalid, "%s: %v", path, err)
			}
		case archive.Name:
			var n struct{ Name, Reach string }
			if json.Unmarshal(b.Bytes, &n) != nil || n.Name+n.Reach == "" {
				return wrap(ErrInvalid, "%s names nobody", path)
			}
		case archive.Gearbox:
			box, err := gearbox.Read(path+".yaml", b.Bytes)
			if err != nil {
				return wrap(ErrInvalid, "%v", err)
			}
			sh.mu.Lock()
			sh.boxes[b.Key] = box
			sh.mu.Unlock()
		}
	}
	return nil
}

// importBook makes what is to be added of one book.
func (sh *Shop) importBook(ctx context.Context, b archive.Book) (Add, int, error) {
	if b.Name == DevicesBook {
		return Add{}, 0, wrap(ErrInvalid, "book/%s: devices are let in by pairing, not by an archive", b.Name)
	}
	old, err := sh.load(ctx, b.Name)
	if err != nil {
		return Add{}, 0, err
	}
	lines := b.LinesOf()
	for i, l := range old.lines {
		if i >= len(lines) {
			break // the one here goes on further
		}
		if string(l.Bytes) != string(lines[i].Bytes) {
			return Add{}, 0, wrap(ErrInvalid, "book %s is here already and is another from entry %d on; import this archive into a data file of its own (--data)", b.Name, i+1)
		}
	}
	held := min(len(old.lines), len(lines))
	add := Add{Book: b.Name, After: len(old.lines), Lines: lines[held:]}
	if len(add.Lines) == 0 {
		return add, held, nil
	}
	base := old
	if len(old.lines) == 0 {
		base = &Desk{View: &plan.View{State: &job.State{}}}
	}
	next, err := sh.desk(ctx, b.Name, base, add.Lines)
	if err != nil {
		return Add{}, 0, err
	}
	if err := sh.letterFree(ctx, next); err != nil {
		return Add{}, 0, err
	}
	add.Summary, add.Tags, err = derive(next)
	return add, held, err
}

// letterFree refuses a unit whose letter is on the tags of another one here.
func (sh *Shop) letterFree(ctx context.Context, d *Desk) error {
	if d.Book == StoresBook || d.Closed != nil {
		return nil
	}
	rows, err := sh.Jobs(ctx)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(rows, func(r Row) bool {
		return r.Book != d.Book && r.Letter == d.Opened.Letter && r.Arc != "handed over"
	})
	if i >= 0 {
		return wrap(ErrInvalid, "the letter %s of %s is on the tags of %s, which is still here: hand that over first, or import into a data file of its own (--data)", d.Opened.Letter, d.Opened.Unit, rows[i].Unit)
	}
	return nil
}

// Prove makes a file that proves one entry of a book, by its number.
func (sh *Shop) Prove(ctx context.Context, book string, seq int, key ed25519.PrivateKey) ([]byte, error) {
	d, err := sh.Open(ctx, book)
	if err != nil {
		return nil, err
	}
	b := archive.Book{Name: book, Head: archive.FromPin(book, d.Pin)}
	for _, l := range d.lines {
		b.Lines = append(b.Lines, l.Bytes)
	}
	if key != nil {
		if b.Head, err = archive.Sign(b.Head, key); err != nil {
			return nil, err
		}
	}
	out, err := archive.Prove(b, seq)
	if errors.Is(err, archive.ErrRefused) {
		return nil, &marked{ErrNotFound, err.Error()}
	}
	return out, err
}
