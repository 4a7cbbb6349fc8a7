package shop

import (
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	_ "image/png" // photos may come as PNG

	"golang.org/x/image/draw"
)

// Limits on a photo, so that a small file cannot unpack into a large memory.
const (
	MaxPhotoBytes  = 30 << 20
	maxPhotoPixels = 60e6
	longestEdge    = 2560
)

var oneAtATime = make(chan struct{}, 1)

// PhotoIn checks a photo, scales it to at most 2560 pixels, leaves out all that
// the camera wrote beside the picture (place, owner), keeps it and returns its
// key.
func (sh *Shop) PhotoIn(ctx context.Context, raw []byte) (string, error) {
	if len(raw) > MaxPhotoBytes {
		return "", wrap(ErrInvalid, "the photo is larger than %d MB; take it at a smaller size", MaxPhotoBytes>>20)
	}
	cfg, format, err := image.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return "", wrap(ErrInvalid, "this is not a photo that can be read: send a JPEG or a PNG")
	}
	if float64(cfg.Width)*float64(cfg.Height) > maxPhotoPixels {
		return "", wrap(ErrInvalid, "the photo has %d × %d pixels, more than a photo needs; take it at a smaller size", cfg.Width, cfg.Height)
	}
	select {
	case oneAtATime <- struct{}{}:
		defer func() { <-oneAtATime }()
	case <-ctx.Done():
		return "", ctx.Err()
	}
	img, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		return "", wrap(ErrInvalid, "the photo is damaged: take it again")
	}
	if format == "jpeg" {
		img = upright(img, orientation(raw))
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, scaled(img), &jpeg.Options{Quality: 85}); err != nil {
		return "", fmt.Errorf("photo: %w", err)
	}
	salt := make([]byte, 16)
	if _, err := rand.Read(salt); err != nil {
		return "", fmt.Errorf("photo: %w", err)
	}
	return sh.store.PutBlob(ctx, salt, out.Bytes())
}

// scaled fits a picture into the longest edge, on white where it is transparent.
func scaled(src image.Image) image.Image {
	b := src.Bounds()
	k := min(1, longestEdge/float64(max(b.Dx(), b.Dy())))
	dst := image.NewRGBA(image.Rect(0, 0, max(1, int(float64(b.Dx())*k)), max(1, int(float64(b.Dy())*k))))
	draw.Draw(dst, dst.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	if k == 1 {
		draw.Draw(dst, dst.Bounds(), src, b.Min, draw.Over)
		return dst
	}
	draw.CatmullRom.Scale(dst, dst.Bounds(), src, b, draw.Over, nil)
	return dst
}

// orientation reads tag 0x0112 of the Exif block: 1 to 8, 1 when there is none.
func orientation(b []byte) int {
	for i := 2; i+4 <= len(b) && b[i] == 0xFF; {
		size := int(b[i+2])<<8 | int(b[i+3])
		if b[i+1] == 0xDA || size < 2 || i+2+size > len(b) {
			return 1
		}
		if seg := b[i+4 : i+2+size]; b[i+1] == 0xE1 && len(seg) > 14 && string(seg[:6]) == "Exif\x00\x00" {
			return exifOrientation(seg[6:])
		}
		i += 2 + size
	}
	return 1
}

func exifOrientation(t []byte) int {
	little := t[0] == 'I'
	u16 := func(i int) int {
		if i < 0 || i+2 > len(t) {
			return 0
		}
		if little {
			return int(t[i]) | int(t[i+1])<<8
		}
		return int(t[i])<<8 | int(t[i+1])
	}
	at := u16(4) | u16(6)<<16
	if !little {
		at = u16(4)<<16 | u16(6)
	}
	for n, i := u16(at), at+2; n > 0; n, i = n-1, i+12 {
		if u16(i) == 0x0112 {
			if o := u16(i + 8); o >= 1 && o <= 8 {
				return o
			}
			return 1
		}
	}
	return 1
}

// upright turns a picture as its camera was held.
func upright(src image.Image, o int) image.Image {
	if o <= 1 {
		return src
	}
	b := src.Bounds()
	w, h := b.Dx(), b.Dy()
	if o >= 5 {
		w, h = h, w
	}
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range b.Dy() {
		for x := range b.Dx() {
			u, v := x, y
			switch o {
			case 2:
				u = w - 1 - x
			case 3:
				u, v = w-1-x, h-1-y
			case 4:
				v = h - 1 - y
			case 5:
				u, v = y, x
			case 6:
				u, v = w-1-y, x
			case 7:
				u, v = w-1-y, h-1-x
			case 8:
				u, v = y, h-1-x
			}
			dst.Set(u, v, src.At(b.Min.X+x, b.Min.Y+y))
		}
	}
	return dst
}
