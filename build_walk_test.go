package main

import (
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// The seeded events of building up, in a real browser on a phone: each shows the
// hold, the question or the card that it is there for.
func TestBuildWalk(t *testing.T) {
	_, url := listen(t, "demo", "--addr", "127.0.0.1:0")
	b := open(t, url, 390, 844)
	walkReturn(b)
	walkWiderBearing(b)
	walkStarting(b)
	walkWhichWay(b)
	walkPinInTray(b)
	walkHeat(b)
	walkOil(b)
	walkTwoUnits(b)
	walkNotes(b)
	walkLooks(b)
}

// refused presses the main button and wants a refusal that says so.
func (b *browser) refused(css, says string) {
	b.t.Helper()
	b.press(css)
	b.do(chromedp.WaitReady(chromedp.CSS(".fault")))
	if got := b.say(`document.querySelector(".fault").innerText`); !strings.Contains(strings.ToLower(got), strings.ToLower(says)) {
		b.t.Errorf("refused with %q, want %q", got, says)
	}
}

// plain sends a form as a browser without the script does.
func (b *browser) plain(css string) {
	b.t.Helper()
	b.say(fmt.Sprintf(`(() => { window.before = "yes"; document.querySelector(%q).submit(); return "" })()`, css))
	for range 200 {
		if s, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`window.before === "yes" || document.readyState !== "complete" ? "wait" : "new"`)); err == nil && s == "new" {
			return
		}
		time.Sleep(25 * time.Millisecond)
	}
	b.t.Fatalf("%s: no new page came", css)
}

// fitPart fits a part as the page proposes it, the right way round.
func (b *browser) fitPart(book, pos string) {
	b.t.Helper()
	b.goTo("/job/" + book + "/build?pos=" + pos)
	b.say(`(() => { for (const n of ["faces", "tags"]) { const c = document.querySelectorAll("input[type=radio][name=" + n + "]"); if (c.length && ![...c].some(x => x.checked)) c[0].click(); } return "" })()`)
	b.say(`(() => { const w = document.querySelector("input[name=with]"); if (w) w.value = "Ivo"; return "" })()`)
	b.send("form.ask button.go")
}

// Event 11: back after weeks, one glance.
func walkReturn(b *browser) {
	b.goTo("/job/linnet")
	for _, says := range []string{"days since the last entry", "P39 pinion nut is torqued and not locked", "not to be trusted", "backlash", "next", "waits for what"} {
		b.shows(says)
	}
	resp, err := http.Get(b.url + "/job/linnet/card.pdf")
	if err != nil {
		b.t.Fatal(err)
	}
	defer resp.Body.Close()
	if head, err := io.ReadAll(io.LimitReader(resp.Body, 5)); err != nil || string(head) != "%PDF-" {
		b.t.Errorf("the return card on paper begins with %q, %v", head, err)
	}
	b.goTo("/job/linnet/status")
	b.shows("settings proven")
	b.shows("Wanted: 14 March")
}

// Event 7: the new front bearing is 0.20 wider, so what was read over the old one
// no longer counts; read anew, the shim is another.
func walkWiderBearing(b *browser) {
	b.goTo("/job/linnet/read/one?what=bearing+stand-up")
	b.shows("of a piece no longer there")
	for i, v := range []string{"18.43", "18.44", "18.45"} {
		b.fill(fmt.Sprintf("fieldset.values label:nth-of-type(%d) input", i+1), v)
	}
	b.send("form.ask button.go")
	b.goTo("/job/linnet/setting?name=primary+float")
	b.shows("0.71")
	b.shows("0.51")
	b.shows("0.61")
}

// Event 10: 24 N to start, 18 N in steady turning. The first is kept and does not
// count; 24 N at 45 mm would be 1.08 N·m.
func walkStarting(b *browser) {
	b.goTo("/job/linnet/read/one?what=pinion+drag")
	b.fill("fieldset.values input", "1.08 N·m")
	b.fill("[name=with]", "")
	b.press("[name=starting]")
	b.plain("form.ask")
	b.goTo("/job/linnet")
	b.shows("pinion drag was read as it started to turn")
	b.goTo("/job/linnet/read/one?what=pinion+drag")
	b.fill("fieldset.values input", "0.81 N·m")
	b.fill("[name=with]", "")
	b.plain("form.ask")
	b.goTo("/job/linnet")
	if all := b.say(`document.querySelector("main").innerText`); strings.Contains(all, "started to turn") {
		b.t.Error("read in steady turning, the starting torque is still told")
	}
}

// Events 9 and 15: the strip-down photo beside the question, and an answer that
// is not as the file has it: the fork first, then the reverse lever upside down.
func walkWhichWay(b *browser) {
	for _, pos := range []string{"Q17", "Q16", "R01", "R03", "R02", "R04", "R05"} {
		b.fitPart("linnet", pos)
	}
	for _, c := range []struct{ pos, asks string }{{"F04", "boss"}, {"R06", "claw"}} {
		b.goTo("/job/linnet/build?pos=" + c.pos)
		b.shows("as it came off")
		b.shows("which way round is it in your hand?")
		b.shows(c.asks)
		if n := b.say(`String([...document.querySelectorAll("figure.shot img")].filter(i => i.complete && i.naturalWidth > 0 || i.loading === "lazy").length)`); n == "0" {
			b.t.Errorf("%s: no strip-down photo beside the question", c.pos)
		}
		b.press(`input[name=faces][value*="away"]`)
		b.refused("form.ask button.go", "Turn it")
		b.press(`input[name=faces]:not([value*="away"])`)
		b.send("form.ask button.go")
	}
}

// Event 12: the interlock pin is still in the tray when the rear cover is asked
// for. The cover stays off; with the pin in, the way to it leads over the
// interlock's matrix, and a matrix with a rail that moves is no way.
func walkPinInTray(b *browser) {
	b.goTo("/new")
	b.fill("[name=unit]", "Teal")
	b.fill("[name=letter]", "T")
	b.press("[name=colour][value=green]")
	b.fill("[name=type]", "BW-4T")
	b.fill(`[name="series BW-4T"]`, "A")
	b.send(`form[action="/new"] button.go`)
	for _, pos := range []string{"C03", "F13"} {
		b.entry("teal", "taken off", fmt.Sprintf(`{"position":%q,"place":"tray T"}`, pos))
	}
	b.goTo("/job/teal/build?pos=C03")
	b.shows("Closing it now would leave over")
	b.shows("F13 interlock pin")
	b.refused("form.ask button.go", "F13 interlock pin")
	b.fitPart("teal", "F13")
	b.goTo("/job/teal/build?pos=C03")
	b.shows("Interlock is not tested")
	matrix := func(last string) {
		b.goTo("/job/teal/tests/interlock")
		if n := b.say(`String(document.querySelectorAll("fieldset.gates").length)`); n != "6" {
			b.t.Errorf("the matrix of three rails asks %s times, want 6", n)
		}
		b.say(`(() => { document.querySelectorAll("input[value=blocked]").forEach(c => c.click()); return "" })()`)
		b.press(`fieldset.gates:last-of-type input[value="` + last + `"]`)
		b.fill("[name=witness]", "Ivo")
		b.send("form.ask button.go")
	}
	matrix("moves")
	b.shows("failed")
	b.fitRefused("teal", "C03", "Interlock failed")
	matrix("blocked")
	b.shows("blocked, all 6 tries")
	b.fitPart("teal", "C03")
}

// fitRefused tries to fit a part and wants to be told why not.
func (b *browser) fitRefused(book, pos, says string) {
	b.t.Helper()
	b.goTo("/job/" + book + "/build?pos=" + pos)
	b.refused("form.ask button.go", says)
}

// entry sends one entry to a book as another program does.
func (b *browser) entry(book, kind, body string) {
	b.t.Helper()
	req, err := http.NewRequestWithContext(b.t.Context(), http.MethodPost, b.url+"/api/job/"+book+"/entry", strings.NewReader(fmt.Sprintf(`{"kind":%q,"body":%s,"by":"Tove Marrin"}`, kind, body)))
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("Origin", b.url)
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		b.t.Fatal(err)
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		says, _ := io.ReadAll(resp.Body)
		b.t.Fatalf("%s: %d %s", kind, resp.StatusCode, says)
	}
}

// Event 16: 117 °C at the seat under a ceiling of 120 °C, so the oven stands a
// little higher; with the shaft from the freezer about 90 °C would do.
func walkHeat(b *browser) {
	b.goTo("/job/dunnock/heat/P02")
	b.shows("P01 pinion shaft is not on yet")
	b.fitPart("dunnock", "P01")
	b.goTo("/job/dunnock/build?pos=P02")
	b.shows("P02 head roller bearing, inner ring is not out of the oven yet")
	b.goTo("/job/dunnock/heat/P02")
	for _, says := range []string{"119 °C", "117 °C", "120 °C", "−18 °C", "letters toward nut"} {
		b.shows(says)
	}
	b.fill("[name=oven]", "105")
	b.send("form.ask button.go")
	b.shows("was only at 105 °C")
	b.goTo("/job/dunnock/heat/P02")
	b.fill("[name=oven]", "119")
	b.send("form.ask button.go")
	b.shows("out of the oven at 119")
	b.do(chromedp.Poll[chromedp.Void](`/^[5-7]:\d\d$/.test(document.querySelector("[data-until] .big").textContent)`))
	b.picture("heat-countdown")
}

// Event 17: the level plug of series B lies 7 mm higher than that of series A.
func walkOil(b *browser) {
	b.goTo("/job/linnet/tests/oil")
	b.shows("2.1 L, to the plug, railcar level")
	b.goTo("/job/dunnock/tests/oil")
	b.shows("2.23 L, to the plug, which lies 7 mm higher")
}

// Whose gearbox is this? A step of the one with a piece of the other stops.
func walkTwoUnits(b *browser) {
	b.goTo("/job/linnet/build?pos=F05")
	if band := b.say(`document.querySelector("header.block").className + " " + document.querySelector("header.block .letter").innerText`); !strings.Contains(band, "tape-blue") || !strings.Contains(band, "L") {
		b.t.Errorf("the band across the top is %q", band)
	}
	b.press(`input[name=faces]:not([value*="away"])`)
	b.press(`input[name=tags][value=""]`)
	b.fill("[name=other]", "D-F05")
	b.refused("form.ask button.go", "STOP: D-F05 belongs to Dunnock")
}

// A note that is kept comes up at the other unit of the type, and one that holds
// is answered where it stands.
func walkNotes(b *browser) {
	b.goTo("/job/linnet/note")
	b.fill("[name=text]", "the fork's boss has one rounded edge, toward the cover")
	b.fill("[name=position]", "F05")
	b.fill("[name=until]", "F05")
	b.press("[name=keep]")
	b.send(`form[action$="/note"] button.go`)
	b.goTo("/job/linnet/build?pos=F05")
	b.shows("your note: the fork's boss has one rounded edge")
	b.goTo("/job/linnet/note")
	b.send(`form[action$="/answered"] button`)
	b.shows("Answered: done")
	b.goTo("/job/dunnock/at/F05")
	b.shows("Noted here before: the fork's boss has one rounded edge")
}

// The other pages open, fit their window, and say what they are for.
func walkLooks(b *browser) {
	for _, c := range []struct{ path, says string }{
		{"/job/linnet/today?minutes=180&people=2&oven=yes", "done in about"},
		{"/job/dunnock/today?minutes=240&people=2&oven=yes", "fit"},
		{"/job/linnet/tests", "counted from the teeth"},
		{"/job/linnet/wrong?pos=P11", "a sleeve went past its stop"},
		{"/job/linnet/at/P09", "off and on again"},
		{"/job/linnet/hand-over", "running in"},
	} {
		b.goTo(c.path)
		b.shows(c.says)
	}
}
