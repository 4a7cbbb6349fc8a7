package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// sendIn sends a file as the photo of a part that came off, as a form does, and as
// the body of a request, as another program does.
func (b *bench) sendIn(raw []byte, name, pos string) (form, api *httptest.ResponseRecorder) {
	b.t.Helper()
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	for k, v := range map[string]string{"pos": pos, "faced": "not seen", "place": "tray W", "asks": "photo"} {
		if err := m.WriteField(k, v); err != nil {
			b.t.Fatal(err)
		}
	}
	f, err := m.CreateFormFile("photo", name)
	if err == nil {
		_, err = f.Write(raw)
	}
	if err == nil {
		err = m.Close()
	}
	if err != nil {
		b.t.Fatal(err)
	}
	r := httptest.NewRequest("POST", home+"/job/wren/strip", &body)
	r.Header.Set("Content-Type", m.FormDataContentType())
	r.Header.Set("Origin", home)
	form = b.do(r)
	r = httptest.NewRequest("POST", home+"/api/photo", bytes.NewReader(raw))
	r.Header.Set("Origin", home)
	return form, b.do(r)
}

// broken is a real file made unreadable, or something else altogether.
func broken(r *rand.Rand, seeds [][]byte) []byte {
	b := bytes.Clone(seeds[r.IntN(len(seeds))])
	at := r.IntN(max(1, len(b)-1))
	switch r.IntN(7) {
	case 0:
		return b[:at]
	case 1:
		b[at] ^= 1 << r.IntN(8)
	case 2:
		return append([]byte("<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"), b...)
	case 3:
		return append([]byte("%PDF-1.7\n"), b...)
	case 4:
		junk := make([]byte, 1+r.IntN(4000))
		for i := range junk {
			junk[i] = byte(r.Uint32())
		}
		return junk
	case 5:
		return slices.Concat(b[:at], seeds[r.IntN(len(seeds))])
	default:
		copy(b[at:], "\xff\xd8\xff\xe1\xff\xff")
	}
	return b
}

// Thousands of broken and hostile files, sent in as forms and by the API, are
// recorded as clean photos or refused with a word, none breaks the server, nothing
// but JPEG made here is ever served, and the memory for all of it is bounded.
func TestHostileUploads(t *testing.T) {
	b := newBench(t)
	names, err := filepath.Glob("../photo/testdata/*.*")
	if err != nil || len(names) < 15 {
		t.Fatalf("%d samples, %v", len(names), err)
	}
	var seeds [][]byte
	for _, n := range names {
		raw, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		seeds = append(seeds, raw)
	}
	files := 2000
	if testing.Short() {
		files = 200
	}
	r := rand.New(rand.NewPCG(11, 2026))
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	refused, taken := 0, 0
	said := map[string]int{}
	entries := b.entries("wren")
	for n := range files {
		if n%20 == 0 { // a visitor who sends so much at once is asked to wait
			b.h = New(b.sh, Options{Version: "test"})
		}
		form, api := b.sendIn(broken(r, seeds), fmt.Sprintf("../../%d.svg", n), "C07")
		switch api.Code {
		case http.StatusUnprocessableEntity:
			refused++
			var p struct{ Detail string }
			if err := json.Unmarshal(api.Body.Bytes(), &p); err != nil || len(p.Detail) < 20 {
				t.Fatalf("refused with %q, %v", p.Detail, err)
			}
			said[p.Detail]++
			if form.Code != http.StatusUnprocessableEntity || !strings.Contains(form.Body.String(), "Not recorded") {
				t.Fatalf("the API refused it (%s) and the form answered %d", p.Detail, form.Code)
			}
			if b.entries("wren") != entries {
				t.Fatalf("recorded without its photo: %s", p.Detail)
			}
		case http.StatusOK:
			taken++
			var k photoJSON
			if err := json.Unmarshal(api.Body.Bytes(), &k); err != nil {
				t.Fatal(err)
			}
			w := b.get("/photo/" + k.Key)
			if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "image/jpeg" || bytes.Contains(w.Body.Bytes(), []byte("<script")) {
				t.Fatalf("served with %d as %s", w.Code, w.Header().Get("Content-Type"))
			}
			if _, err := jpeg.Decode(w.Body); err != nil {
				t.Fatalf("what is served is no picture: %v", err)
			}
			entries = b.entries("wren")
		default:
			t.Fatalf("status %d: %.200s", api.Code, api.Body)
		}
	}
	runtime.ReadMemStats(&after)
	grew := float64(after.Sys-before.Sys) / 1e6
	t.Logf("%d files, each twice: %d taken, %d refused in %d ways; memory grew by %.0f MB", files, taken, refused, len(said), grew)
	if refused < files/4 || taken == 0 || len(said) < 4 {
		t.Errorf("the files are too tame: %v", said)
	}
	if grew > 200 {
		t.Errorf("memory grew by %.0f MB", grew)
	}
}

// A file too large to be a photo is turned away at the door, by the form and by the
// API, without being read to its end into memory.
func TestHugeUploads(t *testing.T) {
	b := newBench(t)
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, image.NewGray(image.Rect(0, 0, 8, 8)), nil); err != nil {
		t.Fatal(err)
	}
	huge := append(buf.Bytes(), make([]byte, 31<<20)...)
	form, api := b.sendIn(huge, "huge.jpg", "C07")
	for _, w := range []*httptest.ResponseRecorder{form, api} {
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "larger than 30 MB") {
			t.Errorf("31 MB: status %d, %.200s", w.Code, w.Body)
		}
	}
	// Ten of them in one form are more than a form may be.
	pr := &endless{left: 300 << 20, head: []byte("--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\n\xff\xd8\xff")}
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	r := httptest.NewRequest("POST", home+"/job/wren/strip", pr)
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	r.Header.Set("Origin", home)
	w := b.do(r)
	runtime.ReadMemStats(&after)
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "send fewer photos") {
		t.Errorf("300 MB: status %d, %s", w.Code, w.Header().Get("Refused"))
	}
	read, grew := float64(300<<20-pr.left)/1e6, float64(after.Sys-before.Sys)/1e6
	t.Logf("300 MB in one form: refused after %.0f MB; memory grew by %.0f MB", read, grew)
	if read > 110 || grew > 100 {
		t.Errorf("refused only after %.0f MB, with %.0f MB of memory", read, grew)
	}
}

// endless is a body that goes on and on.
type endless struct {
	head []byte
	left int
}

func (e *endless) Read(p []byte) (int, error) {
	if len(e.head) > 0 {
		n := copy(p, e.head)
		e.head = e.head[n:]
		return n, nil
	}
	n := min(len(p), e.left)
	clear(p[:n])
	e.left -= n
	return n, nil
}
