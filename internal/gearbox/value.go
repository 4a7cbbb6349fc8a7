package gearbox

import (
	"fmt"
	"maps"
	"slices"
	"sort"
	"strings"
	"sync"

	"endfloat/calc/press"
	"endfloat/calc/unit"
)

// Built is what a unit is built as: its series, and the variant at each
// position where that is known.
type Built struct {
	Series   string
	Variants map[string]string // by position id
}

// Value is a value of the file that may depend on the series, on the variant
// at its own position, or on the variant at another one. The zero Value is
// not known.
type Value struct {
	own  string // position whose variant keys it, "" = series
	all  *scalar
	when map[string]scalar
}

type scalar struct {
	text string
	si   float64
	u    float64
	dp   int
}

// Known reports whether anything was written.
func (v Value) Known() bool { return v.all != nil || len(v.when) > 0 }

func (v Value) at(b Built) (scalar, bool) {
	if v.all != nil {
		return *v.all, true
	}
	key := b.Series
	if v.own != "" {
		key = b.Variants[v.own]
	}
	s, ok := v.when[key]
	return s, ok
}

// SI is the number for a unit as built; false where the file does not say.
func (v Value) SI(b Built) (float64, bool) {
	s, ok := v.at(b)
	return s.si, ok
}

// Text is the value as written for a unit as built, "" where the file does not say.
func (v Value) Text(b Built) string {
	s, _ := v.at(b)
	return s.text
}

// Uncertainty is the standard uncertainty that was written beside the number.
func (v Value) Uncertainty(b Built) float64 {
	s, _ := v.at(b)
	return s.u
}

// Keys are the series or variants that the value is keyed by, sorted.
func (v Value) Keys() []string {
	var k []string
	for key := range v.when {
		k = append(k, key)
	}
	sort.Strings(k)
	return k
}

// By is the position whose variant keys the value; "" when series do.
func (v Value) By() string { return v.own }

// Band is a pair of bounds, keyed like a Value. An absent bound is not ok.
type Band struct{ Lo, Hi Value }

// Known reports whether either bound was written.
func (b Band) Known() bool { return b.Lo.Known() || b.Hi.Known() }

// At returns the bounds for a unit as built, and whether each is given.
func (b Band) At(as Built) (lo, hi float64, hasLo, hasHi bool) {
	lo, hasLo = b.Lo.SI(as)
	hi, hasHi = b.Hi.SI(as)
	return
}

// Variant returns the named variant of a position.
func (p *Position) Variant(name string) (Variant, bool) {
	for _, v := range p.Variants {
		if v.Name == name {
			return v, true
		}
	}
	return Variant{}, false
}

// Usual is the variant that the position takes in a series; "" where the file
// does not say.
func (p *Position) Usual(series string) string {
	for _, v := range p.Variants {
		if v.Series != "" && v.Series == series {
			return v.Name
		}
	}
	return ""
}

// Dimension returns a named length of the position for a unit as built: width,
// bore, od, or any other that the file names.
func (p *Position) Dimension(name string, as Built) (float64, bool) {
	v, _, ok := p.Figure(name, as)
	return v, ok
}

// Figure is Dimension with the standard uncertainty that the file writes beside
// it, 0 where it writes none.
func (p *Position) Figure(name string, as Built) (v, u float64, ok bool) {
	s, ok := p.dimension(name).at(as)
	if variant, has := p.Variant(as.Variants[p.ID]); has {
		for _, n := range variant.Values {
			if n.Name == name {
				s, ok = n.at(as)
			}
		}
	}
	return s.si, s.u, ok
}

func (p *Position) dimension(name string) Value {
	switch name {
	case "width":
		return p.Width
	case "bore":
		return p.Bore
	case "od":
		return p.OD
	case "teeth":
		return p.Teeth
	}
	for _, n := range p.Values {
		if n.Name == name {
			return n.Value
		}
	}
	return Value{}
}

// Feature returns the value of a feature for a unit as built.
func (p *Position) Feature(name string, as Built) string {
	if v, ok := p.Variant(as.Variants[p.ID]); ok {
		for _, n := range v.Values {
			if n.Name == name {
				return n.Text(as)
			}
		}
	}
	for _, n := range p.Features {
		if n.Name == name {
			return n.Text(as)
		}
	}
	return ""
}

// As returns what a unit of a series is built as when nothing else is known.
func (b *Box) As(series string) Built {
	as := Built{Series: series, Variants: map[string]string{}}
	for _, p := range b.All() {
		if u := p.Usual(series); u != "" {
			as.Variants[p.ID] = u
		}
	}
	return as
}

// metals are the words of a gearbox file for what a part is of, and the rows of
// the table of materials that they stand for. Steel is that of the instruments,
// so that steel read with steel needs no correction.
var metals = map[string]string{"steel": "gauge steel", "aluminium": "aluminium alloy", "magnesium": "magnesium", "cast iron": "grey cast iron", "bronze": "phosphor bronze"}

var expansion = sync.OnceValue(func() map[string]float64 {
	out, list := map[string]float64{}, press.Materials()
	for word, row := range metals {
		if m, ok := press.Find(list, row); ok {
			out[word] = m.Heating
		}
	}
	return out
})

// Expansion returns the coefficient of a metal near room temperature in 1/K.
func Expansion(metal string) (float64, bool) {
	a, ok := expansion()[metal]
	return a, ok
}

// Metals are the metals whose expansion is known.
func Metals() []string { return slices.Sorted(maps.Keys(metals)) }

// number reads text as a quantity of a kind, in the given default unit.
func number(text string, k unit.Kind, def unit.Unit) (scalar, error) {
	q, err := unit.Parse(text, k, def)
	if err != nil {
		return scalar{}, err
	}
	return scalar{text: strings.TrimSpace(text), si: q.SI, u: q.U, dp: q.Places}, nil
}

// millimetre is the unit of lengths in a file that names no other.
func millimetre() unit.Unit {
	u, ok := unit.Find("mm", unit.KindLength)
	if !ok {
		panic(fmt.Sprintf("unit: no %q", "mm"))
	}
	return u
}
