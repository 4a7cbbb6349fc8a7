package main

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// says fails unless the page holds every text, also where it is folded away.
func (b *browser) says(texts ...string) {
	b.t.Helper()
	all := strings.Join(strings.Fields(b.say(`document.querySelector("main").innerHTML.replace(/<[^>]*>/g, " ")`)), " ")
	for _, s := range texts {
		if !strings.Contains(all, s) {
			at, _ := chromedp.Run(b.ctx, chromedp.Location())
			b.t.Errorf("%s does not say %q:\n%s", at, s, all)
		}
	}
}

// Which piece goes where, in a real browser on a phone: the seeded events of the
// scenario that are a matter of choice, each answered with the rule in one
// paragraph and its ways out.
func TestChooseWalk(t *testing.T) {
	_, at := listen(t, "demo", "--addr", "127.0.0.1:0")
	b := open(t, at, 390, 844)
	for _, tt := range []struct {
		event string
		want  []string // position, piece or variant
		says  []string
		ways  int
	}{
		{"1", []string{"P08", "P-P08", "P11", "narrow"}, []string{"dogs must be one for all of P08, P09, P11, P14, P15", "jumps out", "narrow is wanted at Linnet P11 sleeve 1/2"}, 2},
		{"2", []string{"P10", "wide", "P18", "thick"}, []string{"P10 hub 1/2 (wide) needs P18 distance washer 2-3 (thin)", "nut stack proud must come within its limits"}, 2},
		{"3", []string{"Q08", "21T", "P15", "39T"}, []string{"Q08 drive gear 2nd (21T) needs P15 gear 2nd (38T)", "72 mm between centres, where Q08 and P15 must have 59 teeth together"}, 2},
		{"4", []string{"D03", "P-D03", "P01", "L-P01"}, []string{"P01, D03 must have one set number", "P01 pinion shaft is 417, D03 crown wheel is 402"}, 2},
		{"13", []string{"P38", "L-P38"}, []string{"P38 tab washer is a one-way part and L-P38 has been in use"}, 1},
	} {
		t.Run("event "+tt.event, func(t *testing.T) { b.clash(t, tt.want, tt.says, tt.ways) })
	}
	t.Run("both units", func(t *testing.T) { walkBest(b, t) })
	t.Run("the board", func(t *testing.T) { walkBoard(b, t) })
	t.Run("event 6", func(t *testing.T) { walkGoods(b, t, at) })
}

// clash wishes for pieces as a person does, and looks at what is answered.
func (b *browser) clash(t *testing.T, want, says []string, ways int) {
	b.t = t
	b.goTo("/choose")
	b.say(`(() => { for (const d of document.querySelectorAll(".ofunit details")) d.open = true; return "" })()`)
	for i := 0; i < len(want); i += 2 {
		n := i/2 + 1
		b.fillNth(`[name="at linnet"]`, n, want[i])
		b.fillNth(`[name="what linnet"]`, n, want[i+1])
	}
	for _, unit := range []string{"linnet", "dunnock"} {
		b.press(`[name="decided ` + unit + `"]`)
	}
	b.ask("form.wishes button.go")
	b.shows("It cannot all be had")
	b.says(says...)
	if few := b.say(fmt.Sprintf(`document.querySelectorAll(".ways-out > li").length < %d ? document.querySelector("main").innerText : ""`, ways)); few != "" {
		t.Errorf("fewer than %d ways out:\n%s", ways, few)
	}
	b.fits("the clash")
	b.picture("the clash")
}

// ask presses a button of a form that only asks, and waits for the answer.
func (b *browser) ask(css string) {
	b.t.Helper()
	b.say(`window.before = "yes"`)
	b.press(css)
	eventually(b.t, css+" is answered", 20*time.Second, func() bool {
		s, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`window.before === "yes" || document.readyState !== "complete" ? "wait" : "new"`))
		return err == nil && s == "new"
	})
}

func (b *browser) fillNth(css string, n int, text string) {
	b.t.Helper()
	got := b.say(fmt.Sprintf(`(() => { const e = document.querySelectorAll(%q)[%d]; if (!e) return "no such field"; e.value = %q; return "" })()`, css, n-1, text))
	if got != "" {
		b.t.Fatalf("%s, number %d: %s", css, n, got)
	}
}

// The best build of both, as their books decide: Dunnock's chipped 3rd gear gives
// way to the donor's pair, not to a new one for 390, and the donor's sound eye is
// found for the cracked one. It is decided in both books at once.
func walkBest(b *browser, t *testing.T) {
	b.t = t
	b.goTo("/choose")
	b.ask("form.wishes button.go")
	b.shows("Proven: nothing right is cheaper")
	b.says("P19 gear 3rd P-P19 from Plover", "Q10 drive gear 3rd P-Q10 from Plover", "C13 lifting eye P-C13 from Plover", "Next best")
	b.fits("the best build")
	b.picture("the best build")
	b.send(`form[action="/choose/accept"] button.go`)
	b.shows("Decided, and written into the books of all units")
	for pos, want := range map[string]string{"P19": "P-P19", "Q10": "P-Q10", "C13": "P-C13"} {
		b.goTo("/job/dunnock/decide?pos=" + pos)
		if got := b.say(`document.querySelector("[name=piece]").value`); got != want {
			t.Errorf("%q is decided for %s of Dunnock", got, pos)
		}
	}
}

// A piece is tapped, and what could take its place; the move shows what it breaks
// and is taken back.
func walkBoard(b *browser, t *testing.T) {
	b.t = t
	b.goTo("/board?unit=linnet")
	if n := b.say(`String([...document.querySelectorAll(".board td")].filter((e) => e.offsetParent && e.querySelector('[data-book="dunnock"]')).length)`); n != "0" {
		t.Errorf("%s squares of the other unit are seen on a phone", n)
	}
	b.press(`.board [data-book="linnet"][data-pos="P11"]`)
	b.do(chromedp.WaitReady(chromedp.CSS("#picked")))
	b.shows("P11 sleeve 1/2: what could go here?")
	b.fits("what could go here")
	b.press(`#picked a.try[href*="L-P11"]`)
	b.do(chromedp.WaitReady(chromedp.CSS("#tried")))
	b.shows("It breaks:")
	b.shows("P10 hub 1/2 (wide) needs P11 sleeve 1/2 (wide)")
	b.shows("Ways out")
	b.fits("a move tried")
	b.picture("a move tried")
	b.ask("#tried a.other")
	if b.say(`document.querySelector("#tried") ? "still tried" : ""`) != "" {
		t.Error("the move was not taken back")
	}
	b.says("belongs to Hask Valley Light Railway", "Whose piece went where")
}

// A needle cage 30.2 wide instead of 26 is ordered, fails its check, goes back in
// time and comes right.
func walkGoods(b *browser, t *testing.T, at string) {
	b.t = t
	post(t, at, "dunnock", `{"kind":"decided","body":{"position":"P21","choice":"new"}}`)
	b.goTo("/orders")
	b.shows("To order from Brindle Bearings")
	b.send(`form.lot:has([value="P21"]) button`)
	tag := b.say(`([...document.querySelectorAll("a[href*='/job/dunnock/goods/']")].find((a) => a.innerText.includes("P21")) || {href: ""}).href`)
	if tag == "" {
		t.Fatal("P21 is not on its way")
	}
	path := strings.TrimPrefix(tag, at)
	b.goTo(path)
	b.shows("Runs on P20 inner sleeve 3rd, 30.15 mm wide")
	b.fill(`[name="look width"]`, "30,2")
	b.send("form.ask button.go")
	b.shows("Wrong: it goes back")
	b.shows("Width 30.20 mm, wanted 26.00 mm")
	b.shows("It would bind")
	b.goTo("/orders")
	b.shows("Wrong, and still here")
	resp, err := http.Get(at + "/orders.csv?supplier=" + url.QueryEscape("Brindle Bearings"))
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	if csv, err := io.ReadAll(resp.Body); err != nil || !bytes.Contains(csv, []byte("WRONG: send it back by")) {
		t.Errorf("the order list as a table: %v\n%s", err, csv)
	}
	b.goTo(path)
	b.send(`form[action*="/back/"] button.go`)
	b.shows("Sent back")
	b.fill(`[name="look width"]`, "26.00 mm")
	b.send("form.ask button.go")
	b.shows("Right, and here")
}
