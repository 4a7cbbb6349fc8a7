package setup

import (
	"math"

	"endfloat/calc/uncert"
)

// axis is one setting in the joint probability of several.
type axis struct {
	v      float64
	lo, hi float64
	hot    *Hot
}

// nodes and weights of the Gauss-Legendre rule of 16 points on −1 to 1, made
// once from the roots of the polynomial.
var gauss = legendre(16)

type node struct{ x, w float64 }

// legendre finds the nodes by Newton's method on P_n and the weights
// 2/((1−x²)P'_n²). From memory; the rule is checked
// against integrals that are known.
func legendre(n int) []node {
	out := make([]node, n)
	for i := range n {
		x := math.Cos(math.Pi * (float64(i) + 0.75) / (float64(n) + 0.5))
		var d float64
		for range 100 {
			p, q := 1.0, 0.0
			for k := 1; k <= n; k++ {
				p, q = ((2*float64(k)-1)*x*p-(float64(k)-1)*q)/float64(k), p
			}
			d = float64(n) * (x*p - q) / (x*x - 1)
			step := p / d
			x -= step
			if math.Abs(step) < 1e-15 {
				break
			}
		}
		out[i] = node{x, 2 / ((1 - x*x) * d * d)}
	}
	return out
}

// box is the probability that jointly normal values all lie within their
// limits: the first is integrated over by Gauss-Legendre, the others given it in
// the same way. Two loosely correlated ones go by a series instead.
func box(as []axis, cov [][]float64) float64 {
	switch {
	case len(as) == 0:
		return 1
	case len(as) == 1 && as[0].cold() && cov[0][0] > 0:
		sd := math.Sqrt(cov[0][0])
		return math.Max(0, below((as[0].hi-as[0].v)/sd)-below((as[0].lo-as[0].v)/sd))
	case len(as) == 1 && as[0].cold():
		return uncert.Conformity(as[0].v, 0, as[0].lo, as[0].hi)
	case len(as) == 2 && as[0].cold() && as[1].cold():
		if p, ok := pair(as[0], as[1], cov[0][0], cov[1][1], cov[0][1]); ok {
			return p
		}
	}
	a := as[0]
	sd := math.Sqrt(cov[0][0])
	if sd == 0 {
		if a.v < a.lo || a.v > a.hi {
			return 0
		}
		return a.warm(a.v) * box(as[1:], rest(cov, 0))
	}
	// Beyond six standard deviations there is nothing.
	lo, hi := math.Max(a.lo, a.v-6*sd), math.Min(a.hi, a.v+6*sd)
	if lo >= hi {
		return 0
	}
	left := rest(cov, sd*sd)
	next := make([]axis, len(as)-1)
	var sum float64
	for _, g := range gauss {
		x := (lo+hi)/2 + (hi-lo)/2*g.x
		z := (x - a.v) / sd
		for i := range next {
			next[i] = as[i+1]
			next[i].v += cov[i+1][0] / sd * z
		}
		density := math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
		sum += g.w * density * a.warm(x) * box(next, left)
	}
	return math.Min(1, sum*(hi-lo)/2)
}

// cold reports whether heat is not judged.
func (a axis) cold() bool { return a.hot == nil || !a.hot.Judged }

// terms of the series of pair: with a correlation of at most loosely, what is
// left out is below 1e-8.
const (
	terms   = 14
	loosely = 0.3
)

// pair is box for two settings that are loosely correlated, as most are, by the
// tetrachoric series, many times faster than the integral:
//
//	p = Σ ρⁿ/n! cₙ dₙ, c₀ = Φ(b) − Φ(a), cₙ = He₍ₙ₋₁₎(a) φ(a) − He₍ₙ₋₁₎(b) φ(b)
//
// Each term is at most ρⁿ. Source: [PEARSON00], checked against the integral.
func pair(x, y axis, vx, vy, c float64) (p float64, ok bool) {
	if !(vx > 0 && vy > 0) {
		return 0, false
	}
	sx, sy := math.Sqrt(vx), math.Sqrt(vy)
	rho := c / (sx * sy)
	if math.Abs(rho) > loosely {
		return 0, false
	}
	a, b := edgeOf((x.lo-x.v)/sx), edgeOf((x.hi-x.v)/sx)
	d, e := edgeOf((y.lo-y.v)/sy), edgeOf((y.hi-y.v)/sy)
	p = (b.below - a.below) * (e.below - d.below)
	if rho == 0 || p < 1e-12 {
		return math.Max(0, p), true
	}
	power := 1.0
	for n := 1; n <= terms; n++ {
		power *= rho
		p += power * (a.h - b.h) * (d.h - e.h)
		a.next(n)
		b.next(n)
		d.next(n)
		e.next(n)
	}
	return math.Min(1, math.Max(0, p)), true
}

// edge is a limit in the series of pair: its place in standard deviations, the
// probability below it, and the Hermite term He₍ₙ₋₁₎ φ/√n! with the one before.
type edge struct{ z, below, h, last float64 }

func edgeOf(z float64) edge {
	e := edge{z: z, below: below(z)}
	if math.Abs(z) >= bellEnd {
		e.z = 0 // far out there is no density, and 0 times infinity must not arise
		return e
	}
	e.h = math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
	return e
}

// below is Φ(z), to 1e-14.
func below(z float64) float64 {
	switch {
	case z <= -bellEnd:
		return 0
	case z >= bellEnd:
		return 1
	}
	at := &bell[int(math.Round((z+bellEnd)*bellSteps))]
	d, z2 := z-at.z, at.z*at.z
	h1, h2, h3 := at.z, z2-1, (z2-3)*at.z
	return at.below + at.h*d*(1-d/2*(h1-d/3*(h2-d/4*(h3-d/5*(z2*z2-6*z2+3)))))
}

// bell is the normal distribution at steps of 1/64, from which below goes on by
// Taylor's series: asking for it afresh is most of the work of a search.
const (
	bellEnd   = 9
	bellSteps = 64
)

var bell = func() (t [2*bellEnd*bellSteps + 1]edge) {
	for i := range t {
		z := float64(i)/bellSteps - bellEnd
		t[i] = edge{z: z, below: math.Erfc(-z/math.Sqrt2) / 2, h: math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)}
	}
	return t
}()

// next goes from the term of n to that of n+1: He_n = z He₍ₙ₋₁₎ − (n−1) He₍ₙ₋₂₎.
func (e *edge) next(n int) {
	k := float64(n)
	e.h, e.last = (e.z*e.h-(k-1)/math.Sqrt(k)*e.last)/math.Sqrt(k+1), e.h
}

// rest is the covariance of the others once the first, of variance v, is given.
func rest(cov [][]float64, v float64) [][]float64 {
	n := len(cov) - 1
	out := make([][]float64, n)
	for i := range out {
		out[i] = make([]float64, n)
		for j := range out[i] {
			out[i][j] = cov[i+1][j+1]
			if v > 0 {
				out[i][j] -= cov[i+1][0] * cov[j+1][0] / v
			}
		}
		out[i][i] = math.Max(0, out[i][i])
	}
	return out
}

// warm is the probability that a value which is x cold is within its limits hot.
func (a axis) warm(x float64) float64 {
	if a.hot == nil || !a.hot.Judged {
		return 1
	}
	lo, hi := a.hot.bounds()
	v, u := x+a.hot.Growth, a.hot.GrowthU
	if u == 0 {
		return uncert.Conformity(v, 0, lo, hi)
	}
	return math.Max(0, below((hi-v)/u)-below((lo-v)/u))
}
