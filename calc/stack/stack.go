// Package stack holds the arithmetic of lengths that add up inside a gearbox:
// the shim for an end float or a taper preload, the stack under a nut, the
// float of a gear on its sleeve, and the choice of shims from a drawer.
//
// The model is plain: parts are rigid, faces are flat and square, cups are
// seated and every length is taken at the same temperature. Nuts at their torque
// shorten the sleeves under them by 0.01 to 0.03 mm, so a play belongs to the
// torque at which it was read. Nothing here knows a limit of any gearbox; what
// is wanted comes in as an argument.
//
// The functions add and subtract, so they accept any finite lengths and return
// what the sum gives, a negative shim included: it means that a reading is
// invalid or a part is missing, and the caller must say so.
package stack

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Gap returns the free length between a bearing ring and the face of its cover,
// before any shim, from two depth-gauge readings:
//
//	gap = H + G − P
//
// H is the depth of the recess in the cover, G the thickness of the gasket when
// crushed (0 with sealant) and P the stand-up of the ring above the face of the
// case. Common practice, no source.
func Gap(recess, gasket, standUp unit.Length) unit.Length {
	return recess + gasket - standUp
}

// FloatShim returns the shim that leaves an end float in a gap: t = gap − e.
// With e negative it gives a preload. Common practice, no source.
func FloatShim(gap, float unit.Length) unit.Length { return gap - float }

// BothEnds returns the shims at the two ends of a shaft that runs between the
// seats of two case halves, so that the shaft has the float e, half of it at
// each end of its wanted place:
//
//	total = D1 + D2 − L − e
//	t1    = D1 − A − e/2
//	t2    = total − t1
//
// D1 and D2 are the depths of the two seats below the mating plane, L the length
// of the shaft over its bearing rings, and A the distance from the mating plane
// to the ring at end 1 when the shaft stands where its gears want it. Common
// practice, no source.
func BothEnds(depth1, depth2, length, place, float unit.Length) (total, t1, t2 unit.Length) {
	total = depth1 + depth2 - length - float
	t1 = depth1 - place - float/2
	return total, t1, total - t1
}

// CupShim returns the shim of a taper-bearing pair from the play read with a
// trial shim. squeeze is the preload wanted, as interference; a small play is
// wanted as a negative squeeze.
//
//	t = t_trial + (play + p)   where a thicker shim tightens (behind a cup, inside)
//	t = t_trial − (play + p)   where a thicker shim loosens (under a cover flange, outside)
//
// Which of the two holds is a fact of the place and must be asked: both exist,
// see [TM660]. Common practice, no source.
func CupShim(trial, play, squeeze unit.Length, thickerTightens bool) unit.Length {
	if thickerTightens {
		return trial + (play + squeeze)
	}
	return trial - (play + squeeze)
}

// Spacer returns the length of the spacer between the inner rings of a
// taper-bearing pair: L = L_trial − play − p. A shorter spacer gives more
// preload ([TM660], drive pinion).
func Spacer(trial, play, squeeze unit.Length) unit.Length { return trial - play - squeeze }

// CoverShim returns the shim under a cover that holds a bearing cup, from the
// gap c at the cover when it is drawn down without shims until the bearings just
// drag: t = c − p. The shims hold the cover off, so a thinner pack gives more
// preload. Common practice, no source.
func CoverShim(gap, squeeze unit.Length) unit.Length { return gap - squeeze }

// Proud returns by how much a stack of parts stands out beyond the end of the
// shaft's plain part, so that its nut clamps the parts and not the thread:
// proud = Σ widths − (shoulder to thread run-out). Common practice, no source.
func Proud(widths []unit.Length, shoulderToThread unit.Length) unit.Length {
	var sum unit.Length
	for _, w := range widths {
		sum += w
	}
	return sum - shoulderToThread
}

// GearFloat returns the end float of a loose gear on its sleeve, which is
// clamped and longer than the gear is wide. Common practice, no source.
func GearFloat(sleeve, gear unit.Length) unit.Length { return sleeve - gear }

// Nose returns how the nose of an input shaft stands in its spigot bearing:
//
//	clearance  = C + G − N
//	engagement = N − G − F
//
// All depths are from the engine's mounting face: C to the bottom of the bore, F
// to the front of the spigot bearing. G is an adapter plate or gasket and N the
// projection of the nose beyond the gearbox face. Common practice, no source.
func Nose(bore, bearing, gasket, nose unit.Length) (clearance, engagement unit.Length) {
	return bore + gasket - nose, nose - gasket - bearing
}

// ForkShift returns how far to shift a selector fork so that its sleeve travels
// equally to both sides: shift = (a − b)/2, positive toward side A. a and b are
// the travels from neutral to the stops of the sleeve. Common practice, no
// source.
func ForkShift(a, b unit.Length) unit.Length { return (a - b) / 2 }

// ForkShims returns the whole number of shims of thickness q nearest to a shift,
// negative toward side B. It returns an error unless q is above 0 and the number
// is below a thousand.
func ForkShims(shift, q unit.Length) (int, error) {
	n := math.Round(float64(shift / q))
	if !(q > 0 && math.Abs(n) < 1000) {
		return 0, fmt.Errorf("stack: a shift of %.4g mm cannot be made of shims of %.4g mm", float64(shift/unit.Millimetre), float64(q/unit.Millimetre))
	}
	return int(n), nil
}

// ForkResidue returns the difference of travels that n shims leave:
// residue = 2·(shift − n·q).
func ForkResidue(shift unit.Length, n int, q unit.Length) unit.Length {
	return 2 * (shift - unit.Length(n)*q)
}

// Circlip returns the index in sizes of the thickest circlip that goes into a
// groove and still leaves the least play wanted, or -1 if none does. free is the
// length from the ring's face to the far wall of the groove; the play left is
// free − t. Common practice, no source.
func Circlip(free, least unit.Length, sizes []unit.Length) int {
	best := -1
	for i, t := range sizes {
		// A nanometre of grace for the last bits of a difference.
		if free-t >= least-1e-9 && (best < 0 || t > sizes[best]) {
			best = i
		}
	}
	return best
}

// At20 returns a length at 20 °C, the reference temperature of ISO 1, from a
// reading taken with part and instrument both at t. Expansions are per kelvin.
//
//	L20 = L·[1 − (α_part − α_instrument)·(T − 20 °C)]
//
// [ISO1]; first order in α, good to a part in a million at workshop temperatures.
func At20(reading unit.Length, part, instrument float64, t unit.Temperature) unit.Length {
	return reading * unit.Length(1-(part-instrument)*(float64(t)-20))
}

// Growth returns how much more one part grows than another over the same
// length: ΔL = L·(α_outer − α_inner)·ΔT. Textbook, no source.
func Growth(length unit.Length, outer, inner float64, rise unit.TempRise) unit.Length {
	return length * unit.Length((outer-inner)*float64(rise))
}

// LevelVolume returns the volume in cubic metres that a change of oil level
// takes: ΔV = A·f·Δh, with A the plan area of the case in square metres and f
// the part of it that gears do not fill. Common practice, no source.
func LevelVolume(area, free float64, rise unit.Length) float64 { return area * free * float64(rise) }
