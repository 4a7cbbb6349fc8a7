// Package shaft computes what gears do to a shaft on two bearings: the reactions in
// space with thrust and reversal, how far the shaft bends and leans at the meshes,
// the stress where it counts, and the safety against yield and fatigue.
//
// The shaft is a straight stepped beam on two points, the load centres of its
// bearings; gears, sleeves and hubs do not stiffen it and bearings do not hold it
// straight. Shear is left out of the deflection, which matters once the span is less
// than about four diameters. Bearings may give; the case is rigid.
//
// The x axis runs along the shaft from A to B, y and z square to it, right-handed.
// All quantities are in SI: metres, newtons, newton metres, pascals, radians. Errors
// state the value at fault.
//
// Sources: textbook statics and beams, checked on [BN10], [BN8], [WENTZELL], [JINDAL]
// and [GRIEVE]; notches after [DIN743] from memory, fatigue after [BN10].
package shaft

import (
	"fmt"
	"math"
)

// Vec is a vector along x, y and z.
type Vec [3]float64

func (v Vec) add(w Vec) Vec { return Vec{v[0] + w[0], v[1] + w[1], v[2] + w[2]} }

func (v Vec) cross(w Vec) Vec {
	return Vec{v[1]*w[2] - v[2]*w[1], v[2]*w[0] - v[0]*w[2], v[0]*w[1] - v[1]*w[0]}
}

func (v Vec) ok() bool {
	return math.Abs(v[0]) < 1e12 && math.Abs(v[1]) < 1e12 && math.Abs(v[2]) < 1e12
}

// Radial returns the size of the part square to the shaft.
func (v Vec) Radial() float64 { return math.Hypot(v[1], v[2]) }

// Load is a force and a moment on the shaft's axis at a place. The moment along x
// is torque.
type Load struct {
	At     float64
	Force  Vec
	Moment Vec
}

// Mesh is a pair of teeth that press on a gear of the shaft. The zero Hand is a
// spur gear.
type Mesh struct {
	At     float64 // along the shaft, the middle of the tooth width
	Radius float64 // of the pitch circle it runs on
	Angle  float64 // where it meets its mate, from y toward z
	Torque float64 // that the mesh puts on the shaft about x: with the turning for a driven gear, against it for a driver
	Normal float64 // pressure angle in the normal section
	Helix  float64 // at the pitch circle, 0 or more
	Hand   Hand
}

// Hand is the sense in which teeth wind.
type Hand int8

// The hands. Right-hand teeth wind like an ordinary thread.
const (
	Straight Hand = 0
	Right    Hand = 1
	Left     Hand = -1
)

// Teeth are the parts of a tooth force, each 0 or more.
type Teeth struct{ Tangential, Radial, Axial float64 }

// Helical returns the parts of the force between cylindrical gears for a torque:
//
//	Ft = T/r    Fr = Ft·tan αn/cos β    Fa = Ft·tan β
//
// Textbook, checked on [WENTZELL] and [BN10].
func Helical(torque, radius, normal, helix float64) (Teeth, error) {
	if !(radius > 0 && radius < 100 && math.Abs(torque) < 1e9 && normal >= 0 && normal < 1.2 && helix >= 0 && helix < 1.4) {
		return Teeth{}, fmt.Errorf("shaft: no such mesh: %g N·m on a radius of %g mm, pressure angle %g°, helix %g°",
			torque, radius*1e3, normal*180/math.Pi, helix*180/math.Pi)
	}
	ft := math.Abs(torque) / radius
	return Teeth{ft, ft * math.Tan(normal) / math.Cos(helix), ft * math.Tan(helix)}, nil
}

// Load returns the mesh as a load on the axis. The teeth push the gear away from
// its mate, turn it, and where they are helical push it along:
//
//	F = −Fr·er ± Ft·et,  Fx = −hand·Ft·tan β
//
// with et along the turning about x and Ft signed as the torque. So torque reversed
// turns the tangential and the axial part, not the radial one.
func (m Mesh) Load() (Load, error) {
	helix := m.Helix
	if m.Hand == Straight {
		helix = 0
	}
	t, err := Helical(m.Torque, m.Radius, m.Normal, helix)
	if err != nil {
		return Load{}, err
	}
	sense := math.Copysign(1, m.Torque)
	return t.Load(m.At, m.Radius, m.Angle, sense, -sense*float64(m.Hand)), nil
}

// Load returns tooth forces that act at a radius and an angle as a load on the
// axis: for bevel gears too, whose parts are known. turning is +1 if they turn the
// shaft about x, −1 if against; along is +1 if they push it along x, −1 if back.
func (t Teeth) Load(at, radius, angle, turning, along float64) Load {
	s, c := math.Sincos(angle)
	ft, fa := turning*t.Tangential, along*t.Axial
	f := Vec{fa, -t.Radial*c - ft*s, -t.Radial*s + ft*c}
	return Load{At: at, Force: f, Moment: Vec{0, radius * c, radius * s}.cross(f)}
}

// Reversed returns the mesh with the torque turned round: drive to coast.
func (m Mesh) Reversed() Mesh { m.Torque = -m.Torque; return m }

// Reactions are what the bearings put on the shaft, and what is left over for
// others to take.
type Reactions struct {
	A, B   Vec     // square to the shaft; along it 0
	Axial  float64 // force of all loads along x, which a bearing has to take; positive presses the shaft toward B
	Torque float64 // of all loads about x, which must be 0 in steady running
}

// React returns the reactions of bearings at a and b, the load centres:
//
//	B = Σ (…)/(b − a), A = −Σ F − B
//
// in both planes, the moments of axial forces off the axis included. A pair of
// taper bearings adds thrust of its own: bearing.Method. It returns an error if the
// bearings stand at one place or a load is no number.
func React(a, b float64, loads []Load) (Reactions, error) {
	span := b - a
	if !(span > 1e-6 && span < 1e3 && math.Abs(a) < 1e3) {
		return Reactions{}, fmt.Errorf("shaft: bearing B must stand beyond bearing A, got %g mm and %g mm", a*1e3, b*1e3)
	}
	var force, moment Vec
	for _, l := range loads {
		if !(math.Abs(l.At) < 1e3 && l.Force.ok() && l.Moment.ok()) {
			return Reactions{}, fmt.Errorf("shaft: a load at %g mm is %v N and %v N·m; both must be numbers", l.At*1e3, l.Force, l.Moment)
		}
		force = force.add(l.Force)
		moment = moment.add(l.Moment).add(Vec{l.At - a, 0, 0}.cross(Vec{0, l.Force[1], l.Force[2]}))
	}
	// Moments about A: span·x × B = −moment, so −span·Bz = −My and span·By = −Mz.
	r := Reactions{Axial: force[0], Torque: moment[0]}
	r.B = Vec{0, -moment[2] / span, moment[1] / span}
	r.A = Vec{0, -force[1] - r.B[1], -force[2] - r.B[2]}
	return r, nil
}

// Inner are the forces and moments inside the shaft at a section: what the part
// beyond it puts on the part before it. Tension is positive, and so is a moment
// about z that bends the shaft hollow toward y.
type Inner struct {
	Normal float64 // tension
	Torque float64 // carried
	My, Mz float64 // bending moments about y and z
	Shear  Vec     // along y and z
}

// Bending returns the resultant bending moment.
func (i Inner) Bending() float64 { return math.Hypot(i.My, i.Mz) }

// Inside returns what the shaft carries just before and just beyond a section at
// x, bearings at a and b. takesAtB says that bearing B takes the thrust, else A
// does: at its place the normal force ends. Loads that stand at the section are in
// beyond, not in before.
func Inside(a, b float64, takesAtB bool, loads []Load, r Reactions, x float64) (before, beyond Inner) {
	put := func(at float64, f, m Vec) {
		if at < x {
			before.take(x-at, f, m)
		}
		if at <= x {
			beyond.take(x-at, f, m)
		}
	}
	for i := range loads {
		put(loads[i].At, loads[i].Force, loads[i].Moment)
	}
	fa, fb := r.A, r.B
	if takesAtB {
		fb[0] = -r.Axial
	} else {
		fa[0] = -r.Axial
	}
	put(a, fa, Vec{})
	put(b, fb, Vec{})
	return before, beyond
}

// take adds a load at a distance before the section. The part beyond holds it with
// the opposite.
func (i *Inner) take(arm float64, f, m Vec) {
	i.Normal -= f[0]
	i.Torque -= m[0]
	i.Shear[1] -= f[1]
	i.Shear[2] -= f[2]
	// About the section a force stands at −arm: (−arm, 0, 0) × f.
	i.My -= m[1] + arm*f[2]
	i.Mz -= m[2] - arm*f[1]
}
