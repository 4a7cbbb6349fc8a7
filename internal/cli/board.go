package cli

import (
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) board() *cobra.Command {
	var typed []string
	var apply bool
	var why string
	cmd := a.withJSON(&cobra.Command{
		Use: "board [POSITION]", Short: "All units side by side: what is where, and what moving a piece breaks and voids", Args: takes(0, 1),
		Long: "Shows what each unit in hand has at every position, or all that could go to one POSITION and\n" +
			"what each would break. Moves are tried, not done: what they break, what is then no longer\n" +
			"proven, the ways out. --apply decides them in the books; what breaks something needs --why.",
		Example: "  endfloat board\n  endfloat board P08\n  endfloat board --move L.P11=L-P11\n  endfloat board --move D.P19=P-P19 --move D.Q10=P-Q10 --apply",
	})
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return a.open(func(sh *shop.Shop) error {
			var moves []shop.Move
			for _, t := range typed {
				m, err := a.moveOf(sh, t)
				if err != nil {
					return err
				}
				moves = append(moves, m)
			}
			b, err := sh.Board(a.ctx, moves)
			if err != nil {
				return err
			}
			switch {
			case apply:
				return a.assign(sh, b, moves, why)
			case len(args) == 1:
				return a.tries(b, args[0])
			case a.json:
				return a.printJSON(boardJSON(b))
			}
			a.squares(b)
			a.moved(b)
			return nil
		})
	}
	f := cmd.Flags()
	f.StringArrayVar(&typed, "move", nil, "try a piece or a variant there, `JOB.POSITION=WHAT`; repeat for each")
	f.BoolVar(&apply, "apply", false, "decide the moves in the books of their units")
	f.StringVar(&why, "why", "", "`REASON`, a sentence: needed where the moves break something")
	return cmd
}

// assign decides the moves, on the books as they were shown.
func (a *app) assign(sh *shop.Shop, b *shop.Board, moves []shop.Move, why string) error {
	on := map[string]int{}
	for _, d := range b.Desks {
		on[d.Book] = d.Seq
	}
	says, err := sh.Assign(a.ctx, a.who(), moves, on, why)
	if err != nil {
		return err
	}
	return a.decided(says)
}

// decided prints what was decided in several books.
func (a *app) decided(says []string) error {
	if a.json {
		return a.printJSON(map[string]any{"decided": says})
	}
	fmt.Fprintf(a.out, "decided, %s:\n", count(len(says), "part"))
	for _, s := range says {
		fmt.Fprintf(a.out, "  %s\n", s)
	}
	return nil
}

// squares prints the board: with moves, only the rows that they touch.
func (a *app) squares(b *shop.Board) {
	head := []string{"", ""}
	for _, d := range b.Desks {
		head = append(head, fmt.Sprintf("%s %s, %s", d.Opened.Letter, d.Opened.Unit, d.Opened.Colour), "")
	}
	rows := [][]string{append(head, "could go there")}
	for _, c := range b.Carriers {
		for _, r := range b.Rows[c.ID] {
			row, moved := []string{r.Position.ID, r.Position.Name}, len(b.Moves) == 0
			for _, q := range r.Squares {
				is := q.Is.Name
				if q.Moved {
					is, moved = "→ "+is, true
				}
				row = append(row, is, q.Condition)
			}
			if moved {
				rows = append(rows, append(row, fmt.Sprint(r.Pool)))
			}
		}
	}
	table(a.out, rows)
}

// moved prints what the moves do, what was broken before, and what is left over.
func (a *app) moved(b *shop.Board) {
	bullets(a.out, "The moves break", b.Breaks)
	bullets(a.out, "The moves void: to be proven again", b.Voids)
	if len(b.Moves) > 0 && len(b.Breaks) == 0 {
		fmt.Fprintln(a.out, "\nThe moves break nothing.")
	}
	a.waysOut("Ways out: what is given up, what the best then costs, and what it takes", b.Ways)
	bullets(a.out, "Broken before", b.Stands)
	bullets(a.out, "Look first", b.Asks)
	var left, pass []string
	for _, l := range b.Left {
		left = append(left, and(l.Tag+" "+l.Label, l.Variant, after("of ", l.From), after("owner ", l.Owner), after("new ", l.Worth), strings.Join(l.Out, "; ")))
	}
	for _, p := range b.Pass {
		pass = append(pass, fmt.Sprintf("%s %s: from %s to %s, %s", p.Tag, p.Label, p.From, p.To, p.Worth))
	}
	bullets(a.out, "Goes from one owner to another", pass)
	if len(b.Moves) == 0 {
		bullets(a.out, "Left over", left)
	}
}

// tries prints all that could go to a position of each unit.
func (a *app) tries(b *shop.Board, position string) error {
	type unit struct {
		Job  string     `json:"job"`
		Unit string     `json:"unit"`
		Try  []shop.Try `json:"could"`
	}
	var units []unit
	for _, d := range b.Desks {
		ts := b.Tries(d.Book, position)
		if ts == nil {
			return fmt.Errorf("%s has no position %q to choose for", d.Box.Name, position)
		}
		units = append(units, unit{d.Book, d.Opened.Unit, ts})
	}
	if a.json {
		return a.printJSON(units)
	}
	for i, u := range units {
		p, _ := b.Desks[i].Box.Position(position)
		fmt.Fprintf(a.out, "%s %s\n", u.Unit, p.Label())
		var rows [][]string
		for _, t := range u.Try {
			here, price := "", ""
			if t.Here {
				here = "here"
			}
			if t.Price > 0 {
				price = t.Price.String()
			}
			rows = append(rows, []string{here, t.Name, price, t.Condition, pairs(t.Marks)})
		}
		table(a.out, rows)
		for _, t := range u.Try {
			bullets(a.out, t.Name+" would break", slices.Compact(slices.Sorted(slices.Values(slices.Concat(t.Against, t.Breaks)))))
		}
	}
	return nil
}

// boardJSON is the board for another program.
func boardJSON(b *shop.Board) any {
	type square struct {
		Job       string `json:"job"`
		Tag       string `json:"tag,omitempty"`
		Variant   string `json:"variant,omitempty"`
		Is        string `json:"is"`
		Condition string `json:"condition"`
		Unfit     bool   `json:"unfit,omitempty"`
		Moved     bool   `json:"moved,omitempty"`
	}
	type row struct {
		Position string   `json:"position"`
		Name     string   `json:"name"`
		Could    int      `json:"could"`
		Squares  []square `json:"squares"`
	}
	type left struct {
		Tag      string   `json:"tag"`
		Position string   `json:"position"`
		Variant  string   `json:"variant,omitempty"`
		From     string   `json:"from"`
		Owner    string   `json:"owner,omitempty"`
		Worth    string   `json:"worth,omitempty"`
		Against  []string `json:"against,omitempty"`
	}
	out := struct {
		On     map[string]int `json:"on"`
		Rows   []row          `json:"rows"`
		Breaks []string       `json:"breaks"`
		Stands []string       `json:"broken_before"`
		Voids  []string       `json:"voids"`
		Asks   []string       `json:"asks"`
		Ways   []shop.WayOut  `json:"ways"`
		Left   []left         `json:"left_over"`
	}{On: map[string]int{}, Breaks: b.Breaks, Stands: b.Stands, Voids: b.Voids, Asks: b.Asks, Ways: b.Ways}
	for _, d := range b.Desks {
		out.On[d.Book] = d.Seq
	}
	for _, c := range b.Carriers {
		for _, r := range b.Rows[c.ID] {
			x := row{Position: r.Position.ID, Name: r.Position.Name, Could: r.Pool}
			for _, q := range r.Squares {
				x.Squares = append(x.Squares, square{q.Book, q.Is.Tag, q.Is.Variant, q.Is.Name, q.Condition, q.Bad, q.Moved})
			}
			out.Rows = append(out.Rows, x)
		}
	}
	for _, l := range b.Left {
		out.Left = append(out.Left, left{l.Tag, l.Position, l.Variant, l.From, l.Owner, l.Worth, l.Out})
	}
	return out
}
