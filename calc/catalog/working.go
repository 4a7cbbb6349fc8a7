package catalog

import (
	"math"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"endfloat/calc/unit"
)

// putIn replaces the symbols of a formula by their numbers. If all of them are in
// the unit of the result the numbers stand bare. Otherwise every number carries
// its unit, and where units are mixed lengths are in metres, so that the units
// come out.
func (c *Call) putIn(formula string, result unit.Unit) string {
	bare, same := true, true
	var first unit.Unit
	eachSymbol(formula, func(s string) {
		v, ok := c.symbols[s]
		if !ok || v.unit.Symbol == "" || v.unit.Kind == unit.KindAngle {
			return
		}
		if first.Symbol == "" {
			first = v.unit
		}
		bare = bare && v.unit == result && result.Symbol != "%"
		same = same && v.unit == first
	}, nil)
	var b strings.Builder
	var last string // the number written last, still to be written
	flush := func() { b.WriteString(last); last = "" }
	eachSymbol(formula, func(s string) {
		flush()
		v, ok := c.symbols[s]
		switch {
		case !ok:
			last = s
		case bare && v.unit.Kind != unit.KindAngle:
			last = bracket(number(v.si, v.unit))
		case same:
			last = bracket(quantity(v.si, v.unit))
		default:
			last = bracket(quantity(v.si, coherent(v.unit)))
		}
	}, func(s string) {
		// "3 m²" is an area; three metres squared need a bracket.
		if strings.HasPrefix(s, "²") && strings.Contains(last, " ") && !strings.HasPrefix(last, "(") {
			last = "(" + last + ")"
		}
		flush()
		b.WriteString(s)
	})
	flush()
	return b.String()
}

// eachSymbol goes through a formula and tells symbols, which begin with a letter
// and go on with letters, digits, underscores and small digits, from the rest.
func eachSymbol(formula string, symbol, rest func(string)) {
	start, in := 0, false
	flush := func(end int) {
		if text := formula[start:end]; text != "" && in {
			symbol(text)
		} else if text != "" && rest != nil {
			rest(text)
		}
		start = end
	}
	var before rune
	for i, r := range formula {
		now := unicode.IsLetter(r) || in && (unicode.IsDigit(r) || r == '_' || unicode.In(r, unicode.No) && r != '²' && r != '³')
		// A digit before a letter is a number with its unit, not a symbol.
		if now != in && !(now && unicode.IsDigit(before)) {
			flush(i)
			in = now
		}
		before = r
	}
	flush(len(formula))
}

// coherent returns the unit in which a value enters a formula of mixed units.
func coherent(u unit.Unit) unit.Unit {
	if u.Kind == unit.KindLength && u.Factor != 1 {
		return anyUnit("m")
	}
	return u
}

// bracket puts a negative number in brackets so that a formula stays readable.
func bracket(s string) string {
	if strings.HasPrefix(s, "−") {
		return "(" + s + ")"
	}
	return s
}

// quantity prints a value in the working: more digits than the result, so that
// the line can be followed by hand.
func quantity(si float64, u unit.Unit) string { return number(si, u) + suffix(u) }

// suffix is the unit as it stands after a number.
func suffix(u unit.Unit) string {
	switch u.Symbol {
	case "":
		return ""
	case "°":
		return "°"
	}
	return " " + u.Symbol
}

// number prints millimetres to the micrometre, the last digit dropped if it is 0,
// and anything else to six significant digits, very small numbers in millionths.
func number(si float64, u unit.Unit) string {
	x := fromSI(si, u)
	switch abs := math.Abs(x); {
	case u.Symbol == "mm":
		return strings.TrimSuffix(fixed(x, 3), "0")
	case abs >= 1e9 || abs > 0 && abs < 1e-9:
		return minus(strconv.FormatFloat(x, 'g', 6, 64))
	case abs > 0 && abs < 1e-4:
		return minus(strconv.FormatFloat(x*1e6, 'g', 6, 64) + "e-6")
	default:
		places := 5
		if abs > 0 {
			places = max(0, 5-int(math.Floor(math.Log10(abs))))
		}
		s := fixed(x, places)
		if places > 0 {
			s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
		}
		return s
	}
}

// fixed prints x with so many decimals, as unit.Format does but an order of
// magnitude faster: a working holds a hundred numbers. The nudge is larger than
// the noise of adding floats and far below any digit printed, so that 0.575
// rounds up even if it came out as 0.57499999999999996.
func fixed(x float64, places int) string {
	return minus(strconv.FormatFloat(x*(1+1e-12), 'f', places, 64))
}

// minus sets the typographic minus and never lets a zero be negative.
func minus(s string) string {
	if s[0] != '-' {
		return s
	}
	if strings.Trim(s, "-0.") == "" {
		return s[1:]
	}
	return "−" + s[1:]
}

type unitKey struct {
	symbol string
	kind   unit.Kind
}

var (
	bySymbol = sync.OnceValue(func() map[string]unit.Unit {
		m := map[string]unit.Unit{"": {Factor: 1}}
		for k := unit.Number; !strings.HasPrefix(k.String(), "unknown"); k++ {
			for _, u := range unit.Units(k) {
				if _, ok := m[u.Symbol]; !ok {
					m[u.Symbol] = u
				}
			}
		}
		return m
	})
	byKind = sync.OnceValue(func() map[unitKey]unit.Unit {
		m := map[unitKey]unit.Unit{{"", unit.Number}: {Factor: 1}}
		for k := unit.Number; !strings.HasPrefix(k.String(), "unknown"); k++ {
			for _, u := range unit.Units(k) {
				m[unitKey{u.Symbol, k}] = u
			}
		}
		return m
	})
)

// anyUnit returns the unit of that symbol, of the first kind that has it. A
// wrong symbol is our own slip.
func anyUnit(symbol string) unit.Unit {
	u, ok := bySymbol()[symbol]
	if !ok {
		panic("catalog: no unit " + symbol)
	}
	return u
}

func unitOf(symbol string, k unit.Kind) unit.Unit {
	u, ok := byKind()[unitKey{symbol, k}]
	if !ok {
		panic("catalog: no unit " + symbol + " of " + k.String())
	}
	return u
}
