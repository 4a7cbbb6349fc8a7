package plan

import (
	"slices"

	"endfloat/calc/uncert"
	"endfloat/internal/setup"
)

// Reproof is a setting to be proven, with the parts that must come off first.
type Reproof struct {
	Setting string
	Off     []string // labels, in the order in which they come off
}

// Reprove orders the settings that are begun and not proven: each after those it
// comes after, and of those that may come next the one for which least comes
// apart. So nothing is proven that the next would void again.
func (v *View) Reprove() []Reproof {
	var open []setup.Result
	for _, r := range v.Settings {
		if !r.Proven && v.touches(r) {
			open = append(open, r)
		}
	}
	var out []Reproof
	for len(open) > 0 {
		best := -1
		var least Reproof
		for i, r := range open {
			if slices.ContainsFunc(open, func(o setup.Result) bool { return slices.Contains(r.After, o.Name) }) {
				continue
			}
			if p := v.reproof(r); best < 0 || len(p.Off) < len(least.Off) {
				best, least = i, p
			}
		}
		if best < 0 { // they wait for each other: the file's order
			best, least = 0, v.reproof(open[0])
		}
		out = append(out, least)
		open = slices.Delete(open, best, best+1)
	}
	return out
}

// reproof is what comes off for a setting: nothing for a reading, and what lies
// over its seats where a pack must change.
func (v *View) reproof(r setup.Result) Reproof {
	p := Reproof{Setting: r.Name}
	if r.Known && r.Verdict != uncert.Out && len(r.Empty) == 0 {
		return p
	}
	for _, seat := range r.Seats() {
		for _, q := range v.Box.Over(seat) {
			if len(v.At[q.ID]) > 0 && !slices.Contains(p.Off, q.Label()) {
				p.Off = append(p.Off, q.Label())
			}
		}
	}
	return p
}
