package match_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"endfloat/calc/match"
)

// Four rings on four cones, gaps in hundredths of a millimetre: the pair with the
// widest gap of all, ring 1 on cone 1, is not in the best pairing.
func ExampleLeast() {
	gaps := [][]float64{{110, 105}, {100, 60}}
	cost := make([][]float64, len(gaps))
	for i, row := range gaps {
		for _, g := range row {
			cost[i] = append(cost[i], -g)
		}
	}
	column, sum, err := match.Least(cost)
	fmt.Println(column, -sum, err)
	// Output: [1 0] 205 <nil>
}

// brute tries every pairing of the smaller side.
func brute(cost [][]float64, i int, used []bool, skip int) float64 {
	if i == len(cost) {
		return 0
	}
	best := math.Inf(1)
	if skip > 0 {
		best = brute(cost, i+1, used, skip-1)
	}
	for j, c := range cost[i] {
		if !used[j] {
			used[j] = true
			best = min(best, c+brute(cost, i+1, used, skip))
			used[j] = false
		}
	}
	return best
}

func table(r *rand.Rand, n, m, most int, forbidden float64) [][]float64 {
	cost := make([][]float64, n)
	for i := range cost {
		for range m {
			c := float64(r.IntN(2*most) - most)
			if r.Float64() < forbidden {
				c = math.Inf(1)
			}
			cost[i] = append(cost[i], c)
		}
	}
	return cost
}

// Whole numbers are added without rounding, so the sums must be equal.
func TestAgainstEveryPairing(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	refused := 0
	for k := range 4000 {
		n, m := 1+r.IntN(6), 1+r.IntN(6)
		cost := table(r, n, m, 1+r.IntN(50), []float64{0, 0, 0.2, 0.6}[k%4])
		want := brute(cost, 0, make([]bool, m), max(0, n-m))
		column, sum, err := match.Least(cost)
		if math.IsInf(want, 1) {
			if refused++; err == nil {
				t.Fatalf("%v: paired as %v, and no pairing can be", cost, column)
			}
			continue
		}
		if err != nil || sum != want {
			t.Fatalf("%v: sum %v (%v), every pairing tried gives %v", cost, sum, err, want)
		}
		total, paired, seen := 0.0, 0, map[int]bool{}
		for i, j := range column {
			if j < 0 {
				continue
			}
			if seen[j] {
				t.Fatalf("%v: column %d is taken twice: %v", cost, j, column)
			}
			seen[j] = true
			paired++
			total += cost[i][j]
		}
		if paired != min(n, m) || total != sum {
			t.Fatalf("%v: %v pairs %d and sums to %v, said %v", cost, column, paired, total, sum)
		}
	}
	if refused < 100 {
		t.Errorf("only %d tables could not be paired: the test tries too little", refused)
	}
}

// SciPy, scipy.optimize.linear_sum_assignment, as Debian packs it, on tables up to
// 40 by 40 of whole numbers: the sums must be equal.
func TestAgainstSciPy(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import scipy.optimize").Run(); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("no reference to check against: %s with scipy is needed (%v)", python, err)
		}
		t.Skipf("no reference to check against: %s with scipy is needed (%v)", python, err)
	}
	r := rand.New(rand.NewPCG(3, 4))
	var tables [][][]float64
	for range 200 {
		tables = append(tables, table(r, 1+r.IntN(40), 1+r.IntN(40), 1+r.IntN(5000), 0))
	}
	raw, err := json.Marshal(tables)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "tables.json")
	if err := os.WriteFile(file, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(python, "testdata/pairs.py", file).Output()
	if err != nil {
		t.Fatalf("the reference failed: %v", err)
	}
	var want []float64
	if err := json.Unmarshal(out, &want); err != nil || len(want) != len(tables) {
		t.Fatalf("cannot read what the reference wrote: %v, %d sums", err, len(want))
	}
	for i, cost := range tables {
		if _, sum, err := match.Least(cost); err != nil || sum != want[i] {
			t.Errorf("table %d of %d by %d: sum %v (%v), SciPy says %v", i, len(cost), len(cost[0]), sum, err, want[i])
		}
	}
}

func TestRefuses(t *testing.T) {
	inf := math.Inf(1)
	for says, cost := range map[string][][]float64{
		"row 2 has 1 costs":           {{1, 2}, {3}},
		"row 1, column 2":             {{1, math.NaN()}},
		"a cost is a number":          {{math.Inf(-1)}},
		"no pairing serves all 2":     {{inf, 1}, {inf, 2}},
		"at most 1000 by 1000":        make([][]float64, 1001),
		"row 3, column 1: a cost is ": {{1}, {2}, {math.NaN()}},
	} {
		if _, _, err := match.Least(cost); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%v: %v, wanted %q", says, err, says)
		}
	}
	if column, sum, err := match.Least(nil); len(column) != 0 || sum != 0 || err != nil {
		t.Errorf("nothing with nothing: %v %v %v", column, sum, err)
	}
}
