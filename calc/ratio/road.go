package ratio

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// gravity is the standard one, exact by definition. [SP811].
const gravity = 9.80665

// Road is what resists a vehicle on a road, a field or a track.
type Road struct {
	Mass     unit.Mass
	Rolling  float64 // coefficient of rolling resistance at a crawl
	Rising   float64 // by how much that rises for each m/s
	Curve    float64 // what a curve of the track adds to it; CurveOf
	DragArea float64 // drag coefficient times frontal area, m²
	Air      float64 // density of air, kg/m³
	Grade    float64 // rise over run, below 0 downhill
}

// HighwayRolling returns the coefficients of a paved road for Road, at a crawl and
// rising for each m/s: 0.01 (1 + V/147), V in ft/s. [MW] chapter 2.
func HighwayRolling() (rolling, rising float64) { return 0.01, 0.01 / 147 / 0.3048 }

// CurveOf returns what a railway curve adds to the rolling coefficient: 0.8 lb a
// short ton for each degree of curve, the angle that a chord of 100 ft spans.
// [TR0603] paragraph 2.8, standard gauge; no figure for narrow gauge is known. It
// returns an error unless the radius is more than half the chord.
func CurveOf(radius unit.Length) (float64, error) {
	const half = 50 * 0.3048
	if !(radius > half) {
		return 0, fmt.Errorf("ratio: a curve of %.4g m radius is less than half the chord of %.4g m by which curves are counted", float64(radius), 2*half)
	}
	degrees := 2 * math.Asin(half/float64(radius)) * 180 / math.Pi
	return 0.8 / 2000 * degrees, nil
}

// Load is a resistance in its parts.
type Load struct{ Rolling, Grade, Air unit.Force }

// Total returns the sum of the parts.
func (l Load) Total() unit.Force { return l.Rolling + l.Grade + l.Air }

// At returns what resists at a speed in m/s, with θ = atan Grade.
//
//	rolling  m g cos θ (f + f' v + f_curve)
//	grade    m g sin θ
//	air      ρ C_d A v² / 2
//
// Many books take the grade itself for its sine and 1 for the cosine; on 12 % that
// is 0.7 % more. It returns an error for a road that cannot be.
func (r Road) At(v float64) (Load, error) {
	if err := r.check(); err != nil {
		return Load{}, err
	}
	if !(v >= 0 && v <= maxSpeed) {
		return Load{}, fmt.Errorf("ratio: a speed of %g m/s is none of a vehicle on the ground", v)
	}
	s, c := r.slope()
	w := float64(r.Mass) * gravity
	return Load{
		Rolling: unit.Force(w * c * (r.Rolling + r.Curve + r.Rising*v)),
		Grade:   unit.Force(w * s),
		Air:     unit.Force(r.Air * r.DragArea / 2 * v * v),
	}, nil
}

// maxSpeed in m/s is faster than anything on wheels.
const maxSpeed = 1000

// slope returns sine and cosine of the angle of the grade.
func (r Road) slope() (s, c float64) {
	c = 1 / math.Hypot(1, r.Grade)
	return r.Grade * c, c
}

// quadratic returns the resistance as a v² + b v + c.
func (r Road) quadratic() (a, b, c float64) {
	s, co := r.slope()
	w := float64(r.Mass) * gravity
	return r.Air * r.DragArea / 2, w * co * r.Rising, w * (co*(r.Rolling+r.Curve) + s)
}

func (r Road) check() error {
	switch {
	case !(r.Mass > 0 && r.Mass <= 1e8):
		return fmt.Errorf("ratio: a vehicle has a mass above 0, got %g kg", float64(r.Mass))
	case !(r.Rolling >= 0 && r.Rolling <= 1 && r.Curve >= 0 && r.Curve <= 1):
		return fmt.Errorf("ratio: a coefficient of rolling resistance is 0 to 1, got %g and %g for the curve", r.Rolling, r.Curve)
	case !(r.Rising >= 0 && r.Rising <= 1):
		return fmt.Errorf("ratio: rolling resistance rises by 0 to 1 for each m/s, got %g", r.Rising)
	case !(r.DragArea >= 0 && r.DragArea <= 1000 && r.Air >= 0 && r.Air <= 10):
		return fmt.Errorf("ratio: a drag area of %g m² in air of %g kg/m³ is none of a vehicle", r.DragArea, r.Air)
	case !(math.Abs(r.Grade) <= 1):
		return fmt.Errorf("ratio: a grade of %.4g is steeper than one in one", r.Grade)
	}
	return nil
}

// Hauled returns the mass that a force at the hook keeps moving at a crawl on this
// road, F / (g (sin θ + (f + f_curve) cos θ)). It returns an error if the road pulls
// by itself.
func (r Road) Hauled(pull unit.Force) (unit.Mass, error) {
	r.Mass = 1
	l, err := r.At(0)
	if err != nil {
		return 0, err
	}
	if !(l.Total() > 0) || !(pull >= 0 && pull <= 1e9) {
		return 0, fmt.Errorf("ratio: %g N on this road set no limit to the load", float64(pull))
	}
	return unit.Mass(pull / l.Total()), nil
}

// SpeedOf returns the speed in m/s that a power in W at the wheels holds on the
// road: the one root above 0 of v·(a v² + b v + c) = P. A gear that lets the engine
// give its greatest power there makes it the top speed. It returns an error if
// nothing holds the vehicle back.
func (r Road) SpeedOf(power float64) (float64, error) {
	if err := r.check(); err != nil {
		return 0, err
	}
	if !(power > 0 && power <= 1e9) {
		return 0, fmt.Errorf("ratio: power at the wheels lies above 0, got %g W", power)
	}
	a, b, c := r.quadratic()
	v := 1.0
	for ; v*(v*(v*a+b)+c) < power; v *= 2 {
		if v > maxSpeed {
			return 0, fmt.Errorf("ratio: nothing on this road holds the vehicle below %d m/s; enter its drag and rolling resistance", maxSpeed)
		}
	}
	// From above Newton's steps fall to the root: the curve bends upward there.
	for range 60 {
		step := (v*(v*(v*a+b)+c) - power) / (3*a*v*v + 2*b*v + c)
		v -= step
		if math.Abs(step) <= 1e-14*v {
			break
		}
	}
	return v, nil
}
