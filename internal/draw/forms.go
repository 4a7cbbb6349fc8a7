package draw

import (
	"strings"
	"unicode"

	"endfloat/internal/gearbox"
)

// Radii of the sketch in mm. The gears of a carrier share the span from
// gearLow to gearHigh by their numbers of teeth; the rest is by kind.
const (
	shaftR   = 7.0
	coneR    = 14.6 // small end of a gear's cone
	dogR     = 18.4 // tips of dogs, baulk rings and hubs: what a sleeve slides over
	gearLow  = 21.5
	gearHigh = 31.0
	tooth    = 2.3 // height of a tooth
)

// role is how a part of some kind finds its place.
type role uint8

const (
	along  role = iota // has a length of shaft, or lies around what has one
	onCone             // baulk ring: on the cone of a gear
	within             // strut, spring, key: drawn in what carries it
	over               // cartridge: reaches over several neighbours
	core               // the shaft itself
)

// form is how parts of a kind are drawn.
type form struct {
	words string  // words of the kind or name that tell it, all of them
	width float64 // stand-in where the file has none, mm
	thick float64 // radial thickness on whatever it lies around, mm
	reach float64 // least outer radius, mm
	role  role
	view  bool // drawn from outside: hides the shaft
	rank  int  // nearer to the axis among parts around the same thing
	shape func(*spot) shape
	face  func(*spot) shape // seen from the front, for a sheet of parts; nil: as shape
}

// forms in order of match: the first whose words all occur wins.
var forms = []form{
	{words: "taper bearing", width: 19, thick: 13, reach: 21, shape: taperBearing},
	{words: "needle cage", width: 24, thick: 2.6, rank: -2, shape: needleCage},
	{words: "needle bearing", width: 24, thick: 2.6, rank: -2, shape: needleCage},
	{words: "needle rollers", width: 24, thick: 2.6, rank: -2, shape: needleCage},
	{words: "roller bearing", width: 18, thick: 13, reach: 20, shape: rollerBearing},
	{words: "bearing", width: 18, thick: 13, reach: 20, shape: ballBearing},
	{words: "dog ring", width: 20, thick: 6.2, reach: 24.6, shape: dogRing},
	{words: "hub sleeve", width: 24, reach: 24.6, shape: hubAndSleeve},
	{words: "crown wheel", width: 16, thick: 12, reach: 34, shape: bevel},
	{words: "bevel gear", width: 16, thick: 8, reach: 22, shape: bevel},
	{words: "cluster", width: 70, reach: 27, shape: cluster},
	{words: "pinion shaft", role: core},
	{words: "oil thrower", width: 3, reach: 19, shape: thrower},
	{words: "hub", width: 22, thick: 9, reach: dogR, shape: hub},
	{words: "inner sleeve", width: 28, thick: 2.6, rank: -3, shape: tube},
	{words: "bush", width: 16, thick: 2.6, rank: -3, shape: tube},
	{words: "sleeve", width: 26, thick: 6.2, reach: 24.6, rank: 1, shape: slidingSleeve},
	{words: "baulk ring", width: 7, role: onCone, shape: baulkRing},
	{words: "synchro ring", width: 7, role: onCone, shape: baulkRing},
	{words: "o-ring", width: 3.2, thick: 2.8, shape: oRing, face: ringFace},
	{words: "snap ring", width: 1.8, reach: 10, shape: circlip, face: circlipFace},
	{words: "circlip", width: 1.8, reach: 10, shape: circlip, face: circlipFace},
	{words: "tab washer", width: 1.4, reach: 16, shape: tabWasher},
	{words: "washer", width: 4, thick: 3, reach: 16.5, shape: washer},
	{words: "spacer", width: 10, thick: 4, rank: -1, shape: tube},
	{words: "shim", width: 2.6, thick: 4, reach: 17, shape: shims},
	{words: "shims", width: 2.6, thick: 4, reach: 17, shape: shims},
	{words: "seat", width: 2.6, thick: 4, reach: 17, shape: shims},
	{words: "seal", width: 8, thick: 8, reach: 17, shape: seal},
	{words: "gasket", width: 1.2, thick: 5, reach: 24, shape: gasket, face: gasketFace},
	{words: "nut", width: 11, reach: 14.5, view: true, shape: nut},
	{words: "worm", width: 14, thick: 5, shape: worm},
	{words: "cartridge", width: 40, thick: 6, role: over, rank: 3, shape: cartridge},
	{words: "bearing housing", width: 40, thick: 6, role: over, rank: 3, shape: cartridge},
	{words: "plate", width: 4.5, thick: 4, reach: 27, rank: 2, shape: plate, face: plateFace},
	{words: "flange", width: 14, thick: 4, reach: 24, rank: 2, shape: flange},
	{words: "carrier", width: 16, thick: 4, reach: 24, rank: 2, shape: flange},
	{words: "cover", width: 12, thick: 4, reach: 26, rank: 2, shape: cover},
	{words: "lid", width: 12, thick: 4, reach: 26, rank: 2, shape: cover},
	{words: "shaft", role: core},
	{words: "gear", width: 22, thick: 8, reach: 25, shape: gear},
	{words: "idler", width: 22, thick: 8, reach: 25, shape: gear},
	{words: "key", width: 12, role: within, shape: key},
	{words: "strut", width: 14, role: within, shape: strut},
	{words: "spring", width: 14, role: within, shape: spring},
	{words: "rail", width: 30, thick: 5, shape: rail},
	{words: "bolt", width: 16, thick: 6, reach: 20, shape: bolt},
	{words: "screw", width: 16, thick: 6, reach: 20, shape: bolt},
	{words: "stud", width: 20, thick: 6, reach: 20, shape: stud},
	{words: "plug", width: 14, thick: 9, reach: 20, shape: plug},
	{words: "fork", width: 18, thick: 18, shape: fork},
	{words: "lever", width: 20, thick: 14, shape: lever},
	{words: "ball", width: 9, thick: 9, shape: ball},
	{words: "plunger", width: 14, thick: 5, shape: pin},
	{words: "dowel", width: 14, thick: 5, shape: pin},
	{words: "pin", width: 14, thick: 5, shape: pin},
	{words: "eye", width: 12, thick: 16, shape: eye},
	{words: "breather", width: 10, thick: 14, shape: plug},
	{words: "case", width: 30, thick: 5, reach: 26, rank: 3, shape: casing},
	{words: "mid-plate", width: 10, thick: 5, reach: 26, rank: 3, shape: plate},
}

// plain is the ring that stands for a kind not known here.
var plain = form{width: 10, thick: 4, reach: 15, shape: tube}

// stick is a rod that stands for a shaft on a sheet of parts.
var stick = form{words: "shaft", width: 30, thick: 5, shape: rail}

// wordsOf are the words of a text, lower case, without plural endings.
func wordsOf(text string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && r != '-' }) {
		out[w] = true
		out[strings.TrimSuffix(w, "s")] = true
	}
	return out
}

// formOf is the form of a position: by its kind, or by its name where no kind
// is given. A sleeve that nothing slides is an inner sleeve.
func formOf(p *gearbox.Position) *form {
	text := p.Kind
	if text == "" {
		text = p.Name
	}
	have := wordsOf(text)
	if named := wordsOf(p.Name); named["dog"] && named["ring"] && (have["sleeve"] || have["ring"]) {
		return formNamed("dog ring")
	}
	for i := range forms {
		all := true
		for _, w := range strings.Fields(forms[i].words) {
			all = all && have[w]
		}
		if all {
			return &forms[i]
		}
	}
	if p.Seat != nil {
		return formNamed("seat")
	}
	return &plain
}

func formNamed(words string) *form {
	for i := range forms {
		if forms[i].words == words {
			return &forms[i]
		}
	}
	return &plain
}

// ring is the half of a bearing that a position names.
type ring uint8

const (
	both ring = iota
	innerRing
	outerRing
)

func ringOf(p *gearbox.Position) ring {
	have := wordsOf(p.Kind + " " + p.Name)
	switch {
	case have["outer"] || have["cup"]:
		return outerRing
	case have["inner"] || have["cone"]:
		return innerRing
	}
	return both
}
