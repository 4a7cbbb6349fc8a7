// Package catalog is the one list of the sums that this program does. A sum is
// declared once, with its inputs, outputs, purpose and sources, and serves the
// command line, the screens, the JSON interface and the guide alike.
//
// A declaration holds no formula of its own: its Do reads the inputs, calls the
// pure functions of the other calc packages and hands the results back with
// their working. The working is text, but never typed twice: the line with the
// numbers is made from the formula by putting in the values of its symbols, and
// a test evaluates every such line.
//
// Inputs are quantities as people write them. A number after "±" is one standard
// uncertainty; the sum is then run again with each uncertain input stepped up
// and down by it, and the shares are combined to first order ([GUM] 5.1.2). So a
// sum need not know that uncertainty exists. [Shared] tells which inputs err together.
package catalog

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"endfloat/calc/unit"
)

// Practice is the source named where there is none to name.
const Practice = "common practice, no source"

// Input is one thing a sum asks for.
type Input struct {
	Key    string // what it is called on the command line and in JSON
	Symbol string // in formulas
	Help   string // what to measure or to know, in one line
	Kind   unit.Kind
	Unit   string // symbol of the unit taken when none is typed

	Default  string   // text used when nothing is typed; "" if there is none
	Optional bool     // may be left out; the sum asks Has
	Many     bool     // takes several values: three readings, the sizes on the shelf
	Named    bool     // takes several values, each with its name: "s1 = 0.998, s2 = 1.003"
	Whole    bool     // takes a whole number, such as a count of teeth
	Words    bool     // takes plain text that the sum reads itself
	Choices  []string // the answers to choose from, in place of a quantity

	// Min and Max are the range allowed, in SI; both 0 means none. A value
	// outside is nearly always a slip of the unit or of the decimal sign.
	Min, Max float64
}

// Output is one thing a sum gives.
type Output struct {
	Key    string
	Symbol string
	Title  string
	Kind   unit.Kind
	Unit   string // symbol of the unit it is printed in
	Places int    // decimals
	Words  bool   // it is an answer in words, not a quantity
}

// Sum is a calculation a person can ask for by name.
type Sum struct {
	Name        string // trade word, lower case, such as "end-float"
	Title       string
	Purpose     string // what it is for and when, a sentence or two
	Group       string
	Inputs      []Input
	Outputs     []Output
	Assumptions []string
	Sources     []string          // keys of docs/sources.md, or Practice
	Example     map[string]string // inputs of a worked example
	Caution     string            // a word of safety where the work can hurt
	Picture     string            // key of the sketch that shows its inputs, "" if it needs none
	Do          func(*Call) error
}

// Groups, in the order in which they are listed.
const (
	Shims    = "Shims and stacks"
	Bevel    = "Crown wheel and pinion"
	Torque   = "Torque"
	Ratio    = "Ratios and teeth"
	Fits     = "Fits and pressing"
	Strength = "Strength and life"
	Check    = "Measuring and checking"
	Other    = "Other"
)

var groups = []string{Shims, Bevel, Torque, Ratio, Fits, Strength, Check, Other}

var registered []*Sum

// register adds sums to the catalogue; each file of sums calls it from init.
func register(sums ...*Sum) { registered = append(registered, sums...) }

// ordered sorts by group and leaves the order within each file alone.
var ordered = sync.OnceValue(func() []*Sum {
	list := slices.Clone(registered)
	place := func(s *Sum) int {
		if i := slices.Index(groups, s.Group); i >= 0 {
			return i
		}
		return len(groups)
	}
	slices.SortStableFunc(list, func(a, b *Sum) int { return place(a) - place(b) })
	return list
})

// All returns every sum, group by group.
func All() []*Sum { return slices.Clone(ordered()) }

// Find returns the sum of that name. If there is none the error suggests the
// names nearest to it.
func Find(name string) (*Sum, error) {
	name = strings.ToLower(strings.TrimSpace(name))
	var names []string
	for _, s := range ordered() {
		if s.Name == name {
			return s, nil
		}
		names = append(names, s.Name)
	}
	if near := nearest(name, names); len(near) > 0 {
		return nil, fmt.Errorf("there is no sum called %.40q; did you mean %s?", name, strings.Join(near, " or "))
	}
	return nil, fmt.Errorf("there is no sum called %.40q; the sums are %s", name, strings.Join(names, ", "))
}

// Input returns the declaration of an input, that of [Shared] too, or false.
func (s *Sum) Input(key string) (Input, bool) {
	if key == Shared.Key {
		return Shared, true
	}
	if i := s.index(key); i >= 0 {
		return s.Inputs[i], true
	}
	return Input{}, false
}

func (s *Sum) index(key string) int {
	return slices.IndexFunc(s.Inputs, func(in Input) bool { return in.Key == key })
}

// Required reports whether the input must be given.
func (in Input) Required() bool { return in.Default == "" && !in.Optional }

// nearest returns at most three names that a person may have meant.
func nearest(name string, names []string) []string {
	type near struct {
		name string
		far  int
	}
	var list []near
	if len(name) < 2 || len(name) > 40 {
		return nil
	}
	for _, n := range names {
		far := distance(name, n)
		if strings.Contains(n, name) || strings.Contains(name, n) {
			far = 1
		}
		if far <= max(1, len(name)/3) {
			list = append(list, near{n, far})
		}
	}
	slices.SortStableFunc(list, func(a, b near) int { return a.far - b.far })
	var out []string
	for _, n := range list[:min(3, len(list))] {
		out = append(out, n.name)
	}
	return out
}

// distance is the number of letters to change, add or drop to get from a to b.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
