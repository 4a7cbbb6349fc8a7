package cli

import (
	"fmt"
	"os"

	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

// boxFrom writes out, or keeps, the gearbox file that a strip-down wrote.
func (a *app) boxFrom() *cobra.Command {
	var keep bool
	var file, why string
	cmd := &cobra.Command{
		Use: "from JOB", Short: "Write out the gearbox file that a strip-down wrote, or keep it", Args: takes(1, 1),
		Long:    "Without a gearbox file the strip-down writes one. It is written out here, to be mended in any editor;\n--keep keeps it for new jobs and pins it to this one, --file keeps the mended text instead.",
		Example: "  endfloat box from H > mine.gearbox.yaml\n  endfloat box from H --file mine.gearbox.yaml",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				text, _ := d.File()
				if text == nil {
					return fmt.Errorf("%s: no part that somebody named has come off yet", d.Opened.Unit)
				}
				var err error
				if file != "" {
					if text, err = os.ReadFile(file); err != nil {
						return fmt.Errorf("gearbox file: %w", err)
					}
				} else if !keep {
					_, err = a.out.Write(text)
					return err
				}
				if d, err = sh.KeepFile(a.ctx, a.who(), d.Book, text, why); err != nil {
					return err
				}
				fmt.Fprintf(a.out, "kept and pinned: %s, %s (%.8s)\n", d.Box.Name, count(len(d.Box.All()), "position"), d.Box.Hash)
				return nil
			})
		}),
	}
	f := cmd.Flags()
	f.BoolVar(&keep, "keep", false, "keep it as it stands and pin it to the job")
	f.StringVar(&file, "file", "", "keep this mended `FILE` and pin it to the job")
	f.StringVar(&why, "why", "", "`REASON` for the change")
	return cmd
}
