package unit

import (
	"math"
	"testing"
)

func TestUndress(t *testing.T) {
	mm, _ := Find("mm", KindLength)
	in, _ := Find("in", KindLength)
	for text, want := range map[string]float64{
		"01A+0000.123":  0.123e-3,
		"01A-0012.345":  -12.345e-3,
		"01A+00.12345":  0.12345 * 25.4e-3,
		"FFFF000123430": 1.234e-3,
		"FFFF800123430": -1.234e-3,
		"FFFF000123441": 0.1234 * 25.4e-3,
		"FFFF000001200": 12e-3,
		"N+0012.34":     12.34e-3,
		"D:0,123":       0.123e-3,
		"X-0.005":       -0.005e-3,
		"\x020.18\x03":  0.18e-3,
		"]C118.44":      18.44e-3,
		"+0018.440":     18.44e-3,
		"  0.486 in":    0.486 * 25.4e-3,
		"0.4861IN":      0.4861 * 25.4e-3,
		"18.44MM":       18.44e-3,
		"743 thou":      0.743 * 25.4e-3,
	} {
		q, err := Parse(Undress(text), KindLength, mm)
		if err != nil || math.Abs(q.SI-want) > 1e-12 {
			t.Errorf("%q: %g, %v; want %g", text, q.SI, err, want)
		}
	}
	// A frame says its own unit, whatever the instrument is set to.
	if q, err := Parse(Undress("01A+0000.123"), KindLength, in); err != nil || math.Abs(q.SI-0.123e-3) > 1e-12 {
		t.Errorf("a frame in millimetres on an instrument in inches: %g, %v", q.SI, err)
	}
	for _, text := range []string{"L-P08", "M10", "01A+12", "FFFF700123430", "FFFF00012343", "1.2.3", "12 34", "N12.3", "https://192.168.1.20/T/L-P08", ""} {
		if q, err := Parse(Undress(text), KindLength, mm); err == nil {
			t.Errorf("%q was taken for %g m", text, q.SI)
		}
	}
}
