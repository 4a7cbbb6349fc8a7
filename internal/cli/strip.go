package cli

import (
	"fmt"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) strip() *cobra.Command {
	return &cobra.Command{
		Use: "strip JOB", Short: "What comes off next", Args: takes(1, 1), Example: "  endfloat strip L",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(_ *shop.Shop, d *shop.Desk) error {
				var rows [][]string
				for _, s := range d.Strip {
					if s.Now() {
						rows = append(rows, []string{s.Position.ID, s.Position.Name, look(s.Position)})
					}
				}
				if len(rows) == 0 {
					fmt.Fprintln(a.out, "nothing is left to come off")
					return nil
				}
				fmt.Fprintf(a.out, "%s still on; free to come off:\n", count(len(d.Strip), "part"))
				table(a.out, rows)
				a.cares(nextCares(d))
				return nil
			})
		}),
	}
}

// nextCares are the cautions of what is free to come off.
func nextCares(d *shop.Desk) []string {
	var keys []string
	for _, s := range d.Strip {
		if s.Now() {
			keys = append(keys, s.Care...)
		}
	}
	return keys
}

// cares prints the cautions of some keys, each once.
func (a *app) cares(keys []string) {
	var says []string
	seen := map[string]bool{}
	for _, k := range keys {
		if c, ok := gearbox.Caution(k); ok && !seen[k] {
			seen[k] = true
			says = append(says, c)
		}
	}
	if len(says) > 0 {
		bullets(a.out, "Care", append(says, gearbox.Defers))
	}
}

// look says what to see before a part is taken off: it cannot be found out later.
func look(p *gearbox.Position) string {
	var says []string
	if p.Hidden != "" {
		says = append(says, "hidden: "+p.Hidden)
	}
	for _, f := range p.Faces {
		says = append(says, "look: "+f.Face+" toward "+f.Toward+"?")
	}
	if p.Mark != "" {
		says = append(says, "mark: "+p.Mark)
	}
	if p.LeftHand {
		says = append(says, "left-hand thread")
	}
	return strings.Join(says, "; ")
}

func (a *app) off() *cobra.Command {
	var b job.TakenOff
	var files []string
	cmd := &cobra.Command{
		Use: "off JOB [POSITION]", Short: "Record a part coming off; one that no file knows is named and gets an id", Args: takes(1, 2),
		Example: "  endfloat off L P08 --faced 'cone toward nut' --place 'tray L2' --marks 'dot at the key' --photo p08.jpg",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) (err error) {
				if len(args) > 1 {
					b.Position = args[1]
				}
				if b.Photos, err = a.photos(sh, files); err != nil {
					return err
				}
				if d, err = a.write(sh, d.Book, b); err != nil {
					return err
				}
				for _, s := range d.Next(1) {
					fmt.Fprintf(a.out, "next: %s\n", s.Title)
				}
				return nil
			})
		}),
	}
	f := cmd.Flags()
	f.StringVar(&b.Faced, "faced", "", "`WAY` it faced, such as 'cone toward nut'")
	f.StringVar(&b.Place, "place", "", "`TRAY` or bag it goes in")
	f.StringVar(&b.Marks, "marks", "", "witness `MARKS` found or made")
	f.StringVar(&b.Moved, "moved", "", "`WHAT` it took: hand, puller, press, heat")
	f.StringVar(&b.Damage, "damage", "", "`WHAT` is wrong with it")
	f.StringVar(&b.Name, "name", "", "`NAME` of a part that the gearbox file does not have")
	f.StringVar(&b.Carrier, "carrier", "", "`WHAT` such a part sat on or in")
	f.StringVar(&b.PartKind, "kind", "", "`KIND` of such a part, where its name does not tell")
	f.StringArrayVar(&b.Ends, "end", nil, "`END` of such a carrier; give both, in the order of its parts")
	f.StringVar(&b.From, "from", "", "`END` at which it came off")
	f.StringVar(&b.Against, "against", "", "`POSITION` that such a part lay against, on the side that stays")
	f.StringVar(&b.NoPhoto, "no-photo", "", "`WHY` no photo was taken")
	f.StringArrayVar(&b.Thick, "thick", nil, "`THICKNESS` of a shim found; repeat for each")
	f.IntVar(&b.Count, "count", 0, "`NUMBER` found, when it is not what the file says")
	f.StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}

func (a *app) read() *cobra.Command {
	var b job.Read
	var files []string
	var temp, dial string
	cmd := a.withJSON(&cobra.Command{
		Use: "read JOB [WHAT VALUE…]", Short: "Record readings, or list what can be read", Args: takes(1, -1),
		Long: "Record readings of one thing. WHAT is a name in the gearbox file, such as 'P08 radial play' or\n" +
			"'backlash', or free words. Repeats go one after another. Without WHAT: what can be read.",
		Example: "  endfloat read L 'nut gap' 0.42mm 0.43mm 0.42mm --with 'feeler gauge' --temp '17 °C'\n  endfloat read L",
	})
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		switch {
		case len(args) == 1:
			return a.onJob(args[0], a.readable)
		case len(args) == 2 && dial == "":
			return usage(cmd, "%s: no value was typed; write it after the name, such as '18.87 mm'", args[1])
		}
		b.What, b.Values, b.Dial = args[1], args[2:], strings.Fields(dial)
		if temp != "" {
			c, _ := unit.Find("°C", unit.KindTemperature)
			q, err := unit.Parse(temp, unit.KindTemperature, c)
			if err != nil {
				return fmt.Errorf("temperature: %w", err)
			}
			b.Temp = &q.SI
		}
		return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) (err error) {
			if b.Photos, err = a.photos(sh, files); err != nil {
				return err
			}
			if d, err = sh.Record(a.ctx, a.who(), d.Book, b); err != nil {
				return err
			}
			a.wasRead(d)
			return nil
		})
	}
	f := cmd.Flags()
	f.StringVar(&b.With, "with", "", "`INSTRUMENT` of the stores; it gives the uncertainty")
	f.StringVar(&temp, "temp", "", "`TEMPERATURE` of part and instrument")
	f.StringVar(&b.State, "state", "", "`STATE` of the unit: nut torqued, gasket in, oiled")
	f.BoolVar(&b.Sure, "sure", false, "the value was questioned and stands")
	f.StringVar(&b.Piece, "piece", "", "`TAG`, when it is not the piece that is or was last there")
	f.StringVar(&b.Note, "note", "", "`TEXT` to go with it")
	f.StringVar(&dial, "dial", "", "`READINGS` of a dial at equal places once round, with spaces between; the swing they show is the value")
	f.StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}

// wasRead tells what the last readings come to and what they say of the part.
func (a *app) wasRead(d *shop.Desk) {
	r := d.Readings[len(d.Readings)-1]
	in, _ := unit.Find(r.Is.Unit, kindOf(d, r))
	var each []string
	for _, v := range r.Is.SI {
		each = append(each, unit.FormatU(v, 0, in))
	}
	fmt.Fprintf(a.out, "entry %d: %s read %s\n", r.Seq, r.Is.What, strings.Join(each, " · "))
	m := measureOf(d, r.Is.What)
	if m == nil {
		mean := setup.MeanOf(d.State, nil, r)
		fmt.Fprintf(a.out, "  mean %s%s\n", setup.Text(mean.Value, mean.U, in), noDoubt(mean.U))
		return
	}
	j := setup.Judge(d.State, m, r)
	fmt.Fprintf(a.out, "  mean %s%s\n", j.Text, noDoubt(j.Mean.U))
	if j.Mean.Correct != 0 {
		fmt.Fprintln(a.out, "  carried to 20 °C")
	}
	if j.Verdict != "" {
		fmt.Fprintf(a.out, "  wanted %s (%s): %s\n", j.Wanted, j.From, j.Verdict)
	}
	if j.Plan {
		fmt.Fprintln(a.out, "  worn: plan to renew it next time")
	}
	if j.SpreadOut {
		fmt.Fprintf(a.out, "  varies by %s around the turn, more than %s: look for run-out\n", setup.Text(j.Spread, 0, m.Unit), setup.Text(j.Allows, 0, m.Unit))
	}
	for _, s := range d.Settings {
		if rests(s, r.Is.What) {
			fmt.Fprintf(a.out, "  setting %s\n", standing(s))
		}
	}
}

func noDoubt(u float64) string {
	if u > 0 {
		return ""
	}
	return " (its doubt is not known: name the instrument with --with)"
}

func kindOf(d *shop.Desk, r job.Reading) unit.Kind {
	if m := measureOf(d, r.Is.What); m != nil {
		return m.Kind
	}
	if ins, ok := d.Stores.Instruments[r.Is.With]; ok {
		if k, ok := unit.KindOf(ins.Quantity); ok {
			return k
		}
	}
	return unit.KindLength
}

func measureOf(d *shop.Desk, what string) *gearbox.Measure {
	if d.Box == nil {
		return nil
	}
	m, _ := d.Box.Measure(what)
	return m
}

// rests reports whether a setting is reckoned from a reading of that name.
func rests(s setup.Result, what string) bool {
	for _, t := range s.Chain {
		if strings.EqualFold(t.Measure, what) {
			return true
		}
	}
	return false
}

// readable lists what the gearbox file says can be read.
func (a *app) readable(_ *shop.Shop, d *shop.Desk) error {
	type row struct {
		What     string `json:"what"`
		Quantity string `json:"quantity"`
		Unit     string `json:"unit"`
		With     string `json:"with,omitempty"`
		Repeats  int    `json:"repeats"`
		Limit    string `json:"limit,omitempty"`
		Sets     int    `json:"sets_read"`
	}
	list := []row{}
	var rows [][]string
	if d.Box != nil {
		for _, m := range d.Box.Measures {
			r := row{m.Name, m.Kind.String(), m.Unit.Symbol, m.With, m.Repeats, limitOf(d, m), len(d.ReadingsOf(m.Name))}
			list = append(list, r)
			done := ""
			if r.Sets > 0 {
				done = "read"
			}
			how := "in " + m.Unit.Symbol
			if m.Unit.Symbol == "" {
				how = "a number"
			}
			if m.Repeats > 1 {
				how += fmt.Sprintf(", %d times", m.Repeats)
			}
			if m.Places > 0 {
				how += fmt.Sprintf(" at %d places", m.Places)
			}
			rows = append(rows, []string{m.Name, how, m.With, r.Limit, done})
		}
	}
	switch {
	case a.json:
		return a.printJSON(list)
	case len(rows) == 0:
		fmt.Fprintln(a.out, "the gearbox file names nothing to read; free words will do: endfloat read JOB 'input shaft end float' 0.12mm")
	default:
		table(a.out, rows)
	}
	return nil
}

func limitOf(d *shop.Desk, m *gearbox.Measure) string {
	if m.Limit == nil {
		return ""
	}
	lo, hi, hasLo, hasHi := m.Limit.Band.At(d.Built)
	return setup.Range(lo, hi, hasLo, hasHi, m.Unit)
}
