package cli

import (
	"fmt"
	"os"
	"time"

	"endfloat/internal/shop"
	"endfloat/internal/web"

	"github.com/spf13/cobra"
)

func (a *app) devices() *cobra.Command {
	cmd := &cobra.Command{
		Use: "devices", Short: "List the phones and tablets that may come in, or strike one off", Args: cobra.ArbitraryArgs,
		Example: "  endfloat devices\n  endfloat devices strike 'bench phone'",
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return group(cmd, args)
			}
			return a.open(a.listDevices)
		},
	}
	cmd.AddCommand(&cobra.Command{
		Use: "strike DEVICE", Short: "Shut a device out, by what it is called", Args: takes(1, 1),
		Example: "  endfloat devices strike 'bench phone'",
		RunE: run(func(args []string) error {
			return a.open(func(sh *shop.Shop) error {
				if err := sh.StrikeOff(a.ctx, a.who(), args[0]); err != nil {
					return err
				}
				fmt.Fprintf(a.out, "struck off: %s\n", args[0])
				return nil
			})
		}),
	})
	return cmd
}

func (a *app) listDevices(sh *shop.Shop) error {
	ds, err := sh.Devices(a.ctx)
	if err != nil {
		return err
	}
	if len(ds) == 0 {
		fmt.Fprintln(a.out, "no device is paired; endfloat serve --lan lets them in")
	}
	for _, d := range ds {
		since := "since " + d.Since.Format(time.DateOnly)
		if !d.Off.IsZero() {
			since = "struck off " + d.Off.Format(time.DateOnly)
		}
		fmt.Fprintf(a.out, "%s of %s, %s, %s\n", d.Called, d.Name, d.Role, since)
	}
	return nil
}

func (a *app) take() *cobra.Command {
	return &cobra.Command{
		Use: "take FILE", Short: "Take in entries that waited on a phone and were saved there to a file", Args: takes(1, 1),
		Example: "  endfloat take waiting-2026-03-05-09-12.endfloat",
		RunE: run(func(args []string) error {
			f, err := os.Open(args[0])
			if err != nil {
				return fmt.Errorf("the file cannot be read (%w)", err)
			}
			defer f.Close()
			return a.open(func(sh *shop.Shop) error {
				taken, err := web.TakeFile(a.ctx, sh, f, nil)
				in := 0
				for _, t := range taken {
					if t.Says == "" {
						in++
						continue
					}
					fmt.Fprintf(a.out, "refused: entry %d for %s: %s\n", t.N, t.To, t.Says)
				}
				fmt.Fprintf(a.out, "in their books: %d of %d\n", in, len(taken))
				return err
			})
		}),
	}
}
