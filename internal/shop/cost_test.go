package shop_test

import (
	"math"
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
)

// The price by hand: Σ parts·(1 + margin) + Σ hours·rate + consumables +
// contingency. The scenario's parts are 286.00 + 46.00 + 38.50 + 14.00 + 22.40 +
// 31.00 + 27.30 + 44.00 + 33.00 = 542.20, its consumables 18.00, its hours 1.5 +
// 4 + 5 + 4.5 + 3 + 3.5 + 6 + 9 + 4 + 2 = 42.5 at 48.00.
func TestPriceByHand(t *testing.T) {
	sh := fresh(t)
	by := func(want float64, stands string) {
		t.Helper()
		d, err := sh.Open(t.Context(), demo.Linnet)
		if err != nil {
			t.Fatal(err)
		}
		a, err := sh.Account(t.Context(), d)
		if err != nil || math.Abs(a.Sum-want) > 0.005 || a.Stands() != stands || len(a.Unread) > 0 {
			t.Errorf("%s, %s, %v; want %.2f, %s", a.Formula(), a.Stands(), err, want, stands)
		}
	}
	record := func(bs ...job.Body) {
		t.Helper()
		for _, b := range bs {
			if _, err := sh.Record(t.Context(), tove, demo.Linnet, b); err != nil {
				t.Fatal(err)
			}
		}
	}
	// So far: all parts but the oil, and the hours up to the ordering.
	by(509.20+18*48+18, "below the estimate of 2200.00 EUR to 2800.00 EUR so far")
	record(job.Cost{What: "oil", Stage: "parts", Money: "33,00 EUR"}, job.Cost{What: "the rest", Stage: "settings", Hours: "24,5 h"})
	by(542.20+42.5*48+18, "within the estimate of 2200.00 EUR to 2800.00 EUR")
	record(job.Terms{Margin: "15 %", Contingency: "100 EUR"})
	by(542.20*1.15+42.5*48+18+100, "within the estimate of 2200.00 EUR to 2800.00 EUR")
	record(job.Terms{Margin: "15 %", Contingency: "150 EUR"})
	by(542.20*1.15+42.5*48+18+150, "31.53 EUR over the estimate of 2200.00 EUR to 2800.00 EUR")

	// What cannot be added up is refused at the door.
	for what, b := range map[string]job.Body{
		"neither hours nor money": job.Cost{What: "paper"}, "minutes": job.Cost{What: "paper", Hours: "90 min"}, "words": job.Cost{What: "paper", Money: "some"},
		"nothing named": job.Cost{Hours: "1 h"}, "below zero": job.Cost{What: "paper", Money: "-3 EUR"},
	} {
		if _, err := sh.Record(t.Context(), tove, demo.Linnet, b); err == nil {
			t.Errorf("%s was written down", what)
		}
	}
}

// Three levels by hand, of Linnet before its build, at 42.5 h and 18.00 of
// consumables: 2058.00. Safe: the one-way parts, 1.50 + 13.50 + 2.00 + 5.00 + 26.00
// + 2·4.00 + 2·11.00 + 8.50 + 3.00 + 1.80 + 1.50 + 7.00 + 6.00 + 5.00 = 110.80,
// the front bearing with its ground face, 28.00, and with the worn gear and sleeve
// the donor's whole set, which costs nothing.
// Properly: the other bearings 62.00 + 2·38.00 + 2·41.00 + 38.00, four cages at
// 11.50, struts 2·7.20 and springs 2·4.00, 326.40 more. As new: the rings of 3rd
// and 4th, 128.00 more.
func TestLevelsByHand(t *testing.T) {
	sh := demonstration(t, partWay).Shop
	d, err := sh.Open(t.Context(), demo.Linnet)
	if err != nil {
		t.Fatal(err)
	}
	ls, err := sh.Levels(t.Context(), d)
	if err != nil || len(ls) != 3 {
		t.Fatalf("%+v %v", ls, err)
	}
	for i, want := range []struct {
		sum   float64
		parts int
	}{{2058 + 138.80, 26}, {2058 + 138.80 + 326.40, 47}, {2058 + 138.80 + 326.40 + 128, 49}} {
		if math.Abs(ls[i].Sum-want.sum) > 0.005 || len(ls[i].Parts) != want.parts {
			t.Errorf("%s: %s with %d parts, want %.2f with %d", ls[i].Name, ls[i].Text(), len(ls[i].Parts), want.sum, want.parts)
		}
	}
	why := map[string]string{}
	for _, p := range ls[0].Parts {
		id, _, _ := strings.Cut(p.Label, " ")
		why[id] = p.Why
	}
	for id, says := range map[string]string{"P08": "dog wear of L-P08", "P11": "spline wear of L-P11", "P38": "a one-way part", "Q02": "front face ground by an earlier repairer", "P10": "goes with P11 sleeve 1/2", "P15": "goes with P08 gear 1st"} {
		if !strings.Contains(why[id], says) {
			t.Errorf("%s is renewed to make it safe since %q, want %q", id, why[id], says)
		}
	}
	if why["P22"] != "" || why["P02"] != "" {
		t.Errorf("to make it safe P22 and P02 are renewed: %q, %q", why["P22"], why["P02"])
	}
}

// The estimate of the scenario is in the demonstration, and the customer's yes.
func TestEstimateOfTheDemonstration(t *testing.T) {
	d, err := demonstration(t, finished).Open(t.Context(), demo.Linnet)
	if err != nil || d.Estimate == nil || d.Estimate.Is.LowIs != 2200 || d.Estimate.Is.HiIs != 2800 {
		t.Fatalf("%v %+v", err, d.Estimate)
	}
	a, err := demonstration(t, finished).Account(t.Context(), d)
	if err != nil || a.Stands() != "within the estimate of 2200.00 EUR to 2800.00 EUR" {
		t.Errorf("%v %s", err, a.Stands())
	}
}
