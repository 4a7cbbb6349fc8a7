package catalog

import (
	"math"
	"strings"
	"testing"
)

// What reaches the branches of the sums of gears that their examples leave out.
func init() {
	variants = append(variants, [][]string{
		{"gear-geometry", "span", "", "span-teeth", ""},
		{"gear-geometry", "span", "", "span-teeth", "", "teeth", "12", "helix", "0", "shift", "0.1", "dedendum", "1.4", "root-radius", "0.39", "addendum", "1"},
		{"gear-geometry", "teeth", "9", "shift", "0.9", "helix", "0", "span-teeth", "2", "span", ""},
		{"gear-mesh", "centres", ""},
		{"gear-mesh", "centres", "", "shift-1", "0.6", "shift-2", "0.36", "helix", "0", "face", ""},
		{"gear-mesh", "tip-1", "54", "tip-2", "100"},
		{"gear-mesh", "centres", "71.5", "shift-1", "0.2"},
		{"gear-backlash", "centres", "", "apart", "-60"},
		{"gear-backlash", "helix", "0", "teeth-2", "40", "centres", "67.5"},
		{"gear-strength", "method", "C", "edition", "2019", "idler", "the larger", "steel-2", "nitrided MQ", "pitting", "some"},
		{"gear-strength", "helix", "0", "centres", "", "misalignment", "12 µm", "torque", "400"},
		{"gear-strength", "speed", "28000 rpm", "relief", "20 µm"},
		{"gear-life", "speeds", "1800 rpm", "times", "1 h", "torques", "20"},
		{"gear-life", "times", "4000, 40000, 200000 h"},
		{"gear-strength-textbook", "helix", "30", "j-1", "0.423", "j-2", "0.529"},
		{"gear-strength-textbook", "steel", "case-hardened, grade 1", "torque", "300"},
		{"bevel-strength", "steel", "through", "hardness-1", "240", "hardness-2", "200", "crowned", "not", "mounting", "one between", "oil", "80", "reliability", "0.95", "cycles", "1e6"},
		{"bevel-compare", "new-torques", "400, 250", "new-turns", "1e6, 2e7"},
		{"bevel-compare", "new-torques", "300, 250"},
		{"bevel-compare", "new-torques", "400, 250"},
	}...)
}

// Published values, typed in as printed.
func TestPublishedGears(t *testing.T) {
	for _, tt := range []struct {
		sum    string
		change []string
		want   map[string]float64
		tol    float64 // relative
	}{
		// [GEARGUIDE], profile-shifted spur pair.
		{"gear-mesh", []string{"teeth-1", "12", "teeth-2", "24", "module", "3", "helix", "0", "shift-1", "0.6", "shift-2", "0.36", "centres", "", "face", ""},
			map[string]float64{"centres": 56.5, "unshifted": 54, "working": 26.0888, "tip-1": 44.840, "tip-2": 79.400, "contact": 1.202}, 2e-4},
		// [GEARSHEET].
		{"gear-mesh", []string{"teeth-1", "30", "teeth-2", "31", "module", "3.5", "helix", "21", "centres", "116.5"},
			map[string]float64{"unshifted": 114.3447280708, "working": 23.8707609654, "sum": 0.6518771312}, 1e-8},
		// [TR6336-30] example 1: the shift of the pinion, and that which a span of the wheel shows.
		{"gear-mesh", []string{"teeth-1", "17", "teeth-2", "103", "module", "8", "helix", "15.8", "centres", "500", "face", "100"}, map[string]float64{"sum": 0.14522, "overlap": 1.0834}, 5e-5},
		{"gear-geometry", []string{"teeth", "103", "module", "8", "helix", "15.8", "shift", "0", "span", "307.943", "span-teeth", "13"}, map[string]float64{"shift-read": -0.02748}, 3e-3},
		// [TR6336-30] example 1 with its own rack, face load factor and relief.
		{"gear-strength", []string{"teeth-1", "17", "teeth-2", "103", "module", "8", "helix", "15.8", "shift-1", "0.14522", "centres", "500", "face", "100", "dedendum", "1.4", "root-radius", "0.39",
			"torque", "9000", "speed", "360", "turns", "1.08e9", "application", "1", "face-load", "1.16", "grade", "5", "relief", "70", "oil", "320", "rough-flank", "6"},
			map[string]float64{"tangential": 127352, "dynamic": 1.003, "flank-stress": 1301.353, "flank-safety-1": 1.02853, "flank-safety-2": 1.08696}, 3e-3},
		// [BN14] 14-4 and [BN15] 15-2.
		{"gear-strength-textbook", []string{"hardness-1", "240"}, map[string]float64{"bending-1": 6417 * .006894757, "bending-2": 4854 * .006894757, "contact-1": 70360 * .006894757, "contact-2": 70660 * .006894757,
			"safe-bending-1": 5.62, "safe-bending-2": 6.82, "safe-contact-1": 1.69, "safe-contact-2": 1.52}, 3e-3},
		{"bevel-strength", nil, map[string]float64{"bending-1": 8463 * .006894757, "bending-2": 10390 * .006894757, "contact": 107560 * .006894757,
			"safe-bending-1": 2.66, "safe-bending-2": 2.24, "safe-contact-1": 1.186 * math.Sqrt2, "safe-contact-2": 1.266 * math.Sqrt2}, 3e-3},
	} {
		a := run(t, tt.sum, with(t, tt.sum, tt.change...))
		for key, want := range tt.want {
			r, ok := a.Result(key)
			if got := fromSI(r.SI, unitOf(r.Unit, r.Kind)); !ok || !(math.Abs(got-want) <= tt.tol*math.Abs(want)) {
				t.Errorf("%s %v: %s is %.8g, want %.8g", tt.sum, tt.change, key, got, want)
			}
		}
	}
}

func TestGearIdentities(t *testing.T) {
	get := func(sum, key string, change ...string) float64 {
		t.Helper()
		r, ok := run(t, sum, with(t, sum, change...)).Result(key)
		if !ok {
			t.Fatalf("%s: no result %s", sum, key)
		}
		return r.SI
	}
	same := func(what string, a, b, tol float64) {
		t.Helper()
		if !(math.Abs(a-b) <= tol) {
			t.Errorf("%s: %.12g and %.12g", what, a, b)
		}
	}
	span := fixed(get("gear-geometry", "span", "span", "")*1000, 9)
	same("span gives the shift", get("gear-geometry", "shift-read", "span", span), .1, 1e-6)
	same("no backlash", get("gear-backlash", "circumferential", "centres", "", "thinning-1", "0", "thinning-2", "0"), 0, 1e-12)
	same("thinning", get("gear-backlash", "normal", "centres", ""), 90e-6*math.Cos(20*math.Pi/180), 1e-12)
	// The torque permitted has the safeties wanted.
	T := fixed(get("gear-strength", "permits"), 9)
	s := []float64{get("gear-strength", "flank-safety-1", "torque", T), get("gear-strength", "flank-safety-2", "torque", T),
		get("gear-strength", "root-safety-1", "torque", T) / 1.3, get("gear-strength", "root-safety-2", "torque", T) / 1.3}
	same("permitted", min(s[0], s[1], s[2], s[3]), 1, 1e-7)
	same("twice the time", get("gear-life", "root-1", "times", "8, 80, 400"), 2*get("gear-life", "root-1"), 1e-12)
	same("life", get("gear-life", "life"), get("gear-life", "repeats")*get("gear-life", "time"), 1e-3)
	same("the same duty", get("bevel-compare", "root", "new-torques", "400, 250"), 1, 1e-12)
	same("a set against itself", get("bevel-sets", "flank", "new-pinion", "8", "new-wheel", "37", "new-module", "4.75"), 1, 1e-12)
	same("their torque", get("bevel-sets", "torque-root")*get("bevel-sets", "root"), 1, 1e-12)
}

func TestGearWords(t *testing.T) {
	for _, tt := range []struct {
		sum    string
		change []string
		want   string // in the words and warnings
	}{
		{"gear-geometry", []string{"teeth", "10", "helix", "0", "shift", "0", "span", "", "span-teeth", ""}, "cuts into the flank"},
		{"gear-geometry", []string{"teeth", "9", "helix", "0", "shift", "0.8", "span", "", "span-teeth", "2"}, "nearly pointed"},
		{"gear-mesh", nil, "meshes with backlash"},
		{"gear-mesh", []string{"shift-1", "0.3"}, "jams"},
		{"gear-mesh", []string{"centres", "73.2"}, "stands far apart"},
		{"gear-mesh", []string{"tip-1", "51", "tip-2", "97", "face", ""}, "the contact breaks"},
		{"gear-backlash", []string{"centres", "71.8"}, "jam by"},
		{"gear-backlash", []string{"apart", "-400"}, "once the shafts have moved"},
		{"gear-strength", []string{"torque", "2000"}, "beyond its strength"},
		{"gear-strength", nil, "equations from memory"},
		{"gear-strength", nil, "TR 6336-30"},
		{"gear-strength", nil, "from memory; core 25 HRC"},
		{"gear-life", nil, "first"},
		{"bevel-compare", nil, "not borne before"},
		{"bevel-compare", []string{"new-torques", "300, 250"}, "wears slower"},
		{"bevel-compare", []string{"new-torques", "400, 250", "new-turns", "1e6, 2e7"}, "wears"},
	} {
		a := run(t, tt.sum, with(t, tt.sum, tt.change...))
		all := strings.Join(a.Warnings, "; ") + strings.Join(a.Assumptions, "; ")
		for _, r := range a.Results {
			all += r.Title + " " + r.Text + "; "
		}
		if !strings.Contains(all, tt.want) {
			t.Errorf("%s %v: got %q, want %q", tt.sum, tt.change, all, tt.want)
		}
	}
	for _, tt := range []struct{ sum, key, value, blame, want string }{
		{"gear-strength", "teeth-1", "60", "centres", "smaller gear"},
		{"gear-strength", "steel", "cheese", "steel", "case-hardened"},
		{"gear-mesh", "centres", "60", "centres", "base circles"},
		{"gear-life", "torques", "9000, 1, 1", "torques", "above what the teeth bear"},
		{"gear-life", "speeds", "100, 200 rpm", "speeds", "3 as there are torques"},
		{"gear-geometry", "span", "40", "span", "profile shift"},
		{"bevel-strength", "mounting", "", "mounting", "overhung"},
		{"bevel-compare", "new-turns", "1", "new-turns", "one count for each"},
	} {
		s, _ := Find(tt.sum)
		if _, err := s.Run(with(t, tt.sum, tt.key, tt.value)); err == nil || !strings.HasPrefix(err.Error(), tt.blame) || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s %s=%s: got %v", tt.sum, tt.key, tt.value, err)
		}
	}
	for _, name := range []string{"gear-strength", "gear-life", "gear-strength-textbook", "bevel-strength", "bevel-compare", "bevel-sets"} {
		if s, err := Find(name); err != nil || s.Caution == "" {
			t.Errorf("%s: no word of caution (%v)", name, err)
		}
	}
}
