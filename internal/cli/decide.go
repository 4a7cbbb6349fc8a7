package cli

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/setup"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) decide() *cobra.Command {
	var b job.Decided
	var byRules bool
	cmd := a.withJSON(&cobra.Command{
		Use: "decide JOB [POSITION CHOICE]", Short: "Say what becomes of a part: " + strings.Join(shop.Choices, ", "),
		Long: "Say what becomes of a part. Without a position: what is doubtful, with what it costs to have been\nwrong about it, and what the customer must agree to. --by-rules decides every open part of which\n" +
			"the gearbox file says what becomes of it: one-way parts, and what is renewed together.",
		Example: "  endfloat decide L P09 new --why 'ring gap 0.45 mm'\n  endfloat decide L\n  endfloat decide D --by-rules",
	})
	cmd.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) == 1 {
			return nil
		}
		return takes(3, 3)(cmd, args)
	}
	cmd.RunE = run(func(args []string) error {
		switch {
		case byRules:
			return a.onJob(args[0], a.decideByRules)
		case len(args) == 1:
			return a.onJob(args[0], a.doubts)
		}
		b.Position, b.Choice = args[1], args[2]
		return a.record(args[0], b)
	})
	f := cmd.Flags()
	f.StringVar(&b.Why, "why", "", "`REASON`")
	f.StringVar(&b.Variant, "variant", "", "`VARIANT` of the part that is to go there")
	f.StringVar(&b.Piece, "piece", "", "`TAG` of the piece that is to go there")
	f.BoolVar(&byRules, "by-rules", false, "decide what the gearbox file decides")
	return cmd
}

func (a *app) decideByRules(sh *shop.Shop, d *shop.Desk) error {
	done, err := sh.DecideByRule(a.ctx, a.who(), d.Book)
	if err != nil {
		return err
	}
	if d, err = sh.Open(a.ctx, d.Book); err != nil {
		return err
	}
	var rows [][]string
	for _, id := range done {
		is := d.Spots[id].Decided.Is
		rows = append(rows, []string{id, is.Choice, is.Why})
	}
	table(a.out, rows)
	fmt.Fprintf(a.out, "%s decided by the gearbox file\n", count(len(done), "part"))
	return nil
}

// doubts lists what is doubtful, the dearest to have been wrong about first, and
// what the customer must agree to.
func (a *app) doubts(sh *shop.Shop, d *shop.Desk) error {
	list, err := sh.Doubts(a.ctx, d)
	if err != nil {
		return err
	}
	agree, err := sh.ToAgree(a.ctx, d)
	if err != nil {
		return err
	}
	type doubtOut struct {
		Position string   `json:"position"`
		Why      []string `json:"why"`
		Decided  string   `json:"decided,omitempty"`
		Hours    float64  `json:"hours_if_wrong"`
		Money    string   `json:"money_if_wrong,omitempty"`
		Guessed  int      `json:"guessed"`
	}
	out := []doubtOut{}
	var rows [][]string
	for _, q := range list {
		out = append(out, doubtOut{q.Position.ID, q.Why, q.Decided, q.Wrong.Hours, q.Wrong.Money, q.Wrong.Guessed})
		rows = append(rows, []string{q.Position.Label(), q.Wrong.Says(), cmp.Or(q.Decided, "open"), strings.Join(q.Why, "; ")})
	}
	if a.json {
		return a.printJSON(map[string]any{"doubts": out, "agree": append([]string{}, agree...), "by_rule": d.OpenByRule()})
	}
	if len(rows) == 0 {
		fmt.Fprintln(a.out, "nothing that may go back is doubtful")
	} else {
		fmt.Fprintln(a.out, "doubtful, with what it costs to have been wrong, once the unit is together:")
		table(a.out, rows)
	}
	if n := d.OpenByRule(); n > 0 {
		fmt.Fprintf(a.out, "the gearbox file decides %s: endfloat decide %s --by-rules\n", count(n, "open part"), d.Opened.Letter)
	}
	bullets(a.out, "The customer must agree to", agree)
	return nil
}

func (a *app) answer() *cobra.Command {
	var why string
	cmd := &cobra.Command{
		Use: "answer JOB [QUESTION ANSWER]", Short: "Answer what must not be assumed, or list what is asked",
		Long:    "Some things cannot be found out by the program and must not be guessed, such as which way the\nplus of an etched number points. Without a question: what is asked and what was answered.",
		Example: "  endfloat answer L 'etched plus means' further --why 'marked on the drawing'",
	}
	cmd.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) == 1 {
			return nil
		}
		return takes(3, 3)(cmd, args)
	}
	cmd.RunE = run(func(args []string) error {
		if len(args) == 1 {
			return a.onJob(args[0], a.questions)
		}
		return a.record(args[0], job.Answered{Question: args[1], Answer: args[2], Why: why})
	})
	cmd.Flags().StringVar(&why, "why", "", "`WHERE` the answer is from")
	return cmd
}

func (a *app) questions(_ *shop.Shop, d *shop.Desk) error {
	asked := 0
	for _, s := range d.Settings {
		if s.Question != "" {
			asked++
			fmt.Fprintf(a.out, "asked for %s: %s: %s\n", s.Name, quoted(s.Question), wrapped(strings.Join(s.Missing, "; "), "  "))
		}
	}
	for _, q := range slices.Sorted(maps.Keys(d.Answers)) {
		fmt.Fprintf(a.out, "answered: %s: %s\n", quoted(q), d.Answers[q])
	}
	if asked == 0 && len(d.Answers) == 0 {
		fmt.Fprintf(a.out, "nothing is asked now (a gearbox file with an etched number asks for %s)\n", quoted(setup.EtchedQuestion))
	}
	return nil
}

func (a *app) note() *cobra.Command {
	var b job.Noted
	var keep bool
	var files []string
	cmd := &cobra.Command{
		Use: "note JOB TEXT", Short: "Write a note; with --until it comes up before that part goes on", Args: takes(2, 2),
		Example: "  endfloat note L 'order a new tab washer' --at P39 --until P39",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) (err error) {
				b.Text = args[1]
				if keep {
					b.Type = d.Opened.Type
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
	f.StringVar(&b.Position, "at", "", "`POSITION` it is about")
	f.StringVar(&b.Until, "until", "", "`POSITION` before which it must be dealt with")
	f.BoolVar(&keep, "keep", false, "bring it up again at that position of every gearbox of this type")
	f.StringVar(&b.Topic, "topic", "", "`TOPIC`: received, debris, oil, parts, pause, test, hand-over, temporary, next time")
	f.StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}

func (a *app) allow() *cobra.Command {
	var b job.Allowed
	cmd := &cobra.Command{
		Use: "allow JOB HOLD --why REASON", Short: "Pass a hold or a rule with a written reason", Args: takes(2, 2),
		Long:    "Pass a hold or a rule with a written reason that stays in the book. HOLD is the key in\nsquare brackets that endfloat job and endfloat steps print. Torques and locks need a witness.",
		Example: "  endfloat allow L missing/P05 --why 'this unit never had the washer, see photo'",
		RunE: run(func(args []string) error {
			b.Hold = strings.Trim(args[1], "[]")
			return a.record(args[0], b)
		}),
	}
	f := cmd.Flags()
	f.StringVar(&b.Why, "why", "", "`REASON`, a sentence")
	f.StringVar(&b.Witness, "witness", "", "`NAME` of a second person")
	return cmd
}

func (a *app) strike() *cobra.Command {
	var why string
	cmd := &cobra.Command{
		Use: "strike JOB ENTRY", Short: "Take an entry out of account; it stays in the book", Args: takes(2, 2),
		Long:    "Take an entry out of account. It stays in the book as struck; write a better one after it.\nENTRY is its number in endfloat log. The last entry needs no reason.",
		Example: "  endfloat strike L 14 --why 'read on the wrong face'",
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		seq, err := strconv.Atoi(args[1])
		if err != nil {
			return usage(cmd, "%q is no number of an entry; see endfloat log", args[1])
		}
		return a.onBook(args[0], func(sh *shop.Shop, d *shop.Desk) error {
			if seq < 1 || seq > len(d.Entries) {
				return fmt.Errorf("there is no entry %d; the book has %d", seq, len(d.Entries))
			}
			e := d.Entries[seq-1]
			d, err := sh.Record(a.ctx, a.who(), d.Book, job.Struck{Entry: e.ID, Why: why})
			if err != nil {
				return err
			}
			fmt.Fprintf(a.out, "entry %d: struck entry %d (%s)\n", d.Seq, seq, words(e))
			return nil
		})
	}
	cmd.Flags().StringVar(&why, "why", "", "`REASON`")
	return cmd
}
