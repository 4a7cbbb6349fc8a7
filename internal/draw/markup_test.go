package draw

import (
	"strings"
	"testing"

	"endfloat/internal/job"
)

// What is drawn stands where it was put, whatever the shape of the photo, and
// stays within it.
func TestMarkup(t *testing.T) {
	marks := []job.Drawn{
		{Shape: "arrow", X: 0.25, Y: 0.5, From: &job.Point{X: 0.75, Y: 0.1}, Says: "dot to hub dot"},
		{Shape: "arrow", X: 1, Y: 0},
		{Shape: "circle", X: 0.5, Y: 0.5, R: 0.2, Says: "stepped"},
		{Shape: "toe", X: 0, Y: 1}, {Shape: "heel", X: 1, Y: 1, Says: "worn here"},
		{Shape: "text", X: 0.5, Y: 0.5, Says: strings.Repeat("a very long remark ", 9)},
	}
	for _, size := range [][2]int{{2560, 1920}, {1920, 2560}, {320, 320}, {4000, 300}} {
		d := Markup(marks, size[0], size[1])
		if max(d.W, d.H) != markEdge || d.W*float64(size[1]) < d.H*float64(size[0])*0.999 || d.W*float64(size[1]) > d.H*float64(size[0])*1.001 {
			t.Fatalf("%v: drawn on %g × %g", size, d.W, d.H)
		}
		tip := d.Groups[0].Items[1].Path
		if got, want := tip[1].P[0], (Pt{0.25 * d.W, 0.5 * d.H}); got != want {
			t.Errorf("%v: the arrow points at %v, wanted %v", size, got, want)
		}
		if got, want := tip[0].P[0], (Pt{0.75 * d.W, 0.9 * d.H}); got != want {
			t.Errorf("%v: the arrow comes from %v, wanted %v", size, got, want)
		}
		if b := d.Groups[2].Items[1].Path.Bounds(); b.X1-b.X0 < 0.39*d.W || b.X1-b.X0 > 0.41*d.W {
			t.Errorf("%v: the circle is %g wide of %g", size, b.X1-b.X0, d.W)
		}
		words := d.Groups[len(d.Groups)-1]
		var boxes []Box
		for _, it := range words.Items {
			if it.Text != "" {
				continue
			}
			b := it.Path.Bounds()
			if b.X0 < 0 || b.X1 > d.W || b.Y0 < -1 || b.Y1 > d.H+1 {
				t.Errorf("%v: words lie at %+v, outside %g × %g", size, b, d.W, d.H)
			}
			boxes = append(boxes, b)
		}
		for i := range boxes {
			for j := range i {
				if boxes[i].Overlaps(boxes[j]) && d.H > 60 {
					t.Errorf("%v: words %d hide words %d", size, i, j)
				}
			}
		}
		svg := d.SVG()
		for _, want := range []string{"dot to hub dot", "toe", "heel: worn here", `class="paper`, `class="accent`} {
			if !strings.Contains(svg, want) {
				t.Errorf("%v: no %q in\n%s", size, want, svg)
			}
		}
	}
	if svg := Markup([]job.Drawn{{Shape: "text", Says: `<script>"&`}}, 10, 10).SVG(); strings.Contains(svg, "<script") {
		t.Errorf("not escaped: %s", svg)
	}
}
