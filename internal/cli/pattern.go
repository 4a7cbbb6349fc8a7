package cli

import (
	"fmt"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/job"
	"endfloat/internal/setup"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) pattern() *cobra.Command {
	var drive, coast, note string
	var files []string
	cmd := a.withJSON(&cobra.Command{
		Use: "pattern JOB", Short: "Contact pattern of crown wheel and pinion: tries so far, or a new one", Args: takes(1, 1),
		Long: "Without flanks, the tries so far with the depth and the backlash each was rolled at, the best\n" +
			"marked. With both flanks, keeps a try and says the move it asks for.",
		Example: "  endfloat pattern L\n  endfloat pattern L --drive 'mid toe' --coast 'mid centre' --photo flank.jpg",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) (err error) {
				if drive != "" || coast != "" {
					b := job.Pattern{Drive: contact(drive), Coast: contact(coast), Note: note}
					if b.Photos, err = a.photos(sh, files); err != nil {
						return err
					}
					if d, err = a.write(sh, d.Book, b); err != nil {
						return err
					}
					last := d.Patterns[len(d.Patterns)-1]
					fmt.Fprintln(a.out, last.Is.Next)
					return nil
				}
				return a.patterns(d)
			})
		}),
	})
	f := cmd.Flags()
	f.StringVar(&drive, "drive", "", "where the drive flank is rubbed clean, such as `'mid toe'`: high, mid or low and toe, centre or heel")
	f.StringVar(&coast, "coast", "", "where the coast flank is rubbed clean, such as `'mid centre'`")
	f.StringVar(&note, "note", "", "anything else seen, in `WORDS`")
	f.StringArrayVar(&files, "photo", nil, "JPEG, PNG or WebP `FILE`; repeat for each")
	return cmd
}

// contact reads "mid toe"; what it does not know the shop refuses by name.
func contact(s string) job.Contact {
	h, e, _ := strings.Cut(strings.ToLower(strings.TrimSpace(s)), " ")
	return job.Contact{Height: h, End: strings.TrimSpace(e)}
}

func (a *app) patterns(d *shop.Desk) error {
	if a.json {
		list := []job.Pattern{}
		for _, p := range d.Patterns {
			list = append(list, p.Is)
		}
		return a.printJSON(list)
	}
	if len(d.Patterns) == 0 {
		fmt.Fprintln(a.out, "no tries yet")
		return nil
	}
	mm, _ := unit.Find("mm", unit.KindLength)
	say := func(si *float64) string {
		if si == nil {
			return "not known"
		}
		return setup.Text(*si, 0, mm)
	}
	var rows [][]string
	best := d.BestPattern()
	for i, p := range d.Patterns {
		mark := ""
		if i == best {
			mark = "best"
		}
		rows = append(rows, []string{fmt.Sprint(p.Seq), "depth " + say(p.Is.Depth), "backlash " + say(p.Is.Backlash), "drive " + p.Is.Drive.Height + " " + p.Is.Drive.End, "coast " + p.Is.Coast.Height + " " + p.Is.Coast.End, mark, p.Is.Next})
	}
	table(a.out, rows)
	return nil
}

// advice prints what would help a setting most, and what to order where the
// drawer does not make its pack. beside are other jobs that share the drawer.
func (a *app) advice(d *shop.Desk, s setup.Result, beside []*shop.Desk) {
	if list := d.Advise(s.Name); len(list) > 0 {
		fmt.Fprintln(a.out, "\nWhat would help most")
		for _, x := range list {
			fmt.Fprintf(a.out, "  %s; chance %s\n", x.Do, percent(x.Chance))
		}
	}
	for i, y := range d.Buys(s.Name, beside...) {
		if i == 0 {
			fmt.Fprintln(a.out, "\nThe drawer does not make a sure pack. The fewest pieces to order")
		}
		fmt.Fprintf(a.out, "  %s: %s; chance of all %s\n", strings.Join(y.Pieces, " and "), strings.Join(y.Says, "; "), percent(y.Chance))
	}
}
