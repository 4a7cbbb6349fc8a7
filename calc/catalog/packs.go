package catalog

import (
	"fmt"
	"strings"

	"endfloat/calc/stack"
	"endfloat/calc/unit"
)

func init() { register(pack) }

// runnersUp is how many further packs are listed.
const runnersUp = 10

var pack = &Sum{
	Name: "pack", Title: "Shim pack from a drawer of measured pieces", Group: Shims, Picture: "pack",
	Purpose: "Which of the shims in the drawer make a thickness: fewest pieces within the tolerance, then least error. The search is exact on whole micrometres.",
	Inputs: []Input{
		mm("drawer", "t", 0.005, 50, "the pieces with their measured thickness, such as s1 = 0.998, s2 = 1.003").named(),
		mm("target", "want", 0.005, 50, "thickness wanted"),
		mm("tolerance", "tol", 0, 2, "how far the pack may be off, to either side"),
		whole("most", "n", 1, 8, "most pieces in a pack").or("4"),
		mm("thinnest", "thinnest", 0, 5, "pieces thinner than this are left out").optional(),
		mm("step", "step", 0.005, 1, "steps in which single shims can be bought").or("0.05 mm"),
		mm("largest", "largest", 0.005, 20, "thickest single shim that can be bought").or("1.00 mm"),
	},
	Outputs: []Output{
		says("pack", "pack"),
		gives("total", "total", unit.KindLength, "mm", 3, "its total"),
		gives("error", "error", unit.KindLength, "mm", 3, "off the target by"),
		counts("pieces", "n", "pieces"),
		says("order", "worth buying"),
	},
	Assumptions: []string{"Every piece was measured by itself; what is printed or etched on a shim is not its thickness.",
		"Pieces are flat, free of burrs and of the same outline."},
	Sources: []string{Practice},
	Example: map[string]string{"drawer": "s1 = 0.098, s2 = 0.101, s3 = 0.149, s4 = 0.203, s5 = 0.298, s6 = 0.502, s7 = 1.003, s8 = 0.998, s9 = 1.497 mm",
		"target": "2.43 mm", "tolerance": "0.025 mm", "most": "5"},
	Do: func(c *Call) error {
		pieces, at := drawerOf(c)
		target, tol, most := c.Length("target"), c.Length("tolerance"), c.Int("most")
		if len(pieces) == 0 {
			return c.Badf("drawer", "every piece is thinner than %s", c.Print(c.F("thinnest"), "mm"))
		}
		found := Decide(c, func() (f foundPacks) {
			f.packs = stack.Choose(pieces, target, tol, most)
			if f.fits = len(f.packs) > 0; !f.fits {
				f.packs = stack.Nearest(pieces, target, most)
			}
			return f
		})
		if len(found.packs) == 0 {
			return c.Badf("drawer", "no pack comes near %s: the thinnest piece is more than twice as thick", c.Print(float64(target), "mm"))
		}
		best := found.packs[0]
		var total unit.Length
		for _, p := range best.Pieces {
			total += at[p.ID]
		}
		c.Say("pack", ids(best))
		if !c.quiet {
			c.Line("total", "total of "+ids(best), plus(best), float64(total), "mm")
		}
		c.Out("total", float64(total))
		c.Show("error", "total − want", float64(total-target))
		c.Out("pieces", float64(len(best.Pieces)))
		if !found.fits {
			c.Warn("no pack of up to %d pieces lies within the tolerance; the nearest is shown", most)
			c.Say("order", orders(c, pieces, target, tol, most))
		}
		alternatives(c, found)
		return nil
	},
}

type foundPacks struct {
	packs []stack.Pack
	fits  bool
}

// drawerOf returns the pieces thick enough to use, and all thicknesses by name.
func drawerOf(c *Call) ([]stack.Piece, map[string]unit.Length) {
	thin := c.Length("thinnest")
	names := c.Names("drawer")
	at := make(map[string]unit.Length, len(names))
	var pieces []stack.Piece
	for i, t := range c.List("drawer") {
		at[names[i]] = unit.Length(t)
		if unit.Length(t) >= thin-1e-9 {
			pieces = append(pieces, stack.Piece{ID: names[i], T: unit.Length(t)})
		}
	}
	return pieces, at
}

func ids(p stack.Pack) string {
	var names []string
	for _, piece := range p.Pieces {
		names = append(names, piece.ID)
	}
	return strings.Join(names, " + ")
}

func plus(p stack.Pack) string {
	u := anyUnit("mm")
	var t []string
	for _, piece := range p.Pieces {
		t = append(t, number(float64(piece.T), u))
	}
	return strings.Join(t, " + ")
}

func alternatives(c *Call, f foundPacks) {
	if c.quiet {
		return
	}
	for i, p := range f.packs[1:] {
		if i == runnersUp {
			c.Note("", "and more packs", "", fmt.Sprint(len(f.packs)-1-runnersUp))
			return
		}
		u := anyUnit("mm")
		c.Note(fmt.Sprintf("pack %d", i+2), ids(p), plus(p),
			fmt.Sprintf("%s (%s off)", quantity(float64(p.T), u), signed(float64(p.Err), u)))
	}
}

func signed(si float64, u unit.Unit) string {
	s := quantity(si, u)
	if si > 0 {
		s = "+" + s
	}
	return s
}

// orders names up to three single shims that would make the pack.
func orders(c *Call, pieces []stack.Piece, target, tol unit.Length, most int) string {
	step, largest := c.Length("step"), c.Length("largest")
	if c.quiet {
		return ""
	}
	var sizes []unit.Length
	for i := 1; i <= 4000 && unit.Length(i)*step <= largest+1e-9; i++ {
		sizes = append(sizes, unit.Length(i)*step)
	}
	found := stack.Orders(pieces, target, tol, most, sizes)
	if len(found) == 0 {
		return "no single shim on sale makes it; grind one, or allow another piece"
	}
	u := anyUnit("mm")
	var say []string
	for _, o := range found[:min(3, len(found))] {
		with := "alone"
		if len(o.With.Pieces) > 0 {
			with = "with " + ids(o.With)
		}
		say = append(say, fmt.Sprintf("%s %s (%s off)", quantity(float64(o.Size), u), with, signed(float64(o.With.Err), u)))
	}
	return strings.Join(say, ", or ")
}
