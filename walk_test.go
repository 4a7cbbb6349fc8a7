package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"endfloat/internal/store/postgres/pgtest"

	"github.com/chromedp/chromedp"
)

// browser is a page of a real browser, at one size.
type browser struct {
	t   *testing.T
	ctx context.Context
	url string
	dir string // where pictures of the screens are kept, "" = nowhere
	n   int
}

func open(t *testing.T, url string, width, height int64) *browser {
	t.Helper()
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		if os.Getenv("CI") == "true" {
			t.Fatal("no Chromium here, and CI=true")
		}
		t.Skip("no Chromium here: the walk in a real browser is skipped")
	}
	ctx, stop := context.WithTimeout(t.Context(), 10*time.Minute)
	ctx, stopAlloc := chromedp.NewExecAllocator(ctx, chromedp.ExecPath(path), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.UserDataDir(t.TempDir()), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.Flag("disable-background-networking", true))
	ctx, stopTab := chromedp.NewContext(ctx)
	t.Cleanup(func() { stopTab(); stopAlloc(); stop() })
	b := &browser{t: t, ctx: ctx, url: url, dir: os.Getenv("ENDFLOAT_PICTURES")}
	b.do(chromedp.EmulateViewport(width, height))
	return b
}

func (b *browser) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		at, _ := chromedp.Run(b.ctx, chromedp.Location())
		b.t.Fatalf("at %s: %v", at, err)
	}
}

// say runs a script that returns a text.
func (b *browser) say(script string) string {
	b.t.Helper()
	s, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](script))
	if err != nil {
		b.t.Fatalf("%s: %v", script, err)
	}
	return s
}

func (b *browser) goTo(path string) {
	b.t.Helper()
	b.do(chromedp.Navigate(b.url+path), chromedp.WaitReady(chromedp.CSS("main")))
	eventually(b.t, path+" has loaded", 10*time.Second, func() bool { return b.say(`document.readyState`) == "complete" })
	b.fits(path)
	b.picture(path)
}

// fits fails when a page is wider than its window.
func (b *browser) fits(path string) {
	b.t.Helper()
	if wide := b.say(`document.documentElement.scrollWidth > innerWidth + 1 ? "page is " + document.documentElement.scrollWidth + " wide in a window of " + innerWidth : ""`); wide != "" {
		b.t.Errorf("%s: %s", path, wide)
	}
}

func (b *browser) picture(path string) {
	if b.dir == "" {
		return
	}
	b.n++
	png, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	if err != nil {
		b.t.Fatal(err)
	}
	name := strings.Map(func(r rune) rune {
		if strings.ContainsRune("/?=& %", r) {
			return '_'
		}
		return r
	}, path)
	if err := os.WriteFile(filepath.Join(b.dir, fmt.Sprintf("%s-%02d%s.png", b.t.Name()[strings.LastIndex(b.t.Name(), "/")+1:], b.n, name)), png, 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// fill types into the field of that name; press answers a radio or check box.
func (b *browser) fill(css, text string) {
	b.t.Helper()
	b.do(chromedp.WaitReady(chromedp.CSS(css)), chromedp.SetValue(chromedp.CSS(css), text))
}

func (b *browser) press(css string) {
	b.t.Helper()
	if got := b.say(fmt.Sprintf(`(() => { const e = document.querySelector(%q); if (!e) return "nothing matches"; e.scrollIntoView({block: "center"}); e.click(); return "" })()`, css)); got != "" {
		b.t.Fatalf("%s: %s", css, got)
	}
}

// send presses the main button of the page's form and waits for the next page.
func (b *browser) send(css string) {
	b.t.Helper()
	b.say(`window.before = "yes"`)
	b.press(css)
	for range 200 {
		s, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`window.before === "yes" || document.readyState !== "complete" ? "wait" : "new"`))
		if err == nil && s == "new" {
			if wrong := b.say(`(document.querySelector(".fault, [role=alert]") || {innerText: ""}).innerText`); wrong != "" {
				at, _ := chromedp.Run(b.ctx, chromedp.Location())
				b.t.Fatalf("refused at %s: %s", at, wrong)
			}
			return
		}
		time.Sleep(25 * time.Millisecond)
	}
	b.t.Fatalf("%s: no new page came", css)
}

func (b *browser) shows(text string) {
	b.t.Helper()
	if all := b.say(`document.querySelector("main").innerText`); !strings.Contains(strings.ToLower(all), strings.ToLower(text)) {
		at, _ := chromedp.Run(b.ctx, chromedp.Location())
		b.t.Errorf("%s does not say %q:\n%s", at, text, all)
	}
}

func photo(t *testing.T) string {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 320, 240))
	for i := range img.Pix {
		img.Pix[i] = byte(120 + i%90)
	}
	img.Set(0, 0, color.White)
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, img, nil); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "part.jpg")
	if err := os.WriteFile(file, buf.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

// The walk: strip, read, decide, set, build, torque, lock, print, in a real
// browser on a phone-sized and a laptop-sized window.
func TestWalk(t *testing.T) {
	for _, size := range []struct {
		name          string
		width, height int64
		kept          func(*testing.T) []string
	}{{"phone", 390, 844, inFile}, {"laptop", 1280, 800, inDatabase}} {
		t.Run(size.name, func(t *testing.T) {
			_, url := listen(t, append([]string{"serve", "--addr", "127.0.0.1:0", "--copies", "none"}, size.kept(t)...)...)
			b := open(t, url, size.width, size.height)
			b.goTo("/")
			b.shows("Linnet")
			walkStrip(b)
			walkSet(b)
			walkBuild(b)
			walkPrint(b)
			walkSums(b)
		})
	}
}

// inFile keeps the demonstration in a data file and returns the option that opens it.
func inFile(t *testing.T) []string {
	file := filepath.Join(t.TempDir(), "bench.db")
	run(t, "demo", "--into", file)
	return []string{"--data", file}
}

// inDatabase moves it on to PostgreSQL.
func inDatabase(t *testing.T) []string {
	address := pgtest.URL(t)
	run(t, "move", "--from", inFile(t)[1], "--to", address)
	return []string{"--db", address}
}

func walkStrip(b *browser) {
	b.goTo("/new")
	b.fill("[name=unit]", "Heron")
	b.fill("[name=letter]", "H")
	b.press("[name=colour][value=green]")
	b.fill("[name=type]", "BW-4T")
	b.fill(`[name="series BW-4T"]`, "A")
	b.send(`form[action="/new"] button.go`)
	for range 3 {
		b.goTo("/job/heron/strip")
		if b.say(`String(document.querySelectorAll("input[type=radio][name=faced]").length)`) != "0" {
			b.press("input[type=radio][name=faced]")
		}
		b.do(chromedp.SetUploadFiles(chromedp.CSS("form.ask input[type=file]"), []string{photo(b.t)}))
		b.send("form.ask button.go")
	}
	b.goTo("/job/heron")
	b.shows("Took off")
	b.goTo("/job/heron/decide")
	b.press("ul.reads a")
	b.do(chromedp.WaitReady(chromedp.CSS("[name=choice]")))
	b.press("[name=choice][value=reuse]")
	b.send("form.ask button.go")
}

func walkSet(b *browser) {
	b.goTo("/job/linnet")
	b.shows("torqued and not locked")
	b.goTo("/job/linnet/read/one?what=bearing+stand-up")
	for i, v := range []string{"18,43", "18.44 mm", "18.45"} {
		b.fill(fmt.Sprintf("fieldset.values label:nth-of-type(%d) input", i+1), v)
	}
	b.send("form.ask button.go")
	b.goTo("/job/linnet/setting?name=primary+float")
	b.shows("0.71")
	b.goTo("/job/linnet/setting?name=backlash")
	b.shows("out")
	b.send(`form[action$="/setting/fit"] button.go`)
	b.goTo("/job/linnet/read/one?what=backlash")
	for i, v := range []string{"0.16", "0.16", "0.15", "0.16"} {
		b.fill(fmt.Sprintf("fieldset.values label:nth-of-type(%d) input", i+1), v)
	}
	b.send("form.ask button.go")
	b.goTo("/job/linnet/setting?name=backlash")
	b.shows("proven")
}

func walkBuild(b *browser) {
	b.goTo("/job/linnet/build?pos=D24")
	b.send("form.ask button.go")
	b.goTo("/job/linnet/build")
	b.goTo("/job/linnet/torque/C06?method=wrench")
	b.fill("form[data-wait] input.figure, form input[name=reads]", "30 N·m")
	b.send(`form[action$="/torque/C06"] button.go`)
	b.goTo("/job/linnet/torque/P39")
	b.send(`form[action$="/lock/P39"] button.go`)
	b.goTo("/job/linnet")
	if all := b.say(`document.querySelector("main").innerText`); strings.Contains(all, "torqued and not locked") {
		b.t.Errorf("the lock is still missing:\n%s", all)
	}
}

func walkPrint(b *browser) {
	b.goTo("/job/linnet/book")
	resp, err := http.Get(b.url + "/job/linnet/book.pdf")
	if err != nil {
		b.t.Fatal(err)
	}
	defer resp.Body.Close()
	pdf, err := io.ReadAll(resp.Body)
	if err != nil || resp.StatusCode != http.StatusOK || !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		b.t.Fatalf("the book: %v, status %d, %d bytes", err, resp.StatusCode, len(pdf))
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("CI") == "true" {
			b.t.Fatal("no pdftotext here, and CI=true")
		}
		b.t.Log("no pdftotext here: the text of the book is not read back")
		return
	}
	file := filepath.Join(b.t.TempDir(), "book.pdf")
	if err := os.WriteFile(file, pdf, 0o644); err != nil {
		b.t.Fatal(err)
	}
	text, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	if err != nil {
		b.t.Fatal(err)
	}
	for _, want := range []string{"Linnet", "18.44", "backlash", "238 N"} {
		if !bytes.Contains(text, []byte(want)) {
			b.t.Errorf("the book does not have %q", want)
		}
	}
}

// The lever-and-scale sum: its answer stands there while two numbers are typed.
func walkSums(b *browser) {
	b.goTo("/sums")
	b.press(`a[href="/sums/lever"]`)
	b.do(chromedp.WaitReady(chromedp.CSS("#sumform [name=want]")))
	for name, v := range map[string]string{"want": "130 lbf·ft", "arm": "34 in"} {
		b.do(chromedp.SendKeys(chromedp.CSS("#sumform [name="+name+"]"), v))
	}
	for range 100 {
		if strings.Contains(b.say(`document.querySelector("#result").innerText`), "45.9 lbf") {
			b.picture("/sums/lever")
			return
		}
		time.Sleep(30 * time.Millisecond)
	}
	b.t.Errorf("the pull for 130 lbf·ft on 34 in is not shown as 45.9 lbf:\n%s", b.say(`document.querySelector("#result").innerText`))
}
