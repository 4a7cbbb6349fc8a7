package cli

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

func (a *app) steps() *cobra.Command {
	return a.withJSON(&cobra.Command{
		Use: "steps JOB [--json]", Short: "Build-up: what can be done now, what waits and why", Args: takes(1, 1),
		Example: "  endfloat steps L",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(_ *shop.Shop, d *shop.Desk) error {
				if a.json {
					return a.stepsJSON(d)
				}
				var now, waits []string
				for _, s := range d.Build {
					if s.Now() {
						now = append(now, s.Title)
					} else {
						waits = append(waits, s.Title+" waits: "+strings.Join(s.Waits, "; "))
					}
				}
				fmt.Fprintf(a.out, "%s %s: %s to go\n", d.Opened.Letter, d.Opened.Unit, count(len(d.Build), "step"))
				bullets(a.out, "Now", now)
				bullets(a.out, "Waits", waits)
				a.findings("Holds", d, plan.Hold)
				return nil
			})
		}),
	})
}

func (a *app) stepsJSON(d *shop.Desk) error {
	type row struct {
		Do       string   `json:"do"`
		Position string   `json:"position,omitempty"`
		Setting  string   `json:"setting,omitempty"`
		Title    string   `json:"title"`
		Waits    []string `json:"waits,omitempty"`
	}
	out := []row{}
	for _, s := range d.Build {
		r := row{Do: s.Do, Setting: s.Setting, Title: s.Title, Waits: s.Waits}
		if s.Position != nil {
			r.Position = s.Position.ID
		}
		out = append(out, r)
	}
	return a.printJSON(out)
}

func (a *app) fit() *cobra.Command {
	var b job.Fitted
	var files []string
	cmd := &cobra.Command{
		Use: "fit JOB POSITION [TAG…]", Short: "Fit a piece, or a pack of shims", Args: takes(2, -1),
		Long:    "Fit a piece or a pack. Without a tag: the piece that came off there. Pieces come from the\nstores by themselves; what was there goes back to the drawer or to --aside.",
		Example: "  endfloat fit L Q13 s4 s9 --trial\n  endfloat fit L P08 --faces 'cone toward nut'",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) (err error) {
				b.Position, b.Tags = args[1], args[2:]
				if len(b.Tags) == 0 {
					b.Tags = cameOff(d, b.Position)
				}
				if b.Photos, err = a.photos(sh, files); err != nil {
					return err
				}
				if d, err = a.write(sh, d.Book, b); err != nil {
					return err
				}
				for _, s := range d.Settings {
					if s.Known && slices.Contains(s.Seats(), b.Position) {
						fmt.Fprintf(a.out, "  setting %s\n", standing(s))
					}
				}
				return nil
			})
		}),
	}
	f := cmd.Flags()
	f.StringVar(&b.Faces, "faces", "", "`WAY` it faces, as the gearbox file says it: 'cone toward nut'")
	f.BoolVar(&b.Trial, "trial", false, "only to measure with")
	f.StringVar(&b.With, "with", "", "`NAME` of who helps, where two are needed")
	f.StringVar(&b.Aside, "aside", "", "`PLACE` where what was there before goes")
	f.StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}

// cameOff is the piece or the pieces that came off a position, unless another
// was decided for it.
func cameOff(d *shop.Desk, position string) []string {
	sp := d.Spots[position]
	switch {
	case sp == nil:
		return nil
	case sp.Decided != nil && sp.Decided.Is.Piece != "":
		return []string{sp.Decided.Is.Piece}
	}
	return sp.AsFound
}

// wrenching is how a fastening is brought to its torque, as typed.
type wrenching struct {
	wrench, scale, set             string
	arm, mass, centre, slope, with string
	extension, angle, tool         string
	aim, trial                     bool
	files                          []string
}

// method tells the way of it from what was typed.
func (w wrenching) method(d *shop.Desk) (string, map[string]string, error) {
	in := map[string]string{"tool": w.tool}
	values := d.Stores.Tools[w.tool].Values
	if _, ok := d.Stores.Tools[w.tool]; w.tool != "" && !ok {
		return "", nil, fmt.Errorf("tool %q is not in the stores; add it with endfloat tool add", w.tool)
	}
	bar := w.scale != "" || w.wrench == "" && w.set == "" && (w.mass != "" || w.arm != "" && w.extension == "" || values["arm"] != "")
	switch {
	case w.wrench != "" && (w.scale != "" || w.set != "") || w.scale != "" && w.set != "":
		return "", nil, errors.New("one way at a time: --wrench, --scale or --set")
	case bar:
		in["pull"], in["arm"], in["bar-mass"], in["bar-centre"], in["bar-slope"], in["bar-weight"] = w.scale, w.arm, w.mass, w.centre, w.slope, w.with
		return shop.ByBar, in, nil
	case w.set != "" || w.extension != "" || values["extension"] != "":
		in["set"], in["wrench"], in["extension"], in["angle"] = w.set, w.arm, w.extension, w.angle
		return shop.ByExtension, in, nil
	case w.wrench != "" || w.aim:
		in["reads"] = w.wrench
		return shop.ByWrench, in, nil
	}
	return "", nil, errors.New("say what was read: --wrench '70 N·m', --scale '24.3 kgf' with --arm, or --set with --arm and --extension; --aim says what it must read")
}

func (a *app) torque() *cobra.Command {
	var w wrenching
	cmd := &cobra.Command{
		Use: "torque JOB POSITION", Short: "Record a torque from what the tool read, or ask what it must read", Args: takes(2, 2),
		Long: "Record how a fastening was brought to its torque: with a torque wrench (--wrench), with a bar\nand a hanging scale (--scale, --arm and the bar's own --mass, --centre and --weight), or with a\n" +
			"wrench that carries an extension (--set, --arm to its square, --extension, --angle).\nWith --aim nothing is recorded: it says what the tool must read.",
		Example: "  endfloat torque L P39 --aim --arm 0.6m --mass 2.4kg --centre 0.3m --weight with\n" +
			"  endfloat torque L P39 --scale 24.3kgf --arm 0.6m --mass 2.4kg --centre 0.3m --weight with\n  endfloat torque L Q14 --wrench '70 N·m'",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				method, in, err := w.method(d)
				if err != nil {
					return err
				}
				if w.aim {
					return a.aim(d, args[1], method, in)
				}
				keys, err := a.photos(sh, w.files)
				if err != nil {
					return err
				}
				d, err = sh.Tighten(a.ctx, a.who(), d.Book, shop.Tightening{Position: args[1], Method: method, Values: in, Trial: w.trial, Photos: keys})
				if err != nil {
					return err
				}
				a.torqued(d, args[1])
				return nil
			})
		}),
	}
	f := cmd.Flags()
	f.BoolVar(&w.aim, "aim", false, "say what the tool must read; record nothing")
	f.BoolVar(&w.trial, "trial", false, "only to measure with; the final torque comes later")
	f.StringVar(&w.wrench, "wrench", "", "`TORQUE` the wrench read")
	f.StringVar(&w.scale, "scale", "", "`PULL` the scale read, in N, kgf or lbf")
	f.StringVar(&w.set, "set", "", "`TORQUE` the wrench with the extension was set to")
	f.StringVar(&w.arm, "arm", "", "`LENGTH` of the bar to the pull, or of the wrench from the hand to its square")
	f.StringVar(&w.mass, "mass", "", "`MASS` of the bar")
	f.StringVar(&w.centre, "centre", "", "`LENGTH` from the nut to the bar's balance point")
	f.StringVar(&w.with, "weight", "", "`HOW` the bar's weight turns: with (the pull) or against")
	f.StringVar(&w.slope, "slope", "", "`ANGLE` of the bar, 0° when level")
	f.StringVar(&w.extension, "extension", "", "`LENGTH` of the extension")
	f.StringVar(&w.angle, "angle", "", "`ANGLE` of the extension to the wrench, 0° in line")
	f.StringVar(&w.tool, "tool", "", "`NAME` of a tool in the stores that fills these in")
	f.StringArrayVar(&w.files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}

func (a *app) aim(d *shop.Desk, position, method string, in map[string]string) error {
	t, err := shop.Aim(d, position, method, in)
	if err != nil {
		return err
	}
	fmt.Fprintf(a.out, "%s: %s\n", position, t.Text)
	if len(t.Lines) > 0 {
		fmt.Fprintln(a.out, "\nWorking")
		a.lines(t.Lines)
	}
	bullets(a.out, "Look at", t.Warnings)
	if t.Caution != "" {
		bullets(a.out, "Care", []string{t.Caution})
	}
	return nil
}

func (a *app) torqued(d *shop.Desk, position string) {
	t := d.Spots[position].Torqued.Is
	p, _ := d.Box.Position(position)
	fmt.Fprintf(a.out, "entry %d: %s reached %s, wanted %s\n", d.Seq, p.Label(), newtonMetres(t.Torque, t.U), p.Torque.Text(d.Built))
	for _, l := range strings.Split(t.Working, "\n") {
		if l != "" {
			fmt.Fprintf(a.out, "  %s\n", strings.Replace(l, " =  = ", " = ", 1))
		}
	}
	bullets(a.out, "Look at", t.Warnings)
	for _, f := range d.Findings {
		if f.About == position && f.Kind != plan.Hold && f.Allowed == "" {
			fmt.Fprintf(a.out, "  %s: %s\n", f.Says, f.Mend)
		}
	}
}

func (a *app) lock() *cobra.Command {
	var line bool
	var files []string
	cmd := &cobra.Command{
		Use: "lock JOB POSITION HOW", Short: "Record that a fastening is locked, and how", Args: takes(3, 3),
		Example: "  endfloat lock L P39 'tab bent onto a flat' --photo tab.jpg",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				keys, err := a.photos(sh, files)
				if err != nil {
					return err
				}
				_, err = a.write(sh, d.Book, job.Locked{Position: args[1], How: args[2], Line: line, Photos: keys})
				return err
			})
		}),
	}
	cmd.Flags().BoolVar(&line, "line", false, "a line of paint over nut and shaft, to see it turn")
	cmd.Flags().StringArrayVar(&files, "photo", nil, "JPEG or PNG `FILE`; repeat for each")
	return cmd
}
