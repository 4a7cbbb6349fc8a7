package catalog

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"endfloat/calc/unit"
)

// given is what a person gave for one input.
type given struct {
	text   string
	values []unit.Quantity
	names  []string // of a Named input, one for each value
	answer string   // to a choice
	typed  bool     // false: the default was taken
	shown  bool     // its line stands in the working
}

// defaults are the defaults that were read already, by input: they never change,
// and reading one takes longer than many a sum.
var defaults sync.Map // *Input → given

// read parses all inputs. Blank text counts as not given.
func (s *Sum) read(in map[string]string) ([]given, error) {
	for _, key := range sortedKeys(in) {
		if s.index(key) < 0 && key != Shared.Key {
			return nil, s.unknown(key)
		}
	}
	all := make([]given, len(s.Inputs))
	for i := range s.Inputs {
		d := &s.Inputs[i]
		g := given{text: strings.TrimSpace(in[d.Key])}
		g.typed = g.text != ""
		if !g.typed {
			g.text = d.Default
		}
		if g.text == "" && d.Optional {
			continue
		}
		if !g.typed {
			if kept, ok := defaults.Load(d); ok {
				g = kept.(given)
				g.values, g.names = slices.Clone(g.values), slices.Clone(g.names)
				all[i] = g
				continue
			}
		}
		if err := d.parse(&g); err != nil {
			return nil, badInput{d.Key, err}
		}
		if !g.typed {
			kept := g
			kept.values, kept.names = slices.Clone(g.values), slices.Clone(g.names)
			defaults.Store(d, kept)
		}
		all[i] = g
	}
	return all, nil
}

func (s *Sum) unknown(key string) error {
	var keys []string
	for _, in := range s.Inputs {
		keys = append(keys, in.Key)
	}
	if near := nearest(key, keys); len(near) > 0 {
		return fmt.Errorf("%.40q: the sum %s has no such input; did you mean %s?", key, s.Name, strings.Join(near, " or "))
	}
	return fmt.Errorf("%.40q: the sum %s has no such input; it asks for %s", key, s.Name, strings.Join(keys, ", "))
}

// badInput is an error that begins with the name of the input at fault.
type badInput struct {
	key string
	err error
}

func (b badInput) Unwrap() error { return b.err }

func (b badInput) Error() string {
	msg := b.err.Error()
	// Inside, an error begins with its package; at the bench that says nothing.
	if pkg, rest, ok := strings.Cut(msg, ": "); ok && strings.Trim(pkg, "abcdefghijklmnopqrstuvwxyz") == "" {
		msg = rest
	}
	return b.key + ": " + msg
}

func (d *Input) parse(g *given) error {
	switch {
	case len(d.Choices) > 0:
		return d.choose(g)
	case d.Words:
		if g.text == "" {
			return fmt.Errorf("nothing was typed; expected %s", d.Help)
		}
		if len(g.text) > maxText {
			return fmt.Errorf("%d characters are too many; expected at most %d", len(g.text), maxText)
		}
		return nil
	case d.Many || d.Named:
		return d.list(g)
	}
	q, err := unit.Parse(g.text, d.Kind, d.unit())
	if err != nil {
		return err
	}
	g.values = []unit.Quantity{q}
	return d.check(q)
}

// unit returns the unit taken when none is typed.
func (d *Input) unit() unit.Unit { return unitOf(d.Unit, d.Kind) }

// choose takes an answer in any case, or the beginning of one and only one.
func (d *Input) choose(g *given) error {
	want := strings.ToLower(g.text)
	var fits []string
	for _, c := range d.Choices {
		if low := strings.ToLower(c); low == want {
			g.answer = c
			return nil
		} else if want != "" && strings.HasPrefix(low, want) {
			fits = append(fits, c)
		}
	}
	if len(fits) == 1 {
		g.answer = fits[0]
		return nil
	}
	if want == "" {
		return fmt.Errorf("this has to be answered: %s", quoted(d.Choices))
	}
	return fmt.Errorf("cannot read %.40q; the answers are %s", g.text, quoted(d.Choices))
}

func quoted(list []string) string {
	var b strings.Builder
	for i, s := range list {
		if i > 0 {
			b.WriteString(" or ")
		}
		fmt.Fprintf(&b, "%q", s)
	}
	return b.String()
}

func (d *Input) check(q unit.Quantity) error {
	if d.Whole && (q.SI != math.Round(q.SI) || q.U != 0) {
		return fmt.Errorf("%q is not a whole number; expected a count, without ±", q.Text)
	}
	// A little grace: 15 in of a rounded factor may land just outside 381 mm.
	if d.Min != d.Max && !(q.SI >= d.Min-1e-12*math.Abs(d.Min) && q.SI <= d.Max+1e-12*math.Abs(d.Max)) {
		u := q.Unit
		return fmt.Errorf("%s is out of range; expected %s to %s", unit.FormatU(q.SI, 0, u), unit.FormatU(d.Min, 0, d.unit()), unit.FormatU(d.Max, 0, d.unit()))
	}
	return nil
}

const (
	maxText   = 4000
	maxValues = 200
)

// list reads several values. A unit written only on the last serves all, and so
// does a ± written only on the last: "21.41, 21.42, 21.43 ± 0.01 mm".
func (d *Input) list(g *given) error {
	if len(g.text) > maxText {
		return fmt.Errorf("%d characters are too many; expected at most %d", len(g.text), maxText)
	}
	parts, err := split(g.text)
	if err != nil {
		return err
	}
	if len(parts) == 0 || len(parts) > maxValues {
		return fmt.Errorf("cannot read %.40q as values; expected 1 to %d of them, apart by commas", g.text, maxValues)
	}
	if d.Named {
		if parts, err = g.takeNames(parts); err != nil {
			return err
		}
	}
	def := d.unit()
	g.values = make([]unit.Quantity, len(parts))
	for i := len(parts) - 1; i >= 0; i-- {
		q, err := unit.Parse(parts[i], d.Kind, def)
		if err == nil {
			err = d.check(q)
		}
		if err != nil {
			return err
		}
		if i == len(parts)-1 {
			def = q.Unit
		}
		g.values[i] = q
	}
	shareU(g.values)
	return nil
}

// shareU gives every value the uncertainty of the last if only that has one.
func shareU(v []unit.Quantity) {
	last := v[len(v)-1].U
	for _, q := range v[:len(v)-1] {
		if q.U != 0 {
			return
		}
	}
	for i := range v {
		v[i].U = last
	}
}

// takeNames cuts "name = value" or "name: value" apart. A value without a name is
// numbered.
func (g *given) takeNames(parts []string) ([]string, error) {
	values := make([]string, len(parts))
	for i, p := range parts {
		name, value, ok := strings.Cut(p, "=")
		if !ok {
			name, value, ok = strings.Cut(p, ":")
		}
		if !ok {
			name, value = fmt.Sprint(i+1), p
		}
		name = strings.TrimSpace(name)
		if name == "" || len(name) > 60 {
			return nil, fmt.Errorf("cannot read %.40q; expected a name and a value, such as s1 = 0.50", p)
		}
		if slices.Contains(g.names, name) {
			return nil, fmt.Errorf("%.40q stands there twice; every piece needs a name of its own", name)
		}
		g.names = append(g.names, name)
		values[i] = value
	}
	return values, nil
}

// split takes a list apart. Semicolons and new lines always part values; where
// there is none a comma does, unless it can only be a decimal comma.
func split(s string) ([]string, error) {
	if strings.ContainsAny(s, ";\n") {
		return fields(strings.FieldsFunc(s, func(r rune) bool { return r == ';' || r == '\n' })), nil
	}
	if !tightComma(s) {
		return fields(strings.Split(s, ",")), nil
	}
	// Commas between digits: "21.41,21.42" parts values, "21,41, 21,42" does not.
	spaced := strings.Split(strings.ReplaceAll(s, ", ", "\x00"), "\x00")
	dots := strings.Contains(s, ".")
	switch {
	case dots && len(spaced) > 1, !dots && len(spaced) == 1 && strings.Count(s, ",") > 1:
		return nil, fmt.Errorf("cannot tell decimal commas from commas between values in %.40q; put ; between the values", s)
	case dots:
		return fields(strings.Split(s, ",")), nil
	}
	return fields(spaced), nil
}

// tightComma reports whether some comma stands between two digits.
func tightComma(s string) bool {
	for i := 1; i+1 < len(s); i++ {
		if s[i] == ',' && isDigit(s[i-1]) && isDigit(s[i+1]) {
			return true
		}
	}
	return false
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

// fields trims the parts and drops empty ones.
func fields(parts []string) []string {
	out := parts[:0]
	for _, p := range parts {
		if p = strings.TrimSpace(p); p != "" {
			out = append(out, p)
		}
	}
	return out
}

func sortedKeys(m map[string]string) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
