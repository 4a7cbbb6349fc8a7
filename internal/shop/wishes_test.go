package shop_test

import (
	"slices"
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// ringed is a workshop where Linnet's ring of 3rd is worn out, the donor's is
// scrap, and two suppliers offer one: a dear one soon, a cheap one later.
func ringed(t *testing.T) told {
	t.Helper()
	w := small(t)
	w.record(t, shop.StoresBook,
		job.Instrument{Name: "feelers", Quantity: "length", Unit: "mm", U: 1e-6},
		job.Offered{Type: "BW-4T", Position: "P22", Supplier: "Slow and Son", Price: "64.00 EUR", Days: 20},
		job.Offered{Type: "BW-4T", Position: "P22", Supplier: "Swift", Price: "99.00 EUR", Days: 3})
	w.record(t, demo.Linnet, job.Read{What: "P22 ring gap", With: "feelers", Values: []string{"0.40 mm"}})
	w.record(t, demo.Plover, job.Decided{Position: "P22", Choice: "scrap", Why: "cracked"})
	return w
}

func (w told) choose(t *testing.T, ask shop.Asking) *shop.Choice {
	t.Helper()
	c, err := w.Choose(t.Context(), ask)
	if err != nil {
		t.Fatal(err)
	}
	if !c.Proven {
		t.Fatalf("not proven: %+v", c)
	}
	return c
}

// has is what an answer puts at a position of a unit.
func has(b *shop.Build, unit, position string) string {
	for _, p := range b.Parts {
		if p.Unit == unit && p.Position == position {
			return p.Is
		}
	}
	return "its own"
}

// What an owner can ask for, each with the part that it decides: the cheapest is
// late, the soonest is dear, a day decides between them, and money can forbid.
func TestWhatAnOwnerAsks(t *testing.T) {
	w := ringed(t)
	linnet := func(x shop.Wish) shop.Asking { x.Book = demo.Linnet; return shop.Asking{Units: []shop.Wish{x}} }
	for _, tt := range []struct {
		name string
		ask  shop.Asking
		ring string
	}{
		{"nothing", linnet(shop.Wish{}), "new from Slow and Son in 20 days"},
		{"lowest cost", shop.Asking{Units: []shop.Wish{{Book: demo.Linnet}}, Cheapest: true}, "new from Slow and Son in 20 days"},
		{"soonest", linnet(shop.Wish{Soonest: true}), "new from Swift in 3 days"},
		{"by a day that the cheap one misses", linnet(shop.Wish{By: "2026-03-20"}), "new from Swift in 3 days"},
		{"by a day that both keep", linnet(shop.Wish{By: "2026-03-31"}), "new from Slow and Son in 20 days"},
		{"spend less than the dear one", linnet(shop.Wish{Budget: "70 EUR"}), "new from Slow and Son in 20 days"},
		{"all together spend less", shop.Asking{Units: []shop.Wish{{Book: demo.Linnet}}, Budget: "64.00"}, "new from Slow and Son in 20 days"},
	} {
		c := w.choose(t, tt.ask)
		if c.Best == nil {
			t.Errorf("%s: %s", tt.name, c.Clash)
		} else if is := has(c.Best, "Linnet", "P22"); is != tt.ring {
			t.Errorf("%s: the ring of 3rd is %s, want %s", tt.name, is, tt.ring)
		}
	}
}

// Wishes that cannot all be had: one paragraph that names the wishes, the piece
// and what was read on it; without any one of them it is possible, as the ways
// out show.
func TestClashReads(t *testing.T) {
	w := ringed(t)
	for _, tt := range []struct {
		name string
		wish shop.Wish
		says []string
		ways int
	}{
		{"soon and cheap", shop.Wish{By: "2026-03-20", Budget: "70 EUR"}, []string{"Linnet is to have all its parts in 10 days", "Linnet may cost no more than 70.00", "P22 ring gap of L-P22 is 0.4000 ± 0.0010 mm, wanted at least 0.50 mm: out"}, 2},
		{"too soon", shop.Wish{By: "2026-03-12"}, []string{"Linnet is to have all its parts in 2 days", "L-P22"}, 1},
		{"all original", shop.Wish{Want: map[string]string{"P22": "L-P22"}}, []string{"L-P22 of its own is wanted at Linnet P22 ring 3rd", "P22 ring gap of L-P22 is"}, 1},
		{"series and a wide hub", shop.Wish{Series: true, Want: map[string]string{"P10": "wide"}}, []string{"Linnet is to keep to its series A", "wide is wanted at Linnet P10 hub 1/2"}, 2},
	} {
		tt.wish.Book = demo.Linnet
		c := w.choose(t, shop.Asking{Units: []shop.Wish{tt.wish}})
		if c.Best != nil || strings.Contains(c.Clash, "\n") || !strings.HasSuffix(c.Clash, "Without any one of them the others can.") || len(c.Clash) > 700 {
			t.Errorf("%s: no clash in one paragraph: %+v", tt.name, c)
		}
		for _, s := range tt.says {
			if !strings.Contains(c.Clash, s) {
				t.Errorf("%s: %q does not say %q", tt.name, c.Clash, s)
			}
		}
		if len(c.Ways) != tt.ways {
			t.Errorf("%s: ways out %+v", tt.name, c.Ways)
		}
		for _, way := range c.Ways {
			if !strings.Contains(c.Clash, way.GivesUp) || way.Price == "" {
				t.Errorf("%s: the way out %+v is of nothing in %q", tt.name, way, c.Clash)
			}
		}
	}
}

// Uprated: with what the gearbox file allows, the narrow hub carries the engine
// of series A and not one of 240 N·m, so that the whole set of the wide one goes
// in. The pressure by hand, as in the working of the spline: 18 teeth of height
// 1.5 mm at mean radius 14.25 mm over 19 mm, three quarters of them carrying, take
// 240 N·m · 46/13 at
//
//	849.2 / (0.75 · 18 · 0.0015 · 0.01425 · 0.019) = 154.9 MPa,
//
// over 140; over 21.7 mm it is 135.6 MPa.
func TestUprate(t *testing.T) {
	w := small(t)
	ask := func(torque string, want map[string]string) shop.Asking {
		return shop.Asking{Units: []shop.Wish{{Book: demo.Linnet, Torque: torque, Want: want}}}
	}
	c := w.choose(t, ask("120 N·m", nil))
	if is := has(c.Best, "Linnet", "P10"); is != "its own" {
		t.Errorf("120 N·m: the hub is %s", is)
	}
	c = w.choose(t, ask("240 N·m", nil))
	for id, variant := range map[string]string{"P10": "wide", "P11": "wide", "P18": "thin", "F04": "F-B", "Q08": "21T", "P15": "38T", "P08": "ASY"} {
		if is := has(c.Best, "Linnet", id); is != "P-"+id+" ("+variant+") from Plover" {
			t.Errorf("240 N·m: %s is %s", id, is)
		}
	}
	c = w.choose(t, ask("240 N·m", map[string]string{"P10": "narrow"}))
	if !strings.Contains(c.Clash, "Linnet: P10 hub 1/2 (narrow) would be pressed with 155 MPa by 240 N·m of the engine, and 140 MPa are allowed") {
		t.Error(c.Clash)
	}
	c = w.choose(t, ask("400 N·m", nil))
	if c.Best != nil || !strings.Contains(c.Clash, "N·m of the engine") {
		t.Errorf("400 N·m is carried by %+v", c.Best)
	}
	if _, err := w.Choose(t.Context(), ask("strong", nil)); err == nil || !strings.Contains(err.Error(), "a torque such as 180 N·m is expected") {
		t.Error(err)
	}
}

// The unit named first is served first: of one spare ring on the shelf.
func TestServedFirst(t *testing.T) {
	w := ringed(t)
	w.record(t, demo.Dunnock, job.Read{What: "P22 ring gap", With: "feelers", Values: []string{"0.47 mm"}})
	w.record(t, shop.StoresBook, job.Added{Piece: job.Piece{Tag: "spare", Name: "ring 3rd", Position: "P22"}})
	for _, first := range []string{demo.Linnet, demo.Dunnock} {
		ask := shop.Asking{Units: []shop.Wish{{Book: demo.Linnet, Rank: 1}, {Book: demo.Dunnock, Rank: 1}}}
		unit := "Linnet"
		if first == demo.Dunnock {
			unit = "Dunnock"
		}
		ask.Units[slices.IndexFunc(ask.Units, func(x shop.Wish) bool { return x.Book == first })].Rank = 0
		if c := w.choose(t, ask); has(c.Best, unit, "P22") != "spare from the shelf" {
			t.Errorf("%s is served first and has %s", unit, has(c.Best, unit, "P22"))
		}
	}
}

// A broken rule names its ways out from all that is in stock: each part of it
// that is kept, with what would then change.
func TestRuleWays(t *testing.T) {
	w := small(t)
	w.strip(t, demo.Linnet)
	d := w.record(t, demo.Linnet, job.Decided{Position: "P10", Choice: "donor", Variant: "wide", Piece: "P-P10"})
	f := finding(d, plan.Broken, "P10 hub 1/2 (wide) needs")
	if f == nil {
		t.Fatalf("the wide hub breaks nothing: %+v", d.Findings)
	}
	ways, err := w.RuleWays(t.Context(), d, *f)
	if err != nil || len(ways) < 2 {
		t.Fatalf("%+v, %v", ways, err)
	}
	kept := map[string][]string{}
	for _, way := range ways {
		kept[way.GivesUp] = way.Takes
	}
	hub := kept["keep P10 hub 1/2 as it is, P-P10"]
	for _, s := range []string{"Linnet P11 sleeve 1/2: P-P11 (wide) from Plover", "Linnet P18 distance washer 2-3: P-P18 (thin) from Plover", "Linnet F04 fork 1/2: P-F04 (F-B) from Plover"} {
		if !slices.Contains(hub, s) {
			t.Errorf("to keep the wide hub takes %q, and not %q", hub, s)
		}
	}
	back := false
	for _, way := range ways {
		back = back || slices.ContainsFunc(way.Takes, func(s string) bool { return strings.HasPrefix(s, "Linnet P10 hub 1/2: L-P10 (narrow)") })
	}
	if !back {
		t.Errorf("nothing leads back to the narrow hub: %+v", ways)
	}
	if none, err := w.RuleWays(t.Context(), d, plan.Finding{Kind: plan.Loose, Key: "lock/P39"}); err != nil || none != nil {
		t.Errorf("ways out of what is no rule: %v %v", none, err)
	}
}

// Moves on the board are decided together or not at all; what they break needs
// a written reason, which stays in the book.
func TestAssign(t *testing.T) {
	w := small(t)
	w.strip(t, demo.Linnet)
	now := func() map[string]int {
		n := w.sizes(t)
		return map[string]int{demo.Linnet: n[demo.Linnet], demo.Dunnock: n[demo.Dunnock]}
	}
	hub := []shop.Move{{Book: demo.Linnet, Position: "P10", What: "P-P10"}}
	before := w.sizes(t)
	for what, try := range map[string]func() ([]string, error){
		"need":         func() ([]string, error) { return w.Assign(t.Context(), tove, hub, now(), "") },
		"seen nowhere": func() ([]string, error) { return w.Assign(t.Context(), tove, hub, nil, "tried on the bench") },
		"seen before": func() ([]string, error) {
			return w.Assign(t.Context(), tove, hub, map[string]int{demo.Linnet: 0}, "tried on the bench")
		},
		"no move": func() ([]string, error) { return w.Assign(t.Context(), tove, nil, now(), "") },
		"reader": func() ([]string, error) {
			return w.Assign(t.Context(), shop.By{Name: "Ivo", Role: shop.Reader}, hub, now(), "tried on the bench")
		},
	} {
		if says, err := try(); err == nil {
			t.Errorf("%s: %q was decided", what, says)
		}
	}
	for book, n := range w.sizes(t) {
		if n != before[book] {
			t.Errorf("%s grew from %d to %d", book, before[book], n)
		}
	}
	says, err := w.Assign(t.Context(), tove, hub, now(), "tried on the bench, the rest follows")
	if err != nil || !slices.Equal(says, []string{"Linnet P10 hub 1/2: donor P-P10"}) {
		t.Fatalf("%q %v", says, err)
	}
	d := w.open(t, demo.Linnet)
	if dec := d.Spots["P10"].Decided; dec == nil || dec.Is.Why != "tried on the bench, the rest follows" {
		t.Errorf("%+v", dec)
	}
	if finding(d, plan.Broken, "P10 hub 1/2 (wide)") == nil {
		t.Error("what was broken is not told in the book")
	}
}
