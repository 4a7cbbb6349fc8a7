package report

import (
	"bytes"
	"encoding/gob"
	"fmt"

	"codeberg.org/go-pdf/fpdf"
)

// pinOrder widens an image by k millionths of a dot. fpdf sorts its images by
// width only, over a map, so that two of equal width come out in any order and
// the bytes of the book differ from run to run. The width is not exported, but
// the image can be encoded and decoded.
func pinOrder(info *fpdf.ImageInfoType, k int) error {
	b, err := info.GobEncode()
	if err != nil {
		return fmt.Errorf("image: %w", err)
	}
	var (
		data, mask, palette []byte
		n, bpc              int
		w, h, scale, dpi    float64
		space, filter, dp   string
		transparent         []int
	)
	fields := []any{&data, &mask, &n, &w, &h, &space, &palette, &bpc, &filter, &dp, &transparent, &scale, &dpi}
	d := gob.NewDecoder(bytes.NewReader(b))
	for _, x := range fields {
		if err := d.Decode(x); err != nil {
			return fmt.Errorf("image: %w", err)
		}
	}
	w += float64(k) * 1e-6
	var out bytes.Buffer
	e := gob.NewEncoder(&out)
	for _, x := range []any{data, mask, n, w, h, space, palette, bpc, filter, dp, transparent, scale, dpi} {
		if err := e.Encode(x); err != nil {
			return fmt.Errorf("image: %w", err)
		}
	}
	return info.GobDecode(out.Bytes())
}
