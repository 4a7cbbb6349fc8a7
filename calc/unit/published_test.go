package unit_test

import (
	"math"
	"testing"

	"endfloat/calc/unit"
)

// Factors at full length, from the exact inch, pound and g of [SP811] app. B.8,
// multiplied out by hand.
func TestFactorsFull(t *testing.T) {
	for _, c := range []struct {
		symbol string
		kind   unit.Kind
		want   float64
	}{
		{"ozf·in", unit.KindTorque, .007061551814226043},
		{"psi", unit.KindPressure, 6894.757293168361},
		{"slug", unit.KindMass, 14.593902937},
		{"lb·in²", unit.KindInertia, 2.926396534e-4},
		{"kg·cm²", unit.KindInertia, 1e-4},
		{"UK gal", unit.KindVolume, 4.54609e-3},
		{"US qt", unit.KindVolume, .946352946e-3},
		{"US fl oz", unit.KindVolume, .0295735295625e-3},
	} {
		near := 2e-10 * c.want // some are cut to ten digits
		if got := find(t, c.symbol, c.kind).Factor; !(math.Abs(got-c.want) <= near) {
			t.Errorf("%s: %.16g, want %.16g", c.symbol, got, c.want)
		}
	}
}

// The handy ratios that follow from [SP811], as workshops use them: power from
// torque and speed, one unit of torque in another.
func TestHandyRatios(t *testing.T) {
	f := func(symbol string, k unit.Kind) float64 { return find(t, symbol, k).Factor }
	lbft, kgm, rpm := f("lbf·ft", unit.KindTorque), f("kgf·m", unit.KindTorque), f("rpm", unit.KindRotation)
	hp, ps, kw := f("hp", unit.KindPower), f("PS", unit.KindPower), f("kW", unit.KindPower)
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"N·m in lbf·ft", 1 / lbft, .737562149},
		{"N·m in lbf·in", 1 / f("lbf·in", unit.KindTorque), 8.850745791},
		{"N·m in kgf·m", 1 / kgm, .1019716213},
		{"kgf·m in lbf·ft", kgm / lbft, 7.233013852},
		{"kW in hp", kw / hp, 1.341022090},
		{"kW in PS", kw / ps, 1.359621617},
		{"lbf·ft · rpm in a hp", hp / (lbft * rpm), 5252.113122},
		{"N·m · rpm in a kW", kw / rpm, 9549.296586},
		{"kgf·m · rpm in a PS", ps / (kgm * rpm), 716.197244},
		{"rpm in rad/s", rpm, .104719755},
	} {
		if !(math.Abs(c.got/c.want-1) <= 2e-9) {
			t.Errorf("%s: %.11g, want %.10g", c.what, c.got, c.want)
		}
	}
}

// Round trips: in every unit of every kind a value printed and read again is the
// same to the last bit, with its uncertainty, and so is one converted there and back.
func TestRoundTrips(t *testing.T) {
	for k := unit.Number; k <= unit.KindAcceleration; k++ {
		for _, u := range unit.Units(k) {
			for _, text := range []string{"0", "1", "-3.7", "0.001", "1234.5678", "1/3", "98 7/8", "20 ± 0.3", "1e-7 ± 2e-9"} {
				q, err := unit.Parse(text, k, u)
				if err != nil {
					t.Errorf("%s %s: %v", text, u.Symbol, err)
					continue
				}
				again, err := unit.Parse(q.String(), k, unit.Unit{})
				if err != nil || again.SI != q.SI || again.U != q.U || again.Unit != u {
					t.Errorf("%q of %s (%s) reads as %v ± %v, %v; want %v ± %v", q, u.Symbol, k, again.SI, again.U, err, q.SI, q.U)
				}
				for _, v := range unit.Units(k) { // into another unit and back
					there := unit.Quantity{Kind: k, SI: q.SI, U: q.U, Unit: v}
					back, err := unit.Parse(there.String(), k, unit.Unit{})
					if err != nil || back.SI != q.SI || back.U != q.U {
						t.Errorf("%v by way of %q is %v ± %v, %v", q, there, back.SI, back.U, err)
					}
				}
			}
		}
	}
}

// A larger reading is a larger quantity in every unit.
func TestParseClimbs(t *testing.T) {
	for k := unit.Number; k <= unit.KindAcceleration; k++ {
		for _, u := range unit.Units(k) {
			last := math.Inf(-1)
			for _, text := range []string{"-40", "-1/2", "0", "1e-9", "0.3", "1/3", "0,5", "1", "1-3/8", "2", "1e6"} {
				q, err := unit.Parse(text, k, u)
				if err != nil || !(q.SI > last) {
					t.Errorf("%s %s is %v, %v, after %v", text, u.Symbol, q.SI, err, last)
				}
				last = q.SI
			}
		}
	}
}
