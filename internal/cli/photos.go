package cli

import (
	"fmt"
	"strings"

	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"

	"github.com/spf13/cobra"
)

// photo gathers what there is to do with photos.
func (a *app) photo() *cobra.Command {
	cmd := &cobra.Command{Use: "photo", Short: "List photos, draw over them, find those that no book refers to", Args: cobra.ArbitraryArgs, RunE: group,
		Example: "  endfloat photo list L P11"}
	cmd.AddCommand(a.photoList(), a.photoDraw(), a.photoUnused())
	return cmd
}

type markOut struct {
	Entry int        `json:"entry"`
	Shape string     `json:"shape"`
	X     float64    `json:"x"`
	Y     float64    `json:"y"`
	From  *job.Point `json:"from,omitempty"`
	R     float64    `json:"r,omitempty"`
	Says  string     `json:"says,omitempty"`
}

type photoOut struct {
	Key      string    `json:"key"`
	Unit     string    `json:"unit"`
	Position string    `json:"position,omitempty"`
	Step     string    `json:"step"`
	Says     string    `json:"says"`
	Entry    int       `json:"entry"`
	Marks    []markOut `json:"marks"`
}

func photoOuts(unit string, ps []plan.Photo) []photoOut {
	out := []photoOut{}
	for _, p := range ps {
		o := photoOut{p.Key, unit, p.Position, p.Step, p.Says, p.Entry.Seq, []markOut{}}
		for _, m := range p.Marks {
			o.Marks = append(o.Marks, markOut{m.Seq, m.Is.Shape, m.Is.X, m.Is.Y, m.Is.From, m.Is.R, m.Is.Says})
		}
		out = append(out, o)
	}
	return out
}

func (a *app) photoList() *cobra.Command {
	return a.withJSON(&cobra.Command{
		Use: "list JOB [POSITION]", Short: "The photos of a unit; of one position, beside those of other units", Args: takes(1, 2),
		Example: "  endfloat photo list L\n  endfloat photo list L P11 --json",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				ps := d.Photos()
				var beside []shop.Beside
				if len(args) > 1 {
					if !hasPosition(d, args[1]) {
						return fmt.Errorf("%s has no position %q", d.Opened.Unit, args[1])
					}
					ps = d.PhotosAt(args[1])
					var err error
					if beside, err = sh.Beside(a.ctx, d, args[1]); err != nil {
						return err
					}
				}
				list := photoOuts(d.Opened.Unit, ps)
				for _, b := range beside {
					list = append(list, photoOuts(b.Unit, b.Photos)...)
				}
				if a.json {
					return a.printJSON(list)
				}
				a.printPhotos(list)
				return nil
			})
		}),
	})
}

// hasPosition reports whether an id is one of the file, or of a part that only
// this unit has.
func hasPosition(d *shop.Desk, id string) bool {
	if d.Spots[id] != nil {
		return true
	}
	if d.Box == nil {
		return false
	}
	_, ok := d.Box.Position(id)
	return ok
}

func (a *app) printPhotos(list []photoOut) {
	if len(list) == 0 {
		fmt.Fprintln(a.out, "no photos")
		return
	}
	var rows [][]string
	for _, o := range list {
		rows = append(rows, []string{o.Key[:min(10, len(o.Key))], o.Unit, o.Position, o.Step, o.Says})
		for _, m := range o.Marks {
			rows = append(rows, []string{"", "", "", "drawn", strings.TrimSuffix(fmt.Sprintf("%s at %.0f %% %.0f %%: %s", m.Shape, 100*m.X, 100*m.Y, m.Says), ": ") + fmt.Sprintf(" (entry %d)", m.Entry)})
		}
	}
	table(a.out, rows)
}

func (a *app) photoDraw() *cobra.Command {
	var b job.Drawn
	var from []string
	var radius string
	cmd := &cobra.Command{
		Use: "draw JOB KEY SHAPE ACROSS DOWN", Short: "Draw over a photo: " + strings.Join(shop.Shapes, ", "), Args: takes(5, 5),
		Long:    "Draw over a photo; the photo itself stays as it is. KEY is that of \"endfloat photo list\", or its\nfirst six signs or more. ACROSS and DOWN are percent of the width from the left and of the\nheight from the top: what an arrow points at, the middle of a circle, where words stand.",
		Example: "  endfloat photo draw L 3fa9c2 arrow 62 40 --says 'dot to hub dot'\n  endfloat photo draw L 3fa9c2 circle 30 55 --radius 12",
		RunE: run(func(args []string) error {
			return a.onJob(args[0], func(sh *shop.Shop, d *shop.Desk) error {
				p, err := d.Photo(args[1])
				if err != nil {
					return err
				}
				b.Photo, b.Position, b.Shape = p.Key, p.Position, args[2]
				if b.X, err = shop.Share(args[3]); err != nil {
					return err
				}
				if b.Y, err = shop.Share(args[4]); err != nil {
					return err
				}
				if radius != "" {
					if b.R, err = shop.Share(radius); err != nil {
						return err
					}
				}
				if len(from) > 0 {
					if b.From, err = pointOf(from); err != nil {
						return err
					}
				}
				_, err = a.write(sh, d.Book, b)
				return err
			})
		}),
	}
	f := cmd.Flags()
	f.StringVar(&b.Says, "says", "", "`WORDS` beside it")
	f.StringSliceVar(&from, "from", nil, "`ACROSS,DOWN` where an arrow comes from")
	f.StringVar(&radius, "radius", "", "`PERCENT` of the width, of a circle")
	return cmd
}

func pointOf(text []string) (*job.Point, error) {
	if len(text) != 2 {
		return nil, fmt.Errorf("where the arrow comes from: %q was read; write it as 20,35", strings.Join(text, ","))
	}
	x, err := shop.Share(text[0])
	if err != nil {
		return nil, err
	}
	y, err := shop.Share(text[1])
	if err != nil {
		return nil, err
	}
	return &job.Point{X: x, Y: y}, nil
}

func (a *app) photoUnused() *cobra.Command {
	var remove bool
	cmd := a.withJSON(&cobra.Command{
		Use: "unused", Short: "List photos that no book refers to, or remove them", Args: takes(0, 0),
		Long:    "A photo comes in before the entry that it belongs to. Where that entry was refused and never\nsent again, the photo is left over. Names and gearbox files are never among what is listed.\nRemove them while nobody is in the middle of recording something.",
		Example: "  endfloat photo unused\n  endfloat photo unused --remove",
		RunE: run(func([]string) error {
			return a.open(func(sh *shop.Shop) error {
				find, did := sh.UnusedPhotos, "no book refers to"
				if remove {
					find, did = sh.DropUnusedPhotos, "removed"
				}
				list, err := find(a.ctx)
				if err != nil {
					return err
				}
				if a.json {
					return a.printJSON(append([]shop.Unused{}, list...))
				}
				bytes := 0
				for _, u := range list {
					fmt.Fprintf(a.out, "  %.16s  %d kB\n", u.Key, (u.Bytes+999)/1000)
					bytes += u.Bytes
				}
				switch {
				case len(list) == 0:
					fmt.Fprintln(a.out, "every photo is in a book")
				case remove:
					fmt.Fprintf(a.out, "%s %s, %.1f MB\n", count(len(list), "photo"), did, float64(bytes)/1e6)
				default:
					fmt.Fprintf(a.out, "%s %s, %.1f MB; --remove takes them away\n", count(len(list), "photo"), did, float64(bytes)/1e6)
				}
				return nil
			})
		}),
	})
	cmd.Flags().BoolVar(&remove, "remove", false, "take them away")
	return cmd
}
