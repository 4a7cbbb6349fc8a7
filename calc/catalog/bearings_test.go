package catalog

import (
	"math"
	"strings"
	"testing"
)

func init() {
	variants = append(variants, [][]string{
		{"bearing-life", "axial", "0", "limit-load", "", "hours", ""},
		{"bearing-life", "axial", "200"},
		{"bearing-life", "form", "taper", "y", "1.6", "axial", "3000", "reliability", "99 %"},
		{"bearing-life", "form", "spherical", "e", "0.3", "x", "0.67", "y", "3.3", "y1", "2.2", "axial", "400", "speed", "1500 rpm"},
		{"bearing-life", "form", "needle", "axial", "0", "speed", "", "hours", "", "limit-load", ""},
		{"bearing-static", "form", "taper", "y0", "0.9", "axial", "9000"},
		{"bearing-static", "axial", "0", "demand", "high"},
		{"bearing-duty", "form", "taper", "times", "20, 50, 20 %"},
		{"bearing-duty", "speeds", "900 rpm"},
		{"taper-pair", "arrangement", "O", "method", "0.6"},
		{"taper-pair", "thrust", "-3000", "method", "0.47", "rating-a", "", "rating-b", "", "speed", ""},
		{"taper-pair", "thrust", "0", "e-a", "", "e-b", ""},
		{"preload-drag", "turns", "one"},
		{"bearing-fit", "turning", "the outer", "load", "5 kN"},
		{"bearing-fit", "form", "taper", "load", "1 kN", "outer", "must", "case", "iron"},
	}...)
}

// changed is a run of a sum with some inputs changed and what it should give, in
// the unit of the result.
type changed struct {
	sum    string
	change []string
	want   map[string]float64
	tol    float64
}

func checkRuns(t *testing.T, tests []changed) {
	t.Helper()
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

func checkWarnings(t *testing.T, tests [][]string) {
	t.Helper()
	for _, tt := range tests { // sum, a word of the warning or "", changes
		a := run(t, tt[0], with(t, tt[0], tt[2:]...))
		all := strings.Join(a.Warnings, "; ")
		if tt[1] == "" && all != "" || !strings.Contains(all, tt[1]) {
			t.Errorf("%v: got warnings %q", tt, all)
		}
	}
}

func checkErrors(t *testing.T, tests [][]string) {
	t.Helper()
	for _, tt := range tests { // sum, what the error begins with, a word of it, changes
		s, err := Find(tt[0])
		if err != nil {
			t.Fatal(err)
		}
		if _, err = s.Run(with(t, tt[0], tt[3:]...)); err == nil || !strings.HasPrefix(err.Error(), tt[1]+": ") || !strings.Contains(err.Error(), tt[2]) {
			t.Errorf("%v: got %v", tt, err)
		}
	}
}

func TestBearingSums(t *testing.T) {
	plain := []string{"static-rating", "", "f0", "", "axial", "0", "limit-load", "", "hours", ""}
	checkRuns(t, []changed{
		// [SKF] p. 92, example 1.
		{"bearing-life", append([]string{"rating", "55.3 kN", "radial", "10 kN", "speed", "3000 rpm"}, plain...), map[string]float64{"life": 169.1, "life-hours": 939.5}, .1},
		// [WENTZELL] 20.1.
		{"bearing-life", append([]string{"rating", "5050 lbf", "radial", "2400 lbf", "speed", "1750 rpm"}, plain...), map[string]float64{"life-hours": 88.73}, .01},
		// [NSK] section 5.7, example 2: 3070 N with Y rounded.
		{"bearing-life", nil, map[string]float64{"load": 3066}, 1},
		// [NSK] example 3.
		{"bearing-life", append([]string{"form", "spherical", "e", "0.3", "x", "0.67", "y", "3.3", "y1", "2.2", "rating", "400 kN", "radial", "45 kN"}, append(plain, "axial", "8 kN")...), map[string]float64{"load": 62600}, .5},
		// By hand: the standard's ν1 at 900 rpm and 60 mm.
		{"bearing-life", nil, map[string]float64{"kappa": 20 / (45000 * math.Pow(900, -.83) / math.Sqrt(60)), "reliable": 1}, 1e-9},
		// [BN10] 11-3: 118 kN for 40 000 h at 520 rpm under 13.92 kN.
		{"bearing-life", append([]string{"form", "cylindrical", "rating", "123 kN", "radial", "13.92 kN", "speed", "520 rpm"}, append(plain, "hours", "40000 h")...), map[string]float64{"needed": 118}, .5},
		{"bearing-static", nil, map[string]float64{"load": 6000, "safety": 2.983, "guide": 1.5}, 5e-4},
		// [JINDAL] 18-9.
		{"bearing-duty", nil, map[string]float64{"mean-speed": 1080, "mean-load": 3954.3, "life-hours": 10000}, .7},
		// [JIANG] p. 319.
		{"taper-pair", nil, map[string]float64{"induced-a": 1114, "induced-b": 662, "axial-a": 1114, "axial-b": 2114, "load-a": 3118, "load-b": 3701}, 1.2},
		// [NSK] section 5.7, example 4.
		{"taper-pair", []string{"arrangement", "O", "radial-a", "1569", "radial-b", "3931", "thrust", "2000", "y-a", "0.73", "y-b", "1.60", "e-a", "", "e-b", "", "method", "0.6"},
			map[string]float64{"axial-a": 3474, "load-a": 3164, "load-b": 3931}, 1},
		{"preload-drag", nil, map[string]float64{"one": 1, "preload": 834.1}, .1},
		// [GBB], [SKF]: a bearing 40/80 on g6 and in N7.
		{"bearing-fit", []string{"load", "1 kN", "turning", "the outer", "case", "aluminium"}, map[string]float64{"shaft-least": -3, "shaft-most": 25, "case-least": -39, "case-most": 4}, .5},
	})
	checkWarnings(t, [][]string{
		{"bearing-life", "shorter than", "hours", "100000 h"},
		{"bearing-life", "film is thin", "viscosity", "5 cSt"},
		{"bearing-life", "more than half", "radial", "20 kN", "hours", ""},
		{"bearing-static", "", "radial", "4000 N"},
		{"bearing-static", "dents", "radial", "15 kN"},
		{"bearing-duty", "make 90", "times", "25, 50, 15 %"},
		{"bearing-duty", ""},
	})
	checkErrors(t, [][]string{
		{"bearing-life", "axial", "C0", "f0", ""},
		{"bearing-life", "axial", "no X and Y", "form", "needle"},
		{"bearing-life", "viscosity", "to count oil", "viscosity", ""},
		{"bearing-life", "viscosity", "κ", "viscosity", "0.6 cSt"},
		{"bearing-life", "radial", "for ever", "radial", "0", "axial", "0"},
		{"bearing-duty", "times", "2 for 3", "times", "50, 50 %"},
		{"bearing-duty", "loads", "for ever", "loads", "0, 0, 0"},
		{"taper-pair", "rating-b", "to see lives", "rating-b", ""},
		{"bearing-fit", "outer", "must not slide", "turning", "the outer", "outer", "must"},
		{"bearing-fit", "outside", "not larger", "outside", "30"},
	})
	for _, tt := range [][]string{
		{"bearing-fit", "shaft", "k5"}, {"bearing-fit", "hole", "K7"}, {"bearing-fit", "weight", "normal"}, {"bearing-duty", "worst", "part 2"},
	} {
		if r, ok := run(t, tt[0], with(t, tt[0])).Result(tt[1]); !ok || !strings.Contains(r.Text, tt[2]) {
			t.Errorf("%s: %s is %q, want %q", tt[0], tt[1], r.Text, tt[2])
		}
	}
}

func BenchmarkBearingLife(b *testing.B) { benchmarkSum(b, "bearing-life") }
func BenchmarkTaperPair(b *testing.B)   { benchmarkSum(b, "taper-pair") }
func BenchmarkBearingDuty(b *testing.B) { benchmarkSum(b, "bearing-duty") }
func BenchmarkBearingFit(b *testing.B)  { benchmarkSum(b, "bearing-fit") }

func benchmarkSum(b *testing.B, name string) {
	s, err := Find(name)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.Run(s.Example); err != nil {
			b.Fatal(err)
		}
	}
}
