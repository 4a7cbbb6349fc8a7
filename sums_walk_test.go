package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// fingers counts what a person does on a phone.
type fingers struct {
	*browser
	taps, typed int
}

// tap touches the middle of what matches, which must be where a finger finds it:
// inside the window, under nothing else, and large enough.
func (f *fingers) tap(css string) {
	f.t.Helper()
	f.do(chromedp.WaitReady(chromedp.CSS(css)))
	// A finger comes after the page has its dress; a script may come before.
	eventually(f.t, "the page has loaded", 5*time.Second, func() bool { return f.say(`document.readyState`) == "complete" })
	if wrong := f.say(fmt.Sprintf(`(() => {
		const e = [...document.querySelectorAll(%q)].find(e => e.getClientRects().length);
		if (!e) return "is not shown";
		e.scrollIntoView({block: "center", behavior: "instant"});
		const r = e.getBoundingClientRect(), x = r.left + r.width / 2, y = r.top + r.height / 2;
		const top = document.elementFromPoint(x, y);
		if (r.height < 44) return "is only " + r.height + " px high";
		if (!top || !(e.contains(top) || top.contains(e))) return "lies under something else";
		window.tapAt = x + " " + y;
		return "";
	})()`, css)); wrong != "" {
		f.t.Fatalf("%s %s", css, wrong)
	}
	var x, y float64
	if _, err := fmt.Sscan(f.say("window.tapAt"), &x, &y); err != nil {
		f.t.Fatal(err)
	}
	f.do(chromedp.MouseClickXY(x, y))
	f.taps++
}

// number types where the last tap has put the cursor.
func (f *fingers) number(text string) {
	f.t.Helper()
	f.do(chromedp.KeyEvent(text))
	f.typed++
}

// On a phone a person finds the sum of lever and scale from the first page and has
// the answer in under five taps and two numbers, without sending anything: it
// stands in the window as soon as the second number does. 220 N·m on 0.75 m are
// 293.3 N, by hand.
func TestSumInUnderFiveTaps(t *testing.T) {
	_, url := listen(t, "serve", "--addr", "127.0.0.1:0", "--data", filepath.Join(t.TempDir(), "bench.db"))
	f := &fingers{browser: open(t, url, 390, 844)}
	f.goTo("/")
	f.tap(`a[href="/sums"]`)
	f.tap(`a[href="/sums/lever"]`)
	f.tap("#sumform [name=want]")
	f.number("220")
	f.tap("#sumform [name=arm]")
	f.number("0.75")
	if f.taps >= 5 || f.typed != 2 {
		t.Errorf("%d taps and %d numbers", f.taps, f.typed)
	}
	const seen = `(() => {
		const a = document.querySelector("#result .answer"), r = a.getBoundingClientRect();
		return (r.top >= 0 && r.bottom <= innerHeight ? "in sight: " : "out of sight: ") + a.innerText.replace(/\s+/g, " ");
	})()`
	says := ""
	for range 100 {
		if says = f.say(seen); strings.Contains(says, "293.3 N") {
			break
		}
		time.Sleep(30 * time.Millisecond)
	}
	if !strings.HasPrefix(says, "in sight: ") || !strings.Contains(says, "293.3 N") {
		t.Errorf("the answer is %q", says)
	}
	if pic := f.say(`(() => { const s = document.querySelector("figure.picture svg").getBoundingClientRect(); return s.width > 300 && s.right <= innerWidth ? "" : "the picture is " + s.width + " px wide" })()`); pic != "" {
		t.Error(pic)
	}
	f.fits("/sums/lever")
}

// Every picture on the page of its sum fits a phone, and stands in the page's colours.
func TestSumPicturesFit(t *testing.T) {
	_, url := listen(t, "serve", "--addr", "127.0.0.1:0", "--data", filepath.Join(t.TempDir(), "bench.db"))
	b := open(t, url, 390, 844)
	for _, name := range []string{"push-ring", "pinion-depth", "backlash-move"} {
		b.goTo("/sums/" + name)
		if wrong := b.say(`(() => {
			const svg = document.querySelector("figure.picture svg"), r = svg.getBoundingClientRect();
			const ink = getComputedStyle(svg.querySelector("path.ink")).stroke, page = getComputedStyle(document.body).color;
			if (r.right > innerWidth) return "it is too wide";
			if (ink !== page) return "its lines are " + ink + ", the words " + page;
			for (const t of svg.querySelectorAll("text")) { const h = t.getBoundingClientRect().height; if (h < 12) return t.textContent + " is " + h + " px high" }
			return "";
		})()`); wrong != "" {
			t.Errorf("%s: %s", name, wrong)
		}
	}
}
