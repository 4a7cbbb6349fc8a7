package gearbox

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Found is a part as it came off a gearbox that no file describes.
type Found struct {
	ID, Name, Kind string
	Carrier        string   // what it sat on or in, in words
	Ends           []string // of that carrier, two or none
	From           string   // the end at which it came off
	Faced          string   // "cone toward rear", "either way"; anything else is not read
	Count          int
	Mark           string
	Against        string   // the position it lay against, on the side that stays; "" not said
	After          []string // the positions that had come off before it
}

// shaft is a carrier being written, with its parts in the order of assembly.
type shaft struct {
	id, name, off string
	ends          []string
	first, rest   []Found // come off at the first end; at the other
}

// Write makes the text of a gearbox file from parts in the order in which they
// came off. What came off first lies outermost, so it is last in the order of
// its carrier, or first where it came off at the first end.
func Write(name string, found []Found) []byte {
	if name == "" {
		name = "not yet named"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "endfloat: %d\ngearbox: %s\nabout: Written while the first one came apart.\n\ncarriers:\n", Format, quoted(name))
	ids := map[string]bool{}
	for _, f := range found {
		ids[f.ID] = true
	}
	for _, c := range shafts(found, ids) {
		fmt.Fprintf(&b, "  %s:\n    name: %s\n", c.id, quoted(c.name))
		if len(c.ends) == 2 {
			fmt.Fprintf(&b, "    ends: [%s, %s]\n", quoted(c.ends[0]), quoted(c.ends[1]))
		}
		b.WriteString("    order:\n")
		slices.Reverse(c.rest)
		for _, f := range append(c.first, c.rest...) {
			b.WriteString("      " + Line(f, c.ends) + "\n")
		}
	}
	return []byte(b.String())
}

// shafts gathers parts by what they sat on, in the order in which those were met.
func shafts(found []Found, taken map[string]bool) []*shaft {
	var out []*shaft
	for _, f := range found {
		name := strings.TrimSpace(f.Carrier)
		if name == "" {
			name = "case"
		}
		i := slices.IndexFunc(out, func(c *shaft) bool { return strings.EqualFold(c.name, name) })
		if i < 0 {
			id := carrierID(name, taken)
			taken[id] = true
			out = append(out, &shaft{id: id, name: name})
			i = len(out) - 1
		}
		c := out[i]
		if len(c.ends) == 0 && len(f.Ends) == 2 && f.Ends[0] != f.Ends[1] && f.Ends[0] != "" && f.Ends[1] != "" {
			c.ends = f.Ends
		}
		if len(c.ends) == 2 && f.From == c.ends[0] {
			c.first = append(c.first, f)
		} else {
			c.rest = append(c.rest, f)
		}
	}
	return out
}

// carrierID makes a short id of a name that no position bears.
func carrierID(name string, taken map[string]bool) string {
	word := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, strings.ToLower(strings.Fields(name + " case")[0]))
	if word == "" || word[0] >= '0' && word[0] <= '9' {
		word = "c" + word
	}
	word = word[:min(len(word), 9)]
	id := word
	for n := 2; taken[id]; n++ {
		id = word + strconv.Itoa(n)
	}
	return id
}

// Line is the line of a position in a gearbox file, as the part was found on a
// carrier with those ends.
func Line(f Found, ends []string) string {
	facts := []string{"name: " + quoted(f.Name)}
	if f.Kind != "" {
		facts = append(facts, "kind: "+quoted(f.Kind))
	}
	if f.Count > 1 {
		facts = append(facts, fmt.Sprintf("count: %d", f.Count))
	}
	if len(ends) == 2 && f.From == ends[0] {
		facts = append(facts, "from: "+quoted(f.From))
	}
	if face := facesOf(f.Faced, ends); face != "" {
		facts = append(facts, "faces: "+face)
	}
	if f.Mark != "" {
		facts = append(facts, "mark: "+quoted(f.Mark))
	}
	return quoted(f.ID) + ": {" + strings.Join(facts, ", ") + "}"
}

// facesOf puts an answer into the words of the file, "" when it says nothing
// that the file can hold.
func facesOf(faced string, ends []string) string {
	face, to, ok := faceAnswer(faced, ends)
	switch {
	case strings.TrimSpace(faced) == "either way":
		return "either way"
	case !ok:
		return ""
	}
	return "{" + quoted(face) + ": " + quoted(to) + "}"
}

// faceAnswer takes an answer such as "cone away from nut" apart: a face, and the
// end or the direction that it looks to.
func faceAnswer(faced string, ends []string) (face, to string, ok bool) {
	for _, way := range []string{" toward ", " away from "} {
		face, to, ok := strings.Cut(strings.TrimSpace(faced), way)
		face, to = strings.TrimSpace(face), strings.TrimSpace(to)
		if !ok || face == "" {
			continue
		}
		if i := slices.Index(ends, to); i >= 0 && len(ends) == 2 {
			if way != " toward " {
				to = ends[1-i]
			}
			return face, to, true
		}
		if way == " toward " && slices.Contains([]string{"up", "down", "in", "out"}, to) {
			return face, to, true
		}
	}
	return "", "", false
}

var simple = regexp.MustCompile(`^[\pL][\pL\pN/._-]*( [\pL\pN/._-]+)*$`)

// words that YAML would not take as text.
var notText = []string{"yes", "no", "true", "false", "null", "on", "off", "y", "n"}

// quoted is a text as it stands in a gearbox file, in quotes where it must be.
func quoted(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if simple.MatchString(s) && !slices.Contains(notText, strings.ToLower(s)) {
		return s
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f || r == 0xfffd:
			b.WriteByte(' ')
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
