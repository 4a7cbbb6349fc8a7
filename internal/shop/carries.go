package shop

import (
	"fmt"
	"slices"

	"endfloat/calc/spline"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
)

// carries tells which variants a stated torque of the engine rules out: those
// whose spline or dogs would be pressed harder than the gearbox file allows, in
// the lowest of the speeds that they carry. Only what the file gives sizes for is
// judged; the rest of the gearbox is a matter for the comparison of strength.
func carries(d *Desk, torque string) (func(position, variant string) string, error) {
	nm, _ := unit.Find("N·m", unit.KindTorque)
	q, err := unit.Parse(torque, unit.KindTorque, nm)
	if err != nil || q.SI <= 0 {
		return nil, wrap(ErrInvalid, "torque to carry: %q was read, a torque such as 180 N·m is expected", torque)
	}
	if d.Box.Strength == nil || len(d.Box.Strength.Joints) == 0 {
		return nil, wrap(ErrInvalid, "torque to carry: the gearbox file of %s gives no joint with what it allows; add it under \"strength\"", d.Box.Name)
	}
	return func(position, variant string) string {
		for _, j := range d.Box.Strength.Joints {
			if j.Position == position {
				return tooWeak(d.Box, &j, d.Opened.Series, variant, q.SI)
			}
		}
		return ""
	}, nil
}

func tooWeak(box *gearbox.Box, j *gearbox.Joint, series, variant string, engine float64) string {
	p, _ := box.Position(j.Position)
	as := box.As(series)
	if variant != "" {
		as.Variants[j.Position] = variant
	}
	t := engine * ratioAt(box, j, p, as)
	share, ok := j.Share.SI(as)
	if !ok {
		share = spline.Usual
	}
	allows, ok := j.Allows.SI(as)
	var pressure float64
	var err error
	if j.Kind == "dogs" {
		r, ok1 := j.Radius.SI(as)
		a, ok2 := j.Contact.SI(as)
		ok = ok && ok1 && ok2
		pressure, err = spline.Dogs{Count: j.Teeth, Radius: r, Contact: a, Root: a, Share: share}.Pressure(t)
	} else {
		in, ok1 := j.Inner.SI(as)
		out, ok2 := j.Outer.SI(as)
		length, ok3 := j.Length.SI(as)
		ok = ok && ok1 && ok2 && ok3
		pressure, err = spline.Spline{Teeth: j.Teeth, Inner: in, Outer: out, Length: length, Share: share}.Pressure(t)
	}
	if !ok || err != nil || pressure <= allows {
		return ""
	}
	is := p.Label()
	if variant != "" {
		is += " (" + variant + ")"
	}
	return fmt.Sprintf("%s would be pressed with %.0f MPa by %.0f N·m of the engine, and %.0f MPa are allowed", is, pressure/1e6, engine, allows/1e6)
}

// ratioAt is by how much the engine's torque is multiplied at a joint, in the
// lowest of the speeds it carries.
func ratioAt(box *gearbox.Box, j *gearbox.Joint, at *gearbox.Position, as gearbox.Built) float64 {
	most := 1.0
	for _, g := range box.Meshes {
		driver, ok1 := box.Position(g.Driver)
		driven, ok2 := box.Position(g.Driven)
		if !ok1 || !ok2 || driver.Carrier == at.Carrier || len(j.Carries) > 0 && !slices.Contains(j.Carries, g.Speed) {
			continue
		}
		z1, ok1 := driver.Dimension("teeth", as)
		z2, ok2 := driven.Dimension("teeth", as)
		if ok1 && ok2 && z1 > 0 {
			most = max(most, z2/z1)
		}
	}
	return most
}
