package shaft

import (
	"fmt"
	"math"
)

// Step is a length of one diameter, from the end of the step before.
type Step struct{ To, Outside, Bore float64 }

// Support is a bearing: where its load acts, and how much it gives square to the
// shaft, in metres per newton; 0 is rigid.
type Support struct{ At, Give float64 }

// Shaft is a stepped shaft on two bearings. It may reach beyond both.
type Shaft struct {
	Start   float64 // where the first step begins
	Steps   []Step
	Modulus float64 // of elasticity, Pa
	A, B    Support
}

// Bent is where the axis of the loaded shaft runs at a place, against the straight
// line of the unloaded one.
type Bent struct {
	At             float64
	Y, Z           float64 // m
	SlopeY, SlopeZ float64 // rad
}

// Toward returns the displacement and the slope in a direction square to the shaft,
// by its angle from y toward z.
func (b Bent) Toward(angle float64) (displacement, slope float64) {
	s, c := math.Sincos(angle)
	return b.Y*c + b.Z*s, b.SlopeY*c + b.SlopeZ*s
}

// Most returns the size of displacement and slope whatever their direction.
func (b Bent) Most() (displacement, slope float64) {
	return math.Hypot(b.Y, b.Z), math.Hypot(b.SlopeY, b.SlopeZ)
}

// Bend returns how the loads bend the shaft at the places asked for, appended to
// out in the order of at.
//
//	E·I·y″ = Mz    E·I·z″ = −My    I = π (D⁴ − d⁴)/64
//
// The moment is a straight line between loads and I is constant on a step, so each
// piece is integrated exactly; the line through the bearings is then laid where
// their loads press them to. It allocates nothing as long as out has room and
// loads, steps and places are 60 or fewer.
func (s *Shaft) Bend(loads []Load, at []float64, out []Bent) ([]Bent, error) {
	if err := s.check(loads, at); err != nil {
		return out, err
	}
	r, err := React(s.A.At, s.B.At, loads)
	if err != nil {
		return out, err
	}
	first := len(out)
	for _, x := range at {
		out = append(out, Bent{At: x})
	}
	w := sweep{shaft: s, reactions: r, loads: loads, asked: out[first:]}
	w.run()
	// Lay the line through the bearings.
	span := s.B.At - s.A.At
	ay, by := w.a.Y+s.A.Give*r.A[1], w.b.Y+s.B.Give*r.B[1]
	az, bz := w.a.Z+s.A.Give*r.A[2], w.b.Z+s.B.Give*r.B[2]
	ty, tz := (by-ay)/span, (bz-az)/span
	for i := range out[first:] {
		b := &out[first+i]
		b.Y -= ay + ty*(b.At-s.A.At)
		b.Z -= az + tz*(b.At-s.A.At)
		b.SlopeY -= ty
		b.SlopeZ -= tz
	}
	return out, nil
}

func (s *Shaft) check(loads []Load, at []float64) error {
	if len(s.Steps) == 0 || !(s.Modulus > 0 && s.Modulus < 1e15) {
		return fmt.Errorf("shaft: bending needs steps and a modulus above 0, got %d and %g GPa", len(s.Steps), s.Modulus/1e9)
	}
	from := s.Start
	for i, st := range s.Steps {
		if !(st.To > from && st.To < 1e3 && st.Bore >= 0 && st.Outside > st.Bore && st.Outside < 1e2) {
			return fmt.Errorf("shaft: step %d ends at %g mm with diameters %g and %g mm; steps go on and have a wall", i+1, st.To*1e3, st.Outside*1e3, st.Bore*1e3)
		}
		from = st.To
	}
	const grace = 1e-9
	inside := func(x float64) bool { return x >= s.Start-grace && x <= from+grace }
	switch {
	case !(inside(s.A.At) && inside(s.B.At)):
		return fmt.Errorf("shaft: the bearings at %g and %g mm must stand on the shaft, which runs from %g to %g mm", s.A.At*1e3, s.B.At*1e3, s.Start*1e3, from*1e3)
	case !(s.A.Give >= 0 && s.A.Give < 1 && s.B.Give >= 0 && s.B.Give < 1):
		return fmt.Errorf("shaft: a bearing gives 0 or more, got %g and %g m/N", s.A.Give, s.B.Give)
	}
	for _, l := range loads {
		if !inside(l.At) {
			return fmt.Errorf("shaft: a load at %g mm is not on the shaft, which runs from %g to %g mm", l.At*1e3, s.Start*1e3, from*1e3)
		}
	}
	for _, x := range at {
		if !inside(x) {
			return fmt.Errorf("shaft: %g mm is not on the shaft, which runs from %g to %g mm", x*1e3, s.Start*1e3, from*1e3)
		}
	}
	return nil
}

// sweep integrates along the shaft from its start, where slope and displacement are
// taken as 0.
type sweep struct {
	shaft     *Shaft
	reactions Reactions
	loads     []Load
	asked     []Bent
	a, b      Bent

	x         float64
	now       Bent
	in        Inner
	flexural  float64 // E·I of the step
	remaining []Step
}

// Events are what happens at a place of the sweep.
const (
	evStep = iota
	evLoad
	evA
	evB
	evAsk
)

type event struct {
	x    float64
	kind int8
	i    int
}

func (w *sweep) run() {
	var room [64]event
	list := room[:0]
	s := w.shaft
	list = insert(list, event{s.Start, evStep, 0})
	for i := range s.Steps[:len(s.Steps)-1] {
		list = insert(list, event{s.Steps[i].To, evStep, i + 1})
	}
	for i := range w.loads {
		list = insert(list, event{w.loads[i].At, evLoad, i})
	}
	list = insert(list, event{s.A.At, evA, 0})
	list = insert(list, event{s.B.At, evB, 0})
	for i := range w.asked {
		list = insert(list, event{w.asked[i].At, evAsk, i})
	}
	w.x = list[0].x
	w.setStep(0)
	for _, e := range list {
		w.advance(e.x)
		w.happen(e)
	}
}

// insert keeps the list in order of place; it is short and mostly in order.
func insert(list []event, e event) []event {
	list = append(list, e)
	for i := len(list) - 1; i > 0 && list[i-1].x > e.x; i-- {
		list[i], list[i-1] = list[i-1], list[i]
	}
	return list
}

func (w *sweep) setStep(i int) {
	st := w.shaft.Steps[i]
	w.flexural = w.shaft.Modulus * SecondMoment(st.Outside, st.Bore)
}

// advance integrates over a piece of constant E·I and straight moment.
func (w *sweep) advance(x float64) {
	d := x - w.x
	if d <= 0 {
		return
	}
	k := d / w.flexural
	m, v := w.in.Mz, -w.in.Shear[1] // dMz/dx is what the forces so far add
	w.now.Y += d * (w.now.SlopeY + k*(m/2+v*d/6))
	w.now.SlopeY += k * (m + v*d/2)
	w.in.Mz += v * d
	m, v = -w.in.My, -w.in.Shear[2]
	w.now.Z += d * (w.now.SlopeZ + k*(m/2+v*d/6))
	w.now.SlopeZ += k * (m + v*d/2)
	w.in.My -= v * d
	w.x = x
}

func (w *sweep) happen(e event) {
	switch e.kind {
	case evStep:
		w.setStep(e.i)
	case evLoad:
		w.in.take(0, w.loads[e.i].Force, w.loads[e.i].Moment)
	case evA:
		w.a = w.now
		w.in.take(0, w.reactions.A, Vec{})
	case evB:
		w.b = w.now
		w.in.take(0, w.reactions.B, Vec{})
	case evAsk:
		b := &w.asked[e.i]
		b.Y, b.Z, b.SlopeY, b.SlopeZ = w.now.Y, w.now.Z, w.now.SlopeY, w.now.SlopeZ
	}
}

// SecondMoment returns I = π (D⁴ − d⁴)/64 of a round section, in m⁴.
func SecondMoment(outside, bore float64) float64 {
	o, b := outside*outside, bore*bore
	return math.Pi / 64 * (o*o - b*b)
}

// Twist returns by how much a torque winds the shaft up between two places, in
// radians: Σ T·l/(G·Ip) over the steps, Ip = 2·I, for a shear modulus G in pascals.
func (s *Shaft) Twist(torque, shear, from, to float64) (float64, error) {
	if err := s.check(nil, []float64{from, to}); err != nil {
		return 0, err
	}
	if !(shear > 0 && shear < 1e15 && math.Abs(torque) < 1e9) {
		return 0, fmt.Errorf("shaft: twist needs a torque and a shear modulus, got %g N·m and %g GPa", torque, shear/1e9)
	}
	sum, at := 0.0, s.Start
	for _, st := range s.Steps {
		if l := min(st.To, max(from, to)) - max(at, min(from, to)); l > 0 {
			sum += l / (2 * SecondMoment(st.Outside, st.Bore))
		}
		at = st.To
	}
	return torque / shear * sum, nil
}
