package unit

import (
	"math/big"
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
		if got := short(m, places); !ok || got == nil || got.Cmp(want) != 0 {
			t.Errorf("%s is read as %v, want %v", m, got, want)
		}
	}
	if short("1234567890123456789", 0) != nil {
		t.Error("nineteen digits may not fit")
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
