package cli

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) jobs() *cobra.Command {
	return a.withJSON(&cobra.Command{
		Use: "jobs [--json]", Short: "List the jobs", Args: takes(0, 0), Example: "  endfloat jobs",
		RunE: run(func([]string) error {
			return a.open(func(sh *shop.Shop) error {
				list, err := sh.Jobs(a.ctx)
				if err != nil {
					return err
				}
				if a.json {
					return a.jobsJSON(list)
				}
				if len(list) == 0 {
					fmt.Fprintln(a.out, "no jobs yet; begin one with endfloat new")
				}
				var rows [][]string
				for _, r := range list {
					rows = append(rows, []string{r.Letter, r.Unit, r.Colour, strings.TrimSpace(r.Type + " " + r.Series), r.Arc, loose(r.Loose), next(r.Next)})
				}
				table(a.out, rows)
				return nil
			})
		}),
	})
}

func (a *app) jobsJSON(list []shop.Row) error {
	type row struct {
		Job string `json:"job"`
		shop.Row
	}
	out := []row{}
	for _, r := range list {
		out = append(out, row{r.Book, r})
	}
	return a.printJSON(out)
}

func loose(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d loose", n)
}

func next(s string) string {
	if s == "" {
		return ""
	}
	return "next: " + s
}

func (a *app) newJob() *cobra.Command {
	var o job.Opened
	var bare bool
	cmd := &cobra.Command{
		Use: "new --unit NAME --letter L --colour COLOUR --type TYPE", Short: "Begin a job on a unit", Args: takes(0, 0),
		Long:    "Begin a job. The letter stands on every tag and bag of this unit, the colour is that of its tape.\nThe type is that of a kept gearbox file; see endfloat box keep.",
		Example: "  endfloat new --unit Linnet --letter L --colour blue --type BW-4T --series A --symptoms 'jumps out of 1st'",
		RunE: run(func([]string) error {
			return a.open(func(sh *shop.Shop) error {
				if bare {
					o.Box = shop.NoBox
				}
				book, err := sh.NewJob(a.ctx, a.who(), o)
				if err != nil {
					return err
				}
				fmt.Fprintf(a.out, "%s is begun: letter %s, %s tape, book %q\n", o.Unit, strings.ToUpper(o.Letter), o.Colour, book)
				return nil
			})
		}),
	}
	f := cmd.Flags()
	f.StringVar(&o.Unit, "unit", "", "`NAME` it is called by at the bench")
	f.StringVar(&o.Letter, "letter", "", "one `LETTER` for its tags")
	f.StringVar(&o.Colour, "colour", "", "`COLOUR` of its tape")
	f.StringVar(&o.Type, "type", "", "`TYPE` of gearbox, as in endfloat box list")
	f.StringVar(&o.Series, "series", "", "`SERIES` of that type")
	f.StringVar(&o.Number, "number", "", "its own `NUMBER`")
	f.StringVar(&o.Year, "year", "", "`YEAR` it was made")
	f.StringVar(&o.Owner, "owner", "", "`NAME` of the owner; it can be deleted later without breaking the book")
	f.StringVar(&o.Asked, "asked", "", "`WHAT` was asked for")
	f.StringVar(&o.Symptoms, "symptoms", "", "`WHAT` is wrong with it")
	f.StringVar(&o.Since, "since", "", "`RUN`: hours or distance since it was last here")
	f.BoolVar(&bare, "no-file", false, "there is no gearbox file: the strip-down writes one")
	f.BoolVar(&o.Donor, "donor", false, "it is here for its parts")
	return cmd
}

func (a *app) job() *cobra.Command {
	return &cobra.Command{
		Use: "job JOB", Short: "Where was I: last actions, what is loose, what waits, what is next", Args: takes(1, 1),
		Example: "  endfloat job L",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				a.returnCard(sh, d)
				return nil
			})
		}),
	}
}

// returnCard tells a person who comes back after weeks where the job stands.
func (a *app) returnCard(sh *shop.Shop, d *shop.Desk) {
	o := d.Opened
	head := []string{o.Type}
	if o.Series != "" {
		head = append(head, "series "+o.Series)
	}
	head = append(head, o.Colour+" tape", d.Arc())
	fmt.Fprintf(a.out, "%s %s: %s\n", o.Letter, o.Unit, strings.Join(head, ", "))
	fmt.Fprintln(a.out, "\nLast done")
	table(a.out, a.lastDone(sh, d, 5))
	for _, part := range []struct {
		head  string
		kinds []plan.Kind
	}{
		{"Loose: begun and not finished, or no longer proven", []plan.Kind{plan.Loose}},
		{"Not to trust", []plan.Kind{plan.Verdict, plan.Broken, plan.Stray}},
	} {
		a.findings(part.head, d, part.kinds...)
	}
	var waits []string
	for _, s := range d.Waiting(6) {
		waits = append(waits, s.Title+" waits: "+strings.Join(s.Waits, "; "))
	}
	bullets(a.out, "Waits", waits)
	var now []string
	for _, s := range d.Next(5) {
		now = append(now, s.Title)
	}
	bullets(a.out, "Next", now)
}

// findings prints those of some kinds that nobody has passed, each with the way
// out and the key by which it can be passed.
func (a *app) findings(head string, d *shop.Desk, kinds ...plan.Kind) {
	var items []string
	for _, k := range kinds {
		for _, f := range d.Findings {
			if f.Kind == k && f.Allowed == "" {
				s := f.Says
				if f.Mend != "" {
					s += ": " + f.Mend
				}
				if f.Key != "" {
					s += " [" + f.Key + "]"
				}
				items = append(items, s)
			}
		}
	}
	bullets(a.out, head, items)
}

// lastDone is the last n entries that count, in words, oldest first.
func (a *app) lastDone(sh *shop.Shop, d *shop.Desk, n int) [][]string {
	var rows [][]string
	for i := len(d.Entries) - 1; i >= 0 && len(rows) < n; i-- {
		if e := d.Entries[i]; e.Kind != "struck" && !isStruck(d, e) {
			rows = append([][]string{a.entryRow(sh, e)}, rows...)
		}
	}
	return rows
}

func isStruck(d *shop.Desk, e job.Entry) bool { _, gone := d.Struck[e.ID]; return gone }

func (a *app) entryRow(sh *shop.Shop, e job.Entry) []string {
	return []string{fmt.Sprintf("%4d", e.Seq), e.At.Local().Format("2 Jan 2006 15:04"), sh.Name(a.ctx, e.By), words(e)}
}

func (a *app) log() *cobra.Command {
	return a.withJSON(&cobra.Command{
		Use: "log JOB [--json]", Short: "List the entries of a job's book, struck ones too", Args: takes(1, 1),
		Long:    "List the entries of a job's book. JOB may be \"stores\", the book of the drawer and the instruments.\nThe last line is the head of the tree of hashes: it pins every entry above it.",
		Example: "  endfloat log L",
		RunE: run(func(args []string) error {
			return a.onBook(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				if a.json {
					return a.logJSON(sh, d)
				}
				var rows [][]string
				for _, e := range d.Entries {
					row := a.entryRow(sh, e)
					if isStruck(d, e) {
						row[3] = "(struck) " + row[3]
					}
					rows = append(rows, row)
				}
				table(a.out, rows)
				fmt.Fprintf(a.out, "head %s\n", d.Pin)
				return nil
			})
		}),
	})
}

func (a *app) logJSON(sh *shop.Shop, d *shop.Desk) error {
	type row struct {
		Seq    int             `json:"seq"`
		ID     string          `json:"id"`
		At     time.Time       `json:"at"`
		By     string          `json:"by,omitempty"`
		Kind   string          `json:"kind"`
		Struck bool            `json:"struck,omitempty"`
		Body   json.RawMessage `json:"body"`
	}
	out := []row{}
	for _, e := range d.Entries {
		out = append(out, row{e.Seq, e.ID, e.At, sh.Name(a.ctx, e.By), e.Kind, isStruck(d, e), e.Body})
	}
	return a.printJSON(out)
}

// onBook is onJob, or the stores when they are named.
func (a *app) onBook(name string, fn func(*shop.Shop, *shop.Desk) error) error {
	if name != shop.StoresBook {
		return a.onJob(name, fn)
	}
	return a.open(func(sh *shop.Shop) error {
		d, err := sh.Open(a.ctx, shop.StoresBook)
		if err != nil {
			return err
		}
		return fn(sh, d)
	})
}

func (a *app) close() *cobra.Command {
	var b job.Closed
	cmd := &cobra.Command{
		Use: "close JOB --oil dry|filled", Short: "Hand the unit over", Args: takes(1, 1),
		Long:    "Hand the unit over. Refused while anything is loose, unproven or off, unless the owner's\nreason stands at it (endfloat allow). Say whether it leaves dry or filled with oil.",
		Example: "  endfloat close L --oil dry --to 'the line'",
		RunE: run(func(args []string) error {
			return a.record(args[0], b)
		}),
	}
	f := cmd.Flags()
	f.StringVar(&b.Oil, "oil", "", "`STATE`: dry (red tag) or filled (green tag)")
	f.StringVar(&b.To, "to", "", "`WHO` takes it")
	f.StringVar(&b.Note, "note", "", "`TEXT` for the owner")
	return cmd
}

// record writes one entry to the book that a person named.
func (a *app) record(name string, b job.Body) error {
	return a.onBook(name, func(sh *shop.Shop, d *shop.Desk) error {
		_, err := a.write(sh, d.Book, b)
		return err
	})
}

// write adds one entry to a book and says what now stands there.
func (a *app) write(sh *shop.Shop, book string, b job.Body) (*shop.Desk, error) {
	d, err := sh.Record(a.ctx, a.who(), book, b)
	if err != nil {
		return nil, err
	}
	a.wrote(d)
	return d, nil
}

// wrote says the last entry of a book.
func (a *app) wrote(d *shop.Desk) {
	fmt.Fprintf(a.out, "entry %d: %s\n", d.Seq, words(d.Entries[len(d.Entries)-1]))
}
