package report

import (
	"math"
	"slices"
	"strings"

	"endfloat/calc/uncert"
	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
	"endfloat/internal/job"
	"endfloat/internal/setup"
)

// reduced is the part of its natural size at which a picture of a setting is printed.
const reduced = 0.46

// drawings shows a setting: where its value lies in the limits, what the chain
// is made of, and the packs.
func (b *book) drawings(r setup.Result) {
	var ds []*draw.Drawing
	if b.known(r) && (r.HasLo || r.HasHi) {
		ds = append(ds, bar(r))
	}
	if d := b.chain(r); d != nil {
		ds = append(ds, d)
	}
	for _, id := range r.Seats() {
		if d := b.stack(id); d != nil {
			ds = append(ds, d)
		}
	}
	for len(ds) > 0 {
		n, w, h := 0, 0.0, 0.0
		for n < len(ds) && (n == 0 || w+ds[n].W*reduced <= b.wide()) {
			w += ds[n].W*reduced + 5
			h = max(h, ds[n].H*reduced)
			n++
		}
		b.need(h + 4)
		x := b.left
		for _, d := range ds[:n] {
			b.put(d, x, b.y, reduced)
			x += d.W*reduced + 5
		}
		b.y += h + 3
		ds = ds[n:]
	}
}

func bar(r setup.Result) *draw.Drawing {
	lo, hi := math.Inf(-1), math.Inf(1)
	m := draw.Marks{Value: setup.Text(r.Value, r.U, r.Unit), Words: string(r.Verdict), Target: r.Target}
	if r.HasLo {
		lo, m.Lo = r.Lo, setup.Text(r.Lo, 0, r.Unit)
	}
	if r.HasHi {
		hi, m.Hi = r.Hi, setup.Text(r.Hi, 0, r.Unit)
	}
	m.Verdict = map[uncert.Verdict]draw.Verdict{uncert.In: draw.In, uncert.Out: draw.Out, uncert.Close: draw.TooClose}[r.Verdict]
	return draw.Bar(lo, hi, r.Value, r.U, m)
}

// chain draws the links of a setting where there are a few, they come to its
// value as it is now, and none of their names had to be cut.
func (b *book) chain(r setup.Result) *draw.Drawing {
	if n := len(r.Chain); !b.known(r) || n < 2 || n > 26 {
		return nil
	}
	var links []draw.Link
	sum := 0.0
	for _, t := range r.Chain {
		v, name, ok := b.length(t)
		if !ok {
			return nil
		}
		sum += t.Sign * v
		links = append(links, draw.Link{Name: name, Value: t.Sign * v, Text: setup.Text(v, 0, r.Unit), Seat: t.Position != "" && t.Dim == "",
			At: t.Position, Along: t.Dim == "" || t.Dim == "width"})
	}
	if math.Abs(sum-r.Value) > max(0.5e-6, min(r.U/2, 5e-6)) { // 5 µm are not seen in links to 0.01 mm
		return nil
	}
	result := draw.Link{Name: r.Name, Value: r.Value, Text: setup.Text(r.Value, r.U, r.Unit)}
	var d *draw.Drawing
	if d = draw.ChainIn(b.v.Box, draw.Options{Built: b.v.Built}, r.Name, links, result); d.W*reduced > b.wide() {
		d = draw.ChainIn(b.v.Box, draw.Options{Built: b.v.Built, Width: b.wide() / reduced}, r.Name, links, result)
	}
	if len(r.Chain) > 7 && !slices.ContainsFunc(d.Groups, func(g draw.Group) bool { return g.Key != "" }) {
		return nil // too long for links one under the other
	}
	for _, g := range d.Groups {
		for _, it := range g.Items {
			if strings.HasSuffix(it.Text, "…") {
				return nil // the working says it whole
			}
		}
	}
	return d
}

// length is a link of a chain as it is now: the newest reading that holds, the
// pack at its seat, else the figure of the gearbox file.
func (b *book) length(t gearbox.Term) (v float64, name string, ok bool) {
	if t.Measure != "" {
		m, _ := b.v.Box.Measure(t.Measure)
		v, ok = b.newest(m)
		return v, t.Measure, ok
	}
	pack := b.v.Pack(t.Position)
	if t.Dim == "" {
		return pack.SI, t.Position, true
	}
	name = t.Position + " " + t.Dim
	if m, found := b.v.Box.Measure(name); found {
		if v, ok = b.newest(m); ok {
			return v, name, true
		}
	}
	if t.Dim == "width" && pack.Ok {
		return pack.SI, name, true
	}
	p, found := b.v.Box.Position(t.Position)
	if !found {
		return 0, name, false
	}
	v, ok = p.Dimension(t.Dim, b.v.Built)
	return v, name, ok
}

func (b *book) newest(m *gearbox.Measure) (float64, bool) {
	if m == nil {
		return 0, false
	}
	var last *job.Reading
	rs := b.v.ReadingsOf(m.Name)
	for i := range rs {
		if b.v.Valid(rs[i]) {
			last = &rs[i]
		}
	}
	if last == nil || len(last.Is.SI) == 0 {
		return 0, false
	}
	return setup.MeanOf(b.v.State, m, *last).Value, true
}

// stack draws a pack of more than one piece.
func (b *book) stack(id string) *draw.Drawing {
	pk := b.v.Pack(id)
	if len(pk.Tags) < 2 || !pk.Ok {
		return nil
	}
	var ps []draw.Piece
	for _, t := range pk.Tags {
		pc := b.v.Pieces[t]
		ps = append(ps, draw.Piece{ID: t, Thickness: pc.SI, Text: setup.Text(pc.SI, pc.U, mm)})
	}
	return draw.ShimStack(ps, id+": "+setup.Text(pk.SI, pk.U, mm))
}
