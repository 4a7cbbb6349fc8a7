package shop

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

// longest is the longest length that can be read on a gearbox, in metres.
const longest = 3.0

// read completes a set of readings: what was typed becomes SI, the instrument
// gives its uncertainty, and what is implausible is questioned.
func (o *order) read(b job.Read) error {
	if err := need(b.What, "reading", "say what was measured"); err != nil {
		return err
	}
	b.Values = slices.DeleteFunc(slices.Clone(b.Values), func(v string) bool { return strings.TrimSpace(v) == "" })
	if len(b.Values) == 0 && len(b.Dial) == 0 {
		return wrap(ErrInvalid, "%s: nothing was typed; write a value such as 18.87 mm", b.What)
	}
	kind, def, m, err := o.asked(&b)
	if err != nil {
		return err
	}
	if len(b.Dial) > 0 {
		if err := swing(&b, kind, def); err != nil {
			return err
		}
	}
	b.SI = nil
	for i, text := range b.Values {
		q, err := unit.Parse(unit.Undress(text), kind, def)
		if err != nil {
			return wrap(ErrInvalid, "%s, reading %d: %v", b.What, i+1, err)
		}
		if kind == unit.KindLength && math.Abs(q.SI) > longest {
			return wrap(ErrInvalid, "%s, reading %d: %s is %.0f m, longer than any gearbox; is the unit right?", b.What, i+1, text, q.SI)
		}
		if q.U > 0 && b.U == 0 {
			b.U = q.U
		}
		b.SI = append(b.SI, q.SI)
		if b.Unit == "" {
			b.Unit = q.Unit.Symbol
		}
	}
	if err := o.plausible(b, m, def); err != nil {
		return err
	}
	o.body = b
	return nil
}

// asked finds the quantity that is read and the unit plain numbers are in: the
// instrument's, else the one that the gearbox file names.
func (o *order) asked(b *job.Read) (unit.Kind, unit.Unit, *gearbox.Measure, error) {
	kind, def := unit.KindLength, unit.Unit{}
	typed := b.With != ""
	var m *gearbox.Measure
	if o.desk.Box != nil {
		if m, _ = o.desk.Box.Measure(b.What); m != nil {
			b.What, kind, def = m.Name, m.Kind, m.Unit
			if b.With == "" {
				b.With = m.With
			}
		}
	}
	if usual, ok := gearbox.Usual(b.What); ok && m == nil {
		m, b.What, kind = usual, usual.Name, usual.Kind
		if kind == unit.Number {
			def = usual.Unit
		} else if u, ok := unit.Find(b.Unit, kind); ok {
			def = u // said by whoever asked; a plain number without it is questioned
		}
		if b.With == "" {
			b.With = m.With
		}
	}
	ins, known := o.desk.Stores.Instruments[b.With]
	if typed && !known {
		return 0, def, nil, wrap(ErrInvalid, "instrument %q is not in the stores; add it with its uncertainty first", b.With)
	}
	if !known {
		return kind, def, m, nil
	}
	k, ok := unit.KindOf(ins.Quantity)
	if !ok || m != nil && k != kind {
		return kind, def, m, nil // a torque read with a scale: the file's unit holds
	}
	kind = k
	if u, ok := unit.Find(ins.Unit, k); ok {
		def = u
	}
	b.U, b.Common = ins.U, ins.Common
	return kind, def, m, nil
}

// plausible questions a value 25.4 times off what is expected, or a hundred:
// typed again with "sure" it stands.
func (o *order) plausible(b job.Read, m *gearbox.Measure, def unit.Unit) error {
	if b.Sure || m == nil {
		return nil
	}
	want := o.expected(m)
	if want == 0 {
		return nil
	}
	for i, v := range b.SI {
		ratio := math.Abs(v / want)
		for _, f := range []float64{25.4, 1 / 25.4} {
			if math.Abs(ratio/f-1) < 0.25 && kindOfLength(m) {
				return wrap(ErrInvalid, "%s, reading %d: %s is about 25.4 times off what is expected (%s). Inch or millimetre? Type it with its unit, or say you are sure", b.What, i+1, b.Values[i], show(want, def))
			}
		}
		if ratio > 100 {
			return wrap(ErrInvalid, "%s, reading %d: %s is %.0f times what is expected (%s); check the unit and the point, or say you are sure", b.What, i+1, b.Values[i], ratio, show(want, def))
		}
	}
	return nil
}

func kindOfLength(m *gearbox.Measure) bool { return m.Kind == unit.KindLength }

func show(si float64, u unit.Unit) string {
	if u.Factor == 0 {
		return fmt.Sprint(si)
	}
	return unit.Format(si, u, 2)
}

// expected is a figure of the right size: an earlier reading, else the middle
// of the limits.
func (o *order) expected(m *gearbox.Measure) float64 {
	if rs := o.desk.ReadingsOf(m.Name); len(rs) > 0 && len(rs[len(rs)-1].Is.SI) > 0 {
		return math.Abs(rs[len(rs)-1].Is.SI[0])
	}
	if m.Limit == nil {
		return 0
	}
	lo, hi, hasLo, hasHi := m.Limit.Band.At(o.desk.Built)
	switch {
	case hasLo && hasHi:
		return math.Abs(lo+hi) / 2
	case hasLo:
		return math.Abs(lo)
	case hasHi:
		return math.Abs(hi)
	}
	return 0
}

func (o *order) instrument(b job.Instrument) error {
	k, ok := unit.KindOf(b.Quantity)
	if !ok {
		return wrap(ErrInvalid, "instrument %s: quantity %q is not known", b.Name, b.Quantity)
	}
	if _, ok := unit.Find(b.Unit, k); !ok {
		return wrap(ErrInvalid, "instrument %s: %q is no unit of %s", b.Name, b.Unit, k)
	}
	if !(b.U > 0) || b.Common < 0 || b.Common > 1 {
		return wrap(ErrInvalid, "instrument %s: give the standard uncertainty of one reading, above 0, and the share that repeats have in common, from 0 to 1", b.Name)
	}
	return need(b.Name, "instrument", "give it a name")
}

// measurePiece reads the thickness of a piece as typed.
func measurePiece(p *job.Piece, d *Desk) error {
	if p.Thick == "" {
		return nil
	}
	mm, _ := unit.Find("mm", unit.KindLength)
	q, err := unit.Parse(p.Thick, unit.KindLength, mm)
	if err != nil {
		return wrap(ErrInvalid, "piece %s: %v", p.Tag, err)
	}
	if !(q.SI > 0) || q.SI > 0.2 {
		return wrap(ErrInvalid, "piece %s: a thickness of %s is not a shim's or a spacer's; is the unit right?", p.Tag, p.Thick)
	}
	p.SI = q.SI
	if q.U > 0 {
		p.U = q.U
	}
	if p.U == 0 {
		if ins, ok := d.Stores.Instruments["outside micrometer"]; ok {
			p.U = ins.U
		}
	}
	return nil
}
