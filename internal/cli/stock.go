package cli

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/calc/unit"
	"endfloat/internal/job"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) piece() *cobra.Command {
	cmd := &cobra.Command{
		Use: "piece", Short: "Pieces by their tags: add, mark, move, find", Args: cobra.ArbitraryArgs, RunE: group,
		Long:    "A piece is one physical part, or a counted lot, with a tag of its own. It is at one place at a time.",
		Example: "  endfloat piece add s14 --stock 'side shim' --thick 0.302mm\n  endfloat piece where s14",
	}
	cmd.AddCommand(a.pieceAdd(), a.pieceMark(), a.piecePut(), a.pieceWhere())
	return cmd
}

func (a *app) pieceAdd() *cobra.Command {
	var b job.Added
	var in string
	cmd := &cobra.Command{
		Use: "add TAG", Short: "Bring in a piece from outside: bought, made, found", Args: takes(1, 1),
		Long:    "Bring in a piece. Without --job it goes to the stores: a piece of a --stock into the drawer,\nany other onto the shelf.",
		Example: "  endfloat piece add s14 --stock 'side shim' --thick 0.302mm\n  endfloat piece add L-nut --job L --name 'pinion nut, new' --position P39 --origin supplier",
		RunE: run(func(args []string) error {
			p := &b.Piece
			p.Tag = args[0]
			if p.Stock != "" && b.Place == "" {
				b.Place = "drawer"
			}
			if p.Stock != "" && p.Origin == "" {
				p.Origin = "drawer"
			}
			if p.Name == "" {
				p.Name = p.Stock
			}
			return a.record(in, b)
		}),
	}
	f := cmd.Flags()
	f.StringVar(&in, "job", shop.StoresBook, "`JOB` it is brought in for")
	f.StringVar(&b.Piece.Name, "name", "", "`NAME` of the part")
	f.StringVar(&b.Piece.Stock, "stock", "", "`KIND` of drawer piece, as the gearbox file calls it")
	f.StringVar(&b.Piece.Thick, "thick", "", "measured `THICKNESS`, with ± its standard uncertainty if known")
	f.StringVar(&b.Piece.Nominal, "nominal", "", "`THICKNESS` as stamped or sold")
	f.StringVar(&b.Piece.Position, "position", "", "`POSITION` where pieces like it belong")
	f.StringVar(&b.Piece.Variant, "variant", "", "its `VARIANT`")
	f.StringVar(&b.Piece.Origin, "origin", "", "`WHERE` it is from: supplier, drawer, unit")
	f.StringVar(&b.Piece.Price, "price", "", "`PRICE`")
	f.IntVar(&b.Piece.Count, "count", 0, "`NUMBER` of them, when it is a lot")
	f.StringToStringVar(&b.Piece.Marks, "mark", nil, "`MARK=VALUE` found on it, such as etched=+7; repeat for each")
	f.StringVar(&b.Place, "place", "", "`PLACE`: drawer, shelf, tray")
	return cmd
}

func (a *app) pieceMark() *cobra.Command {
	cmd := &cobra.Command{
		Use: "mark TAG MARK=VALUE…", Short: "Write down what is found on a piece: set number, etched number", Args: takes(2, -1),
		Example: "  endfloat piece mark L-P01 etched=+7 'set number=118'",
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		b := job.Marked{Tag: args[0], Marks: map[string]string{}}
		for _, arg := range args[1:] {
			k, v, ok := strings.Cut(arg, "=")
			if !ok || k == "" || v == "" {
				return usage(cmd, "%q is no mark; write its name, = and what it says, such as etched=+7", arg)
			}
			b.Marks[k] = v
		}
		return a.onPiece(b.Tag, b)
	}
	return cmd
}

func (a *app) piecePut() *cobra.Command {
	return &cobra.Command{
		Use: "put TAG PLACE", Short: "Move a piece to another place of its book", Args: takes(2, 2),
		Example: "  endfloat piece put L-P05 'bag L7'",
		RunE: run(func(args []string) error {
			return a.onPiece(args[0], job.Put{Tag: args[0], Place: args[1]})
		}),
	}
}

// onPiece writes an entry about a piece to the book that has it.
func (a *app) onPiece(tag string, b job.Body) error {
	return a.open(func(sh *shop.Shop) error {
		books, err := a.booksOf(sh, tag)
		if err != nil {
			return err
		}
		_, err = a.write(sh, books[0], b)
		return err
	})
}

func (a *app) booksOf(sh *shop.Shop, tag string) ([]string, error) {
	books, err := sh.FindTag(a.ctx, tag)
	if err == nil && len(books) == 0 {
		err = fmt.Errorf("no piece is tagged %q anywhere; look at the tag again, or bring it in with endfloat piece add", tag)
	}
	return books, err
}

func (a *app) pieceWhere() *cobra.Command {
	return &cobra.Command{
		Use: "where TAG", Short: "Say where a piece is, and what happened to it", Args: takes(1, 1),
		Example: "  endfloat piece where s14",
		RunE: run(func(args []string) error {
			return a.open(func(sh *shop.Shop) error {
				tag := args[0]
				books, err := a.booksOf(sh, tag)
				if err != nil {
					return err
				}
				for _, book := range books {
					d, err := sh.Open(a.ctx, book)
					if err != nil {
						return err
					}
					a.whereIs(sh, d, tag)
				}
				return nil
			})
		}),
	}
}

func (a *app) whereIs(sh *shop.Shop, d *shop.Desk, tag string) {
	p, at := d.Pieces[tag], "the stores"
	if d.Book != shop.StoresBook {
		at = d.Opened.Unit + ", " + d.Opened.Colour + " tape"
	}
	place := d.Where[tag]
	if pos, in := d.In(tag); in {
		place = "fitted at " + pos
	}
	fmt.Fprintf(a.out, "%s: %s of %s (%s)\n", tag, place, at, and(p.Name, p.Variant, thickness(p), pairs(p.Marks)))
	var rows [][]string
	for _, seq := range slices.Compact(slices.Clone(d.Trail[tag])) {
		if seq >= 1 && seq <= len(d.Entries) {
			rows = append(rows, a.entryRow(sh, d.Entries[seq-1]))
		}
	}
	table(a.out, rows)
}

func thickness(p *job.Piece) string {
	if p.SI == 0 {
		return ""
	}
	mm, _ := unit.Find("mm", unit.KindLength)
	if p.U > 0 {
		return unit.FormatU(p.SI, p.U, mm)
	}
	return unit.Format(p.SI, mm, 3)
}

func pairs(m map[string]string) string {
	var out []string
	for _, k := range slices.Sorted(maps.Keys(m)) {
		out = append(out, k+" "+m[k])
	}
	return strings.Join(out, ", ")
}

func (a *app) drawer() *cobra.Command {
	return a.withJSON(&cobra.Command{
		Use: "drawer [--json]", Short: "List the shims and other pieces chosen to measure", Args: takes(0, 0),
		Example: "  endfloat drawer",
		RunE: run(func([]string) error {
			return a.onBook(shop.StoresBook, func(_ *shop.Shop, d *shop.Desk) error {
				var ps []*job.Piece
				for _, p := range d.Pieces {
					if p.Stock != "" {
						ps = append(ps, p)
					}
				}
				slices.SortFunc(ps, byThickness)
				if a.json {
					return a.printJSON(append([]*job.Piece{}, ps...))
				}
				if len(ps) == 0 {
					fmt.Fprintln(a.out, "the drawer is empty; bring pieces in with endfloat piece add TAG --stock KIND --thick '0.30 mm'")
				}
				var rows [][]string
				for _, p := range ps {
					rows = append(rows, []string{p.Stock, p.Tag, thickness(p), d.Where[p.Tag]})
				}
				table(a.out, rows)
				return nil
			})
		}),
	})
}

// byThickness orders pieces by kind, then thickness, then tag.
func byThickness(p, q *job.Piece) int {
	switch {
	case p.Stock != q.Stock:
		return strings.Compare(p.Stock, q.Stock)
	case p.SI < q.SI:
		return -1
	case p.SI > q.SI:
		return 1
	}
	return strings.Compare(p.Tag, q.Tag)
}

func (a *app) instrument() *cobra.Command {
	cmd := a.withJSON(&cobra.Command{
		Use: "instrument", Short: "Measuring instruments and how far they can be trusted",
		Example: "  endfloat instrument add 'outside micrometer' --quantity length --unit mm --doubt '0.002 mm' --common 0.7",
		Args:    cobra.ArbitraryArgs,
	})
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			return group(cmd, args)
		}
		return a.onBook(shop.StoresBook, a.instruments)
	}
	cmd.AddCommand(a.instrumentAdd(), a.instrumentUsual())
	return cmd
}

func (a *app) instruments(_ *shop.Shop, d *shop.Desk) error {
	list := []job.Instrument{}
	var rows [][]string
	for _, name := range slices.Sorted(maps.Keys(d.Instruments)) {
		b := d.Instruments[name]
		list = append(list, b)
		rows = append(rows, []string{b.Name, b.Quantity, doubtOf(b), fmt.Sprintf("%.0f %% common to repeats", 100*b.Common), b.Checked})
	}
	switch {
	case a.json:
		return a.printJSON(list)
	case len(rows) == 0:
		fmt.Fprintln(a.out, "no instruments yet; add one with endfloat instrument add")
	default:
		table(a.out, rows)
	}
	return nil
}

func doubtOf(b job.Instrument) string {
	k, _ := unit.KindOf(b.Quantity)
	u, _ := unit.Find(b.Unit, k)
	return "± " + unit.FormatU(b.U, 0, difference(u))
}

// difference is a unit for differences: without the offset of a temperature.
func difference(u unit.Unit) unit.Unit {
	u.Offset = 0
	return u
}

// instrumentUsual lists the usual instruments that another may be added like.
func (a *app) instrumentUsual() *cobra.Command {
	return &cobra.Command{
		Use: "usual", Short: "List usual instruments with the errors that are published for them", Args: takes(0, 0),
		Example: "  endfloat instrument usual",
		RunE: run(func([]string) error {
			var rows [][]string
			for _, in := range uncert.Instruments() {
				u, _ := unit.Find(in.Unit, in.Quantity)
				rows = append(rows, []string{in.Name, "MPE " + in.MPE, "u " + unit.FormatU(in.U, 0, difference(u)), in.Source})
			}
			table(a.out, rows)
			return nil
		}),
	}
}

func (a *app) instrumentAdd() *cobra.Command {
	var b job.Instrument
	var doubt, mpe, like string
	cmd := &cobra.Command{
		Use: "add NAME --quantity QUANTITY --unit UNIT --doubt VALUE | --mpe VALUE", Short: "Add an instrument, or change it, with its standard uncertainty", Args: takes(1, 1),
		Long: "Add an instrument; one of the same name takes the place of the one before.\n" +
			"Its standard uncertainty is given, or follows from the maker's maximum permissible error: u = MPE / √3,\n" +
			"any error within it being held equally likely. It may be a part of the greatest value read: '4 % of 200 N·m'.\n" +
			"With --like a usual instrument fills in what is not given.",
		Example: "  endfloat instrument add 'outside micrometer' --quantity length --unit mm --doubt '0.002 mm' --common 0.7\n" +
			"  endfloat instrument add calliper --mpe '0.03 mm' --common 0.5 --checked 2026-03-05\n" +
			"  endfloat instrument add micrometer --like 'outside micrometer 0 to 25 mm' --checked 2026-03-05",
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		b.Name = args[0]
		if like != "" {
			usual, ok := uncert.FindInstrument(like)
			if !ok {
				return fmt.Errorf("there is no usual instrument %q; endfloat instrument usual lists them", like)
			}
			if doubt == "" && mpe == "" {
				mpe = usual.MPE
			}
			fill := func(flag string, to *string, text string) {
				if !cmd.Flags().Changed(flag) {
					*to = text
				}
			}
			fill("quantity", &b.Quantity, usual.Quantity.String())
			fill("unit", &b.Unit, usual.Unit)
			fill("metal", &b.Metal, usual.Metal)
			if !cmd.Flags().Changed("common") {
				b.Common = usual.Common
			}
		}
		k, ok := unit.KindOf(b.Quantity)
		if !ok {
			return fmt.Errorf("quantity %q is not known; use length, force, torque, mass, temperature, angle …", b.Quantity)
		}
		u, ok := unit.Find(b.Unit, k)
		if !ok {
			return fmt.Errorf("%q is no unit of %s", b.Unit, k)
		}
		var err error
		if b.U, err = uncert.Doubt(doubt, mpe, k, u); err != nil {
			return err
		}
		return a.record(shop.StoresBook, b)
	}
	f := cmd.Flags()
	f.StringVar(&b.Quantity, "quantity", "length", "`QUANTITY` it reads")
	f.StringVar(&b.Unit, "unit", "mm", "`UNIT` of its scale: that of numbers typed without one")
	f.StringVar(&doubt, "doubt", "", "standard uncertainty of one reading, a `VALUE` with its unit")
	f.StringVar(&mpe, "mpe", "", "in its place, the maker's maximum permissible error, ± a `VALUE` with its unit")
	f.Float64Var(&b.Common, "common", 0, "`SHARE` of it that repeats have in common, 0 to 1")
	f.StringVar(&like, "like", "", "`NAME` of a usual instrument, as endfloat instrument usual lists them")
	f.StringVar(&b.Metal, "metal", "", "`METAL` it is made of")
	f.StringVar(&b.Checked, "checked", "", "`DAY` it was last checked")
	return cmd
}

func (a *app) tool() *cobra.Command {
	cmd := &cobra.Command{
		Use: "tool", Short: "Bars, wrenches and scales that sums are made with", Args: cobra.ArbitraryArgs, RunE: group,
		Example: "  endfloat tool add 'long bar' --class bar arm=0.6m bar-mass=2.4kg bar-centre=0.3m",
	}
	var class string
	add := &cobra.Command{
		Use: "add NAME INPUT=VALUE…", Short: "Add a tool with the inputs it fills in", Args: takes(1, -1),
		Long:    "Add a tool. Its values are inputs of the sums lever (arm, bar-mass, bar-centre, bar-weight)\nor extension (wrench, extension, angle); endfloat torque --tool NAME and endfloat calc --tool NAME then fill them in. A tube has bore and outside.",
		Example: "  endfloat tool add 'long bar' --class bar arm=0.6m bar-mass=2.4kg bar-centre=0.3m",
	}
	add.Flags().StringVar(&class, "class", "", "`CLASS`: bar, scale, torque wrench, tube")
	add.RunE = func(cmd *cobra.Command, args []string) error {
		b := job.Tool{Name: args[0], Class: class, Values: map[string]string{}}
		for _, arg := range args[1:] {
			k, v, ok := strings.Cut(arg, "=")
			if !ok {
				return usage(cmd, "%q is no value; write its name, = and the value, such as arm=0.6m", arg)
			}
			b.Values[k] = v
		}
		return a.record(shop.StoresBook, b)
	}
	cmd.AddCommand(add)
	return cmd
}
