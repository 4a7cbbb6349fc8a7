package catalog

import (
	"fmt"
	"math"
	"testing"

	"endfloat/calc/press"
)

// The identities and limits that checked.go claims for sums without a published
// example, each through the sum itself.
func TestIdentities(t *testing.T) {
	get := func(sum, key string, change ...string) float64 {
		t.Helper()
		r, ok := run(t, sum, with(t, sum, change...)).Result(key)
		if !ok {
			t.Fatalf("%s: no result %s", sum, key)
		}
		return r.SI
	}
	in := func(si float64, symbol string) string { return fmt.Sprintf("%.12g %s", si, symbol) }
	same := func(what string, a, b float64) {
		t.Helper()
		if !(math.Abs(a-b) <= 1e-9*max(math.Abs(a), math.Abs(b), 1e-3)) {
			t.Errorf("%s: %.12g and %.12g", what, a, b)
		}
	}
	same("end-float", get("end-float", "float", "fitted", in(get("end-float", "shim"), "m")), .15e-3)
	same("end-float-two-ends", get("end-float-two-ends", "shim-1")+get("end-float-two-ends", "shim-2"), get("end-float-two-ends", "total"))
	same("nose", get("nose", "clearance")+get("nose", "engagement"), (27.60-8.50)*1e-3)
	same("stack-length", get("stack-length", "proud")-get("stack-length", "proud", "widths", "one = 113.43"), .8e-3)
	same("gear-float", get("gear-float", "float", "sleeve", "30", "gear", "30"), 0)
	same("oil-level", get("oil-level", "volume", "length", "1 m", "width", "1 m", "rise", "1 mm", "free", "1"), 1e-3)
	same("length-20", get("length-20", "length", "part", "steel", "instrument", "12e-6 1/K", "temperature", "80", "reading", "100"), .1)
	same("fork-shim", get("fork-shim", "residue", "travel-a", "8.3", "travel-b", "8.3"), 0)
	same("circlip", get("circlip", "circlip", "sizes", "2.00, 2.05, 2.08, 2.09"), 2.08e-3)
	same("plate-stack", get("plate-stack", "play", "plates", "all = "+in(49.15e-3+get("plate-stack", "add-least"), "m")), .15e-3)
	same("ring-gap", get("ring-gap", "wear", "cone", "20")/math.Tan(20*math.Pi/180), (1.3-2.9/3)*1e-3)
	same("depth-hot", get("depth-hot", "change", "case", "steel", "pinion-warm", "60"), 57.12e-3*expansions()["steel"]*60)
	same("dial-place", get("dial-place", "transverse", "at", "the crown", "dial-radius", "88", "wheel-radius", "88"), .3e-3)

	same("lever", get("lever-reading", "torque", "pull", in(get("lever", "pull", "bar-mass", ""), "N"), "arm", "0.75 m"), 220)
	same("cord", get("cord", "torque", "pull", in(get("bolt-pull", "pull"), "N"), "radius", "62"), 1.8)
	same("pinion-drag", get("pinion-drag", "torque", "side", "0"), .81)
	same("held-shaft-bend", get("held-shaft-bend", "bending", "overhang", "0"), 0)
	same("nut-preload", get("nut-preload", "torque-most", "torque", "", "preload", in(get("nut-preload", "preload-least"), "N")), 200)

	same("turns", get("turns", "ratio", "in", "8.5", "out", "1"), 8.5)
	same("up-shift", get("speeds", "speed.3", "engine", in(get("speeds", "after.3"), "rad/s")), get("speeds", "speed.2"))

	same("heat-to-fit", get("heat-to-fit", "room-left", "carry", "0"), 120-get("heat-to-fit", "meet"))
	same("grip-hot", get("grip-hot", "left", "hub-warm", "0", "shaft-warm", "0"), 50e-6)
	same("bearing-clearance", get("bearing-clearance", "left", "inner-warm", "30", "outer-warm", "30", "on-shaft", "0"), 13e-6+12.5e-6*.024*30)
	same("index-run-out", get("index-run-out", "left", "offset-1", "0.015", "steps", ""), 0)
	same("backlash-variation", get("backlash-variation", "normal", "run-out", "1 mm"),
		1e-3*get("backlash-factor", "wheel-normal", "pinion-teeth", "9", "wheel-teeth", "35"))
	same("gear-run-out", get("gear-run-out", "swing", "run-out", "0.10"), 2*get("gear-run-out", "swing"))
	same("side-gear-washers", get("side-gear-washers", "factor"),
		get("backlash-factor", "wheel-transverse", "pinion-teeth", "10", "wheel-teeth", "16", "spiral-angle", "0"))
	same("oil-fill", get("oil-fill", "volume", "stays", "0"), 1.9e-3)
	same("convert", get("convert", "value.N·m", "value", in(get("convert", "value.lbf·ft", "to", "lbf·ft"), "N·m")), get("convert", "value.N·m"))
	same("verdict", get("verdict", "probability", "reading", "0.2 ± 0.001", "least", ""), .5)
	same("lever-band", get("lever-band", "least", "scale-error", "0", "arm-error", "0", "angle-error", "0"), 200/.75)
}

// The words for a metal stand for rows of the one table of materials, each with
// its expansion.
func TestOneTableOfMetals(t *testing.T) {
	for _, name := range metals {
		m, ok := press.Find(press.Materials(), name)
		if !ok || m.Heating < 8e-6 || expansions()[name] != m.Heating {
			t.Errorf("%s: %g per kelvin, the table has %+v", name, expansions()[name], m)
		}
	}
	if m, ok := press.Find(press.Materials(), "Aluminium"); !ok || m.Name != "aluminium alloy" {
		t.Errorf("aluminium is %q", m.Name)
	}
	if _, ok := press.Find(press.Materials(), ""); ok {
		t.Error("no name finds a metal")
	}
}
