package cli

import (
	"fmt"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) look() *cobra.Command {
	var files []string
	var says string
	var rest bool
	cmd := &cobra.Command{
		Use: "look JOB [POSITION [WHAT=SAW…]]", Short: "What to look at and measure, what was seen, and what it comes to", Args: takes(1, -1),
		Long: "Without POSITION: every part with its verdict and the number that it hangs on. With one: what to look\n" +
			"at and measure there. WHAT=SAW records what was seen: " + strings.Join(shop.Saw, ", ") + ".",
		Example: "  endfloat look L\n  endfloat look L P08\n  endfloat look L P08 'dog teeth=replace' --says 'rounded over a third' --rest-good",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				if len(args) == 1 {
					a.inspections(d)
					return nil
				}
				p, err := positionOf(d, args[1])
				if err != nil {
					return err
				}
				seen, err := seenOf(d.Inspect(p), args[2:], rest)
				if err != nil {
					return err
				}
				if len(seen) > 0 {
					seen[0].Says = says
					if seen[0].Photos, err = a.photos(sh, files); err != nil {
						return err
					}
					if d, err = sh.LookAt(a.ctx, a.who(), d.Book, seen); err != nil {
						return err
					}
				}
				a.inspected(d.Inspect(p))
				return nil
			})
		}),
	}
	f := cmd.Flags()
	f.StringVar(&says, "says", "", "`TEXT`: what was seen, kept with the first WHAT")
	f.BoolVar(&rest, "rest-good", false, "each other thing was looked at and is good")
	f.StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}

func positionOf(d *shop.Desk, id string) (*gearbox.Position, error) {
	if d.Box != nil {
		if p, ok := d.Box.Position(id); ok {
			return p, nil
		}
	}
	return nil, fmt.Errorf("%s has no position %q", d.Opened.Unit, id)
}

// seenOf are the entries that were typed as WHAT=SAW.
func seenOf(in shop.Inspection, typed []string, rest bool) ([]job.Looked, error) {
	saw, err := keyed(typed, "what")
	if err != nil {
		return nil, err
	}
	var out []job.Looked
	told := map[string]bool{}
	for _, t := range typed {
		at, _, _ := strings.Cut(t, "=")
		at = strings.TrimSpace(at)
		told[at] = true
		out = append(out, job.Looked{Position: in.Position.ID, At: at, Saw: saw[at]})
	}
	for _, l := range in.Looks {
		if rest && l.Done == nil && !told[l.At] {
			out = append(out, job.Looked{Position: in.Position.ID, At: l.At, Saw: shop.Good})
		}
	}
	return out, nil
}

func (a *app) inspections(d *shop.Desk) {
	var rows [][]string
	for _, in := range d.Inspections() {
		word := in.Word
		if word == "" {
			word = "open"
		}
		rows = append(rows, []string{in.Position.ID, in.Position.Name, word, in.Hangs})
	}
	table(a.out, rows)
}

func (a *app) inspected(in shop.Inspection) {
	fmt.Fprintln(a.out, in.Position.Label())
	if in.Word != "" {
		fmt.Fprintf(a.out, "  %s: %s\n", in.Word, in.Hangs)
	}
	if in.Unwashed {
		fmt.Fprintln(a.out, "  not washed yet, by the book: a dirty part reads wrong")
	}
	var rows [][]string
	for _, l := range in.Looks {
		saw := "not looked at"
		if l.Done != nil {
			saw = and(l.Done.Is.Saw, l.Done.Is.Says)
		}
		rows = append(rows, []string{"look at", l.At, saw, "against it: " + l.Bad})
	}
	for _, r := range in.Reads {
		says := "not read"
		if r.Last != nil {
			says = r.Says()
		}
		rows = append(rows, []string{"measure", r.Name, r.Word(), says})
		for _, set := range r.Sets {
			rows = append(rows, []string{"", "", "", fmt.Sprintf("entry %d: %s%s", set.Seq, strings.Join(set.Is.Values, " · "), after(", dial ", strings.Join(set.Is.Dial, " · ")))})
		}
	}
	table(a.out, rows)
}

func (a *app) rings() *cobra.Command {
	var also []string
	var sure bool
	var with string
	cmd := a.withJSON(&cobra.Command{
		Use: "rings JOB [RING CONE GAP…]", Short: "Gaps of rings tried on cones, and which ring goes where", Args: takes(1, -1),
		Long: "Record the gap of one ring on one cone, at three places, or show the table of all that were tried with the\n" +
			"best pairing: fewest gears without a ring that is good enough, then most wear left in all.",
		Example: "  endfloat rings L\n  endfloat rings L L-P09 L-P15 0.62mm 0.64mm 0.63mm",
	})
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if n := len(args); n == 2 || n == 3 {
			return usage(cmd, "a trial is a ring, a cone and the gap between them; %d were given", n-1)
		}
		return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) (err error) {
			if len(args) > 3 {
				if d, err = a.write(sh, d.Book, job.Gap{Ring: args[1], Cone: args[2], Value: strings.Join(args[3:], " · "), With: with, Sure: sure}); err != nil {
					return err
				}
			}
			t, err := sh.Rings(a.ctx, d, also...)
			if err != nil {
				return err
			}
			if a.json {
				return a.printJSON(ringRows(t))
			}
			a.ringTable(t)
			return nil
		})
	}
	f := cmd.Flags()
	f.StringArrayVar(&also, "also", nil, "`TAG` of a further ring or gear, new or of a donor; repeat for each")
	f.StringVar(&with, "with", "", "`INSTRUMENT` of the stores, else the feelers")
	f.BoolVar(&sure, "sure", false, "the value was questioned and stands")
	return cmd
}

type ringRow struct {
	Ring string   `json:"ring"`
	Cone string   `json:"cone"`
	SI   float64  `json:"si"`
	U    float64  `json:"u_si"`
	Word string   `json:"word,omitempty"`
	Sets []string `json:"sets"`
	Goes bool     `json:"goes_here"`
}

func ringRows(t *shop.RingTable) []ringRow {
	rows := []ringRow{}
	for i, row := range t.Cells {
		for j, c := range row {
			if c != nil {
				rows = append(rows, ringRow{t.Rings[i].Tag, t.Cones[j].Tag, c.SI, c.U, c.Word, c.Sets, t.Best[i] == j})
			}
		}
	}
	return rows
}

func (a *app) ringTable(t *shop.RingTable) {
	if len(t.Rings) == 0 || len(t.Cones) == 0 {
		fmt.Fprintln(a.out, "the gearbox file asks for no gap of a ring on a gear")
		return
	}
	head := []string{""}
	for _, c := range t.Cones {
		head = append(head, c.Tag)
	}
	rows := [][]string{head}
	for i, r := range t.Rings {
		row := []string{r.Tag}
		for j := range t.Cones {
			cell := "not tried"
			if c := t.Cells[i][j]; c != nil {
				cell = strings.TrimSpace(c.Text + " " + c.Word)
			}
			if t.Best[i] == j {
				cell += " <"
			}
			row = append(row, cell)
		}
		rows = append(rows, row)
	}
	table(a.out, rows)
	for _, s := range t.Says {
		fmt.Fprintln(a.out, s)
	}
	var lost []string
	for _, c := range t.Lost {
		lost = append(lost, c.Tag+" "+c.Position.Name)
	}
	if len(lost) > 0 && t.Tried() > 0 {
		fmt.Fprintln(a.out, "without a ring that is good enough: "+strings.Join(lost, ", "))
	}
}
