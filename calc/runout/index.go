package runout

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"endfloat/calc/unit"
)

// Index is a way to put one part on another, and the offset that is then left.
type Index struct {
	Turn unit.Angle // of the second part from where it was measured
	Left Offset
}

// Together returns the offset of two parts of which the second is turned.
//
//	R² = e1² + e2² + 2 e1 e2 cos(φ1 − φ2 − turn)
func Together(first, second Offset, by unit.Angle) (Offset, error) {
	if err := check(first, second); err != nil {
		return Offset{}, err
	}
	if !(math.Abs(float64(by)) < 1e6) {
		return Offset{}, fmt.Errorf("runout: a part cannot be turned by %g rad", float64(by))
	}
	return together(first, second, by), nil
}

func together(first, second Offset, by unit.Angle) Offset {
	s1, c1 := math.Sincos(float64(first.At))
	s2, c2 := math.Sincos(float64(second.At + by))
	x := float64(first.E)*c1 + float64(second.E)*c2
	y := float64(first.E)*s1 + float64(second.E)*s2
	return Offset{unit.Length(math.Hypot(x, y)), turn(math.Atan2(y, x))}
}

// Cancel returns the turn that leaves least of two offsets if any angle will do:
// high point against high point, |e1 − e2|.
func Cancel(first, second Offset) (Index, error) {
	if err := check(first, second); err != nil {
		return Index{}, err
	}
	by := turn(float64(first.At-second.At) + math.Pi)
	return Index{by, together(first, second, by)}, nil
}

// Indexes returns all ways to put the second part on in so many equal steps, such
// as splines or bolt holes, the least offset first and the worst last. Offsets are
// compared in whole nanometres; of equal ones the smaller turn comes first.
func Indexes(first, second Offset, steps int) ([]Index, error) {
	if err := check(first, second); err != nil {
		return nil, err
	}
	if steps < 1 || steps > most {
		return nil, fmt.Errorf("runout: a part goes on in 1 to %d ways, got %d", most, steps)
	}
	all := make([]Index, steps)
	for k := range all {
		by := unit.Angle(2 * math.Pi * float64(k) / float64(steps))
		all[k] = Index{by, together(first, second, by)}
	}
	nanometres := func(i Index) float64 { return math.Round(float64(i.Left.E) * 1e9) }
	slices.SortStableFunc(all, func(a, b Index) int { return cmp.Compare(nanometres(a), nanometres(b)) })
	return all, nil
}

func check(offsets ...Offset) error {
	for i, o := range offsets {
		if !(0 <= o.E && o.E < 1 && math.Abs(float64(o.At)) < 1e6) {
			return fmt.Errorf("runout: part %d: an offset is 0 or more at some angle, got %s at %g rad", i+1, show(o.E), float64(o.At))
		}
	}
	return nil
}
