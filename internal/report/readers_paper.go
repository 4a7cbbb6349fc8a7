package report

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"endfloat/calc/ratio"
	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/setup"
)

// forNextOwner says what is in the gearbox, what is original and what is not.
func (b *book) forNextOwner() {
	b.headline("For the next owner: what is in this gearbox")
	b.unready()
	b.facts(append(b.whoAndWhat(), "Run before", b.v.Opened.Since, "Oil", b.oilWords())...)
	b.marks()
	b.ratios()
	b.part("What is original and what was replaced")
	own := 0
	var rows []row
	for _, p := range b.places() {
		from := b.originOf(p.ID)
		if from == "" {
			own++
			continue
		}
		sp, when := b.v.Spots[p.ID], ""
		if sp != nil && sp.Fitted != nil {
			when = b.day(sp.Fitted.At)
		}
		rows = append(rows, row{in(cell, p.Label()), in(cell, b.v.Built.Variants[p.ID]), in(cell, from), in(small, when)})
	}
	b.para(body, sentence(plural(own, "position has its own part", "positions have their own part"))+"; "+plural(len(rows), "has", "have")+" another:")
	b.table([]col{{"Position", 6}, {"Variant", 2}, {"From", 4}, {"Fitted", 2.5}}, rows)
	b.packsTable()
	b.settingsTable(true)
	b.nextTime()
	b.breakIn()
	b.deviations()
	b.open()
	b.seal()
}

// oilWords is what is in it, and what belongs in it.
func (b *book) oilWords() string {
	state := "not recorded"
	if c := b.v.Closed; c != nil {
		state = oilState(c.Oil)
	}
	if t := b.lastTest(plan.OilFill); t != nil {
		if state == "filled" {
			return sentence(t.Says)
		}
		return joined(". ", strings.TrimSuffix(state, "."), sentence(t.Says))
	}
	return state
}

func oilState(oil string) string {
	if t := map[string]string{"dry": "DRY: no oil is in it. Fill it before it turns.", "filled": "filled"}[oil]; t != "" {
		return t
	}
	return oil
}

// forScrutineer certifies the tooth counts.
func (b *book) forScrutineer() {
	b.headline("Tooth-count certificate")
	b.unready()
	o := b.v.Opened
	b.facts("Number", o.Number, "Year", o.Year, "Series", b.series(), "Stamped, etched", b.stamped(), "Rebuilt by", strings.Join(b.people(), ", "), "Seal number", b.sealNumber())
	if b.v.Box == nil || len(b.v.Box.Meshes) == 0 {
		b.para(strong, "The gearbox file names no pairs of gears: nothing can be certified.")
		b.seal()
		return
	}
	b.ratios()
	b.counted()
	b.part("How each speed engages, and where its gears came from")
	var rows []row
	for _, m := range b.v.Box.Meshes {
		rows = append(rows, row{in(bold, m.Speed), in(cell, b.engagement(m)), in(cell, b.gearOrigin(m.Driver)), in(cell, b.gearOrigin(m.Driven))})
	}
	b.table([]col{{"Speed", 1.2}, {"Engages by", 4.6}, {"Driver", 4.4}, {"Driven", 4.4}}, rows)
	b.facts("Differential", b.differential(), "Crown wheel", b.finalOrigin())
	b.gearPhotos()
	b.gap(4)
	b.para(body, "The tooth counts above are those of the variants fitted, by the gearbox file named in the book; where the spin test was done, the turns of the input were counted against them.")
	b.signHere("Certified by, date", "Seen by the scrutineer, date, stamp")
	b.seal()
}

// stamped are the numbers on the cases and plates.
func (b *book) stamped() string {
	var out []string
	for _, r := range b.v.Received {
		out = append(out, r.Is.Marks)
	}
	for _, p := range b.places() {
		for _, t := range b.v.At[p.ID] {
			if pc := b.v.Pieces[t]; pc != nil && len(pc.Marks) > 0 {
				out = append(out, p.ID+" "+markWords(pc.Marks))
			}
		}
	}
	return joined("; ", out...)
}

// sealNumber is the beginning of the head, enough to tell two books apart.
func (b *book) sealNumber() string {
	_, hash, _ := strings.Cut(b.o.Pin, " ")
	return fmt.Sprintf("%.12s", hash)
}

// counted sets the turns that were counted beside those that the teeth ask for.
func (b *book) counted() {
	last := b.lastTest(plan.SpinTest)
	if last == nil {
		b.para(note, "The turns were not counted.")
		return
	}
	var rows []row
	for _, m := range b.v.Box.Meshes {
		want, ok := b.v.TurnsForTen(m.Speed)
		got := last.Values[m.Speed+" turns"]
		if !ok || got == "" {
			continue
		}
		rows = append(rows, row{in(bold, m.Speed), in(cell, fmt.Sprintf("%.1f", want)), in(cell, got)})
	}
	if len(rows) > 0 {
		b.under("Turns of the input for ten of the outputs")
		b.table([]col{{"Speed", 1}, {"By the teeth", 2}, {"Counted", 2}, {"", 5}}, rows)
	}
}

// engagement says by what a speed is taken up: what lies beside its wheel.
func (b *book) engagement(m gearbox.Mesh) string {
	for _, id := range []string{m.Driven, m.Driver} {
		p, ok := b.v.Box.Position(id)
		if !ok {
			continue
		}
		if p.Kind == "sleeve" {
			return "sliding teeth on " + p.Label() + ", no synchroniser"
		}
		if r := beside(p, "baulk ring"); r != nil {
			return joined(", ", "synchroniser: "+r.Label(), dogForm(b.v.Built.Variants[p.ID]))
		}
	}
	for _, id := range []string{m.Driven, m.Driver} {
		if p, ok := b.v.Box.Position(id); ok {
			if r := beside(p, "sleeve", "dog ring", "hub"); r != nil {
				return "dogs: " + r.Label() + ", no synchroniser"
			}
		}
	}
	return "not told by the gearbox file"
}

// beside is the nearest part of one of the kinds along the shaft from a gear,
// with no other gear between the two.
func beside(p *gearbox.Position, kinds ...string) *gearbox.Position {
	for far := 1; far <= 4; far++ {
		for _, step := range []int{1, -1} {
			for k := 1; k <= far; k++ {
				i := p.Index + step*k
				if i < 0 || i >= len(p.Carrier.Order) || k < far && p.Carrier.Order[i].Kind == "gear" {
					break
				}
				if k == far && slices.Contains(kinds, p.Carrier.Order[i].Kind) {
					return p.Carrier.Order[i]
				}
			}
		}
	}
	return nil
}

func dogForm(variant string) string {
	if variant == "" {
		return ""
	}
	return "variant " + variant
}

func (b *book) gearOrigin(id string) string {
	p, ok := b.v.Box.Position(id)
	if !ok {
		return id
	}
	from := b.originOf(id)
	if from == "" {
		from = "its own"
	}
	return joined(", ", fmt.Sprintf("%s, %d teeth", p.Label(), b.teeth(id)), from)
}

func (b *book) finalOrigin() string {
	f := b.v.Box.Final
	if f == nil {
		return ""
	}
	return joined("; ", b.gearOrigin(f.Crown), b.gearOrigin(f.Pinion))
}

// differential says of what kind it is, by its parts.
func (b *book) differential() string {
	wheels := ""
	for _, c := range b.v.Box.Carriers {
		for _, p := range c.Order {
			for _, m := range p.Checks {
				if strings.HasSuffix(m.Name, "slip torque") {
					return fmt.Sprintf("plates, limited slip: %s, slips at %s", named(p), b.bandWords(limitBand(m), m.Unit))
				}
			}
			if p.Kind == "bevel gear" {
				wheels = joined(", ", wheels, strings.TrimSpace(named(p)+" "+teethWord(b.teeth(p.ID))))
			}
		}
	}
	if wheels == "" {
		return "not told by the gearbox file"
	}
	return "open, bevel: " + wheels
}

func limitBand(m *gearbox.Measure) gearbox.Band {
	if m.Limit == nil {
		return gearbox.Band{}
	}
	return m.Limit.Band
}

func teethWord(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d teeth", n)
}

// gearPhotos are the photos of the gears, the newest of each.
func (b *book) gearPhotos() {
	var of []plan.Photo
	seen := map[string]bool{}
	ids := []string{}
	for _, m := range b.v.Box.Meshes {
		ids = append(ids, m.Driver, m.Driven)
	}
	if f := b.v.Box.Final; f != nil {
		ids = append(ids, f.Crown, f.Pinion)
	}
	for _, f := range slices.Backward(b.photos) {
		if slices.Contains(ids, f.Position) && !seen[f.Position] {
			seen[f.Position] = true
			of = append(of, f)
		}
	}
	slices.Reverse(of)
	if len(of) == 0 {
		b.para(note, "No photo of a gear is in the book.")
		return
	}
	b.under("Photos of the gears")
	b.grid(of)
}

// forFitter is what whoever puts it in must know.
func (b *book) forFitter() {
	b.headline("Hand-over: for whoever puts it in")
	b.unready()
	b.facts("Oil", b.oilWords(), "Handed to", b.to(), "Note", b.closedNote())
	b.goesWithIt()
	b.ratios()
	b.testsTable()
	b.fastenings()
	b.open()
	b.cautions()
	b.signHere("Handed over by, date", "Received by, date")
	b.seal()
}

func (b *book) to() string {
	if c := b.v.Closed; c != nil {
		return c.To
	}
	return ""
}

func (b *book) closedNote() string {
	if c := b.v.Closed; c != nil {
		return c.Note
	}
	return ""
}

// forOperator is the release note: what was proved, by whom it was seen, and
// what stands open. It releases nothing while anything does.
func (b *book) forOperator() {
	b.headline("Release note: for the operator's engineer")
	n := b.openCount()
	switch {
	case n > 0:
		b.para(face{true, 12, 6, 0}, "NOT FOR RELEASE: "+plural(n, "point stands open", "points stand open")+".")
	case b.v.Closed == nil:
		b.para(face{true, 12, 6, 0}, "NOT FOR RELEASE: the unit is not finished.")
	default:
		b.para(strong, "No point stands open. Release is the engineer's, not this program's.")
	}
	b.facts(append(b.whoAndWhat(), "Oil", b.oilWords(), "Handed to", b.to())...)
	b.testsTable()
	b.settingsTable(false)
	b.holdPoints()
	b.fastenings()
	b.deviations()
	b.open()
	b.breakIn()
	b.cautions()
	b.signHere("For the workshop, date", "Released by the operator's engineer, date")
	b.seal()
}

// openCount is how many points the part of the open points lists.
func (b *book) openCount() int {
	n := len(openPoints(b.v))
	if len(b.notIn()) > 0 {
		n++
	}
	if b.v.Closed == nil && len(b.v.Build) > 0 {
		n++
	}
	return n
}

// holdPoints are the holds passed and the signatures given.
func (b *book) holdPoints() {
	var rows []row
	for _, e := range b.v.Signed {
		if s, ok := is[job.Signed](e); ok {
			rows = append(rows, row{in(cell, s.What), in(cell, joined(", ", b.name(s.Name), s.As)), in(small, b.stamp(e))})
		}
	}
	for _, e := range b.live("tested") {
		if t, ok := is[job.Tested](e); ok && t.Witness != "" {
			rows = append(rows, row{in(cell, sentence(t.Test)+", seen"), in(cell, t.Witness), in(small, b.stamp(e))})
		}
	}
	for _, e := range b.live("allowed") {
		if a, ok := is[job.Allowed](e); ok && a.Witness != "" {
			rows = append(rows, row{in(cell, sentence(b.holdWords(a.Hold))+", passed with a reason"), in(cell, a.Witness), in(small, b.stamp(e))})
		}
	}
	b.part("Signed and witnessed")
	if len(rows) == 0 {
		b.para(body, "Nothing was signed or witnessed.")
		return
	}
	b.table([]col{{"What", 7}, {"By", 4}, {"Recorded", 4}}, rows)
}

// breakIn is how it is run in, and when it is looked at next.
func (b *book) breakIn() {
	if b.v.Box == nil || b.v.Box.Closing == nil || len(b.v.Box.Closing.BreakIn) == 0 {
		return
	}
	b.under("Running in, and the next look")
	for _, s := range b.v.Box.Closing.BreakIn {
		b.bullet(sentence(s), "")
	}
}

// forPayer is the trail of the price.
func (b *book) forPayer() {
	b.headline("Price trail")
	b.unready()
	b.facts("Asked for", b.v.Opened.Asked, "Owner", b.name(b.v.Opened.Owner))
	b.agreed()
	b.accountPart()
	b.costs()
	b.seal()
}

// agreed is what the customer was told and what was agreed to.
func (b *book) agreed() {
	es := append(b.live("estimate"), b.live("approved")...)
	slices.SortFunc(es, func(a, c job.Entry) int { return a.Seq - c.Seq })
	if len(es) == 0 {
		return
	}
	b.part("Estimate and agreement")
	for _, e := range es {
		b.bullet(sentence(b.says(e)), b.stamp(e))
	}
}

// accountPart is what it came to. What the workshop reckons with stands in its
// stores, so the account comes from outside.
func (b *book) accountPart() {
	a := b.o.Account
	if a == nil || a.Sum == 0 {
		return
	}
	b.part("Hours and price")
	var rows []row
	for _, s := range a.Stages {
		rows = append(rows, row{in(cell, sentence(s.Name)), in(cell, fmt.Sprintf("%.4g h", s.Hours)), in(cell, a.Money(s.Money))})
	}
	if len(rows) > 0 {
		rows = append(rows, row{in(bold, "Hours in all"), in(bold, fmt.Sprintf("%.4g h", a.Hours)), in(bold, a.Money(a.Hours*a.Rate))})
	}
	rows = append(rows, row{in(cell, "Parts"), nil, in(cell, a.Money(a.Parts*(1+a.MarginShare)))})
	if a.Consumables > 0 {
		rows = append(rows, row{in(cell, "Consumables"), nil, in(cell, a.Money(a.Consumables))})
	}
	if a.Contingency > 0 {
		rows = append(rows, row{in(cell, "Contingency"), nil, in(cell, a.Money(a.Contingency))})
	}
	rows = append(rows, row{in(bold, "Sum"), nil, in(bold, a.Money(a.Sum))})
	b.table([]col{{"Stage", 6}, {"Hours", 3}, {"Price", 4}}, rows)
	b.para(note, "Price = parts · (1 + margin) + hours · rate + consumables + contingency: "+a.Formula())
	b.para(body, sentence(a.Stands())+".")
	for _, u := range a.Unread {
		b.bullet("Not added up: "+u, "")
	}
}

// oldParts are the unit's own parts that did not go back, and where they lie.
func (b *book) oldParts() {
	by := map[string][]string{}
	for _, p := range b.places() {
		tag := job.Tag(b.v.Opened.Letter, p.ID)
		sp := b.v.Spots[p.ID]
		if _, in := b.v.In(tag); in || b.v.Pieces[tag] == nil || sp == nil || sp.Off == nil || len(b.v.At[p.ID]) == 0 {
			continue
		}
		by[b.v.Where[tag]] = append(by[b.v.Where[tag]], p.ID)
	}
	if len(by) == 0 {
		return
	}
	b.under("Old parts, which are the owner's, and where they lie")
	var bags []string
	for _, place := range slices.Sorted(maps.Keys(by)) {
		if strings.HasPrefix(place, "bag ") && len(by[place]) == 1 {
			bags = append(bags, by[place][0])
			continue
		}
		b.bullet(sentence(place)+": "+strings.Join(by[place], ", "), "")
	}
	if len(bags) > 0 {
		b.bullet("Each in a bag of its own: "+strings.Join(bags, ", "), "")
	}
}

// forBuilder is everything that is set, on one page.
func (b *book) forBuilder() {
	b.left, b.right, b.tight = 15, 14, true
	b.headline("Build sheet")
	b.y -= 2
	open := "none"
	if n := b.openCount(); n > 0 {
		open = plural(n, "point", "points") + ": see the book"
	}
	from, to := b.span()
	b.facts("Tag", joined(", ", b.v.Opened.Letter, b.v.Opened.Colour+" tape"), "Built", joined(" to ", b.day(from), b.day(to))+", by "+strings.Join(b.people(), ", "), "Oil", b.oilWords(), "Open points", open)
	b.sheetColumns()
	b.para(tiny, joined(" · ", "Head of the book: "+b.o.Pin, "printed "+b.day(b.o.Made), gearbox.Defers))
}

// sheetColumns sets settings and packs at the left, torques and tests at the right.
func (b *book) sheetColumns() {
	top, left, right := b.y, b.left, b.right
	most := 0.55 * (b.wide() - 6)
	b.right = b.w - b.left - most
	b.settingsTable(false)
	b.packsTable()
	low := b.y
	b.left, b.right, b.y = left+most+6, right, top
	b.torquesTable()
	b.testsTable()
	b.left, b.right, b.y = left, right, max(low, b.y)+1
}

// settingsTable is a line for each setting: what it is, what is wanted, what was found.
func (b *book) settingsTable(withHelp bool) {
	var rows []row
	for _, r := range b.v.Settings {
		if !b.touched(r) || b.v.Closed == nil && !b.measured(r) && len(b.foundOf(r.Name)) == 0 {
			continue // of a unit that is still apart, lengths from the file alone tell nobody anything
		}
		value, verdict := "not known", "not proven"
		if b.known(r) {
			value = setup.Text(r.Value, r.U, r.Unit)
		}
		switch {
		case r.Proven && !b.measured(r):
			verdict = "by calculation"
		case r.Proven:
			verdict = "in, proven"
		}
		help := ""
		if withHelp {
			help = r.Help
		}
		wanted := setup.Range(r.Lo, r.Hi, r.HasLo, r.HasHi, r.Unit)
		if b.tight {
			rows = append(rows, row{in(tiny, sentence(r.Name)), in(tiny, nb(value)), in(tiny, nb(wanted)), in(tiny, verdict)})
			continue
		}
		rows = append(rows, row{in(cell, sentence(r.Name), help), in(cell, nb(value)), in(cell, nb(wanted), r.From), in(cell, nb(b.foundOf(r.Name))), in(cell, verdict)})
	}
	if len(rows) == 0 {
		return
	}
	if b.tight {
		b.under("Settings")
		b.table([]col{{"Setting", 3}, {"Is", 4.3}, {"Wanted", 4.4}, {"", 2.6}}, rows)
		return
	}
	b.part("What it was set to")
	b.table([]col{{"Setting", 4}, {"Is", 3.2}, {"Wanted", 3.4}, {"Was, as found", 3}, {"So", 2.4}}, rows)
}

// foundOf is the reading of a setting as the unit came in.
func (b *book) foundOf(name string) string {
	m, ok := b.v.Box.Measure(name + asFound)
	if !ok {
		return ""
	}
	rs := b.v.ReadingsOf(m.Name)
	if len(rs) == 0 || len(rs[0].Is.SI) == 0 {
		return ""
	}
	return setup.Judge(b.v.State, m, rs[0]).Text
}

// packsTable is the pack at every seat, piece by piece, with its sum.
func (b *book) packsTable() {
	var rows []row
	for _, p := range b.places() {
		if p.Seat == nil || len(b.v.At[p.ID]) == 0 {
			continue
		}
		var each []string
		sum := 0.0
		for _, t := range b.v.At[p.ID] {
			pc := b.v.Pieces[t]
			if pc == nil {
				continue
			}
			each = append(each, joined(" ", t, thickness(pc)))
			sum += pc.SI
		}
		was := ""
		if sp := b.v.Spots[p.ID]; sp != nil && sp.Off != nil {
			was = strings.Join(sp.Off.Is.Thick, " + ")
		}
		total := ""
		if sum > 0 {
			total = fmt.Sprintf("%.3f mm", sum*1e3)
		}
		f := cell
		if b.tight {
			f = tiny
		}
		rows = append(rows, row{in(f, p.Label()), in(f, strings.Join(each, " + ")), in(f, nb(total)), in(f, was)})
	}
	if len(rows) == 0 {
		return
	}
	if b.tight {
		b.under("Shims and spacers by place")
	} else {
		b.part("Shims and spacers by place")
	}
	b.table([]col{{"Place", 4}, {"Pieces", 4.7}, {"Together", 2.5}, {"Was", 1.8}}, rows)
}

// torquesTable is a line for each fastening that was brought to its torque.
func (b *book) torquesTable() {
	var rows []row
	for _, p := range b.places() {
		sp := b.v.Spots[p.ID]
		if sp == nil || sp.Torqued == nil && sp.Locked == nil {
			continue
		}
		got, lock := "", ""
		if sp.Torqued != nil {
			got = torqueText(sp.Torqued.Is.Torque, sp.Torqued.Is.U)
		}
		if sp.Locked != nil {
			lock = sp.Locked.Is.How
		}
		rows = append(rows, row{in(tiny, p.Label()), in(tiny, nb(p.Torque.Text(b.v.Built))), in(tiny, nb(got)), in(tiny, lock)})
	}
	if len(rows) > 0 {
		b.under("Torques and locks")
		b.table([]col{{"Fastening", 4}, {"Wanted", 2.5}, {"Reached", 4.2}, {"Lock", 3}}, rows)
	}
}

// testsTable is a line for each test, the last of each.
func (b *book) testsTable() {
	last := map[string]row{}
	var names []string
	for _, e := range b.live("tested") {
		t, ok := is[job.Tested](e)
		if !ok {
			continue
		}
		verdict := "good"
		if !t.Good {
			verdict = "NOT GOOD"
		}
		f := cell
		if b.tight {
			f = tiny
		}
		r := row{in(f, sentence(t.Test)), in(f, strings.SplitN(sentence(t.Says), ":", 2)[0]), in(f, verdict)}
		if !b.tight {
			r = append(r, in(small, t.Witness, b.stamp(e)))
		}
		names = slices.DeleteFunc(names, func(n string) bool { return n == t.Test })
		names, last[t.Test] = append(names, t.Test), r
	}
	if len(names) == 0 {
		return
	}
	var rows []row
	for _, n := range names {
		rows = append(rows, last[n])
	}
	if b.tight {
		b.under("Proofs and tests")
		b.table([]col{{"Test", 2}, {"Result", 6}, {"So", 1.6}}, rows)
		return
	}
	b.part("Proofs and tests")
	b.table([]col{{"Test", 2}, {"Result", 6}, {"So", 2}, {"Witness, when", 4}}, rows)
}

// signHere leaves room for two signatures.
func (b *book) signHere(who ...string) {
	b.need(24)
	b.gap(14)
	half := (b.wide() - 12) / 2
	for i, w := range who {
		x := b.left + float64(i)*(half+12)
		b.rule(x, b.y, half, 0.2, 0)
		b.text(note, x, b.y+4, w)
	}
	b.y += 10
}

// governed is the highest speed of the engine of the unit's series, rad/s, and
// the wheel it drives, where the gearbox file has both.
func (b *book) governed() (ω float64, wheel unit.Length, ok bool) {
	s := b.v.Box.Strength
	if s == nil || s.Vehicle == nil {
		return 0, 0, false
	}
	d, known := s.Vehicle.Wheel.SI(b.v.Built)
	for _, e := range s.Engines {
		if n := len(e.Curve); n > 0 && (e.Series == b.v.Opened.Series || ω == 0) {
			ω = e.Curve[n-1].Speed
		}
	}
	return ω, unit.Length(d), known && ω > 0
}

// roadSpeed is the speed on the road or track in km/h; "" where it is not known.
func (b *book) roadSpeed(overall float64) string {
	ω, wheel, ok := b.governed()
	if !ok || overall <= 0 {
		return ""
	}
	return fmt.Sprintf("%.1f", ratio.Speed(ω, overall, wheel)*3.6)
}

// rpmOf is an engine speed as people say it.
func rpmOf(ω float64) float64 { return math.Round(ω * 30 / math.Pi) }
