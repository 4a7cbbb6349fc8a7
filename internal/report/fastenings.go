package report

import (
	"fmt"
	"math"
	"strings"

	"endfloat/calc/ratio"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

var (
	mm = mustFind("mm", unit.KindLength)
	nm = mustFind("N·m", unit.KindTorque)
)

func mustFind(symbol string, k unit.Kind) unit.Unit {
	u, ok := unit.Find(symbol, k)
	if !ok {
		panic("report: no unit " + symbol)
	}
	return u
}

// ratios shows the tooth counts of the parts as built and what they come to.
func (b *book) ratios() {
	if b.v.Box == nil || len(b.v.Box.Meshes) == 0 {
		return
	}
	axle, axleText := 1.0, ""
	if f := b.v.Box.Final; f != nil {
		if pinion, crown := b.teeth(f.Pinion), b.teeth(f.Crown); pinion > 0 && crown > 0 {
			axle = float64(crown) / float64(pinion)
			axleText = fmt.Sprintf("Crown wheel and pinion: %s %d teeth, %s %d teeth, ratio %.4f.", f.Crown, crown, f.Pinion, pinion, axle)
		}
	}
	var rows []row
	for _, m := range b.v.Box.Meshes {
		z1, z2 := b.teeth(m.Driver), b.teeth(m.Driven)
		if z1 == 0 || z2 == 0 {
			continue
		}
		t := ratio.Train{Pairs: []ratio.Pair{{Driver: z1, Driven: z2}}}
		idler := ""
		if m.Idler != "" {
			t.Idlers = 1
			idler = fmt.Sprintf("%s %d", m.Idler, b.teeth(m.Idler))
		}
		turns := "same way"
		if t.Reversed() {
			turns = "against the input"
		}
		rows = append(rows, row{in(bold, m.Speed), in(cell, fmt.Sprintf("%s %d", m.Driver, z1)), in(cell, idler),
			in(cell, fmt.Sprintf("%s %d", m.Driven, z2)), in(cell, fmt.Sprintf("%.4f", t.Ratio())), in(cell, fmt.Sprintf("%.3f", t.Ratio()*axle)), in(cell, b.roadSpeed(t.Ratio()*axle)), in(cell, turns)})
	}
	if len(rows) == 0 {
		return
	}
	b.part("Ratios and tooth counts")
	b.table([]col{{"Speed", 1.2}, {"Driver, teeth", 2.4}, {"Idler", 2}, {"Driven, teeth", 2.4}, {"Ratio", 2}, {"With final drive", 1.8}, {"km/h", 1.3}, {"Output shaft turns", 2.6}}, rows)
	speeds := ""
	if ω, wheel, ok := b.governed(); ok {
		speeds = fmt.Sprintf("Speeds at %.0f rpm of the engine on a wheel of %.0f mm.", rpmOf(ω), float64(wheel)*1e3)
	}
	b.para(note, joined(" ", axleText, speeds, "Tooth counts are those of the gearbox file for the variants built in."))
}

func (b *book) teeth(id string) int {
	p, ok := b.v.Box.Position(id)
	if !ok {
		return 0
	}
	n, _ := p.Dimension("teeth", b.v.Built)
	return int(math.Round(n))
}

// fastenings is the log of torques and locks.
func (b *book) fastenings() {
	b.part("Torques and locks")
	var rows []row
	var left []string
	for _, p := range b.places() {
		sp := b.v.Spots[p.ID]
		done := sp != nil && (sp.Torqued != nil || sp.Locked != nil)
		switch {
		case done, p.Fastening() && sp != nil && (sp.Off != nil || sp.Fitted != nil):
			rows = append(rows, b.torqueRow(p, sp))
		case p.Fastening():
			left = append(left, p.Label())
		}
	}
	if len(rows) == 0 {
		b.para(body, "No torque and no lock was recorded.")
	} else {
		b.table([]col{{"Fastening", 3.6}, {"Wanted", 2.6}, {"Reached", 2.9}, {"How it was done", 4.6}, {"Lock", 3}}, rows)
		b.workings()
	}
	if len(left) > 0 {
		b.para(note, "Not disturbed: "+strings.Join(left, ", ")+".")
	}
}

func (b *book) torqueRow(p *gearbox.Position, sp *job.Spot) row {
	as := b.v.Built
	left := ""
	if p.LeftHand {
		left = "left-hand thread"
	}
	want := p.Torque.Text(as)
	if want == "" {
		want = "not in the file"
	}
	r := row{in(cell, p.Label(), joined(", ", p.Thread.Text(as), left)), in(cell, nb(want), p.Method.Text(as)), in(bold, "not torqued"), nil, b.lockCell(p, sp)}
	t := sp.Torqued
	if t == nil {
		return r
	}
	trial := ""
	if t.Is.Trial {
		trial = "on trial only"
	}
	r[2] = in(cell, nb(torqueText(t.Is.Torque, t.Is.U)), trial)
	r[3] = in(cell, joined(", ", t.Is.Method, t.Is.Tool), "read "+t.Is.Reading, strings.Join(t.Is.Warnings, "; "), b.stamp(t.Entry), b.fig(t.Is.Photos))
	return r
}

func torqueText(v, u float64) string {
	if u > 0 {
		return unit.FormatU(v, u, nm)
	}
	return unit.FormatU(math.Round(v*10)/10, 0, nm)
}

func (b *book) lockCell(p *gearbox.Position, sp *job.Spot) []line {
	want := p.Lock.Text(b.v.Built)
	switch {
	case sp.Locked != nil:
		return in(cell, sp.Locked.Is.How, painted(sp.Locked.Is.Line), b.stamp(sp.Locked.Entry), b.fig(sp.Locked.Is.Photos))
	case want != "":
		return in(bold, "not locked", "wanted: "+want)
	}
	return in(small, "none wanted")
}

func painted(line bool) string {
	if line {
		return "paint line over nut and shaft"
	}
	return ""
}

// workings are the sums behind the torques that were not read directly.
func (b *book) workings() {
	first := true
	for _, p := range b.places() {
		sp := b.v.Spots[p.ID]
		if sp == nil || sp.Torqued == nil || sp.Torqued.Is.Working == "" {
			continue
		}
		if first {
			b.under("Working of the torques")
			first = false
		}
		b.need(14)
		b.lines(b.left, b.wrap(bold, b.wide(), p.Label()))
		for _, l := range strings.Split(sp.Torqued.Is.Working, "\n") {
			b.lines(b.left+4.5, b.wrap(cell, b.wide()-4.5, strings.ReplaceAll(l, " =  = ", " = ")))
		}
		b.y += 2
	}
}
