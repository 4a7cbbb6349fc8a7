package fit

import (
	"fmt"

	"endfloat/calc/unit"
)

// band is a tolerance that runs to minus from the nominal size, to a size in mm.
type band struct{ to, minus float64 }

// Bores and outside diameters of rolling bearings of the normal class, in mm and
// µm. [SKF], [GBB] and [NKE11].
var (
	bearingBores = []band{{18, 8}, {30, 10}, {50, 12}, {80, 15}, {120, 20}, {180, 25}}
	bearingRims  = []band{{18, 8}, {30, 9}, {50, 11}, {80, 13}, {120, 15}, {150, 18}, {180, 25}, {250, 30}, {315, 35}}
)

// BearingBore returns the limits of the bore of a metric rolling bearing of the
// normal class, 10 to 180 mm. Taper and inch bearings have their own: inch bores
// run to plus. Use it as the Hole of a Fit.
func BearingBore(bore unit.Length) (Limits, error) {
	return minus("bore", bore, 10, bearingBores)
}

// BearingOutside returns the limits of the outside diameter of a metric rolling
// bearing of the normal class, 6 to 315 mm. Use it as the Shaft of a Fit.
func BearingOutside(diameter unit.Length) (Limits, error) {
	return minus("outside diameter", diameter, 6, bearingRims)
}

func minus(what string, size unit.Length, over float64, bands []band) (Limits, error) {
	// The whole of the first range is wanted, its lower end included.
	if mm := float64(size / unit.Millimetre); mm >= over-1e-6 {
		for _, b := range bands {
			if mm <= b.to+1e-6 {
				return Limits{Lower: -micrometres(b.minus)}, nil
			}
		}
	}
	return Limits{}, fmt.Errorf("fit: no limits are tabled for a bearing's %s of %s, only for %g to %g mm",
		what, show(size), over, bands[len(bands)-1].to)
}
