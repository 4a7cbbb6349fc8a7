package web

import (
	"context"
	"math"
	"net/url"
	"strings"
	"testing"

	"endfloat/internal/shop"
)

func (b *bench) stores() *shop.Desk {
	b.t.Helper()
	d, err := b.sh.Open(context.Background(), shop.StoresBook)
	if err != nil {
		b.t.Fatal(err)
	}
	return d
}

// An instrument is added, shown with its doubt and its check, and changed.
func TestInstrument(t *testing.T) {
	b := newBench(t)
	add := url.Values{"name": {"calliper"}, "quantity": {"length"}, "unit": {"mm"}, "mpe": {"0.03"}, "common": {"0.6"}, "metal": {"steel"}, "checked": {"2026-02-01"}}
	holds(t, b.post("/stores/instrument", add), 303)
	holds(t, b.get("/stores"), 200, "± 0.0173 mm", "checked 2026-02-01", "60 % common to repeats", "u = MPE / √3", `href="/stores?instrument=calliper#instrument"`)
	form := b.get("/stores?instrument=calliper")
	holds(t, form, 200, "Change calliper", `name="u" value="0.0173205"`, `name="common" value="0.6"`, `value="steel"`, `value="2026-02-01"`)
	add.Del("mpe")
	add.Set("u", "0.01")
	add.Set("checked", "2026-03-05")
	holds(t, b.post("/stores/instrument", add), 303)
	d := b.stores()
	if in := d.Instruments["calliper"]; len(d.Instruments) != 1 || math.Abs(in.U-1e-5) > 1e-12 || in.Common != 0.6 || in.Metal != "steel" || in.Checked != "2026-03-05" {
		t.Errorf("the stores hold %+v", d.Instruments)
	}
	for says, with := range map[string]url.Values{
		"not both":             {"u": {"0.01"}, "mpe": {"0.03"}},
		"maximum permissible":  {"u": {""}},
		"from 0 to 1":          {"common": {"70"}},
		"is no unit of length": {"unit": {"kg"}},
	} {
		bad := url.Values{"name": {"other"}, "quantity": {"length"}, "unit": {"mm"}, "u": {"0.01"}}
		for k, v := range with {
			bad[k] = v
		}
		holds(t, b.post("/stores/instrument", bad), 422, says, `role="alert"`, `value="other"`)
	}
	if n := len(b.stores().Instruments); n != 1 {
		t.Errorf("%d instruments", n)
	}
}

// A tool keeps what its class asks for, and what it had beside that.
func TestTool(t *testing.T) {
	b := newBench(t)
	holds(t, b.post("/stores/tool", url.Values{"name": {"long bar"}, "class": {"bar"}, "arm": {"0.6 ± 0.001"}, "bar-mass": {"2.4 kg"}, "bar-centre": {"300 mm"}, "bar-weight": {"with the pull"}, "bore": {"33"}}), 303)
	holds(t, b.post("/stores/tool", url.Values{"name": {"tube a"}, "class": {"tube"}, "bore": {"33"}, "outside": {"39"}}), 303)
	holds(t, b.post("/stores/tool", url.Values{"name": {"click"}, "class": {"torque wrench"}, "wrench": {"405 mm"}, "extension": {"45 mm"}}), 303)
	tools := b.stores().Tools
	if v := tools["long bar"].Values; len(v) != 4 || v["arm"] != "0.6 ± 0.001 m" || v["bar-weight"] != "with the pull" {
		t.Errorf("bar: %v", v)
	}
	if v := tools["tube a"].Values; len(v) != 2 || v["bore"] != "33 mm" || v["outside"] != "39 mm" {
		t.Errorf("tube: %v", v)
	}
	holds(t, b.get("/stores"), 200, "bore 33 mm", "outside 39 mm", "arm 0.6 ± 0.001 m", `href="/stores?tool=tube+a#tool"`)
	holds(t, b.get("/stores?tool=tube+a"), 200, "Change tube a", `name="outside" value="39 mm"`, `<option value="tube" class="is-tube" selected>`)
	holds(t, b.post("/stores/tool", url.Values{"name": {"tube a"}, "class": {"tube"}, "bore": {"33"}, "outside": {"40 mm"}}), 303)
	if v := b.stores().Tools["tube a"].Values; v["outside"] != "40 mm" {
		t.Errorf("changed tube: %v", v)
	}
	for says, bad := range map[string]url.Values{
		"A tube has a bore":    {"class": {"tube"}, "bore": {"40"}, "outside": {"39"}},
		"no outside diameter":  {"class": {"tube"}, "bore": {"40"}},
		"choose what the tool": {"class": {"hammer"}},
		"Length from the nut":  {"class": {"bar"}, "arm": {"long"}},
	} {
		bad.Set("name", "odd one")
		holds(t, b.post("/stores/tool", bad), 422, says, `role="alert"`, `value="odd one"`)
	}
	if w := b.get("/job/wren/torque/P39?method=wrench"); strings.Contains(w.Body.String(), "tube a") {
		t.Error("a tube is offered to torque with")
	}
}
