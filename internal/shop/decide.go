package shop

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/setup"

	"github.com/google/uuid"
)

// order is one change being decided. It gathers what is to be added to which
// books; all of it is appended in one transaction or not at all.
type order struct {
	sh    *Shop
	ctx   context.Context
	desk  *Desk            // the book the change is about
	books map[string]*Desk // every book it touches
	by    By
	body  job.Body // may be completed while deciding
	also  []also   // further entries, before the body in their book
}

type also struct {
	book string
	body job.Body
}

// HoldError refuses a step that may not be done yet: what it waits for, and the
// way out.
type HoldError struct {
	Step  string
	Waits []string
	Mend  string
}

func (h *HoldError) Error() string {
	s := h.Step + " waits: " + strings.Join(h.Waits, "; ")
	if h.Mend != "" {
		s += ". " + h.Mend
	}
	return s
}

// Choices are what can be decided of a part.
var Choices = []string{"reuse", "new", "donor", "repair", "scrap"}

func (o *order) decide() error {
	if err := o.may(); err != nil {
		return err
	}
	d := o.desk
	if _, first := o.body.(job.Opened); !first && d.Seq == 0 && d.Book != StoresBook {
		return wrap(ErrNotFound, "there is no job %q; begin it first", d.Book)
	}
	if d.Closed != nil {
		switch o.body.(type) {
		case job.Struck, job.Noted, job.Signed, job.Cost:
		default:
			return wrap(ErrInvalid, "%s was handed over; strike the hand-over to go on with it", d.Opened.Unit)
		}
	}
	if ok, err := o.benched(); ok {
		return err
	}
	switch b := o.body.(type) {
	case job.Opened:
		if d.Seq > 0 {
			return wrap(ErrInvalid, "the job %s was begun already", d.Book)
		}
		return o.owned(b)
	case job.TakenOff:
		return o.takenOff(b)
	case job.Read:
		return o.read(b)
	case job.Decided:
		return o.decided(b)
	case job.Added:
		return o.added(b)
	case job.Put:
		return o.put(b)
	case job.Marked:
		return o.has(b.Tag)
	case job.Fitted:
		return o.fitted(b)
	case job.Torqued:
		return o.torqued(b)
	case job.Locked:
		return o.locked(b)
	case job.Answered:
		return o.answered(b)
	case job.Allowed:
		return o.allowed(b)
	case job.Cost:
		return o.costed(b)
	case job.Struck:
		return o.struck(b)
	case job.Noted:
		return o.noted(b)
	case job.Heated:
		return o.heated(b)
	case job.Tested:
		return o.tested(b)
	case job.Pattern:
		return o.pattern(b)
	case job.Closed:
		return o.closed(b)
	case job.Instrument:
		return o.instrument(b)
	case job.Offered:
		return o.offered(b)
	case job.Ordered:
		return o.ordered(b)
	case job.Arrived:
		return o.arrived(b)
	case job.SentBack:
		return o.sentBack(b)
	case job.Terms:
		return o.terms(b)
	case job.Tool:
		return need(b.Name, "tool", "give it a name")
	case job.Came, job.Left:
		return wrap(ErrInvalid, "a piece moves by fitting or sending it, so that both books say so")
	}
	return nil
}

func need(text, what, mend string) error {
	if strings.TrimSpace(text) == "" {
		return wrap(ErrInvalid, "%s: nothing was written; %s", what, mend)
	}
	return nil
}

// position checks that a position is one of this gearbox.
func (o *order) position(id string) error {
	if o.desk.Box == nil {
		return wrap(ErrInvalid, "the gearbox file of this job is not in the data file; facts can be recorded, decisions need it: keep the file again")
	}
	if _, ok := o.desk.Box.Position(id); !ok {
		var ids []string
		for _, p := range o.desk.Box.All() {
			if strings.EqualFold(p.ID, id) {
				return wrap(ErrInvalid, "position: %q is written %s here", id, p.ID)
			}
			if len(id) > 0 && strings.HasPrefix(p.ID, id[:1]) {
				ids = append(ids, p.ID)
			}
		}
		slices.SortFunc(ids, natural)
		hint := ""
		if len(ids) > 1 {
			hint = fmt.Sprintf("; those that begin alike run from %s to %s", ids[0], ids[len(ids)-1])
		}
		return wrap(ErrInvalid, "position: %s has no %q%s", o.desk.Box.Name, id, hint)
	}
	return nil
}

func (o *order) has(tag string) error {
	if o.desk.Pieces[tag] == nil {
		return wrap(ErrInvalid, "piece: no %q is in this book", tag)
	}
	return nil
}

// takenOff: a fact. It is refused only where it would say nothing: which way a
// part faced cannot be found out later.
func (o *order) takenOff(b job.TakenOff) error {
	d := o.desk
	if err := o.unwritten(&b); err != nil {
		return err
	}
	if d.Box != nil && b.Name == "" || b.Position == "" {
		if err := o.position(b.Position); err != nil {
			return err
		}
	}
	if sp := d.Spots[b.Position]; sp != nil && sp.Off != nil && len(d.At[b.Position]) == 0 {
		return wrap(ErrInvalid, "%s is already off (entry %d); strike that entry if it was wrong", b.Position, sp.Off.Seq)
	}
	if d.Box != nil {
		if p, ok := d.Box.Position(b.Position); ok && len(p.Faces) > 0 && strings.TrimSpace(b.Faced) == "" {
			return wrap(ErrInvalid, "%s: which way did it face? Look before it goes in the tray: the %s toward %s, or the other way", p.Label(), p.Faces[0].Face, p.Faces[0].Toward)
		}
	}
	if b.Place == "" {
		b.Place = "tray " + d.Opened.Letter
	}
	b.SI, b.U = 0, 0
	var u2 float64
	for _, thick := range b.Thick {
		pc := job.Piece{Tag: b.Position + " as found", Thick: thick}
		if err := measurePiece(&pc, d); err != nil {
			return err
		}
		b.SI, u2 = b.SI+pc.SI, u2+pc.U*pc.U
	}
	b.U = math.Sqrt(u2)
	for _, k := range b.Photos {
		if _, err := o.sh.store.Blob(o.ctx, k); err != nil {
			return wrap(ErrInvalid, "photo %.8s is not here; send it again", k)
		}
	}
	o.body = b
	return nil
}

func (o *order) decided(b job.Decided) error {
	if err := o.position(b.Position); err != nil {
		return err
	}
	if err := level(b.Level); err != nil {
		return err
	}
	if !slices.Contains(Choices, b.Choice) {
		return wrap(ErrInvalid, "decision %q; choose one of %s", b.Choice, strings.Join(Choices, ", "))
	}
	if p, ok := o.desk.Box.Position(b.Position); ok && b.Variant != "" {
		if _, ok := p.Variant(b.Variant); !ok {
			return wrap(ErrInvalid, "%s has no variant %q", p.Label(), b.Variant)
		}
	}
	return nil
}

func (o *order) added(b job.Added) error {
	p := b.Piece
	if err := need(p.Tag, "piece", "give it a tag, such as s14"); err != nil {
		return err
	}
	where, err := o.sh.store.FindTag(o.ctx, p.Tag)
	if err != nil {
		return fmt.Errorf("tag %s: %w", p.Tag, err)
	}
	if len(where) > 0 || o.desk.Pieces[p.Tag] != nil {
		return wrap(ErrInvalid, "piece: the tag %s is already on a piece in %s; choose another", p.Tag, strings.Join(where, ", "))
	}
	if p.Position != "" && o.desk.Book != StoresBook {
		if err := o.position(p.Position); err != nil {
			return err
		}
	}
	if err := measurePiece(&b.Piece, o.desk); err != nil {
		return err
	}
	if b.Place == "" {
		b.Place = "shelf"
	}
	if o.desk.Book == StoresBook && b.Piece.Stock != "" && b.Piece.Origin == "" {
		b.Piece.Origin, b.Place = "drawer", "drawer"
	}
	o.body = b
	return nil
}

func (o *order) answered(b job.Answered) error {
	if err := need(b.Question, "question", "say which question is answered"); err != nil {
		return err
	}
	if b.Question == setup.DialQuestion && b.Answer != setup.DialSquare && b.Answer != setup.DialTurning {
		return wrap(ErrInvalid, "the dial stands %q or %q; %q is neither", setup.DialSquare, setup.DialTurning, b.Answer)
	}
	if b.Question == setup.EtchedQuestion && b.Answer != "further" && b.Answer != "nearer" {
		return wrap(ErrInvalid, "the etched number: a plus means the pinion sits \"further\" from the crown wheel's axis, or \"nearer\"; %q is neither", b.Answer)
	}
	if err := need(b.Answer, "answer", "it is asked because it must not be assumed"); err != nil {
		return err
	}
	// What is true of one gearbox of the type is offered for the next.
	if d := o.desk; d.Book != StoresBook && d.Remembered(b.Question) != b.Answer {
		if _, err := o.open(StoresBook); err != nil {
			return err
		}
		o.also = append(o.also, also{StoresBook, job.Answered{Question: ofType(d.Opened.Type, b.Question), Answer: b.Answer, Why: "as answered for " + d.Opened.Unit}})
	}
	return nil
}

// ofType is the question as the stores remember it for a type of gearbox.
func ofType(gearbox, question string) string { return gearbox + ": " + question }

// Remembered is how a question was answered for a gearbox of this type before,
// "" when it never was.
func (d *Desk) Remembered(question string) string {
	return d.Stores.Answers[ofType(d.Opened.Type, question)]
}

// secondPerson lists the holds that are not the builder's alone to pass.
var secondPerson = []string{"hold/lock", "hold/torque", "lock/", "torque/", "torque off/",
	"hold/test/" + plan.Interlock, "hold/test/" + plan.OilFill, "hold/test/" + plan.Lifting}

func (o *order) allowed(b job.Allowed) error {
	if len(strings.TrimSpace(b.Why)) < 8 {
		return wrap(ErrInvalid, "reason: write in a sentence why this may be passed; it stays in the book")
	}
	var found *plan.Finding
	for i, f := range o.desk.Findings {
		if f.Key == b.Hold {
			found = &o.desk.Findings[i]
		}
	}
	if found == nil {
		return wrap(ErrInvalid, "there is nothing under %q to pass now", b.Hold)
	}
	for _, k := range secondPerson {
		if strings.HasPrefix(b.Hold, k) && (strings.TrimSpace(b.Witness) == "" || strings.EqualFold(strings.TrimSpace(b.Witness), o.by.Name)) {
			return wrap(ErrInvalid, "this one needs a second person: add the witness's name. It is about %s", found.Says)
		}
	}
	return nil
}

func (o *order) struck(b job.Struck) error {
	for _, e := range o.desk.Entries {
		if e.ID != b.Entry {
			continue
		}
		if e.Kind == "came" || e.Kind == "left" || e.Kind == "opened" {
			return wrap(ErrInvalid, "entry %d (%s) is half of a move and stands in two books; move the piece back instead", e.Seq, e.Kind)
		}
		if _, gone := o.desk.Struck[e.ID]; gone {
			return wrap(ErrInvalid, "entry %d is already struck", e.Seq)
		}
		if e.Seq != o.desk.Seq && strings.TrimSpace(b.Why) == "" {
			return wrap(ErrInvalid, "entry %d is not the last one: write why it is struck", e.Seq)
		}
		return nil
	}
	return wrap(ErrInvalid, "there is no entry %q in this book", b.Entry)
}

func (o *order) closed(b job.Closed) error {
	if b.Oil != "dry" && b.Oil != "filled" {
		return wrap(ErrInvalid, "oil: say \"dry\" (red tag) or \"filled\" (green tag); a unit whose oil state is unclear is never handed over")
	}
	h := &HoldError{Step: "Handing over " + o.desk.Opened.Unit, Mend: "Do these, or write the owner's reason at each."}
	if t := o.desk.State.Tests[plan.OilFill]; b.Oil == "dry" && t != nil && t.Is.Good {
		return wrap(ErrInvalid, "oil: entry %d says that it was filled (%s). Drain it and strike that entry, or hand it over filled", t.Seq, t.Is.Says)
	}
	for _, f := range o.desk.Findings {
		if b.Oil == "dry" && f.Test == plan.OilFill || slices.Contains(h.Waits, f.Says) {
			continue
		}
		if f.Allowed == "" && (f.Kind == plan.Hold || f.Kind == plan.Loose || f.Kind == plan.Broken) {
			h.Waits = append(h.Waits, f.Says)
		}
	}
	for _, s := range o.desk.Build {
		if s.Do == "fit" {
			h.Waits = append(h.Waits, s.Position.Label()+" is not on")
		}
	}
	if len(h.Waits) == 0 {
		return nil
	}
	if n := len(h.Waits); n > 6 {
		h.Waits = append(h.Waits[:6], fmt.Sprintf("and %d more", n-6))
	}
	return h
}

// adds turns what was decided into what is appended, with the desks that the
// books will be once it is.
func (o *order) adds(by By) ([]Add, []*Desk, error) {
	at := by.At
	if at.IsZero() {
		at = o.sh.now()
	}
	person, err := o.sh.person(o.ctx, by.Name)
	if err != nil {
		return nil, nil, err
	}
	all := append(slices.Clone(o.also), also{o.desk.Book, o.body})
	var adds []Add
	var after []*Desk
	for _, book := range slices.Sorted(maps.Keys(o.books)) {
		d := o.books[book]
		add := Add{Book: book, After: d.Seq}
		for i, a := range all {
			if a.book != book {
				continue
			}
			e := job.Entry{ID: by.ID, At: at, By: person, On: by.Device, N: by.N}
			if i < len(all)-1 {
				id, err := uuid.NewV7()
				if err != nil {
					return nil, nil, fmt.Errorf("id: %w", err)
				}
				e.ID = id.String()
			}
			bytes, err := job.Encode(e, a.body)
			if err != nil {
				return nil, nil, err
			}
			add.Lines = append(add.Lines, job.Line{Seq: d.Seq + len(add.Lines) + 1, ID: e.ID, Bytes: bytes})
		}
		if len(add.Lines) == 0 {
			continue
		}
		next, err := o.sh.desk(o.ctx, book, d, add.Lines)
		if err != nil {
			return nil, nil, err
		}
		if add.Summary, add.Tags, err = derive(next); err != nil {
			return nil, nil, err
		}
		adds, after = append(adds, add), append(after, next)
	}
	return adds, after, nil
}

// derive makes the summary row and the tags of a book: the same that a rebuild
// of the index from the books makes.
func derive(d *Desk) ([]byte, []string, error) {
	r := Row{Unit: d.Opened.Unit, Letter: d.Opened.Letter, Colour: d.Opened.Colour, Type: d.Opened.Type, Series: d.Opened.Series,
		Donor: d.Opened.Donor, Arc: d.Arc(), Last: d.Last.Format("2006-01-02T15:04:05Z07:00")}
	r.Loose = len(d.LooseEnds())
	if n := d.Next(1); len(n) > 0 {
		r.Next = n[0].Title
	}
	body, err := json.Marshal(r)
	if err != nil {
		return nil, nil, fmt.Errorf("summary: %w", err)
	}
	tags := make([]string, 0, len(d.Pieces))
	for t := range d.Pieces {
		tags = append(tags, t)
	}
	slices.Sort(tags)
	return body, tags, nil
}
