package gearbox

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"endfloat/calc/unit"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// draft is a box being read, with what can only be checked once it is whole.
type draft struct {
	*reader
	box   *Box
	later []func()
	seen  map[string]*token.Token // where each id stands
}

// Read reads and checks the text of a gearbox file. file is its name, for the
// faults. The error is Faults when the text is at fault.
func Read(file string, text []byte) (*Box, error) { return read(file, text, nil) }

func read(file string, text []byte, found []Found) (*Box, error) {
	r := &reader{file: file, lines: strings.Split(string(text), "\n")}
	root := r.tree(text)
	if root == nil {
		return nil, r.faults
	}
	sum := sha256.Sum256(text)
	d := &draft{reader: r, seen: map[string]*token.Token{}, box: &Box{
		Text: text, Hash: hex.EncodeToString(sum[:]),
		byID: map[string]*Position{}, byName: map[string]*Measure{},
	}}
	d.top(root)
	d.splice(found)
	for _, check := range d.later {
		check()
	}
	if len(r.faults) == 0 {
		d.acyclic()
	}
	if len(r.faults) > 0 {
		slices.SortStableFunc(r.faults, func(a, b Fault) int { return a.Line - b.Line })
		return nil, r.faults
	}
	return d.box, nil
}

func (d *draft) top(root ast.Node) {
	f := d.fields(root, "the gearbox file")
	version := f.take("endfloat")
	switch {
	case version == nil:
		d.fault(root.GetToken(), "this does not say that it is a gearbox file; begin it with \"endfloat: %d\"", Format)
		return
	case scalarText(version.val) != fmt.Sprint(Format):
		d.fault(version.val.GetToken(), "format %s is not known here; this program reads format %d. A newer program may read it", scalarText(version.val), Format)
		return
	}
	b := d.box
	if b.Name = f.text("gearbox"); b.Name == "" {
		d.fault(root.GetToken(), "the type has no name; write \"gearbox: …\" under the first line")
	}
	b.About = f.text("about")
	if u := f.text("units"); u != "" && u != "mm" {
		d.fault(f.take("units").tok, "units is %q; plain numbers are mm: write others with their unit, such as 1.375 in", u)
	}
	d.each(f, "sources", func(p pair) {
		g := d.fields(p.val, "source "+p.key)
		b.Sources = append(b.Sources, Source{Key: p.key, Title: g.text("title"), Year: g.whole("year", 0, 1500, 2500)})
		g.rest()
	})
	d.each(f, "series", func(p pair) {
		g := d.fields(p.val, "series "+p.key)
		b.Series = append(b.Series, Series{Name: p.key, Years: g.text("years"), Note: g.text("note")})
		g.rest()
	})
	d.each(f, "features", func(p pair) {
		b.Features = append(b.Features, Feature{Name: p.key, Values: d.texts(p.val, "feature "+p.key)})
	})
	d.each(f, "carriers", d.carrier)
	if len(b.Carriers) == 0 {
		d.fault(root.GetToken(), "there are no carriers; list the positions of at least one shaft or case")
	}
	d.each(f, "measure", func(p pair) { d.name(p.tok, d.measure(p, nil)) })
	d.each(f, "settings", d.setting)
	d.rules(f)
	d.meshes(f)
	d.final(f)
	d.rotation(f)
	d.closing(f)
	d.strength(f)
	f.rest()
}

// each runs fn for every entry under a key.
func (d *draft) each(f *fields, key string, fn func(pair)) {
	if p := f.take(key); p != nil {
		for _, q := range d.pairs(p.val, key) {
			fn(q)
		}
	}
}

func (d *draft) id(p pair, what string) bool {
	if p.key == "" || len(p.key) > 12 || strings.ContainsAny(p.key, " ./+-,:[]{}") {
		d.fault(p.tok, "%s id %q; use up to 12 letters and digits without spaces, such as P08", what, clip(p.key))
		return false
	}
	if t, ok := d.seen[p.key]; ok {
		d.fault(p.tok, "the id %s already stands on line %d; ids are never used twice", p.key, t.Position.Line)
		return false
	}
	d.seen[p.key] = p.tok
	return true
}

func (d *draft) carrier(p pair) {
	if !d.id(p, "carrier") {
		return
	}
	f := d.fields(p.val, "carrier "+p.key)
	c := &Carrier{ID: p.key, Name: f.text("name"), Kind: f.text("kind"), Ends: f.texts("ends"), Off: f.text("comes off"), Metal: f.text("metal")}
	if c.Name == "" {
		c.Name = p.key
	}
	if n := len(c.Ends); n != 0 && n != 2 {
		d.fault(p.tok, "carrier %s has %d ends; name two, in the order in which its positions are listed", p.key, n)
	}
	if c.Kind == "" && len(c.Ends) == 2 {
		c.Kind = "shaft"
	}
	if c.Off == "" && len(c.Ends) == 2 {
		c.Off = c.Ends[1]
	}
	if c.Off != "" && !slices.Contains(c.Ends, c.Off) {
		d.fault(f.take("comes off").tok, "carrier %s has no end %q; %s", p.key, c.Off, offer(c.Off, c.Ends))
	}
	d.box.Carriers = append(d.box.Carriers, c)
	d.each(f, "order", func(q pair) { d.position(c, q) })
	if len(c.Order) == 0 {
		d.fault(p.tok, "carrier %s has no positions; list them under \"order:\"", p.key)
	}
	f.rest()
}

func (d *draft) position(c *Carrier, p pair) {
	if !d.id(p, "position") {
		return
	}
	pos := &Position{ID: p.key, Carrier: c, Index: len(c.Order), Count: 1}
	c.Order = append(c.Order, pos)
	d.box.byID[p.key] = pos
	if !isMap(p.val) {
		if !isNull(p.val) {
			pos.Name = strings.TrimSpace(scalarText(p.val))
		}
		return
	}
	f := d.fields(p.val, "position "+p.key)
	pos.Name, pos.Kind = f.text("name"), f.text("kind")
	pos.Count = f.whole("count", 1, 1, 999)
	pos.Around, pos.Inside, pos.From = f.text("around"), f.text("inside"), f.text("from")
	pos.After, pos.Covers = f.texts("after"), f.texts("covers")
	pos.Mark, pos.Once, pos.Hidden = f.text("mark"), f.yes("once"), f.text("hidden")
	pos.Care, pos.Note = f.texts("care"), f.text("note")
	pos.LeftHand = f.yes("left hand")
	d.facing(f, pos)
	mm := millimetre()
	pos.Width = d.value(f, "width", unit.KindLength, mm, pos)
	pos.Bore = d.value(f, "bore", unit.KindLength, mm, pos)
	pos.OD = d.value(f, "od", unit.KindLength, mm, pos)
	pos.Teeth = d.value(f, "teeth", unit.Number, unit.Unit{}, pos)
	celsius, _ := unit.Find("°C", unit.KindTemperature)
	pos.HeatTo = d.value(f, "heat to", unit.KindTemperature, celsius, pos)
	nm, _ := unit.Find("N·m", unit.KindTorque)
	pos.Torque = d.value(f, "torque", unit.KindTorque, nm, pos)
	pos.Thread, pos.Lock, pos.Method = d.word(f, "thread", pos), d.word(f, "lock", pos), d.word(f, "tighten", pos)
	d.bench(f, pos)
	d.each(f, "dimensions", func(q pair) {
		pos.Values = append(pos.Values, Named{q.key, d.read(q.val, q.key, unit.KindLength, mm, pos)})
	})
	for _, ft := range d.box.Features {
		if q := f.take(ft.Name); q != nil {
			pos.Features = append(pos.Features, Named{ft.Name, d.featureValue(q.val, ft, pos)})
		}
	}
	d.each(f, "variants", func(q pair) { d.variant(pos, q) })
	d.each(f, "check", func(q pair) {
		m := d.measure(q, pos)
		pos.Checks = append(pos.Checks, m)
		d.name(q.tok, m)
	})
	if pos.Kind == "seat" || f.take("pieces") != nil || f.take("stock") != nil {
		pos.Seat = &Seat{Max: f.whole("pieces", 4, 1, 12), Stock: f.text("stock"), Grind: f.yes("ground"), Crush: f.yes("crushed sleeve")}
		v := d.value(f, "thinnest", unit.KindLength, mm, pos)
		t, _ := v.SI(Built{})
		pos.Seat.Thinnest = unit.Length(t)
	}
	f.rest()
	d.later = append(d.later, func() { d.checkPosition(pos, p.tok) })
}

func (d *draft) facing(f *fields, pos *Position) {
	p := f.take("faces")
	if p == nil {
		return
	}
	if !isMap(p.val) {
		if scalarText(p.val) != "either way" {
			d.fault(p.val.GetToken(), "position %s: faces is %q; write \"either way\", or a face and what it faces such as {cone: nut}", pos.ID, scalarText(p.val))
		}
		pos.Either = true
		return
	}
	for _, q := range d.pairs(p.val, "faces") {
		pos.Faces = append(pos.Faces, Facing{q.key, scalarText(q.val)})
	}
}

func (d *draft) variant(pos *Position, p pair) {
	v := Variant{Name: p.key}
	f := d.fields(p.val, "variant "+p.key+" of "+pos.ID)
	v.Series = f.text("series")
	for _, dim := range []string{"width", "bore", "od", "teeth"} {
		k, u := unit.KindLength, millimetre()
		if dim == "teeth" {
			k, u = unit.Number, unit.Unit{}
		}
		if q := f.take(dim); q != nil {
			v.Values = append(v.Values, Named{dim, d.read(q.val, dim, k, u, pos)})
		}
	}
	for _, n := range pos.Values {
		if q := f.take(n.Name); q != nil {
			v.Values = append(v.Values, Named{n.Name, d.read(q.val, n.Name, unit.KindLength, millimetre(), pos)})
		}
	}
	for _, ft := range d.box.Features {
		if q := f.take(ft.Name); q != nil {
			v.Values = append(v.Values, Named{ft.Name, d.featureValue(q.val, ft, pos)})
		}
	}
	f.rest()
	if v.Series != "" && !d.box.HasSeries(v.Series) {
		d.fault(p.tok, "variant %s of %s names series %q, which is not listed under series", p.key, pos.ID, v.Series)
	}
	pos.Variants = append(pos.Variants, v)
}

func (d *draft) featureValue(n ast.Node, ft Feature, pos *Position) Value {
	v := d.readText(n, ft.Name, pos)
	check := func(text string) {
		if !slices.Contains(ft.Values, text) {
			d.fault(n.GetToken(), "%s of %s is %q; %s", ft.Name, pos.ID, text, offer(text, ft.Values))
		}
	}
	if v.all != nil {
		check(v.all.text)
	}
	for _, s := range v.when {
		check(s.text)
	}
	return v
}

// value reads a keyed number under a key, the zero Value when it is not there.
func (d *draft) value(f *fields, key string, k unit.Kind, def unit.Unit, pos *Position) Value {
	p := f.take(key)
	if p == nil || isNull(p.val) {
		return Value{}
	}
	return d.read(p.val, key, k, def, pos)
}

func (d *draft) word(f *fields, key string, pos *Position) Value {
	p := f.take(key)
	if p == nil || isNull(p.val) {
		return Value{}
	}
	return d.readText(p.val, key, pos)
}

func (d *draft) read(n ast.Node, what string, k unit.Kind, def unit.Unit, pos *Position) Value {
	return d.keyed(n, what, pos, func(n ast.Node) scalar {
		s, err := number(scalarText(n), k, def)
		if err != nil {
			d.fault(n.GetToken(), "%s: %v", what, err)
		}
		if k == unit.KindLength && (s.si > 5 || s.si < -5) {
			d.fault(n.GetToken(), "%s is %s, which is longer than any gearbox; is the unit right?", what, scalarText(n))
		}
		return s
	})
}

func (d *draft) readText(n ast.Node, what string, pos *Position) Value {
	return d.keyed(n, what, pos, func(n ast.Node) scalar { return scalar{text: strings.TrimSpace(scalarText(n))} })
}

// keyed reads a scalar, or a table of them keyed by series, by the variants of
// the position itself, or by those of the position that "by" names.
func (d *draft) keyed(n ast.Node, what string, pos *Position, one func(ast.Node) scalar) Value {
	if !isMap(n) {
		s := one(n)
		return Value{all: &s}
	}
	v := Value{when: map[string]scalar{}}
	type key struct {
		name string
		tok  *token.Token
	}
	var keys []key
	for _, p := range d.pairs(n, what) {
		if p.key == "by" {
			v.own = scalarText(p.val)
			continue
		}
		v.when[p.key] = one(p.val)
		keys = append(keys, key{p.key, p.tok})
	}
	if len(keys) == 0 {
		d.fault(n.GetToken(), "%s: expected a value, or values keyed by series or variant", what)
		return v
	}
	if v.own == "" && !d.box.HasSeries(keys[0].name) && pos != nil {
		v.own = pos.ID
	}
	own := v.own
	d.later = append(d.later, func() {
		for _, k := range keys {
			d.checkKey(k.tok, what, own, k.name)
		}
	})
	return v
}

func (d *draft) checkKey(at *token.Token, what, own, key string) {
	if own == "" {
		var names []string
		for _, s := range d.box.Series {
			names = append(names, s.Name)
		}
		if !slices.Contains(names, key) {
			d.fault(at, "%s: no series %q; %s", what, key, offer(key, names))
		}
		return
	}
	p, ok := d.box.byID[own]
	if !ok {
		d.fault(at, "%s is keyed by %s, which is no position", what, own)
		return
	}
	if _, ok := p.Variant(key); !ok {
		d.fault(at, "%s: %s has no variant %q; %s", what, own, key, offer(key, variantNames(p)))
	}
}

func variantNames(p *Position) []string {
	var names []string
	for _, v := range p.Variants {
		names = append(names, v.Name)
	}
	return names
}
