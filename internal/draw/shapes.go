package draw

import "math"

// shape is what a part looks like above the axis, before its state is known.
type shape struct {
	cut   []Path // in section: outlined and hatched
	body  []Path // outlined only: teeth, rollers, what is seen from outside
	black []Path // too thin to hatch
	thin  []Path // threads, splines, edges
	axis  []Path // pitch lines and the axes of small parts
	once  bool   // stands above the axis only, not mirrored below
}

// box is the whole room of a spot.
func (s *spot) box() Path { return Rect(s.x0, s.r0, s.x1, s.r1) }

// area is an outline through t, r pairs, t along the length as in at.
func (s *spot) area(tr ...float64) Path {
	xy := make([]float64, len(tr))
	for i := 0; i+1 < len(tr); i += 2 {
		xy[i], xy[i+1] = s.at(tr[i]), tr[i+1]
	}
	return Poly(xy...)
}

// thinPart is black when hatching would not be seen.
func (s *spot) thinPart(p Path) shape {
	if b := p.Bounds(); min(b.X1-b.X0, b.Y1-b.Y0) < 1.6 {
		return shape{black: []Path{p}}
	}
	return shape{cut: []Path{p}}
}

func tube(s *spot) shape { return s.thinPart(s.box()) }

// washer shows the grooves of the face that is named.
func washer(s *spot) shape {
	if s.long() < 2.2 || len(s.pos.Faces) == 0 {
		return s.thinPart(s.box())
	}
	d := 0.8 / s.long()
	m, h := (s.r0+s.r1)/2, (s.r1-s.r0)/10
	return shape{cut: []Path{s.area(0, s.r0, 1, s.r0, 1, m-h, 1-d, m-h, 1-d, m+h, 1, m+h, 1, s.r1, 0, s.r1)}}
}

func needleCage(s *spot) shape {
	e := min(1.8, s.long()/6)
	roller := Rect(s.x0+e, s.r0+0.25, s.x1-e, s.r1-0.25)
	m := (s.r0 + s.r1) / 2
	return shape{
		body: []Path{roller},
		thin: []Path{Rect(s.x0, s.r0+0.6, s.x0+e, s.r1-0.6), Rect(s.x1-e, s.r0+0.6, s.x1, s.r1-0.6)},
		axis: []Path{Line(s.x0-0.6, m, s.x1+0.6, m)},
	}
}

// gear shows teeth unsectioned with their pitch line, and at the face that
// looks to the hub the dogs and the cone, where it has them.
func gear(s *spot) shape {
	root := s.r1 - s.tooth()
	end := 1.0 // of the teeth
	var sh shape
	switch {
	case s.cone:
		end = 0.60
		cone := max(coneR, s.r0+1)
		dog := dogEnd(s)
		tip := max(dogR, cone+3.8)
		foot := tip - 1.3
		sh.cut = []Path{s.area(0, s.r0, 1, s.r0, 1, cone, dog, cone+1.3, dog, foot, end+0.03, foot, end+0.03, foot-1.1, end, foot-1.1, end, root, 0, root)}
		sh.thin = append(sh.thin, s.area(end+0.03, foot, dog, foot, dog, tip-0.3, dog-0.03, tip, end+0.03, tip))
	case s.dogged:
		return doggedGear(s)
	case s.bossed:
		end = 0.7
		boss := min(s.r0+5, root-2)
		sh.cut = []Path{s.area(0, s.r0, 1, s.r0, 1, boss, end, boss, end, root, 0, root)}
	case s.long() > 9 && root-s.r0 > 9: // thinned web
		d := min(2.2, s.long()*0.14) / s.long()
		a, b := s.r0+4.2, root-3.2
		sh.cut = []Path{s.area(0, s.r0, 1, s.r0, 1, a, 1-d, a+0.8, 1-d, b-0.8, 1, b, 1, root, 0, root, 0, b, d, b-0.8, d, a+0.8, 0, a)}
	default:
		sh.cut = []Path{s.area(0, s.r0, 1, s.r0, 1, root, 0, root)}
	}
	sh.body = append(sh.body, s.teeth(root, end))
	sh.axis = []Path{s.pitchLine(end)}
	return sh
}

// dogEnd is where along a gear its dogs end and its cone begins.
func dogEnd(s *spot) float64 { return min(0.75, 0.60+5/s.long()) }

// cluster is a lay gear: steps of teeth on one body.
func cluster(s *spot) shape {
	var sh shape
	outer := []float64{s.r1, s.r1 - 4, s.r1 - 8, s.r1 - 10}
	n := float64(len(outer))
	body := []float64{0, s.r0, 1, s.r0}
	for i := len(outer) - 1; i >= 0; i-- {
		a, b := (float64(i)+0.12)/n, (float64(i)+0.88)/n
		body = append(body, (float64(i)+1)/n, 11, b, 11, b, outer[i]-tooth, a, outer[i]-tooth, a, 11, float64(i)/n, 11)
		sh.body = append(sh.body, s.area(a, outer[i]-tooth, b, outer[i]-tooth, b, outer[i], a, outer[i]))
		sh.axis = append(sh.axis, Line(s.at(a)-1.2*float64(s.side), outer[i]-1, s.at(b)+1.2*float64(s.side), outer[i]-1))
	}
	sh.cut = []Path{s.area(body...)}
	return sh
}

// hub has a boss, a web and a splined rim; the longer boss is on the named side.
func hub(s *spot) shape {
	rim, boss := s.r1-4.2, s.r0+3.4
	sh := shape{body: []Path{Rect(s.x0, s.r1-1.4, s.x1, s.r1)}}
	if rim-boss < 1.5 || s.long() < 9 {
		sh.cut = []Path{Rect(s.x0, s.r0, s.x1, s.r1-1.4)}
		return sh
	}
	a, b := 0.24, 0.70
	sh.cut = []Path{s.area(0, s.r0, 1, s.r0, 1, boss, b, boss+0.6, b, rim-0.6, 1, rim, 1, s.r1-1.4, 0, s.r1-1.4, 0, rim, a, rim-0.6, a, boss+0.6, 0, boss)}
	return sh
}

// slidingSleeve has its splines inside and the groove of the fork outside,
// nearer to the side to which the file says it is.
func slidingSleeve(s *spot) shape {
	if s.toothed {
		return toothedSleeve(s)
	}
	b := s.r0 + 1.3
	g0, g1 := 0.36, 0.64
	if facing(s.pos, "groove") != "" {
		g0, g1 = 0.56, 0.84
	}
	d := max(b+1.2, s.r1-2.9)
	return shape{
		cut:  []Path{s.area(0, b, 1, b, 1, s.r1-0.8, 0.97, s.r1, g1, s.r1, g1, d, g0, d, g0, s.r1, 0.03, s.r1, 0, s.r1-0.8)},
		body: []Path{s.area(0.04, s.r0, 0.96, s.r0, 1, b, 0, b)},
	}
}

func hubAndSleeve(s *spot) shape {
	h, o := *s, *s
	h.r1 = dogR
	o.r0 = dogR
	w := s.long() * 0.08
	h.x0, h.x1 = s.x0+w, s.x1-w
	a, b := hub(&h), slidingSleeve(&o)
	return shape{cut: append(a.cut, b.cut...), body: append(a.body, b.body...)}
}

// baulkRing has a tapered bore and its teeth and lugs at the hub.
func baulkRing(s *spot) shape {
	tip := s.r1 - 1.2
	return shape{
		cut:  []Path{s.area(0.08, s.r0+1.2, 0.96, s.r0+0.05, 0.96, tip-0.5, 0.56, tip-0.5, 0.56, tip, 0.08, tip)},
		thin: []Path{s.area(0.08, tip, 0.56, tip, 0.56, s.r1-0.4, 0.50, s.r1, 0.14, s.r1, 0.08, s.r1-0.4)},
	}
}

// arc continues a path along a circle from the angle a to b, in radians.
func (p *Path) arc(x, y, r, a, b float64) {
	n := math.Ceil(math.Abs(b-a) / (math.Pi / 2))
	d := (b - a) / n
	k := 4.0 / 3 * math.Tan(d/4) * r
	for i := 0.0; i < n; i++ {
		u, v := a+i*d, a+(i+1)*d
		su, cu := math.Sincos(u)
		sv, cv := math.Sincos(v)
		p.C(Pt{x + r*cu - k*su, y + r*su + k*cu}, Pt{x + r*cv + k*sv, y + r*sv - k*cv}, Pt{x + r*cv, y + r*sv})
	}
}

func ballBearing(s *spot) shape {
	h := s.r1 - s.r0
	m, cx := (s.r0+s.r1)/2, (s.x0+s.x1)/2
	r := min(h*0.27, s.long()*0.36)
	if s.ring == innerRing {
		return tube(s)
	}
	const lip = 0.62 // height of the shoulders on the ball
	lo, hi := m-lip*r, m+lip*r
	a := math.Asin(lip)
	in := Line(s.x0, s.r0, s.x1, s.r0, s.x1, lo, cx+r*math.Cos(a), lo)
	in.arc(cx, m, r, -a, -math.Pi+a)
	in.L(s.x0, lo).Z()
	out := Line(s.x0, s.r1, s.x1, s.r1, s.x1, hi, cx+r*math.Cos(a), hi)
	out.arc(cx, m, r, a, math.Pi-a)
	out.L(s.x0, hi).Z()
	sh := shape{cut: []Path{in, out}, body: []Path{Circle(cx, m, r)}}
	if s.ring == outerRing {
		sh.cut = sh.cut[1:]
	}
	return sh
}

// rollerBearing shows the rollers with the outer ring when the inner is a part
// of its own.
func rollerBearing(s *spot) shape {
	if s.ring == innerRing {
		return tube(s)
	}
	h := s.r1 - s.r0
	in, out := s.r0+h*0.30, s.r1-h*0.28
	if s.ring == outerRing {
		in = s.r0
	}
	e, lip := s.long()*0.17, 0.9
	sh := shape{
		cut:  []Path{s.area(0, s.r1, 1, s.r1, 1, out-lip, 1-e/s.long(), out-lip, 1-e/s.long(), out, e/s.long(), out, e/s.long(), out-lip, 0, out-lip)},
		body: []Path{Rect(s.x0+e, in, s.x1-e, out)},
		axis: []Path{Line(s.x0+e-1, (in+out)/2, s.x1-e+1, (in+out)/2)},
	}
	if s.ring == both {
		sh.cut = append(sh.cut, Rect(s.x0, s.r0, s.x1, in))
	}
	return sh
}

// taperBearing has the big ends of its rollers on the named side.
func taperBearing(s *spot) shape {
	top := s.r1 // of the roller's big end
	if s.ring == both {
		top = s.r1 - (s.r1-s.r0)*0.18
	}
	if s.ring == outerRing {
		return shape{cut: []Path{s.area(0.04, s.r1, 0.84, s.r1, 0.84, s.r0+(s.r1-s.r0)*0.55, 0.04, s.r0+(s.r1-s.r0)*0.15)}}
	}
	h := top - s.r0
	in := func(t float64) float64 { return s.r0 + h*(0.28+0.22*t) } // raceway of the cone
	out := func(t float64) float64 { return s.r0 + h*(0.66+0.34*t) }
	sh := shape{
		cut:  []Path{s.area(0.06, s.r0, 1, s.r0, 1, in(1)+1.3, 0.88, in(1)+1.3, 0.88, in(0.88), 0.2, in(0.2), 0.2, in(0.2)+0.6, 0.06, in(0.2)+0.6)},
		body: []Path{s.area(0.22, in(0.2)+0.15, 0.86, in(0.86)+0.15, 0.83, out(0.84), 0.20, out(0.22))},
		axis: []Path{Line(s.at(0.10), (in(0.1)+out(0.1))/2, s.at(0.98), (in(0.98)+out(0.98))/2)},
	}
	if s.ring == both {
		sh.cut = append(sh.cut, s.area(0.0, s.r1, 0.8, s.r1, 0.8, out(0.82)+0.2, 0.0, out(0.02)+0.2))
	}
	return sh
}

// shims are the edges of the pieces of a pack.
func shims(s *spot) shape {
	var sh shape
	n := max(s.pieces, 1)
	w := s.long() / float64(n)
	for i := range n {
		x := s.x0 + w*(float64(i)+0.5)
		sh.thin = append(sh.thin, Line(x, s.r0, x, s.r1))
	}
	sh.body = []Path{s.box()}
	return sh
}

// nut is seen from outside, an edge of its hexagon toward the eye.
func nut(s *spot) shape {
	c := min(1.4, s.long()/5)
	p := Line(s.x0, 0, s.x0, s.r1-c, s.x0+c, s.r1, s.x1-c, s.r1, s.x1, s.r1-c, s.x1, 0)
	e := s.r1 / 2
	return shape{body: []Path{p}, thin: []Path{Line(s.x0+c*0.6, e, s.x1-c*0.6, e)}}
}

// circlip stands in its groove, clear of its neighbours.
func circlip(s *spot) shape {
	w := min(0.35, s.long()*0.15)
	return shape{black: []Path{Rect(s.x0+w, s.r0-1.5, s.x1-w, s.r1)}}
}

// tabWasher has one tab up against a flat and one in the keyway.
func tabWasher(s *spot) shape {
	b := Rect(s.x0, s.r0, s.x1, s.r1)
	up := Poly(s.x1, s.r1-1.1, s.x1+3, s.r1-0.9, s.x1+3, s.r1, s.x1, s.r1)
	return shape{black: []Path{b, up}}
}

func seal(s *spot) shape {
	w := s.long()
	metal := s.area(0, s.r1, 1, s.r1, 1, s.r1-1.1, 0.16, s.r1-1.1, 0.16, s.r0+4.4, 0, s.r0+4.4)
	lip := s.area(0, s.r0+4.4, 0.16, s.r0+4.4, 0.34, s.r0+2.6, 0.92, s.r0+2.4, 0.80, s.r0, 0.62, s.r0+0.3, 0.2, s.r0+1.8, 0, s.r0+2.2)
	return shape{black: []Path{metal}, cut: []Path{lip}, body: []Path{Circle(s.at(0.72), s.r0+3.2, min(0.8, w*0.09))}}
}

func key(s *spot) shape {
	w := min(s.long()*0.7, 14)
	m := (s.x0 + s.x1) / 2
	return shape{body: []Path{Rect(m-w/2, s.r0-2.4, m+w/2, s.r0+1.8)}, once: true}
}

func strut(s *spot) shape {
	w := s.long() * 0.46
	m := (s.x0 + s.x1) / 2
	y := s.r1 - 1.2
	return shape{body: []Path{Poly(m-w/2, y-1.7, m+w/2, y-1.7, m+w/2, y+0.5, m+w/6, y+0.5, m+w/8, y+1.5, m-w/8, y+1.5, m-w/6, y+0.5, m-w/2, y+0.5)}, once: true}
}

// spring lying in a hub shows its wire; one alone is drawn as a coil.
func spring(s *spot) shape {
	if s.lies != nil {
		r := min(1.3, s.long()*0.07)
		y := s.r1 - 5.6
		return shape{body: []Path{Circle(s.at(0.13), y, r), Circle(s.at(0.87), y, r)}}
	}
	lo, hi := s.r0, s.r0+min(9, max(s.r1-s.r0, 7))
	const turns = 6
	p := Line(s.x0, lo, s.x0, hi)
	w := s.long() / turns
	for i := 0.0; i < turns; i++ {
		x := s.x0 + i*w
		p.M(x, hi).L(x+w/2, lo).L(x+w, hi)
	}
	p.M(s.x1, lo).L(s.x1, hi)
	return shape{body: []Path{p}, once: true}
}

func worm(s *spot) shape {
	root := s.r1 - 1.8
	n := max(math.Round(s.long()/3), 2)
	w := s.long() / n
	p := Line(s.x0, root)
	for i := 0.0; i < n; i++ {
		x := s.x0 + i*w
		p.L(x+w*0.15, root).L(x+w*0.35, s.r1).L(x+w*0.65, s.r1).L(x+w*0.85, root)
	}
	p.L(s.x1, root)
	return shape{cut: []Path{Rect(s.x0, s.r0, s.x1, root)}, body: []Path{p}}
}

func thrower(s *spot) shape {
	b := min(1.2, s.long()*0.4) / s.long()
	return shape{black: []Path{s.area(0, s.r0, b, s.r0, b, s.r0+4, 1, s.r1, 1-b, s.r1, 0, s.r0+4)}}
}

// cartridge is a housing over its bearings, with a flange at one end.
func cartridge(s *spot) shape {
	f := flangeAt(s)
	top := s.r1 + 5
	hole := (s.r1 + top) / 2
	return shape{
		cut:  []Path{s.area(0, s.r0, 1, s.r0, 1, top, f, top, f, s.r1, 0, s.r1)},
		axis: []Path{Line(s.at(f)-1.5*float64(s.side), hole, s.at(1)+1.5*float64(s.side), hole)},
	}
}

func bevel(s *spot) shape {
	a := s.r0 + (s.r1-s.r0)*0.30
	return shape{
		cut:  []Path{s.area(0, s.r0, 1, s.r0, 1, a, 0.30, s.r1-2.6, 0, s.r1-2.6)},
		body: []Path{s.area(0, s.r1-2.6, 0.30, s.r1-2.6, 1, a, 1, a+2.4, 0.34, s.r1, 0, s.r1)},
	}
}

func oRing(s *spot) shape {
	m := (s.r0 + s.r1) / 2
	return shape{cut: []Path{Circle((s.x0+s.x1)/2, m, min(s.long(), s.r1-s.r0)/2)}}
}

func gasket(s *spot) shape { return s.thinPart(s.box()) }

func plate(s *spot) shape {
	h := s.r1 - 4.5
	return shape{cut: []Path{s.box()}, axis: []Path{Line(s.x0-1.5, h, s.x1+1.5, h)}}
}

// flange is a sleeve with a flange at the side that does not tell.
func flange(s *spot) shape {
	n := min(s.r0+4, s.r1-2)
	f := min(0.4, 4.5/s.long())
	h := (n + s.r1) / 2
	return shape{
		cut:  []Path{s.area(0, s.r0, 1, s.r0, 1, n, f, n, f, s.r1, 0, s.r1)},
		axis: []Path{Line(s.at(0)-1.5*float64(s.side), h, s.at(f)+1.5*float64(s.side), h)},
	}
}

// cover is a dish with its flange and a bore.
func cover(s *spot) shape {
	f := min(0.34, 4/s.long())
	return shape{cut: []Path{s.area(0, s.r0+6, 0, s.r1, f, s.r1, f, s.r1-4, 1, s.r1-5.5, 1, s.r0, 1-f, s.r0, 1-f, s.r1-8, f, s.r1-7, f, s.r0+6)}}
}
