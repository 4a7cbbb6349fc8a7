package catalog

import (
	"math"
	"strings"
	"testing"

	"endfloat/calc/unit"
)

// Published values typed in as printed, and examples of our own worked by hand. The
// formulas have more of both in the tests of their packages.
func TestPublishedAndWorkedExamples(t *testing.T) {
	tests := []struct {
		sum    string
		change []string
		want   map[string]float64 // in the unit of the result
		tol    float64
	}{
		// [JINDAL] examples 4-2 and 4-3.
		{"fit", []string{"zone", "25 H7/r6"}, map[string]float64{"least": -41, "most": -7}, 1e-9},
		{"fit", []string{"zone", "50 H8/g7"}, map[string]float64{"least": 9, "most": 73}, 1e-9},
		// [NKE11] p. 298: bore 75 (0/−15) on j5.
		{"bearing-seat", []string{"zone", "75 j5"}, map[string]float64{"least": -21, "most": 7}, 1e-9},
		// [SKF] housing table: 62 N7.
		{"bearing-seat", []string{"seat", "its outside", "zone", "62 N7"}, map[string]float64{"least": -39, "most": 4, "probable-least": -34, "probable-most": -1}, .5},
		// [BN8] problem 3-64: a shaft of 40 in a collar of 80, E 207 GPa, 40 H7/s6:
		// 34.9 MPa at 18 µm and 114.5 at 59.
		{"press", nil, map[string]float64{"pressure": 34.9}, .05},
		{"press", []string{"interference", "59"}, map[string]float64{"pressure": 114.5}, .05},
		// A collar of the hardness of its shaft: by hand, p · (1 + 1/4)/(1 − 1/4).
		{"press", nil, map[string]float64{"hub-seat": 34.93 * 5 / 3, "hub-rim": 34.93 * 2 / 3, "shaft-seat": -34.93}, .05},
		// The forms of [NTN] 17.4, by hand: a bearing 40 × 80, 15 µm, 66 MPa in its ring.
		{"bearing-clearance", nil, map[string]float64{"inner-raceway": 48, "outer-raceway": 72, "hoop": 66.0}, .15},
		{"bearing-clearance", []string{"on-shaft", "0"}, map[string]float64{"left": 13}, 1e-9},
		// By hand: 50 µm on 72 mm, 60 K, expansions 21.8 and 12.
		{"grip-hot", []string{"shaft", "steel"}, map[string]float64{"left": 7.66, "slack-at": 90.9, "pressure-cold": 9.33, "pressure": 1.43, "race-cold": 17.71}, .1},
		// By hand: (33 + 20) µm on 50 mm at 12.5 millionths is 84.8 K.
		{"heat-to-fit", nil, map[string]float64{"meet": 104.8}, .05},
		// [VDI2230] table of fine threads: M24 × 2 at μ 0.12, 209 kN at 769 N·m.
		{"nut-preload", []string{"torque", "769", "pitch", "2", "face-inner", "28.805", "face-outer", "30.805", "friction-low", "0.12", "friction-high", "0.12"},
			map[string]float64{"preload-most": 209, "preload-least": 209}, 2.1},
		{"nut-preload", []string{"torque", "", "preload", "209", "pitch", "2", "face-inner", "28.805", "face-outer", "30.805", "friction-low", "0.12"},
			map[string]float64{"torque-least": 769}, 7.7},
		// By hand: M24 × 1.5 on a face of 30 mean, 200 N·m: 65.2 and 44.6 kN.
		{"nut-preload", nil, map[string]float64{"preload-most": 65.19, "preload-least": 44.61}, .05},
		// [WENTZELL] 17.1, through the shear of a shaft of 0.75 in at 180 lbf·in: 2173 psi.
		{"held-shaft-bend", []string{"torque", "180 lbf·in", "diameter", "0.75 in"}, map[string]float64{"shear": 2173 * .006894757}, .005},
		{"held-shaft-bend", nil, map[string]float64{"pull": 293.3, "moment": 26.4, "bending": 19.45}, .05},
		// By hand: 266.7 and 320 N, in doubt by 1.31 %.
		{"lever-band", nil, map[string]float64{"aim": 293.3, "doubt": 1.31, "least": 272.4, "most": 313.1}, .1},
		{"lever-band", []string{"scale-error", "0", "arm-error", "0", "angle-error", "0"}, map[string]float64{"least": 266.667, "most": 320, "either-side": 26.667, "doubt": 0}, 1e-3},
		// [GODFREY] 2.00, by hand 1.72 to 2.28 and ± 0.1463.
		{"chain", nil, map[string]float64{"nominal": 2, "worst-least": 1.72, "worst-most": 2.28, "rss": .1463}, 5e-5},
		// [CHASE], from memory, in inches: 0.68 % outside ± 0.010.
		{"chain", []string{"parts", "-.0505, 8, -.5093, .4, -7.711, .4, -.5093 in", "tolerances", ".0015, .008, .0025, .002, .006, .002, .0025 in", "least", ".0099 in", "most", ".0299 in"},
			map[string]float64{"nominal": .0199 * 25.4, "worst": .0245 * 25.4, "rss": .011079 * 25.4, "outside": .677}, 1e-3},
		{"mesh-alignment", nil, map[string]float64{"near-1": 28.80, "near-2": 28.30, "offset": 0, "shared": 17, "over-near": -.5, "over-far": -.5}, 1e-9},
		{"plate-stack", nil, map[string]float64{"play": .37, "add-least": .22, "add-most": .32}, 1e-9},
		{"ring-gap", nil, map[string]float64{"smallest": .95, "left": .25, "used": 100 * (1.3 - .966667) / .6}, 1e-3},
		{"depth-hot", nil, map[string]float64{"case-grows": 207, "pinion-grows": 78.02, "change": 128.98, "depth-hot": 57.249, "backlash": 18.70}, .05},
		// By hand; and [BNORMS], 10 µm on the radius are 27.4 µm.
		{"side-preload-hot", nil, map[string]float64{"length": 112.2, "cups": 45, "play": 157.2, "left": -.0372}, .05},
		{"side-preload-hot", []string{"cup-growth", "20, 0 µm", "e", "0.55", "case-warm", "0", "shaft-warm", "0"}, map[string]float64{"cups": 27.4, "length": 0}, .15},
		{"side-preload-hot", []string{"arrangement", "O", "cup-growth", "0"}, map[string]float64{"play": -112.2}, .05},
		// [AGMABL], diametral pitch 5 to 6.
		{"backlash-allowance", nil, map[string]float64{"least": .127, "most": .1778, "over": .033}, 1e-9},
		{"backlash-variation", nil, map[string]float64{"normal": .0331, "transverse": .0430}, 5e-5},
		{"gear-run-out", nil, map[string]float64{"swing": .0364, "tightest": .0818}, 5e-5},
		{"side-gear-washers", nil, map[string]float64{"side-angle": 58, "factor": .617, "steps": 2, "predicted": .1266}, 6e-3},
		{"run-out", nil, map[string]float64{"run-out": .024, "offset": .0122307, "high": 30.361, "form": .004735}, 5e-4},
		{"index-run-out", nil, map[string]float64{"now": .020532, "left": .013482, "worst": .069414, "turn": 315, "step": 7}, 5e-6},
		{"index-run-out", []string{"steps", ""}, map[string]float64{"left": .010, "worst": .070, "turn": 330}, 1e-9},
		{"verdict", nil, map[string]float64{"guard": .0198, "accept-least": .1198, "accept-most": .1802, "probability": 99.87}, 5e-3},
		{"splash", nil, map[string]float64{"rim": 8.294, "dip": 18, "over": 7}, 5e-4},
		{"oil-fill", nil, map[string]float64{"volume": 2.128, "bottles": 3, "left": .872}, 1e-9},
		// [SP811].
		{"convert", nil, map[string]float64{"value.N·m": 176.25634}, 1e-5},
		{"convert", []string{"value", "68 ± 9 F", "to", "C"}, map[string]float64{"value.°C": 20}, 1e-12},
		{"convert", []string{"value", "9 F", "to", "K"}, map[string]float64{"value.K": 5}, 1e-12},
		{"convert", []string{"value", "1 slug", "to", "kg"}, map[string]float64{"value.kg": 14.59390}, 5e-6},
		{"push-ring", nil, map[string]float64{"bore-least": 30.5, "bore-most": 37, "outside-least": 35, "outside-most": 40, "pressure": 44.21}, .01},
	}
	for _, tt := range tests {
		a := run(t, tt.sum, with(t, tt.sum, tt.change...))
		for key, want := range tt.want {
			r, ok := a.Result(key)
			if !ok {
				t.Errorf("%s: no result %s", tt.sum, key)
				continue
			}
			if got := fromSI(r.SI, unitOf(r.Unit, r.Kind)); !(math.Abs(got-want) <= tt.tol) {
				t.Errorf("%s %v: %s is %.6g, want %.6g ± %g", tt.sum, tt.change, key, got, want, tt.tol)
			}
		}
	}
}

func TestWords(t *testing.T) {
	for _, tt := range []struct {
		sum       string
		change    []string
		key, want string
	}{
		{"fit", nil, "kind", "interference fit"},
		{"fit", []string{"zone", "40 H7/g6"}, "kind", "clearance fit"},
		{"fit-reverse", nil, "sure", "H7/p6"},
		{"oil-grade", nil, "grade", "80W-110"},
		{"oil-grade", []string{"edition", "before"}, "grade", "80W-90"},
		{"splash", nil, "splash", "a plain dip serves"},
		{"verdict", nil, "verdict", "in"},
		{"verdict", []string{"reading", "0.19 ± 0.012"}, "verdict", "too close to call"},
		{"verdict", []string{"reading", "0.23 ± 0.012"}, "verdict", "out"},
		{"ring-gap", nil, "verdict", "has gap left"},
		{"ring-gap", []string{"gap", "0.72 ± 0.03"}, "verdict", "too close to call"},
		{"ring-gap", []string{"gap", "0.60 ± 0.03"}, "verdict", "is worn out"},
		{"lever-band", nil, "can", "yes"},
		{"lever-band", []string{"least", "218", "most", "222"}, "can", "no: what is in doubt"},
		{"lever-band", []string{"scale-most", "25 kg"}, "can", "no: the scale does not reach"},
		{"lever-band", []string{"scale-most", "30 kg"}, "can", "only in part"},
		{"lever-band", []string{"arm", "0.3", "scale-most", ""}, "can", "not by this hand"},
		{"push-ring", nil, "tubes", "a, b"},
		{"push-ring", []string{"tubes", "d = 25/35"}, "tubes", "none of them"},
		{"heat-to-fit", nil, "way", "heat the outer part"},
		{"heat-to-fit", []string{"interference", "45"}, "way", "the oven would stand above the ceiling"},
		{"convert", []string{"value", "0.5 in ± 0.001", "to", "mm"}, "value.mm", "12.700 ± 0.025 mm"},
	} {
		r, ok := run(t, tt.sum, with(t, tt.sum, tt.change...)).Result(tt.key)
		if !ok || !strings.Contains(r.Text, tt.want) {
			t.Errorf("%s %v: %s is %q, want %q", tt.sum, tt.change, tt.key, r.Text, tt.want)
		}
	}
}

func TestWarningsOfFitsAndHeat(t *testing.T) {
	for _, tt := range []struct {
		sum    string
		change []string
		want   string // "" for none
	}{
		{"oil-grade", nil, "90 (before 2005)"},
		{"oil-grade", []string{"viscosity", "14"}, ""},
		{"grip-hot", []string{"hub", "magnesium AZ91D"}, "loose in its case"},
		{"bearing-clearance", []string{"on-shaft", "25"}, "nothing is left"},
		{"held-shaft-bend", []string{"diameter", "14"}, "near its yield"},
		{"mesh-alignment", []string{"stack-1", "31"}, "more than 0.30 mm apart"},
		{"mesh-alignment", nil, ""},
		{"plate-stack", nil, "too thin"},
		{"side-preload-hot", nil, "preload is gone"},
		{"backlash-allowance", []string{"backlash", "0.30"}, "not within"},
		{"backlash-variation", nil, "does not explain"},
		{"ring-gap", []string{"gap", "0.8, 1.0, 0.9"}, "bent"},
		{"run-out", []string{"limit", "0.02"}, "allowed"},
		{"run-out", nil, ""},
		{"gear-run-out", []string{"backlash", "0.01"}, "bind"},
		{"press", []string{"hub", "die-cast aluminium A380", "interference", "150"}, "near the yield"},
		{"splash", []string{"speed", "2000 rpm"}, "thrown off"},
		{"heat-to-fit", []string{"interference", "45"}, "chill the inner part"},
	} {
		a := run(t, tt.sum, with(t, tt.sum, tt.change...))
		all := strings.Join(a.Warnings, "; ")
		if tt.want == "" && all != "" || !strings.Contains(all, tt.want) {
			t.Errorf("%s %v: got warnings %q, want %q", tt.sum, tt.change, all, tt.want)
		}
	}
}

// The uncertainty of the high point must not break where the circle closes.
func TestHighPointNearTheFirstReading(t *testing.T) {
	a := run(t, "run-out", map[string]string{"readings": "0.020, 0.010, 0.000, 0.010 ± 0.001 mm"})
	high, _ := a.Result("high")
	if got := high.U * 180 / math.Pi; !(got > 1 && got < 10) {
		t.Errorf("the high point is known to ± %.3g°", got)
	}
}

// Every size a fit allows is found to meet it.
func TestFitReverseFindsFit(t *testing.T) {
	for _, zone := range []string{"25 H7/p6", "25 H7/g6", "60 H7/k6", "100 H8/f7", "12 H7/n6"} {
		a := run(t, "fit", map[string]string{"zone": zone})
		mid := func(lo, hi string) string {
			x, _ := a.Result(lo)
			y, _ := a.Result(hi)
			return fixed((x.SI+y.SI)/2*1000, 5)
		}
		size, pair, _ := strings.Cut(zone, " ")
		b := run(t, "fit-reverse", map[string]string{"size": size, "bore": mid("hole-least", "hole-most"), "shaft": mid("shaft-least", "shaft-most")})
		if r, _ := b.Result("sure"); !strings.Contains(r.Text, pair) {
			t.Errorf("the middle of %s meets %s", zone, r.Text)
		}
	}
}

// What a step decides anew must not break the answer, whichever side it falls on.
func TestStepsOverAnEdge(t *testing.T) {
	for _, tt := range [][]string{
		{"oil-grade", "viscosity", "41 ± 1 cSt"},
		{"oil-grade", "viscosity", "4 ± 1 cSt"},
		{"heat-to-fit", "interference", "36 ± 8 µm"},
		{"heat-to-fit", "interference", "45 ± 8 µm"},
		{"grip-hot", "interference", "15 ± 15 µm", "hub", "grey cast iron"},
		{"grip-hot", "interference", "41 ± 10 µm"},
		{"lever-band", "arm", "0.75 ± 0.3 m"},
		{"side-gear-washers", "backlash", "0.16 ± 0.1 mm"},
		{"index-run-out", "offset-1", "0.015 ± 0.01 mm"},
		{"run-out", "readings", "0, 0, 0, 0 ± 0.01 mm"},
		{"fit-reverse", "bore", "25.0 ± 0.02 mm"},
		{"verdict", "reading", "0.2 ± 0.1 mm"},
		{"chain", "parts", "a = 2 ± 0.1 mm", "tolerances", "0.05 mm", "draws", "2000"},
		{"mesh-alignment", "stack-1", "a = 28.80 ± 0.5"},
	} {
		a := run(t, tt[0], with(t, tt[0], tt[1:]...))
		if err := sound(a); err != nil {
			t.Errorf("%v: %v", tt, err)
		}
	}
}

// Every sum can be drawn, with a little doubt in every quantity of its example.
func TestMonteCarloOfEverySum(t *testing.T) {
	for _, s := range All() {
		in := map[string]string{}
		for k, v := range s.Example {
			d, _ := s.Input(k)
			in[k] = v
			if d.Words || d.Whole || len(d.Choices) > 0 || d.Named || strings.Contains(v, "±") {
				continue
			}
			in[k] = v + " ± " + doubt(t, &d, v)
		}
		a, err := s.RunMC(in, LeastDraws, 5)
		if err != nil {
			t.Errorf("%s: %v", s.Name, err)
			continue
		}
		for _, r := range a.Results {
			if m := r.MC; m != nil && (math.IsNaN(m.SD) || m.Lo > m.Hi || m.Text == "") {
				t.Errorf("%s: %s is %+v", s.Name, r.Key, m)
			}
		}
		if err := sound(a); err != nil {
			t.Errorf("%s: %v", s.Name, err)
		}
	}
}

// doubt is a ten-thousandth of a value, in its own unit.
func doubt(t *testing.T, d *Input, text string) string {
	g := given{text: text}
	if err := d.parse(&g); err != nil {
		t.Fatal(err)
	}
	q := g.values[len(g.values)-1]
	if q.Kind == unit.KindTemperature {
		return "0.01 K"
	}
	return fixed(math.Abs(q.SI)/perUnit(q.Unit)*1e-4, 9)
}

func BenchmarkRunMC(b *testing.B) {
	s, _ := Find("lever")
	in := map[string]string{"want": "130 lbf·ft ± 2", "arm": "34.0 in ± 0.1"}
	for b.Loop() {
		if _, err := s.RunMC(in, 100_000, 1); err != nil {
			b.Fatal(err)
		}
	}
}
