package web

import (
	"bytes"
	"encoding/json"
	"image"
	"image/png"
	"mime/multipart"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	tags "endfloat/internal/label"
)

// shot is a photo of a label.
func shot(t *testing.T, text string) []byte {
	t.Helper()
	c, err := tags.Label{Code: text}.Encode(tags.Finest)
	if err != nil {
		t.Fatal(err)
	}
	const px = 8
	img := image.NewGray(image.Rect(0, 0, (c.Size+8)*px, (c.Size+8)*px))
	for i := range img.Pix {
		img.Pix[i] = 255
		if x, y := i%img.Stride/px-4, i/img.Stride/px-4; x >= 0 && y >= 0 && x < c.Size && y < c.Size && c.Black(x, y) {
			img.Pix[i] = 0
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// upload sends a file as a form does.
func (b *bench) upload(path, file string, raw []byte, fields url.Values) *httptest.ResponseRecorder {
	b.t.Helper()
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	for k, vs := range fields {
		m.WriteField(k, vs[0])
	}
	f, err := m.CreateFormFile("photo", file)
	if err != nil {
		b.t.Fatal(err)
	}
	f.Write(raw)
	m.Close()
	r := httptest.NewRequest("POST", home+path, &body)
	r.Header.Set("Content-Type", m.FormDataContentType())
	r.Header.Set("Origin", home)
	return b.do(r)
}

func (b *bench) sendRaw(path string, raw []byte) *httptest.ResponseRecorder {
	r := httptest.NewRequest("POST", home+path, bytes.NewReader(raw))
	r.Header.Set("Origin", home)
	return b.do(r)
}

// The yellow bag at the blue bench: its label is photographed, and the page
// stops the hand before anything is opened.
func TestScanStops(t *testing.T) {
	b := demoBench(t)
	holds(t, b.get("/job/linnet/scan"), 200, "Hold the label", `name="from" value="linnet"`, `action="/scan"`, "<b>L</b>")
	w := b.upload("/scan", "bag.png", shot(t, "EF:bag D D20"), url.Values{"from": {"linnet"}})
	holds(t, w, 303)
	w = b.get(w.Header().Get("Location"))
	holds(t, w, 200, "<h1>Stop</h1>", "is not of Linnet", "Dunnock", "yellow tape", "<b>D</b>", "Put it back", "bag D D20", "Back to Linnet")
	holds(t, b.get("/tag?tag=EF:bag+D+D20&from=dunnock"), 200, "It holds", "D-D20", "Open Dunnock")
	if w := b.get("/tag?tag=D-D20&from=dunnock"); strings.Contains(w.Body.String(), "<h1>Stop</h1>") {
		t.Error("its own unit's bench is stopped")
	}
	holds(t, b.get("/tag?tag=P-D20&from=linnet"), 200, "a donor", "Open D20")
	holds(t, b.get("/tag?tag=D-D20&from=nobody"), 404)

	w = b.get("/T/D-P39") // as a phone's own camera opens it
	holds(t, w, 303)
	holds(t, b.get(w.Header().Get("Location")), 200, "D-P39", "Open P39")
	w = b.get("/T/bag+D+D20")
	holds(t, b.get(w.Header().Get("Location")), 200, "bag D D20")
}

// A photo without a label is answered on the form, at its place.
func TestScanRefused(t *testing.T) {
	b := demoBench(t)
	holds(t, b.upload("/scan", "a.png", shot(t, "EF:L-P08")[:200], url.Values{"from": {"linnet"}}), 422, "damaged", `name="from" value="linnet"`)
	holds(t, b.upload("/scan", "a.txt", []byte("text"), nil), 422, "not a photo")
	holds(t, b.post("/scan", url.Values{}), 422, "No photo came")
	var blank bytes.Buffer
	if err := png.Encode(&blank, image.NewGray(image.Rect(0, 0, 200, 200))); err != nil {
		t.Fatal(err)
	}
	holds(t, b.upload("/scan", "a.png", blank.Bytes(), nil), 422, "No label was found")
	w := b.upload("/scan", "a.png", shot(t, "https://example.com/parts/77"), nil)
	holds(t, b.get(w.Header().Get("Location")), 404, "no label of this workshop", "example.com/parts/77")
}

// Labels come as a PDF from the screen and as a list from the interface.
func TestLabels(t *testing.T) {
	b := demoBench(t)
	holds(t, b.get("/job/linnet/labels"), 200, "L-P08", "bag L D20", "62 mm tape", "/job/linnet/labels.pdf")
	holds(t, b.get("/job/stores/labels"), 200, "s3", "/job/stores/labels.pdf")
	for q, pages := range map[string]int{"?on=62&tag=L-P08": 1, "?on=50x30&tag=L-P08&tag=bag+L+D20&own=": 2, "?on=a4-24": 6, "?on=a4-24&first=24": 7, "?own=1x2+of+100x60&tag=L-P08&tag=L-P09": 1} {
		w := b.get("/job/linnet/labels.pdf" + q)
		if n := strings.Count(w.Body.String(), "/Type /Page\n"); w.Code != 200 || w.Header().Get("Content-Type") != "application/pdf" || n != pages {
			t.Errorf("%s: %d, %d pages, want %d", q, w.Code, n, pages)
		}
	}
	holds(t, b.get("/job/linnet/labels.pdf?on=nothing"), 422, "a4-24")
	holds(t, b.get("/job/linnet/labels.pdf?tag=D-P08"), 422, "o piece and no bag of Linnet")
	holds(t, b.get("/job/linnet/labels.pdf?first=99"), 422, "places 1 to 24")
	holds(t, b.get("/job/linnet/labels.pdf?first=x"), 422, "first free one")
	var got labelsJSON
	w := b.get("/api/job/linnet/labels?tag=L-P08&on=62")
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || len(got.Labels) != 1 || got.Labels[0].Code != "EF:L-P08" || got.Labels[0].Colour != "blue" {
		t.Errorf("%v, %s", err, w.Body)
	}
	holds(t, b.get(got.PDF), 200, "%PDF")
}

// A photo that comes through the interface is cleaned like any other, and a
// label is read there too.
func TestPhotoInterface(t *testing.T) {
	b := demoBench(t)
	var photo photoJSON
	w := b.sendRaw("/api/photo", shot(t, "EF:L-P08"))
	if err := json.Unmarshal(w.Body.Bytes(), &photo); err != nil || w.Code != 200 {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	for _, path := range []string{"/photo/" + photo.Key, "/photo/" + photo.Key + "/small"} {
		if w := b.get(path); w.Code != 200 || w.Header().Get("Content-Type") != "image/jpeg" || !strings.Contains(w.Header().Get("Content-Security-Policy"), "sandbox") {
			t.Errorf("%s: %d %v", path, w.Code, w.Header())
		}
	}
	holds(t, b.sendRaw("/api/photo", []byte("<svg xmlns='http://www.w3.org/2000/svg'/>")), 422, "SVG")
	holds(t, b.sendRaw("/api/photo", nil), 422, "empty")
	holds(t, b.sendRaw("/api/photo", make([]byte, 31<<20)), 422, "larger than 30 MB")
	holds(t, b.sendRaw("/api/scan?at=linnet", shot(t, "EF:D-D20")), 200, `"book":"dunnock"`, `"stop":true`, `"pieces":["D-D20"]`)
	holds(t, b.sendRaw("/api/scan?tag=L-P08", nil), 200, `"book":"linnet"`, `"stop":false`)
	holds(t, b.sendRaw("/api/scan?tag=nothing", nil), 404, "No piece")
}
