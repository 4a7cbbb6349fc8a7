package catalog

import (
	"fmt"
	"maps"
	"math"
	"strings"
	"testing"

	"endfloat/calc/unit"
)

// blamed checks that an error begins with an input of the sum and says something.
func blamed(s *Sum, err error) error {
	key, rest, ok := strings.Cut(err.Error(), ": ")
	if _, known := s.Input(key); !ok || !known || len(rest) < 5 {
		return fmt.Errorf("%q does not begin with an input", err)
	}
	return nil
}

// try runs the sum on its example with some inputs changed: the answer is sound or
// the error blames an input.
func try(s *Sum, change map[string]string) (err error) {
	in := maps.Clone(s.Example)
	maps.Copy(in, change)
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("it panics: %v", p)
		}
	}()
	a, err := s.Run(in)
	if err != nil {
		return blamed(s, err)
	}
	return sound(a)
}

// limits are the ends of the range of an input as text, in the unit it is asked in.
func limits(d *Input) (lo, hi string) {
	u := d.unit()
	text := func(si float64) string { return strings.TrimSpace(fmt.Sprintf("%.15g %s", fromSI(si, u), u.Symbol)) }
	return text(d.Min), text(d.Max)
}

func ranged(d *Input) bool { return len(d.Choices) == 0 && !d.Words && d.Min != d.Max }

// The fuzz target reaches every sum and every input: its seeds name them all and
// their numbers fit what it is given.
func TestFuzzReachesEverySum(t *testing.T) {
	if n := len(All()); n > math.MaxUint8+1 {
		t.Errorf("%d sums are more than the fuzz target can number", n)
	}
	for _, s := range All() {
		if n := len(s.Inputs); n > math.MaxUint8+1 || n == 0 {
			t.Errorf("%s has %d inputs", s.Name, n)
		}
	}
}

// A value below or above its range is refused by name, with the range: every
// quantity of every sum.
func TestEveryRangeIsNamed(t *testing.T) {
	seen := 0
	for _, s := range All() {
		for i := range s.Inputs {
			d := &s.Inputs[i]
			if !ranged(d) {
				continue
			}
			span := d.Max - d.Min
			for _, si := range []float64{d.Min - span, d.Max + span, -1e14, 1e14} {
				u := d.unit()
				text := fmt.Sprintf("%.12g %s", fromSI(si, u), u.Symbol)
				if d.Whole {
					text = fmt.Sprint(int64(fromSI(si, u)))
				}
				if !(math.Abs(fromSI(si, u)) < 9e14) {
					continue // too long a number to be read at all
				}
				in := maps.Clone(s.Example)
				in[d.Key] = text
				if d.Many && s.Example[d.Key] != "" {
					in[d.Key] = strings.Join([]string{text, text, text, text}, "; ")
				}
				a, err := s.Run(in)
				if err == nil {
					t.Errorf("%s: %s = %s is taken and gives %v", s.Name, d.Key, text, a.Results)
					continue
				}
				least, most := unit.FormatU(d.Min, 0, u), unit.FormatU(d.Max, 0, u)
				if msg := err.Error(); !strings.HasPrefix(msg, d.Key+": ") || !strings.Contains(msg, "out of range") ||
					!strings.Contains(msg, least) || !strings.Contains(msg, most) {
					t.Errorf("%s: %s = %s gives %q, want the input and %s to %s", s.Name, d.Key, text, msg, least, most)
				}
				seen++
			}
		}
	}
	if seen < 500 {
		t.Errorf("only %d values were refused", seen)
	}
}

// Text that is no number is refused by name in every input, and what is too large,
// too small or not there never gets through as a number.
func TestEveryInputStandsNonsense(t *testing.T) {
	for _, s := range All() {
		for i := range s.Inputs {
			d := &s.Inputs[i]
			for _, text := range []string{"NaN", "Inf", "-Inf", "1e400", "1e-400", "-0", "0", "0 ± 0", "1 ± 1e15", "1e15", "-1e15", "½", "1/0", "±", "a=",
				"=", ",", ";", "\x00", "\xff", "١٢", "1;1;1;1;1;1;1;1", "a=1;a=1", "a=0;b=0;c=0;d=0", strings.Repeat("9", 400), strings.Repeat("1;", 150), strings.Repeat("x", 5000)} {
				if err := try(s, map[string]string{d.Key: text}); err != nil {
					t.Errorf("%s: %s = %.30q: %v", s.Name, d.Key, text, err)
				}
				if !d.Words && len(d.Choices) == 0 && strings.Trim(text, "x\x00NaInf-") == "" {
					in := maps.Clone(s.Example)
					in[d.Key] = text
					if _, err := s.Run(in); err == nil || !strings.HasPrefix(err.Error(), d.Key+": ") {
						t.Errorf("%s: %s = %.30q gives %v", s.Name, d.Key, text, err)
					}
				}
			}
		}
	}
}

// Every input at either end of its range, and every two of them together: the sum
// is done soundly or an input is blamed.
func TestEveryInputAtItsLimits(t *testing.T) {
	for _, s := range All() {
		var ends [][2]string
		var keys []string
		for i := range s.Inputs {
			d := &s.Inputs[i]
			switch {
			case len(d.Choices) > 0:
				ends = append(ends, [2]string{d.Choices[0], d.Choices[len(d.Choices)-1]})
			case ranged(d):
				lo, hi := limits(d)
				ends = append(ends, [2]string{lo, hi})
			default:
				continue
			}
			keys = append(keys, d.Key)
		}
		for i := range keys {
			for j := range i + 1 {
				for _, a := range ends[i] {
					for _, b := range ends[j] {
						change := map[string]string{keys[j]: b, keys[i]: a}
						if err := try(s, change); err != nil {
							t.Errorf("%s %v: %v", s.Name, change, err)
						}
					}
				}
			}
		}
	}
}

// The same with all inputs at one end, and with all at the other.
func TestAllInputsAtOneEnd(t *testing.T) {
	for _, s := range All() {
		for end := range 2 {
			change := map[string]string{}
			for i := range s.Inputs {
				if d := &s.Inputs[i]; ranged(d) {
					lo, hi := limits(d)
					change[d.Key] = [2]string{lo, hi}[end]
				}
			}
			if err := try(s, change); err != nil {
				t.Errorf("%s %v: %v", s.Name, change, err)
			}
		}
	}
}

// No result claims digits that rounding alone has made: with a doubt in any one
// input, none is printed with more than ten decimals.
func TestNoFalseDigits(t *testing.T) {
	for _, s := range All() {
		for i := range s.Inputs {
			d := &s.Inputs[i]
			text := s.Example[d.Key]
			if !ranged(d) || d.Whole || d.Named || text == "" || strings.Contains(text, "±") {
				continue
			}
			in := maps.Clone(s.Example)
			in[d.Key] = text + " ± " + doubt(t, d, text)
			a, err := s.Run(in)
			if err != nil {
				continue
			}
			for _, r := range a.Results {
				if _, places, _ := strings.Cut(r.Text, "."); strings.IndexFunc(places, notDigit) > 10 {
					t.Errorf("%s with ± in %s: %s is printed as %q", s.Name, d.Key, r.Key, r.Text)
				}
			}
		}
	}
}

func notDigit(r rune) bool { return r < '0' || r > '9' }

// A little doubt in one input makes a little doubt in the result, in proportion:
// halve the one and the other halves, wherever the sum is straight enough.
func TestDoubtIsProportional(t *testing.T) {
	compared := 0
	for _, s := range All() {
		for i := range s.Inputs {
			d := &s.Inputs[i]
			text := s.Example[d.Key]
			if !ranged(d) || d.Whole || d.Named || text == "" || strings.Contains(text, "±") {
				continue
			}
			small := d.Kind == unit.KindTemperature
			var u [2][]Result
			ok := true
			for n, share := range []float64{2e-6, 1e-6} {
				step := fixed(share*(d.Max-d.Min)/perUnit(d.unit()), 15)
				if small {
					step = fixed(share*100, 12) + " K"
				}
				in := maps.Clone(s.Example)
				in[d.Key] = text + " ± " + step
				a, err := s.Run(in)
				if err != nil {
					ok = false
					break
				}
				u[n] = a.Results
			}
			if !ok || len(u[0]) != len(u[1]) {
				continue
			}
			for r := range u[0] {
				if a, b := u[0][r].U, u[1][r].U; b > 1e-12*math.Abs(u[1][r].SI) {
					compared++
					if !(a >= 1.0*b && a <= 4.05*b) { // a kink or a square may stand here
						t.Errorf("%s: ± in %s gives %s ± %g, half of it ± %g", s.Name, d.Key, u[0][r].Key, a, b)
					}
				}
			}
		}
	}
	if compared < 100 {
		t.Errorf("only %d results were compared", compared)
	}
}
