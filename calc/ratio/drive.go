package ratio

import (
	"fmt"
	"math"
)

// quad is a v² + b v + c, what is left to accelerate with.
type quad struct{ a, b, c float64 }

func (q quad) at(v float64) float64 { return (q.a*v+q.b)*v + q.c }

// left is the effort of a piece less the resistance of the road.
func (v Vehicle) left(p piece) quad {
	a, b, c := v.Road.quadratic()
	return quad{-a, p.s - b, p.f - c}
}

// root returns where q crosses 0 between two speeds at which it has not the same
// sign.
func (q quad) root(v0, v1 float64) float64 {
	// The stable form of the quadratic's roots; the one inside is taken.
	s := math.Sqrt(max(q.b*q.b-4*q.a*q.c, 0))
	h := -(q.b + math.Copysign(s, q.b)) / 2
	for _, x := range []float64{h / q.a, q.c / h} {
		if x >= v0-1e-9*(v1-v0) && x <= v1+1e-9*(v1-v0) {
			return min(max(x, v0), v1)
		}
	}
	return v0 // both ends are 0 within rounding
}

// Top is the speed that a vehicle holds.
type Top struct {
	Speed  float64 // m/s
	Gear   int     // counted from 0
	Engine float64 // rad/s
	Limit  bool    // the engine's limit holds it, not the road
}

// TopIn returns the top speed in one gear: the highest at which the effort still
// meets the resistance, or that of the engine's limit. It returns false if the
// gear cannot hold any speed.
func (v Vehicle) TopIn(gear int) (Top, bool) {
	ps := v.pieces(gear)
	for k := len(ps) - 1; k >= 0; k-- {
		p, q := ps[k], v.left(ps[k])
		end, begin := q.at(p.v1), q.at(p.v0)
		if end < 0 && begin < 0 {
			continue
		}
		at := p.v1
		if end < 0 {
			at = q.root(p.v0, p.v1)
		}
		return Top{at, gear, 2 * at * v.Ratios[gear] / float64(v.Wheel), end >= 0 && k == len(ps)-1}, true
	}
	return Top{}, false
}

// TopSpeed returns the fastest speed that any gear holds. It returns an error if
// none holds any.
func (v Vehicle) TopSpeed() (Top, error) {
	if err := v.Check(); err != nil {
		return Top{}, err
	}
	best, found := Top{}, false
	for g := range v.Ratios {
		if t, ok := v.TopIn(g); ok && (!found || t.Speed > best.Speed) {
			best, found = t, true
		}
	}
	if !found {
		return Top{}, fmt.Errorf("ratio: on this road the vehicle holds no speed in any gear: the effort is less than the resistance")
	}
	return best, nil
}

// ShiftPoint is where to shift up out of a gear.
type ShiftPoint struct {
	Gear          int     // the one to leave, counted from 0
	Speed         float64 // m/s
	Before, After float64 // engine speed, rad/s
	Limit         bool    // the engine's limit comes first
}

// ShiftPoints returns where each gear is best left: at the speed above which the
// next one accelerates more, the flywheel counted, or at the engine's limit. The
// shift is taken to lose nothing; one that loses much is better a little later. It
// returns an error where two gears leave a gap between them.
func (v Vehicle) ShiftPoints() ([]ShiftPoint, error) {
	if err := v.Check(); err != nil {
		return nil, err
	}
	var points []ShiftPoint
	if len(v.Ratios) == 0 {
		return nil, nil
	}
	low := v.pieces(0)
	for g := range len(v.Ratios) - 1 {
		high := v.pieces(g + 1)
		from, _ := v.Range(g + 1)
		_, to := v.Range(g)
		if from > to {
			return nil, fmt.Errorf("ratio: gear %d ends at %.4g m/s, before gear %d begins at %.4g: the engine would fall below its torque curve", g+1, to, g+2, from)
		}
		at, limit := v.crossing(low, high, g, from, to)
		k := 2 * at / float64(v.Wheel)
		points = append(points, ShiftPoint{g, at, k * v.Ratios[g], k * v.Ratios[g+1], limit})
		low = high
	}
	return points, nil
}

// crossing returns the speed above which gear g+1 accelerates at least as much as
// gear g all the way to the limit of g.
func (v Vehicle) crossing(low, high []piece, g int, from, to float64) (at float64, limit bool) {
	m0, m1 := v.EffectiveMass(g), v.EffectiveMass(g+1)
	i, j := len(low)-1, len(high)-1
	hi := to
	for hi > from {
		for j > 0 && high[j].v0 >= hi {
			j--
		}
		for i > 0 && low[i].v0 >= hi {
			i--
		}
		lo := max(low[i].v0, high[j].v0, from)
		a, b := v.left(low[i]), v.left(high[j])
		gain := quad{a.a/m0 - b.a/m1, a.b/m0 - b.b/m1, a.c/m0 - b.c/m1}
		switch {
		case gain.at(hi) > 0:
			return hi, hi == to
		case gain.at(lo) > 0:
			return gain.root(lo, hi), false
		}
		if lo >= hi {
			break
		}
		hi = lo
	}
	return from, false
}

// Leg is the time in one gear.
type Leg struct {
	Gear     int     // counted from 0
	From, To float64 // m/s
	Time     float64 // s, driving
	Distance float64 // m, driving
	Shift    float64 // time of the shift before it, s
}

// Run is an acceleration from one speed to another.
type Run struct {
	Time, Distance float64 // s and m, shifts counted
	Legs           []Leg
}

// Accelerate returns the quickest run from one speed to another in m/s, shifting up
// at the points of ShiftPoints. During a shift the vehicle rolls on without drive.
//
// With straight pieces of torque and a resistance of second degree the time of a
// piece is an integral of 1/(a v² + b v + c), which has a closed form, so nothing
// is stepped and the result is exact. At the start the clutch slips with the torque
// of the first point of the curve. It returns an error that names the speed at
// which the vehicle stops gaining.
func (v Vehicle) Accelerate(from, to float64) (Run, error) {
	if !(from >= 0 && to > from && to <= maxSpeed) {
		return Run{}, fmt.Errorf("ratio: a vehicle accelerates from a lower to a higher speed, got %g and %g m/s", from, to)
	}
	points, err := v.ShiftPoints()
	if err != nil {
		return Run{}, err
	}
	g := 0
	for g < len(points) && points[g].Speed <= from {
		g++
	}
	var run Run
	speed, shift := from, 0.0
	for {
		end := to
		if g < len(points) {
			end = min(to, points[g].Speed)
		}
		leg, err := v.leg(g, speed, end)
		if err != nil {
			return Run{}, err
		}
		leg.Shift = shift
		run.Legs = append(run.Legs, leg)
		run.Time += leg.Time + shift
		run.Distance += leg.Distance
		if speed = end; speed >= to {
			return run, nil
		}
		g++
		shift = v.Shift
		var rolled float64
		if speed, rolled, err = v.roll(speed, shift, g); err != nil {
			return Run{}, err
		}
		run.Distance += rolled
	}
}

// leg drives in one gear from one speed to another.
func (v Vehicle) leg(g int, from, to float64) (Leg, error) {
	out := Leg{Gear: g, From: from, To: to}
	m := v.EffectiveMass(g)
	at := from
	for _, p := range v.pieces(g) {
		lo, hi := max(p.v0, at), min(p.v1, to)
		if !(hi > lo) {
			continue
		}
		q := v.left(p)
		// Between the ends q bends downward, so it is least at one of them.
		if !(q.at(lo) > 0 && q.at(hi) > 0) {
			if q.at(lo) > 0 {
				at = q.root(lo, hi)
			}
			return Leg{}, fmt.Errorf("ratio: in gear %d it gains no more than %.4g m/s: resistance has met the effort", g+1, at)
		}
		t, s := q.integrals(lo, hi)
		out.Time += m * t
		out.Distance += m * s
		at = hi
	}
	if at < to-1e-9 {
		return Leg{}, fmt.Errorf("ratio: gear %d ends at %.4g m/s, the engine's limit", g+1, at)
	}
	return out, nil
}

// roll lets the vehicle run without drive for a time, by Runge and Kutta's fourth
// order in eight steps; it returns the speed then and the distance.
func (v Vehicle) roll(speed, time float64, next int) (left, distance float64, err error) {
	a, b, c := v.Road.quadratic()
	m := float64(v.Road.Mass) + v.WheelInertia*4/float64(v.Wheel*v.Wheel)
	slow := func(x float64) float64 { return -((a*x+b)*x + c) / m }
	const n = 8
	h := time / n
	x := speed
	for range n {
		k1 := slow(x)
		k2 := slow(x + h/2*k1)
		k3 := slow(x + h/2*k2)
		k4 := slow(x + h*k3)
		distance += h * (x + h/6*(k1+k2+k3))
		x += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
	}
	if lo, _ := v.Range(next); !(x >= lo && x > 0) {
		return 0, 0, fmt.Errorf("ratio: during a shift of %.4g s at %.4g m/s the vehicle slows to %.4g m/s, below the reach of gear %d", time, speed, max(x, 0), next+1)
	}
	return x, distance, nil
}

// integrals returns ∫ dv/q and ∫ v dv/q between two speeds, q above 0 there.
//
// With D = b² − 4ac and M = 2c + b(v0+v1) + 2a v0 v1 the first is
// 2/√D artanh(√D (v1−v0)/M), or with arctan where D < 0; both follow from the
// textbook integrals by the addition theorems, and lose nothing as a or D go to 0.
func (q quad) integrals(v0, v1 float64) (time, distance float64) {
	d := v1 - v0
	D := q.b*q.b - 4*q.a*q.c
	M := 2*q.c + q.b*(v0+v1) + 2*q.a*v0*v1
	x := math.Sqrt(math.Abs(D)) * d
	switch {
	case x < 1e-4*M:
		z := math.Copysign(x*x, D) / (M * M)
		time = 2 * d / M * (1 + z/3 + z*z/5)
	case D > 0:
		// artanh(x/M) with M² − x² = 4 q(v0) q(v1), which does not cancel.
		time = d / x * math.Log((M+x)*(M+x)/(4*q.at(v0)*q.at(v1)))
	default:
		time = 2 * d / x * math.Atan2(x, M)
	}
	q0, q1 := q.at(v0), q.at(v1)
	switch {
	case math.Abs(q1-q0) < 0.1*q0 && math.Abs(q.a)*d*d < 0.1*q0:
		distance = gauss(func(v float64) float64 { return v / q.at(v) }, v0, v1)
	case math.Abs(q.a)*(v0+v1) < 1e-7*math.Abs(q.b):
		distance = (d - q.c*time) / q.b
	default:
		distance = (math.Log(q1/q0) - q.b*time) / (2 * q.a)
	}
	return time, distance
}

// gauss integrates by Gauss and Legendre's rule of five points. Points and weights
// from memory; a test holds them to be exact to the ninth degree.
func gauss(f func(float64) float64, a, b float64) float64 {
	const x1, x2 = 0.5384693101056831, 0.9061798459386640
	const w0, w1, w2 = 0.5688888888888889, 0.4786286704993665, 0.2369268850561891
	m, h := (a+b)/2, (b-a)/2
	return h * (w0*f(m) + w1*(f(m-h*x1)+f(m+h*x1)) + w2*(f(m-h*x2)+f(m+h*x2)))
}
