package ratio

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Point is a torque of an engine at a speed in rad/s.
type Point struct {
	Speed  float64
	Torque unit.Torque
}

// Engine is a curve of full torque, straight between its points, and an inertia in
// kg·m² of all that turns at engine speed. The last point is its limit, or where a
// governor holds it.
type Engine struct {
	Curve   []Point
	Inertia float64
}

// Torque returns the full torque at a speed in rad/s, 0 outside the curve.
func (e Engine) Torque(ω float64) unit.Torque {
	for i := 1; i < len(e.Curve); i++ {
		if a, b := e.Curve[i-1], e.Curve[i]; ω >= a.Speed && ω <= b.Speed {
			return a.Torque + (b.Torque-a.Torque)*unit.Torque((ω-a.Speed)/(b.Speed-a.Speed))
		}
	}
	return 0
}

// Peak returns the greatest power in W and the speed in rad/s at which it stands.
func (e Engine) Peak() (power, ω float64) {
	try := func(at float64) {
		if p := at * float64(e.Torque(at)); p > power {
			power, ω = p, at
		}
	}
	for i, b := range e.Curve {
		try(b.Speed)
		if i == 0 {
			continue
		}
		// On a straight piece ω (T0 + s ω) has its top at −T0/(2 s).
		a := e.Curve[i-1]
		s := float64(b.Torque-a.Torque) / (b.Speed - a.Speed)
		if top := -(float64(a.Torque) - s*a.Speed) / (2 * s); s < 0 && top > a.Speed && top < b.Speed {
			try(top)
		}
	}
	return power, ω
}

func (e Engine) check() error {
	if len(e.Curve) < 2 || len(e.Curve) > 200 {
		return fmt.Errorf("ratio: a torque curve has 2 to 200 points, got %d", len(e.Curve))
	}
	for i, p := range e.Curve {
		if !(p.Speed > 0 && p.Speed < 1e5 && p.Torque >= 0 && p.Torque < 1e7) {
			return fmt.Errorf("ratio: point %d of the torque curve, %g N·m at %g rad/s, is none of an engine", i+1, float64(p.Torque), p.Speed)
		}
		if i > 0 && !(p.Speed > e.Curve[i-1].Speed) {
			return fmt.Errorf("ratio: the points of a torque curve stand in order of speed; point %d does not", i+1)
		}
	}
	if !(e.Inertia >= 0 && e.Inertia <= 1e4) {
		return fmt.Errorf("ratio: an engine's inertia is 0 or more, got %g kg·m²", e.Inertia)
	}
	return nil
}

// Vehicle is an engine, the gears, the wheels and the road.
type Vehicle struct {
	Engine       Engine
	Ratios       []float64   // engine turns for one of the wheel, first gear first
	Efficiency   float64     // from engine to wheel
	Wheel        unit.Length // rolling diameter
	WheelInertia float64     // of all wheels and what turns with them, kg·m²
	Road         Road
	Grip         unit.Force // most that the driven wheels pass on; 0 if it is not known
	Shift        float64    // time without drive at each shift, s
}

// Check reports what cannot be in a vehicle. The methods that return an error
// begin with it; the others take a vehicle that was checked.
func (v Vehicle) Check() error {
	if err := v.Road.check(); err != nil {
		return err
	}
	if err := v.Engine.check(); err != nil {
		return err
	}
	switch {
	case len(v.Ratios) < 1 || len(v.Ratios) > maxSpeeds:
		return fmt.Errorf("ratio: a vehicle has 1 to %d gears, got %d", maxSpeeds, len(v.Ratios))
	case !(v.Efficiency > 0 && v.Efficiency <= 1):
		return fmt.Errorf("ratio: an efficiency lies above 0 and is at most 1, got %g", v.Efficiency)
	case !(v.Wheel > 0 && v.Wheel < 20):
		return fmt.Errorf("ratio: a wheel of %g m across is none", float64(v.Wheel))
	case !(v.WheelInertia >= 0 && v.WheelInertia <= 1e6):
		return fmt.Errorf("ratio: the wheels' inertia is 0 or more, got %g kg·m²", v.WheelInertia)
	case !(v.Grip >= 0 && v.Grip <= 1e9 && v.Shift >= 0 && v.Shift <= 60):
		return fmt.Errorf("ratio: a grip of %g N or a shift of %g s cannot be", float64(v.Grip), v.Shift)
	}
	for k, i := range v.Ratios {
		if !(i > 1e-3 && i < 1e6) || k > 0 && !(i < v.Ratios[k-1]) {
			return fmt.Errorf("ratio: the gears stand from the first, which has the largest ratio, upward; gear %d with %.4g does not", k+1, i)
		}
	}
	return nil
}

// Range returns the speeds in m/s between which a gear, counted from 0, can drive:
// those of the ends of the torque curve. In the first gear the clutch slips below
// that, with the torque of the first point.
func (v Vehicle) Range(gear int) (lo, hi float64) {
	c := v.Engine.Curve
	lo, hi = Speed(c[0].Speed, v.Ratios[gear], v.Wheel), Speed(c[len(c)-1].Speed, v.Ratios[gear], v.Wheel)
	if gear == 0 {
		lo = 0
	}
	return lo, hi
}

// piece is a stretch of speed on which the tractive effort is f + s·v.
type piece struct{ v0, v1, f, s float64 }

func (p piece) effort(v float64) float64 { return p.f + p.s*v }

// pieces returns the tractive effort of a gear as straight pieces, from low to
// high: torque · ratio · efficiency / radius, cut off by the grip.
func (v Vehicle) pieces(gear int) []piece {
	c, i := v.Engine.Curve, v.Ratios[gear]
	k := 2 * i * v.Efficiency / float64(v.Wheel)
	out := make([]piece, 0, 2*len(c))
	if gear == 0 {
		out = v.gripped(out, piece{0, Speed(c[0].Speed, i, v.Wheel), k * float64(c[0].Torque), 0})
	}
	for j := 1; j < len(c); j++ {
		v0, v1 := Speed(c[j-1].Speed, i, v.Wheel), Speed(c[j].Speed, i, v.Wheel)
		s := k * float64(c[j].Torque-c[j-1].Torque) / (v1 - v0)
		out = v.gripped(out, piece{v0, v1, k*float64(c[j-1].Torque) - s*v0, s})
	}
	return out
}

// gripped adds a piece, cut where it comes to the grip.
func (v Vehicle) gripped(out []piece, p piece) []piece {
	g := float64(v.Grip)
	if g == 0 || p.effort(p.v0) <= g && p.effort(p.v1) <= g {
		return append(out, p)
	}
	if p.effort(p.v0) >= g && p.effort(p.v1) >= g {
		return append(out, piece{p.v0, p.v1, g, 0})
	}
	at := min(max((g-p.f)/p.s, p.v0), p.v1)
	low, high := p, p
	low.v1, high.v0 = at, at
	if p.s > 0 {
		high.f, high.s = g, 0
	} else {
		low.f, low.s = g, 0
	}
	return append(out, low, high)
}

// At is a force in N at a speed in m/s.
type At struct{ Speed, Force float64 }

// Effort returns the tractive effort of a gear as points with straight lines
// between them, from low speed to high: the diagram of the gear.
//
//	F = T i η / r
func (v Vehicle) Effort(gear int) []At {
	var line []At
	for _, p := range v.pieces(gear) {
		if len(line) == 0 {
			line = append(line, At{p.v0, p.effort(p.v0)})
		}
		line = append(line, At{p.v1, p.effort(p.v1)})
	}
	return line
}

// EffortAt returns the tractive effort of a gear in N at a speed in m/s, 0 outside
// its range.
func (v Vehicle) EffortAt(gear int, speed float64) float64 {
	for _, p := range v.pieces(gear) {
		if speed >= p.v0 && speed <= p.v1 {
			return p.effort(speed)
		}
	}
	return 0
}

// EffectiveMass returns the mass in kg that a gear has to accelerate, what turns
// counted: m + (J_e i² + J_w)/r². In a low gear the flywheel weighs most.
func (v Vehicle) EffectiveMass(gear int) float64 {
	r, i := float64(v.Wheel)/2, v.Ratios[gear]
	return float64(v.Road.Mass) + (v.Engine.Inertia*i*i+v.WheelInertia)/(r*r)
}

// Steepest returns the steepest grade, rise over run, that a gear climbs at a
// steady speed in m/s. It returns an error if the gear cannot drive there.
func (v Vehicle) Steepest(gear int, speed float64) (float64, error) {
	if err := v.Check(); err != nil {
		return 0, err
	}
	r := v.Road
	f := v.EffortAt(gear, speed)
	if f == 0 {
		lo, hi := v.Range(gear)
		return 0, fmt.Errorf("ratio: gear %d drives from %.4g to %.4g m/s, not at %.4g", gear+1, lo, hi, speed)
	}
	w := float64(r.Mass) * gravity
	roll := r.Rolling + r.Curve + r.Rising*speed
	// F − air = W (sin θ + roll cos θ) = W √(1 + roll²) sin(θ + atan roll).
	x := (f - r.Air*r.DragArea/2*speed*speed) / (w * math.Hypot(1, roll))
	if x >= math.Sin(math.Pi/4+math.Atan(roll)) {
		return 1, nil
	}
	if x <= -1 {
		return -1, nil
	}
	return math.Tan(math.Asin(x) - math.Atan(roll)), nil
}
