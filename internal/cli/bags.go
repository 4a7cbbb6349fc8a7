package cli

import (
	"fmt"
	"strings"

	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

// bags lists what lies where, and keeps the mystery bag.
func (a *app) bags() *cobra.Command {
	var saw, mystery, where string
	var days int
	var files []string
	type bagOut struct {
		Place   string   `json:"place"`
		N       int      `json:"n"`
		Of      int      `json:"of"`
		Mystery bool     `json:"mystery,omitempty"`
		Tags    []string `json:"tags"`
	}
	cmd := a.withJSON(&cobra.Command{
		Use: "bags JOB", Short: "What lies in which bag, 3 of 17; what nobody has seen; the mystery bag", Args: takes(1, 1),
		Long: "What lies in which bag or tray, each with its number of how many there are. --saw says that a bag\nwas opened and all of it was there; --unseen lists what nobody has had in hand for so many days.\n" +
			"--mystery keeps a part of which nobody knows where it belongs: a loose end until it is explained.",
		Example: "  endfloat bags L\n  endfloat bags L --saw 'bag L P36'\n  endfloat bags L --unseen 14\n  endfloat bags L --mystery 'small plate, one hole' --where 'under the bench' --photo plate.jpg",
	})
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
			switch {
			case mystery != "":
				keys, err := a.photos(sh, files)
				if err != nil {
					return err
				}
				tag, err := sh.KeepMystery(a.ctx, a.who(), d.Book, mystery, where, keys)
				if err != nil {
					return err
				}
				fmt.Fprintf(a.out, "%s is in the mystery bag of %s\n", tag, d.Opened.Unit)
				return nil
			case saw != "":
				n, err := sh.SawBag(a.ctx, a.who(), d.Book, saw)
				if err != nil {
					return err
				}
				fmt.Fprintf(a.out, "%s: %s seen\n", saw, count(n, "piece"))
				return nil
			case cmd.Flags().Changed("unseen"):
				a.unseen(sh, d, days)
				return nil
			}
			out := []bagOut{}
			var rows [][]string
			for _, b := range d.Bags() {
				o := bagOut{b.Place, b.N, b.Of, b.Mystery(), []string{}}
				for _, p := range b.Pieces {
					o.Tags = append(o.Tags, p.Tag)
				}
				out = append(out, o)
				holds := wrapped(strings.Join(o.Tags, " "), "      ")
				if len(o.Tags) == 0 {
					holds = "empty"
				}
				rows = append(rows, []string{b.Count(), b.Place, count(len(o.Tags), "piece")}, []string{"", "  " + holds})
			}
			if a.json {
				return a.printJSON(out)
			}
			if len(rows) == 0 {
				fmt.Fprintln(a.out, "nothing lies in a bag or tray")
			}
			for _, r := range rows {
				fmt.Fprintf(a.out, "  %s\n", strings.TrimRight(strings.Join(r, "  "), " "))
			}
			return nil
		})
	}
	f := cmd.Flags()
	f.StringVar(&saw, "saw", "", "`BAG` that was opened, with all of it there")
	f.IntVar(&days, "unseen", 14, "list what nobody has had in hand for so many `DAYS`")
	f.StringVar(&mystery, "mystery", "", "`WHAT` a part looks like that nobody can place")
	f.StringVar(&where, "where", "", "`PLACE` where that was found")
	f.StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE` of it; repeat for each")
	return cmd
}

func (a *app) unseen(sh *shop.Shop, d *shop.Desk, days int) {
	var rows [][]string
	for _, u := range sh.Unseen(d, days) {
		rows = append(rows, []string{u.Piece.Tag, u.Piece.Name, u.Place, fmt.Sprintf("not seen since %s, %d days", u.Seen.At.Local().Format("2 Jan 2006"), u.Days)})
	}
	if len(rows) == 0 {
		fmt.Fprintf(a.out, "everything that is off has been in a hand within %d days\n", days)
		return
	}
	table(a.out, rows)
}
