package draw

import "math"

// Contact draws the flank of a crown-wheel tooth with the patch that marking
// paste leaves: height is high, mid or low, end is toe, centre or heel; the
// empty flank when either is unknown. The toe is at the left and the tip above,
// whichever flank it is, as one looks at the wheel from its rim.
func Contact(flank, height, end string) *Drawing {
	const w, h, name = 64.0, 36.0, 7.0
	d := &Drawing{W: w, H: h, Title: flank + " flank: contact " + height + ", " + end}
	g := Group{Class: "picture"}
	// A tooth is lower and shorter at the toe.
	foot := func(u float64) Pt { return Pt{8 + 48*u, 8.5 + 1.2*math.Sin(math.Pi*u)} }
	top := func(u float64) Pt { return Pt{8 + 48*u, 20 + 4*u + 1.2*math.Sin(math.Pi*u)} }
	at := func(u, v float64) Pt {
		a, b := foot(u), top(u)
		return Pt{a.X + (b.X-a.X)*v, a.Y + (b.Y-a.Y)*v}
	}
	var rim Path
	rim.M(foot(0).X, foot(0).Y)
	const n = 12
	for i := 1; i <= n; i++ {
		p := foot(float64(i) / n)
		rim.L(p.X, p.Y)
	}
	for i := n; i >= 0; i-- {
		p := top(float64(i) / n)
		rim.L(p.X, p.Y)
	}
	g.draw(*rim.Z(), None, Pen{Ink, Thick, Solid})
	if u, v, ok := patch(height, end); ok {
		var e Path
		const m = 28
		for i := range m {
			a := 2 * math.Pi * float64(i) / m
			q := at(u+0.2*math.Cos(a), v+0.19*math.Sin(a))
			if i == 0 {
				e.M(q.X, q.Y)
			} else {
				e.L(q.X, q.Y)
			}
		}
		g.draw(*e.Z(), Accent, Pen{Accent, Thick, Solid})
	}
	g.text(w/2, h-6.5, name, Middle, Ink, true, flank)
	g.text(7, 1.7, name, Start, Faint, false, "toe")
	g.text(w-7, 1.7, name, End, Faint, false, "heel")
	d.Groups = []Group{g}
	return d
}

// patch is the middle of a contact, as shares of the tooth's length and height.
func patch(height, end string) (u, v float64, ok bool) {
	along := map[string]float64{"toe": 0.24, "centre": 0.5, "heel": 0.76}
	up := map[string]float64{"low": 0.25, "mid": 0.5, "high": 0.75}
	u, a := along[end]
	v, b := up[height]
	return u, v, a && b
}
