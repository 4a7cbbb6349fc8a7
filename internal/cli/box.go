package cli

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"endfloat/internal/gearbox"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) box() *cobra.Command {
	cmd := &cobra.Command{
		Use: "box", Short: "Gearbox files: check, keep, list, write out",
		Long:    "A gearbox file says what a type of gearbox is. It grows with what you know:\neach fact added wakes something. FILE may be - for standard input.",
		Example: "  endfloat box check three-speed.yaml\n  endfloat box keep three-speed.yaml",
		Args:    cobra.ArbitraryArgs, RunE: group,
	}
	cmd.AddCommand(
		&cobra.Command{Use: "check FILE", Short: "Read a gearbox file: its faults, or what it wakes", Args: takes(1, 1),
			Example: "  endfloat box check three-speed.yaml", RunE: run(a.boxCheck)},
		&cobra.Command{Use: "keep FILE", Short: "Check a gearbox file and keep it for new jobs", Args: takes(1, 1),
			Example: "  endfloat box keep three-speed.yaml", RunE: run(a.boxKeep)},
		&cobra.Command{Use: "order FILE", Short: "Print an order of assembly", Args: takes(1, 1),
			Example: "  endfloat box order three-speed.yaml", RunE: run(a.boxOrder)},
		a.withJSON(&cobra.Command{Use: "list", Short: "List the kept types", Args: takes(0, 0),
			Example: "  endfloat box list", RunE: run(a.boxList)}),
		a.boxFrom(),
		&cobra.Command{Use: "write TYPE", Short: "Write out a kept gearbox file, as it was kept", Args: takes(1, 1),
			Example: "  endfloat box write 'Three-speed with reverse' > three-speed.yaml", RunE: run(a.boxWrite)},
	)
	return cmd
}

// readBox reads and checks a gearbox file; "-" is standard input.
func (a *app) readBox(file string) (box *gearbox.Box, text []byte, err error) {
	if file == "-" {
		text, err = io.ReadAll(a.in)
	} else {
		text, err = os.ReadFile(file)
	}
	if err != nil {
		return nil, nil, fmt.Errorf("gearbox file: %w", err)
	}
	box, err = gearbox.Read(filepath.Base(file), text)
	if fs := (gearbox.Faults{}); errors.As(err, &fs) {
		return nil, nil, fmt.Errorf("%s has %s\n%w", file, count(len(fs), "fault"), err)
	}
	return box, text, err
}

func (a *app) boxCheck(args []string) error {
	box, _, err := a.readBox(args[0])
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "%s: %s. No faults.\n", args[0], box.Name)
	table(a.out, wakes(box))
	bullets(a.out, "Teeth that cannot be: counted wrongly, or another wheel", oddTeeth(box))
	return nil
}

// wakes says what a gearbox file holds and what each part of it is good for.
func wakes(b *gearbox.Box) [][]string {
	var facing, variants, fastenings, locks, seats, lids, once int
	stocks := map[string]bool{}
	for _, p := range b.All() {
		for n, is := range map[*int]bool{&facing: len(p.Faces) > 0, &variants: len(p.Variants) > 0, &fastenings: p.Fastening(),
			&locks: p.Lock.Known(), &seats: p.Seat != nil, &lids: p.Lid(), &once: p.Once} {
			if is {
				*n++
			}
		}
		if p.Seat != nil && p.Seat.Stock != "" {
			stocks[p.Seat.Stock] = true
		}
	}
	limits := 0
	for _, m := range b.Measures {
		if m.Limit != nil {
			limits++
		}
	}
	var rows [][]string
	add := func(n int, what, gives string) {
		if n > 0 {
			rows = append(rows, []string{count(n, what), gives})
		}
	}
	add(len(b.All()), "position", fmt.Sprintf("strip-down, order of assembly and nothing left over, on %s", count(len(b.Carriers), "carrier")))
	add(facing, "stated facing", "which way round is asked at strip-down and held at fitting")
	add(lids, "lid", "nothing is closed over what is missing or unfinished")
	add(once, "one-way part", "always decided new")
	add(fastenings, "fastening", fmt.Sprintf("torque list, lever and scale; %s to be locked", countOf(locks)))
	add(len(b.Measures), "reading", fmt.Sprintf("taken with their uncertainty; %s against a limit", countOf(limits)))
	add(seats, "seat", "packs from the drawer: "+strings.Join(slices.Sorted(maps.Keys(stocks)), ", "))
	for _, s := range b.Settings {
		how := "a chain of lengths"
		if s.Trial() {
			how = "read as it stands"
		}
		rows = append(rows, []string{"setting " + s.Name, how})
	}
	add(variants, "varied position", "takes more than one variant")
	add(len(b.Rules), "rule", "what fits with what")
	if n := len(b.Series); n > 0 {
		rows = append(rows, []string{fmt.Sprintf("%d series", n), "values that differ from run to run"})
	}
	add(len(b.Meshes), "speed", "ratios, centre distances")
	if b.Final != nil {
		rows = append(rows, []string{"crown wheel and pinion", "final drive; depth and backlash"})
	}
	return rows
}

func countOf(n int) string {
	if n == 0 {
		return "none"
	}
	return fmt.Sprint(n)
}

func (a *app) boxKeep(args []string) error {
	_, text, err := a.readBox(args[0])
	if err != nil {
		return err
	}
	return a.open(func(sh *shop.Shop) error {
		box, err := sh.KeepBox(a.ctx, a.who(), filepath.Base(args[0]), text)
		if err != nil {
			return err
		}
		fmt.Fprintf(a.out, "kept: %s, %s (%.8s)\n", box.Name, count(len(box.All()), "position"), box.Hash)
		return nil
	})
}

func (a *app) boxOrder(args []string) error {
	box, _, err := a.readBox(args[0])
	if err != nil {
		return err
	}
	var rows [][]string
	for i, p := range box.Order() {
		says := ""
		if len(p.Faces) > 0 {
			says = p.Faces[0].Face + " toward " + p.Faces[0].Toward
		}
		if p.Fastening() {
			says = strings.TrimPrefix(says+"; to its torque", "; ")
		}
		rows = append(rows, []string{fmt.Sprintf("%3d", i+1), p.Label(), p.Carrier.Name, says})
	}
	table(a.out, rows)
	return nil
}

func (a *app) boxList([]string) error {
	return a.open(func(sh *shop.Shop) error {
		d, err := sh.Open(a.ctx, shop.StoresBook)
		if err != nil {
			return err
		}
		type row struct {
			Type      string `json:"type"`
			Positions int    `json:"positions"`
			Settings  int    `json:"settings"`
			Hash      string `json:"sha256"`
		}
		list := []row{}
		var rows [][]string
		for _, name := range slices.Sorted(maps.Keys(d.Boxes)) {
			b, err := sh.Box(a.ctx, name)
			if err != nil {
				return err
			}
			list = append(list, row{name, len(b.All()), len(b.Settings), b.Hash})
			rows = append(rows, []string{name, count(len(b.All()), "position"), count(len(b.Settings), "setting"), b.Hash[:8]})
		}
		switch {
		case a.json:
			return a.printJSON(list)
		case len(rows) == 0:
			fmt.Fprintln(a.out, "no gearbox file is kept yet; keep one with endfloat box keep FILE")
		default:
			table(a.out, rows)
		}
		return nil
	})
}

func (a *app) boxWrite(args []string) error {
	return a.open(func(sh *shop.Shop) error {
		b, err := sh.Box(a.ctx, args[0])
		if err != nil {
			return err
		}
		_, err = a.out.Write(b.Text)
		return err
	})
}
