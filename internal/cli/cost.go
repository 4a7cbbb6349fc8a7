package cli

import (
	"cmp"
	"fmt"

	"endfloat/internal/job"
	"endfloat/internal/report"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) cost() *cobra.Command {
	var b job.Cost
	cmd := a.withJSON(&cobra.Command{
		Use: "cost JOB [WHAT]", Short: "What a job has cost so far against its estimate, or write a cost down", Args: takes(1, 2),
		Long:    "Without WHAT: parts, hours by stage and the price so far, with the formula. With it: hours or money\nthat went into the job; money of the stage consumables counts as such.",
		Example: "  endfloat cost L\n  endfloat cost L 'strip' --stage strip --hours '4 h'\n  endfloat cost L 'shims, and spacer ground' --money '44.00 EUR'",
		RunE: run(func(args []string) error {
			if len(args) == 2 {
				b.What = args[1]
				return a.record(args[0], b)
			}
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				acc, err := sh.Account(a.ctx, d)
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(acc)
				}
				a.account(acc)
				return nil
			})
		}),
	})
	f := cmd.Flags()
	f.StringVar(&b.Stage, "stage", "", "`STAGE` of the job it went into")
	f.StringVar(&b.Hours, "hours", "", "`HOURS`")
	f.StringVar(&b.Money, "money", "", "`MONEY`")
	return cmd
}

func (a *app) account(acc report.Account) {
	var rows [][]string
	for _, s := range acc.Stages {
		rows = append(rows, []string{s.Name, fmt.Sprintf("%.4g h", s.Hours), acc.Money(s.Money)})
	}
	if len(rows) > 0 {
		fmt.Fprintln(a.out, "Hours by stage")
		table(a.out, rows)
	}
	rows = nil
	for _, l := range acc.Lines {
		rows = append(rows, []string{l.What, acc.Money(l.Money)})
	}
	if len(rows) > 0 {
		fmt.Fprintln(a.out, "Parts")
		table(a.out, rows)
	}
	fmt.Fprintf(a.out, "price so far = parts · (1 + margin) + hours · rate + consumables + contingency\n  = %s\n", acc.Formula())
	fmt.Fprintln(a.out, acc.Stands())
	bullets(a.out, "Could not be added up", acc.Unread)
}

func (a *app) estimate() *cobra.Command {
	var b job.Estimate
	cmd := &cobra.Command{
		Use: "estimate JOB LOW HIGH --stop WHERE", Short: "What the customer was told that it may come to, as a range", Args: takes(3, 3),
		Example: "  endfloat estimate L '2200 EUR' '2800 EUR' --level proper --stop 'after inspection' --above '200 EUR'",
		RunE: run(func(args []string) error {
			b.Low, b.High = args[1], args[2]
			return a.record(args[0], b)
		}),
	}
	f := cmd.Flags()
	f.StringVar(&b.Stop, "stop", "", "`WHERE` work stops until the customer has heard")
	f.StringVar(&b.Level, "level", "", "`LEVEL`: safe, proper or new")
	f.StringVar(&b.Asked, "asked", "", "`WHAT` was asked for")
	f.StringVar(&b.May, "may", "", "`NAME` of who may say yes to more")
	f.StringVar(&b.Above, "above", "", "from how much `MONEY` more they are asked")
	return cmd
}

func (a *app) levels() *cobra.Command {
	var pdf, paper string
	cmd := a.withJSON(&cobra.Command{
		Use: "levels JOB", Short: "Three ways to do the job and what each may cost: safe, proper, as new", Args: takes(1, 1),
		Example: "  endfloat levels L\n  endfloat levels L --pdf linnet-levels.pdf",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				ls, err := sh.Levels(a.ctx, d)
				if err != nil {
					return err
				}
				acc, err := sh.Account(a.ctx, d)
				if err != nil {
					return err
				}
				switch {
				case a.json:
					return a.printJSON(ls)
				case pdf != "":
					o := a.options(a.ctx, sh, d)
					o.Paper = paper
					b, err := report.PriceLevels(d.View, acc, ls, o)
					if err != nil {
						return err
					}
					return a.writePDF(pdf, b)
				}
				a.threeLevels(acc, ls)
				return nil
			})
		}),
	})
	f := cmd.Flags()
	f.StringVar(&pdf, "pdf", "", "write the document for the customer to this `FILE`")
	f.StringVar(&paper, "paper", "A4", "`SIZE`: A4 or Letter")
	return cmd
}

func (a *app) threeLevels(acc report.Account, ls []report.Level) {
	for i, l := range ls {
		fmt.Fprintf(a.out, "%d  %s: %s\n", i+1, l.Name, l.Text())
		fmt.Fprintf(a.out, "   %s\n", wrapped(fmt.Sprintf("%s renewed, %.4g h: %s", count(len(l.Parts), "part"), l.Hours, l.Says), "   "))
	}
	for i, l := range ls {
		var rows [][]string
		for _, p := range l.Parts {
			if i > 0 && has(ls[i-1], p.Label) {
				continue
			}
			price := p.Price
			switch {
			case price == "" && p.Known:
				price = "nothing"
			case price == "":
				price = "not priced"
			}
			rows = append(rows, []string{p.Label, p.Why, price})
		}
		if len(rows) > 0 {
			fmt.Fprintf(a.out, "\n%d  %s\n", i+1, l.Name)
			table(a.out, rows)
		}
	}
	fmt.Fprintln(a.out, "\n"+acc.Stands())
}

func has(l report.Level, label string) bool {
	for _, p := range l.Parts {
		if p.Label == label {
			return true
		}
	}
	return false
}

// over are new terms, and the old ones where the new say nothing.
func over(b, old job.Terms) job.Terms {
	return job.Terms{Hour: cmp.Or(b.Hour, old.Hour), Margin: cmp.Or(b.Margin, old.Margin), Consumables: cmp.Or(b.Consumables, old.Consumables),
		Contingency: cmp.Or(b.Contingency, old.Contingency), Hours: cmp.Or(b.Hours, old.Hours)}
}

func (a *app) terms() *cobra.Command {
	var b job.Terms
	cmd := &cobra.Command{
		Use: "terms [JOB]", Short: "What an hour, parts and the rest are reckoned at, in this workshop or for one job", Args: takes(0, 1),
		Example: "  endfloat terms --hour '48.00 EUR' --margin '0 %'\n  endfloat terms L --contingency '100 EUR' --hours '42.5 h'",
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		book := shop.StoresBook
		if len(args) == 1 {
			book = args[0]
		}
		return a.onBook(book, func(sh *shop.Shop, d *shop.Desk) error {
			if b != (job.Terms{}) {
				if d.Terms != nil { // what is not named stays as it was
					b = over(b, *d.Terms)
				}
				_, err := a.write(sh, d.Book, b)
				return err
			}
			t, err := sh.TermsOf(a.ctx, d)
			if err != nil {
				return err
			}
			if t == (job.Terms{}) {
				return usage(cmd, "nothing is agreed yet; say what an hour costs with --hour")
			}
			table(a.out, [][]string{{"an hour of work", t.Hour}, {"margin on parts", t.Margin}, {"consumables", t.Consumables}, {"contingency", t.Contingency}, {"hours in all", t.Hours}})
			return nil
		})
	}
	f := cmd.Flags()
	f.StringVar(&b.Hour, "hour", "", "`MONEY` for an hour of work")
	f.StringVar(&b.Margin, "margin", "", "`SHARE` on parts, in %")
	f.StringVar(&b.Consumables, "consumables", "", "`MONEY`")
	f.StringVar(&b.Contingency, "contingency", "", "`MONEY`")
	f.StringVar(&b.Hours, "hours", "", "`HOURS` that a job is expected to take")
	return cmd
}
