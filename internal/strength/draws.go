package strength

import (
	"fmt"
	"math"
	"slices"
)

// Usual doubts where the file gives none: common practice, no source.
const (
	usualTorqueDoubt = 0.15
	usualSteelDoubt  = 0.08
)

// factors are the big unknowns: torque on the road over that of the duty, and the
// strength of gear and shaft steel over that of the list, each with its doubt.
type factors struct{ torque, torqueU, steel, steelU float64 }

func (m *model) factors() factors {
	f := factors{1, usualTorqueDoubt, 1, usualSteelDoubt}
	if v := m.st.Factor; v.Known() {
		f.torque, _ = v.SI(m.as)
		f.torqueU = v.Uncertainty(m.as)
	}
	if v := m.st.Steel; v.Known() {
		f.steel, _ = v.SI(m.as)
		f.steelU = v.Uncertainty(m.as)
	}
	return f
}

func (m *model) doubts() []Ground {
	f := m.factors()
	return []Ground{
		either(m, m.st.Factor.Known(), "", fmt.Sprintf("true torque over that of the duty: %.2f ± %.2f, the same for all parts", f.torque, f.torqueU)),
		either(m, m.st.Steel.Known(), "", fmt.Sprintf("true strength of the steels over that of the list: %.2f ± %.2f, gears and shafts each by their own", f.steel, f.steelU)),
	}
}

// dice are the outputs of splitmix64, made normal in pairs.
type dice struct {
	state uint64
	spare float64
	has   bool
}

func (d *dice) uniform() float64 {
	d.state += 0x9e3779b97f4a7c15
	z := d.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return (float64((z^z>>31)>>11) + 0.5) / (1 << 53)
}

func (d *dice) normal() float64 {
	if d.has {
		d.has = false
		return d.spare
	}
	r, a := math.Sqrt(-2*math.Log(d.uniform())), 2*math.Pi*d.uniform()
	d.spare, d.has = r*math.Sin(a), true
	return r * math.Cos(a)
}

// lognormal is a factor above 0 of a mean near m and a relative doubt u.
func (d *dice) lognormal(m, u float64) float64 {
	s := math.Sqrt(math.Log(1 + u*u/(m*m)))
	return m * math.Exp(s*d.normal()-s*s/2)
}

// draw carries the big unknowns through every link of the unit after.
func (c *Comparison) draw(f factors, o Options) {
	n := len(c.Pairs)
	reserve, life := make([][]float64, n), make([][]float64, n)
	for i := range reserve {
		reserve[i], life[i] = make([]float64, o.Draws), make([]float64, o.Draws)
	}
	d := dice{state: o.Seed}
	weakest := make([]int, n)
	short := 0
	for k := range o.Draws {
		load, gear, shaft := d.lognormal(f.torque, f.torqueU), d.lognormal(f.steel, f.steelU), d.lognormal(f.steel, f.steelU)
		worst, at := math.Inf(1), -1
		for i := range c.Pairs {
			l := c.Pairs[i].After
			r, strength := l.Reserve/load, 1.0
			switch l.grows {
			case 1:
				r, strength = r*gear, gear
			case 2:
				r, strength = r*gear*gear, gear
			case 3:
				r *= shaft
			}
			if !l.Torqued {
				r = l.Reserve
			}
			reserve[i][k] = r
			if l.wear != nil {
				life[i][k] = l.wear(load, strength)
			}
			if l.Torqued && r < worst {
				worst, at = r, i
			}
		}
		if at >= 0 {
			weakest[at]++
		}
		if worst < 1 {
			short++
		}
	}
	for i := range c.Pairs {
		p := &c.Pairs[i]
		p.Weakest = float64(weakest[i]) / float64(o.Draws)
		p.Low, p.High = spread(reserve[i])
		if p.After.wear != nil {
			p.LifeLow, p.LifeHigh = spread(life[i])
		} else {
			p.LifeLow, p.LifeHigh = math.NaN(), math.NaN()
		}
	}
	c.Short = float64(short) / float64(o.Draws)
}

// spread is the 5 % and the 95 % point.
func spread(x []float64) (lo, hi float64) {
	slices.Sort(x)
	at := func(p float64) float64 { return x[min(int(p*float64(len(x))), len(x)-1)] }
	return at(0.05), at(0.95)
}
