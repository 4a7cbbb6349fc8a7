package main

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// A unit is received on a phone, from nothing to an agreed estimate, one question a
// screen; and one ring table is tried, with the better pairing found.
func TestReceiveWalk(t *testing.T) {
	_, url := listen(t, "demo", "--addr", "127.0.0.1:0")
	b := open(t, url, 390, 844)
	b.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateTouch, chromedp.EmulateMobile))
	b.goTo("/new")
	b.fill("[name=unit]", "Wren")
	b.fill("[name=letter]", "W")
	b.press("[name=colour][value=red]")
	b.fill("[name=type]", "BW-4T")
	b.fill(`[name="series BW-4T"]`, "A")
	b.fill("[name=owner]", "Otter Ferry Trust")
	b.send(`form[action="/new"] button.go`)
	b.shows("9 of 9 are open")
	b.step("six sides, or all the tasks")

	b.send("a.go")
	file := photo(t)
	for _, side := range []string{"front", "rear", "left", "right", "top", "below"} {
		b.shows("Photograph the " + side)
		b.do(chromedp.SetUploadFiles(chromedp.CSS("form.ask input[type=file]"), []string{file}))
		b.step("side " + side)
		b.send("form.ask button.go")
	}
	b.shows("What is cast, stamped, on plates?")
	b.fill("[name=marks]", "case 1174, plate BW-4T")
	b.step("marks")
	b.send("form.ask button.go")
	b.shows("Is it all there?")
	b.fill("[name=complete]", "unit and lever")
	b.step("complete")
	b.send("form.ask button.go")
	b.shows("gear by gear")
	b.press(`[name="gear 1"][value="jumps out on drive"]`)
	b.step("gears")
	b.send("form.ask button.go")
	b.shows("What came out of it?")
	b.fill("[name=volume]", "1.9 L")
	b.press("[name=colour][value=dark]")
	b.press(`[name=find][value="fine paste"]`)
	b.step("oil")
	b.send("form.ask button.go")
	b.shows("Did anything lie loose in it?")
	b.press("[name=nothing]")
	b.step("loose")
	b.send("form.ask button.go")

	b.shows("Read these before anything is undone")
	b.shows("What used bearings must come back to")
	b.step("before")
	b.send(`a[href*="drag+of+the+whole"]`)
	b.fill("fieldset.values label:nth-of-type(1) input", "1.2")
	b.send("form.ask button.go")
	b.goTo("/job/wren/receive/before")
	b.shows("1.2 N·m")
	b.send("a.go")

	b.shows("What may it come to?")
	if may := b.say(`document.querySelector("[name=may]").value`); may != "Otter Ferry Trust" {
		t.Errorf("%q is proposed as who may say yes, not the owner", may)
	}
	b.fill("[name=low]", "2200 EUR")
	b.fill("[name=high]", "2800 EUR")
	b.step("estimate")
	b.send("form.ask button.go")
	b.shows("What did the customer agree to?")
	b.press(`[name=how][value="by letter"]`)
	b.step("agreed")
	b.send("form.ask button.go")
	b.shows("1 of 9 are open")
	b.goTo("/people")
	b.shows("Otter Ferry Trust")
	walkWash(b)
	walkRings(b)
}

// step checks a screen of the bench as it stands: nothing too small, nothing too wide.
func (b *browser) step(what string) {
	b.t.Helper()
	b.fits(what)
	b.picture("/" + what)
	targets(b)
}

// walkWash puts a piece of the other unit into the basket of this one.
func walkWash(b *browser) {
	b.goTo("/job/dunnock/clean")
	b.step("clean")
	b.fill("[name=tag]", "L-P07")
	b.say(`window.before = "yes"`)
	b.press(`form[action$="/basket"] button`)
	b.wait("the stop", `document.querySelector(".stop.whole") ? "yes" : ""`, 10*time.Second)
	b.shows("is not of Dunnock")
	b.step("stop")
}

// walkRings looks at a ring, tries two more pairs and finds the better pairing.
func walkRings(b *browser) {
	b.goTo("/job/dunnock/look")
	b.step("look")
	b.goTo("/job/dunnock/look/P09")
	b.shows("Hangs on: P09 ring gap")
	b.press("[name=rest]")
	b.step("look at a ring")
	b.send("form.ask button.go")
	b.goTo("/job/dunnock/look/P09")
	b.shows("guard band")
	b.goTo("/job/dunnock/rings")
	b.shows("Without a ring that is good enough")
	b.step("rings")
	try := func(ring, cone string, gaps ...string) {
		b.goTo("/job/dunnock/rings?also=" + ring + "&ring=" + ring + "&cone=" + cone)
		for i, g := range gaps {
			b.fill(fmt.Sprintf("fieldset.values label:nth-of-type(%d) input", i+1), g)
		}
		b.step("ring on cone")
		b.send("form.ask button.go")
	}
	try("D-P22", "D-P08", "0.71", "0.73", "0.72")
	try("P-P22", "D-P19", "1.05")
	b.shows("4 of 4 gears have a ring")
	b.shows("moved from ring 3rd")
	if lost := b.say(`document.querySelector("main").innerText.includes("Without a ring") ? "yes" : ""`); lost != "" {
		b.t.Error("a gear is still without a ring")
	}
	b.goTo("/job/dunnock/runout?pos=P01")
	b.step("run-out")
	for i, v := range []string{"0", "0.01", "0.02", "0.03", "0.03", "0.02", "0.01", "0"} {
		b.fill(fmt.Sprintf("fieldset.values label:nth-of-type(%d) input", i+1), v)
	}
	b.send("form.ask button.go")
	b.shows("Off centre by")
	b.step("run-out said")
}
