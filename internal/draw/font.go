package draw

import (
	"sync"

	"github.com/go-fonts/dejavu/dejavusans"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// sheetFont is the face by which all text is measured and pictures are
// lettered. It is wide, so what fits in it fits in the faces of a page too.
var sheetFont = sync.OnceValue(func() *opentype.Font {
	f, err := opentype.Parse(dejavusans.TTF)
	if err != nil {
		panic("draw: the built-in font cannot be read: " + err.Error())
	}
	return f
})

// latin are the advances of the common letters, in ems.
var latin = sync.OnceValue(func() [0x180]float64 {
	var adv [0x180]float64
	for r := range adv {
		adv[r] = advance(rune(r))
	}
	return adv
})

func advance(r rune) float64 {
	const em = 1024
	f := sheetFont()
	var buf sfnt.Buffer
	g, err := f.GlyphIndex(&buf, r)
	if err != nil {
		return 0.6
	}
	a, err := f.GlyphAdvance(&buf, g, fixed.I(em), font.HintingNone)
	if err != nil {
		return 0.6
	}
	return float64(a) / 64 / em
}

// textWidth is the width of a line of text in mm.
func textWidth(s string, size float64, bold bool) float64 {
	adv, w := latin(), 0.0
	for _, r := range s {
		if int(r) < len(adv) {
			w += adv[r]
		} else {
			w += advance(r)
		}
	}
	if bold {
		w *= 1.12
	}
	return w * size
}

// clip shortens a text to a width, with an ellipsis where it was cut.
func clip(s string, size float64, bold bool, width float64) string {
	if textWidth(s, size, bold) <= width {
		return s
	}
	rs := []rune(s)
	for n := len(rs) - 1; n > 0; n-- {
		if t := string(rs[:n]) + "…"; textWidth(t, size, bold) <= width {
			return t
		}
	}
	return "…"
}
