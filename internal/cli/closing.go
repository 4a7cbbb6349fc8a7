package cli

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) where() *cobra.Command {
	return a.withJSON(&cobra.Command{
		Use: "where JOB [--json]", Short: "Answer \"where are we?\" in a few sentences, to read out or to send", Args: takes(1, 1),
		Example: "  endfloat where L",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				earlier, err := sh.Earlier(a.ctx, d)
				if err != nil {
					return err
				}
				says := sh.Status(d)
				if a.json {
					return a.printJSON(map[string]any{"says": says, "earlier": earlier})
				}
				fmt.Fprintln(a.out, wrapped(strings.Join(says, " "), ""))
				for _, e := range earlier {
					var lines []string
					for _, w := range e.Wrong {
						lines = append(lines, "failed or damaged: "+w)
					}
					if len(e.New) > 0 {
						lines = append(lines, "renewed: "+strings.Join(e.New, "; "))
					}
					for _, n := range e.Notes {
						lines = append(lines, "noted: "+n)
					}
					bullets(a.out, "Here before, "+e.From.Local().Format("2 January 2006")+after(", run by then ", e.Since), append(lines, "its book is "+e.Book))
				}
				return nil
			})
		}),
	})
}

func (a *app) today() *cobra.Command {
	var ask plan.Ask
	cmd := a.withJSON(&cobra.Command{
		Use: "today JOB", Short: "What can be done in a time, with the hands and the oven there are", Args: takes(1, 1),
		Long:    "Steps that fit the time, the parts on hand, the people and the heat, in order. Hot fits come in\none session of the oven; none is begun that cannot be finished hot.",
		Example: "  endfloat today L --minutes 40\n  endfloat today L --minutes 180 --people 2 --oven",
		RunE: run(func(args []string) error {
			if !(ask.Minutes > 0) || ask.People < 1 {
				return fmt.Errorf("there must be some minutes and at least one person; %g and %d were typed", ask.Minutes, ask.People)
			}
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				t, err := sh.Today(a.ctx, d, ask)
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(t)
				}
				var rows [][]string
				for _, s := range t.Steps {
					heat := ""
					if s.Heat != nil {
						heat = fmt.Sprintf("oven %.0f °C", s.Heat.Oven)
						if s.Heat.InAir > 0 {
							heat += fmt.Sprintf(", goes on for %.0f s", s.Heat.InAir)
						}
					}
					rows = append(rows, []string{fmt.Sprintf("%d:%02d", int(s.From)/60, int(s.From)%60), s.Title, heat})
				}
				table(a.out, rows)
				if len(rows) == 0 {
					fmt.Fprintln(a.out, "nothing that fits")
				} else {
					fmt.Fprintf(a.out, "done in about %s\n", plan.Hours(t.Ends))
				}
				var not []string
				for _, n := range t.Not {
					not = append(not, n.Title+": "+n.Why)
				}
				bullets(a.out, "Free, but not today", not)
				return nil
			})
		}),
	})
	f := cmd.Flags()
	f.Float64Var(&ask.Minutes, "minutes", 60, "`MINUTES` that there are")
	f.IntVar(&ask.People, "people", 1, "`NUMBER` of people here")
	f.BoolVar(&ask.Oven, "oven", false, "the oven is free")
	return cmd
}

func (a *app) reach() *cobra.Command {
	return &cobra.Command{
		Use: "reach JOB POSITION", Short: "What must come apart to get at a position, and how long that takes", Args: takes(2, 2),
		Example: "  endfloat reach L P09",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(_ *shop.Shop, d *shop.Desk) error {
				if d.Box == nil {
					return fmt.Errorf("this job has no gearbox file that says what lies over what")
				}
				p, ok := d.Box.Position(args[1])
				if !ok {
					return fmt.Errorf("%s has no position %q", d.Box.Name, args[1])
				}
				r := d.Reach(p.ID)
				if len(r.Off) == 0 {
					fmt.Fprintf(a.out, "nothing: %s is off and nothing lies over it\n", p.Label())
					return nil
				}
				fmt.Fprintf(a.out, "%s: %s off and on again, %s\n", p.Label(), count(len(r.Off), "position"), plan.Hours(r.Minutes))
				var off, fresh []string
				for _, q := range r.Off {
					off = append(off, q.Label())
				}
				for _, q := range r.New {
					fresh = append(fresh, q.Label())
				}
				bullets(a.out, "They come off in this order", off)
				bullets(a.out, "New ones go back", fresh)
				bullets(a.out, "To be proven again", r.Void)
				if r.Guessed > 0 {
					fmt.Fprintf(a.out, "\nThe gearbox file gives no minutes for %d of them: %.0f min each were taken.\n", r.Guessed, gearbox.UsualMinutes)
				}
				return nil
			})
		}),
	}
}

func (a *app) heat() *cobra.Command {
	var oven, inner string
	cmd := &cobra.Command{
		Use: "heat JOB POSITION [--oven TEMPERATURE]", Short: "The heat card of a part; with --oven: it is out of the oven", Args: takes(2, 2),
		Example: "  endfloat heat L P02\n  endfloat heat L P02 --oven '119 °C'\n  endfloat heat L P02 --oven '92 °C' --inner '-18 °C'",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				if oven != "" {
					return a.outOfOven(sh, d, job.Heated{Position: args[1], Oven: oven, Inner: inner})
				}
				if d.Box == nil {
					return fmt.Errorf("this job has no gearbox file that says what is heated")
				}
				p, ok := d.Box.Position(args[1])
				if !ok {
					return fmt.Errorf("%s has no position %q", d.Box.Name, args[1])
				}
				for _, t := range []float64{20, -18} {
					h, ok := d.HeatFor(p, t)
					if !ok {
						return fmt.Errorf("%s is not heated, by its gearbox file", p.Label())
					}
					if t < 0 && h.InAir == 0 {
						break
					}
					a.heatCard(p, h)
				}
				bullets(a.out, "Push", []string{p.Push})
				text, _ := gearbox.Caution("hot")
				bullets(a.out, "Care", []string{text, gearbox.Defers})
				return nil
			})
		}),
	}
	cmd.Flags().StringVar(&oven, "oven", "", "`TEMPERATURE` that the oven showed as the part came out")
	cmd.Flags().StringVar(&inner, "inner", "", "`TEMPERATURE` of the inner part, when it was chilled")
	return cmd
}

func (a *app) heatCard(p *gearbox.Position, h plan.Heat) {
	fmt.Fprintf(a.out, "%s, inner part at %.0f °C: the oven shows %.0f °C, %.0f °C at the seat, %.0f min in it\n", p.Label(), h.Inner, h.Oven, h.Target, h.Soak/60)
	if h.Ceiling > 0 {
		fmt.Fprintf(a.out, "  never over %.0f °C", h.Ceiling)
		if h.TooHot {
			fmt.Fprint(a.out, ": it would have to be; chill the inner part or press")
		}
		fmt.Fprintln(a.out)
	}
	if h.InAir > 0 {
		fmt.Fprintf(a.out, "  out of the oven it goes on for %.0f s", h.InAir)
		if h.OnSeat > 0 {
			fmt.Fprintf(a.out, "; once it touches, for %.0f s", h.OnSeat)
		}
		fmt.Fprintln(a.out)
	}
	if h.Cannot != "" {
		fmt.Fprintf(a.out, "  %s\n", h.Cannot)
	}
}

func (a *app) outOfOven(sh *shop.Shop, d *shop.Desk, b job.Heated) error {
	d, err := a.write(sh, d.Book, b)
	if err != nil {
		return err
	}
	for _, f := range d.Findings {
		if f.Key == plan.Key("hold", "heat", b.Position) {
			fmt.Fprintf(a.out, "  %s: %s\n", f.Says, f.Mend)
		}
	}
	if s := d.Spots[b.Position].Heated.Is.Seconds; s > 0 {
		fmt.Fprintf(a.out, "  it goes on for %.0f s from now\n", s)
	}
	return nil
}

func (a *app) test() *cobra.Command {
	var b job.Tested
	var files []string
	cmd := &cobra.Command{
		Use: "test JOB [TEST FIELD=VALUE…]", Short: "Proofs before closing and tests after it: list them, or write one down", Args: takes(1, -1),
		Long:    "Without a test: those that this unit asks for, and how they stand. With one and no fields: what\nit asks. With all= every choice is answered alike.",
		Example: "  endfloat test L\n  endfloat test L interlock\n  endfloat test L interlock all=blocked --witness Ivo\n  endfloat test L leak start='0.20 bar' end='0.20 bar' minutes=10",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) (err error) {
				if len(args) == 1 {
					a.tests(d)
					return nil
				}
				t, ok := d.TestOf(args[1])
				switch {
				case !ok:
					_, err := d.Judge(args[1], nil)
					return err
				case len(args) == 2:
					a.asks(t)
					return nil
				}
				b.Test = t.Name
				if b.Values, err = filled(t, args[2:]); err != nil {
					return err
				}
				if b.Photos, err = a.photos(sh, files); err != nil {
					return err
				}
				_, err = a.write(sh, d.Book, b)
				return err
			})
		}),
	}
	f := cmd.Flags()
	f.StringVar(&b.Witness, "witness", "", "`NAME` of who saw it")
	f.StringVar(&b.Note, "note", "", "`REMARK`")
	f.StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}

// filled reads FIELD=VALUE; all= answers every choice that is not named itself.
func filled(t plan.Test, words []string) (map[string]string, error) {
	out := map[string]string{}
	for _, w := range words {
		k, v, ok := strings.Cut(w, "=")
		if !ok {
			return nil, fmt.Errorf("%q: write a field, = and its value, such as minutes=10", w)
		}
		out[strings.TrimSpace(k)] = strings.TrimSpace(v)
	}
	all, ok := out["all"]
	delete(out, "all")
	for _, f := range t.Fields {
		if _, has := out[f.Key]; ok && !has && slices.Contains(f.Choices, all) {
			out[f.Key] = all
		}
	}
	return out, nil
}

func (a *app) tests(d *shop.Desk) {
	ts := d.Tests()
	if len(ts) == 0 {
		fmt.Fprintln(a.out, "none yet; they are listed once the building has begun")
	}
	for _, t := range ts {
		state := "to do"
		switch {
		case t.Proven():
			state = "done: " + t.Done.Is.Says
		case t.Done != nil && !t.Holds:
			state = "again: something was changed since"
		case t.Done != nil:
			state = "failed: " + t.Done.Is.Says
		case len(t.Waits) > 0:
			state = "waits: " + strings.Join(t.Waits, "; ")
		}
		fmt.Fprintf(a.out, "  %s\n", wrapped(t.Name+": "+state, "    "))
	}
}

func (a *app) asks(t plan.Test) {
	fmt.Fprintf(a.out, "%s\n%s\nwanted: %s (%s)\n", t.Title, wrapped(t.Why, ""), t.Wanted, t.From)
	for _, f := range t.Fields {
		says := f.Ask
		if len(f.Choices) > 0 {
			says += ": " + strings.Join(f.Choices, ", ")
		}
		if f.Unit != "" {
			says += ", in " + f.Unit
		}
		if f.Optional {
			says += "; may be left out"
		}
		fmt.Fprintf(a.out, "  %s  %s\n", quoted(f.Key+"="), says)
	}
	for _, c := range t.Care {
		text, _ := gearbox.Caution(c)
		bullets(a.out, "Care", []string{text, gearbox.Defers})
	}
}

func (a *app) recovery() *cobra.Command {
	return &cobra.Command{
		Use: "recovery [WORD]", Short: "What to do when something has just gone wrong", Args: takes(0, 1),
		Example: "  endfloat recovery\n  endfloat recovery balls",
		RunE: run(func(args []string) error {
			if len(args) == 0 {
				for _, r := range gearbox.Recoveries("") {
					fmt.Fprintf(a.out, "  %s  %s\n", r.Key, r.Title)
				}
				return nil
			}
			r, ok := gearbox.FindRecovery(args[0])
			if !ok {
				return fmt.Errorf("there is no card %q; endfloat recovery lists them", args[0])
			}
			fmt.Fprintln(a.out, r.Title)
			for i, s := range r.Do {
				fmt.Fprintf(a.out, "  %d  %s\n", i+1, wrapped(s, "     "))
			}
			bullets(a.out, "Not", []string{r.Not})
			if text, ok := gearbox.Caution(r.Care); ok {
				bullets(a.out, "Care", []string{text, gearbox.Defers})
			}
			return nil
		}),
	}
}

// done answers a note that holds something up, by the number of its entry.
func (a *app) done() *cobra.Command {
	return &cobra.Command{
		Use: "done JOB ENTRY [WORDS]", Short: "Answer a note that holds something up: it is done", Args: takes(2, 3),
		Long:    "Answer a note to oneself, by the number of its entry in endfloat log.",
		Example: "  endfloat done L 412\n  endfloat done L 412 'staked, see photo'",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				for _, e := range d.Notes {
					if fmt.Sprint(e.Seq) == args[1] {
						words := "done"
						if len(args) == 3 {
							words = args[2]
						}
						_, err := a.write(sh, d.Book, job.Answered{Question: e.ID, Answer: words})
						return err
					}
				}
				return fmt.Errorf("entry %s is no note of this job; see endfloat log", args[1])
			})
		}),
	}
}
