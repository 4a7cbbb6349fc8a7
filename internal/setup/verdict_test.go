package setup_test

import (
	"math"
	"strings"
	"testing"

	"endfloat/calc/uncert"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// The guard band is 1.65 standard uncertainties on either side of a limit
// (ISO 14253-1:2017, 95 % conformance, one limit active; from memory). One
// reading with u = 5 µm: 8.25 µm.
func TestGuardBand(t *testing.T) {
	const step = 0.001 // µm either side of an edge
	for _, c := range []struct {
		what string
		is   float64 // mm
		want uncert.Verdict
	}{
		{"D03 back-face run-out", 0.050 - 0.00825 - step/1000, uncert.In}, // max 0.05
		{"D03 back-face run-out", 0.050 - 0.00825 + step/1000, uncert.Close},
		{"D03 back-face run-out", 0.050, uncert.Close},
		{"D03 back-face run-out", 0.050 + 0.00825 - step/1000, uncert.Close},
		{"D03 back-face run-out", 0.050 + 0.00825 + step/1000, uncert.Out},
		{"D06 side-gear backlash", 0.050 - 0.00825 - step/1000, uncert.Out}, // 0.05 to 0.15
		{"D06 side-gear backlash", 0.050 - 0.00825 + step/1000, uncert.Close},
		{"D06 side-gear backlash", 0.050 + 0.00825 - step/1000, uncert.Close},
		{"D06 side-gear backlash", 0.050 + 0.00825 + step/1000, uncert.In},
		{"D06 side-gear backlash", 0.100, uncert.In},
		{"P09 ring gap", 0.500 - 0.00825 - step/1000, uncert.Out}, // min 0.50
		{"P09 ring gap", 0.500 + 0.00825 + step/1000, uncert.In},
	} {
		s := state(t, "A", read(c.what, "dial indicator", 5, c.is))
		j := setup.Judge(s, measure(t, s, c.what), s.Readings[0])
		if j.Verdict != c.want {
			t.Errorf("%s %.6f mm is %q, want %q", c.what, c.is, j.Verdict, c.want)
		}
		if !strings.HasPrefix(j.From, "booklet") || j.Wanted == "" {
			t.Errorf("%s: the limit is %q from %q", c.what, j.Wanted, j.From)
		}
	}
}

// Settings are judged by the same rule.
func TestGuardBandOfSetting(t *testing.T) {
	l22 := func() setup.Result {
		return setting(t, state(t, "A", append(sideShims(), l22()...)...), "backlash")
	}()
	u := math.Hypot(l22.U, 5*µm*math.Sqrt(0.75)*math.Sqrt(2./4)) / mm // of the mean, and of a run-out fitted to four places
	for _, c := range []struct {
		is   float64
		want uncert.Verdict
	}{
		{0.13 - 1.65*u - 1e-6, uncert.Out}, {0.13 - 1.65*u + 1e-6, uncert.Close}, {0.13 + 1.65*u - 1e-6, uncert.Close}, {0.13 + 1.65*u + 1e-6, uncert.In},
		{0.18 - 1.65*u - 1e-6, uncert.In}, {0.18 - 1.65*u + 1e-6, uncert.Close}, {0.18 + 1.65*u - 1e-6, uncert.Close}, {0.18 + 1.65*u + 1e-6, uncert.Out},
	} {
		s := state(t, "A", join(sideShims(), l23packs(), []job.Body{read("backlash", "dial indicator", 5, c.is, c.is, c.is, c.is)})...)
		if r := setting(t, s, "backlash"); r.Verdict != c.want {
			t.Errorf("backlash %.6f ± %.6f mm is %q, want %q", c.is, r.UPlace/mm, r.Verdict, c.want)
		}
	}
}

// L5 of the scenario: of ring gaps 0.95, 0.62, 1.10, 1.05 the second is in, but
// to be renewed next time; and one of 0.41 is out.
func TestPlanToRenew(t *testing.T) {
	for _, c := range []struct {
		gap  float64
		want uncert.Verdict
		plan bool
	}{{0.95, uncert.In, false}, {0.62, uncert.In, true}, {1.10, uncert.In, false}, {0.41, uncert.Out, false}} {
		s := state(t, "A", read("P14 ring gap", "feelers", 10, c.gap))
		if j := setup.Judge(s, measure(t, s, "P14 ring gap"), s.Readings[0]); j.Verdict != c.want || j.Plan != c.plan {
			t.Errorf("ring gap %.2f: %q, plan %v; want %q, %v", c.gap, j.Verdict, j.Plan, c.want, c.plan)
		}
	}
}

// Limits follow the series and the parts that are in.
func TestLimitsFollowTheUnit(t *testing.T) {
	for _, c := range []struct {
		series string
		target float64
	}{{"A", 0.12}, {"B", 0.15}} {
		s := state(t, c.series, shim("l", 2.2), shim("r", 2.2), fit("D20", "l"), fit("D21", "r"), read("case width X", "inside micrometer", 5, 170.62), read("differential length Y", "outside micrometer", 3, 166.34))
		r := setting(t, s, "side preload")
		near(t, "target of series "+c.series+", mm", r.Target/mm, c.target, 1e-9)
		near(t, "total wanted, mm", (r.Wants[0].T+r.Wants[1].T)/mm, 4.28+c.target, 1e-9)
	}
}

// The chance of being within and the verdict tell one story: surely in is
// likely, surely out is not.
func TestChanceAgrees(t *testing.T) {
	for is := 0.10; is < 0.21; is += 0.001 {
		r := setting(t, state(t, "A", join(sideShims(), l23packs(), []job.Body{read("backlash", "dial indicator", 5, is, is, is, is)})...), "backlash")
		if r.Chance < 0 || r.Chance > 1 || r.Verdict == uncert.In && r.Chance < 0.95-1e-3 || r.Verdict == uncert.Out && r.Chance > 0.05 {
			t.Errorf("backlash %.3f: %q with a chance of %.3f", is, r.Verdict, r.Chance)
		}
	}
}
