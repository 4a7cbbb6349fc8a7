package unit

import (
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
)

// The short way of reading a decimal must be as exact as the long one.
func TestShortIsExact(t *testing.T) {
	for _, m := range []string{"0", "5", ".5", "0.0", "21.42", "0.0000000000000001", "999999999999999999", "12345678.123456789", ".00000000000000001"} {
		places := 0
		if i := strings.IndexByte(m, '.'); i >= 0 {
			places = len(m) - i - 1
		}
		want, ok := new(big.Rat).SetString("0" + m)
		if got := short(m, places); !ok || got.long != nil || got.rat().Cmp(want) != 0 {
			t.Errorf("%s is read as %v, want %v", m, got, want)
		}
	}
	if short("1234567890123456789", 0).long == nil {
		t.Error("nineteen digits may not fit")
	}
}

// A quotient of integers must be the float64 that the exact product is nearest to.
func TestTimesRoundsOnce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	quick := 0
	for range 200_000 {
		k := Kind(r.IntN(len(kinds)))
		e := &table[k][r.IntN(len(table[k]))]
		x := written{n: r.Int64N(1<<r.IntN(50)+1) - r.Int64N(1000), d: 1}
		for range r.IntN(10) {
			x.d *= 10
		}
		exact := x.rat()
		want, _ := exact.Mul(exact, e.exact).Float64()
		if got := x.times(e); got != want {
			t.Fatalf("%d/%d %s is %v, want %v", x.n, x.d, e.Symbol, got, want)
		}
		if e.n > 0 && abs(x.n) < exactInt/e.n && x.d < exactInt/e.d {
			quick++
		}
	}
	if quick < 50_000 {
		t.Errorf("only %d of 200,000 went the short way", quick)
	}
}

// A spelling found as it stands must be what it comes to when tidied.
func TestKeyIsSettled(t *testing.T) {
	for k := range byKey {
		for s := range byKey[k] {
			if key(s) != s {
				t.Errorf("%s: %q is tidied again to %q", Kind(k), s, key(s))
			}
		}
	}
}
