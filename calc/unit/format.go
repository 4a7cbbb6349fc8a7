package unit

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Format prints an SI value in u with so many decimals, halves away from zero:
// "18.87 mm". Negative places round to tens, hundreds and so on. A value that
// is no number prints as "?".
func Format(si float64, u Unit, places int) string {
	return withUnit(fixed(reading(si, u), places), u)
}

// FormatU prints value ± u, both with the digits that the standard uncertainty
// supports: two significant digits of u if its first is 1 or 2, else one, as in
// "0.164 ± 0.008 mm". Without an uncertainty, u = 0, it prints up to six
// significant digits and drops closing zeros; with one that is no number it
// says so.
//
// [GUM] 7.2.6 asks for at most two digits of u and for rounding the value to
// match. An uncertainty below a part in 10¹² of the value is what rounding leaves
// of nothing, and is taken as none.
func FormatU(si, u float64, unit Unit) string {
	const rounding = 1e-12
	x := reading(si, unit)
	switch {
	case u == 0 || u > 0 && u <= rounding*math.Abs(si):
		return withUnit(shortest(x, 6), unit)
	case !(u > 0) || math.IsInf(u, 0):
		return withUnit(shortest(x, 6)+" ± ?", unit)
	}
	ux := u / factor(unit)
	first, exp := leading(ux)
	places := -exp
	if first <= 2 {
		places++
	}
	return withUnit(fixed(x, places)+" ± "+fixed(ux, places), unit)
}

// String returns a text that Parse, given the same kind, reads back to the same
// value, uncertainty and unit. It keeps the decimals the person wrote.
func (q Quantity) String() string {
	e := exact(q.Unit)
	s := canonical(q.SI, q.Places, e, new(big.Rat).SetFloat64(q.Unit.Offset), q.Places == fractionPlaces)
	if q.U > 0 {
		s += " ± " + canonical(q.U, q.Places, e, new(big.Rat), false)
	}
	return withUnit(s, q.Unit)
}

// canonical writes the reading of si so that it parses back to the same bits:
// with the places asked if these suffice, else as a fraction such as 1-5/64 if
// it may be one, else with the fewest digits that do.
func canonical(si float64, places int, e, offset *big.Rat, maybeFraction bool) string {
	x := new(big.Rat).SetFloat64(si)
	if x == nil {
		return "?"
	}
	x.Add(x.Quo(x, e), offset)
	same := func(r *big.Rat) bool {
		d := new(big.Rat).Sub(r, offset)
		f, _ := d.Mul(d, e).Float64()
		return f == si
	}
	if s := x.FloatString(max(places, 0)); same(rat(s)) {
		return minus(s)
	}
	for den := int64(2); maybeFraction && den <= maxDenominator; den++ {
		if r := nearest(x, den); same(r) && r.Num().BitLen() < 40 {
			return minus(fraction(r))
		}
	}
	f, _ := x.Float64()
	for digits := 0; digits < 17; digits++ {
		if s := strconv.FormatFloat(f, 'e', digits, 64); same(rat(s)) {
			return minus(s)
		}
	}
	// Near 0 °C a Fahrenheit reading needs more digits than a float64 has.
	for p := 17; p < maxText; p++ {
		if s := x.FloatString(p); same(rat(s)) {
			return minus(s)
		}
	}
	return minus(x.FloatString(maxText))
}

// nearest returns the fraction over den nearest to x.
func nearest(x *big.Rat, den int64) *big.Rat {
	n, _ := new(big.Int).SetString(new(big.Rat).Mul(x, big.NewRat(den, 1)).FloatString(0), 10)
	return new(big.Rat).SetFrac(n, big.NewInt(den))
}

// fraction writes r as "1-3/8" or "3/8".
func fraction(r *big.Rat) string {
	sign := ""
	if r.Sign() < 0 {
		sign, r = "-", new(big.Rat).Neg(r)
	}
	whole, rest := new(big.Int).QuoRem(r.Num(), r.Denom(), new(big.Int))
	if whole.Sign() == 0 {
		return sign + r.RatString()
	}
	return sign + whole.String() + "-" + new(big.Rat).SetFrac(rest, r.Denom()).RatString()
}

func rat(s string) *big.Rat {
	r, _ := new(big.Rat).SetString(s)
	return r
}

// factor treats the zero Unit as a plain number.
func factor(u Unit) float64 {
	if u.Factor == 0 {
		return 1
	}
	return u.Factor
}

// exact returns the exact factor of a unit of the table, and of any other unit
// the one it carries.
func exact(u Unit) *big.Rat {
	if e := lookup(u.Symbol, u.Kind); e != nil && e.Unit == u {
		return e.exact
	}
	return new(big.Rat).SetFloat64(factor(u))
}

func reading(si float64, u Unit) float64 { return si/factor(u) + u.Offset }

// fixed prints x with so many decimals. It looks at 15 digits only, so that
// the noise of a division does not decide which way a half goes.
func fixed(x float64, places int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "?"
	}
	r := rat(strconv.FormatFloat(x, 'e', 14, 64))
	tens := rat("1e" + strconv.Itoa(max(-places, 0)))
	s := r.Quo(r, tens).FloatString(max(places, 0))
	if places < 0 && strings.Trim(s, "-0") != "" {
		s += strings.Repeat("0", -places)
	}
	return minus(s)
}

// shortest prints x with at most so many significant digits and no closing
// zeros after the decimal sign.
func shortest(x float64, digits int) string {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return fixed(x, 0)
	}
	_, exp := leading(x)
	if exp < -6 || exp >= 15 {
		return minus(strconv.FormatFloat(x, 'g', digits, 64))
	}
	s := fixed(x, digits-1-exp)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// leading returns the first significant digit of x and its power of ten, seen
// at 15 digits.
func leading(x float64) (digit, exp int) {
	s := strconv.FormatFloat(math.Abs(x), 'e', 14, 64)
	exp, _ = strconv.Atoi(s[strings.IndexByte(s, 'e')+1:])
	return int(s[0] - '0'), exp
}

// minus sets the typographic minus and never lets a zero be negative.
func minus(s string) string {
	if rest, ok := strings.CutPrefix(s, "-"); ok {
		if strings.Trim(rest, "0.") == "" {
			return rest
		}
		return "−" + rest
	}
	return s
}

// withUnit sets the symbol after the number, signs of angle without a space.
func withUnit(s string, u Unit) string {
	switch u.Symbol {
	case "":
		return s
	case "°", "′", "″":
		return s + u.Symbol
	}
	return s + " " + u.Symbol
}
