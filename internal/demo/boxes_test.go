package demo_test

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
)

func bw4t(t *testing.T) *gearbox.Box {
	t.Helper()
	return read(t, "bw-4t.gearbox.yaml", string(demo.BW4T()))
}

func read(t *testing.T, name, text string) *gearbox.Box {
	t.Helper()
	b, err := gearbox.Read(name, []byte(text))
	if err != nil {
		t.Fatalf("%v\nin\n%s", err, text)
	}
	return b
}

func position(t *testing.T, b *gearbox.Box, id string) *gearbox.Position {
	t.Helper()
	p, ok := b.Position(id)
	if !ok {
		t.Fatalf("no position %s", id)
	}
	return p
}

// linnet is the gearbox of Linnet as built: series A with the 1st and 2nd
// group and the second pair of series B.
func linnet(b *gearbox.Box) gearbox.Built {
	as := b.As("A")
	for id, v := range map[string]string{
		"P08": "ASY", "P09": "ASY", "P10": "wide", "P11": "wide", "P14": "ASY", "P15": "38T",
		"P18": "thin", "F04": "F-B", "Q08": "21T",
	} {
		as.Variants[id] = v
	}
	return as
}

func TestCounts(t *testing.T) {
	b := bw4t(t)
	want := map[string]int{"pinion": 39, "primary": 20, "reverse": 7, "differential": 32, "selectors": 19, "case": 13}
	letter := map[string]string{"pinion": "P", "primary": "Q", "reverse": "R", "differential": "D", "selectors": "F", "case": "C"}
	for _, c := range b.Carriers {
		if len(c.Order) != want[c.ID] {
			t.Errorf("carrier %s has %d positions, want %d", c.ID, len(c.Order), want[c.ID])
		}
		for n := 1; n <= want[c.ID]; n++ {
			id := fmt.Sprintf("%s%02d", letter[c.ID], n)
			if p, ok := b.Position(id); !ok || p.Carrier != c || p.Name == "" || p.Kind == "" {
				t.Errorf("%s is missing, on another carrier, or has no name or kind", id)
			}
		}
		delete(want, c.ID)
	}
	if len(want) > 0 || len(b.All()) != 130 {
		t.Errorf("carriers missing: %v; %d positions, want 130", want, len(b.All()))
	}
	if n := strings.Count(string(demo.ThreeSpeed()), "\n"); n >= 30 {
		t.Errorf("the smallest file has %d lines, want under 30", n)
	}
	read(t, "three-speed.gearbox.yaml", string(demo.ThreeSpeed()))
}

// The hill-climb gearbox reads without a fault, and each set of change gears for
// a hill keeps its rules.
func TestBoxTwo(t *testing.T) {
	b := read(t, "box-two.gearbox.yaml", string(demo.BoxTwo()))
	for _, set := range []string{"short", "long"} {
		as := b.As(set)
		for _, m := range b.Meshes {
			driver, _ := b.Position(m.Driver)
			driven, _ := b.Position(m.Driven)
			z1, ok1 := driver.Dimension("teeth", as)
			z2, ok2 := driven.Dimension("teeth", as)
			if sum := z1 + z2; !ok1 || !ok2 || sum != 49 && sum != 50 {
				t.Errorf("%s, speed %s: %g + %g teeth", set, m.Speed, z1, z2)
			}
		}
		if broken := brokenRules(b, as); len(broken) > 0 {
			t.Errorf("%s: %v", set, broken)
		}
	}
}

// Each line holds parts that can go on in that order and in no other: common
// sense of the bench, applied to what the file leads to.
func TestOrder(t *testing.T) {
	b := bw4t(t)
	at := map[string]int{}
	for i, p := range b.Order() {
		at[p.ID] = i
	}
	if len(at) != 130 {
		t.Fatalf("the order covers %d positions, want 130", len(at))
	}
	for _, line := range []string{
		"C01 P03 P04 P36 Q03 R01 C04 C02",             // outer bearing and plate in the case, pinion group, primary, idler, mid-plate
		"P01 P02 P05 P07 P06 P08 P09 P10 P12 P11 P14", // sleeve, cage, gear, ring; hub, struts, sleeve
		"P14 P17 P16 P15 P18 P20 P21 P19 P22 P24 P25 P23 P27 P30 P29 P28 P31",
		"P31 P32 P35 P33 P34 P37 P38 P39 P36", // the cartridge between its two cones
		"Q01 Q02 Q04 Q03 Q07 Q05 Q06 Q20",     // primary, from the front
		"Q01 Q18 Q08 Q09 Q10 Q11 Q12 Q19 Q14 Q17 Q16 Q15 C02 Q13 C05 C03 C09",
		"R01 R03 R02 R04 R05 R06 R07 F06 C02",
		"D01 D08 D06 D10 D14 D15 D07 D09 D02 D31 D18",
		"D01 D03 D05 D04 D18 D20 D24 D22 D32",
		"D22 D26 D28 D30 C07",
		"F04 C02 F01 F14 F02 F15 F03 F18 C11",
		"F13 F02 F08 F11 F19 C05 C03",
	} {
		ids := strings.Fields(line)
		for i := 1; i < len(ids); i++ {
			if at[ids[i-1]] >= at[ids[i]] {
				t.Errorf("%s goes on after %s, want before", ids[i-1], ids[i])
			}
		}
	}
}

// What must come off, and what need not.
func TestReach(t *testing.T) {
	b := bw4t(t)
	for _, tt := range []struct{ id, with, without string }{
		{"Q13", "C03 C05 C09", "C02 F01 P39 D22"},       // end float: the rear cover only
		{"D20", "D22 D24 D32 D28", "C03 P36 D23 D27"},   // side shims: one side cover only
		{"P36", "C02 C03 Q03 R02", "P39 D22 P34 Q16"},   // depth shims: the nut stays tight
		{"P33", "P39 P37 P34 P36", "P32 P35"},           // inner spacer: through the cartridge
		{"P09", "P10 P39 C02", "P08 P07 P04"},           // 1st ring
		{"P03", "P04 P36", "P39 P05"},                   // the outer ring stays in the case
		{"Q02", "Q04 Q03 Q06", "C02 Q16"},               // front bearing: from the front
		{"F10", "C03", "C02 F01"},                       // a detent spring
		{"D06", "D02 D14 D31", "D03 D04 D16"},           // the crown wheel may stay
		{"P15", "P18 P19 P32 P39 P36 C02", "P14 P10"},   // 2nd
		{"F13", "F02 C03", "F01 C02"},                   // the interlock pin
		{"C01", "P03 P36 Q03 D18 C02 C03 C13 F01", "P"}, // everything in it
	} {
		over := map[string]bool{}
		for _, p := range b.Over(tt.id) {
			over[p.ID] = true
		}
		for _, id := range strings.Fields(tt.with) {
			if !over[id] {
				t.Errorf("to reach %s, %s need not come off; want it to", tt.id, id)
			}
		}
		for _, id := range strings.Fields(tt.without) {
			if over[id] {
				t.Errorf("to reach %s, %s must come off; want it to stay", tt.id, id)
			}
		}
	}
}

// A lid holds only what it covers itself, so every fastening and every lock
// inside the box must lie directly under one.
func TestLidsHoldFastenings(t *testing.T) {
	b := bw4t(t)
	outside := []string{"Q06", "D30", "D32", "C06", "C07", "C09"}
	for _, p := range b.All() {
		if !p.Fastening() && p.Kind != "seat" || slices.Contains(outside, p.ID) {
			continue
		}
		var lids []string
		for _, q := range b.All() {
			if q.Lid() && slices.Contains(b.Under(q.ID), p) {
				lids = append(lids, q.ID)
			}
		}
		// The side shims are the exception: the covers go on over trial packs,
		// and the settings hold their nuts instead.
		if trial := p.ID == "D20" || p.ID == "D21"; trial != (len(lids) == 0) {
			t.Errorf("%s lies under the lids %v", p.Label(), lids)
		}
	}
	for _, name := range []string{"side preload", "backlash"} {
		if s, ok := b.Setting(name); !ok || !slices.Contains(s.Before, "D32") {
			t.Errorf("%s does not hold the nuts of the side covers", name)
		}
	}
}

// chain adds up the links of a setting; packs and readings in mm by name.
func chain(t *testing.T, b *gearbox.Box, name string, as gearbox.Built, given map[string]float64) float64 {
	t.Helper()
	s, ok := b.Setting(name)
	if !ok {
		t.Fatalf("no setting %q", name)
	}
	var sum float64
	for _, l := range s.Chain {
		v, ok := given[l.Measure+l.Position]
		if l.Dim != "" {
			var si float64
			si, ok = position(t, b, l.Position).Dimension(l.Dim, as)
			v = si * 1e3
		}
		if !ok {
			t.Fatalf("%s: the link %+v has no value", name, l)
		}
		sum += l.Sign * v
	}
	return sum
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-6 {
		t.Errorf("%s = %.4f, want %.4f", what, got, want)
	}
}

// The sums of the demonstration, worked by hand in its scenario.
func TestChains(t *testing.T) {
	b := bw4t(t)
	found, built := b.As("A"), linnet(b)
	spacer := map[string]float64{"P33": 12.28}
	shaft, _ := position(t, b, "P01").Dimension("shoulder to run-out", built)
	near(t, "clamped length as found", chain(t, b, "nut stack proud", found, spacer)+shaft*1e3, 269.53)
	near(t, "clamped length as built", chain(t, b, "nut stack proud", built, spacer)+shaft*1e3, 269.53)
	near(t, "stack proud", chain(t, b, "nut stack proud", built, spacer), 0.93)
	near(t, "gear 1 float", chain(t, b, "gear 1 float", built, nil), 0.22)
	near(t, "gear 2 float", chain(t, b, "gear 2 float", built, nil), 0.22)
	near(t, "gear 3 float", chain(t, b, "gear 3 float", built, nil), 0.20)
	near(t, "gear 4 float", chain(t, b, "gear 4 float", built, nil), 0.20)

	// Wide hub with the thick washer: the nut is 3 mm short of thread.
	wrong := linnet(b)
	wrong.Variants["P18"] = "thick"
	near(t, "clamped length with both", chain(t, b, "nut stack proud", wrong, spacer)+shaft*1e3, 272.53)

	primary := map[string]float64{"cover recess": 18.87, "bearing stand-up": 18.44, "Q13": 0.55}
	near(t, "primary float, paper gasket", chain(t, b, "primary float", built, primary), 0.16)
	near(t, "primary float, sealant", chain(t, b, "primary float", b.As("B"), primary), -0.12)
	near(t, "pinion depth", chain(t, b, "pinion depth", built, map[string]float64{"mandrel radius": 30, "gauge block": 33.5, "gauge gap": 0.56}), 64.06)
	near(t, "side preload", chain(t, b, "side preload", built, map[string]float64{"D20": 2.2, "D21": 2.2, "case width X": 170.62, "differential length Y": 166.34}), 0.12)
	near(t, "circlip play", chain(t, b, "circlip play Q04", built, map[string]float64{"groove gap": 2.08, "Q04": 2.05}), 0.03)
}

// Every value of every position and setting has an answer in both series.
func TestResolvesInBothSeries(t *testing.T) {
	b := bw4t(t)
	for _, series := range []string{"A", "B"} {
		as := b.As(series)
		for _, p := range b.All() {
			for what, v := range map[string]gearbox.Value{"torque": p.Torque, "thread": p.Thread, "lock": p.Lock, "width": p.Width, "teeth": p.Teeth} {
				if v.Known() && v.Text(as) == "" {
					t.Errorf("%s of %s says nothing for series %s", what, p.ID, series)
				}
			}
			if len(p.Variants) > 0 && p.Usual(series) == "" {
				t.Errorf("%s has variants, but none is usual in series %s", p.ID, series)
			}
		}
		for _, s := range b.Settings {
			for _, l := range s.Chain {
				if l.Dim == "" {
					continue
				}
				if _, ok := position(t, b, l.Position).Dimension(l.Dim, as); !ok {
					t.Errorf("%s: series %s has no %s of %s", s.Name, series, l.Dim, l.Position)
				}
			}
			lo, hi, hasLo, hasHi := s.Band.At(as)
			wanted, hasWanted := s.Wanted.SI(as)
			if !(hasLo && hasHi && lo < hi) && !(hasWanted && wanted > 0 && s.Within > 0) {
				t.Errorf("%s has neither bounds nor a wanted figure in series %s", s.Name, series)
			}
			if target, ok := s.Target.SI(as); s.Target.Known() && !(ok && lo <= target && target <= hi) {
				t.Errorf("%s: the target %g is not within %g and %g in series %s", s.Name, target, lo, hi, series)
			}
		}
		if broken := brokenRules(b, as); len(broken) > 0 {
			t.Errorf("series %s as it left the works breaks rules on the lines %v", series, broken)
		}
	}
}

// brokenRules are the lines of the if and same rules that a unit breaks.
func brokenRules(b *gearbox.Box, as gearbox.Built) (lines []int) {
	is := func(c gearbox.Cond) bool { return as.Variants[c.Position] == c.Variant }
	for _, r := range b.Rules {
		broken := false
		if len(r.If) > 0 && !slices.ContainsFunc(r.If, func(c gearbox.Cond) bool { return !is(c) }) {
			broken = slices.ContainsFunc(r.Needs, func(c gearbox.Cond) bool { return !is(c) }) || slices.ContainsFunc(r.Never, is)
		}
		forms := map[string]bool{}
		for _, id := range r.Of {
			if p, ok := b.Position(id); ok && r.Same != "" {
				forms[p.Feature(r.Same, as)] = true
			}
		}
		if broken || len(forms) > 1 {
			lines = append(lines, r.Line)
		}
	}
	return lines
}

func TestRules(t *testing.T) {
	b := bw4t(t)
	if lines := brokenRules(b, linnet(b)); len(lines) > 0 {
		t.Errorf("Linnet as built breaks the rules on the lines %v", lines)
	}
	// One part of the other kind in Linnet as built: how many rules speak up.
	for _, tt := range []struct {
		id, variant string
		rules       int
	}{
		{"P08", "SYM", 1}, {"P09", "SYM", 1}, {"P14", "SYM", 1}, {"P18", "thick", 1}, {"F04", "F-A", 1},
		{"P11", "narrow", 2}, // width and dogs
		{"P10", "narrow", 3}, // its own company, and both gears of the second pair
		{"Q08", "20T", 2},    // either gear of the pair
		{"P15", "39T", 3},    // either gear of the pair, and its dogs
		{"P39", "M30", 1}, {"C05", "liquid sealant", 1}, {"C07", "high", 1},
		{"C01", "magnesium", 3}, // gaskets, washers, level
	} {
		as := linnet(b)
		as.Variants[tt.id] = tt.variant
		if lines := brokenRules(b, as); len(lines) != tt.rules {
			t.Errorf("Linnet with %s %s breaks %d rules (lines %v), want %d", tt.id, tt.variant, len(lines), lines, tt.rules)
		}
	}
	pair, equal, soft := 0, 0, 0
	for _, r := range b.Rules {
		switch {
		case r.By == "set number":
			pair++
		case r.Equal == "width":
			equal++
		case r.Renew && r.Soft:
			soft++
		}
	}
	if pair != 1 || equal != 1 || soft != 4 {
		t.Errorf("%d matched pairs, %d equal widths, %d soft renewals; want 1, 1, 4", pair, equal, soft)
	}
}

// The gears of each speed fit the centre distance: a = m (z1 + z2) / (2 cos β),
// the definition of the reference centre distance of a helical pair. The helix
// is given to 0.01°, which is 0.005 mm here.
func TestSpeeds(t *testing.T) {
	b := bw4t(t)
	crown, _ := position(t, b, "D03").Dimension("teeth", b.As("A"))
	head, _ := position(t, b, "P01").Dimension("teeth", b.As("A"))
	if len(b.Meshes) != 5 || b.Final == nil || b.Final.Pinion != "P01" || b.Final.Crown != "D03" {
		t.Fatalf("%d speeds, final drive %v; want 5 and P01 with D03", len(b.Meshes), b.Final)
	}
	for _, as := range []gearbox.Built{b.As("A"), b.As("B"), linnet(b)} {
		for _, m := range b.Meshes {
			z1, ok1 := position(t, b, m.Driver).Dimension("teeth", as)
			z2, ok2 := position(t, b, m.Driven).Dimension("teeth", as)
			if !ok1 || !ok2 {
				t.Fatalf("speed %s: no teeth", m.Speed)
			}
			if m.Idler == "" {
				helix, _ := m.Helix.SI(as)
				centre, _ := m.Centre.SI(as)
				if a := float64(m.Module) * (z1 + z2) / (2 * math.Cos(helix)); math.Abs(a-centre) > 0.01e-3 {
					t.Errorf("speed %s: %g and %g teeth want a centre distance of %.3f mm, not %.3f", m.Speed, z1, z2, a*1e3, centre*1e3)
				}
			}
			ten := 10 * z2 / z1 * crown / head
			lo, hi := turnsForTen(t, b, m.Speed, as)
			if ten < lo || ten > hi || math.Abs(ten-(lo+hi)/2) > 0.06 {
				t.Errorf("speed %s: teeth give %.2f turns for ten, the file %.1f to %.1f", m.Speed, ten, lo, hi)
			}
		}
	}
}

func turnsForTen(t *testing.T, b *gearbox.Box, speed string, as gearbox.Built) (lo, hi float64) {
	t.Helper()
	for _, m := range b.Measures {
		if name, ok := strings.CutPrefix(m.Name, "turns for ten "); ok && name[:1] == speed {
			lo, hi, _, _ := m.Limit.Band.At(as)
			return lo, hi
		}
	}
	t.Fatalf("no turns for ten of speed %s", speed)
	return 0, 0
}

// What the demonstration asks must not stand in the file.
func TestEtchedIsAsked(t *testing.T) {
	b := bw4t(t)
	if b.Etched == nil || b.Etched.On != "P01" || b.Etched.Plus != "" || math.Abs(float64(b.Etched.Unit)-1e-5) > 1e-12 {
		t.Errorf("etched is %+v; want on P01, 0.01 mm, and the sense left to be asked", b.Etched)
	}
}

// The page for fitters. Every example in it is read here.
func guide(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../../docs/gearbox-file.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

var fence = regexp.MustCompile("(?s)```(\\w+)( \\w+)?\n(.*?)```\n")

func TestGuideBlocks(t *testing.T) {
	var whole []string
	var fragments []string
	faulty, complete, messages := "", 0, 0
	for _, m := range fence.FindAllStringSubmatch(guide(t), -1) {
		switch kind := m[1] + m[2]; kind {
		case "yaml":
			read(t, "guide", m[3])
			whole = append(whole, m[3])
			complete++
		case "yaml fragment":
			fragments = append(fragments, m[3])
		case "yaml faulty":
			faulty = m[3]
		case "text":
			messages++
			_, err := gearbox.Read("pump.gearbox.yaml", []byte(faulty))
			if err == nil || strings.TrimSpace(err.Error()) != strings.TrimSpace(m[3]) {
				t.Errorf("the guide shows\n%s\nbut the fault is\n%v", m[3], err)
			}
		default:
			t.Errorf("a block is marked %q; want yaml, yaml fragment, yaml faulty or text", kind)
		}
	}
	if complete < 3 || len(fragments) < 10 || messages < 1 {
		t.Errorf("%d complete files, %d fragments, %d faults in the guide", complete, len(fragments), messages)
	}
	for _, f := range fragments {
		if !slices.ContainsFunc(whole, func(w string) bool { return within(f, w) }) {
			t.Errorf("this fragment is part of no complete file in the guide:\n%s", f)
		}
	}
}

// The units that the guide writes beside numbers: 1 in = 25.4 mm exactly,
// 1 lbf·ft = 1.355 818 N·m (NIST SP 811, 2008 edition, appendix B.8).
func TestGuideNumbers(t *testing.T) {
	text := guide(t)
	for _, tt := range []struct {
		key, written string
		si           float64
	}{
		{"width", "1.375 in", 1.375 * 25.4e-3},
		{"width", "12 thou", 12 * 25.4e-6},
		{"width", "34,20", 34.20e-3}, // a decimal comma
		{"torque", "110 lbf·ft", 110 * 1.355818},
	} {
		if tt.written != "34,20" && !strings.Contains(text, "`"+tt.written+"`") {
			t.Errorf("the guide no longer writes %q", tt.written)
		}
		b := read(t, "number", "endfloat: 1\ngearbox: Sample\ncarriers:\n  shaft:\n    order:\n      P07:\n        "+tt.key+": "+tt.written+"\n")
		p := position(t, b, "P07")
		got, _ := map[string]gearbox.Value{"width": p.Width, "torque": p.Torque}[tt.key].SI(gearbox.Built{})
		if math.Abs(got-tt.si) > 1e-6*tt.si {
			t.Errorf("%s: %s is %g, want %g", tt.key, tt.written, got, tt.si)
		}
	}
}

// within reports whether the lines of a fragment stand in a file one after
// another, all indented alike.
func within(fragment, file string) bool {
	part := strings.Split(strings.TrimRight(fragment, "\n"), "\n")
	lines := strings.Split(file, "\n")
	for i := range lines {
		indent := strings.TrimSuffix(lines[i], part[0])
		if strings.TrimSpace(indent) != "" || i+len(part) > len(lines) {
			continue
		}
		same := true
		for k, p := range part {
			same = same && lines[i+k] == indent+p
		}
		if same {
			return true
		}
	}
	return false
}

// places are where a key of the guide's tables may stand: a line of the BW-4T,
// a thing added under it to hold the key, and what that thing needs beside it.
var places = map[string]struct {
	under, head, tail string
	needs             []string
}{
	"source":                 {"\nsources:\n", "  zz: {", "}", nil},
	"series":                 {"\nseries:\n", "  zz: {", "}", nil},
	"carrier":                {"\ncarriers:\n", "  zz: {", "}", []string{"order: {X98: spacer}"}},
	"position":               {"\ncarriers:\n", "  zz: {ends: [head, nut], order: {X98: spacer, X99: {", "}}}", nil},
	"variant":                {"\ncarriers:\n", "  zz: {order: {X98: {dimensions: {crushed: 0.30}, variants: {zz: {", "}}}}}", nil},
	"check":                  {"\ncarriers:\n", "  zz: {order: {X98: {check: {zz: {", "}}}}}", nil},
	"measure":                {"\nmeasure:\n", "  zz: {", "}", nil},
	"setting":                {"\nsettings:\n", "  zz: {", "}", []string{"from: bench"}},
	"hot":                    {"\nsettings:\n", "  zz: {from: bench, limit: [0.10, 0.20], hot: {", "}}", []string{"at: 60 °C", "over: 170.6", "metal: aluminium", "bearings: X"}},
	"rule":                   {"\nrules:\n", "  - {", "}", nil},
	"speed":                  {"\nspeeds:\n", "  zz: {", "}", []string{"driver: Q01", "driven: P08"}},
	"hot fit":                {"\ncarriers:\n", "  zz: {order: {X98: {heat to: 90 °C, hot fit: {", "}}}}", nil},
	"rotation":               {"\nrotation: ", "{", "}", nil},
	"closing":                {"\nclosing:", " {", "}", nil},
	"leak":                   {"\nclosing:", " {leak: {", "}}", []string{"pressure: 0.20 bar", "time: 10 min", "from: booklet 41"}},
	"oil":                    {"\nclosing:", " {oil: {", "}}", []string{"volume: 2.1 L", "from: booklet 40"}},
	"crown wheel and pinion": {"\ncrown wheel and pinion: ", "{", "}", []string{"pinion: P01", "crown: D03"}},
	"strength":               {"\nstrength:", " {", "}", nil},
	"engine":                 {"\nstrength:", " {engine: {A: {", "}}}", []string{"full torque: [108 N·m at 600 rpm, 117 N·m at 1800 rpm]"}},
	"vehicle":                {"\nstrength:", " {vehicle: {", "}}", []string{"mass: 4 t", "wheel: 510"}},
	"duty":                   {"\nstrength:", " {duty: {", "}}", []string{"life: 5000 h", "steps: [{gear: 1, share: 1, torque: 0.5, speed: 1200}]"}},
	"duty step":              {"\nstrength:", " {duty: {life: 5000 h, steps: [{", "}]}}", []string{"gear: 1", "share: 1", "torque: 0.5", "speed: 1200"}},
	"teeth":                  {"\nstrength:", " {teeth: {1: {", "}}}", []string{"face: 22", "steel: case-hardened MQ"}},
	"bevel":                  {"\nstrength:", " {bevel: {", "}}", []string{"module: 5.5", "face: 34", "at: -17", "drive pushes pinion: away"}},
	"shaft":                  {"\nstrength:", " {shafts: {primary: {", "}}}", []string{"bearings: {Q02: {form: deep groove, at: 12}, Q14: {form: cylindrical, at: 214}}"}},
	"bearing":                {"\nstrength:", " {shafts: {primary: {bearings: {Q14: {form: cylindrical, at: 214}, Q02: {", "}}}}}", []string{"form: deep groove", "at: 12"}},
	"section":                {"\nstrength:", " {shafts: {primary: {bearings: {Q02: {form: deep groove, at: 12}, Q14: {form: cylindrical, at: 214}}, sections: {zz: {", "}}}}}", []string{"at: 30", "od: 28"}},
	"joint":                  {"\nstrength:", " {joints: {P24: {", "}}}", []string{"kind: spline", "teeth: 18", "inner: 27", "outer: 30", "length: 19", "allows: 140 MPa"}},
	"synchroniser":           {"\nstrength:", " {synchronisers: {P14: {", "}}}", []string{"speed: 2", "mean: 58", "width: 9", "angle: 6.5°", "friction: 0.10", "force: 500", "inertia: 0.0045"}},
	"etched":                 {"\netched: ", "{", "}", []string{"on: P01", "unit: 0.01 mm"}},
}

// small is a file to which the keys of a whole file are added.
const small = "endfloat: 1\ngearbox: Sample\ncarriers: {shaft: {order: {P07: {width: 34.20, teeth: 13}, P08: {width: 33.98, teeth: 46}}}}\n"

// try returns the faults of a file with the example at that place.
func try(t *testing.T, place, example string) error {
	t.Helper()
	text := strings.Join(append(lacking(example, strings.Split(small, "\n")), example), "\n")
	if place != "file" {
		at, ok := places[place]
		before, after, found := strings.Cut(string(demo.BW4T()), at.under)
		if !ok || !found {
			t.Fatalf("a table is marked %q, which is no place in the file", place)
		}
		if !strings.HasSuffix(at.under, "\n") { // the rest of the line is what is tried
			_, after, _ = strings.Cut(after, "\n")
		}
		if at.under == "\nstrength:" { // all its lines, up to the next part
			_, after, _ = strings.Cut(after, "\nclosing:")
			after = "closing:" + after
		}
		if at.under == "\nclosing:" { // the last of the file
			after = ""
		}
		keys := strings.Join(append([]string{example}, lacking(example, at.needs)...), ", ")
		text = before + at.under + at.head + keys + at.tail + "\n" + after
	}
	_, err := gearbox.Read("example", []byte(text))
	return err
}

// lacking are the lines whose keys an example does not give itself.
func lacking(example string, lines []string) []string {
	return slices.DeleteFunc(slices.Clone(lines), func(line string) bool {
		k, _, _ := strings.Cut(line, ":")
		return strings.Contains(", "+example, ", "+k+":")
	})
}

var table = regexp.MustCompile(`<!-- keys: ([a-z ]+) -->\n(?:\|.*\n){2}((?:\|.*\n)+)`)

// Every key of every table reads as its example has it, and the tables name
// every key that the reader knows.
func TestGuideKeys(t *testing.T) {
	named := map[string][]string{}
	for _, m := range table.FindAllStringSubmatch(guide(t), -1) {
		for row := range strings.Lines(m[2]) {
			cells := strings.Split(row, "|")
			k, example := strings.Trim(cells[1], " `"), strings.Trim(cells[3], " `")
			named[m[1]] = append(named[m[1]], k)
			if !strings.Contains(", "+example, ", "+k+":") {
				t.Errorf("%s: the example %q of %q does not show it", m[1], example, k)
			}
			if err := try(t, m[1], example); err != nil {
				t.Errorf("%s: %q is not read: %v", m[1], example, err)
			}
		}
	}
	known := regexp.MustCompile(`no key "zzzzzzzz"; it may have: (.*)`)
	for place := range places {
		if len(named[place]) == 0 {
			t.Errorf("the guide has no table of the keys of a %s", place)
		}
	}
	for place, tabled := range named {
		err := try(t, place, "zzzzzzzz: 1")
		m := known.FindStringSubmatch(fmt.Sprint(err))
		if m == nil {
			t.Errorf("%s: an unknown key gives %v", place, err)
			continue
		}
		keys := append(strings.Split(m[1], ", "), late[place]...)
		if place == "check" {
			tabled = append(tabled, slices.DeleteFunc(slices.Clone(named["measure"]), func(k string) bool { return k == "of" })...)
		}
		slices.Sort(keys)
		slices.Sort(tabled)
		if !slices.Equal(slices.Compact(keys), tabled) {
			t.Errorf("%s: the reader knows %v, the guide names %v", place, keys, tabled)
		}
	}
}

// late are keys that the reader offers only once another stands beside them:
// the thinnest piece of a seat, the unit of a quantity.
var late = map[string][]string{"position": {"thinnest", "ground", "crushed sleeve"}, "measure": {"unit"}, "check": {"unit"}, "setting": {"unit"}}

var refused = regexp.MustCompile(`<!-- refused -->\n(?:\|.*\n){2}((?:\|.*\n)+)`)

// What the guide says is refused is refused, in those words.
func TestGuideRefusals(t *testing.T) {
	m := refused.FindStringSubmatch(guide(t))
	if m == nil {
		t.Fatal("the guide has no table of refusals")
	}
	for row := range strings.Lines(m[1]) {
		cells := strings.Split(row, "|")
		written, place := strings.Trim(cells[1], " `"), strings.TrimSpace(cells[2])
		says := strings.Split(cells[3], "`")[1]
		if err := try(t, place, written); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q in a %s: got %v, want %q", written, place, err, says)
		}
	}
	for says, text := range map[string]string{
		"one YAML document": small + "---\n" + small,
		"larger than":       small + strings.Repeat("# \n", 1<<19),
		"nested deeper":     small + "about: " + strings.Repeat("[", 20) + strings.Repeat("]", 20) + "\n",
	} {
		if _, err := gearbox.Read("example", []byte(text)); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("got %v, want %q", err, says)
		}
	}
}
