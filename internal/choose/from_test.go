package choose_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"endfloat/internal/choose"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
)

var box = sync.OnceValues(func() (*gearbox.Box, error) {
	text, err := os.ReadFile("../demo/bw-4t.gearbox.yaml")
	if err != nil {
		return nil, err
	}
	return gearbox.Read("bw-4t.gearbox.yaml", text)
})

// book replays a job of the scenario.
func book(t testing.TB, unit, letter, series string, bs ...job.Body) *job.State {
	t.Helper()
	b, err := box()
	if err != nil {
		t.Fatal(err)
	}
	var es []job.Entry
	for i, body := range append([]job.Body{job.Opened{Unit: unit, Letter: letter, Type: b.Name, Series: series}}, bs...) {
		id := fmt.Sprintf("e%d", i+1)
		by, err := job.Encode(job.Entry{ID: id, At: time.Date(2026, 1, 13, 10, i, 0, 0, time.UTC)}, body)
		if err != nil {
			t.Fatal(err)
		}
		es = append(es, job.Decode(job.Line{Seq: i + 1, ID: id, Bytes: by}))
	}
	s := job.Replay(unit, b, es)
	if len(s.Stray) > 0 {
		t.Fatal(s.Stray)
	}
	return s
}

func reads(what string, v float64) job.Read {
	return job.Read{What: what, Values: []string{fmt.Sprint(v)}, SI: []float64{v}, U: 1e-6}
}

func mark(tag, set string) job.Marked {
	return job.Marked{Tag: tag, Marks: map[string]string{"set number": set}}
}

// strip takes everything off, as the geometry allows.
func strip(t testing.TB, bs ...job.Body) []job.Body {
	b, err := box()
	if err != nil {
		t.Fatal(err)
	}
	order := slices.Clone(b.Order())
	slices.Reverse(order)
	var out []job.Body
	for _, p := range order {
		out = append(out, job.TakenOff{Position: p.ID, Place: "tray"})
	}
	return append(out, bs...)
}

// The scenario: Linnet (series A) and Dunnock (series B) are stripped and
// inspected, Plover (series B, its case broken) is the donor, and stripped too.
func scenario(t testing.TB) choose.Input {
	linnet := book(t, "Linnet", "L", "A", strip(t, mark("L-P01", "417"), mark("L-D03", "417"),
		reads("P09 ring gap", 0.95e-3), reads("P14 ring gap", 0.62e-3), reads("P22 ring gap", 1.10e-3), reads("P27 ring gap", 1.05e-3),
		reads("P08 dog wear", 0.40), reads("P08 radial play", 0.09e-3), reads("P11 spline wear", 0.35e-3))...)
	dunnock := book(t, "Dunnock", "D", "B", strip(t, mark("D-P01", "522"), mark("D-D03", "522"),
		reads("P09 ring gap", 0.41e-3), reads("P14 ring gap", 0.88e-3), reads("P22 ring gap", 0.47e-3), reads("P27 ring gap", 0.92e-3),
		job.Decided{Position: "P19", Choice: "scrap", Why: "one tooth chipped"})...)
	plover := book(t, "Plover", "P", "B", strip(t, mark("P-D03", "402"), job.Decided{Position: "C01", Choice: "scrap", Why: "broken"})...)
	in := choose.Input{
		Units:  []choose.Job{{State: linnet}, {State: dunnock}},
		Donors: []*job.State{plover},
		Labour: choose.Labour{Hour: 4800, Hand: 0.1, Press: 0.5, Fasten: 0.2, Setting: 1.5, Worn: 6000, Close: 6000, Unread: 1500, Move: 800, Pass: 1000, Unpriced: 100},
	}
	for _, o := range []choose.Offer{
		{Position: "P08", Variant: "SYM", Price: 42000, Days: 20}, {Position: "P11", Variant: "narrow", Price: 38000, Days: 20},
		{Position: "P09", Variant: "SYM", Price: 6400}, {Position: "P09", Variant: "ASY", Price: 6900}, {Position: "P14", Variant: "SYM", Price: 6400},
		{Position: "P22", Price: 6400}, {Position: "P27", Price: 6400}, {Position: "P19", Price: 39000, Days: 20},
		{Position: "P38", Price: 150, Count: 2},
	} {
		o.From = "supplier"
		in.Offers = append(in.Offers, o)
	}
	return in
}

// solve makes the model and its proven answer.
func solve(t testing.TB, in choose.Input) (*choose.Model, choose.Answer) {
	t.Helper()
	m, err := choose.From(in)
	if err != nil {
		t.Fatal(err)
	}
	a, err := m.Solve()
	if err != nil {
		t.Fatal(err)
	}
	if !a.Proven {
		t.Fatalf("not proven in %d nodes", a.Nodes)
	}
	return m, a
}

func at(m *choose.Model, a choose.Answer, unit, position string) choose.Chosen {
	for _, c := range m.Build(a) {
		if c.Unit == unit && c.Position.ID == position {
			return c
		}
	}
	return choose.Chosen{}
}

// group is what belongs together on series B's 1st and 2nd.
var group = map[string]string{"P08": "ASY", "P09": "ASY", "P10": "wide", "P11": "wide", "P14": "ASY", "P15": "38T", "P18": "thin", "F04": "F-B", "Q08": "21T"}

// unfit is what inspection speaks against in the scenario.
const unfit = "L-P08 L-P11 D-P09 D-P22 D-P19 P-C01 L-P38 P-P38"

// sound fails when an answer uses a piece twice, breaks a rule as the gearbox
// file is judged, or uses a piece that is not fit.
func sound(t *testing.T, m *choose.Model, a choose.Answer, unfit string, units ...string) {
	t.Helper()
	b, _ := box()
	used := map[string]string{}
	for _, c := range m.Build(a) {
		if c.Tag != "" && used[c.Tag] != "" {
			t.Errorf("%s is at %s and at %s of %s", c.Tag, used[c.Tag], c.Position.ID, c.Unit)
		}
		used[c.Tag] = c.Unit + " " + c.Position.ID
	}
	for _, tag := range strings.Fields(unfit) {
		if used[tag] != "" {
			t.Errorf("%s is used at %s", tag, used[tag])
		}
	}
	for u, name := range units {
		for _, r := range b.Rules {
			if br, broken := b.Judge(r, m.Parts(a.Choice, u)); broken && !r.Soft {
				t.Errorf("%s: %s", name, br.Says)
			}
		}
	}
}

// Linnet's worn 1st gear and sleeve are best mended with the whole group of the
// donor; Dunnock takes the donor's 3rd gear for its chipped one.
func TestBestPair(t *testing.T) {
	m, a := solve(t, scenario(t))
	sound(t, m, a, unfit, "Linnet", "Dunnock")
	for id, v := range group {
		if c := at(m, a, "Linnet", id); c.Variant != v || c.Own {
			t.Errorf("Linnet %s is %s, want %s of another unit", id, c.Part, v)
		}
	}
	if c := at(m, a, "Dunnock", "P19"); c.Tag != "P-P19" {
		t.Errorf("Dunnock P19 is %s, want the donor's", c.Part)
	}
	if c := at(m, a, "Linnet", "P19"); !c.Own {
		t.Errorf("Linnet P19 is %s, its own was fit", c.Part)
	}
	if c := at(m, a, "Linnet", "P38"); c.Part != "new from supplier" {
		t.Errorf("Linnet P38 is %s", c.Part)
	}
	alts, err := m.Alternatives(a, 3)
	if err != nil || len(alts) != 3 {
		t.Fatalf("%d alternatives, %v", len(alts), err)
	}
	for i, x := range alts {
		sound(t, m, x, unfit, "Linnet", "Dunnock")
		if x.Cost.Sum() < a.Cost.Sum() || i > 0 && x.Cost.Sum() < alts[i-1].Cost.Sum() || len(x.Instead) == 0 {
			t.Errorf("alternative %d costs %v, the best %v: %v", i, x.Cost, a.Cost, x.Instead)
		}
	}
}

// wants makes the model with pieces asked for.
func wants(t *testing.T, in choose.Input, want ...[2]string) *choose.Model {
	t.Helper()
	m, err := choose.From(in)
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range want {
		if err := m.Want("Linnet", w[0], w[1]); err != nil {
			t.Fatal(err)
		}
	}
	return m
}

// without drops the lines of the gearbox file that hold any of the words.
func without(t *testing.T, words ...string) *gearbox.Box {
	t.Helper()
	b, err := box()
	if err != nil {
		t.Fatal(err)
	}
	var kept []string
	for line := range strings.Lines(string(b.Text)) {
		if !slices.ContainsFunc(words, func(w string) bool { return strings.Contains(line, w) }) {
			kept = append(kept, line)
		}
	}
	b, err = gearbox.Read("less.yaml", []byte(strings.Join(kept, "")))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Seeded events where a choice matters: what is wanted clashes, in words that
// name the positions and the rule, and each wish given up is a way out.
func TestSeededEvents(t *testing.T) {
	whole, _ := box()
	spacers := []choose.Held{{Piece: job.Piece{Tag: "i1", Stock: "inner spacer", SI: 12.24e-3}}, {Piece: job.Piece{Tag: "i2", Stock: "inner spacer", SI: 12.40e-3}}}
	for _, tt := range []struct {
		event string
		box   *gearbox.Box
		want  [][2]string
		says  []string
		ways  int
	}{
		{"1, Plover's ASY 1st gear with Linnet's SYM sleeve", whole, [][2]string{{"P08", "P-P08"}, {"P11", "L-P11"}}, []string{"P-P08", "L-P11", "dogs must be one for all of P08, P09, P11, P14, P15", "jumps out"}, 2},
		{"2, wide hub with the 5.00 washer", whole, [][2]string{{"P10", "wide"}, {"P18", "thick"}}, []string{"P10 hub 1/2 (wide) needs P18 distance washer 2-3 (thin)"}, 2},
		{"2, by arithmetic alone", without(t, "P10: wide}, needs: {P18", "P10: narrow}, needs: {P18"), [][2]string{{"P10", "wide"}, {"P18", "thick"}}, []string{"nut stack proud must come within its limits"}, 2},
		{"3, 21T driver without the 38T wheel", whole, [][2]string{{"Q08", "21T"}, {"P15", "39T"}}, []string{"Q08", "P15"}, 2},
		{"3, by tooth counts alone", without(t, "Q08: 2", "P15: 3"), [][2]string{{"Q08", "21T"}, {"P15", "39T"}}, []string{"72 mm between centres", "Q08 and P15 must have 59 teeth together"}, 2},
		{"4, crown wheel 402 with pinion 417", whole, [][2]string{{"D03", "P-D03"}, {"P01", "L-P01"}}, []string{"P01, D03 must have one set number", "lapped together"}, 2},
		{"13, the old tab washer", whole, [][2]string{{"P38", "L-P38"}}, []string{"P38 tab washer is a one-way part and L-P38 has been in use"}, 1},
	} {
		in := scenario(t)
		in.Stock = spacers
		linnet := book(t, "Linnet", "L", "A", strip(t, mark("L-P01", "417"), mark("L-D03", "417"))...)
		in.Units[0].State = linnet
		for _, s := range append(in.Donors, linnet, in.Units[1].State) {
			s.Box = tt.box
		}
		m := wants(t, in, tt.want...)
		a, err := m.Solve()
		if err != nil || a.Clash == nil {
			t.Errorf("event %s: no clash: %v", tt.event, err)
			continue
		}
		text := a.Clash.Text()
		for _, s := range tt.says {
			if !strings.Contains(text, s) {
				t.Errorf("event %s: %q does not say %q", tt.event, text, s)
			}
		}
		if !a.Clash.Smallest {
			t.Errorf("event %s: the clash is not proven smallest", tt.event)
		}
		ways, err := m.WaysOut(a.Clash)
		if err != nil || len(ways) != tt.ways {
			t.Errorf("event %s: %d ways out of %v, %v; want %d", tt.event, len(ways), a.Clash.Groups, err, tt.ways)
		}
		for _, w := range ways {
			if slices.ContainsFunc(w.Takes, func(s string) bool { return strings.Contains(s, "P39") }) {
				t.Errorf("event %s: a one-way part stands among %v", tt.event, w.Takes)
			}
			if !w.Best.Proven || !strings.Contains(w.GivesUp, "is wanted at Linnet") {
				t.Errorf("event %s: way out %+v", tt.event, w)
			}
		}
	}
}

// Wishes: the date decides for the donor's parts, the budget for fewer new
// ones, an original unit keeps its own, and a lower rank is served first.
func TestWishes(t *testing.T) {
	in := scenario(t)
	in.Donors = nil
	_, dear := solve(t, in)
	in.Units[0].Days = 10
	m, a := solve(t, in)
	if a.Choice != nil && (at(m, a, "Linnet", "P08").Tag == "" || at(m, a, "Linnet", "P08").Own) {
		t.Errorf("in 10 days Linnet has %s", at(m, a, "Linnet", "P08").Part)
	}
	if a.Choice != nil && a.Cost.Sum() < dear.Cost.Sum() {
		t.Errorf("with a date it costs %v, without %v", a.Cost, dear.Cost)
	}
	in.Units[1].Original = true
	m, a = solve(t, in)
	if a.Clash == nil {
		t.Fatalf("Linnet in 10 days without a donor has %s", at(m, a, "Linnet", "P08").Part)
	}
	text := a.Clash.Text()
	for _, s := range []string{"Linnet is to have all its parts in 10 days", "dog wear of L-P08 is", "Dunnock is to keep its own parts"} {
		if !strings.Contains(text, s) {
			t.Errorf("%q does not say %q", text, s)
		}
	}
	ways, err := m.WaysOut(a.Clash)
	if err != nil || len(ways) == 0 {
		t.Errorf("%d ways out, %v", len(ways), err)
	}

	in = scenario(t)
	_, free := solve(t, in)
	in.Budget = free.Cost.Price - 1
	if m, a = solve(t, in); a.Choice != nil && (a.Cost.Price > in.Budget || a.Cost.Sum() < free.Cost.Sum()) {
		t.Errorf("with %s to spend it costs %v, without a budget %v", in.Budget, a.Cost, free.Cost)
	} else if a.Choice == nil && !strings.Contains(a.Clash.Text(), "all together may cost no more") {
		t.Error(a.Clash.Text())
	}

	// One spare 3rd ring on the shelf, and both units need one.
	in = scenario(t)
	in.Donors = nil
	in.Stock = []choose.Held{{Piece: job.Piece{Tag: "S-P22", Position: "P22"}}}
	in.Units[0].State = book(t, "Linnet", "L", "A", strip(t, reads("P22 ring gap", 0.40e-3))...)
	for first, name := range []string{"Linnet", "Dunnock"} {
		in.Units[0].Rank, in.Units[1].Rank = first, 1-first
		if m, a = solve(t, in); at(m, a, name, "P22").Tag != "S-P22" {
			t.Errorf("%s is served first and has %s", name, at(m, a, name, "P22").Part)
		}
	}
}

// Work that a choice drags along counts: a cheaper part deep in a unit that is
// still together is not worth taking everything off.
func TestWork(t *testing.T) {
	in := choose.Input{Units: []choose.Job{{State: book(t, "Linnet", "L", "A", mark("L-P01", "417"), mark("L-D03", "417"))}},
		Labour: choose.Labour{Hour: 4800, Hand: 0.1, Press: 0.5, Fasten: 0.2, Setting: 1.5, Worn: 3000, Unpriced: 1, Unread: 0},
		Offers: []choose.Offer{{Position: "P14", Variant: "SYM", Price: 100}}}
	worn := in
	worn.Units = []choose.Job{{State: book(t, "Linnet", "L", "A", reads("P14 ring gap", 0.62e-3))}}
	m, a := solve(t, worn)
	if c := at(m, a, "Linnet", "P14"); !c.Own {
		t.Errorf("P14 is %s at %v though all must come off for it", c.Part, a.Cost)
	}
	worn.Labour.Hour = 0
	if m, a = solve(t, worn); at(m, a, "Linnet", "P14").Own {
		t.Error("work costs nothing and the worn ring stays")
	}
	out := in
	out.Units = []choose.Job{{State: book(t, "Linnet", "L", "A", reads("P14 ring gap", 0.40e-3))}}
	m, a = solve(t, out)
	drags := strings.Join(m.Drags(a), "\n")
	for _, s := range []string{"Linnet: P39 pinion nut comes off", "Linnet: P15 gear 2nd comes off", "Linnet: P36 depth shims", "Linnet: C03 rear cover comes off"} {
		if !strings.Contains(drags, s) {
			t.Errorf("a new ring 2nd drags along\n%s\nand not %q", drags, s)
		}
	}
	if strings.Contains(drags, "P10 hub") {
		t.Errorf("P10 lies deeper than P14 and comes off too:\n%s", drags)
	}
	if at(m, a, "Linnet", "P38").Own || !at(m, a, "Linnet", "D15").Own {
		t.Errorf("the tab washer over P14 is %s, the lock pin of the differential %s", at(m, a, "Linnet", "P38").Part, at(m, a, "Linnet", "D15").Part)
	}
	if a.Cost.Price < 10000 {
		t.Errorf("the whole strip costs %s", a.Cost.Price)
	}
}

// Three units and a donor, all still together: what must come off to reach a
// part ties everything to everything, and the choice is still proven.
func TestTogether(t *testing.T) {
	in := scenario(t)
	in.Units[0].State = book(t, "Linnet", "L", "A", reads("P09 ring gap", 0.40e-3), reads("P08 dog wear", 0.40))
	in.Units[1].State = book(t, "Dunnock", "D", "B", reads("P22 ring gap", 0.40e-3))
	in.Units = append(in.Units, choose.Job{State: book(t, "Wren", "W", "B", reads("P27 ring gap", 0.40e-3))})
	in.Donors = []*job.State{book(t, "Plover", "P", "B")}
	m, err := choose.From(in)
	if err != nil {
		t.Fatal(err)
	}
	a, err := m.Solve()
	if err != nil || a.Clash == nil || !strings.Contains(a.Clash.Text(), "of new P38 tab washer, offer 9 there are 2") {
		t.Fatalf("three pinion shafts come apart, and there are two tab washers: %+v, %v", a.Clash, err)
	}
	for i := range in.Offers {
		in.Offers[i].Count = 0
	}
	m, a = solve(t, in)
	sound(t, m, a, "L-P09 L-P08 D-P22 W-P27 L-P38", "Linnet", "Dunnock", "Wren")
	for _, unit := range []string{"Linnet", "Dunnock", "Wren"} {
		if at(m, a, unit, "P38").Own {
			t.Errorf("%s keeps its old tab washer", unit)
		}
		if !at(m, a, unit, "D15").Own {
			t.Errorf("%s has another lock pin in its differential, which nobody opens", unit)
		}
	}
	if drags := m.Drags(a); !slices.Contains(drags, "Plover: P39 pinion nut comes off") || len(drags) < 100 {
		t.Errorf("%d things are dragged along", len(drags))
	}
}

// What the books decide stands where it is asked to, and clashes in words where
// it cannot.
func TestDecided(t *testing.T) {
	in := scenario(t)
	in.Units[0].Decided = true
	in.Units[0].State = book(t, "Linnet", "L", "A", strip(t, job.Decided{Position: "P19", Choice: "new"}, job.Decided{Position: "P15", Choice: "donor", Piece: "P-P15", Variant: "38T"})...)
	m, a := solve(t, in)
	if c := at(m, a, "Linnet", "P19"); c.Part != "new from supplier in 20 days" {
		t.Errorf("P19 is decided new and is %s", c.Part)
	}
	if c := at(m, a, "Linnet", "Q08"); c.Variant != "21T" {
		t.Errorf("P15 is decided 38T and Q08 is %s", c.Part)
	}
	if err := m.Want("Linnet", "Q08", "20T"); err != nil {
		t.Fatal(err)
	}
	a, err := m.Solve()
	if err != nil || a.Clash == nil || !strings.Contains(a.Clash.Text(), "Linnet P15 gear 2nd: decided donor P-P15 (38T)") {
		t.Fatalf("%+v, %v", a.Clash, err)
	}
	if ways, err := m.WaysOut(a.Clash); err != nil || len(ways) != 2 {
		t.Errorf("%d ways out, %v", len(ways), err)
	}
}

func TestFromRefuses(t *testing.T) {
	if _, err := choose.From(choose.Input{}); err == nil || !strings.Contains(err.Error(), "no unit") {
		t.Errorf("no unit: %v", err)
	}
	in := scenario(t)
	in.Donors[0].Box = nil
	if _, err := choose.From(in); err == nil || !strings.Contains(err.Error(), "Plover has no gearbox file") {
		t.Errorf("no gearbox file: %v", err)
	}
	other, err := gearbox.Read("kinds.yaml", []byte(kinds))
	if err != nil {
		t.Fatal(err)
	}
	in.Donors[0].Box = other
	if _, err := choose.From(in); err == nil || !strings.Contains(err.Error(), "Plover is a Kinds and cannot share parts with a BW-4T") {
		t.Errorf("another type: %v", err)
	}
	m, err := choose.From(scenario(t))
	if err != nil {
		t.Fatal(err)
	}
	if err := m.Want("Linnet", "P10", "huge"); err == nil || !strings.Contains(err.Error(), "L-P10 (narrow) of its own") {
		t.Errorf("nothing of that name: %v", err)
	}
	if err := m.Want("Linnet", "P36", "d1"); err == nil {
		t.Error("a seat is no position to choose for")
	}
}
