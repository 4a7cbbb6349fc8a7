package spline

import (
	"fmt"
	"math"
)

// Clamp is a stack of hubs, spacers and bearing rings that a nut presses together on
// a shaft against a shoulder.
type Clamp struct {
	Preload  float64 // of the nut
	Settling float64 // force lost as the faces settle
	Apart    float64 // axial force on a part of the stack that eases what is between it and the shoulder
	Portion  float64 // of that force that the nut feels on top, 0 to 1: see Portion
	Friction float64 // between the faces
	Inner    float64 // diameters of the faces that drive the hub
	Outer    float64
	Faces    int // 1 or 2: faces that turn with the shaft
}

// Held is what a clamp does.
type Held struct {
	Left   float64 // force between the faces; 0 or less: the stack has parted
	Nut    float64 // force on the thread
	Torque float64 // that the faces pass on by friction
}

// Hold returns what is left of a clamp under an axial force and what it then holds:
//
//	F left = F − Fz − (1 − Φ) Fa    F nut = F − Fz + Φ Fa
//	T = n µ F left · ⅔ (ro³ − ri³)/(ro² − ri²)
//
// The pressure is taken as even over the faces. After the scheme of [VDI2230], from
// memory.
func (c Clamp) Hold() (Held, error) {
	switch {
	case !(c.Preload >= 0 && c.Settling >= 0 && c.Apart >= 0 && c.Preload < 1e12 && c.Apart < 1e12 && c.Settling < 1e12):
		return Held{}, fmt.Errorf("spline: clamp forces are 0 or more, got %g, %g and %g N", c.Preload, c.Settling, c.Apart)
	case !(c.Portion >= 0 && c.Portion <= 1 && c.Friction >= 0 && c.Friction <= 2):
		return Held{}, fmt.Errorf("spline: the nut feels 0 to 1 of an axial force and friction is 0 to 2, got %g and %g", c.Portion, c.Friction)
	case !(c.Inner >= 0 && c.Outer > c.Inner && c.Outer < 100 && c.Faces >= 1 && c.Faces <= 100):
		return Held{}, fmt.Errorf("spline: %d faces from %g to %g mm are no rings", c.Faces, c.Inner*1e3, c.Outer*1e3)
	}
	h := Held{Left: c.Preload - c.Settling - (1-c.Portion)*c.Apart, Nut: c.Preload - c.Settling + c.Portion*c.Apart}
	// Once the stack has parted the nut carries the axial force alone.
	h.Nut = max(h.Nut, c.Apart)
	h.Torque = float64(c.Faces) * c.Friction * max(0, h.Left) * FaceRadius(c.Inner, c.Outer)
	return h, nil
}

// FaceRadius returns the radius at which friction on a ring under even pressure
// acts, ⅔ (ro³ − ri³)/(ro² − ri²), from its diameters.
func FaceRadius(inner, outer float64) float64 {
	ri, ro := inner/2, outer/2
	return 2.0 / 3 * (ri*ri + ri*ro + ro*ro) / (ri + ro)
}

// OnSpline returns the torque that is left to the spline under a clamped hub: none
// as long as friction holds it all. Where it does not, the hub works on its spline
// and frets.
func (h Held) OnSpline(torque float64) float64 { return max(0, math.Abs(torque)-h.Torque) }

// Give returns the compliance of a piece of a shaft or a stack, l/(E·A), in m/N.
func Give(length, area, modulus float64) (float64, error) {
	if !(length > 0 && area > 0 && modulus > 0) {
		return 0, fmt.Errorf("spline: compliance needs a length, an area and a modulus above 0, got %g m, %g m² and %g Pa", length, area, modulus)
	}
	return length / (area * modulus), nil
}

// Portion returns Φ, the share of an axial force that the nut feels: the compliance
// of the stack over that of stack and shaft, for a force that acts at the nut's end
// of the stack. [VDI2230], from memory.
func Portion(shaft, stack float64) (float64, error) {
	if !(shaft > 0 && stack > 0) {
		return 0, fmt.Errorf("spline: compliances are above 0, got %g and %g m/N", shaft, stack)
	}
	return stack / (shaft + stack), nil
}

// SettlingLoss returns the force lost as the faces of a stack settle by a length in
// all, fz/(δ shaft + δ stack). A face settles by some 2 to 4 µm, [VDI2230] from
// memory.
func SettlingLoss(settling, shaft, stack float64) (float64, error) {
	if !(settling >= 0 && shaft >= 0 && stack >= 0 && shaft+stack > 0) {
		return 0, fmt.Errorf("spline: settling needs a length of 0 or more and compliances, got %g m, %g and %g m/N", settling, shaft, stack)
	}
	return settling / (shaft + stack), nil
}
