package setup_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// ISO 1:2022: lengths are those at 20 °C. Read with steel (11.5e-6/K) at 30 °C,
// 200 mm of aluminium (23e-6/K) read 23.0 µm long: L·Δα·ΔT, worked out by hand.
// And L20 of the scenario: 170.60 at 9 °C is 170.622 mm.
func TestTo20(t *testing.T) {
	for _, c := range []struct {
		series  string
		what    string
		reads   float64
		celsius float64
		want    float64
		tol     float64
	}{
		{"A", "case width X", 200.023, 30, 200.000, 0.05e-3},
		{"A", "case width X", 170.60, 9, 170.622, 0.5e-3},
		{"A", "case width X", 170.60, 20, 170.60, 0},
		{"A", "differential length Y", 166.34, 9, 166.34, 0}, // steel on steel
		{"B", "case width X", 170.60, 9, 170.60 * (1 + 14.5e-6*11), 0.05e-3},
	} {
		s := state(t, c.series, at(read(c.what, "inside micrometer", 5, c.reads-0.01, c.reads, c.reads+0.01), c.celsius))
		m := setup.MeanOf(s, measure(t, s, c.what), s.Readings[0])
		near(t, c.what+" at 20 °C, mm", m.Value/mm, c.want, c.tol+1e-9)
		near(t, "the correction", m.Correct, m.Value-c.reads*mm, 1e-12)
		near(t, "the spread", m.Max-m.Min, 0.02*mm, 1e-12) // moved as one
		if plain := state(t, c.series, read(c.what, "inside micrometer", 5, c.reads)); setup.MeanOf(plain, measure(t, plain, c.what), plain.Readings[0]).Correct != 0 {
			t.Errorf("%s is corrected without a temperature", c.what)
		}
	}
}

// An instrument that reads all lengths wrong by the same amount does no harm to
// a difference of two of them, and twice the harm to a sum. [GUM] 5.2.2.
func TestSharedError(t *testing.T) {
	pack := []job.Body{shim("q", 0.549), fit("Q13", "q")}
	float := func(first, second string) float64 {
		s := state(t, "A", append(pack, read("cover recess", first, 5, 18.87, 18.87, 18.87), read("bearing stand-up", second, 5, 18.44, 18.44, 18.44))...)
		r := setting(t, s, "primary float")
		near(t, "primary float, mm", r.Value/mm, 0.161, 1e-9)
		return r.U / µm
	}
	// u of one reading 5 µm, of which 2.5 µm common; three readings each.
	own := 25 * 0.75 / 3
	near(t, "u with one instrument, µm", float("depth micrometer", "depth micrometer"), math.Sqrt(2*own), 1e-5)
	near(t, "u with two instruments, µm", float("depth micrometer", "old depth micrometer"), math.Sqrt(2*(own+6.25)), 1e-5)
}

// The sum of three lengths read with one instrument has three times its common error.
func TestSharedErrorOfSum(t *testing.T) {
	all := func(with ...string) float64 {
		s := state(t, "A", shim("d", 0.5), fit("P36", "d"), job.Marked{Tag: "L-P01", Marks: map[string]string{"etched": "+6"}}, job.Answered{Question: setup.EtchedQuestion, Answer: "further"},
			read("mandrel radius", with[0], 5, 30), read("gauge block", with[1], 5, 33.5), read("gauge gap", with[2], 5, 0.5))
		r := setting(t, s, "pinion depth")
		near(t, "pinion depth, mm", r.Value/mm, 64, 1e-9)
		return r.U / µm
	}
	near(t, "u with three instruments, µm", all("a", "b", "c"), math.Sqrt(3*25), 1e-5)
	near(t, "u with one instrument, µm", all("a", "a", "a"), math.Sqrt(3*18.75+7.5*7.5), 1e-5)
}

// The order in which things are read does not matter.
func TestOrderOfReadings(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	first := join(sideShims(), []job.Body{shim("q", 0.549), shim("d1", 0.499), shim("c", 2.05), shim("i", 12.28), fit("Q13", "q"), fit("P36", "d1"), fit("Q04", "c"), fit("P33", "i")}, l23packs())
	reads := []job.Body{
		read("cover recess", "depth micrometer", 5, 18.86, 18.87, 18.88), read("bearing stand-up", "depth micrometer", 5, 18.43, 18.44, 18.45),
		read("mandrel radius", "outside micrometer", 3, 30), read("gauge block", "outside micrometer", 3, 33.5), read("gauge gap", "feelers", 10, 0.40, 0.41, 0.42),
		at(read("case width X", "inside micrometer", 5, 170.59, 170.60, 170.61), 9), at(read("differential length Y", "outside micrometer", 3, 166.33, 166.34, 166.35), 9),
		read("backlash", "dial indicator", 5, 0.16, 0.16, 0.15, 0.16), read("groove gap", "feelers", 10, 2.08), read("taper play", "dial indicator", 5, 0.07, 0.07, 0.07),
		read("P07 width", "outside micrometer", 3, 34.21), job.Answered{Question: setup.EtchedQuestion, Answer: "further"}, job.Marked{Tag: "L-P01", Marks: map[string]string{"etched": "+6"}},
	}
	want := setup.All(state(t, "A", join(first, reads)...))
	for range 20 {
		r.Shuffle(len(reads), func(i, j int) { reads[i], reads[j] = reads[j], reads[i] })
		for i, got := range setup.All(state(t, "A", join(first, reads)...)) {
			w := want[i]
			if got.Known != w.Known || got.Proven != w.Proven || got.Verdict != w.Verdict || got.Question != w.Question ||
				!alike(got.Value, w.Value) || !alike(got.U, w.U) || !alike(got.Target, w.Target) || !alike(got.Chance, w.Chance) || !alike(got.Factor, w.Factor) {
				t.Fatalf("%s: %+v\nin another order: %+v", w.Name, w, got)
			}
		}
	}
}

func alike(a, b float64) bool { return a == b || math.Abs(a-b) < 1e-12 }

// A struck reading leaves no trace in any setting, and is back when its strike
// is struck.
func TestStruckReadings(t *testing.T) {
	bs := join(sideShims(), l21(), l22(), []job.Body{shim("q", 0.549), fit("Q13", "q"),
		read("cover recess", "depth micrometer", 5, 18.87), read("bearing stand-up", "depth micrometer", 5, 18.24), read("bearing stand-up", "depth micrometer", 5, 18.44),
		at(read("case width X", "inside micrometer", 5, 170.60), 9), read("differential length Y", "outside micrometer", 3, 166.34)})
	whole := entries(t, "A", bs...)
	before := setup.All(replay(t, whole))
	for i, e := range whole {
		if e.Kind != "read" {
			continue
		}
		strike := entries(t, "A", append(bs[:len(bs):len(bs)], job.Struck{Entry: e.ID, Why: "misread"}, job.Struck{Entry: fmt.Sprintf("e%d", len(bs)+1)})...)
		without := append(append([]job.Entry{}, whole[:i]...), whole[i+1:]...)
		struck, never := setup.All(replay(t, strike[:len(strike)-1])), setup.All(replay(t, without))
		if !reflect.DeepEqual(shown(struck), shown(never)) {
			t.Errorf("entry %d (%s), struck, leaves a trace", e.Seq, e.Body)
		}
		if !reflect.DeepEqual(shown(setup.All(replay(t, strike))), shown(before)) {
			t.Errorf("entry %d does not come back", e.Seq)
		}
	}
}

// shown is all of the results that a person can see.
func shown(rs []setup.Result) []any {
	var out []any
	for _, r := range rs {
		v := reflect.ValueOf(r)
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				out = append(out, v.Field(i).Interface())
			}
		}
	}
	return out
}
