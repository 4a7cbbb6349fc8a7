package bevel

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// DepthHot returns how much further from the axis of the crown wheel the face of
// the pinion stands when case and pinion are warm:
//
//	ΔA = S·α_case·ΔT_case − (S − A)·α_pinion·ΔT_pinion
//
// S is the distance from the axis to the seat in the case that locates the pinion,
// A the depth when cold, so that S − A of steel lies between seat and face.
// Derived from linear expansion; common practice, no source.
func DepthHot(seat, depth unit.Length, caseExpansion, pinionExpansion float64, caseRise, pinionRise unit.TempRise) unit.Length {
	return seat*unit.Length(caseExpansion*float64(caseRise)) - (seat-depth)*unit.Length(pinionExpansion*float64(pinionRise))
}

// Arrangement is how a pair of taper bearings stands.
type Arrangement string

const (
	// X has the cups shouldered outward, as with a cover at either end: growth of
	// the case loosens.
	X Arrangement = "X, cups held from outside"
	// O has the cups shouldered inward: growth of the case tightens.
	O Arrangement = "O, cups held from inside"
)

// Cup is one taper bearing of a pair.
type Cup struct {
	E      float64     // its factor e; tan α = e/1.5
	Growth unit.Length // by which its raceway's diameter grows as the fit slackens
}

// Axial returns the end play that a cup's growth gives: (Δd/2)/tan α = Δd/2·1.5/e.
// [BNORMS] gives 10 µm on the radius as 27.4 µm for one bearing.
func (c Cup) Axial() unit.Length { return c.Growth / 2 * unit.Length(1.5/c.E) }

// PlayHot returns the end play that warming gives a pair of taper bearings;
// negative is preload gained.
//
//	Δ = ± L·(α_case·ΔT_case − α_shaft·ΔT_shaft) + Σ (Δd/2)/tan α
//
// with + for X and − for O; L is the distance between the cups. A cup that grows
// loosens in both. Rings and rollers are taken as equally warm. Derived from linear
// expansion. It returns an error for an unknown arrangement or a cup whose e is
// not above 0.
func PlayHot(a Arrangement, between unit.Length, caseExpansion, shaftExpansion float64, caseRise, shaftRise unit.TempRise, cups ...Cup) (unit.Length, error) {
	play := between * unit.Length(caseExpansion*float64(caseRise)-shaftExpansion*float64(shaftRise))
	switch a {
	case X:
	case O:
		play = -play
	default:
		return 0, fmt.Errorf("bevel: an arrangement is %q or %q, not %q", X, O, a)
	}
	for _, c := range cups {
		if !(c.E > 0) {
			return 0, fmt.Errorf("bevel: the factor e of a taper bearing is above 0, got %g", c.E)
		}
		play += c.Axial()
	}
	return play, nil
}

// Quality says how finely a pair is made.
type Quality string

const (
	// Fine is AGMA quality 7 to 13.
	Fine Quality = "AGMA quality 7 to 13"
	// Coarse is AGMA quality 3 to 6.
	Coarse Quality = "AGMA quality 3 to 6"
)

// allowances are the recommended normal backlashes of a new pair, in thousandths
// of an inch, for diametral pitches from dp up to the next. [AGMABL]; three
// headings of the public table have slips of the decimal point and are mended.
var allowances = []struct{ dp, fineMin, fineMax, coarseMin, coarseMax float64 }{
	{1, 20, 30, 45, 65}, {1.25, 18, 26, 35, 55}, {1.5, 16, 22, 25, 45}, {1.75, 14, 18, 20, 40},
	{2, 12, 16, 20, 30}, {2.5, 10, 13, 15, 25}, {3, 8, 11, 12, 22}, {3.5, 7, 9, 10, 20},
	{4, 6, 8, 8, 16}, {5, 5, 7, 6, 13}, {6, 4, 6, 5, 10}, {8, 3, 5, 4, 8},
	{10, 2, 4, 3, 5}, {16, 1, 3, 2, 4},
}

// finest is where the table ends.
const finest = 20

// Allowance returns the recommended normal backlash at the outer end of a bevel
// pair by its outer module: [AGMABL], diametral pitch 1 to 20. A pitch on a
// boundary takes the row of the finer teeth. It returns an error outside.
func Allowance(module unit.Length, q Quality) (least, most unit.Length, err error) {
	const grace = 1e-9
	dp := float64(unit.Inch / module)
	if !(module > 0) || dp < 1-grace || dp > finest+grace {
		return 0, 0, fmt.Errorf("bevel: the table goes from module %.3g to %.4g mm, got %.4g mm", 25.4/finest, 25.4, float64(module/unit.Millimetre))
	}
	row := allowances[0]
	for _, r := range allowances {
		if dp >= r.dp-grace {
			row = r
		}
	}
	thou := unit.Inch / 1000
	switch q {
	case Fine:
		return unit.Length(row.fineMin) * thou, unit.Length(row.fineMax) * thou, nil
	case Coarse:
		return unit.Length(row.coarseMin) * thou, unit.Length(row.coarseMax) * thou, nil
	}
	return 0, 0, fmt.Errorf("bevel: quality is %q or %q, not %q", Fine, Coarse, q)
}

// WasherSteps returns how many steps thicker both side-gear washers of a
// differential must be to bring a backlash down to most, for a factor k of
// backlash to thickness: the least whole n with j − n·k·step ≤ most, 0 if none are
// needed. It returns an error unless k and step are above 0 and n is below a
// hundred.
func WasherSteps(backlash, most unit.Length, k float64, step unit.Length) (int, error) {
	n := math.Ceil(float64((backlash-most)/step)/k - 1e-9)
	if !(k > 0 && step > 0 && n < 100) {
		return 0, fmt.Errorf("bevel: a backlash of %.4g mm cannot be mended with washers in steps of %.4g mm", float64(backlash/unit.Millimetre), float64(step/unit.Millimetre))
	}
	return max(0, int(n)), nil
}
