package fit

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"endfloat/calc/unit"
)

// Grade is a standard tolerance grade: 7 is IT7.
type Grade int8

// The grades below IT1, and the last one.
const (
	IT01 Grade = -1
	IT0  Grade = 0
	IT18 Grade = 18
)

// String returns the grade as "IT7".
func (g Grade) String() string { return "IT" + g.digits() }

func (g Grade) digits() string {
	if g == IT01 {
		return "01"
	}
	return strconv.Itoa(int(g))
}

// Class is a tolerance class such as H7 or p6. A capital letter is a hole.
type Class struct {
	Letter string
	Grade  Grade
}

// Hole reports whether the class is that of a hole.
func (c Class) Hole() bool { return c.Letter != "" && c.Letter[0] < 'a' }

// String returns the class as it stands on a drawing, "" for the zero Class.
func (c Class) String() string {
	if c == (Class{}) {
		return ""
	}
	return c.Letter + c.Grade.digits()
}

// Tolerance returns the standard tolerance of a grade at a nominal size.
func Tolerance(size unit.Length, g Grade) (unit.Length, error) {
	step, _, err := place(size)
	if err != nil {
		return 0, err
	}
	t, err := tolerance(size, step, g)
	return micrometres(t), err
}

func tolerance(size unit.Length, step int, g Grade) (float64, error) {
	switch {
	case g < IT01 || g > IT18:
		return 0, fmt.Errorf("fit: grade %d is not one of IT01, IT0, IT1 to IT18", g)
	case g >= 14 && small(size):
		return 0, fmt.Errorf("fit: %s: grades from IT14 on are used above 1 mm only", show(size)+" "+g.String())
	}
	return tolerances[step][g+1], nil
}

// Limits returns the limit deviations of the class at a nominal size.
//
//	a to h:  es from the table, ei = es − IT;  A to H: EI = −es, ES = EI + IT
//	js, JS:  ± IT/2
//	k to zc: ei from the table, es = ei + IT;  K to ZC: ES = −ei + Δ, EI = ES − IT
//
// Δ belongs to K, M and N up to IT8 and to P and beyond up to IT7; otherwise it
// is 0, and N has ES = 0 above 3 mm. k has ei = 0 outside IT4 to IT7. [ISO286]
// parts 1 and 2, as in [MD15] tables 15.2 and 15.3.
func (c Class) Limits(size unit.Length) (Limits, error) {
	step, sub, err := place(size)
	if err != nil {
		return Limits{}, err
	}
	t, err := tolerance(size, step, c.Grade)
	if err != nil {
		return Limits{}, err
	}
	upper, why := 0.0, ""
	switch name, column := c.column(); {
	case name == "js":
		upper = t / 2
	case name == "j" && c.Hole():
		upper, why = upperJ(step, c.Grade)
	case name == "j":
		upper, why = lowerJ(step, c.Grade)
		upper += t
	case column < 0:
		why = "no such letter in the tables; a capital is a hole, as in H7, a small one a shaft, as in p6"
	case deviations[sub][column] == none:
		why = "the letter begins at larger sizes"
	case column <= h:
		if name < "c" && small(size) {
			why = "the letter is used above 1 mm only"
		}
		upper = deviations[sub][column]
		if c.Hole() {
			upper = -upper + t
		}
	case c.Hole():
		upper, why = upperFromK(size, step, sub, column, c.Grade)
	default:
		upper = deviations[sub][column] + t
		if name == "k" && (c.Grade < 4 || c.Grade > 7) {
			upper = t
		}
	}
	if why != "" {
		return Limits{}, fmt.Errorf("fit: %s %s: %s", show(size), c, why)
	}
	return Limits{micrometres(upper - t), micrometres(upper)}, nil
}

// h is the column that parts the upper from the lower deviations.
const h = 7

// column returns the small letters of the class and their column, −1 for none.
func (c Class) column() (string, int) {
	for i, l := range letters {
		if c.Letter == l || c.Letter == capitals[i] {
			return l, i
		}
	}
	if c.Letter == "JS" || c.Letter == "J" {
		return strings.ToLower(c.Letter), -1
	}
	return c.Letter, -1
}

var capitals = func() (up [len(letters)]string) {
	for i, l := range letters {
		up[i] = strings.ToUpper(l)
	}
	return up
}()

func upperJ(step int, g Grade) (float64, string) {
	if g < 6 || g > 8 {
		return 0, "J comes with the grades 6 to 8; JS with any"
	}
	return holesJ[step][g-6], ""
}

func lowerJ(step int, g Grade) (float64, string) {
	if g < 5 || g > 8 || shaftsJ[step][max(g, 6)-6] == none {
		return 0, "j comes with the grades 5 to 7, to 3 mm with 8 too; js with any"
	}
	return shaftsJ[step][max(g, 6)-6], ""
}

// upperFromK returns ES of the holes K to ZC, which give way by Δ so that a fit
// such as P7/h6 is as tight as H7/p6.
func upperFromK(size unit.Length, step, sub, column int, g Grade) (float64, string) {
	name, last := letters[column], Grade(7)
	if name == "k" || name == "m" || name == "n" {
		last = 8
	}
	switch beyond := step > 0; { // beyond 3 mm
	case name == "m" && g == 6 && sub >= 19 && sub <= 20:
		return -9, "" // [MD15] table 15.3, footnote: 250 to 315 mm, not −11
	case name == "n" && g > last && small(size):
		return 0, "N coarser than 8 is used above 1 mm only"
	case name == "n" && g > last && beyond:
		return 0, ""
	case name == "k" && g > last && beyond:
		return 0, "K coarser than 8 ends at 3 mm"
	case g < 3 && beyond:
		return 0, "holes from K on are tabled from grade 3"
	case g >= 3 && g <= last:
		return -deviations[sub][column] + deltas[step][g-3], ""
	}
	return -deviations[sub][column], ""
}

// place returns the rows of a nominal size in the coarse and the fine ranges.
func place(size unit.Length) (step, sub int, err error) {
	if !(size > 0 && size <= 500*unit.Millimetre+nanometre/2) {
		return 0, 0, fmt.Errorf("fit: nominal size %s is outside the tables, which go from 0 to 500 mm", show(size))
	}
	// Sizes are compared in whole nanometres, so that 0.03 m is 30 mm.
	n := int64(math.Round(float64(size / nanometre)))
	for ; n > steps[step]*1e6; step++ {
	}
	sub, _ = slices.BinarySearch(substeps[:], (n+1e6-1)/1e6)
	return step, sub, nil
}

const nanometre = 1e-3 * unit.Micrometre

// small reports whether the size is one to which some classes are not given.
func small(size unit.Length) bool { return size <= unit.Millimetre+nanometre/2 }

func show(size unit.Length) string { return fmt.Sprintf("%.7g mm", float64(size/unit.Millimetre)) }

// micrometres divides rather than multiplies: 21 µm is then the float64 nearest
// to it.
func micrometres(µm float64) unit.Length { return unit.Length(µm / 1e6) }

// tidy takes the noise of a subtraction away, so that limits that touch do
// touch.
func tidy(l unit.Length) unit.Length {
	if r := math.Round(float64(l) * 1e12); math.Abs(r) < 1e15 {
		return unit.Length(r / 1e12)
	}
	return l
}

func hypot(a, b unit.Length) unit.Length {
	return unit.Length(math.Hypot(float64(a), float64(b)))
}
