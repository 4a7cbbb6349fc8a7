package plan_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/plan"
)

// A person who does any step that can be done now, in whatever order, always
// comes to the end: of taking apart and of building up. On the way nothing goes
// on before what is under it, and nothing comes off from under what is on.
func TestAnyOrderEnds(t *testing.T) {
	for _, c := range []struct {
		series string
		walks  int
	}{{"A", 2}, {"B", 1}, {"", 10}} {
		for n := range c.walks {
			r := rand.New(rand.NewPCG(uint64(n), 17))
			b := begin(t, c.series)
			stripAll(b, r)
			v := buildAll(b, r)
			for _, p := range b.box.All() {
				if len(v.At[p.ID]) == 0 {
					t.Errorf("%s, walk %d: %s never went on", b.box.Name, n, p.Label())
				}
			}
			for _, f := range v.Findings {
				if f.Kind == plan.Hold || f.Kind == plan.Stray || f.Kind == plan.Loose && !strings.HasPrefix(f.Key, "setting/") {
					t.Errorf("%s, walk %d: at the end: %s", b.box.Name, n, f.Says)
				}
			}
		}
	}
}

func stripAll(b *book, r *rand.Rand) {
	v := b.view()
	for len(v.Strip) > 0 {
		now := slices.DeleteFunc(slices.Clone(v.Strip), func(s plan.Step) bool { return !s.Now() })
		if len(now) == 0 {
			b.t.Fatalf("%s cannot be taken apart further: %s waits for %s", b.box.Name, v.Strip[0].Title, waits(&v.Strip[0]))
		}
		p := now[r.IntN(len(now))].Position
		for _, q := range b.box.Over(p.ID) {
			if len(v.At[q.ID]) > 0 {
				b.t.Fatalf("%s may come off under %s", p.Label(), q.Label())
			}
		}
		v = b.add(off(p.ID)...).view()
	}
	for _, p := range b.box.All() {
		if len(v.At[p.ID]) > 0 {
			b.t.Errorf("%s is still on, and no step takes it off", p.Label())
		}
	}
}

// buildAll does steps that can be done until only settings are left. Only where
// nothing else can be done does it pass what holds for want of readings.
func buildAll(b *book, r *rand.Rand) *plan.View {
	for n := 0; n < 5*len(b.box.All())+20; n++ {
		v := b.view()
		var now []plan.Step
		left := ""
		for _, s := range v.Build {
			switch {
			case s.Do == "set" || s.Do == "answer":
			case s.Now():
				now = append(now, s)
			default:
				left += s.Title + " waits for " + waits(&s) + "\n"
			}
		}
		if len(now) > 0 {
			b.do(v, now[r.IntN(len(now))])
			continue
		}
		if left == "" {
			return v
		}
		if !b.passSettings(v) {
			b.t.Fatalf("%s: a dead end: %s", b.box.Name, left)
		}
	}
	b.t.Fatal("the building never ends")
	return nil
}

func (b *book) do(v *plan.View, s plan.Step) {
	p := s.Position
	switch s.Do {
	case "test":
		b.test(v, s.Test)
	case "heat":
		h, _ := v.HeatFor(p, 20)
		b.add(job.Heated{Position: p.ID, Oven: "as wanted", SI: h.Oven})
	case "decide":
		b.add(job.Decided{Position: p.ID, Choice: "reuse"})
	case "fit":
		for _, q := range b.box.Under(p.ID) {
			if len(v.At[q.ID]) == 0 {
				b.t.Fatalf("%s may go on before %s", p.Label(), q.Label())
			}
		}
		tag := job.Tag("L", p.ID)
		if p.Once {
			tag = "N-" + p.ID
			b.add(job.Added{Piece: job.Piece{Tag: tag, Position: p.ID, Variant: v.Built.Variants[p.ID]}, Place: "shelf"})
		}
		b.add(fit(p.ID, tag))
	case "torque":
		want, _ := p.Torque.SI(v.Built)
		b.add(job.Torqued{Position: p.ID, Method: "wrench", Reading: "as wanted", Torque: want})
	case "lock":
		b.add(job.Locked{Position: p.ID, How: p.Lock.Text(v.Built), Photos: []string{"photo"}})
	default:
		b.t.Fatalf("a step to %q", s.Do)
	}
}

// test fills in a test as it should come out.
func (b *book) test(v *plan.View, name string) {
	t, ok := v.TestOf(name)
	if !ok {
		b.t.Fatalf("a step to test %q, which there is not", name)
	}
	figures := map[string]string{"start": "0.20", "end": "0.20", "minutes": "10", "volume": "2.1 L", "oil": "as the file has it", "load": "10", "by whom": "a licensed firm"}
	values := map[string]string{}
	for _, f := range t.Fields {
		switch {
		case f.Key == "crown wheel":
			values[f.Key] = v.Side()
		case name == plan.SpinTest && f.Key == "R":
			values[f.Key] = "backward"
		case len(f.Choices) > 0:
			values[f.Key] = f.Choices[0]
		case !f.Optional:
			values[f.Key] = figures[f.Key]
		}
	}
	done, err := v.Judge(name, values)
	if err != nil || !done.Good {
		b.t.Fatalf("%s: %s, %v", name, done.Says, err)
	}
	b.add(done)
}

func (b *book) passSettings(v *plan.View) bool {
	passed := false
	for _, f := range v.Findings {
		if f.Kind == plan.Hold && strings.HasPrefix(f.Key, plan.Key("hold", "setting")) {
			b.add(job.Allowed{Hold: f.Key, Why: "this walk takes no readings"})
			passed = true
		}
	}
	return passed
}

// Whatever is done, also what no step offers, the view is worked out and the
// steps that can be done now have all that is under them.
func TestAnyFacts(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range 12 {
		b := begin(t, "A")
		all := b.box.All()
		for range 40 {
			p := all[r.IntN(len(all))]
			switch r.IntN(5) {
			case 0, 1:
				b.add(off(p.ID)...)
			case 2:
				b.add(fit(p.ID, job.Tag("L", p.ID)))
			case 3:
				b.add(job.Torqued{Position: p.ID, Torque: 24, Trial: r.IntN(2) == 0})
			default:
				b.add(job.Locked{Position: p.ID, How: "wire"})
			}
		}
		v := b.view()
		for _, s := range v.Build {
			if s.Do != "fit" || !s.Now() {
				continue
			}
			for _, q := range b.box.Under(s.Position.ID) {
				if len(v.At[q.ID]) == 0 {
					t.Fatalf("%s may go on before %s", s.Position.Label(), q.Label())
				}
			}
		}
	}
}
