package unit

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
)

// written is the exact value of a number: n/d in integers, as nearly everything
// fits, or else long.
type written struct {
	n, d int64
	long *big.Rat
}

// rat returns the value as a rational of its own.
func (x written) rat() *big.Rat {
	if x.long != nil {
		return new(big.Rat).Set(x.long)
	}
	return big.NewRat(x.n, x.d)
}

// exactInt bounds the integers that a float64 holds exactly.
const exactInt = 1 << 53

// times returns the float64 nearest to x times the factor of e. Where numerator
// and denominator are integers that a float64 holds, their quotient is that
// number, as [IEEE754] 5.4.1 has division round once.
func (x written) times(e *entry) float64 {
	if x.long == nil && e.n > 0 && abs(x.n) < exactInt/e.n && x.d < exactInt/e.d {
		return float64(x.n*e.n) / float64(x.d*e.d)
	}
	if x.long == nil && abs(x.n) < exactInt && x.d < exactInt {
		if f, ok := twoParts(float64(x.n), float64(x.d), e); ok {
			return f
		}
	}
	r := x.rat()
	f, _ := r.Mul(r, e.exact).Float64()
	return f
}

// twoParts returns n/d times the factor of e, reckoned to about 100 bits with what
// rounding leaves out carried along ([Muller]), and whether that settles the
// nearest float64.
func twoParts(n, d float64, e *entry) (float64, bool) {
	p := n * e.Factor
	rest := math.FMA(n, e.Factor, -p) + n*e.below
	q := p / d
	rest = (math.FMA(-q, d, p) + rest) / d
	doubt := math.Abs(q) * 0x1p-90
	f := q + (rest - doubt)
	return f, f == q+(rest+doubt) && math.Abs(f) > 0x1p-500
}

func abs(n int64) int64 { return max(n, -n) }

// small returns numerator and denominator of r where both are less than exactInt,
// else zeros.
func small(r *big.Rat) (n, d int64) {
	if r.Sign() > 0 && r.Num().BitLen() <= 53 && r.Denom().BitLen() <= 53 {
		return r.Num().Int64(), r.Denom().Int64()
	}
	return 0, 0
}

// number reads a number from the front of s and returns its exact value, the
// decimals it was written with, and what follows it.
func number(s string) (x written, places int, rest string, err error) {
	s = strings.TrimSpace(s)
	negative := false
	if t, ok := strings.CutPrefix(s, "-"); ok {
		negative, s = true, strings.TrimSpace(t)
	} else if t, ok := strings.CutPrefix(s, "+"); ok {
		s = strings.TrimSpace(t)
	}
	if x.long, places, rest, err = fractional(s); x.long == nil && err == nil {
		x, places, rest, err = decimal(s)
	}
	if err != nil {
		return x, 0, "", err
	}
	// What fits in integers is less than 1e18, and more than 1e-30.
	if x.long == nil && x.d < 1e3 && x.n > x.d*largestInt || x.long != nil && (x.long.Cmp(largest) > 0 || x.long.Sign() > 0 && x.long.Cmp(smallest) < 0) {
		return x, 0, "", errOutside
	}
	if negative {
		x.n = -x.n
		if x.long != nil {
			x.long.Neg(x.long)
		}
	}
	return x, places, strings.TrimSpace(rest), nil
}

var errOutside = errors.New("its size is beyond 1e15, or nearer to nothing than 1e-30; check the number")

// fractional reads "3/8", "1-3/8" or "1 3/8". It returns a nil value without an
// error where s does not start with a fraction, as in "5 1/min".
func fractional(s string) (*big.Rat, int, string, error) {
	whole, s := "0", strings.TrimSpace(s)
	a, t := digits(s)
	if a != "" && len(t) > 0 && (t[0] == '-' || t[0] == ' ') {
		b, v := digits(strings.TrimLeft(t[1:], " "))
		if b == "" || t[0] == '-' && t[1] == ' ' {
			return nil, 0, "", nil
		}
		whole, a, t = a, b, v
	}
	d, rest := "", ""
	if strings.HasPrefix(t, "/") {
		d, rest = digits(t[1:])
	}
	if a == "" || d == "" {
		return nil, 0, "", nil
	}
	w, n, den := rat(whole), rat(a), rat(d)
	switch {
	case den.Sign() == 0 || den.Cmp(rat(strconv.Itoa(maxDenominator))) > 0:
		return nil, 0, "", fmt.Errorf("the lower number of a fraction is 1 to %d", maxDenominator)
	case whole != "0" && n.Cmp(den) >= 0:
		return nil, 0, "", errors.New("the upper number of a mixed fraction must be the smaller one, as in 1-3/8")
	}
	x := w.Add(w, n.Quo(n, den))
	places, finite := x.FloatPrec()
	if !finite || places > fractionPlaces {
		places = fractionPlaces
	}
	return x, places, rest, nil
}

// decimal reads a decimal number with an optional power of ten.
func decimal(s string) (x written, places int, rest string, err error) {
	end := 0
	for end < len(s) && (s[end] == '.' || s[end] == ',' || isDigit(s[end])) {
		end++
	}
	m, rest := s[:end], s[end:]
	switch points, commas := strings.Count(m, "."), strings.Count(m, ","); {
	case points > 0 && commas > 0:
		return x, 0, "", errors.New("it mixes points and commas; write one decimal sign and no group marks")
	case points > 1 || commas > 1:
		return x, 0, "", errors.New("it has more than one decimal sign; write no group marks")
	case points+commas == len(m):
		return x, 0, "", errors.New("a number was expected first")
	case m[end-1] == ',':
		return x, 0, "", errors.New("a digit was expected after the comma")
	}
	m = strings.TrimSuffix(m, ".")
	if i := strings.IndexAny(m, ".,"); i >= 0 {
		places = len(m) - i - 1
	}
	exp, rest, err := exponent(rest)
	if err != nil {
		return x, 0, "", err
	}
	if x = short(m, places); x.long != nil || exp != 0 {
		x.long = x.rat()
	}
	if exp != 0 {
		x.long.Mul(x.long, rat("1e"+strconv.Itoa(exp)))
	}
	return x, max(places-exp, 0), rest, nil
}

// short reads a decimal of up to 18 digits, which fits an integer and a power of
// ten; a longer one becomes a rational.
func short(m string, places int) written {
	if len(m) > 18 {
		return written{long: rat("0" + strings.Replace(m, ",", ".", 1))}
	}
	x := written{d: 1}
	for i := range len(m) {
		if isDigit(m[i]) {
			x.n = 10*x.n + int64(m[i]-'0')
		}
	}
	for range places {
		x.d *= 10
	}
	return x
}

// exponent reads "e-6", "×10^-6" or "×10⁻⁶" from the front of s; without one it
// is 0.
func exponent(s string) (int, string, error) {
	t, power := s, false
	if len(s) > 0 && (s[0] == 'e' || s[0] == 'E') {
		t, power = s[1:], true
	} else {
		t, power = times10(strings.TrimLeft(s, " "))
	}
	sign := ""
	if strings.HasPrefix(t, "-") || strings.HasPrefix(t, "+") {
		sign, t = t[:1], t[1:]
	}
	d, rest := digits(t)
	if !power || d == "" {
		return 0, s, nil
	}
	n, err := strconv.Atoi(sign + d)
	if err != nil || n > maxExponent || n < -maxExponent {
		return 0, "", errOutside
	}
	return n, rest, nil
}

// times10 cuts "×10^" from the front of s, or "×10" where a superscript
// follows, which it sets on the line.
func times10(s string) (string, bool) {
	for _, sign := range []string{"×", "x", "*", "·"} {
		t, ok := strings.CutPrefix(s, sign)
		t, ten := strings.CutPrefix(strings.TrimLeft(t, " "), "10")
		if !ok || !ten {
			continue
		}
		if v, ok := strings.CutPrefix(t, "^"); ok {
			return v, true
		}
		rest := strings.TrimLeft(t, "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
		return onLine.Replace(t[:len(t)-len(rest)]) + rest, rest != t
	}
	return s, false
}

var onLine = strings.NewReplacer("⁻", "-", "⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4", "⁵", "5", "⁶", "6", "⁷", "7", "⁸", "8", "⁹", "9")

// digits splits s after its leading digits.
func digits(s string) (string, string) {
	i := 0
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	return s[:i], s[i:]
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }
