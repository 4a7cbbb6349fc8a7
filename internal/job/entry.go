// Package job is the book of a rebuild: its entries, the tree of hashes that
// pins them, and the state they lead to.
//
// A book is append-only. Nothing in it is overwritten: an entry can be struck
// and a better one written. Replay reads every book ever written and never
// refuses; what it cannot place becomes a finding. Checks live in whoever
// decides to write, not here.
package job

import (
	"bytes"
	"encoding/json"
	"fmt"
	"time"
)

// Entry is one line of a book. What is stored and hashed are the bytes that
// Encode made once; they are never encoded again.
type Entry struct {
	ID   string          `json:"id"`           // UUIDv7, made where the entry was made
	At   time.Time       `json:"at"`           // clock of the device, UTC
	By   string          `json:"by,omitempty"` // person: key of the salted blob with the name
	On   string          `json:"on,omitempty"` // device
	N    int             `json:"n,omitempty"`  // the device's own counter
	Kind string          `json:"kind"`
	Body json.RawMessage `json:"body"`

	Seq int `json:"-"` // place in the book, from 1
}

// Line is an entry as a store keeps it.
type Line struct {
	Seq   int
	ID    string
	Bytes []byte
}

// Body is what an entry of one kind says. Kinds are never changed, only
// succeeded by new ones.
type Body interface{ Kind() string }

// Encode makes the bytes of an entry.
func Encode(e Entry, b Body) ([]byte, error) {
	body, err := plain(b)
	if err != nil {
		return nil, fmt.Errorf("entry %s: %w", b.Kind(), err)
	}
	e.Kind, e.Body = b.Kind(), body
	e.At = e.At.UTC().Truncate(time.Millisecond)
	out, err := plain(e)
	if err != nil {
		return nil, fmt.Errorf("entry %s: %w", b.Kind(), err)
	}
	return out, nil
}

// plain is JSON with every letter as it was typed: < and & are not escaped.
func plain(v any) ([]byte, error) {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimRight(buf.Bytes(), "\n"), nil
}

// Decode reads a stored line. A line that is no entry at all comes back with
// kind "" so that Replay can say so.
func Decode(l Line) Entry {
	var e Entry
	if err := json.Unmarshal(l.Bytes, &e); err != nil {
		e = Entry{}
	}
	e.Seq = l.Seq
	if e.ID == "" {
		e.ID = l.ID
	}
	return e
}

// DecodeAll reads the lines of a book.
func DecodeAll(ls []Line) []Entry {
	es := make([]Entry, len(ls))
	for i, l := range ls {
		es[i] = Decode(l)
	}
	return es
}

// Opened begins the book of a job.
type Opened struct {
	Unit     string `json:"unit"`   // name of the unit: what it is called at the bench
	Letter   string `json:"letter"` // one letter on every tag
	Colour   string `json:"colour"` // of its tape
	Type     string `json:"type"`   // gearbox type, by name
	Box      string `json:"box"`    // key of the gearbox file's blob
	Series   string `json:"series,omitempty"`
	Donor    bool   `json:"donor,omitempty"` // here for its parts
	Owner    string `json:"owner,omitempty"` // key of a person's blob
	Number   string `json:"number,omitempty"`
	Year     string `json:"year,omitempty"`
	Asked    string `json:"asked,omitempty"`    // what was asked for
	Symptoms string `json:"symptoms,omitempty"` // what is wrong with it
	Due      string `json:"due,omitempty"`
	Since    string `json:"since,omitempty"` // hours or distance since it was last here
}

// Repinned pins another version of the gearbox file to a job.
type Repinned struct {
	Box string `json:"box"`
	Why string `json:"why,omitempty"`
}

// Person makes somebody known to the workshop, in the stores.
type Person struct {
	Person  string `json:"person"`            // key of the blob with the name
	Contact string `json:"contact,omitempty"` // key of the blob that says how they are reached
	Role    string `json:"role,omitempty"`    // customer, engineer, helper, supplier
	Was     string `json:"was,omitempty"`     // key of the name that this one mends
}

// Noted is a note to oneself or to others, pinned to a position if it names one.
type Noted struct {
	Text     string   `json:"text"`
	Position string   `json:"position,omitempty"`
	Topic    string   `json:"topic,omitempty"` // received, debris, oil, parts, pause, test, hand-over …
	Until    string   `json:"until,omitempty"` // position before which it must be answered
	Type     string   `json:"type,omitempty"`  // in the stores: gearbox type for which it comes up again
	Photos   []string `json:"photos,omitempty"`
}

// TakenOff records a part coming off.
type TakenOff struct {
	Position string   `json:"position"`
	Faced    string   `json:"faced,omitempty"` // "cone toward nut", "either way"
	Marks    string   `json:"marks,omitempty"`
	Moved    string   `json:"moved,omitempty"` // what it took: hand, puller, press, heat
	Damage   string   `json:"damage,omitempty"`
	Place    string   `json:"place"`           // tray or bag
	Thick    []string `json:"thick,omitempty"` // of each piece of a pack, as typed
	SI       float64  `json:"si,omitempty"`    // their total, in metres
	U        float64  `json:"u,omitempty"`     // its standard uncertainty
	Count    int      `json:"count,omitempty"` // found, when it is not what the file says
	Name     string   `json:"name,omitempty"`  // of a part that no gearbox file knows
	Carrier  string   `json:"carrier,omitempty"`
	PartKind string   `json:"part,omitempty"`
	Ends     []string `json:"ends,omitempty"`    // the two of that carrier, in the order of its parts
	From     string   `json:"from,omitempty"`    // the end at which it came off
	Against  string   `json:"against,omitempty"` // the position it lay against, on the side that stays
	NoPhoto  string   `json:"noPhoto,omitempty"` // why none was taken
	Photos   []string `json:"photos,omitempty"`
}

// Read is a set of readings of one thing: the text as typed and its SI values.
type Read struct {
	What   string    `json:"what"`   // a measure or setting of the gearbox file, or free words
	Values []string  `json:"values"` // as typed
	SI     []float64 `json:"si"`
	Unit   string    `json:"unit"` // in which it is shown
	With   string    `json:"with,omitempty"`
	U      float64   `json:"u"`                // standard uncertainty of one reading, SI
	Common float64   `json:"common,omitempty"` // share of U that all repeats have in common
	Temp   *float64  `json:"temp,omitempty"`   // °C, of part and instrument
	Sure   bool      `json:"sure,omitempty"`   // typed again after being questioned
	Piece  string    `json:"piece,omitempty"`  // tag, when it is not the piece that is or was last there
	Dial   []string  `json:"dial,omitempty"`   // of a dial once round, as typed: the value is the swing they show
	State  string    `json:"state,omitempty"`  // nut torqued, gasket in, oiled
	Note   string    `json:"note,omitempty"`
	Photos []string  `json:"photos,omitempty"`
}

// Decided says what becomes of the part of a position.
type Decided struct {
	Position string `json:"position"`
	Choice   string `json:"choice"` // reuse, new, donor, repair, scrap
	Why      string `json:"why,omitempty"`
	Piece    string `json:"piece,omitempty"`   // tag of the piece that is to go there
	Variant  string `json:"variant,omitempty"` // of the part that is to go there
	Level    string `json:"level,omitempty"`   // from which level of price on it is done: safe, proper, new
	Price    string `json:"price,omitempty"`   // of the part, as typed
	Hours    string `json:"hours,omitempty"`   // of work beyond taking apart and putting together
}

// Piece is one physical part or a counted lot.
type Piece struct {
	Tag      string            `json:"tag"`
	Name     string            `json:"name"`
	Stock    string            `json:"stock,omitempty"`    // kind of drawer piece: side shim
	Position string            `json:"position,omitempty"` // where pieces like it belong
	Variant  string            `json:"variant,omitempty"`
	Count    int               `json:"count,omitempty"`
	Thick    string            `json:"thick,omitempty"`   // measured, as typed
	SI       float64           `json:"si,omitempty"`      // the same in metres
	U        float64           `json:"u,omitempty"`       // its standard uncertainty
	Nominal  string            `json:"nominal,omitempty"` // as stamped or sold
	Origin   string            `json:"origin,omitempty"`  // unit, supplier or drawer
	Marks    map[string]string `json:"marks,omitempty"`   // set number, etched number, paint
	Price    string            `json:"price,omitempty"`
}

// Added brings a piece into a book from outside: bought, made, found.
type Added struct {
	Piece Piece  `json:"piece"`
	Place string `json:"place"`
}

// Came and Left move a piece between two books; both are appended in one
// transaction, so that a piece is never in two places.
type Came struct {
	Piece Piece  `json:"piece"`
	From  string `json:"from"` // book
	Place string `json:"place"`
}

// Left says that a piece has gone to another book.
type Left struct {
	Tag string `json:"tag"`
	To  string `json:"to"`
	Why string `json:"why,omitempty"`
}

// Put moves a piece within its book.
type Put struct {
	Tag   string `json:"tag"`
	Place string `json:"place"`
}

// Marked adds what was found on a piece: a set number, an etched number.
type Marked struct {
	Tag   string            `json:"tag"`
	Marks map[string]string `json:"marks"`
}

// Fitted puts a piece, or a pack of them, into its position.
type Fitted struct {
	Position string   `json:"position"`
	Tags     []string `json:"tags"`
	Faces    string   `json:"faces,omitempty"`
	Trial    bool     `json:"trial,omitempty"`
	Aside    string   `json:"aside,omitempty"` // where what was there before goes
	With     string   `json:"with,omitempty"`  // the second person, where two are needed
	Photos   []string `json:"photos,omitempty"`
}

// Heated records a part out of the oven or the freezer, on its way to its seat.
type Heated struct {
	Position string   `json:"position"`
	Oven     string   `json:"oven"`            // what the oven showed, as typed
	SI       float64  `json:"si"`              // the same in °C
	Inner    string   `json:"inner,omitempty"` // of the inner part, when it was chilled
	InnerSI  *float64 `json:"innerSI,omitempty"`
	Seconds  float64  `json:"seconds,omitempty"` // that the slip was worked out to last
	Photos   []string `json:"photos,omitempty"`
}

// Tested records a proof or a closing test: what was filled in, what came of it
// and the limit it was held against.
type Tested struct {
	Test    string            `json:"test"` // interlock, direction, forks, leak, spin, shift, oil
	Values  map[string]string `json:"values,omitempty"`
	Good    bool              `json:"good"`
	Says    string            `json:"says"`             // the result in a sentence
	Wanted  string            `json:"wanted,omitempty"` // with where it stands
	Working string            `json:"working,omitempty"`
	Witness string            `json:"witness,omitempty"`
	Note    string            `json:"note,omitempty"`
	Photos  []string          `json:"photos,omitempty"`
}

// Torqued records how a fastening was brought to its torque.
type Torqued struct {
	Position string   `json:"position"`
	Method   string   `json:"method"` // wrench, bar and scale, wrench with extension
	Tool     string   `json:"tool,omitempty"`
	Reading  string   `json:"reading"`
	Torque   float64  `json:"torque"` // N·m reached
	U        float64  `json:"u,omitempty"`
	Working  string   `json:"working,omitempty"`
	Trial    bool     `json:"trial,omitempty"`
	Warnings []string `json:"warnings,omitempty"`
	Photos   []string `json:"photos,omitempty"`
}

// Locked records that a fastening was locked and how.
type Locked struct {
	Position string   `json:"position"`
	How      string   `json:"how"`
	Line     bool     `json:"line,omitempty"` // a line of paint over nut and shaft, to see it turn
	Photos   []string `json:"photos,omitempty"`
}

// Answered is a person's answer to a question that must not be assumed.
type Answered struct {
	Question string `json:"question"`
	Answer   string `json:"answer"`
	Why      string `json:"why,omitempty"`
}

// Allowed passes a hold or a rule with a written reason.
type Allowed struct {
	Hold    string `json:"hold"` // key of the finding
	Why     string `json:"why"`
	Witness string `json:"witness,omitempty"`
}

// Signed is a signature for a stage or the whole.
type Signed struct {
	What string `json:"what"`
	Name string `json:"name"` // key of the person's blob
	As   string `json:"as,omitempty"`
}

// Cost is money or hours spent.
type Cost struct {
	What  string `json:"what"`
	Stage string `json:"stage,omitempty"`
	Hours string `json:"hours,omitempty"`
	Money string `json:"money,omitempty"`
}

// Pattern is one try of the contact pattern, with the depth and the backlash
// that it was rolled at.
type Pattern struct {
	Drive    Contact  `json:"drive"`
	Coast    Contact  `json:"coast"`
	Depth    *float64 `json:"depth,omitempty"`    // SI, as estimated then
	Backlash *float64 `json:"backlash,omitempty"` // SI
	Next     string   `json:"next,omitempty"`     // the move it asks for
	Good     bool     `json:"good,omitempty"`
	Note     string   `json:"note,omitempty"`
	Photos   []string `json:"photos,omitempty"`
}

// Contact is where the paste was rubbed off one flank.
type Contact struct {
	Height string `json:"height"` // high, mid, low
	End    string `json:"end"`    // toe, centre, heel
}

// Struck takes an earlier entry out of account; it stays in the book.
type Struck struct {
	Entry string `json:"entry"`
	Why   string `json:"why,omitempty"`
}

// Closed hands the unit over.
type Closed struct {
	To   string `json:"to,omitempty"`
	Oil  string `json:"oil"` // dry, filled
	Note string `json:"note,omitempty"`
}

// Instrument is a measuring instrument of the workshop.
type Instrument struct {
	Name     string  `json:"name"`
	Quantity string  `json:"quantity"`
	Unit     string  `json:"unit"`
	U        float64 `json:"u"`      // standard uncertainty of one reading, SI
	Common   float64 `json:"common"` // share common to repeats
	Metal    string  `json:"metal,omitempty"`
	Checked  string  `json:"checked,omitempty"`
}

// Tool is a bar, wrench, scale or tube that sums are made with.
type Tool struct {
	Name   string            `json:"name"`
	Class  string            `json:"class"`            // bar, scale, torque wrench, tube
	Values map[string]string `json:"values,omitempty"` // length, mass, centre, range
}

// Offered is a part that can be bought, kept in the stores. Another offer of
// the same supplier for the same part takes its place.
type Offered struct {
	Type     string            `json:"type"` // of gearbox, by name
	Position string            `json:"position"`
	Variant  string            `json:"variant,omitempty"`
	Supplier string            `json:"supplier"`
	Price    string            `json:"price,omitempty"`
	Days     int               `json:"days,omitempty"`   // until it is here
	Count    int               `json:"count,omitempty"`  // how many can be had, 0 = as many as wanted
	Return   int               `json:"return,omitempty"` // days in which a wrong one goes back
	Marks    map[string]string `json:"marks,omitempty"`
	Gone     bool              `json:"gone,omitempty"` // no longer offered
}

// OrderLine is a line of an order: a piece that is to come, by the tag it will have.
type OrderLine struct {
	Tag      string `json:"tag"`
	Position string `json:"position"`
	Variant  string `json:"variant,omitempty"`
	Count    int    `json:"count,omitempty"`
	Price    string `json:"price,omitempty"` // of the line
}

// Ordered says what was ordered for a unit.
type Ordered struct {
	Supplier  string      `json:"supplier"`
	Reference string      `json:"reference,omitempty"`
	Expected  string      `json:"expected,omitempty"` // day, 2026-02-15
	Return    int         `json:"return,omitempty"`   // days in which a wrong one goes back
	Lines     []OrderLine `json:"lines"`
}

// Arrived is a goods-in check: what was measured and seen on a part as it came,
// and what came of it. A part that is right is a piece of the book from then on.
type Arrived struct {
	Tag    string             `json:"tag"`
	Values map[string]string  `json:"values,omitempty"` // as typed: width, bore, teeth, dogs, hand, gap
	SI     map[string]float64 `json:"si,omitempty"`
	Place  string             `json:"place,omitempty"`
	Good   bool               `json:"good"`
	Says   []string           `json:"says,omitempty"`  // what is wrong, or to be known
	Until  string             `json:"until,omitempty"` // last day on which it may go back
	Piece  *Piece             `json:"piece,omitempty"`
	Photos []string           `json:"photos,omitempty"`
}

// SentBack returns a part that came wrong.
type SentBack struct {
	Tag      string `json:"tag"`
	Why      string `json:"why,omitempty"`
	Expected string `json:"expected,omitempty"` // day on which the right one is to come
}

// Terms are what work and parts are reckoned at: of one job, or in the stores
// what is usual in this workshop.
type Terms struct {
	Hour        string `json:"hour,omitempty"`   // what an hour of work costs
	Margin      string `json:"margin,omitempty"` // on parts: 15 %
	Consumables string `json:"consumables,omitempty"`
	Contingency string `json:"contingency,omitempty"`
	Hours       string `json:"hours,omitempty"` // that a job is expected to take
}

// KeptBox keeps a gearbox file in the workshop's stores.
type KeptBox struct {
	Name string `json:"name"`
	Box  string `json:"box"`
}

func (Opened) Kind() string     { return "opened" }
func (Repinned) Kind() string   { return "repinned" }
func (Person) Kind() string     { return "person" }
func (Noted) Kind() string      { return "noted" }
func (TakenOff) Kind() string   { return "taken off" }
func (Read) Kind() string       { return "read" }
func (Decided) Kind() string    { return "decided" }
func (Added) Kind() string      { return "added" }
func (Came) Kind() string       { return "came" }
func (Left) Kind() string       { return "left" }
func (Put) Kind() string        { return "put" }
func (Marked) Kind() string     { return "marked" }
func (Fitted) Kind() string     { return "fitted" }
func (Heated) Kind() string     { return "heated" }
func (Tested) Kind() string     { return "tested" }
func (Torqued) Kind() string    { return "torqued" }
func (Locked) Kind() string     { return "locked" }
func (Answered) Kind() string   { return "answered" }
func (Allowed) Kind() string    { return "allowed" }
func (Signed) Kind() string     { return "signed" }
func (Cost) Kind() string       { return "cost" }
func (Pattern) Kind() string    { return "pattern" }
func (Struck) Kind() string     { return "struck" }
func (Closed) Kind() string     { return "closed" }
func (Instrument) Kind() string { return "instrument" }
func (Tool) Kind() string       { return "tool" }
func (Offered) Kind() string    { return "offered" }
func (Ordered) Kind() string    { return "ordered" }
func (Arrived) Kind() string    { return "arrived" }
func (SentBack) Kind() string   { return "sent back" }
func (Terms) Kind() string      { return "terms" }
func (KeptBox) Kind() string    { return "kept box" }
