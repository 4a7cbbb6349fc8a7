package report_test

import (
	"strings"
	"testing"

	"endfloat/internal/demo"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/report"
	"endfloat/internal/shop"
)

// The book of the finished unit has all twelve parts that a build book has, and
// pdftotext finds in it every reading, shim and torque of the scenario.
func TestWholeBook(t *testing.T) {
	d, o := desk(t, true, demo.Linnet)
	got := text(t, book(t, d.View, o))
	for part, want := range map[string][]string{
		"1 identity":      {"Identity", "railcar No. 3", "1938", "series", "Hask Valley Light Railway", "Tove Marrin", "12 Jan 2026 to 9 Mar 2026", "set number 417", "etched +6"},
		"2 as received":   {"As received", "jumps out of 1st on drive; 2nd grates; whine in drive", "1.9 L, dark, no water", "two brass flakes", "Measured before it was taken apart"},
		"3 positions":     {"Positions and pieces", "Pinion shaft", "Primary shaft", "Differential", "Reverse", "Selectors", "Case", "ring groove toward P08", "donor", "photo 2"},
		"4 measurements":  {"Readings against limits", "As found", "As built", "booklet 12", "feelers", "at 20 °C"},
		"5 settings":      {"Settings", "Pinion depth", "Pinion preload", "Side preload", "Backlash", "Primary float", "Torques and locks", "Working of the torques", "Interlock, rail by rail", "F02 rail 3/4: blocked"},
		"6 ratios":        {"Ratios and tooth counts", "Q01 13", "P08 46", "16.365", "km/h", "Speeds at 1800 rpm of the engine on a wheel of 510 mm", "Every speed goes its way", "rolls toward the rear"},
		"7 seals, oil":    {"Seals, gaskets and oil, with their batches", "Q05 front seal", "C04 mid gasket", "Kemp and Daughter", "2602"},
		"8 tests":         {"Proofs and tests", "No drop in 10 min", "0.20 bar", "Each speed turns its own way", "Goes in and out"},
		"9 parts, cost":   {"Parts bought", "62.00 EUR", "Hours by stage", "42.5 h", "560.20 EUR", "Old parts, which are the owner's", "sent back"},
		"10 hand-over":    {"Hand-over", "Nose clearance 4.1", "20 km light", "Oil change at 300 km", "Warranty", "2.1 L to the plug"},
		"11 deviations":   {"Deviations, overrides and answers", "Set 417 had run with 0.384", "the line's engineer", "Open points None."},
		"12 next time":    {"For the next time", "Time it took", "came off only by"},
		"seal and checks": {"Seal of the book", "Entries: ", "Page 2 of", "Contents"},
	} {
		for _, w := range want {
			if !strings.Contains(got, w) {
				t.Errorf("part %s: not in the book: %q", part, w)
			}
		}
	}
	everyReading(t, got, d)
}

// everyReading looks for L1 to L31, the packs and the torque log.
func everyReading(t *testing.T, got string, d *shop.Desk) {
	t.Helper()
	for name, want := range map[string][]string{
		"L1": {"0.36 · 0.37 · 0.39 · 0.40 · 0.41 · 0.40 · 0.38 · 0.36", "look for run-out"}, "L2": {"drive toe-low, coast heel-low"}, "L3": {"0.26 · 0.27 · 0.26", "0.263 ± 0.004 mm"},
		"L4": {"40 N·m", "27 % of 150"}, "L5": {"0.950 ± 0.010 mm", "0.620 ± 0.010 mm", "1.100 ± 0.010 mm", "1.050 ± 0.010 mm"}, "L6": {"rounded over"}, "L7": {"splines stepped, 0.35"},
		"L8": {"Gear 1 float 0.22", "Gear 2 float 0.22", "Gear 3 float 0.20", "Gear 4 float 0.20"}, "L9": {"groove 8.10, pad 7.78", "0.320 ± 0.003 mm"}, "L10": {"pad 7.82", "0.280 ± 0.003 mm"},
		"L11": {"18.86 · 18.87 · 18.88"}, "L12": {"18.24 · 18.24 · 18.24"}, "L13": {"18.43 · 18.44 · 18.45", "0.161 ± 0.005 mm"},
		"L14": {"30.00", "33.50", "0.40 · 0.41 · 0.42"}, "L15": {"0.55 · 0.56 · 0.57", "64.060 ± 0.008 mm"}, "L16": {"0.07 · 0.07 · 0.07", "12.280"}, "L17": {"0.81 ± 0.03 N·m", "18 N steady", "24 N it took to start"},
		"L18": {"0.02 · 0.03 · 0.02"}, "L19": {"0.110 ± 0.005 mm", "0.120 ± 0.005 mm"}, "L20": {"170.59 · 170.60 · 170.61", "166.33 · 166.34 · 166.35", "170.62", "at 9 °C"},
		"L21": {"0.30 · 0.32 · 0.31 · 0.31"}, "L22": {"0.19 · 0.20 · 0.18 · 0.19"}, "L23": {"0.16 · 0.16 · 0.15 · 0.16", "0.158 ± 0.003 mm"},
		"L24": {"1.80 ± 0.03 N·m", "29 N at radius 62 mm"}, "L25": {"1.215", "27 N at radius 45 mm"}, "L26": {"mid height, toe-centre, both flanks"},
		"L27": {"8.9", "8.3", "2 × 0.127"}, "L28": {"8.6", "8.5"}, "L29": {"Blocked, all 6 tries"}, "L30": {"No drop in 10 min"}, "L31": {"156.5", "163.7", "83.7", "58.7", "39.0"},
		"shims":   {"d1", "0.499", "d5", "0.150", "s14", "2.001", "s5", "0.298", "s9", "0.149", "s13", "1.497", "s7", "0.203", "s6", "0.252", "q-0.55", "0.549", "i-12.28", "c-2.05"},
		"as came": {"Came off: 2.30", "Came off: 2.15", "Came off: 0.55", "Came off: 0.70"},
		"torques": {"149.9 ± 0.4 N·m", "238 N", "120 N·m", "left-hand thread", "70 N·m", "63.0 N·m", "24 N·m", "45 N·m", "30 N·m", "12 N·m", "22 N·m", "10 N·m", "9 N·m"},
	} {
		for _, w := range want {
			if !strings.Contains(got, w) {
				t.Errorf("%s: not in the book: %q", name, w)
			}
		}
	}
	flat := strings.ReplaceAll(got, "\u00a0", " ")
	for _, r := range d.Readings { // and whatever else was read
		for _, v := range r.Is.Values {
			if !strings.Contains(flat, v) {
				t.Errorf("reading of %s, entry %d: %q is not in the book", r.Is.What, r.Seq, v)
			}
		}
	}
	for id, sp := range d.Spots {
		if sp.Torqued != nil && !strings.Contains(flat, sp.Torqued.Is.Reading) {
			t.Errorf("torque of %s: %q is not in the book", id, sp.Torqued.Is.Reading)
		}
		for _, tag := range d.At[id] {
			if !strings.Contains(got, tag) {
				t.Errorf("piece %s at %s is not in the book", tag, id)
			}
		}
	}
}

// The tooth-count certificate of the club's hill-climb gearbox, with the gears for
// either hill (scenario B: 13/36, 16/33, 20/30, 23/27 and final 9/31; 17/32, 21/29,
// 24/26): dog engagement and a plate differential are named as such.
func TestHillClimbCertificate(t *testing.T) {
	box, err := gearbox.Read("box-two.gearbox.yaml", demo.BoxTwo())
	if err != nil {
		t.Fatal(err)
	}
	for series, want := range map[string][]string{
		"short": {"U01 13", "36", "U04 16", "33", "U06 20", "30", "U08 23", "27", "1.1739"},
		"long":  {"U01 13", "36", "U04 17", "32", "U06 21", "29", "U08 24", "26", "1.0833"},
	} {
		v := replay(t, box, job.Opened{Unit: "Box Two", Letter: "T", Type: "QH-4", Series: series})
		raw, err := report.For(v, "scrutineer", report.Options{Made: made, Pin: "1 abc="})
		if err != nil {
			t.Fatal(err)
		}
		got := text(t, raw)
		has(t, got, append(want, "Tooth-count certificate", "31 teeth", "9 teeth, ratio 3.4444", "no synchroniser", "plates, limited slip", "40 to 50 N·m", "The turns were not counted")...)
		if strings.Contains(got, "synchroniser: ") {
			t.Errorf("%s: a gearbox with dogs alone has a synchroniser", series)
		}
	}
}

// What each reader needs is in his version, and nothing keeps an open point from
// him. Seeded event 18: next-owner sheet and tooth-count certificate.
func TestReadersSay(t *testing.T) {
	d, o := desk(t, true, demo.Linnet)
	a, err := shops[true].Account(t.Context(), d)
	if err != nil {
		t.Fatal(err)
	}
	o.Account = &a
	_, hash, _ := strings.Cut(d.Pin, " ")
	for reader, want := range map[string][]string{
		"owner": {"jumps out of 1st on drive", "Dog teeth rounded over a third", "Splines stepped, 0.35", "replaced from a donor", "Spline wear 0.35",
			"0.3838 ± 0.0029 mm", "0.158 ± 0.003 mm", "2600.20 EUR", "Within the estimate of 2200.00 EUR to 2800.00 EUR", "Oil change at 300 km", "Open points None.", hash},
		"next-owner": {"railcar No. 3", "Q08 21", "P15 38", "1.8095", "What is original and what was replaced", "P08 gear 1st", "Plover", "Filled 2.1 L, to the plug", "For the next time", "d1 0.499", "0.649 mm", "0.55", "For the next owner", hash},
		"scrutineer": {"Tooth-count certificate", "Q01 13", "P08 46", "Crown wheel and pinion: D03 37 teeth, P01 8 teeth, ratio 4.6250", "163.7", "synchroniser: P09 ring 1st", "synchroniser: P22 ring 3rd",
			"sliding teeth on P11 sleeve 1/2", "open, bevel: side gear left 16 teeth", "set number 417", "Seen by the scrutineer", hash[:12], hash},
		"fitter":   {"Nose clearance 4.1", "Breather clear", "Filled 2.1 L", "149.9 ± 0.4 N·m", "Never be under", "Received by", hash},
		"operator": {"No point stands open. Release is the engineer's", "Interlock, seen", "Ivo", "passed with a reason", "the line's engineer", "Released by the operator's engineer", "tab bent on a flat", hash},
		"builder":  {"Build sheet", "s14 2.001", "2.448 mm", "64.060 ± 0.008 mm", "149.9 ± 0.4 N·m", "Open points none", "No drop in 10 min", hash},
		"payer":    {"Estimate 2200 EUR to 2800 EUR", "Hours in all 42.5 h", "P02 head roller bearing", "62.00 EUR", "2600.20 EUR", "sent back", "Old parts", hash},
	} {
		raw, err := report.For(d.View, reader, o)
		if err != nil {
			t.Fatal(err)
		}
		tool(t, raw, "qpdf", "--check", "FILE")
		got := strings.ReplaceAll(text(t, raw), "\u00a0", " ")
		for _, w := range want {
			if !strings.Contains(got, w) {
				t.Errorf("%s: %q is not in it", reader, w)
			}
		}
		if reader == "builder" {
			has(t, tool(t, raw, "pdfinfo", "FILE"), "Pages:           1\n")
		}
		if !strings.Contains(got, plan.Interlock) && reader == "operator" {
			t.Error("no word of the interlock")
		}
	}
	d, o = desk(t, false, demo.Linnet)
	raw, err := report.For(d.View, "operator", o)
	if err != nil {
		t.Fatal(err)
	}
	has(t, text(t, raw), "NOT FOR RELEASE", "P39 pinion nut is torqued and not locked")
	if _, err := report.For(d.View, "nobody", o); err == nil || !strings.Contains(err.Error(), "scrutineer") {
		t.Errorf("for nobody: %v", err)
	}
}
