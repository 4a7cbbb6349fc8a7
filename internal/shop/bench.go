package shop

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// heated completes what the oven showed. It is a fact and is not refused for
// being too cold or too hot: the fit then waits.
func (o *order) heated(b job.Heated) error {
	if err := o.position(b.Position); err != nil {
		return err
	}
	p, _ := o.desk.Box.Position(b.Position)
	if !p.HeatTo.Known() {
		return wrap(ErrInvalid, "%s is not heated, by the gearbox file; add \"heat to:\" if it is", p.Label())
	}
	celsius, _ := unit.Find("°C", unit.KindTemperature)
	q, err := unit.Parse(b.Oven, unit.KindTemperature, celsius)
	if err != nil {
		return wrap(ErrInvalid, "%s: what did the oven show? %v", p.Label(), err)
	}
	b.SI, b.InnerSI = q.SI, nil
	inner := roomCelsius
	if strings.TrimSpace(b.Inner) != "" {
		q, err := unit.Parse(b.Inner, unit.KindTemperature, celsius)
		if err != nil {
			return wrap(ErrInvalid, "%s: temperature of the inner part: %v", p.Label(), err)
		}
		inner = q.SI
		b.InnerSI = &inner
	}
	if b.SI < -30 || b.SI > 300 || inner < -200 || inner > 100 {
		return wrap(ErrInvalid, "%s: an oven at %s and an inner part at %.0f °C; is a unit wrong?", p.Label(), b.Oven, inner)
	}
	if h, ok := o.desk.HeatFor(p, inner); ok {
		b.Seconds = h.InAir
	}
	o.body = b
	return nil
}

const roomCelsius = 20.0

// tested fills in a test: what came of it is worked out here, never typed.
func (o *order) tested(b job.Tested) error {
	if o.desk.Box == nil {
		return wrap(ErrInvalid, "this job has no gearbox file that says what is tested")
	}
	if t, ok := o.desk.TestOf(b.Test); ok && len(t.Waits) > 0 {
		return &HoldError{Step: t.Title, Waits: t.Waits}
	}
	done, err := o.desk.Judge(b.Test, b.Values)
	if err != nil {
		return &marked{ErrInvalid, err.Error()}
	}
	done.Witness, done.Note, done.Photos = strings.TrimSpace(b.Witness), b.Note, b.Photos
	if t, _ := o.desk.TestOf(b.Test); b.Test == plan.Lifting && (done.Witness == "" || strings.EqualFold(done.Witness, o.by.Name)) {
		return wrap(ErrInvalid, "%s: a second person signs it; add the witness's name", t.Title)
	}
	o.body = done
	return nil
}

// noted keeps a note. One with a type is pinned to its position in the stores as
// well, and comes up at every job of that type.
func (o *order) noted(b job.Noted) error {
	if err := need(b.Text, "note", "write what is to be remembered"); err != nil {
		return err
	}
	if b.Type == "" || o.desk.Book == StoresBook {
		return nil
	}
	if b.Position == "" {
		return wrap(ErrInvalid, "note: say which position it is pinned to, so that it can come up there")
	}
	b = pinned(b, o.desk)
	o.body = b
	if _, err := o.open(StoresBook); err != nil {
		return err
	}
	o.also = append(o.also, also{StoresBook, job.Noted{Text: b.Text, Position: b.Position, Type: b.Type, Topic: "from " + o.desk.Opened.Unit, Photos: b.Photos}})
	return nil
}

// pinned is a note as it is kept: one with a type has that of its job, whatever was said.
func pinned(b job.Noted, d *Desk) job.Noted {
	if b.Type != "" && d.Book != StoresBook {
		b.Type = d.Opened.Type
	}
	return b
}

// manned asks for the role and the hands that a position needs.
func (o *order) manned(p *gearbox.Position, step, with string) error {
	if r := o.by.role(); p.Only != "" && r != Owner {
		if err := r.lets(string(r) == p.Only, strings.ToLower(step)+" "+p.Label(), Role(p.Only)); err != nil {
			return err
		}
	}
	if with = strings.TrimSpace(with); p.People > 1 && (with == "" || strings.EqualFold(with, o.by.Name)) {
		return &HoldError{Step: step + " " + p.Label(), Waits: []string{fmt.Sprintf("it needs %d people; say who helps", p.People)}}
	}
	return nil
}

// Pinned are the notes that earlier jobs of this type left at a position.
func (d *Desk) Pinned(position string) []job.Noted {
	var out []job.Noted
	for _, e := range d.Stores.Notes {
		var n job.Noted
		if json.Unmarshal(e.Body, &n) == nil && n.Type == d.Opened.Type && n.Position == position {
			out = append(out, n)
		}
	}
	return out
}

// Today plans a time at this job with the people and the oven that are there.
// Pieces of the drawer and of donors count as here.
func (sh *Shop) Today(ctx context.Context, d *Desk, ask plan.Ask) (plan.Today, error) {
	var wrong error
	ask.Have = func(tag string) bool {
		books, err := sh.store.FindTag(ctx, tag)
		if err != nil {
			wrong = fmt.Errorf("tag %s: %w", tag, err)
		}
		return len(books) > 0
	}
	t := d.Today(ask)
	return t, wrong
}

// Status answers "where are we?" in plain sentences.
func (sh *Shop) Status(d *Desk) []string { return d.Status(sh.now()) }

// Visit is one earlier time that a unit was here.
type Visit struct {
	Book   string    `json:"book"`
	From   time.Time `json:"from"`
	Closed bool      `json:"closed"`
	Asked  string    `json:"asked,omitempty"`
	Since  string    `json:"since,omitempty"` // what it had run when it came in then
	Wrong  []string  `json:"wrong"`           // damage found, by position
	New    []string  `json:"new"`             // parts that went in new or from a donor
	Notes  []string  `json:"notes"`           // for next time
}

// Earlier are the earlier jobs of the same unit, newest first: of its type, with
// its number, or where none is known its name.
func (sh *Shop) Earlier(ctx context.Context, d *Desk) ([]Visit, error) {
	rows, err := sh.Jobs(ctx)
	if err != nil {
		return nil, err
	}
	var out []Visit
	for _, r := range rows {
		if r.Book == d.Book || r.Type != d.Opened.Type {
			continue
		}
		if d.Opened.Number == "" && !strings.EqualFold(r.Unit, d.Opened.Unit) {
			continue // a summary has no number: only where one is asked for is the book opened
		}
		e, err := sh.load(ctx, r.Book)
		if err != nil {
			return nil, err
		}
		same := strings.EqualFold(e.Opened.Unit, d.Opened.Unit)
		if d.Opened.Number != "" && e.Opened.Number != "" {
			same = strings.EqualFold(e.Opened.Number, d.Opened.Number)
		}
		if same && len(e.Entries) > 0 && begunBefore(e, d) {
			out = append(out, visitOf(e))
		}
	}
	slices.SortFunc(out, func(a, b Visit) int { return b.From.Compare(a.From) })
	return out, nil
}

// begunBefore goes by the clock, then by the ids of the entries, which count up.
func begunBefore(a, b *Desk) bool {
	x, y := a.Entries[0], b.Entries[0]
	return x.At.Before(y.At) || x.At.Equal(y.At) && x.ID < y.ID
}

func visitOf(d *Desk) Visit {
	v := Visit{Book: d.Book, From: d.Entries[0].At, Closed: d.Closed != nil, Asked: d.Opened.Asked, Since: d.Opened.Since, Wrong: []string{}, New: []string{}, Notes: []string{}}
	if d.Box == nil {
		return v
	}
	for _, p := range d.Box.All() {
		sp := d.Spots[p.ID]
		if sp == nil {
			continue
		}
		if sp.Off != nil && sp.Off.Is.Damage != "" {
			v.Wrong = append(v.Wrong, p.Label()+": "+sp.Off.Is.Damage)
		}
		if sp.Decided != nil && !p.Once && slices.Contains([]string{"new", "donor"}, sp.Decided.Is.Choice) {
			v.New = append(v.New, p.Label())
		}
	}
	for _, e := range d.Notes {
		var n job.Noted
		if json.Unmarshal(e.Body, &n) == nil && slices.Contains([]string{"next time", "hand-over", "deviation"}, n.Topic) {
			v.Notes = append(v.Notes, n.Text)
		}
	}
	return v
}
