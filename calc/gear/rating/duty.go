package rating

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Step is a part of a duty: a load of the first gear and the time it lasts in s.
type Step struct {
	Load
	Time float64
}

// Damage is the part of a life that a duty uses up once, 1 being all of it.
type Damage struct{ Flank, Root [2]float64 }

// Worst returns the largest of the four, and how often the duty can be run until it
// comes to 1; +Inf if nothing is used up.
func (d Damage) Worst() (damage, repeats float64) {
	damage = max(d.Flank[0], d.Flank[1], d.Root[0], d.Root[1])
	return damage, 1 / damage
}

// Damage adds up what each step of a duty uses of the lives of flanks and roots,
// after Miner:
//
//	U = Σ n_i / N_i
//
// with n_i the load cycles of a gear in a step and N_i those it could bear at that
// stress times the safety. [ISO6336] part 6. A step above the static strength uses
// up everything: +Inf. The application factor should be 1: the duty is the load.
// It returns an error if a step is impossible; the message counts steps from 1.
func (r *Ready) Damage(duty []Step, flankSafety, rootSafety float64) (Damage, error) {
	if len(duty) == 0 {
		return Damage{}, fmt.Errorf("rating: a duty has at least one step")
	}
	if !(flankSafety >= 0.5 && flankSafety <= 10 && rootSafety >= 0.5 && rootSafety <= 10) {
		return Damage{}, fmt.Errorf("rating: safeties wanted are 0.5 to 10, got %g and %g", flankSafety, rootSafety)
	}
	var d Damage
	for k, step := range duty {
		s, err := r.At(step.Load)
		if err == nil && !(step.Time >= 0 && step.Time <= 1e12) {
			err = fmt.Errorf("rating: a time is 0 or more, got %g s", step.Time)
		}
		if err != nil {
			return Damage{}, fmt.Errorf("step %d: %w", k+1, err)
		}
		n := step.Time * step.Speed / (2 * math.Pi)
		if n == 0 || step.Torque == 0 {
			continue
		}
		for i := range 2 {
			line := r.flankLine(s, i)
			d.Flank[i] += n / line.Cycles(float64(s.Flank[i]/unit.Megapascal)*flankSafety/r.flankLimit[i])
			d.Root[i] += n / r.root[i].Cycles(float64(s.Root[i]/unit.Megapascal)*rootSafety/r.rootLimit[i])
			n /= r.mm.u
		}
	}
	return d, nil
}

// Equivalent returns the torque that wears as a duty does when it acts all the time:
//
//	T_eq = (Σ n_i T_i^p / Σ n_i)^(1/p)
//
// with the slope p of torque, for hard teeth about 6.6 at the flank (half the slope
// of stress) and 8.7 at the root. [ISO6336] part 6. It holds as long as every step
// wears by that slope. It returns an error if nothing turns or p is not 1 to 100.
func Equivalent(duty []Step, p float64) (unit.Torque, error) {
	if !(p >= 1 && p <= 100) {
		return 0, fmt.Errorf("rating: a slope is 1 to 100, got %g", p)
	}
	top, turns, sum := 0.0, 0.0, 0.0
	for _, s := range duty {
		top = max(top, float64(s.Torque))
	}
	for k, s := range duty {
		if !(s.Torque >= 0 && s.Speed >= 0 && s.Time >= 0 && s.Torque <= 1e7 && s.Speed*s.Time <= 1e20) {
			return 0, fmt.Errorf("rating: step %d: torque, speed and time are 0 or more, got %g, %g and %g", k+1, float64(s.Torque), s.Speed, s.Time)
		}
		n := s.Speed * s.Time
		turns += n
		if top > 0 {
			sum += n * math.Pow(float64(s.Torque)/top, p)
		}
	}
	if !(turns > 0) {
		return 0, fmt.Errorf("rating: nothing turns in this duty")
	}
	return unit.Torque(top * math.Pow(sum/turns, 1/p)), nil
}
