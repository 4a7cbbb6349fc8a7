package cli

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"endfloat/calc/catalog"
	"endfloat/internal/job"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) calc() *cobra.Command {
	var doubt, guide bool
	var q shop.Asked
	var into string
	cmd := &cobra.Command{
		Use: "calc [NAME [INPUT=VALUE…]] [--json]", Short: "Do a sum and show its working",
		Long: "calc lists the sums. With a name it explains one; with inputs it does it.\n" +
			"A value carries its unit and, if you know it, its standard uncertainty: '34.0 in ± 0.1'.\n" +
			"Several readings of one thing go into one input: depth='18.86, 18.87, 18.88 mm'.",
		Example: "  endfloat calc\n  endfloat calc lever\n  endfloat calc lever want='130 lbf·ft' arm='34.0 in ± 0.1'\n  endfloat calc lever want='130 lbf·ft' arm='34 in' --into L",
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if into != "" && len(args) < 2 {
			return usage(cmd, "there is no answer to put into a book; name a sum and give its inputs")
		}
		if guide {
			_, err := io.WriteString(a.out, catalog.Guide())
			return err
		}
		if len(args) == 0 {
			return a.sums()
		}
		s, err := catalog.Find(args[0])
		if err != nil {
			return err
		}
		if len(args) == 1 {
			return a.explain(s)
		}
		in := map[string]string{}
		for _, arg := range args[1:] {
			key, value, ok := strings.Cut(arg, "=")
			if !ok {
				return usage(cmd, "%q is no input; write its name, = and the value, such as arm='34 in'", arg)
			}
			if _, twice := in[key]; twice {
				return usage(cmd, "%s is given twice; several readings go into one, apart by commas", key)
			}
			in[key] = value
		}
		q.Sum, q.Typed = s, in
		stores, err := a.storesFor(s, q.Tool != "")
		if err != nil {
			return err
		}
		ans, in, err := shop.DoSum(stores, q)
		if err != nil {
			return err
		}
		if into != "" {
			if err := a.keepSum(into, shop.SumNote(ans, in)); err != nil {
				return err
			}
		}
		if a.json {
			return a.printJSON(ans)
		}
		a.answered(ans, doubt)
		return nil
	}
	f := cmd.Flags()
	f.BoolVar(&doubt, "unc", false, "show the doubt of every result and each input's share in it")
	f.IntVar(&q.Draws, "mc", 0, "draw the inputs `N` times from their doubt (Monte Carlo) and show spread and 95 % interval")
	f.Uint64Var(&q.Seed, "seed", 1, "`SEED` of the draws; the same seed gives the same figures")
	f.StringVar(&q.Tool, "tool", "", "`NAME` of a bar or wrench of the stores, to fill in what is not given")
	f.StringVar(&into, "into", "", "put the sum, with its inputs and its working, into the book of `JOB`")
	f.BoolVar(&guide, "guide", false, "print the guide to all sums as Markdown")
	return a.withJSON(cmd)
}

// keepSum puts a sum into a book. What is said of it goes to the side, so that
// the answer stays alone on its way to another program.
func (a *app) keepSum(name string, b job.Noted) error {
	return a.onJob(name, func(sh *shop.Shop, d *shop.Desk) error {
		d, err := sh.Record(a.ctx, a.who(), d.Book, b)
		if err != nil {
			return err
		}
		fmt.Fprintf(a.err, "put into the book of %s %s, entry %d\n", d.Opened.Letter, d.Opened.Unit, d.Seq)
		return nil
	})
}

// storesFor opens the stores where a sum may take from them: a tool that was named,
// or the tubes at hand. Without a data file there are none; none is begun for it.
func (a *app) storesFor(s *catalog.Sum, must bool) (stores *job.State, err error) {
	if _, made, err := a.dataFile(); a.database() == "" && !must && (made || err != nil || !shop.TakesFromStores(s)) {
		return nil, nil
	}
	err = a.onBook(shop.StoresBook, func(_ *shop.Shop, d *shop.Desk) error {
		stores = d.Stores
		return nil
	})
	return stores, err
}

// sums lists all sums, group by group.
func (a *app) sums() error {
	all := catalog.All()
	if a.json {
		return a.printJSON(all)
	}
	wide := 0
	for _, s := range all {
		wide = max(wide, len(s.Name))
	}
	for i, s := range all {
		if i > 0 && s.Group != all[i-1].Group {
			fmt.Fprintln(a.out)
		}
		if i == 0 || s.Group != all[i-1].Group {
			fmt.Fprintln(a.out, s.Group)
		}
		fmt.Fprintf(a.out, "  %-*s  %s\n", wide, s.Name, s.Title)
	}
	fmt.Fprintln(a.out, "\nendfloat calc NAME explains one.")
	return nil
}

// explain says what a sum is for and asks, and works its example.
func (a *app) explain(s *catalog.Sum) error {
	if a.json {
		return a.printJSON(s)
	}
	fmt.Fprintf(a.out, "%s: %s\n\n%s\n\nInputs, with the unit taken where none is typed\n", s.Name, s.Title, wrapped(s.Purpose, ""))
	wide := 0
	for _, in := range s.Understands() {
		wide = max(wide, len(in.Key))
	}
	for _, in := range s.Understands() {
		fmt.Fprintf(a.out, "  %-*s  %s\n", wide, in.Key, wrapped(in.Help+asks(in), strings.Repeat(" ", wide+4)))
	}
	stores, err := a.storesFor(s, false)
	if err != nil {
		return err
	}
	var tools []string
	for _, t := range shop.SumTools(stores, s) {
		tools = append(tools, "--tool "+quoted(t.Name))
	}
	for k, v := range shop.Brings(stores, s, "") {
		tools = append(tools, k+"="+quoted(v)+", unless you give others")
	}
	bullets(a.out, "From your stores", tools)
	var gives []string
	for _, o := range s.Outputs {
		g := o.Title
		if o.Unit != "" {
			g += ", in " + o.Unit
		}
		gives = append(gives, g)
	}
	bullets(a.out, "Gives", gives)
	bullets(a.out, "Assumes", s.Assumptions)
	if len(s.Example) == 0 {
		bullets(a.out, "Sources", s.Sources)
		return nil
	}
	line := "endfloat calc " + s.Name
	for _, in := range s.Inputs {
		if v, ok := s.Example[in.Key]; ok {
			line += " " + in.Key + "=" + quoted(v)
		}
	}
	fmt.Fprintf(a.out, "\nFor example\n  %s\n\n", line)
	ans, err := s.Run(s.Example)
	if err != nil {
		return fmt.Errorf("the worked example of %s: %w", s.Name, err)
	}
	ans.Assumptions = nil // they stand above
	a.answered(ans, false)
	return nil
}

// asks says in brackets what may be typed for an input.
func asks(in catalog.Input) string {
	var says []string
	switch {
	case len(in.Choices) > 0:
		says = append(says, strings.Join(in.Choices, " or "))
	case in.Unit != "":
		says = append(says, in.Unit)
	}
	if in.Many {
		says = append(says, "several, apart by commas")
	}
	if in.Named {
		says = append(says, "several, each as name = value, apart by commas")
	}
	switch {
	case in.Default != "":
		says = append(says, in.Default+" if left out")
	case in.Optional:
		says = append(says, "may be left out")
	}
	if len(says) == 0 {
		return ""
	}
	return " (" + strings.Join(says, "; ") + ")"
}

// answered prints results, working and all that stands with them. With doubt
// the share of each input is told for every result, else for the first.
func (a *app) answered(ans *catalog.Answer, doubt bool) {
	var rows [][]string
	for _, r := range ans.Results {
		row := []string{r.Title, r.Text}
		if r.MC != nil {
			row = append(row, r.MC.Text)
		}
		rows = append(rows, row)
	}
	fmt.Fprintln(a.out, ans.Sum.Title)
	table(a.out, rows)
	a.shares(ans, doubt)
	fmt.Fprintln(a.out, "\nWorking")
	a.lines(ans.Lines)
	bullets(a.out, "Look at", ans.Warnings)
	bullets(a.out, "Assumes", ans.Assumptions)
	bullets(a.out, "Sources", ans.Sources)
	bullets(a.out, "Checked on", []string{ans.Sum.Checked()})
	if ans.Sum.Caution != "" {
		bullets(a.out, "Care", []string{ans.Sum.Caution})
	}
}

// shares says which measurements the doubt of the results comes from: of every
// result, or of the first that has more than one.
func (a *app) shares(ans *catalog.Answer, every bool) {
	told := false
	for _, r := range ans.Results {
		if len(r.Shares) == 0 || !every && len(r.Shares) < 2 {
			continue
		}
		var parts []string
		for _, s := range r.Shares {
			parts = append(parts, fmt.Sprintf("%s %.0f %%", s.Input, 100*s.Part))
		}
		what := "it"
		if every {
			what = r.Title
		}
		fmt.Fprintf(a.out, "  the doubt in %s comes from: %s\n", what, strings.Join(parts, ", "))
		told = true
		if !every {
			return
		}
	}
	if every && !told {
		fmt.Fprintln(a.out, "  no input was given with its doubt; write it as '34.0 in ± 0.1'")
	}
}

// lines prints working: symbols, values and meanings in columns, and under each
// how the value came about.
func (a *app) lines(ls []catalog.Line) {
	symbols, values := 0, 0
	for _, l := range ls {
		symbols = max(symbols, utf8.RuneCountInString(l.Symbol))
		if n := utf8.RuneCountInString(l.Value); n <= 24 {
			values = max(values, n)
		}
	}
	for _, l := range ls {
		eq := "="
		if l.Symbol == "" {
			eq = " "
		}
		how, meaning := l.Formula, l.Meaning
		if how == "" && l.Numbers == "" && l.Source != "" {
			meaning, l.Source = meaning+" ("+l.Source+")", ""
		}
		fmt.Fprintf(a.out, "  %s %s %s  %s\n", pad(l.Symbol, symbols), eq, pad(l.Value, values), meaning)
		if l.Numbers != "" && l.Numbers != l.Formula && l.Numbers != l.Value {
			if how != "" {
				how += " = "
			}
			how += l.Numbers
		}
		if l.Source != "" {
			how = strings.TrimSpace(how + "  [" + l.Source + "]")
		}
		if how != "" {
			fmt.Fprintf(a.out, "  %s   %s\n", pad("", symbols), how)
		}
	}
}

func pad(s string, n int) string {
	return s + strings.Repeat(" ", max(0, n-utf8.RuneCountInString(s)))
}
