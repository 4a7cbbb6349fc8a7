package draw

import "math"

// dogDeep is how far the dogs of a face stand out of it, mm.
const dogDeep = 2.6

// Radii between which the dogs of a face lie.
const (
	dogFoot = dogR - 6.6
	dogTip  = dogR - 1.4
)

// dogRing slides on its splines: the groove of the fork outside, and on both
// faces the dogs, which are not sectioned.
func dogRing(s *spot) shape {
	e := min(dogDeep/s.long(), 0.2)
	b := s.r0 + 1.5
	d := max(b+2, s.r1-3.4)
	sh := shape{
		cut:  []Path{s.area(e, b, 1-e, b, 1-e, s.r1-0.8, 0.97-e, s.r1, 0.64, s.r1, 0.64, d, 0.36, d, 0.36, s.r1, e+0.03, s.r1, e, s.r1-0.8)},
		body: []Path{s.area(e, s.r0, 1-e, s.r0, 1-e, b, e, b)},
	}
	lo, hi := max(dogFoot, b+1), min(dogTip, s.r1-1)
	for _, t := range [][2]float64{{0, e}, {1 - e, 1}} {
		sh.body = append(sh.body, s.area(t[0], lo, t[1], lo, t[1], hi, t[0], hi))
	}
	return sh
}

// doggedGear has dogs on the face of its web that looks to the dog ring.
func doggedGear(s *spot) shape {
	root := s.r1 - s.tooth()
	end := 1 - min(dogDeep/s.long(), 0.2)
	lo := max(dogFoot, s.r0+1.5)
	hi := min(max(dogTip, lo+2), root-1)
	sh := shape{cut: []Path{s.area(0, s.r0, end, s.r0, end, root, 0, root)}}
	sh.body = append(sh.body, s.teeth(root, end), s.area(end, lo, 1, lo, 1, hi, end, hi))
	sh.axis = append(sh.axis, s.pitchLine(end))
	return sh
}

// toothedSleeve carries the teeth of a gear on the side away from its groove.
func toothedSleeve(s *spot) shape {
	b := s.r0 + 1.3
	root := s.r1 - s.tooth()
	low := min(root, s.r0+6.2)
	d := max(b+1.2, low-2.9)
	const end, g0, g1 = 0.5, 0.64, 0.86
	return shape{
		cut:  []Path{s.area(0, b, 1, b, 1, low-0.8, 0.97, low, g1, low, g1, d, g0, d, g0, low, end, low, end, root, 0, root)},
		body: []Path{s.area(0.04, s.r0, 0.96, s.r0, 1, b, 0, b), s.teeth(root, end)},
		axis: []Path{s.pitchLine(end)},
	}
}

// teeth are the teeth of a gear from its first face to the share end of its
// length, from the root to the tip.
func (s *spot) teeth(root, end float64) Path {
	c := 0.7 / s.long()
	return s.area(0, root, end, root, end, s.r1-0.7, end-c, s.r1, c, s.r1, 0, s.r1-0.7)
}

// tooth is the height of its teeth.
func (s *spot) tooth() float64 {
	if s.deep > 0 {
		return s.deep
	}
	return tooth
}

// pitchLine runs a little beyond the teeth on both sides.
func (s *spot) pitchLine(end float64) Path {
	over := 1.6 / s.long()
	y := s.r1 - s.tooth()*0.45
	return Line(s.at(-over), y, s.at(end+over), y)
}

// toFlange sets a pack that lies around a cartridge between its flange and
// what the flange is bolted to.
func (s *spot) toFlange() {
	q := s.lies
	face := q.at(flangeAt(q))
	w := 0.5 * float64(s.pieces)
	s.x0, s.x1 = face, face
	if q.side < 0 {
		s.x1 += w
	} else {
		s.x0 -= w
	}
}

// flangeAt is the share of a cartridge's length at which its flange begins.
func flangeAt(q *spot) float64 { return max(0.84, 1-5/math.Max(q.long(), 1)) }

// onFlange reports a pack around a cartridge: it lies under the flange.
func (s *spot) onFlange() bool {
	return s.pos.Seat != nil && s.lies != nil && s.lies.role == over
}
