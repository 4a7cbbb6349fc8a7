package cli

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"endfloat/internal/file"
	"endfloat/internal/job"
	"endfloat/internal/report"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) offers() *cobra.Command {
	var b job.Offered
	cmd := a.withJSON(&cobra.Command{
		Use: "offers [TYPE POSITION SUPPLIER]", Short: "New parts that can be bought: list them, or write one down",
		Long:    "Without words: what can be bought. With them: what a supplier asks for a part of a TYPE of\ngearbox; another offer of the same supplier for the same part takes its place.",
		Example: "  endfloat offers\n  endfloat offers BW-4T P09 'Foss Lane Gears' --variant ASY --price '69.00 EUR' --days 10 --return 14",
	})
	cmd.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		return takes(3, 3)(cmd, args)
	}
	cmd.RunE = run(func(args []string) error {
		if len(args) == 3 {
			b.Type, b.Position, b.Supplier = args[0], args[1], args[2]
			return a.record(shop.StoresBook, b)
		}
		return a.onBook(shop.StoresBook, func(_ *shop.Shop, d *shop.Desk) error {
			if a.json {
				return a.printJSON(append([]job.Offered{}, d.Offers...))
			}
			if len(d.Offers) == 0 {
				fmt.Fprintln(a.out, "nothing is offered; write down what can be bought with endfloat offers TYPE POSITION SUPPLIER --price MONEY")
			}
			var rows [][]string
			for _, o := range d.Offers {
				rows = append(rows, []string{o.Type, o.Position, o.Variant, o.Supplier, o.Price, days("in", o.Days), days("goes back within", o.Return)})
			}
			table(a.out, rows)
			return nil
		})
	})
	f := cmd.Flags()
	f.StringVar(&b.Variant, "variant", "", "`VARIANT`")
	f.StringVar(&b.Price, "price", "", "`MONEY` for what a position takes")
	f.IntVar(&b.Days, "days", 0, "`DAYS` until it is here")
	f.IntVar(&b.Count, "count", 0, "`NUMBER` that can be had; else as many as wanted")
	f.IntVar(&b.Return, "return", 0, "`DAYS` in which a wrong one goes back")
	f.StringToStringVar(&b.Marks, "mark", nil, "`MARK=VALUE` on it, such as 'set number=402'; repeat for each")
	f.BoolVar(&b.Gone, "gone", false, "it is no longer offered")
	return cmd
}

func days(word string, n int) string {
	if n == 0 {
		return ""
	}
	return word + " " + count(n, "day")
}

func (a *app) orders() *cobra.Command {
	var supplier, pdf, paper string
	var csv bool
	cmd := a.withJSON(&cobra.Command{
		Use: "orders", Short: "What all units need and wait for, by supplier; place an order",
		Long:    "Lists what is decided new and is neither here nor on order, and what has not come right yet.",
		Example: "  endfloat orders\n  endfloat orders --csv > orders.csv\n  endfloat orders --supplier 'Foss Lane Gears' --pdf orders.pdf\n  endfloat orders place D 'Foss Lane Gears' --reference 'FL 311'",
		Args:    cobra.ArbitraryArgs,
	})
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			return group(cmd, args)
		}
		return a.open(func(sh *shop.Shop) error {
			os, err := sh.Orders(a.ctx)
			switch {
			case err != nil:
				return err
			case a.json:
				return a.printJSON(ordersJSON(os))
			case csv:
				b, err := os.CSV(supplier)
				if err != nil {
					return err
				}
				_, err = a.out.Write(b)
				return err
			case pdf != "":
				b, err := report.OrderLists(os.Sheets(supplier), report.Options{Made: time.Now(), Version: Version, Paper: paper})
				if err != nil {
					return err
				}
				return a.writePDF(pdf, b)
			}
			a.orderLists(os, supplier)
			return nil
		})
	}
	f := cmd.Flags()
	f.StringVar(&supplier, "supplier", "", "only this `SUPPLIER`")
	f.BoolVar(&csv, "csv", false, "print a table for a spreadsheet")
	f.StringVar(&pdf, "pdf", "", "write it as a PDF to this `FILE`")
	f.StringVar(&paper, "paper", "A4", "`SIZE`: A4 or Letter")
	cmd.AddCommand(a.place())
	return cmd
}

// writePDF writes paper that is of no one job.
func (a *app) writePDF(to string, pdf []byte) error {
	if err := file.Write(to, pdf, 0o644); err != nil {
		return fmt.Errorf("the PDF could not be written (%w)", err)
	}
	fmt.Fprintf(a.out, "written: %s, %d kB\n", to, (len(pdf)+999)/1000)
	return nil
}

func (a *app) orderLists(os shop.Orders, supplier string) {
	sheets := os.Sheets(supplier)
	if len(sheets) == 0 {
		fmt.Fprintln(a.out, "nothing is to be ordered, and nothing is on its way")
	}
	for i, s := range sheets {
		if i > 0 {
			fmt.Fprintln(a.out)
		}
		fmt.Fprintln(a.out, s.Supplier)
		table(a.out, s.Rows)
	}
}

func ordersJSON(os shop.Orders) any {
	type line struct {
		Job       string `json:"job"`
		Position  string `json:"position"`
		Part      string `json:"part"`
		Variant   string `json:"variant,omitempty"`
		Count     int    `json:"count"`
		Supplier  string `json:"supplier,omitempty"`
		Price     string `json:"price,omitempty"`
		Days      int    `json:"days,omitempty"`
		Tag       string `json:"tag,omitempty"`
		Reference string `json:"reference,omitempty"`
		Expected  string `json:"expected,omitempty"`
		Stands    string `json:"stands,omitempty"`
		Late      bool   `json:"late,omitempty"`
	}
	out := struct {
		To     []line `json:"to_order"`
		Coming []line `json:"ordered"`
	}{[]line{}, []line{}}
	for _, t := range os.To {
		out.To = append(out.To, line{Job: t.Book, Position: t.Position, Part: t.Label, Variant: t.Variant, Count: t.Count, Supplier: t.Supplier, Price: t.Price, Days: t.Days})
	}
	for _, c := range os.Coming {
		out.Coming = append(out.Coming, line{Job: c.Book, Position: c.Position, Part: c.Label, Variant: c.Variant, Count: c.Count, Supplier: c.Supplier, Price: c.Price,
			Tag: c.Tag, Reference: c.Reference, Expected: c.Expected, Stands: c.Stands(), Late: c.Late})
	}
	return out
}

func (a *app) place() *cobra.Command {
	var ask shop.Ordering
	cmd := &cobra.Command{
		Use: "place JOB SUPPLIER [POSITION…]", Short: "Order what a unit needs of a supplier; without positions all that it offers", Args: takes(2, -1),
		Example: "  endfloat orders place D 'Foss Lane Gears' --reference 'FL 311' --expected 2026-03-20\n  endfloat orders place D 'Brindle Bearings' P21",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				ask.Supplier, ask.Positions = args[1], args[2:]
				d, err := sh.Place(a.ctx, a.who(), d.Book, ask)
				if err != nil {
					return err
				}
				a.wrote(d)
				return nil
			})
		}),
	}
	f := cmd.Flags()
	f.StringVar(&ask.Reference, "reference", "", "`NUMBER` of the order")
	f.StringVar(&ask.Expected, "expected", "", "`DAY` on which it is to come; else as the offers say")
	return cmd
}

func (a *app) goodsIn() *cobra.Command {
	var b job.Arrived
	var seen bool
	var files []string
	cmd := &cobra.Command{
		Use: "goods-in JOB [TAG [WHAT=VALUE…]]", Short: "Check a part as it comes in, against its order and the mates it must fit", Args: takes(1, -1),
		Long: "Without a tag: what is on its way. With one: what to measure, count and see on it, and the mates\n" +
			"it must fit. With values: the check. A part that is wrong does not become a piece of the unit;\n" +
			"it is said until when it may go back. --seen says it was looked at where nothing is to be measured.",
		Example: "  endfloat goods-in L\n  endfloat goods-in L N-P21\n  endfloat goods-in L N-P21 width=26.00mm\n  endfloat goods-in D N-P22-D gap=1.12mm",
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		values := map[string]string{}
		for _, arg := range args[min(2, len(args)):] {
			k, v, ok := strings.Cut(arg, "=")
			if !ok || k == "" || v == "" {
				return usage(cmd, "%q is no value; write what was looked at, = and what was found, such as width=26.00mm", arg)
			}
			values[k] = v
		}
		return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
			switch {
			case len(args) == 1:
				return a.coming(sh, d)
			case len(values) == 0 && !seen:
				return a.looks(d, args[1])
			}
			b.Tag, b.Values = args[1], values
			var err error
			if b.Photos, err = a.photos(sh, files); err != nil {
				return err
			}
			d, err = sh.Record(a.ctx, a.who(), d.Book, b)
			if err != nil {
				return err
			}
			a.checked(d, args[1])
			return nil
		})
	}
	f := cmd.Flags()
	f.BoolVar(&seen, "seen", false, "it was looked at and is what was ordered; nothing was measured")
	f.StringVar(&b.Place, "place", "", "`PLACE` where it is put; else the shelf")
	f.StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}

// coming lists what a unit has on order.
func (a *app) coming(sh *shop.Shop, d *shop.Desk) error {
	os, err := sh.Orders(a.ctx)
	if err != nil {
		return err
	}
	var rows [][]string
	for _, c := range os.Coming {
		if c.Book == d.Book && !c.Here() {
			rows = append(rows, []string{c.Tag, c.Label, c.Variant, c.Supplier, c.Stands()})
		}
	}
	if len(rows) == 0 {
		fmt.Fprintf(a.out, "nothing is on its way for %s\n", d.Opened.Unit)
	}
	table(a.out, rows)
	return nil
}

// looks tells what to look at on a part that is to come.
func (a *app) looks(d *shop.Desk, tag string) error {
	g, err := d.GoodsIn(tag)
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "%s: %s, from %s\n", tag, and(g.Pos.Label(), g.Order.Variant), g.Order.Supplier)
	var rows [][]string
	for _, l := range g.Looks {
		rows = append(rows, []string{l.Key, after("wanted ", l.Wanted), l.From})
	}
	table(a.out, rows)
	bullets(a.out, "Try it on its mates", g.Mates)
	if len(rows) == 0 {
		fmt.Fprintln(a.out, "the gearbox file has nothing to measure on it: look at it, then --seen")
	}
	return nil
}

// checked says how a part came through its check.
func (a *app) checked(d *shop.Desk, tag string) {
	var b job.Arrived
	e := d.Entries[len(d.Entries)-1]
	_ = json.Unmarshal(e.Body, &b) // was just written
	if b.Good {
		fmt.Fprintf(a.out, "entry %d: %s is right, and a piece of %s now: %s\n", d.Seq, tag, d.Opened.Unit, d.Where[tag])
		bullets(a.out, "To be known", b.Says)
		return
	}
	fmt.Fprintf(a.out, "entry %d: %s is WRONG%s\n", d.Seq, tag, after("; it may go back until ", b.Until))
	for _, s := range b.Says {
		fmt.Fprintf(a.out, "  %s\n", wrapped(s, "    "))
	}
	fmt.Fprintf(a.out, "endfloat send-back %s %s\n", d.Opened.Letter, tag)
}

func (a *app) sendBack() *cobra.Command {
	var b job.SentBack
	cmd := &cobra.Command{
		Use: "send-back JOB TAG", Short: "Send a part back to its supplier", Args: takes(2, 2),
		Example: "  endfloat send-back L N-P21 --expected 2026-02-17",
		RunE: run(func(args []string) error {
			b.Tag = args[1]
			return a.record(args[0], b)
		}),
	}
	f := cmd.Flags()
	f.StringVar(&b.Why, "why", "", "`REASON`; else what goods-in found")
	f.StringVar(&b.Expected, "expected", "", "`DAY` on which the right one is to come")
	return cmd
}
