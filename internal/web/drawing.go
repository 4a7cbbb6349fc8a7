package web

import (
	"bytes"
	"fmt"
	"html/template"
	"math"
	"net/url"
	"slices"
	"sync"

	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
	"endfloat/internal/shop"

	"golang.org/x/sync/singleflight"
)

// picture is a drawing on a page.
type picture struct {
	Title  string
	SVG    template.HTML
	Narrow template.HTML // the same for a phone, where it is laid out otherwise
	Parts  int
	List   []*gearbox.Position
}

var (
	mmUnit = mustUnit("mm", unit.KindLength)
	noUnit = unit.Unit{Factor: 1}
)

func mustUnit(symbol string, k unit.Kind) unit.Unit {
	u, ok := unit.Find(symbol, k)
	if !ok {
		panic("no unit " + symbol)
	}
	return u
}

func millimetres(si float64) string { return unit.Format(si, mmUnit, 3) }

// svg trusts what package draw has written: it escapes every text itself.
func svg(d *draw.Drawing) picture { return picture{Title: d.Title, SVG: template.HTML(d.SVG())} }

func options(d *shop.Desk) draw.Options {
	return draw.Options{Built: d.Built, State: d.Standing(), Word: d.Whose, Link: func(id string) string { return "/job/" + d.Book + "/at/" + url.PathEscape(id) }}
}

// cards keeps the return cards of the books looked at last, as they stand on the page:
// a card is looked at more often than its book changes, and its drawings take long.
type cards struct {
	mu     sync.Mutex
	by     map[string]card
	making singleflight.Group
}

type card struct {
	cardKey
	*block
}

// cardKey is all that a return card depends on but its book.
type cardKey struct {
	pin    string // head of the book
	stores int    // entries in the book of what the jobs share
	away   int    // days
	names  string // of those who made the newest entries: they may be mended and deleted
}

// mostCards is how many books have their card kept, some 280 kB each: as many as a shop
// keeps open, for a book that must be read anew is drawn anew in half that time.
const mostCards = 32

// of returns the card of a book as it stands. Who asks for it while it is being made,
// as all that watch a book do when it has changed, gets that one.
func (c *cards) of(book string, key cardKey, data func() any) (*block, error) {
	c.mu.Lock()
	have, ok := c.by[book]
	c.mu.Unlock()
	if ok && have.cardKey == key {
		return have.block, nil
	}
	made, err, _ := c.making.Do(fmt.Sprintf("%s %v", book, key), func() (any, error) {
		var b bytes.Buffer
		if err := page("card").ExecuteTemplate(&b, "card", data()); err != nil {
			return nil, err
		}
		made := newBlock(b.Bytes())
		c.keep(book, card{key, made})
		return made, nil
	})
	if err != nil {
		return nil, err
	}
	return made.(*block), nil
}

func (c *cards) keep(book string, made card) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.by == nil {
		c.by = map[string]card{}
	}
	for other := range c.by { // any one: which, decides nothing but time
		if len(c.by) < mostCards {
			break
		}
		delete(c.by, other)
	}
	c.by[book] = made
}

// pictures draws every carrier: the shafts as sections, the rest as sheets.
func pictures(d *shop.Desk) (sections, sheets []picture) {
	if d.Box == nil {
		return nil, nil
	}
	for _, c := range d.Box.Carriers {
		p := svg(draw.Section(c, options(d)))
		p.Title, p.Parts, p.List = carrierName(c), len(c.Order), c.Order
		if len(c.Ends) == 2 {
			sections = append(sections, p)
		} else {
			sheets = append(sheets, p)
		}
	}
	return sections, sheets
}

func carrierName(c *gearbox.Carrier) string {
	if c.Name != "" {
		return c.Name
	}
	return c.ID
}

// beside is how many neighbours on each side are drawn with a part.
const beside = 2

// around draws a part with its neighbours, itself marked.
func around(d *shop.Desk, pos *gearbox.Position) picture {
	c := pos.Carrier
	if c == nil {
		return picture{}
	}
	part := *c
	i := slices.Index(c.Order, pos)
	part.Order = c.Order[max(0, i-beside):min(len(c.Order), i+beside+1)]
	if h := slices.IndexFunc(c.Order, func(q *gearbox.Position) bool { return q.ID == pos.Around }); h >= 0 && max(h-i, i-h) > beside {
		// What it lies around is not among its neighbours in the file.
		part.Order = append(slices.Clone(c.Order[max(0, h-1):min(len(c.Order), h+beside+1)]), pos)
	}
	if len(c.Ends) != 2 {
		part.Order = c.Order[i : i+1] // order on a sheet says nothing about neighbours
	}
	o := options(d)
	o.Bare = true
	stands := o.State
	o.State = func(id string) draw.State {
		switch s := stands(id); {
		case id == pos.ID:
			return draw.Next
		case s == draw.Next:
			return draw.AsFound
		default:
			return s
		}
	}
	o.Word = func(id string) string {
		if id == pos.ID {
			return "this one"
		}
		return ""
	}
	return svg(draw.Section(&part, o))
}

// faceBoth are the pictures of a part the one way round and the other.
func faceBoth(p *gearbox.Position, f gearbox.Facing) (with, away picture) {
	ends, toward, other := endsFor(p, f)
	kind := p.Kind
	if kind == "" {
		kind = p.Name
	}
	one, two := draw.FaceChoice(kind, f.Face, toward, ends), draw.FaceChoice(kind, f.Face, other, ends)
	if ends == [2]string{"up", "down"} {
		one, two = upended(one), upended(two)
	}
	return svg(one), svg(two)
}

// room is what an upended picture gets beside it for its words, mm.
const room = 30.0

// upended turns a picture by a quarter, what was on its right to the bottom,
// leaves the words upright and brings them nearer to the part.
func upended(d *draw.Drawing) *draw.Drawing {
	const part, short = 17.0, 0.35 // half the part's room; how far the rest is drawn in
	mid := d.W / 2
	half := part + (mid-part)*short + 4
	turn := func(p draw.Pt) draw.Pt {
		off := math.Abs(p.X - mid)
		if off > part {
			off = part + (off-part)*short
		}
		return draw.Pt{X: room + p.Y, Y: half - math.Copysign(off, p.X-mid)}
	}
	out := &draw.Drawing{W: room + d.H, H: 2 * half, Title: d.Title}
	for _, g := range d.Groups {
		items := slices.Clone(g.Items)
		for i, it := range items {
			path := slices.Clone(it.Path)
			for j := range path {
				for k := range path[j].P {
					path[j].P[k] = turn(path[j].P[k])
				}
			}
			items[i].Path = path
			if it.Text == "" {
				continue
			}
			items[i].At = turn(it.At)
			if it.Anchor == draw.Middle { // the name of the face, beside it
				items[i].At.X, items[i].At.Y, items[i].Anchor = room+6, items[i].At.Y-it.Size*0.36, draw.End
				continue
			}
			items[i].At.X, items[i].Anchor = room+d.H/2, draw.Middle
			items[i].At.Y = min(max(items[i].At.Y, 1.5), out.H-it.Size)
		}
		g.Items = items
		out.Groups = append(out.Groups, g)
	}
	return out
}

// opposite are the ways that have a name of their own.
var opposite = map[string]string{"up": "down", "down": "up", "in": "out", "out": "in"}

// endsFor names what lies left and right of a part in its picture, as they lie
// on the carrier, and which of them its face is to look at.
func endsFor(p *gearbox.Position, f gearbox.Facing) (ends [2]string, toward, other string) {
	c := p.Carrier
	if o, ok := opposite[f.Toward]; ok {
		if o == "up" || f.Toward == "up" {
			return [2]string{"up", "down"}, f.Toward, o
		}
		return [2]string{o, f.Toward}, f.Toward, o
	}
	if c != nil && len(c.Ends) == 2 {
		if i := slices.Index(c.Ends, f.Toward); i >= 0 {
			return [2]string{c.Ends[0], c.Ends[1]}, f.Toward, c.Ends[1-i]
		}
		for i, q := range c.Order {
			if q.ID != f.Toward {
				continue
			}
			if i < p.Index {
				return [2]string{q.ID, c.Ends[1]}, q.ID, c.Ends[1]
			}
			return [2]string{c.Ends[0], q.ID}, q.ID, c.Ends[0]
		}
	}
	return [2]string{"away", f.Toward}, f.Toward, "away"
}

// bar shows a setting between its limits.
func bar(r setup.Result) picture {
	if !r.Known || !r.HasLo && !r.HasHi {
		return picture{}
	}
	lo, hi := math.Inf(-1), math.Inf(1)
	m := draw.Marks{Target: r.Target, Verdict: map[uncert.Verdict]draw.Verdict{uncert.In: draw.In, uncert.Out: draw.Out, uncert.Close: draw.TooClose}[r.Verdict]}
	if r.HasLo {
		lo, m.Lo = r.Lo, setup.Text(r.Lo, 0, r.Unit)
	}
	if r.HasHi {
		hi, m.Hi = r.Hi, setup.Text(r.Hi, 0, r.Unit)
	}
	return svg(draw.Bar(lo, hi, r.Value, r.U, m))
}

// longestChain is how many links a picture of a chain still shows clearly
// where they lie on no shaft.
const longestChain = 8

// chain shows what a setting is made of, on the section of its shaft where its
// links lie on one.
func chain(d *shop.Desk, r setup.Result) picture {
	if len(r.Chain) < 2 {
		return picture{}
	}
	on := d.ChainOf(r, draw.Options{Link: options(d).Link})
	if !onSection(on) && (!r.Known || len(r.Chain) > longestChain) {
		return picture{}
	}
	p := svg(on)
	p.Narrow = svg(d.ChainOf(r, draw.Options{Link: options(d).Link, Width: phoneWidth})).SVG
	return p
}

// onSection reports a chain that is drawn on a section: it has parts to tap.
func onSection(d *draw.Drawing) bool {
	return slices.ContainsFunc(d.Groups, func(g draw.Group) bool { return g.Key != "" })
}

// stackOf shows a pack of shims.
func stackOf(ps []job.Piece) picture {
	if len(ps) == 0 {
		return picture{}
	}
	var out []draw.Piece
	var total float64
	for _, p := range ps {
		out = append(out, draw.Piece{ID: p.Tag, Thickness: p.SI, Text: millimetres(p.SI)})
		total += p.SI
	}
	return svg(draw.ShimStack(out, millimetres(total)))
}

// etchedPicks are the two meanings of a plus on the pinion.
func etchedPicks() []facePick {
	return []facePick{
		{"further", "further: a plus puts the pinion further from the crown wheel's axis", etchedPicture(1)},
		{"nearer", "nearer: a plus puts the pinion nearer to the crown wheel's axis", etchedPicture(-1)},
	}
}

// etchedPicture shows the pinion beside the axis of the crown wheel, with an
// arrow the way a plus moves it.
func etchedPicture(way float64) picture {
	const w, h, axis, face, y = 96.0, 44.0, 14.0, 44.0, 24.0
	ink := func(p draw.Path, wt float64, dash draw.Dash) draw.Item {
		return draw.Item{Path: p, Pen: draw.Pen{Tone: draw.Ink, W: wt, Dash: dash}}
	}
	said := func(x, at float64, a draw.Anchor, t draw.Tone, s string) draw.Item {
		return draw.Item{Text: s, At: draw.Pt{X: x, Y: at}, Size: 4.8, Anchor: a, Fill: t, Bold: t == draw.Accent}
	}
	from := face + way*3
	tip := face + way*22
	mid := h - 6.5
	red := draw.Pen{Tone: draw.Accent, W: draw.Strong}
	g := draw.Group{Class: "picture", Items: []draw.Item{
		ink(draw.Line(axis, 7, axis, h-1), draw.Thin, draw.Chained),
		said(axis, 2, draw.Start, draw.Ink, "axis of the crown wheel"),
		ink(draw.Poly(face, y-6, face+16, y-11, face+16, y+11, face, y+6), draw.Thick, draw.Solid),
		ink(draw.Line(face+4, y-3, face+16, y-6), draw.Thin, draw.Solid),
		ink(draw.Line(face+3, y, face+16, y), draw.Thin, draw.Solid),
		ink(draw.Line(face+4, y+3, face+16, y+6), draw.Thin, draw.Solid),
		ink(draw.Poly(face+16, y-5, w-4, y-5, w-4, y+5, face+16, y+5), draw.Thick, draw.Solid),
		ink(draw.Line(axis-4, y, w-1, y), draw.Thin, draw.Chained),
		{Path: draw.Line(face, y+6, face, h-1), Pen: draw.Pen{Tone: draw.Faint, W: draw.Thin}},
		{Path: draw.Line(from, mid, tip-way*3, mid), Pen: red},
		{Path: draw.Poly(tip, mid, tip-way*4, mid+1.7, tip-way*4, mid-1.7), Fill: draw.Accent},
		said(tip+way*2, mid-1.7, map[bool]draw.Anchor{true: draw.Start, false: draw.End}[way > 0], draw.Accent, "+"),
	}}
	return svg(&draw.Drawing{W: w, H: h, Title: "which way a plus moves the pinion", Groups: []draw.Group{g}})
}

// dialPicks are the two ways a dial may stand on a crown wheel.
func dialPicks() []facePick {
	return []facePick{
		{setup.DialSquare, "square to the tooth: the pin pushes straight at the flank", dialPicture(true)},
		{setup.DialTurning, "in the plane of turning: the pin follows the rim", dialPicture(false)},
	}
}

// dialPicture shows a slanting tooth on the rim and the pin of a dial, square to
// its flank or along the rim.
func dialPicture(square bool) picture {
	const w, h, x, y = 96.0, 44.0, 34.0, 20.0
	g := draw.Group{Class: "picture", Items: []draw.Item{
		{Path: draw.Line(6, y, w-6, y), Pen: draw.Pen{Tone: draw.Faint, W: draw.Thin, Dash: draw.Chained}},
		{Path: draw.Poly(x-12, 6, x-4, 6, x+10, 36, x+2, 36), Pen: draw.Pen{Tone: draw.Ink, W: draw.Thick}},
		{Text: "rim", At: draw.Pt{X: w - 6, Y: y + 2}, Size: 4.8, Anchor: draw.End, Fill: draw.Faint},
	}}
	// The flank runs from (x−4, 6) to (x+10, 36); its middle is (x+3, 21).
	from, to := draw.Pt{X: x + 36, Y: y}, draw.Pt{X: x + 3.5, Y: y}
	if square {
		to = draw.Pt{X: x + 3, Y: 21}
		from = draw.Pt{X: to.X + 29, Y: to.Y - 13.5}
	}
	dx, dy := from.X-to.X, from.Y-to.Y
	n := math.Hypot(dx, dy)
	dx, dy = dx/n, dy/n
	g.Items = append(g.Items,
		draw.Item{Path: draw.Line(from.X, from.Y, to.X+4*dx, to.Y+4*dy), Pen: draw.Pen{Tone: draw.Accent, W: draw.Strong}},
		draw.Item{Path: draw.Poly(to.X, to.Y, to.X+4.5*dx-1.7*dy, to.Y+4.5*dy+1.7*dx, to.X+4.5*dx+1.7*dy, to.Y+4.5*dy-1.7*dx), Fill: draw.Accent},
		draw.Item{Path: draw.Circle(from.X+6*dx, from.Y+6*dy, 6), Pen: draw.Pen{Tone: draw.Accent, W: draw.Thick}})
	return svg(&draw.Drawing{W: w, H: h, Title: "how the dial stands", Groups: []draw.Group{g}})
}
