package fit

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sync"

	"endfloat/calc/uncert"
	"endfloat/calc/unit"
)

// Preferred returns the fits that the standard would have people use first, the
// loosest first: those on the basis of the hole, [ISO286] part 1 as reprinted in
// [PREF], then those on that of the shaft, from memory.
func Preferred() []Pair { return slices.Clone(allPreferred()) }

var allPreferred = sync.OnceValue(func() []Pair {
	var ps []Pair
	for _, row := range preferred {
		one, _ := ParseClass(row[0])
		for _, s := range row[1:] {
			other, _ := ParseClass(s)
			p := Pair{one, other}
			if other.Hole() {
				p = Pair{other, one}
			}
			if !slices.Contains(ps, p) { // H7/h6 and its kin are on both bases
				ps = append(ps, p)
			}
		}
	}
	return ps
})

var preferred = [][]string{
	{"H11", "b11", "c11", "d10", "h10"},
	{"H10", "b9", "c9", "d9", "e9", "h9"},
	{"H9", "d8", "e8", "f8", "h8"},
	{"H8", "d8", "e7", "e8", "f7", "f8", "h7", "h8", "js7", "k7", "m7", "s7", "u7"},
	{"H7", "f6", "g6", "h6", "js6", "k6", "m6", "n6", "p6", "r6", "s6", "t6", "u6", "x6"},
	{"H6", "g5", "h5", "js5", "k5", "m5", "n5", "p5"},
	{"h9", "B11", "C10", "D10", "H10", "D9", "E9", "F9", "H9", "E8", "F8", "H8"},
	{"h8", "D9", "E9", "F9", "H9"},
	{"h7", "E8", "F8", "H8"},
	{"h6", "F7", "G7", "H7", "JS7", "K7", "M7", "N7", "P7", "R7", "S7", "T7", "U7", "X7"},
	{"h5", "G6", "H6", "JS6", "K6", "M6", "N6", "P6"},
}

// Match is a fit that measured parts may have been made to.
type Match struct {
	Pair        Pair
	Hole, Shaft uncert.Verdict // in, or too close to call; "" for a class that is not given
}

// Sure reports whether every part was proven inside its limits.
func (m Match) Sure() bool {
	return m.Hole != uncert.Close && m.Shaft != uncert.Close
}

// Matches returns those of the pairs whose limits a bore and a shaft of the
// standard uncertainty u meet or may meet, sure ones first, then the narrowest
// limits. A pair may have one class only; its other part is then not asked for
// and may be 0. Pairs that do not exist at the size are passed over. The nominal
// size is given, never guessed from a worn part.
func Matches(size, bore, shaft, u unit.Length, pairs []Pair) ([]Match, error) {
	if _, _, err := place(size); err != nil {
		return nil, err
	}
	if !(u >= 0) || math.IsInf(float64(u), 0) {
		return nil, fmt.Errorf("fit: a standard uncertainty is 0 or more, got %s", show(u))
	}
	type found struct {
		Match
		width unit.Length
	}
	var all []found
	for _, p := range pairs {
		hole, wide, err := judge("bore", p.Hole, size, bore, u)
		if err != nil {
			return nil, err
		}
		pin, long, err := judge("shaft", p.Shaft, size, shaft, u)
		if err != nil {
			return nil, err
		}
		if hole != uncert.Out && pin != uncert.Out && p != (Pair{}) {
			all = append(all, found{Match{p, hole, pin}, wide + long})
		}
	}
	slices.SortStableFunc(all, func(a, b found) int {
		return cmp.Or(cmp.Compare(doubt(a.Match), doubt(b.Match)), cmp.Compare(a.width, b.width))
	})
	ms := make([]Match, len(all))
	for i, f := range all {
		ms[i] = f.Match
	}
	return ms, nil
}

func doubt(m Match) int {
	if m.Sure() {
		return 0
	}
	return 1
}

// judge holds one measured part against its class and returns the width of the
// limits too. A class that does not exist at the size is out.
func judge(what string, c Class, size, measured, u unit.Length) (uncert.Verdict, unit.Length, error) {
	if c == (Class{}) {
		return "", 0, nil
	}
	if !(measured > 0) || math.IsInf(float64(measured), 0) {
		return "", 0, fmt.Errorf("fit: %s needs a measured %s, got %s", c, what, show(measured))
	}
	l, err := c.Limits(size)
	if err != nil {
		return uncert.Out, 0, nil
	}
	y := tidy(measured - size)
	return uncert.Decide(float64(y), float64(u), float64(l.Lower), float64(l.Upper)), l.Tolerance(), nil
}
