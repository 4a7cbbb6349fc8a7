package choose

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// Input is what a choice over several units rests on: the books of the units to
// be built and of the donors, all of one gearbox type, what lies on the shelf
// or is on order, and what can be bought.
type Input struct {
	Units  []Job
	Donors []*job.State
	Stock  []Held
	Offers []Offer
	Labour Labour
	Budget Money // the most that all units together may cost; 0 = no matter
	Limit  int   // most nodes of a search, 0 = DefaultLimit
}

// Job is a unit to be built, with its owner's wishes.
type Job struct {
	State    *job.State
	Rank     int                                   // 0 is served first; units of one rank are made best together
	Series   bool                                  // every part is of the variant of its series
	Carries  func(position, variant string) string // why a variant does not carry the torque asked for, "" when it does; nil = no matter
	Original bool                                  // its own parts stay wherever they are fit
	Days     int                                   // until every part must be there; 0 = no matter
	Budget   Money                                 // the most that parts and the work they drag along may cost; 0 = no matter
	Decided  bool                                  // what its book decides about parts stands
}

// Held is a piece on the shelf, or on order and still to come.
type Held struct {
	Piece job.Piece
	Price Money // still to be paid
	Days  int   // until it is here
	Where string
}

// Offer is a new part that can be bought. A variant "" is not known: no rule
// speaks of it.
type Offer struct {
	Position, Variant string
	Marks             map[string]string
	Price             Money
	Days              int
	Count             int // how many can be had, 0 = as many as wanted
	From              string
}

// Labour is what work and doubt are worth. Nothing is assumed: what is 0 costs
// nothing.
type Labour struct {
	Hour     Money   // of work
	Hand     float64 // hours to take off and put back a part that comes by hand
	Press    float64 // one that needs press or heat
	Fasten   float64 // a fastening with its torque and lock
	Setting  float64 // to prove a setting again
	Move     Money   // doubt of a part that comes from another unit
	Worn     Money   // doubt of a part that is in, but to be renewed next time
	Close    Money   // of one whose reading is too close to call
	Unread   Money   // of one with checks of which none was read
	Pass     Money   // of passing a soft rule
	Unpriced Money   // of a one-way part for which there is no offer
}

// Model is a Problem with what its slots and options stand for: first the
// positions of the units, then what must come off to reach them.
type Model struct {
	Problem
	in    Input
	at    map[place]int
	parts [][]candidate // by slot and option
	box   *gearbox.Box
	seen  map[string]condition // tag → what readings say of it
	lots  map[string]int       // tag, or offer → lot
	facts map[string][]string  // tag → why it may not be used, in words
}

type place struct {
	unit     int
	position string
}

// candidate is what could go into a slot.
type candidate struct {
	tag    string
	part   gearbox.Part
	origin string // "own", a unit, shelf, or a supplier
	price  Money
	days   int
	lot    string // what it draws on, "" = without end
	count  int    // of that lot
	pieces int    // how many it is, 0 = not known
	used   bool   // has run, so that a one-way place refuses it
	doubt  Money
}

// From makes a problem of books, stock and offers.
func From(in Input) (*Model, error) {
	m := &Model{in: in, at: map[place]int{}, lots: map[string]int{}, facts: map[string][]string{}}
	m.Limit = in.Limit
	if len(in.Units) == 0 {
		return nil, fmt.Errorf("there is no unit to be built")
	}
	for _, s := range m.states() {
		switch {
		case s.Box == nil:
			return nil, fmt.Errorf("%s has no gearbox file, so nothing says what fits", s.Opened.Unit)
		case m.box == nil:
			m.box = s.Box
		case m.box.Name != s.Box.Name:
			return nil, fmt.Errorf("%s is a %s and cannot share parts with a %s", s.Opened.Unit, s.Box.Name, m.box.Name)
		}
	}
	m.seen = conditions(m.states())
	for u, j := range in.Units {
		m.Units = append(m.Units, Unit{Name: j.State.Opened.Unit, Rank: j.Rank})
		for _, p := range j.State.Box.All() {
			// Packs are chosen to measure, from their own drawer; of what one unit had and
			// the gearbox file does not know there is nothing to choose.
			if p.Seat == nil && !p.Found {
				m.slot(u, p)
			}
		}
	}
	for u := range in.Units {
		m.rules(u)
		m.meshes(u)
		m.chains(u)
		m.wishes(u)
	}
	for u := range in.Units {
		m.work(u)
	}
	m.stripDonors()
	if in.Budget > 0 {
		m.Budgets = append(m.Budgets, Budget{-1, in.Budget, fmt.Sprintf("all together may cost no more than %s", in.Budget)})
	}
	m.kinds()
	return m, m.Check()
}

// states are all books: units, then donors.
func (m *Model) states() []*job.State {
	var out []*job.State
	for _, j := range m.in.Units {
		out = append(out, j.State)
	}
	return append(out, m.in.Donors...)
}

// slot lists what could go to a position of a unit, with the facts against it.
func (m *Model) slot(u int, p *gearbox.Position) {
	s := Slot{Unit: u, Name: m.Units[u].Name + " " + p.Label()}
	var parts []candidate
	for _, c := range m.candidates(u, p) {
		s.Options = append(s.Options, Option{Name: c.name(), Lot: m.lot(c), Cost: Cost{c.price, c.doubt}})
		parts = append(parts, c)
	}
	at := len(m.Slots)
	m.at[place{u, p.ID}] = at
	m.Slots = append(m.Slots, s)
	m.parts = append(m.parts, parts)
	for i, c := range parts {
		for _, why := range m.against(p, c) {
			m.forbid("fact "+c.tag+why, why, at, func(o int) bool { return o == i })
		}
	}
}

// forbid adds a rule against options of a slot.
func (m *Model) forbid(group, says string, slot int, bad func(o int) bool) {
	col, any := Column{slot, make([]int64, len(m.Slots[slot].Options))}, false
	for o := range col.Values {
		if col.Values[o] = 1; bad(o) {
			col.Values[o], any = 0, true
		}
	}
	if any {
		m.Rules = append(m.Rules, Rule{Group: group, Says: says, Of: []Column{col}, Lo: 1, Hi: NoHi})
	}
}

// lot is the lot a candidate draws on, 0 when there is no end of it.
func (m *Model) lot(c candidate) int {
	if c.lot == "" {
		return 0
	}
	if n, ok := m.lots[c.lot]; ok {
		return n
	}
	m.Lots = append(m.Lots, Lot{Name: c.lot, Count: max(1, c.count)})
	m.lots[c.lot] = len(m.Lots)
	return len(m.Lots)
}

// candidates are the pieces of all books for the position, then the shelf, then
// what can be bought.
func (m *Model) candidates(u int, p *gearbox.Position) []candidate {
	var out []candidate
	for i, s := range m.states() {
		out = append(out, m.pieces(s, p, i == u)...)
	}
	for _, h := range m.in.Stock {
		if h.Piece.Position != p.ID || h.Piece.Stock != "" {
			continue
		}
		out = append(out, candidate{tag: h.Piece.Tag, origin: cmpOr(h.Where, "shelf"), price: h.Price, days: h.Days, lot: h.Piece.Tag, count: 1, pieces: h.Piece.Count,
			part: gearbox.Part{Variant: h.Piece.Variant, Marks: h.Piece.Marks, Dims: m.seen[h.Piece.Tag].dims, Renewed: true}, doubt: m.doubt(h.Piece.Tag, p, false)})
	}
	for i, o := range m.in.Offers {
		if o.Position != p.ID {
			continue
		}
		c := candidate{origin: cmpOr(o.From, "new"), price: o.Price, days: o.Days, part: gearbox.Part{Variant: o.Variant, Marks: o.Marks, Renewed: true}}
		if o.Count > 0 {
			c.lot, c.count = fmt.Sprintf("new %s, offer %d", strings.TrimSpace(p.Label()+" "+o.Variant), i+1), o.Count
		}
		out = append(out, c)
	}
	if p.Once {
		out = append(out, m.unpriced(p, out)...)
	}
	return out
}

func cmpOr(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// pieces are those of one book that belong at the position, in order of tag.
func (m *Model) pieces(s *job.State, p *gearbox.Position, own bool) []candidate {
	var out []candidate
	for tag, pc := range s.Pieces {
		if pc.Position != p.ID || pc.Stock != "" {
			continue
		}
		found := tag == job.Tag(s.Opened.Letter, p.ID)
		c := candidate{tag: tag, origin: s.Opened.Unit, lot: tag, count: 1, pieces: pc.Count, used: found || pc.Origin != "" && m.isUnit(pc.Origin),
			part: gearbox.Part{Variant: pc.Variant, Marks: pc.Marks, Dims: m.seen[tag].dims, Renewed: true}, doubt: m.doubt(tag, p, found)}
		if own && found {
			c.origin, c.part.Renewed, c.part.Kept = "own", false, true
		} else if c.used || !own { // a new part too stays with the unit it was bought for
			c.doubt += m.in.Labour.Move
		}
		if sp := s.Spots[p.ID]; found && sp != nil && sp.Off != nil && sp.Off.Is.Damage != "" {
			c.doubt += m.in.Labour.Worn // seen as it came off; nobody has said that it may stay
		}
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b candidate) int { return strings.Compare(a.tag, b.tag) })
	return out
}

func (m *Model) isUnit(name string) bool {
	return slices.ContainsFunc(m.states(), func(s *job.State) bool { return s.Opened.Unit == name })
}

// unpriced stands for one-way parts that nobody has offered: they are renewed
// all the same, and what they cost is not known.
func (m *Model) unpriced(p *gearbox.Position, have []candidate) []candidate {
	variants := []string{""}
	if len(p.Variants) > 0 {
		variants = nil
	}
	for _, v := range p.Variants {
		variants = append(variants, v.Name)
	}
	var out []candidate
	for _, v := range variants {
		if slices.ContainsFunc(have, func(c candidate) bool { return !c.used && (c.part.Variant == v || c.part.Variant == "") }) {
			continue
		}
		out = append(out, candidate{origin: "new, price not known", part: gearbox.Part{Variant: v, Renewed: true}, doubt: m.in.Labour.Unpriced})
	}
	return out
}

// name says what a candidate is: "P-P08 (ASY) from Plover".
func (c candidate) name() string {
	var s []string
	if c.tag != "" {
		s = append(s, c.tag)
	} else {
		s = append(s, "new")
	}
	if c.part.Variant != "" {
		s = append(s, "("+c.part.Variant+")")
	}
	switch {
	case c.origin == "own":
		s = append(s, "of its own")
	case c.origin == "new, price not known":
		s = append(s, "at a price not known")
	case c.origin != "new":
		s = append(s, "from "+c.origin)
	}
	switch {
	case c.days == 1:
		s = append(s, "in 1 day")
	case c.days > 1:
		s = append(s, fmt.Sprintf("in %d days", c.days))
	}
	return strings.Join(s, " ")
}

// against tells the facts that rule a candidate out.
func (m *Model) against(p *gearbox.Position, c candidate) []string {
	var out []string
	if p.Once && c.used && !m.undisturbed(p, c) {
		out = append(out, fmt.Sprintf("%s is a one-way part and %s has been in use", p.Label(), c.tag))
	}
	if c.pieces > 0 && c.pieces < p.Count {
		out = append(out, fmt.Sprintf("%s takes %d and %s is %d", p.Label(), p.Count, c.tag, c.pieces))
	}
	if c.tag == "" {
		return out
	}
	if out = append(out, m.seen[c.tag].out...); m.scrapped(c.tag, p.ID) {
		out = append(out, c.tag+" is decided to be scrap")
	}
	return out
}

// undisturbed tells the unit's own part that has not been taken off: it can stay
// as long as nothing under it is changed.
func (m *Model) undisturbed(p *gearbox.Position, c candidate) bool {
	return c.part.Kept && slices.ContainsFunc(m.in.Units, func(j Job) bool { return slices.Contains(j.State.At[p.ID], c.tag) })
}

func (m *Model) scrapped(tag, position string) bool {
	for _, s := range m.states() {
		if sp := s.Spots[position]; tag == job.Tag(s.Opened.Letter, position) && sp != nil && sp.Decided != nil && sp.Decided.Is.Choice == "scrap" {
			return true
		}
	}
	return false
}
