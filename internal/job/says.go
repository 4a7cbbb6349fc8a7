package job

import (
	"maps"
	"slices"
	"strings"
)

// Says puts how a unit came in into words, what is wrong gear by gear in the order
// of their names.
func (b Received) Says() string {
	var out []string
	say := func(before, s string) {
		if s != "" {
			out = append(out, before+s)
		}
	}
	say("", b.Marks)
	say("", b.Complete)
	say("missing: ", b.Missing)
	for _, g := range slices.Sorted(maps.Keys(b.Gears)) {
		if g == "all" {
			say("every gear: ", b.Gears[g])
		} else {
			say("gear "+g+": ", b.Gears[g])
		}
	}
	say("outside: ", b.Outside)
	say("oil: ", b.Oil)
	say("debris: ", b.Debris)
	say("found loose: ", b.Loose)
	if len(b.Sides) > 0 {
		say("photographed: ", strings.Join(slices.Sorted(maps.Keys(b.Sides)), ", "))
	}
	return strings.Join(out, "; ")
}
