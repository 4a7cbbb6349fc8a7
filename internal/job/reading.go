package job

import (
	"math"
	"slices"
	"strings"
)

func (s *State) read(e Entry) {
	b, ok := body[Read](s, e)
	if !ok {
		return
	}
	r := Reading{Entry: e, Is: b, Packs: map[string]Pack{}, Of: map[string]string{}}
	if s.Box != nil {
		if m, ok := s.Box.Measure(b.What); ok {
			for _, id := range m.Of {
				r.Of[id] = s.Latest[id]
			}
			for _, id := range m.Torqued {
				if sp := s.Spots[id]; sp == nil || sp.Torqued == nil {
					r.Loose = append(r.Loose, id)
				}
			}
			if b.Piece != "" && len(m.Of) > 0 {
				r.Of[m.Of[0]] = b.Piece
			}
		}
		for _, set := range s.Box.Settings {
			for _, seat := range set.Seats() {
				if _, done := r.Packs[seat]; !done {
					r.Packs[seat] = s.Pack(seat)
				}
			}
		}
	}
	s.Readings = append(s.Readings, r)
	if pos, _, _ := strings.Cut(b.What, " "); s.Spots[pos] != nil || s.isPosition(pos) {
		s.photos(pos, b.Photos)
	}
}

func (s *State) isPosition(id string) bool {
	if s.Box == nil {
		return false
	}
	_, ok := s.Box.Position(id)
	return ok
}

// Pack is what is at a seat now.
func (s *State) Pack(seat string) Pack {
	p := Pack{Tags: slices.Clone(s.At[seat]), Ok: len(s.At[seat]) > 0}
	var u2 float64
	for _, t := range p.Tags {
		pc := s.Pieces[t]
		if pc.SI == 0 {
			p.Ok = false
		}
		p.SI += pc.SI
		u2 += pc.U * pc.U
	}
	p.U = math.Sqrt(u2)
	return p
}

// Starting is the state of a torque read as the part starts to turn. Such a
// reading is kept and never counts: only steady turning does.
const Starting = "starting"

// Valid reports whether a reading is still about the pieces that are there now,
// or were there last.
func (s *State) Valid(r Reading) bool {
	if r.Is.State == Starting {
		return false
	}
	for id, tags := range r.Of {
		if s.Latest[id] != tags {
			return false
		}
	}
	return true
}

// ReadingsOf are the readings of one thing, oldest first.
func (s *State) ReadingsOf(what string) []Reading {
	var out []Reading
	for _, r := range s.Readings {
		if strings.EqualFold(r.Is.What, what) {
			out = append(out, r)
		}
	}
	return out
}
