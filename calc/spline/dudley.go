package spline

import (
	"fmt"
	"math"
)

// Sides are the stresses of a spline as [DUDLEY] works them out, before any factor.
type Sides struct {
	Shaft float64 // shear under the teeth
	Tooth float64 // shear of the teeth at the pitch line
	Side  float64 // pressure on the sides
}

// Toothing is what Dudley's formulas ask of a spline.
type Toothing struct {
	Teeth     int
	Pitch     float64 // pitch diameter D
	Root      float64 // root diameter of the shaft's teeth
	Bore      float64 // of the shaft
	Length    float64 // effective face width
	Thickness float64 // of a tooth at the pitch line
	Height    float64 // of contact, on radius
	Spread    float64 // load distribution factor Km for a shaft that leans, 1 if it does not
}

// Stresses returns Dudley's three stresses:
//
//	shaft Ss = 16 T Dre/(π (Dre⁴ − Dh⁴))
//	teeth Ss = 4 T Km/(D N Fe tc)
//	sides Sc = 2 T Km/(D N Fe h)
//
// Half the teeth are taken to carry in shear, all of them on their sides. [DUDLEY].
func (t Toothing) Stresses(torque float64) (Sides, error) {
	if !(t.Teeth >= 1 && t.Teeth <= 1000 && t.Pitch > 0 && t.Bore >= 0 && t.Root > t.Bore && t.Pitch < 100 && t.Root < 100 && t.Length > 0 && t.Thickness > 0 && t.Height > 0 && t.Spread >= 1) {
		return Sides{}, fmt.Errorf("spline: no such spline: %d teeth on %g mm, root %g, bore %g, %g long, %g thick, %g mm high, factor %g",
			t.Teeth, t.Pitch*1e3, t.Root*1e3, t.Bore*1e3, t.Length*1e3, t.Thickness*1e3, t.Height*1e3, t.Spread)
	}
	if err := torqueOK(torque); err != nil {
		return Sides{}, err
	}
	torque = math.Abs(torque)
	r, b := t.Root*t.Root, t.Bore*t.Bore
	each := torque * t.Spread / (t.Pitch * float64(t.Teeth) * t.Length)
	return Sides{16 * torque * t.Root / (math.Pi * (r*r - b*b)), 4 * each / t.Thickness, 2 * each / t.Height}, nil
}

// Steel is what Dudley allows of a steel by its hardness, in pascals.
type Steel struct {
	Name              string
	Shear             float64
	Straight, Crowned float64 // pressure on the sides
}

const psi = 6894.757293168 // [SP811]

// Steels returns Dudley's allowances, a fresh copy each time. Shear of [DUDLEY]
// through notes, pressures from memory.
func Steels() []Steel {
	rows := []struct {
		name                     string
		shear, straight, crowned float64
	}{
		{"160 to 200 HB", 20e3, 1500, 6000},
		{"230 to 260 HB", 30e3, 2000, 8000},
		{"33 to 38 HRC", 40e3, 3000, 12000},
		{"surface-hardened, 48 to 53 HRC", 40e3, 4000, 16000},
		{"case-hardened, 58 to 63 HRC", 50e3, 5000, 20000},
	}
	list := make([]Steel, len(rows))
	for i, r := range rows {
		list[i] = Steel{r.name, r.shear * psi, r.straight * psi, r.crowned * psi}
	}
	return list
}

// Shock is how unevenly a thing drives or is driven: 0 even, 3 heavy shock.
type Shock int

// DriveFactor returns Ka for a source, 0 even, 1 light shock, 2 a combustion
// engine, and a load, 0 even to 3 heavy shock. Table of [DUDLEY].
func DriveFactor(source, load Shock) (float64, error) {
	table := [3][4]float64{{1.0, 1.2, 1.5, 1.8}, {1.2, 1.3, 1.8, 2.1}, {2.0, 2.2, 2.4, 2.8}}
	if source < 0 || source > 2 || load < 0 || load > 3 {
		return 0, fmt.Errorf("spline: a source is 0 to 2 and a load 0 to 3, got %d and %d", source, load)
	}
	return table[source][load], nil
}

// lives are numbers of torque cycles as powers of ten, with the life factor for
// torque one way and for torque that turns round. Table of [DUDLEY].
var lives = [...][3]float64{{3, 1.8, 1.8}, {4, 1.0, 1.0}, {5, 0.5, 0.4}, {6, 0.4, 0.3}, {7, 0.3, 0.2}}

// wears are numbers of turns as powers of ten, with the wear factor of flexible
// splines, from memory of [DUDLEY].
var wears = [...][2]float64{{4, 4.0}, {5, 2.8}, {6, 2.0}, {7, 1.4}, {8, 1.0}, {9, 0.7}, {10, 0.5}}

// LifeFactor returns Lf for full torque put on so many times, one way or turning
// round, by straight lines in the logarithms between the rows of the table; beyond
// its ends the end row holds.
func LifeFactor(cycles float64, reversed bool) (float64, error) {
	if !(cycles > 0 && cycles < 1e18) {
		return 0, fmt.Errorf("spline: a life factor needs a number of cycles, got %g", cycles)
	}
	col := 1
	if reversed {
		col = 2
	}
	x := math.Log10(cycles)
	for i := range lives {
		if x <= lives[i][0] {
			if i == 0 {
				return lives[0][col], nil
			}
			return between(x, lives[i-1][0], lives[i-1][col], lives[i][0], lives[i][col]), nil
		}
	}
	return lives[len(lives)-1][col], nil
}

// WearFactor returns Lw for a spline that works a little at every turn, by the
// number of turns, as LifeFactor does.
func WearFactor(turns float64) (float64, error) {
	if !(turns > 0 && turns < 1e18) {
		return 0, fmt.Errorf("spline: a wear factor needs a number of turns, got %g", turns)
	}
	x := math.Log10(turns)
	for i := range wears {
		if x <= wears[i][0] {
			if i == 0 {
				return wears[0][1], nil
			}
			return between(x, wears[i-1][0], wears[i-1][1], wears[i][0], wears[i][1]), nil
		}
	}
	return wears[len(wears)-1][1], nil
}

// between is a straight line in x and log y.
func between(x, x0, y0, x1, y1 float64) float64 {
	return y0 * math.Pow(y1/y0, (x-x0)/(x1-x0))
}

// Allowed are the stresses that Dudley lets a spline bear.
type Allowed struct{ Shear, Fixed, Flexible float64 }

// Allow returns what a steel may bear:
//
//	shear Ss·Lf/Ka    sides of a fixed spline 9·Sc·Lf/Ka, of a flexible one Sc·Lw/Ka
//
// [DUDLEY]. crowned says that the teeth are.
func (s Steel) Allow(drive, life, wear float64, crowned bool) (Allowed, error) {
	if !(drive >= 1 && drive < 100 && life > 0 && life < 100 && wear > 0 && wear < 100) {
		return Allowed{}, fmt.Errorf("spline: allowances need Ka of 1 or more, Lf and Lw above 0, got %g, %g and %g", drive, life, wear)
	}
	side := s.Straight
	if crowned {
		side = s.Crowned
	}
	return Allowed{s.Shear * life / drive, 9 * side * life / drive, side * wear / drive}, nil
}
