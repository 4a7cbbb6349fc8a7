package cli

import (
	"fmt"

	"endfloat/internal/shop"
	"endfloat/internal/strength"

	"github.com/spf13/cobra"
)

func (a *app) strength() *cobra.Command {
	var against string
	var draws int
	var seed uint64
	var grounds bool
	cmd := a.withJSON(&cobra.Command{
		Use: "strength JOB", Short: "Can it take the power? Every part with another engine, weakest first", Args: takes(1, 1),
		Long: "Follows the torque of another engine through every part of the unit as it is built, beside the\n" +
			"unit as its series left the works: reserve, life under the duty of the gearbox file, and what\n" +
			"each line rests on. A reserve of 1.00 is just enough.",
		Example: "  endfloat strength L\n  endfloat strength L --against B --draws 10000 --grounds",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				o := strength.Options{Draws: draws, Seed: seed}
				c, err := a.compared(sh, d, against, o)
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(c.Sheet())
				}
				a.strengthSheet(c.Sheet(), grounds)
				return nil
			})
		}),
	})
	f := cmd.Flags()
	f.StringVar(&against, "against", "", "`SERIES` whose engine drives it, or another job; else the strongest other engine")
	f.IntVar(&draws, "draws", 0, "draw the big unknowns `N` times")
	f.Uint64Var(&seed, "seed", 1, "`SEED` of the draws; the same gives the same figures")
	f.BoolVar(&grounds, "grounds", false, "say of every line what it rests on: fact or assumption")
	return cmd
}

func (a *app) compared(sh *shop.Shop, d *shop.Desk, against string, o strength.Options) (*strength.Comparison, error) {
	if against == "" || d.Box == nil || d.Box.HasSeries(against) {
		return strength.Of(d.State, against, nil, o)
	}
	book, err := a.bookOf(sh, against)
	if err != nil {
		return nil, fmt.Errorf("%q is no series of this type, and %w", against, err)
	}
	other, err := sh.Open(a.ctx, book)
	if err != nil {
		return nil, err
	}
	return strength.Of(d.State, "", other.State, o)
}

func (a *app) strengthSheet(s strength.Sheet, grounds bool) {
	fmt.Fprintf(a.out, "%s\n\n", s.Verdict)
	table(a.out, [][]string{
		{"before", s.Before.Name, s.Before.Engine, fmt.Sprintf("weakest: %s, reserve %.2f", s.Before.Weakest, s.Before.Reserve)},
		{"after", s.After.Name, s.After.Engine, fmt.Sprintf("weakest: %s, reserve %.2f", s.After.Weakest, s.After.Reserve)},
	})
	fmt.Fprintf(a.out, "\n  torque %.2f times; life wanted %.0f h\n\n", s.Ratio, s.Wanted)
	rows := [][]string{{"part", "speed", "reserve before", "after", "9 of 10 draws", "life after", "compared"}}
	say := func(v *float64) string {
		if v == nil {
			return "–"
		}
		return fmt.Sprintf("%.2f", *v)
	}
	for _, l := range s.Lines {
		spread := ""
		if l.Low != nil && l.High != nil {
			spread = say(l.Low) + " to " + say(l.High)
		}
		rows = append(rows, []string{l.Name, l.Gear, say(l.ReserveBefore), say(l.Reserve), spread, l.Life, l.Says})
	}
	table(a.out, rows)
	if grounds {
		fmt.Fprintln(a.out, "\nWhat each line rests on")
		for _, l := range s.Lines {
			fmt.Fprintf(a.out, "  %s\n", l.Name)
			a.grounds(l.Grounds)
		}
	} else {
		fmt.Fprintf(a.out, "\n  rests on %d facts and %d assumptions; --grounds lists them line by line\n", s.Facts, s.Assumed)
	}
	a.listed("Not rated", s.Missing)
	a.listed("What would change the answer", s.Changes)
	fmt.Fprintln(a.out, "\nWhat is taken for granted")
	fmt.Fprintln(a.out, "  "+s.Assuming)
	a.grounds(s.Doubts)
	fmt.Fprintf(a.out, "\n%s\n", s.Caution)
}

func (a *app) grounds(gs []strength.Ground) {
	for _, g := range gs {
		word := "assumed"
		if g.Fact {
			word = "fact   "
		}
		fmt.Fprintf(a.out, "    %s  %s (%s)\n", word, g.Says, g.From)
	}
}

func (a *app) listed(head string, list []string) {
	if len(list) == 0 {
		return
	}
	fmt.Fprintln(a.out, "\n"+head)
	for _, t := range list {
		fmt.Fprintln(a.out, "  "+t)
	}
}
