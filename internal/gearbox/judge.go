package gearbox

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Part is what is known of the part at a position, or of the one that is to go
// there, as far as rules ask.
type Part struct {
	Variant string             // "" = not known
	Marks   map[string]string  // set number, hand, paint
	Dims    map[string]float64 // lengths that were measured and stand for those of the file, SI
	Renewed bool               // another than came with the unit
	Kept    bool               // the one that came with the unit; neither = not decided
}

// Parts are the parts of a unit by position. A rule does not speak of a
// position of which nothing is known.
type Parts struct {
	Series string
	At     map[string]Part
}

// Built is what the parts make of the unit.
func (p Parts) Built() Built {
	as := Built{Series: p.Series, Variants: make(map[string]string, len(p.At))}
	for id, part := range p.At {
		if part.Variant != "" {
			as.Variants[id] = part.Variant
		}
	}
	return as
}

// Breach is a rule that is not kept.
type Breach struct {
	Says  string // one sentence with the positions
	About string // the position it is about
	Wants []Cond // what would mend it, where the rule says so
}

// holds reports whether a condition is met; known is false while nothing is there.
func (p Parts) holds(c Cond) (holds, known bool) {
	if c.Position == "series" {
		return p.Series == c.Variant, true
	}
	got := p.At[c.Position].Variant
	return got == c.Variant, got != ""
}

// Met reports whether all of some conditions are.
func (p Parts) Met(cs []Cond) bool {
	return !slices.ContainsFunc(cs, func(c Cond) bool { ok, _ := p.holds(c); return !ok })
}

// Positions are all that a rule names, each once.
func (r Rule) Positions() []string {
	ids := slices.Clone(r.Of)
	for _, c := range slices.Concat(r.If, r.Needs, r.Never) {
		if c.Position != "series" && !slices.Contains(ids, c.Position) {
			ids = append(ids, c.Position)
		}
	}
	return ids
}

// Judge holds the parts of a unit against one rule; false when it is kept. It
// is the one reading of what rules mean: everything that asks what fits with
// what asks here.
func (b *Box) Judge(r Rule, p Parts) (Breach, bool) {
	var because []string
	for _, c := range r.If {
		if holds, _ := p.holds(c); !holds {
			return Breach{}, false
		}
		because = append(because, b.Say(c))
	}
	given := strings.Join(because, " and ")
	switch {
	case len(r.Needs) > 0 || len(r.Never) > 0:
		return b.judgeIf(r, p, given)
	case r.Handed != "" || r.Range != "":
		return b.judgeEach(r, p, given)
	case len(r.Of) > 0:
		return b.judgeAlike(r, p, given)
	}
	return Breach{}, false
}

func (b *Box) judgeIf(r Rule, p Parts, given string) (Breach, bool) {
	var missed []Cond
	for _, c := range r.Needs {
		if holds, known := p.holds(c); known && !holds {
			missed = append(missed, c)
		}
	}
	switch {
	case r.Least > 0 && len(missed) > len(r.Needs)-r.Least:
		var all []string
		for _, c := range r.Needs {
			all = append(all, b.Say(c))
		}
		return Breach{Says: fmt.Sprintf("%s needs at least %d of %s", given, r.Least, strings.Join(all, ", ")), About: missed[0].Position, Wants: missed}, true
	case r.Least == 0 && len(missed) > 0:
		c := missed[0]
		is := p.At[c.Position].Variant
		if c.Position == "series" {
			is = p.Series
		}
		return Breach{Says: fmt.Sprintf("%s needs %s, but %s is %s", given, b.Say(c), c.Position, is), About: c.Position, Wants: missed}, true
	}
	for _, c := range r.Never {
		if holds, _ := p.holds(c); holds {
			return Breach{Says: fmt.Sprintf("%s does not go with %s", b.Say(c), given), About: c.Position}, true
		}
	}
	return Breach{}, false
}

// judgeEach is for rules that hold every position for itself against something.
func (b *Box) judgeEach(r Rule, p Parts, given string) (Breach, bool) {
	if given != "" {
		given = " with " + given
	}
	for _, id := range r.Of {
		q, ok := b.Position(id)
		if !ok {
			continue
		}
		if r.Handed != "" {
			if hand := b.hand(q, p); hand != "" && hand != r.Handed {
				return Breach{Says: fmt.Sprintf("%s takes a part of hand %s%s, this one is %s", q.Label(), r.Handed, given, hand), About: id}, true
			}
			continue
		}
		as := p.Built()
		v, ok := dimension(q, r.Range, p, as)
		lo, hi, hasLo, hasHi := r.Limit.At(as)
		const hair = 0.5e-6 // half a micrometre: the limit itself is within it
		if ok && (hasLo && v < lo-hair || hasHi && v > hi+hair) {
			return Breach{Says: fmt.Sprintf("the %s of %s must lie from %.3f to %.3f mm%s and is %.3f", r.Range, q.Label(), lo*1e3, hi*1e3, given, v*1e3), About: id}, true
		}
	}
	return Breach{}, false
}

// hand is the hand of a part: its mark, else the feature of that name.
func (b *Box) hand(q *Position, p Parts) string {
	if h := p.At[q.ID].Marks["hand"]; h != "" {
		return h
	}
	return q.Feature("hand", p.Built())
}

func dimension(q *Position, name string, p Parts, as Built) (float64, bool) {
	if v, ok := p.At[q.ID].Dims[name]; ok {
		return v, true
	}
	return q.Dimension(name, as)
}

// Trait is what a rule compares of a position with the others of its set: a
// feature, a dimension in whole micrometres, a mark, whether it is renewed;
// "" where it is not known.
func (b *Box) Trait(r Rule, id string, p Parts) string {
	q, ok := b.Position(id)
	if !ok {
		return ""
	}
	part := p.At[id]
	switch {
	case r.Same != "":
		return q.Feature(r.Same, p.Built())
	case r.Equal != "":
		if v, ok := dimension(q, r.Equal, p, p.Built()); ok {
			return fmt.Sprintf("%.3f mm", math.Round(v*1e6)/1e3)
		}
	case r.By != "":
		return part.Marks[r.By]
	case r.Renew && part.Renewed:
		return "renewed"
	case r.Renew && part.Kept:
		return "kept"
	}
	return ""
}

func (b *Box) judgeAlike(r Rule, p Parts, given string) (Breach, bool) {
	if given != "" {
		given = "with " + given + ", "
	}
	first, firstIs, firstID := "", "", ""
	for _, id := range r.Of {
		q, ok := b.Position(id)
		if !ok {
			continue
		}
		is := b.Trait(r, id, p)
		switch {
		case is == "" || is == firstIs:
		case first == "":
			first, firstIs, firstID = q.Label(), is, id
		case r.Renew:
			renewed, kept, about := q.Label(), first, firstID
			if is == "kept" {
				renewed, kept, about = first, q.Label(), id
			}
			return Breach{Says: fmt.Sprintf("%s%s is renewed but %s is kept: they are renewed together", given, renewed, kept), About: about}, true
		case r.Equal != "":
			return Breach{Says: fmt.Sprintf("%sthe %s of %s and %s must be equal: %s and %s", given, r.Equal, first, q.Label(), firstIs, is), About: id}, true
		default:
			return Breach{Says: fmt.Sprintf("%s%s must be one for all of %s: %s is %s, %s is %s", given, r.Same+r.By, strings.Join(r.Of, ", "), first, firstIs, q.Label(), is), About: id}, true
		}
	}
	return Breach{}, false
}

// Say puts a condition into words: "P10 hub 1/2 (wide)".
func (b *Box) Say(c Cond) string {
	if c.Position == "series" {
		return "series " + c.Variant
	}
	p, ok := b.Position(c.Position)
	if !ok {
		return c.Position + " " + c.Variant
	}
	return p.Label() + " (" + c.Variant + ")"
}

// SayRule is the rule in words, whatever is fitted: what a person reads when it
// is one of several that clash.
func (b *Box) SayRule(r Rule) string {
	say := func(cs []Cond, with string) string {
		var s []string
		for _, c := range cs {
			s = append(s, b.Say(c))
		}
		return strings.Join(s, with)
	}
	of := strings.Join(r.Of, ", ")
	given := ""
	if len(r.If) > 0 {
		given = "with " + say(r.If, " and ") + ", "
	}
	var s string
	switch {
	case len(r.Needs) > 0 && r.Least > 0:
		s = fmt.Sprintf("%s needs at least %d of %s", say(r.If, " and "), r.Least, say(r.Needs, ", "))
	case len(r.Needs) > 0:
		s = say(r.If, " and ") + " needs " + say(r.Needs, " and ")
	case len(r.Never) > 0:
		s = say(r.If, " and ") + " does not go with " + say(r.Never, " or ")
	case r.Same != "":
		s = fmt.Sprintf("%s%s must be one for all of %s", given, r.Same, of)
	case r.Equal != "":
		s = fmt.Sprintf("%sthe %s of %s must be equal", given, r.Equal, of)
	case r.By != "":
		s = fmt.Sprintf("%s%s must have one %s", given, of, r.By)
	case r.Renew:
		s = fmt.Sprintf("%s%s are renewed together", given, of)
	case r.Handed != "":
		s = fmt.Sprintf("%s%s takes a part of hand %s", given, of, r.Handed)
	case r.Range != "":
		s = fmt.Sprintf("%sthe %s of %s has its limits", given, r.Range, of)
	default:
		s = fmt.Sprintf("%s%s must be proven afresh", given, strings.Join(r.Prove, ", "))
	}
	if r.Trust == "hearsay" {
		s += " (hearsay)"
	}
	return s
}
