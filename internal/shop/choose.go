package shop

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"
	"time"

	"endfloat/internal/choose"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// Wish is a unit to be built and what its owner asks for.
type Wish struct {
	Book     string            `json:"book"`
	Rank     int               `json:"rank,omitempty"`     // 0 is served first; units of one rank are made best together
	Series   bool              `json:"series,omitempty"`   // keep to its series
	Original bool              `json:"original,omitempty"` // keep its own parts wherever they are fit
	Decided  bool              `json:"decided,omitempty"`  // what its book decides stands
	Soonest  bool              `json:"soonest,omitempty"`  // as early as its parts can be here
	Torque   string            `json:"torque,omitempty"`   // of the engine it must carry: 180 N·m
	By       string            `json:"by,omitempty"`       // day by which every part must be here
	Budget   string            `json:"budget,omitempty"`   // the most that parts and the work they drag along may cost
	Want     map[string]string `json:"want,omitempty"`     // position → tag of a piece, or a variant
}

// Asking is what is to be chosen: units, the donors beside them, and money.
// Without units all jobs in hand are meant, and what their books decide stands.
type Asking struct {
	Units    []Wish `json:"units,omitempty"`
	Budget   string `json:"budget,omitempty"`   // the most that all together may cost
	Cheapest bool   `json:"cheapest,omitempty"` // money alone counts; doubt about worn or foreign parts does not
	Others   int    `json:"others,omitempty"`   // next best answers wanted
}

// Part is what a choice puts at one position.
type Part struct {
	Unit     string `json:"unit"`
	Book     string `json:"-"`
	Position string `json:"position"`
	Label    string `json:"label"`
	Tag      string `json:"tag,omitempty"`
	Variant  string `json:"variant,omitempty"`
	Is       string `json:"is"`
	Own      bool   `json:"own,omitempty"`
	From     string `json:"from,omitempty"`
	Price    string `json:"price,omitempty"`
	Days     int    `json:"days,omitempty"`
	Changes  bool   `json:"changes,omitempty"` // is not what stands there or is decided
	Why      string `json:"why,omitempty"`     // it and not the unit's own
}

// Build is one answer: what goes where, what it costs and drags along.
type Build struct {
	Price   string            `json:"price"`
	Doubt   string            `json:"doubt"`
	Parts   []Part            `json:"parts"`             // that are not the unit's own, one-way parts last
	Passes  []string          `json:"passes,omitempty"`  // rules passed that must have a reason
	Proves  []string          `json:"proves,omitempty"`  // settings to prove again
	Off     map[string]int    `json:"off,omitempty"`     // unit → parts that come off for it
	Costs   map[string]string `json:"costs"`             // unit → price
	Work    string            `json:"work"`              // of the price, what is not for parts
	Hours   float64           `json:"hours,omitempty"`   // of that work, where an hour has a price
	Ready   map[string]int    `json:"ready,omitempty"`   // unit → days until its last part is here
	Instead []string          `json:"instead,omitempty"` // what it gives up against the best
	More    string            `json:"more,omitempty"`    // how much it costs above the best
	Asks    []string          `json:"asks,omitempty"`    // what must be looked at before it is sure
	Seqs    map[string]int    `json:"on"`                // book → entry it was made on
	choice  []int
}

// Choice is the answer to an Asking: the best and the next, or what clashes.
type Choice struct {
	Asking Asking   `json:"asking"`
	Hour   string   `json:"hour,omitempty"` // what an hour counts, "" where nobody has said
	Best   *Build   `json:"best,omitempty"`
	Others []Build  `json:"others,omitempty"`
	Clash  string   `json:"clash,omitempty"`  // one paragraph
	Breaks []string `json:"breaks,omitempty"` // what the wishes for pieces break, as things stand
	Ways   []WayOut `json:"ways,omitempty"`
	Proven bool     `json:"proven"`
	model  *choose.Model
	desks  []*Desk
}

// WayOut is a wish given up, and what is then best.
type WayOut struct {
	GivesUp string   `json:"gives_up"`
	Takes   []string `json:"takes,omitempty"`
	Price   string   `json:"price"`
	Keeps   string   `json:"keeps,omitempty"` // what must stay for it, as a move: linnet.P08=P-P08
}

// What work and doubt are worth where nobody has said: hours to change a part,
// and doubt as hours of work. Common practice, no source; the price of an hour
// is the workshop's own, and without one work costs nothing.
const (
	byHand, byPress, fasten, proveAgain    = 0.1, 0.5, 0.2, 1.5
	wornHours, closeHours, unreadHours     = 1.25, 1.25, 0.3
	foreignHours, passHours, unpricedHours = 0.2, 0.25, 0.02
	uncounted                              = choose.Money(4000) // an hour of doubt where an hour has no price
)

// Choose answers an Asking, by an exact search over all positions of all units.
func (sh *Shop) Choose(ctx context.Context, ask Asking) (*Choice, error) {
	c, err := sh.model(ctx, ask)
	if err != nil {
		return nil, err
	}
	a, err := c.model.Solve()
	if err != nil {
		return nil, wrap(ErrInvalid, "%v", err)
	}
	c.Proven = a.Proven
	if a.Clash != nil {
		c.Clash = a.Clash.Text()
		c.breaks(a.Clash.Says)
		ways, err := c.model.WaysOut(a.Clash)
		if err != nil {
			return nil, wrap(ErrInvalid, "%v", err)
		}
		for _, w := range ways {
			c.Ways = append(c.Ways, WayOut{GivesUp: w.GivesUp, Takes: c.changes(w.Best.Choice, c.wanted(), nil), Price: w.Best.Cost.Price.String()})
		}
		return c, nil
	}
	c.Best = c.build(a)
	others, err := c.model.Alternatives(a, ask.Others)
	if err != nil {
		return nil, wrap(ErrInvalid, "%v", err)
	}
	for _, o := range others {
		b := c.build(o)
		b.Instead = o.Instead
		b.More = (o.Cost.Sum() - a.Cost.Sum()).String()
		c.Others = append(c.Others, *b)
	}
	return c, nil
}

// breaks tells what else the wishes for pieces would break, beside the clash.
func (c *Choice) breaks(said []string) {
	before := c.model.Current()
	then := slices.Clone(before)
	for u, w := range c.Asking.Units {
		for id, what := range w.Want {
			_ = c.model.Move(then, c.desks[u].Opened.Unit, id, what) // was wanted, so it can be moved
		}
	}
	was := c.model.Breaks(before)
	for _, s := range c.model.Breaks(then) {
		if !slices.Contains(was, s) && !slices.Contains(said, s) {
			c.Breaks = append(c.Breaks, s)
		}
	}
}

// InHand are the books of the units in hand that can share parts with the one
// named: those of its type. Without one, those of the type with most of them.
func (sh *Shop) InHand(ctx context.Context, book string) ([]string, error) {
	rows, err := sh.Jobs(ctx)
	if err != nil {
		return nil, err
	}
	var most []string
	by := map[string][]string{} // type → books
	for _, r := range rows {
		if r.Donor || r.Arc == "handed over" || r.Type == "" {
			continue
		}
		d, err := sh.Open(ctx, r.Book)
		if err != nil {
			return nil, err
		}
		if d.Box == nil {
			continue
		}
		if by[r.Type] = append(by[r.Type], r.Book); len(by[r.Type]) > len(most) {
			most = by[r.Type]
		}
	}
	for _, books := range by {
		if slices.Contains(books, book) {
			return books, nil
		}
	}
	return most, nil
}

// model makes the problem of an Asking.
func (sh *Shop) model(ctx context.Context, ask Asking) (*Choice, error) {
	rows, err := sh.Jobs(ctx)
	if err != nil {
		return nil, err
	}
	stores, err := sh.Open(ctx, StoresBook)
	if err != nil {
		return nil, err
	}
	c := &Choice{Asking: ask}
	var in choose.Input
	if len(ask.Units) == 0 {
		books, err := sh.InHand(ctx, "")
		if err != nil {
			return nil, err
		}
		for _, b := range books {
			c.Asking.Units = append(c.Asking.Units, Wish{Book: b, Decided: true})
		}
	}
	if len(c.Asking.Units) == 0 {
		return nil, wrap(ErrInvalid, "no unit with a gearbox file is in hand, so there is nothing to choose for; take in a unit first")
	}
	taken := map[string]bool{}
	for _, w := range c.Asking.Units {
		d, err := sh.Open(ctx, w.Book)
		if err != nil {
			return nil, err
		}
		if taken[d.Book] {
			return nil, wrap(ErrInvalid, "%s is named twice", d.Opened.Unit)
		}
		taken[d.Book] = true
		c.desks = append(c.desks, d)
		j, err := sh.wish(d, w)
		if err != nil {
			return nil, err
		}
		in.Units = append(in.Units, j)
	}
	for _, r := range rows {
		if r.Donor && !taken[r.Book] && r.Type == c.desks[0].Opened.Type {
			d, err := sh.Open(ctx, r.Book)
			if err != nil {
				return nil, err
			}
			in.Donors = append(in.Donors, d.State)
		}
	}
	in.Labour = c.labour(stores, ask.Cheapest)
	in.Stock = sh.held(c.desks, stores)
	in.Offers = offersFor(stores, c.desks[0].Opened.Type)
	if in.Budget, err = moneyOf("budget", ask.Budget); err != nil {
		return nil, err
	}
	if err := sh.soonest(&in, c.Asking.Units); err != nil {
		return nil, err
	}
	return c, c.make(in)
}

// make builds the model and asks for what is wanted.
func (c *Choice) make(in choose.Input) (err error) {
	if c.model, err = choose.From(in); err != nil {
		return wrap(ErrInvalid, "%v", err)
	}
	for u, w := range c.Asking.Units {
		for _, id := range slices.Sorted(maps.Keys(w.Want)) {
			if err := c.model.Want(c.desks[u].Opened.Unit, id, w.Want[id]); err != nil {
				return wrap(ErrInvalid, "%v", err)
			}
		}
	}
	return nil
}

func (sh *Shop) wish(d *Desk, w Wish) (choose.Job, error) {
	j := choose.Job{State: d.State, Rank: w.Rank, Series: w.Series, Original: w.Original, Decided: w.Decided}
	var err error
	if j.Budget, err = moneyOf("budget of "+d.Opened.Unit, w.Budget); err != nil {
		return j, err
	}
	if w.By != "" {
		day, err := dayOf(w.By)
		if err != nil {
			return j, wrap(ErrInvalid, "day of %s: %v", d.Opened.Unit, err)
		}
		if j.Days = int(day.Sub(sh.now().Truncate(24*time.Hour)).Hours() / 24); j.Days < 1 {
			return j, wrap(ErrInvalid, "day of %s: %s is not ahead", d.Opened.Unit, w.By)
		}
	}
	if w.Torque != "" {
		if j.Carries, err = carries(d, w.Torque); err != nil {
			return j, err
		}
	}
	return j, nil
}

// labour is what work and doubt count, with the hour at what the workshop says.
func (c *Choice) labour(stores *Desk, cheapest bool) choose.Labour {
	hour := choose.Money(0)
	for _, t := range []*job.Terms{c.desks[0].Terms, stores.Terms} {
		if t != nil && t.Hour != "" && hour == 0 {
			hour, _ = moneyOf("hour", t.Hour) // was read when it was written
			c.Hour = t.Hour
		}
	}
	doubt := func(hours float64) choose.Money {
		if cheapest {
			return 0
		}
		return choose.Money(hours * float64(cmp.Or(hour, uncounted)))
	}
	return choose.Labour{Hour: hour, Hand: byHand, Press: byPress, Fasten: fasten, Setting: proveAgain, Worn: doubt(wornHours), Close: doubt(closeHours),
		Unread: doubt(unreadHours), Move: doubt(foreignHours), Pass: doubt(passHours), Unpriced: choose.Money(unpricedHours * float64(cmp.Or(hour, uncounted)))}
}

// held is what lies on the shelf or is on its way.
func (sh *Shop) held(desks []*Desk, stores *Desk) []choose.Held {
	var out []choose.Held
	for _, t := range slices.Sorted(maps.Keys(stores.Pieces)) {
		if p := stores.Pieces[t]; p.Position != "" || p.Stock != "" {
			out = append(out, choose.Held{Piece: *p, Where: "the shelf"})
		}
	}
	for _, d := range desks {
		for _, o := range d.Orders {
			if o.Here() || d.Pieces[o.Tag] != nil {
				continue
			}
			days := 0
			if day, err := dayOf(o.Expected); err == nil {
				days = max(1, int(day.Sub(sh.now().Truncate(24*time.Hour)).Hours()/24))
			}
			out = append(out, choose.Held{Piece: job.Piece{Tag: o.Tag, Position: o.Position, Variant: o.Variant, Count: o.Count}, Days: days, Where: "the order to " + o.Supplier})
		}
	}
	return out
}

func offersFor(stores *Desk, kind string) []choose.Offer {
	var out []choose.Offer
	for _, o := range stores.Offers {
		if o.Type != kind {
			continue
		}
		price, _ := moneyOf("price", o.Price) // was read when it was written
		out = append(out, choose.Offer{Position: o.Position, Variant: o.Variant, Marks: o.Marks, Price: price, Days: o.Days, Count: o.Count, From: o.Supplier})
	}
	return out
}

// soonest sets, for each unit that is to be ready as early as can be, the fewest
// days in which it can be: the waits that offers and orders have are tried, the
// shortest first.
func (sh *Shop) soonest(in *choose.Input, ws []Wish) error {
	waits := []int{1}
	for _, o := range in.Offers {
		waits = append(waits, o.Days)
	}
	for _, h := range in.Stock {
		waits = append(waits, h.Days)
	}
	slices.Sort(waits)
	waits = slices.DeleteFunc(slices.Compact(waits), func(n int) bool { return n < 1 })
	for u, w := range ws {
		if !w.Soonest {
			continue
		}
		for _, days := range waits {
			in.Units[u].Days = days
			m, err := choose.From(*in)
			if err != nil {
				return wrap(ErrInvalid, "%v", err)
			}
			if a, err := m.Solve(); err == nil && a.Choice != nil {
				break
			}
			in.Units[u].Days = 0
		}
	}
	return nil
}

// build tells an answer in words.
func (c *Choice) build(a choose.Answer) *Build {
	b := &Build{Price: a.Cost.Price.String(), Doubt: a.Cost.Doubt.String(), Off: map[string]int{}, Costs: map[string]string{}, Seqs: map[string]int{}, choice: a.Choice}
	for u, d := range c.desks {
		b.Seqs[d.Book] = d.Seq
		b.Costs[d.Opened.Unit] = a.Units[u].Price.String()
	}
	var once []Part
	for _, ch := range c.model.Build(a) {
		u := slices.IndexFunc(c.desks, func(d *Desk) bool { return d.Opened.Unit == ch.Unit })
		p := c.part(u, ch.Position, a.Choice)
		switch {
		case ch.Own:
		case ch.Position.Once:
			once = append(once, p)
		default:
			b.Parts = append(b.Parts, p)
		}
	}
	b.Parts = append(b.Parts, once...)
	for _, s := range c.model.Drags(a) {
		unit, rest, _ := strings.Cut(s, ": ")
		switch {
		case strings.HasSuffix(s, " comes off"):
			b.Off[unit]++
		case strings.HasSuffix(s, "is to be proven again"):
			b.Proves = append(b.Proves, strings.TrimSuffix(s, " is to be proven again"))
		default:
			b.Passes = append(b.Passes, unit+": "+rest)
		}
	}
	b.Asks = c.model.Asks(a.Choice)
	c.workload(b, a)
	return b
}

func (c *Choice) part(u int, p *gearbox.Position, choice []int) Part {
	d := c.desks[u]
	is, _ := c.model.At(choice, u, p.ID)
	out := Part{Unit: d.Opened.Unit, Book: d.Book, Position: p.ID, Label: p.Label(), Tag: is.Tag, Variant: is.Variant, Is: is.Name, Own: is.Own, From: is.Origin, Days: is.Days}
	if is.Price > 0 {
		out.Price = is.Price.String()
	}
	now, _ := c.model.At(c.model.Current(), u, p.ID)
	out.Changes = now.Name != is.Name
	out.Why = c.why(u, p, choice)
	return out
}

// Accept records what a choice decides in the books of its units, all in one
// transaction. on says which entry of each book the choice was seen on: where a
// book has moved on since, or the answer is another one now, nothing is written.
// which is 0 for the best and n for the nth of the others.
func (sh *Shop) Accept(ctx context.Context, by By, ask Asking, on map[string]int, which int) ([]string, error) {
	ask.Others = which
	c, err := sh.Choose(ctx, ask)
	if err != nil {
		return nil, err
	}
	switch {
	case c.Best == nil:
		return nil, wrap(ErrInvalid, "there is nothing to accept: %s", c.Clash)
	case which < 0 || which > len(c.Others):
		return nil, wrap(ErrInvalid, "there is no answer %d", which)
	}
	b := c.Best
	if which > 0 {
		b = &c.Others[which-1]
	}
	for _, d := range c.desks {
		if err := seen(d, on); err != nil {
			return nil, err
		}
	}
	o := &order{sh: sh, ctx: ctx, books: map[string]*Desk{}, by: by}
	for _, d := range c.desks {
		o.books[d.Book] = d
	}
	var says []string
	for u, d := range c.desks {
		for _, p := range d.Box.All() {
			if dec, ok := c.decision(u, p, b.choice); ok {
				o.also = append(o.also, also{d.Book, dec})
				says = append(says, saysDecided(d, p.Label(), dec))
			}
		}
	}
	if len(o.also) == 0 {
		return nil, wrap(ErrInvalid, "all of this is decided already")
	}
	return says, o.together()
}

// decision is what an answer decides at a position, false where the book says so
// already or nothing has been touched.
func (c *Choice) decision(u int, p *gearbox.Position, choice []int) (job.Decided, bool) {
	is, ok := c.model.At(choice, u, p.ID)
	d := c.desks[u]
	sp := d.Spots[p.ID]
	if !ok {
		return job.Decided{}, false
	}
	dec := job.Decided{Position: p.ID, Variant: is.Variant, Why: "chosen over all units: " + is.Name}
	switch {
	case is.Own && (sp == nil || sp.Off == nil && sp.Decided == nil):
		return dec, false // never touched
	case is.Own:
		dec.Choice, dec.Why = "reuse", "chosen over all units"
	case is.Tag != "" && c.foreign(u, is):
		dec.Choice, dec.Piece = "donor", is.Tag
	default:
		dec.Choice, dec.Piece = "new", is.Tag
	}
	if sp != nil && sp.Decided != nil {
		was := sp.Decided.Is
		same := was.Choice == dec.Choice || was.Choice == "repair" && dec.Choice == "reuse"
		if same && (was.Piece == dec.Piece || dec.Piece == "" || was.Piece == "") && (was.Variant == "" || was.Variant == dec.Variant) {
			return dec, false
		}
	}
	if now := d.At[p.ID]; sp != nil && len(now) == 1 && now[0] == is.Tag && sp.Decided != nil && sp.Decided.Is.Piece == is.Tag {
		return dec, false
	}
	return dec, true
}

// foreign reports a piece that was found in another unit.
func (c *Choice) foreign(u int, is choose.Could) bool {
	for _, d := range c.desks {
		if pc := d.Pieces[is.Tag]; pc != nil && (pc.Origin == "" || pc.Origin == "new" || pc.Origin == "made here") {
			return false
		}
		if pc := d.Pieces[is.Tag]; pc != nil {
			for _, o := range d.Orders {
				if o.Tag == is.Tag {
					return false
				}
			}
			return pc.Origin != c.desks[u].Opened.Unit
		}
	}
	return is.Origin != "the shelf" && !strings.HasPrefix(is.Origin, "the order to ")
}
