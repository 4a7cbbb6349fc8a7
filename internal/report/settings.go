package report

import (
	"fmt"
	"math"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/internal/gearbox"
	"endfloat/internal/setup"
)

// settings shows each setting with its limits, packs and full working.
func (b *book) settings() {
	b.part("Settings")
	var silent []string
	shown := 0
	for _, r := range b.v.Settings {
		if !b.touched(r) {
			silent = append(silent, r.Name)
			continue
		}
		b.setting(r)
		shown++
	}
	if len(b.v.Settings) == 0 {
		b.para(body, "The gearbox file names no setting.")
		return
	}
	if len(silent) > 0 {
		b.gap(3)
		b.para(body, "Neither measured nor disturbed in this job: "+strings.Join(silent, ", ")+".")
	}
	if shown == 0 {
		b.para(body, "No setting was worked on.")
	}
	b.patterns()
}

// touched reports whether the job has measured the setting or disturbed what
// it is made of.
func (b *book) touched(r setup.Result) bool {
	ids := r.Seats()
	for _, t := range r.Chain {
		ids = append(ids, t.Position)
	}
	for _, id := range ids {
		if sp := b.v.Spots[id]; sp != nil && (sp.Off != nil || sp.Fitted != nil) {
			return true
		}
	}
	return b.measured(r)
}

// measured reports whether a reading stands in the chain of a setting.
func (b *book) measured(r setup.Result) bool {
	for _, t := range r.Chain {
		what := t.Measure
		if what == "" {
			what = t.Position + " " + t.Dim
		}
		if len(b.v.ReadingsOf(what)) > 0 {
			return true
		}
	}
	return false
}

// known reports whether the setting has a value that means something: a chain
// that still lacks a pack has none.
func (b *book) known(r setup.Result) bool {
	for _, t := range r.Chain {
		if t.Position != "" && t.Dim == "" && len(b.v.At[t.Position]) == 0 {
			return false
		}
	}
	return r.Known
}

func (b *book) setting(r setup.Result) {
	b.need(112)
	b.under(sentence(r.Name))
	b.verdictOf(r)
	b.facts("Limits", b.limitsOf(r), "Means", sentence(r.Help), "Holds", r.State)
	if b.known(r) && !b.measured(r) {
		b.para(note, "No reading stands in this chain: lengths are those of the gearbox file, packs as measured.")
	}
	b.drawings(r)
	for _, id := range r.Seats() {
		b.pack(r, id)
	}
	b.working(r)
}

// verdictOf is the line that is read first: the value and what it amounts to.
func (b *book) verdictOf(r setup.Result) {
	value := "not known"
	if b.known(r) {
		value = setup.Text(r.Value, r.U, r.Unit)
	}
	says := ""
	switch {
	case r.Proven && !b.measured(r):
		says = "in by calculation, not measured"
	case r.Proven:
		says = "in, proven"
		if r.Verdict != uncert.In {
			says = "proven by " + strings.Join(r.Proved, ", ")
		}
	case r.Why != "":
		says = "not proven: " + r.Why
	}
	b.need(8)
	big := face{true, 11.5, 5.6, 0}
	b.y += big.lead
	b.text(big, b.left, b.y-0.26*big.lead, value)
	x := b.left + b.width(big, value) + 4
	ls := b.wrap(body, b.w-b.right-x, says)
	b.y -= big.lead
	b.y += big.lead - body.lead
	b.lines(x, ls)
	b.y += 1.6
}

// limitsOf says what is wanted and where that stands.
func (b *book) limitsOf(r setup.Result) string {
	t := setup.Range(r.Lo, r.Hi, r.HasLo, r.HasHi, r.Unit)
	if t == "" {
		return "none in the gearbox file"
	}
	if r.HasLo && r.HasHi {
		t += ", aimed at " + setup.Text(r.Target, 0, r.Unit)
	}
	if r.Places > 0 {
		t += fmt.Sprintf(", at every one of %d places", r.Places)
	}
	if r.Spread > 0 {
		t += ", varying by at most " + setup.Text(r.Spread, 0, r.Unit)
	}
	if r.From != "" {
		t += " (" + r.From + ")"
	}
	return t
}

// pack lists what is at a seat, piece by piece, beside what came off there.
func (b *book) pack(r setup.Result, id string) {
	p, ok := b.v.Box.Position(id)
	if !ok {
		return
	}
	pk := b.v.Pack(id)
	var rows []row
	for _, t := range pk.Tags {
		pc := b.v.Pieces[t]
		measured := "not measured"
		if pc.SI > 0 {
			measured = setup.Text(pc.SI, pc.U, mm)
		}
		rows = append(rows, row{in(cell, t), in(cell, measured), in(cell, pc.Nominal), in(cell, pc.Origin)})
	}
	b.need(24)
	b.gap(1)
	b.lines(b.left, b.wrap(bold, b.wide(), "Pack at "+p.Label()))
	b.y += 0.6
	if len(rows) == 0 {
		b.para(cell, "Nothing is there now.")
	} else {
		if pk.Ok && len(rows) > 1 {
			rows = append(rows, row{in(bold, "together"), in(bold, setup.Text(pk.SI, pk.U, mm))})
		}
		b.table([]col{{"Piece", 3}, {"Measured", 3}, {"Stamped or sold as", 3}, {"From", 3}}, rows)
	}
	b.para(note, joined(" ", b.cameOff(p), wantWords(r, id)))
	b.y += 1.5
}

func (b *book) cameOff(p *gearbox.Position) string {
	sp := b.v.Spots[p.ID]
	if sp == nil || sp.Off == nil || len(sp.Off.Is.Thick) == 0 {
		return ""
	}
	return fmt.Sprintf("Came off: %s (%s).", strings.Join(sp.Off.Is.Thick, " + "), b.stamp(sp.Off.Entry))
}

func wantWords(r setup.Result, id string) string {
	for _, w := range r.Wants {
		if w.Seat.ID != id || math.IsNaN(w.T) || math.IsInf(w.T, 0) {
			continue
		}
		hasLo, hasHi := !math.IsInf(w.Lo, 0), !math.IsInf(w.Hi, 0)
		return fmt.Sprintf("Wanted for the target: %s in all; %s would do.", setup.Text(w.T, 0, mm), setup.Range(w.Lo, w.Hi, hasLo, hasHi, mm))
	}
	return ""
}

// working is the sum as it was done, line by line.
func (b *book) working(r setup.Result) {
	rows := make([]row, 0, len(r.Working)+len(r.Missing))
	for _, l := range r.Working {
		a := cell
		if l.What == r.Name {
			a = bold
		}
		rows = append(rows, row{in(a, l.What), in(a, l.Is), in(small, l.From)})
	}
	for _, m := range r.Missing {
		rows = append(rows, row{in(cell, "still needed"), in(cell, ""), in(cell, m)})
	}
	if len(rows) > 0 {
		b.table([]col{{"Working", 4}, {"Value", 5}, {"From", 4.4}}, rows)
	}
}
