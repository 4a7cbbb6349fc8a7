package catalog

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// The worked examples below are our own, with invented numbers, worked by hand to
// the last digit; published checks stand beside the formulas they check, in the
// tests of the packages that hold them.
func TestWorkedExamples(t *testing.T) {
	tests := []struct {
		sum    string
		change []string
		want   map[string]float64 // in the unit of the result
		tol    float64
	}{
		{"end-float", nil, map[string]float64{"gap": 1.04, "shim": 0.89, "shim-min": 0.84, "shim-max": 0.94, "float": 0.16}, 1e-9},
		// A rebuilt primary shaft: old bearing, then the new one that stands 0.20 prouder.
		{"end-float", []string{"recess", "18.86, 18.87, 18.88", "gasket", "0.28", "stand-up", "18.24, 18.24, 18.24", "fitted", ""},
			map[string]float64{"gap": 0.91, "shim": 0.76}, 1e-9},
		{"end-float", []string{"recess", "18.86, 18.87, 18.88", "gasket", "0.28", "stand-up", "18.43, 18.44, 18.45", "fitted", "0.549"},
			map[string]float64{"gap": 0.71, "shim-min": 0.51, "shim-max": 0.61, "float": 0.161}, 1e-9},
		{"end-float-two-ends", nil, map[string]float64{"total": 1.50, "shim-1": 0.925, "shim-2": 0.575}, 1e-9},
		{"taper-shim", nil, map[string]float64{"shim": 1.06, "shim-least": 1.01, "shim-most": 1.08}, 1e-9},
		{"taper-shim", []string{"thicker", "loosens"}, map[string]float64{"shim": 0.24}, 1e-9},
		{"taper-shim", []string{"set", "play", "amount", "0.04"}, map[string]float64{"shim": 0.92}, 1e-9},
		{"taper-spacer", nil, map[string]float64{"spacer": 12.28}, 1e-9},
		{"cover-gap", nil, map[string]float64{"shim": 0.55}, 1e-9},
		{"cord", nil, map[string]float64{"torque": 0.574}, 5e-4},
		{"cord", []string{"pull", "1.43 kg"}, map[string]float64{"torque": 0.575}, 5e-4},
		{"cord", []string{"pull", "18 N", "radius", "45"}, map[string]float64{"torque": 0.81}, 1e-9},
		{"bolt-pull", nil, map[string]float64{"pull": 29.0}, 0.05},
		{"pinion-drag", nil, map[string]float64{"torque": 1.20}, 5e-3},
		{"pinion-depth", nil, map[string]float64{"depth": 57.27, "target": 57.12, "move": -0.15, "shim": 0.55}, 1e-9},
		{"pinion-depth", []string{"thicker", "away"}, map[string]float64{"shim": 0.25}, 1e-9},
		{"pinion-depth", []string{"mandrel", "30", "block", "33.50", "gap", ".40, .41, .42", "nominal", "64", "etched", "+6", "shim", "0.50", "thicker", "away"},
			map[string]float64{"depth": 63.91, "target": 64.06, "move": 0.15, "shim": 0.65}, 1e-9},
		{"pinion-swap", nil, map[string]float64{"move": -0.15, "shim": 0.40}, 1e-9},
		{"pinion-swap", []string{"thicker", "toward"}, map[string]float64{"shim": 0.70}, 1e-9},
		{"side-shims", []string{"temperature", "", "seats", "170.62", "cups", "166.34", "crown-side", "", "warm", "", "case", ""},
			map[string]float64{"total": 4.40, "half": 2.20}, 1e-9},
		// Read at 9 °C with steel instruments: 4.38 uncorrected, 4.40 at 20 °C.
		{"side-shims", []string{"temperature", "20"}, map[string]float64{"total": 4.38}, 1e-9},
		{"side-shims", nil, map[string]float64{"total": 4.40, "other-side": 2.00}, 5e-3},
		{"side-shims", []string{"temperature", "20", "seats", "170"}, map[string]float64{"growth": 0.112}, 5e-4},
		{"side-shims", []string{"temperature", "20", "seats", "170", "case", "magnesium"}, map[string]float64{"growth": 0.143}, 5e-4},
		{"backlash-move", []string{"backlash", "0.31, 0.31, 0.31, 0.31", "step", "0.10"},
			map[string]float64{"exact": 0.229, "move": 0.20, "crown-side": 2.40, "other-side": 2.00, "predicted": 0.17}, 5e-4},
		{"backlash-move", []string{"backlash", "0.18, 0.18, 0.18, 0.18", "target", "0.155", "factor", "", "before", "0.31", "after", "0.18", "moved", "0.20", "crown-side", "2.40", "other-side", "2.00"},
			map[string]float64{"factor": 0.65, "exact": 0.0385, "move": 0.05, "crown-side": 2.45, "other-side": 1.95, "predicted": 0.1475}, 5e-5},
		{"backlash-move", []string{"backlash", "0.10, 0.10, 0.10, 0.10", "target", "0.155", "step", "", "crown-side", "2.15", "other-side", "2.15"},
			map[string]float64{"move": -0.0786, "crown-side": 2.07, "other-side": 2.23}, 5e-3},
		{"backlash-factor", nil, map[string]float64{"wheel-angle": 77.80, "wheel-normal": 0.669, "wheel-transverse": 0.869, "pinion-normal": 0.145, "pinion-transverse": 0.188}, 5e-4},
		{"backlash-factor", []string{"spiral-angle", "0"}, map[string]float64{"wheel-transverse": 0.711, "pinion-transverse": 0.154}, 5e-4},
		{"dial-place", nil, map[string]float64{"transverse": 0.143}, 5e-4},
		{"dial-place", []string{"at", "the crown", "reading", "0.075", "dial-radius", "45"}, map[string]float64{"transverse": 0.147, "normal": 0.113}, 5e-4},
		{"lever", nil, map[string]float64{"pull": 282}, 0.5},
		{"lever", []string{"bar-mass", ""}, map[string]float64{"pull": 293.3, "pull-kgf": 29.9}, 0.05},
		{"lever", []string{"bar-mass", "", "off-square", "15"}, map[string]float64{"pull": 304}, 0.5},
		{"lever", []string{"want", "150", "arm", "0.600", "bar-centre", "0.300"}, map[string]float64{"pull": 238.2, "pull-kgf": 24.3}, 0.05},
		// 130 lbf·ft on 34 in: common practice, no source.
		{"lever", []string{"want", "130 lbf·ft", "arm", "34 in", "bar-mass", ""}, map[string]float64{"pull-lbf": 45.9}, 0.05},
		{"lever-reading", nil, map[string]float64{"torque-lbf-ft": 127.5, "off": -1.9}, 0.05},
		{"extension", []string{"angle", "0"}, map[string]float64{"set": 80.4}, 0.05},
		{"extension", nil, map[string]float64{"set": 83.0}, 0.05},
		{"extension", []string{"angle", "90°"}, map[string]float64{"set": 90}, 1e-9},
		{"extension", []string{"angle", "180°"}, map[string]float64{"set": 102.2}, 0.05},
		{"extension", []string{"want", "70", "wrench", "405", "extension", "45", "angle", "0"}, map[string]float64{"set": 63.0}, 1e-9},
		{"speeds", nil, map[string]float64{"ratio.1": 3.538, "overall.1": 16.365, "per-1000.1": 5.874, "ratio.2": 1.8095, "after.3": 1262.55, "after.4": 1196.59, "ratio.R": 3.3846, "speed.R": 11.054}, 5e-3},
		{"turns", nil, map[string]float64{"ratio": 16.37}, 1e-9},
		{"turns", []string{"in", "81.85", "outputs", "one is held"}, map[string]float64{"ratio": 16.37}, 1e-9},
		{"up-shift", []string{"to", "39/20"}, map[string]float64{"after": 992}, 0.5},
		{"centre-distance", []string{"driven", "40"}, map[string]float64{"helix": 20.36}, 5e-3},
		{"oil-level", nil, map[string]float64{"volume": 0.13}, 2e-3},
		{"fork-shim", nil, map[string]float64{"shift": 0.30, "shims": 2, "residue": 0.092}, 1e-9},
		{"nose", nil, map[string]float64{"clearance": 4.10, "engagement": 15.0}, 1e-9},
		{"stack-length", nil, map[string]float64{"sum": 114.23, "proud": 0.93}, 1e-9},
		{"gear-float", nil, map[string]float64{"float": 0.22}, 1e-9},
		{"circlip", nil, map[string]float64{"free": 2.08, "circlip": 2.05, "play": 0.03}, 1e-9},
		{"length-20", nil, map[string]float64{"length": 170.622, "correction": 21.58}, 5e-3},
		{"pack", nil, map[string]float64{"total": 2.446, "error": 0.016, "pieces": 4}, 1e-9},
	}
	for _, tt := range tests {
		a := run(t, tt.sum, with(t, tt.sum, tt.change...))
		for key, want := range tt.want {
			r, ok := a.Result(key)
			if !ok {
				t.Errorf("%s %v: no result %s", tt.sum, tt.change, key)
				continue
			}
			if got := fromSI(r.SI, unitOf(r.Unit, r.Kind)); !(math.Abs(got-want) <= tt.tol) {
				t.Errorf("%s %v: %s is %.6g, want %g ± %g", tt.sum, tt.change, key, got, want, tt.tol)
			}
		}
	}
}

func TestWarnings(t *testing.T) {
	tests := []struct {
		sum    string
		change []string
		want   string // a word of the warning, or "" for no warning at all
	}{
		{"end-float", nil, ""},
		{"end-float", []string{"stand-up", "21.60"}, "invalid"},
		{"end-float", []string{"recess", "21.36, 21.42, 21.48"}, "read again"},
		{"end-float", []string{"fitted", "0.80"}, "not within"},
		{"taper-shim", []string{"play", "0"}, "no play"},
		{"pinion-depth", []string{"etched", "+12", "etched-unit", "millimetres"}, "unit"},
		{"pinion-depth", []string{"gap", "0.20, 0.27, 0.34"}, "not square"},
		{"pinion-depth", []string{"nominal", "58.00"}, "more than a pinion should need"},
		{"pinion-depth", nil, ""},
		{"side-shims", []string{"warm", "60 K", "case", "magnesium"}, "preload is gone"},
		{"side-shims", []string{"warm", "30 K"}, ""},
		{"backlash-move", []string{"backlash", "0.30, 0.31"}, "four places"},
		{"backlash-move", []string{"backlash", "0.26, 0.36, 0.31, 0.31"}, "run-out"},
		{"backlash-move", nil, ""},
		{"lever", []string{"off-square", "40"}, "off square"},
		{"lever", []string{"want", "900"}, "longer bar"},
		{"lever-reading", []string{"pull", "40 lbf"}, "4 %"},
		{"lever-reading", nil, ""},
		{"stack-length", []string{"shoulder", "114.10"}, "less than"},
		{"stack-length", []string{"shoulder", "115"}, "end of its thread"},
		{"nose", []string{"nose", "28"}, "do not draw"},
		{"circlip", []string{"sizes", "1.9"}, "thicker one"},
		{"centre-distance", []string{"driven", "40"}, "profile shift"},
		{"centre-distance", []string{"driven", "45"}, "cannot mesh"},
		{"pack", []string{"most", "3"}, "nearest"},
	}
	for _, tt := range tests {
		a := run(t, tt.sum, with(t, tt.sum, tt.change...))
		found := slices.ContainsFunc(a.Warnings, func(w string) bool { return strings.Contains(w, tt.want) })
		if tt.want == "" && len(a.Warnings) > 0 || tt.want != "" && !found {
			t.Errorf("%s %v: got warnings %q, want %q", tt.sum, tt.change, a.Warnings, tt.want)
		}
	}
}

// With nothing in the drawer that fits, the sum says what to buy: here the 0.95
// that with 1.497 makes two pieces.
func TestPackSaysWhatToBuy(t *testing.T) {
	a := run(t, "pack", with(t, "pack", "most", "3"))
	order, _ := a.Result("order")
	if !strings.HasPrefix(order.Text, "0.95 mm with s9") {
		t.Errorf("got %q, want 0.95 mm with s9 first", order.Text)
	}
	total, _ := a.Result("total")
	if total.SI == 0 {
		t.Error("the nearest pack is not shown")
	}
}

// A pack that takes pieces away leaves the rest for the next: sets of the
// demonstration drawer.
func TestPackFromDemoDrawer(t *testing.T) {
	const side = "s1=0.998, s2=1.003, s3=0.502, s4=0.498, s5=0.298, s6=0.252, s7=0.203, s8=0.197, s9=0.149, s10=0.152, s11=0.098, s12=0.101, s13=1.497, s14=2.001, s15=0.049"
	a := run(t, "pack", map[string]string{"drawer": side, "target": "2.20", "tolerance": "0.005", "most": "5"})
	pack, _ := a.Result("pack")
	total, _ := a.Result("total")
	if pack.Text != "s14 + s8" || math.Abs(total.SI-2.198e-3) > 1e-9 {
		t.Errorf("got %s = %s, want s14 + s8 = 2.198", pack.Text, total.Text)
	}
}

func TestUncertainty(t *testing.T) {
	u := func(a *Answer, key string) float64 {
		r, ok := a.Result(key)
		if !ok {
			t.Fatalf("no result %s", key)
		}
		return r.U
	}
	near := func(what string, got, want, rel float64) {
		t.Helper()
		if !(math.Abs(got-want) <= rel*want) {
			t.Errorf("%s: got %g, want %g", what, got, want)
		}
	}
	// F = T/L: relative uncertainties add in squares.
	a := run(t, "lever", map[string]string{"want": "130 lbf·ft ± 2", "arm": "34.0 in ± 0.1"})
	f, _ := a.Result("pull")
	near("lever", f.U/f.SI, math.Hypot(2.0/130, 0.1/34), 1e-4)
	near("share of the arm", f.Shares[1].Part, math.Pow(0.1/34, 2)/(math.Pow(2.0/130, 2)+math.Pow(0.1/34, 2)), 1e-4)
	// A mean of three readings of 0.012 each, and one of 0.01.
	a = run(t, "end-float", with(t, "end-float", "recess", "21.41, 21.42, 21.43 ± 0.012 mm", "stand-up", "20.64 ± 0.01"))
	near("gap", u(a, "gap"), math.Hypot(0.012e-3/math.Sqrt(3), 0.01e-3), 1e-9)
	r, _ := a.Result("gap")
	if r.Text != "1.040 ± 0.012 mm" || len(r.Shares) != 2 || math.Abs(r.Shares[0].Part+r.Shares[1].Part-1) > 1e-12 {
		t.Errorf("got %q and shares %v", r.Text, r.Shares)
	}
	// Each value may carry its own.
	a = run(t, "gear-float", map[string]string{"sleeve": "34.20 ± 0.003, 34.20 ± 0.004 mm", "gear": "33.98"})
	near("two of their own", u(a, "float"), 0.005e-3/2, 1e-9)
	// Without ± there is no uncertainty and the declared places are printed.
	a = run(t, "end-float", with(t, "end-float"))
	if r, _ := a.Result("gap"); r.U != 0 || r.Shares != nil || r.Text != "1.04 mm" {
		t.Errorf("got %+v", r)
	}
	// A choice stands while values are stepped: the number of shims stays 2.
	a = run(t, "fork-shim", with(t, "fork-shim", "travel-a", "8.9 ± 0.3"))
	if r, _ := a.Result("shims"); r.U != 0 || r.SI != 2 {
		t.Errorf("got %v shims ± %v", r.SI, r.U)
	}
	near("residue", u(a, "residue"), 0.3e-3, 1e-9)
	// So does a pack; its pieces carry their own uncertainty.
	a = run(t, "pack", with(t, "pack", "drawer", "a = 0.502, b = 0.298, c = 1.497 ± 0.003 mm", "target", "0.80", "tolerance", "0.01"))
	near("pack of two", u(a, "total"), 0.003e-3*math.Sqrt2, 1e-9)
	// What one step makes impossible is an error of that input.
	s, _ := Find("lever")
	if _, err := s.Run(map[string]string{"want": "130", "arm": "0.3 ± 0.5"}); err == nil || !strings.HasPrefix(err.Error(), "arm: ± 0.5 m is too much") {
		t.Errorf("got %v, want an error of arm", err)
	}
}
