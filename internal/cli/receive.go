package cli

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) receive() *cobra.Command {
	var b job.Received
	var files, sides, gears []string
	cmd := a.withJSON(&cobra.Command{
		Use: "receive JOB", Short: "Record how a unit came in, or list what is still to be recorded", Args: takes(1, 1),
		Long: "Record how a unit came in: marks, completeness, symptoms by gear, oil and debris, what lay loose in it\n" +
			"and photos of its six sides. Without options: what is recorded, what is open, and the readings to make\n" +
			"before anything is undone, each with why it matters.",
		Example: "  endfloat receive L\n  endfloat receive L --marks 'case 1174, plate BW-4T' --gear '1=jumps out on drive' --oil '1.9 L, dark'\n  endfloat receive L --side front=front.jpg --side rear=rear.jpg",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) (err error) {
				if b.Gears, err = keyed(gears, "gear"); err != nil {
					return err
				}
				var pairs map[string]string
				if pairs, err = keyed(sides, "side"); err != nil {
					return err
				}
				for _, side := range slices.Sorted(maps.Keys(pairs)) {
					keys, err := a.photos(sh, []string{pairs[side]})
					if err != nil {
						return err
					}
					if b.Sides == nil {
						b.Sides = map[string]string{}
					}
					b.Sides[side] = keys[0]
				}
				if b.Photos, err = a.photos(sh, files); err != nil {
					return err
				}
				if said := b.Marks + b.Complete + b.Missing + b.Oil + b.Debris + b.Loose + b.Outside; said != "" || len(b.Gears)+len(b.Sides) > 0 {
					if d, err = a.write(sh, d.Book, b); err != nil {
						return err
					}
				}
				return a.receiving(d)
			})
		}),
	})
	f := cmd.Flags()
	f.StringVar(&b.Marks, "marks", "", "`NUMBERS` cast and stamped, plates, counts")
	f.StringVar(&b.Complete, "complete", "", "`WHAT` came with it")
	f.StringVar(&b.Missing, "missing", "", "`WHAT` did not, and what is broken")
	f.StringArrayVar(&gears, "gear", nil, "`GEAR=WHAT` is wrong in it; repeat for each")
	f.StringVar(&b.Outside, "outside", "", "`WHAT` was seen of linkage, mounts and clutch")
	f.StringVar(&b.Oil, "oil", "", "`OIL` drained: volume, colour, smell, water")
	f.StringVar(&b.Debris, "debris", "", "`WHAT` is on the magnet and in the cloth")
	f.StringVar(&b.Loose, "loose", "", "`WHAT` lay loose in it; it goes in a bag of its own")
	f.StringArrayVar(&sides, "side", nil, "`SIDE=FILE`, a photo of "+strings.Join(shop.Sides, ", ")+"; repeat for each")
	f.StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}

// keyed reads options of the form key=value.
func keyed(list []string, what string) (map[string]string, error) {
	out := map[string]string{}
	for _, s := range list {
		k, v, ok := strings.Cut(s, "=")
		if k, v = strings.TrimSpace(k), strings.TrimSpace(v); !ok || k == "" || v == "" {
			return nil, fmt.Errorf("%s %q: write it as %s=…", what, s, strings.ToUpper(what))
		}
		out[k] = v
	}
	return out, nil
}

// receiving prints what is recorded of how a unit came in.
func (a *app) receiving(d *shop.Desk) error {
	if a.json {
		return a.printJSON(d.Receiving())
	}
	var rows [][]string
	for _, t := range d.Receiving() {
		state := "open"
		if t.Done {
			state = "done"
		}
		rows = append(rows, []string{state, t.Title, t.Says})
	}
	table(a.out, rows)
	var says []string
	for _, e := range d.Before() {
		if !e.Done && !e.Late {
			says = append(says, e.What+": "+e.Why)
		}
	}
	bullets(a.out, "Before anything is undone", says)
	return nil
}

func (a *app) agreed() *cobra.Command {
	var b job.Approved
	cmd := &cobra.Command{
		Use: "agreed JOB WHAT --said NAME", Short: "Record the customer's yes", Args: takes(2, 2),
		Example: "  endfloat agreed L 'the estimate, stopping after inspection' --said 'the treasurer' --how 'by letter'",
		RunE: run(func(args []string) error {
			b.What = args[1]
			return a.record(args[0], b)
		}),
	}
	f := cmd.Flags()
	f.StringVar(&b.By, "said", "", "`NAME` of who said yes")
	f.StringVar(&b.How, "how", "", "`HOW`: by word, by letter, by signature")
	f.StringVar(&b.Level, "level", "", "`LEVEL`: safe, proper or new")
	return cmd
}

func (a *app) people() *cobra.Command {
	var c shop.Contact
	var mend string
	cmd := a.withJSON(&cobra.Command{
		Use: "people [NAME]", Short: "List the people the workshop knows, or keep or mend one", Args: takes(0, 1),
		Example: "  endfloat people\n  endfloat people 'Hask Valley Light Railway' --reach 'treasurer@hask.example' --role customer\n  endfloat people 'Ivo B.' --mend Ivo",
		RunE: run(func(args []string) error {
			return a.open(func(sh *shop.Shop) error {
				if len(args) == 1 {
					return a.keepPerson(sh, c, args[0], mend)
				}
				all, err := sh.People(a.ctx)
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(all)
				}
				var rows [][]string
				for _, p := range all {
					rows = append(rows, []string{p.Name, p.Role, p.Reach})
				}
				if len(rows) == 0 {
					fmt.Fprintln(a.out, "nobody is kept yet; whoever owns a unit or says yes to an estimate is kept by itself")
				}
				table(a.out, rows)
				return nil
			})
		}),
	})
	f := cmd.Flags()
	f.StringVar(&c.Reach, "reach", "", "`HOW` they are reached: telephone, mail, address")
	f.StringVar(&c.Role, "role", "", "`WHAT` they are here: "+strings.Join(shop.PeopleRoles, ", "))
	f.StringVar(&mend, "mend", "", "`NAME` as it is kept now, to be mended in every book")
	return cmd
}

func (a *app) keepPerson(sh *shop.Shop, c shop.Contact, name, mend string) error {
	old, known, err := sh.PersonNamed(a.ctx, cmp.Or(mend, name))
	if err != nil {
		return err
	}
	if mend != "" && !known {
		return fmt.Errorf("nobody called %q is kept; see endfloat people", mend)
	}
	c.Name, c.Key = name, old.Key
	c.Reach, c.Role = cmp.Or(c.Reach, old.Reach), cmp.Or(c.Role, old.Role)
	if c, err = sh.KeepPerson(a.ctx, a.who(), c); err != nil {
		return err
	}
	fmt.Fprintf(a.out, "kept: %s\n", strings.Join(slices.DeleteFunc([]string{c.Name, c.Role, c.Reach}, func(s string) bool { return s == "" }), ", "))
	return nil
}

func (a *app) clean() *cobra.Command {
	var b job.Cleaned
	var in, files []string
	cmd := &cobra.Command{
		Use: "clean JOB [WHAT] [--with WHAT]", Short: "Put pieces in the wash basket, or record what was used on what", Args: takes(1, 2),
		Long: "Each unit has a wash basket of its own. --in puts a piece, a bag or a tray into it; what belongs to\n" +
			"another unit is stopped. With --with: what was used on WHAT, or on all that is in the basket.",
		Example: "  endfloat clean L --in L-P08 --in 'bag L D20'\n  endfloat clean L --with 'white spirit and a brush' --clear 'blown and probed'\n  endfloat clean L 'main case' --position C01 --with 'detergent, hot'",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) (err error) {
				for _, tag := range in {
					f, err := sh.IntoBasket(a.ctx, a.who(), d.Book, tag)
					if err != nil {
						return err
					}
					if f.Stop {
						return fmt.Errorf("STOP: %s belongs to %s. Put it back: %s", f.Tag, f.Whose(), f.Lies())
					}
				}
				if len(args) == 2 {
					b.What = args[1]
				}
				if b.With == "" && b.What == "" {
					if d, err = sh.Open(a.ctx, d.Book); err != nil {
						return err
					}
					return a.basket(d)
				}
				if b.Photos, err = a.photos(sh, files); err != nil {
					return err
				}
				says, keys := d.WashCare(b.With)
				if _, err = a.write(sh, d.Book, b); err != nil {
					return err
				}
				for _, s := range says {
					fmt.Fprintln(a.out, s)
				}
				a.cares(keys)
				return nil
			})
		}),
	}
	f := cmd.Flags()
	f.StringArrayVar(&in, "in", nil, "`TAG` of a piece, bag or tray that goes into the basket; repeat for each")
	f.StringVar(&b.With, "with", "", "`WHAT` was used")
	f.StringVar(&b.Position, "position", "", "`POSITION`, where it was one part in its place")
	f.StringVar(&b.Clear, "clear", "", "`HOW` the oil ways were proved clear")
	f.StringVar(&b.Place, "place", "", "`PLACE` where the pieces go afterwards")
	f.StringVar(&b.Note, "note", "", "`TEXT` to go with it")
	f.StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}

func (a *app) basket(d *shop.Desk) error {
	in, not := d.InBasket(), d.Unwashed()
	fmt.Fprintf(a.out, "%s: %s in it\n", d.Basket(), count(len(in), "piece"))
	for _, tag := range in {
		fmt.Fprintf(a.out, "  %s %s\n", tag, d.Pieces[tag].Name)
	}
	if len(not) > 0 {
		fmt.Fprintf(a.out, "not washed yet: %s\n", strings.Join(not, " "))
	}
	return nil
}

func (a *app) repair() *cobra.Command {
	var b job.Repaired
	var files, kinds []string
	for _, m := range gearbox.Makings() {
		kinds = append(kinds, m.What)
	}
	cmd := &cobra.Command{
		Use: "repair JOB POSITION HOW", Short: "Record a thread, face or bore made good", Args: takes(3, 3),
		Example: "  endfloat repair L C01 'insert, drilled square' --what thread --with 'M8 insert' --proved 'holds 24 N·m'",
		RunE: run(func(args []string) error {
			b.Position, b.How = args[1], args[2]
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) (err error) {
				if b.Photos, err = a.photos(sh, files); err != nil {
					return err
				}
				if d, err = a.write(sh, d.Book, b); err != nil {
					return err
				}
				if void := d.Reach(b.Position).Void; len(void) > 0 {
					fmt.Fprintf(a.out, "to be proven again: %s\n", strings.Join(void, ", "))
				}
				return nil
			})
		}),
	}
	f := cmd.Flags()
	f.StringVar(&b.What, "what", "other", "`KIND`: "+strings.Join(kinds, ", "))
	f.StringVar(&b.With, "with", "", "`WHAT` was used: insert, compound, machine")
	f.StringVar(&b.Proved, "proved", "", "`HOW` it was found good")
	f.StringVar(&b.Note, "note", "", "`TEXT` to go with it")
	f.StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}
