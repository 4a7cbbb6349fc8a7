package shop

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
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
		if _, ok := d.Box.Position(f.ID); !ok {
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
		if _, ok := read.Position(id); !ok && sp.Off != nil && !sp.Unlisted {
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
	if n := len(b.Ends); n != 0 && n != 2 {
		return wrap(ErrInvalid, "%s: a shaft has two ends; %d were named", b.Name, n)
	}
	if b.From != "" && !slices.Contains(b.Ends, b.From) {
		return wrap(ErrInvalid, "%s: it came off at %q, and the ends are %s", b.Name, b.From, strings.Join(b.Ends, " and "))
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
	for n := 1; b.Position == ""; n++ {
		id := fmt.Sprintf("%s%02d", letter, n)
		known := o.desk.Spots[id] != nil
		if o.desk.Box != nil && !known {
			_, known = o.desk.Box.Position(id)
		}
		if !known {
			b.Position = id
		}
	}
	return nil
}

// benched decides on the entries of receiving, cleaning, looking and agreeing.
// ok is false for entries of other kinds.
func (o *order) benched() (ok bool, err error) {
	switch b := o.body.(type) {
	case job.Received:
		return true, o.shown(b.Photos)
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
		if err := need(b.How, "repair", "say how it was made good"); err != nil {
			return true, err
		}
		return true, o.shown(b.Photos)
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
	if b.May, err = o.sh.personKey(o.ctx, b.May); err != nil {
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
	if b.By, err = o.sh.personKey(o.ctx, b.By); err != nil {
		return err
	}
	o.body = b
	return nil
}

// personKey is the key of a person given by name, or the key itself.
func (sh *Shop) personKey(ctx context.Context, who string) (string, error) {
	who = strings.TrimSpace(who)
	if len(who) == 64 && strings.Trim(who, "0123456789abcdef") == "" {
		return who, nil
	}
	return sh.person(ctx, who)
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

func (o *order) cleaned(b job.Cleaned) error {
	if b.Position != "" {
		if err := o.position(b.Position); err != nil {
			return err
		}
	}
	if err := need(b.What, "cleaning", "say what was cleaned"); err != nil {
		return err
	}
	if err := need(b.With, "cleaning", "say what was used on it"); err != nil {
		return err
	}
	l := o.desk.Opened.Letter
	if b.Basket = strings.TrimSpace(b.Basket); b.Basket == "" {
		b.Basket = "basket " + l
	}
	if f := strings.Fields(b.Basket); strings.EqualFold(f[0], "basket") && len(f) > 1 && !strings.EqualFold(f[1], l) {
		return wrap(ErrInvalid, "this is %s: its parts are washed in basket %s, and %q is another unit's", o.desk.Opened.Unit, l, b.Basket)
	}
	o.body = b
	return o.shown(b.Photos)
}

// Saw are the words for what was seen of a part.
var Saw = []string{"good", "plan", "replace", "not sure"}

func (o *order) looked(b job.Looked) error {
	if err := o.position(b.Position); err != nil {
		return err
	}
	if err := need(b.At, "look", "say what was looked at"); err != nil {
		return err
	}
	if !slices.Contains(Saw, b.Saw) {
		return wrap(ErrInvalid, "what was seen is %q; say %s", b.Saw, strings.Join(Saw, ", "))
	}
	return o.shown(b.Photos)
}

func (o *order) gap(b job.Gap) error {
	for _, tag := range []string{b.Ring, b.Cone} {
		if o.desk.Pieces[tag] == nil && o.desk.Stores.Pieces[tag] == nil {
			return wrap(ErrInvalid, "there is no piece %q in this job or in the stores", tag)
		}
	}
	q, err := unit.Parse(b.Value, unit.KindLength, mmOf())
	if err != nil || q.SI < 0 || q.SI > 0.02 {
		return wrap(ErrInvalid, "gap of %s on %s: %q is no ring gap; write it as 0.95 mm", b.Ring, b.Cone, b.Value)
	}
	b.SI, b.U = q.SI, q.U
	if ins, ok := o.desk.Stores.Instruments[cmp.Or(b.With, "feelers")]; ok && b.U == 0 {
		b.U = ins.U
	}
	o.body = b
	return nil
}

func mmOf() unit.Unit { u, _ := unit.Find("mm", unit.KindLength); return u }

// Shapes are what can be drawn over a photo.
var Shapes = []string{"arrow", "circle", "toe", "heel"}

func (o *order) drawn(b job.Drawn) error {
	if !slices.Contains(Shapes, b.Shape) {
		return wrap(ErrInvalid, "mark %q; there are %s", b.Shape, strings.Join(Shapes, ", "))
	}
	if !(b.X >= 0 && b.X <= 1 && b.Y >= 0 && b.Y <= 1) {
		return wrap(ErrInvalid, "the mark lies outside the photo")
	}
	return o.shown([]string{b.Photo})
}
