// Package rating tells whether the teeth of a pair of cylindrical gears can take a
// torque: pitting of the flanks and bending of the roots, the lives under a duty, and
// the torque that a life permits.
//
// The method is that of [ISO6336] parts 1 to 3 and 6, method B where the inputs allow
// it. Its equations are from memory. What a published figure bears out, and what
// not, is in [Basis]. Not looked at: scuffing, micropitting, cracks below the case,
// tips and dogs, rims thinner than 3.5 modules, and speeds near resonance.
//
// [Textbook] is the second opinion: the AGMA method as textbooks print it, checked
// on their worked examples.
//
// A result says which of two sets of gears is the stronger far better than it says
// when either fails. Formulas are worked in millimetres, newtons and MPa, as the books
// have them; everything that goes in and comes out is SI.
package rating

import (
	"fmt"
	"math"

	"endfloat/calc/gear"
	"endfloat/calc/unit"
)

// Basis is what stands behind a rating, for people to read beside the result.
const Basis = "ISO 6336 form, equations from memory. Confirmed on printed figures: flank factors, mesh stiffness and flank life (ISO/TR 6336-30 example 1), " +
	"tooth form and stress correction (a textbook's table, within 1 %). Nominal root stress: against an open working of DIN 3990-11 by another hand. " +
	"Load factors by grade, root load factors and root life: only limits and continuity were checked. Limits of the steels: from memory but where their source says else."

// Edition is an edition of ISO 6336.
type Edition string

const (
	// Edition2006 is that of 2006 with Cor.1:2008, on which the checks were made.
	Edition2006 Edition = "2006"
	// Edition2019 multiplies Y_F by f_ε, has 1/cos³ β in Y_β and a factor for flanks
	// without modification; all of that from memory.
	Edition2019 Edition = "2019"
)

// Method is how well a factor is worked out.
type Method string

const (
	// MethodB goes by stiffness, deviations and inertia, and puts the load on the root
	// at the outer point of single contact.
	MethodB Method = "B"
	// MethodC takes the dynamic factor from the accuracy grade alone and puts the load
	// on the root at the tip.
	MethodC Method = "C"
)

// Set is a pair of gears with all that its strength depends on but the load. The
// smaller gear is the first of the pair.
type Set struct {
	Pair      gear.Pair
	Materials [2]Material
	Edition   Edition
	Method    Method

	Application float64 // K_A; 1 where a duty spells the load out
	FaceLoad    float64 // K_Hβ; 0: from Misalignment
	// Misalignment of the flanks across the face before running in, F_βx; method C.
	Misalignment unit.Length

	Grade      int         // accuracy by ISO 1328, 3 to 8
	PitchError unit.Length // f_pb as measured; 0: that of the grade
	FormError  unit.Length // f_fα as measured; 0: that of the grade
	Relief     unit.Length // tip relief C_a
	Bores      [2]unit.Length
	Modified   Modification

	Viscosity  float64     // of the oil at 40 °C, m²/s
	RzFlank    unit.Length // mean roughness depth
	RzRoot     unit.Length
	Pitting    bool    // some pitting may show
	Alternates [2]bool // the tooth is bent both ways, as that of an idler
}

// Modification says how the flanks of helical teeth are relieved; the edition of
// 2019 asks.
type Modification string

// The modifications, worst first.
const (
	Unmodified     Modification = "none"
	PartlyModified Modification = "partly"
	WellModified   Modification = "well"
)

// Flank holds the factors of the flank that do not depend on the load.
type Flank struct {
	ZH, ZE, Zeps, Zbeta float64
	ZB                  [2]float64 // single pair contact, of each gear
	ZL, Zv, ZR, ZX      [2]float64 // Zv is filled in by the speed
	fZ                  float64
}

// Root holds the factors of the roots.
type Root struct {
	Form              [2]Form
	Ybeta, Yeps       float64
	YdeltaRel, YRRel  [2]float64
	YX, YM            [2]float64
	faceLoadExponent  float64
	pitchErr, formErr float64 // f_pb, f_fα less running in, µm
}

// Ready is a set with its geometry and factors worked out, for many loads.
type Ready struct {
	Set       Set
	Mesh      gear.Mesh
	Flank     Flank
	Root      Root
	Stiffness float64 // single pair stiffness c', N/(mm·µm), above 100 N/mm
	MeshRate  float64 // c_γα, the same unit
	Resonance float64 // n_E1, speed of the first gear in rad/s

	mm          mmGeometry
	flank, root [2]Life    // strength lines, in MPa
	flankLimit  [2]float64 // σ_Hlim in MPa
	rootLimit   [2]float64 // σ_FE times Y_M in MPa
}

// mmGeometry is what the formulas use over and over, in mm.
type mmGeometry struct{ d1, b, mn, u, z1 float64 }

// Ready works out all that does not depend on the load. It returns an error if an
// input is impossible.
func (s Set) Ready() (Ready, error) {
	if err := s.check(); err != nil {
		return Ready{}, err
	}
	m, err := s.Pair.Mesh()
	if err != nil {
		return Ready{}, err
	}
	if !(m.Contact >= 1 && m.Contact < 2.5) {
		return Ready{}, fmt.Errorf("rating: a transverse contact ratio of %.3g is outside 1 to 2.5; check teeth, shifts and centre distance", m.Contact)
	}
	for i, bore := range s.Bores {
		if bore >= m.Gears[i].Root {
			return Ready{}, fmt.Errorf("rating: gear %d: a bore of %.4g mm leaves no rim under the root circle of %.4g mm", i+1, float64(bore/unit.Millimetre), float64(m.Gears[i].Root/unit.Millimetre))
		}
	}
	r := Ready{Set: s, Mesh: m}
	g := s.Pair.Gears
	r.mm = mmGeometry{d1: float64(m.Gears[0].Reference / unit.Millimetre), b: float64(m.Face / unit.Millimetre),
		mn: float64(s.Pair.Module / unit.Millimetre), u: m.Ratio, z1: float64(g[0].Teeth)}
	r.setDeviations()
	if r.setStiffness(); !(r.Stiffness > 0 && r.Stiffness < 100) {
		return Ready{}, fmt.Errorf("rating: profile shifts of %.3g and %.3g are outside the formula for the stiffness of a tooth", g[0].Shift, g[1].Shift)
	}
	r.setFlank()
	if err := r.setRoot(); err != nil {
		return Ready{}, err
	}
	return r, nil
}

func (s Set) check() error {
	for i, m := range s.Materials {
		if err := m.check(); err != nil {
			return fmt.Errorf("gear %d: %w", i+1, err)
		}
	}
	g := s.Pair.Gears
	switch {
	case g[0].Teeth > g[1].Teeth:
		return fmt.Errorf("rating: the smaller gear comes first, got %d and %d teeth", g[0].Teeth, g[1].Teeth)
	case !(g[0].Face > 0 && g[1].Face > 0):
		return fmt.Errorf("rating: both gears need a face width")
	case s.Edition != Edition2006 && s.Edition != Edition2019:
		return fmt.Errorf("rating: the edition is %s or %s, not %q", Edition2006, Edition2019, s.Edition)
	case s.Method != MethodB && s.Method != MethodC:
		return fmt.Errorf("rating: the method is %s or %s, not %q", MethodB, MethodC, s.Method)
	case s.Grade < 3 || s.Grade > 8:
		return fmt.Errorf("rating: accuracy grades 3 to 8 of ISO 1328 are known here, got %d", s.Grade)
	case !(s.Application >= 0.5 && s.Application <= 5):
		return fmt.Errorf("rating: an application factor is 0.5 to 5, got %g", s.Application)
	case !(s.FaceLoad == 0 || s.FaceLoad >= 1 && s.FaceLoad <= 10):
		return fmt.Errorf("rating: a face load factor is 1 to 10, got %g", s.FaceLoad)
	case s.FaceLoad == 0 && !(s.Misalignment > 0 && s.Misalignment <= unit.Millimetre):
		return fmt.Errorf("rating: give the face load factor, or the misalignment of the flanks above 0 and up to 1 mm, got %.3g mm", float64(s.Misalignment/unit.Millimetre))
	case !(s.Viscosity >= 1e-6 && s.Viscosity <= 5e-3):
		return fmt.Errorf("rating: an oil has 1 to 5000 mm²/s at 40 °C, got %g", s.Viscosity*1e6)
	case !rough(s.RzFlank) || !rough(s.RzRoot):
		return fmt.Errorf("rating: a roughness Rz is 0.1 to 100 µm, got %g and %g", float64(s.RzFlank/unit.Micrometre), float64(s.RzRoot/unit.Micrometre))
	}
	for _, l := range []unit.Length{s.PitchError, s.FormError, s.Relief, s.Bores[0], s.Bores[1]} {
		if !(l >= 0 && l <= 1) {
			return fmt.Errorf("rating: deviations, relief and bores are 0 or more, got %.3g mm", float64(l/unit.Millimetre))
		}
	}
	return nil
}

func rough(l unit.Length) bool { return l >= 0.1*unit.Micrometre && l <= 100*unit.Micrometre }

// Deviations returns the base pitch and profile form deviations of an accuracy grade
// for a gear:
//
//	f_pt = (0.3 (m_n + 0.4 √d) + 4) √2^(Q − 5)      f_pb = f_pt cos α_t
//	f_fα = (2.5 √m_n + 0.17 √d + 0.5) √2^(Q − 5)    mm in, µm out
//
// [ISO1328], without its rounding to steps of size.
func Deviations(module, reference unit.Length, transverse unit.Angle, grade int) (pitch, form unit.Length) {
	m, d := float64(module/unit.Millimetre), float64(reference/unit.Millimetre)
	step := math.Pow(2, float64(grade-5)/2)
	pitch = unit.Length((0.3*(m+0.4*math.Sqrt(d))+4)*step*math.Cos(float64(transverse))) * unit.Micrometre
	form = unit.Length((2.5*math.Sqrt(m)+0.17*math.Sqrt(d)+0.5)*step) * unit.Micrometre
	return pitch, form
}

// setDeviations takes the running in off the larger of both gears' deviations:
// 0.075 f, at most 3 µm, for hard teeth; for soft ones 160/σ_Hlim of the pitch.
func (r *Ready) setDeviations() {
	s := r.Set
	wide := r.Mesh.Gears[1].Reference
	pb, ff := Deviations(s.Pair.Module, wide, r.Mesh.Pressure, s.Grade)
	if s.PitchError > 0 {
		pb = s.PitchError
	}
	if s.FormError > 0 {
		ff = s.FormError
	}
	share := 0.0
	for _, m := range s.Materials {
		if m.Heat == ThroughHardened {
			share += min(1, 160/float64(m.SigmaHLim/unit.Megapascal)) / 2
		} else {
			share += 0.075 / 2
		}
	}
	run := func(f unit.Length) float64 {
		x := float64(f / unit.Micrometre)
		y := share * x
		if s.Materials[0].Heat != ThroughHardened && s.Materials[1].Heat != ThroughHardened {
			y = min(3, y)
		}
		return x - y
	}
	r.Root.pitchErr, r.Root.formErr = run(pb), run(ff)
}

// setStiffness works out the stiffness of the mesh and the speed of resonance.
// [ISO6336] part 1, method B; [TR6336-30] example 1 agrees within 0.1 %.
//
//	q' = 0.04723 + 0.15551/z_n1 + 0.25791/z_n2 − 0.00635 x1 − 0.11654 x1/z_n1
//	     − 0.00193 x2 − 0.24188 x2/z_n2 + 0.00529 x1² + 0.00182 x2²
//	c' = 0.8 C_B cos β / q'     c_γα = c' (0.75 ε_α + 0.25)
//	C_B = (1 + 0.5 (1.2 − h_fP)) (1 − 0.02 (20° − α_n))
func (r *Ready) setStiffness() {
	p, m := r.Set.Pair, r.Mesh
	cosβ := math.Cos(float64(p.Helix))
	cosβb := math.Cos(float64(m.BaseHelix))
	zn1 := float64(p.Gears[0].Teeth) / (cosβb * cosβb * cosβ)
	zn2 := float64(p.Gears[1].Teeth) / (cosβb * cosβb * cosβ)
	x1, x2 := p.Gears[0].Shift, p.Gears[1].Shift
	q := 0.04723 + 0.15551/zn1 + 0.25791/zn2 - 0.00635*x1 - 0.11654*x1/zn1 -
		0.00193*x2 - 0.24188*x2/zn2 + 0.00529*x1*x1 + 0.00182*x2*x2
	cb := (1 + 0.5*(1.2-p.Rack.Dedendum)) * (1 - 0.02*(20-float64(p.Rack.Pressure/unit.Degree)))
	r.Stiffness = 0.8 * cb * cosβ / q
	r.MeshRate = r.Stiffness * (0.75*m.Contact + 0.25)
	// Both gears as rings of steel, 7.83e-6 kg/mm³, reduced to the line of action.
	mean := func(i int) float64 { return float64((m.Gears[i].Tip + m.Gears[i].Root) / 2 / unit.Millimetre) }
	hollow := func(i int) float64 {
		q := float64(r.Set.Bores[i]/unit.Millimetre) / mean(i)
		return 1 - q*q*q*q
	}
	const ρ = 7.83e-6
	ratio := mean(0) / float64(m.Gears[0].Base/unit.Millimetre)
	red := math.Pi / 8 * ratio * ratio * mean(0) * mean(0) / (1/(hollow(0)*ρ) + 1/(hollow(1)*ρ*m.Ratio*m.Ratio))
	n := 30000 / (math.Pi * r.mm.z1) * math.Sqrt(r.MeshRate/red)
	r.Resonance = n * math.Pi / 30
}
