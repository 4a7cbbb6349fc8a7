package unit_test

import (
	"math"
	"strings"
	"testing"

	"endfloat/calc/unit"
)

// What people write. The wanted values are decimal products with the defined
// factors, so they must come out to the last bit.
func TestParse(t *testing.T) {
	for _, c := range []struct {
		text   string
		kind   unit.Kind
		def    string
		si, u  float64
		symbol string
		places int
	}{
		{"18.87", unit.KindLength, "mm", 0.01887, 0, "mm", 2},
		{"18,87 mm", unit.KindLength, "mm", 0.01887, 0, "mm", 2},
		{"1,234", unit.KindLength, "mm", 0.001234, 0, "mm", 3},
		{"34 in", unit.KindLength, "mm", 0.8636, 0, "in", 0},
		{"34 in.", unit.KindLength, "mm", 0.8636, 0, "in", 0},
		{"34", unit.KindLength, "in", 0.8636, 0, "in", 0},
		{"1-3/8 in", unit.KindLength, "mm", 0.034925, 0, "in", 3},
		{"1 3/8 in", unit.KindLength, "mm", 0.034925, 0, "in", 3},
		{"1⅜ in", unit.KindLength, "mm", 0.034925, 0, "in", 3},
		{"-1-3/8 in", unit.KindLength, "mm", -0.034925, 0, "in", 3},
		{"1-5/64 in", unit.KindLength, "mm", 0.027384375, 0, "in", 4},
		{"1/3 in", unit.KindLength, "mm", 0.0254 / 3, 0, "in", 4},
		{`3/8"`, unit.KindLength, "mm", 0.009525, 0, "in", 3},
		{"3/8″", unit.KindLength, "mm", 0.009525, 0, "in", 3},
		{"17/16 inch", unit.KindLength, "mm", 0.0269875, 0, "in", 4},
		{"12 thou", unit.KindLength, "mm", 0.0003048, 0, "thou", 0},
		{"-0,05", unit.KindLength, "mm", -5e-5, 0, "mm", 2},
		{"−0.05", unit.KindLength, "mm", -5e-5, 0, "mm", 2},
		{"+.05", unit.KindLength, "mm", 5e-5, 0, "mm", 2},
		{"00018.87", unit.KindLength, "mm", 0.01887, 0, "mm", 2},
		{"25 µm", unit.KindLength, "mm", 2.5e-5, 0, "µm", 0},
		{"25 \u03bcm", unit.KindLength, "mm", 2.5e-5, 0, "µm", 0},
		{"25um", unit.KindLength, "mm", 2.5e-5, 0, "µm", 0},
		{"25 MM", unit.KindLength, "m", 0.025, 0, "mm", 0},
		{"18.87 mm ± 0.02", unit.KindLength, "mm", 0.01887, 2e-5, "mm", 2},
		{"18.87 ± 0.02 mm", unit.KindLength, "in", 0.01887, 2e-5, "mm", 2},
		{"18.87 ± 0.02", unit.KindLength, "mm", 0.01887, 2e-5, "mm", 2},
		{"18.87 mm +- 20 µm", unit.KindLength, "mm", 0.01887, 2e-5, "mm", 2},
		{"18.87mm+/-0.02mm", unit.KindLength, "mm", 0.01887, 2e-5, "mm", 2},
		{"34.0 in ± 0.1", unit.KindLength, "mm", 0.8636, 0.00254, "in", 1},
		{"1-3/8 ± 1/64 in", unit.KindLength, "mm", 0.034925, 0.000396875, "in", 3},
		{"130 lbf·ft", unit.KindTorque, "N·m", 176.25633328308205, 0, "lbf·ft", 0},
		{"130 lbf.ft", unit.KindTorque, "N·m", 176.25633328308205, 0, "lbf·ft", 0},
		{"130 lbf ft", unit.KindTorque, "N·m", 176.25633328308205, 0, "lbf·ft", 0},
		{"130 ft.lbf", unit.KindTorque, "N·m", 176.25633328308205, 0, "lbf·ft", 0},
		{"130 lb-ft", unit.KindTorque, "N·m", 176.25633328308205, 0, "lbf·ft", 0},
		{"130ft-lb", unit.KindTorque, "N·m", 176.25633328308205, 0, "lbf·ft", 0},
		{"13.2 kgf·m", unit.KindTorque, "N·m", 129.44778, 0, "kgf·m", 1},
		{"45 N.m", unit.KindTorque, "", 45, 0, "N·m", 0},
		{"45 N·m", unit.KindTorque, "", 45, 0, "N·m", 0},
		{"45 Nm", unit.KindTorque, "", 45, 0, "N·m", 0},
		{"45 nm", unit.KindTorque, "", 45, 0, "N·m", 0},
		{"45 N*m", unit.KindTorque, "", 45, 0, "N·m", 0},
		{"45 lb", unit.KindForce, "N", 200.1699726867225, 0, "lbf", 0},
		{"20 kg", unit.KindForce, "N", 196.133, 0, "kgf", 0},
		{"3.5 kN", unit.KindForce, "N", 3500, 0, "kN", 1},
		{"45 lb", unit.KindMass, "kg", 20.41165665, 0, "lb", 0},
		{"20 °C", unit.KindTemperature, "°C", 20, 0, "°C", 0},
		{"20 C", unit.KindTemperature, "°F", 20, 0, "°C", 0},
		{"68 F", unit.KindTemperature, "°C", 20, 0, "°F", 0},
		{"212 °F", unit.KindTemperature, "°C", 100, 0, "°F", 0},
		{"68 F ± 1.8", unit.KindTemperature, "°C", 20, 1, "°F", 0},
		{"20 ± 0.5 K", unit.KindTemperature, "°C", 20, 0.5, "°C", 0},
		{"20 °C ± 0.5 K", unit.KindTemperature, "°C", 20, 0.5, "°C", 0},
		{"9 °F", unit.KindTempRise, "K", 5, 0, "°F", 0},
		{"60 °C", unit.KindTempRise, "K", 60, 0, "K", 0},
		{"14.7 psi", unit.KindPressure, "bar", 101352.93220957491, 0, "psi", 1},
		{"2 bar", unit.KindPressure, "MPa", 2e5, 0, "bar", 0},
		{"120 N/mm2", unit.KindPressure, "MPa", 1.2e8, 0, "MPa", 0},
		{"3000 rpm", unit.KindRotation, "", 100 * math.Pi, 0, "rpm", 0},
		{"3000 1/min", unit.KindRotation, "", 100 * math.Pi, 0, "rpm", 0},
		{"3000 min-1", unit.KindRotation, "", 100 * math.Pi, 0, "rpm", 0},
		{"90 km/h", unit.KindSpeed, "", 25, 0, "km/h", 0},
		{"60 mph", unit.KindSpeed, "", 26.8224, 0, "mph", 0},
		{"60 hp", unit.KindPower, "", 44741.992294936213, 0, "hp", 0},
		{"60 PS", unit.KindPower, "", 44129.925, 0, "PS", 0},
		{"60 kW", unit.KindPower, "", 6e4, 0, "kW", 0},
		{"1.9 L", unit.KindVolume, "", 0.0019, 0, "L", 1},
		{"1,9 l", unit.KindVolume, "", 0.0019, 0, "L", 1},
		{"4 UK pt", unit.KindVolume, "", 0.002273045, 0, "UK pt", 0},
		{"14.5 cSt", unit.KindViscosity, "", 1.45e-5, 0, "cSt", 1},
		{"120 J", unit.KindEnergy, "", 120, 0, "J", 0},
		{"1.5 h", unit.KindTime, "", 5400, 0, "h", 1},
		{"20 min", unit.KindTime, "", 1200, 0, "min", 0},
		{"45 s", unit.KindTime, "min", 45, 0, "s", 0},
		{"10e-6 1/K", unit.KindExpansion, "", 1e-5, 0, "1/K", 6},
		{"11.5e-6 /K", unit.KindExpansion, "", 1.15e-5, 0, "1/K", 7},
		{"11,5×10^-6 K^-1", unit.KindExpansion, "", 1.15e-5, 0, "1/K", 7},
		{"11.5 · 10⁻⁶ K⁻¹", unit.KindExpansion, "", 1.15e-5, 0, "1/K", 7},
		{"30 deg", unit.KindAngle, "", math.Pi / 6, 0, "°", 0},
		{"30°", unit.KindAngle, "", math.Pi / 6, 0, "°", 0},
		{"0.12", unit.Number, "", 0.12, 0, "", 2},
		{"8 %", unit.Number, "", 0.08, 0, "%", 0},
		{"0.014 kg m2", unit.KindInertia, "", 0.014, 0, "kg·m²", 3},
	} {
		def := unit.Unit{}
		if c.def != "" {
			def = find(t, c.def, c.kind)
		}
		q, err := unit.Parse(c.text, c.kind, def)
		if err != nil {
			t.Errorf("Parse(%q, %s): %v", c.text, c.kind, err)
			continue
		}
		if q.SI != c.si || q.U != c.u || q.Unit.Symbol != c.symbol || q.Places != c.places || q.Text != c.text || q.Kind != c.kind {
			t.Errorf("Parse(%q, %s) = %.17g ± %.17g in %s, %d places; want %.17g ± %.17g in %s, %d places",
				c.text, c.kind, q.SI, q.U, q.Unit.Symbol, q.Places, c.si, c.u, c.symbol, c.places)
		}
	}
}

// What is refused, and a word that the message must hold.
func TestParseRefuses(t *testing.T) {
	mm := find(t, "mm", unit.KindLength)
	for _, c := range []struct {
		text string
		kind unit.Kind
		def  unit.Unit
		say  string
	}{
		{"", unit.KindLength, mm, `nothing was typed; expected a length, such as "18.87 mm"`},
		{" \t", unit.KindAngle, unit.Unit{}, `expected an angle, such as "30°"`},
		{"18.87 lbf", unit.KindLength, mm, `cannot read "18.87 lbf" as a length: lbf is a unit of force; use mm, µm, m, in, thou, ft`},
		{"130 N·m", unit.KindEnergy, unit.Unit{}, "N·m is a unit of torque; use J"},
		{"130 J", unit.KindTorque, unit.Unit{}, "J is a unit of energy"},
		{"18.87 xyz", unit.KindLength, mm, "xyz is not a unit known here; use mm"},
		{"18.87 Mm", unit.KindLength, mm, "Mm is not a unit known here"},
		{"5 mm", unit.Number, unit.Unit{}, "a number has no unit"},
		{"18.87", unit.KindLength, unit.Unit{}, "it has no unit; write one after the number: mm"},
		{"18.87", unit.KindForce, mm, "the default unit mm is one of length"},
		{"18.87", unit.KindLength, unit.Unit{Symbol: "ell", Kind: unit.KindLength, Factor: 1}, "the default unit ell is not known here"},
		{"1,234.5", unit.KindLength, mm, "mixes points and commas"},
		{"1.234,5", unit.KindLength, mm, "mixes points and commas"},
		{"1,234,567", unit.KindLength, mm, "more than one decimal sign"},
		{"1.2.3", unit.KindLength, mm, "more than one decimal sign"},
		{"18,", unit.KindLength, mm, "after the comma"},
		{"NaN", unit.KindLength, mm, "a number was expected first"},
		{"Inf mm", unit.KindLength, mm, "a number was expected first"},
		{"mm", unit.KindLength, mm, "a number was expected first"},
		{".", unit.KindLength, mm, "a number was expected first"},
		{"--5", unit.KindLength, mm, "a number was expected first"},
		{"0x10", unit.KindLength, mm, "x10 is"},
		{"1e16", unit.KindLength, mm, "beyond 1e15"},
		{"1e999999999999", unit.KindLength, mm, "beyond 1e15"},
		{"1e-31", unit.KindLength, mm, "nearer to nothing"},
		{"1 234", unit.KindLength, mm, "one number was expected and 234 follows"},
		{"1 - 3/8 in", unit.KindLength, mm, "one number was expected"},
		{"1-9/8 in", unit.KindLength, mm, "must be the smaller one"},
		{"1/0 in", unit.KindLength, mm, "lower number"},
		{"1/1001 in", unit.KindLength, mm, "lower number"},
		{"5 ± -1", unit.KindLength, mm, "not negative"},
		{"5 ± 1 ± 1", unit.KindLength, mm, "after ± comes one number"},
		{"5 ±", unit.KindLength, mm, "after ±, a number was expected"},
		{"5 mm ± 1 N", unit.KindLength, mm, "N is a unit of force"},
		{"2 gal", unit.KindVolume, unit.Unit{}, "write US gal or UK gal"},
		{"2 mil", unit.KindLength, mm, "write thou or mm"},
		{"5\xff", unit.KindLength, mm, "not plain text"},
		{strings.Repeat("1", 200), unit.KindLength, mm, "too long"},
		{"5", 200, mm, "kind is unknown"},
	} {
		q, err := unit.Parse(c.text, c.kind, c.def)
		if err == nil {
			t.Errorf("Parse(%q, %s) = %v, want an error", c.text, c.kind, q)
		} else if !strings.Contains(err.Error(), c.say) {
			t.Errorf("Parse(%q, %s) says %q, want %q in it", c.text, c.kind, err, c.say)
		}
	}
}

// FuzzParse asks that Parse returns or errs, and that what it accepts is finite
// and survives String and Parse to the last bit.
func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"18.87", "18,87 mm ± 0.02", "1-3/8 in", `3/8"`, "130 lb-ft", "68 F ± 1", "20 ± 0.5 K", "-40 °F", "11.5×10⁻⁶ 1/K",
		"1/3 in", "31.999999999999 °F", "1e15 µm", "1e-30 mm", "34.0 in ± 0.1 mm", "7 1/999 in ± 1/7 thou", "8 %", "½ L",
	} {
		for _, k := range []unit.Kind{unit.Number, unit.KindLength, unit.KindTorque, unit.KindTemperature, unit.KindExpansion} {
			f.Add(s, uint8(k))
		}
	}
	f.Fuzz(func(t *testing.T, text string, kind uint8) {
		k := unit.Kind(kind)
		def := unit.Unit{}
		if us := unit.Units(k); len(us) > 0 {
			def = us[len(text)%len(us)]
		}
		q, err := unit.Parse(text, k, def)
		if err != nil {
			return
		}
		for _, x := range []float64{q.SI, q.U} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("Parse(%q, %s) = %v ± %v", text, k, q.SI, q.U)
			}
		}
		if q.U < 0 || q.Places < 0 {
			t.Fatalf("Parse(%q, %s) = %+v", text, k, q)
		}
		again, err := unit.Parse(q.String(), k, unit.Unit{})
		if err != nil {
			t.Fatalf("Parse(%q, %s) gives %q, which is refused: %v", text, k, q, err)
		}
		again.Text = q.Text
		// A zero keeps its decimals too; only long expansions change the count.
		if again.SI != q.SI || again.U != q.U || again.Unit != q.Unit || again.Kind != q.Kind {
			t.Fatalf("Parse(%q, %s) = %+v, but its text %q reads as %+v", text, k, q, q, again)
		}
		if f := unit.FormatU(q.SI, q.U, q.Unit); strings.Contains(f, "?") {
			t.Fatalf("FormatU of %q prints %q", text, f)
		}
	})
}

func BenchmarkParse(b *testing.B) {
	mm := find(b, "mm", unit.KindLength)
	for _, s := range []string{"18.87", "18,87 mm ± 0.02", "1-3/8 in"} {
		b.Run(s, func(b *testing.B) {
			for b.Loop() {
				if _, err := unit.Parse(s, unit.KindLength, mm); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
