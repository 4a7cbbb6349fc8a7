package cli

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"endfloat/internal/draw"
	"endfloat/internal/file"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

// drawing is how a drawing is asked for on the command line.
type drawing struct {
	file, series string
	width, dpi   float64
	plain        bool
}

func (a *app) drawCmd() *cobra.Command {
	var o drawing
	cmd := a.withJSON(&cobra.Command{
		Use: "draw JOB [DRAWING]", Short: "Make a drawing as SVG, PNG or PDF, or list what can be drawn", Args: takes(1, -1),
		Long: "Without DRAWING, lists what can be drawn: the general arrangement, each shaft in section and\n" +
			"in its order, the chain of a setting on its section, the shims at a seat, and what the\n" +
			"readings show. JOB may be a gearbox file (it ends in .yaml); then nothing is kept or needed.",
		Example: "  endfloat draw L\n  endfloat draw L arrangement --out arrangement.svg\n  endfloat draw L chain nut stack proud --out stack.png\n  endfloat draw bw-4t.gearbox.yaml order pinion --series B",
		RunE: run(func(args []string) error {
			name := strings.Join(args[1:], " ")
			if strings.HasSuffix(args[0], ".yaml") || strings.HasSuffix(args[0], ".yml") {
				box, _, err := a.readBox(args[0])
				if err != nil {
					return err
				}
				opt := draw.Options{Built: box.As(o.series), Width: o.width}
				return a.drawn(o, strings.ToLower(box.Name), name, shop.DrawingsOf(box), func() (*draw.Drawing, error) { return shop.DrawBox(box, name, opt) })
			}
			return a.onJob(args[0], func(_ *shop.Shop, d *shop.Desk) error {
				opt := draw.Options{Width: o.width}
				if o.plain {
					opt.State = func(string) draw.State { return draw.Fitted }
				}
				return a.drawn(o, d.Book, name, d.Drawings(), func() (*draw.Drawing, error) { return d.Draw(name, opt) })
			})
		}),
	})
	f := cmd.Flags()
	f.StringVar(&o.file, "out", "", "`FILE` to write, its ending says how: .svg, .png or .pdf; else the drawing's name with .svg, here")
	f.Float64Var(&o.width, "width", 0, "width in `MM`; else its natural size")
	f.Float64Var(&o.dpi, "dpi", 150, "`DOTS` to the inch of a PNG")
	f.BoolVar(&o.plain, "plain", false, "leave out how the parts stand in the job")
	f.StringVar(&o.series, "series", "", "`SERIES` of a gearbox file that is drawn without a job")
	return cmd
}

// drawn lists what can be drawn, or writes one drawing to its file.
func (a *app) drawn(o drawing, of, name string, all []shop.Drawn, do func() (*draw.Drawing, error)) error {
	if name == "" {
		if a.json {
			return a.printJSON(all)
		}
		var rows [][]string
		for _, w := range all {
			rows = append(rows, []string{w.Name, w.Title})
		}
		table(a.out, rows)
		return nil
	}
	if !(o.width == 0 || o.width >= 60 && o.width <= 1200) {
		return fmt.Errorf("the width of a drawing is 60 to 1200 mm, got %g", o.width)
	}
	d, err := do()
	if err != nil {
		return err
	}
	if o.file == "" {
		o.file = of + "-" + strings.NewReplacer(" ", "-", "/", "-").Replace(name) + ".svg"
	}
	var b []byte
	switch filepath.Ext(o.file) {
	case ".svg":
		b = []byte(d.SVG())
	case ".png":
		b, err = d.PNG(o.dpi)
	case ".pdf":
		b, err = d.Page(time.Now())
	default:
		err = fmt.Errorf("a drawing is written as .svg, .png or .pdf; %s is none of them", o.file)
	}
	if err != nil {
		return err
	}
	if err := file.Write(o.file, b, 0o644); err != nil {
		return fmt.Errorf("the drawing could not be written (%w)", err)
	}
	fmt.Fprintf(a.out, "written: %s, %.0f × %.0f mm\n", o.file, d.W, d.H)
	return nil
}
