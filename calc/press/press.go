// Package press computes interference fits between a shaft and a hub: contact
// pressure and stresses, what it takes to press them together and what the joint
// then holds, the heat or cold that lets them slip together, and the grip that is
// left when the gearbox is warm.
//
// Both parts are treated as thick elastic cylinders of equal length (Lamé), so
// results are mean values: they say nothing of the peak at the hub's edge, and
// they hold only while both parts stay elastic. Temperatures are one for a whole
// part. A cast case is taken as a ring of the wall's diameter. Cast aluminium and
// magnesium creep: grip at 120 °C and more is an upper bound.
//
// Diameters and interferences are on diameter, never on radius. Presses and heat
// hurt people: the maker's manual comes before a number from here.
//
// Sources: [BN9] sections 3-14, 3-16 and 7-8; [NTN] and [SKF] for bearing rings;
// [WHZ13] for strength and assembly.
package press

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Joint is a shaft pressed into a hub. The shaft may be a bearing's outer ring,
// the hub a case.
type Joint struct {
	Bore, Seat, Rim unit.Length // diameters: inside the shaft (0 if solid), at the joint, outside the hub
	Length          unit.Length // of the contact; only forces and cooling ask for it
	Shaft, Hub      Material
}

// Pressure returns the mean contact pressure for an interference on diameter.
//
//	p = δ / (d (Ch + Cs))
//	Ch = ((Do² + d²)/(Do² − d²) + νh) / Eh
//	Cs = ((d² + di²)/(d² − di²) − νs) / Es
//
// It returns an error if the joint is impossible or the interference negative.
func (j Joint) Pressure(interference unit.Length) (unit.Pressure, error) {
	if err := j.check(); err != nil {
		return 0, err
	}
	if !(interference >= 0) {
		return 0, fmt.Errorf("press: an interference of %s is a clearance", show(interference))
	}
	return finite(unit.Pressure(float64(interference)/(float64(j.Seat)*j.give())), "pressure of", j, interference)
}

// Interference returns the interference on diameter that makes a pressure: the
// inverse of Pressure.
func (j Joint) Interference(p unit.Pressure) (unit.Length, error) {
	if err := j.checkWith(p); err != nil {
		return 0, err
	}
	return finite(unit.Length(float64(p)*float64(j.Seat)*j.give()), "interference of", j, p)
}

// give returns Ch + Cs. [BN9] section 3-16, rewritten from radii to diameters.
func (j Joint) give() float64 {
	return (wall(j.Seat, j.Rim)+j.Hub.Nu)/float64(j.Hub.E) + (wall(j.Bore, j.Seat)-j.Shaft.Nu)/float64(j.Shaft.E)
}

// wall returns (Do² + d²)/(Do² − d²), the hoop stress at the pressed face of a
// cylinder over the pressure.
func wall(inside, outside unit.Length) float64 {
	q := float64(inside/outside) * float64(inside/outside)
	return (1 + q) / (1 - q)
}

// Stress is the state at one place of a part, tension positive. The axial stress
// is nothing.
type Stress struct{ Hoop, Radial unit.Pressure }

// Mises returns the equivalent stress √(σt² − σt·σr + σr²).
func (s Stress) Mises() unit.Pressure {
	t, r := float64(s.Hoop), float64(s.Radial)
	return unit.Pressure(math.Sqrt(math.Abs(t*t - t*r + r*r)))
}

// Tresca returns the largest difference of two principal stresses.
func (s Stress) Tresca() unit.Pressure {
	return max(s.Hoop, s.Radial, 0) - min(s.Hoop, s.Radial, 0)
}

// Stresses are the states at the faces of both parts. Those of a solid shaft are
// the same everywhere.
type Stresses struct{ HubSeat, HubRim, ShaftSeat, ShaftBore Stress }

// Stresses returns the stresses that a contact pressure makes.
//
//	hub at the seat:    σt = p (Do² + d²)/(Do² − d²)     at its rim:   σt = 2p d²/(Do² − d²)
//	shaft at the seat:  σt = −p (d² + di²)/(d² − di²)    at its bore:  σt = −2p d²/(d² − di²)
//
// σr is −p at the seat and nothing at a free face. [BN9] section 3-14.
func (j Joint) Stresses(p unit.Pressure) (Stresses, error) {
	if err := j.checkWith(p); err != nil {
		return Stresses{}, err
	}
	h, s := unit.Pressure(wall(j.Seat, j.Rim)), unit.Pressure(wall(j.Bore, j.Seat))
	all := Stresses{
		HubSeat:   Stress{p * h, -p},
		HubRim:    Stress{p * (h - 1), 0},
		ShaftSeat: Stress{-p * s, -p},
		ShaftBore: Stress{-p * (s + 1), 0},
	}
	if j.Bore == 0 {
		all.ShaftBore = all.ShaftSeat
	}
	_, err := finite(all.HubSeat.Hoop+all.ShaftBore.Hoop, "stresses of", j, p)
	return all, err
}

// HubLimit returns the pressure at which the hub of a ductile metal reaches its
// yield strength Re over a safety S:
//
//	p = (1 − (d/Do)²) Re / (√3 S)
//
// [WHZ13] eq. 8 to 10. For brittle iron, whose yield is not tabled, that source
// takes half the tensile strength as Re.
func (j Joint) HubLimit(safety float64) (unit.Pressure, error) {
	q := float64(j.Seat / j.Rim)
	return j.limit(j.Hub, 1-q*q, safety)
}

// ShaftLimit is HubLimit for the shaft: (1 − (di/d)²) Re / (√3 S) if it is hollow,
// 2 Re / (√3 S) if it is solid.
func (j Joint) ShaftLimit(safety float64) (unit.Pressure, error) {
	q := float64(j.Bore / j.Seat)
	if j.Bore == 0 {
		return j.limit(j.Shaft, 2, safety)
	}
	return j.limit(j.Shaft, 1-q*q, safety)
}

func (j Joint) limit(m Material, share, safety float64) (unit.Pressure, error) {
	if err := j.check(); err != nil {
		return 0, err
	}
	switch {
	case !(safety >= 1 && safety <= 100):
		return 0, fmt.Errorf("press: a safety against yield is 1 to 100, got %g", safety)
	case !(m.Yield > 0):
		return 0, fmt.Errorf("press: the yield strength of %s is not known; enter that of its grade", m)
	}
	return finite(unit.Pressure(share/(math.Sqrt(3)*safety))*m.Yield, "limit of", j, m.Yield)
}

// RimGrowth returns how much the outside diameter of the hub grows under the
// pressure: 2 p d² Do/(Eh (Do² − d²)). For an inner ring with the raceway as its
// rim that is the clearance lost.
func (j Joint) RimGrowth(p unit.Pressure) (unit.Length, error) {
	if err := j.checkWith(p); err != nil {
		return 0, err
	}
	grown := unit.Length(float64(p/j.Hub.E)*(wall(j.Seat, j.Rim)-1)) * j.Rim
	return finite(grown, "growth of", j, p)
}

// BoreShrink returns how much the bore of a hollow shaft shrinks under the
// pressure: 2 p d² di/(Es (d² − di²)). For an outer ring with the raceway as its
// bore that is the clearance lost.
func (j Joint) BoreShrink(p unit.Pressure) (unit.Length, error) {
	if err := j.checkWith(p); err != nil {
		return 0, err
	}
	shrunk := unit.Length(float64(p/j.Shaft.E)*(wall(j.Bore, j.Seat)+1)) * j.Bore
	return finite(shrunk, "shrinking of", j, p)
}

// SpinLoss returns the interference lost when the joint turns at a speed in
// rad/s, because the hub grows more than the shaft.
//
//	hub at the seat:   ρ ω² d ((3 + ν) Do² + (1 − ν) d²) / (16 E)
//	shaft at the seat: ρ ω² d ((3 + ν) di² + (1 − ν) d²) / (16 E)
//
// Growth on diameter of thin discs; [UF03] example 8.4 agrees.
func (j Joint) SpinLoss(speed float64) (unit.Length, error) {
	if err := j.check(); err != nil {
		return 0, err
	}
	if !(math.Abs(speed) < 1e6) || !(j.Hub.Density > 0 && j.Shaft.Density > 0) {
		return 0, fmt.Errorf("press: a turning joint needs a speed in rad/s and two densities, got %g, %g and %g kg/m³", speed, j.Hub.Density, j.Shaft.Density)
	}
	grow := func(m Material, free unit.Length) float64 {
		f, d := float64(free), float64(j.Seat)
		return m.Density * speed * speed / 16 / float64(m.E) * ((3+m.Nu)*f*f + (1-m.Nu)*d*d)
	}
	return finite(unit.Length(grow(j.Hub, j.Rim)-grow(j.Shaft, j.Bore))*j.Seat, "growth of", j, speed)
}

// check asks of each input what must hold, so that a NaN fails it.
func (j Joint) check() error {
	if !(0 <= j.Bore && j.Bore < j.Seat && j.Seat < j.Rim && j.Rim <= 100) {
		return fmt.Errorf("press: diameters must grow from bore to seat to rim, got %s, %s and %s", show(j.Bore), show(j.Seat), show(j.Rim))
	}
	for i, m := range []Material{j.Shaft, j.Hub} {
		if !(m.E > 0 && m.E < 1e15 && 0 <= m.Nu && m.Nu <= 0.5) {
			return fmt.Errorf("press: the %s, %s, needs E above 0 and Poisson's ratio from 0 to 0.5, got %g Pa and %g",
				[]string{"shaft", "hub"}[i], m, float64(m.E), m.Nu)
		}
	}
	return nil
}

func (j Joint) checkWith(p unit.Pressure) error {
	if !(p >= 0) {
		return fmt.Errorf("press: a contact pressure is 0 or more, got %g MPa", float64(p/unit.Megapascal))
	}
	return j.check()
}

// finite keeps what overflowed from getting out.
func finite[T ~float64](x T, what string, j Joint, of any) (T, error) {
	if math.IsNaN(float64(x)) || math.IsInf(float64(x), 0) {
		return 0, fmt.Errorf("press: the %s %v in %s/%s/%s is out of range", what, of, show(j.Bore), show(j.Seat), show(j.Rim))
	}
	return x, nil
}

func show(l unit.Length) string { return fmt.Sprintf("%.6g mm", float64(l/unit.Millimetre)) }
