package shop

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/choose"
	"endfloat/internal/gearbox"
	"endfloat/internal/plan"
)

// Move is a piece, by its tag, or a variant, put to a position of a unit on the
// board: tried, not done.
type Move struct{ Book, Position, What string }

func (m Move) String() string { return m.Book + "." + m.Position + "=" + m.What }

// MoveOf reads a move, "linnet.P08=P-P08".
func MoveOf(text string) (Move, error) {
	at, what, ok := strings.Cut(text, "=")
	book, pos, ok2 := strings.Cut(at, ".")
	if !ok || !ok2 || book == "" || pos == "" || what == "" {
		return Move{}, wrap(ErrInvalid, "move: %q was read; write it like linnet.P08=P-P08", text)
	}
	return Move{book, pos, what}, nil
}

// Square is one field of the board: what a unit has at a position.
type Square struct {
	Book, Unit, Letter, Colour string
	Is                         choose.Could
	Condition                  string // in a word
	Bad, Moved                 bool
}

// BoardRow is a position with what each unit has there.
type BoardRow struct {
	Position *gearbox.Position
	Squares  []Square
	Pool     int // things that could go there, all told
}

// Over is a piece that is left over.
type Over struct {
	choose.Left
	Label, Owner, Worth string
}

// Passing is money that moves because a unit gets another owner's piece.
type Passing struct{ Tag, Label, From, To, Worth string }

// Board is all units side by side, as things stand and with moves tried on it.
type Board struct {
	Desks    []*Desk
	Carriers []*gearbox.Carrier
	Rows     map[string][]BoardRow // by carrier
	Moves    []Move
	Breaks   []string // that the moves break
	Stands   []string // that was broken before
	Voids    []string
	Asks     []string
	Ways     []WayOut
	Left     []Over
	Pass     []Passing
	choice   *Choice
	now      []int
}

// Board lays out all units in hand, with moves tried.
func (sh *Shop) Board(ctx context.Context, moves []Move) (*Board, error) {
	book := ""
	if len(moves) > 0 {
		book = moves[0].Book
	}
	return sh.BoardOf(ctx, book, moves)
}

// BoardOf lays out the units in hand that can share parts with the one named.
func (sh *Shop) BoardOf(ctx context.Context, book string, moves []Move) (*Board, error) {
	books, err := sh.InHand(ctx, book)
	if err != nil {
		return nil, err
	}
	ask := Asking{}
	for _, b := range books {
		ask.Units = append(ask.Units, Wish{Book: b, Decided: true})
	}
	c, err := sh.model(ctx, ask)
	if err != nil {
		return nil, err
	}
	b := &Board{Desks: c.desks, Moves: moves, choice: c, Rows: map[string][]BoardRow{}}
	before := c.model.Current()
	b.now = slices.Clone(before)
	for _, m := range moves {
		u := slices.IndexFunc(c.desks, func(d *Desk) bool { return d.Book == m.Book })
		if u < 0 {
			return nil, wrap(ErrInvalid, "move: no unit %q is in hand", m.Book)
		}
		if err := c.model.Move(b.now, c.desks[u].Opened.Unit, m.Position, m.What); err != nil {
			return nil, wrap(ErrInvalid, "%v", err)
		}
	}
	was := c.model.Breaks(before)
	for _, s := range c.model.Breaks(b.now) {
		if slices.Contains(was, s) {
			b.Stands = append(b.Stands, s)
		} else {
			b.Breaks = append(b.Breaks, s)
		}
	}
	voids := c.model.Voids(before)
	for _, s := range c.model.Voids(b.now) {
		if !slices.Contains(voids, s) {
			b.Voids = append(b.Voids, s)
		}
	}
	b.Asks = c.model.Asks(b.now)
	b.rows(before)
	if err := sh.leftOver(ctx, b); err != nil {
		return nil, err
	}
	if len(b.Breaks) > 0 && len(moves) > 0 {
		return b, sh.waysOut(ctx, b)
	}
	return b, nil
}

func (b *Board) rows(before []int) {
	for _, p := range b.choice.model.Box().All() {
		row := BoardRow{Position: p}
		for u, d := range b.Desks {
			is, ok := b.choice.model.At(b.now, u, p.ID)
			if !ok {
				continue
			}
			was, _ := b.choice.model.At(before, u, p.ID)
			q := Square{Book: d.Book, Unit: d.Opened.Unit, Letter: d.Opened.Letter, Colour: d.Opened.Colour, Is: is, Moved: was.Name != is.Name}
			q.Condition, q.Bad = Condition(is)
			row.Squares = append(row.Squares, q)
			row.Pool = max(row.Pool, len(b.choice.model.Coulds(u, p.ID)))
		}
		if len(row.Squares) == 0 {
			continue
		}
		if n := len(b.Carriers); n == 0 || b.Carriers[n-1] != p.Carrier {
			if !slices.Contains(b.Carriers, p.Carrier) {
				b.Carriers = append(b.Carriers, p.Carrier)
			}
		}
		b.Rows[p.Carrier.ID] = append(b.Rows[p.Carrier.ID], row)
	}
}

// Condition is how a piece stands, in a word, and whether it may not be used.
func Condition(c choose.Could) (string, bool) {
	switch {
	case len(c.Against) > 0:
		return "not fit", true
	case c.Tag == "" && c.Days > 0:
		return "to buy, " + dayCount(c.Days), false
	case c.Tag == "":
		return "to buy", false
	case c.Days > 0:
		return "on order, " + dayCount(c.Days), false
	case c.Close:
		return "too close to call", false
	case c.Worn:
		return "worn, in", false
	case c.Unread:
		return "not read", false
	}
	return "fit", false
}

func dayCount(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

// Try is one thing that could go to a square, with what it would break.
type Try struct {
	choose.Could
	Condition string
	Bad, Here bool
	Breaks    []string
	Move      Move
}

// Tries lists what could go to a position of a unit, and what each would break
// beside what is broken already.
func (b *Board) Tries(book, position string) []Try {
	u := slices.IndexFunc(b.Desks, func(d *Desk) bool { return d.Book == book })
	if u < 0 {
		return nil
	}
	m := b.choice.model
	was := m.Breaks(b.now)
	here, _ := m.At(b.now, u, position)
	var out []Try
	for _, c := range m.Coulds(u, position) {
		t := Try{Could: c, Here: c.Name == here.Name}
		t.Move.Book, t.Move.Position, t.Move.What = book, position, c.Tag
		if c.Tag == "" {
			if t.Move.What = c.Variant; c.Variant == "" {
				t.Move.What = "new"
			}
		}
		t.Condition, t.Bad = Condition(c)
		then := slices.Clone(b.now)
		if m.Move(then, b.Desks[u].Opened.Unit, position, t.Move.What) == nil {
			for _, s := range m.Breaks(then) {
				if !slices.Contains(was, s) {
					t.Breaks = append(t.Breaks, s)
				}
			}
		}
		out = append(out, t)
	}
	return out
}

// waysOut asks the search what it would take to have the moves, each given up in
// turn where they cannot all be had.
func (sh *Shop) waysOut(ctx context.Context, b *Board) error {
	ask := Asking{}
	var about []string
	for _, m := range b.Moves {
		about = append(about, m.Position)
	}
	for _, d := range b.Desks {
		w := Wish{Book: d.Book, Want: map[string]string{}}
		for _, m := range b.Moves {
			if m.Book == d.Book && m.What != "new" {
				w.Want[m.Position] = m.What
			}
		}
		ask.Units = append(ask.Units, w)
	}
	c, err := sh.Choose(ctx, ask)
	if err != nil {
		return err
	}
	if c.Best != nil {
		b.Ways = []WayOut{{GivesUp: "keep the moves and change what goes with them", Takes: c.changes(c.Best.choice, about, b.Moves), Price: c.Best.Price}}
		return nil
	}
	b.Ways = c.Ways
	return nil
}

// RuleWays are the ways out of a broken rule, from all that is in stock: for each
// part in it that is kept, what else would change.
func (sh *Shop) RuleWays(ctx context.Context, d *Desk, f plan.Finding) ([]WayOut, error) {
	r, ok := d.RuleOf(f)
	if !ok || d.Opened.Donor {
		return nil, nil
	}
	ids := r.Positions()
	var ways []WayOut
	for _, id := range ids {
		w := Wish{Book: d.Book, Want: map[string]string{}}
		what := cmp.Or(d.meant(id), d.Built.Variants[id])
		if what == "" {
			continue
		}
		w.Want[id] = what
		c, err := sh.Choose(ctx, Asking{Units: []Wish{w}})
		if err != nil || c.Best == nil {
			continue // it cannot stay at all
		}
		takes := c.changes(c.Best.choice, ids, []Move{{d.Book, id, what}})
		p, _ := d.Box.Position(id)
		way := WayOut{GivesUp: "keep " + p.Label() + " as it is, " + what, Takes: takes, Price: c.Best.Price, Keeps: Move{d.Book, id, what}.String()}
		if len(takes) > 0 && !slices.ContainsFunc(ways, func(x WayOut) bool { return slices.Equal(x.Takes, takes) }) {
			ways = append(ways, way)
		}
	}
	slices.SortStableFunc(ways, func(a, b WayOut) int { return len(a.Takes) - len(b.Takes) })
	if len(ways) > 3 {
		ways = ways[:3]
	}
	return ways, nil
}

// leftOver fills in what is left over with owner and worth, and what money moves
// where a unit gets the piece of another owner.
func (sh *Shop) leftOver(ctx context.Context, b *Board) error {
	stores, err := sh.Open(ctx, StoresBook)
	if err != nil {
		return err
	}
	owner := map[string]string{} // unit → owner
	rows, err := sh.Jobs(ctx)
	if err != nil {
		return err
	}
	for _, r := range rows {
		d, err := sh.Open(ctx, r.Book)
		if err != nil {
			return err
		}
		owner[r.Unit] = sh.Name(ctx, d.Opened.Owner)
	}
	kind := b.Desks[0].Opened.Type
	worth := func(position, variant string) string {
		if o, ok := cheapest(stores, kind, position, variant); ok && o.Price != "" {
			return o.Price
		}
		return ""
	}
	for _, l := range b.choice.model.LeftOver(b.now) {
		p, _ := b.choice.model.Box().Position(l.Position)
		over := Over{Left: l, Label: p.Label(), Owner: owner[l.From]}
		if len(l.Out) == 0 {
			over.Worth = worth(l.Position, l.Variant)
		}
		b.Left = append(b.Left, over)
	}
	for _, c := range b.Carriers {
		for _, r := range b.Rows[c.ID] {
			for _, q := range r.Squares {
				from := q.Is.Origin
				for _, d := range b.Desks {
					if pc := d.Pieces[q.Is.Tag]; pc != nil && pc.Origin != "" {
						from = pc.Origin
					}
				}
				if _, unit := owner[from]; unit && from != q.Unit {
					b.Pass = append(b.Pass, Passing{q.Is.Tag, r.Position.Label(), owned(from, owner[from]), owned(q.Unit, owner[q.Unit]), passes(owner[from], owner[q.Unit], worth(r.Position.ID, q.Is.Variant))})
				}
			}
		}
	}
	return nil
}

func owned(unit, owner string) string {
	if owner == "" {
		return unit
	}
	return unit + " (" + owner + ")"
}

// passes says what is owed for a piece that goes from one owner to another.
func passes(from, to, worth string) string {
	switch {
	case from == to && from != "":
		return "nothing: one owner"
	case worth == "":
		return "to be agreed"
	}
	return "to be agreed; a new one is " + worth
}
