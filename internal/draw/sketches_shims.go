package draw

func endFloatSketch(b *board) {
	b.title = "Bearing ring, shim and cover in section"
	for _, x := range []float64{22, 60} {
		b.cut(Rect(x, 5, x+14, 24), 45)
		b.draw(Rect(x, 24, x+14, 26.6), Ink, Pen{})
	}
	b.cut(Poly(22, 26.6, 36, 26.6, 36, 50, 60, 50, 60, 26.6, 74, 26.6, 74, 60, 22, 60), 135)
	b.cut(Rect(38, 5, 58, 33.4), 135)
	b.sought(Rect(38, 43.2, 58, 50))
	b.symbol(48, 44.5, Middle, "t")
	b.say(48, 61.6, Middle, "cover")
	b.say(48, 1.4, Middle, "bearing ring in its case")
	b.ext(20, 24, 12, 24)
	b.ext(37, 33.4, 12, 33.4)
	b.up(24, 33.4, 14, End, "P")
	b.ext(75, 26.6, 86, 26.6)
	b.ext(60, 50, 86, 50)
	b.up(26.6, 50, 84, Start, "H")
	b.ext(75, 24, 86, 24)
	b.draw(Line(79, 18, 79, 24), None, Pen{Ink, Thin, Solid})
	arrowHead(&b.Group, Pt{79, 18}, Pt{79, 24}, Ink)
	b.draw(Line(79, 33, 79, 26.6), None, Pen{Ink, Thin, Solid})
	arrowHead(&b.Group, Pt{79, 33}, Pt{79, 26.6}, Ink)
	b.symbol(81, 16.6, Start, "G")
	b.between(45, 33.4, 45, 43.2)
	b.symbol(46.6, 36.6, Start, "e_fit")
}

func twoEndsSketch(b *board) {
	b.title = "A shaft between two seats, its joint face in the middle"
	b.cut(Poly(6, 16, 48, 16, 48, 22, 13, 22, 13, 42, 48, 42, 48, 48, 6, 48), 45)
	b.cut(Poly(90, 16, 48, 16, 48, 22, 83, 22, 83, 42, 48, 42, 48, 48, 90, 48), 135)
	b.draw(Line(48, 4, 48, 60), None, Pen{Ink, Thin, Chained})
	b.sought(Rect(13, 23, 18.6, 41))
	b.sought(Rect(77.4, 23, 83, 41))
	b.body(Rect(18.6, 23, 25, 41))
	b.body(Rect(71, 23, 77.4, 41))
	b.body(Rect(25, 27, 71, 37))
	b.body(Rect(36, 24, 46, 40))
	b.axis(2, 32, 94, 32)
	b.symbol(28, 22.6, Start, "t1")
	b.symbol(69, 22.6, End, "t2")
	b.ext(26, 24.6, 16, 24.6)
	b.ext(70, 24.6, 80, 24.6)
	for _, x := range []float64{13, 83} {
		b.ext(x, 15, x, 4)
	}
	b.across(13, 48, 6, "D1")
	b.across(48, 83, 6, "D2")
	for _, x := range []float64{18.6, 77.4} {
		b.ext(x, 42, x, 59)
	}
	b.between(18.6, 57.6, 77.4, 57.6)
	b.symbol(60, 52.6, Middle, "L")
	b.between(18.6, 50.4, 48, 50.4)
	b.symbol(33, 51.6, Middle, "A")
}

// taperRow draws the upper half of a taper bearing over an axis at y: cup, roller
// and cone, the wide end of the cone at the side given, 1 for right.
func (b *board) taperRow(x, y, side float64) {
	f := func(dx, dy float64) (float64, float64) { return x + side*dx, y + dy }
	poly := func(dxy ...float64) Path {
		xy := make([]float64, len(dxy))
		for i := 0; i+1 < len(dxy); i += 2 {
			xy[i], xy[i+1] = f(dxy[i], dxy[i+1])
		}
		return Poly(xy...)
	}
	b.cut(poly(-7, 8, 7, 8, 7, 15, -7, 11.5), 45+45*(1-side))      // cone, on the shaft
	b.body(poly(-5.6, 12.1, 5.6, 14.9, 4.7, 20.3, -6.3, 17.5))     // roller
	b.cut(poly(-7, 17.6, 6, 20.8, 6, 25, -7, 25), 135+45*(1-side)) // cup
	b.draw(Line(x-9, y, x+9, y), None, Pen{Faint, Fine, Chained})
}

// taperPair draws a pair in X arrangement with what holds it.
func (b *board) taperPair(y float64) {
	b.body(Rect(4, y, 92, y+8))
	b.axis(1, y, 95, y)
	b.taperRow(32, y, -1)
	b.taperRow(62, y, 1)
}

func taperShimSketch(b *board) {
	b.title = "A pair of taper bearings with a shim behind one cup"
	y := 5.0
	b.taperPair(y)
	b.cut(Poly(8, y+25, 69.2, y+25, 69.2, y+33, 8, y+33, 8, y+12, 24.8, y+12, 24.8, y+25), 45)
	b.sought(Rect(69.2, y+18, 74, y+25))
	b.cut(Poly(74, y+12, 84, y+12, 84, y+33, 70, y+33, 70, y+26, 74, y+26), 135)
	b.symbol(80, y+2.4, Middle, "t_trial")
	b.ext(77, y+7, 72, y+20)
	b.between(40, y+12, 54, y+12)
	b.symbol(47, y+13.6, Middle, "play")
	b.say(47, y+35, Middle, "case")
	b.say(79, y+35, Middle, "cover")
}

func taperSpacerSketch(b *board) {
	b.title = "A spacer between the inner rings of a pair of taper bearings"
	y := 8.0
	b.body(Rect(4, y, 92, y+8))
	b.axis(1, y, 95, y)
	b.taperRow(24, y, 1)
	b.taperRow(72, y, -1)
	b.sought(Rect(31, y+8, 65, y+12))
	b.cut(Rect(10, y+25, 86, y+33), 45)
	b.body(Rect(79, y+8, 86, y+16))
	b.say(82.5, y+17.4, Middle, "nut")
	b.ext(31, y+13, 31, y+21)
	b.ext(65, y+13, 65, y+21)
	b.across(31, 65, y+16, "L_trial")
	b.between(40, 3, 56, 3)
	b.symbol(58, 1.4, Start, "play")
}

func coverGapSketch(b *board) {
	b.title = "The gap under a cover that presses on a cup"
	y := 6.0
	b.body(Rect(4, y, 80, y+8))
	b.axis(1, y, 86, y)
	b.taperRow(40, y, 1)
	b.cut(Poly(8, y+25, 50, y+25, 50, y+36, 8, y+36), 45)
	b.cut(Poly(57, y+15, 68, y+15, 68, y+36, 57, y+36, 57, y+24.5, 46.4, y+24.5, 46.4, y+19, 57, y+19), 135)
	b.ext(50, y+36.6, 50, y+43)
	b.ext(57, y+36.6, 57, y+43)
	b.between(50, y+41, 57, y+41)
	b.symbol(65, y+39.4, Start, "c")
	b.say(26, y+38, Middle, "case")
	b.say(71, y+26, Start, "cover")
	b.sought(Rect(50.6, y+26, 56.4, y+35))
	b.symbol(74, y+34, Start, "t")
	b.ext(73, y+35.6, 54, y+32)
}

func gearFloatSketch(b *board) {
	b.title = "A loose gear on its sleeve, between two shoulders"
	y := 8.0
	b.body(Rect(4, y, 92, y+8))
	b.axis(1, y, 95, y)
	b.cut(Rect(20, y+8, 76, y+14), 45)
	b.body(Rect(12, y+8, 20, y+26))
	b.body(Rect(76, y+8, 84, y+26))
	b.cut(Poly(23, y+14.6, 70, y+14.6, 70, y+24, 60, y+30, 33, y+30, 23, y+24), 135)
	b.ext(20, y+27, 20, y+45)
	b.ext(76, y+27, 76, y+45)
	b.ext(23, y+25, 23, y+37)
	b.ext(70, y+25, 70, y+37)
	b.across(20, 76, y+41, "L")
	b.between(23, y+34.4, 70, y+34.4)
	b.symbol(40, y+35.4, Middle, "b")
	b.between(70, y+20, 76, y+20)
	b.symbol(86, y+18, Start, "e")
	b.say(48, 2.6, Middle, "sleeve on the shaft")
}

func circlipSketch(b *board) {
	b.title = "A circlip in its groove before a ring"
	y := 6.0
	b.body(Poly(6, y, 6, y+16, 58, y+16, 58, y+10, 67, y+10, 67, y+16, 90, y+16, 90, y))
	b.axis(2, y, 94, y)
	b.cut(Rect(14, y+16, 54, y+32), 45)
	b.sought(Rect(61, y+11, 67, y+23))
	b.symbol(64, y+24.4, Middle, "t")
	b.ext(14, y+33, 14, y+44)
	b.ext(54, y+33, 54, y+37)
	b.ext(67, y+17, 67, y+44)
	b.across(14, 54, y+35, "R")
	b.between(14, y+42.4, 67, y+42.4)
	b.symbol(70, y+40.6, Start, "D")
	b.say(34, y+5, Middle, "shaft")
	b.between(54, y+19, 61, y+19)
	b.symbol(69.4, y+18.6, Start, "play")
}

func noseSketch(b *board) {
	b.title = "The nose of the input shaft in its spigot bearing"
	y := 38.0
	// Flywheel side at the right: bore with the bearing in it.
	b.cut(Poly(50, 14, 92, 14, 92, y+24, 50, y+24, 50, y+14, 86, y+14, 86, y-14, 50, y-14), 45)
	b.cut(Rect(62, y+5, 74, y+14), 135)
	b.cut(Rect(62, y-14, 74, y-5), 135)
	// Gearbox side at the left.
	b.cut(Poly(8, 14, 46, 14, 46, y-14, 8, y-14), 135)
	b.cut(Poly(8, y+24, 46, y+24, 46, y+14, 8, y+14), 135)
	b.draw(Rect(46, 14, 50, y-14), Ink, Pen{})
	b.draw(Rect(46, y+14, 50, y+24), Ink, Pen{})
	b.body(Poly(8, y-8, 40, y-8, 40, y-5, 80, y-5, 80, y+5, 40, y+5, 40, y+8, 8, y+8))
	b.axis(3, y, 94, y)
	b.ext(46, 13, 46, 2)
	b.ext(50, 13, 50, 2)
	b.between(46, 10, 50, 10)
	b.symbol(40, 8.4, End, "G")
	b.ext(86, 13, 86, 2)
	b.across(50, 86, 3.4, "C")
	b.ext(46, y+25, 46, 69)
	b.ext(80, y+6, 80, 69)
	b.between(46, 67.4, 80, 67.4)
	b.symbol(82.4, 65.4, Start, "N")
	b.between(50, y+7, 62, y+7)
	b.symbol(56, y+8.4, Middle, "F")
}

func stackSketch(b *board) {
	b.title = "Parts between a shoulder and a nut"
	y := 10.0
	b.body(Poly(4, y, 4, y+16, 16, y+16, 16, y+10, 92, y+10, 92, y))
	b.axis(1, y, 95, y)
	for x := 66.0; x < 91; x += 2.4 {
		b.draw(Line(x, y+10, x+1.2, y+8.6, x+2.4, y+10), None, Pen{Ink, Thin, Solid})
	}
	at := 16.0
	for i, w := range []float64{16, 22, 14} {
		b.cut(Rect(at, y+10.6, at+w, y+26-3*float64(i%2)), 45+90*float64(i%2))
		b.ext(at+w, y+27, at+w, y+34)
		b.between(at, y+31, at+w, y+31)
		b.symbol(at+w/2, y+32.4, Middle, "w")
		at += w
	}
	b.ext(16, y+27, 16, y+34)
	b.ext(16, y-1, 16, 2)
	b.ext(66, y+7, 66, 2)
	b.between(16, 3.4, 66, 3.4)
	b.symbol(41, 4.6, Middle, "S")
	b.say(79, y+14, Middle, "nut")
}

func chainSketch(b *board) {
	b.title = "A chain of lengths and the one that is left over"
	b.cut(Poly(6, 10, 90, 10, 90, 34, 84, 34, 84, 16, 12, 16, 12, 34, 6, 34), 45)
	b.cut(Rect(12, 17, 36, 31), 135)
	b.cut(Rect(36, 17, 70, 28), 45)
	b.ext(12, 35, 12, 44)
	b.ext(36, 32, 36, 37)
	b.ext(70, 29, 70, 37)
	b.ext(84, 35, 84, 44)
	b.say(24, 37, Middle, "− part")
	b.say(53, 37, Middle, "− part")
	b.between(12, 35.4, 36, 35.4)
	b.between(36, 35.4, 70, 35.4)
	b.between(70, 24, 84, 24)
	b.symbol(77, 25.4, Middle, "L_0")
	b.ext(12, 9, 12, 2)
	b.ext(84, 9, 84, 2)
	b.between(12, 3.4, 84, 3.4)
	b.say(48, 4.6, Middle, "+ case")
}

func packSketch(b *board) {
	b.title = "A pack of measured pieces"
	y := 8.0
	for i, h := range []float64{10, 7, 5, 4} {
		b.draw(Rect(26, y, 60, y+h), Tint, Pen{Accent, Thick, Solid})
		if i < 2 {
			b.symbol(43, y+h/2-2, Middle, "t")
		}
		y += h
	}
	b.ext(61, 8, 72, 8)
	b.ext(61, y, 72, y)
	b.up(8, y, 70, Start, "want")
}

func centresSketch(b *board) {
	b.title = "Two gears and the distance between their shafts"
	y := 36.0
	b.axis(4, y, 92, y)
	for _, w := range []struct {
		x, r float64
		z    string
	}{{28, 15, "z1"}, {66, 23, "z2"}} {
		b.draw(Circle(w.x, y, w.r), None, Pen{Faint, Thin, Chained})
		b.body(Circle(w.x, y, w.r+1.6))
		b.body(Circle(w.x, y, 3))
		b.ext(w.x, y-4, w.x, 3)
		b.symbol(w.x, y+7, Middle, w.z)
	}
	b.across(28, 66, 4.6, "a")
}

func splashSketch(b *board) {
	b.title = "A wheel that dips into the oil at rest"
	x, y, r := 38.0, 32.0, 21.0
	b.draw(Poly(6, 4, 84, 4, 84, 17.6, 6, 17.6), Tint, Pen{})
	b.draw(Line(6, 17.6, 84, 17.6), None, Pen{Accent, Thick, Solid})
	b.draw(Line(6, 30, 6, 4, 84, 4, 84, 30), None, Pen{Ink, Thick, Solid})
	b.body(Circle(x, y, r+2))
	b.draw(Circle(x, y, r), None, Pen{Faint, Thin, Chained})
	b.draw(Circle(x, y, r-2.6), None, Pen{Ink, Thin, Solid})
	b.body(Circle(x, y, 3))
	b.between(x-r*0.87, y+r*0.5, x+r*0.87, y-r*0.5)
	b.symbol(x+5, y+2, Start, "D")
	b.turn(x, y, r-7, 170, 100, Pen{Ink, Thick, Solid})
	b.symbol(x-10, y-7, Middle, "n")
	b.ext(x, 9, 76, 9)
	b.between(74, 9, 74, 17.6)
	b.symbol(76, 11, Start, "s")
	b.ext(x+8, y+22, x+22, y+24)
	b.ext(x+7, y+17.6, x+22, y+19)
	b.symbol(x+23, y+19, Start, "h")
}
