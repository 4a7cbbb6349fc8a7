package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"image/png"
	"iter"

	"golang.org/x/image/vp8"
)

// found is what is known of a file before it is decoded.
type found struct {
	w, h   int
	turn   int // orientation as Exif has it, 1 to 8
	memory int // bytes that decoding takes
	decode func(raw []byte) (image.Image, error)
}

// strangers are files that people send for photos, with what to do instead.
var strangers = []struct {
	at    int
	magic string
	says  string
}{
	{0, "GIF8", "this is a GIF, which may move: send a still photo as JPEG"},
	{4, "ftyphei", "this is a HEIC photo, which cannot be read here: set the camera to store JPEG"},
	{4, "ftyphev", "this is a HEIC photo, which cannot be read here: set the camera to store JPEG"},
	{4, "ftypmif1", "this is a HEIC photo, which cannot be read here: set the camera to store JPEG"},
	{4, "ftypavi", "this is an AVIF picture, which cannot be read here: send it as JPEG"},
	{4, "ftyp", "this is a film: send a still photo as JPEG"},
	{0, "%PDF", "this is a PDF: send the photo itself, as JPEG, PNG or WebP"},
	{0, "PK\x03\x04", "this is an archive: send the photo itself, as JPEG, PNG or WebP"},
	{0, "II*\x00", "this is a TIFF or raw photo: set the camera to store JPEG"},
	{0, "MM\x00*", "this is a TIFF or raw photo: set the camera to store JPEG"},
	{0, "BM", "this is a BMP picture: send it as JPEG or PNG"},
}

// look finds out what a file is and how much it would take, without decoding it.
func look(raw []byte) (*found, error) {
	if len(raw) == 0 {
		return nil, refuse("the photo is empty: take it again")
	}
	if len(raw) > MaxBytes {
		return nil, refuse("the photo is larger than %d MB: take it at a smaller size", MaxBytes>>20)
	}
	var f *found
	var err error
	switch {
	case bytes.HasPrefix(raw, []byte("\xFF\xD8\xFF")):
		f, err = lookJPEG(raw)
	case bytes.HasPrefix(raw, []byte("\x89PNG\r\n\x1a\n")):
		f, err = lookPNG(raw)
	case len(raw) > 12 && string(raw[:4]) == "RIFF" && string(raw[8:12]) == "WEBP":
		f, err = lookWebP(raw)
	default:
		return nil, stranger(raw)
	}
	switch {
	case err != nil:
		return nil, err
	case f.w <= 0 || f.h <= 0:
		return nil, errDamaged
	case f.w > 1<<16 || f.h > 1<<16 || f.memory > MaxDecoded:
		return nil, refuse("the photo has %d × %d pixels, more than can be unpacked here: take it at a smaller size", f.w, f.h)
	}
	return f, nil
}

func stranger(raw []byte) error {
	for _, s := range strangers {
		if len(raw) >= s.at && bytes.HasPrefix(raw[s.at:], []byte(s.magic)) {
			return refuse("%s", s.says)
		}
	}
	if head := raw[:min(len(raw), 1024)]; bytes.Contains(bytes.ToLower(head), []byte("<svg")) {
		return refuse("this is a drawing (SVG), not a photo: send a JPEG, PNG or WebP")
	}
	return refuse("this is not a photo that can be read: send a JPEG, PNG or WebP")
}

// maxScans is how many passes over the picture a JPEG may have. Cameras make
// one, progressive files about ten; each costs the time of the whole picture.
const maxScans = 24

func lookJPEG(raw []byte) (*found, error) {
	cfg, err := jpeg.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return nil, errDamaged
	}
	f := &found{w: cfg.Width, h: cfg.Height, turn: 1, decode: func(raw []byte) (image.Image, error) { return jpeg.Decode(bytes.NewReader(raw)) }}
	cells, progressive := 3.0, false
	for s := range segments(raw) {
		switch {
		case s.mark == 0xE1 && bytes.HasPrefix(s.body, []byte("Exif\x00\x00")):
			f.turn = orientation(s.body[6:])
		case s.mark >= 0xC0 && s.mark <= 0xC2 && len(s.body) >= 6:
			progressive, cells = s.mark == 0xC2, samples(s.body)
		}
	}
	// A sample takes a byte, and four more while a progressive file is put together.
	per := cells
	if progressive {
		per *= 5
	}
	f.memory = int(float64(f.w) * float64(f.h) * per)
	if n := bytes.Count(raw, []byte{0xFF, 0xDA}); n > maxScans {
		return nil, refuse("the photo is made of %d passes, as no camera makes it: take it again", n)
	}
	return f, nil
}

// samples is how many samples a JPEG has for each pixel: 3 in full, 1.5 with
// the colours at half width and height, 1 in grey.
func samples(sof []byte) float64 {
	n, widest, sum := int(sof[5]), 0, 0
	for i := range n {
		if 6+3*i+1 >= len(sof) {
			return 4
		}
		k := int(sof[6+3*i+1]>>4) * int(sof[6+3*i+1]&15)
		widest, sum = max(widest, k), sum+k
	}
	if widest == 0 || n == 1 {
		return 1
	}
	return float64(sum) / float64(widest)
}

// segment is one marker of a JPEG with what it holds.
type segment struct {
	mark byte
	body []byte
}

// segments runs through the head of a JPEG, up to its picture.
func segments(raw []byte) iter.Seq[segment] {
	return func(yield func(segment) bool) {
		for i := 2; i+4 <= len(raw) && raw[i] == 0xFF; {
			if raw[i+1] == 0xFF { // fill
				i++
				continue
			}
			size := int(binary.BigEndian.Uint16(raw[i+2:]))
			if raw[i+1] == 0xDA || size < 2 || i+2+size > len(raw) || !yield(segment{raw[i+1], raw[i+4 : i+2+size]}) {
				return
			}
			i += 2 + size
		}
	}
}

func lookPNG(raw []byte) (*found, error) {
	cfg, err := png.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return nil, errDamaged
	}
	f := &found{w: cfg.Width, h: cfg.Height, turn: 1, decode: func(raw []byte) (image.Image, error) { return png.Decode(bytes.NewReader(raw)) }}
	// Up to four samples of a byte or two; interlaced files are put together of
	// parts that are there besides.
	per := 4
	if len(raw) > 28 && raw[24] == 16 {
		per = 8
	}
	if len(raw) > 28 && raw[28] != 0 {
		per += per / 2
	}
	if float64(f.w)*float64(f.h)*float64(per) > MaxDecoded {
		f.memory = MaxDecoded + 1
		return f, nil
	}
	f.memory = f.w * f.h * per
	for i := 8; i+12 <= len(raw); {
		n, kind := int(binary.BigEndian.Uint32(raw[i:])), string(raw[i+4:i+8])
		if n > len(raw)-i-12 {
			break // the decoder says so better
		}
		switch kind {
		case "acTL":
			return nil, refuse("this picture moves: send a still photo")
		case "eXIf":
			f.turn = orientation(raw[i+8 : i+8+n])
		}
		i += 12 + n
	}
	return f, nil
}

// lookWebP finds the picture of a WebP file (RFC 9649). Only the kind that
// cameras make is taken, with loss: its decoder needs no more memory than its
// size says, which the other kind's does not promise.
func lookWebP(raw []byte) (*found, error) {
	f := &found{turn: 1}
	var picture []byte
	for i := 12; i+8 <= len(raw); {
		kind, n := string(raw[i:i+4]), int(binary.LittleEndian.Uint32(raw[i+4:]))
		if n > len(raw)-i-8 {
			return nil, errDamaged
		}
		body := raw[i+8 : i+8+n]
		switch kind {
		case "VP8X":
			if n > 0 && body[0]&0x02 != 0 {
				return nil, refuse("this picture moves: send a still photo")
			}
		case "ANIM", "ANMF":
			return nil, refuse("this picture moves: send a still photo")
		case "VP8L":
			return nil, refuse("this WebP is of the kind without loss, which is not taken: send it as JPEG or PNG")
		case "VP8 ":
			picture = body
		case "EXIF":
			f.turn = orientation(bytes.TrimPrefix(body, []byte("Exif\x00\x00")))
		}
		i += 8 + n + n&1
	}
	d := vp8.NewDecoder()
	d.Init(bytes.NewReader(picture), len(picture))
	head, err := d.DecodeFrameHeader()
	if err != nil || !head.KeyFrame {
		return nil, errDamaged
	}
	f.w, f.h = head.Width, head.Height
	f.memory = f.w * f.h * 3
	f.decode = func([]byte) (image.Image, error) { return d.DecodeFrame() }
	return f, nil
}

// orientation reads tag 0x0112 of a TIFF block (Exif 2.3): 1 to 8, 1 when there
// is none.
func orientation(t []byte) int {
	if len(t) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.BigEndian
	if t[0] == 'I' {
		order = binary.LittleEndian
	}
	at := int(order.Uint32(t[4:]))
	if at < 8 || at+2 > len(t) {
		return 1
	}
	n := int(order.Uint16(t[at:]))
	for i := at + 2; n > 0 && i+12 <= len(t); n, i = n-1, i+12 {
		if order.Uint16(t[i:]) == 0x0112 {
			if o := int(order.Uint16(t[i+8:])); o >= 1 && o <= 8 {
				return o
			}
			return 1
		}
	}
	return 1
}
