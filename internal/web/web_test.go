package web

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"html"
	"image"
	"image/png"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"endfloat/calc/catalog"
	"endfloat/internal/demo"
	"endfloat/internal/job"
	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
)

const home = "http://127.0.0.1:8080"

// bench is a workshop being served.
type bench struct {
	t  *testing.T
	sh *shop.Shop
	h  http.Handler
}

func newBench(t *testing.T) *bench {
	t.Helper()
	sh := shop.New(memory.New(), func() time.Time { return time.Date(2026, 3, 5, 9, 0, 0, 0, time.UTC) })
	if _, err := sh.KeepBox(context.Background(), shop.By{Name: "T"}, "bw-4t.yaml", demo.BW4T()); err != nil {
		t.Fatal(err)
	}
	_, err := sh.NewJob(context.Background(), shop.By{Name: "T"}, job.Opened{Unit: "Wren", Letter: "W", Colour: "red", Type: "BW-4T", Series: "A"})
	if err != nil {
		t.Fatal(err)
	}
	book := func(context.Context, *shop.Desk, string, string) ([]byte, error) { return []byte("%PDF-1.4"), nil }
	return &bench{t, sh, New(sh, Options{Version: "test", Host: []string{"bench.local"}, Book: book})}
}

// demoBench is the demonstration workshop, near the end of setting up.
func demoBench(t *testing.T) *bench {
	t.Helper()
	b := newBench(t)
	b.sh = shop.New(memory.New(), time.Now)
	if err := demo.Load(context.Background(), b.sh, false); err != nil {
		t.Fatal(err)
	}
	b.h = New(b.sh, Options{Version: "test"})
	return b
}

func (b *bench) do(r *http.Request) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	b.h.ServeHTTP(w, r)
	return w
}

func (b *bench) get(path string) *httptest.ResponseRecorder {
	return b.do(httptest.NewRequest("GET", home+path, nil))
}

func (b *bench) post(path string, form url.Values) *httptest.ResponseRecorder {
	r := httptest.NewRequest("POST", home+path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", home)
	return b.do(r)
}

func (b *bench) entries(book string) int {
	b.t.Helper()
	d, err := b.sh.Open(context.Background(), book)
	if err != nil {
		b.t.Fatal(err)
	}
	return len(d.Entries)
}

// holds fails unless the answer has the status and holds every text.
func holds(t *testing.T, w *httptest.ResponseRecorder, code int, texts ...string) {
	t.Helper()
	body := html.UnescapeString(w.Body.String())
	if w.Code != code {
		t.Errorf("status %d, want %d: %.300s", w.Code, code, body)
	}
	for _, s := range texts {
		if !strings.Contains(body, s) {
			t.Errorf("the page does not say %q", s)
		}
	}
}

// Every page of a job says whose gearbox it is: letter, name and tape colour.
func TestPages(t *testing.T) {
	b := demoBench(t)
	for path, says := range map[string]string{
		"":                                 "Where was I?",
		"/at/P08":                          "P08 gear 1st",
		"/strip":                           "Everything is off",
		"/read":                            "Before it is stripped",
		"/read/one?what=backlash":          "One at each place around the turn",
		"/decide":                          "Decide on parts",
		"/decide?pos=P08":                  "What becomes of it?",
		"/settings":                        "Pinion depth",
		"/setting?name=backlash":           "From the drawer, best first",
		"/build":                           "Build-up",
		"/build?pos=D22":                   "Closing it now would leave over:",
		"/torque/P39":                      "150 N·m",
		"/torque/C06?method=bar and scale": "Length from the nut to the point of pull",
		"/note":                            "What is to be remembered",
		"/hand-over":                       "Still open",
		"/book":                            "Head of the book",
	} {
		w := b.get("/job/linnet" + strings.ReplaceAll(path, " ", "+"))
		holds(t, w, 200, says, `<b>L</b>`, "Linnet", "blue tape")
		if t.Failed() {
			t.Fatalf("at /job/linnet%s", path)
		}
	}
	holds(t, b.get("/"), 200, "Linnet", "Dunnock", "Plover", "yellow tape")
	holds(t, b.get("/stores"), 200, "Side shim", "2.001 mm", "D20 side shims left")
	holds(t, b.get("/job/nobody"), 404, "There is no job", "Back to the bench")
	holds(t, b.get("/nowhere"), 404, "There is nothing under this address")
}

// The return card names what is loose and what waits.
func TestReturnCard(t *testing.T) {
	w := demoBench(t).get("/job/linnet")
	holds(t, w, 200, "P39 pinion nut is torqued and not locked", "Lock P39 pinion nut", "Backlash", "out of its limits", "D24 O-ring left is not on yet", `data-key="P08"`)
}

var (
	href   = regexp.MustCompile(`(?:href|src|action)="([^"]+)"`)
	inline = regexp.MustCompile(`(?i)<style|\sstyle=|\son[a-z]+=|<script(?:\s[^>]*)?>[^<]|javascript:`)
)

// Every link on every page leads somewhere, and no page carries inline script
// or style.
func TestCrawl(t *testing.T) {
	b := demoBench(t)
	seen := map[string]bool{"/": true}
	todo := []string{"/"}
	kinds := map[string]int{} // positions look alike: a few of each page suffice
	asks := map[string]bool{} // a form without what it asks for may be refused
	mux := (&server{}).mux()
	for n := 0; len(todo) > 0; n++ {
		path := todo[0]
		todo = todo[1:]
		w := b.get(path)
		if w.Code != 200 && w.Code != 303 && !(asks[path] && w.Code == 422) {
			t.Errorf("%s: status %d", path, w.Code)
		}
		if !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
			continue
		}
		body := w.Body.String()
		if m := inline.FindString(body); m != "" {
			t.Errorf("%s has inline script or style: %q", path, m)
		}
		for _, m := range href.FindAllStringSubmatch(body, -1) {
			to, _, _ := strings.Cut(html.UnescapeString(m[1]), "#")
			if to == "" || seen[to] {
				continue
			}
			seen[to] = true
			if strings.Contains(body, `method="post" action="`+m[1]) {
				continue // a form that is sent: the other tests do
			}
			asks[to] = strings.Contains(body, `action="`+m[1]+`"`)
			_, kind := mux.Handler(httptest.NewRequest("GET", home+to, nil))
			if kinds[kind]++; kinds[kind] <= 8 {
				todo = append(todo, to)
			}
		}
	}
	if len(seen) < 500 {
		t.Errorf("the crawl found %d links only", len(seen))
	}
}

func TestPolicy(t *testing.T) {
	b := newBench(t)
	h := b.get("/").Header()
	csp := h.Get("Content-Security-Policy")
	for _, s := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "form-action 'self'", "frame-ancestors 'none'", "base-uri 'none'"} {
		if !strings.Contains(csp, s) {
			t.Errorf("policy lacks %q", s)
		}
	}
	if strings.Contains(csp, "unsafe") {
		t.Errorf("policy allows %q", csp)
	}
	if h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Referrer-Policy") == "" {
		t.Errorf("headers %v", h)
	}
}

func TestHost(t *testing.T) {
	b := newBench(t)
	for host, code := range map[string]int{
		"127.0.0.1:8080": 200, "localhost": 200, "[::1]:9": 200, "bench.local:8080": 200, "BENCH.local": 200,
		"evil.example": 421, "bench.local.evil.example": 421, "127.0.0.1.evil.example:80": 421, "": 421,
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.Host = host
		if w := b.do(r); w.Code != code {
			t.Errorf("host %q: %d, want %d", host, w.Code, code)
		}
	}
}

func TestCrossSite(t *testing.T) {
	b := newBench(t)
	for name, c := range map[string]struct {
		set  map[string]string
		code int
	}{
		"same origin":    {map[string]string{"Origin": home}, 303},
		"same by fetch":  {map[string]string{"Sec-Fetch-Site": "same-origin"}, 303},
		"neither":        {nil, 403},
		"other site":     {map[string]string{"Origin": "http://evil.example"}, 403},
		"other port":     {map[string]string{"Origin": "http://127.0.0.1:9999"}, 403},
		"null origin":    {map[string]string{"Origin": "null"}, 403},
		"cross by fetch": {map[string]string{"Sec-Fetch-Site": "cross-site", "Origin": home}, 403},
	} {
		before := b.entries("wren")
		r := httptest.NewRequest("POST", home+"/job/wren/note", strings.NewReader("text=looked+at+"+url.QueryEscape(name)))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		for k, v := range c.set {
			r.Header.Set(k, v)
		}
		w := b.do(r)
		added := b.entries("wren") - before
		if w.Code != c.code || added != map[bool]int{true: 1}[c.code == 303] {
			t.Errorf("%s: status %d, %d entries added", name, w.Code, added)
		}
	}
}

// A refused form comes back with all that was typed and the reason.
func TestTypedIsKept(t *testing.T) {
	b := newBench(t)
	holds(t, b.post("/job/wren/strip", url.Values{"pos": {"C08"}, "place": {"bag 2"}}), 303)
	for _, c := range []struct {
		path string
		form url.Values
		says []string
	}{
		{"/job/wren/strip", url.Values{"pos": {"P39"}, "place": {"bag 7"}, "damage": {"thread picked up"}},
			[]string{"which way did it face?", `value="bag 7"`, `value="thread picked up"`}},
		{"/job/wren/read/one", url.Values{"what": {"primary float as found"}, "value": {"0.26", "o.27", ""}, "note": {"cold shop"}},
			[]string{"reading 2", `value="0.26"`, `value="o.27"`, `value="cold shop"`}},
		{"/new", url.Values{"unit": {"Siskin"}, "letter": {"SI"}, "colour": {"green"}, "type": {"BW-4T"}, "symptoms": {"whine in drive"}},
			[]string{"is not one letter", `value="Siskin"`, "whine in drive", `value="green" required checked`}},
		{"/job/wren/decide", url.Values{"pos": {"P08"}, "choice": {"perhaps"}, "why": {"dogs worn"}}, []string{"choose one of", `value="dogs worn"`}},
		{"/job/wren/build", url.Values{"pos": {"C08"}, "tags": {""}, "other": {"X-77"}}, []string{"C08 breather", `value="X-77"`, "Not recorded"}},
		{"/job/wren/torque/P39", url.Values{"method": {"wrench"}, "reads": {"lots"}}, []string{`value="lots"`, "Not recorded"}},
		{"/job/wren/hand-over", url.Values{"to": {"the line"}}, []string{"oil", `value="the line"`}},
		{"/job/wren/note", url.Values{"topic": {"debris"}}, []string{"write what is to be remembered", `value="debris"`}},
		{"/stores/piece", url.Values{"tag": {"s1"}, "stock": {"side shim"}, "thick": {"9 yards"}}, []string{`value="9 yards"`, `value="s1"`}},
		{"/stores/instrument", url.Values{"name": {"feelers"}, "quantity": {"length"}, "unit": {"mm"}, "u": {"some"}}, []string{"uncertainty", `value="some"`}},
		{"/job/wren/setting/answer", url.Values{"name": {"pinion depth"}, "answer": {"perhaps"}}, []string{"is neither"}},
	} {
		before := b.entries("wren")
		w := b.post(c.path, c.form)
		if w.Code < 400 || w.Code >= 500 {
			t.Errorf("%s: status %d", c.path, w.Code)
		}
		body := html.UnescapeString(w.Body.String())
		for _, s := range c.says {
			if !strings.Contains(body, s) {
				t.Errorf("%s: the page does not hold %q", c.path, s)
			}
		}
		if !strings.Contains(body, `role="alert"`) {
			t.Errorf("%s: no alert on the form", c.path)
		}
		if b.entries("wren") != before {
			t.Errorf("%s: something was recorded", c.path)
		}
	}
}

// A form sent twice makes one entry; the same form filled in anew makes another.
func TestSameFormTwice(t *testing.T) {
	b := newBench(t)
	before := b.entries("wren")
	form := url.Values{"id": {newID()}, "what": {"primary float as found"}, "value": {"0.26", "0.27", "0.26"}}
	for range 3 {
		holds(t, b.post("/job/wren/read/one", form), 303)
	}
	if n := b.entries("wren") - before; n != 1 {
		t.Errorf("%d entries, want 1", n)
	}
	form.Set("value", "0.25")
	holds(t, b.post("/job/wren/read/one", form), 303)
	if n := b.entries("wren") - before; n != 2 {
		t.Errorf("%d entries after filling it in anew, want 2", n)
	}
	holds(t, b.get("/job/wren/read/one?what=primary+float+as+found"), 200, "0.25 mm")
}

func (b *bench) send(path, body string) *httptest.ResponseRecorder {
	r := httptest.NewRequest("POST", home+path, strings.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Origin", home)
	return b.do(r)
}

func TestAPI(t *testing.T) {
	b := newBench(t)
	before := b.entries("wren")
	entry := `{"id":"019a0000-0000-7000-8000-000000000001","kind":"taken off","by":"Ivo","device":"phone","n":3,"body":{"position":"C08","place":"bag 2"}}`
	for range 2 {
		holds(t, b.send("/api/job/wren/entry", entry), 200, `"unit":"Wren"`, `"state":"off"`)
	}
	if n := b.entries("wren") - before; n != 1 {
		t.Errorf("%d entries, want 1", n)
	}
	for body, code := range map[string]int{
		`{"kind":"taken off","body":{"position":"ZZ9","place":"bag"}}`: 422,
		`{"kind":"opened","body":{}}`:                                  422,
		`{"kind":"noted","body":{"txt":"x"}}`:                          422,
		`nonsense`:                                                     422,
	} {
		w := b.send("/api/job/wren/entry", body)
		var p struct {
			Status        int
			Title, Detail string
		}
		if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || w.Code != code || p.Status != code || p.Detail == "" || p.Title == "" {
			t.Errorf("%s: %d %s", body, w.Code, w.Body)
		}
		if ct := w.Header().Get("Content-Type"); ct != "application/problem+json" {
			t.Errorf("%s: content type %q", body, ct)
		}
	}
	holds(t, b.send("/api/job/stores/entry", `{"kind":"tool","body":{"name":"bar","class":"bar","values":{"arm":"0.6 m"}}}`), 200, `"book":"stores"`)
	holds(t, b.get("/api/job/none"), 404, "there is no job")
	holds(t, b.get("/api/jobs"), 200, `"letter":"W"`)
	holds(t, b.get("/api/sums"), 200, `"name":"lever"`)
	holds(t, b.send("/api/sums/lever", `{"want":"150 N·m","arm":"0.6 m"}`), 200, `"text":"250.0 N"`)
	holds(t, b.send("/api/sums/lever", `{"want":"150 N·m"}`), 422, "arm")
}

// Every sum of the catalogue answers its own example on its page.
func TestSums(t *testing.T) {
	b := newBench(t)
	for _, s := range catalog.All() {
		w := b.get("/sums/" + s.Name + "?example=yes")
		a, err := s.Run(s.Example)
		if err != nil {
			t.Fatalf("%s: %v", s.Name, err)
		}
		holds(t, w, 200, s.Title, a.Results[0].Text, "How it was reached")
	}
	holds(t, b.get("/sums?for=bar+scale"), 200, "Lever and scale")
	holds(t, b.get("/sums/lever?want=150&arm=long"), 200, `aria-invalid="true"`)
	holds(t, b.get("/sums/lever?want=150&arm=0.6&show=result"), 200, "250.0 N")
	holds(t, b.get("/sums/nosuch"), 404, "no sum called")
	holds(t, b.get("/sums/length-20?show=result&reading=170.60&temperature=9&part=aluminium"), 200, "How it was reached") // an input called part
}

// What must be given comes first, the answer next, and what may be left out is
// folded away below it, open when one of these is given.
func TestSumOrder(t *testing.T) {
	b := newBench(t)
	body := b.get("/sums/lever?want=150&arm=0.6").Body.String()
	last := -1
	for _, s := range []string{`name="want"`, `name="arm"`, `id="result"`, `<summary>More to say`, `name="bar-mass"`} {
		at := strings.Index(body, s)
		if at <= last {
			t.Errorf("%s stands at %d, after %d", s, at, last)
		}
		last = at
	}
	folded, open := `<details class="more"><summary>More to say`, `<details class="more" open><summary>More to say`
	for query, want := range map[string]string{"want=150&arm=0.6": folded, "want=150&arm=0.6&bar-mass=2.4": open, "bar-mass=heavy": open, "arm=long": folded} {
		holds(t, b.get("/sums/lever?"+query), 200, want)
	}
}

// A photo goes in, comes back as a JPEG that keeps, and is not lost when the
// form that brought it is refused.
func TestPhoto(t *testing.T) {
	b := newBench(t)
	var pic, body bytes.Buffer
	if err := png.Encode(&pic, image.NewGray(image.Rect(0, 0, 40, 30))); err != nil {
		t.Fatal(err)
	}
	m := multipart.NewWriter(&body)
	m.WriteField("pos", "P39")
	m.WriteField("place", "bag 7")
	f, _ := m.CreateFormFile("photo", "p39.png")
	f.Write(pic.Bytes())
	m.Close()
	r := httptest.NewRequest("POST", home+"/job/wren/strip", &body)
	r.Header.Set("Content-Type", m.FormDataContentType())
	r.Header.Set("Origin", home)
	w := b.do(r)
	holds(t, w, 422, "which way did it face?")
	kept := regexp.MustCompile(`name="kept" value="([0-9a-f]{64})"`).FindStringSubmatch(w.Body.String())
	if kept == nil {
		t.Fatal("the photo was lost with the refusal")
	}
	holds(t, b.post("/job/wren/strip", url.Values{"pos": {"P39"}, "place": {"bag 7"}, "faced": {"chamfer toward P38"}, "kept": {kept[1]}}), 303)
	holds(t, b.get("/job/wren/at/P39"), 200, "/photo/"+kept[1])
	p := b.get("/photo/" + kept[1])
	if p.Code != 200 || p.Header().Get("Content-Type") != "image/jpeg" || !strings.Contains(p.Header().Get("Cache-Control"), "immutable") || !strings.Contains(p.Header().Get("Content-Security-Policy"), "sandbox") {
		t.Errorf("photo: %d %v", p.Code, p.Header())
	}
	holds(t, b.get("/photo/"+strings.Repeat("0", 64)), 404)
	holds(t, b.get("/photo/..%2f..%2fetc"), 404)
}

// The bench loads in under 70 kB: page, style, all modules and both fonts, which are
// 45 of it. The aim of 60 is missed.
func TestFirstView(t *testing.T) {
	b := demoBench(t)
	total := 0
	for _, path := range []string{"/", "/static/style.css", "/static/bench.js", "/static/outbox.js", "/static/wedge.js", "/static/font/plex-sans-400.woff2", "/static/font/plex-sans-700.woff2", "/static/mark.svg"} {
		r := httptest.NewRequest("GET", home+path, nil)
		r.Header.Set("Accept-Encoding", "gzip")
		w := b.do(r)
		if w.Code != 200 {
			t.Fatalf("%s: %d", path, w.Code)
		}
		total += w.Body.Len()
		if w.Header().Get("Content-Encoding") == "gzip" {
			z, err := gzip.NewReader(w.Body)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := io.Copy(io.Discard, z); err != nil {
				t.Errorf("%s: %v", path, err)
			}
		}
	}
	if total >= 70_000 {
		t.Errorf("the first view takes %d bytes", total)
	}
	t.Logf("first view: %d bytes", total)
}

// The last entry can be struck from wherever it was made; an older one needs a
// reason.
func TestStrike(t *testing.T) {
	b := newBench(t)
	b.post("/job/wren/note", url.Values{"text": {"first thing"}})
	b.post("/job/wren/note", url.Values{"text": {"second thing"}})
	d, _ := b.sh.Open(context.Background(), "wren")
	n := len(d.Entries)
	holds(t, b.get("/job/wren"), 200, "Strike it", d.Entries[n-1].ID)
	holds(t, b.post("/job/wren/strike", url.Values{"entry": {d.Entries[n-2].ID}}), 422, "write why it is struck")
	holds(t, b.post("/job/wren/strike", url.Values{"entry": {d.Entries[n-2].ID}, "why": {"said twice"}}), 303)
	holds(t, b.get("/job/wren/book"), 200, "struck: said twice")
}

// A piece picked up at another unit's bench stops the hand.
func TestTag(t *testing.T) {
	b := demoBench(t)
	holds(t, b.get("/tag?tag=D-P39&from=linnet"), 200, "Stop", "Dunnock", "yellow tape", "<b>L</b>", "<b>D</b>", "Back to Linnet")
	holds(t, b.get("/tag?tag=D-P39&from=dunnock"), 200, "Open P39")
	holds(t, b.get("/tag?tag=s14"), 200, "D20 side shims left")
	holds(t, b.get("/tag?tag=nothing-like-it"), 404, "No piece is tagged")
}

// A picture of which way round names what lies on either side as it lies on
// the carrier.
func TestEnds(t *testing.T) {
	b := newBench(t)
	d, err := b.sh.Open(context.Background(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string][3]string{
		"P08": {"head", "P10", "P10"}, // its neighbour toward the nut
		"P09": {"head", "P10", "P10"}, // lugs to the hub
		"P15": {"P10", "nut", "P10"},  // its neighbour toward the head
		"P02": {"head", "nut", "nut"}, // an end of the shaft
		"D22": {"up", "down", "down"}, // no ends: up and down
		"D26": {"out", "in", "in"},
	} {
		p, _ := d.Box.Position(id)
		ends, toward, other := endsFor(p, p.Faces[0])
		if got := [3]string{ends[0], ends[1], toward}; got != want {
			t.Errorf("%s: %q, want %q", id, got, want)
		}
		if other == toward || other != ends[0] && other != ends[1] {
			t.Errorf("%s: the other way is %q", id, other)
		}
		with, away := faceBoth(p, p.Faces[0])
		if with.SVG == "" || with.SVG == away.SVG {
			t.Errorf("%s: both pictures are the same", id)
		}
	}
}

// The number on the pinion is asked with two pictures, and the answer counts.
func TestEtched(t *testing.T) {
	b := demoBench(t)
	page := "/job/dunnock/setting?name=pinion+depth"
	holds(t, b.get(page), 200, "what does a plus mean?", "axis of the crown wheel")
	holds(t, b.post("/job/dunnock/setting/answer", url.Values{"name": {"pinion depth"}, "answer": {"further"}}), 303)
	if w := b.get(page); strings.Contains(w.Body.String(), "what does a plus mean?") {
		t.Error("it is asked again")
	}
	holds(t, b.get(page), 200, "+ means further")
}

// Addresses to return to stay within the program.
func TestLocal(t *testing.T) {
	for in, want := range map[string]string{"/job/wren": "/job/wren", "": "/", "//evil.example": "/", "http://evil.example": "/", `/\evil.example`: "/", "/\n/evil": "/"} {
		if got := local(in); got != want {
			t.Errorf("local(%q) = %q, want %q", in, got, want)
		}
	}
}

// A screen that listens is told of a change, and of no other book's.
func TestEvents(t *testing.T) {
	b := newBench(t)
	srv := httptest.NewServer(b.h)
	defer srv.Close()
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	r, _ := http.NewRequestWithContext(ctx, "GET", srv.URL+"/events?book=wren", nil)
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	go func() {
		b.sh.Record(ctx, shop.By{Name: "T"}, shop.StoresBook, job.Tool{Name: "bar", Class: "bar"})
		b.sh.Record(ctx, shop.By{Name: "T"}, "wren", job.Noted{Text: "looked at"})
	}()
	buf := make([]byte, 4096)
	var got string
	for !strings.Contains(got, "data:") {
		n, err := resp.Body.Read(buf)
		if got += string(buf[:n]); err != nil {
			t.Fatalf("%v after %q", err, got)
		}
	}
	if !strings.Contains(got, "data: wren\n") || strings.Contains(got, "stores") {
		t.Errorf("got %q", got)
	}
}

// The dress and the name are kept in cookies of this device.
func TestCookies(t *testing.T) {
	b := newBench(t)
	w := b.post("/look", url.Values{"dress": {"under"}, "back": {"/sums"}})
	if w.Code != 303 || w.Header().Get("Location") != "/sums" {
		t.Fatalf("%d %v", w.Code, w.Header())
	}
	r := httptest.NewRequest("GET", home+"/", nil)
	r.AddCookie(w.Result().Cookies()[0])
	holds(t, b.do(r), 200, `<html lang="en" class="under">`)
	w = b.post("/who", url.Values{"name": {"Tove Marrin"}, "device": {"old tablet"}})
	r = httptest.NewRequest("POST", home+"/job/wren/note", strings.NewReader("text=signed+by+me"))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", home)
	for _, c := range w.Result().Cookies() {
		r.AddCookie(c)
	}
	b.do(r)
	holds(t, b.get("/job/wren/book"), 200, "Tove Marrin", "on old tablet")
}
