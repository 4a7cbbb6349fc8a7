package shop_test

import (
	"encoding/csv"
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// The order list as a table reads back (RFC 4180), a part that nobody offers
// comes last, and what a spreadsheet would take for a formula stays text.
func TestOrderLists(t *testing.T) {
	sh := fresh(t)
	do := func(b job.Body) {
		t.Helper()
		if _, err := sh.Record(t.Context(), tove, demo.Dunnock, b); err != nil {
			t.Fatal(err)
		}
	}
	do(job.Decided{Position: "F13", Choice: "new"})
	do(job.Decided{Position: "P21", Choice: "new"})
	do(job.Ordered{Supplier: `=cmd()`, Lines: []job.OrderLine{{Tag: "x1", Position: "Q05"}}})
	os, err := sh.Orders(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if s := os.Suppliers(); len(s) < 3 || s[len(s)-1] != "" || s[0] != "=cmd()" {
		t.Errorf("suppliers %q", s)
	}
	raw, err := os.CSV("")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(raw))).ReadAll()
	if err != nil || len(rows) < 5 {
		t.Fatalf("%v %q", err, rows)
	}
	text := strings.Join(strings.Fields(string(raw)), " ")
	for _, s := range []string{"'=cmd(),D Dunnock,Q05 front seal", `Brindle Bearings,D Dunnock,P21 needle cage 3rd,,1,11.50 EUR,"to order, 12 days"`, "nobody offers these,D Dunnock,F13 interlock pin"} {
		if !strings.Contains(text, s) {
			t.Errorf("%q is not in:\n%s", s, raw)
		}
	}
	one := os.Sheets("Brindle Bearings")
	if len(one) != 1 || one[0].Supplier != "Brindle Bearings" || len(one[0].Rows) != 1 {
		t.Errorf("one supplier: %+v", one)
	}
}

// What to look at on a part as it comes in: its sizes, the gap on this gear, the
// form of its variant, and the set number of the mate that is here.
func TestGoodsInLooks(t *testing.T) {
	sh := fresh(t)
	d, err := sh.Record(t.Context(), tove, demo.Dunnock, job.Ordered{Supplier: "s", Lines: []job.OrderLine{{Tag: "x1", Position: "D03"}, {Tag: "x2", Position: "P21"}}})
	if err != nil {
		t.Fatal(err)
	}
	wanted := func(tag string) map[string]string {
		t.Helper()
		g, err := d.GoodsIn(tag)
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]string{"fits": strings.Join(g.Mates, "; ")}
		for _, l := range g.Looks {
			out[l.Key] = l.Wanted
		}
		return out
	}
	for tag, want := range map[string]map[string]string{
		"N-P09-D": {"gap": "1.00 to 1.40 mm", "dogs": "ASY", "fits": "the same dogs as P08, P11, P14, P15"},
		"x1":      {"set number": "522", "teeth": "37"},
		"x2":      {"width": "26.00 mm", "fits": "runs on P20 inner sleeve 3rd, 30.15 mm wide"},
	} {
		got := wanted(tag)
		for k, v := range want {
			if !strings.Contains(got[k], v) {
				t.Errorf("%s: %s wanted %q, not %q", tag, k, got[k], v)
			}
		}
	}
	if _, err := d.GoodsIn("none"); err == nil {
		t.Error("what was not ordered can be checked in")
	}
}

// Every part that is not the unit's own says why, work and parts add up to the
// price, and the days are those of the last part.
func TestWhy(t *testing.T) {
	c, err := demonstration(t, partWay).Shop.Choose(t.Context(), shop.Asking{})
	if err != nil || c.Best == nil {
		t.Fatalf("%v %+v", err, c)
	}
	why := map[string]string{}
	last := 0
	for _, p := range c.Best.Parts {
		if p.Why == "" {
			t.Errorf("%s %s: %s, and no reason", p.Unit, p.Position, p.Is)
		}
		why[p.Unit+" "+p.Position] = p.Why
		if p.Unit == "Dunnock" {
			last = max(last, p.Days)
		}
	}
	for at, s := range map[string]string{"Linnet P08": "dog wear", "Linnet P18": "P10 hub 1/2 (wide) needs P18 distance washer 2-3 (thin)", "Dunnock P22": "ring gap of D-P22 is 0.470", "Linnet P38": "a one-way part"} {
		if !strings.Contains(why[at], s) {
			t.Errorf("%s: %q does not say %q", at, why[at], s)
		}
	}
	if c.Best.Ready["Dunnock"] != last || c.Best.Ready["Linnet"] != 0 {
		t.Errorf("ready %v, last part %d", c.Best.Ready, last)
	}
	if c.Best.Hours <= 0 || c.Currency() != "EUR" {
		t.Errorf("%g h of work, %s %q", c.Best.Hours, c.Best.Work, c.Currency())
	}
}
