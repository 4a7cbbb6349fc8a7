package draw

import (
	"strings"

	"endfloat/internal/gearbox"
)

// State is how a position stands in a job. Each has its own line and, where it
// matters, a word or a sign, so that none rests on colour.
type State uint8

// The states. Fitted is drawn in full ink; a drawing without states is all Fitted.
const (
	Fitted  State = iota
	Next          // the one to do now: strong outline, arrow, word
	Missing       // not where it should be: dashed, word
	Doubt         // not to be trusted: drawn as it is, with a question mark
	AsFound       // not touched yet: thin
	Off           // taken off, whereabouts known: dotted
	Other         // another unit's piece: hatched along the axis, told by Options.Word
	states
)

var stateWord = [states]string{"fitted", "next", "missing", "in doubt", "as found", "off", "another unit's"}

// Word is the state in words.
func (s State) Word() string { return stateWord[min(s, Other)] }

func (s State) class() string { return strings.NewReplacer(" ", "-", "'", "").Replace(s.Word()) }

// Options say how a carrier is drawn. The zero Options draw it plain, at its
// natural size.
type Options struct {
	Built gearbox.Built
	State func(id string) State  // nil: no states, and no key to them
	Word  func(id string) string // word under the label; "" or nil: that of the state
	Link  func(id string) string // where a tap leads; "" or nil: nowhere
	Bare  bool                   // no key to the states and no note on scale
	Width float64                // mm; a longer drawing is wrapped, a shorter one stretched; 0 natural
}

func (o *Options) state(id string) State {
	if o.State == nil {
		return Fitted
	}
	return o.State(id)
}

func (o *Options) link(id string) string {
	if o.Link == nil {
		return ""
	}
	return o.Link(id)
}

// word is what stands under the label of a position.
func (o *Options) word(id string, s State) string {
	if o.Word != nil {
		if w := o.Word(id); w != "" {
			return w
		}
	}
	switch s {
	case Next, Missing, Doubt, Other:
		return s.Word()
	}
	return ""
}

// group is the empty group of a position.
func (o *Options) group(p *gearbox.Position) Group {
	s := o.state(p.ID)
	g := Group{Key: p.ID, Class: "part", Link: o.link(p.ID), Title: p.Label()}
	if o.State != nil {
		g.Class += " " + s.class()
		g.Title += ", " + s.Word()
	}
	if o.Word != nil {
		if w := o.Word(p.ID); w != "" && w != s.Word() {
			g.Title += ", " + w
		}
	}
	return g
}

// Section draws a carrier. A carrier with two ends is drawn as the section
// along its axis, its positions in order from the one end to the other, half
// above the axis and half below; one without ends as an orderly sheet of
// numbered parts.
//
// Widths are to scale where the file gives them for the unit as built; a
// stand-in by kind serves where it does not, and the drawing says so.
func Section(c *gearbox.Carrier, o Options) *Drawing {
	if len(c.Ends) != 2 {
		return sheet(c, &o)
	}
	return section(c, &o)
}
