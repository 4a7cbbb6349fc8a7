package gearbox

import (
	"slices"
	"strings"
)

// Look is one thing to look at on a part of a kind.
type Look struct {
	At  string // what
	Bad string // what speaks against it
}

// kind is what is known of a kind of part whatever the gearbox: common practice,
// no source.
type kind struct {
	names []string // words by which it is told, longest first
	face  string   // the side that tells which way round it is
	looks []Look
}

var bearingLooks = []Look{
	{"races and rolling parts", "spalls, dents at the pitch of the balls, etching, a dull band"},
	{"colour", "blue or brown: it ran hot"},
	{"cage", "cracked, bent or loose rivets"},
	{"bore and outside", "polished bands: a ring crept in its seat"},
}

var kinds = []kind{
	{[]string{"baulk ring", "synchro ring", "ring"}, "cone", []Look{{"grip", "slides on its own cone when pressed and turned by hand"}, {"groove edges", "rounded over: they no longer cut the oil"}, {"lugs", "worn on the drive side, or cracked"}, {"lining", "lifting, flaked, or worn through"}}},
	{[]string{"gear", "wheel"}, "cone", []Look{{"tooth flanks", "pitting, spalls, scuffing, a pattern at one edge: misaligned bores"}, {"dog teeth", "points rounded over a third"}, {"cone", "grooved, blued, or polished like glass"}, {"bore and faces", "scored, bush loose, face worn to a step"}}},
	{[]string{"sleeve"}, "groove", []Look{{"splines", "stepped where the gear drives"}, {"fork groove", "worn to a taper, blued"}, {"rock on its hub", "rocks more than it slides"}}},
	{[]string{"inner sleeve", "bush"}, "oil groove", []Look{{"running face", "scored, blued, stepped"}, {"oil hole", "closed"}}},
	{[]string{"hub"}, "long boss", []Look{{"splines", "worn or twisted"}, {"strut slots", "worn on one side"}, {"fit on the shaft", "goes on by hand where it was pressed"}}},
	{[]string{"needle cage", "needle"}, "lettering", []Look{{"needles", "flats, pits, one missing"}, {"cage", "cracked at a corner"}}},
	{[]string{"taper bearing", "taper roller"}, "big end", append(slices.Clone(bearingLooks), Look{"roller ends", "scored: too much preload"})},
	{[]string{"ball bearing", "roller bearing", "bearing"}, "lettering", bearingLooks},
	{[]string{"primary shaft", "layshaft", "mainshaft", "shaft"}, "splines", []Look{{"journals", "scored, blued, a step to feel with a nail"}, {"splines", "stepped or twisted"}, {"threads", "pulled or picked up"}, {"oil holes", "closed: blow and probe each one"}}},
	{[]string{"side gear", "planet gear", "planet"}, "back", []Look{{"tooth flanks", "pitted, chipped at the ends"}, {"back and bore", "galled where it turns on its washer or pin"}}},
	{[]string{"idler"}, "lead-in", []Look{{"tooth ends", "chipped or hammered where it slides in"}, {"tooth flanks", "pitting, spalls"}, {"bush", "scored, loose in the gear"}}},
	{[]string{"crown wheel", "crown"}, "teeth", []Look{{"tooth flanks", "pits, scuffing, one end only"}, {"set number", "not that of the pinion"}, {"bolt holes", "oval, bright where it worked"}}},
	{[]string{"fork"}, "boss", []Look{{"pads", "one worn and the other not: bent"}, {"boss", "cracked beside its screw"}}},
	{[]string{"rail", "selector shaft"}, "detent notches", []Look{{"straightness", "rocks when rolled on glass"}, {"notches", "rounded"}}},
	{[]string{"cover", "case", "cartridge", "housing", "carrier"}, "flange", []Look{{"bosses and bores", "cracks; an outer ring that turned has polished its bore"}, {"faces", "not flat, bruised"}, {"threads", "pulled"}, {"dowels", "loose or missing"}}},
	{[]string{"spring"}, "wide end", []Look{{"length and set", "shorter than its fellow"}, {"wire", "rubbed or cracked"}}},
	{[]string{"strut"}, "hump", []Look{{"hump", "worn flat"}}},
	{[]string{"tab washer"}, "tab", []Look{{"tabs", "bent once: it is never used again"}}},
	{[]string{"thrust washer", "washer"}, "groove", []Look{{"faces", "scored or worn through its coat"}, {"tang", "broken or rolled over"}}},
	{[]string{"seal"}, "lip", []Look{{"track on the shaft", "a groove to feel with a nail"}}},
	{[]string{"circlip"}, "chamfer", []Look{{"ends", "opened or bent: a new one goes back"}}},
	{[]string{"nut"}, "chamfer", []Look{{"threads", "pulled or picked up"}, {"lock", "collar staked before, tab holes torn"}}},
	{[]string{"bolt", "screw", "stud"}, "", []Look{{"threads", "necked or pulled"}}},
	{[]string{"shim", "seat"}, "", []Look{{"faces", "creased, burred or rusty: measure each one apart"}}},
	{[]string{"spacer", "tube"}, "chamfer", []Look{{"end faces", "worn, not square"}}},
	{[]string{"worm"}, "boss", []Look{{"thread", "worn to an edge"}}},
	{[]string{"pin", "ball", "plunger", "key"}, "flat", []Look{{"faces", "worn or bruised"}}},
}

// known finds what is known of a kind or of a name: the longest word in it.
func known(text string) (kind, string) {
	text = strings.ToLower(text)
	var best kind
	name := ""
	for _, k := range kinds {
		for _, n := range k.names {
			if len(n) > len(name) && strings.Contains(text, n) {
				best, name = k, n
			}
		}
	}
	return best, name
}

// KindOf guesses the kind of a part from its name, "" where it cannot.
func KindOf(name string) string {
	_, k := known(name)
	return k
}

// FaceOf names the side of a part of a kind that tells which way round it is.
func FaceOf(kind string) string {
	if k, _ := known(kind); k.face != "" {
		return k.face
	}
	return "marked side"
}

// Looks are what to look at on a part: common practice, no source.
func (p *Position) Looks() []Look {
	k, _ := known(p.Kind)
	if len(k.looks) == 0 {
		k, _ = known(p.Name)
	}
	if !p.shiftsAlone() {
		return slices.DeleteFunc(slices.Clone(k.looks), func(l Look) bool { return l.At == "cone" || l.At == "dog teeth" })
	}
	return k.looks
}

// shiftsAlone reports whether a gear may have a cone or dogs of its own: one whose
// sides are known by other names has neither.
func (p *Position) shiftsAlone() bool {
	if len(p.Faces) == 0 {
		return true
	}
	for _, f := range p.Faces {
		if f.Face == "cone" || f.Face == "dogs" {
			return true
		}
	}
	return false
}
