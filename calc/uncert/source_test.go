package uncert

import (
	"math"
	"testing"
)

// First outputs of xoshiro256++ from the state 1, 2, 3, 4, as its authors' C
// code gives them; from memory of the vectors published with it.
func TestXoshiro(t *testing.T) {
	r := source{1, 2, 3, 4}
	for i, want := range []uint64{41943041, 58720359, 3588806011781223, 3591011842654386, 9228616714210784205,
		9973669472204895162, 14011001112246962877, 12406186145184390807, 15849039046786891736, 10450023813501588000} {
		if got := r.next(); got != want {
			t.Errorf("output %d = %d, want %d", i, got, want)
		}
	}
}

// First outputs of splitmix64 from 1234567, from memory of published vectors.
func TestSplitmix(t *testing.T) {
	m := splitmix(1234567)
	for i, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821} {
		if got := m.next(); got != want {
			t.Errorf("output %d = %d, want %d", i, got, want)
		}
	}
}

// The layers must close: the topmost ends at the peak of the curve, and each has
// the area of the others. The edge is right only if they do.
func TestZiggurat(t *testing.T) {
	area := width[0] * height[1]
	for i := 1; i < layers; i++ {
		if a := width[i] * (height[i+1] - height[i]); !(math.Abs(a/area-1) < 1e-9) {
			t.Errorf("layer %d has area %v, want %v", i, a, area)
		}
	}
	if width[layers] != 0 || height[layers] != 1 {
		t.Errorf("the top layer ends at %v, %v", width[layers], height[layers])
	}
	if got := math.Abs(area/0.00492867323399 - 1); got > 1e-11 {
		t.Errorf("area %v, want 0.00492867323399, Marsaglia and Tsang 2000 for 256 layers", area)
	}
}

// Beyond the edge the normal distribution has the mean φ(edge)/Q(edge) and the
// second moment 1 + edge · mean, both in closed form.
func TestTail(t *testing.T) {
	const n = 400_000
	r := newSource(5, 0)
	sum, squares := 0.0, 0.0
	for range n {
		x := r.tail()
		sum += x / n
		squares += x * x / n
	}
	mean := math.Exp(-edge*edge/2) / math.Sqrt(2*math.Pi) / (math.Erfc(edge/math.Sqrt2) / 2)
	sd := math.Sqrt(1 + edge*mean - mean*mean)
	if !(math.Abs(sum-mean) < 4*sd/math.Sqrt(n)) {
		t.Errorf("mean of the tail %v, want %v", sum, mean)
	}
	if want := 1 + edge*mean; !(math.Abs(squares/want-1) < 0.001) {
		t.Errorf("second moment of the tail %v, want %v", squares, want)
	}
}
