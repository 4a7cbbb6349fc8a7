package draw

import "math"

func pushRingSketch(b *board) {
	b.title = "A tube that presses on the inner ring, in section"
	c, y := 48.0, 36.0
	// Bearing: half bore 13, inner shoulder 19, outer shoulder 26, outside 33.
	for _, s := range []float64{-1, 1} {
		ring := func(r0, r1, angle float64) { b.cut(Rect(c+s*r0, y, c+s*r1, y+13), angle) }
		ring(13, 19, 45)
		ring(26, 33, 135)
		b.body(Circle(c+s*22.5, y+6.5, 4.6))
		b.draw(Rect(c+s*14.6, y+13, c+s*18.4, y+36), Tint, Pen{Accent, Thick, Solid})
	}
	b.body(Rect(c-13, y-2, c+13, y+26))
	b.body(Rect(c-10.6, y+26, c+10.6, y+31))
	b.axis(c, 2, c, 86)
	b.force(c-16.5, 85, c-16.5, y+37)
	b.force(c+16.5, 85, c+16.5, y+37)
	b.symbol(c+19.5, 78.6, Start, "F")
	b.say(c+21, y+28, Start, "tube")
	b.between(c-13, y+18, c+13, y+18)
	b.symbol(c+5, y+19.4, Middle, "S")
	for i, d := range []struct {
		r float64
		s string
	}{{13, "d"}, {19, "d_1"}, {26, "D_1"}, {33, "D"}} {
		at := 25.4 - 7.5*float64(i)
		b.ext(c-d.r, y-1, c-d.r, at-1.4)
		b.ext(c+d.r, y-1, c+d.r, at-1.4)
		b.between(c-d.r, at, c+d.r, at)
		b.symbol(c+6, at+1.3, Middle, d.s)
	}
}

func pressSketch(b *board) {
	b.title = "A shaft pressed into a hub, in section"
	c := 40.0
	y0, y1 := 18.0, 44.0
	for _, s := range []float64{-1, 1} {
		b.cut(Rect(c+s*14, y0, c+s*30, y1), 45)
		b.cut(Rect(c+s*5, y0-10, c+s*14, y1+4), 135)
	}
	b.axis(c, 2, c, 64)
	b.force(c-9.5, 63, c-9.5, 49)
	b.force(c+9.5, 63, c+9.5, 49)
	b.ext(c-5, 48.6, c-5, 54)
	b.ext(c+5, 48.6, c+5, 54)
	b.between(c-5, 52.4, c+5, 52.4)
	b.symbol(c, 55.4, Middle, "d_i")
	b.ext(c-30, 17, c-30, 1)
	b.ext(c+30, 17, c+30, 1)
	b.between(c-30, 2.4, c+30, 2.4)
	b.symbol(c+32, 2.4, Start, "D_o")
	b.between(c-14, y1-8, c+14, y1-8)
	b.symbol(c+0.8, y1-6.4, Start, "d")
	b.ext(c+31, y0, c+43, y0)
	b.ext(c+31, y1, c+43, y1)
	b.up(y0, y1, c+41, Start, "l")
	// Where shaft and hub meet.
	b.draw(Circle(c+14, y1-15, 3), None, Pen{Accent, Thick, Solid})
	b.ext(c+16.4, y1-13, c+35, 54)
	b.symbol(c+36, 53, Start, "δ")
}

func heatSketch(b *board) {
	b.title = "A hot outer part slips over a cold inner one"
	c := 40.0
	for _, s := range []float64{-1, 1} {
		b.cut(Rect(c+s*15.6, 8, c+s*31, 30), 45)
		b.cut(Rect(c+s*5, 33, c+s*14, 56), 135)
		b.draw(Line(c+s*14, 32, c+s*14, 6), None, Pen{Faint, Thin, Dashed})
	}
	b.axis(c, 2, c, 64)
	b.force(c, 54, c, 36)
	b.ext(c-14, 57, c-14, 63)
	b.ext(c+14, 57, c+14, 63)
	b.between(c-14, 61.6, c+14, 61.6)
	b.symbol(c+16, 60, Start, "d")
	b.between(c+14, 19, c+15.6, 19)
	b.symbol(c+9, 20.4, End, "s")
	b.say(c+34, 24, Start, "hot")
	b.say(c+17, 47, Start, "room, or cold")
	b.symbol(c+34, 15.6, Start, "T_m")
	b.symbol(c+17, 40, Start, "T_s")
	b.ext(c-31, 7, c-31, 1)
	b.ext(c+31, 7, c+31, 1)
	b.between(c-31, 2.4, c+31, 2.4)
	b.symbol(c+33, 2.4, Start, "D_o")
}

func fitSketch(b *board) {
	b.title = "Zones of hole and shaft about the nominal size"
	zero := 24.0
	b.draw(Line(4, zero, 92, zero), None, Pen{Ink, Thick, Solid})
	b.say(4, zero-5, Start, "nominal size")
	b.cut(Rect(26, zero+3, 42, zero+17), 45)
	b.sought(Rect(56, zero+9, 72, zero+27))
	b.say(34, 4, Middle, "hole")
	b.say(64, 4, Middle, "shaft")
	b.ext(34, 9, 34, zero+2)
	b.ext(64, 9, 64, zero+8)
	b.ext(25, zero+17, 16, zero+17)
	b.up(zero, zero+17, 19, End, "ES")
	b.between(47, zero, 47, zero+3)
	b.ext(43, zero+3, 49, zero+3)
	b.symbol(49, zero+4.4, Start, "EI")
	b.ext(73, zero+27, 86, zero+27)
	b.ext(73, zero+9, 80, zero+9)
	b.up(zero, zero+27, 84, Start, "es")
	b.between(77, zero, 77, zero+9)
	b.symbol(78.4, zero-6, Start, "ei")
}

func clearanceSketch(b *board) {
	b.title = "A bearing between shaft and case, in section"
	c := 44.0
	y := 30.0
	for _, s := range []float64{-1, 1} {
		b.cut(Rect(c+s*4, y-6, c+s*10, y+20), 45)
		b.cut(Rect(c+s*10, y, c+s*17, y+14), 135)
		b.cut(Rect(c+s*26, y, c+s*32, y+14), 135)
		b.cut(Rect(c+s*32, y-4, c+s*40, y+18), 45)
		b.body(Circle(c+s*21.4, y+7, 4.4))
	}
	b.axis(c, 2, c, 68)
	b.ext(c-10, y-7, c-10, 15)
	b.ext(c+10, y-7, c+10, 15)
	b.between(c-10, 16.6, c+10, 16.6)
	b.symbol(c+3, 18, Start, "d")
	b.ext(c-32, y-5, c-32, 8)
	b.ext(c+32, y-5, c+32, 8)
	b.between(c-32, 9.4, c+32, 9.4)
	b.symbol(c+3, 10.8, Start, "D")
	b.ext(c-40, y-5, c-40, 0.4)
	b.ext(c+40, y-5, c+40, 0.4)
	b.between(c-40, 1.8, c+40, 1.8)
	b.symbol(c+3, 3.6, Start, "D_r")
	b.between(c-4, y+24, c+4, y+24)
	b.symbol(c+10.5, y+22, Start, "d_s")
	b.ext(c+25.9, y+15, c+30, y+30)
	b.symbol(c+31, y+29, Start, "c_0")
	b.draw(Circle(c+25.9, y+12.4, 2.4), None, Pen{Accent, Thick, Solid})
}

func runOutSketch(b *board) {
	b.title = "A dial on a shaft that turns off centre"
	x, y, r := 34.0, 24.0, 17.0
	b.body(Circle(x+3, y+1.8, r))
	b.draw(Circle(x, y, r+3.5), None, Pen{Faint, Thin, Dashed})
	b.axis(x-24, y, x+26, y)
	b.axis(x, y-22, x, y+24)
	b.draw(Circle(x, y, 0.9), Ink, Pen{})
	b.draw(Circle(x+3, y+1.8, 0.9), Accent, Pen{})
	b.symbol(x+6.4, y+0.6, Start, "e")
	b.turn(x, y, 11, 200, 290, Pen{Ink, Thick, Solid})
	b.angle(x, y, 14, 31, 90)
	b.draw(Line(x, y, x+23*math.Cos(0.54), y+23*math.Sin(0.54)), None, Pen{Faint, Thin, Dashed})
	b.symbol(x+5.6, y+8.6, Middle, "φ")
	// The dial, over the first reading.
	b.draw(Line(x, y+r+1.2, x, y+27), None, Pen{Ink, Thick, Solid})
	b.body(Circle(x, y+35.5, 8.5))
	b.draw(Line(x, y+35.5, x+4.6, y+39.6), None, Pen{Accent, Thick, Solid})
	b.symbol(x+11, y+34, Start, "r")
	// What it reads over a turn.
	ax, ay := 66.0, 10.0
	b.draw(Line(ax, 44, ax, ay, 93, ay), None, Pen{Ink, Thin, Solid})
	p := Line(ax+1, ay+16+9*math.Cos(-0.54*2))
	for i := 1; i <= 24; i++ {
		a := float64(i) / 24 * 2 * math.Pi
		p.L(ax+1+25*float64(i)/24, ay+16+9*math.Cos(a-1.08))
	}
	b.draw(p, None, Pen{Ink, Thick, Solid})
	b.ext(ax, ay+7, 93, ay+7)
	b.ext(ax, ay+25, 93, ay+25)
	b.up(ay+7, ay+25, ax-4, End, "f")
	b.say(80, 4, Middle, "one turn")
}

func indexSketch(b *board) {
	b.title = "Two offsets that cancel when one part is turned"
	for i, x := range []float64{24, 72} {
		b.draw(Circle(x, 26, 17), None, Pen{Ink, Thick, Solid})
		b.axis(x-20, 26, x+20, 26)
		b.axis(x, 6, x, 46)
		a := []float64{50, 200}[i] * math.Pi / 180
		b.force(x, 26, x+15*math.Cos(a), 26+15*math.Sin(a))
	}
	b.symbol(21, 33, End, "e1")
	b.symbol(66, 27.6, End, "e2")
	b.angle(24, 26, 8, 0, 50)
	b.symbol(33, 27.8, Start, "φ1")
	b.angle(72, 26, 6.5, 0, 200)
	b.symbol(74.6, 34, Start, "φ2")
	b.turn(72, 26, 19.4, 205, 228, Pen{Accent, Thick, Solid})
	b.symbol(53, 8, Middle, "θ")
	b.say(24, 2.6, Middle, "first part")
	b.say(76, 2.6, Middle, "second part")
}

func ringGapSketch(b *board) {
	b.title = "A baulk ring pressed onto the cone of its gear"
	y := 5.0
	b.axis(2, y, 94, y)
	b.cut(Poly(10, y+2, 58, y+2, 58, y+16, 34, y+21, 34, y+33, 10, y+33), 45)
	b.cut(Poly(38.4, y+20.4, 60, y+15.8, 60, y+26, 46, y+26, 46, y+36, 38.4, y+36), 135)
	b.ext(34, y+34, 34, y+42)
	b.ext(38.4, y+37, 38.4, y+42)
	b.between(34, y+40, 38.4, y+40)
	b.symbol(46, y+38, Start, "g")
	b.draw(Line(58, y+16, 84, y+10.6), None, Pen{Faint, Thin, Dashed})
	b.draw(Line(58, y+16, 86, y+16), None, Pen{Faint, Thin, Dashed})
	b.angle(58, y+16, 22, -11.8, 0)
	b.symbol(82, y+17.6, Start, "α")
	b.say(20, y+37, Middle, "gear")
	b.say(62, y+29, Start, "baulk ring")
}

func oilLevelSketch(b *board) {
	b.title = "A case with its oil level, seen through"
	b.body(Poly(10, 10, 60, 10, 60, 42, 10, 42))
	b.body(Line(10, 42, 26, 52, 76, 52, 60, 42))
	b.body(Line(76, 52, 76, 20, 60, 10))
	b.draw(Poly(10, 20, 60, 20, 60, 27, 10, 27), Tint, Pen{Accent, Thin, Solid})
	b.draw(Poly(60, 20, 76, 30, 76, 37, 60, 27), Tint, Pen{Accent, Thin, Solid})
	b.symbol(35, 21.2, Middle, "V")
	b.ext(10, 9, 10, 2)
	b.ext(60, 9, 60, 2)
	b.between(10, 3.4, 60, 3.4)
	b.symbol(35, 4.6, Middle, "a")
	b.between(63, 8, 79, 18)
	b.symbol(74, 7.6, Start, "b")
	b.ext(77, 30, 86, 30)
	b.ext(77, 37, 86, 37)
	b.between(84, 30, 84, 37)
	b.symbol(87, 31.6, Start, "h")
}
