package catalog

import (
	"fmt"
	"math"
	"strings"

	"endfloat/calc/unit"
)

// Call is one run of a sum: it hands the inputs to Do and takes the results and
// the working. Asking for a key that the sum does not declare is a slip of our
// own and panics.
type Call struct {
	sum     *Sum
	given   []given
	shared  []common
	quiet   bool // a stepped run: no text is made
	out     []Result
	answer  *Answer
	symbols map[string]value // of the working, while it is written
	decided []any            // what Decide returned, in order
}

// Decide makes a choice, such as a number of whole shims, from the values as
// given. When the sum is run again with stepped values the choice stands, so
// that the uncertainty is that of the pack chosen.
func Decide[T any](c *Call, choose func() T) T {
	if c.quiet {
		v := c.decided[0].(T)
		c.decided = c.decided[1:]
		return v
	}
	v := choose()
	c.decided = append(c.decided, v)
	return v
}

// value is what a symbol stands for in the working.
type value struct {
	si   float64
	unit unit.Unit
}

func (c *Call) input(key string) (*Input, *given) {
	i := c.sum.index(key)
	if i < 0 {
		panic("catalog: the sum " + c.sum.Name + " has no input " + key)
	}
	return &c.sum.Inputs[i], &c.given[i]
}

// Has reports whether an input was given or has a default.
func (c *Call) Has(key string) bool {
	_, g := c.input(key)
	return g.text != ""
}

// F returns the SI value of a quantity, 0 if an optional one was left out. Its
// symbol is known to the working from then on.
func (c *Call) F(key string) float64 {
	d, g := c.input(key)
	if len(g.values) == 0 {
		return 0
	}
	c.show(d, g, g.values[0].SI)
	return g.values[0].SI
}

// U returns the standard uncertainty typed with a quantity, the largest where there
// are several, 0 if none was.
func (c *Call) U(key string) float64 {
	_, g := c.input(key)
	u := 0.0
	for _, q := range g.values {
		u = max(u, q.U)
	}
	return u
}

// Length returns a length.
func (c *Call) Length(key string) unit.Length { return unit.Length(c.F(key)) }

// Int returns a whole number.
func (c *Call) Int(key string) int { return int(c.F(key)) }

// Choice returns the answer to a choice, "" if it was left out.
func (c *Call) Choice(key string) string {
	d, g := c.input(key)
	if !c.quiet && !g.shown && g.answer != "" {
		g.shown = true
		c.answer.Lines = append(c.answer.Lines, Line{Meaning: d.Help, Value: g.answer})
	}
	return g.answer
}

// Words returns plain text.
func (c *Call) Words(key string) string {
	_, g := c.input(key)
	return g.text
}

// List returns the SI values of an input that takes several, in order.
func (c *Call) List(key string) []float64 {
	d, g := c.input(key)
	list := make([]float64, len(g.values))
	for i, q := range g.values {
		list[i] = q.SI
	}
	if !c.quiet && !g.shown && len(list) > 0 {
		g.shown = true
		c.answer.Lines = append(c.answer.Lines, Line{Symbol: d.Symbol, Meaning: d.Help, Value: g.text})
	}
	return list
}

// Names returns the names that go with List.
func (c *Call) Names(key string) []string {
	_, g := c.input(key)
	return g.names
}

// Mean returns the mean of several readings and their range, largest less
// smallest. The symbol of the input stands for the mean from then on.
func (c *Call) Mean(key string) (mean, spread float64) {
	d, g := c.input(key)
	if len(g.values) == 0 {
		return 0, 0
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range g.values {
		mean += q.SI
		lo, hi = min(lo, q.SI), max(hi, q.SI)
	}
	mean /= float64(len(g.values))
	if len(g.values) == 1 {
		c.show(d, g, mean)
		return mean, 0
	}
	if !c.quiet && !g.shown {
		g.shown = true
		c.showMean(d, g, mean, hi-lo)
	}
	return mean, hi - lo
}

func (c *Call) showMean(d *Input, g *given, mean, spread float64) {
	u := d.unit()
	var sum []string
	for _, q := range g.values {
		sum = append(sum, bracket(number(q.SI, u)))
	}
	c.let(d.Symbol, mean, u)
	c.answer.Lines = append(c.answer.Lines, Line{Symbol: d.Symbol, Meaning: d.Help,
		Formula: fmt.Sprintf("mean of %d, range %s", len(sum), quantity(spread, u)),
		Numbers: fmt.Sprintf("(%s) / %d", strings.Join(sum, " + "), len(sum)),
		Value:   quantity(mean, u)})
}

// show makes the symbol of an input known and writes its line once.
func (c *Call) show(d *Input, g *given, si float64) {
	if c.quiet || g.shown {
		return
	}
	g.shown = true
	u := d.unit()
	c.let(d.Symbol, si, u)
	l := Line{Symbol: d.Symbol, Meaning: d.Help, Numbers: g.text, Value: quantity(si, u)}
	if !g.typed {
		l.Numbers, l.Source = "", "not given, so taken as this"
	}
	c.answer.Lines = append(c.answer.Lines, l)
}

// Let makes a symbol known to the working without a line of its own: a constant,
// or a name for a choice.
func (c *Call) Let(symbol string, si float64, symbolOfUnit string) {
	if !c.quiet {
		c.let(symbol, si, anyUnit(symbolOfUnit))
	}
}

func (c *Call) let(symbol string, si float64, u unit.Unit) {
	if c.symbols == nil {
		c.symbols = make(map[string]value, 16)
	}
	c.symbols[symbol] = value{si, u}
}

// Line adds a line of working: symbol = formula, with the SI value it comes to.
// Symbols in the formula that stand for inputs or earlier lines are replaced by
// their numbers. The source is a key, or the first of the sum's own if left out.
func (c *Call) Line(symbol, meaning, formula string, si float64, symbolOfUnit string, source ...string) {
	if c.quiet {
		return
	}
	c.line(symbol, meaning, formula, si, anyUnit(symbolOfUnit), source)
}

func (c *Call) line(symbol, meaning, formula string, si float64, u unit.Unit, source []string) {
	l := Line{Symbol: symbol, Meaning: meaning, Formula: formula, Value: quantity(si, u)}
	l.Numbers = c.putIn(formula, u)
	switch {
	case len(source) > 0:
		l.Source = source[0]
	case len(c.sum.Sources) > 0:
		l.Source = c.sum.Sources[0]
	}
	c.answer.Lines = append(c.answer.Lines, l)
	c.let(symbol, si, u)
}

// Note adds a line of text to the working: a row of a table, a runner-up.
func (c *Call) Note(symbol, meaning, numbers, value string) {
	if !c.quiet {
		c.answer.Lines = append(c.answer.Lines, Line{Symbol: symbol, Meaning: meaning, Numbers: numbers, Value: value})
	}
}

// Out gives a result.
func (c *Call) Out(key string, si float64) {
	c.out = append(c.out, Result{Output: c.output(key), SI: si})
}

// Show gives a result together with its line of working.
func (c *Call) Show(key, formula string, si float64, source ...string) {
	o := c.output(key)
	c.out = append(c.out, Result{Output: o, SI: si})
	if !c.quiet {
		c.line(o.Symbol, o.Title, formula, si, unitOf(o.Unit, o.Kind), source)
	}
}

// OutFor gives one of several results under the same output, such as the ratio of
// each gear: its key is the output's and the name, joined by a dot.
func (c *Call) OutFor(key, name string, si float64) {
	o := c.output(key)
	o.Key, o.Title = o.Key+"."+name, o.Title+", "+name
	c.out = append(c.out, Result{Output: o, SI: si})
}

// last returns the result given last.
func (c *Call) last() float64 { return c.out[len(c.out)-1].SI }

// Say gives a result in words.
func (c *Call) Say(key, words string) {
	c.out = append(c.out, Result{Output: c.output(key), Text: words})
}

func (c *Call) output(key string) Output {
	for _, o := range c.sum.Outputs {
		if o.Key == key {
			return o
		}
	}
	panic("catalog: the sum " + c.sum.Name + " has no output " + key)
}

// Warn adds a warning: something to look at before the result is used.
func (c *Call) Warn(format string, args ...any) {
	if !c.quiet {
		c.answer.Warnings = append(c.answer.Warnings, fmt.Sprintf(format, args...))
	}
}

// Assume adds an assumption made in this run.
func (c *Call) Assume(format string, args ...any) {
	if !c.quiet {
		c.answer.Assumptions = append(c.answer.Assumptions, fmt.Sprintf(format, args...))
	}
}

// Bad blames an input for an error.
func (c *Call) Bad(key string, err error) error {
	c.input(key)
	return badInput{key, err}
}

// Badf blames an input in words.
func (c *Call) Badf(key, format string, args ...any) error {
	return c.Bad(key, fmt.Errorf(format, args...))
}

// Print writes an SI value as the working would, for warnings.
func (c *Call) Print(si float64, symbolOfUnit string) string {
	if c.quiet {
		return ""
	}
	return quantity(si, anyUnit(symbolOfUnit))
}

// needs refuses a run in which some of a group of inputs are missing.
func needs(c *Call, why string, keys ...string) error {
	for _, k := range keys {
		d, _ := c.input(k)
		switch {
		case c.Has(k):
		case len(d.Choices) > 0:
			return c.Badf(k, "it has to be answered %s: %s", why, quoted(d.Choices))
		default:
			return c.Badf(k, "it is needed too, %s", why)
		}
	}
	return nil
}
