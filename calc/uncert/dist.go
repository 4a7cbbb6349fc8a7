package uncert

import "math"

// Dist is what is known of one input, as a probability distribution. The zero
// Dist is exactly 0.
type Dist struct {
	shape      shape
	mean, a, b float64
}

type shape uint8

const (
	normal shape = iota
	rectangular
	triangular
	arcsine
	student
	curved
)

// Normal is the normal distribution of mean and standard deviation: a value
// with a standard uncertainty and no more known. [JCGM101] 6.4.7.
func Normal(mean, sd float64) Dist { return Dist{normal, mean, sd, 0} }

// Rectangular lies within mean ± halfWidth, equally likely anywhere.
// [JCGM101] 6.4.2.
func Rectangular(mean, halfWidth float64) Dist { return Dist{rectangular, mean, halfWidth, 0} }

// Triangular lies within mean ± halfWidth, most likely in the middle.
// [JCGM101] 6.4.5.
func Triangular(mean, halfWidth float64) Dist { return Dist{triangular, mean, halfWidth, 0} }

// Arcsine lies within mean ± halfWidth as something that swings does: most
// often near the ends. [JCGM101] 6.4.6.
func Arcsine(mean, halfWidth float64) Dist { return Dist{arcsine, mean, halfWidth, 0} }

// Student is the scaled and shifted t distribution: the mean of few readings,
// with its standard uncertainty u as TypeA gives it. Its standard deviation is
// larger than u. [JCGM101] 6.4.9.
func Student(mean, u, dof float64) Dist { return Dist{student, mean, u, dof} }

// CurvedTrapezoid is Rectangular with a half width that is itself only known
// within ± doubt. [JCGM101] 6.4.3.
func CurvedTrapezoid(mean, halfWidth, doubt float64) Dist {
	return Dist{curved, mean, halfWidth, doubt}
}

// Mean returns the mean, for Student the location also where dof ≤ 1.
func (d Dist) Mean() float64 { return d.mean }

// SD returns the standard deviation, which is the standard uncertainty of the
// input. It is +Inf for Student with dof ≤ 2.
func (d Dist) SD() float64 {
	a := math.Abs(d.a)
	switch d.shape {
	case rectangular:
		return a / math.Sqrt(3)
	case triangular:
		return a / math.Sqrt(6)
	case arcsine:
		return a / math.Sqrt2
	case student:
		if !(d.b > 2) {
			return math.Inf(1)
		}
		if math.IsInf(d.b, 1) {
			return a
		}
		return a * math.Sqrt(d.b/(d.b-2)) // [JCGM101] 6.4.9
	case curved:
		return math.Sqrt(a*a/3 + d.b*d.b/9) // [JCGM101] 6.4.3
	}
	return a
}

// fill draws into every stride-th place of x.
func (d Dist) fill(r *source, x []float64, stride int) {
	switch d.shape {
	case normal:
		for i := 0; i < len(x); i += stride {
			x[i] = d.mean + d.a*r.normal()
		}
	case rectangular:
		for i := 0; i < len(x); i += stride {
			x[i] = d.mean + d.a*r.symmetric()
		}
	case triangular:
		for i := 0; i < len(x); i += stride {
			x[i] = d.mean + d.a*(r.symmetric()+r.symmetric())/2
		}
	case arcsine:
		for i := 0; i < len(x); i += stride {
			// The double angle of a random direction is as random, and its cosine
			// needs no cosine.
			u, v, w := r.disc()
			x[i] = d.mean + d.a*(u*u-v*v)/w
		}
	case student:
		for i := 0; i < len(x); i += stride {
			x[i] = d.mean + d.a*r.student(d.b)
		}
	case curved:
		for i := 0; i < len(x); i += stride {
			x[i] = d.mean + (d.a+d.b*r.symmetric())*r.symmetric()
		}
	}
}
