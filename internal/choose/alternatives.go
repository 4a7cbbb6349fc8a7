package choose

import (
	"fmt"
	"slices"
)

// Alternatives gives the next best choices after the best, each unlike all
// before it in the kind of at least one option, the cheapest first; fewer than
// n when there are no more. Options without a kind never make an alternative.
func Alternatives(p Problem, best Answer, n int) ([]Answer, error) {
	var out []Answer
	q := p
	q.Rules = slices.Clone(p.Rules)
	last := best
	for len(out) < n && last.Choice != nil {
		q.Rules = append(q.Rules, unlike(p, last.Choice))
		a, err := solve(q)
		if err != nil {
			return nil, err
		}
		if last = a; a.Choice == nil {
			break
		}
		a.Verdict = Evaluate(p, a.Choice)
		for s, slot := range p.Slots {
			if was, is := slot.Options[best.Choice[s]], slot.Options[a.Choice[s]]; was.Kind != is.Kind {
				a.Instead = append(a.Instead, fmt.Sprintf("%s: %s instead of %s", slot.Name, is.Name, was.Name))
			}
		}
		out = append(out, a)
	}
	return out, nil
}

// unlike asks for an option of another kind at one slot at least.
func unlike(p Problem, choice []int) Rule {
	r := Rule{Group: "another choice", Says: "it is to differ from the choices before it", Lo: 1, Hi: NoHi}
	for s, slot := range p.Slots {
		col, differs := Column{s, make([]int64, len(slot.Options))}, false
		for i, o := range slot.Options {
			if o.Kind != slot.Options[choice[s]].Kind {
				col.Values[i], differs = 1, true
			}
		}
		if differs {
			r.Of = append(r.Of, col)
		}
	}
	return r
}
