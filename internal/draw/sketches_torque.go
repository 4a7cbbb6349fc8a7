package draw

import "math"

func leverSketch(b *board) {
	b.title = "A bar on the nut and the pull at its end"
	const rise, off = 12.0, 20.0
	f := slope(19, 23, rise)
	b.axis(8, 23, 92, 23)
	b.body(hexagon(19, 23, 5))
	b.body(f.path(true, 4.6, -1.7, 70, -1.7, 70, 1.7, 4.6, 1.7))
	b.turn(19, 23, 11, 215, 118, Pen{Ink, Thick, Solid})
	b.symbol(7, 33, Middle, "T")
	// Length of the bar, above it.
	for _, t := range []float64{0, 67} {
		b.draw(f.path(false, t, 2.6, t, 13.4), None, Pen{Faint, Fine, Solid})
	}
	b.dim(f, 0, 67, 12, "L")
	// Its weight, at the balance point.
	x, y := f.at(30, 0)
	b.draw(Circle(x, y, 1.3), Ink, Pen{})
	b.force(x, y, x, y-21)
	b.symbol(x+2, y-20.5, Start, "m")
	for _, t := range []float64{0, 30} {
		b.draw(f.path(false, t, -2.6, t, -8.4), None, Pen{Faint, Fine, Solid})
	}
	b.dim(f, 0, 30, -7, "x")
	// Slope.
	b.angle(19, 23, 47, 0, rise)
	b.symbol(63.4, 24.4, End, "φ")
	// The pull, and how far off square it is.
	x, y = f.at(67, 0)
	sq := slope(x, y, rise-90)
	pl := slope(x, y, rise-90-off)
	b.draw(sq.path(false, 2, 0, 27, 0), None, Pen{Faint, Thin, Dashed})
	px, py := pl.at(29, 0)
	b.force(x, y, px, py)
	b.angle(x, y, 20, rise-90-off, rise-90)
	b.symbol(x+1.4, y-26, Middle, "θ")
	b.symbol(px-2.5, py+1, End, "F")
}

func extensionSketch(b *board) {
	b.title = "A torque wrench with an extension on its square"
	const bend = 38.0
	sx, sy := 42.0, 18.0
	f := slope(sx, sy, 180-bend)
	nx, ny := f.at(28, 0)
	b.draw(f.path(false, -18, 0, 38, 0), None, Pen{Faint, Fine, Chained})
	b.axis(8, sy, 92, sy)
	b.body(f.path(true, 3.4, -2.4, 23.4, -2.4, 23.4, 2.4, 3.4, 2.4))
	b.body(hexagon(nx, ny, 4.6))
	b.body(Rect(sx-2.4, sy-2.4, sx+2.4, sy+2.4))
	b.body(Rect(sx+2.4, sy-1.6, 72, sy+1.6))
	b.body(Rect(72, sy-2.6, 90, sy+2.6))
	b.draw(Line(81, sy-2.6, 81, sy+2.6), None, Pen{Ink, Thick, Solid})
	b.turn(nx, ny, 9.5, 210, 100, Pen{Ink, Thick, Solid})
	b.symbol(nx-10, ny+6.5, End, "T")
	b.angle(sx, sy, 17, 180-bend, 180)
	b.symbol(19.5, 22, Middle, "φ")
	for _, t := range []float64{0, 28} {
		b.draw(f.path(false, t, -4, t, -11.4), None, Pen{Faint, Fine, Solid})
	}
	x0, y0 := f.at(0, -10)
	x1, y1 := f.at(28, -10)
	b.between(x0, y0, x1, y1)
	b.symbol((x0+x1)/2+3, (y0+y1)/2+1, Start, "E")
	b.ext(sx, sy-3.2, sx, 4)
	b.ext(81, sy-3.4, 81, 4)
	b.between(sx, 5.5, 81, 5.5)
	b.symbol(61.5, 7, Middle, "L")
	b.symbol(70, sy+6, Middle, "T_set")
	b.force(81, sy+15, 81, sy+3.4)
}

func cordSketch(b *board) {
	b.title = "A cord wound on a drum and pulled with a scale"
	x, y, r := 28.0, 22.0, 17.0
	b.body(Circle(x, y, r))
	b.body(Circle(x, y, 3.4))
	b.axis(x-21, y, x+21, y)
	b.axis(x, y-21, x, y+24)
	for i := range 3 {
		b.draw(Circle(x, y, r+0.7*float64(i)), None, Pen{Faint, Fine, Solid})
	}
	b.draw(Line(x, y+r+1, 58, y+r+1), None, Pen{Ink, Thick, Solid})
	b.scale(58, y+r+1, 0)
	b.force(72, y+r+1, 91, y+r+1)
	b.symbol(82, y+r+4, Middle, "F")
	s, c := math.Sincos(-35 * math.Pi / 180)
	b.between(x, y, x+(r+1)*c, y+(r+1)*s)
	b.symbol(x+8, y-4, Start, "r")
	b.turn(x, y, 11, 160, 60, Pen{Ink, Thick, Solid})
	b.symbol(x-8, y-8.6, Middle, "T")
}

func boltSketch(b *board) {
	b.title = "A scale on a bolt of the crown wheel, pulling square"
	x, y, r := 30.0, 24.0, 20.0
	b.body(Circle(x, y, r))
	b.body(Circle(x, y, 5))
	b.axis(x-22, y, x+22, y)
	b.axis(x, y-22, x, y+23)
	b.draw(Circle(x, y, 14), None, Pen{Faint, Fine, Chained})
	for i := range 8 {
		s, c := math.Sincos(float64(i) * math.Pi / 4)
		b.body(Circle(x+14*c, y+14*s, 1.7))
	}
	b.draw(Line(x, y+14, 54, y+14), None, Pen{Ink, Thick, Solid})
	b.scale(54, y+14, 0)
	b.force(68, y+14, 90, y+14)
	b.symbol(80, y+17, Middle, "F")
	s, c := math.Sincos(-67.5 * math.Pi / 180)
	b.draw(Line(x, y, x+14*c, y+14*s), None, Pen{Ink, Thin, Solid})
	arrowHead(&b.Group, Pt{x, y}, Pt{x + 14*c, y + 14*s}, Ink)
	b.symbol(x+4.2, y-8.5, Start, "r")
	b.turn(x, y, 9, 165, 60, Pen{Ink, Thick, Solid})
	b.symbol(x+9, y+2.6, Middle, "T")
}

func bendSketch(b *board) {
	b.title = "A shaft held at one place and pulled with a bar at its end"
	b.cut(Rect(8, 8, 28, 18), 45)
	b.cut(Rect(8, 28, 28, 38), 45)
	b.body(Rect(8, 18, 74, 28))
	b.draw(Line(8, 20.5, 74, 20.5), None, Pen{Faint, Thin, Dashed})
	b.draw(Line(8, 25.5, 74, 25.5), None, Pen{Faint, Thin, Dashed})
	b.axis(4, 23, 82, 23)
	b.body(Circle(70, 23, 7))
	b.force(70, 46, 70, 31)
	b.symbol(72.5, 41, Start, "F")
	b.turn(70, 23, 10.5, 20, -70, Pen{Ink, Thick, Solid})
	b.symbol(82, 12, Start, "T")
	b.ext(28, 17, 28, 4)
	b.ext(70, 15, 70, 4)
	b.across(28, 70, 5.5, "a")
	b.up(18, 28, 44, Start, "d")
	b.up(20.5, 25.5, 58, Start, "b")
}

func nutSketch(b *board) {
	b.title = "A nut on its thread, in section"
	x := 44.0
	b.cut(Poly(6, 8, x-8, 8, x-8, 18, 6, 18), 45)
	b.cut(Poly(82, 8, x+8, 8, x+8, 18, 82, 18), 45)
	b.body(Rect(x-7, 4, x+7, 46))
	for y := 19.5; y < 45; y += 2 {
		b.draw(Line(x-7, y, x-5.4, y+1, x-7, y+2), None, Pen{Ink, Thin, Solid})
		b.draw(Line(x+7, y, x+5.4, y+1, x+7, y+2), None, Pen{Ink, Thin, Solid})
	}
	b.cut(Rect(x-17, 18, x-7, 32), 135)
	b.cut(Rect(x+7, 18, x+17, 32), 135)
	b.axis(x, 1, x, 50)
	b.force(x, 17, x, 5)
	b.symbol(x+1.8, 9.5, Start, "F")
	b.turn(x, 48, 14, 212, 328, Pen{Ink, Thick, Solid})
	b.symbol(x+14.4, 39, Start, "T")
	b.ext(x-7, 46.5, x-7, 48)
	b.ext(x+17, 17, x+17, 2.6)
	b.ext(x-17, 17, x-17, 2.6)
	b.between(x-17, 3.8, x+17, 3.8)
	b.symbol(x+19, 2.6, Start, "D_a")
	b.between(x-7, 46, x+7, 46)
	b.symbol(x+9, 44.6, Start, "d")
}
