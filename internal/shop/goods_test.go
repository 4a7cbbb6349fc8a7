package shop_test

import (
	"slices"
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// Goods-in holds a part against the mates it must fit: width, bore, outside,
// teeth, form, hand, the gap on this gear, the set number. What is right passes.
func TestGoodsInAgainstMates(t *testing.T) {
	w := small(t)
	w.record(t, demo.Linnet, job.Marked{Tag: "L-P01", Marks: map[string]string{"set number": "417"}})
	for i, tt := range []struct {
		line   job.OrderLine
		values map[string]string
		wrong  []string // nothing: it is right
	}{
		{job.OrderLine{Position: "P21"}, map[string]string{"width": "30.2 mm"}, []string{"width 30.20 mm, wanted 26.00 mm", "it would bind: P20 inner sleeve 3rd is 30.15 mm wide"}},
		{job.OrderLine{Position: "P21"}, map[string]string{"width": "26,00"}, nil},
		{job.OrderLine{Position: "P21"}, map[string]string{"width": "1.0236 in"}, nil},
		{job.OrderLine{Position: "Q02"}, map[string]string{"width": "17.00", "bore": "40.00"}, []string{"bore 40.00 mm, wanted 35.00 mm"}},
		{job.OrderLine{Position: "Q02"}, map[string]string{"width": "17.00", "bore": "35.00", "od": "80.00"}, []string{"od 80.00 mm, wanted 72.00 mm"}},
		{job.OrderLine{Position: "Q02"}, map[string]string{"width": "17.00", "bore": "35.00", "od": "72.00"}, nil},
		{job.OrderLine{Position: "Q08", Variant: "20T"}, map[string]string{"teeth": "21"}, []string{"21 teeth, wanted 20", "with P15 gear 2nd: 21 and 39 teeth are 60 together"}},
		{job.OrderLine{Position: "Q08", Variant: "20T"}, map[string]string{"teeth": "20"}, nil},
		{job.OrderLine{Position: "P09", Variant: "SYM"}, map[string]string{"dogs": "ASY"}, []string{"dogs ASY, wanted SYM"}},
		{job.OrderLine{Position: "P09", Variant: "ASY"}, map[string]string{"dogs": "ASY"}, []string{"dogs must be one for all of P08, P09, P11, P14, P15"}},
		{job.OrderLine{Position: "P22"}, map[string]string{"gap": "0.62"}, []string{"P22 ring gap 0.62 mm on this gear, as new 1.00 to 1.40 mm (booklet 12)"}},
		{job.OrderLine{Position: "P22"}, map[string]string{"gap": "1.12"}, nil},
		{job.OrderLine{Position: "D26"}, map[string]string{"hand": "right"}, []string{"D26 seal left takes a part of hand left, this one is right"}},
		{job.OrderLine{Position: "D26"}, map[string]string{"hand": "left"}, nil},
		{job.OrderLine{Position: "D03"}, map[string]string{"set number": "402"}, []string{"set number must be one for all of P01, D03: P01 pinion shaft is 417, D03 crown wheel is 402"}},
		{job.OrderLine{Position: "D03"}, map[string]string{"set number": "417"}, nil},
	} {
		tt.line.Tag = "N-" + string(rune('a'+i))
		w.record(t, demo.Linnet, job.Ordered{Supplier: "Foss Lane Gears", Return: 14, Lines: []job.OrderLine{tt.line}})
		g, err := w.open(t, demo.Linnet).GoodsIn(tt.line.Tag)
		if err != nil {
			t.Fatal(err)
		}
		for k := range tt.values {
			if !slices.ContainsFunc(g.Looks, func(l shop.Look) bool { return l.Key == k }) {
				t.Errorf("%s: nobody is told to look at its %s", tt.line.Position, k)
			}
		}
		d := w.record(t, demo.Linnet, job.Arrived{Tag: tt.line.Tag, Values: tt.values})
		o, _ := d.Order(tt.line.Tag)
		is := o.Arrived.Is
		if is.Good != (tt.wrong == nil) || (d.Pieces[tt.line.Tag] != nil) != is.Good || is.Until != "2026-03-24" {
			t.Errorf("%s with %v: %+v", tt.line.Position, tt.values, is)
		}
		for _, s := range tt.wrong {
			if !strings.Contains(strings.Join(is.Says, "; "), s) {
				t.Errorf("%s with %v: %q does not say %q", tt.line.Position, tt.values, is.Says, s)
			}
		}
	}
}
