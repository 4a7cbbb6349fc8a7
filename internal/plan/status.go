package plan

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"endfloat/internal/job"
)

// Status answers "where are we?" in a few plain sentences that can be read out on
// the telephone or sent as they stand. now is for how long ago things were.
func (v *View) Status(now time.Time) []string {
	o := v.Opened
	head := fmt.Sprintf("%s (%s, %s tape), %s: %s.", o.Unit, o.Letter, o.Colour, joinWords(strings.TrimSpace(o.Type+" "+series(o.Series))), v.Arc())
	out := []string{head}
	if v.Closed != nil {
		return append(out, fmt.Sprintf("Handed over%s, oil %s.", to(v.Closed.To), v.Closed.Oil))
	}
	out = append(out, v.progress()...)
	if n := len(v.Build); n > 0 && v.begun() {
		var minutes float64
		for _, s := range v.Build {
			minutes += s.Minutes
		}
		out = append(out, fmt.Sprintf("%s to go, about %s at the bench.", countOf(n, "step"), Hours(minutes)))
	}
	if next := v.Next(1); len(next) > 0 {
		out = append(out, "Next: "+next[0].Title+".")
	}
	if w := v.waitingFor(); w != "" {
		out = append(out, "Waiting for: "+w+".")
	}
	if !v.Last.IsZero() {
		out = append(out, "Last worked on "+v.Last.Format("2 January")+days(now, v.Last)+".")
	}
	if o.Due != "" {
		out = append(out, "Wanted: "+strings.TrimSuffix(o.Due, ".")+".")
	}
	return out
}

func (v *View) progress() []string {
	if v.Box == nil {
		return nil
	}
	off, on, proven, settings := 0, 0, 0, 0
	for _, p := range v.Box.All() {
		switch sp := v.Spots[p.ID]; {
		case sp == nil || sp.Off == nil && sp.Fitted == nil:
		case v.aboard(p.ID):
			on++
		default:
			off++
		}
	}
	for _, r := range v.Settings {
		if v.touches(r) {
			settings++
			if r.Proven {
				proven++
			}
		}
	}
	var out []string
	switch {
	case on == 0 && off > 0:
		out = append(out, fmt.Sprintf("%d of %d positions are off.", off, len(v.Box.All())))
	case on > 0:
		out = append(out, fmt.Sprintf("%d of the %d parts that came off are on again.", on, on+off))
	}
	if settings > 0 && on > 0 {
		out = append(out, fmt.Sprintf("%d of %s proven.", proven, countOf(settings, "setting")))
	}
	if loose := len(v.LooseEnds()); loose > 0 {
		out = append(out, countOf(loose, "loose end")+".")
	}
	return out
}

// waitingFor are the parts decided to be new or of a donor that have not come.
func (v *View) waitingFor() string {
	t := &today{v: v, ask: Ask{Have: func(string) bool { return true }}}
	var out []string
	for _, s := range v.Build {
		if s.Do == "fit" && v.Spots[s.Position.ID].Decided != nil && v.Spots[s.Position.ID].Decided.Is.Choice == "new" {
			if why := t.lacks(s.Position); why != "" {
				out = append(out, s.Position.Label())
			}
		}
	}
	if len(out) > 4 {
		out = append(out[:3], fmt.Sprintf("and %d more parts", len(out)-3))
	}
	return strings.Join(out, ", ")
}

// Arrived are the last n pieces that came into the book and are not in the unit yet,
// newest first.
func (v *View) Arrived(n int) []*job.Piece {
	if v.arrived == nil { // not of a job
		return nil
	}
	all := v.arrived()
	return all[:min(n, len(all)):min(n, len(all))]
}

func (v *View) allArrived() []*job.Piece {
	var out []*job.Piece
	for i := len(v.Entries) - 1; i >= 0; i-- {
		e := v.Entries[i]
		if _, gone := v.State.Struck[e.ID]; gone || e.Kind != (job.Added{}).Kind() && e.Kind != (job.Came{}).Kind() {
			continue
		}
		var b struct{ Piece job.Piece }
		if json.Unmarshal(e.Body, &b) != nil {
			continue
		}
		pc := v.Pieces[b.Piece.Tag]
		if _, in := v.In(b.Piece.Tag); pc != nil && !in && pc.Stock == "" && v.Where[pc.Tag] != LooseBag(v.Opened.Letter) && !slices.Contains(out, pc) && !v.aboard(pc.Position) {
			out = append(out, pc)
		}
	}
	return out
}

// LooseBag is what the bag of a unit is called with what lay loose in it as it came
// in.
func LooseBag(letter string) string { return "bag " + letter + " found loose" }

// Hours puts minutes into words.
func Hours(minutes float64) string {
	switch {
	case minutes < 55:
		return fmt.Sprintf("%.0f min", max(5, 5*float64(int(minutes/5+0.5))))
	case minutes < 600:
		return fmt.Sprintf("%.1f h", minutes/60)
	}
	return fmt.Sprintf("%.0f h", minutes/60)
}

func series(s string) string {
	if s == "" {
		return ""
	}
	return "series " + s
}

func to(whom string) string {
	if whom == "" {
		return ""
	}
	return " to " + whom
}

func days(now, then time.Time) string {
	n := int(now.Sub(then).Hours() / 24)
	switch {
	case now.IsZero() || n < 1:
		return ""
	case n == 1:
		return ", yesterday"
	}
	return fmt.Sprintf(", %d days ago", n)
}

func countOf(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}
