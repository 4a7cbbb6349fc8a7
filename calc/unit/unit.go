// Package unit gives lengths, forces and torques their own types, reads the
// quantities people write, and prints them with no more digits than are known.
//
// All values are held in SI base units. The defined types guard the doors of a
// package, not its arithmetic: Go would call the product of two Lengths a
// Length. Inside a formula, convert to float64.
//
// Three traps are named once here. A Temperature is a reading in degrees
// Celsius, a TempRise a difference in kelvins. Torque and energy share a
// dimension and are different kinds. What follows "±" is one standard
// uncertainty, never a tolerance and never an expanded uncertainty.
//
// Factors are exact rationals built from the definitions of the units and
// rounded once. Source: [SP811], app. B.8 and table 6.
package unit

import "math"

// Length is a length in metres.
type Length float64

// Named lengths. Write 25*unit.Millimetre, never Length(0.025).
const (
	Metre      Length = 1
	Millimetre        = 1e-3 * Metre
	Micrometre        = 1e-6 * Metre
	Inch              = 25.4 * Millimetre
)

// Force is a force in newtons.
type Force float64

// Named forces.
const (
	Newton     Force = 1
	Kilonewton       = 1e3 * Newton
)

// Torque is a turning moment in newton metres. Work has the same dimension and
// is not a Torque.
type Torque float64

// NewtonMetre is the unit of Torque.
const NewtonMetre Torque = 1

// Pressure is a pressure or stress in pascals.
type Pressure float64

// Named pressures.
const (
	Pascal     Pressure = 1
	Megapascal          = 1e6 * Pascal
	Gigapascal          = 1e9 * Pascal
)

// Mass is a mass in kilograms.
type Mass float64

// Named masses.
const (
	Kilogram Mass = 1
	Gram          = 1e-3 * Kilogram
)

// Angle is a plane angle in radians.
type Angle float64

// Named angles.
const (
	Radian Angle = 1
	Degree       = math.Pi / 180 * Radian
)

// Temperature is a reading in degrees Celsius, not in kelvins.
type Temperature float64

// Celsius is the unit of Temperature: 20*unit.Celsius is 20 °C.
const Celsius Temperature = 1

// TempRise is a difference of two temperatures, in kelvins.
type TempRise float64

// Kelvin is the unit of TempRise.
const Kelvin TempRise = 1

// Kind says what a text quantity measures. The zero Kind is a plain number.
type Kind uint8

// The kinds. KindViscosity is kinematic, in m²/s, as oils are graded by it.
const (
	Number Kind = iota
	KindLength
	KindAngle
	KindForce
	KindTorque
	KindMass
	KindTemperature
	KindTempRise
	KindPressure
	KindSpeed
	KindRotation // rotational speed, rad/s
	KindPower
	KindVolume
	KindEnergy
	KindTime
	KindExpansion // linear thermal expansion, 1/K
	KindArea
	KindInertia
	KindViscosity
	KindDensity
	KindAcceleration
)

// kinds holds, in the order of the constants, the name of each kind and a
// text that Parse reads as one.
var kinds = [...]struct{ name, example string }{
	{"number", "0.12"},
	{"length", "18.87 mm"},
	{"angle", "30°"},
	{"force", "250 N"},
	{"torque", "45 N·m"},
	{"mass", "1.2 kg"},
	{"temperature", "20 °C"},
	{"temperature rise", "60 K"},
	{"pressure", "120 MPa"},
	{"speed", "90 km/h"},
	{"rotational speed", "3000 rpm"},
	{"power", "60 kW"},
	{"volume", "1.9 L"},
	{"energy", "120 J"},
	{"time", "20 min"},
	{"thermal expansion", "11.5e-6 1/K"},
	{"area", "120 mm²"},
	{"moment of inertia", "0.014 kg·m²"},
	{"kinematic viscosity", "14.5 cSt"},
	{"density", "7850 kg/m³"},
	{"acceleration", "9.81 m/s²"},
}

// String returns the trade's word for the kind, such as "length".
func (k Kind) String() string {
	if int(k) >= len(kinds) {
		return "unknown kind"
	}
	return kinds[k].name
}

// KindOf returns the kind of that name, the inverse of Kind.String.
func KindOf(name string) (Kind, bool) {
	for k := range kinds {
		if kinds[k].name == name {
			return Kind(k), true
		}
	}
	return Number, false
}

// Unit is one unit of measurement. A reading x in it is (x − Offset)·Factor in
// SI. The zero Unit stands for none.
type Unit struct {
	Symbol string
	Kind   Kind
	Factor float64 // SI per unit, an exact rational rounded once
	Offset float64 // the reading at 0 °C, for °F only
}

// Units returns all units of a kind, the preferred one first. The plain number
// comes as a unit without a symbol.
func Units(k Kind) []Unit {
	var us []Unit
	if int(k) < len(table) {
		for _, e := range table[k] {
			us = append(us, e.Unit)
		}
	}
	return us
}

// Find returns the unit of kind k that the symbol, in any of its usual
// spellings, stands for. The kind decides: "lb" is a pound-force where a force
// is asked and a pound where a mass is.
func Find(symbol string, k Kind) (Unit, bool) {
	e := lookup(symbol, k)
	if e == nil {
		return Unit{}, false
	}
	return e.Unit, true
}
