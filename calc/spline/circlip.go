package spline

import (
	"fmt"
	"math"
)

// Circlip is a retaining ring in its groove, on a shaft or in a bore.
type Circlip struct {
	Seat      float64 // diameter of the shaft or bore
	Groove    float64 // diameter at the bottom of the groove
	Thickness float64 // of the ring
	Margin    float64 // from the groove to the end of the shaft or bore
}

// Factors of safety that data sheets divide by.
const (
	ShearSafety  = 3.0 // ring shear
	GrooveSafety = 2.0 // groove yield; some series 4
)

func (c Circlip) check() error {
	if !(c.Seat > 0 && c.Seat < 100 && c.Groove > 0 && c.Groove < 100 && c.Depth() > 0 && c.Depth() < c.Seat/2 && c.Thickness > 0 && c.Thickness < 1) {
		return fmt.Errorf("spline: no such circlip: seat %g mm, groove %g mm, ring %g mm thick", c.Seat*1e3, c.Groove*1e3, c.Thickness*1e3)
	}
	return nil
}

// Depth returns the depth of the groove, on radius.
func (c Circlip) Depth() float64 { return math.Abs(c.Seat-c.Groove) / 2 }

// RingShear returns the thrust that shears the ring, over a safety:
//
//	P = π D t Ss/K
//
// [RINGS]. The part that leans on the ring has a square edge: a chamfer or radius
// tips the ring and takes much of it away.
func (c Circlip) RingShear(shear, safety float64) (float64, error) {
	if err := c.checkWith(shear, safety); err != nil {
		return 0, err
	}
	return math.Pi * c.Seat * c.Thickness * shear / safety, nil
}

// GrooveYield returns the thrust that sets the groove, over a safety:
//
//	P = π D dg Sy/K, dg the depth
//
// [RINGS].
func (c Circlip) GrooveYield(yield, safety float64) (float64, error) {
	if err := c.checkWith(yield, safety); err != nil {
		return 0, err
	}
	return math.Pi * c.Seat * c.Depth() * yield / safety, nil
}

func (c Circlip) checkWith(stress, safety float64) error {
	if err := c.check(); err != nil {
		return err
	}
	if !(stress > 0 && stress < 1e11 && safety >= 1 && safety < 100) {
		return fmt.Errorf("spline: a thrust needs a stress above 0 and a safety of 1 or more, got %g MPa and %g", stress/1e6, safety)
	}
	return nil
}

// GrooveThrust returns the thrust that a groove bears by [DIN471]:
//
//	FN = π/4 |D² − dn²| Re/q
//
// q stands for the margin beyond the groove over its depth: 1.2 from 3 up, 1.5 at 2,
// a straight line between; from memory. Below 2 it is not known and an error. The
// tables of the standard hold for a yield of 200 MPa and contain no safety.
func (c Circlip) GrooveThrust(yield float64) (float64, error) {
	if err := c.checkWith(yield, 1); err != nil {
		return 0, err
	}
	m := c.Margin / c.Depth()
	if !(m >= 2-1e-9) {
		return 0, fmt.Errorf("spline: the margin beyond the groove is %.3g mm, %.3g times its depth; the load of a groove is known from twice the depth up", c.Margin*1e3, m)
	}
	q := max(1.2, 1.5-0.3*(m-2))
	return math.Pi / 4 * math.Abs(c.Seat-c.Groove) * (c.Seat + c.Groove) * yield / q, nil
}
