package plan

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/internal/gearbox"
	"endfloat/internal/setup"
)

// brokenRules holds what is in the unit, or decided for it, against the rules
// of the gearbox file. A rule speaks only of positions that have a piece or a
// decision.
func (v *View) brokenRules() []Finding {
	var out []Finding
	parts := v.Parts()
	for i, r := range v.Box.Rules {
		b, broken := v.Box.Judge(r, parts)
		if !broken {
			b, broken = v.unproven(r, parts)
		}
		if !broken {
			out = append(out, v.asks(i, r, parts)...)
			continue
		}
		f := Finding{Kind: Broken, Key: Key("rule", fmt.Sprint(i+1), b.About), About: b.About, Says: b.Says, Mend: v.wayOut(b)}
		f.Rests = fmt.Sprintf("rule on line %d of the gearbox file", r.Line)
		if r.Why != "" {
			f.Rests += ": " + r.Why
		}
		if r.Trust != "" {
			f.Rests += " (" + r.Trust + ")"
		}
		if r.Soft {
			f.Mend += ", or keep it with a written reason"
		}
		out = append(out, f)
	}
	return out
}

// RuleOf is the rule that a finding about a broken one is of.
func (v *View) RuleOf(f Finding) (gearbox.Rule, bool) {
	var n int
	if v.Box == nil || f.Kind != Broken {
		return gearbox.Rule{}, false
	}
	if _, err := fmt.Sscanf(strings.NewReplacer("/", " ").Replace(f.Key), "rule %d", &n); err != nil {
		if _, err := fmt.Sscanf(strings.NewReplacer("/", " ").Replace(f.Key), "ask %d", &n); err != nil {
			return gearbox.Rule{}, false
		}
	}
	if n < 1 || n > len(v.Box.Rules) {
		return gearbox.Rule{}, false
	}
	return v.Box.Rules[n-1], true
}

// Parts is what stands at the unit's positions, or is decided for them.
func (v *View) Parts() gearbox.Parts {
	p := gearbox.Parts{Series: v.Opened.Series, At: map[string]gearbox.Part{}}
	for _, q := range v.Box.All() {
		part := gearbox.Part{Variant: v.Built.Variants[q.ID], Marks: v.marks(q)}
		if pack := v.Pack(q.ID); pack.Ok {
			part.Dims = map[string]float64{"width": pack.SI}
		}
		if sp := v.Spots[q.ID]; sp != nil && sp.Decided != nil {
			part.Renewed = slices.Contains([]string{"new", "donor"}, sp.Decided.Is.Choice)
			part.Kept = slices.Contains([]string{"reuse", "repair"}, sp.Decided.Is.Choice)
		}
		p.At[q.ID] = part
	}
	return p
}

// marks are those of the pieces at a position, or of the one decided for it.
func (v *View) marks(p *gearbox.Position) map[string]string {
	tags := v.At[p.ID]
	if len(tags) == 0 {
		if sp := v.Spots[p.ID]; sp != nil && sp.Decided != nil && sp.Decided.Is.Piece != "" {
			tags = []string{sp.Decided.Is.Piece}
		}
	}
	if sp := v.Spots[p.ID]; len(tags) == 0 && sp != nil && (sp.Decided == nil || slices.Contains([]string{"reuse", "repair"}, sp.Decided.Is.Choice)) {
		tags = sp.AsFound
	}
	marks := map[string]string{}
	for _, t := range tags {
		if pc := v.Pieces[t]; pc != nil {
			for k, m := range pc.Marks {
				if marks[k] == "" {
					marks[k] = m
				}
			}
		}
	}
	return marks
}

// unproven tells a setting that a part put in calls in question, and that was
// last tried before.
func (v *View) unproven(r gearbox.Rule, parts gearbox.Parts) (gearbox.Breach, bool) {
	if len(r.Prove) == 0 {
		return gearbox.Breach{}, false
	}
	since := 0
	for _, c := range r.If {
		if c.Position == "series" && parts.Series != c.Variant || c.Position != "series" && parts.At[c.Position].Variant != c.Variant {
			return gearbox.Breach{}, false
		}
		since = max(since, v.Changed(c.Position))
	}
	for _, name := range r.Prove {
		tried := 0
		set, _ := v.Box.Setting(name)
		for _, what := range append(slices.Clone(set.Proved), set.Name) {
			for _, rd := range v.ReadingsOf(what) {
				tried = max(tried, rd.Seq)
			}
		}
		if since > 0 && tried > 0 && tried < since {
			return gearbox.Breach{Says: fmt.Sprintf("%s: %s was last tried before it", v.Box.SayRule(r), name), About: r.If[len(r.If)-1].Position}, true
		}
	}
	return gearbox.Breach{}, false
}

// misfit reports a setting without a seat, so one that nothing but its parts can
// bring right, that is out with the parts that are on or decided.
func (v *View) misfit(r setup.Result) bool {
	if len(r.Seats()) > 0 || r.Verdict != uncert.Out {
		return false
	}
	return slices.ContainsFunc(r.Setting.Chain, func(t gearbox.Term) bool {
		sp := v.Spots[t.Position]
		return sp != nil && (sp.Fitted != nil || sp.Decided != nil)
	})
}

// wayOut names pieces of this book that would mend the breach.
func (v *View) wayOut(b gearbox.Breach) string {
	var out []string
	for _, c := range b.Wants {
		if c.Position != "series" {
			out = append(out, "fit "+v.Box.Say(c)+v.inStock(c))
		}
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
