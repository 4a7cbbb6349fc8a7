package catalog

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"endfloat/calc/unit"
)

// Answer is what a sum gives.
type Answer struct {
	Sum         *Sum
	Results     []Result
	Lines       []Line // the working
	Warnings    []string
	Assumptions []string
	Sources     []string
}

// Result is one output with its value.
type Result struct {
	Output
	SI     float64
	U      float64 // standard uncertainty in SI; 0 if no input had one
	Text   string  // as printed, with unit and uncertainty
	Shares []Share // where U comes from; empty if U is 0
	MC     *Spread // what Monte Carlo made of it; nil unless asked
}

// Share is the part of a result's variance that comes from one input.
type Share struct {
	Input string  // its key, or that of Shared for what inputs have in common
	Part  float64 // 0 to 1
}

// Line is one line of working.
type Line struct {
	Symbol  string
	Meaning string
	Formula string // right-hand side, in symbols
	Numbers string // the same with the numbers put in, or the text as typed
	Value   string
	Source  string
}

// Result returns the result of that key, or false.
func (a *Answer) Result(key string) (Result, bool) {
	for _, r := range a.Results {
		if r.Key == key {
			return r, true
		}
	}
	return Result{}, false
}

// Run does the sum. The map holds what a person typed for each input, and for
// [Shared] if some were read with the same instrument; several
// values for one input are written in one text, apart by semicolons or commas. An
// error begins with the name of the input at fault and says what was expected.
func (s *Sum) Run(in map[string]string) (*Answer, error) {
	c, err := s.prepare(in)
	if err != nil {
		return nil, err
	}
	return c.answerNow()
}

// prepare reads the inputs of a run.
func (s *Sum) prepare(in map[string]string) (*Call, error) {
	inputs, err := s.read(in)
	if err != nil {
		return nil, err
	}
	shared, err := s.readShared(in[Shared.Key], inputs)
	if err != nil {
		return nil, badInput{Shared.Key, err}
	}
	return &Call{sum: s, given: inputs, shared: shared, answer: &Answer{Sum: s}, out: make([]Result, 0, len(s.Outputs))}, nil
}

// answerNow does the sum, and again for each uncertain value.
func (c *Call) answerNow() (*Answer, error) {
	s := c.sum
	if err := c.doAloud(); err != nil {
		return nil, err
	}
	parts, err := c.propagate()
	if err != nil {
		return nil, err
	}
	c.sayShared()
	a := c.answer
	for i := range c.out {
		r := &c.out[i]
		if !r.Words {
			if u, shares := combine(s, parts, i); u > 0 {
				r.U, r.Shares = u, shares
			}
			if r.Text == "" {
				r.Text = c.print(*r)
			}
		}
	}
	a.Results = c.out
	a.Assumptions = slices.Concat(s.Assumptions, a.Assumptions)
	a.Sources = slices.Clone(s.Sources)
	return a, nil
}

// desk is what a working is written on, used again for the next.
type desk struct {
	symbols map[string]value
	lines   []Line
}

var desks = sync.Pool{New: func() any { return &desk{symbols: make(map[string]value, 64)} }}

// doAloud runs the sum once with its working.
func (c *Call) doAloud() error {
	d := desks.Get().(*desk)
	c.symbols, c.answer.Lines = d.symbols, d.lines[:0]
	err := c.do()
	d.lines = c.answer.Lines
	c.symbols, c.answer.Lines = nil, slices.Clone(d.lines)
	clear(d.symbols)
	clear(d.lines)
	desks.Put(d)
	return err
}

// do runs the sum once and refuses a result that is no number.
func (c *Call) do() error {
	if err := c.sum.Do(c); err != nil {
		return err
	}
	for _, r := range c.out {
		if math.IsNaN(r.SI) || math.IsInf(r.SI, 0) {
			return badInput{c.sum.Inputs[0].Key, fmt.Errorf("with these inputs %s is no number; look for a value that cannot be", r.Title)}
		}
	}
	return nil
}

// print gives a quantity the digits of its uncertainty, and without one those
// its declaration asks for.
func (c *Call) print(r Result) string {
	u := unitOf(r.Unit, r.Kind)
	if r.U > 0 {
		return unit.FormatU(r.SI, r.U, u)
	}
	return fixed(fromSI(r.SI, u), r.Places) + suffix(u)
}

// step is what one standard uncertainty of one value does to each result.
type step struct {
	input int // its place among the inputs, or inCommon
	diff  []float64
}

// inCommon stands in a step for what a group of inputs has in common.
const inCommon = -1

// key names whose step it is.
func (st step) key(s *Sum) string {
	if st.input == inCommon {
		return Shared.Key
	}
	return s.Inputs[st.input].Key
}

// propagate runs the sum with each uncertain value stepped up and down by its
// standard uncertainty, all others held: [GUM] 5.1.3, note 2.
func (c *Call) propagate() ([]step, error) {
	var steps []step
	for i := range c.given {
		for j := range c.given[i].values {
			v := &c.given[i].values[j]
			if v.U == 0 {
				continue
			}
			at := v.SI
			v.SI = at + v.U
			hi, err := c.again()
			v.SI = at - v.U
			lo, err2 := c.again()
			v.SI = at
			if err == nil {
				err = err2
			}
			if err == nil && (len(hi) != len(c.out) || len(lo) != len(c.out)) {
				err = fmt.Errorf("the answer takes another form")
			}
			if err != nil {
				d := &c.sum.Inputs[i]
				return nil, badInput{d.Key, fmt.Errorf("± %s is too much here: one step away the sum cannot be done (%w)",
					unit.FormatU(v.U, 0, unit.Unit{Symbol: v.Unit.Symbol, Factor: v.Unit.Factor}), err)}
			}
			diff := make([]float64, len(hi))
			for r := range hi {
				diff[r] = (hi[r].SI - lo[r].SI) / 2
			}
			steps = append(steps, step{i, diff})
		}
	}
	return c.apart(steps), nil
}

// again runs the sum quietly with the values as they stand.
func (c *Call) again() ([]Result, error) {
	stepped := &Call{sum: c.sum, given: c.given, decided: c.decided, quiet: true, out: make([]Result, 0, len(c.out))}
	err := stepped.do()
	return stepped.out, err
}

// combine adds the steps up for one result: [GUM] 5.1.2, eq. (10).
func combine(s *Sum, steps []step, result int) (u float64, shares []Share) {
	var sum float64
	for _, st := range steps {
		sum += st.diff[result] * st.diff[result]
	}
	if sum == 0 {
		return 0, nil
	}
	for _, st := range steps {
		part := st.diff[result] * st.diff[result] / sum
		key := st.key(s)
		if n := len(shares); n > 0 && shares[n-1].Input == key {
			shares[n-1].Part += part
		} else {
			shares = append(shares, Share{key, part})
		}
	}
	return math.Sqrt(sum), shares
}
