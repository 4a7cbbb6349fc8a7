// Package ratio holds the arithmetic of gear ratios: from teeth, from turns
// counted on the bench, to road speed, and the centre distance that says whether
// two gears can mesh at all.
//
// A ratio is turns of the input for one turn of the output, so a low gear has a
// large one.
//
// It goes on to what the ratios do on the road, in the field and on rails: tyres,
// what the road resists with, tractive effort, top speed, where to shift and how
// long a run takes, and which gears of a shelf make the best set. All of that is of
// a vehicle that runs straight on, without wind and without slip; grip is one limit
// of force and nothing is said of axle loads or stability.
package ratio

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"endfloat/calc/unit"
)

// Pair is two gears in mesh.
type Pair struct{ Driver, Driven int }

// Train is pairs one after another on the way from input to output. Idlers is
// the number of gears that turn between a driver and its driven gear; each
// turns the sense once more and leaves the ratio alone.
type Train struct {
	Pairs  []Pair
	Idlers int
}

// Ratio returns i = Π(driven/driver). Textbook, no source.
func (t Train) Ratio() float64 {
	i := 1.0
	for _, p := range t.Pairs {
		i *= float64(p.Driven) / float64(p.Driver)
	}
	return i
}

// Reversed reports whether the output turns against the input: each mesh on
// outside teeth turns the sense once.
func (t Train) Reversed() bool { return (len(t.Pairs)+t.Idlers)%2 == 1 }

// Hunts reports whether every tooth of the driver meets every tooth of the driven
// gear before any pair meets again: the counts share no factor.
func (p Pair) Hunts() bool {
	a, b := p.Driver, p.Driven
	for b != 0 {
		a, b = b, a%b
	}
	return a == 1
}

// maxTeeth is more than any gear of a gearbox has.
const maxTeeth = 999

var pairForm = regexp.MustCompile(`^(\d{1,4})((?:/\(\d{1,4}\))*)/(\d{1,4})$`)

// ParseTrain reads teeth as driver/driven, an idler in brackets between them, and
// pairs one after another joined by "x": "13/46", "13/(20)/44", "21/31 x 17/40".
func ParseTrain(text string) (Train, error) {
	var t Train
	clean := strings.NewReplacer(" ", "", "×", "x", "*", "x", "X", "x", "·", "x").Replace(text)
	for part := range strings.SplitSeq(clean, "x") {
		m := pairForm.FindStringSubmatch(part)
		if m == nil {
			return Train{}, fmt.Errorf("cannot read %.40q as teeth; write driver/driven, such as 13/46, an idler in brackets, 13/(20)/44, and pairs in a row with x", text)
		}
		driver, _ := strconv.Atoi(m[1])
		driven, _ := strconv.Atoi(m[3])
		if driver < 1 || driven < 1 || driver > maxTeeth || driven > maxTeeth {
			return Train{}, fmt.Errorf("%.40q: a gear has 1 to %d teeth", text, maxTeeth)
		}
		t.Pairs = append(t.Pairs, Pair{driver, driven})
		t.Idlers += strings.Count(m[2], "(")
	}
	if len(t.Pairs) > 8 {
		return Train{}, fmt.Errorf("%.40q: that is %d pairs in a row, more than any gear has", text, len(t.Pairs))
	}
	return t, nil
}

// FromTurns returns a ratio from turns counted on the bench, i = N_in/N_out. On a
// unit with a differential both outputs must turn alike; with one of them held
// the other turns twice as fast and the ratio is 2·N_in/N_out. It returns an error
// unless both counts are above 0.
func FromTurns(in, out float64, oneHeld bool) (float64, error) {
	if !(in > 0 && out > 0) {
		return 0, fmt.Errorf("ratio: turns are counted above 0, got %g and %g", in, out)
	}
	if oneHeld {
		in *= 2
	}
	return in / out, nil
}

// Speed returns the road or track speed in m/s at an engine speed in rad/s,
// v = ω·D/(2·i), with D the rolling diameter of the wheel and i the overall
// ratio. In the workshop's units: km/h = 0.06·π·D·n/i, with D in metres and n in
// rpm. Textbook, no source.
func Speed(engine float64, overall float64, wheel unit.Length) float64 {
	return engine * float64(wheel) / 2 / overall
}

// UpShift returns the engine speed after a shift at unchanged road speed,
// n2 = n1·i2/i1.
func UpShift(engine, from, to float64) float64 { return engine * to / from }

// CentreDistance returns the centre distance of two cylindrical gears cut without
// profile shift, a = m_n·(z1 + z2)/(2·cos β). Profile shift moves it a little, by
// less than one module in a sound pair. [ISO21771] as in [GEARSHEET].
func CentreDistance(z1, z2 int, module unit.Length, helix unit.Angle) unit.Length {
	return module * unit.Length(z1+z2) / unit.Length(2*math.Cos(float64(helix)))
}

// Helix returns the helix angle with which a number of teeth fits a centre
// distance, cos β = m_n·(z1 + z2)/(2·a). It returns an error if even straight
// teeth are too many for the distance.
func Helix(z1, z2 int, module, centres unit.Length) (unit.Angle, error) {
	cos := float64(module) * float64(z1+z2) / 2 / float64(centres)
	if !(cos > 0 && cos <= 1+1e-12) {
		return 0, fmt.Errorf("ratio: %d teeth of module %.4g mm need at least %.5g mm between centres and have %.5g mm",
			z1+z2, float64(module/unit.Millimetre), float64(module)*float64(z1+z2)/2*1000, float64(centres/unit.Millimetre))
	}
	return unit.Angle(math.Acos(math.Min(cos, 1))), nil
}
