package web

import (
	"bytes"
	"encoding/json"
	"image"
	"image/png"
	"strings"
	"testing"

	"endfloat/internal/label"
)

// shot is a photo of a label.
func shot(t *testing.T, text string) []byte {
	t.Helper()
	c, err := label.Label{Code: text}.Encode(label.Finest)
	if err != nil {
		t.Fatal(err)
	}
	const px = 8
	img := image.NewGray(image.Rect(0, 0, (c.Size+8)*px, (c.Size+8)*px))
	for i := range img.Pix {
		img.Pix[i] = 255
		if x, y := i%img.Stride/px-4, i/img.Stride/px-4; x >= 0 && y >= 0 && x < c.Size && y < c.Size && c.Black(x, y) {
			img.Pix[i] = 0
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
