// Package gear holds the geometry of external involute cylindrical gears, spur and
// helical: diameters, profile shift, centre distance, contact ratio, tooth
// thickness and backlash, and the outline of a tooth as its rack cuts it.
//
// Teeth are those of a basic rack, without tip chamfer, protuberance or flank
// modification; both gears of a pair have the same rack. Internal gears are not
// handled. Lengths across a helical tooth are in the transverse section, the plane
// of rotation, unless "normal" is said. Profile shift is counted in normal modules
// and positive away from the axis.
//
// Sources: [ISO21771] for the geometry and [ISO53] for the racks, both from memory
// and confirmed on the worked examples of [GEARSHEET], [GEARGUIDE] and [TR6336-30].
package gear

import (
	"fmt"
	"math"

	"endfloat/calc/unit"
)

// Rack is a basic rack. Heights and the radius are counted in normal modules.
type Rack struct {
	Pressure unit.Angle // α_n
	Addendum float64    // h_aP
	Dedendum float64    // h_fP
	Fillet   float64    // ρ_fP, radius at the root
}

// The basic racks of [ISO53]: 20°, addendum 1. Figures from memory; those of A and
// D are confirmed by the examples in the tests.
var (
	RackA = Rack{20 * unit.Degree, 1, 1.25, 0.38}
	RackB = Rack{20 * unit.Degree, 1, 1.25, 0.30}
	RackC = Rack{20 * unit.Degree, 1, 1.25, 0.25}
	RackD = Rack{20 * unit.Degree, 1, 1.40, 0.39}
)

// check asks of a rack what must hold; the fillet must fit between its flanks.
func (r Rack) check() error {
	α := float64(r.Pressure)
	if !(α >= 10*math.Pi/180 && α <= 35*math.Pi/180) {
		return fmt.Errorf("gear: a normal pressure angle is 10° to 35°, got %s", degrees(r.Pressure))
	}
	half := math.Pi/4 - r.Dedendum*math.Tan(α) - r.Fillet*(1-math.Sin(α))/math.Cos(α) // of the flat at the root
	if !(r.Addendum > 0.2 && r.Addendum <= 2 && r.Dedendum > 0.2 && r.Dedendum <= 2.5 && r.Fillet >= 0 && half > -1e-3 && r.Fillet*(1-math.Sin(α)) < r.Dedendum) {
		return fmt.Errorf("gear: no such rack: addendum %g, dedendum %g and root radius %g modules at %s", r.Addendum, r.Dedendum, r.Fillet, degrees(r.Pressure))
	}
	return nil
}

// Gear is one gear of a pair.
type Gear struct {
	Teeth int
	Shift float64     // profile shift x
	Face  unit.Length // width of the teeth; only the overlap asks for it
	Tip   unit.Length // tip diameter if it was measured; 0: that of the rack
}

// Pair is two gears in mesh. Centres may be 0: then they stand where their profile
// shifts let them mesh without backlash.
type Pair struct {
	Gears   [2]Gear
	Module  unit.Length // normal module
	Helix   unit.Angle  // at the reference circle; the sign does not matter here
	Rack    Rack
	Centres unit.Length
}

// Diameters are those of one gear.
type Diameters struct {
	Reference, Base, Pitch unit.Length // pitch: the circle that rolls in this mesh, d_w
	Tip, Root              unit.Length
}

// Mesh is the geometry of a pair.
type Mesh struct {
	Ratio            float64 // u = z2/z1
	TransverseModule unit.Length
	Pressure         unit.Angle  // α_t
	Working          unit.Angle  // α_wt
	BaseHelix        unit.Angle  // β_b
	Reference        unit.Length // centre distance without profile shift, a_0
	Centres          unit.Length
	ShiftSum         float64     // Σx that meshes at these centres without backlash
	Shortening       float64     // k, by which tips are kept off the roots, 0 or less
	Face             unit.Length // common width
	Gears            [2]Diameters
	Contact          float64 // transverse contact ratio ε_α
	Overlap          float64 // ε_β
}

// Total returns the contact ratio with the overlap, ε_γ = ε_α + ε_β.
func (m Mesh) Total() float64 { return m.Contact + m.Overlap }

// Inv returns the involute of an angle, inv α = tan α − α.
func Inv(a unit.Angle) float64 { return math.Tan(float64(a)) - float64(a) }

// FromInv returns the angle of an involute, the inverse of Inv. It returns an error
// unless the involute is 0 to 100.
func FromInv(v float64) (unit.Angle, error) {
	if !(v >= 0 && v <= 100) {
		return 0, fmt.Errorf("gear: an involute is 0 or more, got %g", v)
	}
	if v == 0 {
		return 0, nil
	}
	// Newton for t − atan t = v, which is convex: from the second step on it comes
	// down on the root and cannot pass it.
	t := min(math.Cbrt(3*v), v+math.Pi/2)
	for range 60 {
		step := (t - math.Atan(t) - v) * (1 + t*t) / (t * t)
		t -= step
		if math.Abs(step) <= 1e-15*t {
			break
		}
	}
	return unit.Angle(math.Atan(t)), nil
}

// Transverse returns the transverse pressure angle and the base helix angle:
//
//	tan α_t = tan α_n / cos β        sin β_b = sin β · cos α_n
func Transverse(pressure, helix unit.Angle) (transverse, base unit.Angle) {
	α, β := float64(pressure), math.Abs(float64(helix))
	return unit.Angle(math.Atan(math.Tan(α) / math.Cos(β))), unit.Angle(math.Asin(math.Sin(β) * math.Cos(α)))
}

// check asks of each input what must hold, so that a NaN fails it.
func (p Pair) check() error {
	if err := p.Rack.check(); err != nil {
		return err
	}
	if err := checkModule(p.Module, p.Helix); err != nil {
		return err
	}
	for i, g := range p.Gears {
		if err := g.check(); err != nil {
			return fmt.Errorf("gear: gear %d: %w", i+1, err)
		}
	}
	if !(p.Centres >= 0 && p.Centres <= 10) {
		return fmt.Errorf("gear: a centre distance is above 0 and at most 10 m, got %s", mm(p.Centres))
	}
	return nil
}

func checkModule(module unit.Length, helix unit.Angle) error {
	if !(module >= 0.1*unit.Millimetre && module <= 50*unit.Millimetre) {
		return fmt.Errorf("gear: a normal module is 0.1 to 50 mm, got %s", mm(module))
	}
	if !(math.Abs(float64(helix)) <= 60*math.Pi/180) {
		return fmt.Errorf("gear: a helix angle is up to 60°, got %s", degrees(helix))
	}
	return nil
}

func (g Gear) check() error {
	switch {
	case g.Teeth < 5 || g.Teeth > 1_000_000:
		return fmt.Errorf("teeth are 5 or more, got %d", g.Teeth)
	case !(math.Abs(g.Shift) <= 3):
		return fmt.Errorf("a profile shift is within 3 modules, got %g", g.Shift)
	case !(g.Face >= 0 && g.Face <= 2):
		return fmt.Errorf("a face width is 0 to 2 m, got %s", mm(g.Face))
	case !(g.Tip >= 0 && g.Tip <= 1e5):
		return fmt.Errorf("a tip diameter is above 0, got %s", mm(g.Tip))
	}
	return nil
}

// ShiftSum returns the sum of profile shifts with which a pair meshes at a centre
// distance without backlash:
//
//	cos α_wt = a_0 · cos α_t / a
//	Σx       = (z1 + z2) · (inv α_wt − inv α_t) / (2 · tan α_n)
//
// [ISO21771]; [GEARSHEET] prints an example. Shifts and tips of the pair do not
// matter. It returns an error if the gears are too large to mesh so close.
func (p Pair) ShiftSum(centres unit.Length) (float64, error) {
	p.Centres = centres
	m, err := p.Mesh()
	return m.ShiftSum, err
}

// Mesh returns the geometry of the pair.
//
//	m_t = m_n / cos β      d = m_t · z      d_b = d · cos α_t     a_0 = m_t (z1 + z2) / 2
//	inv α_wt = inv α_t + 2 · tan α_n · Σx / (z1 + z2)             a = a_0 · cos α_t / cos α_wt
//	k   = (a − a_0) / m_n − (x1 + x2), where that is below 0
//	d_a = d + 2 m_n (h_aP + x + k)     d_f = d − 2 m_n (h_fP − x)
//	ε_α = (√(d_a1² − d_b1²) + √(d_a2² − d_b2²) − 2 a sin α_wt) / (2 π m_t cos α_t)
//	ε_β = b · sin β / (π · m_n)
//
// [ISO21771]; k shortens the tips so that the clearance of the rack stays at the
// roots. The contact ratio takes the flanks as usable to the tip and down to where
// the mate reaches; undercut is not looked at. It returns an error if an input is
// impossible or the gears do not meet.
func (p Pair) Mesh() (Mesh, error) {
	if err := p.check(); err != nil {
		return Mesh{}, err
	}
	αt, βb := Transverse(p.Rack.Pressure, p.Helix)
	var m Mesh
	z1, z2 := float64(p.Gears[0].Teeth), float64(p.Gears[1].Teeth)
	m.Ratio, m.Pressure, m.BaseHelix = z2/z1, αt, βb
	m.TransverseModule = p.Module / unit.Length(math.Cos(float64(p.Helix)))
	m.Reference = m.TransverseModule * unit.Length(z1+z2) / 2
	m.Centres = p.Centres
	sum := p.Gears[0].Shift + p.Gears[1].Shift
	slope := 2 * math.Tan(float64(p.Rack.Pressure)) / (z1 + z2)
	if p.Centres == 0 {
		working, err := FromInv(Inv(αt) + slope*sum)
		if err != nil {
			return Mesh{}, fmt.Errorf("gear: a sum of profile shifts of %g is too far below 0 for %g teeth in all", sum, z1+z2)
		}
		m.Working, m.ShiftSum = working, sum
		m.Centres = m.Reference * unit.Length(math.Cos(float64(αt))/math.Cos(float64(working)))
	} else {
		cos := float64(m.Reference/p.Centres) * math.Cos(float64(αt))
		if !(cos < 1) {
			return Mesh{}, fmt.Errorf("gear: at a centre distance of %s the base circles overlap; it must be more than %s",
				mm(p.Centres), mm(m.Reference*unit.Length(math.Cos(float64(αt)))))
		}
		m.Working = unit.Angle(math.Acos(cos))
		m.ShiftSum = (Inv(m.Working) - Inv(αt)) / slope
	}
	m.Shortening = min(0, float64((m.Centres-m.Reference)/p.Module)-sum)
	m.Face = min(p.Gears[0].Face, p.Gears[1].Face)
	if err := m.setDiameters(p); err != nil {
		return Mesh{}, err
	}
	return m, m.setContact(p)
}

func (m *Mesh) setDiameters(p Pair) error {
	for i, g := range p.Gears {
		d := m.TransverseModule * unit.Length(g.Teeth)
		w := Diameters{
			Reference: d,
			Base:      d * unit.Length(math.Cos(float64(m.Pressure))),
			Pitch:     2 * m.Centres * unit.Length(g.Teeth) / unit.Length(p.Gears[0].Teeth+p.Gears[1].Teeth),
			Tip:       g.Tip,
			Root:      d - 2*p.Module*unit.Length(p.Rack.Dedendum-g.Shift),
		}
		if w.Tip == 0 {
			w.Tip = d + 2*p.Module*unit.Length(p.Rack.Addendum+g.Shift+m.Shortening)
		}
		if !(w.Tip > w.Base && w.Root > 0 && w.Root < w.Tip) {
			return fmt.Errorf("gear: gear %d has no flank: tip %s, base circle %s, root %s", i+1, mm(w.Tip), mm(w.Base), mm(w.Root))
		}
		m.Gears[i] = w
	}
	return nil
}

// Alone returns the diameters of one gear by itself: its pitch circle is its
// reference circle and its tip is not shortened.
func (p Pair) Alone(gear int) (Diameters, error) {
	p.Gears[1-gear] = p.Gears[gear] // the mate plays no part
	if err := p.check(); err != nil {
		return Diameters{}, err
	}
	αt, _ := Transverse(p.Rack.Pressure, p.Helix)
	m := Mesh{TransverseModule: p.Module / unit.Length(math.Cos(float64(p.Helix))), Pressure: αt}
	m.Centres = m.TransverseModule * unit.Length(p.Gears[0].Teeth)
	err := m.setDiameters(p)
	return m.Gears[gear], err
}

func (m *Mesh) setContact(p Pair) error {
	reach := 0.0
	for _, w := range m.Gears {
		reach += math.Sqrt(float64(w.Tip*w.Tip - w.Base*w.Base))
	}
	pitch := math.Pi * float64(m.TransverseModule) * math.Cos(float64(m.Pressure))
	m.Contact = (reach/2 - float64(m.Centres)*math.Sin(float64(m.Working))) / pitch
	m.Overlap = float64(m.Face/p.Module) * math.Sin(math.Abs(float64(p.Helix))) / math.Pi
	if !(m.Contact > 0) {
		return fmt.Errorf("gear: at a centre distance of %s the tips, %s and %s, do not reach each other", mm(m.Centres), mm(m.Gears[0].Tip), mm(m.Gears[1].Tip))
	}
	return nil
}

func mm(l unit.Length) string { return fmt.Sprintf("%.6g mm", float64(l/unit.Millimetre)) }

func degrees(a unit.Angle) string { return fmt.Sprintf("%.5g°", float64(a/unit.Degree)) }
