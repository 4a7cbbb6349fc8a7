// Package runout reads a dial that was turned once round a part: how far the part
// is off centre, where its high point is, how much of the reading is form and not
// offset. It indexes two parts so that their offsets cancel, and tells what
// run-out does to backlash.
//
// Run-out is the whole swing of the dial (TIR); a pure offset e shows a run-out of
// 2e. Angles count from the first reading in the order of reading. The model is one
// wave a turn; what is left over is called form error, be it lobes, dents or a
// shaky dial.
//
// Source: [ROUND], two-dimensional roundness, for the estimates; backlash derived.
package runout

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Offset is an eccentricity and the angle of its high point.
type Offset struct {
	E  unit.Length
	At unit.Angle
}

// RunOut returns the swing of a dial that the offset alone makes, 2e.
func (o Offset) RunOut() unit.Length { return 2 * o.E }

// Wave is what the readings of one turn say.
type Wave struct {
	Offset
	Mean      unit.Length
	RunOut    unit.Length   // largest less smallest reading
	Form      unit.Length   // the same of what the offset leaves over
	Residuals []unit.Length // reading less fitted wave
	Scatter   unit.Length   // standard deviation of a residual, with N − 3 degrees of freedom
	UE        unit.Length   // standard uncertainty of E
	UAt       unit.Angle    // standard uncertainty of At, at most π/√3: anywhere
	Share     float64       // of the variance of the readings that the wave explains, 0 to 1
}

// most keeps a pasted file from being a dial.
const most = 10_000

// Fit fits one wave a turn to four or more readings at equal steps round the part.
// u is the standard uncertainty of one reading; it is used where the scatter of
// the residuals, which may be small by luck, is smaller.
//
//	c = Σr/N,  a = (2/N) Σ r cos θ,  b = (2/N) Σ r sin θ,  θ = 2πk/N
//	e = √(a² + b²),  high point at atan2(b, a)
//	u(e) = s √(2/N),  u(high point) = u(e)/e
//
// [ROUND]. Waves of 2 to N − 2 a turn do not enter e; one of N − 1 does: four
// readings cannot tell three lobes from an offset.
func Fit(readings []unit.Length, u unit.Length) (Wave, error) {
	n := len(readings)
	if n < 4 || n > most {
		return Wave{}, fmt.Errorf("runout: a turn is read at 4 to %d equal steps, got %d readings", most, n)
	}
	if !(u >= 0 && u < 1) {
		return Wave{}, fmt.Errorf("runout: the standard uncertainty of a reading is 0 or more, got %s", show(u))
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for k, r := range readings {
		if !(math.Abs(float64(r)) < 1) {
			return Wave{}, fmt.Errorf("runout: reading %d, %s, is no reading of a dial", k+1, show(r))
		}
		lo, hi = min(lo, float64(r)), max(hi, float64(r))
	}
	// Readings are taken from the first, which keeps the digits of small swings.
	first, mean, a, b := float64(readings[0]), 0.0, 0.0, 0.0
	for k, r := range readings {
		sin, cos := sincos(k, n)
		x := (float64(r) - first) / float64(n)
		mean, a, b = mean+x, a+2*x*cos, b+2*x*sin
	}
	w := Wave{
		Offset: Offset{unit.Length(math.Hypot(a, b)), turn(math.Atan2(b, a))},
		Mean:   unit.Length(first + mean), RunOut: unit.Length(hi - lo),
	}
	w.leftOver(readings, first, mean, a, b)
	w.UE = max(w.Scatter, u) * unit.Length(math.Sqrt(2/float64(n)))
	w.UAt = unit.Angle(math.Pi / math.Sqrt(3))
	if w.E > 0 {
		w.UAt = min(w.UAt, unit.Angle(w.UE/w.E))
	}
	return w, nil
}

// leftOver fills in what the wave a cos θ + b sin θ leaves of the readings.
func (w *Wave) leftOver(readings []unit.Length, first, mean, a, b float64) {
	n := len(readings)
	w.Residuals = make([]unit.Length, n)
	lo, hi, ssr, sst := math.Inf(1), math.Inf(-1), 0.0, 0.0
	for k, r := range readings {
		sin, cos := sincos(k, n)
		d := float64(r) - first - mean
		rest := d - a*cos - b*sin
		w.Residuals[k] = unit.Length(rest)
		lo, hi = min(lo, rest), max(hi, rest)
		ssr, sst = ssr+rest*rest, sst+d*d
	}
	w.Form = unit.Length(hi - lo)
	w.Scatter = unit.Length(math.Sqrt(ssr / float64(n-3)))
	if sst > 0 {
		w.Share = max(0, 1-ssr/sst)
	}
}

func sincos(k, n int) (sin, cos float64) {
	return math.Sincos(2 * math.Pi * float64(k) / float64(n))
}

// turn brings an angle into one turn from 0.
func turn(a float64) unit.Angle {
	a = math.Mod(a, 2*math.Pi)
	if a < 0 {
		a += 2 * math.Pi
	}
	if a >= 2*math.Pi {
		a = 0
	}
	return unit.Angle(a)
}

// Seen returns the least share of the run-out of a pure offset that n readings at
// equal steps show, whatever the place of the first: cos(π/n) for even n and
// (1 + cos(π/n))/2 for odd. 0.707 for four, 0.924 for eight. It returns an error
// for fewer than two readings.
func Seen(n int) (float64, error) {
	switch c := math.Cos(math.Pi / float64(n)); {
	case n < 2:
		return 0, fmt.Errorf("runout: it takes 2 or more readings to see a run-out, got %d", n)
	case n%2 == 0:
		return c, nil
	default:
		return (1 + c) / 2, nil
	}
}

func show(l unit.Length) string { return fmt.Sprintf("%.6g mm", float64(l/unit.Millimetre)) }
