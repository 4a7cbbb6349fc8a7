package shop

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/match"
	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// RingEnd is a ring or the gear whose cone it is tried on.
type RingEnd struct {
	Tag      string
	Position *gearbox.Position // where pieces like it belong
	From     string            // unit or supplier, where it did not come in with this unit
	measure  *gearbox.Measure  // of a cone: the gap and its limit
}

// RingCell is a ring on a cone: every trial, and what the newest says.
type RingCell struct {
	Sets  []string // as typed, oldest first
	SI, U float64
	Text  string
	Short string // Text without its unit
	Word  string // good, plan, replace, too close to call
	Seq   int
	worth float64 // of the pair, µm of wear left that count
}

// RingTable is the gaps of rings on cones, and which ring goes where.
type RingTable struct {
	Rings, Cones []RingEnd
	Cells        [][]*RingCell // by ring, then cone; nil = not tried
	Best         []int         // cone of each ring, −1 = none
	Lost         []RingEnd     // cones left without a ring that is good enough
	Says         []string      // why this pairing
	Wanted       string        // limit, in words, where all cones have one
	From         string
}

// Tried is how many pairs were tried.
func (t *RingTable) Tried() int {
	n := 0
	for _, row := range t.Cells {
		for _, c := range row {
			if c != nil {
				n++
			}
		}
	}
	return n
}

// ringMeasures are the gaps of rings on cones that a gearbox file asks for.
func ringMeasures(b *gearbox.Box) []*gearbox.Measure {
	var out []*gearbox.Measure
	if b == nil {
		return nil
	}
	for _, m := range b.Measures {
		if len(m.Of) < 2 || m.Before || m.Kind != unit.KindLength || !strings.Contains(m.Name, "gap") {
			continue
		}
		p, ok := b.Position(m.Of[0])
		if ok && isRing(p) {
			out = append(out, m)
		}
	}
	return out
}

func isRing(p *gearbox.Position) bool {
	k := strings.ToLower(p.Kind)
	return strings.Contains(k, "baulk ring") || strings.Contains(k, "synchro ring")
}

// Rings is the table of a unit's rings and cones. also are tags of further rings or
// gears to try: from a donor, or new.
func (sh *Shop) Rings(ctx context.Context, d *Desk, also ...string) (*RingTable, error) {
	t := &RingTable{}
	for _, m := range ringMeasures(d.Box) {
		ring, _ := d.Box.Position(m.Of[0])
		cone, ok := d.Box.Position(m.Of[1])
		if !ok {
			continue
		}
		for _, tag := range d.piecesOf(ring.ID) {
			t.add(&t.Rings, RingEnd{Tag: tag, Position: ring, From: d.origin(tag)})
		}
		for _, tag := range d.piecesOf(cone.ID) {
			t.add(&t.Cones, RingEnd{Tag: tag, Position: cone, From: d.origin(tag), measure: m})
		}
	}
	for _, g := range d.Tried {
		also = append(also, g.Is.Ring, g.Is.Cone)
	}
	for _, tag := range also {
		if err := sh.further(ctx, d, t, tag); err != nil {
			return nil, err
		}
	}
	d.fillRings(t)
	return t, t.pair()
}

func (t *RingTable) add(to *[]RingEnd, e RingEnd) {
	if !slices.ContainsFunc(*to, func(o RingEnd) bool { return o.Tag == e.Tag }) {
		*to = append(*to, e)
	}
}

// piecesOf are the pieces of this book that belong at a position.
func (d *Desk) piecesOf(id string) []string {
	var out []string
	for tag, p := range d.Pieces {
		if p.Position == id && p.Count < 2 {
			out = append(out, tag)
		}
	}
	slices.SortFunc(out, natural)
	return out
}

// origin is where a piece came from, "" when it came in with the unit.
func (d *Desk) origin(tag string) string {
	if p := d.Pieces[tag]; p != nil && !strings.EqualFold(p.Origin, d.Opened.Unit) {
		return p.Origin
	}
	return ""
}

// further adds a ring or gear of a donor or of the stores to the table.
func (sh *Shop) further(ctx context.Context, d *Desk, t *RingTable, tag string) error {
	known := func(es []RingEnd) bool {
		return slices.ContainsFunc(es, func(e RingEnd) bool { return strings.EqualFold(e.Tag, tag) })
	}
	if tag = strings.TrimSpace(tag); tag == "" || known(t.Rings) || known(t.Cones) {
		return nil
	}
	f, err := sh.Scan(ctx, d.Book, tag)
	if errors.Is(err, ErrNotFound) {
		return wrap(ErrInvalid, "%v", err)
	}
	if err != nil {
		return err
	}
	if f.Stop {
		return wrap(ErrInvalid, "STOP: %s belongs to %s. Put it back: %s", f.Tag, f.Whose(), f.Lies())
	}
	if f.Piece == nil || d.Box == nil {
		return wrap(ErrInvalid, "%s is no single piece", tag)
	}
	p, ok := d.Box.Position(f.Piece.Position)
	if !ok {
		return wrap(ErrInvalid, "%s: it is not known which position pieces like it belong to", f.Tag)
	}
	e := RingEnd{Tag: f.Tag, Position: p, From: f.Desk.Opened.Unit}
	if f.Desk.Book == StoresBook {
		e.From = "the stores"
	} else if f.Desk.Book == d.Book {
		e.From = d.origin(f.Tag)
	}
	if isRing(p) {
		t.add(&t.Rings, e)
		return nil
	}
	for _, m := range ringMeasures(d.Box) {
		if m.Of[1] == p.ID {
			e.measure = m
			t.add(&t.Cones, e)
			return nil
		}
	}
	return wrap(ErrInvalid, "%s %s is neither a ring nor a gear with a cone for one", f.Tag, f.Piece.Name)
}

// fillRings puts every trial into its cell: gaps, and readings of a position's own
// gap, which are of the pieces that were there.
func (d *Desk) fillRings(t *RingTable) {
	t.Cells = make([][]*RingCell, len(t.Rings))
	for i, r := range t.Rings {
		t.Cells[i] = make([]*RingCell, len(t.Cones))
		for j, c := range t.Cones {
			t.Cells[i][j] = d.cell(r, c)
		}
	}
	for i, c := range t.Cones {
		if c.measure == nil || c.measure.Limit == nil {
			t.Wanted = ""
			break
		}
		lo, hi, hasLo, hasHi := c.measure.Limit.Band.At(d.Built)
		w := setup.Range(lo, hi, hasLo, hasHi, c.measure.Unit)
		if i > 0 && w != t.Wanted {
			t.Wanted = ""
			break
		}
		t.Wanted, t.From = w, c.measure.Limit.From
	}
}

func (d *Desk) cell(ring, cone RingEnd) *RingCell {
	var c *RingCell
	put := func(seq int, typed []string, si, u float64) {
		if c == nil {
			c = &RingCell{}
		}
		c.Sets = append(c.Sets, strings.Join(typed, " · "))
		if seq >= c.Seq {
			c.SI, c.U, c.Seq = si, u, seq
		}
	}
	for _, g := range d.Tried {
		if g.Is.Ring == ring.Tag && g.Is.Cone == cone.Tag {
			put(g.Seq, []string{g.Is.Value}, g.Is.SI, g.Is.U)
		}
	}
	for _, m := range ringMeasures(d.Box) {
		for _, r := range d.ReadingsOf(m.Name) {
			if r.Of[m.Of[0]] == ring.Tag && r.Of[m.Of[1]] == cone.Tag {
				mean := setup.MeanOf(d.State, m, r)
				put(r.Seq, r.Is.Values, mean.Value, mean.U)
			}
		}
	}
	if c != nil {
		d.judgeRing(c, cone.measure)
	}
	return c
}

func (d *Desk) judgeRing(c *RingCell, m *gearbox.Measure) {
	in := mmOf()
	c.Text, c.Word, c.worth = setup.Text(c.SI, c.U, in), "", c.SI*1e6
	c.Short = strings.TrimSuffix(c.Text, " mm")
	if m == nil || m.Limit == nil {
		return
	}
	lo, hi, hasLo, hasHi := m.Limit.Band.At(d.Built)
	if !hasLo {
		lo = math.Inf(-1)
	}
	if !hasHi {
		hi = math.Inf(1)
	}
	switch uncert.Decide(c.SI, c.U, lo, hi) {
	case uncert.Out:
		c.Word = Replace
	case uncert.Close:
		c.Word = Close
	default:
		c.Word = Good
		if p, ok := m.Limit.Plan.SI(d.Built); ok && c.SI < p {
			c.Word = Plan
		}
	}
	if lo, _, has, _ := m.Limit.New.At(d.Built); has {
		c.worth = min(c.SI, lo) * 1e6 // what lies beyond a new ring's least is worth no more
	}
}

// What a pair costs, in whole µm so that sums are exact: first as few gears as can
// be without a ring that is good enough, then as few that are too close to call,
// then the most wear left in all.
const (
	ringNone  = 1e11
	ringClose = 1e7
)

func (t *RingTable) pair() error {
	t.Best = make([]int, len(t.Rings))
	for i := range t.Best {
		t.Best[i] = -1
	}
	if t.Tried() == 0 || len(t.Rings) > 200 || len(t.Cones) > 200 {
		return nil
	}
	cost := make([][]float64, len(t.Rings))
	for i, row := range t.Cells {
		for _, c := range row {
			switch {
			case c == nil || c.Word == Replace:
				cost[i] = append(cost[i], ringNone)
			case c.Word == Close:
				cost[i] = append(cost[i], ringClose-math.Round(c.worth))
			default:
				cost[i] = append(cost[i], -math.Round(c.worth))
			}
		}
	}
	best, _, err := match.Least(cost)
	if err != nil {
		return fmt.Errorf("rings: %w", err)
	}
	served := map[int]bool{}
	total, n := 0.0, 0
	for i, j := range best {
		if j >= 0 && cost[i][j] < ringNone {
			t.Best[i], served[j] = j, true
			total, n = total+t.Cells[i][j].SI, n+1
		}
	}
	for j, c := range t.Cones {
		if !served[j] {
			t.Lost = append(t.Lost, c)
		}
	}
	t.say(n, total)
	return nil
}

// say puts the pairing into words, beside what it was as it came in.
func (t *RingTable) say(n int, total float64) {
	t.Says = append(t.Says, fmt.Sprintf("%d of %d gears have a ring, gaps of %s in all: no other pairing of what was tried serves more, or leaves more wear.", n, len(t.Cones), setup.Text(total, 0, mmOf())))
	moved := 0
	for i, j := range t.Best {
		if j >= 0 && t.Cones[j].measure != nil && t.Cones[j].measure.Of[0] != t.Rings[i].Position.ID {
			moved++
		}
	}
	if moved > 0 {
		t.Says = append(t.Says, fmt.Sprintf("%d of them on another gear than before: bed a ring in by hand on its new cone and try the gap again.", moved))
	}
	if open := len(t.Rings)*len(t.Cones) - t.Tried(); open > 0 {
		t.Says = append(t.Says, fmt.Sprintf("%d pairs were not tried and count as unfit.", open))
	}
}

// gap completes a ring tried on a cone: the mean of the repeats with its doubt.
func (o *order) gap(b job.Gap) error {
	t := &RingTable{}
	for _, tag := range []string{b.Ring, b.Cone} {
		if o.desk.Pieces[tag] != nil {
			continue
		}
		if err := o.sh.further(o.ctx, o.desk, t, tag); err != nil {
			return err
		}
	}
	if b.Ring == b.Cone {
		return wrap(ErrInvalid, "%s on itself: name a ring and a gear", b.Ring)
	}
	typed := strings.FieldsFunc(b.Value, func(r rune) bool { return r == ';' || r == '·' })
	b.Each, b.U = nil, 0
	common := 0.0
	for _, text := range typed {
		q, err := unit.Parse(unit.Undress(text), unit.KindLength, mmOf())
		if err != nil || q.SI < 0 || q.SI > 0.02 {
			return wrap(ErrInvalid, "gap of %s on %s: %q is no ring gap; write it as 0.95 mm", b.Ring, b.Cone, strings.TrimSpace(text))
		}
		b.Each, b.U = append(b.Each, q.SI), max(b.U, q.U)
	}
	if len(b.Each) == 0 {
		return wrap(ErrInvalid, "gap of %s on %s: nothing was typed; write it as 0.95 mm", b.Ring, b.Cone)
	}
	if b.With == "" {
		b.With = "feelers"
	}
	if ins, ok := o.desk.Stores.Instruments[b.With]; ok && b.U == 0 {
		b.U, common = ins.U, ins.Common
	}
	b.SI, b.U = uncert.Repeats(b.Each, b.U, common)
	o.body = b
	return o.plausibleGap(b)
}

// plausibleGap questions a gap that is 25.4 times off what a ring may have.
func (o *order) plausibleGap(b job.Gap) error {
	for _, m := range ringMeasures(o.desk.Box) {
		if b.Sure || m.Limit == nil {
			return nil
		}
		lo, _, has, _ := m.Limit.New.At(o.desk.Built)
		if !has || lo <= 0 {
			continue
		}
		if r := b.SI / lo; r > 12 || r > 0 && r < 1/20.0 {
			return wrap(ErrInvalid, "gap of %s on %s: %s is %.3g times that of a new ring (%s). Inch or millimetre? Type it with its unit, or say you are sure", b.Ring, b.Cone, b.Value, r, setup.Text(lo, 0, m.Unit))
		}
		return nil
	}
	return nil
}

// OwnRing is the position of the ring that belongs to a cone, by the gearbox file.
func (t *RingTable) OwnRing(cone int) string {
	if m := t.Cones[cone].measure; m != nil {
		return m.Of[0]
	}
	return ""
}
