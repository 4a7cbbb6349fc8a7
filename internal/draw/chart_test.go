package draw

import (
	"math"
	"strings"
	"testing"
)

// inside reports items off the sheet and coordinates that are no numbers.
func inside(t *testing.T, d *Drawing) {
	t.Helper()
	if s := d.SVG(); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
		t.Errorf("%s: a coordinate is no number", d.Title)
	}
	for _, g := range d.Groups {
		for _, it := range g.Items {
			if b := it.Bounds(); b.X0 < -0.01 || b.Y0 < -0.01 || b.X1 > d.W+0.01 || b.Y1 > d.H+0.01 {
				t.Errorf("%s: item %q at %.1f is off the sheet of %.1f × %.1f", d.Title, it.Text, b, d.W, d.H)
			}
		}
	}
}

func texts(d *Drawing) string {
	var all []string
	for _, g := range d.Groups {
		for _, it := range g.Items {
			if it.Text != "" {
				all = append(all, it.Text)
			}
		}
	}
	return strings.Join(all, "|")
}

func TestShimStack(t *testing.T) {
	d := ShimStack([]Piece{{"s14", 0.002001, "2.001 mm"}, {"s5", 0.000298, "0.298 mm"}, {"s9", 0.000149, "0.149 mm"}}, "2.448 mm")
	inside(t, d)
	if got := texts(d); !strings.Contains(got, "s14|2.001 mm") || !strings.Contains(got, "together 2.448 mm") {
		t.Errorf("says %s", got)
	}
	inside(t, ShimStack(nil, ""))
	inside(t, ShimStack([]Piece{{"x", 0, ""}}, ""))
}

// The value stands where it belongs beside its bounds, and each verdict has
// its own mark.
func TestBar(t *testing.T) {
	inf := math.Inf(1)
	for _, tt := range []struct {
		lo, hi, v, u float64
	}{{0.10, 0.20, 0.16, 0.02}, {0.10, 0.20, 0.263, 0.006}, {0.5, inf, 0.4, 0.1}, {-inf, 0.15, 0.1, 0}, {0.1, 0.2, math.NaN(), math.NaN()},
		{0.1, 0.1, 0.1, 0}, {-inf, inf, 3, 0}, {-inf, inf, math.NaN(), 0}, {0.1, 0.2, 90, 1e9}} {
		inside(t, Bar(tt.lo, tt.hi, tt.v, tt.u, Marks{Lo: "lower", Hi: "upper", Value: "12.345 ± 0.002 mm", Words: "too close to call: measure again", Verdict: TooClose}))
	}
	at := scale(0.10, 0.20, 0.263, 0.006, 6, 90)
	if !(at(0.10) < at(0.20) && at(0.20) < at(0.257)) {
		t.Error("out of order")
	}
	if got := (at(0.20) - at(0.10)) / (at(0.263) - at(0.20)); math.Abs(got-0.10/0.063) > 1e-9 {
		t.Errorf("not to scale: %v", got)
	}
	seen := map[string]bool{}
	for _, v := range []Verdict{In, Out, TooClose} {
		seen[Bar(0.1, 0.2, 0.16, 0.02, Marks{Verdict: v}).SVG()] = true
	}
	if len(seen) != 3 {
		t.Errorf("three verdicts have %d marks", len(seen))
	}
}

// What is drawn of a chain closes as its numbers do: the gap opens to the side
// on which the result lies, and arrows keep the order of their lengths.
func TestChain(t *testing.T) {
	for _, tt := range []struct {
		name   string
		values []float64
	}{
		{"float", []float64{34.20, -33.98}},
		{"interference", []float64{33.98, -34.20}},
		{"three", []float64{18.87, 0.28, -18.44, -0.55}},
		{"only sums", []float64{30, 33.5, 0.41}},
		{"closed", []float64{5, -5}},
		{"only takes", []float64{-1, -2}},
		{"one", []float64{0.2}},
	} {
		var links []Link
		sum := 0.0
		for i, v := range tt.values {
			links = append(links, Link{Name: "a link with a rather long name", Value: v / 1000, Text: "12.345 mm", Seat: i == len(tt.values)-1})
			sum += v
		}
		lens := arrows(links, sum/1000, 80, 14)
		drawn := 0.0
		for i, l := range lens {
			drawn += l
			if l*tt.values[i] <= 0 {
				t.Errorf("%s: link %d of %v is drawn %.1f", tt.name, i, tt.values[i], l)
			}
			for j := range i {
				if a, b := tt.values[i], tt.values[j]; a*b > 0 && (math.Abs(a) < math.Abs(b)) != (math.Abs(lens[i]) < math.Abs(lens[j])) {
					t.Errorf("%s: links %d and %d swap their order", tt.name, i, j)
				}
			}
		}
		if math.Abs(sum) < 1e-9 != (math.Abs(drawn) < 1e-9) || sum*drawn < 0 {
			t.Errorf("%s: %v comes to %.2f but is drawn %.1f", tt.name, tt.values, sum, drawn)
		}
		inside(t, Chain("setting", links, Link{Name: "setting", Value: sum / 1000, Text: "0.22 mm"}))
	}
	inside(t, Chain("nothing", nil, Link{}))
}

// The picture for the one end is the other's seen in a mirror.
func TestFaceChoice(t *testing.T) {
	ends := [2]string{"head", "nut"}
	for i := range forms {
		kind := forms[i].words
		l, r := FaceChoice(kind, "cone", "head", ends), FaceChoice(kind, "cone", "nut", ends)
		inside(t, l)
		inside(t, r)
		span := func(d *Drawing) (b Box) {
			b = empty
			for _, it := range d.Groups[0].Items {
				if it.Pen.Tone == Accent {
					q := it.Bounds()
					b = b.add(Pt{q.X0, q.Y0}).add(Pt{q.X1, q.Y1})
				}
			}
			return b
		}
		if a, b := span(l), span(r); a.X1 > l.W/2+2 || b.X0 < r.W/2-2 {
			t.Errorf("%s: the face toward head is marked at %.1f, toward nut at %.1f", kind, a, b)
		}
	}
	if got := texts(FaceChoice("gear", "cone", "nut", ends)); got != "head|nut|cone" {
		t.Errorf("says %s", got)
	}
}
