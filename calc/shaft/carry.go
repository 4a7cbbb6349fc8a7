package shaft

import "endfloat/calc/bearing"

// OnPair returns what two taper or angular contact bearings set against each other
// carry along the shaft under these reactions, for their factors Y, by a named rule
// of induced thrust. Their radial loads are r.A.Radial() and r.B.Radial(), with the
// bearings' load centres as places: bearing.Arrangement.Centres.
func (r Reactions) OnPair(a bearing.Arrangement, m bearing.Method, ya, yb float64) (bearing.Pair, error) {
	return m.Thrusts(bearing.Side{Radial: r.A.Radial(), Y: ya}, bearing.Side{Radial: r.B.Radial(), Y: yb}, a.Pressed(r.Axial))
}

// OnLocating returns what a locating bearing, B or else A, and a free one carry
// along the shaft: the thrust, whichever way it goes, and nothing.
func (r Reactions) OnLocating(atB bool) (a, b float64) {
	thrust := max(r.Axial, -r.Axial)
	if atB {
		return 0, thrust
	}
	return thrust, 0
}
