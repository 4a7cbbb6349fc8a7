package shop_test

import (
	"errors"
	"image"
	"strings"
	"testing"

	"endfloat/internal/job"
	"endfloat/internal/plan"
	"endfloat/internal/shop"
)

// picture keeps a photo unlike the others and returns its key.
func (w told) picture(t *testing.T, shade uint8) string {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 64, 48))
	for i := range img.Pix {
		img.Pix[i] = shade
	}
	key, err := w.PhotoIn(t.Context(), photo(t, img))
	if err != nil {
		t.Fatal(err)
	}
	return key
}

// Each photo is listed once, at its position and step; a struck entry takes its
// photo along; the same position of the other units stands beside it.
func TestGallery(t *testing.T) {
	w := small(t)
	var k [8]string
	for i := range k {
		k[i] = w.picture(t, uint8(30*i+10))
	}
	w.record(t, "linnet", job.Received{Complete: "all", Sides: map[string]string{"left": k[0]}},
		job.TakenOff{Position: "C07", Photos: []string{k[1]}},
		job.Looked{Position: "C07", At: "threads", Saw: "good", Photos: []string{k[2]}},
		job.Decided{Position: "C07", Choice: "reuse"},
		job.Noted{Text: "the plug", Position: "C07", Photos: []string{k[1], k[3]}}, // k[1] again
		job.Pattern{Drive: job.Contact{Height: "mid", End: "toe"}, Coast: job.Contact{Height: "mid", End: "toe"}, Photos: []string{k[4]}})
	w.record(t, "dunnock", job.TakenOff{Position: "C07", Photos: []string{k[5]}})
	d := w.record(t, "linnet", job.Noted{Text: "wrong one", Position: "C07", Photos: []string{k[6]}})
	d = w.record(t, "linnet", job.Struck{Entry: d.Entries[len(d.Entries)-1].ID})
	var got []string
	for _, p := range d.Photos() {
		got = append(got, strings.TrimSpace(p.Step+" "+p.Position))
	}
	if s := strings.Join(got, ", "); s != "received, as found C07, inspected C07, noted C07, proven" {
		t.Errorf("photos: %s", s)
	}
	if n := len(d.PhotosAt("C07")); n != 3 {
		t.Errorf("%d photos of C07", n)
	}
	beside, err := w.Beside(t.Context(), d, "C07")
	if err != nil || len(beside) != 1 || beside[0].Unit != "Dunnock" || len(beside[0].Photos) != 1 || beside[0].Photos[0].Key != k[5] {
		t.Errorf("beside: %+v, %v", beside, err)
	}
	for _, p := range d.Photos() {
		if !shop.IsPhotoStep(p.Step) {
			t.Errorf("%q is no step", p.Step)
		}
	}
	if n := len(shop.Steps(d.Photos())); n != 5 {
		t.Errorf("%d steps of %v have photos, wanted 5", n, plan.PhotoSteps)
	}
	if p, err := d.Photo(strings.ToUpper(k[1][:8])); err != nil || p.Key != k[1] {
		t.Errorf("by the beginning of its key: %v", err)
	}
	for _, bad := range []string{"", k[1][:5], k[7], "zzzzzzz"} { // k[7] is in no book
		if _, err := d.Photo(bad); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("%q: %v", bad, err)
		}
	}
	if x, y, err := w.PhotoSize(t.Context(), k[1]); x != 64 || y != 48 || err != nil {
		t.Errorf("size %d × %d, %v", x, y, err)
	}
}

// A mark is kept as it was drawn, over a photo of this book; the photo stays.
func TestDrawn(t *testing.T) {
	w := small(t)
	mine, other := w.picture(t, 40), w.picture(t, 90)
	w.record(t, "dunnock", job.TakenOff{Position: "C07", Photos: []string{other}})
	w.record(t, "linnet", job.TakenOff{Position: "C07", Photos: []string{mine}})
	before, err := w.Blob(t.Context(), mine)
	if err != nil {
		t.Fatal(err)
	}
	d := w.record(t, "linnet",
		job.Drawn{Photo: mine, Shape: "arrow", X: 0.25, Y: 0.5, From: &job.Point{X: 1, Y: 0}, Says: "  dot "},
		job.Drawn{Photo: mine, Shape: "circle", X: 1, Y: 1, R: 0.5}, job.Drawn{Photo: mine, Shape: "toe"}, job.Drawn{Photo: mine, Shape: "text", Says: "worn"})
	ms := d.Photos()[0].Marks
	if len(ms) != 4 || ms[0].Is.Says != "dot" || *ms[0].Is.From != (job.Point{X: 1}) || ms[1].Is.R != 0.5 {
		t.Errorf("marks: %+v", ms)
	}
	after, err := w.Blob(t.Context(), mine)
	if err != nil || string(after) != string(before) {
		t.Errorf("the photo changed, or %v", err)
	}
	nan := 0.0
	nan /= nan
	for what, b := range map[string]job.Drawn{
		"no such shape":     {Photo: mine, Shape: "star", X: .5, Y: .5},
		"outside":           {Photo: mine, Shape: "arrow", X: 1.01, Y: .5},
		"no number":         {Photo: mine, Shape: "arrow", X: nan},
		"from outside":      {Photo: mine, Shape: "arrow", From: &job.Point{Y: -0.1}},
		"too wide":          {Photo: mine, Shape: "circle", R: 0.51},
		"without words":     {Photo: mine, Shape: "text", Says: " "},
		"another unit's":    {Photo: other, Shape: "arrow"},
		"of nothing":        {Photo: strings.Repeat("0", 64), Shape: "arrow"},
		"of no photo named": {Shape: "arrow"},
	} {
		if _, err := w.Record(t.Context(), tove, "linnet", b); !errors.Is(err, shop.ErrInvalid) {
			t.Errorf("%s: %v", what, err)
		}
	}
	for text, want := range map[string]float64{"35": .35, " 12,5 % ": .125, "0": 0, "100": 1} {
		if got, err := shop.Share(text); err != nil || got != want {
			t.Errorf("%q is %g, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "-1", "101", "NaN", "half"} {
		if _, err := shop.Share(text); !errors.Is(err, shop.ErrInvalid) {
			t.Errorf("%q: %v", text, err)
		}
	}
}
