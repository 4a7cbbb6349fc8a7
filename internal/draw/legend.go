package draw

// footer is the key to the states that occur and the note on scale; it returns
// its height.
func footer(g *Group, o *Options, strips []*strip, width float64, note string) float64 {
	y := edge
	if o.Bare {
		return y
	}
	lines := wrap(note, noteSize, width-2*edge, 3)
	for i := range lines {
		g.text(edge, y, noteSize, Start, Faint, false, lines[len(lines)-1-i])
		y += 5
	}
	y++
	if o.State == nil {
		return y
	}
	seen := [states]bool{}
	for _, st := range strips {
		for _, l := range st.labels {
			seen[min(l.st, Other)] = true
		}
	}
	return y + legend(g, seen, y, width)
}

// legend draws a sample and the word of each state that occurs.
func legend(g *Group, seen [states]bool, y, width float64) float64 {
	type entry struct {
		st   State
		x, w float64
		row  int
	}
	var es []entry
	x, row := edge, 0
	for st := range states {
		if !seen[st] {
			continue
		}
		w := 11 + 2 + textWidth(st.Word(), wordSize, false) + 5
		if x+w > width-edge && x > edge {
			x, row = edge, row+1
		}
		es = append(es, entry{st, x, w, row})
		x += w
	}
	const pitch = 7.5
	for _, e := range es {
		y := y + float64(row-e.row)*pitch
		sample := shape{cut: []Path{Rect(e.x+0.5, y, e.x+10.5, y+4.6)}, once: true}
		ink(g, sample, e.st, hatching{45, 1.7})
		if e.st == Doubt {
			g.draw(Circle(e.x+5.5, y+2.3, 2), None, Pen{Tone: Ink, W: 0.4})
			g.text(e.x+5.5, y+1.1, 3.3, Middle, Ink, true, "?")
		}
		g.text(e.x+13, y+1, wordSize, Start, Ink, false, e.st.Word())
	}
	return float64(row+1)*pitch + 2
}
