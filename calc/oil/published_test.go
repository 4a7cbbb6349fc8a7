package oil_test

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/oil"
	"endfloat/calc/unit"
)

// [J306] changed what a number on the can means: an oil of 19.5 cSt was a 90 before
// 2005 and is a 110 since.
func ExamplePlain() {
	for _, e := range oil.Editions {
		g, _ := oil.Plain(19.5e-6, e)
		fmt.Println(e+":", g.Name)
	}
	// Output:
	// 2019: 110
	// 2005: 110
	// before 2005: 90
}

// [J306] February 2019 and 2005, as tabulated in public: every row, least included,
// most not. Of the years before 2005 only 90 and 140 are known.
func TestPlainTable(t *testing.T) {
	for e, rows := range map[oil.Edition][]struct {
		name        string
		least, most float64
	}{
		oil.Edition2019: {{"65", 3.8, 5}, {"70", 5, 6.5}, {"75", 6.5, 8.5}, {"80", 8.5, 11}, {"85", 11, 13.5}, {"90", 13.5, 18.5},
			{"110", 18.5, 24}, {"140", 24, 32.5}, {"190", 32.5, 41}, {"250", 41, math.Inf(1)}},
		oil.Edition2005: {{"80", 7, 11}, {"85", 11, 13.5}, {"90", 13.5, 18.5}, {"110", 18.5, 24}, {"140", 24, 32.5}, {"190", 32.5, 41},
			{"250", 41, math.Inf(1)}},
		oil.EditionBefore: {{"90", 13.5, 24}, {"140", 24, 41}},
	} {
		for _, r := range rows {
			for _, v := range []float64{r.least, (r.least + min(r.most, 60)) / 2, r.most - 1e-3} {
				if math.IsInf(v, 0) {
					continue
				}
				g, err := oil.Plain(v*1e-6, e)
				if err != nil || g.Name != r.name {
					t.Errorf("%s: %g cSt is %q, %v, want %s", e, v, g.Name, err, r.name)
				}
				if !(math.Abs(g.Least*1e6-r.least) < 1e-9) || !math.IsInf(r.most, 0) && !(math.Abs(g.Below*1e6-r.most) < 1e-9) {
					t.Errorf("%s %s: %g to %g cSt, want %g to %g", e, r.name, g.Least*1e6, g.Below*1e6, r.least, r.most)
				}
			}
			if g, err := oil.Plain((r.least-1e-3)*1e-6, e); err == nil && g.Name == r.name {
				t.Errorf("%s: %g cSt is a %s already", e, r.least-1e-3, r.name)
			}
		}
	}
}

// [J306]: the warmest temperature at which 150 Pa·s may be reached and the least
// viscosity at 100 °C, of every W grade, in 2019 and in 2005.
func TestWinterTable(t *testing.T) {
	for _, r := range []struct {
		name             string
		at               unit.Temperature
		min2019, min2005 float64
	}{{"70W", -55, 3.8, 4.1}, {"75W", -40, 3.8, 4.1}, {"80W", -26, 8.5, 7.0}, {"85W", -12, 11.0, 11.0}} {
		for e, least := range map[oil.Edition]float64{oil.Edition2019: r.min2019, oil.Edition2005: r.min2005} {
			if g, ok := oil.Winter(r.at, least*1e-6, e); !ok || g.Name != r.name {
				t.Errorf("%s: %g °C and %g cSt are %q, %v, want %s", e, float64(r.at), least, g.Name, ok, r.name)
			}
			if g, ok := oil.Winter(r.at, (least-.01)*1e-6, e); ok && g.Name == r.name {
				t.Errorf("%s: %g cSt is enough for %s", e, least-.01, r.name)
			}
			if g, ok := oil.Winter(r.at+.1, 50e-6, e); ok && g.Name == r.name {
				t.Errorf("%s: %s at %g °C", e, r.name, float64(r.at)+.1)
			}
		}
	}
}
