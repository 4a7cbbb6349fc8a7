package demo

import (
	"fmt"
	"image/color"
	"slices"
	"strings"
	"time"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/shop"
)

// The books of the demonstration.
const (
	Linnet  = "linnet"
	Dunnock = "dunnock"
	Plover  = "plover"
)

// treasurer answers for the line's money.
const treasurer = "the line's treasurer"

var (
	blue   = color.RGBA{36, 84, 148, 255}
	yellow = color.RGBA{232, 190, 40, 255}
)

func (t *teller) workshop() {
	t.day(time.January, 12, 7)
	for _, f := range []struct {
		name string
		text []byte
	}{{"bw-4t.gearbox.yaml", BW4T()}, {"three-speed.gearbox.yaml", ThreeSpeed()}, {"box-two.gearbox.yaml", BoxTwo()}} {
		if t.err == nil {
			if _, err := t.sh.KeepBox(t.ctx, shop.By{Name: t.who, At: t.at}, f.name, f.text); err != nil {
				t.err = fmt.Errorf("demonstration, %s: %w", f.name, err)
			}
		}
	}
	for _, i := range instruments {
		t.do(shop.StoresBook, i)
	}
	t.do(shop.StoresBook, job.Tool{Name: "600 mm bar", Class: "bar", Values: map[string]string{
		"arm": "0.600 m ± 0.001 m", "bar-mass": "2.4 kg", "bar-centre": "0.300 m", "bar-weight": "with the pull"}})
	t.do(shop.StoresBook, job.Tool{Name: "120 N·m wrench with crow-foot", Class: "torque wrench", Values: map[string]string{
		"wrench": "405 mm", "extension": "45 mm", "angle": "0°"}})
	for _, s := range drawer {
		for i, thick := range strings.Fields(s.thick) {
			tag := s.prefix + fmt.Sprint(i+1)
			if s.byNominal {
				tag = s.prefix + "-" + strings.Fields(s.nominal)[i]
			}
			t.do(shop.StoresBook, job.Added{Piece: job.Piece{Tag: tag, Name: s.stock, Stock: s.stock, Thick: thick + " mm", Nominal: strings.Fields(s.nominal)[i]}})
		}
	}
	t.offers()
}

// Standard uncertainties of one reading, half of each common to repeats.
var instruments = []job.Instrument{
	{Name: "depth micrometer", Quantity: "length", Unit: "mm", U: 5e-6, Common: 0.5, Metal: "steel"},
	{Name: "outside micrometer", Quantity: "length", Unit: "mm", U: 3e-6, Common: 0.5, Metal: "steel"},
	{Name: "inside micrometer", Quantity: "length", Unit: "mm", U: 5e-6, Common: 0.5, Metal: "steel"},
	{Name: "dial indicator", Quantity: "length", Unit: "mm", U: 5e-6, Common: 0.5},
	{Name: "feelers", Quantity: "length", Unit: "mm", U: 10e-6, Common: 0.5},
	{Name: "hanging scale", Quantity: "force", Unit: "N", U: 0.5, Common: 0.5},
}

var drawer = []struct {
	prefix, stock, nominal, thick string
	byNominal                     bool
}{
	{"s", "side shim", "1.00 1.00 0.50 0.50 0.30 0.25 0.20 0.20 0.15 0.15 0.10 0.10 1.50 2.00 0.05",
		"0.998 1.003 0.502 0.498 0.298 0.252 0.203 0.197 0.149 0.152 0.098 0.101 1.497 2.001 0.049", false},
	{"d", "depth shim", "0.50 0.30 0.25 0.20 0.15 0.10 0.10 0.05", "0.499 0.301 0.249 0.201 0.150 0.099 0.102 0.051", false},
	{"q", "primary shim", "0.30 0.40 0.50 0.55 0.60 0.65 0.70 0.80", "0.298 0.402 0.501 0.549 0.603 0.651 0.698 0.801", true},
	{"i", "inner spacer", "12.24 12.26 12.28 12.30 12.34 12.40", "12.24 12.26 12.28 12.30 12.34 12.40", true},
	{"c", "circlip", "2.00 2.05 2.10", "2.00 2.05 2.10", true},
}

func (t *teller) receive() {
	t.day(time.January, 12, 9)
	for _, o := range []job.Opened{
		{Unit: "Linnet", Owner: "Hask Valley Light Railway", Letter: "L", Colour: "blue", Type: "BW-4T", Series: "A", Number: "railcar No. 3", Year: "1938",
			Asked: "full rebuild, uprated 1st and 2nd from the line's own stock", Symptoms: "jumps out of 1st on drive; 2nd grates; whine in drive", Due: "14 March: inspection run"},
		{Unit: "Dunnock", Owner: "Hask Valley Light Railway", Letter: "D", Colour: "yellow", Type: "BW-4T", Series: "B", Number: "railcar No. 5", Year: "1952",
			Asked: "rebuild to its series", Symptoms: "1st and 3rd crunch; oil on the track", Due: "May"},
		{Unit: "Plover", Letter: "P", Colour: "grey", Type: "BW-4T", Series: "B", Year: "1955", Donor: true, Asked: "parts; its case is broken"},
	} {
		if t.err == nil {
			t.at = t.at.Add(20 * time.Minute)
			if _, err := t.sh.NewJob(t.ctx, shop.By{Name: t.who, At: t.at}, o); err != nil {
				t.err = fmt.Errorf("demonstration, %s: %w", o.Unit, err)
			}
		}
	}
	t.do(Linnet, job.Marked{Tag: "L-P01", Marks: map[string]string{"set number": "417", "etched": "+6"}})
	t.do(Linnet, job.Marked{Tag: "L-D03", Marks: map[string]string{"set number": "417"}})
	t.do(Dunnock, job.Marked{Tag: "D-P01", Marks: map[string]string{"set number": "522", "etched": "-4"}})
	t.do(Dunnock, job.Marked{Tag: "D-D03", Marks: map[string]string{"set number": "522"}})
	t.do(Plover, job.Marked{Tag: "P-D03", Marks: map[string]string{"set number": "402"}})
	t.do(Linnet, job.Received{Oil: "1.9 L, dark, no water", Debris: "fine paste on the magnet, two brass flakes", Gears: map[string]string{"1": "jumps out on drive", "2": "grates going in", "all": "whines in drive"}})
	t.do(Dunnock, job.Received{Oil: "1.4 L", Debris: "steel chips on the magnet; oil halo round the steel screws of the case", Gears: map[string]string{"1": "grates going in", "3": "grates going in", "all": "loses oil on the track"}})
	t.do(Linnet, job.Estimate{Asked: "full rebuild, uprated 1st and 2nd from the line's own stock", Level: "proper", Low: "2200 EUR", High: "2800 EUR",
		Stop: "after inspection, with the list of parts", May: treasurer, Above: "200 EUR"})
	// As found, before anything is undone.
	t.read(Linnet, "backlash as found", "dial indicator", "0.36 0.37 0.39 0.40 0.41 0.40 0.38 0.36", remark("one high and one low per turn: look for run-out"))
	t.read(Linnet, "primary float as found", "dial indicator", "0.26 0.27 0.26")
	t.note(Linnet, "Pattern as found: drive toe-low, coast heel-low. Pinion too far in, side bearings worn, dirt behind the crown.", "pattern as found")
	t.day(time.January, 13, 8)
	t.read(Linnet, "P39 break-away torque", "", "", whole("40 N·m"), remark("nut found loose: 27 % of 150"))
}

// stripAll takes both units apart in the order the geometry gives.
func (t *teller) stripAll() {
	t.day(time.January, 13, 10)
	t.strip(Linnet, blue, map[string][]string{"D20": {"2.30"}, "D21": {"2.15"}, "P36": {"0.55"}, "Q13": {"0.70"}},
		map[string]string{"P08": "dog teeth rounded over a third", "P11": "splines stepped, 0.35", "D03": "dirt behind it", "Q02": "front face ground by an earlier repairer"})
	t.note(Linnet, "A bag marked \"side L 2.15\" lay in this tray with a yellow dot on its back: it is Dunnock's. Put back.", "mix-up")
	t.day(time.January, 19, 9)
	t.strip(Dunnock, yellow, map[string][]string{"D20": {"2.15"}, "D21": {"2.15"}, "P36": {"0.60"}},
		map[string]string{"P19": "one tooth chipped", "C13": "case ear cracked beside the lifting eye", "C09": "steel screws without aluminium washers, corrosion halo"})
	t.note(Dunnock, "Do not lift by the cracked ear until it is welded and proof-tested; then bores, depth, side preload and backlash are to be proven again.", "safety")
	t.day(time.January, 20, 9)
	t.wash(Linnet, job.Cleaned{With: "white spirit and a brush, clean oil", Clear: "blown through and probed, each one", Note: "two baths"})
	t.wash(Dunnock, job.Cleaned{With: "white spirit and a brush", Note: "magnesium: no strong cleaner"})
}

// wash cleans all that is off a unit, in its own basket.
func (t *teller) wash(book string, b job.Cleaned) {
	if d := t.open(book); t.err == nil {
		b.What, b.Tags = "all that is off", d.Unwashed()
		t.do(book, b)
	}
}

func (t *teller) strip(book string, tape color.RGBA, thick map[string][]string, damage map[string]string) {
	shown := map[string]bool{"P08": true, "P11": true, "P23": true, "F04": true, "D03": true, "P36": true, "R06": true, "P19": true}
	n := 0
	for d := t.open(book); t.err == nil; n++ {
		i := slices.IndexFunc(d.Strip, func(s planStep) bool { return s.Now() })
		if i < 0 {
			break
		}
		p := d.Strip[i].Position
		off := job.TakenOff{Position: p.ID, Faced: facing(p), Marks: p.Mark, Thick: thick[p.ID], Damage: damage[p.ID], Place: place(d, p), Moved: moved(p)}
		if shown[p.ID] {
			off.Photos = []string{t.plate(tape, n)}
		}
		d = t.do(book, off)
	}
	if d := t.open(book); t.err == nil && len(d.Strip) > 0 {
		t.err = fmt.Errorf("demonstration: %s cannot be taken apart further than %s", book, d.Strip[0].Title)
	}
}

func place(d *shop.Desk, p *gearbox.Position) string {
	if p.Seat != nil || p.Count > 1 {
		return fmt.Sprintf("bag %s %s", d.Opened.Letter, p.ID)
	}
	return fmt.Sprintf("tray %s, %s", d.Opened.Letter, p.Carrier.Name)
}

func moved(p *gearbox.Position) string {
	switch {
	case p.HeatTo.Known():
		return "press"
	case p.Fastening():
		return "wrench"
	}
	return "hand"
}

func (t *teller) inspect() {
	t.day(time.January, 26, 9)
	for _, r := range []struct{ what, with, values string }{
		{"P09 ring gap", "feelers", "0.95"}, {"P14 ring gap", "feelers", "0.62"}, {"P22 ring gap", "feelers", "1.10"}, {"P27 ring gap", "feelers", "1.05"},
		{"P11 spline wear", "dial indicator", "0.35"}, {"P08 radial play", "dial indicator", "0.09"}, {"P15 radial play", "dial indicator", "0.05"},
		{"P19 radial play", "dial indicator", "0.05"}, {"P28 radial play", "dial indicator", "0.04"}, {"R02 radial play", "dial indicator", "0.06"},
		{"P01 run-out", "dial indicator", "0.03 0.03 0.03"}, {"Q01 run-out", "dial indicator", "0.02 0.02 0.02"},
		{"cover recess", "depth micrometer", "18.86 18.87 18.88"}, {"bearing stand-up", "depth micrometer", "18.24 18.24 18.24"},
	} {
		t.read(Linnet, r.what, r.with, r.values)
	}
	t.note(Linnet, "Fork 3/4: groove 8.10, pad 7.78. Fork 1/2 F-B from Plover: groove 8.10, pad 7.82.", "inspection")
	t.read(Linnet, "F05 pad clearance", "outside micrometer", "0.32")
	t.read(Linnet, "F04 pad clearance", "outside micrometer", "0.28", about("P-F04"))
	t.read(Linnet, "P08 dog wear", "", "0.40", remark("rounded over more than a third"))
	t.day(time.January, 28, 9)
	for _, r := range []struct{ what, values string }{{"P09 ring gap", "0.41"}, {"P14 ring gap", "0.88"}, {"P22 ring gap", "0.47"}, {"P27 ring gap", "0.92"}} {
		t.read(Dunnock, r.what, "feelers", r.values)
	}
}

// What becomes of Linnet's parts: new and donor; all others are reused.
var (
	renewed = strings.Fields("P02 P03 P06 P12 P13 P16 P21 P25 P26 P29 P32 P34 P38 P39 Q02 Q03 Q05 Q07 Q14 Q15 Q16 Q17 Q20 R03 R04 D04 D05 D15 D16 D17 D18 D19 D24 D25 D26 D27 C04 C05")
	donated = map[string]string{"P08": "ASY", "P09": "ASY", "P10": "wide", "P11": "wide", "P14": "ASY", "P15": "38T", "P18": "thin", "Q08": "21T", "F04": "F-B"}
	bought  = map[string]string{"P39": "M27", "C04": "paper", "C05": "paper"} // variants of new parts
)

func (t *teller) decideAll() {
	t.day(time.January, 29, 8)
	d := t.open(Linnet)
	if t.err != nil {
		return
	}
	why := map[string]string{"P08": "dog teeth rounded: the whole 1st and 2nd set becomes ASY with the wide hub, from Plover", "P11": "spline wear 0.35", "P14": "gap 0.62, and the dog form changes",
		"P15": "the 38 wheel goes with the wide hub", "P18": "the wide hub takes 3.00 of its room", "F04": "the wide hub's sleeve sits 1.5 toward 2nd", "Q02": "its face was ground 0.20 short", "P39": "one-way part"}
	for _, p := range d.Box.Order() {
		if p.Seat != nil {
			continue
		}
		b := job.Decided{Position: p.ID, Choice: "reuse", Why: why[p.ID]}
		if v, ok := donated[p.ID]; ok {
			b.Choice, b.Variant, b.Piece = "donor", v, job.Tag("P", p.ID)
		} else if slices.Contains(renewed, p.ID) {
			b.Choice, b.Variant, b.Piece = "new", bought[p.ID], "N-"+p.ID
		}
		t.do(Linnet, b)
	}
	soft := ""
	if d = t.open(Linnet); t.err == nil {
		for _, f := range d.Findings {
			if f.Kind == "rule" {
				soft = f.Key
			}
		}
	}
	if soft != "" {
		t.do(Linnet, job.Allowed{Hold: soft, Why: "The donor wheel is nearly new and the shaft's own 13 teeth are good; a new shaft cannot be had.", Witness: "the line's engineer"})
	}
	for _, b := range []job.Decided{
		{Position: "P09", Choice: "new", Why: "gap 0.41, replace below 0.50"}, {Position: "P22", Choice: "new", Why: "gap 0.47"},
		{Position: "P19", Choice: "donor", Why: "tooth chipped: Plover's 33 and 26 pair", Piece: "P-P19"}, {Position: "Q10", Choice: "donor", Why: "renewed with its mate", Piece: "P-Q10"},
		{Position: "C01", Choice: "repair", Why: "crack near the lifting eye: dye test, weld outside, proof test"},
	} {
		t.do(Dunnock, b)
	}
	t.do(Linnet, job.Approved{Level: "proper", What: "the list of parts of 28 January, within the estimate", By: treasurer, How: "letter"})
	t.order()
	t.note(Dunnock, "Ordered: rings 1st and 3rd, bearings, seals. Waiting for parts and for the welder.", "parts")
}
