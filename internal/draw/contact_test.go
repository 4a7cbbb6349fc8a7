package draw_test

import (
	"strings"
	"testing"

	"endfloat/internal/draw"
)

// The patch lies where its words say: toe left of heel, high above low, and
// within the flank.
func TestContact(t *testing.T) {
	at := func(height, end string) draw.Box {
		d := draw.Contact("drive", height, end)
		for _, it := range d.Groups[0].Items {
			if it.Fill == draw.Accent && it.Text == "" {
				return it.Path.Bounds()
			}
		}
		t.Fatalf("%s %s: no patch", height, end)
		return draw.Box{}
	}
	for _, h := range []string{"low", "mid", "high"} {
		if a, b, c := at(h, "toe"), at(h, "centre"), at(h, "heel"); !(a.X0 < b.X0 && b.X0 < c.X0) {
			t.Errorf("%s: toe, centre and heel are at %v, %v, %v", h, a, b, c)
		}
	}
	for _, e := range []string{"toe", "centre", "heel"} {
		if a, b, c := at("low", e), at("mid", e), at("high", e); !(a.Y0 < b.Y0 && b.Y0 < c.Y0) {
			t.Errorf("%s: low, mid and high are at %v, %v, %v", e, a, b, c)
		}
	}
	empty := draw.Contact("coast", "", "")
	for _, it := range empty.Groups[0].Items {
		if it.Fill == draw.Accent {
			t.Error("an unknown contact has a patch")
		}
	}
	if !strings.Contains(empty.SVG(), "coast") {
		t.Error("the flank is not named")
	}
}
