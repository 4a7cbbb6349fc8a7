package report

import (
	"endfloat/internal/draw"
	"endfloat/internal/gearbox"
)

// arrangement draws all shafts of the type in mesh, as wide as the page.
func (b *book) arrangement() {
	if b.v.Box == nil || len(b.v.Box.Meshes) == 0 {
		return
	}
	d := draw.Arrangement(b.v.Box, draw.Options{Built: b.v.Built})
	if d == nil {
		return
	}
	k := min(1, b.wide()/d.W, 0.8*(b.floor()-b.top)/d.H)
	b.need(d.H*k + 12)
	b.under("General arrangement")
	b.put(d, b.left+(b.wide()-d.W*k)/2, b.y+1, k)
	b.y += d.H*k + 6
}

// fewestParts of which the order is drawn: less is seen on the section.
const fewestParts = 4

// order draws the parts of a shaft pulled apart, in their order.
func (b *book) order(c *gearbox.Carrier) {
	const k = 0.5
	if b.v.Box == nil || c == nil || len(c.Ends) != 2 || len(c.Order) < fewestParts {
		return
	}
	if b.w > b.h {
		b.page(false)
	}
	d := draw.Exploded(c, draw.Options{Built: b.v.Built, Width: b.wide() / k})
	s := min(k, 0.96*(b.floor()-b.top)/d.H)
	b.need(d.H*s + 8)
	b.put(d, b.left+(b.wide()-d.W*s)/2, b.y+2, s)
	b.y += d.H*s + 6
}
