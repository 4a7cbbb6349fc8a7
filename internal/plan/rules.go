package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
)

// brokenRules holds what is in the unit, or decided for it, against the rules
// of the gearbox file. A rule speaks only of positions that have a piece or a
// decision.
func (v *View) brokenRules() []Finding {
	var out []Finding
	for i, r := range v.Box.Rules {
		says, about := v.broken(r)
		if says == "" {
			continue
		}
		f := Finding{Kind: Broken, Key: Key("rule", fmt.Sprint(i+1), about), About: about, Says: says, Mend: v.wayOut(r)}
		f.Rests = fmt.Sprintf("rule on line %d of the gearbox file", r.Line)
		if r.Why != "" {
			f.Rests += ": " + r.Why
		}
		if r.Soft {
			f.Mend += ", or keep it with a written reason"
		}
		out = append(out, f)
	}
	return out
}

func (v *View) broken(r gearbox.Rule) (says, about string) {
	switch {
	case len(r.If) > 0:
		return v.brokenIf(r)
	case r.Same != "":
		return v.brokenSame(r, func(p *gearbox.Position) string { return p.Feature(r.Same, v.Built) }, r.Same)
	case r.Equal != "":
		return v.brokenEqual(r)
	case r.By != "":
		return v.brokenSame(r, func(p *gearbox.Position) string { return v.mark(p, r.By) }, r.By)
	case r.Renew:
		return v.brokenRenew(r)
	}
	return "", ""
}

// is reports whether a condition holds; known is false while nothing is there.
func (v *View) is(c gearbox.Cond) (holds, known bool) {
	if c.Position == "series" {
		return v.Opened.Series == c.Variant, true
	}
	got := v.Built.Variants[c.Position]
	return got == c.Variant, got != ""
}

func (v *View) brokenIf(r gearbox.Rule) (string, string) {
	var because []string
	for _, c := range r.If {
		if holds, _ := v.is(c); !holds {
			return "", ""
		}
		because = append(because, v.say(c))
	}
	for _, c := range r.Needs {
		if holds, known := v.is(c); known && !holds {
			return fmt.Sprintf("%s needs %s, but %s is %s", strings.Join(because, " and "), v.say(c), c.Position, v.Built.Variants[c.Position]), c.Position
		}
	}
	for _, c := range r.Never {
		if holds, _ := v.is(c); holds {
			return fmt.Sprintf("%s does not go with %s", v.say(c), strings.Join(because, " and ")), c.Position
		}
	}
	return "", ""
}

func (v *View) say(c gearbox.Cond) string {
	if c.Position == "series" {
		return "series " + c.Variant
	}
	p, ok := v.Box.Position(c.Position)
	if !ok {
		return c.Position + " " + c.Variant
	}
	return p.Label() + " (" + c.Variant + ")"
}

func (v *View) brokenSame(r gearbox.Rule, of func(*gearbox.Position) string, what string) (string, string) {
	first, firstIs := "", ""
	for _, id := range r.Of {
		p, _ := v.Box.Position(id)
		is := of(p)
		switch {
		case is == "":
		case first == "":
			first, firstIs = p.Label(), is
		case is != firstIs:
			return fmt.Sprintf("%s must be one for all of %s: %s is %s, %s is %s", what, strings.Join(r.Of, ", "), first, firstIs, p.Label(), is), id
		}
	}
	return "", ""
}

func (v *View) brokenEqual(r gearbox.Rule) (string, string) {
	first, w := "", math.NaN()
	for _, id := range r.Of {
		p, _ := v.Box.Position(id)
		is, ok := p.Dimension(r.Equal, v.Built)
		if pack := v.Pack(id); r.Equal == "width" && pack.Ok {
			is, ok = pack.SI, true
		}
		switch {
		case !ok:
		case first == "":
			first, w = p.Label(), is
		case math.Abs(is-w) > 0.5e-6:
			return fmt.Sprintf("the %s of %s and %s must be equal: %.2f and %.2f mm", r.Equal, first, p.Label(), w*1e3, is*1e3), id
		}
	}
	return "", ""
}

// mark is the mark of the piece at a position, or of the one decided for it.
func (v *View) mark(p *gearbox.Position, by string) string {
	tags := v.At[p.ID]
	if len(tags) == 0 {
		if sp := v.Spots[p.ID]; sp != nil && sp.Decided != nil && sp.Decided.Is.Piece != "" {
			tags = []string{sp.Decided.Is.Piece}
		}
	}
	for _, t := range tags {
		if pc := v.Pieces[t]; pc != nil && pc.Marks[by] != "" {
			return pc.Marks[by]
		}
	}
	return ""
}

// brokenRenew tells a set of which one part is renewed and another not.
func (v *View) brokenRenew(r gearbox.Rule) (string, string) {
	renewed, kept := "", ""
	for _, id := range r.Of {
		p, _ := v.Box.Position(id)
		sp := v.Spots[id]
		if sp == nil {
			continue
		}
		switch {
		case sp.Decided != nil && slices.Contains([]string{"new", "donor"}, sp.Decided.Is.Choice):
			renewed = p.Label()
		case sp.Decided != nil && slices.Contains([]string{"reuse", "repair"}, sp.Decided.Is.Choice):
			kept = p.Label()
		}
	}
	if renewed != "" && kept != "" {
		return fmt.Sprintf("%s is renewed but %s is kept: they are renewed together", renewed, kept), strings.Fields(kept)[0]
	}
	return "", ""
}

// wayOut names pieces of this book that would satisfy the rule.
func (v *View) wayOut(r gearbox.Rule) string {
	var need []gearbox.Cond
	for _, c := range r.Needs {
		if holds, known := v.is(c); known && !holds {
			need = append(need, c)
		}
	}
	var out []string
	for _, c := range need {
		if c.Position == "series" {
			continue
		}
		out = append(out, "fit "+v.say(c)+v.inStock(c))
	}
	if len(out) == 0 {
		return "choose parts that agree"
	}
	return strings.Join(out, ", ")
}

func (v *View) inStock(c gearbox.Cond) string {
	var tags []string
	for t, p := range v.Pieces {
		if p.Position == c.Position && p.Variant == c.Variant {
			if _, in := v.In(t); !in {
				tags = append(tags, t)
			}
		}
	}
	if len(tags) == 0 {
		return ""
	}
	slices.Sort(tags)
	return " (here: " + strings.Join(tags, ", ") + ")"
}
