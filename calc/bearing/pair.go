package bearing

import "fmt"

// Method is a way to reckon the thrust that a radial load induces in a taper
// bearing: Share·Fr/Y. Books differ, so every result names its own.
type Method struct {
	Name   string
	Share  float64
	Source string
}

// The methods in use. All are for bearings set to about no play and no preload.
var (
	HalfY   = Method{"Fr/(2Y)", 0.5, "[SKF] and [LYC]"}
	SixthY  = Method{"0.6·Fr/Y", 0.6, "[NSK] section 5.7, example 4"}
	FortyK  = Method{"0.47·Fr/K", 0.47, "[BN10] equation 11-18; K stands for Y"}
	Methods = []Method{HalfY, SixthY, FortyK}
)

// Side is one bearing of a pair.
type Side struct {
	Radial float64 // N
	Y      float64 // axial factor, K of inch makers
}

// Pair is the thrust on each bearing of a pair and what each induces, in newtons.
type Pair struct {
	InducedA, InducedB float64
	AxialA, AxialB     float64
}

// Thrusts returns the axial loads of two taper or angular contact bearings set
// against each other, A and B, under an external axial force that presses on A;
// negative presses on B.
//
//	S = share·Fr/Y
//	Fa(A) = SB + Ka, Fa(B) = SB  if SB + Ka ≥ SA,  else Fa(A) = SA, Fa(B) = SA − Ka
//
// Which bearing a force presses on depends on the arrangement: see Pressed. A pair
// that is preloaded carries more than this. [SKF], "Calculating the axial load for
// bearings mounted singly".
func (m Method) Thrusts(a, b Side, ka float64) (Pair, error) {
	if !(a.Radial >= 0 && b.Radial >= 0 && a.Y > 0 && b.Y > 0 && m.Share > 0 && ka > -1e12 && ka < 1e12) {
		return Pair{}, fmt.Errorf("bearing: a pair needs radial loads of 0 or more and factors Y above 0, got %g N with %g and %g N with %g", a.Radial, a.Y, b.Radial, b.Y)
	}
	p := Pair{InducedA: m.Share * a.Radial / a.Y, InducedB: m.Share * b.Radial / b.Y}
	if p.InducedB+ka >= p.InducedA {
		p.AxialA, p.AxialB = p.InducedB+ka, p.InducedB
	} else {
		p.AxialA, p.AxialB = p.InducedA, p.InducedA-ka
	}
	return p, nil
}

// Arrangement is the way two taper or angular contact bearings face.
type Arrangement uint8

// X is face to face: the lines of contact cross the shaft between the bearings,
// the cups rest outward. O is back to back: they cross it outside, the cups rest
// inward.
const (
	X Arrangement = iota
	O
)

// Pressed turns an axial force on the shaft, positive from A toward B, into one
// that presses on A, as Thrusts takes it. In X arrangement a shaft pushed toward B
// presses on B; in O it presses on A.
func (a Arrangement) Pressed(force float64) float64 {
	if a == O {
		return force
	}
	return -force
}

// Centres returns where the bearings' loads act on the shaft, for the places of
// their outer faces: the wide faces of the cups, outward in X and inward in O, and
// the distance from there to the load centre, both from the maker's sheet.
func (a Arrangement) Centres(faceA, faceB, toA, toB float64) (float64, float64) {
	if a == O {
		return faceA - toA, faceB + toB
	}
	return faceA + toA, faceB - toB
}
