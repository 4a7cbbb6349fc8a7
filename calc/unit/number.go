package unit

import (
	"errors"
	"fmt"
	"math/big"
	"strconv"
	"strings"
)

// number reads a number from the front of s and returns its exact value, the
// decimals it was written with, and what follows it.
func number(s string) (x *big.Rat, places int, rest string, err error) {
	s = strings.TrimSpace(s)
	negative := false
	if t, ok := strings.CutPrefix(s, "-"); ok {
		negative, s = true, strings.TrimSpace(t)
	} else if t, ok := strings.CutPrefix(s, "+"); ok {
		s = strings.TrimSpace(t)
	}
	if x, places, rest, err = fractional(s); x == nil && err == nil {
		x, places, rest, err = decimal(s)
	}
	if err != nil {
		return nil, 0, "", err
	}
	// What is short in both parts, as nearly everything is, needs no comparison:
	// 2⁴⁹ is less than 1e15 and 2⁻⁹⁹ more than 1e-30.
	if x.Num().BitLen() > 49 || x.Denom().BitLen() > 99 {
		if x.Cmp(largest) > 0 || x.Sign() > 0 && x.Cmp(smallest) < 0 {
			return nil, 0, "", errOutside
		}
	}
	if negative {
		x.Neg(x)
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
func decimal(s string) (*big.Rat, int, string, error) {
	end := strings.IndexFunc(s, func(r rune) bool { return r != '.' && r != ',' && (r < '0' || r > '9') })
	if end < 0 {
		end = len(s)
	}
	m, rest := s[:end], s[end:]
	switch points, commas := strings.Count(m, "."), strings.Count(m, ","); {
	case points > 0 && commas > 0:
		return nil, 0, "", errors.New("it mixes points and commas; write one decimal sign and no group marks")
	case points > 1 || commas > 1:
		return nil, 0, "", errors.New("it has more than one decimal sign; write no group marks")
	case strings.Trim(m, ".,") == "":
		return nil, 0, "", errors.New("a number was expected first")
	case strings.HasSuffix(m, ","):
		return nil, 0, "", errors.New("a digit was expected after the comma")
	}
	m = strings.TrimSuffix(strings.Replace(m, ",", ".", 1), ".")
	places := 0
	if i := strings.IndexByte(m, '.'); i >= 0 {
		places = len(m) - i - 1
	}
	exp, rest, err := exponent(rest)
	if err != nil {
		return nil, 0, "", err
	}
	x := short(m, places)
	if x == nil {
		x = rat("0" + m)
	}
	if exp != 0 {
		x.Mul(x, rat("1e"+strconv.Itoa(exp)))
	}
	return x, max(places-exp, 0), rest, nil
}

// short reads a decimal of up to 18 digits, which fits an integer and a power of
// ten, faster than big.Rat does, and nil for a longer one.
func short(m string, places int) *big.Rat {
	if len(m) > 18 {
		return nil
	}
	n, tens := int64(0), int64(1)
	for i := range len(m) {
		if m[i] != '.' {
			n = 10*n + int64(m[i]-'0')
		}
	}
	for range places {
		tens *= 10
	}
	return big.NewRat(n, tens)
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
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return s[:i], s[i:]
}
