package shop

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// NoBox, as the gearbox file of a job that is begun, says that there is none:
// the strip-down writes it.
const NoBox = "none"

// draft reads the gearbox file that a strip-down has written so far, nil where
// nothing has come off or what was typed makes no file yet.
func draft(entries []job.Entry) *gearbox.Box {
	text := job.Draft(entries)
	if text == nil {
		return nil
	}
	box, err := gearbox.Read("the strip-down", text)
	if err != nil {
		return nil // seen, with its faults, where the file is mended
	}
	return box
}

// File is the text of a job's gearbox file: the pinned one, else what the
// strip-down has written so far. written reports the second.
func (d *Desk) File() (text []byte, written bool) {
	if d.Opened.Box == "" {
		return job.Draft(d.Entries), true
	}
	if d.Box == nil {
		return nil, false
	}
	return d.Box.Text, false
}

// Unlisted are lines for the parts that came off and that the pinned file does
// not have, each to be put under the order of its carrier.
func (d *Desk) Unlisted() []string {
	if d.Box == nil || d.Opened.Box == "" {
		return nil
	}
	var out []string
	for _, f := range job.Found(d.Entries) {
		if p, ok := d.Box.Position(f.ID); !ok || p.Found {
			out = append(out, gearbox.Line(f, f.Ends))
		}
	}
	return out
}

// KeepFile checks the text of a gearbox file, keeps it in the stores and pins
// it to the job.
func (sh *Shop) KeepFile(ctx context.Context, by By, book string, text []byte, why string) (*Desk, error) {
	d, err := sh.Open(ctx, book)
	if err != nil {
		return nil, err
	}
	read, err := gearbox.Read(d.Opened.Type, text)
	if err != nil {
		return nil, &marked{ErrInvalid, err.Error()}
	}
	for id, sp := range d.Spots {
		if _, ok := read.Position(id); !ok && sp.Off != nil && !sp.Unlisted && sp.Off.Is.Name == "" {
			return nil, wrap(ErrInvalid, "the file has no position %s any more, and entry %d took it off; keep it under that id", id, sp.Off.Seq)
		}
	}
	if read.Hash == d.Opened.Box {
		return d, nil
	}
	once := by
	once.ID = "" // the id that came is that of the pin
	box, err := sh.KeepBox(ctx, once, d.Opened.Type, text)
	if err != nil {
		return nil, err
	}
	return sh.Record(ctx, by, book, job.Repinned{Box: box.Hash, Why: cmp.Or(strings.TrimSpace(why), "written while it came apart")})
}

// unwritten completes a part off that no gearbox file knows: it gets the next id
// of its carrier, and the words for its side.
func (o *order) unwritten(b *job.TakenOff) error {
	b.Name = strings.TrimSpace(b.Name)
	if b.Name == "" {
		return nil
	}
	if o.desk.Opened.Box == "" && strings.TrimSpace(b.Faced) == "" {
		return wrap(ErrInvalid, "%s: which way did it face? Look before it goes in the tray, or say that either way will do", b.Name)
	}
	if b.PartKind == "" {
		b.PartKind = gearbox.KindOf(b.Name)
	}
	if side, ok := strings.CutPrefix(b.Faced, "side toward "); ok {
		b.Faced = gearbox.FaceOf(b.PartKind) + " toward " + side
	}
	if o.desk.Box != nil && len(b.Ends) == 0 {
		for _, c := range o.desk.Box.Carriers {
			if strings.EqualFold(c.Name, strings.TrimSpace(b.Carrier)) || strings.EqualFold(c.ID, strings.TrimSpace(b.Carrier)) {
				b.Carrier, b.Ends = c.Name, c.Ends
			}
		}
	}
	if n := len(b.Ends); n != 0 && n != 2 {
		return wrap(ErrInvalid, "%s: a shaft has two ends; %d were named", b.Name, n)
	}
	if b.From != "" && !slices.Contains(b.Ends, b.From) {
		return wrap(ErrInvalid, "%s: it came off at %q, and the ends are %s", b.Name, b.From, strings.Join(b.Ends, " and "))
	}
	if b.Against = strings.TrimSpace(b.Against); b.Against != "" {
		if err := o.position(b.Against); err != nil {
			return err
		}
	}
	if b.Position != "" {
		if len(b.Position) > 12 || strings.ContainsAny(b.Position, " ./+-,:[]{}") {
			return wrap(ErrInvalid, "id %q: use up to 12 letters and digits without spaces, such as P08", b.Position)
		}
		return nil
	}
	letter := "X"
	if r := []rune(strings.ToUpper(strings.TrimSpace(b.Carrier))); len(r) > 0 && r[0] >= 'A' && r[0] <= 'Z' {
		letter = string(r[0])
	}
	b.Position = o.nextID(letter)
	return nil
}

// nextID is the id after the highest of those that begin with a letter, as wide as
// they are.
func (o *order) nextID(letter string) string {
	highest, width := 0, 0
	see := func(id string) {
		digits, ok := strings.CutPrefix(id, letter)
		if n, err := strconv.Atoi(digits); ok && err == nil && n >= 0 {
			highest, width = max(highest, n), max(width, len(digits))
		}
	}
	for id := range o.desk.Spots {
		see(id)
	}
	if o.desk.Box != nil {
		for _, p := range o.desk.Box.All() {
			see(p.ID)
		}
	}
	return fmt.Sprintf("%s%0*d", letter, cmp.Or(width, 2), highest+1)
}

// benched decides on the entries of receiving, cleaning, looking and agreeing.
// ok is false for entries of other kinds.
func (o *order) benched() (ok bool, err error) {
	switch b := o.body.(type) {
	case job.Received:
		return true, o.received(b)
	case job.Person:
		return true, o.metPerson(b)
	case job.Estimate:
		return true, o.estimate(b)
	case job.Approved:
		return true, o.approved(b)
	case job.Cleaned:
		return true, o.cleaned(b)
	case job.Repaired:
		if err := o.position(b.Position); err != nil {
			return true, err
		}
		return true, o.repaired(b)
	case job.Looked:
		return true, o.looked(b)
	case job.Gap:
		return true, o.gap(b)
	case job.Drawn:
		return true, o.drawn(b)
	case job.Repinned:
		text, err := o.sh.store.Blob(o.ctx, b.Box)
		if err != nil {
			return true, wrap(ErrInvalid, "gearbox file %.8s is not kept here", b.Box)
		}
		if _, err := gearbox.Read("gearbox file", text); err != nil {
			return true, &marked{ErrInvalid, err.Error()}
		}
		return true, nil
	}
	return false, nil
}

// shown checks that photos have arrived.
func (o *order) shown(keys []string) error {
	for _, k := range keys {
		if _, err := o.sh.store.Blob(o.ctx, k); err != nil {
			return wrap(ErrInvalid, "photo %.8s is not here; send it again", k)
		}
	}
	return nil
}

// Levels are the three levels of price: each takes in those before it.
var Levels = []string{"safe", "proper", "new"}

func level(s string) error {
	if s != "" && !slices.Contains(Levels, s) {
		return wrap(ErrInvalid, "level %q; there are %s", s, strings.Join(Levels, ", "))
	}
	return nil
}

func (o *order) estimate(b job.Estimate) error {
	if err := level(b.Level); err != nil {
		return err
	}
	var err error
	if b.LowIs, err = money(b.Low); err != nil {
		return err
	}
	if b.HiIs, err = money(b.High); err != nil {
		return err
	}
	if !(b.HiIs > b.LowIs) {
		return wrap(ErrInvalid, "estimate: it is a range; %s is not more than %s", b.High, b.Low)
	}
	if err := need(b.Stop, "stop-point", "say where work stops until the customer has heard, such as: after inspection"); err != nil {
		return err
	}
	if b.May, err = o.knownPerson(b.May, "customer"); err != nil {
		return err
	}
	o.body = b
	return nil
}

func (o *order) approved(b job.Approved) error {
	if err := level(b.Level); err != nil {
		return err
	}
	if err := need(b.By, "approval", "say who agreed"); err != nil {
		return err
	}
	if err := need(b.What, "approval", "say what was agreed"); err != nil {
		return err
	}
	var err error
	if b.By, err = o.knownPerson(b.By, "customer"); err != nil {
		return err
	}
	if err := o.mayAgree(b.By); err != nil {
		return err
	}
	o.body = b
	return nil
}

// money reads a figure such as "2200 EUR".
func money(s string) (float64, error) {
	digits := strings.Map(func(r rune) rune {
		switch {
		case r >= '0' && r <= '9', r == '.', r == ',':
			return r
		}
		return -1
	}, s)
	digits = strings.ReplaceAll(digits, ",", ".")
	q, err := unit.Parse(digits, unit.Number, unit.Unit{Factor: 1})
	if digits == "" || err != nil || q.SI < 0 {
		return 0, wrap(ErrInvalid, "%q is no sum of money; write it as 2200 EUR", s)
	}
	return q.SI, nil
}

func mmOf() unit.Unit { u, _ := unit.Find("mm", unit.KindLength); return u }

// Shapes are what can be drawn over a photo.
var Shapes = []string{"arrow", "circle", "toe", "heel", "text"}

func (o *order) drawn(b job.Drawn) error {
	if !slices.Contains(Shapes, b.Shape) {
		return wrap(ErrInvalid, "mark %q; there are %s", b.Shape, strings.Join(Shapes, ", "))
	}
	on := func(x, y float64) bool { return x >= 0 && x <= 1 && y >= 0 && y <= 1 }
	if !on(b.X, b.Y) || b.From != nil && !on(b.From.X, b.From.Y) {
		return wrap(ErrInvalid, "the mark lies outside the photo; its places are shares of the width and height, 0 to 1")
	}
	if !(b.R >= 0 && b.R <= 0.5) {
		return wrap(ErrInvalid, "circle: a radius of %g of the width; 0 to 0.5 is expected", b.R)
	}
	if b.Says = strings.TrimSpace(b.Says); b.Shape == "text" {
		if err := need(b.Says, "mark", "write the words that go on the photo"); err != nil {
			return err
		}
	}
	if !slices.ContainsFunc(o.desk.Photos(), func(p plan.Photo) bool { return p.Key == b.Photo }) {
		return wrap(ErrInvalid, "photo %.8s is not in this book; draw on it where it was taken", b.Photo)
	}
	o.body = b
	return o.shown([]string{b.Photo})
}
