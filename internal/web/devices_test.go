package web

import (
	"context"
	"encoding/json"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"endfloat/internal/shop"
)

// lanBench is the workshop as a phone reaches it: under a name of the network.
func lanBench(t *testing.T) *bench {
	b := newBench(t)
	b.h = New(b.sh, Options{LAN: true, Host: []string{"bench.local"}, Base: "http://bench.local:8080"})
	return b
}

// call sends a request: from the computer itself, or from a phone with cookies.
func (b *bench) call(phone bool, method, path string, form url.Values, cookies ...*http.Cookie) *httptest.ResponseRecorder {
	base := home
	if phone {
		base = "http://bench.local:8080"
	}
	r := httptest.NewRequest(method, base+path, strings.NewReader(form.Encode()))
	r.Header.Set("Origin", base)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.RemoteAddr = "127.0.0.1:5000"
	if phone {
		r.RemoteAddr = "192.168.1.30:5000"
	}
	for _, c := range cookies {
		r.AddCookie(c)
	}
	return b.do(r)
}

func cookieOf(t *testing.T, w *httptest.ResponseRecorder, name string) *http.Cookie {
	t.Helper()
	for _, c := range w.Result().Cookies() {
		if c.Name == name && c.Value != "" {
			if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode {
				t.Errorf("cookie %s can be read by scripts or is sent by other sites", name)
			}
			return c
		}
	}
	t.Fatalf("no cookie %s: status %d, %.300s", name, w.Code, w.Body)
	return nil
}

var (
	shownCode  = regexp.MustCompile(`/pair</b> and type <b class="code num">([\w-]{22})</b>`)
	shownWords = regexp.MustCompile(`<p class="words">([a-z ]+)</p>`)
)

// pairAs pairs a phone and returns its pass.
func (b *bench) pairAs(role shop.Role) *http.Cookie {
	b.t.Helper()
	if w := b.call(false, "POST", "/devices/pair", url.Values{"name": {"Ines Roon"}, "called": {"phone of a " + string(role)}, "role": {string(role)}}); w.Code != 303 {
		b.t.Fatalf("status %d: %s", w.Code, w.Body)
	}
	code := shownCode.FindStringSubmatch(b.call(false, "GET", "/devices", nil).Body.String())
	if code == nil {
		b.t.Fatal("no code of 128 bits is shown")
	}
	claim := cookieOf(b.t, b.call(true, "POST", "/pair", url.Values{"code": {code[1]}}), "claim")
	if w := b.call(true, "POST", "/pair", url.Values{"code": {code[1]}}); w.Code != 422 {
		b.t.Errorf("the code was taken twice: status %d", w.Code)
	}
	phone := shownWords.FindStringSubmatch(b.call(true, "GET", "/pair/wait", nil, claim).Body.String())
	owner := shownWords.FindStringSubmatch(b.call(false, "GET", "/devices", nil).Body.String())
	if phone == nil || owner == nil || phone[1] != owner[1] || len(strings.Fields(phone[1])) != 4 {
		b.t.Fatalf("the phone shows %q, the owner's screen %q", phone, owner)
	}
	b.call(false, "POST", "/devices/yes", url.Values{"words": {phone[1]}, "yes": {"yes"}})
	return cookieOf(b.t, b.call(true, "GET", "/pair/wait", nil, claim), "pass")
}

func TestPairing(t *testing.T) {
	b := lanBench(t)
	holds(t, b.call(true, "GET", "/", nil), 401, "This device is not paired")
	if strings.Contains(b.call(true, "GET", "/job/wren", nil).Body.String(), "Wren") {
		t.Error("a device that is not paired reads a book")
	}
	pass := b.pairAs(shop.Hand)
	holds(t, b.call(true, "GET", "/job/wren", nil, pass), 200, "Wren", "Ines Roon", "hand")
	if w := b.call(true, "POST", "/job/wren/note", url.Values{"text": {"oil is black"}}, pass); w.Code != 303 {
		t.Errorf("status %d: %.300s", w.Code, w.Body)
	}
	d, err := b.sh.Open(context.Background(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	if e := d.Entries[len(d.Entries)-1]; b.sh.Name(context.Background(), e.By) != "Ines Roon" || e.On != "phone of a hand" {
		t.Errorf("the note is by %s on %s", b.sh.Name(context.Background(), e.By), e.On)
	}
	if w := b.call(true, "GET", "/job/wren", nil, &http.Cookie{Name: "pass", Value: pass.Value[:len(pass.Value)-1] + "-"}); w.Code != 401 {
		t.Errorf("a wrong pass: status %d", w.Code)
	}
	for _, book := range []string{"devices"} {
		holds(t, b.call(false, "GET", "/job/"+book, nil), 404, "There is no job")
		holds(t, b.call(false, "POST", "/job/"+book+"/note", url.Values{"text": {"x"}}), 404)
	}
	ds, err := b.sh.Devices(context.Background())
	if err != nil || len(ds) != 1 {
		t.Fatal(ds, err)
	}
	holds(t, b.call(true, "POST", "/devices/strike", url.Values{"device": {ds[0].ID}}, pass), 403, "the owner may")
	b.call(false, "POST", "/devices/strike", url.Values{"device": {ds[0].ID}})
	holds(t, b.call(true, "GET", "/job/wren", nil, pass), 401, "not paired")
}

// A wrong code may be given a few times only; a refused phone stays out.
func TestPairingRefused(t *testing.T) {
	b := lanBench(t)
	begin := func() string {
		b.call(false, "POST", "/devices/pair", url.Values{"name": {"Ines Roon"}, "called": {"phone"}, "role": {"hand"}})
		return shownCode.FindStringSubmatch(b.call(false, "GET", "/devices", nil).Body.String())[1]
	}
	code := begin()
	for range pairTries {
		holds(t, b.call(true, "POST", "/pair", url.Values{"code": {"AAAAAAAAAAAAAAAAAAAAAA"}}), 422, "is not the one")
	}
	holds(t, b.call(true, "POST", "/pair", url.Values{"code": {code}}), 422, "is not the one")
	claim := cookieOf(t, b.call(true, "POST", "/pair", url.Values{"code": {begin()}}), "claim")
	words := shownWords.FindStringSubmatch(b.call(false, "GET", "/devices", nil).Body.String())[1]
	b.call(false, "POST", "/devices/yes", url.Values{"words": {words}})
	holds(t, b.call(true, "GET", "/pair/wait", nil, claim), 422, "The owner said no")
	if ds, err := b.sh.Devices(context.Background()); err != nil || len(ds) != 0 {
		t.Errorf("%v %v", ds, err)
	}
}

// A reader changes nothing, by any route there is; what a role may not do is said
// with who may.
func TestRoles(t *testing.T) {
	b := lanBench(t)
	reader, hand, witness := b.pairAs(shop.Reader), b.pairAs(shop.Hand), b.pairAs(shop.Witness)
	s := &server{sh: b.sh}
	before := b.entries("wren") + b.entries(shop.StoresBook)
	tried := 0
	for _, r := range s.routes() {
		method, path, _ := strings.Cut(r.pattern, " ")
		if method != "POST" || strings.HasPrefix(path, "/api/sums") || path == "/api/scan" || path == "/scan" || path == "/look" || path == "/pair" {
			continue
		}
		path = strings.NewReplacer("{book}", "wren", "{pos}", "P08", "{name}", "lever").Replace(path)
		if w := b.call(true, "POST", path, url.Values{"text": {"x"}}, reader); w.Code != 403 {
			t.Errorf("a reader at %s: status %d", path, w.Code)
		}
		tried++
	}
	if after := b.entries("wren") + b.entries(shop.StoresBook); after != before || tried < 20 {
		t.Errorf("%d entries, then %d; %d routes", before, after, tried)
	}
	send := func(pass *http.Cookie, body string) string {
		r := httptest.NewRequest("POST", "http://bench.local:8080/api/job/wren/entry", strings.NewReader(body))
		r.Header.Set("Origin", "http://bench.local:8080")
		r.RemoteAddr = "192.168.1.30:5000"
		r.AddCookie(pass)
		var p struct{ Detail string }
		w := b.do(r)
		if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil {
			t.Fatal(err)
		}
		return html.UnescapeString(p.Detail)
	}
	for _, c := range []struct {
		pass       *http.Cookie
		body, says string
	}{
		{hand, `{"kind":"closed","body":{"oil":"dry"}}`, "a hand may not hand a unit over; the owner may"},
		{hand, `{"kind":"fitted","body":{"position":"D22","tags":["W-D22"]}}`, "a hand may not close a lid; the owner may"},
		{witness, `{"kind":"taken off","body":{"position":"P39","place":"tray"}}`, "a witness may not do this work; the owner or the hand may"},
		{witness, `{"kind":"noted","by":"Somebody Else","body":{"text":"seen"}}`, ""},
	} {
		if says := send(c.pass, c.body); says != c.says {
			t.Errorf("%s: %q, want %q", c.body, says, c.says)
		}
	}
	d, err := b.sh.Open(context.Background(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	if e := d.Entries[len(d.Entries)-1]; b.sh.Name(context.Background(), e.By) != "Ines Roon" {
		t.Error("a paired device wrote under another name")
	}
}

// A file of waiting entries is taken in once, in order, with what is refused said.
func TestTakeFile(t *testing.T) {
	b := newBench(t)
	file := `{"endfloat waiting":1,"who":"Ines Roon","device":"bench phone"}
{"n":4,"id":"0199d3c0-0000-7000-8000-000000000004","at":"2026-03-05T08:00:00Z","to":"/job/wren/note","fields":[["text","first"]],"photos":[]}
{"n":5,"id":"0199d3c0-0000-7000-8000-000000000005","at":"2026-03-05T08:01:00Z","to":"/job/wren/note","fields":[["text",""]],"photos":[]}
{"n":6,"id":"0199d3c0-0000-7000-8000-000000000006","at":"2026-03-05T08:02:00Z","to":"/job/wren/hand-over","fields":[],"photos":[]}
{"n":7,"id":"0199d3c0-0000-7000-8000-000000000007","at":"2026-03-05T08:03:00Z","to":"/job/wren/note","fields":[["text","second"]],"photos":[]}
`
	for range 2 {
		taken, err := TakeFile(context.Background(), b.sh, strings.NewReader(file), nil)
		if err != nil || len(taken) != 4 || taken[0].Says != "" || !strings.Contains(taken[1].Says, "nothing was written") || taken[2].Says == "" || taken[3].Says != "" {
			t.Fatalf("%+v, %v", taken, err)
		}
	}
	if n := b.entries("wren"); n != 3 {
		t.Errorf("%d entries, want the opening and two notes", n)
	}
	if _, err := TakeFile(context.Background(), b.sh, strings.NewReader("hello\n"), nil); err == nil {
		t.Error("any file was taken")
	}
}
