package job

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"endfloat/internal/gearbox"
)

// State is what a book leads to.
type State struct {
	Box     *gearbox.Box // nil where no gearbox file is known
	Book    string
	Opened  Opened
	Closed  *Closed
	Seq     int       // last entry
	Last    time.Time // its time
	Entries []Entry   // all, in order, struck ones too
	Struck  map[string]Struck

	Pieces      map[string]*Piece
	Where       map[string]string   // tag → place; the unit's own positions are "in P08"
	At          map[string][]string // position → tags of the pieces there
	Latest      map[string]string   // position → tags of the pieces last there, even when off again
	Spots       map[string]*Spot
	Readings    []Reading
	Answers     map[string]string
	Allowed     map[string]Allowed
	Passed      map[string]int // hold → sequence number at which it was passed
	Notes       []Entry
	Signed      []Entry
	Costs       []Entry
	Patterns    []Done[Pattern]
	Tests       map[string]*Done[Tested] // the last of each
	Instruments map[string]Instrument
	Tools       map[string]Tool
	Boxes       map[string]string // name → key of the gearbox file
	Offers      []Offered         // what can be bought
	Orders      []*Order          // in order
	Terms       *Terms
	Bench
	Trail  map[string][]int // tag → sequence numbers of its history
	Stray  []string         // what could not be placed, in words
	built  gearbox.Built
	seated map[string]string // tag → position, of pieces in the unit
	gone   map[string]bool   // tags that left for another book
}

// Spot is what happened at one position.
type Spot struct {
	Off      *Done[TakenOff]
	Decided  *Done[Decided]
	Fitted   *Done[Fitted] // the last fitting, nil when empty or as found
	Torqued  *Done[Torqued]
	Locked   *Done[Locked]
	Heated   *Done[Heated] // the last time its part was out of the oven
	Changed  int           // sequence number at which its pieces last changed
	Photos   []string
	Notes    []int
	AsFound  []string // tags of what came off here
	Unlisted bool     // the gearbox file does not have it
}

// Done is a body with the entry it stands in.
type Done[B any] struct {
	Entry
	Is B
}

// Reading is a set of readings with what was in the unit when it was taken.
type Reading struct {
	Entry
	Is    Read
	Packs map[string]Pack   // at every seat, as known then
	Of    map[string]string // the pieces it is about, by position
	Loose []string          // fastenings that should have been at torque for it and were not
}

// Pack is the pieces at a seat and their measured total.
type Pack struct {
	Tags []string
	SI   float64 // total thickness
	U    float64
	Ok   bool // every piece has a measured thickness
}

// Tag is the tag of the piece that was found at a position of a unit.
func Tag(letter, position string) string { return letter + "-" + position }

// Replay reads a book. box may be nil. It never refuses.
func Replay(book string, box *gearbox.Box, entries []Entry) *State {
	s := &State{
		Book: book, Box: box, Entries: entries, Struck: struck(entries),
		Pieces: map[string]*Piece{}, Where: map[string]string{}, At: map[string][]string{}, Latest: map[string]string{}, Spots: map[string]*Spot{},
		Answers: map[string]string{}, Allowed: map[string]Allowed{}, Passed: map[string]int{}, Instruments: map[string]Instrument{},
		Tools: map[string]Tool{}, Boxes: map[string]string{}, Trail: map[string][]int{}, Tests: map[string]*Done[Tested]{},
		seated: map[string]string{}, gone: map[string]bool{},
	}
	for _, e := range entries {
		s.Seq = e.Seq
		s.Last = e.At
		if _, gone := s.Struck[e.ID]; gone {
			continue
		}
		s.apply(e)
	}
	s.built = s.build()
	return s
}

// BoxKey is the key of the gearbox file that a book pins, "" when none.
func BoxKey(entries []Entry) string {
	var only []Entry
	for _, e := range entries {
		switch e.Kind {
		case "opened", "repinned", "struck":
			only = append(only, e)
		}
	}
	return Replay("", nil, only).Opened.Box
}

// struck finds what is struck: a strike that was itself struck does not count.
func struck(entries []Entry) map[string]Struck {
	out := map[string]Struck{}
	for i := len(entries) - 1; i >= 0; i-- {
		e := entries[i]
		if e.Kind != "struck" {
			continue
		}
		if _, gone := out[e.ID]; gone {
			continue
		}
		var b Struck
		if json.Unmarshal(e.Body, &b) == nil && b.Entry != "" && b.Entry != e.ID {
			out[b.Entry] = b
		}
	}
	return out
}

// body reads the body of an entry; what cannot be read is a stray.
func body[B any](s *State, e Entry) (B, bool) {
	var b B
	if err := json.Unmarshal(e.Body, &b); err != nil {
		s.stray(e, "cannot be read: %v", err)
		return b, false
	}
	return b, true
}

func (s *State) stray(e Entry, format string, args ...any) {
	s.Stray = append(s.Stray, fmt.Sprintf("entry %d (%s) ", e.Seq, e.Kind)+fmt.Sprintf(format, args...))
}

// spot returns the record of a position, making it when it is new.
func (s *State) spot(position string) *Spot {
	sp := s.Spots[position]
	if sp == nil {
		sp = &Spot{}
		s.Spots[position] = sp
	}
	return sp
}

func (s *State) known(e Entry, position string) bool {
	if s.Box == nil {
		return true
	}
	if _, ok := s.Box.Position(position); ok {
		return true
	}
	s.spot(position).Unlisted = true
	s.stray(e, "names position %s, which the gearbox file does not have", position)
	return false
}

func (s *State) apply(e Entry) {
	switch e.Kind {
	case "opened":
		if b, ok := body[Opened](s, e); ok {
			s.open(e, b)
		}
	case "taken off":
		s.takenOff(e)
	case "read":
		s.read(e)
	case "decided":
		if b, ok := body[Decided](s, e); ok {
			s.known(e, b.Position)
			s.spot(b.Position).Decided = &Done[Decided]{e, b}
		}
	case "added":
		if b, ok := body[Added](s, e); ok {
			s.arrive(e, b.Piece, b.Place)
		}
	case "came":
		if b, ok := body[Came](s, e); ok {
			s.arrive(e, b.Piece, b.Place)
		}
	case "left":
		if b, ok := body[Left](s, e); ok {
			s.leave(e, b.Tag)
		}
	case "put":
		if b, ok := body[Put](s, e); ok && s.piece(e, b.Tag) != nil {
			s.lift(e, b.Tag)
			s.Where[b.Tag] = b.Place
		}
	case "marked":
		if b, ok := body[Marked](s, e); ok {
			s.marked(e, b)
		}
	case "fitted":
		s.fitted(e)
	case "torqued":
		if b, ok := body[Torqued](s, e); ok {
			s.known(e, b.Position)
			s.spot(b.Position).Torqued = &Done[Torqued]{e, b}
			s.photos(b.Position, b.Photos)
		}
	case "locked":
		if b, ok := body[Locked](s, e); ok {
			s.known(e, b.Position)
			s.spot(b.Position).Locked = &Done[Locked]{e, b}
			s.photos(b.Position, b.Photos)
		}
	case "offered", "ordered", "arrived", "sent back", "terms":
		s.trade(e)
	default:
		if !s.bench(e) {
			s.others(e)
		}
	}
}

func (s *State) others(e Entry) {
	switch e.Kind {
	case "noted":
		if b, ok := body[Noted](s, e); ok {
			s.Notes = append(s.Notes, e)
			if b.Position != "" {
				sp := s.spot(b.Position)
				sp.Notes = append(sp.Notes, e.Seq)
				s.photos(b.Position, b.Photos)
			}
		}
	case "answered":
		if b, ok := body[Answered](s, e); ok {
			s.Answers[b.Question] = b.Answer
		}
	case "allowed":
		if b, ok := body[Allowed](s, e); ok {
			s.Allowed[b.Hold], s.Passed[b.Hold] = b, e.Seq
		}
	case "signed":
		s.Signed = append(s.Signed, e)
	case "cost":
		s.Costs = append(s.Costs, e)
	case "pattern":
		if b, ok := body[Pattern](s, e); ok {
			s.Patterns = append(s.Patterns, Done[Pattern]{e, b})
		}
	case "closed":
		if b, ok := body[Closed](s, e); ok {
			s.Closed = &b
		}
	case "instrument":
		if b, ok := body[Instrument](s, e); ok {
			s.Instruments[b.Name] = b
		}
	case "tool":
		if b, ok := body[Tool](s, e); ok {
			s.Tools[b.Name] = b
		}
	case "kept box":
		if b, ok := body[KeptBox](s, e); ok {
			s.Boxes[b.Name] = b.Box
		}
	case "heated":
		if b, ok := body[Heated](s, e); ok {
			s.known(e, b.Position)
			s.spot(b.Position).Heated = &Done[Heated]{e, b}
			s.photos(b.Position, b.Photos)
		}
	case "tested":
		if b, ok := body[Tested](s, e); ok {
			s.Tests[b.Test] = &Done[Tested]{e, b}
		}
	case "repinned":
		if b, ok := body[Repinned](s, e); ok {
			s.Opened.Box = b.Box
		}
	case "struck":
	case "":
		s.stray(e, "is not an entry this program can read")
	default:
		s.stray(e, "is of a kind this program does not know; a newer one may have written it")
	}
}

// open begins the job; a book begins once.
func (s *State) open(e Entry, b Opened) {
	if s.Opened.Letter != "" || s.Opened.Unit != "" {
		s.stray(e, "begins a job that was begun already")
		return
	}
	s.Opened = b
	s.asFound()
}

// asFound gives every position the piece that came in with the unit.
func (s *State) asFound() {
	if s.Box == nil {
		return
	}
	as := s.Box.As(s.Opened.Series)
	for _, p := range s.Box.All() {
		tag := Tag(s.Opened.Letter, p.ID)
		if s.Pieces[tag] != nil || s.gone[tag] || len(s.At[p.ID]) > 0 {
			continue // an entry out of order was here first
		}
		s.Pieces[tag] = &Piece{Tag: tag, Name: p.Name, Position: p.ID, Variant: as.Variants[p.ID], Count: p.Count, Origin: s.Opened.Unit}
		s.seat(tag, p.ID)
		s.At[p.ID] = []string{tag}
		s.Latest[p.ID] = tag
	}
}

func (s *State) arrive(e Entry, p Piece, place string) {
	if _, here := s.Where[p.Tag]; here {
		s.lift(e, p.Tag)
	}
	s.Pieces[p.Tag] = &p
	s.Where[p.Tag] = place
	delete(s.gone, p.Tag)
	s.Trail[p.Tag] = append(s.Trail[p.Tag], e.Seq)
}

func (s *State) piece(e Entry, tag string) *Piece {
	p := s.Pieces[tag]
	if p == nil {
		s.stray(e, "names piece %s, which is not in this book", tag)
	}
	return p
}

func (s *State) leave(e Entry, tag string) {
	if s.piece(e, tag) == nil {
		return
	}
	s.lift(e, tag)
	delete(s.Where, tag)
	delete(s.Pieces, tag)
	s.gone[tag] = true
}

// lift takes a piece out of the position it sits in, if it does.
func (s *State) lift(e Entry, tag string) {
	s.Trail[tag] = append(s.Trail[tag], e.Seq)
	pos, in := s.seated[tag]
	if !in {
		return
	}
	delete(s.seated, tag)
	s.At[pos] = slices.DeleteFunc(slices.Clone(s.At[pos]), func(t string) bool { return t == tag })
	sp := s.spot(pos)
	sp.Changed = e.Seq
	if len(s.At[pos]) == 0 {
		sp.Fitted, sp.Torqued, sp.Locked = nil, nil, nil
	}
}

func (s *State) photos(position string, keys []string) {
	sp := s.spot(position)
	sp.Photos = append(sp.Photos, keys...)
}

func (s *State) takenOff(e Entry) {
	b, ok := body[TakenOff](s, e)
	if !ok {
		return
	}
	if b.Name == "" {
		s.known(e, b.Position)
	} else if s.Box == nil || !s.isPosition(b.Position) {
		s.spot(b.Position).Unlisted = true // a part that the file does not have, named by who took it off
	}
	sp := s.spot(b.Position)
	tags := slices.Clone(s.At[b.Position])
	if len(tags) == 0 {
		// Never in a file, or already off once: the part still came off.
		tag := Tag(s.Opened.Letter, b.Position)
		if s.gone[tag] {
			s.stray(e, "takes off piece %s, which has gone to another book", tag)
			return
		}
		if _, had := s.Pieces[tag]; !had {
			s.Pieces[tag] = &Piece{Tag: tag, Name: b.Name, Position: b.Position, Count: max(1, b.Count), Origin: s.Opened.Unit}
		}
		tags = []string{tag}
	}
	for _, t := range tags {
		s.lift(e, t)
		s.Where[t] = b.Place
	}
	if sp.Off == nil {
		sp.AsFound = tags
		sp.Off = &Done[TakenOff]{e, b}
		s.foundThick(b, tags[0])
	}
	s.photos(b.Position, b.Photos)
}

// foundThick gives the as-found pack its measured pieces.
func (s *State) foundThick(b TakenOff, tag string) {
	p := s.Pieces[tag]
	if b.Count > 0 {
		p.Count = b.Count
	}
	p.Thick, p.SI, p.U = strings.Join(b.Thick, " + "), b.SI, b.U
}

func (s *State) marked(e Entry, b Marked) {
	p := s.piece(e, b.Tag)
	if p == nil {
		return
	}
	if p.Marks == nil {
		p.Marks = map[string]string{}
	}
	for k, v := range b.Marks {
		p.Marks[k] = v
	}
	s.Trail[b.Tag] = append(s.Trail[b.Tag], e.Seq)
}

func (s *State) fitted(e Entry) {
	b, ok := body[Fitted](s, e)
	if !ok {
		return
	}
	s.known(e, b.Position)
	aside := b.Aside
	if aside == "" {
		aside = "bench"
	}
	for _, t := range slices.Clone(s.At[b.Position]) {
		if !slices.Contains(b.Tags, t) {
			s.lift(e, t)
			s.Where[t] = aside
		}
	}
	var in []string
	for _, t := range b.Tags {
		if s.piece(e, t) == nil || slices.Contains(in, t) {
			continue
		}
		s.lift(e, t)
		s.seat(t, b.Position)
		in = append(in, t)
	}
	s.At[b.Position] = in
	s.Latest[b.Position] = strings.Join(in, " ")
	sp := s.spot(b.Position)
	sp.Fitted, sp.Torqued, sp.Locked, sp.Changed = &Done[Fitted]{e, b}, nil, nil, e.Seq
	s.photos(b.Position, b.Photos)
}

// Changed is the sequence number at which the pieces of a position last
// changed, 0 when they never did.
func (s *State) Changed(position string) int {
	if sp := s.Spots[position]; sp != nil {
		return sp.Changed
	}
	return 0
}

// In reports whether the piece sits in the unit, and at which position.
func (s *State) In(tag string) (position string, in bool) {
	position, in = s.seated[tag]
	return
}

// seat notes that a piece sits at a position.
func (s *State) seat(tag, position string) {
	s.seated[tag] = position
	s.Where[tag] = "in " + position
}

// Built is what the unit is built as: the variant at each position is that of
// the piece there, else of the piece decided for it, else the usual one of
// its series.
func (s *State) Built() gearbox.Built { return s.built }

func (s *State) build() gearbox.Built {
	as := gearbox.Built{Series: s.Opened.Series, Variants: map[string]string{}}
	if s.Box == nil {
		return as
	}
	as = s.Box.As(s.Opened.Series)
	for pos, sp := range s.Spots {
		if sp.Decided != nil && len(s.At[pos]) == 0 {
			if v := sp.Decided.Is.Variant; v != "" {
				as.Variants[pos] = v
			}
		}
	}
	for pos, tags := range s.At {
		for _, t := range tags {
			if p := s.Pieces[t]; p != nil && p.Variant != "" {
				v := p.Variant
				as.Variants[pos] = v
			}
		}
	}
	return as
}
