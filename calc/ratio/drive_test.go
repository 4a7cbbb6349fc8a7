package ratio_test

import (
	"math"
	"testing"

	"endfloat/calc/ratio"
	"endfloat/calc/unit"
)

// With a force that does not change the closed form is textbook: v = v_t tanh(t/τ),
// s = (m/k) ln cosh(t/τ). By hand: 3000 N on the car, 0 to 100 km/h in 12.1599 s;
// after 10 s 23.1204 m/s and 117.098 m.
func TestConstantForce(t *testing.T) {
	// A clutch that slips gives a constant force at any speed below the curve.
	v := ratio.Vehicle{Engine: flat(900, 100, 101), Ratios: []float64{1}, Efficiency: 1, Wheel: .6, Road: plain}
	near(t, "force", v.EffortAt(0, 5), 3000, 1e-9)
	f0, k := 3000-.013*1200*gn, 1.2*.665/2
	vt, τ := math.Sqrt(f0/k), 1200/math.Sqrt(f0*k)
	near(t, "v_t", vt, 84.471, 5e-4)
	near(t, "τ", τ, 35.604, 5e-4)
	run := must(v.Accelerate(0, 100*kmh))
	near(t, "0 to 100", run.Time, 12.1599, 5e-5)
	run = must(v.Accelerate(0, 23.1204))
	near(t, "10 s", run.Time, 10, 5e-5)
	near(t, "distance", run.Distance, 117.098, 1e-3)
	for _, to := range []float64{.01, 3, 15, 29} {
		run = must(v.Accelerate(0, to))
		tt := τ * math.Atanh(to/vt)
		near(t, "time", run.Time, tt, 1e-11*(1+tt))
		near(t, "distance", run.Distance, 1200/k*math.Log(math.Cosh(tt/τ)), 1e-9)
	}
}

// At constant power without drag t = m (v2² − v1²)/(2 P): 50 kW, 10 to 30 m/s, 9.6 s.
// A curve of straight pieces comes to it as they grow short.
func TestConstantPower(t *testing.T) {
	v := ratio.Vehicle{Ratios: []float64{1}, Efficiency: 1, Wheel: 2, Road: ratio.Road{Mass: 1200}}
	for x := 9.0; x < 31; x += .05 {
		v.Engine.Curve = append(v.Engine.Curve, ratio.Point{Speed: x, Torque: unit.Torque(50e3 / x)})
		if len(v.Engine.Curve) == 200 {
			break
		}
	}
	// 200 points are the most that is taken: they reach 18.95 m/s.
	run := must(v.Accelerate(10, 18))
	near(t, "time", run.Time, 1200*(18*18-100)/(2*50e3), 2e-5)
	near(t, "9.6 s", 1200*(900.-100)/(2*50e3), 9.6, 1e-12)
}

// The exact integration against small steps, through all gears and shifts, with
// the flywheel, a grip that cuts first gear, rolling that rises and a hill.
func TestIntegrationAgainstSteps(t *testing.T) {
	v := car()
	v.Grip, v.Road.Rising, v.Road.Grade = 3900, 1e-4, .03
	run := must(v.Accelerate(0, 30))
	points := must(v.ShiftPoints())
	force := func(g int, x float64) float64 {
		c, i, r := v.Engine.Curve, v.Ratios[g], .6136/2
		ω := max(x*i/r, c[0].Speed)
		return min(float64(v.Engine.Torque(ω))*i*v.Efficiency/r, 3900)
	}
	load := func(x float64) float64 { return float64(must(v.Road.At(x)).Total()) }
	step := func(g int, x, h float64) float64 {
		a := func(x float64) float64 {
			if g < 0 {
				return -load(x) / (1200 + v.WheelInertia*4/(.6136*.6136))
			}
			return (force(g, x) - load(x)) / v.EffectiveMass(g)
		}
		k1 := a(x)
		k2 := a(x + h/2*k1)
		return x + h*k2
	}
	x, s, time, g := 0.0, 0.0, 0.0, 0
	const h = 2e-4
	for x < 30 {
		n := step(g, x, h)
		s += h * (x + n) / 2
		x, time = n, time+h
		if g < len(points) && x >= points[g].Speed {
			for range int(v.Shift / h) {
				n := step(-1, x, h)
				s += h * (x + n) / 2
				x, time = n, time+h
			}
			g++
		}
	}
	near(t, "time", run.Time, time, 2e-3)
	near(t, "distance", run.Distance, s, .05)
	sum := 0.0
	for _, l := range run.Legs {
		sum += l.Time + l.Shift
	}
	near(t, "legs", sum, run.Time, 1e-12)
}

// Energy: what the engine gives at the wheels less what the road takes is what
// the vehicle gains. In one gear, by sums over small pieces of the run.
func TestEnergyOfARun(t *testing.T) {
	v := car()
	const n = 4000
	given, taken := 0.0, 0.0
	for k := range n {
		a, b := 4+6*float64(k)/n, 4+6*float64(k+1)/n
		run := must(v.Accelerate(a, b))
		given += v.EffortAt(0, (a+b)/2) * run.Distance
		taken += float64(must(v.Road.At((a+b)/2)).Total()) * run.Distance
	}
	near(t, "gain", given-taken, v.EffectiveMass(0)/2*(100-16), 1)
}

// At top speed effort and resistance are one, and just below it the run takes
// without end: the time to 1 − 10⁻ⁿ of it grows by as much for each n.
func TestTopSpeedHeld(t *testing.T) {
	v := car()
	v.Road.Grade = .05
	top := must(v.TopSpeed())
	near(t, "balance", v.EffortAt(top.Gear, top.Speed), float64(must(v.Road.At(top.Speed)).Total()), 1e-7)
	if top.Limit {
		t.Error("the road holds it, not the engine")
	}
	near(t, "engine", ratio.Speed(top.Engine, v.Ratios[top.Gear], v.Wheel), top.Speed, 1e-9)
	v.Ratios, v.Shift = []float64{v.Ratios[top.Gear]}, 0
	at := func(n int) float64 { return must(v.Accelerate(0, top.Speed*(1-math.Pow(10, -float64(n))))).Time }
	near(t, "one decade like the next", at(5)-at(4), at(6)-at(5), 1e-3*(at(6)-at(5)))
	if _, err := v.Accelerate(0, top.Speed*1.001); err == nil {
		t.Error("it went past its top speed")
	}
	// By hand, a short gear: the engine's limit comes first.
	v = car()
	v.Ratios = v.Ratios[:1]
	top = must(v.TopSpeed())
	near(t, "limit", top.Speed, 5500*rpm*.3068/14.8, 1e-9)
	if !top.Limit {
		t.Error("the engine holds it")
	}
	// Scanned: no gear holds anything faster.
	v = car()
	v.Road.Grade = .02
	top = must(v.TopSpeed())
	for g := range v.Ratios {
		for x := top.Speed + .01; x < 80; x += .01 {
			if f := v.EffortAt(g, x); f > 0 && f >= float64(must(v.Road.At(x)).Total()) {
				t.Fatalf("gear %d holds %.3f m/s, more than %.3f", g+1, x, top.Speed)
			}
		}
	}
	v.Road.Grade = .9
	if got, err := v.TopSpeed(); err == nil {
		t.Errorf("%+v up a wall", got)
	}
}

// Shift points against a scan of the accelerations; and against runs with other
// points, none of which is quicker.
func TestShiftPoints(t *testing.T) {
	for _, inertia := range []float64{0, .15, .6} {
		v := car()
		v.Engine.Inertia, v.Shift = inertia, 0
		for _, p := range must(v.ShiftPoints()) {
			a := func(g int, x float64) float64 {
				return (v.EffortAt(g, x) - float64(must(v.Road.At(x)).Total())) / v.EffectiveMass(g)
			}
			lo, _ := v.Range(p.Gear + 1)
			_, hi := v.Range(p.Gear)
			want := lo
			for x := hi - 1e-9; x > lo; x -= 1e-3 {
				if a(p.Gear, x) > a(p.Gear+1, x) {
					want = x
					break
				}
			}
			near(t, "shift point", p.Speed, want, 2e-3)
			if !p.Limit {
				near(t, "as good on either side", a(p.Gear, p.Speed), a(p.Gear+1, p.Speed), 1e-9)
			}
			near(t, "after", p.After, ratio.UpShift(p.Before, v.Ratios[p.Gear], v.Ratios[p.Gear+1]), 1e-9)
		}
	}
	// Torque that does not fall: hold every gear to the limit.
	v := car()
	v.Engine = flat(100, 1000*rpm, 5500*rpm)
	for _, p := range must(v.ShiftPoints()) {
		if !p.Limit {
			t.Errorf("gear %d is left early: %+v", p.Gear+1, p)
		}
	}
	v.Ratios = []float64{20, 2}
	if _, err := v.ShiftPoints(); err == nil {
		t.Error("a gap between gears was not found")
	}
}

func TestPeakPower(t *testing.T) {
	e := car().Engine
	power, ω := e.Peak()
	for n := 1000.0; n <= 5500; n++ {
		if p := n * rpm * float64(e.Torque(n*rpm)); p > power+1e-6 {
			t.Fatalf("%g W at %g rpm is more than %g W at %g", p, n, power, ω/rpm)
		}
	}
	near(t, "power", float64(e.Torque(ω))*ω, power, 1e-9)
}

// The steepest grade is that on which the resistance is the effort.
func TestSteepest(t *testing.T) {
	v := car()
	for g := range v.Ratios {
		lo, hi := v.Range(g)
		x := (lo + hi) / 2
		v.Road.Grade = 0
		grade := must(v.Steepest(g, x))
		v.Road.Grade = grade
		near(t, "balance", float64(must(v.Road.At(x)).Total()), v.EffortAt(g, x), 1e-6)
	}
	if _, err := v.Steepest(3, 1); err == nil {
		t.Error("top gear climbed at a crawl")
	}
	v.Ratios, v.Road.Grade = []float64{400}, 0
	near(t, "no steeper than one in one", must(v.Steepest(0, .1)), 1, 0)
}

func TestRunsThatEnd(t *testing.T) {
	v := car()
	for what, change := range map[string]func(*ratio.Vehicle){
		"too slow a shift":  func(v *ratio.Vehicle) { v.Shift, v.Road.Grade = 20, .15 },
		"beyond the engine": func(v *ratio.Vehicle) { v.Ratios = []float64{14.8} },
		"up a wall":         func(v *ratio.Vehicle) { v.Road.Grade = 1 },
		"no mass":           func(v *ratio.Vehicle) { v.Road.Mass = 0 },
		"gears upside down": func(v *ratio.Vehicle) { v.Ratios = []float64{3, 4} },
		"no curve":          func(v *ratio.Vehicle) { v.Engine.Curve = nil },
		"curve turned":      func(v *ratio.Vehicle) { v.Engine.Curve = []ratio.Point{{300, 1}, {200, 1}} },
		"grip NaN":          func(v *ratio.Vehicle) { v.Grip = unit.Force(math.NaN()) },
		"no gears":          func(v *ratio.Vehicle) { v.Ratios = nil },
		"efficiency":        func(v *ratio.Vehicle) { v.Efficiency = 1.1 },
	} {
		w := v
		change(&w)
		if run, err := w.Accelerate(0, 30); err == nil {
			t.Errorf("%s: %+v", what, run)
		}
	}
	if _, err := v.Accelerate(30, 20); err == nil {
		t.Error("it slowed down")
	}
}

// The best set against all sets, over random shelves.
func TestBestAgainstAll(t *testing.T) {
	seed := uint64(3)
	random := func() float64 {
		seed = seed*6364136223846793005 + 1442695040888963407
		return float64(seed>>11) / (1 << 53)
	}
	found := 0
	for range 3000 {
		shelf := make([][]float64, 2+int(random()*4))
		for k := range shelf {
			for range 1 + int(random()*4) {
				shelf[k] = append(shelf[k], math.Round((4.2-.7*float64(k)+random()*1.6)*20)/20)
			}
		}
		w := ratio.Wish{}
		if random() < .6 {
			w.First = 4 + 2*random()
		}
		if random() < .6 {
			w.Top = .8 + 3*random()
		}
		got, err := ratio.Best(shelf, w)
		want, ok := all(shelf, w)
		if (err == nil) != ok {
			t.Fatalf("%v %+v: %v, by trying all %v", shelf, w, err, ok)
		}
		if ok {
			found++
			if g := score(got.Ratios, w); less(want, g) {
				t.Fatalf("%v %+v: chose %v with %v, all sets have %v", shelf, w, got.Ratios, g, want)
			}
		}
	}
	if found < 1000 {
		t.Errorf("only %d shelves had a set", found)
	}
}

// score is what Best makes least, in order.
func score(r []float64, w ratio.Wish) [4]float64 {
	s := [4]float64{0: max(0, w.First-r[0])}
	if w.Top > 0 {
		s[1] = math.Abs(math.Log(r[len(r)-1] / w.Top))
	}
	for _, step := range ratio.Steps(r) {
		s[2] = max(s[2], step)
		s[3] += math.Log(step) * math.Log(step)
	}
	return s
}

func less(a, b [4]float64) bool {
	for k := range a {
		if math.Abs(a[k]-b[k]) > 1e-9 {
			return a[k] < b[k]
		}
	}
	return false
}

func all(shelf [][]float64, w ratio.Wish) (best [4]float64, ok bool) {
	var try func(r []float64)
	try = func(r []float64) {
		if k := len(r); k < len(shelf) {
			for _, i := range shelf[k] {
				if k == 0 || i < r[k-1] {
					try(append(r, i))
				}
			}
			return
		}
		if s := score(r, w); !ok || less(s, best) {
			best, ok = s, true
		}
	}
	try(nil)
	return best, ok
}

// Our own shelf of change gears: three gears with two ratios each.
func TestBestOwnShelf(t *testing.T) {
	shelf := [][]float64{{36. / 13}, {33. / 16, 32. / 17}, {30. / 20, 29. / 21}, {27. / 23, 26. / 24}}
	s := must(ratio.Best(shelf, ratio.Wish{}))
	near(t, "largest step", s.Largest, 33./16*20/30, 1e-12)
	if want := []int{0, 0, 0, 0}; s.Pick[1] != want[1] || s.Pick[2] != want[2] {
		t.Errorf("picked %v", s.Pick)
	}
	s = must(ratio.Best(shelf, ratio.Wish{Top: 1.05}))
	near(t, "top", s.Ratios[3], 26./24, 1e-12)
	near(t, "off", s.Off, 26./24/1.05, 1e-12)
	s = must(ratio.Best(shelf, ratio.Wish{First: 3}))
	near(t, "short", s.Short, 3-36./13, 1e-12)
	for _, bad := range [][][]float64{nil, {{}}, {{1}, {2}}, {{math.NaN()}}} {
		if got, err := ratio.Best(bad, ratio.Wish{}); err == nil {
			t.Errorf("%v gave %+v", bad, got)
		}
	}
}

// The diagram of a gear is its effort, and the road's parts add up.
func TestEffortLine(t *testing.T) {
	v := car()
	v.Grip = 3900
	for g := range v.Ratios {
		line := v.Effort(g)
		for _, p := range line {
			near(t, "effort", p.Force, v.EffortAt(g, p.Speed), 1e-6)
			if p.Force > 3900+1e-9 {
				t.Errorf("gear %d pulls %g N past the grip", g+1, p.Force)
			}
		}
		lo, hi := v.Range(g)
		if line[0].Speed != lo || line[len(line)-1].Speed != hi {
			t.Errorf("gear %d: %v does not span %g to %g", g+1, line, lo, hi)
		}
	}
}

func FuzzAccelerate(f *testing.F) {
	f.Add(14.8, 8.6, 90., 110., 80., 0.05, 1e-4, 3000., .3, 25.)
	f.Add(3., 2.9, 1., 0., 1., -.3, 0., 0., 0., 1e-9)
	f.Fuzz(func(t *testing.T, i1, i2, t0, t1, t2, grade, rising, grip, shift, to float64) {
		v := car()
		v.Ratios, v.Grip, v.Shift = []float64{i1, i2}, unit.Force(grip), shift
		v.Road.Grade, v.Road.Rising = grade, rising
		v.Engine.Curve = []ratio.Point{{100, unit.Torque(t0)}, {300, unit.Torque(t1)}, {500, unit.Torque(t2)}}
		run, err := v.Accelerate(0, to)
		if err == nil && !(run.Time > 0 && run.Distance >= 0 && !math.IsInf(run.Time, 0) && !math.IsInf(run.Distance, 0)) {
			t.Fatalf("%+v", run)
		}
		if _, err := v.TopSpeed(); err != nil {
			return
		}
	})
}

func BenchmarkAccelerate(b *testing.B) {
	v := car()
	for b.Loop() {
		if _, err := v.Accelerate(0, 30); err != nil {
			b.Fatal(err)
		}
	}
}
