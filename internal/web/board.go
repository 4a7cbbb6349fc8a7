package web

import (
	"net/url"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/shop"
)

// square is one field of the board as it is shown.
type square struct {
	shop.Square
	Mark   string // shape of its condition: in, out, close or none
	From   *chip  // the unit it came with, where that is another one
	Marks  string
	Href   string // to what else could go here
	Picked bool
	Now    bool // of the unit that is shown on a phone
	Move   shop.Move
}

// chip says whose something is: letter, name and tape colour.
type chip struct{ Unit, Letter, Colour string }

type boardRow struct {
	Position *gearbox.Position
	Squares  []square
	Pool     int
}

// tryRow is one thing that could go to the place picked.
type tryRow struct {
	shop.Try
	Mark string
	Href string
	In   string // the unit that has it there; trying it is a swap
	More int    // what it breaks beside the first
}

// movedRow is a move that is tried.
type movedRow struct {
	chip
	Label, What string
	Back        string // without it
}

// unitTab is a unit of the board, or a carrier, to be switched to.
type unitTab struct {
	chip
	Book, Href string
	Now        bool
}

type carrierTab struct {
	Name, Href string
	Now        bool
	Moved      int
}

type boardPage struct {
	frame
	Board    *shop.Board
	Units    []unitTab
	Others   []unitTab // in hand and of another type
	Carriers []carrierTab
	Name     string // of the carrier shown
	Rows     []boardRow
	Moved    []movedRow
	Place    *square // picked
	Label    string  // of its position
	Close    string  // the board without it
	Tries    []tryRow
	Piece    string // picked, to be put somewhere
	Left     []overRow
	Seqs     map[string]int
	Query    string
	Done     bool
	Ask      string // these moves as wishes
	With     string // book of the unit that is shown on a phone
	Ways     []wayRow
}

type overRow struct {
	shop.Over
	chip
	Href string
	Out  string
}

// at is the address of the board with one thing changed. A value "" takes it away.
func boardAt(q url.Values, key, value string) string {
	q = cloneQuery(q)
	q.Del("decided")
	if key != "move" {
		q.Del(key)
	}
	if value != "" {
		q.Add(key, value)
	}
	if len(q) == 0 {
		return "/board"
	}
	return "/board?" + q.Encode()
}

// boardOf is where the board shows what could go to a position; "" for a seat,
// and for a unit that is not being built.
func boardOf(d *shop.Desk, p *gearbox.Position) string {
	if p.Seat != nil || p.Carrier == nil || d.Opened.Donor || d.Closed != nil {
		return ""
	}
	q := url.Values{"unit": {d.Book}, "on": {p.Carrier.ID}, "place": {d.Book + "." + p.ID}}
	return "/board?" + q.Encode() + "#picked"
}

func cloneQuery(q url.Values) url.Values {
	out := url.Values{}
	for k, vs := range q {
		out[k] = slices.Clone(vs)
	}
	return out
}

// withMove is the address with a move made; an earlier one of the same place goes.
func withMove(q url.Values, m shop.Move) string {
	q = cloneQuery(q)
	q["move"] = slices.DeleteFunc(q["move"], func(s string) bool { return strings.HasPrefix(s, m.Book+"."+m.Position+"=") })
	q.Del("place")
	q.Del("piece")
	return boardAt(q, "move", m.String())
}

// conditionMark is the mark of a condition, as verdicts have it.
func conditionMark(condition string, bad bool) string {
	switch {
	case bad:
		return "out"
	case condition == "too close to call":
		return "close"
	case condition == "fit", condition == "worn, in":
		return "in"
	}
	return "none"
}

// board shows all units side by side, with moves tried on it.
func (s *server) board(v *visit) error {
	if err := v.form(); err != nil {
		return err
	}
	return s.showBoard(v, v.r.URL.Query())
}

func (s *server) showBoard(v *visit, q url.Values) error {
	moves, err := movesOf(q["move"])
	if err != nil {
		return err
	}
	book := q.Get("unit")
	if len(moves) > 0 {
		book = moves[0].Book
	}
	b, err := s.sh.BoardOf(v.r.Context(), book, moves)
	if err != nil {
		return err
	}
	if len(b.Carriers) == 0 {
		return missing("The gearbox file of %s names no position to choose for.", b.Desks[0].Opened.Unit)
	}
	p := boardPage{frame: v.frame("The board"), Board: b, Query: q.Encode(), Done: q.Has("decided"), Seqs: map[string]int{}, Piece: q.Get("piece")}
	if len(moves) == 0 {
		p.Live = "*"
	}
	p.Ways = wayRows(b.Ways)
	for _, d := range b.Desks {
		p.Seqs[d.Book] = d.Seq
	}
	chips, err := s.chips(v)
	if err != nil {
		return err
	}
	p.tabs(q, chips)
	if err := s.otherTypes(v, &p); err != nil {
		return err
	}
	p.rows(q, chips)
	p.moved(q, moves, chips)
	p.left(q, chips)
	if p.Place != nil {
		p.tries(q)
	}
	return v.show("board", p)
}

func movesOf(texts []string) ([]shop.Move, error) {
	var out []shop.Move
	for _, t := range texts {
		m, err := shop.MoveOf(t)
		if err != nil {
			return nil, err
		}
		out = append(out, m)
	}
	return out, nil
}

// chips are the units of the workshop by name.
func (s *server) chips(v *visit) (map[string]chip, error) {
	rows, err := s.sh.Jobs(v.r.Context())
	if err != nil {
		return nil, err
	}
	out := map[string]chip{}
	for _, r := range rows {
		out[r.Unit] = chip{r.Unit, r.Letter, r.Colour}
	}
	return out, nil
}

// tabs are the units and carriers to switch between; on a phone one of each is
// shown at a time.
func (p *boardPage) tabs(q url.Values, chips map[string]chip) {
	unit, on := q.Get("unit"), q.Get("on")
	if !slices.ContainsFunc(p.Board.Desks, func(d *shop.Desk) bool { return d.Book == unit }) {
		unit = p.Board.Desks[0].Book
	}
	if at := slices.IndexFunc(p.Board.Carriers, func(c *gearbox.Carrier) bool { return c.ID == on }); at < 0 {
		on = p.Board.Carriers[0].ID
	}
	for _, d := range p.Board.Desks {
		p.Units = append(p.Units, unitTab{chips[d.Opened.Unit], d.Book, boardAt(q, "unit", d.Book), d.Book == unit})
	}
	for _, c := range p.Board.Carriers {
		t := carrierTab{c.Name, boardAt(q, "on", c.ID), c.ID == on, 0}
		for _, r := range p.Board.Rows[c.ID] {
			for _, x := range r.Squares {
				if x.Moved {
					t.Moved++
				}
			}
		}
		if t.Now {
			p.Name = c.Name
		}
		p.Carriers = append(p.Carriers, t)
	}
}

// otherTypes are the units in hand that share no parts with those shown.
func (s *server) otherTypes(v *visit, p *boardPage) error {
	rows, err := s.sh.Jobs(v.r.Context())
	if err != nil {
		return err
	}
	for _, r := range rows {
		shown := slices.ContainsFunc(p.Board.Desks, func(d *shop.Desk) bool { return d.Book == r.Book })
		if !shown && !r.Donor && r.Arc != "handed over" && r.Type != p.Board.Desks[0].Opened.Type {
			p.Others = append(p.Others, unitTab{chip{r.Unit, r.Letter, r.Colour}, r.Book, "/board?unit=" + url.QueryEscape(r.Book), false})
		}
	}
	return nil
}

func (p *boardPage) rows(q url.Values, chips map[string]chip) {
	now, on := "", ""
	for _, u := range p.Units {
		if u.Now {
			now = u.Book
		}
	}
	p.With = now
	for i, c := range p.Carriers {
		if c.Now {
			on = p.Board.Carriers[i].ID
		}
	}
	for _, r := range p.Board.Rows[on] {
		row := boardRow{Position: r.Position, Pool: r.Pool}
		for _, x := range r.Squares {
			row.Squares = append(row.Squares, p.squareOf(q, x, r.Position, now, chips))
		}
		for i := range row.Squares {
			if row.Squares[i].Picked {
				p.Place, p.Label = &row.Squares[i], r.Position.Label()
			}
		}
		p.Rows = append(p.Rows, row)
	}
}

func (p *boardPage) squareOf(q url.Values, x shop.Square, pos *gearbox.Position, now string, chips map[string]chip) square {
	place := x.Book + "." + pos.ID
	out := square{Square: x, Mark: conditionMark(x.Condition, x.Bad), Marks: pairs(x.Is.Marks), Picked: q.Get("place") == place, Now: x.Book == now, Move: shop.Move{Book: x.Book, Position: pos.ID, What: x.Is.Tag}}
	out.Href = boardAt(q, "place", place)
	if piece := p.Piece; piece != "" && slices.ContainsFunc(p.Board.Tries(x.Book, pos.ID), func(t shop.Try) bool { return t.Tag == piece && !t.Here }) {
		out.Href = withMove(q, shop.Move{Book: x.Book, Position: pos.ID, What: piece})
		out.Picked = true
	}
	if c, ok := chips[p.cameWith(x.Is.Tag, x.Is.Origin)]; ok && c.Unit != x.Unit {
		out.From = &c
	}
	return out
}

// cameWith is the unit that a piece came with, or whence it is.
func (p *boardPage) cameWith(tag, origin string) string {
	for _, d := range p.Board.Desks {
		if pc := d.Pieces[tag]; pc != nil && pc.Origin != "" {
			return pc.Origin
		}
	}
	return origin
}

func (p *boardPage) moved(q url.Values, moves []shop.Move, chips map[string]chip) {
	wishes := url.Values{"asked": {"yes"}}
	for _, d := range p.Board.Desks {
		wishes.Add("unit", d.Book)
	}
	for i, m := range moves {
		back := cloneQuery(q)
		back["move"] = slices.Delete(slices.Clone(q["move"]), i, i+1)
		row := movedRow{Label: m.Position, What: m.What, Back: boardAt(back, "", "")}
		for _, d := range p.Board.Desks {
			if d.Book != m.Book {
				continue
			}
			row.chip = chips[d.Opened.Unit]
			if pos, ok := d.Box.Position(m.Position); ok {
				row.Label = pos.Label()
			}
		}
		p.Moved = append(p.Moved, row)
		if m.What != "new" {
			wishes.Add("at "+m.Book, m.Position)
			wishes.Add("what "+m.Book, m.What)
		}
	}
	if len(moves) > 0 {
		p.Ask = "/choose?" + wishes.Encode()
	}
}

func (p *boardPage) tries(q url.Values) {
	p.Close = boardAt(q, "place", "")
	for _, t := range p.Board.Tries(p.Place.Book, p.Place.Move.Position) {
		row := tryRow{Try: t, Mark: conditionMark(t.Condition, t.Bad), Href: withMove(q, t.Move)}
		if other := p.has(t.Tag); other != nil && !t.Here && other.Book != p.Place.Book {
			row.In = other.Unit
			if here := p.Place.Is.Tag; here != "" {
				back := shop.Move{Book: other.Book, Position: p.Place.Move.Position, What: here}
				row.Href = withMove(queryOf(row.Href), back)
			}
			row.Breaks = nil // the swap is judged once it is tried
		}
		row.Breaks = slices.DeleteFunc(row.Breaks, func(s string) bool { return slices.Contains(t.Against, s) })
		row.Breaks = slices.Concat(t.Against, row.Breaks)
		if row.More = len(row.Breaks) - 1; row.More > 0 {
			row.Breaks = row.Breaks[:1]
		}
		p.Tries = append(p.Tries, row)
	}
	rank := func(r tryRow) int {
		switch {
		case r.Here:
			return 0
		case len(r.Breaks) == 0 && r.In == "":
			return 1
		case len(r.Breaks) == 0:
			return 2
		}
		return 3
	}
	slices.SortStableFunc(p.Tries, func(a, b tryRow) int { return rank(a) - rank(b) })
}

// has is the square of the carrier shown that a piece is on.
func (p *boardPage) has(tag string) *square {
	for i := range p.Rows {
		for j := range p.Rows[i].Squares {
			if q := &p.Rows[i].Squares[j]; tag != "" && q.Is.Tag == tag {
				return q
			}
		}
	}
	return nil
}

// queryOf is the query of an address of the board.
func queryOf(href string) url.Values {
	_, raw, _ := strings.Cut(href, "?")
	q, _ := url.ParseQuery(raw) // was made here
	return q
}

func (p *boardPage) left(q url.Values, chips map[string]chip) {
	for _, o := range p.Board.Left {
		row := overRow{Over: o, chip: chips[o.From], Out: strings.Join(o.Out, "; ")}
		to := cloneQuery(q)
		to.Del("place")
		if pos, ok := p.Board.Desks[0].Box.Position(o.Position); ok {
			to.Set("on", pos.Carrier.ID)
		}
		row.Href = boardAt(to, "piece", o.Tag) + "#rows"
		p.Left = append(p.Left, row)
	}
}

// assign decides what was moved, in the books of all units at once.
func (s *server) assign(v *visit) error {
	if err := v.form(); err != nil {
		return err
	}
	q, err := url.ParseQuery(v.r.FormValue("board"))
	if err != nil {
		return invalid("the form did not arrive whole; send it again")
	}
	moves, err := movesOf(q["move"])
	if err == nil {
		_, err = s.sh.Assign(v.r.Context(), v.by(), moves, v.seenOn(), v.r.FormValue("why"))
	}
	if err == nil {
		q.Del("move")
		q.Del("place")
		q.Set("decided", "yes")
		return v.go303("/board?" + q.Encode())
	}
	if err := v.refused("assign", err); err != nil {
		return err
	}
	return s.showBoard(v, q)
}
