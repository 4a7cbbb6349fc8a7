package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/press"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// Heat is what to know of a part before the oven is opened. Temperatures are in
// °C, times in seconds.
type Heat struct {
	Target  float64 // of the outer part as it meets the inner one
	Oven    float64 // what the oven must show, which allows for the way
	Ceiling float64 // 0 = none given
	Inner   float64 // of the inner part
	InAir   float64 // from the oven until it no longer goes on; 0 = not worked out
	OnSeat  float64 // once it touches; 0 = not worked out, or it stays loose
	Soak    float64
	Push    string
	TooHot  bool   // the oven would stand above the ceiling
	Cannot  string // why it cannot be worked out
}

// warmEnough is how far below its target a part may be: what an oven's own
// thermometer is not sure of. Common practice, no source.
const warmEnough = 3.0

// usualSoak is the time in the oven where the file gives none: common practice,
// no source.
const usualSoak = 30 * 60

// workshop is the temperature of a workshop where nothing else is said.
const workshop = 20.0

// HeatFor works out the heat of a fit, with the inner part at that temperature.
// false where the part is not heated.
func (v *View) HeatFor(p *gearbox.Position, inner float64) (Heat, bool) {
	target, ok := p.HeatTo.SI(v.Built)
	if !ok {
		return Heat{}, false
	}
	h := Heat{Target: target, Oven: target, Inner: inner, Soak: usualSoak, Push: p.Push}
	if p.Hot == nil {
		return h, true
	}
	if s, ok := p.Hot.Soak.SI(v.Built); ok {
		h.Soak = s
	}
	h.Ceiling, _ = p.Hot.Ceiling.SI(v.Built)
	a, ok := v.assembly(p.Hot, inner)
	if !ok {
		return h, true
	}
	c, err := a.Card()
	if err != nil {
		h.Cannot = err.Error()
		return h, true
	}
	h.Target, h.Oven, h.InAir, h.TooHot = float64(c.Meet), float64(c.Oven), c.InAir, c.TooHot
	if !c.StaysLoose {
		h.OnSeat = c.OnSeat
	}
	return h, true
}

func (v *View) assembly(f *gearbox.HotFit, inner float64) (press.Assembly, bool) {
	get := func(x gearbox.Value) unit.Length { s, _ := x.SI(v.Built); return unit.Length(s) }
	a := press.Assembly{Joint: press.Joint{Seat: get(f.Seat), Rim: get(f.Rim), Length: get(f.Length)}, Interference: get(f.Interference), Slip: get(f.Slip),
		Room: workshop, Inner: unit.Temperature(inner), Ceiling: press.Ceilings()[0].Limit, Air: press.StillAir, Contact: press.Touching}
	if c, ok := f.Ceiling.SI(v.Built); ok {
		a.Ceiling = unit.Temperature(c)
	}
	a.Carry, _ = f.Carry.SI(v.Built)
	list := press.Materials()
	for _, m := range []struct {
		of gearbox.Value
		to *press.Material
	}{{f.Outer, &a.Hub}, {f.Inner, &a.Shaft}} {
		name := m.of.Text(v.Built)
		if name == "" {
			name = "steel"
		}
		found, ok := press.Find(list, name)
		if !ok {
			return a, false
		}
		*m.to = found
	}
	return a, a.Seat > 0 && a.Rim > a.Seat && a.Length > 0 && a.Interference > 0
}

// heated is the last time the part of a position was out of the oven and has not
// been on since, nil when it was not.
func (v *View) heated(id string) *job.Done[job.Heated] {
	if sp := v.Spots[id]; sp != nil && sp.Heated != nil && sp.Heated.Seq > sp.Changed {
		return sp.Heated
	}
	return nil
}

// coldHolds keep a hot part from being tried on cold. They are told once all
// that lies under it is on.
func (v *View) coldHolds() []Finding {
	var out []Finding
	for _, p := range v.Box.All() {
		sp := v.Spots[p.ID]
		if !p.HeatTo.Known() || sp == nil || v.aboard(p.ID) || slices.ContainsFunc(v.Box.Under(p.ID), func(q *gearbox.Position) bool { return !v.aboard(q.ID) }) {
			continue
		}
		if says, rests, mend := v.cold(p); says != "" {
			out = append(out, Finding{Kind: Hold, Key: Key("hold", "heat", p.ID), About: p.ID, Says: says, Rests: rests, Mend: mend, Before: []string{p.ID}})
		}
	}
	return out
}

// cold says why a part may not be tried on as warm as it was.
func (v *View) cold(p *gearbox.Position) (says, rests, mend string) {
	h, ok := v.HeatFor(p, workshop)
	if !ok {
		return
	}
	e := v.heated(p.ID)
	if e == nil {
		return p.Label() + " is not out of the oven yet", "it is fitted at " + celsius(h.Target), "open its heat card, then say what the oven shows"
	}
	if e.Is.InnerSI != nil {
		h, _ = v.HeatFor(p, *e.Is.InnerSI)
	}
	rests = fmt.Sprintf("entry %d", e.Seq)
	switch {
	case h.Ceiling > 0 && e.Is.SI > h.Ceiling:
		return fmt.Sprintf("%s was at %s, over its ceiling of %s", p.Label(), celsius(e.Is.SI), celsius(h.Ceiling)), rests,
			"look at its colour and hardness, and take another if in doubt"
	case e.Is.SI < h.Oven-warmEnough:
		return fmt.Sprintf("%s was only at %s: it would grip half-way", p.Label(), celsius(e.Is.SI)), rests, "bring it to " + celsius(h.Oven)
	}
	return
}

func celsius(t float64) string {
	return strings.Replace(fmt.Sprintf("%.0f °C", math.Round(t)), "-", "−", 1)
}

// heatStep asks for a part to be warmed, waiting for all that its fitting waits
// for, so that nothing lies warm with nowhere to go.
func (v *View) heatStep(p *gearbox.Position) (Step, bool) {
	if says, _, _ := v.cold(p); says == "" || v.Passed[Key("hold", "heat", p.ID)] > v.since(Finding{Kind: Hold, About: p.ID}) {
		return Step{}, false
	}
	h, _ := v.HeatFor(p, workshop)
	return Step{Do: "heat", Position: p, Title: fmt.Sprintf("Heat %s to %s", p.Label(), celsius(h.Oven)),
		Waits: v.fitWaits(p, true), Care: []string{"hot"}, Minutes: h.Soak / 60, People: 1}, true
}
