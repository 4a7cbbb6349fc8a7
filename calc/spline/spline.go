// Package spline computes what joins gears and hubs to a shaft: splines, dog teeth
// and the lugs of hubs, keys, circlips, and the nut that clamps it all along the
// shaft.
//
// Pressures and shears are means over the area in contact, divided by the share of
// the teeth that really carry; errors of pitch, a shaft that leans and an edge that
// bears raise the peak well above them. So a result is good for comparing two parts
// or for a rating with allowances from practice, not as the stress in a tooth.
//
// All quantities are in SI: metres, newtons, newton metres, pascals, radians. Errors
// state the value at fault.
//
// Sources: textbook statics, checked on [SINGH], [FAIRES] and [HOLOOLY]; [DUDLEY]
// through notes; circlips after [DIN471] from memory and [RINGS].
package spline

import (
	"fmt"
	"math"
)

// Shares of the teeth that carry, for Spline.Share. From memory of handbooks.
const (
	Ideal = 1.0  // ground and matched
	Usual = 0.75 // as made
	Rough = 0.5  // worn or loose
)

// Spline is the teeth by which a hub turns with a shaft, straight-sided or
// involute.
type Spline struct {
	Teeth   int
	Inner   float64 // diameter where contact begins: the hub's bore over its teeth
	Outer   float64 // diameter where it ends: over the shaft's teeth
	Chamfer float64 // height lost to chamfers and roots, on radius
	Length  float64 // in contact
	Share   float64 // of the teeth that carry, such as Usual
}

// Height returns the working height of a tooth, (Do − Di)/2 less chamfers.
func (s Spline) Height() float64 { return (s.Outer-s.Inner)/2 - s.Chamfer }

// Radius returns the mean radius of contact, (Do + Di)/4.
func (s Spline) Radius() float64 { return (s.Outer + s.Inner) / 4 }

func (s Spline) check() error {
	if !(s.Teeth >= 1 && s.Teeth <= 1000 && s.Inner > 0 && s.Outer < 100 && s.Chamfer >= 0 && s.Height() > 0 && s.Length > 0 && s.Length < 100 && s.Share > 0 && s.Share <= 1) {
		return fmt.Errorf("spline: no such spline: %d teeth from %g to %g mm less %g mm, %g mm long, share %g; it needs some height and a share to 1",
			s.Teeth, s.Inner*1e3, s.Outer*1e3, s.Chamfer*1e3, s.Length*1e3, s.Share)
	}
	return nil
}

// Pressure returns the mean pressure on the flanks under a torque:
//
//	p = T/(k z rm h l)
//
// Textbook, checked on [SINGH] 7.3.
func (s Spline) Pressure(torque float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if err := torqueOK(torque); err != nil {
		return 0, err
	}
	return math.Abs(torque) / (s.Share * float64(s.Teeth) * s.Radius() * s.Height() * s.Length), nil
}

// Torque returns the torque that makes a pressure: the inverse of Pressure.
func (s Spline) Torque(pressure float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if !(pressure >= 0 && pressure < 1e12) {
		return 0, fmt.Errorf("spline: a pressure is 0 or more, got %g MPa", pressure/1e6)
	}
	return pressure * s.Share * float64(s.Teeth) * s.Radius() * s.Height() * s.Length, nil
}

// Slide returns the axial force that moves a hub along its spline under torque,
// F = µ T/rm. Textbook, checked on [SINGH] 7.3.
func (s Spline) Slide(torque, friction float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if err := torqueOK(torque); err != nil {
		return 0, err
	}
	if !(friction >= 0 && friction <= 2) {
		return 0, fmt.Errorf("spline: a coefficient of friction is 0 to 2, got %g", friction)
	}
	return friction * math.Abs(torque) / s.Radius(), nil
}

func torqueOK(t float64) error {
	if !(math.Abs(t) < 1e9) {
		return fmt.Errorf("spline: %g N·m is no torque", t)
	}
	return nil
}

// Dogs are dog teeth, or the lugs of a hub: alike teeth round a circle that carry
// a torque by their flanks.
type Dogs struct {
	Count   int
	Radius  float64 // mean radius of contact
	Contact float64 // area of a flank that really touches: height times engaged length
	Root    float64 // area across the foot of a tooth
	Share   float64 // of the teeth that carry
	Back    float64 // angle by which the flanks draw the parts together, 0 if straight
}

func (d Dogs) check(torque float64) error {
	if !(d.Count >= 1 && d.Count <= 1000 && d.Radius > 0 && d.Radius < 100 && d.Contact > 0 && d.Contact < 1 && d.Root >= 0 && d.Share > 0 && d.Share <= 1 && math.Abs(d.Back) < 1) {
		return fmt.Errorf("spline: no such dog teeth: %d on a radius of %g mm, %g mm² in contact, share %g, back angle %g°",
			d.Count, d.Radius*1e3, d.Contact*1e6, d.Share, d.Back*180/math.Pi)
	}
	return torqueOK(torque)
}

// Pressure returns the mean pressure on the flanks, T/(k n rm A).
func (d Dogs) Pressure(torque float64) (float64, error) {
	if err := d.check(torque); err != nil {
		return 0, err
	}
	return math.Abs(torque) / (d.Share * float64(d.Count) * d.Radius * d.Contact), nil
}

// Shear returns the mean shear across the feet, T/(k n rm Ar).
func (d Dogs) Shear(torque float64) (float64, error) {
	if err := d.check(torque); err != nil {
		return 0, err
	}
	if !(d.Root > 0) {
		return 0, fmt.Errorf("spline: shear needs the area across the foot of a tooth, got %g mm²", d.Root*1e6)
	}
	return math.Abs(torque) / (d.Share * float64(d.Count) * d.Radius * d.Root), nil
}

// Draw returns the axial force by which back-tapered dogs hold themselves in gear
// under a torque, and the force it takes to draw them out:
//
//	in: F = T/r · tan(γ − ρ)    out: F = T/r · tan(γ + ρ),  tan ρ = µ
//
// Straight dogs hold by friction alone: in is then negative, which says that they
// slide neither way. Where γ + ρ is negative, on dogs worn to the wrong taper, out is
// negative too: they throw themselves out of gear. Statics of the wedge.
func (d Dogs) Draw(torque, friction float64) (in, out float64, err error) {
	if err := d.check(torque); err != nil {
		return 0, 0, err
	}
	if !(friction >= 0 && friction <= 0.5) {
		return 0, 0, fmt.Errorf("spline: friction of dogs is 0 to 0.5, got %g", friction)
	}
	ρ, f := math.Atan(friction), math.Abs(torque)/d.Radius
	return f * math.Tan(d.Back-ρ), f * math.Tan(d.Back+ρ), nil
}

// Key is a parallel key.
type Key struct {
	Diameter float64 // of the shaft
	Width    float64
	Depth    float64 // of the flank in the hub or the shaft, the smaller; half the height of a key in the middle
	Length   float64 // that carries, round ends left out
	Count    int     // 1, or 2
}

func (k Key) check(torque float64) error {
	if !(k.Diameter > 0 && k.Diameter < 100 && k.Width > 0 && k.Width < k.Diameter && k.Depth > 0 && k.Depth < k.Diameter && k.Length > 0 && k.Length < 100 && k.Count >= 1 && k.Count <= 8) {
		return fmt.Errorf("spline: no such key: %d of %g mm width, %g mm deep, %g mm long in a shaft of %g mm", k.Count, k.Width*1e3, k.Depth*1e3, k.Length*1e3, k.Diameter*1e3)
	}
	return torqueOK(torque)
}

// Shear returns the mean shear in the key, 2T/(d b l).
func (k Key) Shear(torque float64) (float64, error) {
	if err := k.check(torque); err != nil {
		return 0, err
	}
	return 2 * math.Abs(torque) / (k.Diameter * k.Width * k.carrying()), nil
}

// Pressure returns the mean pressure on the flank, 2T/(d t l).
func (k Key) Pressure(torque float64) (float64, error) {
	if err := k.check(torque); err != nil {
		return 0, err
	}
	return 2 * math.Abs(torque) / (k.Diameter * k.Depth * k.carrying()), nil
}

// carrying is the length of all keys; a second one carries half as much as the
// first, common practice.
func (k Key) carrying() float64 { return k.Length * (1 + 0.5*float64(k.Count-1)) }
