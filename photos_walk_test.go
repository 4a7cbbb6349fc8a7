package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"rsc.io/qr"
)

// Taking parts off that the file knows, drawing over their photos, and finding
// both again beside the question when they go back on.
func TestPhotosWalk(t *testing.T) {
	for _, size := range []struct {
		name          string
		width, height int64
	}{{"phone", 390, 844}, {"laptop", 1280, 800}} {
		t.Run(size.name, func(t *testing.T) {
			_, url := listen(t, "demo", "--addr", "127.0.0.1:0")
			b := open(t, url, size.width, size.height)
			phone := size.width < 600
			if phone {
				b.do(chromedp.EmulateViewport(size.width, size.height, chromedp.EmulateTouch, chromedp.EmulateMobile))
			}
			walkOffInTwoTaps(b, phone)
			key := walkDraw(b, phone)
			walkWitness(b, key)
			walkOtherBag(b)
			walkUnknownPart(b)
		})
	}
}

// oneTap taps the middle of what matches, once the page has come to rest, with a
// finger or the mouse, and counts it.
func (b *browser) oneTap(css string, finger bool, taps *int) {
	b.t.Helper()
	*taps++
	x, y := b.middle(css, 0.5, 0.5)
	b.hit(x, y, finger)
}

func (b *browser) hit(x, y float64, finger bool) {
	b.t.Helper()
	if finger {
		touch(b, x, y)
		return
	}
	b.do(chromedp.MouseClickXY(x, y))
}

// middle is where on the screen a part of what matches lies, scrolled into view.
func (b *browser) middle(css string, across, down float64) (x, y float64) {
	b.t.Helper()
	var at, was string
	for range 80 {
		was, at = at, b.say(fmt.Sprintf(`(() => { const e = document.querySelector(%q); if (!e) return "nothing matches";
const gone = () => { const r = e.getBoundingClientRect(), x = r.x + r.width * %g, y = r.y + r.height * %g, hit = document.elementFromPoint(x, y); return [x, y, e.contains(hit), hit]; };
let [x, y, ok, hit] = gone();
if (!ok) { e.scrollIntoView({block: "center", behavior: "instant"}); [x, y, ok, hit] = gone(); }
return ok ? x + " " + y : "covered by " + hit?.outerHTML.slice(0, 80) })()`, css, across, down))
		if _, err := fmt.Sscan(at, &x, &y); err == nil && at == was {
			return x, y
		}
		time.Sleep(25 * time.Millisecond)
	}
	b.t.Fatalf("%s cannot be reached: %s", css, at)
	return 0, 0
}

// walkOffInTwoTaps takes parts off a unit whose file is known: which way it faced,
// the photo, "it is off".
func walkOffInTwoTaps(b *browser, finger bool) {
	b.goTo("/new")
	b.fill("[name=unit]", "Heron")
	b.fill("[name=letter]", "H")
	b.press("[name=colour][value=green]")
	b.fill("[name=type]", "BW-4T")
	b.fill(`[name="series BW-4T"]`, "A")
	b.send(`form[action="/new"] button.go`)
	faced := 0
	ids := strings.Fields("next P39 P37 P23 P08 Q16 R06 F04 D26 next")
	for n, id := range ids {
		if id == "next" {
			b.goTo("/job/heron/strip")
		} else {
			b.goTo("/job/heron/strip?pos=" + id)
		}
		name := b.say(`document.querySelector("h1").innerText`)
		taps := 0
		if b.say(`String(document.querySelectorAll("input[type=radio][name=faced]").length)`) != "0" {
			faced++
			b.oneTap("label.pick:has(input[name=faced])", finger, &taps)
		}
		b.do(chromedp.SetUploadFiles(chromedp.CSS("form.ask input[type=file]"), []string{photo(b.t)}))
		if n == 0 && finger {
			targets(b)
		}
		before := b.written("heron")
		b.say(`window.before = "yes"`)
		b.oneTap("form.ask button.go", finger, &taps)
		eventually(b.t, name+" is off", time.Minute, func() bool { return b.written("heron") > before })
		for n := 0; n < 200 && b.try(`window.before === "yes" || document.readyState !== "complete" ? "stays" : ""`) != ""; n++ {
			time.Sleep(20 * time.Millisecond) // the page goes on by itself; where the server was slow it stays
		}
		if taps > 2 {
			b.t.Errorf("%s took %d taps and a photo", name, taps)
		}
	}
	if faced == 0 {
		b.t.Error("none of twelve parts was asked which way it faced")
	}
	var all struct {
		Photos []struct{ Position, Step string }
	}
	b.json("/api/job/heron/photos", &all)
	if len(all.Photos) != 12 && len(all.Photos) != 1 { // the same picture is kept once
		b.t.Errorf("%d photos in the gallery", len(all.Photos))
	}
}

// written is how many entries a book has.
func (b *browser) written(book string) int {
	b.t.Helper()
	var is struct{ Seq int }
	b.json("/api/job/"+book, &is)
	return is.Seq
}

func (b *browser) json(path string, to any) {
	b.t.Helper()
	if err := json.Unmarshal(b.bytes(path), to); err != nil {
		b.t.Fatalf("%s: %v", path, err)
	}
}

func (b *browser) bytes(path string) []byte {
	b.t.Helper()
	resp, err := http.Get(b.url + path)
	if err != nil {
		b.t.Fatal(err)
	}
	defer resp.Body.Close()
	raw, err := io.ReadAll(resp.Body)
	if err != nil || resp.StatusCode != http.StatusOK {
		b.t.Fatalf("%s: status %d, %v", path, resp.StatusCode, err)
	}
	return raw
}

type drawnPhoto struct {
	Photos []struct {
		Key, Position, Step string
		Marks               []struct {
			Shape, Says string
			X, Y, R     float64
			From        *struct{ X, Y float64 }
		}
	}
	Beside []struct{ Unit string }
}

// walkDraw draws over the photo of Linnet's sleeve: by finger or mouse, by keys,
// and by numbers, and checks what is stored and what is seen.
func walkDraw(b *browser, finger bool) string {
	var got drawnPhoto
	b.json("/api/job/linnet/photos?position=P11", &got)
	if len(got.Photos) == 0 || len(got.Beside) == 0 {
		b.t.Fatal("the demonstration has no photos of P11 at Linnet and beside it")
	}
	key := got.Photos[0].Key
	before := b.bytes("/photo/" + key)
	b.goTo("/job/linnet/photos")
	b.goTo("/job/linnet/photos?pos=P11")
	b.shows("Dunnock")
	b.goTo("/job/linnet/photos/" + key)

	// An arrow at 60 % across and 30 % down.
	x, y := b.middle("#canvas img", 0.6, 0.3)
	b.hit(x, y, finger)
	b.wait("the arrow is seen before it is drawn", `document.querySelector("#canvas .preview path") ? "yes" : ""`, 5*time.Second)
	if !finger { // pulled to where it comes from
		tx, ty := b.middle("#canvas img", 0.9, 0.8)
		b.drag(x, y, tx, ty)
	}
	b.fill("[name=says]", "dot here")
	b.picture("/job/linnet/photos/arrow")
	b.send("form.ask button.go")
	b.shows("Drew an arrow over a photo: dot here")

	// A circle by the keys: from the middle ten steps left, and larger once.
	b.press("[name=shape][value=circle]")
	b.say(`document.querySelector("#canvas").focus(); ""`)
	for range 2 {
		b.keyed("ArrowLeft", 37, true)
	}
	b.keyed("+", 187, true)
	b.wait("the circle is seen before it is drawn", `document.querySelector("#canvas .preview circle.accent") ? "yes" : ""`, 5*time.Second)
	b.send("form.ask button.go")

	// Words by numbers.
	b.press("[name=shape][value=text]")
	b.press("details[data-numbers] summary")
	b.fill("[name=x]", "12,5")
	b.fill("[name=y]", "88")
	b.fill("[name=says]", "worn this side")
	b.send("form.ask button.go")

	b.json("/api/job/linnet/photos?position=P11", &got)
	marks := got.Photos[0].Marks
	if len(marks) != 3 {
		b.t.Fatalf("%d marks are stored: %+v", len(marks), marks)
	}
	near := func(what string, a, want float64) {
		b.t.Helper()
		if math.Abs(a-want) > 0.012 {
			b.t.Errorf("%s: %.3f, wanted %.3f", what, a, want)
		}
	}
	near("arrow, across", marks[0].X, 0.6)
	near("arrow, down", marks[0].Y, 0.3)
	if !finger {
		if marks[0].From == nil {
			b.t.Fatal("it is not stored where the arrow comes from")
		}
		near("arrow from, across", marks[0].From.X, 0.9)
		near("arrow from, down", marks[0].From.Y, 0.8)
	}
	near("circle, across", marks[1].X, 0.4)
	near("circle, radius", marks[1].R, 0.125)
	near("words, across", marks[2].X, 0.125)
	if marks[0].Says != "dot here" || marks[2].Says != "worn this side" {
		b.t.Errorf("marks say %+v", marks)
	}
	if !bytes.Equal(before, b.bytes("/photo/"+key)) {
		b.t.Error("the photo itself was changed")
	}
	// What is drawn lies over the photo to the pixel.
	if off := b.say(`(() => { const i = document.querySelector("#canvas img").getBoundingClientRect(), s = document.querySelector("#canvas svg").getBoundingClientRect();
return Math.max(Math.abs(i.x - s.x), Math.abs(i.y - s.y), Math.abs(i.width - s.width), Math.abs(i.height - s.height)) > 1.5 ? JSON.stringify([i, s]) : "" })()`); off != "" {
		b.t.Errorf("the drawing does not lie on the photo: %s", off)
	}
	b.goTo("/job/linnet/photos?pos=P11")
	b.shows("3 drawn over it")
	walkBook(b)
	return key
}

func walkBook(b *browser) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		return // the walk that prints says so
	}
	file := filepath.Join(b.t.TempDir(), "book.pdf")
	if err := os.WriteFile(file, b.bytes("/job/linnet/book.pdf"), 0o644); err != nil {
		b.t.Fatal(err)
	}
	text, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	if err != nil {
		b.t.Fatal(err)
	}
	for _, want := range []string{"Drawn over it:", "worn this side"} {
		if !bytes.Contains(text, []byte(want)) {
			b.t.Errorf("the book does not say %q", want)
		}
	}
}

func (b *browser) drag(x0, y0, x1, y1 float64) {
	b.t.Helper()
	mouse := func(kind input.DispatchMouseEventType, x, y float64, buttons int64) {
		b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := cdp.Call(ctx, t, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: x, Y: y, Button: input.MouseButtonLeft, Buttons: buttons, ClickCount: 1})
			return err
		}))
	}
	mouse(input.DispatchMouseEventTypeMousePressed, x0, y0, 1)
	for i := 1; i <= 8; i++ {
		f := float64(i) / 8
		mouse(input.DispatchMouseEventTypeMouseMoved, x0+(x1-x0)*f, y0+(y1-y0)*f, 1)
	}
	mouse(input.DispatchMouseEventTypeMouseReleased, x1, y1, 0)
}

// keyed presses a key of the keyboard, with shift or without.
func (b *browser) keyed(key string, code int64, shift bool) {
	b.t.Helper()
	held := int64(0)
	if shift {
		held = 8
	}
	for _, kind := range []input.DispatchKeyEventType{input.DispatchKeyEventTypeRawKeyDown, input.DispatchKeyEventTypeKeyUp} {
		b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := cdp.Call(ctx, t, input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: kind, Key: key, WindowsVirtualKeyCode: code, Modifiers: held})
			return err
		}))
	}
}

// walkWitness is event 9: when the sleeve is about to go back on, the photo from
// its strip-down stands beside the question, with the mark that was drawn on it.
func walkWitness(b *browser, key string) {
	const pos = "P11"
	b.goTo("/job/heron/strip?pos=" + pos)
	b.press("input[type=radio][name=faced]")
	shot := plate(b.t, pos)
	b.do(chromedp.SetUploadFiles(chromedp.CSS("form.ask input[type=file]"), []string{shot}))
	b.send("form.ask button.go")
	var got drawnPhoto
	b.json("/api/job/heron/photos?position="+pos, &got)
	if len(got.Photos) != 1 || got.Photos[0].Key == key {
		b.t.Fatalf("photos of %s: %+v", pos, got.Photos)
	}
	b.entry("heron", "drawn", fmt.Sprintf(`{"photo":%q,"position":%q,"shape":"arrow","x":0.8,"y":0.5,"says":"its mark is on this side"}`, got.Photos[0].Key, pos))
	b.entry("heron", "decided", fmt.Sprintf(`{"position":%q,"choice":"reuse"}`, pos))
	b.goTo("/job/heron/build?pos=" + pos)
	b.shows("Which way round is it in your hand?")
	if seen := b.say(`(() => { const p = document.querySelector("figure.shot .pane"), i = p?.querySelector("img")?.getBoundingClientRect(); return !i ? "no photo" : i.width < 200 ? "a photo " + i.width + " wide" : p.querySelector("svg")?.textContent.includes("its mark is on this side") ? "" : "the mark is not drawn on it" })()`); seen != "" {
		b.t.Errorf("beside the question for %s: %s", pos, seen)
	}
}

// plate is a photo that is unlike the others.
func plate(t *testing.T, name string) string {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 400, 300))
	for i := range img.Pix {
		img.Pix[i] = byte(i*7+len(name)*31) | 1
	}
	return write(t, name+".png", img)
}

func write(t *testing.T, name string, img image.Image) string {
	t.Helper()
	var buf bytes.Buffer
	if err := png.Encode(&buf, img); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, buf.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

// label is a photo of a label with a code.
func labelPhoto(t *testing.T, text string) string {
	t.Helper()
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		t.Fatal(err)
	}
	const k, quiet = 9, 60
	img := image.NewGray(image.Rect(0, 0, code.Size*k+2*quiet, code.Size*k+2*quiet))
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			c := color.Gray{235}
			if mx, my := (x-quiet)/k, (y-quiet)/k; x >= quiet && y >= quiet && mx < code.Size && my < code.Size && code.Black(mx, my) {
				c = color.Gray{25}
			}
			img.SetGray(x, y, c)
		}
	}
	return write(t, "label.png", img)
}

// walkOtherBag is event 5: Dunnock's shim bag, scanned at Linnet's bench, stops
// whoever holds it with a warning over the whole screen; at its own bench it opens.
func walkOtherBag(b *browser) {
	const bag = "bag D D21"
	for _, text := range []string{"EF:" + bag, "EF:D-D21"} {
		b.goTo("/job/linnet/scan")
		b.say(`window.before = "yes"`)
		b.do(chromedp.SetUploadFiles(chromedp.CSS("#shot"), []string{labelPhoto(b.t, text)}))
		b.wait("the label of "+text+" is read", `window.before !== "yes" && document.querySelector(".stop.whole") ? "yes" : document.querySelector(".fault")?.innerText ?? ""`, 20*time.Second)
		b.shows("Stop")
		b.shows("Dunnock")
		if how := b.say(`(() => { const r = document.querySelector(".stop.whole").getBoundingClientRect(); return r.width < innerWidth - 20 || r.height < innerHeight * .55 ? Math.round(r.width) + " × " + Math.round(r.height) + " of " + innerWidth + " × " + innerHeight : "" })()`); how != "" {
			b.t.Errorf("the warning fills only %s", how)
		}
		b.picture("/tag/stop")
	}
	b.goTo("/tag?from=dunnock&tag=" + strings.ReplaceAll(bag, " ", "+"))
	if b.say(`document.querySelector(".stop") ? "stop" : ""`) != "" {
		b.t.Error("Dunnock's own bag stops at Dunnock's bench")
	}
}

// walkUnknownPart adds a part that the file does not have in the middle of a
// strip-down, and finds it in the order and among what can come back on.
func walkUnknownPart(b *browser) {
	b.goTo("/job/heron/strip?ask=part&new=yes&carrier=case")
	b.fill("[name=name]", "baffle plate")
	b.press(`[name=faced][value="side toward up"]`)
	b.do(chromedp.SetUploadFiles(chromedp.CSS("form.ask input[type=file]"), []string{plate(b.t, "baffle")}))
	b.send("form.ask button.go")
	var job struct {
		Positions []struct{ ID, Name string }
	}
	b.json("/api/job/heron", &job)
	id := ""
	for _, p := range job.Positions {
		if p.Name == "baffle plate" {
			id = p.ID
		}
	}
	if id == "" {
		b.t.Fatal("the part that no file knows is not among the positions")
	}
	b.entry("heron", "decided", fmt.Sprintf(`{"position":%q,"choice":"reuse"}`, id))
	b.goTo("/job/heron/build?pos=" + id)
	b.shows(id + " baffle plate")
	b.goTo("/job/heron/bags")
	b.shows("of ")
	b.goTo("/job/heron/file")
	b.shows("baffle plate")
}
