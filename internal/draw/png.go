package draw

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"

	"github.com/srwiley/rasterx"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// PNG is the drawing as a picture on white, so many dots to the inch.
func (d *Drawing) PNG(dpi float64) ([]byte, error) {
	k := dpi / 25.4
	w, h := int(math.Ceil(d.W*k)), int(math.Ceil(d.H*k))
	if !(dpi > 0) || w < 1 || h < 1 || w > 20000 || h > 20000 {
		return nil, fmt.Errorf("a picture of %.0f × %.0f mm at %g dots to the inch cannot be made; ask for 1 to 20000 dots a side", d.W, d.H, dpi)
	}
	r := &raster{img: image.NewRGBA(image.Rect(0, 0, w, h)), k: k, h: d.H, faces: map[float64]font.Face{}}
	for i := range r.img.Pix {
		r.img.Pix[i] = 255
	}
	for i := range d.Groups {
		for j := range d.Groups[i].Items {
			if err := r.item(&d.Groups[i].Items[j]); err != nil {
				return nil, err
			}
		}
	}
	var b bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := enc.Encode(&b, r.img); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// raster paints items. It is itself the scanner of the stroker: each item is
// rasterised in its own box only, since most are small and the sheet is not.
type raster struct {
	img   *image.RGBA
	k, h  float64
	v     vector.Rasterizer
	clip  image.Rectangle
	src   image.Uniform
	faces map[float64]font.Face
}

func (r *raster) at(p Pt) fixed.Point26_6 {
	return rasterx.ToFixedP(p.X*r.k-float64(r.clip.Min.X), (r.h-p.Y)*r.k-float64(r.clip.Min.Y))
}

func toneColour(t Tone) color.RGBA {
	red, green, blue := rgb(t)
	return color.RGBA{uint8(red), uint8(green), uint8(blue), 255}
}

func (r *raster) item(it *Item) error {
	if it.Tap {
		return nil
	}
	if it.Text != "" {
		return r.text(it)
	}
	b := it.Path.Bounds()
	pad := it.Pen.W*r.k*2 + 2
	r.clip = image.Rect(int(b.X0*r.k-pad), int((r.h-b.Y1)*r.k-pad), int(b.X1*r.k+pad)+1, int((r.h-b.Y0)*r.k+pad)+1).Intersect(r.img.Bounds())
	if r.clip.Empty() {
		return nil
	}
	if it.Fill != None {
		f := rasterx.NewFiller(r.clip.Dx(), r.clip.Dy(), r)
		r.begin(it.Fill)
		r.trace(f, it.Path)
		f.Draw()
	}
	if it.Pen.Tone != None {
		s := rasterx.NewDasher(r.clip.Dx(), r.clip.Dy(), r)
		dash := it.Pen.Dash.lengths()
		for i := range dash {
			dash[i] *= r.k
		}
		s.SetStroke(fixed.Int26_6(it.Pen.W*r.k*64), 4*64, rasterx.ButtCap, nil, nil, rasterx.Miter, dash, 0)
		r.begin(it.Pen.Tone)
		r.trace(s, it.Path)
		s.Draw()
	}
	return nil
}

func (r *raster) begin(t Tone) {
	r.src.C = toneColour(t)
	r.v.Reset(r.clip.Dx(), r.clip.Dy())
}

func (r *raster) trace(a rasterx.Adder, p Path) {
	open := false
	for _, o := range p {
		switch o.K {
		case 'M':
			if open {
				a.Stop(false)
			}
			a.Start(r.at(o.P[0]))
			open = true
		case 'L':
			a.Line(r.at(o.P[0]))
		case 'C':
			a.CubeBezier(r.at(o.P[0]), r.at(o.P[1]), r.at(o.P[2]))
		case 'Z':
			a.Stop(true)
			open = false
		}
	}
	if open {
		a.Stop(false)
	}
}

func (r *raster) text(it *Item) error {
	face, ok := r.faces[it.Size]
	if !ok {
		var err error
		face, err = opentype.NewFace(sheetFont(), &opentype.FaceOptions{Size: it.Size * r.k, DPI: 72, Hinting: font.HintingNone})
		if err != nil {
			return err
		}
		r.faces[it.Size] = face
	}
	r.clip = r.img.Bounds()
	dot := r.at(it.At)
	dot.X -= font.MeasureString(face, it.Text) * fixed.Int26_6(it.Anchor) / 2
	dr := font.Drawer{Dst: r.img, Src: image.NewUniform(toneColour(it.Fill)), Face: face, Dot: dot}
	dr.DrawString(it.Text)
	if it.Bold {
		dr.Dot = fixed.Point26_6{X: dot.X + fixed.Int26_6(0.045*it.Size*r.k*64), Y: dot.Y}
		dr.DrawString(it.Text)
	}
	return nil
}

// The rest makes raster a rasterx.Scanner.

// Start begins an outline.
func (r *raster) Start(a fixed.Point26_6) { r.v.MoveTo(float32(a.X)/64, float32(a.Y)/64) }

// Line draws an edge.
func (r *raster) Line(b fixed.Point26_6) { r.v.LineTo(float32(b.X)/64, float32(b.Y)/64) }

// Draw paints what has been outlined.
func (r *raster) Draw() { r.v.Draw(r.img, r.clip, &r.src, image.Point{}) }

// GetPathExtent is not asked for here: no gradients are used.
func (r *raster) GetPathExtent() fixed.Rectangle26_6 { return fixed.Rectangle26_6{} }

// SetBounds is done by begin.
func (r *raster) SetBounds(int, int) {}

// SetColor is done by begin.
func (r *raster) SetColor(any) {}

// SetWinding is always non-zero.
func (r *raster) SetWinding(bool) {}

// Clear forgets the outline.
func (r *raster) Clear() { r.v.Reset(r.clip.Dx(), r.clip.Dy()) }

// SetClip is not used.
func (r *raster) SetClip(image.Rectangle) {}
