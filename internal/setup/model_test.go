package setup

import (
	"math"
	"math/rand/v2"
	"testing"
)

func close2(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g within %.2g", what, got, want, tol)
	}
}

// random makes a model of n unknowns and some observations of sums of them.
func random(r *rand.Rand, n, sights int) ([]prior, []glance) {
	var ps []prior
	for range n {
		ps = append(ps, prior{string(rune('a' + len(ps))), r.NormFloat64(), 0.5 + r.Float64()})
	}
	var gs []glance
	for range sights {
		var h []part
		for i := range n {
			if r.IntN(2) == 0 {
				h = append(h, part{i, r.NormFloat64()})
			}
		}
		if len(h) == 0 {
			h = append(h, part{0, 1})
		}
		gs = append(gs, glance{h: h, y: r.NormFloat64(), r: 0.05 + r.Float64()})
	}
	return ps, gs
}

func told(ps []prior, gs []glance) *model {
	m := newModel(ps)
	for _, g := range gs {
		m.observe(g)
	}
	return m
}

// The order of observations does not matter, and none of them raises the doubt
// of anything.
func TestObservations(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for range 100 {
		ps, gs := random(r, 2+r.IntN(6), 1+r.IntN(9))
		one := told(ps, gs)
		r.Shuffle(len(gs), func(i, j int) { gs[i], gs[j] = gs[j], gs[i] })
		two := newModel(ps)
		for _, g := range gs {
			var of []part
			for i := range ps {
				of = append(of, part{i, r.NormFloat64()})
			}
			before := two.cov(of, of)
			two.observe(g)
			if after := two.cov(of, of); after > before*(1+1e-12) {
				t.Fatalf("a reading raises a variance from %g to %g", before, after)
			}
		}
		for i := range one.x {
			close2(t, "estimate", two.x[i], one.x[i], 1e-10)
			for j := range one.x {
				close2(t, "covariance", two.p[i*len(ps)+j], one.p[i*len(ps)+j], 1e-11)
			}
		}
	}
}

// What the rest foretells of a reading is what a model says that never had it.
func TestLeaveOneOut(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 2))
	for range 100 {
		ps, gs := random(r, 2+r.IntN(5), 2+r.IntN(8))
		m := told(ps, gs)
		m.question()
		for i, g := range m.seen {
			var rest []glance
			rest = append(append(rest, gs[:i]...), gs[i+1:]...)
			without := told(ps, rest)
			miss := g.y - without.value(g.h)
			close2(t, "miss", g.miss, miss, 1e-8*(1+math.Abs(miss)))
			close2(t, "push", g.push, miss/math.Sqrt(without.cov(g.h, g.h)+g.r), 1e-8*(1+math.Abs(g.push)))
		}
	}
}

// A play of nothing: mean and variance of everything after it against a million
// draws, of which those are kept that lie above the bound. Five standard errors.
func TestNotLessAgainstDraws(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	// Two unknowns with u² of 1 and 4 and a covariance of 0.8, by an observation.
	for _, least := range []float64{-2, -0.5, 0, 1, 2.2} {
		m := newModel([]prior{{"a", 0.3, 1}, {"b", -0.2, 2}})
		m.p = []float64{1, 0.8, 0.8, 4}
		h := []part{{0, 1}, {1, -0.5}}
		var n, s, q, bs, bq float64
		for range 1_000_000 {
			z, w := r.NormFloat64(), r.NormFloat64()
			a, b := 0.3+z, -0.2+0.8*z+math.Sqrt(4-0.64)*w
			if a-0.5*b >= least {
				n++
				s, q, bs, bq = s+a, q+a*a, bs+b, bq+b*b
			}
		}
		m.notLess(h, least)
		ma, mb := s/n, bs/n
		va, vb := q/n-ma*ma, bq/n-mb*mb
		close2(t, "mean of a", m.x[0], ma, 5*math.Sqrt(va/n))
		close2(t, "mean of b", m.x[1], mb, 5*math.Sqrt(vb/n))
		close2(t, "variance of a", m.p[0], va, 5*va*math.Sqrt(3/n))
		close2(t, "variance of b", m.p[3], vb, 5*vb*math.Sqrt(3/n))
	}
}

// Closed forms of the bivariate normal: the quadrant, 1/4 + asin ρ / 2π
// (Sheppard, [PEARSON00]), and the product where ρ is 0.
func TestBoxClosed(t *testing.T) {
	inf := math.Inf(1)
	for _, rho := range []float64{-0.95, -0.6, -0.3, -0.1, 0, 0.2, 0.31, 0.5, 0.8, 0.95} {
		got := box([]axis{{v: 1, lo: 1, hi: inf}, {v: -2, lo: -2, hi: inf}}, [][]float64{{4, 2 * 0.5 * rho}, {2 * 0.5 * rho, 0.25}})
		close2(t, "quadrant", got, 0.25+math.Asin(rho)/(2*math.Pi), 1e-4)
	}
	inside := math.Erf(1 / math.Sqrt2) // ±1 standard deviation
	close2(t, "square", box([]axis{{lo: -1, hi: 1}, {lo: -3, hi: 3}}, [][]float64{{1, 0}, {0, 9}}), inside*inside, 1e-12)
	close2(t, "cube", box([]axis{{lo: -1, hi: 1}, {lo: -3, hi: 3}, {lo: -2, hi: 2}}, [][]float64{{1, 0, 0}, {0, 9, 0}, {0, 0, 4}}), inside*inside*inside, 1e-6)
	// Three with ρ = ½ each: P(all above 0) = 1/8 + 3 asin(½)/4π = 1/4.
	all := func(v float64) axis { return axis{v: v, lo: v, hi: inf} }
	close2(t, "octant", box([]axis{all(0), all(3), all(-1)}, [][]float64{{1, .5, .5}, {.5, 1, .5}, {.5, .5, 1}}), 0.25, 1e-3)
}

// Cold and hot limits of two settings against draws, five standard errors.
func TestBoxAgainstDraws(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for run := range 12 {
		rho := 1.9*r.Float64() - 0.95
		u, w := 4+4*r.Float64(), 4+4*r.Float64()
		as := []axis{{v: 10 * r.NormFloat64(), lo: -12, hi: 9}, {v: 5 * r.NormFloat64(), lo: -8, hi: 11}}
		if run%2 == 0 {
			as[0].hot = &Hot{Growth: -7, GrowthU: 1 + 3*r.Float64(), Lo: -14, Hi: 3, HasLo: true, HasHi: run%4 == 0, Judged: true}
		}
		const n = 400_000
		in := 0.0
		for range n {
			z, y := r.NormFloat64(), r.NormFloat64()
			a, b := as[0].v+u*z, as[1].v+w*(rho*z+math.Sqrt(1-rho*rho)*y)
			ok := a >= as[0].lo && a <= as[0].hi && b >= as[1].lo && b <= as[1].hi
			if h := as[0].hot; h != nil {
				hot := a + h.Growth + h.GrowthU*r.NormFloat64()
				ok = ok && hot >= h.Lo && (!h.HasHi || hot <= h.Hi)
			}
			if ok {
				in++
			}
		}
		p := in / n
		close2(t, "chance", box(as, [][]float64{{u * u, rho * u * w}, {rho * u * w, w * w}}), p, 5*math.Sqrt(p*(1-p)/n)+2e-4)
	}
}
