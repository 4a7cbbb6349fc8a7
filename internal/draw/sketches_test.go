package draw_test

import (
	"slices"
	"strings"
	"testing"

	"endfloat/calc/catalog"
	"endfloat/internal/draw"
)

// Every picture that a sum asks for is drawn, and none is drawn for nothing. The
// symbols on it are those of its sums, and each sum finds its own there.
func TestSketchesOfSums(t *testing.T) {
	declared := map[string][]string{}
	count := 0
	for _, s := range catalog.All() {
		if s.Picture == "" {
			continue
		}
		count++
		d := draw.Sketch(s.Picture)
		if d == nil {
			t.Errorf("%s: there is no picture %q", s.Name, s.Picture)
			continue
		}
		var own []string
		for _, in := range s.Inputs {
			own = append(own, in.Symbol)
		}
		for _, o := range s.Outputs {
			own = append(own, o.Symbol)
		}
		declared[s.Picture] = append(declared[s.Picture], own...)
		shown := slices.DeleteFunc(symbolsOf(d), func(x string) bool { return !slices.Contains(own, x) })
		if len(shown) < 1 {
			t.Errorf("%s: none of its symbols is on the picture %q", s.Name, s.Picture)
		}
	}
	if count < 12 {
		t.Errorf("%d sums have a picture", count)
	}
	for _, key := range draw.Sketches() {
		for _, x := range symbolsOf(draw.Sketch(key)) {
			if !slices.Contains(declared[key], x) {
				t.Errorf("%s: the symbol %q belongs to no sum with this picture", key, x)
			}
		}
	}
	if draw.Sketch("") != nil || draw.Sketch("no such") != nil {
		t.Error("a picture without a key")
	}
}

// symbolsOf are the symbols at the end of a picture's title.
func symbolsOf(d *draw.Drawing) []string {
	_, list, _ := strings.Cut(d.Title, ": ")
	return strings.Split(list, ", ")
}

// What is written on a sketch lies on it, is large enough on a phone of 390 px, and
// covers no other words.
func TestSketchesCanBeRead(t *testing.T) {
	const phone = 358.0 // px for a picture, the margins taken off
	for _, key := range draw.Sketches() {
		d := draw.Sketch(key)
		var words []draw.Item
		for _, it := range d.Groups[0].Items {
			if b := it.Bounds(); b.X0 < 0 || b.Y0 < 0 || b.X1 > d.W || b.Y1 > d.H {
				t.Errorf("%s: %q leaves the sheet: %+v", key, it.Text, b)
			}
			if it.Text == "" {
				continue
			}
			if px := it.Size * phone / d.W; px < 13 {
				t.Errorf("%s: %q is %.1f px high", key, it.Text, px)
			}
			for _, w := range words {
				if w.Bounds().Overlaps(it.Bounds()) {
					t.Errorf("%s: %q and %q lie on each other", key, w.Text, it.Text)
				}
			}
			words = append(words, it)
		}
	}
}
