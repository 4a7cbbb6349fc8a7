package gearbox

import (
	"slices"
	"strings"

	"endfloat/calc/unit"
)

// Early is a reading that cannot be made once a gearbox is apart, with why it
// matters.
type Early struct {
	What, Why string
	Measure   *Measure // nil for what is seen and not measured
	crown     bool     // asked only where there may be a crown wheel
	words     []string // by which a measure of a gearbox file is told to be the same
}

func early(what, why string, k unit.Kind, in unit.Unit, with string, repeats int, help string, words ...string) Early {
	return Early{What: what, Why: why, words: words,
		Measure: &Measure{Name: what, Kind: k, Unit: in, With: with, Repeats: repeats, Before: true, Help: help}}
}

// usualEarly are the readings that amateurs skip: common practice, no source.
var usualEarly = func() []Early {
	all := []Early{
		early("input shaft end float", "says whether the old shim was right before anything moved", unit.KindLength, millimetre(), "dial indicator", 3, "push and pull along the shaft, the dial on its end", "float"),
		early("drag of the whole", "what used bearings must come back to", unit.KindTorque, newtonMetre, "", 3, "in neutral, in steady turning, not as it starts", "drag"),
		early("crown wheel backlash", "the target when the old set goes back, and the sign of a wheel that runs out", unit.KindLength, millimetre(), "dial indicator", 1, "at four places or more around the turn", "backlash"),
		{What: "contact pattern, drive and coast", Why: "good and nothing changed: the same shims go back", crown: true, words: []string{"pattern"}},
		early("turns of input for ten of output", "tells the ratios before the lid is off", unit.Number, unit.Unit{}, "", 5, "one for each gear from 1st up, reverse last", "turns"),
		{What: "sleeves in each gear", Why: "how far home each goes says whether a fork is bent or set wrong, before it is off", words: []string{"sleeve"}},
		early("seal heights", "the new ones go to the same depth, or clear of a worn track", unit.KindLength, millimetre(), "", 1, "from the face of the case to the seal, one for each", "seal"),
		early("torque to undo a large nut", "a nut found loose explains what it let move", unit.KindTorque, newtonMetre, "", 1, "the most it took as it gave way", "break-away", "undo"),
	}
	for i := range all {
		if all[i].What == "crown wheel backlash" {
			all[i].crown, all[i].Measure.Places = true, 4
		}
	}
	return all
}()

// Usual is the measure of that name that every gearbox has, whatever its file says.
func Usual(name string) (*Measure, bool) {
	for _, e := range usualEarly {
		if e.Measure != nil && strings.EqualFold(e.What, strings.TrimSpace(name)) {
			return e.Measure, true
		}
	}
	return nil, false
}

// Before are the readings to make before anything is undone: those of the file,
// and of the usual ones those that the file does not have. b may be nil.
func (b *Box) Before() []Early {
	var out, rest []Early
	if b == nil {
		return slices.Clone(usualEarly)
	}
	told := map[*Measure]bool{}
	for _, e := range usualEarly {
		if e.crown && b.Final == nil && len(b.Carriers) > 0 {
			continue
		}
		met := false
		for _, m := range b.Measures {
			if m.Before && !told[m] && (e.Measure == nil || m.Kind == e.Measure.Kind) && slices.ContainsFunc(e.words, func(w string) bool { return strings.Contains(strings.ToLower(m.Name), w) }) {
				told[m], met = true, true
				out = append(out, Early{What: m.Name, Why: e.Why, Measure: m})
			}
		}
		if !met {
			out = append(out, e)
		}
	}
	for _, m := range b.Measures {
		if m.Before && !told[m] {
			rest = append(rest, Early{What: m.Name, Why: "the gearbox file asks for it", Measure: m})
		}
	}
	return append(out, rest...)
}
