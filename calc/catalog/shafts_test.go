package catalog

import (
	"math"
	"strings"
	"testing"
)

func init() {
	variants = append(variants, [][]string{
		{"shaft-reactions", "helix", "-25, 18°", "places", "-90, 200"},
		{"shaft-reactions", "at", "one = 45", "torques", "100", "diameters", "66.2027", "places", "0", "helix", "-25°", "span", "120"},
		{"shaft-reactions", "at", "a = -20, b = 50, c = 180", "torques", "80, -50, -30", "diameters", "60, 50, 40", "places", "10, 100, 250", "helix", "0"},
		{"shaft-deflection", "give-a", "10 µm", "give-b", "25 µm", "bores", "8, 8, 12, 12"},
		{"shaft-stress", "torque-runs", "steady", "notch", "circlip"},
		{"shaft-stress", "torque-runs", "turns round", "notch", "groove, from", "bore", "10"},
		{"shaft-stress", "notch", "typed", "k-bending", "1.8", "k-torsion", "1.4", "finish", "ground", "thrust", "0"},
		{"shaft-stress", "tensile", "", "yield", ""},
		{"spline", "allowed", "", "torque", "0"},
		{"dog-teeth", "back-taper", "-8", "foot", "5"},
		{"dog-teeth", "back-taper", "9"},
		{"key", "count", "2", "shear-allowed", ""},
		{"key", "pressure-allowed", "", "length", "60"},
		{"circlip-groove", "seat", "62", "groove", "65", "margin", ""},
		{"circlip-groove", "margin", "1.6", "thrust", ""},
		{"nut-clamp", "thrust", "60 kN"},
		{"nut-clamp", "torque", "30", "faces", "2", "bore", "10"},
	}...)
}

func TestShaftSums(t *testing.T) {
	inch := func(x string) string { return x + " in" }
	one := []string{"at", "one = 45", "torques", "100", "diameters", "66.2027", "places", "0", "helix", "-25°", "span", "120"}
	checkRuns(t, []changed{
		// [BN9] example 13-9, in pounds: A −3.1 and 12.1, B 20.1 and −52.5, thrust 23.3 on A.
		{"shaft-reactions", []string{"at", "pinion = 13 in", "torques", "35 lbf·in", "diameters", "1.732 in", "places", "0", "helix", "30°", "span", inch("10")},
			map[string]float64{"a-line": -3.1 * 4.4482, "a-across": 12.1 * 4.4482, "b-line": 20.1 * 4.4482, "b-across": -52.5 * 4.4482, "thrust": -23.3 * 4.4482}, .3},
		// By hand, one helical gear with thrust toward B.
		{"shaft-reactions", one, map[string]float64{"radial-a": 1923.99, "radial-b": 1412.45, "thrust": 1408.73, "moment": 105.934}, .01},
		// Turned round, the thrust moment turns: A (1213.23 · 75 + 46 631)/120.
		{"shaft-reactions", one, map[string]float64{"coast-thrust": -1408.73, "coast-a": math.Hypot((1213.23*75+46631)/120, 1888.14)}, .02},
		// [BN8] problem 7-8: 1449 lbf at 9 of 11 in, by a spur gear without pressure angle to
		// speak of: 0.2823 and 0.4342 mrad in the bearings, 0.304 at the gear.
		{"shaft-deflection", []string{"at", "gear = 9 in", "torques", "1449 lbf·in", "diameters", "2 in", "places", "0", "pressure-angle", "5°", "helix", "0", "span", "11 in",
			"start", "0", "ends", "11 in", "outside", "1.875 in", "modulus", "30000 ksi"},
			map[string]float64{"slope-a": .2823 / math.Cos(5*math.Pi/180), "slope-b": .4342 / math.Cos(5*math.Pi/180), "lean.gear": -.304 / math.Cos(5*math.Pi/180)}, 5e-4},
		// [WENTZELL] 17.1: 2173 psi, and 8671.7 where 8760 is printed.
		{"shaft-stress", []string{"diameter", "0.75 in", "moment", "359.16 lbf·in", "torque", "180 lbf·in", "thrust", "0", "tensile", ""},
			map[string]float64{"bending": 8671.7 * .006894757, "torsion": 2173 * .006894757}, .005},
		// By hand, the shaft of 30 mm; [BN8] 6-19: ka 0.723, kb 0.864.
		{"shaft-stress", []string{"thrust", "0"}, map[string]float64{"combined": 51.61, "yield-torque": 700 / 900.0 * 2754.7}, .1},
		{"shaft-stress", nil, map[string]float64{"endurance": 4.51 * math.Pow(1000, -.265) * math.Pow(30/7.62, -.107) * 500}, 1e-6},
		// [SINGH] 7.3: 6 MPa and 1278.9 N.
		{"spline", []string{"torque", "596.831 N·m", "teeth", "8", "inner", "52", "outer", "60", "chamfer", "0", "length", "111.018", "share", "1", "friction", "0.06", "allowed", "6 MPa"},
			map[string]float64{"pressure": 6, "slide": 1278.9, "takes": 596.83}, .05},
		// By hand: 8571.4 N, 79.37 MPa.
		{"dog-teeth", []string{"back-taper", "0"}, map[string]float64{"force": 8571.4, "pressure": 79.37, "out": 857.14, "draws": -857.14}, .05},
		// [HOLOOLY] 8.6: 2.344 kN·m at 200 MPa.
		{"key", []string{"shaft", "50", "width", "12.5", "depth", "6.25", "length", "37.5", "shear-allowed", "200 MPa", "torque", "2344 N·m"},
			map[string]float64{"takes-shear": 2344, "shear": 200}, .5},
		// [FAIRES] 521: 5.32 in for 66 ksi.
		{"key", []string{"torque", "87650 lbf·in", "shaft", "2 in", "width", "0.5 in", "depth", "0.25 in", "length", "5.32 in"}, map[string]float64{"pressure": 66 * 6.894757}, 1},
		// [DIN471], from memory: 30 mm, 10.73 kN.
		{"circlip-groove", nil, map[string]float64{"groove-load": 10.73, "depth": .7}, .02},
		// [RINGS]: 4729 lbf with π as 3.14.
		{"circlip-groove", []string{"seat", "1.969 in", "groove", "1.901 in", "yield", "45000 psi", "margin", ""}, map[string]float64{"groove-sets": 4729 * 4.4482e-3 * math.Pi / 3.14}, .02},
		// By hand: shaft 27² = 729, stack 42² − 31² = 803: Φ 729/1532.
		{"nut-clamp", nil, map[string]float64{"portion": 729 / 1532.0, "settles": 10e-6 * 207e9 * math.Pi / 4 / (.09/729e-6 + .09/803e-6) / 1e3}, 1e-6},
	})
	checkWarnings(t, [][]string{
		{"shaft-reactions", ""},
		{"shaft-reactions", "torques leave", "torques", "150, -140"},
		{"shaft-deflection", "leans by more than 0.5", "outside", "15, 15, 16, 15"},
		{"shaft-deflection", "0.8 mrad in a bearing", "outside", "15, 15, 16, 15"},
		{"shaft-deflection", ""},
		{"shaft-stress", "near its yield", "yield", "70 MPa", "tensile", ""},
		{"shaft-stress", "may crack", "moment", "500"},
		{"spline", "above what is allowed", "allowed", "10 MPa"},
		{"dog-teeth", "throw themselves", "back-taper", "-8"},
		{"dog-teeth", "does not draw in", "back-taper", "3"},
		{"key", "longer than", "length", "60"},
		{"circlip-groove", "near their load", "thrust", "9 kN"},
		{"nut-clamp", "works on its spline"},
		{"nut-clamp", "parts", "thrust", "90 kN"},
		{"nut-clamp", "", "torque", "20"},
	})
	checkErrors(t, [][]string{
		{"shaft-reactions", "torques", "1 for 2", "torques", "100"},
		{"shaft-reactions", "at", "most 12", "at", strings.Repeat("1;", 13)},
		{"shaft-deflection", "outside", "3 for 4", "outside", "25, 30, 25"},
		{"shaft-deflection", "ends", "not on the shaft", "at", "input = 25, second = 190"},
		{"shaft-deflection", "ends", "have a wall", "bores", "30"},
		{"shaft-stress", "large", "from its sizes", "large", ""},
		{"shaft-stress", "finish", "to see fatigue", "finish", ""},
		{"shaft-stress", "k-bending", "typed", "notch", "typed"},
		{"shaft-stress", "bore", "no wall", "bore", "30"},
		{"spline", "outer", "height", "outer", "29"},
		{"circlip-groove", "margin", "twice the depth", "margin", "1"},
		{"nut-clamp", "outer", "above 0", "outer", "30"},
	})
}

// Identities through the sums: turning the line that angles are counted from turns
// nothing that has no direction, and what the sheet of reactions says bears the
// shaft.
func TestShaftIdentities(t *testing.T) {
	get := func(sum, key string, change ...string) float64 {
		t.Helper()
		r, ok := run(t, sum, with(t, sum, change...)).Result(key)
		if !ok {
			t.Fatalf("%s: no result %s", sum, key)
		}
		return r.SI
	}
	same := func(what string, a, b float64) {
		t.Helper()
		if !(math.Abs(a-b) <= 1e-9*max(math.Abs(a), math.Abs(b))+1e-12) {
			t.Errorf("%s: %.12g and %.12g", what, a, b)
		}
	}
	for _, key := range []string{"radial-a", "radial-b", "thrust", "coast-a", "coast-b", "moment"} {
		same(key, get("shaft-reactions", key), get("shaft-reactions", key, "places", "77, 197°"))
	}
	for _, key := range []string{"bend.input", "away.second", "lean.input", "slope-a"} {
		same(key, get("shaft-deflection", key), get("shaft-deflection", key, "places", "-40, 80°"))
		same(key+", stiffer", get("shaft-deflection", key)/2, get("shaft-deflection", key, "modulus", "414 GPa"))
	}
	same("driving and coasting", get("shaft-reactions", "coast-a"), get("shaft-reactions", "radial-a", "torques", "-150, 150"))
	same("nut less clamp", get("nut-clamp", "nut")-get("nut-clamp", "left"), 6000)
	same("smooth wedge", get("dog-teeth", "draws", "friction", "0"), get("dog-teeth", "out", "friction", "0"))
}

func BenchmarkShaftReactions(b *testing.B)  { benchmarkSum(b, "shaft-reactions") }
func BenchmarkShaftDeflection(b *testing.B) { benchmarkSum(b, "shaft-deflection") }
func BenchmarkShaftStress(b *testing.B)     { benchmarkSum(b, "shaft-stress") }
func BenchmarkNutClamp(b *testing.B)        { benchmarkSum(b, "nut-clamp") }
func BenchmarkDogTeeth(b *testing.B)        { benchmarkSum(b, "dog-teeth") }
