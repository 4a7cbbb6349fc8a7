package gearbox

import "strings"

// Washing is one way to clean, with what must be known of it and the keys of its
// cautions. Common practice, no source.
type Washing struct {
	With string
	Says string
	Care []string
	On   []string // metals of a case on which it is to be thought over first
}

var washings = []Washing{
	{"white spirit and a brush", "Goggles and gloves, open door, no flame, no sparks.", []string{"solvent"}, nil},
	{"detergent, hot", "Rinse, dry, and oil bare steel at once.", nil, nil},
	{"strong alkaline cleaner", "It pits light alloy: try it on a hidden spot, time it, rinse well.", []string{"solvent"}, []string{"aluminium", "magnesium"}},
	{"acid or rust remover", "Not on bearings, springs or light alloy; it makes hard steel brittle.", []string{"solvent"}, []string{"aluminium", "magnesium"}},
	{"ultrasonic bath", "Not bearings. Light alloy only briefly, in a bath meant for it.", nil, []string{"aluminium", "magnesium"}},
	{"blasting", "Grit stays in oil ways. Never gears, bearings or seats; plug every hole and wash twice afterwards.", nil, []string{"magnesium"}},
	{"scraper of wood or plastic", "Never a wire brush on a mating face.", []string{"asbestos"}, nil},
	{"clean oil", "Bearings last, two baths. Never spin them dry or with air.", nil, nil},
}

// Washings are the ways to clean that are offered.
func Washings() []Washing { return washings }

// WashingOf finds the way to clean that some words mean, nil where none is known.
func WashingOf(with string) *Washing {
	for i := range washings {
		if strings.EqualFold(washings[i].With, strings.TrimSpace(with)) {
			return &washings[i]
		}
	}
	return nil
}

// AirCare is what to know of compressed air. Common practice, no source.
const AirCare = "Air: low pressure, face protection, away from people. It drives grit into bearings: never on them."

// Making is how one kind of hurt is made good: what is usually done, and how it is
// found good.
// Common practice, no source.
type Making struct {
	What  string
	Hows  []string
	Proof string
}

var makings = []Making{
	{"thread", []string{"chased with a tap", "insert, drilled square", "stud turned in anew", "next size"}, "Run a clean bolt in by hand, then to its torque on a plain washer."},
	{"face", []string{"stoned flat", "lapped on a plate", "skimmed on a machine"}, "Straight edge and feelers corner to corner. What was taken off counts in every setting through that joint."},
	{"bore", []string{"sleeved and bored", "bonded with retaining compound", "polished"}, "Measure it at two heights and two directions. The ring must not turn in it, hot either."},
	{"journal", []string{"polished", "ground and sleeved", "repair sleeve pressed on"}, "Measure it, and look at it for a step with a nail."},
	{"crack", []string{"welded by a welder for this metal", "stop-drilled and plated"}, "Dye test before and after. Bores and faces near the weld move: measure them."},
	{"other", nil, "Say how it was found good."},
}

// Makings are the kinds of repair that are offered.
func Makings() []Making { return makings }

// CaseMetal is the metal of the case as the unit is built, "" where the file does
// not say.
func (b *Box) CaseMetal(as Built) string {
	if b == nil {
		return ""
	}
	for _, c := range b.Carriers {
		for _, p := range c.Order {
			for _, m := range []string{"magnesium", "aluminium", "cast iron"} {
				if (p.Kind == "case" || p.Kind == "cover" || p.Kind == "housing") && strings.Contains(as.Variants[p.ID], m) {
					return m
				}
			}
		}
		if c.Kind == "case" && c.Metal != "" {
			return c.Metal
		}
	}
	return ""
}
