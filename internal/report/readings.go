package report

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// asFound ends the name of a measure of the unit as it came in, whose partner
// without these words is measured, or set, when it is built again.
const asFound = " as found"

// readings sets what was found beside what was built, measure by measure,
// against the limit and where that stands.
func (b *book) readings() {
	b.part("Readings against limits")
	if b.v.Box == nil || len(b.v.Readings) == 0 {
		b.freeReadings()
		if len(b.v.Readings) == 0 {
			b.para(body, "No reading was recorded.")
		}
		return
	}
	b.para(note, "A value is the mean of its readings at 20 °C with its standard uncertainty. In and out are said only where the doubt leaves no question (ISO 14253-1, a guard band of 1.65 standard uncertainties); else it is too close to call.")
	var rows []row
	for _, m := range b.v.Box.Measures {
		if r := b.pair(m); r != nil {
			rows = append(rows, r)
		}
	}
	b.table([]col{{"Reading", 3.8}, {"Limit", 3.4}, {"As found", 4}, {"As built", 4}, {"Verdict", 1.9}}, rows)
	b.freeReadings()
}

// pair is the row of a measure, nil when there is nothing to say.
func (b *book) pair(m *gearbox.Measure) row {
	found, built := b.foundAndBuilt(m)
	name, paired := strings.CutSuffix(m.Name, asFound)
	if !paired {
		if b.hasFound(m.Name) {
			return nil // in the row of its partner
		}
		if found == nil && built == nil {
			return nil
		}
		return b.readingRow(m, m, found, built)
	}
	if found == nil {
		return nil
	}
	if partner, ok := b.v.Box.Measure(name); ok {
		_, built = b.foundAndBuilt(partner)
		if built == nil {
			built, _ = b.foundAndBuilt(partner)
		}
		return b.readingRow(m, partner, found, built)
	}
	r := b.readingRow(m, m, found, nil)
	r[0] = in(cell, sentence(name))
	if set, ok := b.v.Setting(name); ok && set.Known {
		r[3] = in(cell, setup.Text(set.Value, set.U, set.Unit), "worked out, see Settings")
		r[4] = verdictLines(set.Verdict, false)
	}
	return r
}

// hasFound reports whether a measure "name as found" has a reading.
func (b *book) hasFound(name string) bool {
	return len(b.v.ReadingsOf(name+asFound)) > 0
}

// readingRow sets the reading found, of measure m, beside the one built, of
// measure of; the limit is that of the later one where it has one.
func (b *book) readingRow(m, of *gearbox.Measure, found, built *job.Reading) row {
	limited := of
	if of.Limit == nil && m.Limit != nil {
		limited = m
	}
	r := row{b.measureCell(of), b.limitCell(limited), nil, nil, nil}
	if found != nil {
		r[2] = b.readingCell(m, *found)
		r[4] = b.verdictCell(m, *found)
		if built == nil && len(r[4]) > 0 {
			r[3] = in(small, b.renewed(of))
			r[4] = in(small, "was "+r[4][0].text)
		}
	}
	switch {
	case built == nil:
	case found != nil && built.Seq == found.Seq:
		r[3] = in(small, b.stillThere(of))
	default:
		r[3] = b.readingCell(of, *built)
		r[4] = b.verdictCell(of, *built)
	}
	return r
}

// stillThere says why a reading as found serves as built too.
func (b *book) stillThere(m *gearbox.Measure) string {
	for _, id := range m.Of {
		if len(b.v.At[id]) == 0 {
			return "the part is not in the unit"
		}
	}
	return "as found: the part was kept"
}

// renewed says what became of the parts a reading was about.
func (b *book) renewed(m *gearbox.Measure) string {
	for _, id := range m.Of {
		sp := b.v.Spots[id]
		if sp != nil && sp.Decided != nil && sp.Decided.Is.Choice != "reuse" {
			return fmt.Sprintf("not read again; %s: %s", id, sp.Decided.Is.Choice)
		}
	}
	return "not read again"
}

// foundAndBuilt are the first reading of what came in with the unit and the
// last that is about what is in it now; they may be one and the same.
func (b *book) foundAndBuilt(m *gearbox.Measure) (found, built *job.Reading) {
	rs := b.v.ReadingsOf(m.Name)
	for i := range rs {
		if found == nil && (m.Before || b.ofFound(rs[i]) && !b.fittedBefore(rs[i])) {
			found = &rs[i]
		}
		if !m.Before && b.v.Valid(rs[i]) {
			built = &rs[i]
		}
	}
	if built == nil && found == nil && len(rs) > 0 {
		found = &rs[len(rs)-1] // of a part that came later and went again
	}
	return found, built
}

// fittedBefore reports whether any part that a reading is about had been fitted
// again when it was taken: then it is of the unit as built.
func (b *book) fittedBefore(r job.Reading) bool {
	for id := range r.Of {
		if sp := b.v.Spots[id]; sp != nil && sp.Fitted != nil && sp.Fitted.Seq < r.Seq {
			return true
		}
	}
	return false
}

// ofFound reports whether a reading is about the pieces that came in.
func (b *book) ofFound(r job.Reading) bool {
	for id, tags := range r.Of {
		came := []string{job.Tag(b.v.Opened.Letter, id)}
		if sp := b.v.Spots[id]; sp != nil && len(sp.AsFound) > 0 {
			came = sp.AsFound
		}
		if tags != strings.Join(came, " ") {
			return false
		}
	}
	return len(r.Of) > 0
}

func (b *book) measureCell(m *gearbox.Measure) []line {
	name := m.Name
	if p, ok := b.v.Box.Position(strings.SplitN(name, " ", 2)[0]); ok {
		return in(cell, name, p.Name)
	}
	return in(cell, sentence(name), m.Help)
}

// limitCell says what is wanted and where that stands.
func (b *book) limitCell(m *gearbox.Measure) []line {
	l := m.Limit
	if l == nil {
		if set, ok := b.v.Box.Setting(m.Name); ok && set.Band.Known() {
			lo, hi, hasLo, hasHi := set.Band.At(b.v.Built)
			return in(cell, nb(setup.Range(lo, hi, hasLo, hasHi, m.Unit)), spreadWords(m), set.From)
		}
		return in(small, "none in the file")
	}
	as := b.v.Built
	plan := ""
	if p, ok := l.Plan.SI(as); ok {
		plan = fmt.Sprintf("plan to renew %s %s", l.Bad, nb(setup.Text(p, 0, m.Unit)))
	}
	fresh := ""
	if f := b.bandWords(l.New, m.Unit); f != "" {
		fresh = "new " + f
	}
	return in(cell, b.bandWords(l.Band, m.Unit), fresh, plan, spreadWords(m), l.From)
}

// bandWords prints bounds with the digits in which the file has them.
func (b *book) bandWords(band gearbox.Band, u unit.Unit) string {
	as := b.v.Built
	lo, hi := bound(band.Lo.Text(as), u), bound(band.Hi.Text(as), u)
	switch {
	case lo != "" && hi != "":
		return nb(strings.TrimSpace(strings.TrimSuffix(lo, u.Symbol)) + " to " + hi)
	case lo != "":
		return nb("at least " + lo)
	case hi != "":
		return nb("at most " + hi)
	}
	return ""
}

// bound is a figure as written, with the unit where it was left out.
func bound(t string, u unit.Unit) string {
	if last := strings.TrimRight(t, "0123456789.,"); last == "" && t != "" {
		t = strings.TrimSpace(t + " " + u.Symbol)
	}
	return t
}

func spreadWords(m *gearbox.Measure) string {
	if m.Spread <= 0 {
		return ""
	}
	return "varying by at most " + nb(setup.Text(m.Spread, 0, m.Unit))
}

// readingCell is a value with its readings, instrument, temperature and stamp.
func (b *book) readingCell(m *gearbox.Measure, r job.Reading) []line {
	if len(r.Is.SI) == 0 {
		return in(cell, strings.Join(r.Is.Values, " · "), b.stamp(r.Entry))
	}
	j := setup.Judge(b.v.State, m, r)
	turn := ""
	if m.Places > 0 && len(r.Is.SI) > 1 {
		turn = fmt.Sprintf("least %s, most %s around the turn", setup.Text(j.Mean.Min, 0, m.Unit), setup.Text(j.Mean.Max, 0, m.Unit))
	}
	if len(r.Is.Dial) > 0 {
		turn = "dial round a turn " + strings.Join(r.Is.Dial, " · ")
	}
	if j.Mean.U == 0 && len(r.Is.Values) == 1 {
		return append(in(cell, nb(bound(r.Is.Values[0], m.Unit))), b.readingFoot(r)...)
	}
	return append(in(cell, nb(j.Text)), b.readingFoot(r, "read "+strings.Join(r.Is.Values, " · "), turn)...)
}

// readingFoot is what stands under a value.
func (b *book) readingFoot(r job.Reading, first ...string) []line {
	at := ""
	if r.Is.Temp != nil {
		c, _ := unit.Find("°C", unit.KindTemperature)
		at = "at " + nb(unit.Format(*r.Is.Temp, c, 0))
	}
	sure := ""
	if r.Is.Sure {
		sure = "asked and confirmed"
	}
	how := joined(", ", r.Is.With, at, r.Is.State, sure)
	if len(first) > 0 && len(r.Is.Values) == 1 {
		first = []string{joined(", ", first[0], how)}
		how = ""
	}
	return in(cell, "", append(first, how, r.Is.Note, joined(", ", b.stamp(r.Entry), b.fig(r.Is.Photos)))...)
}

func (b *book) verdictCell(m *gearbox.Measure, r job.Reading) []line {
	if len(r.Is.SI) == 0 {
		return nil
	}
	j := setup.Judge(b.v.State, m, r)
	ls := verdictLines(j.Verdict, j.Plan)
	if set, ok := b.v.Setting(m.Name); ok && set.Known {
		ls = verdictLines(set.Verdict, false)
	}
	if j.SpreadOut {
		ls = append(ls, line{bold, "varies too much"})
	}
	return ls
}

// verdictLines prints a verdict: what needs a look is bold.
func verdictLines(v uncert.Verdict, plan bool) []line {
	switch {
	case v == "":
		return nil
	case plan:
		return in(cell, string(v), "plan to renew it")
	case v == uncert.In:
		return in(cell, string(v))
	}
	return in(bold, string(v))
}

// freeReadings are those of things that no gearbox file names.
func (b *book) freeReadings() {
	var rows []row
	for _, r := range b.v.Readings {
		if b.v.Box != nil {
			if _, ok := b.v.Box.Measure(r.Is.What); ok {
				continue
			}
		}
		values := slices.Clone(r.Is.Values)
		foot := b.readingFoot(r)
		rows = append(rows, row{in(cell, sentence(r.Is.What)), in(cell, strings.Join(values, " · ")), foot})
	}
	if len(rows) > 0 {
		b.under("Other readings")
		b.table([]col{{"Reading", 4}, {"Read", 4}, {"With, who, when", 5}}, rows)
	}
}

// nb keeps a value and its unit on one line.
func nb(t string) string { return strings.ReplaceAll(t, " ", "\u00a0") }
