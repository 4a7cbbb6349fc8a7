package draw_test

import (
	"fmt"
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
