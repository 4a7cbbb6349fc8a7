// Package tooling finds the tube that presses a rolling bearing home by the right
// ring and touches nothing else.
//
// A force must never go through the balls or rollers: the ring that is tight is
// the ring that is pushed. Bearing makers' mounting advice; common practice, no
// source.
package tooling

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Ring is what the tube pushes on.
type Ring string

// The rings.
const (
	Inner Ring = "the inner ring, tight on its shaft"
	Outer Ring = "the outer ring, tight in its case"
	Both  Ring = "both rings, tight on shaft and in case"
)

// Bearing is a rolling bearing as a calliper finds it. Diameters grow in this
// order.
type Bearing struct {
	Bore    unit.Length
	Inside  unit.Length // outside diameter of the inner ring's shoulder
	Outside unit.Length // inside diameter of the outer ring's shoulder
	OD      unit.Length
	Corner  unit.Length // chamfer or radius at the rings' corners
}

// Job is one bearing to press.
type Job struct {
	Bearing Bearing
	Push    Ring
	Through unit.Length // thickest part of shaft or thread that goes inside the tube; 0 if nothing does
	Clear   unit.Length // room to keep round it and inside the case, on diameter
	Contact unit.Length // least width of face to push on
}

// Tube is a tube or ring; a Bore of 0 is a solid drift.
type Tube struct {
	Name     string
	Bore, OD unit.Length
}

// Window is which tubes serve: bore and outside diameter from least to most, and
// the face there is to push on.
type Window struct {
	BoreLeast, BoreMost unit.Length
	ODLeast, ODMost     unit.Length
	FaceInner           unit.Length // where the face of the ring begins
	FaceOuter           unit.Length // and ends
	Contact             unit.Length
}

// Window returns the tubes that push the ring wanted and nothing else.
//
//	inner: bore Through + Clear … Inside − 2·Contact, outside Bore + 2·(Corner + Contact) … Inside
//	outer: bore Outside … OD − 2·(Corner + Contact), outside Outside + 2·Contact … OD − Clear
//	both:  bore Through + Clear … Inside − 2·Contact, outside Outside + 2·Contact … OD − Clear
//
// A tube for the outer ring stays clear of what goes through it as well. Geometry,
// no source. It returns an error if the diameters do not grow in order or if no
// tube can serve.
func (j Job) Window() (Window, error) {
	b := j.Bearing
	if !(b.Bore > 0 && b.Inside > b.Bore && b.Outside > b.Inside && b.OD > b.Outside) {
		return Window{}, fmt.Errorf("tooling: the diameters of a bearing grow from its bore over inner and outer shoulder to its outside; got %.4g, %.4g, %.4g, %.4g mm",
			inMM(b.Bore), inMM(b.Inside), inMM(b.Outside), inMM(b.OD))
	}
	through := 0 * unit.Metre
	if j.Through > 0 {
		through = j.Through + j.Clear
	}
	w := Window{Contact: j.Contact}
	innerFace, outerFace := b.Bore+2*b.Corner, b.OD-2*b.Corner
	switch j.Push {
	case Inner:
		w.FaceInner, w.FaceOuter = innerFace, b.Inside
		w.BoreLeast, w.BoreMost = through, b.Inside-2*j.Contact
		w.ODLeast, w.ODMost = innerFace+2*j.Contact, b.Inside
	case Outer:
		w.FaceInner, w.FaceOuter = b.Outside, outerFace
		w.BoreLeast, w.BoreMost = max(b.Outside, through), outerFace-2*j.Contact
		w.ODLeast, w.ODMost = b.Outside+2*j.Contact, b.OD-j.Clear
	case Both:
		w.FaceInner, w.FaceOuter = innerFace, outerFace
		w.BoreLeast, w.BoreMost = through, b.Inside-2*j.Contact
		w.ODLeast, w.ODMost = b.Outside+2*j.Contact, b.OD-j.Clear
	default:
		return Window{}, fmt.Errorf("tooling: what is pushed is %q, %q or %q, not %q", Inner, Outer, Both, j.Push)
	}
	if w.BoreMost < w.BoreLeast || w.ODMost < w.ODLeast || w.ODMost-w.BoreLeast < 2*j.Contact {
		return w, fmt.Errorf("tooling: no tube fits: its bore would go from %.4g to %.4g mm and its outside from %.4g to %.4g mm; "+
			"turn a stepped ring, or accept less room or contact", inMM(w.BoreLeast), inMM(w.BoreMost), inMM(w.ODLeast), inMM(w.ODMost))
	}
	return w, nil
}

func inMM(l unit.Length) float64 { return float64(l / unit.Millimetre) }

// grace forgives the last bits of a difference.
const grace = 1e-9

// Fits returns "" if the tube serves, or what is wrong with it.
func (w Window) Fits(t Tube) string {
	switch {
	case t.Bore < w.BoreLeast-grace:
		return "its bore is too small"
	case t.Bore > w.BoreMost+grace:
		return "its bore is too large"
	case t.OD > w.ODMost+grace:
		return "it is too large outside"
	case t.OD < w.ODLeast-grace:
		return "it is too small outside"
	case w.Width(t) < w.Contact-grace:
		return "its wall is too thin"
	}
	return ""
}

// Width returns the width of face on which a tube bears, 0 if it misses the ring.
func (w Window) Width(t Tube) unit.Length {
	return max(0, min(t.OD, w.FaceOuter)-max(t.Bore, w.FaceInner)) / 2
}

// Pressure returns the pressure on that face at a force, counting all of it: for
// both rings, where the gap between them bears nothing, it is too low. It is
// infinite if the tube misses the ring.
func (w Window) Pressure(t Tube, f unit.Force) unit.Pressure {
	out, in := float64(min(t.OD, w.FaceOuter)), float64(max(t.Bore, w.FaceInner))
	if !(out > in) {
		return unit.Pressure(math.Inf(1))
	}
	return unit.Pressure(float64(f) / (math.Pi / 4 * (out*out - in*in)))
}
