package cli

import (
	"errors"
	"fmt"
	"strings"

	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) search() *cobra.Command {
	return a.withJSON(&cobra.Command{
		Use: "search WORD...", Short: "Look for words in all units, pieces, readings and notes", Args: takes(1, 8),
		Example: "  endfloat search pitted\n  endfloat search bearing noise",
		RunE: run(func(args []string) error {
			return a.open(func(sh *shop.Shop) error {
				r, err := sh.Search(a.ctx, strings.Join(args, " "))
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(r)
				}
				a.tellFound(r)
				return nil
			})
		}),
	})
}

func (a *app) tellFound(r *shop.Results) {
	if f := r.Tag; f != nil {
		fmt.Fprintf(a.out, "%s: %s, of %s; %s\n", f.Tag, f.What(), f.Whose(), f.Lies())
	}
	for _, j := range r.Jobs {
		fmt.Fprintf(a.out, "%s %s: %s, %s tape; %s\n", j.Letter, j.Unit, j.Type, j.Colour, j.Arc)
	}
	a.tellEntries(r.Entries)
	if r.More {
		fmt.Fprintln(a.out, "there is more; a further word narrows it down")
	}
	if r.Tag == nil && len(r.Jobs)+len(r.Entries) == 0 {
		fmt.Fprintln(a.out, "nothing holds", strings.Join(r.Words, " and "))
	}
}

func (a *app) tellEntries(list []shop.Told) {
	var rows [][]string
	for _, e := range list {
		rows = append(rows, []string{e.Entry.At.Format("2006-01-02"), e.Row.Unit, fmt.Sprint(e.Entry.Seq), words(e.Entry)})
	}
	table(a.out, rows)
}

func (a *app) forget() *cobra.Command {
	cmd := &cobra.Command{Use: "forget", Short: "Delete a person's name, or a photo, on request; the books stay whole", Args: cobra.ArbitraryArgs, RunE: group,
		Example: "  endfloat forget person 'Anna Birk'"}
	var sure bool
	person := &cobra.Command{
		Use: "person NAME", Short: "Delete a name and how to reach that person, for good", Args: takes(1, 1),
		Example: "  endfloat forget person 'Anna Birk' --sure",
		RunE: run(func(args []string) error {
			if !sure {
				return errNotSure
			}
			return a.open(func(sh *shop.Shop) error {
				f, err := sh.ForgetPerson(a.ctx, a.who(), args[0])
				if err != nil {
					return err
				}
				fmt.Fprintf(a.out, "deleted: %s of the name and of how to reach them\n", count(f.Names, "record"))
				if len(f.Mentions) > 0 {
					fmt.Fprintln(a.out, "the name stands in the words of these entries, which a book keeps:")
					a.tellEntries(f.Mentions)
				}
				fmt.Fprintln(a.out, "backups and exports made before still hold it: delete those that are no longer needed")
				return nil
			})
		}),
	}
	photo := &cobra.Command{
		Use: "photo KEY", Short: "Delete a photo, for good; its key is in: photo list JOB --json", Args: takes(1, 1),
		Example: "  endfloat forget photo 5f0c… --sure",
		RunE: run(func(args []string) error {
			if !sure {
				return errNotSure
			}
			return a.open(func(sh *shop.Shop) error {
				if err := sh.ForgetPhoto(a.ctx, a.who(), args[0]); err != nil {
					return err
				}
				fmt.Fprintln(a.out, "deleted; where it was, the book says so")
				return nil
			})
		}),
	}
	for _, c := range []*cobra.Command{person, photo} {
		c.Flags().BoolVar(&sure, "sure", false, "yes, delete it: there is no way back")
		cmd.AddCommand(c)
	}
	return cmd
}

var errNotSure = errors.New("nothing was deleted: there is no way back from this; say --sure if it is meant")
