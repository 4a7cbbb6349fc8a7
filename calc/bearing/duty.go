package bearing

import (
	"fmt"
	"math"
)

// Phase is a part of a bearing's duty: an equivalent load at a speed for some time.
// Only the proportion of the times counts.
type Phase struct {
	Load  float64 // N
	Speed float64 // rad/s
	Time  float64 // s
}

// Mean is a duty drawn together into one load at one speed.
type Mean struct {
	Load  float64 // N
	Speed float64 // rad/s
}

// MeanLoad returns the steady load that wears a bearing as a varying duty does, and
// the mean speed:
//
//	Fm = (Σ Fi^p ni ti / Σ ni ti)^(1/p)    nm = Σ ni ti / Σ ti
//
// Textbook, checked on [JINDAL]. It sums the shares of life used up (Palmgren and
// Miner), whatever their order.
func MeanLoad(duty []Phase, exponent float64) (Mean, error) {
	most, turns, time := 0.0, 0.0, 0.0
	for _, d := range duty {
		if !(d.Load >= 0 && d.Speed >= 0 && d.Time >= 0 && d.Load < 1e12 && d.Speed < 1e9 && d.Time < 1e15) {
			return Mean{}, fmt.Errorf("bearing: each part of a duty has a load, a speed and a time of 0 or more, got %g N, %g rad/s and %g s", d.Load, d.Speed, d.Time)
		}
		most = max(most, d.Load)
		turns += d.Speed * d.Time
		time += d.Time
	}
	if !(turns > 0 && exponent > 0) {
		return Mean{}, fmt.Errorf("bearing: a duty needs some turning, got %d parts that never turn", len(duty))
	}
	if most == 0 {
		return Mean{Speed: turns / time}, nil
	}
	sum := 0.0
	for _, d := range duty {
		if d.Load > 0 && d.Speed*d.Time > 0 {
			sum += d.Speed * d.Time / lifeOf(most, d.Load, exponent)
		}
	}
	return Mean{Load: most * math.Pow(sum/turns, 1/exponent), Speed: turns / time}, nil
}

// RampLoad returns the steady load for one that rises evenly between two at
// constant speed, Fm ≈ (Fmin + 2·Fmax)/3. From memory of makers' books.
func RampLoad(least, most float64) float64 { return (least + 2*most) / 3 }

// DutyLife returns the life in revolutions of a bearing whose load, speed and film
// change, from the life under each part alone: the shares of turns and the lives
// are drawn together as 1/L = Σ (share/Li). A part that wears nothing has a life of
// +Inf. Both slices are equally long.
func DutyLife(turns, lives []float64) (float64, error) {
	if len(turns) != len(lives) {
		return 0, fmt.Errorf("bearing: %d parts of a duty and %d lives", len(turns), len(lives))
	}
	all, used := 0.0, 0.0
	for i, n := range turns {
		if !(n >= 0 && lives[i] > 0) {
			return 0, fmt.Errorf("bearing: each part of a duty has turns of 0 or more and a life above 0, got %g and %g", n, lives[i])
		}
		all += n
		used += n / lives[i]
	}
	if !(used > 0) {
		return 0, fmt.Errorf("bearing: a duty that wears nothing has no life to give")
	}
	return all / used, nil
}
