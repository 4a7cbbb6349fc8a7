package rating

import (
	"fmt"
	"math"

	"endfloat/calc/gear"
	"endfloat/calc/unit"
)

// Tooth is what the shape of a tooth root depends on.
type Tooth struct {
	Teeth  int
	Module unit.Length // normal
	Helix  unit.Angle
	Shift  float64
	Rack   gear.Rack
	Tip    unit.Length // tip diameter; 0: that of the rack, without shortening

	// Contact is the transverse contact ratio of the mesh: the load then stands at
	// the outer point of single contact. 0 puts it at the tip.
	Contact float64
}

// Form is the root of a tooth in its normal section, lengths in normal modules, and
// the two factors made from it.
type Form struct {
	VirtualTeeth float64 // z_n
	Chord        float64 // s_Fn, thickness where the 30° tangents touch the fillet
	Arm          float64 // h_Fe, bending lever of the load
	Radius       float64 // ρ_F of the fillet there
	Notch        float64 // q_s = s_Fn / (2 ρ_F)
	YF, YS       float64 // tooth form, stress correction
}

// Form returns the tooth form and stress correction factors.
//
//	z_n = z / (cos² β_b cos β)
//	θ = (2 G / z_n) tan θ − H                 where the 30° tangent touches
//	Y_F = 6 h_Fe cos α_Fen / (s_Fn² cos α_n)  lengths in modules
//	Y_S = (1.2 + 0.13 L) q_s^(1 / (1.21 + 2.3 / L))   L = s_Fn / h_Fe
//
// [ISO6336] part 3; every entry of [YFATABLE] comes out within 0.7 %, and the chord
// is that of the tooth which [gear.Pair.Outline] cuts. It returns an error where the
// root has no such shape, or 1 ≤ q_s < 8 does not hold.
func (t Tooth) Form() (Form, error) {
	if !(t.Module > 0 && t.Teeth >= 5 && t.Contact >= 0 && t.Contact < 5 && math.Abs(t.Shift) <= 3 && math.Abs(float64(t.Helix)) <= 1.05 && t.Rack.Fillet >= 0) {
		return Form{}, fmt.Errorf("rating: no such tooth: %d teeth, module %.4g mm, shift %.3g, contact ratio %.3g", t.Teeth, float64(t.Module/unit.Millimetre), t.Shift, t.Contact)
	}
	αn, β := float64(t.Rack.Pressure), float64(t.Helix)
	_, base := gear.Transverse(t.Rack.Pressure, t.Helix)
	cosβb := math.Cos(float64(base))
	sinα, cosα := math.Sincos(αn)
	tanα := sinα / cosα
	zn := float64(t.Teeth) / (cosβb * cosβb * math.Cos(β))
	f := Form{VirtualTeeth: zn}
	θ, g, err := f.tangent(t, sinα, cosα)
	if err != nil {
		return Form{}, err
	}
	// Where the load stands, in the virtual spur gear, lengths in modules.
	d := float64(t.Teeth) / math.Cos(β)
	tip := d + 2*(t.Rack.Addendum+t.Shift)
	if t.Tip > 0 {
		tip = float64(t.Tip / t.Module)
	}
	dbn := zn * cosα
	dan := zn + tip - d
	if !(dan > dbn) {
		return Form{}, fmt.Errorf("rating: the tip of %d teeth lies inside their base circle", t.Teeth)
	}
	reach := math.Sqrt(dan*dan-dbn*dbn) / 2
	if t.Contact > 0 {
		reach -= math.Pi * d * math.Cos(β) * cosα * (t.Contact/(cosβb*cosβb) - 1) / float64(t.Teeth)
	}
	den := 2 * math.Hypot(max(0, reach), dbn/2)
	αen := math.Acos(dbn / den)
	γ := (math.Pi/2+2*t.Shift*tanα)/zn + gear.Inv(t.Rack.Pressure) - gear.Inv(unit.Angle(αen))
	αF := αen - γ
	f.Arm = ((math.Cos(γ)-math.Sin(γ)*math.Tan(αF))*den - zn*math.Cos(math.Pi/3-θ) - g/math.Cos(θ) + t.Rack.Fillet) / 2
	f.Notch = f.Chord / (2 * f.Radius)
	if !(f.Chord > 0 && f.Arm > 0 && f.Notch >= 1 && f.Notch < 8) {
		return Form{}, fmt.Errorf("rating: the root of %d teeth at a shift of %.3g is no beam: chord %.3g, lever %.3g, notch %.3g", t.Teeth, t.Shift, f.Chord, f.Arm, f.Notch)
	}
	f.YF = 6 * f.Arm * math.Cos(αF) / (f.Chord * f.Chord * cosα)
	l := f.Chord / f.Arm
	f.YS = (1.2 + 0.13*l) * math.Pow(f.Notch, 1/(1.21+2.3/l))
	return f, nil
}

// tangent finds where the 30° tangent touches the fillet and sets chord and radius.
func (f *Form) tangent(t Tooth, sinα, cosα float64) (θ, g float64, err error) {
	ρ, h := t.Rack.Fillet, t.Rack.Dedendum
	zn := f.VirtualTeeth
	e := math.Pi/4 - h*sinα/cosα - (1-sinα)*ρ/cosα
	g = ρ - h + t.Shift
	hh := 2/zn*(math.Pi/2-e) - math.Pi/3
	θ = math.Pi / 6
	for range 50 {
		tan := math.Tan(θ)
		step := (θ - 2*g/zn*tan + hh) / (1 - 2*g/zn*(1+tan*tan))
		θ -= step
		if math.Abs(step) < 1e-14 {
			break
		}
	}
	cos := math.Cos(θ)
	f.Chord = zn*math.Sin(math.Pi/3-θ) + math.Sqrt(3)*(g/cos-ρ)
	f.Radius = ρ + 2*g*g/(cos*(zn*cos*cos-2*g))
	if !(θ > 0 && θ < math.Pi/2 && f.Radius > 0) {
		return 0, 0, fmt.Errorf("rating: no 30° tangent touches the root of %d teeth at a shift of %.3g", t.Teeth, t.Shift)
	}
	return θ, g, nil
}
