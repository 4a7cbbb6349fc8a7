package choose

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// programme writes a problem as an integer programme in the CPLEX LP format,
// which GLPK reads: x takes an option, z breaks a soft rule, y says which value
// the columns of a rule agree on.
func programme(p Problem) string {
	var goal, rows, names []string
	name := func(format string, args ...any) string {
		n := fmt.Sprintf(format, args...)
		names = append(names, n)
		return n
	}
	spend := make([][]string, len(p.Budgets))
	pay := func(unit int, c Cost, v string) {
		goal = append(goal, fmt.Sprintf("+ %d %s", c.Sum(), v))
		for b, budget := range p.Budgets {
			if budget.Unit < 0 || budget.Unit == unit {
				spend[b] = append(spend[b], fmt.Sprintf("+ %d %s", c.Price, v))
			}
		}
	}
	lots := make([][]string, len(p.Lots))
	for s, slot := range p.Slots {
		var one []string
		for o, opt := range slot.Options {
			x := name("x%d_%d", s, o)
			one = append(one, "+ "+x)
			pay(slot.Unit, opt.Cost, x)
			if opt.Lot > 0 {
				lots[opt.Lot-1] = append(lots[opt.Lot-1], "+ "+x)
			}
		}
		rows = append(rows, strings.Join(one, " ")+" = 1")
	}
	for l, xs := range lots {
		if len(xs) > 0 {
			rows = append(rows, fmt.Sprintf("%s <= %d", strings.Join(xs, " "), p.Lots[l].Count))
		}
	}
	for i, r := range p.Rules {
		z := ""
		if r.Soft {
			z = name("z%d", i)
			pay(r.Unit, r.Break, z)
		}
		rows = append(rows, ruleRows(r, i, z, name)...)
	}
	for b, xs := range spend {
		rows = append(rows, fmt.Sprintf("%s <= %d", strings.Join(xs, " "), p.Budgets[b].Most))
	}
	return "Minimize\n " + strings.Join(goal, "\n ") + "\nSubject To\n " + strings.Join(rows, "\n ") + "\nBinary\n " + strings.Join(names, "\n ") + "\nEnd\n"
}

func ruleRows(r Rule, i int, z string, name func(string, ...any) string) []string {
	var rows []string
	if r.Alike {
		y := map[int64]string{}
		var all []string
		for _, c := range r.Of {
			for o, v := range c.Values {
				if v == Any {
					continue
				}
				if y[v] == "" {
					y[v] = name("y%d_%d", i, len(y))
					all = append(all, "+ "+y[v])
				}
				rows = append(rows, fmt.Sprintf("x%d_%d - %s <= 0", c.Slot, o, y[v]))
			}
		}
		if len(all) > 1 {
			if z != "" {
				all = append(all, fmt.Sprintf("- %d %s", len(all), z))
			}
			rows = append(rows, strings.Join(all, " ")+" <= 1")
		}
		return rows
	}
	var terms, slack []string
	big := int64(1)
	for _, c := range r.Of {
		most := int64(0)
		for o, v := range c.Values {
			if v == Any {
				slack = append(slack, fmt.Sprintf("x%d_%d", c.Slot, o))
				continue
			}
			terms = append(terms, fmt.Sprintf("+ %d x%d_%d", v, c.Slot, o))
			most = max(most, max(v, -v))
		}
		big += most
	}
	if z != "" {
		slack = append(slack, z)
	}
	for side, bound := range map[string]int64{">=": r.Lo, "<=": r.Hi} {
		if bound == NoLo || bound == NoHi || len(terms) == 0 && len(slack) == 0 {
			continue
		}
		row, sign := strings.Join(terms, " "), "+"
		if side == "<=" {
			sign = "-"
		}
		for _, s := range slack {
			row += fmt.Sprintf(" %s %d %s", sign, big+max(bound, -bound), s)
		}
		rows = append(rows, fmt.Sprintf("%s %s %d", row, side, bound))
	}
	return rows
}

// glpk lets GLPK solve a problem; impossible when it has no solution.
func glpk(t *testing.T, glpsol string, p Problem) (cost Money, impossible bool) {
	t.Helper()
	dir := t.TempDir()
	file, out := filepath.Join(dir, "choose.lp"), filepath.Join(dir, "choose.out")
	if err := os.WriteFile(file, []byte(programme(p)), 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command(glpsol, "--cuts", "--lp", file, "-o", out, "--tmlim", "30").CombinedOutput()
	if err != nil {
		t.Fatalf("glpsol: %v\n%.2000s", err, text)
	}
	if slices.ContainsFunc([]string{"HAS NO PRIMAL FEASIBLE", "HAS NO INTEGER FEASIBLE", "NO PRIMAL FEASIBLE SOLUTION"}, func(s string) bool { return strings.Contains(string(text), s) }) {
		return 0, true
	}
	res, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`(?m)^Objective:\s+\S+ = (\S+)`).FindSubmatch(res)
	if m == nil || !strings.Contains(string(text), "INTEGER OPTIMAL SOLUTION FOUND") {
		t.Fatalf("glpsol found no optimum:\n%.3000s", text)
	}
	f, err := strconv.ParseFloat(string(m[1]), 64)
	if err != nil {
		t.Fatal(err)
	}
	return Money(f + 0.5), false
}

// GLPK (glpsol, as Debian packs it) solves the same problem as an integer
// programme and comes to the same cost, or finds it impossible too.
func TestSolveAgainstGLPK(t *testing.T) {
	glpsol, err := exec.LookPath("glpsol")
	if err != nil && os.Getenv("CI") == "true" {
		t.Fatalf("no reference to check against: %v", err)
	} else if err != nil {
		t.Skipf("no reference to check against: %v", err)
	}
	var r lcg = 5
	var ps []Problem
	for range 25 {
		ps = append(ps, instance(&r, size{units: 3, positions: 12, options: 4, lots: 60, rules: 9, budgets: r.one(3), sums: r.one(2)}))
	}
	for seed := range lcg(6) {
		p := workshop(seed+20, 2, 40, 110, 40)
		if a, err := Solve(p); err != nil {
			t.Fatal(err)
		} else if seed%2 == 1 {
			p.Budgets = []Budget{{-1, a.Cost.Price * 9 / 10, "spend less"}}
		}
		ps = append(ps, p)
	}
	ps = append(ps, workshop(1, 3, 150, 600, 200))
	none := 0
	for i, p := range ps {
		a, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		if !a.Proven {
			t.Errorf("problem %d: not proven in %d nodes", i, a.Nodes)
			continue
		}
		cost, impossible := glpk(t, glpsol, p)
		if impossible != (a.Choice == nil) || !impossible && cost != a.Cost.Sum() {
			t.Errorf("problem %d: cost %d (found: %v), GLPK %d (impossible: %v)", i, a.Cost.Sum(), a.Choice != nil, cost, impossible)
		}
		if impossible {
			none++
		}
	}
	if none == 0 || none > len(ps)*2/3 {
		t.Errorf("of %d problems %d are impossible: the check says little", len(ps), none)
	}
}
