// Package bearing computes how long rolling bearings last and what they stand:
// basic and modified life, static safety, equivalent loads, the thrust that paired
// taper bearings put on each other, varying duty, preload from friction torque, and
// the fits that a load asks for.
//
// A bearing is data: its ratings and factors are typed from the maker's sheet, and
// none are built in. Lives are for rolling fatigue of a bearing that is mounted,
// aligned and lubricated as its maker asks; wear, rust, debris and false brinelling
// end most used bearings earlier, and nothing here knows of them.
//
// All quantities are in SI: forces in newtons, lengths in metres, speeds in rad/s,
// viscosities in m²/s, angles in radians, times in seconds. Lives are in
// revolutions, not in millions. Errors state the value at fault.
//
// Sources: [ISO281] and [ISO76] from memory and through [LYC], [NSK], [SKF] and
// textbooks named in the tests.
package bearing

import "fmt"

// Life exponents. Some books round 10/3 to 3.33 or even 3.
const (
	Ball   = 3.0
	Roller = 10.0 / 3
)

// Million is the number of revolutions that the basic rating C stands for.
const Million = 1e6

// Form is the kind of a rolling bearing.
type Form uint8

// The forms. Deep groove balls take their factors from a table; for all others
// they stand in the maker's sheet.
const (
	DeepGroove Form = iota
	Angular
	Taper
	Cylindrical
	Needle
	Spherical
)

var forms = [...]string{"deep groove ball", "angular contact ball", "taper roller", "cylindrical roller", "needle roller", "spherical roller"}

// String returns the trade's name of the form.
func (f Form) String() string {
	if int(f) >= len(forms) {
		return "unknown form"
	}
	return forms[f]
}

// Rolls reports whether rollers carry the load.
func (f Form) Rolls() bool { return f >= Taper }

// Exponent returns the life exponent of the form: 3 for balls, 10/3 for rollers.
func (f Form) Exponent() float64 {
	if f.Rolls() {
		return Roller
	}
	return Ball
}

// Bearing is one rolling bearing as its maker's sheet describes it. Only what a
// sum needs has to be there; the zero value of a factor means that the sheet gives
// none.
type Bearing struct {
	Form    Form
	C, C0   float64 // dynamic and static rating, N
	Cu      float64 // fatigue load limit, N; modified life alone asks for it
	F0      float64 // f0 of a deep groove bearing
	E, X, Y float64 // limit of Fa/Fr and the factors above it
	Y1      float64 // factor of Fa below E: pairs and spherical rollers
	X0, Y0  float64 // static factors
	Bore    float64 // d
	Outside float64 // D
}

// Mean returns the mean diameter (d + D)/2, which stands for the pitch diameter.
func (b *Bearing) Mean() float64 { return (b.Bore + b.Outside) / 2 }

// Factors are what an equivalent load is made with.
type Factors struct {
	E    float64 // limit of Fa/Fr
	X, Y float64 // P = X·Fr + Y·Fa
}

// Factors returns X and Y for a radial and an axial load, and the limit e that
// they were chosen by. Up to e a bearing takes thrust at no cost, X = 1 and
// Y = Y1, which for most forms is 0.
//
// Deep groove bearings use X = 0.56 and a Y that falls with f0·Fa/C0. A cylindrical
// roller bearing without a Y takes no thrust, nor does a needle roller one: that is
// an error.
func (b *Bearing) Factors(fr, fa float64) (Factors, error) {
	if !(fr >= 0 && fa >= 0 && fr+fa < 1e12) {
		return Factors{}, fmt.Errorf("bearing: loads are 0 or more, got %g N radial and %g N axial", fr, fa)
	}
	f := Factors{E: b.E, X: b.X, Y: b.Y}
	if b.Form == DeepGroove && f.Y == 0 {
		if fa > 0 && !(b.C0 > 0 && b.F0 > 0) {
			return Factors{}, fmt.Errorf("bearing: thrust on a deep groove bearing needs its C0 and f0, got %g N and %g", b.C0, b.F0)
		}
		if fa > 0 {
			f = GrooveFactors(b.F0 * fa / b.C0)
		}
	}
	if fa == 0 || fa <= f.E*fr {
		return Factors{E: f.E, X: 1, Y: b.Y1}, nil
	}
	if !(f.Y > 0 && f.X > 0) {
		return Factors{}, fmt.Errorf("bearing: this %s bearing carries %g N of thrust on %g N radial, beyond e, and has no X and Y for it", b.Form, fa, fr)
	}
	return f, nil
}

// Equivalent returns the equivalent dynamic load P = X·Fr + Y·Fa, not less than
// the radial load.
func (b *Bearing) Equivalent(fr, fa float64) (float64, error) {
	f, err := b.Factors(fr, fa)
	if err != nil {
		return 0, err
	}
	return max(f.X*fr+f.Y*fa, fr), nil
}

// Static returns the equivalent static load P0 = X0·Fr + Y0·Fa, not less than the
// radial load. Without factors a deep groove bearing takes 0.6 and 0.5, any other
// roller bearing 0.5 and 0 as far as there is no thrust. [ISO76] through [SKF].
func (b *Bearing) Static(fr, fa float64) (float64, error) {
	x, y := b.X0, b.Y0
	if x == 0 && y == 0 && b.Form == DeepGroove {
		x, y = 0.6, 0.5
	}
	switch {
	case !(fr >= 0 && fa >= 0 && fr+fa < 1e12):
		return 0, fmt.Errorf("bearing: loads are 0 or more, got %g N radial and %g N axial", fr, fa)
	case fa > 0 && y == 0:
		return 0, fmt.Errorf("bearing: this %s bearing needs Y0 to stand %g N of thrust", b.Form, fa)
	}
	return max(x*fr+y*fa, fr), nil
}

// StaticSafety returns s0 = C0/P0.
func (b *Bearing) StaticSafety(fr, fa float64) (float64, error) {
	p0, err := b.Static(fr, fa)
	if err != nil {
		return 0, err
	}
	if !(p0 > 0 && b.C0 > 0) {
		return 0, fmt.Errorf("bearing: a static safety needs a load and C0, got %g N and %g N", p0, b.C0)
	}
	return b.C0 / p0, nil
}

// TaperFactors returns Y, Y0 and tan α of a single-row taper bearing from its e:
//
//	Y = 0.6/e    Y0 = 0.22·cot α    tan α = e/1.5
//
// From memory of [ISO281] and [ISO76]; makers' sheets differ in the last digit and
// rule.
func TaperFactors(e float64) (y, y0, tan float64, err error) {
	if !(e > 0.05 && e < 3) {
		return 0, 0, 0, fmt.Errorf("bearing: e of a taper bearing lies between 0.05 and 3, got %g", e)
	}
	return 0.6 / e, 0.33 / e, e / 1.5, nil
}

// Angular40 returns the factors of a single angular contact ball bearing of 40°, to
// which C and C0 are added; its own thrust is about 1.14 of its radial load. From
// memory of [ISO281] and [ISO76]; a pair of O or X has 1, 0.55 and 0.57, 0.93.
func Angular40() Bearing {
	return Bearing{Form: Angular, E: 1.14, X: 0.35, Y: 0.57, X0: 0.5, Y0: 0.26}
}

// groove is the table of X = 0.56 for deep groove bearings of normal clearance:
// f0·Fa/C0, e, Y. [LYC]; [NSK] has the same values.
var groove = [...][3]float64{
	{0.172, 0.19, 2.30}, {0.345, 0.22, 1.99}, {0.689, 0.26, 1.71}, {1.03, 0.28, 1.55}, {1.38, 0.30, 1.45},
	{2.07, 0.34, 1.31}, {3.45, 0.38, 1.15}, {5.17, 0.42, 1.04}, {6.89, 0.44, 1.00},
}

// GrooveFactors returns the factors of a deep groove bearing of normal clearance
// for f0·Fa/C0, by straight lines between the rows of the table. Beyond its ends
// the end row holds.
func GrooveFactors(load float64) Factors {
	last := len(groove) - 1
	if !(load > groove[0][0]) {
		return Factors{groove[0][1], 0.56, groove[0][2]}
	}
	for i := 1; i <= last; i++ {
		if a, b := groove[i-1], groove[i]; load <= b[0] {
			t := (load - a[0]) / (b[0] - a[0])
			return Factors{a[1] + t*(b[1]-a[1]), 0.56, a[2] + t*(b[2]-a[2])}
		}
	}
	return Factors{groove[last][1], 0.56, groove[last][2]}
}
