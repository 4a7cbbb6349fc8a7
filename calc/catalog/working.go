package catalog

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"endfloat/calc/unit"
)

// putIn replaces the symbols of a formula by their numbers. If all of them are in
// the unit of the result the numbers stand bare. Otherwise every number carries
// its unit, and where units are mixed lengths are in metres, so that the units
// come out.
func (c *Call) putIn(formula string, result unit.Unit) string {
	var room [48]piece
	pieces := cutUp(room[:0], formula)
	bare, same := true, true
	var first unit.Unit
	for i := range pieces {
		p := &pieces[i]
		if !p.symbol {
			continue
		}
		if p.value, p.known = c.symbols[p.text]; !p.known || p.value.unit.Symbol == "" || p.value.unit.Kind == unit.KindAngle {
			continue
		}
		if first.Symbol == "" {
			first = p.value.unit
		}
		bare = bare && p.value.unit == result && result.Symbol != "%"
		same = same && p.value.unit == first
	}
	out := make([]byte, 0, 2*len(formula)+16)
	for i, p := range pieces {
		if !p.known {
			out = append(out, p.text...)
			continue
		}
		v, from := p.value, len(out)
		if !bare && !same {
			v.unit = coherent(v.unit)
		}
		if out = appendNumber(out, v.si, v.unit); !bare || v.unit.Kind == unit.KindAngle {
			out = append(out, suffix(v.unit)...)
		}
		// A negative number in brackets keeps a formula readable, and "3 m²" is an
		// area: three metres squared need them too.
		squared := i+1 < len(pieces) && strings.HasPrefix(pieces[i+1].text, "²") && bytes.IndexByte(out[from:], ' ') >= 0
		if squared || bytes.HasPrefix(out[from:], []byte("−")) {
			out = append(slices.Insert(out, from, '('), ')')
		}
	}
	return string(out)
}

// piece is a symbol of a formula, with what it stands for, or what is between two.
type piece struct {
	text   string
	symbol bool
	known  bool
	value  value
}

// cutUp takes a formula apart, appending to pieces: symbols begin with a letter and
// go on with letters, digits, underscores and small digits.
func cutUp(pieces []piece, formula string) []piece {
	start, in := 0, false
	flush := func(end int) {
		if end > start {
			pieces = append(pieces, piece{text: formula[start:end], symbol: in})
		}
		start = end
	}
	var before rune
	for i, r := range formula {
		now := isLetter(r) || in && (isNumeral(r) || r == '_')
		// A digit before a letter is a number with its unit, not a symbol.
		if now != in && !(now && unicode.IsDigit(before)) {
			flush(i)
			in = now
		}
		before = r
	}
	flush(len(formula))
	return pieces
}

func isLetter(r rune) bool {
	if r < utf8.RuneSelf {
		return 'a' <= r|0x20 && r|0x20 <= 'z'
	}
	return unicode.IsLetter(r)
}

// isNumeral reports whether r is a digit or a small one that is no power.
func isNumeral(r rune) bool {
	if r < utf8.RuneSelf {
		return '0' <= r && r <= '9'
	}
	return unicode.IsDigit(r) || unicode.In(r, unicode.No) && r != '²' && r != '³'
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
func quantity(si float64, u unit.Unit) string {
	var room [40]byte
	return string(append(appendNumber(room[:0], si, u), suffix(u)...))
}

// suffix is the unit as it stands after a number.
func suffix(u unit.Unit) string {
	switch u.Symbol {
	case "":
		return ""
	case "°":
		return "°"
	case "mm":
		return " mm"
	}
	return " " + u.Symbol
}

// number prints millimetres to the micrometre, the last digit dropped if it is 0,
// and anything else to six significant digits, very small numbers in millionths.
func number(si float64, u unit.Unit) string { return string(appendNumber(nil, si, u)) }

// appendNumber appends what number prints: a working holds a hundred of them.
func appendNumber(b []byte, si float64, u unit.Unit) []byte {
	x, from := fromSI(si, u), len(b)
	switch abs := math.Abs(x); {
	case u.Symbol == "mm":
		return bytes.TrimSuffix(appendFixed(b, x, 3), []byte("0"))
	case abs >= 1e9 || abs > 0 && abs < 1e-9:
		return minus(strconv.AppendFloat(b, x, 'g', 6, 64), from)
	case abs > 0 && abs < 1e-4:
		return append(minus(strconv.AppendFloat(b, x*1e6, 'g', 6, 64), from), "e-6"...)
	default:
		places := 5
		if abs > 0 {
			places = 9
			for top := 1e-3; places > 0 && abs >= top; top *= 10 {
				places--
			}
		}
		b = appendFixed(b, x, places)
		if places > 0 {
			b = bytes.TrimRight(bytes.TrimRight(b, "0"), ".")
		}
		return b
	}
}

// fixed prints x with so many decimals, as unit.Format does but an order of
// magnitude faster. The nudge is larger than the noise of adding floats and far
// below any digit printed, so that 0.575 rounds up even if it came out as
// 0.57499999999999996.
func fixed(x float64, places int) string { return string(appendFixed(nil, x, places)) }

func appendFixed(b []byte, x float64, places int) []byte {
	from := len(b)
	return minus(strconv.AppendFloat(b, x*(1+1e-12), 'f', places, 64), from)
}

// minus sets the typographic minus for the number that b holds from there on, and
// never lets a zero be negative.
func minus(b []byte, from int) []byte {
	if b[from] != '-' {
		return b
	}
	if len(bytes.Trim(b[from:], "-0.")) == 0 {
		return slices.Delete(b, from, from+1)
	}
	return slices.Replace(b, from, from+1, []byte("−")...)
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
