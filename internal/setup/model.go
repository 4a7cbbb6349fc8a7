package setup

import "math"

// model is a set of unknowns that are jointly normal, in SI units: what is
// known of the lengths of a job, with every doubt and what doubts share.
//
// Observations are taken one at a time: for independent noise that is
// generalised least squares [GUM] H.3, and it keeps what is wanted afterwards
// at hand: what a reading would be foretold without it, and what one more
// would do to the doubt.
type model struct {
	index map[string]int
	names []string
	x     []float64
	p     []float64 // covariance, row by row, len(x) wide
	seen  []glance
}

// part is one coefficient of a sum over unknowns.
type part struct {
	i int
	c float64
}

// glance is an observation that was taken, kept to question it afterwards.
type glance struct {
	h    []part
	y, r float64 // value and the variance of its own noise
	seq  int     // entry it stands in, 0 for a prior
	what string
	push float64 // how far it pulled, in standard deviations of what was foretold
	miss float64 // value less what the rest foretells
}

// newModel returns a model of the given unknowns, each with its prior.
func newModel(priors []prior) *model {
	m := &model{index: make(map[string]int, len(priors)), x: make([]float64, len(priors)), p: make([]float64, len(priors)*len(priors))}
	for i, p := range priors {
		m.index[p.name] = i
		m.names = append(m.names, p.name)
		m.x[i] = p.x
		m.p[i*len(priors)+i] = p.u * p.u
	}
	return m
}

// prior is what is known of an unknown before anything is read.
type prior struct {
	name string
	x, u float64
}

// observe takes one observation h·x = y with noise of variance r.
func (m *model) observe(g glance) {
	v, s := m.spread(g.h)
	s += g.r
	e := g.y - m.value(g.h)
	if s <= 0 {
		return
	}
	n := len(m.x)
	for i := range n {
		if v[i] == 0 {
			continue
		}
		k := v[i] / s
		m.x[i] += k * e
		row := m.p[i*n : i*n+n]
		for j := range n {
			row[j] -= k * v[j]
		}
	}
	m.seen = append(m.seen, g)
}

// spread is the covariance of a sum with every unknown, and its variance.
func (m *model) spread(h []part) (v []float64, s float64) {
	n := len(m.x)
	v = make([]float64, n)
	for _, a := range h {
		row := m.p[a.i*n : a.i*n+n]
		for j := range n {
			v[j] += a.c * row[j]
		}
	}
	for _, a := range h {
		s += a.c * v[a.i]
	}
	return v, math.Max(0, s)
}

// value is a sum over the unknowns.
func (m *model) value(h []part) float64 {
	var y float64
	for _, a := range h {
		y += a.c * m.x[a.i]
	}
	return y
}

// cov is the covariance of two sums.
func (m *model) cov(a, b []part) float64 {
	n := len(m.x)
	var s float64
	for _, i := range a {
		for _, j := range b {
			s += i.c * j.c * m.p[i.i*n+j.i]
		}
	}
	return s
}

// question works out for each observation what the rest foretells of it. With
// noise r and posterior variance q of h·x, the deleted residual is e·r/(r−q)
// and its variance r²/(r−q), so that it lies e/√(r−q) standard deviations off.
func (m *model) question() {
	for i := range m.seen {
		g := &m.seen[i]
		_, q := m.spread(g.h)
		left := g.r - q
		if left <= 1e-6*g.r { // nothing else says anything about it
			continue
		}
		e := g.y - m.value(g.h)
		g.push, g.miss = e/math.Sqrt(left), e*g.r/left
	}
}

// notLess conditions on h·x ≥ least: a play of nothing under preload is a
// bound, not a datum. The moments of the cut normal are kept, which is as much
// as a normal model can hold.
func (m *model) notLess(h []part, least float64) {
	v, s := m.spread(h)
	if s <= 0 {
		return
	}
	sd := math.Sqrt(s)
	a := (least - m.value(h)) / sd
	if a < -6 {
		return
	}
	up, spread := cut(a)
	n := len(m.x)
	k := (1 - spread) / s
	for i := range n {
		m.x[i] += v[i] / sd * up
		for j := range n {
			m.p[i*n+j] -= k * v[i] * v[j]
		}
	}
}

// cut is the mean and the variance of a standard normal known to lie above a.
func cut(a float64) (mean, variance float64) {
	if a > 6 { // the far tail: an exponential of rate a
		return a + 1/a, 1 / (a * a)
	}
	density := math.Exp(-a*a/2) / math.Sqrt(2*math.Pi)
	mean = density / (math.Erfc(a/math.Sqrt2) / 2)
	return mean, math.Max(0, 1+a*mean-mean*mean)
}

// fork copies a model so that one may ask what a reading would do.
func (m *model) fork() *model {
	c := *m
	c.x = append([]float64(nil), m.x...)
	c.p = append([]float64(nil), m.p...)
	c.seen = nil
	return &c
}
