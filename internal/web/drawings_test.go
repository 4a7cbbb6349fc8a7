package web

import (
	"net/url"
	"strings"
	"testing"
)

// The drawings of a unit are listed, shown with parts to tap, and given by the
// API as SVG and PNG; a name or a size that is none is refused.
func TestDrawings(t *testing.T) {
	b := newBench(t)
	holds(t, b.get("/job/wren/drawings"), 200, "General arrangement", "Order of the pinion shaft", "Chain of side preload")
	for name, says := range map[string]string{
		"arrangement":           "13 : 46",
		"order pinion":          `data-key="P39"`,
		"section primary":       `data-key="Q01"`,
		"chain nut stack proud": "P33 inner spacer",
		"chain side preload":    "case width X",
	} {
		page := b.get("/job/wren/drawing?" + url.Values{"name": {name}}.Encode())
		holds(t, page, 200, says, `href="/job/wren/at/`, "As PNG")
		if lying := strings.Count(page.Body.String(), `<svg xmlns`); lying < 1 {
			t.Errorf("%s: no drawing", name)
		}
	}
	holds(t, b.get("/job/wren/drawing?name=nonsense"), 404, "it is one of arrangement")
	holds(t, b.get("/job/wren"), 200, "/job/wren/drawing?name=arrangement")
	holds(t, b.get("/job/wren/at/P36"), 200, "Order of the pinion shaft")

	holds(t, b.get("/api/job/wren/drawings"), 200, `"name":"arrangement"`)
	svg := b.get("/api/job/wren/drawing?name=arrangement&width=180&plain=yes")
	holds(t, svg, 200, "<svg xmlns=")
	if got := svg.Header().Get("Content-Type"); got != "image/svg+xml" {
		t.Errorf("an SVG comes as %s", got)
	}
	png := b.get("/api/job/wren/drawing?name=section+pinion&as=png&dpi=72")
	holds(t, png, 200, "\x89PNG")
	holds(t, b.get("/api/job/wren/drawing?name=arrangement&width=3"), 422, "60 to 1200 mm")
	holds(t, b.get("/api/job/wren/drawing?name=arrangement&as=png&dpi=9000"), 422, "24 to 600 dots")
}
