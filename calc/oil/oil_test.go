package oil_test

import (
	"testing"

	"endfloat/calc/oil"
	"endfloat/calc/unit"
)

// [J306] as tabulated in public, February 2019 and 2005: the limits belong to the
// thicker grade, and what was a 90 is a 110.
func TestPlain(t *testing.T) {
	for _, c := range []struct {
		v    float64
		e    oil.Edition
		want string
	}{
		{19.5, oil.Edition2019, "110"}, {19.5, oil.EditionBefore, "90"}, {14, oil.Edition2019, "90"}, {14, oil.EditionBefore, "90"},
		{24, oil.Edition2019, "140"}, {18.5, oil.Edition2019, "110"}, {18.49, oil.Edition2005, "90"}, {3.8, oil.Edition2019, "65"},
		{5, oil.Edition2019, "70"}, {6.5, oil.Edition2019, "75"}, {8.4, oil.Edition2019, "75"}, {8.5, oil.Edition2019, "80"},
		{7, oil.Edition2005, "80"}, {11, oil.Edition2005, "85"}, {32.5, oil.Edition2005, "190"}, {32.5, oil.EditionBefore, "140"}, {500, oil.Edition2019, "250"},
	} {
		g, err := oil.Plain(c.v*1e-6, c.e)
		if err != nil || g.Name != c.want {
			t.Errorf("%v cSt, %s: got %q, %v, want %s", c.v, c.e, g.Name, err, c.want)
		}
	}
	for _, e := range oil.Editions {
		if g, err := oil.Plain(3e-6, e); err == nil {
			t.Errorf("3 cSt is %q in %s", g.Name, e)
		}
	}
	if _, err := oil.Plain(14e-6, "1066"); err == nil {
		t.Error("an unknown edition was accepted")
	}
}

func TestWinter(t *testing.T) {
	for _, c := range []struct {
		at   unit.Temperature
		v    float64
		e    oil.Edition
		want string
	}{
		{-40, 14, oil.Edition2019, "75W"}, {-56, 14, oil.Edition2019, "70W"}, {-39, 14, oil.Edition2019, "80W"}, {-26, 8, oil.Edition2019, ""},
		{-26, 8, oil.Edition2005, "80W"}, {-12, 11, oil.Edition2019, "85W"}, {-11, 14, oil.Edition2019, ""}, {-40, 4, oil.Edition2005, ""}, {-40, 4, oil.Edition2019, "75W"},
	} {
		g, ok := oil.Winter(c.at, c.v*1e-6, c.e)
		if g.Name != c.want || ok != (c.want != "") {
			t.Errorf("%v °C, %v cSt, %s: got %q, want %q", c.at, c.v, c.e, g.Name, c.want)
		}
	}
}

// [TRIBHB] p. C16: plain dip to 12.5 m/s, guarded to 25, special to 100.
func TestSplash(t *testing.T) {
	for v, want := range map[float64]oil.Churn{1: oil.Slow, 3: oil.Dip, 12.5: oil.Dip, 12.6: oil.Guarded, 25: oil.Guarded, 26: oil.Special, 101: oil.TooFast} {
		if got := oil.Splash(v); got != want {
			t.Errorf("%v m/s: got %q, want %q", v, got, want)
		}
	}
	if oil.Immersion(.005) != .010 {
		t.Error("a wheel dips twice its tooth depth")
	}
	if got := oil.Fill(2e-3, .1); got < 2.2e-3-1e-12 || got > 2.2e-3+1e-12 {
		t.Errorf("2 L drained take %v", got)
	}
}
