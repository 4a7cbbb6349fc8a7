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
// 2/((1−x²)P'_n²). Source: any handbook of numerical analysis; the rule is
// checked against integrals that are known.
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
// limits: the first is integrated over by Gauss-Legendre, the others follow
// given it. Two or three settings that share seats are exact to about 1e-4;
// further ones are taken as independent given the first two.
func box(as []axis, cov [][]float64) float64 {
	switch {
	case len(as) == 0:
		return 1
	case len(as) == 1 && (as[0].hot == nil || !as[0].hot.Judged):
		return uncert.Conformity(as[0].v, math.Sqrt(cov[0][0]), as[0].lo, as[0].hi)
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
	return uncert.Conformity(x+a.hot.Growth, a.hot.GrowthU, lo, hi)
}
