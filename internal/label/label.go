// Package label is what stands on a tag of a piece or a bag: the words for
// people, the code for cameras, and how a code is read back from a picture.
//
// A code holds the tag itself and not only a number for it, so that a label is
// worth something without this program. It is a QR code (ISO/IEC 18004) of level
// H, which is still read with a third of it under oil.
package label

import (
	"errors"
	"fmt"
	"image"
	"math"
	"net/url"
	"strings"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"
	"github.com/makiuchi-d/gozxing/qrcode/detector"
	"rsc.io/qr"
	"rsc.io/qr/coding"
)

// prefix tells a label of ours from a supplier's. With it the tag of a piece
// still fits into the smallest code there is.
const prefix = "EF:"

// path leads to a tag under a workshop's address.
const path = "/T/"

// Label is what one label says.
type Label struct {
	Tag    string `json:"tag"`             // of a piece; of a bag or tray its place
	Bag    bool   `json:"bag,omitempty"`   // it goes on what pieces lie in
	Letter string `json:"letter"`          // of the unit
	Unit   string `json:"unit"`            // its name
	Colour string `json:"colour"`          // of its tape
	Name   string `json:"name"`            // what it is; of a bag what lies in it
	Says   string `json:"says,omitempty"`  // marks, thickness, count
	Place  string `json:"place,omitempty"` // where the piece goes while it is off
	Code   string `json:"code"`            // what the code holds
}

// Text is what the code of a tag holds. With the address of the workshop, such
// as http://192.168.1.20:8080, a phone's own camera opens the page of the piece;
// without one the code serves this program alone and is as coarse as can be.
// The address is in capitals, which a code holds in less room.
func Text(site, tag string) string {
	if site = strings.TrimRight(site, "/"); site == "" {
		return prefix + tag
	}
	return strings.ToUpper(site) + path + url.QueryEscape(tag)
}

// Tag is the tag that a code names, whether it holds the tag or an address. A
// code of another kind is no label of ours.
func Tag(text string) (string, bool) {
	text = strings.TrimSpace(text)
	if len(text) > len(prefix) && strings.EqualFold(text[:len(prefix)], prefix) {
		return strings.TrimSpace(text[len(prefix):]), true
	}
	if i := strings.LastIndex(strings.ToUpper(text), path); i > 0 && strings.Contains(text[:i], "://") {
		tag, err := url.QueryUnescape(text[i+len(path):])
		return strings.TrimSpace(tag), err == nil && strings.TrimSpace(tag) != ""
	}
	return "", false
}

// Finest is the version that labels have where there is room: with 29 modules a
// side, its code words are small against a drop of oil, and what is left of the
// code beside the finder patterns is twice that of the smallest.
const Finest = 3

// Encode makes the code of a label, of that version or of the least above it that
// holds the text: dark modules in a square of Size.
func (l Label) Encode(version int) (*qr.Code, error) {
	var text coding.Encoding = coding.String(l.Code)
	if a := coding.Alpha(l.Code); a.Check() == nil {
		text = a
	}
	v := coding.Version(max(version, int(coding.MinVersion)))
	for ; v <= largest; v++ {
		if text.Bits(v) <= v.DataBytes(coding.H)*8 {
			break
		}
	}
	if v > largest {
		return nil, fmt.Errorf("label %s: its tag is too long for a code", l.Tag)
	}
	plan, err := coding.NewPlan(v, coding.H, 0)
	if err != nil {
		return nil, fmt.Errorf("label %s: %w", l.Tag, err)
	}
	c, err := plan.Encode(text)
	if err != nil {
		return nil, fmt.Errorf("label %s: %w", l.Tag, err)
	}
	return &qr.Code{Bitmap: c.Bitmap, Size: c.Size, Stride: c.Stride, Scale: 1}, nil
}

// ErrNoCode is returned when a picture shows no code that can be read.
var ErrNoCode = errors.New("no label was found in the picture: hold the camera straight over it, one label at a time, and fill half the picture with it")

// Read finds the code in a picture and returns what it holds. A code is looked
// for at several sizes, for a sharp one may be small and a blurred one large.
func Read(img image.Image) (string, error) {
	for _, shrink := range []int{1, 2, 4} {
		small := halved(img, shrink)
		if small == nil {
			break
		}
		for _, bin := range []func(gozxing.LuminanceSource) gozxing.Binarizer{gozxing.NewHybridBinarizer, gozxing.NewGlobalHistgramBinarizer} {
			if text, ok := read(small, bin); ok {
				return text, nil
			}
		}
	}
	return "", ErrNoCode
}

func read(img image.Image, bin func(gozxing.LuminanceSource) gozxing.Binarizer) (text string, ok bool) {
	defer func() { // a reader that trips over noise has found nothing
		if recover() != nil {
			text, ok = "", false
		}
	}()
	bmp, err := gozxing.NewBinaryBitmap(bin(gozxing.NewLuminanceSourceFromImage(img)))
	if err != nil {
		return "", false
	}
	hints := map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true}
	if r, err := qrcode.NewQRCodeReader().Decode(bmp, hints); err == nil {
		return r.GetText(), true
	}
	return flat(bmp, hints)
}

// flat reads a code by its three finder patterns alone, as if it lay flat: oil
// over the small pattern at the fourth corner misleads the usual way.
func flat(bmp *gozxing.BinaryBitmap, hints map[gozxing.DecodeHintType]any) (string, bool) {
	bits, err := bmp.GetBlackMatrix()
	if err != nil {
		return "", false
	}
	three, err := detector.NewFinderPatternFinder(bits, nil).Find(hints)
	if err != nil {
		return "", false
	}
	tl, tr, bl := three.GetTopLeft(), three.GetTopRight(), three.GetBottomLeft()
	module := (tl.GetEstimatedModuleSize() + tr.GetEstimatedModuleSize() + bl.GetEstimatedModuleSize()) / 3
	about := (gozxing.ResultPoint_Distance(tl, tr)+gozxing.ResultPoint_Distance(tl, bl))/2/module + 7
	for size := 21; size <= 17+4*largest; size += 4 {
		if math.Abs(float64(size)-about) > 5 {
			continue
		}
		for _, mend := range []func(*gozxing.BitMatrix){func(*gozxing.BitMatrix) {}, format} {
			grid, err := detector.Detector_sampleGrid(bits, detector.Detector_createTransform(tl, tr, bl, nil, size), size)
			if err != nil {
				continue
			}
			mend(grid)
			if r, err := decoder.NewDecoder().Decode(grid, hints); err == nil {
				return r.GetText(), true
			}
		}
	}
	return "", false
}

// format writes the format information of our own labels, level H and mask 0,
// over what oil has left of it (ISO/IEC 18004, annex C: 001011010001001).
func format(grid *gozxing.BitMatrix) {
	const h0 = 0b001011010001001
	for i := range 15 {
		x, y := i, 8
		switch {
		case i == 6:
			x = 7
		case i == 7:
			x = 8
		case i == 8:
			x, y = 8, 7
		case i > 8:
			x, y = 8, 14-i
		}
		if grid.Get(x, y) != (h0>>(14-i)&1 == 1) {
			grid.Flip(x, y)
		}
	}
}

// largest is the version of the largest code that a label has.
const largest = 10

// halved is a grey picture of 1/k of the size, each pixel the mean of k × k; nil
// when that is too small to hold a code.
func halved(src image.Image, k int) image.Image {
	b := src.Bounds()
	w, h := b.Dx()/k, b.Dy()/k
	if w < 40 || h < 40 {
		return nil
	}
	out := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			var sum uint32
			for j := range k {
				for i := range k {
					r, g, bl, _ := src.At(b.Min.X+x*k+i, b.Min.Y+y*k+j).RGBA()
					sum += (306*(r>>8) + 601*(g>>8) + 117*(bl>>8)) >> 10
				}
			}
			out.Pix[y*out.Stride+x] = uint8(sum / uint32(k*k))
		}
	}
	return out
}
