package plan

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
)

// asks raises a question where parts must share a mark or a feature, come from
// more than one source, and it is not known of one of them: it must not pass in
// silence. Parts that came in together are taken to agree.
func (v *View) asks(i int, r gearbox.Rule, parts gearbox.Parts) []Finding {
	if r.By == "" && r.Same == "" {
		return nil
	}
	var unknown, sources []string
	about := ""
	for _, id := range r.Of {
		p, ok := v.Box.Position(id)
		if !ok {
			continue
		}
		tag, from, known := v.source(id)
		if !slices.Contains(sources, from) {
			sources = append(sources, from)
		}
		seen := v.Box.Trait(r, id, parts) != ""
		if r.Same != "" && !known && len(p.Variants) > 0 {
			seen = false // what stands there is only what is usual of its series
		}
		if !seen {
			unknown = append(unknown, strings.TrimSpace(p.Label()+" "+tag))
			about = id
		}
	}
	if len(sources) < 2 || len(unknown) == 0 {
		return nil
	}
	f := Finding{Kind: Broken, Key: Key("ask", fmt.Sprint(i+1), about), About: about, Rests: fmt.Sprintf("rule on line %d of the gearbox file", r.Line),
		Says: fmt.Sprintf("which %s has %s? It must be one for all of %s, and they come from different units", r.Same+r.By, strings.Join(unknown, ", and "), strings.Join(r.Of, ", ")),
		Mend: "look, and write it down as a mark on the piece"}
	if r.Why != "" {
		f.Rests += ": " + r.Why
	}
	return []Finding{f}
}

// source is the piece at a position, or decided for it, the unit it came with,
// and whether its variant is known of the piece itself.
func (v *View) source(id string) (tag, from string, known bool) {
	tag = strings.Join(v.At[id], " ")
	sp := v.Spots[id]
	if tag == "" && sp != nil && sp.Decided != nil {
		if d := sp.Decided.Is; d.Choice == "new" || d.Choice == "donor" {
			if d.Piece == "" {
				return "", d.Choice, d.Variant != ""
			}
			tag = d.Piece
			if v.Pieces[tag] == nil {
				return tag, d.Choice, d.Variant != ""
			}
		}
	}
	if pc := v.Pieces[tag]; pc != nil {
		return tag, pc.Origin, pc.Variant != ""
	}
	return tag, v.Opened.Unit, true
}

// wrongParts tells what came wrong and has not gone back.
func (v *View) wrongParts() []Finding {
	var out []Finding
	for _, o := range v.Orders {
		if !o.Wrong() {
			continue
		}
		a := o.Arrived.Is
		label := o.Position
		if p, ok := v.Box.Position(o.Position); ok {
			label = p.Label()
		}
		f := Finding{Kind: Loose, Key: Key("wrong", o.Tag), About: o.Position, Says: fmt.Sprintf("%s for %s came wrong: %s", o.Tag, label, strings.Join(a.Says, "; ")),
			Rests: fmt.Sprintf("goods-in check, entry %d", o.Arrived.Seq), Mend: "send it back to " + o.Supplier}
		if a.Until != "" {
			f.Mend += " before " + a.Until + " is over"
		}
		out = append(out, f)
	}
	return out
}
