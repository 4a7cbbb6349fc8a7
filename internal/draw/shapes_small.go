package draw

import "math"

// Small parts and parts of the case. They stand alone: drawn once, lying along
// the axis of their own.

func alone(sh shape) shape {
	sh.once = true
	return sh
}

// mid is the middle of a spot's height.
func (s *spot) mid() float64 { return (s.r0 + s.r1) / 2 }

func (s *spot) centreLine(y float64) Path { return Line(s.x0-1.8, y, s.x1+1.8, y) }

func bolt(s *spot) shape {
	m, h := s.mid(), min(4.4, (s.r1-s.r0)/2)
	a := s.x0 + min(6, s.long()*0.32)
	k := h * 0.55
	return alone(shape{
		body: []Path{Rect(s.x0, m-h, a, m+h), Poly(a, m-k, s.x1-0.8, m-k, s.x1, m-k+0.8, s.x1, m+k-0.8, s.x1-0.8, m+k, a, m+k)},
		thin: []Path{Line(s.x0, m-h/2, a, m-h/2), Line(s.x0, m+h/2, a, m+h/2), threads(a+(s.x1-a)*0.4, s.x1, m, k)},
		axis: []Path{s.centreLine(m)},
	})
}

// threads are the two thin lines of a thread and the line that ends it.
func threads(x0, x1, m, r float64) Path {
	p := Line(x0, m-r*0.75, x1, m-r*0.75)
	return *p.M(x0, m+r*0.75).L(x1, m+r*0.75).M(x0, m-r).L(x0, m+r)
}

func stud(s *spot) shape {
	m, k := s.mid(), min(2.8, (s.r1-s.r0)/2)
	w := s.long() * 0.34
	return alone(shape{
		body: []Path{Rect(s.x0, m-k, s.x1, m+k)},
		thin: []Path{threads(s.x0+w, s.x0, m, k), threads(s.x1-w, s.x1, m, k)},
		axis: []Path{s.centreLine(m)},
	})
}

func plug(s *spot) shape {
	m, h := s.mid(), min(7, (s.r1-s.r0)/2)
	a, b := s.x0+s.long()*0.24, s.x0+s.long()*0.42
	return alone(shape{
		body: []Path{Rect(s.x0, m-h*0.5, a, m+h*0.5), Rect(a, m-h, b, m+h), Rect(b, m-h*0.7, s.x1, m+h*0.7)},
		thin: []Path{threads(b+0.5, s.x1, m, h*0.7)},
		axis: []Path{s.centreLine(m)},
	})
}

func pin(s *spot) shape {
	m, k := s.mid(), min(2.6, (s.r1-s.r0)/2)
	c := k * 0.5
	return alone(shape{
		body: []Path{Poly(s.x0+c, m-k, s.x1-c, m-k, s.x1, m-k+c, s.x1, m+k-c, s.x1-c, m+k, s.x0+c, m+k, s.x0, m+k-c, s.x0, m-k+c)},
		axis: []Path{s.centreLine(m)},
	})
}

func ball(s *spot) shape {
	x, m := (s.x0+s.x1)/2, s.mid()
	r := min(s.long(), s.r1-s.r0) / 2
	return alone(shape{
		body: []Path{Circle(x, m, r)},
		axis: []Path{Line(x-r-1.6, m, x+r+1.6, m), Line(x, m-r-1.6, x, m+r+1.6)},
	})
}

// rail is a rod with its three notches.
func rail(s *spot) shape {
	m, k := s.mid(), min(2.6, (s.r1-s.r0)/2)
	p := Line(s.x0, m-k, s.x1, m-k, s.x1, m+k)
	w := s.long()
	if s.words == "rail" {
		for _, t := range []float64{0.84, 0.72, 0.60} {
			x := s.x0 + t*w
			p.L(x+1.3, m+k).L(x, m+k-1.3).L(x-1.3, m+k)
		}
	}
	p.L(s.x0, m+k).Z()
	return alone(shape{body: []Path{p}, axis: []Path{s.centreLine(m)}})
}

// fork is seen along the shaft: a boss on its rail, and two pads.
func fork(s *spot) shape {
	x, m := (s.x0+s.x1)/2, s.mid()
	h := (s.r1 - s.r0) / 2
	r := min(h*0.62, s.long()*0.36)
	y := m - h*0.34
	p := Line(x-r-1.7, y-r*0.5, x-r+0.4, y-r*0.5)
	p.L(x-r+0.4, y).arc(x, y, r-0.4, 3.14159, 0)
	p.L(x+r-0.4, y-r*0.5).L(x+r+1.7, y-r*0.5).L(x+r+1.7, y).arc(x, y, r+1.7, 0, 3.14159)
	p.Z()
	top := y + r + 1.7 + 2.4
	return alone(shape{body: []Path{p, Circle(x, top, 3)}, thin: []Path{Circle(x, top, 1.7)},
		axis: []Path{Line(x, y-r*0.7, x, top+4), Line(x-4.4, top, x+4.4, top)}})
}

func lever(s *spot) shape {
	m := s.mid()
	a, b := s.x0+3, s.x1-2.4
	return alone(shape{
		body: []Path{Poly(a, m-2.6, b, m-1.4, b, m+1.4, a, m+2.6), Circle(a, m, 3), Poly(b, m+1.8, b+2.4, m+3.4, b+2.4, m+1.2, b+0.8, m, b+2.4, m-1.2, b+2.4, m-3.4, b, m-1.8)},
		thin: []Path{Circle(a, m, 1.5)},
		axis: []Path{Line(a-4.4, m, a+4.4, m), Line(a, m-4.4, a, m+4.4)},
	})
}

func eye(s *spot) shape {
	x, h := (s.x0+s.x1)/2, s.r1-s.r0
	r := min(h*0.32, s.long()*0.5)
	return alone(shape{
		body: []Path{Circle(x, s.r1-r, r), Circle(x, s.r1-r, r*0.58), Rect(x-r*0.9, s.r1-2*r-1.6, x+r*0.9, s.r1-2*r), Rect(x-r*0.42, s.r0, x+r*0.42, s.r1-2*r-1.6)},
		thin: []Path{Line(x-r*0.28, s.r0, x-r*0.28, s.r1-2*r-1.6), Line(x+r*0.28, s.r0, x+r*0.28, s.r1-2*r-1.6)},
	})
}

// casing is the outline of a housing with its flange and two bores.
func casing(s *spot) shape {
	m, h := s.mid(), min(11, (s.r1-s.r0)/2)
	f := s.x1 - 2.6
	p := Poly(s.x0, m-h*0.62, s.x0+3, m-h*0.86, f, m-h*0.86, f, m-h, s.x1, m-h, s.x1, m+h, f, m+h, f, m+h*0.86, s.x0+3, m+h*0.86, s.x0, m+h*0.62)
	return alone(shape{
		body: []Path{p, Rect(s.x0-1.4, m+h*0.05, s.x0, m+h*0.5)},
		thin: []Path{Line(f, m-h*0.86, f, m+h*0.86), Line(s.x0+4, m-h*0.5, f-2, m-h*0.5)},
		axis: []Path{Line(s.x0-3, m+h*0.28, s.x1+2, m+h*0.28), Line(s.x0-2, m-h*0.2, s.x1+2, m-h*0.2)},
	})
}

// What is thin is told by its face.

func gasketFace(*spot) shape {
	sh := alone(shape{
		body: []Path{octagon(11, 8.6, 3), octagon(8.4, 6, 2.4)},
	})
	for _, x := range []float64{-9.7, 0, 9.7} {
		for _, y := range []float64{-7.3, 7.3} {
			if x == 0 {
				sh.thin = append(sh.thin, Circle(x, y, 0.8))
			} else {
				sh.thin = append(sh.thin, Circle(x*0.86, y*0.86, 0.8))
			}
		}
	}
	return sh
}

func octagon(w, h, c float64) Path {
	return Poly(w-c, -h, w, c-h, w, h-c, w-c, h, c-w, h, -w, h-c, -w, c-h, c-w, -h)
}

func plateFace(*spot) shape {
	return alone(shape{
		body: []Path{octagon(11, 7, 1.6)},
		thin: []Path{Circle(-8, 0, 1.4), Circle(8, 0, 1.4)},
		axis: []Path{Line(-11.6, 0, -4.4, 0), Line(4.4, 0, 11.6, 0), Line(-8, -3, -8, 3), Line(8, -3, 8, 3)},
	})
}

func ringFace(*spot) shape {
	return alone(shape{body: []Path{Circle(0, 0, 9), Circle(0, 0, 7.2)}, axis: []Path{Line(-11, 0, 11, 0), Line(0, -11, 0, 11)}})
}

// circlipFace is an open ring with its two eyes.
func circlipFace(*spot) shape {
	const a, b = 1.87, 1.27 // angles of the gap, rad
	var p Path
	p.M(9*math.Cos(b), 9*math.Sin(b)).arc(0, 0, 9, b, a-2*math.Pi)
	p.L(7.4*math.Cos(a), 7.4*math.Sin(a)).arc(0, 0, 7.4, a-2*math.Pi, b)
	p.Z()
	return alone(shape{body: []Path{p, Circle(-2.9, 7, 1.5), Circle(2.9, 7, 1.5)}, thin: []Path{Circle(-2.9, 7, 0.6), Circle(2.9, 7, 0.6)}})
}
