package ratio

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"endfloat/calc/unit"
)

// Build is how a tyre is built.
type Build byte

// The builds. Unmarked is a size written with a dash, which older books use for
// either.
const (
	Unmarked Build = iota
	Radial
	CrossPly
)

// Tyre is a size as it is marked on the wall. Aspect is the height of the section
// over its width; 0 if it is not marked.
type Tyre struct {
	Width  unit.Length
	Aspect float64
	Rim    unit.Length // nominal diameter
	Build  Build
}

var tyreForm = regexp.MustCompile(`^(?:P|LT)?(\d{1,3}(?:\.\d{1,2})?)(?:/(\d{2,3}))?(ZR|R|-|D|B)(\d{1,2}(?:\.\d)?)$`)

// ParseTyre reads a size: "205/55R16", "165/80-15", "165R13", "5.20-13". Widths
// below 30 are inches. The rim is in inches; codes of metric rims are not read.
func ParseTyre(text string) (Tyre, error) {
	clean := strings.NewReplacer(" ", "", "–", "-", "−", "-", ",", ".").Replace(strings.ToUpper(text))
	m := tyreForm.FindStringSubmatch(clean)
	if m == nil {
		return Tyre{}, fmt.Errorf("ratio: cannot read %.40q as the size of a tyre; expected width/aspect, R or a dash, and rim, such as 205/55R16 or 5.20-13", text)
	}
	width, _ := strconv.ParseFloat(m[1], 64)
	rim, _ := strconv.ParseFloat(m[4], 64)
	t := Tyre{Width: unit.Length(width) * unit.Millimetre, Rim: unit.Length(rim) * unit.Inch}
	if width < 30 {
		t.Width = unit.Length(width) * unit.Inch
	}
	if m[2] != "" {
		percent, _ := strconv.ParseFloat(m[2], 64)
		t.Aspect = percent / 100
	}
	switch m[3] {
	case "R", "ZR":
		t.Build = Radial
	case "D", "B":
		t.Build = CrossPly
	}
	if !(t.Width > 0.025 && t.Rim > 0.1 && t.Rim < 1.5) || m[2] != "" && !(t.Aspect >= 0.2 && t.Aspect <= 1.2) {
		return Tyre{}, fmt.Errorf("ratio: %.40q is no size of a tyre: width, aspect or rim is out of range", text)
	}
	return t, nil
}

// Diameter returns the outside diameter of the tyre unloaded, d + 2·W·a. [R30],
// from memory. It returns an error if the aspect is not known.
func (t Tyre) Diameter() (unit.Length, error) {
	if !(t.Aspect > 0) {
		return 0, fmt.Errorf("ratio: the size does not say how high the section is; enter its aspect or measure the wheel")
	}
	return t.Rim + 2*t.Width*unit.Length(t.Aspect), nil
}

// Circumference returns the distance rolled in one turn: 3.05 diameters for a
// radial tyre, 2.99 for a cross-ply one. [ETRTO], at 60 km/h, from memory. One
// turn measured on the ground, loaded, is better.
func (t Tyre) Circumference() (unit.Length, error) {
	d, err := t.Diameter()
	switch {
	case err != nil:
		return 0, err
	case t.Build == Radial:
		return 3.05 * d, nil
	case t.Build == CrossPly:
		return 2.99 * d, nil
	}
	return 0, fmt.Errorf("ratio: the size does not say whether the tyre is radial or cross-ply, and they roll differently")
}

// RollingDiameter returns the diameter of a rigid wheel that goes as far in a
// turn, which is what Speed asks for.
func RollingDiameter(circumference unit.Length) unit.Length { return circumference / math.Pi }
