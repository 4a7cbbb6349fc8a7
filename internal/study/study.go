package study

import (
	"fmt"
	"math"
	"slices"
	"sync"
)

// Way is one way of setting up, over many set-ups.
type Way struct {
	Name  string
	Group string  // ways that make one curve
	Guard float64 // what tells the ways of a group apart
	Fine  bool    // the drawer of 0.025 mm steps
	Count
}

// Count is what is counted over set-ups.
type Count struct {
	N, Accepted, Wrong, Readings int
	Trials                       []int // of each set-up
}

func (c *Count) add(o outcome) {
	c.N++
	c.Trials = append(c.Trials, o.trials)
	c.Readings += o.readings
	if o.accepted {
		c.Accepted++
		if !o.good {
			c.Wrong++
		}
	}
}

// MeanTrials returns the mean number of trials and its standard error.
func (c Count) MeanTrials() (m, se float64) {
	var s, q float64
	for _, t := range c.Trials {
		s += float64(t)
		q += float64(t * t)
	}
	n := float64(c.N)
	m = s / n
	return m, math.Sqrt(max(0, q/n-m*m) / n)
}

// NineInTen is the number of trials that nine set-ups in ten do not exceed.
func (c Count) NineInTen() int {
	t := slices.Sorted(slices.Values(c.Trials))
	return t[(9*len(t)+9)/10-1]
}

// MeanReadings is the mean number of readings.
func (c Count) MeanReadings() float64 { return float64(c.Readings) / float64(c.N) }

// WrongShare returns the share accepted while truly out of a limit, of those
// accepted, and its standard error.
func (c Count) WrongShare() (p, se float64) { return share(c.Wrong, c.Accepted) }

// NeverShare returns the share never accepted and its standard error.
func (c Count) NeverShare() (p, se float64) { return share(c.N-c.Accepted, c.N) }

func share(k, n int) (p, se float64) {
	p = float64(k) / float64(n)
	return p, math.Sqrt(p * (1 - p) / float64(n))
}

// Chances are the chances from which endfloat accepts in the trade-off, and
// Guards the guard bands by hand, m. Both begin with the way that is compared.
var (
	Chances = []float64{0, 0.5, 0.7, 0.8, 0.9, 0.95}
	Guards  = []float64{0, 2.5 * µm, 5 * µm, 7.5 * µm, 10 * µm, 12.5 * µm}
)

// Plan is what to simulate.
type Plan struct {
	N      int     // set-ups with each drawer
	Errors float64 // how many times greater the instruments' errors are than stated; 0 for once
	Sets   int     // most sets that endfloat reads again at one trial
	Short  bool    // only the ways that are compared
	Ways   int     // set-ups at a time
}

// Run sets up N times with each drawer in every way. dice gives the chance of a
// set-up: each way begins with dice of its own that fall alike, so that all have
// the same gearbox, instruments and drawer.
func Run(p Plan, dice func(setup int) Dice) []Way {
	chances, guards := Chances, Guards
	if p.Short {
		chances, guards = chances[:1], guards[:1]
	}
	if p.Errors == 0 {
		p.Errors = 1
	}
	var out []Way
	for _, fine := range []bool{false, true} {
		var hands []hand
		var ways []Way
		for _, g := range guards {
			hands, ways = append(hands, hand{guard: g}), append(ways, Way{Name: guardName(g), Group: "by hand", Guard: g, Fine: fine})
		}
		if !p.Short {
			hands = append(hands, hand{cold: true}, hand{times: 3})
			ways = append(ways, Way{Name: "by hand, nothing carried to 20 °C", Fine: fine}, Way{Name: "by hand, backlash three times", Fine: fine})
		}
		f := fitter{sets: p.Sets}
		for _, c := range chances {
			f.rules = append(f.rules, rule{c})
			ways = append(ways, Way{Name: chanceName(c), Group: "endfloat", Guard: c, Fine: fine})
		}
		for _, os := range each(p.N, p.Ways, func(i int) []outcome {
			world := func() *world { return newWorld(dice(i), fine, p.Errors) }
			var os []outcome
			for _, h := range hands {
				os = append(os, h.do(world()))
			}
			return append(os, f.do(world())...)
		}) {
			for k, o := range os {
				ways[k].add(o)
			}
		}
		out = append(out, ways...)
	}
	return out
}

func guardName(g float64) string {
	if g == 0 {
		return "by hand"
	}
	return fmt.Sprintf("by hand, guard band %.4g µm", g/µm)
}

func chanceName(c float64) string {
	if c == 0 {
		return "with endfloat"
	}
	return fmt.Sprintf("with endfloat, at chance %.2f", c)
}

// each does n things, some at a time, and keeps their order.
func each[T any](n, atATime int, do func(i int) T) []T {
	out := make([]T, n)
	next := make(chan int)
	var wg sync.WaitGroup
	for range max(1, atATime) {
		wg.Go(func() {
			for i := range next {
				out[i] = do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
	return out
}
