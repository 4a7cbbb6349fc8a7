package setup

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/unit"
)

// questioned is how many standard deviations a reading may lie from what the
// rest foretells before it is questioned; grave is where the setting is no
// longer called proven. Common practice, no source.
const (
	questioned = 3.0
	grave      = 4.0
)

// Doubt is a reading that does not fit what is known.
type Doubt struct {
	Seq   int    // entry of the reading
	What  string // what was read
	Off   float64
	Says  string // one sentence
	Likes []string
	Grave bool
}

// doubts gathers the readings of a setting that do not fit the rest.
func (e *estimator) doubts(r *Result) {
	of := e.restsOn(r)
	for _, g := range e.m.seen {
		if math.Abs(g.push) < questioned || !slices.Contains(of, g.what) {
			continue
		}
		in := r.Unit
		if m, ok := e.s.Box.Measure(g.what); ok {
			in = m.Unit
		}
		// What cannot be seen on the instrument is not worth a question.
		if in.Kind == unit.KindLength && math.Abs(g.miss) < 5e-6 {
			continue
		}
		n := 0
		for _, o := range e.m.seen {
			if o.what == g.what && o.seq != g.seq {
				n++
			}
		}
		r.Doubts = append(r.Doubts, Doubt{Seq: g.seq, What: g.what, Off: g.miss, Likes: likely(r, n), Grave: math.Abs(g.push) >= grave,
			Says: fmt.Sprintf("%s, entry %d, disagrees with %s by %s: %s?", g.what, g.seq, before(n), Text(math.Abs(g.miss), 0, in), strings.Join(likely(r, n), ", "))})
	}
	slices.SortStableFunc(r.Doubts, func(a, b Doubt) int { return b.Seq - a.Seq })
}

func before(n int) string {
	switch n {
	case 0:
		return "what the rest foretells"
	case 1:
		return "the other reading"
	}
	return fmt.Sprintf("the %d others", n)
}

// likely are the usual causes, the likeliest first. Common practice, no source.
func likely(r *Result, others int) []string {
	if r.form.base < 0 || others == 0 {
		return []string{"dirt under the gauge", "a burr", "the instrument's zero"}
	}
	if len(r.Raises) > 0 && len(r.Lowers) > 0 {
		return []string{"shims swapped side for side", "dirt behind a shim", "a cup not seated"}
	}
	return []string{"dirt", "a wrong shim", "a cup or a bearing not seated"}
}

// restsOn are the names of everything that is read for a setting.
func (e *estimator) restsOn(r *Result) []string {
	out := []string{r.Name}
	for _, t := range r.Chain {
		switch {
		case t.Measure != "":
			out = append(out, t.Measure)
		case t.Dim != "":
			out = append(out, t.Position+" "+t.Dim)
		}
	}
	for _, id := range r.Seats() {
		out = append(out, id+" thickness")
	}
	for i, n := range out {
		if m, ok := e.s.Box.Measure(n); ok {
			out[i] = m.Name
		}
	}
	return out
}
