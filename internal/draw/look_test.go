package draw_test

import (
	"fmt"
	"math"
	"os"
	"testing"

	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
)

func TestLook(t *testing.T) {
	for _, f := range []string{"bw-4t", "three-speed"} {
		text, _ := os.ReadFile("../demo/" + f + ".gearbox.yaml")
		b, err := gearbox.Read(f, text)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range b.Carriers {
			d := draw.Section(c, draw.Options{Built: b.As("B")})
			save(t, f+"-"+c.ID, d)
			d = draw.Section(c, draw.Options{Built: b.As("B"), State: mixed(c), Link: func(id string) string { return "/x/" + id }})
			save(t, f+"-"+c.ID+"-states", d)
			d = draw.Section(c, draw.Options{Built: b.As("B"), State: mixed(c), Width: 100})
			save(t, f+"-"+c.ID+"-wrap", d)
		}
	}
}

func mixed(c *gearbox.Carrier) func(string) draw.State {
	return func(id string) draw.State {
		p := 0
		for i, q := range c.Order {
			if q.ID == id {
				p = i
			}
		}
		n := len(c.Order)
		switch {
		case p == n/3+1:
			return draw.Missing
		case p == n/3+3:
			return draw.Doubt
		case p <= n/2:
			return draw.Fitted
		case p == n/2+1:
			return draw.Next
		case p < n*3/4:
			return draw.Off
		case p == n-1:
			return draw.Other
		}
		return draw.AsFound
	}
}

func save(t *testing.T, name string, d *draw.Drawing) {
	os.MkdirAll("/tmp/look", 0o755)
	os.WriteFile("/tmp/look/"+name+".svg", []byte(d.SVG()), 0o644)
	png, err := d.PNG(110)
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile("/tmp/look/"+name+".png", png, 0o644)
	fmt.Printf("%s %.0fx%.0f svg %d\n", name, d.W, d.H, len(d.SVG()))
}

func TestLookCharts(t *testing.T) {
	save(t, "c-stack", draw.ShimStack([]draw.Piece{{"d1", 0.000499, "0.499 mm"}, {"d5", 0.00015, "0.150 mm"}}, "0.649 mm"))
	save(t, "c-bar-in", draw.Bar(0.10, 0.20, 0.16, 0.02, draw.Marks{Lo: "0.10", Hi: "0.20", Value: "0.16 ± 0.02", Words: "in", Verdict: draw.In, Target: 0.15}))
	save(t, "c-bar-out", draw.Bar(0.10, 0.20, 0.263, 0.006, draw.Marks{Lo: "0.10", Hi: "0.20", Value: "0.263 ± 0.006", Words: "out", Verdict: draw.Out}))
	save(t, "c-bar-close", draw.Bar(0.10, 0.20, 0.19, 0.02, draw.Marks{Lo: "0.10", Hi: "0.20", Value: "0.19 ± 0.02", Words: "too close to call: measure again", Verdict: draw.TooClose}))
	save(t, "c-bar-open", draw.Bar(0.5, math.Inf(1), 0.62, 0.02, draw.Marks{Lo: "0.50", Value: "0.62", Words: "in", Verdict: draw.In}))
	save(t, "c-chain", draw.Chain("gear 1 float", []draw.Link{{Name: "P07 width", Value: 0.0342, Text: "34.20"}, {Name: "P08 width", Value: -0.03398, Text: "33.98"}}, draw.Link{Name: "gear 1 float", Value: 0.00022, Text: "0.22 mm"}))
	save(t, "c-chain2", draw.Chain("primary end float", []draw.Link{{Name: "recess H", Value: 0.01887, Text: "18.87"}, {Name: "C05 gasket crushed", Value: 0.00028, Text: "0.28"}, {Name: "stand-up P", Value: -0.01844, Text: "18.44"}, {Name: "Q13 end-float shim", Value: -0.00055, Text: "0.55", Seat: true}}, draw.Link{Name: "end float", Value: 0.00016, Text: "0.16 mm"}))
	for _, k := range [][2]string{{"gear", "cone"}, {"hub", "long boss"}, {"taper bearing", "big end"}, {"sleeve", "ring groove"}, {"seal", "lip"}, {"washer", "groove"}, {"baulk ring", "lugs"}} {
		save(t, "f-"+k[0], draw.FaceChoice(k[0], k[1], "nut", [2]string{"head", "nut"}))
	}
	save(t, "f-gear-l", draw.FaceChoice("gear", "cone", "head", [2]string{"head", "nut"}))
}
