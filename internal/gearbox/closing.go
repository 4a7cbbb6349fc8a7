package gearbox

import (
	"slices"

	"endfloat/calc/unit"

	"github.com/goccy/go-yaml/token"
)

// HotFit is what a shrink fit is worked out from: the seat, how tight it is and
// how hot the outer part may become.
type HotFit struct {
	Seat, Interference, Slip, Rim, Length Value // diameters, lengths, SI
	Ceiling                               Value // °C, never hotter
	Outer, Inner                          Value // metals, steel unless said
	Carry, Soak                           Value // seconds from the oven to the seat; seconds in it
}

// Rotation says which way things turn, so that the sense of the outputs can be
// worked out from the teeth. All is seen along the gearbox, never along a
// vehicle, which may carry it either way round.
type Rotation struct {
	Input string // clockwise or anticlockwise, seen from the front end at the input
	Side  Value  // left or right: where the crown wheel lies, looking from the rear toward the front
	Head  string // front or rear: which way the pinion's head points
	Goes  string // front or rear: where the wheels roll in the forward speeds
}

// Closing is what is tested and told before a unit leaves.
type Closing struct {
	Leak     *Leak
	Oil      *Oil
	Spin     string   // how it is spun, in words; "" = not asked for
	Shift    bool     // every gate is tried
	Fitting  []string // for whoever puts it in
	BreakIn  []string // how it is run in
	Warranty string
}

// Leak is the air test: the pressure, how long, and the most that may be lost.
type Leak struct {
	Pressure, Drop, Time Value // Pa, Pa, s
	From                 string
}

// Oil is the fill by variant.
type Oil struct {
	Volume, Rule, Grade Value // m³, in words, in words
	From                string
}

// Minutes is how long a position takes to fit, of which taking it off again
// counts as much; false where the file does not say.
func (p *Position) Minutes() (float64, bool) { return p.minutes, p.minutes > 0 }

// Usual times of a part that the file gives none for: common practice, no source.
const UsualMinutes = 8.0

func (d *draft) bench(f *fields, pos *Position) {
	pos.minutes = float64(f.whole("minutes", 0, 1, 2000))
	pos.People = f.whole("people", 1, 1, 6)
	if q := f.take("only"); q != nil {
		pos.Only = scalarText(q.val)
		d.oneOf(q.tok, "position "+pos.ID+": only", pos.Only, "owner", "hand")
	}
	pos.Push = f.text("push")
	p := f.take("hot fit")
	if p == nil {
		return
	}
	g := d.fields(p.val, "hot fit of "+pos.ID)
	mm, s := millimetre(), second()
	celsius, _ := unit.Find("°C", unit.KindTemperature)
	pos.Hot = &HotFit{
		Seat: d.value(g, "seat", unit.KindLength, mm, pos), Interference: d.value(g, "interference", unit.KindLength, mm, pos),
		Slip: d.value(g, "slip", unit.KindLength, mm, pos), Rim: d.value(g, "rim", unit.KindLength, mm, pos),
		Length: d.value(g, "length", unit.KindLength, mm, pos), Ceiling: d.value(g, "ceiling", unit.KindTemperature, celsius, pos),
		Outer: d.word(g, "outer", pos), Inner: d.word(g, "inner", pos),
		Carry: d.value(g, "carry", unit.KindTime, s, pos), Soak: d.value(g, "soak", unit.KindTime, s, pos),
	}
	g.rest()
	if !pos.HeatTo.Known() {
		d.fault(p.tok, "position %s has a hot fit and no \"heat to\"; write the temperature it is heated to", pos.ID)
	}
	for _, v := range []Value{pos.Hot.Outer, pos.Hot.Inner} {
		for _, m := range values(v) {
			if _, ok := Expansion(m); !ok {
				d.fault(p.tok, "hot fit of %s: metal %q is not known; %s", pos.ID, m, offer(m, Metals()))
			}
		}
	}
}

func second() unit.Unit {
	s, _ := unit.Find("s", unit.KindTime)
	return s
}

// oneOf faults on a word that is none of the list; an empty one was not written.
func (d *draft) oneOf(at *token.Token, what, word string, list ...string) {
	if word != "" && !slices.Contains(list, word) {
		d.fault(at, "%s is %q; %s", what, word, offer(word, list))
	}
}

func (d *draft) rotation(f *fields) {
	p := f.take("rotation")
	if p == nil {
		return
	}
	g := d.fields(p.val, "rotation")
	r := &Rotation{Input: g.text("input"), Side: d.word(g, "crown wheel", nil), Head: g.text("pinion head"), Goes: g.text("goes")}
	g.rest()
	d.oneOf(p.tok, "rotation: input", r.Input, "clockwise", "anticlockwise")
	d.oneOf(p.tok, "rotation: pinion head", r.Head, "front", "rear")
	d.oneOf(p.tok, "rotation: goes", r.Goes, "front", "rear")
	for _, w := range values(r.Side) {
		d.oneOf(p.tok, "rotation: crown wheel", w, "left", "right")
	}
	d.box.Rotation = r
}

func (d *draft) closing(f *fields) {
	p := f.take("closing")
	if p == nil {
		return
	}
	g := d.fields(p.val, "closing")
	c := &Closing{Spin: g.text("spin"), Shift: g.yes("shift"), Fitting: g.texts("fitting"), BreakIn: g.texts("break-in"), Warranty: g.text("warranty")}
	if q := g.take("leak"); q != nil {
		h := d.fields(q.val, "leak test")
		bar, _ := unit.Find("bar", unit.KindPressure)
		c.Leak = &Leak{Pressure: d.value(h, "pressure", unit.KindPressure, bar, nil), Drop: d.value(h, "drop", unit.KindPressure, bar, nil),
			Time: d.value(h, "time", unit.KindTime, second(), nil), From: h.text("from")}
		h.rest()
		if !c.Leak.Pressure.Known() || !c.Leak.Time.Known() || c.Leak.From == "" {
			d.fault(q.tok, "leak test: give its pressure, its time and where they stand, such as {pressure: 0.20 bar, time: 10 min, from: booklet 41}")
		}
	}
	if q := g.take("oil"); q != nil {
		h := d.fields(q.val, "oil")
		l, _ := unit.Find("L", unit.KindVolume)
		c.Oil = &Oil{Volume: d.value(h, "volume", unit.KindVolume, l, nil), Rule: d.word(h, "rule", nil), Grade: d.word(h, "grade", nil), From: h.text("from")}
		h.rest()
		if !c.Oil.Volume.Known() || c.Oil.From == "" {
			d.fault(q.tok, "oil: give its volume and where it stands, such as {volume: 2.1 L, from: booklet 40}")
		}
	}
	g.rest()
	d.box.Closing = c
}
