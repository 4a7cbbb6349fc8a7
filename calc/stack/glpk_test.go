package stack_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"endfloat/calc/stack"
	"endfloat/calc/unit"
)

// puzzle is one drawer and what is wanted from it, in whole micrometres.
type puzzle struct {
	pieces            []int
	target, tol, most int
}

// model writes all puzzles as one integer programme in GNU MathProg: x takes a
// piece, over and under are the error, short is 1 where no pack fits. Every puzzle
// is a block of its own, so the least of the whole sum is the least of each.
//
// One piece more weighs more than any error within the tolerance, and no pack at
// all more than the most pieces.
func model(puzzles []puzzle) string {
	var b strings.Builder
	var costs []string
	for k, p := range puzzles {
		piece := p.tol + 1
		fmt.Fprintf(&b, "var over%d >= 0;\nvar under%d >= 0;\nvar short%d, binary;\n", k, k, k)
		var sum, count []string
		for i, µm := range p.pieces {
			fmt.Fprintf(&b, "var x%d_%d, binary;\n", k, i)
			sum = append(sum, fmt.Sprintf("%d*x%d_%d", µm, k, i))
			count = append(count, fmt.Sprintf("x%d_%d", k, i))
		}
		n := strings.Join(count, "+")
		fmt.Fprintf(&b, "s.t. sum%d: %s + %d*short%d - over%d + under%d = %d;\n", k, strings.Join(sum, "+"), p.target, k, k, k, p.target)
		fmt.Fprintf(&b, "s.t. tol%d: over%d + under%d <= %d;\n", k, k, k, p.tol)
		fmt.Fprintf(&b, "s.t. most%d: %s <= %d;\n", k, n, p.most)
		fmt.Fprintf(&b, "s.t. some%d: %s + short%d >= 1;\n", k, n, k)
		fmt.Fprintf(&b, "var cost%d;\ns.t. is%d: cost%d = %d*(%s) + over%d + under%d + %d*short%d;\n", k, k, k, piece, n, k, k, piece*(p.most+1), k)
		costs = append(costs, fmt.Sprintf("cost%d", k))
	}
	fmt.Fprintf(&b, "minimize all: %s;\nsolve;\n", strings.Join(costs, "+"))
	for k := range puzzles {
		fmt.Fprintf(&b, "printf \"cost %d %%.6f\\n\", cost%d;\n", k, k)
	}
	return b.String() + "end;\n"
}

// solve lets GLPK find the least cost of each puzzle.
func solve(t *testing.T, glpsol string, puzzles []puzzle) []float64 {
	t.Helper()
	file := filepath.Join(t.TempDir(), "packs.mod")
	if err := os.WriteFile(file, []byte(model(puzzles)), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(glpsol, "--cuts", "--math", file, "--tmlim", "8").CombinedOutput()
	if err != nil || !strings.Contains(string(out), "INTEGER OPTIMAL SOLUTION FOUND") {
		t.Fatalf("glpsol found no optimum: %v\n%.2000s", err, out)
	}
	costs := make([]float64, len(puzzles))
	lines := regexp.MustCompile(`(?m)^cost (\d+) (\S+)$`).FindAllSubmatch(out, -1)
	if len(lines) != len(puzzles) {
		t.Fatalf("glpsol printed %d costs of %d:\n%.2000s", len(lines), len(puzzles), out)
	}
	for _, l := range lines {
		k, err := strconv.Atoi(string(l[1]))
		if err != nil {
			t.Fatal(err)
		}
		if costs[k], err = strconv.ParseFloat(string(l[2]), 64); err != nil {
			t.Fatal(err)
		}
	}
	return costs
}

// GLPK (glpsol, as Debian packs it) solves the same search as an integer
// programme: fewest pieces within the tolerance, then least error. Both are whole
// numbers of micrometres, so the optimum must be the same to the last one.
func TestChooseAgainstGLPK(t *testing.T) {
	glpsol, err := exec.LookPath("glpsol")
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatalf("no reference to check against: %v", err)
	} else if err != nil {
		t.Skipf("no reference to check against: %v", err)
	}
	const rounds, together = 1000, 8
	var r lcg = 97
	none := 0
	for at := 0; at < rounds; at += together {
		puzzles := make([]puzzle, together)
		for k := range puzzles {
			p := puzzle{target: 500 + r.below(3500), tol: r.below(25), most: 1 + r.below(5)}
			for range 6 + r.below(9) {
				p.pieces = append(p.pieces, 50+r.below(1500))
			}
			puzzles[k] = p
		}
		for k, cost := range solve(t, glpsol, puzzles) {
			p := puzzles[k]
			got, fits := ourCost(p)
			if !fits {
				none++
			}
			if math.Abs(got-cost) > 1e-3 {
				t.Errorf("%+v: Choose has cost %v (fits: %v), GLPK %v", p, got, fits, cost)
			}
		}
	}
	if none == 0 || none > rounds*3/4 {
		t.Errorf("of %d puzzles %d have no pack; the check says little", rounds, none)
	}
}

// ourCost is the cost of the first pack that Choose lists, counted as model does.
func ourCost(p puzzle) (cost float64, fits bool) {
	var pieces []stack.Piece
	for i, µm := range p.pieces {
		pieces = append(pieces, stack.Piece{ID: fmt.Sprint(i), T: unit.Length(float64(µm) / 1e6)})
	}
	packs := stack.Choose(pieces, unit.Length(float64(p.target)/1e6), unit.Length(float64(p.tol)/1e6), p.most)
	if len(packs) == 0 {
		return float64((p.tol + 1) * (p.most + 1)), false
	}
	off := math.Round(math.Abs(float64(packs[0].Err)) * 1e6)
	return float64((p.tol+1)*len(packs[0].Pieces)) + off, true
}
