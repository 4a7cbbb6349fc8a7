package choose

import (
	"fmt"
	"slices"
	"testing"
	"time"
)

// Every answer is as good as the best of all choices tried one by one, a
// problem is found impossible when none of them will do, and then the clash is
// one: none of its groups can be spared, and without any one the rest can be.
func TestSolveAgainstEveryChoice(t *testing.T) {
	var r lcg = 7
	compared, impossible, budgets, passed := 0, 0, 0, 0
	for round := range 2000 {
		n := size{units: 1 + r.below(3), positions: 1 + r.below(3), options: 4, lots: r.below(6), rules: r.below(7), budgets: r.one(3), ranks: r.one(4), sums: r.one(2)}
		p := instance(&r, n)
		if choices(p) > 20000 {
			continue
		}
		compared++
		_, want := brute(p)
		a, err := Solve(p)
		if err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		if !a.Proven {
			t.Fatalf("round %d: not proven after %d nodes", round, a.Nodes)
		}
		switch {
		case want == nil && a.Choice == nil:
			impossible++
			checkClash(t, p, a.Clash)
		case want == nil || a.Choice == nil:
			t.Fatalf("round %d: found %v, every choice tried gives %v", round, a.Choice, want)
		case slices.Compare(byRank(p, a.Verdict), want) != 0:
			t.Fatalf("round %d: cost %v, least of all %v", round, byRank(p, a.Verdict), want)
		}
		if len(p.Budgets) > 0 && a.Choice != nil {
			budgets++
		}
		if len(a.Passed) > 0 {
			passed++
		}
	}
	if compared < 1000 || impossible < 100 || budgets < 100 || passed < 100 {
		t.Errorf("%d compared, %d impossible, %d with budgets, %d with soft rules passed: the check says little", compared, impossible, budgets, passed)
	}
}

// only keeps of a problem the named groups.
func only(p Problem, names []string) Problem {
	q := p
	q.Rules, q.Budgets = nil, nil
	q.Lots = slices.Clone(p.Lots)
	for l := range q.Lots {
		q.Lots[l].Count = 1 << 20
	}
	for _, g := range groups(p) {
		if !slices.Contains(names, g.name) {
			continue
		}
		for _, i := range g.rules {
			q.Rules = append(q.Rules, p.Rules[i])
		}
		if g.lot > 0 {
			q.Lots[g.lot-1] = p.Lots[g.lot-1]
		}
		if g.budget > 0 {
			q.Budgets = append(q.Budgets, p.Budgets[g.budget-1])
		}
	}
	for _, r := range p.Rules {
		if r.Soft {
			q.Rules = append(q.Rules, r)
		}
	}
	return q
}

func checkClash(t *testing.T, p Problem, c *Clash) {
	t.Helper()
	if c == nil || !c.Smallest || c.Text() == "" {
		t.Fatalf("impossible without a proven clash: %+v", c)
	}
	if _, cost := brute(only(p, c.Groups)); cost != nil {
		t.Fatalf("%v do not clash", c.Groups)
	}
	for i := range c.Groups {
		if _, cost := brute(only(p, slices.Delete(slices.Clone(c.Groups), i, i+1))); cost == nil {
			t.Fatalf("%v clash without %s", c.Groups, c.Groups[i])
		}
	}
}

// The alternatives are the next best in order, each unlike those before it.
func TestAlternativesAgainstEveryChoice(t *testing.T) {
	var r lcg = 11
	seen := 0
	for round := range 300 {
		p := instance(&r, size{units: 1 + r.below(2), positions: 1 + r.below(3), options: 4, lots: r.below(4), rules: r.below(5), budgets: r.one(4)})
		a, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		if a.Choice == nil || choices(p) > 5000 {
			continue
		}
		got, err := Alternatives(p, a, 3)
		if err != nil {
			t.Fatal(err)
		}
		q, last := p, a.Choice
		for i := range 3 {
			q.Rules = append(slices.Clone(q.Rules), unlike(p, last))
			_, want := brute(q)
			if want == nil {
				if len(got) > i {
					t.Fatalf("round %d: %d alternatives, there are only %d", round, len(got), i)
				}
				break
			}
			if len(got) <= i || got[i].Cost.Sum() != want[0] {
				t.Fatalf("round %d: alternative %d of %+v costs %v", round, i, got, want)
			}
			if len(got[i].Instead) == 0 || !got[i].Proven {
				t.Errorf("round %d: alternative %d does not say what it takes instead, or is not proven", round, i)
			}
			last = got[i].Choice
			seen++
		}
	}
	if seen < 200 {
		t.Errorf("only %d alternatives compared", seen)
	}
}

// A large bench is solved and proven.
func TestWorkshop(t *testing.T) {
	for seed := range lcg(4) {
		p := workshop(seed+1, 3, 150, 600, 200)
		begin := time.Now()
		a, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		if !a.Proven || a.Choice == nil || a.Nodes > 5000 {
			t.Errorf("seed %d: proven %v, choice %v, %d nodes", seed, a.Proven, a.Choice != nil, a.Nodes)
		}
		t.Logf("seed %d: %d rules, %d soft passed, cost %d in %d nodes, %v", seed, len(p.Rules), len(a.Passed), a.Cost.Sum(), a.Nodes, time.Since(begin))
	}
}

// A budget over all is kept, proven, and not met by paying more than it asks.
func TestWorkshopBudget(t *testing.T) {
	p := workshop(2, 3, 150, 600, 200)
	free, err := Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	p.Budgets = []Budget{{-1, free.Cost.Price * 8 / 10, "spend less"}}
	a, err := Solve(p)
	if err != nil || !a.Proven || a.Cost.Price > p.Budgets[0].Most || a.Cost.Sum() < free.Cost.Sum() {
		t.Errorf("proven %v at %v of %v, %v; without a budget %v", a.Proven, a.Cost, p.Budgets[0].Most, err, free.Cost)
	}
}

// A search that reaches its limit says so: what it found is sound, and what it
// says any choice costs at least is no more than the best does.
func TestLimit(t *testing.T) {
	p := workshop(4, 3, 150, 600, 200)
	best, err := Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	proven, found := 0, 0
	for _, p.Limit = range []int{1, 50, 300, 450, 500, 550, 590, 1000} {
		a, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		if a.AtLeast > best.Cost.Sum() || a.Proven && a.Cost != best.Cost && a.Cost.Sum() != best.Cost.Sum() || a.Clash != nil {
			t.Errorf("limit %d: at least %v, cost %v, proven %v; the best costs %v", p.Limit, a.AtLeast, a.Cost, a.Proven, best.Cost)
		}
		if a.Choice != nil {
			found++
			if v := Evaluate(p, a.Choice); len(v.Broken) > 0 || v.Cost.Sum() < best.Cost.Sum() {
				t.Errorf("limit %d: %v", p.Limit, v)
			}
		}
		if a.Proven {
			proven++
		}
	}
	if proven == 0 || proven == 8 || found <= proven {
		t.Errorf("%d of 8 proven, %d found: the check says little", proven, found)
	}
}

// Three units of 150 positions, 600 pieces, 200 rules a unit: solved and proven,
// several makes of it, for one alone may be an easy one.
func BenchmarkSolve(b *testing.B) {
	for seed := range lcg(4) {
		p := workshop(seed+1, 3, 150, 600, 200)
		b.Run(fmt.Sprint("workshop ", seed+1), func(b *testing.B) {
			for b.Loop() {
				if a, err := Solve(p); err != nil || !a.Proven || a.Choice == nil {
					b.Fatalf("not proven: %v", err)
				}
			}
		})
	}
}
