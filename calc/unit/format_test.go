package unit_test

import (
	"math"
	"testing"

	"endfloat/calc/unit"
)

func TestFormat(t *testing.T) {
	mm, deg := find(t, "mm", unit.KindLength), find(t, "°", unit.KindAngle)
	fahrenheit := find(t, "°F", unit.KindTemperature)
	for _, c := range []struct {
		si     float64
		u      unit.Unit
		places int
		want   string
	}{
		{0.01887, mm, 2, "18.87 mm"},
		{-0.00005, mm, 2, "−0.05 mm"},
		{-0.000001, mm, 2, "0.00 mm"},
		{0.0000125, mm, 3, "0.013 mm"}, // halves away from zero, whatever the division leaves
		{0.0000135, mm, 3, "0.014 mm"},
		{1.234, mm, -1, "1230 mm"},
		{0.004, mm, -1, "0 mm"},
		{0.5, mm, 0, "500 mm"},
		{math.Pi / 6, deg, 1, "30.0°"},
		{20, fahrenheit, 0, "68 °F"},
		{0.12, unit.Unit{}, 2, "0.12"},
		{math.NaN(), mm, 2, "? mm"},
		{math.Inf(-1), mm, 2, "? mm"},
	} {
		if got := unit.Format(c.si, c.u, c.places); got != c.want {
			t.Errorf("Format(%v, %s, %d) = %q, want %q", c.si, c.u.Symbol, c.places, got, c.want)
		}
	}
}

// The row in grams is the mass of [GUM] 7.2.2, JCGM 100:2008: 100.021 47 g with
// a standard uncertainty of 0.35 mg, written there to two digits; the rule here
// keeps one where the first is above 2.
func TestFormatU(t *testing.T) {
	mm, g := find(t, "mm", unit.KindLength), find(t, "g", unit.KindMass)
	for _, c := range []struct {
		si, u float64
		unit  unit.Unit
		want  string
	}{
		{0.0001644, 0.0000082, mm, "0.164 ± 0.008 mm"},
		{0.0001644, 0.0000123, mm, "0.164 ± 0.012 mm"},
		{0.0001644, 0.00002, mm, "0.164 ± 0.020 mm"},
		{0.0001644, 0.0000296, mm, "0.164 ± 0.030 mm"},
		{0.0001644, 0.0000096, mm, "0.164 ± 0.010 mm"},
		{-0.0001644, 0.00003, mm, "−0.16 ± 0.03 mm"},
		{1.2344, 0.1302, mm, "1230 ± 130 mm"},
		{0.10002147, 0.00000035, g, "100.0215 ± 0.0004 g"},
		{0.01887, 0, mm, "18.87 mm"},
		{0.000574999999999991, 7e-18, mm, "0.575 mm"}, // rounding, no uncertainty
		{0.01887, 1e-13, mm, "18.87000000000 ± 0.00000000010 mm"},
		{0, 2e-15, mm, "0.0000000000000 ± 0.0000000000020 mm"},
		{1234.5, 0, mm, "1234500 mm"},
		{0.01, 0, mm, "10 mm"},
		{0, 0, mm, "0 mm"},
		{0.01887, math.NaN(), mm, "18.87 ± ? mm"},
		{0.01887, -1, mm, "18.87 ± ? mm"},
	} {
		if got := unit.FormatU(c.si, c.u, c.unit); got != c.want {
			t.Errorf("FormatU(%v, %v) = %q, want %q", c.si, c.u, got, c.want)
		}
	}
}

// The canonical text keeps decimals and fractions as people wrote them.
func TestString(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"18,870", "18.870 mm"},
		{"-0.05", "−0.05 mm"},
		{"1-5/64 in", "1-5/64 in"},
		{"1/3 in", "1/3 in"},
		{"1-3/8 in", "1.375 in"},
		{"18.87 mm ± 20 µm", "18.87 ± 0.02 mm"},
		{"0.000", "0.000 mm"},
	} {
		q, err := unit.Parse(c.text, unit.KindLength, find(t, "mm", unit.KindLength))
		if err != nil || q.String() != c.want {
			t.Errorf("Parse(%q).String() = %q, %v; want %q", c.text, q, err, c.want)
		}
	}
	// A quantity that was computed, not read, keeps its bits as well.
	q := unit.Quantity{Kind: unit.KindLength, SI: 0.1 + 0.2, Unit: find(t, "mm", unit.KindLength)}
	if again, err := unit.Parse(q.String(), q.Kind, unit.Unit{}); err != nil || again.SI != q.SI {
		t.Errorf("%q reads as %v, %v; want %v", q, again.SI, err, q.SI)
	}
}
