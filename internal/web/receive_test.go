package web

import (
	"bytes"
	"encoding/json"
	"html"
	"image"
	"image/png"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// photoForm sends a form with one photo.
func (b *bench) photoForm(path string, fields map[string]string) *httptest.ResponseRecorder {
	b.t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for k, v := range fields {
		if err := w.WriteField(k, v); err != nil {
			b.t.Fatal(err)
		}
	}
	f, err := w.CreateFormFile("photo", "side.png")
	if err != nil {
		b.t.Fatal(err)
	}
	if err := png.Encode(f, image.NewGray(image.Rect(0, 0, 40, 30))); err != nil {
		b.t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		b.t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, home+path, &body)
	r.Header.Set("Content-Type", w.FormDataContentType())
	r.Header.Set("Origin", home)
	return b.do(r)
}

var ticked = regexp.MustCompile(`name="side" value="(\w+)" required checked`)

// Each thing of how a unit came in is asked once, one on a page, and leads to the
// next; what is refused comes back with what was typed.
func TestReceivePages(t *testing.T) {
	b := newBench(t)
	holds(t, b.get("/job/wren"), 200, "As it came in: 9 to record", `href="/job/wren/receive"`)
	holds(t, b.get("/job/wren/receive"), 200, "9 of 9 are open", "Six sides", "Never be under a unit")
	holds(t, b.post("/job/wren/receive/sides", url.Values{"side": {"front"}}), 422, "take one with the letter card", `class="fault"`)
	for _, side := range []string{"front", "rear", "left", "right", "top", "below"} {
		m := ticked.FindStringSubmatch(b.get("/job/wren/receive/sides").Body.String())
		if m == nil || m[1] != side {
			t.Fatalf("asked for %v, wanted the %s", m, side)
		}
		w := b.photoForm("/job/wren/receive/sides", map[string]string{"side": side})
		want := "/job/wren/receive/sides"
		if side == "below" {
			want = "/job/wren/receive/marks"
		}
		if w.Code != 303 || w.Header().Get("Location") != want {
			t.Fatalf("the %s: %d to %q, wanted %q", side, w.Code, w.Header().Get("Location"), want)
		}
	}
	for _, step := range []struct {
		part string
		form url.Values
		next string
	}{
		{"marks", url.Values{"marks": {"case 1174"}}, "complete"},
		{"complete", url.Values{"complete": {"unit, lever"}, "missing": {"breather"}}, "gears"},
		{"gears", url.Values{"gear 1": {"jumps out on drive", "noisy on drive"}, "outside": {"linkage good"}}, "oil"},
		{"oil", url.Values{"volume": {"1.9 L"}, "colour": {"dark"}, "find": {"fine paste", "brass colour"}, "debris": {"two flakes"}}, "loose"},
		{"loose", url.Values{"nothing": {"nothing"}}, "before"},
		{"estimate", url.Values{"low": {"2200 EUR"}, "high": {"2800 EUR"}, "stop": {"after inspection"}, "may": {"the treasurer"}}, "agreed"},
	} {
		w := b.post("/job/wren/receive/"+step.part, step.form)
		if w.Code != 303 || w.Header().Get("Location") != "/job/wren/receive/"+step.next {
			t.Errorf("%s: %d to %q, wanted %q: %.300s", step.part, w.Code, w.Header().Get("Location"), step.next, w.Body)
		}
	}
	holds(t, b.get("/job/wren/receive"), 200, "1: jumps out on drive, noisy on drive; outside: linkage good", "1.9 L, dark; fine paste, brass colour; two flakes", "2 of 9 are open")
	holds(t, b.get("/job/wren/receive/gears"), 200, `value="jumps out on drive" checked`)
	holds(t, b.post("/job/wren/receive/estimate", url.Values{"low": {"9"}, "high": {"8"}, "stop": {"x"}}), 422, "it is a range", `value="9"`)
	holds(t, b.get("/job/wren/receive/agreed"), 200, "the estimate of 2200 EUR to 2800 EUR, stopping after inspection", `value="the treasurer"`)
	holds(t, b.post("/job/wren/receive/agreed", url.Values{"what": {"it"}, "by": {"Ivo"}, "how": {"by word"}}), 422, "the treasurer may say yes", `value="Ivo"`)
	holds(t, b.post("/job/wren/receive/agreed", url.Values{"what": {"it"}, "by": {"the treasurer"}, "how": {"by word"}}), 303)
	holds(t, b.get("/job/wren/receive/before"), 200, "Primary float as found", "Says whether the old shim was right", "Drag of the whole")
	holds(t, b.get("/job/wren/receive/nothing"), 404, "that is recorded as a unit comes in")
	holds(t, b.get("/people"), 200, "the treasurer", "Customer")
	holds(t, b.get("/new"), 200, `<option>the treasurer</option>`, `list="people"`, `<span class="small">on W Wren</span>`)
}

func TestPeoplePage(t *testing.T) {
	b := newBench(t)
	holds(t, b.get("/people"), 200, "Nobody is kept yet")
	holds(t, b.post("/people", url.Values{"name": {"Ivo"}, "reach": {"01 234"}, "role": {"helper"}}), 303)
	key := regexp.MustCompile(`/people\?key=([0-9a-f]{64})`).FindStringSubmatch(b.get("/people").Body.String())
	if key == nil {
		t.Fatal("nobody is kept")
	}
	holds(t, b.get("/people?key="+key[1]), 200, "Mend Ivo", "01 234")
	holds(t, b.post("/people", url.Values{"name": {"ivo"}}), 422, "known already", `value="ivo"`)
	holds(t, b.post("/people", url.Values{"key": {key[1]}, "name": {"Ivo Brand"}, "reach": {"05 678"}}), 303)
	w := b.get("/people")
	holds(t, w, 200, "Ivo Brand", "05 678")
	if strings.Contains(w.Body.String(), "01 234") {
		t.Error("the old contact is still shown")
	}
}

// The basket of a unit: the other unit's piece brings the full-screen stop.
func TestCleanPages(t *testing.T) {
	b := demoBench(t)
	holds(t, b.post("/job/dunnock/basket", url.Values{"tag": {"L-P07"}}), 409, "<h1>Stop</h1>", "is not of Dunnock", "Linnet", "blue tape")
	holds(t, b.post("/job/dunnock/basket", url.Values{"tag": {"D-P08"}}), 303)
	holds(t, b.get("/job/dunnock/clean"), 200, "1 piece is in it", "D-P08", "This case is magnesium.", "Magnesium dust", "Solvents: goggles")
	if w := b.get("/job/linnet/clean?pos=C01"); strings.Contains(w.Body.String(), "This case is magnesium.") || !strings.Contains(w.Body.String(), "This case is aluminium.") {
		t.Error("Linnet's case is of aluminium")
	}
	holds(t, b.post("/job/dunnock/basket", url.Values{"tag": {"D-X99"}}), 422, "No piece is tagged", `value="D-X99"`)
	holds(t, b.post("/job/dunnock/clean", url.Values{}), 422, "say what was used")
	holds(t, b.post("/job/dunnock/clean", url.Values{"with": {"white spirit and a brush", "clean oil"}, "clear": {"blown and probed"}}), 303)
	holds(t, b.get("/job/dunnock/clean"), 200, "Nothing is in it", "Cleaned D-P08 with white spirit and a brush, clean oil, oil ways blown and probed")
	holds(t, b.get("/job/dunnock/repair?pos=C01"), 200, "Thread", "Magnesium dust")
	holds(t, b.get("/job/linnet/repair?pos=C01"), 200, "To be proven again afterwards")
	holds(t, b.post("/job/dunnock/repair", url.Values{"pos": {"C01"}, "what": {"thread"}, "how": {"insert, drilled square"}, "proved": {"holds 24 N·m"}}), 303)
	holds(t, b.get("/job/dunnock/look/C01"), 200, "Made good", "insert, drilled square")
}

// A part is looked at and measured; the page says what it comes to and what that
// hangs on, with the limit, where it stands, and every reading kept.
func TestLookPages(t *testing.T) {
	b := demoBench(t)
	holds(t, b.get("/job/dunnock/look"), 200, "Look and measure", "P09 ring 1st", "replace", "Rings and cones")
	holds(t, b.get("/job/dunnock/look/P09"), 200, "Hangs on:", "P09 ring gap 0.410 ± 0.010 mm, wanted at least 0.50 mm (booklet 12), guard band 0.02 mm", "Every reading kept: 1", "Against it: worn on the drive side")
	holds(t, b.post("/job/dunnock/look/P19", url.Values{}), 422, "Nothing was said")
	seen := b.get("/job/dunnock/look/P19")
	holds(t, seen, 200, `<p class="thumbs">`)
	if strings.Contains(seen.Body.String(), `name="kept"`) {
		t.Error("photos that the book has already would come with what is seen now")
	}
	before := b.entries("dunnock")
	w := b.post("/job/dunnock/look/P19", url.Values{"saw dog teeth": {"plan"}, "says": {"corners round"}, "rest": {"yes"}})
	if w.Code != 303 || b.entries("dunnock") != before+4 {
		t.Errorf("four looks: %d, %d entries", w.Code, b.entries("dunnock")-before)
	}
	holds(t, b.get("/job/dunnock/look/P19"), 200, "dog teeth: plan, corners round", `name="saw cone" value="good" checked`)

	dial := url.Values{"pos": {"P01"}, "what": {"P01 run-out"}, "with": {"dial indicator"}, "value": {"0", "0.02", "0.04", "0.02", "", "", "", ""}}
	holds(t, b.post("/job/dunnock/runout", dial), 303)
	holds(t, b.get("/job/dunnock/runout?pos=P01"), 200, "0.040 ± 0.006 mm", "180° ±", "0 · 0.02 · 0.04 · 0.02", "4 places may miss up to 29 %", "at most 0.05 mm", "booklet 15")
	dial["value"] = []string{"0", "1", "2"}
	holds(t, b.post("/job/dunnock/runout", dial), 422, "four equal places or more")

	holds(t, b.get("/job/dunnock/rings"), 200, "D-P09", "Without a ring that is good enough:", "D-P08 gear 1st, D-P19 gear 3rd")
	holds(t, b.get("/job/dunnock/rings?ring=D-P09&cone=D-P15"), 200, "D-P09 on D-P15", "The gap, at three places")
	holds(t, b.post("/job/dunnock/rings", url.Values{"ring": {"D-P22"}, "cone": {"D-P08"}, "value": {"0.71", "0.73", "0.72"}}), 303)
	holds(t, b.post("/job/dunnock/rings", url.Values{"ring": {"P-P22"}, "cone": {"D-P19"}, "value": {"1.05", "", ""}}), 303)
	page := html.UnescapeString(b.get("/job/dunnock/rings").Body.String())
	if strings.Contains(page, "Without a ring") || !strings.Contains(page, "moved from ring 3rd") || !strings.Contains(page, "4 of 4 gears have a ring") {
		t.Error("the better pairing is not shown")
	}
	holds(t, b.post("/job/dunnock/rings", url.Values{"ring": {"D-P14"}, "cone": {"D-P15"}, "value": {"0.03"}}), 422, "Inch or millimetre", "Yes, I am sure", `value="0.03"`)
	holds(t, b.get("/job/dunnock/rings?also=L-P09"), 422, "STOP: L-P09 belongs to L Linnet")
	holds(t, b.get("/job/dunnock/today"), 200, "Look and measure:")
}

// The interface gives the same, in the shape that is described.
func TestReceiveInterface(t *testing.T) {
	b := demoBench(t)
	doc := described(t, b)
	for _, path := range []string{"/api/job/{book}/receive", "/api/job/{book}/clean", "/api/job/{book}/look", "/api/job/{book}/rings", "/api/people"} {
		w := b.get(strings.Replace(path, "{book}", "dunnock", 1))
		var v any
		if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil || w.Code != 200 {
			t.Fatalf("%s: %d, %v", path, w.Code, err)
		}
		schema, _ := dig(doc, "paths", path, "get", "responses", "200", "content", "application/json", "schema").(object)
		for _, says := range misfits(doc, schema, v, path) {
			t.Error(says)
		}
	}
	holds(t, b.send("/api/people", `{"name":"Ivo","role":"helper"}`), 200, `"name":"Ivo"`)
	holds(t, b.send("/api/people", `{"name":"ivo"}`), 422, "known already")
	holds(t, b.send("/api/job/dunnock/basket", `{"tag":"L-P07"}`), 422, "STOP: L-P07 belongs to L Linnet")
	holds(t, b.send("/api/job/dunnock/basket", `{"tag":"D-P07","id":"0195f3a0-0000-7000-8000-000000000003"}`), 200, `"in":["D-P07"]`)
	holds(t, b.send("/api/job/dunnock/entry", `{"kind":"read","body":{"what":"P01 run-out","dial":["0","0.01","0.02","0.01"],"with":"dial indicator"}}`), 200)
}

// Facts may wait on a device and come from its file; decisions may not.
func TestFactPages(t *testing.T) {
	for path, fact := range map[string]bool{
		"/job/wren/strip": true, "/job/wren/read/one": true, "/job/wren/note": true, "/job/wren/receive/sides": true, "/job/wren/look/P08": true,
		"/job/wren/rings": true, "/job/wren/clean": true, "/job/wren/runout": true, "/job/wren/repair": true,
		"/job/wren/receive/estimate": false, "/job/wren/receive/agreed": false, "/job/wren/decide": false, "/people": false, "/job/wren/basket": false, "/new": false,
	} {
		if factPage.MatchString(path) != fact {
			t.Errorf("%s takes facts that waited: %v, wanted %v", path, !fact, fact)
		}
	}
}
