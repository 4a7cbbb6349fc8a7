package cli

import (
	"fmt"
	"os"
	"text/tabwriter"

	"endfloat/internal/report"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) labels() *cobra.Command {
	var file string
	var list bool
	want := report.LabelOrder{}
	cmd := &cobra.Command{
		Use: "labels JOB [TAG...]", Short: "Make labels for pieces and bags as a PDF", Args: takes(0, -1),
		Long: "Make labels for pieces and bags as a PDF.\n\n" +
			"Without a TAG there is one for every piece that is off the unit and for every bag and tray; before anything is off, for every piece.\n" +
			"Print at 100 %, without scaling.",
		Example: "  endfloat labels L\n  endfloat labels L L-P08 'bag L D20' --on 50x30\n  endfloat labels L --on '3x8 of 70x37' --first 5\n  endfloat labels --sizes",
		RunE: run(func(args []string) error {
			if list {
				return a.labelSizes()
			}
			if len(args) == 0 {
				return fmt.Errorf("say whose labels: endfloat labels JOB; the sizes are listed by endfloat labels --sizes")
			}
			want.Tags = args[1:]
			return a.print(args[0], file, "-labels", func(sh *shop.Shop, d *shop.Desk) ([]byte, error) {
				return report.Labels(d.View, want, a.options(a.ctx, sh, d))
			})
		}),
	}
	f := cmd.Flags()
	f.StringVar(&want.Stock, "on", "a4-24", "`SIZE`: a name of --sizes, 50x30 in mm, or a grid: '3x8 of 70x37 from 0,0.5 step 70,37 on a4'")
	f.IntVar(&want.First, "first", 1, "`PLACE` on the sheet of the first label, to use up a sheet")
	f.StringVar(&want.Site, "site", "", "`ADDRESS` of the workshop, such as http://192.168.1.20:8080: a phone's own camera then opens the piece")
	f.StringVar(&file, "out", "", "`FILE` to write; else the book's name with -labels.pdf, here")
	f.BoolVar(&list, "sizes", false, "list the sizes")
	return cmd
}

func (a *app) labelSizes() error {
	w := tabwriter.NewWriter(a.out, 0, 0, 2, ' ', 0)
	for _, s := range report.Stocks() {
		fmt.Fprintf(w, "%s\t%s\n", s.Name, s.Says)
	}
	return w.Flush()
}

func (a *app) scan() *cobra.Command {
	var job string
	cmd := &cobra.Command{
		Use: "scan TAG|PHOTO", Short: "Say whose piece a tag, or the label in a photo, is", Args: takes(1, 1),
		Example: "  endfloat scan L-P08\n  endfloat scan label.jpg --at L",
		RunE: run(func(args []string) error {
			return a.open(func(sh *shop.Shop) error {
				book, text := "", args[0]
				var err error
				if job != "" {
					if book, err = a.bookOf(sh, job); err != nil {
						return err
					}
				}
				if raw, err := os.ReadFile(text); err == nil {
					if text, err = sh.ReadLabel(a.ctx, raw); err != nil {
						return fmt.Errorf("%s: %w", args[0], err)
					}
				}
				f, err := sh.Scan(a.ctx, book, text)
				if err != nil {
					return err
				}
				if f.Stop {
					return fmt.Errorf("STOP: %s belongs to %s. Put it back: %s", f.Tag, f.Whose(), f.Lies())
				}
				fmt.Fprintf(a.out, "%s: %s, of %s; %s\n", f.Tag, f.What(), f.Whose(), f.Lies())
				return nil
			})
		}),
	}
	cmd.Flags().StringVar(&job, "at", "", "`JOB` at this bench: a piece of another unit is then stopped")
	return cmd
}
