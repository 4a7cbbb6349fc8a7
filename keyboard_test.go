package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// A part is taken off, a reading is typed and a plug is torqued with keys alone:
// Tab goes everywhere, what has the focus is seen and not covered, Enter and Space
// do what a finger does.
func TestKeysAlone(t *testing.T) {
	_, url := listen(t, "demo", "--addr", "127.0.0.1:0")
	b := open(t, url, 1280, 800)
	b.goTo("/")
	b.onward(`a[href="/job/plover"]`, "\r")

	b.onward(`a[href="/job/plover/strip"]`, "\r")
	b.shows("8 of 130 are off")
	b.tabTo(`[name=place]`)
	b.keys("tray P")
	b.tabTo(`details:has([name=nophoto]) summary`)
	b.keys("\r")
	b.tabTo(`[name=nophoto]`)
	b.keys("the") // a list takes the first letters of what it offers
	b.onward(`form.ask button.go`, "\r")
	eventually(t, "the part is off", 10*time.Second, func() bool {
		return strings.Contains(b.say(`document.querySelector("main").innerText`), "9 of 130 are off")
	})

	b.goTo("/job/linnet/read/one?what=bearing+stand-up")
	b.keys("18,43\r18.44\r18.45\r")    // the first field has the focus already
	time.Sleep(200 * time.Millisecond) // a gauge sends two line ends at once; nobody types so
	b.onward(`form.ask button.go`, "\r")
	b.shows("18.44")

	b.goTo("/job/linnet/torque/C06")
	b.onward(`a[href$="method=wrench"]`, "\r")
	b.tabTo(`input.figure`)
	b.keys("30")
	b.onward(`form.fields button.go`, "\r")
	b.shows("Was brought to 30 N·m")
}

// keys types, one key after another.
func (b *browser) keys(text string) {
	b.t.Helper()
	for _, r := range text {
		b.do(chromedp.KeyEvent(string(r)))
	}
}

// tabTo presses Tab until the element has the focus. Wherever the focus stops on the
// way it is drawn, and not wholly covered (WCAG 2.2, 2.4.7 and 2.4.11).
func (b *browser) tabTo(css string) {
	b.t.Helper()
	for range 300 {
		at := b.say(fmt.Sprintf(`(() => { const e = document.activeElement; if (!e || e === document.body) return "";
const r = e.getBoundingClientRect(), c = getComputedStyle(e), x = Math.min(Math.max(r.x + r.width / 2, 1), innerWidth - 2);
const hit = [.1, .5, .9].some(f => { const h = document.elementFromPoint(x, r.y + r.height * f); return h && (e.contains(h) || h.contains(e) || e.labels && [...e.labels].some(l => l.contains(h))) });
const wrong = c.outlineStyle === "none" || parseFloat(c.outlineWidth) < 2 ? "the focus is not seen on " : hit ? "" : "the focus is covered on ";
return (e.matches(%q) ? "there " : "") + (wrong && wrong + e.outerHTML.slice(0, 90)) })()`, css))
		there := strings.HasPrefix(at, "there")
		if wrong := strings.TrimPrefix(at, "there "); wrong != "" {
			b.t.Fatal(wrong)
		}
		if there {
			return
		}
		b.keys("\t")
	}
	b.t.Fatalf("Tab never comes to %s", css)
}

// onward tabs to an element, presses a key on it and waits for the page that follows.
func (b *browser) onward(css, key string) {
	b.t.Helper()
	b.tabTo(css)
	b.say(`window.before = "yes"`)
	b.keys(key)
	eventually(b.t, "a page follows "+css, 10*time.Second, func() bool {
		s, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`window.before !== "yes" && document.readyState === "complete" && document.querySelector("#away")?.dataset.says !== undefined ? "new" : "wait"`))
		return err == nil && s == "new"
	})
}
