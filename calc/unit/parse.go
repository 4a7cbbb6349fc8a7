package unit

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
	"unicode/utf8"
)

// Quantity is a value as a person wrote it.
type Quantity struct {
	Text   string // exactly as typed
	Kind   Kind
	SI     float64
	U      float64 // standard uncertainty in SI from "±", 0 when none is given
	Unit   Unit    // as written, or the default
	Places int     // decimals the person wrote, in Unit; of a fraction at most 4
}

const (
	maxText        = 100  // bytes of a text that is still a quantity
	maxDenominator = 1000 // of a fraction
	fractionPlaces = 4    // decimals credited to a fraction that needs that many or more
	maxExponent    = 40   // of a power of ten
)

// largestInt is the largest number taken, largest the same, smallest the least that
// is not nothing.
const largestInt = 1e15

var (
	largest  = rat("1e15")
	smallest = rat("1e-30")
)

// Parse reads what people write: "18.87", "18,87 mm ± 0.02", "1-3/8 in",
// "130 lbf ft", "68 F", "11.5e-6 1/K". Either decimal sign will do; a text with
// group marks, such as "1,234.5", is refused, never guessed at. What follows
// "±", "+-" or "+/-" is one standard uncertainty, in its own unit or else in
// that of the value.
//
// A text without a unit is read in def. If def is the zero Unit that is an
// error, except for a plain number. The value is the nearest float64 to what
// was written, whatever the unit. Parse never returns NaN or infinity.
func Parse(text string, k Kind, def Unit) (Quantity, error) {
	if int(k) >= len(kinds) {
		return Quantity{}, fmt.Errorf("cannot read %q: its kind is unknown here", clip(text))
	}
	if len(text) > maxText || !utf8.ValidString(text) {
		return Quantity{}, fmt.Errorf("cannot read %q as %s: it is too long or not plain text; expected something like %q", clip(text), k.article(), kinds[k].example)
	}
	s := strings.TrimSpace(tidy(text))
	if s == "" {
		return Quantity{}, fmt.Errorf("nothing was typed; expected %s, such as %q", k.article(), kinds[k].example)
	}
	q, err := parse(s, k, def)
	if err == nil && extreme(s) { // what is printed of it must be read again
		if out := q.String(); len(out) > maxText {
			err = errors.New("it has too many digits")
		} else {
			_, err = parse(strings.TrimSpace(tidy(out)), k, Unit{})
		}
	}
	if err != nil {
		return Quantity{}, fmt.Errorf("cannot read %q as %s: %w", clip(text), k.article(), err)
	}
	q.Text = text
	return q, nil
}

// extreme reports whether a number may be so long, so large or so small that, rounded,
// it is beyond what is taken.
func extreme(s string) bool {
	row := 0 // of digits
	for _, c := range s {
		switch row++; {
		case strings.ContainsRune("eE^×", c):
			return true
		case c < '0' || c > '9':
			row = 0
		case row == 15:
			return true
		}
	}
	return len(s) > maxText/3
}

// tidy puts plain signs for what keyboards offer; most texts have none to change.
func tidy(text string) string {
	for i := range len(text) {
		if text[i] == '+' || text[i] >= utf8.RuneSelf {
			return plain.Replace(text)
		}
	}
	return text
}

// plain maps the signs that keyboards offer to the few that parse knows.
var plain = strings.NewReplacer(
	"+/-", "±", "+/−", "±", "+-", "±", "+−", "±",
	"\u00a0", " ", "\u2009", " ", "\u202f", " ", "\u2007", " ",
	"−", "-", "–", "-", "⁄", "/",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3",
	"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
)

func parse(s string, k Kind, def Unit) (Quantity, error) {
	left, right, both := strings.Cut(s, "±")
	x, places, name, err := number(left)
	if err != nil {
		return Quantity{}, err
	}
	var ux written
	var uname string
	if both {
		if ux, _, uname, err = number(right); err != nil {
			return Quantity{}, fmt.Errorf("after ±, %w", err)
		}
		if strings.ContainsAny(right, "±") || strings.HasPrefix(strings.TrimSpace(right), "-") {
			return Quantity{}, errors.New("after ± comes one number that is not negative")
		}
	}
	e, eu, err := settle(name, uname, k, def)
	if err != nil {
		return Quantity{}, err
	}
	q := Quantity{Kind: k, Unit: e.Unit, Places: places}
	if e.Offset != 0 {
		r := x.rat()
		x.long = r.Sub(r, new(big.Rat).SetFloat64(e.Offset))
	}
	q.SI = x.times(e)
	if both {
		q.U = ux.times(eu)
	}
	return q, nil
}

// settle decides the units of the value and of its uncertainty. A unit written
// only once serves both; without any the default does.
func settle(name, uname string, k Kind, def Unit) (e, eu *entry, err error) {
	if name == "" && uname != "" && k == KindTemperature && lookup(uname, k) == nil {
		// "20 ± 0.5 K": only the uncertainty can be in kelvins.
		if e, err = fallback(k, def); err != nil {
			return nil, nil, err
		}
		eu, err = named(uname, k, KindTempRise)
		return e, eu, err
	}
	switch {
	case name != "":
		e, err = named(name, k)
	case uname != "":
		e, err = named(uname, k)
	default:
		e, err = fallback(k, def)
	}
	if err != nil || uname == "" {
		return e, e, err
	}
	if k == KindTemperature {
		eu, err = named(uname, k, KindTempRise)
		return e, eu, err
	}
	eu, err = named(uname, k)
	return e, eu, err
}

// named finds a unit among those of the kinds, the first of which names what
// was asked for.
func named(name string, ks ...Kind) (*entry, error) {
	for _, k := range ks {
		if e := lookup(name, k); e != nil {
			return e, nil
		}
	}
	asked, name := ks[0], strings.TrimSpace(name)
	if why := ambiguous[key(name)]; why != "" {
		return nil, errors.New(why)
	}
	mend := "use " + choices(asked)
	if asked == Number {
		mend = "a number has no unit"
	}
	for k := range kinds {
		if lookup(name, Kind(k)) != nil {
			return nil, fmt.Errorf("%s is a unit of %s; %s", name, kinds[k].name, mend)
		}
	}
	if d, _ := digits(strings.TrimLeft(name, "-+.,/ ")); d != "" {
		return nil, fmt.Errorf("one number was expected and %s follows; %s", name, mend)
	}
	return nil, fmt.Errorf("%s is not a unit known here; %s", name, mend)
}

// fallback returns the default unit, with its exact factor if the table has it.
func fallback(k Kind, def Unit) (*entry, error) {
	switch {
	case k == Number && def == Unit{}:
		return &table[Number][0], nil
	case def == Unit{}:
		return nil, fmt.Errorf("it has no unit; write one after the number: %s", choices(k))
	case def.Kind != k:
		return nil, fmt.Errorf("the default unit %s is one of %s; write a unit after the number: %s", def.Symbol, def.Kind, choices(k))
	}
	if e := lookup(def.Symbol, k); e != nil {
		return e, nil
	}
	return nil, fmt.Errorf("the default unit %s is not known here; write one after the number: %s", def.Symbol, choices(k))
}

// choices lists the units a person would most likely want.
func choices(k Kind) string {
	var names []string
	for _, e := range table[k] {
		if e.Symbol != "" && len(names) < 6 {
			names = append(names, e.Symbol)
		}
	}
	return strings.Join(names, ", ")
}

func (k Kind) article() string {
	if strings.ContainsRune("aeiou", rune(kinds[k].name[0])) {
		return "an " + kinds[k].name
	}
	return "a " + kinds[k].name
}

// clip keeps a message short whatever was pasted in.
func clip(s string) string {
	if len(s) <= maxText {
		return s
	}
	return strings.ToValidUTF8(s[:maxText-20], "") + "…"
}
