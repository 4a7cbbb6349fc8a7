package strength

import (
	"math"
	"os"
	"strings"
	"testing"

	"endfloat/calc/bearing"
	"endfloat/calc/shaft"
	"endfloat/internal/gearbox"
)

func demoBox(t testing.TB, swap ...string) *gearbox.Box {
	t.Helper()
	text, err := os.ReadFile("../demo/bw-4t.gearbox.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s := strings.NewReplacer(swap...).Replace(string(text))
	box, err := gearbox.Read("bw-4t", []byte(s))
	if err != nil {
		t.Fatal(err)
	}
	return box
}

// mixed is a unit of series A that took the first and second gear of series B.
func mixed(b *gearbox.Box) gearbox.Built {
	as := b.As("A")
	for _, id := range []string{"P08", "P09", "P10", "P11", "P14", "P15", "P18", "Q08", "F04"} {
		as.Variants[id] = b.As("B").Variants[id]
	}
	return as
}

func uprated(t testing.TB, b *gearbox.Box, o Options) *Comparison {
	t.Helper()
	c, err := Compare(b, Design{"as made", b.As("A"), "A"}, Design{"as built", mixed(b), "B"}, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The demonstration: 22 kW against 34 kW. The pinion shaft of series A is the weakest
// link of a unit that took the wide hub but kept its shaft.
func TestWeakestLink(t *testing.T) {
	box := demoBox(t)
	c := uprated(t, box, Options{Draws: 2000, Seed: 1})
	p, ok := c.Weak()
	if !ok || p.After.Part != "pinion" || p.After.Kind != Section || p.After.Reserve >= 1 {
		t.Fatalf("weakest: %+v", p.After)
	}
	if s := c.Sheet(); s.Enough || !strings.Contains(s.Verdict, "under the sleeve of 1st") || !strings.Contains(s.Caution, "operator's engineer") {
		t.Errorf("sheet says %q", s.Verdict)
	}
	if math.Abs(c.Before.Power-22e3) > 50 || math.Abs(c.After.Power-34e3) > 50 {
		t.Errorf("powers %.0f and %.0f W", c.Before.Power, c.After.Power)
	}
	own := c.Before.Links[c.Before.Weakest]
	if own.Reserve < 1 {
		t.Errorf("as made it does not bear its own engine: %s, %.2f", own.Name, own.Reserve)
	}
	for _, q := range c.Pairs {
		if q.After.Torqued && q.After.Reserve < p.After.Reserve {
			t.Errorf("%s is weaker", q.After.Name)
		}
		if len(q.After.Grounds) == 0 {
			t.Errorf("%s rests on nothing", q.After.Name)
		}
		for _, g := range q.After.Grounds {
			if g.Says == "" || g.From == "" {
				t.Errorf("%s: a ground says nothing: %+v", q.After.Name, g)
			}
		}
	}
}

// Invented data never passes for fact; data from a listed source does.
func TestFactOrAssumption(t *testing.T) {
	facts := func(b *gearbox.Box) (n int) {
		for _, p := range uprated(t, b, Options{}).Pairs {
			for _, g := range p.After.Grounds {
				if strings.HasPrefix(g.From, "invented") && g.Fact {
					t.Errorf("%q passes for a fact", g.Says)
				}
				if g.Fact {
					n++
				}
			}
		}
		return n
	}
	a, b := facts(demoBox(t)), facts(demoBox(t, "from: invented for this example\n", "from: booklet 50\n"))
	if b <= a {
		t.Errorf("%d facts, %d once the booklet gives them", a, b)
	}
}

// Torque, power and forces through the box by hand: 13/46 turns torque by 46/13, power
// is what went in, and at every mesh the two gears press on each other alike.
func TestLoadPath(t *testing.T) {
	box := demoBox(t)
	m, err := rate(box, Design{"", box.As("A"), "A"})
	if err != nil {
		t.Fatal(err)
	}
	for _, st := range m.steps {
		p := &m.paths[st.path]
		if in, out := st.torque*st.speed, st.torque*p.ratio*st.speed/p.ratio; math.Abs(in-out) > 1e-9*math.Abs(in) {
			t.Errorf("speed %s: %g W in, %g out", p.mesh.Speed, in, out)
		}
		a := m.meshLoad(p, 0, 0.1, -m.sense*st.torque)
		b := m.meshLoad(p, 2, 0.1, m.sense*p.turns()*st.torque*p.ratio)
		if p.z[1] == 0 {
			for k := range 3 {
				if math.Abs(a.Force[k]+b.Force[k]) > 1e-6*a.Force.Radial() {
					t.Errorf("speed %s: the driver bears %v, the driven gear %v", p.mesh.Speed, a.Force, b.Force)
				}
			}
		}
		for i := range m.st.Shafts {
			s := &m.st.Shafts[i]
			loads, ok := m.loadsOn(s, st)
			if !ok {
				t.Fatalf("shaft %s", s.Carrier)
			}
			ax, err := m.axle(s)
			if err != nil {
				t.Fatal(err)
			}
			re, err := shaft.React(ax.a, ax.b, loads)
			if err != nil {
				t.Fatal(err)
			}
			torque, sum := 0.0, shaft.Vec{}
			my, mz := 0.0, 0.0
			for _, l := range loads {
				torque += l.Moment[0]
				my += l.Moment[1] - l.At*l.Force[2]
				mz += l.Moment[2] + l.At*l.Force[1]
				for k := range 3 {
					sum[k] += l.Force[k]
				}
			}
			my -= ax.a*re.A[2] + ax.b*re.B[2]
			mz += ax.a*re.A[1] + ax.b*re.B[1]
			scale := 1 + sum.Radial()
			if math.Abs(torque) > 1e-9*scale || math.Abs(sum[1]+re.A[1]+re.B[1]) > 1e-9*scale || math.Abs(sum[2]+re.A[2]+re.B[2]) > 1e-9*scale || math.Abs(my) > 1e-9*scale || math.Abs(mz) > 1e-9*scale {
				t.Errorf("shaft %s in speed %s is not in balance: torque %g, moments %g and %g", s.Carrier, p.mesh.Speed, torque, my, mz)
			}
		}
	}
	// 126 N·m at the 13 teeth of 1st on a reference circle of 31.73 mm is 7943 N, by hand.
	for _, s := range m.done.Speeds {
		if s.Name == "1" && (math.Abs(s.Tangential-2*124/(0.0022500*13/math.Cos(22.8*math.Pi/180))) > 1 || math.Abs(s.Out-124*46.0/13) > 0.01) {
			t.Errorf("speed 1: %.0f N, %.1f N·m", s.Tangential, s.Out)
		}
	}
}

// Between crown wheel and pinion the forces are one and the same, and the spiral
// that pushes the pinion away in drive draws it in when the engine holds back. By hand,
// tan 20° and 8/37 teeth, straight: radial and axial 0.3557 and 0.0769 of the tangential.
func TestBevelForces(t *testing.T) {
	c := cone{r1: 0.02, r2: 0.0925, δ1: math.Atan2(8, 37), pressure: 20 * math.Pi / 180, away: true}
	tan, radial, along := c.forces(20, true)
	if math.Abs(tan-1000) > 1e-9 || math.Abs(radial-355.75) > 0.1 || math.Abs(along-76.92) > 0.1 {
		t.Errorf("straight: %g, %g, %g", tan, radial, along)
	}
	c.spiral = 35 * math.Pi / 180
	_, r1, a1 := c.forces(20, true)
	_, r2, a2 := c.forces(20, false)
	// The normal force is the same whichever flank bears.
	if n1, n2 := r1*r1+a1*a1, r2*r2+a2*a2; math.Abs(n1-n2) > 1e-6*n1 || a1 <= 0 || a2 >= 0 {
		t.Errorf("drive %g %g, coast %g %g", r1, a1, r2, a2)
	}
}

// More torque never lengthens a life nor adds to a reserve.
func TestMonotony(t *testing.T) {
	box := demoBox(t)
	weaker := demoBox(t, "torque: 0.55", "torque: 0.60", "torque: 0.80", "torque: 0.85", "torque: 1.00,", "torque: 1.05,")
	a, err := rate(box, Design{"", box.As("B"), "B"})
	if err != nil {
		t.Fatal(err)
	}
	b, err := rate(weaker, Design{"", weaker.As("B"), "B"})
	if err != nil {
		t.Fatal(err)
	}
	moved := 0
	for i := range a.done.Links {
		x, y := &a.done.Links[i], &b.done.Links[i]
		if y.Life > x.Life || y.Reserve > x.Reserve*(1+1e-9) {
			t.Errorf("%s %s: life %g to %g, reserve %g to %g", x.Name, x.Kind, x.Life, y.Life, x.Reserve, y.Reserve)
		}
		if y.Reserve < x.Reserve {
			moved++
		}
		if x.wear == nil {
			continue
		}
		last := math.Inf(1)
		for _, load := range []float64{0.5, 0.8, 1, 1.2, 1.5, 2} {
			if l := x.wear(load, 1); l > last {
				t.Errorf("%s %s: life grows at a load of %g", x.Name, x.Kind, load)
			} else {
				last = l
			}
		}
	}
	if moved < 20 {
		t.Errorf("only %d links felt it", moved)
	}
}

// 1.4 times the torque leaves a roller bearing 0.326 of its life, (1/1.4)^(10/3), and a
// ball bearing 0.364: [ISO281], whether its rating is known or not.
func TestRelativeLife(t *testing.T) {
	box := demoBox(t, "B: {full torque: [160 N·m at 600 rpm, 186 N·m at 1000 rpm, 192 N·m at 1400 rpm, 180.4 N·m at 1800 rpm]",
		"B: {full torque: [151.2 N·m at 600 rpm, 173.6 N·m at 1000 rpm, 176.4 N·m at 1400 rpm, 163.38 N·m at 1800 rpm]")
	c, err := Compare(box, Design{"", box.As("A"), "A"}, Design{"", box.As("A"), "B"}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, p := range c.Pairs {
		want := math.Pow(1.4, -10.0/3)
		switch p.After.Part {
		case "P02", "Q14", "D16", "D17":
		default:
			continue
		}
		seen++
		if p.After.Kind == Rolling && math.Abs(p.Times-want) > 1e-6 {
			t.Errorf("%s keeps %.4f of its life, want %.4f", p.After.Name, p.Times, want)
		}
	}
	if seen != 4 || short(math.Pow(1.4, -10.0/3)) != "0.33" {
		t.Errorf("%d bearings", seen)
	}
}

// The life of one bearing by hand from the reactions of each step.
func TestBearingLifeByHand(t *testing.T) {
	box := demoBox(t)
	m, err := rate(box, Design{"", box.As("A"), "A"})
	if err != nil {
		t.Fatal(err)
	}
	s := &m.st.Shafts[0]
	wear := 0.0
	for _, st := range m.steps {
		loads, _ := m.loadsOn(s, st)
		re, err := shaft.React(0.012, 0.214, loads)
		if err != nil {
			t.Fatal(err)
		}
		l, err := bearing.Life(31e3, re.B.Radial(), bearing.Roller)
		if err != nil {
			t.Fatal(err)
		}
		wear += st.share * st.speed / (2 * math.Pi) / l
	}
	for _, l := range m.done.Links {
		if l.Part == "Q14" && math.Abs(l.Life*wear-1) > 1e-9 {
			t.Errorf("life %g s, by hand %g", l.Life, 1/wear)
		}
	}
}

// The same seed gives the same draws, another one nearly the same; more doubt never
// narrows the spread.
func TestDraws(t *testing.T) {
	box := demoBox(t)
	a, b, c := uprated(t, box, Options{5000, 1}), uprated(t, box, Options{5000, 1}), uprated(t, box, Options{5000, 2})
	wide := uprated(t, demoBox(t, "torque factor: 1.00 ± 0.15", "torque factor: 1.00 ± 0.30"), Options{5000, 1})
	all := 0.0
	for i := range a.Pairs {
		p, q, r := a.Pairs[i], b.Pairs[i], c.Pairs[i]
		all += p.Weakest
		if !p.After.Torqued || p.After.Reserve != p.After.Reserve {
			continue
		}
		if p.Low != q.Low || p.High != q.High {
			t.Errorf("%s: one seed, two answers", p.After.Name)
		}
		if math.Abs(p.Low-r.Low) > 0.05*p.Low {
			t.Errorf("%s: %.3f and %.3f by two seeds", p.After.Name, p.Low, r.Low)
		}
		if w := wide.Pairs[i]; w.High-w.Low <= p.High-p.Low {
			t.Errorf("%s: twice the doubt, no more spread", p.After.Name)
		}
		if !(p.Low < p.After.Reserve && p.After.Reserve < p.High) {
			t.Errorf("%s: %.2f is not within %.2f to %.2f", p.After.Name, p.After.Reserve, p.Low, p.High)
		}
	}
	if math.Abs(all-1) > 1e-9 {
		t.Errorf("one link is the weakest in every draw; the shares add up to %g", all)
	}
}

// What is missing is said, with the mend.
func TestWhatIsMissing(t *testing.T) {
	box := demoBox(t, "from: invented for this example\n", "from: bench\n", "  vehicle: {mass: 4.2 t, wheel: 510, rolling: 0.006, drag area: 4.5, efficiency: 0.92, grade: 0.025, limit: 25 km/h, shift: 1.5 s}\n", "", "    I: 0.150\n", "")
	c := uprated(t, box, Options{})
	all := strings.Join(c.Missing, "\n")
	for _, want := range []string{"D16 side bearing left cone: only compared", "vehicle: with mass and wheel", "write I, J of pinion"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not said in\n%s", want, all)
		}
	}
	if _, err := Compare(box, Design{"", box.As("A"), "Z"}, Design{"", box.As("A"), "A"}, Options{}); err == nil || !strings.Contains(err.Error(), `no engine of series "Z"`) {
		t.Errorf("an engine that is not there: %v", err)
	}
	box.Strength = nil
	if _, err := Compare(box, Design{"", box.As("A"), "A"}, Design{"", box.As("A"), "A"}, Options{}); err == nil || !strings.Contains(err.Error(), `add a part "strength"`) {
		t.Errorf("no strength: %v", err)
	}
}

func BenchmarkCompare(b *testing.B) {
	box := demoBox(b)
	for b.Loop() {
		uprated(b, box, Options{})
	}
}

func BenchmarkDraws(b *testing.B) {
	box := demoBox(b)
	for b.Loop() {
		uprated(b, box, Options{Draws: 10000, Seed: 1})
	}
}
