package main

import (
	"fmt"
	"slices"
	"strconv"
	"testing"
	"time"
)

// Two devices on one job see each other's entries within a second: what is recorded
// on one stands on the other, which nobody touches.
func TestTogether(t *testing.T) {
	const entries, second = 20, 1000
	_, url := listen(t, "demo", "--addr", "127.0.0.1:0")
	phone, laptop := open(t, url, 390, 844), open(t, url, 1280, 800)
	var took []int
	for i := range entries {
		from, to := phone, laptop
		if i%4 >= 2 {
			from, to = laptop, phone
		}
		if i%2 == 0 { // roles change with every other entry, and with them the pages
			to.goTo("/job/linnet")
		}
		seen := fmt.Sprintf("note %d between two devices", i)
		if i%2 == 0 {
			from.goTo("/job/linnet/note")
			from.fill("textarea[name=text]", seen)
		} else {
			seen = fmt.Sprintf("18.%d", 400+i)
			from.goTo("/job/linnet/read/one?what=bearing+stand-up")
			from.fill("fieldset.values label:nth-of-type(1) input", seen+" mm")
		}
		to.say(fmt.Sprintf(`(() => { window.seenAt = ""; const look = () => { if (!window.seenAt && document.querySelector("main").innerText.includes(%q)) window.seenAt = String(Date.now()) };
window.eye?.disconnect(); window.eye = new MutationObserver(look); window.eye.observe(document.body, { childList: true, subtree: true }); return "" })()`, seen))
		from.say(`document.querySelector("form.ask, form.fields").addEventListener("submit", () => sessionStorage.sent = String(Date.now()), { capture: true }); ""`)
		from.send("form.ask button.go, form.fields button.go")
		eventually(t, "what the other device wrote stands here", 10*time.Second, func() bool { return to.say(`window.seenAt`) != "" })
		sent, err := strconv.Atoi(from.say(`sessionStorage.sent`))
		if err != nil {
			t.Fatal(err)
		}
		at, err := strconv.Atoi(to.say(`window.seenAt`))
		if err != nil {
			t.Fatalf("entry %d never came", i)
		}
		took = append(took, at-sent)
	}
	slices.Sort(took)
	t.Logf("%d entries between two devices: median %d ms, worst %d ms", entries, took[entries/2], took[entries-1])
	if took[entries-1] > second {
		t.Errorf("an entry took %d ms to the other device, expected %d at most: %v", took[entries-1], second, took)
	}
}
