package demo

import (
	"slices"
	"strings"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// Who sells to the workshop.
const (
	bearingsFrom = "Brindle Bearings"
	sealsFrom    = "Kemp and Daughter"
	gearsFrom    = "Foss Lane Gears"
)

// catalogue is what can be bought for a BW-4T: position, variant, supplier, price
// in EUR, days. A part without a price comes with the one before it.
var catalogue = []struct {
	positions, variant, from, price string
	days                            int
}{
	{"P02", "", bearingsFrom, "62.00", 12}, {"P32 P34", "", bearingsFrom, "38.00", 12}, {"D16 D17", "", bearingsFrom, "41.00", 12},
	{"Q02", "", bearingsFrom, "28.00", 12}, {"Q14", "", bearingsFrom, "38.00", 12}, {"P03 Q15 D18 D19", "", bearingsFrom, "0.00", 12},
	{"P06 P16 P21 P29", "", bearingsFrom, "11.50", 12},
	{"Q05", "", sealsFrom, "8.50", 8}, {"D24 D25", "", sealsFrom, "4.00", 8}, {"D26 D27", "", sealsFrom, "11.00", 8},
	{"Q07", "", sealsFrom, "3.00", 8}, {"C04", "paper", sealsFrom, "6.00", 8}, {"C05", "paper", sealsFrom, "5.00", 8},
	{"P12 P25", "", gearsFrom, "7.20", 10}, {"P13 P26", "", gearsFrom, "4.00", 10},
	{"D04", "", gearsFrom, "26.00", 10}, {"D05", "", gearsFrom, "5.00", 10},
	{"P38 Q17", "", gearsFrom, "1.50", 10}, {"P39", "M27", gearsFrom, "13.50", 10}, {"P39", "M30", gearsFrom, "16.50", 10}, {"Q16", "", gearsFrom, "7.00", 10},
	{"Q03", "", gearsFrom, "1.80", 10}, {"D15", "", gearsFrom, "2.00", 10},
	{"P08", "SYM", gearsFrom, "420.00", 20}, {"P11", "narrow", gearsFrom, "380.00", 20}, {"P19", "", gearsFrom, "390.00", 20},
	{"P09 P14", "SYM", gearsFrom, "64.00", 10}, {"P09 P14", "ASY", gearsFrom, "69.00", 10}, {"P22 P27", "", gearsFrom, "64.00", 10},
}

// madeHere are new parts that nobody sells: turned on the bench's own lathe.
var madeHere = strings.Fields("Q20 R03 R04")

// offers fills the catalogue, and says what an hour costs.
func (t *teller) offers() {
	t.do(shop.StoresBook, job.Terms{Hour: "48.00 EUR", Margin: "0 %", Hours: "42.5 h"})
	for _, c := range catalogue {
		for _, id := range strings.Fields(c.positions) {
			t.do(shop.StoresBook, job.Offered{Type: "BW-4T", Position: id, Variant: c.variant, Supplier: c.from, Price: c.price + " EUR", Days: c.days, Return: 14})
		}
	}
}

// order orders what Linnet and Dunnock need, an order to each supplier.
func (t *teller) order() {
	for _, from := range []struct{ name, ref, due string }{{bearingsFrom, "BB 1142", "2026-02-13"}, {sealsFrom, "K 88", "2026-02-10"}, {gearsFrom, "FL 306", "2026-02-13"}} {
		o := job.Ordered{Supplier: from.name, Reference: from.ref, Expected: from.due, Return: 14}
		for _, c := range catalogue {
			for _, id := range strings.Fields(c.positions) {
				if c.from == from.name && slices.Contains(renewed, id) && c.variant == bought[id] {
					o.Lines = append(o.Lines, job.OrderLine{Tag: "N-" + id, Position: id, Variant: c.variant, Price: c.price + " EUR"})
				}
			}
		}
		t.do(Linnet, o)
	}
	t.do(Dunnock, job.Ordered{Supplier: gearsFrom, Reference: "FL 311", Expected: "2026-03-20", Return: 14, Lines: []job.OrderLine{
		{Tag: "N-P09-D", Position: "P09", Variant: "ASY", Price: "69.00 EUR"}, {Tag: "N-P22-D", Position: "P22", Price: "64.00 EUR"}}})
}

// measured is what was looked at as the parts came in, beside a look at all.
var measured = map[string]map[string]string{
	"P06": {"width": "30.00"}, "P16": {"width": "26.00"}, "P29": {"width": "25.00"}, "P32": {"width": "20.75"}, "P34": {"width": "20.75"},
	"Q02": {"width": "17.00", "bore": "35.00", "od": "72.00"}, "P02": {"width": "22.00", "bore": "50.00"},
}

// goodsIn checks Linnet's parts as they come. One is wrong, goes back, and comes
// again two days later.
func (t *teller) goodsIn() {
	t.day(time.February, 15, 9)
	d := t.open(Linnet)
	if t.err != nil {
		return
	}
	for _, id := range renewed {
		if slices.Contains(madeHere, id) {
			p, _ := d.Box.Position(id)
			t.do(Linnet, job.Added{Piece: job.Piece{Tag: "N-" + id, Name: p.Name, Position: id, Count: p.Count, Origin: "made here"}, Place: "shelf"})
			continue
		}
		if id == "P21" {
			t.do(Linnet, job.Arrived{Tag: "N-P21", Values: map[string]string{"width": "30.2"}})
			t.do(Linnet, job.SentBack{Tag: "N-P21", Expected: "2026-02-17"})
			continue
		}
		t.do(Linnet, job.Arrived{Tag: "N-" + id, Values: measured[id]})
	}
	t.note(Linnet, "The cage for 3rd came 30.2 wide instead of 26: it would bind between the neighbours of P19. Sent back, replaced free.", "goods-in")
	for _, c := range []job.Cost{
		{What: "receive", Stage: "receive", Hours: "1.5 h"}, {What: "strip", Stage: "strip", Hours: "4 h"}, {What: "clean", Stage: "clean", Hours: "5 h"},
		{What: "inspect and measure", Stage: "inspect", Hours: "4.5 h"}, {What: "decide and order", Stage: "decide", Hours: "3 h"},
		{What: "shims, and spacer ground", Stage: "parts", Money: "44.00 EUR"}, {What: "consumables", Stage: "consumables", Money: "18.00 EUR"},
	} {
		t.do(Linnet, c)
	}
	t.day(time.February, 17, 8)
	t.do(Linnet, job.Arrived{Tag: "N-P21", Values: map[string]string{"width": "26.00"}})
}

// hoursToEnd are the hours of the later stages, as they were written down.
var hoursToEnd = []job.Cost{
	{What: "press and heat", Stage: "press and heat", Hours: "3.5 h"}, {What: "stacks", Stage: "stacks", Hours: "6 h"}, {What: "settings", Stage: "settings", Hours: "9 h"},
	{What: "close and test", Stage: "close and test", Hours: "4 h"}, {What: "paper", Stage: "paper", Hours: "2 h"},
	{What: "oil, 3 × 1 L", Stage: "parts", Money: "33.00 EUR"},
}
