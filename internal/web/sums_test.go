package web

import (
	"encoding/json"
	"math"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"endfloat/calc/catalog"
	"endfloat/calc/uncert"
)

func at(path string, q ...string) string {
	v := url.Values{}
	for i := 0; i+1 < len(q); i += 2 {
		v.Set(q[i], q[i+1])
	}
	return path + "?" + v.Encode()
}

// Draws, their seed and what readings have in common reach a sum from its page and
// from the API as they do from the command line: all give the figures of RunMC.
func TestDrawsAndShared(t *testing.T) {
	b := newBench(t)
	in := map[string]string{"recess": "21.42 ± 0.01 mm", "gasket": "0.26 mm", "stand-up": "20.64 ± 0.01 mm", "float-min": "0.10", "float-max": "0.20", "shared": "recess, stand-up: 0.8"}
	s, _ := catalog.Find("end-float")
	a, err := s.RunMC(in, 2000, 7)
	if err != nil {
		t.Fatal(err)
	}
	gap, _ := a.Result("gap")
	// u² = 2 · 0.01² · (1 − 0.8), [GUM] 5.2.2.
	if want := 0.01e-3 * math.Sqrt(0.4); math.Abs(gap.U-want) > 1e-12 {
		t.Fatalf("u = %g, want %g", gap.U, want)
	}
	q := []string{"mc", "2000", "seed", "7"}
	for k, v := range in {
		q = append(q, k, v)
	}
	page := b.get(at("/sums/end-float", q...))
	holds(t, page, 200, gap.Text, "drawn: "+gap.MC.Text, `name="mc" value="2000"`, `name="seed" value="7"`, `name="shared" value="recess, stand-up: 0.8"`, `form="keep" name="mc" value="2000"`)
	holds(t, b.get(at("/sums/end-float", append(q, "show", "result")...)), 200, "drawn: "+gap.MC.Text)

	raw, _ := json.Marshal(in)
	var got struct {
		Results []struct {
			Key string
			MC  struct{ Text string }
		}
	}
	w := b.send("/api/sums/end-float?mc=2000&seed=7", string(raw))
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || w.Code != http.StatusOK || got.Results[0].MC.Text != gap.MC.Text {
		t.Errorf("status %d, %v: %+v, want %q", w.Code, err, got, gap.MC.Text)
	}
	for _, bad := range []string{"mc=10", "mc=some", "mc=2000000", "mc=2000&seed=-1", "tool=none"} {
		if w := b.send("/api/sums/end-float?"+bad, string(raw)); w.Code != http.StatusUnprocessableEntity && w.Code != http.StatusBadRequest {
			t.Errorf("%s: status %d", bad, w.Code)
		}
	}
	holds(t, b.get(at("/sums/end-float", append(q, "mc", "ten")...)), 200, "expected a whole number of draws from 1000")
	form := url.Values{"id": {newID()}, "into": {"wren"}, "mc": {"2000"}, "seed": {"7"}}
	for k, v := range in {
		form.Set(k, v)
	}
	holds(t, b.post("/sums/end-float", form), 303)
	holds(t, b.get("/job/wren/book"), 200, "drawn: "+gap.Title+", "+gap.MC.Text)
}

// The tubes and bars of the stores fill in what is not typed.
func TestSumsTakeFromTheStores(t *testing.T) {
	b := newBench(t)
	holds(t, b.post("/stores/tool", url.Values{"name": {"tube a"}, "class": {"tube"}, "bore": {"33"}, "outside": {"39"}}), 303)
	holds(t, b.post("/stores/tool", url.Values{"name": {"drift, old"}, "class": {"tube"}, "outside": {"36"}, "bore": {"0"}}), 303)
	holds(t, b.post("/stores/tool", url.Values{"name": {"long bar"}, "class": {"bar"}, "arm": {"0.75 m"}, "bar-mass": {"2.4 kg"}, "bar-centre": {"0.36 m"}, "bar-slope": {"60°"}, "bar-weight": {"with the pull"}}), 303)
	push := []string{"push", "the inner", "bore", "30", "inner-shoulder", "40", "outer-shoulder", "53", "outside", "62", "through", "30"}
	holds(t, b.get(at("/sums/push-ring", push...)), 200, `<b class="">tube a</b>`, "drift old = 0 mm/36 mm, tube a = 33 mm/39 mm", "from your stores if left out")
	holds(t, b.get(at("/sums/push-ring", append(push, "tubes", "mine = 32/38")...)), 200, `<b class="">mine</b>`)
	w := b.send("/api/sums/push-ring", `{"push":"the inner","bore":"30","inner-shoulder":"40","outer-shoulder":"53","outside":"62","through":"30"}`)
	holds(t, w, 200, `"text":"tube a"`)

	// 220 N·m less 2.4 · 9.80665 · 0.36 · cos 60° = 4.236 N·m, on 0.75 m: 287.7 N.
	holds(t, b.get("/sums/lever"), 200, `<option value="long bar">long bar, bar</option>`)
	holds(t, b.get(at("/sums/lever", "want", "220", "tool", "long bar")), 200, "287.7 N", "From your stores: arm 0.75 m; ", `placeholder="0.75 m"`, `<option value="long bar" selected>`)
	holds(t, b.get(at("/sums/lever", "want", "220", "arm", "1.5 m", "tool", "long bar")), 200, "143.8 N")
	holds(t, b.send("/api/sums/lever?tool=long+bar", `{"want":"220 N·m"}`), 200, `"text":"287.7 N"`)
	holds(t, b.get(at("/sums/lever", "want", "220", "tool", "short bar")), 200, "is not in the stores")
	if w := b.get("/sums/end-float"); strings.Contains(w.Body.String(), `name="tool"`) {
		t.Error("a bar is offered for an end float")
	}
	form := url.Values{"id": {newID()}, "into": {"wren"}, "want": {"220"}, "tool": {"long bar"}}
	kept := b.post("/sums/lever", form)
	holds(t, kept, 303)
	if to := kept.Header().Get("Location"); !strings.Contains(to, "tool=long+bar") {
		t.Errorf("it leads to %q", to)
	}
	holds(t, b.get("/job/wren/book"), 200, "given: arm = 0.75 m", "given: bar-slope = 60°")
}

// A sum that has a picture shows it.
func TestSumsShowTheirPicture(t *testing.T) {
	b := newBench(t)
	holds(t, b.get("/sums/lever"), 200, `<figure class="picture"><svg`, "A bar on the nut and the pull at its end")
	if w := b.get("/sums/convert"); strings.Contains(w.Body.String(), "<figure") {
		t.Error("a picture for nothing")
	}
}

// A usual instrument fills in the form; what is typed over it counts.
func TestUsualInstrument(t *testing.T) {
	b := newBench(t)
	holds(t, b.get("/stores"), 200, `<optgroup label="Micrometers">`, "outside micrometer 0 to 25 mm: ± 4 µm")
	holds(t, b.get(at("/stores", "like", "outside micrometer 0 to 25 mm")), 200, `name="mpe" value="4 µm"`, `name="name" value="outside micrometer 0 to 25 mm"`, "From [DIN863]", `<option selected>length`)
	add := url.Values{"name": {"my micrometer"}, "quantity": {"length"}, "unit": {"mm"}, "mpe": {"4 µm"}, "common": {"0.5"}, "checked": {"2026-03-01"}}
	holds(t, b.post("/stores/instrument", add), 303)
	usual, _ := uncert.FindInstrument("outside micrometer 0 to 25 mm")
	if in := b.stores().Instruments["my micrometer"]; in.U != usual.U || in.Checked != "2026-03-01" {
		t.Errorf("%+v, want u = %g", in, usual.U)
	}
	holds(t, b.post("/stores/instrument", url.Values{"name": {"wrench"}, "quantity": {"torque"}, "unit": {"N·m"}, "mpe": {"4 % of 120"}}), 303)
	if in := b.stores().Instruments["wrench"]; math.Abs(in.U-4.8/math.Sqrt(3)) > 1e-9 {
		t.Errorf("wrench: %+v", in)
	}
	holds(t, b.get("/api/instruments"), 200, `"mpe":"4 µm"`, `"source":"[DIN863]"`)
}
