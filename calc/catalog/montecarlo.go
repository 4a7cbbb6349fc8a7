package catalog

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"endfloat/calc/uncert"
	"endfloat/calc/unit"
)

// Spread is what Monte Carlo makes of one result, in SI.
type Spread struct {
	Mean, SD float64
	Lo, Hi   float64 // the shortest interval that holds 95 %
	Agrees   bool    // with first order, within half a digit of its uncertainty
	Text     string  // as printed, in the unit of the result
}

// The number of draws that RunMC takes on: fewer tell nothing of the ends of an
// interval, more would keep a person waiting.
const (
	LeastDraws = 1000
	MostDraws  = 1_000_000
)

// coverage is the part of all draws that an interval holds, and normalCoverage the
// factor by which first order reaches it.
const (
	coverage       = 0.95
	normalCoverage = 1.959963984540054
)

// RunMC is Run with the distribution of every result besides: n draws in which each
// value with a ± is taken as normal, [JCGM101]. The same seed gives the same
// outcome. Choices, such as a number of shims, stand as in Run. A warning tells
// where the spread does not bear out first order. It returns an error if n is not
// from LeastDraws to MostDraws or if the sum cannot be done for some draw.
func (s *Sum) RunMC(in map[string]string, n int, seed uint64) (*Answer, error) {
	if n < LeastDraws || n > MostDraws {
		return nil, fmt.Errorf("%d draws are asked for; expected %d to %d", n, LeastDraws, MostDraws)
	}
	c, err := s.prepare(in)
	if err != nil {
		return nil, err
	}
	a, err := c.answerNow()
	if err != nil {
		return nil, err
	}
	d := newDrawing(c)
	if len(d.draws) == 0 {
		c.answer.Warnings = append(c.answer.Warnings, "no input has a ±, so there is nothing to draw")
		return a, nil
	}
	for i := range a.Results {
		if r := &a.Results[i]; !r.Words {
			if r.MC, err = d.spread(a, i, n, seed); err != nil {
				return nil, err
			}
			if !r.MC.Agrees {
				a.Warnings = append(a.Warnings, fmt.Sprintf("%s: the sum bends within ±, or a side of it is cut off: go by the Monte Carlo interval, %s", r.Title, r.MC.Text))
			}
		}
	}
	return a, nil
}

// drawing repeats a sum with drawn values.
type drawing struct {
	c     *Call
	draws []uncert.Dist
	at    []place // of each draw
	pool  sync.Pool

	failed sync.Once
	err    error
}

// place is one value of one input, and which draw, if any, it has in common with
// others and how much of it.
type place struct {
	input, value, common int
	u                    float64 // 0: nothing in common
}

func newDrawing(c *Call) *drawing {
	d := &drawing{c: c}
	for i := range c.given {
		for j, v := range c.given[i].values {
			if v.U > 0 {
				d.draws = append(d.draws, uncert.Normal(v.SI, v.U))
				d.at = append(d.at, place{input: i, value: j})
			}
		}
	}
	d.drawShared()
	d.pool.New = func() any {
		inputs := slices.Clone(c.given)
		for i := range inputs {
			inputs[i].values = slices.Clone(inputs[i].values)
		}
		return &Call{sum: c.sum, given: inputs, quiet: true}
	}
	return d
}

// drawShared adds a draw for what each group has in common, and leaves the draws of
// its values what they have to themselves.
func (d *drawing) drawShared() {
	for _, g := range d.c.shared {
		for k := range d.at {
			if p := &d.at[k]; slices.Contains(g.inputs, p.input) {
				v := d.c.given[p.input].values[p.value]
				d.draws[k] = uncert.Normal(v.SI, g.own()*v.U)
				p.common, p.u = len(d.draws), g.both()*v.U
			}
		}
		d.draws = append(d.draws, uncert.Normal(0, 1))
	}
}

// spread draws one result. A result that is another one in other units, as a pull
// in newtons and in pounds, has its spread already.
func (d *drawing) spread(a *Answer, i, n int, seed uint64) (*Spread, error) {
	r := &a.Results[i]
	for _, before := range a.Results[:i] {
		if m := before.MC; m != nil && r.U > 0 && before.SI == r.SI && before.U == r.U && slices.Equal(before.Shares, r.Shares) && before.Kind == r.Kind {
			same := *m
			same.Text = r.spreadText(&same)
			return &same, nil
		}
	}
	o := uncert.MonteCarlo(func(x []float64) float64 { return d.one(x, i) }, d.draws, n, seed)
	if d.err != nil {
		key := d.c.sum.Inputs[d.at[0].input].Key
		return nil, badInput{key, fmt.Errorf("± is too much here: for some draws the sum cannot be done (%w)", d.err)}
	}
	m := &Spread{Mean: o.Mean, SD: o.SD}
	m.Lo, m.Hi = o.Shortest(coverage)
	m.Agrees = agrees(r.SI, r.U, m, n)
	m.Text = r.spreadText(m)
	return m, nil
}

// one does the sum for one draw and returns result i.
func (d *drawing) one(x []float64, i int) float64 {
	c := d.pool.Get().(*Call)
	defer d.pool.Put(c)
	for k, p := range d.at {
		si := x[k]
		if p.u > 0 {
			si += p.u * x[p.common]
		}
		c.given[p.input].values[p.value].SI = si
	}
	c.out, c.decided = c.out[:0], d.c.decided
	err := c.do()
	if err == nil && len(c.out) != len(d.c.out) {
		err = fmt.Errorf("the answer takes another form")
	}
	if err != nil {
		d.failed.Do(func() { d.err = err })
		return math.NaN()
	}
	return c.out[i].SI
}

// agrees compares the interval of first order, y ± 1.96 u, with the drawn one. The
// tolerance is half a unit of the last digit of u written with one digit,
// [JCGM101] 7.9.2 and 8, and never less than what the ends of an interval wander
// from one seed to the next.
func agrees(y, u float64, m *Spread, n int) bool {
	if u == 0 {
		// Nothing to first order: the spread must be nothing too.
		return m.SD <= 1e-9*math.Abs(y)+1e-15
	}
	tolerance := 0.5 * math.Pow(10, math.Floor(math.Log10(u)))
	wander := u * (8/math.Sqrt(float64(n)) + 0.8/math.Cbrt(float64(n)))
	tolerance = max(tolerance, wander)
	return math.Abs(y-normalCoverage*u-m.Lo) <= tolerance && math.Abs(y+normalCoverage*u-m.Hi) <= tolerance
}

// spreadText prints a spread with the digits that its width supports.
func (r *Result) spreadText(m *Spread) string {
	u := unitOf(r.Unit, r.Kind)
	places := r.Places
	if width := (m.Hi - m.Lo) / perUnit(u); width > 0 {
		places = min(max(0, 2-int(math.Floor(math.Log10(width)))), 12)
	}
	value := func(si float64) string { return fixed(fromSI(si, u), places) }
	return fmt.Sprintf("mean %s, sd %s, 95 %% from %s to %s%s", value(m.Mean), fixed(m.SD/perUnit(u), places), value(m.Lo), value(m.Hi), suffix(u))
}

// perUnit is the SI size of a unit.
func perUnit(u unit.Unit) float64 {
	if u.Factor == 0 {
		return 1
	}
	return u.Factor
}
