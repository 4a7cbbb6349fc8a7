package draw

import (
	"fmt"
	"math"
	"slices"
)

const (
	perLabel = 6.4 // least length of axis to a position, mm
	longest  = 430 // natural length of a section, mm
)

// scaleOf says how true to scale the lengths are.
type scaleOf struct {
	missing, slots int
	widened        bool
}

func (sc scaleOf) String() string {
	switch {
	case sc.missing == sc.slots:
		return "Not to scale: the file gives no widths."
	case sc.missing > 0:
		return fmt.Sprintf("Not to scale: %d of %d widths are not in the file.", sc.missing, sc.slots)
	case sc.widened:
		return "Lengths to scale, thin parts drawn thicker. Diameters are not to scale."
	}
	return "Lengths to scale. Diameters are not."
}

// lengths gives each slot its length on the drawing: that of its longest part
// where the file gives one, else a stand-in.
func (pl *plan) lengths(stretch float64) (total float64, sc scaleOf) {
	for _, l := range pl.slots {
		l.w, l.known = 0, false
		for _, s := range l.spots {
			if s.role == along && s.width > 0 {
				l.w, l.known = max(l.w, s.width*1000), true
			}
		}
		if !l.known {
			for _, s := range l.spots {
				if s.role == along || s == l.root() {
					l.w = max(l.w, s.form.width)
				}
			}
			if l.root().pos.Seat == nil {
				sc.missing++
			}
		}
		total += l.w
	}
	sc.slots = len(pl.slots)
	k := min(max(1, perLabel*float64(len(pl.spots))/total), 2.2, longest/total) * stretch
	total = 0
	for _, l := range pl.slots {
		exact := l.w * k
		least := 2.2
		if l.root().pos.Seat != nil {
			least = 0.9 * float64(l.root().pieces)
		}
		if l.w = max(exact, least); l.w > exact+0.01 && l.known {
			sc.widened = true
		}
		total += l.w
	}
	return total, sc
}

// share is the part of its slot that a spot of unknown width takes.
func (s *spot) share() float64 {
	switch {
	case s.rank == -2: // needle cage
		return 0.88
	case s.words == "sleeve":
		return 1.14
	case s.words == "gear" && s.lies != nil:
		return 0.99
	}
	return 1
}

// put places the slots from x0 on, and in each the parts.
func (pl *plan) put(x0 float64) (x1 float64) {
	x := x0
	for _, l := range pl.slots {
		l.x0 = x
		x += l.w
	}
	pl.settle()
	return x
}

// settle places the parts in their slots, once each slot has its place.
func (pl *plan) settle() {
	for _, l := range pl.slots {
		longest := 0.0
		for _, s := range l.spots {
			if s.role == along {
				longest = max(longest, s.width)
			}
		}
		for _, s := range l.spots {
			w := l.w * s.share()
			if s.width > 0 && s.role == along && longest > 0 {
				w = l.w * s.width / longest
			}
			m := l.x0 + l.w/2
			s.x0, s.x1 = m-w/2, m+w/2
		}
		pl.putRings(l)
	}
	for i, l := range pl.slots {
		for _, s := range l.spots {
			if s.role == over {
				from, to := pl.reachOf(i)
				s.x0, s.x1 = pl.slots[from].x0, pl.slots[to].x0+pl.slots[to].w
			}
		}
		for _, s := range l.spots {
			if s.onFlange() {
				s.toFlange()
			}
		}
		l.aim()
	}
}

// putRings sets baulk rings on the cones of their gears.
func (pl *plan) putRings(l *slot) {
	g := l.find(func(s *spot) bool { return s.cone })
	if g == nil {
		return
	}
	for _, s := range l.spots {
		if s.role == onCone {
			a, b := g.at(dogEnd(g)), g.at(1)
			s.x0, s.x1 = min(a, b), max(a, b)
		}
	}
}

// aim chooses where the leaders end: side by side in the order of the file, a
// ring where it lies, each inside what it tells of.
func (l *slot) aim() {
	g := l.find(func(s *spot) bool { return s.cone })
	lo, hi := l.x0, l.x0+l.w
	if g != nil { // the ring has the place of the cone
		lo, hi = min(g.at(0), g.at(0.58)), max(g.at(0), g.at(0.58))
	}
	var rest []*spot
	for _, s := range l.spots {
		if g != nil && s.role == onCone {
			s.aimAt((s.x0 + s.x1) / 2)
			continue
		}
		rest = append(rest, s)
	}
	sortByFile(rest)
	for i, s := range rest {
		s.aimAt(lo + (hi-lo)*(float64(i)+0.5)/float64(len(rest)))
	}
}

// aimAt puts the dot into the metal of the part, as near to x as it has any:
// into what is hatched before what is not.
func (s *spot) aimAt(x float64) {
	sh := s.shape(s)
	for step := 0.0; step < 40; step++ {
		for _, x := range []float64{x - step*0.7, x + step*0.7} {
			if x < s.x0+0.3 || x > s.x1-0.3 {
				continue
			}
			for _, ps := range [][]Path{sh.cut, sh.black, sh.body} {
				if lo, hi, ok := topmost(ps, x); ok {
					s.dot = Pt{x, max(hi-2.4, (lo+hi)/2)}
					return
				}
			}
		}
	}
	s.dot = Pt{(s.x0 + s.x1) / 2, (s.r0 + s.r1) / 2}
}

// cuts are the heights at which the line at x crosses an outline, from below;
// an outline left open at the axis ends there.
func cuts(p Path, x float64) []float64 {
	if b := p.Bounds(); x < b.X0 || x > b.X1 {
		return nil
	}
	edges, _, _ := edgesOf(p, func(q Pt) Pt { return q })
	var ys []float64
	for _, e := range edges {
		if a, b := e[0], e[1]; (a.X <= x) != (b.X <= x) {
			ys = append(ys, a.Y+(x-a.X)/(b.X-a.X)*(b.Y-a.Y))
		}
	}
	if len(ys)%2 == 1 {
		ys = append(ys, 0)
	}
	slices.Sort(ys)
	return ys
}

// topmost is the highest stretch of the line at x that lies inside one of the
// outlines.
func topmost(ps []Path, x float64) (lo, hi float64, ok bool) {
	for _, p := range ps {
		ys := cuts(p, x)
		if n := len(ys); n > 1 && (!ok || ys[n-1] > hi) {
			lo, hi, ok = ys[n-2], ys[n-1], true
		}
	}
	return lo, hi, ok
}

// split shares the slots out to rows no longer than room, as even as may be,
// and never through a cartridge that would fit.
func (pl *plan) split(total, room float64) []*plan {
	n := math.Ceil(total/room - 1e-9)
	if n <= 1 {
		return []*plan{pl}
	}
	keep := make([]bool, len(pl.slots)) // slot i may not begin a row
	for i, l := range pl.slots {
		for _, s := range l.spots {
			if s.role == over {
				from, to := pl.reachOf(i)
				for j := from + 1; j <= to; j++ {
					keep[j] = true
				}
			}
		}
	}
	var rows []*plan
	cur := &plan{c: pl.c, core: pl.core}
	used, goal, run := 0.0, total/n, 0.0
	for i := 0; i < len(pl.slots); {
		j := i + 1
		for j < len(pl.slots) && keep[j] {
			j++
		}
		w := 0.0
		for _, l := range pl.slots[i:j] {
			w += l.w
		}
		if len(cur.slots) > 0 && (used+w > room || run+w/2 > goal*float64(len(rows)+1)) {
			rows = append(rows, cur)
			cur, used = &plan{c: pl.c, core: pl.core}, 0
		}
		for _, l := range pl.slots[i:j] {
			cur.slots = append(cur.slots, l)
			cur.spots = append(cur.spots, l.spots...)
		}
		used, run = used+w, run+w
		i = j
	}
	return append(rows, cur)
}
