package cli

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"endfloat/internal/choose"
	"endfloat/internal/gearbox"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

// asked is what a person typed of an asking: each wish names the job it is for.
type asked struct {
	series, original, soonest, first []string
	torque, ready, spend, want       []string
	anew                             bool
	ask                              shop.Asking
}

func (a *app) choose() *cobra.Command {
	var w asked
	var accept bool
	var other int
	cmd := a.withJSON(&cobra.Command{
		Use: "choose [JOB…]", Short: "Which piece goes where, over several units at once: the best, proven, and the next best",
		Long: "Chooses among all that there is (the units' own parts, donors, the shelf, what is on order, what\n" +
			"can be bought) for every position of the units named, or of all in hand, at the least money and\n" +
			"doubt, and proves that nothing is better. What the books decide stands, unless --anew.\n" +
			"A wish is for the JOB it names. Where the wishes cannot all be had, it says which of them and\n" +
			"which rules and facts clash, and what giving up each one would come to.\n" +
			"Nothing is written without --accept.",
		Example: "  endfloat choose\n  endfloat choose L D --anew --original D --ready L=2026-03-14 --spend 900\n" +
			"  endfloat choose L --anew --want L.P08=P-P08 --torque '180 N·m' --others 3\n  endfloat choose --accept",
		Args: takes(0, -1),
	})
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return a.open(func(sh *shop.Shop) error {
			if err := a.wishes(cmd, sh, &w, args); err != nil {
				return err
			}
			w.ask.Others = max(w.ask.Others, other)
			c, err := sh.Choose(a.ctx, w.ask)
			if err != nil {
				return err
			}
			switch {
			case accept:
				return a.accept(sh, w.ask, c, other)
			case a.json:
				return a.printJSON(c)
			}
			a.chosen(c)
			return nil
		})
	}
	f := cmd.Flags()
	f.BoolVar(&w.anew, "anew", false, "what the books decide may be decided anew")
	f.StringSliceVar(&w.series, "series", nil, "keep this `JOB` to its series; repeat for each")
	f.StringSliceVar(&w.original, "original", nil, "keep this `JOB`'s own parts wherever they are fit")
	f.StringArrayVar(&w.torque, "torque", nil, "uprate for the torque of an engine, `JOB=TORQUE`")
	f.StringSliceVar(&w.soonest, "soonest", nil, "make this `JOB` ready as early as its parts can be here")
	f.StringArrayVar(&w.ready, "ready", nil, "have all parts of it by a day, `JOB=DAY`")
	f.StringArrayVar(&w.spend, "spend", nil, "spend no more than this, `[JOB=]MONEY`; without a job on all together")
	f.StringSliceVar(&w.first, "first", nil, "serve this `JOB` before the others, in the order named")
	f.StringArrayVar(&w.want, "want", nil, "have this piece or variant there, `JOB.POSITION=WHAT`")
	f.BoolVar(&w.ask.Cheapest, "cheapest", false, "money alone counts, not doubt about worn or foreign parts")
	f.IntVar(&w.ask.Others, "others", 0, "show the `NUMBER` next best answers too")
	f.BoolVar(&accept, "accept", false, "decide it so in the books of all units")
	f.IntVar(&other, "other", 0, "with --accept: the `NUMBER`th of the others, not the best")
	return cmd
}

// wishes makes an asking of what was typed.
func (a *app) wishes(cmd *cobra.Command, sh *shop.Shop, w *asked, jobs []string) error {
	if err := a.inHand(sh, w, jobs); err != nil {
		return err
	}
	for _, k := range []struct {
		flag  string
		names []string
		set   func(*shop.Wish)
	}{
		{"series", w.series, func(x *shop.Wish) { x.Series = true }},
		{"original", w.original, func(x *shop.Wish) { x.Original = true }},
		{"soonest", w.soonest, func(x *shop.Wish) { x.Soonest = true }},
	} {
		for _, name := range k.names {
			x, err := a.wishOf(cmd, sh, w, k.flag, name)
			if err != nil {
				return err
			}
			k.set(x)
		}
	}
	for _, k := range []struct {
		flag  string
		typed []string
		set   func(*shop.Wish, string)
	}{
		{"torque", w.torque, func(x *shop.Wish, v string) { x.Torque = v }},
		{"ready", w.ready, func(x *shop.Wish, v string) { x.By = v }},
		{"spend", w.spend, func(x *shop.Wish, v string) { x.Budget = v }},
	} {
		for _, typed := range k.typed {
			name, value, named := strings.Cut(typed, "=")
			switch {
			case named:
			case k.flag == "spend":
				w.ask.Budget = typed
				continue
			case len(w.ask.Units) == 1:
				name, value = w.ask.Units[0].Book, typed
			default:
				return usage(cmd, "--%s %s does not say for which job; write JOB=%s", k.flag, typed, typed)
			}
			x, err := a.wishOf(cmd, sh, w, k.flag, name)
			if err != nil {
				return err
			}
			k.set(x, value)
		}
	}
	for _, typed := range w.want {
		m, err := a.moveOf(sh, typed)
		if err != nil {
			return err
		}
		x, err := a.wishOf(cmd, sh, w, "want", m.Book)
		if err != nil {
			return err
		}
		x.Want[m.Position] = m.What
	}
	return a.ranked(cmd, sh, w)
}

// inHand takes the jobs named, else all that are in hand and of one type.
func (a *app) inHand(sh *shop.Shop, w *asked, jobs []string) error {
	if len(jobs) == 0 {
		rows, err := sh.Jobs(a.ctx)
		if err != nil {
			return err
		}
		kind := ""
		for _, r := range rows {
			if !r.Donor && r.Arc != "handed over" && (kind == "" || r.Type == kind) {
				kind = r.Type
				jobs = append(jobs, r.Book)
			}
		}
	}
	for _, name := range jobs {
		book, err := a.bookOf(sh, name)
		if err != nil {
			return err
		}
		w.ask.Units = append(w.ask.Units, shop.Wish{Book: book, Decided: !w.anew, Want: map[string]string{}})
	}
	return nil
}

// wishOf is the wish of a job that is chosen for.
func (a *app) wishOf(cmd *cobra.Command, sh *shop.Shop, w *asked, flag, name string) (*shop.Wish, error) {
	book, err := a.bookOf(sh, name)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(w.ask.Units, func(x shop.Wish) bool { return x.Book == book })
	if i < 0 {
		return nil, usage(cmd, "--%s is for %s, which is not among the units chosen for; name it beside the others", flag, name)
	}
	return &w.ask.Units[i], nil
}

// ranked serves the jobs of --first in their order, then all others together.
func (a *app) ranked(cmd *cobra.Command, sh *shop.Shop, w *asked) error {
	if len(w.first) == 0 {
		return nil
	}
	for i := range w.ask.Units {
		w.ask.Units[i].Rank = len(w.first)
	}
	for rank, name := range w.first {
		x, err := a.wishOf(cmd, sh, w, "first", name)
		if err != nil {
			return err
		}
		x.Rank = rank
	}
	return nil
}

// moveOf reads JOB.POSITION=WHAT, the job by any of its names.
func (a *app) moveOf(sh *shop.Shop, typed string) (shop.Move, error) {
	m, err := shop.MoveOf(typed)
	if err != nil {
		return m, err
	}
	m.Book, err = a.bookOf(sh, m.Book)
	return m, err
}

// accept records a choice in all its books.
func (a *app) accept(sh *shop.Shop, ask shop.Asking, c *shop.Choice, other int) error {
	on := map[string]int{}
	if c.Best != nil {
		on = c.Best.Seqs
	}
	says, err := sh.Accept(a.ctx, a.who(), ask, on, other)
	if err != nil {
		return err
	}
	return a.decided(says)
}

// chosen prints an answer: the best, or what clashes and the ways out.
func (a *app) chosen(c *shop.Choice) {
	if c.Best == nil {
		fmt.Fprintln(a.out, wrapped(c.Clash, ""))
		bullets(a.out, "As things stand it would also break", c.Breaks)
		a.waysOut("Ways out: what is given up, what the best then costs, and what it takes", c.Ways)
		return
	}
	proof := "the best of all, proven"
	if !c.Proven {
		proof = "the best found; the search stopped before it was proven"
	}
	hour := "no hour is priced, so work costs nothing here"
	if c.Hour != "" {
		hour = "an hour of work at " + c.Hour
	}
	fmt.Fprintln(a.out, wrapped(fmt.Sprintf("%s: %s for parts and the work they drag along, %s. Doubt counts as %s more.", proof, c.Best.Price, hour, c.Best.Doubt), ""))
	a.build(c.Best)
	for i, b := range c.Others {
		fmt.Fprintf(a.out, "\n%d of the others: %s more\n", i+1, b.More)
		for _, s := range b.Instead {
			fmt.Fprintf(a.out, "  %s\n", wrapped(s, "    "))
		}
	}
}

func (a *app) build(b *shop.Build) {
	for _, unit := range slices.Sorted(maps.Keys(b.Costs)) {
		stays := 0
		var rows [][]string
		for _, p := range b.Parts {
			switch {
			case p.Unit != unit:
			case p.Changes:
				rows = append(rows, []string{p.Label, p.Is, p.Price})
			default:
				stays++
			}
		}
		fmt.Fprintf(a.out, "\n%s: %s\n", unit, b.Costs[unit])
		table(a.out, rows)
		if stays > 0 {
			fmt.Fprintf(a.out, "  %s not its own, as decided\n", count(stays, "part"))
		}
		if len(rows) == 0 && stays == 0 {
			fmt.Fprintln(a.out, "  its own parts, all of them")
		}
	}
	var off []string
	for _, unit := range slices.Sorted(maps.Keys(b.Off)) {
		off = append(off, fmt.Sprintf("%s off %s", count(b.Off[unit], "part"), unit))
	}
	bullets(a.out, "Comes off for it", off)
	bullets(a.out, "To be proven again", b.Proves)
	bullets(a.out, "Passes, each with a written reason", b.Passes)
	bullets(a.out, "Look first", b.Asks)
}

// waysOut prints ways out of a clash, with what is then best.
func (a *app) waysOut(head string, ways []shop.WayOut) {
	for i, w := range ways {
		if i == 0 {
			fmt.Fprintf(a.out, "\n%s\n", head)
		}
		fmt.Fprintf(a.out, "  %d  %s\n", i+1, wrapped(w.GivesUp+": "+w.Price, "     "))
		for _, t := range w.Takes {
			fmt.Fprintf(a.out, "       %s\n", wrapped(t, "         "))
		}
	}
}

func (a *app) teeth() *cobra.Command {
	return a.withJSON(&cobra.Command{
		Use: "teeth JOB [POSITION=COUNT…]", Short: "Hold teeth as counted against the centre distance of each speed", Args: takes(1, -1),
		Long: "Wheels of one module and helix fill a centre distance with one sum of teeth. What was counted\n" +
			"goes before what the gearbox file has; nothing is written down.",
		Example: "  endfloat teeth L\n  endfloat teeth L Q08=21 P15=39",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				ps, err := shop.Teeth(d, args[1:])
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(ps)
				}
				a.pairs(ps)
				return nil
			})
		}),
	})
}

// oddTeeth are the speeds of a gearbox file whose teeth do not fill their centre
// distance, in the parts of any series.
func oddTeeth(b *gearbox.Box) []string {
	all := b.Series
	if len(all) == 0 {
		all = []gearbox.Series{{}}
	}
	var out []string
	for _, series := range all {
		for _, p := range choose.Pairs(b, b.As(series.Name), nil) {
			s := "speed " + p.Speed + ", " + p.Driver.Label + " and " + p.Driven.Label + ": " + p.Says
			if p.Says != "" && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// pairs prints the teeth of each speed, and what cannot be.
func (a *app) pairs(ps []choose.Pair) {
	var rows [][]string
	var wrong []string
	for _, p := range ps {
		is := "sound"
		switch {
		case p.Says != "":
			is = "cannot be"
			wrong = append(wrong, "speed "+p.Speed+", "+p.Driver.Label+" and "+p.Driven.Label+": "+p.Says)
		case p.Wants == 0:
			is = "not held against a centre distance"
		}
		rows = append(rows, []string{"speed " + p.Speed, p.Driver.Position, fmt.Sprint(p.Driver.Teeth), p.Driven.Position, fmt.Sprint(p.Driven.Teeth), is})
	}
	table(a.out, rows)
	bullets(a.out, "Counted wrongly, or another wheel", wrong)
}
