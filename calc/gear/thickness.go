package gear

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Thickness returns the transverse thickness of a tooth at its reference circle,
// with the normal thickness taken off for backlash:
//
//	s_t = (π/2 + 2 x tan α_n) · m_t − A_sn / cos β
//
// [ISO21771]. The thinning A_sn is normal to the tooth, counted positive.
func (p Pair) Thickness(gear int, thinning unit.Length) unit.Length {
	cos := unit.Length(math.Cos(float64(p.Helix)))
	share := math.Pi/2 + 2*p.Gears[gear].Shift*math.Tan(float64(p.Rack.Pressure))
	return (p.Module*unit.Length(share) - thinning) / cos
}

// ThicknessAt turns the thickness at the reference circle into that at another
// diameter of the same flank:
//
//	s_y = d_y (s_t / d + inv α_t − inv α_y)     cos α_y = d_b / d_y
//
// [ISO21771]. It returns an error inside the base circle, where there is no
// involute. A result below 0 is where the flanks have crossed.
func ThicknessAt(diameter unit.Length, d Diameters, atReference unit.Length) (unit.Length, error) {
	if !(diameter >= d.Base*(1-1e-12) && d.Base > 0 && d.Base < d.Reference) {
		return 0, fmt.Errorf("gear: there is no involute at %s, inside the base circle of %s", mm(diameter), mm(d.Base))
	}
	αt := unit.Angle(math.Acos(float64(d.Base / d.Reference)))
	αy := unit.Angle(math.Acos(min(1, float64(d.Base/diameter))))
	return diameter * (atReference/d.Reference + unit.Length(Inv(αt)-Inv(αy))), nil
}

// Backlash is the play of a pair in its four usual senses.
type Backlash struct {
	Circumferential unit.Length // along the pitch circles, j_wt
	Normal          unit.Length // square to the flank, j_bn
	Radial          unit.Length // by which the centres could close, j_r
	Angular         unit.Angle  // of the first gear with the second held
}

// Backlash returns the play that profile shifts, centre distance and thinned teeth
// leave:
//
//	j_wt = p_wt − s_wt1 − s_wt2       p_wt = π d_w1 / z1
//	j_bn = j_wt · cos α_wt · cos β_b      j_r = j_wt / (2 tan α_wt)
//
// [ISO21771]. A negative result is teeth that jam. Thinnings are normal to the
// tooth at the reference circle.
func (p Pair) Backlash(thinning [2]unit.Length) (Backlash, error) {
	m, err := p.Mesh()
	if err != nil {
		return Backlash{}, err
	}
	j := math.Pi * m.Gears[0].Pitch / unit.Length(p.Gears[0].Teeth)
	for i := range p.Gears {
		if !(math.Abs(float64(thinning[i])) <= float64(p.Module)) {
			return Backlash{}, fmt.Errorf("gear: gear %d: teeth are thinned by less than a module, got %s", i+1, mm(thinning[i]))
		}
		s, err := ThicknessAt(m.Gears[i].Pitch, m.Gears[i], p.Thickness(i, thinning[i]))
		if err != nil {
			return Backlash{}, err
		}
		j -= s
	}
	return Backlash{
		Circumferential: j,
		Normal:          j * unit.Length(math.Cos(float64(m.Working))*math.Cos(float64(m.BaseHelix))),
		Radial:          j / unit.Length(2*math.Tan(float64(m.Working))),
		Angular:         unit.Angle(2 * j / m.Gears[0].Pitch),
	}, nil
}

// Sense says along which line a backlash was meant when teeth were cut for it.
type Sense string

const (
	// NormalToFlank backlash is read square to the flank.
	NormalToFlank Sense = "square to the flank"
	// AtReference backlash is read along the reference circle, in the normal section.
	AtReference Sense = "along the reference circle, in the normal section"
)

// CutSum returns the sum of profile shifts to cut so that a backlash is left at the
// centre distance where sum would leave none:
//
//	square to the flank:            Σx_E = Σx − j / (2 m_n sin α_n)
//	along the reference circle:     Σx_E = Σx − j / (2 m_n tan α_n)
//
// [ISO21771], eq. 63 in [GEARSHEET], which prints both forms one after the other for
// the same 0.030 mm: they are two senses of the word and two answers.
func (p Pair) CutSum(sum float64, backlash unit.Length, s Sense) (float64, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	α := float64(p.Rack.Pressure)
	switch s {
	case NormalToFlank:
		return sum - float64(backlash/p.Module)/(2*math.Sin(α)), nil
	case AtReference:
		return sum - float64(backlash/p.Module)/(2*math.Tan(α)), nil
	}
	return 0, fmt.Errorf("gear: backlash is meant %s or %s, not %q", NormalToFlank, AtReference, s)
}

// Growth returns how much circumferential and normal backlash grow for a small
// change of the centre distance: 2 · tan α_wt and 2 · sin α_wt · cos β_b for a
// change of 1. The slopes at these centres, so good for small changes.
func (m Mesh) Growth() (circumferential, normal float64) {
	α := float64(m.Working)
	return 2 * math.Tan(α), 2 * math.Sin(α) * math.Cos(float64(m.BaseHelix))
}

// Span returns the base tangent length over k teeth, as a plate micrometer reads it:
//
//	W_k = m_n cos α_n ((k − 1/2) π + z inv α_t + 2 x tan α_n) − A_sn cos α_n
//
// [ISO21771]; [TR6336-30] example 1 agrees. It returns an error unless 1 ≤ k < z.
func (p Pair) Span(gear, k int, thinning unit.Length) (unit.Length, error) {
	at0, err := p.span0(gear, k)
	α := float64(p.Rack.Pressure)
	return at0 + (p.Module*unit.Length(2*p.Gears[gear].Shift*math.Tan(α))-thinning)*unit.Length(math.Cos(α)), err
}

// ShiftFromSpan returns the profile shift that a measured base tangent length shows.
// Teeth thinned for backlash show a smaller one than was meant: it is the shift to
// which they were cut.
func (p Pair) ShiftFromSpan(gear, k int, span unit.Length) (float64, error) {
	at0, err := p.span0(gear, k)
	x := float64((span-at0)/p.Module) / (2 * math.Sin(float64(p.Rack.Pressure)))
	if err == nil && !(math.Abs(x) <= 3) {
		err = fmt.Errorf("gear: %s over %d teeth would be a profile shift of %.3g; check the count, the module and the helix angle", mm(span), k, x)
	}
	return x, err
}

// span0 is the base tangent length without profile shift.
func (p Pair) span0(gear, k int) (unit.Length, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	z := p.Gears[gear].Teeth
	if k < 1 || k >= z {
		return 0, fmt.Errorf("gear: a span goes over 1 to %d teeth, got %d", z-1, k)
	}
	αt, _ := Transverse(p.Rack.Pressure, p.Helix)
	return p.Module * unit.Length(math.Cos(float64(p.Rack.Pressure))*((float64(k)-0.5)*math.Pi+float64(z)*Inv(αt))), nil
}

// UndercutShift returns the least profile shift at which the rack does not cut into
// the flank above the base circle:
//
//	x = h_fP − ρ_fP (1 − sin α_n) − z sin² α_t / (2 cos β)
//
// [ISO21771], from memory; the outline of a tooth agrees.
func (p Pair) UndercutShift(gear int) float64 {
	αt, _ := Transverse(p.Rack.Pressure, p.Helix)
	sin := math.Sin(float64(αt))
	straight := p.Rack.Dedendum - p.Rack.Fillet*(1-math.Sin(float64(p.Rack.Pressure)))
	return straight - float64(p.Gears[gear].Teeth)*sin*sin/(2*math.Cos(float64(p.Helix)))
}
