package cli

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"endfloat/calc/unit"
	"endfloat/internal/setup"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) settings() *cobra.Command {
	var working, propose, advise bool
	var beside []string
	cmd := a.withJSON(&cobra.Command{
		Use: "settings JOB [NAME]", Short: "Clearances, preloads, depth and backlash: value, wanted, proven", Args: takes(1, 2),
		Long:    "The settings of a job: what each is now and how surely, what is wanted, and whether it is\nproven. With a name: its seats, what pack each wants, and on request the working and proposals\nfrom the drawer.",
		Example: "  endfloat settings L\n  endfloat settings L backlash --working --propose",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				if len(args) == 1 {
					return a.allSettings(d)
				}
				r, ok := d.Setting(args[1])
				if !ok {
					return fmt.Errorf("there is no setting %q; %s", args[1], settingNames(d))
				}
				a.setting(d, r, working)
				if propose {
					a.proposals(d, r)
				}
				if !advise {
					return nil
				}
				var others []*shop.Desk
				for _, b := range beside {
					book, err := a.bookOf(sh, b)
					if err != nil {
						return err
					}
					o, err := sh.Open(a.ctx, book)
					if err != nil {
						return err
					}
					others = append(others, o)
				}
				a.advice(d, r, others)
				return nil
			})
		}),
	})
	cmd.Flags().BoolVar(&working, "working", false, "show how the value is reached")
	cmd.Flags().BoolVar(&propose, "propose", false, "propose packs from the drawer")
	cmd.Flags().BoolVar(&advise, "advise", false, "say which reading, pack or purchase would help most")
	cmd.Flags().StringArrayVar(&beside, "beside", nil, "another `JOB` that takes from the same drawer; repeat for each")
	return cmd
}

func settingNames(d *shop.Desk) string {
	var names []string
	for _, s := range d.Settings {
		names = append(names, s.Name)
	}
	if len(names) == 0 {
		return "the gearbox file has none"
	}
	return "there are " + strings.Join(names, ", ")
}

func (a *app) allSettings(d *shop.Desk) error {
	type row struct {
		Name    string  `json:"name"`
		Known   bool    `json:"known"`
		SI      float64 `json:"si"`
		U       float64 `json:"u_si"`
		Unit    string  `json:"unit"`
		Wanted  string  `json:"wanted"`
		Verdict string  `json:"verdict,omitempty"`
		Proven  bool    `json:"proven"`
		Why     string  `json:"why,omitempty"`
	}
	list := []row{}
	var rows [][]string
	for _, s := range d.Settings {
		wanted := setup.Range(s.Lo, s.Hi, s.HasLo, s.HasHi, s.Unit)
		list = append(list, row{s.Name, s.Known, s.Value, s.U, s.Unit.Symbol, wanted, string(s.Verdict), s.Proven, s.Why})
		rows = append(rows, []string{s.Name, valueOf(s), "wanted " + wanted, provenOr(s)})
	}
	switch {
	case a.json:
		return a.printJSON(list)
	case len(rows) == 0:
		fmt.Fprintln(a.out, "the gearbox file has no settings")
	default:
		table(a.out, rows)
	}
	return nil
}

func valueOf(s setup.Result) string {
	if !s.Known {
		return "not known"
	}
	return setup.Text(s.Value, s.U, s.Unit)
}

func provenOr(s setup.Result) string {
	if s.Proven {
		return "proven"
	}
	return s.Why
}

// standing is a setting in one line.
func standing(s setup.Result) string {
	v := s.Name + " is "
	if !s.Known {
		return v + provenOr(s)
	}
	v += valueOf(s)
	if s.Verdict != "" {
		v += ": " + string(s.Verdict)
	}
	return v + "; " + provenOr(s)
}

func (a *app) setting(d *shop.Desk, s setup.Result, working bool) {
	fmt.Fprintf(a.out, "%s: %s\n", s.Name, valueOf(s))
	rows := [][]string{{"wanted", setup.Range(s.Lo, s.Hi, s.HasLo, s.HasHi, s.Unit), s.From}}
	if s.Verdict != "" {
		rows = append(rows, []string{"verdict", string(s.Verdict), fmt.Sprintf("truly within with a chance of %s", percent(s.Chance))})
	}
	if s.State != "" {
		rows = append(rows, []string{"holds", s.State})
	}
	if s.Proven {
		rows = append(rows, []string{"proven", "yes"})
	} else {
		rows = append(rows, []string{"proven", "no: " + s.Why})
	}
	mm, _ := unit.Find("mm", unit.KindLength)
	for _, w := range s.Wants {
		now := "nothing there"
		if len(w.Now.Tags) > 0 {
			now = "now " + unit.Format(w.Now.SI, mm, 3) + " (" + strings.Join(w.Now.Tags, " + ") + ")"
		}
		rows = append(rows, []string{"seat " + w.Seat.ID, fmt.Sprintf("wants %s, %s would do", unit.Format(w.T, mm, 3), setup.Range(w.Lo, w.Hi, true, true, mm)), now})
	}
	table(a.out, rows)
	if !working {
		return
	}
	fmt.Fprintln(a.out, "\nWorking")
	var lines [][]string
	for _, l := range s.Working {
		lines = append(lines, []string{l.What, l.Is, l.From})
	}
	table(a.out, lines)
}

func percent(p float64) string {
	switch {
	case p > 0.995:
		return "over 99 %"
	case p < 0.005:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// proposals prints packs from the drawer, best first, with the words that fit them.
func (a *app) proposals(d *shop.Desk, s setup.Result) {
	ps := d.Propose(s.Name)
	if len(ps) == 0 {
		fmt.Fprintf(a.out, "\nNothing can be proposed: %s\n", strings.TrimSpace(noProposal(s)))
		return
	}
	fmt.Fprintln(a.out, "\nFrom the drawer, best first")
	for i, p := range ps {
		fmt.Fprintf(a.out, "  %d  %s; chance %s\n", i+1, strings.Join(p.Says, "; "), percent(p.Chance))
		for _, seat := range slices.Sorted(maps.Keys(p.Packs)) {
			words := []string{"endfloat fit", quoted(d.Opened.Letter), quoted(seat)}
			for _, t := range p.Packs[seat] {
				words = append(words, quoted(t))
			}
			fmt.Fprintf(a.out, "     %s   %s\n", strings.Join(words, " "), p.Totals[seat])
		}
	}
}

func noProposal(s setup.Result) string {
	if !s.Known {
		return s.Why
	}
	if len(s.Seats()) == 0 {
		return "no seat moves it"
	}
	return "no pieces of that kind are in the drawer; see endfloat drawer"
}
