// Package shop is the workshop: what the screens, the API and the command line
// all do. There is one loop for every change: load the book, replay it, decide,
// append, and show what it has become. Deciding is a pure function of the state;
// it returns entries, or a refusal that says what is wrong and what would mend it.
package shop

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"

	"github.com/google/uuid"
)

// StoresBook is the book of what the jobs share: drawer, instruments, tools,
// gearbox files.
const StoresBook = "stores"

// Shop is a workshop over a store.
type Shop struct {
	store Store
	now   func() time.Time
	mu    sync.Mutex
	boxes map[string]*gearbox.Box // by hash; a hash never changes its meaning
	names map[string]string       // person key → name
	sizes map[string][2]int       // photo key → dots
	bell  bell
	desks map[string]*Desk // last opened state of each book, good while its seq is the store's
}

// New opens a workshop over a store. now is the clock.
func New(store Store, now func() time.Time) *Shop {
	sh := &Shop{store: store, now: now, boxes: map[string]*gearbox.Box{}, names: map[string]string{}, desks: map[string]*Desk{}}
	if e, ok := store.(Elsewhere); ok {
		e.Elsewhere(func(book string) {
			if book == StoresBook { // where a name's deletion is noted
				sh.mu.Lock()
				clear(sh.names)
				sh.mu.Unlock()
			}
			sh.bell.ring(book)
		})
	}
	return sh
}

// By is who acts, and on which device. ID is the id of the entry when the
// device has made one: sending it again then adds nothing.
type By struct {
	Name   string
	Device string
	N      int
	ID     string
	At     time.Time // when it was done; zero = now
	Role   Role      // zero = the owner, at the data file itself
}

// Desk is one book opened, with everything derived from it, beside the stores.
type Desk struct {
	*plan.View
	Stores *job.State
	Pin    string // head of the tree of hashes
	lines  []job.Line
}

// Row is a job in the list of all.
type Row struct {
	Book   string `json:"-"`
	Unit   string `json:"unit"`
	Letter string `json:"letter"`
	Colour string `json:"colour"`
	Type   string `json:"type"`
	Series string `json:"series,omitempty"`
	Donor  bool   `json:"donor,omitempty"`
	Arc    string `json:"arc"`
	Next   string `json:"next,omitempty"`
	Loose  int    `json:"loose"`
	Last   string `json:"last"` // RFC 3339
	Seq    int    `json:"-"`
}

// Jobs lists all jobs, those in hand first, donors and those handed over last.
func (sh *Shop) Jobs(ctx context.Context) ([]Row, error) {
	sums, err := sh.store.Summaries(ctx)
	if err != nil {
		return nil, fmt.Errorf("list of jobs: %w", err)
	}
	var rows []Row
	for _, s := range sums {
		if s.Book == StoresBook || s.Book == DevicesBook {
			continue
		}
		var r Row
		if err := json.Unmarshal(s.Body, &r); err != nil {
			r = Row{Unit: s.Book, Arc: "cannot be listed: open it"}
		}
		r.Book, r.Seq = s.Book, s.Seq
		rows = append(rows, r)
	}
	rank := func(r Row) int {
		switch {
		case r.Arc == "handed over":
			return 2
		case r.Donor:
			return 1
		}
		return 0
	}
	slices.SortStableFunc(rows, func(a, b Row) int {
		if d := rank(a) - rank(b); d != 0 {
			return d
		}
		return strings.Compare(a.Letter+a.Book, b.Letter+b.Book)
	})
	return rows, nil
}

// Open loads and replays a book; a job nobody has begun is ErrNotFound.
func (sh *Shop) Open(ctx context.Context, book string) (*Desk, error) {
	if book == DevicesBook {
		return nil, wrap(ErrNotFound, "there is no job %q; see the list of jobs", book)
	}
	d, err := sh.load(ctx, book)
	if err != nil {
		return nil, err
	}
	if d.Seq == 0 && book != StoresBook {
		return nil, wrap(ErrNotFound, "there is no job %q; see the list of jobs", book)
	}
	return d, nil
}

// repeats reports whether a body says what a stored one says. Deciding completes
// a body with figures and defaults, so only the words that were sent are held
// against it.
func repeats(sent job.Body, stored json.RawMessage) bool {
	raw, err := json.Marshal(sent)
	if err != nil {
		return false
	}
	var a, b any
	return json.Unmarshal(raw, &a) == nil && json.Unmarshal(stored, &b) == nil && within(a, b)
}

// within reports whether every word in a stands at the same place in b.
func within(a, b any) bool {
	switch a := a.(type) {
	case string:
		s, ok := b.(string)
		return a == "" || ok && strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(s))
	case []any:
		list, ok := b.([]any)
		if len(a) > 0 && (!ok || len(list) != len(a)) {
			return false
		}
		for i := range a {
			if !within(a[i], list[i]) {
				return false
			}
		}
	case map[string]any:
		m, ok := b.(map[string]any)
		if len(a) > 0 && !ok {
			return false
		}
		for k := range a {
			if k != "place" && !within(a[k], m[k]) { // a shim's place is the drawer, whatever was said
				return false
			}
		}
	case bool:
		return !a || b == true
	}
	return true
}

// load brings a book up to date from the store. A desk is never changed once
// made, so the last one serves as long as nothing was added since.
func (sh *Shop) load(ctx context.Context, book string) (*Desk, error) {
	old := sh.kept(book)
	after := 0
	if old != nil {
		after = old.Seq
	}
	more, err := sh.store.Lines(ctx, book, after)
	if err != nil {
		return nil, fmt.Errorf("book %s: %w", book, err)
	}
	d := old
	if old == nil || len(more) > 0 {
		if old == nil {
			old = &Desk{View: &plan.View{State: &job.State{}}}
		}
		if d, err = sh.desk(ctx, book, old, more); err != nil {
			return nil, err
		}
		sh.keep(d)
	}
	if book == StoresBook {
		return d, nil
	}
	stores, err := sh.load(ctx, StoresBook)
	if err != nil {
		return nil, err
	}
	with := *d
	with.Stores = stores.State
	return &with, nil
}

// desk derives everything from a book as it was and the lines added since.
func (sh *Shop) desk(ctx context.Context, book string, old *Desk, more []job.Line) (*Desk, error) {
	lines := append(slices.Clip(old.lines), more...)
	tree, err := job.NewTree(lines)
	if err != nil {
		return nil, fmt.Errorf("book %s: %w", book, err)
	}
	pin, err := tree.Pin()
	if err != nil {
		return nil, fmt.Errorf("book %s: %w", book, err)
	}
	entries := append(slices.Clip(old.Entries), job.DecodeAll(more)...)
	box, err := sh.boxOf(ctx, entries)
	if err != nil {
		return nil, err
	}
	d := &Desk{View: plan.Of(job.Replay(book, box, entries)), Pin: pin, lines: lines}
	d.Stores = d.State
	return d, nil
}

// deskCache is how many books stay open in memory.
const deskCache = 32

func (sh *Shop) kept(book string) *Desk {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	return sh.desks[book]
}

func (sh *Shop) keep(d *Desk) {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	if len(sh.desks) >= deskCache {
		clear(sh.desks)
	}
	sh.desks[d.Book] = d
}

// boxOf reads the gearbox file that a job pins.
func (sh *Shop) boxOf(ctx context.Context, entries []job.Entry) (*gearbox.Box, error) {
	key := job.BoxKey(entries)
	if key == "" {
		return draft(entries), nil
	}
	box, err := sh.boxWith(ctx, key, nil)
	if box == nil || err != nil {
		return nil, err
	}
	if found := job.Found(entries); slices.ContainsFunc(found, func(f gearbox.Found) bool { _, ok := box.Position(f.ID); return !ok }) {
		return sh.boxWith(ctx, key, found)
	}
	return box, nil
}

// boxWith reads a kept gearbox file with the parts that a strip-down found beside
// it, nil where the file is not kept here: Replay goes on without it.
func (sh *Shop) boxWith(ctx context.Context, key string, found []gearbox.Found) (*gearbox.Box, error) {
	as := key
	if len(found) > 0 {
		as = fmt.Sprintf("%s %+v", key, found)
	}
	sh.mu.Lock()
	box := sh.boxes[as]
	sh.mu.Unlock()
	if box != nil {
		return box, nil
	}
	text, err := sh.store.Blob(ctx, key)
	if errors.Is(err, ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("gearbox file: %w", err)
	}
	if box, err = gearbox.ReadWith("the job's gearbox file", text, found); err != nil {
		return nil, fmt.Errorf("gearbox file %.8s: %w", key, err)
	}
	sh.mu.Lock()
	defer sh.mu.Unlock()
	if len(sh.boxes) > 256 {
		clear(sh.boxes)
	}
	sh.boxes[as] = box
	return box, nil
}

// KeepBox checks a gearbox file and keeps it in the stores.
func (sh *Shop) KeepBox(ctx context.Context, by By, file string, text []byte) (*gearbox.Box, error) {
	box, err := gearbox.Read(file, text)
	if err != nil {
		return nil, &marked{ErrInvalid, err.Error()}
	}
	key, err := sh.store.PutBlob(ctx, nil, text)
	if err != nil {
		return nil, fmt.Errorf("gearbox file: %w", err)
	}
	stores, err := sh.load(ctx, StoresBook)
	if err != nil {
		return nil, err
	}
	if stores.Boxes[box.Name] == key {
		return box, nil
	}
	_, err = sh.Record(ctx, by, StoresBook, job.KeptBox{Name: box.Name, Box: key})
	return box, err
}

// Box returns a kept gearbox file by the name of its type.
func (sh *Shop) Box(ctx context.Context, name string) (*gearbox.Box, error) {
	stores, err := sh.load(ctx, StoresBook)
	if err != nil {
		return nil, err
	}
	key, ok := stores.Boxes[name]
	if !ok {
		return nil, wrap(ErrNotFound, "no gearbox file of type %q is kept here; there are: %s", name, strings.Join(slices.Sorted(maps.Keys(stores.Boxes)), ", "))
	}
	text, err := sh.store.Blob(ctx, key)
	if err != nil {
		return nil, fmt.Errorf("gearbox file %s: %w", name, err)
	}
	return gearbox.Read(name, text)
}

// NewJob begins a job on a unit. The gearbox file is the kept one of o.Type;
// o.Owner is the owner's name, which enters the book only as a salted key.
func (sh *Shop) NewJob(ctx context.Context, by By, o job.Opened) (string, error) {
	if err := sh.checkOpened(ctx, &o); err != nil {
		return "", err
	}
	book := slug(o.Unit)
	for n := 2; ; n++ {
		d, err := sh.load(ctx, book)
		if err != nil {
			return "", err
		}
		if d.Seq == 0 {
			break
		}
		book = fmt.Sprintf("%s-%d", slug(o.Unit), n)
	}
	_, err := sh.Record(ctx, by, book, o)
	return book, err
}

func (sh *Shop) checkOpened(ctx context.Context, o *job.Opened) error {
	o.Unit, o.Letter = strings.TrimSpace(o.Unit), strings.ToUpper(strings.TrimSpace(o.Letter))
	switch {
	case slug(o.Unit) == "" || slug(o.Unit) == StoresBook || slug(o.Unit) == DevicesBook:
		return wrap(ErrInvalid, "unit: give it the name it is called by at the bench, such as Linnet")
	case len([]rune(o.Letter)) != 1:
		return wrap(ErrInvalid, "letter: one letter stands on every tag of this unit; %q is not one letter", o.Letter)
	case o.Colour == "":
		return wrap(ErrInvalid, "colour: choose the colour of this unit's tape")
	}
	rows, err := sh.Jobs(ctx)
	if err != nil {
		return err
	}
	for _, r := range rows {
		if r.Letter == o.Letter && r.Arc != "handed over" {
			return wrap(ErrInvalid, "letter: %s is on the tags of %s, which is still here; choose another", o.Letter, r.Unit)
		}
	}
	if o.Box == NoBox {
		if err := need(o.Type, "type", "give this type of gearbox a name"); err != nil {
			return err
		}
		if _, err := sh.Box(ctx, o.Type); err == nil {
			return wrap(ErrInvalid, "type: a gearbox file for %q is kept here; choose it, or give this one another name", o.Type)
		}
		o.Box, o.Series = "", ""
		o.Owner, err = sh.owner(ctx, o.Owner)
		return err
	}
	box, err := sh.Box(ctx, o.Type)
	if err != nil {
		return err
	}
	if len(box.Series) > 0 && !box.HasSeries(o.Series) {
		var names []string
		for _, s := range box.Series {
			names = append(names, s.Name)
		}
		return wrap(ErrInvalid, "series: a %s is of series %s; which is this one?", box.Name, strings.Join(names, " or "))
	}
	o.Box = box.Hash
	o.Owner, err = sh.owner(ctx, o.Owner)
	return err
}

// owner is the key of who owns a unit: of somebody known, else of a name that is
// known from then on.
func (sh *Shop) owner(ctx context.Context, name string) (string, error) {
	p, known, err := sh.PersonNamed(ctx, name)
	if err != nil || known {
		return p.Key, err
	}
	return sh.person(ctx, strings.TrimSpace(name))
}

func slug(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return strings.Trim(b.String(), "-")
}

// Record is the one loop: it adds what body says to a book, if it may be, and
// returns what the book has become.
func (sh *Shop) Record(ctx context.Context, by By, book string, body job.Body) (*Desk, error) {
	if book == DevicesBook {
		return nil, wrap(ErrNotFound, "there is no job %q; see the list of jobs", book)
	}
	if by.ID == "" {
		id, err := uuid.NewV7()
		if err != nil {
			return nil, fmt.Errorf("id: %w", err)
		}
		by.ID = id.String()
	} else if d, known, err := sh.sent(ctx, by, book, body); known || err != nil {
		return d, err
	}
	for try := 0; ; try++ {
		d, err := sh.once(ctx, by, book, body)
		if !errors.Is(err, ErrConflict) || try == 8 {
			return d, err
		}
		// The same entry may have come in by another way meanwhile.
		if d, known, err := sh.sent(ctx, by, book, body); known || err != nil {
			return d, err
		}
	}
}

// sent answers an entry that was sent before: the same body adds nothing.
func (sh *Shop) sent(ctx context.Context, by By, book string, body job.Body) (*Desk, bool, error) {
	if _, err := uuid.Parse(by.ID); err != nil {
		return nil, true, wrap(ErrInvalid, "the entry's id %q is no UUID", by.ID)
	}
	d, err := sh.load(ctx, book)
	if err != nil {
		return nil, true, err
	}
	for _, e := range d.Entries {
		if e.ID == by.ID {
			if n, ok := body.(job.Noted); ok {
				body = pinned(n, d)
			}
			if e.Kind != body.Kind() || !repeats(body, e.Body) {
				return nil, true, wrap(ErrInvalid, "entry %s was already sent and says something else (entry %d, %s); give this one an id of its own", by.ID, e.Seq, e.Kind)
			}
			return d, true, nil
		}
	}
	return nil, false, nil
}

func (sh *Shop) once(ctx context.Context, by By, book string, body job.Body) (*Desk, error) {
	d, err := sh.load(ctx, book)
	if err != nil {
		return nil, err
	}
	o := &order{sh: sh, ctx: ctx, desk: d, books: map[string]*Desk{book: d}, by: by, body: body}
	if err := o.decide(); err != nil {
		return nil, err
	}
	adds, after, err := o.adds(by)
	if err != nil {
		return nil, err
	}
	if err := sh.store.Append(ctx, adds...); err != nil {
		return nil, err
	}
	for _, d := range after {
		sh.keep(d)
		sh.bell.ring(d.Book)
	}
	return sh.load(ctx, book)
}

// person keeps a name in a blob that can be deleted, and returns its key.
func (sh *Shop) person(ctx context.Context, name string) (string, error) {
	if name == "" {
		return "", nil
	}
	if stores := sh.kept(StoresBook); stores != nil {
		for _, p := range stores.People {
			if sh.Name(ctx, p.Person) == name {
				return p.Person, nil
			}
		}
	}
	sh.mu.Lock()
	for k, n := range sh.names {
		if n == name {
			sh.mu.Unlock()
			return k, nil
		}
	}
	sh.mu.Unlock()
	salt := make([]byte, 16)
	if _, err := rand.Read(salt); err != nil {
		return "", fmt.Errorf("salt: %w", err)
	}
	b, err := json.Marshal(map[string]string{"name": name})
	if err != nil {
		return "", fmt.Errorf("person: %w", err)
	}
	key, err := sh.store.PutBlob(ctx, salt, b)
	if err != nil {
		return "", fmt.Errorf("person: %w", err)
	}
	sh.mu.Lock()
	sh.names[key] = name
	sh.mu.Unlock()
	return key, nil
}

// What stands where a name is not to be had.
const (
	deletedName    = "(name deleted)"
	unreadableName = "(name unreadable)"
)

// Name returns the name of a person by key; a name deleted on request reads so.
func (sh *Shop) Name(ctx context.Context, key string) string {
	if key == "" {
		return ""
	}
	if stores := sh.kept(StoresBook); stores != nil {
		for next := stores.Renamed[key]; next != ""; next = stores.Renamed[key] {
			key = next // the name was mended since
		}
	}
	sh.mu.Lock()
	n, ok := sh.names[key]
	sh.mu.Unlock()
	if ok {
		return n
	}
	b, err := sh.store.Blob(ctx, key)
	switch {
	case errors.Is(err, ErrNotFound):
		return deletedName
	case err != nil: // the store does not answer just now
		return unreadableName
	}
	var p struct{ Name string }
	if json.Unmarshal(b, &p) != nil {
		return unreadableName
	}
	sh.mu.Lock()
	sh.names[key] = p.Name
	sh.mu.Unlock()
	return p.Name
}

// Blob returns a photo or other bytes by key.
func (sh *Shop) Blob(ctx context.Context, key string) ([]byte, error) { return sh.store.Blob(ctx, key) }

// FindTag returns the books in which a piece with the tag is.
func (sh *Shop) FindTag(ctx context.Context, tag string) ([]string, error) {
	return sh.store.FindTag(ctx, tag)
}
