package shop_test

import (
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

func fresh(t *testing.T) *shop.Shop {
	t.Helper()
	sh := shop.New(memory.New(), clock)
	if err := demo.Load(t.Context(), sh, false); err != nil {
		t.Fatal(err)
	}
	return sh
}

func want(pairs ...string) shop.Asking {
	w := shop.Wish{Book: demo.Linnet, Want: map[string]string{}}
	for i := 0; i < len(pairs); i += 2 {
		w.Want[pairs[i]] = pairs[i+1]
	}
	return shop.Asking{Units: []shop.Wish{w, {Book: demo.Dunnock}}}
}

// The seeded events of the scenario that are a matter of choice: what is asked
// for clashes, in one paragraph that names positions and rule, with ways out.
func TestSeededClashes(t *testing.T) {
	sh := demonstration(t, partWay).Shop
	for _, tt := range []struct {
		event string
		ask   shop.Asking
		says  []string
		ways  int
	}{
		{"1", want("P08", "P-P08", "P11", "narrow"), []string{"P-P08", "dogs must be one for all of P08, P09, P11, P14, P15", "jumps out", "narrow is wanted at Linnet P11"}, 2},
		{"2", want("P10", "wide", "P18", "thick"), []string{"P10 hub 1/2 (wide)", "P18 distance washer 2-3 (thin)"}, 2},
		{"3", want("Q08", "21T", "P15", "39T"), []string{"Q08", "P15"}, 2},
		{"4", want("D03", "P-D03", "P01", "L-P01"), []string{"P01, D03 must have one set number"}, 2},
		{"13", want("P38", "L-P38"), []string{"P38 tab washer is a one-way part and L-P38 has been in use"}, 1},
	} {
		c, err := sh.Choose(t.Context(), tt.ask)
		if err != nil || c.Clash == "" {
			t.Errorf("event %s: %v, %+v", tt.event, err, c)
			continue
		}
		for _, s := range tt.says {
			if !strings.Contains(c.Clash, s) {
				t.Errorf("event %s: %q does not say %q", tt.event, c.Clash, s)
			}
		}
		if len(c.Ways) < tt.ways {
			t.Errorf("event %s: ways out %+v", tt.event, c.Ways)
		}
		t.Logf("event %s: %s\n%+v", tt.event, c.Clash, c.Ways)
	}
}

// The best choice over both units is proven; Dunnock takes the donor's 3rd pair
// for its chipped gear. Accepting it writes to both books, once, and only on the
// state it was made on.
func TestAccept(t *testing.T) {
	sh := fresh(t)
	ask := shop.Asking{Others: 2}
	c, err := sh.Choose(t.Context(), ask)
	if err != nil || c.Best == nil || !c.Proven {
		t.Fatalf("%v %+v", err, c)
	}
	t.Logf("%s %s %v %v %v\n%v\n%+v", c.Best.Price, c.Best.Doubt, c.Best.Off, c.Best.Proves, c.Best.Asks, c.Best.Parts, c.Others)
	found := false
	for _, p := range c.Best.Parts {
		found = found || p.Unit == "Dunnock" && p.Position == "P19" && p.Tag == "P-P19"
	}
	if !found {
		t.Error("Dunnock does not take P-P19")
	}
	stale := map[string]int{demo.Linnet: c.Best.Seqs[demo.Linnet] - 1, demo.Dunnock: c.Best.Seqs[demo.Dunnock]}
	if _, err := sh.Accept(t.Context(), tove, ask, stale, 0); err == nil || !strings.Contains(err.Error(), "moved on") {
		t.Errorf("a stale choice: %v", err)
	}
	says, err := sh.Accept(t.Context(), tove, ask, c.Best.Seqs, 0)
	if err != nil || len(says) == 0 {
		t.Fatalf("%v %v", says, err)
	}
	t.Log(says)
	d, _ := sh.Open(t.Context(), demo.Dunnock)
	if d.Seq == c.Best.Seqs[demo.Dunnock] {
		t.Error("nothing was written to Dunnock's book")
	}
	again, err := sh.Choose(t.Context(), ask)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := sh.Accept(t.Context(), tove, ask, again.Best.Seqs, 0); err == nil {
		t.Error("the same decisions are written twice")
	}
}

// Goods-in, seeded event 6: a needle cage 30.2 wide instead of 26 fails, goes
// back and comes right.
func TestGoodsIn(t *testing.T) {
	sh := fresh(t)
	do := func(b job.Body) *shop.Desk {
		t.Helper()
		d, err := sh.Record(t.Context(), tove, demo.Dunnock, b)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	do(job.Decided{Position: "P21", Choice: "new"})
	os, err := sh.Orders(t.Context())
	if err != nil || len(os.To) != 1 || os.To[0].Position != "P21" || os.To[0].Supplier != "Brindle Bearings" {
		t.Fatalf("%+v %v", os.To, err)
	}
	d, err := sh.Place(t.Context(), tove, demo.Dunnock, shop.Ordering{Supplier: "Brindle Bearings"})
	if err != nil {
		t.Fatal(err)
	}
	tag := d.Orders[len(d.Orders)-1].Tag
	d = do(job.Arrived{Tag: tag, Values: map[string]string{"width": "30.2"}})
	o, _ := d.Order(tag)
	if !o.Wrong() || d.Pieces[tag] != nil || o.Arrived.Is.Until != "2026-03-24" {
		t.Fatalf("%+v", o.Arrived)
	}
	says := strings.Join(o.Arrived.Is.Says, "; ")
	for _, s := range []string{"width 30.20 mm, wanted 26.00 mm", "it would bind: P20 inner sleeve 3rd is 30.15 mm wide"} {
		if !strings.Contains(says, s) {
			t.Errorf("%q does not say %q", says, s)
		}
	}
	d = do(job.SentBack{Tag: tag, Expected: "2026-03-17"})
	if d = do(job.Arrived{Tag: tag, Values: map[string]string{"width": "26,00"}}); d.Pieces[tag] == nil {
		t.Error("the right one is not a piece of the unit")
	}
	for _, tt := range []struct {
		order  job.OrderLine
		values map[string]string
		says   string
	}{
		{job.OrderLine{Tag: "x1", Position: "P15", Variant: "38T"}, map[string]string{"teeth": "39"}, "39 teeth, wanted 38"},
		{job.OrderLine{Tag: "x2", Position: "P09", Variant: "ASY"}, map[string]string{"dogs": "SYM"}, "dogs SYM, wanted ASY"},
		{job.OrderLine{Tag: "x3", Position: "P22"}, map[string]string{"gap": "0.62"}, "ring gap 0.62 mm on this gear"},
		{job.OrderLine{Tag: "x4", Position: "D03"}, map[string]string{"set number": "402"}, "set number must be one for all of P01, D03"},
		{job.OrderLine{Tag: "x5", Position: "P09", Variant: "SYM"}, nil, "dogs must be one for all"},
	} {
		do(job.Ordered{Supplier: "s", Lines: []job.OrderLine{tt.order}})
		d = do(job.Arrived{Tag: tt.order.Tag, Values: tt.values})
		o, _ := d.Order(tt.order.Tag)
		if s := strings.Join(o.Arrived.Is.Says, "; "); o.Arrived.Is.Good || !strings.Contains(s, tt.says) {
			t.Errorf("%s: %q does not say %q", tt.order.Tag, s, tt.says)
		}
	}
}

// The parts and hours of the scenario come to its sum, by the price formula.
func TestAccount(t *testing.T) {
	sh := demonstration(t, finished).Shop
	d, err := sh.Open(t.Context(), demo.Linnet)
	if err != nil {
		t.Fatal(err)
	}
	a, err := sh.Account(t.Context(), d)
	if err != nil {
		t.Fatal(err)
	}
	if got := a.Money(a.Sum); got != "2600.20 EUR" || a.Hours != 42.5 || len(a.Unread) > 0 {
		t.Errorf("%s, %g h, %v: %s", got, a.Hours, a.Unread, a.Formula())
	}
	ls, err := sh.Levels(t.Context(), d)
	if err != nil || len(ls) != 3 || ls[0].Sum > ls[1].Sum || ls[1].Sum > ls[2].Sum {
		t.Errorf("%+v %v", ls, err)
	}
}

// A mark that is not known raises a question where the parts come from more than
// one unit.
func TestAsksForAMark(t *testing.T) {
	sh := fresh(t)
	d, err := sh.Record(t.Context(), tove, demo.Dunnock, job.Decided{Position: "D03", Choice: "new"})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range d.Findings {
		if strings.HasPrefix(f.Key, "ask/") && strings.Contains(f.Says, "which set number has D03 crown wheel") {
			return
		}
	}
	t.Error("nobody asks for the set number of the new crown wheel")
}

// A board with a move tried tells what it breaks and the ways out, and what is
// left over.
func TestBoard(t *testing.T) {
	sh := demonstration(t, partWay).Shop
	b, err := sh.Board(t.Context(), nil)
	if err != nil || len(b.Carriers) < 5 || len(b.Breaks) > 0 {
		t.Fatalf("%+v %v", b, err)
	}
	t.Log(b.Stands, len(b.Left), b.Pass)
	b, err = sh.Board(t.Context(), []shop.Move{{Book: demo.Linnet, Position: "P11", What: "L-P11"}})
	if err != nil || len(b.Breaks) == 0 || len(b.Ways) == 0 {
		t.Fatalf("%+v %v", b.Breaks, err)
	}
	t.Logf("%q\n%q\n%+v", b.Breaks, b.Voids, b.Ways)
	if n := len(b.Tries(demo.Linnet, "P08")); n < 4 {
		t.Errorf("%d things could go to P08", n)
	}
}
