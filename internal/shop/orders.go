package shop

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"endfloat/calc/unit"
	"endfloat/internal/choose"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// offered checks an offer before it is kept in the stores.
func (o *order) offered(b job.Offered) error {
	if o.desk.Book != StoresBook {
		return wrap(ErrInvalid, "an offer is kept in the stores, for all units")
	}
	if err := need(b.Supplier, "supplier", "say who offers it"); err != nil {
		return err
	}
	box, err := o.sh.Box(o.ctx, b.Type)
	if err != nil {
		return err
	}
	p, ok := box.Position(b.Position)
	if !ok {
		return wrap(ErrInvalid, "position: %s has no %q", box.Name, b.Position)
	}
	if _, ok := p.Variant(b.Variant); b.Variant != "" && !ok {
		return wrap(ErrInvalid, "%s has no variant %q", p.Label(), b.Variant)
	}
	if b.Days < 0 || b.Count < 0 || b.Return < 0 {
		return wrap(ErrInvalid, "days and count are not below zero")
	}
	_, err = moneyOf("price", b.Price)
	return err
}

// ordered checks an order: every line names a position and has a tag of its own.
func (o *order) ordered(b job.Ordered) error {
	if err := need(b.Supplier, "supplier", "say with whom it is ordered"); err != nil {
		return err
	}
	if len(b.Lines) == 0 {
		return wrap(ErrInvalid, "order: no line was named; say what is ordered")
	}
	if b.Expected != "" {
		if _, err := dayOf(b.Expected); err != nil {
			return wrap(ErrInvalid, "expected: %v", err)
		}
	}
	b.Lines = slices.Clone(b.Lines)
	for i, l := range b.Lines {
		if err := o.position(l.Position); err != nil {
			return err
		}
		p, _ := o.desk.Box.Position(l.Position)
		if _, ok := p.Variant(l.Variant); l.Variant != "" && !ok {
			return wrap(ErrInvalid, "%s has no variant %q", p.Label(), l.Variant)
		}
		if _, err := moneyOf("price of "+p.Label(), l.Price); err != nil {
			return err
		}
		if l.Tag == "" {
			b.Lines[i].Tag = o.freeTag(l.Position)
		} else if err := o.unused(l.Tag); err != nil {
			return err
		}
		if slices.ContainsFunc(b.Lines[:i], func(x job.OrderLine) bool { return x.Tag == b.Lines[i].Tag }) {
			return wrap(ErrInvalid, "order: %s is named twice", b.Lines[i].Tag)
		}
		b.Lines[i].Count = cmp.Or(l.Count, p.Count, 1)
	}
	o.body = b
	return nil
}

// freeTag is the tag of a new piece for a position: "N-P21", in another unit
// than the first "N-P21-D".
func (o *order) freeTag(position string) string {
	tag := "N-" + position
	for n := 1; ; n++ {
		if o.unused(tag) == nil {
			return tag
		}
		if tag = fmt.Sprintf("N-%s-%s", position, o.desk.Opened.Letter); n > 1 {
			tag += strconv.Itoa(n)
		}
	}
}

func (o *order) unused(tag string) error {
	where, err := o.sh.store.FindTag(o.ctx, tag)
	if err != nil {
		return fmt.Errorf("tag %s: %w", tag, err)
	}
	if len(where) > 0 || o.desk.Pieces[tag] != nil {
		return wrap(ErrInvalid, "tag %s is already on a piece in %s; choose another", tag, strings.Join(where, ", "))
	}
	if r, ok := o.desk.Order(tag); ok && !r.Here() {
		return wrap(ErrInvalid, "%s is on order already, from %s", tag, r.Supplier)
	}
	return nil
}

// arrived is the goods-in check: what came is held against what was ordered and
// against the mates it must fit. A wrong part is a fact like any other; it is
// recorded, and does not become a piece of the unit.
func (o *order) arrived(b job.Arrived) error {
	r, ok := o.desk.Order(b.Tag)
	switch {
	case !ok:
		return wrap(ErrInvalid, "goods-in: %s was not ordered for %s; order it first, or add the piece", b.Tag, o.desk.Opened.Unit)
	case r.Here():
		return wrap(ErrInvalid, "goods-in: %s came in already (entry %d)", b.Tag, r.Arrived.Seq)
	}
	p, ok := o.desk.Box.Position(r.Position)
	if !ok {
		return wrap(ErrInvalid, "goods-in: %s has no %q", o.desk.Box.Name, r.Position)
	}
	c := check{desk: o.desk, pos: p, order: r, got: b.Values, si: map[string]float64{}}
	if err := c.read(); err != nil {
		return err
	}
	c.judge()
	b.SI, b.Good, b.Says = c.si, len(c.wrong) == 0, append(c.wrong, c.note...)
	at := o.by.At
	if at.IsZero() {
		at = o.sh.now()
	}
	if r.Return > 0 {
		b.Until = at.AddDate(0, 0, r.Return).Format(time.DateOnly)
	}
	b.Piece = nil
	if b.Good {
		b.Place = cmp.Or(b.Place, "shelf")
		b.Piece = &job.Piece{Tag: r.Tag, Name: p.Name, Position: p.ID, Variant: c.variant(), Count: r.Count, Origin: cmp.Or(r.Supplier, "new"), Price: r.Price, Marks: c.marks()}
		if w, ok := c.si["width"]; ok && p.Seat != nil {
			b.Piece.SI, b.Piece.Thick = w, b.Values["width"]
		}
	}
	o.body = b
	return nil
}

func (o *order) sentBack(b job.SentBack) error {
	r, ok := o.desk.Order(b.Tag)
	if !ok || r.Arrived == nil || r.Sent() {
		return wrap(ErrInvalid, "send back: %s is not here to be sent back", b.Tag)
	}
	if at, in := o.desk.In(b.Tag); in {
		return wrap(ErrInvalid, "send back: %s is fitted at %s; take it off first", b.Tag, at)
	}
	if b.Expected != "" {
		if _, err := dayOf(b.Expected); err != nil {
			return wrap(ErrInvalid, "expected: %v", err)
		}
	}
	if b.Why == "" {
		b.Why = strings.Join(r.Arrived.Is.Says, "; ")
	}
	o.body = b
	return nil
}

func (o *order) terms(b job.Terms) error {
	for _, f := range []struct{ what, text string }{{"hour", b.Hour}, {"consumables", b.Consumables}, {"contingency", b.Contingency}, {"margin", b.Margin}, {"hours", b.Hours}} {
		if f.text == "" {
			continue
		}
		if _, _, err := figureOf(f.text); err != nil {
			return wrap(ErrInvalid, "%s: %v", f.what, err)
		}
	}
	return nil
}

// check is one part being looked at as it came in.
type check struct {
	desk  *Desk
	pos   *gearbox.Position
	order *job.Order
	got   map[string]string
	si    map[string]float64
	wrong []string
	note  []string
}

// Sizes that are held against the gearbox file, with how far a right part may lie
// from it. The width of a rolling bearing is made 0 to 0.12 smaller and bores to a
// few hundredths (the normal class of ISO 492, from memory); what lies further
// off is another part.
var sizes = map[string]float64{"width": 0.15e-3, "bore": 0.05e-3, "od": 0.05e-3}

// read takes the values as they were typed.
func (c *check) read() error {
	mm, _ := unit.Find("mm", unit.KindLength)
	for k, v := range c.got {
		v = strings.TrimSpace(v)
		switch _, size := sizes[k]; {
		case v == "":
			delete(c.got, k)
		case size || k == "gap":
			q, err := unit.Parse(v, unit.KindLength, mm)
			if err != nil || q.SI <= 0 {
				return wrap(ErrInvalid, "%s: %q was read, a length such as 26.00 mm is expected", k, v)
			}
			c.si[k] = q.SI
		case k == "teeth":
			n, err := strconv.Atoi(v)
			if err != nil || n < 3 {
				return wrap(ErrInvalid, "teeth: %q was read, a count is expected", v)
			}
			c.si[k] = float64(n)
		}
	}
	return nil
}

// variant is what was ordered, or the only one that has what was seen.
func (c *check) variant() string {
	if c.order.Variant != "" || len(c.pos.Variants) == 0 {
		return c.order.Variant
	}
	for _, f := range c.desk.Box.Features {
		if is := c.got[f.Name]; is != "" {
			for _, v := range c.pos.Variants {
				if strings.EqualFold(c.pos.Feature(f.Name, gearbox.Built{Variants: map[string]string{c.pos.ID: v.Name}}), is) {
					return v.Name
				}
			}
		}
	}
	return ""
}

func (c *check) marks() map[string]string {
	out := map[string]string{}
	for k, v := range c.got {
		if _, size := sizes[k]; !size && k != "gap" && k != "teeth" && !slices.ContainsFunc(c.desk.Box.Features, func(f gearbox.Feature) bool { return f.Name == k }) {
			out[k] = v
		}
	}
	return out
}

func (c *check) judge() {
	as := c.desk.Built
	as.Variants = map[string]string{}
	for k, v := range c.desk.Built.Variants {
		as.Variants[k] = v
	}
	if v := c.variant(); v != "" {
		as.Variants[c.pos.ID] = v
	}
	c.sized(as)
	c.binds(as)
	c.formed(as)
	c.counted(as)
	c.gapped()
	c.ruled(as)
}

// sized holds what was measured against the gearbox file.
func (c *check) sized(as gearbox.Built) {
	for _, k := range []string{"width", "bore", "od"} {
		got, read := c.si[k]
		want, known := c.pos.Dimension(k, as)
		switch {
		case !read:
		case !known:
			c.note = append(c.note, fmt.Sprintf("the gearbox file has no %s for %s to hold it against", k, c.pos.ID))
		case math.Abs(got-want) > sizes[k]+0.5e-6:
			c.wrong = append(c.wrong, fmt.Sprintf("%s %s mm, wanted %s mm", k, mm(got), mm(want)))
		case math.Abs(got-want) > 5e-6:
			if on := c.countsIn(k); len(on) > 0 {
				c.note = append(c.note, fmt.Sprintf("%s is %s mm where the file has %s mm: %s counts on it", k, mm(got), mm(want), strings.Join(on, ", ")))
			}
		}
	}
}

func mm(si float64) string { return strconv.FormatFloat(si*1e3, 'f', 2, 64) }

// countsIn lists the settings whose chain has that dimension of the position.
func (c *check) countsIn(dim string) []string {
	var out []string
	for _, s := range c.desk.Box.Settings {
		for _, t := range s.Chain {
			if t.Position == c.pos.ID && t.Dim == dim {
				out = append(out, s.Name)
			}
		}
	}
	return out
}

// binds tells a part that must turn, or lie, on a sleeve and is as wide as it.
func (c *check) binds(as gearbox.Built) {
	got, read := c.si["width"]
	if !read || c.pos.Kind != "needle cage" {
		return
	}
	for _, on := range c.desk.Box.All() {
		if c.pos.Around != on.ID {
			continue
		}
		if w, ok := on.Dimension("width", as); ok && got > w-0.05e-3 {
			c.wrong = append(c.wrong, fmt.Sprintf("it would bind: %s is %s mm wide, and the cage on it %s mm", on.Label(), mm(w), mm(got)))
		}
	}
}

// formed holds the features that were seen against those of the variant ordered.
func (c *check) formed(as gearbox.Built) {
	for _, f := range c.desk.Box.Features {
		is := strings.TrimSpace(c.got[f.Name])
		want := c.pos.Feature(f.Name, as)
		if is != "" && want != "" && !strings.EqualFold(is, want) {
			c.wrong = append(c.wrong, fmt.Sprintf("%s %s, wanted %s", f.Name, is, want))
		}
	}
	if h, want := c.got["hand"], c.pos.Feature("hand", as); h != "" && want != "" && !strings.EqualFold(h, want) {
		c.wrong = append(c.wrong, fmt.Sprintf("hand %s, wanted %s", h, want))
	}
}

// counted holds the teeth against the file, and against the mate at the centre
// distance.
func (c *check) counted(as gearbox.Built) {
	n, read := c.si["teeth"]
	if !read {
		return
	}
	if want, ok := c.pos.Dimension("teeth", as); ok && n != want {
		c.wrong = append(c.wrong, fmt.Sprintf("%.0f teeth, wanted %.0f", n, want))
	}
	for _, g := range c.desk.Box.Meshes {
		mate := g.Driven
		if g.Driven == c.pos.ID {
			mate = g.Driver
		} else if g.Driver != c.pos.ID {
			continue
		}
		q, ok := c.desk.Box.Position(mate)
		helix, _ := g.Helix.SI(as)
		centres, ok2 := g.Centre.SI(as)
		if !ok || !ok2 || g.Module <= 0 || g.Idler != "" {
			continue
		}
		if z, ok := q.Dimension("teeth", as); ok {
			if _, says := choose.Teeth(int(n), int(z), g.Module, unit.Angle(helix), unit.Length(centres)); says != "" {
				c.wrong = append(c.wrong, "with "+q.Label()+": "+says)
			}
		}
	}
}

// gapped holds the gap of a ring on this gear against its limits as new.
func (c *check) gapped() {
	got, read := c.si["gap"]
	if !read {
		return
	}
	for _, m := range c.pos.Checks {
		if !strings.HasSuffix(m.Name, "gap") || m.Limit == nil {
			continue
		}
		lo, hi, hasLo, hasHi := m.Limit.New.At(c.desk.Built)
		if !hasLo && !hasHi {
			lo, hi, hasLo, hasHi = m.Limit.Band.At(c.desk.Built)
		}
		if hasLo && got < lo-0.5e-6 || hasHi && got > hi+0.5e-6 {
			c.wrong = append(c.wrong, fmt.Sprintf("%s %s mm on this gear, as new %s to %s mm (%s)", m.Name, mm(got), mm(lo), mm(hi), m.Limit.From))
		}
	}
}

// ruled asks the rules of the gearbox file about the unit with this part in, and
// tells those that it would break and that hold without it.
func (c *check) ruled(as gearbox.Built) {
	before := c.desk.Parts()
	after := gearbox.Parts{Series: before.Series, At: map[string]gearbox.Part{}}
	for id, p := range before.At {
		after.At[id] = p
	}
	part := gearbox.Part{Variant: as.Variants[c.pos.ID], Marks: c.marks(), Dims: map[string]float64{}, Renewed: true}
	for k, v := range c.si {
		part.Dims[k] = v
	}
	after.At[c.pos.ID] = part
	for _, r := range c.desk.Box.Rules {
		b, broken := c.desk.Box.Judge(r, after)
		was, had := c.desk.Box.Judge(r, before)
		if broken && !r.Soft && (!had || was.Says != b.Says) {
			c.wrong = append(c.wrong, b.Says)
		}
	}
}

// ToOrder is a part that is decided to be new and is neither here nor on order.
type ToOrder struct {
	Book, Unit, Letter, Colour string
	Position, Label, Variant   string
	Count                      int
	Supplier                   string // of the cheapest offer, "" where nobody offers it
	Price                      string
	Days, Return               int
}

// Coming is a line that was ordered.
type Coming struct {
	Book, Unit, Letter, Colour string
	Label                      string
	*job.Order
	Is   string // "on its way", "late", "here", "WRONG: send it back until …", "sent back"
	Late bool
}

// Orders is what is to be ordered and what is on its way, by supplier.
type Orders struct {
	To     []ToOrder
	Coming []Coming
}

// Orders lists the parts that all jobs in hand need and wait for, by supplier.
func (sh *Shop) Orders(ctx context.Context) (Orders, error) {
	rows, err := sh.Jobs(ctx)
	if err != nil {
		return Orders{}, err
	}
	stores, err := sh.Open(ctx, StoresBook)
	if err != nil {
		return Orders{}, err
	}
	var out Orders
	for _, r := range rows {
		if r.Donor || r.Arc == "handed over" {
			continue
		}
		d, err := sh.Open(ctx, r.Book)
		if err != nil {
			return Orders{}, err
		}
		out.add(d, stores, sh.now())
	}
	slices.SortStableFunc(out.To, func(a, b ToOrder) int {
		if (a.Supplier == "") != (b.Supplier == "") {
			return strings.Compare(b.Supplier, a.Supplier)
		}
		return strings.Compare(a.Supplier, b.Supplier)
	})
	slices.SortStableFunc(out.Coming, func(a, b Coming) int {
		return cmp.Or(strings.Compare(a.Supplier, b.Supplier), strings.Compare(a.Expected, b.Expected))
	})
	return out, nil
}

func (out *Orders) add(d, stores *Desk, now time.Time) {
	who := func() (string, string, string, string) {
		return d.Book, d.Opened.Unit, d.Opened.Letter, d.Opened.Colour
	}
	if d.Box == nil {
		return
	}
	open := map[string]bool{} // positions with an order that may still fill them
	for _, o := range d.Orders {
		c := Coming{Order: o, Label: o.Position}
		c.Book, c.Unit, c.Letter, c.Colour = who()
		if p, ok := d.Box.Position(o.Position); ok {
			c.Label = p.Label()
		}
		c.stands(now)
		open[o.Position] = true
		out.Coming = append(out.Coming, c)
	}
	for _, p := range d.Box.All() {
		sp := d.Spots[p.ID]
		if sp == nil || sp.Decided == nil || sp.Decided.Is.Choice != "new" || open[p.ID] || d.hasNew(p.ID, sp.Decided.Is.Piece, stores) {
			continue
		}
		t := ToOrder{Position: p.ID, Label: p.Label(), Variant: sp.Decided.Is.Variant, Count: max(1, p.Count)}
		t.Book, t.Unit, t.Letter, t.Colour = who()
		if t.Variant == "" {
			t.Variant = d.Built.Variants[p.ID]
		}
		if o, ok := cheapest(stores, d.Opened.Type, p.ID, t.Variant); ok {
			t.Supplier, t.Price, t.Days, t.Return = o.Supplier, o.Price, o.Days, o.Return
		}
		out.To = append(out.To, t)
	}
}

func (c *Coming) stands(now time.Time) {
	day, err := dayOf(c.Expected)
	late := err == nil && day.Before(now.Truncate(24*time.Hour))
	switch {
	case c.Wrong():
		c.Is = "WRONG"
	case c.Here():
		c.Is = "here"
	case c.Sent():
		c.Is = "sent back, another is to come"
	default:
		c.Is = "on its way"
	}
	c.Late = late && !c.Here() && !c.Wrong()
}

// hasNew reports whether the new piece for a position is here, or in already.
func (d *Desk) hasNew(position, tag string, stores *Desk) bool {
	if tag != "" && (d.Pieces[tag] != nil || stores.Pieces[tag] != nil) {
		return true
	}
	own := job.Tag(d.Opened.Letter, position)
	for _, t := range d.At[position] {
		if t != own {
			return true
		}
	}
	for t, p := range d.Pieces {
		if p.Position == position && t != own && p.Origin != d.Opened.Unit && p.Stock == "" {
			return true
		}
	}
	return false
}

// cheapest is the cheapest offer of a part; of equal ones the soonest. One
// without a price comes last.
func cheapest(stores *Desk, kind, position, variant string) (job.Offered, bool) {
	var best job.Offered
	found := false
	price := func(o job.Offered) float64 {
		v, _, err := figureOf(o.Price)
		if err != nil {
			return math.Inf(1)
		}
		return v
	}
	for _, o := range stores.Offers {
		if o.Type != kind || o.Position != position || o.Variant != "" && variant != "" && o.Variant != variant {
			continue
		}
		if !found || price(o) < price(best) || price(o) == price(best) && o.Days < best.Days {
			best, found = o, true
		}
	}
	return best, found
}

// Ordering is an order as it is asked for: what a book needs of one supplier.
type Ordering struct {
	Supplier, Reference, Expected string
	Positions                     []string // of the list of what is to be ordered; none = all that this supplier offers
}

// Place orders what a unit needs, as the list of orders has it.
func (sh *Shop) Place(ctx context.Context, by By, book string, ask Ordering) (*Desk, error) {
	all, err := sh.Orders(ctx)
	if err != nil {
		return nil, err
	}
	b := job.Ordered{Supplier: ask.Supplier, Reference: ask.Reference, Expected: ask.Expected}
	days := 0
	for _, t := range all.To {
		named := slices.Contains(ask.Positions, t.Position)
		if t.Book != book || !named && (len(ask.Positions) > 0 || t.Supplier != ask.Supplier) {
			continue
		}
		l := job.OrderLine{Position: t.Position, Variant: t.Variant, Count: t.Count}
		if t.Supplier == ask.Supplier {
			l.Price = t.Price
			days, b.Return = max(days, t.Days), max(b.Return, t.Return)
		}
		b.Lines = append(b.Lines, l)
	}
	if b.Expected == "" && days > 0 {
		b.Expected = sh.now().AddDate(0, 0, days).Format(time.DateOnly)
	}
	return sh.Record(ctx, by, book, b)
}
