package uncert

import (
	"math"
	"math/bits"
)

// source is a stream of random numbers, the generator xoshiro256++ of [BV21].
// It is here, and not taken from elsewhere, so that a seed means the same
// numbers in every release.
type source struct{ s0, s1, s2, s3 uint64 }

// newSource returns stream number block of a seed. The state is filled by
// splitmix64, as [BV21] advises, from a start that hashes both.
func newSource(seed, block uint64) *source {
	m := splitmix(seed)
	m = splitmix(m.next() + block)
	return &source{m.next(), m.next(), m.next(), m.next()}
}

type splitmix uint64

func (m *splitmix) next() uint64 {
	*m += 0x9e3779b97f4a7c15
	z := uint64(*m)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

func (r *source) next() uint64 {
	out := bits.RotateLeft64(r.s0+r.s3, 23) + r.s0
	t := r.s1 << 17
	r.s2 ^= r.s0
	r.s3 ^= r.s1
	r.s1 ^= r.s2
	r.s0 ^= r.s3
	r.s2 ^= t
	r.s3 = bits.RotateLeft64(r.s3, 45)
	return out
}

// open returns a number strictly between 0 and 1.
func (r *source) open() float64 { return (float64(r.next()>>12) + 0.5) * 0x1p-52 }

// symmetric returns a number strictly between −1 and 1.
func (r *source) symmetric() float64 { return (float64(int64(r.next())>>12) + 0.5) * 0x1p-51 }

// disc returns a point of the unit disc other than its centre, and its squared
// distance from there.
func (r *source) disc() (u, v, w float64) {
	for {
		u, v = r.symmetric(), r.symmetric()
		if w = u*u + v*v; w < 1 {
			return u, v, w
		}
	}
}

// student returns a draw of Student's t by Bailey's polar method, [BAIL94].
func (r *source) student(dof float64) float64 {
	if math.IsInf(dof, 1) {
		return r.normal()
	}
	u, _, w := r.disc()
	return u * math.Sqrt(dof*math.Expm1(-2/dof*math.Log(w))/w)
}

// The ziggurat of [MT00]: layers of equal area under exp(−x²/2), the lowest one
// with the tail beyond its edge.
const (
	layers = 256
	edge   = 3.6541528853610088 // [MT00], for 256 layers
)

// width[i] is the half width of layer i and height[i] the curve there; the
// lowest layer counts its tail as width.
var width, height = ziggurat()

func ziggurat() (x, f [layers + 1]float64) {
	curve := func(x float64) float64 { return math.Exp(-x * x / 2) }
	area := edge*curve(edge) + math.Sqrt(math.Pi/2)*math.Erfc(edge/math.Sqrt2)
	x[0], x[1] = area/curve(edge), edge
	for i := 1; i < layers-1; i++ {
		x[i+1] = math.Sqrt(-2 * math.Log(area/x[i]+curve(x[i])))
	}
	for i := range x {
		f[i] = curve(x[i])
	}
	return x, f
}

// normal returns a draw of the standard normal distribution. The layer comes
// from bits the number does not use.
func (r *source) normal() float64 {
	for {
		b := r.next()
		i := b % layers
		x := (float64(int64(b)>>12) + 0.5) * 0x1p-51 * width[i]
		switch {
		case math.Abs(x) < width[i+1]:
			return x
		case i == 0:
			return math.Copysign(r.tail(), x)
		case height[i]+r.open()*(height[i+1]-height[i]) < math.Exp(-x*x/2):
			return x
		}
	}
}

// tail returns a normal draw beyond edge.
func (r *source) tail() float64 {
	for {
		x := -math.Log(r.open()) / edge
		if -2*math.Log(r.open()) > x*x {
			return edge + x
		}
	}
}
