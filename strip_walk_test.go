package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"endfloat/internal/gearbox"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// The pinion shaft of the demonstration is taken apart on a phone from an empty
// file, on a slow network, and the file that this writes says the same order as
// the one it was taken from.
func TestStripWritesTheFile(t *testing.T) {
	_, url := listen(t, "demo", "--addr", "127.0.0.1:0")
	text, err := os.ReadFile("internal/demo/bw-4t.gearbox.yaml")
	if err != nil {
		t.Fatal(err)
	}
	box, err := gearbox.Read("bw-4t", text)
	if err != nil {
		t.Fatal(err)
	}
	var want []*gearbox.Position
	for _, p := range box.Order() {
		if p.Carrier.ID == "pinion" {
			want = append(want, p)
		}
	}
	if len(want) != 39 {
		t.Fatalf("%d positions on the pinion shaft, expected 39", len(want))
	}
	b := open(t, url, 390, 844)
	b.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateTouch, chromedp.EmulateMobile))
	b.do(chromedp.Func(slow))
	b.goTo("/new")
	b.fill("[name=unit]", "Wren")
	b.fill("[name=letter]", "W")
	b.press("[name=colour][value=red]")
	b.fill("[name=type]", "")
	b.fill("[name=bare]", "BW-4T again")
	b.send(`form[action="/new"] button.go`)
	b.goTo("/job/wren/strip")
	b.fill("[name=carrier]", "pinion shaft")
	b.fill("[name=end]", "head")
	b.say(`document.querySelectorAll("[name=end]")[1].value = "nut"`)
	b.send("form.ask button.go")
	file := photo(t)
	for i := len(want) - 1; i >= 0; i-- {
		stripOne(b, want[i], file, i == len(want)-1)
	}
	b.goTo("/job/wren/file")
	b.shows("39 positions")
	written := b.say(`document.querySelector("textarea[name=text]").value`)
	got, err := gearbox.Read("written", []byte(written))
	if err != nil {
		t.Fatalf("the written file is at fault: %v\n%s", err, written)
	}
	order := got.Order()
	if len(order) != len(want) {
		t.Fatalf("%d positions written, expected %d", len(order), len(want))
	}
	for i, p := range order {
		if p.ID != want[i].ID || p.Name != want[i].Name {
			t.Errorf("place %d: %s, expected %s", i+1, p.Label(), want[i].Label())
		}
		if len(want[i].Faces) > 0 && len(p.Faces) == 0 && !p.Either {
			t.Errorf("%s: nobody asked which way it faced", p.Label())
		}
	}
	checked := filepath.Join(t.TempDir(), "wren.gearbox.yaml")
	if err := os.WriteFile(checked, []byte(written), 0o644); err != nil {
		t.Fatal(err)
	}
	if out := run(t, "box", "check", checked); !strings.Contains(out, "No faults") {
		t.Errorf("endfloat box check: %s", out)
	}
	b.send("form.fields button.go")
	b.shows("pinned to this job")
}

// stripOne takes off one part with two taps and a photo, once its name is typed.
func stripOne(b *browser, p *gearbox.Position, photo string, measure bool) {
	b.t.Helper()
	b.fill("[name=name]", p.Name)
	b.say(fmt.Sprintf(`document.querySelector("[name=pos]").value = %q`, p.ID)) // an optional detail: ids as in the shipped file
	taps := 0
	tap := func(css string) {
		taps++
		at := ""
		var x, y float64
		for range 40 { // until the page has come to rest under the thumb
			at = b.say(fmt.Sprintf(`(() => { const e = document.querySelector(%q); e.scrollIntoView({block: "center", behavior: "instant"});
const r = e.getBoundingClientRect(), x = Math.round(r.x + r.width / 2), y = Math.round(r.y + r.height / 2), hit = document.elementFromPoint(x, y);
return e.contains(hit) ? x + " " + y : "covered at " + x + " " + y + " in " + innerWidth + " by " + innerHeight + " by " + hit?.outerHTML.slice(0, 80) })()`, css))
			if _, err := fmt.Sscan(at, &x, &y); err == nil {
				break
			}
			x = 0
			time.Sleep(25 * time.Millisecond)
		}
		if x == 0 {
			b.t.Fatalf("%s cannot be tapped: %s", css, at)
		}
		touch(b, x, y)
	}
	face := `label.pick:has([value="either way"])`
	if len(p.Faces) > 0 {
		face = `label.pick:has([value="side toward nut"])`
	}
	tap(face)
	b.do(chromedp.SetUploadFiles(chromedp.CSS("form.ask input[type=file]"), []string{photo}))
	if measure {
		targets(b)
		b.picture("/job/wren/strip")
	}
	b.say(`window.before = "yes"`)
	tap("form.ask button.go")
	if taps > 2 {
		b.t.Errorf("%s took %d taps", p.Label(), taps)
	}
	for range 400 {
		s, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](fmt.Sprintf(`document.readyState === "complete" && document.querySelector(".eyebrow")?.innerText.includes(%q) ? "off" : document.querySelector(".fault")?.innerText ?? ""`, "after the "+p.Name)))
		if err == nil && s == "off" {
			return
		}
		if err == nil && s != "" {
			b.t.Fatalf("%s refused: %s", p.Label(), s)
		}
		time.Sleep(20 * time.Millisecond)
	}
	b.t.Fatalf("%s: no next question came; not answered: %s", p.Label(), b.say(`[...document.querySelectorAll("form.ask :invalid")].map(e => e.name).join(", ") + " | " + document.querySelector("#away")?.innerText + " | " + document.querySelector("main").innerText.slice(0, 200)`))
}

// touch taps with one finger.
func touch(b *browser, x, y float64) {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		down := input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchStart, TouchPoints: []*input.TouchPoint{{X: x, Y: y}}}
		if _, err := cdp.Call(ctx, t, input.DispatchTouchEvent, down); err != nil {
			return err
		}
		_, err := cdp.Call(ctx, t, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchEnd, TouchPoints: []*input.TouchPoint{}})
		return err
	}))
}

// slow makes the network that of a workshop's far corner: 40 ms, 3 Mbit/s.
func slow(ctx context.Context, t *chromedp.Target) error {
	if _, err := cdp.Call(ctx, t, network.Enable, network.EnableParams{}); err != nil {
		return err
	}
	_, err := cdp.Call(ctx, t, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
		MatchedNetworkConditions: []*network.Conditions{{Latency: 40, DownloadThroughput: 400_000, UploadThroughput: 200_000}}})
	return err
}

// targets fails where something to tap is smaller than a gloved finger needs: the
// answers and the main action 72 px, all else 48 px.
func targets(b *browser) {
	b.t.Helper()
	small := b.say(`(() => { const out = [];
for (const e of document.querySelectorAll("a, button, input:not([type=hidden]):not([type=radio]):not([type=checkbox]), select, summary, label.pick, label.tick")) {
  const r = e.getBoundingClientRect();
  if (!r.width || e.closest("details:not([open]) > :not(summary)") || e.classList.contains("skip")) continue;
  const least = e.matches(".go, .act, label.pick, .ends label") ? 72 : 48;
  if (r.height < least - .5) out.push(Math.round(r.height) + " px, wanted " + least + ": " + (e.innerText || e.name || e.tagName).slice(0, 40));
}
return out.join("\n") })()`)
	if small != "" {
		b.t.Errorf("too small to tap with gloves:\n%s", small)
	}
}
