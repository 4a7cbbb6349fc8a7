package draw

// sideFrame draws a differential between the seats of its case, from above: axis at
// y, crown wheel back at the left.
func (b *board) sideFrame(y float64) {
	b.axis(3, y, 93, y)
	b.cut(Poly(4, y-14, 10, y-14, 10, y+14, 4, y+14), 45)
	b.cut(Poly(86, y-14, 92, y-14, 92, y+14, 86, y+14), 45)
	b.sought(Rect(10, y-9, 14.4, y+9))
	b.sought(Rect(81.6, y-9, 86, y+9))
	b.body(Rect(14.4, y-9, 22, y+9))
	b.body(Rect(74, y-9, 81.6, y+9))
	b.body(Rect(22, y-5.4, 30, y+5.4))
	b.body(Rect(66, y-5.4, 74, y+5.4))
	b.body(Rect(45, y-10, 66, y+10))
	for _, s := range []float64{-1, 1} {
		b.cut(Poly(30, y+s*10, 30, y+s*16, 38, y+s*22, 41, y+s*20.5, 45, y+s*10), 135)
		b.draw(Line(38.6, y+s*18.6, 42.6, y+s*10), None, Pen{Ink, Thin, Solid})
	}
	b.draw(Line(30, y-10, 30, y+10), None, Pen{Ink, Thick, Solid})
}

func sideSketch(b *board) {
	b.title = "A differential between its seats, seen from above"
	y := 33.0
	b.sideFrame(y)
	for _, x := range []float64{10, 86} {
		b.ext(x, y-15, x, 4)
	}
	b.across(10, 86, 6, "X")
	for _, x := range []float64{14.4, 81.6} {
		b.ext(x, y+10, x, 62)
	}
	b.across(14.4, 81.6, 58, "Y")
	b.symbol(19, y-16, Middle, "t_1")
	b.ext(16.6, y-12, 12.4, y-7)
	b.symbol(78, y-16, Middle, "t_2")
	b.ext(79, y-12, 83.6, y-7)
}

func backlashSketch(b *board) {
	b.title = "Crown wheel and pinion, seen from above"
	y := 30.0
	b.sideFrame(y)
	// The pinion lies before the teeth, its axis square to the wheel's.
	b.body(Poly(46.2, y+12, 55.8, y+12, 60.2, y+21, 57.6, y+23.6, 44.4, y+23.6, 41.8, y+21))
	for _, x := range []float64{-0.62, -0.21, 0.21, 0.62} {
		b.draw(Line(51+4.8*x, y+12, 51+9.2*x, y+21), None, Pen{Ink, Thin, Solid})
	}
	b.body(Rect(47.4, y+23.6, 54.6, y+41))
	b.axis(51, y+8, 51, y+43)
	b.symbol(69, y+24, Start, "z1")
	b.ext(68, y+25, 58, y+18)
	b.symbol(21, y+23, End, "z2")
	b.ext(22, y+24, 33, y+16)
	b.turn(51, y, 24.6, 115, 124, Pen{Ink, Thin, Solid})
	b.turn(51, y, 24.6, 120, 111, Pen{Ink, Thin, Solid})
	b.symbol(36, y+26, End, "j")
	b.force(40, 4.5, 56, 4.5)
	b.symbol(58.5, 2.6, Start, "Δx")
	b.symbol(20, y-19, Middle, "t_c")
	b.ext(17.6, y-14, 12.4, y-7)
	b.symbol(77, y-19, Middle, "t_o")
	b.ext(79, y-14, 83.6, y-7)
}

func depthSketch(b *board) {
	b.title = "A gauge block between the mandrel and the pinion face"
	y := 32.0
	b.axis(2, y, 94, y)
	b.axis(18, 6, 18, 58)
	b.body(Circle(18, y, 13))
	b.say(1, y+15, Start, "mandrel")
	b.cut(Rect(35, y-5, 56, y+5), 45)
	// Pinion: face, head, shaft, bearing.
	b.body(Poly(56, y-8, 56, y+8, 67, y+15, 70, y+12, 70, y-12, 67, y-15))
	for _, k := range []float64{-0.6, -0.2, 0.2, 0.6} {
		b.draw(Line(56, y+8*k, 67, y+15*k), None, Pen{Ink, Thin, Solid})
	}
	b.sought(Rect(70, y+5, 73.4, y+12))
	b.sought(Rect(70, y-12, 73.4, y-5))
	b.cut(Rect(73.4, y+5, 83, y+15), 45)
	b.cut(Rect(73.4, y-15, 83, y-5), 45)
	b.body(Rect(70, y-5, 94, y+5))
	b.symbol(77, y+18, Start, "t_now")
	b.ext(76, y+18.6, 71.8, y+10)
	// Row of lengths above, depth below.
	b.ext(31, y, 31, y+24)
	b.ext(35, y+6, 35, y+24)
	b.draw(Line(18, y, 18+9.2, y+9.2), None, Pen{Ink, Thin, Solid})
	arrowHead(&b.Group, Pt{18, y}, Pt{18 + 9.2, y + 9.2}, Ink)
	b.symbol(18, y+4.4, End, "R_m")
	b.between(31, y+22.4, 35, y+22.4)
	b.symbol(42, y+20.6, Start, "g")
	b.ext(35, y-6, 35, y-12)
	b.between(35, y-10.6, 56, y-10.6)
	b.symbol(45.5, y-9.4, Middle, "B")
	b.ext(56, y-9, 56, 6)
	b.across(18, 56, 8, "A")
}

func depthHotSketch(b *board) {
	b.title = "Pinion in its case, from the crown wheel's axis"
	y := 28.0
	b.axis(2, y, 94, y)
	b.axis(16, 6, 16, 56)
	b.say(18, 51, Start, "axis of the crown wheel")
	b.body(Poly(38, y-6.4, 38, y+6.4, 49, y+12, 52, y+9.6, 52, y-9.6, 49, y-12))
	for _, k := range []float64{-0.6, -0.2, 0.2, 0.6} {
		b.draw(Line(38, y+6.4*k, 49, y+12*k), None, Pen{Ink, Thin, Solid})
	}
	b.body(Rect(52, y-4, 94, y+4))
	b.cut(Rect(70, y+4, 80, y+13), 135)
	b.cut(Rect(70, y-13, 80, y-4), 135)
	b.cut(Poly(56, y+13, 80, y+13, 80, y+9, 90, y+9, 90, y+20, 56, y+20), 45)
	b.cut(Poly(56, y-13, 80, y-13, 80, y-9, 90, y-9, 90, y-20, 56, y-20), 45)
	b.ext(38, y-7.4, 38, 12)
	b.across(16, 38, 14, "A")
	b.ext(80, y-21, 80, 2)
	b.between(16, 3.6, 80, 3.6)
	b.symbol(46, 5, Middle, "S")
	b.say(73, y+22, Middle, "case")
}
