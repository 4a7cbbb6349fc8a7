// Package fit gives the ISO limits of size and what they make of a hole and a
// shaft: clearance, transition or interference.
//
// It knows the nominal sizes up to 500 mm, the letters a to h, j, js, k, m, n, p
// to v, x, y, z, za, zb and zc, and the grades IT01 to IT18. The letters cd, ef
// and fg of small instruments are left out. A size that ends one range of the
// tables and begins the next belongs to the lower: 30 mm is in 18 to 30.
//
// The tables are the standard; the formulas they were once made from are not,
// and miss them by up to 13 %. Sources: [ISO286] through [MD15] and [MH31],
// [SKF] for rolling bearings.
package fit

import (
	"fmt"

	"endfloat/calc/unit"
)

// Limits are the lower and upper limit deviations from the nominal size: EI and
// ES of a hole, ei and es of a shaft.
type Limits struct{ Lower, Upper unit.Length }

// Tolerance returns the width of the limits.
func (l Limits) Tolerance() unit.Length { return l.Upper - l.Lower }

// Fit is a hole and the shaft in it, of one nominal size. The limits may come
// from classes, a drawing or a bearing's data sheet.
type Fit struct{ Hole, Shaft Limits }

// Kind is what a fit can become.
type Kind string

// The kinds of fit.
const (
	Clearance    Kind = "clearance fit"
	Transition   Kind = "transition fit"
	Interference Kind = "interference fit"
)

// Kind returns Clearance if EI ≥ es, Interference if ES ≤ ei, else Transition.
// [ISO286] part 1, as in [MD15].
func (f Fit) Kind() Kind {
	switch least, most := f.Extremes(); {
	case least >= 0:
		return Clearance
	case most <= 0:
		return Interference
	}
	return Transition
}

// Extremes returns the least and the most clearance on diameter. An interference
// is a clearance below 0.
//
//	least = EI − es
//	most  = ES − ei
func (f Fit) Extremes() (least, most unit.Length) {
	return tidy(f.Hole.Lower - f.Shaft.Upper), tidy(f.Hole.Upper - f.Shaft.Lower)
}

// Probable returns the range of clearance that nearly all pairs will have if
// sizes gather about the middle of their limits: the middle of the extremes,
// with half the root of the summed squares of both tolerances to either side.
//
// That is the statistical sum of two tolerances, textbook; it meets the probable
// fits printed in [SKF] within 1 µm.
func (f Fit) Probable() (least, most unit.Length) {
	lo, hi := f.Extremes()
	mid, half := (lo+hi)/2, hypot(f.Hole.Tolerance(), f.Shaft.Tolerance())/2
	return mid - half, mid + half
}

// Likely returns the clearance of parts made with the usual caution: each one
// third of its tolerance from the limit where there is most metal. [NKE11] p. 298.
func (f Fit) Likely() unit.Length {
	return f.Hole.Lower + f.Hole.Tolerance()/3 - (f.Shaft.Upper - f.Shaft.Tolerance()/3)
}

// Pair is the class of a hole, of a shaft, or of both. The zero Class stands for
// one that is not given.
type Pair struct{ Hole, Shaft Class }

// Fit returns the limits of both parts at a nominal size.
func (p Pair) Fit(size unit.Length) (Fit, error) {
	if p.Hole == (Class{}) || p.Shaft == (Class{}) {
		return Fit{}, fmt.Errorf("fit: a fit needs a hole and a shaft, as in H7/p6, got %q", p)
	}
	hole, err := p.Hole.Limits(size)
	if err != nil {
		return Fit{}, err
	}
	shaft, err := p.Shaft.Limits(size)
	return Fit{hole, shaft}, err
}

// String returns the pair as it stands on a drawing, such as "H7/p6" or "H7".
func (p Pair) String() string {
	switch none := (Class{}); {
	case p.Shaft == none:
		return p.Hole.String()
	case p.Hole == none:
		return p.Shaft.String()
	}
	return p.Hole.String() + "/" + p.Shaft.String()
}
