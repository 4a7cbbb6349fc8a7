package catalog

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/unit"
)

// Shared is the input that every sum understands beside its own: which values were
// read with the same instrument, and how much of their doubt is therefore the same
// error in all of them. It stands in no sum's Inputs.
//
// A share is a part of the variance, so it is the correlation coefficient of any
// two of the values, [GUM] 5.2.2: each has √share of its standard uncertainty in
// common with the others and √(1 − share) to itself. An input of several readings
// may stand alone.
var Shared = Input{
	Key: "shared", Words: true, Optional: true,
	Help: "inputs read with the same instrument, and the share of their variance that is the same error in all: recess, stand-up: 0.8. " +
		"0 is nothing in common, 1 everything; groups are set apart by ;",
}

// Understands are all inputs that may be given: the sum's own, and Shared where
// it has any that can carry a doubt.
func (s *Sum) Understands() []Input {
	for _, in := range s.Inputs {
		if !in.Words && len(in.Choices) == 0 {
			return append(slices.Clone(s.Inputs), Shared)
		}
	}
	return s.Inputs
}

// common is a group of inputs with a doubt in common.
type common struct {
	inputs []int
	share  float64
}

// own and both are the factors of a standard uncertainty for what a value has to
// itself and what it has in common.
func (g common) own() float64  { return math.Sqrt(1 - g.share) }
func (g common) both() float64 { return math.Sqrt(g.share) }

// readShared reads the groups; blank text has none.
func (s *Sum) readShared(text string, all []given) ([]common, error) {
	if text = strings.TrimSpace(text); text == "" {
		return nil, nil
	}
	if len(text) > maxText {
		return nil, fmt.Errorf("%d characters are too many; expected at most %d", len(text), maxText)
	}
	var groups []common
	taken := make([]bool, len(all))
	for part := range strings.SplitSeq(text, ";") {
		names, share, ok := strings.Cut(part, ":")
		if !ok {
			return nil, fmt.Errorf("cannot read %.60q; expected inputs, a colon and the share of their variance that is common, such as recess, stand-up: 0.8", part)
		}
		g := common{}
		values := 0
		for name := range strings.SplitSeq(names, ",") {
			i, err := s.sharer(strings.ToLower(strings.TrimSpace(name)), all)
			if err != nil {
				return nil, err
			}
			if taken[i] {
				return nil, fmt.Errorf("%s stands there twice; an input belongs to one instrument", s.Inputs[i].Key)
			}
			taken[i] = true
			g.inputs = append(g.inputs, i)
			values += len(all[i].values)
		}
		if values < 2 {
			return nil, fmt.Errorf("%s has nothing to share its doubt with; expected two inputs or more, or one of several readings", s.Inputs[g.inputs[0]].Key)
		}
		var err error
		if g.share, err = readShare(share); err != nil {
			return nil, err
		}
		groups = append(groups, g)
	}
	return groups, nil
}

// sharer finds the input of a name, which must have a doubt to share.
func (s *Sum) sharer(name string, all []given) (int, error) {
	i := s.index(name)
	if i < 0 {
		return 0, s.unknown(name)
	}
	if !slices.ContainsFunc(all[i].values, func(q unit.Quantity) bool { return q.U > 0 }) {
		return 0, fmt.Errorf("%s has no ±, so it has no doubt to share; write its standard uncertainty after ±", name)
	}
	return i, nil
}

// readShare reads 0 to 1, or 0 % to 100 %.
func readShare(text string) (float64, error) {
	q, err := unit.Parse(text, unit.Number, unit.Unit{Factor: 1})
	if err != nil {
		return 0, err
	}
	if !(q.SI >= 0 && q.SI <= 1) || q.U != 0 {
		return 0, fmt.Errorf("a share of %.40q cannot be; expected a number from 0 to 1, without ±", strings.TrimSpace(text))
	}
	return q.SI, nil
}

// sayShared names the groups among the assumptions of a run.
func (c *Call) sayShared() {
	for _, g := range c.shared {
		var names []string
		for _, i := range g.inputs {
			names = append(names, c.sum.Inputs[i].Key)
		}
		c.Assume("Read with the same instrument: %s; %s of the variance of each value is the same error in all.", strings.Join(names, ", "), number(g.share, unit.Unit{Factor: 1}))
	}
}

// noise is what rounding leaves, relative to the terms, where doubts cancel.
const noise = 1e-9

// apart turns the steps of values with a doubt in common into steps that are
// independent of each other: each value's own, and one for each group.
func (c *Call) apart(steps []step) []step {
	for _, g := range c.shared {
		if g.share == 0 {
			continue
		}
		diff, size := make([]float64, len(c.out)), make([]float64, len(c.out))
		for _, st := range steps {
			if !slices.Contains(g.inputs, st.input) {
				continue
			}
			for r, z := range st.diff {
				diff[r] += g.both() * z
				size[r] += g.both() * math.Abs(z)
				st.diff[r] = g.own() * z
			}
		}
		for r := range diff {
			if math.Abs(diff[r]) <= noise*size[r] {
				diff[r] = 0
			}
		}
		steps = append(steps, step{inCommon, diff})
	}
	return steps
}
