package job

import "slices"

// The entries of receiving, cleaning, looking, matching and agreeing.

// Received says in what state a unit came in.
type Received struct {
	Marks    string            `json:"marks,omitempty"`    // numbers cast and stamped, plates, counts
	Complete string            `json:"complete,omitempty"` // what came with it
	Missing  string            `json:"missing,omitempty"`  // what did not, and what is broken
	Gears    map[string]string `json:"gears,omitempty"`    // speed → what is wrong in it
	Oil      string            `json:"oil,omitempty"`      // volume, colour, smell, water
	Debris   string            `json:"debris,omitempty"`   // on the magnet and in the sieve
	Loose    string            `json:"loose,omitempty"`    // in the bag "found loose"
	Outside  string            `json:"outside,omitempty"`  // linkage, mounts, clutch, and what was changed there
	Sides    map[string]string `json:"sides,omitempty"`    // front, rear, left, right, top, below → photo
	Photos   []string          `json:"photos,omitempty"`
}

// Estimate is what the customer was told that it may come to, as a range.
type Estimate struct {
	Asked string  `json:"asked,omitempty"`
	Level string  `json:"level,omitempty"` // safe, proper, new
	Low   string  `json:"low"`             // as typed, with its money
	High  string  `json:"high"`
	LowIs float64 `json:"lowIs"` // the figures of both
	HiIs  float64 `json:"highIs"`
	Stop  string  `json:"stop"`            // where work stops until the customer has heard
	May   string  `json:"may,omitempty"`   // key of the person who may say yes to more
	Above string  `json:"above,omitempty"` // from how much more they are asked
}

// Approved is the customer's yes.
type Approved struct {
	Level string `json:"level,omitempty"`
	What  string `json:"what"`
	By    string `json:"by"`            // key of the person
	How   string `json:"how,omitempty"` // by word, letter, signature
}

// Cleaned says what was used on what.
type Cleaned struct {
	What     string   `json:"what"`               // parts, in words
	Position string   `json:"position,omitempty"` // when it was one part
	Tags     []string `json:"tags,omitempty"`     // the pieces that were in the basket
	Place    string   `json:"place,omitempty"`    // where they went afterwards
	With     string   `json:"with"`
	Basket   string   `json:"basket,omitempty"` // one of its own for each unit
	Clear    string   `json:"clear,omitempty"`  // oil ways, and how they were proved clear
	Note     string   `json:"note,omitempty"`
	Photos   []string `json:"photos,omitempty"`
}

// Repaired records a thread, face or bore made good.
type Repaired struct {
	Position string   `json:"position"`
	What     string   `json:"what"` // thread, face, bore, journal, other
	How      string   `json:"how"`
	With     string   `json:"with,omitempty"`
	Proved   string   `json:"proved,omitempty"` // how it was found good
	Note     string   `json:"note,omitempty"`
	Photos   []string `json:"photos,omitempty"`
}

// Looked is what was seen of a part when it was looked at for one thing.
type Looked struct {
	Position string   `json:"position"`
	At       string   `json:"at"`  // what was looked at: dog teeth, cone, cage
	Saw      string   `json:"saw"` // good, plan, replace, not sure
	Says     string   `json:"says,omitempty"`
	Photos   []string `json:"photos,omitempty"`
}

// Gap is one ring tried on one cone.
type Gap struct {
	Ring  string    `json:"ring"`           // tag
	Cone  string    `json:"cone"`           // tag of the gear
	Value string    `json:"value"`          // as typed; several with " · " between
	Each  []float64 `json:"each,omitempty"` // of the repeats, SI
	SI    float64   `json:"si"`             // their mean
	With  string    `json:"with,omitempty"`
	U     float64   `json:"u,omitempty"` // of the mean
	Sure  bool      `json:"sure,omitempty"`
}

// Drawn is a mark drawn over a photo; the photo itself stays as it is.
type Drawn struct {
	Photo    string  `json:"photo"`          // key
	Shape    string  `json:"shape"`          // arrow, circle, toe, heel, text
	X        float64 `json:"x"`              // share of the width from the left: what an arrow points at, the middle of a circle
	Y        float64 `json:"y"`              // share of the height from the top
	From     *Point  `json:"from,omitempty"` // where an arrow comes from
	R        float64 `json:"r,omitempty"`    // of a circle, as a share of the width
	Says     string  `json:"says,omitempty"`
	Position string  `json:"position,omitempty"`
}

// Point is a place on a photo, as shares of its width and height.
type Point struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

func (Received) Kind() string { return "received" }
func (Estimate) Kind() string { return "estimate" }
func (Approved) Kind() string { return "approved" }
func (Cleaned) Kind() string  { return "cleaned" }
func (Repaired) Kind() string { return "repaired" }
func (Looked) Kind() string   { return "looked" }
func (Gap) Kind() string      { return "gap" }
func (Drawn) Kind() string    { return "drawn" }

// Bench is what those entries lead to.
type Bench struct {
	Received []Done[Received]
	Estimate *Done[Estimate] // the last that counts
	Approved *Done[Approved]
	Cleaned  []Done[Cleaned]
	Repaired []Done[Repaired]
	Looked   map[string][]Done[Looked] // by position
	Gaps     map[[2]string]Done[Gap]   // ring and cone → the newest
	Tried    []Done[Gap]               // every one, in order
	People   []Person                  // in the stores: everybody the workshop knows
	Renamed  map[string]string         // in the stores: key of a name → key of the one that mends it
	Drawn    map[string][]Done[Drawn]  // by photo
}

// bench places the entries of receiving, cleaning, looking and agreeing. It
// reports whether the entry was one of them.
func (s *State) bench(e Entry) bool {
	switch e.Kind {
	case "received":
		if b, ok := body[Received](s, e); ok {
			s.Received = append(s.Received, Done[Received]{e, b})
		}
	case "estimate":
		if b, ok := body[Estimate](s, e); ok {
			s.Estimate = &Done[Estimate]{e, b}
		}
	case "approved":
		if b, ok := body[Approved](s, e); ok {
			s.Approved = &Done[Approved]{e, b}
		}
	case "cleaned":
		if b, ok := body[Cleaned](s, e); ok {
			s.Cleaned = append(s.Cleaned, Done[Cleaned]{e, b})
			for _, t := range b.Tags {
				if b.Place != "" && s.piece(e, t) != nil {
					s.lift(e, t)
					s.Where[t] = b.Place
				}
			}
			if b.Position != "" {
				s.photos(b.Position, b.Photos)
			}
		}
	case "repaired":
		if b, ok := body[Repaired](s, e); ok {
			s.known(e, b.Position)
			s.Repaired = append(s.Repaired, Done[Repaired]{e, b})
			s.photos(b.Position, b.Photos)
		}
	case "looked":
		if b, ok := body[Looked](s, e); ok {
			s.known(e, b.Position)
			if s.Looked == nil {
				s.Looked = map[string][]Done[Looked]{}
			}
			s.Looked[b.Position] = append(s.Looked[b.Position], Done[Looked]{e, b})
			s.photos(b.Position, b.Photos)
		}
	case "gap":
		if b, ok := body[Gap](s, e); ok {
			if s.Gaps == nil {
				s.Gaps = map[[2]string]Done[Gap]{}
			}
			s.Gaps[[2]string{b.Ring, b.Cone}] = Done[Gap]{e, b}
			s.Tried = append(s.Tried, Done[Gap]{e, b})
		}
	case "drawn":
		if b, ok := body[Drawn](s, e); ok {
			if s.Drawn == nil {
				s.Drawn = map[string][]Done[Drawn]{}
			}
			s.Drawn[b.Photo] = append(s.Drawn[b.Photo], Done[Drawn]{e, b})
		}
	case "person":
		if b, ok := body[Person](s, e); ok {
			s.meet(b)
		}
	default:
		return false
	}
	return true
}

// meet makes somebody known, in the place of who they were before.
func (s *State) meet(b Person) {
	if b.Was != "" && b.Was != b.Person {
		if s.Renamed == nil {
			s.Renamed = map[string]string{}
		}
		s.Renamed[b.Was] = b.Person
		delete(s.Renamed, b.Person) // mended back
	}
	for i, p := range s.People {
		if p.Person == b.Person || b.Was != "" && p.Person == b.Was {
			s.People[i] = b
			return
		}
	}
	s.People = append(s.People, b)
}

// LastLook is what was last seen of a part for one thing, nil when it was never
// looked at for that.
func (s *State) LastLook(position, at string) *Done[Looked] {
	ls := s.Looked[position]
	for i := len(ls) - 1; i >= 0; i-- {
		if ls[i].Is.At == at {
			return &ls[i]
		}
	}
	return nil
}

// Washed is the last cleaning that a piece was in, nil when it never was.
func (s *State) Washed(tag string) *Done[Cleaned] {
	for i := len(s.Cleaned) - 1; i >= 0; i-- {
		b := s.Cleaned[i].Is
		if slices.Contains(b.Tags, tag) || b.Position != "" && (tag == Tag(s.Opened.Letter, b.Position) || slices.Contains(s.At[b.Position], tag)) {
			return &s.Cleaned[i]
		}
	}
	return nil
}

// Owed are the positions that came off without a photo, with the reason given.
func (s *State) Owed() map[string]string {
	out := map[string]string{}
	for id, sp := range s.Spots {
		if sp.Off != nil && sp.Off.Is.NoPhoto != "" && len(sp.Photos) == 0 {
			out[id] = sp.Off.Is.NoPhoto
		}
	}
	return out
}
