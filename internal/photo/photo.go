// Package photo makes of what a camera wrote the picture that is kept: upright,
// scaled, and nothing but the picture. Bytes go in and bytes come out.
//
// Whatever comes in is decoded and encoded anew, so that the place, the owner
// and whatever else stood beside, behind or within the file is gone. Its size is
// known before it is decoded: a small file cannot unpack into a large memory.
package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"runtime"
)

// Limits on what is taken and on what is kept.
const (
	MaxBytes   = 30 << 20 // of a file
	MaxDecoded = 92e6     // bytes of memory that decoding it takes: 12 MP progressive, 48 MP as cameras write them
	Large      = 2560     // longest edge of the picture that is kept
	SmallEdge  = 640      // longest edge of the one within it, for lists and paper

	heavy = 16 << 20 // memory that is worth giving back at once
)

// ErrRefused is what every refusal is; its text says why and what would mend it.
var ErrRefused = errors.New("photo refused")

type refusal struct{ says string }

func (r *refusal) Error() string { return r.says }
func (r *refusal) Unwrap() error { return ErrRefused }

func refuse(format string, args ...any) error { return &refusal{fmt.Sprintf(format, args...)} }

var errDamaged = refuse("the photo is damaged or did not arrive whole: take it again")

// Make returns the JPEG to keep: upright, at most Large along its longest edge,
// with a small copy of itself inside, and without anything else.
func Make(raw []byte) ([]byte, error) {
	img, err := Open(raw, Large)
	if err != nil {
		return nil, err
	}
	small, err := smallOf(img)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 85}); err != nil {
		return nil, fmt.Errorf("photo: %w", err)
	}
	return within(out.Bytes(), small), nil
}

// Open decodes a photo upright, at most edge along its longest side, on white
// where it is transparent.
func Open(raw []byte, edge int) (img *image.RGBA, err error) {
	f, err := look(raw)
	if err != nil {
		return nil, err
	}
	defer func() { // a decoder that trips over a hostile file is a refusal, not a fall
		if recover() != nil {
			img, err = nil, errDamaged
		}
	}()
	if f.memory > heavy {
		defer runtime.GC() // the next one finds this one's memory free
	}
	src, err := f.decode(raw)
	if err != nil {
		return nil, errDamaged
	}
	if b := src.Bounds(); b.Dx() != f.w || b.Dy() != f.h {
		return nil, errDamaged
	}
	return scaled(src, edge, f.turn), nil
}

// most is the room in a segment of a JPEG for a small picture.
const most = 0xFFFF - 8

// smallOf encodes the small copy so that it fits into one segment.
func smallOf(img *image.RGBA) ([]byte, error) {
	for edge := SmallEdge; edge > 8; edge /= 2 {
		s := scaled(img, edge, 1)
		for q := 75; q >= 35; q -= 20 {
			var b bytes.Buffer
			if err := jpeg.Encode(&b, s, &jpeg.Options{Quality: q}); err != nil {
				return nil, fmt.Errorf("photo: %w", err)
			}
			if b.Len() <= most {
				return b.Bytes(), nil
			}
		}
	}
	return nil, errors.New("photo: no small copy could be made")
}

// within puts the small copy where JFIF 1.02 (ISO/IEC 10918-5) has the
// thumbnail coded as JPEG: an APP0 segment "JFXX", code 0x10, after "JFIF". So
// one photo is one blob, and deleting it deletes both.
func within(large, small []byte) []byte {
	out := make([]byte, 0, len(large)+len(small)+32)
	out = append(out, large[:2]...)
	out = append(out, 0xFF, 0xE0, 0, 16, 'J', 'F', 'I', 'F', 0, 1, 2, 0, 0, 1, 0, 1, 0, 0)
	out = append(out, 0xFF, 0xE0)
	out = binary.BigEndian.AppendUint16(out, uint16(len(small)+8))
	out = append(out, 'J', 'F', 'X', 'X', 0, 0x10)
	out = append(out, small...)
	return append(out, large[2:]...)
}

// Small returns the small copy within a kept photo, or the photo itself where
// it holds none.
func Small(kept []byte) []byte {
	for s := range segments(kept) {
		if s.mark == 0xE0 && len(s.body) > 6 && string(s.body[:6]) == "JFXX\x00\x10" {
			return s.body[6:]
		}
	}
	return kept
}
