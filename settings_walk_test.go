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

// The settings in a real browser on a phone: what a plus on the pinion means is
// asked with a picture and remembered for the type, the backlash factor is learnt
// from the first move, a shim is tried by sliding, the contact pattern is kept,
// and what one device writes the other shows.
func TestSettingsWalk(t *testing.T) {
	_, url := listen(t, "demo", "--addr", "127.0.0.1:0")
	b := open(t, url, 390, 844)
	read := func(what string, values ...string) {
		b.goTo("/job/dunnock/read/one?what=" + strings.ReplaceAll(what, " ", "+"))
		for i, v := range values {
			b.fill(fmt.Sprintf("fieldset.values label:nth-of-type(%d) input", i+1), v)
		}
		b.send("form.ask button.go")
	}

	// Learnt: 0.70 by the file, 0.60 by this unit's own first move.
	b.goTo("/job/linnet/setting?name=backlash")
	b.shows("Learned on this unit")
	b.shows("0.61")
	b.shows("The file says 0.70 ± 0.07")
	b.press("details:has(input[type=range]) summary")
	before := b.say(`document.querySelector("#whatif").innerText`)
	b.say(`(() => { const e = document.querySelector("#if\\ D20"); e.value = e.max; e.dispatchEvent(new Event("input", {bubbles: true})); return "" })()`)
	eventually(t, "the slide moves the foretold", 3*time.Second, func() bool { return b.say(`document.querySelector("#whatif").innerText`) != before })
	b.fits("what if")

	// The sign of the etched number: asked, with what was said for Linnet ticked.
	read("mandrel radius", "30.00")
	read("gauge block", "33.50")
	b.goTo("/job/dunnock/at/P01")
	b.shows("pinion shaft")
	post(t, url, "dunnock", `{"kind":"marked","body":{"tag":"D-P01","marks":{"etched":"-4"}}}`)
	b.goTo("/job/dunnock/setting?name=pinion+depth")
	b.shows("what does a plus mean")
	b.shows("For this type it was answered before: further")
	if got := b.say(`document.querySelector("[name=answer]:checked").value`); got != "further" {
		t.Errorf("%q is ticked, not what was answered for this type", got)
	}
	b.send(`form[action$="/setting/answer"] button.go`)
	b.shows("wanted 63.93 to 63.99 mm")

	// The contact pattern, two tries, the better one kept in mind.
	for _, try := range []struct{ drive, coast, says string }{{"high toe", "high toe", "move the pinion toward the axis"}, {"mid toe", "mid centre", "good for a hand-rolled pattern"}} {
		b.goTo("/job/linnet/pattern")
		b.press(fmt.Sprintf(`[name=drive][value=%q]`, try.drive))
		b.press(fmt.Sprintf(`[name=coast][value=%q]`, try.coast))
		b.send(`form[action$="/pattern"] button.go`)
		b.shows(try.says)
	}
	b.shows("Best so far")

	// Another device writes; this page shows it without being asked.
	b.goTo("/job/linnet/settings")
	post(t, url, "linnet", `{"kind":"read","body":{"what":"bearing stand-up","values":["18.44"]}}`)
	eventually(t, "what another device wrote is shown", 3*time.Second, func() bool {
		s, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`document.body.innerText`))
		return err == nil && strings.Contains(s, "no pack is in at Q13")
	})
}

func post(t *testing.T, url, book, entry string) {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, url+"/api/job/"+book+"/entry", strings.NewReader(entry))
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Origin", url)
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	if resp.StatusCode >= 300 {
		says, _ := io.ReadAll(resp.Body)
		t.Fatalf("%s: status %d, %s", entry, resp.StatusCode, says)
	}
}

func eventually(t *testing.T, what string, within time.Duration, holds func() bool) {
	t.Helper()
	for end := time.Now().Add(within); ; time.Sleep(30 * time.Millisecond) {
		if holds() {
			return
		}
		if time.Now().After(end) {
			t.Errorf("%s: not within %v", what, within)
			return
		}
	}
}
