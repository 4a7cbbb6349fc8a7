package gearbox

import (
	"slices"
	"strings"

	"endfloat/calc/unit"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// Cond is a position with one of its variants; the position "series" stands
// for the unit's series.
type Cond struct{ Position, Variant string }

// Rule says what fits only in certain company. One of the forms is filled; any
// of them may hang on If.
type Rule struct {
	If, Needs, Never []Cond   // if these, then those are needed, or may never be
	Least            int      // so many of Needs are enough; 0 = all
	Prove            []string // if these, then these settings must be proven afresh
	Same             string   // a feature that all of Of must share
	Equal            string   // a dimension that all of Of must share
	By               string   // a matched pair Of, by this mark (set number)
	Renew            bool     // if one of Of is renewed, so are the others
	Handed           string   // the hand that each part of Of must have
	Range            string   // a dimension that must lie within Limit at each of Of
	Limit            Band     // of Range
	Of               []string // positions
	Trust            string   // how much the rule is to be trusted: one of Trusts, "" not said
	Soft             bool     // allowed with a written reason
	Why, From        string
	Line             int
}

// Trusts are the grounds a rule can stand on, the strongest first.
func Trusts() []string { return []string{"proven here", "book", "hearsay"} }

func (d *draft) rules(f *fields) {
	p := f.take("rules")
	if p == nil {
		return
	}
	seq, ok := p.val.(*ast.SequenceNode)
	if !ok {
		d.fault(p.tok, "rules: expected a list, each rule on a line that begins with \"- \"")
		return
	}
	for _, n := range seq.Values {
		d.rule(n)
	}
}

func (d *draft) rule(n ast.Node) {
	f := d.fields(n, "rule")
	at := n.GetToken()
	r := Rule{Line: at.Position.Line}
	r.If, r.Needs, r.Never = d.conds(f, "if"), d.conds(f, "needs"), d.conds(f, "never")
	r.Least, r.Prove = f.whole("at least", 0, 1, max(1, len(r.Needs))), f.texts("prove")
	r.Same, r.Equal, r.By = f.text("same"), f.text("equal"), f.text("by")
	r.Handed, r.Range = f.text("handed"), f.text("range")
	if p := f.take("limit"); p != nil {
		r.Limit = d.readBand(p.val, "rule: limit", unit.KindLength, millimetre(), nil)
	}
	r.Of = f.texts("of")
	if pair := f.texts("pair"); len(pair) > 0 {
		r.Of = pair
		if r.By == "" {
			d.fault(at, "a pair needs \"by:\", the mark that must agree, such as set number")
		}
	}
	if both := f.texts("renew together"); len(both) > 0 {
		r.Of, r.Renew = both, true
	}
	r.Soft, r.Why, r.From, r.Trust = f.yes("soft"), f.text("why"), f.text("from"), f.text("trust")
	f.rest()
	d.ruleForm(r, at)
	d.box.Rules = append(d.box.Rules, r)
	d.later = append(d.later, func() { d.checkRule(r, at) })
}

// ruleForm faults on a rule that is of none of the forms, or half of one.
func (d *draft) ruleForm(r Rule, at *token.Token) {
	forms := 0
	for _, is := range []bool{len(r.Needs)+len(r.Never)+len(r.Prove) > 0, r.Same != "", r.Equal != "", r.By != "", r.Renew, r.Handed != "", r.Range != ""} {
		if is {
			forms++
		}
	}
	each := r.Handed != "" || r.Range != ""
	switch {
	case forms == 1 && len(r.Of) >= 2, forms == 1 && each && len(r.Of) == 1:
	case forms == 1 && len(r.Of) == 0 && len(r.If) > 0 && !each:
	default:
		d.fault(at, "this rule is of no known form; write one of {if: …, needs: …}, {if: …, never: …}, {if: …, prove: …}, {same: feature, of: […]}, {equal: width, of: […]}, {pair: […], by: mark}, {renew together: […]}, {handed: left, of: […]}, {range: bore, of: […], limit: […]}")
		return
	}
	switch {
	case r.Least > 0 && len(r.Needs) == 0:
		d.fault(at, "\"at least\" says how many of \"needs\" are enough, and there are none")
	case (r.Range != "") != r.Limit.Known():
		d.fault(at, "\"range\" and \"limit\" go together: the dimension, and its two bounds")
	case r.Range != "" && r.From == "":
		d.fault(at, "the limit has no \"from\"; say where it stands: a source and page, or \"measured\"")
	case r.Trust != "" && !slices.Contains(Trusts(), r.Trust):
		d.fault(at, "trust is %q; %s", r.Trust, offer(r.Trust, Trusts()))
	}
}

// checkRule holds the names in a rule against the whole file.
func (d *draft) checkRule(r Rule, at *token.Token) {
	for _, id := range r.Of {
		if q := d.mustBe(at, "rule", id); q != nil && r.Range != "" && !q.has(r.Range) {
			d.fault(at, "rule: %s has no %q", id, r.Range)
		}
	}
	if r.Same != "" && !slices.ContainsFunc(d.box.Features, func(ft Feature) bool { return ft.Name == r.Same }) {
		d.fault(at, "no feature %q is listed under features", r.Same)
	}
	for _, name := range r.Prove {
		if _, ok := d.box.Setting(name); !ok {
			var names []string
			for _, s := range d.box.Settings {
				names = append(names, s.Name)
			}
			d.fault(at, "rule: no setting %q; %s", name, offer(name, names))
		}
	}
}

func (d *draft) conds(f *fields, key string) []Cond {
	p := f.take(key)
	if p == nil {
		return nil
	}
	var cs []Cond
	for _, q := range d.pairs(p.val, "rule: "+key) {
		c := Cond{q.key, scalarText(q.val)}
		cs = append(cs, c)
		at := q.val.GetToken()
		d.later = append(d.later, func() {
			if c.Position == "series" {
				d.checkKey(at, "rule", "", c.Variant)
			} else if d.mustBe(q.tok, "rule", c.Position) != nil {
				d.checkKey(at, "rule", c.Position, c.Variant)
			}
		})
	}
	return cs
}

func (d *draft) meshes(f *fields) {
	d.each(f, "speeds", func(p pair) {
		g := d.fields(p.val, "speed "+p.key)
		m := Mesh{Speed: p.key, Driver: g.text("driver"), Driven: g.text("driven"), Idler: g.text("idler"), Note: g.text("note")}
		v := d.value(g, "module", unit.KindLength, millimetre(), nil)
		si, _ := v.SI(Built{})
		m.Module = unit.Length(si)
		deg, _ := unit.Find("°", unit.KindAngle)
		m.Helix = d.value(g, "helix", unit.KindAngle, deg, nil)
		m.Centre = d.value(g, "centre distance", unit.KindLength, millimetre(), nil)
		g.rest()
		d.box.Meshes = append(d.box.Meshes, m)
		d.later = append(d.later, func() {
			for _, id := range []string{m.Driver, m.Driven, m.Idler} {
				if id == "" && m.Idler == "" && m.Driver != "" && m.Driven != "" {
					continue
				}
				if q := d.mustBe(p.tok, "speed "+p.key, id); q != nil && !q.has("teeth") && !q.has("reverse teeth") {
					d.fault(p.tok, "speed %s: %s has no teeth; add \"teeth:\" to the position", p.key, id)
				}
			}
		})
	})
}

func (d *draft) final(f *fields) {
	if p := f.take("crown wheel and pinion"); p != nil {
		g := d.fields(p.val, "crown wheel and pinion")
		d.box.Final = &Final{Pinion: g.text("pinion"), Crown: g.text("crown")}
		g.rest()
		d.later = append(d.later, func() {
			d.mustBe(p.tok, "crown wheel and pinion", d.box.Final.Pinion)
			d.mustBe(p.tok, "crown wheel and pinion", d.box.Final.Crown)
		})
	}
	if p := f.take("etched"); p != nil {
		g := d.fields(p.val, "etched")
		e := &Etched{On: g.text("on"), Plus: g.text("plus means")}
		v := d.value(g, "unit", unit.KindLength, millimetre(), nil)
		si, _ := v.SI(Built{})
		e.Unit = unit.Length(si)
		g.rest()
		if e.Unit <= 0 {
			d.fault(p.tok, "etched: say the unit of the number, such as \"unit: 0.01 mm\"; hundredths of a millimetre and thousandths of an inch differ by 2.5")
		}
		if e.Plus != "" && e.Plus != "further" && e.Plus != "nearer" {
			d.fault(p.tok, "etched: \"plus means\" is %q; write further or nearer (to the crown wheel's axis), or leave it out and be asked", e.Plus)
		}
		d.box.Etched = e
	}
}

func (d *draft) checkPosition(p *Position, at *token.Token) {
	for what, id := range map[string]string{"around": p.Around, "inside": p.Inside} {
		if id != "" {
			d.mustBe(at, "position "+p.ID+" ("+what+")", id)
		}
	}
	if p.From != "" && !slices.Contains(p.Carrier.Ends, p.From) {
		d.fault(at, "position %s comes off at %q, but carrier %s has the ends %s", p.ID, p.From, p.Carrier.ID, strings.Join(p.Carrier.Ends, " and "))
	}
	for _, id := range slices.Concat(p.After, p.Covers) {
		if _, ok := d.box.Carrier(id); ok {
			continue
		}
		if _, ok := d.box.Setting(id); ok {
			continue
		}
		d.mustBe(at, "position "+p.ID, id)
	}
	for _, c := range p.Care {
		if _, ok := Caution(c); !ok {
			d.fault(at, "position %s: care %q is not known; %s", p.ID, c, offer(c, Cautions()))
		}
	}
}
