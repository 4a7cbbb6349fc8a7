package gearbox

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/calc/unit"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// name makes a measure findable; its names may not clash.
func (d *draft) name(at *token.Token, m *Measure) {
	key := strings.ToLower(m.Name)
	if _, ok := d.box.byName[key]; ok {
		d.fault(at, "%q is measured twice; give each its own name", m.Name)
		return
	}
	d.box.byName[key] = m
	d.box.Measures = append(d.box.Measures, m)
}

// measure reads one thing to be read; pos is the position when it is a check there.
func (d *draft) measure(p pair, pos *Position) *Measure {
	m := &Measure{Name: p.key, Kind: unit.KindLength, Repeats: 1}
	what := "measure " + p.key
	f := d.fields(p.val, what)
	if pos != nil {
		m.Name, m.Of, m.Check = pos.ID+" "+p.key, []string{pos.ID}, true
		m.Of = append(m.Of, f.texts("with part")...)
	} else {
		m.Of = f.texts("of")
	}
	m.Kind, m.Unit = d.kind(f, what)
	m.With, m.State, m.Help = f.text("by"), f.text("state"), f.text("help")
	m.Repeats, m.Places = f.whole("repeats", 1, 1, 50), f.whole("places", 0, 0, 72)
	m.Before, m.Play, m.Torqued = f.yes("before strip"), f.yes("play"), f.texts("torqued")
	m.Metal = d.word(f, "metal", pos)
	m.Limit = d.limit(f, m, pos)
	if s := d.value(f, "spread", m.Kind, m.Unit, pos); s.Known() {
		m.Spread, _ = s.SI(Built{})
	}
	f.rest()
	d.later = append(d.later, func() {
		for _, id := range m.Of {
			d.mustBe(p.tok, what, id)
		}
		for _, id := range m.Torqued {
			if q := d.mustBe(p.tok, what, id); q != nil && !q.Fastening() {
				d.fault(p.tok, "%s needs %s at torque, which has none; give it a torque", what, id)
			}
		}
		for _, t := range append(values(m.Metal), "steel") {
			if _, ok := Expansion(t); !ok {
				d.fault(p.tok, "%s: metal %q is not known; %s", what, t, offer(t, Metals()))
			}
		}
	})
	return m
}

func values(v Value) []string {
	var out []string
	if v.all != nil {
		out = append(out, v.all.text)
	}
	for _, k := range v.Keys() {
		out = append(out, v.when[k].text)
	}
	return out
}

// kind reads the quantity and its unit; a length in mm unless the file says otherwise.
func (d *draft) kind(f *fields, what string) (unit.Kind, unit.Unit) {
	name := f.text("quantity")
	if name == "" {
		return unit.KindLength, millimetre()
	}
	k, ok := unit.KindOf(name)
	if !ok {
		d.fault(f.take("quantity").tok, "%s: quantity %q is not known; use length, force, torque, number, temperature, pressure …", what, name)
	}
	us := unit.Units(k)
	u := unit.Unit{Kind: k, Factor: 1}
	if len(us) > 0 {
		u = us[0]
	}
	if s := f.text("unit"); s != "" {
		if u, ok = unit.Find(s, k); !ok {
			d.fault(f.take("unit").tok, "%s: %q is no unit of %s", what, s, k)
		}
	}
	return k, u
}

// limit reads limit, new, plan, max and min with their provenance; nil without any.
func (d *draft) limit(f *fields, m *Measure, pos *Position) *Limit {
	l := &Limit{Band: d.band(f, "limit", m, pos), New: d.band(f, "new", m, pos), Plan: d.value(f, "plan", m.Kind, m.Unit, pos), From: f.text("from"), Bad: f.text("worn")}
	if v := d.value(f, "max", m.Kind, m.Unit, pos); v.Known() {
		l.Band.Hi = v
	}
	if v := d.value(f, "min", m.Kind, m.Unit, pos); v.Known() {
		l.Band.Lo = v
	}
	if !l.Band.Known() && !l.New.Known() && !l.Plan.Known() && l.From == "" {
		return nil
	}
	if l.Plan.Known() && l.Bad != "above" && l.Bad != "below" {
		d.fault(f.take("plan").tok, "%s has a \"plan\" figure; say \"worn: below\" or \"worn: above\": is it worn when below or when above?", m.Name)
	}
	if l.From == "" && l.Band.Known() {
		d.fault(firstTok(f), "%s: the limit has no \"from\"; say where it stands, such as \"booklet 14\" or \"measured as found\"", m.Name)
	}
	return l
}

func firstTok(f *fields) *token.Token {
	if len(f.ps) == 0 {
		return nil
	}
	return f.ps[0].tok
}

func (d *draft) band(f *fields, key string, m *Measure, pos *Position) Band {
	p := f.take(key)
	if p == nil {
		return Band{}
	}
	return d.readBand(p.val, m.Name+": "+key, m.Kind, m.Unit, pos)
}

func (d *draft) readBand(n ast.Node, what string, k unit.Kind, def unit.Unit, pos *Position) Band {
	pick := func(i int) Value {
		return d.keyed(n, what, pos, func(n ast.Node) scalar {
			s, ok := n.(*ast.SequenceNode)
			if !ok || len(s.Values) != 2 {
				if i == 0 {
					d.fault(n.GetToken(), "%s: expected two bounds, such as [0.10, 0.20]", what)
				}
				return scalar{}
			}
			v, err := number(scalarText(s.Values[i]), k, def)
			if err != nil {
				d.fault(s.Values[i].GetToken(), "%s: %v", what, err)
			}
			return v
		})
	}
	b := Band{Lo: pick(0), Hi: pick(1)}
	for _, key := range append(b.Lo.Keys(), "") {
		lo, hi := b.Lo.when[key], b.Hi.when[key]
		if key == "" {
			if b.Lo.all == nil {
				continue
			}
			lo, hi = *b.Lo.all, *b.Hi.all
		}
		if lo.si > hi.si {
			d.fault(n.GetToken(), "%s: the lower bound %s is above the upper bound %s", what, lo.text, hi.text)
		}
	}
	return b
}

func (d *draft) setting(p pair) {
	what := "setting " + p.key
	s := &Setting{Name: p.key}
	f := d.fields(p.val, what)
	s.Kind, s.Unit = d.kind(f, what)
	m := &Measure{Name: p.key, Kind: s.Kind, Unit: s.Unit, Repeats: f.whole("repeats", 1, 1, 50), Places: f.whole("places", 0, 0, 72), With: f.text("by"), Of: f.texts("of")}
	s.Places = m.Places
	s.Band = d.band(f, "limit", m, nil)
	s.Wanted, s.Target = d.value(f, "wanted", s.Kind, s.Unit, nil), d.value(f, "target", s.Kind, s.Unit, nil)
	within := d.value(f, "within", s.Kind, s.Unit, nil)
	s.Within, _ = within.SI(Built{})
	spread := d.value(f, "spread", s.Kind, s.Unit, nil)
	s.Spread, _ = spread.SI(Built{})
	m.Spread, m.Play, m.Torqued = s.Spread, f.yes("play"), f.texts("torqued")
	refit := d.value(f, "refit", s.Kind, s.Unit, nil)
	s.Refit, _ = refit.SI(Built{})
	s.Sense = f.text("sense")
	turning := d.value(f, "turning reads", unit.Number, unit.Unit{}, nil)
	s.Turning, _ = turning.SI(Built{})
	if s.Sense != "" && s.Sense != "normal" && s.Sense != "turning" {
		d.fault(p.tok, "%s: sense is %q; write normal (square to the tooth) or turning (in the plane of turning)", what, s.Sense)
	}
	if (s.Sense != "") != turning.Known() || turning.Known() && !(s.Turning > 0) {
		d.fault(p.tok, "%s: \"sense\" and \"turning reads\" go together: what a dial in the plane of turning reads for 1 square to the tooth, which is 1/(cos α · cos β)", what)
	}
	if h := f.take("hot"); h != nil {
		s.Hot = d.heated(*h, s)
	}
	s.Factor = d.value(f, "factor", unit.Number, unit.Unit{}, nil)
	if s.Factor.Known() {
		s.FactorU = s.Factor.Uncertainty(Built{})
	}
	s.Etched, s.State, s.From, s.Help = f.text("plus etched"), f.text("state"), f.text("from"), f.text("help")
	s.Raises, s.Lowers, s.Proved = f.texts("raised by"), f.texts("lowered by"), f.texts("proved by")
	s.Before, s.After = f.texts("before"), f.texts("after")
	for _, t := range f.texts("chain") {
		s.Chain = append(s.Chain, d.term(p.tok, what, t))
	}
	f.rest()
	d.box.Settings = append(d.box.Settings, s)
	if (s.Band.Known() || s.Wanted.Known()) && s.From == "" {
		d.fault(p.tok, "%s: the limit has no \"from\"; say where it stands", what)
	}
	if len(s.Chain) == 0 {
		// Read as it stands: the setting is its own measure.
		s.Chain = []Term{{Sign: 1, Measure: s.Name}}
		m.Help = s.Help
		d.name(p.tok, m)
	}
	d.later = append(d.later, func() {
		for _, id := range append(m.Of, m.Torqued...) {
			d.mustBe(p.tok, what, id)
		}
		d.checkSetting(s, p.tok)
	})
}

// heated reads how a setting changes with heat.
func (d *draft) heated(p pair, s *Setting) *Heated {
	what := "setting " + s.Name + ", hot"
	f := d.fields(p.val, what)
	h := &Heated{}
	celsius, _ := unit.Find("°C", unit.KindTemperature)
	if at := d.value(f, "at", unit.KindTemperature, celsius, nil); at.Known() {
		h.At, _ = at.SI(Built{})
	} else {
		d.fault(p.tok, "%s: at what temperature? Write at: 80 °C", what)
	}
	h.Over = d.value(f, "over", unit.KindLength, millimetre(), nil)
	h.Metal = d.word(f, "metal", nil)
	h.Cups = d.value(f, "cups", s.Kind, s.Unit, nil)
	m := &Measure{Name: what, Kind: s.Kind, Unit: s.Unit}
	h.Band = d.band(f, "limit", m, nil)
	if v := d.value(f, "min", s.Kind, s.Unit, nil); v.Known() {
		h.Band.Lo = v
	}
	if v := d.value(f, "max", s.Kind, s.Unit, nil); v.Known() {
		h.Band.Hi = v
	}
	growth, pair := f.text("growth"), f.text("bearings")
	switch {
	case growth == "raises", pair == "O":
		h.Sign = 1
	case growth == "lowers", pair == "X":
		h.Sign = -1
	default:
		d.fault(p.tok, "%s: say bearings: X or bearings: O, or growth: raises or growth: lowers; which way it goes is never assumed", what)
	}
	f.rest()
	if !h.Over.Known() || !h.Metal.Known() {
		d.fault(p.tok, "%s: needs over, the length that grows, and the metal of the case", what)
	}
	for _, t := range values(h.Metal) {
		if _, ok := Expansion(t); !ok {
			d.fault(p.tok, "%s: metal %q is not known; %s", what, t, offer(t, Metals()))
		}
	}
	return h
}

// term reads one link: "+P07.width", "-Q13" or "+gauge gap".
func (d *draft) term(at *token.Token, what, text string) Term {
	t := Term{Sign: 1}
	body := text
	switch {
	case strings.HasPrefix(text, "+"):
		body = text[1:]
	case strings.HasPrefix(text, "-"), strings.HasPrefix(text, "−"):
		t.Sign, body = -1, strings.TrimLeft(text, "-−")
	default:
		d.fault(at, "%s: the link %q has no sign; write +%s or -%s", what, text, text, text)
	}
	body = strings.TrimSpace(body)
	if id, dim, ok := strings.Cut(body, "."); ok {
		t.Position, t.Dim = id, dim
		return t
	}
	if _, ok := d.box.byID[body]; ok {
		t.Position = body
		return t
	}
	t.Measure = body
	return t
}

func (d *draft) mustBe(at *token.Token, what, id string) *Position {
	p, ok := d.box.byID[id]
	if !ok {
		var ids []string
		for k := range d.box.byID {
			ids = append(ids, k)
		}
		d.fault(at, "%s names %q, which is no position; %s", what, id, nearest(id, ids))
	}
	return p
}

func nearest(word string, know []string) string {
	slices.Sort(know)
	best, near := 3, ""
	for _, k := range know {
		if n := distance(word, k); n < best {
			best, near = n, k
		}
	}
	if near == "" {
		return "check the ids under carriers"
	}
	return fmt.Sprintf("did you mean %q?", near)
}

func (d *draft) checkSetting(s *Setting, at *token.Token) {
	what := "setting " + s.Name
	for _, t := range s.Chain {
		switch {
		case t.Position == "":
			if _, ok := d.box.Measure(t.Measure); !ok {
				var names []string
				for _, m := range d.box.Measures {
					names = append(names, m.Name)
				}
				d.fault(at, "%s: nothing is measured under the name %q; %s", what, t.Measure, nearest(t.Measure, names))
			}
		case t.Dim == "":
			if p := d.mustBe(at, what, t.Position); p != nil && p.Seat == nil {
				d.fault(at, "%s: %s is no seat; write %s.width for its width", what, t.Position, t.Position)
			}
		default:
			if p := d.mustBe(at, what, t.Position); p != nil && !p.has(t.Dim) {
				d.fault(at, "%s: %s has no %q; add it to the position", what, t.Position, t.Dim)
			}
		}
	}
	for _, id := range slices.Concat(s.Raises, s.Lowers) {
		if p := d.mustBe(at, what, id); p != nil && p.Seat == nil {
			d.fault(at, "%s is moved by %s, which is no seat; give it \"kind: seat\" or a stock", what, id)
		}
	}
	for _, id := range s.Before {
		d.mustBe(at, what, id)
	}
	if s.Etched != "" {
		d.mustBe(at, what, s.Etched)
		if d.box.Etched == nil {
			d.fault(at, "%s uses the etched number, but the file has no \"etched:\" with its unit", what)
		}
	}
	for _, n := range s.Proved {
		if _, ok := d.box.Measure(n); !ok {
			d.fault(at, "%s is proved by %q, which is not measured", what, n)
		}
	}
	for _, n := range s.After {
		if _, ok := d.box.Setting(n); !ok {
			d.fault(at, "%s comes after %q, which is no setting", what, n)
		}
	}
}

// has reports whether the position or one of its variants names the dimension.
func (p *Position) has(dim string) bool {
	known := map[string]Value{"width": p.Width, "bore": p.Bore, "od": p.OD, "teeth": p.Teeth}
	if known[dim].Known() {
		return true
	}
	names := slices.Clone(p.Values)
	for _, v := range p.Variants {
		names = append(names, v.Values...)
	}
	return slices.ContainsFunc(names, func(n Named) bool { return n.Name == dim })
}
