// Package gearbox says what a type of gearbox is: its carriers and positions,
// what may go where and which way round, its limits, settings, fastenings and
// rules, as one person wrote them down in a gearbox file.
//
// A gearbox file grows with what the person knows: the smallest is a list of
// positions in order, and each fact added wakes a feature. Nothing here reads
// a disk or a clock: Read takes the bytes of a file and returns a checked Box
// or a list of faults, each with its line, an excerpt and the mend.
package gearbox

import (
	"strings"

	"endfloat/calc/unit"
)

// Format is the version of the gearbox file that this program writes, and the
// newest that it reads.
const Format = 1

// Box is one type of gearbox.
type Box struct {
	Name     string
	About    string
	Sources  []Source
	Series   []Series
	Features []Feature
	Carriers []*Carrier
	Measures []*Measure
	Settings []*Setting
	Rules    []Rule
	Meshes   []Mesh
	Final    *Final    // crown wheel and pinion, nil if not given
	Etched   *Etched   // meaning of the number on the pinion, nil if not given
	Rotation *Rotation // nil if not given
	Closing  *Closing  // nil if not given
	Strength *Strength // nil if not given
	Text     []byte    // the file as written
	Hash     string    // SHA-256 of Text, hex: what a job pins
	byID     map[string]*Position
	byName   map[string]*Measure
	below    map[string][]*Position // worked out once, when the file is read
	order    []*Position
}

// Source is a book or sheet that limits are quoted from.
type Source struct {
	Key, Title string
	Year       int
}

// Series is a run of the type, such as early and late; any value may be keyed by it.
type Series struct{ Name, Years, Note string }

// Feature is a property that pieces of several positions may have in common,
// such as the form of the dogs, with the values it can take.
type Feature struct {
	Name   string
	Values []string
}

// Carrier is what positions sit on or in: a shaft with two named ends, a case,
// a lid, the differential.
type Carrier struct {
	ID, Name string
	Kind     string   // shaft, case, rails, differential
	Ends     []string // two names in the order of Order, or none
	Off      string   // the end at which its parts come off, "" when each says so or it has no ends
	Metal    string   // of a case: metal, by series
	Order    []*Position
}

// Position is the place in the gearbox where one piece, or one pack of shims, belongs.
type Position struct {
	ID      string
	Carrier *Carrier
	Index   int // place in Carrier.Order
	Name    string
	Kind    string // gear, hub, sleeve, baulk ring, needle cage, ball bearing, … ; "" unknown
	Count   int    // pieces that go there, at least 1

	Around, Inside string   // ids of the position it surrounds or sits within
	From           string   // end at which it comes off; "" = the carrier's
	After          []string // positions, carriers or settings that must be done first
	Covers         []string // carriers or positions that this part closes over
	Faces          []Facing // which way it must face; none = not known
	Either         bool     // the file says it may go either way round
	Mark           string   // witness mark, in words
	Once           bool     // a one-way part: always new
	Hidden         string   // a hidden fixing, told before anything is struck
	Care           []string // keys of cautions that belong to this step
	Note           string
	Found          bool // not in the file: it came off this one unit

	Width, Bore, OD Value   // lengths, SI
	Teeth           Value   // counts
	Values          []Named // any other named length, such as a crushed gasket
	HeatTo          Value   // temperature to heat the outer part to, °C
	Features        []Named // features all its pieces have
	Variants        []Variant
	Checks          []*Measure // what is inspected here

	Thread, Torque, Lock, Method Value // of a fastening; Torque in N·m
	LeftHand                     bool

	Seat *Seat // not nil where shims or other selective parts go

	Hot     *HotFit // nil where the fit is not given
	Push    string  // which ring is pushed, and with what tube
	People  int     // needed to fit it, at least 1
	Only    string  // the role that may fit it, beside the owner; "" = anybody
	minutes float64
}

// Named is a value with its name.
type Named struct {
	Name string
	Value
}

// Variant is a kind of part that a position may take.
type Variant struct {
	Name   string
	Series string  // the series in which it is usual; "" any
	Values []Named // dimensions and features that differ
}

// Facing is a named face and what it must face: an end of the carrier, a
// neighbouring position, or up, down, in or out.
type Facing struct{ Face, Toward string }

// Seat is a position that takes a pack chosen to measure.
type Seat struct {
	Stock    string      // name of the drawer's kind of piece that fits
	Max      int         // most pieces in the pack
	Thinnest unit.Length // no piece thinner than this
	Grind    bool        // one piece, ground to measure
	Crush    bool        // a sleeve that the nut crushes: set by drag, never backed off
}

// Lid reports whether the part closes over others.
func (p *Position) Lid() bool { return len(p.Covers) > 0 }

// Fastening reports whether the position is tightened to a torque.
func (p *Position) Fastening() bool { return p.Torque.Known() }

// Label is the id and the name: "P08 gear 1st".
func (p *Position) Label() string {
	if p.Name == "" || p.Name == p.ID {
		return p.ID
	}
	return p.ID + " " + p.Name
}

// OffEnd is the end at which the part comes off, "" where none is stated.
func (p *Position) OffEnd() string {
	if p.From != "" {
		return p.From
	}
	return p.Carrier.Off
}

// Limit is an allowed range with its provenance. Bounds are in SI units.
type Limit struct {
	Band Band   // within this it is in
	New  Band   // as new
	Plan Value  // beyond this plan to replace it next time
	From string // where the figure stands: source key and page
	Bad  string // "below" or "above": which side of Plan is the worn one
}

// Measure is something that can be read: a check at a position, or a named
// dimension that a setting rests on.
type Measure struct {
	Name    string
	Of      []string // positions whose pieces it belongs to
	Kind    unit.Kind
	Unit    unit.Unit
	With    string // instrument usually used
	Repeats int    // readings wanted, at least 1
	Places  int    // places around a turn, 0 = one place
	Spread  float64
	Metal   Value // metal whose expansion corrects a reading to 20 °C
	State   string
	Limit   *Limit
	Before  bool // a reading of the unit as it came in
	Help    string
	Check   bool     // belongs to a position's checks
	Play    bool     // a play: none read says only that it is tight
	Torqued []string // fastenings that must be at torque for the reading to hold
}

// Setting is a clearance, preload, depth or backlash brought within its limits
// by shims, spacers or selective parts.
type Setting struct {
	Name    string
	Kind    unit.Kind
	Unit    unit.Unit
	Chain   []Term   // what it is made of
	Raises  []string // seats where a thicker pack raises it
	Lowers  []string // seats where a thicker pack lowers it
	Factor  Value    // change per unit of move, 1 unless given
	FactorU float64  // its standard uncertainty
	Band    Band
	Wanted  Value // nominal figure, with Within
	Within  float64
	Etched  string // position whose etched number shifts Wanted
	Target  Value  // what to aim at inside the limits
	Places  int
	Spread  float64
	Proved  []string // measures that prove it after a change
	Before  []string // positions that may not go on before it is proven
	After   []string // settings that come first
	State   string   // the state in which it holds
	Sense   string   // "normal" or "turning": how the limit of a backlash is meant, "" not said
	Turning float64  // what a dial in the plane of turning reads for 1 square to the tooth, 0 not said
	Refit   float64  // how well it comes back when taken apart and put together, standard uncertainty, SI
	Hot     *Heated  // nil where nothing is said of heat
	From    string
	Help    string
}

// Heated says how a setting changes when the gearbox is warm all through.
type Heated struct {
	At    float64 // °C
	Over  Value   // length over which the case grows against steel
	Metal Value   // of the case
	Sign  float64 // +1 where growth raises the setting, −1 where it lowers it
	Cups  Value   // what looser cups take off, with its doubt
	Band  Band    // wanted hot; without it heat is shown and not judged
}

// Term is one link of a chain: a dimension of a position, the pack at a seat,
// or a measure.
type Term struct {
	Sign     float64
	Position string // id, with Dimension; or a seat when Dimension is ""
	Dim      string
	Measure  string
}

// Trial reports whether the setting is read as it stands, with whatever packs
// are in: its chain is of measures alone, or it has none.
func (s *Setting) Trial() bool {
	for _, t := range s.Chain {
		if t.Position != "" {
			return false
		}
	}
	return true
}

// Seats are the ids of all seats that move the setting, chain first.
func (s *Setting) Seats() []string {
	var ids []string
	for _, t := range s.Chain {
		if t.Position != "" && t.Dim == "" {
			ids = append(ids, t.Position)
		}
	}
	ids = append(ids, s.Raises...)
	return append(ids, s.Lowers...)
}

// Mesh is a pair of gears that run together, with what makes it one of the speeds.
type Mesh struct {
	Speed          string // "1", "R"
	Driver, Driven string // positions
	Idler          string
	Module         unit.Length
	Helix, Centre  Value
	Note           string
}

// Final is the crown wheel and pinion.
type Final struct{ Pinion, Crown string }

// Etched is the number on the pinion: its unit and which way plus points. An
// empty Plus means that nobody has said: it is asked, never assumed.
type Etched struct {
	On   string
	Unit unit.Length
	Plus string // "further" or "nearer" to the crown axis
}

// Position returns the position with that id.
func (b *Box) Position(id string) (*Position, bool) {
	p, ok := b.byID[id]
	return p, ok
}

// Carrier returns the carrier with that id.
func (b *Box) Carrier(id string) (*Carrier, bool) {
	for _, c := range b.Carriers {
		if c.ID == id {
			return c, true
		}
	}
	return nil, false
}

// Measure returns what is read under that name: a named dimension, a check
// written "P09 ring gap", or a setting read as it stands.
func (b *Box) Measure(name string) (*Measure, bool) {
	m, ok := b.byName[strings.ToLower(strings.TrimSpace(name))]
	return m, ok
}

// Setting returns the setting of that name.
func (b *Box) Setting(name string) (*Setting, bool) {
	for _, s := range b.Settings {
		if strings.EqualFold(s.Name, strings.TrimSpace(name)) {
			return s, true
		}
	}
	return nil, false
}

// All returns every position, carrier by carrier, in order.
func (b *Box) All() []*Position {
	var all []*Position
	for _, c := range b.Carriers {
		all = append(all, c.Order...)
	}
	return all
}

// HasSeries reports whether name is one of the file's series.
func (b *Box) HasSeries(name string) bool {
	for _, s := range b.Series {
		if s.Name == name {
			return true
		}
	}
	return false
}
