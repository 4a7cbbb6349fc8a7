package cli

import (
	"context"
	"fmt"
	"os"
	"time"

	"endfloat/internal/report"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) bookCmd() *cobra.Command {
	var file, paper string
	cmd := &cobra.Command{
		Use: "book JOB", Short: "Make the book of the rebuild as a PDF", Args: takes(1, 1),
		Example: "  endfloat book L\n  endfloat book L --out linnet.pdf --paper Letter",
		RunE: run(func(args []string) error {
			return a.print(args[0], file, "", func(sh *shop.Shop, d *shop.Desk) ([]byte, error) {
				o := a.options(a.ctx, sh, d)
				o.Paper = paper
				var err error
				if o.Data, o.Checkpoint, err = a.seal(a.ctx, sh, d.Book); err != nil {
					return nil, err
				}
				return report.Book(d.View, o)
			})
		}),
	}
	cmd.Flags().StringVar(&file, "out", "", "`FILE` to write; else the book's name with .pdf, here")
	cmd.Flags().StringVar(&paper, "paper", "A4", "`SIZE`: A4 or Letter")
	return cmd
}

func (a *app) card() *cobra.Command {
	var file string
	cmd := &cobra.Command{
		Use: "card JOB", Short: "Make the card that lies with the unit: where one was, A5", Args: takes(1, 1),
		Example: "  endfloat card L --out linnet-card.pdf",
		RunE: run(func(args []string) error {
			return a.print(args[0], file, "-card", func(sh *shop.Shop, d *shop.Desk) ([]byte, error) {
				return report.ReturnCard(d.View, a.options(a.ctx, sh, d))
			})
		}),
	}
	cmd.Flags().StringVar(&file, "out", "", "`FILE` to write; else the book's name with -card.pdf, here")
	return cmd
}

// print sets a PDF of a job and writes it to a file.
func (a *app) print(name, file, tail string, set func(*shop.Shop, *shop.Desk) ([]byte, error)) error {
	return a.onJob(name, func(sh *shop.Shop, d *shop.Desk) error {
		pdf, err := set(sh, d)
		if err != nil {
			return err
		}
		if file == "" {
			file = d.Book + tail + ".pdf"
		}
		if err := os.WriteFile(file, pdf, 0o644); err != nil {
			return fmt.Errorf("the PDF could not be written (%w)", err)
		}
		fmt.Fprintf(a.out, "written: %s, %d kB, head %s\n", file, (len(pdf)+999)/1000, d.Pin)
		return nil
	})
}

// options are what paper needs beside the job.
func (a *app) options(ctx context.Context, sh *shop.Shop, d *shop.Desk) report.Options {
	return report.Options{
		Pin: d.Pin, Made: time.Now(), Version: Version,
		Photo: func(key string) ([]byte, bool) {
			b, err := sh.Blob(ctx, key)
			return b, err == nil
		},
		Name: func(key string) string { return sh.Name(ctx, key) },
	}
}

// pdf is the book for the screens.
func (a *app) pdf(sh *shop.Shop) func(context.Context, *shop.Desk) ([]byte, error) {
	return func(ctx context.Context, d *shop.Desk) ([]byte, error) {
		o := a.options(ctx, sh, d)
		var err error
		if o.Data, o.Checkpoint, err = a.seal(ctx, sh, d.Book); err != nil {
			return nil, err
		}
		return report.Book(d.View, o)
	}
}
