package setup

import (
	"math"
	"slices"

	"endfloat/calc/runout"
	"endfloat/calc/stack"
	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// steelScale is the expansion of the instruments, 1/K: they are of steel.
// Common practice, no source.
const steelScale = 11.5e-6

// tempU is the standard uncertainty of a temperature reading, K.
const tempU = 1.0

// Mean is what a set of readings comes to, at 20 °C.
type Mean struct {
	Value, U float64
	Shared   float64 // the part of U that other readings of the instrument share
	Min, Max float64
	Correct  float64 // correction made for temperature
	Temp     float64 // what one standard uncertainty of the temperature does to Value
}

// MeanOf reduces a set of readings: the mean of the repeats, its uncertainty
// with the part of the instrument's error that all repeats share, and a length
// carried to 20 °C by the expansion of part and instrument.
func MeanOf(s *job.State, m *gearbox.Measure, r job.Reading) Mean {
	var out Mean
	if len(r.Is.SI) == 0 {
		return out
	}
	out.Value, out.U = uncert.Repeats(r.Is.SI, r.Is.U, r.Is.Common)
	out.Shared = r.Is.U * r.Is.Common
	out.Min, out.Max = slices.Min(r.Is.SI), slices.Max(r.Is.SI)
	if m == nil || r.Is.Temp == nil || m.Kind != unit.KindLength {
		return out
	}
	alpha, ok := gearbox.Expansion(m.Metal.Text(s.Built()))
	if !ok {
		return out
	}
	v := float64(stack.At20(unit.Length(out.Value), alpha, steelScale, unit.Temperature(*r.Is.Temp)))
	out.Correct = v - out.Value
	out.Value, out.Min, out.Max = v, out.Min+out.Correct, out.Max+out.Correct
	out.Temp = v * (alpha - steelScale) * tempU
	out.U = math.Hypot(out.U, out.Temp)
	return out
}

// times is the mean of the same readings, each multiplied by k.
func (m Mean) times(k float64) Mean {
	return Mean{m.Value * k, m.U * k, m.Shared * k, m.Min * k, m.Max * k, m.Correct * k, m.Temp * k}
}

// excursion is how far a setting strays from its mean around a turn.
type excursion struct {
	low, high float64 // both at or above 0
	u         float64
	sine      bool // from a fitted run-out, not from the extremes as read
}

// around works out how far the tightest and the widest place lie from the mean.
//
// Where the places follow one sine to within the instrument's doubt, that is
// the run-out, fitted over all trials with the part that mere noise would show
// taken off: the least of several readings lies below the mean by noise alone.
// Where they do not, a tooth or a spot stands out, and the extremes as last
// read hold.
func around(places int, sights []sight) excursion {
	if places < 2 || len(sights) == 0 {
		return excursion{}
	}
	last := sights[len(sights)-1]
	read := excursion{low: last.mean.Value - last.mean.Min, high: last.mean.Max - last.mean.Value}
	var a2, n2, trials float64
	for _, g := range sights {
		ys := g.rd.Is.SI
		n := float64(len(ys))
		sd := g.rd.Is.U * math.Sqrt(1-g.rd.Is.Common*g.rd.Is.Common)
		if len(ys) < 4 || sd == 0 {
			return read
		}
		turn := make([]unit.Length, len(ys))
		k := 1.0 // by which the readings were multiplied
		if raw, _ := uncert.Repeats(ys, 0, 0); raw != 0 && g.mean.Correct == 0 {
			k = g.mean.Value / raw
		}
		sd *= k
		for i, y := range ys {
			turn[i] = unit.Length(k * y)
		}
		wave, err := runout.Fit(turn, unit.Length(sd))
		if err != nil {
			return read
		}
		for _, left := range wave.Residuals {
			if math.Abs(float64(left)) > 2.5*sd*math.Sqrt(1-3/n)+1e-12 {
				return read
			}
		}
		a2 += float64(wave.E * wave.E)
		n2 += 4 * sd * sd / n
		trials++
	}
	amp := math.Sqrt(math.Max(0, (a2-n2)/trials))
	return excursion{low: amp, high: amp, u: math.Sqrt(n2/2) / trials, sine: true}
}
