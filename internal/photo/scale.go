package photo

import (
	"image"
	"image/color"
)

// scaled turns a picture upright and fits it into the longest edge. Each pixel
// is the mean of the area that it covers. A row at a time is worked on, so that
// no second picture of the full size is ever in memory.
func scaled(src image.Image, edge, turn int) *image.RGBA {
	b := src.Bounds()
	sw, sh := b.Dx(), b.Dy()
	w, h := sw, sh
	if long := max(sw, sh); long > edge {
		w, h = max(1, (sw*edge+long/2)/long), max(1, (sh*edge+long/2)/long)
	}
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	if turn >= 5 {
		dst = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	row, sum := make([]uint8, 3*sw), make([]uint64, 3*sw)
	line := make([]uint8, 3*w)
	read, at := rowReader(src), -1
	for y := range h {
		clear(sum)
		from, to := y*sh<<fine/h, (y+1)*sh<<fine/h
		for sy := from >> fine; sy<<fine < to; sy++ {
			if sy != at {
				read(b.Min.Y+sy, row)
				at = sy
			}
			k := uint64(min(to, (sy+1)<<fine) - max(from, sy<<fine))
			for i, p := range row {
				sum[i] += k * uint64(p)
			}
		}
		across(line, sum, w, sw, uint64(to-from))
		for x := range w {
			i := dst.PixOffset(place(x, y, w, h, turn))
			copy(dst.Pix[i:i+3], line[3*x:])
			dst.Pix[i+3] = 255
		}
	}
	return dst
}

// fine is how many bits a place within a pixel has.
const fine = 10

// across makes one row of a picture of rows that were added up, of weight tall
// together.
func across(line []uint8, sum []uint64, w, sw int, tall uint64) {
	for x := range w {
		from, to := x*sw<<fine/w, (x+1)*sw<<fine/w
		var r, g, b uint64
		for sx := from >> fine; sx<<fine < to; sx++ {
			k := uint64(min(to, (sx+1)<<fine) - max(from, sx<<fine))
			s := sum[3*sx : 3*sx+3 : 3*sx+3]
			r, g, b = r+k*s[0], g+k*s[1], b+k*s[2]
		}
		area := uint64(to-from) * tall
		line[3*x], line[3*x+1], line[3*x+2] = uint8((r+area/2)/area), uint8((g+area/2)/area), uint8((b+area/2)/area)
	}
}

// place is where a pixel of a stored picture of w × h stands once it is upright.
func place(x, y, w, h, turn int) (int, int) {
	switch turn {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return h - 1 - y, x
	case 7:
		return h - 1 - y, w - 1 - x
	case 8:
		return y, w - 1 - x
	}
	return x, y
}

// rowReader reads rows as red, green and blue, on white where it is transparent.
func rowReader(src image.Image) func(y int, row []uint8) {
	b := src.Bounds()
	switch m := src.(type) {
	case *image.YCbCr:
		return func(y int, row []uint8) {
			at := m.YOffset(b.Min.X, y)
			for i := range b.Dx() {
				c := m.COffset(b.Min.X+i, y)
				row[3*i], row[3*i+1], row[3*i+2] = color.YCbCrToRGB(m.Y[at+i], m.Cb[c], m.Cr[c])
			}
		}
	case *image.RGBA:
		return func(y int, row []uint8) {
			for i, p := 0, m.PixOffset(b.Min.X, y); i < len(row); i, p = i+3, p+4 {
				white := 255 - m.Pix[p+3]
				row[i], row[i+1], row[i+2] = m.Pix[p]+white, m.Pix[p+1]+white, m.Pix[p+2]+white
			}
		}
	case *image.NRGBA:
		return func(y int, row []uint8) {
			for i, p := 0, m.PixOffset(b.Min.X, y); i < len(row); i, p = i+3, p+4 {
				a := uint32(m.Pix[p+3])
				for c := range 3 {
					row[i+c] = uint8((uint32(m.Pix[p+c])*a + 255*(255-a)) / 255)
				}
			}
		}
	case *image.Gray:
		return func(y int, row []uint8) {
			for i, p := 0, m.PixOffset(b.Min.X, y); i < len(row); i, p = i+3, p+1 {
				row[i], row[i+1], row[i+2] = m.Pix[p], m.Pix[p], m.Pix[p]
			}
		}
	}
	return func(y int, row []uint8) {
		for i, x := 0, b.Min.X; x < b.Max.X; i, x = i+3, x+1 {
			r, g, bl, a := src.At(x, y).RGBA()
			white := 0xFFFF - a
			row[i], row[i+1], row[i+2] = uint8((r+white)>>8), uint8((g+white)>>8), uint8((bl+white)>>8)
		}
	}
}
