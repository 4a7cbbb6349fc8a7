package draw

import (
	"math"
	"slices"
)

// hatching is a direction in degrees and a distance in mm.
type hatching struct{ angle, gap float64 }

// hatch cuts parallel lines to the inside of an outline, even-odd, so that
// every backend draws plain lines and all drawings agree.
func hatch(area Path, h hatching) Path {
	sin, cos := math.Sincos(h.angle * math.Pi / 180)
	turn := func(p Pt) Pt { return Pt{p.X*cos + p.Y*sin, -p.X*sin + p.Y*cos} }
	back := func(p Pt) Pt { return Pt{p.X*cos - p.Y*sin, p.X*sin + p.Y*cos} }
	edges, lo, hi := edgesOf(area, turn)
	var out Path
	var xs []float64
	for k := math.Ceil(lo / h.gap); k*h.gap <= hi; k++ {
		// Off the vertices by a hair, so that none is met twice.
		y := k*h.gap + 1e-9
		xs = xs[:0]
		for _, e := range edges {
			a, b := e[0], e[1]
			if (a.Y <= y) != (b.Y <= y) {
				xs = append(xs, a.X+(y-a.Y)/(b.Y-a.Y)*(b.X-a.X))
			}
		}
		slices.Sort(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			if xs[i+1]-xs[i] < 0.05 {
				continue
			}
			p, q := back(Pt{xs[i], y}), back(Pt{xs[i+1], y})
			out.M(p.X, p.Y).L(q.X, q.Y)
		}
	}
	return out
}

// edgesOf flattens a path, turned, and returns its edges and their span in y.
func edgesOf(area Path, turn func(Pt) Pt) (edges [][2]Pt, lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	var first, at Pt
	add := func(q Pt) {
		edges = append(edges, [2]Pt{at, q})
		lo, hi = min(lo, at.Y, q.Y), max(hi, at.Y, q.Y)
		at = q
	}
	for _, o := range area {
		switch o.K {
		case 'M':
			at = turn(o.P[0])
			first = at
		case 'L':
			add(turn(o.P[0]))
		case 'C':
			a, b, c, d := at, turn(o.P[0]), turn(o.P[1]), turn(o.P[2])
			const n = 16
			for i := 1; i <= n; i++ {
				t := float64(i) / n
				u := 1 - t
				ka, kb, kc, kd := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
				add(Pt{ka*a.X + kb*b.X + kc*c.X + kd*d.X, ka*a.Y + kb*b.Y + kc*c.Y + kd*d.Y})
			}
		case 'Z':
			add(first)
		}
	}
	return edges, lo, hi
}
