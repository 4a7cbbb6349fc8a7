package cli

import (
	"context"
	"errors"
	"fmt"
	"text/tabwriter"
	"time"

	"endfloat/internal/file"
	"endfloat/internal/report"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) bookCmd() *cobra.Command {
	var file, paper, reader string
	var list bool
	cmd := &cobra.Command{
		Use: "book JOB", Short: "Make the book of the rebuild, or what one reader needs of it, as a PDF", Args: takes(0, 1),
		Long: "Make the book of the rebuild as a PDF, or with --for what one reader needs of it.\n\n" +
			"Readers are listed by endfloat book --readers.",
		Example: "  endfloat book L\n  endfloat book L --out linnet.pdf --paper Letter\n  endfloat book L --for scrutineer",
		RunE: run(func(args []string) error {
			if list {
				return a.readers()
			}
			if len(args) == 0 {
				return errors.New("say whose book: endfloat book JOB")
			}
			tail := ""
			if reader != "" {
				tail = "-" + reader
			}
			return a.print(args[0], file, tail, func(sh *shop.Shop, d *shop.Desk) ([]byte, error) {
				p, err := a.press(paper)
				if err != nil {
					return nil, err
				}
				return sh.Paper(a.ctx, d, reader, p)
			})
		}),
	}
	cmd.Flags().StringVar(&file, "out", "", "`FILE` to write; else the book's name with .pdf, here")
	cmd.Flags().StringVar(&paper, "paper", "A4", "`SIZE`: A4 or Letter")
	cmd.Flags().StringVar(&reader, "for", "", "`READER`: owner, next-owner, scrutineer, fitter, operator, builder, bench or payer")
	cmd.Flags().BoolVar(&list, "readers", false, "list the readers and what each gets")
	return cmd
}

func (a *app) readers() error {
	w := tabwriter.NewWriter(a.out, 0, 0, 2, ' ', 0)
	for _, r := range report.Readers() {
		fmt.Fprintf(w, "%s\t%s: %s\n", r.Key, r.Title, r.Says)
	}
	return w.Flush()
}

// press is what paper is made with here and now.
func (a *app) press(paper string) (shop.Press, error) {
	key, err := a.key()
	return shop.Press{Options: report.Options{Made: time.Now(), Version: Version, Paper: paper}, Key: key}, err
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
func (a *app) print(name, to, tail string, set func(*shop.Shop, *shop.Desk) ([]byte, error)) error {
	return a.onJob(name, func(sh *shop.Shop, d *shop.Desk) error {
		pdf, err := set(sh, d)
		if err != nil {
			return err
		}
		if to == "" {
			to = d.Book + tail + ".pdf"
		}
		if err := file.Write(to, pdf, 0o644); err != nil {
			return fmt.Errorf("the PDF could not be written (%w)", err)
		}
		fmt.Fprintf(a.out, "written: %s, %d kB, head %s\n", to, (len(pdf)+999)/1000, d.Pin)
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

// pdf is the book, or the version for one reader, for the screens.
func (a *app) pdf(sh *shop.Shop) func(ctx context.Context, d *shop.Desk, reader, paper string) ([]byte, error) {
	return func(ctx context.Context, d *shop.Desk, reader, paper string) ([]byte, error) {
		p, err := a.press(paper)
		if err != nil {
			return nil, err
		}
		return sh.Paper(ctx, d, reader, p)
	}
}
