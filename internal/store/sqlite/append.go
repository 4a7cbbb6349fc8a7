package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"

	"golang.org/x/mod/sumdb/tlog"

	"endfloat/internal/shop"
	"endfloat/internal/store/seal"
)

// Append implements shop.Store.
func (s *Store) Append(ctx context.Context, adds ...shop.Add) error {
	if err := shop.CheckAdds(adds); err != nil {
		return err
	}
	w := &write{ctx: ctx, adds: make([]add, len(adds))}
	for i, a := range adds {
		w.adds[i] = ready(a)
		w.size += w.adds[i].size
	}
	return s.write(w)
}

// add is a shop.Add with all that can be worked out before its turn comes.
type add struct {
	shop.Add
	hashes []tlog.Hash // of the lines
	size   int         // bytes
}

func ready(a shop.Add) add {
	r := add{Add: a, size: len(a.Summary)}
	for _, l := range a.Lines {
		r.hashes = append(r.hashes, tlog.RecordHash(l.Bytes))
		r.size += len(l.Bytes)
	}
	return r
}

// head is the end of a book as the open transaction sees it: read once, and kept
// for the next transactions as long as nobody else writes to the file.
type head struct {
	seq     int // of its last entry
	seal    seal.Seal
	held    []string // its tags in the file, in order
	tags    []string // and those it is to have, in order, each once
	given   []string // the same, as they were given last
	body    []byte   // of its summary; only of a head that has changed
	changed bool     // and is not in the file yet
}

// remembered is how many heads are kept at most.
const remembered = 4096

// fresh forgets the heads if another connection has written since.
func (t *tx) fresh() error {
	var version int64
	if err := t.get(&version, "PRAGMA data_version"); err != nil {
		return err
	}
	if version != t.version || len(t.heads) > remembered {
		t.forget()
		t.version = version
	}
	return nil
}

// forget drops all that is known of the file and not yet in it.
func (t *tx) forget() {
	t.heads, t.entries, t.changed, t.late = map[string]*head{}, nil, nil, -1
}

// head returns the end of a book.
func (t *tx) head(book string) (*head, error) {
	if h := t.heads[book]; h != nil {
		return h, nil
	}
	h := &head{}
	if err := t.get(&h.seq, `SELECT max(coalesce((SELECT max(seq) FROM place WHERE book = $1), 0),
		coalesce((SELECT max(seq) FROM line WHERE n >= (SELECT first FROM late) AND book = $1), 0))`, book); err != nil {
		return nil, err
	}
	var sealed []byte
	err := t.get(&sealed, "SELECT seal FROM summary WHERE book = $1", book)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return nil, err
	}
	if h.seal, err = seal.Parse(sealed); err != nil {
		return nil, err
	}
	if h.held, err = t.list("SELECT tag FROM tag WHERE book = $1 ORDER BY tag", book); err != nil {
		return nil, err
	}
	h.tags = h.held
	t.heads[book] = h
	return h, nil
}

// append does one Append, or refuses it. What it adds goes to the file with that
// of others, by flush. Whether an id is held already is looked up where the book
// has moved on, or to be careful; else the file itself refuses it.
func (t *tx) append(adds []add, careful bool) error {
	var moved error
	for _, a := range adds {
		h, err := t.head(a.Book)
		if err != nil {
			return fmt.Errorf("book %q: %w", a.Book, err)
		}
		if h.seq != a.After && moved == nil {
			moved = fmt.Errorf("%w: %q is at %d, this was decided at %d; look again and decide anew", shop.ErrConflict, a.Book, h.seq, a.After)
		}
	}
	if careful || moved != nil {
		if repeat, err := t.repeat(adds); err != nil || repeat {
			return err
		}
	}
	if moved != nil {
		return moved
	}
	for _, a := range adds {
		t.add(a)
	}
	return nil
}

// repeat reports whether all lines are already held.
func (t *tx) repeat(adds []add) (bool, error) {
	if err := t.flush(); err != nil {
		return false, err
	}
	held, all := 0, 0
	for _, a := range adds {
		for _, l := range a.Lines {
			all++
			var b []byte
			err := t.get(&b, "SELECT bytes FROM line WHERE book = $1 AND id = $2", a.Book, l.ID)
			switch {
			case errors.Is(err, sql.ErrNoRows):
				continue
			case err != nil:
				return false, fmt.Errorf("book %q: %w", a.Book, err)
			case !bytes.Equal(b, l.Bytes):
				return false, fmt.Errorf("%w: %q holds an entry %q that says something else; give this one an id of its own", shop.ErrConflict, a.Book, l.ID)
			}
			held++
		}
	}
	if held > 0 && held < all {
		return false, fmt.Errorf("%w: %d of these %d entries are already held; send the others by themselves", shop.ErrConflict, held, all)
	}
	return held > 0, nil
}

// add takes lines, summary and tags of a book whose head has been read.
func (t *tx) add(a add) {
	h := t.heads[a.Book]
	for i, l := range a.Lines {
		h.seq++
		h.seal.AddHash(a.hashes[i])
		t.entries = append(t.entries, a.Book, h.seq, l.ID, l.Bytes)
	}
	h.body = a.Summary
	if h.given == nil || !slices.Equal(h.given, a.Tags) { // most entries move no piece between books
		h.given = slices.Clone(a.Tags)
		h.tags = slices.Compact(slices.Sorted(slices.Values(a.Tags)))
	}
	if !h.changed {
		h.changed = true
		t.changed = append(t.changed, a.Book)
	}
}

// The statements that write many rows at once.
var (
	addLines = rows("INSERT INTO line (book, seq, id, bytes) VALUES", 4, "")
	setHeads = rows("INSERT INTO summary (book, seq, body, seal) VALUES", 4,
		"ON CONFLICT (book) DO UPDATE SET seq = excluded.seq, body = excluded.body, seal = excluded.seal")
	addTags = rows("INSERT INTO tag (book, tag) VALUES", 2, "")
	cutTags = rows("DELETE FROM tag WHERE (book, tag) IN (VALUES", 2, ")")
)

// flush writes what was added to the file, though not yet for good.
func (t *tx) flush() error {
	if len(t.changed) == 0 {
		return nil
	}
	if err := t.writeLines(); err != nil {
		return err
	}
	var summaries, less, more []any
	for _, book := range t.changed {
		h := t.heads[book]
		summaries = append(summaries, book, h.seq, h.body, h.seal.Bytes())
		if !slices.Equal(h.held, h.tags) {
			less, more = differ(less, book, h.held, h.tags), differ(more, book, h.tags, h.held)
			h.held = h.tags
		}
		h.changed, h.body = false, nil
	}
	t.changed, t.entries = t.changed[:0], t.entries[:0]
	return errors.Join(t.many(setHeads, summaries), t.many(cutTags, less), t.many(addTags, more))
}

// Lines of so many books at once are placed later, when so many are late: to place
// those of a book takes a page of the file, however many they are. Until then who
// reads looks through all that are late.
var ( // tests make them smaller
	manyBooks = 16
	mostLate  = 2048
)

// writeLines writes the lines to the file, and places them, or leaves that for later.
func (t *tx) writeLines() error {
	lines := len(t.entries) / addLines.columns
	if lines == 0 {
		return nil
	}
	if t.late < 0 {
		if err := t.get(&t.late, "SELECT count(*) FROM line WHERE n >= (SELECT first FROM late)"); err != nil {
			return err
		}
	}
	few := len(t.changed) < manyBooks || lines > mostLate
	if t.late > mostLate || t.late > 0 && few {
		if err := t.place(); err != nil {
			return err
		}
	}
	if !few && t.late == 0 {
		if _, err := t.exec("INSERT INTO late (first) SELECT 1 + coalesce(max(n), 0) FROM line"); err != nil {
			return err
		}
	}
	if !few {
		t.late += lines
	}
	return t.many(addLines, t.entries)
}

// place gives the lines that have none their places.
func (t *tx) place() error {
	_, err := t.exec("INSERT INTO place (book, seq, n) SELECT book, seq, n FROM line WHERE n >= (SELECT first FROM late) ORDER BY book, seq")
	if err == nil {
		_, err = t.exec("DELETE FROM late")
	}
	t.late = 0
	return err
}

// differ appends the tags that one list has and another has not.
func differ(out []any, book string, tags, not []string) []any {
	for _, tag := range tags {
		if _, ok := slices.BinarySearch(not, tag); !ok {
			out = append(out, book, tag)
		}
	}
	return out
}
